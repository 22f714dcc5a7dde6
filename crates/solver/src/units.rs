//! The one place that turns millimetres into what a person reads.

use crate::project::Units;

/// Millimetres in one inch, exact by definition (international yard and pound agreement, 1959).
pub const MM_PER_INCH: f64 = 25.4;

/// A length in the project's units: `12.3 mm`, `0.484 in`, `7' 3-1/2"` (to 1/64, rounded).
#[must_use]
pub fn show_length(mm: f64, units: Units) -> String {
    match units {
        Units::Millimetre => format!("{} mm", number(mm, if mm.abs() < 9.995 { 2 } else { 1 })),
        Units::Inch => format!("{} in", number(mm / MM_PER_INCH, 3)),
        Units::FeetInch => feet_inch(mm / MM_PER_INCH),
    }
}

/// Whether a length is shown as nothing: "touches" says more than "by 0.00 mm".
#[must_use]
pub(crate) fn shows_as_nothing(mm: f64, units: Units) -> bool {
    show_length(mm, units) == show_length(0.0, units)
}

/// A rule's margin with its sign and unit; `unit` as in a finding: `"mm"`, `"deg"`, `"N"`, `""`.
#[must_use]
pub fn show_signed_margin(margin: f64, unit: &str, units: Units) -> String {
    let text = match unit {
        "mm" => show_length(margin, units),
        "deg" => format!("{}°", number(margin, if margin.abs() < 1.0 { 3 } else { 1 })),
        "" => number(margin, 2),
        other => format!("{} {other}", number(margin, 1)),
    };
    if text.starts_with('−') { text } else { format!("+{text}") }
}

/// A number with a true minus sign, and without one on zero.
pub(crate) fn number(value: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", value.abs());
    let is_zero = text.bytes().all(|b| matches!(b, b'0' | b'.'));
    if value < 0.0 && !is_zero { format!("−{text}") } else { text }
}

fn feet_inch(inches: f64) -> String {
    #[allow(clippy::cast_possible_truncation)] // a room is far below the limit; larger values saturate
    let parts = (inches.abs() * 64.0).round() as i64;
    let (feet, rest) = (parts / (12 * 64), parts % (12 * 64));
    let (whole, mut numerator, mut denominator) = (rest / 64, rest % 64, 64);
    while numerator > 0 && numerator % 2 == 0 {
        numerator /= 2;
        denominator /= 2;
    }
    let sign = if inches < 0.0 && parts > 0 { "−" } else { "" };
    let fraction = if numerator > 0 { format!("{numerator}/{denominator}") } else { String::new() };
    let inch = match (whole, numerator) {
        (0, n) if n > 0 => fraction,
        (w, n) if n > 0 => format!("{w}-{fraction}"),
        (w, _) => w.to_string(),
    };
    if feet > 0 { format!("{sign}{feet}' {inch}\"") } else { format!("{sign}{inch}\"") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_as_people_write_them() {
        let feet_inch = |mm| show_length(mm, Units::FeetInch);
        assert_eq!(feet_inch(2222.5), "7' 3-1/2\"");
        assert_eq!(feet_inch(19.05), "3/4\"");
        assert_eq!(feet_inch(304.8), "1' 0\"");
        assert_eq!(feet_inch(304.79), "1' 0\"");
        assert_eq!(feet_inch(-25.4), "−1\"");
        assert_eq!(feet_inch(-0.001), "0\"");
        assert_eq!(show_length(7.43, Units::Millimetre), "7.43 mm");
        assert_eq!(show_length(135.73, Units::Millimetre), "135.7 mm");
        assert_eq!(show_length(-0.001, Units::Millimetre), "0.00 mm");
        assert_eq!(show_length(12.7, Units::Inch), "0.500 in");
    }

    #[test]
    fn too_little_to_show() {
        assert!(shows_as_nothing(-0.004, Units::Millimetre) && !shows_as_nothing(-0.006, Units::Millimetre));
        assert!(shows_as_nothing(0.01, Units::Inch) && !shows_as_nothing(0.02, Units::Inch));
    }

    #[test]
    fn margins_carry_their_sign() {
        assert_eq!(show_signed_margin(-2.1, "mm", Units::Millimetre), "−2.10 mm");
        assert_eq!(show_signed_margin(14.8, "deg", Units::Millimetre), "+14.8°");
        assert_eq!(show_signed_margin(0.0567, "deg", Units::Millimetre), "+0.057°");
    }
}
