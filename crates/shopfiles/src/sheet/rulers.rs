//! Rulers below and left of a window on a sheet.

use overarm_solver::{MM_PER_INCH, Units};

use super::page::{Area, Hold, Page};
use super::path::Place;
use super::pen::Pen;
use super::typeface::Style;

/// A ruler's strip, mm.
pub const RULER: f64 = 7.5;

/// Draws both: they count from `zero`, to the right and up.
pub fn draw(page: &mut Page, window: &Area, zero: Place, units: Units) {
    let Area { left, top, right, bottom } = *window;
    for (at, long, words) in ticks(left - zero[0], right - zero[0], units) {
        let x = zero[0] + at;
        page.line(&[[x, bottom], [x, bottom + long]], Pen::THIN);
        if let Some(words) = words.filter(|words| fits(x, words, left, right)) {
            page.text([x, bottom + 6.8], Hold::Middle, &words, Style::SMALL);
        }
    }
    for (at, long, words) in ticks(zero[1] - bottom, zero[1] - top, units) {
        let y = zero[1] - at;
        page.line(&[[left, y], [left - long, y]], Pen::THIN);
        if let Some(words) = words.filter(|words| fits(y, words, top, bottom)) {
            page.text_upwards([left - 4.9, y], Hold::Middle, &words, Style::SMALL);
        }
    }
}

/// Whether a ruler's figure stays between the ends of its strip.
fn fits(at: f64, words: &str, low: f64, high: f64) -> bool {
    let half = 0.5 * Style::SMALL.width(words);
    at - half >= low && at + half <= high
}

/// Marks of a ruler between two values, mm: where, how long, and the figure at some.
fn ticks(from: f64, to: f64, units: Units) -> Vec<(f64, f64, Option<String>)> {
    let (step, long, middle) = match units {
        Units::Millimetre => (1.0, 10, 5),
        Units::Inch | Units::FeetInch => (MM_PER_INCH / 16.0, 16, 8),
    };
    #[allow(clippy::cast_possible_truncation)] // a wall is far below the limit
    let (first, last) = ((from / step).ceil() as i64, (to / step).floor() as i64);
    let tick = |number: i64| {
        #[allow(clippy::cast_precision_loss)] // as above
        let at = number as f64 * step;
        if number % long == 0 {
            return (
                at,
                4.0,
                Some(ruler_figure(if units == Units::Millimetre { number } else { number / long }, units)),
            );
        }
        (at, if number % middle == 0 { 3.0 } else { 1.8 }, None)
    };
    (first..=last).map(tick).collect()
}

/// A whole number of millimetres or inches as it is typed: of feet and inches with its marks.
fn ruler_figure(number: i64, units: Units) -> String {
    let (sign, size) = (if number < 0 { "−" } else { "" }, number.unsigned_abs());
    match (units, size / 12, size % 12) {
        (Units::Millimetre | Units::Inch, ..) => format!("{sign}{size}"),
        (Units::FeetInch, 0, inches) => format!("{sign}{inches}\""),
        (Units::FeetInch, feet, inches) => format!("{sign}{feet}'-{inches}\""),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_figure_of_a_ruler_is_read_as_where_it_stands() {
        use overarm_solver::units::{Quantity, read};
        for units in [Units::Millimetre, Units::Inch, Units::FeetInch] {
            let figures: Vec<(f64, String)> =
                ticks(-700.0, 2600.0, units).into_iter().filter_map(|(at, _, words)| Some((at, words?))).collect();
            assert!(figures.len() > 100);
            for (at, words) in figures {
                let found = read(&words, Quantity::Length, units).expect("a length");
                assert!((found - at).abs() < 1e-9, "{words}: {found} at {at}");
            }
        }
        assert_eq!(ruler_figure(83, Units::FeetInch), "6'-11\"");
        assert_eq!([0, -14].map(|number| ruler_figure(number, Units::FeetInch)), ["0\"", "−1'-2\""]);
    }
}
