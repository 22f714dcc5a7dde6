//! Everything is reached by name and by key, and everything says what it is.

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Node;
use egui_kittest::kittest::{AccessKitNode, By, NodeT, Queryable};
use overarm::session::{COMMANDS, Command, Handle, Shortcut};

use crate::harness::{Window, app, open_window};

fn press_shortcut(window: &mut Window, shortcut: Shortcut) {
    let key = Key::from_name(&shortcut.key.to_string()).expect("keys of commands are on keyboards");
    let modifiers = Modifiers { command: shortcut.ctrl, ctrl: shortcut.ctrl, shift: shortcut.shift, ..Modifiers::NONE };
    window.key_press_modifiers(modifiers, key);
    window.run_ok();
}

/// Everything about the window that a command may change, in words.
fn state_of(window: &Window) -> String {
    let session = app(window).session();
    let names: Vec<String> = everything(window)
        .iter()
        .map(|node| format!("{:?} {:?}", node.accesskit_node().role(), name_of(node)))
        .collect();
    format!(
        "{:?} {:?} {:?} {} {:?} {} {} {:?}",
        session.project(),
        session.settings(),
        session.asking().is_some(),
        session.is_playing(),
        session.drag_mode(),
        session.close_agreed(),
        names.join("|"),
        window.query_by_label("Side view").map(|node| node.rect()),
    )
}

fn everything(window: &Window) -> Vec<Node<'_>> {
    window.query_all(By::new().predicate(|_| true)).collect()
}

/// Whether things of this kind are there to be worked.
fn is_worked(role: Role) -> bool {
    matches!(
        role,
        Role::Button
            | Role::CheckBox
            | Role::RadioButton
            | Role::ComboBox
            | Role::Slider
            | Role::SpinButton
            | Role::TextInput
            | Role::Link
    )
}

/// What a screen reader says of a node: its own name, or that of its label.
fn name_of(node: &Node<'_>) -> Option<String> {
    let inner = node.accesskit_node();
    let own = inner.label().filter(|name| !name.trim().is_empty());
    own.or_else(|| {
        let labels: Vec<String> = inner.labelled_by().filter_map(|label| label.value().or(label.label())).collect();
        (!labels.is_empty()).then(|| labels.join(" "))
    })
}

/// Moves a pivot by the keyboard: there is something to undo.
fn nudge(window: &mut Window) {
    window.get_by_label(&Handle::WallUpper.name()).focus();
    window.run();
    window.key_press(Key::ArrowUp);
    window.run_ok();
}

/// A state of the window in which a command has something to do.
fn ready_for(command: Command) -> Window {
    let mut window = open_window();
    match command {
        Command::Undo => nudge(&mut window),
        Command::Redo => {
            nudge(&mut window);
            press_shortcut(&mut window, Command::Undo.words().shortcut.expect("undo has a key"));
        }
        Command::DragFreely => {
            press_shortcut(&mut window, Command::KeepLengths.words().shortcut.expect("it has a key"));
        }
        Command::KeepEndPoses => {
            press_shortcut(&mut window, Command::DragFreely.words().shortcut.expect("it has a key"));
        }
        Command::SmallerText | Command::UsualText => {
            press_shortcut(&mut window, Command::LargerText.words().shortcut.expect("it has a key"));
        }
        Command::FollowSystem => {
            press_shortcut(&mut window, Command::Appearance.words().shortcut.expect("it has a key"));
        }
        Command::SideView => {
            press_shortcut(&mut window, Command::FrontView.words().shortcut.expect("it has a key"));
        }
        Command::FitLift => {
            press_shortcut(&mut window, Command::FitRoom.words().shortcut.expect("it has a key"));
        }
        _ => {}
    }
    window
}

/// What shows that a command was carried out; the camera shows itself in where a pivot stands.
fn seen(window: &Window) -> String {
    let pivot = window.query_by_label(&Handle::WallUpper.name()).map(|node| node.rect());
    format!("{} {pivot:?}", state_of(window))
}

#[test]
fn every_key_does_what_it_says() {
    for words in COMMANDS {
        for shortcut in [words.shortcut, words.other_shortcut].into_iter().flatten() {
            let mut window = ready_for(words.command);
            let before = seen(&window);
            press_shortcut(&mut window, shortcut);
            assert_ne!(before, seen(&window), "{} does nothing for {}", shortcut.words(), words.label);
        }
    }
}

#[test]
fn every_command_is_carried_out_by_its_name() {
    for words in COMMANDS {
        let mut found = 0;
        let mut done = false;
        // A name may stand in the toolbar, in the list and beside its place: one of them has to work.
        for index in 0.. {
            let mut window = ready_for(words.command);
            if words.command != Command::AllActions {
                press_shortcut(&mut window, Command::AllActions.words().shortcut.expect("the list has a key"));
            }
            let before = seen(&window);
            match window.query_all_by_label(words.label).nth(index) {
                // As a screen reader does: wherever the list is scrolled to.
                Some(node) => node.click_accesskit(),
                None => break,
            }
            found += 1;
            window.run_ok();
            done |= before != seen(&window);
        }
        assert!(found > 0, "nothing is called {}", words.label);
        assert!(done, "{} does nothing by its name, which {found} nodes have", words.label);
    }
}

#[test]
fn whatever_can_be_worked_has_a_name_and_a_value() {
    let pages = [None, Some('N'), Some('T'), Some('H'), Some('A'), Some('G'), Some('E')];
    let mut wrong = Vec::new();
    for page in pages {
        let mut window = open_window();
        if let Some(key) = page {
            window.key_press(Key::from_name(&key.to_string()).expect("a letter"));
            window.run();
        }
        let mut worked = 0;
        for node in everything(&window) {
            let role = node.accesskit_node().role();
            if !is_worked(role) {
                continue;
            }
            worked += 1;
            let name = name_of(&node);
            if name.as_deref().is_none_or(|name| name.trim().is_empty()) {
                wrong.push(format!("{page:?}: a {role:?} at {} has no name", node.rect()));
            }
            let valued = node.value().is_some() || node.accesskit_node().numeric_value().is_some();
            if matches!(role, Role::Slider | Role::SpinButton | Role::TextInput) && !valued {
                wrong.push(format!("{page:?}: {role:?} {name:?} has no value"));
            }
        }
        assert!(worked > 15, "{page:?} shows {worked} things to work");
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn tab_comes_to_everything_that_can_be_worked() {
    let mut window = open_window();
    let handles: Vec<String> = Handle::in_sketch(app(&window).session().project())
        .iter()
        .map(|handle| handle.name())
        .filter(|name| window.query_by_label(name).is_some())
        .collect();
    assert!(handles.len() >= 8, "{handles:?}");
    let mut left: Vec<String> = everything(&window)
        .iter()
        .filter(|node| is_worked(node.accesskit_node().role()) && !node.accesskit_node().is_disabled())
        .filter_map(name_of)
        .collect();
    assert!(left.len() > 40, "{left:?}");
    assert!(handles.iter().all(|handle| left.contains(handle)), "{handles:?} in {left:?}");
    for _ in 0..300 {
        window.key_press(Key::Tab);
        window.run_ok();
        let focused = window.query_all(By::new().predicate(|node: &AccessKitNode<'_>| node.is_focused())).next();
        if let Some(focused) = focused {
            let name = name_of(&focused);
            left.retain(|wanted| Some(wanted) != name.as_ref());
        }
        if left.is_empty() {
            return;
        }
    }
    panic!("Tab never comes to {left:?}");
}
