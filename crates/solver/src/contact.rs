//! What touches what: the first touch of every pair of parts along a stretch of motion.

use crate::certify::Stretch;
use crate::distance::{
    Gap, nearest_in_rectangle, nearest_on_segment, segment_to_rectangle, segment_to_segment, with_radius,
};
use crate::edge_tree::Bounds;
use crate::lift::{ArmName, Lift, Rectangle};
use crate::placed::{Moving, most_motion_between_arms};
use crate::pose::{Placement, Pose};
use crate::project::{Build, PartName, Point, Project};
use crate::room::{Against, RoomShape};
use crate::swept_arm::SweptArm;
use crate::tolerance::{CONTACT, TOUCH};
use crate::turns;

/// The first touch of a pair of parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Contact {
    /// Who touches whom.
    pub parts: [PartName; 2],
    /// Net turn of the lower arm from hung, radians; accurate to 1e-6.
    pub turn: f64,
    /// Whether a stop pin on the first part meets the second.
    pub by_pin: bool,
    /// Phase walked from hung.
    pub walked: f64,
    /// Where on the first and on the second part, side view.
    pub points: [Point; 2],
    /// The pose.
    pub pose: Pose,
}

/// First touches along a stretch, in order, and the pairs that overlap from the start.
#[derive(Clone, Debug, Default)]
pub(crate) struct Contacts {
    pub touches: Vec<Contact>,
    pub overlaps_at_hung: Vec<[PartName; 2]>,
}

#[derive(Clone, Copy)]
pub(crate) enum Pair {
    Arms,
    ArmOnPanel(ArmName),
    OnRoom(Moving),
    /// Panel or panel bar.
    OnWallBar(Moving),
    /// A stop pin on a bar against another part.
    Pin(PartName),
}

impl Pair {
    /// Every pair that can touch in a project: in a sandwich the arms lie in different layers.
    fn every(project: &Project) -> Vec<Self> {
        let mut pairs = vec![
            Self::ArmOnPanel(ArmName::Lower),
            Self::ArmOnPanel(ArmName::Upper),
            Self::OnRoom(Moving::Panel),
            Self::OnRoom(Moving::PanelBar),
            Self::OnRoom(Moving::Arm(ArmName::Lower)),
            Self::OnRoom(Moving::Arm(ArmName::Upper)),
            Self::OnWallBar(Moving::Panel),
            Self::OnWallBar(Moving::PanelBar),
        ];
        if project.bars.build == Build::Lapped {
            pairs.insert(0, Self::Arms);
        }
        if let Some(pin) = &project.bars.stop_pin {
            let others =
                [PartName::WallBar, PartName::PanelBar, PartName::LowerArm, PartName::UpperArm, PartName::Panel];
            let fixed_to = |other| pin.bar == other || (pin.bar == PartName::PanelBar && other == PartName::Panel);
            pairs.extend(others.into_iter().filter(|other| !fixed_to(*other)).map(Self::Pin));
        }
        pairs
    }

    fn parts(self, lift: &Lift) -> [PartName; 2] {
        match self {
            Self::Arms => [PartName::LowerArm, PartName::UpperArm],
            Self::ArmOnPanel(arm) => [Moving::Arm(arm).name(), PartName::Panel],
            Self::OnRoom(part) => [part.name(), PartName::Room],
            Self::OnWallBar(part) => [PartName::WallBar, part.name()],
            Self::Pin(other) => [lift.stop_pin.map_or(other, |pin| pin.bar), other],
        }
    }

    /// The pair that a contact is of.
    pub fn of(project: &Project, lift: &Lift, contact: &Contact) -> Option<Self> {
        let same = |pair: &Self| pair.parts(lift) == contact.parts && matches!(pair, Self::Pin(_)) == contact.by_pin;
        Self::every(project).into_iter().find(same)
    }

    pub fn gap(self, lift: &Lift, room: &RoomShape, pose: &Placement) -> Option<Gap> {
        match self {
            Self::Arms => Some(arms_gap(lift, pose)),
            Self::ArmOnPanel(arm) => {
                let axis = lift.arm_axis(arm, pose).map(|p| pose.room_from_panel.inverse_transform_point(&p));
                let gap = with_radius(segment_to_rectangle(axis, &lift.panel), lift.arm_radius(arm));
                let out = |p: Point| pose.room_from_panel * p;
                Some(Gap { mm: gap.mm, on_first: out(gap.on_first), on_second: out(gap.on_second) })
            }
            Self::OnRoom(part) => room.touch_gap(&part.placed(lift, pose)),
            Self::OnWallBar(part) => {
                let part = part.placed(lift, pose);
                if let Some(apart) = part.gap_to_rectangle(&lift.wall_bar) {
                    return Some(apart.swapped());
                }
                let corners = lift.wall_bar.corners();
                let edges = (0..4).map(|index| part.gap_to([corners[index], corners[(index + 1) % 4]]));
                edges.min_by(|a, b| a.mm.total_cmp(&b.mm)).map(Gap::swapped)
            }
            Self::Pin(other) => pin_gap(lift, pose, other),
        }
    }

    /// The walked phase of the pair's first touch, and whether it overlaps from the start.
    fn first_touch(self, lift: &Lift, stretch: &Stretch, room: &RoomShape) -> (Option<f64>, bool) {
        let start = lift.placement(stretch.start);
        if self.gap(lift, room, &start).is_none() {
            return (None, false);
        }
        if let Self::OnRoom(part) = self {
            // Wholly inside a solid no edge is near: nothing to touch from within.
            if !room.is_free(part.placed(lift, &start).some_point()) {
                return (None, true);
            }
        }
        let touch = TOUCH * lift.lengths.longest();
        if self.sweeps_past(lift, stretch, room, touch) {
            return (None, false);
        }
        let gap = |pose: &Placement| self.gap(lift, room, pose).map_or(f64::INFINITY, |gap| gap.mm);
        stretch.first_zero(lift, CONTACT, touch, gap, |from, to| self.most_motion(lift, from, to))
    }

    /// Whether an arm keeps farther than this from panel or room all the way: what it sweeps tells
    /// without a search. False also where that cannot be told.
    fn sweeps_past(self, lift: &Lift, stretch: &Stretch, room: &RoomShape, touch: f64) -> bool {
        match self {
            Self::ArmOnPanel(arm) => {
                let (from, to) = stretch.range(lift, |pose| pose.arm_in_panel(arm));
                let pivot = lift.panel_pivot(arm);
                let swept = SweptArm { pivot, length: lift.arm_length(arm), radius: lift.arm_radius(arm), from, to };
                let corners = lift.panel.corners();
                let apart = |index: usize| swept.gap_to([corners[index], corners[(index + 1) % 4]]).0.mm > touch;
                nearest_in_rectangle(pivot, &lift.panel) != pivot && (0..4).all(apart)
            }
            Self::OnRoom(Moving::Arm(arm)) => {
                let (from, to) = stretch.range(lift, |pose| pose.arm(arm));
                let pivot = lift.wall_pivot(arm);
                let swept = SweptArm { pivot, length: lift.arm_length(arm), radius: lift.arm_radius(arm), from, to };
                let bound = |around: &Bounds| around.distance(pivot) - (swept.length + swept.radius);
                [Against::WallRun, Against::Rest].into_iter().all(|against| {
                    let nearest = room.least(against, bound, |edge| (swept.gap_to(*edge).0.mm, ()));
                    nearest.is_none_or(|(_, found)| found.mm > touch)
                })
            }
            _ => false,
        }
    }

    fn contact(self, lift: &Lift, stretch: &Stretch, room: &RoomShape, walked: f64) -> Contact {
        let phase = stretch.phase(walked);
        let pose = lift.pose(phase, 0.0);
        let points = self.gap(lift, room, &pose).map_or([pose.panel_lower; 2], |gap| [gap.on_first, gap.on_second]);
        let by_pin = matches!(self, Self::Pin(_));
        Contact { parts: self.parts(lift), by_pin, turn: lift.turn(phase), walked, points, pose }
    }

    fn most_motion(self, lift: &Lift, from: &Placement, to: &Placement) -> f64 {
        let of = |part: Moving| part.most_motion(lift, from, to);
        match self {
            Self::Arms => most_motion_between_arms(lift, from, to),
            // They share a pivot and only turn about it.
            Self::ArmOnPanel(arm) => lift.arm_length(arm) * turns::arm_in_panel(lift, arm, from, to),
            Self::OnRoom(part) | Self::OnWallBar(part) => of(part),
            Self::Pin(other) => {
                let met = match other {
                    PartName::Panel => of(Moving::Panel),
                    PartName::PanelBar => of(Moving::PanelBar),
                    PartName::LowerArm => of(Moving::Arm(ArmName::Lower)),
                    PartName::UpperArm => of(Moving::Arm(ArmName::Upper)),
                    _ => 0.0,
                };
                met + lift.stop_pin.map_or(0.0, |pin| pin.most_motion(lift, from, to))
            }
        }
    }
}

/// Between the outlines of the two arms, lower arm first.
pub(crate) fn arms_gap(lift: &Lift, pose: &Placement) -> Gap {
    let gap = segment_to_segment(lift.lower_arm_axis(pose), lift.upper_arm_axis(pose));
    let gap = with_radius(gap, lift.lower_arm_radius());
    with_radius(gap.swapped(), lift.upper_arm_radius()).swapped()
}

/// Between a stop pin's collar and another part, pin first.
fn pin_gap(lift: &Lift, pose: &Placement, other: PartName) -> Option<Gap> {
    let pin = lift.stop_pin?;
    let centre = pin.centre(lift, pose);
    let in_panel = |shape: &Rectangle| {
        let local = pose.room_from_panel.inverse_transform_point(&centre);
        pose.room_from_panel * nearest_in_rectangle(local, shape)
    };
    let on_arm = |arm: ArmName| {
        let gap = Gap::between(nearest_on_segment(centre, lift.arm_axis(arm, pose)), centre);
        with_radius(gap, lift.arm_radius(arm)).swapped()
    };
    let gap = match other {
        PartName::LowerArm => on_arm(ArmName::Lower),
        PartName::UpperArm => on_arm(ArmName::Upper),
        PartName::Panel => Gap::between(centre, in_panel(&lift.panel)),
        PartName::PanelBar => Gap::between(centre, in_panel(&lift.panel_bar)),
        PartName::WallBar => Gap::between(centre, nearest_in_rectangle(centre, &lift.wall_bar)),
        _ => return None,
    };
    Some(with_radius(gap, pin.radius))
}

/// First touches of every pair along a stretch. A bar and an arm that is hinged to it are not in
/// the list: their reliefs keep them apart.
pub(crate) fn contacts(project: &Project, lift: &Lift, stretch: &Stretch, room: &RoomShape) -> Contacts {
    let mut found = Contacts::default();
    for pair in Pair::every(project) {
        let (touch, overlaps) = pair.first_touch(lift, stretch, room);
        if overlaps {
            found.overlaps_at_hung.push(pair.parts(lift));
        }
        found.touches.extend(touch.map(|walked| pair.contact(lift, stretch, room, walked)));
    }
    found.touches.sort_by(|a, b| a.walked.total_cmp(&b.walked));
    found
}

/// The contact that stops the lift on a stretch, as [`stopping`] names it. What is behind a touch
/// that is known already is not looked at.
pub(crate) fn first_stopping(project: &Project, lift: &Lift, stretch: &Stretch, room: &RoomShape) -> Option<Contact> {
    let mut ahead = stretch.clone();
    let mut first = None;
    for pair in Pair::every(project).into_iter().filter(|pair| may_stop(project, pair.parts(lift))) {
        if let (Some(walked), _) = pair.first_touch(lift, &ahead, room)
            && first.is_none_or(|(_, known)| walked < known)
        {
            first = Some((pair, walked));
            ahead = ahead.up_to(walked);
        }
    }
    first.map(|(pair, walked)| pair.contact(lift, stretch, room, walked))
}

/// Whether a contact of these parts would stop the lift: `bars.stop_pair`, else any.
fn may_stop(project: &Project, parts: [PartName; 2]) -> bool {
    project.bars.stop_pair.is_none_or(|[a, b]| parts == [a, b] || parts == [b, a])
}

/// The contact that stops the lift: that of `bars.stop_pair`, else whichever comes first.
pub(crate) fn stopping<'a>(project: &Project, contacts: &'a Contacts) -> Option<&'a Contact> {
    contacts.touches.iter().find(|contact| may_stop(project, contact.parts))
}
