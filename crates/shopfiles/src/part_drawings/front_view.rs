//! The view from outside: outline, pockets, bores, screw holes, and what is measured in it.

use overarm_solver::{Mouth, Project, Units};

use super::flat::{Flat, hole_letter};
use crate::sheet::dimension::{FIGURE, STEP, across, arrow, centre_cross, datum, leader, upright, upright_within};
use crate::sheet::figures::{bore, length, plus_minus};
use crate::sheet::page::{Area, Hold, Page};
use crate::sheet::path::{Place, View};
use crate::sheet::pen::Pen;
use crate::sheet::typeface::Style;

/// From the view's name to the view, mm.
const ABOVE: f64 = 22.0;

pub(super) fn draw(page: &mut Page, flat: &Flat, project: &Project, top_left: Place, scale: f64, within: Area) {
    let units = project.units();
    let part = flat.part;
    let view = View::new([top_left[0] - scale * flat.low.x, top_left[1] + scale * flat.high.y], scale);
    let right = view.place(flat.high)[0];
    let bottom = view.place(flat.low)[1];
    shape(page, flat, &view);
    for (index, hinge) in part.hinges.iter().enumerate() {
        let [x, y] = view.place(flat.hinge(hinge));
        let away = 0.5 * scale * hinge.widest() + 1.2;
        let places = [
            ([x + away, y - away], Hold::Start),
            ([x - away, y - away], Hold::End),
            ([x + away, y + away + 2.5], Hold::Start),
            ([x - away, y + away + 2.5], Hold::End),
        ];
        page.label_over_lines(&places, &hole_letter(index), FIGURE.bold(), within);
    }
    // From the left end to each pivot, below; from the datum edge to each pivot, at the left.
    let corner = [view.place(flat.low)[0], bottom];
    let mut pivots: Vec<_> = part.hinges.iter().map(|hinge| (flat.hinge(hinge), part.offset(hinge))).collect();
    pivots.sort_by(|a, b| a.0.x.total_cmp(&b.0.x));
    if part.datum.is_some() {
        if let Some((lowest, _)) = pivots.first() {
            let words = length(lowest.x - flat.low.x, units);
            across(page, corner, view.place(*lowest), bottom + STEP, &words);
        }
        let edge = if flat.heads_up { flat.low.y } else { flat.high.y };
        for (index, (pivot, offset)) in pivots.iter().enumerate() {
            let Some(offset) = offset else { continue };
            let foot = view.place(overarm_solver::Point::new(flat.low.x, edge));
            let at_left = index == 0;
            let words = format!(
                "{}{}",
                bore(*offset, units),
                either_way(*offset, project.tolerances.as_ref().and_then(|t| t.offset), units)
            );
            let (x, from) = if at_left { (corner[0] - STEP, foot) } else { (right + STEP, [right, foot[1]]) };
            upright_within(page, from, view.place(*pivot), x, &words, within.top);
        }
        let middle = overarm_solver::Point::new(0.5 * (flat.low.x + flat.high.x), edge);
        let away = if flat.heads_up { [0.0, 1.0] } else { [0.0, -1.0] };
        datum(page, view.place(middle), away, "A");
    }
    let x = if part.datum.is_some() { corner[0] - 2.0 * STEP } else { corner[0] - STEP };
    let top = view.place(flat.high)[1];
    upright(page, [corner[0], top], [corner[0], bottom], x, &length(flat.high.y - flat.low.y, units));
    page.text([corner[0], top - ABOVE + 3.0], Hold::Start, "Seen from outside the set", Style::BODY.bold());
    if part.datum.is_some() {
        page.text([corner[0], top - ABOVE + 7.4], Hold::Start, "lower end left, upper end right", Style::BODY);
    }
    section_marks(page, flat, &view, [top, bottom], within);
    if let [first, second] = part.hinges.as_slice() {
        between_pivots(page, [view.place(flat.hinge(first)), view.place(flat.hinge(second))], project, part);
    }
    super::contours::draw(page, flat, &view, within);
}

/// The shape itself.
fn shape(page: &mut Page, flat: &Flat, view: &View) {
    let part = flat.part;
    for pocket in part.pockets() {
        let pen = if pocket.opens == Mouth::Outer { Pen::OUTLINE } else { Pen::HIDDEN };
        page.draw(view.outline(&flat.outline(&pocket.contour)), pen);
        for island in &pocket.islands {
            page.draw(view.outline(&flat.outline(island)), pen);
        }
    }
    page.draw(view.outline(&flat.outline(&part.outline)), Pen::OUTLINE);
    for hinge in &part.hinges {
        let centre = flat.hinge(hinge);
        page.draw(view.circle(centre, 0.5 * hinge.widest()), Pen::THIN);
        page.draw(view.circle(centre, 0.5 * hinge.diameter()), Pen::OUTLINE);
        if let Some(web) = hinge.steps.iter().find(|step| step.kind == overarm_solver::StepKind::Web) {
            page.draw(view.circle(centre, 0.5 * web.diameter[0]), Pen::OUTLINE);
        }
        centre_cross(page, view.place(centre), 0.5 * view.scale * hinge.widest());
    }
    for hole in &part.screw_holes {
        let [from, to] = flat.axis(hole);
        let across = nalgebra::Vector2::new(0.5 * hole.diameter, 0.0);
        for by in [across, -across] {
            page.draw(view.line(&[from + by, to + by]), Pen::HIDDEN);
        }
        let beyond = 3.0 / view.scale * (to - from).normalize();
        page.draw(view.line(&[from - beyond, to + beyond]), Pen::CENTRE);
    }
}

/// Hole to hole, along the line between them; its figure stands on a leader from the middle.
fn between_pivots(page: &mut Page, [from, to]: [Place; 2], project: &Project, part: &overarm_solver::Part) {
    let units = project.units();
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let long = dx.hypot(dy).max(1e-9);
    let along = [dx / long, dy / long];
    page.line(&[from, to], Pen::THIN);
    arrow(page, from, along.map(|part| -part));
    arrow(page, to, along);
    let apart = (part.hinges[1].centre - part.hinges[0].centre).norm();
    let words = format!(
        "{}{}",
        bore(apart, units),
        either_way(apart, project.tolerances.as_ref().and_then(|t| t.length), units)
    );
    let tip = [from[0] + 0.5 * dx, from[1] + 0.5 * dy];
    // Up out of the part, to where nothing else is written.
    let top = part_top(page, tip);
    let long = format!("{words} between H1 and H2");
    let mut tried = Vec::new();
    for words in [&long, &words] {
        for by in [0.0, 5.0] {
            tried.extend(
                [(12.0, Hold::Start), (-12.0, Hold::End), (3.0, Hold::Start), (-3.0, Hold::End)]
                    .map(|knee| (words, knee, by)),
            );
        }
    }
    let area = |(words, (dx, hold), by): &(&String, (f64, Hold), f64)| {
        let width = FIGURE.width(words) + 1.0;
        let left = tip[0] + dx - if *hold == Hold::End { width } else { 0.0 };
        Area { left, top: top - by - 4.5, right: left + width, bottom: top - by + 0.5 }
    };
    let clear = tried.iter().find(|spot| page.is_clear(&area(spot).grown(0.5)));
    let free = || tried.iter().find(|spot| page.is_free(&area(spot).grown(1.0)));
    if let Some((words, (dx, hold), by)) = clear.or_else(free).or(tried.last()).copied() {
        leader(page, tip, [tip[0] + dx, top - by], hold, std::slice::from_ref(words));
    }
}

/// A height above everything drawn near a place.
fn part_top(page: &Page, tip: Place) -> f64 {
    let shapes = page.marks.iter().filter_map(|mark| match mark {
        crate::sheet::page::Mark::Shape { path, pen: Some(Pen { width, .. }), .. } if *width > 0.4 => path.area(),
        _ => None,
    });
    let near = shapes
        .filter(|area| area.left <= tip[0] && area.right >= tip[0] && area.top <= tip[1] && area.bottom >= tip[1]);
    near.filter(|area| area.width() < 0.9 * page.paper.width - 40.0).map(|area| area.top).fold(tip[1], f64::min) - 6.0
}

/// " ±0.020" of a size, or nothing where no tolerance is given.
pub(super) fn either_way(nominal: f64, tolerance: Option<f64>, units: Units) -> String {
    tolerance.map_or_else(String::new, |by| format!(" ±{}", plus_minus(nominal, by, units)))
}

/// Where the section is cut: through the first hinge, seen to the right.
fn section_marks(page: &mut Page, flat: &Flat, view: &View, [top, bottom]: [f64; 2], within: Area) {
    let Some(hinge) = flat.part.hinges.first() else { return };
    let x = view.place(flat.hinge(hinge))[0];
    for (y, away) in [(top, -1.0), (bottom, 1.0)] {
        let (near, far) = (y + 1.5 * away, y + 5.0 * away);
        page.line(&[[x, near], [x, far]], Pen::OUTLINE);
        page.line(&[[x, far], [x + 5.0, far]], Pen::THIN);
        arrow(page, [x + 6.5, far], [1.0, 0.0]);
        let y = far + if away < 0.0 { 1.0 } else { 1.2 };
        let places = [
            ([x - 1.2, y], Hold::End),
            ([x + 7.5, y], Hold::Start),
            ([x - 1.2, y + 3.6 * away], Hold::End),
            ([x + 7.5, y + 3.6 * away], Hold::Start),
        ];
        page.label_over_lines(&places, "X", FIGURE.bold(), within);
    }
}
