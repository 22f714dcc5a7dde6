//! The bars as stock, and how they share the depth of a set.

use serde::{Deserialize, Serialize};

use super::{More, PartName, Point};

/// How the bars share the depth of a set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Build {
    /// One depth, half laps at the hinges.
    Lapped,
    /// Three layers, the arms never meet.
    Sandwich,
}

/// The bars of one set.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Bars {
    /// How they share the depth.
    pub build: Build,
    /// Fixed to the wall, back edge on the wall face.
    pub wall_bar: EndedBar,
    /// Fixed to the panel, front edge on the panel's back face.
    pub panel_bar: EndedBar,
    /// Joins the two lower pivots.
    pub lower_arm: Arm,
    /// Joins the two upper pivots.
    pub upper_arm: Arm,
    /// Gap left where parts pass each other.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub running_clearance: Option<f64>,
    /// Cutter for inside corners.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cutter_diameter: Option<f64>,
    /// Length of the bars that parts are sawn from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stock_length: Option<f64>,
    /// What the saw takes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub saw_kerf: Option<f64>,
    /// z between the two sets' middles.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub set_spacing: Option<f64>,
    /// The two parts that are meant to touch at the top.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stop_pair: Option<[PartName; 2]>,
    /// A collar that stops the fold.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stop_pin: Option<StopPin>,
    /// Cut a small flat where first touch would be.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stop_land: Option<bool>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

impl Bars {
    /// Gap left where parts pass each other, mm. Default 0.5 (common practice, no source).
    #[must_use]
    pub fn running_clearance(&self) -> f64 {
        self.running_clearance.unwrap_or(0.5)
    }

    /// Whether a land is cut. Default no.
    #[must_use]
    pub fn stop_land(&self) -> bool {
        self.stop_land.unwrap_or(false)
    }

    /// Cutter diameter, mm. Default 9.525, a 3/8 in end mill (common practice, no source).
    #[must_use]
    pub fn cutter_diameter(&self) -> f64 {
        self.cutter_diameter.unwrap_or(9.525)
    }
}

/// A wall bar or a panel bar.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct EndedBar {
    /// In side view.
    pub width: f64,
    /// Along z.
    pub depth: f64,
    /// How far it goes on below the lowest pivot.
    pub lower_end: f64,
    /// How far it goes on above the highest pivot.
    pub upper_end: f64,
    /// Of one bar, kg; by default from its solid.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass: Option<f64>,
    /// Its material: a name, or the user's own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub material: Option<MaterialWanted>,
    /// Width and depth of the bar that it is cut from; by default its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stock: Option<[f64; 2]>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

/// A lower or an upper arm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Arm {
    /// In side view; the ends are half round.
    pub width: f64,
    /// Along z.
    pub depth: f64,
    /// Of one bar, kg; by default from its solid.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass: Option<f64>,
    /// Its material: a name, or the user's own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub material: Option<MaterialWanted>,
    /// Width and depth of the bar that it is cut from; by default its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stock: Option<[f64; 2]>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

/// A material by name or by its own figures.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum MaterialWanted {
    /// Such as `"6061-T6"`.
    Named(String),
    /// The user's own.
    Own(OwnMaterial),
}

impl MaterialWanted {
    /// What the project calls it.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::Named(name) => name,
            Self::Own(own) => &own.name,
        }
    }
}

impl From<&str> for MaterialWanted {
    fn from(name: &str) -> Self {
        Self::Named(name.to_owned())
    }
}

/// A material that is in no list.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OwnMaterial {
    /// What it is called.
    pub name: String,
    /// kg/m³.
    pub density: f64,
    /// Yield strength or 0.2 % proof stress, MPa.
    pub yield_strength: f64,
    /// Modulus of elasticity, MPa.
    pub modulus: f64,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

/// A collar on a pin or bar.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StopPin {
    /// The bar that carries it.
    pub bar: PartName,
    /// In that bar's part frame.
    pub at: Point,
    /// Of the collar.
    pub diameter: f64,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}
