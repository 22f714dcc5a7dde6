//! Screw heads and the arms that pass them: how far apart they are at every turn of each arm about its
//! hinge, with the heads' real size and the height at which they and the arms' layers lie. Where a head lies
//! within its bar, the half of an arm that is cut to stay off the bar stays off the head; all else is measured.

use nalgebra::Rotation2;

use crate::analysis::Analysis;
use crate::certify::Stretch;
use crate::distance::segment_to_segment;
use crate::lift::ArmName;
use crate::outline::{Vertex, contains};
use crate::parts::{Edge, HingeBore, Part, ScrewHole};
use crate::project::{Build, PartName, Point, Project};
use crate::solids::Layer;

/// A head and the arm that comes nearest to it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct HeadGap {
    /// "screw 2".
    pub screw: String,
    /// Across, mm.
    pub head: f64,
    /// The arm.
    pub arm: ArmName,
    /// From head to arm, mm: in the plane or along z, whichever is more; negative where the head stands in
    /// a layer that the arm passes through there, by how much. Distances above [`FAR_MM`] are told as that.
    pub gap: f64,
}

/// Farther apart than this, mm, nobody asks how far.
pub(super) const FAR_MM: f64 = 4.0;
/// A least distance is found to this, mm.
const FOUND_TO_MM: f64 = 0.05;
/// Chords of an arc of an arm's outline.
const CHORDS: u32 = 24;

/// The nearest arm of every screw head of a wall bar or a panel bar.
pub(super) fn head_gaps(project: &Project, analysis: &Analysis, part: &Part) -> Vec<HeadGap> {
    if part.screw_holes.is_empty() {
        return Vec::new();
    }
    let stretch = analysis.travel.stretch(&analysis.lift);
    let arms: Vec<Arm> =
        ArmName::BOTH.into_iter().filter_map(|arm| Arm::new(project, analysis, &stretch, part, arm)).collect();
    let nearest = |hole: &ScrewHole| {
        let head = Head::new(project, part, hole);
        let gaps = arms.iter().map(|arm| (arm.name, arm.gap(&head)));
        let (arm, gap) = gaps.min_by(|a, b| a.1.total_cmp(&b.1))?;
        Some(HeadGap { screw: hole.name.clone(), head: hole.countersink.head, arm, gap })
    };
    part.screw_holes.iter().filter_map(nearest).collect()
}

/// A head as a block: what it covers in the part frame, and its height in the set.
struct Head {
    corners: [Point; 4],
    z: [f64; 2],
    /// Whether it lies within the bar: what is cut to stay off the bar then stays off it.
    is_in_bar: bool,
}

impl Head {
    fn new(project: &Project, part: &Part, hole: &ScrewHole) -> Self {
        let radius = 0.5 * hole.countersink.head;
        let (inwards, along) = (hole.direction(), part.along);
        // From its flat top below the face (above it where it is negative) down to where the cone ends.
        let flank = (0.5 * hole.countersink.angle_deg).to_radians().tan();
        let top = hole.head_below_face();
        let foot = top + 0.5 * (hole.countersink.head - hole.diameter) / flank;
        let at = |deep: f64, side: f64| hole.from + deep * inwards + side * along;
        let corners = [at(top, -radius), at(foot, -radius), at(foot, radius), at(top, radius)];
        let z = hole.z - zero(project, part);
        let lies_in = |piece: &Vec<Vertex>| corners.iter().all(|corner| contains(piece, *corner));
        let is_in_bar = top >= 0.0 && part.kept().is_some_and(|kept| kept.pieces.iter().any(lies_in));
        Self { corners, z: [z - radius, z + radius], is_in_bar }
    }
}

/// Height of the set's zero in a bar: where the halves of lapped bars meet; the inner face of a bar between
/// two arms.
fn zero(project: &Project, part: &Part) -> f64 {
    if project.bars.build == Build::Lapped { 0.5 * part.depth } else { 0.0 }
}

/// An arm about its hinge in a bar: it turns between two directions there.
struct Arm {
    name: ArmName,
    pivot: Point,
    /// Of the arm's axis from its hinge in the bar, in the part frame, radians: least and most.
    turns: [f64; 2],
    pieces: Vec<Piece>,
}

/// A piece of an arm.
struct Piece {
    /// Height in the set.
    z: [f64; 2],
    /// Whether it is cut so that it stays off the bars over the whole travel.
    gives_way: bool,
    /// Its hinge in the bar at the origin, x along the arm.
    outline: Vec<Point>,
}

impl Arm {
    fn new(project: &Project, analysis: &Analysis, stretch: &Stretch, part: &Part, name: ArmName) -> Option<Self> {
        let lift = &analysis.lift;
        let on_wall = part.name == PartName::WallBar;
        let hinge: &HingeBore = part.hinges.get(usize::from(name == ArmName::Upper))?;
        let (lower, upper) =
            if on_wall { (lift.wall_lower, lift.wall_upper) } else { (lift.panel_lower, lift.panel_upper) };
        // The part frame's x runs from the lower pivot to the upper one.
        let along = upper - lower;
        let turned = along.y.atan2(along.x);
        let (from, to) = stretch.range(lift, |pose| if on_wall { pose.arm(name) } else { pose.arm_in_panel(name) });
        // An arm's own frame starts at its wall pivot.
        let length = lift.arm_length(name);
        let own = |at: Point| if on_wall { at } else { Point::new(length - at.x, -at.y) };
        let solid = analysis.solids.bar(name.part())?;
        let mut pieces = Vec::new();
        for shape in &solid.layers {
            let z = match (project.bars.build, shape.layer) {
                (_, Layer::Inner) => [-shape.depth, 0.0],
                (Build::Lapped, _) => [0.0, shape.depth],
                (Build::Sandwich, _) => [part.depth, part.depth + shape.depth],
            };
            let gives_way = project.bars.build == Build::Lapped && shape.layer == Layer::Inner;
            pieces.extend(shape.pieces.iter().map(|piece| Piece {
                z,
                gives_way,
                outline: chords(piece).into_iter().map(own).collect(),
            }));
        }
        Some(Self { name, pivot: hinge.centre, turns: [from - turned, to - turned], pieces })
    }

    /// To a head, mm, over all its turns.
    fn gap(&self, head: &Head) -> f64 {
        let of_piece = |Piece { z, gives_way, outline }: &Piece| {
            let above = (z[0] - head.z[1]).max(head.z[0] - z[1]);
            if above >= FAR_MM {
                return FAR_MM;
            }
            if *gives_way && head.is_in_bar {
                return FAR_MM;
            }
            // In the plane nothing below `above` counts: it stays so far off along z anyway.
            let in_plane = self.least_in_plane(outline, &head.corners, above);
            // Over each other in both, what has to be cleared is the height.
            if in_plane <= 0.0 { above.min(FAR_MM) } else { above.max(in_plane).min(FAR_MM) }
        };
        self.pieces.iter().map(of_piece).fold(FAR_MM, f64::min)
    }

    /// Least distance in the plane, to [`FOUND_TO_MM`]: [`FAR_MM`] where it is surely above that, 0 where
    /// they lie over each other, anything below `above` where it is that.
    fn least_in_plane(&self, outline: &[Point], corners: &[Point; 4], above: f64) -> f64 {
        let farthest = corners.iter().map(|at| (at - self.pivot).norm()).fold(0.0, f64::max);
        let at_turn = |turn: f64| {
            let back = Rotation2::new(-turn);
            gap(outline, &corners.map(|corner| Point::from(back * (corner - self.pivot))))
        };
        let mut least = FAR_MM;
        let mut open = vec![self.turns];
        while let Some([from, to]) = open.pop() {
            let found = at_turn(0.5 * (from + to));
            least = least.min(found);
            // No corner moves farther about the hinge than this.
            let sure = found - 0.5 * farthest * (to - from);
            if least <= above.max(0.0) {
                return least;
            }
            if sure < least - FOUND_TO_MM && sure < FAR_MM {
                let middle = 0.5 * (from + to);
                open.extend([[from, middle], [middle, to]]);
            }
        }
        least
    }
}

/// An outline as a polygon.
fn chords(outline: &[Vertex]) -> Vec<Point> {
    Edge::of(outline)
        .flat_map(|edge| {
            let count = if edge.is_line() { 1 } else { CHORDS };
            (0..count).map(move |step| edge.at(f64::from(step) / f64::from(count)))
        })
        .collect()
}

/// Distance of two polygons, the second one convex; 0 where they lie over each other.
fn gap(outline: &[Point], corners: &[Point; 4]) -> f64 {
    let closed: Vec<Vertex> = outline.iter().map(|at| Vertex::line(*at)).collect();
    let around = corners.map(Vertex::line);
    if corners.iter().any(|corner| contains(&closed, *corner))
        || outline.first().is_some_and(|at| contains(&around, *at))
    {
        return 0.0;
    }
    let edges = outline.iter().zip(outline.iter().cycle().skip(1));
    let to_head = edges.flat_map(|(from, to)| {
        (0..4).map(move |side| segment_to_segment([*from, *to], [corners[side], corners[(side + 1) % 4]]).mm)
    });
    to_head.fold(f64::INFINITY, f64::min).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::left_parts;
    use crate::{Options, analyse};

    fn gaps(change: impl FnOnce(&mut Project), alter: impl Fn(&mut Part)) -> Vec<HeadGap> {
        let mut project = crate::samples::demo_board();
        change(&mut project);
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let mut parts = left_parts(&project, &analysis.solids);
        parts[..2].iter_mut().for_each(alter);
        parts[..2].iter().flat_map(|part| head_gaps(&project, &analysis, part)).collect()
    }

    #[test]
    fn heads_in_the_inner_half_lie_below_what_the_arms_keep() {
        let found = gaps(|_| {}, |_| {});
        assert_eq!(found.len(), 6);
        // A No. 10 head of 0.363 in (NDS table L3) about the middle of half of 38.1: by hand
        // 9.525 − 4.6101 to where the arms are whole, more than is told.
        for gap in &found {
            assert!((gap.head - 0.363 * 25.4).abs() < 1e-9);
            assert!((gap.gap - FAR_MM).abs() < 1e-9, "{gap:?}");
        }
        // Let in 0.2 below the face and drawn out by 0.21, they stand out by 0.01 and are measured: the arms' inner
        // halves stay the running clearance of 0.4 off the bars.
        let measured = gaps(
            |_| {},
            |part| {
                for hole in &mut part.screw_holes {
                    let out = 0.21 * hole.direction();
                    (hole.from, hole.to) = (hole.from - out, hole.to - out);
                }
            },
        );
        for gap in &measured {
            assert!(gap.gap > 0.4 - 0.01 - FOUND_TO_MM && gap.gap <= FAR_MM, "{gap:?}");
        }
    }

    #[test]
    fn a_head_that_stands_in_the_arms_half_is_found_by_how_much() {
        // Holes 4 mm further out: 13.525 + 4.6101 is still below 19.05; 6 mm more are not.
        let lower = gaps(|_| {}, |part| part.screw_holes.iter_mut().for_each(|hole| hole.z += 4.0));
        assert!(lower.iter().all(|gap| gap.gap > 0.0), "{lower:?}");
        let higher = gaps(|_| {}, |part| part.screw_holes.iter_mut().for_each(|hole| hole.z += 10.0));
        let worst = higher.iter().map(|gap| gap.gap).fold(f64::INFINITY, f64::min);
        assert!((worst - (19.05 - 19.525 - 4.6101)).abs() < 1e-9, "{higher:?}");
    }

    #[test]
    fn a_head_that_stands_out_of_its_face_is_met_by_an_arm_beside_it() {
        // Not let in at all, and 8 mm high: over the face towards the room, where the arms' inner halves pass.
        let flush = gaps(|_| {}, |_| {});
        let proud = gaps(
            |_| {},
            |part| {
                for hole in &mut part.screw_holes {
                    let out = 8.0 * hole.direction();
                    (hole.from, hole.to) = (hole.from - out, hole.to - out);
                }
            },
        );
        let least = |gaps: &[HeadGap]| gaps.iter().map(|gap| gap.gap).fold(f64::INFINITY, f64::min);
        assert!(least(&proud) < 0.0 && least(&proud) < least(&flush), "{proud:?}");
    }

    #[test]
    fn between_two_arms_heads_stay_within_their_bars_depth() {
        let layered = |depth: f64| {
            gaps(
                |project| {
                    project.bars.build = Build::Sandwich;
                    (project.bars.wall_bar.depth, project.bars.panel_bar.depth) = (depth, depth);
                },
                |_| {},
            )
        };
        // Half the depth less half a head on either side.
        for gap in layered(20.0) {
            assert!(gap.gap >= FAR_MM.min(10.0 - 4.6101) - 1e-9, "{gap:?}");
        }
        // Wider than the bar is deep: 4 − 4.6101.
        let worst = layered(8.0).iter().map(|gap| gap.gap).fold(f64::INFINITY, f64::min);
        assert!((worst - (4.0 - 4.6101)).abs() < 1e-9, "{worst}");
    }
}
