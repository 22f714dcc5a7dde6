//! The session: everything the window shows and changes, without a window.
//!
//! Read in this order: [`Document`] (the project and its file), [`Handle`] (what can be dragged),
//! [`Action`] (what can be done), [`History`] (undo and redo), [`Asking`] (paths and unsaved
//! changes), [`Jobs`] (file work beside the window), and [`Session::apply`] that ties them.

mod action;
mod asking;
mod dialog;
mod document;
mod files;
mod handle;
mod history;
mod jobs;

use std::path::PathBuf;
use std::sync::Arc;

use overarm_solver::{Analysis, Options, PartName, Point, Pose, Project, Rule, RuleFinding, analyse};

pub use action::{Action, Answer, COMMANDS, Command, CommandWords, Detail, Edit, Shortcut, Then, ViewAction};
pub use asking::{Asking, EXTENSION, Moment, PathQuestion, Purpose};
pub use document::Document;
pub use handle::Handle;
pub use history::History;
pub use jobs::{Jobs, Outcome, Wake};

/// Poses of one analysis in the window: a third of a percent of the travel apart, so that a plot
/// has no corners at any width of screen.
const POSES: usize = 361;

/// Seconds that a run from hung to parked takes on the screen; slow enough to watch a gap close.
const PLAY_SECONDS: f64 = 8.0;

/// The project that comes with the program.
///
/// # Panics
/// Never: the demo is part of the program, and a test reads it.
#[must_use]
pub fn demo() -> Project {
    let bytes = include_bytes!("../../../../demo/chapel-hatch.overarm.json");
    match overarm_shopfiles::project_file::parse(bytes) {
        Ok(project) => project,
        Err(refused) => unreachable!("the built-in demo is refused: {refused}"),
    }
}

/// A sentence for the top of the window.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Notice {
    /// Something was done that can be seen anyway.
    Done(String),
    /// Something was made that lies elsewhere.
    Made(String),
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

struct Drag {
    handle: Handle,
    before: Arc<Project>,
}

/// One window's work.
pub struct Session {
    document: Document,
    history: History,
    drag: Option<Drag>,
    refused_edit: Option<RefusedEdit>,
    analysis: Option<(u64, Arc<Analysis>)>,
    travel: f64,
    playing: Option<f64>,
    picked: Option<Rule>,
    picked_bar: Option<PartName>,
    left_out: Vec<Detail>,
    asking: Option<Asking>,
    notice: Option<Notice>,
    after_save: Option<Then>,
    jobs: Jobs,
    documents_opened: u64,
    close_agreed: bool,
}

impl Session {
    /// A session on the built-in demo; `wake` is called when file work has ended.
    #[must_use]
    pub fn new(wake: Wake) -> Self {
        Self {
            document: Document::new(demo(), None),
            history: History::default(),
            drag: None,
            refused_edit: None,
            analysis: None,
            travel: 0.0,
            playing: None,
            picked: None,
            picked_bar: None,
            left_out: Vec::new(),
            asking: None,
            notice: None,
            after_save: None,
            jobs: Jobs::new(wake),
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

    /// Everything known about the project as it stands; computed once for each revision.
    pub fn analysis(&mut self) -> Arc<Analysis> {
        let revision = self.document.revision();
        match &self.analysis {
            Some((known, analysis)) if *known == revision => Arc::clone(analysis),
            _ => {
                let analysis = Arc::new(analyse(self.document.project(), &Options { poses: POSES, swept: true }));
                self.analysis = Some((revision, Arc::clone(&analysis)));
                analysis
            }
        }
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

    /// Whether something of the drawing is shown.
    #[must_use]
    pub fn shows(&self, detail: Detail) -> bool {
        !self.left_out.contains(&detail)
    }

    /// The handle being dragged.
    #[must_use]
    pub fn dragged(&self) -> Option<Handle> {
        self.drag.as_ref().map(|drag| drag.handle)
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

    /// Lets `seconds` pass: a running lift moves on.
    pub fn advance(&mut self, seconds: f64) {
        let Some(direction) = self.playing else { return };
        self.travel = (self.travel + direction * seconds / PLAY_SECONDS).clamp(0.0, 1.0);
        if (direction > 0.0 && self.travel >= 1.0) || (direction < 0.0 && self.travel <= 0.0) {
            self.playing = None;
        }
    }

    /// Carries an action out. Camera moves are the view's own and leave a session as it is.
    pub fn apply(&mut self, action: Action) {
        match action {
            Action::Edit(edit) => self.edit(edit),
            Action::View(view) => self.look(view),
            Action::Command(command) => self.command(command),
            Action::Answer(answer) => self.answer(answer),
        }
    }

    fn edit(&mut self, edit: Edit) {
        self.refused_edit = None;
        // What was done before is said; now something else is being done.
        self.notice.take_if(|notice| matches!(notice, Notice::Done(_) | Notice::Made(_)));
        match edit {
            Edit::Grab(handle) => {
                self.history.seal();
                self.drag = Some(Drag { handle, before: Arc::clone(self.document.project()) });
            }
            Edit::DragTo(place) => {
                let Some((handle, before)) = self.drag.as_ref().map(|d| (d.handle, Arc::clone(&d.before))) else {
                    return;
                };
                self.try_to_put(handle, place, &before);
            }
            Edit::Release => self.finish_drag(),
            Edit::GiveUp => {
                if let Some(drag) = self.drag.take() {
                    self.document.set(drag.before);
                }
            }
            Edit::Nudge(handle, by) => {
                let before = Arc::clone(self.document.project());
                // To the micrometre, so that ten nudges of 0.1 make one of 1.
                let place = (handle.place(&before) + by).map(|value| (value * 1e3).round() / 1e3);
                if self.try_to_put(handle, place, &before) {
                    self.history.record_nudge(handle, before);
                }
            }
        }
    }

    /// Puts a handle somewhere unless the project that results is refused.
    fn try_to_put(&mut self, handle: Handle, place: Point, before: &Project) -> bool {
        let mut project = before.clone();
        handle.put(&mut project, place);
        match project.validate() {
            Ok(()) => {
                self.document.set(Arc::new(project));
                true
            }
            Err(refusal) => {
                self.refused_edit = Some(RefusedEdit { handle, sentence: refusal.to_string() });
                false
            }
        }
    }

    fn finish_drag(&mut self) {
        if let Some(drag) = self.drag.take()
            && **self.document.project() != *drag.before
        {
            self.history.record(drag.handle.step_label(), drag.before);
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
            ViewAction::Show(detail, shown) => {
                self.left_out.retain(|other| *other != detail);
                if !shown {
                    self.left_out.push(detail);
                }
            }
            ViewAction::Dismiss => self.notice = None,
            ViewAction::Pan(_) | ViewAction::Zoom { .. } | ViewAction::Reveal(_) => {}
        }
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
                self.playing = match self.playing {
                    Some(_) => None,
                    None if self.travel >= 1.0 => Some(-1.0),
                    None => Some(1.0),
                };
            }
            Command::Open | Command::Save | Command::SaveAs | Command::Make | Command::Close => {
                self.finish_drag();
                self.history.seal();
                self.file_command(command);
            }
            Command::FitLift | Command::FitRoom | Command::TogglePlots | Command::Appearance => {}
        }
    }

    fn step_to(&mut self, project: Arc<Project>) {
        self.refused_edit = None;
        self.notice.take_if(|notice| matches!(notice, Notice::Done(_) | Notice::Made(_)));
        self.document.set(project);
    }

    /// Starts with a project file, before the first frame; the demo stays when it cannot be read.
    pub fn start_with(&mut self, file: PathBuf) {
        match overarm_shopfiles::project_file::read(&file) {
            Ok(project) => self.document = Document::new(project, Some(file)),
            Err(error) => self.notice = Some(Notice::Problem(error.to_string())),
        }
    }
}
