//! The names of things that can touch.

use serde::{Deserialize, Serialize};

/// The names of things that can touch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PartName {
    /// The panel.
    Panel,
    /// The bar on the wall.
    WallBar,
    /// The bar on the panel.
    PanelBar,
    /// The arm between the lower pivots.
    LowerArm,
    /// The arm between the upper pivots.
    UpperArm,
    /// Wall, ceiling and solids.
    Room,
    /// The drum at its fullest.
    Drum,
    /// The strap's straight run.
    Strap,
}

impl PartName {
    /// In a sentence: "lower arm".
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Panel => "panel",
            Self::WallBar => "wall bar",
            Self::PanelBar => "panel bar",
            Self::LowerArm => "lower arm",
            Self::UpperArm => "upper arm",
            Self::Room => "room",
            Self::Drum => "drum",
            Self::Strap => "strap",
        }
    }
}
