//! Bore diameters of the small ball bearings that hinges take.

/// ISO 15 bore, mm, by designation: the small metric series and the inch R series.
///
/// Source: ISO 15:2017 series as printed in makers' catalogues; the R series from catalogue tables.
/// A trailing shield or seal code (`ZZ`, `2RS`) does not change the bore.
const BORES: [(&str, f64); 31] = [
    ("623", 3.0),
    ("624", 4.0),
    ("625", 5.0),
    ("626", 6.0),
    ("607", 7.0),
    ("627", 7.0),
    ("608", 8.0),
    ("628", 8.0),
    ("609", 9.0),
    ("629", 9.0),
    ("684", 4.0),
    ("685", 5.0),
    ("686", 6.0),
    ("687", 7.0),
    ("688", 8.0),
    ("689", 9.0),
    ("6000", 10.0),
    ("6001", 12.0),
    ("6002", 15.0),
    ("6003", 17.0),
    ("6800", 10.0),
    ("6801", 12.0),
    ("6802", 15.0),
    ("6803", 17.0),
    ("6900", 10.0),
    ("6901", 12.0),
    ("R2", 3.175),
    ("R3", 4.7625),
    ("R4", 6.35),
    ("R6", 9.525),
    ("R8", 12.7),
];

/// The bore of a designation, mm; `None` when it is not in the list.
#[must_use]
pub fn bore_of(designation: &str) -> Option<f64> {
    let plain = designation.trim().split(['-', ' ']).next().unwrap_or_default().to_ascii_uppercase();
    let plain = ["2RS", "ZZ", "RS", "Z"].iter().find_map(|code| plain.strip_suffix(code)).unwrap_or(&plain);
    BORES.iter().find(|(name, _)| *name == plain).map(|(_, bore)| *bore)
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
        assert_eq!(bore_of("nonsense"), None);
    }
}
