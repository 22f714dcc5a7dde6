//! The view onto the edge that screws go in from: layers, seats as hidden edges, screw holes round.

use overarm_solver::{Edge, Project, StepKind, Vertex};

use super::flat::{Flat, screw_letter};
use super::front_view::EDGE_LETTER;
use super::labels;
use super::lengths::size;
use crate::sheet::dimension::{STEP, across, centre_cross, datum, upright};
use crate::sheet::page::{Area, Hold, Page};
use crate::sheet::path::{Path, Place};
use crate::sheet::pen::Pen;
use crate::sheet::typeface::Style;

/// From the dimension of the depth to the datum beyond it, mm.
const DATUM_BEYOND: f64 = 5.5;

/// From the view to its name, mm: beyond the centre lines.
const ABOVE: f64 = 4.6;

/// `below` says whether it lies below the front view; its dimensions stand on the other side.
pub(super) fn draw(page: &mut Page, flat: &Flat, project: &Project, [left, top]: Place, scale: f64, below: bool) {
    let units = project.units();
    let part = flat.part;
    let deep = scale * part.depth;
    let at = |u: f64, z: f64| at(flat, [left, top], scale, u, z);
    for layer in &part.layers {
        for piece in &layer.pieces {
            let [from, to] = flat.reach(piece);
            page.draw(Path::rectangle(at(from, layer.z[0]), at(to, layer.z[1])), Pen::OUTLINE);
        }
    }
    // Upright edges of what stands over the laps, where nothing lies before them.
    for layer in part.cut() {
        for u in upright_edges(flat, &layer.pieces) {
            page.line(&[at(u, layer.z[0]), at(u, layer.z[1])], Pen::OUTLINE);
        }
    }
    for hinge in &part.hinges {
        let u = flat.hinge(hinge).x;
        for step in hinge.steps.iter().filter(|step| step.kind != StepKind::LeadIn) {
            let half = 0.5 * step.diameter[0];
            page.draw(Path::rectangle(at(u - half, step.z[0]), at(u + half, step.z[1])), Pen::HIDDEN);
        }
        let beyond = 3.0 / scale;
        page.line(&[at(u, hinge.low() - beyond), at(u, hinge.high() + beyond)], Pen::CENTRE);
    }
    let away = if below { 1.0 } else { -1.0 };
    let near = if below { top + deep } else { top };
    let corner = [left, near];
    let mut holes: Vec<_> = part.screw_holes.iter().map(|hole| (flat.axis(hole)[0].x, hole)).collect();
    holes.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut y = near + STEP * away;
    for (u, hole) in &holes {
        let place = at(*u, hole.z);
        page.draw(Path::circle(place, 0.5 * scale * hole.countersink.diameter), Pen::OUTLINE);
        page.draw(Path::circle(place, 0.5 * scale * hole.diameter), Pen::OUTLINE);
        centre_cross(page, place, 0.5 * scale * hole.countersink.diameter);
        across(page, corner, place, y, &size(u - flat.low.x, units));
        y += STEP * away;
    }
    let end = at(flat.high.x, 0.0)[0];
    across(page, corner, [end, near], y, &size(flat.high.x - flat.low.x, units));
    upright(page, [end, top], [end, top + deep], end + STEP, &size(part.depth, units));
    if let Some(hole) = part.screw_holes.first() {
        let face = at(flat.low.x, 0.0);
        let line = at(flat.axis(hole)[0].x, hole.z);
        upright(page, face, line, left - STEP, &size(hole.z, units));
    }
    // The inner face, on its extension line beyond the dimension of the depth.
    let (face, up) = if flat.heads_up { (top, -1.0) } else { (top + deep, 1.0) };
    let foot = [end + STEP + DATUM_BEYOND, face];
    page.line(&[[end + STEP + 2.0, face], [foot[0] + 2.5, face]], Pen::THIN);
    datum(page, foot, [0.0, up], "B");
    let caption = if below { top - ABOVE } else { top + deep + ABOVE + Style::BODY.capital };
    let letter = page.text([left, caption], Hold::Start, EDGE_LETTER, Style::BODY.bold());
    let words = if flat.heads_up { "seen from above, inner face up" } else { "seen from below, inner face down" };
    page.text([letter.right + 2.5, caption], Hold::Start, words, Style::BODY);
}

/// Where walls of a layer meet in a sharp edge that is seen, along the stock.
fn upright_edges(flat: &Flat, pieces: &[Vec<Vertex>]) -> Vec<f64> {
    /// Two walls meet in an edge where they turn by more than this, radians; less is a tangent.
    const SHARP: f64 = 0.2;
    /// Beside an edge, mm, and how far a wall may fall off there.
    const BESIDE: f64 = 0.01;
    const FALLS: f64 = 0.2;
    // Towards whoever looks.
    let toward = if flat.heads_up { 1.0 } else { -1.0 };
    let nearest = |u: f64| {
        let stretches = pieces.iter().flat_map(|piece| flat.cut(piece, u));
        stretches.flatten().map(|v| toward * v).fold(f64::NEG_INFINITY, f64::max)
    };
    let mut found = Vec::new();
    for piece in pieces {
        let edges: Vec<Edge> = Edge::of(piece).collect();
        let before = edges.iter().cycle().skip(edges.len().saturating_sub(1));
        for (edge, before) in edges.iter().zip(before) {
            if before.heading(1.0).angle(&edge.heading(0.0)) < SHARP {
                continue;
            }
            let at = flat.at(edge.from);
            let is_seen = |u: f64| (nearest(u) - toward * at.y).abs() < FALLS;
            if is_seen(at.x - BESIDE) || is_seen(at.x + BESIDE) {
                found.push(at.x);
            }
        }
    }
    found
}

/// Names of the screw holes, off what is drawn there.
pub(super) fn names(page: &mut Page, flat: &Flat, top_left: Place, scale: f64, within: Area) {
    for hole in &flat.part.screw_holes {
        let place = at(flat, top_left, scale, flat.axis(hole)[0].x, hole.z);
        labels::beside(page, place, 0.5 * scale * hole.countersink.diameter, &screw_letter(hole), within);
    }
}

/// A place of the view: along the stock, and off the inner face.
fn at(flat: &Flat, [left, top]: Place, scale: f64, u: f64, z: f64) -> Place {
    // From above the outer face lies below, from below it lies above.
    let z = if flat.heads_up { z } else { flat.part.depth - z };
    [left + scale * (u - flat.low.x), top + scale * z]
}
