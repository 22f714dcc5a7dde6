//! The inspection sheet with what was measured: taken into the project, and what it would advise.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use overarm_shopfiles::atomic_write::io_words;
use overarm_shopfiles::measured_csv::{self, Sheet};
use overarm_solver::errors::as_built::{BuiltSet, Outcome, Shim, Swap, is_worth_it};
use overarm_solver::errors::one_set::tolerances_of;
use overarm_solver::errors::{BuiltFigures, Dimension};
use overarm_solver::{Lift, PartName, Project};

use super::asking::Purpose;
use super::{Notice, Session};

/// A sheet that was read.
#[derive(Debug)]
pub struct Read {
    /// The file.
    pub path: PathBuf,
    /// The revision of the project that it was read for.
    pub revision: u64,
    /// What was measured, or the sentence that says where it cannot be meant.
    pub result: Result<Sheet, String>,
}

/// Whether a file that was dropped on the window is a sheet rather than a project.
pub(super) fn is_sheet(path: &Path) -> bool {
    path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("csv"))
}

/// Reads a sheet for a project, whole or not at all.
pub(super) fn read(path: &Path, project: &Project) -> Result<Sheet, String> {
    let sheet = path.display();
    let bytes = std::fs::read(path)
        .map_err(|error| format!("{sheet} cannot be read: {}. Nothing was changed.", io_words(&error)))?;
    measured_csv::read(&bytes, &Lift::new(project)).map_err(|error| format!("{sheet}: {error}. Nothing was changed."))
}

impl Session {
    /// Reads a sheet for the project as it stands.
    pub(super) fn open_measured(&mut self, path: PathBuf) {
        self.jobs.read_measured(path, self.document.revision(), Arc::clone(self.document.project()));
    }

    /// Takes what was measured into the project, as one step.
    pub(super) fn take_measured(&mut self, read: Read) {
        if read.revision != self.document.revision() {
            // The project has changed while it was read: read for it as it stands, once nothing is held.
            self.finish_drag();
            self.open_measured(read.path);
            return;
        }
        match read.result {
            Ok(Sheet { built, notes }) => {
                let before = Arc::clone(self.document.project());
                let mut changed = (*before).clone();
                changed.tolerances.get_or_insert_default().as_built = Some(built);
                self.history.seal();
                self.history.record("Take in what was measured".to_owned(), before);
                self.document.set(Arc::new(changed));
                let sheet = read.path.display();
                let notes: String = notes.iter().map(|note| format!(" {note}.")).collect();
                let text = format!(
                    "Took in what was measured, from {sheet}.{notes} The page Tolerances shows what these parts do"
                );
                self.done_asking(Purpose::Measured, Notice::Done(text));
            }
            Err(sentence) => self.report(Purpose::Measured, sentence),
        }
    }
}

/// What becomes of it, in a sentence.
fn words_of(outcome: &Outcome, show: &dyn Fn(f64) -> String) -> String {
    let gap = outcome
        .hung_gap
        .map_or_else(|| "no rest on the wall".to_owned(), |gap| format!("a gap of {} at most", show(gap)));
    let used = outcome
        .used
        .map_or_else(String::new, |used| format!(" and {:.0} % of the misfit that runs free", 100.0 * used));
    format!("{gap}{used}")
}

fn names(parts: &[PartName]) -> String {
    parts.iter().map(|part| part.words()).collect::<Vec<_>>().join(", ")
}

/// The best way of giving parts to the other side that is worth it, of those that can be built or not.
fn best_swap(figures: &BuiltFigures, possible: bool) -> Option<&Swap> {
    let best = figures.swaps.iter().find(|swap| swap.possible == possible && !swap.parts.is_empty())?;
    is_worth_it(figures.outcome.score, best.outcome.score).then_some(best)
}

/// Where only handed parts could change sides for the better: what they would do, and why they do not.
#[must_use]
pub fn swap_that_does_not_fit(figures: &BuiltFigures, show: &dyn Fn(f64) -> String) -> Option<String> {
    if best_swap(figures, true).is_some() {
        return None;
    }
    let best = best_swap(figures, false)?;
    let then = words_of(&best.outcome, show);
    let fits = if best.parts.len() == 1 { "does not fit there" } else { "not all of them fit there" };
    Some(format!("No swap: {} on the other side would leave {then}, but {fits}.", names(&best.parts)))
}

/// What was not measured of a set, and how it counts; `None` where all of it was.
#[must_use]
pub fn not_measured(set: &BuiltSet, project: &Project) -> Option<String> {
    if set.missing.is_empty() {
        return None;
    }
    let names: Vec<_> = set.missing.iter().map(|dimension| dimension.words()).collect();
    let tolerances = project.tolerances.as_ref().and_then(tolerances_of).unwrap_or_default();
    let mut of_all = Dimension::ALL.iter().zip(tolerances);
    let is_open = of_all.any(|(dimension, tolerance)| tolerance > 0.0 && set.missing.contains(dimension));
    let how = if is_open { "taken as drawn here, within its tolerance by the rules" } else { "taken as drawn" };
    Some(format!("not measured, {how}: {}.", names.join(", ")))
}

/// What would help measured parts, a sentence each, under what they have in common.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Help {
    /// What all of them do; no full stop.
    pub heading: String,
    /// One each.
    pub sentences: Vec<String>,
}

/// What would help measured parts: a swap, shims, parts to make anew; those that are enough by themselves
/// apart from those that are not.
#[must_use]
pub fn what_would_help(figures: &BuiltFigures, show: &dyn Fn(f64) -> String) -> Vec<Help> {
    let side = |hand: char| if hand == 'L' { "left" } else { "right" };
    let then = |outcome: &Outcome| words_of(outcome, show);
    let mut found: Vec<(f64, String)> = Vec::new();
    // A swap costs nothing: told where it is worth the spanner.
    if let Some(swap) = best_swap(figures, true) {
        let sentence = format!("Swap left and right: {}. Then {}.", names(&swap.parts), then(&swap.outcome));
        found.push((swap.outcome.score, sentence));
    }
    let shim = |shim: &Shim| {
        let behind = if shim.bar == PartName::WallBar { "wall and wall bar" } else { "panel bar and panel" };
        let end = if shim.upper { "upper" } else { "lower" };
        let (thickness, set) = (show(shim.thickness), side(shim.hand));
        format!("{thickness} thick between {behind} of the {set} set, at its {end} pivot")
    };
    // The second one is found with the first in place: together they are one way.
    match figures.shims.as_slice() {
        [] => {}
        [one, rest @ ..] => {
            let alone = format!("Shim {}. Then {}.", shim(one), then(&one.outcome));
            match rest.first() {
                Some(second) if one.outcome.score > 1.0 => {
                    let both = format!("Shim both {} and {}. Then {}.", shim(one), shim(second), then(&second.outcome));
                    found.push((second.outcome.score, both));
                }
                Some(second) => {
                    let better = format!(" A second one, {}, leaves {}.", shim(second), then(&second.outcome));
                    found.push((one.outcome.score, alone + &better));
                }
                None => found.push((one.outcome.score, alone)),
            }
        }
    }
    for remake in &figures.remakes {
        let sentence = format!(
            "Make {}-{} anew: its {} {:.3} mm where it has {:.3}. Then {}.",
            remake.hand,
            remake.part.words().replace(' ', "-"),
            remake.dimension.characteristic(),
            remake.to,
            remake.now,
            then(&remake.outcome)
        );
        found.push((remake.outcome.score, sentence));
    }
    grouped(figures, found)
}

/// Under headings by whether they are enough.
fn grouped(figures: &BuiltFigures, found: Vec<(f64, String)>) -> Vec<Help> {
    let by_parts = |of: Vec<(f64, String)>| of.into_iter().map(|(_, sentence)| sentence).collect::<Vec<_>>();
    // What parts cannot put right, or what is not known, is no part of the score.
    let of_the_gap = match &figures.pair {
        None => " for the gap; the pair is not known",
        Some(pair) if pair.no_room.is_some() => " for the gap; no parts make the pair run free",
        Some(_) => "",
    };
    let (enough, not): (Vec<_>, Vec<_>) = found.into_iter().partition(|(score, _)| *score <= 1.0);
    let holds = figures.outcome.score <= 1.0;
    let is = if holds {
        "It is within its limits; any one of these would make it better"
    } else {
        "Any one of these is enough"
    };
    let groups = [
        (format!("{is}{of_the_gap}"), enough),
        ("Each of these would make it better, but not enough by itself".to_owned(), not),
    ];
    let groups = groups.into_iter().map(|(heading, of)| Help { heading, sentences: by_parts(of) });
    groups.filter(|group| !group.sentences.is_empty()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;
    use overarm_solver::{AsBuilt, Options, analyse};

    fn figures(change: impl FnOnce(&mut AsBuilt, &Lift)) -> BuiltFigures {
        let project = demo();
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let mut built = AsBuilt::default();
        change(&mut built, &analysis.lift);
        let model = overarm_solver::errors::PairModel::new(&project, &analysis).expect("all is given");
        BuiltFigures::new(&project, &analysis, &built, Some(&model))
    }

    /// What every sentence says becomes of it, told by its outcome: enough or not is what its heading says.
    #[test]
    fn enough_is_told_apart_from_better() {
        let show = |mm: f64| format!("{mm:.3} mm");
        // One arm is off: its own remake is enough. Both sets are: no remake of one part is.
        let one = figures(|built, lift| built.left.lower_arm = Some(lift.lengths.lower_arm + 0.1));
        let help = what_would_help(&one, &show);
        assert_eq!(help[0].heading, "Any one of these is enough");
        assert!(help[0].sentences.iter().any(|sentence| sentence.starts_with("Make L-lower-arm anew")), "{help:#?}");
        let both = figures(|built, lift| {
            built.left.lower_arm = Some(lift.lengths.lower_arm + 0.2);
            built.right.lower_arm = Some(lift.lengths.lower_arm + 0.2);
        });
        assert!(both.remakes.iter().all(|remake| remake.outcome.score > 1.0), "{both:#?}");
        let help = what_would_help(&both, &show);
        let not = help.iter().find(|group| group.heading.contains("not enough by itself")).expect("some are not");
        assert!(not.sentences.iter().any(|sentence| sentence.starts_with("Make ")), "{help:#?}");
        // Two shims are one way, and together they are enough.
        let enough = help.iter().find(|group| group.heading == "Any one of these is enough").expect("shims are");
        assert!(enough.sentences.iter().all(|sentence| sentence.starts_with("Shim both ")), "{help:#?}");
        // Within limits nothing is put right.
        let fine = figures(|built, lift| built.left.lower_arm = Some(lift.lengths.lower_arm + 0.03));
        let help = what_would_help(&fine, &show);
        assert!(help.iter().all(|group| group.heading.starts_with("It is within its limits")), "{help:#?}");
    }
}
