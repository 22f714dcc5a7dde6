//! A distance drawn as a dimension after ISO 129: line, arrowheads, figure.

use egui::{Align, Align2, Color32, Stroke, vec2};
use overarm_solver::{Analysis, Clearance, Point, Project, Rule, show_length};

use super::pen::{NARROW, Pen};
use crate::window::icons::paint_arrowhead;
use crate::window::theme::body_bold;

/// Draws the least distances where they occur: to ceiling and solids always, to the wall where it
/// is looked at or fails.
pub fn draw_clearances(pen: &Pen, project: &Project, analysis: &Analysis, picked: Option<Rule>) {
    let clearances = &analysis.clearances;
    let room = project.room.wanted_clearance();
    draw_all(pen, project, [(&clearances.panel, room), (&clearances.bars, room)]);
    let wall_fails = analysis.rules.iter().any(|f| f.rule == Rule::ClearsWall && f.holds == Some(false));
    if wall_fails || picked == Some(Rule::ClearsWall) {
        // Against the wall the panel may come no nearer than it hangs, less 1 mm.
        let panel = project.panel.hung.standoff - 1.0;
        let bars = project.bars.running_clearance();
        draw_all(pen, project, [(&clearances.panel_to_wall, panel), (&clearances.bars_to_wall, bars)]);
    }
}

fn draw_all(pen: &Pen, project: &Project, clearances: [(&Option<Clearance>, f64); 2]) {
    for (clearance, wanted) in clearances {
        if let Some(clearance) = clearance {
            let colour = if clearance.mm < wanted { pen.palette.fails } else { pen.palette.ink };
            draw(pen, project, clearance.points, clearance.mm, colour);
        }
    }
}

/// Draws a distance between two places, negative where it is the depth of an overlap.
pub fn draw(pen: &Pen, project: &Project, places: [Point; 2], mm: f64, colour: Color32) {
    let [moving, fixed] = places.map(|place| pen.at(place));
    let along = fixed - moving;
    let length = along.length();
    // From the millimetres: a gap of a hair has a direction, but no length on the screen.
    #[allow(clippy::cast_possible_truncation)] // a direction
    let direction = (places[1] - places[0])
        .try_normalize(0.0)
        .map_or(vec2(0.0, -1.0), |direction| vec2(direction.x as f32, -direction.y as f32));
    let stroke = Stroke::new(NARROW, colour);
    // With less room than two arrowheads need, they stand outside and point inwards.
    let outside = length < 30.0;
    let reach = if outside { direction * 22.0 } else { vec2(0.0, 0.0) };
    pen.painter.line_segment([moving - reach, fixed + reach], stroke);
    let turn = if outside { -1.0 } else { 1.0 };
    paint_arrowhead(pen.painter, fixed, direction * turn, colour);
    paint_arrowhead(pen.painter, moving, -direction * turn, colour);
    let text = if mm < 0.0 {
        format!("overlap {}", show_length(-mm, project.units()))
    } else {
        show_length(mm, project.units())
    };
    let (at, align) = if length < 64.0 {
        // Beyond the arrow, in the solid: there the figure hides nothing of the lift.
        (fixed + reach + direction * 8.0, outwards(direction))
    } else {
        // Beside the line's middle, on its right, or below a level one.
        let square = direction.rot90();
        let rightwards = if square.x.abs() > 0.2 { square.x < 0.0 } else { square.y < 0.0 };
        let aside = if rightwards { -square } else { square };
        (moving + along / 2.0 + aside * 8.0, outwards(aside))
    };
    pen.label(at, align, &text, body_bold(), colour);
}

/// The alignment that lets a text start at a place and lead away along a direction.
fn outwards(direction: egui::Vec2) -> Align2 {
    let pick = |value: f32| match value {
        v if v < -0.4 => Align::Max,
        v if v > 0.4 => Align::Min,
        _ => Align::Center,
    };
    Align2([pick(direction.x), pick(direction.y)])
}
