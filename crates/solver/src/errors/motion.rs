//! One set with its errors in motion: its own circuit, followed in closed form, and how far it gets.
//!
//! A set with errors is a linkage of its own. Its circuit is the one through a pose a little way
//! from where it is to close, which errors cannot mistake for another; from there it is walked
//! towards hung or parked until something meets. The phase of a circuit runs smoothly through dead
//! points, so no step can land on the other circuit and no error is too large.

use nalgebra::{Complex, Point2, Vector2};

use super::geometry::{PanelPlace, SetGeometry};
use crate::circuit::{Circuit, principal};
use crate::distance::segment_to_segment;
use crate::lift::{Lengths, Lift};
use crate::project::Point;

/// Where a walk along the circuit of each set begins, and which way it goes; taken from the lift as
/// drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Begin {
    /// Direction of the lower arm there, side view, radians.
    lower_arm: f64,
    /// Height of the upper panel pivot over the diagonal, mm; its sign tells the half circuit.
    height: f64,
    /// Sense in which the lower arm turns on the way, +1 counter-clockwise.
    sense: f64,
    /// First step, radians of phase.
    step: f64,
}

impl Begin {
    /// From a phase of the lift as drawn towards another.
    pub fn from_drawn(lift: &Lift, phase: f64, towards: f64) -> Self {
        let at = lift.placement(phase);
        let arm = at.panel_lower - lift.wall_lower;
        let diagonal = lift.wall_upper - at.panel_lower;
        let height = diagonal.perp(&(at.panel_upper - at.panel_lower)) / diagonal.norm().max(f64::MIN_POSITIVE);
        let sense = (lift.rates(phase).lower_arm * (towards - phase)).signum();
        Self { lower_arm: arm.y.atan2(arm.x), height, sense, step: 0.25 * (towards - phase).abs() }
    }
}

/// A set on its circuit.
#[derive(Clone, Copy, Debug)]
pub(super) struct SetMotion {
    set: SetGeometry,
    circuit: Circuit,
    /// Takes the ground frame to the side view.
    ground: Complex<f64>,
    /// Takes the panel bar's vector in the ground frame to the turn of the panel.
    panel_from_bar: Complex<f64>,
    /// Where the walk begins, and its direction in phase.
    start: f64,
    direction: f64,
    step: f64,
}

/// Where a set is at one phase.
#[derive(Clone, Copy, Debug)]
pub(super) struct SetPlace {
    panel_lower: Point,
    panel_upper: Point,
    lower_on_panel: Point,
    turn: Complex<f64>,
}

impl SetPlace {
    /// A point of the panel frame in side view.
    #[inline]
    pub fn at(&self, point: Point) -> Point {
        let reach = point - self.lower_on_panel;
        let turned = self.turn * Complex::new(reach.x, reach.y);
        self.panel_lower + Vector2::new(turned.re, turned.im)
    }

    /// The same with its angle.
    pub fn panel(&self) -> PanelPlace {
        PanelPlace { origin: self.at(Point::origin()), turn: self.turn.im.atan2(self.turn.re) }
    }
}

/// How a walk ended.
#[derive(Clone, Copy, Debug)]
pub(super) enum Met {
    /// Nothing is left.
    Touch(SetPlace),
    /// It comes no nearer: what is left, mm, and where.
    Short(f64, SetPlace),
}

/// Steps of a walk before it is given up: two and a half turns of a quarter of a degree each are
/// more than any closing takes.
const MOST_STEPS: usize = 400;
/// Steps back where something is met already at the beginning; each doubles the way.
const MOST_BACK: usize = 8;
/// Met to this, shares of the set's size: a nanometre on an arm's length, far below any gauge.
const MEETS: f64 = 1e-12;
/// Halvings of a bracket at most: the secant needs six to eight.
const MOST_ROUNDS: usize = 100;

impl SetMotion {
    /// A set near the beginning of a walk; `None` where a bar has no length.
    pub fn new(set: &SetGeometry, begin: &Begin) -> Option<Self> {
        let wall = set.wall[1] - set.wall[0];
        let bar = set.panel[1] - set.panel[0];
        let lengths =
            Lengths { lower_arm: set.arms[0], upper_arm: set.arms[1], panel_bar: bar.norm(), wall_bar: wall.norm() };
        if !(set.arms[0] > 0.0 && set.arms[1] > 0.0 && lengths.panel_bar > 0.0 && lengths.wall_bar > 0.0) {
            return None;
        }
        let ground = Complex::new(wall.x, wall.y) / lengths.wall_bar;
        let theta = principal(begin.lower_arm - ground.im.atan2(ground.re));
        let (circuit, start) = Circuit::through(&lengths, theta, begin.height);
        if circuit.is_locked() {
            return None;
        }
        let rate = circuit.rates(start, &circuit.place(start)).0;
        Some(Self {
            set: *set,
            circuit,
            ground,
            panel_from_bar: ground / Complex::new(bar.x, bar.y),
            start,
            direction: begin.sense * if rate < 0.0 { -1.0 } else { 1.0 },
            step: begin.step,
        })
    }

    #[inline]
    pub fn place(&self, phase: f64) -> SetPlace {
        let place = self.circuit.place(phase);
        let end = |from: Point, arm: Vector2<f64>| {
            let turned = self.ground * Complex::new(arm.x, arm.y);
            Point2::new(from.x + turned.re, from.y + turned.im)
        };
        let turn = self.panel_from_bar * Complex::new(place.panel_bar.x, place.panel_bar.y);
        SetPlace {
            panel_lower: end(self.set.wall[0], place.lower_arm),
            panel_upper: end(self.set.wall[1], place.upper_arm),
            lower_on_panel: self.set.panel[0],
            turn,
        }
    }

    /// Direction of the lower arm in side view, radians.
    pub fn lower_arm(&self, place: &SetPlace) -> f64 {
        let arm = place.panel_lower - self.set.wall[0];
        arm.y.atan2(arm.x)
    }

    /// Distance between the arms' axes, mm.
    pub fn between_arms(&self, place: &SetPlace) -> f64 {
        segment_to_segment([self.set.wall[0], place.panel_lower], [self.set.wall[1], place.panel_upper]).mm
    }

    /// Walks until nothing is left of `left`, which tells mm at a place; a dead point of the lower arm
    /// ends the way, and so does a place from which there is more left again.
    pub fn walk(&self, left: impl Fn(&SetPlace) -> f64) -> Met {
        let at = |phase: f64| left(&self.place(phase));
        let size = self.set.arms[0] + self.set.arms[1];
        let (mut phase, mut now) = (self.start, at(self.start));
        let mut back = self.step;
        for _ in 0..MOST_BACK {
            if now > 0.0 {
                break;
            }
            let beyond = self.circuit.dead_point_ahead(phase, -self.direction);
            let wanted = phase - self.direction * back;
            phase = match beyond {
                Some(dead) if (dead - wanted) * self.direction > 0.0 => 0.5 * (phase + dead),
                _ => wanted,
            };
            now = at(phase);
            back *= 2.0;
        }
        let end = self.circuit.dead_point_ahead(phase, self.direction);
        let mut before = (phase, now);
        for _ in 0..MOST_STEPS {
            let wanted = phase + self.direction * self.step;
            let (next, last) = match end {
                Some(end) if (wanted - end) * self.direction >= 0.0 => (end, true),
                _ => (wanted, false),
            };
            let then = at(next);
            if then <= 0.0 {
                return Met::Touch(self.place(self.crossing(&at, (phase, now), (next, then), size)));
            }
            if then >= now {
                let (nearest, least) = least_between(&at, before.0, next);
                if least <= 0.0 {
                    return Met::Touch(self.place(self.crossing(&at, before, (nearest, least), size)));
                }
                return Met::Short(least, self.place(nearest));
            }
            if last {
                return Met::Short(then, self.place(next));
            }
            before = (phase, now);
            (phase, now) = (next, then);
        }
        Met::Short(now, self.place(phase))
    }

    /// The zero between a place with something left and one with nothing left: secant with a bracket
    /// (Illinois rule, after Dowell and Jarratt, BIT 11, 1971).
    fn crossing(&self, at: &impl Fn(f64) -> f64, from: (f64, f64), to: (f64, f64), size: f64) -> f64 {
        let ((mut a, mut fa), (mut b, mut fb)) = (from, to);
        for _ in 0..MOST_ROUNDS {
            let c = (a * fb - b * fa) / (fb - fa);
            let fc = at(c);
            if fc.abs() <= MEETS * size || !(c - a).is_normal() || !(b - c).is_normal() {
                return c;
            }
            if fc * fb < 0.0 {
                (a, fa) = (b, fb);
            } else {
                fa *= 0.5;
            }
            (b, fb) = (c, fc);
        }
        b
    }
}

/// The least of a smooth function between two places: golden section, to a hundred-thousandth of
/// the way, which at a minimum is beyond its digits.
fn least_between(at: &impl Fn(f64) -> f64, from: f64, to: f64) -> (f64, f64) {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    const ROUNDS: usize = 28;
    let (mut a, mut b) = (from, to);
    let (mut c, mut d) = (b - GOLDEN * (b - a), a + GOLDEN * (b - a));
    let (mut fc, mut fd) = (at(c), at(d));
    for _ in 0..ROUNDS {
        if fc < fd {
            (b, d, fd) = (d, c, fc);
            c = b - GOLDEN * (b - a);
            fc = at(c);
        } else {
            (a, c, fc) = (c, d, fd);
            d = a + GOLDEN * (b - a);
            fd = at(d);
        }
    }
    if fc < fd { (c, fc) } else { (d, fd) }
}
