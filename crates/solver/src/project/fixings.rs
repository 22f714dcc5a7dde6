//! Screws of one wall bar.

use serde::{Deserialize, Serialize};

use super::More;

/// What holds the screws.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Into {
    /// Wood: a stud, a beam, a board.
    Stud,
    /// Masonry or concrete, with anchors.
    Solid,
}

/// What is driven into wood.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ScrewWanted {
    /// A wood screw.
    Wood,
    /// A lag screw, from 6.35 mm on.
    Lag,
}

/// What an anchor's maker permits in the wall at hand, N.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Anchor {
    /// Along its axis.
    pub pull: f64,
    /// Sideways.
    pub sideways: f64,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

/// Screws of one wall bar.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Fixings {
    /// How many.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// Nominal diameter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub diameter: Option<f64>,
    /// Thread in the wood.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thread_length: Option<f64>,
    /// Between screws.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spacing: Option<f64>,
    /// From the bar's end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub edge: Option<f64>,
    /// Specific gravity of the wood.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wood_gravity: Option<f64>,
    /// Load duration factor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub duration: Option<f64>,
    /// What holds them; by default wood.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub into: Option<Into>,
    /// What is driven into wood; by default a wood screw.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub screw: Option<ScrewWanted>,
    /// In a solid wall, what the anchor's maker permits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub anchor: Option<Anchor>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}
