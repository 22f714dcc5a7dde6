//! Least distances of the lift's own parts to each other over the whole travel.
//!
//! Parts count where they share a layer. A bar and an arm that is hinged to it are not here: their
//! reliefs keep them the running clearance apart. The panel covers every layer.

use crate::certify::Stretch;
use crate::contact::arms_gap;
use crate::depth::Solidity;
use crate::distance::Gap;
use crate::lift::{ArmName, Lift, Rectangle};
use crate::placed::{Moving, Placed, most_motion_between_arms};
use crate::pose::{Placement, Pose};
use crate::project::{Build, PartName, Point, Project};
use crate::stop::Stop;
use crate::swept_arm::SweptArm;
use crate::tolerance::clearance;
use crate::travel::Travel;

/// A least distance of two parts of the lift over the whole travel.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnClearance {
    /// The two parts.
    pub parts: [PartName; 2],
    /// Signed, mm; negative is the depth of an overlap. Never above the true value, and at most
    /// 0.01 below it; an overlap of parts that lie along each other may be told a few hundredths of
    /// itself too deep.
    pub mm: f64,
    /// Where on the travel; on a tie the smallest.
    pub s: f64,
    /// Nearest points, side view, on the first and on the second part.
    pub points: [Point; 2],
}

/// The stop pair may come nearer than the running clearance within this of its contact, degrees of
/// the lower arm.
const FREE_BEFORE_STOP_DEG: f64 = 3.0;

impl OwnClearance {
    /// Every pair's least distance, the nearest first.
    #[must_use]
    pub fn every(project: &Project, lift: &Lift, travel: &Travel, stop: &Stop) -> Vec<Self> {
        let whole = travel.stretch(lift);
        let wall_bar = Solidity::new(edges(&lift.wall_bar), true);
        let panel = Solidity::new(edges(&lift.panel), true);
        let motion = |parts: [PartName; 2]| match before_contact(lift, travel, stop, parts) {
            Some(length) => Stretch::new(lift, travel.start, travel.direction, length),
            None => whole.clone(),
        };
        let mut found = Vec::new();
        for arm in ArmName::BOTH {
            let parts = [arm.part(), PartName::Panel];
            found.push(arm_to_panel(lift, travel, &motion(parts), &panel, arm));
        }
        for part in [Moving::Panel, Moving::PanelBar] {
            found.push(to_wall_bar(lift, travel, &whole, &wall_bar, part));
        }
        if project.bars.build == Build::Lapped {
            let parts = [PartName::LowerArm, PartName::UpperArm];
            found.push(between_arms(lift, travel, &motion(parts)));
        }
        found.sort_by(|a, b| a.mm.total_cmp(&b.mm));
        found
    }
}

/// How far the stop pair is looked at: up to 3° before its contact.
fn before_contact(lift: &Lift, travel: &Travel, stop: &Stop, parts: [PartName; 2]) -> Option<f64> {
    let contact = stop.contact.as_ref().filter(|contact| contact.parts == parts && !contact.by_pin)?;
    let at = travel.phase(contact.walked);
    let back = FREE_BEFORE_STOP_DEG.to_radians();
    let turn = back * -travel.direction * lift.rates(at).lower_arm.signum();
    let phase = lift.circuit.phase_after_turn(at, -travel.direction, turn);
    Some((travel.direction * (phase - travel.start)).clamp(0.0, travel.length))
}

fn edges(shape: &Rectangle) -> Vec<[Point; 2]> {
    let corners = shape.corners();
    (0..4).map(|index| [corners[index], corners[(index + 1) % 4]]).collect()
}

/// An arm only turns about its panel pivot in the panel's frame: closed form.
fn arm_to_panel(lift: &Lift, travel: &Travel, motion: &Stretch, panel: &Solidity, arm: ArmName) -> OwnClearance {
    let direction = |pose: &Pose| pose.arm_in_panel(arm);
    let (from, to) = motion.range(lift, direction);
    let (pivot, length) = (lift.panel_pivot(arm), lift.arm_length(arm));
    let swept = SweptArm { pivot, length, radius: lift.arm_radius(arm), from, to };
    let nearest = panel.edges().iter().map(|edge| swept.gap_to(*edge));
    let (mut gap, mut angle) =
        nearest.min_by(|a, b| a.0.mm.total_cmp(&b.0.mm)).unwrap_or((Gap::between(pivot, pivot), from));
    if (gap.mm <= 0.0 || panel.at(pivot) > 0.0)
        && let Some((depth, at)) = panel.deepest_of_sweep(&swept)
    {
        gap = Gap { mm: -depth, on_first: at, on_second: panel.nearest(at) };
        angle = swept.outside_by(at).1;
    }
    // A gap about the pivot is the same at every pose: the first is told.
    let about_pivot = (gap.on_first - pivot).norm() <= swept.radius * (1.0 + 1e-9);
    let walked = if about_pivot && gap.mm > 0.0 { 0.0 } else { motion.first_at(lift, direction, angle) };
    let pose = lift.pose(motion.phase(walked), 0.0);
    OwnClearance {
        parts: [arm.part(), PartName::Panel],
        mm: gap.mm,
        s: travel.s_at(lift, walked),
        points: [gap.on_first, gap.on_second].map(|p| pose.room_from_panel * p),
    }
}

fn to_wall_bar(lift: &Lift, travel: &Travel, motion: &Stretch, wall_bar: &Solidity, part: Moving) -> OwnClearance {
    let gap = |pose: &Placement| {
        let part = part.placed(lift, pose);
        part.gap_to_rectangle(&lift.wall_bar).unwrap_or_else(|| gap_to(wall_bar, &part))
    };
    let most = |from: &Placement, to: &Placement| part.most_motion(lift, from, to);
    let least =
        motion.least(lift, clearance(lift.lengths.longest()), -wall_bar.most_depth(), |pose| gap(pose).mm, most);
    let found = gap(&lift.placement(motion.phase(least.walked)));
    OwnClearance {
        parts: [PartName::WallBar, part.name()],
        mm: least.value,
        s: travel.s_at(lift, least.walked),
        points: [found.on_second, found.on_first],
    }
}

/// Signed distance of a part to a closed solid, by its edges.
fn gap_to(solid: &Solidity, part: &Placed) -> Gap {
    let nearest = solid.edges().iter().map(|edge| part.gap_to(*edge)).min_by(|a, b| a.mm.total_cmp(&b.mm));
    let gap = nearest.unwrap_or(Gap::between(part.some_point(), part.some_point()));
    if gap.mm > 0.0 && solid.at(part.some_point()) <= 0.0 {
        return gap;
    }
    match solid.deepest_of(part) {
        Some((depth, at)) => Gap { mm: -depth, on_first: at, on_second: solid.nearest(at) },
        None => Gap { mm: gap.mm.max(0.0), ..gap },
    }
}

fn between_arms(lift: &Lift, travel: &Travel, motion: &Stretch) -> OwnClearance {
    let most = |from: &Placement, to: &Placement| most_motion_between_arms(lift, from, to);
    // Axes that cross are as deep in each other as two arms can be.
    let floor = -(lift.lower_arm_radius() + lift.upper_arm_radius());
    let least = motion.least(lift, clearance(lift.lengths.longest()), floor, |pose| arms_gap(lift, pose).mm, most);
    let found = arms_gap(lift, &lift.placement(motion.phase(least.walked)));
    OwnClearance {
        parts: [PartName::LowerArm, PartName::UpperArm],
        mm: least.value,
        s: travel.s_at(lift, least.walked),
        points: [found.on_first, found.on_second],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Options, analyse};

    #[test]
    fn pairs_of_the_chapel_hatch_board() {
        let project = crate::samples::board();
        let analysis = analyse(&project, &Options::default());
        let of = |one, other| analysis.own.iter().find(|own| own.parts == [one, other]).expect("the pair").mm;
        // By hand: pivots 39.69 and 14.92 mm behind the panel, round ends of 12.7 about them.
        assert!((of(PartName::LowerArm, PartName::Panel) - 26.99).abs() < 1e-9);
        assert!((of(PartName::UpperArm, PartName::Panel) - 2.22).abs() < 1e-9);
        // Against a dense sampling: never over-told, and not far below.
        let wall_bar = Solidity::new(edges(&analysis.lift.wall_bar), true);
        for part in [Moving::Panel, Moving::PanelBar] {
            let told = of(PartName::WallBar, part.name());
            let at = |i| gap_to(&wall_bar, &part.placed(&analysis.lift, &analysis.pose_at(f64::from(i) / 5000.0))).mm;
            let seen = (0..=5000).map(at).fold(f64::INFINITY, f64::min);
            assert!(told <= seen && told > seen - 0.1, "{told} against {seen}");
        }
        // Hung, the arms' lines lie some 25.8 mm apart, less two radii.
        let arms = of(PartName::LowerArm, PartName::UpperArm);
        assert!(arms > 0.4 && arms < 0.5, "{arms}");
    }
}
