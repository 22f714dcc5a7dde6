//! The strap's straight run from the panel to the drum.

use nalgebra::Vector2;

use crate::pose::Pose;
use crate::project::{Point, Project, StrapSide};

/// The straight run at one pose, side view, with the bare drum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StrapRun {
    /// On the panel.
    pub from_anchor: Point,
    /// Where it meets the drum.
    pub to_drum: Point,
    /// The drum's middle.
    pub drum_centre: Point,
    /// The bare drum, mm.
    pub drum_radius: f64,
}

/// The strap's straight run with the bare drum (what is wound on it is not counted); `None` when
/// no drive is given or the anchor lies inside the drum.
#[must_use]
pub fn strap_run(project: &Project, pose: &Pose) -> Option<StrapRun> {
    let drive = project.drive.as_ref()?;
    let from_anchor = pose.room_from_panel * drive.anchor;
    let (centre, radius) = (drive.drum_centre, drive.drum_radius);
    let towards = centre - from_anchor;
    let distance = towards.norm();
    if distance <= radius {
        return None;
    }
    // The run's direction û leans off the line to the centre by asin(radius / distance). The
    // tangent point is centre + radius · û turned by −90° (room side) or +90° (wall side).
    let side = match drive.strap_side {
        StrapSide::Room => 1.0,
        StrapSide::Wall => -1.0,
    };
    let lean = side * -(radius / distance).asin();
    let along = nalgebra::Rotation2::new(lean) * (towards / distance);
    let to_drum = centre + radius * side * Vector2::new(along.y, -along.x);
    Some(StrapRun { from_anchor, to_drum, drum_centre: centre, drum_radius: radius })
}
