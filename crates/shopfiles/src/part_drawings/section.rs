//! The section through the first hinge, larger: seats, web, half lap.

use overarm_solver::{BoreStep, HingeBore, Part, Project, StepKind, Units};

use super::flat::{Flat, largest_scale, scale_words};
use super::lengths::size;
use crate::sheet::dimension::{STEP, across, across_held, across_to_step, datum, upright_beside};
use crate::sheet::figures::{bore, limits_off, range};
use crate::sheet::page::{Area, Hold, Page};
use crate::sheet::path::{Path, Place};
use crate::sheet::pen::{Pen, WIDE};
use crate::sheet::typeface::Style;

/// White around it for dimensions, mm.
const BESIDE: f64 = 52.0;
/// Above it for one dimension, and below it for two, mm.
const ABOVE: f64 = 20.0;
const BELOW: f64 = 2.0 * STEP + 8.0;
/// Between lines of hatching, mm.
const HATCH: f64 = 2.2;

/// Width and height that it takes at a scale, mm, where the words below it may be so wide.
pub(super) fn room(flat: &Flat, project: &Project, scale: f64, width: f64) -> [f64; 2] {
    let Some(hinge) = flat.part.hinges.first() else { return [0.0; 2] };
    let [before, beyond] = beside(flat.part, hinge, project.units(), scale);
    #[allow(clippy::cast_precision_loss)] // a handful of lines
    let lines = words(flat.part, project, width).len() as f64;
    let around = above(flat.part, hinge) + BELOW + lines * Style::BODY.line_height() - Style::BODY.capital;
    [scale * flat.part.depth + (before + beyond).max(BESIDE), scale * (flat.high.y - flat.low.y) + around]
}

/// White above it, mm: one line for the seats and one for the web between two of them.
fn above(part: &Part, hinge: &HingeBore) -> f64 {
    ABOVE + if web_between(part, hinge).is_some() { STEP } else { 0.0 }
}

/// Limits of what stays between two seats, mm.
fn web_between(part: &Part, hinge: &HingeBore) -> Option<[f64; 2]> {
    if hinge.pressed_from.len() > 1 && hinge.web.is_some_and(|web| web > 0.0) { part.web_limits(hinge) } else { None }
}

/// "(4.800 to 5.000)": in brackets, because lap and seats make it.
fn web_depth_words(limits: [f64; 2], units: Units) -> String {
    format!("({})", range(limits, units))
}

fn words(part: &Part, project: &Project, width: f64) -> Vec<String> {
    fit_words(part, project).iter().flat_map(|line| Style::BODY.wrap(line, width)).collect()
}

pub(super) fn draw(page: &mut Page, flat: &Flat, project: &Project, column: Area) {
    let part = flat.part;
    let Some(hinge) = part.hinges.first() else { return };
    let (wide, deep) = (flat.high.y - flat.low.y, part.depth);
    let words = words(part, project, column.width());
    let scale = largest_scale(|scale| {
        let [wide, high] = room(flat, project, scale, column.width());
        wide <= column.width() && high <= column.height()
    });
    let [before, beyond] = beside(part, hinge, project.units(), scale);
    let title = format!("X–X  ({})", scale_words(scale));
    let head = page.text([column.left, column.top + 3.5], Hold::Start, &title, Style::BODY.bold());
    let faces = "inner face left, outer face right";
    page.text([head.right + 4.0, column.top + 3.5], Hold::Start, faces, Style::BODY);
    let middle = 0.5 * (column.width() - scale * deep);
    let left = column.left + middle.min(column.width() - scale * deep - beyond).max(before);
    let top = column.top + above(part, hinge);
    let at = |z: f64, v: f64| [left + scale * z, top + scale * (flat.high.y - v)];
    let centre = flat.hinge(hinge);

    // Behind the cut, seen to the right.
    for layer in &part.layers {
        for piece in &layer.pieces {
            let behind = flat.chords(piece).into_iter().filter(|point| point.x > centre.x).map(|point| point.y);
            let (low, high) = behind.fold((f64::MAX, f64::MIN), |(low, high), v| (low.min(v), high.max(v)));
            if low < high {
                page.draw(Path::rectangle(at(layer.z[0], high), at(layer.z[1], low)), Pen::OUTLINE);
            }
        }
    }
    let bored = bore_path(hinge, &at, centre.y);
    let layers: Vec<([f64; 2], Vec<[f64; 2]>)> = part
        .layers
        .iter()
        .map(|layer| (layer.z, layer.pieces.iter().flat_map(|piece| flat.cut(piece, centre.x)).collect()))
        .collect();
    for (index, (z, spans)) in layers.iter().enumerate() {
        for [low, high] in spans {
            let block = Path::rectangle(at(z[0], *high), at(z[1], *low));
            let holds = z[0] <= hinge.low() + 1e-9 && hinge.low() < z[1] && *low < centre.y && *high > centre.y;
            let cut = if holds { block.clone().and(bored.clone()) } else { block.clone() };
            if let Some(area) = block.area() {
                page.hatch(cut, area, HATCH, Pen::THIN.wide(0.18));
            }
            if holds {
                page.draw(bored.clone(), Pen::OUTLINE);
            }
            // No line where one layer goes on in the next: it is one piece.
            let [left, right] = [at(z[0], 0.0)[0] - 0.5 * WIDE, at(z[1], 0.0)[0] + 0.5 * WIDE];
            for v in [*low, *high] {
                let y = at(0.0, v)[1];
                page.line(&[[left, y], [right, y]], Pen::OUTLINE);
            }
            for (face, next) in [(z[0], index.checked_sub(1)), (z[1], Some(index + 1))] {
                let covered = next.and_then(|next| layers.get(next)).map_or(&[][..], |(_, spans)| spans);
                for [from, to] in without([*low, *high], covered) {
                    page.line(&[at(face, from), at(face, to)], Pen::OUTLINE);
                }
            }
        }
    }
    step_lines(page, hinge, &at, centre.y);
    let beyond = 3.0 / scale;
    page.line(&[at(hinge.low() - beyond, centre.y), at(hinge.high() + beyond, centre.y)], Pen::CENTRE);
    dimensions(page, flat, project, hinge, &at, [top, top + scale * wide]);
    page.lines([column.left, top + scale * wide + BELOW], &words, Style::BODY);
}

/// What is left of a stretch without some others.
fn without(whole: [f64; 2], others: &[[f64; 2]]) -> Vec<[f64; 2]> {
    others.iter().fold(vec![whole], |left, [low, high]| {
        let pieces = left.into_iter().flat_map(|[from, to]| [[from, to.min(*low)], [from.max(*high), to]]);
        pieces.filter(|[from, to]| to - from > 1e-9).collect()
    })
}

/// What its figures take at its left and at its right, mm.
fn beside(part: &Part, hinge: &HingeBore, units: Units, scale: f64) -> [f64; 2] {
    /// Between a figure and what stands beside it, mm.
    const SPACE: f64 = 2.5;
    /// A line carried on beyond its arrows, mm.
    const TAIL: f64 = 7.0;
    let wide = |words: &str| Style::BODY.width(words);
    let fitted = hinge.fitted().map_or(0.0, |step| 2.0 * STEP + SPACE + wide(&diameter_words(step, units)));
    let web = hinge.steps.iter().find(|step| step.kind == StepKind::Web);
    let web = web.map_or(0.0, |step| 1.5 * STEP + SPACE + wide(&web_words(step, units)));
    let lap = part.lap_limits().map_or(0.0, |limits| TAIL + wide(&range(limits, units)));
    // The web's figure stands over the thicker side.
    let thick = if is_kept_outside(part) { hinge.low() } else { part.depth - hinge.high() } + hinge.seat_depth;
    let between =
        web_between(part, hinge).map_or(0.0, |limits| TAIL + wide(&web_depth_words(limits, units)) - scale * thick);
    if is_kept_outside(part) { [fitted.max(between), web.max(lap)] } else { [fitted.max(lap), web.max(between)] }
}

/// Whether what is left of a lapped part is its outer half.
fn is_kept_outside(part: &Part) -> bool {
    part.kept().is_some_and(|kept| kept.z[0] > 0.0)
}

/// The bore's profile, both sides of its axis.
fn bore_path(hinge: &HingeBore, at: &impl Fn(f64, f64) -> Place, v: f64) -> Path {
    let mut upper = Vec::new();
    for step in &hinge.steps {
        upper.push((step.z[0], 0.5 * step.diameter[0]));
        upper.push((step.z[1], 0.5 * step.diameter[1]));
    }
    let lower = upper.iter().rev().map(|(z, r)| at(*z, v - r));
    let places: Vec<Place> = upper.iter().map(|(z, r)| at(*z, v + r)).chain(lower).collect();
    Path::polygon(&places)
}

/// Edges that are seen behind the cut: where one step meets the next.
fn step_lines(page: &mut Page, hinge: &HingeBore, at: &impl Fn(f64, f64) -> Place, v: f64) {
    for step in &hinge.steps {
        for (z, d) in [(step.z[0], step.diameter[0]), (step.z[1], step.diameter[1])] {
            page.line(&[at(z, v + 0.5 * d), at(z, v - 0.5 * d)], Pen::THIN);
        }
    }
}

fn dimensions(
    page: &mut Page,
    flat: &Flat,
    project: &Project,
    hinge: &HingeBore,
    at: &impl Fn(f64, f64) -> Place,
    [top, bottom]: [f64; 2],
) {
    let units = project.units();
    let part = flat.part;
    let v = flat.hinge(hinge).y;
    // Seats and web above; lap and whole depth below.
    let seats = hinge.web.is_some_and(|web| web > 0.0);
    if seats {
        let [low, high] = [hinge.low(), hinge.high()];
        let deep = hinge.seat_depth;
        let inner = hinge.pressed_from.contains(&overarm_solver::Mouth::Inner);
        let outer = hinge.pressed_from.contains(&overarm_solver::Mouth::Outer);
        let mut spans = Vec::new();
        if inner {
            spans.push([low, low + deep]);
        }
        if outer {
            spans.push([high - deep, high]);
        }
        let y = top - STEP;
        // In brackets: the hole table has its limits.
        let words = format!("({})", size(deep, units));
        let place = |z: f64| at(z, flat.high.y);
        if let Some(limits) = web_between(part, hinge) {
            // A line of its own for what stays between, so that each has its figure.
            across_to_step(page, place(low), place(low + deep), y, &words);
            across_to_step(page, place(high), place(high - deep), y, &words);
            let hold = if is_kept_outside(part) { Hold::End } else { Hold::Start };
            let words = web_depth_words(limits, units);
            across_held(page, place(low + deep), place(high - deep), y - STEP, &words, hold);
        } else {
            for span in spans {
                across_held(page, place(span[0]), place(span[1]), y, &words, Hold::Start);
            }
        }
    }
    let mut y = bottom + STEP;
    if let (Some(kept), Some(limits)) = (part.kept(), part.lap_limits()) {
        let ends = [at(kept.z[0], flat.low.y), at(kept.z[1], flat.low.y)];
        let hold = if is_kept_outside(part) { Hold::Start } else { Hold::End };
        across_held(page, ends[0], ends[1], y, &range(limits, units), hold);
        y += STEP;
    }
    // In brackets: it stands at the view of the edge.
    let depth = format!("({})", size(part.depth, units));
    across(page, at(0.0, flat.low.y), at(part.depth, flat.low.y), y, &depth);
    if let Some(fitted) = hinge.fitted() {
        let half = 0.5 * fitted.diameter[0];
        let z = fitted.z[0];
        let x = at(0.0, 0.0)[0] - 2.0 * STEP;
        let foot = upright_beside(page, at(z, v + half), at(z, v - half), x, &diameter_words(fitted, units), Hold::End);
        if part.datum.is_none() {
            // The bore's axis: on the line of its diameter (ISO 5459).
            datum(page, foot, [0.0, 1.0], "A");
        }
    }
    if let Some(web) = hinge.steps.iter().find(|step| step.kind == StepKind::Web) {
        let half = 0.5 * web.diameter[0];
        let x = at(part.depth, 0.0)[0] + 1.5 * STEP;
        upright_beside(page, at(web.z[1], v + half), at(web.z[1], v - half), x, &web_words(web, units), Hold::Start);
    }
}

/// "(Ø19.20)": in brackets, because the hole table has it.
fn web_words(step: &BoreStep, units: Units) -> String {
    format!("(Ø{})", size(step.diameter[0], units))
}

/// "Ø22.000 N7".
fn diameter_words(step: &BoreStep, units: Units) -> String {
    let class = step.class.as_deref().map_or_else(String::new, |class| format!(" {class}"));
    format!("Ø{}{class}", bore(step.diameter[0], units))
}

/// What is pressed in, and how.
fn fit_words(part: &Part, project: &Project) -> Vec<String> {
    let units = project.units();
    let mut found = Vec::new();
    let Some(hinge) = part.hinges.first() else { return found };
    if let Some((step, limits)) = hinge.fitted().and_then(|step| Some((step, step.limits?))) {
        let nominal = step.diameter[0];
        let [upper, lower] = limits_off(nominal, [nominal + limits.lower, nominal + limits.upper], units);
        let what = if step.kind == StepKind::Seat { "Seats" } else { "Pin bores" };
        found.push(format!("{what} {}, {upper} / {lower}.", diameter_words(step, units)));
    }
    if let Some(bearing) = &hinge.bearing {
        let faces: Vec<&str> = hinge.pressed_from.iter().map(|mouth| mouth.words()).collect();
        found.push(format!("Bearing {}, pressed in from the {}.", bearing.name, faces.join(" and the ")));
        match part.web_limits(hinge) {
            Some(limits) => {
                let web = crate::sheet::figures::with_unit(&range(limits, units), units);
                found.push(format!("Web {web}, clear of the inner ring."));
            }
            None => found.push("No web: the seats leave no shoulder between them.".to_owned()),
        }
    } else if hinge.steps.iter().any(|step| step.kind == StepKind::Pin) {
        found.push("The pin is pressed in here and turns in the bearings of the other bar.".to_owned());
    } else {
        found.push(format!("No bearing is chosen: Ø{} stands by default, without a fit. Not to be bored as it is.", {
            bore(hinge.diameter(), units)
        }));
    }
    if hinge.steps.iter().any(|step| step.kind == StepKind::LeadIn) {
        let (deep, angle) = overarm_solver::parts::LEAD_IN;
        let deep = crate::sheet::figures::with_unit(&size(deep, units), units);
        found.push(format!("Lead-in {deep} deep, {angle:.0}° to the axis, at every mouth that is pressed into."));
    }
    if part.hinges.iter().any(|hinge| !hinge.is_whole) {
        found.push("A bore breaks out of the part: not to be made as it is.".to_owned());
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stretch_without_others_is_what_none_of_them_covers() {
        assert_eq!(without([0.0, 10.0], &[[2.0, 3.0], [5.0, 12.0]]), [[0.0, 2.0], [3.0, 5.0]]);
        assert_eq!(without([0.0, 10.0], &[[-1.0, 4.0]]), [[4.0, 10.0]]);
        assert_eq!(without([0.0, 10.0], &[[0.0, 10.0]]), Vec::<[f64; 2]>::new());
        assert_eq!(without([0.0, 10.0], &[]), [[0.0, 10.0]]);
    }
}
