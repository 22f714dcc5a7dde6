//! The document: a project, where it is kept, and whether it has been saved as it stands.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use overarm_solver::Project;

/// What is being worked on.
#[derive(Clone, Debug)]
pub struct Document {
    project: Arc<Project>,
    saved: Arc<Project>,
    path: Option<PathBuf>,
    revision: u64,
}

impl Document {
    /// A document that is as it was read, or as it comes with the program (`path` none).
    #[must_use]
    pub fn new(project: Project, path: Option<PathBuf>) -> Self {
        let project = Arc::new(project);
        Self { saved: Arc::clone(&project), project, path, revision: 1 }
    }

    /// The project as it stands.
    #[must_use]
    pub fn project(&self) -> &Arc<Project> {
        &self.project
    }

    /// Counts every change; equal revisions of one document mean equal projects.
    #[must_use]
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// Where it is kept, if anywhere yet.
    #[must_use]
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// Its file's name, or what stands for one.
    #[must_use]
    pub fn file_name(&self) -> String {
        self.path
            .as_deref()
            .and_then(Path::file_name)
            .map_or_else(|| "not saved to a file yet".to_owned(), |name| name.to_string_lossy().into_owned())
    }

    /// Whether closing now would lose something.
    #[must_use]
    pub fn has_unsaved_changes(&self) -> bool {
        !Arc::ptr_eq(&self.project, &self.saved) && self.project != self.saved
    }

    /// Replaces the project, unless it is the same.
    pub(super) fn set(&mut self, project: Arc<Project>) {
        if self.project != project {
            self.project = project;
            self.revision += 1;
        }
    }

    /// Notes that `project` is what now stands in the file at `path`.
    pub(super) fn saved_as(&mut self, path: PathBuf, project: Arc<Project>) {
        self.path = Some(path);
        self.saved = project;
    }

    /// Replaces everything by another document; the revision goes on counting.
    pub(super) fn replace(&mut self, project: Project, path: Option<PathBuf>) {
        let revision = self.revision + 1;
        *self = Self { revision, ..Self::new(project, path) };
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;

    #[test]
    fn going_back_to_what_was_saved_counts_as_saved() {
        let mut document = Document::new(demo(), None);
        let before = Arc::clone(document.project());
        let mut changed = demo();
        changed.panel.mass = 17.0;
        document.set(Arc::new(changed));
        assert!(document.has_unsaved_changes());
        assert_eq!(document.revision(), 2);
        document.set(before);
        assert!(!document.has_unsaved_changes());
        assert_eq!(document.revision(), 3);
    }
}
