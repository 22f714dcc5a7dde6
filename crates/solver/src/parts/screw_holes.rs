//! Screw holes across a wall bar or panel bar, through its narrow faces: a clearance hole with a
//! countersink that lets the head in below the face.
//!
//! A wall bar is screwed to the wall, so its heads lie in the face towards the room; a panel bar to
//! the panel's back, so they lie in the face towards the wall.

use nalgebra::{Rotation2, Vector2};

use crate::project::{Fixings, PartName, Point};
use crate::screw_group::ScrewedBar;
use crate::screws::Screw;
use crate::units::MM_PER_INCH;

/// A cone that takes the head of a screw.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Countersink {
    /// At the face, mm.
    pub diameter: f64,
    /// Between its flanks, degrees.
    pub angle_deg: f64,
    /// Of the head that it is for, mm: the rest of its diameter sinks it below the face.
    pub head: f64,
}

/// A hole across the part.
#[derive(Clone, Debug, PartialEq)]
pub struct ScrewHole {
    /// "screw 1", from the upper end down.
    pub name: String,
    /// Where its axis enters, in the face with the heads.
    pub from: Point,
    /// Where it leaves.
    pub to: Point,
    /// Height of the axis.
    pub z: f64,
    /// mm.
    pub diameter: f64,
    /// For the head.
    pub countersink: Countersink,
    /// Whether it lies wholly in the part's material and meets no other hole. Where not, the rule
    /// says so, and neither volume nor body takes it away.
    pub is_whole: bool,
}

impl ScrewHole {
    /// Along its axis, mm.
    #[must_use]
    pub fn length(&self) -> f64 {
        (self.to - self.from).norm()
    }

    /// The way a screw goes in, a unit vector.
    #[must_use]
    pub fn direction(&self) -> Vector2<f64> {
        (self.to - self.from).normalize()
    }

    /// How deep the cone is, mm.
    #[must_use]
    pub fn countersink_depth(&self) -> f64 {
        0.5 * (self.countersink.diameter - self.diameter) / (0.5 * self.countersink.angle_deg).to_radians().tan()
    }

    /// How far the head lies below the face, mm.
    #[must_use]
    pub fn head_below_face(&self) -> f64 {
        0.5 * (self.countersink.diameter - self.countersink.head)
            / (0.5 * self.countersink.angle_deg).to_radians().tan()
    }

    /// What it takes away, mm³.
    #[must_use]
    pub fn volume(&self) -> f64 {
        let (d, wide, deep) = (self.diameter, self.countersink.diameter, self.countersink_depth());
        let quarter = 0.25 * std::f64::consts::PI;
        quarter * d * d * (self.length() - deep) + quarter / 3.0 * deep * (wide * wide + wide * d + d * d)
    }
}

/// Diameter of a screw, its clearance hole, in. Source: ASME B18.2.8, free fit for No. 6, 8, 10 and
/// 1/4 in, through two open charts that agree; No. 12 and 14 from memory (drills 1 and G).
const CLEARANCE: [(f64, f64); 6] =
    [(0.138, 0.1495), (0.164, 0.177), (0.190, 0.201), (0.216, 0.228), (0.242, 0.261), (0.25, 0.266)];

/// Diameter of the clearance hole, mm: listed, else a tenth larger than the screw, to 0.1 mm (about
/// ISO 273 medium).
fn clearance_hole(diameter: f64) -> (f64, bool) {
    let same = |row: &&(f64, f64)| (row.0 * MM_PER_INCH - diameter).abs() <= 0.05;
    match CLEARANCE.iter().find(same) {
        Some((_, hole)) => (hole * MM_PER_INCH, true),
        None => ((11.0 * diameter).ceil() / 10.0, false),
    }
}

/// Head over screw, where no table has the head: the largest of the listed wood screws.
const HEAD_SHARE: f64 = 1.98;
/// How far a head is let in below the face, mm (common practice, no source).
const SUNK_MM: f64 = 0.2;
/// Between the flanks of a head, degrees: of numbered screws (ASME B18.6.1), and of metric ones
/// (ISO 7046).
const HEAD_ANGLES_DEG: [f64; 2] = [82.0, 90.0];

/// A bar that is screwed on, in its own frame: upright, between two corners.
pub(super) struct ScrewedOn {
    pub part: PartName,
    pub least: Point,
    pub most: Point,
    /// Middle of the layer that is whole.
    pub z: f64,
    /// Height and widest radius of each hinge bore.
    pub bores: Vec<(f64, f64)>,
}

impl ScrewedOn {
    /// The holes for the project's screws; none where count or diameter is not given, or where
    /// they do not fit on the bar.
    pub fn holes(&self, fixings: &Fixings) -> Vec<ScrewHole> {
        let Some(screw) = fixings.diameter.filter(|diameter| *diameter > 0.0 && diameter.is_finite()) else {
            return Vec::new();
        };
        let (diameter, in_inches) = clearance_hole(screw);
        let head = Screw::of_diameter(screw).ok().and_then(|screw| screw.head).unwrap_or(HEAD_SHARE * screw);
        let angle_deg = HEAD_ANGLES_DEG[usize::from(!in_inches)];
        let sink = 2.0 * SUNK_MM * (0.5 * angle_deg).to_radians().tan();
        let countersink = Countersink { diameter: head + sink, angle_deg, head };
        let (from, to) =
            if self.part == PartName::WallBar { (self.most.x, self.least.x) } else { (self.least.x, self.most.x) };
        let heights = if self.part == PartName::WallBar {
            ScrewedBar::new(fixings, self.least.y, self.most.y, 1.0).map_or_else(|_| Vec::new(), |bar| bar.screws)
        } else {
            self.spread(fixings, 0.5 * countersink.diameter)
        };
        let hole = |(number, height): (usize, f64)| ScrewHole {
            name: format!("screw {number}"),
            from: Point::new(from, height),
            to: Point::new(to, height),
            z: self.z,
            diameter,
            countersink,
            is_whole: true,
        };
        (1..).zip(heights).map(hole).collect()
    }

    /// Heights on a panel bar, from its upper end down: as many as on the wall bar, spread evenly
    /// between the ends; one that would come too near to a hinge goes to the nearest place that does
    /// not.
    fn spread(&self, fixings: &Fixings, radius: f64) -> Vec<f64> {
        /// From an end where the project gives no edge distance, in screws' diameters (common
        /// practice in metal, no source).
        const EDGE_SHARE: f64 = 2.0;
        let count = fixings.count.unwrap_or(0);
        let edge = fixings.edge.or(fixings.diameter.map(|d| EDGE_SHARE * d)).unwrap_or(0.0).max(radius);
        let (low, high) = (self.least.y + edge, self.most.y - edge);
        if count == 0 || low > high {
            return Vec::new();
        }
        let keeps = |at: f64| self.bores.iter().all(|(y, bore)| (at - y).abs() >= self.keep(*bore, radius) - 1e-9);
        let beside =
            self.bores.iter().flat_map(|(y, bore)| [-1.0, 1.0].map(|side| y + side * self.keep(*bore, radius)));
        let places: Vec<f64> = beside.filter(|at| (low..=high).contains(at) && keeps(*at)).collect();
        let even = |number: u32| match count {
            1 => 0.5 * (low + high),
            _ => high - (high - low) * f64::from(number) / f64::from(count - 1),
        };
        let settled = |at: f64| {
            let nearest = |a: &&f64, b: &&f64| (**a - at).abs().total_cmp(&(**b - at).abs());
            if keeps(at) { at } else { places.iter().min_by(nearest).copied().unwrap_or(at) }
        };
        (0..count).map(|number| settled(even(number))).collect()
    }

    /// Least distance of a screw's axis from a hinge's, mm.
    fn keep(&self, bore: f64, radius: f64) -> f64 {
        bore + radius + super::least_wall(2.0 * radius)
    }
}

impl ScrewHole {
    /// In another frame: moved by `by`, then turned.
    pub(super) fn placed(&self, by: Vector2<f64>, turn: &Rotation2<f64>) -> Self {
        Self { from: turn * (self.from + by), to: turn * (self.to + by), ..self.clone() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bar(part: PartName) -> ScrewedOn {
        let bores = vec![(30.0, 11.3), (101.9, 11.3)];
        ScrewedOn { part, least: Point::new(-60.0, 0.0), most: Point::new(0.0, 131.9), z: 9.5, bores }
    }

    fn fixings(diameter: f64) -> Fixings {
        Fixings { count: Some(3), diameter: Some(diameter), edge: Some(9.3), ..Fixings::default() }
    }

    #[test]
    fn number_ten_screws() {
        let holes = bar(PartName::PanelBar).holes(&fixings(4.83));
        let heights: Vec<f64> = holes.iter().map(|hole| hole.from.y).collect();
        for (found, by_hand) in heights.iter().zip([122.6, 65.95, 9.3]) {
            assert!((found - by_hand).abs() < 1e-9, "{heights:?}");
        }
        // Drill 7 for a free No. 10 (ASME B18.2.8); its head is 0.363 in (NDS table L3).
        assert!((holes[0].diameter - 0.201 * 25.4).abs() < 1e-9);
        assert!((holes[0].head_below_face() - SUNK_MM).abs() < 1e-9);
        assert!((holes[0].countersink.head - 0.363 * 25.4).abs() < 1e-9);
        // Heads towards the wall; on a wall bar towards the room.
        assert!((holes[0].from.x + 60.0).abs() < 1e-12 && holes[0].to.x.abs() < 1e-12);
        let on_wall = bar(PartName::WallBar).holes(&fixings(4.83));
        assert!(on_wall[0].from.x.abs() < 1e-12);
        // A cone of 90° as deep as it is wider on one side.
        let metric = bar(PartName::PanelBar).holes(&fixings(5.0));
        assert!((metric[0].diameter - 5.5).abs() < 1e-9);
        let deep = 0.5 * (metric[0].countersink.diameter - 5.5);
        assert!((metric[0].countersink_depth() - deep).abs() < 1e-9);
        let whole = std::f64::consts::PI * 2.75 * 2.75 * 60.0;
        let ring = std::f64::consts::PI * deep * deep * (2.75 + deep / 3.0);
        assert!((metric[0].volume() - whole - ring).abs() < 1e-6, "{} {whole} {ring}", metric[0].volume());
    }

    #[test]
    fn screws_of_a_panel_bar_keep_clear_of_its_hinges() {
        let bar = bar(PartName::PanelBar);
        for count in 1..8 {
            let wanted = Fixings { count: Some(count), ..fixings(4.83) };
            for hole in bar.holes(&wanted) {
                for (y, bore) in &bar.bores {
                    assert!(
                        (hole.from.y - y).abs() > bore + 0.5 * hole.countersink.diameter + 2.99,
                        "{count} {hole:?}"
                    );
                }
            }
        }
        assert!(bar.holes(&Fixings { count: None, ..fixings(4.83) }).is_empty());
        assert!(bar.holes(&Fixings { diameter: None, ..fixings(4.83) }).is_empty());
    }
}
