//! Errors of parts, drawn on a thread of their own once edits rest: they take as long as a hundred
//! frames, so no frame waits for them, and what was drawn for an older state is never shown.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use overarm_solver::errors::Draws;
use overarm_solver::{Analysis, Project, Rule, RuleFinding};

use super::Session;
use super::jobs::Wake;

/// Edits rest this long before errors are drawn: longer than a key that is held down repeats.
const REST: Duration = Duration::from_millis(250);

/// The worker and what it found last.
pub(super) struct DrawnErrors {
    wake: Wake,
    /// Whether they are drawn at all.
    wanted_at_all: bool,
    /// How.
    draws: Draws,
    /// The revision that stands, and since when.
    rests: Option<(u64, Instant)>,
    /// The revision that was asked for last.
    asked: Option<u64>,
    /// Counts what was asked; an older number gives up.
    wanted: Arc<AtomicU64>,
    found: Arc<Mutex<Found>>,
}

/// What was found, and at which revision; `None` where it broke down.
type Found = Option<(u64, Option<Arc<Analysis>>)>;

/// How far the drawing of errors is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drawing {
    /// It goes on, or waits until edits rest.
    Pending,
    /// It is done.
    Done,
    /// It broke down.
    Broken,
}

impl DrawnErrors {
    /// Nothing is drawn yet; `wake` is called when something is.
    pub(super) fn new(wake: Wake) -> Self {
        let (wanted, found) = (Arc::default(), Arc::default());
        Self { wake, wanted_at_all: true, draws: Draws::default(), rests: None, asked: None, wanted, found }
    }

    /// How far it is for a revision.
    fn drawing(&self, revision: u64) -> Drawing {
        let found = self.found.lock().unwrap_or_else(PoisonError::into_inner);
        match &*found {
            Some((of, Some(_))) if *of == revision => Drawing::Done,
            Some((of, None)) if *of == revision => Drawing::Broken,
            _ => Drawing::Pending,
        }
    }

    /// The analysis of a revision with its errors, once they are drawn.
    pub(super) fn of(&self, revision: u64) -> Option<Arc<Analysis>> {
        let found = self.found.lock().unwrap_or_else(PoisonError::into_inner);
        found.as_ref().filter(|(of, _)| *of == revision).and_then(|(_, analysis)| analysis.clone())
    }

    /// What is due at `now` for the revision that stands; tells when to look again, if ever.
    fn due(&mut self, revision: u64, now: Instant) -> (bool, Option<Duration>) {
        if self.rests.is_none_or(|(of, _)| of != revision) {
            self.rests = Some((revision, now));
            self.give_up();
        }
        if self.asked == Some(revision) {
            return (false, None);
        }
        let since = self.rests.map_or(now, |(_, since)| since);
        let wait = REST.saturating_sub(now.saturating_duration_since(since));
        if wait.is_zero() { (true, None) } else { (false, Some(wait)) }
    }

    /// From now on otherwise: what was drawn before is not shown for it.
    pub(super) fn draw_otherwise(&mut self, draws: Draws) {
        if self.draws != draws {
            self.draws = draws;
            self.give_up();
            *self.found.lock().unwrap_or_else(PoisonError::into_inner) = None;
        }
    }

    /// What is going on is not wanted any more.
    fn give_up(&mut self) {
        self.wanted.fetch_add(1, Ordering::SeqCst);
        self.asked = None;
    }

    fn begin(&mut self, revision: u64, project: Arc<Project>, analysis: Arc<Analysis>) {
        self.asked = Some(revision);
        let number = self.wanted.fetch_add(1, Ordering::SeqCst) + 1;
        let (wanted, found, wake) = (Arc::clone(&self.wanted), Arc::clone(&self.found), Arc::clone(&self.wake));
        let draws = self.draws;
        std::thread::spawn(move || {
            let is_wanted = || wanted.load(Ordering::SeqCst) == number;
            let work = || (*analysis).clone().with_errors_drawn_while(&project, &draws, &is_wanted);
            let drawn = catch_unwind(AssertUnwindSafe(work)).unwrap_or_default().map(Arc::new);
            let mut found = found.lock().unwrap_or_else(PoisonError::into_inner);
            if is_wanted() {
                *found = Some((revision, drawn));
                drop(found);
                wake();
            }
        });
    }
}

impl Drop for DrawnErrors {
    fn drop(&mut self) {
        self.give_up();
    }
}

impl Session {
    /// Whether errors of parts are drawn; they are, unless told otherwise.
    pub fn draw_errors(&mut self, wanted: bool) {
        self.drawn_errors.wanted_at_all = wanted;
    }

    /// How errors of parts are drawn.
    #[must_use]
    pub fn draws(&self) -> Draws {
        self.drawn_errors.draws
    }

    /// Draws errors of parts when edits have rested; tells when to look again, if ever.
    pub(super) fn draw_errors_in_time(&mut self, now: Instant) -> Option<Duration> {
        let revision = self.document.revision();
        let (is_due, wait) = self.drawn_errors.due(revision, now);
        if self.drag.is_some() || !self.drawn_errors.wanted_at_all {
            // It rests when it is let go.
            return None;
        }
        if is_due && let Some((known, analysis)) = self.analyst.known().filter(|(known, _)| *known == revision) {
            let analysis = Arc::clone(analysis);
            self.drawn_errors.begin(known, Arc::clone(self.document.project()), analysis);
        }
        // An analysis that is still awaited wakes the window itself.
        wait
    }

    /// How far the drawing of errors is for the project as it stands.
    #[must_use]
    pub fn errors_drawing(&self) -> Drawing {
        self.drawn_errors.drawing(self.document.revision())
    }

    /// What stands in the place of figures that errors have to be drawn for.
    #[must_use]
    pub fn words_while_drawing(&self) -> Option<&'static str> {
        match self.errors_drawing() {
            Drawing::Pending => Some("Being worked out: errors of parts are drawn while nothing is changed."),
            Drawing::Broken => Some(
                "The program made a mistake while it drew errors of parts for this project. Please report it together with the project.",
            ),
            Drawing::Done => None,
        }
    }

    /// A rule that was judged by errors drawn for an older state: only so that it keeps its place in a
    /// list while they are drawn anew.
    #[must_use]
    pub fn judged_before(&self, rule: Rule) -> Option<RuleFinding> {
        let found = self.drawn_errors.found.lock().unwrap_or_else(PoisonError::into_inner);
        let (_, before) = found.as_ref()?;
        before.as_ref()?.rules.iter().find(|finding| finding.rule == rule).cloned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::size::Size;
    use crate::session::{Action, Edit, Field, Setting};

    fn verdict(session: &mut Session) -> Option<bool> {
        let analysis = session.analysis();
        analysis.rules.iter().find(|finding| finding.rule == Rule::PairRunsFree).and_then(|finding| finding.holds)
    }

    /// Lets edits rest and waits for what is drawn then.
    fn drawn(session: &mut Session) {
        let start = Instant::now();
        session.tick(start);
        session.tick(start + REST);
        while session.errors_drawing() == Drawing::Pending {
            assert!(start.elapsed() < Duration::from_secs(60), "it is never drawn");
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    #[test]
    fn drawn_once_edits_rest_and_never_shown_for_another_state() {
        let mut session = Session::new(Arc::new(|| {}));
        assert_eq!(verdict(&mut session), None);
        let now = Instant::now();
        assert_eq!(session.tick(now), Some(REST), "the next look is when edits have rested");
        assert_eq!(session.tick(now + REST / 2), Some(REST - REST / 2));
        drawn(&mut session);
        assert!(verdict(&mut session).is_some() && session.words_while_drawing().is_none());
        assert_eq!(session.tick(Instant::now() + REST), None, "what is drawn is not drawn again");
        // With another tolerance what was drawn is not of the project any more.
        let field = Field::Size(Size::LengthTolerance);
        session.apply(Action::Edit(Edit::Set(Setting::Number(field, Some(1.5)))));
        assert_eq!(verdict(&mut session), None);
        assert!(session.analysis().errors.is_none() && session.words_while_drawing().is_some());
        drawn(&mut session);
        assert_eq!(verdict(&mut session), Some(false), "nobody needs to measure for that");
    }

    /// Drawn otherwise for the same state: what was drawn before is gone, and the text says of what it is.
    #[test]
    fn drawn_otherwise_when_asked_for() {
        let mut session = Session::new(Arc::new(|| {}));
        session.analysis();
        drawn(&mut session);
        let gap = |session: &mut Session| {
            let errors = session.analysis().errors.clone().expect("drawn");
            errors.one_set.expect("it closes").hung_gap.p95.expect("all get there")
        };
        let uniform = gap(&mut session);
        let normal = Draws { spread: overarm_solver::errors::Spread::Normal, ..session.draws() };
        session.apply(Action::View(crate::session::ViewAction::Draw(normal)));
        assert!(session.analysis().errors.is_none() && session.errors_drawing() == Drawing::Pending);
        drawn(&mut session);
        // The deviation of a third of the tolerance instead of the tolerance over √3.
        let ratio = gap(&mut session) / uniform;
        assert!((ratio - 3.0_f64.sqrt() / 3.0).abs() < 0.02, "{ratio}");
        assert!(session.analysis().rules.iter().any(|finding| finding.text.contains("errors normal")));
        session.apply(Action::View(crate::session::ViewAction::Draw(Draws::default())));
        drawn(&mut session);
        assert!((gap(&mut session) - uniform).abs() < 1e-15, "the same seed, the same answer");
    }

    #[test]
    fn what_is_overtaken_is_given_up() {
        let mut session = Session::new(Arc::new(|| {}));
        session.analysis();
        let now = Instant::now();
        session.tick(now);
        session.tick(now + REST);
        assert_eq!(session.drawn_errors.asked, Some(session.document.revision()));
        let before = session.drawn_errors.wanted.load(Ordering::SeqCst);
        let field = Field::Size(Size::OffsetTolerance);
        session.apply(Action::Edit(Edit::Set(Setting::Number(field, Some(0.02)))));
        session.tick(now + REST);
        assert!(session.drawn_errors.asked.is_none());
        assert!(session.drawn_errors.wanted.load(Ordering::SeqCst) > before, "the one before is told to stop");
    }
}
