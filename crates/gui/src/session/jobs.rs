//! File work on a thread of its own, so that no frame ever waits for a disk or a dialog.
//!
//! Reading, saving and making go through one worker in the order they were asked for: two saves
//! never race. A dialog waits on a thread of its own, because it waits for a person.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};

use overarm_shopfiles::job_folder::{self, MakeError, Wanted};
use overarm_solver::Project;

use super::asking::Purpose;
use super::dialog;

/// Called when an outcome has arrived, so that somebody looks.
pub type Wake = Arc<dyn Fn() + Send + Sync>;

/// How a job ended.
#[derive(Debug)]
pub enum Outcome {
    /// A project file was read, or the sentence that says why not.
    Opened {
        /// The file.
        path: PathBuf,
        /// Whether unsaved changes were already given up for it.
        lose_changes: bool,
        /// The project.
        result: Result<Box<Project>, String>,
    },
    /// A project was saved, or why not.
    Saved {
        /// The file.
        path: PathBuf,
        /// What was written.
        project: Arc<Project>,
        /// Nothing, or the sentence.
        result: Result<(), String>,
    },
    /// A job folder was written, or why not.
    Made {
        /// The folder.
        folder: PathBuf,
        /// How many files, or why none.
        result: Result<usize, NotMade>,
    },
    /// A path was chosen in a dialog, or none was.
    Chosen {
        /// What for.
        purpose: Purpose,
        /// The path.
        path: Option<PathBuf>,
    },
}

/// Why a job folder was not written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotMade {
    /// Files are there already, and overwriting was not agreed to.
    AlreadyThere,
    /// Anything else, as a sentence.
    Failed(String),
}

type Work = Box<dyn FnOnce() -> Outcome + Send>;

/// The worker and what it has to say.
pub struct Jobs {
    work: Sender<Work>,
    done: Sender<Outcome>,
    outcomes: Receiver<Outcome>,
    wake: Wake,
    dialog_open: bool,
}

impl Jobs {
    /// Starts the worker; it ends when this is dropped.
    #[must_use]
    pub fn new(wake: Wake) -> Self {
        let (work, incoming) = channel::<Work>();
        let (done, outcomes) = channel();
        let reply = done.clone();
        let wake_after = Arc::clone(&wake);
        std::thread::spawn(move || {
            for job in incoming {
                if reply.send(job()).is_err() {
                    break;
                }
                wake_after();
            }
        });
        Self { work, done, outcomes, wake, dialog_open: false }
    }

    /// Reads a project file.
    pub fn open(&self, path: PathBuf, lose_changes: bool) {
        self.queue(move || {
            let result =
                guarded(|| overarm_shopfiles::project_file::read(&path).map(Box::new).map_err(|e| e.to_string()));
            Outcome::Opened { path, lose_changes, result }
        });
    }

    /// Saves a project.
    pub fn save(&self, path: PathBuf, project: Arc<Project>) {
        self.queue(move || {
            let result = guarded(|| {
                make_parent(&path)?;
                overarm_shopfiles::project_file::save(&path, &project).map_err(|e| e.to_string())
            });
            Outcome::Saved { path, project, result }
        });
    }

    /// Writes a job folder.
    pub fn make(&self, folder: PathBuf, project: Arc<Project>, overwrite: bool) {
        self.queue(move || {
            let result = guarded(|| Ok(write_job_folder(&folder, &project, overwrite)));
            let result = result.map_err(NotMade::Failed).flatten();
            Outcome::Made { folder, result }
        });
    }

    /// Asks for a path in the desktop's own dialog, at most one at a time.
    pub fn browse(&mut self, purpose: Purpose, start: &Path) {
        if self.dialog_open {
            return;
        }
        self.dialog_open = true;
        let ask = dialog::ask(purpose, start);
        let reply = self.done.clone();
        let wake = Arc::clone(&self.wake);
        std::thread::spawn(move || {
            let path = dialog::wait_for(ask);
            if reply.send(Outcome::Chosen { purpose, path }).is_ok() {
                wake();
            }
        });
    }

    /// The next outcome that has arrived.
    pub fn next_outcome(&mut self) -> Option<Outcome> {
        let outcome = self.outcomes.try_recv().ok()?;
        if matches!(outcome, Outcome::Chosen { .. }) {
            self.dialog_open = false;
        }
        Some(outcome)
    }

    fn queue(&self, work: impl FnOnce() -> Outcome + Send + 'static) {
        // The worker only ends with this value, so it is there to take the work.
        let sent = self.work.send(Box::new(work));
        debug_assert!(sent.is_ok(), "the file worker has ended");
    }
}

/// Turns a fault of ours into a sentence, so that the window does not wait for ever.
fn guarded<T>(work: impl FnOnce() -> Result<T, String>) -> Result<T, String> {
    std::panic::catch_unwind(std::panic::AssertUnwindSafe(work)).unwrap_or_else(|_| {
        Err("The program made a mistake while it worked on this file; nothing more was written. \
             Please report it together with the project."
            .to_owned())
    })
}

fn make_parent(path: &Path) -> Result<(), String> {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() && !parent.is_dir() => Err(format!(
            "{}: the folder {} does not exist. Make it first, or choose another.",
            path.display(),
            parent.display()
        )),
        _ => Ok(()),
    }
}

fn write_job_folder(folder: &Path, project: &Project, overwrite: bool) -> Result<usize, NotMade> {
    let wanted = Wanted { force: overwrite, ..Wanted::default() };
    match job_folder::make(project, folder, &wanted) {
        Ok(made) => Ok(made.files.len()),
        Err(MakeError::NotEmpty(_)) => Err(NotMade::AlreadyThere),
        Err(error) => Err(NotMade::Failed(error.to_string())),
    }
}
