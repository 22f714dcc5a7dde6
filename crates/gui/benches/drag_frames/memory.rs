//! What the window holds in memory after long dragging.

use std::process::ExitCode;
use std::time::{Duration, Instant};

use super::headless::Window;
use super::script::DRAG;

/// The most that is asked, bytes.
const MOST: u64 = 200_000_000;

/// Drags for that long, as fast as frames come, and reads what the process holds.
pub fn run(time: Duration) -> ExitCode {
    let mut window = Window::open(Duration::from_millis(8));
    let (start, before) = (Instant::now(), window.app().session().document().revision());
    let opened = resident();
    let (mut frames, mut largest) = (0, 0);
    while start.elapsed() < time {
        for _ in 0..DRAG {
            window.drag_frame(frames);
            frames += 1;
        }
        largest = largest.max(resident());
    }
    let changes = window.app().session().document().revision() - before;
    println!(
        "memory: {:.0} MB when opened, {:.0} MB at most over {} drags of {DRAG} frames in {:.0} s, {changes} changes (asked: {:.0} MB)",
        opened as f64 / 1e6,
        largest as f64 / 1e6,
        frames / DRAG,
        start.elapsed().as_secs_f64(),
        MOST as f64 / 1e6
    );
    if changes == 0 || largest == 0 || largest > MOST { ExitCode::FAILURE } else { ExitCode::SUCCESS }
}

/// Resident memory of this process, bytes; 0 where the system does not tell, which fails the run.
fn resident() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"));
    let kib = line.and_then(|line| line.split_whitespace().next()).and_then(|word| word.parse::<u64>().ok());
    kib.unwrap_or(0) * 1024
}
