//! Work that a crash left behind: found at the next opening, shown beside what was saved, and never
//! thrown away by either choice.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, SystemTime};

use overarm_shopfiles::project_file;
use overarm_solver::Project;

use super::asking::EXTENSION;
use super::autosave::{KEPT, beside, lock_of_kept, own_folder};
use super::changed_fields::{ChangedField, changed_fields};
use super::claim::Claim;
use super::settings::Places;

/// Kept work that no living window holds.
#[derive(Debug)]
pub struct Found {
    /// Where it lies.
    pub kept: PathBuf,
    /// The project.
    pub project: Box<Project>,
    /// When it was kept.
    pub at: Option<SystemTime>,
    /// The claim on it, where it has no project file.
    pub claim: Option<Claim>,
}

/// Which of the two versions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Version {
    /// The one in the project's file; without a file, the demo.
    Saved,
    /// The one that was kept for a crash.
    Recovered,
}

/// The question which version to go on with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Recovery {
    /// The project's file, if it has one.
    pub file: Option<PathBuf>,
    /// Where the kept work lies.
    pub kept: PathBuf,
    /// The title of the recovered project.
    pub title: String,
    /// How long ago each was written, in words: saved, recovered.
    pub ages: [String; 2],
    /// Whether the kept work is older than what is saved.
    pub recovered_is_older: bool,
    /// What differs: first saved, second recovered.
    pub differences: Vec<ChangedField>,
    /// The version that the drawing shows.
    pub shown: Version,
}

impl Recovery {
    /// The question about these two versions.
    #[must_use]
    pub fn new(file: Option<&Path>, saved: &Project, found: &Found, now: SystemTime) -> Self {
        let saved_at = file.and_then(written_at);
        Self {
            file: file.map(Path::to_path_buf),
            kept: found.kept.clone(),
            title: found.project.title().to_owned(),
            ages: [saved_at, found.at].map(|at| age_words(at, now)),
            recovered_is_older: matches!((saved_at, found.at), (Some(saved), Some(kept)) if kept < saved),
            differences: changed_fields(saved, &found.project),
            shown: Version::Saved,
        }
    }
}

/// A version that a recovery can show and take.
#[derive(Debug)]
pub struct Versions {
    /// As saved.
    pub saved: Arc<Project>,
    /// As kept.
    pub recovered: Arc<Project>,
    /// The claim on the kept work, if it has one of its own.
    pub claim: Option<Claim>,
}

/// Kept work beside a project file whose claim is ours; none where it holds what is saved anyway.
///
/// # Errors
/// The sentence, where something is kept that cannot be read; it is set aside.
pub fn look_beside(project_file: &Path, saved: &Project) -> Result<Option<Found>, String> {
    let kept = beside(project_file);
    if !kept.is_file() {
        return Ok(None);
    }
    match project_file::read(&kept) {
        Ok(project) if project == *saved => {
            let _ = fs::remove_file(&kept);
            Ok(None)
        }
        Ok(project) => Ok(Some(Found { at: written_at(&kept), project: Box::new(project), kept, claim: None })),
        Err(error) => {
            let put = set_aside(&kept)
                .map_or_else(|sentence| sentence, |place| format!("It was set aside as {}.", place.display()));
            Err(format!("Work kept for a crash cannot be read: {error}. {put}"))
        }
    }
}

/// Work without a file that no living window holds, the latest first. What cannot be read is left.
#[must_use]
pub fn look_in_own_folder(places: &Places) -> Vec<Found> {
    let entries = fs::read_dir(own_folder(places)).into_iter().flatten().flatten();
    let mut found: Vec<Found> = entries
        .map(|entry| entry.path())
        .filter(|path| path.to_string_lossy().ends_with(KEPT))
        .filter_map(|kept| {
            let claim = Claim::take(&lock_of_kept(&kept)).ok().flatten()?;
            let project = project_file::read(&kept).ok()?;
            Some(Found { at: written_at(&kept), project: Box::new(project), kept, claim: Some(claim) })
        })
        .collect();
    found.sort_by_key(|found| std::cmp::Reverse(found.at));
    found
}

/// Gives kept work a name under which it opens as a project, in the same folder; nothing is
/// overwritten.
///
/// # Errors
/// The sentence, where the folder takes no new name; the work then lies where it lay.
pub fn set_aside(kept: &Path) -> Result<PathBuf, String> {
    let name = kept.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let name = name.strip_suffix(KEPT).unwrap_or(&name);
    let stem = name.strip_suffix(EXTENSION).or_else(|| name.strip_suffix(".json")).unwrap_or(name);
    let mut number = 1_u32;
    loop {
        let target = kept.with_file_name(format!("{stem}.set-aside-{number}{EXTENSION}"));
        // A second name first: unlike a rename, that never replaces what another window put there.
        let moved = match fs::hard_link(kept, &target) {
            Ok(()) => fs::remove_file(kept),
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {
                number += 1;
                continue;
            }
            // A file system without second names.
            Err(_) if !target.exists() => fs::rename(kept, &target),
            Err(error) => Err(error),
        };
        return moved.map(|()| target).map_err(|error| {
            let why = overarm_shopfiles::atomic_write::io_words(&error);
            format!("{} stays where it is: it cannot be renamed ({why}).", kept.display())
        });
    }
}

fn written_at(path: &Path) -> Option<SystemTime> {
    fs::metadata(path).and_then(|metadata| metadata.modified()).ok()
}

/// How long ago something was written, in words.
#[must_use]
pub fn age_words(at: Option<SystemTime>, now: SystemTime) -> String {
    const MINUTE: u64 = 60;
    const HOUR: u64 = 60 * MINUTE;
    const DAY: u64 = 24 * HOUR;
    let Some(at) = at else { return "at a time unknown".to_owned() };
    let Ok(age) = now.duration_since(at).map(|age: Duration| age.as_secs()) else {
        return "in the future, by this machine's clock".to_owned();
    };
    let (count, unit) = match age {
        0..MINUTE => return "less than a minute ago".to_owned(),
        MINUTE..HOUR => (age / MINUTE, "minute"),
        HOUR..DAY => (age / HOUR, "hour"),
        _ => (age / DAY, "day"),
    };
    let many = if count == 1 { "" } else { "s" };
    format!("{count} {unit}{many} ago")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::autosave;
    use crate::session::demo;

    fn heavier() -> Project {
        let mut project = demo();
        project.panel.mass = 20.0;
        project
    }

    #[test]
    fn only_what_differs_from_the_saved_is_offered() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("a.overarm.json");
        assert!(look_beside(&file, &demo()).unwrap().is_none());
        autosave::write(&demo(), &beside(&file)).unwrap();
        assert!(look_beside(&file, &demo()).unwrap().is_none());
        assert!(!beside(&file).exists(), "it held nothing new");
        autosave::write(&heavier(), &beside(&file)).unwrap();
        let found = look_beside(&file, &demo()).unwrap().unwrap();
        assert_eq!(*found.project, heavier());
        let asked = Recovery::new(Some(&file), &demo(), &found, SystemTime::now());
        assert_eq!(asked.differences.len(), 1);
        assert!(asked.ages[1].contains("less than a minute"), "{asked:?}");
    }

    #[test]
    fn what_cannot_be_read_is_set_aside() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("a.overarm.json");
        for number in 1..=2 {
            fs::write(beside(&file), "{").unwrap();
            let sentence = look_beside(&file, &demo()).unwrap_err();
            let aside = folder.path().join(format!("a.set-aside-{number}.overarm.json"));
            assert!(sentence.contains(&*aside.display().to_string()), "{sentence}");
            assert_eq!(fs::read(aside).unwrap(), b"{");
        }
        assert!(!beside(&file).exists());
    }

    #[test]
    fn work_of_a_living_window_is_not_touched() {
        let folder = tempfile::tempdir().unwrap();
        let places = Places::below(folder.path());
        let slot = autosave::keep(&heavier(), None, Some(&places)).unwrap();
        assert!(look_in_own_folder(&places).is_empty(), "its window lives");
        let path = slot.path.clone();
        drop(slot); // as the system does when a process ends
        let found = look_in_own_folder(&places);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].kept, path);
        assert!(look_in_own_folder(&places).is_empty(), "it is claimed by the one who found it");
    }

    #[test]
    fn ages_in_words() {
        let now = SystemTime::now();
        for (seconds, words) in [
            (5, "less than a minute ago"),
            (60, "1 minute ago"),
            (7_000, "1 hour ago"),
            (86_400, "1 day ago"),
            (300_000, "3 days ago"),
        ] {
            assert_eq!(age_words(Some(now - Duration::from_secs(seconds)), now), words);
        }
        assert!(age_words(Some(now + Duration::from_secs(99)), now).contains("future"));
        assert!(age_words(None, now).contains("unknown"));
    }
}
