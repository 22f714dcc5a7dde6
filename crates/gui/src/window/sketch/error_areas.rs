//! Where errors of parts let the panel's corners lie at the pose shown: an area about each, enlarged so
//! that it can be seen, by a factor that is told and stays while the lift runs.

use egui::{Align2, Id, Role, Sense, Ui, WidgetInfo, vec2};
use overarm_solver::errors::CornerAreas;
use overarm_solver::errors::one_set::tolerances_of;
use overarm_solver::units::number;
use overarm_solver::{Analysis, Pose, Project, show_fine};

use super::pen::Pen;
use crate::window::theme::{mix, small};

/// The farthest that an enlarged shift reaches over the whole travel, points.
const REACH: f64 = 36.0;
/// Poses that the factor is chosen by.
const POSES: u32 = 9;

/// Draws the areas about the panel's corners.
pub fn draw(ui: &Ui, pen: &Pen, project: &Project, analysis: &Analysis, pose: &Pose) {
    let palette = pen.palette;
    let Some(tolerances) = project.tolerances.as_ref().and_then(tolerances_of) else {
        told(ui, pen, "Errors: give tolerances, and where they let the panel's corners lie is shown");
        return;
    };
    let Some(areas) = CornerAreas::new(project, &analysis.lift, pose, &tolerances) else {
        told(ui, pen, "Errors: all pivots are in line here");
        return;
    };
    let over_the_travel = (0..POSES).filter_map(|index| {
        let pose = analysis.pose_at(f64::from(index) / f64::from(POSES - 1));
        Some(CornerAreas::new(project, &analysis.lift, &pose, &tolerances)?.worst)
    });
    let farthest = over_the_travel.fold(areas.worst, f64::max);
    if farthest <= 0.0 {
        told(ui, pen, "Errors: the tolerances are nought");
        return;
    }
    let factor = factor(REACH / (farthest * f64::from(pen.view.points(1.0))));
    for (corner, outline) in areas.corners.iter().zip(&areas.outlines) {
        let outline: Vec<_> = outline.iter().map(|shift| corner + shift * factor).collect();
        // Of the panel, and darker than what it lies on.
        let colour = mix(palette.wood, palette.ink, 0.35);
        pen.fill(std::slice::from_ref(&outline), colour.gamma_multiply(0.35));
        pen.ring_of_width(&outline, colour, 1.5);
    }
    let drawn =
        if factor > 1.0 { format!("drawn {} times as large", number(factor, 0)) } else { "to scale".to_owned() };
    let worst = show_fine(areas.worst, project.units());
    let from = if pose.s > 0.0 { "off its path" } else { "off, a rest on the wall" };
    told(ui, pen, &format!("Errors let the panel's corners lie up to {worst} {from}, {drawn}"));
}

/// The last of 1, 2, 5 times a power of ten that is not above a value, and never less than 1.
fn factor(value: f64) -> f64 {
    if value <= 1.0 {
        return 1.0;
    }
    let power = 10_f64.powf(value.log10().floor());
    [5.0, 2.0, 1.0].into_iter().map(|step| step * power).find(|step| *step <= value).unwrap_or(1.0)
}

/// What is drawn, in words, in the lower left corner.
fn told(ui: &Ui, pen: &Pen, words: &str) {
    let at = pen.view.screen.left_bottom() + vec2(12.0, -12.0);
    let place = pen.label(at, Align2::LEFT_BOTTOM, words, small(), pen.palette.ink);
    let response = ui.interact(place, Id::unique("errors on the drawing"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, words));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_factor_is_round_and_never_makes_smaller() {
        for (value, round) in [(0.3, 1.0), (1.0, 1.0), (1.9, 1.0), (37.0, 20.0), (99.0, 50.0), (100.0, 100.0)] {
            assert!((factor(value) - round).abs() < 1e-9, "{value}");
        }
    }
}
