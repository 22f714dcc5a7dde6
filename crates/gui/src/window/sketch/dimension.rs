//! A distance drawn as a dimension after ISO 129: line, arrowheads, figure.

use egui::{Align, Align2, Color32, Pos2, Stroke, Vec2, vec2};
use overarm_solver::{Analysis, Clearance, Point, Project, Rule, show_length, shows_as_nothing};

use super::pen::{NARROW, Pen};
use crate::window::icons::paint_arrowhead;
use crate::window::theme::body_bold;

/// Draws the least distances where they occur: to ceiling and solids always, to the wall where it
/// is looked at or fails.
pub fn draw_clearances(pen: &Pen, project: &Project, analysis: &Analysis, picked: Option<Rule>) {
    let clearances = &analysis.clearances;
    let room = project.room.wanted_clearance();
    let mut drawn = Vec::new();
    draw_all(pen, project, [(&clearances.panel, room), (&clearances.bars, room)], &mut drawn);
    let wall_fails = analysis.rules.iter().any(|f| f.rule == Rule::ClearsWall && f.holds == Some(false));
    if wall_fails || picked == Some(Rule::ClearsWall) {
        // Against the wall the panel may come no nearer than it hangs, less 1 mm.
        let panel = project.panel.hung.standoff - 1.0;
        let bars = project.bars.running_clearance();
        draw_all(pen, project, [(&clearances.panel_to_wall, panel), (&clearances.bars_to_wall, bars)], &mut drawn);
    }
}

fn draw_all(pen: &Pen, project: &Project, clearances: [(&Option<Clearance>, f64); 2], drawn: &mut Vec<[Pos2; 2]>) {
    for (clearance, wanted) in clearances {
        if let Some(clearance) = clearance {
            let colour = if clearance.mm < wanted { pen.palette.fails } else { pen.palette.ink };
            let ends = clearance.points.map(|place| pen.at(place));
            let aside = aside_of(ends, drawn);
            drawn.push(ends.map(|end| end + aside));
            draw_aside(pen, project, clearance.points, clearance.mm, colour, aside);
        }
    }
}

/// Least distance at which two dimension lines are read as two, points.
const APART: f32 = 14.0;
/// How far a line moves that would lie nearer than that.
const ASIDE: f32 = 30.0;

/// How far a dimension line has to move, square to itself, so that it lies on none of the others.
fn aside_of(ends: [Pos2; 2], drawn: &[[Pos2; 2]]) -> Vec2 {
    let along = (ends[1] - ends[0]).normalized();
    let square = along.rot90();
    for other in drawn {
        let towards = (other[1] - other[0]).normalized();
        // Within about 20° of each other; a line without a length has no direction.
        if along.dot(towards).abs() < 0.94 {
            continue;
        }
        let [from, to] = other.map(|end| (end - ends[0]).dot(along));
        let shared = from.max(to).min((ends[1] - ends[0]).length()) - from.min(to).max(0.0);
        let distances = other.map(|end| (end - ends[0]).dot(square));
        let nearest = distances[0].abs().min(distances[1].abs());
        if shared > 0.0 && (nearest < APART || distances[0] * distances[1] < 0.0) {
            // Away from the side on which the other one lies.
            let side = if distances[0] + distances[1] > 0.0 { -1.0 } else { 1.0 };
            return side * ASIDE * square;
        }
    }
    Vec2::ZERO
}

/// Draws a distance between two places, negative where it is the depth of an overlap.
pub fn draw(pen: &Pen, project: &Project, places: [Point; 2], mm: f64, colour: Color32) {
    draw_aside(pen, project, places, mm, colour, Vec2::ZERO);
}

/// The same with its line moved aside, and extension lines from the places to it.
fn draw_aside(pen: &Pen, project: &Project, places: [Point; 2], mm: f64, colour: Color32, aside: Vec2) {
    let measured = places.map(|place| pen.at(place));
    if aside != Vec2::ZERO {
        // From just off the place to just beyond the line, as extension lines are drawn.
        let out = aside.normalized();
        for place in measured {
            pen.painter.line_segment([place + 2.0 * out, place + aside + 3.0 * out], Stroke::new(NARROW, colour));
        }
    }
    let [moving, fixed] = measured.map(|place| place + aside);
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
    let text = if shows_as_nothing(mm, project.units()) {
        "touches".to_owned()
    } else if mm < 0.0 {
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
        // Of a line that was moved, on the side to which it was moved.
        let beside = if rightwards { -square } else { square };
        let side = if aside == Vec2::ZERO { beside } else { aside.normalized() };
        (moving + along / 2.0 + side * 8.0, outwards(side))
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

#[cfg(test)]
mod tests {
    use egui::pos2;

    use super::*;

    #[test]
    fn a_line_on_another_moves_aside_and_one_that_is_free_stays() {
        let first = [pos2(100.0, 100.0), pos2(102.0, 20.0)];
        let beside = [pos2(104.0, 60.0), pos2(106.0, 20.0)];
        let aside = aside_of(beside, &[first]);
        assert!(aside.x > APART && aside.y.abs() < 5.0, "away from the first: {aside}");
        let moved = beside.map(|end| end + aside);
        assert_eq!(aside_of(moved, &[first]), Vec2::ZERO, "it is free now");
        for free in [
            [pos2(140.0, 100.0), pos2(140.0, 20.0)],
            [pos2(100.0, 300.0), pos2(102.0, 200.0)],
            [pos2(60.0, 60.0), pos2(160.0, 60.0)],
            [pos2(100.0, 100.0), pos2(100.0, 100.0)],
        ] {
            assert_eq!(aside_of(free, &[first]), Vec2::ZERO, "{free:?}");
        }
    }
}
