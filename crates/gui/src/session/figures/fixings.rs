//! What comes of the screws in the wall.

use overarm_solver::screw_joint::CAUTION;
use overarm_solver::screws::{Kind, STUD_SPACINGS, WOODS};
use overarm_solver::units::number;
use overarm_solver::{Analysis, Holding, Project, Units, WoodJoint, show_length};

use super::{Block, at};

const ONE: &[&str] = &[
    "Withdrawal = value per mm of thread · thread in the wood · factors (NDS 2018, chapter 12, wood and lag screws).",
    "Sideways: the least of the six yield modes of NDS 2018, chapter 12.3, over its reduction.",
    "These are design values, about a fifth of what breaks it on average; a load that always hangs: factor 0.9.",
];
const GROUP: &[&str] = &[
    "A stiff bar on screws that only pull, pressing at one end: prying of the stand-off, at every pose.",
    "Along one load: W·Z ÷ (W·cos² + Z·sin²) of its angle (NDS 2018, equation 12.4-1).",
    "Safety 1 on the design value is enough by the book.",
];

pub(super) fn blocks(project: &Project, analysis: &Analysis) -> Vec<Block> {
    let mut one = Block::new("One screw", ONE);
    let found = match &analysis.fixings {
        Ok(found) => found,
        Err(missing) => {
            one.note(missing.clone());
            one.note(CAUTION);
            return vec![one];
        }
    };
    let units = project.units();
    let (Holding::Wood { pull, sideways } | Holding::Anchor { pull, sideways }) = found.holding;
    match &found.joint {
        Some(joint) => in_wood(&mut one, joint, units),
        None => one.row("Anchor in a solid wall", "by its maker".to_owned()),
    }
    one.row("May be pulled with", format!("{} N", number(pull, 0)));
    one.row("May be pushed sideways with", format!("{} N", number(sideways, 0)));

    let mut group = Block::new("Screws of one wall bar", GROUP);
    let heights: Vec<String> = found.group.screws.iter().map(|height| show_length(*height, units)).collect();
    group.row("Above the floor", heights.join(", "));
    match (found.worst, found.most_pull) {
        (Some(worst), Some((most, s))) => {
            group.row("Most pull-out of one", format!("{} N {}", number(most, 0), at(s)));
            group.row("Worst off", format!("{} up, {}", show_length(worst.load.height, units), at(worst.s)));
            group.row("It pulls out with", format!("{} N", number(worst.load.tension, 0)));
            group.row("and shears with", format!("{} N", number(worst.load.shear, 0)));
            let allowed = found.holding.along(worst.load.tension, worst.load.shear).unwrap_or(0.0);
            group.row("Allowed that way", format!("{} N", number(allowed, 0)));
            group.judged("Safety on the design value", number(worst.safety, 2), worst.safety >= 1.0);
        }
        _ => group.note("What the hinges do to the wall bars is not known: that needs a strap that pulls."),
    }
    let studs: Vec<String> = STUD_SPACINGS.iter().map(|spacing| show_length(*spacing, units)).collect();
    group.row("Sets apart", show_length(project.set_spacing(), units));
    group.row("Studs are usually apart", studs.join(" or "));
    group.note(found.holding.caution());
    vec![one, group]
}

/// What is known of a screw and the wood that takes it.
fn in_wood(one: &mut Block, joint: &WoodJoint, units: Units) {
    let screw = &joint.screw;
    let kind = match screw.kind {
        Kind::WoodScrew => "Wood screw",
        Kind::LagScrew => "Lag screw",
        Kind::Nail => "Nail",
    };
    one.row(kind, format!("{} mm", number(screw.diameter, 2)));
    let near = WOODS.iter().min_by(|a, b| (a.1 - joint.gravity).abs().total_cmp(&(b.1 - joint.gravity).abs()));
    if let Some((name, gravity)) = near.filter(|(_, gravity)| (gravity - joint.gravity).abs() < 0.005) {
        one.row("Wood of this gravity", format!("{name}, {}", number(*gravity, 2)));
    }
    one.row("Least reach into the wood", show_length(screw.least_penetration(), units));
    let lead = screw.lead_hole(joint.gravity);
    one.row("Lead hole", format!("{} mm{}", number(lead.diameter, 1), if lead.required { ", required" } else { "" }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;
    use overarm_solver::{Options, Rule, analyse};

    #[test]
    fn the_page_says_what_the_rule_says() {
        let project = demo();
        let analysis = analyse(&project, &Options { poses: 61, swept: false });
        let found = blocks(&project, &analysis);
        let rows: Vec<_> = found.iter().flat_map(|block| &block.rows).collect();
        let row = |what: &str| rows.iter().find(|row| row.what == what).expect("a row");
        let rule = analysis.rules.iter().find(|finding| finding.rule == Rule::FixingsHold).expect("a rule");
        let safety: f64 = row("Safety on the design value").value.parse().expect("a number");
        assert!((safety - 1.0 - rule.margin.expect("a margin")).abs() < 0.006);
        assert_eq!(row("Safety on the design value").holds, rule.holds);
        assert!(rule.text.contains(&row("It pulls out with").value), "{}", rule.text);
    }

    #[test]
    fn missing_sizes_and_screws_off_the_bar_are_said() {
        let mut project = demo();
        let said = |project: &Project| {
            let found = blocks(project, &analyse(project, &Options { poses: 2, swept: false }));
            assert!(found.iter().all(|block| block.rows.is_empty()), "nothing is guessed");
            found[0].notes[0].clone()
        };
        if let Some(fixings) = &mut project.fixings {
            fixings.wood_gravity = None;
        }
        assert!(said(&project).contains("specific gravity of the wood"), "{}", said(&project));
        if let Some(fixings) = &mut project.fixings {
            fixings.spacing = Some(400.0);
        }
        assert!(said(&project).contains("beyond the wall bar"), "{}", said(&project));
        project.fixings = None;
        assert!(said(&project).contains("No screws are given"), "{}", said(&project));
    }
}
