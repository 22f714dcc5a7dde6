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
/// so that what the figures allow the limits allow; where that leaves nothing between them, each to the nearest
/// figure, or else the two about them.
#[must_use]
pub fn sizes(limits: [f64; 2], units: Units) -> [String; 2] {
    let mark = if units == Units::FeetInch { "\"" } else { "" };
    let grain = Grain::of(units);
    grain.rounded(limits).map(|steps| format!("{}{mark}", grain.figures(steps)))
}

/// "21.980 to 21.983": what [`sizes`] gives.
#[must_use]
pub fn range(limits: [f64; 2], units: Units) -> String {
    sizes(limits, units).join(" to ")
}

/// Upper and lower limit with their signs, from a nominal size as [`bore`] prints it to [`sizes`].
#[must_use]
pub fn limits_off(nominal: f64, limits: [f64; 2], units: Units) -> [String; 2] {
    let grain = Grain::of(units);
    let [low, high] = grain.rounded(limits);
    let printed = (nominal / grain.mm).round();
    let mark = if units == Units::FeetInch { "\"" } else { "" };
    [high, low].map(|steps| {
        let off = steps - printed;
        let figures = grain.figures(off.abs());
        match off {
            0.0 => "0".to_owned(),
            off if off < 0.0 => format!("−{figures}{mark}"),
            _ => format!("+{figures}{mark}"),
        }
    })
}

/// What a bore is told to.
struct Grain {
    /// One of its last figure.
    mm: f64,
    decimals: usize,
}

impl Grain {
    fn of(units: Units) -> Self {
        match units {
            Units::Millimetre => Self { mm: 1e-3, decimals: 3 },
            Units::Inch | Units::FeetInch => Self { mm: 1e-4 * MM_PER_INCH, decimals: 4 },
        }
    }

    /// Both limits in whole last figures.
    fn rounded(&self, [low, high]: [f64; 2]) -> [f64; 2] {
        /// Of a last figure; what arithmetic may have put in.
        const NOISE: f64 = 1e-6;
        let (low, high) = (low / self.mm, high / self.mm);
        let ways = [
            [(low - NOISE).ceil(), (high + NOISE).floor()],
            [low.round(), high.round()],
            [(low + NOISE).floor(), (high - NOISE).ceil()],
        ];
        ways.into_iter().find(|[low, high]| low < high).unwrap_or(ways[1])
    }

    fn figures(&self, steps: f64) -> String {
        fixed(steps / 10f64.powi(i32::try_from(self.decimals).unwrap_or(3)), self.decimals)
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
        // 0.865354 and 0.865472 in leave nothing between at 0.0001 in, and the nearest are two; never a figure more.
        assert_eq!(range([21.980, 21.983], Units::Inch), "0.8654 to 0.8655");
        // 0.865354 and 0.865394 in: one nearest, so the two about them.
        assert_eq!(range([21.980, 21.981], Units::Inch), "0.8653 to 0.8654");
        assert_eq!(limits_off(22.0, [21.980, 21.983], Units::Inch), ["−0.0006", "−0.0007"]);
        assert_eq!(range([21.980, 21.983], Units::Millimetre), "21.980 to 21.983");
        assert_eq!(limits_off(22.0, [21.980, 21.983], Units::Millimetre), ["−0.017", "−0.020"]);
        // N7 at 22 mm, 0.865039 to 0.865866 in: off the printed 0.8661.
        assert_eq!(range([21.972, 21.993], Units::FeetInch), "0.8651\" to 0.8658\"");
        assert_eq!(limits_off(22.0, [21.972, 21.993], Units::FeetInch), ["−0.0003\"", "−0.0010\""]);
        assert_eq!(limits_off(7.0, [7.0, 7.05], Units::Millimetre), ["+0.050", "0"]);
    }
}
