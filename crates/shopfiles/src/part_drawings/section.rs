//! The section through the first hinge, larger: seats, web, half lap.

use overarm_solver::{BoreStep, HingeBore, Part, Project, StepKind, Units};

use super::flat::{Flat, scale_words};
use crate::sheet::dimension::{STEP, across, across_held, upright_beside};
use crate::sheet::figures::{bore, length, limits_off, range};
use crate::sheet::page::{Area, Hold, Page};
use crate::sheet::path::{Path, Place};
use crate::sheet::pen::Pen;
use crate::sheet::typeface::Style;

const SCALES: [f64; 5] = [5.0, 2.0, 1.0, 0.5, 0.2];
/// White around it for dimensions, mm.
const BESIDE: f64 = 52.0;
/// Above it, and below it for two dimensions, mm.
const ABOVE: f64 = 24.0;
const BELOW: f64 = 2.0 * STEP + 8.0;
/// Between lines of hatching, mm.
const HATCH: f64 = 2.2;

pub(super) fn draw(page: &mut Page, flat: &Flat, project: &Project, column: Area) {
    let part = flat.part;
    let Some(hinge) = part.hinges.first() else { return };
    let (wide, deep) = (flat.high.y - flat.low.y, part.depth);
    let words: Vec<String> =
        fit_words(part, project).iter().flat_map(|line| Style::BODY.wrap(line, column.width())).collect();
    #[allow(clippy::cast_precision_loss)] // a handful of lines
    let around = ABOVE + BELOW + words.len() as f64 * Style::BODY.line_height() - Style::BODY.capital;
    let [before, beyond] = beside(part, hinge, project.units());
    let around_it = (before + beyond).max(BESIDE);
    let fits = |scale: &f64| scale * deep + around_it <= column.width() && scale * wide + around <= column.height();
    let scale = SCALES.into_iter().find(fits).unwrap_or(SCALES[SCALES.len() - 1]);
    let title = format!("X–X  ({})", scale_words(scale));
    page.text([column.left, column.top + 3.5], Hold::Start, &title, Style::BODY.bold());
    page.text([column.left, column.top + 8.0], Hold::Start, "inner face left, outer face right", Style::BODY);
    let middle = 0.5 * (column.width() - scale * deep);
    let left = column.left + middle.min(column.width() - scale * deep - beyond).max(before);
    let top = column.top + ABOVE;
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
    for layer in &part.layers {
        for piece in &layer.pieces {
            for [low, high] in flat.cut(piece, centre.x) {
                let block = Path::rectangle(at(layer.z[0], high), at(layer.z[1], low));
                let holds =
                    layer.z[0] <= hinge.low() + 1e-9 && hinge.low() < layer.z[1] && low < centre.y && high > centre.y;
                let cut = if holds { block.clone().and(bored.clone()) } else { block.clone() };
                if let Some(area) = block.area() {
                    page.hatch(cut.clone(), area, HATCH, Pen::THIN.wide(0.18));
                }
                page.draw(cut, Pen::OUTLINE);
            }
        }
    }
    step_lines(page, hinge, &at, centre.y);
    let beyond = 3.0 / scale;
    page.line(&[at(hinge.low() - beyond, centre.y), at(hinge.high() + beyond, centre.y)], Pen::CENTRE);
    dimensions(page, flat, project, hinge, &at, [top, top + scale * wide]);
    page.lines([column.left, top + scale * wide + BELOW], &words, Style::BODY);
}

/// What its figures take at its left and at its right, mm.
fn beside(part: &Part, hinge: &HingeBore, units: Units) -> [f64; 2] {
    /// Between a figure and what stands beside it, mm.
    const SPACE: f64 = 2.5;
    /// A line carried on beyond its arrows, mm.
    const TAIL: f64 = 7.0;
    let wide = |words: &str| Style::BODY.width(words);
    let fitted = hinge.fitted().map_or(0.0, |step| 2.0 * STEP + SPACE + wide(&diameter_words(step, units)));
    let web = hinge.steps.iter().find(|step| step.kind == StepKind::Web);
    let web = web.map_or(0.0, |step| 1.5 * STEP + SPACE + wide(&format!("Ø{}", length(step.diameter[0], units))));
    let lap = part.lap_limits().map_or(0.0, |limits| TAIL + wide(&range(limits, units)));
    if part.kept().is_some_and(|kept| kept.z[0] > 0.0) { [fitted, web.max(lap)] } else { [fitted.max(lap), web] }
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
        // Both figures stand outside, so that one line has room for them.
        let y = top - STEP;
        // In brackets: the hole table has its limits.
        let words = format!("({})", length(deep, units));
        for (index, span) in spans.iter().enumerate() {
            let hold = if index == 0 && spans.len() > 1 { Hold::End } else { Hold::Start };
            across_held(page, at(span[0], flat.high.y), at(span[1], flat.high.y), y, &words, hold);
        }
    }
    let mut y = bottom + STEP;
    if let (Some(kept), Some(limits)) = (part.kept(), part.lap_limits()) {
        let ends = [at(kept.z[0], flat.low.y), at(kept.z[1], flat.low.y)];
        let hold = if kept.z[0] > 0.0 { Hold::Start } else { Hold::End };
        across_held(page, ends[0], ends[1], y, &range(limits, units), hold);
        y += STEP;
    }
    across(page, at(0.0, flat.low.y), at(part.depth, flat.low.y), y, &length(part.depth, units));
    if let Some(fitted) = hinge.fitted() {
        let half = 0.5 * fitted.diameter[0];
        let z = fitted.z[0];
        let x = at(0.0, 0.0)[0] - 2.0 * STEP;
        upright_beside(page, at(z, v + half), at(z, v - half), x, &diameter_words(fitted, units), Hold::End);
    }
    if let Some(web) = hinge.steps.iter().find(|step| step.kind == StepKind::Web) {
        let half = 0.5 * web.diameter[0];
        let x = at(part.depth, 0.0)[0] + 1.5 * STEP;
        upright_beside(
            page,
            at(web.z[1], v + half),
            at(web.z[1], v - half),
            x,
            &format!("Ø{}", length(web.diameter[0], units)),
            Hold::Start,
        );
    }
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
        match hinge.web {
            Some(web) if web > 0.0 => {
                found.push(format!(
                    "Web {}, clear of the inner ring.",
                    crate::sheet::figures::with_unit(&length(web, units), units)
                ));
            }
            _ => found.push("No web: the seats leave no shoulder between them.".to_owned()),
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
        let deep = crate::sheet::figures::with_unit(&length(deep, units), units);
        found.push(format!("Lead-in {deep} deep, {angle:.0}° to the axis, at every mouth that is pressed into."));
    }
    if part.hinges.iter().any(|hinge| !hinge.is_whole) {
        found.push("A bore breaks out of the part: not to be made as it is.".to_owned());
    }
    found
}
