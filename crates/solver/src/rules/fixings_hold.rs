//! `fixings_hold`: every screw of the wall bar holds through the whole travel.

use super::{Rule, RuleFinding, percent};
use crate::analysis::Analysis;
use crate::project::Project;
use crate::screw_joint::Holding;
use crate::sideways::PUSH_N;
use crate::units::{number, show_length};

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    if let Some(beside) = sets_beside_the_panel(project) {
        return beside;
    }
    let unknown = |text: String| RuleFinding::unknown(Rule::FixingsHold).saying(text);
    if let Err(missing) = &analysis.forces {
        return unknown(missing.sentence());
    }
    let found = match &analysis.fixings {
        Ok(found) => found,
        Err(missing) => return unknown(missing.clone()),
    };
    let Some(worst) = found.worst else {
        return unknown("The loads of the hinges are not known: they need a drive whose strap pulls.".into());
    };
    let screw = worst.load;
    let holds = found.holding.along(screw.tension, screw.shear).unwrap_or(0.0);
    let required = project.safeties().fixings;
    let help = if worst.safety < required { " Take more or longer screws, or spread them further." } else { "" };
    let always = project.fixings.as_ref().is_none_or(|fixings| fixings.duration.is_none());
    let default = match found.holding {
        Holding::Wood { .. } if always => " Taken as always loaded, 0.9 (default).",
        _ => "",
    };
    let caution = found.holding.caution();
    // Once is what the words say anyhow.
    let times = if required > 1.0 { format!(", and {required} times the load is wanted") } else { String::new() };
    RuleFinding::with_margin(Rule::FixingsHold, worst.safety / required - 1.0, "")
        .at(worst.s, "wall bar's screw", &[crate::project::Point::new(0.0, screw.height)])
        .saying(format!(
            "The screw {} up pulls out with {} N and shears with {} N at {} of the travel, {PUSH_N:.0} N sideways on the panel included; {} N are allowed that way{times}.{help}{default} {caution}",
            show_length(screw.height, project.units()),
            number(screw.tension, 0),
            number(screw.shear, 0),
            percent(worst.s),
            number(holds, 0)
        ))
}

/// Panel bars that are not wholly behind the panel have nothing to be screwed to.
fn sets_beside_the_panel(project: &Project) -> Option<RuleFinding> {
    let (spacing, units) = (project.set_spacing(), project.units());
    let free = project.panel.width - project.bars.panel_bar.depth - spacing;
    (free < 0.0).then(|| {
        RuleFinding::with_margin(Rule::FixingsHold, 0.5 * free, "mm").at(0.0, "panel bars", &[]).saying(format!(
            "Each panel bar stands {} beyond the panel, which is {} wide; the sets stand {} apart. Move them together.",
            show_length(-0.5 * free, units),
            show_length(project.panel.width, units),
            show_length(spacing, units)
        ))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixing_loads::hinge_loads;
    use crate::materials::{DEFAULT, Material};
    use crate::{Anchor, FixedInto, Options, ScrewWanted, ScrewedBar, analyse};

    fn complete() -> Project {
        crate::samples::complete_board()
    }

    fn found(change: impl Fn(&mut crate::Fixings)) -> RuleFinding {
        let mut project = complete();
        change(project.fixings.as_mut().expect("fixings"));
        assert_eq!(project.validate(), Ok(()));
        let analysis = analyse(&project, &Options { poses: 61, swept: false });
        analysis.rules.into_iter().find(|found| found.rule == Rule::FixingsHold).expect("the rule")
    }

    #[test]
    fn a_push_sideways_takes_some_of_the_margin() {
        let pushed = found(|_| ());
        assert!(pushed.text.contains("50 N sideways"), "{}", pushed.text);
        // Without it, from the same loads by hand: the worst screw pulls less.
        let project = complete();
        let analysis = analyse(&project, &Options { poses: 61, swept: false });
        let fixings = project.fixings.as_ref().expect("fixings");
        let bar = &analysis.lift.wall_bar;
        let group = ScrewedBar::new(fixings, bar.least.y, bar.most.y, 19.05).expect("screws");
        let holding = Holding::of(fixings, Material::named(DEFAULT).expect("listed"), 60.0).expect("a joint");
        let forces = analysis.forces.as_ref().expect("known");
        let unpushed = forces
            .poses
            .iter()
            .flatten()
            .filter_map(|found| found.on_wall)
            .flat_map(|on_wall| group.share(&hinge_loads(&project, &analysis, on_wall)).expect("it shares").1);
        let least =
            unpushed.filter_map(|screw| holding.safety(screw.tension, screw.shear)).fold(f64::INFINITY, f64::min);
        let margin = pushed.margin.expect("it is known");
        assert!(margin > 0.0 && margin + 1.0 < 0.95 * least, "{margin} against {least}");
    }

    #[test]
    fn sets_wider_than_the_panel_have_nothing_to_hold() {
        let mut project = complete();
        project.bars.set_spacing = Some(project.panel.width);
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let found = check(&project, &analysis);
        let beyond = found.margin.expect("a margin") + 0.5 * project.bars.panel_bar.depth;
        assert!(found.holds == Some(false) && beyond.abs() < 1e-9, "{beyond}");
        project.bars.set_spacing = Some(project.panel.width - project.bars.panel_bar.depth - 1.0);
        assert_eq!(sets_beside_the_panel(&project), None);
    }

    #[test]
    fn stud_or_solid_wall_wood_or_lag_screw() {
        let as_is = found(|_| ());
        let said = found(|fixings| {
            fixings.into = Some(FixedInto::Stud);
            fixings.screw = Some(ScrewWanted::Wood);
        });
        assert_eq!((as_is.margin, &as_is.text), (said.margin, &said.text), "that is what nothing said means");
        let wood = found(|fixings| fixings.diameter = Some(6.35));
        let lag = found(|fixings| {
            fixings.diameter = Some(6.35);
            fixings.screw = Some(ScrewWanted::Lag);
        });
        assert!(lag.margin > wood.margin, "{:?} against {:?}", lag.margin, wood.margin);
        let thin = found(|fixings| fixings.screw = Some(ScrewWanted::Lag));
        assert_eq!(thin.holds, None, "no lag screw is 4.83 mm: {}", thin.text);
        let solid = found(|fixings| fixings.into = Some(FixedInto::Solid));
        assert_eq!(solid.holds, None);
        assert!(solid.text.contains("fixings.anchor"), "{}", solid.text);
        let anchored = |pull: f64| {
            found(move |fixings| {
                fixings.into = Some(FixedInto::Solid);
                fixings.wood_gravity = None;
                fixings.anchor = Some(Anchor { pull, sideways: pull, more: crate::More::default() });
            })
        };
        let (weak, strong) = (anchored(400.0), anchored(800.0));
        let (weak_safety, strong_safety) = (weak.margin.expect("known") + 1.0, strong.margin.expect("known") + 1.0);
        assert!((strong_safety / weak_safety - 2.0).abs() < 1e-9);
        assert!(strong.text.contains("maker"), "{}", strong.text);
    }
}
