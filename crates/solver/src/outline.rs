//! Closed outlines of lines and arcs, and what one leaves of another.

use cavalier_contours::polyline::{BooleanOp, PlineSource, PlineSourceMut, PlineVertex, Polyline};

use crate::project::Point;

/// A vertex of a closed outline of lines and arcs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vertex {
    /// Where it is, mm.
    pub at: Point,
    /// tan(angle / 4) of the arc to the next vertex, counter-clockwise positive; 0 for a line.
    pub bulge: f64,
}

impl Vertex {
    /// The start of a straight edge.
    #[must_use]
    pub fn line(at: Point) -> Self {
        Self { at, bulge: 0.0 }
    }
}

/// Area of a closed outline, mm², positive counter-clockwise. Exact for arcs.
#[must_use]
pub fn area(outline: &[Vertex]) -> f64 {
    polyline(outline).area()
}

/// Area, mm², positive counter-clockwise, and its centre. Exact for arcs; the centre of nothing is
/// the origin.
#[must_use]
pub(crate) fn area_and_centre(outline: &[Vertex]) -> (f64, Point) {
    let mut area = 0.0;
    let mut first_moment = nalgebra::Vector2::zeros();
    for (index, vertex) in outline.iter().enumerate() {
        let next = &outline[(index + 1) % outline.len()];
        let (from, to) = (vertex.at.coords, next.at.coords);
        let triangle = 0.5 * from.perp(&to);
        area += triangle;
        first_moment += triangle * (from + to) / 3.0;
        // Between chord and arc: a circular segment of half angle 2·atan(bulge).
        let half = 2.0 * vertex.bulge.atan();
        let chord = to - from;
        let length = chord.norm();
        if half == 0.0 || length == 0.0 {
            continue;
        }
        let radius = 0.5 * length / half.sin();
        let double = 2.0 * half;
        // φ − sin φ, by its series where that cancels.
        let cap = if double.abs() < 1e-2 {
            double.powi(3) / 6.0 * (1.0 - double * double / 20.0)
        } else {
            double - double.sin()
        };
        let segment = 0.5 * radius * radius * cap;
        let outwards = nalgebra::Vector2::new(chord.y, -chord.x) / length;
        // From the circle's middle, which lies inwards of the chord by r·cos(half).
        let out = radius * (4.0 * half.sin().powi(3) / (3.0 * cap) - half.cos());
        area += segment;
        first_moment += segment * (0.5 * (from + to) + out * outwards);
    }
    let centre = if area == 0.0 { Point::origin() } else { Point::from(first_moment / area) };
    (area, centre)
}

/// Straight edges through points.
pub(crate) fn polygon(points: &[Point]) -> Vec<Vertex> {
    points.iter().map(|at| Vertex::line(*at)).collect()
}

/// What is left of a counter-clockwise outline when another is taken away; pieces are
/// counter-clockwise. A hole (the other wholly inside) is not told: cuts always reach an edge here.
pub(crate) fn without(outline: &[Vertex], cut: &[Vertex]) -> Vec<Vec<Vertex>> {
    let (whole, taken) = (polyline(outline), polyline(cut));
    if whole.vertex_count() < 2 || whole.area().abs() <= 0.0 {
        return Vec::new();
    }
    if taken.vertex_count() < 2 || taken.area().abs() <= 0.0 {
        return vec![outline.to_vec()];
    }
    let result = whole.boolean(&taken, BooleanOp::Not);
    result.pos_plines.into_iter().map(|piece| vertices(&piece.pline)).collect()
}

/// Where two closed outlines cross each other.
pub(crate) fn crossings(one: &[Vertex], other: &[Vertex]) -> Vec<Point> {
    let found = polyline(one).find_intersects(&polyline(other));
    found.basic_intersects.iter().map(|at| Point::new(at.point.x, at.point.y)).collect()
}

/// From a point to the nearest place on a closed outline, mm.
pub(crate) fn distance_to(outline: &[Vertex], point: Point) -> f64 {
    let at = cavalier_contours::core::math::Vector2::new(point.x, point.y);
    polyline(outline).closest_point(at, 1e-9).map_or(f64::INFINITY, |found| found.distance)
}

/// Whether a point lies inside a closed outline.
pub(crate) fn contains(outline: &[Vertex], point: Point) -> bool {
    polyline(outline).winding_number(cavalier_contours::core::math::Vector2::new(point.x, point.y)) != 0
}

/// An outline moved inwards (or, negative, outwards) by a distance.
fn inset(outline: &[Vertex], by: f64) -> Vec<Vec<Vertex>> {
    let line = polyline(outline);
    if line.vertex_count() < 2 || line.area().abs() <= 0.0 {
        return Vec::new();
    }
    line.parallel_offset(by).iter().map(vertices).filter(|piece| area(piece) > 0.0).collect()
}

/// An outline without what is thinner than `thickness`: a round tool of that diameter reaches all
/// of what stays, except corners of 60° and more, which stay sharp.
pub(crate) fn without_slivers(outline: &[Vertex], thickness: f64) -> Vec<Vec<Vertex>> {
    let radius = 0.5 * thickness;
    let mut kept = Vec::new();
    let cores = inset(outline, radius);
    if cores.is_empty() {
        return kept;
    }
    let mut thin = vec![outline.to_vec()];
    for core in &cores {
        for opened in inset(core, -radius) {
            thin = thin.iter().flat_map(|piece| without(piece, &opened)).collect();
        }
    }
    kept.push(outline.to_vec());
    // What rounding a corner of 60° by the radius takes away; and its tip is two radii from where the round tool's middle gets.
    let corner = radius * radius * (3.0_f64.sqrt() - std::f64::consts::FRAC_PI_3) * 1.01;
    let reach: Vec<_> = cores.iter().map(|core| polyline(core)).collect();
    let sticks_out = |vertex: &Vertex| {
        let at = cavalier_contours::core::math::Vector2::new(vertex.at.x, vertex.at.y);
        let near = reach.iter().filter_map(|core| core.closest_point(at, 1e-9)).map(|found| found.distance);
        near.fold(f64::INFINITY, f64::min) > 2.01 * radius
    };
    for sliver in thin.iter().filter(|sliver| area(sliver) > corner || sliver.iter().any(sticks_out)) {
        kept = kept.iter().flat_map(|piece| without(piece, sliver)).collect();
    }
    kept.retain(|piece| !inset(piece, 0.99 * radius).is_empty());
    kept
}

/// For the library, without edges of no length: it takes none, least of all round ones.
/// Pieces of a layer cut back where a cutter would not reach all that is cut: between two noses
/// that face each other too closely it goes right through.
pub(crate) fn reached_by(mut pieces: Vec<Vec<Vertex>>, radius: f64) -> Vec<Vec<Vertex>> {
    /// Each go widens the narrow places; more than this and the shape is left to the rule.
    const MOST_GOES: usize = 3;
    /// Smaller than this, mm², is rounding.
    const SMALL_MM2: f64 = 1e-3;
    for _ in 0..MOST_GOES {
        let mut left = closed(&pieces, radius);
        for piece in &pieces {
            left = left.iter().flat_map(|rest| without(rest, piece)).collect();
        }
        left.retain(|rest| area(rest) > SMALL_MM2);
        if left.is_empty() {
            break;
        }
        for rest in left {
            #[allow(clippy::cast_precision_loss)] // few
            let share = 1.0 / rest.len() as f64;
            let middle = Point::from(rest.iter().map(|v| v.at.coords * share).sum::<nalgebra::Vector2<f64>>());
            let side = nalgebra::Vector2::new(radius * (1.0 + 1e-3), 0.0);
            let disc = [Vertex { at: middle - side, bulge: 1.0 }, Vertex { at: middle + side, bulge: 1.0 }];
            pieces = pieces.iter().flat_map(|piece| without(piece, &disc)).collect();
        }
    }
    pieces
}

/// Pieces with everything filled that a disc of the radius cannot get into from outside.
fn closed(pieces: &[Vec<Vertex>], radius: f64) -> Vec<Vec<Vertex>> {
    let mut grown: Vec<Vec<Vertex>> = Vec::new();
    for piece in pieces {
        for mut outline in inset(piece, -radius) {
            // Joined with every earlier one that it meets.
            let mut apart = Vec::new();
            for other in grown {
                let joined = polyline(&outline).boolean(&polyline(&other), BooleanOp::Or);
                if joined.pos_plines.len() == 1 {
                    outline = vertices(&joined.pos_plines[0].pline);
                } else {
                    apart.push(other);
                }
            }
            apart.push(outline);
            grown = apart;
        }
    }
    grown.iter().flat_map(|outline| inset(outline, radius)).collect()
}

/// An outline whose edges are all worth drawing: ends of a shorter one become one vertex.
pub(crate) fn without_short_edges(outline: &[Vertex]) -> Vec<Vertex> {
    /// Below what a machine resolves, mm.
    const SHORT_MM: f64 = 0.02;
    let mut kept: Vec<Vertex> = Vec::with_capacity(outline.len());
    for vertex in outline {
        match kept.last_mut() {
            Some(last) if (last.at - vertex.at).norm() < SHORT_MM => last.bulge = vertex.bulge,
            _ => kept.push(*vertex),
        }
    }
    while kept.len() > 3 && (kept[0].at - kept[kept.len() - 1].at).norm() < SHORT_MM {
        kept.pop();
    }
    kept
}

fn polyline(outline: &[Vertex]) -> Polyline<f64> {
    /// Below this, mm, the library takes two places for one.
    const NO_LENGTH_MM: f64 = 1e-7;
    let mut line = Polyline::new_closed();
    for (index, vertex) in outline.iter().enumerate() {
        if (outline[(index + 1) % outline.len()].at - vertex.at).amax() <= NO_LENGTH_MM {
            continue;
        }
        line.add_vertex(PlineVertex::new(vertex.at.x, vertex.at.y, vertex.bulge));
    }
    line
}

/// Back from the library, counter-clockwise.
fn vertices(line: &Polyline<f64>) -> Vec<Vertex> {
    let mut line = line.clone();
    if line.area() < 0.0 {
        line.invert_direction_mut();
    }
    line.iter_vertexes().map(|v| Vertex { at: Point::new(v.x, v.y), bulge: v.bulge }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, y: f64, side: f64) -> Vec<Vertex> {
        polygon(&[[0.0, 0.0], [side, 0.0], [side, side], [0.0, side]].map(|p| Point::new(x + p[0], y + p[1])))
    }

    #[test]
    fn outlines_of_nothing() {
        let at = |x: f64, bulge: f64| Vertex { at: Point::new(x, 0.0), bulge };
        let needle = [at(0.0, 0.0), at(9.0, 1.0), at(9.0, 0.0), at(0.0, 1.0)];
        let whole = square(0.0, 0.0, 10.0);
        assert!(without(&needle, &whole).is_empty());
        assert_eq!(without(&whole, &needle), vec![whole.clone()]);
        assert_eq!(without(&whole, &[]), vec![whole]);
        assert!(without_slivers(&[at(1.0, 0.0); 4], 3.0).is_empty());
        assert!(without_slivers(&needle, 3.0).is_empty());
    }

    #[test]
    fn a_half_disc_out_of_a_square() {
        let disc = [Vertex { at: Point::new(7.0, 0.0), bulge: 1.0 }, Vertex { at: Point::new(3.0, 0.0), bulge: 1.0 }];
        let left = without(&square(0.0, 0.0, 10.0), &disc);
        assert_eq!(left.len(), 1);
        assert!((area(&left[0]) - (100.0 - 2.0 * std::f64::consts::PI)).abs() < 1e-6);
    }

    #[test]
    fn area_and_centre_of_a_half_disc() {
        // Centre of a half disc: 4 r ÷ 3 π from its middle (any handbook of areas).
        let at = |x: f64, y: f64, bulge: f64| Vertex { at: Point::new(x, y), bulge };
        let half_disc = [at(5.0, 1.0, 1.0), at(5.0, 7.0, 0.0)];
        let (found, centre) = area_and_centre(&half_disc);
        assert!((found - 4.5 * std::f64::consts::PI).abs() < 1e-12);
        assert!((centre - Point::new(5.0 + 4.0 / std::f64::consts::PI, 4.0)).norm() < 1e-12, "{centre}");
        // A square with a shallow dent: the centre moves away from it.
        let dented = [at(0.0, 0.0, -1e-4), at(10.0, 0.0, 0.0), at(10.0, 10.0, 0.0), at(0.0, 10.0, 0.0)];
        let (found, centre) = area_and_centre(&dented);
        assert!((found - area(&dented)).abs() < 1e-9 && centre.y > 5.0 && (centre.x - 5.0).abs() < 1e-12);
    }

    #[test]
    fn thin_pieces_go_and_right_corners_stay() {
        let kept = without_slivers(&square(0.0, 0.0, 10.0), 3.0);
        assert_eq!(kept.len(), 1);
        assert!((area(&kept[0]) - 100.0).abs() < 1e-6);
        assert!(without_slivers(&square(0.0, 0.0, 2.0), 3.0).is_empty());
        // A wedge of 20° loses its tip and keeps its root.
        let wedge = polygon(&[Point::new(0.0, 0.0), Point::new(50.0, 0.0), Point::new(50.0, 18.2)]);
        let kept = without_slivers(&wedge, 3.0);
        assert_eq!(kept.len(), 1);
        let tip = kept[0].iter().map(|v| v.at.x).fold(f64::INFINITY, f64::min);
        assert!(tip > 5.0 && tip < 12.0, "{tip}");
    }
}
