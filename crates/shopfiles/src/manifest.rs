//! The manifest: what is in a job folder, so that a shop can tell whether it has the right files.

use std::fs;
use std::path::{Component, Path};

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::pretty_json::pretty;

/// The newest layout of the manifest.
const VERSION: u32 = 1;
const FORMAT: &str = "overarm-manifest";

/// One file of the job folder.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    /// Path below the job folder, with `/`.
    pub path: String,
    /// Size.
    pub bytes: u64,
    /// SHA-256 of the content, hexadecimal.
    pub sha256: String,
    /// SHA-256 of the project that it was made of, where that is another one than the heading's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub project_sha256: Option<String>,
    /// The version of the program that made it, likewise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub program_version: Option<String>,
    /// The generation of a DXF file, likewise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dxf: Option<String>,
}

impl Entry {
    /// The entry of a file with this content.
    #[must_use]
    pub fn new(path: &str, content: &[u8]) -> Self {
        Self {
            path: path.to_owned(),
            bytes: content.len() as u64,
            sha256: sha256(content),
            project_sha256: None,
            program_version: None,
            dxf: None,
        }
    }
}

/// What the manifest says beside its files.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Heading {
    /// The job's title.
    pub title: String,
    /// SHA-256 of the project as it is saved, which is `project.overarm.json`.
    pub project_sha256: String,
    /// `"holds"` or `"fails"`.
    pub verdict: String,
    /// Names of the rules that fail.
    pub failing_rules: Vec<String>,
    /// `"r2000"` or `"r12"`.
    pub dxf: String,
}

#[derive(Serialize)]
struct Manifest<'a> {
    format: &'static str,
    version: u32,
    program: &'static str,
    program_version: &'static str,
    #[serde(flatten)]
    heading: &'a Heading,
    files: &'a [Entry],
}

/// The bytes of `manifest.json`. No date: the same project gives the same bytes.
///
/// # Errors
/// A sentence where the writer fails, which writing to memory rules out.
pub fn manifest(heading: &Heading, files: &[Entry]) -> Result<Vec<u8>, String> {
    let manifest = Manifest {
        format: FORMAT,
        version: VERSION,
        program: "overarm",
        program_version: env!("CARGO_PKG_VERSION"),
        heading,
        files,
    };
    let value = serde_json::to_value(manifest).map_err(|e| e.to_string())?;
    Ok(pretty(&value).into_bytes())
}

/// A manifest as it stands in a folder.
#[derive(Deserialize)]
struct Found {
    format: String,
    version: u32,
    program_version: String,
    #[serde(flatten)]
    heading: Heading,
    files: Vec<Entry>,
}

/// What the manifest that stands in a folder tells of files that are not written anew.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Earlier {
    /// Files that are as it tells, for the new manifest: marked where they are of another project, version or
    /// generation than its heading says.
    pub kept: Vec<Entry>,
    /// The title of the project that the marked ones are of, where any is.
    pub other_title: Option<String>,
    /// Paths of files that were changed since, or are gone.
    pub no_longer: Vec<String>,
    /// Something is there under the manifest's name, and cannot be read as one.
    pub unreadable: bool,
}

impl Earlier {
    /// Reads the manifest in a folder; `new` are the paths that are written anew under the new heading.
    #[must_use]
    pub fn read(folder: &Path, name: &str, heading: &Heading, new: &[&str]) -> Self {
        let Ok(text) = fs::read(folder.join(name)) else { return Self::default() };
        let found = serde_json::from_slice::<Found>(&text).ok();
        let Some(found) = found.filter(|found| found.format == FORMAT && found.version <= VERSION) else {
            return Self { unreadable: true, ..Self::default() };
        };
        let mut earlier = Self::default();
        for entry in found.files {
            // A path that leads out of the folder is none of a job's.
            let is_inside = Path::new(&entry.path).components().all(|part| matches!(part, Component::Normal(_)));
            if new.contains(&entry.path.as_str()) || !is_inside || entry.path == name {
                continue;
            }
            let path = folder.join(&entry.path);
            let same_size = fs::metadata(&path).is_ok_and(|there| there.is_file() && there.len() == entry.bytes);
            if !same_size || fs::read(&path).map(|content| sha256(&content)).ok().as_ref() != Some(&entry.sha256) {
                earlier.no_longer.push(entry.path);
                continue;
            }
            let mark = |own: Option<String>, theirs: &str, ours: &str| {
                Some(own.unwrap_or_else(|| theirs.to_owned())).filter(|own| own != ours)
            };
            let is_dxf = Path::new(&entry.path).extension().is_some_and(|kind| kind == "dxf");
            let dxf = mark(entry.dxf, &found.heading.dxf, &heading.dxf).filter(|_| is_dxf);
            let entry = Entry {
                project_sha256: mark(entry.project_sha256, &found.heading.project_sha256, &heading.project_sha256),
                program_version: mark(entry.program_version, &found.program_version, env!("CARGO_PKG_VERSION")),
                dxf,
                ..entry
            };
            if entry.project_sha256.is_some() {
                earlier.other_title = Some(found.heading.title.clone());
            }
            earlier.kept.push(entry);
        }
        earlier
    }
}

/// SHA-256 in hexadecimal.
#[must_use]
pub fn sha256(content: &[u8]) -> String {
    Sha256::digest(content).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hashes_as_fips_180_4_says() {
        // FIPS 180-4, the example for "abc".
        assert_eq!(sha256(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }

    #[test]
    fn names_program_project_and_files() {
        let heading = Heading {
            title: "Hatch".to_owned(),
            project_sha256: sha256(b"project"),
            verdict: "fails".to_owned(),
            failing_rules: vec!["clears_room".to_owned()],
            dxf: "r12".to_owned(),
        };
        let bytes = manifest(&heading, &[Entry::new("parts/L-wall-bar.dxf", b"abc")]).unwrap();
        let read: serde_json::Value = serde_json::from_slice(&bytes).unwrap();
        assert_eq!(read["format"], "overarm-manifest");
        assert_eq!(read["program_version"], env!("CARGO_PKG_VERSION"));
        assert_eq!(read["project_sha256"], heading.project_sha256);
        assert_eq!(read["files"][0]["bytes"], 3);
        assert_eq!(read["files"][0]["path"], "parts/L-wall-bar.dxf");
    }
}
