//! How deep a part lies inside a solid: the depth of its deepest point.
//!
//! A solid is what lies on the left of a chain of edges. Three kinds, from cheap to dear: where the
//! free side is convex, depth is a convex function and the deepest point of a convex part is one
//! of its extremes; where the solid is convex, depth is concave and rises to the solid's own
//! middle; elsewhere a search by halving, proved like the clearances.

use nalgebra::{Point2, Rotation2, Vector2};

use crate::distance::{nearest_in_rectangle, nearest_on_segment};
use crate::edge_tree::{Bounds, EdgeTree};
use crate::placed::Placed;
use crate::project::Point;
use crate::swept_arm::SweptArm;

/// A solid on the left of a chain of edges.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Solidity {
    chain: Chain,
    closed: bool,
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

/// Stops for shapes that defeat the halving: the depth is then bounded more coarsely. At one pose,
/// and for what is asked once in an analysis.
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
        let chain = Chain::new(edges);
        let most = match &kind {
            Kind::SolidConvex { middle } => middle.0,
            Kind::Mixed if closed => {
                let around_it = chain.tree.bounds().corners();
                chain.deepest(&around_it, |_| 0.0, &[], MOST_HALVINGS_OF_SWEEP).map_or(0.0, |(depth, _)| depth)
            }
            _ => f64::INFINITY,
        };
        Self { chain, closed, kind, most }
    }

    pub fn edges(&self) -> &[[Point; 2]] {
        self.chain.tree.edges()
    }

    pub fn tree(&self) -> &EdgeTree {
        &self.chain.tree
    }

    /// What no point of the solid is deeper than, mm.
    pub fn most_depth(&self) -> f64 {
        self.most
    }

    /// Depth of a point (negative outside).
    pub fn at(&self, point: Point) -> f64 {
        self.chain.depth(point).0
    }

    /// Whether a point is inside.
    pub fn holds(&self, point: Point) -> bool {
        (!self.closed || self.tree().bounds().distance(point) <= 0.0) && self.at(point) > 0.0
    }

    /// The point of the outline nearest to a point.
    pub fn nearest(&self, point: Point) -> Point {
        self.edges().get(self.chain.depth(point).1).map_or(point, |edge| nearest_on_segment(point, *edge))
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
            (Kind::SolidConvex { middle }, Placed::Rectangle { shape, room_from_part }) => {
                self.deepest_in_polygon(&shape.corners().map(|c| room_from_part * c), *middle)
            }
            (Kind::Mixed, Placed::Rectangle { shape, room_from_part }) => {
                let corners = shape.corners().map(|c| room_from_part * c);
                let outside = |p: Point| {
                    let local = room_from_part.inverse_transform_point(&p);
                    (local - nearest_in_rectangle(local, shape)).norm()
                };
                self.chain.deepest(&corners, outside, &corners, MOST_HALVINGS)
            }
            (_, Placed::Stadium { axis, radius }) => {
                let along = (axis[1] - axis[0]).try_normalize(0.0).unwrap_or_else(Vector2::x) * *radius;
                let (tips, across) = ([axis[0] - along, axis[1] + along], Vector2::new(-along.y, along.x));
                let hull = [tips[0] - across, tips[1] - across, tips[1] + across, tips[0] + across];
                let outside = |p: Point| (p - nearest_on_segment(p, *axis)).norm() - radius;
                self.chain.deepest(&hull, outside, &tips, MOST_HALVINGS)
            }
        };
        found.filter(|(depth, _)| *depth > 0.0).map(|(depth, at)| (depth.min(self.most), at))
    }

    /// The same of everything an arm sweeps.
    pub fn deepest_of_sweep(&self, swept: &SweptArm) -> Option<(f64, Point)> {
        let found = if self.kind == Kind::FreeConvex {
            // The tip's depth peaks at an end of the sweep, square to an edge, or in line with a
            // corner; the pivot's never changes.
            let normals = self.edges().iter().map(|edge| edge[1] - edge[0]).map(|along| along.x.atan2(-along.y));
            let corners =
                self.edges().iter().flatten().map(|corner| swept.pivot - corner).map(|from| from.y.atan2(from.x));
            let peaks = normals.chain(corners).filter_map(|angle| swept.within(angle));
            let ends = [swept.from, swept.to].into_iter().chain(peaks);
            deepest_among(
                ends.map(|angle| swept.tip(angle)).chain([swept.pivot]).map(|end| self.beyond(end, swept.radius)),
            )
        } else {
            let tips = [swept.from, swept.to].map(|angle| swept.outermost(angle));
            self.chain.deepest(&swept.bounds(), |p| swept.outside_by(p).0, &tips, MOST_HALVINGS_OF_SWEEP)
        };
        found.filter(|(depth, _)| *depth > 0.0)
    }

    /// The deepest point of a disc where the free side is convex.
    fn beyond(&self, centre: Point, radius: f64) -> (f64, Point) {
        let (depth, edge) = self.chain.depth(centre);
        let edge = self.edges()[edge];
        let to_nearest = nearest_on_segment(centre, edge) - centre;
        let inwards = to_nearest.try_normalize(1e-12).map_or_else(
            || {
                let along = edge[1] - edge[0];
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
            let mut ends = [(0.0, 0.0); MOST_EDGES_FOR_MIDDLE];
            for (end, edge) in ends.iter_mut().zip(self.edges()) {
                *end = (left_of(edge, *from), left_of(edge, *to));
            }
            let ends = &ends[..self.edges().len()];
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

/// The edges of a solid, to be searched for depths.
#[derive(Clone, Debug, PartialEq)]
struct Chain {
    tree: EdgeTree,
    /// Turns +x along the longest edge.
    room_from_box: Rotation2<f64>,
}

/// A box that may hold the deepest point, in the frame along the longest edge, and what no point of
/// it is deeper than.
#[derive(Clone, Copy)]
struct Cell {
    bound: f64,
    middle: Point,
    half: Vector2<f64>,
}

/// A search for the deepest point of a shape, see [`Chain::deepest`].
struct Search<'a, Outside> {
    chain: &'a Chain,
    hull: &'a [Point],
    outside: Outside,
    best: Option<(f64, Point)>,
    /// How closely the depth is to be bounded, mm.
    slack: f64,
    halvings_left: usize,
}

impl Chain {
    fn new(edges: Vec<[Point; 2]>) -> Self {
        let length = |edge: &&[Point; 2]| (edge[1] - edge[0]).norm_squared();
        let longest = edges.iter().max_by(|a, b| length(a).total_cmp(&length(b)));
        let along = longest.map_or_else(Vector2::x, |longest| longest[1] - longest[0]);
        Self { tree: EdgeTree::new(edges), room_from_box: Rotation2::rotation_between(&Vector2::x(), &along) }
    }

    /// How deep a point lies to the left of the chain (negative: to its right), and the nearest edge.
    fn depth(&self, point: Point) -> (f64, usize) {
        let distance = |edge: &[Point; 2]| ((point - nearest_on_segment(point, *edge)).norm(), ());
        let found = self.tree.least(f64::INFINITY, |around| around.distance(point), distance);
        found.map_or((f64::NEG_INFINITY, 0), |found| (self.signed(found.mm, found.index, point), found.index))
    }

    /// The distance of a point to its nearest edge, negative on the right of the chain. At a corner
    /// the turn of the chain decides: the side that is nearest to a corner is the one that spans
    /// more than half a turn there.
    fn signed(&self, distance: f64, index: usize, point: Point) -> f64 {
        let edges = self.tree.edges();
        let along = edges[index][1] - edges[index][0];
        let from = point - edges[index][0];
        let share = from.dot(&along) / along.norm_squared().max(f64::MIN_POSITIVE);
        let side = if share <= 0.0 || share >= 1.0 {
            let neighbour = if share <= 0.0 { index + edges.len() - 1 } else { index + 1 } % edges.len();
            let other = edges[neighbour][1] - edges[neighbour][0];
            // Turning right here, the left side spans more than half a turn.
            let turn = if share <= 0.0 { other.perp(&along) } else { along.perp(&other) };
            if turn == 0.0 { along.perp(&from) } else { -turn }
        } else {
            along.perp(&from)
        };
        if side > 0.0 { distance } else { -distance }
    }

    /// The deepest point of a shape on the left of the chain, and an upper bound of its depth that is
    /// at most 0.001 mm above it (more only where `most_halvings` ran out).
    ///
    /// The shape is where `outside` (mm, at most the distance to it) is not above 0 within `hull`, a
    /// convex polygon of four corners wound counter-clockwise. Its box along the chain's longest
    /// edge is halved, most promising half first; where `most_halvings` do not do, more coarsely.
    fn deepest(
        &self,
        hull: &[Point; 4],
        outside: impl Fn(Point) -> f64,
        first_tries: &[Point],
        most_halvings: usize,
    ) -> Option<(f64, Point)> {
        let around = Bounds::around(hull.map(|p| self.room_from_box.inverse_transform_point(&p)));
        let mut search =
            Search { chain: self, hull, outside, best: None, slack: SLACK_MM, halvings_left: most_halvings };
        for point in first_tries {
            search.consider(*point, self.depth(*point).0);
        }
        let mut ceiling = 0.0;
        if let Some(whole) = search.cell(around.middle, around.half) {
            ceiling = search.halve(whole);
            while search.halvings_left == 0 {
                search.halvings_left = most_halvings;
                search.slack *= 16.0;
                ceiling = search.halve(whole);
            }
        }
        let found = search.best.filter(|(value, _)| *value > 0.0);
        // Nothing seen inside, but not all of it looked at closely: as deep as it may be.
        let unseen = (search.slack > SLACK_MM && ceiling > 0.0).then(|| (ceiling, nearest_corner(self, hull)));
        found.map(|(value, at)| (value.max(ceiling), at)).or(unseen)
    }
}

/// The corner of a shape that comes nearest to a chain.
fn nearest_corner(chain: &Chain, hull: &[Point; 4]) -> Point {
    deepest_among(hull.map(|corner| (chain.depth(corner).0, corner))).map_or(hull[0], |(_, corner)| corner)
}

/// How closely a depth is bounded, mm: well inside the 0.01 mm promised.
const SLACK_MM: f64 = 0.001;
/// Edges looked at for the bound of a cell: those nearest to its middle.
const FEW: usize = 8;

impl<Outside: Fn(Point) -> f64> Search<'_, Outside> {
    fn consider(&mut self, at: Point, depth: f64) {
        if self.best.is_none_or(|(old, _)| depth > old) && (self.outside)(at) <= 1e-9 {
            self.best = Some((depth, at));
        }
    }

    fn least_of_interest(&self) -> f64 {
        self.best.map_or(0.0, |(value, _)| value.max(0.0)) + self.slack
    }

    /// What no point of a cell is deeper than, once it is halved as often as it takes.
    fn halve(&mut self, Cell { bound, middle, half }: Cell) -> f64 {
        if bound <= self.least_of_interest() || self.halvings_left == 0 {
            return bound;
        }
        self.halvings_left -= 1;
        let axis = usize::from(half.y > half.x);
        let mut smaller = half;
        smaller[axis] *= 0.5;
        let mut halves = [-1.0, 1.0].map(|sign| {
            let mut to = middle;
            to[axis] += sign * smaller[axis];
            self.cell(to, smaller)
        });
        let of = |cell: &Option<Cell>| cell.map_or(0.0, |cell| cell.bound);
        if of(&halves[1]) > of(&halves[0]) {
            halves.swap(0, 1);
        }
        halves.into_iter().flatten().map(|cell| self.halve(cell)).fold(0.0, f64::max)
    }

    /// A cell with its bound, if any of it is in the shape. No point is deeper than the cell's middle
    /// plus its reach, nor than the farthest corner of cell and hull from any one edge, nor than half
    /// its distance from any two: such distances are convex, and between two parallel edges their
    /// sum is the same all over.
    fn cell(&mut self, middle: Point, half: Vector2<f64>) -> Option<Cell> {
        let chain = self.chain;
        let reach = half.norm();
        let at = chain.room_from_box * middle;
        if (self.outside)(at) > reach {
            return None;
        }
        let (few, count) = chain.tree.few_nearest::<FEW>(at, 2.0 * reach);
        let few = &few[..count];
        let (nearest, edge) = *few.first()?;
        let depth = chain.signed(nearest, edge, at);
        self.consider(at, depth);
        let mut bound = depth + reach;
        if bound <= self.least_of_interest() {
            return Some(Cell { bound, middle, half });
        }
        let corners = Bounds { middle, half }.corners().map(|corner| chain.room_from_box * corner);
        let corners = Polygon::of(&corners).clipped(self.hull);
        let corners = corners.corners();
        if corners.is_empty() {
            return None;
        }
        let edges = chain.tree.edges();
        let mut distances = [[0.0; MOST_CORNERS]; FEW];
        for ((_, index), row) in few.iter().zip(&mut distances) {
            for (distance, corner) in row.iter_mut().zip(corners) {
                *distance = (corner - nearest_on_segment(*corner, edges[*index])).norm();
            }
        }
        let rows = distances[..count].iter().map(|row| &row[..corners.len()]);
        for (index, one) in rows.clone().enumerate() {
            bound = bound.min(one.iter().copied().fold(0.0, f64::max));
            for other in rows.clone().skip(index + 1) {
                let halves = one.iter().zip(other).map(|(a, b)| 0.5 * (a + b));
                bound = bound.min(halves.fold(0.0, f64::max));
            }
        }
        for (index, corner) in corners.iter().enumerate() {
            // Not deeper than from these few, which are not all.
            let most = rows.clone().map(|row| row[index]).fold(f64::INFINITY, f64::min);
            if self.best.is_none_or(|(old, _)| most > old) {
                self.consider(*corner, chain.depth(*corner).0);
            }
        }
        // Where one edge is nearest to all of the cell, the solid ends at that edge's line.
        if count == 1 {
            let inside = corners.iter().map(|corner| left_of(&edges[edge], *corner));
            bound = bound.min(inside.fold(f64::NEG_INFINITY, f64::max));
        }
        Some(Cell { bound, middle, half })
    }
}

/// Corners of a box cut by four edges.
const MOST_CORNERS: usize = 8;

/// A convex polygon, counter-clockwise, without allocation.
#[derive(Clone, Copy)]
struct Polygon {
    corners: [Point; MOST_CORNERS],
    count: usize,
}

impl Polygon {
    fn of(from: &[Point]) -> Self {
        let mut polygon = Self { corners: [Point::origin(); MOST_CORNERS], count: 0 };
        from.iter().for_each(|corner| polygon.push(*corner));
        polygon
    }

    fn push(&mut self, corner: Point) {
        debug_assert!(self.count < MOST_CORNERS, "each edge that cuts a convex polygon adds one corner");
        if let Some(place) = self.corners.get_mut(self.count) {
            *place = corner;
            self.count += 1;
        }
    }

    fn corners(&self) -> &[Point] {
        &self.corners[..self.count]
    }

    /// What it has in common with a convex hull, counter-clockwise.
    fn clipped(self, hull: &[Point]) -> Self {
        let mut kept = self;
        for (from, to) in hull.iter().zip(hull.iter().cycle().skip(1)) {
            let edge = [*from, *to];
            let mut next = Self::of(&[]);
            let corners = kept.corners();
            for (p, q) in corners.iter().zip(corners.iter().cycle().skip(1)) {
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
}
