//! The picked bar: its layers beside each other, the nearest first, and its sizes.

use egui::{Align, Label, Layout, Margin, Panel, Rect, RichText, Sense, Stroke, Ui, pos2, vec2};
use nalgebra::{Isometry2, Vector2};
use overarm_shopfiles::drawing::chords;
use overarm_shopfiles::sheet::figures::{bore, with_unit};
use overarm_solver::parts::left_part;
use overarm_solver::{
    BarSolid, BoreStep, Build, HingeBore, LayerShape, Part, PartName, Point, Project, StepKind, Units, show_length,
};

use super::sketch::{fill_on_screen, tone};
use super::theme::{Palette, body_bold, small};
use super::toolbar::quiet;
use crate::session::{Action, Session, ViewAction};

/// Height that one layer may take, points.
const MOST_HEIGHT: f64 = 48.0;

/// The bars, in the order in which they are offered.
pub const BARS: [PartName; 4] = [PartName::WallBar, PartName::PanelBar, PartName::LowerArm, PartName::UpperArm];

/// A part's name at the start of a line.
#[must_use]
pub fn title(name: PartName) -> String {
    capital(name.words())
}

/// With a capital.
fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| format!("{}{}", first.to_uppercase(), letters.as_str()))
}

/// Height of the panel of rules below which a picked bar would leave nothing of them.
const LOW: f32 = 460.0;

/// Whether the picked bar has no room of its own, and stands at the head of the rules instead.
#[must_use]
pub fn is_among_rules(ui: &Ui) -> bool {
    ui.available_height() < LOW
}

/// Draws the picked bar at the foot of the panel, if there is one.
pub fn show(ui: &mut Ui, session: &mut Session) -> Vec<Action> {
    let mut actions = Vec::new();
    let analysis = session.analysis();
    let Some(bar) = session.picked_bar().and_then(|name| analysis.solids.bar(name)) else { return actions };
    let frame = egui::Frame::NONE.inner_margin(Margin { left: 0, right: 8, top: 8, bottom: 4 });
    Panel::bottom("bar").resizable(false).frame(frame).show(ui, |ui| picked(ui, session, bar, &mut actions));
    actions
}

/// Draws the picked bar, if there is one, where a list is scrolled; a bar just picked comes into view.
pub fn show_among_rules(ui: &mut Ui, session: &mut Session) -> Vec<Action> {
    let mut actions = Vec::new();
    let analysis = session.analysis();
    let name = session.picked_bar();
    let id = ui.scope_id().with("bar seen last");
    let before = ui.data_mut(|data| std::mem::replace(data.get_temp_mut_or_default::<Option<PartName>>(id), name));
    let Some(bar) = name.and_then(|name| analysis.solids.bar(name)) else { return actions };
    let frame = egui::Frame::NONE.inner_margin(Margin { left: 0, right: 16, top: 0, bottom: 8 });
    let shown = frame.show(ui, |ui| picked(ui, session, bar, &mut actions)).response;
    if before != name {
        shown.scroll_to_me(Some(Align::Min));
    }
    actions
}

fn picked(ui: &mut Ui, session: &Session, bar: &BarSolid, actions: &mut Vec<Action>) {
    let palette = Palette::of(ui.ctx());
    ui.spacing_mut().item_spacing.y = 2.0;
    ui.horizontal(|ui| {
        ui.label(RichText::new(title(bar.name)).font(body_bold()).color(palette.ink));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let close = ui.add(quiet("Let go"));
            if close.on_hover_text("Show all bars again. Escape").clicked() {
                actions.push(Action::View(ViewAction::PickBar(None)));
            }
        });
    });
    let lying = Lying::new(bar);
    let project = session.project();
    let part = left_part(project, bar);
    let halves: Vec<&LayerShape> = bar.layers.iter().rev().collect();
    // Short bars fit beside each other; long ones are larger one above the other.
    let beside = f64::from(0.5 * ui.available_width()) / lying.size.x >= MOST_HEIGHT / lying.size.y;
    if beside && halves.len() > 1 {
        ui.columns(halves.len(), |columns| {
            for (ui, shape) in columns.iter_mut().zip(halves) {
                layer(ui, bar, &part, shape, &lying, project, &palette);
            }
        });
    } else {
        for shape in halves {
            layer(ui, bar, &part, shape, &lying, project, &palette);
        }
    }
    ui.add_space(4.0);
    // Read, not pressed: rows may be lower than targets.
    ui.spacing_mut().interact_size.y = 18.0;
    for (what, size) in sizes(&part, &lying, project.units()) {
        ui.horizontal(|ui| {
            ui.add(Label::new(RichText::new(what).font(small()).color(palette.quiet)));
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                ui.add(Label::new(RichText::new(size).font(small()).color(palette.ink)));
            });
        });
    }
    let hands = if part.is_handed { "Left and right are two different parts." } else { "Left and right are alike." };
    ui.add(Label::new(RichText::new(hands).font(small()).color(palette.quiet)).wrap());
}

/// A bar laid down with its length to the right; upper ends and panel ends at the right.
struct Lying {
    from_bar: Isometry2<f64>,
    least: Point,
    size: Vector2<f64>,
}

impl Lying {
    fn new(bar: &BarSolid) -> Self {
        let upright = matches!(bar.name, PartName::WallBar | PartName::PanelBar);
        let turn = if upright { -std::f64::consts::FRAC_PI_2 } else { 0.0 };
        let from_bar = Isometry2::new(Vector2::zeros(), turn);
        let corners = bar.layers.iter().flat_map(|shape| &shape.pieces).flat_map(|piece| chords(piece, 0.01));
        let start = (Point::new(f64::INFINITY, f64::INFINITY), Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY));
        let (least, most) = corners
            .map(|corner| from_bar * corner)
            .fold(start, |so_far, corner| (so_far.0.inf(&corner), so_far.1.sup(&corner)));
        Self { from_bar, least, size: most - least }
    }
}

/// One layer, with what is cut from it shown as a dashed rest of the whole.
fn layer(
    ui: &mut Ui,
    bar: &BarSolid,
    part: &Part,
    shape: &LayerShape,
    lying: &Lying,
    project: &Project,
    palette: &Palette,
) {
    let width = ui.available_width();
    let scale = (f64::from(width - 4.0) / lying.size.x).min(MOST_HEIGHT / lying.size.y);
    #[allow(clippy::cast_possible_truncation)] // at most the panel's width
    let drawn = vec2((lying.size.x * scale) as f32, (lying.size.y * scale) as f32);
    let words = format!("{}, {}", shape.layer.words(project.bars.build), show_length(shape.depth, project.units()));
    let words = if shape.pieces.is_empty() { format!("{words}: all cut") } else { words };
    ui.add(Label::new(RichText::new(words).font(small()).color(palette.quiet)));
    let (place, response) = ui.allocate_exact_size(vec2(width, drawn.y + 6.0), Sense::hover());
    response.widget_info(|| {
        let name = format!("{}, {}", title(bar.name), shape.layer.words(project.bars.build));
        egui::WidgetInfo::labeled(egui::Role::Image, true, name)
    });
    let origin = Rect::from_min_size(place.min + vec2(2.0, 3.0), drawn);
    let exact = |corner: Point| {
        let from_least = (lying.from_bar * corner - lying.least) * scale;
        [f64::from(origin.left()) + from_least.x, f64::from(origin.bottom()) - from_least.y]
    };
    #[allow(clippy::cast_possible_truncation)] // the screen is f32
    let on_screen = |corner: Point| {
        let [x, y] = exact(corner);
        pos2(x as f32, y as f32)
    };
    let painter = ui.painter();
    let closed =
        |piece: &[Point]| piece.iter().chain(piece.first()).map(|corner| on_screen(*corner)).collect::<Vec<_>>();
    let off = 0.1 / scale;
    for whole in bar.layers.iter().filter(|whole| !whole.bores.is_empty()).flat_map(|whole| &whole.pieces) {
        let line = closed(&chords(whole, off));
        painter.extend(egui::Shape::dashed_line(&line, Stroke::new(1.0, palette.quiet), 5.0, 3.0));
    }
    for piece in &shape.pieces {
        let corners = chords(piece, off);
        let area = corners.iter().map(|corner| exact(*corner)).collect();
        fill_on_screen(painter, area, place.expand(2.0), tone(palette, shape.layer));
        painter.add(egui::Shape::closed_line(
            corners.iter().map(|c| on_screen(*c)).collect(),
            Stroke::new(1.5, palette.ink),
        ));
    }
    // A bore goes through every layer that has material around it; its seats stand around it.
    for (bore, hinge) in bar.layers.iter().flat_map(|shape| &shape.bores).zip(&part.hinges) {
        #[allow(clippy::cast_possible_truncation)] // a few points
        let radius = |diameter: f64| ((0.5 * diameter * scale) as f32).max(2.0);
        let dashed = shape.bores.is_empty();
        let at = on_screen(bore.centre);
        let stroke = Stroke::new(1.0, if dashed { palette.quiet } else { palette.ink });
        let ground = if dashed { egui::Color32::TRANSPARENT } else { palette.side };
        for step in cylinders(hinge) {
            painter.circle(at, radius(step.diameter[0]), ground, stroke);
        }
    }
}

/// The cylinders of a bore that differ, the widest first.
fn cylinders(hinge: &HingeBore) -> Vec<&BoreStep> {
    let mut steps: Vec<_> = hinge.steps.iter().filter(|step| step.kind != StepKind::LeadIn).collect();
    steps.sort_by(|one, other| other.diameter[0].total_cmp(&one.diameter[0]));
    steps.dedup_by(|one, other| one.kind == other.kind && (one.diameter[0] - other.diameter[0]).abs() < 1e-9);
    steps
}

fn sizes(part: &Part, lying: &Lying, units: Units) -> Vec<(String, String)> {
    let outer = [("Length", lying.size.x), ("Width", lying.size.y), ("Depth", part.depth)];
    let mut sizes: Vec<(String, String)> =
        outer.map(|(what, mm)| (what.to_owned(), show_length(mm, units))).into_iter().collect();
    if let [first, second] = &part.hinges[..] {
        let apart = (second.centre - first.centre).norm();
        sizes.push(("Pivots apart".to_owned(), with_unit(&bore(apart, units), units)));
    }
    for hinge in &part.hinges {
        for step in cylinders(hinge) {
            let what = match (step.kind, &hinge.pressed_from[..]) {
                (StepKind::Seat, [_, _, ..]) => "Bearing seats, 2 each".to_owned(),
                (kind, _) => capital(kind.words()),
            };
            let class = step.class.as_ref().map_or_else(String::new, |class| format!(" {class}"));
            let row = (what, format!("Ø{}{class}", with_unit(&bore(step.diameter[0], units), units)));
            // Both hinges of a part are mostly alike.
            if !sizes.contains(&row) {
                sizes.push(row);
            }
        }
    }
    sizes
}

/// One row for each bar: what it is, how it is built.
pub fn choices(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    let build = match session.project().bars.build {
        Build::Lapped => "Lapped: all four in one depth, each cut where the others pass.",
        Build::Sandwich => "Sandwich: lower arm outside, upper arm inside, the bars between them.",
    };
    let palette = Palette::of(ui.ctx());
    ui.add(Label::new(RichText::new(build).font(small()).color(palette.quiet)).wrap());
    ui.horizontal_wrapped(|ui| {
        for name in BARS {
            let picked = session.picked_bar() == Some(name);
            if ui.add(egui::Button::selectable(picked, title(name))).clicked() {
                actions.push(Action::View(ViewAction::PickBar((!picked).then_some(name))));
            }
        }
    });
    ui.add_space(8.0);
}

#[cfg(test)]
mod tests {
    use super::*;
    use overarm_solver::{Options, analyse};

    #[test]
    fn what_the_part_has_is_told() {
        let project = crate::session::demo();
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let told = |name: PartName, units: Units| {
            let bar = analysis.solids.bar(name).expect("a bar");
            sizes(&left_part(&project, bar), &Lying::new(bar), units)
        };
        let has = |rows: &[(String, String)], what: &str, size: &str| {
            assert!(
                rows.iter().any(|row| row.0 == what && row.1.replace('\u{a0}', " ") == size),
                "{what} {size}: {rows:?}"
            );
        };
        // A 608 bearing, 8 × 22 × 7 (ISO 15), sits in the bars with N7; tests/golden: pivots 90.097732 apart,
        // which are 3.547155 in.
        let wall = told(PartName::WallBar, Units::Millimetre);
        has(&wall, "Bearing seats, 2 each", "Ø22.000 mm N7");
        has(&wall, "Pivots apart", "90.098 mm");
        assert!(
            wall.iter().any(|row| row.0 == "Clearance bore") && !wall.iter().any(|row| row.1.contains("Ø8.")),
            "{wall:?}"
        );
        has(&told(PartName::WallBar, Units::FeetInch), "Pivots apart", "3.5472\"");
        has(&told(PartName::WallBar, Units::Inch), "Bearing seats, 2 each", "Ø0.8661 in N7");
        // Pins are pressed into the arms.
        let arm = told(PartName::LowerArm, Units::Millimetre);
        assert!(arm.iter().any(|row| row.0 == "Pin bore" && row.1.starts_with("Ø8.000")), "{arm:?}");
        assert!(!arm.iter().any(|row| row.0.starts_with("Bearing seat")), "{arm:?}");
    }
}
