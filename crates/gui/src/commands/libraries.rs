//! Which of the libraries that a window loads at run time are not on this machine.

use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};

/// File to load, and the Debian package that has it.
const NEEDED: [(&str, &str); 7] = [
    ("libX11.so.6", "libx11-6"),
    ("libXcursor.so.1", "libxcursor1"),
    ("libXi.so.6", "libxi6"),
    ("libxkbcommon-x11.so.0", "libxkbcommon-x11-0"),
    ("libX11-xcb.so.1", "libx11-xcb1"),
    ("libEGL.so.1", "libegl1"),
    ("libGL.so.1", "libgl1"),
];

/// Packages whose library is in none of the folders where the loader looks.
pub fn missing_packages() -> Vec<&'static str> {
    let folders = loader_folders(Path::new("/"), std::env::var_os("LD_LIBRARY_PATH").as_deref());
    missing_from(&folders)
}

fn missing_from(folders: &BTreeSet<PathBuf>) -> Vec<&'static str> {
    NEEDED
        .iter()
        .filter(|(file, _)| !folders.iter().any(|folder| folder.join(file).is_file()))
        .map(|(_, package)| *package)
        .collect()
}

/// The one line that installs them.
pub fn install_line(packages: &[&str]) -> String {
    format!("sudo apt-get install {}", packages.join(" "))
}

/// The folders of ld.so(8): its environment variable, `/etc/ld.so.conf`, the built-in ones.
fn loader_folders(root: &Path, variable: Option<&OsStr>) -> BTreeSet<PathBuf> {
    let mut folders: BTreeSet<PathBuf> = variable.map(std::env::split_paths).into_iter().flatten().collect();
    read_configuration(root, &root.join("etc/ld.so.conf"), &mut folders, 0);
    let triplet = format!("{}-linux-gnu", std::env::consts::ARCH);
    for base in ["lib", "usr/lib", "lib64", "usr/lib64", "usr/local/lib"] {
        folders.insert(root.join(base));
        folders.insert(root.join(base).join(&triplet));
    }
    folders
}

fn read_configuration(root: &Path, file: &Path, folders: &mut BTreeSet<PathBuf>, depth: u32) {
    // A file that includes itself must not hold the program up.
    const DEEPEST: u32 = 4;
    let Ok(text) = fs::read_to_string(file) else { return };
    for line in text.lines() {
        let line = line.split('#').next().unwrap_or_default().trim();
        if let Some(pattern) = line.strip_prefix("include ").filter(|_| depth < DEEPEST) {
            // Only the last part of an include has a star: /etc/ld.so.conf.d/*.conf.
            let pattern = root.join(pattern.trim().trim_start_matches('/'));
            let (Some(folder), Some(name)) = (pattern.parent(), pattern.file_name().and_then(OsStr::to_str)) else {
                continue;
            };
            let (start, end) = name.split_once('*').unwrap_or((name, ""));
            for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
                let found = entry.file_name();
                let found = found.to_string_lossy();
                if found.starts_with(start) && found.ends_with(end) {
                    read_configuration(root, &entry.path(), folders, depth + 1);
                }
            }
        } else if line.starts_with('/') {
            folders.insert(root.join(line.trim_start_matches('/')));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_libraries_where_the_loader_does() {
        let root = tempfile::tempdir().unwrap();
        let at = |path: &str| root.path().join(path);
        for folder in ["etc/ld.so.conf.d", "opt/here", "usr/lib"] {
            fs::create_dir_all(at(folder)).unwrap();
        }
        fs::write(at("etc/ld.so.conf"), "include /etc/ld.so.conf.d/*.conf\n").unwrap();
        fs::write(at("etc/ld.so.conf.d/own.conf"), "# ours\n/opt/here\n").unwrap();
        fs::write(at("opt/here/libXi.so.6"), "").unwrap();
        fs::write(at("usr/lib/libGL.so.1"), "").unwrap();
        let missing = missing_from(&loader_folders(root.path(), None));
        assert_eq!(missing, ["libx11-6", "libxcursor1", "libxkbcommon-x11-0", "libx11-xcb1", "libegl1"]);
        assert_eq!(install_line(&missing[..2]), "sudo apt-get install libx11-6 libxcursor1");
    }

    #[test]
    fn the_loaders_variable_counts() {
        let root = tempfile::tempdir().unwrap();
        let own = root.path().join("own");
        fs::create_dir(&own).unwrap();
        for (file, _) in NEEDED {
            fs::write(own.join(file), "").unwrap();
        }
        assert!(missing_from(&loader_folders(root.path(), Some(own.as_os_str()))).is_empty());
        assert_eq!(missing_from(&loader_folders(root.path(), None)).len(), NEEDED.len());
    }
}
