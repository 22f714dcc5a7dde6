//! Which tolerance to tighten first, how wide all may be, and what else would do.

use super::draws::Draws;
use super::geometry::{Dimension, PanelPlace, SetGeometry};
use super::one_set::{OneSet, drawn};
use super::pair::{DIFFERENCES, PairModel, PairTolerances};
use super::sensitivity::hung_gap_size;
use super::stack::{Share, Stack, quantile};
use super::study::GoesOn;
use crate::analysis::Analysis;
use crate::lift::Lift;
use crate::project::{Point, Project};

/// Equal tolerances that shops are told about, ± mm: a good mill with a gauge, a mill, a drill press
/// with a jig, a hand drill (common practice, no source).
pub const SHOPS: [f64; 4] = [0.02, 0.05, 0.1, 0.2];
/// The tolerance that a longer lever should make enough, ± mm: what a drill press with a jig holds.
pub const EASY: f64 = 0.1;

/// What a share of the scatter comes from one dimension, and what halving its tolerance would do.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Part {
    /// Which; plumb and level have none.
    pub source: Source,
    /// Of the square of the scatter, 0 … 1.
    pub share: f64,
    /// By how much the scatter shrinks where its tolerance is halved, 0 … ½.
    pub halved_saves: f64,
}

/// Where scatter comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Source {
    /// A dimension of the parts.
    Dimension(Dimension),
    /// Plumb of the two wall bars.
    Parallel,
    /// Their level.
    Level,
}

impl Source {
    /// In a sentence.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Dimension(dimension) => dimension.words(),
            Self::Parallel => "how parallel the two wall bars are",
            Self::Level => "how level the two wall bars are",
        }
    }
}

/// What one equal tolerance of all parts does.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Shop {
    /// Of every centre distance and offset, ± mm.
    pub tolerance: f64,
    /// 95 % of sets hang with a smaller gap, mm; `None` where more than 5 % do not get to the wall.
    pub hung_gap_p95: Option<f64>,
    /// Sets whose loop does not close at hung.
    pub short_of_hung: Share,
    /// Pairs that do not run free; `None` where that is not known.
    pub failing: Option<Share>,
}

/// A pivot moved in depth so that a wider tolerance is enough for the hung gap. It changes the
/// motion: every other rule is to be looked at again.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct LongerLever {
    /// Which pivot: `"panel_upper"` or `"wall_upper"`.
    pub pivot: &'static str,
    /// Where it would be, in the frame of the project's file.
    pub at: Point,
    /// By how much it moves in depth, mm.
    pub by: f64,
    /// The lever at hung then, mm.
    pub lever: f64,
    /// The equal tolerance that is enough for the gap then, ± mm: [`EASY`], or the widest that is where
    /// no pivot makes that enough.
    pub tolerance: f64,
    /// 95 % of sets within it hang with a smaller gap then, by the slopes, mm.
    pub hung_gap_p95: f64,
}

/// How tolerances share out.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Allocation {
    /// Scatter of the hung gap, the largest share first.
    pub hung_gap: Vec<Part>,
    /// Scatter of the twist at its worst pose, the largest share first; empty where not known.
    pub twist: Vec<Part>,
    /// Equal tolerances and what they do.
    pub shops: Vec<Shop>,
    /// Widest equal tolerance for which 95 % of sets keep the hung gap, ± mm.
    pub widest_for_gap: Option<f64>,
    /// Widest equal tolerance for which no more pairs fail than [`Project::allowed_share`], plumb and level as
    /// given, ± mm; `None` where plumb and level alone are too much, or not known.
    pub widest_for_pair: Option<f64>,
    /// The same with the second wall bar tightened last.
    pub widest_second_bar_last: Option<f64>,
    /// Pairs that fail with the tolerances given, the second wall bar tightened last.
    pub failing_second_bar_last: Option<Share>,
    /// How far pads at the rests must be adjustable to cancel the gap of 95 % of sets, mm.
    pub pads: Option<f64>,
    /// What a longer lever would take to make [`EASY`] enough for the hung gap, or the one that comes
    /// nearest to it; `None` where it is enough already, or no lever does much for it.
    pub longer_lever: Option<LongerLever>,
}

/// Draws of the searches: a tenth of the rule's; a share of 1 % is then known to a few tenths of it.
const SEARCH_DRAWS: u32 = 20_000;
const GAP_DRAWS: u32 = 4_000;
/// Halvings of a search: to a ten-thousandth of the widest tolerance looked at.
const HALVINGS: usize = 14;
/// The widest tolerance looked at, ± mm: beyond it nobody calls it one.
const WIDEST: f64 = 2.0;
/// Two-sided 95 % of the normal distribution: a sum of eight is near enough to it.
const P95: f64 = 1.96;

impl Allocation {
    /// The allocation of a project's tolerances, one set and pair being known.
    #[must_use]
    pub fn new(
        project: &Project,
        analysis: &Analysis,
        draws: &Draws,
        one: &OneSet,
        pair: Option<(&PairModel, &PairTolerances)>,
    ) -> Self {
        Self::new_while(project, analysis, draws, one, pair, &|| true)
    }

    /// Likewise; it is soon done, and means nothing, once `goes_on` says no.
    pub(super) fn new_while(
        project: &Project,
        analysis: &Analysis,
        draws: &Draws,
        one: &OneSet,
        pair: Option<(&PairModel, &PairTolerances)>,
        goes_on: GoesOn<'_>,
    ) -> Self {
        let limit = project.hung_gap_limit();
        let hung_gap = one.hung_gap.slopes.map_or_else(Vec::new, |slopes| {
            let terms =
                (0..8).map(|of| (Source::Dimension(Dimension::ALL[of]), (slopes[of] * one.tolerances[of]).powi(2)));
            parts(terms.collect())
        });
        let twist = pair.map_or_else(Vec::new, |(model, tolerances)| twist_parts(model, tolerances));
        let gap_at = |tolerance: f64| {
            let few = Draws { count: GAP_DRAWS, ..*draws };
            OneSetGap::drawn(project, analysis, &few, &[tolerance; 8])
        };
        let search = Draws { count: SEARCH_DRAWS, ..*draws };
        let shops = SHOPS.map(|tolerance| {
            let gap = gap_at(tolerance);
            Shop {
                tolerance,
                hung_gap_p95: gap.as_ref().and_then(|gap| gap.p95),
                short_of_hung: gap.map_or(Share::of(0, 0), |gap| gap.short),
                failing: pair.map(|(model, tolerances)| model.failing(&search, &tolerances.all_within(tolerance))),
            }
        });
        let widest_pair = |tolerances: PairTolerances, model: &PairModel| {
            widest(|tolerance| {
                goes_on() && model.failing(&search, &tolerances.all_within(tolerance)).share <= project.allowed_share()
            })
        };
        Self {
            hung_gap,
            twist,
            shops: shops.to_vec(),
            widest_for_gap: widest(|tolerance| {
                goes_on() && gap_at(tolerance).and_then(|gap| gap.p95).is_some_and(|p95| p95 <= limit)
            }),
            widest_for_pair: pair.and_then(|(model, tolerances)| widest_pair(*tolerances, model)),
            widest_second_bar_last: pair
                .and_then(|(model, tolerances)| widest_pair(tolerances.second_bar_last(), model)),
            failing_second_bar_last: pair
                .map(|(model, tolerances)| model.failing(draws, &tolerances.second_bar_last())),
            pads: one.hung_gap.p95,
            longer_lever: longer_lever(project, limit, draws),
        }
    }
}

/// The hung gap alone, for searches.
struct OneSetGap {
    p95: Option<f64>,
    short: Share,
}

impl OneSetGap {
    fn drawn(project: &Project, analysis: &Analysis, draws: &Draws, tolerances: &[f64; 8]) -> Option<Self> {
        use rayon::prelude::*;
        let closing = super::Closing::new(project, &analysis.lift, &analysis.travel)?;
        let set = SetGeometry::nominal(&analysis.lift);
        let sample = |sample: u32| {
            let made = set.with(&drawn(draws, u64::from(sample), tolerances));
            let gap = made.as_ref().and_then(|made| closing.of(made)).and_then(|closed| closed.gap());
            (gap.map_or(f64::INFINITY, f64::abs), made.is_none_or(|made| closing.short_of_hung(&made).is_some()))
        };
        let samples: Vec<(f64, bool)> = (0..draws.count).into_par_iter().with_min_len(128).map(sample).collect();
        let short = samples.iter().filter(|(_, short)| *short).count() as u64;
        let mut gaps: Vec<f64> = samples.into_iter().map(|(gap, _)| gap).collect();
        gaps.sort_by(f64::total_cmp);
        let p95 = quantile(&gaps, 0.95).filter(|gap| gap.is_finite());
        Some(Self { p95, short: Share::of(short, u64::from(draws.count)) })
    }
}

/// The widest tolerance for which something holds, by halving, mm; `None` where it holds for none.
fn widest(holds: impl Fn(f64) -> bool) -> Option<f64> {
    if holds(WIDEST) {
        return Some(WIDEST);
    }
    if !holds(0.0) {
        return None;
    }
    let (mut low, mut high) = (0.0, WIDEST);
    // Many lie far below: first by tenths, then by halves.
    while high > 1e-4 && !holds(0.1 * high) {
        high *= 0.1;
    }
    if high > 1e-4 {
        low = 0.1 * high;
    }
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if holds(middle) { low = middle } else { high = middle }
    }
    Some(low)
}

fn parts(terms: Vec<(Source, f64)>) -> Vec<Part> {
    let sum: f64 = terms.iter().map(|(_, square)| square).sum();
    if sum <= 0.0 {
        return Vec::new();
    }
    let mut parts: Vec<Part> = terms
        .into_iter()
        .map(|(source, square)| {
            let share = square / sum;
            Part { source, share, halved_saves: 1.0 - (1.0 - 0.75 * share).sqrt() }
        })
        .collect();
    parts.sort_by(|a, b| b.share.total_cmp(&a.share));
    parts
}

fn twist_parts(model: &PairModel, tolerances: &PairTolerances) -> Vec<Part> {
    let scatter = |slopes: &[f64; DIFFERENCES]| tolerances.stack(slopes).root_sum_square();
    let Some(worst) = model.poses.iter().max_by(|a, b| scatter(&a.twist).total_cmp(&scatter(&b.twist))) else {
        return Vec::new();
    };
    let [left, right] = &tolerances.sets;
    let terms = (0..DIFFERENCES).map(|of| {
        let (source, tolerance) = match of {
            8 => (Source::Parallel, tolerances.parallel),
            9 => (Source::Level, tolerances.level),
            _ => (Source::Dimension(Dimension::ALL[of]), left[of].hypot(right[of])),
        };
        (source, (worst.twist[of] * tolerance).powi(2))
    });
    parts(terms.collect())
}

/// The shortest shift of a pivot in depth for which [`EASY`] keeps the hung gap, by the slopes; where
/// none does, the one for which the widest tolerance does.
fn longer_lever(project: &Project, limit: f64, draws: &Draws) -> Option<LongerLever> {
    /// Steps and farthest shift, mm.
    const STEP: f64 = 0.5;
    const STEPS: u32 = 120;
    /// A tolerance wider by less is not worth other pivots.
    const WORTH: f64 = 1.1;
    let standoff = project.panel.hung.standoff;
    let with = |pivot: &'static str, by: f64| {
        let mut moved = project.clone();
        let of = if pivot == "panel_upper" { &mut moved.linkage.panel_upper } else { &mut moved.linkage.wall_upper };
        of.x += by;
        let at = *of;
        // Hung it has to lie between the wall's face and the panel's back.
        let from_wall = if pivot == "panel_upper" { at.x + standoff } else { at.x };
        if by != 0.0 && !(0.0..=standoff).contains(&from_wall) {
            return None;
        }
        moved.validate().ok()?;
        let lift = Lift::new(&moved);
        let hung = PanelPlace { origin: moved.panel.hung.origin(), turn: 0.0 };
        let tips = moved.panel.rests().map(|height| Point::new(-lift.standoff, height));
        let slopes = hung_gap_size(&SetGeometry::nominal(&lift), &hung, tips)?;
        let at_easy = P95 * Stack { slopes, tolerances: [EASY; 8] }.deviation(draws.spread);
        // By slopes the gap grows as the tolerance does.
        let tolerance = EASY * (limit / at_easy.max(f64::MIN_POSITIVE)).min(1.0);
        let lever = lift.lever(&lift.pose(lift.phase_at_hung(), 0.0));
        Some(LongerLever { pivot, at, by, lever, tolerance, hung_gap_p95: at_easy * tolerance / EASY })
    };
    let now = with("panel_upper", 0.0).map_or(0.0, |now| now.tolerance);
    if now >= EASY {
        return None;
    }
    let mut best: Option<LongerLever> = None;
    for step in 1..=STEPS {
        let by = STEP * f64::from(step);
        let here = ["panel_upper", "wall_upper"]
            .into_iter()
            .flat_map(|pivot| [with(pivot, by), with(pivot, -by)])
            .flatten()
            .max_by(|a, b| a.tolerance.total_cmp(&b.tolerance).then(b.hung_gap_p95.total_cmp(&a.hung_gap_p95)));
        if here.is_some_and(|here| best.is_none_or(|best| here.tolerance > best.tolerance)) {
            best = here;
        }
        if best.is_some_and(|best| best.tolerance >= EASY) {
            break;
        }
    }
    best.filter(|best| best.tolerance > WORTH * now)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn board(limit: f64) -> Project {
        let text = include_str!("../../../../tests/golden/chapel-hatch/complete.overarm.json");
        let mut project: Project = serde_json::from_str(text).expect("a project");
        project.tolerances.get_or_insert_default().hung_gap_limit = Some(limit);
        project
    }

    /// Sets of the board with the pivot moved, drawn within the tolerance that is told to be enough.
    fn drawn_with(project: &Project, found: &LongerLever) -> (f64, f64) {
        let mut moved = project.clone();
        let linkage = &mut moved.linkage;
        *(if found.pivot == "panel_upper" { &mut linkage.panel_upper } else { &mut linkage.wall_upper }) = found.at;
        let analysis = crate::analyse(&moved, &crate::Options { poses: 2, swept: false });
        let draws = Draws { count: 20_000, ..Draws::default() };
        let one = OneSet::within(&moved, &analysis, &draws, [found.tolerance; 8]).expect("it closes");
        (one.hung_gap.p95.expect("all get there"), one.lever)
    }

    /// The whole closing, drawn, says of the moved pivot what the slopes promise, within 3 %.
    #[test]
    fn a_longer_lever_does_what_is_told() {
        for (limit, is_enough) in [(5.0, true), (2.0, false)] {
            let project = board(limit);
            let found = longer_lever(&project, limit, &Draws::default()).expect("it helps");
            assert_eq!(found.tolerance >= EASY, is_enough, "{found:?}");
            assert!(found.hung_gap_p95 <= limit * (1.0 + 1e-9) && found.lever > 25.8, "{found:?}");
            let (gap, lever) = drawn_with(&project, &found);
            assert!((gap / found.hung_gap_p95 - 1.0).abs() < 0.03, "{gap} {found:?}");
            assert!((lever - found.lever).abs() < 1e-9);
            // Between wall and panel, hung.
            let depth = found.at.x + if found.pivot == "panel_upper" { project.panel.hung.standoff } else { 0.0 };
            assert!((0.0..=project.panel.hung.standoff).contains(&depth), "{found:?}");
        }
        assert_eq!(longer_lever(&board(50.0), 50.0, &Draws::default()), None, "what is enough needs no lever");
    }
}
