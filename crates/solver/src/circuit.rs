//! The motion curve of a four-bar linkage as one smooth closed curve.
//!
//! The place on the curve is a *phase* in radians. Where the lower arm can turn fully, the phase
//! is its angle to the ground line. Where it swings between two dead points, it swings as a
//! pendulum does: sin(off / 2) = sin(half / 2) · sin(phase), with `off` its angle from the middle of
//! the swing and `half` the largest one. So the curve runs smoothly through the dead points, with no
//! switch of the driving arm and no square root that loses its digits; and one sine and cosine give
//! the pose. The two half circuits, panel bar to the left and to the right of the diagonal, are
//! phases with positive and negative cosine.
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
    Rocking(Swing),
}

/// A swing from middle − half to middle + half.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Swing {
    middle: f64,
    half: f64,
    low: DeadPoint,
    high: DeadPoint,
    /// Sine and cosine of half the half swing, and of the middle.
    reach: (f64, f64),
    turned: (f64, f64),
    /// Sine and cosine of half the way from the middle to each dead point's mirror image.
    mirrored: [(f64, f64); 2],
}

impl Swing {
    fn between(low: f64, high: f64, low_kind: DeadPoint, high_kind: DeadPoint) -> Self {
        let (middle, half) = (0.5 * (low + high), 0.5 * (high - low).max(0.0));
        Self {
            middle,
            half,
            low: low_kind,
            high: high_kind,
            reach: (0.5 * half).sin_cos(),
            turned: middle.sin_cos(),
            mirrored: [middle - 0.5 * half, middle + 0.5 * half].map(f64::sin_cos),
        }
    }

    /// Sine and cosine of half the angle from the middle, from those of the phase.
    fn half_off(&self, (sine, cosine): (f64, f64)) -> (f64, f64) {
        let rest = self.reach.1 * sine;
        (self.reach.0 * sine, (cosine * cosine + rest * rest).sqrt())
    }

    /// The lower arm's angle at a phase.
    fn theta(&self, phase: f64) -> f64 {
        let (sine, cosine) = self.half_off(phase.sin_cos());
        self.middle + 2.0 * sine.atan2(cosine)
    }

    /// Sine of the phase at an angle from the middle; beyond ±1 the arm does not get there.
    fn phase_sine(&self, off: f64) -> f64 {
        if off.abs() >= self.half { off.signum() } else { (0.5 * off).sin() / self.reach.0 }
    }
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
    /// Sine and cosine of half the lower arm's angle to the ground line, of a swing's middle.
    half_off: (f64, f64),
    /// Of B over the diagonal; over the cosine of the phase where the lower arm swings; along the
    /// diagonal from A; and the diagonal's length.
    height: f64,
    height_share: f64,
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
        let rocking = |low, high, low_kind, high_kind| Range::Rocking(Swing::between(low, high, low_kind, high_kind));
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
            Range::Rocking(swing) => {
                if swing.half < LOCKED {
                    return 0.0;
                }
                let sine = swing.phase_sine(principal(theta - swing.middle)).clamp(-1.0, 1.0);
                let half_off = swing.half_off((sine, (1.0 - sine * sine).sqrt()));
                let q = self.height_share(&swing, half_off) / self.diagonal(theta).max(f64::MIN_POSITIVE);
                if q > 0.0 { sine.atan2(height / q) } else { sine.asin() }
            }
        }
    }

    /// Phase, in 0…2π, of a pose given like in [`Circuit::through`], if it lies on this circuit.
    fn phase_if_here(&self, theta: f64, height: f64) -> Option<f64> {
        match self.range {
            Range::Turning { side } => (height * side >= 0.0).then(|| principal(theta).rem_euclid(TAU)),
            Range::Rocking(Swing { middle, half, .. }) => (half >= LOCKED
                && principal(theta - middle).abs() <= half + 1e-12)
                .then(|| self.phase_near(theta, height).rem_euclid(TAU)),
        }
    }

    /// True when the linkage has no room to move at all.
    #[must_use]
    pub fn is_locked(&self) -> bool {
        matches!(self.range, Range::Rocking(swing) if swing.half < LOCKED)
    }

    /// Phases, 0…2π, of the lower arm's dead points (upper arm and panel bar in line); none where
    /// it can turn fully.
    #[must_use]
    pub fn lower_arm_dead_points(&self) -> Vec<f64> {
        match self.range {
            Range::Turning { .. } => Vec::new(),
            Range::Rocking(_) => vec![FRAC_PI_2, 3.0 * FRAC_PI_2],
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
            Range::Rocking(_) if self.change_at_zero || self.change_at_half_turn => vec![0.0, PI],
            Range::Rocking(_) => Vec::new(),
        }
    }

    /// Angle of the lower arm to the ground line, continuous in the phase.
    #[must_use]
    pub fn lower_arm_angle(&self, phase: f64) -> f64 {
        match self.range {
            Range::Turning { .. } => phase,
            Range::Rocking(swing) => swing.theta(phase),
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

    /// Phase of the lower arm's next dead point from `from` in `direction` (±1); `None` where it can
    /// turn fully.
    pub(crate) fn dead_point_ahead(&self, from: f64, direction: f64) -> Option<f64> {
        match self.range {
            Range::Turning { .. } => None,
            Range::Rocking(_) => Some(Self::half_wave(from, direction).0 * PI + direction * FRAC_PI_2),
        }
    }

    /// The phase between `from` and the next dead point in `direction` (±1) at which the lower arm
    /// has turned by `turn` from its angle at `from`; the dead point itself when it never gets there.
    pub(crate) fn phase_after_turn(&self, from: f64, direction: f64, turn: f64) -> f64 {
        match self.range {
            Range::Turning { .. } => from + turn,
            Range::Rocking(swing) if swing.half < LOCKED => from,
            Range::Rocking(swing) => {
                let (wave, rising) = Self::half_wave(from, direction);
                let sine = swing.phase_sine(swing.theta(from) - swing.middle + turn);
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
            Range::Rocking(_) => from.cos().signum(),
        };
        self.phase_after_turn(from, rising * turn.signum(), turn)
    }

    /// The turn of the lower arm up to its next dead point in `direction`; infinite without one.
    pub(crate) fn turn_left(&self, from: f64, direction: f64) -> f64 {
        match self.range {
            Range::Turning { .. } => direction * f64::INFINITY,
            Range::Rocking(swing) => {
                swing.half * Self::half_wave(from, direction).1 * direction - (swing.theta(from) - swing.middle)
            }
        }
    }

    /// r · h ÷ cos(phase) for a swinging lower arm, at the sine and cosine of half its angle from the
    /// middle. Of outer · inner = (2·r·h)² the dead points' zeros are taken out: what is left of
    /// them is sin²(half / 2)·cos²(phase).
    fn height_share(&self, swing: &Swing, half_off: (f64, f64)) -> f64 {
        let four_ad = 4.0 * self.lengths.lower_arm * self.lengths.wall_bar;
        let others = match (swing.low, swing.high) {
            // The middle is 0 or π.
            (DeadPoint::Outer, DeadPoint::Outer) => self.inner(half_off.0),
            (DeadPoint::Inner, DeadPoint::Inner) => self.outer(half_off.0),
            _ => {
                let [low, high] = swing.mirrored.map(|(sine, cosine)| sine * half_off.1 + cosine * half_off.0);
                four_ad * low * high
            }
        };
        0.5 * swing.reach.0 * (four_ad * others).max(0.0).sqrt()
    }

    /// r² − (b − c)², the distance from folding, from the sine of θ / 2.
    fn inner(&self, sine: f64) -> f64 {
        (self.inner_least + 4.0 * self.lengths.lower_arm * self.lengths.wall_bar * sine * sine).max(0.0)
    }

    /// (b + c)² − r², the distance from stretching out, from the cosine of θ / 2.
    fn outer(&self, cosine: f64) -> f64 {
        (self.outer_least + 4.0 * self.lengths.lower_arm * self.lengths.wall_bar * cosine * cosine).max(0.0)
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
    // Inlined by order: passing the place through memory costs a tenth of a pose.
    #[inline(always)]
    pub(crate) fn place(&self, phase: f64) -> Place {
        let Lengths { lower_arm: a, panel_bar: b, upper_arm: c, wall_bar: d } = self.lengths;
        let (half_off, (turned_sine, turned_cosine), share, phase_cosine) = match &self.range {
            Range::Turning { side } => {
                let half_off = (0.5 * phase).sin_cos();
                let share = side * 0.5 * (self.outer(half_off.1) * self.inner(half_off.0)).sqrt();
                (half_off, (0.0, 1.0), share, 1.0)
            }
            Range::Rocking(swing) => {
                let at = phase.sin_cos();
                let half_off = swing.half_off(at);
                (half_off, swing.turned, self.height_share(swing, half_off), at.1)
            }
        };
        let (off_sine, off_cosine) =
            (2.0 * half_off.0 * half_off.1, (half_off.1 - half_off.0) * (half_off.1 + half_off.0));
        let (sine, cosine) =
            (turned_sine * off_cosine + turned_cosine * off_sine, turned_cosine * off_cosine - turned_sine * off_sine);
        let lower_arm = Vector2::new(a * cosine, a * sine);
        let diagonal = Vector2::new(d - lower_arm.x, -lower_arm.y);
        let r = diagonal.norm();
        let over_r = 1.0 / r.max(f64::MIN_POSITIVE);
        let height_share = over_r * share;
        let height = phase_cosine * height_share;
        let along = if r > 1e-12 * (a + d) {
            diagonal * over_r
        } else {
            // A on the upper wall pivot (a kite at its change point, θ = 0): the limit from θ > 0.
            Vector2::new(half_off.0, -half_off.1)
        };
        let across = Vector2::new(-along.y, along.x);
        let x = (0.5 * (r + (b - c) * (b + c) * over_r)).clamp(-b, b);
        let panel_bar = along * x + across * height;
        // Through B from the wall side: keeps the upper arm's length to rounding as well.
        let upper_arm = along * (x - r) + across * height;
        Place { lower_arm, panel_bar, upper_arm, half_off, height, height_share, foot: x, diagonal: r }
    }

    /// Rates of lower arm, panel bar and upper arm per radian of phase, where the place is known;
    /// smooth through dead points.
    pub(crate) fn rates(&self, phase: f64, place: &Place) -> (f64, f64, f64) {
        let (lower, lower_share) = match &self.range {
            Range::Turning { .. } => (1.0, 1.0),
            Range::Rocking(swing) => {
                let share = 2.0 * swing.reach.0 / place.half_off.1.max(f64::MIN_POSITIVE);
                (share * phase.cos(), share)
            }
        };
        // Twice the area of the triangle of A, B and the upper wall pivot, shared likewise. Only a
        // change point has none: the other rates are not determined there.
        let area = place.height_share * place.diagonal;
        let factor = if area == 0.0 { 0.0 } else { lower_share / area };
        (lower, place.upper_arm.perp(&place.lower_arm) * factor, place.panel_bar.perp(&place.lower_arm) * factor)
    }

    /// Continuous directions at a phase whose place is known.
    pub(crate) fn directions(&self, phase: f64, place: &Place) -> Directions {
        let Lengths { lower_arm: a, panel_bar: b, upper_arm: c, wall_bar: d } = self.lengths;
        let arm = place.lower_arm;
        let theta = match &self.range {
            Range::Turning { .. } => phase,
            Range::Rocking(swing) => swing.middle + 2.0 * place.half_off.0.atan2(place.half_off.1),
        };
        // Direction of the diagonal, written so that it never jumps.
        let diagonal =
            if d >= a { (-arm.y).atan2(d - arm.x) } else { theta + PI + (d * arm.y).atan2(a * a - d * arm.x) };
        let (bar_turns, arm_turns) = match self.range {
            Range::Turning { .. } => (0.0, 0.0),
            Range::Rocking(Swing { low, high, .. }) => {
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
