//! Where hands and fingers are caught, marked on the drawing: quietly where the gap is wide at the pose
//! shown, and told where it is closing on somebody.

use egui::{Align2, Id, Role, Sense, Stroke, Ui, WidgetInfo, vec2};
use overarm_solver::{Pinch, Pose, Project};

use super::pen::{NARROW, Pen};
use crate::window::theme::small;

/// Half of a mark, points.
const HALF: f32 = 5.0;

/// Draws the marks; words only for the gaps that are too small at the pose shown.
pub fn draw(ui: &Ui, pen: &Pen, project: &Project, found: &[Pinch], pose: &Pose) {
    for (index, pinch) in found.iter().enumerate() {
        let closing = (pinch.s[0]..=pinch.s[1]).contains(&pose.s);
        let colour = if closing { pen.palette.near } else { pen.palette.quiet };
        let [one, other] = pinch.points.map(|point| pen.at(point));
        let middle = one + (other - one) / 2.0;
        let stroke = Stroke::new(if closing { 2.0 } else { NARROW }, colour);
        // Two jaws towards each other, across the gap.
        let apart = other - one;
        let along = if apart.length() > 1.0 { apart.normalized() } else { vec2(1.0, 0.0) };
        let across = along.rot90();
        for (jaw, towards) in [(one, along), (other, -along)] {
            let tip = if apart.length() > 2.0 * HALF { jaw } else { middle - towards * HALF };
            for side in [-1.0, 1.0] {
                pen.painter.line_segment([tip, tip - towards * HALF + across * (side * HALF)], stroke);
            }
        }
        let region = egui::Rect::from_center_size(middle, egui::Vec2::splat(4.0 * HALF));
        let response = ui.interact(region, Id::unique(("pinch", index)), Sense::hover());
        let said = pinch.sentence(project.units());
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, said.as_str()));
        response.on_hover_text(said);
        // Beside its mark or not at all: what has no room is told by the page of figures and under the pointer.
        if closing {
            let size = pen.painter.layout_no_wrap(pinch.body.words().to_owned(), small(), colour).size();
            let beside = |side: f32, align: Align2| (middle + vec2(side, 0.0), align);
            let places = [beside(10.0, Align2::LEFT_CENTER), beside(-10.0, Align2::RIGHT_CENTER)];
            let is_free = |(at, align): &(egui::Pos2, Align2)| pen.is_free(align.anchor_size(*at, size).expand(4.0));
            if let Some((at, align)) = places.into_iter().find(is_free) {
                pen.label(at, align, pinch.body.words(), small(), colour);
            }
        }
    }
}
