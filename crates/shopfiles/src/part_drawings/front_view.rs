//! The view from outside: outline, pockets, bores, screw holes, and what is measured in it.

use overarm_solver::{Mouth, Part, Project, Units};

use super::flat::{Flat, hole_letter};
use super::lengths::size;
use super::{labels, lowered};
use crate::sheet::dimension::{
    FIGURE, STEP, across, across_held, arrow, centre_cross, datum, leader, upright, upright_within,
};
use crate::sheet::figures::{bore, plus_minus};
use crate::sheet::page::{Area, Hold, Page};
use crate::sheet::path::{Place, View};
use crate::sheet::pen::Pen;
use crate::sheet::typeface::Style;

/// From the view to the lowest line of its name, mm.
const ABOVE: f64 = 14.6;
/// The letter of the view onto the edge (ISO 128-3).
pub(super) const EDGE_LETTER: &str = "Y";
/// From the view to the distance of an arm's pivots below it, mm.
const PIVOTS_BELOW: f64 = 9.5;
/// Pivots that lie this level, mm on the sheet, are level.
const LEVEL: f64 = 1.5;

/// White above it for its name, the key and what stands between them and the view, mm.
pub(super) fn above(part: &Part) -> f64 {
    #[allow(clippy::cast_precision_loss)] // a handful of lines
    let more = (name_lines(part) - 1) as f64;
    (ABOVE + more * Style::BODY.line_height() + Style::BODY.capital + 0.5).max(24.0)
}

fn name_lines(part: &Part) -> usize {
    1 + usize::from(part.datum.is_some()) + lowered::lines(part)
}

/// The view on its page.
pub(super) fn view(flat: &Flat, top_left: Place, scale: f64) -> View {
    View::new([top_left[0] - scale * flat.low.x, top_left[1] + scale * flat.high.y], scale)
}

/// Shape and dimensions; `names` come when all views are drawn.
pub(super) fn draw(page: &mut Page, flat: &Flat, project: &Project, view: &View, within: Area) {
    let units = project.units();
    let part = flat.part;
    let right = view.place(flat.high)[0];
    let bottom = view.place(flat.low)[1];
    lowered::fill(page, flat, view);
    shape(page, flat, view);
    // From the left end to each pivot, below; from the datum edge to each pivot, at the left.
    let corner = [view.place(flat.low)[0], bottom];
    let mut pivots: Vec<_> = part.hinges.iter().map(|hinge| (flat.hinge(hinge), part.offset(hinge))).collect();
    pivots.sort_by(|a, b| a.0.x.total_cmp(&b.0.x));
    if part.datum.is_some() {
        if let Some((lowest, _)) = pivots.first() {
            let words = size(lowest.x - flat.low.x, units);
            across_held(page, corner, view.place(*lowest), bottom + STEP, &words, Hold::End);
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
        // Beyond the dimension of level pivots.
        let from = if level_line(flat, view).is_some() { pivots.last().map(|(last, _)| last.x) } else { None };
        let middle = overarm_solver::Point::new(0.5 * (from.unwrap_or(flat.low.x) + flat.high.x), edge);
        let away = if flat.heads_up { [0.0, 1.0] } else { [0.0, -1.0] };
        datum(page, view.place(middle), away, "A");
    }
    let x = if part.datum.is_some() { corner[0] - 2.0 * STEP } else { corner[0] - STEP };
    let top = view.place(flat.high)[1];
    upright(page, [corner[0], top], [corner[0], bottom], x, &size(flat.high.y - flat.low.y, units));
    #[allow(clippy::cast_precision_loss)] // a handful of lines
    let mut y = top - ABOVE - (name_lines(part) - 1) as f64 * Style::BODY.line_height();
    page.text([corner[0], y], Hold::Start, "Seen from outside the set", Style::BODY.bold());
    y += Style::BODY.line_height();
    if part.datum.is_some() {
        page.text([corner[0], y], Hold::Start, "lower end left, upper end right", Style::BODY);
        y += Style::BODY.line_height();
    }
    lowered::key(page, project, part, [corner[0], y]);
    if let ([first, second], Some(words)) = (part.hinges.as_slice(), apart_words(project, part)) {
        let [first, second] = [first, second].map(|hinge| view.place(flat.hinge(hinge)));
        match level_line(flat, view) {
            // Not on the line of its axis (ISO 129-1).
            Some(y) => across(page, first, second, y, &words),
            None => between_pivots(page, [first, second]),
        }
    }
    section_marks(page, flat, view, [top, bottom], within);
    edge_mark(page, [corner[0], right], if flat.heads_up { (top, -1.0) } else { (bottom, 1.0) }, within);
}

/// What is written once all views are drawn, each thing off what lies there.
pub(super) fn names(page: &mut Page, flat: &Flat, project: &Project, view: &View, within: Area) {
    let part = flat.part;
    if let ([first, second], None, Some(words)) =
        (part.hinges.as_slice(), level_line(flat, view), apart_words(project, part))
    {
        apart_figure(page, [first, second].map(|hinge| view.place(flat.hinge(hinge))), &words, within);
    }
    for (index, hinge) in part.hinges.iter().enumerate() {
        let radius = 0.5 * view.scale * hinge.widest();
        labels::beside(page, view.place(flat.hinge(hinge)), radius, &hole_letter(index), within);
    }
    super::contours::draw(page, flat, view, within);
}

/// Height of the line that tells how far two level pivots are apart, mm; `None` where they are not level and it lies
/// between them.
fn level_line(flat: &Flat, view: &View) -> Option<f64> {
    let [first, second] = flat.part.hinges.as_slice() else { return None };
    let off = view.place(flat.hinge(first))[1] - view.place(flat.hinge(second))[1];
    let below = if flat.part.datum.is_some() { STEP } else { PIVOTS_BELOW };
    (off.abs() < LEVEL).then(|| view.place(flat.low)[1] + below)
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

/// "90.098 ±0.020": from hole to hole.
fn apart_words(project: &Project, part: &Part) -> Option<String> {
    let [first, second] = part.hinges.as_slice() else { return None };
    let units = project.units();
    let tolerance = project.tolerances.as_ref().and_then(|given| given.length);
    let apart = (second.centre - first.centre).norm();
    Some(format!("{}{}", bore(apart, units), either_way(apart, tolerance, units)))
}

/// Hole to hole, along the line between them.
fn between_pivots(page: &mut Page, [from, to]: [Place; 2]) {
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let long = dx.hypot(dy).max(1e-9);
    let along = [dx / long, dy / long];
    page.line(&[from, to], Pen::THIN);
    arrow(page, from, along.map(|part| -part));
    arrow(page, to, along);
}

/// Its figure, on a leader out of the part to where nothing else stands: up, or else down.
fn apart_figure(page: &mut Page, [from, to]: [Place; 2], words: &str, within: Area) {
    /// White between the leader and other words, with the frame of a datum's letter, mm.
    const OFF_WORDS: f64 = 2.0;
    let long = format!("{words} between H1 and H2");
    let mut tried = Vec::new();
    for (words, is_up) in [(long.as_str(), true), (words, true), (long.as_str(), false), (words, false)] {
        for share in [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8] {
            let tip = [from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])];
            let [top, bottom] = part_reach(page, tip);
            let heights = if is_up { [top - 6.0, top - 11.0] } else { [bottom + 10.5, bottom + 15.5] };
            for height in heights {
                for aside in [12.0, -12.0, 3.0, -3.0, 24.0, -24.0] {
                    let hold = if aside > 0.0 { Hold::Start } else { Hold::End };
                    tried.push((words, tip, [tip[0] + aside, height], hold));
                }
            }
        }
    }
    let area = |(words, _, knee, hold): &(&str, Place, Place, Hold)| {
        let width = FIGURE.width(words) + 1.0;
        let left = knee[0] - if *hold == Hold::End { width } else { 0.0 };
        Area { left, top: knee[1] - 4.5, right: left + width, bottom: knee[1] + 0.5 }
    };
    let is_led_free = |(_, tip, knee, _): &(&str, Place, Place, Hold)| {
        !page.texts().any(|text| text.area().grown(OFF_WORDS).is_crossed_by([*tip, *knee]))
    };
    let mut places = tried.iter().filter(|spot| within.holds(&area(spot)) && is_led_free(spot));
    let free = places.clone().find(|spot| page.is_free(&area(spot).grown(1.0)));
    let best = places.find(|spot| page.is_clear(&area(spot).grown(0.5)));
    if let Some((words, tip, knee, hold)) = best.or(free).or(tried.last()).copied() {
        leader(page, tip, knee, hold, &[words.to_owned()]);
    }
}

/// From above to below everything drawn about a place.
fn part_reach(page: &Page, tip: Place) -> [f64; 2] {
    let shapes = page.marks.iter().filter_map(|mark| match mark {
        crate::sheet::page::Mark::Shape { path, pen: Some(Pen { width, .. }), .. } if *width > 0.4 => path.area(),
        _ => None,
    });
    let is_near = |area: &Area| area.holds(&Area { left: tip[0], top: tip[1], right: tip[0], bottom: tip[1] });
    let near = shapes.filter(|area| is_near(area) && area.width() < 0.9 * page.paper.width - 40.0);
    near.fold([tip[1]; 2], |[top, bottom], area| [top.min(area.top), bottom.max(area.bottom)])
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
        let (beside, beyond) = (0.5 * labels::NAME.width("X") + 1.2, 3.6 * away);
        let (at_left, at_right) = (x - beside, x + 6.5 + beside);
        // Beside the corner, at the arrow's tip, then farther off, then within the corner.
        let places = [
            [at_left, far],
            [at_right, far],
            [at_left, far + beyond],
            [at_right, far + beyond],
            [x + beside, y + 3.0 * away],
            [at_left, y + 3.0 * away],
        ];
        labels::at_best(page, &places, "X", within);
    }
}

/// From where the edge is seen: an arrow onto it, with the letter of that view (ISO 128-3), where nothing else stands.
fn edge_mark(page: &mut Page, [left, right]: [f64; 2], (edge, away): (f64, f64), within: Area) {
    /// From the edge to the tip and to the tail, between places that are tried, and room of arrow and letter, mm.
    const TIP: f64 = 1.5;
    const TAIL: f64 = 9.5;
    const STEP: f64 = 2.0;
    const WIDE: f64 = 5.5;
    let (tip, tail) = (edge + TIP * away, edge + TAIL * away);
    let area = |x: f64| Area { left: x - 1.2, top: tip.min(tail) - 0.3, right: x + WIDE, bottom: tip.max(tail) + 0.3 };
    let mut places =
        std::iter::successors(Some(right - WIDE - 4.0), |x| Some(x - STEP)).take_while(|x| *x > left + 4.0);
    let x = places.find(|x| page.is_clear(&area(*x)) && within.holds(&area(*x))).unwrap_or(right - WIDE - 4.0);
    page.line(&[[x, tail], [x, tip]], Pen::OUTLINE);
    arrow(page, [x, tip], [0.0, -away]);
    let middle = [x + 1.3 + 0.5 * labels::NAME.width(EDGE_LETTER), tail - 1.4 * away];
    labels::at_best(page, &[middle], EDGE_LETTER, within);
}
