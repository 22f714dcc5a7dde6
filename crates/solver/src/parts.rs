//! The eight parts: outline and bores of every bar, both hands, each in its part frame.
//!
//! Part frame: origin at the lower (arms: wall-side) pivot bore, x towards the other bore, seen
//! from the outside of its set. The left set seen from its outside is the side view; the right one
//! is its mirror image.

use nalgebra::{Point2, Rotation2, Vector2};

use crate::bearings::bore_of;
use crate::lift::{Lift, Rectangle};
use crate::outline::Vertex;
use crate::project::{BearingWanted, MaterialWanted, PartName, Point, Project};
use crate::solids::stadium;

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
}

/// A round hole through the part.
#[derive(Clone, Debug, PartialEq)]
pub struct Bore {
    /// "lower pivot", "wall pivot", …
    pub name: &'static str,
    /// In the part frame.
    pub centre: Point,
    /// Diameter, mm.
    pub diameter: f64,
}

/// One of the eight parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Which bar.
    pub name: PartName,
    /// Of which set.
    pub hand: Hand,
    /// Closed, counter-clockwise.
    pub outline: Vec<Vertex>,
    /// Pivot bores, the one at the origin first.
    pub bores: Vec<Bore>,
    /// Along z, mm.
    pub depth: f64,
    /// Name of the material.
    pub material: String,
}

impl Part {
    /// The part's file name without extension, such as `L-wall-bar`.
    #[must_use]
    pub fn file_stem(&self) -> String {
        format!("{}-{}", self.hand.letter(), self.name.words().replace(' ', "-"))
    }
}

/// Diameter of a pivot bore, mm: the bearing's bore, 8 where no known bearing is given.
#[must_use]
pub fn pivot_bore(project: &Project) -> f64 {
    /// The bore of the commonest small bearings (common practice, no source).
    const DEFAULT_MM: f64 = 8.0;
    known_bore(project).unwrap_or(DEFAULT_MM)
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

/// What no cut may come into about an arm's pivot, mm: its bore and the least wall.
pub(crate) fn boss_radius(project: &Project) -> f64 {
    let bore = pivot_bore(project);
    0.5 * bore + least_wall(bore)
}

/// The eight parts: left set first; wall bar, panel bar, lower arm, upper arm.
#[must_use]
pub fn parts(project: &Project) -> Vec<Part> {
    let lift = Lift::new(project);
    let bars = &project.bars;
    let diameter = pivot_bore(project);
    let material = |given: &Option<MaterialWanted>| {
        given.as_ref().map_or(crate::materials::DEFAULT, MaterialWanted::name).to_owned()
    };
    let build = |name, outline: Vec<Vertex>, names: [&'static str; 2], length: f64, depth, material| {
        let bores = names
            .into_iter()
            .zip([0.0, length])
            .map(|(name, x)| Bore { name, centre: Point2::new(x, 0.0), diameter })
            .collect();
        Part { name, hand: Hand::Left, outline, bores, depth, material }
    };
    let pivots = ["lower pivot", "upper pivot"];
    let ends = ["wall pivot", "panel pivot"];
    let left = [
        build(
            PartName::WallBar,
            seen_along(&lift.wall_bar, lift.wall_lower, lift.wall_upper),
            pivots,
            lift.lengths.wall_bar,
            bars.wall_bar.depth,
            material(&bars.wall_bar.material),
        ),
        build(
            PartName::PanelBar,
            seen_along(&lift.panel_bar, lift.panel_lower, lift.panel_upper),
            pivots,
            lift.lengths.panel_bar,
            bars.panel_bar.depth,
            material(&bars.panel_bar.material),
        ),
        build(
            PartName::LowerArm,
            stadium(lift.lengths.lower_arm, lift.lower_arm_radius()),
            ends,
            lift.lengths.lower_arm,
            bars.lower_arm.depth,
            material(&bars.lower_arm.material),
        ),
        build(
            PartName::UpperArm,
            stadium(lift.lengths.upper_arm, lift.upper_arm_radius()),
            ends,
            lift.lengths.upper_arm,
            bars.upper_arm.depth,
            material(&bars.upper_arm.material),
        ),
    ];
    let right: Vec<Part> = left.iter().map(mirrored).collect();
    left.into_iter().chain(right).collect()
}

/// A rectangle in the part frame of two pivots on it.
fn seen_along(bar: &Rectangle, origin: Point, other: Point) -> Vec<Vertex> {
    let turn = Rotation2::rotation_between(&(other - origin), &Vector2::x());
    bar.corners().iter().map(|corner| Vertex { at: Point2::from(turn * (corner - origin)), bulge: 0.0 }).collect()
}

/// The right-hand part: the mirror image in the x axis, still counter-clockwise.
fn mirrored(part: &Part) -> Part {
    let flip = |p: Point| Point2::new(p.x, if p.y == 0.0 { 0.0 } else { -p.y });
    let count = part.outline.len();
    // Walked backwards, the arc of a segment belongs to its other end; mirroring negates it and
    // walking backwards negates it again.
    let outline = (0..count)
        .rev()
        .map(|index| Vertex {
            at: flip(part.outline[index].at),
            bulge: part.outline[(index + count - 1) % count].bulge,
        })
        .collect();
    let bores = part.bores.iter().map(|bore| Bore { centre: flip(bore.centre), ..bore.clone() }).collect();
    Part { hand: Hand::Right, outline, bores, ..part.clone() }
}
