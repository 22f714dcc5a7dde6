//! Where one set with its errors comes to rest: hung on the wall, parked on its stop.
//!
//! Hung, the set closes until the first of the panel's two rests meets the wall, or until the arms
//! touch; the gap left at the other rest is the flatness error. A set whose loop cannot close with
//! the lower arm where the drawing has it stays short of hung: it meets the wall crooked, or turns
//! back at a dead point before it meets it at all. Parked, it goes on to the place where its own arms
//! touch as the drawn ones do at theirs.

use super::geometry::{PanelPlace, SetGeometry};
use super::motion::{Begin, Met, SetMotion, SetPlace};
use crate::distance::segment_to_segment;
use crate::lift::Lift;
use crate::project::{Build, PartName, Point, Project};
use crate::stop::Stop;
use crate::travel::Travel;

/// Where a set comes to rest on the wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Closed {
    /// On the wall.
    OnWall {
        /// Upper tip less lower tip, mm: 0 hangs flat, positive leans out at the top.
        gap: f64,
        /// The panel's place.
        place: PanelPlace,
    },
    /// On each other: the arms touch first.
    OnArms {
        /// Upper tip less lower tip, mm.
        gap: f64,
        /// Distance left between the nearer tip and the wall, mm.
        by: f64,
        /// The panel's place.
        place: PanelPlace,
    },
    /// Nowhere: the loop cannot close so far.
    Short {
        /// Least distance left between the nearer tip and the wall, mm.
        by: f64,
        /// The panel's place there.
        place: PanelPlace,
    },
}

impl Closed {
    /// Upper tip less lower tip where it rests, mm; `None` where it stays short.
    #[must_use]
    pub fn gap(&self) -> Option<f64> {
        match self {
            Self::OnWall { gap, .. } | Self::OnArms { gap, .. } => Some(*gap),
            Self::Short { .. } => None,
        }
    }
}

/// How a lift closes on the wall: the same for every set made to one drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Closing {
    begin: Begin,
    tips: [Point; 2],
    arms_apart: Option<f64>,
    /// The lower arm as drawn, hung: its direction, and the sense in which it turns on the way there.
    lower_arm: f64,
    sense: f64,
}

/// The walk begins where both tips are this far off the wall, as a share of the lower arm: some
/// millimetres, so that the errors of parts do not reach it.
const BEGIN_SHARE: f64 = 0.008;

impl Closing {
    /// The closing of a project's lift; `None` where a rest does not leave the wall as the lift
    /// rises, or where it does not move.
    #[must_use]
    pub fn new(project: &Project, lift: &Lift, travel: &Travel) -> Option<Self> {
        let [one, other] = project.panel.rests();
        let tips = [one.min(other), one.max(other)].map(|height| Point::new(-lift.standoff, height));
        let reach = travel.length.min(out_of_dead_points(lift, travel));
        let off = |walked: f64| {
            let place = lift.placement(travel.phase(walked));
            tips.iter().map(|tip| (place.room_from_panel * tip).x).fold(f64::INFINITY, f64::min)
        };
        let wanted = BEGIN_SHARE * lift.lengths.lower_arm;
        let walked = first_beyond(off, wanted, reach)?;
        let begin = Begin::from_drawn(lift, travel.phase(walked), travel.phase(0.0));
        let hung = lift.placement(travel.phase(0.0));
        let apart = lift.lower_arm_radius() + lift.upper_arm_radius();
        let clear = segment_to_segment(lift.lower_arm_axis(&hung), lift.upper_arm_axis(&hung)).mm - apart;
        let arms_apart = (project.bars.build == Build::Lapped && clear > 0.0).then_some(apart);
        let arm = hung.panel_lower - lift.wall_lower;
        let sense = -(lift.turn(travel.phase(walked))).signum();
        Some(Self { begin, tips, arms_apart, lower_arm: arm.y.atan2(arm.x), sense })
    }

    /// Tips of the rests in the panel frame, lower first.
    #[must_use]
    pub fn tips(&self) -> [Point; 2] {
        self.tips
    }

    /// Likewise with the arms' width given: both half widths together, where they share a layer.
    #[must_use]
    pub fn with_arms_apart(self, arms_apart: Option<f64>) -> Self {
        Self { arms_apart, ..self }
    }

    /// How far a set stays short of hung, mm at the end of its lower arm: its loop does not close
    /// with that arm in the drawn direction, a dead point comes first. `None` where it closes.
    #[must_use]
    pub fn short_of_hung(&self, set: &SetGeometry) -> Option<f64> {
        let (sine, cosine) = self.lower_arm.sin_cos();
        let lower = set.wall[0] + set.arms[0] * nalgebra::Vector2::new(cosine, sine);
        let bar = (set.panel[1] - set.panel[0]).norm();
        let bridged = (set.wall[1] - lower).norm();
        if bridged <= bar + set.arms[1] && bridged >= (bar - set.arms[1]).abs() {
            return None;
        }
        let motion = SetMotion::new(set, &self.begin)?;
        let left = |place: &SetPlace| {
            -self.sense * crate::circuit::principal(motion.lower_arm(place) - self.lower_arm) * set.arms[0]
        };
        match motion.walk(left) {
            Met::Touch(_) => Some(0.0),
            Met::Short(by, _) => Some(by),
        }
    }

    /// Where a set comes to rest; `None` where a bar has no length left.
    #[must_use]
    pub fn of(&self, set: &SetGeometry) -> Option<Closed> {
        let motion = SetMotion::new(set, &self.begin)?;
        let tips = |place: &SetPlace| self.tips.map(|tip| place.at(tip).x);
        let nearer = |place: &SetPlace| {
            let [lower, upper] = tips(place);
            lower.min(upper)
        };
        let arms = |place: &SetPlace| self.arms_apart.map_or(f64::INFINITY, |apart| motion.between_arms(place) - apart);
        Some(match motion.walk(|place| nearer(place).min(arms(place))) {
            Met::Touch(place) => {
                let [lower, upper] = tips(&place);
                let (gap, by, on_arms) = (upper - lower, lower.min(upper), arms(&place) < lower.min(upper));
                let place = place.panel();
                if on_arms { Closed::OnArms { gap, by, place } } else { Closed::OnWall { gap, place } }
            }
            Met::Short(_, place) => Closed::Short { by: nearer(&place), place: place.panel() },
        })
    }
}

/// Where a set comes to rest when parked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Parked {
    /// On its stop.
    OnStop {
        /// Turn of the lower arm beyond where the drawn one stops, radians, on its way: negative
        /// stops early.
        turn: f64,
        /// Lowest point of the panel above the floor, mm.
        lowest: f64,
    },
    /// Before it: a dead point comes first.
    Short {
        /// What is left between the parts of the stop, mm.
        by: f64,
    },
}

/// How a lift parks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Parking {
    begin: Begin,
    /// Distance of the arms' axes where the drawn ones stop, mm; `None` where something else stops
    /// it: then it parks at the drawn direction of the lower arm.
    arms_apart: Option<f64>,
    lower_arm: f64,
    sense: f64,
    corners: [Point; 4],
}

impl Parking {
    /// The parking of a lift; `None` where it does not move.
    #[must_use]
    pub fn new(lift: &Lift, travel: &Travel, stop: &Stop) -> Option<Self> {
        /// The walk begins this far before the stop, radians of phase: some centimetres.
        const BEFORE: f64 = 0.1;
        let on_arms = stop
            .contact
            .as_ref()
            .filter(|contact| contact.parts == [PartName::LowerArm, PartName::UpperArm] && !contact.by_pin);
        let walked = on_arms.map_or(travel.length, |contact| contact.walked);
        if walked <= 0.0 {
            return None;
        }
        let phase = travel.phase(walked);
        let place = lift.placement(phase);
        let before = travel.phase(walked - BEFORE.min(0.5 * walked));
        let begin = Begin::from_drawn(lift, before, phase);
        let apart = segment_to_segment(lift.lower_arm_axis(&place), lift.upper_arm_axis(&place)).mm;
        let arm = place.panel_lower - lift.wall_lower;
        Some(Self {
            begin,
            arms_apart: on_arms.map(|_| apart),
            lower_arm: arm.y.atan2(arm.x),
            sense: (lift.rates(phase).lower_arm * travel.direction).signum(),
            corners: lift.panel.corners(),
        })
    }

    /// Whether its own arms stop it; else it parks at the drawn direction of the lower arm.
    #[must_use]
    pub fn is_on_arms(&self) -> bool {
        self.arms_apart.is_some()
    }

    /// Where a set comes to rest; `None` where a bar has no length left.
    #[must_use]
    pub fn of(&self, set: &SetGeometry) -> Option<Parked> {
        let motion = SetMotion::new(set, &self.begin)?;
        let turn = |place: &SetPlace| {
            let off = motion.lower_arm(place) - self.lower_arm;
            self.sense * crate::circuit::principal(off)
        };
        let met = match self.arms_apart {
            Some(apart) => motion.walk(|place| motion.between_arms(place) - apart),
            None => motion.walk(|place| -turn(place) * set.arms[0]),
        };
        Some(match met {
            Met::Touch(place) => Parked::OnStop {
                turn: turn(&place),
                lowest: self.corners.iter().map(|corner| place.at(*corner).y).fold(f64::INFINITY, f64::min),
            },
            Met::Short(by, _) => Parked::Short { by },
        })
    }
}

/// Phase walked from hung to nine tenths of the way to the first dead point of the lower arm.
fn out_of_dead_points(lift: &Lift, travel: &Travel) -> f64 {
    lift.circuit
        .dead_point_ahead(travel.phase(0.0), travel.direction)
        .map_or(f64::INFINITY, |dead| 0.9 * (travel.direction * (dead - travel.phase(0.0))).abs())
}

/// The first walked phase with `off` at least at `wanted`, to a hundredth; within `reach` the last one
/// before `off` falls again; `None` where it does not rise at all.
fn first_beyond(off: impl Fn(f64) -> f64, wanted: f64, reach: f64) -> Option<f64> {
    /// Steps, radians of phase, growing by a fifth: the first is a few micrometres.
    const FIRST: f64 = 1e-5;
    const GROWS: f64 = 1.2;
    let (mut walked, mut reached) = (0.0, 0.0);
    let mut step = FIRST;
    while walked < reach {
        let next = f64::min(walked + step, reach);
        let then = off(next);
        if then <= reached {
            break;
        }
        (walked, reached) = (next, then);
        if reached >= wanted {
            break;
        }
        step *= GROWS;
    }
    (reached > 0.0).then_some(walked)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::errors::Errors;
    use crate::{Options, analyse};

    fn board() -> Project {
        crate::samples::board()
    }

    /// As drawn nothing is left: flat on the wall, on its stop.
    #[test]
    fn the_drawn_set_hangs_flat_and_parks() {
        let project = board();
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let set = SetGeometry::nominal(&analysis.lift);
        let closing = Closing::new(&project, &analysis.lift, &analysis.travel).expect("it moves");
        let Some(Closed::OnWall { gap, place }) = closing.of(&set) else { panic!("on the wall") };
        assert!(gap.abs() < 1e-8 && (place.origin - Point::new(62.0, 1180.0)).norm() < 1e-6, "{gap} {place:?}");
        let parking = Parking::new(&analysis.lift, &analysis.travel, &analysis.stop).expect("it moves");
        let Some(Parked::OnStop { turn, lowest }) = parking.of(&set) else { panic!("on its stop") };
        let contact = analysis.stop.contact.as_ref().expect("a stop");
        let corners = analysis.lift.panel_corners(&contact.pose);
        let expected = corners.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
        assert!(parking.is_on_arms() && turn.abs() < 1e-8 && (lowest - expected).abs() < 1e-6, "{turn} {lowest}");
    }

    /// The place is closed, no tip is in the wall, and one is on it; for errors up to millimetres.
    #[test]
    fn large_errors_close_or_stay_short() {
        let project = board();
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let nominal = SetGeometry::nominal(&analysis.lift);
        let closing = Closing::new(&project, &analysis.lift, &analysis.travel).expect("it moves");
        let (mut on_wall, mut short) = (0, 0);
        for index in 0..400_u64 {
            let size = 10_f64.powi(i32::try_from(index % 5).expect("small") - 3);
            let errors: Errors = std::array::from_fn(|of| size * crate::errors::draws::symmetric(7, index, of as u64));
            let Some(set) = nominal.with(&errors) else { continue };
            match closing.of(&set).expect("bars have lengths") {
                Closed::OnWall { gap, place } => {
                    let tips = closing.tips().map(|tip| place.at(tip).x);
                    assert!(set.residual(&place).amax() < 1e-9, "{index}: {}", set.residual(&place));
                    assert!(tips[0].min(tips[1]).abs() < 1e-8 && (gap - (tips[1] - tips[0])).abs() < 1e-9, "{tips:?}");
                    on_wall += 1;
                }
                Closed::OnArms { place, .. } => assert!(set.residual(&place).amax() < 1e-9),
                Closed::Short { by, place } => {
                    assert!(by > 0.0 && set.residual(&place).amax() < 1e-9, "{by}");
                    short += 1;
                }
            }
        }
        assert!(on_wall > 300, "{on_wall} {short}");
    }
}
