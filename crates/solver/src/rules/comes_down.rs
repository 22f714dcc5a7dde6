//! `comes_down`: with the strap slack the weight overcomes friction at every pose, the stop included.

use super::{Rule, RuleFinding, percent};
use crate::analysis::Analysis;
use crate::fall::{Fall, SECOND_RETENTION};
use crate::forces::Forces;
use crate::project::Project;
use crate::units::number;

/// Told where the weight is less than this many times friction (common practice, no source): a
/// drop of resin or a tight seal would hold it.
const LITTLE: f64 = 3.0;

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let forces = match &analysis.forces {
        Ok(forces) => forces,
        Err(missing) => return RuleFinding::unknown(Rule::ComesDown).saying(missing.sentence()),
    };
    let Some(least) = forces.coming_down else {
        return RuleFinding::unknown(Rule::ComesDown).saying("The lift does not move.");
    };
    let pose = analysis.pose_at(least.s);
    let at = [pose.room_from_panel * analysis.lift.centre_of_mass];
    let place = percent(least.s);
    if least.ratio < 0.0 {
        return RuleFinding::failing(Rule::ComesDown, "").at(least.s, "centre of mass", &at).saying(format!(
            "At {place} of the travel the weight does not bring the panel down: it would stay up, or fall over the other way. Park it earlier."
        ));
    }
    if least.ratio.is_infinite() {
        let missing = if crate::parts::known_bore(project).is_none() {
            " No bearing is given, so friction is taken as 0: give one (joints.bearing)"
        } else {
            " Friction is given as 0"
        };
        return RuleFinding { holds: Some(true), ..RuleFinding::unknown(Rule::ComesDown) }
            .at(least.s, "centre of mass", &at)
            .saying(format!("The weight brings the panel down from every pose.{missing}.{}", fall_text(forces)));
    }
    let friction = project.joints.as_ref().map_or(0.0, crate::project::Joints::friction);
    let is_default = project.joints.as_ref().is_none_or(|joints| joints.friction.is_none());
    let default = if is_default { " (default)" } else { "" };
    let help = if least.ratio < 1.0 {
        " Park it earlier, or take bearings with less friction."
    } else if least.ratio < LITTLE {
        " That is little."
    } else {
        ""
    };
    RuleFinding::with_margin(Rule::ComesDown, least.ratio - 1.0, "")
        .near(least.ratio < LITTLE)
        .at(least.s, "centre of mass", &at)
        .saying(format!(
            "On the way down the weight is {} times friction at least, at {place} of the travel; friction {}{default}.{help}{}",
            number(least.ratio, 1),
            number(friction, 4),
            fall_text(forces)
        ))
}

/// What falls where the strap parts: always told, with what guards against it.
fn fall_text(forces: &Forces) -> String {
    let told = |fall: Fall| {
        format!(
            " If the strap parted at parked it would arrive with {} J at {} m/s. {}",
            number(fall.energy, 0),
            number(fall.speed, 1),
            SECOND_RETENTION
        )
    };
    forces.fall.map_or_else(String::new, told)
}
