//! Lengths as they stand on a drawing: in the project's unit, which the title block names.

use overarm_solver::{MM_PER_INCH, Units, show_length};

use crate::fixed_point::fixed;

/// Parts of an inch that a rule or a saw's stop can be set to.
const SIXTY_FOURTHS: f64 = 64.0;
/// What an inch and more, and what less than an inch, may be off a 64th and still be called one, in.
const EXACT_INCH: f64 = 0.000_5;
const EXACT_THIN: f64 = 0.000_05;

/// A length: to 0.01 mm or 0.001 in. Where a project is in feet and inches, a fraction if it is one,
/// else decimal inches; never a fraction that it only comes near to.
#[must_use]
pub fn length(mm: f64, units: Units) -> String {
    match units {
        Units::Millimetre => fixed(mm, 2),
        Units::Inch => fixed(mm / MM_PER_INCH, 3),
        Units::FeetInch => {
            let parts = mm / MM_PER_INCH * SIXTY_FOURTHS;
            let exact = if parts.abs() < SIXTY_FOURTHS { EXACT_THIN } else { EXACT_INCH };
            if (parts - parts.round()).abs() < exact * SIXTY_FOURTHS {
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

/// Least and greatest size of a bore or another measured size, as finely as [`bore`] and rounded inwards, so that what
/// the figures allow the limits allow; where that leaves nothing between them, with as many more decimals as it takes.
#[must_use]
pub fn sizes(limits: [f64; 2], units: Units) -> [String; 2] {
    let (grain, steps) = inwards(limits, units);
    steps.map(|steps| format!("{}{}", grain.figures(steps), mark(units)))
}

/// "21.980 to 21.983": what [`sizes`] gives.
#[must_use]
pub fn range(limits: [f64; 2], units: Units) -> String {
    sizes(limits, units).join(" to ")
}

/// Upper and lower limit with their signs, from a nominal size as [`bore`] prints it to [`sizes`].
#[must_use]
pub fn limits_off(nominal: f64, limits: [f64; 2], units: Units) -> [String; 2] {
    let (grain, [low, high]) = inwards(limits, units);
    let printed = Grain::of(units).printed(nominal) / grain.mm;
    [high, low].map(|steps| {
        let off = (steps - printed).round();
        let figures = grain.figures(off.abs());
        match off {
            0.0 => "0".to_owned(),
            off if off < 0.0 => format!("−{figures}{}", mark(units)),
            _ => format!("+{figures}{}", mark(units)),
        }
    })
}

/// How far a place may be off a nominal size that [`bore`] prints: no more than is allowed, less what that size is off
/// by its rounding to inches. In millimetres the size that is printed is the one that is meant.
#[must_use]
pub fn plus_minus(nominal: f64, by: f64, units: Units) -> String {
    let grain = Grain::of(units);
    let rounding = match units {
        Units::Millimetre => 0.0,
        Units::Inch | Units::FeetInch => (grain.printed(nominal) - nominal).abs(),
    };
    // No gauge tells a tolerance below that rounding.
    down(if by > rounding { by - rounding } else { by }, grain, units)
}

/// How far a size may be off that [`length`] prints, as finely as that and no more than is allowed.
#[must_use]
pub fn at_most(by: f64, units: Units) -> String {
    let grain = match units {
        Units::Millimetre => Grain { mm: 1e-2, decimals: 2 },
        Units::Inch | Units::FeetInch => Grain { mm: 1e-3 * MM_PER_INCH, decimals: 3 },
    };
    down(by, grain, units)
}

/// What a size is told to.
#[derive(Clone, Copy, Debug)]
struct Grain {
    /// One of its last figure.
    mm: f64,
    decimals: usize,
}

/// Of a last figure; what arithmetic may have put in.
const NOISE: f64 = 1e-6;
/// Decimals that may be told beyond the usual ones: down to what no gauge shows.
const FINER: usize = 3;

impl Grain {
    fn of(units: Units) -> Self {
        match units {
            Units::Millimetre => Self { mm: 1e-3, decimals: 3 },
            Units::Inch | Units::FeetInch => Self { mm: 1e-4 * MM_PER_INCH, decimals: 4 },
        }
    }

    fn finer(self) -> Self {
        Self { mm: 0.1 * self.mm, decimals: self.decimals + 1 }
    }

    /// This one and finer ones.
    fn and_finer(self) -> impl Iterator<Item = Self> {
        std::iter::successors(Some(self), |grain| Some(grain.finer())).take(FINER + 1)
    }

    /// A size as it reads, mm.
    fn printed(self, mm: f64) -> f64 {
        (mm / self.mm).round() * self.mm
    }

    fn figures(self, steps: f64) -> String {
        fixed(steps / 10f64.powi(i32::try_from(self.decimals).unwrap_or(3)), self.decimals)
    }
}

/// Both limits in whole last figures between them, with the fewest decimals that leave something. Of limits that are one
/// (or further apart than sizes are), the nearest figures of the finest.
fn inwards([low, high]: [f64; 2], units: Units) -> (Grain, [f64; 2]) {
    let within = |grain: Grain| (grain, [(low / grain.mm - NOISE).ceil(), (high / grain.mm + NOISE).floor()]);
    let grain = Grain::of(units);
    let finest = grain.and_finer().last().unwrap_or(grain);
    let found = grain.and_finer().map(within).find(|(_, [low, high])| low < high);
    found.unwrap_or_else(|| (finest, [low, high].map(|limit| (limit / finest.mm).round())))
}

/// A tolerance rounded down, with the fewest decimals that leave something of it.
fn down(by: f64, grain: Grain, units: Units) -> String {
    let told = grain.and_finer().map(|grain| (grain, (by / grain.mm + NOISE).floor())).find(|(_, steps)| *steps > 0.0);
    let (grain, steps) = told.unwrap_or((grain, 0.0));
    format!("{}{}", grain.figures(steps), mark(units))
}

fn mark(units: Units) -> &'static str {
    if units == Units::FeetInch { "\"" } else { "" }
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

/// What to say once on sheets whose lengths are told by [`by_tape`] or as people say them; `None` where there is nothing
/// to say.
#[must_use]
pub fn rounding_words(units: Units) -> Option<&'static str> {
    (units == Units::FeetInch).then_some(
        "Lengths of an inch and more are rounded to the nearest 64th of an inch, smaller ones to 0.001\u{a0}in.",
    )
}

/// What to say once on sheets whose lengths are told by [`length`]; `None` where there is nothing to say.
#[must_use]
pub fn fraction_words(units: Units) -> Option<&'static str> {
    (units == Units::FeetInch).then_some(
        "Fractions of an inch are exact to 0.0005\u{a0}in, below an inch to 0.00005\u{a0}in; all other lengths are \
         decimal inches, rounded to their last figure.",
    )
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
        // 0.04724 in, 0.0004 off 3/64.
        assert_eq!(length(1.2, Units::FeetInch), "0.047\"");
        assert_eq!(length(19.05, Units::FeetInch), "3/4\"");
        assert_eq!(by_tape(18.0, Units::FeetInch), "0.709\"");
        assert_eq!(length(2438.4, Units::FeetInch), "8' 0\"");
        assert_eq!(by_tape(2222.6, Units::FeetInch), "7'\u{a0}3-1/2\"");
        // 0.8653543 and 0.8654724 in leave one size at 0.0001 in; 0.8655 would be 0.7 µm too wide.
        assert_eq!(range([21.980, 21.983], Units::Inch), "0.86536 to 0.86547");
        // 0.8653543 and 0.8653937 in.
        assert_eq!(range([21.980, 21.981], Units::Inch), "0.86536 to 0.86539");
        // Off 0.8661, as the size is printed.
        assert_eq!(limits_off(22.0, [21.980, 21.983], Units::Inch), ["−0.00063", "−0.00074"]);
        assert_eq!(range([21.980, 21.983], Units::Millimetre), "21.980 to 21.983");
        assert_eq!(limits_off(22.0, [21.980, 21.983], Units::Millimetre), ["−0.017", "−0.020"]);
        // N7 at 22 mm, 0.865039 to 0.865866 in: off the printed 0.8661.
        assert_eq!(range([21.972, 21.993], Units::FeetInch), "0.8651\" to 0.8658\"");
        assert_eq!(limits_off(22.0, [21.972, 21.993], Units::FeetInch), ["−0.0003\"", "−0.0010\""]);
        assert_eq!(limits_off(7.0, [7.0, 7.05], Units::Millimetre), ["+0.050", "0"]);
    }
    /// A figure in millimetres; counts its decimals.
    fn read(figure: &str, units: Units) -> (f64, usize) {
        let plain = figure.trim_end_matches('"').replace('−', "-").replace('+', "");
        let decimals = plain.split_once('.').map_or(0, |(_, decimals)| decimals.len());
        let per = if units == Units::Millimetre { 1.0 } else { MM_PER_INCH };
        (per * plain.parse::<f64>().expect("a figure"), decimals)
    }

    #[test]
    fn whatever_is_told_of_limits_lies_within_them() {
        // Widths of ISO 286 from IT2 to beyond IT7, at bores of every bearing's size and between.
        for units in [Units::Millimetre, Units::Inch, Units::FeetInch] {
            for size in 0..400 {
                let nominal = 4.0 + 0.137 * f64::from(size);
                for width in [0.0005, 0.001, 0.0015, 0.002, 0.0025, 0.003, 0.004, 0.006, 0.009, 0.015, 0.021, 0.1] {
                    for off in [-0.0385, -0.02, -0.0171, -0.004, 0.0, 0.0033] {
                        let limits = [nominal + off, nominal + off + width];
                        let told = sizes(limits, units).map(|figure| read(&figure, units));
                        let inside = |mm: f64| limits[0] - 1e-8 <= mm && mm <= limits[1] + 1e-8;
                        assert!(told.iter().all(|(mm, _)| inside(*mm)), "{told:?} of {limits:?}");
                        assert!(told[0].0 < told[1].0 && told[0].1 == told[1].1, "{told:?} of {limits:?}");
                        // No finer than it has to be: twice a step always holds one.
                        let [usual, step] = if units == Units::Millimetre { [3.0, 1e-3] } else { [4.0, 2.54e-3] };
                        #[allow(clippy::cast_precision_loss)] // a few
                        let decimals = told[0].1 as f64;
                        let more = f64::from(width < 2.0 * step) + f64::from(width < 0.2 * step);
                        assert!(decimals <= usual + more, "{told:?} of {limits:?}");
                        // Table, view and gauge agree.
                        let printed = read(&bore(nominal, units), units).0;
                        let [high, low] =
                            limits_off(nominal, limits, units).map(|figure| printed + read(&figure, units).0);
                        assert!((low - told[0].0).abs() < 1e-9 && (high - told[1].0).abs() < 1e-9, "{low} {high}");
                    }
                }
            }
        }
        // No width: the nearest figure, once.
        assert_eq!(range([22.0, 22.0], Units::Millimetre), "22.000000 to 22.000000");
    }

    #[test]
    fn a_place_is_never_told_to_be_freer_than_it_is() {
        for size in 0..2000 {
            let nominal = 10.0 + 0.0577 * f64::from(size);
            for by in [0.005, 0.01, 0.02, 0.03, 0.05, 0.127] {
                for units in [Units::Inch, Units::FeetInch] {
                    let printed = read(&bore(nominal, units), units).0;
                    let free = read(&plus_minus(nominal, by, units), units).0;
                    assert!(free > 0.0 && (printed - nominal).abs() + free <= by + 1e-9, "{nominal} ±{by}: {free}");
                }
                let said = plus_minus(nominal, by, Units::Millimetre);
                assert!((said.parse::<f64>().expect("a figure") - by).abs() < 1e-9, "{said}");
            }
        }
        // 0.2 mm are 0.00787 in, 0.1 mm 0.0039 in.
        assert_eq!([0.2, 0.1, 0.3].map(|by| at_most(by, Units::Inch)), ["0.007", "0.003", "0.011"]);
        assert_eq!([0.2, 0.1].map(|by| at_most(by, Units::Millimetre)), ["0.20", "0.10"]);
        assert_eq!(at_most(0.02, Units::FeetInch), "0.0007\"");
        assert_eq!(plus_minus(22.0, 0.001, Units::Inch), "0.00003");
    }
}
