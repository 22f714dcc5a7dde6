//! What touches what: the first touch of every pair of parts along a stretch of motion.

use crate::certify::Stretch;
use crate::distance::{
    Gap, nearest_in_rectangle, nearest_on_segment, segment_to_rectangle, segment_to_segment, with_radius,
};
use crate::lift::{ArmName, Lift, Rectangle};
use crate::placed::{Moving, most_motion_between_arms};
use crate::pose::Pose;
use crate::project::{Build, PartName, Point, Project};
use crate::room::RoomShape;
use crate::tolerance::{CONTACT, TOUCH};

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

    pub fn gap(self, lift: &Lift, room: &RoomShape, pose: &Pose) -> Option<Gap> {
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
                let corners = lift.wall_bar.corners();
                let edges = (0..4).map(|index| part.gap_to([corners[index], corners[(index + 1) % 4]]));
                edges.min_by(|a, b| a.mm.total_cmp(&b.mm)).map(Gap::swapped)
            }
            Self::Pin(other) => pin_gap(lift, pose, other),
        }
    }

    fn most_motion(self, lift: &Lift, from: &Pose, to: &Pose) -> f64 {
        let of = |part: Moving| part.most_motion(lift, from, to);
        match self {
            Self::Arms => most_motion_between_arms(lift, from, to),
            // They share a pivot and only turn about it.
            Self::ArmOnPanel(arm) => lift.arm_length(arm) * (to.arm_in_panel(arm) - from.arm_in_panel(arm)).abs(),
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
pub(crate) fn arms_gap(lift: &Lift, pose: &Pose) -> Gap {
    let gap = segment_to_segment(lift.lower_arm_axis(pose), lift.upper_arm_axis(pose));
    let gap = with_radius(gap, lift.lower_arm_radius());
    with_radius(gap.swapped(), lift.upper_arm_radius()).swapped()
}

/// Between a stop pin's collar and another part, pin first.
fn pin_gap(lift: &Lift, pose: &Pose, other: PartName) -> Option<Gap> {
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
        let hung = lift.pose(stretch.start, 0.0);
        if pair.gap(lift, room, &hung).is_none() {
            continue;
        }
        if let Pair::OnRoom(part) = pair {
            // Wholly inside a solid no edge is near: nothing to touch from within.
            if !room.is_free(part.placed(lift, &hung).some_point()) {
                found.overlaps_at_hung.push(pair.parts(lift));
                continue;
            }
        }
        let gap = |pose: &Pose| pair.gap(lift, room, pose).map_or(f64::INFINITY, |gap| gap.mm);
        let touch = TOUCH * lift.lengths.longest();
        let (walked, overlaps) =
            stretch.first_zero(lift, CONTACT, touch, gap, |from, to| pair.most_motion(lift, from, to));
        if overlaps {
            found.overlaps_at_hung.push(pair.parts(lift));
        }
        if let Some(walked) = walked {
            let phase = stretch.phase(walked);
            let pose = lift.pose(phase, 0.0);
            let points = pair.gap(lift, room, &pose).map_or([pose.panel_lower; 2], |gap| [gap.on_first, gap.on_second]);
            let by_pin = matches!(pair, Pair::Pin(_));
            found.touches.push(Contact {
                parts: pair.parts(lift),
                by_pin,
                turn: lift.turn(phase),
                walked,
                points,
                pose,
            });
        }
    }
    found.touches.sort_by(|a, b| a.walked.total_cmp(&b.walked));
    found
}

/// The contact that stops the lift: that of `bars.stop_pair`, else whichever comes first.
pub(crate) fn stopping<'a>(project: &Project, contacts: &'a Contacts) -> Option<&'a Contact> {
    contacts
        .touches
        .iter()
        .find(|contact| project.bars.stop_pair.is_none_or(|[a, b]| contact.parts == [a, b] || contact.parts == [b, a]))
}
