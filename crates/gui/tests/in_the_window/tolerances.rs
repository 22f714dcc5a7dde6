//! Errors of parts in the window: drawn when edits rest, their page, plots and what can be done;
//! driven by accessible names, no GPU.

use std::time::{Duration, Instant};

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;
use overarm::session::{Drawing, demo};
use overarm::window::Start;
use overarm_solver::Project;

use crate::harness::{Window, app, open_window, open_with, press_keys, wait_until};

/// A window on a project that differs from the demo.
fn open_on(change: impl FnOnce(&mut Project)) -> Window {
    let mut project = demo();
    change(&mut project);
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("board.overarm.json");
    overarm_shopfiles::project_file::save(&path, &project).expect("a temporary folder can be written");
    let mut window = open_with(Start { file: Some(path), ..Start::default() });
    wait_until(&mut window, "the file is open", |window| *app(window).session().project() == project);
    window
}

/// Frames until errors are drawn for the project as it stands.
fn drawn(window: &mut Window) {
    let patience = Instant::now() + Duration::from_secs(60);
    while app(window).session().errors_drawing() == Drawing::Pending {
        assert!(Instant::now() < patience, "errors are never drawn");
        std::thread::sleep(Duration::from_millis(20));
        window.step();
    }
    window.run();
}

/// What the list says of a rule.
fn said(window: &Window, rule: &str) -> String {
    window.get_by_label(rule).value().expect("a rule has a value")
}

#[test]
fn the_pair_gets_its_verdict_when_edits_rest() {
    let mut window = open_window();
    drawn(&mut window);
    let before = said(&window, "Pair runs free");
    assert!(before.contains("of 100000 pairs drawn") || before.contains("Of 100000 pairs drawn"), "{before}");
    // An edit: the old figures are gone at once, the rule says what is going on, in its place.
    press_keys(&mut window, Modifiers::NONE, Key::N);
    let field = |node: &egui_kittest::kittest::AccessKitNode<'_>| {
        node.role() == Role::TextInput && node.label().as_deref() == Some("Upper wall pivot, height")
    };
    window.get_by(field).focus();
    window.run();
    window.get_by(field).type_text("2070");
    window.run();
    window.key_press(Key::Enter);
    window.step();
    window.step();
    let meanwhile = said(&window, "Pair runs free");
    assert!(meanwhile.contains("Being worked out") && !meanwhile.contains('%'), "{meanwhile}");
    drawn(&mut window);
    assert!(said(&window, "Pair runs free").contains("pairs drawn"));
}

#[test]
fn coarse_parts_fail_in_the_window_as_they_do_in_the_check() {
    let mut window = open_on(|project| {
        let tolerances = project.tolerances.get_or_insert_default();
        (tolerances.length, tolerances.offset) = (Some(0.5), Some(0.5));
    });
    drawn(&mut window);
    for rule in ["Pair runs free", "Hangs flat"] {
        let said = said(&window, rule);
        assert!(said.starts_with("fails"), "{said}");
    }
}
