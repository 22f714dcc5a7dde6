//! The page for a tape's measurements: the ceiling, a soffit, and what hangs or opens into the room.

use egui::{CollapsingHeader, Id, Label, RichText, Ui, vec2};

use super::number_field::{NumberField, say};
use super::points_table::{choose_units, heading, row_name};
use super::side_page::Columns;
use super::theme::{Palette, TARGET, body, small};
use crate::session::{
    Action, Edit, Fallback, Session, Setting, Tape, TapeField, TapeNote, TapePart, ViewAction, solid_name,
};

/// Draws the page.
pub fn show(ui: &mut Ui, session: &Session, columns: Columns, actions: &mut Vec<Action>) {
    choose_units(ui, session, actions);
    let palette = Palette::of(ui.ctx());
    for part in [TapePart::Ceiling, TapePart::Beam, TapePart::Lamp, TapePart::Door] {
        CollapsingHeader::new(RichText::new(part.title()).font(body()))
            .id_salt(("site", part.title()))
            .default_open(part == TapePart::Ceiling)
            .show_unindented(ui, |ui| {
                if part == TapePart::Ceiling {
                    course(ui, session, &palette, actions);
                }
                let fields = part.fields(session.tape().by_slope());
                if fields.contains(&TapeField::Distance(0)) {
                    heading(ui, [TapeField::Distance(0), TapeField::Height(0)].map(|field| field.words()[1]), columns);
                }
                for field in fields {
                    match field {
                        // Stands in one row with the distance at which it was measured.
                        TapeField::Height(_) => {}
                        TapeField::Distance(place) => {
                            let row = [field, TapeField::Height(place)];
                            numbers(ui, field.words()[0], &row, session, columns, &palette, actions);
                        }
                        single => numbers(ui, &single.name(), &[single], session, columns, &palette, actions),
                    }
                }
                make(ui, part, session, &palette, actions);
                ui.add_space(8.0);
            });
    }
    in_the_room(ui, session, &palette, actions);
}

/// By heights or by its slope.
fn course(ui: &mut Ui, session: &Session, palette: &Palette, actions: &mut Vec<Action>) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        for (by_slope, words) in [(false, "By heights"), (true, "By slope")] {
            if ui.add(egui::Button::selectable(session.tape().by_slope() == by_slope, words)).clicked() {
                actions.push(Action::View(ViewAction::Note(TapeNote::BySlope(by_slope))));
            }
        }
    });
    let hint = if session.tape().by_slope() {
        "Degrees, 1:12, 3/12, 3 in 12 or 25 %. A minus sign where it falls into the room."
    } else {
        "Heights are from the floor. Two or three places say more than a slope: ceilings are seldom straight."
    };
    ui.add(Label::new(RichText::new(hint).font(small()).color(palette.quiet)).wrap());
    if Tape::would_lose(session.project()) {
        let lost = "The room as drawn has more corners than stand here. Using this ceiling replaces them.";
        ui.add(Label::new(RichText::new(lost).font(small()).color(palette.near)).wrap());
    }
}

/// One row: its name, one or two numbers, and what is to be said of them.
fn numbers(
    ui: &mut Ui,
    name: &str,
    fields: &[TapeField],
    session: &Session,
    columns: Columns,
    palette: &Palette,
    actions: &mut Vec<Action>,
) {
    let project = session.project();
    let mut notes = Vec::new();
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = Columns::GAP;
        let free = if fields.len() == 1 { columns.figures + Columns::GAP } else { 0.0 };
        row_name(ui, name, columns.name + free, palette);
        for field in fields {
            let called = field.name();
            let number = NumberField {
                name: &called,
                value: session.tape().value(*field, project),
                fallback: Fallback::Words(field.empty_words()),
                quantity: field.quantity(),
                units: project.units(),
                fraction: session.fraction(),
                decimals: 0,
                width: columns.figures,
            };
            let outcome = number.show(ui, Id::unique(("tape", field, session.documents_opened())), |_| Ok(()));
            let moved = outcome.nudged.map(|by| number.value.map_or(by, |value| value + by));
            if let Some(value) = outcome.entered.or(moved.map(Some)) {
                actions.push(Action::View(ViewAction::Note(TapeNote::Number(*field, value))));
            }
            notes.extend(outcome.note);
        }
    });
    for note in notes {
        say(ui, &note);
    }
}

/// The button, and what is still missing for it.
fn make(ui: &mut Ui, part: TapePart, session: &Session, palette: &Palette, actions: &mut Vec<Action>) {
    let made = session.tape().made(part, session.project());
    let is_new = made.as_ref().is_ok_and(|made| made != session.project());
    let button = egui::Button::new(part.button()).min_size(vec2(TARGET, TARGET));
    if ui.add_enabled(is_new, button).clicked() {
        actions.push(Action::Edit(Edit::Set(Setting::Measured(part))));
    }
    let words = match &made {
        Err(reason) => reason.as_str(),
        Ok(_) if is_new => return,
        Ok(_) => "The room is drawn as measured.",
    };
    ui.add(Label::new(RichText::new(words).font(small()).color(palette.quiet)).wrap());
}

/// What stands in the room already.
fn in_the_room(ui: &mut Ui, session: &Session, palette: &Palette, actions: &mut Vec<Action>) {
    let project = session.project();
    if project.room.solids.is_empty() {
        return;
    }
    ui.label(RichText::new("In the room").font(body()).color(palette.quiet));
    for index in 0..project.room.solids.len() {
        let name = solid_name(project, index);
        let remove = egui::Button::new(format!("Remove {}", name.to_lowercase())).min_size(vec2(TARGET, TARGET));
        if ui.add(remove).clicked() {
            actions.push(Action::Edit(Edit::Set(Setting::RemoveSolid(index))));
        }
    }
}
