//! The site as measured with a tape: numbers noted on a form, until the room is made from them.

use std::collections::BTreeMap;

use overarm_solver::site::{Ceiling, Course, Obstacle, Soffit};
use overarm_solver::units::Quantity;
use overarm_solver::{Point, Project};

/// Places at which a ceiling's height can be noted, beside the one at the wall.
pub const PLACES: usize = 3;

/// What is made of the form, one step each.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TapePart {
    /// Wall, soffit and ceiling.
    Ceiling,
    /// A beam.
    Beam,
    /// A lamp.
    Lamp,
    /// A door.
    Door,
}

/// One number of the form.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs)] // each one's words stand in `TapeField::words`
pub enum TapeField {
    AtWall,
    Distance(usize),
    Height(usize),
    Slope,
    SoffitDepth,
    SoffitUnderside,
    BeamNear,
    BeamWidth,
    BeamUnderside,
    LampMiddle,
    LampWidth,
    LampUnderside,
    LampHeight,
    DoorNear,
    DoorReach,
    DoorBottom,
    DoorTop,
}

impl TapePart {
    /// Its heading.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::Ceiling => "Wall and ceiling",
            Self::Beam => "Beam along the wall",
            Self::Lamp => "Lamp",
            Self::Door => "Door that opens",
        }
    }

    /// On the button that makes it.
    #[must_use]
    pub fn button(self) -> &'static str {
        match self {
            Self::Ceiling => "Use this ceiling",
            Self::Beam => "Add beam",
            Self::Lamp => "Add lamp",
            Self::Door => "Add door",
        }
    }

    /// What the history calls it.
    #[must_use]
    pub fn step_label(self) -> &'static str {
        match self {
            Self::Ceiling => "Set ceiling from measurements",
            other => other.button(),
        }
    }

    /// The numbers that it is made from; a ceiling's by measured heights or by its slope.
    #[must_use]
    pub fn fields(self, by_slope: bool) -> Vec<TapeField> {
        use TapeField as F;
        match self {
            Self::Ceiling => {
                let mut fields = vec![F::AtWall];
                if by_slope {
                    fields.push(F::Slope);
                } else {
                    fields.extend((0..PLACES).flat_map(|place| [F::Distance(place), F::Height(place)]));
                }
                fields.extend([F::SoffitDepth, F::SoffitUnderside]);
                fields
            }
            Self::Beam => vec![F::BeamNear, F::BeamWidth, F::BeamUnderside],
            Self::Lamp => vec![F::LampMiddle, F::LampWidth, F::LampUnderside, F::LampHeight],
            Self::Door => vec![F::DoorNear, F::DoorReach, F::DoorBottom, F::DoorTop],
        }
    }
}

impl TapeField {
    /// The thing, and what of it.
    #[must_use]
    pub fn words(self) -> [&'static str; 2] {
        const PLACE: [&str; PLACES] = ["Ceiling, second place", "Ceiling, third place", "Ceiling, fourth place"];
        match self {
            Self::AtWall => ["Ceiling at the wall", "height"],
            Self::Distance(place) => [PLACE[place.min(PLACES - 1)], "from the wall"],
            Self::Height(place) => [PLACE[place.min(PLACES - 1)], "height"],
            Self::Slope => ["Ceiling", "slope, rising into the room"],
            Self::SoffitDepth => ["Soffit", "out of the wall"],
            Self::SoffitUnderside => ["Soffit", "height of its underside"],
            Self::BeamNear => ["Beam", "from the wall to its near face"],
            Self::BeamWidth => ["Beam", "from face to face"],
            Self::BeamUnderside => ["Beam", "height of its underside"],
            Self::LampMiddle => ["Lamp", "from the wall to its middle"],
            Self::LampWidth => ["Lamp", "across"],
            Self::LampUnderside => ["Lamp", "height of its lowest point"],
            Self::LampHeight => ["Lamp", "its own height"],
            Self::DoorNear => ["Door", "nearest to the wall when it swings"],
            Self::DoorReach => ["Door", "from there to its farthest"],
            Self::DoorBottom => ["Door", "height of its lower edge"],
            Self::DoorTop => ["Door", "height of its upper edge"],
        }
    }

    /// What it is called, to people and to assistive technology.
    #[must_use]
    pub fn name(self) -> String {
        let [thing, what] = self.words();
        format!("{thing}, {what}")
    }

    /// What it is a number of.
    #[must_use]
    pub fn quantity(self) -> Quantity {
        if self == Self::Slope { Quantity::Slope } else { Quantity::Length }
    }

    /// What an empty field means.
    #[must_use]
    pub fn empty_words(self) -> &'static str {
        match self {
            Self::SoffitDepth | Self::SoffitUnderside => "none",
            Self::LampHeight => "to the ceiling",
            _ => "not measured",
        }
    }
}

/// The form: what was noted on it. What was not is told from the room as it stands.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tape {
    by_slope: bool,
    noted: BTreeMap<TapeField, Option<f64>>,
}

/// A change of the form, which changes no project.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TapeNote {
    /// Notes a number; none: left empty.
    Number(TapeField, Option<f64>),
    /// Whether the ceiling is told by its slope instead of measured heights.
    BySlope(bool),
}

impl Tape {
    /// Whether the ceiling is told by its slope.
    #[must_use]
    pub fn by_slope(&self) -> bool {
        self.by_slope
    }

    /// Notes something.
    pub(super) fn note(&mut self, note: TapeNote) {
        match note {
            TapeNote::Number(field, value) => {
                self.noted.insert(field, value);
            }
            TapeNote::BySlope(by_slope) => self.by_slope = by_slope,
        }
    }

    /// Forgets what a part was made from.
    pub(super) fn forget(&mut self, part: TapePart) {
        for by_slope in [false, true] {
            for field in part.fields(by_slope) {
                self.noted.remove(&field);
            }
        }
    }

    /// A number of the form: as noted, else as the room has it.
    #[must_use]
    pub fn value(&self, field: TapeField, project: &Project) -> Option<f64> {
        if let Some(noted) = self.noted.get(&field) {
            return *noted;
        }
        let ceiling = Ceiling::of_outline(&project.room.outline)?;
        let measured = match &ceiling.course {
            Course::Measured(points) => points.as_slice(),
            Course::Slope(_) => &[],
        };
        match field {
            TapeField::AtWall => Some(ceiling.at_wall),
            TapeField::Distance(place) => measured.get(place).map(|point| point.x),
            TapeField::Height(place) => measured.get(place).map(|point| point.y),
            TapeField::Slope => measured.first().map(|point| (point.y - ceiling.at_wall).atan2(point.x).to_degrees()),
            TapeField::SoffitDepth => ceiling.soffit.map(|soffit| soffit.depth),
            TapeField::SoffitUnderside => ceiling.soffit.map(|soffit| soffit.underside),
            _ => None,
        }
    }

    /// Whether the room as it stands is more than this form can tell, so that using it would lose some.
    #[must_use]
    pub fn would_lose(project: &Project) -> bool {
        match Ceiling::of_outline(&project.room.outline).map(|ceiling| ceiling.course) {
            Some(Course::Measured(points)) => points.len() > PLACES,
            _ => true,
        }
    }

    /// The project with a part made from the form.
    ///
    /// # Errors
    /// A sentence that says what is missing or contradicts something else.
    pub fn made(&self, part: TapePart, project: &Project) -> Result<Project, String> {
        use TapeField as F;
        let needed = |field: F| self.value(field, project).ok_or_else(|| format!("Measure first: {}.", lower(field)));
        let mut changed = project.clone();
        let obstacle = match part {
            TapePart::Ceiling => {
                changed.room.outline = self.ceiling(project)?.outline().map_err(|no| no.reason)?;
                None
            }
            TapePart::Beam => Some(Obstacle::Beam {
                near: needed(F::BeamNear)?,
                width: needed(F::BeamWidth)?,
                underside: needed(F::BeamUnderside)?,
            }),
            TapePart::Lamp => Some(Obstacle::Lamp {
                middle: needed(F::LampMiddle)?,
                width: needed(F::LampWidth)?,
                underside: needed(F::LampUnderside)?,
                height: self.value(F::LampHeight, project),
            }),
            TapePart::Door => Some(Obstacle::Door {
                near: needed(F::DoorNear)?,
                reach: needed(F::DoorReach)?,
                bottom: needed(F::DoorBottom)?,
                top: needed(F::DoorTop)?,
            }),
        };
        if let Some(obstacle) = obstacle {
            let mut solid = obstacle.solid(&project.room.outline).map_err(|no| no.reason)?;
            solid.name = Some(free_name(project, obstacle.name()));
            changed.room.solids.push(solid);
        }
        changed.validate().map_err(|refusal| format!("This makes no room: {}.", refusal.expected))?;
        Ok(changed)
    }

    fn ceiling(&self, project: &Project) -> Result<Ceiling, String> {
        use TapeField as F;
        let value = |field: F| self.value(field, project);
        let needed = |field: F| value(field).ok_or_else(|| format!("Measure first: {}.", lower(field)));
        let at_wall = needed(F::AtWall)?;
        let course = if self.by_slope {
            Course::Slope(needed(F::Slope)?)
        } else {
            let mut measured = Vec::new();
            for place in 0..PLACES {
                let (distance, height) = (F::Distance(place), F::Height(place));
                if value(distance).is_some() || value(height).is_some() {
                    measured.push(Point::new(needed(distance)?, needed(height)?));
                }
            }
            Course::Measured(measured)
        };
        let soffit = if value(F::SoffitDepth).is_some() || value(F::SoffitUnderside).is_some() {
            Some(Soffit { depth: needed(F::SoffitDepth)?, underside: needed(F::SoffitUnderside)? })
        } else {
            None
        };
        Ok(Ceiling { at_wall, course, soffit })
    }
}

fn lower(field: TapeField) -> String {
    field.name().to_lowercase()
}

/// "Beam", or "Beam 2" where there is one already.
fn free_name(project: &Project, name: &str) -> String {
    let is_taken = |name: &str| project.room.solids.iter().any(|solid| solid.name.as_deref() == Some(name));
    let numbered = (2..).map(|number| format!("{name} {number}"));
    std::iter::once(name.to_owned()).chain(numbered).find(|name| !is_taken(name)).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;

    fn noted(notes: &[(TapeField, f64)]) -> Tape {
        let mut tape = Tape::default();
        for (field, value) in notes {
            tape.note(TapeNote::Number(*field, Some(*value)));
        }
        tape
    }

    #[test]
    fn the_form_tells_the_room_as_it_stands() {
        let project = demo();
        let tape = Tape::default();
        assert_eq!(tape.value(TapeField::AtWall, &project), Some(2250.0));
        assert_eq!(tape.value(TapeField::Height(0), &project), Some(3930.5));
        assert_eq!(tape.value(TapeField::Height(1), &project), None);
        // The demo's ceiling is at 35°: 1680.5 over 2400.
        let slope = tape.value(TapeField::Slope, &project).expect("a slope");
        assert!((slope - 35.0).abs() < 0.01, "{slope}");
        assert_eq!(tape.made(TapePart::Ceiling, &project).expect("the same room"), project);
        assert!(!Tape::would_lose(&project));
    }

    #[test]
    fn a_ceiling_by_slope_and_one_with_a_soffit() {
        let project = demo();
        let mut tape = noted(&[(TapeField::AtWall, 2400.0), (TapeField::Slope, 0.0)]);
        tape.note(TapeNote::BySlope(true));
        let level = tape.made(TapePart::Ceiling, &project).expect("a room").room.outline;
        assert_eq!(level.last().map(|end| end.y), Some(2400.0));
        let tape = noted(&[(TapeField::SoffitDepth, 250.0)]);
        let missing = tape.made(TapePart::Ceiling, &project).expect_err("half a soffit");
        assert_eq!(missing, "Measure first: soffit, height of its underside.");
    }

    #[test]
    fn two_beams_have_two_names() {
        let tape =
            noted(&[(TapeField::BeamNear, 1500.0), (TapeField::BeamWidth, 100.0), (TapeField::BeamUnderside, 3000.0)]);
        let one = tape.made(TapePart::Beam, &demo()).expect("a beam");
        let two = tape.made(TapePart::Beam, &one).expect("another");
        let names: Vec<_> = two.room.solids.iter().filter_map(|solid| solid.name.clone()).collect();
        assert_eq!(names, ["Beam", "Beam 2"]);
        let missing = Tape::default().made(TapePart::Lamp, &demo()).expect_err("nothing measured");
        assert_eq!(missing, "Measure first: lamp, from the wall to its middle.");
    }
}
