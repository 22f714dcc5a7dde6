//! What an arm sweeps: all points within its radius of a circular sector. Exact.
//!
//! An arm turns about its fixed wall pivot, so its least distance to anything fixed over the whole
//! travel is that of its sector: closed form, no search.

use nalgebra::Vector2;

use crate::circuit::principal;
use crate::distance::{Gap, nearest_on_segment, segment_to_segment, with_radius};
use crate::project::Point;

/// The region an arm sweeps between two directions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct SweptArm {
    pub pivot: Point,
    pub length: f64,
    pub radius: f64,
    /// Least and largest direction, radians.
    pub from: f64,
    pub to: f64,
}

impl SweptArm {
    /// A direction in the range that points to `point`, if any.
    fn angle_to(&self, point: Point) -> Option<f64> {
        let towards = point - self.pivot;
        self.within(towards.y.atan2(towards.x))
    }

    /// The same direction within the range, if it is there.
    pub fn within(&self, angle: f64) -> Option<f64> {
        let middle = 0.5 * (self.from + self.to);
        let off = principal(angle - middle);
        (off.abs() <= 0.5 * (self.to - self.from)).then_some(middle + off)
    }

    /// Middle of the arm's far round end.
    pub fn tip(&self, angle: f64) -> Point {
        self.pivot + self.length * Vector2::new(angle.cos(), angle.sin())
    }

    /// Signed gap of the swept region to a segment (0 or less where they meet), and the arm's
    /// direction there.
    pub fn gap_to(&self, segment: [Point; 2]) -> (Gap, f64) {
        let mut best: Option<(Gap, f64)> = None;
        let mut consider = |gap: Gap, angle: f64| {
            if best.is_none_or(|(old, _)| gap.mm < old.mm) {
                best = Some((gap, angle));
            }
        };
        for angle in [self.from, self.to] {
            consider(segment_to_segment([self.pivot, self.tip(angle)], segment), angle);
        }
        for point in [nearest_on_segment(self.pivot, segment), segment[0], segment[1]] {
            if let Some(angle) = self.angle_to(point) {
                let distance = (point - self.pivot).norm();
                let on_arm = self.pivot + Vector2::new(angle.cos(), angle.sin()) * distance.min(self.length);
                consider(Gap::between(on_arm, point), angle);
            }
        }
        let (gap, angle) = best.unwrap_or((Gap::between(self.pivot, segment[0]), self.from));
        (with_radius(gap, self.radius), angle)
    }

    /// Distance of a point to the sector less the radius: 0 or less inside the swept region.
    pub fn outside_by(&self, point: Point) -> (f64, f64) {
        let (gap, angle) = self.gap_to([point, point]);
        (gap.mm, angle)
    }

    /// The farthest point of the arm's round end in a direction.
    pub fn outermost(&self, angle: f64) -> Point {
        self.pivot + (self.length + self.radius) * Vector2::new(angle.cos(), angle.sin())
    }

    /// Corners of a box around the swept region, counter-clockwise.
    pub fn bounds(&self) -> [Point; 4] {
        let reach = self.length + self.radius;
        [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)].map(|(x, y)| self.pivot + reach * Vector2::new(x, y))
    }

    /// The region's outline as polygons whose union it is, counter-clockwise; arcs as chords that
    /// deviate at most `sagitta`.
    pub fn polygons(&self, sagitta: f64) -> Vec<Vec<[f64; 2]>> {
        let arc = |centre: Point, radius: f64, from: f64, to: f64, into: &mut Vec<[f64; 2]>| {
            let step = 2.0 * (1.0 - (sagitta / radius.max(sagitta)).min(1.0)).acos();
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a positive count
            let count = (((to - from) / step.max(1e-3)).ceil() as usize).max(1);
            for index in 0..=count {
                #[allow(clippy::cast_precision_loss)] // small
                let angle = from + (to - from) * index as f64 / count as f64;
                let point = centre + radius * Vector2::new(angle.cos(), angle.sin());
                into.push([point.x, point.y]);
            }
        };
        let quarter = std::f64::consts::FRAC_PI_2;
        let mut polygons = Vec::new();
        for angle in [self.from, self.to] {
            let mut stadium = Vec::new();
            arc(self.tip(angle), self.radius, angle - quarter, angle + quarter, &mut stadium);
            arc(self.pivot, self.radius, angle + quarter, angle + 3.0 * quarter, &mut stadium);
            polygons.push(stadium);
        }
        if self.to > self.from {
            let mut sector = vec![[self.pivot.x, self.pivot.y]];
            arc(
                self.pivot,
                self.length + self.radius,
                self.from,
                self.to.min(self.from + std::f64::consts::TAU),
                &mut sector,
            );
            polygons.push(sector);
        }
        polygons
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Point2;

    #[test]
    fn a_quarter_sweep_against_a_line() {
        let arm = SweptArm { pivot: Point2::origin(), length: 100.0, radius: 10.0, from: -0.7, to: 0.7 };
        let (gap, angle) = arm.gap_to([Point2::new(150.0, -500.0), Point2::new(150.0, 500.0)]);
        assert!((gap.mm - 40.0).abs() < 1e-12 && angle.abs() < 1e-12);
        // Behind the pivot only the round end counts.
        let (gap, _) = arm.gap_to([Point2::new(-30.0, -500.0), Point2::new(-30.0, 500.0)]);
        assert!((gap.mm - 20.0).abs() < 1e-12);
        let (gap, _) = arm.gap_to([Point2::new(60.0, -500.0), Point2::new(60.0, 500.0)]);
        assert!((gap.mm + 10.0).abs() < 1e-12);
    }
}
