//! What is milled out of a part: half laps and reliefs as closed contours, from the layer that is
//! whole and the pieces that are left of another.
//!
//! Pieces lie in the whole outline and share stretches of its edges with it. Those stretches are
//! found once, with the places that they begin and end at, so that pockets, drawings and bodies all
//! have the same corners.

use crate::outline::{Vertex, contains};
use crate::parts::edges::{Edge, area_within};
use crate::parts::placed::mirrored_outline;
use crate::parts::{Hand, Mouth, Part};
use crate::project::Point;

/// Places nearer than this, mm, are one: above what outlines cut from each other are exact to, below
/// what a machine resolves.
const SAME_MM: f64 = 2e-5;
/// An arc that is higher than its chord by less than this, mm, is a line.
const FLAT_MM: f64 = 1e-7;

/// What is cut into a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PocketKind {
    /// Around a hinge, where the other bar lies.
    HalfLap,
    /// Where another bar only passes.
    Relief,
}

/// A pocket with a flat floor.
#[derive(Clone, Debug, PartialEq)]
pub struct Pocket {
    /// What it is.
    pub kind: PocketKind,
    /// The face that it is milled from.
    pub opens: Mouth,
    /// Its floor, and the part's face.
    pub z: [f64; 2],
    /// Its edge, counter-clockwise; it runs out over the part's own edge where the two agree.
    pub contour: Vec<Vertex>,
    /// What stands in it, each clockwise.
    pub islands: Vec<Vec<Vertex>>,
}

impl Pocket {
    /// Area, mm².
    #[must_use]
    pub fn area(&self) -> f64 {
        let of = |outline: &Vec<Vertex>| crate::outline::area_and_centre(outline).0;
        of(&self.contour) + self.islands.iter().map(of).sum::<f64>()
    }

    /// How deep, mm.
    #[must_use]
    pub fn depth(&self) -> f64 {
        (self.z[1] - self.z[0]).abs()
    }

    /// Of the other hand.
    fn mirrored(&self) -> Self {
        Self {
            contour: mirrored_outline(&self.contour),
            islands: self.islands.iter().map(|island| mirrored_outline(island)).collect(),
            ..self.clone()
        }
    }
}

/// An edge of the whole outline or of a piece, cut where the other begins or ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SplitEdge {
    /// The stretch.
    pub edge: Edge,
    /// Whether both the whole outline and a piece have it.
    pub is_shared: bool,
}

/// A whole outline and the pieces left of it in another layer, with common corners.
#[derive(Clone, Debug, PartialEq)]
pub struct Split {
    /// Stretches of each edge of the whole outline, in order.
    pub whole: Vec<Vec<SplitEdge>>,
    /// Edges of each piece.
    pub pieces: Vec<Vec<SplitEdge>>,
}

impl Split {
    /// Finds what outline and pieces share. Corners of pieces that lie on the outline are set
    /// exactly on it.
    #[must_use]
    pub fn new(outline: &[Vertex], pieces: &[Vec<Vertex>]) -> Self {
        let whole: Vec<Edge> = Edge::of(outline).map(flattened).collect();
        let set = |at: Point| settled(at, &whole);
        let mut pieces: Vec<Vec<Edge>> = pieces
            .iter()
            .map(|piece| {
                let edges = Edge::of(piece).map(|edge| Edge { from: set(edge.from), to: set(edge.to), ..edge });
                edges.map(flattened).filter(|edge| (edge.to - edge.from).norm() > SAME_MM).collect()
            })
            .collect();
        for piece in &mut pieces {
            let corners = whole.iter().map(|edge| edge.from);
            *piece = piece.iter().flat_map(|edge| cut_at(edge, corners.clone())).collect();
        }
        let corners = || pieces.iter().flatten().map(|edge| edge.from);
        let whole: Vec<Vec<Edge>> = whole.iter().map(|edge| cut_at(edge, corners())).collect();
        // The stretch of the outline is exact where a piece goes along it.
        let twin = |edge: &Edge| whole.iter().flatten().find(|other| same(edge, other)).copied();
        let pieces: Vec<Vec<SplitEdge>> = pieces
            .iter()
            .map(|piece| {
                let split = |edge: &Edge| match twin(edge) {
                    Some(exact) => SplitEdge { edge: exact, is_shared: true },
                    None => SplitEdge { edge: *edge, is_shared: false },
                };
                piece.iter().map(split).collect()
            })
            .collect();
        let is_shared = |edge: &Edge| pieces.iter().flatten().any(|other| other.is_shared && other.edge == *edge);
        let split = |edge: &Edge| SplitEdge { edge: *edge, is_shared: is_shared(edge) };
        let whole = whole.iter().map(|edges| edges.iter().map(split).collect()).collect();
        Self { whole, pieces }
    }

    /// Closed loops around what the pieces leave free of the outline: outer ones counter-clockwise,
    /// those around a piece that stands free clockwise.
    #[must_use]
    pub fn free_loops(&self) -> Vec<Vec<Edge>> {
        let own = self.whole.iter().flatten().filter(|split| !split.is_shared).map(|split| split.edge);
        let others = self.pieces.iter().flatten().filter(|split| !split.is_shared).map(|split| split.edge.reversed());
        let mut left: Vec<Edge> = own.chain(others).collect();
        let mut loops = Vec::new();
        while let Some(start) = left.pop() {
            let mut around = vec![start];
            loop {
                let at = around[around.len() - 1];
                if at.to == start.from {
                    loops.push(around);
                    break;
                }
                let back = -at.heading(1.0);
                // Where several go on, the first one clockwise from where it came keeps the region
                // on the left.
                let clockwise = |edge: &Edge| {
                    let ahead = edge.heading(0.0);
                    let angle = ahead.perp(&back).atan2(ahead.dot(&back)).rem_euclid(std::f64::consts::TAU);
                    if angle == 0.0 { std::f64::consts::TAU } else { angle }
                };
                let next = (0..left.len())
                    .filter(|index| left[*index].from == at.to)
                    .min_by(|a, b| clockwise(&left[*a]).total_cmp(&clockwise(&left[*b])));
                match next {
                    Some(index) => around.push(left.swap_remove(index)),
                    // Outlines that do not lie in each other: there is no region to tell.
                    None => break,
                }
            }
        }
        loops.reverse();
        loops
    }
}

/// The pieces of a layer with their corners set exactly on the whole outline where they lie on it.
pub(super) fn settled_pieces(outline: &[Vertex], pieces: &[Vec<Vertex>]) -> Vec<Vec<Vertex>> {
    let split = Split::new(outline, pieces);
    let piece = |edges: &Vec<SplitEdge>| {
        edges.iter().map(|split| Vertex { at: split.edge.from, bulge: split.edge.bulge }).collect::<Vec<_>>()
    };
    split.pieces.iter().map(piece).filter(|piece| piece.len() > 1).collect()
}

fn flattened(edge: Edge) -> Edge {
    let high = 0.5 * (edge.to - edge.from).norm() * edge.bulge.abs();
    if high < FLAT_MM { Edge { bulge: 0.0, ..edge } } else { edge }
}

/// A corner of a piece, set on the outline where it lies on it.
fn settled(at: Point, whole: &[Edge]) -> Point {
    if let Some(corner) = whole.iter().map(|edge| edge.from).find(|corner| (corner - at).norm() <= SAME_MM) {
        return corner;
    }
    let near = whole.iter().map(|edge| (edge, edge.nearest(at)));
    match near.min_by(|a, b| a.1.1.total_cmp(&b.1.1)) {
        Some((edge, (share, off))) if off <= SAME_MM => edge.at(share),
        _ => at,
    }
}

/// An edge cut at those of some places that lie on it, between its ends.
fn cut_at(edge: &Edge, places: impl Iterator<Item = Point>) -> Vec<Edge> {
    let mut cuts: Vec<(f64, Point)> = places
        .filter(|at| (at - edge.from).norm() > SAME_MM && (at - edge.to).norm() > SAME_MM)
        .filter_map(|at| {
            let (share, off) = edge.nearest(at);
            (off <= SAME_MM).then_some((share, at))
        })
        .collect();
    cuts.sort_by(|a, b| a.0.total_cmp(&b.0));
    cuts.dedup_by(|a, b| a.1 == b.1);
    cuts.push((1.0, edge.to));
    let mut from = (0.0, edge.from);
    let mut stretches = Vec::with_capacity(cuts.len());
    for to in cuts {
        stretches.push(edge.stretch([from.1, to.1], [from.0, to.0]));
        from = to;
    }
    stretches
}

fn same(one: &Edge, other: &Edge) -> bool {
    one.from == other.from && one.to == other.to && (one.at(0.5) - other.at(0.5)).norm() <= SAME_MM
}

impl Part {
    /// What is milled out of it, half laps first; of the right hand the mirror images of the left one's, in the same
    /// order.
    #[must_use]
    pub fn pockets(&self) -> Vec<Pocket> {
        if self.hand == Hand::Right {
            return self.mirrored().left_pockets().iter().map(Pocket::mirrored).collect();
        }
        self.left_pockets()
    }

    fn left_pockets(&self) -> Vec<Pocket> {
        let Some(kept) = self.kept() else { return Vec::new() };
        let mut pockets = Vec::new();
        for layer in self.cut() {
            let above = layer.z[0] >= kept.z[1] - 1e-9;
            let (opens, z) =
                if above { (Mouth::Outer, [layer.z[0], layer.z[1]]) } else { (Mouth::Inner, [layer.z[1], layer.z[0]]) };
            let loops = Split::new(&self.outline, &layer.pieces).free_loops();
            let outline = |edges: &Vec<Edge>| -> Vec<Vertex> {
                edges.iter().map(|edge| Vertex { at: edge.from, bulge: edge.bulge }).collect()
            };
            let (outer, inner): (Vec<_>, Vec<_>) = loops.iter().partition(|around| area_within(around) > 0.0);
            let inner: Vec<Vec<Vertex>> = inner.into_iter().map(outline).collect();
            for contour in outer.into_iter().map(outline) {
                let islands: Vec<_> = inner
                    .iter()
                    .filter(|island| island.first().is_some_and(|vertex| contains(&contour, vertex.at)))
                    .cloned()
                    .collect();
                let holds = |at: Point| contains(&contour, at);
                let is_lap = self.hinges.iter().any(|hinge| holds(hinge.centre));
                let kind = if is_lap { PocketKind::HalfLap } else { PocketKind::Relief };
                pockets.push(Pocket { kind, opens, z, contour, islands });
            }
        }
        pockets.sort_by_key(|pocket| pocket.kind == PocketKind::Relief);
        pockets
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::outline::{area, polygon};
    use crate::parts::parts;
    use crate::{Options, Project, analyse};

    fn points(of: &[[f64; 2]]) -> Vec<Vertex> {
        polygon(&of.map_points())
    }

    trait MapPoints {
        fn map_points(&self) -> Vec<Point>;
    }

    impl MapPoints for [[f64; 2]] {
        fn map_points(&self) -> Vec<Point> {
            self.iter().map(|p| Point::new(p[0], p[1])).collect()
        }
    }

    #[test]
    fn a_corner_piece_and_a_free_one() {
        let whole = points(&[[0.0, 0.0], [100.0, 0.0], [100.0, 50.0], [0.0, 50.0]]);
        // One in a corner, a hair off the outline; one in the middle.
        let corner = points(&[[100.0, 3e-6], [100.0, 20.0], [80.0, 20.0], [80.0 + 1e-6, -2e-6]]);
        let free = points(&[[40.0, 20.0], [50.0, 20.0], [50.0, 30.0], [40.0, 30.0]]);
        let split = Split::new(&whole, &[corner, free]);
        assert_eq!(split.whole.iter().map(Vec::len).collect::<Vec<_>>(), [2, 2, 1, 1]);
        assert_eq!(split.pieces[0].iter().filter(|edge| edge.is_shared).count(), 2);
        assert!(split.pieces[1].iter().all(|edge| !edge.is_shared));
        let loops = split.free_loops();
        let mut areas: Vec<f64> = loops.iter().map(|around| area_within(around)).collect();
        areas.sort_by(f64::total_cmp);
        assert_eq!(areas.len(), 2);
        assert!((areas[0] + 100.0).abs() < 1e-9 && (areas[1] - 4600.0).abs() < 1e-3, "{areas:?}");
    }

    #[test]
    fn a_piece_from_side_to_side_leaves_two_pockets() {
        let arm = crate::solids::stadium(100.0, 10.0);
        let middle = points(&[[30.0, -10.0], [60.0, -10.0], [55.0, 10.0], [30.0, 10.0]]);
        let split = Split::new(&arm, &[middle]);
        let loops = split.free_loops();
        assert_eq!(loops.len(), 2);
        let free: f64 = loops.iter().map(|around| area_within(around)).sum();
        assert!((free - area(&arm) + 0.5 * (30.0 + 25.0) * 20.0).abs() < 1e-9);
        // Nothing shared, nothing left: the outline itself is free.
        assert_eq!(Split::new(&arm, &[]).free_loops().len(), 1);
        // All of it left: nothing is free.
        assert!(Split::new(&arm, std::slice::from_ref(&arm)).free_loops().is_empty());
    }

    #[test]
    fn pockets_of_the_chapel_hatch_board_add_up() {
        let project: Project =
            serde_json::from_str(include_str!("../../../../demo/chapel-hatch.overarm.json")).expect("a project");
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        for (part, bar) in parts(&project, &analysis.solids).iter().zip(&analysis.solids.bars) {
            let whole = area(&part.outline);
            let left: f64 = part.cut().flat_map(|layer| &layer.pieces).map(|piece| area(piece)).sum();
            let raw = bar.layers.iter().filter(|shape| shape.bores.is_empty()).flat_map(|shape| &shape.pieces);
            let raw: f64 = raw.map(|piece| area(piece)).sum();
            assert!((left - raw).abs() < 1e-6 * raw, "{left} {raw}");
            let pockets = part.pockets();
            let cut: f64 = pockets.iter().map(Pocket::area).sum();
            assert!((whole - left - cut).abs() < 1e-9 * whole, "{whole} {left} {cut}");
            // Half of 38.1, and 0.1 that the two halves run free by.
            assert!(pockets.iter().all(|pocket| (pocket.depth() - 19.15).abs() < 1e-9));
            // By sight: the wall bar's half lap runs from edge to edge about both hinges.
            let laps = pockets.iter().filter(|pocket| pocket.kind == PocketKind::HalfLap).count();
            assert!((1..=2).contains(&laps), "{} {laps}", part.file_stem());
        }
    }
}
