//! Keeping unsaved work for the case of a crash: beside the project's file, or in the program's own
//! folder where there is none.
//!
//! What is kept is a project file under another name: renamed, it opens in any version. It goes away
//! when the project is saved or the window is closed properly; what is still there at the next
//! opening is offered (see [`super::recovery`]).

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use overarm_shopfiles::project_file;
use overarm_solver::Project;

use super::asking::{EXTENSION, slug};
use super::claim::Claim;
use super::settings::Places;

/// How the name of kept work ends, after the name of its project file.
pub const KEPT: &str = ".autosave";

/// Edits rest this long before they are kept: longer than between two nudges, shorter than a thought.
const SETTLED: Duration = Duration::from_secs(3);

/// Edits that never rest are kept this often all the same.
const AT_LEAST_EVERY: Duration = Duration::from_secs(20);

/// Where kept work lies.
#[derive(Debug)]
pub struct Slot {
    /// The file.
    pub path: PathBuf,
    /// The claim on it, where it has no project file whose claim would do.
    pub claim: Option<Claim>,
}

/// Work on its way to its place: the slot appears here once it is kept, and belongs to whoever takes
/// it out.
#[derive(Clone, Debug, Default)]
pub struct Keeping(Arc<Mutex<Option<Slot>>>);

impl Keeping {
    /// Notes where it was kept.
    pub fn put(&self, slot: Slot) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = Some(slot);
    }

    /// Takes the slot, if it was kept and nobody took it before.
    #[must_use]
    pub fn take(&self) -> Option<Slot> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).take()
    }

    fn is(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

/// What is to be done about keeping, now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Due {
    /// Nothing, until something changes.
    Nothing,
    /// Nothing for so long.
    Wait(Duration),
    /// The project is to be kept.
    Keep,
    /// What is kept holds nothing that is not saved.
    Forget,
}

/// When work was changed and what of it is kept.
#[derive(Debug, Default)]
pub struct Autosave {
    /// Revision seen last, since when it stands, and since when something is unkept.
    seen: Option<(u64, Instant, Instant)>,
    /// Revision that was kept or is being kept.
    kept: Option<u64>,
    /// What the worker is at.
    at_work: Option<Keeping>,
    slot: Option<Slot>,
}

impl Autosave {
    /// What is due at `now`, for a document of this revision.
    pub fn due(&mut self, revision: u64, unsaved: bool, now: Instant) -> Due {
        if !unsaved {
            self.seen = None;
            return if self.slot.is_some() && self.at_work.is_none() { Due::Forget } else { Due::Nothing };
        }
        if self.kept == Some(revision) {
            self.seen = None;
            return Due::Nothing;
        }
        let (_, since, unkept_since) = match self.seen {
            Some(seen) if seen.0 == revision => seen,
            Some((_, _, unkept_since)) => (revision, now, unkept_since),
            None => (revision, now, now),
        };
        self.seen = Some((revision, since, unkept_since));
        let wait = (SETTLED.saturating_sub(now.saturating_duration_since(since)))
            .min(AT_LEAST_EVERY.saturating_sub(now.saturating_duration_since(unkept_since)));
        match (self.at_work.is_some(), wait) {
            // The outcome of the work wakes the window.
            (true, _) => Due::Nothing,
            (false, Duration::ZERO) => Due::Keep,
            (false, wait) => Due::Wait(wait),
        }
    }

    /// Where it lies, if anywhere.
    #[must_use]
    pub fn slot(&self) -> Option<&Path> {
        self.slot.as_ref().map(|slot| slot.path.as_path())
    }

    /// The revision that is kept, once it is.
    #[must_use]
    pub fn kept(&self) -> Option<u64> {
        self.kept.filter(|_| self.at_work.is_none())
    }

    /// Notes that the worker keeps this revision; what it is at.
    pub fn begun(&mut self, revision: u64) -> Keeping {
        self.kept = Some(revision);
        self.seen = None;
        self.at_work.insert(Keeping::default()).clone()
    }

    /// Whether the worker is at this; not once it was given up.
    #[must_use]
    pub fn waits_for(&self, keeping: &Keeping) -> bool {
        self.at_work.as_ref().is_some_and(|at_work| at_work.is(keeping))
    }

    /// Notes that it is kept; the place before, if it was another, is handed back.
    pub fn done(&mut self, slot: Slot) -> Option<Slot> {
        self.at_work = None;
        match &mut self.slot {
            Some(old) if old.path == slot.path => {
                old.claim = slot.claim.or(old.claim.take());
                None
            }
            _ => self.slot.replace(slot),
        }
    }

    /// Notes that it could not be kept; it is tried again after the next change.
    pub fn failed(&mut self) {
        self.at_work = None;
        self.seen = None;
    }

    /// Notes that this revision lies in `slot` already.
    pub fn found(&mut self, revision: u64, slot: Slot) {
        *self = Self { kept: Some(revision), slot: Some(slot), ..Self::default() };
    }

    /// Starts anew; the place, if any, and what is on its way to one, are handed over to be cleared.
    pub fn give_up(&mut self) -> (Option<Slot>, Option<Keeping>) {
        let given_up = std::mem::take(self);
        (given_up.slot, given_up.at_work)
    }
}

/// Where work on a project file is kept: beside it.
#[must_use]
pub fn beside(project_file: &Path) -> PathBuf {
    let mut name = project_file.file_name().unwrap_or_default().to_owned();
    name.push(KEPT);
    project_file.with_file_name(name)
}

/// The folder for work that has no place beside a file.
#[must_use]
pub fn own_folder(places: &Places) -> PathBuf {
    places.state.join("unsaved")
}

/// The lock that says that the window of kept work still lives.
#[must_use]
pub fn lock_of_kept(kept: &Path) -> PathBuf {
    let mut name = kept.file_name().unwrap_or_default().to_owned();
    name.push(".lock");
    kept.with_file_name(name)
}

/// Keeps a project at the first of these places that takes it.
///
/// # Errors
/// The sentence, where none does.
pub fn keep(project: &Project, wanted: Option<&Path>, places: Option<&Places>) -> Result<Slot, String> {
    let mut why_not = None;
    if let Some(path) = wanted {
        match write(project, path) {
            Ok(()) => return Ok(Slot { path: path.to_path_buf(), claim: None }),
            Err(sentence) => why_not = Some(sentence),
        }
    }
    let Some(places) = places else {
        return Err(why_not.unwrap_or_else(|| "there is no folder for it".to_owned()));
    };
    let slot = new_slot(project.title(), places).map_err(|error| {
        let folder = own_folder(places);
        format!("{}: {}", folder.display(), overarm_shopfiles::atomic_write::io_words(&error))
    })?;
    write(project, &slot.path)?;
    Ok(slot)
}

/// Writes a project to a place of kept work, whole or not at all.
///
/// # Errors
/// The sentence, with the path.
pub fn write(project: &Project, path: &Path) -> Result<(), String> {
    project_file::save(path, project).map_err(|error| error.to_string())
}

/// A name in the program's own folder that is claimed and not used yet.
fn new_slot(title: &str, places: &Places) -> std::io::Result<Slot> {
    let stem: String = slug(title).chars().take(60).collect();
    let folder = own_folder(places);
    fs::create_dir_all(&folder)?;
    let mut number = 1_u32;
    loop {
        let path = folder.join(format!("{stem}-{number}{EXTENSION}{KEPT}"));
        if let Some(claim) = Claim::take(&lock_of_kept(&path))?
            && !path.exists()
        {
            return Ok(Slot { path, claim: Some(claim) });
        }
        number += 1;
    }
}

/// Clears a place whose work is saved or given up.
pub fn clear(slot: Slot) {
    // Where it stays, it is offered once more; nothing is lost by it.
    let _ = fs::remove_file(&slot.path);
    drop(slot.claim);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;

    const SECOND: Duration = Duration::from_secs(1);

    #[test]
    fn edits_are_kept_when_they_have_rested_or_never_rest() {
        let start = Instant::now();
        let mut autosave = Autosave::default();
        assert_eq!(autosave.due(1, false, start), Due::Nothing);
        assert_eq!(autosave.due(2, true, start), Due::Wait(3 * SECOND));
        assert_eq!(autosave.due(3, true, start + 2 * SECOND), Due::Wait(3 * SECOND));
        assert_eq!(autosave.due(3, true, start + 4 * SECOND), Due::Wait(SECOND));
        assert_eq!(autosave.due(3, true, start + 5 * SECOND), Due::Keep);
        autosave.begun(3);
        assert_eq!(autosave.due(3, true, start + 9 * SECOND), Due::Nothing);

        let mut restless = Autosave::default();
        for second in 0..20 {
            let due = restless.due(u64::from(second), true, start + second * SECOND);
            assert!(matches!(due, Due::Wait(_)), "{second}: {due:?}");
        }
        assert_eq!(restless.due(20, true, start + 20 * SECOND), Due::Keep);
    }

    #[test]
    fn one_is_kept_at_a_time_and_saved_work_is_forgotten() {
        let start = Instant::now();
        let mut autosave = Autosave::default();
        autosave.due(2, true, start);
        let keeping = autosave.begun(2);
        autosave.due(3, true, start);
        assert_eq!(autosave.due(3, true, start + 9 * SECOND), Due::Nothing, "the worker is still at it");
        assert!(autosave.waits_for(&keeping));
        assert!(autosave.done(Slot { path: "/a".into(), claim: None }).is_none());
        assert_eq!(autosave.due(3, true, start + 9 * SECOND), Due::Keep);
        assert_eq!(autosave.due(4, false, start + 9 * SECOND), Due::Forget, "undone to what is saved");
        let later = autosave.begun(5);
        let (slot, on_its_way) = autosave.give_up();
        assert_eq!(slot.map(|slot| slot.path), Some("/a".into()));
        assert!(on_its_way.is_some_and(|keeping| keeping.is(&later)));
        assert!(!autosave.waits_for(&later), "it was given up");
        assert_eq!(autosave.due(4, false, start + 9 * SECOND), Due::Nothing);
    }

    #[test]
    fn a_folder_that_takes_nothing_is_replaced_by_our_own() {
        let folder = tempfile::tempdir().unwrap();
        let places = Places::below(folder.path());
        let nowhere = folder.path().join("no such folder/a.overarm.json.autosave");
        let slot = keep(&demo(), Some(&nowhere), Some(&places)).unwrap();
        assert!(slot.path.starts_with(own_folder(&places)), "{slot:?}");
        assert_eq!(project_file::read(&slot.path).unwrap(), demo());
        let other = keep(&demo(), None, Some(&places)).unwrap();
        assert_ne!(slot.path, other.path, "each window has its own");
        let why_not = keep(&demo(), Some(&nowhere), None).unwrap_err();
        assert!(why_not.contains("no such folder"), "{why_not}");
        clear(slot);
        clear(other);
        assert_eq!(fs::read_dir(own_folder(&places)).unwrap().count(), 0);
    }

    #[test]
    fn it_lies_beside_the_file() {
        assert_eq!(beside(Path::new("/a/b.overarm.json")), Path::new("/a/b.overarm.json.autosave"));
    }
}
