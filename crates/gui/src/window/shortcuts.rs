//! Keys that mean commands.

use egui::{Context, Event, Key, KeyboardShortcut, Modifiers};

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
    let events = ctx.input(|input| input.events.clone());
    let mut found: Vec<(Shortcut, Command)> = keys.into_iter().filter(|(key, _)| consume(ctx, *key)).collect();
    // As they were pressed: in a slow frame, undo and then save must not become save and then undo.
    found.sort_by_key(|(key, _)| events.iter().position(|event| is_press_of(event, *key)));
    let mut actions: Vec<Action> = found.into_iter().map(|(_, command)| Action::Command(command)).collect();
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

fn is_press_of(event: &Event, shortcut: Shortcut) -> bool {
    let wanted = Key::from_name(&shortcut.key.to_string());
    matches!(event, Event::Key { key, pressed: true, modifiers, .. }
        if Some(*key) == wanted && modifiers.shift == shortcut.shift)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_of_one_frame_are_taken_as_they_were_pressed() {
        let press = |key, modifiers| Event::Key { key, physical_key: None, pressed: true, repeat: false, modifiers };
        let shifted = Modifiers::COMMAND | Modifiers::SHIFT;
        for (pressed_keys, commands) in [
            ([(Key::Z, Modifiers::COMMAND), (Key::S, Modifiers::COMMAND)], [Command::Undo, Command::Save]),
            ([(Key::S, Modifiers::COMMAND), (Key::Z, Modifiers::COMMAND)], [Command::Save, Command::Undo]),
            ([(Key::Z, Modifiers::COMMAND), (Key::Z, shifted)], [Command::Undo, Command::Redo]),
        ] {
            let events = pressed_keys.map(|(key, modifiers)| press(key, modifiers)).to_vec();
            let input = egui::RawInput { events, ..egui::RawInput::default() };
            let ctx = Context::default();
            let mut found = Vec::new();
            ctx.run_ui(input, |ui| found.extend(pressed(ui.ctx(), false))).textures_delta.clear();
            assert_eq!(found, commands.map(Action::Command));
        }
    }
}
