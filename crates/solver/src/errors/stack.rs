//! A linear stack of errors: a figure's slopes, and a tolerance for each.

use super::draws::{Draws, Spread};

/// A figure that changes by a slope for each error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stack<const N: usize> {
    /// The figure's change per unit of each error.
    pub slopes: [f64; N],
    /// Each error lies within ± its tolerance.
    pub tolerances: [f64; N],
}

impl<const N: usize> Stack<N> {
    /// All errors at their worst at once.
    #[must_use]
    pub fn worst(&self) -> f64 {
        self.terms().map(f64::abs).sum()
    }

    /// Root of the sum of squares: what three standard deviations give where every tolerance is
    /// three of its own.
    #[must_use]
    pub fn root_sum_square(&self) -> f64 {
        self.terms().map(|term| term * term).sum::<f64>().sqrt()
    }

    /// Standard deviation of the figure.
    #[must_use]
    pub fn deviation(&self, spread: Spread) -> f64 {
        spread.deviation() * self.root_sum_square()
    }

    /// The figure's change in one sample.
    #[must_use]
    pub fn drawn(&self, draws: &Draws, sample: u64) -> f64 {
        self.terms().zip(0..).map(|(term, dimension)| term * draws.share(sample, dimension)).sum()
    }

    fn terms(&self) -> impl Iterator<Item = f64> + '_ {
        self.slopes.iter().zip(&self.tolerances).map(|(slope, tolerance)| slope * tolerance)
    }
}

/// The value that a share of sorted values does not pass, between neighbours; `None` of none.
#[must_use]
pub fn quantile(sorted: &[f64], share: f64) -> Option<f64> {
    let last = sorted.len().checked_sub(1)?;
    #[allow(clippy::cast_precision_loss)] // far fewer than 2^53
    let place = share.clamp(0.0, 1.0) * last as f64;
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // within the slice
    let below = place.floor() as usize;
    let above = (below + 1).min(last);
    Some(sorted[below] + (sorted[above] - sorted[below]) * (place - place.floor()))
}

/// The same of values in no order, which it puts in another one: far sooner than sorting them all.
#[must_use]
pub fn quantile_of(values: &mut [f64], share: f64) -> Option<f64> {
    let last = values.len().checked_sub(1)?;
    #[allow(clippy::cast_precision_loss)] // far fewer than 2^53
    let place = share.clamp(0.0, 1.0) * last as f64;
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // within the slice
    let below = place.floor() as usize;
    let (_, at, rest) = values.select_nth_unstable_by(below, f64::total_cmp);
    let (at, above) = (*at, rest.iter().copied().min_by(f64::total_cmp));
    Some(above.map_or(at, |above| at + (above - at) * (place - place.floor())))
}

/// Two-sided 95 % of the normal distribution.
const Z: f64 = 1.959_963_984_540_054;

/// A share of trials with its 95 % interval after Wilson (J. Am. Stat. Assoc. 22, 1927): good down to
/// no failure at all, where the plain interval has no width.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Share {
    /// How many of the trials.
    pub hits: u64,
    /// Trials.
    pub of: u64,
    /// Hits over trials.
    pub share: f64,
    /// Lower and upper end of the interval.
    pub interval: [f64; 2],
}

impl Share {
    /// The share of so many hits.
    #[must_use]
    #[allow(clippy::cast_precision_loss)] // far fewer than 2^53
    pub fn of(hits: u64, of: u64) -> Self {
        let n = (of as f64).max(1.0);
        let share = hits as f64 / n;
        let middle = (share + 0.5 * Z * Z / n) / (1.0 + Z * Z / n);
        let half = Z / (1.0 + Z * Z / n) * (share * (1.0 - share) / n + 0.25 * Z * Z / (n * n)).sqrt();
        let interval = [(middle - half).max(0.0), (middle + half).min(1.0)];
        Self { hits, of, share, interval }
    }
}

impl Share {
    /// Of lifts: that share where either of two sets, made alike, is hit.
    #[must_use]
    pub fn of_lifts(&self) -> OfLifts {
        let either = |share: f64| 1.0 - (1.0 - share).powi(2);
        OfLifts { share: either(self.share), interval: self.interval.map(either) }
    }
}

/// A share of lifts, with its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct OfLifts {
    /// 0 … 1.
    pub share: f64,
    /// Lower and upper end of the interval.
    pub interval: [f64; 2],
}

/// How much smaller one share is than another, of the same trials: known far better than either share.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Saving {
    /// The one less the other; by chance it may be below nought where they are alike.
    pub share: f64,
    /// Its 95 % interval (paired shares with large samples: A. Agresti, *Categorical Data Analysis*,
    /// 2nd edition, section 10.1.1).
    pub interval: [f64; 2],
}

impl Saving {
    /// Of so many trials, those that only the one hits, and those that only the other does.
    #[must_use]
    #[allow(clippy::cast_precision_loss)] // far fewer than 2^53
    pub fn of(only_the_one: u64, only_the_other: u64, of: u64) -> Self {
        let n = (of as f64).max(1.0);
        let share = (only_the_one as f64 - only_the_other as f64) / n;
        let variance = (only_the_one + only_the_other) as f64 / n - share * share;
        let half = Z * (variance.max(0.0) / n).sqrt();
        Self { share, interval: [share - half, share + half] }
    }

    /// Whether so many trials tell that the one is more.
    #[must_use]
    pub fn is_told(&self) -> bool {
        self.interval[0] > 0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Agresti, *Categorical Data Analysis*, 2nd edition, table 10.1 (approval of the prime minister, from
    /// memory): of 1600 asked twice 150 changed one way and 86 the other: 0.04, 95 % interval 0.021 to 0.059.
    #[test]
    fn agrestis_paired_shares() {
        let found = Saving::of(150, 86, 1600);
        assert!((found.share - 0.04).abs() < 1e-12 && found.is_told());
        assert!((found.interval[0] - 0.021).abs() < 5e-4 && (found.interval[1] - 0.059).abs() < 5e-4, "{found:?}");
        assert!(!Saving::of(10, 12, 1000).is_told() && !Saving::of(0, 0, 1000).is_told());
    }

    /// One set in six: eleven lifts of thirty-six (two dice, either a one).
    #[test]
    fn either_of_two_sets() {
        assert!((Share::of(1000, 6000).of_lifts().share - 11.0 / 36.0).abs() < 1e-12);
    }

    /// Shigley, *Mechanical Engineering Design*, 9th edition, example 1-3: w = a − b − c − d with
    /// a = 1.750 ± 0.003, b = 0.750 ± 0.001, c = 0.120 ± 0.005, d = 0.875 ± 0.001 in. So w is
    /// 0.005 ± 0.010 in, and d is to be 0.867 for a least w of 0.003.
    const SHIGLEY: Stack<4> = Stack { slopes: [1.0, -1.0, -1.0, -1.0], tolerances: [0.003, 0.001, 0.005, 0.001] };

    #[test]
    fn shigleys_clearance() {
        let w = 1.750 - 0.750 - 0.120 - 0.875;
        let worst = SHIGLEY.worst();
        assert!((worst - 0.010).abs() < 1e-12);
        assert!((w + worst - 0.015_f64).abs() < 1e-12 && (w - worst + 0.005_f64).abs() < 1e-12);
        let d = 0.875 - (0.003 + worst - w);
        assert!((d - 0.867).abs() < 1e-12, "{d}");
    }

    /// The same by statistics (worked out in Python with 2·10⁶ samples): root-sum-square 0.0060; three
    /// deviations drawn normal (tolerance 3σ) 0.00600, uniform 0.0104.
    #[test]
    fn shigleys_clearance_by_statistics() {
        assert!((SHIGLEY.root_sum_square() - 0.0060).abs() < 5e-6);
        for (spread, expected) in [(Spread::Normal, 0.00600), (Spread::Uniform, 0.0104)] {
            assert!((3.0 * SHIGLEY.deviation(spread) - expected).abs() < 1e-5, "{spread:?}");
            let draws = Draws { count: 400_000, seed: 3, spread };
            let square: f64 = (0..u64::from(draws.count)).map(|n| SHIGLEY.drawn(&draws, n).powi(2)).sum();
            let found = 3.0 * (square / f64::from(draws.count)).sqrt();
            assert!((found - 3.0 * SHIGLEY.deviation(spread)).abs() < 4e-3 * found, "{spread:?} {found}");
        }
    }

    /// Wilson's interval of 10 in 100: 0.0552 to 0.1744 (worked out by hand); of none in 100 up to
    /// z²/(n + z²) = 0.0370.
    #[test]
    fn wilsons_interval() {
        let ten = Share::of(10, 100).interval;
        assert!((ten[0] - 0.0552).abs() < 5e-5 && (ten[1] - 0.1744).abs() < 5e-5, "{ten:?}");
        let none = Share::of(0, 100).interval;
        assert!(none[0].abs() < 1e-12 && (none[1] - 0.0370).abs() < 5e-5, "{none:?}");
        let all = Share::of(100, 100).interval;
        assert!((all[0] - 0.9630).abs() < 5e-5 && (all[1] - 1.0).abs() < 1e-12, "{all:?}");
    }

    #[test]
    fn quantiles_lie_between() {
        let values = [0.0, 1.0, 4.0];
        assert_eq!(quantile(&values, 0.25), Some(0.5));
        assert_eq!(quantile(&values, 1.0), Some(4.0));
        assert_eq!(quantile(&[], 0.5), None);
        // In any order the same.
        let mut drawn: Vec<f64> = (0..1001).map(|n| Draws::default().share(n, 0)).collect();
        let found = [0.0, 0.3333, 0.95, 1.0].map(|share| quantile_of(&mut drawn, share));
        drawn.sort_by(f64::total_cmp);
        assert_eq!(found, [0.0, 0.3333, 0.95, 1.0].map(|share| quantile(&drawn, share)));
        assert_eq!(quantile_of(&mut [], 0.5), None);
    }
}
