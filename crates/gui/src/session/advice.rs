//! What can be done about the rule that is picked, worked out on a thread of its own.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use overarm_solver::{Analysis, Project, Rule};

use super::Session;
use super::drawn_errors::Drawing;
use super::jobs::Wake;
use super::moves::{self, Move};

/// What was found for one rule of one revision.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    revision: u64,
    /// The rule.
    pub rule: Rule,
    /// What would help; none: nothing within reach does.
    pub moves: Vec<Move>,
}

/// What the window shows below a rule.
#[derive(Clone, Debug, PartialEq)]
pub enum Help {
    /// It is being worked out.
    Looking,
    /// This would help.
    Found(Arc<Advice>),
}

/// The worker and what it found last.
pub struct Adviser {
    wake: Wake,
    asked: Option<(u64, Rule)>,
    /// Counts what was asked; an older number gives up.
    wanted: Arc<AtomicU64>,
    found: Arc<Mutex<Option<Arc<Advice>>>>,
}

impl Adviser {
    /// Nothing is worked out yet; `wake` is called when something is.
    #[must_use]
    pub fn new(wake: Wake) -> Self {
        Self { wake, asked: None, wanted: Arc::default(), found: Arc::default() }
    }

    /// What is known for a rule at a revision; what is not is begun.
    pub fn help(&mut self, revision: u64, rule: Rule, project: &Arc<Project>, analysis: &Arc<Analysis>) -> Help {
        if self.asked != Some((revision, rule)) {
            self.asked = Some((revision, rule));
            self.begin(revision, rule, Arc::clone(project), Arc::clone(analysis));
        }
        let found = self.found.lock().unwrap_or_else(PoisonError::into_inner);
        match &*found {
            Some(advice) if advice.revision == revision && advice.rule == rule => Help::Found(Arc::clone(advice)),
            _ => Help::Looking,
        }
    }

    fn begin(&self, revision: u64, rule: Rule, project: Arc<Project>, analysis: Arc<Analysis>) {
        let number = self.wanted.fetch_add(1, Ordering::SeqCst) + 1;
        let (wanted, found, wake) = (Arc::clone(&self.wanted), Arc::clone(&self.found), Arc::clone(&self.wake));
        std::thread::spawn(move || {
            let is_wanted = || wanted.load(Ordering::SeqCst) == number;
            let work = || moves::moves(&project, &analysis, rule, &is_wanted);
            // Where it breaks down nothing is offered: the rule's own sentence still stands.
            let moves = catch_unwind(AssertUnwindSafe(work)).unwrap_or_default();
            let mut found = found.lock().unwrap_or_else(PoisonError::into_inner);
            if is_wanted() {
                *found = Some(Arc::new(Advice { revision, rule, moves }));
                drop(found);
                wake();
            }
        });
    }

    /// The one that was asked last, where it is of this revision.
    fn advice(&self, revision: u64) -> Option<Arc<Advice>> {
        let found = self.found.lock().unwrap_or_else(PoisonError::into_inner);
        found.clone().filter(|advice| advice.revision == revision)
    }
}

impl Drop for Adviser {
    fn drop(&mut self) {
        self.wanted.fetch_add(1, Ordering::SeqCst);
    }
}

impl Session {
    /// What can be done about the picked rule; `None` where nothing has to be, while something is
    /// dragged, and while the rules are of a moment ago.
    pub fn help(&mut self) -> Option<Help> {
        let rule = self.picked?;
        if self.drag.is_some() {
            return None;
        }
        let analysis = self.analysis();
        if self.is_stale() {
            return None;
        }
        let finding = analysis.rules.iter().find(|finding| finding.rule == rule)?;
        if !moves::asks_for_moves(finding, &analysis) {
            return None;
        }
        // What errors decide is advised on once they are drawn.
        if rule.is_by_errors() && self.errors_drawing() == Drawing::Pending {
            return Some(Help::Looking);
        }
        Some(self.adviser.help(self.document.revision(), rule, self.document.project(), &analysis))
    }

    /// Carries a move out that was offered; what was offered for another state is not.
    pub(super) fn try_move(&mut self, rule: Rule, number: usize) {
        let Some(advice) = self.adviser.advice(self.document.revision()).filter(|advice| advice.rule == rule) else {
            return;
        };
        let Some(offered) = advice.moves.get(number) else { return };
        let before = Arc::clone(self.document.project());
        self.history.seal();
        self.history.record(offered.label.clone(), before);
        self.document.set(Arc::new(offered.project.clone()));
        self.tried = Some((rule, offered.label.clone()));
    }

    /// What was tried last for a rule, as long as undo would take just that back.
    #[must_use]
    pub fn tried(&self, rule: Rule) -> Option<&str> {
        let (of, label) = self.tried.as_ref()?;
        (*of == rule && self.history.undo_label() == Some(label)).then_some(label)
    }
}
