//! The row above the drawing: which view fills the window, what a drag keeps, and the picture of it.

use egui::{Align, Button, Frame, Layout, Margin, Panel, RichText, Ui, vec2};
use overarm_shopfiles::picture::Subject;

use super::theme::{Palette, ROW, mix, small};
use crate::session::{Action, Command, DragMode, Session};

/// Between the two groups, points.
const BETWEEN: f32 = 24.0;

/// Draws the row over what is left of the window.
pub fn show(ui: &mut Ui, session: &Session) -> Vec<Action> {
    let mut actions = Vec::new();
    let palette = Palette::of(ui.ctx());
    let frame = Frame::NONE.fill(palette.paper).inner_margin(Margin { left: 8, right: 8, top: 4, bottom: 0 });
    // How wide the two groups are was measured in the frame before.
    let id = ui.scope_id().with("width of the row");
    let needed: f32 = ui.data(|data| data.get_temp(id)).unwrap_or(0.0);
    Panel::top("views").resizable(false).show_separator_line(false).frame(frame).show(ui, |ui| {
        ui.spacing_mut().item_spacing = vec2(2.0, 2.0);
        ui.spacing_mut().button_padding.x = 8.0;
        ui.spacing_mut().interact_size.y = ROW;
        let views = |ui: &mut Ui, actions: &mut Vec<Action>| {
            for subject in Subject::ALL {
                switch(ui, view_command(subject), session.subject() == subject, &palette, actions);
            }
            ui.add_space(6.0);
            switch(ui, Command::Picture, false, &palette, actions);
        };
        let modes = |ui: &mut Ui, from_right: bool, actions: &mut Vec<Action>| {
            let mut modes = DragMode::ALL;
            if from_right {
                modes.reverse();
            }
            for mode in modes {
                switch(ui, drag_command(mode), session.drag_mode() == mode, &palette, actions);
            }
        };
        let drags = session.subject() == Subject::Side;
        if ui.available_width() >= needed {
            ui.horizontal(|ui| {
                views(ui, &mut actions);
                let left = ui.min_rect().width();
                let right = ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                    if drags {
                        modes(ui, true, &mut actions);
                    }
                    ui.min_rect().width()
                });
                let width = left + right.inner + BETWEEN;
                ui.data_mut(|data| data.insert_temp(id, width));
            });
        } else {
            ui.horizontal_wrapped(|ui| views(ui, &mut actions));
            if drags {
                ui.horizontal_wrapped(|ui| modes(ui, false, &mut actions));
            }
        }
    });
    actions
}

/// What chooses a view.
#[must_use]
pub fn view_command(subject: Subject) -> Command {
    match subject {
        Subject::Side => Command::SideView,
        Subject::Front => Command::FrontView,
        Subject::Parts => Command::PartsView,
    }
}

fn drag_command(mode: DragMode) -> Command {
    match mode {
        DragMode::Free => Command::DragFreely,
        DragMode::KeepEndPoses => Command::KeepEndPoses,
        DragMode::KeepLengths => Command::KeepLengths,
    }
}

/// A small button that stays down while what it stands for is chosen.
fn switch(ui: &mut Ui, command: Command, chosen: bool, palette: &Palette, actions: &mut Vec<Action>) {
    let colour = if chosen { palette.ink } else { palette.quiet };
    let fill = if chosen { mix(palette.paper, palette.accent, 0.28) } else { palette.paper };
    let text = RichText::new(command.words().label).font(small()).color(colour);
    let button = ui.add(Button::new(text).selected(chosen).fill(fill).min_size(vec2(0.0, ROW)));
    if button.on_hover_text(command.hint()).clicked() {
        actions.push(Action::Command(command));
    }
}
