//! `fixings_hold`: every screw of the wall bar holds through the whole travel.

use super::{Rule, RuleFinding, percent};
use crate::analysis::Analysis;
use crate::masses::GRAVITY;
use crate::materials::{DEFAULT, Material};
use crate::project::{Build, MaterialWanted, Project};
use crate::screw_group::{HingeLoad, ScrewedBar};
use crate::screw_joint::{CAUTION, WoodJoint};
use crate::statics::ForcesAt;
use crate::units::{number, show_length};

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let unknown = |text: String| RuleFinding::unknown(Rule::FixingsHold).saying(text);
    let forces = match &analysis.forces {
        Ok(forces) => forces,
        Err(missing) => return unknown(missing.sentence()),
    };
    let Some(fixings) = &project.fixings else {
        return unknown(
            "No screws are given: add fixings with count, diameter, thread_length and wood_gravity.".into(),
        );
    };
    let bar = &analysis.lift.wall_bar;
    let stock = &project.bars.wall_bar;
    let group = match ScrewedBar::new(fixings, bar.least.y, bar.most.y, whole_depth(project)) {
        Ok(group) => group,
        Err(wrong) => return unknown(wrong.sentence()),
    };
    let Some(material) = Material::wanted(stock.material.as_ref()) else {
        let name = stock.material.as_ref().map_or(DEFAULT, MaterialWanted::name);
        return unknown(format!("The wall bar is of \"{name}\", whose strength is not known: give a material listed."));
    };
    let holding = match WoodJoint::of(fixings, &material, stock.width) {
        Ok(joint) => match joint.holding() {
            Ok(holding) => holding,
            Err(refused) => return unknown(refused.sentence()),
        },
        Err(missing) => return unknown(missing.sentence()),
    };
    let loads = |found: &ForcesAt| Some(hinge_loads(project, analysis, found.on_wall?));
    let mut worst: Option<(f64, f64, crate::screw_group::ScrewLoad)> = None;
    for (found, figures) in forces.poses.iter().zip(&analysis.poses) {
        let Some(loads) = found.as_ref().and_then(loads) else { continue };
        let screws = match group.share(&loads) {
            Ok((_, screws)) => screws,
            Err(wrong) => return unknown(wrong.sentence()),
        };
        for screw in screws {
            let Some(safety) = holding.safety(screw.tension, screw.shear).filter(|safety| safety.is_finite()) else {
                continue;
            };
            if worst.is_none_or(|(known, _, _)| safety < known) {
                worst = Some((safety, figures.pose.s, screw));
            }
        }
    }
    let Some((safety, s, screw)) = worst else {
        return unknown("The loads of the hinges are not known: they need a drive whose strap pulls.".into());
    };
    let holds = holding.along(screw.tension, screw.shear).unwrap_or(0.0);
    let help = if safety < 1.0 { " Take more or longer screws, or spread them further." } else { "" };
    RuleFinding::with_margin(Rule::FixingsHold, safety - 1.0, "")
        .at(s, "wall bar's screw", &[crate::project::Point::new(0.0, screw.height)])
        .saying(format!(
            "The screw {} up pulls out with {} N and shears with {} N at {} of the travel; {} N are allowed that way.{help} {CAUTION}",
            show_length(screw.height, project.units()),
            number(screw.tension, 0),
            number(screw.shear, 0),
            percent(s),
            number(holds, 0)
        ))
}

/// Depth of the wall bar that is whole, mm: lapped, the inner half.
fn whole_depth(project: &Project) -> f64 {
    let depth = project.bars.wall_bar.depth;
    if project.bars.build == Build::Lapped { 0.5 * depth } else { depth }
}

/// What the two hinges and the wall bar's own weight do to it, the more loaded set. Screws and hinges
/// both stand in the middle of the depth that is whole.
fn hinge_loads(project: &Project, analysis: &Analysis, on_wall: [nalgebra::Vector2<f64>; 2]) -> [HingeLoad; 3] {
    let pivots = [analysis.lift.wall_lower, analysis.lift.wall_upper];
    let [lower, upper] = [0, 1].map(|hinge| HingeLoad {
        out: on_wall[hinge].x,
        down: -on_wall[hinge].y,
        sideways: 0.0,
        stand_off: pivots[hinge].x,
        height: pivots[hinge].y,
        beside: 0.0,
    });
    let bar = analysis.forces.as_ref().map_or(0.0, |forces| forces.loads.masses.bars[0].mass);
    let middle = analysis.lift.wall_bar.middle();
    // The rest of the depth lies beside the screws: at most half of what is not whole.
    let beside = 0.5 * (project.bars.wall_bar.depth - whole_depth(project));
    let weight =
        HingeLoad { out: 0.0, down: bar * GRAVITY, sideways: 0.0, stand_off: middle.x, height: middle.y, beside };
    [lower, upper, weight]
}
