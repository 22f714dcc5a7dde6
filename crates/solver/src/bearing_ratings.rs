//! Ratings, static safety and life of deep groove ball bearings: ISO 76:2006 and ISO 281:2007.
//!
//! A lift turns its hinges by less than half a turn, a few times a day, at some degrees a second.
//! Life in the sense of ISO 281 counts revolutions until the rolling faces tire: at 400 N on a 608
//! and 20 eighths of a turn a day that is over 100 000 years, so the figure says nothing here.
//! What ends such a bearing is the dent a ball leaves in its standing ring, by static load or a
//! knock. That is the static safety of ISO 76, C0 / P0.

/// The balls of one row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BallSet {
    /// Number of balls.
    pub balls: u32,
    /// Diameter of a ball, mm.
    pub ball_diameter: f64,
    /// Diameter of the circle of their middles, mm. Where unknown, the mean of bore and outside.
    pub pitch_diameter: f64,
}

/// f0 by γ = 0.00, 0.01 … 0.40 (ISO 76:2006 table 1, as printed in GOST 18854-2013).
const STATIC_FACTORS: [f64; 41] = [
    14.7, 14.9, 15.1, 15.3, 15.5, 15.7, 15.9, 16.1, 16.3, 16.5, 16.4, 16.1, 15.9, 15.6, 15.4, 15.2, 14.9, 14.7, 14.4,
    14.2, 14.0, 13.7, 13.5, 13.2, 13.0, 12.8, 12.5, 12.3, 12.1, 11.8, 11.6, 11.4, 11.2, 10.9, 10.7, 10.5, 10.3, 10.0,
    9.8, 9.6, 9.4,
];

/// fc by γ = 0.01, 0.02 … 0.40 (ISO 281:2007, as printed in GOST 18855-2013).
const DYNAMIC_FACTORS: [f64; 40] = [
    29.1, 35.8, 40.3, 43.8, 46.7, 49.1, 51.1, 52.8, 54.3, 55.5, 56.6, 57.5, 58.2, 58.8, 59.3, 59.6, 59.8, 59.9, 60.0,
    59.9, 59.8, 59.6, 59.3, 59.0, 58.6, 58.2, 57.7, 57.1, 56.6, 56.0, 55.3, 54.6, 53.9, 53.2, 52.4, 51.7, 50.9, 50.0,
    49.2, 48.4,
];

/// Between the entries of a table in steps of 0.01 from `first`; `None` outside it.
fn between(table: &[f64], first: f64, gamma: f64) -> Option<f64> {
    let place = (gamma - first) * 100.0;
    let last = table.len().checked_sub(1)?;
    if !(0.0..=last as f64).contains(&place) {
        return None;
    }
    let below = (place.floor() as usize).min(last - 1);
    Some(table[below] + (table[below + 1] - table[below]) * (place - below as f64))
}

impl BallSet {
    /// γ, ball diameter over pitch diameter (radial contact).
    #[must_use]
    pub fn gamma(&self) -> f64 {
        self.ball_diameter / self.pitch_diameter
    }

    /// f0 of ISO 76; `None` for γ outside 0 to 0.40.
    #[must_use]
    pub fn static_factor(&self) -> Option<f64> {
        between(&STATIC_FACTORS, 0.0, self.gamma())
    }

    /// C0 = f0·Z·Dw² (ISO 76, one row, radial contact), N.
    ///
    /// It is the load at which the worst ball presses with 4200 MPa and stays flattened, with its
    /// ring, by about 1/10 000 of its diameter.
    #[must_use]
    pub fn static_rating(&self) -> Option<f64> {
        Some(self.static_factor()? * f64::from(self.balls) * self.ball_diameter.powi(2))
    }

    /// C = 1.3·fc·Z^⅔·Dw^1.8 (ISO 281, one row, radial contact, balls up to 25.4 mm), N.
    #[must_use]
    pub fn dynamic_rating(&self) -> Option<f64> {
        /// bm of ISO 281 for deep groove bearings.
        const MATERIAL: f64 = 1.3;
        /// Balls up to an inch; larger ones have another exponent.
        const LARGEST: f64 = 25.4;
        if self.ball_diameter > LARGEST {
            return None;
        }
        let factor = between(&DYNAMIC_FACTORS, 0.01, self.gamma())?;
        Some(MATERIAL * factor * f64::from(self.balls).powf(2.0 / 3.0) * self.ball_diameter.powf(1.8))
    }
}

/// Static safety C0 / P0; infinite without load.
///
/// Both in N. Least values in use: 1 normally, 1.5 with knocks, 2 where it must turn quietly
/// (ISO 76:2006, as printed in GOST 18854-2013 table 4).
#[must_use]
pub fn static_safety(static_n: f64, radial_n: f64) -> f64 {
    static_n / radial_n.abs()
}

/// P0 of a single-row deep groove bearing, N: the larger of 0.6·Fr + 0.5·Fa and Fr (ISO 76).
#[must_use]
pub fn static_equivalent(radial_n: f64, axial_n: f64) -> f64 {
    (0.6 * radial_n + 0.5 * axial_n).max(radial_n)
}

/// How an axial load counts: P = X·Fr + Y·Fa where Fa / Fr is above e.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxialFactors {
    /// Below this Fa / Fr, the axial load does not count.
    pub e: f64,
    /// X.
    pub radial: f64,
    /// Y.
    pub axial: f64,
}

/// Factors by f0·Fa / C0, for normal play (ISO 281:2007 table 3, as in the NSK catalogue; from
/// memory but for the neighbourhood of 0.78). Held at the ends outside the table.
#[must_use]
pub fn axial_factors(relative: f64) -> AxialFactors {
    /// f0·Fa / C0, e, Y.
    const STEPS: [[f64; 3]; 9] = [
        [0.172, 0.19, 2.30],
        [0.345, 0.22, 1.99],
        [0.689, 0.26, 1.71],
        [1.03, 0.28, 1.55],
        [1.38, 0.30, 1.45],
        [2.07, 0.34, 1.31],
        [3.45, 0.38, 1.15],
        [5.17, 0.42, 1.04],
        [6.89, 0.44, 1.00],
    ];
    /// X of every row.
    const RADIAL: f64 = 0.56;
    let at = relative.clamp(STEPS[0][0], STEPS[8][0]);
    let above = STEPS.iter().position(|row| at <= row[0]).unwrap_or(8).max(1);
    let (low, high) = (STEPS[above - 1], STEPS[above]);
    let share = (at - low[0]) / (high[0] - low[0]);
    let blend = |column: usize| low[column] + (high[column] - low[column]) * share;
    AxialFactors { e: blend(1), radial: RADIAL, axial: blend(2) }
}

/// Dynamic equivalent load P, N (ISO 281).
#[must_use]
pub fn dynamic_equivalent(radial_n: f64, axial_n: f64, factor: f64, static_n: f64) -> f64 {
    let factors = axial_factors(factor * axial_n / static_n);
    if axial_n <= factors.e * radial_n { radial_n } else { factors.radial * radial_n + factors.axial * axial_n }
}

/// Basic rating life L10 in hours at a steady speed, ball bearings: (C / P)³ million turns
/// (ISO 281). Ratings in N, speed in turns a minute.
#[must_use]
pub fn life_hours(dynamic_n: f64, load_n: f64, turns_per_minute: f64) -> f64 {
    life_turns(dynamic_n, load_n) / (60.0 * turns_per_minute)
}

/// Basic rating life L10 in turns, ball bearings: (C / P)³ · 10⁶ (ISO 281).
#[must_use]
pub fn life_turns(dynamic_n: f64, load_n: f64) -> f64 {
    (dynamic_n / load_n).powi(3) * 1e6
}

/// The dynamic rating that reaches a life, N.
#[must_use]
pub fn rating_for_life(load_n: f64, turns_per_minute: f64, hours: f64) -> f64 {
    load_n * (hours * 60.0 * turns_per_minute / 1e6).cbrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bearings::listed;

    /// f0 that a catalogue prints: NSK, for the ball sets of 6000, 6001, 6801 and 6802.
    #[test]
    fn printed_static_factors() {
        for (name, ball_diameter, f0) in
            [("6000", 4.7625, 12.4), ("6001", 4.76, 13.0), ("6801", 2.3813, 15.3), ("6802", 2.3813, 15.8)]
        {
            let row = listed(name).unwrap();
            let set = BallSet { balls: 8, ball_diameter, pitch_diameter: 0.5 * (row.bore + row.outside) };
            assert!((set.static_factor().unwrap() - f0).abs() <= 0.05, "{name}: {:?}", set.static_factor());
        }
    }

    #[test]
    fn ends_of_the_tables() {
        let set = |ball_diameter| BallSet { balls: 7, ball_diameter, pitch_diameter: 10.0 };
        assert!((set(4.0).static_factor().unwrap() - 9.4).abs() < 1e-9);
        assert!(
            (set(0.1).dynamic_rating().unwrap() / (1.3 * 29.1 * 7f64.powf(2.0 / 3.0) * 0.1f64.powf(1.8)) - 1.0).abs()
                < 1e-9
        );
        assert_eq!(set(4.1).static_rating(), None);
        assert_eq!(set(0.05).dynamic_rating(), None);
        assert_eq!(set(f64::NAN).static_rating(), None);
    }

    /// Why life is not the question: the sentence at the top of this file.
    #[test]
    fn life_of_a_lift_is_beyond_counting() {
        let row = listed("608").unwrap();
        let turns_a_year = 20.0 * 0.125 * 365.0;
        let years = life_turns(row.dynamic_n, 400.0) / turns_a_year;
        assert!(years > 100_000.0, "{years}");
    }

    #[test]
    fn static_equivalents() {
        assert!((static_equivalent(100.0, 10.0) - 100.0).abs() < 1e-12);
        assert!((static_equivalent(100.0, 200.0) - 160.0).abs() < 1e-12);
        assert!(static_safety(1350.0, 0.0).is_infinite());
        assert!((static_safety(1350.0, -450.0) - 3.0).abs() < 1e-12);
    }
}
