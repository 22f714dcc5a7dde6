//! Whether a bar in compression buckles: Euler for slender bars, Johnson's parabola for stocky ones.
//!
//! Source: Shigley, Mechanical Engineering Design, 9th edition, section 4-12 and 4-13 (equations
//! 4-42 to 4-48). Straight bars, loaded along their middle; bending on top belongs to
//! [`crate::section`]. Millimetres, newtons, MPa.

use std::f64::consts::PI;

/// Both ends hinged: the end-condition constant C of an arm between its two pivots.
pub const HINGED: f64 = 1.0;

/// What decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Regime {
    /// Slender: stiffness decides.
    Euler,
    /// Stocky: strength decides.
    Johnson,
}

/// A strut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strut {
    /// Between its ends, mm.
    pub length: f64,
    /// mm².
    pub area: f64,
    /// The smaller second moment of area, mm⁴ (each plane with its own end condition).
    pub second_moment: f64,
    /// Modulus of elasticity, MPa.
    pub modulus: f64,
    /// Yield strength, MPa.
    pub yield_strength: f64,
    /// End-condition constant, [`HINGED`] = 1; 0.25 with one end free.
    pub end_condition: f64,
}

/// The load at which a strut buckles.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Buckling {
    /// N.
    pub critical: f64,
    /// Length over radius of gyration.
    pub slenderness: f64,
    /// The slenderness at which Euler takes over, (l/k)₁ = √(2π²CE/Sy).
    pub transition: f64,
    /// Which formula holds.
    pub regime: Regime,
}

impl Strut {
    /// The load at which it buckles; `None` unless every figure is a positive number.
    #[must_use]
    pub fn buckling(&self) -> Option<Buckling> {
        let Self { length, area, second_moment, modulus, yield_strength, end_condition } = *self;
        let all = [length, area, second_moment, modulus, yield_strength, end_condition];
        if !all.iter().all(|value| *value > 0.0 && value.is_finite()) {
            return None;
        }
        let slenderness = length / (second_moment / area).sqrt();
        let stiffness = end_condition * modulus;
        let transition = (2.0 * PI * PI * stiffness / yield_strength).sqrt();
        let (critical, regime) = if slenderness > transition {
            (PI * PI * stiffness * area / (slenderness * slenderness), Regime::Euler)
        } else {
            let lost = (yield_strength * slenderness / (2.0 * PI)).powi(2) / stiffness;
            (area * (yield_strength - lost), Regime::Johnson)
        };
        Some(Buckling { critical, slenderness, transition, regime })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::section::Section;

    fn near(ours: f64, expected: f64, relative: f64) {
        assert!((ours / expected - 1.0).abs() <= relative, "{ours} against {expected}");
    }

    fn square(side: f64, length: f64) -> Buckling {
        let section = Section::rectangle(side, side).unwrap();
        let strut = Strut {
            length,
            area: section.area,
            second_moment: section.across.min(section.deep),
            modulus: 68_900.0,
            yield_strength: 276.0,
            end_condition: HINGED,
        };
        strut.buckling().unwrap()
    }

    /// Shigley, Mechanical Engineering Design, 9th edition, examples 4-16 and 4-17: 88 kN on 1.5 m
    /// of round steel, E = 207 GPa, Sy = 500 MPa, ask for 37.48 mm, made 40.
    #[test]
    fn round_strut_of_shigley() {
        let round = |d: f64| Strut {
            length: 1500.0,
            area: 0.25 * PI * d * d,
            second_moment: PI * d.powi(4) / 64.0,
            modulus: 207_000.0,
            yield_strength: 500.0,
            end_condition: 1.0,
        };
        let d = (64.0 * 88_000.0 * 1500.0_f64.powi(2) / (PI.powi(3) * 207_000.0)).powf(0.25);
        near(d, 37.48, 2e-4);
        near(round(d).buckling().unwrap().critical, 88_000.0, 1e-12);
        let made = round(40.0).buckling().unwrap();
        near(made.slenderness, 150.0, 1e-12);
        near(made.transition, 90.4, 5e-4);
        assert_eq!(made.regime, Regime::Euler);
    }

    /// Shigley, 9th edition, example 4-19 (from memory, recomputed), in inches and pounds: a strut of
    /// 15 in, E = 30e6 psi, Sy = 75 ksi, 20 000 lbf with its design factor: the width b for each
    /// thickness h.
    #[test]
    fn rectangular_strut_of_shigley() {
        let euler_and_johnson = [
            (0.375, 3.46, Regime::Euler),
            (0.5, 1.46, Regime::Euler),
            (0.5625, 1.0247, Regime::Euler),
            (0.625, 0.7588, Regime::Johnson),
        ];
        for (h, b, regime) in euler_and_johnson {
            let strut = Strut {
                length: 15.0,
                area: b * h,
                second_moment: b * f64::powi(h, 3) / 12.0,
                modulus: 30e6,
                yield_strength: 75e3,
                end_condition: 1.0,
            };
            let found = strut.buckling().unwrap();
            assert_eq!(found.regime, regime, "{h}");
            near(found.transition, 88.9, 1e-3);
            near(found.critical, 20_000.0, 3e-3);
        }
    }

    /// Constructed: 20 × 20 mm of E = 68.9 GPa, Sy = 276 MPa.
    #[test]
    fn square_bars() {
        let long = square(20.0, 600.0);
        near(long.critical, 25_186.0, 1e-4);
        near(long.slenderness, 103.9, 1e-3);
        near(long.transition, 70.2, 1e-3);
        let short = square(20.0, 200.0);
        assert_eq!(short.regime, Regime::Johnson);
        near(short.critical, 96_960.0, 1e-4);
    }

    #[test]
    fn the_two_formulas_meet_and_no_strut_passes_its_yield() {
        let section = Section::rectangle(20.0, 20.0).unwrap();
        let radius = (section.across / section.area).sqrt();
        let at = square(20.0, 1.0).transition * radius;
        near(square(20.0, at * (1.0 - 1e-9)).critical, square(20.0, at * (1.0 + 1e-9)).critical, 1e-7);
        assert!(square(20.0, 1.0).critical <= 276.0 * 400.0);
    }

    #[test]
    fn figures_that_are_not_positive_are_refused() {
        let strut =
            Strut { length: 0.0, area: 1.0, second_moment: 1.0, modulus: 1.0, yield_strength: 1.0, end_condition: 1.0 };
        assert_eq!(strut.buckling(), None);
        assert_eq!(Strut { length: f64::NAN, ..strut }.buckling(), None);
    }
}
