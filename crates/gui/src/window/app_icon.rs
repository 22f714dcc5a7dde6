//! The program's icon, drawn: wall, sloped ceiling, and a board on its way up.

use egui::{Color32, IconData, Pos2, Theme, pos2};

use super::theme::Palette;

/// Pixels across.
const SIZE: u8 = 64;

/// A straight stroke with round ends.
struct Bar {
    from: Pos2,
    to: Pos2,
    width: f32,
    colour: Color32,
}

/// The icon.
#[must_use]
pub fn app_icon() -> IconData {
    let p = Palette::of_theme(Theme::Light);
    let bar = |from: (f32, f32), to: (f32, f32), width: f32, colour: Color32| Bar {
        from: pos2(from.0, from.1),
        to: pos2(to.0, to.1),
        width,
        colour,
    };
    let bars = [
        bar((14.0, 62.0), (14.0, 22.0), 5.0, p.ink),
        bar((14.0, 22.0), (50.0, 2.0), 5.0, p.ink),
        bar((17.0, 30.0), (40.0, 38.0), 4.0, p.accent),
        bar((17.0, 40.0), (37.0, 46.0), 4.0, p.accent),
        bar((50.0, 20.0), (36.0, 56.0), 7.0, p.wood),
    ];
    let mut rgba = Vec::with_capacity(usize::from(SIZE) * usize::from(SIZE) * 4);
    for y in 0..SIZE {
        for x in 0..SIZE {
            let at = pos2(f32::from(x) + 0.5, f32::from(y) + 0.5);
            let colour = bars.iter().fold(p.paper, |ground, bar| super::theme::mix(ground, bar.colour, bar.cover(at)));
            rgba.extend(colour.to_array());
        }
    }
    IconData { rgba, width: u32::from(SIZE), height: u32::from(SIZE) }
}

impl Bar {
    /// How much of a pixel it covers, 0…1.
    fn cover(&self, at: Pos2) -> f32 {
        let along = self.to - self.from;
        let share = ((at - self.from).dot(along) / along.length_sq()).clamp(0.0, 1.0);
        (self.width / 2.0 - (at - (self.from + along * share)).length() + 0.5).clamp(0.0, 1.0)
    }
}
