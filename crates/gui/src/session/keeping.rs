//! What a session does on its own: keeping unsaved work, offering what a crash left, remembering.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant, SystemTime};

use super::action::Answer;
use super::asking::Asking;
use super::autosave::{Due, Keeping, Slot, beside};
use super::document::Document;
use super::on_disk;
use super::recovery::{Found, Recovery, Version, Versions, look_in_own_folder};
use super::settings::{Settings, WindowPlace};
use super::{Notice, Session, demo};

/// Settings rest this long before they are written: longer than a window is pushed about.
const SETTINGS_REST: Duration = Duration::from_secs(1);

/// What is still to be written when the window has closed gets this long: a slow disk, not a dead one.
const LAST_PATIENCE: Duration = Duration::from_secs(5);

/// Settings, and since when they differ from what is written.
#[derive(Debug, Default)]
pub(super) struct Remembered {
    pub(super) now: Settings,
    written: Settings,
    changing: bool,
    rests_since: Option<Instant>,
}

impl Remembered {
    pub(super) fn read(settings: Settings) -> Self {
        Self { written: settings.clone(), now: settings, changing: false, rests_since: None }
    }
}

impl Session {
    /// What is remembered between runs.
    #[must_use]
    pub fn settings(&self) -> &Settings {
        &self.remembered.now
    }

    /// Changes what is remembered between runs.
    pub fn remember(&mut self, change: impl FnOnce(&mut Settings)) {
        let before = self.remembered.now.clone();
        change(&mut self.remembered.now);
        if self.remembered.now != before {
            self.remembered.changing = true;
        }
    }

    /// Remembers where the window stands; what the system does not tell stays as it was told last.
    pub fn window_is_at(&mut self, place: WindowPlace) {
        self.remember(|settings| {
            let before = settings.window;
            // A window that fills the screen goes back to where it was before.
            let size = before.filter(|_| place.maximized).map_or(place.size, |before| before.size);
            let at = if place.maximized { before.and_then(|before| before.at) } else { place.at };
            settings.window = Some(WindowPlace { at, size, ..place });
        });
    }

    /// Does what is due at `now`; tells when to look again, if ever.
    pub fn tick(&mut self, now: Instant) -> Option<Duration> {
        let settings = self.write_settings_in_time(now);
        let work = self.keep_in_time(now);
        let errors = self.draw_errors_in_time(now);
        self.analyst.look_ahead(self.document.revision(), self.document.project());
        // What is drawn next goes before what is found out beside it, from now on.
        self.where_it_holds.pause(self.is_stale());
        self.drive_places.pause(self.is_stale());
        [settings, work, errors, self.analyst.old_in()].into_iter().flatten().min()
    }

    fn write_settings_in_time(&mut self, now: Instant) -> Option<Duration> {
        let remembered = &mut self.remembered;
        if std::mem::take(&mut remembered.changing) {
            remembered.rests_since = Some(now);
        }
        let since = remembered.rests_since?;
        let wait = SETTINGS_REST.saturating_sub(now.saturating_duration_since(since));
        if !wait.is_zero() {
            return Some(wait);
        }
        self.write_settings();
        None
    }

    fn write_settings(&mut self) {
        self.remembered.rests_since = None;
        self.remembered.changing = false;
        if self.remembered.now != self.remembered.written {
            self.remembered.written = self.remembered.now.clone();
            self.jobs.write_settings(self.remembered.now.clone());
        }
    }

    fn keep_in_time(&mut self, now: Instant) -> Option<Duration> {
        // While something is dragged it is not what anybody wants yet; while two versions are to
        // choose from, both are on the disk.
        if self.drag.is_some() || self.versions.is_some() || self.jobs.places().is_none() {
            return None;
        }
        let (revision, unsaved) = (self.document.revision(), self.document.has_unsaved_changes());
        match self.autosave.due(revision, unsaved, now) {
            Due::Nothing => None,
            Due::Wait(wait) => Some(wait),
            Due::Keep => {
                self.keep_now();
                None
            }
            Due::Forget => {
                self.forget_kept();
                None
            }
        }
    }

    /// Keeps the project as it stands; the worker does it.
    pub(super) fn keep_now(&mut self) {
        let named = self.document.path().filter(|_| !self.open_elsewhere).map(beside);
        let wanted = self.autosave.slot().map(PathBuf::from).or(named);
        let keeping = self.autosave.begun(self.document.revision());
        self.jobs.keep(keeping, Arc::clone(self.document.project()), wanted);
    }

    /// The revision that lies on the disk in case of a crash; none while it is on its way there.
    #[must_use]
    pub fn kept_revision(&self) -> Option<u64> {
        self.autosave.kept()
    }

    /// Clears what is kept, and what is on its way to be.
    pub(super) fn forget_kept(&mut self) {
        let (slot, on_its_way) = self.autosave.give_up();
        if let Some(slot) = slot {
            self.jobs.clear(slot);
        }
        if let Some(keeping) = on_its_way {
            self.jobs.clear_when_kept(keeping);
        }
    }

    pub(super) fn take_kept(&mut self, keeping: &Keeping, result: Result<(), String>) {
        // Of a document that was saved or left since: the worker clears it.
        if !self.autosave.waits_for(keeping) {
            return;
        }
        match (result, keeping.take()) {
            (Ok(()), Some(slot)) => {
                if let Some(old) = self.autosave.done(slot) {
                    self.jobs.clear(old);
                }
            }
            (Ok(()), None) => self.autosave.failed(),
            (Err(sentence), _) => {
                self.autosave.failed();
                let text = format!("Unsaved changes cannot be kept for the case of a crash ({sentence}). Save often.");
                self.notice = Some(Notice::Problem(text));
            }
        }
    }

    /// Starts with a project file, before the first frame; the demo stays when it cannot be read.
    pub fn start_with(&mut self, file: PathBuf) {
        match on_disk::open(&file, self.jobs.places(), None) {
            Ok(opened) => {
                self.take_opened(file, opened);
                self.notice.take_if(|notice| matches!(notice, Notice::Done(_)));
            }
            Err(sentence) => self.notice = Some(Notice::Problem(sentence)),
        }
    }

    /// Looks for work that never had a file and that a crash left, and offers it.
    pub fn look_for_lost_work(&mut self) {
        if let Some(places) = self.jobs.places() {
            self.lost = look_in_own_folder(places);
            self.offer_lost();
        }
    }

    fn offer_lost(&mut self) {
        let untouched = self.document.path().is_none() && !self.document.has_unsaved_changes();
        if untouched && !self.lost.is_empty() {
            let found = self.lost.remove(0);
            self.offer(found);
        } else {
            // Their claims are given back: the next start finds them again.
            self.lost.clear();
        }
    }

    /// Asks which version to go on with.
    pub(super) fn offer(&mut self, found: Found) {
        let saved = Arc::clone(self.document.project());
        let recovery = Recovery::new(self.document.path(), &saved, &found, SystemTime::now());
        self.versions = Some(Versions { saved, recovered: Arc::new(*found.project), claim: found.claim });
        self.asking = Some(Asking::Recover(Box::new(recovery)));
    }

    /// Whether two versions are to choose from; until then nothing else is done to the project.
    #[must_use]
    pub fn is_choosing(&self) -> bool {
        self.versions.is_some()
    }

    pub(super) fn answer_recovery(&mut self, mut recovery: Box<Recovery>, answer: &Answer) {
        let Some(versions) = self.versions.as_ref() else { return };
        let (saved, recovered) = (Arc::clone(&versions.saved), Arc::clone(&versions.recovered));
        match answer {
            Answer::Show(version) => {
                recovery.shown = *version;
                self.document.set(if *version == Version::Saved { saved } else { recovered });
                self.asking = Some(Asking::Recover(recovery));
            }
            Answer::Take(Version::Saved) => {
                let claim = self.versions.take().and_then(|versions| versions.claim);
                self.document.set(saved);
                self.jobs.set_aside(recovery.kept, claim);
            }
            Answer::Take(Version::Recovered) => {
                let claim = self.versions.take().and_then(|versions| versions.claim);
                self.document.set(Arc::clone(&saved));
                self.history.record("Take the recovered version".to_owned(), saved);
                self.document.set(recovered);
                self.autosave.found(self.document.revision(), Slot { path: recovery.kept, claim });
                let (what, back) = match &recovery.file {
                    Some(_) => ("It is not saved to the file yet", "Undo goes back to the saved version"),
                    None => ("It has no file yet", "Undo goes back to the demo"),
                };
                let text = format!("Took the recovered version of “{}”. {what}: Save does it. {back}.", recovery.title);
                self.notice = Some(Notice::Made(text));
                self.lost.clear();
            }
            // Nothing is decided by the Escape key, nor by answers to other questions.
            _ => self.asking = Some(Asking::Recover(recovery)),
        }
    }

    pub(super) fn take_set_aside(&mut self, result: Result<PathBuf, String>) {
        self.notice = Some(match result {
            Ok(path) => Notice::Made(format!("The recovered version is kept as {}.", path.display())),
            Err(sentence) => Notice::Problem(format!("The recovered version: {sentence}")),
        });
        self.offer_lost();
    }

    /// Ends the session: what is to be written is written, work that was saved or given up is no
    /// longer kept. Work that neither was stays kept.
    pub fn finish(&mut self) {
        if self.close_agreed && self.versions.is_none() {
            self.forget_kept();
        }
        self.write_settings();
        self.jobs.finish(LAST_PATIENCE);
    }

    /// A document that is the demo.
    pub(super) fn demo_document() -> Document {
        Document::new(demo(), None)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::{Action, Edit, Handle, Places, autosave};

    fn nudged(places: &Places) -> Session {
        let mut session = Session::with_places(Arc::new(|| {}), Some(places.clone()));
        session.apply(Action::Edit(Edit::Nudge(Handle::WallUpper, nalgebra::Vector2::new(1.0, 0.0))));
        session
    }

    fn kept_files(places: &Places) -> usize {
        let files = std::fs::read_dir(autosave::own_folder(places)).into_iter().flatten().flatten();
        files.filter(|file| file.path().to_string_lossy().ends_with(autosave::KEPT)).count()
    }

    #[test]
    fn work_given_up_on_its_way_to_the_disk_is_cleared_there() {
        for _ in 0..20 {
            let folder = tempfile::tempdir().expect("a folder");
            let places = Places::below(folder.path());
            let mut session = nudged(&places);
            session.keep_now();
            session.close_agreed = true;
            // The worker may not have begun, or have ended without anybody having looked.
            session.finish();
            assert_eq!(kept_files(&places), 0);
        }
    }

    #[test]
    fn a_place_of_the_document_before_is_not_taken_for_the_next() {
        let folder = tempfile::tempdir().expect("a folder");
        let places = Places::below(folder.path());
        let mut session = nudged(&places);
        session.keep_now();
        session.forget_kept();
        session.keep_now();
        let patience = Instant::now() + Duration::from_secs(20);
        while session.kept_revision().is_none() {
            assert!(Instant::now() < patience, "it is never kept");
            session.take_outcomes();
            std::thread::sleep(Duration::from_millis(1));
        }
        session.jobs.finish(LAST_PATIENCE);
        session.take_outcomes();
        assert_eq!(kept_files(&places), 1, "only the later one");
        assert!(session.autosave.slot().is_some_and(std::path::Path::exists));
    }
}
