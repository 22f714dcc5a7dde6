//! Net sections of a bar's solid along its length: what seats, laps, reliefs and a land leave.
//!
//! A bar is cut square to its length at its pivots, just before and after every corner of its
//! outlines, and evenly between; of each stretch the weakest sections are kept. Coordinates of a
//! section: `along` the bar (arms: from the wall pivot; wall and panel bar: their frame's y),
//! `across` it in the side view, `deep` along z from the plane where the halves of a lapped set
//! meet (sandwich: from the bars' middle), positive outwards.

use crate::along_wall::layer_range;
use crate::bearings::Bearing;
use crate::outline::Vertex;
use crate::project::{Build, PartName, Point, Project, SeatIn};
use crate::section::{Block, Section};
use crate::solids::{BarSolid, Layer};

/// Stretches of a bar of each of which the weakest sections are kept.
const STRETCHES: usize = 10;
/// Cuts looked at between two corners do not lie farther apart than the bar's length by this.
const EVENLY: u32 = 24;
/// A cut is made this far before and after a corner, mm: at the corner itself it is both.
const BESIDE_MM: f64 = 0.01;
/// What a lapped bar's half is narrower than this, mm, is a fin where a relief begins: it carries
/// nothing yet, and no stress is told of it.
const FIN_MM: f64 = 3.0;
/// Arcs are walked in steps of this, radians: a hundredth of a millimetre off at a 12 mm radius.
const ARC_STEP: f64 = 0.13;
/// A section's own corners that are kept; one with more is taken by the block around it.
const CORNERS: usize = 12;

/// A section with what loads do at its corners.
#[derive(Clone, Debug, PartialEq)]
pub struct NetSection {
    /// Where along the bar, mm.
    pub along: f64,
    /// What is left there.
    pub section: Section,
    /// For each corner: stress of a newton along the bar, of a newton millimetre in the side view,
    /// of one out of it; MPa.
    corners: [[f64; 3]; CORNERS],
    count: usize,
}

impl NetSection {
    fn new(along: f64, blocks: &[Block]) -> Option<Self> {
        let section = Section::of_blocks(blocks)?;
        let mut corners = [[0.0; 3]; CORNERS];
        let around = [section.around()];
        let blocks = if 4 * blocks.len() <= CORNERS { blocks } else { &around };
        let mut count = 0;
        for block in blocks {
            for across in block.across {
                for deep in block.deep {
                    corners[count] = section.influence(across, deep);
                    count += 1;
                }
            }
        }
        Some(Self { along, section, corners, count })
    }

    /// The largest stress, MPa, of a pull with bending in the side view and out of it, and with more
    /// bending out of it of either sense.
    #[must_use]
    pub fn largest_stress(&self, axial: f64, in_view: f64, out_of_view: f64, either_sense: f64) -> f64 {
        let at = |corner: &[f64; 3]| {
            (axial * corner[0] + in_view * corner[1] + out_of_view * corner[2]).abs() + (either_sense * corner[2]).abs()
        };
        self.corners[..self.count].iter().map(at).fold(0.0, f64::max)
    }
}

/// The sections of one bar.
#[derive(Clone, Debug, PartialEq)]
pub struct NetSections {
    /// In order along the bar.
    pub sections: Vec<NetSection>,
    /// Where nothing is left to carry anything, mm along the bar.
    pub severed: Option<f64>,
    /// The weakest section without its bores: area, mm², and least second moment, mm⁴.
    pub as_strut: Option<[f64; 2]>,
}

/// One layer of a bar, arcs walked as chords.
struct Flat {
    deep: [f64; 2],
    outlines: Vec<Vec<[f64; 2]>>,
    /// Place along, place across, diameter.
    bores: Vec<[f64; 3]>,
}

impl NetSections {
    /// The sections of a bar from one place along it to another. Those just beside the places where
    /// loads act, `loaded`, are kept whatever is weaker near them.
    #[must_use]
    pub fn new(project: &Project, solid: &BarSolid, [from, to]: [f64; 2], loaded: &[f64]) -> Self {
        let layers = flat_layers(project, solid);
        let mut places = places(solid, &layers, [from, to], loaded);
        places.sort_by(f64::total_cmp);
        places.dedup_by(|one, other| (*one - *other).abs() < 0.5 * BESIDE_MM);
        let mut found = Self { sections: Vec::new(), severed: None, as_strut: None };
        let mut all = Vec::with_capacity(places.len());
        for along in places {
            match NetSection::new(along, &blocks(&layers, along, true)) {
                Some(section) => all.push(section),
                None => {
                    found.severed.get_or_insert(along);
                }
            }
            if let Some(gross) = Section::of_blocks(&blocks(&layers, along, false)) {
                let least = found.as_strut.get_or_insert([f64::INFINITY; 2]);
                *least = [least[0].min(gross.area), least[1].min(gross.least_second_moment())];
            }
        }
        found.sections = weakest(all, [from, to], loaded);
        found
    }
}

/// Of every stretch the sections that are weakest against a pull and against bending either way.
fn weakest(all: Vec<NetSection>, [from, to]: [f64; 2], loaded: &[f64]) -> Vec<NetSection> {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)] // 0…STRETCHES
    let stretch = |along: f64| ((along - from) / (to - from).max(f64::MIN_POSITIVE) * STRETCHES as f64) as usize;
    let worst_by = |of: &[NetSection], loads: [f64; 3]| {
        let stress = |index: usize| of[index].largest_stress(loads[0], loads[1], loads[2], 0.0);
        (0..of.len()).max_by(|one, other| stress(*one).total_cmp(&stress(*other)))
    };
    let mut keep: Vec<bool> =
        all.iter().map(|section| loaded.iter().any(|along| (section.along - along).abs() < 1.5 * BESIDE_MM)).collect();
    let mut first = 0;
    for group in all.chunk_by(|one, other| stretch(one.along) == stretch(other.along)) {
        for loads in [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]] {
            if let Some(index) = worst_by(group, loads) {
                keep[first + index] = true;
            }
        }
        first += group.len();
    }
    all.into_iter().zip(keep).filter(|(_, keep)| *keep).map(|(section, _)| section).collect()
}

/// The plane in which a hinge's load lies, along z: the middle of the layer that holds its bearings.
#[must_use]
pub fn load_plane(project: &Project, bar: PartName, arm: PartName) -> f64 {
    let seat_in = project.joints.as_ref().map_or(SeatIn::Bars, crate::project::Joints::seat_in);
    let (part, layer) = match (seat_in, project.bars.build) {
        (SeatIn::Bars, Build::Lapped) => (bar, Layer::Inner),
        (SeatIn::Bars, Build::Sandwich) => (bar, Layer::Middle),
        (SeatIn::Arms, Build::Sandwich) if arm == PartName::UpperArm => (arm, Layer::Inner),
        (SeatIn::Arms, _) => (arm, Layer::Outer),
    };
    let [from, to] = layer_range(project, part, layer);
    0.5 * (from + to)
}

/// Diameter that is bored for a hinge in a bar, mm: the bearing's outside where the bar holds the
/// seats, else what the solid has.
fn bored(project: &Project, bar: PartName, in_solid: f64) -> f64 {
    let seat_in = project.joints.as_ref().map_or(SeatIn::Bars, crate::project::Joints::seat_in);
    if is_arm(bar) != (seat_in == SeatIn::Arms) {
        return in_solid;
    }
    Bearing::of_project(project).map_or(in_solid, |bearing| bearing.outside.max(in_solid))
}

fn is_arm(bar: PartName) -> bool {
    matches!(bar, PartName::LowerArm | PartName::UpperArm)
}

/// Along and across of a place in the bar's frame.
pub(crate) fn along_and_across(bar: PartName, at: Point) -> [f64; 2] {
    if is_arm(bar) { [at.x, at.y] } else { [at.y, at.x] }
}

fn flat_layers(project: &Project, solid: &BarSolid) -> Vec<Flat> {
    let of = |shape: &crate::solids::LayerShape| Flat {
        deep: layer_range(project, solid.name, shape.layer),
        outlines: shape.pieces.iter().map(|piece| chords(solid.name, piece)).collect(),
        bores: shape
            .bores
            .iter()
            .map(|bore| {
                let [along, across] = along_and_across(solid.name, bore.centre);
                [along, across, bored(project, solid.name, bore.diameter)]
            })
            .collect(),
    };
    solid.layers.iter().map(of).collect()
}

/// An outline's corners along and across, its arcs as chords.
fn chords(bar: PartName, outline: &[Vertex]) -> Vec<[f64; 2]> {
    let mut points = Vec::with_capacity(2 * outline.len());
    for (index, vertex) in outline.iter().enumerate() {
        points.push(along_and_across(bar, vertex.at));
        if vertex.bulge == 0.0 {
            continue;
        }
        let next = outline[(index + 1) % outline.len()].at;
        let chord = next - vertex.at;
        let turn = 4.0 * vertex.bulge.atan();
        // The arc's middle point lies this far to the left of the chord's.
        let to_middle = 0.25 * (1.0 / vertex.bulge - vertex.bulge);
        let left = nalgebra::Vector2::new(-chord.y, chord.x);
        let middle = nalgebra::center(&vertex.at, &next) + to_middle * left;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // an arc is less than a full turn
        let steps = (turn.abs() / ARC_STEP).ceil() as u32;
        for step in 1..steps {
            let by = nalgebra::Rotation2::new(turn * f64::from(step) / f64::from(steps));
            points.push(along_and_across(bar, middle + by * (vertex.at - middle)));
        }
    }
    points
}

/// Where a bar is cut.
fn places(solid: &BarSolid, layers: &[Flat], [from, to]: [f64; 2], loaded: &[f64]) -> Vec<f64> {
    let even = (0..=EVENLY).map(|step| from + (to - from) * f64::from(step) / f64::from(EVENLY));
    let corners = solid.layers.iter().flat_map(|shape| &shape.pieces).flatten();
    let corners = corners.map(|vertex| along_and_across(solid.name, vertex.at)[0]);
    let bores = layers.iter().flat_map(|layer| &layer.bores).map(|bore| bore[0]);
    let beside = corners.chain(bores).chain(loaded.iter().copied());
    let beside = beside.flat_map(|along| [along - BESIDE_MM, along + BESIDE_MM]);
    beside.chain(even).filter(|along| (from..=to).contains(along)).collect()
}

/// What a cut shows, layer by layer.
fn blocks(layers: &[Flat], along: f64, with_bores: bool) -> Vec<Block> {
    let mut found = Vec::new();
    for layer in layers {
        let mut edges: Vec<f64> = layer.outlines.iter().flat_map(|outline| crossed(outline, along)).collect();
        edges.sort_by(f64::total_cmp);
        let mut spans: Vec<[f64; 2]> = edges.chunks_exact(2).map(|pair| [pair[0], pair[1]]).collect();
        if layers.len() > 1 {
            spans.retain(|[low, high]| high - low > FIN_MM);
        }
        for [at, middle, diameter] in layer.bores.iter().filter(|_| with_bores) {
            let half = (0.25 * diameter * diameter - (along - at).powi(2)).max(0.0).sqrt();
            if half > 0.0 {
                spans = spans.into_iter().flat_map(|span| without(span, [middle - half, middle + half])).collect();
            }
        }
        found.extend(
            spans.into_iter().filter(|[low, high]| high > low).map(|across| Block { across, deep: layer.deep }),
        );
    }
    found
}

fn without([low, high]: [f64; 2], [from, to]: [f64; 2]) -> impl Iterator<Item = [f64; 2]> {
    [[low, high.min(from)], [low.max(to), high]].into_iter().filter(|[low, high]| high > low)
}

/// Where a closed outline crosses a place along; always an even number.
fn crossed(outline: &[[f64; 2]], along: f64) -> Vec<f64> {
    let edges = (0..outline.len()).map(|index| [outline[index], outline[(index + 1) % outline.len()]]);
    edges
        .filter(|[a, b]| (a[0] <= along) != (b[0] <= along))
        .map(|[a, b]| a[1] + (b[1] - a[1]) * (along - a[0]) / (b[0] - a[0]))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Options, analyse};

    fn analysis(change: impl Fn(&mut Project)) -> (Project, crate::Analysis) {
        let mut project = crate::samples::complete_board();
        change(&mut project);
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        (project, analysis)
    }

    fn at(found: &NetSections, along: f64) -> &NetSection {
        let near = |section: &&NetSection| (section.along - along).abs() < 0.02;
        found.sections.iter().find(near).expect("a section beside that place")
    }

    #[test]
    fn seats_and_laps_are_taken_out() {
        let (project, analysis) = analysis(|_| ());
        let lift = &analysis.lift;
        let [wall, panel] = [lift.wall_lower.y, lift.wall_upper.y];
        let solid = &analysis.solids.bars[0];
        let found = NetSections::new(&project, solid, [wall - 20.0, panel + 20.0], &[wall, panel]);
        // By hand: at the lower pivot the outer half is all cut away by the arm, and the seat of a 608,
        // 22 mm, goes through the inner half of 60 × 19.05 mm, its middle 15.62 mm off the wall.
        let section = &at(&found, wall).section;
        assert!((section.area - 38.0 * 19.05).abs() < 0.05, "{section:?}");
        let first_moment = 60.0 * 30.0 - 22.0 * 15.62;
        assert!((section.centre[0] - first_moment / 38.0).abs() < 0.01, "{section:?}");
        assert!((section.centre[1] + 0.5 * 19.05).abs() < 1e-9, "the middle of the inner half");
        // The arm holds the pin: half of it, 25.4 × 19.05 mm, with a bore of 8.
        let length = lift.lengths.lower_arm;
        let found = NetSections::new(&project, &analysis.solids.bars[2], [0.0, length], &[0.0, length]);
        for along in [0.0, length] {
            let section = &at(&found, along).section;
            assert!((section.area - (25.4 - 8.0) * 19.05).abs() < 0.02, "{section:?}");
            assert!((section.centre[1] - 0.5 * 19.05).abs() < 1e-9);
        }
        assert_eq!(found.severed, None);
        let [area, _] = found.as_strut.expect("a strut");
        assert!((area - 25.4 * 19.05).abs() < 1e-6, "the lap's half all along: {area}");
        // Between the laps it has its whole depth somewhere.
        assert!(found.sections.iter().any(|section| section.section.area > 0.9 * 25.4 * 38.1));
    }

    #[test]
    fn seats_in_the_arms_are_taken_out_of_them_instead() {
        let (project, analysis) = analysis(|project| {
            project.bars.build = Build::Sandwich;
            project.bars.lower_arm.width = 40.0;
            project.joints.as_mut().expect("joints").seat_in = Some(SeatIn::Arms);
        });
        let length = analysis.lift.lengths.lower_arm;
        let found = NetSections::new(&project, &analysis.solids.bars[2], [0.0, length], &[0.0]);
        assert!((at(&found, 0.0).section.area - 18.0 * 38.1).abs() < 0.02);
        let wall = analysis.lift.wall_lower.y;
        let found = NetSections::new(&project, &analysis.solids.bars[0], [wall - 9.0, wall + 9.0], &[wall]);
        assert!((at(&found, wall).section.area - 52.0 * 38.1).abs() < 0.02, "only the pin's bore");
        // Layers: arms beside the bars, and loads in the arms' middle.
        let [near, far] = layer_range(&project, PartName::LowerArm, Layer::Outer);
        assert!((near - 19.05).abs() < 1e-9 && (far - 57.15).abs() < 1e-9);
        assert!((load_plane(&project, PartName::WallBar, PartName::LowerArm) - 38.1).abs() < 1e-9);
        assert!((load_plane(&project, PartName::WallBar, PartName::UpperArm) + 38.1).abs() < 1e-9);
    }

    #[test]
    fn a_seat_wider_than_its_bar_leaves_nothing() {
        let (project, analysis) = analysis(|project| {
            project.joints.as_mut().expect("joints").seat_in = Some(SeatIn::Arms);
            project.bars.lower_arm.width = 20.0;
        });
        let length = analysis.lift.lengths.lower_arm;
        let found = NetSections::new(&project, &analysis.solids.bars[2], [0.0, length], &[]);
        assert!(found.severed.is_some_and(|along| along < 12.0), "{:?}", found.severed);
    }

    #[test]
    fn chords_keep_the_area_of_arcs() {
        let disc = [(-10.0, 1.0), (10.0, 1.0)].map(|(x, bulge)| Vertex { at: Point::new(x, 3.0), bulge });
        let points = chords(PartName::LowerArm, &disc);
        assert!(points.iter().all(|p| ((p[0].powi(2) + (p[1] - 3.0).powi(2)).sqrt() - 10.0).abs() < 1e-9));
        let mut edges = crossed(&points, 6.0);
        edges.sort_by(f64::total_cmp);
        assert!((edges[0] + 5.0).abs() < 0.03 && (edges[1] - 11.0).abs() < 0.03, "{edges:?}");
    }
}
