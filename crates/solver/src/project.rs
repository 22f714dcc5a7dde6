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

use nalgebra::Point2;
use serde::{Deserialize, Serialize};

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

/// The four pivots and how far the lift goes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Linkage {
    /// Wall end of the lower arm, side view.
    pub wall_lower: Point,
    /// Wall end of the upper arm, side view.
    pub wall_upper: Point,
    /// Panel end of the lower arm, panel frame.
    pub panel_lower: Point,
    /// Panel end of the upper arm, panel frame.
    pub panel_upper: Point,
    /// From hung to parked.
    pub travel_deg: TravelWanted,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

/// The travel that is asked for: a number of degrees, or `"to_stop"`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(into = "TravelField")]
pub enum TravelWanted {
    /// Signed net turn of the lower arm from hung to parked, counter-clockwise positive.
    Degrees(f64),
    /// Up to the first contact that moves the centre of mass away from the wall first.
    ToStop,
}

#[derive(Serialize)]
#[serde(untagged)]
enum TravelField {
    Degrees(f64),
    Word(&'static str),
}

impl From<TravelWanted> for TravelField {
    fn from(wanted: TravelWanted) -> Self {
        match wanted {
            TravelWanted::Degrees(degrees) => Self::Degrees(degrees),
            TravelWanted::ToStop => Self::Word("to_stop"),
        }
    }
}

impl<'de> Deserialize<'de> for TravelWanted {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Reader;
        impl serde::de::Visitor<'_> for Reader {
            type Value = TravelWanted;
            fn expecting(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
                f.write_str("a number of degrees or \"to_stop\"")
            }
            fn visit_f64<E>(self, v: f64) -> Result<TravelWanted, E> {
                Ok(TravelWanted::Degrees(v))
            }
            #[allow(clippy::cast_precision_loss)] // degrees beyond 2^53 are refused by `validate`
            fn visit_i64<E>(self, v: i64) -> Result<TravelWanted, E> {
                Ok(TravelWanted::Degrees(v as f64))
            }
            #[allow(clippy::cast_precision_loss)] // as above
            fn visit_u64<E>(self, v: u64) -> Result<TravelWanted, E> {
                Ok(TravelWanted::Degrees(v as f64))
            }
            fn visit_str<E: serde::de::Error>(self, v: &str) -> Result<TravelWanted, E> {
                if v == "to_stop" {
                    Ok(TravelWanted::ToStop)
                } else {
                    Err(E::invalid_value(serde::de::Unexpected::Str(v), &self))
                }
            }
        }
        from.deserialize_any(Reader)
    }
}

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
    /// Name of the material.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub material: Option<String>,
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
    /// Name of the material.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub material: Option<String>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

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

/// Hinge hardware.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Joints {
    /// A designation of ISO 15, or the user's own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bearing: Option<BearingWanted>,
    /// Bearings in one hinge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per_hinge: Option<u32>,
    /// Which bars hold the seats.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seat_in: Option<SeatIn>,
    /// Between the middles of a hinge's two bearings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bearing_span: Option<f64>,
    /// Class of the seat, or its interference.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub housing: Option<HousingFit>,
    /// Class of the pin.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pin: Option<String>,
    /// Of one bearing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub radial_play: Option<f64>,
    /// Coefficient at the bearing bore.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub friction: Option<f64>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

/// A bearing by designation or by its own figures.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum BearingWanted {
    /// Such as `"688"`.
    Designation(String),
    /// The user's own.
    Own(OwnBearing),
}

/// A bearing that is in no list.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OwnBearing {
    /// Bore diameter.
    pub bore: f64,
    /// Outside diameter.
    pub outside: f64,
    /// Width.
    pub width: f64,
    /// Static rating, N.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub static_n: Option<f64>,
    /// Dynamic rating, N.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dynamic_n: Option<f64>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

/// Where the bearing seats are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SeatIn {
    /// In wall bar and panel bar.
    Bars,
    /// In the arms.
    Arms,
}

/// A class of ISO 286, or least and most interference.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum HousingFit {
    /// Such as `"N7"`.
    Class(String),
    /// By figures.
    Interference {
        /// Least and most, on the diameter.
        interference: [f64; 2],
    },
}

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
