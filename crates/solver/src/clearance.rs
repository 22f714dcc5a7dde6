//! Least distances of panel and bars to room and wall over the whole continuous travel.
//!
//! Arms: closed form from what they sweep. Panel and panel bar: certified search.

use crate::analysis::PoseFigures;
use crate::certify::Stretch;
use crate::distance::Gap;
use crate::lift::{ArmName, Lift};
use crate::placed::{Moving, Placed};
use crate::project::{PartName, Point};
use crate::room::{Against, Body, Feature, RoomGap, RoomShape};
use crate::swept_arm::SweptArm;
use crate::tolerance::clearance;
use crate::travel::Travel;

/// A least distance over the whole travel.
#[derive(Clone, Debug, PartialEq)]
pub struct Clearance {
    /// Signed, mm; negative is the depth of an overlap. Never above the true value, and at most
    /// 0.01 below it; where the part also goes behind the wall, the depth in the ceiling is only
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
    let (found, walked, mm) = match part {
        Moving::Arm(arm) => {
            let (found, walked) = least_of_arm(arm, lift, stretch, room, against)?;
            (found, walked, found.gap.mm)
        }
        _ => {
            let of_body = |body: Body| {
                let value = |pose: &crate::pose::Pose| {
                    room.gap_to(&part.placed(lift, pose), body).map_or(f64::INFINITY, |found| found.gap.mm)
                };
                let motion = |from: &_, to: &_| part.most_motion(lift, from, to);
                let least =
                    stretch.least(lift, clearance(lift.lengths.longest()), -room.most_depth(body), value, motion);
                let pose = lift.pose(stretch.phase(least.walked), 0.0);
                Some((room.gap_to(&part.placed(lift, &pose), body)?, least.walked, least.value))
            };
            let all = room.bodies(against).filter_map(of_body);
            all.reduce(|best, next| if next.2 < best.2 { next } else { best })?
        }
    };
    Some(Clearance {
        mm,
        s: travel.s_at(lift, walked),
        feature: room.words(found.feature),
        points: [found.gap.on_first, found.gap.on_second],
        part: part.name(),
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
    let mut best: Option<(Gap, f64, Feature)> = None;
    let mut first = f64::INFINITY;
    for (feature, segment) in room.segments(against) {
        let (gap, angle) = swept.gap_to(segment);
        if best.is_none_or(|(old, _, _)| gap.mm <= old.mm + 1e-9) {
            let walked = stretch.first_at(lift, |pose| pose.arm(arm), angle);
            if best.is_none_or(|(old, _, _)| gap.mm < old.mm - 1e-9) || walked < first {
                first = walked;
                best = Some((gap, angle, feature));
            }
        }
    }
    let (gap, _, feature) = best?;
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
