//! The greatest value of a smooth figure over a stretch of the travel.

use crate::certify::Stretch;

/// Looks at so many places of each monotone piece.
const PLACES: usize = 24;
/// Halvings of what lies around the best ones: to a billionth of a place.
const ROUNDS: usize = 40;

/// The greatest value of `figure` from a walked phase on, and where; `None` where it has none
/// anywhere. Sampled on every monotone piece and refined by golden section around each sample that
/// is above both its neighbours: a peak narrower than a twenty-fourth of a piece can be missed.
pub(crate) fn greatest(stretch: &Stretch, from: f64, mut figure: impl FnMut(f64) -> Option<f64>) -> Option<(f64, f64)> {
    let mut places = vec![from];
    for pair in stretch.cuts.windows(2) {
        #[allow(clippy::cast_precision_loss)] // small
        let steps = (1..=PLACES).map(|step| pair[0] + step as f64 / PLACES as f64 * (pair[1] - pair[0]));
        places.extend(steps.filter(|walked| *walked > from));
    }
    let values: Vec<Option<f64>> = places.iter().map(|walked| figure(*walked)).collect();
    let mut best: Option<(f64, f64)> = None;
    let mut offer = |walked: f64, value: Option<f64>| {
        if let Some(value) = value
            && best.is_none_or(|(_, known)| value > known)
        {
            best = Some((walked, value));
        }
    };
    for (index, value) in values.iter().enumerate() {
        offer(places[index], *value);
        let Some(here) = value else { continue };
        let is_top = |other: Option<&Option<f64>>| other.is_none_or(|other| other.is_none_or(|other| other <= *here));
        let before = index.checked_sub(1).map(|before| &values[before]);
        if !(is_top(before) && is_top(values.get(index + 1))) {
            continue;
        }
        let (mut low, mut high) = (places[index.saturating_sub(1)], places[(index + 1).min(places.len() - 1)]);
        let golden = 0.5 * (5.0_f64.sqrt() - 1.0);
        for _ in 0..ROUNDS {
            let (a, b) = (high - golden * (high - low), low + golden * (high - low));
            let (at_a, at_b) = (figure(a), figure(b));
            offer(a, at_a);
            offer(b, at_b);
            if at_a.unwrap_or(f64::NEG_INFINITY) > at_b.unwrap_or(f64::NEG_INFINITY) { high = b } else { low = a }
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tops_inside_and_at_the_ends() {
        let stretch = Stretch { start: 0.0, direction: 1.0, cuts: vec![0.0, 0.7, 2.0] };
        let (walked, value) = greatest(&stretch, 0.0, |w| Some(-(w - 1.234).powi(2))).expect("a top");
        assert!((walked - 1.234).abs() < 1e-6 && value.abs() < 1e-12);
        assert_eq!(greatest(&stretch, 0.5, |w| Some(-w)), Some((0.5, -0.5)));
        assert_eq!(greatest(&stretch, 0.0, Some), Some((2.0, 2.0)));
        assert_eq!(greatest(&stretch, 0.0, |_| None), None);
    }
}
