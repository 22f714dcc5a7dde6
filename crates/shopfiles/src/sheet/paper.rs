//! Sizes of paper, exact, and which of them a project is printed on.

use overarm_solver::{MM_PER_INCH, Units};

/// A sheet of paper as it lies: width and height, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paper {
    /// As people ask for it: "A4", "Letter".
    pub name: &'static str,
    /// mm.
    pub width: f64,
    /// mm.
    pub height: f64,
}

impl Paper {
    /// ISO 216, upright.
    pub const A4: Self = Self { name: "A4", width: 210.0, height: 297.0 };
    /// ISO 216, lying.
    pub const A3: Self = Self { name: "A3", width: 420.0, height: 297.0 };
    /// 8 1/2 by 11 in (ANSI/ASME Y14.1 A), upright.
    pub const LETTER: Self = Self { name: "Letter", width: 8.5 * MM_PER_INCH, height: 11.0 * MM_PER_INCH };
    /// 17 by 11 in (ANSI/ASME Y14.1 B), lying.
    pub const TABLOID: Self = Self { name: "Tabloid", width: 17.0 * MM_PER_INCH, height: 11.0 * MM_PER_INCH };

    /// What every printer takes: A4, or Letter where a project is in inches.
    #[must_use]
    pub fn of_office(units: Units) -> Self {
        match units {
            Units::Millimetre => Self::A4,
            Units::Inch | Units::FeetInch => Self::LETTER,
        }
    }

    /// What drawings are made on: twice the size of [`Paper::of_office`].
    #[must_use]
    pub fn of_drawings(units: Units) -> Self {
        match units {
            Units::Millimetre => Self::A3,
            Units::Inch | Units::FeetInch => Self::TABLOID,
        }
    }
}
