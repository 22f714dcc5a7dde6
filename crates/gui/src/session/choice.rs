//! What is chosen from a list beside the sketch: where the strap leaves its drum, bearing, seat, pin.

use overarm_solver::bearings::TABLE;
use overarm_solver::{
    Bearing, BearingWanted, Feature, HousingFit, Joints, More, OwnBearing, Project, SeatIn, StrapSide, ToleranceClass,
};

/// Something chosen from a list.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Choice {
    /// The side of the drum that the strap runs off.
    StrapSide(StrapSide),
    /// A bearing by its designation.
    Bearing(&'static str),
    /// A bearing by its own figures, to start with those of the one before.
    OwnBearing,
    /// Which bars hold the seats.
    SeatIn(SeatIn),
    /// The seat's class.
    Housing(ToleranceClass),
    /// The seat by its least and most interference.
    Interference,
    /// The pin's class.
    Pin(ToleranceClass),
}

/// What one list is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ChoiceOf {
    /// Where the strap leaves its drum.
    StrapSide,
    /// The bearing.
    Bearing,
    /// Which bars hold the seats.
    SeatIn,
    /// The seat.
    Housing,
    /// The pin.
    Pin,
}

/// Classes of a seat that are in use for a ring that stands still, loose to tight.
const SEATS: [&str; 10] = ["G7", "H7", "JS7", "K6", "K7", "M6", "M7", "N6", "N7", "P7"];
/// Classes of a pin, loose to tight.
const PINS: [&str; 8] = ["g5", "g6", "h5", "h6", "js5", "js6", "k5", "k6"];
/// Least and most interference of a bearing in aluminium, mm, to start from (common practice: a small
/// bearing's 0.0002 to 0.001 in, wide enough that IT6 is left in a bore of 30 mm).
const USUAL_INTERFERENCE: [f64; 2] = [0.003, 0.027];

impl ChoiceOf {
    /// In front of the list.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::StrapSide => "Strap leaves the drum",
            Self::Bearing => "Bearing",
            Self::SeatIn => "Seats are in",
            Self::Housing => "Seat",
            Self::Pin => "Pin",
        }
    }

    /// What stands in it; the second says whether that is a default.
    #[must_use]
    pub fn standing(self, project: &Project) -> (String, bool) {
        let joints = project.joints.as_ref();
        let given = match self {
            Self::StrapSide => project.drive.as_ref().map(|drive| side(drive.strap_side).to_owned()),
            Self::Bearing => joints.and_then(|joints| joints.bearing.as_ref()).map(|bearing| match bearing {
                BearingWanted::Designation(name) => name.clone(),
                BearingWanted::Own(_) => OWN.to_owned(),
            }),
            Self::SeatIn => match joints.and_then(|joints| joints.seat_in) {
                Some(place) => Some(seats(place).to_owned()),
                None => return (seats(SeatIn::Bars).to_owned(), true),
            },
            Self::Housing => joints.and_then(|joints| joints.housing.as_ref()).map(|housing| match housing {
                HousingFit::Class(class) => class.clone(),
                HousingFit::Interference { .. } => BY_FIGURES.to_owned(),
            }),
            Self::Pin => joints.and_then(|joints| joints.pin.clone()),
        };
        (given.unwrap_or_else(|| "not given".to_owned()), false)
    }

    /// What can be chosen, with the words for each.
    #[must_use]
    pub fn choices(self) -> Vec<(Choice, String)> {
        let class = |text: &'static str, feature, of: fn(ToleranceClass) -> Choice| {
            ToleranceClass::parse(text, feature).ok().map(|class| (of(class), text.to_owned()))
        };
        match self {
            Self::StrapSide => [StrapSide::Room, StrapSide::Wall]
                .map(|place| (Choice::StrapSide(place), side(place).to_owned()))
                .into(),
            Self::Bearing => {
                let listed = TABLE.iter().map(|row| {
                    let words = format!("{}: {} × {} × {} mm", row.designation, row.bore, row.outside, row.width_open);
                    (Choice::Bearing(row.designation), words)
                });
                listed.chain([(Choice::OwnBearing, OWN.to_owned())]).collect()
            }
            Self::SeatIn => {
                [SeatIn::Bars, SeatIn::Arms].map(|place| (Choice::SeatIn(place), seats(place).to_owned())).into()
            }
            Self::Housing => {
                let classes = SEATS.iter().filter_map(|text| class(text, Feature::Hole, Choice::Housing));
                classes.chain([(Choice::Interference, BY_FIGURES.to_owned())]).collect()
            }
            Self::Pin => PINS.iter().filter_map(|text| class(text, Feature::Shaft, Choice::Pin)).collect(),
        }
    }
}

const OWN: &str = "own figures";
const BY_FIGURES: &str = "least and most interference";

fn side(side: StrapSide) -> &'static str {
    match side {
        StrapSide::Room => "towards the room",
        StrapSide::Wall => "towards the wall",
    }
}

fn seats(place: SeatIn) -> &'static str {
    match place {
        SeatIn::Bars => "wall and panel bars",
        SeatIn::Arms => "arms",
    }
}

impl Choice {
    /// What the history calls it.
    #[must_use]
    pub fn label(self) -> String {
        match self {
            Self::StrapSide(place) => format!("Let the strap leave its drum {}", side(place)),
            Self::Bearing(name) => format!("Choose bearing {name}"),
            Self::OwnBearing => "Give the bearing's own figures".to_owned(),
            Self::SeatIn(place) => format!("Put the seats into {}", seats(place)),
            Self::Housing(class) => format!("Choose seat {class}"),
            Self::Interference => "Give the seat's interference".to_owned(),
            Self::Pin(class) => format!("Choose pin {class}"),
        }
    }

    /// Puts it into a project.
    pub fn put(self, project: &mut Project) {
        if let Self::StrapSide(place) = self {
            if let Some(drive) = &mut project.drive {
                drive.strap_side = place;
            }
            return;
        }
        let joints = project.joints.get_or_insert_with(Joints::default);
        match self {
            Self::StrapSide(_) => {}
            Self::Bearing(name) => joints.bearing = Some(BearingWanted::Designation(name.to_owned())),
            Self::OwnBearing => {
                let before = joints.bearing.as_ref().and_then(Bearing::wanted);
                // A common small one, where there was none.
                let before = before.or_else(|| Bearing::wanted(&BearingWanted::Designation("608".to_owned())));
                let Some(before) = before.filter(|_| !matches!(joints.bearing, Some(BearingWanted::Own(_)))) else {
                    return;
                };
                joints.bearing = Some(BearingWanted::Own(OwnBearing {
                    bore: before.bore,
                    outside: before.outside,
                    width: before.width,
                    static_n: before.static_n,
                    dynamic_n: before.dynamic_n,
                    more: More::new(),
                }));
            }
            Self::SeatIn(place) => joints.seat_in = Some(place),
            Self::Housing(class) => joints.housing = Some(HousingFit::Class(class.to_string())),
            Self::Interference => {
                if !matches!(joints.housing, Some(HousingFit::Interference { .. })) {
                    joints.housing = Some(HousingFit::Interference { interference: USUAL_INTERFERENCE });
                }
            }
            Self::Pin(class) => joints.pin = Some(class.to_string()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;

    #[test]
    fn every_choice_stands_where_it_was_put_and_makes_a_valid_project() {
        for of in [ChoiceOf::StrapSide, ChoiceOf::Bearing, ChoiceOf::SeatIn, ChoiceOf::Housing, ChoiceOf::Pin] {
            let choices = of.choices();
            assert!(choices.len() > 1, "{of:?}");
            for (choice, words) in choices {
                let mut project = demo();
                choice.put(&mut project);
                assert!(project.validate().is_ok(), "{choice:?}");
                let (standing, is_default) = of.standing(&project);
                assert!(words.starts_with(&standing) && !is_default, "{choice:?}: {standing} against {words}");
            }
        }
        assert_eq!(ChoiceOf::Housing.choices().len(), SEATS.len() + 1, "every class is one");
        assert_eq!(ChoiceOf::Pin.choices().len(), PINS.len());
    }

    #[test]
    fn a_bearing_of_ones_own_starts_from_the_one_before() {
        let mut project = demo();
        Choice::OwnBearing.put(&mut project);
        let own = |project: &Project| match project.joints.as_ref().and_then(|joints| joints.bearing.clone()) {
            Some(BearingWanted::Own(own)) => own,
            other => panic!("{other:?}"),
        };
        assert_eq!((own(&project).bore, own(&project).outside, own(&project).width), (8.0, 22.0, 7.0));
        assert!(own(&project).static_n.is_some());
        let before = project.clone();
        Choice::OwnBearing.put(&mut project);
        assert_eq!(project, before, "chosen again it stays as it is");
    }

    #[test]
    fn what_is_not_given_says_so_or_is_told_as_a_default() {
        let mut project = demo();
        project.joints = None;
        assert_eq!(ChoiceOf::SeatIn.standing(&project), ("wall and panel bars".to_owned(), true));
        assert_eq!(ChoiceOf::Bearing.standing(&project), ("not given".to_owned(), false));
    }
}
