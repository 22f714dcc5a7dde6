//! What comes of bearings, seats and pins.

use overarm_solver::seat::{pin_interference, smallest_hub};
use overarm_solver::units::number;
use overarm_solver::{
    Analysis, Bearing, HINGES, Joints, Material, PartName, Project, Seat, SeatIn, play_left, static_safety,
};

use super::{Block, at, greatest};

const BEARING: &[&str] = &[
    "Static safety = static rating ÷ radial load (ISO 76); at least 2 (common practice).",
    "Ratings of listed bearings: the lowest of the makers' catalogues compared.",
    "Life is not the question: a lift turns its hinges less than a turn, some ten thousand times.",
    "Loads of the more loaded set, with friction, while it rises; with two bearings in a hinge each has half.",
];
const SEAT: &[&str] = &[
    "Limits of holes and shafts by ISO 286-1, computed from the standard's rules.",
    "The bearing's own tolerance: ISO 492, class Normal; least and most are of any bearing in any bore within limits.",
    "Go is the smallest bore, no-go the largest.",
];
const FIT: &[&str] = &[
    "Pressure and stresses: Lamé's thick rings, elastic; the outer ring taken as a fifth of the bearing's section.",
    "The hub is the bar around its pivot, to its nearest edge; laps and reliefs are left out.",
    "Pressing force with a friction of 0.12 (DIN 7190-1, as quoted).",
    "Play lost: 0.8 of the interference at worst (common practice); heating for a gap of 0.01 mm to drop in.",
];

pub(super) fn blocks(project: &Project, analysis: &Analysis) -> Vec<Block> {
    let Some(joints) = &project.joints else {
        let mut block = Block::new("Bearings", BEARING);
        block.note("No hinge hardware is given: choose a bearing below. Until then hinges turn without friction.");
        block.rows.extend(loads(analysis));
        return vec![block];
    };
    let mut blocks = vec![bearings(project.safeties().bearings, joints, analysis)];
    match Seat::wanted(joints) {
        Ok(seat) => {
            blocks.push(seats(&seat));
            blocks.push(fit(&seat, joints, project, analysis));
        }
        Err(missing) => {
            let mut block = Block::new("Seats", SEAT);
            block.note(format!("No bore to cut yet: {missing}."));
            blocks.push(block);
        }
    }
    blocks.push(pin(joints));
    blocks
}

/// The most that each hinge carries over the travel.
fn loads(analysis: &Analysis) -> Vec<super::Row> {
    let Ok(forces) = &analysis.forces else { return Vec::new() };
    let of = |hinge: usize| {
        let (load, s) = greatest(analysis, |index| Some(forces.poses.get(index).copied().flatten()?.hinges?[hinge]))?;
        let [bar, arm] = HINGES[hinge].map(PartName::words);
        let value = format!("{} N {}", number(load, 0), at(s));
        Some(super::Row { what: format!("Most on {arm} and {bar}"), value, holds: None })
    };
    (0..4).filter_map(of).collect()
}

fn bearings(wanted_safety: f64, joints: &Joints, analysis: &Analysis) -> Block {
    let mut block = Block::new("Bearings", BEARING);
    block.rows = loads(analysis);
    if block.rows.is_empty() {
        block.note("The hinge loads are not known: they need a strap that pulls.");
    }
    let stalled = analysis.forces.as_ref().ok().and_then(|forces| forces.stall).map(|stall| stall.hinges);
    let stalled = stalled.map(|hinges| hinges.into_iter().fold(0.0, f64::max));
    if let Some(load) = stalled {
        block.row("With the motor stalled, most", format!("{} N", number(load, 0)));
    }
    let Some(wanted) = &joints.bearing else {
        block.note("No bearing is given: choose one below. Until then hinges turn without friction.");
        return block;
    };
    let Some(bearing) = Bearing::wanted(wanted) else {
        block.note("The bearing is in no list here: choose own figures below and give its sizes and rating.");
        return block;
    };
    let sizes = [bearing.bore, bearing.outside, bearing.width].map(|size| number(size, 1)).join(" × ");
    block.row(format!("Bearing {}", bearing.name), format!("{sizes} mm"));
    let Some(rating) = bearing.static_n else {
        block.note("The bearing's static rating is not given: no safety can be told.");
        return block;
    };
    block.row("Static rating of one", format!("{} N", number(rating, 0)));
    let each = f64::from(joints.per_hinge.unwrap_or(1).max(1));
    let in_travel = analysis.forces.as_ref().ok().and_then(|forces| {
        greatest(analysis, |index| {
            let hinges = forces.poses.get(index).copied().flatten()?.hinges?;
            Some(hinges.into_iter().fold(0.0, f64::max))
        })
    });
    let mut safety = |what: &str, load: f64| {
        let safety = static_safety(rating, load / each);
        if safety.is_finite() {
            let value = format!("{} ({wanted_safety} wanted)", number(safety, 1));
            block.judged(what, value, safety >= wanted_safety);
        }
    };
    if let Some((load, _)) = in_travel {
        safety("Static safety over the travel", load);
    }
    if let Some(load) = stalled {
        safety("Static safety, motor stalled", load);
    }
    block
}

fn microns(mm: f64) -> String {
    format!("{} µm", number(1e3 * mm, 0))
}

fn seats(seat: &Seat) -> Block {
    let mut block = Block::new("Seats", SEAT);
    if let Some(class) = seat.class {
        block.row("Class", class.to_string());
    }
    block.row("Go", format!("{} mm", number(seat.go(), 3)));
    block.row("No-go", format!("{} mm", number(seat.no_go(), 3)));
    block.row("Width of the bore's limits", microns(seat.bore.tolerance()));
    // A gap is a negative interference.
    let words = |interference: f64| {
        if interference < 0.0 { format!("{} gap", microns(-interference)) } else { microns(interference) }
    };
    block.row("Interference, least", words(seat.least));
    block.row("Interference, most", words(seat.most));
    block.row("Seats in the whole lift", seat.count().to_string());
    if seat.bore.tolerance() < 0.006 {
        block.note("Hardly any shop bores so closely: measure each bearing and cut its bore to it, or ask for less.");
    }
    if seat.least <= 0.0 {
        block.note("The loosest ring can turn in its bore: choose a tighter seat, or secure it.");
    }
    block
}

fn fit(seat: &Seat, joints: &Joints, project: &Project, analysis: &Analysis) -> Block {
    let mut block = Block::new("Pressed in", FIT);
    let hub = smallest_hub(&analysis.lift, seat.seat_in);
    let bars = &project.bars;
    let wanted = match seat.seat_in {
        SeatIn::Bars => bars.wall_bar.material.as_ref(),
        SeatIn::Arms => bars.lower_arm.material.as_ref(),
    };
    let Some(material) = Material::wanted(wanted) else {
        let name = wanted.map_or(overarm_solver::materials::DEFAULT, overarm_solver::MaterialWanted::name);
        block.note(format!("The seats are in \"{name}\", which is not in the list of materials: no pressure is told."));
        return block;
    };
    let Some(fit) = seat.fit(hub, material.elastic()) else {
        block.note(format!(
            "The bar leaves {} mm around the pivot, and the bearing is {} mm across: it does not fit in.",
            number(hub, 1),
            number(seat.bearing.outside, 1)
        ));
        return block;
    };
    let range = |least: f64, most: f64, decimals: usize, unit: &str| {
        format!("{} to {} {unit}", number(least, decimals), number(most, decimals))
    };
    block.row("Hub around the smallest seat", format!("{} mm", number(hub, 1)));
    block.row("Pressure", range(fit.least.pressure, fit.most.pressure, 1, "MPa"));
    let stress = fit.most.hub_stress;
    let yields = material.yield_strength;
    let value = format!("{} MPa (yields at {})", number(stress, 0), number(yields, 0));
    block.judged("Most stress in the bar", value, stress <= yields);
    block.row("Most stress in the ring", format!("{} MPa", number(fit.most.ring_stress, 0)));
    block.row("Force to press one in", range(fit.least.force, fit.most.force, 0, "N"));
    block.row("Play lost", range(1e3 * fit.play_lost[0], 1e3 * fit.play_lost[1], 0, "µm"));
    if let Some(play) = joints.radial_play {
        // Given as a shift to one side, half of what the diameter has.
        let left = 0.5 * play_left(2.0 * play, seat.most);
        block.judged("Play left to one side, at worst", microns(left), left >= 0.0);
    } else {
        block.note("The bearing's play is not given: whether any is left is not told.");
    }
    if let Some(kelvin) = fit.loose_when_warmer_by {
        block.row("Loosest ring is loose when warmer by", format!("{} K", number(kelvin, 0)));
    }
    block.row("Heat the bar to drop it in by", format!("{} K", number(fit.heating, 0)));
    block
}

fn pin(joints: &Joints) -> Block {
    let mut block = Block::new("Pin", SEAT);
    let bearing = joints.bearing.as_ref().and_then(Bearing::wanted);
    match (bearing, &joints.pin) {
        (Some(bearing), Some(class)) => match pin_interference(&bearing, class) {
            Ok([least, most]) => {
                let words = |value: f64| {
                    if value < 0.0 { format!("{} gap", microns(-value)) } else { microns(value) }
                };
                block.row(format!("{class} in the inner ring"), format!("{} to {} tight", words(least), words(most)));
            }
            Err(refused) => block.note(format!("No limits for the pin: {refused}.")),
        },
        (None, _) => block.note("No bearing is given, so nothing is told of its pin."),
        (_, None) => block.note("No class is given for the pin: choose one below, such as h6."),
    }
    block
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;
    use overarm_solver::{HousingFit, Options, analyse};

    fn of(project: &Project) -> Vec<Block> {
        blocks(project, &analyse(project, &Options { poses: 21, swept: false }))
    }

    fn value(blocks: &[Block], what: &str) -> Option<String> {
        blocks.iter().flat_map(|block| &block.rows).find(|row| row.what == what).map(|row| row.value.clone())
    }

    #[test]
    fn a_seat_of_a_class_has_the_limits_of_the_standard() {
        let mut project = demo();
        if let Some(joints) = &mut project.joints {
            joints.housing = Some(HousingFit::Class("N7".to_owned()));
        }
        let found = of(&project);
        // ISO 286-2: N7 at 22 mm is −7 to −28 µm; a 608's outer ring is 0 to −9 µm (ISO 492, class Normal).
        assert_eq!(value(&found, "Go").as_deref(), Some("21.972 mm"));
        assert_eq!(value(&found, "No-go").as_deref(), Some("21.993 mm"));
        assert_eq!(value(&found, "Interference, least").as_deref(), Some("2 µm gap"));
        assert_eq!(value(&found, "Interference, most").as_deref(), Some("28 µm"));
        assert!(found.iter().flat_map(|block| &block.notes).any(|note| note.contains("loosest ring can turn")));
    }

    #[test]
    fn what_is_missing_is_said_in_its_place() {
        let mut project = demo();
        if let Some(joints) = &mut project.joints {
            joints.housing = None;
            joints.pin = None;
        }
        let found = of(&project);
        let notes: Vec<&String> = found.iter().flat_map(|block| &block.notes).collect();
        assert!(notes.iter().any(|note| note.starts_with("No bore to cut yet")), "{notes:?}");
        assert!(notes.iter().any(|note| note.starts_with("No class is given for the pin")), "{notes:?}");
        project.joints = None;
        assert!(of(&project)[0].notes[0].starts_with("No hinge hardware is given"));
    }
}
