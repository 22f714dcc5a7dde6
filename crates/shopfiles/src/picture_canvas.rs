//! A sheet of SVG that takes side-view millimetres: lines by the trade's conventions, text unscaled.

use nalgebra::Isometry2;
use overarm_solver::{Point, Vertex};
use svg::node::element::{Circle, Group, Line, Path, Polygon, Polyline, Text};

use crate::fixed_point::fixed_short;

/// Visible outlines, px.
pub const WIDE: f64 = 2.0;
/// Everything else, half as wide (ISO 128).
pub const NARROW: f64 = 1.0;

/// Lines by their meaning (ISO 128-2): px of dash and gap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dash {
    /// Outlines.
    Solid,
    /// End positions of moving parts: long-dashed double-dotted.
    DoubleDotted,
    /// Centre lines: long-dashed dotted.
    Chain,
    /// Edges behind something: dashed.
    Hidden,
}

/// How a shape is drawn.
#[derive(Clone, Copy, Debug)]
pub struct Ink {
    fill: Option<(&'static str, f64)>,
    stroke: Option<(&'static str, f64, Dash)>,
    stroke_opacity: f64,
}

impl Ink {
    /// Filled, with this opacity.
    pub fn fill(colour: &'static str, opacity: f64) -> Self {
        Self { fill: Some((colour, opacity)), stroke: None, stroke_opacity: 1.0 }
    }

    /// Drawn as a line of this width.
    pub fn line(colour: &'static str, width: f64, dash: Dash) -> Self {
        Self { fill: None, stroke: Some((colour, width, dash)), stroke_opacity: 1.0 }
    }

    /// With an outline as well.
    pub fn outlined(self, colour: &'static str, width: f64) -> Self {
        Self { stroke: Some((colour, width, Dash::Solid)), ..self }
    }

    /// With its line at this opacity.
    pub fn thinner(self, stroke_opacity: f64) -> Self {
        Self { stroke_opacity, ..self }
    }
}

/// Sets an [`Ink`] on whatever element of the svg crate.
macro_rules! inked {
    ($element:expr, $ink:expr) => {{
        let mut element = $element;
        element = match $ink.fill {
            Some((colour, 1.0)) => element.set("fill", colour),
            Some((colour, opacity)) => element.set("fill", colour).set("fill-opacity", opacity),
            None => element.set("fill", "none"),
        };
        if let Some((colour, width, dash)) = $ink.stroke {
            element = element.set("stroke", colour).set("stroke-width", width).set("stroke-linejoin", "round");
            element = match dash {
                Dash::Solid => element,
                Dash::DoubleDotted => element.set("stroke-dasharray", "16 3 2 3 2 3"),
                Dash::Chain => element.set("stroke-dasharray", "12 3 2 3"),
                Dash::Hidden => element.set("stroke-dasharray", "5 3"),
            };
            if $ink.stroke_opacity < 1.0 {
                element = element.set("stroke-opacity", $ink.stroke_opacity);
            }
        }
        element
    }};
}

/// Where on a text its place is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Its left end.
    Start,
    /// Its middle.
    Middle,
    /// Its right end.
    End,
}

/// One text: what, how large (px), colour, bold or not, held where.
#[derive(Clone, Copy, Debug)]
pub struct Lettering {
    /// Height in px.
    pub size: f64,
    /// Colour.
    pub colour: &'static str,
    /// Heavier of the two weights.
    pub bold: bool,
    /// Which end is at the place.
    pub anchor: Anchor,
}

impl Lettering {
    /// Regular weight, held at its left end.
    pub fn new(size: f64, colour: &'static str) -> Self {
        Self { size, colour, bold: false, anchor: Anchor::Start }
    }

    /// The heavier weight.
    pub fn bold(self) -> Self {
        Self { bold: true, ..self }
    }

    /// Held elsewhere.
    pub fn held(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }
}

/// Carries side-view millimetres to the sheet's pixels, y downwards.
#[derive(Clone, Copy, Debug)]
pub struct View {
    /// Pixels in a millimetre.
    pub scale: f64,
    /// Sheet x of side-view x = 0.
    pub x: f64,
    /// Sheet y of side-view y = 0.
    pub y: f64,
}

impl View {
    /// Fits a box of the side view into a box of the sheet, in its middle.
    pub fn fit(low: Point, high: Point, left: f64, top: f64, width: f64, height: f64) -> Self {
        let size = high - low;
        let scale = (width / size.x.max(1e-9)).min(height / size.y.max(1e-9));
        let x = left + (width - scale * size.x) / 2.0 - scale * low.x;
        let y = top + (height + scale * size.y) / 2.0 + scale * low.y;
        Self { scale, x, y }
    }

    /// A place on the sheet.
    pub fn page(&self, point: Point) -> (f64, f64) {
        (self.x + self.scale * point.x, self.y - self.scale * point.y)
    }

    /// The place in side view of a place on the sheet.
    pub fn room(&self, (x, y): (f64, f64)) -> Point {
        Point::new((x - self.x) / self.scale, (self.y - y) / self.scale)
    }
}

/// Hundredths of a pixel are enough, and keep the text of the file short and stable.
fn px(value: f64) -> String {
    fixed_short(value, 2)
}

/// Elements in the order in which they are drawn.
#[derive(Debug)]
pub struct Canvas {
    view: View,
    group: Group,
}

impl Canvas {
    /// An empty canvas.
    pub fn new(view: View) -> Self {
        Self { view, group: Group::new() }
    }

    /// Everything drawn so far.
    pub fn into_group(self) -> Group {
        self.group
    }

    /// Where things are on the sheet.
    pub fn view(&self) -> &View {
        &self.view
    }

    fn add<T: Into<Box<dyn svg::Node>>>(&mut self, element: T) {
        let group = std::mem::replace(&mut self.group, Group::new());
        self.group = group.add(element);
    }

    fn places(&self, points: &[Point]) -> String {
        let places: Vec<_> = points
            .iter()
            .map(|point| {
                let (x, y) = self.view.page(*point);
                format!("{},{}", px(x), px(y))
            })
            .collect();
        places.join(" ")
    }

    /// A closed shape.
    pub fn polygon(&mut self, points: &[Point], ink: Ink) {
        self.add(inked!(Polygon::new().set("points", self.places(points)), ink));
    }

    /// A closed shape filled with the sheet's pattern of this name.
    pub fn hatched(&mut self, points: &[Point], pattern: &str) {
        let places = self.places(points);
        self.add(Polygon::new().set("points", places).set("fill", format!("url(#{pattern})")));
    }

    /// An open line.
    pub fn polyline(&mut self, points: &[Point], ink: Ink) {
        self.add(inked!(Polyline::new().set("points", self.places(points)), ink));
    }

    /// Shapes with holes, filled by the even-odd rule.
    pub fn region(&mut self, contours: &[Vec<Point>], ink: Ink) {
        let mut data = String::new();
        for contour in contours.iter().filter(|contour| contour.len() > 2) {
            for (index, point) in contour.iter().enumerate() {
                let (x, y) = self.view.page(*point);
                data.push_str(if index == 0 { "M" } else { "L" });
                data.push_str(&format!("{} {}", px(x), px(y)));
            }
            data.push('Z');
        }
        if !data.is_empty() {
            self.add(inked!(Path::new().set("d", data).set("fill-rule", "evenodd"), ink));
        }
    }

    /// An arm: two straight edges and two half-round ends.
    pub fn stadium(&mut self, ends: [Point; 2], radius: f64, ink: Ink) {
        let Some(along) = (ends[1] - ends[0]).try_normalize(0.0) else { return };
        let side = nalgebra::Vector2::new(-along.y, along.x) * radius;
        let corners = [ends[0] - side, ends[1] - side, ends[1] + side, ends[0] + side]
            .map(|point| self.view.page(point))
            .map(|(x, y)| format!("{} {}", px(x), px(y)));
        let r = px(radius * self.view.scale);
        let data = format!(
            "M{}L{}A{r} {r} 0 0 0 {}L{}A{r} {r} 0 0 0 {}Z",
            corners[0], corners[1], corners[2], corners[3], corners[0]
        );
        self.add(inked!(Path::new().set("d", data), ink));
    }

    /// A closed outline of lines and arcs, carried to the side view.
    pub fn outline(&mut self, outline: &[Vertex], room_from_outline: &Isometry2<f64>, ink: Ink) {
        let page = |vertex: &Vertex| self.view.page(room_from_outline * vertex.at);
        let Some(first) = outline.first().map(page) else { return };
        let mut data = format!("M{} {}", px(first.0), px(first.1));
        for (from, to) in outline.iter().zip(outline.iter().cycle().skip(1)) {
            let (x, y) = page(to);
            let (x, y) = (px(x), px(y));
            if from.bulge == 0.0 {
                data.push_str(&format!("L{x} {y}"));
            } else {
                // Radius from the chord and the arc's height over it, which is bulge times half the chord.
                let bulge = from.bulge.abs();
                let radius = (to.at - from.at).norm() * (1.0 + bulge * bulge) / (4.0 * bulge);
                let r = px(radius * self.view.scale);
                // y runs downwards on the sheet, so counter-clockwise stays what it looks like: sweep 0.
                let (large, sweep) = (u8::from(bulge > 1.0), u8::from(from.bulge < 0.0));
                data.push_str(&format!("A{r} {r} 0 {large} {sweep} {x} {y}"));
            }
        }
        data.push('Z');
        self.add(inked!(Path::new().set("d", data), ink));
    }

    /// A circle of so many millimetres.
    pub fn circle(&mut self, centre: Point, radius: f64, ink: Ink) {
        let radius = radius * self.view.scale;
        self.dot(centre, radius, ink);
    }

    /// A circle of so many pixels.
    pub fn dot(&mut self, centre: Point, radius_px: f64, ink: Ink) {
        let (x, y) = self.view.page(centre);
        self.add(inked!(Circle::new().set("cx", px(x)).set("cy", px(y)).set("r", px(radius_px)), ink));
    }

    /// A straight line between two places of the sheet.
    pub fn page_line(&mut self, from: (f64, f64), to: (f64, f64), ink: Ink) {
        let line = Line::new().set("x1", px(from.0)).set("y1", px(from.1)).set("x2", px(to.0)).set("y2", px(to.1));
        self.add(inked!(line, ink));
    }

    /// A closed shape on the sheet.
    pub fn page_polygon(&mut self, places: &[(f64, f64)], ink: Ink) {
        let places: Vec<_> = places.iter().map(|(x, y)| format!("{},{}", px(*x), px(*y))).collect();
        self.add(inked!(Polygon::new().set("points", places.join(" ")), ink));
    }

    /// Text at a place of the sheet; its base line is there. A rim of paper keeps it readable
    /// over lines.
    pub fn text(&mut self, place: (f64, f64), text: &str, lettering: Lettering) {
        let anchor = match lettering.anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let element = Text::new(text)
            .set("x", px(place.0))
            .set("y", px(place.1))
            .set("font-size", lettering.size)
            .set("font-weight", if lettering.bold { "bold" } else { "normal" })
            .set("text-anchor", anchor)
            .set("fill", lettering.colour)
            .set("stroke", super::picture::PAPER)
            .set("stroke-width", 3)
            .set("paint-order", "stroke");
        self.add(element);
    }

    /// A line with an arrow at both ends, px of the sheet.
    pub fn dimension(&mut self, from: (f64, f64), to: (f64, f64), colour: &'static str) {
        self.page_line(from, to, Ink::line(colour, NARROW, Dash::Solid));
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length = dx.hypot(dy);
        // Too short for two arrows: they stand outside and point inwards (ISO 129).
        let outside = length < 18.0;
        for (tip, sign) in [(from, 1.0), (to, -1.0)] {
            let sign = if outside { -sign } else { sign };
            let (ux, uy) = if length > 0.0 { (sign * dx / length, sign * dy / length) } else { (sign, 0.0) };
            let base = (tip.0 + 8.0 * ux, tip.1 + 8.0 * uy);
            let side = (-2.2 * uy, 2.2 * ux);
            let wings = [tip, (base.0 + side.0, base.1 + side.1), (base.0 - side.0, base.1 - side.1)];
            self.page_polygon(&wings, Ink::fill(colour, 1.0));
            if outside {
                self.page_line(base, (base.0 + 8.0 * ux, base.1 + 8.0 * uy), Ink::line(colour, NARROW, Dash::Solid));
            }
        }
    }
}
