//! How exact parts and mounting are.

use serde::{Deserialize, Serialize};

use super::More;

/// How exact parts and mounting are, ± mm.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Tolerances {
    /// Of each centre distance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<f64>,
    /// Of each pivot from its datum edge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub offset: Option<f64>,
    /// Plumb of the two wall bars, over their pivots.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub parallel: Option<f64>,
    /// Level of the two wall bars.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level: Option<f64>,
    /// The most the panel may stand off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hung_gap_limit: Option<f64>,
    /// Unknown fields, kept (measured values among them).
    #[serde(flatten)]
    pub more: More,
}
