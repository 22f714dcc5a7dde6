//! The hidden folder that a job folder is built in, beside its place, until it is whole.
//!
//! It holds a file that its maker keeps locked. The system takes the lock away with the process, however
//! that ends, so what a killed making left is told from one that still goes on.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::Path;
use std::time::Duration;

use crate::atomic_write::clear_unfinished;

/// The locked file in it; its name under which it is made before it is locked; what it says.
const MARK: &str = ".being-made";
const UNLOCKED: &str = ".being-made-soon";
const SAYS: &[u8] = b"overarm is making a job folder here\n";
/// What has no mark (cut off before it had one, or by an earlier version) is cleared after this.
const CUT_OFF: Duration = Duration::from_secs(3600);

/// A folder that is being built; gone with what is in it when it is dropped.
#[derive(Debug)]
pub(crate) struct Building {
    folder: tempfile::TempDir,
    // The lock lasts as long as this is open.
    _mark: File,
}

impl Building {
    /// A new one in `parent`, to be called `name` once it is whole. What killed makings left there is
    /// cleared first.
    pub fn new(parent: &Path, name: &str) -> io::Result<Self> {
        clear_cut_off(parent);
        clear_unfinished(&parent.join(name), CUT_OFF);
        let prefix = format!(".{name}-");
        let mut builder = tempfile::Builder::new();
        builder.prefix(&prefix).suffix(".part");
        #[cfg(unix)]
        let ordinary = std::os::unix::fs::PermissionsExt::from_mode(0o777);
        #[cfg(unix)]
        builder.permissions(ordinary); // less the user's umask, as for any new folder
        let folder = builder.tempdir_in(parent)?;
        let soon = folder.path().join(UNLOCKED);
        let mut mark = File::create(&soon)?;
        mark.write_all(SAYS)?;
        // A file system without locks: then its age tells.
        if mark.try_lock().is_ok() {
            fs::rename(&soon, folder.path().join(MARK))?;
        }
        Ok(Self { folder, _mark: mark })
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    /// Gives it its own name, now that it is whole.
    pub fn settle(self, target: &Path) -> io::Result<()> {
        for name in [MARK, UNLOCKED] {
            match fs::remove_file(self.path().join(name)) {
                Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
                _ => {}
            }
        }
        fs::rename(self.path(), target)?;
        // Renamed away: there is nothing left to clean up.
        let _ = self.folder.keep();
        Ok(())
    }
}

/// Removes hidden folders that have our mark and nobody who holds it. What cannot be removed stays.
fn clear_cut_off(parent: &Path) {
    for entry in fs::read_dir(parent).into_iter().flatten().flatten() {
        let name = entry.file_name();
        let name = name.to_string_lossy();
        let is_real_folder = entry.file_type().is_ok_and(|kind| kind.is_dir());
        if !is_real_folder || !name.starts_with('.') || !name.ends_with(".part") {
            continue;
        }
        let mark = entry.path().join(MARK);
        if fs::read(&mark).is_ok_and(|found| found == SAYS)
            && let Ok(file) = File::open(&mark)
            && file.try_lock().is_ok()
        {
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::atomic_write::tests::names;

    /// As it is after its maker was killed: nothing is dropped, and the system has taken the lock away.
    fn killed(building: Building) -> String {
        let Building { folder, _mark } = building;
        let path = folder.keep();
        path.file_name().unwrap().to_string_lossy().into_owned()
    }

    #[test]
    fn what_a_killed_making_left_is_cleared_and_what_still_goes_on_is_not() {
        let parent = tempfile::tempdir().unwrap();
        let left = killed(Building::new(parent.path(), "job").unwrap());
        let running = Building::new(parent.path(), "other").unwrap();
        assert!(!parent.path().join(&left).exists(), "cleared by a making under another name");
        let going_on = running.path().to_path_buf();
        fs::write(going_on.join("drawings.pdf"), b"half").unwrap();
        let second = Building::new(parent.path(), "other").unwrap();
        assert!(going_on.join("drawings.pdf").exists());
        running.settle(&parent.path().join("done")).unwrap();
        assert_eq!(names(&parent.path().join("done")), ["drawings.pdf"], "no mark in what is whole");
        drop(second);
        assert_eq!(names(parent.path()), ["done"]);
    }

    #[test]
    fn what_is_not_certainly_ours_stays() {
        let parent = tempfile::tempdir().unwrap();
        // Without a mark, with another one, not hidden, and a link to a folder elsewhere.
        let elsewhere = tempfile::tempdir().unwrap();
        fs::write(elsewhere.path().join(MARK), SAYS).unwrap();
        for (name, mark) in [(".job-Ab12cD.part", None), (".their-own.part", Some("theirs")), ("job.part", Some("x"))] {
            fs::create_dir(parent.path().join(name)).unwrap();
            if let Some(mark) = mark {
                fs::write(parent.path().join(name).join(MARK), if mark == "x" { SAYS } else { mark.as_bytes() })
                    .unwrap();
            }
        }
        #[cfg(unix)]
        std::os::unix::fs::symlink(elsewhere.path(), parent.path().join(".link.part")).unwrap();
        let before = names(parent.path());
        drop(Building::new(parent.path(), "job").unwrap());
        assert_eq!(names(parent.path()), before);
        assert!(elsewhere.path().join(MARK).exists());
    }
}
