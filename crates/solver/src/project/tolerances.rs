//! How exact parts and mounting are, and what was measured on the parts.

use serde::{Deserialize, Serialize};

use super::{More, Project};

/// The most the panel may stand off the wall where nothing is given, mm (common practice, no source).
const HUNG_GAP_LIMIT: f64 = 2.0;
/// Share of the pairs that may bind where nothing is given (common practice, no source).
const ALLOWED_SHARE: f64 = 0.01;

impl Project {
    /// The most the panel may stand off the wall, mm; 2 where it is not given.
    #[must_use]
    pub fn hung_gap_limit(&self) -> f64 {
        self.tolerances.as_ref().and_then(|given| given.hung_gap_limit).unwrap_or(HUNG_GAP_LIMIT)
    }

    /// Share of the pairs drawn that may not run free, 0 to 1; 0.01 where it is not given.
    #[must_use]
    pub fn allowed_share(&self) -> f64 {
        self.tolerances.as_ref().and_then(|given| given.allowed_share).unwrap_or(ALLOWED_SHARE)
    }
}

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
    /// Share of the pairs that may not run free, 0 to 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub allowed_share: Option<f64>,
    /// Stiffness of an arm with its bearings, pins and screws along its line, N/mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub arm_stiffness: Option<f64>,
    /// What was measured on the parts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub as_built: Option<AsBuilt>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

impl Tolerances {
    /// Which of the four are not given and so taken as nothing, a sentence with a space before it; empty
    /// where none of the `first` ones is.
    pub(crate) fn taken_as_nothing(&self, first: usize) -> String {
        let all = [
            ("tolerances.length", self.length),
            ("tolerances.offset", self.offset),
            ("tolerances.parallel", self.parallel),
            ("tolerances.level", self.level),
        ];
        let missing = all.iter().take(first).filter(|(_, given)| given.is_none()).map(|(name, _)| *name);
        let missing: Vec<&str> = missing.collect();
        if missing.is_empty() { String::new() } else { format!(" Not given and taken as 0: {}.", missing.join(", ")) }
    }
}

/// What was measured on the eight parts.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct AsBuilt {
    /// The left set.
    #[serde(default)]
    pub left: MeasuredSet,
    /// The right set.
    #[serde(default)]
    pub right: MeasuredSet,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

/// What was measured on the parts of one set, mm; what is not there is taken as drawn.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct MeasuredSet {
    /// Centre distance of the lower arm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lower_arm: Option<f64>,
    /// Of the panel bar.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panel_bar: Option<f64>,
    /// Of the upper arm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub upper_arm: Option<f64>,
    /// Of the wall bar.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall_bar: Option<f64>,
    /// Lower wall pivot from the bar's wall face.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall_lower_offset: Option<f64>,
    /// Upper wall pivot likewise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall_upper_offset: Option<f64>,
    /// Lower panel pivot from the bar's edge on the panel, a positive distance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panel_lower_offset: Option<f64>,
    /// Upper panel pivot likewise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panel_upper_offset: Option<f64>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}
