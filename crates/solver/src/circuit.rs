//! The motion curve of a four-bar linkage as one smooth closed curve.
//!
//! The place on the curve is a *phase* in radians. Where the lower arm can turn fully, the phase
//! is its angle to the ground line. Where it swings between two dead points, its angle is
//! middle + half · sin(phase), so that the curve runs smoothly through the dead points: no switch
//! of the driving arm and no square root that loses its digits. The two half circuits, panel bar
//! to the left and to the right of the diagonal, are phases with positive and negative cosine.
//!
//! Letters as in the textbooks: ground line from the lower to the upper wall pivot; a lower arm,
//! b panel bar, c upper arm, d wall bar; A and B the panel ends of the arms; r the diagonal from A
//! to the upper wall pivot; h the height of B over that diagonal, positive on its left.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use nalgebra::Vector2;

use crate::class::Class;
use crate::lift::Lengths;
use crate::tolerance::{CHANGE_POINT, LOCKED};

/// One assembly circuit of a linkage, in the ground frame (origin at the lower wall pivot, x
/// towards the upper one).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circuit {
    lengths: Lengths,
    /// T1·T2 and T3·(a+b+c+d): `inner` and `outer` below at the ends of the ground line.
    inner_least: f64,
    outer_least: f64,
    range: Range,
    /// Change points on this circuit: where the lower arm lies along / against the ground line.
    change_at_zero: bool,
    change_at_half_turn: bool,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Range {
    /// No dead point of the lower arm; the panel bar stays on one side of the diagonal.
    Turning { side: f64 },
    /// The lower arm swings between two dead points.
    Rocking { middle: f64, half: f64, low: DeadPoint, high: DeadPoint },
}

/// How upper arm and panel bar lie in line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum DeadPoint {
    /// Folded on each other.
    Inner,
    /// Stretched out.
    Outer,
}

/// Where A and B are at one phase, ground frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Place {
    /// From the lower wall pivot to A.
    pub lower_arm: Vector2<f64>,
    /// From A to B.
    pub panel_bar: Vector2<f64>,
    /// From the upper wall pivot to B.
    pub upper_arm: Vector2<f64>,
    /// Rate of the lower arm per radian of phase, and the factor that turns cross products into
    /// the other two rates.
    lower_rate: f64,
    rate_factor: f64,
    /// Of the lower arm to the ground line.
    theta: f64,
    /// Of B over the diagonal, along it from A, and the diagonal's length.
    height: f64,
    foot: f64,
    diagonal: f64,
}

/// Continuous directions of the three moving bars, ground frame, radians.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Directions {
    pub lower_arm: f64,
    pub panel_bar: f64,
    pub upper_arm: f64,
}

impl Circuit {
    /// The circuit through the pose in which the lower arm stands at `theta` to the ground line
    /// and B lies at height `height` over the diagonal; and the phase of that pose.
    pub(crate) fn through(lengths: &Lengths, theta: f64, height: f64) -> (Self, f64) {
        let (a, b, c, d) = (lengths.lower_arm, lengths.panel_bar, lengths.upper_arm, lengths.wall_bar);
        let [t1, t2, t3] = Class::of(lengths).sums;
        let sum = a + b + c + d;
        let zero = CHANGE_POINT * sum;
        let change_at_zero = t1.abs() <= zero || t2.abs() <= zero;
        let change_at_half_turn = t3.abs() <= zero;
        let inner_least = if change_at_zero { 0.0 } else { t1 * t2 };
        let outer_least = if change_at_half_turn { 0.0 } else { t3 * sum };
        // Half-angle forms of the limits: accurate however near they are to 0 or π.
        let four_ad = 4.0 * a * d;
        let inner = (inner_least < 0.0).then(|| 2.0 * half_angle(-inner_least / four_ad));
        let outer = (outer_least < 0.0).then(|| PI - 2.0 * half_angle(-outer_least / four_ad));
        let wrapped = principal(theta);
        let rocking = |low: f64, high: f64, low_kind, high_kind| Range::Rocking {
            middle: 0.5 * (low + high),
            half: 0.5 * (high - low).max(0.0),
            low: low_kind,
            high: high_kind,
        };
        let range = match (inner, outer) {
            (None, None) => Range::Turning { side: if height < 0.0 { -1.0 } else { 1.0 } },
            (None, Some(o)) => rocking(-o, o, DeadPoint::Outer, DeadPoint::Outer),
            (Some(i), None) => rocking(i, TAU - i, DeadPoint::Inner, DeadPoint::Inner),
            (Some(i), Some(o)) if wrapped >= 0.0 => rocking(i.min(o), o, DeadPoint::Inner, DeadPoint::Outer),
            (Some(i), Some(o)) => rocking(-o, (-i).max(-o), DeadPoint::Outer, DeadPoint::Inner),
        };
        let circuit = Self { lengths: *lengths, inner_least, outer_least, range, change_at_zero, change_at_half_turn };
        let phase = circuit.phase_near(theta, height);
        (circuit, phase)
    }

    /// The phase of a pose on this circuit, from the angle and from the height: each is accurate
    /// where the other is not.
    fn phase_near(&self, theta: f64, height: f64) -> f64 {
        match self.range {
            Range::Turning { .. } => principal(theta),
            Range::Rocking { middle, half, .. } => {
                if half < LOCKED {
                    return 0.0;
                }
                let sine = (principal(theta - middle) / half).clamp(-1.0, 1.0);
                let low_share = 0.5 * (1.0 + sine);
                let theta = middle + half * sine;
                let q = self.height_factor(theta, self.diagonal(theta), low_share, half);
                if q > 0.0 { sine.atan2(height / q) } else { sine.asin() }
            }
        }
    }

    /// Phase, in 0…2π, of a pose given like in [`Circuit::through`], if it lies on this circuit.
    fn phase_if_here(&self, theta: f64, height: f64) -> Option<f64> {
        match self.range {
            Range::Turning { side } => (height * side >= 0.0).then(|| principal(theta).rem_euclid(TAU)),
            Range::Rocking { middle, half, .. } => (half >= LOCKED && principal(theta - middle).abs() <= half + 1e-12)
                .then(|| self.phase_near(theta, height).rem_euclid(TAU)),
        }
    }

    /// True when the linkage has no room to move at all.
    #[must_use]
    pub fn is_locked(&self) -> bool {
        matches!(self.range, Range::Rocking { half, .. } if half < LOCKED)
    }

    /// Phases, 0…2π, of the lower arm's dead points (upper arm and panel bar in line); none where
    /// it can turn fully.
    #[must_use]
    pub fn lower_arm_dead_points(&self) -> Vec<f64> {
        match self.range {
            Range::Turning { .. } => Vec::new(),
            Range::Rocking { .. } => vec![FRAC_PI_2, 3.0 * FRAC_PI_2],
        }
    }

    /// Phases, 0…2π, of the upper arm's dead points (lower arm and panel bar in line).
    #[must_use]
    pub fn upper_arm_dead_points(&self) -> Vec<f64> {
        let Lengths { lower_arm: a, panel_bar: b, upper_arm: c, wall_bar: d } = self.lengths;
        let mut phases = Vec::new();
        // B lies at signed distance `reach` from the lower wall pivot along the lower arm.
        for reach in [a + b, a - b] {
            let size = reach.abs();
            if size <= 0.0 {
                continue;
            }
            // Triangle of the wall pivots and B, sides d, |reach|, c.
            let cosine = (d * d + size * size - c * c) / (2.0 * d * size);
            if cosine.abs() > 1.0 {
                continue;
            }
            for sign in [1.0, -1.0] {
                let to_b = sign * cosine.acos();
                let theta = if reach > 0.0 { to_b } else { to_b + PI };
                let along = Vector2::new(theta.cos(), theta.sin());
                let bar = along * (reach - a);
                phases.extend(self.phase_if_here(theta, self.height_of(along * a, bar)));
            }
        }
        sorted(phases)
    }

    /// Phases, 0…2π, where the panel's turning reverses (the arms are parallel).
    #[must_use]
    pub fn panel_reversals(&self) -> Vec<f64> {
        let Lengths { lower_arm: a, panel_bar: b, upper_arm: c, wall_bar: d } = self.lengths;
        let mut phases = Vec::new();
        for m in [c - a, -c - a] {
            if m.abs() < 1e-12 * (a + c) {
                continue; // equal parallel arms: the panel bar never turns there
            }
            // A to B = (d, 0) + m·(direction of the lower arm), of length b.
            let cosine = (b * b - d * d - m * m) / (2.0 * d * m);
            if cosine.abs() > 1.0 {
                continue;
            }
            for sign in [1.0, -1.0] {
                let theta: f64 = sign * cosine.acos();
                let along = Vector2::new(theta.cos(), theta.sin());
                let bar = Vector2::new(d, 0.0) + along * m;
                phases.extend(self.phase_if_here(theta, self.height_of(along * a, bar)));
            }
        }
        sorted(phases)
    }

    /// Phases, 0…2π, where the arms' turn against each other reverses (the panel bar is parallel to
    /// the wall bar).
    #[must_use]
    pub fn arm_against_arm_reversals(&self) -> Vec<f64> {
        let Lengths { lower_arm: a, panel_bar: b, upper_arm: c, wall_bar: d } = self.lengths;
        let mut phases = Vec::new();
        for bar in [b, -b] {
            // The upper arm = lower arm + (bar − d along the ground line), of length c.
            let shift = bar - d;
            let cosine = (c * c - a * a - shift * shift) / (2.0 * a * shift);
            if shift.abs() < 1e-12 * (b + d) || cosine.abs() > 1.0 {
                continue;
            }
            for sign in [1.0, -1.0] {
                let theta: f64 = sign * cosine.acos();
                let arm = Vector2::new(a * theta.cos(), a * theta.sin());
                phases.extend(self.phase_if_here(theta, self.height_of(arm, Vector2::new(bar, 0.0))));
            }
        }
        sorted(phases)
    }

    /// Phases, 0…2π, where an arm lies along the wall bar's pivot line: there the turn of the panel
    /// bar against the other arm reverses.
    #[must_use]
    pub fn wall_bar_alignments(&self) -> Vec<f64> {
        let Lengths { lower_arm: a, panel_bar: b, upper_arm: c, wall_bar: d } = self.lengths;
        let mut phases = Vec::new();
        // The lower arm along the ground line: B by the two circles, on either side.
        for theta in [0.0, PI] {
            let r = self.diagonal(theta);
            let x = (r * r + (b - c) * (b + c)) / (2.0 * r.max(f64::MIN_POSITIVE));
            if r > 0.0 && x.abs() <= b {
                let height = (b * b - x * x).sqrt();
                phases.extend([height, -height].into_iter().filter_map(|h| self.phase_if_here(theta, h)));
            }
        }
        // The upper arm along it: B at d ± c, the lower arm by the triangle of a, b and that.
        for reach in [d + c, d - c] {
            let size = reach.abs();
            let cosine = (a * a + size * size - b * b) / (2.0 * a * size.max(f64::MIN_POSITIVE));
            if size > 0.0 && cosine.abs() <= 1.0 {
                for sign in [1.0, -1.0] {
                    let theta = sign * cosine.acos() + if reach < 0.0 { PI } else { 0.0 };
                    let arm = Vector2::new(a * theta.cos(), a * theta.sin());
                    phases.extend(self.phase_if_here(theta, self.height_of(arm, Vector2::new(reach, 0.0) - arm)));
                }
            }
        }
        sorted(phases)
    }

    /// Phases, 0…2π, of change points: the curve crosses itself and the motion is not determined.
    #[must_use]
    pub fn change_points(&self) -> Vec<f64> {
        match self.range {
            Range::Turning { .. } => [(self.change_at_zero, 0.0), (self.change_at_half_turn, PI)]
                .iter()
                .filter(|(on, _)| *on)
                .map(|(_, p)| *p)
                .collect(),
            Range::Rocking { .. } if self.change_at_zero || self.change_at_half_turn => vec![0.0, PI],
            Range::Rocking { .. } => Vec::new(),
        }
    }

    /// Angle of the lower arm to the ground line, continuous in the phase.
    #[must_use]
    pub fn lower_arm_angle(&self, phase: f64) -> f64 {
        match self.range {
            Range::Turning { .. } => phase,
            Range::Rocking { middle, half, .. } => middle + half * phase.sin(),
        }
    }

    /// The half wave of phases between two dead points that starts at `from` in `direction` (±1):
    /// its number, and +1 where the lower arm's angle rises with the phase on it, −1 where it falls.
    fn half_wave(from: f64, direction: f64) -> (f64, f64) {
        /// A phase this near to a dead point lies on it: 1e-12 rad are nowhere a nanometre.
        const ON_DEAD_POINT: f64 = 1e-12;
        let waves = (from + FRAC_PI_2) / PI;
        let wave = if direction > 0.0 { (waves + ON_DEAD_POINT).floor() } else { (waves - ON_DEAD_POINT).ceil() - 1.0 };
        (wave, if wave.rem_euclid(2.0) < 0.5 { 1.0 } else { -1.0 })
    }

    /// The phase between `from` and the next dead point in `direction` (±1) at which the lower arm
    /// has turned by `turn` from its angle at `from`; the dead point itself when it never gets there.
    pub(crate) fn phase_after_turn(&self, from: f64, direction: f64, turn: f64) -> f64 {
        match self.range {
            Range::Turning { .. } => from + turn,
            Range::Rocking { half, .. } if half < LOCKED => from,
            Range::Rocking { half, .. } => {
                let (wave, rising) = Self::half_wave(from, direction);
                let sine = from.sin() + turn / half;
                wave * PI + rising * if sine.abs() >= 1.0 { FRAC_PI_2 * sine.signum() } else { sine.asin() }
            }
        }
    }

    /// The phase on the way from `from` at which the lower arm has turned by `turn`; its dead point
    /// when it never gets there.
    #[must_use]
    pub fn phase_of_turn(&self, from: f64, turn: f64) -> f64 {
        let rising = match self.range {
            Range::Turning { .. } => 1.0,
            Range::Rocking { .. } => from.cos().signum(),
        };
        self.phase_after_turn(from, rising * turn.signum(), turn)
    }

    /// The turn of the lower arm up to its next dead point in `direction`; infinite without one.
    pub(crate) fn turn_left(&self, from: f64, direction: f64) -> f64 {
        match self.range {
            Range::Turning { .. } => direction * f64::INFINITY,
            Range::Rocking { half, .. } => half * (Self::half_wave(from, direction).1 * direction - from.sin()),
        }
    }

    /// h ÷ cos(phase) for a rocking lower arm; r is the diagonal, `low_share` = (θ − low) ÷ 2·half.
    fn height_factor(&self, theta: f64, r: f64, low_share: f64, half: f64) -> f64 {
        let Range::Rocking { middle, low, high, .. } = self.range else { return 0.0 };
        let Lengths { lower_arm: a, panel_bar: b, upper_arm: c, wall_bar: d } = self.lengths;
        let four_ad = 4.0 * a * d;
        // outer · inner = S_low · S_high · k with S = sin(half · share), see the file's head. The
        // factor of k that has no zero here comes from r; at a change point it has one.
        let k = match (low, high) {
            (DeadPoint::Outer, DeadPoint::Outer) if self.change_at_zero => four_ad * self.inner(theta),
            (DeadPoint::Inner, DeadPoint::Inner) if self.change_at_half_turn => four_ad * self.outer(theta),
            (DeadPoint::Outer, DeadPoint::Outer) => four_ad * (r - b + c) * (r + b - c),
            (DeadPoint::Inner, DeadPoint::Inner) => four_ad * (b + c - r) * (b + c + r),
            _ => four_ad * four_ad * (0.5 * (theta + middle - half)).sin() * (0.5 * (theta + middle + half)).sin(),
        };
        (k * sine_over(half, low_share) * sine_over(half, 1.0 - low_share)).max(0.0).sqrt() / (4.0 * r)
    }

    /// r² − (b − c)², the distance from folding.
    fn inner(&self, theta: f64) -> f64 {
        let s = (0.5 * theta).sin();
        (self.inner_least + 4.0 * self.lengths.lower_arm * self.lengths.wall_bar * s * s).max(0.0)
    }

    /// (b + c)² − r², the distance from stretching out.
    fn outer(&self, theta: f64) -> f64 {
        let s = (0.5 * theta).cos();
        (self.outer_least + 4.0 * self.lengths.lower_arm * self.lengths.wall_bar * s * s).max(0.0)
    }

    fn diagonal(&self, theta: f64) -> f64 {
        let Lengths { lower_arm: a, wall_bar: d, .. } = self.lengths;
        let s = (0.5 * theta).sin();
        ((a - d) * (a - d) + 4.0 * a * d * s * s).sqrt()
    }

    /// Height of B over the diagonal, from vectors.
    fn height_of(&self, lower_arm: Vector2<f64>, panel_bar: Vector2<f64>) -> f64 {
        let diagonal = Vector2::new(self.lengths.wall_bar, 0.0) - lower_arm;
        diagonal.perp(&panel_bar) / diagonal.norm().max(f64::MIN_POSITIVE)
    }

    /// Where everything is at a phase. Closed form; no allocation.
    pub(crate) fn place(&self, phase: f64) -> Place {
        let Lengths { lower_arm: a, panel_bar: b, upper_arm: c, wall_bar: d } = self.lengths;
        let (phase_sine, phase_cosine) = match self.range {
            Range::Turning { .. } => (0.0, 0.0),
            Range::Rocking { .. } => phase.sin_cos(),
        };
        let theta = match self.range {
            Range::Turning { .. } => phase,
            Range::Rocking { middle, half, .. } => middle + half * phase_sine,
        };
        let (sine, cosine) = theta.sin_cos();
        let lower_arm = Vector2::new(a * cosine, a * sine);
        let diagonal = Vector2::new(d - lower_arm.x, -lower_arm.y);
        let r = diagonal.norm();
        let (lower_rate, height, rate_over_height) = match self.range {
            Range::Turning { side } => {
                let h = side * (self.outer(theta) * self.inner(theta)).sqrt() / (2.0 * r).max(f64::MIN_POSITIVE);
                // Only a change point has h = 0 here: the rate is not determined there.
                (1.0, h, if h == 0.0 { 0.0 } else { 1.0 / h })
            }
            Range::Rocking { half, .. } => {
                let q = self.height_factor(theta, r, 0.5 * (1.0 + phase_sine), half);
                (half * phase_cosine, phase_cosine * q, if q == 0.0 { 0.0 } else { half / q })
            }
        };
        let along = if r > 1e-12 * (a + d) {
            diagonal / r
        } else {
            // A on the upper wall pivot (a kite at its change point): the limit from θ > 0.
            Vector2::new((0.5 * theta).sin(), -(0.5 * theta).cos())
        };
        let across = Vector2::new(-along.y, along.x);
        let x = if r > 0.0 { ((r * r + (b - c) * (b + c)) / (2.0 * r)).clamp(-b, b) } else { 0.0 };
        let panel_bar = along * x + across * height;
        // Through B from the wall side: keeps the upper arm's length to rounding as well.
        let upper_arm = along * (x - r) + across * height;
        let rate_factor = rate_over_height / r.max(f64::MIN_POSITIVE);
        Place { lower_arm, panel_bar, upper_arm, lower_rate, rate_factor, theta, height, foot: x, diagonal: r }
    }

    /// Continuous directions at a phase whose place is known.
    pub(crate) fn directions(&self, phase: f64, place: &Place) -> Directions {
        let Lengths { lower_arm: a, panel_bar: b, upper_arm: c, wall_bar: d } = self.lengths;
        let (theta, arm) = (place.theta, place.lower_arm);
        // Direction of the diagonal, written so that it never jumps.
        let diagonal =
            if d >= a { (-arm.y).atan2(d - arm.x) } else { theta + PI + (d * arm.y).atan2(a * a - d * arm.x) };
        let (bar_turns, arm_turns) = match self.range {
            Range::Turning { .. } => (0.0, 0.0),
            Range::Rocking { low, high, .. } => {
                let leg = leg(phase, place.height);
                let passes = |folds: &dyn Fn(DeadPoint) -> bool| {
                    let high_passes = if folds(high) { (leg + 1).div_euclid(2) } else { 0 };
                    let low_passes = if folds(low) { leg.div_euclid(2) } else { 0 };
                    #[allow(clippy::cast_precision_loss)] // a few turns
                    let turns = (high_passes - low_passes) as f64;
                    turns
                };
                (
                    passes(&|point| point == DeadPoint::Inner && c > b),
                    passes(&|point| point == DeadPoint::Outer || c > b),
                )
            }
        };
        Directions {
            lower_arm: theta,
            panel_bar: diagonal + place.height.atan2(place.foot) + TAU * bar_turns,
            upper_arm: diagonal + place.height.atan2(place.foot - place.diagonal) + TAU * arm_turns,
        }
    }
}

impl Place {
    /// Rates of lower arm, panel bar and upper arm per radian of phase; smooth through dead points.
    pub(crate) fn rates(&self) -> (f64, f64, f64) {
        (
            self.lower_rate,
            self.upper_arm.perp(&self.lower_arm) * self.rate_factor,
            self.panel_bar.perp(&self.lower_arm) * self.rate_factor,
        )
    }
}

/// The half wave that a phase lies in; the sign of the height decides on the border.
fn leg(phase: f64, height: f64) -> i64 {
    let waves = (phase + FRAC_PI_2) / PI;
    #[allow(clippy::cast_possible_truncation)] // a few turns
    let leg = waves.floor() as i64;
    let left = height >= 0.0;
    if left == (leg.rem_euclid(2) == 0) {
        leg
    } else if waves - waves.floor() < 0.5 {
        leg - 1
    } else {
        leg + 1
    }
}

/// asin(√x) for a share x in 0…1, accurate at both ends.
fn half_angle(share: f64) -> f64 {
    let share = share.clamp(0.0, 1.0);
    share.sqrt().atan2((1.0 - share).sqrt())
}

/// sin(half · share) ÷ share, with its limit at 0.
fn sine_over(half: f64, share: f64) -> f64 {
    if share > 1e-12 { (half * share).sin() / share } else { half }
}

/// The same angle in −π…π.
pub(crate) fn principal(angle: f64) -> f64 {
    let turned = angle - TAU * (angle / TAU).round();
    if turned <= -PI { turned + TAU } else { turned }
}

fn sorted(mut phases: Vec<f64>) -> Vec<f64> {
    phases.sort_by(f64::total_cmp);
    phases.dedup_by(|x, y| (*x - *y).abs() < 1e-9);
    phases
}
