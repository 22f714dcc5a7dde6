//! `wall-template.pdf`: where the screws of both wall bars go, 1:1, to be taped to the wall.

use overarm_solver::{Analysis, Hand, Part, PartName, Project, Rectangle, ScrewedBar, Units};

use crate::job_folder::Job;
use crate::sheet::dimension::centre_cross;
use crate::sheet::figures::{by_tape, length, rounding_words, with_unit};
use crate::sheet::notices::Notices;
use crate::sheet::page::{Area, Hold, Page};
use crate::sheet::paper::Paper;
use crate::sheet::path::{Path, View};
use crate::sheet::pdf::pdf;
use crate::sheet::pen::{ACCENT, Pen, QUIET};
use crate::sheet::tiles::{Name, Scene, Sheets};
use crate::sheet::typeface::Style;

/// From the bar to the scene's edges, mm: room for words beside it where a sheet has it, and above it.
const BESIDE: f64 = 66.0;
const ABOVE: f64 = 14.0;
/// For the arrow to the other set, at least, mm.
const LEAST_BESIDE: f64 = 46.0;
/// From the bar to what stands beside it, mm.
const OFF: f64 = 2.5;
/// Longest line of notes where a set takes several sheets beside each other, mm.
const NARROW_NOTES: f64 = 120.0;
/// From the bar to the notes, and below them, mm.
const TO_NOTES: f64 = 22.0;
/// A stud this far off a line, mm, stands on it.
const ON_IT: f64 = 0.005;

/// The file.
///
/// # Errors
/// A sentence where the PDF writer refuses.
pub fn wall_template(job: &Job) -> Result<Vec<u8>, String> {
    pdf(job.project, "wall template", &pages(job.project, job.analysis, job.parts))
}

/// Its sheets: those of the left set, then those of the right one.
#[must_use]
pub fn pages(project: &Project, analysis: &Analysis, parts: &[Part]) -> Vec<Page> {
    let notices = Notices::of(project, analysis);
    let units = project.units();
    let sheets = Sheets {
        paper: Paper::of_office(units),
        title: project.title(),
        document: "Wall template",
        units,
        notices: &notices,
    };
    sheets.cut(&scenes(project, analysis, parts, sheets.room_across()))
}

/// Both sets, for sheets that show this much across, mm.
fn scenes(project: &Project, analysis: &Analysis, parts: &[Part], room: f64) -> [Scene; 2] {
    [Hand::Left, Hand::Right].map(|hand| scene(project, &analysis.lift.wall_bar, bar_of(parts, hand), hand, room))
}

/// From the bar's left and right edge to the scene's, mm: on one sheet as long as words beside the bar
/// have their room.
fn beside(project: &Project, bar: &Rectangle, part: Option<&Part>, room: f64) -> [f64; 2] {
    let depth = project.bars.wall_bar.depth;
    if depth + 2.0 * BESIDE <= room {
        return [BESIDE; 2];
    }
    let units = project.units();
    let widest = |words: &[String]| {
        let widths = words.iter().map(|words| Style::BODY.width(words));
        (widths.fold(0.0, f64::max) + 2.0 * OFF).max(LEAST_BESIDE)
    };
    let screws = part.map_or_else(Vec::new, |part| screws(project, bar, part).map(|(_, words)| words).collect());
    let off = part.and_then(off_middle).map(|off| off_words(off, units));
    let left = widest(&pivots(project).map(|(_, words)| words));
    let right = widest(&screws).max(off.map_or(0.0, |words| widest(&words)));
    let more = 0.5 * (room - depth - left - right).max(0.0);
    [left + more, right + more]
}

/// Heights of the pivots, and what is said of them.
fn pivots(project: &Project) -> [(f64, String); 2] {
    let (lower, upper) = (project.linkage.wall_lower.y, project.linkage.wall_upper.y);
    [("lower pivot", lower), ("upper pivot", upper)]
        .map(|(words, y)| (y, format!("{words} {}", by_tape(y, project.units()))))
}

/// Heights of the screws, and what is said of each.
fn screws<'a>(project: &'a Project, bar: &'a Rectangle, part: &'a Part) -> impl Iterator<Item = (f64, String)> + 'a {
    let units = project.units();
    let screw = project.fixings.as_ref().and_then(|fixings| fixings.diameter);
    let size = screw.map_or_else(String::new, |mm| format!(" Ø{}", say_size(mm, units)));
    part.screw_holes.iter().map(move |hole| {
        let height = bar.least.y + part.above_lower_end(hole.from);
        (height, format!("{}{size}: {}", hole.name, by_tape(height, units)))
    })
}

/// From the bar's middle line to its screws, towards the panel's middle, mm, where they are off it.
fn off_middle(part: &Part) -> Option<f64> {
    let off = 0.5 * part.depth - part.screw_holes.first()?.z;
    (off.abs() > 0.05).then_some(off)
}

fn off_words(off: f64, units: Units) -> [String; 2] {
    [format!("screws {}", by_tape(off.abs(), units)), "from the middle line".to_owned()]
}

/// One wall bar as it stands on the wall, seen by somebody who faces it. The rulers count from its
/// middle line and from the floor.
fn scene(project: &Project, bar: &Rectangle, part: Option<&Part>, hand: Hand, room: f64) -> Scene {
    let half = 0.5 * project.bars.wall_bar.depth;
    let (low, high) = (bar.least.y, bar.most.y);
    let [left, right] = beside(project, bar, part, room);
    let (width, middle) = (left + 2.0 * half + right, left + half);
    let other = if hand == Hand::Left { "right" } else { "left" };
    let mut notes = notes(project, [low, high], hand, other);
    notes.extend(stud(project, part, hand).map(|(_, words)| words));
    let widest = if width > room { NARROW_NOTES } else { width - 6.0 };
    let notes: Vec<String> = notes.iter().flat_map(|note| Style::BODY.wrap(note, widest)).collect();
    #[allow(clippy::cast_precision_loss)] // a handful of lines
    let height = ABOVE + (high - low) + TO_NOTES + notes.len() as f64 * Style::BODY.line_height();
    // The floor lies far below the scene.
    let view = View::new([middle, ABOVE + high], 1.0);
    let name = if hand == Hand::Left { "Left set" } else { "Right set" };
    let mut scene = Scene::new(name, width, height, view.origin);
    let page = &mut scene.page;
    let within = page.area();
    let at = |x: f64, y: f64| [middle + x, view.origin[1] - y];

    page.draw(view.polygon(&[[-half, low], [half, low], [half, high], [-half, high]].map(Into::into)), Pen::OUTLINE);
    page.line(&[at(0.0, high + ABOVE - 2.0), at(0.0, low - 14.0)], Pen::CENTRE);
    page.line(&[[1.0, at(0.0, low)[1]], [width - 1.0, at(0.0, low)[1]]], Pen::OUTLINE.coloured(ACCENT));

    let quiet = Style::BODY.coloured(QUIET);
    for (y, words) in pivots(project) {
        page.line(&[at(-half - 2.0, y), at(half + 2.0, y)], Pen::CENTRE);
        let places = [-1.2, 2.6, -5.2].map(|by| (at(-half - OFF, y + by), Hold::End));
        page.label(&places, &words, quiet, within);
    }
    draw_screws(project, bar, part, &mut scene, half);
    if let Some((x, _)) = stud(project, part, hand).filter(|(x, _)| (4.0..width - 4.0).contains(&(middle + x))) {
        let line = [at(x, high + ABOVE - 1.0), at(x, low - 12.0)];
        scene.page.line(&line, Pen::HIDDEN.coloured(QUIET));
    }
    // Inside of the bar's left edge, on every sheet of a long one.
    let ([x, bottom], [_, top]) = (at(-half, low), at(-half, high));
    let words = format!("{name}, wall bar");
    scene.names.push(Name { words, x: x + 1.5 + Style::BODY.capital, y: [top, bottom] });
    let page = &mut scene.page;
    which_way_is_up(page, view.place(overarm_solver::Point::new(-half, high)));
    let level = at(0.0, low + 1.5)[1];
    page.text([2.0, level], Hold::Start, "level line", Style::BODY.bold().coloured(ACCENT));
    page.text([width - 2.0, level], Hold::End, "level line", Style::BODY.bold().coloured(ACCENT));
    page.lines([3.0, at(0.0, low - 20.0)[1]], &notes, Style::BODY);
    let inner = if hand == Hand::Left { 1.0 } else { -1.0 };
    // An arrow on the wall towards the other set.
    crate::sheet::dimension::arrow(page, at(inner * (half + 40.0), low - 6.0), [inner, 0.0]);
    page.line(&[at(inner * (half + 8.0), low - 6.0), at(inner * (half + 38.0), low - 6.0)], Pen::THIN);
    let words = format!("{other} set");
    page.text(at(inner * (half + 24.0), low - 5.0), Hold::Middle, &words, Style::BODY);
    scene
}

/// Said below a bar between these heights.
fn notes(project: &Project, [low, high]: [f64; 2], hand: Hand, other: &str) -> Vec<String> {
    let say = |mm: f64| by_tape(mm, project.units());
    let arrow = if hand == Hand::Left { "→" } else { "←" };
    let spacing = project.set_spacing();
    let mut lines = vec![
        format!("Level line = lower end of the wall bar, {} above the finished floor.", say(low)),
        format!("{arrow} {} along the level line to the {other} set's middle line.", say(spacing)),
        format!(
            "Check both diagonals, lower end of one bar to upper end of the other on their middle lines: {}.",
            say(spacing.hypot(high - low))
        ),
        format!(
            "Hung, the panel's edges are {} and {} above the floor, and its middle {} from this middle line {arrow}.",
            say(project.panel.hung.bottom),
            say(project.panel.hung.bottom + project.panel.height),
            say(0.5 * spacing),
        ),
        "Heights are from the finished floor where the project measures it: measure there again.".to_owned(),
    ];
    lines.extend(rounding_words(project.units()).map(str::to_owned));
    lines
}

/// "up" with its arrow, left of a bar's upper left corner, where no line crosses it.
fn which_way_is_up(page: &mut Page, [x, y]: [f64; 2]) {
    /// Room for both, mm.
    const ROOM: [f64; 2] = [9.0, 7.0];
    let area = |left: f64| Area { left, top: y - 1.0 - ROOM[1], right: left + ROOM[0], bottom: y - 1.0 };
    let spots = (0..24).map(|step| x - ROOM[0] - 2.0 - 2.0 * f64::from(step));
    let left = spots.clone().find(|left| page.is_clear(&area(*left))).unwrap_or(x - ROOM[0] - 2.0);
    let Area { top, bottom, .. } = area(left);
    page.text([left + 3.5, bottom - 2.0], Hold::Start, "up", Style::BODY.bold());
    page.line(&[[left + 1.5, bottom - 0.5], [left + 1.5, top + 3.0]], Pen::THIN);
    crate::sheet::dimension::arrow(page, [left + 1.5, top + 0.3], [0.0, -1.0]);
}

/// The wall bar of a hand.
fn bar_of(parts: &[Part], hand: Hand) -> Option<&Part> {
    parts.iter().find(|part| part.name == PartName::WallBar && part.hand == hand)
}

/// The screws where the bar's holes let them through: in the middle of what is left of its depth
/// there, towards the panel's middle where it is lapped.
fn draw_screws(project: &Project, bar: &Rectangle, part: Option<&Part>, scene: &mut Scene, half: f64) {
    let units = project.units();
    let page = &mut scene.page;
    let within = page.area();
    let [middle, floor] = scene.zero;
    let at = |x: f64, y: f64| [middle + x, floor - y];
    let beside = half + OFF;
    let Some(part) = part.filter(|part| !part.screw_holes.is_empty()) else {
        let wrong = project
            .fixings
            .as_ref()
            .and_then(|fixings| ScrewedBar::new(fixings, bar.least.y, bar.most.y, project.bars.wall_bar.depth).err());
        let none = || "No screws are given: mark them through the bar.".to_owned();
        let mut y = 0.5 * (bar.least.y + bar.most.y);
        let room = within.right - middle - beside - OFF;
        for line in Style::BODY.bold().wrap(&wrong.map_or_else(none, |wrong| wrong.sentence()), room) {
            page.text(at(beside, y), Hold::Start, &line, Style::BODY.bold());
            y -= Style::BODY.line_height();
        }
        return;
    };
    // The inner face lies to the right of a left set's middle, to the left of a right one's.
    let side = if part.hand == Hand::Left { 1.0 } else { -1.0 };
    for (hole, (height, words)) in part.screw_holes.iter().zip(screws(project, bar, part)) {
        let x = side * (0.5 * part.depth - hole.z);
        let place = at(x, height);
        let radius = 0.5 * hole.diameter;
        page.draw(Path::circle(place, radius), Pen::OUTLINE);
        centre_cross(page, place, radius);
        let places = [-1.2, 2.6, -5.2].map(|by| (at(beside, height + by), Hold::Start));
        page.label(&places, &words, Style::BODY, within);
    }
    if let Some(off) = off_middle(part) {
        let x = middle + side * off;
        let top = floor - bar.most.y;
        page.line(&[[x, top - 8.0], [x, floor - bar.least.y + 4.0]], Pen::CENTRE.coloured(ACCENT));
        page.line(&[[x, top - 6.0], [middle + half + 2.0, top - 6.0]], Pen::THIN.coloured(ACCENT));
        let at = [middle + beside, top - 8.0];
        page.lines(at, &off_words(off, units), Style::BODY.coloured(ACCENT));
    }
}

/// The nearest stud's middle behind the sheet, from the bar's middle line to the right, mm, and how far
/// it is off the screws, or off that line where there are none.
fn stud(project: &Project, part: Option<&Part>, hand: Hand) -> Option<(f64, String)> {
    let units = project.units();
    let studs = project.room.studs.as_ref().filter(|studs| studs.spacing > 0.0)?;
    let side = if hand == Hand::Left { 1.0 } else { -1.0 };
    let set = -side * 0.5 * project.set_spacing();
    let nearest = studs.first + ((set - studs.first) / studs.spacing).round() * studs.spacing - set;
    let screws = part.and_then(|part| Some(side * (0.5 * part.depth - part.screw_holes.first()?.z)));
    let off = nearest - screws.unwrap_or(0.0);
    let of = if screws.is_some() { "the screws" } else { "this middle line" };
    let place = if off.abs() < ON_IT {
        format!("on the line of {of}")
    } else {
        format!("{} to the {} of {of}", by_tape(off.abs(), units), if off < 0.0 { "left" } else { "right" })
    };
    Some((nearest, format!("Nearest stud's middle, as the project says: {place}. Find it.")))
}

/// A screw's diameter as people call it.
fn say_size(mm: f64, units: Units) -> String {
    with_unit(&length(mm, units), units)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project_file;
    use crate::sheet::joints::unjoined;
    use overarm_solver::{More, Options, Studs, analyse, parts};

    fn sheets(change: impl FnOnce(&mut Project)) -> Vec<Page> {
        let mut project =
            project_file::parse(include_bytes!("../../../demo/chapel-hatch.overarm.json")).expect("the demo");
        change(&mut project);
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let pages = pages(&project, &analysis, &parts(&project, &analysis.solids));
        for page in &pages {
            assert_eq!(page.faults(), Vec::<String>::new());
        }
        pages
    }

    fn says(page: &Page, words: &str) -> bool {
        page.texts().any(|text| text.words.contains(words))
    }

    #[test]
    fn screws_stand_where_the_project_puts_them() {
        let sheets = sheets(|_| {});
        assert_eq!(sheets.len(), 2);
        for page in &sheets {
            // By hand: the bar ends 30 above the upper pivot at 2175.94; the first screw 9.3 below
            // that end, the others 64 apart.
            assert!(says(page, "screw 1 Ø4.83 mm: 2196.64 mm") && says(page, "screw 3 Ø4.83 mm: 2068.64 mm"));
            // The lower end, 30 below the lower pivot at 2089.36; 812.8 between the sets.
            assert!(says(page, "2059.36 mm above the finished floor") && says(page, "812.80 mm along the level line"));
            // √(812.8² + 146.58²).
            assert!(says(page, "825.91 mm"));
            // Lapped: the inner half of 38.1 mm is left, its middle 9.525 from the bar's.
            assert!(says(page, "screws 9.53 mm") && says(page, "from the middle line"));
        }
        assert!(says(&sheets[0], "right set"));
        assert!(says(&sheets[1], "left set"));
    }

    #[test]
    fn without_screws_it_says_so() {
        assert!(says(&sheets(|project| project.fixings = None)[0], "No screws are given"));
        // 50 screws 64 mm apart on a bar of 147 mm.
        let many = sheets(|project| project.fixings.as_mut().expect("fixings").count = Some(50));
        assert!(says(&many[0], "beyond the wall bar"));
    }

    #[test]
    fn whatever_the_bar_s_depth_every_text_is_whole_and_neighbours_share_two_crosses() {
        for step in 0..=20 {
            let mut project =
                project_file::parse(include_bytes!("../../../demo/chapel-hatch.overarm.json")).expect("the demo");
            let depth = 20.0 + 5.0 * f64::from(step);
            let bars = &mut project.bars;
            for bar in [&mut bars.wall_bar.depth, &mut bars.panel_bar.depth] {
                *bar = depth;
            }
            project.room.studs = Some(Studs { spacing: 406.4, first: 12.025, more: More::default() });
            // Every other one is longer than a sheet.
            if step % 2 == 1 {
                project.bars.wall_bar.lower_end = 300.0;
            }
            let analysis = analyse(&project, &Options { poses: 2, swept: false });
            let parts = parts(&project, &analysis.solids);
            for units in [Units::Millimetre, Units::Inch, Units::FeetInch] {
                project.units = Some(units);
                let notices = Notices::of(&project, &analysis);
                for paper in [Paper::A4, Paper::LETTER] {
                    let sheets =
                        Sheets { paper, title: project.title(), document: "Wall template", units, notices: &notices };
                    let scenes = scenes(&project, &analysis, &parts, sheets.room_across());
                    let pages = sheets.cut(&scenes);
                    let place = format!("{depth} mm deep, {}, {units:?}", paper.name);
                    // Screws, pivots and words beside a bar of 75 mm have their room on one sheet.
                    let is_beside = |page: &Page| says(page, "from the left") || says(page, ", column ");
                    assert!(depth > 75.0 || !pages.iter().any(is_beside), "{place}");
                    assert_eq!(
                        pages.iter().flat_map(Page::faults).collect::<Vec<_>>(),
                        Vec::<String>::new(),
                        "{place}"
                    );
                    assert_eq!(unjoined(&pages), Vec::<String>::new(), "{place}");
                    for scene in &scenes {
                        let names = scene.names.iter().map(|name| &name.words);
                        for words in scene.page.texts().map(|text| &text.words).chain(names) {
                            let is_whole = |page: &Page| page.texts().any(|text| text.words == *words);
                            assert!(pages.iter().any(is_whole), "{place}: {words}");
                        }
                    }
                    // On a sheet of each set, line after line.
                    let whole = |page: &&Page| {
                        let said = page.texts().map(|text| text.words.as_str()).collect::<Vec<_>>().join(" ");
                        said.contains("Hung, the panel's edges are")
                            && said.contains("the project measures it: measure there again.")
                    };
                    assert_eq!(pages.iter().filter(whole).count(), 2, "{place}");
                }
            }
        }
    }

    #[test]
    fn no_label_lies_over_a_cross_of_a_long_bar() {
        for units in [Units::Millimetre, Units::Inch, Units::FeetInch] {
            for step in 0..=16 {
                let pages = sheets(|project| {
                    project.units = Some(units);
                    project.bars.wall_bar.lower_end = 100.0 + 50.0 * f64::from(step);
                    let fixings = project.fixings.as_mut().expect("fixings");
                    (fixings.count, fixings.spacing, fixings.edge) = (Some(6), Some(110.0), Some(20.0));
                });
                assert_eq!(unjoined(&pages), Vec::<String>::new(), "{units:?}, {step}");
            }
        }
    }

    #[test]
    fn the_nearest_stud_is_told() {
        let sheets = sheets(|project| {
            project.room.studs = Some(Studs { spacing: 406.4, first: 12.025, more: More::default() });
        });
        // Studs at 12.025 − 406.4 = −394.375 and 12.025 + 406.4; sets at ∓406.4, their screws 9.525 inwards of that.
        assert!(says(&sheets[0], "2.50 mm to the right of the screws"), "12.025 − 9.525");
        assert!(says(&sheets[1], "21.55 mm to the right of the screws"), "12.025 + 9.525");
    }

    #[test]
    fn without_screws_studs_are_told_from_the_middle_line() {
        let with_stud_at = |first: f64| {
            sheets(|project| {
                project.fixings = None;
                project.room.studs = Some(Studs { spacing: 406.4, first, more: More::default() });
            })
        };
        // Sets at ∓406.4: a stud at 12 in stands 12 right of both, one at 0 on both lines.
        let off = with_stud_at(12.0);
        let on = with_stud_at(0.0);
        for page in 0..2 {
            assert!(says(&off[page], "12.00 mm to the right of this middle line"));
            assert!(says(&on[page], "on the line of this middle line") && !says(&on[page], ": 0.00 mm to"));
        }
    }

    #[test]
    fn no_line_crosses_the_word_up() {
        for first in [0.0, -10.0, -20.0, -32.0] {
            let pages = sheets(|project| {
                project.room.studs = Some(Studs { spacing: 406.4, first, more: More::default() });
            });
            for page in &pages {
                let up = page.texts().find(|text| text.words == "up").expect("which way is up").area();
                // The sheet's own frame and ruler lie around it.
                assert_eq!(page.lines_through(&up), 0, "{first}");
            }
        }
    }

    #[test]
    fn a_long_bar_takes_several_sheets_in_any_unit() {
        for units in [Units::Millimetre, Units::Inch, Units::FeetInch] {
            let sheets = sheets(|project| {
                project.units = Some(units);
                project.bars.wall_bar.lower_end = 700.0;
                project.title = Some("Küche ".repeat(60));
            });
            assert!(sheets.len() >= 8, "{}", sheets.len());
        }
    }
}
