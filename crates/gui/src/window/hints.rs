//! Three hints for the first steps, until they are sent away for good.

use egui::{Align, Frame, Label, Layout, Margin, Panel, RichText, Ui, vec2};

use super::theme::{Palette, body, body_bold};
use super::toolbar::quiet;
use crate::session::{Action, Command, Session};

/// What a newcomer needs to know to begin with.
const HINTS: [&str; 3] = [
    "Drag a blue handle: the sweep, the fold and every rule follow.",
    "Move the slider below to see the lift go from hung to parked.",
    "Click a rule for its worst place and for what would help.",
];

/// Points that one hint needs to stand beside the others.
const COLUMN: f32 = 250.0;
/// Height below which the drawing needs all of it, points.
const LEAST_HEIGHT: f32 = 300.0;
/// Points that the buttons take.
const BUTTONS: f32 = 100.0;

/// Draws them over the drawing; returns what was pressed.
pub fn show(ui: &mut Ui, session: &Session) -> Vec<Action> {
    let mut actions = Vec::new();
    // What is asked comes first.
    if !session.shows_hints() || session.asking().is_some() || ui.max_rect().height() < LEAST_HEIGHT {
        return actions;
    }
    let palette = Palette::of(ui.ctx());
    let frame = Frame::NONE.fill(palette.side).inner_margin(Margin { left: 12, right: 8, top: 4, bottom: 4 });
    let turn = ui.scope_id().with("hint whose turn it is");
    Panel::top("hints").resizable(false).frame(frame).show(ui, |ui| {
        let column = (ui.available_width() - BUTTONS) / 3.0;
        let send_away = |ui: &mut Ui, actions: &mut Vec<Action>| {
            if ui.add(quiet("Send away")).on_hover_text("Not shown again; All actions has them.").clicked() {
                actions.push(Action::Command(Command::Hints));
            }
        };
        if column >= COLUMN {
            ui.horizontal_top(|ui| {
                for number in 0..HINTS.len() {
                    one(ui, number, column - 8.0, &palette);
                }
                send_away(ui, &mut actions);
            });
            return;
        }
        // One after the other where there is no room for all.
        let number: usize = ui.data(|data| data.get_temp(turn)).unwrap_or(0) % HINTS.len();
        one(ui, number, ui.available_width(), &palette);
        ui.horizontal(|ui| {
            if ui.add(quiet("Next hint")).clicked() {
                ui.data_mut(|data| data.insert_temp(turn, number + 1));
            }
            send_away(ui, &mut actions);
        });
    });
    actions
}

fn one(ui: &mut Ui, number: usize, width: f32, palette: &Palette) {
    ui.allocate_ui_with_layout(vec2(width, 0.0), Layout::left_to_right(Align::TOP), |ui| {
        ui.set_width(width);
        ui.label(RichText::new((number + 1).to_string()).font(body_bold()).color(palette.accent));
        let hint = HINTS.get(number).copied().unwrap_or_default();
        ui.add(Label::new(RichText::new(hint).font(body()).color(palette.ink)).wrap());
    });
}
