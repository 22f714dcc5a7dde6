//! Below the picked rule: what can be done about it, each to be tried and taken back.

use egui::{Button, Frame, Margin, RichText, Role, Ui, WidgetInfo};
use overarm_solver::Rule;

use super::theme::{Palette, ROW, body, small};
use crate::session::{Action, Command, Edit, Help, Move, Session};

/// Draws the moves of the picked rule.
pub fn show(ui: &mut Ui, session: &mut Session, rule: Rule) -> Vec<Action> {
    let mut actions = Vec::new();
    let palette = Palette::of(ui.ctx());
    let help = session.help();
    let tried = session.tried(rule).map(str::to_owned);
    if help.is_none() && tried.is_none() {
        return actions;
    }
    Frame::NONE.inner_margin(Margin { left: 24, right: 12, top: 0, bottom: 8 }).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 4.0;
        if let Some(label) = tried {
            line(ui, &format!("Tried: {label}."), &palette);
            if named(ui, "Take it back", &format!("Take back: {label}")) {
                actions.push(Action::Command(Command::Undo));
            }
        }
        match help {
            Some(Help::Looking) => line(ui, "Looking for what would help…", &palette),
            Some(Help::Found(advice)) if advice.moves.is_empty() => {
                line(ui, "No single change within reach makes it hold. Several together may.", &palette);
            }
            Some(Help::Found(advice)) => {
                ui.label(RichText::new("What can I do").font(body()).color(palette.ink));
                for (number, offered) in advice.moves.iter().enumerate() {
                    if one(ui, offered, &palette) {
                        actions.push(Action::Edit(Edit::Try(rule, number)));
                    }
                }
            }
            None => {}
        }
    });
    actions
}

/// One move with its button; whether it was pressed.
fn one(ui: &mut Ui, offered: &Move, palette: &Palette) -> bool {
    ui.add(egui::Label::new(RichText::new(format!("{}.", offered.label)).font(small()).color(palette.ink)).wrap());
    then_fails(ui, &offered.then_fails, palette);
    named(ui, offered.button, &format!("{}: {}", offered.button, offered.label))
}

/// Rules that would fail for it, beside what is offered.
pub(super) fn then_fails(ui: &mut Ui, rules: &[Rule], palette: &Palette) {
    if !rules.is_empty() {
        let rules: Vec<_> = rules.iter().map(|rule| rule.title()).collect();
        let text = format!("But then these fail: {}.", rules.join(", "));
        ui.add(egui::Label::new(RichText::new(text).font(small()).color(palette.near)).wrap());
    }
}

/// A button that says to assistive technology what exactly it does.
fn named(ui: &mut Ui, text: &str, name: &str) -> bool {
    let response = ui.add(Button::new(RichText::new(text).font(body())).min_size(egui::vec2(0.0, ROW)));
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
    response.clicked()
}

fn line(ui: &mut Ui, text: &str, palette: &Palette) {
    ui.add(egui::Label::new(RichText::new(text).font(small()).color(palette.quiet)).wrap());
}
