//! The room in side view: free space, the wall run, the edges after it, and the solids.

use nalgebra::{Isometry2, Vector2};

use crate::distance::{Gap, nearest_on_segment};
use crate::lift::Rectangle;
use crate::placed::{Placed, deepest};
use crate::project::{Point, Room};
use crate::swept_arm::SweptArm;
use crate::tolerance::WALL_RUN_MM;

/// The room's outline with both ends extended straight on, and its solids.
#[derive(Clone, Debug, PartialEq)]
pub struct RoomShape {
    /// Edges of the outline in walking order, free space on the right.
    edges: Vec<[Point; 2]>,
    /// How many leading edges are the wall run.
    wall_run: usize,
    solids: Vec<SolidShape>,
}

#[derive(Clone, Debug, PartialEq)]
struct SolidShape {
    name: String,
    /// Edges, counter-clockwise: the solid is on the left, like that of the outline.
    edges: Vec<[Point; 2]>,
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
        let mut edges: Vec<[Point; 2]> = points.windows(2).map(|pair| [pair[0], pair[1]]).collect();
        let stretch = |from: Point, to: Point| to + (to - from).try_normalize(0.0).unwrap_or_else(Vector2::zeros) * far;
        if let Some(first) = edges.first_mut() {
            first[0] = stretch(first[1], first[0]);
        }
        if let Some(last) = edges.last_mut() {
            last[1] = stretch(last[0], last[1]);
        }
        let wall_run = points.windows(2).take_while(|pair| pair.iter().all(|p| p.x.abs() <= WALL_RUN_MM)).count();
        let solids = room
            .solids
            .iter()
            .enumerate()
            .map(|(index, solid)| {
                let mut corners = without_repeats(&solid.outline);
                if corners.len() > 1 && corners.first() == corners.last() {
                    corners.pop();
                }
                if signed_area(&corners) < 0.0 {
                    corners.reverse();
                }
                let next = corners.iter().cycle().skip(1);
                SolidShape {
                    name: solid.name.clone().unwrap_or_else(|| format!("solid {}", index + 1)),
                    edges: corners.iter().zip(next).map(|(from, to)| [*from, *to]).collect(),
                }
            })
            .collect();
        Self { edges, wall_run, solids }
    }

    /// Edges of the wall run, the first one extended downwards without end.
    #[must_use]
    pub fn wall_run(&self) -> &[[Point; 2]] {
        &self.edges[..self.wall_run]
    }

    /// Edges after the wall run, the last one extended without end.
    #[must_use]
    pub fn edges_after_wall_run(&self) -> &[[Point; 2]] {
        &self.edges[self.wall_run..]
    }

    /// Whether there is anything to measure against.
    pub(crate) fn has(&self, against: Against) -> bool {
        match against {
            Against::WallRun => self.wall_run > 0,
            Against::Rest => self.wall_run < self.edges.len() || !self.solids.is_empty(),
        }
    }

    /// In a sentence.
    pub(crate) fn words(&self, feature: Feature) -> String {
        match feature {
            Feature::Solid(index) => self.solids[index].name.clone(),
            Feature::Edge(index) if index < self.wall_run => "wall".into(),
            Feature::Edge(index) => {
                let along = self.edges[index][1] - self.edges[index][0];
                let kind = if along.x.abs() >= 0.5 * along.y.abs() { "ceiling" } else { "room edge" };
                if self.edges.len() - self.wall_run == 1 { kind.into() } else { format!("{kind}, edge {}", index + 1) }
            }
        }
    }

    /// Signed distance of a part to the wall run or to the rest; negative = depth of overlap.
    pub(crate) fn gap(&self, part: &Placed, against: Against) -> Option<RoomGap> {
        let wanted = match against {
            Against::WallRun => 0..self.wall_run,
            Against::Rest => self.wall_run..self.edges.len(),
        };
        let mut best = nearest_edge(part, &self.edges[wanted.clone()])
            .map(|(index, gap)| RoomGap { gap, feature: Feature::Edge(wanted.start + index) });
        if let Some(found) = &mut best {
            let overlaps = found.gap.mm <= 0.0 || {
                let (depth, edge) = depth_in(&self.edges, part.some_point());
                depth > 0.0 && wanted.contains(&edge)
            };
            if overlaps {
                *found = self.overlap(part.deepest(&self.edges, |edge| wanted.contains(&edge))).unwrap_or(*found);
            }
        }
        if against == Against::Rest {
            for (index, solid) in self.solids.iter().enumerate() {
                let Some((_, mut gap)) = nearest_edge(part, &solid.edges) else { continue };
                if gap.mm <= 0.0 || depth_in(&solid.edges, part.some_point()).0 > 0.0 {
                    if let Some((mm, at)) = part.deepest(&solid.edges, |_| true) {
                        let edge = solid.edges[depth_in(&solid.edges, at).1];
                        gap = Gap { mm: -mm, on_first: at, on_second: nearest_on_segment(at, edge) };
                    }
                }
                if best.is_none_or(|old| gap.mm < old.gap.mm) {
                    best = Some(RoomGap { gap, feature: Feature::Solid(index) });
                }
            }
        }
        best
    }

    /// Least distance of a part to any edge or solid; 0 where it crosses one. Cheap: no depth.
    pub(crate) fn touch_gap(&self, part: &Placed) -> Option<Gap> {
        let all = self.edges.iter().chain(self.solids.iter().flat_map(|solid| &solid.edges));
        all.map(|edge| part.to_segment(*edge)).min_by(|a, b| a.mm.total_cmp(&b.mm))
    }

    /// Every edge and solid outline that counts, with what it belongs to.
    pub(crate) fn segments(&self, against: Against) -> impl Iterator<Item = (Feature, [Point; 2])> + '_ {
        let (range, solids) = match against {
            Against::WallRun => (0..self.wall_run, &self.solids[..0]),
            Against::Rest => (self.wall_run..self.edges.len(), &self.solids[..]),
        };
        let own = range.map(|index| (Feature::Edge(index), self.edges[index]));
        let of_solids = solids.iter().enumerate();
        own.chain(
            of_solids.flat_map(|(index, solid)| solid.edges.iter().map(move |edge| (Feature::Solid(index), *edge))),
        )
    }

    /// The deepest point of what an arm sweeps, and the arm's direction there.
    pub(crate) fn depth_of_sweep(&self, swept: &SweptArm, against: Against) -> Option<(RoomGap, f64)> {
        let (least, most) = swept.bounds();
        let shape = Rectangle { least, most };
        let tips = [swept.from, swept.to].map(|angle| swept.outermost(angle));
        let deepest_in = |edges: &[[Point; 2]], counts: &dyn Fn(usize) -> bool| {
            deepest(&shape, &Isometry2::identity(), |p| swept.outside_by(p).0, &tips, edges, counts)
        };
        let wanted = match against {
            Against::WallRun => 0..self.wall_run,
            Against::Rest => self.wall_run..self.edges.len(),
        };
        let mut best: Option<RoomGap> = None;
        let mut keep = |mm: f64, at: Point, edge: [Point; 2], feature: Feature| {
            let gap = Gap { mm: -mm, on_first: at, on_second: nearest_on_segment(at, edge) };
            if best.is_none_or(|old| gap.mm < old.gap.mm) {
                best = Some(RoomGap { gap, feature });
            }
        };
        if !wanted.is_empty()
            && let Some((mm, at)) = deepest_in(&self.edges, &|edge| wanted.contains(&edge))
        {
            let index = depth_in(&self.edges, at).1;
            keep(mm, at, self.edges[index], Feature::Edge(index));
        }
        let solids = if against == Against::Rest { &self.solids[..] } else { &[] };
        for (index, solid) in solids.iter().enumerate().filter(|(_, solid)| !solid.edges.is_empty()) {
            if let Some((mm, at)) = deepest_in(&solid.edges, &|_| true) {
                keep(mm, at, solid.edges[depth_in(&solid.edges, at).1], Feature::Solid(index));
            }
        }
        best.map(|found| (found, swept.outside_by(found.gap.on_first).1))
    }

    fn overlap(&self, deepest: Option<(f64, Point)>) -> Option<RoomGap> {
        let (mm, at) = deepest?;
        let index = depth_in(&self.edges, at).1;
        let gap = Gap { mm: -mm, on_first: at, on_second: nearest_on_segment(at, self.edges[index]) };
        Some(RoomGap { gap, feature: Feature::Edge(index) })
    }

    /// Distance of a point to every edge after the wall run and every solid, mm.
    pub(crate) fn distance_to_rest(&self, point: Point) -> f64 {
        self.edges_after_wall_run()
            .iter()
            .chain(self.solids.iter().flat_map(|solid| &solid.edges))
            .map(|edge| (nearest_on_segment(point, *edge) - point).norm())
            .fold(f64::INFINITY, f64::min)
    }

    /// Whether a point is in free space (not in a wall, a ceiling or a solid).
    #[must_use]
    pub fn is_free(&self, point: Point) -> bool {
        (self.edges.is_empty() || depth_in(&self.edges, point).0 <= 0.0)
            && self.solids.iter().all(|solid| solid.edges.len() < 3 || depth_in(&solid.edges, point).0 <= 0.0)
    }
}

fn nearest_edge(part: &Placed, edges: &[[Point; 2]]) -> Option<(usize, Gap)> {
    let mut best: Option<(usize, Gap)> = None;
    for (index, edge) in edges.iter().enumerate() {
        let gap = part.to_segment(*edge);
        if best.is_none_or(|(_, old)| gap.mm < old.mm) {
            best = Some((index, gap));
        }
    }
    best
}

/// How deep a point lies to the left of a chain of edges (negative: to its right), and the nearest
/// edge. At a corner the turn of the chain decides: the side that is nearest to a corner is the
/// one that spans more than half a turn there.
pub(crate) fn depth_in(edges: &[[Point; 2]], point: Point) -> (f64, usize) {
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
    use nalgebra::Point2;

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
