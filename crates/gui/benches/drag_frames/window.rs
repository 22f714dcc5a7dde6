//! The same drag in a real window, drawn by whatever draws there.

use std::process::ExitCode;
use std::sync::mpsc::{Sender, channel};
use std::time::{Duration, Instant};

use egui::{Pos2, RawInput, Ui, ViewportCommand};
use overarm::window::{App, Start};

use super::{headless, script, tell};

/// Frames before the drag.
const WARM: usize = 60;
/// Frames of the drag.
const FRAMES: usize = 1000;

/// Times of frames: without and with tessellation and drawing.
type Times = (Vec<Duration>, Vec<Duration>);

struct Measuring {
    app: App,
    frame: usize,
    pivot: Pos2,
    times: Times,
    sender: Sender<Times>,
}

impl eframe::App for Measuring {
    fn raw_input_hook(&mut self, _ctx: &egui::Context, input: &mut RawInput) {
        if self.frame >= WARM {
            input.events = script::events(self.pivot, self.frame - WARM);
        }
    }

    fn ui(&mut self, ui: &mut Ui, frame: &mut eframe::Frame) {
        let start = Instant::now();
        self.app.show(ui);
        if self.frame >= WARM {
            self.times.0.push(start.elapsed());
            self.times.1.extend(frame.info().cpu_usage.map(Duration::from_secs_f32));
        }
        self.frame += 1;
        if self.frame == WARM + FRAMES {
            let _ = self.sender.send(std::mem::take(&mut self.times));
            ui.ctx().send_viewport_cmd(ViewportCommand::Close);
        }
        ui.ctx().request_repaint();
    }
}

/// Opens the window and tells what its frames cost.
pub fn run() -> ExitCode {
    // The same layout as without a display, so the pivot is at the same place.
    let pivot = headless::Window::open(Duration::from_millis(8)).pivot();
    let (sender, receiver) = channel();
    let options = eframe::NativeOptions {
        viewport: egui::ViewportBuilder::default().with_inner_size([1920.0, 1080.0]).with_position([0.0, 0.0]),
        multisampling: 4,
        ..Default::default()
    };
    let opened = eframe::run_native(
        "Overarm benchmark",
        options,
        Box::new(move |creation| {
            let mut app = App::new(&creation.egui_ctx, Start::default());
            app.wait_at_most(Duration::from_millis(8));
            Ok(Box::new(Measuring { app, frame: 0, pivot, times: Times::default(), sender }))
        }),
    );
    if let Err(error) = opened {
        println!("no window: {error}");
        return ExitCode::FAILURE;
    }
    let Ok((shown, whole)) = receiver.try_recv() else {
        println!("the window was closed before it had measured");
        return ExitCode::FAILURE;
    };
    tell("frame in the window, without tessellation and drawing", &shown);
    tell("frame in the window, with all that its renderer does on this processor", &whole);
    ExitCode::SUCCESS
}
