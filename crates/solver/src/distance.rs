//! Distances between segments, upright rectangles and points, with the nearest points.

use nalgebra::{Isometry2, Point2, Vector2, distance};

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

/// From an upright rectangle to another one in its own frame; `None` where they meet, or rounding
/// cannot tell.
///
/// Two convex shapes that do not meet are nearest at a corner of one of them, and two rectangles
/// that do not meet lie apart along an axis of one of them.
pub(crate) fn rectangle_to_rectangle(
    first: &Rectangle,
    second: &Rectangle,
    first_from_second: &Isometry2<f64>,
) -> Option<Gap> {
    let of_first = first.corners().map(|corner| first_from_second.inverse_transform_point(&corner));
    let of_second = second.corners().map(|corner| first_from_second * corner);
    if !(lies_beside(&of_first, second) || lies_beside(&of_second, first)) {
        return None;
    }
    let to_second = of_first.map(|corner| Gap::between(corner, nearest_in_rectangle(corner, second)));
    let to_first = of_second.map(|corner| Gap::between(nearest_in_rectangle(corner, first), corner));
    let nearest = |gaps: [Gap; 4]| gaps.into_iter().reduce(Gap::nearer);
    let (by_first, by_second) = (nearest(to_second)?, nearest(to_first)?);
    let in_first = Gap {
        mm: by_first.mm,
        on_first: first_from_second * by_first.on_first,
        on_second: first_from_second * by_first.on_second,
    };
    Some(in_first.nearer(by_second)).filter(|gap| gap.mm > 0.0)
}

/// Whether all points lie beyond the same side of an upright rectangle.
fn lies_beside(points: &[Point; 4], rectangle: &Rectangle) -> bool {
    (0..2).any(|axis| {
        points.iter().all(|point| point[axis] > rectangle.most[axis])
            || points.iter().all(|point| point[axis] < rectangle.least[axis])
    })
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
    use proptest::prelude::*;

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

    proptest! {
        /// The same as edge by edge, and nothing where two edges cross or one lies in the other.
        #[test]
        fn two_rectangles(x in -90.0..90.0, y in -90.0..90.0, turn in -4.0..4.0, width in 1.0..60.0, height in 1.0..60.0) {
            let first = Rectangle { least: Point2::new(-20.0, -5.0), most: Point2::new(10.0, 30.0) };
            let second = Rectangle { least: Point2::new(0.0, -3.0), most: Point2::new(width, height) };
            let room = Isometry2::new(Vector2::new(x, y), turn);
            let corners = second.corners().map(|corner| room * corner);
            let by_edges = (0..4).map(|index| segment_to_rectangle([corners[index], corners[(index + 1) % 4]], &first));
            let seen = by_edges.map(|gap| gap.mm).fold(f64::INFINITY, f64::min);
            let holds = nearest_in_rectangle(room.inverse_transform_point(&first.middle()), &second)
                == room.inverse_transform_point(&first.middle());
            match rectangle_to_rectangle(&first, &second, &room) {
                Some(gap) => {
                    prop_assert!((gap.mm - seen).abs() < 1e-9 && !holds, "{} against {}", gap.mm, seen);
                    prop_assert!((distance(&gap.on_first, &gap.on_second) - gap.mm).abs() < 1e-9);
                    prop_assert!(distance(&nearest_in_rectangle(gap.on_first, &first), &gap.on_first) < 1e-9);
                    let back = room.inverse_transform_point(&gap.on_second);
                    prop_assert!(distance(&nearest_in_rectangle(back, &second), &back) < 1e-9);
                }
                None => prop_assert!(seen < 1e-9 || holds, "{seen}"),
            }
        }
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
