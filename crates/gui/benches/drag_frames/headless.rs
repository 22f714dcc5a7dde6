//! The window's frames without a display.

use std::time::{Duration, Instant};

use egui::{Context, Event, Pos2, RawInput, Rect, pos2};
use overarm::session::Handle;
use overarm::window::{App, Start};

use super::script;

/// Frames that are measured.
const FRAMES: usize = 1000;
/// Frames before: fonts, first rules, layout.
const WARM: usize = 200;
/// The screen that is asked for.
const SCREEN: Pos2 = pos2(1920.0, 1080.0);

/// What was measured.
#[derive(Default)]
pub struct Measured {
    /// Whole frames.
    pub frames: Vec<Duration>,
    /// Their last part.
    pub tessellations: Vec<Duration>,
    /// Frames whose rules had not come in time.
    pub stale: usize,
}

impl Measured {
    /// Each frame of the drag in the quickest of its passes.
    pub fn quickest(&self) -> Vec<Duration> {
        let frame = |step: usize| self.frames.iter().skip(step).step_by(script::DRAG).min().copied();
        (0..script::DRAG).filter_map(frame).collect()
    }
}

/// A window without a display.
pub struct Window {
    ctx: Context,
    app: App,
    clock: f64,
    pivot: Pos2,
}

impl Window {
    /// Opens it on the demo; a frame waits so long for its rules.
    pub fn open(patience: Duration) -> Self {
        let ctx = Context::default();
        let mut app = App::new(&ctx, Start::default());
        app.wait_at_most(patience);
        let mut window = Self { ctx, app, clock: 0.0, pivot: Pos2::ZERO };
        for _ in 0..20 {
            window.frame(Vec::new());
            std::thread::sleep(Duration::from_millis(10));
        }
        window.find_pivot();
        window
    }

    /// Where the pivot is that is dragged; the tree for screen readers is built for this only.
    fn find_pivot(&mut self) {
        self.ctx.enable_accesskit();
        let mut found = None;
        for _ in 0..3 {
            let output = self.run(Vec::new());
            let update = output.platform_output.accesskit_update;
            found = update.as_ref().and_then(|tree| script::place_of(tree, &Handle::WallUpper.name())).or(found);
        }
        self.ctx.disable_accesskit();
        self.pivot = found.expect("the demo shows its upper wall pivot");
    }

    /// The frame of that number in the endless scripted drag.
    pub fn drag_frame(&mut self, number: usize) -> (Duration, Duration) {
        self.frame(script::events(self.pivot, number))
    }

    /// Where the pivot is that is dragged.
    pub fn pivot(&self) -> Pos2 {
        self.pivot
    }

    /// What is shown.
    pub fn app(&self) -> &App {
        &self.app
    }

    fn run(&mut self, events: Vec<Event>) -> egui::FullOutput {
        self.clock += 1.0 / 60.0;
        let input = RawInput {
            screen_rect: Some(Rect::from_min_max(Pos2::ZERO, SCREEN)),
            time: Some(self.clock),
            events,
            ..RawInput::default()
        };
        let app = &mut self.app;
        self.ctx.run_ui(input, |ui| app.show(ui))
    }

    fn frame(&mut self, events: Vec<Event>) -> (Duration, Duration) {
        let start = Instant::now();
        let mut output = self.run(events);
        let drawn = Instant::now();
        let triangles = self.ctx.tessellate(output.shapes, output.pixels_per_point);
        let end = Instant::now();
        assert!(!triangles.is_empty(), "a frame draws something");
        output.textures_delta.clear();
        (end - start, end - drawn)
    }
}

/// When frames begin.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Pace {
    /// With the pictures of a screen of 120 Hz, as those of a window do.
    Screen,
    /// At once after the one before.
    None,
}

/// From picture to picture of that screen.
const PICTURE: Duration = Duration::from_nanos(1_000_000_000 / 120);

/// A thousand frames of dragging.
pub fn run(patience: Duration, pace: Pace) -> Measured {
    let mut window = Window::open(patience);
    let mut measured = Measured::default();
    let before = window.app().session().document().revision();
    let mut due = Instant::now();
    for number in 0..WARM + FRAMES {
        if pace == Pace::Screen {
            // A frame that comes late misses pictures.
            while due < Instant::now() {
                due += PICTURE;
            }
            std::thread::sleep(due.saturating_duration_since(Instant::now()));
        }
        let drawn = window.app().session().document().revision();
        let (whole, tessellation) = window.drag_frame(number);
        if number >= WARM {
            measured.frames.push(whole);
            measured.tessellations.push(tessellation);
            measured.stale += usize::from(window.app().session().shown_revision() < Some(drawn));
        }
    }
    let steps = window.app().session().document().revision() - before;
    assert!(steps as usize > FRAMES / 2, "the pivot was really dragged: {steps} changes");
    measured
}
