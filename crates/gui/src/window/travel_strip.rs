//! The travel from hung to parked: a rail with its events, play, figures of the pose, and plots on
//! the same axis.

use egui::{
    Align2, EventFilter, Frame, Key, Margin, Modifiers, Panel, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2,
};
use overarm_solver::{Analysis, EventKind, FailingStretch};

use super::icons::paint_play;
use super::pose_figures::{self, PoseFigures};
use super::theme::{Palette, TARGET, body, small};
use super::trouble::AlongRail;
use super::{plots, rules_panel, toolbar, trouble};
use crate::session::{Action, Command, Session, ViewAction};

/// Room at both ends of the rail: play at the left, the travel's figure at the right; the plots
/// put the figures of their axes there.
pub const GUTTER: f32 = 56.0;

const RAIL_ROW: f32 = 34.0;
const MARGIN: f32 = 4.0;

/// Draws the strip; the plots get what the drawing can spare, where they do not stand in its place.
pub fn show(
    ui: &mut Ui,
    session: &mut Session,
    plots_open: bool,
    plots_above: bool,
    window: egui::Vec2,
) -> Vec<Action> {
    let mut actions = Vec::new();
    let palette = Palette::of(ui.ctx());
    let analysis = session.analysis();
    let plot_height = if plots_open { spare_height(window) } else { 0.0 };
    let frame = Frame::NONE.fill(palette.side).inner_margin(Margin::symmetric(8, 4));
    let figures = PoseFigures::of(ui, session, &analysis, plots_open || plots_above, ui.available_width() - 16.0);
    let height = RAIL_ROW + figures.height() + plot_height;
    Panel::bottom("travel").resizable(false).exact_size(height + 2.0 * MARGIN).frame(frame).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        let (row, _) = ui.allocate_exact_size(vec2(ui.available_width(), RAIL_ROW), Sense::hover());
        play(ui, row, session, &palette, &mut actions);
        let rail = Rect::from_min_max(pos2(row.left() + GUTTER, row.top()), pos2(row.right() - GUTTER, row.bottom()));
        travel_rail(ui, rail, session, &analysis, &palette, &mut actions);
        figures.show(ui, session, &palette, &mut actions);
        if plot_height > 0.0 {
            let (place, _) = ui.allocate_exact_size(vec2(ui.available_width(), plot_height), Sense::hover());
            plots::show(ui, place, session, &analysis, !figures.name_the_limits(), &mut actions);
        }
    });
    actions
}

/// What the plots may take of a window so that the drawing keeps its share.
fn spare_height(window: egui::Vec2) -> f32 {
    // The drawing keeps 60 % of the window's area, and half a percent for rounding.
    const DRAWING: f32 = 0.605;
    const LEAST: f32 = 56.0;
    const MOST: f32 = 240.0;
    let drawing_width = (window.x - rules_panel::WIDTH).max(1.0);
    let drawing_height = DRAWING * window.x * window.y / drawing_width;
    let others = toolbar::HEIGHT + RAIL_ROW + pose_figures::FIRST_ROW + 2.0 * MARGIN;
    let spare = (window.y - drawing_height - others).min(MOST).floor();
    if spare < LEAST { LEAST } else { spare }
}

fn play(ui: &Ui, row: Rect, session: &Session, palette: &Palette, actions: &mut Vec<Action>) {
    let place = Rect::from_center_size(pos2(row.left() + 18.0, row.center().y), vec2(TARGET, TARGET));
    let response = ui.interact(place, ui.scope_id().with("play"), Sense::click());
    let label = if session.is_playing() { "Pause" } else { "Play" };
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, label));
    let visuals = ui.style().interact(&response);
    ui.painter().rect(place, 4.0, visuals.weak_bg_fill, visuals.bg_stroke, egui::StrokeKind::Inside);
    paint_play(ui.painter(), place.center(), session.is_playing(), palette.ink);
    if response.on_hover_text(Command::Play.hint()).clicked() {
        actions.push(Action::Command(Command::Play));
    }
}

fn travel_rail(
    ui: &Ui,
    rail: Rect,
    session: &Session,
    analysis: &Analysis,
    palette: &Palette,
    actions: &mut Vec<Action>,
) {
    let id = ui.scope_id().with("travel");
    let y = rail.top() + 10.0;
    let x_at = |travel: f64| egui::lerp(rail.left()..=rail.right(), travel.clamp(0.0, 1.0) as f32);
    let region =
        Rect::from_min_max(pos2(rail.left() - 10.0, rail.top() - 4.0), pos2(rail.right() + 10.0, rail.bottom()));
    let response = ui.interact(region, id, Sense::click_and_drag());
    let travel = session.travel();
    if let Some(at) = pointed_at(&response) {
        choose_travel(at.x, rail, travel, actions);
    }
    keys(ui, &response, travel, actions);
    let fails = &analysis.failing;
    response.widget_info(|| {
        let mut info = WidgetInfo::slider(true, (travel * 1000.0).round() / 10.0, "Travel in percent");
        info.current_text_value = Some(format!("{:.1} %{}", travel * 100.0, trouble::words(fails)));
        info
    });

    let painter = ui.painter();
    painter.line_segment([pos2(rail.left(), y), pos2(rail.right(), y)], Stroke::new(2.0, palette.quiet));
    painter.line_segment([pos2(rail.left(), y), pos2(x_at(travel), y)], Stroke::new(4.0, palette.accent));
    trouble::paint(painter, rail, y, fails, palette);
    marks(ui, rail, y, analysis, fails, palette, &x_at);
    let knob = pos2(x_at(travel), y);
    let near = response.hovered() || response.has_focus() || response.dragged();
    let size = if near { 9.0 } else { 7.5 };
    painter.circle(knob, size, palette.paper, Stroke::new(if near { 3.0 } else { 2.5 }, palette.accent));
    painter.text(
        pos2(rail.right() + 14.0, y),
        Align2::LEFT_CENTER,
        format!("{:.0} %", travel * 100.0),
        body(),
        palette.ink,
    );
    if let Some(at) = response.hover_pos() {
        let here = fails.iter().filter(|stretch| stretch.is_at(at.x, rail));
        let said: Vec<String> = here.map(FailingStretch::sentence).collect();
        if !said.is_empty() {
            response.on_hover_text(said.join("\n\n"));
        }
    }
}

/// Chooses the travel at a place along an axis, if it is not the one shown.
pub fn choose_travel(x: f32, axis: Rect, shown: f64, actions: &mut Vec<Action>) {
    let wanted = f64::from((x - axis.left()) / axis.width()).clamp(0.0, 1.0);
    if (wanted - shown).abs() > 0.0 {
        actions.push(Action::View(ViewAction::Travel(wanted)));
    }
}

/// Where the pointer presses, or has pressed and let go within one frame.
#[must_use]
pub fn pointed_at(response: &egui::Response) -> Option<egui::Pos2> {
    let pressed = response.is_pointer_button_down_on() || response.clicked();
    response.interact_pointer_pos().filter(|_| pressed)
}

fn keys(ui: &Ui, response: &egui::Response, travel: f64, actions: &mut Vec<Action>) {
    use egui::accesskit::{Action as Wish, ActionData};
    let mut wanted = travel;
    if response.has_focus() {
        let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
        ui.input_mut(|input| {
            for (modifiers, step) in [(Modifiers::SHIFT, 0.1), (Modifiers::ALT, 0.001), (Modifiers::NONE, 0.01)] {
                for (key, sign) in
                    [(Key::ArrowRight, 1.0), (Key::ArrowUp, 1.0), (Key::ArrowLeft, -1.0), (Key::ArrowDown, -1.0)]
                {
                    for _ in 0..input.count_and_consume_key(modifiers, key) {
                        wanted += sign * step;
                    }
                }
            }
            if input.consume_key(Modifiers::NONE, Key::Home) {
                wanted = 0.0;
            }
            if input.consume_key(Modifiers::NONE, Key::End) {
                wanted = 1.0;
            }
        });
    }
    ui.input(|input| {
        for (wish, sign) in [(Wish::Increment, 1.0), (Wish::Decrement, -1.0)] {
            for _ in 0..input.num_accesskit_action_requests(response.id, wish) {
                wanted += sign * 0.01;
            }
        }
        for request in input.accesskit_action_requests(response.id, Wish::SetValue) {
            if let Some(ActionData::NumericValue(percent)) = request.data {
                wanted = percent / 100.0;
            }
        }
    });
    ui.accesskit_node_builder(response.id, |node| {
        node.set_min_numeric_value(0.0);
        node.set_max_numeric_value(100.0);
        node.set_numeric_value_step(1.0);
        node.add_action(Wish::Increment);
        node.add_action(Wish::Decrement);
        node.add_action(Wish::SetValue);
    });
    if (wanted - travel).abs() > 0.0 {
        actions.push(Action::View(ViewAction::Travel(wanted)));
    }
}

/// Hung and parked, dead points as rings, the stop as a bar, each with a word below.
fn marks(
    ui: &Ui,
    rail: Rect,
    y: f32,
    analysis: &Analysis,
    fails: &[FailingStretch],
    palette: &Palette,
    x_at: &dyn Fn(f64) -> f32,
) {
    let painter = ui.painter();
    let below = y + 8.0;
    let mut taken: Vec<egui::Rangef> = Vec::new();
    let mut word = |x: f32, align: Align2, text: &str, colour| {
        let galley = painter.layout_no_wrap(text.to_owned(), small(), colour);
        let place = align.anchor_size(pos2(x, below), galley.size());
        // Under what it names, but no farther out than the rail.
        let inwards = (rail.left() - place.left()).max(0.0) - (place.right() - rail.right()).max(0.0);
        let place = place.translate(vec2(inwards, 0.0));
        let range = place.x_range().expand(4.0);
        if taken.iter().all(|other| other.max < range.min || range.max < other.min) {
            taken.push(range);
            painter.galley(place.min, galley, colour);
        }
    };
    for stretch in fails {
        word(stretch.middle(rail), Align2::CENTER_TOP, stretch.word(), palette.fails);
    }
    let stop = analysis.stop.contact.as_ref().map(|contact| contact.pose.s).filter(|s| *s <= 1.0 + 1e-9);
    let at_its_stop = stop.is_some_and(|s| s > 0.999);
    let parked = if at_its_stop { "Parked, at its stop" } else { "Parked" };
    for (travel, text, align) in [(0.0, "Hung", Align2::LEFT_TOP), (1.0, parked, Align2::RIGHT_TOP)] {
        painter.vline(x_at(travel), y - 6.0..=y + 6.0, Stroke::new(2.0, palette.quiet));
        word(x_at(travel), align, text, palette.quiet);
    }
    if let Some(stop) = stop {
        let x = x_at(stop);
        painter.vline(x, y - 9.0..=y + 9.0, Stroke::new(3.0, palette.ink));
        if !at_its_stop {
            word(x, Align2::CENTER_TOP, "Stop", palette.ink);
        }
    }
    for event in &analysis.travel.events {
        let x = x_at(event.s);
        let text = match event.kind {
            EventKind::LowerArmDeadPoint => "Lower arm's dead point",
            EventKind::UpperArmDeadPoint => "Upper arm's dead point",
            EventKind::ChangePoint => "Change point",
            EventKind::CannotClose => "Cannot close",
        };
        let colour = if matches!(event.kind, EventKind::ChangePoint | EventKind::CannotClose) {
            palette.fails
        } else {
            palette.near
        };
        painter.circle(pos2(x, y), 4.5, palette.side, Stroke::new(1.5, colour));
        word(x, Align2::CENTER_TOP, text, colour);
        let hover = Rect::from_center_size(pos2(x, y), vec2(14.0, rail.height()));
        ui.interact(hover, ui.scope_id().with(("event", event.s.to_bits())), Sense::hover()).on_hover_text(&event.text);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_drawing_gets_its_share_where_the_window_has_one_to_give() {
        for window in [vec2(1280.0, 800.0), vec2(1600.0, 900.0), vec2(1920.0, 1080.0), vec2(2560.0, 1440.0)] {
            let strip = spare_height(window) + RAIL_ROW + pose_figures::FIRST_ROW + 2.0 * MARGIN;
            assert!(strip - spare_height(window) <= 96.0, "the strip itself is modest");
            let drawing = (window.x - rules_panel::WIDTH) * (window.y - toolbar::HEIGHT - strip);
            assert!(drawing >= 0.6 * window.x * window.y, "{window}");
        }
    }
}
