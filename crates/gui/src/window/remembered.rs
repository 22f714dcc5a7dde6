//! What is remembered between runs, given to the window and taken from it.

use egui::{Context, Rect, Theme, ThemePreference, ViewportCommand, pos2, vec2};

use crate::session::{Appearance, Settings, WindowPlace};

/// What the window was last given.
#[derive(Clone, Debug, Default)]
pub struct Given {
    appearance: Option<Appearance>,
    text_percent: Option<u16>,
    reduce_motion: Option<bool>,
    placed: bool,
}

impl Given {
    /// Gives the window what has changed of its look.
    pub fn look(&mut self, ctx: &Context, settings: &Settings) {
        if self.appearance.replace(settings.appearance) != Some(settings.appearance) {
            ctx.set_theme(match settings.appearance {
                Appearance::System => ThemePreference::System,
                Appearance::Light => ThemePreference::Light,
                Appearance::Dark => ThemePreference::Dark,
            });
        }
        if self.text_percent.replace(settings.text_percent) != Some(settings.text_percent) {
            // Ours has its steps and is remembered; egui's own keys would go past it.
            ctx.options_mut(|options| options.zoom_with_keyboard = false);
            ctx.set_zoom_factor(f32::from(settings.text_percent) / 100.0);
        }
        if self.reduce_motion.replace(settings.reduce_motion) != Some(settings.reduce_motion) {
            let still = settings.reduce_motion;
            for theme in [Theme::Light, Theme::Dark] {
                ctx.style_mut_of(theme, |style| {
                    style.animation_time = if still { 0.0 } else { super::theme::ANIMATION };
                    style.scroll_animation = if still {
                        egui::style::ScrollAnimation::none()
                    } else {
                        egui::style::ScrollAnimation::default()
                    };
                });
            }
        }
    }

    /// Moves the window back into view once, where it was remembered on a screen that is not there.
    pub fn place(&mut self, ctx: &Context, settings: &Settings) {
        let Some(now) = place_of(ctx) else { return };
        if std::mem::replace(&mut self.placed, true) {
            return;
        }
        let remembered = settings.window.filter(|window| !window.maximized && window.at.is_some());
        if let (Some(window), Some([width, height])) = (remembered, now.screen)
            && window.screen != now.screen
            && let Some([x, y]) = window.at
            && !Rect::from_min_size(pos2(0.0, 0.0), vec2(width, height)).contains(pos2(x, y))
        {
            ctx.send_viewport_cmd(ViewportCommand::OuterPosition(pos2(0.0, 0.0)));
        }
    }
}

/// Where the window is, as far as the system tells; none while it is not shown.
#[must_use]
pub fn place_of(ctx: &Context) -> Option<WindowPlace> {
    let zoom = ctx.zoom_factor();
    ctx.input(|input| {
        let viewport = input.viewport();
        if viewport.minimized == Some(true) || viewport.fullscreen == Some(true) {
            return None;
        }
        let inner = viewport.inner_rect?;
        let pair = |x: f32, y: f32| [(x * zoom).round(), (y * zoom).round()];
        Some(WindowPlace {
            at: viewport.outer_rect.map(|outer| pair(outer.min.x, outer.min.y)),
            size: pair(inner.width(), inner.height()),
            screen: viewport.monitor_size.map(|size| pair(size.x, size.y)),
            maximized: viewport.maximized == Some(true),
        })
    })
}
