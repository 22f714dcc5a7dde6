//! `clears_room`: panel, arms and panel bar keep the wanted distance to ceiling and solids.

use super::{Rule, RuleFinding, percent};
use crate::analysis::Analysis;
use crate::clearance::Clearance;
use crate::project::{PartName, Project};
use crate::units::show_length;

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let found = [&analysis.clearances.panel, &analysis.clearances.bars];
    let Some(worst) = found.into_iter().flatten().min_by(|a, b| a.mm.total_cmp(&b.mm)) else {
        return RuleFinding::unknown(Rule::ClearsRoom)
            .saying("There is neither a ceiling nor a solid to clear: walk the room's outline along the ceiling.");
    };
    let wanted = project.room.wanted_clearance();
    let margin = worst.mm - wanted;
    RuleFinding::with_margin(Rule::ClearsRoom, margin, "mm")
        .near(margin < wanted)
        .at(worst.s, format!("{} and {}", worst.part.words(), worst.feature), &worst.points)
        .saying(text(project, worst, wanted))
}

fn text(project: &Project, worst: &Clearance, wanted: f64) -> String {
    let units = project.units();
    let default = if project.room.clearance.is_none() { " (default)" } else { "" };
    let place = format!("the {} at {} of the travel", worst.feature, percent(worst.s));
    let part = capital(worst.part);
    if worst.mm < 0.0 {
        let help = help(worst);
        return format!("{part} runs {} into {place}. {help}", show_length(-worst.mm, units));
    }
    let sentence = format!(
        "{part} passes {} from {place}; {} wanted{default}.",
        show_length(worst.mm, units),
        show_length(wanted, units)
    );
    if worst.mm < wanted { format!("{sentence} {}", help(worst)) } else { sentence }
}

fn help(worst: &Clearance) -> &'static str {
    match worst.part {
        PartName::UpperArm => "Lower the upper wall pivot or shorten the upper arm.",
        PartName::LowerArm => "Lower the lower wall pivot or shorten the lower arm.",
        _ => "Lower the wall pivots, shorten the arms, or move the panel pivots up the panel.",
    }
}

fn capital(part: PartName) -> &'static str {
    match part {
        PartName::UpperArm => "The upper arm",
        PartName::LowerArm => "The lower arm",
        PartName::PanelBar => "The panel bar",
        _ => "The panel",
    }
}
