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
    /// Steps that are too long ago to be kept.
    forgotten: usize,
}

/// Where a step stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Done; the project shows it and more.
    Behind,
    /// The last one done: this is how the project stands.
    Here,
    /// Taken back; it can be done again until the next change.
    Ahead,
}

/// A step as the list shows it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Listed<'a> {
    /// Counted from the opening of the project, which is 0.
    pub number: usize,
    /// What it was called; none for the project as it was opened.
    pub label: Option<&'a str>,
    /// Where it stands.
    pub standing: Standing,
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
            self.forgotten += 1;
        }
    }

    /// Every step that can be gone to, the oldest first.
    pub fn list(&self) -> impl Iterator<Item = Listed<'_>> {
        let here = self.number();
        let start = std::iter::once(None);
        let steps = self.behind.iter().chain(self.ahead.iter().rev()).map(|step| Some(step.label.as_str()));
        start.chain(steps).enumerate().map(move |(index, label)| {
            let number = index + self.forgotten;
            let standing = match number.cmp(&here) {
                std::cmp::Ordering::Less => Standing::Behind,
                std::cmp::Ordering::Equal => Standing::Here,
                std::cmp::Ordering::Greater => Standing::Ahead,
            };
            Listed { number, label, standing }
        })
    }

    /// The step that the project stands at.
    #[must_use]
    pub fn number(&self) -> usize {
        self.forgotten + self.behind.len()
    }

    /// How many of the first steps are too long ago to be gone to.
    #[must_use]
    pub fn forgotten(&self) -> usize {
        self.forgotten
    }

    /// Walks from `now` to a step of the list, as undo and redo would; none where it is here already
    /// or no longer kept.
    pub fn go_to(&mut self, number: usize, now: Arc<Project>) -> Option<Arc<Project>> {
        if number < self.forgotten || number > self.number() + self.ahead.len() {
            return None;
        }
        let mut reached = None;
        let mut project = now;
        while self.number() != number {
            project = if self.number() > number { self.undo(project)? } else { self.redo(project)? };
            reached = Some(Arc::clone(&project));
        }
        reached
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
    fn the_list_names_every_step_and_any_can_be_gone_to() {
        let mut history = History::default();
        for (label, mass) in [("First", 1.0), ("Second", 2.0), ("Third", 3.0)] {
            history.record(label.to_owned(), with_mass(mass));
        }
        let shown = |history: &History| {
            history.list().map(|step| (step.label.map(str::to_owned), step.standing)).collect::<Vec<_>>()
        };
        let named = |label: &str, standing| (Some(label.to_owned()), standing);
        assert_eq!(history.go_to(1, with_mass(4.0)), Some(with_mass(2.0)));
        assert_eq!(
            shown(&history),
            [
                (None, Standing::Behind),
                named("First", Standing::Here),
                named("Second", Standing::Ahead),
                named("Third", Standing::Ahead),
            ]
        );
        assert_eq!(history.go_to(1, with_mass(2.0)), None, "it is here already");
        assert_eq!(history.go_to(0, with_mass(2.0)), Some(with_mass(1.0)));
        assert_eq!(history.go_to(3, with_mass(1.0)), Some(with_mass(4.0)));
        assert_eq!(history.go_to(4, with_mass(4.0)), None);
    }

    #[test]
    fn steps_too_long_ago_are_counted_and_not_gone_to() {
        let mut history = History::default();
        for _ in 0..DEEPEST + 3 {
            history.record("Step".to_owned(), with_mass(1.0));
        }
        assert_eq!(history.forgotten(), 3);
        assert_eq!(history.number(), DEEPEST + 3);
        assert_eq!(history.list().next().map(|step| step.number), Some(3));
        assert_eq!(history.go_to(2, with_mass(1.0)), None);
        assert_eq!(history.list().count(), DEEPEST + 1);
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
