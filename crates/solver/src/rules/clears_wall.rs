//! `clears_wall`: the panel never comes nearer to the wall than it hangs (less 1 mm), arms and
//! panel bar never nearer than the running clearance.

use super::{Rule, RuleFinding, percent};
use crate::analysis::Analysis;
use crate::clearance::Clearance;
use crate::project::Project;
use crate::units::{show_compared, show_length, shows_as_nothing};

/// How much nearer than its standoff the panel may come, mm (common practice, no source).
const PANEL_MAY_NEAR_MM: f64 = 1.0;

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let panel_wanted = analysis.lift.standoff - PANEL_MAY_NEAR_MM;
    let bars_wanted = project.bars.running_clearance();
    let found = [(&analysis.clearances.panel_to_wall, panel_wanted), (&analysis.clearances.bars_to_wall, bars_wanted)];
    // Of two limits the one that is kept worse in proportion.
    let share = |clearance: &Clearance, wanted: f64| (clearance.mm - wanted) / wanted.abs().max(f64::MIN_POSITIVE);
    let worst = found
        .iter()
        .filter_map(|(clearance, wanted)| clearance.as_ref().map(|clearance| (clearance, *wanted)))
        .min_by(|a, b| share(a.0, a.1).total_cmp(&share(b.0, b.1)));
    let Some((worst, wanted)) = worst else {
        return RuleFinding::unknown(Rule::ClearsWall)
            .saying("The room's outline has no wall at x = 0 to start with: start it at the foot of the wall.");
    };
    let units = project.units();
    let margin = worst.mm - wanted;
    let part = worst.part.words();
    let at = percent(worst.s);
    let text = if shows_as_nothing(worst.mm, units) && margin < 0.0 {
        format!("The {part} touches the wall at {at} of the travel. Move its pivots away from the wall.")
    } else if worst.mm < 0.0 {
        format!(
            "The {part} runs {} into the wall at {at} of the travel. Move its pivots away from the wall.",
            show_length(-worst.mm, units)
        )
    } else {
        let told = show_compared([worst.mm, wanted], units);
        let sentence =
            format!("The {part} comes to {} from the wall at {at} of the travel; {} wanted.", told[0], told[1]);
        if margin < 0.0 { format!("{sentence} Move its pivots away from the wall.") } else { sentence }
    };
    RuleFinding::with_margin(Rule::ClearsWall, margin, "mm")
        .at(worst.s, format!("{part} and wall"), &worst.points)
        .saying(text)
}
