//! The room in side view: free space, the wall run, the edges after it, and the solids.

use nalgebra::Vector2;

use crate::depth::Solidity;
use crate::distance::{Gap, nearest_on_segment};
use crate::edge_tree::{Bounds, EdgeTree, Found};
use crate::placed::Placed;
use crate::project::{Point, Room};
use crate::swept_arm::SweptArm;
use crate::tolerance::WALL_RUN_MM;

/// The room's outline with both ends extended straight on, and its solids.
///
/// Wall run and the rest are two solids, each with its ends going straight on: behind the wall the
/// ceiling goes on in its first edge's direction, above the ceiling the wall goes on upwards.
/// Distances are always to the true edges; only the depth of an overlap uses the extensions.
#[derive(Clone, Debug, PartialEq)]
pub struct RoomShape {
    /// Edges of the outline in walking order, free space on the right: the leading ones at x = 0, and
    /// the others.
    wall_run: EdgeTree,
    after_wall_run: EdgeTree,
    whole: Option<Solidity>,
    wall: Option<Solidity>,
    rest: Option<Solidity>,
    solids: Vec<(String, Solidity)>,
}

/// What a part is measured against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Against {
    /// The leading stretch at x = 0.
    WallRun,
    /// Every edge after it and every solid.
    Rest,
}

/// A signed distance of a part to the room and what it was measured to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct RoomGap {
    pub gap: Gap,
    pub feature: Feature,
}

/// A body of its own: parts may overlap each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Body {
    WallRun,
    Rest,
    Solid(usize),
}

/// An edge of the outline by its index, or a solid by its index.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Feature {
    Edge(usize),
    Solid(usize),
}

impl RoomShape {
    /// From the project's room; an outline of fewer than two different points has no edges.
    #[must_use]
    pub fn new(room: &Room) -> Self {
        let points = without_repeats(&room.outline);
        // Far enough that nothing of the lift reaches the end, near enough to keep the digits.
        let far = 1000.0 * points.iter().map(|p| p.coords.amax()).fold(1.0, f64::max);
        let walked: Vec<[Point; 2]> = points.windows(2).map(|pair| [pair[0], pair[1]]).collect();
        let wall_run = points.windows(2).take_while(|pair| pair.iter().all(|p| p.x.abs() <= WALL_RUN_MM)).count();
        let mut leading = extended(&walked, far);
        let after_wall_run = EdgeTree::new(leading.split_off(wall_run));
        let side = |edges: &[[Point; 2]]| (!edges.is_empty()).then(|| Solidity::new(extended(edges, far), false));
        let solids = room.solids.iter().enumerate().filter_map(|(index, solid)| {
            let mut corners = without_repeats(&solid.outline);
            if corners.len() > 1 && corners.first() == corners.last() {
                corners.pop();
            }
            if signed_area(&corners) < 0.0 {
                corners.reverse();
            }
            let next = corners.iter().cycle().skip(1);
            let edges: Vec<_> = corners.iter().zip(next).map(|(from, to)| [*from, *to]).collect();
            let name = solid.name.clone().unwrap_or_else(|| format!("solid {}", index + 1));
            (edges.len() > 2).then(|| (name, Solidity::new(edges, true)))
        });
        Self {
            solids: solids.collect(),
            whole: side(&walked),
            wall: side(&walked[..wall_run]),
            rest: side(&walked[wall_run..]),
            wall_run: EdgeTree::new(leading),
            after_wall_run,
        }
    }

    /// Edges of the wall run, the first one extended downwards without end.
    #[must_use]
    pub fn wall_run(&self) -> &[[Point; 2]] {
        self.wall_run.edges()
    }

    /// Edges after the wall run, the last one extended without end.
    #[must_use]
    pub fn edges_after_wall_run(&self) -> &[[Point; 2]] {
        self.after_wall_run.edges()
    }

    /// Whether there is anything to measure against.
    pub(crate) fn has(&self, against: Against) -> bool {
        match against {
            Against::WallRun => self.wall.is_some(),
            Against::Rest => self.rest.is_some() || !self.solids.is_empty(),
        }
    }

    /// In a sentence.
    pub(crate) fn words(&self, feature: Feature) -> String {
        match feature {
            Feature::Solid(index) => self.solids[index].0.clone(),
            Feature::Edge(index) if index < self.wall_run().len() => "wall".into(),
            Feature::Edge(index) => {
                let others = self.edges_after_wall_run();
                let [from, to] = others[index - self.wall_run().len()];
                let along = to - from;
                let kind = if along.x.abs() >= 0.5 * along.y.abs() { "ceiling" } else { "upright face" };
                if others.len() == 1 { kind.into() } else { format!("{kind} (edge {} of the room)", index + 1) }
            }
        }
    }

    /// The edges of a body, and what the one with an index is.
    fn outline(&self, body: Body) -> (&EdgeTree, impl Fn(usize) -> Feature + use<>) {
        let (tree, first) = match body {
            Body::WallRun => (&self.wall_run, 0),
            Body::Rest => (&self.after_wall_run, self.wall_run().len()),
            Body::Solid(index) => (self.solids[index].1.tree(), 0),
        };
        let feature = move |index: usize| match body {
            Body::Solid(solid) => Feature::Solid(solid),
            _ => Feature::Edge(first + index),
        };
        (tree, feature)
    }

    /// The edge or solid with the least value, of two alike the first, of everything that counts.
    /// `bound` is what nothing in a box is below.
    pub(crate) fn least<T>(
        &self,
        against: Against,
        bound: impl Fn(&Bounds) -> f64,
        mut value: impl FnMut(&[Point; 2]) -> (f64, T),
    ) -> Option<(Feature, Found<T>)> {
        let mut best: Option<(Feature, Found<T>)> = None;
        for body in self.bodies(against) {
            let (tree, feature) = self.outline(body);
            let limit = best.as_ref().map_or(f64::INFINITY, |(_, found)| found.mm);
            if bound(&tree.bounds()) > limit {
                continue;
            }
            if let Some(found) = tree.least(limit, &bound, &mut value)
                && best.as_ref().is_none_or(|(_, old)| found.mm < old.mm)
            {
                best = Some((feature(found.index), found));
            }
        }
        best
    }

    /// Every edge and solid whose value may be at most `limit`.
    pub(crate) fn near(
        &self,
        against: Against,
        limit: f64,
        bound: impl Fn(&Bounds) -> f64,
        mut look: impl FnMut(Feature, &[Point; 2]),
    ) {
        for body in self.bodies(against) {
            let (tree, feature) = self.outline(body);
            tree.visit(limit, &bound, &mut |index, edge, _| look(feature(index), edge));
        }
    }

    /// Signed distance of a part to the wall run or to the rest; negative = depth of overlap.
    pub(crate) fn gap(&self, part: &Placed, against: Against) -> Option<RoomGap> {
        self.bodies(against).filter_map(|body| self.gap_to(part, body)).min_by(|a, b| a.gap.mm.total_cmp(&b.gap.mm))
    }

    /// Signed distance of a part to one body.
    pub(crate) fn gap_to(&self, part: &Placed, body: Body) -> Option<RoomGap> {
        let (tree, feature) = self.outline(body);
        let reach = part.reach();
        let gap = |segment: &[Point; 2]| {
            let gap = part.gap_to(*segment);
            (gap.mm, gap)
        };
        let found = tree.least(f64::INFINITY, |around| reach.distance(around), gap)?;
        Some(self.settled(RoomGap { gap: found.more, feature: feature(found.index) }, part, body))
    }

    /// What no overlap with a body is deeper than, mm.
    pub(crate) fn most_depth(&self, body: Body) -> f64 {
        self.side(body).map_or(f64::INFINITY, Solidity::most_depth)
    }

    fn side(&self, body: Body) -> Option<&Solidity> {
        match body {
            Body::WallRun => self.wall.as_ref(),
            Body::Rest => self.rest.as_ref(),
            Body::Solid(index) => self.solids.get(index).map(|(_, side)| side),
        }
    }

    /// The bodies that count.
    pub(crate) fn bodies(&self, against: Against) -> impl Iterator<Item = Body> + use<> {
        let (outline, solids) = match against {
            Against::WallRun => (self.wall.as_ref().map(|_| Body::WallRun), 0),
            Against::Rest => (self.rest.as_ref().map(|_| Body::Rest), self.solids.len()),
        };
        outline.into_iter().chain((0..solids).map(Body::Solid))
    }

    /// The gap to one solid, or the depth where it is overlapped.
    fn settled(&self, found: RoomGap, part: &Placed, body: Body) -> RoomGap {
        let Some(side) = self.side(body) else { return found };
        let inside = |p: Point| {
            let in_room = matches!(body, Body::Solid(_)) || self.whole.as_ref().is_some_and(|whole| whole.holds(p));
            in_room && side.holds(p)
        };
        if found.gap.mm > 0.0 && !inside(part.some_point()) {
            return found;
        }
        match side.deepest_of(part) {
            Some((mm, at)) => RoomGap { gap: Gap { mm: -mm, on_first: at, on_second: side.nearest(at) }, ..found },
            None => RoomGap { gap: Gap { mm: found.gap.mm.max(0.0), ..found.gap }, ..found },
        }
    }

    /// The deepest point of what an arm sweeps, and the arm's direction there.
    pub(crate) fn depth_of_sweep(&self, swept: &SweptArm, against: Against) -> Option<(RoomGap, f64)> {
        let of_body = |body: Body| {
            let side = self.side(body)?;
            let (mm, at) = side.deepest_of_sweep(swept)?;
            let gap = Gap { mm: -mm, on_first: at, on_second: side.nearest(at) };
            let feature = match body {
                Body::Solid(index) => Feature::Solid(index),
                _ => self.nearest_edge(gap.on_second, against),
            };
            Some(RoomGap { gap, feature })
        };
        let found = self.bodies(against).filter_map(of_body).min_by(|a, b| a.gap.mm.total_cmp(&b.gap.mm))?;
        Some((found, swept.outside_by(found.gap.on_first).1))
    }

    fn nearest_edge(&self, point: Point, against: Against) -> Feature {
        let distance = |edge: &[Point; 2]| ((nearest_on_segment(point, *edge) - point).norm(), ());
        let nearest = self.least(against, |around| around.distance(point), distance);
        nearest.map_or(Feature::Edge(0), |(feature, _)| feature)
    }

    /// Least distance of a part to any edge or solid; 0 where it crosses one. Cheap: no depth.
    pub(crate) fn touch_gap(&self, part: &Placed) -> Option<Gap> {
        let reach = part.reach();
        let least = |against| {
            let gap = |edge: &[Point; 2]| {
                let gap = part.gap_to(*edge);
                (gap.mm, gap)
            };
            self.least(against, |around| reach.distance(around), gap).map(|(_, found)| found.more)
        };
        let all = [least(Against::WallRun), least(Against::Rest)];
        all.into_iter().flatten().reduce(|best, next| if next.mm < best.mm { next } else { best })
    }

    /// Distance of a point to every edge after the wall run and every solid, mm.
    pub(crate) fn distance_to_rest(&self, point: Point) -> f64 {
        let distance = |edge: &[Point; 2]| ((nearest_on_segment(point, *edge) - point).norm(), ());
        let nearest = self.least(Against::Rest, |around| around.distance(point), distance);
        nearest.map_or(f64::INFINITY, |(_, found)| found.mm)
    }

    /// Whether a point is in free space (not in a wall, a ceiling or a solid).
    #[must_use]
    pub fn is_free(&self, point: Point) -> bool {
        self.whole.iter().chain(self.solids.iter().map(|(_, solid)| solid)).all(|side| !side.holds(point))
    }
}

/// Edges with the first start and the last end moved straight on.
fn extended(edges: &[[Point; 2]], far: f64) -> Vec<[Point; 2]> {
    let mut edges = edges.to_vec();
    let stretch = |from: Point, to: Point| to + (to - from).try_normalize(0.0).unwrap_or_else(Vector2::zeros) * far;
    if let Some(first) = edges.first_mut() {
        first[0] = stretch(first[1], first[0]);
    }
    if let Some(last) = edges.last_mut() {
        last[1] = stretch(last[0], last[1]);
    }
    edges
}

/// The points without immediate repeats.
fn without_repeats(points: &[Point]) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::with_capacity(points.len());
    for point in points {
        if kept.last() != Some(point) {
            kept.push(*point);
        }
    }
    kept
}

/// Area of a polygon, positive counter-clockwise.
pub(crate) fn signed_area(points: &[Point]) -> f64 {
    let next = points.iter().cycle().skip(1);
    points.iter().zip(next).map(|(p, q)| 0.5 * p.coords.perp(&q.coords)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lift::Rectangle;
    use nalgebra::{Isometry2, Point2};

    fn room(outline: &[[f64; 2]], solids: &[&[[f64; 2]]]) -> RoomShape {
        let points = |from: &[[f64; 2]]| from.iter().map(|p| Point2::from(*p)).collect();
        RoomShape::new(&Room {
            outline: points(outline),
            solids: solids
                .iter()
                .map(|outline| crate::project::Solid { name: None, outline: points(outline), more: Default::default() })
                .collect(),
            uncover: None,
            clearance: None,
            studs: None,
            more: Default::default(),
        })
    }

    fn block(x: f64, y: f64, width: f64, height: f64) -> Placed {
        Placed::Rectangle {
            shape: Rectangle { least: Point2::origin(), most: Point2::new(width, height) },
            room_from_part: Isometry2::translation(x, y),
        }
    }

    #[test]
    fn free_space_is_on_the_right_of_the_walk() {
        let sloped = room(&[[0.0, 0.0], [0.0, 2250.0], [2400.0, 3930.5]], &[]);
        assert!(sloped.is_free(Point2::new(100.0, 1000.0)));
        assert!(sloped.is_free(Point2::new(100.0, -5000.0)));
        assert!(!sloped.is_free(Point2::new(-1.0, 1000.0)));
        assert!(!sloped.is_free(Point2::new(100.0, 2400.0)));
        assert!(!sloped.is_free(Point2::new(-100.0, 2500.0)));
    }

    #[test]
    fn overlap_is_the_depth_of_the_deepest_point() {
        let flat = room(&[[0.0, 0.0], [0.0, 2000.0], [3000.0, 2000.0]], &[]);
        let gap = flat.gap(&block(500.0, 1990.0, 40.0, 25.0), Against::Rest).expect("a ceiling").gap;
        assert!((gap.mm + 15.0).abs() < 0.0021, "{gap:?}");
        let gap = flat.gap(&block(500.0, 1900.0, 40.0, 25.0), Against::Rest).expect("a ceiling").gap;
        assert!((gap.mm - 75.0).abs() < 1e-9);
    }

    #[test]
    fn a_beam_inside_the_panel_is_as_deep_as_its_middle() {
        // The panel covers a 20 × 60 beam whole: its deepest point is the beam's own middle line.
        let beam = room(
            &[[0.0, 0.0], [0.0, 2000.0], [3000.0, 2000.0]],
            &[&[[500.0, 1000.0], [500.0, 1060.0], [520.0, 1060.0], [520.0, 1000.0]]],
        );
        let gap = beam.gap(&block(400.0, 900.0, 300.0, 300.0), Against::Rest).expect("a beam").gap;
        assert!((gap.mm + 10.0).abs() < 0.01, "{gap:?}");
        // And a panel wholly inside a big solid is not free of it.
        let big = room(
            &[[0.0, 0.0], [0.0, 2000.0], [3000.0, 2000.0]],
            &[&[[200.0, 0.0], [900.0, 0.0], [900.0, 900.0], [200.0, 900.0]]],
        );
        let gap = big.gap(&block(500.0, 400.0, 40.0, 25.0), Against::Rest).expect("a solid").gap;
        assert!(gap.mm < -300.0, "{gap:?}");
    }

    #[test]
    fn a_notched_beam_inside_the_panel_is_as_deep_as_its_widest_prong() {
        // A V from (100, 0) and (0, 0) down to the middle leaves two prongs; the deepest point is
        // the middle of the circle between the base, a side and the notch: found by hand as the
        // incircle of a right triangle of legs 50 and 30: r = (50 + 30 − √3400) / 2.
        let beam = room(
            &[[0.0, 0.0], [0.0, 3000.0], [3000.0, 3000.0]],
            &[&[[500.0, 1000.0], [600.0, 1000.0], [600.0, 1030.0], [550.0, 1000.001], [500.0, 1030.0]]],
        );
        let gap = beam.gap(&block(400.0, 900.0, 300.0, 300.0), Against::Rest).expect("a beam").gap;
        let deepest = 0.5 * (80.0 - 3400.0_f64.sqrt());
        assert!((gap.mm + deepest).abs() < 0.01, "{gap:?} {deepest}");
    }

    #[test]
    fn the_wall_run_is_apart() {
        let flat = room(&[[0.0, 0.0], [0.0, 2000.0], [3000.0, 2000.0]], &[]);
        let gap = flat.gap(&block(62.0, 1200.0, 35.0, 700.0), Against::WallRun).expect("a wall").gap;
        assert!((gap.mm - 62.0).abs() < 1e-9);
        let gap = flat.gap(&block(-5.0, 1200.0, 35.0, 700.0), Against::WallRun).expect("a wall").gap;
        assert!((gap.mm + 5.0).abs() < 0.0021);
        // In the wall but far from the ceiling: not an overlap with the ceiling.
        let gap = flat.gap(&block(-5.0, 1200.0, 35.0, 700.0), Against::Rest).expect("a ceiling").gap;
        assert!((gap.mm - 100.0).abs() < 1e-9);
    }
}
