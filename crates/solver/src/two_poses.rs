//! Two poses fix where an arm may be pinned: the wall pivot of a panel pivot lies on the
//! perpendicular bisector of the pivot's places when hung and when parked.
//!
//! So a panel pivot may be moved while both end poses stay exactly as asked: its wall pivot follows
//! to where that bisector crosses the wall bar's line. The other way round a wall pivot may be
//! moved and the panel pivot follows, by the same construction in the panel frame. All closed form.

use nalgebra::{Isometry2, Vector2};

use crate::circuit::{Circuit, principal};
use crate::lift::Lift;
use crate::pose::pole;
use crate::project::{Point, Project, TravelWanted};
use crate::room::RoomShape;
use crate::tolerance::CLOSURE;
use crate::travel::Travel;

/// A turn this small, radians, or a way this short against the other sizes, is none: far above
/// rounding, far below what anybody can set.
const NOTHING: f64 = 1e-9;

/// Lines that meet at less than this, radians, count as parallel: an error of a thousandth of a
/// millimetre would move the pivot by a kilometre.
const PARALLEL: f64 = 1e-9;

/// Where the panel is at both ends of the travel, each carrying the panel frame to the side view.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TwoPoses {
    /// Hung.
    pub hung: Isometry2<f64>,
    /// Parked.
    pub parked: Isometry2<f64>,
}

/// What kind of move leads from hung to parked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Displacement {
    /// None: hung and parked are one pose, and nothing fixes a wall pivot.
    None,
    /// A shift without a turn, mm: all bisectors are parallel, square to it.
    Translation(Vector2<f64>),
    /// A turn: all bisectors meet at its pole.
    Turn {
        /// The point that stays where it is, side view.
        pole: Point,
        /// Counter-clockwise, radians, −π…π.
        turn: f64,
    },
    /// A half turn: the pole is also the middle of every point's two places.
    HalfTurn {
        /// The point that stays where it is, side view.
        pole: Point,
    },
}

/// A straight line in a plane, through a point along a direction of any length but 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// A point on it.
    pub through: Point,
    /// Its direction.
    pub along: Vector2<f64>,
}

impl Line {
    /// The upright line through a point: where a pivot goes that keeps its distance from the edge
    /// of its bar.
    #[must_use]
    pub fn upright(through: Point) -> Self {
        Self { through, along: Vector2::y() }
    }
}

/// Where the second pivot of an arm has to be, and how sure that place is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SecondPivot {
    /// In the frame of the line that was given.
    pub at: Point,
    /// Between the bisector and the line, radians, 0…π/2; small is ill-conditioned.
    pub angle: f64,
    /// Turn of the arm from hung to parked as seen from this pivot, without its sign, radians.
    pub turn: f64,
    /// How far this pivot moves along its line, mm for each mm by which one of the other pivot's two
    /// places is off along the arm: 1 ÷ (2 · sin(turn ÷ 2) · sin(angle)).
    pub shift_per_error: f64,
}

/// Why two poses do not fix a pivot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotFixed {
    /// The same pose twice.
    #[error("hung and parked are the same pose, so any pivot would do")]
    SamePose,
    /// The point is at the pole.
    #[error("this pivot does not move between hung and parked, so any other end of its arm would do")]
    StandsStill,
    /// The bisector never crosses the line.
    #[error("the line on which the other pivot must lie runs along its bar and never crosses the bar's line")]
    Parallel,
}

/// Why a lift does not get from hung to a pose of its panel.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NotParked {
    /// An arm is too long or too short there.
    #[error("the bars do not close at the parked pose: {gap_mm:.3} mm are missing")]
    Open {
        /// The larger of the two arms' gaps, mm.
        gap_mm: f64,
    },
    /// The pose belongs to the other way of putting the bars together.
    #[error("the bars close at the parked pose, but only after they are taken apart and put together the other way")]
    OtherCircuit,
    /// The pose is on the circuit, but not the first with its turn of the lower arm.
    #[error("the parked pose lies beyond a dead point of the lower arm")]
    BeyondDeadPoint,
}

impl TwoPoses {
    /// What kind of move leads from hung to parked.
    #[must_use]
    pub fn displacement(&self) -> Displacement {
        let turn = self.parked.rotation.rotation_to(&self.hung.rotation).inverse().angle();
        let by = self.parked.translation.vector - self.hung.translation.vector;
        let size = self.hung.translation.vector.norm().max(self.parked.translation.vector.norm()).max(1.0);
        if turn.abs() < NOTHING {
            return if by.norm() < NOTHING * size { Displacement::None } else { Displacement::Translation(by) };
        }
        match pole(&self.hung, &self.parked) {
            Some(pole) if std::f64::consts::PI - turn.abs() < NOTHING => Displacement::HalfTurn { pole },
            Some(pole) => Displacement::Turn { pole, turn },
            None => Displacement::Translation(by),
        }
    }

    /// Places of a point of the panel (panel frame) when hung and when parked, side view.
    #[must_use]
    pub fn places(&self, on_panel: Point) -> [Point; 2] {
        [self.hung * on_panel, self.parked * on_panel]
    }

    /// Places of a point of the wall (side view) as seen from the hung and from the parked panel,
    /// panel frame.
    #[must_use]
    pub fn places_seen_from_panel(&self, on_wall: Point) -> [Point; 2] {
        [self.hung.inverse_transform_point(&on_wall), self.parked.inverse_transform_point(&on_wall)]
    }

    /// The line on which the wall pivot of a panel pivot (panel frame) must lie, side view.
    ///
    /// # Errors
    /// [`NotFixed::SamePose`] and [`NotFixed::StandsStill`].
    pub fn wall_line(&self, on_panel: Point) -> Result<Line, NotFixed> {
        self.bisector(self.places(on_panel))
    }

    /// The line on which the panel pivot of a wall pivot (side view) must lie, panel frame.
    ///
    /// # Errors
    /// As [`TwoPoses::wall_line`].
    pub fn panel_line(&self, on_wall: Point) -> Result<Line, NotFixed> {
        self.bisector(self.places_seen_from_panel(on_wall))
    }

    /// The wall pivot of a panel pivot (panel frame) on a line of the side view.
    ///
    /// # Errors
    /// Where none is fixed, by name.
    pub fn wall_pivot(&self, on_panel: Point, line: &Line) -> Result<SecondPivot, NotFixed> {
        self.crossing(self.places(on_panel), line)
    }

    /// The panel pivot of a wall pivot (side view) on a line of the panel frame.
    ///
    /// # Errors
    /// Where none is fixed, by name.
    pub fn panel_pivot(&self, on_wall: Point, line: &Line) -> Result<SecondPivot, NotFixed> {
        self.crossing(self.places_seen_from_panel(on_wall), line)
    }

    /// Signed turn of the arm between a wall pivot (side view) and a panel pivot (panel frame) from
    /// hung to parked, radians, −π…π: which of it and its full-turn companion the path takes is not
    /// told by two poses.
    #[must_use]
    pub fn arm_turn(&self, on_wall: Point, on_panel: Point) -> f64 {
        let [hung, parked] = self.places(on_panel).map(|place| place - on_wall);
        hung.perp(&parked).atan2(hung.dot(&parked))
    }

    fn way(&self, places: [Point; 2]) -> Result<Vector2<f64>, NotFixed> {
        let way = places[1] - places[0];
        let size = places[0].coords.norm().max(places[1].coords.norm()).max(1.0);
        if way.norm() >= NOTHING * size {
            return Ok(way);
        }
        Err(if self.displacement() == Displacement::None { NotFixed::SamePose } else { NotFixed::StandsStill })
    }

    fn bisector(&self, places: [Point; 2]) -> Result<Line, NotFixed> {
        let way = self.way(places)?;
        Ok(Line { through: nalgebra::center(&places[0], &places[1]), along: Vector2::new(-way.y, way.x) })
    }

    /// A point W of the line with (W − middle) · way = 0.
    fn crossing(&self, places: [Point; 2], line: &Line) -> Result<SecondPivot, NotFixed> {
        let way = self.way(places)?;
        let along = line.along.normalize();
        let sine = (along.dot(&way) / way.norm()).abs();
        if sine < PARALLEL {
            return Err(NotFixed::Parallel);
        }
        let to_middle = nalgebra::center(&places[0], &places[1]) - line.through;
        let at = line.through + along * (to_middle.dot(&way) / along.dot(&way));
        let [first, second] = places.map(|place| place - at);
        Ok(SecondPivot {
            at,
            angle: sine.min(1.0).asin(),
            turn: first.perp(&second).abs().atan2(first.dot(&second)),
            shift_per_error: first.norm() / (way.norm() * sine),
        })
    }
}

/// The `travel_deg`, degrees, with which a project's lift parks exactly at a pose of its panel
/// (side view from panel frame), however far the project's own travel goes.
///
/// The pivots must let the bars close there; [`TwoPoses`] finds such pivots. The parked pose that
/// results differs by at most 1e-9 of the longest centre distance.
///
/// # Errors
/// Where the path from hung does not lead there, by name.
pub fn travel_to(project: &Project, parked: &Isometry2<f64>) -> Result<f64, NotParked> {
    let lift = Lift::new(project);
    let size = lift.lengths.longest();
    let [lower, upper] = [parked * lift.panel_lower, parked * lift.panel_upper];
    let (lower_arm, upper_arm) = (lower - lift.wall_lower, upper - lift.wall_upper);
    let gap_mm =
        (lower_arm.norm() - lift.lengths.lower_arm).abs().max((upper_arm.norm() - lift.lengths.upper_arm).abs());
    if gap_mm > CLOSURE * size {
        return Err(NotParked::Open { gap_mm });
    }
    let poses = TwoPoses { hung: Isometry2::new(project.panel.hung.origin().coords, 0.0), parked: *parked };
    let turn = poses.arm_turn(lift.wall_lower, lift.panel_lower);
    let other = turn - std::f64::consts::TAU * if turn >= 0.0 { 1.0 } else { -1.0 };
    // The way that the project's own travel goes comes first.
    let as_now = match project.linkage.travel_deg {
        TravelWanted::Degrees(now) => now * turn >= 0.0,
        TravelWanted::ToStop => true,
    };
    let room = RoomShape::new(&project.room);
    let mut asked = project.clone();
    for turn in if as_now { [turn, other] } else { [other, turn] } {
        let degrees = turn.to_degrees();
        asked.linkage.travel_deg = TravelWanted::Degrees(degrees);
        let reached = Travel::find(&asked, &lift, &room).pose_at(&lift, 1.0);
        let off = (reached.panel_lower - lower).norm().max((reached.panel_upper - upper).norm());
        if off <= CLOSURE * size {
            return Ok(degrees);
        }
    }
    let wall = lift.wall_upper - lift.wall_lower;
    let diagonal = lift.wall_upper - lower;
    let height = diagonal.perp(&(upper - lower)) / diagonal.norm().max(f64::MIN_POSITIVE);
    let theta = principal(lower_arm.y.atan2(lower_arm.x) - wall.y.atan2(wall.x));
    let (circuit, _) = Circuit::through(&lift.lengths, theta, height);
    Err(if circuit == lift.circuit { NotParked::BeyondDeadPoint } else { NotParked::OtherCircuit })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::{Options, analyse};
    use proptest::prelude::*;
    use std::f64::consts::PI;

    fn demo() -> Project {
        crate::samples::board()
    }

    fn turned(x: f64, y: f64, turn: f64) -> TwoPoses {
        TwoPoses {
            hung: Isometry2::new(Vector2::new(62.0, 1180.0), 0.0),
            parked: Isometry2::new(Vector2::new(x, y), turn),
        }
    }

    fn ends(project: &Project) -> TwoPoses {
        let analysis = analyse(project, &Options { poses: 2, swept: false });
        TwoPoses { hung: analysis.pose_at(0.0).room_from_panel, parked: analysis.pose_at(1.0).room_from_panel }
    }

    #[test]
    fn a_marking_error_of_2_mm_moves_the_centre_57_mm_at_2_degrees_and_2_mm_at_60() {
        // Common practice, no source: "2 mm marking error moves the centre about 57 mm at 2°, about
        // 2 mm at 60°". By formula: 2 ÷ (2 · sin(turn ÷ 2)) where the bisector crosses its line squarely.
        for (degrees, told) in [(2.0_f64, 57.3), (60.0, 2.0)] {
            let turn = degrees.to_radians();
            // A point at 500 mm from a pivot at the origin; the line is level, the bisector upright.
            let start = -0.5 * PI - 0.5 * turn;
            let place = |angle: f64| Point::new(500.0 * angle.cos(), 500.0 * angle.sin());
            let poses = TwoPoses {
                hung: Isometry2::new(place(start).coords, 0.0),
                parked: Isometry2::new(place(start + turn).coords, 0.3),
            };
            let level = Line { through: Point::origin(), along: Vector2::x() };
            let found = poses.wall_pivot(Point::origin(), &level).expect("fixed");
            assert!(found.at.coords.norm() < 1e-9);
            assert!((found.angle - 0.5 * PI).abs() < 1e-9 && (found.turn - turn).abs() < 1e-12);
            assert!((2.0 * found.shift_per_error - told).abs() < 0.05, "{}", 2.0 * found.shift_per_error);
            assert!((found.shift_per_error - 0.5 / (0.5 * turn).sin()).abs() < 1e-9);
            // And by marking one place 0.001 mm off along the arm.
            let off =
                TwoPoses { parked: Isometry2::new(place(start + turn).coords * (1.0 + 0.001 / 500.0), 0.3), ..poses };
            let moved = off.wall_pivot(Point::origin(), &level).expect("fixed").at.coords.norm();
            assert!((moved / 0.001 - found.shift_per_error).abs() < 2e-3 * found.shift_per_error, "{moved}");
        }
    }

    #[test]
    fn what_two_poses_do_not_fix_has_a_name() {
        let point = Point::new(-40.0, 450.0);
        let upright = Line::upright(Point::new(15.0, 2000.0));
        let same = turned(62.0, 1180.0, 0.0);
        assert_eq!(same.displacement(), Displacement::None);
        assert_eq!(same.wall_pivot(point, &upright), Err(NotFixed::SamePose));
        assert_eq!(same.wall_line(point), Err(NotFixed::SamePose));

        // Pure translation: the bisectors of all points are parallel; straight out from the wall
        // they run along the wall bar.
        let shifted = turned(662.0, 1480.0, 0.0);
        assert_eq!(shifted.displacement(), Displacement::Translation(Vector2::new(600.0, 300.0)));
        let lines = [point, Point::new(3.0, 7.0)].map(|point| shifted.wall_line(point).expect("a line").along);
        assert!(lines[0].perp(&lines[1]).abs() < 1e-6);
        let straight_out = turned(662.0, 1180.0, 0.0);
        assert_eq!(straight_out.wall_pivot(point, &upright), Err(NotFixed::Parallel));

        // Half turn: every point's middle is the pole.
        let half = turned(900.0, 2900.0, PI);
        let Displacement::HalfTurn { pole } = half.displacement() else { panic!("{:?}", half.displacement()) };
        for on_panel in [point, Point::new(12.0, 700.0)] {
            let [hung, parked] = half.places(on_panel);
            assert!((nalgebra::center(&hung, &parked) - pole).norm() < 1e-9);
        }

        // A point at the pole stands still.
        let turn = turned(700.0, 1900.0, -1.2);
        let Displacement::Turn { pole, turn: angle } = turn.displacement() else { panic!("a turn") };
        assert!((angle + 1.2).abs() < 1e-12);
        let at_pole = turn.hung.inverse_transform_point(&pole);
        assert_eq!(turn.wall_pivot(at_pole, &upright), Err(NotFixed::StandsStill));
    }

    proptest! {
        #[test]
        fn arms_keep_their_length_and_every_bisector_passes_the_pole(
            x in 200.0..1500.0, y in 1200.0..2600.0, turn in -3.1..3.1,
            panel_x in -60.0..60.0, panel_y in 0.0..700.0, wall_x in -20.0..60.0,
        ) {
            let poses = turned(x, y, turn);
            let on_panel = Point::new(panel_x, panel_y);
            if let Ok(found) = poses.wall_pivot(on_panel, &Line::upright(Point::new(wall_x, 0.0))) {
                let [hung, parked] = poses.places(on_panel).map(|place| (place - found.at).norm());
                prop_assert!((hung - parked).abs() < 1e-9 * (hung + 1.0) * found.shift_per_error.max(1.0));
                prop_assert!((found.at.x - wall_x).abs() < 1e-12);
                let formula = 0.5 / ((0.5 * found.turn).sin() * found.angle.sin());
                prop_assert!((found.shift_per_error - formula).abs() < 1e-6 * formula);
                // And back: the wall pivot found fixes the panel pivot that it was found from.
                let back = poses.panel_pivot(found.at, &Line::upright(on_panel));
                if let Ok(back) = back && back.shift_per_error < 1e3 && found.shift_per_error < 1e3 {
                    prop_assert!((back.at - on_panel).norm() < 1e-6, "{:?}", back);
                }
            }
            if let Displacement::Turn { pole, .. } = poses.displacement() && turn.abs() > 0.05 {
                let line = poses.wall_line(on_panel).expect("a line");
                let off = (pole - line.through).perp(&line.along.normalize());
                prop_assert!(off.abs() < 1e-6, "{off}");
            }
        }
    }

    #[test]
    fn a_moved_panel_pivot_leaves_both_end_poses_as_they_were() {
        let before = demo();
        let poses = ends(&before);
        let mut kept = 0;
        for (x, y) in [(0.0, 0.0), (3.0, -2.0), (-4.0, 6.0), (6.0, 12.0), (-8.0, -9.0)] {
            let mut project = before.clone();
            project.linkage.panel_upper += Vector2::new(x, y);
            let line = Line::upright(before.linkage.wall_upper);
            project.linkage.wall_upper = poses.wall_pivot(project.linkage.panel_upper, &line).expect("fixed").at;
            let Ok(degrees) = travel_to(&project, &poses.parked) else { continue };
            project.linkage.travel_deg = TravelWanted::Degrees(degrees);
            let now = ends(&project);
            for (was, is) in [(poses.hung, now.hung), (poses.parked, now.parked)] {
                assert!((was.translation.vector - is.translation.vector).norm() < 1e-9, "{was} {is}");
                assert!(was.rotation.angle_to(&is.rotation).abs() < 1e-9);
            }
            kept += 1;
        }
        assert!(kept >= 4, "{kept}");
    }

    #[test]
    fn where_the_path_does_not_lead_is_said() {
        let project = demo();
        let poses = ends(&project);
        let off = Isometry2::from_parts(
            (poses.parked.translation.vector + Vector2::new(0.0, 5.0)).into(),
            poses.parked.rotation,
        );
        let Err(NotParked::Open { gap_mm }) = travel_to(&project, &off) else { panic!("open") };
        assert!(gap_mm > 0.5 && gap_mm < 10.0, "{gap_mm}");
        // The same lower arm with the panel folded to the other side of the diagonal.
        let lift = Lift::new(&project);
        let lower = poses.parked * lift.panel_lower;
        let upper = poses.parked * lift.panel_upper;
        let axis = (lift.wall_upper - lower).normalize();
        let bar = upper - lower;
        let folded = axis * (2.0 * bar.dot(&axis)) - bar;
        let drawn = lift.panel_upper - lift.panel_lower;
        let turn = folded.y.atan2(folded.x) - drawn.y.atan2(drawn.x);
        let rotation = nalgebra::UnitComplex::new(turn);
        let other = Isometry2::from_parts((lower.coords - rotation * lift.panel_lower.coords).into(), rotation);
        let said = travel_to(&project, &other);
        assert!(matches!(said, Err(NotParked::OtherCircuit | NotParked::BeyondDeadPoint)), "{said:?}");
    }

    #[test]
    fn the_present_travel_is_found_again() {
        let mut project = demo();
        for degrees in [20.0, 60.0, 90.0] {
            project.linkage.travel_deg = TravelWanted::Degrees(degrees);
            let analysis = analyse(&project, &Options { poses: 2, swept: false });
            if analysis.travel.missing > 0.0 {
                continue;
            }
            let found = travel_to(&project, &analysis.pose_at(1.0).room_from_panel).expect("reached");
            assert!((found - degrees).abs() < 1e-9, "{found}");
        }
    }
}
