//! The travel: a path along the motion curve, from hung to parked, with its events.

use crate::certify::Stretch;
use crate::lift::Lift;
use crate::pose::Pose;
use crate::project::{PartName, Project, TravelWanted};
use crate::room::RoomShape;
use crate::stop_land::Land;

/// The path from hung to parked.
#[derive(Clone, Debug)]
pub struct Travel {
    /// Net turn of the lower arm from hung to parked, radians, counter-clockwise positive.
    pub turn: f64,
    /// Wanted turn, radians; `None` for "to stop".
    pub wanted: Option<f64>,
    /// How much of the wanted turn is not reached, radians, 0 or more.
    pub missing: f64,
    /// Named poses on the way, in order.
    pub events: Vec<Event>,
    /// Phase at hung.
    pub start: f64,
    /// +1 or −1: the way the phase goes from hung.
    pub direction: f64,
    /// Phase walked from hung to parked, 0 or more.
    pub length: f64,
    /// Whether the lower arm turns one way only.
    monotone: bool,
    /// Where it does not: walked phases and arc lengths, evenly spaced in phase.
    arc: Vec<f64>,
}

/// A named pose of the travel.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// What happens.
    pub kind: EventKind,
    /// Where on the travel.
    pub s: f64,
    /// In words.
    pub text: String,
}

/// What can happen on a travel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EventKind {
    /// Upper arm and panel bar in line: the lower arm's turn has reached its limit.
    LowerArmDeadPoint,
    /// Lower arm and panel bar in line.
    UpperArmDeadPoint,
    /// All pivots in line: the motion is not determined, the travel ends.
    ChangePoint,
    /// The lift cannot move from hung, or not in the direction asked.
    CannotClose,
}

/// Slices of the arc-length table of a travel on which the lower arm turns both ways.
const SLICES: usize = 256;

impl Travel {
    /// Finds the travel that the project asks for.
    #[must_use]
    pub fn find(project: &Project, lift: &Lift, room: &RoomShape) -> Self {
        match project.linkage.travel_deg {
            TravelWanted::Degrees(degrees) => Self::by_turn(lift, degrees.to_radians()),
            TravelWanted::ToStop => Self::to_stop(project, lift, room),
        }
    }

    fn by_turn(lift: &Lift, wanted: f64) -> Self {
        let start = lift.phase_at_hung();
        let circuit = &lift.circuit;
        let outwards = outward_direction(lift);
        let left = |direction: f64| if circuit.is_locked() { 0.0 } else { circuit.turn_left(start, direction) };
        // Within rounding of a dead point the arm can go neither further that way: not a way.
        let goes = |direction: f64| wanted * left(direction) > 0.0 && left(direction).abs() > 1e-12;
        let direction = match (goes(1.0), goes(-1.0)) {
            (true, false) => 1.0,
            (false, true) => -1.0,
            _ => outwards,
        };
        let mut length = if goes(direction) {
            // Beyond its limit this is the dead point itself.
            direction * (circuit.phase_after_turn(start, direction, wanted) - start)
        } else {
            0.0
        };
        length = length.max(0.0);
        let mut events = Vec::new();
        if length == 0.0 && wanted != 0.0 {
            let text = "The lift cannot move from hung in the direction asked.".into();
            events.push(Event { kind: EventKind::CannotClose, s: 0.0, text });
        }
        let mut travel = Self {
            turn: 0.0,
            wanted: Some(wanted),
            missing: 0.0,
            events,
            start,
            direction,
            length,
            monotone: true,
            arc: Vec::new(),
        };
        travel.stop_at_change_point(lift);
        travel.finish(lift);
        travel.missing = (wanted.abs() - travel.turn.abs()).max(0.0);
        if travel.missing < 1e-12 {
            travel.missing = 0.0;
        }
        travel
    }

    fn to_stop(project: &Project, lift: &Lift, room: &RoomShape) -> Self {
        let direction = outward_direction(lift);
        let mut travel = Self {
            turn: 0.0,
            wanted: None,
            missing: 0.0,
            events: Vec::new(),
            start: lift.phase_at_hung(),
            direction,
            length: if lift.circuit.is_locked() { 0.0 } else { std::f64::consts::TAU },
            monotone: false,
            arc: Vec::new(),
        };
        travel.stop_at_change_point(lift);
        if let Some(touch) = crate::contact::first_stopping(project, lift, &travel.stretch(lift), room) {
            travel.length = touch.walked;
            // A land bears a little beyond the first touch.
            if project.bars.stop_land()
                && touch.parts == [PartName::LowerArm, PartName::UpperArm]
                && !touch.by_pin
                && let Some(offer) = Land::offer(project, lift, &travel, touch.walked)
            {
                travel.length = (direction * (offer.phase - travel.start)).max(touch.walked);
            }
            travel.events.clear();
        } else {
            // The last pose before the loop ends.
            travel.length *= 1.0 - 1e-9;
        }
        travel.monotone = !lift
            .circuit
            .lower_arm_dead_points()
            .iter()
            .any(|phase| (direction * (phase - travel.start)).rem_euclid(std::f64::consts::TAU) < travel.length);
        travel.finish(lift);
        travel
    }

    /// Shortens the travel where two circuits meet.
    fn stop_at_change_point(&mut self, lift: &Lift) {
        let period = std::f64::consts::TAU;
        let ahead = |phase: &f64| (self.direction * (phase - self.start)).rem_euclid(period);
        let nearest = lift.circuit.change_points().iter().map(ahead).fold(f64::INFINITY, f64::min);
        if nearest < self.length {
            self.length = nearest;
            let text = "All four pivots are in line here: from this pose the lift can go on in two ways.".into();
            self.events.push(Event { kind: EventKind::ChangePoint, s: 1.0, text });
        }
    }

    /// Turn, arc length and events, once start, direction and length stand.
    fn finish(&mut self, lift: &Lift) {
        self.turn = lift.turn(self.phase(self.length));
        if !self.monotone {
            self.arc = vec![0.0];
            #[allow(clippy::cast_precision_loss)] // small
            let slice = self.length / SLICES as f64;
            let mut sum = 0.0;
            for index in 0..SLICES {
                #[allow(clippy::cast_precision_loss)] // small
                let from = index as f64 * slice;
                sum += self.arc_between(lift, from, from + slice);
                self.arc.push(sum);
            }
        }
        let period = std::f64::consts::TAU;
        let named = [
            (
                lift.circuit.lower_arm_dead_points(),
                EventKind::LowerArmDeadPoint,
                "Upper arm and panel bar are in line: dead point of the lower arm.",
            ),
            (
                lift.circuit.upper_arm_dead_points(),
                EventKind::UpperArmDeadPoint,
                "Lower arm and panel bar are in line: dead point of the upper arm.",
            ),
        ];
        for (phases, kind, text) in named {
            for phase in phases {
                let walked = (self.direction * (phase - self.start)).rem_euclid(period);
                if walked <= self.length {
                    self.events.push(Event { kind, s: self.s_at(lift, walked), text: text.into() });
                }
            }
        }
        self.events.sort_by(|a, b| a.s.total_cmp(&b.s));
    }

    /// ∫√(dθ_lower² + dθ_upper²) between two walked phases; Gauss–Legendre, 5 points, whose error
    /// on one slice is below 1e-12 of the whole.
    fn arc_between(&self, lift: &Lift, from: f64, to: f64) -> f64 {
        const NODES: [(f64, f64); 3] = [
            (0.0, 128.0 / 225.0),
            (0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
            (0.906_179_845_938_664, 0.236_926_885_056_189_08),
        ];
        let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
        let speed = |walked: f64| {
            let rates = lift.rates(self.phase(walked));
            rates.lower_arm.hypot(rates.upper_arm)
        };
        let sum: f64 = NODES
            .iter()
            .map(|(node, weight)| {
                let shift = node * half;
                weight * if *node == 0.0 { speed(middle) } else { speed(middle - shift) + speed(middle + shift) }
            })
            .sum();
        half * sum
    }

    /// Phase at a walked phase.
    #[must_use]
    pub fn phase(&self, walked: f64) -> f64 {
        self.start + self.direction * walked
    }

    /// The travel cut at its turning points.
    pub(crate) fn stretch(&self, lift: &Lift) -> Stretch {
        Stretch::new(lift, self.start, self.direction, self.length)
    }

    /// From hung on to where nothing can be reached any more: the first dead point of the lower
    /// arm beyond parked; the whole loop where there is none; a change point ends it.
    pub(crate) fn stretch_beyond(&self, lift: &Lift) -> Stretch {
        let period = std::f64::consts::TAU;
        let ahead = |phase: &f64| {
            let walked = (self.direction * (phase - self.start)).rem_euclid(period);
            if walked + 1e-12 < self.length { walked + period } else { walked }
        };
        let dead = lift.circuit.lower_arm_dead_points().iter().map(ahead).fold(period.max(self.length), f64::min);
        let change = lift.circuit.change_points().iter().map(ahead).fold(f64::INFINITY, f64::min);
        Stretch::new(lift, self.start, self.direction, dead.min(change).max(self.length))
    }

    /// Turn of the lower arm from a walked phase to its next dead point, radians; `None` where it
    /// can turn fully.
    pub(crate) fn dead_point_beyond(&self, lift: &Lift, walked: f64) -> Option<f64> {
        let left = lift.circuit.turn_left(self.phase(walked), self.direction).abs();
        left.is_finite().then_some(left)
    }

    /// Fraction of the travel at a walked phase.
    #[must_use]
    pub fn s_at(&self, lift: &Lift, walked: f64) -> f64 {
        if self.length <= 0.0 {
            return 0.0;
        }
        if self.monotone {
            return if self.turn == 0.0 {
                0.0
            } else {
                (lift.turn(self.phase(walked)) / self.turn).clamp(0.0, 1.0).abs()
            };
        }
        #[allow(clippy::cast_precision_loss)] // small
        let slice = self.length / SLICES as f64;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // clamped
        let index = ((walked / slice) as usize).min(SLICES - 1);
        #[allow(clippy::cast_precision_loss)] // small
        let from = index as f64 * slice;
        let total = self.arc.last().copied().unwrap_or(1.0);
        ((self.arc[index] + self.arc_between(lift, from, walked)) / total).clamp(0.0, 1.0)
    }

    /// Walked phase at a fraction of the travel.
    #[must_use]
    pub fn walked_at(&self, lift: &Lift, s: f64) -> f64 {
        let s = s.clamp(0.0, 1.0);
        if s <= 0.0 || self.length <= 0.0 {
            return 0.0;
        }
        if s >= 1.0 {
            return self.length;
        }
        if self.monotone {
            let phase = lift.circuit.phase_after_turn(self.start, self.direction, s * self.turn);
            return (self.direction * (phase - self.start)).clamp(0.0, self.length);
        }
        let wanted = s * self.arc.last().copied().unwrap_or(0.0);
        let index = self.arc.partition_point(|sum| *sum <= wanted).clamp(1, SLICES) - 1;
        #[allow(clippy::cast_precision_loss)] // small
        let slice = self.length / SLICES as f64;
        #[allow(clippy::cast_precision_loss)] // small
        let from = index as f64 * slice;
        // The arc is smooth and rising: Newton, kept inside the slice.
        let mut walked = from + 0.5 * slice;
        for _ in 0..12 {
            let rates = lift.rates(self.phase(walked));
            let off = self.arc[index] + self.arc_between(lift, from, walked) - wanted;
            let step = off / rates.lower_arm.hypot(rates.upper_arm).max(f64::MIN_POSITIVE);
            walked = (walked - step).clamp(from, from + slice);
            if step.abs() < 1e-15 * self.length.max(1.0) {
                break;
            }
        }
        walked
    }

    /// The pose at a fraction of the travel.
    #[must_use]
    pub fn pose_at(&self, lift: &Lift, s: f64) -> Pose {
        lift.pose(self.phase(self.walked_at(lift, s)), s.clamp(0.0, 1.0))
    }
}

/// The way along the curve whose first step moves the panel's centre of mass out of the wall.
fn outward_direction(lift: &Lift) -> f64 {
    let phase = lift.phase_at_hung();
    let pose = lift.pose(phase, 0.0);
    let rate = pose.panel_point_rate(lift.centre_of_mass, &lift.rates(phase));
    if rate.x.abs() > 1e-9 * rate.norm() {
        return rate.x.signum();
    }
    // Straight up or down at hung: look a small step ahead both ways.
    let out = |direction: f64| (lift.pose(phase + direction * 1e-3, 0.0).room_from_panel * lift.centre_of_mass).x;
    if out(1.0) >= out(-1.0) { 1.0 } else { -1.0 }
}
