//! A push of 50 N sideways on the panel: what each hinge must take of it.
//!
//! Somebody leans on the panel or pulls it along the wall. Both sets resist, and in each set both
//! arms: like the legs of a table whose top stays level, because the panel ties the sets together.
//! So each arm is bent to an S and each of its hinges takes half its length times its share. Shares
//! go by stiffness, width · depth³ / length³. N, N·mm.

use crate::bearings::Bearing;
use crate::lift::{ArmName, Lift};
use crate::project::{Build, Project, SeatIn};

/// The push on the panel, N (common practice, no source: a person who steadies a hand on it).
pub const PUSH_N: f64 = 50.0;

/// What the push does to each arm of one set: lower, upper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sideways {
    /// Force along z at either end, N.
    pub force: [f64; 2],
    /// Moment in either hinge, square to the arm in the side view, N·mm.
    pub moment: [f64; 2],
}

impl Sideways {
    /// The push shared among a lift's arms.
    #[must_use]
    pub fn new(project: &Project, lift: &Lift) -> Self {
        let bars = &project.bars;
        let stiffness = [(ArmName::Lower, &bars.lower_arm), (ArmName::Upper, &bars.upper_arm)].map(|(arm, stock)| {
            stock.width * stock.depth.powi(3) / lift.arm_length(arm).max(f64::MIN_POSITIVE).powi(3)
        });
        let total = stiffness[0] + stiffness[1];
        let usable = total > 0.0 && total.is_finite();
        let share = if usable { stiffness.map(|of| of / total) } else { [0.5; 2] };
        let force = share.map(|share| 0.5 * PUSH_N * share);
        let lengths = [lift.arm_length(ArmName::Lower), lift.arm_length(ArmName::Upper)];
        Self { force, moment: [0, 1].map(|arm| 0.5 * force[arm] * lengths[arm]) }
    }
}

/// From middle to middle of a hinge's two bearings, mm, and whether that is the project's own figure
/// or the default: one at either face of the layer that holds them, side by side where it is thin.
/// `None` with a single bearing, or where no bearing is known.
#[must_use]
pub fn bearing_span(project: &Project) -> Option<(f64, bool)> {
    let joints = project.joints.as_ref()?;
    if joints.per_hinge.unwrap_or(1) < 2 {
        return None;
    }
    if let Some(given) = joints.bearing_span {
        return Some((given, true));
    }
    let width = Bearing::of_project(project)?.width;
    let bars = &project.bars;
    let depth = match joints.seat_in() {
        SeatIn::Bars => bars.wall_bar.depth.min(bars.panel_bar.depth),
        SeatIn::Arms => bars.lower_arm.depth.min(bars.upper_arm.depth),
    };
    let layer = if bars.build == Build::Lapped { 0.5 * depth } else { depth };
    Some(((layer - width).max(width), false))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn complete() -> Project {
        crate::samples::complete_board()
    }

    #[test]
    fn four_arms_share_the_push_and_the_moments_carry_it() {
        let mut project = complete();
        let lift = Lift::new(&project);
        let found = Sideways::new(&project, &lift);
        assert!((2.0 * (found.force[0] + found.force[1]) - PUSH_N).abs() < 1e-12, "{found:?}");
        // A leg that stays upright at both ends: moments at its ends undo force times length.
        for (arm, name) in ArmName::BOTH.into_iter().enumerate() {
            assert!((2.0 * found.moment[arm] - found.force[arm] * lift.arm_length(name)).abs() < 1e-9);
        }
        // The shorter arm is the stiffer one; twice as deep, eight times as stiff.
        let shorter = usize::from(lift.lengths.upper_arm < lift.lengths.lower_arm);
        assert!(found.force[shorter] >= found.force[1 - shorter]);
        let ratio = found.force[0] / found.force[1];
        project.bars.lower_arm.depth *= 2.0;
        let deeper = Sideways::new(&project, &lift);
        assert!((deeper.force[0] / deeper.force[1] - 8.0 * ratio).abs() < 1e-9);
    }

    #[test]
    fn bearings_stand_at_the_faces_of_their_layer() {
        let mut project = complete();
        // By hand: half of 38.1 mm less the 7 mm of a 608.
        assert_eq!(bearing_span(&project), Some((0.5 * 38.1 - 7.0, false)));
        project.bars.wall_bar.depth = 20.0;
        assert_eq!(bearing_span(&project), Some((7.0, false)), "side by side in a thin layer");
        project.joints.as_mut().expect("joints").bearing_span = Some(11.0);
        assert_eq!(bearing_span(&project), Some((11.0, true)));
        project.joints.as_mut().expect("joints").per_hinge = Some(1);
        assert_eq!(bearing_span(&project), None);
    }
}
