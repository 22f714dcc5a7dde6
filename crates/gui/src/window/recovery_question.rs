//! The question after a crash: two versions with their ages and what differs, to look at and to
//! choose from.

use egui::{Button, Grid, Label, RichText, ScrollArea, Ui};

use super::icons::Standing;
use super::question_bar::{sentence, standing_button};
use super::theme::{Palette, TARGET, body, body_bold, small};
use crate::session::{Action, Answer, Recovery, Version};

/// Draws it; `just_asked` puts the keyboard on looking, which decides nothing. The differences
/// scroll where they are higher than `list`.
pub fn show(
    ui: &mut Ui,
    recovery: &Recovery,
    just_asked: bool,
    list: f32,
    palette: &Palette,
    actions: &mut Vec<Action>,
) {
    let text = words(recovery);
    ui.horizontal_top(|ui| sentence(ui, Standing::Near, &text, palette));
    let (saved, keep) = match recovery.file {
        Some(_) => ("Look at the saved one", "Keep the saved one"),
        None => ("Look at the demo", "Keep the demo"),
    };
    ui.horizontal_wrapped(|ui| {
        for (label, version) in [(saved, Version::Saved), ("Look at the recovered one", Version::Recovered)] {
            let shown = recovery.shown == version;
            let button =
                ui.add(Button::selectable(shown, label).frame_when_inactive(true).min_size(egui::vec2(TARGET, TARGET)));
            if just_asked && version == Version::Recovered {
                button.request_focus();
            }
            if button.clicked() {
                actions.push(Action::Answer(Answer::Show(version)));
            }
        }
        ui.add_space(12.0);
        for (label, version) in [(keep, Version::Saved), ("Take the recovered one", Version::Recovered)] {
            if ui.add(standing_button(label)).clicked() {
                actions.push(Action::Answer(Answer::Take(version)));
            }
        }
    });
    if recovery.file.is_some() {
        differences(ui, recovery, list, palette);
    }
}

fn words(recovery: &Recovery) -> String {
    let [saved, recovered] = &recovery.ages;
    let promise = "Nothing is lost either way: the one not taken stays, in Undo or as a file of its own.";
    match &recovery.file {
        Some(file) => {
            let name = file.file_name().unwrap_or(file.as_os_str()).to_string_lossy();
            let fields = match recovery.differences.len() {
                1 => "1 field differs".to_owned(),
                count => format!("{count} fields differ"),
            };
            let older = if recovery.recovered_is_older { " It is older than what is saved." } else { "" };
            format!(
                "The program ended without saving. Unsaved work on {name} was kept {recovered}; \
                 the file was saved {saved}. {fields}.{older} {promise}"
            )
        }
        None => format!(
            "The program ended without saving. “{}”, which has no file yet, was kept {recovered}. {promise}",
            recovery.title
        ),
    }
}

fn differences(ui: &mut Ui, recovery: &Recovery, list: f32, palette: &Palette) {
    // Three columns side by side need some width.
    const COLUMNS: f32 = 720.0;
    let cell = |ui: &mut Ui, text: &str, colour| {
        ui.add(Label::new(RichText::new(text).font(small()).color(colour)));
    };
    if ui.available_width() < COLUMNS {
        ScrollArea::vertical().id_salt("differences").max_height(list).show(ui, |ui| {
            for change in &recovery.differences {
                let text = format!("{}: saved {}, recovered {}", change.field, change.first, change.second);
                ui.add(Label::new(RichText::new(text).font(small()).color(palette.ink)).wrap());
            }
        });
        return;
    }
    ScrollArea::both().id_salt("differences").max_height(list).show(ui, |ui| {
        ui.spacing_mut().interact_size.y = 20.0; // read, not pressed
        Grid::new("differences").num_columns(3).spacing([24.0, 2.0]).show(ui, |ui| {
            for heading in ["What differs", "Saved", "Recovered"] {
                ui.label(RichText::new(heading).font(body_bold()).color(palette.ink));
            }
            ui.end_row();
            for change in &recovery.differences {
                ui.label(RichText::new(&change.field).font(body()).color(palette.ink));
                cell(ui, &change.first, palette.quiet);
                cell(ui, &change.second, palette.ink);
                ui.end_row();
            }
        });
    });
}
