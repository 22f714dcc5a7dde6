//! A moving part where it stands at one pose, and its signed distance to fixed things.

use nalgebra::{Isometry2, Point2, Rotation2, Translation2, UnitComplex, Vector2};

use crate::distance::{Gap, segment_to_rectangle, segment_to_segment, with_radius};
use crate::lift::{ArmName, Lift, Rectangle};
use crate::pose::Pose;
use crate::project::{PartName, Point};

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

    /// How deep the deepest point of this part lies inside something, and that point.
    pub fn deepest(&self, depth: impl Fn(Point) -> (f64, bool)) -> Option<(f64, Point)> {
        match self {
            Self::Rectangle { shape, room_from_part } => {
                deepest(shape, room_from_part, |_| 0.0, &shape.corners(), depth)
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
                deepest(&shape, &room_from_box, outside, &tips, depth)
            }
        }
    }
}

/// The deepest point of a shape inside something else, and an upper bound of its depth that is at
/// most [`SLACK_MM`] above it.
///
/// The shape is where `outside` (mm, at most the distance to it) is not above 0 in a box. `depth`
/// gives for any point in the room its depth (negative outside; changes by at most the distance
/// moved) and whether the point counts. The box is halved until no half can hold a point deeper
/// than the best by more than the slack.
pub(crate) fn deepest(
    shape: &Rectangle,
    room_from_box: &Isometry2<f64>,
    outside: impl Fn(Point) -> f64,
    first_tries: &[Point],
    depth: impl Fn(Point) -> (f64, bool),
) -> Option<(f64, Point)> {
    /// Well inside the 0.01 mm promised.
    const SLACK_MM: f64 = 0.001;
    /// A stop for shapes that defeat the halving; what is left is then added to the depth.
    const MOST_HALVINGS: usize = 20_000;
    let mut best: Option<(f64, Point)> = None;
    let consider = |p: Point, best: &mut Option<(f64, Point)>| {
        let at = room_from_box * p;
        let (value, counts) = depth(at);
        if counts && outside(p) <= 1e-9 && best.is_none_or(|(old, _)| value > old) {
            *best = Some((value, at));
        }
        value
    };
    for point in first_tries {
        consider(*point, &mut best);
    }
    let mut cells = vec![(shape.middle(), 0.5 * (shape.most - shape.least))];
    let mut left_over: f64 = 0.0;
    let mut halvings = 0;
    while let Some((middle, half)) = cells.pop() {
        let reach = half.norm();
        if outside(middle) > reach {
            continue;
        }
        let bound = consider(middle, &mut best) + reach;
        let floor = best.map_or(0.0, |(value, _)| value.max(0.0));
        halvings += 1;
        if bound <= floor + SLACK_MM || halvings > MOST_HALVINGS {
            left_over = left_over.max(bound - floor);
            continue;
        }
        let axis = usize::from(half.y > half.x);
        let mut smaller = half;
        smaller[axis] *= 0.5;
        for sign in [-1.0, 1.0] {
            let mut to = middle;
            to[axis] += sign * smaller[axis];
            cells.push((to, smaller));
        }
    }
    // The left-over was measured against an older, smaller best: still an upper bound.
    best.filter(|(value, _)| *value > 0.0).map(|(value, at)| (value + left_over.clamp(0.0, f64::MAX), at))
}
