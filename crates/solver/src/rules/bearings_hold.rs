//! `bearings_hold`: each bearing keeps its static safety over the travel, and with the motor stalled
//! at the stop.

use super::{Rule, RuleFinding, percent};
use crate::analysis::Analysis;
use crate::bearing_ratings::{static_equivalent, static_safety};
use crate::bearings::Bearing;
use crate::lift::Lift;
use crate::project::{PartName, Project, Safeties, lower_than_usual};
use crate::sideways::{PUSH_N, Sideways, bearing_span};
use crate::statics::HINGES;
use crate::units::{number, show_length};

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let unknown = |text: &str| RuleFinding::unknown(Rule::BearingsHold).saying(text);
    let forces = match &analysis.forces {
        Ok(forces) => forces,
        Err(missing) => return unknown(&missing.sentence()),
    };
    let joints = project.joints.as_ref();
    let Some(wanted) = joints.and_then(|joints| joints.bearing.as_ref()) else {
        return unknown("No bearing is given: add its designation or its own figures (joints.bearing).");
    };
    let Some(bearing) = Bearing::wanted(wanted) else {
        return unknown("The bearing is in no list here: give its own bore, outside, width and static rating.");
    };
    let Some(loading) = Loading::of(project, &bearing, &analysis.lift) else {
        return unknown("The bearing's static rating is not given: add static_n.");
    };
    let at_poses = forces
        .poses
        .iter()
        .zip(&analysis.poses)
        .filter_map(|(found, figures)| Some((found.as_ref()?.hinges?, figures.pose.s, false)));
    let stalled = forces.stall.iter().map(|stall| (stall.hinges, 1.0, true));
    let worst = at_poses
        .chain(stalled)
        .flat_map(|(hinges, s, stalled)| (0..4).map(move |hinge| (hinges[hinge], hinge, s, stalled)))
        .map(|(load, hinge, s, stalled)| (loading.on_one(load, hinge, stalled), load, hinge, s, stalled))
        .max_by(|a, b| a.0.total_cmp(&b.0));
    let Some((on_one, load, hinge, s, stalled)) = worst else {
        return unknown("The hinge loads are not known: they need a drive whose strap pulls.");
    };
    if load <= 0.0 {
        return unknown("The hinges carry nothing: the lift has no weight.");
    }
    let safety = static_safety(loading.rating, on_one);
    let (each, span) = (loading.each, loading.span);
    let [bar, arm] = HINGES[hinge].map(PartName::words);
    let when =
        if stalled { "with the motor stalled at the stop".into() } else { format!("at {} of the travel", percent(s)) };
    let with = if each > 1.0 { format!(", {each:.0} bearings each") } else { String::new() };
    let pushed = if stalled {
        String::new()
    } else {
        format!(", with {PUSH_N:.0} N sideways on the panel {} N on one bearing", number(on_one, 0))
    };
    let sideways = match span {
        None => {
            " A single bearing in a hinge does not hold it sideways: the lift leans until parts rub; take two.".into()
        }
        Some((span, false)) => {
            format!(" Bearings taken {} apart (default).", show_length(span, project.units()))
        }
        Some((_, true)) => String::new(),
    };
    let required = project.safeties().bearings;
    let help = if safety < required {
        " Take two in each hinge farther apart, a larger bearing, or a motor that stalls sooner."
    } else {
        ""
    };
    let pose = analysis.pose_at(s);
    let axis =
        analysis.lift.arm_axis(if hinge % 2 == 0 { crate::ArmName::Lower } else { crate::ArmName::Upper }, &pose);
    RuleFinding::with_margin(Rule::BearingsHold, safety / required - 1.0, "")
        .at(s, format!("hinge of {bar} and {arm}"), &[axis[usize::from(hinge >= 2)]])
        .saying(format!(
            "The hinge of {bar} and {arm} carries {} N {when}{with}{pushed}: static safety {} of the {}, {required} wanted.{}{help}{sideways}",
            number(load, 0),
            number(safety, 1),
            bearing.name,
            lower_than_usual(required, Safeties::USUAL.bearings)
        ))
}

/// What one bearing of a hinge carries of what the hinge does.
pub(crate) struct Loading {
    /// Its static rating, N.
    pub(crate) rating: f64,
    /// Bearings in a hinge.
    each: f64,
    span: Option<(f64, bool)>,
    push: Sideways,
}

impl Loading {
    /// `None` where the bearing's static rating is not known.
    pub(crate) fn of(project: &Project, bearing: &Bearing, lift: &Lift) -> Option<Self> {
        let per_hinge = project.joints.as_ref().and_then(|joints| joints.per_hinge);
        Some(Self {
            rating: bearing.static_n?,
            each: f64::from(per_hinge.unwrap_or(1).max(1)),
            span: bearing_span(project),
            push: Sideways::new(project, lift),
        })
    }

    /// Static equivalent load of one bearing, N. With two in a hinge each carries its half: the load
    /// lies between them. A push sideways adds a couple of both, and a pull along one's axis.
    pub(crate) fn on_one(&self, load: f64, hinge: usize, stalled: bool) -> f64 {
        let couple = self.span.map_or(0.0, |(span, _)| self.push.moment[hinge % 2] / span.max(f64::MIN_POSITIVE));
        let radial = load / self.each;
        if stalled { radial } else { static_equivalent(radial + couple, self.push.force[hinge % 2]) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Options, analyse};

    fn found(change: impl Fn(&mut Project)) -> (RuleFinding, crate::Analysis) {
        let mut project = crate::samples::complete_board();
        change(&mut project);
        let analysis = analyse(&project, &Options { poses: 61, swept: false });
        (analysis.rules.iter().find(|found| found.rule == Rule::BearingsHold).expect("the rule").clone(), analysis)
    }

    /// ISO 76: s0 = C0 / P0, P0 the larger of Fr and 0.6·Fr + 0.5·Fa; the couple by hand.
    #[test]
    fn a_push_sideways_is_a_couple_of_both_bearings() {
        let (found, analysis) = found(|project| project.drive.as_mut().expect("a drive").motor = None);
        let forces = analysis.forces.expect("known");
        let hinges = forces.poses.iter().flatten().filter_map(|found| found.hinges);
        let most = hinges.flatten().fold(0.0, f64::max);
        // Each arm has about a quarter of 50 N; the hinge half its length's moment; 12.05 mm between the
        // bearings' middles.
        let length = analysis.lift.lengths.lower_arm;
        let couple = 12.5 * 0.5 * length / 12.05;
        let by_hand = 1350.0 / (0.5 * most + couple) / 2.0 - 1.0;
        let margin = found.margin.expect("known");
        assert!((margin - by_hand).abs() < 0.06, "{margin} against {by_hand}: {}", found.text);
        assert_eq!(found.holds, Some(true), "{}", found.text);
        assert!(found.text.contains("50 N sideways") && found.text.contains("default"), "{}", found.text);
    }

    #[test]
    fn a_single_bearing_is_told_not_to_hold_sideways() {
        let (one, _) = found(|project| project.joints.as_mut().expect("joints").per_hinge = Some(1));
        assert!(one.text.contains("leans until parts rub"), "{}", one.text);
        let (wide, _) = found(|project| {
            project.drive.as_mut().expect("a drive").motor = None;
            project.joints.as_mut().expect("joints").bearing_span = Some(30.0);
        });
        let (narrow, _) = found(|project| {
            project.drive.as_mut().expect("a drive").motor = None;
            project.joints.as_mut().expect("joints").bearing_span = Some(7.0);
        });
        assert!(wide.margin > narrow.margin && !wide.text.contains("default"), "{}", wide.text);
        assert_eq!(narrow.holds, Some(false), "{}", narrow.text);
    }
}
