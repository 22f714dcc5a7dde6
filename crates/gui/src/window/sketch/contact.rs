//! Places to look at: where the fold stops, and what the picked rule is about.

use egui::{Align2, Color32, Shape, Stroke, vec2};
use overarm_solver::{Analysis, Lift, PartName, Point, Pose, Project, Rule, RuleFinding, StopKind, show_length};

use super::dimension;
use super::lift::stadium;
use super::pen::Pen;
use crate::window::icons::Standing;
use crate::window::theme::small;

/// Share of the travel within which a pose counts as the one that is told about: a degree or so of
/// the lower arm.
const AT_POSE: f64 = 0.01;

/// How far a contact may lie behind parked and be at it, radians: what a travel is typed to.
const BEYOND: f64 = 0.1 * std::f64::consts::PI / 180.0;

/// Lights the faces that stop the fold when they touch; before, marks the place.
pub fn draw_stop(pen: &Pen, project: &Project, analysis: &Analysis, pose: &Pose) {
    let Some(contact) = &analysis.stop.contact else { return };
    let has_face = analysis.stop.face > 0.0;
    let touch = if has_face { nalgebra::center(&contact.points[0], &contact.points[1]) } else { contact.points[1] };
    let at = pen.at(touch);
    if (contact.pose.s - pose.s).abs() <= AT_POSE {
        // A contact that lies beyond the travel asked for is not reached.
        let beyond = contact.turn.abs() - analysis.travel.turn.abs() > BEYOND;
        let colour = if beyond {
            pen.palette.quiet
        } else {
            analysis
                .rules
                .iter()
                .find(|finding| finding.rule == Rule::StopsOnFold)
                .map_or(pen.palette.ink, |finding| Standing::of(finding).colour(&pen.palette))
        };
        pen.painter.circle_filled(at, REACH, colour.gamma_multiply(0.15));
        pen.painter.circle_stroke(at, REACH, Stroke::new(1.5, colour));
        if has_face {
            pen.line_of_width(&contact.points, colour, 3.5);
        } else {
            for part in contact.parts {
                if let Some(outline) = outline_of(&analysis.lift, &contact.pose, part) {
                    face(pen, &outline, touch, colour);
                }
            }
        }
        let [first, second] = contact.parts.map(PartName::words);
        // The parts of the others say it already.
        let says_more = |kind: &StopKind| matches!(kind, StopKind::NoseOnFlank | StopKind::Land | StopKind::Shoulder);
        let how = analysis.stop.kind.filter(says_more).map_or_else(String::new, |kind| format!(", {}", kind.words()));
        let length = |mm: f64| show_length(mm, project.units());
        let line = match analysis.stop.line_length {
            Some(depth) if has_face => format!(", a face of {} × {}", length(analysis.stop.face), length(depth)),
            Some(depth) => format!(", a line of {}", length(depth)),
            None => String::new(),
        };
        let text = if beyond {
            format!("{first} would touch {second} here, after {:.1}°", contact.turn.abs().to_degrees())
        } else {
            format!("{first} touches {second}{how}{line}")
        };
        // Up and to the left lies the air under the ceiling; the panel is on the other side.
        pen.label(at + vec2(-14.0, -22.0), Align2::RIGHT_CENTER, &text, small(), colour);
    } else {
        let size = 4.0;
        let diamond = [vec2(0.0, -size), vec2(size, 0.0), vec2(0.0, size), vec2(-size, 0.0)];
        let corners = diamond.iter().map(|corner| at + *corner).collect();
        pen.painter.add(Shape::convex_polygon(corners, pen.palette.paper, Stroke::new(1.25, pen.palette.quiet)));
    }
}

/// How far around a contact its faces are lit, points.
const REACH: f32 = 16.0;

/// The stretch of an outline about a contact, heavy.
fn face(pen: &Pen, outline: &[Point], contact: Point, colour: Color32) {
    let reach = f64::from(REACH) / pen.view.camera.points_per_mm();
    for (from, to) in outline.iter().zip(outline.iter().cycle().skip(1)) {
        // Where the edge enters and leaves the circle about the contact.
        let (edge, out) = (to - from, from - contact);
        let (a, b, c) = (edge.norm_squared(), edge.dot(&out), out.norm_squared() - reach * reach);
        let root = b * b - a * c;
        if a > 0.0 && root > 0.0 {
            let [enters, leaves] = [-1.0, 1.0].map(|sign| ((-b + sign * root.sqrt()) / a).clamp(0.0, 1.0));
            if leaves > enters {
                pen.line_of_width(&[from + edge * enters, from + edge * leaves], colour, 3.5);
            }
        }
    }
}

/// Lights the two parts of the lift that come nearest to each other, and what they have in common
/// where they overlap; when that rule is picked or fails.
pub fn draw_own(pen: &Pen, project: &Project, analysis: &Analysis, pose: &Pose, picked: Option<Rule>) {
    let Some(finding) = analysis.rules.iter().find(|finding| finding.rule == Rule::ClearsItself) else { return };
    let Some(worst) = analysis.own.first() else { return };
    let is_picked = picked == Some(Rule::ClearsItself);
    if !is_picked && finding.holds != Some(false) {
        return;
    }
    let colour = Standing::of(finding).colour(&pen.palette);
    let outlines: Vec<_> = worst.parts.into_iter().filter_map(|part| outline_of(&analysis.lift, pose, part)).collect();
    if is_picked {
        for outline in &outlines {
            pen.fill(std::slice::from_ref(outline), colour.gamma_multiply(0.16));
            pen.ring_of_width(outline, colour, 2.5);
        }
    }
    if let [first, second] = &outlines[..]
        && worst.mm < 0.0
    {
        let common = in_common(first, second);
        pen.fill(std::slice::from_ref(&common), colour.gamma_multiply(0.8));
        pen.ring_of_width(&common, colour, 2.0);
    }
    if is_picked && (worst.s - pose.s).abs() <= AT_POSE {
        dimension::draw(pen, project, worst.points, worst.mm, colour);
    }
}

/// A part's whole outline, side view; convex.
fn outline_of(lift: &Lift, pose: &Pose, part: PartName) -> Option<Vec<Point>> {
    match part {
        PartName::Panel => Some(lift.panel_corners(pose).to_vec()),
        PartName::WallBar => Some(lift.wall_bar_corners().to_vec()),
        PartName::PanelBar => Some(lift.panel_bar_corners(pose).to_vec()),
        PartName::LowerArm => Some(stadium(lift.lower_arm_axis(pose), lift.lower_arm_radius())),
        PartName::UpperArm => Some(stadium(lift.upper_arm_axis(pose), lift.upper_arm_radius())),
        PartName::Room | PartName::Drum | PartName::Strap => None,
    }
}

/// What two convex counter-clockwise outlines have in common (Sutherland and Hodgman, 1974).
fn in_common(first: &[Point], second: &[Point]) -> Vec<Point> {
    let mut kept = first.to_vec();
    for (from, to) in second.iter().zip(second.iter().cycle().skip(1)) {
        let inwards = |place: &Point| (to - from).perp(&(place - from));
        let mut next = Vec::with_capacity(kept.len() + 2);
        for (a, b) in kept.iter().zip(kept.iter().cycle().skip(1)) {
            let (at_a, at_b) = (inwards(a), inwards(b));
            if at_a >= 0.0 {
                next.push(*a);
            }
            if (at_a >= 0.0) != (at_b >= 0.0) {
                next.push(a + (b - a) * (at_a / (at_a - at_b)));
            }
        }
        kept = next;
    }
    kept
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

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, y: f64, side: f64) -> Vec<Point> {
        [[0.0, 0.0], [side, 0.0], [side, side], [0.0, side]].map(|[a, b]| Point::new(x + a, y + b)).to_vec()
    }

    #[test]
    fn what_two_squares_have_in_common() {
        let common = in_common(&square(0.0, 0.0, 10.0), &square(7.0, 6.0, 10.0));
        assert_eq!(common.len(), 4);
        for corner in square(0.0, 0.0, 1.0) {
            let corner = Point::new(7.0 + 3.0 * corner.x, 6.0 + 4.0 * corner.y);
            assert!(common.iter().any(|found| (found - corner).norm() < 1e-9), "{corner} is not in {common:?}");
        }
        assert!(in_common(&square(0.0, 0.0, 1.0), &square(5.0, 0.0, 1.0)).is_empty());
    }

    #[test]
    fn every_part_that_can_come_near_another_has_a_convex_outline() {
        let analysis = overarm_solver::analyse(&crate::session::demo(), &overarm_solver::Options::default());
        let pose = analysis.pose_at(0.6);
        for part in analysis.own.iter().flat_map(|own| own.parts) {
            let outline = outline_of(&analysis.lift, &pose, part).expect("it has an outline");
            let count = outline.len();
            for index in 0..count {
                let [a, b, c] = [0, 1, 2].map(|next| outline[(index + next) % count]);
                assert!((b - a).perp(&(c - b)) > -1e-6, "{part:?}");
            }
        }
    }
}
