//! The hole table: where each bore is, its size with class and limits, how deep, from which face.

use overarm_solver::parts::SEAT_DEEPER_MM;
use overarm_solver::{BoreStep, HingeBore, Part, Project, StepKind, Units};

use super::flat::{Flat, hole_letter, screw_letter};
use super::lengths::size;
use crate::sheet::figures::{bore, limits_off, range};
use crate::sheet::table::{Column, Table};

/// In brackets, because limits stand at the views: X from the left end (arms: from H1), Y from datum A (arms: from the axis).
pub(super) fn table(project: &Project, part: &Part) -> Table {
    let units = project.units();
    let flat = Flat::new(part);
    let is_bar = part.datum.is_some();
    let (x, y) = if is_bar { ("(X from left end)", "(Y from A)") } else { ("(X from H1)", "(Y from axis)") };
    // Inches have one more figure, and their sheet is wider.
    let [wider, what] = if units == Units::Millimetre { [0.0; 2] } else { [4.0, 2.0] };
    let mut table = Table::new(vec![
        Column::words("Hole", 28.0),
        Column::words("What", 31.0 + what),
        Column::figures(x, 19.0),
        Column::figures(y, 17.0),
        Column::figures("Ø", 18.0),
        Column::words("Class", 12.0),
        Column::figures("Limits", 32.0 + wider + what),
        Column::words("Depth", 45.0 + wider),
    ]);
    for (index, hinge) in part.hinges.iter().enumerate() {
        let at = flat.hinge(hinge);
        let from = if is_bar { at.x - flat.low.x } else { at.x };
        let off = part.offset(hinge).unwrap_or(at.y);
        for (row, step) in rows(hinge).enumerate() {
            let limits = step.limits.map_or_else(
                || "—".to_owned(),
                |limits| {
                    let nominal = step.diameter[0];
                    limits_off(nominal, [nominal + limits.lower, nominal + limits.upper], units).join(" / ")
                },
            );
            let first = |words: String| if row == 0 { words } else { String::new() };
            let both = step.kind == StepKind::Seat && hinge.pressed_from.len() > 1;
            table.row([
                first(format!("{} {}", hole_letter(index), hinge.name)),
                format!("{}{}", step.kind.words(), if both { "s, 2" } else { "" }),
                first(bore(from, units)),
                first(bore(off, units)),
                bore(step.diameter[0], units),
                step.class.clone().unwrap_or_else(|| "—".to_owned()),
                limits,
                depth_words(hinge, step, units),
            ]);
        }
    }
    for hole in &part.screw_holes {
        let sink =
            format!("countersunk Ø{} × {:.0}°", size(hole.countersink.diameter, units), hole.countersink.angle_deg);
        table.row([
            screw_letter(hole),
            format!("across at Z {}", size(hole.z, units)),
            size(flat.axis(hole)[0].x - flat.low.x, units),
            "—".to_owned(),
            size(hole.diameter, units),
            "—".to_owned(),
            "—".to_owned(),
            sink,
        ]);
    }
    table
}

/// The cylinders of a bore that differ: two seats alike are one row.
fn rows(hinge: &HingeBore) -> impl Iterator<Item = &BoreStep> {
    let is_new = |index: usize, step: &BoreStep| {
        let alike = |other: &BoreStep| (other.diameter[0] - step.diameter[0]).abs() < 1e-9;
        !hinge.steps[..index].iter().any(|other| other.kind == step.kind && alike(other))
    };
    let steps = hinge.steps.iter().enumerate();
    steps.filter(move |(index, step)| step.kind != StepKind::LeadIn && is_new(*index, step)).map(|(_, step)| step)
}

fn depth_words(hinge: &HingeBore, step: &BoreStep, units: Units) -> String {
    match (step.kind, hinge.pressed_from.as_slice()) {
        (StepKind::Seat, faces) if hinge.web.is_some_and(|web| web > 0.0) => {
            let from = match faces {
                [face] => face.words(),
                _ => "both faces",
            };
            let deep = range([hinge.seat_depth, hinge.seat_depth + SEAT_DEEPER_MM], units);
            format!("{deep} from {}{from}", if faces.len() == 1 { "the " } else { "" })
        }
        _ => "through".to_owned(),
    }
}
