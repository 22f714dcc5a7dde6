//! Reliefs of lapped bars: what a hinged neighbour sweeps is taken away.
//!
//! Two bars joined by a hinge only turn about it. So what an arm sweeps in a bar's frame is a
//! sector with round ends about the hinge, and what a bar sweeps in an arm's frame is bounded by
//! arcs about the hinge: exact, no sampling. Where that would leave an arm an inside corner too
//! tight for the cutter, the cutter runs out into it: a disc that covers the corner is cut as well.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use nalgebra::Vector2;

use crate::lift::Rectangle;
use crate::outline::Vertex;
use crate::project::Point;

/// What an arm sweeps in the frame of a bar that it is hinged to, counter-clockwise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct HingeSweep {
    /// The hinge in the bar's frame.
    pub pivot: Point,
    /// The arm's centre distance.
    pub length: f64,
    /// Half the arm's width plus the running clearance, at least the cutter's radius.
    pub radius: f64,
    /// Directions of the arm from the hinge, least and largest.
    pub from: f64,
    pub to: f64,
}

impl HingeSweep {
    /// The outline, with true arcs.
    pub fn outline(&self) -> Vec<Vertex> {
        let Self { pivot, length, radius, from, to } = *self;
        let along = |angle: f64| Vector2::new(angle.cos(), angle.sin());
        let turn = (to - from).clamp(0.0, TAU);
        let mut outline = Vec::new();
        let mut arc = |centre: Point, size: f64, start: f64, sweep: f64| {
            // At most a quarter turn each: a bulge of a half turn is as far as outlines go.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 1…4
            let count = (sweep / FRAC_PI_2).ceil().max(1.0) as usize;
            #[allow(clippy::cast_precision_loss)] // 1…4
            let step = sweep / count as f64;
            for index in 0..count {
                #[allow(clippy::cast_precision_loss)] // 1…4
                let at = centre + size * along(start + index as f64 * step);
                outline.push(Vertex { at, bulge: (0.25 * step).tan() });
            }
            outline.push(Vertex::line(centre + size * along(start + sweep)));
        };
        let tip = |angle: f64| pivot + length * along(angle);
        arc(tip(from), radius, from - FRAC_PI_2, FRAC_PI_2);
        if turn > 1e-9 {
            arc(pivot, length + radius, from, turn);
        }
        arc(tip(to), radius, to, FRAC_PI_2);
        if turn < PI {
            arc(pivot, radius, to + FRAC_PI_2, PI - turn);
        } else {
            // The two flanks meet where the rest of the turn is too narrow for the arm.
            let gap = 0.5 * (TAU - turn);
            let middle = to + gap;
            if gap > 1e-9 && radius / gap.sin() < length {
                outline.push(Vertex::line(pivot + radius / gap.sin() * along(middle)));
            }
        }
        without_repeats(outline)
    }
}

/// Neighbouring vertices on each other keep the later one's arc.
fn without_repeats(outline: Vec<Vertex>) -> Vec<Vertex> {
    let mut kept: Vec<Vertex> = Vec::with_capacity(outline.len());
    for vertex in outline {
        match kept.last_mut() {
            Some(last) if (last.at - vertex.at).norm() < 1e-9 => *last = vertex,
            _ => kept.push(vertex),
        }
    }
    if kept.len() > 1 && (kept[0].at - kept[kept.len() - 1].at).norm() < 1e-9 {
        kept.pop();
    }
    kept
}

/// What a bar sweeps in the frame of an arm that it is hinged to, plus a clearance, as outlines
/// whose union it is; `None` where the hinge is off the bar.
///
/// Seen from the hinge a bar's outline is farthest at its corners, so the swept region is the bar
/// at both ends of the turn and, for each corner, the pie that it sweeps. Where a corner of the
/// region would notch the arm, a disc of the cutter's radius covers it. Arm frame: origin at the
/// hinge, x along the arm; `half` is the arm's half width.
pub(crate) fn turning_bar(
    bar: &Rectangle,
    pivot: Point,
    half: f64,
    clearance: f64,
    cutter: f64,
    from: f64,
    to: f64,
) -> Option<Vec<Vec<Vertex>>> {
    let corners = bar.corners().map(|corner| corner - pivot);
    let inside = bar.least.x < pivot.x && pivot.x < bar.most.x && bar.least.y < pivot.y && pivot.y < bar.most.y;
    if !inside {
        return None;
    }
    let turned = |v: Vector2<f64>, angle: f64| {
        let (sine, cosine) = angle.sin_cos();
        Vector2::new(cosine * v.x + sine * v.y, cosine * v.y - sine * v.x)
    };
    // How far the swept region goes from the hinge in a direction of the arm's frame.
    let reach = |v: Vector2<f64>| {
        let ends = [from, to].map(|angle| {
            let (sine, cosine) = angle.sin_cos();
            let ray = Vector2::new(cosine * v.x - sine * v.y, sine * v.x + cosine * v.y).normalize();
            let (x, y) = (bar.most.x - pivot.x, bar.most.y - pivot.y);
            let (back, down) = (pivot.x - bar.least.x, pivot.y - bar.least.y);
            (if ray.x > 0.0 { x } else { back } / ray.x.abs()).min(if ray.y > 0.0 { y } else { down } / ray.y.abs())
        });
        let direction = v.y.atan2(v.x);
        let pies = corners.iter().filter(|corner| {
            let start = corner.y.atan2(corner.x) - to;
            (direction - start).rem_euclid(TAU) <= to - from
        });
        pies.map(Vector2::norm).chain(ends).fold(0.0, f64::max)
    };
    let mut cuts = Vec::new();
    for angle in [from, to] {
        let mut outline = Vec::new();
        for corner in corners {
            // Rounded by the clearance: a quarter turn about each corner.
            let outwards = [
                Vector2::new(if corner.x > 0.0 { clearance } else { -clearance }, 0.0),
                Vector2::new(0.0, if corner.y > 0.0 { clearance } else { -clearance }),
            ];
            let first = usize::from((corner.x > 0.0) == (corner.y > 0.0));
            let at = |index: usize| Point::from(turned(corner + outwards[index], angle));
            outline.push(Vertex { at: at(1 - first), bulge: (0.25 * FRAC_PI_2).tan() });
            outline.push(Vertex::line(at(first)));
        }
        cuts.push(outline);
    }
    for corner in corners {
        let start = corner.y.atan2(corner.x) - to;
        let mut outline = vec![Vertex::line(Point::origin())];
        let turn = (to - from).min(TAU - 1e-6);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 1…4
        let count = (turn / FRAC_PI_2).ceil().max(1.0) as usize;
        for index in 0..=count {
            #[allow(clippy::cast_precision_loss)] // 1…4
            let angle = start + turn * index as f64 / count as f64;
            let at = Point::origin() + (corner.norm() + clearance) * Vector2::new(angle.cos(), angle.sin());
            #[allow(clippy::cast_precision_loss)] // 1…4
            let bulge = if index < count { (0.25 * turn / count as f64).tan() } else { 0.0 };
            outline.push(Vertex { at, bulge });
        }
        if turn > 1e-6 {
            cuts.push(outline);
        }
    }
    // A corner where the turn begins or ends, not under another corner's pie, would leave a notch.
    for (index, corner) in corners.iter().enumerate() {
        for (angle, edge) in [(to, index + 3), (from, index)] {
            let at = turned(*corner, angle);
            let in_arm = at.x > 0.0 && at.y.abs() <= half + clearance;
            if cutter <= clearance || !in_arm || reach(at) > at.norm() * (1.0 + 1e-9) {
                continue;
            }
            // The region ends there between the pie's arc and the edge that the pie does not cover:
            // the one into the corner where the turn ends, the one out of it where it begins.
            let along = corners[(edge + 1) % 4] - corners[edge % 4];
            let outwards = turned(Vector2::new(along.y, -along.x).normalize(), angle) + at.normalize();
            let middle = Point::from(at - outwards.normalize() * (cutter - clearance));
            let side = Vector2::new(cutter, 0.0);
            cuts.push(vec![Vertex { at: middle - side, bulge: 1.0 }, Vertex { at: middle + side, bulge: 1.0 }]);
        }
    }
    Some(cuts)
}

/// How far along an arm from a hinge a bar reaches while the arm turns: the largest coordinate
/// along the arm of any point of the bar within `half` of the arm's axis; minus infinity where it
/// never comes there. Exact.
///
/// `bar` is the bar in its own frame, the arm's direction there goes from `from` to `to`.
pub(crate) fn reach_along_arm(bar: &Rectangle, pivot: Point, half: f64, from: f64, to: f64) -> f64 {
    let corners = bar.corners().map(|corner| corner - pivot);
    let farthest = |angle: f64| {
        let (sine, cosine) = angle.sin_cos();
        let seen = corners.map(|c| Vector2::new(cosine * c.x + sine * c.y, cosine * c.y - sine * c.x));
        let mut best = f64::NEG_INFINITY;
        for (p, q) in seen.iter().zip(seen.iter().cycle().skip(1)) {
            if p.y.abs() <= half {
                best = best.max(p.x);
            }
            for border in [-half, half] {
                if (p.y - border) * (q.y - border) < 0.0 {
                    best = best.max(p.x + (q.x - p.x) * (border - p.y) / (q.y - p.y));
                }
            }
        }
        best
    };
    // The reach can only peak at an end of the turn, with a corner on the axis or on the band's
    // border, with an edge square to the arm, or where an edge's crossing with the border turns.
    let mut angles = vec![from, to];
    let mut add = |angle: f64| {
        let turned = from + (angle - from).rem_euclid(TAU);
        if turned <= to {
            angles.push(turned);
        }
    };
    for corner in &corners {
        let (direction, distance) = (corner.y.atan2(corner.x), corner.norm());
        add(direction);
        if distance > half {
            let lean = (half / distance).asin();
            add(direction + lean);
            add(direction - lean);
        }
    }
    for (p, q) in corners.iter().zip(corners.iter().cycle().skip(1)) {
        let along = q - p;
        let normal = Vector2::new(along.y, -along.x).normalize();
        let (direction, distance) = (normal.y.atan2(normal.x), normal.dot(p).abs());
        let direction = if normal.dot(p) < 0.0 { direction + PI } else { direction };
        add(direction);
        if distance > half {
            let lean = (half / distance).asin();
            add(direction + lean);
            add(direction - lean);
        }
    }
    // A hair inside: a corner exactly on the border counts.
    angles.iter().flat_map(|angle| [angle - 1e-9, *angle, angle + 1e-9]).map(farthest).fold(f64::NEG_INFINITY, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::outline::area;

    #[test]
    fn a_quarter_sweep_has_its_closed_form_area() {
        let sweep =
            HingeSweep { pivot: Point::new(3.0, 4.0), length: 100.0, radius: 10.0, from: 0.2, to: 0.2 + FRAC_PI_2 };
        // Sector of the centre line, two flanks, two quarter tips, a quarter about the pivot and
        // the outer ring.
        let expected = 0.25 * PI * 110.0 * 110.0 + 2.0 * 100.0 * 10.0 + 3.0 * 0.25 * PI * 100.0;
        assert!((area(&sweep.outline()) - expected).abs() < 1e-6, "{} {expected}", area(&sweep.outline()));
        // More than a half turn.
        let wide = HingeSweep { from: 0.0, to: 1.5 * PI, ..sweep };
        let notch = 10.0 * 10.0;
        let expected = 0.75 * PI * 110.0 * 110.0 + 2.0 * 100.0 * 10.0 + 2.0 * 0.25 * PI * 100.0 - notch;
        assert!((area(&wide.outline()) - expected).abs() < 1e-6, "{} {expected}", area(&wide.outline()));
    }

    #[test]
    fn reach_is_never_below_a_dense_sampling() {
        let bar = Rectangle { least: Point::new(0.0, 0.0), most: Point::new(60.0, 146.0) };
        for (pivot, half, from, to) in [
            (Point::new(15.0, 30.0), 12.0, -1.55, 0.47),
            (Point::new(40.0, 116.0), 12.0, -1.56, 0.3),
            (Point::new(30.0, 70.0), 5.0, 0.0, 6.0),
            (Point::new(70.0, 70.0), 5.0, 2.0, 4.0),
        ] {
            let found = reach_along_arm(&bar, pivot, half, from, to);
            let mut seen = 0.0_f64;
            for step in 0..=4000 {
                let angle: f64 = from + (to - from) * f64::from(step) / 4000.0;
                for k in 0..=400 {
                    // Points along the arm, farthest first.
                    for side in [-1.0, -0.5, 0.0, 0.5, 1.0] {
                        let x = 200.0 - 0.5 * f64::from(k);
                        let p = pivot
                            + x * Vector2::new(angle.cos(), angle.sin())
                            + side * half * Vector2::new(-angle.sin(), angle.cos());
                        let inside =
                            (bar.least.x..=bar.most.x).contains(&p.x) && (bar.least.y..=bar.most.y).contains(&p.y);
                        if inside && x > seen {
                            seen = x;
                        }
                    }
                    if 200.0 - 0.5 * f64::from(k) <= seen {
                        break;
                    }
                }
            }
            assert!(found >= seen - 1e-6 && found < seen + 1.0, "{found} against {seen}");
        }
    }
}
