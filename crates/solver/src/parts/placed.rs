//! From a bar's solid to the part: holes and bores in the bar's own frame, then all of it in the part
//! frame, then the mirror image.

use nalgebra::{Point2, Rotation2, Vector2};

use crate::handedness;
use crate::materials::{DEFAULT, Material};
use crate::outline::Vertex;
use crate::parts::hinge_bores::hinge_bore;
use crate::parts::numbers::number;
use crate::parts::pockets::settled_pieces;
use crate::parts::screw_holes::{ScrewHole, ScrewedOn};
use crate::parts::stock::Stock;
use crate::parts::volume::volume;
use crate::parts::{Hand, HingeBore, LAP_THINNER_MM, Part, PartLayer, whole};
use crate::project::{MaterialWanted, PartName, Point, Project};
use crate::solids::BarSolid;

/// The part that a bar of the left set is.
pub(super) fn left_part(project: &Project, bar: &BarSolid) -> Part {
    let mut layers = Vec::new();
    let mut z = 0.0;
    for shape in &bar.layers {
        layers.push(PartLayer { layer: shape.layer, z: [z, z + shape.depth], pieces: shape.pieces.clone() });
        z += shape.depth;
    }
    // The layer with the bores is the one that nothing was cut from.
    let kept = bar.layers.iter().position(|shape| !shape.bores.is_empty()).unwrap_or(0);
    let shape = &bar.layers[kept];
    let drawn = layers[kept].z;
    cut_deeper(&mut layers, kept);
    let at = layers[kept].z;
    let outline = shape.pieces.first().cloned().unwrap_or_default();
    for (index, layer) in layers.iter_mut().enumerate() {
        if index != kept {
            layer.pieces = settled_pieces(&outline, &layer.pieces);
        }
    }
    let bore_of = |bore: &super::Bore| hinge_bore(project, bar.name, bore.name, bore.centre, at);
    let mut hinges: Vec<HingeBore> = shape.bores.iter().map(bore_of).collect();
    let is_arm = matches!(bar.name, PartName::LowerArm | PartName::UpperArm);
    let (least, most) = corners(&outline);
    let mut screw_holes = match &project.fixings {
        Some(fixings) if !is_arm => {
            let bores = hinges.iter().map(|hinge| (hinge.centre.y, 0.5 * hinge.widest())).collect();
            ScrewedOn { part: bar.name, least, most, z: 0.5 * (drawn[0] + drawn[1]), bores }.holes(fixings)
        }
        _ => Vec::new(),
    };
    let along = if is_arm { Vector2::x() } else { Vector2::y() };
    whole::mark(&layers, &mut hinges, &mut screw_holes, along);
    let is_handed = handedness::is_handed_with(bar, &hinges, &screw_holes);
    let (given, wanted) = mass_and_material(project, bar.name);
    let material = wanted.map_or(DEFAULT, MaterialWanted::name).to_owned();
    let volume = volume(&layers, &hinges, &screw_holes);
    let density = Material::wanted(wanted).map(|known| known.density);
    let (length, across) = if is_arm {
        // The half-round ends reach beyond their vertices.
        (most.x - least.x + most.y - least.y, most.y - least.y)
    } else {
        (most.y - least.y, most.x - least.x)
    };
    let datum_x = if bar.name == PartName::WallBar { least.x } else { most.x };
    let part = Part {
        name: bar.name,
        hand: Hand::Left,
        number: number(bar.name, Hand::Left),
        is_handed,
        outline,
        layers,
        hinges,
        screw_holes,
        along,
        datum: (!is_arm).then(|| [Point2::new(datum_x, least.y), Point2::new(datum_x, most.y)]),
        stock: Stock::of(project, bar.name, length, [across, z]),
        depth: z,
        material,
        volume,
        // kg/m³ times mm³.
        mass: given.or(density.map(|density| density * volume * 1e-9)),
    };
    in_part_frame(part)
}

/// What is cut from the other layers goes into the kept one by the middle of [`LAP_THINNER_MM`]: what is modelled is
/// what is aimed at, so that two of them run free of each other.
fn cut_deeper(layers: &mut [PartLayer], kept: usize) {
    let by = 0.5 * (LAP_THINNER_MM[0] + LAP_THINNER_MM[1]);
    if kept > 0 {
        layers[kept].z[0] += by;
        layers[kept - 1].z[1] += by;
    }
    if kept + 1 < layers.len() {
        layers[kept].z[1] -= by;
        layers[kept + 1].z[0] -= by;
    }
}

fn corners(outline: &[Vertex]) -> (Point, Point) {
    let points = outline.iter().map(|vertex| vertex.at);
    let start = (Point::origin(), Point::origin());
    points
        .map(|at| (at, at))
        .reduce(|(least, most), (at, _)| {
            (Point::from(least.coords.inf(&at.coords)), Point::from(most.coords.sup(&at.coords)))
        })
        .unwrap_or(start)
}

fn mass_and_material(project: &Project, part: PartName) -> (Option<f64>, Option<&MaterialWanted>) {
    let bars = &project.bars;
    let (mass, material) = match part {
        PartName::WallBar => (bars.wall_bar.mass, &bars.wall_bar.material),
        PartName::PanelBar => (bars.panel_bar.mass, &bars.panel_bar.material),
        PartName::LowerArm => (bars.lower_arm.mass, &bars.lower_arm.material),
        _ => (bars.upper_arm.mass, &bars.upper_arm.material),
    };
    (mass, material.as_ref())
}

/// From the bar's frame: the first bore to the origin, the other one onto x.
fn in_part_frame(part: Part) -> Part {
    let [first, second] = match part.hinges.as_slice() {
        [first, second] => [first.centre, second.centre],
        _ => return part,
    };
    let between = second - first;
    let (by, length) = (-first.coords, between.norm());
    let direction = between / length;
    let turn =
        Rotation2::from_matrix_unchecked(nalgebra::Matrix2::new(direction.x, direction.y, -direction.y, direction.x));
    let at = |p: Point| turn * (p + by);
    let vertices = |outline: &[Vertex]| outline.iter().map(|v| Vertex { at: at(v.at), ..*v }).collect();
    let layers = part
        .layers
        .iter()
        .map(|layer| PartLayer { pieces: layer.pieces.iter().map(|piece| vertices(piece)).collect(), ..layer.clone() });
    let places = [Point2::origin(), Point2::new(length, 0.0)];
    let hinges = part.hinges.iter().zip(places).map(|(hinge, centre)| HingeBore { centre, ..hinge.clone() });
    Part {
        outline: vertices(&part.outline),
        layers: layers.collect(),
        hinges: hinges.collect(),
        screw_holes: part.screw_holes.iter().map(|hole| hole.placed(by, &turn)).collect(),
        along: turn * part.along,
        datum: part.datum.map(|edge| edge.map(at)),
        ..part
    }
}

impl Part {
    /// The same part of the other hand: its mirror image in the x axis, outlines still
    /// counter-clockwise, z kept. Mirrored twice it is the same to the last bit, but for hand and number.
    pub(super) fn mirrored(&self) -> Self {
        let layers = self.layers.iter().map(|layer| PartLayer {
            pieces: layer.pieces.iter().map(|piece| mirrored_outline(piece)).collect(),
            ..layer.clone()
        });
        let hinges = self.hinges.iter().map(|hinge| HingeBore { centre: flip(hinge.centre), ..hinge.clone() });
        let holes =
            self.screw_holes.iter().map(|hole| ScrewHole { from: flip(hole.from), to: flip(hole.to), ..hole.clone() });
        Self {
            hand: Hand::Right,
            number: number(self.name, Hand::Right),
            outline: mirrored_outline(&self.outline),
            layers: layers.collect(),
            hinges: hinges.collect(),
            screw_holes: holes.collect(),
            along: Vector2::new(self.along.x, -self.along.y),
            datum: self.datum.map(|edge| edge.map(flip)),
            ..self.clone()
        }
    }
}

/// In the mirror image.
fn flip(p: Point) -> Point {
    Point2::new(p.x, if p.y == 0.0 { 0.0 } else { -p.y })
}

/// Mirrored in the x axis and walked backwards, so still counter-clockwise. Walked backwards, the arc of an edge
/// belongs to its other end; mirroring negates it and walking backwards negates it again.
pub(super) fn mirrored_outline(outline: &[Vertex]) -> Vec<Vertex> {
    let count = outline.len();
    let vertex =
        |index: usize| Vertex { at: flip(outline[index].at), bulge: outline[(index + count - 1) % count].bulge };
    (0..count).rev().map(vertex).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::outline::area;
    use crate::parts::{Part, StepKind, parts};
    use crate::{Options, analyse};

    fn demo(change: impl FnOnce(&mut Project)) -> (Project, Vec<Part>) {
        let mut project: Project =
            serde_json::from_str(include_str!("../../../../demo/chapel-hatch.overarm.json")).expect("a project");
        change(&mut project);
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let parts = parts(&project, &analysis.solids);
        (project, parts)
    }

    #[test]
    fn eight_parts_of_which_left_and_right_mirror_each_other() {
        let (_, parts) = demo(|_| {});
        let stems: Vec<String> = parts.iter().map(Part::file_stem).collect();
        assert_eq!(stems[..2], ["L-wall-bar", "L-panel-bar"]);
        assert_eq!(stems[7], "R-upper-arm");
        for (left, right) in parts[..4].iter().zip(&parts[4..]) {
            assert_eq!(left.name, right.name);
            assert!((left.volume - right.volume).abs() < 1e-12);
            for (mine, theirs) in left.layers.iter().zip(&right.layers) {
                assert!((mine.z[0] - theirs.z[0]).abs() < 1e-12 && (mine.z[1] - theirs.z[1]).abs() < 1e-12);
                for (one, other) in mine.pieces.iter().zip(&theirs.pieces) {
                    assert!(area(other) > 0.0 && (area(one) - area(other)).abs() < 1e-9);
                    for vertex in one {
                        let twin = Point2::new(vertex.at.x, -vertex.at.y);
                        assert!(other.iter().any(|v| (v.at - twin).norm() < 1e-12), "{twin}");
                    }
                }
            }
            assert!(left.hinges[0].centre.coords.norm() < 1e-12 && left.hinges[1].centre.y.abs() < 1e-12);
        }
    }

    #[test]
    fn every_part_has_its_own_number_also_where_left_and_right_are_alike() {
        let (_, lapped) = demo(|_| {});
        assert!(lapped.iter().all(|part| part.is_handed), "half laps and slanting reliefs");
        let differ = |parts: &[Part]| {
            let mut numbers: Vec<&str> = parts.iter().map(|part| part.number.as_str()).collect();
            numbers.sort_unstable();
            numbers.dedup();
            numbers.len()
        };
        assert_eq!(differ(&lapped), 8);
        let sandwich = |per_hinge| {
            demo(|project| {
                project.bars.build = crate::Build::Sandwich;
                if let Some(joints) = &mut project.joints {
                    joints.per_hinge = Some(per_hinge);
                }
            })
            .1
        };
        // Plates with a seat in both faces are alike from both sides.
        let plates = sandwich(2);
        assert!(plates.iter().all(|part| !part.is_handed));
        assert_eq!(differ(&plates), 8);
        // One seat in each hinge: bars have them in different faces, arms have none.
        let one = sandwich(1);
        assert!(one[0].is_handed && one[1].is_handed);
        assert!(!one[2].is_handed && !one[3].is_handed);
        assert_eq!(differ(&one), 8);
    }

    #[test]
    fn volume_and_mass_by_hand() {
        let (project, parts) = demo(|project| project.bars.build = crate::Build::Sandwich);
        let bar = &parts[0];
        let quarter = 0.25 * std::f64::consts::PI;
        // 60 by 30 + 86.58 + 30 by 38.1; two hinges of two 22 mm seats, 6.5 deep below a lead-in of
        // 0.5 at 30°, and a web bore of 19.2 between; three screw holes.
        let wide = 22.0 + 30f64.to_radians().tan();
        let cone = quarter / 3.0 * 0.5 * (wide * wide + wide * 22.0 + 22.0 * 22.0);
        let hinge = 2.0 * (cone + quarter * 22.0 * 22.0 * 6.5) + quarter * 19.2 * 19.2 * (38.1 - 14.0);
        let hole = &bar.screw_holes[0];
        let (d, c) = (0.201 * 25.4, hole.countersink.diameter);
        let deep = 0.5 * (c - d) / 41f64.to_radians().tan();
        let screw = quarter * (d * d * (60.0 - deep) + deep / 3.0 * (c * c + c * d + d * d));
        let by_hand = 60.0 * 146.58 * 38.1 - 2.0 * hinge - 3.0 * screw;
        assert!((bar.volume - by_hand).abs() < 1e-6, "{} {by_hand}", bar.volume);
        // 2.70 g/cm³.
        assert!((bar.mass.expect("a known material") - by_hand * 2.7e-6).abs() < 1e-9);
        assert!(bar.hinges.iter().all(|hinge| hinge.is_whole) && bar.screw_holes.iter().all(|hole| hole.is_whole));
        // A stadium with two pin bores.
        let arm = &parts[2];
        let length = arm.hinges[1].centre.x;
        let flat = length * 25.4 + quarter * 25.4 * 25.4;
        let wide = 8.0 + 30f64.to_radians().tan();
        let cone = quarter / 3.0 * 0.5 * (wide * wide + wide * 8.0 + 64.0);
        let by_hand = flat * 38.1 - 2.0 * (2.0 * cone + quarter * 64.0 * 37.1);
        assert!((arm.volume - by_hand).abs() < 1e-6, "{} {by_hand}", arm.volume);
        assert!((arm.stock.finished_length - length - 25.4).abs() < 1e-9);
        assert_eq!(project.bars.lower_arm.stock, None);
    }

    #[test]
    fn screws_and_datum_of_the_chapel_hatch_board() {
        let (_, parts) = demo(|_| {});
        for part in &parts[..2] {
            assert_eq!(part.screw_holes.len(), 3);
            let [from, to] = part.datum.expect("an edge that it is fixed with");
            let along = (to - from).normalize();
            assert!((along - part.along).norm() < 1e-12);
            for hole in &part.screw_holes {
                // In the middle of the inner half, square to the edge, and out through it.
                assert!((hole.z - 9.525).abs() < 1e-12 && hole.direction().dot(&along).abs() < 1e-12);
                let off = (hole.to - from).perp(&along);
                assert!(off.abs() < 1e-9 && hole.is_whole, "{hole:?}");
                assert!((hole.length() - 60.0).abs() < 1e-9);
            }
        }
        // 15.62 and 40.55 off the wall; 39.69 and 14.92 behind the panel.
        for (part, offsets) in parts.iter().zip([[15.62, 40.55], [39.69, 14.92]]) {
            let [from, _] = part.datum.expect("an edge");
            for (hinge, offset) in part.hinges.iter().zip(offsets) {
                let found = (hinge.centre - from).perp(&part.along).abs();
                assert!((found - offset).abs() < 1e-9, "{found} {offset}");
            }
        }
        let kinds = |part: &Part| part.hinges[0].fitted().map(|step| step.kind);
        assert_eq!(kinds(&parts[0]), Some(StepKind::Seat));
        assert_eq!(kinds(&parts[3]), Some(StepKind::Pin));
    }

    #[test]
    fn what_breaks_out_is_marked_and_not_taken_away() {
        let (_, parts) = demo(|project| project.linkage.wall_lower.x = 6.0);
        assert!(!parts[0].hinges[0].is_whole && parts[0].hinges[1].is_whole);
        // A screw through a seat.
        let (_, parts) = demo(|project| {
            if let Some(fixings) = &mut project.fixings {
                (fixings.edge, fixings.spacing) = (Some(30.0), None);
            }
        });
        assert!(!parts[0].screw_holes[0].is_whole, "{:?}", parts[0].screw_holes);
    }
}
