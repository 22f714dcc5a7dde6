//! What a drag keeps, chosen by plain buttons beside the drawing.

use egui::{Button, RichText, Ui, vec2};
use overarm_shopfiles::picture::Subject;

use super::rules_panel;
use super::theme::{ROW, small};
use crate::session::{Action, Command, DragMode, Session};

/// Draws the buttons, where something of the lift can be dragged.
pub fn show(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    if session.subject() != Subject::Side {
        return;
    }
    rules_panel::caption(ui, "What a drag keeps");
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(4.0, 2.0);
        ui.spacing_mut().button_padding.x = 8.0;
        ui.spacing_mut().interact_size.y = ROW;
        for mode in DragMode::ALL {
            let command = command(mode);
            let text = RichText::new(command.words().label).font(small());
            let button = ui.add(Button::selectable(session.drag_mode() == mode, text));
            if button.on_hover_text(command.hint()).clicked() {
                actions.push(Action::Command(command));
            }
        }
    });
    ui.add_space(4.0);
}

fn command(mode: DragMode) -> Command {
    match mode {
        DragMode::Free => Command::DragFreely,
        DragMode::KeepEndPoses => Command::KeepEndPoses,
        DragMode::KeepLengths => Command::KeepLengths,
    }
}
