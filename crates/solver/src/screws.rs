//! Screws in wood: sizes, and what one may carry along its axis.
//!
//! After the National Design Specification for Wood Construction (NDS 2018, ANSI/AWC), read through
//! public notes that quote it and check its tables. The NDS works in inches and pounds; here
//! everything is mm, N and MPa. Design values for normal load duration, dry wood, to be multiplied by
//! the factors of [`Conditions`]; about a fifth of the average strength. Local code decides.

use crate::units::MM_PER_INCH;

/// One pound force, N (the pound at standard gravity).
pub(crate) const NEWTON_PER_POUND: f64 = 0.453_592_37 * 9.806_65;
/// One pound force per square inch, MPa.
pub const MPA_PER_PSI: f64 = NEWTON_PER_POUND / (MM_PER_INCH * MM_PER_INCH);

/// What is driven in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A wood screw.
    WoodScrew,
    /// A lag screw, 1/4 in and thicker.
    LagScrew,
    /// A nail: for comparison, never for hanging weight.
    Nail,
}

/// A fastener.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Screw {
    /// What it is.
    pub kind: Kind,
    /// Nominal, mm.
    pub diameter: f64,
    /// At the root of the thread, mm.
    pub root: f64,
    /// Of the head, mm; where it is known.
    pub head: Option<f64>,
    /// Bending yield strength, MPa.
    pub bending_yield: f64,
}

/// Number, then diameter, root and head, in. Source: NDS 2018, table L3.
const WOOD_SCREWS: [(u32, f64, f64, f64); 7] = [
    (6, 0.138, 0.113, 0.262),
    (7, 0.151, 0.122, 0.287),
    (8, 0.164, 0.131, 0.312),
    (9, 0.177, 0.142, 0.337),
    (10, 0.190, 0.152, 0.363),
    (12, 0.216, 0.171, 0.414),
    (14, 0.242, 0.196, 0.480),
];

/// Diameter and root of lag screws, in. Source: NDS 2018, table L2, from memory.
const LAG_SCREWS: [(f64, f64); 3] = [(0.25, 0.173), (0.3125, 0.227), (0.375, 0.265)];

/// Upper end of a range of diameters, in, and bending yield strength, ksi, of wood screws, lag screws
/// and nails. Source: NDS 2018, table 12L and its companions. It starts at 0.099 in.
const BENDING_YIELD: [(f64, f64); 5] = [(0.142, 100.0), (0.177, 90.0), (0.236, 80.0), (0.273, 70.0), (0.344, 60.0)];

/// The thinnest that the bending yield strengths cover, in.
const THINNEST: f64 = 0.099;

/// Root over diameter where the size is not listed: the smallest ratio of those that are (No. 12, and
/// lag screws of 1/4 in), so that it is not told too strong.
const ROOT_SHARE: f64 = 0.79;
const LAG_ROOT_SHARE: f64 = 0.69;

/// Two diameters closer than this, mm, are the same size: screws are made to about a tenth.
const SAME_SIZE_MM: f64 = 0.05;

/// Specific gravity of wood (oven-dry) by kind. Source: NDS 2018, table 12.3.3A.
pub const WOODS: [(&str, f64); 8] = [
    ("douglas fir-larch", 0.50),
    ("douglas fir, south", 0.46),
    ("southern pine", 0.55),
    ("hem-fir", 0.43),
    ("spruce-pine-fir", 0.42),
    ("spruce-pine-fir, south", 0.36),
    ("red oak", 0.67),
    ("yellow poplar", 0.43),
];

/// Common spacings of studs, middle to middle, mm: 16 in and 24 in (IRC, R602.3).
pub const STUD_SPACINGS: [f64; 2] = [406.4, 609.6];
/// A stud's real size, mm: a "2×4" (1.5 × 3.5 in). The wall bar's screws must find its 38 mm.
pub const STUD: [f64; 2] = [38.1, 88.9];

/// Duration factors. Source: NDS 2018, table 2.3.2. Impact (2.0) is not allowed for connections.
pub const DURATIONS: [(&str, f64); 5] =
    [("permanent", 0.9), ("ten years", 1.0), ("two months", 1.15), ("seven days", 1.25), ("ten minutes", 1.6)];

/// Load duration, wet and warm wood, end grain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// Load duration factor, above 0 and at most 1.6; 0.9 for what always hangs.
    pub duration: f64,
    /// Whether the wood gets wet in service.
    pub wet: bool,
    /// The warmest the wood gets for long, °C.
    pub celsius: f64,
    /// Whether the screw goes into end grain.
    pub end_grain: bool,
}

impl Default for Conditions {
    /// A load that always hangs, dry, at room temperature, in side grain.
    fn default() -> Self {
        Self { duration: 0.9, wet: false, celsius: 20.0, end_grain: false }
    }
}

/// Why a screw cannot be computed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ScrewRefused {
    /// Not a positive number.
    NotPositive(&'static str, f64),
    /// Outside the sizes that the NDS covers, mm.
    Diameter(f64),
    /// Its head is in no table, mm of the screw; through a wooden bar it decides.
    Head(f64),
    /// Specific gravity that no wood of the tables has.
    Gravity(f64),
    /// Load duration factor not above 0 and at most 1.6.
    Duration(f64),
    /// Warmer than the tables go, °C.
    Warm(f64),
    /// Not deep enough in the wood, mm.
    TooShort {
        /// As given.
        penetration: f64,
        /// As wanted.
        least: f64,
    },
}

/// Bending yield strength of a screw of a diameter in mm, MPa.
fn yield_of_any(diameter: f64) -> Result<f64, ScrewRefused> {
    let inches = diameter / MM_PER_INCH;
    // Thicker than the list of bending yield strengths goes: 45 ksi, NDS table 12K, from memory.
    let thick = (inches > 0.344 && inches <= 0.376).then_some(45e3 * MPA_PER_PSI);
    bending_yield(inches).or(thick).ok_or(ScrewRefused::Diameter(diameter))
}

impl ScrewRefused {
    /// What is wrong and what would help.
    #[must_use]
    pub fn sentence(&self) -> String {
        match *self {
            Self::NotPositive(what, given) => format!("The {what} of a screw is {given}: give it above 0."),
            Self::Diameter(given) => {
                format!("No values for screws {given:.2} mm thick: give 2.5 to 9.5 mm, or the maker's own values.")
            }
            Self::Head(given) => format!(
                "How well the head of a screw {given:.2} mm thick holds in a wooden bar is in no table: take a size listed, No. 10 is 4.83 mm, or a metal bar."
            ),
            Self::Gravity(given) => {
                format!("A specific gravity of {given} is no wood's of the tables: give 0.31 to 0.73, spruce has 0.42.")
            }
            Self::Duration(given) => {
                format!(
                    "A load duration factor of {given} is not allowed for screws: 0.9 for what always hangs, at most 1.6."
                )
            }
            Self::Warm(given) => format!("No values for wood at {given:.0} °C: the tables end at 65 °C."),
            Self::TooShort { penetration, least } => format!(
                "The screws reach {penetration:.1} mm into the wood, {least:.1} mm is the least: take longer ones."
            ),
        }
    }
}

fn bending_yield(inches: f64) -> Option<f64> {
    // A hair under the limit of a row still belongs to it after conversion from mm.
    let found = BENDING_YIELD.iter().find(|(up_to, _)| inches <= up_to + 1e-9)?;
    (inches >= THINNEST).then_some(found.1 * 1e3 * MPA_PER_PSI)
}

impl Screw {
    /// A wood screw of its number: 6, 7, 8, 9, 10, 12 or 14.
    #[must_use]
    pub fn number(number: u32) -> Option<Self> {
        let &(_, diameter, root, head) = WOOD_SCREWS.iter().find(|row| row.0 == number)?;
        Some(Self {
            kind: Kind::WoodScrew,
            diameter: diameter * MM_PER_INCH,
            root: root * MM_PER_INCH,
            head: Some(head * MM_PER_INCH),
            bending_yield: bending_yield(diameter)?,
        })
    }

    /// The wood screw of a nominal diameter, mm: a listed size where one is within 0.05 mm; else one
    /// with the thinnest root of those listed and no known head. A thick one is not taken for a lag
    /// screw, whose thread holds more by the book and may reach less: see [`Screw::lag`].
    ///
    /// # Errors
    /// The diameter is outside 2.51…9.53 mm (0.099…0.375 in).
    pub fn of_diameter(diameter: f64) -> Result<Self, ScrewRefused> {
        let listed = WOOD_SCREWS.iter().find(|row| (row.1 * MM_PER_INCH - diameter).abs() <= SAME_SIZE_MM);
        if let Some(screw) = listed.and_then(|row| Self::number(row.0)) {
            return Ok(screw);
        }
        let bending_yield = yield_of_any(diameter)?;
        Ok(Self { kind: Kind::WoodScrew, diameter, root: ROOT_SHARE * diameter, head: None, bending_yield })
    }

    /// The lag screw of a nominal diameter, mm, from 1/4 in on; without a known head.
    ///
    /// # Errors
    /// The diameter is outside 6.30…9.53 mm.
    pub fn lag(diameter: f64) -> Result<Self, ScrewRefused> {
        if diameter < LAG_SCREWS[0].0 * MM_PER_INCH - SAME_SIZE_MM {
            return Err(ScrewRefused::Diameter(diameter));
        }
        let listed = LAG_SCREWS.iter().find(|row| (row.0 * MM_PER_INCH - diameter).abs() <= SAME_SIZE_MM);
        let root = listed.map_or(LAG_ROOT_SHARE * diameter, |row| row.1 * MM_PER_INCH);
        Ok(Self { kind: Kind::LagScrew, diameter, root, head: None, bending_yield: yield_of_any(diameter)? })
    }

    /// Design withdrawal from side grain, N for each mm of thread in the wood.
    ///
    /// NDS 2018, equations 12.2-1 to 12.2-3: lag screws 1800·G^1.5·D^0.75, wood screws 2850·G²·D,
    /// nails 1380·G^2.5·D, in pounds an inch.
    #[must_use]
    pub fn withdrawal(&self, gravity: f64) -> f64 {
        let d = self.diameter / MM_PER_INCH;
        let pounds_an_inch = match self.kind {
            Kind::LagScrew => 1800.0 * gravity.powf(1.5) * d.powf(0.75),
            Kind::WoodScrew => 2850.0 * gravity.powi(2) * d,
            Kind::Nail => 1380.0 * gravity.powf(2.5) * d,
        };
        pounds_an_inch * NEWTON_PER_POUND / MM_PER_INCH
    }

    /// Average withdrawal strength of a wood screw as tested, N for each mm of thread: 15 700·G²·D
    /// pounds an inch, 5.5 times the design value. `None` for others.
    ///
    /// Source: USDA Forest Products Laboratory, Wood Handbook (GTR-190), chapter 8, from memory.
    #[must_use]
    pub fn average_withdrawal(&self, gravity: f64) -> Option<f64> {
        (self.kind == Kind::WoodScrew).then(|| self.withdrawal(gravity) * 15_700.0 / 2850.0)
    }

    /// The least it must reach into the wood, mm: 6 diameters with its tip, a lag screw 4 without.
    #[must_use]
    pub fn least_penetration(&self) -> f64 {
        match self.kind {
            Kind::LagScrew => 4.0 * self.diameter,
            Kind::WoodScrew | Kind::Nail => 6.0 * self.diameter,
        }
    }

    /// How deep it must reach for its full value sideways, mm: 10 diameters, a lag screw 8.
    #[must_use]
    pub fn full_penetration(&self) -> f64 {
        match self.kind {
            Kind::LagScrew => 8.0 * self.diameter,
            Kind::WoodScrew | Kind::Nail => 10.0 * self.diameter,
        }
    }

    /// The lead hole for the thread, mm, of a screw that is pulled on: 90 % of the root in wood of
    /// gravity above 0.6, 70 % above 0.5; none is required in lighter wood (NDS 2018, 12.1.5.2 and
    /// its commentary), where 70 % is still common practice.
    #[must_use]
    pub fn lead_hole(&self, gravity: f64) -> LeadHole {
        if gravity > 0.6 {
            LeadHole { diameter: 0.9 * self.root, required: true }
        } else {
            LeadHole { diameter: 0.7 * self.root, required: gravity > 0.5 }
        }
    }
}

/// A lead hole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeadHole {
    /// mm.
    pub diameter: f64,
    /// Whether the NDS requires one.
    pub required: bool,
}

/// What it takes to pull a head through a wooden side piece, N (design value).
///
/// NDS 2018, equation 12.2-6: 690π·DH·G²·t, for pieces thicker than 2.5·DH no more than
/// 1725π·DH²·G², in pounds and inches (formula from memory; cells of table 12.2F agree).
#[must_use]
pub fn pull_through(head: f64, thickness: f64, gravity: f64) -> f64 {
    let (head, thickness) = (head / MM_PER_INCH, thickness / MM_PER_INCH);
    690.0 * std::f64::consts::PI * head * gravity * gravity * thickness.min(2.5 * head) * NEWTON_PER_POUND
}

impl Conditions {
    /// Checks the factors.
    ///
    /// # Errors
    /// The duration factor is not above 0 and at most 1.6, or the wood is warmer than 65.5 °C (150 °F).
    pub fn check(&self) -> Result<(), ScrewRefused> {
        if !(self.duration > 0.0 && self.duration <= 1.6) {
            return Err(ScrewRefused::Duration(self.duration));
        }
        if self.celsius.is_nan() || self.celsius > 65.5 {
            return Err(ScrewRefused::Warm(self.celsius));
        }
        Ok(())
    }

    /// What design values are multiplied by, whichever way the load acts: duration, 0.7 where wet
    /// (NDS table 11.3.3), 0.8 above 37.8 °C, 0.7 above 51.7 °C in dry wood (table 11.3.4); in wet
    /// wood 0.7 and 0.5, from memory.
    #[must_use]
    pub fn factor(&self) -> f64 {
        let wet = if self.wet { 0.7 } else { 1.0 };
        let warm = match self.celsius {
            warm if warm > 51.7 => [0.7, 0.5],
            warm if warm > 37.8 => [0.8, 0.7],
            _ => [1.0, 1.0],
        };
        self.duration * wet * warm[usize::from(self.wet)]
    }

    /// What withdrawal is multiplied by besides: a wood screw or nail may not be pulled out of end
    /// grain at all (0), a lag screw has 0.75.
    #[must_use]
    pub fn end_grain_withdrawal(&self, kind: Kind) -> f64 {
        match (self.end_grain, kind) {
            (false, _) => 1.0,
            (true, Kind::LagScrew) => 0.75,
            (true, Kind::WoodScrew | Kind::Nail) => 0.0,
        }
    }

    /// What the value sideways is multiplied by besides: 0.67 in end grain.
    #[must_use]
    pub fn end_grain_sideways(&self) -> f64 {
        if self.end_grain { 0.67 } else { 1.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(ours: f64, expected: f64, within: f64) {
        assert!((ours - expected).abs() <= within, "{ours} against {expected}");
    }

    fn pounds_an_inch(screw: &Screw, gravity: f64) -> f64 {
        screw.withdrawal(gravity) / NEWTON_PER_POUND * MM_PER_INCH
    }

    /// NDS 2018, tables 12.2A, 12.2B, 12.2C; engineeringtoolbox's table of wood screws.
    #[test]
    fn withdrawal_of_the_tables() {
        let ten = Screw::number(10).unwrap();
        near(pounds_an_inch(&ten, 0.50), 135.0, 0.5);
        near(pounds_an_inch(&ten, 0.45), 109.65, 0.005);
        let lag = Screw::lag(6.35).unwrap();
        assert_eq!(lag.kind, Kind::LagScrew);
        near(pounds_an_inch(&lag, 0.50), 225.0, 0.05);
        let nail =
            Screw { kind: Kind::Nail, diameter: 0.131 * 25.4, root: 0.131 * 25.4, head: None, bending_yield: 690.0 };
        near(pounds_an_inch(&nail, 0.50), 32.0, 0.05);
    }

    /// Recomputed from the same equation, No. 8 and No. 10 by specific gravity.
    #[test]
    fn withdrawal_by_gravity() {
        let rows = [(0.42, 82.4, 95.5), (0.43, 86.4, 100.1), (0.50, 116.9, 135.4), (0.55, 141.4, 163.8)];
        for (gravity, eight, ten) in rows {
            near(pounds_an_inch(&Screw::number(8).unwrap(), gravity), eight, 0.06);
            near(pounds_an_inch(&Screw::number(10).unwrap(), gravity), ten, 0.06);
        }
        near(Screw::number(10).unwrap().withdrawal(0.42), 16.73, 0.005);
    }

    /// A worked example of public notes: No. 10, 1.5 in of thread, spruce-pine-fir: 143.3 lb, 637 N;
    /// 129 lb where it always hangs.
    #[test]
    fn worked_example() {
        let screw = Screw::of_diameter(4.83).unwrap();
        assert_eq!(Some(screw), Screw::number(10));
        let holds = screw.withdrawal(0.42) * 1.5 * 25.4;
        near(holds, 637.0, 0.5);
        near(holds / NEWTON_PER_POUND, 143.3, 0.05);
        near(holds * Conditions::default().factor() / NEWTON_PER_POUND, 129.0, 0.1);
        near(screw.average_withdrawal(0.42).unwrap() / screw.withdrawal(0.42), 5.51, 0.005);
    }

    /// NDS 2018, table 12.2F, three cells.
    #[test]
    fn heads_pulled_through() {
        for (head, thickness, gravity, pounds) in
            [(0.234, 0.3125, 0.5, 40.0), (0.312, 1.0, 0.5, 132.0), (0.5, 1.5, 0.42, 239.0)]
        {
            near(pull_through(head * 25.4, thickness * 25.4, gravity) / NEWTON_PER_POUND, pounds, 0.5);
        }
    }

    /// NDS 2018, table L3.
    #[test]
    fn sizes() {
        let rows = [
            (6, 0.138, 0.113, 0.262, 100.0),
            (7, 0.151, 0.122, 0.287, 90.0),
            (8, 0.164, 0.131, 0.312, 90.0),
            (9, 0.177, 0.142, 0.337, 90.0),
            (10, 0.190, 0.152, 0.363, 80.0),
            (12, 0.216, 0.171, 0.414, 80.0),
            (14, 0.242, 0.196, 0.480, 70.0),
        ];
        for (number, diameter, root, head, ksi) in rows {
            let screw = Screw::number(number).unwrap();
            near(screw.diameter, diameter * 25.4, 1e-9);
            near(screw.root, root * 25.4, 1e-9);
            near(screw.head.unwrap(), head * 25.4, 1e-9);
            near(screw.bending_yield, ksi * 6.894_757, 1e-3);
            assert_eq!(Screw::of_diameter(diameter * 25.4), Ok(screw), "{number}");
        }
        assert_eq!(Screw::number(11), None);
        // A thick wood screw is told no more than a wood screw's thread, and a thin lag screw is none.
        let thick = Screw::of_diameter(8.0).unwrap();
        assert_eq!(thick.kind, Kind::WoodScrew);
        assert!(thick.withdrawal(0.42) < Screw::lag(8.0).unwrap().withdrawal(0.42));
        near(thick.least_penetration(), 48.0, 1e-9);
        assert!(Screw::lag(5.0).is_err());
        let five = Screw::of_diameter(5.0).unwrap();
        assert!(five.root < 5.0 * 0.152 / 0.190 && five.head.is_none() && five.kind == Kind::WoodScrew);
        for refused in [0.0, -1.0, 1.5, 12.0, f64::NAN] {
            assert!(Screw::of_diameter(refused).is_err(), "{refused}");
        }
    }

    /// NDS 2018, table 2.3.2 and chapter 11: factors.
    #[test]
    fn factors() {
        let dry = Conditions { duration: 1.0, ..Conditions::default() };
        near(dry.factor(), 1.0, 0.0);
        near(Conditions { wet: true, ..dry }.factor(), 0.7, 1e-12);
        near(Conditions { celsius: 45.0, ..dry }.factor(), 0.8, 1e-12);
        near(Conditions { celsius: 60.0, ..dry }.factor(), 0.7, 1e-12);
        let end = Conditions { end_grain: true, ..dry };
        near(end.end_grain_withdrawal(Kind::WoodScrew), 0.0, 0.0);
        near(end.end_grain_withdrawal(Kind::LagScrew), 0.75, 0.0);
        near(end.end_grain_sideways(), 0.67, 0.0);
        for duration in [0.0, 2.0, f64::NAN] {
            assert!(Conditions { duration, ..dry }.check().is_err());
        }
        assert!(Conditions { celsius: 80.0, ..dry }.check().is_err());
        assert_eq!(dry.check(), Ok(()));
        for (row, factor) in DURATIONS.iter().zip([0.9, 1.0, 1.15, 1.25, 1.6]) {
            near(row.1, factor, 0.0);
        }
    }

    /// NDS 2018, 12.1.5.2 and its commentary.
    #[test]
    fn lead_holes() {
        let ten = Screw::number(10).unwrap();
        let oak = ten.lead_hole(0.67);
        near(oak.diameter, 0.9 * 0.152 * 25.4, 1e-9);
        assert!(oak.required);
        let pine = ten.lead_hole(0.55);
        near(pine.diameter, 0.7 * 0.152 * 25.4, 1e-9);
        assert!(pine.required && !ten.lead_hole(0.42).required);
    }
}
