//! The rules as plain sentences with margins, worst first.

use egui::{
    Align, Button, CollapsingHeader, Frame, Layout, Margin, Panel, RichText, ScrollArea, Sense, Stroke, Ui, WidgetInfo,
    vec2,
};
use overarm_shopfiles::picture::Subject;
use overarm_solver::{Analysis, Rule, RuleFinding, Units, show_signed_margin};

use super::icons::Standing;
use super::moves_list;
use super::theme::{Palette, ROW, body, body_bold, large_bold, small};
use super::{bar_panel, drag_modes, figures_page};
use crate::session::{Action, COMMANDS, Detail, Session, Shortcut, ViewAction};

/// Width of the panel, points.
pub const WIDTH: f32 = 288.0;

/// Draws title, verdict and rules.
pub fn show(ui: &mut Ui, session: &mut Session) -> Vec<Action> {
    let mut actions = Vec::new();
    let palette = Palette::of(ui.ctx());
    let analysis = session.analysis();
    let frame = Frame::NONE.fill(palette.side).inner_margin(Margin { left: 12, right: 4, top: 8, bottom: 4 });
    Panel::right("rules").resizable(false).exact_size(WIDTH).frame(frame).show(ui, |ui| {
        header(ui, session, &analysis, &palette);
        // None of it is on the sheets of parts.
        if session.subject() != Subject::Parts {
            details(ui, session, &mut actions);
        }
        drag_modes::show(ui, session, &mut actions);
        let among = bar_panel::is_among_rules(ui);
        if !among {
            actions.extend(bar_panel::show(ui, session));
        }
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 0.0;
            if among {
                actions.extend(bar_panel::show_among_rules(ui, session));
            }
            let rules = with_pending(session, &analysis.rules);
            let (checked, unchecked) = by_urgency(&rules);
            for (finding, _) in checked {
                rule(ui, finding, session, &palette, &mut actions);
                if session.picked() == Some(finding.rule) {
                    actions.extend(moves_list::show(ui, session, finding.rule));
                    actions.extend(figures_page::link(ui, finding.rule));
                }
            }
            ui.add_space(4.0);
            if !unchecked.is_empty() {
                folded(ui, &format!("Not checked ({})", unchecked.len()), |ui| {
                    for (finding, _) in unchecked {
                        rule(ui, finding, session, &palette, &mut actions);
                    }
                });
            }
            folded(ui, "Bars", |ui| bar_panel::choices(ui, session, &mut actions));
            folded(ui, "Mouse and keys", |ui| keys(ui, &palette));
        });
    });
    actions
}

/// A finding, and the standing whose place it has in the list.
type Placed = (RuleFinding, Standing);

/// The rules; one that errors are still being drawn for says so, in the place that it had before.
fn with_pending(session: &Session, rules: &[RuleFinding]) -> Vec<Placed> {
    let pending = pending_words(session, rules);
    let placed = |finding: &RuleFinding| {
        let mut finding = finding.clone();
        let standing = Standing::of(&finding);
        match pending.filter(|_| finding.rule == Rule::PairRunsFree) {
            Some(words) => {
                words.clone_into(&mut finding.text);
                (finding, session.judged_before(Rule::PairRunsFree).map_or(standing, |before| Standing::of(&before)))
            }
            None => (finding, standing),
        }
    };
    rules.iter().map(placed).collect()
}

/// What is said of a rule that waits for errors to be drawn.
fn pending_words(session: &Session, rules: &[RuleFinding]) -> Option<&'static str> {
    let open = rules.iter().any(|finding| finding.rule == Rule::PairRunsFree && finding.holds.is_none());
    session.words_while_drawing().filter(|_| open)
}

/// Failing first, then near, then holding; the contract's order within each. The unchecked apart.
fn by_urgency(rules: &[Placed]) -> (Vec<&Placed>, Vec<&Placed>) {
    let (unchecked, mut checked): (Vec<_>, Vec<_>) =
        rules.iter().partition(|(_, standing)| *standing == Standing::NotChecked);
    checked.sort_by_key(|(_, standing)| *standing);
    (checked, unchecked)
}

fn header(ui: &mut Ui, session: &Session, analysis: &Analysis, palette: &Palette) {
    ui.add(egui::Label::new(RichText::new(session.project().title()).font(large_bold()).color(palette.ink)).wrap());
    verdict(ui, session, analysis, palette);
    ui.add_space(4.0);
}

/// How many rules hold, in a line.
pub fn verdict(ui: &mut Ui, session: &Session, analysis: &Analysis, palette: &Palette) {
    let failing = analysis.rules.iter().filter(|finding| finding.holds == Some(false)).count();
    let checked = analysis.rules.iter().filter(|finding| finding.holds.is_some()).count();
    let near = analysis.rules.iter().filter(|finding| Standing::of(finding) == Standing::Near).count();
    let (standing, verdict) = match (failing, near) {
        (0, 0) => (Standing::Holds, format!("All {checked} checked rules hold")),
        (0, _) => (Standing::Near, format!("All {checked} checked rules hold, {near} by little")),
        (1, _) => (Standing::Fails, format!("1 of {checked} checked rules fails")),
        _ => (Standing::Fails, format!("{failing} of {checked} checked rules fail")),
    };
    let verdict = match pending_words(session, &analysis.rules) {
        Some(_) => format!("{verdict}, 1 to come"),
        None => verdict,
    };
    ui.horizontal(|ui| {
        let (place, _) = ui.allocate_exact_size(vec2(16.0, ROW), Sense::hover());
        standing.paint(ui.painter(), place.center(), 14.0, palette);
        // What is of the project of a while ago says so, and is quiet.
        let (verdict, colour) = if session.is_old() {
            ("Rules of a moment ago".to_owned(), palette.quiet)
        } else {
            (verdict, standing.colour(palette))
        };
        // Wrapped: a line that is too long would push the panel over the drawing.
        ui.add(egui::Label::new(RichText::new(verdict).font(body_bold()).color(colour)).wrap());
    });
}

/// What of the drawing is shown.
fn details(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    caption(ui, "Shown on the drawing");
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.spacing_mut().button_padding.x = 8.0;
        for detail in Detail::ALL {
            let shown = session.shows(detail);
            let button = ui.add(Button::selectable(shown, RichText::new(detail.name()).font(small())));
            if button.on_hover_text(detail.help()).clicked() {
                actions.push(Action::View(ViewAction::Show(detail, !shown)));
            }
        }
    });
    ui.add_space(4.0);
}

/// What the buttons below are about.
pub fn caption(ui: &mut Ui, words: &str) {
    let colour = Palette::of(ui.ctx()).quiet;
    ui.add(egui::Label::new(RichText::new(words).font(small()).color(colour)));
}

fn rule(ui: &mut Ui, finding: &RuleFinding, session: &Session, palette: &Palette, actions: &mut Vec<Action>) {
    let standing = Standing::of(finding);
    let picked = session.picked() == Some(finding.rule);
    let margin = margin_words(finding, session.project().units());
    let indent = 24.0;
    let width = ui.available_width() - 8.0;
    let title = ui.painter().layout_no_wrap(finding.rule.title().to_owned(), body_bold(), palette.ink);
    let words = kept_together(&finding.without_field_names());
    let text = ui.painter().layout(words.clone(), small(), palette.ink, width - indent - 4.0);
    let figure = ui.painter().layout_no_wrap(margin.clone(), body(), standing.colour(palette));
    // A margin that has no room beside the name stands below it.
    let beside = indent + title.size().x + 8.0 + figure.size().x + 6.0 <= width;
    let head = if beside { ROW } else { 2.0 * ROW - 8.0 };
    let height = head + text.size().y + 8.0;

    let (place, response) = ui.allocate_exact_size(vec2(width, height), Sense::click());
    let response = response.on_hover_cursor(egui::CursorIcon::PointingHand);
    response.widget_info(|| {
        let mut info = WidgetInfo::selected(egui::Role::Button, true, picked, finding.rule.title());
        info.current_text_value = Some(format!("{} {margin} {}", standing.word(), words));
        info
    });
    if response.gained_focus() {
        response.scroll_to_me(None);
    }
    if picked || response.hovered() || response.has_focus() {
        let fill = if picked { palette.picked_ground() } else { palette.pointed_ground() };
        ui.painter().rect_filled(place, 4.0, fill);
    }
    if response.has_focus() {
        ui.painter().rect_stroke(place, 4.0, Stroke::new(2.0, palette.accent), egui::StrokeKind::Inside);
    } else if picked {
        let bar = egui::Rect::from_min_size(place.min, vec2(3.0, height));
        ui.painter().rect_filled(bar, 0.0, palette.accent);
    }
    let row = place.min.y + ROW / 2.0 + 1.0;
    standing.paint(ui.painter(), egui::pos2(place.min.x + 13.0, row), 12.0, palette);
    let title_at = egui::pos2(place.min.x + indent, row - title.size().y / 2.0);
    ui.painter().galley(title_at, title, palette.ink);
    let figure_row = if beside { row } else { row + ROW - 8.0 };
    let figure_at = egui::pos2(place.max.x - 6.0 - figure.size().x, figure_row - figure.size().y / 2.0);
    ui.painter().galley(figure_at, figure, palette.ink);
    ui.painter().galley(egui::pos2(place.min.x + indent, place.min.y + head), text, palette.ink);

    if response.clicked() {
        actions.push(Action::View(ViewAction::Pick((!picked).then_some(finding.rule))));
    }
}

/// Numbers stay in one line with their units, feet with their inches.
fn kept_together(text: &str) -> String {
    const NO_BREAK: char = '\u{a0}';
    let letters: Vec<char> = text.chars().collect();
    let number = |at: usize| letters.get(at).is_some_and(char::is_ascii_digit);
    let kept = |at: usize| {
        let before = at.checked_sub(1).map(|at| letters[at]);
        let unit = number(at.wrapping_sub(1)) && letters[at + 1..].first().is_some_and(|next| UNITS.contains(*next));
        unit || (before == Some('\'') && number(at + 1))
    };
    letters.iter().enumerate().map(|(at, letter)| if *letter == ' ' && kept(at) { NO_BREAK } else { *letter }).collect()
}

/// First letters of units: mm, in, N, kg, %, J, s, °.
const UNITS: &str = "minNk%Js°";

fn margin_words(finding: &RuleFinding, units: Units) -> String {
    finding.margin.map_or_else(String::new, |margin| show_signed_margin(margin, finding.unit, units))
}

fn folded(ui: &mut Ui, title: &str, add: impl FnOnce(&mut Ui)) {
    let fold = CollapsingHeader::new(RichText::new(title).font(body())).show_unindented(ui, add);
    // What has unfolded comes into view, however many rules stand above it.
    let is_open = fold.openness >= 1.0;
    let id = fold.header_response.id.with("was open");
    let was_open = ui.data_mut(|data| std::mem::replace(data.get_temp_mut_or(id, is_open), is_open));
    if let Some(body) = fold.body_response.filter(|_| is_open && !was_open) {
        body.scroll_to_me(None);
    }
}

/// What mouse and keys do.
fn keys(ui: &mut Ui, palette: &Palette) {
    let hands = [
        ("Go to a handle", "Tab"),
        ("Move it", "drag, or arrow keys: 1 mm"),
        ("10 mm, 0.1 mm", "Shift, Alt and arrow keys"),
        ("Give a drag up", "Escape"),
        ("Show a bar alone", "click it; Escape lets go"),
        ("Hold snaps off", "Alt while dragging"),
        ("Pan", "middle button, or Space and drag"),
        ("Zoom", "wheel or pinch"),
    ];
    let commands = COMMANDS.iter().filter_map(|words| {
        let keys = [words.shortcut, words.other_shortcut].into_iter().flatten().map(Shortcut::words);
        let keys = keys.collect::<Vec<_>>().join(", ");
        (!keys.is_empty()).then_some((words.label.to_owned(), keys))
    });
    let hands = hands.into_iter().map(|(what, how)| (what.to_owned(), how.to_owned()));
    // Read, not pressed: rows may be lower than targets.
    ui.spacing_mut().interact_size.y = 22.0;
    for (what, how) in hands.chain(commands) {
        ui.horizontal(|ui| {
            ui.add_space(24.0);
            ui.add(egui::Label::new(RichText::new(what).font(small()).color(palette.ink)));
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                ui.add_space(8.0);
                ui.add(egui::Label::new(RichText::new(how).font(small()).color(palette.quiet)));
            });
        });
    }
    ui.add_space(8.0);
}
