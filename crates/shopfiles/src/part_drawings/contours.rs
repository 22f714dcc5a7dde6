//! Contours of half laps and reliefs: every corner by its number on the view, with its place in a table.

use overarm_solver::{Edge, Part, Pocket, Point, Project, Units, Vertex};

use super::flat::{Flat, hole_letter};
use crate::sheet::dimension::FIGURE;
use crate::sheet::figures::decimal;
use crate::sheet::page::{Area, Hold, Page};
use crate::sheet::path::{Path, Place, View};
use crate::sheet::pen::{INK, PAPER, Pen};
use crate::sheet::table::{Column, Table};

/// Places nearer than this, mm, are one.
const SAME_MM: f64 = 1e-3;
/// Columns of one group of the table, mm.
const COLUMNS: [f64; 4] = [8.0, 15.0, 15.0, 24.0];
/// Width of one group, mm.
pub(super) const GROUP: f64 = COLUMNS[0] + COLUMNS[1] + COLUMNS[2] + COLUMNS[3];

/// A corner of a contour.
struct Corner {
    number: usize,
    /// On the sheet's own axes, along the stock and across it.
    at: Point,
    /// To the next: an arc's radius, and the hinge that it is about.
    arc: Option<(f64, Option<usize>)>,
}

/// First and last number of the corners of each pocket, in order; `None` where it has none but the part's.
pub(super) fn numbers(part: &Part) -> Vec<Option<[usize; 2]>> {
    let mut next = 1;
    let span = |pocket: &Pocket| {
        let count = kept(part, pocket).len();
        next += count;
        (count > 0).then(|| [next - count, next - 1])
    };
    part.pockets().iter().map(span).collect()
}

/// The edges of a pocket whose first corner is not just one of the part's.
fn kept(part: &Part, pocket: &Pocket) -> Vec<Edge> {
    let own: Vec<Edge> = Edge::of(&part.outline).collect();
    let is_own = |edge: &Edge| own.iter().any(|other| lies_along(edge, other));
    let of = |outline: &Vec<Vertex>| -> Vec<Edge> {
        let edges: Vec<Edge> = Edge::of(outline).collect();
        let before = edges.iter().cycle().skip(edges.len().saturating_sub(1));
        edges
            .iter()
            .zip(before)
            .filter(|(edge, before)| !(is_own(edge) && is_own(before)))
            .map(|(edge, _)| *edge)
            .collect()
    };
    std::iter::once(&pocket.contour).chain(&pocket.islands).flat_map(of).collect()
}

/// Whether an edge is a stretch of another.
fn lies_along(edge: &Edge, other: &Edge) -> bool {
    let on = |at: Point| match other.circle() {
        Some((centre, radius)) => ((at - centre).norm() - radius).abs() < SAME_MM,
        None => {
            let along = (other.to - other.from).normalize();
            along.perp(&(at - other.from)).abs() < SAME_MM
        }
    };
    other.is_line() == edge.is_line() && [0.0, 0.5, 1.0].into_iter().all(|share| on(edge.at(share)))
}

fn corners(flat: &Flat) -> Vec<Corner> {
    let part = flat.part;
    let about = |centre: Point| part.hinges.iter().position(|hinge| (hinge.centre - centre).norm() < SAME_MM);
    let edges = part.pockets();
    let edges = edges.iter().flat_map(|pocket| kept(part, pocket));
    let corner = |(number, edge): (usize, Edge)| Corner {
        number,
        at: flat.at(edge.from),
        arc: edge.circle().map(|(centre, radius)| (radius, about(centre))),
    };
    (1..).zip(edges).map(corner).collect()
}

/// The table in this many groups beside each other; nothing where there is no pocket.
pub(super) fn table(project: &Project, flat: &Flat, groups: usize) -> Option<Table> {
    let corners = corners(flat);
    if corners.is_empty() {
        return None;
    }
    let is_bar = flat.part.datum.is_some();
    // Datums are those of the hole table.
    let [x, y] = match (project.units(), is_bar) {
        (Units::FeetInch, _) => ["X, in", "Y, in"],
        (_, true) => ["X", "Y, A"],
        (_, false) => ["X, H1", "Y"],
    };
    let mut columns = Vec::new();
    for _ in 0..groups {
        columns.extend([
            Column::words("P", COLUMNS[0]),
            Column::figures(x, COLUMNS[1]),
            Column::figures(y, COLUMNS[2]),
            Column::words("To next", COLUMNS[3]),
        ]);
    }
    let mut table = Table::new(columns);
    let deep = corners.len().div_ceil(groups);
    let cells = |corner: &Corner| cells(flat, corner, project.units());
    table.rows = (0..deep)
        .map(|row| {
            let of_group = |group: usize| match corners.get(group * deep + row) {
                Some(corner) => cells(corner),
                None => std::array::from_fn(|_| String::new()),
            };
            (0..groups).flat_map(of_group).collect()
        })
        .collect();
    Some(table)
}

fn cells(flat: &Flat, corner: &Corner, units: Units) -> [String; 4] {
    let [x, y] = from_datum(flat, corner.at);
    let to_next = match corner.arc {
        None => "line".to_owned(),
        Some((radius, None)) => format!("R{}", decimal(radius, units)),
        Some((radius, Some(hinge))) => format!("R{} {}", decimal(radius, units), hole_letter(hinge)),
    };
    let signed = |mm: f64| decimal(mm, units).replace('-', "−");
    [corner.number.to_string(), signed(x), signed(y), to_next]
}

/// A place of the sheet's axes from where the hole table measures: the left end and datum A, or H1 and
/// the arm's axis.
fn from_datum(flat: &Flat, at: Point) -> [f64; 2] {
    match (flat.part.datum, flat.heads_up) {
        (None, _) => [at.x, at.y],
        (Some(_), true) => [at.x - flat.low.x, at.y - flat.low.y],
        (Some(_), false) => [at.x - flat.low.x, flat.high.y - at.y],
    }
}

/// Numbers beside the corners, each at the nearest free place.
pub(super) fn draw(page: &mut Page, flat: &Flat, view: &View, within: Area) {
    /// Which way, and how far, mm.
    const WAYS: [[f64; 2]; 8] =
        [[0.7, -0.7], [-0.7, -0.7], [0.7, 0.7], [-0.7, 0.7], [1.0, 0.0], [-1.0, 0.0], [0.0, -1.0], [0.0, 1.0]];
    const FAR: [f64; 5] = [3.0, 5.0, 7.5, 10.0, 13.0];
    /// A number this far off is led to its corner, mm.
    const LED: f64 = 4.0;
    for corner in corners(flat) {
        let [x, y] = view.place(corner.at);
        let words = corner.number.to_string();
        let (wide, high) = (FIGURE.width(&words), FIGURE.capital);
        let boxed = |[x, y]: Place| Area {
            left: x - 0.5 * wide,
            top: y - 0.5 * high,
            right: x + 0.5 * wide,
            bottom: y + 0.5 * high,
        };
        let spots = FAR.into_iter().flat_map(|far| WAYS.map(|[dx, dy]| (far, [x + far * dx, y + far * dy])));
        let free = |(_, at): &(f64, Place)| {
            let area = boxed(*at).grown(0.7);
            within.holds(&area) && page.is_free(&area)
        };
        // A corner without a number beside it would be worse than one over a line.
        let Some((far, at)) = spots.into_iter().find(free) else { continue };
        if far > LED {
            page.line(&[[x, y], at], Pen::THIN.wide(0.13));
        }
        page.fill(Path::circle([x, y], 0.55), INK);
        let Area { left, top, right, bottom } = boxed(at).grown(0.5);
        page.fill(Path::rectangle([left, top], [right, bottom]), PAPER);
        page.text([at[0], at[1] + 0.5 * high], Hold::Middle, &words, FIGURE);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts_dxf::tests::{demo, demo_parts};

    #[test]
    fn every_corner_of_every_pocket_that_is_not_just_the_parts_own_is_told_once() {
        for part in demo_parts() {
            let flat = Flat::new(&part);
            let found = corners(&flat);
            let spans = numbers(&part);
            assert_eq!(spans.len(), part.pockets().len());
            assert_eq!(spans.last().copied().flatten().map(|[_, last]| last), Some(found.len()), "{}", part.number);
            assert!(found.iter().zip(1..).all(|(corner, number)| corner.number == number));
            // The corners of the part that a pocket runs out over are on no line of the table.
            let own: Vec<Point> = part.outline.iter().map(|vertex| flat.at(vertex.at)).collect();
            if part.datum.is_some() {
                assert!(
                    found.iter().all(|corner| own.iter().all(|at| (at - corner.at).norm() > 1.0)),
                    "{}",
                    part.number
                );
            }
            let one = table(&demo(), &flat, 1).unwrap();
            let two = table(&demo(), &flat, 2).unwrap();
            assert_eq!(one.rows.len(), found.len());
            assert_eq!(two.rows.len(), found.len().div_ceil(2));
        }
    }

    #[test]
    fn an_arc_about_a_hinge_says_so() {
        // Half the arm's width, a running clearance of 0.4: 12.7 + 0.4.
        let parts = demo_parts();
        let rows = table(&demo(), &Flat::new(&parts[0]), 1).unwrap().rows;
        assert!(rows.iter().any(|row| row[3] == "R13.10 H2"), "{rows:?}");
        assert!(rows.iter().any(|row| row[3] == "line"));
    }
}
