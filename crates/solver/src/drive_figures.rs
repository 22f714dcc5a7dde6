//! The drive in figures: torque, speed, power, turns, time, and whether it runs back; each there only
//! where what it needs is given.

use std::f64::consts::TAU;

use crate::analysis::Analysis;
use crate::drive_train::{BackDriving, Gear, back_driving_by_lead, drum_torque, strap_power, strap_speed};
use crate::peak::greatest;
use crate::project::Project;

/// The drive of a lift over its travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DriveFigures {
    /// Most torque at the drum from hung, or from the end of the kick, N·m, and where on the travel.
    pub drum_torque: (f64, f64),
    /// What the motor must give for it, N·m.
    pub motor_torque_needed: Option<f64>,
    /// What it gives, N·m.
    pub motor_torque: Option<f64>,
    /// Turns a minute of the drum.
    pub drum_rpm: Option<f64>,
    /// Fastest and slowest speed of the strap, mm/s: with the drum full and bare.
    pub strap_speed: Option<[f64; 2]>,
    /// Most power at the strap and at the motor's shaft, W.
    pub power: Option<[f64; 2]>,
    /// Turns of the drum to parked.
    pub turns: Option<f64>,
    /// Outer radius with the drum at its fullest, mm.
    pub full_radius: f64,
    /// Dead wraps, and whether that is the default.
    pub dead_wraps: (f64, bool),
    /// s, at the motor's speed all the way.
    pub rise_time: Option<f64>,
    /// Whether the load can turn the gear backwards.
    pub back_driving: Option<BackDriving>,
}

impl DriveFigures {
    /// The figures; `None` without a drive, where the strap pulls nowhere, or the forces are not known.
    #[must_use]
    pub fn new(project: &Project, analysis: &Analysis) -> Option<Self> {
        let drive = project.drive.as_ref()?;
        let (forces, strap) = (analysis.forces.as_ref().ok()?, analysis.strap.as_ref()?);
        let (lift, travel) = (&analysis.lift, &analysis.travel);
        let at_drum = |walked: f64| {
            let pose = lift.pose(travel.phase(walked), 0.0);
            let run = strap.at(&pose)?;
            let tension = forces.loads.at(lift, travel, &run, drive.anchor, &pose).tension?;
            Some(drum_torque(tension, run.pull_radius))
        };
        let from = forces.start.as_ref().map_or(0.0, |start| start.from);
        let (walked, torque) = greatest(&travel.stretch(lift), from, at_drum)?;
        let motor = drive.motor.as_ref();
        let gear = motor.and_then(|motor| Gear::of(motor).ok());
        let drum_rpm = motor.and_then(|motor| motor.rpm).zip(gear).map(|(rpm, gear)| gear.drum_rpm(rpm));
        let radii = [0.0, 1.0].map(|s| strap.at(&analysis.pose_at(s)).map(|run| run.pull_radius));
        let turns = strap.at(&analysis.pose_at(1.0)).and_then(|run| run.turns);
        let strap_speed = match (drum_rpm, radii) {
            (Some(rpm), [Some(bare), Some(full)]) => {
                let speeds = [strap_speed(rpm, bare), strap_speed(rpm, full)];
                Some([speeds[0].max(speeds[1]), speeds[0].min(speeds[1])])
            }
            _ => None,
        };
        // Power is torque times the drum's speed, whatever the radius.
        let power = drum_rpm.zip(gear).map(|(rpm, gear)| {
            let at_strap = strap_power(1e3 * torque, TAU * rpm / 60.0);
            [at_strap, gear.motor_power(at_strap)]
        });
        let rise_time = turns.zip(motor.and_then(|motor| motor.rpm)).zip(gear);
        Some(Self {
            drum_torque: (torque, travel.s_at(lift, walked)),
            motor_torque_needed: gear.map(|gear| gear.motor_torque(torque)),
            motor_torque: motor.and_then(|motor| motor.torque),
            drum_rpm,
            strap_speed,
            power,
            turns,
            full_radius: strap.fullest_radius(),
            dead_wraps: (drive.dead_wraps(), drive.dead_wraps.is_none()),
            rise_time: rise_time.and_then(|((turns, rpm), gear)| gear.time(turns, rpm)),
            back_driving: motor.and_then(|motor| motor.lead_deg).map(|lead| back_driving_by_lead(lead.to_radians())),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Options, analyse};

    fn of(change: impl Fn(&mut Project)) -> Option<DriveFigures> {
        let mut project = crate::samples::complete_board();
        change(&mut project);
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        DriveFigures::new(&project, &analysis)
    }

    /// Orders of magnitude worked out by hand for this board: 4.75 N·m at the drum, 17 s; the bars'
    /// own weight, which that left out, adds some.
    #[test]
    fn the_board_in_figures() {
        let found = of(|_| ()).expect("a drive");
        assert!((4.5..6.5).contains(&found.drum_torque.0), "{found:?}");
        assert!(found.rise_time.is_some_and(|time| (15.0..20.0).contains(&time)), "{found:?}");
        // By hand: 900 / 60 turns a minute; 2π·15/60 rad/s times the torque; 0.45 of it arrives.
        assert_eq!(found.drum_rpm, Some(15.0));
        let [strap, motor] = found.power.expect("known");
        assert!((strap - found.drum_torque.0 * TAU * 0.25).abs() < 1e-9 && (motor * 0.45 - strap).abs() < 1e-9);
        let needed = found.motor_torque_needed.expect("known");
        assert!((needed * 60.0 * 0.45 - found.drum_torque.0).abs() < 1e-9);
        let turns = found.turns.expect("known");
        assert!((found.rise_time.expect("known") - 60.0 * turns / 15.0).abs() < 1e-9);
        assert_eq!(found.back_driving, Some(BackDriving::Holds));
    }

    #[test]
    fn what_is_not_given_is_not_guessed() {
        let found = of(|project| project.drive.as_mut().expect("a drive").motor = None).expect("a drive");
        assert!(found.drum_torque.0 > 0.0 && found.rise_time.is_none() && found.power.is_none());
        assert!(found.motor_torque_needed.is_none() && found.back_driving.is_none());
        assert_eq!(of(|project| project.drive = None), None);
    }
}
