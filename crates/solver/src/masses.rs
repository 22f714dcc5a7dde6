//! Masses of panel and bars, and where each is centred.
//!
//! A bar weighs what its solid says, layer by layer with bores and reliefs taken out; bearings, pins
//! and screws are not counted. `mass` on a bar overrides it.

use crate::lift::Lift;
use crate::materials::Material;
use crate::outline::area_and_centre;
use crate::project::{MaterialWanted, PartName, Point, Project};
use crate::solids::{BarSolid, Solids};

/// Standard gravity, m/s² (ISO 80000-3; 3rd General Conference on Weights and Measures, 1901).
pub const GRAVITY: f64 = 9.806_65;

/// A bar's mass, of one set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BarMass {
    /// Which bar.
    pub bar: PartName,
    /// kg.
    pub mass: f64,
    /// Its centre in the bar's frame, see [`crate::solids::BarSolid`].
    pub centre: Point,
    /// Whether the project gives it; else it is its solid's.
    pub is_given: bool,
}

/// Masses of a lift: one panel, two sets of bars.
#[derive(Clone, Debug, PartialEq)]
pub struct Masses {
    /// The panel, kg.
    pub panel: f64,
    /// Its centre, panel frame.
    pub panel_centre: Point,
    /// The bars of one set: wall bar, panel bar, lower arm, upper arm.
    pub bars: [BarMass; 4],
    /// Share of the panel's weight that the more loaded set carries, ½…: centred ½, all of it at a
    /// set's middle 1.
    pub share: f64,
}

/// A bar whose material is not known and whose mass is not given.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownMaterial {
    /// Which bar.
    pub bar: PartName,
    /// What the project calls it.
    pub material: String,
}

impl UnknownMaterial {
    /// What is missing and what would help.
    #[must_use]
    pub fn sentence(&self) -> String {
        format!(
            "The {} is of \"{}\", whose density is not known: give its mass, one of the materials listed, or its own density, yield strength and modulus.",
            self.bar.words(),
            self.material
        )
    }
}

impl Masses {
    /// The masses of a project's panel and solids.
    ///
    /// # Errors
    /// A bar without a given mass is of a material that is not in the table.
    pub fn new(project: &Project, lift: &Lift, solids: &Solids) -> Result<Self, UnknownMaterial> {
        let [wall_bar, panel_bar, lower_arm, upper_arm] = &solids.bars;
        let bars = &project.bars;
        let of = |solid: &BarSolid, given: Option<f64>, material: Option<&MaterialWanted>| {
            let (volume, centre) = volume_and_centre(solid);
            let mass = match given {
                Some(mass) => mass,
                None => {
                    let known = Material::wanted(material).ok_or_else(|| UnknownMaterial {
                        bar: solid.name,
                        material: material.map_or(crate::materials::DEFAULT, MaterialWanted::name).to_owned(),
                    })?;
                    // kg/m³ times mm³.
                    known.density * volume * 1e-9
                }
            };
            Ok(BarMass { bar: solid.name, mass, centre, is_given: given.is_some() })
        };
        let spacing = project.set_spacing();
        let off = project.panel.centre_of_mass_z.unwrap_or(0.0).abs();
        Ok(Self {
            panel: project.panel.mass,
            panel_centre: lift.centre_of_mass,
            bars: [
                of(wall_bar, bars.wall_bar.mass, bars.wall_bar.material.as_ref())?,
                of(panel_bar, bars.panel_bar.mass, bars.panel_bar.material.as_ref())?,
                of(lower_arm, bars.lower_arm.mass, bars.lower_arm.material.as_ref())?,
                of(upper_arm, bars.upper_arm.mass, bars.upper_arm.material.as_ref())?,
            ],
            share: if spacing > 0.0 { 0.5 + off / spacing } else { 1.0 },
        })
    }

    /// What moves, kg: panel, both panel bars, all four arms.
    #[must_use]
    pub fn moving(&self) -> f64 {
        self.panel + 2.0 * self.bars[1..].iter().map(|bar| bar.mass).sum::<f64>()
    }
}

/// Volume, mm³, and its centre in the bar's frame.
fn volume_and_centre(solid: &BarSolid) -> (f64, Point) {
    let mut volume = 0.0;
    let mut first_moment = nalgebra::Vector2::zeros();
    for shape in &solid.layers {
        let pieces = shape.pieces.iter().map(|piece| area_and_centre(piece));
        let bores = shape.bores.iter().map(|bore| {
            let radius = 0.5 * bore.diameter;
            (-std::f64::consts::PI * radius * radius, bore.centre)
        });
        for (area, centre) in pieces.chain(bores) {
            volume += area * shape.depth;
            first_moment += area * shape.depth * centre.coords;
        }
    }
    (volume, if volume == 0.0 { Point::origin() } else { Point::from(first_moment / volume) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Options, analyse};

    #[test]
    fn whole_bars_weigh_what_a_rectangle_does() {
        let mut project = crate::samples::board();
        project.bars.build = crate::Build::Sandwich;
        let analysis = analyse(&project, &Options::default());
        let masses = Masses::new(&project, &analysis.lift, &analysis.solids).expect("known materials");
        // By hand: 60 × (30 + 71.90 + 30) × 25.4 mm less two bores of 8, at 2.70 g/cm³.
        let area = 60.0 * 131.9 - 2.0 * std::f64::consts::PI * 16.0;
        assert!((masses.bars[1].mass - area * 25.4 * 2.7e-6).abs() < 1e-6, "{:?}", masses.bars[1]);
        // A stadium is centred between its pivots.
        assert!((masses.bars[2].centre.x - 0.5 * analysis.lift.lengths.lower_arm).abs() < 1e-9);
        assert!((masses.share - 0.5).abs() < 1e-12);
        project.bars.lower_arm.material = Some("moon rock".into());
        let unknown = Masses::new(&project, &analysis.lift, &analysis.solids).expect_err("not in the table");
        assert_eq!(unknown.bar, PartName::LowerArm);
        project.bars.lower_arm.mass = Some(0.0);
        let masses = Masses::new(&project, &analysis.lift, &analysis.solids).expect("a mass is given");
        assert!(masses.bars[2].is_given && masses.bars[2].mass == 0.0);
    }
}
