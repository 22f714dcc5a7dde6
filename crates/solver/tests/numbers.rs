//! What is printed reads back the same, within the rounding that is printed with it.

use overarm_solver::Units;
use overarm_solver::units::{Fraction, Quantity, read, show};
use proptest::prelude::*;

const UNITS: [Units; 3] = [Units::Millimetre, Units::Inch, Units::FeetInch];

/// Half of the last place shown, mm, and a little for the machine's own rounding.
fn half_step(units: Units, fraction: Fraction) -> f64 {
    let step = match units {
        Units::Millimetre => 0.001,
        Units::Inch => 0.0001 * 25.4,
        Units::FeetInch => 25.4 / f64::from(fraction.per_inch()),
    };
    step / 2.0 * (1.0 + 1e-6)
}

#[allow(clippy::float_cmp)] // "exact" means the very same number
fn check(mm: f64, units: Units, fraction: Fraction) -> Result<(), TestCaseError> {
    let shown = show(mm, Quantity::Length, units, fraction);
    let back = read(&shown.text(), Quantity::Length, units);
    prop_assert!(back.is_ok(), "{} is not read: {:?}", shown.text(), back);
    let back = back.unwrap_or(f64::NAN);
    prop_assert!((back - mm).abs() <= half_step(units, fraction), "{mm} as {} is {back}", shown.text());
    prop_assert_eq!(shown.rounded_by, back - mm);
    prop_assert_eq!(shown.is_exact(), back == mm);
    // What was read is shown as the same text again, exactly.
    let again = show(back, Quantity::Length, units, fraction);
    prop_assert_eq!(again.text(), shown.text());
    prop_assert!(again.is_exact(), "{} is not exact", again.text());
    Ok(())
}

proptest! {
    // The same cases on every machine: a failure is a failure everywhere.
    #![proptest_config(ProptestConfig { cases: 2000, rng_seed: proptest::test_runner::RngSeed::Fixed(5), ..ProptestConfig::default() })]

    #[test]
    fn lengths(mm in -100_000.0..100_000.0_f64, unit in 0..3_usize, fraction in 0..3_usize) {
        check(mm, UNITS[unit], Fraction::ALL[fraction])?;
    }

    #[test]
    fn small_lengths(mm in -30.0..30.0_f64, unit in 0..3_usize, fraction in 0..3_usize) {
        check(mm, UNITS[unit], Fraction::ALL[fraction])?;
    }

    #[test]
    fn whole_micrometres_are_exact_in_millimetres(micrometres in -100_000_000..100_000_000_i32) {
        let mm = f64::from(micrometres) / 1000.0;
        let shown = show(mm, Quantity::Length, Units::Millimetre, Fraction::default());
        prop_assert!(shown.is_exact(), "{}", shown.text());
    }

    #[test]
    fn parts_of_an_inch_are_exact(parts in -50_000..50_000_i32) {
        // Inch parts as decimal millimetres: 1/64 in is 0.396875 mm.
        let mm = f64::from(parts) * 396_875.0 / 1e6;
        let shown = show(mm, Quantity::Length, Units::FeetInch, Fraction::SixtyFourth);
        prop_assert!(shown.is_exact(), "{} by {}", shown.text(), shown.rounded_by);
    }

    #[test]
    fn other_quantities(value in -10_000.0..10_000.0_f64, which in 0..7_usize) {
        let quantity = [
            Quantity::Angle, Quantity::Slope, Quantity::Mass, Quantity::Force, Quantity::Torque, Quantity::TurnRate,
            Quantity::Plain,
        ][which];
        let shown = show(value, quantity, Units::FeetInch, Fraction::default());
        let back = read(&shown.text(), quantity, Units::FeetInch);
        prop_assert!(back.is_ok(), "{} is not read: {:?}", shown.text(), back);
        prop_assert!((back.unwrap_or(f64::NAN) - value).abs() <= 0.000_500_1, "{} for {value}", shown.text());
    }

    #[test]
    fn any_text_is_read_finite_or_refused_with_a_sentence(text in "[-+*/() 0-9.,'\"a-zA-Z°%:½−]{0,24}") {
        for quantity in [Quantity::Length, Quantity::Slope, Quantity::Plain, Quantity::Count] {
            match read(&text, quantity, Units::FeetInch) {
                Ok(value) => prop_assert!(value.is_finite() && value.abs() <= 1e9),
                Err(refused) => prop_assert!(refused.reason.ends_with('.'), "{}", refused.reason),
            }
        }
    }

    #[test]
    fn a_minus_sign_carries_through_all_parts(feet in 1..40_i32, inches in 0..12_i32, parts in 1..16_i32) {
        for text in [format!("{feet}' {inches}-{parts}/16\""), format!("{feet}'-{inches} {parts}/16\""), format!("{feet} ft {inches} {parts}/16")] {
            let plus = read(&text, Quantity::Length, Units::Millimetre);
            let minus = read(&format!("-{text}"), Quantity::Length, Units::Millimetre);
            prop_assert!(plus.is_ok(), "{text}: {plus:?}");
            prop_assert_eq!(plus.map(|mm| -mm), minus);
        }
    }
}
