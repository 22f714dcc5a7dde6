//! What a number is a number of, and the units that may be typed for it.

use super::exact::Exact;

/// What a number is a number of; the unit in which a project keeps it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Quantity {
    /// Millimetres.
    Length,
    /// Degrees.
    Angle,
    /// Degrees above level, also typed as rise per run.
    Slope,
    /// Kilograms.
    Mass,
    /// Newtons.
    Force,
    /// Newton metres.
    Torque,
    /// Newton metres per radian.
    Stiffness,
    /// Newtons per millimetre.
    SpringRate,
    /// Turns per minute.
    TurnRate,
    /// A plain number.
    Plain,
    /// A whole number from 0.
    Count,
}

/// One unit: the words for it, and how many of the kept unit it is.
pub(super) struct Unit {
    pub(super) words: &'static [&'static str],
    pub(super) numerator: i128,
    pub(super) denominator: i128,
}

impl Unit {
    pub(super) fn size(&self) -> Exact {
        // Every denominator of the lists below is above zero.
        Exact::ratio(self.numerator, self.denominator).unwrap_or(Exact::whole(1))
    }
}

const fn unit(words: &'static [&'static str], numerator: i128, denominator: i128) -> Unit {
    Unit { words, numerator, denominator }
}

/// Inch and foot by the international yard and pound agreement, 1959.
pub(super) const INCH: Unit = unit(&["in", "inch", "inches", "\""], 127, 5);
pub(super) const FOOT: Unit = unit(&["ft", "foot", "feet", "'"], 1524, 5);

const LENGTHS: &[Unit] =
    &[unit(&["mm"], 1, 1), unit(&["cm"], 10, 1), unit(&["m"], 1000, 1), unit(&["µm", "um"], 1, 1000), INCH, FOOT];
const ANGLES: &[Unit] = &[unit(&["°", "deg", "degree", "degrees"], 1, 1)];
const SLOPES: &[Unit] = &[unit(&["°", "deg", "degree", "degrees"], 1, 1)];
/// The pound by the same agreement as the inch.
const MASSES: &[Unit] = &[unit(&["kg"], 1, 1), unit(&["g"], 1, 1000), unit(&["lb", "lbs"], 45_359_237, 100_000_000)];
/// The pound force is the pound at standard gravity, 9.80665 m/s² (3rd CGPM, 1901).
const FORCES: &[Unit] =
    &[unit(&["n"], 1, 1), unit(&["kn"], 1000, 1), unit(&["lbf"], 44_482_216_152_605, 10_000_000_000_000)];
const TORQUES: &[Unit] = &[unit(&["n·m", "nm", "n m"], 1, 1), unit(&["n·mm", "nmm", "n mm"], 1, 1000)];
const STIFFNESSES: &[Unit] = &[unit(&["n·m/rad", "nm/rad", "n m/rad"], 1, 1)];
const SPRING_RATES: &[Unit] = &[unit(&["n/mm"], 1, 1), unit(&["kn/mm"], 1000, 1)];
const TURN_RATES: &[Unit] = &[unit(&["rpm", "/min", "1/min"], 1, 1)];
const PLAIN: &[Unit] = &[unit(&["%"], 1, 100)];

impl Quantity {
    /// The units that may be typed, the kept one first; none for plain counts.
    pub(super) fn units(self) -> &'static [Unit] {
        match self {
            Self::Length => LENGTHS,
            Self::Angle => ANGLES,
            Self::Slope => SLOPES,
            Self::Mass => MASSES,
            Self::Force => FORCES,
            Self::Torque => TORQUES,
            Self::Stiffness => STIFFNESSES,
            Self::SpringRate => SPRING_RATES,
            Self::TurnRate => TURN_RATES,
            Self::Plain => PLAIN,
            Self::Count => &[],
        }
    }

    /// "a length", for sentences about what was expected.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Length => "a length",
            Self::Angle => "an angle",
            Self::Slope => "a slope",
            Self::Mass => "a mass",
            Self::Force => "a force",
            Self::Torque => "a torque",
            Self::Stiffness | Self::SpringRate => "a stiffness",
            Self::TurnRate => "a turning speed",
            Self::Plain => "a number",
            Self::Count => "a whole number",
        }
    }

    /// The units that may be typed, for a sentence.
    pub(super) fn known_units(self) -> &'static str {
        match self {
            Self::Length => "mm, cm, m, µm, in, ft, ' and \"",
            Self::Angle => "° or deg",
            Self::Slope => "° or deg, %, 1:12, or 3 in 12",
            Self::Mass => "kg, g and lb",
            Self::Force => "N, kN and lbf",
            Self::Torque => "N·m and N·mm",
            Self::Stiffness => "N·m/rad",
            Self::SpringRate => "N/mm and kN/mm",
            Self::TurnRate => "rpm",
            Self::Plain => "only %",
            Self::Count => "none",
        }
    }
}
