//! What a stalled motor does: the strap pulls on while the stop holds the lift.

use nalgebra::Vector2;

use crate::distance::nearest_on_segment;
use crate::drive_train::Gear;
use crate::free_body::{Actions, Wrench};
use crate::lift::{ArmName, Lift};
use crate::pose::Rates;
use crate::project::{PartName, Point, Project};
use crate::statics::Loads;
use crate::stop::Stop;
use crate::strap::Strap;
use crate::travel::Travel;
use crate::units::number;

/// Strap, stop and hinges with the motor stalled at the stop; N, quasi-static, without friction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stall {
    /// Pull of the strap.
    pub strap: f64,
    /// Force between the two parts that stop it, both sets together.
    pub at_stop: f64,
    /// Of that, per N of strap beyond what holds the lift there.
    pub at_stop_per_strap: f64,
    /// Radial load of each hinge of the more loaded set, in the order of [`crate::HINGES`].
    pub hinges: [f64; 4],
    /// Force of that set's arms on its wall bar, N, side view: lower, upper.
    pub on_wall: [Vector2<f64>; 2],
    /// Force of its arms on its panel bar, likewise.
    pub on_panel: [Vector2<f64>; 2],
    /// Where the stop bears, side view.
    pub place: Point,
    /// Force of the stop pair's first part on its second, that set alone, N, side view.
    pub push: Vector2<f64>,
}

impl Stall {
    /// A motor with its torque taken as its stall torque; `None` where drive, motor or gear are not
    /// given, the lift does not stop on its own parts, or the strap does not pull there.
    #[must_use]
    pub fn new(
        project: &Project,
        lift: &Lift,
        travel: &Travel,
        stop: &Stop,
        strap: &Strap,
        loads: &Loads,
    ) -> Option<Self> {
        let motor = project.drive.as_ref()?.motor.as_ref()?;
        let (gear, torque) = (Gear::of(motor).ok()?, motor.torque?);
        let contact = stop.contact.as_ref()?;
        let pose = &contact.pose;
        // The stop may lie a little beyond parked: the strap is as at parked then.
        let run = strap.at(&travel.pose_at(lift, 1.0))?;
        let pull = gear.strap_pull(torque, run.pull_radius)?;
        let rates = Rates { lower_arm: 0.0, upper_arm: 0.0, panel: 0.0, panel_lower: Vector2::zeros() };
        let anchor = pose.room_from_panel * project.drive.as_ref()?.anchor;
        let by_strap = |force: f64| Actions {
            panel: Wrench::at(force * run.along, anchor, pose.panel_lower),
            ..Actions::default()
        };
        let (place, push) = one_newton(lift, stop)?;
        let holding = by_stop(lift, stop, place, push);
        let frictionless = Loads { friction_radius: 0.0, ..loads.clone() };
        let at = |force: f64| frictionless.balance(lift, pose, &rates, &by_strap(force), &holding);
        let (stalled, none) = (at(pull)?, at(0.0)?);
        // The more loaded set has its share of the weight, and of the strap's pull as far as the strap
        // runs beside the middle; the worse of both sides.
        let weight = loads.masses.share;
        let pulled = (0.5 + (project.drive.as_ref()?.z() / project.set_spacing()).abs()).min(1.0);
        let of_set = |stalled: Vector2<f64>, none: Vector2<f64>| weight * none + pulled * (stalled - none);
        let wall_lower = of_set(stalled.wall_lower, none.wall_lower);
        let wall_upper = of_set(stalled.wall_upper, none.wall_upper);
        let panel_lower = of_set(stalled.panel_lower, none.panel_lower);
        let panel_upper = of_set(stalled.panel_upper, none.panel_upper);
        Some(Self {
            strap: pull,
            at_stop: stalled.drive,
            at_stop_per_strap: (stalled.drive - none.drive) / pull,
            hinges: [wall_lower, wall_upper, panel_lower, panel_upper].map(|force| force.norm()),
            on_wall: [-wall_lower, -wall_upper],
            on_panel: [-panel_lower, -panel_upper],
            place,
            push: (weight * none.drive + pulled * (stalled.drive - none.drive)) * push,
        })
    }
}

impl Stall {
    /// What it does to the stop, as the end of a sentence: "presses 120 N on the stops of both sets", or that
    /// it is too weak to hold the panel there, and by how much.
    #[must_use]
    pub fn at_stop_words(&self) -> String {
        if self.at_stop >= 0.0 {
            return format!("presses {} N on the stops of both sets", number(self.at_stop, 0));
        }
        let missing = -self.at_stop / self.at_stop_per_strap;
        if missing > 0.0 {
            return format!("does not hold the panel at its stop: that takes {} N more", number(missing, 0));
        }
        "does not hold the panel at its stop: it pulls the other way".to_owned()
    }
}

/// Where the stop bears, and the direction in which its first part pushes the second.
fn one_newton(lift: &Lift, stop: &Stop) -> Option<(Point, Vector2<f64>)> {
    let contact = stop.contact.as_ref()?;
    let pose = &contact.pose;
    let arm = ArmName::BOTH.into_iter().find(|arm| arm.part() == contact.parts[0])?;
    let place = nalgebra::center(&contact.points[0], &contact.points[1]);
    let outwards = if contact.by_pin {
        place - lift.stop_pin.as_ref()?.centre(lift, pose)
    } else {
        place - nearest_on_segment(place, lift.arm_axis(arm, pose))
    };
    Some((place, outwards.try_normalize(1e-9)?))
}

/// The first part pushes the second away and is pushed back.
fn by_stop(lift: &Lift, stop: &Stop, place: Point, push: Vector2<f64>) -> Actions {
    let mut actions = Actions::default();
    let Some(contact) = &stop.contact else { return actions };
    for (part, force) in contact.parts.into_iter().zip([-push, push]) {
        let wrench = |reference: Point| Wrench::at(force, place, reference);
        match part {
            PartName::LowerArm => actions.lower_arm = actions.lower_arm + wrench(lift.wall_lower),
            PartName::UpperArm => actions.upper_arm = actions.upper_arm + wrench(lift.wall_upper),
            PartName::Panel | PartName::PanelBar => {
                actions.panel = actions.panel + wrench(contact.pose.panel_lower);
            }
            _ => {}
        }
    }
    actions
}

#[cfg(test)]
mod tests {
    use crate::{Options, Project, analyse};

    #[test]
    fn a_weight_beside_the_middle_does_not_take_the_straps_pull_with_it() {
        let mut project = crate::samples::complete_board();
        let stall = |project: &Project| {
            let analysis = analyse(project, &Options { poses: 2, swept: false });
            let forces = analysis.forces.expect("known materials");
            (forces.stall.expect("a motor"), forces.loads.masses.share)
        };
        let (middle, half) = stall(&project);
        project.panel.centre_of_mass_z = Some(100.0);
        let (beside, share) = stall(&project);
        assert!((half - 0.5).abs() < 1e-12 && share > 0.6);
        // The strap runs in the middle: of its pull each stop has a half, of the weight's part the share.
        let weight = middle.at_stop - middle.at_stop_per_strap * middle.strap;
        let by_hand = 0.5 * middle.at_stop_per_strap * middle.strap + share * weight;
        assert!((beside.push.norm() - by_hand.abs()).abs() < 1e-6 * by_hand.abs(), "{by_hand} and {:?}", beside.push);
    }

    #[test]
    fn a_motor_too_weak_for_the_stop_is_told_without_a_negative_force() {
        let mut project = crate::samples::complete_board();
        let stall = |project: &Project| {
            let analysis = analyse(project, &Options { poses: 2, swept: false });
            analysis.forces.expect("known materials").stall.expect("a motor")
        };
        let strong = stall(&project);
        assert!(strong.at_stop > 0.0 && strong.at_stop_words().starts_with("presses "));
        // What holds it there is what the strap pulls less what it presses, by the strap's share of that.
        let holding = strong.strap - strong.at_stop / strong.at_stop_per_strap;
        let motor = project.drive.as_mut().and_then(|drive| drive.motor.as_mut()).expect("a motor");
        motor.torque = motor.torque.map(|torque| 0.5 * holding / strong.strap * torque);
        let weak = stall(&project);
        let words = weak.at_stop_words();
        let missing = holding - weak.strap;
        assert!(weak.at_stop < 0.0 && missing > 0.0, "{weak:?}");
        assert!(words.contains(&format!("takes {missing:.0} N more")) && !words.contains(['−', '-']), "{words}");
    }

    #[test]
    fn a_stalled_motor_on_the_board() {
        let project = crate::samples::complete_board();
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let stall = analysis.forces.expect("known materials").stall.expect("a motor");
        // By hand: 0.3 N·m × 60 × 0.45 at a radius of 27.6 − 0.6 mm.
        assert!((stall.strap - 8100.0 / 27.05).abs() < 1.0, "{stall:?}");
        // Worked out by hand for this board: 1 N of excess strap is about 6 N on the stop.
        assert!((stall.at_stop_per_strap - 6.0).abs() < 0.6, "{stall:?}");
        // The same by virtual work: strap rate over closing rate, and the weight's rate likewise.
        let travel = &analysis.travel;
        let rates = analysis.lift.rates(travel.phase(travel.length)).walked(travel.direction);
        let pose = analysis.lift.pose(travel.phase(travel.length), 1.0);
        let strap = analysis.strap.expect("a strap");
        let run = strap.at(&pose).expect("a run");
        let anchor = project.drive.as_ref().expect("a drive").anchor;
        let strap_rate = run.along.dot(&pose.panel_point_rate(anchor, &rates));
        let closing = analysis.stop.closing_speed.expect("it closes") * rates.lower_arm.abs();
        assert!((stall.at_stop_per_strap - strap_rate / closing).abs() < 1e-4 * stall.at_stop_per_strap);
    }
}
