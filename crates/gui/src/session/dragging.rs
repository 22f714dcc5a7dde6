//! What a drag keeps: how the rest of a project follows one handle.
//!
//! Everything is worked out from the project as it stood when the handle was taken hold of, so a
//! drag has no memory of the way it went: the same place gives the same project.

use std::sync::Arc;

use nalgebra::{Isometry2, Vector2};
use overarm_solver::{
    ArmName, Lift, Line, NotFixed, NotParked, Point, Project, RoomShape, SecondPivot, Travel, TravelWanted, TwoPoses,
    travel_to,
};

use super::handle::{Handle, tidy};

/// What stays as it is while a handle is dragged.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum DragMode {
    /// Nothing but what is not touched.
    #[default]
    Free,
    /// Where the panel hangs and where it parks.
    KeepEndPoses,
    /// The four centre distances.
    KeepLengths,
}

impl DragMode {
    /// Every one, in the order in which they are offered.
    pub const ALL: [Self; 3] = [Self::Free, Self::KeepEndPoses, Self::KeepLengths];

    /// On its button.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Free => "Free",
            Self::KeepEndPoses => "Keep end poses",
            Self::KeepLengths => "Keep lengths",
        }
    }

    /// What the history adds to a step's name.
    fn kept(self) -> &'static str {
        match self {
            Self::Free => "",
            Self::KeepEndPoses => ", end poses kept",
            Self::KeepLengths => ", lengths kept",
        }
    }
}

/// From here on a place that follows is worth a warning: mm of its shift for each mm of error.
const ILL_CONDITIONED: f64 = 5.0;

/// A handle that was taken hold of, and all that its drag starts from.
#[derive(Clone, Debug)]
pub struct Held {
    /// The handle.
    pub handle: Handle,
    /// What is kept.
    pub mode: DragMode,
    /// The project before.
    pub before: Arc<Project>,
    /// Where the panel hung and parked before.
    pub ends: TwoPoses,
    /// A corner of the wall, which stays on the wall.
    pub on_wall: bool,
}

/// A project with a handle somewhere else.
#[derive(Clone, Debug)]
pub struct Moved {
    /// The project.
    pub project: Project,
    /// How unsure the place of what followed is, where a person should know.
    pub warning: Option<String>,
}

impl Held {
    /// Takes hold; `parked` carries the panel frame to the side view as the project stands.
    #[must_use]
    pub fn new(handle: Handle, mode: DragMode, before: Arc<Project>, parked: Isometry2<f64>) -> Self {
        let hung = Isometry2::new(before.panel.hung.origin().coords, 0.0);
        let on_wall = handle.is_on_wall(&before);
        Self { handle, mode, before, ends: TwoPoses { hung, parked }, on_wall }
    }

    /// Where the handle was, side view.
    #[must_use]
    pub fn place(&self) -> Point {
        self.handle.place_with(&self.before, &self.ends.parked)
    }

    /// What the history calls the step.
    #[must_use]
    pub fn step_label(&self) -> String {
        let kept = match self.handle {
            Handle::RoomCorner(_) | Handle::Sets | Handle::Drum | Handle::StrapEnd => "",
            Handle::Parked | Handle::ParkedTurn if self.mode == DragMode::KeepEndPoses => "",
            _ => self.mode.kept(),
        };
        format!("{}{kept}", self.handle.step_label())
    }

    /// The project with the handle at a place of the side view, the panel hung.
    ///
    /// # Errors
    /// A sentence that says why there is no such project.
    pub fn put(&self, place: Point) -> Result<Moved, String> {
        // Not moved is not changed, to the last bit.
        if place == self.place() {
            return Ok(Moved { project: (*self.before).clone(), warning: None });
        }
        let moved = match (self.handle, self.mode) {
            (Handle::Parked | Handle::ParkedTurn, DragMode::KeepLengths) => self.slid(place)?,
            (Handle::Parked, _) => self.parked_at(Isometry2::from_parts(place.into(), self.ends.parked.rotation))?,
            (Handle::ParkedTurn, _) => self.parked_at(self.turned_towards(place)?)?,
            (Handle::RoomCorner(_) | Handle::Sets | Handle::Drum | Handle::StrapEnd, _) | (_, DragMode::Free) => {
                self.alone(place)
            }
            (Handle::Hung, DragMode::KeepEndPoses) => self.hung_at(place)?,
            (Handle::Hung, DragMode::KeepLengths) => self.lift_shifted(place),
            (Handle::PanelLower, DragMode::KeepEndPoses) => self.wall_pivot_follows(ArmName::Lower, place)?,
            (Handle::PanelUpper, DragMode::KeepEndPoses) => self.wall_pivot_follows(ArmName::Upper, place)?,
            (Handle::WallLower, DragMode::KeepEndPoses) => self.panel_pivot_follows(ArmName::Lower, place)?,
            (Handle::WallUpper, DragMode::KeepEndPoses) => self.panel_pivot_follows(ArmName::Upper, place)?,
            (Handle::PanelLower | Handle::PanelUpper, DragMode::KeepLengths) => self.panel_bar_shifted(place)?,
            (Handle::WallLower | Handle::WallUpper, DragMode::KeepLengths) => self.linkage_shifted(place),
        };
        moved.project.validate().map_err(|refusal| refusal.to_string())?;
        Ok(moved)
    }

    /// The project with the parked panel tilted otherwise, degrees, its bottom edge where it was.
    ///
    /// # Errors
    /// As [`Held::put`].
    pub fn tilt_parked(&self, tilt_deg: f64) -> Result<Moved, String> {
        let up = Isometry2::new(self.ends.parked.translation.vector, -tilt_deg.to_radians()) * Vector2::y();
        self.put(Point::from(self.ends.parked.translation.vector) + up * self.before.panel.height)
    }

    fn alone(&self, place: Point) -> Moved {
        let mut project = (*self.before).clone();
        self.handle.put(&mut project, place);
        Moved { project, warning: None }
    }

    /// The panel pivot leads; its wall pivot goes to where the bisector crosses the wall bar's line.
    fn wall_pivot_follows(&self, arm: ArmName, place: Point) -> Result<Moved, String> {
        let mut project = self.alone(place).project;
        let found = self.solve_wall_pivot(arm, &mut project, &self.ends)?;
        self.parked_as_before(project, found.as_ref(), "its wall pivot")
    }

    /// The wall pivot leads; its panel pivot goes to where the bisector crosses the panel bar's line.
    fn panel_pivot_follows(&self, arm: ArmName, place: Point) -> Result<Moved, String> {
        let mut project = self.alone(place).project;
        let linkage = &mut project.linkage;
        let (wall, panel) = match arm {
            ArmName::Lower => (linkage.wall_lower, &mut linkage.panel_lower),
            ArmName::Upper => (linkage.wall_upper, &mut linkage.panel_upper),
        };
        let found = match self.ends.panel_pivot(wall, &Line::upright(*panel)) {
            Ok(found) => Some(found),
            Err(NotFixed::StandsStill) => None,
            Err(not_fixed) => return Err(sentence(&not_fixed.to_string())),
        };
        if let Some(found) = &found {
            *panel = found.at;
        }
        self.parked_as_before(project, found.as_ref(), "its panel pivot")
    }

    fn parked_as_before(&self, mut project: Project, found: Option<&SecondPivot>, what: &str) -> Result<Moved, String> {
        park(&mut project, &self.ends.parked)?;
        Ok(Moved { project, warning: found.and_then(|found| warning(found, what)) })
    }

    /// The hung panel is somewhere else, parked stays: both wall pivots follow.
    fn hung_at(&self, place: Point) -> Result<Moved, String> {
        let ends = TwoPoses { hung: Isometry2::new(place.coords, 0.0), ..self.ends };
        self.between(self.alone(place).project, &ends)
    }

    /// The parked panel is somewhere else, hung stays: both wall pivots follow.
    fn parked_at(&self, parked: Isometry2<f64>) -> Result<Moved, String> {
        self.between((*self.before).clone(), &TwoPoses { parked, ..self.ends })
    }

    fn between(&self, mut project: Project, ends: &TwoPoses) -> Result<Moved, String> {
        let mut found = Vec::new();
        for arm in ArmName::BOTH {
            found.extend(self.solve_wall_pivot(arm, &mut project, ends)?);
        }
        project.validate().map_err(|refusal| refusal.to_string())?;
        park(&mut project, &ends.parked)?;
        let worst = found.iter().max_by(|a, b| a.shift_per_error.total_cmp(&b.shift_per_error));
        Ok(Moved { project, warning: worst.and_then(|found| warning(found, "a wall pivot")) })
    }

    /// Puts an arm's wall pivot where two poses want it, on its upright line; none where any place is right.
    fn solve_wall_pivot(
        &self,
        arm: ArmName,
        project: &mut Project,
        ends: &TwoPoses,
    ) -> Result<Option<SecondPivot>, String> {
        let linkage = &mut project.linkage;
        let (panel, wall) = match arm {
            ArmName::Lower => (linkage.panel_lower, &mut linkage.wall_lower),
            ArmName::Upper => (linkage.panel_upper, &mut linkage.wall_upper),
        };
        match ends.wall_pivot(panel, &Line::upright(*wall)) {
            Ok(found) => {
                *wall = found.at;
                Ok(Some(found))
            }
            Err(NotFixed::StandsStill) => Ok(None),
            Err(not_fixed) => Err(sentence(&not_fixed.to_string())),
        }
    }

    /// The parked pose whose panel points from its bottom edge towards a place.
    fn turned_towards(&self, place: Point) -> Result<Isometry2<f64>, String> {
        let origin = self.ends.parked.translation;
        let up = place - Point::from(origin.vector);
        let turn = up.try_normalize(1e-9).map(|up| (-up.x).atan2(up.y));
        turn.map(|turn| Isometry2::new(origin.vector, turn))
            .ok_or_else(|| "A place off the panel's bottom edge is needed to turn it.".to_owned())
    }

    /// Only the travel changes: parked slides along the motion curve to where its handle is nearest.
    fn slid(&self, place: Point) -> Result<Moved, String> {
        /// Steps of the search along the curve; between two of them one nearest place is looked for.
        const STEPS: u32 = 720;
        let mut project = (*self.before).clone();
        let lift = Lift::new(&project);
        let travel = Travel::find(&project, &lift, &RoomShape::new(&project.room));
        let period = std::f64::consts::TAU;
        let ahead = |phase: &f64| (travel.direction * (phase - travel.start)).rem_euclid(period);
        let ends = [lift.circuit.lower_arm_dead_points(), lift.circuit.change_points()].concat();
        let reach = ends.iter().map(ahead).filter(|walked| *walked > 1e-9).fold(period, f64::min);
        let away = |walked: f64| {
            let pose = lift.pose(travel.phase(walked), 1.0);
            (self.handle.place_with(&self.before, &pose.room_from_panel) - place).norm()
        };
        let step = reach / f64::from(STEPS);
        let nearest = (1..STEPS).map(|index| f64::from(index) * step).min_by(|a, b| away(*a).total_cmp(&away(*b)));
        let Some(nearest) = nearest.filter(|_| step > 0.0) else {
            return Err("The lift cannot move from hung.".to_owned());
        };
        let walked = least_between(nearest - step, (nearest + step).min(reach), away);
        project.linkage.travel_deg = TravelWanted::Degrees(lift.turn(travel.phase(walked)).to_degrees());
        Ok(Moved { project, warning: None })
    }

    /// Hung panel and wall pivots shift together.
    fn lift_shifted(&self, place: Point) -> Moved {
        let by = place - self.place();
        let mut project = self.alone(place).project;
        project.linkage.wall_lower += by;
        project.linkage.wall_upper += by;
        Moved { project, warning: None }
    }

    /// All four pivots shift together.
    fn linkage_shifted(&self, place: Point) -> Moved {
        let by = place - self.place();
        let mut project = (*self.before).clone();
        let linkage = &mut project.linkage;
        for pivot in
            [&mut linkage.wall_lower, &mut linkage.wall_upper, &mut linkage.panel_lower, &mut linkage.panel_upper]
        {
            *pivot = tidy(*pivot + by);
        }
        // To the last bit where it was put, whatever the others round to.
        self.handle.put(&mut project, place);
        Moved { project, warning: None }
    }

    /// The two panel pivots shift together; the lower wall pivot follows on its upright line, the
    /// upper one to where its own two bars reach, on the side on which it was.
    fn panel_bar_shifted(&self, place: Point) -> Result<Moved, String> {
        let by = place - self.place();
        let before = &self.before.linkage;
        let lengths = Lift::new(&self.before).lengths;
        let origin = self.before.panel.hung.origin().coords;
        let [lower, upper] = [before.panel_lower, before.panel_upper].map(|pivot| pivot + origin + by);
        let across = lower.x - before.wall_lower.x;
        let square = lengths.lower_arm * lengths.lower_arm - across * across;
        if square < 0.0 {
            return Err(format!(
                "The lower arm is {} too short to reach its wall pivot's line from here.",
                overarm_solver::show_length(across.abs() - lengths.lower_arm, self.before.units())
            ));
        }
        let above = if before.wall_lower.y >= before.panel_lower.y + origin.y { 1.0 } else { -1.0 };
        let wall_lower = Point::new(before.wall_lower.x, lower.y + above * square.sqrt());
        let side =
            (before.wall_upper - before.wall_lower).perp(&(before.panel_upper + origin - before.wall_lower)).signum();
        let wall_upper =
            third_corner(wall_lower, upper, lengths.wall_bar, lengths.upper_arm, -side).ok_or_else(|| {
                "The wall bar and the upper arm do not reach each other from here with the lengths they have."
                    .to_owned()
            })?;
        let mut project = (*self.before).clone();
        let linkage = &mut project.linkage;
        linkage.wall_lower = wall_lower;
        linkage.wall_upper = wall_upper;
        linkage.panel_lower = before.panel_lower + by;
        linkage.panel_upper = before.panel_upper + by;
        Ok(Moved { project, warning: None })
    }
}

/// The corner at distances `from_first` and `from_second` of two others, on one side of their line.
fn third_corner(first: Point, second: Point, from_first: f64, from_second: f64, side: f64) -> Option<Point> {
    let base = second - first;
    let length = base.norm();
    let along = (length * length + (from_first - from_second) * (from_first + from_second)) / (2.0 * length);
    let square = (from_first - along) * (from_first + along);
    let unit = base.try_normalize(0.0)?;
    (square >= 0.0).then(|| first + unit * along + Vector2::new(-unit.y, unit.x) * (side * square.sqrt()))
}

/// Where a smooth function is least between two places that hold one least place between them;
/// golden section to the last digits that a square keeps, then a parabola through them.
fn least_between(mut from: f64, mut to: f64, of: impl Fn(f64) -> f64) -> f64 {
    let share = 0.5 * (5.0_f64.sqrt() - 1.0);
    for _ in 0..64 {
        let (left, right) = (to - share * (to - from), from + share * (to - from));
        if of(left) <= of(right) { to = right } else { from = left }
    }
    0.5 * (from + to)
}

/// Sets the travel so that the lift parks at a pose.
fn park(project: &mut Project, parked: &Isometry2<f64>) -> Result<(), String> {
    project.validate().map_err(|refusal| refusal.to_string())?;
    let degrees = travel_to(project, parked).map_err(|not_parked| match not_parked {
        NotParked::Open { .. } => sentence(&not_parked.to_string()),
        _ => format!("{} Move less, or another pivot.", sentence(&not_parked.to_string())),
    })?;
    project.linkage.travel_deg = TravelWanted::Degrees(degrees);
    Ok(())
}

fn warning(worst: &SecondPivot, what: &str) -> Option<String> {
    (worst.shift_per_error > ILL_CONDITIONED).then(|| {
        format!(
            "The arm turns {:.0}° and its lines meet at {:.0}°: 1 mm of error moves {what} {:.0} mm",
            worst.turn.to_degrees(),
            worst.angle.to_degrees(),
            worst.shift_per_error
        )
    })
}

fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| format!("{}{}.", first.to_uppercase(), letters.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;
    use overarm_solver::{Options, analyse};

    fn parked(project: &Project) -> Isometry2<f64> {
        analyse(project, &Options { poses: 2, swept: false }).pose_at(1.0).room_from_panel
    }

    fn held(handle: Handle, mode: DragMode) -> Held {
        let project = demo();
        let parked = parked(&project);
        Held::new(handle, mode, Arc::new(project), parked)
    }

    fn apart(one: &Isometry2<f64>, other: &Isometry2<f64>) -> f64 {
        (one.translation.vector - other.translation.vector).norm().max(one.rotation.angle_to(&other.rotation).abs())
    }

    #[test]
    fn end_poses_are_kept_to_a_billionth_of_a_millimetre() {
        let mut kept = 0;
        for handle in [Handle::PanelLower, Handle::PanelUpper, Handle::WallLower, Handle::WallUpper] {
            let held = held(handle, DragMode::KeepEndPoses);
            for by in [[2.0, 1.0], [-3.0, 4.0], [1.0, -6.0], [-5.0, -3.0], [4.0, 9.0]] {
                let place = held.place() + Vector2::from(by);
                let Ok(moved) = held.put(place) else { continue };
                assert!((handle.place(&moved.project) - place).norm() < 1e-6);
                assert_eq!(moved.project.panel.hung, held.before.panel.hung);
                let off = apart(&parked(&moved.project), &held.ends.parked);
                assert!(off < 1e-9, "{handle:?} {by:?}: {off}");
                kept += 1;
            }
        }
        assert!(kept >= 12, "{kept} of 20");
    }

    #[test]
    fn parked_goes_where_it_is_asked_and_hung_stays() {
        let held = held(Handle::Parked, DragMode::Free);
        let mut moved_at_all = 0;
        for by in [[0.0, -3.0], [5.0, 0.0], [-4.0, 2.0]] {
            let place = held.place() + Vector2::from(by);
            let Ok(moved) = held.put(place) else { continue };
            let now = parked(&moved.project);
            assert!((now.translation.vector - place.coords).norm() < 1e-9);
            assert!(now.rotation.angle_to(&held.ends.parked.rotation).abs() < 1e-9);
            assert_eq!(moved.project.linkage.panel_lower, held.before.linkage.panel_lower);
            moved_at_all += 1;
        }
        assert!(moved_at_all >= 2, "{moved_at_all}");
        let turned = Held { handle: Handle::ParkedTurn, ..held };
        let tilt = -turned.ends.parked.rotation.angle().to_degrees();
        let moved = turned.tilt_parked(tilt - 1.0).expect("a degree less");
        let now = parked(&moved.project);
        assert!((-now.rotation.angle().to_degrees() - tilt + 1.0).abs() < 1e-9);
        assert!((now.translation.vector - turned.ends.parked.translation.vector).norm() < 1e-9);
    }

    #[test]
    fn lengths_are_kept_whatever_is_dragged() {
        for handle in [
            Handle::PanelLower,
            Handle::PanelUpper,
            Handle::WallLower,
            Handle::WallUpper,
            Handle::Hung,
            Handle::Parked,
            Handle::ParkedTurn,
        ] {
            let held = held(handle, DragMode::KeepLengths);
            let before = Lift::new(&held.before).lengths;
            for by in [[6.0, 4.0], [-5.0, 12.0], [3.0, -40.0]] {
                let place = held.place() + Vector2::from(by);
                let moved = held.put(place).expect("reachable");
                let now = Lift::new(&moved.project).lengths;
                for (was, is) in [
                    (before.lower_arm, now.lower_arm),
                    (before.upper_arm, now.upper_arm),
                    (before.panel_bar, now.panel_bar),
                    (before.wall_bar, now.wall_bar),
                ] {
                    assert!((was - is).abs() < 1e-5, "{handle:?} {by:?}: {was} {is}");
                }
                if !matches!(handle, Handle::Parked | Handle::ParkedTurn) {
                    assert!((handle.place(&moved.project) - place).norm() < 1e-6, "{handle:?}");
                }
            }
        }
    }

    #[test]
    fn with_lengths_kept_parked_slides_along_its_path() {
        let held = held(Handle::Parked, DragMode::KeepLengths);
        let analysis = analyse(&held.before, &Options { poses: 2, swept: false });
        let aim = analysis.pose_at(0.8).origin();
        let moved = held.put(aim).expect("on the path");
        assert_eq!(moved.project.linkage.wall_upper, held.before.linkage.wall_upper);
        assert!((parked(&moved.project).translation.vector - aim.coords).norm() < 1e-4);
    }

    #[test]
    fn a_panel_bar_out_of_reach_is_refused_with_how_much() {
        let held = held(Handle::PanelLower, DragMode::KeepLengths);
        let lower_arm = Lift::new(&held.before).lengths.lower_arm;
        let said =
            held.put(Point::new(held.before.linkage.wall_lower.x + lower_arm + 12.0, 1600.0)).expect_err("too far");
        assert!(said.contains("12.0 mm too short"), "{said}");
    }

    #[test]
    fn not_moved_is_not_changed() {
        for mode in DragMode::ALL {
            for handle in Handle::in_sketch(&demo()) {
                let held = held(handle, mode);
                assert_eq!(held.put(held.place()).expect("as it is").project, *held.before);
            }
        }
    }
}
