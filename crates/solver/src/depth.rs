//! How deep a part lies inside a solid: the depth of its deepest point.
//!
//! A solid is what lies on the left of a chain of edges. Three kinds, from cheap to dear: where the
//! free side is convex, depth is a convex function and the deepest point of a convex part is one
//! of its extremes; where the solid is convex, depth is concave and rises to the solid's own
//! middle; elsewhere a search by halving, proved like the clearances.

use std::collections::BinaryHeap;

use nalgebra::{Point2, Rotation2, Vector2};

use crate::distance::{nearest_in_rectangle, nearest_on_segment};
use crate::placed::Placed;
use crate::project::Point;
use crate::swept_arm::SweptArm;

/// A solid on the left of a chain of edges.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Solidity {
    edges: Vec<[Point; 2]>,
    kind: Kind,
    /// No point of the solid is deeper than this; infinite where it goes on without end.
    most: f64,
}

#[derive(Clone, Debug, PartialEq)]
enum Kind {
    FreeConvex,
    /// With the deepest point of the solid itself.
    SolidConvex {
        middle: (f64, Point),
    },
    Mixed,
}

/// More edges than this are not tried three by three for the middle of a convex solid.
const MOST_EDGES_FOR_MIDDLE: usize = 16;
/// Chords for the round end of an arm: the outside polygon is at most 0.008 % of its radius too big,
/// 1 µm for a 25 mm arm.
const CHORDS: usize = 128;

/// Stops for shapes that defeat the halving; what is left then raises the depth returned. At one
/// pose, and for what is asked once in an analysis.
const MOST_HALVINGS: usize = 1_000;
const MOST_HALVINGS_OF_SWEEP: usize = 20_000;

impl Solidity {
    pub fn new(edges: Vec<[Point; 2]>, closed: bool) -> Self {
        let pairs = edges.windows(2).map(|pair| [pair[0], pair[1]]);
        let last = closed.then(|| [edges[edges.len() - 1], edges[0]]);
        let turns: Vec<f64> =
            pairs.chain(last).map(|[one, next]| (one[1] - one[0]).perp(&(next[1] - next[0]))).collect();
        let kind = if !closed && turns.iter().all(|turn| *turn <= 0.0) {
            Kind::FreeConvex
        } else if closed && edges.len() <= MOST_EDGES_FOR_MIDDLE && turns.iter().all(|turn| *turn >= 0.0) {
            middle_of(&edges).map_or(Kind::Mixed, |middle| Kind::SolidConvex { middle })
        } else {
            Kind::Mixed
        };
        let most = match &kind {
            Kind::SolidConvex { middle } => middle.0,
            Kind::Mixed if closed => most_depth(&edges),
            _ => f64::INFINITY,
        };
        Self { edges, kind, most }
    }

    pub fn edges(&self) -> &[[Point; 2]] {
        &self.edges
    }

    /// What no point of the solid is deeper than, mm.
    pub fn most_depth(&self) -> f64 {
        self.most
    }

    /// Depth of a point (negative outside).
    pub fn at(&self, point: Point) -> f64 {
        depth_in(&self.edges, point).0
    }

    /// The point of the outline nearest to a point.
    pub fn nearest(&self, point: Point) -> Point {
        self.edges.get(depth_in(&self.edges, point).1).map_or(point, |edge| nearest_on_segment(point, *edge))
    }

    /// Depth and place of the deepest point of a part; `None` when no point is inside. Never below
    /// the true depth, and at most 0.01 mm above it.
    pub fn deepest_of(&self, part: &Placed) -> Option<(f64, Point)> {
        let found = match (&self.kind, part) {
            (Kind::FreeConvex, Placed::Rectangle { shape, room_from_part }) => {
                deepest_among(shape.corners().map(|c| room_from_part * c).map(|p| (self.at(p), p)))
            }
            (Kind::FreeConvex, Placed::Stadium { axis, radius }) => {
                deepest_among(axis.map(|end| self.beyond(end, *radius)))
            }
            (Kind::SolidConvex { middle }, _) => {
                let corners = match part {
                    Placed::Rectangle { shape, room_from_part } => shape.corners().map(|c| room_from_part * c).to_vec(),
                    Placed::Stadium { axis, radius } => around(*axis, *radius),
                };
                self.deepest_in_polygon(&corners, *middle)
            }
            (Kind::Mixed, Placed::Rectangle { shape, room_from_part }) => {
                let corners = shape.corners().map(|c| room_from_part * c);
                let outside = |p: Point| {
                    let local = room_from_part.inverse_transform_point(&p);
                    (local - nearest_in_rectangle(local, shape)).norm()
                };
                deepest(&self.edges, &corners, outside, &corners, MOST_HALVINGS)
            }
            (Kind::Mixed, Placed::Stadium { axis, radius }) => {
                let along = (axis[1] - axis[0]).try_normalize(0.0).unwrap_or_else(Vector2::x) * *radius;
                let (tips, across) = ([axis[0] - along, axis[1] + along], Vector2::new(-along.y, along.x));
                let hull = [tips[0] - across, tips[1] - across, tips[1] + across, tips[0] + across];
                let outside = |p: Point| (p - nearest_on_segment(p, *axis)).norm() - radius;
                deepest(&self.edges, &hull, outside, &tips, MOST_HALVINGS)
            }
        };
        found.filter(|(depth, _)| *depth > 0.0).map(|(depth, at)| (depth.min(self.most), at))
    }

    /// The same of everything an arm sweeps.
    pub fn deepest_of_sweep(&self, swept: &SweptArm) -> Option<(f64, Point)> {
        let found = if self.kind == Kind::FreeConvex {
            // The tip's depth peaks at an end of the sweep, square to an edge, or in line with a
            // corner; the pivot's never changes.
            let normals = self.edges.iter().map(|edge| edge[1] - edge[0]).map(|along| along.x.atan2(-along.y));
            let corners =
                self.edges.iter().flatten().map(|corner| swept.pivot - corner).map(|from| from.y.atan2(from.x));
            let peaks = normals.chain(corners).filter_map(|angle| swept.within(angle));
            let ends = [swept.from, swept.to].into_iter().chain(peaks);
            deepest_among(
                ends.map(|angle| swept.tip(angle)).chain([swept.pivot]).map(|end| self.beyond(end, swept.radius)),
            )
        } else {
            let tips = [swept.from, swept.to].map(|angle| swept.outermost(angle));
            deepest(&self.edges, &swept.bounds(), |p| swept.outside_by(p).0, &tips, MOST_HALVINGS_OF_SWEEP)
        };
        found.filter(|(depth, _)| *depth > 0.0)
    }

    /// The deepest point of a disc where the free side is convex.
    fn beyond(&self, centre: Point, radius: f64) -> (f64, Point) {
        let (depth, edge) = depth_in(&self.edges, centre);
        let to_nearest = nearest_on_segment(centre, self.edges[edge]) - centre;
        let inwards = to_nearest.try_normalize(1e-12).map_or_else(
            || {
                let along = self.edges[edge][1] - self.edges[edge][0];
                Vector2::new(-along.y, along.x).normalize()
            },
            |direction| if depth > 0.0 { -direction } else { direction },
        );
        (depth + radius, centre + inwards * radius)
    }

    /// Depth over a convex polygon is concave here: the solid's middle, or on the polygon's edge
    /// where two of the solid's edges are equally far.
    fn deepest_in_polygon(&self, corners: &[Point], middle: (f64, Point)) -> Option<(f64, Point)> {
        if holds(corners, middle.1) {
            return Some(middle);
        }
        let mut best: Option<(f64, Point)> = None;
        for (from, to) in corners.iter().zip(corners.iter().cycle().skip(1)) {
            let ends: Vec<(f64, f64)> =
                self.edges.iter().map(|edge| (left_of(edge, *from), left_of(edge, *to))).collect();
            let mut consider = |t: f64| {
                let depth = ends.iter().map(|(a, b)| a + t * (b - a)).fold(f64::INFINITY, f64::min);
                if best.is_none_or(|(old, _)| depth > old) {
                    best = Some((depth, from + (to - from) * t));
                }
            };
            consider(0.0);
            for (index, (a, b)) in ends.iter().enumerate() {
                for (c, d) in &ends[index + 1..] {
                    let t = (c - a) / ((b - a) - (d - c));
                    if (0.0..=1.0).contains(&t) {
                        consider(t);
                    }
                }
            }
        }
        best
    }
}

/// Signed distance of a point to the line of an edge, positive on its left.
fn left_of(edge: &[Point; 2], point: Point) -> f64 {
    let along = edge[1] - edge[0];
    along.perp(&(point - edge[0])) / along.norm().max(f64::MIN_POSITIVE)
}

/// Whether a counter-clockwise convex polygon holds a point.
fn holds(corners: &[Point], point: Point) -> bool {
    corners.iter().zip(corners.iter().cycle().skip(1)).all(|(from, to)| (to - from).perp(&(point - from)) >= 0.0)
}

/// A polygon just outside an arm.
fn around(axis: [Point; 2], radius: f64) -> Vec<Point> {
    let along = axis[1] - axis[0];
    let angle = along.y.atan2(along.x);
    #[allow(clippy::cast_precision_loss)] // small
    let step = std::f64::consts::PI / CHORDS as f64;
    let outer = radius / (0.5 * step).cos();
    [(axis[1], angle - std::f64::consts::FRAC_PI_2), (axis[0], angle + std::f64::consts::FRAC_PI_2)]
        .iter()
        .flat_map(|(centre, from)| {
            (0..CHORDS).map(move |index| {
                #[allow(clippy::cast_precision_loss)] // small
                let at = from + (index as f64 + 0.5) * step;
                centre + outer * Vector2::new(at.cos(), at.sin())
            })
        })
        .collect()
}

fn deepest_among(points: impl IntoIterator<Item = (f64, Point)>) -> Option<(f64, Point)> {
    points.into_iter().max_by(|a, b| a.0.total_cmp(&b.0))
}

/// The deepest point of a convex solid: equally far from three edges (two, between parallels, for
/// which the third bounds how far the ridge goes).
fn middle_of(edges: &[[Point; 2]]) -> Option<(f64, Point)> {
    let mut best: Option<(f64, Point)> = None;
    let line = |edge: &[Point; 2]| {
        let along = (edge[1] - edge[0]).normalize();
        let normal = Vector2::new(-along.y, along.x);
        (normal, normal.dot(&edge[0].coords))
    };
    let lines: Vec<_> = edges.iter().map(line).collect();
    for (i, (n1, c1)) in lines.iter().enumerate() {
        for (j, (n2, c2)) in lines.iter().enumerate().skip(i + 1) {
            for (n3, c3) in &lines[j + 1..] {
                // n·p − c = depth for all three.
                let (u, v) = (n1 - n2, n1 - n3);
                let area = u.perp(&v);
                if area.abs() < 1e-12 {
                    continue;
                }
                let (du, dv) = (c1 - c2, c1 - c3);
                let p = Point2::new((du * v.y - dv * u.y) / area, (u.x * dv - v.x * du) / area);
                let depth = lines.iter().map(|(n, c)| n.dot(&p.coords) - c).fold(f64::INFINITY, f64::min);
                if best.is_none_or(|(old, _)| depth > old) {
                    best = Some((depth, p));
                }
            }
        }
    }
    best.filter(|(depth, _)| *depth > 0.0)
}

/// What no point of a closed solid is deeper than.
fn most_depth(edges: &[[Point; 2]]) -> f64 {
    let corners = edges.iter().map(|edge| edge[0].coords);
    let least = corners.clone().reduce(|a, b| a.inf(&b)).unwrap_or_default();
    let most = corners.reduce(|a, b| a.sup(&b)).unwrap_or_default();
    let around_it = [least, Vector2::new(most.x, least.y), most, Vector2::new(least.x, most.y)].map(Point::from);
    deepest(edges, &around_it, |_| 0.0, &[], MOST_HALVINGS_OF_SWEEP).map_or(0.0, |(depth, _)| depth)
}

/// A box that may hold the deepest point, and what no point of it is deeper than.
struct Cell {
    bound: f64,
    middle: Point,
    half: Vector2<f64>,
}

impl PartialEq for Cell {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}
impl Eq for Cell {}
impl PartialOrd for Cell {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Cell {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.bound.total_cmp(&other.bound)
    }
}

/// The deepest point of a shape on the left of a chain of edges, and an upper bound of its depth
/// that is at most 0.001 mm above it (more only where `most_halvings` ran out).
///
/// The shape is where `outside` (mm, at most the distance to it) is not above 0 within `hull`, a
/// convex polygon wound counter-clockwise. Its box along the chain's longest edge is halved, most
/// promising half first. In a half no point is deeper than its middle plus its reach, nor than the
/// farthest corner of half and hull from any one edge, nor than half its distance from any two: such
/// distances are convex, and between two parallel edges their sum is the same all over.
fn deepest(
    edges: &[[Point; 2]],
    hull: &[Point],
    outside: impl Fn(Point) -> f64,
    first_tries: &[Point],
    most_halvings: usize,
) -> Option<(f64, Point)> {
    /// Well inside the 0.01 mm promised.
    const SLACK_MM: f64 = 0.001;
    let length = |edge: &&[Point; 2]| (edge[1] - edge[0]).norm();
    let longest = edges.iter().max_by(|a, b| length(a).total_cmp(&length(b)))?;
    let room_from_box = Rotation2::rotation_between(&Vector2::x(), &(longest[1] - longest[0]));
    let local = hull.iter().map(|p| room_from_box.inverse_transform_point(p).coords);
    let (least, most) = local
        .fold((Vector2::repeat(f64::INFINITY), Vector2::repeat(f64::NEG_INFINITY)), |(l, m), p| (l.inf(&p), m.sup(&p)));
    let mut best: Option<(f64, Point)> = None;
    let consider = |at: Point, best: &mut Option<(f64, Point)>| {
        let value = depth_in(edges, at).0;
        if outside(at) <= 1e-9 && best.is_none_or(|(old, _)| value > old) {
            *best = Some((value, at));
        }
        value
    };
    for point in first_tries {
        consider(*point, &mut best);
    }
    let cell = |middle: Point, half: Vector2<f64>, best: &mut Option<(f64, Point)>| {
        let reach = half.norm();
        let at = room_from_box * middle;
        if outside(at) > reach {
            return None;
        }
        let by_reach = consider(at, best) + reach;
        let signs = [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)];
        let corners = signs.map(|(x, y)| room_from_box * (middle + Vector2::new(x * half.x, y * half.y)));
        let corners = clipped(&corners, hull);
        if corners.is_empty() {
            return None;
        }
        for corner in &corners {
            consider(*corner, best);
        }
        let distances: Vec<Vec<f64>> = edges
            .iter()
            .map(|edge| corners.iter().map(|c| (c - nearest_on_segment(*c, *edge)).norm()).collect())
            .collect();
        let mut bound = by_reach;
        for (index, one) in distances.iter().enumerate() {
            bound = bound.min(one.iter().copied().fold(0.0, f64::max));
            for other in &distances[index + 1..] {
                let halves = one.iter().zip(other).map(|(a, b)| 0.5 * (a + b));
                bound = bound.min(halves.fold(0.0, f64::max));
            }
        }
        // Where one edge is nearest to all of the half, the solid ends at that edge's line.
        let (mut nearest, mut second) = ((f64::INFINITY, 0), f64::INFINITY);
        for (index, edge) in edges.iter().enumerate() {
            let distance = (at - nearest_on_segment(at, *edge)).norm();
            if distance < nearest.0 {
                second = nearest.0;
                nearest = (distance, index);
            } else {
                second = second.min(distance);
            }
        }
        if second - nearest.0 > 2.0 * reach {
            let inside = corners.iter().map(|corner| left_of(&edges[nearest.1], *corner));
            bound = bound.min(inside.fold(f64::NEG_INFINITY, f64::max));
        }
        Some(Cell { bound, middle, half })
    };
    let mut cells = BinaryHeap::new();
    cells.extend(cell(Point::from(0.5 * (least + most)), 0.5 * (most - least), &mut best));
    for _ in 0..most_halvings {
        let Some(top) = cells.peek() else { break };
        if top.bound <= best.map_or(0.0, |(value, _)| value.max(0.0)) + SLACK_MM {
            break;
        }
        let Some(Cell { middle, half, .. }) = cells.pop() else { break };
        let axis = usize::from(half.y > half.x);
        let mut smaller = half;
        smaller[axis] *= 0.5;
        for sign in [-1.0, 1.0] {
            let mut to = middle;
            to[axis] += sign * smaller[axis];
            cells.extend(cell(to, smaller, &mut best));
        }
    }
    let ceiling = cells.peek().map_or(0.0, |top| top.bound);
    best.filter(|(value, _)| *value > 0.0).map(|(value, at)| (value.max(ceiling), at))
}

/// What a convex polygon and a hull, both counter-clockwise, have in common.
fn clipped(polygon: &[Point], hull: &[Point]) -> Vec<Point> {
    let mut kept = polygon.to_vec();
    for (from, to) in hull.iter().zip(hull.iter().cycle().skip(1)) {
        let edge = [*from, *to];
        let mut next = Vec::with_capacity(kept.len() + 1);
        for (p, q) in kept.iter().zip(kept.iter().cycle().skip(1)) {
            let (at_p, at_q) = (left_of(&edge, *p), left_of(&edge, *q));
            if at_p >= 0.0 {
                next.push(*p);
            }
            if at_p * at_q < 0.0 {
                next.push(p + (q - p) * (at_p / (at_p - at_q)));
            }
        }
        kept = next;
    }
    kept
}

/// How deep a point lies to the left of a chain of edges (negative: to its right), and the nearest
/// edge. At a corner the turn of the chain decides: the side that is nearest to a corner is the
/// one that spans more than half a turn there.
fn depth_in(edges: &[[Point; 2]], point: Point) -> (f64, usize) {
    let mut nearest = (f64::INFINITY, 0, 0.0);
    for (index, edge) in edges.iter().enumerate() {
        let along = edge[1] - edge[0];
        let from = point - edge[0];
        let share = from.dot(&along) / along.norm_squared().max(f64::MIN_POSITIVE);
        let off = point - (edge[0] + along * share.clamp(0.0, 1.0));
        let squared = off.norm_squared();
        if squared < nearest.0 {
            let side = if share <= 0.0 || share >= 1.0 {
                let neighbour =
                    if share <= 0.0 { (index + edges.len() - 1) % edges.len() } else { (index + 1) % edges.len() };
                let other = edges[neighbour][1] - edges[neighbour][0];
                // Turning right here, the left side spans more than half a turn.
                let turn = if share <= 0.0 { other.perp(&along) } else { along.perp(&other) };
                if turn == 0.0 { along.perp(&from) } else { -turn }
            } else {
                along.perp(&from)
            };
            nearest = (squared, index, side);
        }
    }
    let size = nearest.0.sqrt();
    (if nearest.2 > 0.0 { size } else { -size }, nearest.1)
}
