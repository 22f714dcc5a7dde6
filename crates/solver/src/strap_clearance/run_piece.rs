//! The straight run piece by piece against what does not go along with the panel.
//!
//! Near the drum hardly anything of the run moves, and near its wall pivot hardly anything of an
//! arm. Pieces of their own prove that with few poses.

use super::own_end::{most_depth, signed_to_rectangle};
use super::{Bench, StrapClearance};
use crate::distance::{Gap, segment_to_segment, with_radius};
use crate::lift::ArmName;
use crate::placed::{Moving, Placed};
use crate::pose::Placement;
use crate::project::{PartName, Point};
use crate::room::{Against, Body, Feature};

/// A piece of the run, shares of its length from the panel on, and what it is measured to.
#[derive(Clone, Copy, Debug)]
struct Piece {
    of_run: [f64; 2],
    to: To,
}

#[derive(Clone, Copy, Debug)]
enum To {
    Body(Body),
    WallBar,
    /// A piece of an arm, shares of its length from its wall pivot on.
    Arm(ArmName, [f64; 2]),
}

const OF_RUN: [[f64; 2]; 4] = [[0.0, 0.6], [0.6, 0.88], [0.88, 0.98], [0.98, 1.0]];
const OF_ARM: [[f64; 2]; 3] = [[0.0, 0.04], [0.04, 0.3], [0.3, 1.0]];

fn every_piece(to: impl Iterator<Item = To>) -> Vec<Piece> {
    to.flat_map(|to| OF_RUN.map(|of_run| Piece { of_run, to })).collect()
}

impl Bench<'_> {
    pub(super) fn run_to_room(&self) -> Option<StrapClearance> {
        let bodies = [Against::WallRun, Against::Rest].into_iter().flat_map(|against| self.room.bodies(against));
        self.nearest_piece(PartName::Room, every_piece(bodies.map(To::Body)))
    }

    pub(super) fn run_to_wall_bar(&self) -> Option<StrapClearance> {
        self.nearest_piece(PartName::WallBar, every_piece(std::iter::once(To::WallBar)))
    }

    pub(super) fn run_to_arm(&self, arm: ArmName) -> Option<StrapClearance> {
        self.nearest_piece(arm.part(), every_piece(OF_ARM.into_iter().map(|of_arm| To::Arm(arm, of_arm))))
    }

    fn gap_of(&self, piece: Piece, pose: &Placement) -> Option<(Gap, Option<Feature>)> {
        let run = self.strap.at(pose)?;
        let axis = piece.of_run.map(|share| run.anchor + run.along * (share * run.free));
        match piece.to {
            To::Body(body) => {
                let found = self.room.gap_to(&Placed::Stadium { axis, radius: self.half_thickness() }, body)?;
                Some((found.gap, Some(found.feature)))
            }
            To::WallBar => Some((self.with_thickness(signed_to_rectangle(axis, &self.lift.wall_bar)), None)),
            To::Arm(arm, shares) => {
                let [from, to]: [Point; 2] = self.lift.arm_axis(arm, pose);
                let of_arm = shares.map(|share| from + (to - from) * share);
                let gap = with_radius(segment_to_segment(axis, of_arm), self.half_thickness());
                Some((with_radius(gap.swapped(), self.lift.arm_radius(arm)).swapped(), None))
            }
        }
    }

    fn mm_of(&self, piece: Piece, pose: &Placement) -> f64 {
        self.gap_of(piece, pose).map_or(f64::INFINITY, |found| found.0.mm)
    }

    /// A piece gets no nearer between two poses of one monotone piece of the travel than by this.
    fn motion_of(&self, piece: Piece, from: &Placement, to: &Placement) -> f64 {
        let motion = self.strap.most_motion(self.lift, from, to);
        let at = |share: f64| (1.0 - share) * motion.anchor + share * motion.tangent;
        let of_other = match piece.to {
            To::Arm(arm, [_, share]) => share * Moving::Arm(arm).most_motion(self.lift, from, to),
            To::Body(_) | To::WallBar => 0.0,
        };
        at(piece.of_run[0]).max(at(piece.of_run[1])) + of_other
    }

    /// The least of several pieces: that of the most promising, and of the others only that they are
    /// no nearer.
    fn nearest_piece(&self, other: PartName, pieces: Vec<Piece>) -> Option<StrapClearance> {
        let glanced = pieces.into_iter().map(|piece| (self.glance(|pose| self.mm_of(piece, pose)), piece));
        let mut pieces: Vec<(f64, Piece)> = glanced.collect();
        pieces.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (glance, piece) = *pieces.first()?;
        // Half for the nearest piece, half for what is proved of the others.
        let tolerance = 0.5 * self.tolerance(glance);
        let nearest = self.least_of_piece(other, piece, tolerance, f64::INFINITY);
        let others = pieces[1..].iter().map(|(_, piece)| self.least_of_piece(other, *piece, tolerance, nearest.mm));
        let found = others.reduce(|best, next| if next.mm < best.mm { next } else { best });
        Some(match found.filter(|found| found.mm < nearest.mm) {
            // Not seen nearer, but not proved to be farther either.
            Some(found) if found.mm > nearest.mm - tolerance => StrapClearance { mm: found.mm, ..nearest },
            Some(found) => found,
            None => nearest,
        })
    }

    /// The least gap of a piece, or what is `worth` telling where it stays farther off.
    fn least_of_piece(&self, other: PartName, piece: Piece, tolerance: f64, worth: f64) -> StrapClearance {
        // A first value that is too small is as good a bound, and leaves all above it unproved.
        let mut cap = worth;
        let mm = |pose: &Placement| self.mm_of(piece, pose).min(std::mem::replace(&mut cap, f64::INFINITY));
        let deepest = match piece.to {
            To::Body(body) => self.room.most_depth(body),
            To::WallBar => most_depth(&self.lift.wall_bar) + self.half_thickness(),
            To::Arm(arm, _) => self.lift.arm_radius(arm) + self.half_thickness(),
        };
        let motion = |from: &Placement, to: &Placement| self.motion_of(piece, from, to);
        let least = self.motion.least(self.lift, tolerance, -deepest, mm, motion);
        let found = self.gap_of(piece, &self.placement(least.walked));
        StrapClearance {
            parts: [PartName::Strap, other],
            feature: found.and_then(|found| found.1).map(|feature| self.room.words(feature)),
            mm: least.value,
            s: self.s(least.walked),
            points: found.map_or([self.strap.drum.centre; 2], |found| [found.0.on_first, found.0.on_second]),
        }
    }
}
