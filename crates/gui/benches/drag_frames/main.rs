//! What one frame costs while a pivot is dragged at 1920×1080, and what the window holds in memory.
//!
//!     cargo bench -p overarm                          1000 frames without a display; fails above 8.3 ms
//!     cargo bench -p overarm -- --window              1000 frames in a real window, which needs a display
//!     cargo bench -p overarm -- --memory SECONDS      drags for that long; fails above 200 MB
//!
//! Without a display a frame is everything up to the triangles: input, rules, drawing, tessellation.
//! Rasterisation is a graphics card's work and is left out there; in the window it is told apart.
//! Frames begin with the pictures of a screen of 120 Hz, and then, as the harder question, each at
//! once after the one before. The same drag is done ten times: what its frames cost in the quickest
//! pass each is told beside what all of them cost, because other work on the machine shows in the
//! latter only.

// A benchmark's figures are its output.
#![allow(clippy::print_stdout, reason = "a benchmark tells its figures")]

mod headless;
mod memory;
mod script;
mod window;

use std::process::ExitCode;
use std::time::Duration;

use headless::Pace;
use overarm::window::A_FRAME;

/// A frame of a 120 Hz screen, ms.
const ASKED_MS: f64 = 8.3;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).filter(|word| word != "--bench").collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match words[..] {
        [] => {
            // As the window has it: a frame waits so long for its rules.
            let whole = headless::run(A_FRAME, Pace::Screen);
            let p99 = tell("frame with its rules, up to the triangles, 120 a second", &whole.frames);
            tell("  of it tessellation", &whole.tessellations);
            println!("  {} of {} frames showed the rules of an earlier one", whole.stale, whole.frames.len());
            let closer = headless::run(A_FRAME, Pace::None);
            tell("frame that begins at once after the one before", &closer.frames);
            tell("  each in the quickest of its passes", &closer.quickest());
            println!("  {} of {} frames showed the rules of an earlier one", closer.stale, closer.frames.len());
            let drawn = headless::run(Duration::ZERO, Pace::None);
            tell("frame that waits for nothing", &drawn.frames);
            tell("  each in the quickest of its passes", &drawn.quickest());
            println!("load of the machine: {}", load());
            if p99 <= ASKED_MS { ExitCode::SUCCESS } else { ExitCode::FAILURE }
        }
        ["--window"] => window::run(),
        ["--memory", seconds] => match seconds.parse() {
            Ok(seconds) => memory::run(Duration::from_secs(seconds)),
            Err(_) => refuse(),
        },
        _ => refuse(),
    }
}

fn refuse() -> ExitCode {
    println!("options: none, --window, or --memory SECONDS");
    ExitCode::from(2)
}

/// What else runs, by which a figure is judged: processes that want a processor, over the last minute.
fn load() -> String {
    let load = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    load.split_whitespace().next().unwrap_or("unknown").to_owned()
}

/// One line: median, 99th percentile, longest. The 99th percentile, ms.
fn tell(what: &str, times: &[Duration]) -> f64 {
    let mut ms: Vec<f64> = times.iter().map(|time| time.as_secs_f64() * 1e3).collect();
    ms.sort_by(f64::total_cmp);
    let Some(longest) = ms.last() else {
        println!("{what}: no frame was measured");
        return f64::INFINITY;
    };
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a place in a list")]
    let at = |share: f64| ms[((ms.len() as f64 * share) as usize).min(ms.len() - 1)];
    println!(
        "{what}: p50 {:.2} ms, p99 {:.2} ms, longest {longest:.2} ms over {} frames (asked: p99 {ASKED_MS} ms)",
        at(0.5),
        at(0.99),
        ms.len()
    );
    at(0.99)
}
