//! One set drawn within its tolerances: hung gap, parked height, and loops that no longer close.

use rayon::prelude::*;

use super::closing::{Closing, Parked, Parking};
use super::draws::Draws;
use super::geometry::{Dimension, Errors, PanelPlace, SetGeometry};
use super::sensitivity::{closing_margin, hung_gap_by_rest};
use super::stack::{OfLifts, Share, Stack, quantile};
use super::study::GoesOn;
use crate::analysis::Analysis;
use crate::project::{Project, Tolerances};

/// What a figure of one set does within the tolerances.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct SetFigure {
    /// Change per mm of each dimension, in the order of [`Dimension::ALL`]; `None` at a dead point.
    pub slopes: Option<[f64; 8]>,
    /// All errors at their worst at once, by the slopes; mm (or degrees) from nominal.
    pub linear_worst: Option<f64>,
    /// Root of the sum of squares of the same.
    pub root_sum_square: Option<f64>,
    /// What no set within its tolerances passes, either way: by the slopes or with every error at an
    /// end of its tolerance, whichever is more. `None` where some set does not get there.
    pub worst: Option<f64>,
    /// Standard deviation by the slopes.
    pub linear_deviation: Option<f64>,
    /// Standard deviation of those drawn.
    pub deviation: f64,
    /// 95 % of those drawn are nearer to nominal than this; `None` where more do not get there.
    pub p95: Option<f64>,
    /// Those drawn, counted.
    pub histogram: Histogram,
    /// Whether slopes can be trusted: drawn and linear deviation within 3 %, and all sets get there.
    pub linear_trusted: bool,
}

/// Counts in bins of equal width.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Histogram {
    /// Lower edge of the first bin.
    pub from: f64,
    /// Width of a bin; 0 where all values are one.
    pub width: f64,
    /// How many fell in each.
    pub counts: Vec<u32>,
}

impl Histogram {
    /// Counts values in so many bins from the least to the greatest.
    #[must_use]
    pub fn of(values: impl Iterator<Item = f64> + Clone, bins: usize) -> Self {
        let (from, to) = values.clone().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
        if bins == 0 || from > to {
            return Self::default();
        }
        #[allow(clippy::cast_precision_loss)] // few
        let width = (to - from) / bins as f64;
        let mut counts = vec![0; bins];
        for value in values {
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // clamped to the bins
            let bin = if width > 0.0 { (((value - from) / width) as usize).min(bins - 1) } else { 0 };
            counts[bin] += 1;
        }
        Self { from, width, counts }
    }
}

/// One set within its tolerances.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct OneSet {
    /// Tolerance of each dimension, mm, in the order of [`Dimension::ALL`].
    pub tolerances: [f64; 8],
    /// Upper tip less lower tip when the first rest is on the wall, mm.
    pub hung_gap: SetFigure,
    /// Lowest point of the panel on its stop, mm from where the drawing has it; `None` where it does
    /// not move.
    pub parked_height: Option<SetFigure>,
    /// Turn of the lower arm at its stop beyond the drawn one, degrees; `None` where no stop of the
    /// arms is found: then it is parked by the drive at the drawn turn.
    pub parked_turn: Option<SetFigure>,
    /// How far short of where the drawn one stops, mm along the arc of the lower arm's end; negative goes
    /// beyond. `None` as for `parked_turn`.
    pub parked_shortfall: Option<SetFigure>,
    /// Sets whose loop does not close with the lower arm where the drawing has it hung.
    pub short_of_hung: Share,
    /// Lifts one of whose two sets does not.
    pub lifts_short_of_hung: OfLifts,
    /// The most that one of them stays short, mm at the end of the lower arm.
    pub most_short_of_hung: f64,
    /// Sets that meet a dead point before their stop.
    pub short_of_parked: Share,
    /// The most that is left there between the parts of the stop, mm.
    pub most_short_of_parked: f64,
    /// The loop's margin before it cannot close at hung, mm.
    pub closing_margin: f64,
    /// The lever at hung, mm.
    pub lever: f64,
}

/// Tolerance of each dimension, mm; `None` where neither is given.
#[must_use]
pub fn tolerances_of(tolerances: &Tolerances) -> Option<[f64; 8]> {
    if tolerances.length.is_none() && tolerances.offset.is_none() {
        return None;
    }
    let of = |dimension: Dimension| if dimension.is_length() { tolerances.length } else { tolerances.offset };
    Some(Dimension::ALL.map(|dimension| of(dimension).unwrap_or(0.0)))
}

/// The errors of one sample.
#[must_use]
pub fn drawn(draws: &Draws, sample: u64, tolerances: &[f64; 8]) -> Errors {
    std::array::from_fn(|of| tolerances[of] * draws.share(sample, of as u64))
}

#[derive(Clone, Copy)]
struct Sample {
    gap: Option<f64>,
    short: Option<f64>,
    parked: Option<Parked>,
}

impl Sample {
    const NONE: Self = Self { gap: None, short: None, parked: None };
}

struct Model {
    set: SetGeometry,
    closing: Closing,
    parking: Option<Parking>,
}

impl Model {
    fn of(&self, errors: &Errors) -> Sample {
        let Some(set) = self.set.with(errors) else { return Sample::NONE };
        Sample {
            gap: self.closing.of(&set).and_then(|closed| closed.gap()),
            short: self.closing.short_of_hung(&set),
            parked: self.parking.as_ref().and_then(|parking| parking.of(&set)),
        }
    }
}

/// Bins of a histogram: fine enough for a picture of some hundred points.
const BINS: usize = 60;
/// Drawn and linear deviation farther apart than this cannot both be meant.
const TRUSTED: f64 = 0.03;

impl OneSet {
    /// One set of a project drawn within its tolerances; `None` where the lift does not close on its
    /// rests, or no tolerance is given.
    #[must_use]
    pub fn new(project: &Project, analysis: &Analysis, draws: &Draws) -> Option<Self> {
        Self::new_while(project, analysis, draws, &|| true)
    }

    /// Likewise; it is soon done, and means nothing, once `goes_on` says no.
    pub(super) fn new_while(
        project: &Project,
        analysis: &Analysis,
        draws: &Draws,
        goes_on: GoesOn<'_>,
    ) -> Option<Self> {
        let tolerances = tolerances_of(project.tolerances.as_ref()?)?;
        Self::within_while(project, analysis, draws, tolerances, goes_on)
    }

    /// Likewise with these tolerances.
    #[must_use]
    pub fn within(project: &Project, analysis: &Analysis, draws: &Draws, tolerances: [f64; 8]) -> Option<Self> {
        Self::within_while(project, analysis, draws, tolerances, &|| true)
    }

    fn within_while(
        project: &Project,
        analysis: &Analysis,
        draws: &Draws,
        tolerances: [f64; 8],
        goes_on: GoesOn<'_>,
    ) -> Option<Self> {
        let lift = &analysis.lift;
        let closing = Closing::new(project, lift, &analysis.travel)?;
        let parking = Parking::new(lift, &analysis.travel, &analysis.stop);
        let model = Model { set: SetGeometry::nominal(lift), closing, parking };
        let hung_pose = analysis.pose_at(0.0);
        let hung = PanelPlace { origin: hung_pose.origin(), turn: -hung_pose.tilt };
        // Every error at one end or the other of its tolerance.
        let corners: Vec<Sample> = (0..256_u32)
            .map(|signs| {
                model.of(&std::array::from_fn(|of| if signs >> of & 1 == 0 { tolerances[of] } else { -tolerances[of] }))
            })
            .collect();
        let samples: Vec<Sample> = (0..draws.count)
            .into_par_iter()
            .with_min_len(256)
            .map(
                |sample| {
                    if goes_on() { model.of(&drawn(draws, u64::from(sample), &tolerances)) } else { Sample::NONE }
                },
            )
            .collect();
        let by_rest = hung_gap_by_rest(&model.set, &hung, closing.tips());
        let slopes = by_rest.as_ref().map(|[one, other]| std::array::from_fn(|of| 0.5 * (one[of] + other[of])));
        let steeper = by_rest.map(|by| {
            by.map(|slopes| Stack { slopes: std::array::from_fn(|of| slopes[of]), tolerances }.worst())
                .into_iter()
                .fold(0.0, f64::max)
        });
        let figure = |slopes, steeper, of: &dyn Fn(&Sample) -> Option<f64>| {
            SetFigure::new(slopes, steeper, tolerances, draws, corners.iter().map(of), samples.iter().map(of))
        };
        let hung_gap = figure(slopes, steeper, &|sample| sample.gap);
        let (drawn_turn, drawn_lowest) = match model.parking.and_then(|parking| parking.of(&model.set)) {
            Some(Parked::OnStop { turn, lowest }) => (turn, lowest),
            _ => (0.0, 0.0),
        };
        let on_stop = |sample: &Sample, of: &dyn Fn(f64, f64) -> f64| match sample.parked {
            Some(Parked::OnStop { turn, lowest }) => Some(of(turn, lowest)),
            _ => None,
        };
        let height = |sample: &Sample| on_stop(sample, &|_, lowest| lowest - drawn_lowest);
        let turn = |sample: &Sample| on_stop(sample, &|turn, _| (turn - drawn_turn).to_degrees());
        let shortfall = |sample: &Sample| on_stop(sample, &|turn, _| (drawn_turn - turn) * lift.lengths.lower_arm);
        let slopes_of = |of: &dyn Fn(&Sample) -> Option<f64>| {
            /// Some hundredths of a tolerance, mm: rounding is a nanometre of it.
            const STEP: f64 = 1e-3;
            let mut slopes = [0.0; 8];
            for (index, slope) in slopes.iter_mut().enumerate() {
                let at = |by: f64| of(&model.of(&std::array::from_fn(|of| if of == index { by } else { 0.0 })));
                *slope = (at(STEP)? - at(-STEP)?) / (2.0 * STEP);
            }
            Some(slopes)
        };
        let parked = |of: &dyn Fn(&Sample) -> Option<f64>| {
            let slopes = slopes_of(of);
            figure(slopes, slopes.map(|slopes| Stack { slopes, tolerances }.worst()), of)
        };
        let is_short = |sample: &Sample| match sample.parked {
            Some(Parked::Short { by }) => Some(by),
            _ => None,
        };
        let share = |of: &dyn Fn(&Sample) -> Option<f64>| {
            let hits = samples.iter().filter(|sample| of(sample).is_some()).count();
            let most = samples.iter().filter_map(of).fold(0.0, f64::max);
            (Share::of(hits as u64, u64::from(draws.count)), most)
        };
        let (short_of_hung, most_short_of_hung) = share(&|sample| sample.short);
        let (short_of_parked, most_short_of_parked) = share(&is_short);
        Some(Self {
            tolerances,
            hung_gap,
            parked_height: model.parking.map(|_| parked(&height)),
            parked_turn: model.parking.filter(Parking::is_on_arms).map(|_| parked(&turn)),
            parked_shortfall: model.parking.filter(Parking::is_on_arms).map(|_| parked(&shortfall)),
            lifts_short_of_hung: short_of_hung.of_lifts(),
            short_of_hung,
            most_short_of_hung,
            short_of_parked,
            most_short_of_parked,
            closing_margin: closing_margin(&model.set, &hung),
            lever: lift.lever(&hung_pose),
        })
    }
}

impl SetFigure {
    fn new(
        slopes: Option<[f64; 8]>,
        steeper: Option<f64>,
        tolerances: [f64; 8],
        draws: &Draws,
        mut corners: impl Iterator<Item = Option<f64>>,
        samples: impl Iterator<Item = Option<f64>> + Clone,
    ) -> Self {
        let stack = slopes.map(|slopes| Stack { slopes, tolerances });
        let mut sizes: Vec<f64> = samples.clone().map(|value| value.map_or(f64::INFINITY, f64::abs)).collect();
        sizes.sort_by(f64::total_cmp);
        let greatest = sizes.last().copied().unwrap_or(0.0);
        let at_corners = corners.try_fold(0.0_f64, |most, value| Some(most.max(value?.abs())));
        let worst = at_corners.map(|most| most.max(steeper.unwrap_or(0.0)).max(greatest)).filter(|w| w.is_finite());
        let there = samples.flatten();
        #[allow(clippy::cast_precision_loss)] // far fewer than 2^53
        let count = (there.clone().count() as f64).max(1.0);
        let mean = there.clone().sum::<f64>() / count;
        let deviation = (there.clone().map(|value| (value - mean).powi(2)).sum::<f64>() / count).sqrt();
        let linear_deviation = stack.as_ref().map(|stack| stack.deviation(draws.spread));
        let apart = linear_deviation.map(|linear| (deviation - linear).abs() - TRUSTED * linear);
        Self {
            slopes,
            linear_worst: stack.as_ref().map(Stack::worst),
            root_sum_square: stack.as_ref().map(Stack::root_sum_square),
            worst,
            linear_deviation,
            deviation,
            p95: quantile(&sizes, 0.95).filter(|value| value.is_finite()),
            histogram: Histogram::of(there, BINS),
            linear_trusted: worst.is_some() && apart.is_some_and(|apart| apart <= 0.0),
        }
    }
}
