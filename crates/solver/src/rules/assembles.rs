//! `assembles`: the loop closes from hung to the travel asked for.

use super::{Rule, RuleFinding};
use crate::analysis::Analysis;
use crate::project::Project;
use crate::travel::EventKind;
use crate::units::number;

pub(super) fn check(_: &Project, analysis: &Analysis) -> RuleFinding {
    let travel = &analysis.travel;
    let parked = analysis.pose_at(1.0);
    let turn = number(travel.turn.to_degrees(), 1);
    let Some(wanted) = travel.wanted else {
        return match (&analysis.stop.contact, travel.length > 0.0) {
            (Some(_), true) => RuleFinding::with_margin(Rule::Assembles, 0.0, "deg")
                .saying(format!("The lift goes on one circuit from hung to its stop: {turn}° of the lower arm.")),
            (_, true) => RuleFinding::with_margin(Rule::Assembles, 0.0, "deg")
                .saying("The lift goes on one circuit, but nothing stops it before the loop ends."),
            (_, false) => RuleFinding::failing(Rule::Assembles, "deg")
                .at(0.0, "hung", &[parked.panel_lower, parked.panel_upper])
                .saying("The lift cannot move from hung: its bars are stretched out. Shorten the wall bar's or the panel bar's centre distance."),
        };
    };
    let missing = travel.missing.to_degrees();
    if missing <= 0.0 {
        return RuleFinding::with_margin(Rule::Assembles, 0.0, "deg")
            .saying(format!("The lift closes at every pose of its {turn}° of travel."));
    }
    let change = travel.events.iter().any(|event| event.kind == EventKind::ChangePoint);
    let why = if change {
        "all four pivots come into line there and the lift could go on in two ways. Change one centre distance"
    } else {
        "upper arm and panel bar come into line there. Lengthen the upper arm or the panel bar, or ask for less travel"
    };
    RuleFinding::with_margin(Rule::Assembles, -missing, "deg")
        .at(1.0, "end of the travel", &[parked.panel_lower, parked.panel_upper, analysis.lift.wall_upper])
        .saying(format!(
            "The lower arm turns {turn}° of the {}° asked for, {}° short: {why}.",
            number(wanted.to_degrees(), 1),
            number(missing, 1)
        ))
}
