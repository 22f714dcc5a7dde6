//! The scripted hand: takes a pivot, leads it round in a small loop, lets it go.

use egui::{Event, Modifiers, PointerButton, Pos2, vec2};

/// Frames of one drag; the first and the last press and let go.
pub const DRAG: usize = 100;
/// How far the loop leads away from where the pivot was taken, points.
const REACH: f32 = 40.0;

/// What the hand does in a frame of its drag.
pub fn events(start: Pos2, frame: usize) -> Vec<Event> {
    let step = frame % DRAG;
    let turn = std::f32::consts::TAU * step as f32 / DRAG as f32;
    // Out and back on a loop through the start: a drag ends where it began.
    let at = start + REACH * vec2(turn.sin(), 1.0 - turn.cos());
    let button = |pressed, pos| Event::PointerButton {
        pos,
        button: PointerButton::Primary,
        pressed,
        modifiers: Modifiers::NONE,
    };
    match step {
        0 => vec![Event::PointerMoved(start), button(true, start)],
        last if last + 1 == DRAG => vec![Event::PointerMoved(start), button(false, start)],
        _ => vec![Event::PointerMoved(at)],
    }
}

/// Where a node of that name is in an accessibility tree, points at one pixel a point.
pub fn place_of(update: &egui::accesskit::TreeUpdate, name: &str) -> Option<Pos2> {
    let (_, node) = update.nodes.iter().find(|(_, node)| node.label() == Some(name))?;
    let bounds = node.bounds()?;
    Some(egui::pos2(((bounds.x0 + bounds.x1) / 2.0) as f32, ((bounds.y0 + bounds.y1) / 2.0) as f32))
}
