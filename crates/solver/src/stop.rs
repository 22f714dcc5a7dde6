//! What stops the fold: the stop pair's first touch, how it stops and what lies beyond.

use crate::contact::{Contact, Pair, contacts, stopping};
use crate::lift::{ArmName, Lift};
use crate::project::{PartName, Project};
use crate::room::RoomShape;
use crate::travel::Travel;

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
    /// Turn of the lower arm from the same pose to the one where it lines up with the panel bar (the
    /// upper arm's dead point), radians; `None` where its own dead point comes first.
    pub upper_dead_point_beyond: Option<f64>,
    /// Where the two parts touch, mm along each: an arm from its wall pivot, panel and panel bar up
    /// from the panel's bottom edge, the wall and the room by their height.
    pub along: Option<[f64; 2]>,
    /// Length of the line on which an arm meets an arm, mm along z: the depth of the layer that
    /// both keep whole. `None` for other pairs.
    pub line_length: Option<f64>,
    /// How fast the two parts close at their touch, mm per radian of the lower arm; `None` where it
    /// stands still.
    pub closing_speed: Option<f64>,
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

impl StopKind {
    /// In a sentence: "nose on flank".
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::NoseOnFlank => "nose on flank",
            Self::Land => "land",
            Self::Shoulder => "shoulder of a relief",
            Self::Pin => "stop pin",
            Self::Panel => "arm on panel",
            Self::Room => "part on wall, ceiling or a solid",
        }
    }
}

/// Stop and contacts of a travel, searched from hung to the first dead point beyond parked.
pub(crate) fn find(project: &Project, lift: &Lift, travel: &Travel, room: &RoomShape) -> (Stop, Vec<Contact>) {
    let mut found = contacts(project, lift, &travel.stretch_beyond(lift), room);
    for contact in &mut found.touches {
        contact.pose.s = travel.s_at(lift, contact.walked.min(travel.length));
    }
    let contact = stopping(project, &found).cloned();
    let kind = contact.as_ref().map(|contact| match contact.parts {
        _ if contact.by_pin => StopKind::Pin,
        [_, PartName::Panel] => StopKind::Panel,
        [_, PartName::Room] => StopKind::Room,
        _ => StopKind::NoseOnFlank,
    });
    let from = contact.as_ref().map_or(travel.length, |contact| contact.walked);
    let dead_point_beyond = travel.dead_point_beyond(lift, from);
    let stop = Stop {
        kind,
        dead_point_beyond,
        upper_dead_point_beyond: upper_dead_point_beyond(lift, travel, from, dead_point_beyond),
        along: contact.as_ref().map(|contact| [0, 1].map(|of| along(lift, contact, of))),
        line_length: contact.as_ref().and_then(|contact| line_length(project, contact)),
        closing_speed: contact.as_ref().and_then(|contact| closing_speed(project, lift, travel, room, contact)),
        contact,
        overlaps_at_hung: found.overlaps_at_hung,
    };
    (stop, found.touches)
}

/// Where a contact lies on its first (0) or second (1) part, see [`Stop::along`].
fn along(lift: &Lift, contact: &Contact, of: usize) -> f64 {
    let point = contact.points[of];
    let on_arm = |arm: ArmName| {
        let [from, to] = lift.arm_axis(arm, &contact.pose);
        (point - from).dot(&(to - from)) / lift.arm_length(arm)
    };
    match contact.parts[of] {
        PartName::LowerArm => on_arm(ArmName::Lower),
        PartName::UpperArm => on_arm(ArmName::Upper),
        PartName::Panel | PartName::PanelBar => contact.pose.room_from_panel.inverse_transform_point(&point).y,
        _ => point.y,
    }
}

/// Of two lapped arms, which both keep their outer half whole.
fn line_length(project: &Project, contact: &Contact) -> Option<f64> {
    let bars = &project.bars;
    (contact.parts == [PartName::LowerArm, PartName::UpperArm] && !contact.by_pin)
        .then(|| 0.5 * bars.lower_arm.depth.min(bars.upper_arm.depth))
}

/// From the gaps just before the touch: where parts overlap not every pair has a signed distance.
fn closing_speed(project: &Project, lift: &Lift, travel: &Travel, room: &RoomShape, contact: &Contact) -> Option<f64> {
    /// A step back, radians of phase: its cube is lost, its rounding is a nanometre per radian.
    const STEP: f64 = 1e-4;
    let pair = Pair::of(project, lift, contact)?;
    let phase = travel.phase(contact.walked);
    let lower_arm = lift.rates(phase).lower_arm.abs();
    let gap = |steps: f64| {
        let pose = lift.pose(phase - travel.direction * steps * STEP, 0.0);
        pair.gap(lift, room, &pose).map(|gap| gap.mm)
    };
    let closing = (4.0 * gap(1.0)? - 3.0 * gap(0.0)? - gap(2.0)?) / (2.0 * STEP);
    // At its dead point the lower arm stands still: no speed per degree of it.
    (lower_arm > 1e-9).then(|| closing / lower_arm)
}

fn upper_dead_point_beyond(lift: &Lift, travel: &Travel, from: f64, own: Option<f64>) -> Option<f64> {
    let ahead = |phase: &f64| (travel.direction * (phase - travel.phase(from))).rem_euclid(std::f64::consts::TAU);
    let walked = lift.circuit.upper_arm_dead_points().iter().map(ahead).reduce(f64::min)?;
    // Where the lower arm swings, the part of its swing that is left is less than half the loop.
    let left = lift.circuit.lower_arm_dead_points().iter().map(ahead).reduce(f64::min);
    if left.is_some_and(|left| walked > left) || own.is_some_and(|own| own <= 0.0) {
        return None;
    }
    Some((lift.turn(travel.phase(from + walked)) - lift.turn(travel.phase(from))).abs())
}
