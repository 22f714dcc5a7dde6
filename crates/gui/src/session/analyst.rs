//! Analyses of the project as it stands, on a thread of their own, from the moment it changes: a frame
//! waits for one while that is quick, and else shows the last one, marked as such once that is old.

use std::collections::VecDeque;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::{Duration, Instant};

use overarm_solver::{Analysis, Options, Project, analyse};

use super::jobs::Wake;

/// Poses of one analysis in the window: a third of a percent of the travel apart, so that a plot
/// has no corners at any width of screen.
const POSES: usize = 361;

/// An analysis that has been overtaken for so long is marked as one of a moment ago. Below it, marks
/// that come and go would tell less than they disturb: a tenth of a second is common practice for
/// what seems immediate.
const OLD: Duration = Duration::from_millis(100);

/// What an analysis found, and of which revision; `None` where it broke down.
type Answer = (u64, Option<Arc<Analysis>>, Duration);

/// Keeps the newest analysis.
pub struct Analyst {
    known: Option<(u64, Arc<Analysis>)>,
    /// How long the last one took.
    cost: Duration,
    /// How long after it was asked for a frame may wait for one.
    patience: Duration,
    wake: Wake,
    worker: Option<Worker>,
    asked: Option<u64>,
    /// The revision that a frame has waited for already.
    waited: Option<u64>,
    /// Revisions that were asked for after the one that is known, and when.
    overtaking: VecDeque<(u64, Instant)>,
    /// The revision at which the worker broke down.
    broken: Option<u64>,
}

struct Worker {
    work: Sender<(u64, Arc<Project>)>,
    answers: Receiver<Answer>,
    /// A frame waits for the answer and need not be woken for it.
    is_awaited: Arc<AtomicBool>,
}

impl Analyst {
    /// One that is waited for, however long it takes.
    #[must_use]
    pub fn new(wake: Wake) -> Self {
        Self {
            known: None,
            cost: Duration::ZERO,
            patience: Duration::MAX,
            wake,
            worker: None,
            asked: None,
            waited: None,
            overtaking: VecDeque::new(),
            broken: None,
        }
    }

    /// How long after it was asked for a frame may wait for an analysis, which is then done on a thread
    /// of its own; one that took longer the last time is not waited for.
    pub fn wait_at_most(&mut self, patience: Duration) {
        self.patience = patience;
    }

    /// Forgets what is known: the next analysis is of another document and is waited for.
    pub fn start_afresh(&mut self) {
        self.known = None;
        self.cost = Duration::ZERO;
        self.overtaking.clear();
        // What the worker still has in hand is of the other one.
        (self.worker, self.asked, self.waited) = (None, None, None);
    }

    /// Begins an analysis that the next frame will want, while this one is still on its way to the screen.
    pub fn look_ahead(&mut self, revision: u64, project: &Arc<Project>) {
        let is_known = self.known.as_ref().is_some_and(|(known, _)| *known == revision);
        if !is_known && self.asked != Some(revision) && self.works_beside(revision) {
            self.ask(revision, project);
        }
    }

    /// How long until what is known is old, for it to be marked then; none where it is, or is the newest.
    #[must_use]
    pub fn old_in(&self) -> Option<Duration> {
        self.overtaking.front().and_then(|(_, asked)| OLD.checked_sub(asked.elapsed()))
    }

    /// Whether what is known was overtaken so long ago that it is to be marked.
    #[must_use]
    pub fn is_old(&self) -> bool {
        self.overtaking.front().is_some_and(|(_, asked)| asked.elapsed() > OLD)
    }

    /// Whether a worker may do it: somebody has something to look at meanwhile.
    fn works_beside(&self, revision: u64) -> bool {
        self.known.is_some() && self.patience < Duration::MAX && self.broken != Some(revision)
    }

    /// The newest analysis that a frame can have of a project at a revision.
    pub fn newest(&mut self, revision: u64, project: &Arc<Project>) -> Arc<Analysis> {
        self.take_answers();
        match &self.known {
            Some((known, analysis)) if *known == revision => return Arc::clone(analysis),
            Some((_, before)) if self.asked == Some(revision) && self.waited == Some(revision) => {
                return Arc::clone(before);
            }
            _ => {}
        }
        if self.works_beside(revision) && (self.asked == Some(revision) || self.ask(revision, project)) {
            self.waited = Some(revision);
            // What took longer the last time is not waited for at all.
            if self.cost <= self.patience {
                self.wait_for(revision);
            }
            if let Some((_, newest)) = self.known.as_ref().filter(|_| self.broken != Some(revision)) {
                return Arc::clone(newest);
            }
        }
        let started = Instant::now();
        let analysis = Arc::new(analysis_of(project));
        self.cost = started.elapsed();
        self.asked = None;
        self.know(revision, Arc::clone(&analysis));
        analysis
    }

    /// The newest that is there, and of which revision.
    #[must_use]
    pub fn known(&self) -> Option<(u64, &Arc<Analysis>)> {
        self.known.as_ref().map(|(revision, analysis)| (*revision, analysis))
    }

    /// Hands a revision to the worker; what it has not begun yet is dropped for it.
    fn ask(&mut self, revision: u64, project: &Arc<Project>) -> bool {
        let worker = self.worker.get_or_insert_with(|| Worker::start(Arc::clone(&self.wake)));
        let sent = worker.work.send((revision, Arc::clone(project))).is_ok();
        self.asked = sent.then_some(revision);
        if sent {
            self.overtaking.push_back((revision, Instant::now()));
        }
        sent
    }

    /// Waits for the worker's answer, as long as a frame may.
    fn wait_for(&mut self, revision: u64) {
        let asked = self.overtaking.back().filter(|(asked, _)| *asked == revision);
        let until = asked.map_or_else(Instant::now, |(_, asked)| *asked) + self.patience;
        if let Some(worker) = &self.worker {
            worker.is_awaited.store(true, Ordering::SeqCst);
        }
        while self.asked == Some(revision) && self.known.as_ref().is_some_and(|(known, _)| *known != revision) {
            let left = until.saturating_duration_since(Instant::now());
            let answer = self.worker.as_ref().and_then(|worker| worker.answers.recv_timeout(left).ok());
            let Some(answer) = answer else { break };
            self.take(answer);
        }
        if let Some(worker) = &self.worker {
            worker.is_awaited.store(false, Ordering::SeqCst);
        }
        // An answer that was sent before that wakes nobody: it lies there by now.
        self.take_answers();
    }

    fn take_answers(&mut self) {
        while let Some(answer) = self.worker.as_ref().and_then(|worker| worker.answers.try_recv().ok()) {
            self.take(answer);
        }
    }

    fn take(&mut self, (revision, analysis, cost): Answer) {
        self.cost = cost;
        match analysis {
            Some(analysis) if self.known.as_ref().is_none_or(|(known, _)| *known < revision) => {
                self.know(revision, analysis);
            }
            // It broke down: the frame tries for itself, so that the fault is seen.
            None if self.asked == Some(revision) => {
                (self.asked, self.cost, self.broken) = (None, Duration::ZERO, Some(revision));
            }
            _ => {}
        }
    }

    fn know(&mut self, revision: u64, analysis: Arc<Analysis>) {
        self.known = Some((revision, analysis));
        while self.overtaking.front().is_some_and(|(asked, _)| *asked <= revision) {
            self.overtaking.pop_front();
        }
    }
}

impl Worker {
    fn start(wake: Wake) -> Self {
        let (work, incoming) = channel::<(u64, Arc<Project>)>();
        let (done, answers) = channel();
        let is_awaited = Arc::new(AtomicBool::new(false));
        let awaited = Arc::clone(&is_awaited);
        std::thread::spawn(move || {
            while let Ok(mut newest) = incoming.recv() {
                while let Ok(newer) = incoming.try_recv() {
                    newest = newer;
                }
                let (revision, project) = newest;
                let started = Instant::now();
                let analysis = catch_unwind(AssertUnwindSafe(|| Arc::new(analysis_of(&project)))).ok();
                if done.send((revision, analysis, started.elapsed())).is_err() {
                    break;
                }
                if !awaited.load(Ordering::SeqCst) {
                    wake();
                }
            }
        });
        Self { work, answers, is_awaited }
    }
}

fn analysis_of(project: &Project) -> Analysis {
    analyse(project, &Options { poses: POSES, swept: true })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;

    #[test]
    fn what_takes_too_long_comes_later_and_only_the_newest() {
        let (told, woken) = channel();
        let told = std::sync::Mutex::new(told);
        let mut analyst = Analyst::new(Arc::new(move || {
            let _ = told.lock().map(|told| told.send(()));
        }));
        analyst.wait_at_most(Duration::ZERO);
        let first = analyst.newest(1, &Arc::new(demo()));
        // The first is always waited for; any more cost more than nothing.
        assert!(analyst.known().is_some_and(|(revision, _)| revision == 1));
        let mut heavier = demo();
        heavier.panel.height += 10.0;
        let heavier = Arc::new(heavier);
        assert!(Arc::ptr_eq(&first, &analyst.newest(2, &heavier)), "the last one is still shown");
        woken.recv_timeout(Duration::from_secs(60)).expect("the worker has finished");
        let second = analyst.newest(2, &heavier);
        assert!(!Arc::ptr_eq(&first, &second));
        assert!((second.lift.panel.most.y - first.lift.panel.most.y - 10.0).abs() < 1e-9);
        // Another document is waited for again.
        analyst.start_afresh();
        analyst.newest(3, &Arc::new(demo()));
        assert!(analyst.known().is_some_and(|(revision, _)| revision == 3));
    }

    #[test]
    fn what_is_shown_is_old_only_when_it_was_overtaken_some_time_ago() {
        let mut analyst = Analyst::new(Arc::new(|| {}));
        analyst.wait_at_most(Duration::ZERO);
        let project = Arc::new(demo());
        analyst.newest(1, &project);
        assert!(!analyst.is_old() && analyst.old_in().is_none(), "the newest is never old");
        // As it is when the worker is long about something.
        analyst.overtaking.extend([(2, Instant::now()), (3, Instant::now())]);
        assert!(!analyst.is_old() && analyst.old_in().is_some_and(|wait| wait <= OLD));
        std::thread::sleep(OLD);
        assert!(analyst.is_old() && analyst.old_in().is_none());
        analyst.overtaking.push_back((4, Instant::now()));
        analyst.know(3, Arc::new(analysis_of(&project)));
        assert!(!analyst.is_old(), "the one of a moment ago is not old, though not the newest");
        analyst.know(4, Arc::new(analysis_of(&project)));
        assert!(analyst.overtaking.is_empty());
    }

    #[test]
    fn what_the_next_frame_wants_is_begun_before_it() {
        let (told, woken) = channel();
        let told = std::sync::Mutex::new(told);
        let mut analyst = Analyst::new(Arc::new(move || {
            let _ = told.lock().map(|told| told.send(()));
        }));
        analyst.wait_at_most(Duration::ZERO);
        analyst.newest(1, &Arc::new(demo()));
        let project = Arc::new(demo());
        analyst.look_ahead(2, &project);
        woken.recv_timeout(Duration::from_secs(60)).expect("the worker has finished");
        analyst.newest(2, &project);
        assert!(analyst.known().is_some_and(|(revision, _)| revision == 2), "without waiting");
        analyst.look_ahead(2, &project);
        assert!(analyst.overtaking.is_empty(), "what is known is not asked for");
    }
}
