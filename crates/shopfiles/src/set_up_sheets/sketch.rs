//! How a part lies in the vice: its shape with what is cut, the jaws, the work zero.

use overarm_solver::{Mouth, Part, Point, Vertex};

use super::operations::Operation;
use crate::part_drawings::Flat;
use crate::sheet::page::{Area, Hold, Page};
use crate::sheet::path::{Path, Place, View};
use crate::sheet::pen::{ACCENT, FAINT, METAL_LIGHT, PAPER, Pen};
use crate::sheet::typeface::Style;

/// Height that a sketch takes, mm.
pub(super) const HEIGHT: f64 = 42.0;
const JAW: f64 = 4.0;

pub(super) fn draw(page: &mut Page, area: Area, part: &Part, operation: &Operation) {
    let flat = Flat::new(part);
    let (long, wide) = (flat.high.x - flat.low.x, flat.high.y - flat.low.y);
    let up = operation.up.unwrap_or(Mouth::Outer);
    let across = if operation.up.is_some() { wide } else { part.depth };
    let room = [area.width() - 30.0, area.height() - 2.0 * JAW - 6.0];
    let scale = (room[0] / long).min(room[1] / across);
    let left = area.left + 0.5 * (area.width() - scale * long);
    let top = area.top + 0.5 * (area.height() - scale * across);
    // Turned over about its length: what was up lies down.
    let mirror = if up == Mouth::Outer { 1.0 } else { -1.0 };
    let middle = 0.5 * (flat.low.y + flat.high.y);
    let turned = |point: Point| Point::new(point.x - flat.low.x, mirror * (point.y - middle) + 0.5 * wide);
    let view = View::new([left, top + scale * across], scale);
    jaws(page, [left, top], [scale * long, scale * across], fixed_jaw_below(part, operation));
    if operation.up.is_none() {
        page.paint(
            Path::rectangle([left, top], [left + scale * long, top + scale * across]),
            METAL_LIGHT,
            Pen::OUTLINE,
        );
        for hole in &part.screw_holes {
            let u = flat.axis(hole)[0].x - flat.low.x;
            let place = view.place(Point::new(u, hole.z));
            page.paint(Path::circle(place, 0.5 * scale * hole.countersink.diameter), PAPER, Pen::THIN);
            page.draw(Path::circle(place, 0.5 * scale * hole.diameter), Pen::THIN);
        }
        zero(page, view.place(Point::origin()));
        return;
    }
    let outline = |vertices: &[Vertex]| -> Vec<Vertex> {
        let turned = flat.outline(vertices).into_iter().map(|v| Vertex { at: turned(v.at), bulge: mirror * v.bulge });
        turned.collect()
    };
    page.paint(view.outline(&outline(&part.outline)), METAL_LIGHT, Pen::OUTLINE);
    for pocket in part.pockets().iter().filter(|pocket| pocket.opens == up) {
        let path = pocket
            .islands
            .iter()
            .fold(view.outline(&outline(&pocket.contour)), |path, island| path.and(view.outline(&outline(island))));
        page.fill(path.clone(), PAPER);
        if let Some(box_of) = path.area() {
            page.hatch(path.clone(), box_of, 2.0, Pen::THIN.wide(0.13).coloured(FAINT));
        }
        page.draw(path, Pen::THIN);
    }
    for hinge in &part.hinges {
        let centre = turned(flat.hinge(hinge));
        page.paint(view.circle(centre, 0.5 * hinge.diameter()), PAPER, Pen::THIN);
    }
    if let Some(first) = part.hinges.first() {
        zero(page, view.place(turned(flat.hinge(first))));
    }
}

/// Whether the fixed jaw lies below: it is at the datum edge, and where the part stands on that edge at its inner face.
/// Of an arm either edge will do.
pub(super) fn fixed_jaw_below(part: &Part, operation: &Operation) -> bool {
    let Some(up) = operation.up else { return true };
    let Some([foot, _]) = part.datum else { return false };
    let flat = Flat::new(part);
    let is_low = flat.at(foot).y < 0.5 * (flat.low.y + flat.high.y);
    is_low == (up == Mouth::Outer)
}

fn jaws(page: &mut Page, [left, top]: Place, [width, height]: [f64; 2], fixed_below: bool) {
    let (above, below) = if fixed_below { ("moving jaw", "fixed jaw") } else { ("fixed jaw", "moving jaw") };
    for (y, name) in [(top - JAW, above), (top + height, below)] {
        let path = Path::rectangle([left + 0.1 * width, y], [left + 0.9 * width, y + JAW]);
        if let Some(area) = path.area() {
            page.hatch(path.clone(), area, 1.5, Pen::THIN.wide(0.13).coloured(FAINT));
        }
        page.draw(path, Pen::THIN);
        page.text([left + 0.9 * width + 1.5, y + 0.5 * JAW + 0.9], Hold::Start, name, Style::SMALL);
    }
}

/// The work zero: two opposite quarters filled.
fn zero(page: &mut Page, [x, y]: Place) {
    const RADIUS: f64 = 2.0;
    const ROUND: f64 = 0.552_284_75 * RADIUS;
    use crate::sheet::path::Step;
    page.paint(Path::circle([x, y], RADIUS), PAPER, Pen::THIN.coloured(ACCENT));
    for (dx, dy) in [(1.0, -1.0), (-1.0, 1.0)] {
        let steps = vec![
            Step::Move([x, y]),
            Step::Line([x + dx * RADIUS, y]),
            Step::Curve([x + dx * RADIUS, y + dy * ROUND], [x + dx * ROUND, y + dy * RADIUS], [x, y + dy * RADIUS]),
            Step::Close,
        ];
        page.fill(Path { steps }, ACCENT);
    }
}
