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

/// From the bar to the scene's edges, mm: room for words beside it, and below it.
const BESIDE: f64 = 66.0;
const ABOVE: f64 = 14.0;
const BELOW: f64 = 66.0;
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
    let scenes =
        [Hand::Left, Hand::Right].map(|hand| scene(project, &analysis.lift.wall_bar, bar_of(parts, hand), hand));
    let sheets = Sheets {
        paper: Paper::of_office(units),
        title: project.title(),
        document: "Wall template",
        units,
        notices: &notices,
    };
    sheets.cut(&scenes)
}

/// One wall bar as it stands on the wall, seen by somebody who faces it. The rulers count from its
/// middle line and from the floor.
fn scene(project: &Project, bar: &Rectangle, part: Option<&Part>, hand: Hand) -> Scene {
    let units = project.units();
    let say = |mm: f64| by_tape(mm, units);
    let half = 0.5 * project.bars.wall_bar.depth;
    let (low, high) = (bar.least.y, bar.most.y);
    let (width, height) = (2.0 * (half + BESIDE), ABOVE + (high - low) + BELOW);
    let middle = 0.5 * width;
    // The floor lies far below the scene.
    let view = View::new([middle, ABOVE + high], 1.0);
    let name = if hand == Hand::Left { "Left set" } else { "Right set" };
    let mut scene = Scene::new(name, width, height, view.origin);
    let page = &mut scene.page;
    let within = page.area();
    let at = |x: f64, y: f64| [middle + x, view.origin[1] - y];

    page.draw(view.polygon(&[[-half, low], [half, low], [half, high], [-half, high]].map(Into::into)), Pen::OUTLINE);
    page.line(&[at(0.0, high + ABOVE - 2.0), at(0.0, low - 14.0)], Pen::CENTRE);
    page.line(&[at(-middle + 1.0, low), at(middle - 1.0, low)], Pen::OUTLINE.coloured(ACCENT));

    let left = |x: f64, y: f64| (at(x, y), Hold::End);
    let beside = -half - 2.5;
    let quiet = Style::BODY.coloured(QUIET);
    for (words, y) in [("lower pivot", project.linkage.wall_lower.y), ("upper pivot", project.linkage.wall_upper.y)] {
        page.line(&[at(-half - 2.0, y), at(half + 2.0, y)], Pen::CENTRE);
        let places = [left(beside, y - 1.2), left(beside, y + 2.6), left(beside, y - 5.2)];
        page.label(&places, &format!("{words} {}", say(y)), quiet, within);
    }
    draw_screws(project, bar, part, &mut scene, half);
    draw_studs(project, part, &mut scene, hand, [low, high]);
    // Inside of the bar's left edge, on every sheet of a long one.
    let ([x, bottom], [_, top]) = (at(-half, low), at(-half, high));
    let words = format!("{name}, wall bar");
    scene.names.push(Name { words, x: x + 1.5 + Style::BODY.capital, y: [top, bottom] });
    let page = &mut scene.page;
    which_way_is_up(page, view.place(overarm_solver::Point::new(-half, high)));
    page.text(at(-middle + 2.0, low + 1.5), Hold::Start, "level line", Style::BODY.bold().coloured(ACCENT));
    page.text(at(middle - 2.0, low + 1.5), Hold::End, "level line", Style::BODY.bold().coloured(ACCENT));

    let (inner, arrow) = if hand == Hand::Left { (1.0, "→") } else { (-1.0, "←") };
    let other = if hand == Hand::Left { "right" } else { "left" };
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
    lines.extend(rounding_words(units).map(str::to_owned));
    let mut y = low - 20.0;
    for line in lines {
        for piece in Style::BODY.wrap(&line, width - 6.0) {
            page.text(at(-middle + 3.0, y), Hold::Start, &piece, Style::BODY);
            y -= Style::BODY.line_height();
        }
    }
    // An arrow on the wall towards the other set.
    crate::sheet::dimension::arrow(page, at(inner * (half + 40.0), low - 6.0), [inner, 0.0]);
    page.line(&[at(inner * (half + 8.0), low - 6.0), at(inner * (half + 38.0), low - 6.0)], Pen::THIN);
    let words = format!("{other} set");
    page.text(at(inner * (half + 24.0), low - 5.0), Hold::Middle, &words, Style::BODY);
    scene
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
    let beside = half + 2.5;
    let Some(part) = part.filter(|part| !part.screw_holes.is_empty()) else {
        let wrong = project
            .fixings
            .as_ref()
            .and_then(|fixings| ScrewedBar::new(fixings, bar.least.y, bar.most.y, project.bars.wall_bar.depth).err());
        let none = || "No screws are given: mark them through the bar.".to_owned();
        let mut y = 0.5 * (bar.least.y + bar.most.y);
        for line in Style::BODY.bold().wrap(&wrong.map_or_else(none, |wrong| wrong.sentence()), BESIDE - 6.0) {
            page.text(at(beside, y), Hold::Start, &line, Style::BODY.bold());
            y -= Style::BODY.line_height();
        }
        return;
    };
    // The inner face lies to the right of a left set's middle, to the left of a right one's.
    let side = if part.hand == Hand::Left { 1.0 } else { -1.0 };
    let screw = project.fixings.as_ref().and_then(|fixings| fixings.diameter);
    for hole in &part.screw_holes {
        let x = side * (0.5 * part.depth - hole.z);
        let height = bar.least.y + part.above_lower_end(hole.from);
        let place = at(x, height);
        let radius = 0.5 * hole.diameter;
        page.draw(Path::circle(place, radius), Pen::OUTLINE);
        centre_cross(page, place, radius);
        let size = screw.map_or_else(String::new, |mm| format!(" Ø{}", say_size(mm, units)));
        let words = format!("{}{size}: {}", hole.name, by_tape(height, units));
        let places = [-1.2, 2.6, -5.2].map(|by| (at(beside, height + by), Hold::Start));
        page.label(&places, &words, Style::BODY, within);
    }
    if let Some(hole) = part.screw_holes.first() {
        let off = 0.5 * part.depth - hole.z;
        if off.abs() > 0.05 {
            let x = side * off;
            let top = [middle + x, floor - bar.most.y];
            page.line(&[[top[0], top[1] - 8.0], [top[0], floor - bar.least.y + 4.0]], Pen::CENTRE.coloured(ACCENT));
            let words = format!("screws {} from the middle line", by_tape(off.abs(), units));
            page.text([middle + half + 2.5, top[1] - 4.0], Hold::Start, &words, Style::BODY.coloured(ACCENT));
            page.line(&[[top[0], top[1] - 6.0], [middle + half + 2.0, top[1] - 6.0]], Pen::THIN.coloured(ACCENT));
        }
    }
}

/// Studs behind the sheet, or how far the nearest is off it.
fn draw_studs(project: &Project, part: Option<&Part>, scene: &mut Scene, hand: Hand, [low, high]: [f64; 2]) {
    let units = project.units();
    let Some(studs) = project.room.studs.as_ref().filter(|studs| studs.spacing > 0.0) else { return };
    let set = if hand == Hand::Left { -0.5 } else { 0.5 } * project.set_spacing();
    let nearest = studs.first + ((set - studs.first) / studs.spacing).round() * studs.spacing - set;
    let page = &mut scene.page;
    let [middle, floor] = scene.zero;
    let side = if hand == Hand::Left { 1.0 } else { -1.0 };
    let screws = part.and_then(|part| Some(side * (0.5 * part.depth - part.screw_holes.first()?.z)));
    let off = nearest - screws.unwrap_or(0.0);
    let of = if screws.is_some() { "the screws" } else { "this middle line" };
    let place = if off.abs() < ON_IT {
        format!("on the line of {of}")
    } else {
        format!("{} to the {} of {of}", by_tape(off.abs(), units), if off < 0.0 { "left" } else { "right" })
    };
    let words = format!("Nearest stud's middle, as the project says: {place}. Find it.");
    let x = middle + nearest;
    if x > 4.0 && x < page.paper.width - 4.0 {
        page.line(&[[x, floor - high - ABOVE + 1.0], [x, floor - low + 12.0]], Pen::HIDDEN.coloured(QUIET));
    }
    let foot = page.paper.height - 4.0;
    page.text([3.0, foot], Hold::Start, &words, Style::BODY);
}

/// A screw's diameter as people call it.
fn say_size(mm: f64, units: Units) -> String {
    with_unit(&length(mm, units), units)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project_file;
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
            assert!(says(page, "screws 9.53 mm from the middle line"));
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
