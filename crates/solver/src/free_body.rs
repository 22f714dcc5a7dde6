//! Forces in a four-bar linkage by full free-body equations: every pin, every bar.
//!
//! Lower arm, upper arm and panel each keep their balance under what acts on them. What drives the
//! linkage is known but for its size, which comes out together with the pin forces.

use nalgebra::Vector2;

use crate::project::Point;

/// The four pins at one pose, mm, side view.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pins {
    /// Wall end of the lower arm.
    pub wall_lower: Point,
    /// Its panel end.
    pub panel_lower: Point,
    /// Panel end of the upper arm.
    pub panel_upper: Point,
    /// Its wall end.
    pub wall_upper: Point,
}

/// A force and a moment on one body; N and N·mm, counter-clockwise positive. The moment is taken
/// about the body's reference: an arm's wall pin, the panel's lower pin.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Wrench {
    /// Side view.
    pub force: Vector2<f64>,
    /// About the reference.
    pub moment: f64,
}

impl Wrench {
    /// A force that acts at a place.
    #[must_use]
    pub fn at(force: Vector2<f64>, place: Point, reference: Point) -> Self {
        Self { force, moment: (place - reference).perp(&force) }
    }

    /// A moment alone.
    #[must_use]
    pub fn moment(moment: f64) -> Self {
        Self { force: Vector2::zeros(), moment }
    }
}

impl std::ops::Add for Wrench {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self { force: self.force + other.force, moment: self.moment + other.moment }
    }
}

/// What acts on the three moving bodies apart from the pins.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Actions {
    /// About its wall pin.
    pub lower_arm: Wrench,
    /// About its wall pin.
    pub upper_arm: Wrench,
    /// About its lower pin.
    pub panel: Wrench,
}

impl std::ops::Add for Actions {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self {
            lower_arm: self.lower_arm + other.lower_arm,
            upper_arm: self.upper_arm + other.upper_arm,
            panel: self.panel + other.panel,
        }
    }
}

/// The balance of a linkage: forces in N.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Balance {
    /// What the drive's actions are to be multiplied by.
    pub drive: f64,
    /// Force of the wall bar on the lower arm.
    pub wall_lower: Vector2<f64>,
    /// Force of the panel on the lower arm.
    pub panel_lower: Vector2<f64>,
    /// Force of the panel on the upper arm.
    pub panel_upper: Vector2<f64>,
    /// Force of the wall bar on the upper arm.
    pub wall_upper: Vector2<f64>,
}

impl Balance {
    /// Radial loads of the hinges: wall lower, wall upper, panel lower, panel upper; N.
    #[must_use]
    pub fn hinge_loads(&self) -> [f64; 4] {
        [self.wall_lower, self.wall_upper, self.panel_lower, self.panel_upper].map(|force| force.norm())
    }
}

impl Pins {
    /// Solves the balance of given actions with `drive` times an unknown factor. `None` where no
    /// factor balances them: the drive does no work at this pose, or an arm has no length.
    #[must_use]
    pub fn balance(&self, given: &Actions, drive: &Actions) -> Option<Balance> {
        self.driven(drive)?.balance(given)
    }

    /// Prepares the balance for a drive: what stays the same whatever else acts. `None` likewise.
    #[must_use]
    pub fn driven(&self, drive: &Actions) -> Option<Driven> {
        let lower = Arm::new(self.wall_lower, self.panel_lower, &drive.lower_arm)?;
        let upper = Arm::new(self.wall_upper, self.panel_upper, &drive.upper_arm)?;
        // The panel, about its lower pin; it gets the opposite of what it does to the arms.
        let reach = self.panel_upper - self.panel_lower;
        let size = reach.norm();
        if size <= 0.0 {
            return None;
        }
        let by_drive = drive.panel.force - lower.across_by_drive - upper.across_by_drive;
        let by_drive_moment = (drive.panel.moment - reach.perp(&upper.across_by_drive)) / size;
        let scale = by_drive.norm().max(by_drive_moment.abs());
        if scale <= 0.0 || !scale.is_finite() {
            return None;
        }
        // Across the lower arm, and about the lower pin: neither knows of the force along that arm.
        let rows = [
            [-lower.along.perp(&upper.along), lower.along.perp(&by_drive) / scale],
            [-reach.perp(&upper.along) / size, by_drive_moment / scale],
        ];
        let first = usize::from(rows[1][0].abs() > rows[0][0].abs());
        let factor = rows[1 - first][0] / rows[first][0];
        let last = rows[1 - first][1] - factor * rows[first][1];
        if !factor.is_finite() || last == 0.0 {
            return None;
        }
        Some(Driven { drive: *drive, lower, upper, reach, size, by_drive, scale, rows, first, factor, last })
    }
}

/// The balance of a linkage at a pose, ready to be solved for whatever acts beside the drive.
#[derive(Clone, Debug)]
pub struct Driven {
    drive: Actions,
    lower: Arm,
    upper: Arm,
    reach: Vector2<f64>,
    size: f64,
    by_drive: Vector2<f64>,
    scale: f64,
    /// Two balances in the force along the upper arm and the drive's scaled factor.
    rows: [[f64; 2]; 2],
    /// The one with the larger share of the upper arm's force, which is eliminated by it.
    first: usize,
    factor: f64,
    last: f64,
}

impl Driven {
    /// Solves the balance of given actions. `None` where forces grow past every number.
    #[must_use]
    pub fn balance(&self, given: &Actions) -> Option<Balance> {
        let (lower, upper) = (&self.lower, &self.upper);
        let [lower_across, upper_across] = [lower.across(&given.lower_arm), upper.across(&given.upper_arm)];
        let known = given.panel.force - lower_across - upper_across;
        let known_moment = (given.panel.moment - self.reach.perp(&upper_across)) / self.size;
        let right = [-lower.along.perp(&known), -known_moment];
        let scaled = (right[1 - self.first] - self.factor * right[self.first]) / self.last;
        let [own, by_scaled] = self.rows[self.first];
        let along_upper = (right[self.first] - by_scaled * scaled) / own;
        let factor = scaled / self.scale;
        let along_lower = lower.along.dot(&(known - along_upper * upper.along + factor * self.by_drive));
        let panel_lower = along_lower * lower.along + lower_across + factor * lower.across_by_drive;
        let panel_upper = along_upper * upper.along + upper_across + factor * upper.across_by_drive;
        let drive = &self.drive;
        let balance = Balance {
            drive: factor,
            wall_lower: -panel_lower - given.lower_arm.force - factor * drive.lower_arm.force,
            panel_lower,
            panel_upper,
            wall_upper: -panel_upper - given.upper_arm.force - factor * drive.upper_arm.force,
        };
        // Where all pivots are in line forces grow past every number.
        (factor.is_finite() && balance.hinge_loads().iter().all(|load| load.is_finite())).then_some(balance)
    }
}

/// An arm's share: its panel pin takes an unknown force along it, and across it what keeps its
/// moments.
#[derive(Clone, Debug)]
struct Arm {
    along: Vector2<f64>,
    normal: Vector2<f64>,
    length: f64,
    across_by_drive: Vector2<f64>,
}

impl Arm {
    fn new(wall: Point, panel: Point, drive: &Wrench) -> Option<Self> {
        let length = (panel - wall).norm();
        if length <= 0.0 {
            return None;
        }
        let along = (panel - wall) / length;
        let normal = Vector2::new(-along.y, along.x);
        Some(Self { along, normal, length, across_by_drive: -drive.moment / length * normal })
    }

    /// Force across the arm at its panel pin that keeps the moments of what acts on it.
    fn across(&self, given: &Wrench) -> Vector2<f64> {
        -given.moment / self.length * self.normal
    }
}
