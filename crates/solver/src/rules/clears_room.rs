//! `clears_room`: panel, arms and panel bar keep the wanted distance to ceiling and solids.

use super::{Rule, RuleFinding, percent};
use crate::analysis::Analysis;
use crate::clearance::Clearance;
use crate::project::{PartName, Project};
use crate::units::{show_compared, show_length, shows_as_nothing};

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let found = [&analysis.clearances.panel, &analysis.clearances.bars];
    let Some(worst) = found.into_iter().flatten().min_by(|a, b| a.mm.total_cmp(&b.mm)) else {
        return RuleFinding::unknown(Rule::ClearsRoom)
            .saying("There is neither a ceiling nor a solid to clear: walk the room's outline along the ceiling.");
    };
    let wanted = project.room.wanted_clearance();
    let margin = worst.mm - wanted;
    RuleFinding::with_margin(Rule::ClearsRoom, margin, "mm")
        .near(margin < wanted)
        .at(worst.s, format!("{} and {}", worst.part.words(), worst.feature), &worst.points)
        .saying(text(project, worst, wanted))
}

fn text(project: &Project, worst: &Clearance, wanted: f64) -> String {
    let units = project.units();
    let default = if project.room.clearance.is_none() { " (default)" } else { "" };
    let feature = solid(project, worst).unwrap_or_else(|| format!("the {}", worst.feature));
    let place = format!("{feature} at {} of the travel", percent(worst.s));
    let part = capital(worst.part);
    let sentence = if shows_as_nothing(worst.mm, units) {
        format!("{part} touches {place}; {} wanted{default}.", show_length(wanted, units))
    } else if worst.mm < 0.0 {
        format!("{part} runs {} into {place}.", show_length(-worst.mm, units))
    } else {
        let told = show_compared([worst.mm, wanted], units);
        format!("{part} passes {} from {place}; {} wanted{default}.", told[0], told[1])
    };
    if worst.mm < wanted { format!("{sentence} {}", help(project, worst)) } else { sentence }
}

/// Where the obstacle is, seen from the part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Side {
    Above,
    Below,
    InFront,
    Behind,
}

impl Side {
    fn of(worst: &Clearance) -> Self {
        let [moving, fixed] = worst.points;
        // In an overlap the way out leads from the deepest point to the edge: away from the obstacle.
        let towards = if worst.mm < 0.0 { moving - fixed } else { fixed - moving };
        match (towards.y.abs() >= towards.x.abs(), towards.y >= 0.0, towards.x >= 0.0) {
            (true, true, _) => Self::Above,
            (true, false, _) => Self::Below,
            (false, _, true) => Self::InFront,
            (false, _, false) => Self::Behind,
        }
    }
}

/// What would help: moving pivots away from the obstacle and, where it is a solid, the solid itself.
fn help(project: &Project, worst: &Clearance) -> String {
    let pivots = match (worst.part, Side::of(worst)) {
        (PartName::UpperArm, Side::Above) => "lower the upper wall pivot or shorten the upper arm",
        (PartName::LowerArm, Side::Above) => "lower the lower wall pivot or shorten the lower arm",
        (PartName::UpperArm, Side::Below) => "raise the upper wall pivot",
        (PartName::LowerArm, Side::Below) => "raise the lower wall pivot",
        (PartName::UpperArm, Side::InFront) => "shorten the upper arm",
        (PartName::LowerArm, Side::InFront) => "shorten the lower arm",
        (_, Side::Above) => "lower the wall pivots, shorten the arms, or move the panel pivots up the panel",
        (_, Side::Below) => "raise the wall pivots, shorten the arms, or move the panel pivots down the panel",
        (_, Side::InFront) => "shorten the arms",
        (_, Side::Behind) => "move the pivots away from the wall",
    };
    if let Some(solid) = solid(project, worst) {
        return format!("Move {solid}, or {pivots}.");
    }
    let mut letters = pivots.chars();
    letters.next().map_or_else(String::new, |first| format!("{}{}.", first.to_uppercase(), letters.as_str()))
}

/// The solid in the way, if it is one: by its name, or by its number where it has none.
fn solid(project: &Project, worst: &Clearance) -> Option<String> {
    project.room.solids.iter().enumerate().find_map(|(index, solid)| match &solid.name {
        Some(name) => (*name == worst.feature).then(|| format!("the {name}")),
        None => Some(format!("solid {}", index + 1)).filter(|number| *number == worst.feature),
    })
}

fn capital(part: PartName) -> &'static str {
    match part {
        PartName::UpperArm => "The upper arm",
        PartName::LowerArm => "The lower arm",
        PartName::PanelBar => "The panel bar",
        _ => "The panel",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{Point, Solid};

    fn demo() -> Project {
        crate::samples::board()
    }

    fn told(mm: f64, feature: &str, part: PartName, moving: [f64; 2], fixed: [f64; 2]) -> Clearance {
        Clearance {
            mm,
            s: 0.5,
            feature: feature.into(),
            points: [Point::from(moving), Point::from(fixed)],
            part,
            within: 0.0,
        }
    }

    #[test]
    fn nothing_to_show_is_a_touch() {
        let project = demo();
        let worst = told(-0.002, "ceiling", PartName::Panel, [9.0, 9.0], [9.0, 9.0]);
        assert!(text(&project, &worst, 15.0).starts_with("The panel touches the ceiling at 50 %"));
        let worst = told(-0.5, "ceiling", PartName::Panel, [9.0, 9.5], [9.0, 9.0]);
        assert!(text(&project, &worst, 15.0).starts_with("The panel runs 0.50 mm into the ceiling"));
    }

    #[test]
    fn help_fits_what_is_in_the_way() {
        let mut project = demo();
        let outline = [[500.0, 900.0], [700.0, 900.0], [700.0, 1000.0]].map(Point::from).to_vec();
        project.room.solids.push(Solid {
            name: Some("shelf".into()),
            outline: outline.clone(),
            more: Default::default(),
        });
        project.room.solids.push(Solid { name: None, outline, more: Default::default() });
        let below = told(4.0, "shelf", PartName::Panel, [600.0, 1004.0], [600.0, 1000.0]);
        assert!(help(&project, &below).starts_with("Move the shelf, or raise the wall pivots"));
        let into = told(-4.0, "solid 2", PartName::LowerArm, [600.0, 996.0], [600.0, 1000.0]);
        assert_eq!(help(&project, &into), "Move solid 2, or raise the lower wall pivot.");
        let above = told(4.0, "ceiling", PartName::UpperArm, [600.0, 2000.0], [600.0, 2004.0]);
        assert_eq!(help(&project, &above), "Lower the upper wall pivot or shorten the upper arm.");
        let front = told(4.0, "ceiling", PartName::Panel, [600.0, 2000.0], [604.0, 2000.0]);
        assert_eq!(help(&project, &front), "Shorten the arms.");
    }
}
