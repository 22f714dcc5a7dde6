//! The panel and where it hangs.

use serde::{Deserialize, Serialize};

use super::{More, Point};

/// The panel.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Panel {
    /// Along the wall.
    pub width: f64,
    /// Up along the panel.
    pub height: f64,
    /// Through the panel.
    pub thickness: f64,
    /// Whole panel, kg.
    pub mass: f64,
    /// In the panel frame.
    pub centre_of_mass: Point,
    /// Where the panel hangs.
    pub hung: Hung,
    /// Centre of mass along the wall from the panel's vertical mid-plane.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub centre_of_mass_z: Option<f64>,
    /// Torsional stiffness between the two sets, N·m per radian; none given: rigid.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub torsional_stiffness: Option<f64>,
    /// Heights on the back whose tips touch the wall when hung.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rests: Option<[f64; 2]>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

impl Panel {
    /// Heights of the two rests on the panel's back, mm. Default its bottom and its top edge.
    #[must_use]
    pub fn rests(&self) -> [f64; 2] {
        self.rests.unwrap_or([0.0, self.height])
    }
}

/// The rest pose: upright, at this place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Hung {
    /// x of the back face.
    pub standoff: f64,
    /// y of the bottom edge.
    pub bottom: f64,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

impl Hung {
    /// Origin of the panel frame in side view when hung.
    #[must_use]
    pub fn origin(&self) -> Point {
        Point::new(self.standoff, self.bottom)
    }
}
