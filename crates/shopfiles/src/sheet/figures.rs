//! Lengths as they stand on a drawing: in the project's unit, which the title block names.

use overarm_solver::{MM_PER_INCH, Units, show_length};

use crate::fixed_point::fixed;

/// Parts of an inch that a rule or a saw's stop can be set to.
const SIXTY_FOURTHS: f64 = 64.0;
/// What an inch may be off a 64th and still be called one.
const EXACT_INCH: f64 = 0.000_5;

/// A length: to 0.01 mm or 0.001 in. Where a project is in feet and inches, a fraction if it is one,
/// else decimal inches; never a fraction that it only comes near to.
#[must_use]
pub fn length(mm: f64, units: Units) -> String {
    match units {
        Units::Millimetre => fixed(mm, 2),
        Units::Inch => fixed(mm / MM_PER_INCH, 3),
        Units::FeetInch => {
            let parts = mm / MM_PER_INCH * SIXTY_FOURTHS;
            if (parts - parts.round()).abs() < EXACT_INCH * SIXTY_FOURTHS {
                show_length(mm, units)
            } else {
                format!("{}\"", fixed(mm / MM_PER_INCH, 3))
            }
        }
    }
}

/// As finely as [`length`], but always decimal and without a mark: for tables whose figures are keyed in.
/// Where a project is in feet and inches, in inches, which the table has to say.
#[must_use]
pub fn decimal(mm: f64, units: Units) -> String {
    match units {
        Units::Millimetre => fixed(mm, 2),
        Units::Inch | Units::FeetInch => fixed(mm / MM_PER_INCH, 3),
    }
}

/// A bore, or how far it is from another: to 0.001 mm or 0.0001 in, never a fraction.
#[must_use]
pub fn bore(mm: f64, units: Units) -> String {
    match units {
        Units::Millimetre => fixed(mm, 3),
        Units::Inch => fixed(mm / MM_PER_INCH, 4),
        Units::FeetInch => format!("{}\"", fixed(mm / MM_PER_INCH, 4)),
    }
}

/// Least and greatest size of a bore or another measured size, as finely as [`bore`] and rounded inwards,
/// so that what the figures allow the limits allow; one figure more where they would leave nothing between.
#[must_use]
pub fn sizes(limits: [f64; 2], units: Units) -> [String; 2] {
    let mark = if units == Units::FeetInch { "\"" } else { "" };
    inward(limits, units).0.map(|(value, decimals)| format!("{}{mark}", fixed(value, decimals)))
}

/// "21.980 to 21.983": what [`sizes`] gives.
#[must_use]
pub fn range(limits: [f64; 2], units: Units) -> String {
    sizes(limits, units).join(" to ")
}

/// Upper and lower limit with their signs, from a nominal size as [`bore`] prints it to [`sizes`].
#[must_use]
pub fn limits_off(nominal: f64, limits: [f64; 2], units: Units) -> [String; 2] {
    let ([low, high], grain) = inward(limits, units);
    let coarse = 10f64.powi(if units == Units::Millimetre { 3 } else { 4 });
    let printed = (nominal / grain * coarse).round() / coarse;
    let mark = if units == Units::FeetInch { "\"" } else { "" };
    [high, low].map(|(value, decimals)| {
        let off = value - printed;
        let figures = fixed(off.abs(), decimals);
        match (figures.bytes().any(|byte| (b'1'..=b'9').contains(&byte)), off < 0.0) {
            (false, _) => "0".to_owned(),
            (true, true) => format!("−{figures}{mark}"),
            (true, false) => format!("+{figures}{mark}"),
        }
    })
}

/// Both limits in the figures' unit, rounded inwards, with their decimals, and the unit's length, mm.
fn inward([low, high]: [f64; 2], units: Units) -> ([(f64, usize); 2], f64) {
    /// Of a last figure; what arithmetic may have put in.
    const NOISE: f64 = 1e-6;
    let (grain, least) = if units == Units::Millimetre { (1.0, 3) } else { (MM_PER_INCH, 4) };
    let at = |decimals: i32| {
        let scale = 10f64.powi(decimals);
        [(low / grain * scale - NOISE).ceil() / scale, (high / grain * scale + NOISE).floor() / scale]
    };
    let decimals = if at(least)[0] < at(least)[1] { least } else { least + 1 };
    let shown = usize::try_from(decimals).unwrap_or(4);
    (at(decimals).map(|value| (value, shown)), grain)
}

/// A limit with its sign, as finely as [`bore`].
#[must_use]
pub fn limit(mm: f64, units: Units) -> String {
    let figures = bore(mm.abs(), units);
    let nothing = !figures.bytes().any(|byte| (b'1'..=b'9').contains(&byte));
    match (nothing, mm < 0.0) {
        (true, _) => "0".to_owned(),
        (false, true) => format!("−{figures}"),
        (false, false) => format!("+{figures}"),
    }
}

/// A length to be measured with a tape, with its unit: as [`length`], in feet and inches to the nearest
/// 64th.
#[must_use]
pub fn by_tape(mm: f64, units: Units) -> String {
    match units {
        Units::FeetInch => show_length(mm, units).replace(' ', "\u{a0}"),
        Units::Millimetre | Units::Inch => with_unit(&length(mm, units), units),
    }
}

/// What the figures without a unit are in.
#[must_use]
pub fn unit_words(units: Units) -> &'static str {
    match units {
        Units::Millimetre => "millimetres",
        Units::Inch => "inches",
        Units::FeetInch => "feet and inches",
    }
}

/// The unit behind a figure of [`length`] or [`bore`], in running text, never on a line of its own.
#[must_use]
pub fn with_unit(figures: &str, units: Units) -> String {
    match units {
        Units::Millimetre => format!("{figures}\u{a0}mm"),
        Units::Inch => format!("{figures}\u{a0}in"),
        Units::FeetInch => figures.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bores_are_never_fractions_and_nothing_is_rounded_to_one() {
        assert_eq!(bore(22.0, Units::Millimetre), "22.000");
        assert_eq!(bore(22.225, Units::Inch), "0.8750");
        assert_eq!(bore(22.225, Units::FeetInch), "0.8750\"");
        assert_eq!(length(38.1, Units::FeetInch), "1-1/2\"");
        assert_eq!(length(86.58, Units::FeetInch), "3.409\"");
        assert_eq!(length(2438.4, Units::FeetInch), "8' 0\"");
        assert_eq!(by_tape(2222.6, Units::FeetInch), "7'\u{a0}3-1/2\"");
        assert_eq!(limit(-0.007, Units::Millimetre), "−0.007");
        assert_eq!(limit(0.0, Units::Millimetre), "0");
        // 0.865354 and 0.865472 in leave nothing between at 0.0001 in.
        assert_eq!(range([21.980, 21.983], Units::Inch), "0.86536 to 0.86547");
        assert_eq!(range([21.980, 21.983], Units::Millimetre), "21.980 to 21.983");
        assert_eq!(limits_off(22.0, [21.980, 21.983], Units::Millimetre), ["−0.017", "−0.020"]);
        // N7 at 22 mm, 0.865039 to 0.865866 in: off the printed 0.8661.
        assert_eq!(range([21.972, 21.993], Units::FeetInch), "0.8651\" to 0.8658\"");
        assert_eq!(limits_off(22.0, [21.972, 21.993], Units::FeetInch), ["−0.0003\"", "−0.0010\""]);
        assert_eq!(limits_off(7.0, [7.0, 7.05], Units::Millimetre), ["+0.050", "0"]);
        assert_eq!(limit(0.0205, Units::Inch), "+0.0008");
    }
}
