//! Areas of the screen: cut to the drawing, filled and hatched, whatever their outline.
//!
//! The painter under the window fills convex outlines only; rooms and swept outlines are not, and
//! have holes. An area is cut into trapezoids between the heights of its corners (even-odd).

use egui::{Pos2, Rect};

type At = [f64; 2];

/// Closed contours on the screen.
#[derive(Clone, Debug, Default)]
pub struct Area {
    contours: Vec<Vec<At>>,
}

impl Area {
    /// Contours cut to a rectangle.
    #[must_use]
    pub fn new(contours: impl Iterator<Item = Vec<At>>, bounds: Rect) -> Self {
        let contours = contours.map(|contour| cut_to(contour, bounds)).filter(|contour| contour.len() > 2).collect();
        Self { contours }
    }

    fn edges(&self) -> impl Iterator<Item = [At; 2]> + '_ {
        self.contours
            .iter()
            .flat_map(|contour| contour.iter().zip(contour.iter().cycle().skip(1)).map(|(from, to)| [*from, *to]))
    }

    /// Trapezoids that fill it, corners in order around each.
    #[must_use]
    pub fn trapezoids(&self) -> Vec<[Pos2; 4]> {
        let mut heights: Vec<f64> = self.contours.iter().flatten().map(|at| at[1]).collect();
        heights.sort_by(f64::total_cmp);
        // Corners closer than a hundredth of a point share a height: nobody sees the difference.
        heights.dedup_by(|a, b| (*a - *b).abs() < 0.01);
        let mut edges: Vec<[At; 2]> = self.edges().map(|[a, b]| if a[1] <= b[1] { [a, b] } else { [b, a] }).collect();
        edges.sort_by(|a, b| a[0][1].total_cmp(&b[0][1]));

        let mut filled = Vec::new();
        let mut waiting = edges.into_iter().peekable();
        let mut active: Vec<[At; 2]> = Vec::new();
        for slab in heights.windows(2) {
            let (top, bottom) = (slab[0], slab[1]);
            let middle = f64::midpoint(top, bottom);
            while let Some(edge) = waiting.next_if(|edge| edge[0][1] < middle) {
                active.push(edge);
            }
            active.retain(|edge| edge[1][1] > middle);
            let mut crossed: Vec<(f64, &[At; 2])> = active.iter().map(|edge| (x_at(edge, middle), edge)).collect();
            crossed.sort_by(|a, b| a.0.total_cmp(&b.0));
            for pair in crossed.chunks_exact(2) {
                let (left, right) = (pair[0].1, pair[1].1);
                filled.push([
                    point(x_at(left, top), top),
                    point(x_at(right, top), top),
                    point(x_at(right, bottom), bottom),
                    point(x_at(left, bottom), bottom),
                ]);
            }
        }
        filled
    }

    /// Lines that hatch it, rising to the right at 45°, through `anchor`.
    #[must_use]
    pub fn hatch(&self, spacing: f64, anchor: At) -> Vec<[Pos2; 2]> {
        // A hatch line is where across = x + y is constant; along = x - y runs on it.
        let turned: Vec<[At; 2]> = self.edges().map(|edge| edge.map(|[x, y]| [x - y, x + y])).collect();
        let across = |pick: fn(f64, f64) -> f64, start: f64| turned.iter().flatten().map(|at| at[1]).fold(start, pick);
        let (first, last) = (across(f64::min, f64::INFINITY), across(f64::max, f64::NEG_INFINITY));
        // In the turned frame lengths are √2 longer.
        let step = spacing * std::f64::consts::SQRT_2;
        let offset = (anchor[0] + anchor[1]).rem_euclid(step);
        let mut lines = Vec::new();
        if !(last - first).is_finite() {
            return lines;
        }
        let mut level = ((first - offset) / step).ceil() * step + offset;
        while level < last {
            let mut crossings: Vec<f64> = turned
                .iter()
                .filter(|[from, to]| (from[1] < level) != (to[1] < level))
                .map(|[from, to]| from[0] + (to[0] - from[0]) * (level - from[1]) / (to[1] - from[1]))
                .collect();
            crossings.sort_by(f64::total_cmp);
            for pair in crossings.chunks_exact(2) {
                let on_screen = |along: f64| point(f64::midpoint(level, along), (level - along) / 2.0);
                lines.push([on_screen(pair[0]), on_screen(pair[1])]);
            }
            level += step;
        }
        lines
    }
}

fn x_at(edge: &[At; 2], y: f64) -> f64 {
    let [from, to] = edge;
    let height = to[1] - from[1];
    if height <= 0.0 {
        return from[0];
    }
    let share = ((y - from[1]) / height).clamp(0.0, 1.0);
    from[0] + (to[0] - from[0]) * share
}

#[allow(clippy::cast_possible_truncation)] // cut to the drawing before
fn point(x: f64, y: f64) -> Pos2 {
    Pos2::new(x as f32, y as f32)
}

/// Cuts a closed contour to a rectangle, one side after the other (Sutherland and Hodgman); runs
/// along the cut are harmless to an even-odd fill.
fn cut_to(mut contour: Vec<At>, bounds: Rect) -> Vec<At> {
    let sides: [(usize, f64, f64); 4] = [
        (0, f64::from(bounds.min.x), 1.0),
        (0, f64::from(bounds.max.x), -1.0),
        (1, f64::from(bounds.min.y), 1.0),
        (1, f64::from(bounds.max.y), -1.0),
    ];
    for (axis, limit, sign) in sides {
        let inside = |at: &At| (at[axis] - limit) * sign >= 0.0;
        let mut cut = Vec::with_capacity(contour.len() + 4);
        for (from, to) in contour.iter().zip(contour.iter().cycle().skip(1)) {
            if inside(from) {
                cut.push(*from);
            }
            if inside(from) != inside(to) {
                let share = (limit - from[axis]) / (to[axis] - from[axis]);
                cut.push([from[0] + (to[0] - from[0]) * share, from[1] + (to[1] - from[1]) * share]);
            }
        }
        contour = cut;
    }
    contour
}

/// Cuts an open line to a rectangle; what is left may be several runs.
#[must_use]
pub fn clip_open(line: &[At], bounds: Rect) -> Vec<Vec<Pos2>> {
    let mut runs: Vec<Vec<Pos2>> = Vec::new();
    let mut open = false;
    for pair in line.windows(2) {
        let Some(([from, to], starts_inside, ends_inside)) = clip_segment(pair[0], pair[1], bounds) else {
            open = false;
            continue;
        };
        match runs.last_mut() {
            Some(run) if open && starts_inside => run.push(point(to[0], to[1])),
            _ => runs.push(vec![point(from[0], from[1]), point(to[0], to[1])]),
        }
        open = ends_inside;
    }
    runs
}

/// Liang and Barsky's cut of a segment: what is left, and whether its ends are the given ones.
fn clip_segment(from: At, to: At, bounds: Rect) -> Option<([At; 2], bool, bool)> {
    let by = [to[0] - from[0], to[1] - from[1]];
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    let limits = [
        (-by[0], from[0] - f64::from(bounds.min.x)),
        (by[0], f64::from(bounds.max.x) - from[0]),
        (-by[1], from[1] - f64::from(bounds.min.y)),
        (by[1], f64::from(bounds.max.y) - from[1]),
    ];
    for (towards, left) in limits {
        if towards.abs() < f64::MIN_POSITIVE {
            if left < 0.0 {
                return None;
            }
        } else if towards < 0.0 {
            enter = enter.max(left / towards);
        } else {
            leave = leave.min(left / towards);
        }
    }
    if enter > leave {
        return None;
    }
    let at = |share: f64| [from[0] + by[0] * share, from[1] + by[1] * share];
    let ends = [if enter > 0.0 { at(enter) } else { from }, if leave < 1.0 { at(leave) } else { to }];
    Some((ends, enter <= 0.0, leave >= 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn everything() -> Rect {
        Rect::from_min_max(Pos2::new(-1e4, -1e4), Pos2::new(1e4, 1e4))
    }

    fn size(area: &Area) -> f32 {
        area.trapezoids().iter().map(|[a, b, c, d]| (b.x - a.x + c.x - d.x) / 2.0 * (d.y - a.y)).sum()
    }

    fn frame() -> Area {
        let outside = vec![[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]];
        let hole = vec![[2.0, 2.0], [2.0, 8.0], [8.0, 8.0], [8.0, 2.0]];
        Area::new([outside, hole].into_iter(), everything())
    }

    #[test]
    fn a_frame_is_filled_without_its_hole() {
        assert!((size(&frame()) - 64.0).abs() < 1e-3);
    }

    #[test]
    fn a_notched_outline_is_filled_exactly() {
        let notched = vec![[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [5.0, 3.0], [0.0, 10.0]];
        let area = Area::new(std::iter::once(notched), everything());
        assert!((size(&area) - (100.0 - 35.0)).abs() < 1e-2);
    }

    #[test]
    fn cutting_keeps_what_is_inside() {
        let large = vec![[-1e7, -1e7], [1e7, -1e7], [1e7, 1e7], [-1e7, 1e7]];
        let bounds = Rect::from_min_max(Pos2::new(0.0, 0.0), Pos2::new(30.0, 20.0));
        let area = Area::new(std::iter::once(large), bounds);
        assert!((size(&area) - 600.0).abs() < 1e-2);
    }

    #[test]
    fn hatching_covers_in_proportion_and_stays_out_of_the_hole() {
        let lines = frame().hatch(0.25, [0.0, 0.0]);
        let length: f32 = lines.iter().map(|[a, b]| (*b - *a).length()).sum();
        assert!((length * 0.25 - 64.0).abs() < 1.0, "{length}");
        for [a, b] in lines {
            let middle = a + (b - a) / 2.0;
            let in_hole = (2.1..7.9).contains(&middle.x) && (2.1..7.9).contains(&middle.y);
            assert!(!in_hole && ((b - a).x + (b - a).y).abs() < 1e-3);
        }
    }

    #[test]
    fn a_line_that_leaves_and_comes_back_is_two_runs() {
        let bounds = Rect::from_min_max(Pos2::new(0.0, 0.0), Pos2::new(10.0, 10.0));
        let runs = clip_open(&[[5.0, 5.0], [5.0, 20.0], [8.0, 20.0], [8.0, 5.0]], bounds);
        assert_eq!(runs.len(), 2);
        assert_eq!(runs[0].last(), Some(&Pos2::new(5.0, 10.0)));
        assert_eq!(runs[1].first(), Some(&Pos2::new(8.0, 10.0)));
    }
}
