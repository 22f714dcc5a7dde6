//! A distance drawn as a dimension after ISO 129: line, arrowheads, figure.

use egui::{Align2, Color32, Stroke, vec2};
use overarm_solver::{Clearance, Project, show_length};

use super::pen::{NARROW, Pen};
use crate::window::icons::paint_arrowhead;
use crate::window::theme::body_bold;

/// Draws the least distances of panel and bars where they occur.
pub fn draw_clearances(pen: &Pen, project: &Project, clearances: [Option<&Clearance>; 2]) {
    let wanted = project.room.wanted_clearance();
    for clearance in clearances.into_iter().flatten() {
        let colour = if clearance.mm < wanted { pen.palette.fails } else { pen.palette.ink };
        draw(pen, project, clearance, colour);
    }
}

fn draw(pen: &Pen, project: &Project, clearance: &Clearance, colour: Color32) {
    let [moving, fixed] = clearance.points.map(|place| pen.at(place));
    let along = fixed - moving;
    let length = along.length();
    let direction = if length > 0.1 { along / length } else { vec2(0.0, -1.0) };
    let stroke = Stroke::new(NARROW, colour);
    // With less room than two arrowheads need, they stand outside and point inwards.
    let outside = length < 30.0;
    let reach = if outside { direction * 22.0 } else { vec2(0.0, 0.0) };
    pen.painter.line_segment([moving - reach, fixed + reach], stroke);
    let turn = if outside { -1.0 } else { 1.0 };
    paint_arrowhead(pen.painter, fixed, direction * turn, colour);
    paint_arrowhead(pen.painter, moving, -direction * turn, colour);
    let text = show_length(clearance.mm, project.units());
    // Below the line's middle and to the right: the air side under a ceiling.
    let beside = if direction.x.abs() > 0.9 { vec2(0.0, 16.0) } else { vec2(10.0, 8.0) };
    let middle = moving + along / 2.0 + beside;
    let align = if direction.x.abs() > 0.9 { Align2::CENTER_CENTER } else { Align2::LEFT_CENTER };
    pen.label(middle, align, &text, body_bold(), colour);
}
