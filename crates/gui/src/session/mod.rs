//! The session: everything the window shows and changes, without a window.
//!
//! Read in this order: [`Document`] (the project and its file), [`Handle`] (what can be dragged),
//! [`Held`] and [`snap`] (how a drag goes), [`WhereItHolds`] (where it may go), [`Action`] (what can
//! be done), [`History`] (undo and redo), [`Help`] (what can be done about a rule), [`Asking`] (paths and unsaved changes), [`Jobs`] (file work
//! beside the window), [`Recovery`] (work that a crash left), [`Settings`] (what is remembered
//! between runs), and [`Session::apply`] that ties them.

mod action;
mod advice;
mod analyst;
mod asking;
mod autosave;
mod changed_fields;
mod choice;
mod claim;
mod demos;
mod dialog;
mod document;
mod dragging;
mod drawn_errors;
mod field;
mod figures;
mod files;
mod handle;
mod history;
mod hold;
mod jobs;
mod keeping;
mod measure;
mod measured;
mod moves;
mod on_disk;
mod picture_file;
mod pinching;
mod recent;
mod recovery;
mod remedy;
mod setting;
mod settings;
mod size;
mod snaps;
mod tape;
mod where_it_holds;

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use overarm_shopfiles::job_folder::Progress;
use overarm_shopfiles::picture::Subject;
use overarm_solver::units::Fraction;
use overarm_solver::{Analysis, PartName, Pose, Project, Rule, RuleFinding};

pub use action::{Action, Answer, COMMANDS, Command, CommandWords, Detail, Edit, Plotted, Shortcut, Then, ViewAction};
use advice::Adviser;
pub use advice::{Advice, Help};
use analyst::Analyst;
pub use asking::{Asking, Conflict, ConflictKind, EXTENSION, Moment, PathQuestion, Purpose};
pub use autosave::KEPT;
pub use changed_fields::ChangedField;
pub use choice::{Choice, ChoiceOf};
pub use demos::{Demo, about};
pub use document::Document;
pub use dragging::{DragMode, Held, Moved};
pub use drawn_errors::Drawing;
use drawn_errors::DrawnErrors;
pub use field::{Axis, Fallback, Field, Group, Spot, solid_name};
pub use figures::{Block, FiguresOf, PlotOf, Row, pinch_block};
pub use handle::Handle;
pub use history::{History, Listed, Standing};
pub use hold::Changed;
pub use jobs::{Jobs, Outcome, Wake, given_date};
pub use measured::{Help as WhatHelps, not_measured, swap_that_does_not_fit, what_would_help};
pub use moves::Move;
pub use recent::{Recent, RecentFile};
pub use recovery::{Recovery, Version};
pub use remedy::Remedy;
pub use setting::{Addition, Setting};
pub use settings::{Appearance, Places, Settings, TEXT_PERCENT, WindowPlace};
pub use size::Size;
pub use snaps::{Hint, Reach, Snapped, grid_step, snap};
pub use tape::{Tape, TapeField, TapeNote, TapePart};
pub use where_it_holds::{Cell, DrivePart, GEOMETRIC, Map, WhereItHolds};

/// Seconds that a run from hung to parked takes on the screen; slow enough to watch a gap close.
const PLAY_SECONDS: f64 = 8.0;

/// Where motion is reduced, a run shows so many places of the travel one after the other, each as long
/// as the run would take from one to the next.
const PLAY_STEPS: f64 = 8.0;

/// The project that comes with the program.
///
/// # Panics
/// Never: the demo is part of the program, and a test reads it.
#[must_use]
pub fn demo() -> Project {
    Demo::FIRST.project()
}

/// A sentence for the top of the window.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Notice {
    /// Something was done that can be seen anyway.
    Done(String),
    /// Something was made that lies elsewhere.
    Made(String),
    /// Something was given up as was asked: neither made nor a fault.
    Told(String),
    /// A job folder was made.
    Folder {
        /// What was written, and what there is to mind.
        text: String,
        /// Where.
        folder: PathBuf,
        /// Whether a rule fails for it.
        fails: bool,
    },
    /// Something could not be done.
    Problem(String),
}

/// Why the last edit was not made, and of what.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RefusedEdit {
    /// The handle.
    pub handle: Handle,
    /// The sentence.
    pub sentence: String,
}

/// One window's work.
pub struct Session {
    document: Document,
    history: History,
    drag: Option<hold::Drag>,
    drag_mode: DragMode,
    /// Where the panel parks, and at which revision.
    parked: Option<(u64, nalgebra::Isometry2<f64>)>,
    tape: Tape,
    fraction: Fraction,
    nudged: Option<(Field, u64)>,
    where_it_holds: WhereItHolds,
    /// Where drum or strap's end could be, of which, and of which revision it was asked.
    drive_places: WhereItHolds,
    places_of: Option<DrivePart>,
    pinching: pinching::Pinching,
    places_asked: Option<(DrivePart, u64)>,
    refused_edit: Option<RefusedEdit>,
    analyst: Analyst,
    drawn_errors: DrawnErrors,
    adviser: Adviser,
    /// The move that was tried last, and for which rule.
    tried: Option<(Rule, String)>,
    subject: Subject,
    travel: f64,
    playing: Option<f64>,
    /// Where motion is reduced: seconds since the run came to the place that it shows.
    stood: f64,
    picked: Option<Rule>,
    picked_bar: Option<PartName>,
    asking: Option<Asking>,
    notice: Option<Notice>,
    after_save: Option<Then>,
    jobs: Jobs,
    autosave: autosave::Autosave,
    /// The claim on the document's file.
    claim: Option<claim::Claim>,
    /// Whether another window holds it.
    open_elsewhere: bool,
    /// Whether saving was agreed to all the same.
    sharing_agreed: bool,
    /// Whether it was said that the file changed on the disk.
    told_of_change: bool,
    /// The two versions while one is to be chosen.
    versions: Option<recovery::Versions>,
    /// Work without a file that a crash left, still to be offered.
    lost: Vec<recovery::Found>,
    remembered: keeping::Remembered,
    documents_opened: u64,
    close_agreed: bool,
}

impl Session {
    /// A session on the built-in demo; `wake` is called when file work has ended. Nothing is kept for
    /// the case of a crash, nor remembered between runs.
    #[must_use]
    pub fn new(wake: Wake) -> Self {
        Self::with_places(wake, None)
    }

    /// As [`Session::new`], keeping unsaved work and settings in places of the program's own.
    #[must_use]
    pub fn with_places(wake: Wake, places: Option<Places>) -> Self {
        let settings = places.as_ref().map(|places| Settings::read(&places.settings)).unwrap_or_default();
        Self {
            document: Self::demo_document(),
            history: History::default(),
            drag: None,
            drag_mode: DragMode::default(),
            parked: None,
            tape: Tape::default(),
            fraction: Fraction::default(),
            nudged: None,
            where_it_holds: WhereItHolds::new(Arc::clone(&wake)),
            drive_places: WhereItHolds::new(Arc::clone(&wake)),
            places_of: None,
            pinching: pinching::Pinching::default(),
            places_asked: None,
            refused_edit: None,
            analyst: Analyst::new(Arc::clone(&wake)),
            drawn_errors: DrawnErrors::new(Arc::clone(&wake)),
            adviser: Adviser::new(Arc::clone(&wake)),
            tried: None,
            subject: Subject::default(),
            travel: 0.0,
            playing: None,
            stood: 0.0,
            picked: None,
            picked_bar: None,
            asking: None,
            notice: None,
            after_save: None,
            jobs: Jobs::new(wake, places),
            autosave: autosave::Autosave::default(),
            claim: None,
            open_elsewhere: false,
            sharing_agreed: false,
            told_of_change: false,
            versions: None,
            lost: Vec::new(),
            remembered: keeping::Remembered::read(settings),
            documents_opened: 0,
            close_agreed: false,
        }
    }

    /// What is being worked on.
    #[must_use]
    pub fn document(&self) -> &Document {
        &self.document
    }

    /// The project as it stands.
    #[must_use]
    pub fn project(&self) -> &Project {
        self.document.project()
    }

    /// The steps that can be undone and done again.
    #[must_use]
    pub fn history(&self) -> &History {
        &self.history
    }

    /// Everything known about the project as it stands, computed once for each revision; or, where
    /// that takes longer than a frame may wait, what was known before. Errors of parts are in it once
    /// they have been drawn.
    pub fn analysis(&mut self) -> Arc<Analysis> {
        let newest = self.analyst.newest(self.document.revision(), self.document.project());
        let shown = self.shown_revision();
        shown.and_then(|revision| self.drawn_errors.of(revision)).unwrap_or(newest)
    }

    /// How long a frame may wait for an analysis; for ever, unless told otherwise.
    pub fn wait_at_most(&mut self, patience: Duration) {
        self.analyst.wait_at_most(patience);
    }

    /// Whether what is shown is not of the project as it stands yet.
    #[must_use]
    pub fn is_stale(&self) -> bool {
        self.analyst.known().is_none_or(|(revision, _)| revision != self.document.revision())
    }

    /// Whether what is shown was overtaken so long ago that it is to be marked.
    #[must_use]
    pub fn is_old(&self) -> bool {
        self.analyst.is_old()
    }

    /// Which view fills the window.
    #[must_use]
    pub fn subject(&self) -> Subject {
        self.subject
    }

    /// The revision that the analysis shown is of.
    #[must_use]
    pub fn shown_revision(&self) -> Option<u64> {
        self.analyst.known().map(|(revision, _)| revision)
    }

    /// The travel shown, 0 hung, 1 parked.
    #[must_use]
    pub fn travel(&self) -> f64 {
        self.travel
    }

    /// The pose shown.
    pub fn pose(&mut self) -> Pose {
        let travel = self.travel;
        self.analysis().pose_at(travel)
    }

    /// Whether the lift is running on the screen.
    #[must_use]
    pub fn is_playing(&self) -> bool {
        self.playing.is_some()
    }

    /// The rule that is looked at.
    #[must_use]
    pub fn picked(&self) -> Option<Rule> {
        self.picked
    }

    /// The bar that is shown alone.
    #[must_use]
    pub fn picked_bar(&self) -> Option<PartName> {
        self.picked_bar
    }

    /// Whether the hints for newcomers are shown: until they are sent away, where that can be remembered.
    #[must_use]
    pub fn shows_hints(&self) -> bool {
        self.settings().hints && self.jobs.places().is_some()
    }

    /// Whether something of the drawing is shown.
    #[must_use]
    pub fn shows(&self, detail: Detail) -> bool {
        !self.settings().left_out.contains(&detail)
    }

    /// Why the last edit was not made.
    #[must_use]
    pub fn refused_edit(&self) -> Option<&RefusedEdit> {
        self.refused_edit.as_ref()
    }

    /// What it waits to be told.
    #[must_use]
    pub fn asking(&self) -> Option<&Asking> {
        self.asking.as_ref()
    }

    /// How far a job folder is, while one is being made.
    #[must_use]
    pub fn making(&self) -> Option<Progress> {
        self.jobs.progress()
    }

    /// Whether the making of a job folder was asked to stop.
    #[must_use]
    pub fn is_stopping(&self) -> bool {
        self.jobs.is_stopping()
    }

    /// The form of the site's measurements.
    #[must_use]
    pub fn tape(&self) -> &Tape {
        &self.tape
    }

    /// The finest part of an inch that fields show.
    #[must_use]
    pub fn fraction(&self) -> Fraction {
        self.fraction
    }

    /// The sentence for the top of the window.
    #[must_use]
    pub fn notice(&self) -> Option<&Notice> {
        self.notice.as_ref()
    }

    /// Counts opened documents, so that a view knows when to fit anew.
    #[must_use]
    pub fn documents_opened(&self) -> u64 {
        self.documents_opened
    }

    /// Whether the window may close now.
    #[must_use]
    pub fn close_agreed(&self) -> bool {
        self.close_agreed
    }

    /// Lets `seconds` pass: a running lift moves on, or goes to its next place where motion is reduced.
    /// Tells when it moves again; nothing once it has ended.
    pub fn advance(&mut self, seconds: f64) -> Option<Duration> {
        let direction = self.playing?;
        let mut by = seconds / PLAY_SECONDS;
        if self.settings().reduce_motion {
            self.stood += seconds;
            let left = PLAY_SECONDS / PLAY_STEPS - self.stood;
            if left > 0.0 {
                return Some(Duration::from_secs_f64(left));
            }
            // One place at a time, also after a long time: each is shown.
            self.stood = 0.0;
            by = 1.0 / PLAY_STEPS;
        }
        self.travel = (self.travel + direction * by).clamp(0.0, 1.0);
        if (direction > 0.0 && self.travel >= 1.0) || (direction < 0.0 && self.travel <= 0.0) {
            self.playing = None;
            return None;
        }
        let still = if self.settings().reduce_motion { PLAY_SECONDS / PLAY_STEPS } else { 0.0 };
        Some(Duration::from_secs_f64(still))
    }

    /// Carries an action out. Camera moves are the view's own and leave a session as it is.
    pub fn apply(&mut self, action: Action) {
        if self.is_choosing() && self.waits_for_the_choice(&action) {
            return;
        }
        match action {
            Action::Edit(edit) => self.edit(edit),
            Action::View(view) => self.look(view),
            Action::Command(command) => self.command(command),
            Action::Answer(answer) => self.answer(answer),
            Action::ShowFolder(folder) => self.jobs.show_folder(folder),
            Action::OpenFile(path) => {
                self.finish_drag();
                self.history.seal();
                self.notice = None;
                if measured::is_sheet(&path) {
                    self.open_measured(path);
                } else {
                    self.open(path, None);
                }
            }
            Action::OpenDemo(demo) => {
                self.finish_drag();
                self.history.seal();
                self.notice = None;
                self.jobs.open_demo(demo, None);
            }
        }
    }

    /// Whether this has to wait until one of two versions was chosen, and says so.
    fn waits_for_the_choice(&mut self, action: &Action) -> bool {
        let waits = match action {
            Action::Edit(edit) => !matches!(edit, Edit::Release | Edit::GiveUp),
            Action::Command(command) => matches!(
                command,
                Command::Undo
                    | Command::Redo
                    | Command::Open
                    | Command::Save
                    | Command::SaveAs
                    | Command::Make
                    | Command::Picture
                    | Command::Measured
            ),
            Action::OpenFile(_) | Action::OpenDemo(_) => true,
            Action::View(_) | Action::Answer(_) | Action::ShowFolder(_) => false,
        };
        if waits {
            let text = "First choose above which version to go on with; nothing is lost either way.";
            self.notice = Some(Notice::Problem(text.to_owned()));
        }
        waits
    }

    fn edit(&mut self, edit: Edit) {
        self.refused_edit = None;
        // What was done before is said; now something else is being done.
        self.notice.take_if(|notice| {
            matches!(notice, Notice::Done(_) | Notice::Made(_) | Notice::Told(_) | Notice::Folder { .. })
        });
        match edit {
            Edit::Grab(handle) => self.grab(handle),
            Edit::DragTo(reach) => self.drag_to(&reach),
            Edit::Release => self.finish_drag(),
            Edit::GiveUp => self.give_drag_up(),
            Edit::Set(setting) => self.set(setting),
            Edit::Try(rule, number) => self.try_move(rule, number),
            Edit::Nudge(handle, by) => self.nudge(handle, by),
            Edit::GoToStep(number) => {
                self.finish_drag();
                if let Some(project) = self.history.go_to(number, Arc::clone(self.document.project())) {
                    self.step_to(project);
                }
            }
        }
    }

    fn look(&mut self, view: ViewAction) {
        match view {
            ViewAction::Travel(travel) => {
                self.playing = None;
                if travel.is_finite() {
                    self.travel = travel.clamp(0.0, 1.0);
                }
            }
            ViewAction::Pick(rule) => {
                self.picked = rule;
                if let Some(worst) = rule.and_then(|rule| self.finding(rule)).and_then(|finding| finding.s) {
                    self.playing = None;
                    self.travel = worst.clamp(0.0, 1.0);
                }
            }
            ViewAction::PickBar(bar) => self.picked_bar = bar,
            ViewAction::Show(detail, shown) => self.show(detail, shown),
            ViewAction::Places(part) => {
                self.places_of = part;
                self.places_asked = None;
                self.drive_places.give_up();
            }
            ViewAction::Draw(draws) => self.drawn_errors.draw_otherwise(draws),
            ViewAction::Plot(plotted) => self.remember(|settings| settings.plotted = plotted),
            ViewAction::Dismiss => self.notice = None,
            ViewAction::Note(note) => self.tape.note(note),
            ViewAction::ShowTo(fraction) => self.fraction = fraction,
            ViewAction::Pan(_) | ViewAction::Zoom { .. } | ViewAction::Reveal(_) => {}
        }
    }

    /// Of which part of the drive the places are shown.
    #[must_use]
    pub fn places_of(&self) -> Option<DrivePart> {
        self.places_of
    }

    /// Where that part could be for the strap to pull within its limit, as far as it is known; asked
    /// anew whenever the project has changed and nothing is being dragged. Drum and strap's end have
    /// theirs while they are dragged.
    pub fn drive_map(&mut self) -> Option<Arc<Map>> {
        let Some(part) = self.places_of else {
            let held = self.dragged().and_then(DrivePart::of_handle);
            return held.and_then(|_| self.drive_places.map());
        };
        let wanted = Some((part, self.document.revision()));
        if self.places_asked != wanted && self.drag.is_none() {
            self.places_asked = wanted;
            self.drive_places.ask_places(part, self.document.project(), DrivePart::HALF_MM);
        }
        self.drive_places.map()
    }

    fn show(&mut self, detail: Detail, shown: bool) {
        self.remember(|settings| {
            settings.left_out.retain(|other| *other != detail);
            if !shown {
                settings.left_out.push(detail);
            }
        });
    }

    fn finding(&mut self, rule: Rule) -> Option<RuleFinding> {
        self.analysis().rules.iter().find(|finding| finding.rule == rule).cloned()
    }

    fn command(&mut self, command: Command) {
        match command {
            Command::Undo if self.drag.is_some() => self.edit(Edit::GiveUp),
            Command::Undo => {
                if let Some(project) = self.history.undo(Arc::clone(self.document.project())) {
                    self.step_to(project);
                }
            }
            Command::Redo if self.drag.is_some() => {}
            Command::Redo => {
                if let Some(project) = self.history.redo(Arc::clone(self.document.project())) {
                    self.step_to(project);
                }
            }
            Command::Play => {
                self.stood = 0.0;
                self.playing = match self.playing {
                    Some(_) => None,
                    None if self.travel >= 1.0 => Some(-1.0),
                    None => Some(1.0),
                };
            }
            Command::Errors => self.show(Detail::Errors, !self.shows(Detail::Errors)),
            Command::Open
            | Command::Save
            | Command::SaveAs
            | Command::Make
            | Command::Picture
            | Command::Measured
            | Command::Close => {
                self.finish_drag();
                self.history.seal();
                self.file_command(command);
            }
            Command::TogglePlots => self.remember(|settings| settings.plots_open = !settings.plots_open),
            // Asked for while nothing is plotted, the one that was plotted last comes back first.
            Command::NextPlot => self.remember(|settings| {
                if std::mem::replace(&mut settings.plots_open, true) {
                    settings.plotted = settings.plotted.next();
                }
            }),
            Command::Forces => self.show(Detail::Forces, !self.shows(Detail::Forces)),
            Command::Hints => self.remember(|settings| settings.hints = !settings.hints),
            Command::FollowSystem => self.remember(|settings| settings.appearance = Appearance::System),
            Command::LargerText => self.set_text(Settings::larger_text),
            Command::SmallerText => self.set_text(Settings::smaller_text),
            Command::UsualText => self.set_text(|_| Some(TEXT_PERCENT[0])),
            Command::ReduceMotion => self.remember(|settings| settings.reduce_motion = !settings.reduce_motion),
            Command::SideView => self.subject = Subject::Side,
            Command::FrontView => self.subject = Subject::Front,
            Command::PartsView => self.subject = Subject::Parts,
            Command::DragFreely => self.drag_mode = DragMode::Free,
            Command::KeepEndPoses => self.drag_mode = DragMode::KeepEndPoses,
            Command::KeepLengths => self.drag_mode = DragMode::KeepLengths,
            // The window's own.
            Command::FitLift
            | Command::FitRoom
            | Command::Appearance
            | Command::History
            | Command::AllActions
            | Command::Numbers
            | Command::Site
            | Command::StrapPage
            | Command::HingesPage
            | Command::FixingsPage
            | Command::TolerancesPage
            | Command::Demos
            | Command::About => {}
        }
    }

    fn set_text(&mut self, size: impl FnOnce(&Settings) -> Option<u16>) {
        if let Some(percent) = size(self.settings()) {
            self.remember(|settings| settings.text_percent = percent);
        }
    }

    fn step_to(&mut self, project: Arc<Project>) {
        self.refused_edit = None;
        self.notice.take_if(|notice| {
            matches!(notice, Notice::Done(_) | Notice::Made(_) | Notice::Told(_) | Notice::Folder { .. })
        });
        self.document.set(project);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The places that a run shows, and how long it rests in all.
    fn run(reduce_motion: bool) -> (Vec<f64>, f64) {
        let mut session = Session::new(Arc::new(|| {}));
        session.remember(|settings| settings.reduce_motion = reduce_motion);
        session.apply(Action::Command(Command::Play));
        let (mut places, mut rested) = (vec![session.travel()], 0.0);
        while session.is_playing() {
            if let Some(wait) = session.advance(0.05) {
                rested += wait.as_secs_f64().min(0.05);
            }
            if places.last() != Some(&session.travel()) {
                places.push(session.travel());
            }
        }
        (places, rested)
    }

    #[test]
    fn a_run_glides_or_goes_from_place_to_place() {
        let (gliding, rested) = run(false);
        assert!(gliding.len() > 100 && rested < 1e-9, "{} places", gliding.len());
        let (stepping, rested) = run(true);
        assert_eq!(stepping, [0.0, 0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875, 1.0]);
        assert!(rested > 6.0, "between them nothing is drawn: {rested} s");
    }
}
