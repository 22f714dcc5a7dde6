//! The solid part of the room as a polygon: wall and ceiling as far as a sheet shows them.
//!
//! What lies off the sheet is cut away here and not left to the renderer, which would keep a
//! picture as large as the polygon.

use nalgebra::Vector2;
use overarm_solver::Point;

/// Chords of the arc that closes the solid, far off the sheet.
const STEPS: u32 = 36;

/// The polygon of wall, ceiling and what lies behind them, out to `reach` from the outline.
///
/// Free space lies to the right of the walk, both ends go straight on; so the solid is closed by
/// an arc that leaves the far end of the ceiling and turns counter-clockwise back to the foot of
/// the wall. Fewer than two points, or two in one place at an end, give nothing.
pub fn solid_room(outline: &[Point], reach: f64) -> Vec<Point> {
    let [first, second, ..] = outline else { return Vec::new() };
    let [.., last_but_one, last] = outline else { return Vec::new() };
    let (Some(back), Some(on)) = ((first - second).try_normalize(0.0), (last - last_but_one).try_normalize(0.0)) else {
        return Vec::new();
    };
    let mut polygon = vec![first + back * reach];
    polygon.extend_from_slice(outline);
    polygon.push(last + on * reach);
    let middle = nalgebra::center(first, last);
    let (from, to) = (last + on * reach - middle, first + back * reach - middle);
    let start = from.y.atan2(from.x);
    let mut turn = to.y.atan2(to.x) - start;
    if turn <= 0.0 {
        turn += std::f64::consts::TAU;
    }
    let radius = from.norm().max(to.norm());
    for step in 1..STEPS {
        let angle = start + turn * f64::from(step) / f64::from(STEPS);
        polygon.push(middle + radius * Vector2::new(angle.cos(), angle.sin()));
    }
    polygon
}

/// A rectangle of the side view.
#[derive(Clone, Copy, Debug)]
pub struct Window {
    /// Lower left.
    pub low: Point,
    /// Upper right.
    pub high: Point,
}

impl Window {
    /// The four edges: how far inside of it a point lies, negative outside.
    const EDGES: [fn(&Self, &Point) -> f64; 4] =
        [|w, p| p.x - w.low.x, |w, p| w.high.x - p.x, |w, p| p.y - w.low.y, |w, p| w.high.y - p.y];

    /// The part of a closed polygon inside the window, edge by edge (Sutherland and Hodgman 1974).
    /// Parts that fall asunder stay joined along the window's rim, which fills alike.
    pub fn clip_polygon(&self, polygon: &[Point]) -> Vec<Point> {
        let mut kept = polygon.to_vec();
        for inside in Self::EDGES {
            let before = std::mem::take(&mut kept);
            for (index, point) in before.iter().enumerate() {
                let previous = &before[(index + before.len() - 1) % before.len()];
                let (a, b) = (inside(self, previous), inside(self, point));
                if (a < 0.0) != (b < 0.0) {
                    kept.push(previous + (point - previous) * (a / (a - b)));
                }
                if b >= 0.0 {
                    kept.push(*point);
                }
            }
        }
        kept
    }

    /// The part of a segment inside the window, if any.
    pub fn clip_segment(&self, mut from: Point, mut to: Point) -> Option<[Point; 2]> {
        for inside in Self::EDGES {
            let (a, b) = (inside(self, &from), inside(self, &to));
            match (a < 0.0, b < 0.0) {
                (true, true) => return None,
                (true, false) => from += (to - from) * (a / (a - b)),
                (false, true) => to = from + (to - from) * (a / (a - b)),
                (false, false) => {}
            }
        }
        Some([from, to])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn holds(polygon: &[Point], x: f64, y: f64) -> bool {
        let mut inside = false;
        for (a, b) in polygon.iter().zip(polygon.iter().cycle().skip(1)) {
            if (a.y > y) != (b.y > y) && x < a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y) {
                inside = !inside;
            }
        }
        inside
    }

    #[test]
    fn wall_and_ceiling_are_solid_and_the_room_is_not() {
        let outline = [Point::new(0.0, 0.0), Point::new(0.0, 2250.0), Point::new(2400.0, 3930.5)];
        let polygon = solid_room(&outline, 10_000.0);
        for (x, y) in [(-10.0, 1000.0), (-10.0, -2000.0), (1000.0, 3000.0), (3000.0, 4500.0), (-500.0, 2600.0)] {
            assert!(holds(&polygon, x, y), "solid at {x}, {y}");
        }
        for (x, y) in [(10.0, 1000.0), (10.0, -2000.0), (1000.0, 2900.0), (3000.0, 4200.0), (2000.0, 100.0)] {
            assert!(!holds(&polygon, x, y), "free at {x}, {y}");
        }
    }

    #[test]
    fn a_ceiling_that_falls_is_solid_above() {
        let outline = [Point::new(0.0, 0.0), Point::new(0.0, 3000.0), Point::new(1000.0, 2000.0)];
        let polygon = solid_room(&outline, 10_000.0);
        assert!(holds(&polygon, 500.0, 2600.0));
        assert!(!holds(&polygon, 500.0, 2400.0));
    }

    #[test]
    fn nothing_is_left_off_the_window_and_all_of_it_inside() {
        let window = Window { low: Point::new(-100.0, 1000.0), high: Point::new(900.0, 2700.0) };
        let outline = [Point::new(0.0, 0.0), Point::new(0.0, 2250.0), Point::new(2400.0, 3930.5)];
        let whole = solid_room(&outline, 1e6);
        let clipped = window.clip_polygon(&whole);
        assert!(clipped.iter().all(|p| (-100.001..900.001).contains(&p.x) && (999.999..2700.001).contains(&p.y)));
        for i in 0..50 {
            for j in 0..50 {
                let (x, y) = (-99.0 + 20.0 * f64::from(i), 1001.0 + 34.0 * f64::from(j));
                assert_eq!(holds(&clipped, x, y), holds(&whole, x, y), "{x}, {y}");
            }
        }
        let cut = window.clip_segment(Point::new(0.0, -1e6), Point::new(0.0, 1e6)).unwrap();
        assert!((cut[0].y - 1000.0).abs() < 1e-6 && (cut[1].y - 2700.0).abs() < 1e-6);
        assert!(window.clip_segment(Point::new(-200.0, 0.0), Point::new(-200.0, 1e4)).is_none());
    }

    #[test]
    fn a_point_alone_gives_nothing() {
        assert!(solid_room(&[Point::origin()], 10.0).is_empty());
        assert!(solid_room(&[Point::origin(), Point::origin()], 10.0).is_empty());
    }
}
