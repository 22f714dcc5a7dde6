//! What helps a drag: light lines of the snaps, and the faint map of where every geometric rule holds.

use egui::{Align2, Mesh, Rect, Shape, Stroke, Vec2, vec2};
use overarm_solver::Point;

use super::pen::{LineKind, NARROW, Pen};
use crate::session::{Hint, Map};
use crate::window::theme::small;

/// Strength of the map's tint: the drawing under it stays readable.
const TINT: f32 = 0.2;

/// Light lines to what a handle snaps to.
pub fn draw_hints(pen: &Pen, hints: &[Hint]) {
    for line in hints.iter().flat_map(|hint| &hint.lines) {
        pen.line(line, LineKind::Centre, pen.palette.accent);
    }
}

/// What holds in the tinted places of a drag's map.
pub const GEOMETRY_HOLDS: &str = "every geometric rule holds";
/// What holds in those of the map of drum or strap's end.
pub const NO_PUSH: &str = "the strap pulls within its limit all the way, without a push";

/// The map, its outline and what it means: what holds in its tinted places.
pub fn draw_map(pen: &Pen, map: &Map, what: &str) {
    let palette = pen.palette;
    let colour = palette.holds;
    let at = |column: usize, row: usize| pen.at(corner(map, column, row));
    let mut mesh = Mesh::default();
    for row in 0..map.side {
        // Runs of cells as one strip.
        let mut column = 0;
        while column < map.side {
            let run = (column..map.side).take_while(|column| map.holds(*column, row)).count();
            if run > 0 {
                let strip = Rect::from_two_pos(at(column, row), at(column + run, row + 1));
                mesh.add_colored_rect(strip, colour.gamma_multiply(TINT));
            }
            column += run.max(1);
        }
    }
    if !mesh.is_empty() {
        pen.painter.add(Shape::mesh(mesh));
    }
    // The border as a line of its own: a tint alone says nothing to everyone.
    let edge = Stroke::new(NARROW, colour);
    for row in 0..map.side {
        for column in 0..map.side {
            let own = map.holds(column, row);
            let right = column + 1 < map.side && map.holds(column + 1, row) != own;
            let above = row + 1 < map.side && map.holds(column, row + 1) != own;
            if right {
                pen.painter.line_segment([at(column + 1, row), at(column + 1, row + 1)], edge);
            }
            if above {
                pen.painter.line_segment([at(column, row + 1), at(column + 1, row + 1)], edge);
            }
        }
    }
    let words = match (map.holds_somewhere(), map.finished) {
        (true, true) => format!("Here {what}"),
        (true, false) => format!("Here {what}; being refined"),
        (false, true) => format!("No place found near here where {what}"),
        (false, false) => format!("Looking for places where {what}"),
    };
    // In the corner, where it covers nothing of the lift.
    let corner = pen.view.screen.left_bottom() + vec2(8.0, -8.0);
    let swatch = Rect::from_min_size(corner - vec2(0.0, 14.0), Vec2::splat(12.0));
    pen.painter.rect_filled(swatch, 0.0, palette.paper);
    pen.painter.rect(swatch, 0.0, colour.gamma_multiply(TINT), edge, egui::StrokeKind::Inside);
    pen.label(corner + vec2(18.0, 0.0), Align2::LEFT_BOTTOM, &words, small(), colour);
}

#[allow(clippy::cast_precision_loss)] // a hundred
fn corner(map: &Map, column: usize, row: usize) -> Point {
    map.least + nalgebra::Vector2::new(column as f64, row as f64) * map.size
}
