//! Everything that can be done, in one list that is searched by typing.

use egui::{Align2, Key, Label, RichText, Role, ScrollArea, Sense, TextEdit, Ui, WidgetInfo, vec2};
use overarm_solver::{PartName, Rule};

use super::bar_panel::{BARS, title};
use super::history_list::note;
use super::theme::{Palette, ROW, TARGET, body, small};
use crate::session::{Action, COMMANDS, Command, Detail, Session, Shortcut, ViewAction};

/// What is typed and which entry the keyboard is at.
#[derive(Clone, Debug, Default)]
pub struct ActionList {
    typed: String,
    at: usize,
}

/// Something that can be done.
struct Entry {
    label: String,
    help: String,
    keys: String,
    action: Action,
    /// Why it cannot be done now.
    not_now: Option<&'static str>,
}

impl ActionList {
    /// Draws it; `just_opened` empties the field and puts the keyboard into it.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        session: &Session,
        palette: &Palette,
        just_opened: bool,
        actions: &mut Vec<Action>,
    ) {
        if just_opened {
            *self = Self::default();
        }
        let (down, up, run, close) = ui.input_mut(|input| {
            let pressed = |key| input.key_pressed(key);
            (pressed(Key::ArrowDown), pressed(Key::ArrowUp), pressed(Key::Enter), pressed(Key::Escape))
        });
        let label = ui.add(Label::new(RichText::new("Find an action").font(small()).color(palette.quiet)));
        let field = TextEdit::singleline(&mut self.typed)
            .id_salt("find an action")
            .desired_width(ui.available_width() - 8.0)
            .min_size(vec2(80.0, TARGET))
            .align(Align2::LEFT_CENTER);
        let response = ui.add(field).labelled_by(label.id);
        if just_opened {
            response.request_focus();
        }
        if response.changed() {
            self.at = 0;
        }
        let mut entries: Vec<Entry> = all(session).into_iter().filter(|entry| entry.matches(&self.typed)).collect();
        entries.sort_by_key(|entry| entry.distance(&self.typed));
        let here = response.has_focus() || response.lost_focus();
        if here && down {
            self.at += 1;
        }
        if here && up {
            self.at = self.at.saturating_sub(1);
        }
        self.at = self.at.min(entries.len().saturating_sub(1));
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 0.0;
            if entries.is_empty() {
                if run && response.lost_focus() {
                    // What is typed next is no command.
                    response.request_focus();
                }
                note(ui, palette, "Nothing of this name. Fewer letters find more.");
            }
            for (index, entry) in entries.iter().enumerate() {
                let chosen = index == self.at;
                let row = row(ui, entry, chosen, palette);
                if chosen && here && (up || down) {
                    row.scroll_to_me(None);
                }
                let by_key = chosen && run && response.lost_focus();
                if (row.clicked() || by_key) && entry.not_now.is_none() {
                    // The page goes first: what is done next may want its place or the keyboard.
                    actions.push(Action::Command(Command::AllActions));
                    if entry.action != Action::Command(Command::AllActions) {
                        actions.push(entry.action.clone());
                    }
                }
                if by_key && entry.not_now.is_some() {
                    response.request_focus();
                }
            }
        });
        if close && response.lost_focus() {
            actions.push(Action::Command(Command::AllActions));
        }
    }
}

impl Entry {
    /// How far what was typed is from its name: it begins with it, a word of it does, it is somewhere
    /// in it, or only in what else is said.
    fn distance(&self, typed: &str) -> u8 {
        let (label, typed) = (self.label.to_lowercase(), typed.trim().to_lowercase());
        match () {
            () if label.starts_with(&typed) => 0,
            () if label.split_whitespace().any(|word| word.starts_with(&typed)) => 1,
            () if label.contains(&typed) => 2,
            () => 3,
        }
    }

    /// Whether every word that was typed stands in it somewhere.
    fn matches(&self, typed: &str) -> bool {
        let text = format!("{} {} {}", self.label, self.help, self.keys).to_lowercase();
        typed.to_lowercase().split_whitespace().all(|word| text.contains(word))
    }
}

/// Commands first, then what is shown, then what can be picked.
fn all(session: &Session) -> Vec<Entry> {
    let commands = COMMANDS.iter().map(|words| {
        let keys = [words.shortcut, words.other_shortcut].into_iter().flatten().map(Shortcut::words);
        Entry {
            label: words.label.to_owned(),
            help: words.help.to_owned(),
            keys: keys.collect::<Vec<_>>().join(", "),
            action: Action::Command(words.command),
            not_now: not_now(words.command, session),
        }
    });
    let entry = |label: String, help: &str, view| Entry {
        label,
        help: help.to_owned(),
        keys: String::new(),
        action: Action::View(view),
        not_now: None,
    };
    let details = Detail::ALL.into_iter().map(|detail| {
        let shown = session.shows(detail);
        let verb = if shown { "Hide" } else { "Show" };
        let label = format!("{verb} {}", detail.name().to_lowercase());
        entry(label, detail.help(), ViewAction::Show(detail, !shown))
    });
    let rules = Rule::ALL.into_iter().map(|rule| {
        let label = format!("Rule: {}", rule.title());
        entry(label, "Show its worst pose and light its place.", ViewAction::Pick(Some(rule)))
    });
    let bars = BARS.into_iter().map(|bar: PartName| {
        entry(format!("Bar: {}", title(bar)), "Show this bar alone.", ViewAction::PickBar(Some(bar)))
    });
    commands.chain(details).chain(rules).chain(bars).collect()
}

fn not_now(command: Command, session: &Session) -> Option<&'static str> {
    match command {
        Command::Undo if session.history().undo_label().is_none() => Some("Nothing to take back."),
        Command::Redo if session.history().redo_label().is_none() => Some("Nothing was taken back."),
        Command::LargerText if session.settings().larger_text().is_none() => Some("It is as large as it gets."),
        Command::SmallerText if session.settings().smaller_text().is_none() => Some("It has its usual size."),
        _ => None,
    }
}

fn row(ui: &mut Ui, entry: &Entry, chosen: bool, palette: &Palette) -> egui::Response {
    let width = ui.available_width() - 8.0;
    let possible = entry.not_now.is_none();
    let help = entry.not_now.unwrap_or(&entry.help);
    let inner = width - 16.0;
    let keys = ui.painter().layout_no_wrap(entry.keys.clone(), small(), palette.quiet);
    let ink = if possible { palette.ink } else { palette.quiet };
    let name = ui.painter().layout(entry.label.clone(), body(), ink, inner - keys.size().x - 8.0);
    let text = ui.painter().layout(help.to_owned(), small(), palette.quiet, inner);
    let name_height = name.size().y.max(ROW - 8.0);
    let height = name_height + text.size().y + 10.0;
    let sense = if possible { Sense::click() } else { Sense::hover() };
    let (place, response) = ui.allocate_exact_size(vec2(width, height), sense);
    response.widget_info(|| WidgetInfo::selected(Role::Button, possible, chosen, entry.label.as_str()));
    let fill = match (chosen, response.hovered() && possible) {
        (true, _) => palette.picked_ground(),
        (false, true) => palette.pointed_ground(),
        (false, false) => palette.side,
    };
    ui.painter().rect_filled(place, 4.0, fill);
    if chosen {
        let bar = egui::Rect::from_min_size(place.min, vec2(3.0, height));
        ui.painter().rect_filled(bar, 0.0, palette.accent);
    }
    let left = place.min + vec2(8.0, 4.0);
    ui.painter().galley(egui::pos2(place.max.x - 8.0 - keys.size().x, left.y + 2.0), keys, palette.quiet);
    ui.painter().galley(left, name, ink);
    ui.painter().galley(left + vec2(0.0, name_height), text, palette.quiet);
    response
}
