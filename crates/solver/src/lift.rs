//! The lift as geometry: lengths, circuit, and the shapes that bars and panel are.

use nalgebra::{Complex, Isometry2, Point2, Rotation2, Translation2, Unit, Vector2};

use crate::circuit::{Circuit, Directions, Place, principal};
use crate::class::Class;
use crate::pose::{Placement, Pose, Rates};
use crate::project::{PartName, Point, Project};
use crate::stop_pin::StopPinShape;

/// Centre distances of the four bars, mm.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Lengths {
    /// Between the pivots of the lower arm.
    pub lower_arm: f64,
    /// Of the upper arm.
    pub upper_arm: f64,
    /// Between the two panel pivots.
    pub panel_bar: f64,
    /// Between the two wall pivots.
    pub wall_bar: f64,
}

impl Lengths {
    /// The longest of the four.
    #[must_use]
    pub fn longest(&self) -> f64 {
        self.lower_arm.max(self.upper_arm).max(self.panel_bar).max(self.wall_bar)
    }
}

/// An upright rectangle in its own frame, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rectangle {
    /// Corner with the smallest coordinates.
    pub least: Point,
    /// Corner with the largest coordinates.
    pub most: Point,
}

impl Rectangle {
    /// Corners, counter-clockwise from the least.
    #[must_use]
    pub fn corners(&self) -> [Point; 4] {
        [self.least, Point2::new(self.most.x, self.least.y), self.most, Point2::new(self.least.x, self.most.y)]
    }

    /// The middle.
    #[must_use]
    pub fn middle(&self) -> Point {
        nalgebra::center(&self.least, &self.most)
    }

    /// From a point to the point of the rectangle that is farthest from it, mm.
    #[must_use]
    pub fn farthest_from(&self, point: Point) -> f64 {
        let across = (point - self.least).abs().sup(&(self.most - point).abs());
        across.norm()
    }
}

/// Which arm.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ArmName {
    /// Between the lower pivots.
    Lower,
    /// Between the upper pivots.
    Upper,
}

impl ArmName {
    /// Both arms.
    pub const BOTH: [Self; 2] = [Self::Lower, Self::Upper];

    /// As a part.
    #[must_use]
    pub fn part(self) -> PartName {
        match self {
            Self::Lower => PartName::LowerArm,
            Self::Upper => PartName::UpperArm,
        }
    }
}

/// The linkage of a project and the shapes that it carries.
#[derive(Clone, Debug, PartialEq)]
pub struct Lift {
    /// Centre distances.
    pub lengths: Lengths,
    /// Which motion they allow.
    pub class: Class,
    /// The circuit that the lift hangs on.
    pub circuit: Circuit,
    /// Side view.
    pub wall_lower: Point,
    /// Side view.
    pub wall_upper: Point,
    /// Panel frame.
    pub panel_lower: Point,
    /// Panel frame.
    pub panel_upper: Point,
    /// Panel frame.
    pub centre_of_mass: Point,
    /// The panel in the panel frame.
    pub panel: Rectangle,
    /// The panel bar in the panel frame.
    pub panel_bar: Rectangle,
    /// The wall bar in side view.
    pub wall_bar: Rectangle,
    /// x of the back face when hung.
    pub standoff: f64,
    /// Half the lower arm's width.
    lower_radius: f64,
    /// Half the upper arm's width.
    upper_radius: f64,
    pub(crate) stop_pin: Option<StopPinShape>,
    phase_at_hung: f64,
    turning_phases: Vec<f64>,
    ground: Rotation2<f64>,
    ground_angle: f64,
    /// Takes the panel bar's vector in the ground frame to the turn of the panel.
    panel_from_bar: Complex<f64>,
    at_hung: Directions,
}

impl Lift {
    /// The lift of a project that was accepted by [`Project::validate`].
    #[must_use]
    pub fn new(project: &Project) -> Self {
        let linkage = &project.linkage;
        let origin = project.panel.hung.origin().coords;
        let (lower, upper) = (linkage.panel_lower + origin, linkage.panel_upper + origin);
        let wall = linkage.wall_upper - linkage.wall_lower;
        let panel_line = linkage.panel_upper - linkage.panel_lower;
        let lower_arm = lower - linkage.wall_lower;
        let lengths = Lengths {
            lower_arm: lower_arm.norm(),
            upper_arm: (upper - linkage.wall_upper).norm(),
            panel_bar: panel_line.norm(),
            wall_bar: wall.norm(),
        };
        let diagonal = linkage.wall_upper - lower;
        let height = diagonal.perp(&panel_line) / diagonal.norm().max(f64::MIN_POSITIVE);
        let ground_angle = wall.y.atan2(wall.x);
        let theta = principal(lower_arm.y.atan2(lower_arm.x) - ground_angle);
        let (circuit, phase_at_hung) = Circuit::through(&lengths, theta, height);
        let at_hung = circuit.directions(phase_at_hung, &circuit.place(phase_at_hung));
        let panel = &project.panel;
        let bars = &project.bars;
        Self {
            lengths,
            class: Class::of(&lengths),
            circuit,
            wall_lower: linkage.wall_lower,
            wall_upper: linkage.wall_upper,
            panel_lower: linkage.panel_lower,
            panel_upper: linkage.panel_upper,
            centre_of_mass: panel.centre_of_mass,
            panel: Rectangle { least: Point2::origin(), most: Point2::new(panel.thickness, panel.height) },
            panel_bar: upright(&bars.panel_bar, -bars.panel_bar.width, linkage.panel_lower, linkage.panel_upper),
            wall_bar: upright(&bars.wall_bar, 0.0, linkage.wall_lower, linkage.wall_upper),
            standoff: panel.hung.standoff,
            lower_radius: 0.5 * bars.lower_arm.width,
            upper_radius: 0.5 * bars.upper_arm.width,
            stop_pin: StopPinShape::new(bars),
            phase_at_hung,
            turning_phases: [
                circuit.lower_arm_dead_points(),
                circuit.upper_arm_dead_points(),
                circuit.panel_reversals(),
                circuit.wall_bar_alignments(),
                circuit.arm_against_arm_reversals(),
            ]
            .concat(),
            ground: Rotation2::new(ground_angle),
            ground_angle,
            panel_from_bar: Complex::from_polar(1.0, ground_angle) / Complex::new(panel_line.x, panel_line.y),
            at_hung,
        }
    }

    /// Phase of the hung pose on the circuit.
    #[must_use]
    pub fn phase_at_hung(&self) -> f64 {
        self.phase_at_hung
    }

    /// Wall end of an arm, side view.
    #[must_use]
    pub fn wall_pivot(&self, arm: ArmName) -> Point {
        match arm {
            ArmName::Lower => self.wall_lower,
            ArmName::Upper => self.wall_upper,
        }
    }

    /// Panel end of an arm, panel frame.
    #[must_use]
    pub fn panel_pivot(&self, arm: ArmName) -> Point {
        match arm {
            ArmName::Lower => self.panel_lower,
            ArmName::Upper => self.panel_upper,
        }
    }

    /// Centre distance of an arm, mm.
    #[must_use]
    pub fn arm_length(&self, arm: ArmName) -> f64 {
        match arm {
            ArmName::Lower => self.lengths.lower_arm,
            ArmName::Upper => self.lengths.upper_arm,
        }
    }

    /// Half the width of an arm: the radius of its round ends, mm.
    #[must_use]
    pub fn arm_radius(&self, arm: ArmName) -> f64 {
        match arm {
            ArmName::Lower => self.lower_radius,
            ArmName::Upper => self.upper_radius,
        }
    }

    /// Phases, 0…2π, where the turn of any of the four bars against another reverses.
    #[must_use]
    pub fn turning_phases(&self) -> &[f64] {
        &self.turning_phases
    }

    /// Where panel and pivots are at a phase. Closed form: one sine and cosine, a few roots.
    #[must_use]
    #[inline]
    pub fn placement(&self, phase: f64) -> Placement {
        self.placed(phase, &self.circuit.place(phase))
    }

    #[inline]
    fn placed(&self, phase: f64, place: &Place) -> Placement {
        let panel_lower = self.wall_lower + self.ground * place.lower_arm;
        let panel_upper = self.wall_upper + self.ground * place.upper_arm;
        let bar = Complex::new(place.panel_bar.x, place.panel_bar.y);
        let mut turn = Unit::new_unchecked(self.panel_from_bar * bar);
        turn.renormalize_fast();
        let room_from_panel =
            Isometry2::from_parts(Translation2::from(panel_lower.coords - turn * self.panel_lower.coords), turn);
        Placement { phase, room_from_panel, panel_lower, panel_upper }
    }

    /// The pose at a phase, with its angles; `s` is only carried along. Closed form.
    #[must_use]
    pub fn pose(&self, phase: f64, s: f64) -> Pose {
        let place = self.circuit.place(phase);
        let directions = self.circuit.directions(phase, &place);
        let sine = place.panel_bar.perp(&place.upper_arm).abs();
        let cosine = place.panel_bar.dot(&place.upper_arm).abs();
        Pose {
            s,
            lower_arm: self.turned_from_hung(directions.lower_arm, self.at_hung.lower_arm),
            upper_arm: self.turned_from_hung(directions.upper_arm, self.at_hung.upper_arm),
            tilt: self.at_hung.panel_bar - directions.panel_bar,
            transmission: sine.atan2(cosine),
            placement: self.placed(phase, &place),
        }
    }

    /// A ground-frame direction from +x, with the hung value in −π…π.
    fn turned_from_hung(&self, direction: f64, at_hung: f64) -> f64 {
        principal(at_hung + self.ground_angle) + (direction - at_hung)
    }

    /// Rates at a phase, per radian of phase. Closed form; smooth through dead points.
    #[must_use]
    pub fn rates(&self, phase: f64) -> Rates {
        let place = self.circuit.place(phase);
        let (lower_arm, panel, upper_arm) = self.circuit.rates(phase, &place);
        let arm = self.ground * place.lower_arm;
        Rates { lower_arm, upper_arm, panel, panel_lower: lower_arm * Vector2::new(-arm.y, arm.x) }
    }

    /// Net turn of the lower arm from hung, radians.
    #[must_use]
    pub fn turn(&self, phase: f64) -> f64 {
        self.circuit.lower_arm_angle(phase) - self.at_hung.lower_arm
    }

    /// The largest gap between where two bars put the same pivot, mm.
    #[must_use]
    pub fn closure_residual(&self, pose: &Pose) -> f64 {
        let end = |from: Point, angle: f64, length: f64| from + length * Vector2::new(angle.cos(), angle.sin());
        let lower = end(self.wall_lower, pose.lower_arm, self.lengths.lower_arm);
        let upper = end(self.wall_upper, pose.upper_arm, self.lengths.upper_arm);
        let by_panel = [pose.room_from_panel * self.panel_lower, pose.room_from_panel * self.panel_upper];
        [lower - by_panel[0], upper - by_panel[1], pose.panel_lower - by_panel[0], pose.panel_upper - by_panel[1]]
            .iter()
            .map(Vector2::norm)
            .fold(0.0, f64::max)
    }

    /// The lever ℓ of a pose, mm: how far apart the two arms' lines cross the panel bar, measured
    /// square to the upper arm. An upper arm longer by 1 mm turns the panel by 1/ℓ radians while the
    /// lower arm stands still; 0 at the lower arm's dead points.
    #[must_use]
    pub fn lever(&self, pose: &Pose) -> f64 {
        self.lengths.panel_bar * pose.transmission.sin()
    }

    /// Carries a bar's own frame ([`crate::solids::BarSolid`]) to the side view.
    #[must_use]
    pub fn room_from_bar(&self, pose: &Pose, bar: PartName) -> Isometry2<f64> {
        match bar {
            PartName::LowerArm => Isometry2::new(self.wall_lower.coords, pose.lower_arm),
            PartName::UpperArm => Isometry2::new(self.wall_upper.coords, pose.upper_arm),
            PartName::PanelBar => pose.room_from_panel,
            _ => Isometry2::identity(),
        }
    }

    /// Corners of the panel, side view, counter-clockwise from the bottom of its back.
    #[must_use]
    pub fn panel_corners(&self, pose: &Placement) -> [Point; 4] {
        self.panel.corners().map(|corner| pose.room_from_panel * corner)
    }

    /// Corners of the panel bar, side view, counter-clockwise.
    #[must_use]
    pub fn panel_bar_corners(&self, pose: &Placement) -> [Point; 4] {
        self.panel_bar.corners().map(|corner| pose.room_from_panel * corner)
    }

    /// Corners of the wall bar, side view, counter-clockwise.
    #[must_use]
    pub fn wall_bar_corners(&self) -> [Point; 4] {
        self.wall_bar.corners()
    }

    /// Wall pivot and panel pivot of an arm, side view.
    #[must_use]
    pub fn arm_axis(&self, arm: ArmName, pose: &Placement) -> [Point; 2] {
        match arm {
            ArmName::Lower => [self.wall_lower, pose.panel_lower],
            ArmName::Upper => [self.wall_upper, pose.panel_upper],
        }
    }

    /// Wall pivot and panel pivot of the lower arm, side view.
    #[must_use]
    pub fn lower_arm_axis(&self, pose: &Placement) -> [Point; 2] {
        self.arm_axis(ArmName::Lower, pose)
    }

    /// Wall pivot and panel pivot of the upper arm, side view.
    #[must_use]
    pub fn upper_arm_axis(&self, pose: &Placement) -> [Point; 2] {
        self.arm_axis(ArmName::Upper, pose)
    }

    /// Half the lower arm's width, mm.
    #[must_use]
    pub fn lower_arm_radius(&self) -> f64 {
        self.lower_radius
    }

    /// Half the upper arm's width, mm.
    #[must_use]
    pub fn upper_arm_radius(&self) -> f64 {
        self.upper_radius
    }
}

/// A bar with upright edges from `left`, from below the lower of two pivots to above the higher.
fn upright(bar: &crate::project::EndedBar, left: f64, one: Point, other: Point) -> Rectangle {
    Rectangle {
        least: Point2::new(left, one.y.min(other.y) - bar.lower_end),
        most: Point2::new(left + bar.width, one.y.max(other.y) + bar.upper_end),
    }
}
