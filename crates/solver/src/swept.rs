//! What panel and bars sweep over the travel, as closed outlines.
//!
//! Panel and panel bar make a few long strips, an arm a sector; the outline is that of their union.

use crate::lift::{ArmName, Lift};
use crate::project::{Point, Project};
use crate::room::{RoomShape, signed_area};
use crate::swept_arm::SweptArm;
use crate::swept_rectangle::SweptRectangle;
use crate::tolerance::DRAWN_ARC_MM;
use crate::travel::Travel;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::float::simplify::SimplifyShape;

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
    /// Swept outlines of the whole travel. Vertices lie on the true envelope, chords between them
    /// within 0.02 mm of it.
    #[must_use]
    pub fn new(project: &Project, lift: &Lift, travel: &Travel, room: &RoomShape) -> Self {
        let stretch = travel.stretch(lift);
        let of = |shape| SweptRectangle { lift, shape, motion: &stretch }.polygons();
        let panel = union(&of(&lift.panel));
        let mut polygons = of(&lift.panel_bar);
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
        let project = crate::samples::board();
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
