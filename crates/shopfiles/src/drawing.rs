//! A drawing as data: marks in millimetres that a window paints and a file sets down alike.
//!
//! What a mark looks like (colours, widths, dashes, letters) is the business of who draws it; what
//! it means is said here. Lines after ISO 128.

mod front;
mod parts;

use nalgebra::Vector2;
use overarm_solver::{Hand, Layer, PartName, Point, Vertex};

pub use front::front;
pub use parts::parts;

/// What a line means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Line {
    /// Visible outline: wide.
    Outline,
    /// Narrow, continuous.
    Thin,
    /// Another position of what moves: narrow, long-dashed double-dotted.
    Ghost,
    /// Axis or middle: narrow chain.
    Centre,
    /// Edge behind something: narrow, dashed.
    Hidden,
}

/// What a mark is of; decides its colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// Outlines and figures.
    Ink,
    /// What is said beside the thing itself.
    Quiet,
    /// Studs and what else stands far behind.
    Faint,
    /// A bar, by its layer: the nearer, the stronger.
    Metal(Layer),
    /// The panel.
    Wood,
    /// The strap.
    Strap,
    /// What is uncovered.
    Opening,
    /// A surface that runs towards the eye.
    Beyond,
}

/// Which point of a text is at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hold {
    /// The middle of its left end.
    Left,
    /// Its middle.
    Middle,
    /// The middle of its right end.
    Right,
}

/// One mark. Places in millimetres of the drawing, y up.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// A closed area, filled.
    Area {
        /// Its corners.
        outline: Vec<Point>,
        /// Of what.
        tone: Tone,
    },
    /// A closed area of something solid, hatched at 45°.
    Solid {
        /// Its corners.
        outline: Vec<Point>,
    },
    /// A line; where its last place is its first, it is closed.
    Line {
        /// From place to place.
        places: Vec<Point>,
        /// What it means.
        line: Line,
        /// Of what.
        tone: Tone,
    },
    /// A text.
    Text {
        /// Where, mm.
        at: Point,
        /// Away from there, in heights of a line, y up.
        off: Vector2<f64>,
        /// Which of its points is there.
        hold: Hold,
        /// The words.
        text: String,
        /// Fewer words, and the width in mm from which on the others stand instead.
        brief: Option<(String, f64)>,
        /// Of what.
        tone: Tone,
    },
    /// A length between two places of one height, with extension lines down to it.
    Size {
        /// The two places.
        between: [Point; 2],
        /// How far below them its line runs, in heights of a line of text.
        below: f64,
        /// What stands on it.
        text: String,
    },
}

/// A whole drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// What it shows, at its head: "Front view".
    pub title: &'static str,
    /// One sentence beside it.
    pub note: &'static str,
    /// In the order in which they are drawn.
    pub marks: Vec<Mark>,
    /// Lower left and upper right of what is worth showing.
    pub extent: [Point; 2],
    /// Where a bar is picked by pointing at it; the last one that holds a place wins.
    pub bars: Vec<(PartName, Vec<Point>)>,
    /// The part that each of them is, in the same order, where they lie as parts.
    pub hands: Vec<Hand>,
}

impl Drawing {
    /// The bar at a place.
    #[must_use]
    pub fn bar_at(&self, place: Point) -> Option<PartName> {
        self.index_at(place).map(|index| self.bars[index].0)
    }

    /// The part at a place, where bars lie as parts.
    #[must_use]
    pub fn part_at(&self, place: Point) -> Option<(PartName, Hand)> {
        let index = self.index_at(place)?;
        Some((self.bars[index].0, *self.hands.get(index)?))
    }

    fn index_at(&self, place: Point) -> Option<usize> {
        self.bars.iter().rposition(|(_, outline)| is_within(outline, place))
    }
}

/// A box from left and bottom to right and top.
fn boxed(x: [f64; 2], y: [f64; 2]) -> [Point; 4] {
    [Point::new(x[0], y[0]), Point::new(x[1], y[0]), Point::new(x[1], y[1]), Point::new(x[0], y[1])]
}

/// A text that is always set in full.
fn words(at: Point, off: Vector2<f64>, hold: Hold, text: String, tone: Tone) -> Mark {
    Mark::Text { at, off, hold, text, brief: None, tone }
}

/// A closed line about an outline.
fn ring(outline: &[Point], line: Line, tone: Tone) -> Mark {
    Mark::Line { places: outline.iter().chain(outline.first()).copied().collect(), line, tone }
}

/// Whether a place lies within a closed outline, by even and odd.
#[must_use]
pub fn is_within(outline: &[Point], place: Point) -> bool {
    let edges = outline.iter().zip(outline.iter().cycle().skip(1));
    let crossed = edges.filter(|(from, to)| {
        (from.y > place.y) != (to.y > place.y)
            && place.x < from.x + (to.x - from.x) * (place.y - from.y) / (to.y - from.y)
    });
    crossed.count() % 2 == 1
}

/// An outline with its arcs replaced by chords, none of which is farther off than `off_mm`.
#[must_use]
pub fn chords(outline: &[Vertex], off_mm: f64) -> Vec<Point> {
    /// More than any screen can tell apart in one arc.
    const MOST: f64 = 256.0;
    let mut corners = Vec::with_capacity(outline.len());
    for (from, to) in outline.iter().zip(outline.iter().cycle().skip(1)) {
        corners.push(from.at);
        let (bulge, chord) = (from.bulge, to.at - from.at);
        if bulge == 0.0 || chord.norm() == 0.0 {
            continue;
        }
        // Centre and radius from the chord: its height over the chord is bulge times half of it.
        let turn = 4.0 * bulge.atan();
        let to_centre = (1.0 - bulge * bulge) / (4.0 * bulge);
        let centre = from.at + chord * 0.5 + Vector2::new(-chord.y, chord.x) * to_centre;
        let radius = (from.at - centre).norm();
        let step = 2.0 * (1.0 - (off_mm / radius).min(1.0)).acos();
        let steps = (turn.abs() / step.max(1e-6)).ceil().clamp(1.0, MOST);
        let start = from.at - centre;
        let mut walked = 1.0;
        while walked < steps {
            corners.push(centre + nalgebra::Rotation2::new(turn * walked / steps) * start);
            walked += 1.0;
        }
    }
    corners
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chords_keep_to_the_arc() {
        // A half circle of radius 5 about the origin, left to right below, closed by a line.
        let outline =
            [Vertex { at: Point::new(-5.0, 0.0), bulge: 1.0 }, Vertex { at: Point::new(5.0, 0.0), bulge: 0.0 }];
        let corners = chords(&outline, 0.01);
        assert!(corners.len() > 10);
        assert!(corners.iter().all(|corner| (corner.coords.norm() - 5.0).abs() < 1e-9), "{corners:?}");
        assert!(corners.iter().all(|corner| corner.y < 1e-9), "counter-clockwise from left to right runs below");
        let middles = corners.windows(2).map(|pair| nalgebra::center(&pair[0], &pair[1]).coords.norm());
        assert!(middles.fold(f64::INFINITY, f64::min) > 4.989);
        // The other way about.
        let outline = [Vertex { bulge: -1.0, ..outline[0] }, outline[1]];
        assert!(chords(&outline, 0.01).iter().all(|corner| corner.y > -1e-9));
    }

    #[test]
    fn the_last_bar_that_holds_a_place_is_the_one_pointed_at() {
        let square = |low: f64, high: f64| boxed([low, high], [low, high]).to_vec();
        let drawing = Drawing {
            title: "",
            note: "",
            marks: Vec::new(),
            extent: [Point::origin(); 2],
            bars: vec![(PartName::WallBar, square(0.0, 10.0)), (PartName::LowerArm, square(5.0, 15.0))],
            hands: Vec::new(),
        };
        assert_eq!(drawing.part_at(Point::new(2.0, 2.0)), None, "bars that are not laid out as parts");
        assert_eq!(drawing.bar_at(Point::new(2.0, 2.0)), Some(PartName::WallBar));
        assert_eq!(drawing.bar_at(Point::new(7.0, 7.0)), Some(PartName::LowerArm));
        assert_eq!(drawing.bar_at(Point::new(20.0, 7.0)), None);
    }
}
