//! The eight parts, complete: every bar of both hands in its part frame, from the layered solids.
//!
//! Part frame: origin at the lower (arms: wall-side) pivot bore, x towards the other bore, seen
//! from the outside of its set; z comes towards whoever looks, 0 at the face that is nearest to the
//! panel's middle. The left set seen from its outside is the side view; the right one is its mirror
//! image, y turned round and z kept.

mod edges;
mod engraving;
mod hinge_bores;
mod measured;
mod numbers;
mod placed;
mod pocket_corners;
mod pockets;
mod screw_holes;
mod stock;
mod volume;
pub(crate) mod whole;

use nalgebra::Vector2;

use crate::bearings::bore_of;
use crate::outline::Vertex;
use crate::project::{BearingWanted, PartName, Point, Project, SeatIn};
use crate::solids::{BarSolid, Layer, Solids};

pub use edges::{Edge, area_within};
pub use engraving::Engraving;
pub use hinge_bores::{BoreStep, HingeBore, LEAD_IN, Mouth, StepKind};
pub use measured::{Characteristic, EXTRUDED_MM, Gauge, LAP_THINNER_MM, MILLED_MM, PLACE_MM, SEAT_DEEPER_MM};
pub use pocket_corners::{PocketCorner, ToNext};
pub use pockets::{Pocket, PocketKind, Split, SplitEdge};
pub use screw_holes::{Countersink, ScrewHole};
pub use stock::{DEFAULT_KERF_MM, DEFAULT_STOCK_LENGTH_MM, Stock};

/// Which set of links, seen by somebody who faces the wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hand {
    /// The set on the left.
    Left,
    /// The set on the right.
    Right,
}

impl Hand {
    /// `L` or `R`.
    #[must_use]
    pub fn letter(self) -> char {
        match self {
            Self::Left => 'L',
            Self::Right => 'R',
        }
    }

    /// In a sentence: "left".
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
        }
    }
}

/// A round hole through a layer of a solid.
#[derive(Clone, Debug, PartialEq)]
pub struct Bore {
    /// "lower pivot", "wall pivot", …
    pub name: &'static str,
    /// In the bar's frame.
    pub centre: Point,
    /// Diameter, mm.
    pub diameter: f64,
}

/// What a part is between two heights.
#[derive(Clone, Debug, PartialEq)]
pub struct PartLayer {
    /// Which layer of the set.
    pub layer: Layer,
    /// Its lower and upper face, mm.
    pub z: [f64; 2],
    /// Pieces, each closed and counter-clockwise, bores not taken out; none where all is cut.
    pub pieces: Vec<Vec<Vertex>>,
}

/// One of the eight parts. Lengths in mm, places in the part frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Which bar.
    pub name: PartName,
    /// Of which set.
    pub hand: Hand,
    /// Part number, its own: left and right never share one, not even where they are alike.
    pub number: String,
    /// Whether left and right are two different parts; else each is its own mirror image, and either
    /// serves in both sets.
    pub is_handed: bool,
    /// The whole part seen from outside: closed, counter-clockwise.
    pub outline: Vec<Vertex>,
    /// Layers from z = 0 upwards, as thick as is aimed at. One is as large as the outline, what the others lack is a
    /// half lap or a relief.
    pub layers: Vec<PartLayer>,
    /// Bores of the two hinges, the one at the origin first.
    pub hinges: Vec<HingeBore>,
    /// Holes across the part, for what fixes it to the wall or the panel.
    pub screw_holes: Vec<ScrewHole>,
    /// Along the bar's stock: upwards of a wall or panel bar, from bore to bore of an arm.
    pub along: Vector2<f64>,
    /// The edge that a wall or panel bar is fixed with, from its lower end up: what the bores are
    /// measured from. An arm has none; its bores are.
    pub datum: Option<[Point; 2]>,
    /// What it is cut from.
    pub stock: Stock,
    /// Along z.
    pub depth: f64,
    /// Name of the material.
    pub material: String,
    /// Of the finished part, mm³, exact: layers with true arcs less bores, lead-ins, screw holes and
    /// countersinks; edges not broken. Features that break out are not taken away.
    pub volume: f64,
    /// kg: as the project gives it, else by volume; `None` where the material's density is not known.
    pub mass: Option<f64>,
}

/// Edges without another note are broken by this, mm (common practice, no source).
pub const EDGE_BREAK_MM: f64 = 0.3;

impl Part {
    /// The part's file name without extension, such as `L-wall-bar`.
    #[must_use]
    pub fn file_stem(&self) -> String {
        format!("{}-{}", self.hand.letter(), self.name.words().replace(' ', "-"))
    }

    /// The layer that is as large as the outline and holds the hinges' bores.
    #[must_use]
    pub fn kept(&self) -> Option<&PartLayer> {
        let at = self.hinges.first().map_or(0.0, HingeBore::low);
        self.layers.iter().find(|layer| (layer.z[0] - at).abs() < 1e-9)
    }

    /// Layers that something was cut from: half laps and reliefs.
    pub fn cut(&self) -> impl Iterator<Item = &PartLayer> {
        let kept = self.kept().map(|layer| layer.layer);
        self.layers.iter().filter(move |layer| Some(layer.layer) != kept)
    }
}

/// The bore of the commonest small bearings (common practice, no source), mm.
const DEFAULT_BORE_MM: f64 = 8.0;

/// Diameter of a pivot bore, mm: the bearing's bore, 8 where no known bearing is given.
#[must_use]
pub fn pivot_bore(project: &Project) -> f64 {
    known_bore(project).unwrap_or(DEFAULT_BORE_MM)
}

/// The bore of the bearing that the project gives, mm; `None` where it gives none that is known.
#[must_use]
pub fn known_bore(project: &Project) -> Option<f64> {
    match project.joints.as_ref()?.bearing.as_ref()? {
        BearingWanted::Own(own) => Some(own.bore),
        BearingWanted::Designation(name) => bore_of(name),
    }
}

/// Least wall around a seat or bore of a diameter, mm: 3, or 0.15 of it (common practice, no
/// source).
#[must_use]
pub fn least_wall(diameter: f64) -> f64 {
    (0.15 * diameter).max(3.0)
}

/// What no cut may come into about an arm's pivot, mm: its seat or bore and the least wall.
pub(crate) fn boss_radius(project: &Project) -> f64 {
    let joints = project.joints.as_ref();
    let in_arms = joints.is_some_and(|joints| joints.seat_in == Some(SeatIn::Arms));
    let seat = joints.and_then(|joints| joints.bearing.as_ref()).and_then(crate::bearings::Bearing::wanted);
    let bore = seat.filter(|_| in_arms).map_or_else(|| pivot_bore(project), |bearing| bearing.outside);
    0.5 * bore + least_wall(bore)
}

/// Radius of the mouth of a bearing seat, mm, where seats are in these bars: wall and panel bars, or
/// the arms.
pub(crate) fn seat_mouth(project: &Project, in_bars: SeatIn) -> Option<f64> {
    let joints = project.joints.as_ref().filter(|joints| joints.seat_in.unwrap_or(SeatIn::Bars) == in_bars)?;
    let bearing = crate::bearings::Bearing::wanted(joints.bearing.as_ref()?)?;
    Some(0.5 * bearing.outside + LEAD_IN.0 * LEAD_IN.1.to_radians().tan())
}

/// The eight parts: left set first; wall bar, panel bar, lower arm, upper arm.
#[must_use]
pub fn parts(project: &Project, solids: &Solids) -> Vec<Part> {
    let left = left_parts(project, solids);
    let right: Vec<Part> = left.iter().map(Part::mirrored).collect();
    left.into_iter().chain(right).collect()
}

/// Whether left and right of a bar are two different parts.
pub(crate) fn is_handed(project: &Project, bar: &BarSolid) -> bool {
    left_part(project, bar).is_handed
}

/// A bar's part of the left set, with its seats, bores and screw holes.
#[must_use]
pub fn left_part(project: &Project, bar: &BarSolid) -> Part {
    placed::left_part(project, bar)
}

/// The four parts of the left set.
pub(crate) fn left_parts(project: &Project, solids: &Solids) -> Vec<Part> {
    solids.bars.iter().map(|bar| left_part(project, bar)).collect()
}
