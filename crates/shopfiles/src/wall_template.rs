//! `wall-template.pdf`: where the screws of both wall bars go, 1:1, to be taped to the wall.

use overarm_solver::{Analysis, Hand, Project, Rectangle, ScrewedBar, Units};

use crate::job_folder::Job;
use crate::sheet::dimension::centre_cross;
use crate::sheet::figures::{length, with_unit};
use crate::sheet::notices::Notices;
use crate::sheet::page::{Area, Hold, Page};
use crate::sheet::paper::Paper;
use crate::sheet::path::View;
use crate::sheet::pdf::pdf;
use crate::sheet::pen::{ACCENT, Pen, QUIET};
use crate::sheet::tiles::{Scene, Sheets};
use crate::sheet::typeface::Style;

/// From the bar to the scene's edges, mm: room for words beside it, and below it.
const BESIDE: f64 = 66.0;
const ABOVE: f64 = 14.0;
const BELOW: f64 = 62.0;

/// The file.
///
/// # Errors
/// A sentence where the PDF writer refuses.
pub fn wall_template(job: &Job) -> Result<Vec<u8>, String> {
    pdf(&format!("{}: wall template", job.project.title()), &pages(job.project, job.analysis))
}

/// Its sheets: those of the left set, then those of the right one.
#[must_use]
pub fn pages(project: &Project, analysis: &Analysis) -> Vec<Page> {
    let notices = Notices::of(project, analysis);
    let units = project.units();
    let scenes = [Hand::Left, Hand::Right].map(|hand| scene(project, &analysis.lift.wall_bar, hand));
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
fn scene(project: &Project, bar: &Rectangle, hand: Hand) -> Scene {
    let units = project.units();
    let say = |mm: f64| with_unit(&length(mm, units), units);
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
    page.text(at(2.0, high + 4.0), Hold::Start, "up", Style::BODY.bold());
    crate::sheet::dimension::arrow(page, at(-3.0, high + 8.0), [0.0, -1.0]);
    page.line(&[at(-3.0, high + 2.0), at(-3.0, high + 5.0)], Pen::THIN);

    let left = |x: f64, y: f64| (at(x, y), Hold::End);
    let beside = -half - 2.5;
    let quiet = Style::BODY.coloured(QUIET);
    for (words, y) in [("lower pivot", project.linkage.wall_lower.y), ("upper pivot", project.linkage.wall_upper.y)] {
        page.line(&[at(-half - 2.0, y), at(half + 2.0, y)], Pen::CENTRE);
        let places = [left(beside, y - 1.2), left(beside, y + 2.6), left(beside, y - 5.2)];
        page.label(&places, &format!("{words} {}", say(y)), quiet, within);
    }
    draw_screws(project, bar, &mut scene, half);
    let page = &mut scene.page;
    page.text(at(-middle + 2.0, low + 1.5), Hold::Start, "level line", Style::BODY.bold().coloured(ACCENT));
    page.text(at(middle - 2.0, low + 1.5), Hold::End, "level line", Style::BODY.bold().coloured(ACCENT));

    let (inner, arrow) = if hand == Hand::Left { (1.0, "→") } else { (-1.0, "←") };
    let other = if hand == Hand::Left { "right" } else { "left" };
    let spacing = project.set_spacing();
    let lines = [
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

fn draw_screws(project: &Project, bar: &Rectangle, scene: &mut Scene, half: f64) {
    let units = project.units();
    let page = &mut scene.page;
    let within = page.area();
    let [middle, floor] = scene.zero;
    let at = |x: f64, y: f64| [middle + x, floor - y];
    let beside = half + 2.5;
    let stock = &project.bars.wall_bar;
    let given = project.fixings.as_ref().map(|f| (f, ScrewedBar::new(f, bar.least.y, bar.most.y, stock.depth)));
    let Some((fixings, Ok(group))) = given else {
        let why = match given {
            Some((_, Err(wrong))) => wrong.sentence(),
            _ => "No screws are given: mark them through the bar.".to_owned(),
        };
        let mut y = 0.5 * (bar.least.y + bar.most.y);
        for line in Style::BODY.bold().wrap(&why, BESIDE - 6.0) {
            page.text(at(beside, y), Hold::Start, &line, Style::BODY.bold());
            y -= Style::BODY.line_height();
        }
        return;
    };
    let diameter = fixings.diameter;
    for (index, height) in group.screws.iter().enumerate() {
        let place = at(0.0, *height);
        let radius = 0.5 * diameter.unwrap_or(0.0);
        if radius > 0.0 {
            page.draw(crate::sheet::path::Path::circle(place, radius), Pen::OUTLINE);
        }
        centre_cross(page, place, radius);
        let size = diameter.map_or_else(String::new, |mm| format!(" Ø{}", size(mm, units)));
        let words = format!("screw {}{size}: {}", index + 1, with_unit(&length(*height, units), units));
        let places = [-1.2, 2.6, -5.2].map(|by| (at(beside, height + by), Hold::Start));
        page.label(&places, &words, Style::BODY, Area { right: within.right, ..within });
    }
}

/// A screw's diameter as people call it.
fn size(mm: f64, units: Units) -> String {
    with_unit(&length(mm, units), units)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project_file;
    use overarm_solver::{Options, analyse};

    fn sheets(change: impl FnOnce(&mut Project)) -> Vec<Page> {
        let mut project =
            project_file::parse(include_bytes!("../../../demo/chapel-hatch.overarm.json")).expect("the demo");
        change(&mut project);
        let pages = pages(&project, &analyse(&project, &Options { poses: 2, swept: false }));
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
