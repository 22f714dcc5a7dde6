//! A moving part where it stands at one pose, and its signed distance to fixed things.

use std::collections::BinaryHeap;

use nalgebra::{Isometry2, Point2, Rotation2, Translation2, UnitComplex, Vector2};

use crate::distance::{Gap, nearest_on_segment, segment_to_rectangle, segment_to_segment, with_radius};
use crate::lift::{ArmName, Lift, Rectangle};
use crate::pose::Pose;
use crate::project::{PartName, Point};
use crate::room::depth_in;

/// The outline of a moving part at one pose, side view.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Placed {
    /// Panel or panel bar.
    Rectangle { shape: Rectangle, room_from_part: Isometry2<f64> },
    /// An arm: all points within `radius` of its axis.
    Stadium { axis: [Point; 2], radius: f64 },
}

/// The parts that move against room and wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Moving {
    Panel,
    PanelBar,
    Arm(ArmName),
}

impl Moving {
    pub fn name(self) -> PartName {
        match self {
            Self::Panel => PartName::Panel,
            Self::PanelBar => PartName::PanelBar,
            Self::Arm(ArmName::Lower) => PartName::LowerArm,
            Self::Arm(ArmName::Upper) => PartName::UpperArm,
        }
    }

    pub fn placed(self, lift: &Lift, pose: &Pose) -> Placed {
        match self {
            Self::Panel => Placed::Rectangle { shape: lift.panel, room_from_part: pose.room_from_panel },
            Self::PanelBar => Placed::Rectangle { shape: lift.panel_bar, room_from_part: pose.room_from_panel },
            Self::Arm(arm) => Placed::Stadium { axis: lift.arm_axis(arm, pose), radius: lift.arm_radius(arm) },
        }
    }

    /// No point of the part moves farther between two poses of one monotone piece of the travel
    /// than this, mm: the arms' turns are exact there, and a point of the panel moves at most
    /// like either panel pivot plus the panel's turn about it.
    pub fn most_motion(self, lift: &Lift, from: &Pose, to: &Pose) -> f64 {
        let lower = lift.lengths.lower_arm * (to.lower_arm - from.lower_arm).abs();
        let upper = lift.lengths.upper_arm * (to.upper_arm - from.upper_arm).abs();
        let turn = (to.tilt - from.tilt).abs();
        let about = |shape: &Rectangle| {
            let reach = |pivot: Point| shape.corners().iter().map(|c| (c - pivot).norm()).fold(0.0, f64::max);
            (lower + turn * reach(lift.panel_lower)).min(upper + turn * reach(lift.panel_upper))
        };
        match self {
            Self::Panel => about(&lift.panel),
            Self::PanelBar => about(&lift.panel_bar),
            Self::Arm(ArmName::Lower) => lower,
            Self::Arm(ArmName::Upper) => upper,
        }
    }
}

impl Placed {
    /// From this part to a fixed segment; 0 or less where they meet.
    pub fn to_segment(&self, segment: [Point; 2]) -> Gap {
        match self {
            Self::Rectangle { shape, room_from_part } => {
                let local = segment.map(|p| room_from_part.inverse_transform_point(&p));
                let gap = segment_to_rectangle(local, shape).swapped();
                Gap { mm: gap.mm, on_first: room_from_part * gap.on_first, on_second: room_from_part * gap.on_second }
            }
            Self::Stadium { axis, radius } => with_radius(segment_to_segment(*axis, segment), *radius),
        }
    }

    /// A point of the part, to tell inside from outside where no edge is crossed.
    pub fn some_point(&self) -> Point {
        match self {
            Self::Rectangle { shape, room_from_part } => room_from_part * shape.middle(),
            Self::Stadium { axis, .. } => axis[0],
        }
    }

    /// How deep the deepest point of this part lies inside what `edges` bound, and that point; only
    /// points count whose nearest edge does.
    pub fn deepest(&self, edges: &[[Point; 2]], counts: impl Fn(usize) -> bool) -> Option<(f64, Point)> {
        match self {
            Self::Rectangle { shape, room_from_part } => {
                deepest(shape, room_from_part, |_| 0.0, &shape.corners(), edges, counts)
            }
            Self::Stadium { axis, radius } => {
                let along = axis[1] - axis[0];
                let turn = UnitComplex::from(Rotation2::rotation_between(&Vector2::x(), &along));
                let length = along.norm();
                let shape =
                    Rectangle { least: Point2::new(-radius, -radius), most: Point2::new(length + radius, *radius) };
                let room_from_box = Isometry2::from_parts(Translation2::from(axis[0].coords), turn);
                let outside = |p: Point| (p - Point2::new(p.x.clamp(0.0, length), 0.0)).norm() - radius;
                let tips = [Point2::new(-radius, 0.0), Point2::new(length + radius, 0.0)];
                deepest(&shape, &room_from_box, outside, &tips, edges, counts)
            }
        }
    }
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
/// that is at most 0.001 mm above it (more only where [`MOST_HALVINGS`] ran out).
///
/// The shape is where `outside` (mm, at most the distance to it) is not above 0 in a box. The box
/// is halved, most promising half first. In a half no point is deeper than its middle plus its
/// reach, nor than the farthest corner from any one edge: distance to an edge is convex.
pub(crate) fn deepest(
    shape: &Rectangle,
    room_from_box: &Isometry2<f64>,
    outside: impl Fn(Point) -> f64,
    first_tries: &[Point],
    edges: &[[Point; 2]],
    counts: impl Fn(usize) -> bool,
) -> Option<(f64, Point)> {
    /// Well inside the 0.01 mm promised.
    const SLACK_MM: f64 = 0.001;
    /// A stop for shapes that defeat the halving; what is left then raises the depth returned.
    const MOST_HALVINGS: usize = 4_000;
    let mut best: Option<(f64, Point)> = None;
    let consider = |p: Point, best: &mut Option<(f64, Point)>| {
        let at = room_from_box * p;
        let (value, edge) = depth_in(edges, at);
        if counts(edge) && outside(p) <= 1e-9 && best.is_none_or(|(old, _)| value > old) {
            *best = Some((value, at));
        }
        value
    };
    for point in first_tries {
        consider(*point, &mut best);
    }
    let cell = |middle: Point, half: Vector2<f64>, best: &mut Option<(f64, Point)>| {
        let reach = half.norm();
        if outside(middle) > reach {
            return None;
        }
        let by_reach = consider(middle, best) + reach;
        let signs = [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)];
        let corners = signs.map(|(x, y)| room_from_box * (middle + Vector2::new(x * half.x, y * half.y)));
        let from_edge = |edge: &[Point; 2]| {
            corners.iter().map(|c| (c - nearest_on_segment(*c, *edge)).norm()).fold(0.0, f64::max)
        };
        let bound = edges.iter().map(from_edge).fold(by_reach, f64::min);
        Some(Cell { bound, middle, half })
    };
    let mut cells = BinaryHeap::new();
    cells.extend(cell(shape.middle(), 0.5 * (shape.most - shape.least), &mut best));
    for _ in 0..MOST_HALVINGS {
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
