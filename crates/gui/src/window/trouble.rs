//! Where on the travel a rule fails, painted along it.

use egui::{Painter, Pos2, Rect, Shape, Stroke, pos2};
use overarm_solver::FailingStretch;

use super::icons::Standing;
use super::theme::Palette;

/// A stretch along the rail that stands for the travel.
pub trait AlongRail {
    /// From and to, points.
    fn along(&self, rail: Rect) -> [f32; 2];

    /// Whether it is at a place along the rail, or within a finger's breadth of it.
    fn is_at(&self, x: f32, rail: Rect) -> bool {
        const NEAR: f32 = 8.0;
        let [from, to] = self.along(rail);
        (from - NEAR..=to + NEAR).contains(&x)
    }

    /// The middle of it along the rail.
    fn middle(&self, rail: Rect) -> f32 {
        let [from, to] = self.along(rail);
        0.5 * (from + to)
    }
}

impl AlongRail for FailingStretch {
    fn along(&self, rail: Rect) -> [f32; 2] {
        [self.from, self.to].map(|s| egui::lerp(rail.left()..=rail.right(), s as f32))
    }
}

/// Which rules fail where, in a sentence each; empty where none does.
#[must_use]
pub fn words(stretches: &[FailingStretch]) -> String {
    stretches.iter().map(|stretch| format!(" {}", stretch.sentence())).collect()
}

/// Paints the stretches on the rail: a hatched band, and a cross over its middle.
pub fn paint(painter: &Painter, rail: Rect, y: f32, stretches: &[FailingStretch], palette: &Palette) {
    const HALF: f32 = 5.0;
    /// A single pose is still seen, points.
    const LEAST: f32 = 4.0;
    const HATCH: f32 = 5.0;
    let mut bands: Vec<[f32; 2]> = stretches
        .iter()
        .map(|stretch| {
            let [from, to] = stretch.along(rail);
            let more = 0.5 * (LEAST - (to - from)).max(0.0);
            [from - more, to + more]
        })
        .collect();
    // Those of several rules that lie over each other are one band: the words tell them apart.
    bands.sort_by(|a, b| a[0].total_cmp(&b[0]));
    bands.dedup_by(|next, band| {
        let overlaps = next[0] <= band[1] + 1.0;
        if overlaps {
            band[1] = band[1].max(next[1]);
        }
        overlaps
    });
    let colour = palette.fails;
    for [from, to] in bands {
        let band = Rect::from_min_max(pos2(from, y - HALF), pos2(to, y + HALF));
        painter.rect_filled(band, 0.0, palette.side);
        painter.rect_filled(band, 0.0, colour.gamma_multiply(0.2));
        let hatching = painter.with_clip_rect(painter.clip_rect().intersect(band));
        let mut x = from - 2.0 * HALF;
        while x < to {
            hatching.line_segment([pos2(x, band.bottom()), pos2(x + 2.0 * HALF, band.top())], Stroke::new(1.0, colour));
            x += HATCH;
        }
        painter.add(Shape::rect_stroke(band, 0.0, Stroke::new(1.0, colour), egui::StrokeKind::Inside));
        let cross = Pos2::new(0.5 * (from + to), y - HALF - 5.0);
        Standing::Fails.paint(painter, cross, 9.0, palette);
    }
}
