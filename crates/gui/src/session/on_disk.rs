//! A project's file on the disk: read and saved with an eye on others who write it too.

use std::fs::File;
use std::hash::{DefaultHasher, Hasher};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use overarm_shopfiles::atomic_write::clear_unfinished;
use overarm_shopfiles::project_file;
use overarm_solver::Project;

use super::autosave::{self, beside};
use super::claim::{Holder, claim_project, lock_of};
use super::recovery::{Found, look_beside, set_aside};
use super::settings::Places;

/// A writing that was cut off is cleared when it is this old: no writing takes so long.
const CUT_OFF: Duration = Duration::from_secs(60);

/// What a file's content looked like, to see whether it has changed. Not kept between runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Print {
    bytes: u64,
    hash: u64,
}

impl Print {
    /// Of these bytes.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        let mut seen = Seen { inner: bytes, hasher: DefaultHasher::new(), bytes: 0 };
        // Reading from memory does not fail.
        let _ = std::io::copy(&mut seen, &mut std::io::sink());
        seen.print()
    }

    /// Of a file as it is now; none where it cannot be read.
    #[must_use]
    pub fn of_file(path: &Path) -> Option<Self> {
        let mut seen = Seen { inner: File::open(path).ok()?, hasher: DefaultHasher::new(), bytes: 0 };
        std::io::copy(&mut seen, &mut std::io::sink()).ok()?;
        Some(seen.print())
    }
}

/// A reader that remembers what went through it.
struct Seen<R> {
    inner: R,
    hasher: DefaultHasher,
    bytes: u64,
}

impl<R> Seen<R> {
    fn print(&self) -> Print {
        Print { bytes: self.bytes, hash: self.hasher.finish() }
    }
}

impl<R: Read> Read for Seen<R> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let count = self.inner.read(buffer)?;
        // Byte for byte, so that the print does not depend on how much came at a time.
        for byte in &buffer[..count] {
            self.hasher.write_u8(*byte);
        }
        self.bytes += count as u64;
        Ok(count)
    }
}

/// A project file that was read.
#[derive(Debug)]
pub struct Opened {
    /// The project.
    pub project: Project,
    /// The file's content.
    pub print: Print,
    /// Who works on it; none where this window did already.
    pub holder: Option<Holder>,
    /// Work that a crash left beside it.
    pub found: Option<Found>,
    /// What was not in order beside it.
    pub trouble: Option<String>,
}

/// Reads a project file; `ours` is the lock file that this window holds.
///
/// # Errors
/// The sentence, with the path.
pub fn open(path: &Path, places: Option<&Places>, ours: Option<&Path>) -> Result<Opened, String> {
    // A folder, or no file: the sentence comes from where all of them come from.
    let Some(file) = File::open(path).ok().filter(|_| !path.is_dir()) else {
        return match project_file::read(path) {
            Err(error) => Err(error.to_string()),
            Ok(_) => Err(format!("{}: it came and went while it was read; open it again", path.display())),
        };
    };
    let mut seen = Seen { inner: file, hasher: DefaultHasher::new(), bytes: 0 };
    let project = project_file::read_stream(&mut seen, &path.display().to_string()).map_err(|e| e.to_string())?;
    let print = seen.print();
    if ours.is_some() && ours == places.map(|places| lock_of(path, places)).as_deref() {
        return Ok(Opened { project, print, holder: None, found: None, trouble: None });
    }
    let holder = claim_project(path, places);
    let beside = match holder {
        // What lies beside it is that window's.
        Holder::Elsewhere => Ok(None),
        Holder::Here(_) | Holder::Unknown => {
            clear_unfinished(path, CUT_OFF);
            clear_unfinished(&beside(path), CUT_OFF);
            look_beside(path, &project)
        }
    };
    let (found, trouble) = match beside {
        Ok(found) => (found, None),
        Err(sentence) => (None, Some(sentence)),
    };
    Ok(Opened { project, print, holder: Some(holder), found, trouble })
}

/// What saving was agreed to although others write the file too.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Agreed {
    /// What changed on the disk is overwritten.
    pub changed: bool,
    /// Another window has it open.
    pub elsewhere: bool,
}

/// A project to be saved.
#[derive(Clone, Debug)]
pub struct Saving {
    /// The file.
    pub path: PathBuf,
    /// The project.
    pub project: Arc<Project>,
    /// What was agreed to.
    pub agreed: Agreed,
    /// Where its unsaved work is kept.
    pub kept: Option<PathBuf>,
    /// The lock file that this window holds.
    pub ours: Option<PathBuf>,
}

/// Why a project was not saved.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotSaved {
    /// The file is no longer as it was read or saved here.
    ChangedOnDisk,
    /// Another window works on it.
    OpenElsewhere,
    /// Anything else, as a sentence.
    Failed(String),
}

/// What came of saving.
#[derive(Debug)]
pub struct Saved {
    /// The file's content.
    pub print: Print,
    /// Who works on it; none where this window did already.
    pub holder: Option<Holder>,
}

/// Saves a project; `known` is the file's content as this window knows it, none where it does not.
///
/// Kept work is brought up to date before and cleared after: whenever it is cut off, what is kept
/// is as new as what is saved or newer.
///
/// # Errors
/// [`NotSaved`]; the file is then as it was.
pub fn save(saving: &Saving, places: Option<&Places>, known: Option<Print>) -> Result<Saved, NotSaved> {
    let path = &saving.path;
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    if let Some(folder) = folder.filter(|folder| !folder.is_dir()) {
        return Err(NotSaved::Failed(format!(
            "{}: the folder {} does not exist. Make it first, or choose another.",
            path.display(),
            folder.display()
        )));
    }
    let text = project_file::to_text(&saving.project)
        .map_err(|error| NotSaved::Failed(format!("{}: {error}", path.display())))?;
    let print = Print::of(text.as_bytes());
    let held = saving.ours.is_some() && saving.ours == places.map(|places| lock_of(path, places));
    let holder = (!held).then(|| claim_project(path, places));
    if matches!(holder, Some(Holder::Elsewhere)) && !saving.agreed.elsewhere {
        return Err(NotSaved::OpenElsewhere);
    }
    if let (Some(known), Some(now)) = (known, Print::of_file(path))
        && now != known
        && now != print
        && !saving.agreed.changed
    {
        return Err(NotSaved::ChangedOnDisk);
    }
    let beside = beside(path);
    if matches!(holder, Some(Holder::Here(_) | Holder::Unknown))
        && saving.kept.as_ref() != Some(&beside)
        && beside.exists()
    {
        // Left by a crash at a name that this project gets now. It stays there when it cannot be
        // renamed, and this window's own work is then kept over it: as good as it can be had.
        let _ = set_aside(&beside);
    }
    if let Some(kept) = &saving.kept {
        // Where it fails, saving itself may still succeed, and says so otherwise.
        let _ = autosave::write(&saving.project, kept);
    }
    project_file::save(path, &saving.project).map_err(|error| NotSaved::Failed(error.to_string()))?;
    if let Some(kept) = &saving.kept {
        let _ = std::fs::remove_file(kept);
    }
    if !matches!(holder, Some(Holder::Elsewhere)) {
        clear_unfinished(path, CUT_OFF);
    }
    Ok(Saved { print, holder })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;

    #[test]
    fn a_print_tells_contents_apart_and_not_how_they_are_read() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        let bytes: Vec<u8> = (0..200_000_u32).map(|number| (number % 251) as u8).collect();
        std::fs::write(&path, &bytes).unwrap();
        assert_eq!(Print::of_file(&path), Some(Print::of(&bytes)));
        assert_ne!(Print::of(&bytes[1..]), Print::of(&bytes));
        assert_eq!(Print::of_file(folder.path()), None);

        project_file::save(&path, &demo()).unwrap();
        let opened = open(&path, None, None).unwrap();
        assert_eq!(opened.print, Print::of_file(&path).unwrap());
        assert_eq!(opened.print, Print::of(project_file::to_text(&demo()).unwrap().as_bytes()));
    }

    #[test]
    fn unreadable_files_are_refused_with_their_path() {
        let folder = tempfile::tempdir().unwrap();
        assert!(open(folder.path(), None, None).unwrap_err().contains("this is a folder"));
        assert!(open(&folder.path().join("no.json"), None, None).unwrap_err().contains("no.json"));
    }
}
