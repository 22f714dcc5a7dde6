//! The handles: every place of the project that can be dragged in the side view.

use overarm_solver::{Point, Project};

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
    /// A vertex of the room's outline, counted from the floor.
    RoomCorner(usize),
}

impl Handle {
    /// Every handle of a project, in the order of the Tab key.
    #[must_use]
    pub fn all(project: &Project) -> Vec<Self> {
        let mut all = vec![Self::WallLower, Self::WallUpper, Self::PanelLower, Self::PanelUpper, Self::Hung];
        all.extend((0..project.room.outline.len()).map(Self::RoomCorner));
        all
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
            Self::RoomCorner(index) => format!("Room corner {}", index + 1),
        }
    }

    /// What the history calls a step that moves it.
    #[must_use]
    pub fn step_label(self) -> String {
        let name = self.name();
        let mut letters = name.chars();
        letters.next().map_or_else(String::new, |first| format!("Move {}{}", first.to_lowercase(), letters.as_str()))
    }

    /// Where it is, side view, with the panel hung.
    #[must_use]
    pub fn place(self, project: &Project) -> Point {
        let linkage = &project.linkage;
        let hung = project.panel.hung.origin();
        match self {
            Self::WallLower => linkage.wall_lower,
            Self::WallUpper => linkage.wall_upper,
            Self::PanelLower => hung + linkage.panel_lower.coords,
            Self::PanelUpper => hung + linkage.panel_upper.coords,
            Self::Hung => hung,
            Self::RoomCorner(index) => project.room.outline.get(index).copied().unwrap_or_else(Point::origin),
        }
    }

    /// Puts it at a place of the side view, with the panel hung.
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
            Self::RoomCorner(index) => {
                if let Some(corner) = project.room.outline.get_mut(index) {
                    *corner = place;
                }
            }
        }
    }
}

/// Takes off what a subtraction leaves behind the sixth decimal (a nanometre).
fn tidy(point: Point) -> Point {
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
        let names: std::collections::HashSet<String> = Handle::all(&demo()).into_iter().map(Handle::name).collect();
        assert_eq!(names.len(), Handle::all(&demo()).len());
    }
}
