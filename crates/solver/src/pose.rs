//! One pose of the lift: where every pivot and the panel are, and how fast they move.

use std::ops::Deref;

use nalgebra::{Isometry2, Point2, Vector2};

use crate::lift::ArmName;

/// Where panel and pivots are, side view, millimetres: a pose without its angles. What is computed
/// at thousands of poses needs no more, and an angle costs as much as all of this.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement {
    /// Place on the motion curve ([`crate::circuit::Circuit`]), radians.
    pub phase: f64,
    /// Carries panel coordinates to side-view coordinates.
    pub room_from_panel: Isometry2<f64>,
    /// Panel end of the lower arm, side view.
    pub panel_lower: Point2<f64>,
    /// Panel end of the upper arm, side view.
    pub panel_upper: Point2<f64>,
}

/// One pose of the linkage, side view, millimetres and radians: a [`Placement`], read as its own
/// fields, and the angles.
///
/// Every pose satisfies the loop: the closure residual is at most 1e-9 of the longest centre
/// distance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// Fraction of the travel, 0 hung, 1 parked.
    pub s: f64,
    /// Direction of the lower arm from +x, wall pivot to panel pivot, continuous along the travel.
    pub lower_arm: f64,
    /// Direction of the upper arm, likewise.
    pub upper_arm: f64,
    /// How far the panel's top leans into the room (a clockwise turn), continuous.
    pub tilt: f64,
    /// Acute angle between the panel bar's pivot line and the upper arm's, 0…π/2.
    pub transmission: f64,
    /// Where panel and pivots are.
    pub placement: Placement,
}

impl Deref for Pose {
    type Target = Placement;

    fn deref(&self) -> &Placement {
        &self.placement
    }
}

/// Rates of a pose per radian of phase; divide two of them for a rate per turn of either arm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rates {
    /// Of the lower arm.
    pub lower_arm: f64,
    /// Of the upper arm.
    pub upper_arm: f64,
    /// Of the panel's frame, counter-clockwise positive (minus the rate of tilt).
    pub panel: f64,
    /// Of the lower panel pivot, mm per radian of phase.
    pub panel_lower: Vector2<f64>,
}

impl Rates {
    /// Rates per radian of phase walked in a direction, +1 or −1.
    #[must_use]
    pub fn walked(&self, direction: f64) -> Self {
        Self {
            lower_arm: direction * self.lower_arm,
            upper_arm: direction * self.upper_arm,
            panel: direction * self.panel,
            panel_lower: direction * self.panel_lower,
        }
    }
}

impl Pose {
    /// Direction of an arm from +x, from its wall pivot, continuous along the travel.
    #[must_use]
    pub fn arm(&self, arm: ArmName) -> f64 {
        match arm {
            ArmName::Lower => self.lower_arm,
            ArmName::Upper => self.upper_arm,
        }
    }

    /// Direction of an arm in the panel frame, from its panel pivot, continuous likewise.
    #[must_use]
    pub fn arm_in_panel(&self, arm: ArmName) -> f64 {
        self.arm(arm) + std::f64::consts::PI + self.tilt
    }
}

impl Placement {
    /// Origin of the panel frame in side view.
    #[must_use]
    pub fn origin(&self) -> Point2<f64> {
        Point2::from(self.room_from_panel.translation.vector)
    }

    /// Rate of a point fixed to the panel (panel frame), mm per radian of phase, side view.
    #[must_use]
    pub fn panel_point_rate(&self, point_in_panel: Point2<f64>, rates: &Rates) -> Vector2<f64> {
        let arm = self.room_from_panel * point_in_panel - self.panel_lower;
        rates.panel_lower + rates.panel * Vector2::new(-arm.y, arm.x)
    }
}

/// The pole of a displacement: the point that a turn from one placement to another leaves where
/// it is, in the frame that both carry into. `None` for a pure translation or no motion at all.
#[must_use]
pub fn pole(from: &Isometry2<f64>, to: &Isometry2<f64>) -> Option<Point2<f64>> {
    let displacement = to * from.inverse();
    let turn = displacement.rotation.angle();
    if turn == 0.0 {
        return None;
    }
    let moved = displacement.translation.vector;
    let half = 0.5 * turn;
    // Half the way plus the height of the isosceles triangle over it.
    Some(Point2::from(0.5 * moved + 0.5 / half.tan() * Vector2::new(-moved.y, moved.x)))
}
