//! What no view shows.

use overarm_solver::parts::{EXTRUDED_MM, MILLED_MM, PLACE_MM};
use overarm_solver::{EDGE_BREAK_MM, Edge, Gauge, Hand, Part, Pocket, PocketKind, Point, Project};

use super::lengths::{self, sawn, size};
use crate::sheet::figures::{at_most, range, sizes, with_unit};
use crate::sheet::page::{Hold, Page};
use crate::sheet::path::Place;
use crate::sheet::typeface::Style;

/// The notes of a part, numbered when drawn.
pub(super) fn of(project: &Project, part: &Part) -> Vec<String> {
    let units = project.units();
    let say = |mm: f64| with_unit(&size(mm, units), units);
    let mass = part.mass.map_or_else(|| "mass not known".to_owned(), |mass| format!("{mass:.3} kg"));
    let stock = &part.stock;
    let mut notes = vec![format!(
        "1 off. {}, {mass}. Stock {} × {}, sawn to {}.",
        part.material,
        say(stock.width),
        say(stock.depth),
        with_unit(&sawn(stock.cut_length, units), units)
    )];
    let (hand, other) = if part.hand == Hand::Left { ("left", "right") } else { ("right", "left") };
    let alike = if part.is_handed { "neither is made from the other's" } else { "the two are alike" };
    notes.push(format!(
        "This is the {hand} part, number {}. The {other} one has its own sheet and number; {alike}. Engrave the number.",
        part.number
    ));
    notes.push(match part.datum {
        Some(_) => "Datum A: the edge that the part is fixed with. Datum B: the inner face. Bores from A and from each other, nothing else from them. In brackets: limits stand elsewhere.".to_owned(),
        None => "Datum A: the axis of H1. Datum B: the inner face. The half-round ends are about H1 and H2. In brackets: limits stand elsewhere.".to_owned(),
    });
    let pockets = part.pockets();
    let numbers = super::contours::numbers(part);
    notes.extend(pockets.iter().zip(numbers).map(|(pocket, numbers)| pocket_words(project, part, pocket, numbers)));
    if let Some(pin) = project.bars.stop_pin.as_ref().filter(|pin| pin.bar == part.name) {
        let side = if part.hand == Hand::Left { 1.0 } else { -1.0 };
        let [x, y] = [pin.at.x, side * pin.at.y].map(|mm| size(mm, units).replace('-', "−"));
        notes.push(format!(
            "Stop pin: middle of its collar Ø{} at {x} from H1 towards H2 and {y} across, up in the part's own file. What \
             carries it is not drawn.",
            say(pin.diameter)
        ));
    }
    let plug = part.characteristics(project.tolerances.as_ref()).into_iter().find_map(|row| match row.gauge {
        Gauge::Plug { go, no_go } => Some((row.name, go, no_go)),
        _ => None,
    });
    if let Some((_, go, no_go)) = plug {
        let [go, no_go] = sizes([go, no_go], units);
        notes.push(format!(
            "Fitted bores: plug gauge, go Ø{go}, no-go Ø{no_go}, or a bore micrometer; every one before the part leaves the vice."
        ));
    }
    notes.push(format!(
        "Sizes without limits: lengths, places of ends and screws ±{}; screw holes and countersinks +{} / 0; else milled \
         ±{}, bar as drawn from the mill ±{}, half-round ends ±{}. Break edges {}.",
        at_most(PLACE_MM, units),
        at_most(2.0 * MILLED_MM, units),
        at_most(MILLED_MM, units),
        at_most(EXTRUDED_MM, units),
        at_most(0.5 * EXTRUDED_MM, units),
        say(EDGE_BREAK_MM)
    ));
    notes.extend(lengths::note(units).map(str::to_owned));
    notes
}

fn pocket_words(project: &Project, part: &Part, pocket: &Pocket, numbers: Option<[usize; 2]>) -> String {
    let units = project.units();
    let what = if pocket.kind == PocketKind::HalfLap { "Half lap" } else { "Relief" };
    // The part's own round ends are no inside corners.
    let own: Vec<_> = Edge::of(&part.outline).filter_map(|edge| edge.circle()).collect();
    let is_own = |centre: Point, radius: f64| {
        own.iter().any(|(other, known)| (centre - other).norm() < 1e-3 && (radius - known).abs() < 1e-3)
    };
    let corners = Edge::of(&pocket.contour).filter(|edge| edge.turn() > 0.0).filter_map(|edge| edge.circle());
    let radius = corners.filter(|(centre, radius)| !is_own(*centre, *radius)).map(|(_, radius)| radius);
    let radius = radius
        .reduce(f64::min)
        .map_or_else(String::new, |radius| format!(", inside arcs R{} and larger", size(radius, units)));
    let points = numbers.map_or_else(
        || "over the whole part".to_owned(),
        |[first, last]| {
            format!("corners {first} to {last}, from the datums of the hole table, as {}.dxf", part.file_stem())
        },
    );
    let deep = with_unit(&size(pocket.depth(), units), units);
    let deep = match part.lap_limits() {
        // Half of the depth, as the two bars of a hinge share it.
        Some(limits) => format!(
            "to leave {} (DXF and STEP: {})",
            with_unit(&range(limits, units), units),
            size(part.depth - pocket.depth(), units)
        ),
        None => format!("{deep} deep"),
    };
    format!("{what} from the {}, {deep}{radius}: {points}.", pocket.opens.words())
}

/// The height that they take at a width, mm.
pub(super) fn height(notes: &[String], width: f64) -> f64 {
    #[allow(clippy::cast_precision_loss)] // a handful of lines
    let lines = notes.iter().map(|note| Style::BODY.wrap(note, width - INDENT).len()).sum::<usize>() as f64;
    Style::HEAD.line_height() + lines * Style::BODY.line_height()
}

const INDENT: f64 = 6.0;

pub(super) fn draw(page: &mut Page, notes: &[String], [left, top]: Place, right: f64) {
    page.text([left, top + Style::BODY.capital + 1.0], Hold::Start, "Notes", Style::BODY.bold());
    let mut y = top + Style::HEAD.line_height() + 1.5;
    for (index, note) in notes.iter().enumerate() {
        page.text([left, y], Hold::Start, &format!("{}", index + 1), Style::BODY);
        y = page.lines([left + INDENT, y], &Style::BODY.wrap(note, right - left - INDENT), Style::BODY);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inspection_csv::inspection_csv;
    use crate::parts_dxf::tests::{demo, demo_parts};

    /// The figures behind some words of a note.
    fn after(note: &str, words: &str) -> f64 {
        let rest = note.split(words).nth(1).unwrap_or_else(|| panic!("{words} in {note}"));
        let figure: String = rest.chars().take_while(|letter| letter.is_ascii_digit() || *letter == '.').collect();
        figure.trim_end_matches('.').parse().expect("a figure")
    }

    #[test]
    fn what_the_note_says_of_sizes_without_limits_is_what_is_measured_by() {
        let (project, parts) = (demo(), demo_parts());
        let table = inspection_csv(&project, &parts).expect("rows");
        let rows: Vec<csv::StringRecord> =
            csv::Reader::from_reader(table.as_slice()).records().map(|row| row.expect("a row")).collect();
        for part in &parts {
            let notes = of(&project, part);
            let note = notes.iter().find(|note| note.starts_with("Sizes without limits")).expect("the note");
            let places = after(note, "places of ends and screws ±");
            let holes = after(note, "screw holes and countersinks +");
            let [milled, drawn, ends] =
                ["else milled ±", "bar as drawn from the mill ±", "half-round ends ±"].map(|words| after(note, words));
            let mut seen = 0;
            for row in rows.iter().filter(|row| row[0] == part.file_stem()) {
                let number = |index: usize| row[index].parse::<f64>().expect("a figure");
                let [nominal, low, high] = [3, 4, 5].map(number);
                let [below, above] = match &row[2] {
                    "length" | "lowest pivot from lower end" => [places, places],
                    name if name.ends_with(" from lower end") => [places, places],
                    "screw holes, diameter" | "countersinks, diameter" => [0.0, holes],
                    "width" | "depth" => [drawn, drawn],
                    name if name.ends_with(" end, radius") => [ends, ends],
                    name if name.ends_with(" clearance bore") => [milled, milled],
                    _ => continue,
                };
                seen += 1;
                // The table is rounded to 0.0001.
                let off = [nominal - low - below, high - nominal - above];
                assert!(off.iter().all(|by| by.abs() < 1.5e-4), "{row:?}: {below} {above}");
            }
            assert!(seen >= if part.datum.is_some() { 11 } else { 3 }, "{seen} rows of {}", part.number);
        }
    }
}
