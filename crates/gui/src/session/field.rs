//! Every number of the project that can be typed: what it is called, what it is a number of, how it
//! is read and put, and what holds where it is not given.

use overarm_solver::units::Quantity;
use overarm_solver::{Point, Project};

use super::size::{Given, Otherwise, SIZES, Size};

/// What belongs together, in trade words.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Group {
    /// The four pivots.
    Pivots,
    /// How far the lift goes.
    Travel,
    /// The panel and where it hangs.
    Panel,
    /// The stock.
    Bars,
    /// Wall, ceiling and what has to be uncovered.
    Room,
    /// Strap, drum, kick and motor.
    Drive,
    /// Bearings and pins.
    Hinges,
    /// Screws of one wall bar.
    Fixings,
    /// How exact parts and mounting are.
    Tolerances,
    /// How much stronger than its load everything has to be.
    Safeties,
    /// Tools, and how the material is cut.
    Shop,
}

impl Group {
    /// In the order in which they are shown.
    pub const ALL: [Self; 11] = [
        Self::Pivots,
        Self::Travel,
        Self::Panel,
        Self::Bars,
        Self::Room,
        Self::Drive,
        Self::Hinges,
        Self::Fixings,
        Self::Tolerances,
        Self::Safeties,
        Self::Shop,
    ];

    /// Its heading.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::Pivots => "Pivots",
            Self::Travel => "Travel",
            Self::Panel => "Panel",
            Self::Bars => "Bars",
            Self::Room => "Room",
            Self::Drive => "Strap and drive",
            Self::Hinges => "Hinges",
            Self::Fixings => "Screws",
            Self::Tolerances => "Tolerances",
            Self::Safeties => "Safeties wanted",
            Self::Shop => "Tools and cutting",
        }
    }
}

/// A point that can be typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Spot {
    /// Wall end of the lower arm, side view.
    WallLower,
    /// Wall end of the upper arm, side view.
    WallUpper,
    /// Panel end of the lower arm, panel frame.
    PanelLower,
    /// Panel end of the upper arm, panel frame.
    PanelUpper,
    /// The hung panel's bottom edge, side view.
    Hung,
    /// The panel's centre of mass, panel frame.
    CentreOfMass,
    /// A vertex of the room's outline, side view.
    RoomCorner(usize),
    /// A vertex of a solid in the room, side view.
    SolidCorner(usize, usize),
    /// The eye that looks under the parked panel, side view.
    Eye,
    /// The strap's end, panel frame.
    Anchor,
    /// The drum's centre, side view.
    DrumCentre,
    /// Where the kick pushes, panel frame.
    Kick,
    /// The stop pin, in its bar's part frame.
    StopPin,
}

impl Spot {
    /// Every one that a project has, in the order in which they are shown.
    #[must_use]
    pub fn all(project: &Project) -> Vec<Self> {
        let mut all =
            vec![Self::WallLower, Self::WallUpper, Self::PanelLower, Self::PanelUpper, Self::Hung, Self::CentreOfMass];
        all.extend((0..project.room.outline.len()).map(Self::RoomCorner));
        for (index, solid) in project.room.solids.iter().enumerate() {
            all.extend((0..solid.outline.len()).map(|corner| Self::SolidCorner(index, corner)));
        }
        all.extend([Self::Eye, Self::Anchor, Self::DrumCentre, Self::Kick, Self::StopPin]);
        all.retain(|spot| spot.place(project).is_some());
        all
    }

    /// Where it belongs.
    #[must_use]
    pub fn group(self) -> Group {
        match self {
            Self::WallLower | Self::WallUpper | Self::PanelLower | Self::PanelUpper => Group::Pivots,
            Self::Hung | Self::CentreOfMass => Group::Panel,
            Self::RoomCorner(_) | Self::SolidCorner(..) | Self::Eye => Group::Room,
            Self::Anchor | Self::DrumCentre | Self::Kick => Group::Drive,
            Self::StopPin => Group::Bars,
        }
    }

    /// What it is called.
    #[must_use]
    pub fn name(self, project: &Project) -> String {
        let words = match self {
            Self::WallLower => "Lower wall pivot",
            Self::WallUpper => "Upper wall pivot",
            Self::PanelLower => "Lower panel pivot",
            Self::PanelUpper => "Upper panel pivot",
            Self::Hung => "Hung panel",
            Self::CentreOfMass => "Centre of mass",
            Self::RoomCorner(index) => return format!("Room corner {}", index + 1),
            Self::SolidCorner(index, corner) => {
                return format!("{}, corner {}", solid_name(project, index), corner + 1);
            }
            Self::Eye => "Eye",
            Self::Anchor => "Strap's end",
            Self::DrumCentre => "Drum centre",
            Self::Kick => "Kick",
            Self::StopPin => "Stop pin",
        };
        words.to_owned()
    }

    /// Whether its numbers are told on the panel, not in the side view.
    #[must_use]
    pub fn is_on_panel(self) -> bool {
        matches!(self, Self::PanelLower | Self::PanelUpper | Self::CentreOfMass | Self::Anchor | Self::Kick)
    }

    /// Where it is, in its own frame, if the project has it.
    #[must_use]
    pub fn place(self, project: &Project) -> Option<Point> {
        let drive = project.drive.as_ref();
        match self {
            Self::WallLower => Some(project.linkage.wall_lower),
            Self::WallUpper => Some(project.linkage.wall_upper),
            Self::PanelLower => Some(project.linkage.panel_lower),
            Self::PanelUpper => Some(project.linkage.panel_upper),
            Self::Hung => Some(project.panel.hung.origin()),
            Self::CentreOfMass => Some(project.panel.centre_of_mass),
            Self::RoomCorner(index) => project.room.outline.get(index).copied(),
            Self::SolidCorner(index, corner) => {
                project.room.solids.get(index).and_then(|solid| solid.outline.get(corner)).copied()
            }
            Self::Eye => project.room.uncover.as_ref().and_then(|uncover| uncover.eye),
            Self::Anchor => drive.map(|drive| drive.anchor),
            Self::DrumCentre => drive.map(|drive| drive.drum_centre),
            Self::Kick => drive.and_then(|drive| drive.kick.as_ref()).map(|kick| kick.at),
            Self::StopPin => project.bars.stop_pin.as_ref().map(|pin| pin.at),
        }
    }

    fn put(self, project: &mut Project, place: Point) {
        let outline_point = |outline: &mut Vec<Point>, index: usize| {
            if let Some(point) = outline.get_mut(index) {
                *point = place;
            }
        };
        match self {
            Self::WallLower => project.linkage.wall_lower = place,
            Self::WallUpper => project.linkage.wall_upper = place,
            Self::PanelLower => project.linkage.panel_lower = place,
            Self::PanelUpper => project.linkage.panel_upper = place,
            Self::Hung => {
                project.panel.hung.standoff = place.x;
                project.panel.hung.bottom = place.y;
            }
            Self::CentreOfMass => project.panel.centre_of_mass = place,
            Self::RoomCorner(index) => outline_point(&mut project.room.outline, index),
            Self::SolidCorner(index, corner) => {
                if let Some(solid) = project.room.solids.get_mut(index) {
                    outline_point(&mut solid.outline, corner);
                }
            }
            Self::Eye => {
                if let Some(uncover) = &mut project.room.uncover {
                    uncover.eye = Some(place);
                }
            }
            Self::StopPin => {
                if let Some(pin) = &mut project.bars.stop_pin {
                    pin.at = place;
                }
            }
            Self::Anchor | Self::DrumCentre | Self::Kick => {
                let Some(drive) = &mut project.drive else { return };
                match self {
                    Self::Anchor => drive.anchor = place,
                    Self::DrumCentre => drive.drum_centre = place,
                    _ => {
                        if let Some(kick) = &mut drive.kick {
                            kick.at = place;
                        }
                    }
                }
            }
        }
    }
}

/// A solid's name, or what stands for one.
#[must_use]
pub fn solid_name(project: &Project, index: usize) -> String {
    let name = project.room.solids.get(index).and_then(|solid| solid.name.clone());
    name.unwrap_or_else(|| format!("Solid {}", index + 1))
}

/// Which of a point's two numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Axis {
    /// Away from the wall, or through the panel.
    Across,
    /// Up.
    Up,
}

impl Axis {
    /// Both, in the order in which they are shown.
    pub const BOTH: [Self; 2] = [Self::Across, Self::Up];
}

/// One number of the project that can be typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Field {
    /// A number of a point.
    At(Spot, Axis),
    /// A size.
    Size(Size),
}

/// What a number falls back to where it is not given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fallback {
    /// It has to be given.
    None,
    /// This value, in the unit that is kept.
    Value(f64),
    /// What these words say.
    Words(&'static str),
}

impl Field {
    /// Every number that a project has or may have, in the order in which they are shown.
    #[must_use]
    pub fn all(project: &Project) -> Vec<Self> {
        Group::ALL.into_iter().flat_map(|group| Self::of_group(group, project)).collect()
    }

    /// Those of one group: points first.
    #[must_use]
    pub fn of_group(group: Group, project: &Project) -> Vec<Self> {
        let spots = Spot::all(project).into_iter().filter(|spot| spot.group() == group);
        let points = spots.flat_map(|spot| Axis::BOTH.map(|axis| Self::At(spot, axis)));
        let sizes = SIZES.iter().filter(|row| row.group == group && (row.given)(project) != Given::Absent);
        points.chain(sizes.map(|row| Self::Size(row.size))).collect()
    }

    /// What it is a number of.
    #[must_use]
    pub fn quantity(self) -> Quantity {
        match self {
            Self::At(..) => Quantity::Length,
            Self::Size(size) => size.row().quantity,
        }
    }

    /// The thing that it is a number of: "Upper wall pivot".
    #[must_use]
    pub fn thing(self, project: &Project) -> String {
        match self {
            Self::At(spot, _) => spot.name(project),
            Self::Size(size) => size.row().words[0].to_owned(),
        }
    }

    /// Which number of the thing: "height".
    #[must_use]
    pub fn what(self) -> &'static str {
        match self {
            Self::At(Spot::StopPin, Axis::Across) => "along its bar",
            Self::At(Spot::StopPin, Axis::Up) => "across its bar",
            Self::At(spot, Axis::Across) if spot.is_on_panel() => "from the panel's back",
            Self::At(_, Axis::Across) => "from the wall",
            Self::At(spot, Axis::Up) if spot.is_on_panel() => "above its bottom edge",
            Self::At(_, Axis::Up) => "height",
            Self::Size(size) => size.row().words[1],
        }
    }

    /// What it is called, to people and to assistive technology.
    #[must_use]
    pub fn name(self, project: &Project) -> String {
        format!("{}, {}", self.thing(project), self.what())
    }

    /// What the history calls a step that sets it.
    #[must_use]
    pub fn step_label(self, project: &Project) -> String {
        let name = self.name(project);
        let mut letters = name.chars();
        letters.next().map_or_else(String::new, |first| format!("Set {}{}", first.to_lowercase(), letters.as_str()))
    }

    /// The value in the unit that is kept; none where it is not given.
    #[must_use]
    pub fn value(self, project: &Project) -> Option<f64> {
        match self {
            Self::At(spot, axis) => {
                spot.place(project).map(|place| if axis == Axis::Across { place.x } else { place.y })
            }
            Self::Size(size) => match (size.row().given)(project) {
                Given::Value(value) => Some(value),
                Given::No | Given::Absent => None,
            },
        }
    }

    /// What holds where it is not given.
    #[must_use]
    pub fn fallback(self, project: &Project) -> Fallback {
        match self {
            Self::At(Spot::Eye, _) => Fallback::Words("not given"),
            Self::At(..) => Fallback::None,
            Self::Size(size) => match size.row().otherwise {
                Otherwise::Needed => Fallback::None,
                Otherwise::Value(value) => Fallback::Value(value(project)),
                Otherwise::IfKnown(value) => value(project).map_or(Fallback::Words("not given"), Fallback::Value),
                Otherwise::Words(words) => Fallback::Words(words),
            },
        }
    }

    /// Puts a value, in the unit that is kept; none: back to what holds where it is not given.
    pub fn put(self, project: &mut Project, value: Option<f64>) {
        match self {
            Self::At(Spot::Eye, _) if value.is_none() => {
                if let Some(uncover) = &mut project.room.uncover {
                    uncover.eye = None;
                }
            }
            Self::At(spot, axis) => {
                let (Some(mut place), Some(value)) = (spot.place(project), value) else { return };
                match axis {
                    Axis::Across => place.x = value,
                    Axis::Up => place.y = value,
                }
                spot.put(project, place);
            }
            Self::Size(size) => (size.row().put)(project, value),
        }
    }

    /// The value that holds where it is not given, if that is a value.
    fn default_value(self, project: &Project) -> Option<f64> {
        match self.fallback(project) {
            Fallback::Value(value) => Some(value),
            Fallback::Words(_) | Fallback::None => None,
        }
    }

    /// The project with this number set.
    ///
    /// # Errors
    /// A sentence, where the number cannot be that.
    pub fn set(self, project: &Project, value: Option<f64>) -> Result<Project, String> {
        if value.is_none() && self.fallback(project) == Fallback::None {
            return Err("A number is needed here.".to_owned());
        }
        let mut changed = project.clone();
        self.put(&mut changed, value);
        // The table of tools takes nothing that would make it useless.
        let is_put = |value: f64| self.value(&changed).or(self.default_value(&changed)) == Some(value);
        let is_of_shop = matches!(self, Self::Size(size) if size.row().group == Group::Shop);
        if is_of_shop && !value.is_none_or(is_put) {
            return Err("More than 0 is expected, of a ramp 0.1° to 30°.".to_owned());
        }
        match changed.validate() {
            Ok(()) => Ok(changed),
            Err(refusal) => {
                // What was found stands in the field itself, in the unit that it was typed in.
                let expected = refusal.expected.split(", found ").next().unwrap_or_default();
                let mut letters = expected.chars();
                let first = letters.next().map_or_else(String::new, |first| first.to_uppercase().collect());
                Err(format!("{first}{}.", letters.as_str()))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;

    /// The demo with everything that it could have.
    fn full() -> Project {
        let mut project = demo();
        project.room.solids.push(overarm_solver::Solid {
            name: Some("Beam".to_owned()),
            outline: vec![Point::new(1000.0, 2500.0), Point::new(1100.0, 2500.0), Point::new(1100.0, 3000.0)],
            more: overarm_solver::More::new(),
        });
        if let Some(uncover) = &mut project.room.uncover {
            uncover.eye = Some(Point::new(900.0, 1650.0));
        }
        project.bars.stop_pin = Some(overarm_solver::StopPin {
            bar: overarm_solver::PartName::WallBar,
            at: Point::new(40.0, 5.0),
            diameter: 12.0,
            more: overarm_solver::More::new(),
        });
        if let Some(joints) = &mut project.joints {
            joints.bearing = Some(overarm_solver::BearingWanted::Own(overarm_solver::OwnBearing {
                bore: 8.0,
                outside: 22.0,
                width: 7.0,
                static_n: None,
                dynamic_n: None,
                more: overarm_solver::More::new(),
            }));
            joints.housing = Some(overarm_solver::HousingFit::Interference { interference: [0.005, 0.03] });
        }
        project
    }

    #[test]
    fn every_size_has_its_row_and_names_differ() {
        let project = full();
        let fields = Field::all(&project);
        let sizes = fields.iter().filter(|field| matches!(field, Field::Size(_))).count();
        assert_eq!(sizes, SIZES.len(), "a full project has every size");
        // `ChipShare` is the last one: the enum has no size without a row.
        assert_eq!(SIZES.len(), Size::ChipShare as usize + 1);
        for row in SIZES {
            assert_eq!(row.size.row().size, row.size);
        }
        let names: std::collections::HashSet<String> = fields.iter().map(|field| field.name(&project)).collect();
        assert_eq!(names.len(), fields.len());
    }

    #[test]
    fn every_number_is_where_it_was_put_and_nothing_else_moved() {
        let project = full();
        for field in Field::all(&project) {
            let value = if field.quantity() == Quantity::Count { 5.0 } else { 12.375 };
            let mut changed = project.clone();
            field.put(&mut changed, Some(value));
            assert_eq!(field.value(&changed), Some(value), "{}", field.name(&project));
            for other in Field::all(&project).into_iter().filter(|other| *other != field) {
                assert_eq!(other.value(&changed), other.value(&project), "{field:?} moved {other:?}");
            }
        }
    }

    #[test]
    fn what_is_not_given_falls_back_and_what_is_needed_is_asked_for() {
        let project = full();
        for field in Field::all(&project) {
            let cleared = field.set(&project, None);
            match field.fallback(&project) {
                Fallback::None => assert_eq!(cleared.expect_err("needed"), "A number is needed here."),
                Fallback::Value(_) | Fallback::Words(_) => {
                    let cleared = cleared.expect("may be left out");
                    assert_eq!(field.value(&cleared), None, "{}", field.name(&project));
                }
            }
        }
        let clearance = Field::Size(Size::RoomClearance);
        assert_eq!(clearance.fallback(&project), Fallback::Value(15.0));
        let spacing = Field::Size(Size::SetSpacing);
        assert_eq!(spacing.fallback(&project), Fallback::Value(project.panel.width - 100.0));
    }

    #[test]
    fn what_no_project_may_be_is_refused_in_a_sentence() {
        let project = demo();
        let mass = Field::Size(Size::PanelMass).set(&project, Some(-1.0)).map(|_| ());
        assert_eq!(mass.expect_err("refused"), "0 or more is expected.");
        let teeth = Field::Size(Size::MillTeeth).set(&project, Some(0.0)).map(|_| ());
        assert_eq!(teeth.expect_err("refused"), "More than 0 is expected, of a ramp 0.1° to 30°.");
        // A ceiling that comes down in front of the wall must not lie on it.
        let mut low = project.clone();
        low.room.outline[2] = Point::new(900.0, 1000.0);
        let on_wall = Field::At(Spot::RoomCorner(2), Axis::Across).set(&low, Some(0.0)).map(|_| ());
        assert!(on_wall.expect_err("refused").contains("does not cross itself"));
    }

    #[test]
    fn a_project_without_a_drive_has_no_sizes_of_one() {
        let mut project = demo();
        project.drive = None;
        assert!(Field::of_group(Group::Drive, &project).is_empty());
        project.tolerances = None;
        let level = Field::Size(Size::LevelTolerance);
        assert_eq!(level.value(&project), None);
        let set = level.set(&project, Some(0.5)).expect("may be given");
        assert_eq!(level.value(&set), Some(0.5));
        let cleared = level.set(&project, None).expect("may be left out");
        assert_eq!(cleared, project, "leaving out what is not there makes nothing");
    }
}
