//! What comes of strap, drum, kick and motor.

use overarm_solver::drive_train::{drum_torque, strap_power, strap_speed, uneven_wraps};
use overarm_solver::fall::SECOND_RETENTION;
use overarm_solver::units::number;
use overarm_solver::{Analysis, Drive, Forces, Gear, KickChoice, Project, Strap, back_driving_by_lead, show_length};

use super::{Block, at, greatest};

const START: &[&str] = &[
    "Pull = rate at which all weights rise ÷ rate at which the strap is taken in (virtual work, checked by free bodies).",
    "Friction: ½ · coefficient · bore times each hinge's load, solved together with the pull.",
    "2 mm elsewhere: what a tape and a drill are off (common practice).",
    "Push: what balances the lift with the strap at its limit, at the kick's place, else half way up the panel's back.",
    "What a strap may carry: a fifth of what breaks it, with its seams and ends (common practice).",
];
const KICK: &[&str] = &[
    "Least push: what balances the lift with the strap at its limit, square to the wall, over the stroke until the strap does it alone.",
    "A quarter is put on top of it; a spring has at the end of its stroke half of what it has compressed (common practice).",
    "A spring that stays may take half of what seats the panel; one that would take more has to withdraw.",
    "Cam: half a sine over a quarter turn, a roller pressed on at 30° at the steepest (handbooks of cams).",
];
const DRUM: &[&str] = &[
    "Radius by area: π (r² − bare²) = thickness · length wound; the strap pulls half a thickness further in.",
    "Torque at the drum = pull · that radius.",
    "Two drums: 2π · wraps · thickness for each turn; one drum in the middle has none of it.",
];
const MOTOR: &[&str] = &[
    "Torque at the motor = torque at the drum ÷ (ratio · efficiency).",
    "Speed of the strap = 2π · radius · motor speed ÷ ratio; power = pull · speed, over the efficiency at the motor.",
    "Back-driving by the worm's lead angle: up to 5° usually holds (Mott, Machine Elements in Mechanical Design), above 11° runs back (common practice).",
    "Stalled: the motor's torque as its stall torque, at the stop, without friction.",
];
const FALL: &[&str] = &[
    "Energy = all weights times the height they come down; speed if all of it became motion of all that moves.",
    "Friction is left out, so neither is told too low.",
    "On the way down: rate of the weight against that of friction, the strap slack.",
];

pub(super) fn blocks(project: &Project, analysis: &Analysis) -> Vec<Block> {
    let forces = match &analysis.forces {
        Ok(forces) => forces,
        Err(missing) => {
            let mut block = Block::new("Start", START);
            block.note(missing.sentence());
            return vec![block];
        }
    };
    let mut blocks = Vec::new();
    match (&project.drive, &analysis.strap) {
        (Some(drive), Some(strap)) => {
            blocks.push(start(project, drive, analysis, forces));
            blocks.push(kick(project, drive, forces));
            blocks.push(drum(project, drive, analysis, strap));
            blocks.push(motor(drive, analysis, forces, strap));
        }
        (Some(_), None) => {
            let mut block = Block::new("Start", START);
            block.note("The strap's end lies in the drum when hung: it cannot pull. Move the drum or the strap's end.");
            blocks.push(block);
        }
        (None, _) => {
            let mut block = Block::new("Start", START);
            block.note("No strap is given: add strap and drum below.");
            blocks.push(block);
        }
    }
    blocks.push(fall(analysis, forces));
    blocks
}

fn start(project: &Project, drive: &Drive, analysis: &Analysis, forces: &Forces) -> Block {
    let mut block = Block::new("Start", START);
    let units = project.units();
    let newtons = |value: f64| format!("{} N", number(value, 0));
    let Some(start) = &forces.start else {
        block.note("The strap's end lies in the drum when hung: it cannot pull. Move the drum or the strap's end.");
        return block;
    };
    match start.at_hung.tension.filter(|_| start.at_hung.strap_rate > 0.0) {
        Some(pull) => block.row("Pull at hung", newtons(pull)),
        None => block.row("Pull at hung", "none: it pulls the wrong way"),
    }
    block.row("Strap to the way its end goes", format!("{}°", number(start.angle.to_degrees(), 1)));
    if let Some((worst, s)) = start.worst {
        let value = format!("{} {}", newtons(worst), at(s));
        match drive.strap_limit {
            Some(limit) => block.judged("Most pull", value, worst <= limit),
            None => block.row("Most pull", value),
        }
    }
    match (drive.strap_limit, start.falls_to_limit) {
        (Some(limit), Some(s)) if s > 0.0 => block.row(format!("Under {} from", newtons(limit)), at(s)),
        (Some(limit), None) => block.judged(format!("Under {}", newtons(limit)), "nowhere", false),
        (Some(_), Some(_)) => {}
        (None, _) => block.note(
            "What the strap may carry is not given: nothing is judged by it. Usual is a fifth of what breaks it.",
        ),
    }
    let known: Vec<f64> = start.moved.iter().filter_map(|moved| moved.tension).collect();
    if known.len() < start.moved.len() {
        block.judged("With strap or drum 2 mm elsewhere", "would not start", false);
    } else if let (Some(least), Some(most)) =
        (known.iter().copied().reduce(f64::min), known.iter().copied().reduce(f64::max))
    {
        block.row("With strap or drum 2 mm elsewhere", format!("{} to {}", number(least, 0), newtons(most)));
    }
    match start.push {
        Some(push) if push.force > 0.0 => {
            let gives = drive.kick.as_ref().and_then(|kick| kick.limit);
            let value = format!("{} N over {}", number(push.force, 1), show_length(push.stroke, units));
            match gives {
                Some(gives) => block.judged("Least push off the wall", value, gives >= push.force),
                None => block.row("Least push off the wall", value),
            }
        }
        Some(_) => block.row("Least push off the wall", "none is needed"),
        None => {}
    }
    let seats = forces.rests.iter().filter_map(|rest| rest.force);
    if let Some(least) = seats.reduce(f64::min) {
        block.row("Weight seats each rest with", format!("{} N or more", number(least, 1)));
        if let Some(spring) = drive.kick.as_ref().and_then(|kick| kick.passive_force).filter(|spring| *spring > 0.0) {
            block.judged("The kick's spring takes of it", format!("{} N", number(spring, 1)), spring < least);
        }
    }
    debug_assert!(analysis.strap.is_some());
    block
}

/// The push off the wall, and the device that would give it.
fn kick(project: &Project, drive: &Drive, forces: &Forces) -> Block {
    let mut block = Block::new("Kick device", KICK);
    let units = project.units();
    let length = |mm: f64| show_length(mm, units);
    let newtons = |value: f64| format!("{} N", number(value, 1));
    let Some(device) = &forces.kick else {
        block.note(match drive.strap_limit {
            None => "What the strap may carry is not given: no push can be sized without it.",
            Some(_) => {
                "No push at this place keeps the strap within its limit: push elsewhere, or move drum or strap's end."
            }
        });
        return block;
    };
    let at = device.at();
    let default = if drive.kick.is_none() { " (default)" } else { "" };
    block.row("Pushes at", format!("{} across, {} up the panel{default}", length(at.x), length(at.y)));
    if device.push.force > 0.0 {
        let push = format!("{} over {}", newtons(device.push.force), length(device.push.stroke));
        block.row("Least push and stroke", push);
    } else {
        block.row("Least push and stroke", "none is needed");
    }
    match device.seating {
        Some(seating) => block.row("Weight seats the panel with", newtons(seating)),
        None => block.row("Weight seats the panel with", "nothing"),
    }
    if device.choice != KickChoice::None {
        let spring = device.spring;
        let fits = device.choice == KickChoice::Spring;
        block.judged(
            "Spring plunger, compressed",
            format!("{} of {}", newtons(spring.compressed), newtons(spring.allowed)),
            fits,
        );
        block.row("Spring at its stroke's end", newtons(spring.extended));
        block.row("Spring rate", format!("{} N/mm", number(spring.rate, 3)));
        let cam = device.cam;
        block.row("Roller on a cam", format!("{} over {}", newtons(cam.force), length(cam.lift)));
        block.row("Cam's most torque", format!("{} N·m", number(1e-3 * cam.torque, 2)));
        block.row("Cam's base radius, least", length(cam.base_radius));
    }
    block.note(device.sentence(units));
    block
}

fn drum(project: &Project, drive: &Drive, analysis: &Analysis, strap: &Strap) -> Block {
    let mut block = Block::new("Strap and drum", DRUM);
    let units = project.units();
    let parked = strap.at(&analysis.pose_at(1.0));
    if let Some(parked) = parked {
        block.row("Strap taken in", show_length(parked.taken_in, units));
        if let Some(turns) = parked.turns {
            block.row("Turns of the drum", number(turns, 2));
            if drive.strap_thickness > 0.0 {
                let off = uneven_wraps(1.0, drive.strap_thickness, turns);
                block.row("Two drums, one wrap uneven", format!("{} off level", show_length(off, units)));
            }
        }
    }
    block.row("Radius at its fullest", show_length(strap.fullest_radius(), units));
    if let Some((torque, s)) = greatest(analysis, |index| torque_at(analysis, strap, index)) {
        block.row("Most torque at the drum", format!("{} N·m {}", number(torque, 2), at(s)));
    }
    block
}

/// Torque at the drum at one of the poses analysed, N·m, where the strap pulls.
fn torque_at(analysis: &Analysis, strap: &Strap, index: usize) -> Option<f64> {
    let found = analysis.forces.as_ref().ok()?.poses.get(index).copied().flatten()?;
    let radius = strap.at(&analysis.poses[index].pose)?.pull_radius;
    Some(drum_torque(found.tension.filter(|_| found.strap_rate > 0.0)?, radius))
}

fn motor(drive: &Drive, analysis: &Analysis, forces: &Forces, strap: &Strap) -> Block {
    let mut block = Block::new("Motor", MOTOR);
    let Some(motor) = &drive.motor else {
        block.note("No motor is given: type its torque, speed, ratio and efficiency below.");
        return block;
    };
    if let Some(lead) = motor.lead_deg {
        block.note(back_driving_by_lead(lead.to_radians()).sentence());
    } else {
        block.note("The worm's lead angle is not given: nothing is said of whether the load turns the gear back.");
    }
    let gear = match Gear::of(motor) {
        Ok(gear) => gear,
        Err(refused) => {
            block.note(refused.sentence());
            return block;
        }
    };
    let most = greatest(analysis, |index| torque_at(analysis, strap, index));
    if let Some((torque, s)) = most.filter(|(torque, _)| *torque > 0.0) {
        let needed = gear.motor_torque(torque);
        block.row("Torque needed of it", format!("{} N·m {}", number(needed, 3), at(s)));
        match motor.torque {
            Some(given) => block.row("It gives", format!("{} times that", number(given / needed, 2))),
            None => block.note("The motor's torque is not given: nothing is said of whether it copes."),
        }
    }
    match motor.rpm {
        Some(rpm) => {
            let speed = |index: usize| {
                let radius = strap.at(&analysis.poses[index].pose)?.pull_radius;
                Some(strap_speed(gear.drum_rpm(rpm), radius))
            };
            let last = analysis.poses.len().saturating_sub(1);
            if let (Some(first), Some(last)) = (speed(0), speed(last)) {
                block.row("Speed of the strap", format!("{} to {} mm/s", number(first, 0), number(last, 0)));
            }
            let power = greatest(analysis, |index| {
                let pull = forces.poses.get(index).copied().flatten()?.tension?;
                Some(strap_power(pull, speed(index)?))
            });
            if let Some((watts, s)) = power {
                block.row("Most power at the strap", format!("{} W {}", number(watts, 1), at(s)));
                block.row("At the motor", format!("{} W", number(gear.motor_power(watts), 1)));
            }
            let turns = strap.at(&analysis.pose_at(1.0)).and_then(|run| run.turns);
            if let Some(seconds) = turns.and_then(|turns| gear.time(turns, rpm)) {
                block.row("Rises in", format!("{} s", number(seconds, 1)));
            }
        }
        None => block.note("The motor's speed is not given: no speed, power or time."),
    }
    if let Some(stall) = forces.stall {
        let value = format!("{} N", number(stall.strap, 0));
        match drive.strap_limit {
            Some(limit) => block.judged("Stalled at the stop, strap", value, stall.strap <= limit),
            None => block.row("Stalled at the stop, strap", value),
        }
        if stall.at_stop >= 0.0 {
            block.row("On the stop then", format!("{} N", number(stall.at_stop, 0)));
        } else {
            block.note(format!("Stalled it {}.", stall.at_stop_words()));
        }
        let hinge = stall.hinges.iter().copied().fold(0.0, f64::max);
        block.row("On the most loaded hinge then", format!("{} N", number(hinge, 0)));
    }
    block
}

fn fall(analysis: &Analysis, forces: &Forces) -> Block {
    let mut block = Block::new("Coming down, and a strap that parts", FALL);
    if let Some(least) = forces.coming_down.filter(|least| least.ratio.is_finite()) {
        let value = format!("{} times {}", number(least.ratio, 1), at(least.s));
        block.judged("Weight over friction, least", value, least.ratio >= 1.0);
    }
    match forces.fall {
        Some(fall) => {
            block.row("Falls from parked with", format!("{} J", number(fall.energy, 0)));
            block.row("Arrives at", format!("{} m/s", number(fall.speed, 1)));
            block.note(SECOND_RETENTION);
        }
        None => block.note("Parked is no higher than hung: nothing falls."),
    }
    debug_assert!(!analysis.poses.is_empty());
    block
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;
    use overarm_solver::{Options, analyse};

    fn of(project: &Project) -> Vec<Block> {
        blocks(project, &analyse(project, &Options { poses: 61, swept: false }))
    }

    fn value(blocks: &[Block], what: &str) -> String {
        let row = blocks.iter().flat_map(|block| &block.rows).find(|row| row.what == what);
        row.map(|row| row.value.clone()).unwrap_or_default()
    }

    #[test]
    fn speed_power_and_time_agree_with_each_other() {
        let found = of(&demo());
        // By hand: 900 rpm ÷ 60 = 15 turns a minute on some 4.5 turns.
        let turns: f64 = value(&found, "Turns of the drum").parse().expect("a number");
        let seconds: f64 = value(&found, "Rises in").trim_end_matches(" s").parse().expect("a number");
        assert!((seconds - 4.0 * turns).abs() < 0.06, "{turns} turns in {seconds} s");
        let figure = |what: &str| -> f64 {
            value(&found, what).split_whitespace().next().and_then(|word| word.parse().ok()).unwrap_or(f64::NAN)
        };
        assert!((figure("At the motor") - figure("Most power at the strap") / 0.45).abs() < 0.15);
        assert_eq!(value(&found, "Pull at hung"), "63 N");
    }

    #[test]
    fn a_kick_device_is_sized_where_the_strap_needs_one_and_only_there() {
        let none = of(&demo());
        let kick = none.iter().find(|block| block.title == "Kick device").expect("the block");
        assert!(kick.notes[0].contains("no kick is needed"), "{:?}", kick.notes);
        assert_eq!(value(&none, "Roller on a cam"), "");

        let text = include_str!("../../../../../tests/golden/chapel-hatch/project.overarm.json");
        let mut touchy: Project = serde_json::from_str(text).expect("a project");
        touchy.drive.as_mut().expect("a drive").strap_limit = Some(300.0);
        let found = of(&touchy);
        let device = analyse(&touchy, &Options { poses: 2, swept: false }).forces.expect("known").kick.expect("sized");
        assert_eq!(
            value(&found, "Least push and stroke"),
            format!("{} N over {}", number(device.push.force, 1), show_length(device.push.stroke, touchy.units()))
        );
        assert!(value(&found, "Pushes at").ends_with("(default)"));
        let spring = found.iter().flat_map(|block| &block.rows).find(|row| row.what == "Spring plunger, compressed");
        assert_eq!(spring.and_then(|row| row.holds), Some(device.choice == KickChoice::Spring));
        assert!(value(&found, "Roller on a cam").contains(" N over "));

        touchy.drive.as_mut().expect("a drive").strap_limit = None;
        let kick = of(&touchy).into_iter().find(|block| block.title == "Kick device").expect("the block");
        assert!(kick.rows.is_empty() && kick.notes[0].contains("not given"), "nothing is guessed");
    }

    #[test]
    fn what_is_missing_is_said_and_not_guessed() {
        let mut project = demo();
        if let Some(motor) = project.drive.as_mut().and_then(|drive| drive.motor.as_mut()) {
            motor.efficiency = None;
            motor.lead_deg = None;
        }
        let found = of(&project);
        assert_eq!(value(&found, "Torque needed of it"), "");
        let notes: String = found.iter().flat_map(|block| block.notes.clone()).collect();
        assert!(notes.contains("efficiency is not given") && notes.contains("lead angle is not given"), "{notes}");
        project.drive = None;
        let found = of(&project);
        assert!(found[0].notes[0].contains("No strap is given"));
        assert_ne!(value(&found, "Falls from parked with"), "", "weights are known without a strap");
    }
}
