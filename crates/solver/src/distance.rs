//! Distances between segments, upright rectangles and points, with the nearest points.

use nalgebra::{Point2, Vector2, distance};

use crate::lift::Rectangle;
use crate::project::Point;

/// A distance with the two points that are that far apart; 0 where shapes meet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Gap {
    pub mm: f64,
    pub on_first: Point,
    pub on_second: Point,
}

impl Gap {
    pub fn between(on_first: Point, on_second: Point) -> Self {
        Self { mm: distance(&on_first, &on_second), on_first, on_second }
    }

    pub fn swapped(self) -> Self {
        Self { mm: self.mm, on_first: self.on_second, on_second: self.on_first }
    }

    pub fn nearer(self, other: Self) -> Self {
        if other.mm < self.mm { other } else { self }
    }
}

/// The point of a segment nearest to a point. A segment of no length is its point.
pub(crate) fn nearest_on_segment(point: Point, [from, to]: [Point; 2]) -> Point {
    let along = to - from;
    let squared = along.norm_squared();
    if squared <= 0.0 {
        return from;
    }
    from + along * ((point - from).dot(&along) / squared).clamp(0.0, 1.0)
}

/// Between two segments; 0 at their crossing.
pub(crate) fn segment_to_segment(first: [Point; 2], second: [Point; 2]) -> Gap {
    if let Some(crossing) = crossing(first, second) {
        return Gap { mm: 0.0, on_first: crossing, on_second: crossing };
    }
    let mut best = Gap::between(first[0], nearest_on_segment(first[0], second));
    best = best.nearer(Gap::between(first[1], nearest_on_segment(first[1], second)));
    best = best.nearer(Gap::between(nearest_on_segment(second[0], first), second[0]));
    best.nearer(Gap::between(nearest_on_segment(second[1], first), second[1]))
}

/// Where two segments cross properly, or touch; `None` when they are parallel.
pub(crate) fn crossing(first: [Point; 2], second: [Point; 2]) -> Option<Point> {
    let (u, v, w) = (first[1] - first[0], second[1] - second[0], second[0] - first[0]);
    let area = u.perp(&v);
    if area.abs() <= f64::EPSILON * u.norm() * v.norm() {
        return None;
    }
    let (t, k) = (w.perp(&v) / area, w.perp(&u) / area);
    ((0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&k)).then(|| first[0] + u * t)
}

/// The point of a filled upright rectangle nearest to a point.
pub(crate) fn nearest_in_rectangle(point: Point, rectangle: &Rectangle) -> Point {
    Point2::new(point.x.clamp(rectangle.least.x, rectangle.most.x), point.y.clamp(rectangle.least.y, rectangle.most.y))
}

/// Whether a segment meets a filled upright rectangle; if so a point of it inside.
pub(crate) fn segment_in_rectangle([from, to]: [Point; 2], rectangle: &Rectangle) -> Option<Point> {
    let along = to - from;
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for axis in 0..2 {
        let (start, step) = (from[axis], along[axis]);
        let (low, high) = (rectangle.least[axis], rectangle.most[axis]);
        if step.abs() <= f64::MIN_POSITIVE {
            if start < low || start > high {
                return None;
            }
        } else {
            let (one, two) = ((low - start) / step, (high - start) / step);
            enter = enter.max(one.min(two));
            leave = leave.min(one.max(two));
        }
    }
    (enter <= leave).then(|| from + along * (0.5 * (enter + leave)))
}

/// From a segment to a filled upright rectangle in the rectangle's frame; 0 where they meet.
pub(crate) fn segment_to_rectangle(segment: [Point; 2], rectangle: &Rectangle) -> Gap {
    if let Some(inside) = segment_in_rectangle(segment, rectangle) {
        return Gap { mm: 0.0, on_first: inside, on_second: inside };
    }
    let mut best = Gap::between(segment[0], nearest_in_rectangle(segment[0], rectangle));
    best = best.nearer(Gap::between(segment[1], nearest_in_rectangle(segment[1], rectangle)));
    for corner in rectangle.corners() {
        best = best.nearer(Gap::between(nearest_on_segment(corner, segment), corner));
    }
    best
}

/// Moves the first point of a gap by `radius` towards the second: the first shape has round
/// edges. Returns the gap less the radius, which may be negative.
pub(crate) fn with_radius(gap: Gap, radius: f64) -> Gap {
    let towards = (gap.on_second - gap.on_first).try_normalize(f64::MIN_POSITIVE).unwrap_or_else(Vector2::zeros);
    Gap { mm: gap.mm - radius, on_first: gap.on_first + towards * radius, on_second: gap.on_second }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn segments_apart_touching_and_crossing() {
        let flat = [Point2::new(0.0, 0.0), Point2::new(10.0, 0.0)];
        let gap = segment_to_segment(flat, [Point2::new(13.0, 4.0), Point2::new(13.0, 9.0)]);
        assert!((gap.mm - 5.0).abs() < 1e-12);
        let gap = segment_to_segment(flat, [Point2::new(5.0, -1.0), Point2::new(5.0, 1.0)]);
        assert!(gap.mm.abs() < 1e-12);
        let gap = segment_to_segment(flat, [Point2::new(-2.0, 3.0), Point2::new(20.0, 3.0)]);
        assert!((gap.mm - 3.0).abs() < 1e-12);
    }

    #[test]
    fn rectangle_against_a_segment_that_passes_a_corner() {
        let rectangle = Rectangle { least: Point2::new(0.0, 0.0), most: Point2::new(35.0, 700.0) };
        let gap = segment_to_rectangle([Point2::new(36.0, 720.0), Point2::new(56.0, 700.0)], &rectangle);
        assert!((gap.mm - 21.0 / 2.0_f64.sqrt()).abs() < 1e-12);
        assert_eq!(gap.on_second, Point2::new(35.0, 700.0));
        assert!(segment_in_rectangle([Point2::new(-5.0, 5.0), Point2::new(5.0, -4.0)], &rectangle).is_some());
        assert!(segment_in_rectangle([Point2::new(-5.0, 4.0), Point2::new(4.0, -5.0)], &rectangle).is_none());
    }
}
