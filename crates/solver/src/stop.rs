//! What touches what on the way, and what stops the fold.

use crate::certify::Stretch;
use crate::distance::{Gap, segment_to_rectangle, segment_to_segment, with_radius};
use crate::lift::{ArmName, Lift};
use crate::placed::Moving;
use crate::pose::Pose;
use crate::project::{Build, PartName, Point, Project};
use crate::room::RoomShape;
use crate::tolerance::{CONTACT, TOUCH};
use crate::travel::Travel;

/// The first touch of a pair of parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Contact {
    /// Who touches whom.
    pub parts: [PartName; 2],
    /// Net turn of the lower arm from hung, radians; accurate to 1e-6.
    pub turn: f64,
    /// Phase walked from hung.
    pub walked: f64,
    /// Where on the first and on the second part, side view.
    pub points: [Point; 2],
    /// The pose.
    pub pose: Pose,
}

/// What stops the fold.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stop {
    /// The stop pair's first touch.
    pub contact: Option<Contact>,
    /// How it stops.
    pub kind: Option<StopKind>,
    /// Turn of the lower arm from the stop (from parked where nothing stops it) to its next dead
    /// point, radians; `None` where the arm can turn fully.
    pub dead_point_beyond: Option<f64>,
    /// Pairs that overlap already when hung: they stop nothing.
    pub overlaps_at_hung: Vec<[PartName; 2]>,
}

/// How a fold is stopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum StopKind {
    /// A round end meets an edge: a line across the depth.
    NoseOnFlank,
    /// A small flat that bears at parked.
    Land,
    /// Left in a relief.
    Shoulder,
    /// A collar.
    Pin,
    /// The panel meets an arm.
    Panel,
    /// Wall, ceiling or a solid.
    Room,
}

/// First touches along a stretch, in order, and the pairs that overlap from the start.
#[derive(Clone, Debug, Default)]
pub(crate) struct Contacts {
    pub touches: Vec<Contact>,
    pub overlaps_at_hung: Vec<[PartName; 2]>,
}

#[derive(Clone, Copy)]
enum Pair {
    Arms,
    ArmOnPanel(ArmName),
    OnRoom(Moving),
}

impl Pair {
    const ALL: [Self; 7] = [
        Self::Arms,
        Self::ArmOnPanel(ArmName::Lower),
        Self::ArmOnPanel(ArmName::Upper),
        Self::OnRoom(Moving::Panel),
        Self::OnRoom(Moving::PanelBar),
        Self::OnRoom(Moving::Arm(ArmName::Lower)),
        Self::OnRoom(Moving::Arm(ArmName::Upper)),
    ];

    fn parts(self) -> [PartName; 2] {
        match self {
            Self::Arms => [PartName::LowerArm, PartName::UpperArm],
            Self::ArmOnPanel(arm) => [Moving::Arm(arm).name(), PartName::Panel],
            Self::OnRoom(part) => [part.name(), PartName::Room],
        }
    }

    /// In a sandwich the arms lie in different layers.
    fn can_touch(self, build: Build) -> bool {
        !(matches!(self, Self::Arms) && build == Build::Sandwich)
    }

    fn gap(self, lift: &Lift, room: &RoomShape, pose: &Pose) -> Option<Gap> {
        match self {
            Self::Arms => Some(arms_gap(lift, pose)),
            Self::ArmOnPanel(arm) => {
                let axis = lift.arm_axis(arm, pose).map(|p| pose.room_from_panel.inverse_transform_point(&p));
                let gap = with_radius(segment_to_rectangle(axis, &lift.panel), lift.arm_radius(arm));
                let out = |p: Point| pose.room_from_panel * p;
                Some(Gap { mm: gap.mm, on_first: out(gap.on_first), on_second: out(gap.on_second) })
            }
            Self::OnRoom(part) => room.touch_gap(&part.placed(lift, pose)),
        }
    }

    fn most_motion(self, lift: &Lift, from: &Pose, to: &Pose) -> f64 {
        let of = |part: Moving| part.most_motion(lift, from, to);
        match self {
            Self::Arms => of(Moving::Arm(ArmName::Lower)) + of(Moving::Arm(ArmName::Upper)),
            Self::ArmOnPanel(arm) => {
                // They share a pivot and only turn about it.
                let (turn, length) = match arm {
                    ArmName::Lower => (to.lower_arm - from.lower_arm, lift.lengths.lower_arm),
                    ArmName::Upper => (to.upper_arm - from.upper_arm, lift.lengths.upper_arm),
                };
                length * (turn.abs() + (to.tilt - from.tilt).abs())
            }
            Self::OnRoom(part) => of(part),
        }
    }
}

/// Between the outlines of the two arms, lower arm first.
pub(crate) fn arms_gap(lift: &Lift, pose: &Pose) -> Gap {
    let gap = segment_to_segment(lift.lower_arm_axis(pose), lift.upper_arm_axis(pose));
    let gap = with_radius(gap, lift.lower_arm_radius());
    with_radius(gap.swapped(), lift.upper_arm_radius()).swapped()
}

/// First touches of every pair along a stretch. Bars against each other and against arms become
/// solids later: they overlap at their hinges as plain outlines and are not in the list.
pub(crate) fn contacts(project: &Project, lift: &Lift, stretch: &Stretch, room: &RoomShape) -> Contacts {
    let mut found = Contacts::default();
    for pair in Pair::ALL {
        let hung = lift.pose(stretch.start, 0.0);
        if !pair.can_touch(project.bars.build) || pair.gap(lift, room, &hung).is_none() {
            continue;
        }
        if let Pair::OnRoom(part) = pair {
            // Wholly inside a solid no edge is near: nothing to touch from within.
            if !room.is_free(part.placed(lift, &hung).some_point()) {
                found.overlaps_at_hung.push(pair.parts());
                continue;
            }
        }
        let gap = |pose: &Pose| pair.gap(lift, room, pose).map_or(f64::INFINITY, |gap| gap.mm);
        let touch = TOUCH * lift.lengths.longest();
        let (walked, overlaps) =
            stretch.first_zero(lift, CONTACT, touch, gap, |from, to| pair.most_motion(lift, from, to));
        if overlaps {
            found.overlaps_at_hung.push(pair.parts());
        }
        if let Some(walked) = walked {
            let phase = stretch.phase(walked);
            let pose = lift.pose(phase, 0.0);
            let points = pair.gap(lift, room, &pose).map_or([pose.panel_lower; 2], |gap| [gap.on_first, gap.on_second]);
            found.touches.push(Contact { parts: pair.parts(), turn: lift.turn(phase), walked, points, pose });
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

/// Stop and contacts of a travel, searched from hung to the first dead point beyond parked.
pub(crate) fn find(project: &Project, lift: &Lift, travel: &Travel, room: &RoomShape) -> (Stop, Vec<Contact>) {
    let mut found = contacts(project, lift, &travel.stretch_beyond(lift), room);
    for contact in &mut found.touches {
        contact.pose.s = travel.s_at(lift, contact.walked.min(travel.length));
    }
    let contact = stopping(project, &found).cloned();
    let kind = contact.as_ref().map(|contact| match contact.parts {
        [_, PartName::Panel] => StopKind::Panel,
        [_, PartName::Room] => StopKind::Room,
        _ => StopKind::NoseOnFlank,
    });
    let from = contact.as_ref().map_or(travel.length, |contact| contact.walked);
    let dead_point_beyond = travel.dead_point_beyond(lift, from);
    (Stop { contact, kind, dead_point_beyond, overlaps_at_hung: found.overlaps_at_hung }, found.touches)
}
