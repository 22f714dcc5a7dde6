//! Screws of one wall bar.

use serde::{Deserialize, Serialize};

use super::More;

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
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}
