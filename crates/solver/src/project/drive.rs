//! Strap, drum, kick and motor.

use serde::{Deserialize, Serialize};

use super::{More, Point};

/// The side of the drum that the strap runs off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StrapSide {
    /// Towards the room.
    Room,
    /// Towards the wall.
    Wall,
}

/// Strap, drum, kick and motor.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Drive {
    /// Strap's end, panel frame.
    pub anchor: Point,
    /// Side view.
    pub drum_centre: Point,
    /// Bare drum.
    pub drum_radius: f64,
    /// Zero is allowed.
    pub strap_thickness: f64,
    /// Along z.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strap_width: Option<f64>,
    /// Where the run leaves the drum.
    pub strap_side: StrapSide,
    /// Middle of strap and drum.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub z: Option<f64>,
    /// Turns left on the drum when hung.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dead_wraps: Option<f64>,
    /// Most the strap may carry, N.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strap_limit: Option<f64>,
    /// What helps it off the wall.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kick: Option<Kick>,
    /// What turns the drum.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub motor: Option<Motor>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

impl Drive {
    /// Middle of strap and drum along the wall, mm from the panel's mid-plane. Default 0.
    #[must_use]
    pub fn z(&self) -> f64 {
        self.z.unwrap_or(0.0)
    }

    /// Turns of strap left on the drum when hung. Default 2 (common practice, no source).
    #[must_use]
    pub fn dead_wraps(&self) -> f64 {
        self.dead_wraps.unwrap_or(2.0)
    }

    /// Where strap and drum lie along the wall, from left to right, mm. Where no width is given, it
    /// is taken as a line at their middle.
    #[must_use]
    pub fn z_range(&self) -> [f64; 2] {
        let half = 0.5 * self.strap_width.unwrap_or(0.0);
        [self.z() - half, self.z() + half]
    }
}

/// A push off the wall.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Kick {
    /// Panel frame.
    pub at: Point,
    /// The most a withdrawing kick can give, N.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limit: Option<f64>,
    /// How far it pushes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stroke: Option<f64>,
    /// A spring that stays, N.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub passive_force: Option<f64>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

/// The drum's motor.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Motor {
    /// N·m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub torque: Option<f64>,
    /// Turns per minute.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rpm: Option<f64>,
    /// Motor turns per drum turn.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ratio: Option<f64>,
    /// Of the gear.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub efficiency: Option<f64>,
    /// Lead angle of the worm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lead_deg: Option<f64>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}
