//! If the strap parts: what falls, how hard and how fast it arrives; and the gaps that spare hands.
//!
//! From energy alone, friction left out, so never too low. A second retention is always advised:
//! no figure here makes a fall over people acceptable.

/// What arrives when a load has come down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fall {
    /// J.
    pub energy: f64,
    /// m/s; of the load's centre where `moving_mass` is the load's own.
    pub speed: f64,
}

impl Fall {
    /// Of an energy (J) that has become motion of `moving_mass` (kg): E = ½·m·v².
    ///
    /// Where parts turn, the moving mass is twice the kinetic energy over the square of the speed
    /// that is asked for. `None` where the mass is not positive or the energy below zero.
    #[must_use]
    pub fn of_energy(energy: f64, moving_mass: f64) -> Option<Self> {
        let usable = energy >= 0.0 && energy.is_finite() && moving_mass > 0.0 && moving_mass.is_finite();
        usable.then(|| Self { energy, speed: (2.0 * energy / moving_mass).sqrt() })
    }

    /// Of a weight (N) that comes down by `drop` (mm) and all moves alike.
    #[must_use]
    pub fn of_drop(weight: f64, drop: f64) -> Option<Self> {
        Self::of_energy(1e-3 * weight * drop, weight / crate::masses::GRAVITY)
    }
}

/// What is said beside every fall.
pub const SECOND_RETENTION: &str =
    "Fit a second retention that holds the panel by itself: a fall like this hurts people.";

/// A part of the body that can be caught.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BodyPart {
    /// Whole body.
    Body,
    /// Head.
    Head,
    /// Leg.
    Leg,
    /// Foot.
    Foot,
    /// Toes.
    Toes,
    /// Arm.
    Arm,
    /// Hand, wrist or fist.
    Hand,
    /// Finger.
    Finger,
}

impl BodyPart {
    /// All, from the largest gap to the smallest.
    pub const ALL: [Self; 8] =
        [Self::Body, Self::Head, Self::Leg, Self::Foot, Self::Arm, Self::Hand, Self::Toes, Self::Finger];

    /// The gap that does not crush it, mm. Source: ISO 13854 (EN 349), table 1, as printed in a
    /// public safety handbook.
    #[must_use]
    pub fn least_gap(self) -> f64 {
        match self {
            Self::Body => 500.0,
            Self::Head => 300.0,
            Self::Leg => 180.0,
            Self::Foot | Self::Arm => 120.0,
            Self::Hand => 100.0,
            Self::Toes => 50.0,
            Self::Finger => 25.0,
        }
    }

    /// Its name in a sentence.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Body => "body",
            Self::Head => "head",
            Self::Leg => "leg",
            Self::Foot => "foot",
            Self::Toes => "toes",
            Self::Arm => "arm",
            Self::Hand => "hand",
            Self::Finger => "finger",
        }
    }
}

/// What a hand or a fingertip goes into, mm: a hand into a slot of more than 20, a fingertip into
/// more than 4 (ISO 13857, table 4, from memory); other parts nowhere smaller than what spares them.
#[must_use]
pub fn goes_in(part: BodyPart) -> f64 {
    match part {
        BodyPart::Hand => 20.0,
        BodyPart::Finger => 4.0,
        other => other.least_gap(),
    }
}

/// Whom a gap that closes from `widest` to `narrowest` (mm) can catch: of hands and fingers, the
/// larger that goes in and does not fit when it has closed.
#[must_use]
pub fn catches(narrowest: f64, widest: f64) -> Option<BodyPart> {
    [BodyPart::Hand, BodyPart::Finger]
        .into_iter()
        .find(|part| narrowest < part.least_gap() && widest > goes_in(*part) && widest > narrowest)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Closed form: 16 kg from 0.65 m.
    #[test]
    fn free_fall() {
        let fall = Fall::of_drop(16.0 * 9.806_65, 650.0).unwrap();
        assert!((fall.energy - 101.989).abs() < 1e-3);
        assert!((fall.speed - (2.0_f64 * 9.806_65 * 0.65).sqrt()).abs() < 1e-12);
        assert_eq!(Fall::of_drop(100.0, 0.0), Some(Fall { energy: 0.0, speed: 0.0 }));
        assert_eq!(Fall::of_drop(0.0, 100.0), None);
        assert_eq!(Fall::of_drop(100.0, -5.0), None);
        assert_eq!(Fall::of_energy(f64::NAN, 1.0), None);
    }

    /// ISO 13854, table 1.
    #[test]
    fn gaps() {
        let gaps: Vec<f64> = BodyPart::ALL.iter().map(|part| part.least_gap()).collect();
        assert_eq!(gaps, [500.0, 300.0, 180.0, 120.0, 120.0, 100.0, 50.0, 25.0]);
        assert_eq!(catches(0.0, 300.0), Some(BodyPart::Hand));
        assert_eq!(catches(0.0, 20.0), Some(BodyPart::Finger));
        assert_eq!(catches(30.0, 300.0), Some(BodyPart::Hand));
        assert_eq!(catches(100.0, 300.0), None);
        assert_eq!(catches(0.0, 4.0), None);
        assert_eq!(catches(12.0, 12.0), None, "a gap that does not move");
    }
}
