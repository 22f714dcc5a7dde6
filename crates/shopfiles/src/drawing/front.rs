//! The front view: the wall as one faces it, with studs, what is uncovered, and both sets of bars.
//!
//! Its places are (z, y): z along the wall to the right from the panel's middle, y up from the floor.

use nalgebra::Vector2;
use overarm_solver::along_wall::{bar_range, screwed_range};
use overarm_solver::{Analysis, Build, Layer, PartName, Point, Pose, Project, RoomShape, ScrewedBar, show_length};

use super::{Drawing, Hold, Line, Mark, Tone, boxed, ring, words};

/// Breadth of a stud, mm: 1-1/2 in, as sawn and planed timber commonly is (common practice).
const STUD: f64 = 38.1;
/// Wall, floor and ceiling drawn beyond what is worth showing, mm: as far as anybody looks around.
const AROUND: f64 = 3000.0;
/// A hand's breadth, mm.
const HAND: f64 = 100.0;
/// Studs drawn at most; more would be a grey wall.
const MOST_STUDS: f64 = 100.0;
/// Screws drawn at most on one bar.
const MOST_SCREWS: usize = 100;

/// The pair on the wall at a pose, hung and parked as ghosts, to scale.
#[must_use]
pub fn front(project: &Project, analysis: &Analysis, pose: &Pose) -> Drawing {
    let extent = extent(project, analysis);
    let mut marks = Vec::new();
    let across = [extent[0].x - AROUND, extent[1].x + AROUND];
    draw_wall(&mut marks, project, across, extent[0].x + 0.8 * HAND);
    draw_opening(&mut marks, project);
    draw_screws(&mut marks, project, analysis);
    draw_ends(&mut marks, project, analysis);
    let bars = bars(project, analysis, pose);
    for (bar, outline) in &bars {
        marks.push(Mark::Area { outline: outline.to_vec(), tone: Tone::Metal(layer_of(project, *bar)) });
        marks.push(ring(outline, Line::Outline, Tone::Ink));
    }
    draw_strap(&mut marks, project, analysis, pose);
    let board = panel(project, analysis, pose);
    draw_panel(&mut marks, &board, &bars);
    name_opening(&mut marks, project, &board);
    draw_sizes(&mut marks, project, analysis);
    Drawing {
        title: "Front view",
        note: "Both sets as they hang on the wall, seen by somebody who faces it",
        marks,
        extent,
        bars: bars.into_iter().map(|(name, outline)| (name, outline.to_vec())).collect(),
        hands: Vec::new(),
    }
}

/// Heights that places of the side view take up.
fn heights<'a>(places: impl IntoIterator<Item = &'a Point>) -> [f64; 2] {
    let range = |[least, most]: [f64; 2], place: &Point| [least.min(place.y), most.max(place.y)];
    places.into_iter().fold([f64::INFINITY, f64::NEG_INFINITY], range)
}

/// The tone that tells an arm from the bar behind it, as in the side view.
fn layer_of(project: &Project, bar: PartName) -> Layer {
    match (project.bars.build, bar) {
        (_, PartName::LowerArm) | (Build::Lapped, PartName::UpperArm) => Layer::Outer,
        (Build::Sandwich, PartName::UpperArm) | (Build::Lapped, _) => Layer::Inner,
        (Build::Sandwich, _) => Layer::Middle,
    }
}

/// The four bars of both sets as boxes, what lies behind first.
fn bars(project: &Project, analysis: &Analysis, pose: &Pose) -> Vec<(PartName, [Point; 4])> {
    let lift = &analysis.lift;
    let arm = |axis: [Point; 2], radius: f64| {
        let [least, most] = heights(&axis);
        [least - radius, most + radius]
    };
    let in_height = [
        (PartName::WallBar, heights(&lift.wall_bar_corners())),
        (PartName::UpperArm, arm(lift.upper_arm_axis(pose), lift.upper_arm_radius())),
        (PartName::LowerArm, arm(lift.lower_arm_axis(pose), lift.lower_arm_radius())),
        (PartName::PanelBar, heights(&lift.panel_bar_corners(pose))),
    ];
    let half = 0.5 * project.set_spacing();
    let of_side = |side: f64| {
        in_height.map(|(bar, y)| {
            let [inner, outer] = bar_range(project, bar).map(|z| side * (half + z));
            (bar, boxed([inner.min(outer), inner.max(outer)], y))
        })
    };
    [-1.0, 1.0].into_iter().flat_map(of_side).collect()
}

fn panel(project: &Project, analysis: &Analysis, pose: &Pose) -> [Point; 4] {
    let half = 0.5 * project.panel.width;
    boxed([-half, half], heights(&analysis.lift.panel_corners(pose)))
}

/// Floor, the end of the wall, studs.
fn draw_wall(marks: &mut Vec<Mark>, project: &Project, [left, right]: [f64; 2], shown_from: f64) {
    let top = wall_top(&RoomShape::new(&project.room));
    for stud in studs(project, left, right) {
        for edge in [stud - 0.5 * STUD, stud + 0.5 * STUD] {
            let places = vec![Point::new(edge, 0.0), Point::new(edge, top)];
            marks.push(Mark::Line { places, line: Line::Hidden, tone: Tone::Faint });
        }
        let places = vec![Point::new(stud, 0.0), Point::new(stud, top)];
        marks.push(Mark::Line { places, line: Line::Centre, tone: Tone::Faint });
    }
    // The floor is cut; the ceiling runs from the top of the wall towards the eye.
    marks.push(Mark::Solid { outline: boxed([left, right], [-AROUND, 0.0]).to_vec() });
    marks.push(Mark::Area { outline: boxed([left, right], [top, top + AROUND]).to_vec(), tone: Tone::Beyond });
    for (edge, name, off) in [(0.0, "floor", 0.8), (top, "where wall and ceiling meet", 0.8)] {
        let places = vec![Point::new(left, edge), Point::new(right, edge)];
        marks.push(Mark::Line { places, line: Line::Outline, tone: Tone::Ink });
        let at = Point::new(shown_from, edge);
        let off = Vector2::new(0.0, off);
        marks.push(words(at, off, Hold::Right, name.to_owned(), Tone::Quiet));
    }
}

/// Where the finished wall ends, mm above the floor.
fn wall_top(room: &RoomShape) -> f64 {
    room.wall_run().iter().map(|edge| edge[1].y).fold(0.0, f64::max)
}

/// Middles of the studs between two places along the wall.
fn studs(project: &Project, left: f64, right: f64) -> Vec<f64> {
    let Some(studs) = &project.room.studs else { return Vec::new() };
    if studs.spacing <= 0.0 || (right - left) / studs.spacing > MOST_STUDS {
        return Vec::new();
    }
    let mut number = ((left - studs.first) / studs.spacing).ceil();
    let mut found = Vec::new();
    while studs.first + number * studs.spacing <= right {
        found.push(studs.first + number * studs.spacing);
        number += 1.0;
    }
    found
}

/// The range that is uncovered. How wide the opening is nobody said: it is drawn as wide as the panel.
fn opening(project: &Project) -> Option<[Point; 4]> {
    let uncover = project.room.uncover.as_ref()?;
    let half = 0.5 * project.panel.width;
    Some(boxed([-half, half], [uncover.bottom, uncover.top]))
}

fn draw_opening(marks: &mut Vec<Mark>, project: &Project) {
    let Some(outline) = opening(project) else { return };
    marks.push(Mark::Area { outline: outline.to_vec(), tone: Tone::Opening });
    for y in [outline[0].y, outline[2].y] {
        let places = vec![Point::new(outline[0].x, y), Point::new(outline[2].x, y)];
        marks.push(Mark::Line { places, line: Line::Outline, tone: Tone::Ink });
    }
}

/// Its edges where the panel hides them, and its name over everything.
fn name_opening(marks: &mut Vec<Mark>, project: &Project, panel: &[Point; 4]) {
    let (Some(outline), Some(uncover)) = (opening(project), &project.room.uncover) else { return };
    if let Some(hidden) = common(panel, &outline) {
        marks.push(ring(&hidden, Line::Hidden, Tone::Quiet));
    }
    let name = uncover.name.as_deref().unwrap_or("to be uncovered");
    let text = format!("{name}, {} high", show_length(uncover.top - uncover.bottom, project.units()));
    let at = Point::new(0.0, 0.5 * (uncover.bottom + uncover.top));
    marks.push(words(at, Vector2::zeros(), Hold::Middle, text, Tone::Ink));
}

/// Circles and centre lines of the screws along both wall bars, where they are given and fit on them.
fn draw_screws(marks: &mut Vec<Mark>, project: &Project, analysis: &Analysis) {
    let Some(fixings) = &project.fixings else { return };
    let bar = &analysis.lift.wall_bar;
    let group = ScrewedBar::new(fixings, bar.least.y, bar.most.y, project.bars.wall_bar.depth);
    let (Some(radius), Ok(group)) = (fixings.diameter.map(|diameter| 0.5 * diameter), group) else { return };
    let [inner, outer] = screwed_range(project);
    let from_middle = 0.5 * project.set_spacing() + 0.5 * (inner + outer);
    for y in group.screws.into_iter().take(MOST_SCREWS) {
        for z in [-from_middle, from_middle] {
            let round = (0..24).map(|part| f64::from(part) * std::f64::consts::TAU / 24.0);
            let outline: Vec<_> =
                round.map(|angle| Point::new(z + radius * angle.cos(), y + radius * angle.sin())).collect();
            marks.push(ring(&outline, Line::Thin, Tone::Ink));
            let arm = 2.5 * radius;
            let cross =
                [[Point::new(z - arm, y), Point::new(z + arm, y)], [Point::new(z, y - arm), Point::new(z, y + arm)]];
            for places in cross {
                marks.push(Mark::Line { places: places.to_vec(), line: Line::Thin, tone: Tone::Ink });
            }
        }
    }
}

/// Hung and parked, narrow and quiet.
fn draw_ends(marks: &mut Vec<Mark>, project: &Project, analysis: &Analysis) {
    for (travel, name) in [(0.0, "hung"), (1.0, "parked")] {
        let outline = panel(project, analysis, &analysis.pose_at(travel));
        marks.push(ring(&outline, Line::Ghost, Tone::Quiet));
        let off = Vector2::new(0.5, -0.7);
        marks.push(words(outline[2], off, Hold::Left, name.to_owned(), Tone::Quiet));
    }
}

fn draw_strap(marks: &mut Vec<Mark>, project: &Project, analysis: &Analysis, pose: &Pose) {
    let (Some(strap), Some(drive)) = (&analysis.strap, &project.drive) else { return };
    let z = drive.z_range();
    let run = strap.at(pose);
    let radius = run.map_or(strap.drum.bare_radius, |run| run.outer_radius);
    let drum = strap.drum.centre;
    if let Some(run) = run {
        let outline = boxed(z, [run.anchor.y.min(run.tangent.y), run.anchor.y.max(run.tangent.y)]);
        marks.push(Mark::Area { outline: outline.to_vec(), tone: Tone::Strap });
        marks.push(ring(&outline, Line::Thin, Tone::Ink));
    }
    let outline = boxed(z, [drum.y - radius, drum.y + radius]);
    marks.push(Mark::Area { outline: outline.to_vec(), tone: Tone::Metal(Layer::Inner) });
    marks.push(ring(&outline, Line::Outline, Tone::Ink));
    let places = vec![Point::new(z[0] - 30.0, drum.y), Point::new(z[1] + 30.0, drum.y)];
    marks.push(Mark::Line { places, line: Line::Centre, tone: Tone::Ink });
}

/// The panel in front; what it hides is dashed.
fn draw_panel(marks: &mut Vec<Mark>, outline: &[Point; 4], bars: &[(PartName, [Point; 4])]) {
    marks.push(Mark::Area { outline: outline.to_vec(), tone: Tone::Wood });
    for hidden in bars.iter().filter_map(|(_, bar)| common(outline, bar)) {
        marks.push(ring(&hidden, Line::Hidden, Tone::Ink));
    }
    marks.push(ring(outline, Line::Outline, Tone::Ink));
    let [bottom, top] = heights(outline);
    let places = vec![Point::new(0.0, bottom - 40.0), Point::new(0.0, top + 40.0)];
    marks.push(Mark::Line { places, line: Line::Centre, tone: Tone::Quiet });
}

/// What two boxes share.
fn common(one: &[Point; 4], other: &[Point; 4]) -> Option<[Point; 4]> {
    let z = [one[0].x.max(other[0].x), one[2].x.min(other[2].x)];
    let y = [one[0].y.max(other[0].y), one[2].y.min(other[2].y)];
    (z[0] < z[1] && y[0] < y[1]).then(|| boxed(z, y))
}

/// The panel's width and the sets' spacing below the hung panel.
fn draw_sizes(marks: &mut Vec<Mark>, project: &Project, analysis: &Analysis) {
    let hung = panel(project, analysis, &analysis.pose_at(0.0));
    let bottom = hung[0].y;
    let size = |half: f64, below: f64, what: &str| Mark::Size {
        between: [Point::new(-half, bottom), Point::new(half, bottom)],
        below,
        text: format!("{}, {what}", show_length(2.0 * half, project.units())),
    };
    marks.push(size(0.5 * project.set_spacing(), 1.4, "the sets' middles"));
    marks.push(size(0.5 * project.panel.width, 2.8, "the panel"));
}

/// What is worth showing: the panel at both ends, the bars, the drum, a hand's breadth around.
fn extent(project: &Project, analysis: &Analysis) -> [Point; 2] {
    let mut places: Vec<Point> = Vec::new();
    for travel in [0.0, 0.5, 1.0] {
        let pose = analysis.pose_at(travel);
        places.extend(panel(project, analysis, &pose));
        places.extend(bars(project, analysis, &pose).into_iter().flat_map(|(_, outline)| outline));
    }
    places.extend(project.drive.iter().map(|drive| Point::new(drive.z(), drive.drum_centre.y)));
    let [bottom, top] = heights(&places);
    let wide = places.iter().map(|place| place.x.abs()).fold(0.0, f64::max);
    let around = Vector2::new(HAND, HAND);
    // Room below for the two sizes.
    [Point::new(-wide, bottom - 0.06 * (top - bottom)) - around, Point::new(wide, top) + around]
}

#[cfg(test)]
mod tests {
    use super::*;
    use overarm_solver::{Options, Studs, analyse};

    fn demo() -> Project {
        crate::project_file::parse(include_bytes!("../../../../demo/chapel-hatch.overarm.json")).unwrap()
    }

    #[test]
    fn the_two_sets_mirror_each_other_at_their_spacing() {
        for build in [Build::Lapped, Build::Sandwich] {
            let mut project = demo();
            project.bars.build = build;
            let analysis = analyse(&project, &Options { poses: 2, swept: false });
            let found = bars(&project, &analysis, &analysis.pose_at(0.3));
            let (left, right) = found.split_at(4);
            for ((name, one), (_, other)) in left.iter().zip(right) {
                assert!((one[0].x + other[2].x).abs() < 1e-9 && (one[0].y - other[0].y).abs() < 1e-9, "{name:?}");
                assert!(other[0].x > 0.0, "{name:?} of the right set stands at the right");
            }
            let wall_bar = right[0].1;
            let middle = 0.5 * (wall_bar[0].x + wall_bar[1].x);
            assert!((middle - 0.5 * project.set_spacing()).abs() < 1e-9, "the wall bar is the set's middle");
        }
    }

    #[test]
    fn screws_stand_where_the_wall_bars_are_drilled() {
        let project = demo();
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let drawn = front(&project, &analysis, &analysis.pose_at(1.0));
        let parts = overarm_solver::parts(&project, &analysis.solids);
        let bar = parts.iter().find(|part| part.name == PartName::WallBar).expect("a wall bar");
        assert_eq!(bar.screw_holes.len(), 3);
        for hole in &bar.screw_holes {
            let y = analysis.lift.wall_bar.least.y + bar.above_lower_end(hole.from);
            let z = 0.5 * project.set_spacing() - (0.5 * bar.depth - hole.z);
            let level = |place: &Point| (place.y - y).abs() < 1e-9;
            let middle = |places: &[Point]| 0.5 * (places[0].x + places[1].x);
            let crossed = |mark: &Mark| match mark {
                Mark::Line { places, line: Line::Thin, .. } if places.len() == 2 && places.iter().all(level) => {
                    (middle(places) - z).abs() < 1e-9
                }
                _ => false,
            };
            assert!(drawn.marks.iter().any(crossed), "no cross for {}", hole.name);
        }
    }

    #[test]
    fn what_the_panel_hides_is_what_both_cover() {
        let one = boxed([0.0, 10.0], [0.0, 10.0]);
        assert_eq!(common(&one, &boxed([5.0, 20.0], [-5.0, 5.0])), Some(boxed([5.0, 10.0], [0.0, 5.0])));
        assert_eq!(common(&one, &boxed([10.0, 20.0], [0.0, 5.0])), None);
    }

    #[test]
    fn studs_stand_at_their_spacing_from_the_first() {
        let mut project = demo();
        project.room.studs = None;
        assert!(studs(&project, -500.0, 500.0).is_empty(), "nobody said where studs are");
        project.room.studs = Some(Studs { spacing: 406.4, first: 100.0, more: overarm_solver::More::new() });
        let found = studs(&project, -500.0, 1000.0);
        assert_eq!(found.len(), 4);
        assert!((found[1] - 100.0).abs() < 1e-9 && (found[0] + 306.4).abs() < 1e-9, "{found:?}");
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let drawn = front(&project, &analysis, &analysis.pose_at(1.0));
        let at = |x: f64| {
            drawn.marks.iter().any(|mark| matches!(mark, Mark::Line { places, line: Line::Centre, .. } if places.iter().all(|place| (place.x - x).abs() < 1e-9)))
        };
        assert!(at(100.0) && at(506.4) && !at(300.0));
    }

    #[test]
    fn the_wall_ends_where_the_ceiling_begins() {
        assert!((wall_top(&RoomShape::new(&demo().room)) - 2250.0).abs() < 1e-9);
    }
}
