//! Which view fills the window, chosen by plain buttons in the drawing's upper right corner.

use egui::{Align, Button, Layout, Rect, RichText, Ui, UiBuilder, vec2};

use super::theme::{Palette, ROW, mix, small};
use crate::session::{Action, Command};

/// Between the buttons and the drawing's edge, points.
const INSET: f32 = 4.0;

/// Draws the buttons into the corner of a drawing.
pub fn show(ui: &mut Ui, screen: Rect, shows_front: bool) -> Vec<Action> {
    let mut actions = Vec::new();
    let palette = Palette::of(ui.ctx());
    // From the right; the first one stands at the corner.
    let layout = Layout::right_to_left(Align::Min);
    let place = Rect::from_min_size(screen.min, vec2(screen.width(), ROW + 2.0 * INSET)).shrink(INSET);
    let mut corner = ui.new_child(UiBuilder::new().max_rect(place).layout(layout));
    corner.set_clip_rect(screen);
    corner.spacing_mut().item_spacing = vec2(2.0, 2.0);
    corner.spacing_mut().button_padding.x = 8.0;
    for (command, chosen) in [(Command::FrontView, shows_front), (Command::SideView, !shows_front)] {
        let colour = if chosen { palette.ink } else { palette.quiet };
        let fill = if chosen { mix(palette.paper, palette.accent, 0.28) } else { palette.paper.gamma_multiply(0.88) };
        let text = RichText::new(command.words().label).font(small()).color(colour);
        let button = corner.add(Button::new(text).selected(chosen).fill(fill).min_size(vec2(0.0, ROW)));
        if button.on_hover_text(command.hint()).clicked() {
            actions.push(Action::Command(command));
        }
    }
    actions
}
