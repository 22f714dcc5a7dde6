//! The room: wall, ceiling, what hangs there, and what the lift has to uncover.

use serde::{Deserialize, Serialize};

use super::{More, Point};

/// The room in side view.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Room {
    /// Open polyline from the floor up the wall and along the ceiling; free space to the right of
    /// the walk; both ends are extended straight on.
    pub outline: Vec<Point>,
    /// Closed polygons that nothing may touch.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub solids: Vec<Solid>,
    /// The height range of wall to be free when parked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub uncover: Option<Uncover>,
    /// Least distance wanted to ceiling and solids.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clearance: Option<f64>,
    /// Where studs stand in the wall; none given: not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub studs: Option<Studs>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

impl Room {
    /// Wanted least distance between panel, arms, panel bar and every room edge after the wall
    /// run and every solid, mm. Default 15 (common practice, no source).
    #[must_use]
    pub fn wanted_clearance(&self) -> f64 {
        self.clearance.unwrap_or(15.0)
    }
}

/// Studs behind the wall's face, all at one spacing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Studs {
    /// From middle to middle, mm: commonly 406.4 or 609.6 (16 or 24 in).
    pub spacing: f64,
    /// Middle of one of them along the wall, mm to the right of the panel's mid-plane.
    pub first: f64,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

/// A beam, a lamp, a shelf, the hatch's open door.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Solid {
    /// What it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Closed polygon in side view, either way round.
    pub outline: Vec<Point>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

/// What the lift has to uncover.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Uncover {
    /// What is behind the panel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Lower end of the height range on the wall.
    pub bottom: f64,
    /// Upper end.
    pub top: f64,
    /// An eye in side view, to look from under the parked panel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub eye: Option<Point>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}
