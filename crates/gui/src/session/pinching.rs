//! Gaps that close on hands and fingers, looked for once for each analysis.

use std::sync::Arc;

use overarm_solver::{Pinch, pinches};

use super::Session;

/// What was found last, and of which revision.
#[derive(Debug, Default)]
pub(super) struct Pinching {
    known: Option<(u64, Arc<Vec<Pinch>>)>,
}

impl Session {
    /// The gaps of the lift shown that close on a hand or a finger, the smallest first; while a handle
    /// is dragged those from before: they take longer than a frame has.
    pub fn pinches(&mut self) -> Arc<Vec<Pinch>> {
        let analysis = self.analysis();
        let shown = self.shown_revision();
        if let Some((revision, known)) = &self.pinching.known
            && (Some(*revision) == shown || self.drag.is_some())
        {
            return Arc::clone(known);
        }
        // A project newer than its analysis is not what the analysis is of.
        if self.is_stale() {
            return self.pinching.known.as_ref().map(|(_, known)| Arc::clone(known)).unwrap_or_default();
        }
        let found = Arc::new(pinches(self.document.project(), &analysis));
        self.pinching.known = shown.map(|revision| (revision, Arc::clone(&found)));
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::{Action, Command, Edit, Handle};

    #[test]
    fn gaps_are_looked_for_once_and_again_after_an_edit() {
        let mut session = Session::new(Arc::new(|| {}));
        let first = session.pinches();
        assert!(!first.is_empty() && Arc::ptr_eq(&first, &session.pinches()));
        session.apply(Action::Edit(Edit::Nudge(Handle::Hung, nalgebra::Vector2::new(30.0, 0.0))));
        let moved = session.pinches();
        assert!(moved != first, "the panel hangs farther from the wall");
        session.apply(Action::Command(Command::Undo));
        assert_eq!(session.pinches(), first);
    }
}
