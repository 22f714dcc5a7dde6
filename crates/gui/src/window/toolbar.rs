//! The quiet row of commands at the top, and the file's name.

use egui::{Align, Button, Frame, Layout, Margin, Panel, RichText, Ui};

use overarm_shopfiles::picture::Subject;

use super::icons::Standing;
use super::side_page::Page;
use super::theme::{Palette, TARGET, body, small};
use crate::session::{Action, Command, Notice, Session, ViewAction};

/// Height of the commands in one row, with the margins.
pub const HEIGHT: f32 = TARGET + 8.0;

/// Points that the file's name needs beside the commands; where there are fewer, only the commands
/// of every minute stand here, and all actions have the rest.
const NAME: f32 = 160.0;
/// Points that the button of the figures needs; where there are fewer it is left to the tabs of the numbers.
const FIGURES: f32 = 90.0;

/// Draws the row; returns what was pressed.
pub fn show(ui: &mut Ui, session: &Session, page: Option<Page>) -> Vec<Action> {
    let mut actions = Vec::new();
    let palette = Palette::of(ui.ctx());
    let frame = Frame::NONE.fill(palette.side).inner_margin(Margin::symmetric(8, 4));
    // How wide the commands are was measured in the frame before; the first one has room.
    let id = ui.scope_id().with("width of the commands");
    let needed: f32 = ui.data(|data| data.get_temp(id)).unwrap_or(0.0);
    let room = ui.max_rect().width() - 16.0 - needed - NAME;
    let wide = room >= 0.0;
    let height = ui.max_rect().height();
    Panel::top("toolbar").resizable(false).frame(frame).show(ui, |ui| {
        ui.spacing_mut().item_spacing = egui::vec2(2.0, 2.0);
        if wide {
            ui.horizontal(|ui| {
                ui.set_min_height(TARGET);
                commands(ui, session, page, height, &palette, &mut actions);
                let width = ui.min_rect().width();
                ui.data_mut(|data| data.insert_temp(id, width));
                if room >= FIGURES && needed > 0.0 {
                    figures(ui, page, &mut actions);
                }
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| file_name(ui, session, &palette));
            });
        } else {
            ui.horizontal_wrapped(|ui| few_commands(ui, session, page, &palette, &mut actions));
            // The window's title has the name.
            if let Some(Notice::Done(_)) = session.notice() {
                file_name(ui, session, &palette);
            }
        }
    });
    actions
}

/// Whether a window of this height has room for the plots below a drawing that is of use.
#[must_use]
pub fn has_room_for_plots(window_height: f32) -> bool {
    // At 500 points the plots leave the drawing some 200.
    window_height >= 500.0
}

/// What is wanted every minute.
fn few_commands(ui: &mut Ui, session: &Session, page: Option<Page>, palette: &Palette, actions: &mut Vec<Action>) {
    for command in [Command::Open, Command::Save] {
        button(ui, command, true, None, actions);
    }
    gap(ui, palette);
    steps(ui, session, actions);
    gap(ui, palette);
    views(ui, session, actions);
    gap(ui, palette);
    switch(ui, Command::Numbers, page == Some(Page::Numbers), actions);
    figures(ui, page, actions);
    switch(ui, Command::AllActions, page == Some(Page::Actions), actions);
}

/// Which view fills the window.
fn views(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    for subject in Subject::ALL {
        let command = match subject {
            Subject::Side => Command::SideView,
            Subject::Front => Command::FrontView,
            Subject::Parts => Command::PartsView,
        };
        switch(ui, command, session.subject() == subject, actions);
    }
}

fn steps(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    let history = session.history();
    let step = |label: Option<&str>| label.map(|label| format!("{label}."));
    button(ui, Command::Undo, history.undo_label().is_some(), step(history.undo_label()), actions);
    button(ui, Command::Redo, history.redo_label().is_some(), step(history.redo_label()), actions);
}

fn commands(
    ui: &mut Ui,
    session: &Session,
    page: Option<Page>,
    window_height: f32,
    palette: &Palette,
    actions: &mut Vec<Action>,
) {
    for command in [Command::Open, Command::Save, Command::SaveAs, Command::Picture, Command::Make] {
        button(ui, command, true, None, actions);
    }
    gap(ui, palette);
    steps(ui, session, actions);
    switch(ui, Command::History, page == Some(Page::History), actions);
    gap(ui, palette);
    views(ui, session, actions);
    button(ui, Command::FitLift, true, None, actions);
    if session.subject() == Subject::Parts {
        let plots = ui.add_enabled(false, quiet(Command::TogglePlots.words().label));
        plots.on_disabled_hover_text("Parts do not move: there is no travel to plot over.");
    } else if has_room_for_plots(window_height) {
        switch(ui, Command::TogglePlots, session.settings().plots_open, actions);
    } else {
        let plots = ui.add_enabled(false, quiet(Command::TogglePlots.words().label));
        plots.on_disabled_hover_text("The plots have no room in a window of this height at this size of text.");
    }
    switch(ui, Command::Numbers, page == Some(Page::Numbers), actions);
    switch(ui, Command::Site, page == Some(Page::Site), actions);
    gap(ui, palette);
    switch(ui, Command::AllActions, page == Some(Page::Actions), actions);
}

/// Opens the pages of figures at the first of them; the others stand beside it there.
fn figures(ui: &mut Ui, page: Option<Page>, actions: &mut Vec<Action>) {
    let open = page.filter(|page| matches!(page, Page::Figures(_)));
    let response = ui.add(quiet("Figures").selected(open.is_some()).frame_when_inactive(open.is_some()));
    let help = "Strap and motor, hinges and fits, fixings, tolerances: what comes of them, and all that they depend on";
    if response.on_hover_text(help).clicked() {
        actions.push(Action::Command(open.map_or(Command::StrapPage, Page::command)));
    }
}

/// A button that stays down while what it shows is shown.
fn switch(ui: &mut Ui, command: Command, on: bool, actions: &mut Vec<Action>) {
    let response = ui.add(quiet(command.words().label).selected(on).frame_when_inactive(on));
    if response.on_hover_text(command.hint()).clicked() {
        actions.push(Action::Command(command));
    }
}

fn file_name(ui: &mut Ui, session: &Session, palette: &Palette) {
    let document = session.document();
    let text = match session.notice() {
        Some(Notice::Done(text)) => text.clone(),
        // What has no file says so, changed or not.
        _ if document.has_unsaved_changes() && document.path().is_some() => {
            format!("Unsaved: {}", document.file_name())
        }
        _ => document.file_name(),
    };
    let name = ui.add(egui::Label::new(RichText::new(text).font(small()).color(palette.quiet)).truncate());
    if let Some(path) = document.path() {
        name.on_hover_text(path.display().to_string());
    }
}

/// What was made or could not be done, in a row of its own until it is put away.
pub fn show_notice(ui: &mut Ui, notice: &Notice) -> Vec<Action> {
    let mut actions = Vec::new();
    let (standing, text) = match notice {
        Notice::Done(_) => return actions,
        Notice::Made(text) => (Standing::Holds, text),
        Notice::Told(text) => (Standing::NotChecked, text),
        Notice::Folder { text, fails, .. } => (if *fails { Standing::Near } else { Standing::Holds }, text),
        Notice::Problem(text) => (Standing::Fails, text),
    };
    let palette = Palette::of(ui.ctx());
    let frame = Frame::NONE.fill(palette.side).inner_margin(Margin::symmetric(12, 4));
    Panel::top("notice").frame(frame).show(ui, |ui| {
        let size = egui::vec2(ui.available_width(), TARGET);
        ui.allocate_ui_with_layout(size, Layout::right_to_left(Align::Center), |ui| {
            if ui.add(quiet("Dismiss")).clicked() {
                actions.push(Action::View(ViewAction::Dismiss));
            }
            if let Notice::Folder { folder, .. } = notice {
                let open = ui.add(quiet("Open folder"));
                if open.on_hover_text("Shows it in the desktop's own window for files.").clicked() {
                    actions.push(Action::ShowFolder(folder.clone()));
                }
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let (place, _) = ui.allocate_exact_size(egui::vec2(16.0, TARGET), egui::Sense::hover());
                standing.paint(ui.painter(), place.center(), 12.0, &palette);
                ui.add(egui::Label::new(RichText::new(text).font(body()).color(standing.colour(&palette))).wrap());
            });
        });
    });
    actions
}

/// A button without a frame until it is pointed at.
pub fn quiet(label: &str) -> Button<'_> {
    Button::new(label).frame_when_inactive(false).min_size(egui::vec2(TARGET, TARGET))
}

fn button(ui: &mut Ui, command: Command, enabled: bool, what: Option<String>, actions: &mut Vec<Action>) {
    let response = ui.add_enabled(enabled, quiet(command.words().label));
    let hint = what.map_or_else(|| command.hint(), |what| format!("{what} {}", command.hint()));
    if response.on_hover_text(hint).clicked() {
        actions.push(Action::Command(command));
    }
}

fn gap(ui: &mut Ui, palette: &Palette) {
    let (place, _) = ui.allocate_exact_size(egui::vec2(13.0, TARGET), egui::Sense::hover());
    ui.painter().vline(place.center().x, place.shrink(6.0).y_range(), egui::Stroke::new(1.0, palette.hairline));
}
