//! Corners of half laps and reliefs by number, with their places from the part's datums: what is keyed in, and
//! measured afterwards.

use crate::outline::Vertex;
use crate::parts::{EDGE_BREAK_MM, Edge, Hand, Part, Pocket};
use crate::project::Point;

/// Places nearer than this, mm, are one.
const SAME_MM: f64 = 1e-3;

/// How a contour goes on from a corner to the next one of its pocket.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ToNext {
    /// Straight through the part.
    Line,
    /// Along an arc through the part.
    Arc {
        /// mm.
        radius: f64,
        /// In the part frame.
        about: Point,
    },
    /// Along the part's own edge or round its end, past corners that are only the part's: nothing is cut there.
    OwnEdge,
}

/// A corner of a contour that is not just one of the part's own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PocketCorner {
    /// From 1, through all pockets of the part; the other hand's mirrored corner has the same.
    pub number: usize,
    /// Which of the part's pockets, from 0.
    pub pocket: usize,
    /// In the part frame.
    pub at: Point,
    /// Along the stock from the part's lower end, or from the first hinge of an arm; across it from the edge that the
    /// part is fixed with, or from an arm's axis. mm.
    pub from_datums: [f64; 2],
    /// Which of these two is cut there: where a corner lies on a straight edge along the stock, its place across is the
    /// bar's own, and on an edge across the stock, its place along it.
    pub is_cut: [bool; 2],
    /// The way on.
    pub to_next: ToNext,
    /// Which corner that leads to: one further, or back to the first of its contour.
    pub next: usize,
}

impl Part {
    /// Numbered corners of its pockets, in the pockets' order.
    #[must_use]
    pub fn pocket_corners(&self) -> Vec<PocketCorner> {
        let mut corners = Vec::new();
        for (pocket, cut) in self.pockets().iter().enumerate() {
            for outline in std::iter::once(&cut.contour).chain(&cut.islands) {
                let own = self.walked(outline);
                let first = corners.len() + 1;
                for (index, (from, to_next)) in own.iter().enumerate() {
                    corners.push(PocketCorner {
                        number: first + index,
                        pocket,
                        at: *from,
                        from_datums: self.off_datums(*from),
                        is_cut: self.is_cut_at(*from),
                        to_next: *to_next,
                        next: first + (index + 1) % own.len(),
                    });
                }
            }
        }
        corners
    }

    /// Corners of a pocket's outline that are not just the part's, and how it goes on from each. Walked as the left
    /// hand's counter-clockwise, so that both hands have the same order.
    fn walked(&self, outline: &[Vertex]) -> Vec<(Point, ToNext)> {
        let edges: Vec<Edge> = match self.hand {
            Hand::Left => Edge::of(outline).collect(),
            Hand::Right => {
                let mut edges: Vec<Edge> = Edge::of(outline).map(|edge| edge.reversed()).collect();
                edges.reverse();
                // Mirrored, an outline begins with the corner that was last.
                edges.rotate_left(1);
                edges
            }
        };
        let part: Vec<Edge> = Edge::of(&self.outline).collect();
        let is_own = |edge: &Edge| part.iter().any(|other| lies_along(edge, other));
        let before = edges.iter().cycle().skip(edges.len().saturating_sub(1));
        let kept = edges.iter().zip(before).filter(|(edge, before)| !(is_own(edge) && is_own(before)));
        let way = |edge: &Edge| match edge.circle() {
            _ if is_own(edge) => ToNext::OwnEdge,
            Some((about, radius)) => ToNext::Arc { radius, about },
            None => ToNext::Line,
        };
        kept.map(|(edge, _)| (edge.from, way(edge))).collect()
    }

    /// Whether a pocket runs out over the part's own edge, so that a cutter comes in from the side.
    #[must_use]
    pub fn runs_out(&self, pocket: &Pocket) -> bool {
        let own: Vec<Edge> = Edge::of(&self.outline).collect();
        Edge::of(&pocket.contour).any(|edge| own.iter().any(|other| lies_along(&edge, other)))
    }

    /// Whether a place along the stock, and one across it, are other than the bar's own edge gives.
    fn is_cut_at(&self, at: Point) -> [bool; 2] {
        // What breaking the edge takes away is not measured.
        let lies_on = |edge: &Edge| edge.is_line() && edge.nearest(at).1 < EDGE_BREAK_MM;
        let edges: Vec<Edge> = Edge::of(&self.outline).filter(lies_on).collect();
        let runs_along = |edge: &Edge| (edge.to - edge.from).normalize().dot(&self.along).abs() > 0.5;
        [!edges.iter().any(|edge| !runs_along(edge)), !edges.iter().any(runs_along)]
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
    use super::*;
    use crate::parts::parts;
    use crate::samples::complete_board;
    use crate::{Options, analyse};

    fn complete_parts() -> Vec<Part> {
        let project = complete_board();
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        parts(&project, &analysis.solids)
    }

    #[test]
    fn corners_of_the_chapel_hatch_boards_wall_bars() {
        let parts = complete_parts();
        let corners = parts[0].pocket_corners();
        // By sight: the lap enters over the fixed edge and leaves over the other, about both hinges with half of 25.4
        // and 0.4 more.
        let at = |y: f64| corners.iter().any(|corner| (corner.from_datums[1] - y).abs() < 1e-6);
        assert!(at(0.0) && at(60.0), "{corners:?}");
        let is_about = |corner: &PocketCorner, hinge: Point| {
            matches!(corner.to_next, ToNext::Arc { radius, about }
                if (radius - 13.1).abs() < 1e-6 && (about - hinge).norm() < 1e-6)
        };
        for hinge in &parts[0].hinges {
            assert_eq!(corners.iter().filter(|corner| is_about(corner, hinge.centre)).count(), 1, "{corners:?}");
        }
        // Where it crosses an edge of the bar, only its place along that is cut.
        let on_edges = corners.iter().filter(|corner| corner.from_datums[1].abs() < 1e-6);
        assert!(on_edges.clone().count() > 0 && on_edges.into_iter().all(|corner| !corner.is_cut[1]), "{corners:?}");
        assert!(corners.iter().any(|corner| corner.is_cut == [true, true]), "{corners:?}");
        for part in &parts {
            assert!(part.pockets().iter().all(|pocket| part.runs_out(pocket)));
        }
    }

    #[test]
    fn corners_of_both_hands_mirror_each_other_by_number() {
        let parts = complete_parts();
        for (left, right) in parts[..4].iter().zip(&parts[4..]) {
            let [mine, theirs] = [left, right].map(Part::pocket_corners);
            assert!(mine.len() == theirs.len() && !mine.is_empty());
            for (one, other) in mine.iter().zip(&theirs) {
                assert_eq!((one.number, one.pocket, one.next), (other.number, other.pocket, other.next));
                assert!((one.at.x - other.at.x).hypot(one.at.y + other.at.y) < 1e-12, "{one:?} {other:?}");
                match (one.to_next, other.to_next) {
                    (ToNext::Arc { radius, .. }, ToNext::Arc { radius: same, .. }) => {
                        assert!((radius - same).abs() < 1e-9);
                    }
                    (one, other) => assert_eq!(one, other),
                }
            }
        }
    }

    #[test]
    fn every_way_on_ends_at_the_next_corner_or_runs_along_the_parts_own_edge() {
        for part in complete_parts() {
            let corners = part.pocket_corners();
            assert!(corners.iter().zip(1..).all(|(corner, number)| corner.number == number));
            let pockets = part.pockets();
            for corner in &corners {
                let next = &corners[corner.next - 1];
                assert_eq!(next.pocket, corner.pocket);
                let pocket = &pockets[corner.pocket];
                let edges = std::iter::once(&pocket.contour).chain(&pocket.islands).flat_map(|of| Edge::of(of));
                let joins = |edge: Edge| {
                    let ends = [(edge.from, edge.to), (edge.to, edge.from)];
                    ends.iter().any(|(a, b)| (a - corner.at).norm() < 1e-9 && (b - next.at).norm() < 1e-9)
                };
                let found = edges.into_iter().filter(|edge| joins(*edge)).find(|edge| match corner.to_next {
                    ToNext::Line => edge.is_line(),
                    ToNext::Arc { radius, .. } => edge.circle().is_some_and(|(_, found)| (radius - found).abs() < 1e-9),
                    ToNext::OwnEdge => true,
                });
                assert!(found.is_some() || corner.to_next == ToNext::OwnEdge, "{}: {corner:?}", part.number);
            }
            // An arm's laps lie at its ends: round each of them nothing is cut.
            let own = corners.iter().filter(|corner| corner.to_next == ToNext::OwnEdge).count();
            assert!(part.datum.is_some() || own >= 2, "{}: {corners:?}", part.number);
        }
    }
}
