//! Signs painted as shapes, so that no font has to have them.

use egui::{Color32, Painter, Pos2, Shape, Stroke, pos2, vec2};
use overarm_solver::RuleFinding;

use super::theme::Palette;

/// How a rule stands, as a shape and a colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// A cross.
    Fails,
    /// A triangle.
    Near,
    /// A tick.
    Holds,
    /// A ring.
    NotChecked,
}

impl Standing {
    /// Of a finding.
    #[must_use]
    pub fn of(finding: &RuleFinding) -> Self {
        match finding.holds {
            Some(false) => Self::Fails,
            Some(true) if finding.near => Self::Near,
            Some(true) => Self::Holds,
            None => Self::NotChecked,
        }
    }

    /// In a word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Fails => "fails",
            Self::Near => "holds by little",
            Self::Holds => "holds",
            Self::NotChecked => "not checked",
        }
    }

    /// Its colour.
    #[must_use]
    pub fn colour(self, palette: &Palette) -> Color32 {
        match self {
            Self::Fails => palette.fails,
            Self::Near => palette.near,
            Self::Holds => palette.holds,
            Self::NotChecked => palette.quiet,
        }
    }

    /// Paints its sign about a place, `size` points across.
    pub fn paint(self, painter: &Painter, at: Pos2, size: f32, palette: &Palette) {
        let colour = self.colour(palette);
        let stroke = Stroke::new((size / 7.0).max(1.5), colour);
        let h = size / 2.0;
        match self {
            Self::Fails => {
                let r = h * 0.75;
                painter.line_segment([at + vec2(-r, -r), at + vec2(r, r)], stroke);
                painter.line_segment([at + vec2(-r, r), at + vec2(r, -r)], stroke);
            }
            Self::Near => {
                let corners = vec![at + vec2(0.0, -h * 0.85), at + vec2(h, h * 0.8), at + vec2(-h, h * 0.8)];
                painter.add(Shape::convex_polygon(corners, colour, Stroke::NONE));
            }
            Self::Holds => {
                let corners = vec![at + vec2(-h, 0.0), at + vec2(-h * 0.25, h * 0.75), at + vec2(h, -h * 0.75)];
                painter.add(Shape::line(corners, stroke));
            }
            Self::NotChecked => {
                painter.circle_stroke(at, h * 0.7, Stroke::new(1.5, colour));
            }
        }
    }
}

/// A triangle that starts the lift, or two bars that halt it.
pub fn paint_play(painter: &Painter, at: Pos2, playing: bool, colour: Color32) {
    if playing {
        for x in [-4.0, 4.0] {
            let bar = egui::Rect::from_center_size(at + vec2(x, 0.0), vec2(4.0, 14.0));
            painter.rect_filled(bar, 0.0, colour);
        }
    } else {
        let corners = vec![at + vec2(-5.0, -8.0), at + vec2(8.0, 0.0), at + vec2(-5.0, 8.0)];
        painter.add(Shape::convex_polygon(corners, colour, Stroke::NONE));
    }
}

/// A filled arrowhead with its tip at a place, pointing along `along` (unit length).
pub fn paint_arrowhead(painter: &Painter, tip: Pos2, along: egui::Vec2, colour: Color32) {
    // ISO 129: closed and filled, about three times as long as it is wide.
    const LENGTH: f32 = 9.0;
    let back = tip - along * LENGTH;
    let aside = along.rot90() * (LENGTH / 6.0);
    painter.add(Shape::convex_polygon(vec![tip, back + aside, back - aside], colour, Stroke::NONE));
}

/// A small eye, looking to the left.
pub fn paint_eye(painter: &Painter, at: Pos2, colour: Color32) {
    let lid = |side: f32| {
        (0_u8..=8)
            .map(|step| {
                let t = f32::from(step) / 8.0;
                pos2(at.x - 9.0 + 18.0 * t, at.y + side * 6.0 * (std::f32::consts::PI * t).sin())
            })
            .collect::<Vec<_>>()
    };
    painter.add(Shape::line(lid(-1.0), Stroke::new(1.25, colour)));
    painter.add(Shape::line(lid(1.0), Stroke::new(1.25, colour)));
    painter.circle_filled(at + vec2(-2.0, 0.0), 2.5, colour);
}
