//! File work on threads of its own, so that no frame ever waits for a disk or a dialog.
//!
//! Reading, saving and keeping go through one worker in the order they were asked for: two saves
//! never race. A job folder is made on a thread of its own, because it takes longer than a save may
//! wait; a dialog as well, because it waits for a person.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use overarm_shopfiles::atomic_write::io_words;
use overarm_shopfiles::issue_date;
use overarm_shopfiles::job_folder::{self, MakeError, Progress, Wanted};
use overarm_solver::errors::Draws;
use overarm_solver::{Options, Project, analyse};

use super::asking::Purpose;
use super::autosave::{self, Keeping, Slot};
use super::claim::Claim;
use super::demos::Demo;
use super::dialog;
use super::measured;
use super::on_disk::{self, NotSaved, Opened, Print, Saved, Saving};
use super::picture_file::Picture;
use super::recent::{Recent, RecentFile};
use super::recovery;
use super::settings::{Places, Settings};

/// Called when an outcome has arrived, so that somebody looks.
pub type Wake = Arc<dyn Fn() + Send + Sync>;

/// How a job ended.
#[derive(Debug)]
pub enum Outcome {
    /// A project file was read, or the sentence that says why not.
    Opened {
        /// The file.
        path: PathBuf,
        /// The revision whose unsaved changes were already given up for it.
        lose_changes: Option<u64>,
        /// The project and what is around it.
        result: Result<Box<Opened>, String>,
    },
    /// A demo is to be opened, now that what was asked for before is done.
    OpenedDemo {
        /// The demo.
        demo: Demo,
        /// The revision whose unsaved changes were already given up for it.
        lose_changes: Option<u64>,
    },
    /// A project was saved, or why not.
    Saved {
        /// The file.
        path: PathBuf,
        /// What was written.
        project: Arc<Project>,
        /// What came of it, or why nothing.
        result: Result<Saved, NotSaved>,
    },
    /// Unsaved work was kept, or the sentence that says why not.
    Kept {
        /// What was asked for; the slot is in it.
        keeping: Keeping,
        /// Whether it was.
        result: Result<(), String>,
    },
    /// Kept work got a name of its own, or the sentence that says why not.
    SetAside {
        /// The name.
        result: Result<PathBuf, String>,
    },
    /// The recent files as they are now.
    Recent(Vec<RecentFile>),
    /// Whether a file is still as this window knows it.
    Compared {
        /// The file.
        path: PathBuf,
        /// Whether it is not.
        changed: bool,
    },
    /// A job folder was written, or why not.
    Made {
        /// The folder.
        folder: PathBuf,
        /// What was made, or why nothing.
        result: Result<Made, NotMade>,
    },
    /// A picture was written, or the sentence that says why not.
    Pictured {
        /// The file.
        path: PathBuf,
        /// Nothing, or why not.
        result: Result<(), String>,
    },
    /// A sheet of measured values was read.
    Measured(Box<measured::Read>),
    /// A path was chosen in a dialog, or none was.
    Chosen {
        /// What for.
        purpose: Purpose,
        /// The path.
        path: Option<PathBuf>,
    },
    /// A folder could not be shown: the sentence that says why.
    NotShown(String),
    /// Something ended that nobody waits for.
    Ended,
}

/// A job folder that was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Made {
    /// The files, as paths below it.
    pub files: Vec<String>,
    /// How many rules fail for what was made, whatever became of the project since.
    pub failing: usize,
    /// What there is to mind beside them.
    pub mind: Option<String>,
}

/// Why a job folder was not written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotMade {
    /// Files are there already, and overwriting was not agreed to.
    AlreadyThere,
    /// It was stopped.
    Stopped,
    /// Anything else, as a sentence.
    Failed(String),
}

type Work = Box<dyn FnOnce() -> Outcome + Send>;

/// What this window knows of its file's content.
type Known = Arc<Mutex<Option<(PathBuf, Print)>>>;

/// A job folder that is being made.
struct Making {
    stop: Arc<AtomicBool>,
    progress: Arc<Mutex<Option<Progress>>>,
}

/// The worker and what it has to say.
pub struct Jobs {
    work: Option<Sender<Work>>,
    worker_ended: Receiver<()>,
    done: Sender<Outcome>,
    outcomes: Receiver<Outcome>,
    wake: Wake,
    places: Option<Places>,
    known: Known,
    making: Option<Making>,
    dialog_open: bool,
    folder_program: OsString,
}

impl Jobs {
    /// Starts the worker; it ends when this is dropped.
    #[must_use]
    pub fn new(wake: Wake, places: Option<Places>) -> Self {
        let (work, incoming) = channel::<Work>();
        let (done, outcomes) = channel();
        let (ending, worker_ended) = channel::<()>();
        let reply = done.clone();
        let wake_after = Arc::clone(&wake);
        std::thread::spawn(move || {
            // Dropped at the end, which is what the other side waits for.
            let _ending = ending;
            for job in incoming {
                // Where nobody listens any more, the rest is still done: it may be a save.
                if reply.send(job()).is_ok() {
                    wake_after();
                }
            }
        });
        Self {
            work: Some(work),
            worker_ended,
            done,
            outcomes,
            wake,
            places,
            known: Known::default(),
            making: None,
            dialog_open: false,
            // Of every desktop that follows freedesktop.org.
            folder_program: "xdg-open".into(),
        }
    }

    /// Where the program keeps what is its own.
    #[must_use]
    pub fn places(&self) -> Option<&Places> {
        self.places.as_ref()
    }

    /// Reads a project file; `ours` is the lock file that this window holds.
    pub fn open(&self, path: PathBuf, lose_changes: Option<u64>, ours: Option<PathBuf>) {
        let places = self.places.clone();
        self.queue(move || {
            let result = guarded(|| on_disk::open(&path, places.as_ref(), ours.as_deref()).map(Box::new));
            Outcome::Opened { path, lose_changes, result: result.flatten() }
        });
    }

    /// Opens a demo once what was asked for before is done: a save that runs belongs to the project
    /// that it saves.
    pub fn open_demo(&self, demo: Demo, lose_changes: Option<u64>) {
        self.queue(move || Outcome::OpenedDemo { demo, lose_changes });
    }

    /// Notes what the file of the document contains, from now on.
    pub fn know(&self, path: &Path, print: Print) {
        set_known(&self.known, path, print);
    }

    /// Saves a project.
    pub fn save(&self, saving: Saving) {
        let (places, known) = (self.places.clone(), Arc::clone(&self.known));
        self.queue(move || {
            let result = guarded(|| on_disk::save(&saving, places.as_ref(), known_print(&known, &saving.path)));
            let result = result.map_err(NotSaved::Failed).flatten();
            if let Ok(saved) = &result {
                set_known(&known, &saving.path, saved.print);
            }
            Outcome::Saved { path: saving.path, project: saving.project, result }
        });
    }

    /// Looks whether a file is still as this window knows it.
    pub fn compare(&self, path: PathBuf) {
        let known = Arc::clone(&self.known);
        self.queue(move || {
            let (known, now) = (known_print(&known, &path), Print::of_file(&path));
            Outcome::Compared { path, changed: matches!((known, now), (Some(known), Some(now)) if known != now) }
        });
    }

    /// Keeps unsaved work, at the wanted place or else in the program's own folder.
    pub fn keep(&self, keeping: Keeping, project: Arc<Project>, wanted: Option<PathBuf>) {
        let places = self.places.clone();
        self.queue(move || {
            let result = guarded(|| autosave::keep(&project, wanted.as_deref(), places.as_ref())).flatten();
            Outcome::Kept { result: result.map(|slot| keeping.put(slot)), keeping }
        });
    }

    /// Clears a place of kept work.
    pub fn clear(&self, slot: Slot) {
        self.queue(move || {
            autosave::clear(slot);
            Outcome::Ended
        });
    }

    /// Reads a sheet of measured values for a project at a revision.
    pub fn read_measured(&self, path: PathBuf, revision: u64, project: Arc<Project>) {
        self.queue(move || {
            let result = guarded(|| measured::read(&path, &project)).flatten();
            Outcome::Measured(Box::new(measured::Read { path, revision, result }))
        });
    }

    /// Writes a view as a picture.
    pub fn picture(&self, picture: Picture) {
        self.queue(move || {
            let result = guarded(|| picture.write()).flatten();
            Outcome::Pictured { path: picture.path, result }
        });
    }

    /// Clears what is on its way to a place, once it is there: the worker does one after the other.
    pub fn clear_when_kept(&self, keeping: Keeping) {
        self.queue(move || {
            if let Some(slot) = keeping.take() {
                autosave::clear(slot);
            }
            Outcome::Ended
        });
    }

    /// Gives kept work a name under which it opens as a project.
    pub fn set_aside(&self, kept: PathBuf, claim: Option<Claim>) {
        self.queue(move || {
            let result = recovery::set_aside(&kept);
            drop(claim);
            Outcome::SetAside { result }
        });
    }

    /// Looks which recent files are still there.
    pub fn look_at_recent(&self, recent: Recent) {
        self.queue(move || Outcome::Recent(recent.look()));
    }

    /// Writes the settings. A failure is of no consequence for the work and is not told.
    pub fn write_settings(&self, settings: Settings) {
        let Some(file) = self.places.as_ref().map(|places| places.settings.clone()) else { return };
        self.queue(move || {
            let _ = settings.write(&file);
            Outcome::Ended
        });
    }

    /// Writes a job folder, one at a time.
    pub fn make(&mut self, folder: PathBuf, project: Arc<Project>, overwrite: bool) {
        let (stop, progress) = (Arc::new(AtomicBool::new(false)), Arc::new(Mutex::new(None)));
        self.making = Some(Making { stop: Arc::clone(&stop), progress: Arc::clone(&progress) });
        let reply = self.done.clone();
        let wake = Arc::clone(&self.wake);
        std::thread::spawn(move || {
            let mut all = None;
            let mut watch = |step: Progress| {
                let step = of_as_many(step, &mut all);
                *progress.lock().unwrap_or_else(PoisonError::into_inner) = Some(step);
                wake();
                !stop.load(Ordering::Relaxed)
            };
            let result = guarded(|| write_job_folder(&folder, &project, overwrite, &mut watch));
            let result = result.map_err(NotMade::Failed).flatten();
            if reply.send(Outcome::Made { folder, result }).is_ok() {
                wake();
            }
        });
    }

    /// Shows a folder with the desktop's own program for that, on a thread that waits for it.
    pub fn show_folder(&self, folder: PathBuf) {
        let (program, reply, wake) = (self.folder_program.clone(), self.done.clone(), Arc::clone(&self.wake));
        std::thread::spawn(move || {
            let why = match std::process::Command::new(&program).arg(&folder).stdin(Stdio::null()).status() {
                Ok(status) if status.success() => return,
                Ok(_) => "the desktop shows no folders".to_owned(),
                Err(error) => format!("{}: {}", program.display(), io_words(&error)),
            };
            let sentence = format!("{} could not be opened ({why}); it is there all the same.", folder.display());
            if reply.send(Outcome::NotShown(sentence)).is_ok() {
                wake();
            }
        });
    }

    /// Another program to show folders with.
    pub fn show_folders_with(&mut self, program: OsString) {
        self.folder_program = program;
    }

    /// Whether a job folder is being made.
    #[must_use]
    pub fn is_making(&self) -> bool {
        self.making.is_some()
    }

    /// How far the job folder is, while one is being made.
    #[must_use]
    pub fn progress(&self) -> Option<Progress> {
        self.making.as_ref()?.progress.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Stops the making of a job folder at its next step.
    pub fn stop_making(&self) {
        if let Some(making) = &self.making {
            making.stop.store(true, Ordering::Relaxed);
        }
    }

    /// Whether it was asked to stop.
    #[must_use]
    pub fn is_stopping(&self) -> bool {
        self.making.as_ref().is_some_and(|making| making.stop.load(Ordering::Relaxed))
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
        match outcome {
            Outcome::Chosen { .. } => self.dialog_open = false,
            Outcome::Made { .. } => self.making = None,
            _ => {}
        }
        Some(outcome)
    }

    /// Lets the worker finish what it was asked for, for so long at most; takes no more work then.
    pub fn finish(&mut self, patience: Duration) {
        self.work = None;
        self.stop_making();
        let until = Instant::now() + patience;
        // A folder that is being made is stopped, not torn off: what is half made clears itself.
        while self.making.is_some() && Instant::now() < until {
            let left = until.saturating_duration_since(Instant::now());
            match self.outcomes.recv_timeout(left) {
                Ok(Outcome::Made { .. }) => self.making = None,
                Ok(_) => {}
                Err(RecvTimeoutError::Timeout | RecvTimeoutError::Disconnected) => break,
            }
        }
        // The worker sends nothing here: either it has ended, or patience has.
        let _ = self.worker_ended.recv_timeout(until.saturating_duration_since(Instant::now()));
    }

    fn queue(&self, work: impl FnOnce() -> Outcome + Send + 'static) {
        if let Some(sender) = &self.work {
            // The worker only ends with this value, so it is there to take the work.
            let sent = sender.send(Box::new(work));
            debug_assert!(sent.is_ok(), "the file worker has ended");
        }
    }
}

fn set_known(known: &Known, path: &Path, print: Print) {
    *known.lock().unwrap_or_else(PoisonError::into_inner) = Some((path.to_path_buf(), print));
}

fn known_print(known: &Known, path: &Path) -> Option<Print> {
    let known = known.lock().unwrap_or_else(PoisonError::into_inner);
    known.as_ref().filter(|(of, _)| of == path).map(|(_, print)| *print)
}

/// Turns a fault of ours into a sentence, so that the window does not wait for ever.
fn guarded<T>(work: impl FnOnce() -> T) -> Result<T, String> {
    std::panic::catch_unwind(std::panic::AssertUnwindSafe(work)).map_err(|_| {
        "The program made a mistake while it worked on this file; nothing more was written. \
         Please report it together with the project."
            .to_owned()
    })
}

/// The date of issue that the environment asks for (`SOURCE_DATE_EPOCH`), so that a build that is done
/// again gives the same bytes.
///
/// # Errors
/// A sentence where what is asked for is no date.
pub fn given_date() -> Result<Option<String>, String> {
    let value = std::env::var_os(issue_date::VARIABLE);
    issue_date::asked_for(value.map(|value| value.to_string_lossy().into_owned()).as_deref())
}

/// Files, once it is known how many they are, count as the one step that was kept for them: what is done
/// never becomes a smaller share.
fn of_as_many(step: Progress, all: &mut Option<usize>) -> Progress {
    let of = *all.get_or_insert(step.of);
    if step.of == of { step } else { Progress { done: of.saturating_sub(1), of, ..step } }
}

fn write_job_folder(
    folder: &Path,
    project: &Project,
    overwrite: bool,
    watch: &mut dyn FnMut(Progress) -> bool,
) -> Result<Made, NotMade> {
    let date = given_date().map_err(NotMade::Failed)?;
    let wanted = Wanted { force: overwrite, date, ..Wanted::default() };
    let analysis = analyse(project, &Options::default()).with_errors_drawn(project, &Draws::default());
    match job_folder::make_watched(project, &analysis, folder, &wanted, watch) {
        Ok(made) => {
            let failing = analysis.rules.iter().filter(|finding| finding.holds == Some(false)).count();
            let mind = made
                .words_of_earlier()
                .into_iter()
                .chain(made.unwritten_words())
                .reduce(|all, one| format!("{all}. {one}"));
            Ok(Made { files: made.files, failing, mind })
        }
        Err(MakeError::NotEmpty(_)) => Err(NotMade::AlreadyThere),
        Err(MakeError::Stopped) => Err(NotMade::Stopped),
        Err(error) => Err(NotMade::Failed(error.to_string())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_done_never_becomes_a_smaller_share() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let project = super::super::demo();
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let (mut all, mut steps, mut files) = (None, Vec::new(), 0);
        let mut watch = |step: Progress| {
            files += usize::from(step.step.starts_with("writing"));
            steps.push(of_as_many(step, &mut all));
            true
        };
        job_folder::make_watched(&project, &analysis, &folder.path().join("job"), &Wanted::default(), &mut watch)
            .expect("a job folder");
        assert!(files > 20, "{files}");
        for pair in steps.windows(2) {
            assert!(pair[0].of == pair[1].of && pair[0].done <= pair[1].done && pair[1].done < pair[1].of, "{pair:?}");
        }
        // The last of them is the last step.
        let last = steps.last().expect("a step");
        assert_eq!(last.done + 1, last.of);
    }
}
