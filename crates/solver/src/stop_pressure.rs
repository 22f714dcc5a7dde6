//! How hard two parts press on each other at the stop while the motor is stalled.
//!
//! A round end on an edge, or a pin's collar on either, touches along a line: pressure after Hertz,
//! p² = F'·E* / (π·R) (Johnson, Contact Mechanics, equation 4.45). A land or a shoulder bears with its
//! face. N, mm, MPa.

use std::f64::consts::PI;

use crate::lift::{ArmName, Lift};
use crate::materials::Material;
use crate::press_fit::Elastic;
use crate::project::{MaterialWanted, PartName, Project};
use crate::stall::Stall;
use crate::stop::{Stop, StopKind};

/// Greatest pressure on a line over yield strength when the metal under it begins to yield: 1.67
/// (Johnson, Contact Mechanics, section 6.1, after Tresca; from memory).
const YIELDS_AT: f64 = 1.67;

/// The pressure at the stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StopPressure {
    /// Force of one set, the more loaded one, N.
    pub force: f64,
    /// Length of the line, or area of the face over its length, mm: how far along z they bear.
    pub depth: f64,
    /// Length of the face in side view, mm; 0 for a line.
    pub face: f64,
    /// Greatest pressure, MPa.
    pub pressure: f64,
    /// Pressure at which the softer of the two begins to yield, MPa.
    pub yields_at: f64,
    /// Force at which that happens over the force: on a line pressure grows with its root.
    pub safety: f64,
}

impl StopPressure {
    /// The pressure of a stalled motor; `None` where the stop is not one bar on another, a bar's
    /// strength is not known, or they do not bear.
    #[must_use]
    pub fn new(project: &Project, lift: &Lift, stop: &Stop, stall: &Stall) -> Option<Self> {
        let contact = stop.contact.as_ref()?;
        let materials = [material(project, contact.parts[0])?, material(project, contact.parts[1])?];
        let weaker = materials[0].yield_strength.min(materials[1].yield_strength);
        let force = stall.push.norm();
        let depth = match stop.line_length {
            Some(depth) => depth,
            None => collar_depth(project, stop)?,
        };
        if !(depth > 0.0 && force > 0.0) {
            return None;
        }
        if matches!(stop.kind, Some(StopKind::Land | StopKind::Shoulder)) && stop.face > 0.0 {
            let pressure = force / (stop.face * depth);
            let safety = weaker / pressure;
            return Some(Self { force, depth, face: stop.face, pressure, yields_at: weaker, safety });
        }
        let curvature = curvature(project, lift, stop)?;
        let pressure = line_pressure(force / depth, 1.0 / curvature, materials.map(|material| material.elastic()));
        let yields_at = YIELDS_AT * weaker;
        Some(Self { force, depth, face: 0.0, pressure, yields_at, safety: (yields_at / pressure).powi(2) })
    }
}

/// Greatest pressure, MPa, of a cylinder on a flat: load a millimetre of the line, N/mm, and its
/// radius, mm. Two cylinders: 1/R = 1/R₁ + 1/R₂.
#[must_use]
pub fn line_pressure(load: f64, radius: f64, of: [Elastic; 2]) -> f64 {
    let softness: f64 = of.iter().map(|one| (1.0 - one.poisson * one.poisson) / one.modulus).sum();
    (load / (softness * PI * radius)).sqrt()
}

fn material(project: &Project, part: PartName) -> Option<Material> {
    let bars = &project.bars;
    let wanted: &Option<MaterialWanted> = match part {
        PartName::WallBar => &bars.wall_bar.material,
        PartName::PanelBar => &bars.panel_bar.material,
        PartName::LowerArm => &bars.lower_arm.material,
        PartName::UpperArm => &bars.upper_arm.material,
        _ => return None,
    };
    Material::wanted(wanted.as_ref())
}

/// A collar is as long as the layer of the thinner of the two arms.
fn collar_depth(project: &Project, stop: &Stop) -> Option<f64> {
    stop.contact.as_ref().filter(|contact| contact.by_pin)?;
    let bars = &project.bars;
    let thinner = bars.lower_arm.depth.min(bars.upper_arm.depth);
    Some(if bars.build == crate::project::Build::Lapped { 0.5 * thinner } else { thinner })
}

/// Both parts' curvature where they touch, 1/mm: a round end's, a collar's, an edge's 0.
fn curvature(project: &Project, lift: &Lift, stop: &Stop) -> Option<f64> {
    let contact = stop.contact.as_ref()?;
    let pin = project.bars.stop_pin.as_ref().filter(|_| contact.by_pin);
    let collar = pin.map(|pin| (pin.bar, 2.0 / pin.diameter));
    let mut sum = 0.0;
    for (part, along) in contact.parts.into_iter().zip(stop.along?) {
        let Some(arm) = ArmName::BOTH.into_iter().find(|arm| arm.part() == part) else { continue };
        match collar {
            Some((bar, curvature)) if bar == part => sum += curvature,
            _ if along <= 0.0 || along >= lift.arm_length(arm) => sum += 1.0 / lift.arm_radius(arm),
            _ => {}
        }
    }
    (sum > 0.0 && sum.is_finite()).then_some(sum)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Options, analyse};

    /// Shigley, Mechanical Engineering Design, equations 3-73 and 3-74 (another form of the same):
    /// half width b of the strip, then p = 2F / (π·b·l).
    #[test]
    fn a_cylinder_on_a_flat() {
        let steel = Elastic { modulus: 206_000.0, poisson: 0.3, expansion: 12e-6 };
        let soft = crate::press_fit::ALUMINIUM;
        for (force, length, diameter, other) in
            [(900.0, 19.05, 25.4, soft), (5000.0, 30.0, 20.0, steel), (10.0, 3.0, 8.0, soft)]
        {
            let softness = (1.0 - 0.3_f64.powi(2)) / 206_000.0 + (1.0 - other.poisson.powi(2)) / other.modulus;
            let b = (2.0 * force / (PI * length) * softness * diameter).sqrt();
            let by_book = 2.0 * force / (PI * b * length);
            let ours = line_pressure(force / length, 0.5 * diameter, [steel, other]);
            assert!((ours / by_book - 1.0).abs() < 1e-12, "{ours} against {by_book}");
        }
    }

    #[test]
    fn a_nose_on_an_edge_a_land_and_no_motor() {
        let mut project = crate::samples::complete_board();
        let of = |project: &Project| {
            let analysis = analyse(project, &Options { poses: 2, swept: false });
            (analysis.strength.expect("known materials").stop, analysis.forces.expect("known").stall)
        };
        let (Some(line), Some(stall)) = of(&project) else { panic!("a motor and a stop") };
        // The nose is an arm's end, 12.7 mm round, on an aluminium edge.
        assert!((line.force - 0.5 * stall.at_stop).abs() < 1e-9 * stall.at_stop);
        let aluminium = crate::press_fit::ALUMINIUM;
        let by_hand = line_pressure(line.force / line.depth, 12.7, [aluminium; 2]);
        assert!((line.pressure - by_hand).abs() < 1e-9 * by_hand, "{line:?}");
        assert!((line.yields_at - 1.67 * 240.0).abs() < 1e-9);
        // Twice the force, 1.41 times the pressure: half the safety.
        let motor = project.drive.as_mut().and_then(|drive| drive.motor.as_mut()).expect("a motor");
        motor.torque = motor.torque.map(|torque| 2.0 * torque);
        let (Some(harder), Some(harder_stall)) = of(&project) else { panic!("a motor and a stop") };
        let forces = harder_stall.at_stop / stall.at_stop;
        assert!((harder.pressure / line.pressure - forces.sqrt()).abs() < 1e-9);
        assert!((line.safety / harder.safety - forces).abs() < 1e-9);
        // A land bears with its face: far less pressure.
        project.bars.stop_land = Some(true);
        let (Some(land), _) = of(&project) else { panic!("a land bears") };
        assert!(land.face > 5.0 && land.pressure < 0.1 * line.pressure, "{land:?}");
        assert!((land.pressure * land.face * land.depth - land.force).abs() < 1e-9 * land.force);
        project.drive.as_mut().expect("a drive").motor = None;
        assert_eq!(of(&project).0, None);
    }
}
