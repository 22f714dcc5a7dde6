//! Where one set with its errors comes to rest on the wall.
//!
//! The panel comes down along its path until the first of its two rests meets the wall, or until the
//! arms touch. Newton's method finds that place from the nominal one; where it does not (the loop
//! cannot close so far, or nearly not) the path is walked.

use nalgebra::{Matrix3, Vector2, Vector3};

use super::geometry::{PanelPlace, SetGeometry};
use crate::distance::segment_to_segment;
use crate::project::Point;

/// Where a set comes to rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Closed {
    /// On the wall.
    OnWall {
        /// Upper tip less lower tip, mm: 0 hangs flat, positive leans out at the top.
        gap: f64,
        /// The panel's place.
        place: PanelPlace,
    },
    /// On each other: the arms touch first.
    OnArms {
        /// Upper tip less lower tip, mm.
        gap: f64,
        /// The panel's place.
        place: PanelPlace,
    },
    /// Nowhere: the loop cannot close so far.
    Short {
        /// Least distance left between the nearer tip and the wall, mm.
        by: f64,
        /// The panel's place there.
        place: PanelPlace,
    },
}

/// What closes: tips of the rests in the panel frame, and the arms where they can touch.
#[derive(Clone, Copy, Debug)]
pub struct Meeting {
    /// `(−standoff, height)`, lower first.
    pub tips: [Point; 2],
    /// Half the width of both arms together where they share a layer.
    pub arms_apart: Option<f64>,
}

/// A panel this far from its nominal turn, radians, is on another path.
const ANOTHER_PATH: f64 = 0.3;
/// Closed to this, mm.
const CLOSED_MM: f64 = 1e-10;
const MOST_ROUNDS: usize = 12;

/// Where a set comes to rest; `outwards` is the panel's displacement (x, y, turn) per unit of travel
/// at hung, as drawn.
#[must_use]
pub fn close_on_wall(set: &SetGeometry, hung: &PanelPlace, outwards: Vector3<f64>, meeting: &Meeting) -> Closed {
    for (first, other) in [(0, 1), (1, 0)] {
        let Some(place) = newton(set, hung, meeting.tips[first]) else { continue };
        let tip = |of: usize| place.at(meeting.tips[of]).x;
        let leaves = tip_rate(set, &place, meeting.tips[first], outwards);
        if tip(other) >= -CLOSED_MM && leaves > 0.0 && arms_gap(set, &place, meeting) >= 0.0 {
            return Closed::OnWall { gap: tip(1) - tip(0), place };
        }
    }
    walk_in(set, hung, outwards, meeting)
}

/// The place with a tip on the wall, from a place nearby.
fn newton(set: &SetGeometry, from: &PanelPlace, tip: Point) -> Option<PanelPlace> {
    let mut place = *from;
    for _ in 0..MOST_ROUNDS {
        let residual = set.residual(&place);
        let off = Vector3::new(residual.x, residual.y, place.at(tip).x);
        if off.amax() < CLOSED_MM {
            return Some(place);
        }
        let by_place = set.by_place(&place);
        let about = place.at(tip) - place.origin;
        let held = Matrix3::from_rows(&[
            by_place.row(0).into_owned(),
            by_place.row(1).into_owned(),
            nalgebra::RowVector3::new(1.0, 0.0, -about.y),
        ]);
        place = place.moved(held.lu().solve(&-off)?);
        if !((place.turn - from.turn).abs() < ANOTHER_PATH) {
            return None;
        }
    }
    None
}

/// The direction of the path at a place, of unit length with the turn weighed by the panel's size,
/// towards `like`.
fn tangent(set: &SetGeometry, place: &PanelPlace, like: Vector3<f64>) -> Vector3<f64> {
    let rows = set.by_place(place);
    let path = rows.row(0).transpose().cross(&rows.row(1).transpose());
    let size = set.arms[0].max(set.arms[1]);
    let length = (path.x * path.x + path.y * path.y + size * size * path.z * path.z).sqrt();
    let path = path / length.max(f64::MIN_POSITIVE);
    if path.x * like.x + path.y * like.y + size * size * path.z * like.z < 0.0 { -path } else { path }
}

fn tip_rate(set: &SetGeometry, place: &PanelPlace, tip: Point, like: Vector3<f64>) -> f64 {
    let path = tangent(set, place, like);
    path.x - (place.at(tip) - place.origin).y * path.z
}

/// Back on the path by the least step.
fn on_path(set: &SetGeometry, place: PanelPlace) -> Option<PanelPlace> {
    let mut place = place;
    for _ in 0..MOST_ROUNDS {
        let residual = set.residual(&place);
        if residual.amax() < CLOSED_MM {
            return Some(place);
        }
        let rows = set.by_place(&place);
        let size = set.arms[0].max(set.arms[1]);
        // The turn weighed by the panel's size.
        let weigh = Matrix3::from_diagonal(&Vector3::new(1.0, 1.0, 1.0 / (size * size)));
        let across = weigh * rows.transpose();
        place = place.moved(-across * (rows * across).lu().solve(&residual)?);
    }
    None
}

fn arms_gap(set: &SetGeometry, place: &PanelPlace, meeting: &Meeting) -> f64 {
    let axis = |arm: usize| [set.wall[arm], place.at(set.panel[arm])];
    meeting.arms_apart.map_or(f64::INFINITY, |apart| segment_to_segment(axis(0), axis(1)).mm - apart)
}

/// Starts a little way out and walks in until something meets, or nothing comes nearer any more.
fn walk_in(set: &SetGeometry, hung: &PanelPlace, outwards: Vector3<f64>, meeting: &Meeting) -> Closed {
    /// Steps of the walk, shares of the arms' length; halved where the path bends back.
    const STEP: f64 = 2e-3;
    const FINEST: f64 = 1e-9;
    const MOST_STEPS: usize = 400;
    let size = set.arms[0].max(set.arms[1]);
    let gap = |place: &PanelPlace| place.at(meeting.tips[1]).x - place.at(meeting.tips[0]).x;
    let left = |place: &PanelPlace| {
        let tips = meeting.tips.map(|tip| place.at(tip).x);
        Vector2::new(tips[0].min(tips[1]), arms_gap(set, place, meeting))
    };
    let out = tangent(set, hung, outwards);
    // Far enough out that every tip is off the wall.
    let start = (1..=40).find_map(|steps| {
        let place = on_path(set, hung.moved(out * (f64::from(steps) * STEP * size)))?;
        (left(&place).min() > 0.0).then_some(place)
    });
    let Some(mut place) = start else { return Closed::Short { by: left(hung).min().max(0.0), place: *hung } };
    let mut way = tangent(set, &place, outwards);
    let mut step = STEP * size;
    for _ in 0..MOST_STEPS {
        if step < FINEST * size {
            break;
        }
        let next = on_path(set, place.moved(-step * way));
        match next {
            Some(next) if left(&next).min() >= 0.0 && left(&next).min() < left(&place).min() => {
                way = tangent(set, &next, way);
                place = next;
            }
            // Through the wall, into the arm, or away from it again: a smaller step.
            _ => step *= 0.5,
        }
    }
    let left = left(&place);
    /// What the last step could have been short by, shares of the arms' length.
    const MEETS: f64 = 1e-7;
    if left.x < MEETS * size {
        Closed::OnWall { gap: gap(&place), place }
    } else if left.y < MEETS * size {
        Closed::OnArms { gap: gap(&place), place }
    } else {
        Closed::Short { by: left.x, place }
    }
}
