//! Whether a part is handed: whether its mirror image cannot be laid over it by turning it.
//!
//! A part is not handed when a reflection maps it onto itself: in a plane along z through its
//! middle (its outline is symmetric), or in the plane between its layers (the layers are alike),
//! the latter also combined with a half turn. A flat part of one layer is never handed.

use nalgebra::{Matrix2, Point2, Vector2};

use crate::outline::Vertex;
use crate::parts::{BoreStep, HingeBore, ScrewHole};
use crate::project::Point;
use crate::solids::{BarSolid, LayerShape};

/// Two outlines agree within this, mm: below what any shop can measure, above rounding.
const SAME_MM: f64 = 1e-3;

pub(crate) fn is_handed(bar: &BarSolid) -> bool {
    is_handed_with(bar, &[], &[])
}

/// Likewise with seats, steps of bores and screw holes, all in the bar's frame, z from its lowest
/// face.
pub(crate) fn is_handed_with(bar: &BarSolid, hinges: &[HingeBore], holes: &[ScrewHole]) -> bool {
    let Some((least, most)) = bounds(bar) else { return false };
    let depth: f64 = bar.layers.iter().map(|shape| shape.depth).sum();
    let middle = nalgebra::center(&least, &most);
    let straight = bar.layers.clone();
    let swapped: Vec<LayerShape> = bar.layers.iter().rev().cloned().collect();
    // In-plane maps about the middle: determinant −1 without a swap of layers, +1 with it.
    let flips = [(1.0, -1.0), (-1.0, 1.0)].map(|(x, y)| (Matrix2::from_diagonal(&Vector2::new(x, y)), &straight));
    let turns = [1.0, -1.0].map(|sign| (Matrix2::from_diagonal_element(sign), &swapped));
    let whole = |map: &Matrix2<f64>, onto: &[LayerShape]| {
        bar.layers.iter().zip(onto).all(|(shape, other)| maps_onto(shape, other, map, middle))
    };
    let is_same = |map: &Matrix2<f64>, over: Option<f64>| {
        let mapped = |p: Point| middle + map * (p - middle);
        hinges.iter().all(|hinge| {
            let alike = |other: &HingeBore| (mapped(hinge.centre) - other.centre).norm() <= SAME_MM;
            hinges.iter().any(|other| alike(other) && same_steps(&hinge.steps, &other.steps, over))
        }) && holes.iter().all(|hole| {
            let z = over.map_or(hole.z, |depth| depth - hole.z);
            holes.iter().any(|other| {
                (mapped(hole.from) - other.from).norm() <= SAME_MM
                    && (mapped(hole.to) - other.to).norm() <= SAME_MM
                    && (z - other.z).abs() <= SAME_MM
            })
        })
    };
    let flipped = flips.iter().any(|(map, onto)| whole(map, onto) && is_same(map, None));
    !flipped && !turns.iter().any(|(map, onto)| whole(map, onto) && is_same(map, Some(depth)))
}

/// Whether two bores have the same steps, one of them turned over in a part of `over` depth.
fn same_steps(one: &[BoreStep], other: &[BoreStep], over: Option<f64>) -> bool {
    let near = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).abs() <= SAME_MM && (a[1] - b[1]).abs() <= SAME_MM;
    let same = |mine: &BoreStep, theirs: &BoreStep| match over {
        None => near(mine.z, theirs.z) && near(mine.diameter, theirs.diameter),
        Some(depth) => {
            let [low, high] = mine.z;
            let [below, above] = mine.diameter;
            near([depth - high, depth - low], theirs.z) && near([above, below], theirs.diameter)
        }
    };
    one.len() == other.len() && one.iter().all(|mine| other.iter().any(|theirs| same(mine, theirs)))
}

fn bounds(bar: &BarSolid) -> Option<(Point, Point)> {
    let points = bar.layers.iter().flat_map(|shape| &shape.pieces).flatten().map(|vertex| vertex.at);
    // Arcs reach beyond their vertices alike on both sides of a symmetric part: vertices will do.
    points.fold(None, |found, p| {
        let (least, most): (Point, Point) = found.unwrap_or((p, p));
        Some((Point2::from(least.coords.inf(&p.coords)), Point2::from(most.coords.sup(&p.coords))))
    })
}

fn maps_onto(shape: &LayerShape, other: &LayerShape, map: &Matrix2<f64>, middle: Point) -> bool {
    let mapped = |p: Point| middle + map * (p - middle);
    let near = |a: Point, b: Point| (a - b).norm() <= SAME_MM;
    let bores = shape.bores.len() == other.bores.len()
        && shape.bores.iter().all(|bore| {
            other
                .bores
                .iter()
                .any(|b| near(mapped(bore.centre), b.centre) && (bore.diameter - b.diameter).abs() <= SAME_MM)
        });
    // Every edge by its ends and its middle: corners and arcs alike, whichever way it is walked.
    let edges = |pieces: &[Vec<Vertex>]| pieces.iter().flat_map(|piece| edge_marks(piece)).collect::<Vec<_>>();
    let (ours, theirs) = (edges(&shape.pieces), edges(&other.pieces));
    let depths = (shape.depth - other.depth).abs() <= SAME_MM;
    bores
        && depths
        && ours.len() == theirs.len()
        && ours.iter().all(|edge| {
            let [from, half, to] = edge.map(mapped);
            theirs.iter().any(|[f, h, t]| {
                near(half, *h) && ((near(from, *f) && near(to, *t)) || (near(from, *t) && near(to, *f)))
            })
        })
}

/// Start, middle and end of every edge.
fn edge_marks(piece: &[Vertex]) -> impl Iterator<Item = [Point; 3]> + '_ {
    piece.iter().zip(piece.iter().cycle().skip(1)).map(|(from, to)| {
        let along = to.at - from.at;
        // The sagitta of an arc is half its chord times its bulge, to the right for a positive one.
        let half = nalgebra::center(&from.at, &to.at) + 0.5 * from.bulge * Vector2::new(along.y, -along.x);
        [from.at, half, to.at]
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::outline::polygon;
    use crate::parts::Bore;
    use crate::project::PartName;
    use crate::solids::{Layer, stadium};

    fn layer(layer: Layer, outline: Vec<Vertex>, bores: &[(f64, f64)]) -> LayerShape {
        let bores =
            bores.iter().map(|(x, y)| Bore { name: "pivot", centre: Point::new(*x, *y), diameter: 8.0 }).collect();
        LayerShape { layer, depth: 12.7, pieces: vec![outline], bores }
    }

    fn bar(layers: Vec<LayerShape>) -> BarSolid {
        BarSolid { name: PartName::LowerArm, layers }
    }

    fn rectangle(x: f64, width: f64, height: f64) -> Vec<Vertex> {
        polygon(
            &[(x, -0.5 * height), (x + width, -0.5 * height), (x + width, 0.5 * height), (x, 0.5 * height)]
                .map(|(x, y)| Point::new(x, y)),
        )
    }

    #[test]
    fn a_half_lapped_straight_arm_is_not_handed() {
        let arm = bar(vec![
            layer(Layer::Inner, rectangle(50.0, 300.0, 25.4), &[]),
            layer(Layer::Outer, stadium(450.0, 12.7), &[(0.0, 0.0), (450.0, 0.0)]),
        ]);
        assert!(!is_handed(&arm));
    }

    #[test]
    fn an_l_shaped_lap_is_handed() {
        let notch = polygon(
            &[(0.0, -5.0), (100.0, -5.0), (100.0, 0.0), (20.0, 0.0), (20.0, 5.0), (0.0, 5.0)]
                .map(|(x, y)| Point::new(x, y)),
        );
        let part = bar(vec![
            layer(Layer::Inner, rectangle(0.0, 100.0, 10.0), &[(10.0, 0.0)]),
            layer(Layer::Outer, notch.clone(), &[]),
        ]);
        assert!(is_handed(&part));
        // The same lap in both layers is not.
        let both = bar(vec![layer(Layer::Inner, notch.clone(), &[]), layer(Layer::Outer, notch, &[])]);
        assert!(!is_handed(&both));
    }

    #[test]
    fn a_flat_plate_is_never_handed() {
        let plate = bar(vec![layer(Layer::Middle, rectangle(0.0, 100.0, 60.0), &[(15.0, -9.0), (80.0, 12.0)])]);
        assert!(!is_handed(&plate));
    }

    #[test]
    fn a_lap_turned_about_the_middle_is_handed_but_not_when_mirrored_through_it() {
        // The outer layer is the inner one turned by a half turn: a reflection through the middle
        // point maps the part onto itself.
        let notch = polygon(
            &[(0.0, -5.0), (100.0, -5.0), (100.0, 0.0), (20.0, 0.0), (20.0, 5.0), (0.0, 5.0)]
                .map(|(x, y)| Point::new(x, y)),
        );
        let turned: Vec<Vertex> =
            notch.iter().map(|v| Vertex { at: Point::new(100.0 - v.at.x, -v.at.y), bulge: v.bulge }).collect();
        let part = bar(vec![layer(Layer::Inner, notch, &[]), layer(Layer::Outer, turned, &[])]);
        assert!(!is_handed(&part));
    }
}
