//! The view as a picture in a file.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use overarm_shopfiles::atomic_write::write_whole;
use overarm_shopfiles::picture::{PNG_ZOOM, Subject, png, svg};
use overarm_solver::{Options, Project, analyse};

/// What a picture is written as.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PictureFormat {
    /// Pixels.
    #[default]
    Png,
    /// Lines and letters.
    Svg,
}

impl PictureFormat {
    /// By how a file's name ends; `None` where it ends otherwise.
    #[must_use]
    pub fn of(path: &Path) -> Option<Self> {
        match path.extension()?.to_string_lossy().to_ascii_lowercase().as_str() {
            "png" => Some(Self::Png),
            "svg" => Some(Self::Svg),
            _ => None,
        }
    }
}

/// A picture that is to be written.
#[derive(Clone, Debug)]
pub struct Picture {
    /// Where.
    pub path: PathBuf,
    /// As what.
    pub format: PictureFormat,
    /// Of which lift.
    pub project: Arc<Project>,
    /// From where.
    pub subject: Subject,
    /// At which pose: 0 hung, 1 parked.
    pub travel: f64,
}

impl Picture {
    /// Writes it, whole or not at all.
    ///
    /// # Errors
    /// The sentence that says why not.
    pub fn write(&self) -> Result<(), String> {
        let analysis = analyse(&self.project, &Options::default());
        let text = svg(self.subject, &self.project, &analysis, self.travel);
        let bytes = match self.format {
            PictureFormat::Png => png(&text, PNG_ZOOM)?,
            PictureFormat::Svg => text.into_bytes(),
        };
        write_whole(&self.path, &bytes).map_err(|error| error.to_string())
    }
}
