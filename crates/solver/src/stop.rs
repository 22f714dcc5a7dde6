//! What stops the fold: the stop pair's first touch, how it stops and what lies beyond.

use crate::contact::{Contact, Pair, contacts, stopping};
use crate::lift::{ArmName, Lift};
use crate::outline::distance_to;
use crate::pose::Rates;
use crate::project::{PartName, Project};
use crate::room::RoomShape;
use crate::solids::Solids;
use crate::stop_land::{Land, LandOffer};
use crate::stop_shoulder::Shoulder;
use crate::travel::Travel;

/// What stops the fold.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stop {
    /// The stop pair's first touch; with a land or a shoulder, where that bears: at parked.
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
    /// How far along z the two bear on each other, mm: the depth of the layers in which both have
    /// material there. `None` where that is not known: against the panel, the room or a pin.
    pub line_length: Option<f64>,
    /// Length in side view on which they bear, mm; 0 for a line across the depth.
    pub face: f64,
    /// The stop force's lever on the lower arm, mm: so far it closes per radian of that arm. The
    /// shorter, the greater the force that stops the same pull. `None` where the arm stands still.
    pub lever: Option<f64>,
    /// How fast the two parts close at their touch, mm per radian of the lower arm; `None` where it
    /// stands still.
    pub closing_speed: Option<f64>,
    /// The land that is cut.
    pub land: Option<Land>,
    /// A land that would turn the line into a face.
    pub land_offer: Option<LandOffer>,
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
    /// Panel or panel bar meet the wall bar; in files it is told like the panel's other stop, and the
    /// parts say which.
    #[serde(rename = "panel")]
    WallBar,
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
            Self::WallBar => "panel or its bar on the wall bar",
            Self::Room => "part on wall, ceiling or a solid",
        }
    }
}

/// Stop and contacts of a travel, searched from hung to the first dead point beyond parked. What
/// the solids say of it comes with [`Stop::bearing_on`].
pub(crate) fn find(project: &Project, lift: &Lift, travel: &Travel, room: &RoomShape) -> (Stop, Vec<Contact>) {
    let mut found = contacts(project, lift, &travel.stretch_beyond(lift), room);
    for contact in &mut found.touches {
        contact.pose.s = travel.s_at(lift, contact.walked.min(travel.length));
    }
    let mut stop = Stop::default();
    let met = |shoulder: &Shoulder| {
        // A pin on the same pair that is met on the way stops it before its shoulder does.
        let [arm, bar] = shoulder.parts();
        found
            .touches
            .iter()
            .any(|touch| touch.walked < travel.length && (touch.parts == [arm, bar] || touch.parts == [bar, arm]))
    };
    if let Some(shoulder) = Shoulder::wanted(project).filter(|shoulder| !met(shoulder)) {
        let pose = travel.pose_at(lift, 1.0);
        let hinge = if shoulder.bar == PartName::WallBar {
            lift.wall_pivot(shoulder.arm)
        } else {
            pose.room_from_panel * lift.panel_pivot(shoulder.arm)
        };
        stop.contact = Some(at_parked(travel, lift, shoulder.parts(), [hinge; 2]));
        stop.kind = Some(StopKind::Shoulder);
    } else if let Some(touch) = stopping(project, &found) {
        stop.kind = Some(kind_of(touch));
        if stop.kind == Some(StopKind::NoseOnFlank) {
            let offer = Land::offer(project, lift, travel, touch.walked);
            match offer {
                Some(offer) if project.bars.stop_land() && touch.walked < travel.length => {
                    stop.contact = Some(at_parked(travel, lift, touch.parts, offer.land.ends));
                    stop.kind = Some(StopKind::Land);
                    stop.face = offer.land.length;
                    stop.land = Some(offer.land);
                }
                offer => stop.land_offer = offer,
            }
        }
        stop.contact.get_or_insert_with(|| touch.clone());
    }
    let from = stop.contact.as_ref().map_or(travel.length, |contact| contact.walked);
    stop.dead_point_beyond = travel.dead_point_beyond(lift, from);
    stop.upper_dead_point_beyond = upper_dead_point_beyond(lift, travel, from, stop.dead_point_beyond);
    if let Some(contact) = &stop.contact {
        stop.along = Some([0, 1].map(|of| along(lift, contact, of)));
        let rates = lift.rates(travel.phase(contact.walked));
        let closing = closing_rate(project, lift, travel, room, contact);
        // At its dead point the lower arm stands still: no speed per degree of it.
        stop.closing_speed = closing.filter(|_| rates.lower_arm.abs() > 1e-9).map(|rate| rate / rates.lower_arm.abs());
        stop.lever = stop.closing_speed;
    }
    stop.overlaps_at_hung = found.overlaps_at_hung;
    (stop, found.touches)
}

impl Stop {
    /// The stop with what the solids say of it: where a shoulder bears, and on what depth arms meet.
    pub(crate) fn bearing_on(mut self, project: &Project, lift: &Lift, travel: &Travel, solids: &Solids) -> Self {
        let Some(contact) = &mut self.contact else { return self };
        if self.kind == Some(StopKind::Shoulder) {
            let face = Shoulder::wanted(project).and_then(|shoulder| shoulder.face(lift, &contact.pose, solids));
            let Some([near, far]) = face else {
                return Self { contact: None, kind: None, along: None, ..self };
            };
            let hinge = contact.points[0];
            contact.points = [near, far];
            self.face = (far - near).norm();
            let axis = lift.room_from_bar(&contact.pose, contact.parts[0]).rotation * nalgebra::Vector2::x();
            let from_hinge = (nalgebra::center(&near, &far) - hinge).dot(&axis).abs();
            let rates = lift.rates(travel.phase(contact.walked));
            let turning = turn_rate(&rates, contact.parts[0]) - turn_rate(&rates, contact.parts[1]);
            self.closing_speed =
                (rates.lower_arm.abs() > 1e-9).then(|| from_hinge * turning.abs() / rates.lower_arm.abs());
            self.lever = self.closing_speed;
            self.along = Some([0, 1].map(|of| along(lift, contact, of)));
        }
        if !contact.by_pin {
            self.line_length = line_length(lift, contact, solids);
        }
        self
    }
}

fn kind_of(contact: &Contact) -> StopKind {
    match contact.parts {
        _ if contact.by_pin => StopKind::Pin,
        [PartName::WallBar, _] => StopKind::WallBar,
        [_, PartName::Panel] => StopKind::Panel,
        [_, PartName::Room] => StopKind::Room,
        _ => StopKind::NoseOnFlank,
    }
}

fn at_parked(travel: &Travel, lift: &Lift, parts: [PartName; 2], points: [crate::project::Point; 2]) -> Contact {
    let pose = travel.pose_at(lift, 1.0);
    Contact { parts, turn: travel.turn, by_pin: false, walked: travel.length, points, pose }
}

/// Turn of a part, radians per radian of phase.
fn turn_rate(rates: &Rates, part: PartName) -> f64 {
    match part {
        PartName::LowerArm => rates.lower_arm,
        PartName::UpperArm => rates.upper_arm,
        PartName::Panel | PartName::PanelBar => rates.panel,
        _ => 0.0,
    }
}

/// Ends of a face are farther apart than this, mm; the two points of a touch are not.
const FACE_MM: f64 = 1e-3;

/// Where a contact lies on its first (0) or second (1) part, see [`Stop::along`].
fn along(lift: &Lift, contact: &Contact, of: usize) -> f64 {
    // On a face its middle, else each part's own nearest point.
    let is_face = (contact.points[1] - contact.points[0]).norm() > FACE_MM;
    let point = if is_face { nalgebra::center(&contact.points[0], &contact.points[1]) } else { contact.points[of] };
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

/// Depth of the layers in which both bars have material where they touch.
fn line_length(lift: &Lift, contact: &Contact, solids: &Solids) -> Option<f64> {
    /// Material this close to the touch, mm, is at it: far above what a contact's place is off.
    const AT_TOUCH_MM: f64 = 1e-3;
    let bars = [solids.bar(contact.parts[0])?, solids.bar(contact.parts[1])?];
    let middle = nalgebra::center(&contact.points[0], &contact.points[1]);
    let reaches = |bar: &crate::solids::BarSolid, pieces: &[Vec<crate::outline::Vertex>]| {
        let from_room = lift.room_from_bar(&contact.pose, bar.name).inverse();
        let touch = if (contact.points[1] - contact.points[0]).norm() < FACE_MM { middle } else { contact.points[0] };
        pieces.iter().any(|piece| distance_to(piece, from_room * touch) < AT_TOUCH_MM)
    };
    let shared = bars[0].layers.iter().filter(|shape| {
        let other = bars[1].layers.iter().find(|other| other.layer == shape.layer);
        reaches(bars[0], &shape.pieces) && other.is_some_and(|other| reaches(bars[1], &other.pieces))
    });
    Some(shared.map(|shape| shape.depth).sum())
}

/// How fast the pair closes, mm per radian of phase. From the gaps just before the touch: where
/// parts overlap not every pair has a signed distance.
fn closing_rate(project: &Project, lift: &Lift, travel: &Travel, room: &RoomShape, contact: &Contact) -> Option<f64> {
    /// A step back, radians of phase: its cube is lost, its rounding is a nanometre per radian.
    const STEP: f64 = 1e-4;
    let pair = Pair::of(project, lift, contact)?;
    let phase = travel.phase(contact.walked);
    let gap = |steps: f64| {
        let pose = lift.pose(phase - travel.direction * steps * STEP, 0.0);
        pair.gap(lift, room, &pose).map(|gap| gap.mm)
    };
    Some((4.0 * gap(1.0)? - 3.0 * gap(0.0)? - gap(2.0)?) / (2.0 * STEP))
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
