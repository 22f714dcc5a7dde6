//! What a drag keeps, chosen by plain buttons in the drawing's upper left corner, in the margin that
//! a fit leaves free.

use egui::{Align, Button, Layout, Rect, RichText, Ui, UiBuilder, vec2};

use crate::session::{Action, Command, DragMode, Session};
use crate::window::theme::{Palette, ROW, mix, small};

/// Between the buttons and the drawing's edge, points.
const INSET: f32 = 4.0;

/// Draws the buttons into the corner of a drawing; returns what was chosen, and the place they take.
pub fn show(ui: &mut Ui, screen: Rect, session: &Session) -> (Vec<Action>, Rect) {
    let mut actions = Vec::new();
    let palette = Palette::of(ui.ctx());
    let place = screen.shrink(INSET);
    let layout = Layout::left_to_right(Align::Min).with_main_wrap(true);
    let mut corner = ui.new_child(UiBuilder::new().max_rect(place).layout(layout));
    let ui = &mut corner;
    ui.set_clip_rect(screen);
    ui.spacing_mut().item_spacing = vec2(2.0, 2.0);
    ui.spacing_mut().button_padding.x = 8.0;
    ui.spacing_mut().interact_size.y = ROW;
    for mode in DragMode::ALL {
        let command = command(mode);
        let chosen = session.drag_mode() == mode;
        let colour = if chosen { palette.ink } else { palette.quiet };
        let fill = if chosen { mix(palette.paper, palette.accent, 0.28) } else { palette.paper.gamma_multiply(0.88) };
        let text = RichText::new(command.words().label).font(small()).color(colour);
        let button = ui.add(Button::new(text).selected(chosen).fill(fill).min_size(vec2(0.0, ROW)));
        if button.on_hover_text(command.hint()).clicked() {
            actions.push(Action::Command(command));
        }
    }
    (actions, corner.min_rect())
}

fn command(mode: DragMode) -> Command {
    match mode {
        DragMode::Free => Command::DragFreely,
        DragMode::KeepEndPoses => Command::KeepEndPoses,
        DragMode::KeepLengths => Command::KeepLengths,
    }
}
