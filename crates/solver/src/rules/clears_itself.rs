//! `clears_itself`: panel and bars keep the running clearance from each other.

use super::{Rule, RuleFinding, percent};
use crate::analysis::Analysis;
use crate::project::Project;
use crate::units::{show_compared, show_length, shows_as_nothing};

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let Some(worst) = analysis.own.first() else {
        return RuleFinding::unknown(Rule::ClearsItself).saying("There is nothing that could touch.");
    };
    let panel = &project.panel;
    let missing = [("height", panel.height), ("thickness", panel.thickness)].into_iter().find(|(_, size)| *size <= 0.0);
    if let Some((what, _)) = missing {
        return RuleFinding::failing(Rule::ClearsItself, "mm").at(0.0, "panel", &[]).saying(format!(
            "The panel has no {what}, so nothing can be said of what comes near it. Give its {what} (panel.{what})."
        ));
    }
    let wanted = project.bars.running_clearance();
    let margin = worst.mm - wanted;
    let units = project.units();
    let [one, other] = worst.parts.map(crate::project::PartName::words);
    let at = percent(worst.s);
    let text = if shows_as_nothing(worst.mm, units) && margin < 0.0 {
        format!("The {one} and the {other} touch at {at} of the travel. Move their pivots apart or make one narrower.")
    } else if worst.mm < 0.0 {
        format!(
            "The {one} and the {other} overlap by {} at {at} of the travel. Move their pivots apart or make one narrower.",
            show_length(-worst.mm, units)
        )
    } else {
        let default = if project.bars.running_clearance.is_none() { " (default)" } else { "" };
        let told = show_compared([worst.mm, wanted], units);
        let sentence = format!(
            "The {one} passes {} from the {other} at {at} of the travel; {} running clearance wanted{default}.",
            told[0], told[1]
        );
        if margin < 0.0 { format!("{sentence} Move their pivots apart or make one narrower.") } else { sentence }
    };
    RuleFinding::with_margin(Rule::ClearsItself, margin, "mm")
        .at(worst.s, format!("{one} and {other}"), &worst.points)
        .saying(text)
}
