//! The files that were opened and saved before.

use std::path::{Path, PathBuf};

use overarm_shopfiles::atomic_write::io_words;
use serde_json::{Value, json};

/// Files remembered; as many as can be read at a glance.
const MOST: usize = 8;

/// Recent files, the latest first.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Recent(Vec<PathBuf>);

/// A recent file as it was found just now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecentFile {
    /// Where it is.
    pub path: PathBuf,
    /// Why it cannot be opened, if it cannot.
    pub missing: Option<String>,
}

impl Recent {
    /// Puts a file in front.
    pub fn note(&mut self, path: &Path) {
        self.0.retain(|other| other != path);
        self.0.insert(0, path.to_path_buf());
        self.0.truncate(MOST);
    }

    /// Adds those of another list that are not in this one, behind.
    pub fn add_behind(&mut self, other: &Self) {
        for path in &other.0 {
            if !self.0.contains(path) {
                self.0.push(path.clone());
            }
        }
        self.0.truncate(MOST);
    }

    /// The paths, the latest first.
    pub fn paths(&self) -> impl Iterator<Item = &Path> {
        self.0.iter().map(PathBuf::as_path)
    }

    /// From the settings file; what is no path is left out.
    #[must_use]
    pub fn from_json(value: Option<&Value>) -> Self {
        let paths = value.and_then(Value::as_array).map(Vec::as_slice).unwrap_or_default();
        let paths = paths.iter().filter_map(Value::as_str).map(PathBuf::from).filter(|path| path.is_absolute());
        Self(paths.take(MOST).collect())
    }

    /// For the settings file. A path that is not UTF-8 cannot be written there and is left out.
    #[must_use]
    pub fn to_json(&self) -> Value {
        json!(self.0.iter().filter_map(|path| path.to_str()).collect::<Vec<_>>())
    }

    /// Looks which of them are still there. It may wait for a disk.
    #[must_use]
    pub fn look(&self) -> Vec<RecentFile> {
        self.paths().map(RecentFile::look).collect()
    }
}

impl RecentFile {
    fn look(path: &Path) -> Self {
        let missing = match std::fs::metadata(path) {
            Ok(there) if there.is_file() => None,
            Ok(_) => Some("is no file any more".to_owned()),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
                let folder = path.parent().filter(|folder| !folder.is_dir());
                Some(folder.map_or_else(
                    || "was moved, renamed or deleted".to_owned(),
                    |folder| format!("the folder {} is not there now", folder.display()),
                ))
            }
            Err(error) => Some(io_words(&error)),
        };
        Self { path: path.to_path_buf(), missing }
    }

    /// Its file name.
    #[must_use]
    pub fn name(&self) -> String {
        self.path.file_name().unwrap_or(self.path.as_os_str()).to_string_lossy().into_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_latest_comes_first_and_once() {
        let mut recent = Recent::default();
        for name in ["/a", "/b", "/a", "/c"] {
            recent.note(Path::new(name));
        }
        assert_eq!(recent.paths().collect::<Vec<_>>(), [Path::new("/c"), Path::new("/a"), Path::new("/b")]);
        for number in 0..20 {
            recent.note(&PathBuf::from(format!("/{number}")));
        }
        assert_eq!(recent.paths().count(), MOST);
        assert_eq!(Recent::from_json(Some(&recent.to_json())), recent);
    }

    #[test]
    fn says_why_a_file_cannot_be_opened() {
        let folder = tempfile::tempdir().unwrap();
        let there = folder.path().join("there.overarm.json");
        std::fs::write(&there, "x").unwrap();
        let mut recent = Recent::default();
        for path in [there, folder.path().join("gone.json"), folder.path().join("no/gone.json"), folder.path().into()] {
            recent.note(&path);
        }
        let why: Vec<_> = recent.look().into_iter().rev().map(|file| file.missing).collect();
        assert_eq!(why[0], None);
        assert!(why[1].as_ref().is_some_and(|why| why.contains("deleted")), "{why:?}");
        assert!(why[2].as_ref().is_some_and(|why| why.contains("/no is not there")), "{why:?}");
        assert!(why[3].as_ref().is_some_and(|why| why.contains("no file")), "{why:?}");
    }
}
