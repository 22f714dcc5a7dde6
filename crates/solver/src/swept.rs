//! What panel and bars sweep over the travel, as closed outlines.
//!
//! A point that is not covered when hung is first covered through a stretch of the outline that
//! moves outwards. So the swept region is the panel when hung together with what the outward
//! moving stretches of its four edges sweep. On one edge the outward speed changes linearly; where
//! it is zero lies the envelope. The stretches make a few long strips, each wound one way, so that
//! their union is a handful of polygons, not one for every pose.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::float::simplify::SimplifyShape;
use nalgebra::Vector2;

use crate::lift::{ArmName, Lift, Rectangle};
use crate::pose::{Pose, Rates};
use crate::project::{Point, Project};
use crate::room::{RoomShape, signed_area};
use crate::swept_arm::SweptArm;
use crate::tolerance::DRAWN_ARC_MM;
use crate::travel::Travel;

/// A region by its closed contours: outer ones counter-clockwise, holes clockwise.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Region {
    /// Contours, side view, mm.
    pub contours: Vec<Vec<Point>>,
}

impl Region {
    /// Area, mm².
    #[must_use]
    pub fn area(&self) -> f64 {
        self.contours.iter().map(|contour| signed_area(contour)).sum()
    }
}

/// What is swept.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Swept {
    /// By the panel.
    pub panel: Region,
    /// By both arms and the panel bar.
    pub bars: Region,
    /// Pieces of the two outlines that are nearer to ceiling or solids than wanted.
    pub tight: Vec<Vec<Point>>,
}

impl Swept {
    /// Swept outlines of the whole travel. Vertices lie on the true envelope; chords between them
    /// deviate by what 6 mm of motion bends, some hundredths of a millimetre.
    #[must_use]
    pub fn new(project: &Project, lift: &Lift, travel: &Travel, room: &RoomShape) -> Self {
        let stretch = travel.stretch(lift);
        let frames = frames(lift, travel);
        let panel = union(&strips(&lift.panel, &frames));
        let mut polygons = strips(&lift.panel_bar, &frames);
        for arm in [ArmName::Lower, ArmName::Upper] {
            let (from, to) = stretch.range(lift, |pose| pose.arm(arm));
            let (pivot, length) = (lift.wall_pivot(arm), lift.arm_length(arm));
            polygons.extend(SweptArm { pivot, length, radius: lift.arm_radius(arm), from, to }.polygons(DRAWN_ARC_MM));
        }
        let bars = union(&polygons);
        let wanted = project.room.wanted_clearance();
        let tight = [&panel, &bars].iter().flat_map(|region| tight_pieces(region, room, wanted)).collect();
        Self { panel, bars, tight }
    }
}

/// Poses with their rates, close enough together for smooth outlines.
fn frames(lift: &Lift, travel: &Travel) -> Vec<(Pose, Rates)> {
    /// Motion of the farthest point between two poses, mm.
    const STEP_MM: f64 = 6.0;
    let stretch = travel.stretch(lift);
    let mut walked = vec![0.0];
    for pair in stretch.cuts.windows(2) {
        let ends = [pair[0], pair[1]].map(|w| lift.pose(stretch.phase(w), 0.0));
        let motion = crate::placed::Moving::Panel.most_motion(lift, &ends[0], &ends[1]);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // clamped
        let count = (motion / STEP_MM).clamp(4.0, 600.0) as usize;
        for step in 1..=count {
            #[allow(clippy::cast_precision_loss)] // small
            walked.push(pair[0] + (pair[1] - pair[0]) * step as f64 / count as f64);
        }
    }
    let sign = travel.direction;
    walked
        .iter()
        .map(|walked| {
            let phase = stretch.phase(*walked);
            let mut rates = lift.rates(phase);
            rates.panel *= sign;
            rates.panel_lower *= sign;
            (lift.pose(phase, 0.0), rates)
        })
        .collect()
}

/// Polygons whose union is what a rectangle on the panel sweeps; each counter-clockwise.
fn strips(shape: &Rectangle, frames: &[(Pose, Rates)]) -> Vec<Vec<[f64; 2]>> {
    let place = |pose: &Pose| shape.corners().map(|corner| pose.room_from_panel * corner);
    let as_array = |p: Point| [p.x, p.y];
    let mut polygons = Vec::new();
    if let Some((hung, _)) = frames.first() {
        polygons.push(place(hung).iter().map(|p| [p.x, p.y]).collect());
    }
    for edge in 0..4 {
        let mut near: Vec<[f64; 2]> = Vec::new();
        let mut far: Vec<[f64; 2]> = Vec::new();
        let mut close = |near: &mut Vec<[f64; 2]>, far: &mut Vec<[f64; 2]>| {
            if near.len() > 1 {
                let mut polygon = std::mem::take(near);
                polygon.extend(far.drain(..).rev());
                polygons.push(polygon);
            }
            near.clear();
            far.clear();
        };
        let mut was_moving = false;
        for (pose, rates) in frames {
            let corners = place(pose);
            let (from, to) = (corners[edge], corners[(edge + 1) % 4]);
            let along = to - from;
            let outwards = Vector2::new(along.y, -along.x);
            let speed = |p: Point| {
                let arm = p - pose.panel_lower;
                outwards.dot(&(rates.panel_lower + rates.panel * Vector2::new(-arm.y, arm.x)))
            };
            let (at_from, at_to) = (speed(from), speed(to));
            let moving = at_from > 0.0 || at_to > 0.0;
            // Only used where the two have different signs.
            let zero = (at_from / (at_from - at_to)).clamp(0.0, 1.0);
            let (low, high) = match (at_from > 0.0, at_to > 0.0) {
                (true, true) => (0.0, 1.0),
                (true, false) => (0.0, zero),
                (false, true) => (zero, 1.0),
                // Nothing moves outwards: a strip begins or ends at the end that comes nearest.
                (false, false) if at_from > at_to => (0.0, 0.0),
                (false, false) => (1.0, 1.0),
            };
            if moving || was_moving {
                near.push(as_array(from + along * low));
                far.push(as_array(from + along * high));
            }
            if !moving {
                close(&mut near, &mut far);
                // The next strip starts from here.
                near.push(as_array(from + along * low));
                far.push(as_array(from + along * high));
            }
            was_moving = moving;
        }
        close(&mut near, &mut far);
    }
    polygons
}

/// Union of counter-clockwise polygons.
fn union(polygons: &Vec<Vec<[f64; 2]>>) -> Region {
    let shapes = polygons.simplify_shape_as::<i64>(FillRule::NonZero);
    let contours = shapes
        .into_iter()
        .flat_map(|shape| {
            shape.into_iter().enumerate().map(|(index, contour)| {
                let mut points: Vec<Point> = contour.into_iter().map(Point::from).collect();
                // The library promises outer contours one way round and holes the other, not which.
                if (signed_area(&points) > 0.0) != (index == 0) {
                    points.reverse();
                }
                points
            })
        })
        .filter(|contour| !is_sliver(contour))
        .collect();
    Region { contours }
}

/// Whether a contour is only what rounding leaves between two strips.
fn is_sliver(contour: &[Point]) -> bool {
    /// Thinner than a chord's deviation.
    const THIN_MM: f64 = 0.02;
    let around: f64 = contour.iter().zip(contour.iter().cycle().skip(1)).map(|(p, q)| (q - p).norm()).sum();
    signed_area(contour).abs() < 0.5 * THIN_MM * around
}

/// Runs of an outline that are nearer to the room than wanted.
fn tight_pieces(region: &Region, room: &RoomShape, wanted: f64) -> Vec<Vec<Point>> {
    let mut pieces = Vec::new();
    for contour in &region.contours {
        let mut piece: Vec<Point> = Vec::new();
        for point in contour.iter().chain(contour.first()) {
            if room.distance_to_rest(*point) < wanted || !room.is_free(*point) {
                piece.push(*point);
            } else if piece.len() > 1 {
                pieces.push(std::mem::take(&mut piece));
            } else {
                piece.clear();
            }
        }
        if piece.len() > 1 {
            pieces.push(piece);
        }
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Options, analyse};

    #[test]
    fn the_swept_outline_holds_every_pose_and_no_more() {
        let text = include_str!("../../../tests/golden/chapel-hatch/project.overarm.json");
        let project: Project = serde_json::from_str(text).expect("a project");
        let analysis = analyse(&project, &Options::default());
        let swept = analysis.swept.as_ref().expect("asked for");
        assert_eq!(swept.panel.contours.len(), 1, "{:?}", swept.panel.contours.len());
        // Every corner of every pose is inside or on the outline; every outline point is on a pose.
        let outline = &swept.panel.contours[0];
        let near_outline = |p: Point| {
            let edges = outline.iter().zip(outline.iter().cycle().skip(1));
            edges
                .map(|(a, b)| (crate::distance::nearest_on_segment(p, [*a, *b]) - p).norm())
                .fold(f64::INFINITY, f64::min)
        };
        let winding = |p: Point| {
            let edges = outline.iter().zip(outline.iter().cycle().skip(1));
            edges.map(|(a, b)| (a - p).angle(&(b - p)) * (a - p).perp(&(b - p)).signum()).sum::<f64>().abs()
        };
        let poses: Vec<_> = (0..=200).map(|i| analysis.pose_at(f64::from(i) / 200.0)).collect();
        for pose in &poses {
            for corner in analysis.lift.panel_corners(pose) {
                assert!(winding(corner) > 3.0 || near_outline(corner) < 0.05, "{corner}");
            }
        }
        for point in outline.iter().step_by(7) {
            let off = (0..=20_000)
                .map(|i| {
                    let local =
                        analysis.pose_at(f64::from(i) / 20_000.0).room_from_panel.inverse_transform_point(point);
                    (local - crate::distance::nearest_in_rectangle(local, &analysis.lift.panel)).norm()
                })
                .fold(f64::INFINITY, f64::min);
            assert!(off < 0.05, "{point} is {off} from every pose");
        }
        assert!(swept.tight.is_empty());
    }
}
