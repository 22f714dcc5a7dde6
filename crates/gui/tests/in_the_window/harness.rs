//! A window to drive, and what driving one needs.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use egui::{Key, Modifiers, Vec2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use overarm::window::{App, Start};
use overarm_solver::Project;

/// The first frame makes the window's state.
pub type Window = Harness<'static, Option<App>>;

/// The harness keeps 8 points free on each side.
const MARGINS: Vec2 = vec2(16.0, 16.0);
const USUAL: Vec2 = vec2(1280.0, 800.0);

/// On the built-in demo.
pub fn open_window() -> Window {
    open_with(Start::default())
}

/// Of the usual size.
pub fn open_with(start: Start) -> Window {
    open_sized(USUAL, 1.0, start)
}

/// Of so many points, and so many pixels for each.
pub fn open_sized(size: Vec2, pixels_per_point: f32, start: Start) -> Window {
    let mut start = Some(start);
    let builder = Harness::builder().with_size(size + MARGINS).with_max_steps(24);
    let mut window = builder.with_pixels_per_point(pixels_per_point).build_ui_state(
        move |ui, app: &mut Option<App>| {
            app.get_or_insert_with(|| App::new(ui.ctx(), start.take().unwrap_or_default())).show(ui);
        },
        None,
    );
    window.run();
    window
}

pub fn app(window: &Window) -> &App {
    window.state().as_ref().expect("the first frame makes the window's state")
}

pub fn project(window: &Window) -> Project {
    app(window).session().project().clone()
}

/// Runs frames until something has come about; work happens on other threads.
pub fn wait_until(window: &mut Window, what: &str, done: impl Fn(&Window) -> bool) {
    let patience = Instant::now() + Duration::from_secs(60);
    while !done(window) {
        assert!(Instant::now() < patience, "waited in vain until {what}: {:?}", app(window).session().notice());
        std::thread::sleep(Duration::from_millis(5));
        window.step();
    }
    window.run();
}

/// What the one thing says that begins so, by its value or its label.
pub fn figure(window: &Window, start: &str) -> String {
    let found = window.get_by(|node| node.value().or(node.label()).is_some_and(|said| said.starts_with(start)));
    let node = found.accesskit_node();
    node.value().or(node.label()).expect("it was found by it")
}

/// Clicks what is called so.
pub fn press(window: &mut Window, label: &str) {
    window.get_by_label(label).click();
    window.run();
}

pub fn press_keys(window: &mut Window, modifiers: Modifiers, key: Key) {
    window.key_press_modifiers(modifiers, key);
    window.run();
}

/// A file as a desktop hands it over.
#[derive(Debug)]
struct Dropped(PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        std::fs::read(&self.0).map_err(|error| error.to_string())
    }
}

/// Drops a file on the window.
pub fn drop_file(window: &mut Window, path: &Path) {
    window.input_mut().dropped_files.push(std::sync::Arc::new(Dropped(path.to_path_buf())));
    window.run();
}
