//! Views and what can be done about a rule, driven by accessible names; no GPU.

use std::time::{Duration, Instant};

use egui::{Vec2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use overarm::window::{App, Start};
use overarm_solver::{Options, Rule, TravelWanted, analyse};

type Window = Harness<'static, Option<App>>;

/// The harness keeps 8 points free on each side.
const MARGINS: Vec2 = vec2(16.0, 16.0);

fn open_window(file: Option<std::path::PathBuf>) -> Window {
    let start = Start { file, ..Start::default() };
    let mut start = Some(start);
    let mut window = Harness::builder().with_size(vec2(1280.0, 800.0) + MARGINS).with_max_steps(12).build_ui_state(
        move |ui, app: &mut Option<App>| {
            app.get_or_insert_with(|| App::new(ui.ctx(), start.take().unwrap_or_default())).show(ui);
        },
        None,
    );
    window.run();
    window
}

fn app(window: &Window) -> &App {
    window.state().as_ref().expect("the first frame makes the window's state")
}

/// Runs frames until something has come about; work happens on other threads.
fn wait_until(window: &mut Window, what: &str, done: impl Fn(&Window) -> bool) {
    let patience = Instant::now() + Duration::from_secs(60);
    while !done(window) {
        assert!(Instant::now() < patience, "waited in vain until {what}");
        std::thread::sleep(Duration::from_millis(5));
        window.step();
    }
    window.run();
}

fn press(window: &mut Window, label: &str) {
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
    let mut window = open_window(Some(file));
    wait_until(&mut window, "the file is open", |w| *app(w).session().project() == project.clone());
    let project = overarm_solver::Project::clone(app(&window).session().project());
    assert_eq!(holds(&project, Rule::StopsOnFold), Some(false));

    press(&mut window, Rule::StopsOnFold.title());
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
    let mut window = open_window(None);
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
