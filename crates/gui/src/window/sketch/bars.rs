//! The bars as solids: a tone for each layer, reliefs cut, hidden edges dashed.
//!
//! Seen from outside the set: the outer half lies nearest to the eye.

use egui::Color32;
use overarm_shopfiles::drawing::{chords, is_within};
use overarm_solver::{Analysis, BarSolid, Layer, LayerShape, Lift, PartName, Point, Pose, Vertex};

use super::pen::{LineKind, Pen};
use crate::window::theme::{Palette, mix};

/// Layers from the farthest to the nearest.
const FROM_BEHIND: [Layer; 3] = [Layer::Inner, Layer::Middle, Layer::Outer];

/// How the bars are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shown {
    /// Each layer with what is cut from it; else the whole outlines.
    pub reliefs: bool,
    /// The bar that is shown alone.
    pub picked: Option<PartName>,
}

/// Draws the four bars at a pose; all but the picked one faint.
pub fn draw(pen: &Pen, analysis: &Analysis, pose: &Pose, shown: Shown) {
    let is_picked = |bar: &&BarSolid| Some(bar.name) == shown.picked;
    let strength = if shown.picked.is_some() { FAINT } else { 1.0 };
    let (picked, others): (Vec<_>, Vec<_>) = analysis.solids.bars.iter().partition(is_picked);
    draw_bars(pen, analysis, pose, &others, shown.reliefs, strength);
    draw_bars(pen, analysis, pose, &picked, true, 1.0);
}

/// What is left of the strength of ink where something else is picked.
pub const FAINT: f32 = 0.3;

fn draw_bars(pen: &Pen, analysis: &Analysis, pose: &Pose, bars: &[&BarSolid], reliefs: bool, strength: f32) {
    let palette = pen.palette;
    let edge = mix(palette.paper, palette.ink, strength);
    let outlines = |layer: Layer| {
        let shapes = bars.iter().flat_map(move |bar| bar.layers.iter().map(move |shape| (bar.name, shape)));
        shapes.filter(move |(_, shape)| shape.layer == layer && (reliefs || is_whole(shape))).flat_map(
            |(name, shape)| shape.pieces.iter().map(move |piece| placed(pen, &analysis.lift, pose, name, piece)),
        )
    };
    for layer in FROM_BEHIND {
        let tone = palette.on_paper(tone(&palette, layer), strength);
        for outline in outlines(layer) {
            pen.fill(std::slice::from_ref(&outline), tone);
            pen.ring_of_width(&outline, edge, 1.5);
        }
    }
    // Over what lies in front; where nothing does, they fall onto the visible outlines and, being
    // the same ink laid on thinner, are not seen on them.
    for layer in [Layer::Inner, Layer::Middle] {
        for outline in outlines(layer) {
            pen.ring(&outline, LineKind::Hidden, palette.ink.gamma_multiply(0.55 * strength));
        }
    }
}

/// Whether a layer is not cut by what moves past it; that one carries the bores.
fn is_whole(shape: &LayerShape) -> bool {
    !shape.bores.is_empty()
}

/// The metal of a layer: the nearer, the stronger.
#[must_use]
pub fn tone(palette: &Palette, layer: Layer) -> Color32 {
    let share = match layer {
        Layer::Inner => 0.26,
        Layer::Middle => 0.44,
        Layer::Outer => 0.66,
    };
    palette.on_paper(palette.metal, share)
}

/// The bar under a place of the side view, the nearest to the eye; or the one just beside it.
#[must_use]
pub fn at(pen: &Pen, analysis: &Analysis, pose: &Pose, place: Point) -> Option<PartName> {
    /// A narrow arm is as hard to hit as a hair: this much beside it still counts, points.
    const BESIDE: f64 = 5.0;
    let mut nearest = (BESIDE / pen.view.camera.points_per_mm(), None);
    for layer in FROM_BEHIND.into_iter().rev() {
        // Arms lie over the bars that carry them, and come last in the list.
        for bar in analysis.solids.bars.iter().rev() {
            for piece in bar.layers.iter().filter(|shape| shape.layer == layer).flat_map(|shape| &shape.pieces) {
                let outline = placed(pen, &analysis.lift, pose, bar.name, piece);
                if is_within(&outline, place) {
                    return Some(bar.name);
                }
                let beside = distance(&outline, place);
                if beside < nearest.0 {
                    nearest = (beside, Some(bar.name));
                }
            }
        }
    }
    nearest.1
}

/// From a place to an outline.
fn distance(outline: &[Point], place: Point) -> f64 {
    let edges = outline.iter().zip(outline.iter().cycle().skip(1));
    let to_edge = |(from, to): (&Point, &Point)| {
        let edge = to - from;
        let share = (edge.dot(&(place - from)) / edge.norm_squared().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
        (place - (from + edge * share)).norm()
    };
    edges.map(to_edge).fold(f64::INFINITY, f64::min)
}

/// A piece of a bar in the side view, arcs as chords that cannot be told from them on the screen.
fn placed(pen: &Pen, lift: &Lift, pose: &Pose, name: PartName, piece: &[Vertex]) -> Vec<Point> {
    const OFF_POINTS: f64 = 0.1;
    let room_from_bar = lift.room_from_bar(pose, name);
    let chords = chords(piece, OFF_POINTS / pen.view.camera.points_per_mm());
    chords.into_iter().map(|corner| room_from_bar * corner).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arms_lie_on_their_axes() {
        let project = crate::session::demo();
        let analysis = overarm_solver::analyse(&project, &overarm_solver::Options::default());
        let lift = &analysis.lift;
        let pose = analysis.pose_at(0.4);
        for (name, axis, length) in [
            (PartName::LowerArm, lift.lower_arm_axis(&pose), lift.lengths.lower_arm),
            (PartName::UpperArm, lift.upper_arm_axis(&pose), lift.lengths.upper_arm),
        ] {
            let end = lift.room_from_bar(&pose, name) * Point::new(length, 0.0);
            assert!((end - axis[1]).norm() < 1e-6, "{name:?}");
        }
    }
}
