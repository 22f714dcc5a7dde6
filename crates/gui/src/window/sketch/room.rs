//! The room: solid stuff hatched under a wide outline, air as plain paper.

use egui::{Align2, vec2};
use nalgebra::Vector2;
use overarm_solver::{Point, Project, show_length};

use super::pen::{LineKind, NARROW, Pen};
use crate::window::icons;
use crate::window::theme::{mix, small};

/// Draws wall, floor, ceiling and what else is solid.
pub fn draw(pen: &Pen, project: &Project) {
    let palette = pen.palette;
    pen.painter.rect_filled(pen.view.screen, 0.0, palette.paper);
    let ground = mix(palette.side, palette.hatch, 0.25);

    let outline = endless(&project.room.outline, reach(pen, project));
    let solid = pen.area(&[closed_on_the_left(&outline)]);
    pen.fill_area(&solid, ground);
    pen.hatch_area(&solid, palette.hatch);
    pen.line(&outline, LineKind::Outline, palette.ink);

    for item in &project.room.solids {
        let area = pen.area(std::slice::from_ref(&item.outline));
        pen.fill_area(&area, ground);
        pen.hatch_area(&area, palette.hatch);
        pen.ring(&item.outline, LineKind::Outline, palette.ink);
        if let (Some(name), Some(place)) = (&item.name, middle(&item.outline)) {
            pen.label(pen.at(place), Align2::CENTER_CENTER, name, small(), palette.ink);
        }
    }
}

/// Marks what has to be free when the lift is parked, and where it is looked at from.
pub fn draw_uncover(pen: &Pen, project: &Project) {
    let Some(uncover) = &project.room.uncover else { return };
    let palette = pen.palette;
    let face = pen.at(Point::new(0.0, uncover.bottom));
    let bottom = face.y;
    let top = pen.at(Point::new(0.0, uncover.top)).y;
    let opening = egui::Rect::from_x_y_ranges(face.x - 14.0..=face.x - 1.0, top..=bottom);
    pen.painter.rect_filled(opening, 0.0, palette.paper);
    for y in [top, bottom] {
        pen.painter.hline(face.x - 14.0..=face.x - 1.0, y, egui::Stroke::new(1.5, palette.ink));
    }
    pen.painter.vline(face.x - 14.0, top..=bottom, egui::Stroke::new(NARROW, palette.ink));

    let units = project.units();
    let name = uncover.name.as_deref().unwrap_or("to be uncovered");
    let height = show_length(uncover.top - uncover.bottom, units);
    let middle = opening.left_center() - vec2(8.0, 0.0);
    let ground = mix(palette.side, palette.hatch, 0.25);
    pen.label_on(middle - vec2(0.0, 9.0), Align2::RIGHT_CENTER, name, small(), palette.ink, ground);
    pen.label_on(middle + vec2(0.0, 9.0), Align2::RIGHT_CENTER, &height, small(), palette.ink, ground);

    if let Some(eye) = uncover.eye {
        icons::paint_eye(pen.painter, pen.at(eye), palette.quiet);
    }
}

/// How far the outline has to go on for its ends to be out of sight, mm.
fn reach(pen: &Pen, project: &Project) -> f64 {
    let seen = f64::from(pen.view.screen.size().length()) / pen.view.camera.points_per_mm();
    let looked_at = pen.view.mm_from_screen(pen.view.screen.center());
    let farthest = project.room.outline.iter().map(|place| (place - looked_at).norm()).fold(0.0, f64::max);
    2.0 * (seen + farthest)
}

/// The outline with both ends extended straight on.
fn endless(outline: &[Point], reach: f64) -> Vec<Point> {
    let [first, second, ..] = outline else { return outline.to_vec() };
    let (before_last, last) = (outline[outline.len() - 2], outline[outline.len() - 1]);
    let on = |from: Point, to: Point| match (to - from).try_normalize(0.0) {
        Some(direction) => to + direction * reach,
        None => to,
    };
    let mut endless = vec![on(*second, *first)];
    endless.extend(outline);
    endless.push(on(before_last, last));
    endless
}

/// What lies to the left of a walk whose ends are far away.
fn closed_on_the_left(walk: &[Point]) -> Vec<Point> {
    let [start, .., end] = walk else { return Vec::new() };
    let Some(middle) = middle(&walk[1..walk.len() - 1]) else { return Vec::new() };
    let radius = 1.5 * (start - middle).norm().max((end - middle).norm());
    let angle = |place: &Point| (place.y - middle.y).atan2(place.x - middle.x);
    let from = angle(end);
    let mut turn = angle(start) - from;
    if turn <= 0.0 {
        turn += std::f64::consts::TAU;
    }
    let mut closed = walk.to_vec();
    // Steps of at most 30°, so that the far arc stays outside the circle of the ends.
    let steps = (turn / 0.5).ceil().max(1.0);
    let mut step = 0.0;
    while step <= steps {
        let at = from + turn * step / steps;
        closed.push(middle + Vector2::new(at.cos(), at.sin()) * radius);
        step += 1.0;
    }
    closed
}

fn middle(places: &[Point]) -> Option<Point> {
    if places.is_empty() {
        return None;
    }
    #[allow(clippy::cast_precision_loss)] // an outline has few corners
    let share = 1.0 / places.len() as f64;
    Some(Point::from(places.iter().map(|place| place.coords).sum::<Vector2<f64>>() * share))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whether a place lies within a closed outline, even-odd.
    fn within(outline: &[Point], place: Point) -> bool {
        let mut inside = false;
        for (from, to) in outline.iter().zip(outline.iter().cycle().skip(1)) {
            if (from.y > place.y) != (to.y > place.y)
                && place.x < from.x + (to.x - from.x) * (place.y - from.y) / (to.y - from.y)
            {
                inside = !inside;
            }
        }
        inside
    }

    #[test]
    fn wall_and_sloped_ceiling_are_solid_and_the_room_is_air() {
        let room = [Point::new(0.0, 0.0), Point::new(0.0, 2250.0), Point::new(2400.0, 3930.5)];
        let solid = closed_on_the_left(&endless(&room, 20_000.0));
        assert!(within(&solid, Point::new(-300.0, 1000.0)));
        assert!(within(&solid, Point::new(1200.0, 3500.0)));
        assert!(within(&solid, Point::new(-10.0, -3000.0)));
        assert!(!within(&solid, Point::new(300.0, 1000.0)));
        assert!(!within(&solid, Point::new(2400.0, 3800.0)));
    }

    #[test]
    fn a_floor_and_a_flat_ceiling_are_solid() {
        let room = [Point::new(3000.0, 0.0), Point::new(0.0, 0.0), Point::new(0.0, 2400.0), Point::new(3000.0, 2400.0)];
        let solid = closed_on_the_left(&endless(&room, 20_000.0));
        assert!(within(&solid, Point::new(1000.0, -500.0)));
        assert!(within(&solid, Point::new(1000.0, 2900.0)));
        assert!(!within(&solid, Point::new(2900.0, 1200.0)));
    }
}
