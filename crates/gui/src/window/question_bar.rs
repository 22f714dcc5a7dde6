//! The row under the toolbar that asks for a path, or what becomes of unsaved changes.
//!
//! It pushes the drawing down instead of lying over it, and never stops anything else.

use egui::text::{CCursor, CCursorRange};
use egui::{
    Align, Button, Frame, Key, Label, Layout, Margin, Panel, ProgressBar, RichText, ScrollArea, TextEdit, Ui, Vec2,
};

use super::icons::Standing;
use super::recovery_question;
use super::theme::{Palette, TARGET, body, body_bold, small};
use super::toolbar::quiet;
use crate::session::{Action, Answer, Asking, Conflict, ConflictKind, PathQuestion, Purpose, Session, Then};

/// Width of the column in front of the fields.
const LABELS: f32 = 96.0;

/// Width below which a path and its buttons take a row each: less would hide most of the path.
const FIELD_AND_BUTTONS: f32 = 900.0;

/// The share of the window's height that a list below a question may take before it scrolls, and
/// the height that is enough for any.
const LIST: f32 = 0.17;
const LONGEST_LIST: f32 = 136.0;

/// Width of a question that stands beside the drawing.
const ASIDE: f32 = 320.0;

/// Whether the question stands beside the drawing, in the place of rules and pages: where a drawing
/// that is to be looked at would be too low below it.
#[must_use]
pub fn is_aside(session: &Session, window: Vec2) -> bool {
    const LOW: f32 = 560.0;
    window.y < LOW && matches!(session.asking(), Some(Asking::Recover(_)))
}

/// What becomes of files that are held over the window.
fn hovering(ctx: &egui::Context) -> Option<String> {
    ctx.input(|input| match &input.raw.hovered_files[..] {
        [] => None,
        [file] => {
            let name = file.path.as_deref().and_then(std::path::Path::file_name);
            Some(name.map_or_else(
                || "Let go to open the project".to_owned(),
                |name| format!("Let go to open {}", name.to_string_lossy()),
            ))
        }
        _ => Some("Let go to open the first of these files; a window holds one project".to_owned()),
    })
}

/// Draws the row, if anything is asked; `just_asked` puts the keyboard into the field, also when the
/// answer was refused.
pub fn show(ui: &mut Ui, session: &Session, just_asked: bool, window: Vec2) -> Vec<Action> {
    let mut actions = Vec::new();
    if let Some(text) = hovering(ui.ctx()) {
        Panel::top("hovering").frame(Frame::NONE.inner_margin(Margin::symmetric(12, 6))).show(ui, |ui| {
            ui.add(Label::new(RichText::new(text).font(body_bold())).truncate());
        });
    }
    let list = (LIST * window.y).min(LONGEST_LIST);
    let Some(asking) = session.asking() else { return actions };
    let palette = Palette::of(ui.ctx());
    let frame = Frame::NONE.fill(palette.side).inner_margin(Margin::symmetric(12, 6));
    if let (Asking::Recover(recovery), true) = (asking, is_aside(session, window)) {
        Panel::left("question aside").resizable(false).exact_size(ASIDE).frame(frame).show(ui, |ui| {
            ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
                recovery_question::show(ui, recovery, just_asked, LONGEST_LIST, &palette, &mut actions);
            });
        });
        return actions;
    }
    Panel::top("question").frame(frame).show(ui, |ui| match asking {
        Asking::Path(question) => {
            path(ui, session, question, just_asked, &palette, &mut actions);
            if question.purpose == Purpose::Open && !question.busy {
                ScrollArea::vertical().id_salt("recent").max_height(list).show(ui, |ui| {
                    recent(ui, question, &palette, &mut actions);
                });
            }
        }
        Asking::Unsaved(then) => unsaved(ui, session, then, just_asked, &palette, &mut actions),
        Asking::Recover(recovery) => recovery_question::show(ui, recovery, just_asked, list, &palette, &mut actions),
        Asking::Conflict(what) => conflict(ui, what, just_asked, &palette, &mut actions),
    });
    actions
}

fn path(
    ui: &mut Ui,
    session: &Session,
    question: &PathQuestion,
    just_asked: bool,
    palette: &Palette,
    actions: &mut Vec<Action>,
) {
    let making = question.busy && question.purpose == Purpose::Make;
    let mut accepted = false;
    if ui.available_width() < FIELD_AND_BUTTONS {
        let size = egui::vec2(ui.available_width(), TARGET);
        ui.allocate_ui_with_layout(size, Layout::left_to_right(Align::Center), |ui| {
            accepted |= path_field(ui, question, just_asked, palette, actions);
        });
        row(ui, |ui| accepted |= path_buttons(ui, session, question, making, actions));
    } else {
        row(ui, |ui| {
            accepted |= path_buttons(ui, session, question, making, actions);
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                accepted |= path_field(ui, question, just_asked, palette, actions);
            });
        });
    }
    if accepted {
        actions.push(Action::Answer(Answer::Accept));
    }
    match &question.problem {
        Some(problem) => below(ui, |ui| {
            if question.may_overwrite.is_some() && ui.add(standing_button("Overwrite")).clicked() {
                actions.push(Action::Answer(Answer::Overwrite));
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| sentence(ui, Standing::Fails, problem, palette));
        }),
        None if question.busy => below(ui, |ui| {
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| match session.making().filter(|_| making) {
                Some(progress) => {
                    #[allow(clippy::cast_precision_loss)] // a few dozen steps
                    let share = progress.done as f32 / progress.of.max(1) as f32;
                    let words = match session.is_stopping() {
                        true => "stopping".to_owned(),
                        false => format!("{}: {} of {}", progress.step, progress.done + 1, progress.of),
                    };
                    ui.add(ProgressBar::new(share).desired_width(160.0).animate(false));
                    ui.add(Label::new(RichText::new(words).color(palette.quiet)).truncate());
                }
                None => {
                    ui.label(RichText::new("Working on it").color(palette.quiet));
                }
            });
        }),
        None => {}
    }
}

/// The buttons of a path, from the right; whether the path was accepted.
fn path_buttons(
    ui: &mut Ui,
    session: &Session,
    question: &PathQuestion,
    making: bool,
    actions: &mut Vec<Action>,
) -> bool {
    let (stop, possible) = if making { ("Stop", !session.is_stopping()) } else { ("Cancel", true) };
    if ui.add_enabled(possible, quiet(stop)).clicked() {
        actions.push(Action::Answer(Answer::Cancel));
    }
    let accepted = ui.add_enabled(!question.busy, standing_button(question.purpose.accept_label())).clicked();
    if ui.add_enabled(!question.busy, standing_button("Browse…")).clicked() {
        actions.push(Action::Answer(Answer::Browse));
    }
    accepted
}

/// The field of a path with its name; whether the path was accepted.
fn path_field(
    ui: &mut Ui,
    question: &PathQuestion,
    just_asked: bool,
    palette: &Palette,
    actions: &mut Vec<Action>,
) -> bool {
    let label = ui.add_sized(
        [LABELS, TARGET],
        Label::new(RichText::new(question.purpose.field_label()).font(body_bold()).color(palette.ink)),
    );
    let mut typed = question.typed.clone();
    let field = TextEdit::singleline(&mut typed)
        .id_salt("path")
        .desired_width(f32::INFINITY)
        .min_size(egui::vec2(120.0, TARGET))
        .align(egui::Align2::LEFT_CENTER)
        .cursor_at_end(true);
    let shown = field.show(ui);
    let response = shown.response.response.labelled_by(label.id);
    if just_asked {
        response.request_focus();
        // All of it selected: typing replaces the proposal, End goes on from it.
        let mut state = shown.state;
        let all = CCursorRange::two(CCursor::default(), CCursor::new(question.typed.chars().count()));
        state.cursor.set_char_range(Some(all));
        state.store(ui.ctx(), response.id);
    }
    if response.changed() {
        actions.push(Action::Answer(Answer::Typed(typed)));
    }
    let accepted = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
    if accepted {
        // Without the keyboard here, letters would be taken for commands while it works.
        response.request_focus();
    }
    accepted
}

/// The files that were opened before; those that are gone say why.
fn recent(ui: &mut Ui, question: &PathQuestion, palette: &Palette, actions: &mut Vec<Action>) {
    for file in &question.recent {
        ui.horizontal(|ui| {
            ui.add_space(LABELS);
            let place = file.path.parent().map(|folder| folder.display().to_string()).unwrap_or_default();
            let button = ui.add_enabled(file.missing.is_none(), quiet(&file.name()));
            if button.clicked() {
                actions.push(Action::Answer(Answer::OpenRecent(file.path.clone())));
            }
            let words = file.missing.as_ref().map_or_else(|| place.clone(), |why| format!("{place}: {why}"));
            ui.add(Label::new(RichText::new(words).font(small()).color(palette.quiet)).truncate());
        });
    }
}

fn conflict(ui: &mut Ui, what: &Conflict, just_asked: bool, palette: &Palette, actions: &mut Vec<Action>) {
    let text = what.sentence();
    ui.horizontal_top(|ui| sentence(ui, Standing::Near, &text, palette));
    let mut choices = vec![("Save under another name", Answer::SaveElsewhere)];
    match what.kind {
        ConflictKind::ChangedOnDisk => {
            choices.push(("Read it anew", Answer::ReadAnew));
            choices.push(("Overwrite", Answer::Overwrite));
        }
        ConflictKind::OpenElsewhere => choices.push(("Save all the same", Answer::Overwrite)),
    }
    choices.push(("Cancel", Answer::Cancel));
    ui.horizontal_wrapped(|ui| {
        ui.add_space(16.0);
        for (label, answer) in choices {
            let button = ui.add(standing_button(label));
            if just_asked && answer == Answer::SaveElsewhere {
                button.request_focus();
            }
            if button.clicked() {
                actions.push(Action::Answer(answer));
            }
        }
    });
}

fn unsaved(
    ui: &mut Ui,
    session: &Session,
    then: &Then,
    just_asked: bool,
    palette: &Palette,
    actions: &mut Vec<Action>,
) {
    let next = match then {
        Then::Open(path) => format!("before {} is opened", path.display()),
        Then::OpenDemo(_) => "before the demo is opened".to_owned(),
        Then::Close => "before the window closes".to_owned(),
    };
    let text = format!("“{}” has changes that are not saved. Save them {next}?", session.project().title());
    let choices =
        [("Cancel", Answer::Cancel), ("Lose changes", Answer::LoseChanges), ("Save first", Answer::SaveFirst)];
    let mut buttons = |ui: &mut Ui| {
        for (label, what) in &choices {
            let button = ui.add(standing_button(label));
            if just_asked && *what == Answer::SaveFirst {
                button.request_focus();
            }
            if button.clicked() {
                actions.push(Action::Answer(what.clone()));
            }
        }
    };
    if ui.available_width() < FIELD_AND_BUTTONS {
        ui.horizontal_top(|ui| sentence(ui, Standing::Near, &text, palette));
        row(ui, buttons);
    } else {
        row(ui, |ui| {
            buttons(ui);
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| sentence(ui, Standing::Near, &text, palette));
        });
    }
}

/// A row of fixed height, filled from its right end.
fn row(ui: &mut Ui, add: impl FnOnce(&mut Ui)) {
    let size = egui::vec2(ui.available_width(), TARGET);
    ui.allocate_ui_with_layout(size, Layout::right_to_left(Align::Center), add);
}

/// A button with a frame.
pub fn standing_button(label: &str) -> Button<'_> {
    Button::new(label).min_size(egui::vec2(TARGET, TARGET))
}

/// A row under the fields.
fn below(ui: &mut Ui, add: impl FnOnce(&mut Ui)) {
    ui.horizontal(|ui| {
        ui.add_space(LABELS);
        // Two lines of text fit; a sentence that is longer makes the row higher.
        let size = egui::vec2(ui.available_width(), TARGET);
        ui.allocate_ui_with_layout(size, Layout::right_to_left(Align::Center), add);
    });
}

/// A sentence behind its sign.
pub fn sentence(ui: &mut Ui, standing: Standing, text: &str, palette: &Palette) {
    let (place, _) = ui.allocate_exact_size(egui::vec2(16.0, TARGET), egui::Sense::hover());
    standing.paint(ui.painter(), place.center(), 12.0, palette);
    ui.add(Label::new(RichText::new(text).font(body()).color(standing.colour(palette))).wrap());
}
