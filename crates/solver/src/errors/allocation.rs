//! Which tolerance to tighten first, how wide all may be, and what else would do.

use super::draws::Draws;
use super::geometry::{Dimension, PanelPlace, SetGeometry};
use super::one_set::{OneSet, drawn};
use super::pair::{DIFFERENCES, PairModel, PairTolerances};
use super::sensitivity::hung_gap_size;
use super::stack::{Saving, Share, Stack, quantile};
use super::study::GoesOn;
use crate::analysis::{Analysis, Options, analyse};
use crate::lift::Lift;
use crate::project::{Point, Project};
use crate::rules::Rule;

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
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
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
    /// no pivot makes that enough; found as [`Allocation::widest_for_gap`] is.
    pub tolerance: f64,
    /// 95 % of sets within it hang with a smaller gap then, mm; drawn as for [`Shop`].
    pub hung_gap_p95: f64,
    /// Rules that hold now and fail then.
    pub then_fails: Vec<Rule>,
}

impl LongerLever {
    /// The project with it.
    #[must_use]
    pub fn put(&self, project: &Project) -> Project {
        let mut moved = project.clone();
        *(pivot_of(&mut moved, self.pivot)) = self.at;
        moved
    }

    /// In a sentence: what moves; lengths as they are shown.
    #[must_use]
    pub fn words(&self, show: &dyn Fn(f64) -> String) -> String {
        let pivot = if self.pivot == PANEL_UPPER { "upper panel pivot" } else { "upper wall pivot" };
        let way = if self.by > 0.0 { "away from the wall" } else { "nearer the wall" };
        format!("the {pivot} {} {way}", show(self.by.abs()))
    }
}

/// The pivots that are moved.
const PANEL_UPPER: &str = "panel_upper";
const WALL_UPPER: &str = "wall_upper";

fn pivot_of<'a>(project: &'a mut Project, name: &str) -> &'a mut Point {
    let linkage = &mut project.linkage;
    if name == PANEL_UPPER { &mut linkage.panel_upper } else { &mut linkage.wall_upper }
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
    /// The same with the second wall bar tightened last. Never narrower: what scatters about nought by
    /// itself, taken away, fails no more pairs (T. W. Anderson, Proc. Am. Math. Soc. 6, 1955).
    pub widest_second_bar_last: Option<f64>,
    /// Pairs that fail with the tolerances given, the second wall bar tightened last.
    pub failing_second_bar_last: Option<Share>,
    /// How many fewer they are than with the wall bars as far out of plumb and level as the tolerances let
    /// them be: of the same draws.
    pub second_bar_last_saves: Option<Saving>,
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
        let gap_at = |tolerance: f64| OneSetGap::searched(project, analysis, draws, tolerance);
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
        // Searched with few draws, then held against as many as the rule is judged by.
        let widest_pair = |tolerances: PairTolerances, model: &PairModel| {
            let allowed = project.allowed_share();
            let runs = |draws: &Draws, tolerance: f64| {
                model.failing(draws, &tolerances.all_within(tolerance)).share <= allowed
            };
            let found = widest(|tolerance| goes_on() && runs(&search, tolerance))?;
            confirmed(found, |tolerance| !goes_on() || runs(draws, tolerance))
        };
        let widest_for_pair = pair.and_then(|(model, tolerances)| widest_pair(*tolerances, model));
        let widest_last = pair.and_then(|(model, tolerances)| widest_pair(tolerances.second_bar_last(), model));
        Self {
            hung_gap,
            twist,
            shops: shops.to_vec(),
            widest_for_gap: widest_for_gap(project, analysis, limit, draws, goes_on),
            widest_for_pair,
            widest_second_bar_last: widest_last.map(|last| last.max(widest_for_pair.unwrap_or(0.0))),
            failing_second_bar_last: pair
                .map(|(model, tolerances)| model.failing(draws, &tolerances.second_bar_last())),
            second_bar_last_saves: pair
                .map(|(model, tolerances)| model.saving(draws, tolerances, &tolerances.second_bar_last())),
            pads: one.hung_gap.p95,
            longer_lever: longer_lever(project, analysis, limit, draws, goes_on),
        }
    }
}

/// The widest equal tolerance for which 95 % of sets keep the gap.
fn widest_for_gap(
    project: &Project,
    analysis: &Analysis,
    limit: f64,
    draws: &Draws,
    goes_on: GoesOn<'_>,
) -> Option<f64> {
    let gap_at = |tolerance: f64| OneSetGap::searched(project, analysis, draws, tolerance)?.p95;
    let found = widest(|tolerance| goes_on() && gap_at(tolerance).is_some_and(|p95| p95 <= limit))?;
    let judged = |tolerance: f64| OneSetGap::drawn(project, analysis, draws, &[tolerance; 8])?.p95;
    confirmed(found, |tolerance| !goes_on() || judged(tolerance).is_some_and(|p95| p95 <= limit))
}

/// A tolerance as it is told, a micrometre or a hundredth of itself below what a search found until it
/// holds by all draws, mm.
fn confirmed(found: f64, holds: impl Fn(f64) -> bool) -> Option<f64> {
    const STEP: f64 = 1e-3;
    const TRIES: usize = 12;
    let told = |tolerance: f64| if tolerance > 5.0 * STEP { (tolerance / STEP).floor() * STEP } else { tolerance };
    let mut tolerance = told(found);
    for _ in 0..TRIES {
        if holds(tolerance) {
            return Some(tolerance);
        }
        tolerance = told((tolerance - STEP).min(0.99 * tolerance).max(0.5 * tolerance));
    }
    None
}

/// The hung gap alone, for searches.
struct OneSetGap {
    p95: Option<f64>,
    short: Share,
}

impl OneSetGap {
    /// With as many draws as searches are made with, every dimension within the same tolerance.
    fn searched(project: &Project, analysis: &Analysis, draws: &Draws, tolerance: f64) -> Option<Self> {
        Self::drawn(project, analysis, &Draws { count: GAP_DRAWS, ..*draws }, &[tolerance; 8])
    }

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
/// none does, the one for which the widest tolerance does. What it allows is then found by draws, as it
/// will be found for the project with it.
fn longer_lever(
    project: &Project,
    analysis: &Analysis,
    limit: f64,
    draws: &Draws,
    goes_on: GoesOn<'_>,
) -> Option<LongerLever> {
    let (pivot, by) = best_shift(project, limit, draws)?;
    let mut moved = project.clone();
    pivot_of(&mut moved, pivot).x += by;
    let after = analyse(&moved, &QUICK);
    let widest = widest_for_gap(&moved, &after, limit, draws, goes_on)?;
    let tolerance = widest.min(EASY);
    if !goes_on() {
        return None;
    }
    Some(LongerLever {
        pivot,
        at: *pivot_of(&mut moved, pivot),
        by,
        lever: after.lift.lever(&after.pose_at(0.0)),
        tolerance,
        hung_gap_p95: OneSetGap::searched(&moved, &after, draws, tolerance)?.p95?,
        then_fails: then_fails([(project, analysis), (&moved, &after)], draws),
    })
}

const QUICK: Options = Options { poses: 2, swept: false };

/// Rules that fail of the second project and not of the first; both by their tolerances, for what was
/// measured are parts of one drawing only.
fn then_fails(of: [(&Project, &Analysis); 2], draws: &Draws) -> Vec<Rule> {
    let few = Draws { count: SEARCH_DRAWS, ..*draws };
    let [before, after] = of.map(|(project, analysis)| {
        let mut drawn = project.clone();
        drawn.tolerances.get_or_insert_default().as_built = None;
        let judged = analysis.clone().judged_by_errors(&drawn, &few);
        let failing = judged.rules.iter().filter(|finding| finding.holds == Some(false));
        failing.map(|finding| finding.rule).collect::<Vec<_>>()
    });
    after.into_iter().filter(|rule| !before.contains(rule)).collect()
}

/// Which pivot to move in depth, and how far, mm; `None` where [`EASY`] is enough as it is, or no shift
/// is worth it.
fn best_shift(project: &Project, limit: f64, draws: &Draws) -> Option<(&'static str, f64)> {
    /// Steps and farthest shift, mm.
    const STEP: f64 = 0.5;
    const STEPS: u32 = 120;
    /// A tolerance wider by less is not worth other pivots.
    const WORTH: f64 = 1.1;
    struct Shift {
        pivot: &'static str,
        by: f64,
        /// The widest tolerance that keeps the gap, up to [`EASY`], and the gap within [`EASY`].
        tolerance: f64,
        at_easy: f64,
    }
    let standoff = project.panel.hung.standoff;
    let with = |pivot: &'static str, by: f64| {
        let mut moved = project.clone();
        let of = pivot_of(&mut moved, pivot);
        of.x += by;
        // Hung it has to lie between the wall's face and the panel's back.
        let from_wall = if pivot == PANEL_UPPER { of.x + standoff } else { of.x };
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
        Some(Shift { pivot, by, tolerance, at_easy })
    };
    let now = with(PANEL_UPPER, 0.0).map_or(0.0, |now| now.tolerance);
    if now >= EASY {
        return None;
    }
    let mut best: Option<Shift> = None;
    for step in 1..=STEPS {
        let by = STEP * f64::from(step);
        let here = [PANEL_UPPER, WALL_UPPER]
            .into_iter()
            .flat_map(|pivot| [with(pivot, by), with(pivot, -by)])
            .flatten()
            .max_by(|a, b| a.tolerance.total_cmp(&b.tolerance).then(b.at_easy.total_cmp(&a.at_easy)));
        let Some(here) = here else { continue };
        if best.as_ref().is_none_or(|best| here.tolerance > best.tolerance) {
            best = Some(here);
        }
        if best.as_ref().is_some_and(|best| best.tolerance >= EASY) {
            break;
        }
    }
    best.filter(|best| best.tolerance > WORTH * now).map(|best| (best.pivot, best.by))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn board(limit: f64) -> Project {
        let mut project = crate::samples::complete_board();
        project.tolerances.get_or_insert_default().hung_gap_limit = Some(limit);
        project
    }

    fn quick(project: &Project) -> Analysis {
        analyse(project, &QUICK)
    }

    fn offered(project: &Project, limit: f64) -> Option<LongerLever> {
        longer_lever(project, &quick(project), limit, &Draws::default(), &|| true)
    }

    fn allocation(project: &Project) -> Allocation {
        let analysis = quick(project);
        let draws = Draws { count: 4_000, ..Draws::default() };
        let one = OneSet::new(project, &analysis, &draws).expect("tolerances are given");
        Allocation::new(project, &analysis, &draws, &one, None)
    }

    /// What is promised is what is found for the project with the pivot moved, to the last digit; and the
    /// gap is within 3 % of what more draws say.
    #[test]
    fn a_longer_lever_does_what_is_told() {
        for (limit, is_enough) in [(5.0, true), (2.0, false)] {
            let project = board(limit);
            let found = offered(&project, limit).expect("it helps");
            assert_eq!(found.tolerance >= EASY, is_enough, "{found:?}");
            assert!(found.hung_gap_p95 <= limit && found.lever > 25.8, "{found:?}");
            let moved = found.put(&project);
            let then = allocation(&moved);
            let widest = then.widest_for_gap.expect("some do");
            assert!((widest.min(EASY) - found.tolerance).abs() < 1e-12, "{widest} {found:?}");
            if is_enough {
                let shop = then.shops.iter().find(|shop| (shop.tolerance - EASY).abs() < 1e-12).expect("it is listed");
                assert_eq!(shop.hung_gap_p95, Some(found.hung_gap_p95));
            }
            let draws = Draws { count: 20_000, ..Draws::default() };
            let one = OneSet::within(&moved, &quick(&moved), &draws, [found.tolerance; 8]).expect("it closes");
            let gap = one.hung_gap.p95.expect("all get there");
            assert!((gap / found.hung_gap_p95 - 1.0).abs() < 0.03, "{gap} {found:?}");
            assert!((one.lever - found.lever).abs() < 1e-9);
            // Between wall and panel, hung.
            let depth = found.at.x + if found.pivot == PANEL_UPPER { project.panel.hung.standoff } else { 0.0 };
            assert!((0.0..=project.panel.hung.standoff).contains(&depth), "{found:?}");
        }
        assert_eq!(offered(&board(50.0), 50.0), None, "what is enough needs no lever");
    }

    /// Rules that fail with the pivot moved are those that an analysis of that project finds.
    #[test]
    fn what_a_longer_lever_breaks_is_told() {
        let project = board(2.0);
        let found = offered(&project, 2.0).expect("it helps");
        let failing = |project: &Project| {
            let judged = quick(project).judged_by_errors(project, &Draws::default());
            let failing = judged.rules.into_iter().filter(|finding| finding.holds == Some(false));
            failing.map(|finding| finding.rule).collect::<Vec<_>>()
        };
        let (before, after) = (failing(&project), failing(&found.put(&project)));
        let newly: Vec<_> = after.into_iter().filter(|rule| !before.contains(rule)).collect();
        assert_eq!(found.then_fails, newly);
        assert!(!newly.is_empty(), "the board's motion changes too much: {found:?}");
    }

    /// Out of plumb by next to nothing: dropping that is told as no difference, never as worse; by a lot it
    /// is told, and equal tolerances are never to be closer for it.
    #[test]
    fn the_second_bar_last_is_never_told_as_worse() {
        let mut saw_less = false;
        for (parallel, seed) in [(0.01, 1), (0.01, 2), (0.01, 3), (0.01, 4), (2.0, 5)] {
            let mut project = board(2.0);
            let given = project.tolerances.get_or_insert_default();
            (given.length, given.offset) = (Some(0.4), Some(0.4));
            (given.parallel, given.level) = (Some(parallel), Some(0.0));
            let analysis = quick(&project);
            let draws = Draws { count: 20_000, seed, ..Draws::default() };
            let one = OneSet::new(&project, &analysis, &Draws { count: 500, ..draws }).expect("tolerances are given");
            let model = PairModel::new(&project, &analysis).expect("all is given");
            let tolerances = PairTolerances::of(project.tolerances.as_ref().expect("given")).expect("given");
            let found = Allocation::new(&project, &analysis, &draws, &one, Some((&model, &tolerances)));
            let saves = found.second_bar_last_saves.expect("the pair is known");
            let last = found.failing_second_bar_last.expect("the pair is known").share;
            assert!((model.failing(&draws, &tolerances).share - last - saves.share).abs() < 1e-12);
            assert!(found.widest_second_bar_last >= found.widest_for_pair, "{found:?}");
            saw_less |= saves.share < 0.0;
            assert_eq!(saves.is_told(), parallel > 1.0, "{saves:?}");
            assert!(saves.interval[1] >= 0.0, "worse beyond chance: {saves:?}");
        }
        assert!(saw_less, "by chance some share is less without");
    }
}
