//! Corners of half laps and reliefs by number, with their places from the part's datums: what is keyed in, and
//! measured afterwards.

use crate::outline::Vertex;
use crate::parts::{Edge, Part, Pocket};
use crate::project::Point;

/// Places nearer than this, mm, are one.
const SAME_MM: f64 = 1e-3;

/// A corner of a contour that is not just one of the part's own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PocketCorner {
    /// From 1, through all pockets of the part.
    pub number: usize,
    /// In the part frame.
    pub at: Point,
    /// Along the stock from the part's lower end, or from the first hinge of an arm; across it from the edge that the
    /// part is fixed with, or from an arm's axis. mm.
    pub from_datums: [f64; 2],
    /// Of the arc that begins here, mm; `None` where a line does.
    pub radius: Option<f64>,
}

impl Part {
    /// Numbered corners of its pockets, in the pockets' order.
    #[must_use]
    pub fn pocket_corners(&self) -> Vec<PocketCorner> {
        let pockets = self.pockets();
        let edges = pockets.iter().flat_map(|pocket| self.own_edges(pocket));
        let corner = |(number, edge): (usize, Edge)| PocketCorner {
            number,
            at: edge.from,
            from_datums: self.off_datums(edge.from),
            radius: edge.circle().map(|(_, radius)| radius),
        };
        (1..).zip(edges).map(corner).collect()
    }

    /// The edges of a pocket whose first corner is not just one of the part's.
    #[must_use]
    pub fn own_edges(&self, pocket: &Pocket) -> Vec<Edge> {
        let own: Vec<Edge> = Edge::of(&self.outline).collect();
        let is_own = |edge: &Edge| own.iter().any(|other| lies_along(edge, other));
        let of = |outline: &Vec<Vertex>| -> Vec<Edge> {
            let edges: Vec<Edge> = Edge::of(outline).collect();
            let before = edges.iter().cycle().skip(edges.len().saturating_sub(1));
            edges
                .iter()
                .zip(before)
                .filter(|(edge, before)| !(is_own(edge) && is_own(before)))
                .map(|(edge, _)| *edge)
                .collect()
        };
        std::iter::once(&pocket.contour).chain(&pocket.islands).flat_map(of).collect()
    }

    /// Whether a pocket runs out over the part's own edge, so that a cutter comes in from the side.
    #[must_use]
    pub fn runs_out(&self, pocket: &Pocket) -> bool {
        let own: Vec<Edge> = Edge::of(&self.outline).collect();
        Edge::of(&pocket.contour).any(|edge| own.iter().any(|other| lies_along(&edge, other)))
    }

    fn off_datums(&self, at: Point) -> [f64; 2] {
        match self.datum {
            Some(_) => [self.above_lower_end(at), self.off_datum(at).unwrap_or_default()],
            None => [at.coords.dot(&self.along), self.along.perp(&at.coords)],
        }
    }
}

/// Whether an edge is a stretch of another.
fn lies_along(edge: &Edge, other: &Edge) -> bool {
    let on = |at: Point| match other.circle() {
        Some((centre, radius)) => ((at - centre).norm() - radius).abs() < SAME_MM,
        None => {
            let along = (other.to - other.from).normalize();
            along.perp(&(at - other.from)).abs() < SAME_MM
        }
    };
    other.is_line() == edge.is_line() && [0.0, 0.5, 1.0].into_iter().all(|share| on(edge.at(share)))
}

#[cfg(test)]
mod tests {
    use crate::parts::parts;
    use crate::{Options, Project, analyse};

    #[test]
    fn corners_of_the_chapel_hatch_boards_wall_bars() {
        let text = include_str!("../../../../demo/chapel-hatch.overarm.json");
        let project: Project = serde_json::from_str(text).expect("a project");
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let parts = parts(&project, &analysis.solids);
        let corners = parts[0].pocket_corners();
        // By sight: the lap enters over the fixed edge and leaves over the other, about both hinges with half of 25.4
        // and 0.4 more.
        let at = |y: f64| corners.iter().any(|corner| (corner.from_datums[1] - y).abs() < 1e-6);
        assert!(at(0.0) && at(60.0), "{corners:?}");
        let about = corners.iter().filter(|corner| corner.radius.is_some_and(|radius| (radius - 13.1).abs() < 1e-6));
        assert_eq!(about.count(), 2, "{corners:?}");
        assert!(corners.iter().zip(1..).all(|(corner, number)| corner.number == number));
        // The other hand: the same places, told in another order.
        let mut mine: Vec<[f64; 2]> = corners.iter().map(|corner| corner.from_datums).collect();
        let mut theirs: Vec<[f64; 2]> = parts[4].pocket_corners().iter().map(|corner| corner.from_datums).collect();
        for list in [&mut mine, &mut theirs] {
            list.sort_by(|a, b| a[0].total_cmp(&b[0]));
        }
        assert_eq!(mine.len(), theirs.len());
        for (one, other) in mine.iter().zip(&theirs) {
            assert!(one.iter().zip(other).all(|(a, b)| (a - b).abs() < 1e-9), "{one:?} {other:?}");
        }
        for part in &parts {
            assert!(part.pockets().iter().all(|pocket| part.runs_out(pocket)));
        }
    }
}
