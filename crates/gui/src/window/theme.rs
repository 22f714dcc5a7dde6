//! The window's colours, type and spaces: the one place that names them.
//!
//! Contrast of each colour on paper was measured; no colour says anything alone, there is always a
//! line style, a shape or a word beside it.

use egui::{Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Stroke, TextStyle, Theme, Visuals};

/// The colours of one appearance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Palette {
    /// Drawing ground.
    pub paper: Color32,
    /// Panels, and the ground of solid things.
    pub side: Color32,
    /// Text and outlines.
    pub ink: Color32,
    /// Secondary text and ghosts.
    pub quiet: Color32,
    /// Hairlines between things.
    pub hairline: Color32,
    /// Hatching of cut solids.
    pub hatch: Color32,
    /// Bars.
    pub metal: Color32,
    /// The panel.
    pub wood: Color32,
    /// Selection, and what can be dragged.
    pub accent: Color32,
    /// A rule that holds.
    pub holds: Color32,
    /// A rule that holds by little.
    pub near: Color32,
    /// A rule that fails.
    pub fails: Color32,
}

const LIGHT: Palette = Palette {
    paper: Color32::from_rgb(0xFB, 0xFA, 0xF7),
    side: Color32::from_rgb(0xF1, 0xEF, 0xEA),
    ink: Color32::from_rgb(0x1F, 0x23, 0x28),
    quiet: Color32::from_rgb(0x5A, 0x60, 0x69),
    hairline: Color32::from_rgb(0xD6, 0xD3, 0xCC),
    hatch: Color32::from_rgb(0xA9, 0xA6, 0x9F),
    metal: Color32::from_rgb(0x3E, 0x5C, 0x76),
    wood: Color32::from_rgb(0x8A, 0x5F, 0x36),
    accent: Color32::from_rgb(0x0B, 0x6E, 0x99),
    holds: Color32::from_rgb(0x1B, 0x7A, 0x4B),
    near: Color32::from_rgb(0x8A, 0x5A, 0x00),
    fails: Color32::from_rgb(0xB3, 0x26, 0x1E),
};

const DARK: Palette = Palette {
    paper: Color32::from_rgb(0x17, 0x1A, 0x1E),
    side: Color32::from_rgb(0x20, 0x24, 0x2A),
    ink: Color32::from_rgb(0xE8, 0xE6, 0xE1),
    quiet: Color32::from_rgb(0xA7, 0xAD, 0xB5),
    hairline: Color32::from_rgb(0x38, 0x3E, 0x46),
    hatch: Color32::from_rgb(0x55, 0x5C, 0x65),
    metal: Color32::from_rgb(0x9F, 0xB8, 0xCE),
    wood: Color32::from_rgb(0xC9, 0x9A, 0x6B),
    accent: Color32::from_rgb(0x5D, 0xB7, 0xDE),
    holds: Color32::from_rgb(0x6C, 0xC4, 0x95),
    near: Color32::from_rgb(0xE5, 0xB5, 0x67),
    fails: Color32::from_rgb(0xFF, 0x8A, 0x80),
};

impl Palette {
    /// The colours of the appearance that a context shows now.
    #[must_use]
    pub fn of(ctx: &egui::Context) -> Self {
        Self::of_theme(ctx.theme())
    }

    /// The colours of an appearance.
    #[must_use]
    pub fn of_theme(theme: Theme) -> Self {
        match theme {
            Theme::Light => LIGHT,
            Theme::Dark => DARK,
        }
    }

    /// Under what is picked in a list, beside a bar of accent: paper, so that no text loses contrast.
    #[must_use]
    pub fn picked_ground(&self) -> Color32 {
        mix(self.paper, self.accent, 0.06)
    }

    /// Under what the pointer or the keyboard is at in a list.
    #[must_use]
    pub fn pointed_ground(&self) -> Color32 {
        self.paper
    }

    /// `colour` laid over paper at a share of its strength, opaque again.
    #[must_use]
    pub fn on_paper(&self, colour: Color32, share: f32) -> Color32 {
        mix(self.paper, colour, share)
    }
}

/// Between two colours, `share` of the second.
#[must_use]
pub fn mix(first: Color32, second: Color32, share: f32) -> Color32 {
    first.lerp_to_gamma(second, share)
}

/// Seconds that a fold or a switch takes, unless motion is reduced.
pub const ANIMATION: f32 = 0.1;

/// Height of a row of a list.
pub const ROW: f32 = 28.0;
/// Least height of what is pressed.
pub const TARGET: f32 = 32.0;

const SMALL: f32 = 12.0;
const BODY: f32 = 14.0;
const LARGE: f32 = 20.0;

/// The three sizes in regular weight and the two that are ever bold.
#[must_use]
pub fn small() -> FontId {
    FontId::new(SMALL, FontFamily::Proportional)
}

/// Running text.
#[must_use]
pub fn body() -> FontId {
    FontId::new(BODY, FontFamily::Proportional)
}

/// Running text that leads.
#[must_use]
pub fn body_bold() -> FontId {
    FontId::new(BODY, bold())
}

/// The title.
#[must_use]
pub fn large_bold() -> FontId {
    FontId::new(LARGE, bold())
}

/// The family of the heavier weight.
pub const BOLD: &str = "bold";

fn bold() -> FontFamily {
    FontFamily::Name(BOLD.into())
}

/// Gives a context the fonts, spaces and colours of both appearances; it follows the system's.
pub fn install(ctx: &egui::Context) {
    ctx.set_fonts(fonts());
    ctx.options_mut(|options| {
        options.theme_preference = egui::ThemePreference::System;
        options.fallback_theme = Theme::Light;
    });
    for theme in [Theme::Light, Theme::Dark] {
        let mut style = (*ctx.style_of(theme)).clone();
        style.visuals = visuals(theme);
        style.text_styles = [
            (TextStyle::Small, small()),
            (TextStyle::Body, body()),
            (TextStyle::Button, body()),
            (TextStyle::Monospace, body()),
            (TextStyle::Heading, large_bold()),
        ]
        .into();
        style.spacing.item_spacing = egui::vec2(8.0, 4.0);
        style.spacing.button_padding = egui::vec2(10.0, 4.0);
        style.spacing.interact_size = egui::vec2(TARGET, TARGET);
        style.spacing.tooltip_width = 320.0;
        style.interaction.selectable_labels = false;
        style.animation_time = ANIMATION;
        ctx.set_style_of(theme, style);
    }
}

/// One family with equal-width figures, in two weights; what it lacks comes from the default fonts.
fn fonts() -> FontDefinitions {
    let mut fonts = FontDefinitions::default();
    let regular = FontData::from_static(include_bytes!("../../../../assets/fonts/B612-Regular.otf"));
    let heavy = FontData::from_static(include_bytes!("../../../../assets/fonts/B612-Bold.otf"));
    fonts.font_data.insert("B612".to_owned(), regular.into());
    fonts.font_data.insert("B612 Bold".to_owned(), heavy.into());
    let fallback = fonts.families.get(&FontFamily::Proportional).cloned().unwrap_or_default();
    let with = |first: &str| {
        let mut family = vec![first.to_owned()];
        family.extend(fallback.iter().cloned());
        family
    };
    fonts.families.insert(FontFamily::Proportional, with("B612"));
    fonts.families.insert(FontFamily::Monospace, with("B612"));
    fonts.families.insert(bold(), with("B612 Bold"));
    fonts
}

fn visuals(theme: Theme) -> Visuals {
    let p = Palette::of_theme(theme);
    let mut v = match theme {
        Theme::Light => Visuals::light(),
        Theme::Dark => Visuals::dark(),
    };
    let round = CornerRadius::same(4);
    v.override_text_color = None;
    v.weak_text_color = Some(p.quiet);
    v.panel_fill = p.side;
    v.window_fill = p.paper;
    v.window_stroke = Stroke::new(1.0, p.hairline);
    v.window_corner_radius = round;
    v.menu_corner_radius = round;
    v.window_shadow = egui::Shadow::NONE;
    v.popup_shadow = egui::Shadow::NONE;
    v.extreme_bg_color = p.paper;
    v.text_edit_bg_color = Some(p.paper);
    v.faint_bg_color = mix(p.side, p.ink, 0.03);
    v.hyperlink_color = p.accent;
    v.warn_fg_color = p.near;
    v.error_fg_color = p.fails;
    // A caret that blinks would draw the window anew for ever while somebody thinks.
    v.text_cursor.blink = false;
    v.selection.bg_fill = mix(p.paper, p.accent, 0.28);
    v.selection.stroke = Stroke::new(1.0, p.ink);
    v.widgets.noninteractive.bg_fill = p.side;
    v.widgets.noninteractive.weak_bg_fill = p.side;
    v.widgets.noninteractive.bg_stroke = Stroke::new(1.0, p.hairline);
    v.widgets.noninteractive.fg_stroke = Stroke::new(1.0, p.ink);
    let state = |widget: &mut egui::style::WidgetVisuals, share: f32, edge: Color32, width: f32| {
        widget.bg_fill = mix(p.side, p.ink, share);
        widget.weak_bg_fill = mix(p.side, p.ink, share);
        widget.bg_stroke = Stroke::new(width, edge);
        widget.fg_stroke = Stroke::new(1.0, p.ink);
        widget.corner_radius = round;
        widget.expansion = 0.0;
    };
    v.widgets.noninteractive.corner_radius = round;
    state(&mut v.widgets.inactive, 0.0, p.hairline, 1.0);
    state(&mut v.widgets.hovered, 0.06, p.quiet, 1.0);
    state(&mut v.widgets.active, 0.12, p.accent, 2.0);
    state(&mut v.widgets.open, 0.06, p.quiet, 1.0);
    v
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance after WCAG 2.
    fn luminance(colour: Color32) -> f64 {
        let channel = |value: u8| {
            let value = f64::from(value) / 255.0;
            if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * channel(colour.r()) + 0.7152 * channel(colour.g()) + 0.0722 * channel(colour.b())
    }

    fn contrast(first: Color32, second: Color32) -> f64 {
        let (first, second) = (luminance(first), luminance(second));
        (first.max(second) + 0.05) / (first.min(second) + 0.05)
    }

    #[test]
    fn what_the_family_lacks_comes_from_the_default_fonts() {
        let ctx = egui::Context::default();
        install(&ctx);
        // Fonts are there from the first frame on.
        ctx.run_ui(egui::RawInput::default(), |_| {}).textures_delta.clear();
        for font in [small(), body(), body_bold(), large_bold()] {
            for text in ["½ ″ ′ ° Ø ≤ ≥ − é ß", "Полка", "Ωμέγα", "☃"] {
                assert!(ctx.fonts_mut(|fonts| fonts.has_glyphs(&font, text)), "{text} in {font:?}");
            }
        }
    }

    #[test]
    fn text_and_signals_stand_out_on_both_grounds() {
        for p in [LIGHT, DARK] {
            for ground in [p.paper, p.side] {
                for colour in [p.ink, p.quiet, p.accent, p.holds, p.near, p.fails] {
                    // 4.5 : 1 is what WCAG 2 asks of running text.
                    assert!(contrast(ground, colour) >= 4.5, "{colour:?} on {ground:?}");
                }
            }
        }
    }

    #[test]
    fn text_stands_out_where_something_is_picked_or_pointed_at() {
        for p in [LIGHT, DARK] {
            let all = vec![p.ink, p.quiet, p.holds, p.near, p.fails];
            let grounds = [
                (p.picked_ground(), all.clone()),
                (p.pointed_ground(), all),
                // Buttons: a switch that is on, and what the pointer is over.
                (mix(p.paper, p.accent, 0.28), vec![p.ink]),
                (mix(p.side, p.ink, 0.12), vec![p.ink]),
            ];
            for (ground, colours) in grounds {
                for colour in colours {
                    let found = contrast(ground, colour);
                    assert!(found >= 4.5, "{colour:?} on {ground:?}: {found:.2}");
                }
            }
        }
    }
}
