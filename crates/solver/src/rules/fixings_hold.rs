//! `fixings_hold`: every screw of the wall bar holds through the whole travel.

use super::{Rule, RuleFinding, percent};
use crate::analysis::Analysis;
use crate::fixing_loads::FixingLoads;
use crate::project::Project;
use crate::screw_joint::CAUTION;
use crate::units::{number, show_length};

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let unknown = |text: String| RuleFinding::unknown(Rule::FixingsHold).saying(text);
    if let Err(missing) = &analysis.forces {
        return unknown(missing.sentence());
    }
    let found = match FixingLoads::new(project, analysis) {
        Ok(found) => found,
        Err(missing) => return unknown(missing),
    };
    let Some(worst) = found.worst else {
        return unknown("The loads of the hinges are not known: they need a drive whose strap pulls.".into());
    };
    let screw = worst.load;
    let holds = found.holding.along(screw.tension, screw.shear).unwrap_or(0.0);
    let help = if worst.safety < 1.0 { " Take more or longer screws, or spread them further." } else { "" };
    RuleFinding::with_margin(Rule::FixingsHold, worst.safety - 1.0, "")
        .at(worst.s, "wall bar's screw", &[crate::project::Point::new(0.0, screw.height)])
        .saying(format!(
            "The screw {} up pulls out with {} N and shears with {} N at {} of the travel; {} N are allowed that way.{help} {CAUTION}",
            show_length(screw.height, project.units()),
            number(screw.tension, 0),
            number(screw.shear, 0),
            percent(worst.s),
            number(holds, 0)
        ))
}
