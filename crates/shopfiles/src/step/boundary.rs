//! The boundary of a body: vertices, edges and faces that share them.
//!
//! Loops run counter-clockwise around the face's outward normal, holes clockwise; so each edge is
//! walked once in either direction, by one face or two.

use nalgebra::{Point3, Vector3};

/// What an edge lies on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Curve {
    /// Straight from its first vertex to its second.
    Line,
    /// Counter-clockwise about an axis.
    Circle {
        /// Its middle.
        centre: Point3<f64>,
        /// A unit vector.
        axis: Vector3<f64>,
        /// mm.
        radius: f64,
    },
}

/// An edge from one vertex to another, or a whole circle from one to itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge {
    /// Indices of [`Boundary::vertices`].
    pub ends: [usize; 2],
    /// What it lies on.
    pub curve: Curve,
    /// A place on it that tells it from others between the same vertices.
    middle: Point3<f64>,
}

/// What a face lies on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Surface {
    /// Through a point, with the face's outward normal.
    Plane {
        /// On it.
        at: Point3<f64>,
        /// A unit vector.
        normal: Vector3<f64>,
    },
    /// About an axis.
    Cylinder {
        /// On the axis.
        at: Point3<f64>,
        /// A unit vector.
        axis: Vector3<f64>,
        /// mm.
        radius: f64,
    },
    /// About an axis, wider along it.
    Cone {
        /// On the axis.
        at: Point3<f64>,
        /// A unit vector.
        axis: Vector3<f64>,
        /// At that place, mm.
        radius: f64,
        /// Between axis and flank, radians.
        half_angle: f64,
    },
}

/// An edge as a loop walks it: its index, and whether from its first vertex to its second.
pub type Walked = (usize, bool);

/// A face with its outer loop first.
#[derive(Clone, Debug, PartialEq)]
pub struct Face {
    /// What it lies on.
    pub surface: Surface,
    /// Whether material is on the side of a round surface's axis; planes always.
    pub is_outside: bool,
    /// Each closed.
    pub loops: Vec<Vec<Walked>>,
}

/// A body by its boundary.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Boundary {
    /// Places.
    pub vertices: Vec<Point3<f64>>,
    /// Between them.
    pub edges: Vec<Edge>,
    /// Between those.
    pub faces: Vec<Face>,
}

/// Two places on edges between the same vertices that are nearer than this, mm, are on one edge.
const SAME_EDGE_MM: f64 = 1e-6;

impl Boundary {
    /// The vertex at a place.
    pub fn vertex(&mut self, at: Point3<f64>) -> usize {
        // 0 and −0 are one place.
        let at = at.map(|value| if value == 0.0 { 0.0 } else { value });
        if let Some(found) = self.vertices.iter().position(|vertex| *vertex == at) {
            return found;
        }
        self.vertices.push(at);
        self.vertices.len() - 1
    }

    /// The straight edge from one place to another.
    pub fn line(&mut self, from: Point3<f64>, to: Point3<f64>) -> Walked {
        let ends = [self.vertex(from), self.vertex(to)];
        self.edge(ends, Curve::Line, nalgebra::center(&from, &to))
    }

    /// The arc from one place to another, by way of a third; `axis` such that it is counter-clockwise.
    pub fn arc(
        &mut self,
        [from, by, to]: [Point3<f64>; 3],
        centre: Point3<f64>,
        axis: Vector3<f64>,
        radius: f64,
    ) -> Walked {
        let ends = [self.vertex(from), self.vertex(to)];
        // One axis for both ways of walking it: the first component that is not zero is positive.
        let turned = axis.iter().rev().find(|value| value.abs() > 0.5).is_some_and(|value| *value < 0.0);
        let (ends, axis) = if turned { ([ends[1], ends[0]], -axis) } else { (ends, axis) };
        let (edge, forward) = self.edge(ends, Curve::Circle { centre, axis, radius }, by);
        (edge, forward != turned)
    }

    /// The whole circle through a place, counter-clockwise about an axis.
    pub fn circle(&mut self, through: Point3<f64>, centre: Point3<f64>, axis: Vector3<f64>) -> usize {
        let vertex = self.vertex(through);
        let opposite = centre - (through - centre);
        let radius = (through - centre).norm();
        self.edge([vertex, vertex], Curve::Circle { centre, axis, radius }, opposite).0
    }

    fn edge(&mut self, ends: [usize; 2], curve: Curve, middle: Point3<f64>) -> Walked {
        let near = |edge: &Edge| (edge.middle - middle).norm() < SAME_EDGE_MM;
        let swapped = [ends[1], ends[0]];
        if let Some(found) = self.edges.iter().position(|edge| edge.ends == ends && near(edge)) {
            return (found, true);
        }
        if let Some(found) = self.edges.iter().position(|edge| edge.ends == swapped && near(edge)) {
            return (found, false);
        }
        self.edges.push(Edge { ends, curve, middle });
        (self.edges.len() - 1, true)
    }

    /// Whether every edge is walked exactly once in either direction and every loop closes: then the
    /// faces enclose a body.
    #[must_use]
    pub fn is_closed(&self) -> bool {
        let mut walked = vec![[0_u32; 2]; self.edges.len()];
        let end = |(edge, forward): Walked, last: bool| self.edges[edge].ends[usize::from(forward == last)];
        for around in self.faces.iter().flat_map(|face| &face.loops) {
            for (here, next) in around.iter().zip(around.iter().cycle().skip(1)) {
                walked[here.0][usize::from(here.1)] += 1;
                if end(*here, true) != end(*next, false) {
                    return false;
                }
            }
        }
        !self.faces.is_empty() && walked.iter().all(|times| *times == [1, 1])
    }
}

/// Walked the other way round.
#[must_use]
pub fn reversed(around: &[Walked]) -> Vec<Walked> {
    around.iter().rev().map(|(edge, forward)| (*edge, !forward)).collect()
}
