//! What the measured parts do, and what would help.

use overarm_solver::errors::as_built::{BuiltPair, BuiltSet};
use overarm_solver::errors::{Limit, PartErrors};
use overarm_solver::units::number;
use overarm_solver::{Project, show_fine};

use super::{Block, at};
use crate::session::action::Command;
use crate::session::measured::{not_measured, swap_that_does_not_fit, what_would_help};
use crate::session::remedy::Remedy;

const SOURCES: &[&str] = &[
    "What was measured takes the place of its tolerance; what was not is taken as drawn in this block, and within its tolerance where the rules judge.",
    "All sixteen ways of giving the four parts of a set to left and right are tried; a handed part stays on its side.",
    "Sizes to make anew, and shims, are those that leave the least: gaps over their limit and misfit over what runs free.",
];

pub(super) fn block(project: &Project, errors: &PartErrors) -> Block {
    let mut block = Block::new("As measured", SOURCES);
    block.commands.push(Command::Measured);
    let Some(built) = &errors.as_built else {
        block.note(
            "Nothing was measured yet. Fill in the last column of the job folder's inspection.csv, and open it here or drop it on the window.",
        );
        return block;
    };
    block.remedies.push(Remedy::ForgetMeasured);
    let show = |mm: f64| show_fine(mm, project.units());
    for measured in &built.sets {
        set(&mut block, measured, project, &show);
    }
    match &built.pair {
        Some(found) => pair(&mut block, found, &show),
        None => block.note("Whether the pair binds is not known: the block on the pair says what is missing."),
    }
    let help = what_would_help(built, &show);
    if help.is_empty() {
        block.note("Nothing single would make it better.");
    }
    for group in help {
        block.note(format!("{}:", group.heading));
        group.sentences.into_iter().for_each(|sentence| block.note(sentence));
    }
    if let Some(sentence) = swap_that_does_not_fit(built, &show) {
        block.note(sentence);
    }
    block
}

fn set(block: &mut Block, set: &BuiltSet, project: &Project, show: &dyn Fn(f64) -> String) {
    let limit = project.hung_gap_limit();
    let name = if set.hand == 'L' { "Left set" } else { "Right set" };
    match set.hung_gap {
        Some(gap) => {
            let end = if gap > 0.0 { "upper" } else { "lower" };
            block.judged(format!("{name}, gap at its {end} rest"), show(gap.abs()), gap.abs() <= limit);
        }
        None => block.judged(format!("{name}, hung"), "does not get to the wall", false),
    }
    if let Some(short) = set.short_of_hung {
        block.judged(format!("{name}, the loop stays short by"), show(short), false);
    }
    if let Some(height) = set.parked_height {
        let way = if height < 0.0 { "lower" } else { "higher" };
        block.row(format!("{name}, parked"), format!("{} {way}", show(height.abs())));
    }
    if let Some(shortfall) = set.parked_shortfall {
        let way = if shortfall < 0.0 { "further" } else { "short" };
        let words = format!("{} {way}, at the end of the lower arm", show(shortfall.abs()));
        block.row(format!("{name}, at its stop"), words);
    }
    if let Some(short) = set.short_of_parked {
        block.judged(format!("{name}, a dead point before its stop, short by"), show(short), false);
    }
    if let Some(sentence) = not_measured(set, project) {
        block.note(format!("{name}: {sentence}"));
    }
}

fn pair(block: &mut Block, pair: &BuiltPair, show: &dyn Fn(f64) -> String) {
    let verdict = if pair.runs_free() { "runs free" } else { "binds" };
    block.judged("The pair, plumb and level", verdict, pair.runs_free());
    block.row("Misfit", format!("{} {}", show(pair.misfit), at(pair.s)));
    if let Some(room) = &pair.no_room {
        block.note(format!("No pair runs free, however exact its parts: {}", room.words()));
    }
    let allowed = pair.allowed.filter(|_| pair.no_room.is_none());
    let allowed = allowed.map_or_else(String::new, |(force, limit)| {
        let what = match limit {
            Limit::Bearing => "bearing",
            Limit::Friction => "friction",
        };
        format!(" ({} allowed, {what})", number(force, 0))
    });
    block.row("Force in the arms there", format!("{} N{allowed}", number(pair.force, 0)));
    block.row("Twist at a corner", format!("{} {}", show(pair.twist), at(pair.twist_s)));
    block.row("Yaw, most", format!("{}°", number(pair.yaw_deg, 3)));
}
