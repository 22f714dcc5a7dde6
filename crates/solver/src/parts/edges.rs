//! One edge of an outline: a line or an arc between two places.

use nalgebra::{Rotation2, Vector2};

use crate::outline::Vertex;
use crate::project::Point;

/// A line, or an arc of less than a whole turn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge {
    /// Where it starts.
    pub from: Point,
    /// Where it ends.
    pub to: Point,
    /// tan(angle / 4), counter-clockwise positive; 0 for a line.
    pub bulge: f64,
}

impl Edge {
    /// The edges of a closed outline.
    pub fn of(outline: &[Vertex]) -> impl Iterator<Item = Self> + '_ {
        let next = outline.iter().cycle().skip(1);
        outline.iter().zip(next).map(|(from, to)| Self { from: from.at, to: to.at, bulge: from.bulge })
    }

    /// Whether it is straight.
    #[must_use]
    pub fn is_line(&self) -> bool {
        self.bulge == 0.0
    }

    /// Walked the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        Self { from: self.to, to: self.from, bulge: -self.bulge }
    }

    /// How far an arc turns, radians, counter-clockwise positive; 0 for a line.
    #[must_use]
    pub fn turn(&self) -> f64 {
        4.0 * self.bulge.atan()
    }

    /// Middle and radius of an arc, mm; `None` for a line.
    #[must_use]
    pub fn circle(&self) -> Option<(Point, f64)> {
        if self.is_line() {
            return None;
        }
        let (b, chord) = (self.bulge, self.to - self.from);
        let centre = self.from + chord / 2.0 + Vector2::new(-chord.y, chord.x) * ((1.0 - b * b) / (4.0 * b));
        Some((centre, chord.norm() * (1.0 + b * b) / (4.0 * b.abs())))
    }

    /// The place at a share of the way, 0…1.
    #[must_use]
    pub fn at(&self, share: f64) -> Point {
        match self.circle() {
            None => self.from + share * (self.to - self.from),
            Some((centre, _)) => centre + Rotation2::new(share * self.turn()) * (self.from - centre),
        }
    }

    /// Direction of travel at a share of the way, a unit vector.
    #[must_use]
    pub fn heading(&self, share: f64) -> Vector2<f64> {
        let chord = (self.to - self.from).normalize();
        Rotation2::new((share - 0.5) * self.turn()) * chord
    }

    /// Share of the way of the place that is nearest to a point, 0…1, and how far that is off, mm.
    #[must_use]
    pub(super) fn nearest(&self, point: Point) -> (f64, f64) {
        let share = match self.circle() {
            None => {
                let along = self.to - self.from;
                (point - self.from).dot(&along) / along.norm_squared()
            }
            Some((centre, _)) => {
                let (start, turn) = (self.from - centre, self.turn());
                let spoke = point - centre;
                let angle = start.perp(&spoke).atan2(start.dot(&spoke));
                // The angle on the arc's side of its middle, so that what is just before the start is.
                let middle = 0.5 * turn;
                let away =
                    (angle - middle + std::f64::consts::PI).rem_euclid(std::f64::consts::TAU) - std::f64::consts::PI;
                (middle + away) / turn
            }
        };
        let share = share.clamp(0.0, 1.0);
        (share, (self.at(share) - point).norm())
    }

    /// The stretch between two places on it, at their shares of the way.
    pub(super) fn stretch(&self, [from, to]: [Point; 2], shares: [f64; 2]) -> Self {
        let bulge = if self.is_line() { 0.0 } else { (0.25 * self.turn() * (shares[1] - shares[0])).tan() };
        Self { from, to, bulge }
    }
}

/// Area within edges that close, mm², counter-clockwise positive; exact for arcs.
#[must_use]
pub fn area_within(edges: &[Edge]) -> f64 {
    let outline: Vec<Vertex> = edges.iter().map(|edge| Vertex { at: edge.from, bulge: edge.bulge }).collect();
    crate::outline::area_and_centre(&outline).0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quarter_circle() {
        let bulge = (std::f64::consts::FRAC_PI_8).tan();
        let edge = Edge { from: Point::new(2.0, 0.0), to: Point::new(0.0, 2.0), bulge };
        let (centre, radius) = edge.circle().expect("an arc");
        assert!(centre.coords.norm() < 1e-12 && (radius - 2.0).abs() < 1e-12);
        assert!((edge.at(0.5) - Point::new(2f64.sqrt(), 2f64.sqrt())).norm() < 1e-12);
        assert!((edge.heading(0.0) - Vector2::y()).norm() < 1e-12);
        assert!((edge.heading(1.0) + Vector2::x()).norm() < 1e-12);
        let (share, off) = edge.nearest(Point::new(3.0, 3.0));
        assert!((share - 0.5).abs() < 1e-12 && (off - (18f64.sqrt() - 2.0)).abs() < 1e-12);
        assert!(edge.nearest(Point::new(2.0, -0.1)).0 < 1e-12 && edge.nearest(Point::new(-0.1, 2.0)).0 > 1.0 - 1e-12);
        let half = edge.stretch([edge.from, edge.at(0.5)], [0.0, 0.5]);
        assert!((half.circle().expect("an arc").1 - 2.0).abs() < 1e-12);
        let back = edge.reversed();
        assert!(back.circle().expect("an arc").0.coords.norm() < 1e-12 && back.turn() < 0.0);
    }
}
