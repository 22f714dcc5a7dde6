//! `winds`: the strap is taken in all the way, its straight run touches nothing, and the drum at
//! its fullest stays clear.

use super::{Rule, RuleFinding, percent};
use crate::analysis::Analysis;
use crate::project::{PartName, Project};
use crate::strap::Strap;
use crate::strap_clearance::StrapClearance;
use crate::units::{number, show_length, shows_as_nothing};

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let (Some(drive), Some(strap)) = (&project.drive, &analysis.strap) else {
        return RuleFinding::unknown(Rule::Winds).saying(
            "No drive is given: add drive with its anchor, drum_centre, drum_radius, strap_thickness and strap_side.",
        );
    };
    if drive.drum_radius <= 0.0 {
        return RuleFinding::failing(Rule::Winds, "mm").at(0.0, "drum", &[drive.drum_centre]).saying(
            "The drum has no radius: a strap cannot be wound on nothing. Give its core's (drive.drum_radius).",
        );
    }
    if !strap.runs_all_the_way() {
        return meets_drum(project, analysis, strap);
    }
    if let Some(stretch) = strap.pays_out().first() {
        return pays_out(project, analysis, strap, *stretch);
    }
    let assumed = if drive.strap_width.is_some() {
        String::new()
    } else {
        format!(
            " The strap's width is not given (drive.strap_width): it is taken as a line at z {}.",
            show_length(drive.z(), project.units())
        )
    };
    let Some(worst) = analysis.strap_clearances.first() else {
        return RuleFinding { holds: Some(true), unit: "mm", ..RuleFinding::unknown(Rule::Winds) }
            .saying(format!("{} Nothing is there that it could touch.{assumed}", taken_in(project, analysis, strap)));
    };
    let [one, other] = [worst.parts[0].words().to_owned(), other(worst)];
    RuleFinding::with_margin(Rule::Winds, worst.mm, "mm")
        .near(worst.mm < project.bars.running_clearance())
        .at(worst.s, format!("{one} and {other}"), &worst.points)
        .saying(format!("{}{assumed}", nearest(project, analysis, strap, worst)))
}

/// The other part, or what of the room it is.
fn other(worst: &StrapClearance) -> String {
    worst.feature.clone().unwrap_or_else(|| worst.parts[1].words().to_owned())
}

fn taken_in(project: &Project, analysis: &Analysis, strap: &Strap) -> String {
    let units = project.units();
    let parked = strap.at(&analysis.pose_at(1.0));
    let turns = parked.and_then(|parked| parked.turns);
    let turns = turns.map_or_else(String::new, |turns| format!(" on {} turns", number(turns, 2)));
    let length = show_length(parked.map_or(0.0, |parked| parked.taken_in), units);
    format!("The drum takes in {length}{turns}; full, its radius is {}.", show_length(strap.fullest_radius(), units))
}

fn nearest(project: &Project, analysis: &Analysis, strap: &Strap, worst: &StrapClearance) -> String {
    let units = project.units();
    let subject = match worst.parts[0] {
        PartName::Drum if worst.mm < 0.0 => {
            format!("The drum at its fullest (radius {})", show_length(strap.fullest_radius(), units))
        }
        PartName::Drum => "The drum at its fullest".to_owned(),
        _ => "The strap's straight run".to_owned(),
    };
    let moves = !matches!(worst.parts, [PartName::Drum, PartName::Room | PartName::WallBar]);
    let at = if moves { format!(" at {} of the travel", percent(worst.s)) } else { String::new() };
    let other = other(worst);
    let other = if other.starts_with("solid ") { other } else { format!("the {other}") };
    if shows_as_nothing(worst.mm, units) {
        let help = if worst.mm < 0.0 { help(worst) } else { String::new() };
        return format!("{subject} touches {other}{at}.{help}");
    }
    if worst.mm < 0.0 {
        return format!("{subject} runs {} into {other}{at}.{}", show_length(-worst.mm, units), help(worst));
    }
    let passes = format!("{subject} passes {} from {other}{at}", show_length(worst.mm, units));
    format!("{} Nearest: {}{}.", taken_in(project, analysis, strap), passes[..1].to_lowercase(), &passes[1..])
}

fn help(worst: &StrapClearance) -> String {
    let what = match worst.parts {
        [PartName::Drum, PartName::Room] => {
            "Move the drum away from it, or take a thinner strap, fewer dead wraps or a smaller drum."
        }
        [PartName::Drum, PartName::Panel] => "Move the drum out of the panel's way.",
        [PartName::Drum, _] => "Move the drum out of its way, or along the wall (drive.z).",
        [_, PartName::Room] => "Move the drum or the strap's end on the panel, so that the run goes past it.",
        [_, PartName::Panel] => {
            "Move the strap's end to the panel's edge or off its back, or the drum to the side on which the run leaves."
        }
        _ => "Move the strap along the wall, away from the bars (drive.z).",
    };
    format!(" {what}")
}

fn pays_out(project: &Project, analysis: &Analysis, strap: &Strap, stretch: [f64; 2]) -> RuleFinding {
    let s = stretch.map(|walked| analysis.travel.s_at(&analysis.lift, walked));
    let pose = analysis.pose_at(s[0]);
    let end = strap.at(&pose).map_or_else(|| pose.origin(), |run| run.anchor);
    let name = |s: f64| match s {
        s if s <= 0.0 => "hung".to_owned(),
        s if s >= 1.0 => "parked".to_owned(),
        s => format!("{} % of the travel", number(100.0 * s, 1)),
    };
    let [from, to] = s.map(name);
    let paid_out = show_length(strap.paid_out(stretch), project.units());
    RuleFinding::failing(Rule::Winds, "mm").at(s[0], "strap's end on the panel", &[end, strap.drum.centre]).saying(
        format!(
            "From {from} to {to} the strap's end moves away from the drum: {paid_out} would have to be \
             paid out again, and a strap cannot push. Move the drum on in the direction in which the strap's end goes, \
             or that end to where it keeps coming nearer."
        ),
    )
}

fn meets_drum(project: &Project, analysis: &Analysis, strap: &Strap) -> RuleFinding {
    let s = analysis.travel.s_at(&analysis.lift, strap.reach());
    let finding = RuleFinding::failing(Rule::Winds, "mm").at(s, "drum", &[strap.drum.centre]);
    let there = analysis.lift.pose(analysis.travel.phase(strap.reach()), s);
    let radius = strap.at(&there).map_or(strap.drum.outer_radius(0.0), |run| run.outer_radius);
    let radius = show_length(radius, project.units());
    let when = if strap.reach() > 0.0 { format!("At {} of the travel", percent(s)) } else { "Hung".to_owned() };
    let meets = if strap.reach() > 0.0 { "meets" } else { "lies in" };
    finding.saying(format!(
        "{when}, the strap's end on the panel {meets} the drum, wound to a radius of {radius} there: no straight run is left. \
         Move the drum further away, or the strap's end."
    ))
}

#[cfg(test)]
mod tests {
    use crate::project::{Point, Project, Solid};
    use crate::{Drive, Options, Rule, RuleFinding, analyse};

    fn winds(change: impl Fn(&mut Project, &mut Drive)) -> RuleFinding {
        let mut project = crate::samples::demo_board();
        let mut drive = project.drive.take().expect("a drive");
        change(&mut project, &mut drive);
        project.drive = Some(drive);
        found(&project)
    }

    fn found(project: &Project) -> RuleFinding {
        let analysis = analyse(project, &Options { poses: 2, swept: false });
        analysis.rules.into_iter().find(|found| found.rule == Rule::Winds).expect("the rule")
    }

    #[test]
    fn not_checked_without_a_drive() {
        let mut project = crate::samples::demo_board();
        project.drive = None;
        let found = found(&project);
        assert_eq!((found.holds, found.margin), (None, None));
        assert!(found.text.contains("add drive"), "{}", found.text);
    }

    #[test]
    fn a_drum_in_the_wall_is_as_deep_as_it_is() {
        // Full it is bigger than 22.4 mm, and its middle is 10 mm off the wall.
        let found = winds(|_, drive| drive.drum_centre.x = 10.0);
        assert_eq!(found.holds, Some(false));
        let depth = -found.margin.expect("a margin");
        assert!(depth > 12.4 && depth < 25.0, "{depth}");
        assert!(
            found.text.starts_with("The drum at its fullest") && found.text.contains("into the wall"),
            "{}",
            found.text
        );
    }

    #[test]
    fn a_solid_in_the_way_of_the_run() {
        let found = winds(|project, _| {
            let outline = [[30.0, 2000.0], [60.0, 2000.0], [60.0, 2010.0], [30.0, 2010.0]].map(Point::from).to_vec();
            project.room.solids.push(Solid { name: Some("pipe".into()), outline, more: Default::default() });
        });
        assert_eq!(found.holds, Some(false));
        assert!(found.text.contains("into the pipe"), "{}", found.text);
        // Hung already: the run goes right through it.
        assert!(found.s.expect("a pose") < 0.5 && (found.margin.expect("a margin") + 5.0).abs() < 1.0, "{found:?}");
    }

    #[test]
    fn where_the_strap_would_be_paid_out() {
        let found = winds(|_, drive| drive.drum_centre = Point::new(900.0, 1500.0));
        assert_eq!((found.holds, found.margin), (Some(false), None));
        let s = found.s.expect("a pose");
        assert!(s > 0.0 && s < 1.0 && found.text.contains("paid out"), "{}", found.text);
    }

    #[test]
    fn an_anchor_in_the_drum() {
        let found = winds(|_, drive| drive.drum_centre = Point::new(40.0, 1190.0));
        assert_eq!((found.holds, found.margin, found.s), (Some(false), None, Some(0.0)));
        assert!(found.text.starts_with("Hung, the strap's end on the panel lies in the drum"), "{}", found.text);
    }

    #[test]
    fn bars_count_where_they_share_the_walls_length() {
        // On the lower wall pivot: between the sets nothing is there, at their z both are.
        let at = |z: f64| {
            winds(|_, drive| {
                drive.drum_centre = Point::new(80.0, 2089.36);
                drive.z = Some(z);
            })
        };
        let between = at(0.0);
        assert!(between.place.as_deref().is_some_and(|place| !place.contains("bar") && !place.contains("arm")));
        // The sets' middles are 406.4 off, their bars 19.05 to either side, the strap 12.5.
        for z in [406.4, -406.4, 437.8, 375.0] {
            let found = at(z);
            assert_eq!(found.holds, Some(false), "{z}: {}", found.text);
            assert!(found.text.contains("bar") || found.text.contains("arm"), "{}", found.text);
        }
        for z in [438.0, -438.0, 374.8] {
            assert_eq!(at(z).margin, between.margin, "{z}");
        }
    }
}
