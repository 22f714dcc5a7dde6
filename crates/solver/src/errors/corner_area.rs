//! Where the panel's corners may lie: the area about each that errors within their tolerances reach.
//!
//! By the slopes. Hung, a rest lies on the wall, and whichever leaves the corners farther off counts.
//! Elsewhere the panel is held by its corners: the least shift that closes the loop again, so nothing
//! of it lies along the path, where the drive would take it back. Sums of eight bounded shifts fill a
//! zonogon, whose outline is found by walking its edges in the order of their directions.

use nalgebra::{Matrix2, Vector2};

use super::geometry::{PanelPlace, SetGeometry};
use super::sensitivity::{Held, panel_by_dimension};
use crate::lift::Lift;
use crate::pose::Pose;
use crate::project::{Point, Project};

/// The panel's corners at one pose.
#[derive(Clone, Debug, PartialEq)]
pub struct CornerAreas {
    /// Corners as drawn, side view, mm, in the order of [`crate::Rectangle::corners`].
    pub corners: [Point; 4],
    /// About each, shifts that are reached with every error at its worst, mm, counter-clockwise.
    pub outlines: [Vec<Vector2<f64>>; 4],
    /// Largest shift of a corner per mm of each dimension, in the order of [`super::Dimension::ALL`].
    pub slopes: [f64; 8],
    /// The farthest that a corner is shifted, mm.
    pub worst: f64,
    /// Root of the sum of squares of the shifts of the corner where it is most, along the direction
    /// in which it is most, mm.
    pub root_sum_square: f64,
}

impl CornerAreas {
    /// The corners of a lift at a pose, each error within ± its tolerance, mm; `None` where all pivots
    /// are in line.
    #[must_use]
    pub fn new(project: &Project, lift: &Lift, pose: &Pose, tolerances: &[f64; 8]) -> Option<Self> {
        let rests = project.panel.rests().map(|height| Point::new(-lift.standoff, height));
        let on_wall = rests.map(|tip| Self::held(lift, pose, tolerances, Held::Tip(tip)));
        let free = || Self::held(lift, pose, tolerances, Held::Corners(&lift.panel));
        if pose.s > 0.0 {
            return free();
        }
        let worst = on_wall.into_iter().flatten().max_by(|one, other| one.worst.total_cmp(&other.worst));
        worst.or_else(free)
    }

    /// Likewise, the panel held in one way.
    fn held(lift: &Lift, pose: &Pose, tolerances: &[f64; 8], held: Held<'_>) -> Option<Self> {
        let place = PanelPlace { origin: pose.origin(), turn: -pose.tilt };
        let by = panel_by_dimension(&SetGeometry::nominal(lift), &place, held)?;
        let corners = lift.panel.corners().map(|corner| place.at(corner));
        let shifts = corners.map(|corner| {
            let about = corner - place.origin;
            std::array::from_fn(|of| {
                let shift = by.column(of);
                Vector2::new(shift.x - about.y * shift.z, shift.y + about.x * shift.z)
            })
        });
        let within =
            |shifts: &[Vector2<f64>; 8]| -> [Vector2<f64>; 8] { std::array::from_fn(|of| shifts[of] * tolerances[of]) };
        let outlines = shifts.each_ref().map(|shifts| zonogon(&within(shifts)));
        let worst = outlines.iter().flatten().map(Vector2::norm).fold(0.0, f64::max);
        let root_sum_square = shifts.iter().map(|shifts| largest_spread(&within(shifts))).fold(0.0, f64::max);
        let slopes = std::array::from_fn(|of| shifts.iter().map(|shifts| shifts[of].norm()).fold(0.0, f64::max));
        Some(Self { corners, outlines, slopes, worst, root_sum_square })
    }
}

/// The outline of all sums of vectors, each times −1 … 1; counter-clockwise.
fn zonogon(vectors: &[Vector2<f64>]) -> Vec<Vector2<f64>> {
    // Each edge is one vector twice; pointing up, they turn from right to left.
    let up =
        |vector: &Vector2<f64>| if vector.y < 0.0 || (vector.y == 0.0 && vector.x < 0.0) { -vector } else { *vector };
    let mut edges: Vec<Vector2<f64>> = vectors.iter().map(up).filter(|edge| edge.norm_squared() > 0.0).collect();
    edges.sort_by(|a, b| a.y.atan2(a.x).total_cmp(&b.y.atan2(b.x)));
    let mut at = -edges.iter().sum::<Vector2<f64>>();
    let mut outline = Vec::with_capacity(2 * edges.len());
    for edge in edges.iter().chain(edges.iter().map(|edge| -edge).collect::<Vec<_>>().iter()) {
        outline.push(at);
        at += 2.0 * edge;
    }
    outline
}

/// Root of the sum of squares along the direction in which it is largest.
fn largest_spread(vectors: &[Vector2<f64>]) -> f64 {
    let sum = vectors.iter().fold(Matrix2::zeros(), |sum, vector| sum + vector * vector.transpose());
    sum.symmetric_eigenvalues().max().max(0.0).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::errors::draws::symmetric;
    use crate::errors::{Draws, corners_by_dimension};

    /// A square of sides 2 and 4 from two vectors, and its half diagonal.
    #[test]
    fn a_rectangle_of_two_vectors() {
        let outline = zonogon(&[Vector2::new(0.0, -2.0), Vector2::new(1.0, 0.0)]);
        let expected = [[-1.0, -2.0], [1.0, -2.0], [1.0, 2.0], [-1.0, 2.0]].map(|[x, y]| Vector2::new(x, y));
        assert_eq!(outline, expected);
        assert!((largest_spread(&[Vector2::new(3.0, 0.0), Vector2::new(4.0, 0.0)]) - 5.0).abs() < 1e-12);
    }

    /// Panels closed with drawn errors, brought back along the path, have their corners within the
    /// areas; and some come near their rim. Slopes agree with those of the sensitivities.
    #[test]
    fn drawn_panels_lie_within() {
        let project = crate::samples::board();
        let lift = Lift::new(&project);
        let analysis = crate::analyse(&project, &crate::Options { poses: 2, swept: false });
        // So small that a shift's second order is nothing beside its slope.
        let tolerances = [2e-4, 2e-4, 2e-4, 2e-4, 3e-4, 3e-4, 3e-4, 3e-4];
        for s in [0.0, 0.35, 0.8] {
            let pose = analysis.pose_at(s);
            let found = CornerAreas::held(&lift, &pose, &tolerances, Held::Corners(&lift.panel)).expect("it moves");
            let set = SetGeometry::nominal(&lift);
            let place = PanelPlace { origin: pose.origin(), turn: -pose.tilt };
            let slopes = corners_by_dimension(&set, &place, &lift.panel).expect("it moves");
            assert!(found.slopes.iter().zip(&slopes).all(|(one, other)| (one - other).abs() < 1e-12));
            let mut nearest_to_rim: f64 = 0.0;
            for sample in 0..400_u64 {
                // Every error at one end or the other, so that some sums are on the rim.
                let errors = std::array::from_fn(|of| {
                    tolerances[of] * symmetric(Draws::default().seed, sample, of as u64).signum()
                });
                let made = set.with(&errors).expect("it closes");
                let closed = closed_nearest(&made, &place, &lift);
                for (index, corner) in lift.panel.corners().into_iter().enumerate() {
                    let shift = closed.at(corner) - found.corners[index];
                    let reach = reach(&found.outlines[index], shift);
                    assert!(reach < 1.01, "{shift:?} is {reach} of the way to the rim at {s}");
                    nearest_to_rim = nearest_to_rim.max(reach);
                }
            }
            assert!(nearest_to_rim > 0.75, "{nearest_to_rim} at {s}");
            assert!(found.root_sum_square < found.worst && found.root_sum_square > 0.3 * found.worst);
        }
    }

    /// Hung, sets closed on the wall with every error at an end of its tolerance have no corner farther
    /// off than is told, and one of them about as far.
    #[test]
    fn hung_panels_rest_on_the_wall() {
        let project = crate::samples::board();
        let analysis = crate::analyse(&project, &crate::Options { poses: 2, swept: false });
        let (lift, pose) = (&analysis.lift, analysis.pose_at(0.0));
        let tolerances = [2e-4, 2e-4, 2e-4, 2e-4, 3e-4, 3e-4, 3e-4, 3e-4];
        let found = CornerAreas::new(&project, lift, &pose, &tolerances).expect("it closes");
        let closing = crate::errors::Closing::new(&project, lift, &analysis.travel).expect("it has rests");
        let set = SetGeometry::nominal(lift);
        let mut farthest: f64 = 0.0;
        for signs in 0..256_u32 {
            let errors = std::array::from_fn(|of| if signs >> of & 1 == 1 { tolerances[of] } else { -tolerances[of] });
            let made = set.with(&errors).expect("it closes");
            let Some(crate::errors::Closed::OnWall { place, .. } | crate::errors::Closed::OnArms { place, .. }) =
                closing.of(&made)
            else {
                panic!("{errors:?} stays short")
            };
            for (corner, drawn) in lift.panel.corners().into_iter().zip(found.corners) {
                farthest = farthest.max((place.at(corner) - drawn).norm());
            }
        }
        assert!((farthest / found.worst - 1.0).abs() < 0.02, "{farthest} against {}", found.worst);
        let free = CornerAreas::held(lift, &pose, &tolerances, Held::Corners(&lift.panel)).expect("it moves");
        assert!(free.worst < 0.7 * found.worst, "{} against {}", free.worst, found.worst);
    }

    /// The panel closed with the least shift of its corners: Newton on the loop, each step the least.
    fn closed_nearest(set: &SetGeometry, start: &PanelPlace, lift: &Lift) -> PanelPlace {
        let mut place = *start;
        for _ in 0..8 {
            let (held, _) = crate::errors::sensitivity::held_row(set, start, Held::Corners(&lift.panel));
            let rows = set.by_place(&place);
            let all = nalgebra::Matrix3::from_rows(&[rows.row(0).into_owned(), rows.row(1).into_owned(), held]);
            let off = set.residual(&place);
            let by = all.lu().solve(&-nalgebra::Vector3::new(off.x, off.y, 0.0)).expect("it closes");
            place = place.moved(by);
        }
        assert!(set.residual(&place).norm() < 1e-9);
        place
    }

    /// How far a shift is from the middle to the outline along its own direction: 1 on it.
    fn reach(outline: &[Vector2<f64>], shift: Vector2<f64>) -> f64 {
        let edges = outline.iter().zip(outline.iter().cycle().skip(1));
        let over = |(a, b): (&Vector2<f64>, &Vector2<f64>)| {
            let normal = Vector2::new((b - a).y, -(b - a).x);
            normal.dot(&shift) / normal.dot(a)
        };
        edges.map(over).fold(0.0, f64::max)
    }
}
