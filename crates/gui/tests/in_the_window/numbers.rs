//! Numbers typed beside the drawing, driven by accessible names as a person with assistive
//! technology would; no GPU.

use egui::accesskit::Role;
use egui::{Key, Modifiers, vec2};
use egui_kittest::Node;
use egui_kittest::kittest::Queryable;
use overarm::session::{Axis, Field, Group, Spot};
use overarm::window::Start;
use overarm_solver::Units;

use crate::harness::{Window, app, open_sized, open_window, press, press_keys, project};

const HEIGHT: &str = "Upper wall pivot, height";

/// A window with the page of numbers open, by its key.
fn numbers() -> Window {
    let mut window = open_window();
    window.key_press(Key::N);
    window.run();
    window
}

fn undo_label(window: &Window) -> Option<String> {
    app(window).session().history().undo_label().map(str::to_owned)
}

fn field<'a>(window: &'a Window, name: &'a str) -> Node<'a> {
    window.get_by(|node| node.role() == Role::TextInput && node.label().as_deref() == Some(name))
}

/// Goes into a field and types: what stood there is selected and replaced.
fn type_into(window: &mut Window, name: &str, text: &str) {
    field(window, name).focus();
    window.run();
    field(window, name).type_text(text);
    window.run();
}

fn height(window: &Window) -> f64 {
    project(window).linkage.wall_upper.y
}

#[test]
fn feet_and_inches_are_echoed_applied_and_undone() {
    let mut window = numbers();
    let before = project(&window);
    assert_eq!(field(&window, HEIGHT).value().as_deref(), Some("2175.94"));
    type_into(&mut window, HEIGHT, "7' 3-1/2\"");
    window.get_by_label("= 2222.5 mm, exact");
    assert_eq!(project(&window), before, "nothing is set while typing");
    press_keys(&mut window, Modifiers::NONE, Key::Enter);
    assert!((height(&window) - 2222.5).abs() < 1e-12, "{}", height(&window));
    assert_eq!(field(&window, HEIGHT).value().as_deref(), Some("2222.5"));
    assert_eq!(undo_label(&window).as_deref(), Some("Set upper wall pivot, height"));
    assert!(field(&window, HEIGHT).is_focused(), "Tab goes on from here");
    press_keys(&mut window, Modifiers::COMMAND, Key::Z);
    assert_eq!(project(&window), before, "nothing is half typed: undo is the project's");
    assert_eq!(field(&window, HEIGHT).value().as_deref(), Some("2175.94"));
}

#[test]
fn a_refused_text_stays_with_its_reason() {
    let mut window = numbers();
    let before = project(&window);
    type_into(&mut window, HEIGHT, "1,234");
    press_keys(&mut window, Modifiers::NONE, Key::Enter);
    assert_eq!(project(&window), before);
    assert_eq!(field(&window, HEIGHT).value().as_deref(), Some("1,234"));
    window.get_by_label_contains("1234 or 1.234");
    // Going away does not lose it either.
    press_keys(&mut window, Modifiers::NONE, Key::Tab);
    assert_eq!(field(&window, HEIGHT).value().as_deref(), Some("1,234"));
    window.get_by_label_contains("1234 or 1.234");
    // What is corrected is taken.
    type_into(&mut window, HEIGHT, "2180");
    press_keys(&mut window, Modifiers::NONE, Key::Tab);
    assert!((height(&window) - 2180.0).abs() < 1e-12, "{}", height(&window));
    assert!(window.query_by_label_contains("1234 or 1.234").is_none());
}

#[test]
fn what_no_lift_can_be_is_refused_in_place() {
    let mut window = numbers();
    let before = project(&window);
    type_into(&mut window, "Panel, mass", "-3");
    press_keys(&mut window, Modifiers::NONE, Key::Enter);
    assert_eq!(project(&window), before);
    assert_eq!(undo_label(&window), None);
    window.get_by_label("0 or more is expected.");
    assert_eq!(field(&window, "Panel, mass").value().as_deref(), Some("-3"));
    press_keys(&mut window, Modifiers::NONE, Key::Escape);
    assert_eq!(field(&window, "Panel, mass").value().as_deref(), Some("16"), "Escape gives back the old");
}

#[test]
fn escape_gives_back_the_old_and_leaving_enters() {
    let mut window = numbers();
    let before = project(&window);
    type_into(&mut window, HEIGHT, "2300");
    press_keys(&mut window, Modifiers::NONE, Key::Escape);
    assert_eq!(project(&window), before);
    assert_eq!(field(&window, HEIGHT).value().as_deref(), Some("2175.94"));
    type_into(&mut window, HEIGHT, "2200 + 1/2");
    press_keys(&mut window, Modifiers::NONE, Key::Tab);
    assert!((height(&window) - 2200.5).abs() < 1e-12, "{}", height(&window));
}

#[test]
fn tabbing_through_every_number_reaches_all_and_changes_nothing() {
    let mut window = numbers();
    let before = project(&window);
    let open = [Group::Pivots, Group::Travel, Group::Panel, Group::Room];
    let fields = open.into_iter().flat_map(|group| Field::of_group(group, &before));
    let mut missing: Vec<String> = fields.map(|field| field.name(&before)).collect();
    let wanted = missing.len();
    assert!(wanted > 25, "{wanted}");
    field(&window, "Lower wall pivot, from the wall").focus();
    window.run();
    for _ in 0..wanted + 12 {
        missing.retain(|name| {
            let found = window.query_by(|node| node.role() == Role::TextInput && node.label().as_deref() == Some(name));
            !found.is_some_and(|node| node.is_focused())
        });
        press_keys(&mut window, Modifiers::NONE, Key::Tab);
    }
    assert!(missing.is_empty(), "Tab does not reach {missing:?}");
    assert_eq!(project(&window), before, "looking is not changing");
    assert_eq!(undo_label(&window), None);
}

#[test]
fn arrows_nudge_and_are_one_step() {
    let mut window = numbers();
    let before = project(&window);
    field(&window, HEIGHT).focus();
    window.run();
    press_keys(&mut window, Modifiers::NONE, Key::ArrowUp);
    press_keys(&mut window, Modifiers::SHIFT, Key::ArrowUp);
    press_keys(&mut window, Modifiers::ALT, Key::ArrowDown);
    assert!((height(&window) - before.linkage.wall_upper.y - 10.9).abs() < 1e-9, "{}", height(&window));
    press_keys(&mut window, Modifiers::COMMAND, Key::Z);
    assert_eq!(project(&window), before);
}

#[test]
fn a_default_is_shown_as_one_and_comes_back_when_the_field_is_emptied() {
    let mut window = numbers();
    let name = "Ceiling and solids, clearance wanted";
    type_into(&mut window, name, "20");
    press_keys(&mut window, Modifiers::NONE, Key::Enter);
    assert_eq!(project(&window).room.clearance, Some(20.0));
    press_keys(&mut window, Modifiers::NONE, Key::Delete);
    window.get_by_label("= default 15 mm");
    press_keys(&mut window, Modifiers::NONE, Key::Enter);
    assert_eq!(project(&window).room.clearance, None);
    type_into(&mut window, HEIGHT, "x");
    press_keys(&mut window, Modifiers::COMMAND, Key::A);
    press_keys(&mut window, Modifiers::NONE, Key::Delete);
    press_keys(&mut window, Modifiers::NONE, Key::Enter);
    window.get_by_label("Give a length.");
}

#[test]
fn what_is_half_typed_is_entered_before_it_is_saved() {
    let mut window = numbers();
    type_into(&mut window, HEIGHT, "2181");
    press_keys(&mut window, Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
    assert!((height(&window) - 2181.0).abs() < 1e-12, "{}", height(&window));
    window.get_by_label("Browse…");
}

#[test]
fn assistive_technology_sets_a_value_without_the_keyboard() {
    let mut window = numbers();
    let before = project(&window);
    field(&window, HEIGHT).set_text_value_accesskit("7' 2\"");
    window.run();
    assert!((height(&window) - 2184.4).abs() < 1e-12, "{}", height(&window));
    press(&mut window, "Undo");
    assert_eq!(project(&window), before);
    field(&window, HEIGHT).set_text_value_accesskit("7' 2\" x");
    window.run();
    assert_eq!(project(&window), before);
    assert_eq!(field(&window, HEIGHT).value().as_deref(), Some("7' 2\" x"), "refused, and kept");
}

#[test]
fn units_and_fractions_of_the_page() {
    let mut window = numbers();
    let before = project(&window);
    press(&mut window, "feet and inches");
    assert_eq!(project(&window).units, Some(Units::FeetInch));
    assert_eq!(field(&window, HEIGHT).value().as_deref(), Some("7' 1-43/64\""));
    press(&mut window, "1/16\"");
    assert_eq!(field(&window, HEIGHT).value().as_deref(), Some("7' 1-11/16\""));
    // A bare number is inches now, and what was only shown rounded is not changed by looking.
    type_into(&mut window, HEIGHT, "86");
    window.get_by_label("= 7' 2\", exact");
    press_keys(&mut window, Modifiers::NONE, Key::Enter);
    assert!((height(&window) - 2184.4).abs() < 1e-9, "{}", height(&window));
    press_keys(&mut window, Modifiers::COMMAND, Key::Z);
    press_keys(&mut window, Modifiers::COMMAND, Key::Z);
    assert_eq!(project(&window), before);
}

#[test]
fn a_ceiling_is_made_from_measurements() {
    let mut window = open_window();
    let before = project(&window);
    press_keys(&mut window, Modifiers::NONE, Key::T);
    type_into(&mut window, "Ceiling at the wall, height", "7' 6\"");
    press_keys(&mut window, Modifiers::NONE, Key::Enter);
    press(&mut window, "By slope");
    type_into(&mut window, "Ceiling, slope, rising into the room", "1:2");
    press_keys(&mut window, Modifiers::NONE, Key::Enter);
    assert_eq!(project(&window), before, "noted, not yet made");
    press(&mut window, "Use this ceiling");
    let outline = project(&window).room.outline;
    assert_eq!(outline.len(), 3);
    assert!((outline[1].y - 2286.0).abs() < 1e-9 && (outline[2].y - 3786.0).abs() < 1e-5, "{outline:?}");
    assert_eq!(undo_label(&window).as_deref(), Some("Set ceiling from measurements"));
    press_keys(&mut window, Modifiers::NONE, Key::Escape);
    press(&mut window, "Undo");
    assert_eq!(project(&window), before);
}

#[test]
fn a_beam_is_added_as_a_solid_and_taken_back() {
    let mut window = open_window();
    let before = project(&window);
    press_keys(&mut window, Modifiers::NONE, Key::T);
    press(&mut window, "Beam along the wall");
    window.run();
    for (name, text) in [
        ("Beam, from the wall to its near face", "1500"),
        ("Beam, from face to face", "10 cm"),
        ("Beam, height of its underside", "3 m"),
    ] {
        type_into(&mut window, name, text);
        press_keys(&mut window, Modifiers::NONE, Key::Enter);
    }
    press(&mut window, "Add beam");
    let solids = project(&window).room.solids;
    assert_eq!(solids.len(), 1);
    assert_eq!(solids[0].name.as_deref(), Some("Beam"));
    // It may lie further down the page than the window is high.
    window.get_by_label("Remove beam").click_accesskit();
    window.run();
    assert_eq!(project(&window), before);
    press(&mut window, "Undo");
    assert_eq!(project(&window).room.solids, solids);
    press(&mut window, "Undo");
    assert_eq!(project(&window), before);
}

#[test]
fn in_a_small_window_the_page_takes_the_place_of_the_rules() {
    // A window of 1280 × 800 with text at 200 % is as large as this.
    let mut window = open_sized(vec2(640.0, 400.0), 1.0, Start::default());
    press_keys(&mut window, Modifiers::NONE, Key::N);
    let shown = field(&window, "Lower wall pivot, from the wall").rect();
    assert!(shown.left() > 0.0 && shown.right() < 0.7 * 640.0 + 16.0, "{shown:?}");
    assert!(shown.height() >= 32.0, "{shown:?}");
    type_into(&mut window, HEIGHT, "2180");
    press_keys(&mut window, Modifiers::NONE, Key::Enter);
    assert!((height(&window) - 2180.0).abs() < 1e-12);
    press_keys(&mut window, Modifiers::NONE, Key::Escape);
    press(&mut window, "Close page");
    assert!(window.query_by(|node| node.label().as_deref() == Some(HEIGHT)).is_none());
}

#[test]
fn every_point_of_the_drawing_stands_in_the_table() {
    let window = numbers();
    let project = project(&window);
    for spot in Spot::all(&project).into_iter().filter(|spot| spot.group() == Group::Pivots) {
        for axis in Axis::BOTH {
            let name = Field::At(spot, axis).name(&project);
            assert!(field(&window, &name).value().is_some(), "{name}");
        }
    }
}
