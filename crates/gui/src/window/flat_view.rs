//! Front and parts: painted from their marks; what can be dragged there lies over them.

use std::cell::RefCell;

use egui::{Align2, CursorIcon, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};
use nalgebra::Vector2;
use overarm_shopfiles::drawing::{Drawing, Hold, Line, Mark, Tone};
use overarm_solver::{Hand, PartName, Point};

use super::camera::{Camera, View, inside};
use super::sketch::handles::{self, Hands};
use super::sketch::{LineKind, Pen, camera_moves, drag_aids, tone};
use super::theme::{Palette, mix, small};
use crate::session::{Action, Handle, Session, ViewAction};

/// From line to line of small text, points.
const LINE: f32 = 18.0;

/// What such a view remembers between frames.
#[derive(Debug, Default)]
pub struct FlatView {
    camera: Option<Camera>,
    screen: Option<Rect>,
    /// In the frame before, its place was another one.
    just_moved: bool,
    panned_by: Option<Point>,
    hands: Hands,
    part_clicked: Option<(PartName, Hand)>,
}

impl FlatView {
    /// Width and height of the drawing's place, in heights of a line of small text.
    #[must_use]
    pub fn sheet(&self) -> Vector2<f64> {
        let size = self.screen.map_or(vec2(900.0, 560.0), |screen| screen.size());
        Vector2::new(inside(size.x), inside(size.y)) / f64::from(LINE)
    }

    /// The part that was clicked in this frame, where bars lie as parts.
    pub fn take_clicked_part(&mut self) -> Option<(PartName, Hand)> {
        self.part_clicked.take()
    }

    /// Fits the drawing anew with the next frame.
    pub fn fit(&mut self) {
        self.camera = None;
    }

    /// Carries a camera move out.
    pub fn look(&mut self, action: ViewAction) {
        if let (Some(camera), Some(screen)) = (&mut self.camera, self.screen) {
            camera.look(action, screen);
        }
    }

    /// Draws it into what is left of the window, with handles on it.
    pub fn show(&mut self, ui: &mut Ui, session: &mut Session, drawing: &Drawing, handles: &[Handle]) -> Vec<Action> {
        let response = ui.allocate_response(ui.available_size(), Sense::CLICK | Sense::DRAG);
        let screen = response.rect;
        if screen.width() < 1.0 || screen.height() < 1.0 {
            return Vec::new();
        }
        let moved = self.screen.replace(screen) != Some(screen);
        if moved {
            // A drawing that is laid out for its place knows the new one with the next frame.
            ui.ctx().request_repaint();
        }
        let moved = std::mem::replace(&mut self.just_moved, moved) || moved;
        let still = session.dragged().is_none();
        if self.camera.is_none_or(|camera| moved && still && camera.is_fitted()) {
            self.camera = Some(fitted(drawing, screen));
        }
        let Some(camera) = self.camera else { return Vec::new() };
        response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, drawing.title));
        let view = View { camera, screen };
        let painter = ui.painter_at(screen);
        let pen = Pen { painter: &painter, view, palette: Palette::of(ui.ctx()), lettered: RefCell::default() };
        painter.rect_filled(screen, 0.0, pen.palette.paper);
        for mark in &drawing.marks {
            paint(&pen, mark);
        }
        for (_, outline) in drawing.bars.iter().filter(|(name, _)| session.picked_bar() == Some(*name)) {
            let ring: Vec<Point> = outline.iter().chain(outline.first()).copied().collect();
            pen.line_of_width(&ring, pen.palette.accent, 3.0);
        }

        let mut actions = camera_moves(ui, &view, &mut self.panned_by);
        let bar_under = |at| drawing.bar_at(view.mm_from_screen(at));
        if response.hover_pos().and_then(bar_under).is_some() {
            ui.set_cursor_icon(CursorIcon::PointingHand);
        }
        actions.extend(handles::show(ui, &pen, session, handles, &mut self.hands));
        drag_aids::draw_hints(&pen, session.hints());
        if response.clicked() && !drawing.hands.is_empty() {
            let part_under = |at| drawing.part_at(view.mm_from_screen(at));
            // Its layers unfold beside its sheet.
            self.part_clicked = response.interact_pointer_pos().and_then(part_under);
            let bar = self.part_clicked.map(|(bar, _)| bar);
            if bar != session.picked_bar() {
                actions.push(Action::View(ViewAction::PickBar(bar)));
            }
        } else if response.clicked() {
            let bar = response.interact_pointer_pos().and_then(bar_under);
            let bar = bar.filter(|bar| session.picked_bar() != Some(*bar));
            if bar != session.picked_bar() {
                actions.push(Action::View(ViewAction::PickBar(bar)));
            }
        }
        actions
    }
}

/// The drawing with the dimensions that hang below it, which keep their size where it is small.
fn fitted(drawing: &Drawing, screen: Rect) -> Camera {
    let lines = drawing.marks.iter().filter_map(|mark| match mark {
        Mark::Size { below, .. } => Some(*below),
        _ => None,
    });
    #[allow(clippy::cast_possible_truncation)] // a few lines
    let hanging = lines.reduce(f64::max).map_or(0.0, |lines| (lines + 0.8) as f32 * LINE);
    #[allow(clippy::cast_possible_truncation)] // less than the screen
    let margin = 0.5 * (screen.height() - inside(screen.height()) as f32);
    let mut place = screen;
    place.max.y -= (hanging - margin).clamp(0.0, 0.5 * screen.height());
    let [least, greatest] = drawing.extent;
    let mut camera = Camera::fit(least, greatest, place);
    camera.stay(place, screen);
    camera
}

fn paint(pen: &Pen, mark: &Mark) {
    let palette = &pen.palette;
    match mark {
        Mark::Area { outline, tone } => pen.fill(std::slice::from_ref(outline), filled(palette, *tone)),
        Mark::Solid { outline } => {
            let area = pen.area(std::slice::from_ref(outline));
            pen.fill_area(&area, mix(palette.side, palette.hatch, 0.25));
            pen.hatch_area(&area, palette.hatch);
        }
        Mark::Line { places, line, tone } => pen.line(places, kind(*line), inked(palette, *tone)),
        Mark::Text { at, off, hold, text, brief, tone } => {
            let align = match hold {
                Hold::Left => Align2::LEFT_CENTER,
                Hold::Middle => Align2::CENTER_CENTER,
                Hold::Right => Align2::RIGHT_CENTER,
            };
            #[allow(clippy::cast_possible_truncation)] // a few lines
            let off = vec2(off.x as f32, -off.y as f32) * LINE;
            let wide = |text: &str| pen.painter.layout_no_wrap(text.to_owned(), small(), palette.ink).size().x;
            let text = match brief {
                Some((brief, room)) if f64::from(wide(text)) > room * pen.view.camera.points_per_mm() => brief,
                _ => text,
            };
            pen.label(pen.at(*at) + off, align, text, small(), inked(palette, *tone));
        }
        Mark::Size { between, below, text } => {
            let [from, to] = between.map(|place| pen.at(place));
            #[allow(clippy::cast_possible_truncation)] // a few lines
            let y = from.y.max(to.y) + *below as f32 * LINE;
            let stroke = Stroke::new(1.0, palette.quiet);
            let text_at = pos2(0.5 * (from.x + to.x), y);
            pen.painter.hline(from.x..=to.x, y, stroke);
            for end in [from, to] {
                pen.painter.vline(end.x, end.y + 3.0..=y + 4.0, stroke);
                pen.painter.line_segment([pos2(end.x - 4.0, y + 4.0), pos2(end.x + 4.0, y - 4.0)], stroke);
            }
            pen.label(text_at, Align2::CENTER_CENTER, text, small(), palette.ink);
        }
    }
}

fn kind(line: Line) -> LineKind {
    match line {
        Line::Outline => LineKind::Outline,
        Line::Thin => LineKind::Thin,
        Line::Ghost => LineKind::Ghost,
        Line::Centre => LineKind::Centre,
        Line::Hidden => LineKind::Hidden,
    }
}

fn inked(palette: &Palette, tone: Tone) -> egui::Color32 {
    match tone {
        Tone::Ink | Tone::Metal(_) | Tone::Strap | Tone::Opening => palette.ink,
        Tone::Quiet => palette.quiet,
        Tone::Faint | Tone::Beyond => palette.hatch,
        Tone::Wood => palette.wood,
    }
}

fn filled(palette: &Palette, of: Tone) -> egui::Color32 {
    match of {
        Tone::Metal(layer) => tone(palette, layer),
        Tone::Wood => palette.on_paper(palette.wood, 0.45),
        Tone::Strap => palette.on_paper(palette.accent, 0.35),
        Tone::Opening => palette.paper,
        Tone::Beyond => mix(palette.paper, palette.side, 0.7),
        Tone::Ink => palette.ink,
        Tone::Quiet => palette.quiet,
        Tone::Faint => palette.hatch,
    }
}
