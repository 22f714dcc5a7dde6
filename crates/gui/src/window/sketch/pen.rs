//! The pen: millimetres in, lines of the drawing-board conventions out.
//!
//! Line kinds after ISO 128: visible outlines wide; alternative and end positions narrow
//! long-dashed double-dotted; centre lines narrow chain; hidden edges narrow dashed.

use std::cell::RefCell;

use egui::{Align2, Color32, FontId, Mesh, Painter, Pos2, Rect, Shape, Stroke};
use overarm_solver::Point;

use super::area::{self, Area};
use crate::window::camera::View;
use crate::window::theme::Palette;

/// Width of a visible outline, points.
pub const WIDE: f32 = 2.0;
/// Width of every other line: half the wide one (ISO 128 asks 1 : 2).
pub const NARROW: f32 = 1.0;

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LineKind {
    /// Visible outline.
    Outline,
    /// Narrow and continuous: dimensions, hatching.
    Thin,
    /// Narrow long-dashed double-dotted: alternative positions.
    Ghost,
    /// Narrow chain: centre lines, pivot circles.
    Centre,
    /// Narrow dashed: hidden edges.
    Hidden,
}

impl LineKind {
    fn width(self) -> f32 {
        if self == Self::Outline { WIDE } else { NARROW }
    }

    /// Dash and gap lengths in points; dots are dashes of 1.5.
    fn dashes(self) -> Option<(&'static [f32], &'static [f32])> {
        match self {
            Self::Outline | Self::Thin => None,
            Self::Ghost => Some((&[14.0, 1.5, 1.5], &[3.5, 3.5, 3.5])),
            Self::Centre => Some((&[12.0, 1.5], &[3.0, 3.0])),
            Self::Hidden => Some((&[5.0], &[3.0])),
        }
    }
}

/// A painter that understands the side view.
pub struct Pen<'a> {
    /// Paints on the screen, clipped to the drawing.
    pub painter: &'a Painter,
    /// From millimetres to the screen.
    pub view: View,
    /// The colours.
    pub palette: Palette,
    /// Where text stands already in this frame.
    pub lettered: RefCell<Vec<Rect>>,
}

impl Pen<'_> {
    /// A place of the side view on the screen.
    #[must_use]
    pub fn at(&self, place: Point) -> Pos2 {
        self.view.screen_from_mm(place)
    }

    /// Draws an open line of the side view.
    pub fn line(&self, places: &[Point], kind: LineKind, colour: Color32) {
        self.stroke(&area::clip_open(&self.exact(places), self.bounds()), kind, colour, kind.width());
    }

    /// Draws a closed line of the side view.
    pub fn ring(&self, places: &[Point], kind: LineKind, colour: Color32) {
        let Some(first) = places.first() else { return };
        let mut closed = places.to_vec();
        closed.push(*first);
        self.line(&closed, kind, colour);
    }

    /// Draws a closed line with a width of its own.
    pub fn ring_of_width(&self, places: &[Point], colour: Color32, width: f32) {
        let Some(first) = places.first() else { return };
        let mut closed = places.to_vec();
        closed.push(*first);
        self.line_of_width(&closed, colour, width);
    }

    /// Draws an open line with a width of its own.
    pub fn line_of_width(&self, places: &[Point], colour: Color32, width: f32) {
        self.stroke(&area::clip_open(&self.exact(places), self.bounds()), LineKind::Outline, colour, width);
    }

    fn stroke(&self, runs: &[Vec<Pos2>], kind: LineKind, colour: Color32, width: f32) {
        let stroke = Stroke::new(width, colour);
        for run in runs {
            match kind.dashes() {
                None => {
                    self.painter.extend(stroked(run, stroke));
                }
                Some((dashes, gaps)) => {
                    self.painter.extend(Shape::dashed_line_with_offset(run, stroke, dashes, gaps, 0.0));
                }
            }
        }
    }

    /// Fills contours of the side view, even-odd.
    pub fn fill(&self, contours: &[Vec<Point>], colour: Color32) {
        self.fill_area(&self.area(contours), colour);
    }

    /// Fills an area of the screen.
    pub fn fill_area(&self, area: &Area, colour: Color32) {
        fill(self.painter, area, colour);
    }

    /// Hatches an area of the screen at 45°; the lines are fixed to the side view, not the screen.
    pub fn hatch_area(&self, area: &Area, colour: Color32) {
        const SPACING: f64 = 9.0;
        let anchor = self.view.screen_from_mm_exact(Point::origin());
        for segment in area.hatch(SPACING, anchor) {
            self.painter.line_segment(segment, Stroke::new(NARROW, colour));
        }
    }

    /// Contours of the side view as an area of the screen, cut to the drawing.
    #[must_use]
    pub fn area(&self, contours: &[Vec<Point>]) -> Area {
        Area::new(contours.iter().map(|contour| self.exact(contour)), self.bounds())
    }

    /// Text on a ground that keeps it readable over lines; returns its place.
    pub fn label(&self, at: Pos2, align: Align2, text: &str, font: FontId, colour: Color32) -> Rect {
        self.label_on(at, align, text, font, colour, self.palette.paper)
    }

    /// Text on a ground of a given colour.
    pub fn label_on(
        &self,
        at: Pos2,
        align: Align2,
        text: &str,
        font: FontId,
        colour: Color32,
        ground: Color32,
    ) -> Rect {
        // In lines where the drawing is narrower than the words.
        let room = self.view.screen.shrink(6.0).width().max(1.0);
        let galley = self.painter.layout(text.to_owned(), font, colour, room);
        let wanted = align.anchor_size(at, galley.size());
        let wanted = wanted.translate(into(wanted, self.view.screen.shrink(6.0)));
        let place = self.beside_other_text(wanted);
        self.painter.rect_filled(place.expand2(egui::vec2(3.0, 1.0)), 2.0, ground.gamma_multiply(0.88));
        self.painter.galley(place.min, galley, colour);
        place
    }

    /// Whether no text stands there yet in this frame.
    #[must_use]
    pub fn is_free(&self, place: Rect) -> bool {
        let fits = self.view.screen.shrink(6.0).contains_rect(place);
        fits && self.lettered.borrow().iter().all(|other| !other.intersects(place))
    }

    /// The nearest place above or below where text covers none that stands already; takes it.
    fn beside_other_text(&self, wanted: Rect) -> Rect {
        const LINES: [f32; 7] = [0.0, -1.0, 1.0, -2.0, 2.0, -3.0, 3.0];
        let mut lettered = self.lettered.borrow_mut();
        let line = wanted.height() + 3.0;
        let screen = self.view.screen;
        let is_seen =
            |place: &Rect| screen.y_range().contains(place.top()) && screen.y_range().contains(place.bottom());
        let is_free = |place: &Rect| lettered.iter().all(|other| !other.intersects(*place));
        let places = || LINES.into_iter().map(|lines| wanted.translate(egui::vec2(0.0, lines * line)));
        // Rather half behind the edge than over another text.
        let moved = places().find(|place| is_seen(place) && is_free(place)).or_else(|| places().find(is_free));
        let place = moved.unwrap_or(wanted);
        lettered.push(place);
        place
    }

    /// Whether a closed outline is thick enough on the screen to be more than a hair.
    #[must_use]
    pub fn can_be_seen(&self, outline: &[Point]) -> bool {
        const HAIR: f32 = 0.75;
        let places: Vec<Pos2> = outline.iter().map(|place| self.at(*place)).collect();
        let edges = || places.iter().zip(places.iter().cycle().skip(1));
        let area: f32 = edges()
            .map(|(a, b)| (a.x - places[0].x) * (b.y - places[0].y) - (b.x - places[0].x) * (a.y - places[0].y))
            .sum();
        let around: f32 = edges().map(|(a, b)| (*b - *a).length()).sum();
        // A strip of this thickness has half its length times its thickness as area.
        (area / 2.0).abs() > HAIR * around / 2.0
    }

    fn exact(&self, places: &[Point]) -> Vec<[f64; 2]> {
        places.iter().map(|place| self.view.screen_from_mm_exact(*place)).collect()
    }

    fn bounds(&self) -> Rect {
        // Outlines along the cut edge lie outside what is seen.
        self.view.screen.expand(8.0)
    }
}

/// Fills one outline given in points of the screen, cut to a place, whatever its shape.
pub fn fill_on_screen(painter: &Painter, outline: Vec<[f64; 2]>, within: Rect, colour: Color32) {
    fill(painter, &Area::new(std::iter::once(outline), within), colour);
}

fn fill(painter: &Painter, area: &Area, colour: Color32) {
    let mut mesh = Mesh::default();
    for [a, b, c, d] in area.trapezoids() {
        #[allow(clippy::cast_possible_truncation)] // a frame has far fewer than 2^32 corners
        let first = mesh.vertices.len() as u32;
        for corner in [a, b, c, d] {
            mesh.colored_vertex(corner, colour);
        }
        mesh.add_triangle(first, first + 1, first + 2);
        mesh.add_triangle(first, first + 2, first + 3);
    }
    if !mesh.is_empty() {
        painter.add(Shape::mesh(mesh));
    }
}

/// What moves a rectangle into another one, if only just: text that would be cut is read at the edge.
/// Text whose place is far outside stays there.
fn into(place: Rect, bounds: Rect) -> egui::Vec2 {
    if !bounds.expand(24.0).contains(place.center()) {
        return egui::Vec2::ZERO;
    }
    let shift = |least: f32, most: f32, from: f32, to: f32| (from - least).max(0.0) + (to - most).min(0.0);
    egui::vec2(
        shift(place.left(), place.right(), bounds.left(), bounds.right()),
        shift(place.top(), place.bottom(), bounds.top(), bounds.bottom()),
    )
}

/// A run of a line as shapes: closed where its ends meet, so that the last corner is mitred like
/// the rest, and split at hairpins, whose mitre would shoot far beyond the corner.
fn stroked(run: &[Pos2], stroke: Stroke) -> Vec<Shape> {
    let mut places: Vec<Pos2> = Vec::with_capacity(run.len());
    for place in run {
        // A tenth of a point: closer corners have no direction that can be seen.
        if places.last().is_none_or(|last| (*place - *last).length() > 0.1) {
            places.push(*place);
        }
    }
    let closed = places.len() > 3 && places.first() == places.last();
    let hairpin = |a: Pos2, b: Pos2, c: Pos2| (b - a).normalized().dot((c - b).normalized()) < -0.5;
    let mut pieces: Vec<Vec<Pos2>> = vec![Vec::new()];
    for (index, place) in places.iter().enumerate() {
        let Some(piece) = pieces.last_mut() else { break };
        piece.push(*place);
        let inner = index > 0 && index + 1 < places.len();
        if inner && hairpin(places[index - 1], *place, places[index + 1]) {
            pieces.push(vec![*place]);
        }
    }
    if closed && pieces.len() == 1 {
        places.pop();
        return vec![Shape::closed_line(places, stroke)];
    }
    pieces.into_iter().filter(|piece| piece.len() > 1).map(|piece| Shape::line(piece, stroke)).collect()
}
