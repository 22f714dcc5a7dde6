//! The front view: the wall as one faces it, with studs, what is uncovered, and both sets of bars.
//!
//! Its places are (z, y): z along the wall to the right from the panel's middle, y up from the floor.

mod wall;

use std::cell::RefCell;

use egui::{Align2, Rect, Role, Sense, Ui, WidgetInfo, vec2};
use nalgebra::Vector2;
use overarm_solver::{Analysis, Build, PartName, Point, Pose, Project, show_length};

use super::camera::{Camera, View};
use super::sketch::{LineKind, Pen, camera_moves};
use super::theme::{Palette, mix, small};
use crate::session::{Action, Detail, Session, ViewAction};

/// What the front view remembers between frames.
#[derive(Debug, Default)]
pub struct FrontView {
    camera: Option<Camera>,
    screen: Option<Rect>,
    panned_by: Option<Point>,
}

impl FrontView {
    /// Fits the drawing anew with the next frame.
    pub fn fit(&mut self) {
        self.camera = None;
    }

    /// Carries a camera move out.
    pub fn look(&mut self, action: ViewAction) {
        let Some(camera) = &mut self.camera else { return };
        match action {
            ViewAction::Pan(by) => camera.pan(by),
            ViewAction::Zoom { about, factor } => camera.zoom(about, factor),
            _ => {}
        }
    }

    /// Draws the front view into what is left of the window.
    pub fn show(&mut self, ui: &mut Ui, session: &mut Session) -> Vec<Action> {
        let analysis = session.analysis();
        let pose = session.pose();
        let response = ui.allocate_response(ui.available_size(), Sense::CLICK | Sense::DRAG);
        let screen = response.rect;
        if screen.width() < 1.0 || screen.height() < 1.0 {
            return Vec::new();
        }
        let moved = self.screen.replace(screen).is_some_and(|before| before != screen);
        let refit = self.camera.is_none_or(|camera| moved && camera.is_fitted());
        if refit {
            let (least, greatest) = extent(session.project(), &analysis);
            self.camera = Some(Camera::fit(least, greatest, screen));
        }
        let Some(camera) = self.camera else { return Vec::new() };
        response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Front view"));
        let view = View { camera, screen };
        let painter = ui.painter_at(screen);
        let pen = Pen { painter: &painter, view, palette: Palette::of(ui.ctx()), lettered: RefCell::default() };
        let project = session.project();
        wall::draw(&pen, project);
        draw_ends(&pen, project, &analysis);
        draw_bars(&pen, project, &analysis, &pose);
        if session.shows(Detail::Strap) {
            draw_strap(&pen, project, &analysis, &pose);
        }
        draw_panel(&pen, project, &analysis, &pose);
        draw_sizes(&pen, project, &analysis);
        camera_moves(ui, &view, &mut self.panned_by)
    }
}

/// A box of the front view, from left and bottom to right and top.
fn boxed(z: [f64; 2], y: [f64; 2]) -> [Point; 4] {
    [Point::new(z[0], y[0]), Point::new(z[1], y[0]), Point::new(z[1], y[1]), Point::new(z[0], y[1])]
}

/// Heights that places of the side view take up.
fn heights<'a>(places: impl IntoIterator<Item = &'a Point>) -> [f64; 2] {
    let range = |[least, most]: [f64; 2], place: &Point| [least.min(place.y), most.max(place.y)];
    places.into_iter().fold([f64::INFINITY, f64::NEG_INFINITY], range)
}

/// Where a bar lies along the wall, from the set's middle towards the outside, mm.
fn across(project: &Project, bar: PartName) -> [f64; 2] {
    let bars = &project.bars;
    let middle = 0.5 * bars.wall_bar.depth.max(bars.panel_bar.depth);
    match (bars.build, bar) {
        (Build::Sandwich, PartName::LowerArm) => [middle, middle + bars.lower_arm.depth],
        (Build::Sandwich, PartName::UpperArm) => [-middle - bars.upper_arm.depth, -middle],
        (_, PartName::LowerArm) => [-0.5 * bars.lower_arm.depth, 0.5 * bars.lower_arm.depth],
        (_, PartName::UpperArm) => [-0.5 * bars.upper_arm.depth, 0.5 * bars.upper_arm.depth],
        (_, PartName::PanelBar) => [-0.5 * bars.panel_bar.depth, 0.5 * bars.panel_bar.depth],
        _ => [-0.5 * bars.wall_bar.depth, 0.5 * bars.wall_bar.depth],
    }
}

/// The four bars of both sets as boxes: name and outline.
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
    let sides = [-1.0, 1.0];
    let of_side = |side: f64| {
        in_height.map(|(bar, y)| {
            let [inner, outer] = across(project, bar).map(|z| side * (half + z));
            (bar, boxed([inner.min(outer), inner.max(outer)], y))
        })
    };
    sides.into_iter().flat_map(of_side).collect()
}

fn panel(project: &Project, analysis: &Analysis, pose: &Pose) -> [Point; 4] {
    let half = 0.5 * project.panel.width;
    boxed([-half, half], heights(&analysis.lift.panel_corners(pose)))
}

/// Hung and parked, narrow and quiet.
fn draw_ends(pen: &Pen, project: &Project, analysis: &Analysis) {
    for (travel, name) in [(0.0, "Hung"), (1.0, "Parked")] {
        let outline = panel(project, analysis, &analysis.pose_at(travel));
        pen.ring(&outline, LineKind::Ghost, pen.palette.quiet);
        let corner = pen.at(outline[3]) + vec2(6.0, 4.0);
        pen.label(corner, Align2::LEFT_TOP, name, small(), pen.palette.quiet);
    }
}

/// Bars stand behind the panel: visible where it is not, dashed where it hides them.
fn draw_bars(pen: &Pen, project: &Project, analysis: &Analysis, pose: &Pose) {
    let palette = pen.palette;
    for (bar, outline) in bars(project, analysis, pose) {
        pen.fill(&[outline.to_vec()], palette.on_paper(palette.metal, tone_of(bar)));
        pen.ring(&outline, LineKind::Outline, palette.ink);
    }
}

/// By layer, as in the side view: what is nearer the outside is darker.
fn tone_of(bar: PartName) -> f32 {
    match bar {
        PartName::LowerArm => 0.55,
        PartName::UpperArm => 0.4,
        _ => 0.25,
    }
}

fn draw_strap(pen: &Pen, project: &Project, analysis: &Analysis, pose: &Pose) {
    let (Some(strap), Some(drive)) = (&analysis.strap, &project.drive) else { return };
    let palette = pen.palette;
    let z = drive.z_range();
    let run = strap.at(pose);
    let radius = run.map_or(strap.drum.bare_radius, |run| run.outer_radius);
    let drum = strap.drum.centre;
    if let Some(run) = run {
        let y = [run.anchor.y.min(run.tangent.y), run.anchor.y.max(run.tangent.y)];
        let outline = boxed(z, y);
        pen.fill(&[outline.to_vec()], palette.on_paper(palette.quiet, 0.35));
        pen.ring(&outline, LineKind::Thin, palette.ink);
    }
    let outline = boxed(z, [drum.y - radius, drum.y + radius]);
    pen.fill(&[outline.to_vec()], palette.on_paper(palette.metal, 0.25));
    pen.ring(&outline, LineKind::Outline, palette.ink);
    let axis = [Point::new(z[0] - 30.0, drum.y), Point::new(z[1] + 30.0, drum.y)];
    pen.line(&axis, LineKind::Centre, palette.ink);
}

fn draw_panel(pen: &Pen, project: &Project, analysis: &Analysis, pose: &Pose) {
    let palette = pen.palette;
    let outline = panel(project, analysis, pose);
    pen.fill(&[outline.to_vec()], palette.on_paper(palette.wood, 0.55));
    for (_, bar) in bars(project, analysis, pose) {
        if let Some(hidden) = common(&outline, &bar) {
            pen.ring(&hidden, LineKind::Hidden, mix(palette.wood, palette.ink, 0.7));
        }
    }
    pen.ring(&outline, LineKind::Outline, palette.ink);
    let [bottom, top] = heights(&outline);
    let middle = [Point::new(0.0, bottom - 40.0), Point::new(0.0, top + 40.0)];
    pen.line(&middle, LineKind::Centre, palette.quiet);
}

/// What two boxes share.
fn common(one: &[Point; 4], other: &[Point; 4]) -> Option<[Point; 4]> {
    let z = [one[0].x.max(other[0].x), one[2].x.min(other[2].x)];
    let y = [one[0].y.max(other[0].y), one[2].y.min(other[2].y)];
    (z[0] < z[1] && y[0] < y[1]).then(|| boxed(z, y))
}

/// The panel's width and the sets' spacing below the hung panel.
fn draw_sizes(pen: &Pen, project: &Project, analysis: &Analysis) {
    let hung = panel(project, analysis, &analysis.pose_at(0.0));
    let units = project.units();
    let below = pen.at(hung[0]).y;
    let half = 0.5 * project.set_spacing();
    let sizes = [
        (24.0, -0.5 * project.panel.width, 0.5 * project.panel.width, project.panel.width, "panel"),
        (46.0, -half, half, project.set_spacing(), "sets, middle to middle"),
    ];
    for (down, from, to, size, what) in sizes {
        let y = below + down;
        let [from, to] = [from, to].map(|z| pen.at(Point::new(z, 0.0)).x);
        let stroke = egui::Stroke::new(1.0, pen.palette.quiet);
        pen.painter.hline(from..=to, y, stroke);
        for x in [from, to] {
            pen.painter.vline(x, below..=y + 4.0, stroke);
            pen.painter.line_segment([egui::pos2(x - 4.0, y + 4.0), egui::pos2(x + 4.0, y - 4.0)], stroke);
        }
        let text = format!("{} {what}", show_length(size, units));
        pen.label(egui::pos2(0.5 * (from + to), y), Align2::CENTER_CENTER, &text, small(), pen.palette.quiet);
    }
}

/// What a fit takes in: the panel at both ends, the bars, the drum, a hand's breadth around.
fn extent(project: &Project, analysis: &Analysis) -> (Point, Point) {
    let mut places: Vec<Point> = Vec::new();
    for travel in [0.0, 0.5, 1.0] {
        let pose = analysis.pose_at(travel);
        places.extend(panel(project, analysis, &pose));
        places.extend(bars(project, analysis, &pose).into_iter().flat_map(|(_, outline)| outline));
    }
    places.extend(project.drive.iter().map(|drive| Point::new(drive.z(), drive.drum_centre.y)));
    let [bottom, top] = heights(&places);
    let wide = places.iter().map(|place| place.x.abs()).fold(0.0, f64::max);
    let around = Vector2::new(100.0, 100.0);
    (Point::new(-wide, bottom) - around, Point::new(wide, top) + around)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;
    use overarm_solver::{Options, analyse};

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
    fn in_a_sandwich_the_lower_arm_stands_outside_and_the_upper_inside() {
        let mut project = demo();
        project.bars.build = Build::Sandwich;
        let [wall, lower, upper] =
            [PartName::WallBar, PartName::LowerArm, PartName::UpperArm].map(|bar| across(&project, bar));
        assert!((lower[0] - wall[1]).abs() < 1e-12 && (upper[1] - wall[0]).abs() < 1e-12);
    }

    #[test]
    fn what_the_panel_hides_is_what_both_cover() {
        let one = boxed([0.0, 10.0], [0.0, 10.0]);
        assert_eq!(common(&one, &boxed([5.0, 20.0], [-5.0, 5.0])), Some(boxed([5.0, 10.0], [0.0, 5.0])));
        assert_eq!(common(&one, &boxed([10.0, 20.0], [0.0, 5.0])), None);
    }
}
