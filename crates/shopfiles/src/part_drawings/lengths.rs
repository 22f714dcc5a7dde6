//! Lengths as they stand on part drawings and their lists. Where a project is in feet and inches, what is
//! milled or bored is told in decimal inches alone, so that no fraction stands for what it only comes near
//! to; what is sawn also in feet, inches and 64ths, for the tape.

use overarm_solver::{MM_PER_INCH, Units, show_length};

use crate::sheet::figures::{decimal, length};

/// A size, without a unit but for the inch's mark: to 0.01 mm or 0.001 in.
pub(super) fn size(mm: f64, units: Units) -> String {
    match units {
        Units::FeetInch => format!("{}\"", decimal(mm, units)),
        Units::Millimetre | Units::Inch => length(mm, units),
    }
}

/// A length to be sawn to: as [`size`]; in feet and inches to the nearest 64th, and behind it the decimal inch in
/// brackets where it is not just that.
pub(super) fn sawn(mm: f64, units: Units) -> String {
    /// Parts of an inch that the fraction is told to; inches that arithmetic may be off.
    const SIXTY_FOURTHS: f64 = 64.0;
    const NOISE: f64 = 1e-6;
    if units != Units::FeetInch {
        return size(mm, units);
    }
    let parts = mm / MM_PER_INCH * SIXTY_FOURTHS;
    let fraction = show_length(mm, units).replace(' ', "\u{a0}");
    // Less than an inch is decimal already.
    if (parts - parts.round()).abs() < NOISE * SIXTY_FOURTHS || fraction == size(mm, units) {
        fraction
    } else {
        format!("{fraction} ({})", size(mm, units))
    }
}

/// What a sheet says of its figures; `None` where one unit and one way of writing it is all.
pub(super) fn note(units: Units) -> Option<&'static str> {
    (units == Units::FeetInch).then_some(
        "Sizes are decimal inches. Sawn lengths are rounded to the nearest 64th; where that moves them, the decimal inch stands behind in brackets.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_fraction_stands_for_what_it_only_comes_near_to() {
        let said = |mm: f64| (size(mm, Units::FeetInch), sawn(mm, Units::FeetInch));
        // 500.47 mm are 19.70354 in, and 45/64 are 0.703125: by hand 0.0004 in apart.
        assert_eq!(said(500.47), ("19.704\"".into(), "1'\u{a0}7-45/64\" (19.704\")".into()));
        assert_eq!(said(485.79), ("19.126\"".into(), "1'\u{a0}7-1/8\" (19.126\")".into()));
        // What is a fraction is told by it alone.
        assert_eq!(said(38.1), ("1.500\"".into(), "1-1/2\"".into()));
        assert_eq!(said(19.5 * 25.4), ("19.500\"".into(), "1'\u{a0}7-1/2\"".into()));
        assert_eq!(said(25.0), ("0.984\"".into(), "0.984\"".into()));
        assert_eq!((size(38.1, Units::Inch), sawn(38.1, Units::Millimetre)), ("1.500".into(), "38.10".into()));
    }
}
