//! `bearings_hold`: each bearing keeps its static safety over the travel, and with the motor stalled
//! at the stop.

use super::{Rule, RuleFinding, percent};
use crate::analysis::Analysis;
use crate::bearing_ratings::{LEAST_STATIC_SAFETY, static_safety};
use crate::bearings::Bearing;
use crate::project::{PartName, Project};
use crate::statics::HINGES;
use crate::units::number;

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let unknown = |text: &str| RuleFinding::unknown(Rule::BearingsHold).saying(text);
    let forces = match &analysis.forces {
        Ok(forces) => forces,
        Err(missing) => return unknown(&missing.sentence()),
    };
    let joints = project.joints.as_ref();
    let Some(wanted) = joints.and_then(|joints| joints.bearing.as_ref()) else {
        return unknown("No bearing is given: add joints.bearing, a designation or its own figures.");
    };
    let Some(bearing) = Bearing::wanted(wanted) else {
        return unknown("The bearing is in no list here: give its own bore, outside, width and static rating.");
    };
    let Some(rating) = bearing.static_n else {
        return unknown("The bearing's static rating is not given: add static_n.");
    };
    // With two in a hinge each carries its half: the load lies between them.
    let each = f64::from(joints.and_then(|joints| joints.per_hinge).unwrap_or(1).max(1));
    let at_poses = forces
        .poses
        .iter()
        .zip(&analysis.poses)
        .filter_map(|(found, figures)| Some((found.as_ref()?.hinges?, figures.pose.s, false)));
    let stalled = forces.stall.iter().map(|stall| (stall.hinges, 1.0, true));
    let worst = at_poses
        .chain(stalled)
        .flat_map(|(hinges, s, stalled)| (0..4).map(move |hinge| (hinges[hinge], hinge, s, stalled)))
        .max_by(|a, b| a.0.total_cmp(&b.0));
    let Some((load, hinge, s, stalled)) = worst else {
        return unknown("The hinge loads are not known: they need a drive whose strap pulls.");
    };
    let safety = static_safety(rating, load / each);
    if !safety.is_finite() {
        return unknown("The hinges carry nothing: the lift has no weight.");
    }
    let [bar, arm] = HINGES[hinge].map(PartName::words);
    let when =
        if stalled { "with the motor stalled at the stop".into() } else { format!("at {} of the travel", percent(s)) };
    let with = if each > 1.0 { format!(", {each:.0} bearings each") } else { String::new() };
    let help = if safety < LEAST_STATIC_SAFETY {
        " Take two in each hinge, a larger bearing, or a motor that stalls sooner."
    } else {
        ""
    };
    let pose = analysis.pose_at(s);
    let axis =
        analysis.lift.arm_axis(if hinge % 2 == 0 { crate::ArmName::Lower } else { crate::ArmName::Upper }, &pose);
    RuleFinding::with_margin(Rule::BearingsHold, safety / LEAST_STATIC_SAFETY - 1.0, "")
        .at(s, format!("hinge of {bar} and {arm}"), &[axis[usize::from(hinge >= 2)]])
        .saying(format!(
            "The hinge of {bar} and {arm} carries {} N {when}{with}: static safety {} of the {}, {} wanted.{help}",
            number(load, 0),
            number(safety, 1),
            bearing.name,
            number(LEAST_STATIC_SAFETY, 0)
        ))
}
