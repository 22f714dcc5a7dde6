//! Strap tension and hinge loads at a pose, quasi-static: by virtual work and by free bodies.
//!
//! All figures are of the whole lift, both sets and one strap, but hinge loads, which are those of
//! the more loaded set. Rates are per radian of phase walked towards parked. With friction each
//! hinge resists by ½ · µ · d · F times the sign of its turn, F its own load: tension and loads are
//! solved together.

use nalgebra::Vector2;

use crate::free_body::{Actions, Balance, Pins, Wrench};
use crate::lift::{ArmName, Lift};
use crate::masses::{GRAVITY, Masses};
use crate::parts::known_bore;
use crate::pose::{Pose, Rates};
use crate::project::{PartName, Point, Project};
use crate::strap::StrapAt;
use crate::travel::Travel;

/// Rounds of tension and friction: each shrinks what is left by friction radius ÷ lever, some
/// thousandth; friction that still changes after these holds the lift fast.
const MOST_ROUNDS: usize = 60;
/// Loads settle to this share.
const SETTLED: f64 = 1e-13;
/// û · v below this share of the anchor's speed does not count: the strap pulls across.
const PULLS_ACROSS: f64 = 1e-9;

/// Weights and friction of a lift.
#[derive(Clone, Debug, PartialEq)]
pub struct Loads {
    /// Masses of panel and bars.
    pub masses: Masses,
    /// ½ · µ · d, mm: times a hinge's load it is its friction moment. 0 where no bearing is given.
    pub friction_radius: f64,
}

/// Strap and hinges at one pose; N.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ForcesAt {
    /// Rate of rise of all that has weight, N·mm per radian.
    pub rise: f64,
    /// Rate at which the strap is taken in, û · v, mm per radian.
    pub strap_rate: f64,
    /// Speed of the anchor, mm per radian.
    pub anchor_speed: f64,
    /// Strap tension without friction, N; negative where the strap would have to push. `None` where
    /// it pulls across the anchor's motion.
    pub tension_frictionless: Option<f64>,
    /// With friction while it rises, N. `None` likewise, and where friction holds the lift fast.
    pub tension: Option<f64>,
    /// Radial load of each hinge of the more loaded set, N: wall lower, wall upper, panel lower,
    /// panel upper; while it rises.
    pub hinges: Option<[f64; 4]>,
    /// Force of the more loaded set's arms on its wall bar, N, side view: lower, upper.
    pub on_wall: Option<[Vector2<f64>; 2]>,
    /// Force of its arms on the panel bar, N, side view: lower, upper.
    pub on_panel: Option<[Vector2<f64>; 2]>,
    /// Force along each arm of the whole lift, N, tension positive, in its middle: lower, upper.
    pub arms: Option<[f64; 2]>,
}

/// How the weight compares to friction on the way down at one pose.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ComingDown {
    /// What the weight gives, N·mm per radian of phase towards hung.
    pub weight: f64,
    /// What friction takes, likewise.
    pub friction: f64,
}

impl Loads {
    /// Loads of a project with these masses.
    #[must_use]
    pub fn new(project: &Project, masses: Masses) -> Self {
        let friction = project.joints.as_ref().map_or(0.0, crate::project::Joints::friction);
        let friction_radius = known_bore(project).map_or(0.0, |bore| 0.5 * friction * bore);
        Self { masses, friction_radius }
    }

    /// Rate of rise of all that has weight, N·mm per radian of phase in the direction of the rates.
    #[must_use]
    pub fn rise(&self, lift: &Lift, pose: &Pose, rates: &Rates) -> f64 {
        let panel = self.panel_weight(pose);
        let panel_rise = -panel.force.dot(&rates.panel_lower) - panel.moment * rates.panel;
        let arms = ArmName::BOTH.map(|arm| {
            let rate = if arm == ArmName::Lower { rates.lower_arm } else { rates.upper_arm };
            -self.arm_weight(lift, pose, arm).moment * rate
        });
        panel_rise + arms[0] + arms[1]
    }

    /// Weight times height of all that moves, N·mm above the floor.
    #[must_use]
    pub fn potential(&self, lift: &Lift, pose: &Pose) -> f64 {
        let bars = self.masses.bars[1..].iter().map(|bar| {
            let centre = lift.room_from_bar(pose, bar.bar) * bar.centre;
            2.0 * bar.mass * centre.y
        });
        GRAVITY * (self.masses.panel * (pose.room_from_panel * self.masses.panel_centre).y + bars.sum::<f64>())
    }

    /// Weight of the panel with both panel bars, about the lower panel pivot.
    fn panel_weight(&self, pose: &Pose) -> Wrench {
        let bar = &self.masses.bars[1];
        let weight = |mass: f64, centre: Point| {
            let place = pose.room_from_panel * centre;
            Wrench::at(Vector2::new(0.0, -mass * GRAVITY), place, pose.panel_lower)
        };
        weight(self.masses.panel, self.masses.panel_centre) + weight(2.0 * bar.mass, bar.centre)
    }

    /// Weight of both arms of a name, about their wall pivot.
    fn arm_weight(&self, lift: &Lift, pose: &Pose, arm: ArmName) -> Wrench {
        let bar = &self.masses.bars[if arm == ArmName::Lower { 2 } else { 3 }];
        let axis = lift.arm_axis(arm, pose);
        let along = (axis[1] - axis[0]) / lift.arm_length(arm).max(f64::MIN_POSITIVE);
        let centre = axis[0] + bar.centre.x * along + bar.centre.y * Vector2::new(-along.y, along.x);
        Wrench::at(Vector2::new(0.0, -2.0 * bar.mass * GRAVITY), centre, axis[0])
    }

    fn weights(&self, lift: &Lift, pose: &Pose) -> Actions {
        Actions {
            lower_arm: self.arm_weight(lift, pose, ArmName::Lower),
            upper_arm: self.arm_weight(lift, pose, ArmName::Upper),
            panel: self.panel_weight(pose),
        }
    }

    /// Strap and hinges at a pose of the travel.
    #[must_use]
    pub fn at(&self, lift: &Lift, travel: &Travel, strap: &StrapAt, anchor: Point, pose: &Pose) -> ForcesAt {
        let rates = lift.rates(pose.phase).walked(travel.direction);
        let rise = self.rise(lift, pose, &rates);
        let speed = pose.panel_point_rate(anchor, &rates);
        let strap_rate = strap.along.dot(&speed);
        let mut found = ForcesAt {
            rise,
            strap_rate,
            anchor_speed: speed.norm(),
            tension_frictionless: None,
            tension: None,
            hinges: None,
            on_wall: None,
            on_panel: None,
            arms: None,
        };
        if strap_rate.abs() < PULLS_ACROSS * speed.norm() || strap_rate == 0.0 {
            return found;
        }
        found.tension_frictionless = Some(rise / strap_rate);
        let pull = Actions { panel: Wrench::at(strap.along, strap.anchor, pose.panel_lower), ..Actions::default() };
        if let Some(balance) = self.with_friction(lift, pose, &rates, &pull) {
            found.tension = Some(balance.drive);
            found.hinges = Some(balance.hinge_loads().map(|load| load * self.masses.share));
            found.on_wall = Some([balance.wall_lower, balance.wall_upper].map(|force| -self.masses.share * force));
            found.on_panel = Some([balance.panel_lower, balance.panel_upper].map(|force| -self.masses.share * force));
            let axial = |arm: ArmName, wall: Vector2<f64>, panel: Vector2<f64>| {
                let [from, to] = lift.arm_axis(arm, pose);
                0.5 * (panel - wall).dot(&(to - from)) / lift.arm_length(arm).max(f64::MIN_POSITIVE)
            };
            found.arms = Some([
                axial(ArmName::Lower, balance.wall_lower, balance.panel_lower),
                axial(ArmName::Upper, balance.wall_upper, balance.panel_upper),
            ]);
        }
        found
    }

    /// The balance while the lift moves at these rates, driven by a multiple of `drive`. `None`
    /// where the drive does no work, or friction holds the lift fast.
    #[must_use]
    pub fn with_friction(&self, lift: &Lift, pose: &Pose, rates: &Rates, drive: &Actions) -> Option<Balance> {
        self.balance(lift, pose, rates, &Actions::default(), drive)
    }

    /// Likewise with more than the weights acting.
    pub(crate) fn balance(
        &self,
        lift: &Lift,
        pose: &Pose,
        rates: &Rates,
        also: &Actions,
        drive: &Actions,
    ) -> Option<Balance> {
        let pins = Pins {
            wall_lower: lift.wall_lower,
            panel_lower: pose.panel_lower,
            panel_upper: pose.panel_upper,
            wall_upper: lift.wall_upper,
        };
        let weights = self.weights(lift, pose) + *also;
        let driven = pins.driven(drive)?;
        let mut balance = driven.balance(&weights)?;
        if self.friction_radius <= 0.0 {
            return Some(balance);
        }
        let turns = hinge_turns(rates).map(f64::signum);
        let mut loads = balance.hinge_loads();
        for _ in 0..MOST_ROUNDS {
            let [wall_lower, wall_upper, panel_lower, panel_upper] =
                std::array::from_fn(|hinge| self.friction_radius * loads[hinge] * turns[hinge]);
            let actions = Actions {
                lower_arm: weights.lower_arm + Wrench::moment(-wall_lower - panel_lower),
                upper_arm: weights.upper_arm + Wrench::moment(-wall_upper - panel_upper),
                panel: weights.panel + Wrench::moment(panel_lower + panel_upper),
            };
            balance = driven.balance(&actions)?;
            let next = balance.hinge_loads();
            let change = next.iter().zip(&loads).map(|(new, old)| (new - old).abs()).fold(0.0, f64::max);
            let greatest = next.iter().copied().fold(0.0, f64::max);
            loads = next;
            if change <= SETTLED * greatest {
                return Some(balance);
            }
        }
        None
    }

    /// Weight against friction on the way down at a pose, the strap slack: hinges loaded as while
    /// the panel is let down by a force at its middle, against its motion. At the pose where friction
    /// just holds, that force is nought and this is exact.
    #[must_use]
    pub fn coming_down(&self, lift: &Lift, travel: &Travel, pose: &Pose) -> Option<ComingDown> {
        let rates = lift.rates(pose.phase).walked(-travel.direction);
        let weight = -self.rise(lift, pose, &rates);
        let middle = pose.room_from_panel * self.masses.panel_centre;
        let speed = pose.panel_point_rate(self.masses.panel_centre, &rates);
        if speed.norm() <= 0.0 {
            return None;
        }
        let held = Wrench::at(-speed.normalize(), middle, pose.panel_lower);
        let balance = self.with_friction(lift, pose, &rates, &Actions { panel: held, ..Actions::default() })?;
        let turns = hinge_turns(&rates);
        let friction = balance.hinge_loads().iter().zip(turns).map(|(load, turn)| load * turn.abs()).sum::<f64>();
        Some(ComingDown { weight, friction: self.friction_radius * friction })
    }
}

/// Turn of the bars of each hinge against each other, arm against its bar: wall lower, wall upper,
/// panel lower, panel upper; radians per radian of phase.
pub(crate) fn hinge_turns(rates: &Rates) -> [f64; 4] {
    [rates.lower_arm, rates.upper_arm, rates.lower_arm - rates.panel, rates.upper_arm - rates.panel]
}

/// Which bar and arm each hinge of [`Balance::hinge_loads`] joins.
pub const HINGES: [[PartName; 2]; 4] = [
    [PartName::WallBar, PartName::LowerArm],
    [PartName::WallBar, PartName::UpperArm],
    [PartName::PanelBar, PartName::LowerArm],
    [PartName::PanelBar, PartName::UpperArm],
];
