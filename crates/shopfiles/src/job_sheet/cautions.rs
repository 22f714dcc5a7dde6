//! What people have to be told before they stand below it.

use overarm_solver::fall::{BodyPart, SECOND_RETENTION, catches};
use overarm_solver::{Analysis, Clearance, Project, show_length};

/// A panel that opens this much has room for whoever stands there, mm: larger than any body part's
/// gap.
const OPEN: f64 = 1000.0;

/// Each caution as a sentence or two.
pub(super) fn of(project: &Project, analysis: &Analysis) -> Vec<String> {
    let units = project.units();
    let mut found = vec![
        "Local codes and licensed practice come first: this sheet is an aid, not a licence. What is really inside the \
         wall, and whether it carries this, has to be found out on site."
            .to_owned(),
    ];
    if let Ok(forces) = &analysis.forces {
        found.push(match &forces.fall {
            Some(fall) => format!(
                "If the strap parts with the panel parked, it arrives at the wall with {:.0} J at {:.1} m/s. {SECOND_RETENTION}",
                fall.energy, fall.speed
            ),
            None => SECOND_RETENTION.to_owned(),
        });
        if let Some(stall) = &forces.stall {
            found.push(format!(
                "A motor that is not switched off at the stop pulls the strap with {:.0} N and {}. Set its limit switch and \
                 test it before the panel is hung.",
                stall.strap,
                stall.at_stop_words()
            ));
        }
    } else {
        found.push(SECOND_RETENTION.to_owned());
    }
    let gaps = [&analysis.clearances.panel, &analysis.clearances.bars];
    found.extend(gaps.into_iter().flatten().map(|gap| closing_gap(gap, project)));
    found.push(format!(
        "Between the arms, the bars and the wall gaps close to {} as it folds: no hand belongs there while it moves. Less \
         than {} catches a finger, less than {} a hand (ISO 13854); cover what is within reach.",
        show_length(project.bars.running_clearance(), units),
        show_length(BodyPart::Finger.least_gap(), overarm_solver::Units::Millimetre).replace(".0", ""),
        show_length(BodyPart::Hand.least_gap(), overarm_solver::Units::Millimetre).replace(".0", ""),
    ));
    found.push(
        "Keep everybody out from under the panel while it moves. It is moved by a switch that has to be held, from where \
         the whole of it is seen."
            .to_owned(),
    );
    found.push(
        "Once a year, and after any shock: strap and its ends, screws in the wall, pins and bearings, the second \
         retention. Write it down."
            .to_owned(),
    );
    found
}

fn closing_gap(gap: &Clearance, project: &Project) -> String {
    let units = project.units();
    let at = (100.0 * gap.s).round();
    let where_ = format!(
        "Between the {} and {} the gap closes to {} at {at:.0} % of the travel",
        gap.part.words(),
        gap.feature,
        show_length(gap.mm.max(0.0), units)
    );
    match catches(gap.mm.max(0.0), OPEN) {
        Some(part) => format!("{where_}: it can catch a {}.", part.words()),
        None if gap.mm < BodyPart::Head.least_gap() => format!(
            "{where_}: it spares hands and fingers, not a head ({}, ISO 13854).",
            show_length(BodyPart::Head.least_gap(), units)
        ),
        None => format!("{where_}: it spares hands and heads."),
    }
}
