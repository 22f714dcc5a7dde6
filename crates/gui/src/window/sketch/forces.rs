//! Forces on the drawing: arrows to one scale over the whole travel, and the bar that says which.

use egui::{Align2, Id, Role, Sense, Stroke, Ui, WidgetInfo, vec2};
use overarm_solver::units::number;
use overarm_solver::{Analysis, ArrowOf, ForceArrow, Pose, Project};

use super::pen::Pen;
use crate::window::icons::paint_arrowhead;
use crate::window::theme::{mix, small};

/// The longest arrow of the travel, points.
const LONGEST: f64 = 130.0;
/// Shorter arrows are left out: a head without a shaft says nothing.
const SHORTEST: f32 = 12.0;
/// Half as wide again as an outline, with paper at both sides.
const SHAFT: f32 = 2.5;
const HALO: f32 = 6.0;

/// Draws the forces of the pose shown.
pub fn draw(ui: &Ui, pen: &Pen, project: &Project, analysis: &Analysis, pose: &Pose) {
    let arrows = ForceArrow::every(project, analysis, pose);
    let greatest = greatest(analysis, &arrows);
    if greatest <= 0.0 {
        return;
    }
    let points_per_newton = LONGEST / greatest;
    let mut told = Vec::new();
    for arrow in &arrows {
        let newtons = arrow.force.norm();
        told.push(format!("{} {} N", arrow.of.words(), number(newtons, 0)));
        draw_arrow(pen, arrow, points_per_newton);
    }
    scale_bar(ui, pen, points_per_newton, greatest, &told);
}

/// The greatest force of the whole travel, so that arrows can be compared while the lift runs.
fn greatest(analysis: &Analysis, arrows: &[ForceArrow]) -> f64 {
    let over_the_travel = analysis.forces.iter().flat_map(|forces| forces.poses.iter().flatten()).flat_map(|at| {
        let pull = at.tension.filter(|_| at.strap_rate > 0.0);
        at.hinges.into_iter().flatten().chain(pull)
    });
    arrows.iter().map(|arrow| arrow.force.norm()).chain(over_the_travel).fold(0.0, f64::max)
}

fn draw_arrow(pen: &Pen, arrow: &ForceArrow, points_per_newton: f64) {
    let palette = pen.palette;
    let newtons = arrow.force.norm();
    let length = (newtons * points_per_newton) as f32;
    if length < SHORTEST {
        return;
    }
    // Up on the screen is down in numbers.
    let along = vec2(arrow.force.x as f32, -arrow.force.y as f32) / newtons as f32;
    let tail = pen.at(arrow.at);
    let tip = tail + along * length;
    let neck = tip - along * 7.0;
    let colour = match arrow.of {
        ArrowOf::Weight(_) => palette.wood,
        ArrowOf::StrapPull => palette.ink,
        ArrowOf::Hinge(_) => palette.metal,
    };
    // Darker than what it lies on.
    let colour = mix(colour, palette.ink, 0.35);
    pen.painter.line_segment([tail, neck], Stroke::new(HALO, palette.paper.gamma_multiply(0.8)));
    pen.painter.line_segment([tail, neck], Stroke::new(SHAFT, colour));
    paint_arrowhead(pen.painter, tip, along, colour);
    pen.painter.circle(tail, 3.0, palette.paper, Stroke::new(1.5, colour));
    let align = match (along.x.abs() > along.y.abs(), along.x > 0.0, along.y > 0.0) {
        (true, true, _) => Align2::LEFT_CENTER,
        (true, false, _) => Align2::RIGHT_CENTER,
        (false, _, true) => Align2::CENTER_TOP,
        (false, _, false) => Align2::CENTER_BOTTOM,
    };
    let word = match arrow.of {
        ArrowOf::Weight(_) => "weight ",
        ArrowOf::StrapPull => "pull ",
        ArrowOf::Hinge(_) => "hinge ",
    };
    pen.label(tip + along * 4.0, align, &format!("{word}{} N", number(newtons, 0)), small(), colour);
}

/// A round force and how long it is drawn, in the corner; all forces in words for assistive
/// technology.
fn scale_bar(ui: &Ui, pen: &Pen, points_per_newton: f64, greatest: f64, told: &[String]) {
    const MARGIN: f32 = 12.0;
    let palette = pen.palette;
    let newtons = round_below(0.5 * greatest);
    let length = (newtons * points_per_newton) as f32;
    let right = pen.view.screen.right_bottom() + vec2(-MARGIN, -MARGIN);
    let left = right - vec2(length, 0.0);
    let stroke = Stroke::new(1.5, palette.ink);
    pen.painter.line_segment([left, right], stroke);
    for end in [left, right] {
        pen.painter.line_segment([end - vec2(0.0, 4.0), end + vec2(0.0, 4.0)], stroke);
    }
    let words = format!("{} N", number(newtons, 0));
    let above = right - vec2(0.0, 6.0);
    let text = pen.label(above, Align2::RIGHT_BOTTOM, &words, small(), palette.ink);
    let note = "Forces while it rises; hinges of the more loaded set";
    let note = pen.label(text.right_top() - vec2(0.0, 2.0), Align2::RIGHT_BOTTOM, note, small(), palette.quiet);
    let place = egui::Rect::from_two_pos(left, right).union(text).union(note);
    let response = ui.interact(place, Id::unique("forces on the drawing"), Sense::hover());
    let said = format!("Forces at the pose shown: {}. The bar is {words} long.", told.join(", "));
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, said.as_str()));
    response.on_hover_text(told.join("\n"));
}

/// The last of 1, 2, 5 times a power of ten that is not above a value.
fn round_below(value: f64) -> f64 {
    let power = 10_f64.powf(value.log10().floor());
    [5.0, 2.0, 1.0].into_iter().map(|step| step * power).find(|step| *step <= value * (1.0 + 1e-9)).unwrap_or(power)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bar_is_of_a_round_force() {
        for (value, round) in [(219.0, 200.0), (99.0, 50.0), (10.0, 10.0), (7.0, 5.0), (0.3, 0.2)] {
            assert!((round_below(value) - round).abs() < 1e-9, "{value}");
        }
    }
}
