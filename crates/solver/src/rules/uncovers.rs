//! `uncovers`: seen straight on, the wanted height range is free when parked.

use super::{Rule, RuleFinding};
use crate::analysis::Analysis;
use crate::project::{Project, Units};
use crate::uncovering::{Seen, Uncovering};
use crate::units::{show_length, shows_as_nothing};

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let Some(wanted) = &project.room.uncover else {
        return RuleFinding::unknown(Rule::Uncovers).saying(
            "No height range to uncover is given: add the bottom and top of what is behind the panel (room.uncover).",
        );
    };
    let units = project.units();
    let name = wanted.name.as_deref().unwrap_or("opening");
    if wanted.top < wanted.bottom {
        return RuleFinding::with_margin(Rule::Uncovers, wanted.top - wanted.bottom, "mm").saying(format!(
            "The top of the {name} ({}) lies under its bottom ({}): exchange them (room.uncover).",
            show_length(wanted.top, units),
            show_length(wanted.bottom, units)
        ));
    }
    let found = Uncovering::parked(wanted, analysis);
    let part = found.part.words();
    let margin = found.lowest.y - wanted.top;
    let free = show_length(found.free, units);
    let text = if margin >= 0.0 {
        format!(
            "Parked, the lowest point ({part}) is {} above the {name}: {free} of wall are free from its bottom.",
            show_length(margin, units)
        )
    } else if shows_as_nothing(margin, units) {
        format!("Parked, the {part} hangs just into the {name}. Raise the hung place, or let the lift travel further.")
    } else {
        format!(
            "Parked, the {part} hangs {} into the {name}: {free} of it stay free. Raise the hung place, or let the lift travel further.",
            show_length(-margin, units)
        )
    };
    RuleFinding::with_margin(Rule::Uncovers, margin, "mm")
        .at(1.0, part, &[found.lowest])
        .saying(text + &from_the_eye(found.seen, units))
}

fn from_the_eye(seen: Option<Seen>, units: Units) -> String {
    match seen {
        None => String::new(),
        Some(Seen::UpTo(height)) => {
            format!(" From the eye the wall is seen up to a height of {}.", show_length(height, units))
        }
        Some(Seen::All) => " From the eye nothing of the lift hides the wall.".into(),
        Some(Seen::EyeInWall) => " The eye lies in the wall: give a place in front of it.".into(),
        Some(Seen::Nothing) => " From the eye the lift hides the wall from the floor on.".into(),
    }
}
