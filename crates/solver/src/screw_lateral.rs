//! What one screw may carry sideways: the yield-limit equations.
//!
//! NDS 2018, table 12.3.1A (single shear), reduction terms of table 12.3.1B, dowel bearing strengths
//! of table 12.3.3. mm, N, MPa; the empirical strengths and terms are converted from inches and psi.

use crate::materials::COMMON_BAR;
use crate::screws::{Kind, MPA_PER_PSI, Screw};
use crate::units::MM_PER_INCH;

/// How a joint gives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mode {
    /// The main member crushes.
    Im,
    /// The side member crushes.
    Is,
    /// The screw turns stiffly in both.
    II,
    /// One hinge, in the main member's plane.
    IIIm,
    /// One hinge, in the side member's plane.
    IIIs,
    /// A hinge on each side.
    IV,
}

/// A member that a screw bears on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Member {
    /// How far the screw bears in it, mm.
    pub length: f64,
    /// Dowel bearing strength, MPa.
    pub strength: f64,
}

/// Dowel bearing strength of steel to ASTM A653 grade 33, MPa (61 850 psi, NDS 2018, tables 12L, 12N).
pub const THIN_STEEL: f64 = 61_850.0 * MPA_PER_PSI;
/// Dowel bearing strength of steel to ASTM A36 from 1/4 in, MPa (87 000 psi, NDS 2018).
pub const PLATE_STEEL: f64 = 87_000.0 * MPA_PER_PSI;
/// Dowel bearing strength of the common bar, aluminium, MPa: twice its tensile strength over 1.6, as
/// the NDS derives steel's (from memory of the Aluminum Design Manual).
pub const ALUMINIUM: f64 = match COMMON_BAR.ultimate_strength {
    Some(tensile) => 2.0 * tensile / 1.6,
    None => panic!("the common bar's tensile strength is in the table of materials"),
};

/// Dowel bearing strength of wood, MPa, for a nominal diameter (mm), a specific gravity and the angle
/// between load and grain (radians).
///
/// Under 1/4 in 16 600·G^1.84 whatever the angle; from it 11 200·G along and 6100·G^1.45/√D across
/// the grain, Hankinson's formula between; psi, each rounded to 50 as in the table.
#[must_use]
pub fn wood_bearing(diameter: f64, gravity: f64, angle: f64) -> f64 {
    let inches = diameter / MM_PER_INCH;
    let rounded = |psi: f64| 50.0 * (psi / 50.0).round();
    if is_thin(diameter) {
        return rounded(16_600.0 * gravity.powf(1.84)) * MPA_PER_PSI;
    }
    let along = rounded(11_200.0 * gravity);
    let across = rounded(6100.0 * gravity.powf(1.45) / inches.sqrt());
    along * across / (along * angle.sin().powi(2) + across * angle.cos().powi(2)) * MPA_PER_PSI
}

/// Thinner than 1/4 in; a thousandth of a millimetre under it is conversion, not size.
fn is_thin(diameter: f64) -> bool {
    diameter < 0.25 * MM_PER_INCH - 1e-3
}

/// The six yield limits of a joint in single shear, N. `bears` is the diameter that bears (the root
/// of the thread, mm), `angle` the largest angle between load and grain (radians).
#[must_use]
pub fn yield_limits(screw: &Screw, bears: f64, main: Member, side: Member, angle: f64) -> [(Mode, f64); 6] {
    let d = bears;
    let (fem, fes, fyb) = (main.strength, side.strength, screw.bending_yield);
    let (re, rt) = (fem / fes, main.length / side.length);
    let k1 = ((re + 2.0 * re * re * (1.0 + rt + rt * rt) + rt * rt * re.powi(3)).sqrt() - re * (1.0 + rt)) / (1.0 + re);
    let hinge = |length: f64| 2.0 * fyb * d * d / (3.0 * fem * length * length);
    let k2 = -1.0 + (2.0 * (1.0 + re) + hinge(main.length) * (1.0 + 2.0 * re)).sqrt();
    let k3 = -1.0 + (2.0 * (1.0 + re) / re + hinge(side.length) * (2.0 + re)).sqrt();
    let [r1, r2, r3] = reductions(screw.diameter, bears, angle);
    [
        (Mode::Im, d * main.length * fem / r1),
        (Mode::Is, d * side.length * fes / r1),
        (Mode::II, k1 * d * side.length * fes / r2),
        (Mode::IIIm, k2 * d * main.length * fem / ((1.0 + 2.0 * re) * r3)),
        (Mode::IIIs, k3 * d * side.length * fem / ((2.0 + re) * r3)),
        (Mode::IV, d * d / r3 * (2.0 * fem * fyb / (3.0 * (1.0 + re))).sqrt()),
    ]
}

/// Reduction terms of modes I, II and III with IV.
fn reductions(nominal: f64, bears: f64, angle: f64) -> [f64; 3] {
    let inches = bears / MM_PER_INCH;
    // 2.2 up to 0.17 in, then 10·D + 0.5.
    let thin = if inches <= 0.17 { 2.2 } else { 10.0 * inches + 0.5 };
    let turned = 1.0 + 0.25 * angle.to_degrees() / 90.0;
    match (is_thin(nominal), is_thin(bears)) {
        (true, _) => [thin; 3],
        // A thread from 1/4 in whose root is thinner.
        (false, true) => [thin * turned; 3],
        (false, false) => [4.0 * turned, 3.6 * turned, 3.2 * turned],
    }
}

/// Design value sideways of one screw, N, for normal duration: the least of the six limits, and less
/// where it does not reach in full. `penetration` is how far it reaches into the main member, mm, its
/// tip included; a lag screw's without its tip.
///
/// A screw's point, two diameters long, bears half. Between the least and the full penetration the
/// value at full is taken by the share reached (footnote of NDS tables 12L and 12J), or the
/// equations' own where that is less.
#[must_use]
pub fn sideways(screw: &Screw, gravity: f64, penetration: f64, side: Member, angle: f64) -> (Mode, f64) {
    let strength = wood_bearing(screw.diameter, gravity, angle);
    let at = |reach: f64| {
        let length = if screw.kind == Kind::LagScrew { reach } else { reach - screw.diameter };
        let limits = yield_limits(screw, screw.root, Member { length, strength }, side, angle);
        limits.into_iter().fold((Mode::Im, f64::INFINITY), |least, next| if next.1 < least.1 { next } else { least })
    };
    let full = screw.full_penetration();
    let (mode, value) = at(penetration);
    if penetration >= full {
        return (mode, value);
    }
    let (full_mode, full_value) = at(full);
    let shared = full_value * penetration / full;
    if shared < value { (full_mode, shared) } else { (mode, value) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screws::NEWTON_PER_POUND;

    const IN: f64 = MM_PER_INCH;
    const UPRIGHT: f64 = std::f64::consts::FRAC_PI_2;

    fn near(ours: f64, expected: f64, within: f64) {
        assert!((ours - expected).abs() <= within, "{ours} against {expected}");
    }

    fn side_of_wood(screw: &Screw, inches: f64, gravity: f64, angle: f64) -> Member {
        Member { length: inches * IN, strength: wood_bearing(screw.diameter, gravity, angle) }
    }

    fn least(limits: [(Mode, f64); 6]) -> (Mode, f64) {
        let (mode, newton) = limits.into_iter().min_by(|a, b| a.1.total_cmp(&b.1)).unwrap();
        (mode, newton / NEWTON_PER_POUND)
    }

    /// NDS 2018, table 12L: No. 10, side piece 1/2 in, G 0.50: 90 lb, mode IIIs. The others of the
    /// list recomputed from the same equations.
    #[test]
    fn wood_screws_of_the_table() {
        let rows = [(10, 0.5, 0.50, 89.93), (8, 0.5, 0.50, 72.9), (10, 0.5, 0.42, 73.3), (10, 0.75, 0.42, 83.4)];
        for (number, side, gravity, pounds) in rows {
            let screw = Screw::number(number).unwrap();
            let piece = side_of_wood(&screw, side, gravity, 0.0);
            let (mode, value) = sideways(&screw, gravity, 10.0 * screw.diameter, piece, 0.0);
            near(value / NEWTON_PER_POUND, pounds, 0.06);
            assert_eq!(mode, Mode::IIIs);
        }
    }

    /// NDS 2018, table 12.3.3: 4650 psi at G 0.50, 3350 at 0.42.
    #[test]
    fn bearing_strength_of_wood() {
        near(wood_bearing(4.8, 0.50, 0.0) / MPA_PER_PSI, 4650.0, 1e-6);
        near(wood_bearing(4.8, 0.42, 1.0) / MPA_PER_PSI, 3350.0, 1e-6);
        near(wood_bearing(0.5 * IN, 0.50, 0.0) / MPA_PER_PSI, 5600.0, 1e-6);
        near(wood_bearing(0.5 * IN, 0.50, UPRIGHT) / MPA_PER_PSI, 3150.0, 1e-6);
    }

    /// NDS 2018, table 12N, common nails, G 0.50: eight cells, in pounds.
    #[test]
    fn nails_of_the_table() {
        // Diameter, length, bending yield in ksi, then the values at 3/4 in and 1 in.
        let rows = [
            (0.113, 2.0, 100.0, 72.0, 72.0),
            (0.131, 2.5, 100.0, 90.0, 97.0),
            (0.148, 3.0, 90.0, 105.0, 118.0),
            (0.162, 3.5, 90.0, 121.0, 141.0),
        ];
        for (diameter, length, ksi, thin, thick) in rows {
            let d = diameter * IN;
            let nail =
                Screw { kind: Kind::Nail, diameter: d, root: d, head: None, bending_yield: ksi * 1e3 * MPA_PER_PSI };
            for (side, pounds) in [(0.75, thin), (1.0, thick)] {
                let strength = wood_bearing(d, 0.5, 0.0);
                let main = Member { length: (length - side) * IN - d, strength };
                let limits = yield_limits(&nail, d, main, side_of_wood(&nail, side, 0.5, 0.0), 0.0);
                near(least(limits).1, pounds, 0.5);
            }
        }
    }

    /// NDS 2018, table 12A: a 1/2 in bolt, both members 1.5 in, G 0.50; table rounded to 10 lb.
    #[test]
    fn bolt_of_the_table() {
        let d = 0.5 * IN;
        let bolt = Screw { kind: Kind::LagScrew, diameter: d, root: d, head: None, bending_yield: 45e3 * MPA_PER_PSI };
        let wood = |angle: f64| side_of_wood(&bolt, 1.5, 0.5, angle);
        let along = least(yield_limits(&bolt, d, wood(0.0), wood(0.0), 0.0));
        near(along.1, 483.3, 0.1);
        assert_eq!(along.0, Mode::II);
        near(least(yield_limits(&bolt, d, wood(0.0), wood(UPRIGHT), UPRIGHT)).1, 298.4, 0.1);
        near(least(yield_limits(&bolt, d, wood(UPRIGHT), wood(UPRIGHT), UPRIGHT)).1, 217.5, 0.1);
    }

    /// NDS 2018, table 12J: 1/4 in lag screw, side piece 1/2 in, G 0.50: 120 lb along, 80 across,
    /// rounded to 10; recomputed 119.1 and 82.3.
    #[test]
    fn lag_of_the_table() {
        let lag = Screw::lag(0.25 * IN).unwrap();
        let at = |angle: f64| {
            sideways(&lag, 0.5, 8.0 * lag.diameter, side_of_wood(&lag, 0.5, 0.5, angle), angle).1 / NEWTON_PER_POUND
        };
        near(at(0.0), 119.1, 0.1);
        near(at(UPRIGHT), 82.3, 0.1);
    }

    #[test]
    fn reaching_less_never_holds_more() {
        let screw = Screw::number(10).unwrap();
        let side = Member { length: 12.0, strength: ALUMINIUM };
        let at = |diameters: f64| sideways(&screw, 0.42, diameters * screw.diameter, side, 0.0).1;
        let mut before = 0.0;
        for tenth in 60..=140 {
            let now = at(f64::from(tenth) / 10.0);
            assert!(now >= before - 1e-9, "{tenth}: {now} after {before}");
            before = now;
        }
        assert!(at(7.0) <= 0.7 * at(10.0) + 1e-9);
    }
}
