//! What the session waits to be told: a path, or what becomes of unsaved changes.
//!
//! A file dialog may be missing on a desktop, so every path can also be typed.

use std::path::{Path, PathBuf};

use overarm_shopfiles::picture::Subject;

use super::action::Then;
use super::recent::RecentFile;
use super::recovery::{Recovery, Version};

/// How a project file's name ends.
pub const EXTENSION: &str = ".overarm.json";

/// What a path is wanted for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// To read a project from.
    Open,
    /// To save the project to.
    SaveAs,
    /// To write the job folder into.
    Make,
    /// To write the view as a picture to.
    Picture,
    /// To read what was measured on the parts from.
    Measured,
}

impl Purpose {
    /// In front of the field; also the field's accessible name.
    #[must_use]
    pub fn field_label(self) -> &'static str {
        match self {
            Self::Open => "Project file",
            Self::SaveAs => "Save as",
            Self::Make => "Job folder",
            Self::Picture => "Picture file",
            Self::Measured => "Inspection",
        }
    }

    /// On the button that goes on.
    #[must_use]
    pub fn accept_label(self) -> &'static str {
        match self {
            Self::Open => "Open file",
            Self::SaveAs => "Save file",
            Self::Make => "Make parts",
            Self::Picture => "Write picture",
            Self::Measured => "Take in",
        }
    }
}

/// What the session waits for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Asking {
    /// A path.
    Path(PathQuestion),
    /// What becomes of unsaved changes.
    Unsaved(Then),
    /// Which version to go on with after a crash.
    Recover(Box<Recovery>),
    /// Whether to overwrite what somebody else has in hand.
    Conflict(Conflict),
}

/// A file that somebody else has in hand, and nothing was written to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Conflict {
    /// The file.
    pub path: PathBuf,
    /// What is the matter.
    pub kind: ConflictKind,
}

/// What is the matter with a file that was to be saved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ConflictKind {
    /// It is no longer as it was read or saved here.
    ChangedOnDisk,
    /// Another window works on it.
    OpenElsewhere,
}

impl Conflict {
    /// The sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let path = self.path.display();
        match self.kind {
            ConflictKind::ChangedOnDisk => format!(
                "{path} was changed by another window or program since it was read here. Nothing was written. \
                 Overwriting loses those changes; reading it anew loses yours."
            ),
            ConflictKind::OpenElsewhere => format!(
                "{path} is open in another window. Nothing was written. \
                 Two windows that save to one file take turns in losing each other's changes."
            ),
        }
    }
}

/// What a view has to notice of a question: another one, or the same refused again, wants the keyboard.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Moment {
    of: What,
    refusals: u32,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum What {
    Path(Purpose),
    Unsaved,
    Recover,
    Conflict(ConflictKind),
}

impl Asking {
    /// As it stands now.
    #[must_use]
    pub fn moment(&self) -> Moment {
        let (of, refusals) = match self {
            Self::Path(question) => (What::Path(question.purpose), question.refusals),
            Self::Unsaved(_) => (What::Unsaved, 0),
            Self::Recover(_) => (What::Recover, 0),
            Self::Conflict(conflict) => (What::Conflict(conflict.kind), 0),
        };
        Moment { of, refusals }
    }

    /// The version shown while two are to choose from.
    #[must_use]
    pub fn version_shown(&self) -> Option<Version> {
        match self {
            Self::Recover(recovery) => Some(recovery.shown),
            _ => None,
        }
    }
}

/// A path that is wanted, as far as it is typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PathQuestion {
    /// What for.
    pub purpose: Purpose,
    /// As typed so far.
    pub typed: String,
    /// Why it could not go on, if it could not.
    pub problem: Option<String>,
    /// How often it could not, so that a view notices the same problem twice.
    pub refusals: u32,
    /// Set when something is there already and overwriting was not agreed to yet.
    pub may_overwrite: Option<PathBuf>,
    /// Whether the work it asked for is still going on.
    pub busy: bool,
    /// Files opened before, where one is to be opened, once they were looked at.
    pub recent: Vec<RecentFile>,
}

impl PathQuestion {
    /// A question with a path to start from.
    #[must_use]
    pub fn new(purpose: Purpose, start: &Path) -> Self {
        Self {
            purpose,
            typed: start.display().to_string(),
            problem: None,
            refusals: 0,
            may_overwrite: None,
            busy: false,
            recent: Vec::new(),
        }
    }

    /// Says why it cannot go on.
    pub fn refuse(&mut self, sentence: String) {
        self.problem = Some(sentence);
        self.refusals += 1;
    }

    /// The path meant by what is typed; none when nothing is.
    ///
    /// `~/` is the home folder, surrounding blanks and quotes do not count, and a project to be
    /// saved gets its extension.
    #[must_use]
    pub fn path(&self) -> Option<PathBuf> {
        let home = std::env::var_os("HOME").map(PathBuf::from);
        let path = meant_path(&self.typed, self.purpose, home.as_deref())?;
        // Whole, so that every message says where it is. Without a current folder it stays as typed.
        Some(std::path::absolute(&path).unwrap_or(path))
    }
}

fn meant_path(typed: &str, purpose: Purpose, home: Option<&Path>) -> Option<PathBuf> {
    let typed = typed.trim();
    let quoted = typed.len() > 1 && ["\"", "'"].iter().any(|quote| typed.starts_with(quote) && typed.ends_with(quote));
    let typed = if quoted { &typed[1..typed.len() - 1] } else { typed };
    if typed.is_empty() {
        return None;
    }
    let mut path = match (typed.strip_prefix("~/"), home) {
        (Some(rest), Some(home)) => home.join(rest),
        _ => PathBuf::from(typed),
    };
    if purpose == Purpose::SaveAs {
        path = with_extension(path);
    }
    Some(path)
}

fn with_extension(path: PathBuf) -> PathBuf {
    let Some(name) = path.file_name().map(|name| name.to_string_lossy().into_owned()) else {
        return path;
    };
    if name.to_lowercase().ends_with(".json") {
        return path;
    }
    let stem = name.strip_suffix(".overarm").unwrap_or(&name);
    path.with_file_name(format!("{stem}{EXTENSION}"))
}

/// The folder that a project's parts are made into by default: beside its file, or in the current
/// folder.
#[must_use]
pub fn default_job_folder(project_file: Option<&Path>, title: &str) -> PathBuf {
    match project_file {
        Some(file) => file.with_file_name(format!("{}-job", stem(file))),
        None => here().join(format!("{}-job", slug(title))),
    }
}

/// Where a picture of a view is written by default: beside the project's file, or in the current folder.
#[must_use]
pub fn default_picture_file(project_file: Option<&Path>, title: &str, subject: Subject) -> PathBuf {
    let name = |stem: &str| format!("{stem}-{}.png", subject.word());
    match project_file {
        Some(file) => file.with_file_name(name(&stem(file))),
        None => here().join(name(&slug(title))),
    }
}

/// A project file's name without what every project file's name ends in.
fn stem(file: &Path) -> String {
    let name = file.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    name.strip_suffix(EXTENSION).or_else(|| name.strip_suffix(".json")).unwrap_or(&name).to_owned()
}

/// Where a project without a file is saved by default.
#[must_use]
pub fn default_project_file(title: &str) -> PathBuf {
    here().join(format!("{}{EXTENSION}", slug(title)))
}

/// The current folder, so that a proposed path says where it leads.
#[must_use]
pub fn here() -> PathBuf {
    std::env::current_dir().unwrap_or_default()
}

/// A title as a part of a file's name.
#[must_use]
pub fn slug(title: &str) -> String {
    let words: Vec<String> = title
        .split(|letter: char| !letter.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    if words.is_empty() { "lift".to_owned() } else { words.join("-") }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn meant(typed: &str, purpose: Purpose) -> Option<PathBuf> {
        meant_path(typed, purpose, Some(Path::new("/home/me")))
    }

    #[test]
    fn a_typed_path_means_one_thing() {
        assert_eq!(meant("  ", Purpose::Open), None);
        assert_eq!(meant(" '/a b/c.json' ", Purpose::Open), Some("/a b/c.json".into()));
        assert_eq!(meant("~/lift", Purpose::Make), Some("/home/me/lift".into()));
        assert_eq!(meant("/a/lift", Purpose::SaveAs), Some("/a/lift.overarm.json".into()));
        assert_eq!(meant("/a/lift.overarm", Purpose::SaveAs), Some("/a/lift.overarm.json".into()));
        assert_eq!(meant("/a/lift.json", Purpose::SaveAs), Some("/a/lift.json".into()));
        assert_eq!(meant("\"", Purpose::Open), Some("\"".into()));
    }

    #[test]
    fn the_job_folder_stands_beside_the_project() {
        let folder = default_job_folder(Some(Path::new("/jobs/hatch.overarm.json")), "Any");
        assert_eq!(folder, Path::new("/jobs/hatch-job"));
        assert!(default_job_folder(None, "Chapel kitchen: hatch").ends_with("chapel-kitchen-hatch-job"));
    }
}
