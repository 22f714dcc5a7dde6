//! Keys that mean commands.

use egui::{Context, Key, KeyboardShortcut, Modifiers};

use crate::session::{Action, Answer, COMMANDS, Command, Shortcut};

/// Commands whose keys were pressed in this frame.
///
/// A focused text field keeps its letters and its own undo; a number in which nothing is half typed
/// leaves undo to the project.
#[must_use]
pub fn pressed(ctx: &Context, asking: bool) -> Vec<Action> {
    let typing = ctx.text_edit_focused();
    let half_typed = typing && !super::number_field::is_at_rest(ctx);
    let mut keys: Vec<(Shortcut, Command)> = COMMANDS
        .iter()
        .flat_map(|words| [words.shortcut, words.other_shortcut].into_iter().flatten().map(|key| (key, words.command)))
        .filter(|(key, command)| {
            !typing || (key.ctrl && !(half_typed && matches!(command, Command::Undo | Command::Redo)))
        })
        .collect();
    // With Shift first: egui lets Ctrl+Shift+Z pass for Ctrl+Z.
    keys.sort_by_key(|(key, _)| !key.shift);
    let mut actions: Vec<Action> =
        keys.into_iter().filter(|(key, _)| consume(ctx, *key)).map(|(_, command)| Action::Command(command)).collect();
    if asking && ctx.input(|input| input.key_pressed(Key::Escape)) {
        actions.push(Action::Answer(Answer::Cancel));
    }
    actions
}

fn consume(ctx: &Context, shortcut: Shortcut) -> bool {
    let Some(key) = Key::from_name(&shortcut.key.to_string()) else { return false };
    let mut modifiers = if shortcut.ctrl { Modifiers::COMMAND } else { Modifiers::NONE };
    modifiers.shift = shortcut.shift;
    ctx.input_mut(|input| input.consume_shortcut(&KeyboardShortcut::new(modifiers, key)))
}
