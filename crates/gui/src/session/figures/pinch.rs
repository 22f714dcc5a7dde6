//! Where hands and fingers are caught.

use overarm_solver::{BodyPart, Pinch, Units, show_length};

use super::Block;

const PINCH: &[&str] = &[
    "Least gaps of ISO 13854 (EN 349): 25 mm spare a finger, 100 mm a hand.",
    "A gap that never opens as far, but far enough to reach in: 4 mm a fingertip, 20 mm a hand (ISO 13857, table 4, from memory).",
    "Looked for at 240 steps of the travel; a list for caution, not a rule: keep people away, or tell them.",
];

/// The gaps that close on somebody, the smallest first.
#[must_use]
pub fn pinch_block(found: &[Pinch], units: Units) -> Block {
    let mut block = Block::new("Mind hands and fingers", PINCH);
    for pinch in found {
        let [one, _] = pinch.parts;
        let other = pinch.feature.as_deref().unwrap_or_else(|| pinch.parts[1].words());
        let place = format!("{}, {one} and {other}", catches(pinch.body), one = one.words());
        let [from, to] = pinch.s.map(|s| 100.0 * s);
        let when = match (pinch.closes_rising(), pinch.closes_coming_down()) {
            (true, true) => "both ways",
            (false, _) => "coming down",
            _ => "rising",
        };
        block.row(place, format!("{}, {when}, {from:.0} to {to:.0} %", show_length(pinch.least, units)));
    }
    if found.is_empty() {
        block.note("No gap closes on a hand or a finger anywhere on the travel.");
    } else {
        block.note("A hand or finger between them is crushed: keep people away while it moves, or cover the place.");
    }
    block
}

fn catches(body: BodyPart) -> String {
    let mut letters = body.words().chars();
    letters.next().map_or_else(String::new, |first| format!("{}{}", first.to_uppercase(), letters.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;
    use overarm_solver::{Options, analyse, pinches};

    #[test]
    fn every_gap_has_its_row_with_its_least_and_where() {
        let project = demo();
        let found = pinches(&project, &analyse(&project, &Options { poses: 2, swept: false }));
        let block = pinch_block(&found, Units::Millimetre);
        assert_eq!(block.rows.len(), found.len());
        // The panel comes down to its standoff: 62 mm, less than the 100 mm that spare a hand.
        let wall = block.rows.iter().find(|row| row.what == "Hand, panel and wall").expect("the wall");
        assert!(wall.value.starts_with("62.0 mm, coming down, 0 to "), "{}", wall.value);
        assert!(block.sources.iter().any(|source| source.contains("ISO 13854")));
        assert!(pinch_block(&[], Units::Millimetre).notes[0].contains("No gap"));
    }
}
