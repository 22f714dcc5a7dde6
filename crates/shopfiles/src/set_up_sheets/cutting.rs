//! Speeds, feeds and paths of cutters. Lengths mm, speeds turns and mm per minute, angles radians.

use std::f64::consts::PI;

/// Turns per minute of a cutter of a diameter at a surface speed in m/min.
pub(super) fn turns(surface: f64, diameter: f64) -> f64 {
    1000.0 * surface / (PI * diameter)
}

/// Feed of a cutter: turns × teeth × chip.
pub(super) fn feed(turns: f64, teeth: u32, chip: f64) -> f64 {
    turns * f64::from(teeth) * chip
}

/// How much thicker than its chip the feed must be where a cutter stands less than half its diameter
/// in the work: 1 / (2·√(r − r²)) with r = width of cut over diameter; 1 from a half on.
pub(super) fn chip_thinning(share: f64) -> f64 {
    if share >= 0.5 || share <= 0.0 { 1.0 } else { 0.5 / (share - share * share).sqrt() }
}

/// Sinking per turn of a helix whose path has a diameter, at a ramp angle.
pub(super) fn helix_pitch(path: f64, ramp: f64) -> f64 {
    PI * path * ramp.tan()
}

/// Feed of the cutter's centre for one of its rim, inside of a bore.
pub(super) fn inside_bore(bore: f64, cutter: f64) -> f64 {
    (bore - cutter) / bore
}

#[cfg(test)]
mod tests {
    use super::*;

    const INCH: f64 = 25.4;
    const FOOT_IN_METRES: f64 = 0.3048;

    #[test]
    fn feed_is_turns_times_teeth_times_chip() {
        // 2500 rpm · 2 · 0.003 in = 15 in/min; 1/4 in with 3 flutes at 18 000 rpm and 200 in/min: 0.0037 in
        // (worked examples of a public feeds-and-speeds primer, recomputed).
        assert!((feed(2500.0, 2, 0.003 * INCH) / INCH - 15.0).abs() < 1e-9);
        let chip = 200.0 / (18_000.0 * 3.0);
        assert!((chip - 0.0037_f64).abs() < 5e-6);
        assert!((feed(18_000.0, 3, chip * INCH) / INCH - 200.0).abs() < 1e-9);
    }

    #[test]
    fn turns_by_surface_speed() {
        // 3.82 · SFM / D, exactly 12/π: 600 ft/min at 1/2 in = 4584 rpm (Machinery's Handbook form).
        let found = turns(600.0 * FOOT_IN_METRES, 0.5 * INCH);
        assert!((found - 4584.0).abs() < 1.0, "{found}");
        assert!((turns(FOOT_IN_METRES, INCH) - 12.0 / PI).abs() < 1e-12);
    }

    #[test]
    fn thin_chips() {
        // Radial chip thinning 1/(2√(r − r²)): published calculators print these to four places.
        for (share, factor) in [(0.5, 1.0), (0.25, 1.1547), (0.10, 1.6667), (0.05, 2.2942), (0.02, 3.5714)] {
            assert!((chip_thinning(share) - factor).abs() < 5e-5, "{share}");
        }
        // 0.002 in becomes 0.00333 in at a tenth.
        assert!((0.002 * chip_thinning(0.1) - 0.003_33).abs() < 5e-6);
        // Engaged over an angle whose cosine is 1 − 2r: 36.870° at a tenth.
        assert!(((1.0 - 0.2_f64).acos().to_degrees() - 36.870).abs() < 5e-4);
    }

    #[test]
    fn a_helix_in_a_bore() {
        // Constructed, checked twice by hand: 22 mm bore, 10 mm cutter, so a path of 12 mm.
        assert!((helix_pitch(12.0, 2f64.to_radians()) - 1.316).abs() < 5e-4);
        assert!((helix_pitch(12.0, 3f64.to_radians()) - 1.976).abs() < 5e-4);
        assert!(((1.0 / (PI * 12.0)).atan().to_degrees() - 1.519).abs() < 5e-4);
        assert!((inside_bore(22.0, 10.0) - 0.5455).abs() < 5e-5);
    }
}
