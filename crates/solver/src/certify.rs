//! Least values and first zeros over a continuous stretch of motion, proved by a bound on motion.
//!
//! A distance between two rigid parts changes by at most what their points move. So between two
//! poses with distances d₀ and d₁, and at most m of motion, it stays above (d₀ + d₁ − m) / 2.
//! The stretch is halved until that proves what is asked.

use std::collections::BinaryHeap;

use crate::lift::{ArmName, Lift};
use crate::pose::{Placement, Pose};

/// Poses evaluated at most in one search to its tolerance: a part that slides along at a nearly
/// constant distance would ask for millions. Beyond, five times the tolerance will do, the 0.01 mm
/// that is promised, at [`MOST_SAMPLES_AT_ALL`] poses: 8 m of sliding. What is then unproved lowers
/// the value reported, never raises it.
const MOST_SAMPLES: usize = 20_000;
const MOST_SAMPLES_AT_ALL: usize = 400_000;

/// Between two cuts nothing turns farther than this, radians: half a revolution, less rounding. From
/// there on directions tell a turn as well as angles do (see `turns`).
const MOST_TURN: f64 = 3.0;

/// A piece of the curve narrower than this, radians, is a point.
const NARROWEST: f64 = 1e-12;

/// A stretch of the motion curve, walked from `start` in `direction` (±1).
#[derive(Clone, Debug)]
pub(crate) struct Stretch {
    pub start: f64,
    pub direction: f64,
    /// Distances from the start, in phase, at which to cut: 0, every turning point of an arm or
    /// of the panel, and the length; and where a turn between them is long. Between two of them all
    /// turns are monotone, and at most half a revolution.
    pub cuts: Vec<f64>,
}

/// A least value and where it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Least {
    /// Never above the true least value, and below it by at most `within`.
    pub value: f64,
    /// The tolerance asked or less, but where the samples did not do.
    pub within: f64,
    /// Walked phase of the least value seen.
    pub walked: f64,
}

#[derive(Clone, Copy)]
struct Sample {
    walked: f64,
    placement: Placement,
    value: f64,
}

impl Sample {
    /// The one with the smaller value; of two alike the earlier.
    fn least(self, other: Self) -> Self {
        /// Values this close, mm, are alike: far below what is told, above rounding.
        const ALIKE_MM: f64 = 1e-9;
        let better =
            other.value < self.value - ALIKE_MM || (other.value <= self.value + ALIKE_MM && other.walked < self.walked);
        if better { other } else { self }
    }
}

/// A piece of the stretch that is not settled yet, by the samples at its ends, and what no value on
/// it is below.
struct Open {
    bound: f64,
    from: usize,
    to: usize,
}

impl PartialEq for Open {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}
impl Eq for Open {}
impl PartialOrd for Open {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Open {
    /// The smallest bound is the greatest: it comes out of a heap first.
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        other.bound.total_cmp(&self.bound)
    }
}

impl Stretch {
    /// Cuts a stretch of the given length (in phase, ≥ 0) at the lift's turning points.
    pub fn new(lift: &Lift, start: f64, direction: f64, length: f64) -> Self {
        let mut cuts = vec![0.0, length];
        let period = std::f64::consts::TAU;
        for phase in lift.turning_phases() {
            let mut walked = (direction * (phase - start)).rem_euclid(period);
            while walked < length {
                if walked > 0.0 {
                    cuts.push(walked);
                }
                walked += period;
            }
        }
        cuts.sort_by(f64::total_cmp);
        let mut stretch = Self { start, direction, cuts };
        stretch.cut_long_turns(lift);
        stretch
    }

    /// Halves pieces on which an arm or the panel, or one of them against another, turns far. Turns
    /// are monotone there: those of a half are never above those of the whole.
    fn cut_long_turns(&mut self, lift: &Lift) {
        let [lower, upper] = ArmName::BOTH;
        let turns = |pose: &Pose| {
            [
                pose.lower_arm,
                pose.upper_arm,
                pose.tilt,
                pose.arm_in_panel(lower),
                pose.arm_in_panel(upper),
                pose.upper_arm - pose.lower_arm,
            ]
        };
        let at = |walked: f64| turns(&lift.pose(self.phase(walked), 0.0));
        let mut done = vec![self.cuts[0]];
        let mut last = at(self.cuts[0]);
        // What is still to come, the nearest last.
        let mut ahead: Vec<f64> = self.cuts[1..].iter().rev().copied().collect();
        while let (Some(from), Some(to)) = (done.last().copied(), ahead.last().copied()) {
            let here = at(to);
            if to - from > NARROWEST && here.iter().zip(last).any(|(to, from)| (to - from).abs() > MOST_TURN) {
                ahead.push(0.5 * (from + to));
                continue;
            }
            last = here;
            done.push(to);
            ahead.pop();
        }
        self.cuts = done;
    }

    /// The part of it up to a walked phase within it.
    pub fn up_to(&self, walked: f64) -> Self {
        let mut cuts: Vec<f64> = self.cuts.iter().copied().filter(|cut| *cut < walked).collect();
        cuts.push(walked);
        Self { cuts, ..*self }
    }

    pub fn phase(&self, walked: f64) -> f64 {
        self.start + self.direction * walked
    }

    fn sample(&self, lift: &Lift, walked: f64, value: &mut impl FnMut(&Placement) -> f64) -> Sample {
        let placement = lift.placement(self.phase(walked));
        Sample { walked, placement, value: value(&placement) }
    }

    /// The least of `value` over the stretch, certified to `tolerance`. `most_motion` bounds how
    /// much the value can change between two poses of one monotone piece; it is never below
    /// `floor`. On a tie the first.
    pub fn least(
        &self,
        lift: &Lift,
        tolerance: f64,
        floor: f64,
        value: impl FnMut(&Placement) -> f64,
        most_motion: impl Fn(&Placement, &Placement) -> f64,
    ) -> Least {
        let found = self.least_below(f64::INFINITY, lift, tolerance, floor, value, most_motion);
        found.unwrap_or(Least { value: f64::INFINITY, within: 0.0, walked: 0.0 })
    }

    /// The same, if it is below `limit`: what is not is not searched any closer.
    pub fn least_below(
        &self,
        limit: f64,
        lift: &Lift,
        tolerance: f64,
        floor: f64,
        mut value: impl FnMut(&Placement) -> f64,
        most_motion: impl Fn(&Placement, &Placement) -> f64,
    ) -> Option<Least> {
        /// Pieces that each monotone piece starts with: enough to find a good least early.
        const PIECES: usize = 6;
        let mut best = self.sample(lift, 0.0, &mut value);
        let mut samples = vec![best];
        for pair in self.cuts.windows(2) {
            for step in 1..=PIECES {
                #[allow(clippy::cast_precision_loss)] // small
                let share = step as f64 / PIECES as f64;
                let sample = self.sample(lift, pair[0] + share * (pair[1] - pair[0]), &mut value);
                best = best.least(sample);
                samples.push(sample);
            }
        }
        let bound = |from: &Sample, to: &Sample| {
            (0.5 * (from.value + to.value - most_motion(&from.placement, &to.placement))).max(floor)
        };
        // The least promising bound first: when the samples run out, what is proved is as much as
        // they could prove.
        let pieces =
            (1..samples.len()).map(|to| Open { bound: bound(&samples[to - 1], &samples[to]), from: to - 1, to });
        let mut heap: BinaryHeap<Open> = pieces.collect();
        for taken in 0..MOST_SAMPLES_AT_ALL {
            let tolerance = if taken < MOST_SAMPLES { tolerance } else { 5.0 * tolerance };
            let Some(top) = heap.peek() else { break };
            let (from, to) = (samples[top.from], samples[top.to]);
            if top.bound >= limit || top.bound >= best.value - tolerance || to.walked - from.walked <= NARROWEST {
                break;
            }
            let Some(Open { from: from_at, to: to_at, .. }) = heap.pop() else { break };
            let middle = self.sample(lift, 0.5 * (from.walked + to.walked), &mut value);
            best = best.least(middle);
            let middle_at = samples.len();
            samples.push(middle);
            heap.push(Open { bound: bound(&from, &middle), from: from_at, to: middle_at });
            heap.push(Open { bound: bound(&middle, &to), from: middle_at, to: to_at });
        }
        let proved = heap.peek().map_or(best.value, |open| open.bound);
        let value = best.value.min(proved);
        (value < limit).then_some(Least { value, within: best.value - value, walked: best.walked })
    }

    /// The first place where `value` is at or below zero, to `tolerance` in phase, starting from
    /// a place where it is above; a value that starts at or below is first walked out of.
    /// Returns the walked phase and whether it started at or below zero.
    pub fn first_zero(
        &self,
        lift: &Lift,
        tolerance: f64,
        touch: f64,
        mut value: impl FnMut(&Placement) -> f64,
        most_motion: impl Fn(&Placement, &Placement) -> f64,
    ) -> (Option<f64>, bool) {
        const PIECES: usize = 8;
        let mut samples = vec![self.sample(lift, 0.0, &mut value)];
        for pair in self.cuts.windows(2) {
            for step in 1..=PIECES {
                #[allow(clippy::cast_precision_loss)] // small
                let share = step as f64 / PIECES as f64;
                samples.push(self.sample(lift, pair[0] + share * (pair[1] - pair[0]), &mut value));
            }
        }
        let started_below = samples[0].value <= touch;
        let mut apart = !started_below;
        let mut taken = 0;
        let mut open: Vec<(Sample, Sample)> = samples.windows(2).rev().map(|pair| (pair[0], pair[1])).collect();
        while let Some((from, to)) = open.pop() {
            if !apart {
                apart = to.value > touch;
                continue;
            }
            if from.value + to.value > most_motion(&from.placement, &to.placement) && to.value > touch {
                continue;
            }
            let width = to.walked - from.walked;
            taken += 1;
            if width <= tolerance || taken > MOST_SAMPLES {
                if to.value <= touch {
                    return (Some(to.walked), started_below);
                }
                continue;
            }
            let middle = self.sample(lift, from.walked + 0.5 * width, &mut value);
            open.push((middle, to));
            open.push((from, middle));
        }
        (None, started_below)
    }

    /// Least and largest value over the stretch of an angle that turns one way between two cuts:
    /// exact.
    pub fn range(&self, lift: &Lift, angle: impl Fn(&Pose) -> f64) -> (f64, f64) {
        let seen = self.cuts.iter().map(|walked| angle(&lift.pose(self.phase(*walked), 0.0)));
        seen.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), angle| (low.min(angle), high.max(angle)))
    }

    /// The first place at which such an angle has a value within its range; walked phase, by
    /// bisection to rounding.
    pub fn first_at(&self, lift: &Lift, angle: impl Fn(&Pose) -> f64, wanted: f64) -> f64 {
        let off = |walked: f64| angle(&lift.pose(self.phase(walked), 0.0)) - wanted;
        if off(0.0).abs() <= 1e-12 {
            return 0.0;
        }
        for pair in self.cuts.windows(2) {
            let (mut from, mut to) = (pair[0], pair[1]);
            let (at_from, at_to) = (off(from), off(to));
            if at_from * at_to > 0.0 {
                if at_to.abs() <= 1e-12 {
                    return to;
                }
                continue;
            }
            for _ in 0..60 {
                let middle = 0.5 * (from + to);
                if off(middle) * at_from > 0.0 { from = middle } else { to = middle }
            }
            return to;
        }
        self.cuts.last().copied().unwrap_or(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::placed::Moving;
    use crate::{Options, analyse};

    /// A part that slides along all the way at 5 mm, as far as it moves or a thousand times as far.
    fn sliding(times: f64) -> Least {
        let project = crate::samples::board();
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let lift = &analysis.lift;
        let motion = |from: &Placement, to: &Placement| times * Moving::Panel.most_motion(lift, from, to);
        let tolerance = crate::tolerance::CLEARANCE_MM;
        analysis.travel.stretch(lift).least(lift, tolerance, f64::NEG_INFINITY, |_| 5.0, motion)
    }

    #[test]
    fn what_slides_along_is_told_within_what_is_promised() {
        // More poses than are taken to the finer tolerance: the panel's 1.7 m in pieces of 4 µm.
        let least = sliding(1.0);
        assert!(least.value <= 5.0 && least.value >= 4.99, "{least:?}");
        assert!((least.within - (5.0 - least.value)).abs() < 1e-12);
    }

    #[test]
    fn what_could_not_be_proved_is_told_lower_and_says_so() {
        // 1.7 km cannot be proved to 0.01 mm: less is told, never more, and by how much.
        let least = sliding(1000.0);
        assert!(least.value < 4.99, "{least:?}");
        assert!((least.value + least.within - 5.0).abs() < 1e-9, "{least:?}");
        // Pieces alike: half of the motion of each.
        assert!(least.within < 10.0, "{least:?}");
    }

    #[test]
    fn no_piece_turns_beyond_half_a_revolution() {
        let mut project = crate::samples::board();
        // A short lower arm that goes round and round.
        project.linkage.wall_lower = crate::Point::new(30.0, 1000.0);
        project.linkage.panel_lower = crate::Point::new(-30.0, 400.0);
        project.linkage.wall_upper = crate::Point::new(230.0, 1100.0);
        project.linkage.panel_upper = crate::Point::new(-30.0, 700.0);
        project.panel.hung.bottom = 650.0;
        let lift = crate::Lift::new(&project);
        assert!(lift.circuit.lower_arm_dead_points().is_empty(), "{:?}", lift.lengths);
        let stretch = Stretch::new(&lift, lift.phase_at_hung(), 1.0, 3.0 * std::f64::consts::TAU);
        let at = |walked: f64| lift.pose(stretch.phase(walked), 0.0);
        let turned = at(stretch.cuts[stretch.cuts.len() - 1]).lower_arm - at(0.0).lower_arm;
        assert!((turned - 3.0 * std::f64::consts::TAU).abs() < 1e-9);
        for pair in stretch.cuts.windows(2) {
            let (from, to) = (at(pair[0]), at(pair[1]));
            assert!((to.lower_arm - from.lower_arm).abs() <= MOST_TURN);
            assert!((to.upper_arm - from.upper_arm).abs() <= MOST_TURN);
            assert!((to.tilt - from.tilt).abs() <= MOST_TURN);
        }
    }
}
