//! The small ball bearings that hinges take: one table, and the user's own.
//!
//! Sizes: ISO 15:2017 series as printed in makers' catalogues (NMB, NSK, KYK, SKF, FBJ and the
//! DIN 625-1 table of an open parts library); the inch R series from NSK and FBJ catalogues and a
//! web table. Ratings: the **lowest** of the catalogues' range, since makers fit different ball
//! sets in the thin series. A maker's own figures go into the project as the user's own bearing.
//! The width of a shielded 684 is from memory.

use crate::project::{BearingWanted, OwnBearing};
use crate::units::MM_PER_INCH;

/// A deep groove ball bearing of the table. Millimetres and newtons.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Listed {
    /// Basic designation, without codes for shields or seals.
    pub designation: &'static str,
    /// Bore diameter, mm.
    pub bore: f64,
    /// Outside diameter, mm.
    pub outside: f64,
    /// Width without shields, mm.
    pub width_open: f64,
    /// Width with shields or seals, mm.
    pub width_shielded: f64,
    /// Static rating C0, N: lowest of the catalogues.
    pub static_n: f64,
    /// Dynamic rating C, N: lowest of the catalogues.
    pub dynamic_n: f64,
}

/// A row in millimetres: bore, outside, width open and shielded; C, C0 in newtons.
const fn metric(designation: &'static str, size: [f64; 4], [dynamic_n, static_n]: [f64; 2]) -> Listed {
    let [bore, outside, width_open, width_shielded] = size;
    Listed { designation, bore, outside, width_open, width_shielded, static_n, dynamic_n }
}

/// The same in inches.
const fn inch(designation: &'static str, size: [f64; 4], ratings: [f64; 2]) -> Listed {
    let [bore, outside, open, shielded] = size;
    metric(designation, [from_inch(bore), from_inch(outside), from_inch(open), from_inch(shielded)], ratings)
}

/// Millimetres, to a nanometre: 3/8 in is 9.525 and not its neighbour.
const fn from_inch(inches: f64) -> f64 {
    const PER_MM: f64 = 1e6;
    (inches * MM_PER_INCH * PER_MM).round() / PER_MM
}

/// All that are known by name. Sources at the top of this file.
pub const TABLE: [Listed; 32] = [
    metric("623", [3.0, 10.0, 4.0, 4.0], [540.0, 180.0]),
    metric("624", [4.0, 13.0, 5.0, 5.0], [936.0, 290.0]),
    metric("625", [5.0, 16.0, 5.0, 5.0], [1140.0, 380.0]),
    metric("626", [6.0, 19.0, 6.0, 6.0], [2335.0, 885.0]),
    metric("607", [7.0, 19.0, 6.0, 6.0], [2340.0, 885.0]),
    metric("627", [7.0, 22.0, 7.0, 7.0], [3286.0, 1350.0]),
    metric("608", [8.0, 22.0, 7.0, 7.0], [3296.0, 1350.0]),
    metric("628", [8.0, 24.0, 8.0, 8.0], [3297.0, 1368.0]),
    metric("609", [9.0, 24.0, 7.0, 7.0], [3297.0, 1368.0]),
    metric("629", [9.0, 26.0, 8.0, 8.0], [4550.0, 1950.0]),
    metric("684", [4.0, 9.0, 2.5, 4.0], [540.0, 180.0]),
    metric("685", [5.0, 11.0, 3.0, 5.0], [637.0, 255.0]),
    metric("686", [6.0, 13.0, 3.5, 5.0], [884.0, 345.0]),
    metric("687", [7.0, 14.0, 3.5, 5.0], [1170.0, 510.0]),
    metric("688", [8.0, 16.0, 4.0, 5.0], [1256.0, 570.0]),
    metric("689", [9.0, 17.0, 4.0, 5.0], [1330.0, 640.0]),
    metric("6000", [10.0, 26.0, 8.0, 8.0], [4550.0, 1960.0]),
    metric("6001", [12.0, 28.0, 8.0, 8.0], [5100.0, 2360.0]),
    metric("6002", [15.0, 32.0, 9.0, 9.0], [5600.0, 2830.0]),
    metric("6003", [17.0, 35.0, 10.0, 10.0], [6000.0, 3250.0]),
    metric("6800", [10.0, 19.0, 5.0, 5.0], [1380.0, 585.0]),
    metric("6801", [12.0, 21.0, 5.0, 5.0], [1430.0, 670.0]),
    metric("6802", [15.0, 24.0, 5.0, 5.0], [2070.0, 1258.0]),
    metric("6803", [17.0, 26.0, 5.0, 5.0], [2230.0, 1460.0]),
    metric("6900", [10.0, 22.0, 6.0, 6.0], [2700.0, 1270.0]),
    metric("6901", [12.0, 24.0, 6.0, 6.0], [2890.0, 1460.0]),
    inch("R2", [0.125, 0.375, 0.1562, 0.1562], [630.0, 218.0]),
    inch("R3", [0.1875, 0.5, 0.1562, 0.196], [1300.0, 485.0]),
    inch("R4", [0.25, 0.625, 0.196, 0.196], [1481.0, 618.0]),
    inch("R6", [0.375, 0.875, 0.2188, 0.2812], [3350.0, 1410.0]),
    inch("R8", [0.5, 1.125, 0.25, 0.3125], [5111.0, 2413.0]),
    inch("R188", [0.25, 0.5, 0.125, 0.1875], [1080.0, 440.0]),
];

/// Codes for shields and seals that a designation may end in, and the words said for them.
const SHIELDS: [&str; 6] = ["2RS1", "2RS", "ZZ", "2Z", "RS", "Z"];

/// A designation without spaces, dashes and case; whether a code for shields or seals was on it.
fn basic(designation: &str) -> (String, bool) {
    let plain = designation.trim().split(['-', ' ']).next().unwrap_or_default().to_ascii_uppercase();
    let after = designation.trim().get(plain.len()..).unwrap_or_default().trim_start_matches(['-', ' ']);
    let coded = SHIELDS.iter().any(|code| after.to_ascii_uppercase().starts_with(code));
    match SHIELDS.iter().find_map(|code| plain.strip_suffix(code)) {
        Some(stripped) => (stripped.to_owned(), true),
        None => (plain, coded),
    }
}

/// The bearing of a designation; a code for shields or seals (`ZZ`, `-2RS`) on it changes nothing
/// but which width holds. The long way of writing thin series is known too: 618/8 is 688, 61800 is
/// 6800, 61900 is 6900.
#[must_use]
pub fn listed(designation: &str) -> Option<&'static Listed> {
    let (plain, _) = basic(designation);
    let long = |from: &str, to: &str| plain.strip_prefix(from).map(|rest| format!("{to}{rest}"));
    let plain = long("618/", "68").or_else(|| long("6180", "680")).or_else(|| long("6190", "690")).unwrap_or(plain);
    TABLE.iter().find(|bearing| bearing.designation == plain)
}

/// The bore of a designation, mm; `None` when it is not in the list.
#[must_use]
pub fn bore_of(designation: &str) -> Option<f64> {
    listed(designation).map(|bearing| bearing.bore)
}

/// A bearing as a project takes it. Millimetres and newtons.
#[derive(Clone, Debug, PartialEq)]
pub struct Bearing {
    /// As the user wrote it, or `own bearing`.
    pub name: String,
    /// Bore diameter, mm.
    pub bore: f64,
    /// Outside diameter, mm.
    pub outside: f64,
    /// Width of what was asked for, mm.
    pub width: f64,
    /// Static rating C0, N; from the table it is the lowest of the catalogues.
    pub static_n: Option<f64>,
    /// Dynamic rating C, N; from the table it is the lowest of the catalogues.
    pub dynamic_n: Option<f64>,
}

impl Bearing {
    /// The bearing that a project gives; `None` where it gives none that is known.
    #[must_use]
    pub fn of_project(project: &crate::project::Project) -> Option<Self> {
        Self::wanted(project.joints.as_ref()?.bearing.as_ref()?)
    }

    /// What a project asks for; `None` when its designation is not in the list.
    #[must_use]
    pub fn wanted(wanted: &BearingWanted) -> Option<Self> {
        match wanted {
            BearingWanted::Designation(name) => {
                let bearing = listed(name)?;
                let (_, shielded) = basic(name);
                Some(Self {
                    name: name.trim().to_owned(),
                    bore: bearing.bore,
                    outside: bearing.outside,
                    width: if shielded { bearing.width_shielded } else { bearing.width_open },
                    static_n: Some(bearing.static_n),
                    dynamic_n: Some(bearing.dynamic_n),
                })
            }
            BearingWanted::Own(OwnBearing { bore, outside, width, static_n, dynamic_n, more: _ }) => Some(Self {
                name: "own bearing".into(),
                bore: *bore,
                outside: *outside,
                width: *width,
                static_n: *static_n,
                dynamic_n: *dynamic_n,
            }),
        }
    }

    /// How far below nominal the bore may be, mm (ISO 492 class Normal); never above.
    #[must_use]
    pub fn bore_tolerance(&self) -> Option<f64> {
        tolerance_of_bore(self.bore)
    }

    /// How far below nominal the outside diameter may be, mm (ISO 492 class Normal); never above.
    #[must_use]
    pub fn outside_tolerance(&self) -> Option<f64> {
        tolerance_of_outside(self.outside)
    }
}

/// Below nominal, mm, by a size and the steps of a table; `None` outside it.
fn step(size: f64, steps: &[(f64, f64)]) -> Option<f64> {
    if size > 0.0 { steps.iter().find(|(end, _)| size <= *end).map(|(_, below)| *below) } else { None }
}

/// Tolerance of a bore below nominal, mm, for a bore in mm: ISO 492 class Normal, mean diameter.
///
/// Source: NSK catalogue, 2.5 to 30 mm. Outside these, up to 80 mm, from memory.
#[must_use]
pub fn tolerance_of_bore(bore: f64) -> Option<f64> {
    step(bore, &[(18.0, 0.008), (30.0, 0.010), (50.0, 0.012), (80.0, 0.015)])
}

/// Tolerance of an outside diameter below nominal, mm, for a diameter in mm: ISO 492 class Normal,
/// mean diameter.
///
/// Source: NSK catalogue, 6 to 80 mm. Up to 6 mm from memory.
#[must_use]
pub fn tolerance_of_outside(outside: f64) -> Option<f64> {
    step(outside, &[(18.0, 0.008), (30.0, 0.009), (50.0, 0.011), (80.0, 0.013)])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn designations() {
        assert_eq!(bore_of("608"), Some(8.0));
        assert_eq!(bore_of("688zz"), Some(8.0));
        assert_eq!(bore_of("6000-2RS"), Some(10.0));
        assert_eq!(bore_of("R6"), Some(9.525));
        assert_eq!(bore_of("618/8-2RS"), Some(8.0));
        assert_eq!(bore_of("61800"), Some(10.0));
        assert_eq!(bore_of("61901ZZ"), Some(12.0));
        assert_eq!(bore_of("618/18"), None);
        assert_eq!(bore_of("nonsense"), None);
        assert_eq!(bore_of(""), None);
    }

    #[test]
    fn width_by_shields() {
        let width = |name: &str| Bearing::wanted(&BearingWanted::Designation(name.into())).map(|b| b.width);
        assert_eq!(width("688"), Some(4.0));
        for name in ["688ZZ", "688-2RS", "688 zz", "688-2Z"] {
            assert_eq!(width(name), Some(5.0), "{name}");
        }
        assert_eq!(width("688-"), Some(4.0));
        assert_eq!(width("68é"), None);
    }

    /// Bearings are longer across than through, and hold what their size can.
    #[test]
    fn rows_make_sense() {
        for (place, row) in TABLE.iter().enumerate() {
            assert!(TABLE[..place].iter().all(|other| other.designation != row.designation), "{row:?}");
            assert!(row.bore < row.outside && row.width_open <= row.width_shielded, "{row:?}");
            assert!(row.static_n < row.dynamic_n, "{row:?}");
            let named = Bearing::wanted(&BearingWanted::Designation(row.designation.into())).unwrap();
            assert!(named.bore_tolerance().is_some() && named.outside_tolerance().is_some(), "{row:?}");
        }
    }

    /// NSK catalogue, ISO 492 class Normal: below nominal, µm.
    #[test]
    fn class_normal() {
        let microns = |below: Option<f64>| below.map(|below| (below * 1e3).round());
        assert_eq!(microns(tolerance_of_bore(8.0)), Some(8.0));
        assert_eq!(microns(tolerance_of_bore(20.0)), Some(10.0));
        for (outside, below) in [(16.0, 8.0), (18.0, 8.0), (22.0, 9.0), (30.0, 9.0), (32.0, 11.0), (62.0, 13.0)] {
            assert_eq!(microns(tolerance_of_outside(outside)), Some(below), "{outside}");
        }
        assert_eq!(tolerance_of_outside(90.0), None);
        assert_eq!(tolerance_of_bore(f64::NAN), None);
    }
}
