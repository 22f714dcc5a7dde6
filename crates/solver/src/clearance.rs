//! Least distances of panel and bars to room and wall over the whole continuous travel.
//!
//! Arms: closed form from what they sweep. Panel and panel bar: certified search.

use crate::analysis::PoseFigures;
use crate::certify::Stretch;
use crate::distance::Gap;
use crate::edge_tree::Bounds;
use crate::lift::{ArmName, Lift};
use crate::placed::{Moving, Placed};
use crate::pose::Placement;
use crate::project::{PartName, Point};
use crate::room::{Against, RoomGap, RoomShape};
use crate::swept_arm::SweptArm;
use crate::tolerance::clearance;
use crate::travel::Travel;

/// A least distance over the whole travel.
#[derive(Clone, Debug, PartialEq)]
pub struct Clearance {
    /// Signed, mm; negative is the depth of an overlap. Never above the true value, and at most
    /// 0.01 below it (see `within`); where the part also goes behind the wall, the depth in the ceiling is only
    /// that of one such pose.
    pub mm: f64,
    /// Where on the travel; on a tie the smallest.
    pub s: f64,
    /// What it is measured to, in words.
    pub feature: String,
    /// Nearest points, side view: on the moving part, on the fixed one. In an overlap: the deepest
    /// point and the nearest point of the fixed outline.
    pub points: [Point; 2],
    /// Which moving part.
    pub part: PartName,
    /// How far below the true value `mm` may lie, mm: 0.01 at most, but where a part slides along
    /// at the same distance for more than 8 m.
    pub within: f64,
}

/// The four least distances of a lift; `None` where there is nothing to measure against.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Clearances {
    /// Panel to every room edge after the wall run and every solid.
    pub panel: Option<Clearance>,
    /// Arms and panel bar to the same.
    pub bars: Option<Clearance>,
    /// Panel to the wall run.
    pub panel_to_wall: Option<Clearance>,
    /// Arms and panel bar to the wall run.
    pub bars_to_wall: Option<Clearance>,
}

/// Distances this close are alike: far below what is told, above rounding.
const ALIKE_MM: f64 = 1e-9;

/// Parts that count as bars here: wall bars do not move.
const BARS: [Moving; 3] = [Moving::Arm(ArmName::Lower), Moving::Arm(ArmName::Upper), Moving::PanelBar];

impl Clearances {
    /// All four least distances.
    #[must_use]
    pub fn new(lift: &Lift, travel: &Travel, room: &RoomShape) -> Self {
        let stretch = travel.stretch(lift);
        let least = |parts: &[Moving], against: Against| {
            let found = parts.iter().filter_map(|part| least_of(*part, lift, travel, &stretch, room, against));
            found.reduce(|best, next| if next.mm < best.mm { next } else { best })
        };
        Self {
            panel: least(&[Moving::Panel], Against::Rest),
            bars: least(&BARS, Against::Rest),
            panel_to_wall: least(&[Moving::Panel], Against::WallRun),
            bars_to_wall: least(&BARS, Against::WallRun),
        }
    }
}

fn least_of(
    part: Moving,
    lift: &Lift,
    travel: &Travel,
    stretch: &Stretch,
    room: &RoomShape,
    against: Against,
) -> Option<Clearance> {
    if !room.has(against) {
        return None;
    }
    let (found, walked, mm, within) = match part {
        Moving::Arm(arm) => {
            let (found, walked) = least_of_arm(arm, lift, stretch, room, against)?;
            (found, walked, found.gap.mm, 0.0)
        }
        _ => {
            // The outline and each solid by itself, as far as it may come nearer than what is found.
            let mut best: Option<(RoomGap, f64, f64, f64)> = None;
            for body in room.bodies(against) {
                let gap = |pose: &Placement| room.gap_to(&part.placed(lift, pose), body);
                let motion = |from: &Placement, to: &Placement| part.most_motion(lift, from, to);
                let value = |pose: &Placement| gap(pose).map_or(f64::INFINITY, |found| found.gap.mm);
                let limit = best.map_or(f64::INFINITY, |(_, _, mm, _)| mm);
                let tolerance = clearance(lift.lengths.longest());
                if let Some(least) = stretch.least_below(limit, lift, tolerance, -room.most_depth(body), value, motion)
                {
                    let found = gap(&lift.placement(stretch.phase(least.walked)))?;
                    best = Some((found, least.walked, least.value, least.within));
                }
            }
            best?
        }
    };
    Some(Clearance {
        mm,
        s: travel.s_at(lift, walked),
        feature: room.words(found.feature),
        points: [found.gap.on_first, found.gap.on_second],
        part: part.name(),
        within,
    })
}

/// An arm's least distance is that of its swept region; an overlap's depth that of the region.
fn least_of_arm(
    arm: ArmName,
    lift: &Lift,
    stretch: &Stretch,
    room: &RoomShape,
    against: Against,
) -> Option<(RoomGap, f64)> {
    let (from, to) = stretch.range(lift, |pose| pose.arm(arm));
    let pivot = lift.wall_pivot(arm);
    let swept = SweptArm { pivot, length: lift.arm_length(arm), radius: lift.arm_radius(arm), from, to };
    let bound = |around: &Bounds| around.distance(pivot) - (swept.length + swept.radius);
    let (feature, nearest) = room.least(against, bound, |edge| {
        let (gap, angle) = swept.gap_to(*edge);
        (gap.mm, (gap, angle))
    })?;
    // Of places alike the one that comes first.
    let first_at = |angle| stretch.first_at(lift, |pose| pose.arm(arm), angle);
    let (mut gap, mut feature, mut first) = (nearest.more.0, feature, first_at(nearest.more.1));
    room.near(against, nearest.mm + ALIKE_MM, bound, |other, edge| {
        let (found, angle) = swept.gap_to(*edge);
        if found.mm <= nearest.mm + ALIKE_MM {
            let walked = first_at(angle);
            if walked < first {
                (gap, feature, first) = (found, other, walked);
            }
        }
    });
    if gap.mm > 0.0 && room.is_free(pivot) {
        return Some((RoomGap { gap, feature }, first));
    }
    match room.depth_of_sweep(&swept, against) {
        Some((found, angle)) => Some((found, stretch.first_at(lift, |pose| pose.arm(arm), angle))),
        None => Some((RoomGap { gap: Gap { mm: gap.mm.max(0.0), ..gap }, feature }, first)),
    }
}

/// Figures at `count` equal steps of s.
pub(crate) fn figures(lift: &Lift, travel: &Travel, room: &RoomShape, count: usize) -> Vec<PoseFigures> {
    let gap = |placed: Placed| room.gap(&placed, Against::Rest).map(|found| found.gap.mm);
    (0..count)
        .map(|index| {
            #[allow(clippy::cast_precision_loss)] // small
            let s = index as f64 / (count - 1) as f64;
            let pose = travel.pose_at(lift, s);
            let bars = BARS.iter().filter_map(|part| gap(part.placed(lift, &pose))).reduce(f64::min);
            PoseFigures { pose, panel_to_room: gap(Moving::Panel.placed(lift, &pose)), bars_to_room: bars }
        })
        .collect()
}
