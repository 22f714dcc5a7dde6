//! A shoulder as the fold stop: the relief of one arm in one bar ends on the arm's edge at parked.
//!
//! `bars.stop_pair` names an arm and a bar of a lapped lift: then that relief is not cut beyond
//! parked, and its last 3° without the running clearance, so that the arm comes to bear on the edge
//! that is left. It is a face, but close to the hinge: the shorter the lever, the greater the force.

use nalgebra::Vector2;

use crate::certify::Stretch;
use crate::lift::{ArmName, Lift};
use crate::pose::Pose;
use crate::project::{Build, PartName, Point, Project, TravelWanted};
use crate::relief::HingeSweep;
use crate::solids::{Layer, Solids};

/// The turn before parked over which the relief has no running clearance, degrees of arm against
/// bar.
const BARE_DEG: f64 = 3.0;
/// A shorter face, mm, is no stop (common practice, no source).
const SHORTEST_MM: f64 = 1.0;
/// An edge this close to the arm's edge, mm, bears: above rounding, far below what is machined.
const BEARS_MM: f64 = 1e-6;

/// Which arm stops on which bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Shoulder {
    pub bar: PartName,
    pub arm: ArmName,
}

impl Shoulder {
    /// The one that the project asks for. It stops where its relief is cut to, so it takes a number
    /// for the travel.
    pub fn wanted(project: &Project) -> Option<Self> {
        let pair = project.bars.stop_pair?;
        if project.bars.build != Build::Lapped || matches!(project.linkage.travel_deg, TravelWanted::ToStop) {
            return None;
        }
        let is_bar = |part: &PartName| matches!(part, PartName::WallBar | PartName::PanelBar);
        let bar = pair.into_iter().find(is_bar)?;
        let arm = ArmName::BOTH.into_iter().find(|arm| pair.contains(&arm.part()))?;
        Some(Self { bar, arm })
    }

    /// Arm and bar.
    pub fn parts(self) -> [PartName; 2] {
        [self.arm.part(), self.bar]
    }

    /// Direction of the arm from the hinge in the bar's frame.
    fn direction(self, pose: &Pose) -> f64 {
        if self.bar == PartName::WallBar { pose.arm(self.arm) } else { pose.arm_in_panel(self.arm) }
    }

    /// What is cut from the bar so that the arm bears at the end of the motion to parked; `None`
    /// where the arm has been farther before, or the cutter is wider than the arm.
    pub fn relief(
        self,
        lift: &Lift,
        to_parked: &Stretch,
        with_clearance: f64,
        cutter_radius: f64,
    ) -> Option<[HingeSweep; 2]> {
        let parked = to_parked.cuts.last().map(|walked| lift.pose(to_parked.phase(*walked), 1.0))?;
        let (from, to) = to_parked.range(lift, |pose| self.direction(pose));
        let end = self.direction(&parked);
        let bare = BARE_DEG.to_radians();
        let radius = lift.arm_radius(self.arm);
        let pivot = if self.bar == PartName::WallBar { lift.wall_pivot(self.arm) } else { lift.panel_pivot(self.arm) };
        let rest = if (end - to).abs() < 1e-9 {
            (from, to - bare)
        } else if (end - from).abs() < 1e-9 {
            (from + bare, to)
        } else {
            return None;
        };
        if rest.0 > rest.1 || cutter_radius > radius {
            return None;
        }
        let sweep = |radius, (from, to)| HingeSweep { pivot, length: lift.arm_length(self.arm), radius, from, to };
        Some([sweep(with_clearance, rest), sweep(radius, (from, to))])
    }

    /// Both ends of the face on which the arm bears at parked, side view, the one nearer the hinge
    /// first.
    pub fn face(self, lift: &Lift, parked: &Pose, solids: &Solids) -> Option<[Point; 2]> {
        let bar = solids.bar(self.bar)?;
        let room_from_bar = lift.room_from_bar(parked, self.bar);
        let [wall, panel] = lift.arm_axis(self.arm, parked);
        let (hinge, far) = if self.bar == PartName::WallBar { (wall, panel) } else { (panel, wall) };
        let along = (far - hinge).normalize();
        let across = Vector2::new(-along.y, along.x);
        let mut reach: Option<(f64, f64, f64)> = None;
        for piece in bar.layers.iter().filter(|shape| shape.layer == Layer::Outer).flat_map(|shape| &shape.pieces) {
            for (index, vertex) in piece.iter().enumerate().filter(|(_, vertex)| vertex.bulge == 0.0) {
                let next = &piece[(index + 1) % piece.len()];
                let ends = [vertex.at, next.at].map(|p| room_from_bar * p - hinge);
                let off = ends.map(|end| across.dot(&end));
                let bears = off.iter().all(|off| (off.abs() - lift.arm_radius(self.arm)).abs() < BEARS_MM);
                if !bears || off[0] * off[1] < 0.0 {
                    continue;
                }
                let on = ends.map(|end| along.dot(&end));
                let (low, high) = (on[0].min(on[1]), on[0].max(on[1]));
                let longest = reach.is_none_or(|(known_low, known_high, _)| high - low > known_high - known_low);
                if longest {
                    reach = Some((low, high, off[0]));
                }
            }
        }
        let (low, high, off) = reach.filter(|(low, high, _)| high - low >= SHORTEST_MM)?;
        Some([low, high].map(|on| hinge + on * along + off * across))
    }
}

#[cfg(test)]
mod tests {
    use crate::{Options, PartName, Project, Rule, StopKind, TravelWanted, analyse};

    fn project(pair: [PartName; 2], travel_deg: f64) -> Project {
        let mut project = crate::samples::board();
        project.bars.stop_pair = Some(pair);
        project.linkage.travel_deg = TravelWanted::Degrees(travel_deg);
        project
    }

    #[test]
    fn an_arm_stops_on_the_shoulder_of_its_relief() {
        for arm in [PartName::LowerArm, PartName::UpperArm] {
            let analysis = analyse(&project([arm, PartName::WallBar], 114.0), &Options::default());
            assert_eq!(analysis.stop.kind, Some(StopKind::Shoulder), "{arm:?}");
            let contact = analysis.stop.contact.as_ref().expect("a stop");
            assert_eq!(contact.parts, [arm, PartName::WallBar]);
            let face = (contact.points[1] - contact.points[0]).norm();
            assert!(face > 5.0 && face < 60.0, "{face}");
            // The lever of a shoulder is short: the arms folded on each other have one of 180 mm.
            let lever = analysis.stop.lever.expect("a lever");
            assert!(lever > 5.0 && lever < 160.0, "{lever}");
            let rule = analysis.rules.iter().find(|found| found.rule == Rule::StopsOnFold).expect("the rule");
            assert_eq!((rule.holds, rule.margin), (Some(true), Some(0.0)), "{}", rule.text);
        }
    }

    #[test]
    fn nothing_of_the_bar_lies_in_the_arm_at_parked() {
        let analysis = analyse(&project([PartName::WallBar, PartName::UpperArm], 114.0), &Options::default());
        let parked = analysis.pose_at(1.0);
        let bar = analysis.solids.bar(PartName::WallBar).expect("the bar");
        let arm = crate::solids::stadium(analysis.lift.lengths.upper_arm, 12.7);
        let turn = analysis.lift.room_from_bar(&parked, PartName::UpperArm);
        let arm: Vec<_> = arm.into_iter().map(|v| crate::Vertex { at: turn * v.at, ..v }).collect();
        for piece in &bar.layers.last().expect("a layer").pieces {
            let left: f64 = crate::outline::without(piece, &arm).iter().map(|left| crate::outline::area(left)).sum();
            assert!((left - crate::outline::area(piece)).abs() < 1e-6);
        }
    }

    #[test]
    fn going_to_its_stop_needs_a_number_for_a_shoulder() {
        let mut project = project([PartName::UpperArm, PartName::WallBar], 114.0);
        project.linkage.travel_deg = TravelWanted::ToStop;
        let analysis = analyse(&project, &Options::default());
        assert!(analysis.stop.contact.is_none());
        let rule = analysis.rules.iter().find(|found| found.rule == Rule::StopsOnFold).expect("the rule");
        assert!(rule.holds == Some(false) && rule.text.contains("degrees"), "{}", rule.text);
    }
}
