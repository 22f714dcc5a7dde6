//! Bars as layered solids: an outline with true arcs and bores for every layer.
//!
//! *Lapped*: all four bars lie in one depth. Towards the panel's middle lies the inner half, which
//! wall bar and panel bar keep whole; away from it the outer half, which the arms keep whole. Each
//! gives way in the other's half: the half lap at a hinge and the relief beyond it are one cut.
//! *Sandwich*: wall and panel bar in the middle layer, the lower arm outside, the upper arm inside.

use crate::certify::Stretch;
use crate::lift::{ArmName, Lengths, Lift};
use crate::outline::{
    Vertex, area, contains, distance_to, polygon, reached_by, without, without_short_edges, without_slivers,
};
use crate::parts::{Bore, pivot_bore, seat_mouth};
use crate::project::{Build, PartName, Point, Project, SeatIn};
use crate::relief::{HingeSweep, reach_along_arm, turning_bar};
use crate::stop::Stop;
use crate::stop_land::Land;
use crate::stop_shoulder::Shoulder;
use crate::travel::Travel;

/// A layer of a set, from the panel's middle outwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Layer {
    /// Towards the panel's middle.
    Inner,
    /// Between the two, in a sandwich.
    Middle,
    /// Away from it.
    Outer,
}

impl Layer {
    /// In a sentence: "inner half".
    #[must_use]
    pub fn words(self, build: Build) -> &'static str {
        match (self, build) {
            (Self::Inner, Build::Lapped) => "inner half",
            (Self::Outer, Build::Lapped) => "outer half",
            (Self::Inner, Build::Sandwich) => "inner layer",
            (Self::Outer, Build::Sandwich) => "outer layer",
            (Self::Middle, _) => "middle layer",
        }
    }
}

/// What a bar is in one layer.
#[derive(Clone, Debug, PartialEq)]
pub struct LayerShape {
    /// Which layer.
    pub layer: Layer,
    /// Along z, mm.
    pub depth: f64,
    /// Pieces, each closed and counter-clockwise, in the bar's frame; none where all is cut.
    pub pieces: Vec<Vec<Vertex>>,
    /// Bores through this layer, in the bar's frame.
    pub bores: Vec<Bore>,
}

impl LayerShape {
    /// From the edge of each bore to the nearest edge of the layer's material, mm, in the order of
    /// the bores; negative where a bore breaks out.
    #[must_use]
    pub fn edge_distances(&self) -> Vec<f64> {
        let edge_of = |bore: &Bore| {
            let holds = |piece: &&Vec<Vertex>| contains(piece, bore.centre);
            let reach = |piece: &Vec<Vertex>| distance_to(piece, bore.centre);
            match self.pieces.iter().find(holds) {
                Some(piece) => reach(piece) - 0.5 * bore.diameter,
                None => -self.pieces.iter().map(reach).reduce(f64::min).unwrap_or(0.0) - 0.5 * bore.diameter,
            }
        };
        self.bores.iter().map(edge_of).collect()
    }
}

/// Two bars that share a layer, so that they could meet there.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedLayers {
    /// The two bars.
    pub parts: [PartName; 2],
    /// Layers in which both have material, inner first; none where they can never meet.
    pub layers: Vec<Layer>,
    /// The hinge that joins them: `"wall_lower"`, `"panel_upper"`, …
    pub hinge: Option<&'static str>,
}

/// One bar of the left set as a solid. Its frame: wall bar the side view; panel bar the panel
/// frame; an arm from its wall pivot, x towards its panel pivot.
#[derive(Clone, Debug, PartialEq)]
pub struct BarSolid {
    /// Which bar.
    pub name: PartName,
    /// Its layers, inner first; only those in which it may have material.
    pub layers: Vec<LayerShape>,
}

impl BarSolid {
    /// Whether its mirror image cannot be laid over it by turning it. Decided from the solid alone:
    /// seats and screw holes may tell left and right apart as well, see [`crate::parts::is_handed`].
    #[must_use]
    pub fn is_handed(&self) -> bool {
        crate::handedness::is_handed(self)
    }
}

/// The four bars of one set.
#[derive(Clone, Debug, PartialEq)]
pub struct Solids {
    /// Wall bar, panel bar, lower arm, upper arm.
    pub bars: [BarSolid; 4],
}

/// How far reliefs are cut beyond the stop, degrees of the lower arm.
const BEYOND_STOP_DEG: f64 = 1.0;
/// Radians of the lower arm per radian of phase: below it the pose is the lower arm's dead point, and
/// the sign of the rate is rounding.
const AT_DEAD_POINT: f64 = 1e-6;
/// What stays thinner than this, mm, or than a quarter of the lap's depth, is not worth leaving.
const THINNEST_MM: f64 = 3.0;

impl Solids {
    /// The solids of a lift, reliefs cut from hung to 1° beyond its stop (beyond parked where
    /// nothing stops it, or where that is farther).
    #[must_use]
    pub fn new(project: &Project, lift: &Lift, travel: &Travel, stop: &Stop) -> Self {
        let bars = match project.bars.build {
            Build::Sandwich => sandwich(project, lift),
            Build::Lapped => {
                let mut bars = lapped(project, lift, travel, &swept_stretch(lift, travel, stop));
                if let Some(land) = &stop.land {
                    cut_land(&mut bars, land);
                }
                bars
            }
        };
        Self { bars }
    }

    /// For every pair of bars the layers in which both have material, and the hinge that joins them.
    #[must_use]
    pub fn shared_layers(&self) -> Vec<SharedLayers> {
        let pairs = (0..4).flat_map(|one| (one + 1..4).map(move |other| [one, other]));
        let has = |bar: &BarSolid, layer: Layer| {
            bar.layers.iter().any(|shape| shape.layer == layer && !shape.pieces.is_empty())
        };
        let shared = |[one, other]: [usize; 2]| {
            let (one, other) = (&self.bars[one], &self.bars[other]);
            let layers = [Layer::Inner, Layer::Middle, Layer::Outer];
            SharedLayers {
                parts: [one.name, other.name],
                layers: layers.into_iter().filter(|layer| has(one, *layer) && has(other, *layer)).collect(),
                hinge: hinge_name(one.name, other.name),
            }
        };
        pairs.map(shared).collect()
    }

    /// One bar.
    #[must_use]
    pub fn bar(&self, name: PartName) -> Option<&BarSolid> {
        self.bars.iter().find(|bar| bar.name == name)
    }
}

fn hinge_name(bar: PartName, arm: PartName) -> Option<&'static str> {
    match (bar, arm) {
        (PartName::WallBar, PartName::LowerArm) => Some("wall_lower"),
        (PartName::WallBar, PartName::UpperArm) => Some("wall_upper"),
        (PartName::PanelBar, PartName::LowerArm) => Some("panel_lower"),
        (PartName::PanelBar, PartName::UpperArm) => Some("panel_upper"),
        _ => None,
    }
}

/// The motion that reliefs are cut for.
fn swept_stretch(lift: &Lift, travel: &Travel, stop: &Stop) -> Stretch {
    let stopped = stop.contact.as_ref().map_or(travel.length, |contact| contact.walked.max(travel.length));
    let from = travel.phase(stopped);
    let further = BEYOND_STOP_DEG.to_radians();
    // On, whichever way the lower arm turns there; no farther than its dead point.
    let rate = travel.direction * lift.rates(from).lower_arm;
    let end = if rate.abs() < AT_DEAD_POINT {
        from
    } else {
        lift.circuit.phase_after_turn(from, travel.direction, further * rate.signum())
    };
    let length = (travel.direction * (end - travel.start)).max(stopped);
    Stretch::new(lift, travel.start, travel.direction, length)
}

fn bores(project: &Project, names: [&'static str; 2], at: [Point; 2]) -> Vec<Bore> {
    let diameter = pivot_bore(project);
    names.into_iter().zip(at).map(|(name, centre)| Bore { name, centre, diameter }).collect()
}

/// The bars in the order of [`Solids::bars`], each with its whole outline, bores and depth.
fn whole(project: &Project, lift: &Lift) -> [(PartName, Vec<Vertex>, Vec<Bore>, f64); 4] {
    let bars = &project.bars;
    let pivots = ["lower pivot", "upper pivot"];
    let ends = ["wall pivot", "panel pivot"];
    let Lengths { lower_arm, upper_arm, .. } = lift.lengths;
    let along = |length: f64| [Point::origin(), Point::new(length, 0.0)];
    [
        (
            PartName::WallBar,
            polygon(&lift.wall_bar.corners()),
            bores(project, pivots, [lift.wall_lower, lift.wall_upper]),
            bars.wall_bar.depth,
        ),
        (
            PartName::PanelBar,
            polygon(&lift.panel_bar.corners()),
            bores(project, pivots, [lift.panel_lower, lift.panel_upper]),
            bars.panel_bar.depth,
        ),
        (
            PartName::LowerArm,
            stadium(lower_arm, lift.lower_arm_radius()),
            bores(project, ends, along(lower_arm)),
            bars.lower_arm.depth,
        ),
        (
            PartName::UpperArm,
            stadium(upper_arm, lift.upper_arm_radius()),
            bores(project, ends, along(upper_arm)),
            bars.upper_arm.depth,
        ),
    ]
}

fn disc(centre: Point, radius: f64) -> Vec<Vertex> {
    let side = nalgebra::Vector2::new(radius, 0.0);
    vec![Vertex { at: centre - side, bulge: 1.0 }, Vertex { at: centre + side, bulge: 1.0 }]
}

/// An arm about its axis on x.
pub(crate) fn stadium(length: f64, radius: f64) -> Vec<Vertex> {
    let at = |x: f64, y: f64, bulge: f64| Vertex { at: Point::new(x, y), bulge };
    vec![at(0.0, -radius, 0.0), at(length, -radius, 1.0), at(length, radius, 0.0), at(0.0, radius, 1.0)]
}

fn sandwich(project: &Project, lift: &Lift) -> [BarSolid; 4] {
    whole(project, lift).map(|(name, outline, bores, depth)| {
        let layer = match name {
            PartName::LowerArm => Layer::Outer,
            PartName::UpperArm => Layer::Inner,
            _ => Layer::Middle,
        };
        BarSolid { name, layers: vec![LayerShape { layer, depth, pieces: vec![outline], bores }] }
    })
}

/// Takes a land out of every layer of the arm that gives way.
fn cut_land(bars: &mut [BarSolid; 4], land: &Land) {
    for shape in bars.iter_mut().filter(|bar| bar.name == land.cut_arm.part()).flat_map(|bar| &mut bar.layers) {
        shape.pieces = shape.pieces.iter().flat_map(|piece| without(piece, &land.cut)).collect();
    }
}

fn lapped(project: &Project, lift: &Lift, travel: &Travel, motion: &Stretch) -> [BarSolid; 4] {
    let shoulder = Shoulder::wanted(project).and_then(|shoulder| {
        let clear = lift.arm_radius(shoulder.arm) + project.bars.running_clearance();
        let cutter = 0.5 * project.bars.cutter_diameter();
        Some((shoulder, shoulder.relief(lift, &travel.stretch(lift), clear, cutter)?))
    });
    whole(project, lift).map(|(name, outline, bores, depth)| {
        let half = 0.5 * depth;
        let thinnest = THINNEST_MM.max(0.25 * half);
        let (kept, cut) = match name {
            PartName::WallBar | PartName::PanelBar => {
                let mut pieces = vec![outline.clone()];
                for arm in ArmName::BOTH {
                    let sweeps = match &shoulder {
                        Some((shoulder, sweeps)) if *shoulder == (Shoulder { bar: name, arm }) => sweeps.to_vec(),
                        _ => vec![sweep_of_arm(project, lift, motion, name, arm)],
                    };
                    // A seat is bored from here, and may be wider than the arm.
                    let mouth = seat_mouth(project, SeatIn::Bars).filter(|mouth| *mouth > lift.arm_radius(arm));
                    let (pivot, ..) = hinge(lift, motion, name, arm);
                    let seat = mouth.map(|mouth| disc(pivot, mouth + project.bars.running_clearance()));
                    for swept in sweeps.iter().map(HingeSweep::outline).chain(seat) {
                        pieces = pieces.iter().flat_map(|piece| without(piece, &swept)).collect();
                    }
                }
                let thick = pieces.iter().flat_map(|piece| without_slivers(piece, thinnest)).collect();
                let reached = reached_by(thick, 0.5 * project.bars.cutter_diameter());
                let kept = reached.iter().flat_map(|piece| without_slivers(piece, thinnest));
                let pieces = kept.map(|piece| without_short_edges(&piece)).collect();
                (Layer::Inner, pieces)
            }
            _ => {
                let arm = if name == PartName::LowerArm { ArmName::Lower } else { ArmName::Upper };
                (Layer::Outer, between_bars(project, lift, motion, arm, thinnest).into_iter().collect())
            }
        };
        let whole = LayerShape { layer: kept, depth: half, pieces: vec![outline], bores };
        let other = if kept == Layer::Inner { Layer::Outer } else { Layer::Inner };
        let cut = LayerShape { layer: other, depth: half, pieces: cut, bores: Vec::new() };
        let mut layers = vec![whole, cut];
        layers.sort_by_key(|shape| shape.layer);
        BarSolid { name, layers }
    })
}

/// The hinge of an arm and a bar in the bar's frame, and the least and largest direction of the arm
/// from it over the motion.
fn hinge(lift: &Lift, motion: &Stretch, bar: PartName, arm: ArmName) -> (Point, f64, f64) {
    let on_wall = bar == PartName::WallBar;
    let pivot = if on_wall { lift.wall_pivot(arm) } else { lift.panel_pivot(arm) };
    let (from, to) = motion.range(lift, |pose| if on_wall { pose.arm(arm) } else { pose.arm_in_panel(arm) });
    (pivot, from, to)
}

fn sweep_of_arm(project: &Project, lift: &Lift, motion: &Stretch, bar: PartName, arm: ArmName) -> HingeSweep {
    let (pivot, from, to) = hinge(lift, motion, bar, arm);
    let length = lift.arm_length(arm);
    // Round inside corners take at least the cutter's radius.
    let radius = (lift.arm_radius(arm) + project.bars.running_clearance()).max(0.5 * project.bars.cutter_diameter());
    HingeSweep { pivot, length, radius, from, to }
}

/// An arm's inner half: what wall bar and panel bar leave of it. `None` where nothing worth keeping
/// is left.
fn between_bars(project: &Project, lift: &Lift, motion: &Stretch, arm: ArmName, thinnest: f64) -> Option<Vec<Vertex>> {
    let clearance = project.bars.running_clearance();
    let (radius, length) = (lift.arm_radius(arm), lift.arm_length(arm));
    let mut pieces = vec![stadium(length, radius)];
    for bar in [PartName::WallBar, PartName::PanelBar] {
        let (pivot, from, to) = hinge(lift, motion, bar, arm);
        let rectangle = if bar == PartName::WallBar { lift.wall_bar } else { lift.panel_bar };
        let cuts = turning_bar(&rectangle, pivot, radius, clearance, 0.5 * project.bars.cutter_diameter(), from, to)
            .unwrap_or_else(|| {
                let reach = reach_along_arm(&rectangle, pivot, radius + clearance, from, to) + clearance;
                if reach <= -radius {
                    return Vec::new();
                }
                let (back, side) = (-2.0 * radius, 2.0 * radius);
                vec![polygon(
                    &[(back, -side), (reach, -side), (reach, side), (back, side)].map(|(x, y)| Point::new(x, y)),
                )]
            });
        for cut in cuts {
            // From the panel end the arm's frame is turned by a half turn.
            let cut: Vec<Vertex> = match bar {
                PartName::WallBar => cut,
                _ => cut.iter().map(|v| Vertex { at: Point::new(length - v.at.x, -v.at.y), ..*v }).collect(),
            };
            pieces = pieces.iter().flat_map(|piece| without(piece, &cut)).collect();
        }
    }
    let thick = pieces.iter().flat_map(|piece| without_slivers(piece, thinnest)).collect();
    let reached = reached_by(thick, 0.5 * project.bars.cutter_diameter());
    let kept = reached.iter().flat_map(|piece| without_slivers(piece, thinnest));
    // A bit left at a nose hangs on nothing in this layer.
    kept.max_by(|a, b| area(a).total_cmp(&area(b))).map(|piece| without_short_edges(&piece))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Options, analyse};

    fn solids(build: &str) -> (Project, Solids) {
        let text = include_str!("../../../tests/golden/chapel-hatch/project.overarm.json");
        let text = text.replace("\"lapped\"", &format!("\"{build}\""));
        let project: Project = serde_json::from_str(&text).expect("a project");
        let solids = analyse(&project, &Options::default()).solids;
        (project, solids)
    }

    fn cut(solids: &Solids, name: PartName, layer: Layer) -> &[Vec<Vertex>] {
        let bar = solids.bar(name).expect("the bar");
        &bar.layers.iter().find(|shape| shape.layer == layer).expect("the layer").pieces
    }

    #[test]
    fn arms_of_the_chapel_hatch_board_start_beyond_the_wall_bar() {
        let (_, solids) = solids("lapped");
        for (name, start) in [(PartName::LowerArm, 53.0), (PartName::UpperArm, 118.0)] {
            let pieces = cut(&solids, name, Layer::Inner);
            assert_eq!(pieces.len(), 1);
            let found = pieces[0].iter().map(|v| v.at.x).fold(f64::INFINITY, f64::min);
            assert!((found - start).abs() < 1.2, "{name:?} {found}");
        }
    }

    #[test]
    fn bars_of_the_chapel_hatch_board_keep_a_column_and_a_wedge() {
        let (_, solids) = solids("lapped");
        for name in [PartName::WallBar, PartName::PanelBar] {
            let pieces = cut(&solids, name, Layer::Outer);
            let whole = area(&cut(&solids, name, Layer::Inner)[0]);
            let left: f64 = pieces.iter().map(|piece| area(piece)).sum();
            assert!(!pieces.is_empty() && left < 0.7 * whole, "{name:?} {left} of {whole}: {pieces:?}");
            assert!(pieces.iter().all(|piece| piece.len() < 20), "few lines and arcs");
        }
    }

    #[test]
    fn edges_of_bores_and_shared_layers() {
        let (_, lapped) = solids("lapped");
        for (name, edges) in [
            // By hand: 8 mm bores; arms 25.4 wide; pivots 15.62, 40.55 off the wall in a bar 60 wide,
            // and 39.69, 14.92 behind the panel in another.
            (PartName::WallBar, [15.62 - 4.0, 60.0 - 40.55 - 4.0]),
            (PartName::PanelBar, [60.0 - 39.69 - 4.0, 14.92 - 4.0]),
            (PartName::LowerArm, [8.7, 8.7]),
            (PartName::UpperArm, [8.7, 8.7]),
        ] {
            let bar = lapped.bar(name).expect("the bar");
            let found: Vec<f64> = bar.layers.iter().flat_map(LayerShape::edge_distances).collect();
            assert!(
                found.iter().zip(edges).all(|(found, by_hand)| (found - by_hand).abs() < 1e-9),
                "{name:?} {found:?}"
            );
        }
        let both = vec![Layer::Inner, Layer::Outer];
        assert!(lapped.shared_layers().iter().all(|pair| pair.layers == both));
        let (_, sandwich) = solids("sandwich");
        for pair in sandwich.shared_layers() {
            let bars = pair.parts == [PartName::WallBar, PartName::PanelBar];
            assert_eq!(pair.layers.is_empty(), !bars, "{pair:?}");
        }
        let hinges = sandwich.shared_layers().iter().filter(|pair| pair.hinge.is_some()).count();
        assert_eq!(hinges, 4);
    }

    #[test]
    fn a_sandwich_cuts_nothing() {
        let (_, solids) = solids("sandwich");
        assert!(solids.bars.iter().all(|bar| bar.layers.len() == 1 && bar.layers[0].pieces.len() == 1));
    }
}
