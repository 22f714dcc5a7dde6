//! Forces on the drawing: arrows to one scale over the whole travel, and the bar that says which.

use egui::{Align2, Color32, Id, Pos2, Rect, Role, Sense, Stroke, Ui, Vec2, WidgetInfo, vec2};
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
    let mut shafts = Vec::new();
    for arrow in &arrows {
        told.push(format!("{} {} N", arrow.of.words(), number(arrow.force.norm(), 0)));
        shafts.extend(Shaft::of(pen, arrow, points_per_newton));
    }
    for shaft in &shafts {
        shaft.draw(pen);
    }
    // Words last: they stand clear of every arrow.
    for shaft in &shafts {
        shaft.name(pen, &shafts);
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

/// An arrow on the screen.
struct Shaft {
    tail: Pos2,
    tip: Pos2,
    along: Vec2,
    colour: Color32,
    words: String,
}

impl Shaft {
    /// `None` where it would be too short to be one.
    fn of(pen: &Pen, arrow: &ForceArrow, points_per_newton: f64) -> Option<Self> {
        let palette = pen.palette;
        let newtons = arrow.force.norm();
        let length = (newtons * points_per_newton) as f32;
        if length < SHORTEST {
            return None;
        }
        // Up on the screen is down in numbers.
        let along = vec2(arrow.force.x as f32, -arrow.force.y as f32) / newtons as f32;
        let tail = pen.at(arrow.at);
        let (colour, word) = match arrow.of {
            ArrowOf::Weight(_) => (palette.wood, "weight"),
            ArrowOf::StrapPull => (palette.ink, "pull"),
            ArrowOf::Hinge(_) => (palette.metal, "hinge"),
        };
        // Darker than what it lies on.
        let colour = mix(colour, palette.ink, 0.35);
        Some(Self {
            tail,
            tip: tail + along * length,
            along,
            colour,
            words: format!("{word} {} N", number(newtons, 0)),
        })
    }

    fn draw(&self, pen: &Pen) {
        let neck = self.tip - self.along * 7.0;
        pen.painter.line_segment([self.tail, neck], Stroke::new(HALO, pen.palette.paper.gamma_multiply(0.8)));
        pen.painter.line_segment([self.tail, neck], Stroke::new(SHAFT, self.colour));
        paint_arrowhead(pen.painter, self.tip, self.along, self.colour);
        pen.painter.circle(self.tail, 3.0, pen.palette.paper, Stroke::new(1.5, self.colour));
    }

    /// Its figure at its tip, or as near to it as neither another word nor an arrow stands; a thin line
    /// leads there.
    fn name(&self, pen: &Pen, all: &[Self]) {
        let galley = pen.painter.layout_no_wrap(self.words.clone(), small(), self.colour);
        let is_free = |place: &Rect| {
            pen.is_free(*place) && all.iter().all(|other| !place.expand(3.0).intersects_segment(other.tail, other.tip))
        };
        let place = places_about(self.tip, self.along, galley.size()).find(is_free);
        let place = place.unwrap_or_else(|| around(self.tip, self.along, galley.size(), NEAREST));
        let end = place.clamp(self.tip);
        if (end - self.tip).length() > 2.0 * NEAREST {
            pen.painter.line_segment([self.tip, end], Stroke::new(1.0, self.colour.gamma_multiply(0.6)));
        }
        pen.label(place.min, Align2::LEFT_TOP, &self.words, small(), self.colour);
    }
}

/// From an arrow's tip to its figure where nothing is in the way, points.
const NEAREST: f32 = 5.0;

/// Places for a figure about a tip: the nearest first, and of those that which goes on with the arrow.
fn places_about(tip: Pos2, along: Vec2, size: Vec2) -> impl Iterator<Item = Rect> {
    const STEPS: u8 = 12;
    const TURNS: u8 = 16;
    let turns = (0..TURNS).map(|turn| {
        let half = f32::from(turn.div_ceil(2));
        let side = if turn % 2 == 0 { 1.0 } else { -1.0 };
        side * half * std::f32::consts::TAU / f32::from(TURNS)
    });
    (0..STEPS).flat_map(move |step| {
        let away = NEAREST + 13.0 * f32::from(step);
        turns.clone().map(move |turn| around(tip, egui::emath::Rot2::from_angle(turn) * along, size, away))
    })
}

/// A rectangle of a size whose edge lies so far from a place in a direction.
fn around(place: Pos2, direction: Vec2, size: Vec2, away: f32) -> Rect {
    let half = 0.5 * size;
    // As far as it takes to leave the rectangle that way.
    let out = (half.x / direction.x.abs().max(1e-6)).min(half.y / direction.y.abs().max(1e-6));
    Rect::from_center_size(place + direction * (out + away), size)
}

/// Whether a segment passes through a rectangle.
trait Passed {
    fn intersects_segment(&self, from: Pos2, to: Pos2) -> bool;
}

impl Passed for Rect {
    fn intersects_segment(&self, from: Pos2, to: Pos2) -> bool {
        // Clipped side by side (Liang and Barsky).
        let by = to - from;
        let mut kept = [0.0_f32, 1.0];
        for (start, along, least, most) in
            [(from.x, by.x, self.left(), self.right()), (from.y, by.y, self.top(), self.bottom())]
        {
            if along.abs() < 1e-6 {
                if start < least || start > most {
                    return false;
                }
                continue;
            }
            let ends = [(least - start) / along, (most - start) / along];
            kept = [kept[0].max(ends[0].min(ends[1])), kept[1].min(ends[0].max(ends[1]))];
        }
        kept[0] <= kept[1]
    }
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
    fn figures_stand_about_their_tip_the_nearest_first() {
        let (tip, size) = (Pos2::new(100.0, 80.0), vec2(60.0, 14.0));
        let places: Vec<Rect> = places_about(tip, vec2(1.0, 0.0), size).collect();
        assert!((places[0].left() - tip.x - NEAREST).abs() < 1e-3 && (places[0].center().y - tip.y).abs() < 1e-3);
        for place in &places {
            assert!((place.size() - size).length() < 1e-3 && !place.contains(tip));
        }
        // One of many arrows at a place finds room beside those before it.
        let mut taken: Vec<Rect> = Vec::new();
        for _ in 0..9 {
            let free = places.iter().find(|place| taken.iter().all(|other| !other.intersects(**place)));
            taken.push(*free.expect("room"));
        }
    }

    #[test]
    fn a_segment_through_a_rectangle_is_seen() {
        let rect = Rect::from_min_max(Pos2::new(10.0, 10.0), Pos2::new(30.0, 20.0));
        for (from, to, passes) in [
            ([0.0, 15.0], [40.0, 15.0], true),
            ([0.0, 0.0], [40.0, 30.0], true),
            ([15.0, 15.0], [16.0, 16.0], true),
            ([0.0, 15.0], [9.0, 15.0], false),
            ([0.0, 21.0], [40.0, 21.0], false),
            ([0.0, 12.0], [12.0, 0.0], false),
            ([20.0, 0.0], [20.0, 40.0], true),
        ] {
            assert_eq!(rect.intersects_segment(from.into(), to.into()), passes, "{from:?} {to:?}");
        }
    }

    #[test]
    fn the_bar_is_of_a_round_force() {
        for (value, round) in [(219.0, 200.0), (99.0, 50.0), (10.0, 10.0), (7.0, 5.0), (0.3, 0.2)] {
            assert!((round_below(value) - round).abs() < 1e-9, "{value}");
        }
    }
}
