//! `stops_on_fold`: the fold's first contact lies 0 … 0.2° beyond parked, never before.

use super::{Rule, RuleFinding};
use crate::analysis::Analysis;
use crate::contact::Contact;
use crate::project::{Build, Project};
use crate::stop::StopKind;
use crate::units::{number, show_length};

/// How far beyond parked the contact may lie, degrees of the lower arm (common practice: what a
/// strap's stretch and the drum's last turn take up).
const MOST_BEYOND_DEG: f64 = 0.2;
/// A contact found twice from different ends agrees this closely, degrees.
const SAME_DEG: f64 = 1e-5;

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let stop = &analysis.stop;
    let parked = analysis.pose_at(1.0);
    let dead_point = stop.dead_point_beyond.map(f64::to_degrees);
    let (Some(contact), Some(kind)) = (&stop.contact, stop.kind) else {
        let why = match (project.bars.build, project.bars.stop_pair) {
            (_, Some([a, b])) => format!("The {} and the {} never touch", a.words(), b.words()),
            (Build::Sandwich, None) if project.bars.stop_pin.is_none() => {
                "Nothing stops the fold: in a sandwich the arms pass each other. Give it a stop pin".into()
            }
            (_, None) => "Nothing stops the fold".into(),
        };
        let dead = dead_point
            .map_or_else(String::new, |deg| format!(" before the dead point {}° beyond parked", number(deg, 1)));
        return RuleFinding::failing(Rule::StopsOnFold, "deg")
            .at(1.0, "parked", &[parked.panel_lower, parked.panel_upper])
            .saying(format!("{why}{dead}. Move the panel pivots until the arms fold onto each other at parked."));
    };
    let [first, second] = contact.parts.map(crate::project::PartName::words);
    let finding = |base: RuleFinding| base.at(contact.pose.s, format!("{first} on {second}"), &contact.points);
    if kind == StopKind::Room {
        return finding(RuleFinding::failing(Rule::StopsOnFold, "deg")).saying(format!(
            "The {first} meets wall, ceiling or a solid before the links fold onto each other. Make room there first."
        ));
    }
    let mut beyond = (contact.turn.abs() - analysis.travel.turn.abs()).to_degrees();
    if beyond.abs() < SAME_DEG || analysis.travel.wanted.is_none() {
        beyond = 0.0;
    }
    let margin = beyond.min(MOST_BEYOND_DEG - beyond);
    let on = match kind {
        StopKind::Panel => format!("Stops against the panel, not the link: the {first} meets it"),
        StopKind::Pin => format!("The stop pin on the {first} meets the {second}"),
        _ => format!("Folds {first} onto {second}"),
    };
    let text = if beyond < 0.0 {
        format!(
            "{on} {}° before parked: the panel stops {} short. Ask for {}° of travel, or move the panel pivots apart.",
            number(-beyond, 2),
            show_length(short_by(analysis, contact), project.units()),
            number(contact.turn.to_degrees(), 2)
        )
    } else if margin < 0.0 {
        format!(
            "{on} only {}° beyond parked; at most {MOST_BEYOND_DEG}° wanted. Ask for {}° of travel, or let it go to its stop.",
            number(beyond, 2),
            number(contact.turn.to_degrees(), 2)
        )
    } else {
        let dead = dead_point
            .map_or_else(String::new, |deg| format!(" The next dead point lies {}° further.", number(deg, 1)));
        let along = stop.along.map_or_else(String::new, |[_, along]| {
            format!(", {} along the {second}", show_length(along, project.units()))
        });
        format!("{on} {}° beyond parked{along}.{dead}", number(beyond, 3))
    };
    finding(RuleFinding::with_margin(Rule::StopsOnFold, margin, "deg")).near(kind == StopKind::Panel).saying(text)
}

/// How far the panel's corners are from parked when it stops early, mm.
fn short_by(analysis: &Analysis, contact: &Contact) -> f64 {
    let parked = analysis.lift.panel_corners(&analysis.pose_at(1.0));
    let stopped = analysis.lift.panel_corners(&contact.pose);
    parked.iter().zip(&stopped).map(|(a, b)| (a - b).norm()).fold(0.0, f64::max)
}
