//! The steps by name: where the project stands, and a way to any other of them.

use egui::{Button, Label, RichText, ScrollArea, Ui};

use super::theme::{Palette, ROW, body, body_bold, small};
use crate::session::{Action, Edit, Listed, Session, Standing};

/// Draws the list, the oldest step at the top.
pub fn show(ui: &mut Ui, session: &Session, palette: &Palette, actions: &mut Vec<Action>) {
    let history = session.history();
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        if history.forgotten() > 0 {
            note(ui, palette, &format!("The first {} steps are too long ago to be kept.", history.forgotten()));
        }
        let mut taken_back_told = false;
        for step in history.list() {
            if step.standing == Standing::Ahead && !taken_back_told {
                taken_back_told = true;
                ui.add_space(4.0);
                note(ui, palette, "Taken back; can be done again until the next change:");
            }
            if row(ui, &name(&step, session), step.standing, palette).clicked() {
                actions.push(Action::Edit(Edit::GoToStep(step.number)));
            }
        }
        ui.add_space(8.0);
        note(ui, palette, "Looking, picking and saving are no steps and take none away.");
    });
}

/// "3. Move upper wall pivot (here)".
fn name(step: &Listed<'_>, session: &Session) -> String {
    let opened = || match session.document().path() {
        Some(_) => "As opened".to_owned(),
        None => "The demo as it comes".to_owned(),
    };
    let label = match step.label {
        Some(label) => label.to_owned(),
        None if step.number > 0 => "Earliest that is kept".to_owned(),
        None => opened(),
    };
    let here = if step.standing == Standing::Here { " (here)" } else { "" };
    format!("{}. {label}{here}", step.number)
}

fn row(ui: &mut Ui, name: &str, standing: Standing, palette: &Palette) -> egui::Response {
    let (font, colour) = match standing {
        Standing::Behind => (body(), palette.ink),
        Standing::Here => (body_bold(), palette.ink),
        Standing::Ahead => (body(), palette.quiet),
    };
    let text = RichText::new(name).font(font).color(colour);
    let here = standing == Standing::Here;
    let button = Button::selectable(here, text).wrap().min_size(egui::vec2(ui.available_width() - 8.0, ROW));
    let response = ui.add(button);
    // A list that shows it already is left where it is.
    if here && !ui.clip_rect().y_range().contains(response.rect.center().y) {
        response.scroll_to_me(None);
    }
    response
}

/// Text of a page that only explains.
pub fn note(ui: &mut Ui, palette: &Palette, text: &str) {
    ui.add(Label::new(RichText::new(text).font(small()).color(palette.quiet)).wrap());
}
