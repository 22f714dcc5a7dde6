//! What a rectangle on the panel sweeps, as a few long strips.
//!
//! A point that is not covered when hung is first covered through a stretch of the outline that
//! moves outwards. So the swept region is the rectangle when hung together with what the outward
//! moving stretches of its four edges sweep. On one edge the outward speed changes linearly; where
//! it is zero lies the envelope. Each strip is wound one way, so that the union of all is that of a
//! handful of polygons, not one for every pose.

use nalgebra::Vector2;

use crate::certify::Stretch;
use crate::distance::nearest_on_segment;
use crate::lift::{Lift, Rectangle};
use crate::project::Point;

/// A rectangle in the panel frame and the motion that carries it.
pub(crate) struct SweptRectangle<'a> {
    pub lift: &'a Lift,
    pub shape: &'a Rectangle,
    pub motion: &'a Stretch,
}

/// One pose of the rectangle.
#[derive(Clone, Copy)]
struct Frame {
    walked: f64,
    corners: [Point; 4],
    /// Of each edge what moves outwards.
    outwards: [Outwards; 4],
}

/// What of an edge moves outwards, from its first to its second end.
#[derive(Clone, Copy)]
struct Outwards {
    how: How,
    from: Point,
    to: Point,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum How {
    Whole,
    /// From the first end on.
    First,
    /// Up to the second end.
    Last,
    /// Nothing: a strip begins or ends at the end that comes nearest to moving so.
    Nothing,
}

impl SweptRectangle<'_> {
    /// Polygons whose union is the swept region; each counter-clockwise.
    pub fn polygons(&self) -> Vec<Vec<[f64; 2]>> {
        let frames = self.frames();
        let hung = frames.first().map(|hung| hung.corners.iter().map(|p| [p.x, p.y]).collect());
        hung.into_iter().chain((0..4).flat_map(|edge| strips(&frames, edge))).collect()
    }

    /// Poses so close together that the strips' chords are.
    fn frames(&self) -> Vec<Frame> {
        /// Pieces that each monotone piece of the motion is begun with.
        const PIECES: usize = 4;
        /// Poses at most: some hundred do for a lift.
        const MOST: usize = 20_000;
        let mut frames = vec![self.frame(0.0)];
        for pair in self.motion.cuts.windows(2) {
            #[allow(clippy::cast_precision_loss)] // small
            let at = |piece: usize| pair[0] + (pair[1] - pair[0]) * piece as f64 / PIECES as f64;
            let mut open: Vec<Frame> = (1..=PIECES).rev().map(|piece| self.frame(at(piece))).collect();
            while let (Some(from), Some(to)) = (frames.last().copied(), open.last().copied()) {
                let middle = self.frame(0.5 * (from.walked + to.walked));
                if frames.len() >= MOST || self.is_close(&from, &middle, &to) {
                    frames.extend([middle, to]);
                    open.pop();
                } else {
                    open.push(middle);
                }
            }
        }
        frames
    }

    /// Whether a pose is close to the chords between two others, and what moves outwards is alike.
    fn is_close(&self, from: &Frame, middle: &Frame, to: &Frame) -> bool {
        /// A chord's deviation, mm; as the middle is used too, a quarter of it is left.
        const BEND_MM: f64 = 0.06;
        /// The same relative to the longest centre distance, for lifts the size of a toy or a tower.
        const BEND_SHARES: [f64; 2] = [1e-5, 1e-4];
        let [low, high] = BEND_SHARES.map(|share| share * self.lift.lengths.longest());
        let bend = BEND_MM.clamp(low, high);
        // Where a strip begins or ends, or its envelope begins, is known to this.
        let step = from.corners.iter().zip(to.corners).map(|(p, q)| (q - p).norm()).fold(0.0, f64::max);
        step <= 0.25 * bend
            || (0..4).all(|edge| {
                let [one, between, other] = [from, middle, to].map(|frame| frame.outwards[edge]);
                let near = |p: Point, ends: [Point; 2]| (nearest_on_segment(p, ends) - p).norm() <= bend;
                one.how == between.how
                    && between.how == other.how
                    && (between.how == How::Nothing
                        || (near(between.from, [one.from, other.from]) && near(between.to, [one.to, other.to])))
            })
    }

    fn frame(&self, walked: f64) -> Frame {
        let phase = self.motion.phase(walked);
        let pose = self.lift.pose(phase, 0.0);
        let rates = self.lift.rates(phase);
        let corners = self.shape.corners().map(|corner| pose.room_from_panel * corner);
        let velocities = corners.map(|p| {
            let arm = p - pose.panel_lower;
            self.motion.direction * (rates.panel_lower + rates.panel * Vector2::new(-arm.y, arm.x))
        });
        let outwards = [0, 1, 2, 3].map(|edge| {
            let next = (edge + 1) % 4;
            let along = corners[next] - corners[edge];
            let out = Vector2::new(along.y, -along.x);
            Outwards::of([corners[edge], corners[next]], [edge, next].map(|end| out.dot(&velocities[end])))
        });
        Frame { walked, corners, outwards }
    }
}

impl Outwards {
    /// Of an edge by the outward speeds of its ends.
    fn of(ends: [Point; 2], speeds: [f64; 2]) -> Self {
        let [from, to] = ends;
        // Only used where the two have different signs.
        let still = from + (to - from) * (speeds[0] / (speeds[0] - speeds[1])).clamp(0.0, 1.0);
        match speeds.map(|speed| speed > 0.0) {
            [true, true] => Self { how: How::Whole, from, to },
            [true, false] => Self { how: How::First, from, to: still },
            [false, true] => Self { how: How::Last, from: still, to },
            [false, false] if speeds[0] > speeds[1] => Self { how: How::Nothing, from, to: from },
            [false, false] => Self { how: How::Nothing, from: to, to },
        }
    }
}

/// What one edge sweeps outwards: a strip for each time that it does.
fn strips(frames: &[Frame], edge: usize) -> Vec<Vec<[f64; 2]>> {
    let mut polygons = Vec::new();
    let mut near: Vec<[f64; 2]> = Vec::new();
    let mut far: Vec<[f64; 2]> = Vec::new();
    let mut close = |near: &mut Vec<[f64; 2]>, far: &mut Vec<[f64; 2]>| {
        if near.len() > 1 {
            let mut polygon = std::mem::take(near);
            polygon.extend(far.drain(..).rev());
            polygons.push(polygon);
        }
        near.clear();
        far.clear();
    };
    let mut was_moving = false;
    for Outwards { how, from, to } in frames.iter().map(|frame| frame.outwards[edge]) {
        let moving = how != How::Nothing;
        if moving || was_moving {
            near.push([from.x, from.y]);
            far.push([to.x, to.y]);
        }
        if !moving {
            close(&mut near, &mut far);
            // The next strip starts from here.
            near.push([from.x, from.y]);
            far.push([to.x, to.y]);
        }
        was_moving = moving;
    }
    close(&mut near, &mut far);
    polygons
}
