//! Opening the window, and saying plainly when none can be opened.

use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::channel;

use super::App;

/// What to start with.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Start {
    /// A project file; none: the built-in demo.
    pub file: Option<PathBuf>,
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

/// How long a frame waits for an analysis: half of a sixtieth of a second. What takes longer comes a
/// few frames later.
const A_FRAME: std::time::Duration = std::time::Duration::from_millis(8);

/// Opens the window and stays until it is closed.
///
/// # Errors
/// [`NoWindow`] where the system offers no display, or a library that a window needs is missing
/// (some of those end in a panic inside the windowing libraries; it is caught).
pub fn run(start: Start) -> Result<(), NoWindow> {
    let opened = Arc::new(AtomicBool::new(false));
    let opened_inside = Arc::clone(&opened);
    let options = eframe::NativeOptions {
        viewport: egui::ViewportBuilder::default()
            .with_title("Overarm")
            .with_app_id("overarm")
            .with_icon(super::app_icon::app_icon())
            .with_inner_size([1280.0, 800.0])
            .with_min_inner_size([800.0, 560.0]),
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

type Hook = Box<dyn Fn(&std::panic::PanicHookInfo<'_>) + Sync + Send + 'static>;

fn restore(usual: &std::sync::Mutex<Option<Hook>>) {
    if let Ok(mut usual) = usual.lock()
        && let Some(hook) = usual.take()
    {
        std::panic::set_hook(hook);
    }
}
