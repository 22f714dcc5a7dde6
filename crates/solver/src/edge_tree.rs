//! Edges in a tree of boxes: the nearest edge is found without asking every one.
//!
//! Neighbours along an outline are neighbours in the plane, so nothing is sorted: a node is a run
//! of edges, halved until it is short.

use nalgebra::Vector2;

use crate::distance::nearest_on_segment;
use crate::project::Point;

/// Edges of an outline in walking order.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct EdgeTree {
    edges: Vec<[Point; 2]>,
    /// The children of node n are 2n + 1, the first half of its run, and 2n + 2.
    boxes: Vec<Bounds>,
}

/// An upright box, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Bounds {
    pub middle: Point,
    /// Half its width and height.
    pub half: Vector2<f64>,
}

/// What was found of one edge.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Found<T> {
    pub index: usize,
    pub mm: f64,
    pub more: T,
}

/// A run this short is not halved.
const RUN: usize = 4;
/// Rounding may put a box this much farther than an edge in it, mm: a thousandth of what decides
/// between two edges that are alike.
const ROUNDING_MM: f64 = 1e-9;

impl Bounds {
    /// Around points; at the origin for none.
    pub fn around(points: impl IntoIterator<Item = Point>) -> Self {
        let mut points = points.into_iter();
        let first = points.next().unwrap_or_else(Point::origin).coords;
        let (least, most) = points.fold((first, first), |(l, m), p| (l.inf(&p.coords), m.sup(&p.coords)));
        Self { middle: Point::from(0.5 * (least + most)), half: 0.5 * (most - least) }
    }

    /// Distance of a point; 0 inside.
    pub fn distance(&self, point: Point) -> f64 {
        ((point - self.middle).abs() - self.half).map(|off| off.max(0.0)).norm()
    }

    /// Corners, counter-clockwise from the least.
    pub fn corners(&self) -> [Point; 4] {
        [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
            .map(|(x, y)| self.middle + Vector2::new(x * self.half.x, y * self.half.y))
    }
}

impl EdgeTree {
    pub fn new(edges: Vec<[Point; 2]>) -> Self {
        let mut tree = Self { edges, boxes: Vec::new() };
        if !tree.edges.is_empty() {
            tree.bound(0, 0, tree.edges.len());
        }
        tree
    }

    fn bound(&mut self, node: usize, from: usize, to: usize) {
        let around = Bounds::around(self.edges[from..to].iter().flatten().copied());
        if self.boxes.len() <= node {
            self.boxes.resize(node + 1, around);
        }
        self.boxes[node] = around;
        if to - from > RUN {
            let middle = from.midpoint(to);
            self.bound(2 * node + 1, from, middle);
            self.bound(2 * node + 2, middle, to);
        }
    }

    pub fn edges(&self) -> &[[Point; 2]] {
        &self.edges
    }

    /// A box around all edges; at the origin for none.
    pub fn bounds(&self) -> Bounds {
        self.boxes.first().copied().unwrap_or_else(|| Bounds::around([]))
    }

    /// The edge with the least value, of two alike the first, if it is not above `limit`. `bound` is
    /// what no edge in a box is below.
    pub fn least<T>(
        &self,
        limit: f64,
        bound: impl Fn(&Bounds) -> f64,
        mut value: impl FnMut(&[Point; 2]) -> (f64, T),
    ) -> Option<Found<T>> {
        let mut best: Option<Found<T>> = None;
        self.visit(limit, &bound, &mut |index, edge, limit| {
            let (mm, more) = value(edge);
            let better = best.as_ref().map_or(mm <= *limit, |old| mm < old.mm || mm <= old.mm && index < old.index);
            if better {
                *limit = mm;
                best = Some(Found { index, mm, more });
            }
        });
        best
    }

    /// Every edge whose value can be at most `limit`, those in near boxes first; what `look` is told
    /// it may lower.
    pub fn visit(
        &self,
        mut limit: f64,
        bound: &impl Fn(&Bounds) -> f64,
        look: &mut impl FnMut(usize, &[Point; 2], &mut f64),
    ) {
        if !self.edges.is_empty() {
            self.descend((0, 0, self.edges.len()), &mut limit, bound, look);
        }
    }

    fn descend(
        &self,
        (node, from, to): (usize, usize, usize),
        limit: &mut f64,
        bound: &impl Fn(&Bounds) -> f64,
        look: &mut impl FnMut(usize, &[Point; 2], &mut f64),
    ) {
        if to - from <= RUN {
            for index in from..to {
                look(index, &self.edges[index], limit);
            }
            return;
        }
        let middle = from.midpoint(to);
        let children = [(2 * node + 1, from, middle), (2 * node + 2, middle, to)];
        let bounds = children.map(|(child, _, _)| bound(&self.boxes[child]));
        let nearer = usize::from(bounds[1] < bounds[0]);
        for child in [nearer, 1 - nearer] {
            if bounds[child] <= *limit + ROUNDING_MM {
                self.descend(children[child], limit, bound, look);
            }
        }
    }

    /// Distance and index of the edges nearest to a point, the nearest first, at most `N` and none
    /// farther than `beyond` behind the nearest.
    pub fn few_nearest<const N: usize>(&self, point: Point, beyond: f64) -> ([(f64, usize); N], usize) {
        let mut few = [(f64::INFINITY, 0); N];
        let mut count = 0;
        self.visit(f64::INFINITY, &|around| around.distance(point), &mut |index, edge, limit| {
            let mm = (point - nearest_on_segment(point, *edge)).norm();
            if mm > *limit {
                return;
            }
            let at = few[..count].partition_point(|(other, _)| *other <= mm);
            if at < N {
                count = (count + 1).min(N);
                few[at..count].rotate_right(1);
                few[at] = (mm, index);
                *limit = few[0].0 + beyond;
                if count == N {
                    *limit = limit.min(few[N - 1].0);
                }
            }
        });
        let near = few[..count].partition_point(|(mm, _)| *mm <= few[0].0 + beyond);
        (few, near)
    }
}
