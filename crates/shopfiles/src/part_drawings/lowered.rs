//! What lies lower than the face around it: toned in the front view, with a key that says how much is left there
//! and from which face it is cut.

use overarm_solver::{Mouth, Part, Pocket, PocketKind, Project};

use super::flat::Flat;
use super::lengths::size;
use crate::sheet::figures::range;
use crate::sheet::page::{Hold, Page};
use crate::sheet::path::{Path, Place, View};
use crate::sheet::pen::{Colour, LOWERED, LOWERED_MORE, Pen};
use crate::sheet::typeface::Style;

/// A swatch of the key, and from it to its words, mm.
const SWATCH: [f64; 2] = [5.0, 2.8];
const BESIDE: f64 = 1.5;

/// Pockets that are cut alike: laps, then reliefs, from either face.
fn kinds(part: &Part) -> Vec<Pocket> {
    let mut found: Vec<Pocket> = Vec::new();
    for pocket in part.pockets() {
        if !found.iter().any(|other| is_alike(other, &pocket)) {
            found.push(pocket);
        }
    }
    found
}

fn is_alike(one: &Pocket, other: &Pocket) -> bool {
    one.kind == other.kind && one.opens == other.opens && (one.depth() - other.depth()).abs() < 1e-6
}

fn tone(kind: PocketKind) -> Colour {
    if kind == PocketKind::HalfLap { LOWERED } else { LOWERED_MORE }
}

/// How many lines the key takes.
pub(super) fn lines(part: &Part) -> usize {
    kinds(part).len()
}

/// Tones what is lowered; drawn before everything else of the view.
pub(super) fn fill(page: &mut Page, flat: &Flat, view: &View) {
    for pocket in flat.part.pockets() {
        let around = view.outline(&flat.outline(&pocket.contour));
        let whole = pocket.islands.iter().fold(around, |path, island| path.and(view.outline(&flat.outline(island))));
        page.fill(whole, tone(pocket.kind));
    }
}

/// The key, its first line's baseline at the place.
pub(super) fn key(page: &mut Page, project: &Project, part: &Part, [x, mut y]: Place) {
    for pocket in kinds(part) {
        let top = y - 0.5 * (Style::BODY.capital + SWATCH[1]);
        page.paint(
            Path::rectangle([x, top], [x + SWATCH[0], top + SWATCH[1]]),
            tone(pocket.kind),
            Pen::THIN.wide(0.13),
        );
        page.text([x + SWATCH[0] + BESIDE, y], Hold::Start, &words(project, part, &pocket), Style::BODY);
        y += Style::BODY.line_height();
    }
}

/// "low, half lap: 18.900 to 19.000 left"; what is cut from the face that is turned away says so.
fn words(project: &Project, part: &Part, pocket: &Pocket) -> String {
    let units = project.units();
    let what = if pocket.kind == PocketKind::HalfLap { "half lap" } else { "relief" };
    let low = if pocket.opens == Mouth::Outer { "low" } else { "low behind" };
    match part.lap_limits() {
        Some(limits) => format!("{low}, {what}: {} left", range(limits, units)),
        None => format!("{low}, {what}: {} deep", size(pocket.depth(), units)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts_dxf::tests::{demo, demo_parts};
    use crate::sheet::page::Mark;

    #[test]
    fn what_is_toned_is_as_large_as_what_is_milled() {
        for part in demo_parts() {
            let flat = Flat::new(&part);
            let mut page = Page::new(crate::sheet::paper::Paper::A3);
            fill(&mut page, &flat, &View::new([200.0, 150.0], 1.0));
            let toned: f64 = page
                .marks
                .iter()
                .map(|mark| {
                    let Mark::Shape { path, fill: Some(LOWERED | LOWERED_MORE), pen: None } = mark else { return 0.0 };
                    // By the chords around it (shoelace).
                    0.5 * path.chords().map(|[a, b]| a[0] * b[1] - b[0] * a[1]).sum::<f64>().abs()
                })
                .sum();
            let milled: f64 = part.pockets().iter().map(Pocket::area).sum();
            assert!(milled > 100.0 && (toned / milled - 1.0).abs() < 0.01, "{}: {toned} {milled}", part.number);
        }
    }

    #[test]
    fn the_key_says_from_which_side_it_is_low() {
        let project = demo();
        for part in demo_parts() {
            let mut page = Page::new(crate::sheet::paper::Paper::A3);
            key(&mut page, &project, &part, [50.0, 50.0]);
            let said: Vec<&str> = page.texts().map(|text| text.words.as_str()).collect();
            // 38.1 of depth: half is 19.05, a lap 0.05 to 0.15 thinner. Bars are cut from outside, arms from inside.
            let low = if part.datum.is_some() { "low" } else { "low behind" };
            assert_eq!(said, [format!("{low}, half lap: 18.900 to 19.000 left")], "{}", part.number);
        }
    }
}
