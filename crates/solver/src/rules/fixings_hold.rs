//! `fixings_hold`: every screw of the wall bar holds through the whole travel.

use super::{Rule, RuleFinding, percent};
use crate::analysis::Analysis;
use crate::lift::ArmName;
use crate::masses::GRAVITY;
use crate::materials::{DEFAULT, Material};
use crate::net_sections::{layer_range, load_plane};
use crate::pose::Pose;
use crate::project::{Build, MaterialWanted, PartName, Project};
use crate::screw_group::{EitherWay, HingeLoad, ScrewLoad, ScrewedBar};
use crate::screw_joint::Holding;
use crate::sideways::{PUSH_N, Sideways};
use crate::solids::Layer;
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
    let group = match ScrewedBar::new(fixings, bar.least.y, bar.most.y, kept(project)[1] - kept(project)[0]) {
        Ok(group) => group,
        Err(wrong) => return unknown(wrong.sentence()),
    };
    let Some(material) = Material::wanted(stock.material.as_ref()) else {
        let name = stock.material.as_ref().map_or(DEFAULT, MaterialWanted::name);
        return unknown(format!("The wall bar is of \"{name}\", whose strength is not known: give a material listed."));
    };
    let holding = match Holding::of(fixings, &material, stock.width) {
        Ok(holding) => holding,
        Err(missing) => return unknown(missing.sentence()),
    };
    let push = Sideways::new(project, &analysis.lift);
    let mut worst: Option<(f64, f64, ScrewLoad)> = None;
    let mut screws = Vec::with_capacity(group.screws.len());
    for (found, figures) in forces.poses.iter().zip(&analysis.poses) {
        let Some(on_wall) = found.as_ref().and_then(|found| found.on_wall) else { continue };
        let loads = hinge_loads(project, analysis, on_wall);
        let also = pushed(analysis, &push, &group, &figures.pose);
        if let Err(wrong) = group.share_into(&loads, &also, &mut screws) {
            return unknown(wrong.sentence());
        }
        for screw in &screws {
            let Some(safety) = holding.safety(screw.tension, screw.shear).filter(|safety| safety.is_finite()) else {
                continue;
            };
            if worst.is_none_or(|(known, _, _)| safety < known) {
                worst = Some((safety, figures.pose.s, *screw));
            }
        }
    }
    let Some((safety, s, screw)) = worst else {
        return unknown("The loads of the hinges are not known: they need a drive whose strap pulls.".into());
    };
    let holds = holding.along(screw.tension, screw.shear).unwrap_or(0.0);
    let help = if safety < 1.0 { " Take more or longer screws, or spread them further." } else { "" };
    let default = if fixings.duration.is_none() && matches!(holding, Holding::Wood { .. }) {
        " Taken as always loaded, 0.9 (default)."
    } else {
        ""
    };
    let caution = holding.caution();
    RuleFinding::with_margin(Rule::FixingsHold, safety - 1.0, "")
        .at(s, "wall bar's screw", &[crate::project::Point::new(0.0, screw.height)])
        .saying(format!(
            "The screw {} up pulls out with {} N and shears with {} N at {} of the travel, {PUSH_N:.0} N sideways on the panel included; {} N are allowed that way.{help}{default} {caution}",
            show_length(screw.height, project.units()),
            number(screw.tension, 0),
            number(screw.shear, 0),
            percent(s),
            number(holds, 0)
        ))
}

/// Where along z the part of the wall bar lies that its screws go through: lapped, the half that is
/// kept whole.
fn kept(project: &Project) -> [f64; 2] {
    let layer = if project.bars.build == Build::Lapped { Layer::Inner } else { Layer::Middle };
    layer_range(project, PartName::WallBar, layer)
}

/// What the two hinges and the wall bar's own weight do to it, the more loaded set.
fn hinge_loads(project: &Project, analysis: &Analysis, on_wall: [nalgebra::Vector2<f64>; 2]) -> [HingeLoad; 3] {
    let [near, far] = kept(project);
    let screws = 0.5 * (near + far);
    let pivots = [analysis.lift.wall_lower, analysis.lift.wall_upper];
    let arms = [PartName::LowerArm, PartName::UpperArm];
    let [lower, upper] = [0, 1].map(|hinge| HingeLoad {
        out: on_wall[hinge].x,
        down: -on_wall[hinge].y,
        sideways: 0.0,
        stand_off: pivots[hinge].x,
        height: pivots[hinge].y,
        beside: load_plane(project, PartName::WallBar, arms[hinge]) - screws,
    });
    let bar = analysis.forces.as_ref().map_or(0.0, |forces| forces.loads.masses.bars[0].mass);
    let middle = analysis.lift.wall_bar.middle();
    // The rest of the depth lies beside the screws: at most half of what is not whole.
    let beside = 0.5 * (project.bars.wall_bar.depth - (far - near));
    let weight =
        HingeLoad { out: 0.0, down: bar * GRAVITY, sideways: 0.0, stand_off: middle.x, height: middle.y, beside };
    [lower, upper, weight]
}

/// What 50 N sideways on the panel do to the wall bar: forces at its hinges, and the moments in them,
/// each square to its arm.
fn pushed(analysis: &Analysis, push: &Sideways, group: &ScrewedBar, pose: &Pose) -> EitherWay {
    let lift = &analysis.lift;
    let mut also = EitherWay::default();
    for (index, arm) in ArmName::BOTH.into_iter().enumerate() {
        let (pivot, force, moment) = (lift.wall_pivot(arm), push.force[index], push.moment[index]);
        let [from, to] = lift.arm_axis(arm, pose);
        let unit = (to - from) / lift.arm_length(arm).max(f64::MIN_POSITIVE);
        also.sideways += force;
        also.aslant += force * pivot.x + moment * unit.x.abs();
        also.turning += force * (pivot.y - group.middle()).abs() + moment * unit.y.abs();
    }
    also
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Anchor, FixedInto, Options, ScrewWanted, analyse};

    fn complete() -> Project {
        let text = include_str!("../../../../tests/golden/chapel-hatch/complete.overarm.json");
        serde_json::from_str(text).expect("a project")
    }

    fn found(change: impl Fn(&mut crate::Fixings)) -> RuleFinding {
        let mut project = complete();
        change(project.fixings.as_mut().expect("fixings"));
        assert_eq!(project.validate(), Ok(()));
        let analysis = analyse(&project, &Options { poses: 61, swept: false });
        analysis.rules.into_iter().find(|found| found.rule == Rule::FixingsHold).expect("the rule")
    }

    #[test]
    fn a_push_sideways_takes_some_of_the_margin() {
        let pushed = found(|_| ());
        assert!(pushed.text.contains("50 N sideways"), "{}", pushed.text);
        // Without it, from the same loads by hand: the worst screw pulls less.
        let project = complete();
        let analysis = analyse(&project, &Options { poses: 61, swept: false });
        let fixings = project.fixings.as_ref().expect("fixings");
        let bar = &analysis.lift.wall_bar;
        let group = ScrewedBar::new(fixings, bar.least.y, bar.most.y, 19.05).expect("screws");
        let holding = Holding::of(fixings, Material::named(DEFAULT).expect("listed"), 60.0).expect("a joint");
        let forces = analysis.forces.as_ref().expect("known");
        let unpushed = forces
            .poses
            .iter()
            .flatten()
            .filter_map(|found| found.on_wall)
            .flat_map(|on_wall| group.share(&hinge_loads(&project, &analysis, on_wall)).expect("it shares").1);
        let least =
            unpushed.filter_map(|screw| holding.safety(screw.tension, screw.shear)).fold(f64::INFINITY, f64::min);
        let margin = pushed.margin.expect("it is known");
        assert!(margin > 0.0 && margin + 1.0 < 0.95 * least, "{margin} against {least}");
    }

    #[test]
    fn stud_or_solid_wall_wood_or_lag_screw() {
        let as_is = found(|_| ());
        let said = found(|fixings| {
            fixings.into = Some(FixedInto::Stud);
            fixings.screw = Some(ScrewWanted::Wood);
        });
        assert_eq!((as_is.margin, &as_is.text), (said.margin, &said.text), "that is what nothing said means");
        let wood = found(|fixings| fixings.diameter = Some(6.35));
        let lag = found(|fixings| {
            fixings.diameter = Some(6.35);
            fixings.screw = Some(ScrewWanted::Lag);
        });
        assert!(lag.margin > wood.margin, "{:?} against {:?}", lag.margin, wood.margin);
        let thin = found(|fixings| fixings.screw = Some(ScrewWanted::Lag));
        assert_eq!(thin.holds, None, "no lag screw is 4.83 mm: {}", thin.text);
        let solid = found(|fixings| fixings.into = Some(FixedInto::Solid));
        assert_eq!(solid.holds, None);
        assert!(solid.text.contains("fixings.anchor"), "{}", solid.text);
        let anchored = |pull: f64| {
            found(move |fixings| {
                fixings.into = Some(FixedInto::Solid);
                fixings.wood_gravity = None;
                fixings.anchor = Some(Anchor { pull, sideways: pull, more: crate::More::default() });
            })
        };
        let (weak, strong) = (anchored(400.0), anchored(800.0));
        let (weak_safety, strong_safety) = (weak.margin.expect("known") + 1.0, strong.margin.expect("known") + 1.0);
        assert!((strong_safety / weak_safety - 2.0).abs() < 1e-9);
        assert!(strong.text.contains("maker"), "{}", strong.text);
    }
}
