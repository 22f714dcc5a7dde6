//! What no view shows.

use overarm_solver::parts::{EXTRUDED_MM, MILLED_MM, PLACE_MM};
use overarm_solver::{EDGE_BREAK_MM, Edge, Gauge, Part, Pocket, PocketKind, Point, Project};

use crate::sheet::figures::{length, range, sizes, with_unit};
use crate::sheet::page::{Hold, Page};
use crate::sheet::path::Place;
use crate::sheet::typeface::Style;

/// The notes of a part, numbered when drawn.
pub(super) fn of(project: &Project, part: &Part) -> Vec<String> {
    let units = project.units();
    let say = |mm: f64| with_unit(&length(mm, units), units);
    let mass = part.mass.map_or_else(|| "mass not known".to_owned(), |mass| format!("{mass:.3} kg"));
    let stock = &part.stock;
    let mut notes = vec![format!(
        "{} off. {}, {mass}. Stock {} × {}, sawn to {}.",
        part.off,
        part.material,
        say(stock.width),
        say(stock.depth),
        say(stock.cut_length)
    )];
    notes.push(if part.is_handed() {
        let (hand, other) = if part.hand.letter() == 'L' { ("left", "right") } else { ("right", "left") };
        format!(
            "This is the {hand} part, number {}. The {other} one has its own sheet and number; neither is made from the \
             other's. Engrave the number.",
            part.number
        )
    } else {
        format!("Left and right are one part, number {}. Engrave the number.", part.number)
    });
    notes.push(match part.datum {
        Some(_) => "Datum A: the edge that the part is fixed with. Datum B: the inner face. Bores from A and from each other, nothing else from them.".to_owned(),
        None => "Datum: the axis of H1 and the inner face. The half-round ends are about H1 and H2.".to_owned(),
    });
    let pockets = part.pockets();
    let numbers = super::contours::numbers(part);
    notes.extend(pockets.iter().zip(numbers).map(|(pocket, numbers)| pocket_words(project, part, pocket, numbers)));
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
         ±{}, bar as drawn from the mill ±{}. Break edges {}.",
        length(PLACE_MM, units),
        length(2.0 * MILLED_MM, units),
        length(MILLED_MM, units),
        length(EXTRUDED_MM, units),
        say(EDGE_BREAK_MM)
    ));
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
        .map_or_else(String::new, |radius| format!(", inside arcs R{} and larger", length(radius, units)));
    let points = numbers.map_or_else(
        || "over the whole part".to_owned(),
        |[first, last]| format!("corners {first} to {last}, as {}.dxf", part.file_stem()),
    );
    let deep = with_unit(&length(pocket.depth(), units), units);
    let deep = match part.lap_limits() {
        Some(limits) => format!("to leave {} (models: {deep} deep)", with_unit(&range(limits, units), units)),
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
