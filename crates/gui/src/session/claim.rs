//! Which window works on what: a lock that the system takes away with the process, however it ends.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::hash::{Hash, Hasher};
use std::path::{Path, PathBuf};

use super::settings::Places;

/// One window's claim to something; given back when dropped, or when the process ends.
#[derive(Debug)]
pub struct Claim {
    file: File,
    path: PathBuf,
}

/// Who works on a file.
#[derive(Debug)]
pub enum Holder {
    /// This window.
    Here(Claim),
    /// Another window.
    Elsewhere,
    /// Nobody can say: there is no folder for locks, or its file system has none.
    Unknown,
}

impl Claim {
    /// Claims what a lock file stands for; none when another holds it.
    ///
    /// # Errors
    /// Where the file cannot be made or locked.
    pub fn take(path: &Path) -> std::io::Result<Option<Self>> {
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder)?;
        }
        loop {
            let file = OpenOptions::new().write(true).create(true).truncate(false).open(path)?;
            match file.try_lock() {
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => return Ok(None),
                Err(TryLockError::Error(error)) => return Err(error),
            }
            // The holder before may have removed the file between the opening and the lock.
            if is_still_at(&file, path) {
                return Ok(Some(Self { file, path: path.to_path_buf() }));
            }
        }
    }

    /// Its lock file.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }
}

impl Drop for Claim {
    fn drop(&mut self) {
        // While the lock is held; a file that stays behind without a lock claims nothing.
        let _ = fs::remove_file(&self.path);
        let _ = self.file.unlock();
    }
}

#[cfg(unix)]
fn is_still_at(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    match (file.metadata(), fs::metadata(path)) {
        (Ok(locked), Ok(there)) => locked.ino() == there.ino() && locked.dev() == there.dev(),
        _ => false,
    }
}

#[cfg(not(unix))]
fn is_still_at(_file: &File, path: &Path) -> bool {
    path.exists()
}

/// Claims a project file for this window.
#[must_use]
pub fn claim_project(project_file: &Path, places: Option<&Places>) -> Holder {
    let Some(places) = places else { return Holder::Unknown };
    match Claim::take(&lock_of(project_file, places)) {
        Ok(Some(claim)) => Holder::Here(claim),
        Ok(None) => Holder::Elsewhere,
        Err(_) => Holder::Unknown,
    }
}

/// The lock file of a project file: one for all paths that lead to it.
#[must_use]
pub fn lock_of(project_file: &Path, places: &Places) -> PathBuf {
    let real = real_path(project_file);
    // Collisions only make two windows think that they share a file; the name tells people which.
    let mut hasher = std::hash::DefaultHasher::new();
    real.hash(&mut hasher);
    let name: String = real.file_name().unwrap_or_default().to_string_lossy().chars().take(60).collect();
    places.state.join("open").join(format!("{name}-{:016x}.lock", hasher.finish()))
}

/// Links followed as far as there is something to follow.
fn real_path(path: &Path) -> PathBuf {
    let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
    if let Ok(real) = fs::canonicalize(&whole) {
        return real;
    }
    match (whole.parent().and_then(|folder| fs::canonicalize(folder).ok()), whole.file_name()) {
        (Some(folder), Some(name)) => folder.join(name),
        _ => whole,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_holds_it_and_leaves_nothing_behind() {
        let folder = tempfile::tempdir().unwrap();
        let places = Places::below(folder.path());
        let project = folder.path().join("a.overarm.json");
        fs::write(&project, "x").unwrap();
        let first = claim_project(&project, Some(&places));
        assert!(matches!(first, Holder::Here(_)), "{first:?}");
        assert!(matches!(claim_project(&project, Some(&places)), Holder::Elsewhere));
        #[cfg(unix)]
        {
            let link = folder.path().join("link.json");
            std::os::unix::fs::symlink(&project, &link).unwrap();
            assert!(matches!(claim_project(&link, Some(&places)), Holder::Elsewhere), "by any path");
        }
        drop(first);
        assert!(!lock_of(&project, &places).exists());
        assert!(matches!(claim_project(&project, Some(&places)), Holder::Here(_)));
        assert!(matches!(claim_project(&project, None), Holder::Unknown));
    }

    #[test]
    fn a_lock_file_left_by_a_crash_claims_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("left.lock");
        fs::write(&path, "").unwrap();
        assert!(Claim::take(&path).unwrap().is_some());
    }
}
