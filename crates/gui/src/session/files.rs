//! Opening, saving, making and closing: the part of a session that deals with files.

use std::path::PathBuf;
use std::sync::Arc;

use overarm_shopfiles::picture::PictureFormat;
use overarm_solver::Project;

use super::action::{Answer, Command, Then};
use super::asking::{
    Asking, Conflict, ConflictKind, PathQuestion, Purpose, default_job_folder, default_picture_file,
    default_project_file, here,
};
use super::claim::Holder;
use super::demos::Demo;
use super::jobs::{Made, NotMade, Outcome};
use super::on_disk::{Agreed, NotSaved, Opened, Saving};
use super::picture_file::Picture;
use super::{History, Notice, Session, Tape};

impl Session {
    pub(super) fn file_command(&mut self, command: Command) {
        self.notice = None;
        match command {
            Command::Open => {
                let folder = self.document.path().and_then(std::path::Path::parent).map_or_else(here, PathBuf::from);
                let mut question = PathQuestion::new(Purpose::Open, &folder);
                if !question.typed.is_empty() && !question.typed.ends_with(std::path::MAIN_SEPARATOR) {
                    question.typed.push(std::path::MAIN_SEPARATOR);
                }
                self.asking = Some(Asking::Path(question));
                self.jobs.look_at_recent(self.settings().recent.clone());
            }
            Command::Save => self.save(),
            Command::SaveAs => self.ask_where_to_save(),
            Command::Make => {
                let folder = default_job_folder(self.document.path(), self.project().title());
                let mut question = PathQuestion::new(Purpose::Make, &folder);
                question.busy = self.jobs.is_making();
                self.asking = Some(Asking::Path(question));
            }
            Command::Picture => {
                let file = default_picture_file(self.document.path(), self.project().title(), self.subject);
                self.asking = Some(Asking::Path(PathQuestion::new(Purpose::Picture, &file)));
            }
            Command::Measured => {
                let folder = default_job_folder(self.document.path(), self.project().title());
                let sheet = folder.join("inspection.csv");
                self.asking = Some(Asking::Path(PathQuestion::new(Purpose::Measured, &sheet)));
            }
            Command::Close if self.document.has_unsaved_changes() && !self.is_choosing() => {
                self.asking = Some(Asking::Unsaved(Then::Close));
            }
            Command::Close => self.close_agreed = true,
            _ => {}
        }
    }

    fn save(&mut self) {
        match self.document.path().map(PathBuf::from) {
            Some(path) => self.save_to(path, Agreed::default()),
            None => self.ask_where_to_save(),
        }
    }

    fn save_to(&mut self, path: PathBuf, agreed: Agreed) {
        // Once it was agreed that two windows have it, every save need not ask again.
        let own_file = self.document.path() == Some(path.as_path());
        let elsewhere = agreed.elsewhere || (own_file && self.sharing_agreed);
        self.sharing_agreed |= own_file && agreed.elsewhere;
        self.jobs.save(Saving {
            path,
            project: Arc::clone(self.document.project()),
            agreed: Agreed { elsewhere, ..agreed },
            kept: self.autosave.slot().map(PathBuf::from),
            ours: self.claim.as_ref().map(|claim| claim.path().to_path_buf()),
        });
    }

    fn ask_where_to_save(&mut self) {
        let start = self.document.path().map_or_else(|| default_project_file(self.project().title()), PathBuf::from);
        self.asking = Some(Asking::Path(PathQuestion::new(Purpose::SaveAs, &start)));
    }

    pub(super) fn answer(&mut self, answer: Answer) {
        match (self.asking.take(), answer) {
            (Some(Asking::Recover(recovery)), answer) => self.answer_recovery(recovery, &answer),
            (Some(Asking::Path(question)), Answer::Cancel) if question.purpose == Purpose::Make && question.busy => {
                // It ends at its next step, and then says so.
                self.jobs.stop_making();
                self.asking = Some(Asking::Path(question));
            }
            (_, Answer::Cancel) => self.after_save = None,
            (Some(Asking::Path(mut question)), Answer::Typed(text)) => {
                if question.typed != text {
                    question.typed = text;
                    question.problem = None;
                    question.may_overwrite = None;
                }
                self.asking = Some(Asking::Path(question));
            }
            (Some(Asking::Path(mut question)), Answer::Browse) => {
                question.problem = None;
                let start = question.path().unwrap_or_else(here);
                self.jobs.browse(question.purpose, &start);
                self.asking = Some(Asking::Path(question));
            }
            (Some(Asking::Path(mut question)), Answer::OpenRecent(path)) if !question.busy => {
                question.typed = path.display().to_string();
                self.go_on(question, false);
            }
            (Some(Asking::Path(question)), Answer::Accept) if !question.busy => self.go_on(question, false),
            (Some(Asking::Path(question)), Answer::Overwrite) if !question.busy => self.go_on(question, true),
            (Some(Asking::Unsaved(then)), Answer::SaveFirst) => {
                self.after_save = Some(then);
                self.save();
            }
            (Some(Asking::Unsaved(then)), Answer::LoseChanges) => self.go(then),
            (Some(Asking::Conflict(conflict)), Answer::Overwrite) => {
                // What was agreed to for one reason does not cover the other, unless it was told before.
                let agreed = match conflict.kind {
                    ConflictKind::ChangedOnDisk => Agreed { changed: true, elsewhere: self.sharing_agreed },
                    ConflictKind::OpenElsewhere => Agreed { changed: false, elsewhere: true },
                };
                self.save_to(conflict.path, agreed);
            }
            (Some(Asking::Conflict(_)), Answer::SaveElsewhere) => self.ask_where_to_save(),
            (Some(Asking::Conflict(conflict)), Answer::ReadAnew) => {
                self.after_save = None;
                self.open(conflict.path, None);
            }
            // An answer to a question that is no longer asked.
            (asking, _) => self.asking = asking,
        }
    }

    fn go(&mut self, then: Then) {
        match then {
            Then::Open(path) => self.open(path, Some(self.document.revision())),
            Then::OpenDemo(demo) => self.jobs.open_demo(demo, Some(self.document.revision())),
            Then::Close => self.close_agreed = true,
        }
    }

    /// Reads a file; changes of the revision `lose_changes` need not be asked for again.
    pub(super) fn open(&mut self, path: PathBuf, lose_changes: Option<u64>) {
        let ours = self.claim.as_ref().map(|claim| claim.path().to_path_buf());
        self.jobs.open(path, lose_changes, ours);
    }

    fn go_on(&mut self, mut question: PathQuestion, overwrite: bool) {
        match question.path() {
            None => question.refuse("Type a path, or choose one with Browse.".to_owned()),
            Some(path) => {
                // Overwriting was agreed to for the path that was shown, not for any other.
                let agreed = overwrite && question.may_overwrite.as_ref() == Some(&path);
                let own_file = self.document.path() == Some(path.as_path());
                let replaces = match question.purpose {
                    Purpose::SaveAs => !own_file,
                    Purpose::Picture => true,
                    Purpose::Open | Purpose::Make | Purpose::Measured => false,
                };
                let format = PictureFormat::of(&path);
                if question.purpose == Purpose::Picture && format.is_none() {
                    question.refuse("A picture's name ends in .png or .svg. Nothing was written.".to_owned());
                } else if replaces && path.exists() && !agreed {
                    question.refuse(format!("{} exists already. Nothing was written.", path.display()));
                    question.may_overwrite = Some(path);
                } else {
                    question.problem = None;
                    question.busy = true;
                    match question.purpose {
                        Purpose::Open => self.open(path, None),
                        Purpose::Measured => self.open_measured(path),
                        Purpose::SaveAs => self.save_to(path, Agreed::default()),
                        Purpose::Make => self.jobs.make(path, Arc::clone(self.document.project()), agreed),
                        Purpose::Picture => self.jobs.picture(Picture {
                            path,
                            format: format.unwrap_or_default(),
                            project: Arc::clone(self.document.project()),
                            subject: self.subject,
                            travel: self.travel,
                        }),
                    }
                }
            }
        }
        self.asking = Some(Asking::Path(question));
    }

    /// Looks whether the file is still as it was read or saved here, and says so if it is not.
    pub fn look_at_file(&self) {
        if let Some(path) = self.document.path() {
            self.jobs.compare(path.to_path_buf());
        }
    }

    /// Takes in what file work has ended; true when there was any.
    pub fn take_outcomes(&mut self) -> bool {
        let mut any = false;
        while let Some(outcome) = self.jobs.next_outcome() {
            any = true;
            self.take_outcome(outcome);
        }
        any
    }

    fn take_outcome(&mut self, outcome: Outcome) {
        match outcome {
            Outcome::Chosen { purpose, path } => self.take_chosen(purpose, path),
            Outcome::Opened { path, lose_changes, result: Ok(opened) } => {
                if self.is_choosing() {
                    // Two versions came to choose from in the meantime; they go first.
                } else if self.document.has_unsaved_changes() && lose_changes != Some(self.document.revision()) {
                    self.asking = Some(Asking::Unsaved(Then::Open(path)));
                } else {
                    self.take_opened(path, *opened);
                }
            }
            Outcome::OpenedDemo { demo, lose_changes } => {
                if self.is_choosing() {
                    // As above.
                } else if self.document.has_unsaved_changes() && lose_changes != Some(self.document.revision()) {
                    self.asking = Some(Asking::Unsaved(Then::OpenDemo(demo)));
                } else {
                    self.take_demo(demo);
                }
            }
            Outcome::Opened { result: Err(sentence), .. } => self.report(Purpose::Open, sentence),
            Outcome::Saved { path, project, result: Ok(saved) } => {
                self.done_asking(Purpose::SaveAs, Notice::Done(format!("Saved {}", path.display())));
                self.take_holder(saved.holder);
                self.remember(|settings| settings.recent.note(&path));
                self.document.saved_as(path, project);
                self.told_of_change = false;
                self.forget_kept();
                if self.document.has_unsaved_changes() {
                    // Made while it was being saved.
                    self.keep_now();
                }
                match self.after_save.take() {
                    Some(then) if self.document.has_unsaved_changes() => self.asking = Some(Asking::Unsaved(then)),
                    Some(then) => self.go(then),
                    None => {}
                }
            }
            Outcome::Saved { path, result: Err(not_saved), .. } => self.take_not_saved(path, not_saved),
            Outcome::Kept { keeping, result } => self.take_kept(&keeping, result),
            Outcome::SetAside { result } => self.take_set_aside(result),
            Outcome::Recent(files) => {
                if let Some(Asking::Path(question)) = &mut self.asking
                    && question.purpose == Purpose::Open
                {
                    question.recent = files;
                }
            }
            Outcome::Compared { path, changed } => {
                let own_file = self.document.path() == Some(path.as_path());
                if changed && own_file && !std::mem::replace(&mut self.told_of_change, true) {
                    self.notice = Some(Notice::Problem(format!(
                        "{} was changed by another window or program since it was read here. \
                         Open reads it anew; Save asks before it overwrites it.",
                        path.display()
                    )));
                }
            }
            Outcome::Pictured { path, result: Ok(()) } => {
                self.done_asking(Purpose::Picture, Notice::Made(format!("Wrote {}", path.display())));
            }
            Outcome::Pictured { result: Err(sentence), .. } => self.report(Purpose::Picture, sentence),
            Outcome::Measured(read) => self.take_measured(*read),
            Outcome::Made { folder, result } => self.take_made(folder, result),
            Outcome::NotShown(sentence) => self.notice = Some(Notice::Problem(sentence)),
            Outcome::Ended => {}
        }
    }

    fn take_chosen(&mut self, purpose: Purpose, path: Option<PathBuf>) {
        if let Some(Asking::Path(question)) = &mut self.asking
            && question.purpose == purpose
        {
            match path {
                Some(path) => {
                    question.typed = path.display().to_string();
                    question.problem = None;
                    question.may_overwrite = None;
                }
                None => {
                    question.refuse(
                        "No path was chosen. If no dialog appeared, this desktop offers none: type the path here."
                            .to_owned(),
                    );
                }
            }
        }
    }

    /// Goes on with a project that was read.
    pub(super) fn take_opened(&mut self, path: PathBuf, opened: Opened) {
        let path = std::path::absolute(&path).unwrap_or(path);
        self.done_asking(Purpose::Open, Notice::Done(format!("Opened {}", path.display())));
        self.forget_kept();
        self.take_holder(opened.holder);
        self.jobs.know(&path, opened.print);
        self.remember(|settings| settings.recent.note(&path));
        self.start_on(opened.project, Some(path.clone()));
        if let Some(trouble) = opened.trouble {
            self.notice = Some(Notice::Problem(trouble));
        } else if self.open_elsewhere {
            self.notice = Some(Notice::Problem(format!(
                "{} is open in another window as well. Both can change it; saving asks first.",
                path.display()
            )));
        }
        if let Some(found) = opened.found {
            self.offer(found);
        }
    }

    /// Goes on with a demo, which has no file yet.
    fn take_demo(&mut self, demo: Demo) {
        let project = demo.project();
        self.asking = None;
        self.notice = Some(Notice::Done(format!("Opened the demo {}", project.title())));
        self.forget_kept();
        self.take_holder(Some(Holder::Unknown));
        self.start_on(project, None);
    }

    /// Starts afresh on a project that was just read.
    fn start_on(&mut self, project: Project, path: Option<PathBuf>) {
        self.told_of_change = false;
        self.drag = None;
        self.refused_edit = None;
        self.document.replace(project, path);
        self.history = History::default();
        self.travel = 0.0;
        self.playing = None;
        self.picked = None;
        self.picked_bar = None;
        self.documents_opened += 1;
        self.analyst.start_afresh();
        self.tape = Tape::default();
    }

    /// Notes who works on the document's file from now on; none: as before.
    fn take_holder(&mut self, holder: Option<Holder>) {
        let Some(holder) = holder else { return };
        self.sharing_agreed &= matches!(holder, Holder::Elsewhere);
        self.open_elsewhere = matches!(holder, Holder::Elsewhere);
        self.claim = match holder {
            Holder::Here(claim) => Some(claim),
            Holder::Elsewhere | Holder::Unknown => None,
        };
    }

    fn take_not_saved(&mut self, path: PathBuf, not_saved: NotSaved) {
        let kind = match not_saved {
            NotSaved::ChangedOnDisk => ConflictKind::ChangedOnDisk,
            NotSaved::OpenElsewhere => ConflictKind::OpenElsewhere,
            NotSaved::Failed(sentence) => {
                self.after_save = None;
                let sentence = format!("Not saved; what was there stays. {sentence}. \"Save as\" saves it elsewhere.");
                self.report(Purpose::SaveAs, sentence);
                return;
            }
        };
        self.asking = Some(Asking::Conflict(Conflict { path, kind }));
    }

    fn take_made(&mut self, folder: PathBuf, result: Result<Made, NotMade>) {
        match result {
            Ok(Made { files, failing, mind }) => {
                let mind = mind.map_or_else(String::new, |sentence| format!(". {sentence}"));
                let caution = match failing {
                    0 => String::new(),
                    1 => ". Mind: 1 rule fails; these parts are not ready to be cut".to_owned(),
                    _ => format!(". Mind: {failing} rules fail; these parts are not ready to be cut"),
                };
                let text =
                    format!("Made {} files in {}: {}{caution}{mind}", files.len(), folder.display(), in_short(&files));
                self.done_asking(Purpose::Make, Notice::Folder { text, folder, fails: failing > 0 });
            }
            Err(NotMade::AlreadyThere) => {
                self.report(
                    Purpose::Make,
                    format!(
                        "{} exists already and is not empty. Nothing was written. Overwriting replaces the files of \
                         the job in it and leaves others alone.",
                        folder.display()
                    ),
                );
                if let Some(Asking::Path(question)) = &mut self.asking {
                    question.may_overwrite = Some(folder);
                }
            }
            Err(NotMade::Stopped) => {
                let text = format!("Making was stopped; nothing was written to {}", folder.display());
                self.done_asking(Purpose::Make, Notice::Told(text));
            }
            Err(NotMade::Failed(sentence)) => self.report(Purpose::Make, sentence),
        }
    }

    /// Closes the question that led here, if it is still the one asked, and says what was done.
    pub(super) fn done_asking(&mut self, purpose: Purpose, notice: Notice) {
        if matches!(&self.asking, Some(Asking::Path(question)) if question.purpose == purpose) {
            self.asking = None;
        }
        self.notice = Some(notice);
    }

    /// Says what went wrong: beside the path that was typed, or at the top where none was.
    pub(super) fn report(&mut self, purpose: Purpose, sentence: String) {
        match &mut self.asking {
            Some(Asking::Path(question)) if question.purpose == purpose => {
                question.busy = false;
                question.refuse(sentence);
            }
            _ => self.notice = Some(Notice::Problem(sentence)),
        }
    }
}

/// Files by name, those of a folder in it counted: "parts (16), hole-table.csv".
fn in_short(files: &[String]) -> String {
    let mut told: Vec<String> = Vec::new();
    for file in files {
        let Some((folder, _)) = file.split_once('/') else {
            told.push(file.clone());
            continue;
        };
        let count =
            files.iter().filter(|other| other.split_once('/').is_some_and(|(inner, _)| inner == folder)).count();
        let words = format!("{folder} ({count})");
        if !told.contains(&words) {
            told.push(words);
        }
    }
    told.join(", ")
}

#[cfg(test)]
mod tests {
    use std::time::{Duration, Instant};

    use super::*;
    use crate::session::{Action, Edit, Handle};

    fn session() -> Session {
        Session::new(Arc::new(|| {}))
    }

    fn wait(session: &mut Session) {
        let patience = Instant::now() + Duration::from_secs(20);
        while !session.take_outcomes() {
            assert!(Instant::now() < patience, "the file worker never answered");
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    fn nudge(session: &mut Session) {
        session.apply(Action::Edit(Edit::Nudge(Handle::WallUpper, nalgebra::Vector2::new(1.0, 0.0))));
    }

    #[test]
    fn an_edit_made_while_a_save_runs_is_still_unsaved() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let mut session = session();
        nudge(&mut session);
        session.save_to(folder.path().join("a.overarm.json"), Agreed::default());
        nudge(&mut session);
        wait(&mut session);
        assert!(session.document.has_unsaved_changes());
        assert!(session.document.path().is_some());
    }

    #[test]
    #[cfg(unix)]
    fn a_folder_is_shown_by_the_program_for_it_or_the_sentence_says_why_not() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().expect("a temporary folder");
        let (program, seen) = (folder.path().join("show"), folder.path().join("seen"));
        let script = format!("#!/bin/sh\nprintf %s \"$1\" > '{}'\n", seen.display());
        std::fs::write(&program, script).expect("written");
        std::fs::set_permissions(&program, std::fs::Permissions::from_mode(0o755)).expect("allowed");
        let job = folder.path().join("my job");
        let mut session = session();
        session.jobs.show_folders_with(program.into());
        session.apply(Action::ShowFolder(job.clone()));
        let patience = Instant::now() + Duration::from_secs(20);
        while std::fs::read_to_string(&seen).unwrap_or_default() != job.display().to_string() {
            assert!(Instant::now() < patience, "the folder was not shown");
            std::thread::sleep(Duration::from_millis(2));
        }
        session.jobs.show_folders_with("/no/such/program".into());
        session.apply(Action::ShowFolder(job));
        wait(&mut session);
        let Some(Notice::Problem(told)) = session.notice() else { panic!("{:?}", session.notice()) };
        assert!(told.contains("my job could not be opened (/no/such/program: no such file"), "{told}");
    }

    #[test]
    fn a_folder_that_is_not_there_is_named() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let missing = folder.path().join("no/such/lift.overarm.json");
        let mut session = session();
        session.apply(Action::Command(Command::SaveAs));
        session.apply(Action::Answer(Answer::Typed(missing.display().to_string())));
        session.apply(Action::Answer(Answer::Accept));
        wait(&mut session);
        let Some(Asking::Path(question)) = session.asking() else { panic!("the question stays") };
        assert!(question.problem.as_ref().is_some_and(|problem| problem.contains("no/such")), "{question:?}");
        assert!(!question.busy);
        assert!(!missing.exists());
    }

    #[test]
    fn overwriting_is_agreed_to_for_one_path_only() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let (first, second) = (folder.path().join("a.json"), folder.path().join("b.json"));
        for path in [&first, &second] {
            std::fs::write(path, "precious").expect("written");
        }
        let mut session = session();
        session.apply(Action::Command(Command::SaveAs));
        session.apply(Action::Answer(Answer::Typed(first.display().to_string())));
        session.apply(Action::Answer(Answer::Accept));
        session.apply(Action::Answer(Answer::Typed(second.display().to_string())));
        session.apply(Action::Answer(Answer::Overwrite));
        let Some(Asking::Path(question)) = session.asking() else { panic!("it asks again") };
        assert_eq!(question.may_overwrite.as_ref(), Some(&second));
        assert!(!question.busy, "nothing is being written");
    }

    #[test]
    fn a_demo_waits_for_the_save_before_it_and_has_no_file() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let file = folder.path().join("a.overarm.json");
        let mut session = session();
        nudge(&mut session);
        session.save_to(file.clone(), Agreed::default());
        let demo = Demo::all().last().expect("several");
        session.apply(Action::OpenDemo(demo));
        let patience = Instant::now() + Duration::from_secs(20);
        while *session.project() != demo.project() {
            assert!(Instant::now() < patience, "the demo was never opened: {:?}", session.asking());
            session.take_outcomes();
            std::thread::sleep(Duration::from_millis(2));
        }
        assert!(file.exists());
        assert_eq!(session.document.path(), None);
        assert!(!session.document.has_unsaved_changes());
    }

    #[test]
    fn a_demo_asks_before_changes_are_lost() {
        let mut session = session();
        nudge(&mut session);
        let changed = session.project().clone();
        let demo = Demo::all().last().expect("several");
        session.apply(Action::OpenDemo(demo));
        wait(&mut session);
        assert_eq!(session.asking(), Some(&Asking::Unsaved(Then::OpenDemo(demo))));
        assert_eq!(*session.project(), changed);
        session.apply(Action::Answer(Answer::LoseChanges));
        wait(&mut session);
        assert_eq!(*session.project(), demo.project());
        assert_eq!(session.asking(), None);
    }

    #[test]
    fn a_bad_start_keeps_the_demo_and_says_why() {
        let mut session = session();
        session.start_with(PathBuf::from("/no/such/file.json"));
        assert_eq!(*session.project(), crate::session::demo());
        assert!(matches!(session.notice(), Some(Notice::Problem(text)) if text.contains("/no/such/file.json")));
    }
}
