//! The strap's end beside a rectangle that goes along with it, and a segment in a rectangle.

use nalgebra::{Point2, Vector2};

use crate::distance::{Gap, nearest_in_rectangle, segment_to_rectangle};
use crate::lift::Rectangle;
use crate::project::Point;

/// The strap's end beside a rectangle that goes along with it.
pub(super) struct OwnEnd {
    pub anchor: Point,
    /// Signed distance of the end itself.
    pub gap: f64,
    /// Directions straight away from the rectangle; two on a corner.
    away: [Vector2<f64>; 2],
    /// Farther along the run nothing is as near as the end.
    pub reach: f64,
    pub most_depth: f64,
}

impl OwnEnd {
    pub fn new(anchor: Point, shape: &Rectangle) -> Self {
        let size = shape.most - shape.least;
        let farthest = shape.corners().iter().map(|corner| (corner - anchor).norm()).fold(0.0, f64::max);
        let outside = [shape.least - anchor, anchor - shape.most];
        let nearest = nearest_in_rectangle(anchor, shape);
        let (gap, away) = if (anchor - nearest).norm() > ON_THE_FACE * size.norm() {
            let off = anchor - nearest;
            (off.norm(), [off.normalize(); 2])
        } else {
            let faces = [
                (outside[0].x, -Vector2::x()),
                (outside[1].x, Vector2::x()),
                (outside[0].y, -Vector2::y()),
                (outside[1].y, Vector2::y()),
            ];
            let nearest = faces.iter().map(|face| face.0).fold(f64::NEG_INFINITY, f64::max);
            let as_near = |face: &&(f64, Vector2<f64>)| face.0 >= nearest - ON_THE_FACE * size.norm();
            let mut as_near = faces.iter().filter(as_near).map(|face| face.1);
            let first = as_near.next().unwrap_or_default();
            (nearest, [first, as_near.next().unwrap_or(first)])
        };
        Self { anchor, gap, away, reach: farthest + gap.max(0.0), most_depth: most_depth(shape) }
    }

    /// Positive where a run in this direction goes away from the rectangle: the distance to
    /// something convex then rises all along it.
    pub fn leads_away(&self, along: Vector2<f64>) -> f64 {
        self.away[0].dot(&along).max(self.away[1].dot(&along))
    }
}

/// No point of a rectangle lies deeper in it.
pub(super) fn most_depth(shape: &Rectangle) -> f64 {
    let size = shape.most - shape.least;
    0.5 * size.x.min(size.y)
}

/// Share of a rectangle's size within which a point lies on its face.
const ON_THE_FACE: f64 = 1e-9;

/// From a segment to a filled upright rectangle in the rectangle's frame; in an overlap minus the
/// depth of the segment's deepest point, which is the first of the two points.
pub(super) fn signed_to_rectangle(segment: [Point; 2], shape: &Rectangle) -> Gap {
    let gap = segment_to_rectangle(segment, shape);
    if gap.mm > 0.0 {
        return gap;
    }
    let along = segment[1] - segment[0];
    // Depth under each of the four faces: at the start, and what the whole segment adds.
    let faces = [
        (segment[0].x - shape.least.x, along.x),
        (shape.most.x - segment[0].x, -along.x),
        (segment[0].y - shape.least.y, along.y),
        (shape.most.y - segment[0].y, -along.y),
    ];
    let depth = |share: f64| faces.iter().map(|(at, slope)| at + slope * share).fold(f64::INFINITY, f64::min);
    // Their least is concave: it peaks at an end or where two of them are the same.
    let mut best = if depth(0.0) >= depth(1.0) { (depth(0.0), 0.0) } else { (depth(1.0), 1.0) };
    for (index, one) in faces.iter().enumerate() {
        for other in &faces[index + 1..] {
            let share = (other.0 - one.0) / (one.1 - other.1);
            if (0.0..=1.0).contains(&share) && depth(share) > best.0 {
                best = (depth(share), share);
            }
        }
    }
    let deepest = segment[0] + along * best.1;
    let to_face = [
        (deepest.x - shape.least.x, Point2::new(shape.least.x, deepest.y)),
        (shape.most.x - deepest.x, Point2::new(shape.most.x, deepest.y)),
        (deepest.y - shape.least.y, Point2::new(deepest.x, shape.least.y)),
        (shape.most.y - deepest.y, Point2::new(deepest.x, shape.most.y)),
    ];
    let nearest = to_face.into_iter().min_by(|a, b| a.0.total_cmp(&b.0)).map_or(deepest, |face| face.1);
    Gap { mm: -best.0, on_first: deepest, on_second: nearest }
}
