//! From the strap's pull to the motor: torque, power, time, and whether the gear runs back.
//!
//! Forces N, radii mm, torques N·m. The drum itself is [`crate::drum`].

use std::f64::consts::TAU;

use crate::project::Motor;

/// A gear between motor and drum, and what the motor gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gear {
    /// Motor turns per drum turn.
    pub ratio: f64,
    /// Share of the power that arrives, above 0 and at most 1.
    pub efficiency: f64,
}

/// Why a gear cannot be computed with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum GearRefused {
    /// The project gives no ratio.
    NoRatio,
    /// The project gives no efficiency.
    NoEfficiency,
    /// Not a positive number.
    Ratio(f64),
    /// Not above 0 and at most 1.
    Efficiency(f64),
}

impl GearRefused {
    /// What is wrong and what would help.
    #[must_use]
    pub fn sentence(&self) -> String {
        match self {
            Self::NoRatio => "The motor's ratio is not given: motor turns for one turn of the drum.".into(),
            Self::NoEfficiency => {
                "The gear's efficiency is not given: above 0, at most 1; a worm has 0.3 to 0.5, spur gears 0.9.".into()
            }
            Self::Ratio(given) => format!("A gear ratio of {given} cannot be: motor turns per drum turn, above 0."),
            Self::Efficiency(given) => format!("An efficiency of {given} cannot be: above 0, at most 1."),
        }
    }
}

impl Gear {
    /// A gear of its ratio and efficiency.
    ///
    /// # Errors
    /// The ratio is not positive, or the efficiency not above 0 and at most 1.
    pub fn new(ratio: f64, efficiency: f64) -> Result<Self, GearRefused> {
        if !(ratio > 0.0 && ratio.is_finite()) {
            return Err(GearRefused::Ratio(ratio));
        }
        if !(efficiency > 0.0 && efficiency <= 1.0) {
            return Err(GearRefused::Efficiency(efficiency));
        }
        Ok(Self { ratio, efficiency })
    }

    /// The gear of a project's motor.
    ///
    /// # Errors
    /// Ratio or efficiency are missing or cannot be; neither is guessed.
    pub fn of(motor: &Motor) -> Result<Self, GearRefused> {
        let ratio = motor.ratio.ok_or(GearRefused::NoRatio)?;
        Self::new(ratio, motor.efficiency.ok_or(GearRefused::NoEfficiency)?)
    }

    /// What the motor must give for a torque at the drum, N·m.
    #[must_use]
    pub fn motor_torque(&self, drum_torque: f64) -> f64 {
        drum_torque / (self.ratio * self.efficiency)
    }

    /// What arrives at the drum of a motor's torque, N·m.
    #[must_use]
    pub fn drum_torque(&self, motor_torque: f64) -> f64 {
        motor_torque * self.ratio * self.efficiency
    }

    /// The strap's pull, N, when the motor gives `motor_torque` (its stall torque: the most that
    /// strap, stop and hinges can see). `None` without a positive radius.
    ///
    /// `efficiency` as given; a gear better than told pulls more, up to 1/efficiency of it.
    #[must_use]
    pub fn strap_pull(&self, motor_torque: f64, pull_radius: f64) -> Option<f64> {
        (pull_radius > 0.0).then(|| 1e3 * self.drum_torque(motor_torque) / pull_radius)
    }

    /// Power at the motor's shaft for a power at the strap, W.
    #[must_use]
    pub fn motor_power(&self, strap_power: f64) -> f64 {
        strap_power / self.efficiency
    }

    /// Drum speed, turns per minute, at the motor's.
    #[must_use]
    pub fn drum_rpm(&self, motor_rpm: f64) -> f64 {
        motor_rpm / self.ratio
    }

    /// How long `drum_turns` take, s, at a steady motor speed; `None` unless that is positive.
    #[must_use]
    pub fn time(&self, drum_turns: f64, motor_rpm: f64) -> Option<f64> {
        (motor_rpm > 0.0 && motor_rpm.is_finite()).then(|| 60.0 * drum_turns / self.drum_rpm(motor_rpm))
    }
}

/// Torque at the drum, N·m, of a pull (N) at a radius (mm), without loss.
#[must_use]
pub fn drum_torque(pull: f64, pull_radius: f64) -> f64 {
    1e-3 * pull * pull_radius
}

/// Power at the strap, W, of a pull (N) at a speed (mm/s).
#[must_use]
pub fn strap_power(pull: f64, speed: f64) -> f64 {
    1e-3 * pull * speed
}

/// Strap speed, mm/s, at a drum speed (turns per minute) and radius (mm).
#[must_use]
pub fn strap_speed(drum_rpm: f64, pull_radius: f64) -> f64 {
    TAU * pull_radius * drum_rpm / 60.0
}

/// How much higher one side of the panel hangs, mm, where two drums carry a strap each and one has
/// `wraps` more turns on it: every turn of that drum takes in 2π·wraps·thickness more (the radius
/// grows by the thickness with each wrap). One shaft with one drum in the middle has none of it.
#[must_use]
pub fn uneven_wraps(wraps: f64, thickness: f64, drum_turns: f64) -> f64 {
    TAU * wraps * thickness * drum_turns
}

/// A worm that drives a wheel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worm {
    /// Lead angle, radians.
    pub lead: f64,
    /// Coefficient of friction between worm and wheel.
    pub friction: f64,
}

/// Whether a load can turn the gear backwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BackDriving {
    /// It holds standing still, where nothing shakes it.
    Holds,
    /// Near the limit: wear, oil or vibration decide.
    Uncertain,
    /// The load turns it.
    RunsBack,
}

impl BackDriving {
    /// What it means, with the caution that goes with it.
    #[must_use]
    pub fn sentence(self) -> &'static str {
        match self {
            Self::Holds => {
                "The worm should hold the panel when the motor stops; vibration and oil can still loosen it, so a \
                 brake or a latch belongs to it."
            }
            Self::Uncertain => "Whether the worm holds the panel is uncertain: fit a brake or a latch.",
            Self::RunsBack => "The panel turns the gear backwards when the motor stops: fit a brake.",
        }
    }
}

impl Worm {
    /// A worm's lead angle, radians, from its lead and pitch diameter (same unit): tan λ = L / (π·D).
    #[must_use]
    pub fn lead_angle(lead: f64, pitch_diameter: f64) -> f64 {
        (lead / (std::f64::consts::PI * pitch_diameter)).atan()
    }

    /// Share of the power that arrives when the worm drives: tan λ / tan(λ + φ), tan φ = µ.
    #[must_use]
    pub fn efficiency(&self) -> f64 {
        let friction = self.friction.atan();
        self.lead.tan() / (self.lead + friction).tan()
    }

    /// The same when the wheel drives: tan(λ − φ) / tan λ; below zero it does not turn.
    #[must_use]
    pub fn efficiency_backwards(&self) -> f64 {
        let friction = self.friction.atan();
        (self.lead - friction).tan() / self.lead.tan()
    }

    /// Whether the load turns it, from its efficiency: below 0.45 it holds, above 0.55 it runs back.
    /// Source: gear makers' rule (seva-tec); at λ = φ the efficiency is just under a half.
    #[must_use]
    pub fn back_driving(&self) -> BackDriving {
        match self.efficiency() {
            good if good < 0.45 => BackDriving::Holds,
            good if good <= 0.55 => BackDriving::Uncertain,
            _ => BackDriving::RunsBack,
        }
    }
}

/// Whether the load turns a worm of which only the lead angle is known, radians: up to 5° usually
/// holds (Mott, Machine Elements in Mechanical Design), above 11° runs back (common practice).
#[must_use]
pub fn back_driving_by_lead(lead: f64) -> BackDriving {
    match lead.to_degrees() {
        angle if angle <= 5.0 => BackDriving::Holds,
        angle if angle <= 11.0 => BackDriving::Uncertain,
        _ => BackDriving::RunsBack,
    }
}

/// Length of a roll, from its outer and core diameter and thickness (same unit): π(D² − d²) / (4t).
#[must_use]
pub fn roll_length(outer: f64, core: f64, thickness: f64) -> f64 {
    std::f64::consts::PI * (outer * outer - core * core) / (4.0 * thickness)
}

/// Turns in a roll: (D − d) / (2t).
#[must_use]
pub fn roll_turns(outer: f64, core: f64, thickness: f64) -> f64 {
    (outer - core) / (2.0 * thickness)
}

/// Outer diameter of a roll with `length` wound on its core.
#[must_use]
pub fn roll_outer(length: f64, core: f64, thickness: f64) -> f64 {
    (core * core + 4.0 * thickness * length / std::f64::consts::PI).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn near(ours: f64, expected: f64, within: f64) {
        assert!((ours - expected).abs() <= within, "{ours} against {expected}");
    }

    /// calculator.academy's roll, 5 in on 2 in of 0.011 in; the exact arc of the spiral beside it.
    #[test]
    fn roll_of_a_web_calculator() {
        near(roll_length(5.0, 2.0, 0.011), 1499.40, 0.005);
        let b = 0.011 / TAU;
        let arc = |r: f64| (0.5 * r * r.hypot(b) + 0.5 * b * b * (r / b).asinh()) / b;
        near(arc(2.5) - arc(1.0), 1499.3973, 5e-5);
        near(roll_length(5.0, 2.0, 0.011) / (arc(2.5) - arc(1.0)), 1.0, 1e-6);
        near(roll_length(200.0, 76.0, 0.1), 268_795.0, 1.0);
    }

    /// Constructed: 1200 mm of 1.5 mm strap on a 40 mm core.
    #[test]
    fn roll_of_strap() {
        let outer = roll_outer(1200.0, 40.0, 1.5);
        near(outer, 62.3845, 5e-5);
        near(roll_turns(outer, 40.0, 1.5), 7.4615, 5e-5);
        near(roll_length(outer, 40.0, 1.5), 1200.0, 1e-9);
    }

    /// Constructed: 600 N at 20 mm/s on 41.5 mm, half of it lost.
    #[test]
    fn torque_power_and_speed() {
        let gear = Gear::new(1.0, 0.5).unwrap();
        near(drum_torque(600.0, 20.75), 12.45, 1e-12);
        near(gear.motor_torque(12.45), 24.9, 1e-12);
        near(strap_power(600.0, 20.0), 12.0, 1e-12);
        near(gear.motor_power(12.0), 24.0, 1e-12);
        let rpm = 20.0 * 60.0 / (PI * 41.5);
        near(rpm, 9.204, 5e-4);
        near(strap_speed(rpm, 20.75), 20.0, 1e-12);
    }

    #[test]
    fn power_is_kept_through_the_gear_but_for_its_loss() {
        let gear = Gear::new(60.0, 0.4).unwrap();
        let (motor_torque, motor_rpm, radius) = (0.5, 1500.0, 25.0);
        let pull = gear.strap_pull(motor_torque, radius).unwrap();
        near(pull, 480.0, 1e-9);
        let out = strap_power(pull, strap_speed(gear.drum_rpm(motor_rpm), radius));
        let given = motor_torque * motor_rpm * TAU / 60.0;
        near(out, 0.4 * given, 1e-9);
        near(gear.motor_torque(drum_torque(pull, radius)), motor_torque, 1e-12);
        near(gear.time(10.0, motor_rpm).unwrap(), 24.0, 1e-12);
        assert_eq!(gear.time(10.0, 0.0), None);
        assert_eq!(gear.strap_pull(0.5, 0.0), None);
    }

    /// Mott, Machine Elements in Mechanical Design, 4th edition, p. 343: six teeth an inch, three
    /// threads, pitch diameter 2 in, 52 teeth, 1750 turns per minute.
    #[test]
    fn worm_of_mott() {
        let lead = 3.0 * PI / 6.0;
        near(1e4 * lead, 15_708.0, 0.5);
        near(Worm::lead_angle(lead, 2.0).to_degrees(), 14.04, 0.005);
        let gear = Gear::new(52.0 / 3.0, 1.0).unwrap();
        near(gear.ratio, 17.33, 0.005);
        near(gear.drum_rpm(1750.0), 101.0, 0.05);
    }

    /// Worm efficiencies by the formulas of a web calculator (novasolver), recomputed; at λ = φ the
    /// efficiency is (1 − µ²)/2.
    #[test]
    fn worms_that_run_back_and_hold() {
        let steep = Worm { lead: 14.04_f64.to_radians(), friction: 0.05 };
        near(steep.efficiency(), 0.8230, 5e-5);
        near(steep.efficiency_backwards(), 0.7902, 5e-5);
        assert_eq!(steep.back_driving(), BackDriving::RunsBack);
        let flat = Worm { lead: 4.5_f64.to_radians(), friction: 0.1 };
        near(flat.efficiency(), 0.4369, 5e-5);
        near(flat.efficiency_backwards(), -0.2685, 5e-5);
        assert_eq!(flat.back_driving(), BackDriving::Holds);
        let limit = Worm { lead: 0.1_f64.atan(), friction: 0.1 };
        near(limit.efficiency(), 0.495, 1e-9);
        near(limit.efficiency_backwards(), 0.0, 1e-12);
        assert_eq!(limit.back_driving(), BackDriving::Uncertain);
        let by_lead = |degrees: f64| back_driving_by_lead(degrees.to_radians());
        assert_eq!(
            [by_lead(4.9), by_lead(8.0), by_lead(14.0)],
            [BackDriving::Holds, BackDriving::Uncertain, BackDriving::RunsBack]
        );
    }

    #[test]
    fn uneven_wraps_grow_with_every_turn() {
        // One wrap more of 1.5 mm: 9.42 mm in each turn.
        near(uneven_wraps(1.0, 1.5, 1.0), 9.4248, 5e-5);
        // The same from two rolls, to first order in the thickness: turn for turn, outer less inner.
        let taken = |first_radius: f64, turns: u32| -> f64 {
            (0..turns).map(|turn| TAU * (first_radius + 1.5 * f64::from(turn))).sum()
        };
        near(taken(23.0, 6) - taken(21.5, 6), uneven_wraps(1.0, 1.5, 6.0), 1e-9);
    }

    #[test]
    fn gears_that_cannot_be_are_refused() {
        assert_eq!(Gear::new(10.0, 0.0), Err(GearRefused::Efficiency(0.0)));
        assert_eq!(Gear::new(10.0, 1.2), Err(GearRefused::Efficiency(1.2)));
        assert_eq!(Gear::new(0.0, 0.5), Err(GearRefused::Ratio(0.0)));
        assert!(Gear::new(f64::NAN, 0.5).is_err() && Gear::new(10.0, f64::NAN).is_err());
        assert!(Gear::new(10.0, 0.0).unwrap_err().sentence().contains("at most 1"));
    }
}
