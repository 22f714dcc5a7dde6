//! The handles: every place of the project that can be dragged, in the side view or the front view.

use nalgebra::Isometry2;
use overarm_solver::tolerance::WALL_RUN_MM;
use overarm_solver::{Lift, Point, Project, RoomShape, Travel};

/// One place that can be dragged.
///
/// Pivots on the panel and the panel itself are dragged where the panel hangs: that is where the
/// project defines them, so nothing slips away under the pointer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Handle {
    /// Wall end of the lower arm.
    WallLower,
    /// Wall end of the upper arm.
    WallUpper,
    /// Panel end of the lower arm.
    PanelLower,
    /// Panel end of the upper arm.
    PanelUpper,
    /// The bottom edge of the hung panel's back.
    Hung,
    /// The bottom edge of the parked panel's back.
    Parked,
    /// The top edge of the parked panel's back, which turns it about the bottom edge.
    ParkedTurn,
    /// The middle of the drum.
    Drum,
    /// The strap's end on the panel.
    StrapEnd,
    /// A vertex of the room's outline, counted from the floor.
    RoomCorner(usize),
    /// The middle of the right set, in the front view; the left one mirrors it.
    Sets,
}

impl Handle {
    /// Every place that a project itself holds, in the order of the Tab key.
    #[must_use]
    pub fn all(project: &Project) -> Vec<Self> {
        let mut all = vec![Self::WallLower, Self::WallUpper, Self::PanelLower, Self::PanelUpper, Self::Hung];
        if project.drive.is_some() {
            all.extend(Self::OF_DRIVE);
        }
        all.extend((0..project.room.outline.len()).map(Self::RoomCorner));
        all
    }

    /// Every handle of the drawing, in the order of the Tab key: those and the parked panel's.
    #[must_use]
    pub fn in_sketch(project: &Project) -> Vec<Self> {
        let mut all = Self::all(project);
        let after_hung = all.iter().position(|handle| *handle == Self::Hung).map_or(all.len(), |index| index + 1);
        all.splice(after_hung..after_hung, [Self::Parked, Self::ParkedTurn]);
        all
    }

    /// Every handle of the front view.
    pub const IN_FRONT: [Self; 1] = [Self::Sets];

    /// The four pivots.
    pub const PIVOTS: [Self; 4] = [Self::WallLower, Self::WallUpper, Self::PanelLower, Self::PanelUpper];

    /// Those of the drive, where there is one.
    pub const OF_DRIVE: [Self; 2] = [Self::Drum, Self::StrapEnd];

    /// Whether it is one of the four pivots.
    #[must_use]
    pub fn is_pivot(self) -> bool {
        Self::PIVOTS.contains(&self)
    }

    /// The pivot at the other end of the same arm.
    #[must_use]
    pub fn partner(self) -> Option<Self> {
        match self {
            Self::WallLower => Some(Self::PanelLower),
            Self::WallUpper => Some(Self::PanelUpper),
            Self::PanelLower => Some(Self::WallLower),
            Self::PanelUpper => Some(Self::WallUpper),
            _ => None,
        }
    }

    /// What it is called, to people and to assistive technology.
    #[must_use]
    pub fn name(self) -> String {
        match self {
            Self::WallLower => "Lower wall pivot".to_owned(),
            Self::WallUpper => "Upper wall pivot".to_owned(),
            Self::PanelLower => "Lower panel pivot".to_owned(),
            Self::PanelUpper => "Upper panel pivot".to_owned(),
            Self::Hung => "Hung panel".to_owned(),
            Self::Parked => "Parked panel".to_owned(),
            Self::ParkedTurn => "Parked panel's tilt".to_owned(),
            Self::Drum => "Drum".to_owned(),
            Self::StrapEnd => "Strap's end".to_owned(),
            Self::RoomCorner(index) => format!("Room corner {}", index + 1),
            Self::Sets => "Both sets".to_owned(),
        }
    }

    /// What the history calls a step that moves it.
    #[must_use]
    pub fn step_label(self) -> String {
        if self == Self::ParkedTurn {
            return "Turn parked panel".to_owned();
        }
        let name = self.name();
        let mut letters = name.chars();
        letters.next().map_or_else(String::new, |first| format!("Move {}{}", first.to_lowercase(), letters.as_str()))
    }

    /// Where it is, side view with the panel hung; of the sets (z, y), front view.
    #[must_use]
    pub fn place(self, project: &Project) -> Point {
        match self {
            Self::Parked | Self::ParkedTurn => self.place_with(project, &parked_of(project)),
            // The others do not ask where the panel parks.
            _ => self.place_with(project, &Isometry2::identity()),
        }
    }

    /// The same where it is known already how the parked panel's frame lies in the side view.
    #[must_use]
    pub fn place_with(self, project: &Project, parked: &Isometry2<f64>) -> Point {
        let linkage = &project.linkage;
        let hung = project.panel.hung.origin();
        match self {
            Self::WallLower => linkage.wall_lower,
            Self::WallUpper => linkage.wall_upper,
            Self::PanelLower => hung + linkage.panel_lower.coords,
            Self::PanelUpper => hung + linkage.panel_upper.coords,
            Self::Hung => hung,
            Self::Parked => Point::from(parked.translation.vector),
            Self::ParkedTurn => parked * Point::new(0.0, project.panel.height),
            Self::Drum => project.drive.as_ref().map_or_else(Point::origin, |drive| drive.drum_centre),
            Self::StrapEnd => {
                hung + project.drive.as_ref().map_or_else(nalgebra::Vector2::zeros, |drive| drive.anchor.coords)
            }
            Self::RoomCorner(index) => project.room.outline.get(index).copied().unwrap_or_else(Point::origin),
            // On the wall bar, half way between its pivots.
            Self::Sets => Point::new(0.5 * project.set_spacing(), 0.5 * (linkage.wall_lower.y + linkage.wall_upper.y)),
        }
    }

    /// Puts it at a place of the side view, with the panel hung, and leaves everything else as it is.
    ///
    /// Where the panel parks follows from the rest: those two are put by
    /// [`super::dragging::Held::put`], and stay where they are here.
    pub fn put(self, project: &mut Project, place: Point) {
        let hung = project.panel.hung.origin();
        match self {
            Self::WallLower => project.linkage.wall_lower = place,
            Self::WallUpper => project.linkage.wall_upper = place,
            Self::PanelLower => project.linkage.panel_lower = tidy(Point::from(place - hung)),
            Self::PanelUpper => project.linkage.panel_upper = tidy(Point::from(place - hung)),
            Self::Hung => {
                project.panel.hung.standoff = place.x;
                project.panel.hung.bottom = place.y;
            }
            Self::Parked | Self::ParkedTurn => {}
            Self::Drum | Self::StrapEnd => {
                let Some(drive) = &mut project.drive else { return };
                if self == Self::Drum {
                    drive.drum_centre = place;
                } else {
                    drive.anchor = tidy(Point::from(place - hung));
                }
            }
            Self::Sets => project.bars.set_spacing = Some(tidy(Point::new(2.0 * place.x.abs(), 0.0)).x),
            Self::RoomCorner(index) => {
                if let Some(corner) = project.room.outline.get_mut(index) {
                    *corner = place;
                }
            }
        }
    }

    /// Whether it is an end of a piece of wall at x = 0, which distances to the wall are told from.
    #[must_use]
    pub fn is_on_wall(self, project: &Project) -> bool {
        let Self::RoomCorner(index) = self else { return false };
        let at_wall =
            |index: usize| project.room.outline.get(index).is_some_and(|corner| corner.x.abs() <= WALL_RUN_MM);
        let neighbour = at_wall(index + 1) || index.checked_sub(1).is_some_and(at_wall);
        at_wall(index) && neighbour
    }
}

/// How the parked panel's frame lies in the side view.
pub(super) fn parked_of(project: &Project) -> Isometry2<f64> {
    let lift = Lift::new(project);
    Travel::find(project, &lift, &RoomShape::new(&project.room)).pose_at(&lift, 1.0).room_from_panel
}

/// Takes off what a subtraction leaves behind the sixth decimal (a nanometre).
pub(super) fn tidy(point: Point) -> Point {
    point.map(|value| (value * 1e6).round() / 1e6)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;

    #[test]
    fn every_handle_is_where_it_was_put() {
        let mut project = demo();
        for handle in Handle::all(&project) {
            let place = handle.place(&project) + nalgebra::Vector2::new(12.5, -7.25);
            handle.put(&mut project, place);
            assert!((handle.place(&project) - place).norm() < 1e-6, "{}", handle.name());
        }
    }

    #[test]
    fn names_differ() {
        let all = Handle::in_sketch(&demo()).into_iter().chain(Handle::IN_FRONT);
        let names: std::collections::HashSet<String> = all.map(Handle::name).collect();
        assert_eq!(names.len(), Handle::all(&demo()).len() + 3);
    }

    #[test]
    fn the_sets_move_apart_together() {
        let mut project = demo();
        let place = Handle::Sets.place(&project);
        assert!((2.0 * place.x - project.set_spacing()).abs() < 1e-9);
        Handle::Sets.put(&mut project, Point::new(-300.0, 7.0));
        assert_eq!(project.bars.set_spacing, Some(600.0), "whichever set is meant, and no height");
    }
}
