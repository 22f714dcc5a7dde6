//! `stops_on_fold`: the fold's first contact lies 0 … 0.2° beyond parked, never before.

use super::{Rule, RuleFinding, percent};
use crate::analysis::Analysis;
use crate::contact::Contact;
use crate::project::{Build, PartName, Project};
use crate::stop::StopKind;
use crate::travel::EventKind;
use crate::units::{number, show_length};

/// How far beyond parked the contact may lie, degrees of the lower arm (common practice: what a
/// strap's stretch and the drum's last turn take up).
const MOST_BEYOND_DEG: f64 = 0.2;
/// A dead point this near beyond the stop, degrees of the lower arm, could be passed by hinge play
/// and the give of the parts (common practice, no source).
const SNAPS_PAST_DEG: f64 = 1.0;
/// A contact found twice from different ends agrees this closely, degrees.
const SAME_DEG: f64 = 1e-5;

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let stop = &analysis.stop;
    let (Some(contact), Some(kind)) = (&stop.contact, stop.kind) else {
        return nothing_stops(project, analysis);
    };
    let [first, second] = contact.parts.map(PartName::words);
    let finding = |base: RuleFinding| base.at(contact.pose.s, format!("{first} on {second}"), &contact.points);
    if matches!(kind, StopKind::Room | StopKind::WallBar) {
        let met = if kind == StopKind::Room { "wall, ceiling or a solid".into() } else { format!("the {first}") };
        let meets = if kind == StopKind::Room { first } else { second };
        let help = if project.bars.build == Build::Sandwich && project.bars.stop_pin.is_none() {
            " In a sandwich the arms pass each other: give it a stop pin that is met before."
        } else {
            " Make room there first."
        };
        let passed = dead_point_passed(analysis);
        return finding(RuleFinding::failing(Rule::StopsOnFold, "deg"))
            .saying(format!("The {meets} meets {met} before the links fold onto each other.{passed}{help}"));
    }
    let mut beyond = (contact.turn.abs() - analysis.travel.turn.abs()).to_degrees();
    if beyond.abs() < SAME_DEG || analysis.travel.wanted.is_none() {
        beyond = 0.0;
    }
    let margin = beyond.min(MOST_BEYOND_DEG - beyond);
    let on = match kind {
        StopKind::Panel => format!("Stops against the panel, not the link: the {first} meets it"),
        StopKind::Pin => format!("The stop pin on the {first} meets the {second}"),
        StopKind::Shoulder => format!("The {first} bears on the shoulder of its relief in the {second}"),
        StopKind::Land => format!("Folds {first} onto a land on the {second}"),
        _ => format!("Folds {first} onto {second}"),
    };
    let passed = dead_point_passed(analysis);
    let snaps_past = stop.dead_point_beyond.is_some_and(|beyond| beyond.to_degrees() < SNAPS_PAST_DEG);
    let land = land_text(project, analysis);
    let text = if beyond < 0.0 {
        let ask = number(contact.turn.to_degrees(), 2);
        let short = show_length(short_by(analysis, contact), project.units());
        let deg = number(-beyond, 2);
        format!(
            "{on} {deg}° before parked: the panel stops {short} short. Ask for {ask}° of travel, or move the panel pivots apart.{land}"
        )
    } else if margin < 0.0 {
        let (deg, ask) = (number(beyond, 2), number(contact.turn.to_degrees(), 2));
        format!(
            "{on} only {deg}° beyond parked; at most {MOST_BEYOND_DEG}° wanted. Ask for {ask}° of travel, or let it go to its stop.{land}"
        )
    } else {
        let place = stop.along.map_or_else(String::new, |[_, along]| {
            format!(", {} along the {second}", show_length(along, project.units()))
        });
        let where_ = if beyond == 0.0 { "at parked".into() } else { format!("{}° beyond parked", number(beyond, 3)) };
        format!(
            "{on} {where_}{place}.{}{passed}{}{land}",
            speed_text(project, analysis),
            dead_point_text(analysis, snaps_past)
        )
    };
    finding(RuleFinding::with_margin(Rule::StopsOnFold, margin, "deg"))
        .near(kind == StopKind::Panel || snaps_past || !passed.is_empty())
        .saying(text)
}

fn nothing_stops(project: &Project, analysis: &Analysis) -> RuleFinding {
    let parked = analysis.pose_at(1.0);
    let dead = analysis.stop.dead_point_beyond.map_or_else(String::new, |beyond| {
        format!(" before the dead point {}° beyond parked", number(beyond.to_degrees(), 1))
    });
    let is_bar = |part: PartName| matches!(part, PartName::WallBar | PartName::PanelBar);
    let is_arm = |part: PartName| matches!(part, PartName::LowerArm | PartName::UpperArm);
    let text = match (project.bars.build, project.bars.stop_pair) {
        (Build::Lapped, Some([a, b])) if (is_bar(a) && is_arm(b)) || (is_bar(b) && is_arm(a)) => {
            let [a, b] = [a, b].map(PartName::words);
            if analysis.travel.wanted.is_none() {
                format!("The {a} and the {b} stop where the relief between them ends: give the travel in degrees.")
            } else {
                format!(
                    "The relief between the {a} and the {b} leaves no shoulder at parked. Name another stop pair, or make the bar wider."
                )
            }
        }
        (_, Some([a, b])) => format!(
            "The {} and the {} never touch{dead}. Name another stop pair, or none: then whichever pair touches first stops it.",
            a.words(),
            b.words()
        ),
        (Build::Sandwich, None) if project.bars.stop_pin.is_some() => format!(
            "Nothing stops the fold{dead}: in a sandwich the arms pass each other, and nothing meets the stop pin. Move it into an arm's way."
        ),
        (Build::Sandwich, None) => {
            format!("Nothing stops the fold{dead}: in a sandwich the arms pass each other. Give it a stop pin.")
        }
        (_, None) => format!(
            "Nothing stops the fold{dead}. Move the panel pivots until the arms fold onto each other at parked."
        ),
    };
    RuleFinding::failing(Rule::StopsOnFold, "deg")
        .at(1.0, "parked", &[parked.panel_lower, parked.panel_upper])
        .saying(text)
}

/// How fast it closes and on what lever.
fn speed_text(project: &Project, analysis: &Analysis) -> String {
    let (Some(closing), Some(lever)) = (analysis.stop.closing_speed, analysis.stop.lever) else {
        return String::new();
    };
    let length = |mm: f64| show_length(mm, project.units());
    format!(" It closes by {} per degree of the lower arm: a lever of {}.", length(closing.to_radians()), length(lever))
}

/// That the lift has gone past a dead point on its way: from there it can also go the other way.
fn dead_point_passed(analysis: &Analysis) -> String {
    let passed =
        analysis.travel.events.iter().find(|event| event.kind == EventKind::LowerArmDeadPoint && event.s < 1.0);
    passed.map_or_else(String::new, |event| {
        format!(
            " On its way, at {}, the lift goes past the lower arm's dead point: from there it can fold either way.",
            percent(event.s)
        )
    })
}

fn dead_point_text(analysis: &Analysis, snaps_past: bool) -> String {
    let Some(beyond) = analysis.stop.dead_point_beyond else { return String::new() };
    let beyond = number(beyond.to_degrees(), 1);
    if snaps_past {
        format!(
            " The next dead point lies only {beyond}° further: with play in the hinges it could snap past and fold the other way. Move the panel pivots so that it stops earlier."
        )
    } else {
        format!(" The next dead point lies {beyond}° further.")
    }
}

/// What a land is, or would be.
fn land_text(project: &Project, analysis: &Analysis) -> String {
    let length = |mm: f64| show_length(mm, project.units());
    if let Some(land) = &analysis.stop.land {
        let arm = land.cut_arm.part().words();
        return format!(" The land is {} long and {} deep, cut in the {arm}.", length(land.length), length(land.depth));
    }
    let Some(offer) = &analysis.stop.land_offer else { return String::new() };
    let land = &offer.land;
    let arm = land.cut_arm.part().words();
    let turn = if (offer.turn - analysis.travel.turn).abs() < 1e-9 || project.bars.stop_land() {
        String::new()
    } else {
        format!(" with {}° of travel", number(offer.turn.to_degrees(), 2))
    };
    format!(
        " A land {} long and {} deep in the {arm} would make a face of that line{turn}.",
        length(land.length),
        length(land.depth)
    )
}

/// How far the panel's corners are from parked when it stops early, mm.
fn short_by(analysis: &Analysis, contact: &Contact) -> f64 {
    let parked = analysis.lift.panel_corners(&analysis.pose_at(1.0));
    let stopped = analysis.lift.panel_corners(&contact.pose);
    parked.iter().zip(&stopped).map(|(a, b)| (a - b).norm()).fold(0.0, f64::max)
}
