//! Values as a person reads them: in sentences, and in fields with the rounding told.

use super::{MM_PER_INCH, Quantity, read};
use crate::project::Units;

/// The finest part of an inch that a length is shown in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Fraction {
    /// 1/16 in.
    Sixteenth,
    /// 1/32 in.
    ThirtySecond,
    /// 1/64 in.
    #[default]
    SixtyFourth,
}

impl Fraction {
    /// From coarse to fine.
    pub const ALL: [Self; 3] = [Self::Sixteenth, Self::ThirtySecond, Self::SixtyFourth];

    /// How many of it make an inch.
    #[must_use]
    pub fn per_inch(self) -> u32 {
        match self {
            Self::Sixteenth => 16,
            Self::ThirtySecond => 32,
            Self::SixtyFourth => 64,
        }
    }
}

/// A value as it stands in a field.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    /// The figures, with the marks of feet and inches where they have some.
    pub figures: String,
    /// The unit behind them; empty where the figures carry it, or there is none.
    pub unit: &'static str,
    /// What the text reads back as, less the value, in the unit that is kept; 0: exact.
    pub rounded_by: f64,
}

impl Shown {
    /// Figures and unit.
    #[must_use]
    pub fn text(&self) -> String {
        match self.unit {
            "" => self.figures.clone(),
            "°" => format!("{}°", self.figures),
            unit => format!("{} {unit}", self.figures),
        }
    }

    /// Whether the text reads back as the very same value.
    #[must_use]
    pub fn is_exact(&self) -> bool {
        self.rounded_by == 0.0
    }

    /// "exact", or "rounded by 0.12 mm", the length in millimetres.
    #[must_use]
    pub fn rounding(&self, quantity: Quantity) -> String {
        let by = self.rounded_by.abs();
        if by == 0.0 {
            return "exact".to_owned();
        }
        // Two figures say how much; below a thousandth nobody works.
        let (by, under) = if by < 0.001 { (0.001, "less than ") } else { (by, "") };
        let decimals = if by < 0.0995 {
            3
        } else if by < 0.995 {
            2
        } else {
            1
        };
        let shown = Self { figures: number(by, decimals), unit: kept_unit(quantity), rounded_by: 0.0 };
        format!("rounded by {under}{}", shown.text())
    }
}

/// A value as it stands in a field, in the units of the project; reads back within its rounding.
///
/// Lengths: millimetres to 0.001, inches to 0.0001, feet and inches to `fraction`. Others in the
/// unit that a project keeps them in, to the thousandth, plain numbers to the millionth.
#[must_use]
pub fn show(value: f64, quantity: Quantity, units: Units, fraction: Fraction) -> Shown {
    let (figures, unit) = match (quantity, units) {
        (Quantity::Length, Units::FeetInch) => (feet_inch(value / MM_PER_INCH, fraction), ""),
        (Quantity::Length, Units::Inch) => (trimmed(value / MM_PER_INCH, 4), "in"),
        (Quantity::Plain, _) => (trimmed(value, 6), ""),
        (Quantity::Count, _) => (trimmed(value, 0), ""),
        _ => (trimmed(value, 3), kept_unit(quantity)),
    };
    let mut shown = Shown { figures, unit, rounded_by: 0.0 };
    // Told by the parser itself, so that nothing else can be meant by "exact".
    shown.rounded_by = read(&shown.text(), quantity, units).map_or(f64::INFINITY, |back| back - value);
    shown
}

fn kept_unit(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Length => "mm",
        Quantity::Angle | Quantity::Slope => "°",
        Quantity::Mass => "kg",
        Quantity::Force => "N",
        Quantity::Torque => "N·m",
        Quantity::Stiffness => "N·m/rad",
        Quantity::SpringRate => "N/mm",
        Quantity::TurnRate => "rpm",
        Quantity::Plain | Quantity::Count => "",
    }
}

/// Rounded to decimals of which the zeros at the end are left away.
fn trimmed(value: f64, decimals: usize) -> String {
    let text = number(value, decimals);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A length in the project's units: `12.3 mm`, `0.484 in`, `7' 3-1/2"` (to 1/64, rounded).
#[must_use]
pub fn show_length(mm: f64, units: Units) -> String {
    match units {
        Units::Millimetre => format!("{} mm", number(mm, if mm.abs() < 9.995 { 2 } else { 1 })),
        Units::Inch => format!("{} in", number(mm / MM_PER_INCH, 3)),
        Units::FeetInch => {
            let inches = mm / MM_PER_INCH;
            let decimals = number(inches, 3);
            // Of something thin, a 64th would hide too much: 1/64" would stand for 0.012" as well as for 0.022".
            let is_thin = inches.abs() < 1.0 && decimals.bytes().any(|b| (b'1'..=b'9').contains(&b));
            let parts = inches * f64::from(Fraction::SixtyFourth.per_inch());
            let is_fraction = (parts - parts.round()).abs() < EXACT_INCH * f64::from(Fraction::SixtyFourth.per_inch());
            if is_thin && !is_fraction { format!("{decimals}\"") } else { feet_inch(inches, Fraction::SixtyFourth) }
        }
    }
}

/// What something thin may be off a 64th of an inch and still be called one.
const EXACT_INCH: f64 = 0.000_05;

/// An error or a gap with its small figures, which feet and fractions would hide: `0.012 mm`,
/// `0.0005 in`.
#[must_use]
pub fn show_fine(mm: f64, units: Units) -> String {
    match units {
        Units::Millimetre => format!("{} mm", number(mm, if mm.abs() < 0.9995 { 3 } else { 2 })),
        Units::Inch | Units::FeetInch => format!("{} in", number(mm / MM_PER_INCH, 4)),
    }
}

/// Two lengths that are compared: where [`show_length`] would show both alike though they are not, with their
/// small figures.
#[must_use]
pub fn show_compared(mm: [f64; 2], units: Units) -> [String; 2] {
    // Less than this is rounding, mm.
    const ALIKE: f64 = 1e-6;
    let shown = mm.map(|mm| show_length(mm, units));
    if shown[0] == shown[1] && (mm[0] - mm[1]).abs() > ALIKE { mm.map(|mm| show_fine(mm, units)) } else { shown }
}

/// Whether a length is shown as nothing: "touches" says more than "by 0.00 mm".
#[must_use]
pub fn shows_as_nothing(mm: f64, units: Units) -> bool {
    show_length(mm, units) == show_length(0.0, units)
}

/// A rule's margin with its sign and unit; `unit` as in a finding: `"mm"`, `"deg"`, `"N"`, `""`.
#[must_use]
pub fn show_signed_margin(margin: f64, unit: &str, units: Units) -> String {
    // Less than this is rounding, mm.
    const NOTHING: f64 = 1e-6;
    let text = match unit {
        // Of a margin that is hardly there, the small figures, and never less than one of them.
        "mm" if margin.abs() > NOTHING && shows_as_nothing(margin, units) => {
            let least = if units == Units::Millimetre { 1e-3 } else { 1e-4 * MM_PER_INCH };
            show_fine(margin.signum() * margin.abs().max(least), units)
        }
        "mm" => show_length(margin, units),
        "deg" => format!("{}°", number(margin, if margin.abs() < 1.0 { 3 } else { 1 })),
        "" => number(margin, if margin.abs() < 9.995 { 2 } else { 0 }),
        other if margin.abs() > NOTHING && margin.abs() < 0.05 => {
            format!("{} {other}", number(margin.signum() * margin.abs().max(1e-3), 3))
        }
        other => format!("{} {other}", number(margin, 1)),
    };
    match text.starts_with('−') {
        true => text,
        false if margin < 0.0 => format!("−{text}"),
        false => format!("+{text}"),
    }
}

/// A number with a true minus sign, and without one on zero.
#[must_use]
pub fn number(value: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", value.abs());
    let is_zero = text.bytes().all(|b| matches!(b, b'0' | b'.'));
    if value < 0.0 && !is_zero { format!("−{text}") } else { text }
}

fn feet_inch(inches: f64, fraction: Fraction) -> String {
    let per_inch = fraction.per_inch();
    #[allow(clippy::cast_possible_truncation)] // a room is far below the limit; larger values saturate
    let parts = (inches.abs() * f64::from(per_inch)).round() as i64;
    let per_inch = i64::from(per_inch);
    let (feet, rest) = (parts / (12 * per_inch), parts % (12 * per_inch));
    let (whole, mut numerator, mut denominator) = (rest / per_inch, rest % per_inch, per_inch);
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
        // Below an inch nothing is called a fraction that it only comes near to: 1.2 mm are 0.0472 in, 3/64 is 0.0469.
        assert_eq!(feet_inch(1.2), "0.047\"");
        assert_eq!(feet_inch(0.5), "0.020\"");
        assert_eq!(feet_inch(-18.0), "−0.709\"");
        assert_eq!(feet_inch(25.4 * 3.0 / 64.0), "3/64\"");
        assert_eq!(feet_inch(28.0), "1-7/64\"");
        assert!(shows_as_nothing(0.01, Units::FeetInch) && !shows_as_nothing(0.02, Units::FeetInch));
        assert_eq!(show_length(7.43, Units::Millimetre), "7.43 mm");
        assert_eq!(show_length(135.73, Units::Millimetre), "135.7 mm");
        assert_eq!(show_length(-0.001, Units::Millimetre), "0.00 mm");
        assert_eq!(show_length(12.7, Units::Inch), "0.500 in");
    }

    #[test]
    fn a_field_tells_its_rounding() {
        let feet_inch = |mm, fraction| show(mm, Quantity::Length, Units::FeetInch, fraction);
        let exact = feet_inch(2222.5, Fraction::Sixteenth);
        assert_eq!((exact.text().as_str(), exact.is_exact()), ("7' 3-1/2\"", true));
        let rounded = feet_inch(2219.33, Fraction::Sixteenth);
        assert_eq!(rounded.text(), "7' 3-3/8\"");
        assert_eq!(rounded.rounding(Quantity::Length), "rounded by 0.005 mm");
        let mm = |mm| show(mm, Quantity::Length, Units::Millimetre, Fraction::default());
        assert_eq!(mm(2089.36).text(), "2089.36 mm");
        assert_eq!(mm(-40.0).text(), "−40 mm");
        assert_eq!(mm(1e-7).text(), "0 mm");
        assert_eq!(mm(1.0 / 3.0).rounding(Quantity::Length), "rounded by less than 0.001 mm");
        assert_eq!(show(9.525, Quantity::Length, Units::Inch, Fraction::default()).text(), "0.375 in");
        assert_eq!(show(0.0015, Quantity::Plain, Units::Inch, Fraction::default()).text(), "0.0015");
        assert_eq!(show(4.5, Quantity::Angle, Units::Inch, Fraction::default()).text(), "4.5°");
        assert_eq!(show(3.0, Quantity::Count, Units::Inch, Fraction::default()).text(), "3");
    }

    #[test]
    fn what_is_compared_is_told_apart() {
        // 0.416 and 0.400 mm are 0.01638 and 0.01575 in; 60.0 and 60.1 mm are 2.3622 and 2.3661, nearest to 2-23/64.
        assert_eq!(show_compared([0.416, 0.4], Units::FeetInch), ["0.0164 in", "0.0157 in"]);
        assert_eq!(show_compared([60.0, 60.1], Units::FeetInch), ["2.3622 in", "2.3661 in"]);
        assert_eq!(show_compared([0.4, 0.4], Units::FeetInch), ["0.016\"", "0.016\""]);
        assert_eq!(show_compared([71.7, 15.0], Units::FeetInch), ["2-53/64\"", "0.591\""]);
        assert_eq!(show_compared([0.416, 0.4], Units::Millimetre), ["0.42 mm", "0.40 mm"]);
        assert_eq!(show_compared([0.4004, 0.4016], Units::Millimetre), ["0.400 mm", "0.402 mm"]);
        assert_eq!(show_compared([15.0, 15.03], Units::Millimetre), ["15.00 mm", "15.03 mm"]);
    }

    #[test]
    fn too_little_to_show() {
        assert!(shows_as_nothing(-0.004, Units::Millimetre) && !shows_as_nothing(-0.006, Units::Millimetre));
        assert!(shows_as_nothing(0.01, Units::Inch) && !shows_as_nothing(0.02, Units::Inch));
    }

    #[test]
    fn margins_carry_their_sign() {
        assert_eq!(show_signed_margin(-2.1, "mm", Units::Millimetre), "−2.10 mm");
        assert_eq!(show_signed_margin(-0.0021, "mm", Units::Millimetre), "−0.002 mm");
        assert_eq!(show_signed_margin(-0.0001, "mm", Units::Millimetre), "−0.001 mm");
        assert_eq!(show_signed_margin(1e-9, "mm", Units::Millimetre), "+0.00 mm");
        assert_eq!(show_signed_margin(-0.001, "mm", Units::FeetInch), "−0.0001 in");
        assert_eq!(show_signed_margin(-0.02, "N", Units::Millimetre), "−0.020 N");
        assert_eq!(show_signed_margin(-0.001, "", Units::Millimetre), "−0.00");
        assert_eq!(show_signed_margin(14.8, "deg", Units::Millimetre), "+14.8°");
        assert_eq!(show_signed_margin(0.0567, "deg", Units::Millimetre), "+0.057°");
    }
}
