//! A file gets to the disk whole, or the one before it stays.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Why a file could not be written; the path is always named.
#[derive(Debug, thiserror::Error)]
#[error("{}: {reason}", .path.display())]
pub struct WriteError {
    /// The file that was wanted.
    pub path: PathBuf,
    /// What was in the way, in words.
    pub reason: String,
}

impl WriteError {
    pub(crate) fn new(path: &Path, reason: impl Into<String>) -> Self {
        Self { path: path.to_path_buf(), reason: reason.into() }
    }

    pub(crate) fn io(path: &Path, error: &io::Error) -> Self {
        if error.kind() == io::ErrorKind::NotADirectory
            && let Some(file) = path.ancestors().skip(1).find(|above| above.is_file())
        {
            let file = file.display();
            return Self::new(
                path,
                format!("{file} is a file, not a folder; give a place in a folder, or move that file away"),
            );
        }
        Self::new(path, io_words(error))
    }
}

/// An input or output error without its number: "no space left on device".
#[must_use]
pub fn io_words(error: &io::Error) -> String {
    let text = error.to_string();
    let plain = text.split(" (os error").next().unwrap_or(&text).trim();
    let mut letters = plain.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// Writes a file: temporary file in the same folder, flushed to the disk, then renamed.
///
/// An existing file keeps its permissions and, where the path is a link, its place. A device such
/// as `/dev/stdout` is written straight, because nothing can be renamed onto it.
///
/// # Errors
/// [`WriteError`] naming the path; an existing file is then as it was.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), WriteError> {
    let fail = |error: &io::Error| WriteError::io(path, error);
    // A link is followed, so that the file it points at is replaced and not the link.
    let target = if path.is_symlink() { fs::canonicalize(path).map_err(|e| fail(&e))? } else { path.to_path_buf() };
    let existing = match fs::metadata(&target) {
        Ok(metadata) => Some(metadata),
        Err(error) if error.kind() == io::ErrorKind::NotFound => None,
        Err(error) => return Err(fail(&error)),
    };
    if let Some(metadata) = &existing {
        if metadata.is_dir() {
            return Err(WriteError::new(path, "this is a folder, a file name is expected"));
        }
        if !metadata.is_file() {
            return write_straight(&target, bytes).map_err(|e| fail(&e));
        }
        if metadata.permissions().readonly() {
            return Err(WriteError::new(path, "the file is read-only; save under another name"));
        }
    }
    let Some(name) = target.file_name() else {
        return Err(WriteError::new(path, "this does not name a file"));
    };
    let folder = match target.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    if !folder.exists() {
        return Err(WriteError::new(path, format!("the folder {} does not exist", folder.display())));
    }
    let prefix = unfinished_prefix(name);
    let mut builder = tempfile::Builder::new();
    builder.prefix(&prefix).suffix(UNFINISHED);
    #[cfg(unix)]
    let ordinary = std::os::unix::fs::PermissionsExt::from_mode(0o666);
    #[cfg(unix)]
    builder.permissions(ordinary); // less the user's umask, as for any new file
    let mut file = builder.tempfile_in(folder).map_err(|e| fail(&e))?;
    file.write_all(bytes).map_err(|e| fail(&e))?;
    if let Some(metadata) = existing {
        file.as_file().set_permissions(metadata.permissions()).map_err(|e| fail(&e))?;
    }
    file.as_file().sync_all().map_err(|e| fail(&e))?;
    file.persist(&target).map_err(|e| fail(&e.error))?;
    // The rename itself; a file system that cannot flush a folder still holds a whole file.
    let _ = fs::File::open(folder).and_then(|folder| folder.sync_all());
    Ok(())
}

/// How the name of a file ends that is still being written.
const UNFINISHED: &str = ".part";

fn unfinished_prefix(name: &std::ffi::OsStr) -> String {
    format!(".{}-", name.to_string_lossy())
}

/// Removes what writings of this file, or buildings of this folder, left beside it that were cut off (by a crash, a power cut) more
/// than `older_than` ago; one that still goes on is younger. What cannot be removed stays.
pub fn clear_unfinished(path: &Path, older_than: std::time::Duration) {
    let Some(name) = path.file_name() else { return };
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let prefix = unfinished_prefix(name);
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let found = entry.file_name();
        let found = found.to_string_lossy();
        // Between prefix and end stand six letters of tempfile's; a longer rest is another file's.
        let rest = found.strip_prefix(&prefix).and_then(|rest| rest.strip_suffix(UNFINISHED));
        if rest.is_none_or(|rest| rest.len() != 6 || !rest.chars().all(char::is_alphanumeric)) {
            continue;
        }
        let age = entry.metadata().and_then(|metadata| metadata.modified()).map(|at| at.elapsed().unwrap_or_default());
        if age.is_ok_and(|age| age > older_than) {
            let path = entry.path();
            let _ = if path.is_dir() { fs::remove_dir_all(path) } else { fs::remove_file(path) };
        }
    }
}

fn write_straight(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = fs::OpenOptions::new().write(true).open(path)?;
    file.write_all(bytes)?;
    file.flush()
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    pub(crate) fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<_> =
            fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    #[test]
    fn writes_and_replaces_and_leaves_nothing_else() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("Küche hatch.json");
        write_whole(&path, b"one").unwrap();
        write_whole(&path, b"two").unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"two");
        assert_eq!(names(folder.path()), ["Küche hatch.json"]);
    }

    #[test]
    fn only_old_leftovers_of_the_same_file_are_cleared() {
        use std::time::{Duration, SystemTime};
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.json");
        write_whole(&path, b"whole").unwrap();
        let cut_off = folder.path().join(".a.json-dIr123.part");
        fs::create_dir_all(cut_off.join("parts")).unwrap();
        fs::File::open(&cut_off).unwrap().set_modified(SystemTime::now() - Duration::from_secs(600)).unwrap();
        let others = [".a.json-notes.part", ".a.json-b.json-Ab12cD.part", ".b.json-Ab12cD.part", "a.json-Ab12cD.part"];
        for name in others.iter().chain(&[".a.json-Ab12cD.part", ".a.json-Zz99zZ.part"]) {
            let file = fs::File::create(folder.path().join(name)).unwrap();
            if !name.contains("Zz99zZ") {
                file.set_modified(SystemTime::now() - Duration::from_secs(600)).unwrap();
            }
        }
        clear_unfinished(&path, Duration::from_secs(60));
        let mut expected: Vec<_> = others.to_vec();
        expected.extend(["a.json", ".a.json-Zz99zZ.part"]);
        expected.sort_unstable();
        assert_eq!(names(folder.path()), expected);
    }

    #[test]
    fn a_folder_in_the_way_is_named_and_kept() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("taken");
        fs::create_dir(&path).unwrap();
        let error = write_whole(&path, b"x").unwrap_err().to_string();
        assert!(error.contains("taken: this is a folder"), "{error}");
        assert!(path.is_dir());
        assert_eq!(names(folder.path()), ["taken"]);
    }

    #[test]
    fn a_path_below_a_file_or_in_no_folder_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("file");
        fs::write(&file, b"kept").unwrap();
        let below = write_whole(&file.join("below"), b"x").unwrap_err().to_string();
        assert!(below.contains("file is a file, not a folder; give a place"), "{below}");
        let nowhere = write_whole(&folder.path().join("no/where"), b"x").unwrap_err().to_string();
        assert!(nowhere.contains("does not exist"), "{nowhere}");
        assert_eq!(fs::read(&file).unwrap(), b"kept");
        assert_eq!(names(folder.path()), ["file"]);
    }

    #[test]
    #[cfg(target_os = "linux")]
    fn a_full_device_is_reported() {
        let error = write_whole(Path::new("/dev/full"), b"x").unwrap_err().to_string();
        assert_eq!(error, "/dev/full: no space left on device");
    }

    #[test]
    #[cfg(unix)]
    fn a_link_is_followed_and_permissions_are_kept() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempfile::tempdir().unwrap();
        let (file, link) = (folder.path().join("file"), folder.path().join("link"));
        fs::write(&file, b"one").unwrap();
        fs::set_permissions(&file, fs::Permissions::from_mode(0o640)).unwrap();
        symlink(&file, &link).unwrap();
        write_whole(&link, b"two").unwrap();
        assert_eq!(fs::read(&file).unwrap(), b"two");
        assert!(link.is_symlink());
        assert_eq!(fs::metadata(&file).unwrap().permissions().mode() & 0o777, 0o640);
    }

    #[test]
    #[cfg(unix)]
    fn a_read_only_file_is_not_replaced() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("file");
        fs::write(&file, b"one").unwrap();
        fs::set_permissions(&file, fs::Permissions::from_mode(0o444)).unwrap();
        let error = write_whole(&file, b"two").unwrap_err().to_string();
        assert!(error.contains("read-only"), "{error}");
        assert_eq!(fs::read(&file).unwrap(), b"one");
    }
}
