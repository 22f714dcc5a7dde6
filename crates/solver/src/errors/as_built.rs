//! The eight parts as measured: gap, twist, binding; which part to make anew, which to swap, what
//! shim helps.

use rayon::prelude::*;

use super::closing::{Closed, Closing, Parked, Parking};
use super::draws::Draws;
use super::geometry::{Dimension, Errors, SetGeometry};
use super::one_set::tolerances_of;
use super::pair::{Limit, NoRoom, PairModel, PairTolerances, dot};
use super::stack::{Share, quantile_of};
use super::study::GoesOn;
use crate::analysis::Analysis;
use crate::lift::Lift;
use crate::parts::{Hand, is_handed};
use crate::project::{AsBuilt, MeasuredSet, PartName, Project};

/// The four bars of a set, in the order in which parts are listed.
pub const BARS: [PartName; 4] = [PartName::WallBar, PartName::PanelBar, PartName::LowerArm, PartName::UpperArm];

impl Dimension {
    /// The part that it is measured on.
    #[must_use]
    pub fn part(self) -> PartName {
        match self {
            Self::LowerArm => PartName::LowerArm,
            Self::UpperArm => PartName::UpperArm,
            Self::PanelBar | Self::PanelLowerOffset | Self::PanelUpperOffset => PartName::PanelBar,
            Self::WallBar | Self::WallLowerOffset | Self::WallUpperOffset => PartName::WallBar,
        }
    }

    /// What it is called on an inspection sheet.
    #[must_use]
    pub fn characteristic(self) -> &'static str {
        match self {
            Self::LowerArm | Self::UpperArm | Self::PanelBar | Self::WallBar => "centre distance",
            Self::WallLowerOffset | Self::PanelLowerOffset => "lower pivot offset",
            Self::WallUpperOffset | Self::PanelUpperOffset => "upper pivot offset",
        }
    }

    /// As drawn, mm, the way it is measured: centre distances, and distances of pivots from the
    /// bar's datum edge (wall face, or the edge on the panel).
    #[must_use]
    pub fn drawn(self, lift: &Lift) -> f64 {
        match self {
            Self::LowerArm => lift.lengths.lower_arm,
            Self::PanelBar => lift.lengths.panel_bar,
            Self::UpperArm => lift.lengths.upper_arm,
            Self::WallBar => lift.lengths.wall_bar,
            Self::WallLowerOffset => lift.wall_lower.x,
            Self::WallUpperOffset => lift.wall_upper.x,
            Self::PanelLowerOffset => -lift.panel_lower.x,
            Self::PanelUpperOffset => -lift.panel_upper.x,
        }
    }

    /// The error that a measured value is, mm, and back: towards the panel's front is positive, which
    /// is a smaller distance from the panel bar's edge behind it.
    fn sign(self) -> f64 {
        if matches!(self, Self::PanelLowerOffset | Self::PanelUpperOffset) { -1.0 } else { 1.0 }
    }

    /// What was measured of it in a set.
    #[must_use]
    pub fn measured(self, set: &MeasuredSet) -> Option<f64> {
        match self {
            Self::LowerArm => set.lower_arm,
            Self::PanelBar => set.panel_bar,
            Self::UpperArm => set.upper_arm,
            Self::WallBar => set.wall_bar,
            Self::WallLowerOffset => set.wall_lower_offset,
            Self::WallUpperOffset => set.wall_upper_offset,
            Self::PanelLowerOffset => set.panel_lower_offset,
            Self::PanelUpperOffset => set.panel_upper_offset,
        }
    }

    /// The place of its measured value in a set.
    pub fn measured_mut(self, set: &mut MeasuredSet) -> &mut Option<f64> {
        match self {
            Self::LowerArm => &mut set.lower_arm,
            Self::PanelBar => &mut set.panel_bar,
            Self::UpperArm => &mut set.upper_arm,
            Self::WallBar => &mut set.wall_bar,
            Self::WallLowerOffset => &mut set.wall_lower_offset,
            Self::WallUpperOffset => &mut set.wall_upper_offset,
            Self::PanelLowerOffset => &mut set.panel_lower_offset,
            Self::PanelUpperOffset => &mut set.panel_upper_offset,
        }
    }
}

/// Errors of a measured set; what was not measured is taken as drawn.
#[must_use]
pub fn errors_of(measured: &MeasuredSet, lift: &Lift) -> Errors {
    Dimension::ALL.map(|dimension| {
        dimension.measured(measured).map_or(0.0, |value| dimension.sign() * (value - dimension.drawn(lift)))
    })
}

/// One measured set.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct BuiltSet {
    /// `'L'` or `'R'`.
    pub hand: char,
    /// Errors in the order of [`Dimension::ALL`], mm.
    pub errors: Errors,
    /// What was not measured; it is taken as drawn here, and within its tolerance where rules judge.
    pub missing: Vec<Dimension>,
    /// Upper tip less lower tip hung, mm; `None` where the set does not get to the wall.
    pub hung_gap: Option<f64>,
    /// How far it stays short of hung, mm at the end of the lower arm; `None` where it closes.
    pub short_of_hung: Option<f64>,
    /// Lowest point of the panel on its stop, mm from where the drawing has it.
    pub parked_height: Option<f64>,
    /// Turn of the lower arm at its stop beyond the drawn one, degrees.
    pub parked_turn_deg: Option<f64>,
    /// How far short of where the drawn one stops, mm along the arc of the lower arm's end; negative goes
    /// beyond.
    pub parked_shortfall: Option<f64>,
    /// How far it stays short of its stop, mm between the parts that stop it, because a dead point comes
    /// first; `None` where it gets there.
    pub short_of_parked: Option<f64>,
}

/// The two measured sets on one panel, mounted plumb and level.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct BuiltPair {
    /// Largest misfit of the travel over what runs free there: above 1 it binds; `None` where nothing
    /// limits it, or nothing runs free.
    pub used: Option<f64>,
    /// Why nothing runs free, however exact its parts; `None` where parts as drawn do.
    pub no_room: Option<NoRoom>,
    /// Misfit there, mm.
    pub misfit: f64,
    /// Force in the arms there, N, once play is used up.
    pub force: f64,
    /// Force that is allowed there, N, and by what; negative where parts as drawn leave too little.
    pub allowed: Option<(f64, Limit)>,
    /// There, s.
    pub s: f64,
    /// Largest twist, mm at a corner.
    pub twist: f64,
    /// There, s.
    pub twist_s: f64,
    /// Largest yaw, degrees.
    pub yaw_deg: f64,
}

impl BuiltPair {
    /// Whether it runs free at every pose.
    #[must_use]
    pub fn runs_free(&self) -> bool {
        self.no_room.is_none() && self.used.is_none_or(|used| used <= 1.0)
    }
}

/// What would become of it: the larger gap of the two sets and the pair's use of what is free.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Outcome {
    /// The larger |gap| of the two sets, mm; `None` where one does not get to the wall.
    pub hung_gap: Option<f64>,
    /// As [`BuiltPair::used`]; `None` where nothing limits it, the pair is not known, or no parts help it.
    pub used: Option<f64>,
    /// The worse of gap over limit and of `used`: 1 or less holds.
    pub score: f64,
    /// Both gaps over the limit and `used`, root of the sum of squares: what is made as small as can
    /// be, so that one set is put right even where the other stays as it is.
    pub total: f64,
}

/// A part to make anew.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Remake {
    /// `'L'` or `'R'`.
    pub hand: char,
    /// Which part.
    pub part: PartName,
    /// What of it.
    pub dimension: Dimension,
    /// As measured (or drawn, where not measured), mm.
    pub now: f64,
    /// To what size, mm.
    pub to: f64,
    /// What becomes of it.
    pub outcome: Outcome,
}

/// Which parts change sides.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Swap {
    /// The parts of the left set that go to the right and back.
    pub parts: Vec<PartName>,
    /// Whether they can: a handed part fits on its own side only.
    pub possible: bool,
    /// What becomes of it.
    pub outcome: Outcome,
}

/// A shim behind one end of a wall bar or a panel bar.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Shim {
    /// `'L'` or `'R'`.
    pub hand: char,
    /// Wall bar or panel bar.
    pub bar: PartName,
    /// Whether at its upper pivot; else at its lower one.
    pub upper: bool,
    /// How thick at the pivot, mm.
    pub thickness: f64,
    /// What becomes of it.
    pub outcome: Outcome,
}

/// What the measured parts will do, and what would help.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct BuiltFigures {
    /// Left and right.
    pub sets: [BuiltSet; 2],
    /// Both on one panel; `None` where the pair is not known.
    pub pair: Option<BuiltPair>,
    /// As it stands.
    pub outcome: Outcome,
    /// One dimension made anew, best first, two of each set at most; of those that do alike the one that
    /// becomes as drawn, for that is most likely what is wrong. Empty where none does better.
    pub remakes: Vec<Remake>,
    /// All sixteen ways of giving the parts to the sides, the parts as they are among them; best
    /// first, and of equals the one that moves the fewest parts.
    pub swaps: Vec<Swap>,
    /// The best shim, and the best of the other set with the first in place; where they do better.
    pub shims: Vec<Shim>,
}

/// An outcome must shrink by this share to be told as better, and by this much of what is allowed: less
/// is in the gauge.
const BETTER: f64 = 0.98;
const WORTH: f64 = 0.01;
/// Totals that differ by less do alike.
const ALIKE: f64 = 0.05;
/// The farthest a dimension is looked for, mm.
const FARTHEST: f64 = 2.0;
/// So near to it a search has ended at its end, mm.
const AT_END: f64 = 2e-3;
/// Remakes told of each set.
const TOLD: usize = 2;

/// A gap limit counts as this at least, mm: what a feeler gauge tells.
const SMALLEST_LIMIT: f64 = 1e-3;
/// What a set that does not get to the wall counts as, times the limit: more than any gap.
const NEVER: f64 = 1e9;

/// Whether a score or a total that becomes `then` is worth doing something for.
#[must_use]
pub fn is_worth_it(now: f64, then: f64) -> bool {
    then < BETTER * now && now - then > WORTH
}

struct Judge<'a> {
    set: SetGeometry,
    closing: Option<Closing>,
    parking: Option<Parking>,
    pair: Option<&'a PairModel>,
    limit: f64,
}

impl Judge<'_> {
    fn gap(&self, errors: &Errors) -> Option<f64> {
        self.closing.as_ref()?.of(&self.set.with(errors)?)?.gap()
    }

    fn outcome(&self, sets: &[Errors; 2]) -> Outcome {
        let gaps = sets.each_ref().map(|errors| self.gap(errors).map(f64::abs));
        let hung_gap = gaps[0].zip(gaps[1]).map(|(left, right)| left.max(right));
        let used = self.pair.and_then(|model| used(model, sets)).map(|(used, _)| used);
        let by_gap = gaps.map(|gap| match gap {
            Some(gap) => gap / self.limit.max(SMALLEST_LIMIT),
            // A lift that does not close on its rests at all is not judged by its gap.
            None if self.closing.is_none() => 0.0,
            None => NEVER,
        });
        let all = [by_gap[0], by_gap[1], used.unwrap_or(0.0)];
        let score = all.into_iter().fold(0.0, f64::max);
        Outcome { hung_gap, used, score, total: all.iter().map(|part| part * part).sum::<f64>().sqrt() }
    }

    fn built(&self, hand: Hand, errors: Errors, measured: &MeasuredSet) -> BuiltSet {
        let set = self.set.with(&errors);
        let parked = |set: &SetGeometry| self.parking.as_ref()?.of(set);
        let made = set.as_ref().and_then(parked);
        let off = match (parked(&self.set), made) {
            (Some(Parked::OnStop { turn: drawn, lowest: at }), Some(Parked::OnStop { turn, lowest })) => {
                Some((turn - drawn, lowest - at))
            }
            _ => None,
        };
        let turned = off.filter(|_| self.parking.is_some_and(|parking| parking.is_on_arms())).map(|off| off.0);
        BuiltSet {
            hand: hand.letter(),
            errors,
            missing: Dimension::ALL.into_iter().filter(|of| of.measured(measured).is_none()).collect(),
            hung_gap: self.gap(&errors),
            short_of_hung: set.and_then(|set| self.closing.as_ref()?.short_of_hung(&set)),
            parked_height: off.map(|off| off.1),
            parked_turn_deg: turned.map(f64::to_degrees),
            parked_shortfall: turned.map(|turn| -turn * self.set.arms[0]),
            short_of_parked: match made {
                Some(Parked::Short { by }) => Some(by),
                _ => None,
            },
        }
    }
}

/// The misfit over what runs free, at its worst pose; `None` where nothing does, whatever the parts.
fn used(model: &PairModel, sets: &[Errors; 2]) -> Option<(f64, usize)> {
    if model.least_room().is_some() {
        return None;
    }
    let differences = PairModel::differences(&sets[0], &sets[1], 0.0, 0.0);
    let share = |pose: &super::PairPose| {
        let free = pose.free_misfit(model.play);
        free.is_finite().then(|| dot(&pose.misfit, &differences).abs() / free.max(f64::MIN_POSITIVE))
    };
    let shares = model.poses.iter().enumerate().filter_map(|(index, pose)| Some((share(pose)?, index)));
    shares.max_by(|a, b| a.0.total_cmp(&b.0))
}

impl BuiltFigures {
    /// What the measured parts of a project will do. `pair` is its pair, where known.
    #[must_use]
    pub fn new(project: &Project, analysis: &Analysis, built: &AsBuilt, pair: Option<&PairModel>) -> Self {
        let lift = &analysis.lift;
        let judge = Judge {
            set: SetGeometry::nominal(lift),
            closing: Closing::new(project, lift, &analysis.travel),
            parking: Parking::new(lift, &analysis.travel, &analysis.stop),
            pair,
            limit: project.hung_gap_limit(),
        };
        let measured = [&built.left, &built.right];
        let errors = measured.map(|set| errors_of(set, lift));
        let outcome = judge.outcome(&errors);
        let hands = [Hand::Left, Hand::Right];
        Self {
            sets: std::array::from_fn(|of| judge.built(hands[of], errors[of], measured[of])),
            pair: pair.map(|model| built_pair(model, &errors)),
            outcome,
            remakes: remakes(&judge, lift, &errors, &outcome),
            swaps: swaps(&judge, project, analysis, &errors),
            shims: shims(&judge, &errors, &outcome),
        }
    }
}

fn built_pair(model: &PairModel, sets: &[Errors; 2]) -> BuiltPair {
    let differences = PairModel::differences(&sets[0], &sets[1], 0.0, 0.0);
    let most = |of: &dyn Fn(&super::PairPose) -> f64| {
        let values = model.poses.iter().enumerate().map(|(index, pose)| (of(pose).abs(), index));
        values.rev().max_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((0.0, 0))
    };
    let (_, by_misfit) = most(&|pose| dot(&pose.misfit, &differences));
    let found = used(model, sets);
    let index = found.map(|(_, index)| index).or_else(|| model.least_room()).unwrap_or(by_misfit);
    let pose = &model.poses[index];
    let there = dot(&pose.misfit, &differences).abs();
    let (twist, twist_at) = most(&|pose| dot(&pose.twist, &differences));
    let (yaw, _) = most(&|pose| dot(&pose.yaw, &differences));
    BuiltPair {
        used: found.map(|(used, _)| used),
        no_room: model.no_room(),
        misfit: there,
        force: pose.force(there, model.play),
        allowed: pose.allowed,
        s: pose.s,
        twist,
        twist_s: model.poses[twist_at].s,
        yaw_deg: (yaw / model.spacing).atan().to_degrees(),
    }
}

fn remakes(judge: &Judge<'_>, lift: &Lift, sets: &[Errors; 2], now: &Outcome) -> Vec<Remake> {
    let rank =
        |remake: &Remake| ((remake.outcome.total / ALIKE).round(), (remake.to - remake.dimension.drawn(lift)).abs());
    let best_first = |a: &Remake, b: &Remake| {
        let (a, b) = (rank(a), rank(b));
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
    };
    let mut found = Vec::new();
    for (side, hand) in [Hand::Left, Hand::Right].into_iter().enumerate() {
        let mut of_set = Vec::new();
        for (index, dimension) in Dimension::ALL.into_iter().enumerate() {
            let with = |error: f64| {
                let mut sets = *sets;
                sets[side][index] = error;
                judge.outcome(&sets)
            };
            let error = least(|error| with(error).total, -FARTHEST, FARTHEST);
            let outcome = with(error);
            // What would be better still beyond is no cure.
            if error.abs() < FARTHEST - AT_END && is_worth_it(now.total, outcome.total) {
                let size = |error: f64| dimension.drawn(lift) + dimension.sign() * error;
                let (now, to) = (size(sets[side][index]), size(error));
                of_set.push(Remake { hand: hand.letter(), part: dimension.part(), dimension, now, to, outcome });
            }
        }
        of_set.sort_by(best_first);
        of_set.truncate(TOLD);
        found.append(&mut of_set);
    }
    found.sort_by(best_first);
    found
}

fn swaps(judge: &Judge<'_>, project: &Project, analysis: &Analysis, sets: &[Errors; 2]) -> Vec<Swap> {
    let bars = analysis.solids.bars.iter();
    let handed: Vec<PartName> = bars.filter(|bar| is_handed(project, bar)).map(|bar| bar.name).collect();
    let mut found: Vec<Swap> = (0..16_u32)
        .map(|choice| {
            let parts: Vec<PartName> =
                BARS.into_iter().enumerate().filter(|(of, _)| choice >> of & 1 == 1).map(|(_, part)| part).collect();
            let mut swapped = *sets;
            for (index, dimension) in Dimension::ALL.into_iter().enumerate() {
                if parts.contains(&dimension.part()) {
                    (swapped[0][index], swapped[1][index]) = (sets[1][index], sets[0][index]);
                }
            }
            let possible = !parts.iter().any(|part| handed.contains(part));
            Swap { parts, possible, outcome: judge.outcome(&swapped) }
        })
        .collect();
    // What differs by less than a gauge tells is equal: then the fewest parts move.
    let rounded = |swap: &Swap| (swap.outcome.score * 1e6).round();
    found.sort_by(|a, b| rounded(a).total_cmp(&rounded(b)).then(a.parts.len().cmp(&b.parts.len())));
    found
}

/// The best shim of either set, then the best of the other one with that in place.
fn shims(judge: &Judge<'_>, sets: &[Errors; 2], now: &Outcome) -> Vec<Shim> {
    let mut found: Vec<Shim> = Vec::new();
    let (mut sets, mut now) = (*sets, *now);
    for _ in 0..2 {
        let left = [Hand::Left, Hand::Right].into_iter().enumerate();
        let left = left.filter(|(_, hand)| found.iter().all(|shim| shim.hand != hand.letter()));
        let best = left
            .flat_map(|(side, hand)| SHIMMED.map(|place| best_at(judge, &sets, side, hand, place)))
            .min_by(|a, b| a.0.outcome.total.total_cmp(&b.0.outcome.total));
        let cures = |shim: &Shim| shim.thickness < FARTHEST - AT_END && is_worth_it(now.total, shim.outcome.total);
        let Some((shim, with)) = best.filter(|(shim, _)| cures(shim)) else { break };
        (sets, now) = (with, shim.outcome);
        found.push(shim);
    }
    found
}

/// Where a shim can lie: bar, whether at its upper pivot, the offset it changes and which way. Between
/// bar and panel it takes the bar away from the panel's front.
const SHIMMED: [(PartName, bool, usize, f64); 4] = [
    (PartName::WallBar, false, 4, 1.0),
    (PartName::WallBar, true, 5, 1.0),
    (PartName::PanelBar, false, 6, -1.0),
    (PartName::PanelBar, true, 7, -1.0),
];

fn best_at(
    judge: &Judge<'_>,
    sets: &[Errors; 2],
    side: usize,
    hand: Hand,
    (bar, upper, index, sign): (PartName, bool, usize, f64),
) -> (Shim, [Errors; 2]) {
    let with = |thickness: f64| {
        let mut sets = *sets;
        sets[side][index] += sign * thickness;
        sets
    };
    let thickness = least(|thickness| judge.outcome(&with(thickness)).total, 0.0, FARTHEST);
    let sets = with(thickness);
    (Shim { hand: hand.letter(), bar, upper, thickness, outcome: judge.outcome(&sets) }, sets)
}

/// Where a figure is least between two places: by a coarse look, then golden section; to a
/// micrometre or better of a few millimetres.
fn least(figure: impl Fn(f64) -> f64, from: f64, to: f64) -> f64 {
    const COARSE: u32 = 40;
    const ROUNDS: usize = 30;
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let at = |step: u32| from + (to - from) * f64::from(step) / f64::from(COARSE);
    let step = (0..=COARSE).min_by(|a, b| figure(at(*a)).total_cmp(&figure(at(*b)))).unwrap_or(0);
    let (mut a, mut b) = (at(step.saturating_sub(1)), at((step + 1).min(COARSE)));
    for _ in 0..ROUNDS {
        let (c, d) = (b - GOLDEN * (b - a), a + GOLDEN * (b - a));
        if figure(c) < figure(d) { b = d } else { a = c }
    }
    0.5 * (a + b)
}

/// The larger gap of two measured sets, for the rule: `Err` with how far it stays short where one
/// does not get to the wall, infinite where its loop closes nowhere.
#[must_use]
pub fn built_gap(project: &Project, analysis: &Analysis, built: &AsBuilt) -> Option<Result<(f64, Hand), (f64, Hand)>> {
    let closing = Closing::new(project, &analysis.lift, &analysis.travel)?;
    let set = SetGeometry::nominal(&analysis.lift);
    let mut worst: Option<(f64, Hand)> = None;
    for (measured, hand) in [(&built.left, Hand::Left), (&built.right, Hand::Right)] {
        let made = set.with(&errors_of(measured, &analysis.lift));
        let Some(closed) = made.and_then(|made| closing.of(&made)) else { return Some(Err((f64::INFINITY, hand))) };
        match closed {
            Closed::OnWall { gap, .. } | Closed::OnArms { gap, .. } => {
                if worst.is_none_or(|worst| gap.abs() > worst.0.abs()) {
                    worst = Some((gap, hand));
                }
            }
            Closed::Short { by, .. } => return Some(Err((by, hand))),
        }
    }
    worst.map(Ok)
}

/// Hung gap of measured sets that were not measured whole: what was not lies within its tolerance.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct UnmeasuredGap {
    /// The worse set, `'L'` or `'R'`.
    pub hand: char,
    /// 95 % of such sets leave less, mm; `None` where more do not get to the wall.
    pub p95: Option<f64>,
    /// Those that do not.
    pub short: Share,
}

/// Tolerances that are left to a measured set, in the order of [`Dimension::ALL`], mm; `None` where
/// nothing is left open.
#[must_use]
pub fn left_open(project: &Project, measured: &MeasuredSet) -> Option<[f64; 8]> {
    let tolerances = project.tolerances.as_ref().and_then(tolerances_of)?;
    let open =
        std::array::from_fn(|of| if Dimension::ALL[of].measured(measured).is_some() { 0.0 } else { tolerances[of] });
    open.iter().any(|tolerance| *tolerance > 0.0).then_some(open)
}

impl UnmeasuredGap {
    /// Draws what was not measured, as it is drawn for the pair; `None` where nothing is left open, or the
    /// lift does not close on its rests.
    pub(super) fn drawn(
        project: &Project,
        analysis: &Analysis,
        built: &AsBuilt,
        draws: &Draws,
        goes_on: GoesOn<'_>,
    ) -> Option<Self> {
        let closing = Closing::new(project, &analysis.lift, &analysis.travel)?;
        let nominal = SetGeometry::nominal(&analysis.lift);
        let of = |(side, (measured, hand)): (usize, (&MeasuredSet, Hand))| {
            let open = left_open(project, measured).unwrap_or_default();
            let known = errors_of(measured, &analysis.lift);
            let gap = |sample: u32| {
                if !goes_on() {
                    return f64::INFINITY;
                }
                let share = |of: usize| draws.share(u64::from(sample), (8 * side + of) as u64);
                let made = nominal.with(&std::array::from_fn(|of| known[of] + open[of] * share(of)));
                let closed = made.and_then(|set| closing.of(&set)).and_then(|closed| closed.gap());
                closed.map_or(f64::INFINITY, f64::abs)
            };
            let mut gaps: Vec<f64> = (0..draws.count).into_par_iter().with_min_len(256).map(gap).collect();
            let short = gaps.iter().filter(|gap| gap.is_infinite()).count() as u64;
            let p95 = quantile_of(&mut gaps, 0.95).filter(|gap| gap.is_finite());
            Self { hand: hand.letter(), p95, short: Share::of(short, u64::from(draws.count)) }
        };
        let sets = [(&built.left, Hand::Left), (&built.right, Hand::Right)];
        if sets.iter().all(|(measured, _)| left_open(project, measured).is_none()) {
            return None;
        }
        let size = |of: &Self| of.p95.unwrap_or(f64::INFINITY);
        sets.into_iter().enumerate().map(of).max_by(|a, b| size(a).total_cmp(&size(b)))
    }
}

impl PairTolerances {
    /// With what was measured known, and the rest within its tolerance.
    #[must_use]
    pub fn measured(self, built: &AsBuilt, lift: &Lift) -> Self {
        let mut found = self;
        let (left, right) = (errors_of(&built.left, lift), errors_of(&built.right, lift));
        for (index, dimension) in Dimension::ALL.into_iter().enumerate() {
            found.known[index] += left[index] - right[index];
            for (side, set) in [&built.left, &built.right].into_iter().enumerate() {
                if dimension.measured(set).is_some() {
                    found.sets[side][index] = 0.0;
                }
            }
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::parts;

    fn complete() -> Project {
        crate::samples::complete_board()
    }

    /// What is read back has the names and the drawn sizes that an inspection sheet is written with.
    #[test]
    fn every_dimension_is_measured_under_its_name() {
        let project = complete();
        let lift = Lift::new(&project);
        let analysis = crate::analyse(&project, &crate::Options { poses: 2, swept: false });
        let parts = parts(&project, &analysis.solids);
        for hand in [Hand::Left, Hand::Right] {
            for dimension in Dimension::ALL {
                let part = parts.iter().find(|part| part.name == dimension.part() && part.hand == hand);
                let sheet = part.expect("the part").characteristics(project.tolerances.as_ref());
                let row = sheet.iter().find(|row| row.name == dimension.characteristic());
                let row = row.unwrap_or_else(|| panic!("{dimension:?} is not measured: {sheet:?}"));
                assert!((row.nominal - dimension.drawn(&lift)).abs() < 1e-6, "{dimension:?}: {row:?}");
            }
        }
    }

    /// Plates with one bearing in each hinge have their seats in different faces, so wall and panel bars
    /// are handed although their outlines are alike: only the arms may change sides.
    #[test]
    fn handed_parts_do_not_change_sides() {
        let mut project = complete();
        project.bars.build = crate::Build::Sandwich;
        project.joints.get_or_insert_default().per_hinge = Some(1);
        let lengths = Lift::new(&project).lengths;
        let mut built = AsBuilt::default();
        (built.left.wall_bar, built.right.lower_arm) = (Some(lengths.wall_bar + 0.1), Some(lengths.lower_arm - 0.1));
        let analysis = crate::analyse(&project, &crate::Options { poses: 2, swept: false });
        let found = BuiltFigures::new(&project, &analysis, &built, None);
        let parts = parts(&project, &analysis.solids);
        for swap in &found.swaps {
            let apart = |of: &PartName| parts.iter().find(|part| part.name == *of).expect("the part").is_handed;
            assert_eq!(swap.possible, !swap.parts.iter().any(apart), "{:?}", swap.parts);
        }
        assert_eq!(found.swaps.iter().filter(|swap| swap.possible).count(), 4, "both arms, either, none");
    }

    /// Sizes as drawn but for the last figure of the sheet need neither shim nor new parts.
    #[test]
    fn what_no_gauge_tells_needs_nothing() {
        let project = complete();
        let lift = Lift::new(&project);
        let analysis = crate::analyse(&project, &crate::Options { poses: 2, swept: false });
        let mut built = AsBuilt::default();
        for set in [&mut built.left, &mut built.right] {
            for dimension in Dimension::ALL {
                *dimension.measured_mut(set) = Some((dimension.drawn(&lift) * 1e4).round() / 1e4);
            }
        }
        let found = BuiltFigures::new(&project, &analysis, &built, None);
        assert!(found.outcome.total > 0.0 && found.shims.is_empty() && found.remakes.is_empty(), "{found:?}");
        built.left.lower_arm = Some(lift.lengths.lower_arm + 0.02);
        let found = BuiltFigures::new(&project, &analysis, &built, None);
        assert!(!found.shims.is_empty() && !found.remakes.is_empty(), "{found:?}");
        // Five sizes would do alike; the one that is off is told first, to its drawn size.
        let first = found.remakes[0];
        assert_eq!((first.hand, first.dimension), ('L', Dimension::LowerArm), "{found:?}");
        assert!((first.to - lift.lengths.lower_arm).abs() < 2e-3, "{first:?}");
    }

    /// A measured value is the error that makes a set so: the panel pivot farther from the edge behind
    /// it is nearer to the wall, and a panel pushed out by the same shim is back.
    #[test]
    fn measured_values_become_errors() {
        let lift = Lift::new(&complete());
        let mut measured = MeasuredSet::default();
        for dimension in Dimension::ALL {
            *dimension.measured_mut(&mut measured) = Some(dimension.drawn(&lift) + 0.25);
        }
        let errors = errors_of(&measured, &lift);
        for (error, expected) in errors.iter().zip([0.25, 0.25, 0.25, 0.25, 0.25, 0.25, -0.25, -0.25]) {
            assert!((error - expected).abs() < 1e-9, "{errors:?}");
        }
        let set = SetGeometry::nominal(&lift).with(&errors).expect("a set");
        assert!((set.panel[0].x - (lift.panel_lower.x - 0.25)).abs() < 1e-9);
        assert!((set.wall[1].x - (lift.wall_upper.x + 0.25)).abs() < 1e-9);
    }
}
