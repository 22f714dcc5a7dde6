//! Forces in the window: where rules fail along the travel, plots, arrows on the drawing, and the
//! pages of drive, hinges and fixings; driven by accessible names, no GPU.

use std::time::Duration;

use egui::accesskit::Role;
use egui::{Key, Modifiers, vec2};
use egui_kittest::kittest::Queryable;
use overarm::session::{Detail, DrivePart, Plotted, demo};
use overarm::window::Start;
use overarm_solver::Project;

use crate::harness::{Window, app, figure, open_sized, open_window, open_with, press, press_keys, wait_until};

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

/// What the rail says to assistive technology.
fn rail(window: &Window) -> String {
    window.get_by_label("Travel in percent").value().expect("a rail has a value")
}

#[test]
fn where_a_rule_fails_is_told_on_the_rail_with_its_number() {
    let window = open_window();
    assert_eq!(rail(&window), "0.0 %", "nothing fails in the demo");
    let mut window = open_on(|project| {
        if let Some(drive) = &mut project.drive {
            drive.strap_limit = Some(120.0);
        }
    });
    let said = rail(&window);
    assert!(said.contains("Starts with the strap fails from ") && said.contains("may carry 120 N"), "{said}");
    // Pointed at, the same is told beside it, and only there.
    let place = window.get_by_label("Travel in percent").rect();
    window.hover_at(egui::pos2(place.left() + 0.4 * place.width(), place.center().y));
    window.run();
    std::thread::sleep(Duration::from_millis(20));
    window.run();
    let told = window.query_all_by_label_contains("Starts with the strap fails from").count();
    assert_eq!(told, 1, "a sentence where the pointer is");
}

#[test]
fn the_plots_are_chosen_by_name_and_by_key() {
    let mut window = open_window();
    let plotted = |window: &Window| app(window).session().settings().plotted;
    assert_eq!(plotted(&window), Plotted::Motion);
    window.get_by_label_contains("Plot of tilt, transmission and clearance over the travel; limits: 15.0 mm");
    window.get_by(|node| node.role() == Role::ComboBox && node.label().as_deref() == Some("What is plotted")).click();
    window.run();
    press(&mut window, "Pull");
    assert_eq!(plotted(&window), Plotted::Pull);
    window.get_by_label_contains("limits: strap may carry 450 N, stalled motor pulls ");
    for next in [Plotted::DrumTorque, Plotted::Hinges, Plotted::Motion] {
        press_keys(&mut window, Modifiers::SHIFT, Key::G);
        assert_eq!(plotted(&window), next);
    }
    // Closed, the key brings them back as they were.
    press_keys(&mut window, Modifiers::NONE, Key::G);
    assert!(window.query_by_label_contains("Plot of").is_none());
    press_keys(&mut window, Modifiers::SHIFT, Key::G);
    assert_eq!(plotted(&window), Plotted::Motion);
    window.get_by_label_contains("Plot of tilt");
}

#[test]
fn figures_beside_the_plot_are_of_the_pose_shown() {
    let mut window = open_window();
    press_keys(&mut window, Modifiers::SHIFT, Key::G);
    let figures = |window: &Window| figure(window, "Strap pull");
    let at_hung = figures(&window);
    assert!(at_hung.contains("without friction"), "{at_hung}");
    window.get_by_label("Travel in percent").focus();
    window.run();
    press_keys(&mut window, Modifiers::NONE, Key::End);
    assert_ne!(figures(&window), at_hung);
}

#[test]
fn a_plot_without_its_data_says_what_it_needs() {
    let mut window = open_on(|project| project.drive = None);
    press_keys(&mut window, Modifiers::SHIFT, Key::G);
    window.get_by_label_contains("Pull needs a strap and its drum");
}

#[test]
fn forces_are_shown_on_the_drawing_by_key_and_by_name() {
    let mut window = open_window();
    assert!(window.query_by_label_contains("Forces at the pose shown").is_none());
    press_keys(&mut window, Modifiers::NONE, Key::L);
    assert!(app(&window).session().shows(Detail::Forces));
    // 16 kg at standard gravity.
    window.get_by_label_contains("weight of the panel 157 N");
    window.get_by_label_contains("lower arm on wall bar");
    window.get_by_label_contains("The bar is 200 N long.");
    press(&mut window, "Forces");
    assert!(!app(&window).session().shows(Detail::Forces));
    assert!(window.query_by_label_contains("Forces at the pose shown").is_none());
}

/// Opens a page by its key; its title and the figures of the demo are there.
fn page(key: Key) -> Window {
    let mut window = open_window();
    press_keys(&mut window, Modifiers::NONE, key);
    window
}

fn type_into(window: &mut Window, name: &str, text: &str) {
    let field = |node: &egui_kittest::kittest::AccessKitNode<'_>| {
        node.role() == Role::TextInput && node.label().as_deref() == Some(name)
    };
    window.get_by(field).focus();
    window.run();
    window.get_by(field).type_text(text);
    window.run();
    press_keys(window, Modifiers::NONE, Key::Enter);
}

#[test]
fn the_page_of_strap_and_motor_answers_what_is_typed() {
    let mut window = page(Key::S);
    window.get_by_label("Pull at hung: 63 N");
    window.get_by_label_contains("Starts with the strap: holds, +189");
    // 0.35 N·m through 60 at 0.45: doubled, it copes twice as easily.
    window.get_by_label_contains("It gives: 1.64 times that");
    type_into(&mut window, "Motor, torque", "0.7");
    window.get_by_label_contains("It gives: 3.28 times that");
    // Then the stalled motor pulls more than the strap may carry, and the page says so.
    window.get_by_label_contains("Stalled at the stop, strap: 699 N, fails");
    type_into(&mut window, "Motor, efficiency of the gear", "1.5");
    window.get_by_label_contains("at most 1");
    press_keys(&mut window, Modifiers::NONE, Key::Escape);
    // On demand, where it comes from.
    assert!(window.query_by_label_contains("virtual work").is_none());
    press(&mut window, "Where “Start” comes from");
    window.get_by_label_contains("virtual work");
}

#[test]
fn the_page_of_hinges_chooses_bearing_and_seat() {
    let mut window = page(Key::B);
    let joints = |window: &Window| app(window).session().project().joints.clone().expect("the demo has hinges");
    window.get_by_label_contains("Static safety over the travel: ");
    window.get_by_label("Go: 21.972 mm");
    let list = |window: &mut Window, name: &str| {
        window.get_by(|node| node.role() == Role::ComboBox && node.label().as_deref() == Some(name)).scroll_to_me();
        window.run();
        window.get_by(|node| node.role() == Role::ComboBox && node.label().as_deref() == Some(name)).click();
        window.run();
    };
    list(&mut window, "Seat");
    window.get_by_label("P7").scroll_to_me();
    window.run();
    press(&mut window, "P7");
    assert_eq!(joints(&window).housing, Some(overarm_solver::HousingFit::Class("P7".to_owned())));
    // P7 at 22 mm, −14/−35 µm (ISO 286); the bearing 0/−9 µm (ISO 492).
    window.get_by_label("Go: 21.965 mm");
    window.get_by_label("Interference, least: 5 µm");
    list(&mut window, "Bearing");
    window.get_by_label("own figures").scroll_to_me();
    window.run();
    press(&mut window, "own figures");
    assert!(matches!(joints(&window).bearing, Some(overarm_solver::BearingWanted::Own(_))));
    press_keys(&mut window, Modifiers::COMMAND, Key::Z);
    press_keys(&mut window, Modifiers::COMMAND, Key::Z);
    assert_eq!(Some(joints(&window)), demo().joints, "each choice is one step");
}

#[test]
fn the_page_of_fixings_tells_defaults_and_what_is_missing() {
    let mut window = open_on(|project| {
        if let Some(fixings) = &mut project.fixings {
            fixings.duration = None;
        }
    });
    press_keys(&mut window, Modifiers::NONE, Key::W);
    window.get_by_label_contains("Safety on the design value: ");
    window.get_by_label_contains("local code");
    window.get_by(|node| node.role() == Role::TextInput && node.description().as_deref() == Some("default 0.9"));
    type_into(&mut window, "Wood, specific gravity", " ");
    window.get_by_label_contains("specific gravity of the wood that takes the thread");
    // The pages stand beside each other.
    press(&mut window, "Hinges and fits");
    window.get_by_label_contains("Static safety over the travel: ");
    press_keys(&mut window, Modifiers::NONE, Key::B);
    assert!(window.query_by_label_contains("Static safety over the travel: ").is_none(), "the key closes it");
}

#[test]
fn places_of_the_drum_are_shown_on_the_drawing_when_asked_for() {
    let mut window = page(Key::S);
    assert!(app(&window).session().places_of().is_none());
    press(&mut window, "Places for the drum");
    assert_eq!(app(&window).session().places_of(), Some(DrivePart::Drum));
    press(&mut window, "Places for the strap's end");
    assert_eq!(app(&window).session().places_of(), Some(DrivePart::Anchor));
    press(&mut window, "Places for the strap's end");
    assert_eq!(app(&window).session().places_of(), None);
}

#[test]
fn a_button_opens_the_figures_and_their_pages_stand_beside_each_other() {
    let mut window = open_sized(vec2(1440.0, 900.0), 1.0, Start::default());
    press(&mut window, "Figures");
    window.get_by_label("Most pull: 260 N at 23 %, holds");
    press(&mut window, "Hinges and fits");
    assert!(window.query_by_label_contains("Most pull:").is_none());
    press(&mut window, "Figures");
    assert!(window.query_by_label("Close page").is_none(), "the same button closes them");
    // Where there is no room for the button, the numbers have the same tabs.
    let mut window = open_window();
    assert!(window.query_by_label("Figures").is_none());
    press_keys(&mut window, Modifiers::NONE, Key::N);
    press(&mut window, "Strap and motor");
    window.get_by_label("Most pull: 260 N at 23 %, holds");
}

#[test]
fn gaps_that_catch_somebody_are_listed_and_marked_where_they_are() {
    let caught = "Between panel and wall the gap closes as the panel comes down to 62.0 mm";
    let marks = |window: &Window| window.query_all_by_label_contains(caught).count();
    let mut window = open_window();
    assert_eq!(marks(&window), 0, "quiet until asked for");
    press(&mut window, "Pinch gaps");
    assert_eq!(marks(&window), 1);
    press(&mut window, "Pinch gaps");
    assert_eq!(marks(&window), 0);
    // While their figures are shown they are marked anyway.
    press_keys(&mut window, Modifiers::NONE, Key::S);
    assert_eq!(marks(&window), 1);
    window.get_by_label_contains("Hand, panel and wall: 62.0 mm, coming down");
    window.get_by_label_contains("Least push and stroke: none is needed");
}
