//! `stays_down`: hung, the weight presses each rest of the panel on the wall.

use super::{Rule, RuleFinding};
use crate::analysis::Analysis;
use crate::project::{Point, Project};
use crate::units::{number, show_length};

/// Least force on a rest, N (common practice, no source): what a draught or a hand brushing past
/// takes up.
const LEAST_N: f64 = 2.0;

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let forces = match &analysis.forces {
        Ok(forces) => forces,
        Err(missing) => return RuleFinding::unknown(Rule::StaysDown).saying(missing.sentence()),
    };
    let kick = project.drive.as_ref().and_then(|drive| drive.kick.as_ref());
    let spring = kick.and_then(|kick| kick.passive_force).unwrap_or(0.0);
    let at = |height: f64| analysis.pose_at(0.0).room_from_panel * Point::new(-analysis.lift.standoff, height);
    let default = if project.panel.rests.is_none() { " (rests taken at its edges)" } else { "" };
    if let Some(rest) = forces.rests.iter().find(|rest| rest.force.is_none()) {
        return RuleFinding::failing(Rule::StaysDown, "N").at(0.0, "rest", &[at(rest.height)]).saying(format!(
            "The rest {} up the panel does not leave the wall as the lift rises, so nothing seats it{default}.",
            show_length(rest.height, project.units())
        ));
    }
    let pressed = forces.rests.iter().filter_map(|rest| rest.force.map(|force| (rest.height, force)));
    let Some((height, force)) = pressed.min_by(|a, b| a.1.total_cmp(&b.1)) else {
        return RuleFinding::unknown(Rule::StaysDown).saying("The panel has no rests.");
    };
    let left = force - spring;
    let height_words = show_length(height, project.units());
    let sprung = if spring > 0.0 {
        let much = if spring > 0.5 * force {
            " That is more than half of what seats it: take a kick that withdraws."
        } else {
            ""
        };
        format!(" The kick's spring takes {} N of it.{much}", number(spring, 1))
    } else {
        String::new()
    };
    let help = if left < LEAST_N {
        " Move the panel's centre of mass away from the wall's side of the arms, or the wall pivots further out."
    } else {
        ""
    };
    RuleFinding::with_margin(Rule::StaysDown, left - LEAST_N, "N")
        .near(spring > 0.5 * force)
        .at(0.0, "rest", &[at(height)])
        .saying(format!(
            "Hung, the weight presses the rest {height_words} up the panel on the wall with {} N{default}; {LEAST_N} N wanted.{sprung}{help}",
            number(force, 1)
        ))
}
