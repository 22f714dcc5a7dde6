//! Lines and curves on a page, mm from its top left corner, y down.

use overarm_solver::{Point, Vertex};

use super::page::Area;

/// A place on a page, mm from its top left corner, y down.
pub type Place = [f64; 2];

/// Share of the radius from an arc's end to its control point, for a quarter circle; the radius is
/// then true within 0.03 %, 0.003 mm on a bore of 22 mm.
const QUARTER: f64 = 0.552_284_75;

/// One step of a path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    /// Begins anew.
    Move(Place),
    /// Straight on.
    Line(Place),
    /// Two control points and the end.
    Curve(Place, Place, Place),
    /// Back to where it began.
    Close,
}

/// Steps in their order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Path {
    /// In their order.
    pub steps: Vec<Step>,
}

impl Path {
    /// Through places, open.
    #[must_use]
    pub fn line(places: &[Place]) -> Self {
        let steps = places.iter().enumerate().map(|(i, at)| if i == 0 { Step::Move(*at) } else { Step::Line(*at) });
        Self { steps: steps.collect() }
    }

    /// Through places, closed.
    #[must_use]
    pub fn polygon(places: &[Place]) -> Self {
        let mut path = Self::line(places);
        path.steps.push(Step::Close);
        path
    }

    /// From corner to corner.
    #[must_use]
    pub fn rectangle([left, top]: Place, [right, bottom]: Place) -> Self {
        Self::polygon(&[[left, top], [right, top], [right, bottom], [left, bottom]])
    }

    /// A whole circle.
    #[must_use]
    pub fn circle([x, y]: Place, radius: f64) -> Self {
        let (r, k) = (radius, radius * QUARTER);
        let steps = vec![
            Step::Move([x + r, y]),
            Step::Curve([x + r, y + k], [x + k, y + r], [x, y + r]),
            Step::Curve([x - k, y + r], [x - r, y + k], [x - r, y]),
            Step::Curve([x - r, y - k], [x - k, y - r], [x, y - r]),
            Step::Curve([x + k, y - r], [x + r, y - k], [x + r, y]),
            Step::Close,
        ];
        Self { steps }
    }

    /// A box around all of its places and control points; `None` of an empty path.
    #[must_use]
    pub fn area(&self) -> Option<Area> {
        let mut area: Option<Area> = None;
        let mut add = |[x, y]: Place| {
            let known = area.unwrap_or(Area { left: x, top: y, right: x, bottom: y });
            area = Some(Area {
                left: known.left.min(x),
                top: known.top.min(y),
                right: known.right.max(x),
                bottom: known.bottom.max(y),
            });
        };
        for step in &self.steps {
            match *step {
                Step::Move(to) | Step::Line(to) => add(to),
                Step::Curve(one, two, to) => [one, two, to].into_iter().for_each(&mut add),
                Step::Close => {}
            }
        }
        area
    }

    /// Its lines, and its curves as chords that lie within a hundredth of their size.
    pub fn chords(&self) -> impl Iterator<Item = [Place; 2]> + '_ {
        /// Chords of one curve, a quarter circle at most.
        const CHORDS: u32 = 8;
        let (mut start, mut at) = ([0.0; 2], [0.0; 2]);
        self.steps.iter().flat_map(move |step| {
            let from = at;
            let places: Vec<Place> = match *step {
                Step::Move(to) => {
                    (start, at) = (to, to);
                    return Vec::new();
                }
                Step::Line(to) => vec![from, to],
                Step::Close => vec![from, start],
                Step::Curve(one, two, to) => (0..=CHORDS)
                    .map(|chord| {
                        let t = f64::from(chord) / f64::from(CHORDS);
                        let u = 1.0 - t;
                        let shares = [u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t];
                        let along = |axis: usize| {
                            shares[0] * from[axis]
                                + shares[1] * one[axis]
                                + shares[2] * two[axis]
                                + shares[3] * to[axis]
                        };
                        [along(0), along(1)]
                    })
                    .collect(),
            };
            at = places.last().copied().unwrap_or(at);
            places.windows(2).map(|two| [two[0], two[1]]).collect()
        })
    }

    /// Both, one after the other.
    #[must_use]
    pub fn and(mut self, other: Self) -> Self {
        self.steps.extend(other.steps);
        self
    }
}

/// How a model's millimetres come onto a page: y up there, down here.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Where the model's origin lies on the page.
    pub origin: Place,
    /// Page millimetres for one of the model.
    pub scale: f64,
    /// Turned counter-clockwise by this many quarters.
    pub quarters: u8,
}

impl View {
    /// Unturned.
    #[must_use]
    pub fn new(origin: Place, scale: f64) -> Self {
        Self { origin, scale, quarters: 0 }
    }

    /// A view in which a box of the model comes to lie in the middle of a box of the page.
    #[must_use]
    pub fn centred(low: Point, high: Point, top_left: Place, size: [f64; 2], scale: f64) -> Self {
        let middle = nalgebra::center(&low, &high);
        let origin = [top_left[0] + 0.5 * size[0] - scale * middle.x, top_left[1] + 0.5 * size[1] + scale * middle.y];
        Self::new(origin, scale)
    }

    /// Where a point of the model lies on the page.
    #[must_use]
    pub fn place(&self, point: Point) -> Place {
        let (x, y) = match self.quarters % 4 {
            0 => (point.x, point.y),
            1 => (-point.y, point.x),
            2 => (-point.x, -point.y),
            _ => (point.y, -point.x),
        };
        [self.origin[0] + self.scale * x, self.origin[1] - self.scale * y]
    }

    /// Points, open.
    #[must_use]
    pub fn line(&self, points: &[Point]) -> Path {
        Path::line(&points.iter().map(|point| self.place(*point)).collect::<Vec<_>>())
    }

    /// Points, closed.
    #[must_use]
    pub fn polygon(&self, points: &[Point]) -> Path {
        Path::polygon(&points.iter().map(|point| self.place(*point)).collect::<Vec<_>>())
    }

    /// A circle, its radius in the model's millimetres.
    #[must_use]
    pub fn circle(&self, centre: Point, radius: f64) -> Path {
        Path::circle(self.place(centre), self.scale * radius)
    }

    /// A closed outline with arcs.
    #[must_use]
    pub fn outline(&self, outline: &[Vertex]) -> Path {
        let Some(first) = outline.first() else { return Path::default() };
        let mut steps = vec![Step::Move(self.place(first.at))];
        for (index, vertex) in outline.iter().enumerate() {
            let end = outline[(index + 1) % outline.len()].at;
            if vertex.bulge == 0.0 {
                steps.push(Step::Line(self.place(end)));
            } else {
                self.arc(vertex.at, end, vertex.bulge, &mut steps);
            }
        }
        steps.push(Step::Close);
        Path { steps }
    }

    /// An arc as curves of a quarter circle at most.
    fn arc(&self, start: Point, end: Point, bulge: f64, steps: &mut Vec<Step>) {
        let angle = 4.0 * bulge.atan();
        let chord = end - start;
        // The centre lies beside the chord's middle, to its left for a short arc counter-clockwise.
        let beside = 0.5 * (1.0 - bulge * bulge) / (2.0 * bulge);
        let centre = nalgebra::center(&start, &end) + beside * nalgebra::Vector2::new(-chord.y, chord.x);
        let pieces = (angle.abs() / std::f64::consts::FRAC_PI_2 - 1e-9).ceil().max(1.0);
        let turn = angle / pieces;
        let reach = 4.0 / 3.0 * (0.25 * turn).tan();
        let mut spoke = start - centre;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // four at most
        for _ in 0..pieces as usize {
            let next = nalgebra::Rotation2::new(turn) * spoke;
            let along = |spoke: nalgebra::Vector2<f64>| reach * nalgebra::Vector2::new(-spoke.y, spoke.x);
            steps.push(Step::Curve(
                self.place(centre + spoke + along(spoke)),
                self.place(centre + next - along(next)),
                self.place(centre + next),
            ));
            spoke = next;
        }
    }
}

/// Whether two lines cross within both.
#[must_use]
pub fn crosses([a, b]: [Place; 2], [c, d]: [Place; 2]) -> bool {
    let side = |from: Place, to: Place, at: Place| {
        (to[0] - from[0]) * (at[1] - from[1]) - (to[1] - from[1]) * (at[0] - from[0])
    };
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_arc_of_an_outline_stays_on_its_circle() {
        let at = |x, y, bulge| Vertex { at: Point::new(x, y), bulge };
        // A stadium of radius 10 about the origin and (50, 0).
        let outline = [at(0.0, -10.0, 0.0), at(50.0, -10.0, 1.0), at(50.0, 10.0, 0.0), at(0.0, 10.0, 1.0)];
        let path = View::new([100.0, 200.0], 2.0).outline(&outline);
        let mut last = [0.0; 2];
        let mut curves = 0;
        for step in &path.steps {
            if let Step::Curve(one, two, end) = step {
                curves += 1;
                let middle = |i: usize| 0.125 * (last[i] + 3.0 * one[i] + 3.0 * two[i] + end[i]);
                let (x, y) = (middle(0) - 100.0, middle(1) - 200.0);
                let away = if x > 50.0 { x - 100.0 } else { x };
                assert!((away.hypot(y) - 20.0).abs() < 0.006, "{x} {y}");
            }
            match step {
                Step::Move(at) | Step::Line(at) | Step::Curve(_, _, at) => last = *at,
                Step::Close => {}
            }
        }
        assert_eq!(curves, 4);
    }

    #[test]
    fn a_turned_view_keeps_lengths_and_sense() {
        for quarters in 0..4 {
            let view = View { origin: [10.0, 10.0], scale: 1.5, quarters };
            let [o, x, y] = [[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]].map(|p| view.place(Point::from(p)));
            let (ex, ey) = ([x[0] - o[0], x[1] - o[1]], [y[0] - o[0], y[1] - o[1]]);
            // y down on the page: counter-clockwise there is negative.
            assert!((ex[0] * ey[1] - ex[1] * ey[0] + 2.25).abs() < 1e-12, "{quarters}");
        }
    }
}
