//! The manifest: what is in a job folder, so that a shop can tell whether it has the right files.

use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::pretty_json::pretty;

/// The newest layout of the manifest.
const VERSION: u32 = 1;

/// One file of the job folder.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Entry {
    /// Path below the job folder, with `/`.
    pub path: String,
    /// Size.
    pub bytes: u64,
    /// SHA-256 of the content, hexadecimal.
    pub sha256: String,
}

impl Entry {
    /// The entry of a file with this content.
    #[must_use]
    pub fn new(path: &str, content: &[u8]) -> Self {
        Self { path: path.to_owned(), bytes: content.len() as u64, sha256: sha256(content) }
    }
}

/// What the manifest says beside its files.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
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
        format: "overarm-manifest",
        version: VERSION,
        program: "overarm",
        program_version: env!("CARGO_PKG_VERSION"),
        heading,
        files,
    };
    let value = serde_json::to_value(manifest).map_err(|e| e.to_string())?;
    Ok(pretty(&value).into_bytes())
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
