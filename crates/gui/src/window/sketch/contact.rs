//! Places to look at: where the fold stops, and what the picked rule is about.

use egui::{Align2, Shape, Stroke, vec2};
use overarm_solver::{Analysis, Rule, RuleFinding};

use super::pen::Pen;
use crate::window::icons::Standing;
use crate::window::theme::small;

/// Share of the travel within which the contact is lit: a degree or so of the lower arm.
const AT_CONTACT: f64 = 0.01;

/// Marks where the parts touch that stop the fold: lit when they touch, small before.
pub fn draw_stop(pen: &Pen, analysis: &Analysis, travel: f64) {
    let Some(contact) = &analysis.stop.contact else { return };
    let at = pen.at(contact.points[1]);
    if (contact.pose.s - travel).abs() <= AT_CONTACT {
        let colour = analysis
            .rules
            .iter()
            .find(|finding| finding.rule == Rule::StopsOnFold)
            .map_or(pen.palette.ink, |finding| Standing::of(finding).colour(&pen.palette));
        pen.painter.circle_filled(at, 16.0, colour.gamma_multiply(0.25));
        pen.painter.circle_stroke(at, 16.0, Stroke::new(2.0, colour));
        pen.painter.circle_filled(at, 3.5, colour);
        let [first, second] = contact.parts.map(overarm_solver::PartName::words);
        let text = format!("{first} touches {second}");
        // Up and to the left lies the air under the ceiling; the panel is on the other side.
        pen.label(at + vec2(-14.0, -22.0), Align2::RIGHT_CENTER, &text, small(), colour);
    } else {
        let size = 4.0;
        let diamond = [vec2(0.0, -size), vec2(size, 0.0), vec2(0.0, size), vec2(-size, 0.0)];
        let corners = diamond.iter().map(|corner| at + *corner).collect();
        pen.painter.add(Shape::convex_polygon(corners, pen.palette.paper, Stroke::new(1.25, pen.palette.quiet)));
    }
}

/// Lights the places of a finding.
pub fn draw_places(pen: &Pen, finding: &RuleFinding) {
    let standing = Standing::of(finding);
    let colour = standing.colour(&pen.palette);
    for place in &finding.points {
        let at = pen.at(*place);
        pen.painter.circle_filled(at, 11.0, colour.gamma_multiply(0.22));
        pen.painter.circle_stroke(at, 11.0, Stroke::new(2.0, colour));
    }
}
