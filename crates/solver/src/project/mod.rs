//! The project: plain data that the user owns, in the units of the project file.
//!
//! Lengths in millimetres, angles in degrees, mass in kilograms, forces in newtons, torque in
//! newton metres, whatever [`Project::units`] says (that is for display). Side view: origin where
//! the finished wall face meets the floor, x out of the wall, y up. Panel frame: origin at the
//! bottom edge of the panel's back face, x through its thickness towards the room, y up along it.
//!
//! A field that may be left out is an `Option`; the method of the same name with its default is
//! the one place that knows the default. Fields this version does not know are kept in `more`
//! and written back.

mod bars;
mod drive;
mod fixings;
mod joints;
mod linkage;
mod panel;
mod part_name;
mod room;
mod safeties;
pub mod site;
mod tolerances;

use nalgebra::Point2;
use serde::{Deserialize, Serialize};

pub use bars::{Arm, Bars, Build, EndedBar, MaterialWanted, OwnMaterial, StopPin};
pub use drive::{Drive, Kick, Motor, StrapSide};
pub use fixings::{Anchor, Fixings, Into as FixedInto, ScrewWanted};
pub use joints::{BearingWanted, HousingFit, Joints, OwnBearing, SeatIn};
pub use linkage::{Linkage, TravelWanted};
pub use panel::{Hung, Panel};
pub use part_name::PartName;
pub use room::{Room, Solid, Studs, Uncover};
pub(crate) use safeties::lower_than_usual;
pub use safeties::{Safeties, SafetiesWanted};
pub use tolerances::{AsBuilt, MeasuredSet, Tolerances};

/// Fields of the file that this version does not know, kept for the next save.
pub type More = serde_json::Map<String, serde_json::Value>;

/// A point, `[x, y]` in the file.
pub type Point = Point2<f64>;

/// The whole project, version 1.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Project {
    /// Always [`Project::FORMAT`].
    pub format: String,
    /// Always [`Project::VERSION`].
    pub version: u32,
    /// The job's title.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// Units for display only.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub units: Option<Units>,
    /// Wall, ceiling and what hangs there.
    pub room: Room,
    /// The panel that is lifted.
    pub panel: Panel,
    /// The four pivots and the travel.
    pub linkage: Linkage,
    /// The bars as stock.
    pub bars: Bars,
    /// Bearings and pins.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub joints: Option<Joints>,
    /// Strap, drum and motor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drive: Option<Drive>,
    /// Screws of one wall bar.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fixings: Option<Fixings>,
    /// How exact the parts are.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tolerances: Option<Tolerances>,
    /// How much stronger than its load everything has to be.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub safeties: Option<SafetiesWanted>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

/// Units in which lengths are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Units {
    /// Millimetres.
    #[default]
    #[serde(rename = "mm")]
    Millimetre,
    /// Decimal inches.
    #[serde(rename = "in")]
    Inch,
    /// Feet, inches and fractions.
    #[serde(rename = "ft-in")]
    FeetInch,
}

impl Project {
    /// What the file's `format` has to say.
    pub const FORMAT: &'static str = "overarm-project";
    /// The newest version that this program reads.
    pub const VERSION: u32 = 1;

    /// Units for display; millimetres by default.
    #[must_use]
    pub fn units(&self) -> Units {
        self.units.unwrap_or_default()
    }

    /// The title, or a plain stand-in.
    #[must_use]
    pub fn title(&self) -> &str {
        self.title.as_deref().unwrap_or("Untitled lift")
    }

    /// z between the two sets' middles, mm. Default: panel width − 100.
    #[must_use]
    pub fn set_spacing(&self) -> f64 {
        self.bars.set_spacing.unwrap_or(self.panel.width - 100.0)
    }
}
