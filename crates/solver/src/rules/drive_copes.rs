//! `drive_copes`: the motor has torque to spare over the whole travel, and stalled it does not pull
//! more than the strap may carry.

use super::{Rule, RuleFinding, percent};
use crate::analysis::Analysis;
use crate::drive_train::{Gear, back_driving_by_lead, drum_torque};
use crate::peak::greatest;
use crate::project::{Project, Safeties, lower_than_usual};
use crate::units::number;

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let unknown = |text: String| RuleFinding::unknown(Rule::DriveCopes).saying(text);
    let Some(drive) = &project.drive else {
        return unknown("No drive is given: add drive with its anchor, drum and strap.".into());
    };
    let (forces, strap) = match (&analysis.forces, &analysis.strap) {
        (Ok(forces), Some(strap)) => (forces, strap),
        (Err(missing), _) => return unknown(missing.sentence()),
        (_, None) => return unknown("The strap has no straight run.".into()),
    };
    let Some(motor) = &drive.motor else {
        return unknown("No motor is given: add its torque, speed, ratio and efficiency (drive.motor).".into());
    };
    let gear = match Gear::of(motor) {
        Ok(gear) => gear,
        Err(refused) => return unknown(refused.sentence()),
    };
    let Some(given) = motor.torque else {
        return unknown("The motor's torque is not given (drive.motor.torque).".into());
    };
    let (lift, travel) = (&analysis.lift, &analysis.travel);
    let at_drum = |walked: f64| {
        let pose = lift.pose(travel.phase(walked), 0.0);
        let run = strap.at(&pose)?;
        let found = forces.loads.at(lift, travel, &run, drive.anchor, &pose);
        Some(drum_torque(found.tension?, run.pull_radius))
    };
    // A kick helps until its stroke has ended.
    let from = forces.start.as_ref().map_or(0.0, |start| start.from);
    let Some((walked, torque)) = greatest(&travel.stretch(lift), from, at_drum) else {
        return unknown("The strap pulls nowhere on the travel.".into());
    };
    if torque <= 0.0 {
        return unknown("The strap pulls nothing up: the lift has no weight, or it rises by itself.".into());
    }
    let needed = gear.motor_torque(torque);
    let safety = given / needed;
    let s = travel.s_at(lift, walked);
    let required = project.safeties().drive;
    let mut text = format!(
        "The drum needs {} N·m at {} of the travel, {} N·m at the motor, which gives {} N·m: {} times as much, {required} wanted.{}",
        number(torque, 2),
        percent(s),
        number(needed, 3),
        number(given, 3),
        number((safety * 100.0).floor() / 100.0, 2),
        lower_than_usual(required, Safeties::USUAL.drive)
    );
    let parked = strap.at(&analysis.pose_at(1.0)).and_then(|run| run.turns);
    let rises = safety >= 1.0;
    if !rises {
        text += " It stalls there and does not rise further.";
    } else if let (Some(rpm), Some(turns)) = (motor.rpm, parked)
        && let Some(seconds) = gear.time(turns, rpm)
    {
        text += &format!(" It rises in {} s on {} turns of the drum.", number(seconds, 0), number(turns, 2));
    } else if motor.rpm.is_none_or(|rpm| rpm <= 0.0) {
        text += " The motor's speed is not given, so neither is the time it takes (drive.motor.rpm).";
    }
    if let Some(lead) = motor.lead_deg {
        text += &format!(" {}", back_driving_by_lead(lead.to_radians()).sentence());
    } else {
        text += " The worm's lead angle is not given, so it is not known whether the load turns the gear back (drive.motor.lead_deg).";
    }
    if drive.strap_limit.is_none() {
        text +=
            " What the strap may carry is not given, so the stalled motor's pull is not judged (drive.strap_limit).";
    }
    let mut margin = safety / required - 1.0;
    if let (Some(stall), Some(limit)) = (forces.stall.filter(|stall| stall.strap > 0.0), drive.strap_limit) {
        text += &format!(
            " Stalled{} it pulls {} N{}; the strap may carry {} N.",
            if rises { " at the stop" } else { "" },
            number(stall.strap, 0),
            if rises { format!(" and {}", stall.at_stop_words()) } else { String::new() },
            number(limit, 0)
        );
        margin = margin.min(limit / stall.strap - 1.0);
    }
    if margin < 0.0 {
        text += " Take a motor or ratio that fits better, or limit its current.";
    }
    let pose = analysis.pose_at(s);
    RuleFinding::with_margin(Rule::DriveCopes, margin, "")
        .at(s, "drum", &[pose.room_from_panel * drive.anchor])
        .saying(text)
}
