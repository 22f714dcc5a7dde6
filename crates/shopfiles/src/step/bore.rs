//! Round holes along an axis: walls, shoulders, and the circles that open in the faces at their ends.

use nalgebra::{Point3, Vector3};

use crate::step::boundary::{Boundary, Face, Surface, Walked};

/// A stretch of a bore: from and to along its axis, and its radii there, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Along the axis.
    pub along: [f64; 2],
    /// There.
    pub radius: [f64; 2],
}

/// Radii that differ by less than this, mm, are one.
const SAME_MM: f64 = 1e-9;

/// Adds walls and shoulders of a bore and returns its mouths as holes of the faces at its start (whose
/// normal points against the axis) and its end.
pub fn add_bore(
    body: &mut Boundary,
    origin: Point3<f64>,
    axis: Vector3<f64>,
    across: Vector3<f64>,
    stretches: &[Stretch],
) -> Option<[Vec<Walked>; 2]> {
    let middle = |along: f64| origin + along * axis;
    let place = |along: f64, radius: f64| middle(along) + radius * across;
    let mut before: Option<(f64, usize)> = None;
    let mut start = None;
    for stretch in stretches {
        let [from, to] = stretch.along;
        let [first, last] = stretch.radius;
        let mut low = body.circle(place(from, first), middle(from), axis);
        match before {
            None => start = Some(low),
            Some((radius, circle)) if (radius - first).abs() < SAME_MM => low = circle,
            Some((radius, circle)) => body.faces.push(shoulder(middle(from), axis, (radius, circle), (first, low))),
        }
        let high = body.circle(place(to, last), middle(to), axis);
        // From the circles' own vertices, which may be a rounding off.
        let [from_vertex, to_vertex] = [low, high].map(|circle| body.vertices[body.edges[circle].ends[0]]);
        let seam = body.line(from_vertex, to_vertex);
        let around = vec![(low, false), seam, (high, true), (seam.0, !seam.1)];
        let surface = if (first - last).abs() < SAME_MM {
            Surface::Cylinder { at: middle(from), axis, radius: first }
        } else {
            let half_angle = ((last - first).abs() / (to - from)).atan();
            if last > first {
                Surface::Cone { at: middle(from), axis, radius: first, half_angle }
            } else {
                Surface::Cone { at: middle(to), axis: -axis, radius: last, half_angle }
            }
        };
        body.faces.push(Face { surface, is_outside: false, loops: vec![around] });
        before = Some((last, high));
    }
    let (_, end) = before?;
    Some([vec![(start?, true)], vec![(end, false)]])
}

/// The ring between two circles of one plane; it faces the wider one's side.
fn shoulder(at: Point3<f64>, axis: Vector3<f64>, before: (f64, usize), after: (f64, usize)) -> Face {
    let (normal, loops) = if before.0 > after.0 {
        (-axis, vec![vec![(before.1, false)], vec![(after.1, true)]])
    } else {
        (axis, vec![vec![(after.1, true)], vec![(before.1, false)]])
    };
    Face { surface: Surface::Plane { at, normal }, is_outside: true, loops }
}
