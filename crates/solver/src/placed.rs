//! A moving part where it stands at one pose, and its signed distance to fixed things.

use nalgebra::{Isometry2, Translation2, UnitComplex, Vector2};

use crate::distance::{Gap, rectangle_to_rectangle, segment_to_rectangle, segment_to_segment, with_radius};
use crate::edge_tree::Bounds;
use crate::lift::{ArmName, Lift, Rectangle};
use crate::pose::Placement;
use crate::project::{PartName, Point};
use crate::turns;

/// The outline of a moving part at one pose, side view.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Placed {
    /// Panel or panel bar.
    Rectangle { shape: Rectangle, room_from_part: Isometry2<f64> },
    /// An arm: all points within `radius` of its axis.
    Stadium { axis: [Point; 2], radius: f64 },
}

/// A box around a part (around the axis of an arm, with the radius apart), to tell what is far from it.
pub(crate) struct Reach {
    box_from_room: Isometry2<f64>,
    around: Bounds,
    radius: f64,
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

    pub fn placed(self, lift: &Lift, pose: &Placement) -> Placed {
        match self {
            Self::Panel => Placed::Rectangle { shape: lift.panel, room_from_part: pose.room_from_panel },
            Self::PanelBar => Placed::Rectangle { shape: lift.panel_bar, room_from_part: pose.room_from_panel },
            Self::Arm(arm) => Placed::Stadium { axis: lift.arm_axis(arm, pose), radius: lift.arm_radius(arm) },
        }
    }

    /// No point of the part moves farther between two poses of one monotone piece of the travel
    /// than this, mm. A point of the panel moves at most like either panel pivot plus the panel's
    /// turn about it.
    pub fn most_motion(self, lift: &Lift, from: &Placement, to: &Placement) -> f64 {
        let about = |shape: &Rectangle| {
            let turn = turns::panel(from, to);
            let by = |arm| turns::panel_end(lift, arm, from, to) + turn * shape.farthest_from(lift.panel_pivot(arm));
            by(ArmName::Lower).min(by(ArmName::Upper))
        };
        match self {
            Self::Panel => about(&lift.panel),
            Self::PanelBar => about(&lift.panel_bar),
            Self::Arm(arm) => turns::panel_end(lift, arm, from, to),
        }
    }
}

/// No point of one arm moves farther against the other arm between two poses of one monotone piece
/// than this, mm. Seen from the lower arm, the upper arm's wall pivot goes round the lower one's,
/// and the arm turns about it.
pub(crate) fn most_motion_between_arms(lift: &Lift, from: &Placement, to: &Placement) -> f64 {
    let [lower, upper] = ArmName::BOTH.map(|arm| turns::panel_end(lift, arm, from, to));
    let pivot = lift.lengths.wall_bar / lift.lengths.lower_arm * lower;
    (lower + upper).min(pivot + lift.lengths.upper_arm * turns::arm_against_arm(lift, from, to))
}

impl Reach {
    /// What the part's distance to anything in an upright box of the room is not below.
    pub fn distance(&self, other: &Bounds) -> f64 {
        let turn = self.box_from_room.rotation;
        let (cosine, sine) = (turn.re.abs(), turn.im.abs());
        let half =
            Vector2::new(cosine * other.half.x + sine * other.half.y, sine * other.half.x + cosine * other.half.y);
        let off = (self.box_from_room * other.middle - self.around.middle).abs() - self.around.half - half;
        off.map(|off| off.max(0.0)).norm() - self.radius
    }
}

impl Placed {
    pub fn reach(&self) -> Reach {
        match self {
            Self::Rectangle { shape, room_from_part } => Reach {
                box_from_room: room_from_part.inverse(),
                around: Bounds::around([shape.least, shape.most]),
                radius: 0.0,
            },
            Self::Stadium { axis, radius } => {
                let along = axis[1] - axis[0];
                let turn = UnitComplex::rotation_between(&along, &Vector2::x());
                let box_from_room = Isometry2::from_parts(Translation2::from(turn * -axis[0].coords), turn);
                let around = Bounds::around([Point::origin(), Point::new(along.norm(), 0.0)]);
                Reach { box_from_room, around, radius: *radius }
            }
        }
    }

    /// From this part to a fixed segment; 0 or less where they meet.
    pub fn gap_to(&self, segment: [Point; 2]) -> Gap {
        match self {
            Self::Rectangle { shape, room_from_part } => {
                let local = segment.map(|p| room_from_part.inverse_transform_point(&p));
                let gap = segment_to_rectangle(local, shape).swapped();
                Gap { mm: gap.mm, on_first: room_from_part * gap.on_first, on_second: room_from_part * gap.on_second }
            }
            Self::Stadium { axis, radius } => with_radius(segment_to_segment(*axis, segment), *radius),
        }
    }

    /// From this part to a fixed upright rectangle; `None` where they meet.
    pub fn gap_to_rectangle(&self, rectangle: &Rectangle) -> Option<Gap> {
        match self {
            Self::Rectangle { shape, room_from_part } => {
                rectangle_to_rectangle(rectangle, shape, room_from_part).map(Gap::swapped)
            }
            Self::Stadium { axis, radius } => {
                Some(with_radius(segment_to_rectangle(*axis, rectangle), *radius)).filter(|gap| gap.mm > 0.0)
            }
        }
    }

    /// A point of the part, to tell inside from outside where no edge is crossed.
    pub fn some_point(&self) -> Point {
        match self {
            Self::Rectangle { shape, room_from_part } => room_from_part * shape.middle(),
            Self::Stadium { axis, .. } => axis[0],
        }
    }
}
