//! Cells of published tables that no other test reads: standard tolerances, woods, bending yield,
//! penetration, side plates, struts.

use std::f64::consts::PI;

use overarm_solver::buckling::HINGED;
use overarm_solver::screw_lateral::{ALUMINIUM, Member, PLATE_STEEL, THIN_STEEL, sideways};
use overarm_solver::screws::{Kind, MPA_PER_PSI, STUD, STUD_SPACINGS, WOODS};
use overarm_solver::{MM_PER_INCH, Material, Screw, Section, Strut, ToleranceClass};

fn near(ours: f64, expected: f64, within: f64) {
    assert!((ours - expected).abs() <= within, "{ours} against {expected} ± {within}");
}

/// ISO 286-1, table 1, as open copies print it: grades 5 to 10, µm, in six bands.
#[test]
fn standard_tolerances() {
    let bands = [(3.0, 6.0), (6.0, 10.0), (10.0, 18.0), (18.0, 30.0), (30.0, 50.0), (50.0, 80.0)];
    let table = [
        [5.0, 8.0, 12.0, 18.0, 30.0, 48.0],
        [6.0, 9.0, 15.0, 22.0, 36.0, 58.0],
        [8.0, 11.0, 18.0, 27.0, 43.0, 70.0],
        [9.0, 13.0, 21.0, 33.0, 52.0, 84.0],
        [11.0, 16.0, 25.0, 39.0, 62.0, 100.0],
        [13.0, 19.0, 30.0, 46.0, 74.0, 120.0],
    ];
    for ((above, up_to), row) in bands.into_iter().zip(table) {
        for (grade, microns) in (5..=10).zip(row) {
            for class in [format!("H{grade}"), format!("h{grade}")] {
                let class: ToleranceClass = class.parse().unwrap();
                for size in [above + 1e-3, up_to] {
                    near(1e3 * class.limits(size).unwrap().tolerance(), microns, 1e-9);
                }
            }
        }
    }
}

/// ISO 286-2 at 22 mm, on which six open copies agree: upper and lower, µm.
#[test]
fn limits_at_22_mm() {
    for (class, upper, lower) in [
        ("H7", 21.0, 0.0),
        ("J7", 12.0, -9.0),
        ("JS7", 10.5, -10.5),
        ("K7", 6.0, -15.0),
        ("M7", 0.0, -21.0),
        ("N7", -7.0, -28.0),
        ("P7", -14.0, -35.0),
        ("G7", 28.0, 7.0),
        ("h6", 0.0, -13.0),
        ("k6", 15.0, 2.0),
        ("p6", 35.0, 22.0),
    ] {
        let limits = class.parse::<ToleranceClass>().unwrap().limits(22.0).unwrap();
        near(1e3 * limits.upper, upper, 1e-9);
        near(1e3 * limits.lower, lower, 1e-9);
    }
}

/// NDS 2018, table 12.3.3A: specific gravity.
#[test]
fn woods() {
    let table = [
        ("douglas fir-larch", 0.50),
        ("douglas fir, south", 0.46),
        ("southern pine", 0.55),
        ("hem-fir", 0.43),
        ("spruce-pine-fir", 0.42),
        ("spruce-pine-fir, south", 0.36),
        ("red oak", 0.67),
        ("yellow poplar", 0.43),
    ];
    for (ours, theirs) in WOODS.into_iter().zip(table) {
        assert_eq!(ours.0, theirs.0);
        near(ours.1, theirs.1, 1e-12);
    }
    assert_eq!(WOODS.len(), table.len());
}

/// NDS 2018, appendix I: bending yield strength, ksi, by nominal diameter, in.
#[test]
fn bending_yield_by_diameter() {
    for (from, to, ksi) in
        [(0.099, 0.142, 100.0), (0.142, 0.177, 90.0), (0.177, 0.236, 80.0), (0.236, 0.273, 70.0), (0.273, 0.344, 60.0)]
    {
        // A diameter within 0.05 mm of a numbered screw is that screw.
        for inches in [1.02 * from, 0.5 * (from + to), to] {
            let screw = Screw::of_diameter(inches * MM_PER_INCH).unwrap();
            near(screw.bending_yield, ksi * 1e3 * MPA_PER_PSI, 1e-6);
        }
    }
    assert!(Screw::of_diameter(0.098 * MM_PER_INCH).is_err());
}

/// NDS 2018, 12.1 and the footnotes of tables 12L and 12J: wood screws and nails reach 6 diameters at
/// the least, tip included, and hold in full from 10, between by the share of that; lag screws 4 and 8, tip
/// excluded.
#[test]
fn penetration() {
    let ten = Screw::number(10).unwrap();
    let nail = Screw { kind: Kind::Nail, ..ten };
    let lag = Screw::lag(6.35).unwrap();
    for (screw, least, full) in [(ten, 6.0, 10.0), (nail, 6.0, 10.0), (lag, 4.0, 8.0)] {
        near(screw.least_penetration(), least * screw.diameter, 1e-12);
        near(screw.full_penetration(), full * screw.diameter, 1e-12);
        // A thin plate's mode does not ask how deep it is: only the share counts.
        let plate = Member { length: 1.5, strength: THIN_STEEL };
        let at = |diameters: f64| sideways(&screw, 0.42, diameters * screw.diameter, plate, 0.0).1;
        near(at(full + 3.0) / at(full), 1.0, 1e-9);
        for share in [0.8, 0.9] {
            near(at(share * full) / at(full), share, 1e-9);
        }
    }
}

/// NDS 2018, tables 12L to 12N and 12B: dowel bearing strength of steel side plates, psi; A653 grade 33
/// sheet, A36 from 1/4 in.
#[test]
fn side_plates() {
    near(THIN_STEEL / MPA_PER_PSI, 61_850.0, 1e-6);
    near(PLATE_STEEL / MPA_PER_PSI, 87_000.0, 1e-6);
    // The bars' own is the table of materials' strength: ASTM B221, 260 MPa from memory, times 2 over 1.6.
    let tensile = Material::named("6061-T6").unwrap().ultimate_strength.unwrap();
    near(tensile, 260.0, 1e-12);
    near(ALUMINIUM, 2.0 * tensile / 1.6, 1e-12);
}

/// IRC, R602.3: studs 16 or 24 in apart; a 2×4 is 1.5 × 3.5 in.
#[test]
fn studs() {
    for (ours, inches) in STUD_SPACINGS.into_iter().chain(STUD).zip([16.0, 24.0, 1.5, 3.5]) {
        near(ours / MM_PER_INCH, inches, 1e-9);
    }
}

/// Shigley, Mechanical Engineering Design, 9th edition, example 4-19 (from memory, recomputed): widths of
/// a strut for 20 000 lbf by Euler's and by Johnson's formula, whichever of them applies; in, psi.
#[test]
fn widths_of_a_strut_by_both_formulas() {
    let (force, length, modulus, strength) = (20_000.0, 15.0, 30e6, 75e3);
    let euler = |h: f64| 12.0 * force * length * length / (PI * PI * modulus * h.powi(3));
    near(euler(1.0), 0.182_38, 5e-6);
    let johnson = |h: f64| {
        let slenderness = length / (h / 12.0_f64.sqrt());
        force / (h * (strength - (strength * slenderness / (2.0 * PI)).powi(2) / modulus))
    };
    for (h, by_euler, by_johnson) in [(0.5625, 1.0247, 1.0314), (0.625, 0.7470, 0.7588)] {
        near(euler(h), by_euler, 5e-5);
        near(johnson(h), by_johnson, 5e-5);
        // The program takes the one that applies: Johnson's below the transition.
        let strut = |b: f64| {
            let section = Section::rectangle(b, h).unwrap();
            let (area, second_moment) = (section.area, section.least_second_moment());
            Strut { length, area, second_moment, modulus, yield_strength: strength, end_condition: HINGED }
        };
        let slenderness = length / (h / 12.0_f64.sqrt());
        let width = if slenderness > 88.9 { by_euler } else { by_johnson };
        near(strut(width).buckling().unwrap().critical, force, 1e-4 * force);
    }
}
