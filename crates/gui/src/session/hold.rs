//! Holding a handle: from the press to the release, and what can be told meanwhile.

use std::sync::Arc;

use nalgebra::{Isometry2, Vector2};
use overarm_solver::{Options, Point, Rule, TravelWanted, analyse, show_signed_margin};

use super::dragging::{DragMode, Held, Moved};
use super::handle::{Handle, parked_of};
use super::snaps::{Hint, Reach, snap};
use super::where_it_holds::{DrivePart, Map};
use super::{RefusedEdit, Session};

/// A handle that is held, from the press to the release.
pub(super) struct Drag {
    pub(super) held: Held,
    /// The revision at which it began.
    from: u64,
    /// Which rules held then.
    verdicts: Vec<(Rule, Option<bool>)>,
    hints: Vec<Hint>,
    warning: Option<String>,
}

/// A rule that has changed its verdict since a handle was taken hold of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Changed {
    /// The rule.
    pub rule: Rule,
    /// Whether it holds now.
    pub holds: bool,
    /// "Clears the room: now fails by 3.1 mm".
    pub words: String,
}

impl Session {
    /// The handle being dragged.
    #[must_use]
    pub fn dragged(&self) -> Option<Handle> {
        self.drag.as_ref().map(|drag| drag.held.handle)
    }

    /// What a drag keeps.
    #[must_use]
    pub fn drag_mode(&self) -> DragMode {
        self.drag_mode
    }

    /// What holds the dragged handle where it is.
    #[must_use]
    pub fn hints(&self) -> &[Hint] {
        self.drag.as_ref().map_or(&[], |drag| &drag.hints)
    }

    /// The travel in degrees that a drag has put in the place of "to the stop", which would move parked.
    #[must_use]
    pub fn travel_fixed(&self) -> Option<f64> {
        let before = self.drag.as_ref()?.held.before.linkage.travel_deg;
        match (before, self.project().linkage.travel_deg) {
            (TravelWanted::ToStop, TravelWanted::Degrees(degrees)) => Some(degrees),
            _ => None,
        }
    }

    /// How unsure the place is of what follows the dragged handle, where that needs saying.
    #[must_use]
    pub fn drag_warning(&self) -> Option<&str> {
        self.drag.as_ref().and_then(|drag| drag.warning.as_deref())
    }

    /// Rules that have changed their verdict since the handle was taken hold of, as far as is known.
    #[must_use]
    pub fn changed_verdicts(&self) -> Vec<Changed> {
        let (Some(drag), Some((revision, analysis))) = (&self.drag, self.analyst.known()) else { return Vec::new() };
        if revision < drag.from {
            return Vec::new();
        }
        let units = self.project().units();
        let was = |rule: Rule| drag.verdicts.iter().find(|(other, _)| *other == rule).and_then(|(_, holds)| *holds);
        let changed = analysis.rules.iter().filter_map(|finding| {
            let holds = finding.holds?;
            (was(finding.rule) != Some(holds)).then(|| {
                let verdict = match (holds, finding.margin) {
                    (true, _) => "now holds".to_owned(),
                    (false, Some(margin)) => {
                        let by = show_signed_margin(margin.abs(), finding.unit, units);
                        format!("now fails by {}", by.trim_start_matches('+'))
                    }
                    (false, None) => "now fails".to_owned(),
                };
                Changed { rule: finding.rule, holds, words: format!("{}: {verdict}", finding.rule.title()) }
            })
        });
        changed.collect()
    }

    /// Where the dragged handle could be for every geometric rule to hold, as far as it is known. It
    /// is worked on while the hand is still: the analysis of what is dragged goes before.
    #[must_use]
    pub fn where_it_holds(&self) -> Option<Arc<Map>> {
        self.where_it_holds.map()
    }

    /// Where a handle is, side view, the panel hung; known without searching for the parked pose again.
    pub fn place(&mut self, handle: Handle) -> Point {
        let parked = self.parked();
        handle.place_with(self.document.project(), &parked)
    }

    /// How the parked panel's frame lies in the side view, of the project as it stands even where the
    /// analysis shown is an older one's.
    pub fn parked(&mut self) -> Isometry2<f64> {
        let revision = self.document.revision();
        if let Some((_, parked)) = self.parked.filter(|(known, _)| *known == revision) {
            return parked;
        }
        let parked = match self.analyst.known() {
            Some((known, analysis)) if known == revision => analysis.pose_at(1.0).room_from_panel,
            _ => parked_of(self.document.project()),
        };
        self.parked = Some((revision, parked));
        parked
    }

    /// Takes hold of a handle.
    pub(super) fn grab(&mut self, handle: Handle) {
        self.history.seal();
        let held = self.hold(handle);
        let from = self.document.revision();
        let verdicts = match self.analyst.known() {
            Some((known, analysis)) if known == from => verdicts(&analysis.rules),
            // What the drag is measured against must be of this project: worth waiting for, once.
            _ => verdicts(&analyse(self.document.project(), &Options { poses: 2, swept: false }).rules),
        };
        self.drag = Some(Drag { held, from, verdicts, hints: Vec::new(), warning: None });
    }

    /// Puts everything back as it was before the press.
    pub(super) fn give_drag_up(&mut self) {
        self.where_it_holds.give_up();
        self.give_places_up();
        if let Some(drag) = self.drag.take() {
            self.document.set(drag.held.before);
        }
    }

    /// Moves a handle by a little, as one step with the nudges before it.
    pub(super) fn nudge(&mut self, handle: Handle, by: Vector2<f64>) {
        let held = self.hold(handle);
        let moved = if handle == Handle::ParkedTurn {
            // A millimetre to the right or up is a degree further out.
            let tilt = -held.ends.parked.rotation.angle().to_degrees() + by.x + by.y;
            held.tilt_parked((tilt * 1e3).round() / 1e3)
        } else {
            // To the micrometre, so that ten nudges of 0.1 make one of 1.
            let by = if handle == Handle::Sets { Vector2::new(by.x, 0.0) } else { by };
            held.put((held.place() + by).map(|value| (value * 1e3).round() / 1e3))
        };
        let before = Arc::clone(&held.before);
        if self.take(handle, moved).is_some() {
            self.history.record_nudge(handle, before);
        }
    }

    /// A handle with all that its move starts from.
    fn hold(&mut self, handle: Handle) -> Held {
        let parked = self.parked();
        Held::new(handle, self.drag_mode, Arc::clone(self.document.project()), parked)
    }

    pub(super) fn drag_to(&mut self, reach: &Reach) {
        let Some(drag) = self.drag.take() else { return };
        let snapped = snap(&drag.held, reach);
        let moved = self.take(drag.held.handle, drag.held.put(snapped.place));
        self.ask_where_it_holds(&drag.held, snapped.place, reach);
        let (hints, warning) = match moved {
            Some(warning) => (snapped.hints, warning),
            None => (Vec::new(), None),
        };
        self.drag = Some(Drag { hints, warning, ..drag });
    }

    /// Asks for the map about the held handle, once for each hold, and again when it leaves
    /// the map or the drawing is zoomed.
    fn ask_where_it_holds(&mut self, held: &Held, place: Point, reach: &Reach) {
        /// Half the map's side, points of the screen: what can be reached with a calm hand.
        const HALF: f64 = 120.0;
        if let Some(part) = DrivePart::of_handle(held.handle) {
            // Neither motion nor weights depend on it: one map serves the whole drag.
            if self.places_of.is_none() && !self.drive_places.is_asked() {
                self.drive_places.ask_places(part, &held.before, DrivePart::HALF_MM);
            }
            return;
        }
        let lives = held.handle.is_pivot() || matches!(held.handle, Handle::Hung | Handle::Parked);
        let slides = held.handle == Handle::Parked && held.mode == DragMode::KeepLengths;
        if !lives || slides {
            return;
        }
        let half = HALF / reach.points_per_mm;
        if !self.where_it_holds.serves(place, half) {
            let middle = if self.where_it_holds.is_asked() { place } else { held.place() };
            self.where_it_holds.ask(held, middle, half);
        }
    }

    /// Gives the map of the drive's places up where only a drag has asked for it.
    fn give_places_up(&mut self) {
        if self.places_of.is_none() {
            self.drive_places.give_up();
        }
    }

    /// Takes a moved project over, and what is to be said of it; none where it is refused, which is told.
    fn take(&mut self, handle: Handle, moved: Result<Moved, String>) -> Option<Option<String>> {
        match moved {
            Ok(moved) => {
                self.document.set(Arc::new(moved.project));
                Some(moved.warning)
            }
            Err(sentence) => {
                self.refused_edit = Some(RefusedEdit { handle, sentence });
                None
            }
        }
    }

    pub(super) fn finish_drag(&mut self) {
        self.where_it_holds.give_up();
        self.give_places_up();
        if let Some(drag) = self.drag.take()
            && **self.document.project() != *drag.held.before
        {
            self.history.record(drag.held.step_label(), drag.held.before);
        }
    }
}

fn verdicts(rules: &[overarm_solver::RuleFinding]) -> Vec<(Rule, Option<bool>)> {
    rules.iter().map(|finding| (finding.rule, finding.holds)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::{Action, Command, Edit};
    use std::time::{Duration, Instant};

    fn apart(one: &Isometry2<f64>, other: &Isometry2<f64>) -> f64 {
        (one.translation.vector - other.translation.vector).norm().max(one.rotation.angle_to(&other.rotation).abs())
    }

    #[test]
    fn a_drag_starts_from_the_project_as_it_stands_not_from_an_older_analysis() {
        let mut session = Session::new(Arc::new(|| {}));
        session.analysis();
        // From now on no frame waits: what is shown lags behind.
        session.wait_at_most(Duration::ZERO);
        session.apply(Action::Edit(Edit::Nudge(Handle::WallUpper, Vector2::new(4.0, -6.0))));
        session.analysis();
        assert!(session.is_stale());
        let parked = parked_of(session.project());
        let shown = session.analysis().pose_at(1.0).room_from_panel;
        assert!(apart(&parked, &shown) > 1.0, "the nudge moves parked");
        assert!(apart(&session.parked(), &parked) < 1e-12);

        session.apply(Action::Command(Command::KeepEndPoses));
        session.apply(Action::Edit(Edit::Grab(Handle::PanelLower)));
        assert!(session.changed_verdicts().is_empty(), "an older analysis tells nothing of this drag");
        let start = session.place(Handle::PanelLower);
        let place = start + Vector2::new(-2.0, -7.0);
        let reach = Reach { place, points_per_mm: 1.0, pixels_per_point: 1.0, snaps: false };
        session.apply(Action::Edit(Edit::DragTo(reach)));
        assert!(session.refused_edit().is_none() && session.place(Handle::PanelLower) != start);
        assert!(apart(&parked_of(session.project()), &parked) < 1e-9, "and parked stays where it was");
    }

    #[test]
    fn a_dragged_drum_shows_where_it_could_be_and_lets_go_of_that() {
        for handle in Handle::OF_DRIVE {
            let mut session = Session::new(Arc::new(|| {}));
            session.apply(Action::Edit(Edit::Grab(handle)));
            assert!(session.drive_map().is_none(), "a press moves nothing and asks for nothing");
            let place = session.place(handle) + Vector2::new(3.0, -2.0);
            let reach = Reach { place, points_per_mm: 1.0, pixels_per_point: 1.0, snaps: false };
            session.apply(Action::Edit(Edit::DragTo(reach)));
            session.analysis();
            let patience = Instant::now() + Duration::from_secs(60);
            let finished = |session: &mut Session| session.drive_map().filter(|map| map.finished);
            while finished(&mut session).is_none() {
                assert!(Instant::now() < patience, "waited in vain for the map of {handle:?}");
                std::thread::sleep(Duration::from_millis(5));
            }
            let map = session.drive_map().expect("a map");
            let cells = || (0..map.side).flat_map(|row| (0..map.side).map(move |column| (column, row)));
            assert!(map.holds_somewhere() && cells().any(|(column, row)| !map.holds(column, row)), "{handle:?}");
            session.apply(Action::Edit(Edit::Release));
            assert!(session.drive_map().is_none(), "nobody asked for it to stay");
        }
    }

    #[test]
    fn an_ill_conditioned_follower_is_told_with_its_number() {
        let mut project = crate::session::demo();
        project.linkage.travel_deg = TravelWanted::Degrees(4.0);
        let parked = parked_of(&project);
        let held = Held::new(Handle::PanelUpper, DragMode::KeepEndPoses, Arc::new(project), parked);
        let moved = held.put(held.place() + Vector2::new(0.0, 0.5)).expect("a lift");
        let warning = moved.warning.expect("small turns are unsure");
        assert!(warning.contains("1 mm of error moves its wall pivot"), "{warning}");
    }
}
