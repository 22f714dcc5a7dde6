//! Forces in the window: where rules fail along the travel, plots, arrows on the drawing, and the
//! pages of drive, hinges and fixings; driven by accessible names, no GPU.

use std::time::{Duration, Instant};

use egui::accesskit::Role;
use egui::{Key, Modifiers, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use overarm::session::{Detail, Plotted, demo};
use overarm::window::{App, Start};
use overarm_solver::Project;

type Window = Harness<'static, Option<App>>;

fn window_of(width: f32, height: f32, start: Start) -> Window {
    let mut start = Some(start);
    // The harness keeps 8 points free on each side.
    let size = vec2(width + 16.0, height + 16.0);
    let mut window = Harness::builder().with_size(size).with_max_steps(24).build_ui_state(
        move |ui, app: &mut Option<App>| {
            app.get_or_insert_with(|| App::new(ui.ctx(), start.take().unwrap_or_default())).show(ui);
        },
        None,
    );
    window.run();
    window
}

fn open_window() -> Window {
    window_of(1280.0, 800.0, Start::default())
}

/// A window on a project that differs from the demo.
fn open_on(change: impl FnOnce(&mut Project)) -> Window {
    let mut project = demo();
    change(&mut project);
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("board.overarm.json");
    overarm_shopfiles::project_file::save(&path, &project).expect("a temporary folder can be written");
    let mut window = window_of(1280.0, 800.0, Start { file: Some(path), ..Start::default() });
    let patience = Instant::now() + Duration::from_secs(20);
    while *app(&window).session().project() != project {
        assert!(Instant::now() < patience, "the file was never opened");
        std::thread::sleep(Duration::from_millis(5));
        window.step();
    }
    window.run();
    window
}

fn app(window: &Window) -> &App {
    window.state().as_ref().expect("the first frame makes the window's state")
}

fn press_keys(window: &mut Window, modifiers: Modifiers, key: Key) {
    window.key_press_modifiers(modifiers, key);
    window.run();
}

fn click(window: &mut Window, label: &str) {
    window.get_by_label(label).click();
    window.run();
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
    assert!(window.query_by_label_contains("may carry 120 N").is_none_or(|node| node.role() == Role::Button));
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
    click(&mut window, "Pull");
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
    let figures = |window: &Window| {
        let node = window.get_by(|node| {
            node.role() == Role::Label && node.value().or(node.label()).is_some_and(|said| said.starts_with("Strap pull"))
        });
        node.value().or(node.label()).expect("figures")
    };
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
    click(&mut window, "Forces");
    assert!(!app(&window).session().shows(Detail::Forces));
    assert!(window.query_by_label_contains("Forces at the pose shown").is_none());
}
