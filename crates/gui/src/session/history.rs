//! Undo and redo: labelled snapshots of the project.
//!
//! A project is a few kilobytes, so a snapshot costs less than a description of the change would.

use std::sync::Arc;

use overarm_solver::Project;

use super::handle::Handle;

/// Snapshots kept; more steps than anyone walks back, a few hundred kilobytes.
const DEEPEST: usize = 400;

/// One step: what it was called and how the project stood on its other side.
#[derive(Clone, Debug)]
struct Step {
    label: String,
    other_side: Arc<Project>,
    nudge_of: Option<Handle>,
}

/// The steps behind and ahead of the project as it stands.
#[derive(Clone, Debug, Default)]
pub struct History {
    behind: Vec<Step>,
    ahead: Vec<Step>,
}

impl History {
    /// Notes a finished step, given how the project stood before it.
    pub fn record(&mut self, label: String, before: Arc<Project>) {
        self.push(Step { label, other_side: before, nudge_of: None });
    }

    /// Notes a nudge; nudges of one handle in a row are one step.
    pub fn record_nudge(&mut self, handle: Handle, before: Arc<Project>) {
        let goes_on = self.ahead.is_empty() && self.behind.last().is_some_and(|step| step.nudge_of == Some(handle));
        if !goes_on {
            self.push(Step { label: handle.step_label(), other_side: before, nudge_of: Some(handle) });
        }
    }

    /// Ends a run of nudges: the next one is a step of its own.
    pub fn seal(&mut self) {
        if let Some(step) = self.behind.last_mut() {
            step.nudge_of = None;
        }
    }

    fn push(&mut self, step: Step) {
        self.ahead.clear();
        self.behind.push(step);
        if self.behind.len() > DEEPEST {
            self.behind.remove(0);
        }
    }

    /// Takes one step back from `now`; none when there is nothing behind.
    pub fn undo(&mut self, now: Arc<Project>) -> Option<Arc<Project>> {
        let step = self.behind.pop()?;
        self.ahead.push(Step { label: step.label, other_side: now, nudge_of: None });
        Some(step.other_side)
    }

    /// Takes one step forward from `now`; none when there is nothing ahead.
    pub fn redo(&mut self, now: Arc<Project>) -> Option<Arc<Project>> {
        let step = self.ahead.pop()?;
        self.behind.push(Step { label: step.label, other_side: now, nudge_of: None });
        Some(step.other_side)
    }

    /// What an undo would take back.
    #[must_use]
    pub fn undo_label(&self) -> Option<&str> {
        self.behind.last().map(|step| step.label.as_str())
    }

    /// What a redo would do again.
    #[must_use]
    pub fn redo_label(&self) -> Option<&str> {
        self.ahead.last().map(|step| step.label.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;

    fn with_mass(mass: f64) -> Arc<Project> {
        let mut project = demo();
        project.panel.mass = mass;
        Arc::new(project)
    }

    #[test]
    fn undo_and_redo_walk_the_same_steps() {
        let mut history = History::default();
        history.record("First".to_owned(), with_mass(1.0));
        history.record("Second".to_owned(), with_mass(2.0));
        assert_eq!(history.undo(with_mass(3.0)), Some(with_mass(2.0)));
        assert_eq!(history.redo_label(), Some("Second"));
        assert_eq!(history.undo(with_mass(2.0)), Some(with_mass(1.0)));
        assert_eq!(history.undo(with_mass(1.0)), None);
        assert_eq!(history.redo(with_mass(1.0)), Some(with_mass(2.0)));
        assert_eq!(history.redo(with_mass(2.0)), Some(with_mass(3.0)));
        assert_eq!(history.redo(with_mass(3.0)), None);
    }

    #[test]
    fn a_new_step_forgets_what_was_ahead() {
        let mut history = History::default();
        history.record("First".to_owned(), with_mass(1.0));
        history.undo(with_mass(2.0));
        history.record("Other".to_owned(), with_mass(1.0));
        assert_eq!(history.redo_label(), None);
    }

    #[test]
    fn nudges_of_one_handle_merge_and_others_do_not() {
        let mut history = History::default();
        history.record_nudge(Handle::WallLower, with_mass(1.0));
        history.record_nudge(Handle::WallLower, with_mass(2.0));
        history.record_nudge(Handle::WallUpper, with_mass(3.0));
        history.seal();
        history.record_nudge(Handle::WallUpper, with_mass(4.0));
        let mut walked = Vec::new();
        let mut now = with_mass(5.0);
        while let Some(before) = history.undo(now) {
            walked.push(before.panel.mass);
            now = before;
        }
        assert_eq!(walked, [4.0, 3.0, 1.0]);
    }
}
