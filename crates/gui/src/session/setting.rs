//! What is set beside the sketch, each one undoable step: a number, the units, something added or
//! taken away, a part of the room as measured.

use std::sync::Arc;

use overarm_solver::{Drive, Kick, More, Point, Project, StrapSide, Units};

use super::choice::Choice;
use super::field::{Fallback, Field, solid_name};
use super::remedy::Remedy;
use super::tape::TapePart;
use super::{Notice, Session};

/// Something set beside the sketch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Setting {
    /// Sets a number, in the unit that is kept; none: back to what holds where it is not given.
    Number(Field, Option<f64>),
    /// Moves a number by so much, from the keyboard; one after another they are one step.
    Nudge(Field, f64),
    /// Sets the units of display.
    Units(Units),
    /// Makes a part of the room from the form of measurements.
    Measured(TapePart),
    /// Takes a solid out of the room.
    RemoveSolid(usize),
    /// Adds something that a project may do without.
    Add(Addition),
    /// Takes one of a list.
    Choose(Choice),
    /// Does something about a rule.
    Remedy(Remedy),
}

/// Something that a project may do without.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Addition {
    /// A strap with its drum.
    Drive,
    /// A push off the wall.
    Kick,
    /// An eye that looks under the parked panel.
    Eye,
}

impl Addition {
    /// On its button, and in the history.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Drive => "Add strap and drum",
            Self::Kick => "Add kick",
            Self::Eye => "Add eye",
        }
    }

    /// Whether a project could have it and has not.
    #[must_use]
    pub fn is_missing(self, project: &Project) -> bool {
        match self {
            Self::Drive => project.drive.is_none(),
            Self::Kick => project.drive.as_ref().is_some_and(|drive| drive.kick.is_none()),
            Self::Eye => project.room.uncover.as_ref().is_some_and(|uncover| uncover.eye.is_none()),
        }
    }

    /// Adds it at a place to start from, to be corrected by whoever knows better.
    fn add(self, project: &mut Project) {
        match self {
            Self::Drive => {
                // Behind the panel's lower edge, and above the upper wall pivot: there the strap
                // pulls along the panel. Sizes of a common strap and core; common practice, no source.
                let above = project.linkage.wall_upper + nalgebra::Vector2::new(0.0, 40.0);
                project.drive.get_or_insert(Drive {
                    anchor: Point::new(-0.5 * project.panel.hung.standoff, 5.0),
                    drum_centre: above,
                    drum_radius: 20.0,
                    strap_thickness: 1.2,
                    strap_width: None,
                    strap_side: StrapSide::Room,
                    z: None,
                    dead_wraps: None,
                    strap_limit: None,
                    kick: None,
                    motor: None,
                    more: More::new(),
                });
            }
            Self::Kick => {
                let at = Point::new(0.0, 0.5 * project.panel.height);
                if let Some(drive) = &mut project.drive {
                    let none = || Kick { at, limit: None, stroke: None, passive_force: None, more: More::new() };
                    drive.kick.get_or_insert_with(none);
                }
            }
            Self::Eye => {
                if let Some(uncover) = &mut project.room.uncover {
                    // Somebody who stands an arm's length away; common practice, no source.
                    uncover.eye.get_or_insert(Point::new(900.0, 1650.0));
                }
            }
        }
    }
}

impl Session {
    /// Carries a setting out as one step, or says why not.
    pub(super) fn set(&mut self, setting: Setting) {
        self.history.seal();
        let before = Arc::clone(self.document.project());
        let goes_on = matches!(setting, Setting::Nudge(field, _)
            if self.nudged == Some((field, self.document.revision())));
        match self.made(setting, &before) {
            Ok((label, changed)) => {
                if changed != *before {
                    self.document.set(Arc::new(changed));
                    if !goes_on {
                        self.history.record(label, before);
                    }
                }
                self.nudged = match setting {
                    Setting::Nudge(field, _) => Some((field, self.document.revision())),
                    _ => None,
                };
                if let Setting::Measured(part) = setting {
                    self.tape.forget(part);
                }
            }
            Err(sentence) => self.notice = Some(Notice::Problem(sentence)),
        }
    }

    fn made(&mut self, setting: Setting, before: &Project) -> Result<(String, Project), String> {
        let mut changed = before.clone();
        let label = match setting {
            Setting::Number(field, value) => return Ok((field.step_label(before), field.set(before, value)?)),
            Setting::Nudge(field, by) => {
                let start = field.value(before).or(match field.fallback(before) {
                    Fallback::Value(value) => Some(value),
                    Fallback::None | Fallback::Words(_) => None,
                });
                // To the nanometre, so that ten nudges of 0.1 make one of 1.
                let value = ((start.unwrap_or(0.0) + by) * 1e6).round() / 1e6;
                return Ok((field.step_label(before), field.set(before, Some(value))?));
            }
            Setting::Measured(part) => return Ok((part.step_label().to_owned(), self.tape.made(part, before)?)),
            Setting::Units(units) => {
                changed.units = Some(units);
                "Change units".to_owned()
            }
            Setting::RemoveSolid(index) if index < changed.room.solids.len() => {
                changed.room.solids.remove(index);
                format!("Remove {}", solid_name(before, index).to_lowercase())
            }
            Setting::RemoveSolid(_) => return Err("This solid is no longer there.".to_owned()),
            Setting::Add(addition) => {
                addition.add(&mut changed);
                addition.label().to_owned()
            }
            Setting::Choose(choice) => {
                choice.put(&mut changed);
                choice.label()
            }
            Setting::Remedy(remedy) => {
                let analysis = self.analysis();
                changed = remedy
                    .done(before, &analysis)
                    .ok_or("Nothing was found that would help here. Try it by hand, or move the pivots.")?;
                remedy.label(&analysis, before.units())
            }
        };
        changed.validate().map_err(|refusal| format!("Not possible: {}.", refusal.expected))?;
        Ok((label, changed))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::size::Size;
    use crate::session::{Action, Axis, Command, Edit, Spot};

    fn session() -> Session {
        Session::new(Arc::new(|| {}))
    }

    fn set(session: &mut Session, setting: Setting) {
        session.apply(Action::Edit(Edit::Set(setting)));
    }

    #[test]
    fn a_number_is_one_step_with_a_name() {
        let mut session = session();
        let before = session.project().clone();
        let height = Field::At(Spot::WallUpper, Axis::Up);
        set(&mut session, Setting::Number(height, Some(2200.0)));
        assert_eq!(height.value(session.project()), Some(2200.0));
        assert_eq!(session.history().undo_label(), Some("Set upper wall pivot, height"));
        set(&mut session, Setting::Number(height, Some(2200.0)));
        session.apply(Action::Command(Command::Undo));
        assert_eq!(*session.project(), before, "the same number again is no step");
    }

    #[test]
    fn nudges_of_one_number_are_one_step() {
        let mut session = session();
        let before = session.project().clone();
        let height = Field::At(Spot::WallUpper, Axis::Up);
        for _ in 0..10 {
            set(&mut session, Setting::Nudge(height, 0.1));
        }
        assert_eq!(height.value(session.project()), Some(before.linkage.wall_upper.y + 1.0));
        set(&mut session, Setting::Nudge(Field::Size(Size::PanelMass), 1.0));
        session.apply(Action::Command(Command::Undo));
        session.apply(Action::Command(Command::Undo));
        assert_eq!(*session.project(), before);
        set(&mut session, Setting::Nudge(height, 1.0));
        session.apply(Action::Command(Command::Undo));
        assert_eq!(*session.project(), before, "a nudge after an undo is a step of its own");
    }

    #[test]
    fn a_refused_number_changes_nothing_and_says_why() {
        let mut session = session();
        let before = session.project().clone();
        set(&mut session, Setting::Number(Field::Size(Size::PanelMass), Some(-2.0)));
        assert_eq!(*session.project(), before);
        assert_eq!(session.history().undo_label(), None);
        assert!(matches!(session.notice(), Some(Notice::Problem(sentence)) if sentence.contains("0 or more")));
    }

    #[test]
    fn what_is_added_can_be_taken_back() {
        let mut session = session();
        let mut bare = session.project().clone();
        bare.drive = None;
        session.document.set(Arc::new(bare.clone()));
        for addition in [Addition::Drive, Addition::Kick, Addition::Eye] {
            assert!(addition.is_missing(session.project()));
            set(&mut session, Setting::Add(addition));
            assert!(!addition.is_missing(session.project()));
            assert_eq!(session.history().undo_label(), Some(addition.label()));
        }
        for _ in 0..3 {
            session.apply(Action::Command(Command::Undo));
        }
        assert_eq!(*session.project(), bare);
    }
}
