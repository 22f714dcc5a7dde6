//! Opening the window, and saying plainly when none can be opened.

use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::channel;

use super::App;
use crate::session::{Places, Settings};

/// Width and height of the first window.
const SIZE: [f32; 2] = [1280.0, 800.0];
/// The least width and height that leave the drawing enough to be of use.
const LEAST: [f32; 2] = [800.0, 560.0];

/// What to start with.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Start {
    /// A project file; none: the built-in demo.
    pub file: Option<PathBuf>,
    /// Where unsaved work is kept and settings are remembered; none: nowhere.
    pub places: Option<Places>,
}

/// Why no window could be opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoWindow {
    /// What the system said.
    pub reason: String,
}

impl std::fmt::Display for NoWindow {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "no window can be opened: {}", self.reason)
    }
}

impl std::error::Error for NoWindow {}

/// How long after the change a frame waits for its analysis: less than half of a frame of a 120 Hz
/// screen, the rest is for drawing. What takes longer comes a frame later.
pub const A_FRAME: std::time::Duration = std::time::Duration::from_micros(3500);

/// Opens the window and stays until it is closed.
///
/// # Errors
/// [`NoWindow`] where the system offers no display, or a library that a window needs is missing
/// (some of those end in a panic inside the windowing libraries; it is caught).
pub fn run(start: Start) -> Result<(), NoWindow> {
    let opened = Arc::new(AtomicBool::new(false));
    let opened_inside = Arc::clone(&opened);
    let settings = start.places.as_ref().map(|places| Settings::read(&places.settings)).unwrap_or_default();
    let options = eframe::NativeOptions {
        viewport: viewport(&settings),
        // Four samples: fills of the drawing have no feathered edges of their own.
        multisampling: 4,
        ..Default::default()
    };
    // Until the window is there, a panic is not ours and its text belongs into our sentence.
    let (said, heard) = channel();
    let usual = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        // Nobody listens any more once the window is open; that is what `usual` is put back for.
        let _ = said.send(panic.to_string());
    }));
    let usual = Arc::new(std::sync::Mutex::new(Some(usual)));
    let usual_inside = Arc::clone(&usual);
    let outcome = catch_unwind(AssertUnwindSafe(|| {
        eframe::run_native(
            "Overarm",
            options,
            Box::new(move |creation| {
                opened_inside.store(true, Ordering::Relaxed);
                restore(&usual_inside);
                let mut app = App::new(&creation.egui_ctx, start);
                app.wait_at_most(A_FRAME);
                Ok(Box::new(app))
            }),
        )
    }));
    restore(&usual);
    match outcome {
        Ok(Ok(())) => Ok(()),
        Ok(Err(error)) => Err(NoWindow { reason: error.to_string() }),
        Err(panic) if opened.load(Ordering::Relaxed) => resume_unwind(panic),
        Err(_) => Err(NoWindow {
            reason: heard.try_iter().last().unwrap_or_else(|| "the windowing library gave up".to_owned()),
        }),
    }
}

/// The window where it stood last.
fn viewport(settings: &Settings) -> egui::ViewportBuilder {
    let plain = egui::ViewportBuilder::default()
        .with_title("Overarm")
        .with_app_id("overarm")
        .with_icon(super::app_icon::app_icon())
        .with_inner_size(SIZE)
        .with_min_inner_size(LEAST);
    let Some(window) = settings.window else { return plain };
    let size = [window.size[0].max(LEAST[0]), window.size[1].max(LEAST[1])];
    let sized = plain.with_inner_size(size).with_maximized(window.maximized);
    match window.at {
        Some(at) => sized.with_position(at),
        None => sized,
    }
}

type Hook = Box<dyn Fn(&std::panic::PanicHookInfo<'_>) + Sync + Send + 'static>;

fn restore(usual: &std::sync::Mutex<Option<Hook>>) {
    if let Ok(mut usual) = usual.lock()
        && let Some(hook) = usual.take()
    {
        std::panic::set_hook(hook);
    }
}
