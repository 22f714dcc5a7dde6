//! What can be done about a rule, as one step that can be taken back.
//!
//! Only what is known to help: the stop's own travel, a land where the arms would overlap, places of
//! anchor and drum that were searched for.

use overarm_solver::errors::Allocation;
use overarm_solver::errors::allocation::LongerLever;
use overarm_solver::{Analysis, DrivePlaces, Project, Rule, TravelWanted, Units, show_fine, show_length};

/// How far anchor and drum may be moved in the search, mm: within a hand's breadth.
const REACH_MM: f64 = 60.0;
/// Degrees of travel are kept to this, so that the file shows what was meant.
const DEGREES: f64 = 1e4;

/// In the words of who does it.
const LAST: &str = "Tighten the second wall bar";

fn allocation(analysis: &Analysis) -> Option<&Allocation> {
    analysis.errors.as_ref()?.allocation.as_ref()
}

fn longer_lever(analysis: &Analysis) -> Option<&LongerLever> {
    allocation(analysis)?.longer_lever.as_ref()
}

/// Whether parts are judged by what their tolerances allow.
fn is_drawn(project: &Project) -> bool {
    project.tolerances.as_ref().is_some_and(|given| given.as_built.is_none())
}

/// Out of plumb and level count as nothing; `None` where they do so already.
fn second_bar_last(project: &mut Project) -> Option<()> {
    let given = project.tolerances.as_mut()?;
    let before = [given.parallel, given.level].map(Option::unwrap_or_default);
    (given.parallel, given.level) = (Some(0.0), Some(0.0));
    before.into_iter().any(|value| value > 0.0).then_some(())
}

/// Something that can be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Remedy {
    /// Cuts the land that the stop offers, with the travel at which it bears.
    CutLand,
    /// Asks for the travel to where the fold stops.
    TravelToStop,
    /// Asks for as much travel as the linkage can turn.
    TravelAsFarAsItGoes,
    /// Moves anchor and drum to where the strap pulls least.
    MoveDrive,
    /// Moves a pivot in depth, so that coarser parts hang flat.
    LongerLever,
    /// Asks for parts as exact as the hung gap needs them.
    EqualForGap,
    /// Asks for parts as exact as the pair needs them.
    EqualForPair,
    /// Counts on the second wall bar being tightened last.
    SecondBarLast,
    /// The same, with parts as exact as the pair needs them then.
    SecondBarLastAndEqual,
    /// Goes by the tolerances again instead of what was measured.
    ForgetMeasured,
}

impl Remedy {
    /// What could be done about a rule as it stands.
    #[must_use]
    pub fn all(rule: Rule, project: &Project, analysis: &Analysis) -> Vec<Self> {
        let finding = analysis.rules.iter().find(|finding| finding.rule == rule);
        let fails = finding.is_some_and(|finding| finding.holds == Some(false));
        match rule {
            Rule::StopsOnFold => {
                let mut found = Vec::new();
                let stop = &analysis.stop;
                let goes_on = stop.kind.is_some_and(|kind| {
                    use overarm_solver::StopKind as Kind;
                    matches!(kind, Kind::NoseOnFlank | Kind::Pin | Kind::Panel)
                });
                if fails && goes_on && analysis.travel.wanted.is_some() {
                    found.push(Self::TravelToStop);
                }
                if stop.land_offer.is_some() && stop.land.is_none() {
                    found.push(Self::CutLand);
                }
                found
            }
            Rule::Assembles if fails && analysis.travel.missing > 0.0 && analysis.travel.turn != 0.0 => {
                vec![Self::TravelAsFarAsItGoes]
            }
            // A dimension that is measured is as it is: tighter ones make it no better.
            Rule::HangsFlat if fails && is_drawn(project) => vec![Self::EqualForGap, Self::LongerLever],
            Rule::PairRunsFree if is_drawn(project) => {
                let last = allocation(analysis).and_then(|found| found.failing_second_bar_last);
                let enough = last.is_some_and(|last| last.share <= project.allowed_share());
                vec![if enough { Self::SecondBarLast } else { Self::SecondBarLastAndEqual }, Self::EqualForPair]
            }
            Rule::Starts if fails && project.drive.is_some() && analysis.forces.is_ok() => vec![Self::MoveDrive],
            _ => Vec::new(),
        }
    }

    /// What it does, with its figures; in the history.
    #[must_use]
    pub fn label(self, analysis: &Analysis, units: Units) -> String {
        let degrees = |turn: f64| format!("{:.2}°", turn.to_degrees());
        match self {
            Self::CutLand => match &analysis.stop.land_offer {
                Some(offer) => {
                    let land = &offer.land;
                    let arm = land.cut_arm.part().words();
                    let length = |mm| show_length(mm, units);
                    format!("Cut a land {} long and {} deep in the {arm}", length(land.length), length(land.depth))
                }
                None => "Cut a land".to_owned(),
            },
            Self::TravelToStop => match &analysis.stop.contact {
                Some(contact) => format!("Travel {} to the stop", degrees(contact.turn)),
                None => "Travel to the stop".to_owned(),
            },
            Self::TravelAsFarAsItGoes => format!("Travel {}", degrees(analysis.travel.turn)),
            Self::MoveDrive => "Move anchor and drum".to_owned(),
            Self::LongerLever => match longer_lever(analysis) {
                Some(found) => format!("Move {}, for a longer lever", found.words(&|mm| show_length(mm, units))),
                None => "Make the lever longer".to_owned(),
            },
            Self::EqualForGap | Self::EqualForPair => match self.tolerance(analysis) {
                Some(tolerance) => format!("Make every dimension within ±{}", show_fine(tolerance, units)),
                None => "Make every dimension closer".to_owned(),
            },
            Self::ForgetMeasured => "Forget what was measured, and go by the tolerances".to_owned(),
            Self::SecondBarLast => format!("{LAST} last, after the lift has been up and down"),
            Self::SecondBarLastAndEqual => match self.tolerance(analysis) {
                Some(tolerance) => format!("{LAST} last, every dimension within ±{}", show_fine(tolerance, units)),
                None => format!("{LAST} last, every dimension closer"),
            },
        }
    }

    /// The equal tolerance that it asks for, mm; `None` where there is none, or none that can be measured.
    fn tolerance(self, analysis: &Analysis) -> Option<f64> {
        let found = allocation(analysis)?;
        let widest = match self {
            Self::EqualForGap => found.widest_for_gap,
            Self::EqualForPair => found.widest_for_pair,
            Self::SecondBarLastAndEqual => found.widest_second_bar_last,
            _ => None,
        };
        // A little closer, for it was found with fewer draws than it is judged by; to the micrometre.
        widest.map(|widest| (0.97e3 * widest).floor() / 1e3).filter(|tolerance| *tolerance > 0.0)
    }

    /// Rules that hold now and would fail with it, where that is known.
    #[must_use]
    pub fn then_fails(self, analysis: &Analysis) -> &[Rule] {
        match self {
            Self::LongerLever => longer_lever(analysis).map_or(&[], |found| &found.then_fails),
            _ => &[],
        }
    }

    /// On a button beside the label.
    #[must_use]
    pub fn button(self) -> &'static str {
        match self {
            Self::CutLand => "Cut a land",
            Self::ForgetMeasured => "Forget",
            _ => "Try",
        }
    }

    /// The project with it done; `None` where it does not apply any more.
    #[must_use]
    pub fn done(self, project: &Project, analysis: &Analysis) -> Option<Project> {
        let mut changed = project.clone();
        let travel = |turn: f64| TravelWanted::Degrees((turn.to_degrees() * DEGREES).round() / DEGREES);
        match self {
            Self::CutLand => {
                let offer = analysis.stop.land_offer.as_ref()?;
                changed.bars.stop_land = Some(true);
                // To its stop it finds the land by itself.
                if analysis.travel.wanted.is_some() {
                    changed.linkage.travel_deg = travel(offer.turn);
                }
            }
            Self::TravelToStop => changed.linkage.travel_deg = short_of(analysis.stop.contact.as_ref()?.turn),
            Self::TravelAsFarAsItGoes => changed.linkage.travel_deg = short_of(analysis.travel.turn),
            Self::LongerLever => {
                changed = longer_lever(analysis)?.put(project);
            }
            Self::EqualForGap | Self::EqualForPair => {
                let tolerance = self.tolerance(analysis)?;
                let given = changed.tolerances.as_mut()?;
                (given.length, given.offset) = (Some(tolerance), Some(tolerance));
            }
            Self::ForgetMeasured => drop(changed.tolerances.as_mut()?.as_built.take()?),
            Self::SecondBarLast => second_bar_last(&mut changed)?,
            Self::SecondBarLastAndEqual => {
                let tolerance = self.tolerance(analysis)?;
                second_bar_last(&mut changed)?;
                let given = changed.tolerances.as_mut()?;
                (given.length, given.offset) = (Some(tolerance), Some(tolerance));
            }
            Self::MoveDrive => {
                let loads = &analysis.forces.as_ref().ok()?.loads;
                let places = DrivePlaces::new(project, &analysis.lift, &analysis.travel, loads)?;
                let best = places.best(REACH_MM)?;
                let drive = changed.drive.as_mut()?;
                // To a tenth, as it would be measured.
                let tenth = |value: f64| (10.0 * value).round() / 10.0;
                drive.anchor = best.anchor.map(tenth);
                drive.drum_centre = best.drum.map(tenth);
            }
        }
        Some(changed)
    }
}

/// A turn in whole ten-thousandths of a degree, never more: a contact lies at parked or just beyond.
fn short_of(turn: f64) -> TravelWanted {
    TravelWanted::Degrees((turn.to_degrees() * DEGREES).trunc() / DEGREES)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::{Action, Command, Edit, Session, Setting, demo};
    use overarm_solver::{Options, analyse};
    use std::sync::Arc;

    fn looked_at(project: &Project) -> Analysis {
        analyse(project, &Options { poses: 2, swept: false })
    }

    fn holds(analysis: &Analysis, rule: Rule) -> Option<bool> {
        analysis.rules.iter().find(|finding| finding.rule == rule).and_then(|finding| finding.holds)
    }

    #[test]
    fn what_is_offered_helps() {
        for (rule, remedy, spoil) in [
            (Rule::StopsOnFold, Remedy::TravelToStop, 100.0),
            (Rule::StopsOnFold, Remedy::TravelToStop, 117.5),
            (Rule::StopsOnFold, Remedy::CutLand, 116.4),
            (Rule::Assembles, Remedy::TravelAsFarAsItGoes, 150.0),
        ] {
            let mut project = demo();
            project.linkage.travel_deg = TravelWanted::Degrees(spoil);
            let analysis = looked_at(&project);
            assert_eq!(holds(&analysis, rule), Some(false), "{remedy:?}");
            assert!(Remedy::all(rule, &project, &analysis).contains(&remedy), "{remedy:?} at {spoil}");
            let done = looked_at(&remedy.done(&project, &analysis).expect("it applies"));
            assert_eq!(holds(&done, rule), Some(true), "{remedy:?} at {spoil}");
        }
    }

    #[test]
    fn a_drive_that_hardly_starts_is_moved_to_where_it_does() {
        let mut project = demo();
        let drive = project.drive.as_mut().expect("a drive");
        (drive.anchor, drive.drum_centre) =
            (overarm_solver::Point::new(0.0, 5.0), overarm_solver::Point::new(30.0, 2222.0));
        (drive.strap_limit, drive.kick) = (Some(450.0), None);
        let analysis = looked_at(&project);
        assert_eq!(holds(&analysis, Rule::Starts), Some(false));
        assert_eq!(Remedy::all(Rule::Starts, &project, &analysis), [Remedy::MoveDrive]);
        let done = looked_at(&Remedy::MoveDrive.done(&project, &analysis).expect("a place"));
        assert_eq!(holds(&done, Rule::Starts), Some(true));
    }

    #[test]
    fn one_step_that_can_be_taken_back() {
        let mut session = Session::new(Arc::new(|| {}));
        let before = session.project().clone();
        session.apply(Action::Edit(Edit::Set(Setting::Remedy(Remedy::CutLand))));
        assert_eq!(session.project().bars.stop_land, Some(true));
        assert!(session.history().undo_label().is_some_and(|label| label.starts_with("Cut a land")));
        session.apply(Action::Command(Command::Undo));
        assert_eq!(*session.project(), before);
    }
}
