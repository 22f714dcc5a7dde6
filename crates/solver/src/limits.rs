//! Limits of holes and shafts up to 80 mm by the rules of ISO 286-1:2010.
//!
//! Three things make a limit: the standard tolerance of the grade (table 1 of the standard, for the
//! size's band), the fundamental deviation of the letter (tables 2 to 5, given for shafts), and for
//! holes either its mirror image or the Δ rule. Sizes and deviations are millimetres.
//!
//! Source of the figures: ISO 286-1:2010 as printed in six open tables that agree (named in
//! `tests/golden/limits`), for F to S and sizes above 3 mm. The first band, up to 3 mm, D and E, and
//! grade 11 are from memory, and agree with the tables of one open package (PyPI `pressfit` 0.1.0)
//! where it has them: all grades, shafts d to h, k, m, n, p and s. IT4, which only serves the Δ of
//! grade 5, and J, j and r up to 3 mm are from memory alone.

use std::fmt;
use std::str::FromStr;

use thiserror::Error;

/// The size above which there is no answer here, mm.
pub const LARGEST: f64 = 80.0;

/// A hole or what goes into it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Feature {
    /// Written with capitals.
    Hole,
    /// Written with small letters.
    Shaft,
}

/// Fundamental deviations from D to S, as letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Letter {
    D,
    E,
    F,
    G,
    H,
    J,
    Js,
    K,
    M,
    N,
    P,
    R,
    S,
}

/// All letters, as shafts are written.
const LETTERS: [(&str, Letter); 13] = [
    ("d", Letter::D),
    ("e", Letter::E),
    ("f", Letter::F),
    ("g", Letter::G),
    ("h", Letter::H),
    ("j", Letter::J),
    ("js", Letter::Js),
    ("k", Letter::K),
    ("m", Letter::M),
    ("n", Letter::N),
    ("p", Letter::P),
    ("r", Letter::R),
    ("s", Letter::S),
];

/// A tolerance class such as N7 or h6: letters D to S, grades 5 to 11.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ToleranceClass {
    /// Hole or shaft.
    pub feature: Feature,
    letter: Letter,
    grade: usize,
}

/// Deviations from the nominal size, mm; positive is larger.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Largest size less nominal.
    pub upper: f64,
    /// Smallest size less nominal.
    pub lower: f64,
}

impl Limits {
    /// The width between both, mm.
    #[must_use]
    pub fn tolerance(self) -> f64 {
        self.upper - self.lower
    }
}

/// Why there are no limits.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum NoLimits {
    /// Not a letter and a grade.
    #[error("\"{0}\" is no tolerance class: write letter and grade, such as N7 for a hole or h6 for a shaft")]
    NotAClass(String),
    /// A hole and a shaft at once.
    #[error("\"{0}\" names a hole and a shaft: write one class, such as N7 or h6")]
    TwoClasses(String),
    /// A letter that is not computed.
    #[error("letter {0} is not computed here: D to S for holes, d to s for shafts")]
    Letter(String),
    /// A grade that is not computed.
    #[error("grade {0} is not computed here: 5 to 11")]
    Grade(String),
    /// J, j or K with a grade that the standard does not give.
    #[error(
        "{0} is not in the standard: J goes with 6 to 8, j with 5 to 7, K with 5 to 8; JS and js go with every grade"
    )]
    NotGiven(String),
    /// A hole where a shaft is wanted, or the reverse.
    #[error("{given} is the class of a {}, and a {} is wanted: write {}", of(*.wanted, false), of(*.wanted, true), swapped(.given))]
    WrongFeature {
        /// As it was written.
        given: String,
        /// What it has to be.
        wanted: Feature,
    },
    /// A size outside the table, mm.
    #[error("{0} mm is outside the sizes computed here: above 0, up to 80 mm")]
    Size(f64),
}

/// The word for a feature, or for the other one.
fn of(feature: Feature, itself: bool) -> &'static str {
    if (feature == Feature::Hole) == itself { "hole" } else { "shaft" }
}

/// Capitals for small letters and the reverse.
fn swapped(class: &str) -> String {
    class.chars().map(|c| if c.is_uppercase() { c.to_ascii_lowercase() } else { c.to_ascii_uppercase() }).collect()
}

/// Upper ends of the bands of standard tolerances, mm, end included. The first is from memory.
const BANDS: [f64; 7] = [3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0];

/// Standard tolerances, µm: grades IT4 to IT11, one row per band (ISO 286-1 table 1). The first
/// row and the columns of IT4 and IT11 are from memory.
const STANDARD: [[i16; 8]; 7] = [
    [3, 4, 6, 10, 14, 25, 40, 60],
    [4, 5, 8, 12, 18, 30, 48, 75],
    [4, 6, 9, 15, 22, 36, 58, 90],
    [5, 8, 11, 18, 27, 43, 70, 110],
    [6, 9, 13, 21, 33, 52, 84, 130],
    [7, 11, 16, 25, 39, 62, 100, 160],
    [8, 13, 19, 30, 46, 74, 120, 190],
];

/// The band of a size; `None` outside the table.
fn band(size: f64) -> Option<usize> {
    if size > 0.0 { BANDS.iter().position(|end| size <= *end) } else { None }
}

/// Standard tolerance in a band, µm.
fn standard(band: usize, grade: usize) -> i16 {
    STANDARD[band][grade - 4]
}

impl Letter {
    /// Magnitude of a shaft's fundamental deviation, µm: below nominal for d to g, above for k to
    /// s (k: grades 4 to 7). Not for h, j and js, where it is 0 or depends on the grade.
    fn magnitude(self, band: usize, size: f64) -> i16 {
        /// r and s are divided finer above 50 mm.
        const FINER: f64 = 65.0;
        let finer = usize::from(size > FINER);
        match self {
            Self::D => [20, 30, 40, 50, 65, 80, 100][band],
            Self::E => [14, 20, 25, 32, 40, 50, 60][band],
            Self::F => [6, 10, 13, 16, 20, 25, 30][band],
            Self::G => [2, 4, 5, 6, 7, 9, 10][band],
            Self::H | Self::J | Self::Js => 0,
            Self::K => [0, 1, 1, 1, 2, 2, 2][band],
            Self::M => [2, 4, 6, 7, 8, 9, 11][band],
            Self::N => [4, 8, 10, 12, 15, 17, 20][band],
            Self::P => [6, 12, 15, 18, 22, 26, 32][band],
            Self::R => [10, 15, 19, 23, 28, 34, 41, 43][band + finer],
            Self::S => [14, 19, 23, 28, 35, 43, 53, 59][band + finer],
        }
    }
}

impl ToleranceClass {
    /// A class of a wanted feature from its text.
    ///
    /// # Errors
    /// When the text is no class that is computed here, or one of the other feature.
    pub fn parse(text: &str, wanted: Feature) -> Result<Self, NoLimits> {
        let class: Self = text.parse()?;
        if class.feature == wanted {
            Ok(class)
        } else {
            Err(NoLimits::WrongFeature { given: class.to_string(), wanted })
        }
    }

    /// Limits at a nominal size, both mm.
    ///
    /// JS of an odd tolerance is not rounded (2010 edition; that of 1988 rounds ±10.5 µm to ±10).
    ///
    /// # Errors
    /// When the size is not above 0 and up to [`LARGEST`].
    pub fn limits(self, size: f64) -> Result<Limits, NoLimits> {
        const MM_PER_UM: f64 = 1e-3;
        let band = band(size).ok_or(NoLimits::Size(size))?;
        let tolerance = standard(band, self.grade);
        if self.letter == Letter::Js {
            let half = 0.5 * f64::from(tolerance) * MM_PER_UM;
            return Ok(Limits { upper: half, lower: -half });
        }
        let upper = match self.feature {
            Feature::Hole => self.hole_upper(band, size, tolerance),
            Feature::Shaft => self.shaft_upper(band, size, tolerance),
        };
        Ok(Limits { upper: f64::from(upper) * MM_PER_UM, lower: f64::from(upper - tolerance) * MM_PER_UM })
    }

    /// µm.
    fn shaft_upper(self, band: usize, size: f64, tolerance: i16) -> i16 {
        let deviation = self.letter.magnitude(band, size);
        match self.letter {
            Letter::D | Letter::E | Letter::F | Letter::G | Letter::H => -deviation,
            Letter::J if self.grade <= 6 => tolerance - [2, 2, 2, 3, 4, 5, 7][band],
            Letter::J => tolerance - [4, 4, 5, 6, 8, 10, 12][band],
            // Above grade 7 the lower limit of k is the nominal size.
            Letter::K if self.grade > 7 => tolerance,
            _ => tolerance + deviation,
        }
    }

    /// µm. Mirror image of the shaft's deviation, plus Δ (this grade less the next finer one) for
    /// K, M, N up to grade 8 and P, R, S up to grade 7, above 3 mm.
    fn hole_upper(self, band: usize, size: f64, tolerance: i16) -> i16 {
        let deviation = self.letter.magnitude(band, size);
        let first = band == 0;
        let last_with_delta = match self.letter {
            Letter::K | Letter::M | Letter::N => 8,
            _ => 7,
        };
        let with_delta = !first && self.grade <= last_with_delta;
        let delta = if with_delta { tolerance - standard(band, self.grade - 1) } else { 0 };
        match self.letter {
            Letter::D | Letter::E | Letter::F | Letter::G | Letter::H => tolerance + deviation,
            Letter::J => match self.grade {
                6 => [2, 5, 5, 6, 8, 10, 13][band],
                7 => [4, 6, 8, 10, 12, 14, 18][band],
                _ => [6, 10, 12, 15, 20, 24, 28][band],
            },
            // Above grade 8, N ends at the nominal size.
            Letter::N if !first && self.grade > 8 => 0,
            _ => delta - deviation,
        }
    }
}

impl FromStr for ToleranceClass {
    type Err = NoLimits;

    fn from_str(text: &str) -> Result<Self, NoLimits> {
        let text = text.trim();
        if text.contains('/') {
            return Err(NoLimits::TwoClasses(text.into()));
        }
        let not_a_class = || NoLimits::NotAClass(text.into());
        let digits = text.find(|c: char| c.is_ascii_digit()).ok_or_else(not_a_class)?;
        let (letters, grade) = text.split_at(digits);
        let letters = letters.trim_end();
        if letters.is_empty() || !letters.chars().all(|c| c.is_ascii_alphabetic()) {
            return Err(not_a_class());
        }
        if !grade.chars().all(|c| c.is_ascii_digit()) {
            return Err(not_a_class());
        }
        let feature = if letters.chars().all(|c| c.is_ascii_uppercase()) {
            Feature::Hole
        } else if letters.chars().all(|c| c.is_ascii_lowercase()) {
            Feature::Shaft
        } else {
            return Err(not_a_class());
        };
        let small = letters.to_ascii_lowercase();
        let letter = LETTERS.iter().find(|(name, _)| *name == small).map(|(_, letter)| *letter);
        let letter = letter.ok_or_else(|| NoLimits::Letter(letters.into()))?;
        let known = grade.parse().ok().filter(|grade: &usize| (5..=11).contains(grade));
        let grade = known.ok_or_else(|| NoLimits::Grade(grade.into()))?;
        let class = Self { feature, letter, grade };
        let given = match (letter, feature) {
            (Letter::J, Feature::Hole) => 6..=8,
            (Letter::J, Feature::Shaft) => 5..=7,
            (Letter::K, Feature::Hole) => 5..=8,
            _ => 5..=11,
        };
        if !given.contains(&grade) {
            return Err(NoLimits::NotGiven(class.to_string()));
        }
        Ok(class)
    }
}

impl fmt::Display for ToleranceClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = LETTERS.iter().find(|(_, letter)| *letter == self.letter).map_or("", |(name, _)| name);
        match self.feature {
            Feature::Hole => write!(f, "{}{}", name.to_ascii_uppercase(), self.grade),
            Feature::Shaft => write!(f, "{name}{}", self.grade),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Upper and lower, µm.
    fn microns(class: &str, size: f64) -> (f64, f64) {
        let limits = class.parse::<ToleranceClass>().unwrap().limits(size).unwrap();
        let rounded = |value: f64| (value * 1e4).round() / 10.0;
        (rounded(limits.upper), rounded(limits.lower))
    }

    /// From memory of ISO 286-2, up to 3 mm; the shafts and H also by PyPI `pressfit` 0.1.0 (not j).
    #[test]
    fn first_band() {
        for (class, expected) in [
            ("F7", (16.0, 6.0)),
            ("G7", (12.0, 2.0)),
            ("H7", (10.0, 0.0)),
            ("J7", (4.0, -6.0)),
            ("JS7", (5.0, -5.0)),
            ("K7", (0.0, -10.0)),
            ("M7", (-2.0, -12.0)),
            ("N7", (-4.0, -14.0)),
            ("N9", (-4.0, -29.0)),
            ("P7", (-6.0, -16.0)),
            ("S7", (-14.0, -24.0)),
            ("H11", (60.0, 0.0)),
            ("d9", (-20.0, -45.0)),
            ("e8", (-14.0, -28.0)),
            ("g6", (-2.0, -8.0)),
            ("h6", (0.0, -6.0)),
            ("j6", (4.0, -2.0)),
            ("k6", (6.0, 0.0)),
            ("p6", (12.0, 6.0)),
        ] {
            assert_eq!(microns(class, 3.0), expected, "{class}");
        }
    }

    /// d, e and grade 11 in every band: PyPI `pressfit` 0.1.0. A hole D or E is the mirror image.
    #[test]
    fn loose_and_coarse() {
        let sizes = [3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0];
        let d9 = [-20.0, -30.0, -40.0, -50.0, -65.0, -80.0, -100.0];
        let e8 = [-14.0, -20.0, -25.0, -32.0, -40.0, -50.0, -60.0];
        let h11 = [-60.0, -75.0, -90.0, -110.0, -130.0, -160.0, -190.0];
        for (place, size) in sizes.into_iter().enumerate() {
            let (d, e) = (microns("d9", size), microns("e8", size));
            assert_eq!((d.0, e.0, microns("h11", size).1), (d9[place], e8[place], h11[place]), "{size}");
            assert_eq!((microns("D9", size), microns("E8", size)), ((-d.1, -d.0), (-e.1, -e.0)), "{size}");
        }
    }

    #[test]
    fn a_band_holds_its_upper_end() {
        assert_eq!(microns("H7", 18.0), (18.0, 0.0));
        assert_eq!(microns("H7", 18.001), (21.0, 0.0));
        assert_eq!(microns("s6", 65.0), (72.0, 53.0));
        assert_eq!(microns("s6", 65.1), (78.0, 59.0));
    }

    /// Coarser than the Δ rule reaches: the plain mirror image, or nominal (ISO 286-1 tables 3, 5).
    #[test]
    fn beyond_the_delta_rule() {
        assert_eq!(microns("P8", 22.0), (-22.0, -55.0));
        assert_eq!(microns("M9", 22.0), (-8.0, -60.0));
        assert_eq!(microns("N9", 22.0), (0.0, -52.0));
        assert_eq!(microns("k8", 22.0), (33.0, 0.0));
    }

    #[test]
    fn refused_in_plain_words() {
        let said = |text: &str| text.parse::<ToleranceClass>().unwrap_err().to_string();
        assert_eq!(
            said("tight"),
            "\"tight\" is no tolerance class: write letter and grade, such as N7 for a hole or h6 for a shaft"
        );
        for text in ["", "7", "N", "Js7", "N7.5", "N-7", "7N", "Ν7", "N7 x"] {
            assert!(matches!(text.parse::<ToleranceClass>(), Err(NoLimits::NotAClass(_))), "{text}");
        }
        assert_eq!(said("H7/h6"), "\"H7/h6\" names a hole and a shaft: write one class, such as N7 or h6");
        assert_eq!(said("ZC7"), "letter ZC is not computed here: D to S for holes, d to s for shafts");
        assert_eq!(said("N4"), "grade 4 is not computed here: 5 to 11");
        assert_eq!(said("N99999999999999999999"), "grade 99999999999999999999 is not computed here: 5 to 11");
        assert!(matches!("J9".parse::<ToleranceClass>(), Err(NoLimits::NotGiven(_))));
        assert!(matches!("K9".parse::<ToleranceClass>(), Err(NoLimits::NotGiven(_))));
        let wrong = ToleranceClass::parse("n7", Feature::Hole).unwrap_err();
        assert_eq!(wrong.to_string(), "n7 is the class of a shaft, and a hole is wanted: write N7");
        let wrong = ToleranceClass::parse("JS6", Feature::Shaft).unwrap_err();
        assert_eq!(wrong.to_string(), "JS6 is the class of a hole, and a shaft is wanted: write js6");
        let class: ToleranceClass = " N7 ".parse().unwrap();
        for size in [0.0, -1.0, 80.1, f64::NAN, f64::INFINITY] {
            assert!(matches!(class.limits(size), Err(NoLimits::Size(_))), "{size}");
        }
    }
}
