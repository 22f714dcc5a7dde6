//! Contours of half laps and reliefs: every corner by its number on the view, with its place in a table.

use overarm_solver::{HingeBore, Part, PocketCorner, Project, ToNext, Units};

use super::flat::{Flat, hole_letter};
use crate::sheet::dimension::FIGURE;
use crate::sheet::figures::decimal;
use crate::sheet::page::{Area, Hold, Page};
use crate::sheet::path::{Path, Place, View, crosses};
use crate::sheet::pen::{INK, PAPER, Pen};
use crate::sheet::table::{Column, Table};

/// Places nearer than this, mm, are one.
const SAME_MM: f64 = 1e-3;
/// Columns of one group of the table, mm.
const COLUMNS: [f64; 4] = [8.0, 15.0, 15.0, 24.0];
/// Width of one group, mm.
pub(super) const GROUP: f64 = COLUMNS[0] + COLUMNS[1] + COLUMNS[2] + COLUMNS[3];

/// First and last number of the corners of each pocket, in order; `None` where it has none but the part's.
pub(super) fn numbers(part: &Part) -> Vec<Option<[usize; 2]>> {
    let corners = part.pocket_corners();
    let span = |pocket: usize| {
        let numbers = || corners.iter().filter(|corner| corner.pocket == pocket).map(|corner| corner.number);
        Some([numbers().min()?, numbers().max()?])
    };
    (0..part.pockets().len()).map(span).collect()
}

/// The table in this many groups beside each other; nothing where there is no pocket.
pub(super) fn table(project: &Project, flat: &Flat, groups: usize) -> Option<Table> {
    let corners = flat.part.pocket_corners();
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
    let cells = |corner: &PocketCorner| cells(flat.part, corner, project.units());
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

fn cells(part: &Part, corner: &PocketCorner, units: Units) -> [String; 4] {
    let way = match corner.to_next {
        ToNext::Line => "line".to_owned(),
        ToNext::OwnEdge if part.datum.is_none() => "end or edge".to_owned(),
        ToNext::OwnEdge => "edge".to_owned(),
        ToNext::Arc { radius, about } => {
            let is_about = |hinge: &HingeBore| (hinge.centre - about).norm() < SAME_MM;
            let hinge = part.hinges.iter().position(is_about).map_or_else(String::new, hole_letter);
            format!("R{} {hinge}", decimal(radius, units)).trim_end().to_owned()
        }
    };
    // The last of each contour closes it.
    let to_next = if corner.next <= corner.number { format!("{way}, to {}", corner.next) } else { way };
    let [x, y] = corner.from_datums.map(|mm| decimal(mm, units).replace('-', "−"));
    [corner.number.to_string(), x, y, to_next]
}

/// Ways from a corner to its number, and how far, mm.
const WAYS: u32 = 16;
const FAR: [f64; 10] = [3.0, 4.0, 5.5, 7.5, 10.0, 13.0, 16.5, 20.0, 25.0, 30.0];
/// A number this far off is led to its corner, mm; a nearer one where it could be another's as well.
const LED: f64 = 4.5;
const COULD_BE_ANOTHERS: f64 = 1.5;
/// What makes a place worse, in mm of distance: each line behind the number; a line to it that crosses one to
/// another number; that runs over a figure, or past another corner.
const LINE_BEHIND: f64 = 3.5;
const CROSSING: f64 = 30.0;
const OVER_WORDS: f64 = 20.0;
const PAST_CORNER: f64 = 8.0;
/// A line past a corner is nearer to it than this, mm.
const PAST: f64 = 0.9;

/// A number at a place, and whether a line leads to it.
#[derive(Clone, Copy)]
struct Spot {
    at: Place,
    is_led: bool,
    cost: f64,
}

/// Numbers beside the corners, each where it is read best: off lines and figures, and where corners lie close
/// together, at the end of a line of its own.
pub(super) fn draw(page: &mut Page, flat: &Flat, view: &View, within: Area) {
    let corners = flat.part.pocket_corners();
    let dots: Vec<Place> = corners.iter().map(|corner| view.place(flat.at(corner.at))).collect();
    let behind: Vec<[Place; 2]> = page.drawn_chords().collect();
    let mut leaders: Vec<[Place; 2]> = Vec::new();
    for (index, corner) in corners.iter().enumerate() {
        let words = corner.number.to_string();
        let Some(spot) = best_spot(page, &words, index, &dots, &behind, &leaders, within) else { continue };
        if spot.is_led {
            page.line(&[dots[index], spot.at], Pen::THIN.wide(0.13));
            leaders.push([dots[index], spot.at]);
        }
        let Area { left, top, right, bottom } = boxed(&words, spot.at).grown(0.5);
        page.fill(Path::rectangle([left, top], [right, bottom]), PAPER);
        page.text([spot.at[0], spot.at[1] + 0.5 * FIGURE.capital], Hold::Middle, &words, FIGURE);
    }
    for dot in dots {
        page.fill(Path::circle(dot, 0.55), INK);
    }
}

/// What words about a place take.
fn boxed(words: &str, [x, y]: Place) -> Area {
    let (wide, high) = (FIGURE.width(words), FIGURE.capital);
    Area { left: x - 0.5 * wide, top: y - 0.5 * high, right: x + 0.5 * wide, bottom: y + 0.5 * high }
}

fn best_spot(
    page: &Page,
    words: &str,
    index: usize,
    dots: &[Place],
    behind: &[[Place; 2]],
    leaders: &[[Place; 2]],
    within: Area,
) -> Option<Spot> {
    let [x, y] = dots[index];
    let others = || dots.iter().enumerate().filter(|(other, _)| *other != index).map(|(_, dot)| *dot);
    let mut best: Option<Spot> = None;
    for far in FAR {
        // What lies farther off is never better.
        if best.is_some_and(|best| best.cost <= far) {
            break;
        }
        for way in 0..WAYS {
            let angle = (f64::from(way) + 0.5) / f64::from(WAYS) * std::f64::consts::TAU;
            let at = [x + far * angle.cos(), y + far * angle.sin()];
            let area = boxed(words, at).grown(0.7);
            let covers = |[x, y]: Place| area.holds(&Area { left: x, top: y, right: x, bottom: y });
            if !within.holds(&area) || !page.is_free(&area) || others().any(covers) {
                continue;
            }
            // A line of another number is not interrupted.
            if leaders.iter().any(|leader| area.is_crossed_by(*leader)) {
                continue;
            }
            let is_near = |[a, b]: Place| (a - at[0]).hypot(b - at[1]) < far + COULD_BE_ANOTHERS;
            let is_led = far > LED || others().any(is_near);
            let mut cost = far;
            let lines = behind.iter().filter(|chord| area.is_crossed_by(**chord)).count();
            cost += LINE_BEHIND * f64::from(u32::try_from(lines.min(6)).unwrap_or(6));
            if is_led {
                let line = [[x, y], at];
                let crossed = leaders.iter().filter(|leader| crosses(line, **leader)).count();
                let over = page.texts().filter(|text| text.area().grown(0.3).is_crossed_by(line)).count();
                let past = others().filter(|dot| distance(*dot, line) < PAST).count();
                for (count, worse) in [(crossed, CROSSING), (over, OVER_WORDS), (past, PAST_CORNER)] {
                    cost += worse * f64::from(u32::try_from(count).unwrap_or(u32::MAX));
                }
            }
            if best.is_none_or(|best| cost < best.cost) {
                best = Some(Spot { at, is_led, cost });
            }
        }
    }
    best
}

/// Of a place from a line, mm.
fn distance([x, y]: Place, [from, to]: [Place; 2]) -> f64 {
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let share = ((x - from[0]) * dx + (y - from[1]) * dy) / (dx * dx + dy * dy).max(1e-12);
    let share = share.clamp(0.0, 1.0);
    (x - from[0] - share * dx).hypot(y - from[1] - share * dy)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts_dxf::tests::{demo, demo_parts};

    #[test]
    fn every_corner_of_every_pocket_that_is_not_just_the_parts_own_is_told_once() {
        for part in demo_parts() {
            let flat = Flat::new(&part);
            let found = part.pocket_corners();
            let spans = numbers(&part);
            assert_eq!(spans.len(), part.pockets().len());
            assert_eq!(spans.last().copied().flatten().map(|[_, last]| last), Some(found.len()), "{}", part.number);
            // The corners of the part that a pocket runs out over are on no line of the table.
            let own: Vec<_> = part.outline.iter().map(|vertex| vertex.at).collect();
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
    fn every_corner_has_its_number_on_the_sheet_and_no_line_to_one_crosses_another() {
        use crate::project_file;
        for bytes in [
            &include_bytes!("../../../../demo/vestry-tea-hatch-feet.overarm.json")[..],
            &include_bytes!("../../../../demo/scullery-shelf-feet.overarm.json")[..],
            &include_bytes!("../../../../demo/chapel-hatch.overarm.json")[..],
        ] {
            let project = project_file::parse(bytes).expect("a demo");
            let options = overarm_solver::Options { poses: 2, swept: false };
            let analysis = overarm_solver::analyse(&project, &options);
            for part in overarm_solver::parts(&project, &analysis.solids) {
                let flat = Flat::new(&part);
                let mut page = Page::new(crate::sheet::paper::Paper::A3);
                let view = View::new([180.0, 140.0], 0.5);
                let within = page.area().grown(-10.0);
                draw(&mut page, &flat, &view, within);
                let said: Vec<&str> = page.texts().map(|text| text.words.as_str()).collect();
                let corners = part.pocket_corners();
                assert!(corners.iter().all(|corner| said.contains(&corner.number.to_string().as_str())), "{said:?}");
                assert_eq!(page.faults(), Vec::<String>::new());
                // Whichever corner a number without a line belongs to lies clearly nearest to it.
                let lines: Vec<[Place; 2]> = page.drawn_chords().collect();
                for text in page.texts() {
                    let area = text.area();
                    let middle = [0.5 * (area.left + area.right), 0.5 * (area.top + area.bottom)];
                    if lines.iter().any(|line| distance(middle, *line) < 0.1) {
                        continue;
                    }
                    let away = |corner: &PocketCorner| {
                        let [x, y] = view.place(flat.at(corner.at));
                        (x - middle[0]).hypot(y - middle[1])
                    };
                    let own = corners.iter().find(|corner| corner.number.to_string() == text.words).expect("its own");
                    let others = corners.iter().filter(|corner| corner.number != own.number);
                    assert!(others.map(away).all(|other| other > away(own) + 1.0), "{} of {}", text.words, part.number);
                }
                let crossings = lines.iter().enumerate().flat_map(|(index, line)| {
                    lines[index + 1..].iter().filter(|other| crosses(*line, **other)).collect::<Vec<_>>()
                });
                assert!(crossings.count() <= 1, "{}", part.number);
            }
        }
    }

    #[test]
    fn an_arc_about_a_hinge_says_so() {
        // Half the arm's width, a running clearance of 0.4: 12.7 + 0.4.
        let parts = demo_parts();
        let rows = table(&demo(), &Flat::new(&parts[0]), 1).unwrap().rows;
        assert!(rows.iter().any(|row| row[3] == "R13.10 H2"), "{rows:?}");
        assert!(rows.iter().any(|row| row[3] == "line"));
        // Nothing is cut along the part's own edge; each contour closes with the corner that it began with.
        assert!(rows.iter().any(|row| row[3] == "edge"), "{rows:?}");
        assert!(rows.iter().any(|row| row[3].ends_with(", to 1")), "{rows:?}");
    }
}
