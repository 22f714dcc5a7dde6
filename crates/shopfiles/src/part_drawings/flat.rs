//! A part as it lies on its sheet: along its stock to the right, seen from outside.

use nalgebra::Rotation2;
use overarm_solver::{Edge, HingeBore, Part, Point, ScrewHole, Vertex};

/// Scales that drawings are made to (ISO 5455), the largest first.
pub(super) const SCALES: [f64; 8] = [5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02];

/// The largest of them that will do; the smallest where none does.
pub(super) fn largest_scale(fits: impl Fn(f64) -> bool) -> f64 {
    SCALES.into_iter().find(|scale| fits(*scale)).unwrap_or(SCALES[SCALES.len() - 1])
}

/// Chords of an arc when a part is cut or measured.
const CHORDS: u32 = 48;

/// A part turned so that its stock lies along u, to the right, with v up.
pub(crate) struct Flat<'a> {
    pub part: &'a Part,
    turn: Rotation2<f64>,
    /// Corners of a box around it.
    pub low: Point,
    pub high: Point,
    /// Whether screws go in from above.
    pub heads_up: bool,
}

impl<'a> Flat<'a> {
    pub fn new(part: &'a Part) -> Self {
        let turn = Rotation2::new(-part.along.y.atan2(part.along.x));
        let mut flat = Self { part, turn, low: Point::origin(), high: Point::origin(), heads_up: true };
        let points = flat.chords(&part.outline);
        let (mut low, mut high) = (Point::new(f64::MAX, f64::MAX), Point::new(f64::MIN, f64::MIN));
        for point in points {
            (low, high) = (low.inf(&point), high.sup(&point));
        }
        (flat.low, flat.high) = (low, high);
        if let Some([foot, _]) = part.datum {
            flat.heads_up = flat.at(foot).y < 0.5 * (low.y + high.y);
        }
        flat
    }

    /// A place of the part frame.
    pub fn at(&self, point: Point) -> Point {
        self.turn * point
    }

    /// An outline of the part frame.
    pub fn outline(&self, outline: &[Vertex]) -> Vec<Vertex> {
        outline.iter().map(|vertex| Vertex { at: self.at(vertex.at), ..*vertex }).collect()
    }

    /// Arcs as chords.
    pub fn chords(&self, outline: &[Vertex]) -> Vec<Point> {
        let steps = |edge: &Edge| if edge.is_line() { 1 } else { CHORDS };
        Edge::of(outline)
            .flat_map(|edge| {
                let count = steps(&edge);
                (0..count).map(move |step| edge.at(f64::from(step) / f64::from(count)))
            })
            .map(|point| self.at(point))
            .collect()
    }

    /// From where to where a piece reaches along u.
    pub fn reach(&self, piece: &[Vertex]) -> [f64; 2] {
        let chords = self.chords(piece);
        let us = || chords.iter().map(|point| point.x);
        [us().fold(f64::INFINITY, f64::min), us().fold(f64::NEG_INFINITY, f64::max)]
    }

    /// Stretches of v that a piece covers at a place along u.
    pub fn cut(&self, piece: &[Vertex], u: f64) -> Vec<[f64; 2]> {
        let chords = self.chords(piece);
        let mut crossings = Vec::new();
        for (a, b) in chords.iter().zip(chords.iter().cycle().skip(1)) {
            if (a.x > u) != (b.x > u) {
                crossings.push(a.y + (b.y - a.y) * (u - a.x) / (b.x - a.x));
            }
        }
        crossings.sort_by(f64::total_cmp);
        crossings.chunks_exact(2).map(|pair| [pair[0], pair[1]]).collect()
    }

    /// Middles of the hinges.
    pub fn hinge(&self, hinge: &HingeBore) -> Point {
        self.at(hinge.centre)
    }

    /// The ends of a screw hole's axis.
    pub fn axis(&self, hole: &ScrewHole) -> [Point; 2] {
        [self.at(hole.from), self.at(hole.to)]
    }
}

/// "H1", "H2" from the first hinge on.
pub(super) fn hole_letter(index: usize) -> String {
    format!("H{}", index + 1)
}

/// "S1", "S2" from the upper end down, as other files of the job count them.
pub(super) fn screw_letter(hole: &ScrewHole) -> String {
    hole.name.replace("screw ", "S")
}

/// "2:1", "1:5".
pub(super) fn scale_words(scale: f64) -> String {
    if scale >= 1.0 { format!("{scale:.0}:1") } else { format!("1:{:.0}", 1.0 / scale) }
}
