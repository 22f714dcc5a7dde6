//! The lift itself: ghosts at both ends of the travel, solid at the pose shown.

use egui::{Color32, Shape, Stroke};
use overarm_solver::{Analysis, PartName, Point, Pose};

use super::bars::{self, FAINT, Shown};
use super::pen::{LineKind, NARROW, Pen};
use crate::window::theme::mix;

/// Half circles of an arm's end are drawn with this many chords: under 0.1 point off at 40 points.
const CHORDS: u8 = 20;

/// The panel hung and parked, narrow and quiet.
pub fn draw_ghosts(pen: &Pen, analysis: &Analysis) {
    for travel in [0.0, 1.0] {
        let pose = analysis.pose_at(travel);
        pen.ring(&analysis.lift.panel_corners(&pose), LineKind::Ghost, pen.palette.quiet);
    }
    let parked = analysis.pose_at(1.0);
    let lift = &analysis.lift;
    let lower = stadium(lift.lower_arm_axis(&parked), lift.lower_arm_radius());
    let upper = stadium(lift.upper_arm_axis(&parked), lift.upper_arm_radius());
    for outline in [&lower, &upper] {
        pen.ring(outline, LineKind::Ghost, mix(pen.palette.paper, pen.palette.quiet, 0.6));
    }
    // The hung panel bar carries the handles of the panel's pivots.
    let hung = analysis.pose_at(0.0);
    pen.ring(&analysis.lift.panel_bar_corners(&hung), LineKind::Ghost, pen.palette.quiet);
}

/// What panel and arms sweep, and where that comes too near.
pub fn draw_swept(pen: &Pen, analysis: &Analysis) {
    let Some(swept) = &analysis.swept else { return };
    let palette = pen.palette;
    pen.fill(&swept.panel.contours, palette.wood.gamma_multiply(0.10));
    pen.fill(&swept.bars.contours, palette.metal.gamma_multiply(0.10));
    for contour in swept.panel.contours.iter().filter(|contour| pen.can_be_seen(contour)) {
        pen.ring(contour, LineKind::Thin, mix(palette.paper, palette.wood, 0.45));
    }
}

/// The pieces of the swept outline that come nearer than wanted.
pub fn draw_tight(pen: &Pen, analysis: &Analysis) {
    for piece in analysis.swept.iter().flat_map(|swept| &swept.tight) {
        pen.line_of_width(piece, pen.palette.fails, 4.0);
    }
}

/// The lift at a pose, as seen from outside its set: solid wood, then the bars layer by layer.
pub fn draw_solid(pen: &Pen, analysis: &Analysis, pose: &Pose, shown: Shown) {
    let palette = pen.palette;
    let lift = &analysis.lift;
    let strength = if shown.picked.is_some() { bars::FAINT } else { 1.0 };
    let panel = lift.panel_corners(pose);
    let wood = palette.on_paper(palette.wood, 0.55 * strength);
    solid(pen, &panel, wood, mix(palette.paper, palette.ink, strength));
    if shown.picked.is_none() {
        grain(pen, &panel);
    }
    bars::draw(pen, analysis, pose, shown);
    for (name, axis) in
        [(PartName::LowerArm, lift.lower_arm_axis(pose)), (PartName::UpperArm, lift.upper_arm_axis(pose))]
    {
        let strength = if shown.picked.is_none_or(|picked| picked == name) { 0.75 } else { FAINT };
        pen.line(&axis, LineKind::Centre, palette.ink.gamma_multiply(strength));
    }
    // The true bore, once it is larger than its sign.
    let bores = analysis.solids.bars.iter().flat_map(|bar| &bar.layers).flat_map(|shape| &shape.bores);
    let bore = bores.map(|bore| bore.diameter).fold(0.0, f64::max);
    for pivot in [lift.lower_arm_axis(pose), lift.upper_arm_axis(pose)].into_iter().flatten() {
        centre_mark(pen, pivot, pen.view.points(0.5 * bore).max(3.5));
    }
}

/// The strap's straight run and its drum, wound as thick as it is at the pose; at its fullest as a
/// ghost.
pub fn draw_strap(pen: &Pen, analysis: &Analysis, pose: &Pose) {
    let Some(strap) = &analysis.strap else { return };
    let (palette, drum) = (pen.palette, &strap.drum);
    let fullest = circle(drum.centre, strap.fullest_radius());
    pen.ring(&fullest, LineKind::Ghost, palette.quiet);
    let run = strap.at(pose);
    let wound = run.map_or(drum.bare_radius, |run| run.outer_radius);
    let centre = pen.at(drum.centre);
    // What is wound, and the bare drum in it.
    let edge = Stroke::new(NARROW, palette.ink);
    pen.painter.circle(centre, pen.view.points(wound), palette.on_paper(palette.quiet, 0.25), edge);
    let bare = pen.view.points(drum.bare_radius);
    pen.painter.circle(centre, bare, palette.on_paper(palette.metal, 0.25), Stroke::new(1.5, palette.ink));
    pen.painter.circle_filled(centre, 1.5, palette.ink);
    let Some(run) = run else { return };
    // A strap cannot push.
    let colour = if strap.pays_out_at(pose) { palette.fails } else { palette.quiet };
    pen.line_of_width(&[run.anchor, run.tangent], colour, pen.view.points(drum.thickness).max(1.5));
    pen.painter.circle_filled(pen.at(run.anchor), 2.5, palette.ink);
}

fn solid(pen: &Pen, outline: &[Point], fill: Color32, edge: Color32) {
    // Panel, bars and arms are convex.
    let places = outline.iter().map(|place| pen.at(*place)).collect();
    pen.painter.add(Shape::convex_polygon(places, fill, Stroke::new(1.5, edge)));
}

/// Two quiet lines along the panel, so that wood cannot be taken for metal.
fn grain(pen: &Pen, panel: &[Point; 4]) {
    let [bottom_back, bottom_front, top_front, top_back] = panel;
    let colour = mix(pen.palette.on_paper(pen.palette.wood, 0.55), pen.palette.ink, 0.22);
    for share in [0.33, 0.67] {
        let from = bottom_back + (bottom_front - bottom_back) * share;
        let to = top_back + (top_front - top_back) * share;
        pen.line_of_width(&[from, to], colour, NARROW);
    }
}

fn centre_mark(pen: &Pen, pivot: Point, radius: f32) {
    let at = pen.at(pivot);
    let reach = radius + 2.5;
    let stroke = Stroke::new(NARROW, pen.palette.ink);
    pen.painter.circle(at, radius, pen.palette.paper, stroke);
    pen.painter.hline(at.x - reach..=at.x + reach, at.y, stroke);
    pen.painter.vline(at.x, at.y - reach..=at.y + reach, stroke);
}

/// A straight bar with half-round ends.
#[must_use]
pub fn stadium(axis: [Point; 2], radius: f64) -> Vec<Point> {
    let [from, to] = axis;
    let Some(along) = (to - from).try_normalize(0.0) else { return vec![from] };
    let start = along.y.atan2(along.x);
    let mut outline = Vec::with_capacity(2 * usize::from(CHORDS) + 2);
    for (centre, first) in [(to, start - std::f64::consts::FRAC_PI_2), (from, start + std::f64::consts::FRAC_PI_2)] {
        for chord in 0..=CHORDS {
            let angle = first + std::f64::consts::PI * f64::from(chord) / f64::from(CHORDS);
            outline.push(centre + nalgebra::Vector2::new(angle.cos(), angle.sin()) * radius);
        }
    }
    outline
}

/// A circle as an outline.
fn circle(centre: Point, radius: f64) -> Vec<Point> {
    let turn = |index: u8| std::f64::consts::PI * f64::from(index) / f64::from(CHORDS);
    (0..2 * CHORDS)
        .map(|index| centre + nalgebra::Vector2::new(turn(index).cos(), turn(index).sin()) * radius)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stadium_keeps_its_radius_about_its_axis() {
        let (from, to) = (Point::new(10.0, 20.0), Point::new(110.0, 70.0));
        for place in stadium([from, to], 12.7) {
            let along = to - from;
            let share = ((place - from).dot(&along) / along.norm_squared()).clamp(0.0, 1.0);
            assert!(((place - (from + along * share)).norm() - 12.7).abs() < 1e-9);
        }
    }
}
