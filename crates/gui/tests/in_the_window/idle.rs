//! Nothing is drawn anew while nothing changes.

use std::time::Duration;

use egui::vec2;
use egui_kittest::kittest::Queryable;
use overarm::session::{Command, Drawing};
use overarm::window::App;

use crate::harness::{Window, open_window};

fn open_at_rest() -> Window {
    let mut window = open_window();
    settle(&mut window, "after opening");
    window
}

/// Whether an analysis, or the drawing of errors, is still to come.
fn is_at_work(window: &Window) -> bool {
    let session = window.state().as_ref().map(App::session);
    session.is_some_and(|session| session.is_stale() || session.errors_drawing() == Drawing::Pending)
}

/// Frames until background work has come in and nobody asks for another one.
fn settle(window: &mut Window, when: &str) {
    let patience = std::time::Instant::now() + Duration::from_secs(20);
    while std::time::Instant::now() < patience {
        if !window.ctx.has_requested_repaint() && !is_at_work(window) {
            std::thread::sleep(Duration::from_millis(30));
            if !window.ctx.has_requested_repaint() {
                return;
            }
        }
        window.step();
        // What is written when things rest waits for the clock, not for frames.
        std::thread::sleep(Duration::from_millis(20));
    }
    panic!("twenty seconds did not bring rest, {when}: {:?}", window.ctx.repaint_causes());
}

/// A frame that the system asks for asks for none itself, and no thread asks for one later.
fn stays_at_rest(window: &mut Window, when: &str) {
    settle(window, when);
    for _ in 0..5 {
        window.step();
        assert!(!window.ctx.has_requested_repaint(), "{when}: {:?}", window.ctx.repaint_causes());
    }
    std::thread::sleep(Duration::from_millis(300));
    assert!(!window.ctx.has_requested_repaint(), "{when}, later: {:?}", window.ctx.repaint_causes());
    let wait = window.output().viewport_output[&egui::ViewportId::ROOT].repaint_delay;
    assert!(wait > Duration::from_secs(1), "{when}: the next frame is wanted after {wait:?}");
}

#[test]
fn a_window_at_rest_draws_nothing() {
    let mut window = open_at_rest();
    stays_at_rest(&mut window, "after opening");
    // The list of all actions too, whose text field has the keyboard: its caret does not blink.
    for command in [Command::Numbers, Command::Site, Command::History, Command::TogglePlots, Command::AllActions] {
        let label = command.words().label;
        window.query_all_by_label(label).next().expect("the toolbar has it").click();
        window.run();
        stays_at_rest(&mut window, label);
    }
}

#[test]
fn a_pivot_held_still_draws_nothing() {
    let mut window = open_at_rest();
    let pivot = overarm::session::Handle::WallUpper.name();
    let at = window.get_by_label(&pivot).rect().center();
    window.hover_at(at);
    window.run();
    window.drag_at(at);
    window.run();
    window.hover_at(at + vec2(12.0, 7.0));
    window.step();
    // The map of where every rule holds is refined while the pointer rests, and then done.
    let patience = std::time::Instant::now() + Duration::from_secs(20);
    while window.ctx.has_requested_repaint() || window.state().as_ref().is_some_and(|app| app.session().is_stale()) {
        assert!(std::time::Instant::now() < patience, "it never rests: {:?}", window.ctx.repaint_causes());
        window.step();
        std::thread::sleep(Duration::from_millis(50));
    }
    window.drop_at(at + vec2(12.0, 7.0));
    window.run();
    settle(&mut window, "after that");
}

#[test]
fn playing_draws_until_the_lift_is_parked_and_then_rests() {
    let mut window = open_at_rest();
    window.key_press(egui::Key::P);
    window.step();
    window.step();
    assert!(window.ctx.has_requested_repaint(), "a lift that moves is drawn anew");
    for _ in 0..4000 {
        if !window.state().as_ref().is_some_and(|app| app.session().is_playing()) {
            break;
        }
        window.step();
    }
    assert!(!window.state().as_ref().is_some_and(|app| app.session().is_playing()), "it ends");
    settle(&mut window, "after that");
}
