//! The inspection sheet with what was measured: taken into the project, and what it would advise.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use overarm_shopfiles::measured_csv::{self, Sheet};
use overarm_solver::errors::BuiltFigures;
use overarm_solver::errors::as_built::{Outcome, Swap, is_worth_it};
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
    let bytes =
        std::fs::read(path).map_err(|error| format!("{sheet} cannot be read: {error}. Nothing was changed."))?;
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

/// What would help measured parts, a sentence each: a swap, shims, parts to make anew.
#[must_use]
pub fn what_would_help(figures: &BuiltFigures, show: &dyn Fn(f64) -> String) -> Vec<String> {
    let side = |hand: char| if hand == 'L' { "left" } else { "right" };
    let then = |outcome: &Outcome| words_of(outcome, show);
    let mut found = Vec::new();
    // A swap costs nothing: told where it is worth the spanner.
    if let Some(swap) = best_swap(figures, true) {
        found.push(format!("Swap left and right: {}. Then {}.", names(&swap.parts), then(&swap.outcome)));
    }
    let mut before = "Shim";
    for shim in &figures.shims {
        let behind = if shim.bar == PartName::WallBar { "wall and wall bar" } else { "panel bar and panel" };
        found.push(format!(
            "{before} {} thick between {behind} of the {} set, at its {} pivot. Then {}.",
            show(shim.thickness),
            side(shim.hand),
            if shim.upper { "upper" } else { "lower" },
            then(&shim.outcome)
        ));
        before = "With that, also shim";
    }
    for remake in &figures.remakes {
        found.push(format!(
            "Make {}-{} anew: its {} {:.3} mm where it has {:.3}. Then {}.",
            remake.hand,
            remake.part.words().replace(' ', "-"),
            remake.dimension.characteristic(),
            remake.to,
            remake.now,
            then(&remake.outcome)
        ));
    }
    found
}
