//! The view as a picture in a file.

use std::path::PathBuf;
use std::sync::Arc;

use overarm_shopfiles::atomic_write::write_whole;
use overarm_shopfiles::picture::{PictureFormat, Subject, svg};
use overarm_solver::errors::Draws;
use overarm_solver::{Options, Project, analyse};

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
        // The same rules as beside the drawing: those that errors decide too.
        let analysis = analyse(&self.project, &Options::default());
        let analysis = analysis.judged_by_errors(&self.project, &Draws::default());
        let text = svg(self.subject, &self.project, &analysis, self.travel);
        write_whole(&self.path, &self.format.bytes(text)?).map_err(|error| error.to_string())
    }
}
