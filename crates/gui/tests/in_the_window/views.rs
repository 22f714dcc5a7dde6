//! Views and what can be done about a rule, driven by accessible names; no GPU.

use egui::vec2;
use egui_kittest::kittest::Queryable;
use overarm::window::Start;
use overarm_solver::{Options, Rule, TravelWanted, analyse};

use crate::harness::{Window, app, open_window, open_with, wait_until};

fn scroll_and_press(window: &mut Window, label: &str) {
    window.get_by_label(label).scroll_to_me();
    window.run();
    window.get_by_label(label).click();
    window.run();
}

fn holds(project: &overarm_solver::Project, rule: Rule) -> Option<bool> {
    let analysis = analyse(project, &Options { poses: 2, swept: false });
    analysis.rules.iter().find(|found| found.rule == rule).and_then(|found| found.holds)
}

#[test]
fn a_failing_rule_shows_what_can_be_done_and_it_is_tried_and_taken_back() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = folder.path().join("short.overarm.json");
    let mut project = overarm::session::demo();
    project.linkage.travel_deg = TravelWanted::Degrees(100.0);
    overarm_shopfiles::project_file::save(&file, &project).expect("a temporary folder can be written");
    let mut window = open_with(Start { file: Some(file), ..Start::default() });
    wait_until(&mut window, "the file is open", |w| *app(w).session().project() == project.clone());
    let project = overarm_solver::Project::clone(app(&window).session().project());
    assert_eq!(holds(&project, Rule::StopsOnFold), Some(false));

    scroll_and_press(&mut window, Rule::StopsOnFold.title());
    wait_until(&mut window, "something is offered", |w| w.query_by_label_contains("Try: Travel ").is_some());
    let steps = app(&window).session().history().number();
    window.get_by_label_contains("Try: Travel ").scroll_to_me();
    window.run();
    window.get_by_label_contains("Try: Travel ").click();
    window.run();
    assert_eq!(holds(app(&window).session().project(), Rule::StopsOnFold), Some(true));
    assert_eq!(app(&window).session().history().number(), steps + 1, "one step");
    assert!(app(&window).session().history().undo_label().is_some_and(|label| label.starts_with("Travel ")));

    window.get_by_label_contains("Take back: ").scroll_to_me();
    window.run();
    window.get_by_label_contains("Take back: ").click();
    window.run();
    assert_eq!(*app(&window).session().project(), project);
}

#[test]
fn the_front_view_is_chosen_by_its_tab_and_by_its_key() {
    let mut window = open_window();
    assert!(window.query_by_label("Side view").is_some() && window.query_by_label("Front view").is_none());
    window.get_by_label("Front").click();
    window.run();
    assert!(window.query_by_label("Front view").is_some() && window.query_by_label("Side view").is_none());
    window.key_press(egui::Key::Num4);
    window.run();
    assert!(window.query_by_label("Side view").is_some());
    window.key_press(egui::Key::Num5);
    window.run();
    assert!(window.query_by_label("Front view").is_some());
    assert_eq!(app(&window).session().history().undo_label(), None, "looking is no step");
}

#[test]
fn the_parts_are_shown_and_one_is_picked() {
    let mut window = open_window();
    window.get_by_label("Parts").click();
    window.run();
    assert!(window.query_by_label("Side view").is_none());
    let sheet = window.query_all_by_label("Parts").map(|node| node.rect()).max_by(|a, b| a.area().total_cmp(&b.area()));
    let sheet = sheet.expect("the parts' drawing");
    assert!(sheet.area() > 0.5 * 1280.0 * 800.0, "{sheet}");
    // The lowest row are the upper arms: their left half lies a fifth from the left.
    let at = sheet.left_bottom() + vec2(0.2 * sheet.width(), 0.0);
    let mut picked = None;
    for up in 1..80 {
        let place = at - vec2(0.0, 5.0 * up as f32);
        window.drag_at(place);
        window.drop_at(place);
        window.run();
        picked = app(&window).session().picked_bar();
        if picked.is_some() {
            break;
        }
    }
    assert_eq!(picked, Some(overarm_solver::PartName::UpperArm));
    assert!(window.query_by_label_contains("Let go").is_some(), "its layers unfold");
    assert!(window.query_by_label("Sheet: Left upper arm").is_some(), "and its sheet is seen");
    window.get_by_label("Back to all parts").click();
    window.run();
    assert!(window.query_by_label("Sheet: Left upper arm").is_none());
}

#[test]
fn parts_have_neither_a_travel_nor_what_is_drawn_on_the_side_view() {
    let mut window = open_window();
    for (key, is_there) in [(egui::Key::Num4, true), (egui::Key::Num6, false), (egui::Key::Num5, true)] {
        window.key_press(key);
        window.run();
        for label in ["Shown on the drawing", "Swept area", "Travel in percent", "Play"] {
            assert_eq!(window.query_by_label(label).is_some(), is_there, "{label} {key:?}");
        }
        let before = app(&window).session().settings().plots_open;
        window.key_press(egui::Key::G);
        window.run();
        let after = app(&window).session().settings().plots_open;
        assert_eq!(before != after, is_there, "no travel, no plots over it: {key:?}");
    }
}

#[test]
fn the_view_is_written_as_a_picture_and_nothing_is_replaced_unasked() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let mut window = open_window();
    window.key_press(egui::Key::Num5);
    window.run();
    for (name, head) in [("front.svg", b"<svg".as_slice()), ("front.png", b"\x89PNG".as_slice())] {
        let file = folder.path().join(name);
        window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::P);
        window.run();
        let field = window.get_by_label("Picture file");
        assert!(field.value().is_some_and(|text| text.ends_with("-front.png")), "a name is proposed");
        // All of it is selected: typing replaces it.
        window.event(egui::Event::Text(file.display().to_string()));
        window.run();
        window.get_by_label("Write picture").click();
        wait_until(&mut window, "it is written", |w| w.query_by_label("Picture file").is_none());
        let bytes = std::fs::read(&file).expect("the picture");
        assert!(bytes.starts_with(head), "{name}");
        assert!(name != "front.svg" || String::from_utf8_lossy(&bytes).contains("the sets"), "it is the front view");
    }
    let file = folder.path().join("front.png");
    let before = std::fs::metadata(&file).and_then(|data| data.modified()).expect("the picture");
    for (typed, told) in [("front.png", "exists already"), ("front.gif", "ends in .png or .svg")] {
        window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::P);
        window.run();
        window.event(egui::Event::Text(folder.path().join(typed).display().to_string()));
        window.run();
        window.get_by_label("Write picture").click();
        window.run();
        assert!(window.query_by_label_contains(told).is_some(), "{told}");
        window.key_press(egui::Key::Escape);
        window.run();
        window.query_by_label("Cancel").into_iter().for_each(|cancel| cancel.click());
        window.run();
    }
    assert_eq!(std::fs::metadata(&file).and_then(|data| data.modified()).expect("the picture"), before);
    assert!(!folder.path().join("front.gif").exists());
}

#[test]
fn both_sets_are_dragged_onto_studs_in_the_front_view() {
    let mut window = open_window();
    window.key_press(egui::Key::Num5);
    window.run();
    let before = app(&window).session().project().set_spacing();
    let from = window.get_by_label("Both sets").rect().center();
    window.hover_at(from);
    window.run();
    window.drag_at(from);
    window.run();
    window.hover_at(from - vec2(30.0, 12.0));
    window.run();
    window.drop_at(from - vec2(30.0, 12.0));
    window.run();
    let after = app(&window).session().project().set_spacing();
    assert!(after < before - 40.0, "{before} to {after}");
    assert_eq!(app(&window).session().history().undo_label(), Some("Move both sets"));
}

#[test]
fn hints_are_shown_until_they_are_sent_away_for_good() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let open = || {
        let places = Some(overarm::session::Places::below(folder.path()));
        open_with(Start { places, ..Start::default() })
    };
    let mut window = open();
    for hint in ["Drag a blue handle", "Move the slider", "Click a rule"] {
        assert!(window.query_by_label_contains(hint).is_some(), "{hint}");
    }
    window.get_by_label("Send away").click();
    window.run();
    assert!(window.query_by_label_contains("Drag a blue handle").is_none());
    if let Some(app) = window.state_mut() {
        app.finish();
    }
    drop(window);
    assert!(open().query_by_label_contains("Drag a blue handle").is_none(), "for good");
}
