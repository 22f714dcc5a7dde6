//! The wall behind the lift: floor, the end of the wall, studs, the opening, screws of the wall bars.

use egui::{Align2, vec2};
use overarm_solver::{Point, Project, show_length};

use crate::window::sketch::{LineKind, Pen};
use crate::window::theme::{mix, small};

/// Breadth of a stud, mm: 1-1/2 in, as sawn and planed timber commonly is (common practice).
const STUD: f64 = 38.1;

/// Draws the wall.
pub fn draw(pen: &Pen, project: &Project) {
    let palette = pen.palette;
    let screen = pen.view.screen;
    pen.painter.rect_filled(screen, 0.0, palette.paper);
    let [left, right] = [screen.left_center(), screen.right_center()].map(|at| pen.view.mm_from_screen(at).x);
    let top = wall_top(project);
    for stud in studs(project, left, right) {
        for edge in [stud - 0.5 * STUD, stud + 0.5 * STUD] {
            pen.line(&[Point::new(edge, 0.0), Point::new(edge, top)], LineKind::Hidden, palette.hatch);
        }
        pen.line(&[Point::new(stud, 0.0), Point::new(stud, top)], LineKind::Centre, palette.hatch);
    }
    let ground = mix(palette.side, palette.hatch, 0.25);
    for (from, to) in [(-10_000.0, 0.0), (top, top + 10_000.0)] {
        let solid = super::boxed([left - 100.0, right + 100.0], [from, to]);
        let area = pen.area(&[solid.to_vec()]);
        pen.fill_area(&area, ground);
        pen.hatch_area(&area, palette.hatch);
    }
    for (height, name) in [(0.0, "Floor"), (top, "Ceiling")] {
        pen.line(&[Point::new(left, height), Point::new(right, height)], LineKind::Outline, palette.ink);
        let at = pen.at(Point::new(right, height));
        if screen.contains(at - vec2(1.0, 0.0)) {
            pen.label(at + vec2(-8.0, -10.0), Align2::RIGHT_CENTER, name, small(), palette.quiet);
        }
    }
    draw_opening(pen, project);
    draw_screws(pen, project);
}

/// Where the finished wall ends, mm above the floor.
fn wall_top(project: &Project) -> f64 {
    // The wall run: the outline's leading stretch at the wall's face.
    const ON_THE_FACE: f64 = 0.01;
    let run = project.room.outline.iter().take_while(|corner| corner.x.abs() <= ON_THE_FACE);
    run.map(|corner| corner.y).fold(0.0, f64::max)
}

/// Middles of the studs between two places along the wall.
fn studs(project: &Project, left: f64, right: f64) -> Vec<f64> {
    /// More would be a grey wall.
    const MOST: f64 = 400.0;
    let Some(studs) = &project.room.studs else { return Vec::new() };
    if studs.spacing <= 0.0 || (right - left) / studs.spacing > MOST {
        return Vec::new();
    }
    let mut number = ((left - studs.first) / studs.spacing).floor();
    let mut found = Vec::new();
    while studs.first + number * studs.spacing <= right {
        found.push(studs.first + number * studs.spacing);
        number += 1.0;
    }
    found
}

/// The range that is uncovered. How wide the opening is nobody said: it is drawn as wide as the panel.
fn draw_opening(pen: &Pen, project: &Project) {
    let Some(uncover) = &project.room.uncover else { return };
    let palette = pen.palette;
    let half = 0.5 * project.panel.width;
    let outline = super::boxed([-half, half], [uncover.bottom, uncover.top]);
    pen.fill(&[outline.to_vec()], mix(palette.paper, palette.quiet, 0.14));
    for y in [uncover.bottom, uncover.top] {
        pen.line(&[Point::new(-half, y), Point::new(half, y)], LineKind::Outline, palette.ink);
    }
    let name = uncover.name.as_deref().unwrap_or("to be uncovered");
    let text = format!("{name}, {} high", show_length(uncover.top - uncover.bottom, project.units()));
    let middle = pen.at(Point::new(0.0, 0.5 * (uncover.bottom + uncover.top)));
    pen.label(middle, Align2::CENTER_CENTER, &text, small(), palette.ink);
}

/// Centre marks of the screws along both wall bars, where they are given.
fn draw_screws(pen: &Pen, project: &Project) {
    let half = 0.5 * project.set_spacing();
    for y in screws(project) {
        for z in [-half, half] {
            let place = pen.at(Point::new(z, y));
            let stroke = egui::Stroke::new(1.0, pen.palette.ink);
            pen.painter.circle_stroke(place, 3.0, stroke);
            pen.painter.hline(place.x - 6.0..=place.x + 6.0, place.y, stroke);
            pen.painter.vline(place.x, place.y - 6.0..=place.y + 6.0, stroke);
        }
    }
}

/// Heights of the screws of a wall bar, from its lower end up; none where they are not all given.
fn screws(project: &Project) -> Vec<f64> {
    let given = |f: &overarm_solver::Fixings| Some((f.count?, f.spacing?, f.edge?));
    let Some((count, spacing, edge)) = project.fixings.as_ref().and_then(given) else { return Vec::new() };
    let linkage = &project.linkage;
    let bottom = linkage.wall_lower.y.min(linkage.wall_upper.y) - project.bars.wall_bar.lower_end;
    (0..count.min(100)).map(|number| bottom + edge + f64::from(number) * spacing).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;
    use overarm_solver::Studs;

    #[test]
    fn studs_stand_at_their_spacing_from_the_first() {
        let mut project = demo();
        assert!(studs(&project, -500.0, 500.0).is_empty(), "nobody said where studs are");
        project.room.studs = Some(Studs { spacing: 406.4, first: 100.0, more: overarm_solver::More::new() });
        let found: Vec<_> = studs(&project, -500.0, 1000.0).into_iter().filter(|z| *z >= -500.0).collect();
        assert_eq!(found.len(), 4);
        assert!((found[1] - 100.0).abs() < 1e-9 && (found[0] + 306.4).abs() < 1e-9, "{found:?}");
    }

    #[test]
    fn the_wall_ends_where_the_ceiling_begins() {
        assert!((wall_top(&demo()) - 2250.0).abs() < 1e-9);
    }
}
