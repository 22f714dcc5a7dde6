//! `mock-up.pdf`: the four links of one set, 1:1, to be cut from card or plywood, with holes to try
//! beside each pivot.

use overarm_solver::{Analysis, ArmName, Build, Lift, MM_PER_INCH, PartName, Point, Project, Units};

use crate::job_folder::Job;
use crate::sheet::figures::{length, with_unit};
use crate::sheet::notices::Notices;
use crate::sheet::page::{Hold, Page};
use crate::sheet::paper::Paper;
use crate::sheet::path::{Path, View};
use crate::sheet::pdf::pdf;
use crate::sheet::pen::{ACCENT, Pen, QUIET};
use crate::sheet::tiles::{Name, Scene, Sheets};
use crate::sheet::typeface::Style;

/// Pins of a model, mm: a 3 mm screw or a nail.
const PIN: f64 = 3.0;
/// Holes to try on each side of a pivot, along and across the link.
const TRIALS: i32 = 2;
/// From a hole's middle to an edge of card, at least, mm.
const LEAST_EDGE: f64 = 4.0;
/// Between links on a sheet, and around them, mm.
const GAP: f64 = 10.0;
/// Widest row of links, mm: less than any sheet's window.
const WIDEST: f64 = 170.0;
/// Below the links, for what is said about them, mm.
const NOTES: f64 = 44.0;

/// The file.
///
/// # Errors
/// A sentence where the PDF writer refuses.
pub fn mock_up(job: &Job) -> Result<Vec<u8>, String> {
    pdf(job.project, "mock-up", &pages(job.project, job.analysis))
}

/// Its sheets: arms, then bars.
#[must_use]
pub fn pages(project: &Project, analysis: &Analysis) -> Vec<Page> {
    let notices = Notices::of(project, analysis);
    let units = project.units();
    let links = Link::of(&analysis.lift, units);
    let mut rows: Vec<Vec<&Link>> = Vec::new();
    for pair in links.chunks(2) {
        let width: f64 = pair.iter().map(Link::width).sum::<f64>() + 3.0 * GAP;
        if width <= WIDEST { rows.push(pair.iter().collect()) } else { rows.extend(pair.iter().map(|link| vec![link])) }
    }
    let scenes: Vec<Scene> = rows.iter().map(|row| scene(project, row)).collect();
    let sheets = Sheets {
        paper: Paper::of_office(units),
        title: project.title(),
        document: "Mock-up",
        units,
        notices: &notices,
    };
    sheets.cut(&scenes)
}

/// A link as it stands upright on the sheet: pivots and edges, mm, y up.
struct Link {
    name: PartName,
    /// Of metal.
    least: Point,
    most: Point,
    /// Half-round ends.
    is_arm: bool,
    /// The lower one (arms: at the wall) first.
    pivots: [Point; 2],
}

impl Link {
    /// Both arms, then wall bar and panel bar.
    fn of(lift: &Lift, units: Units) -> [Self; 4] {
        let more = f64::from(TRIALS) * step(units);
        let arm = |arm: ArmName, length: f64| {
            let radius = lift.arm_radius(arm);
            Self {
                name: arm.part(),
                // Longer than of metal, so that the outer trial holes have card around them.
                least: Point::new(-radius, -radius - more),
                most: Point::new(radius, length + radius + more),
                is_arm: true,
                pivots: [Point::origin(), Point::new(0.0, length)],
            }
        };
        let bar = |name, rectangle: &overarm_solver::Rectangle, pivots| Self {
            name,
            least: rectangle.least,
            most: rectangle.most,
            is_arm: false,
            pivots,
        };
        [
            arm(ArmName::Lower, lift.lengths.lower_arm),
            arm(ArmName::Upper, lift.lengths.upper_arm),
            bar(PartName::WallBar, &lift.wall_bar, [lift.wall_lower, lift.wall_upper]),
            bar(PartName::PanelBar, &lift.panel_bar, [lift.panel_lower, lift.panel_upper]),
        ]
    }

    fn width(&self) -> f64 {
        self.most.x - self.least.x
    }

    fn height(&self) -> f64 {
        self.most.y - self.least.y
    }

    /// From a place to the nearest edge of card, mm.
    fn edge(&self, at: Point) -> f64 {
        if self.is_arm {
            let radius = self.most.x;
            let end = at.y.clamp(self.least.y + radius, self.most.y - radius);
            return radius - at.x.hypot(at.y - end);
        }
        (at.x - self.least.x).min(self.most.x - at.x).min(at.y - self.least.y).min(self.most.y - at.y)
    }
}

/// From one hole to try to the next.
fn step(units: Units) -> f64 {
    match units {
        Units::Millimetre => 5.0,
        Units::Inch | Units::FeetInch => MM_PER_INCH / 4.0,
    }
}

/// How far a hole to try is off, in words: "+5", "−1/2".
fn offset_words(steps: i32, units: Units) -> String {
    let sign = if steps < 0 { "−" } else { "+" };
    let figures = match (units, steps.abs()) {
        (Units::Millimetre, steps) => (5 * steps).to_string(),
        (_, 1) => "1/4".to_owned(),
        (_, 2) => "1/2".to_owned(),
        (_, steps) => format!("{steps}/4"),
    };
    format!("{sign}{figures}")
}

fn scene(project: &Project, links: &[&Link]) -> Scene {
    let units = project.units();
    let width = links.iter().map(|link| link.width()).sum::<f64>() + GAP * (1.0 + links.len() as f64);
    let width = width.max(WIDEST);
    let height = links.iter().map(|link| link.height()).fold(0.0, f64::max) + 2.0 * GAP + NOTES;
    let floor = height - GAP - NOTES;
    let mut left = GAP;
    let mut views = Vec::new();
    for link in links {
        views.push(View::new([left - link.least.x, floor + link.least.y], 1.0));
        left += link.width() + GAP;
    }
    let zero = links.first().zip(views.first()).map_or([0.0; 2], |(link, view)| view.place(link.pivots[0]));
    let names: Vec<&str> = links.iter().map(|link| link.name.words()).collect();
    let mut scene = Scene::new(&names.join(" and "), width, height, zero);
    for (link, view) in links.iter().zip(&views) {
        draw(&mut scene, link, view, units);
    }
    let mut y = floor + 16.0;
    for line in notes(project) {
        y = scene.page.lines([GAP, y], &Style::BODY.wrap(&line, WIDEST - 2.0 * GAP), Style::BODY);
    }
    scene
}

fn notes(project: &Project) -> Vec<String> {
    let layers = match project.bars.build {
        Build::Lapped => {
            "Pin both arms into one layer and both bars into another: the arms then stop on each other as in metal."
        }
        Build::Sandwich => "Pin the bars into the middle layer, the lower arm over them, the upper arm under them.",
    };
    vec![
        format!(
            "Cut along the wide line, two of each: the right set's are the same, turned over. Punch {PIN} mm holes; the \
             ringed one is the pivot, the others try it moved by what stands beside them."
        ),
        "Dashed: the end of the arm of metal. Half laps and reliefs are not drawn; wall bar and panel bar stand as \
         in the side view, the wall at their left."
            .to_owned(),
        layers.to_owned(),
    ]
}

fn draw(scene: &mut Scene, link: &Link, view: &View, units: Units) {
    let page = &mut scene.page;
    let (least, most) = (link.least, link.most);
    if link.is_arm {
        let radius = most.x;
        let more = f64::from(TRIALS) * step(units);
        page.draw(view.outline(&stadium(least.y + radius, most.y - radius, radius)), Pen::OUTLINE);
        page.draw(view.outline(&stadium(least.y + radius + more, most.y - radius - more, radius)), Pen::HIDDEN);
    } else {
        page.draw(view.polygon(&[least, Point::new(most.x, least.y), most, Point::new(least.x, most.y)]), Pen::OUTLINE);
    }
    let [first, second] = link.pivots;
    page.draw(view.line(&[first, second]), Pen::CENTRE.coloured(QUIET));
    for pivot in link.pivots {
        draw_holes(page, link, view, pivot, units);
    }
    let apart = (second - first).norm();
    let words = format!("{}: {} between the pivots", link.name.words(), with_unit(&length(apart, units), units));
    if link.is_arm {
        let [x, bottom] = view.place(first);
        let [_, top] = view.place(second);
        scene.names.push(Name { words, x: x - 3.0, y: [top, bottom] });
    } else {
        let [x, y] = view.place(least);
        let [_, top] = view.place(most);
        let name = link.name.words().to_owned();
        scene.names.push(Name { words: name, x: x + 1.5 + Style::BODY.capital, y: [top, y] });
        page.lines([x, y + 4.0], &Style::BODY.wrap(&words, link.width()), Style::BODY);
    }
}

fn draw_holes(page: &mut Page, link: &Link, view: &View, pivot: Point, units: Units) {
    let radius = 0.5 * PIN;
    let at = view.place(pivot);
    page.draw(Path::circle(at, radius), Pen::OUTLINE.coloured(ACCENT));
    page.draw(Path::circle(at, radius + 1.2), Pen::THIN.coloured(ACCENT));
    for steps in (-TRIALS..=TRIALS).filter(|steps| *steps != 0) {
        let by = f64::from(steps) * step(units);
        for (across, trial) in
            [(false, pivot + by * nalgebra::Vector2::y()), (true, pivot + by * nalgebra::Vector2::x())]
        {
            // An arm is tried along its own line alone.
            if link.edge(trial) < LEAST_EDGE || (across && link.is_arm) {
                continue;
            }
            let place = view.place(trial);
            page.draw(Path::circle(place, radius), Pen::THIN);
            page.line(&[[place[0] - 2.0, place[1]], [place[0] + 2.0, place[1]]], Pen::THIN.wide(0.13));
            page.line(&[[place[0], place[1] - 2.0], [place[0], place[1] + 2.0]], Pen::THIN.wide(0.13));
            let words = offset_words(steps, units);
            if across {
                page.text([place[0], place[1] + 3.95], Hold::Middle, &words, Style::SMALL);
            } else {
                page.text([place[0] + 2.8, place[1] + 0.9], Hold::Start, &words, Style::SMALL);
            }
        }
    }
}

/// Upright, about the middles of its half-round ends.
fn stadium(low: f64, high: f64, radius: f64) -> [overarm_solver::Vertex; 4] {
    let at = |x: f64, y: f64, bulge: f64| overarm_solver::Vertex { at: Point::new(x, y), bulge };
    [at(radius, low, 0.0), at(radius, high, 1.0), at(-radius, high, 0.0), at(-radius, low, 1.0)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project_file;
    use crate::sheet::joints::unjoined;
    use overarm_solver::{Options, analyse};

    #[test]
    fn links_of_every_demo_fit_their_sheets_and_keep_their_words_apart() {
        for bytes in [
            include_bytes!("../../../demo/chapel-hatch.overarm.json").as_slice(),
            include_bytes!("../../../demo/book-niche-feet.overarm.json"),
            include_bytes!("../../../demo/scullery-shelf.overarm.json"),
            include_bytes!("../../../demo/vestry-tea-hatch-feet.overarm.json"),
        ] {
            let project = project_file::parse(bytes).expect("a demo");
            let pages = pages(&project, &analyse(&project, &Options { poses: 2, swept: false }));
            for name in ["lower arm:", "upper arm:", "wall bar:", "panel bar:"] {
                assert!(pages.iter().any(|page| page.texts().any(|text| text.words.starts_with(name))), "{name}");
            }
            assert_eq!(unjoined(&pages), Vec::<String>::new(), "{}", project.title());
            for page in &pages {
                assert_eq!(page.faults(), Vec::<String>::new(), "{}", project.title());
            }
        }
    }

    #[test]
    fn holes_to_try_stay_in_the_card() {
        let bytes = include_bytes!("../../../demo/chapel-hatch.overarm.json");
        let project = project_file::parse(bytes).expect("the demo");
        let lift = Lift::new(&project);
        let [lower, _, wall, _] = Link::of(&lift, Units::Millimetre);
        // 25.4 wide and 10 longer at both ends.
        assert!((lower.edge(Point::origin()) - 12.7).abs() < 1e-9);
        assert!((lower.edge(Point::new(0.0, -10.0)) - 12.7).abs() < 1e-9);
        // 15.62 from the wall: 5 more is in, 15 more in the other direction not.
        assert!((wall.edge(lift.wall_lower) - 15.62).abs() < 1e-9);
        assert!(wall.edge(lift.wall_lower - 12.0 * nalgebra::Vector2::x()) < LEAST_EDGE);
        assert_eq!(
            (offset_words(-2, Units::Inch).as_str(), offset_words(1, Units::Millimetre).as_str()),
            ("−1/2", "+5")
        );
    }
}
