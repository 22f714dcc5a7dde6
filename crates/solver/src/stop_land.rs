//! A stop land: a shallow seat cut into one arm so that a face, not a line, bears at parked.
//!
//! Where one arm's nose would already overlap the other arm's edge at parked, that overlap is cut
//! away from the arm whose seats are farther from it. At parked the two then meet all along the
//! cut. Only a closing motion leaves the other arm free until then: see [`Land::at`].

use std::f64::consts::TAU;

use nalgebra::Vector2;

use crate::contact::arms_gap;
use crate::distance::nearest_on_segment;
use crate::lift::{ArmName, Lift};
use crate::outline::{Vertex, crossings};
use crate::parts::boss_radius;
use crate::pose::Pose;
use crate::project::{Build, Point, Project};
use crate::solids::stadium;
use crate::travel::Travel;

/// A land may take at most this share of the arm's width (common practice, no source): an arm of
/// 25 mm loses 3 mm.
const MOST_SHARE: f64 = 0.125;
/// Overlap asked for where the project leaves it open, degrees of the lower arm (common practice,
/// no source).
const OVERLAP_DEG: f64 = 0.2;

/// A seat in one arm that is the other arm's outline at parked.
#[derive(Clone, Debug, PartialEq)]
pub struct Land {
    /// The arm that is cut: the one whose bores are farther from the touch.
    pub cut_arm: ArmName,
    /// How deep the cut goes, mm.
    pub depth: f64,
    /// Straight across the cut, mm.
    pub length: f64,
    /// The other arm at parked, in the cut arm's frame: what is taken away.
    pub cut: Vec<Vertex>,
    /// Both ends of the face, side view.
    pub ends: [Point; 2],
}

/// A land that a project could have, and the travel at which it would bear.
#[derive(Clone, Debug, PartialEq)]
pub struct LandOffer {
    /// The land.
    pub land: Land,
    /// Net turn of the lower arm at which it bears, radians.
    pub turn: f64,
    /// Phase at which it bears.
    pub phase: f64,
}

impl Land {
    /// The land that bears at a pose beyond the arms' first touch; `None` where they do not overlap
    /// there, where it would be deeper than an eighth of the arm's width or cut into a bearing's
    /// seat, or where the arms slide so much that the seat would not stay free before.
    ///
    /// `touch` and `parked` are phases, `direction` the way from one to the other.
    #[must_use]
    pub fn at(project: &Project, lift: &Lift, direction: f64, touch: f64, parked: f64) -> Option<Self> {
        if project.bars.build != Build::Lapped {
            return None;
        }
        let pose = lift.pose(parked, 1.0);
        let first = arms_gap(lift, &lift.pose(touch, 0.0));
        let depth = -arms_gap(lift, &pose).mm;
        let [lower, upper] = [(ArmName::Lower, first.on_first), (ArmName::Upper, first.on_second)]
            .map(|(arm, at)| nearest_bore(lift, &lift.pose(touch, 0.0), arm, at));
        let (cut_arm, other) =
            if lower > upper { (ArmName::Lower, ArmName::Upper) } else { (ArmName::Upper, ArmName::Lower) };
        let radius = lift.arm_radius(cut_arm);
        if !(depth > 0.0 && depth <= MOST_SHARE * 2.0 * radius) {
            return None;
        }
        let boss = boss_radius(project);
        let axis = lift.arm_axis(other, &pose);
        let spares_bosses = lift
            .arm_axis(cut_arm, &pose)
            .iter()
            .all(|bore| (bore - nearest_on_segment(*bore, axis)).norm() - lift.arm_radius(other) >= boss);
        let into_cut_arm =
            lift.room_from_bar(&pose, cut_arm.part()).inverse() * lift.room_from_bar(&pose, other.part());
        let cut: Vec<Vertex> = stadium(lift.arm_length(other), lift.arm_radius(other))
            .into_iter()
            .map(|vertex| Vertex { at: into_cut_arm * vertex.at, ..vertex })
            .collect();
        let ends = crossings(&stadium(lift.arm_length(cut_arm), radius), &cut);
        let [one, two] = *ends.as_slice() else { return None };
        let ends = [one, two].map(|end| lift.room_from_bar(&pose, cut_arm.part()) * end);
        let closes = [touch, parked]
            .iter()
            .all(|phase| ends.iter().all(|end| closing_rate(lift, direction, &pose, *phase, other, *end) > 0.0));
        (spares_bosses && closes).then(|| Self { cut_arm, depth, length: (two - one).norm(), cut, ends })
    }

    /// The land that is offered where the arms first touch at a walked phase: at parked where that
    /// lies beyond, else 0.2° of the lower arm further on, short of its dead point.
    #[must_use]
    pub fn offer(project: &Project, lift: &Lift, travel: &Travel, walked: f64) -> Option<LandOffer> {
        let touch = travel.phase(walked);
        let parked =
            if walked < travel.length { travel.phase(travel.length) } else { overlapped(lift, travel, walked)? };
        let land = Self::at(project, lift, travel.direction, touch, parked)?;
        Some(LandOffer { land, turn: lift.turn(parked), phase: parked })
    }
}

/// Phase at 0.2° of the lower arm beyond a walked phase; `None` where its dead point comes first.
pub(crate) fn overlapped(lift: &Lift, travel: &Travel, walked: f64) -> Option<f64> {
    let touch = travel.phase(walked);
    let further = OVERLAP_DEG.to_radians();
    let left = lift.circuit.turn_left(touch, travel.direction);
    (left.abs() > further)
        .then(|| lift.circuit.phase_after_turn(touch, travel.direction, further * left.signum()))
        .filter(|phase| (phase - touch).abs() < TAU)
}

/// From a place to the nearer of an arm's two bores.
fn nearest_bore(lift: &Lift, pose: &Pose, arm: ArmName, at: Point) -> f64 {
    lift.arm_axis(arm, pose).iter().map(|bore| (bore - at).norm()).fold(f64::INFINITY, f64::min)
}

/// How fast the other arm's edge, where it bears at parked, moves out of itself into the cut arm at
/// a phase; mm per radian of phase.
fn closing_rate(lift: &Lift, direction: f64, parked: &Pose, phase: f64, other: ArmName, bears_at: Point) -> f64 {
    let rates = lift.rates(phase);
    let rate = |arm: ArmName| direction * if arm == ArmName::Lower { rates.lower_arm } else { rates.upper_arm };
    let cut_arm = if other == ArmName::Lower { ArmName::Upper } else { ArmName::Lower };
    let pose = lift.pose(phase, 0.0);
    let there = lift.room_from_bar(&pose, other.part()) * lift.room_from_bar(parked, other.part()).inverse() * bears_at;
    let axis = lift.arm_axis(other, &pose);
    let outwards = there - nearest_on_segment(there, axis);
    let turning = |arm: ArmName| {
        let from = there - lift.wall_pivot(arm);
        rate(arm) * Vector2::new(-from.y, from.x)
    };
    (turning(other) - turning(cut_arm)).dot(&outwards.normalize())
}

#[cfg(test)]
mod tests {
    use crate::outline::area;
    use crate::{ArmName, Options, PartName, Project, Rule, StopKind, TravelWanted, analyse};

    fn project(travel: TravelWanted) -> Project {
        let mut project = crate::samples::board();
        project.linkage.travel_deg = travel;
        project.bars.stop_land = Some(true);
        project
    }

    #[test]
    fn two_tenths_of_a_degree_make_an_eleven_millimetre_land() {
        // Worked out by hand for this board: 11 mm long and 0.6 mm deep, in the upper arm.
        let project = project(TravelWanted::Degrees(116.256_713 + 0.2));
        let analysis = analyse(&project, &Options::default());
        let land = analysis.stop.land.as_ref().expect("a land");
        assert_eq!(land.cut_arm, ArmName::Upper);
        assert!((land.length - 11.0).abs() < 0.5 && (land.depth - 0.63).abs() < 0.01, "{land:?}");
        assert_eq!(analysis.stop.kind, Some(StopKind::Land));
        let rule = analysis.rules.iter().find(|found| found.rule == Rule::StopsOnFold).expect("the rule");
        assert_eq!((rule.holds, rule.margin), (Some(true), Some(0.0)), "{}", rule.text);
        // What is taken away is the overlap: nothing is left of it, and not more went.
        let whole = area(&crate::solids::stadium(analysis.lift.lengths.upper_arm, 12.7));
        let arm = analysis.solids.bar(PartName::UpperArm).expect("the arm");
        let outer = arm.layers.last().expect("a layer");
        let taken = whole - outer.pieces.iter().map(|piece| area(piece)).sum::<f64>();
        // A chord of the nose and a wedge beside it: about half of length times depth.
        assert!(taken > 0.4 * land.length * land.depth && taken < 0.7 * land.length * land.depth, "{taken}");
    }

    #[test]
    fn to_its_stop_it_goes_on_to_the_land() {
        let analysis = analyse(&project(TravelWanted::ToStop), &Options::default());
        assert_eq!(analysis.stop.kind, Some(StopKind::Land));
        let turn = analysis.travel.turn.to_degrees();
        assert!((turn - 116.456_713).abs() < 1e-5, "{turn}");
    }

    #[test]
    fn without_overlap_there_is_nothing_to_cut_but_an_offer() {
        let analysis = analyse(&project(TravelWanted::Degrees(116.2)), &Options::default());
        assert_eq!(analysis.stop.kind, Some(StopKind::NoseOnFlank));
        assert!(analysis.stop.land.is_none());
        let offer = analysis.stop.land_offer.as_ref().expect("an offer");
        assert!((offer.turn.to_degrees() - 116.456_713).abs() < 1e-5);
    }

    #[test]
    fn a_deep_overlap_is_no_land() {
        let analysis = analyse(&project(TravelWanted::Degrees(119.0)), &Options::default());
        assert_eq!(analysis.stop.kind, Some(StopKind::NoseOnFlank));
        assert!(analysis.stop.land.is_none() && analysis.stop.land_offer.is_none());
    }
}
