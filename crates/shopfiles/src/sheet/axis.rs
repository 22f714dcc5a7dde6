//! Where sheets that overlap begin along one axis, so that no words and as few shapes as can be lie
//! across a joint.

/// What neighbours share, mm.
pub const OVERLAP: f64 = 12.0;
/// Beginnings that are tried.
const TRIED: u32 = 60;

/// How many windows of a length cover a size, each overlapping the next, mm.
#[must_use]
pub fn count(size: f64, window: f64) -> usize {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a wall is a few sheets
    let count = ((size - OVERLAP) / (window - OVERLAP)).ceil().max(1.0) as usize;
    count
}

/// From and to along the axis, mm.
pub type Span = [f64; 2];

/// Where those windows begin, mm. What they have to spare lies before and behind the size, so that
/// the fewest words are whole in none of them, then the fewest shapes; then it lies evenly.
#[must_use]
pub fn starts(size: f64, window: f64, words: &[Span], shapes: &[Span]) -> Vec<f64> {
    let count = count(size, window);
    #[allow(clippy::cast_precision_loss)] // a few sheets
    let step_to = |index: usize| index as f64 * (window - OVERLAP);
    let spare = (step_to(count - 1) + window - size).max(0.0);
    let cut = |first: f64, things: &[Span]| {
        let is_whole = |[from, to]: &Span| {
            (0..count).map(|index| first + step_to(index)).any(|start| start <= *from && *to <= start + window)
        };
        things.iter().filter(|thing| !is_whole(thing)).count()
    };
    let cost = |share: &f64| (cut(-share * spare, words), cut(-share * spare, shapes));
    // The evenest first: of equals the first is taken.
    let shares = (0..=TRIED).flat_map(|step| {
        let by = 0.5 * f64::from(step) / f64::from(TRIED);
        [0.5 - by, 0.5 + by]
    });
    let share = shares.min_by_key(cost).unwrap_or(0.5);
    (0..count).map(|index| -share * spare + step_to(index)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn windows_cover_the_size_and_overlap() {
        for size in [50.0, 182.5, 183.0, 240.0, 353.0, 354.0, 1000.0] {
            let starts = starts(size, 182.5, &[], &[]);
            let last = starts.last().expect("a window");
            assert!(starts[0] <= 0.0 && last + 182.5 >= size, "{size}: {starts:?}");
            // As much before as behind.
            assert!((starts[0] + last + 182.5 - size).abs() < 1e-9, "{size}: {starts:?}");
            for pair in starts.windows(2) {
                assert!((pair[0] + 182.5 - pair[1] - OVERLAP).abs() < 1e-9);
            }
        }
        // 170.5 from one to the next: two reach to 353.
        assert_eq!([182.5, 183.0, 353.0, 354.0].map(|size| count(size, 182.5)), [1, 2, 2, 3]);
    }

    #[test]
    fn no_words_lie_across_a_joint_where_there_is_room() {
        // The middle of 240 is 120: words there are cut by an even share, and are not by another.
        let words = [[90.0, 150.0], [160.0, 235.0]];
        let found = starts(240.0, 182.5, &words, &[]);
        for [from, to] in words {
            assert!(found.iter().any(|start| *start <= from && to <= start + 182.5), "{found:?}");
        }
        // Words first, then shapes.
        let both = starts(240.0, 182.5, &words, &[[100.0, 180.0]]);
        assert!(words.iter().all(|[from, to]| both.iter().any(|start| start <= from && *to <= start + 182.5)));
    }
}
