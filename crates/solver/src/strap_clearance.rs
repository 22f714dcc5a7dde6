//! Least distances of drum and strap to everything else over the whole travel.
//!
//! The drum counts at its fullest, as a fixed circle. The strap's straight run counts with half its
//! thickness on either side. Both meet a bar only where they share a piece of the wall's length
//! with it, on either set; bars count as whole stock there, without their reliefs. The strap's own
//! end on the panel does not count as a place where it comes near the panel.

mod own_end;
mod run_piece;
mod sharing;

use own_end::{OwnEnd, signed_to_rectangle};
use sharing::Sharing;

use crate::certify::Stretch;
use crate::distance::{Gap, with_radius};
use crate::lift::{ArmName, Lift, Rectangle};
use crate::placed::{Moving, Placed};
use crate::pose::{Placement, Pose};
use crate::project::{PartName, Point, Project};
use crate::room::{Against, RoomShape};
use crate::strap::{Strap, StrapAt};
use crate::swept_arm::SweptArm;
use crate::tolerance::clearance;
use crate::travel::Travel;
use crate::turns;

/// A least distance of drum or strap to another part over the whole travel.
#[derive(Clone, Debug, PartialEq)]
pub struct StrapClearance {
    /// Drum or strap, and the other.
    pub parts: [PartName; 2],
    /// What of the room, in words.
    pub feature: Option<String>,
    /// Signed, mm; negative is the depth of an overlap. Never above the true value, and below it by
    /// at most 0.01 or a thousandth of itself.
    pub mm: f64,
    /// Where on the travel; on a tie the smallest. For the drum and what does not move: where it
    /// is fullest.
    pub s: f64,
    /// Nearest points, side view, on the first and on the second part.
    pub points: [Point; 2],
}

/// What all of it is measured by.
struct Bench<'a> {
    lift: &'a Lift,
    travel: &'a Travel,
    room: &'a RoomShape,
    strap: &'a Strap,
    motion: Stretch,
    tolerance: f64,
}

impl StrapClearance {
    /// Every pair's least distance, the nearest first. The run is left out where the anchor meets
    /// the drum.
    #[must_use]
    pub fn every(project: &Project, lift: &Lift, travel: &Travel, room: &RoomShape, strap: &Strap) -> Vec<Self> {
        // Well within the 0.01 mm promised: a run that glides along something asks for much more.
        let tolerance = 3.0 * clearance(lift.lengths.longest());
        let bench = Bench { lift, travel, room, strap, motion: travel.stretch(lift), tolerance };
        let sharing = Sharing::new(project);
        let mut found: Vec<Self> = bench.drum_to_room().into_iter().collect();
        if sharing.with(PartName::WallBar) {
            found.push(bench.drum_to_wall_bar());
        }
        let moving = [Moving::Panel, Moving::PanelBar, Moving::Arm(ArmName::Lower), Moving::Arm(ArmName::Upper)];
        let in_the_way: Vec<Moving> = moving.into_iter().filter(|part| sharing.with(part.name())).collect();
        found.extend(in_the_way.iter().map(|part| bench.drum_to(*part)));
        if strap.runs_all_the_way() {
            found.extend(bench.run_to_room());
            if sharing.with(PartName::WallBar) {
                found.extend(bench.run_to_wall_bar());
            }
            found.extend(in_the_way.iter().filter_map(|part| match part {
                Moving::Panel => bench.run_beside_its_end(PartName::Panel, &lift.panel),
                Moving::PanelBar => bench.run_beside_its_end(PartName::PanelBar, &lift.panel_bar),
                Moving::Arm(arm) => bench.run_to_arm(*arm),
            }));
        }
        found.sort_by(|a, b| a.mm.total_cmp(&b.mm));
        found
    }
}

impl Bench<'_> {
    fn placement(&self, walked: f64) -> Placement {
        self.lift.placement(self.motion.phase(walked))
    }

    fn s(&self, walked: f64) -> f64 {
        self.travel.s_at(self.lift, walked)
    }

    /// The drum at its fullest as a part of its own.
    fn drum(&self) -> Placed {
        Placed::Stadium { axis: [self.strap.drum.centre; 2], radius: self.strap.fullest_radius() }
    }

    fn drum_to_room(&self) -> Option<StrapClearance> {
        let drum = self.drum();
        let found = [Against::WallRun, Against::Rest].into_iter().filter_map(|against| self.room.gap(&drum, against));
        let nearest = found.min_by(|a, b| a.gap.mm.total_cmp(&b.gap.mm))?;
        Some(StrapClearance {
            parts: [PartName::Drum, PartName::Room],
            feature: Some(self.room.words(nearest.feature)),
            mm: nearest.gap.mm,
            s: self.s(self.strap.most_taken_in().1),
            points: [nearest.gap.on_first, nearest.gap.on_second],
        })
    }

    /// From the drum to a part that stands there.
    fn drum_gap(&self, part: &Placed) -> Gap {
        let centre = self.strap.drum.centre;
        with_radius(part.gap_to([centre; 2]).swapped(), self.strap.fullest_radius())
    }

    fn drum_to_wall_bar(&self) -> StrapClearance {
        let wall_bar = Placed::Rectangle { shape: self.lift.wall_bar, room_from_part: nalgebra::Isometry2::identity() };
        let gap = self.drum_gap(&wall_bar);
        StrapClearance {
            parts: [PartName::Drum, PartName::WallBar],
            feature: None,
            mm: gap.mm,
            s: self.s(self.strap.most_taken_in().1),
            points: [gap.on_first, gap.on_second],
        }
    }

    fn drum_to(&self, part: Moving) -> StrapClearance {
        if let Moving::Arm(arm) = part {
            return self.drum_to_arm(arm);
        }
        let gap = |pose: &Placement| self.drum_gap(&part.placed(self.lift, pose));
        self.least(
            [PartName::Drum, part.name()],
            -self.strap.fullest_radius(),
            |pose| Some(gap(pose)),
            |from, to| part.most_motion(self.lift, from, to),
        )
    }

    /// An arm sweeps a sector: closed form.
    fn drum_to_arm(&self, arm: ArmName) -> StrapClearance {
        let direction = |pose: &Pose| pose.arm(arm);
        let (from, to) = self.motion.range(self.lift, direction);
        let (pivot, length, radius) = (self.lift.wall_pivot(arm), self.lift.arm_length(arm), self.lift.arm_radius(arm));
        let (gap, angle) = SweptArm { pivot, length, radius, from, to }.gap_to([self.strap.drum.centre; 2]);
        let gap = with_radius(gap.swapped(), self.strap.fullest_radius());
        // About the pivot the gap is the same at every pose: the first is told.
        let about_pivot = (gap.on_second - pivot).norm() <= radius * (1.0 + 1e-9);
        let walked = if about_pivot { 0.0 } else { self.motion.first_at(self.lift, direction, angle) };
        StrapClearance {
            parts: [PartName::Drum, arm.part()],
            feature: None,
            mm: gap.mm,
            s: self.s(walked),
            points: [gap.on_first, gap.on_second],
        }
    }

    /// The least of a gap, certified. Where it is `None` nothing is near.
    fn least(
        &self,
        parts: [PartName; 2],
        floor: f64,
        gap: impl Fn(&Placement) -> Option<Gap>,
        most_motion: impl Fn(&Placement, &Placement) -> f64,
    ) -> StrapClearance {
        let mm = |pose: &Placement| gap(pose).map_or(f64::INFINITY, |gap| gap.mm);
        let least = self.motion.least(self.lift, self.tolerance(self.glance(mm)), floor, mm, most_motion);
        let points =
            gap(&self.placement(least.walked)).map_or([self.strap.drum.centre; 2], |g| [g.on_first, g.on_second]);
        StrapClearance { parts, feature: None, mm: least.value, s: self.s(least.walked), points }
    }

    /// The least gap at a few poses.
    fn glance(&self, mm: impl Fn(&Placement) -> f64) -> f64 {
        const POSES: u8 = 8;
        let last = self.motion.cuts.last().copied().unwrap_or(0.0);
        let poses = (0..=POSES).map(|index| self.placement(last * f64::from(index) / f64::from(POSES)));
        poses.map(|pose| mm(&pose)).fold(f64::INFINITY, f64::min)
    }

    /// How closely a gap of about this size is proved: what is far away need not be told to 0.01 mm.
    fn tolerance(&self, glance: f64) -> f64 {
        const SHARE: f64 = 1e-3;
        if glance.is_finite() { self.tolerance.max(SHARE * glance.abs()) } else { self.tolerance }
    }

    fn half_thickness(&self) -> f64 {
        0.5 * self.strap.drum.thickness
    }

    /// A gap of the run's middle line as one of the strap; in an overlap the points stay.
    fn with_thickness(&self, gap: Gap) -> Gap {
        let thick = with_radius(gap, self.half_thickness());
        if gap.mm > 0.0 { thick } else { Gap { mm: thick.mm, ..gap } }
    }

    /// The run against a part that its end is fixed to, in the panel's frame; `None` where its end
    /// is nearest to it all the way.
    fn run_beside_its_end(&self, part: PartName, shape: &Rectangle) -> Option<StrapClearance> {
        let end = OwnEnd::new(self.strap.anchor(), shape);
        let run_in_panel = |pose: &Placement, run: &StrapAt| {
            let along = pose.room_from_panel.rotation.inverse() * run.along;
            (along, [end.anchor, end.anchor + along * run.free.min(end.reach)])
        };
        let gap = |pose: &Placement| {
            let run = self.strap.at(pose)?;
            let (along, segment) = run_in_panel(pose, &run);
            let away = end.leads_away(along);
            let mut gap = signed_to_rectangle(segment, shape);
            if away >= 0.0 {
                // The end is nearest. Going on with the angle tells how far that is from changing.
                gap.mm = end.gap + end.reach * away;
            }
            let room = |point: Point| pose.room_from_panel * point;
            Some(Gap { mm: gap.mm, on_first: room(gap.on_first), on_second: room(gap.on_second) })
        };
        let motion = |from: &Placement, to: &Placement| {
            let motion = self.strap.most_motion(self.lift, from, to);
            let turn = motion.turn + turns::panel(from, to);
            let shorter = if motion.least_free < end.reach { motion.anchor + motion.tangent } else { 0.0 };
            end.reach * turn + shorter
        };
        let parts = [PartName::Strap, part];
        let found = self.least(parts, -end.most_depth, gap, motion);
        (found.mm < end.gap - self.tolerance(end.gap)).then(|| {
            let [on_first, on_second] = found.points;
            let gap = self.with_thickness(Gap { mm: found.mm, on_first, on_second });
            StrapClearance { mm: gap.mm, points: [gap.on_first, gap.on_second], ..found }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lift::Rectangle;
    use crate::project::Build;
    use crate::project::{Solid, StrapSide};
    use crate::{Options, TravelWanted, analyse};
    use nalgebra::Vector2;
    use proptest::prelude::*;

    fn demo() -> Project {
        crate::samples::demo_board()
    }

    fn told(project: &Project) -> (crate::Analysis, Vec<StrapClearance>) {
        let analysis = analyse(project, &Options { poses: 2, swept: false });
        let clearances = analysis.strap_clearances.clone();
        (analysis, clearances)
    }

    #[test]
    fn the_whole_project_by_hand() {
        let (analysis, found) = told(&demo());
        let of = |one, other| found.iter().find(|found| found.parts == [one, other]).expect("the pair");
        let strap = analysis.strap.as_ref().expect("a drive");
        // The drum's middle is 36 mm off the wall; the ceiling is farther.
        let drum = of(PartName::Drum, PartName::Room);
        assert!((drum.mm - (36.0 - strap.fullest_radius())).abs() < 1e-9 && (drum.s - 1.0).abs() < 1e-12);
        assert_eq!(drum.feature.as_deref(), Some("wall"));
        // Hung, the strap's end is 32 mm off the wall and the run leaves it, half a thickness less.
        let run = of(PartName::Strap, PartName::Room);
        assert!((run.mm - 31.4).abs() < 0.04 && run.mm <= 31.4 + 1e-9 && run.s < 1e-9, "{run:?}");
        // The panel's upper edge at (62, 1880) against the line from (32, 1185) tangent to 21.8 mm
        // about (36, 2214), on its room side.
        let towards = Vector2::new(4.0_f64, 1029.0);
        let lean = (21.8_f64 / towards.norm()).asin();
        let along = nalgebra::Rotation2::new(-lean) * towards.normalize();
        let off = (Point::new(62.0, 1880.0) - Point::new(32.0, 1185.0)).perp(&along) - 0.6;
        let panel = of(PartName::Strap, PartName::Panel);
        assert!(panel.mm <= off + 1e-9 && panel.mm > off - 0.02, "{} against {off}", panel.mm);
        // No bar shares the wall's length with a strap between the sets.
        assert_eq!(found.len(), 4, "{found:?}");
    }

    #[test]
    fn an_end_on_the_back_is_no_touch_but_a_run_into_the_wood_is() {
        // On the middle of the back: the run to a drum near the wall leaves the wood, to one far out
        // in the room it goes through.
        let with_drum_at = |x: f64| {
            let mut project = demo();
            let drive = project.drive.as_mut().expect("a drive");
            (drive.anchor, drive.drum_centre) = (Point::new(0.0, 350.0), Point::new(x, 2214.0));
            let found = told(&project).1;
            found.into_iter().find(|found| found.parts == [PartName::Strap, PartName::Panel])
        };
        assert_eq!(with_drum_at(36.0), None);
        let through = with_drum_at(700.0).expect("a pair");
        assert!(through.mm < -10.0, "{through:?}");
    }

    #[test]
    fn layers_of_a_sandwich_along_the_wall() {
        let mut project = demo();
        project.bars.build = Build::Sandwich;
        // Sets 812.8 apart, every bar 38.1 deep: arms 19.05 … 57.15 off the middle of a set.
        let sharing = |z: f64| {
            let mut project = project.clone();
            let drive = project.drive.as_mut().expect("a drive");
            (drive.z, drive.strap_width) = (Some(z), Some(2.0));
            let sharing = Sharing::new(&project);
            [PartName::WallBar, PartName::PanelBar, PartName::LowerArm, PartName::UpperArm].map(|bar| sharing.with(bar))
        };
        for side in [1.0, -1.0] {
            assert_eq!(sharing(side * 406.4), [true, true, false, false]);
            assert_eq!(sharing(side * 440.0), [false, false, true, false]);
            assert_eq!(sharing(side * 380.0), [false, false, false, true]);
            assert_eq!(sharing(side * 425.0), [true, true, true, false]);
            assert_eq!(sharing(side * 300.0), [false; 4]);
        }
    }

    fn to_segment(point: Point, [from, to]: [Point; 2]) -> f64 {
        let along = to - from;
        let share = ((point - from).dot(&along) / along.norm_squared()).clamp(0.0, 1.0);
        (point - from - along * share).norm()
    }

    /// Between two segments, 0 where they cross.
    fn between(one: [Point; 2], other: [Point; 2]) -> f64 {
        let side = |[from, to]: [Point; 2], point: Point| (to - from).perp(&(point - from));
        let cross = side(one, other[0]) * side(one, other[1]) < 0.0 && side(other, one[0]) * side(other, one[1]) < 0.0;
        let ends = [
            to_segment(one[0], other),
            to_segment(one[1], other),
            to_segment(other[0], one),
            to_segment(other[1], one),
        ];
        if cross { 0.0 } else { ends.into_iter().fold(f64::INFINITY, f64::min) }
    }

    fn ring(corners: &[Point]) -> Vec<[Point; 2]> {
        (0..corners.len()).map(|index| [corners[index], corners[(index + 1) % corners.len()]]).collect()
    }

    fn nearest(run: [Point; 2], edges: &[[Point; 2]]) -> f64 {
        edges.iter().map(|edge| between(run, *edge)).fold(f64::INFINITY, f64::min)
    }

    prop_compose! {
        /// Drives about the demo's lift, with a beam, the strap sometimes between the bars of a set.
        fn cases()(
            anchor in prop::array::uniform2(-1.0..1.0_f64),
            drum in prop::array::uniform2(-1.0..1.0_f64),
            beam in prop::array::uniform2(0.0..1.0_f64),
            size in prop::array::uniform2(5.0..120.0_f64),
            radius in 1.0..40.0_f64,
            thickness in 0.0..3.0_f64,
            wall in any::<bool>(),
            turn in 20.0..116.0_f64,
            z in prop_oneof![Just(0.0), Just(406.4)],
        ) -> Project {
            let mut project = demo();
            project.linkage.travel_deg = TravelWanted::Degrees(turn);
            let at = Point::new(100.0 + 900.0 * beam[0], 1300.0 + 900.0 * beam[1]);
            let outline = [(0.0, 0.0), (size[0], 0.0), (size[0], size[1]), (0.0, size[1])];
            project.room.solids.push(Solid {
                name: Some("beam".into()),
                outline: outline.iter().map(|(x, y)| at + Vector2::new(*x, *y)).collect(),
                more: Default::default(),
            });
            let drive = project.drive.as_mut().expect("a drive");
            drive.anchor = Point::new(20.0 + 100.0 * anchor[0], 350.0 + 400.0 * anchor[1]);
            drive.drum_centre = Point::new(300.0 + 300.0 * drum[0], 2000.0 + 350.0 * drum[1]);
            (drive.drum_radius, drive.strap_thickness) = (radius, thickness);
            drive.strap_side = if wall { StrapSide::Wall } else { StrapSide::Room };
            drive.z = Some(z);
            project
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 60, max_global_rejects: 20_000, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn never_over_told_and_hardly_under(project in cases()) {
            const POSES: u32 = 3000;
            let (analysis, found) = told(&project);
            let strap = analysis.strap.as_ref().expect("a drive");
            prop_assume!(strap.runs_all_the_way());
            let lift = &analysis.lift;
            let half = 0.5 * strap.drum.thickness;
            // Wall and ceiling without end, and the beam.
            let mut room = vec![
                [Point::new(0.0, -9e3), Point::new(0.0, 2250.0)],
                [Point::new(0.0, 2250.0), Point::new(24_000.0, 2250.0 + 16_805.0)],
            ];
            room.extend(ring(&project.room.solids[0].outline));
            let drum = [strap.drum.centre; 2];
            let full = strap.fullest_radius();
            let mut seen: Vec<([PartName; 2], f64)> = Vec::new();
            let mut see = |parts: [PartName; 2], mm: f64| match seen.iter_mut().find(|seen| seen.0 == parts) {
                Some(seen) => seen.1 = seen.1.min(mm),
                None => seen.push((parts, mm)),
            };
            let mut steepest = 0.0_f64;
            let mut before: Option<[Point; 6]> = None;
            for step in 0..=POSES {
                let pose = lift.pose(analysis.travel.phase(analysis.travel.length * f64::from(step) / f64::from(POSES)), 0.0);
                let at = strap.at(&pose).expect("a run");
                let run = [at.anchor, at.tangent];
                let [a, b, c, d] = lift.panel_corners(&pose);
                let places = [a, b, c, d, at.anchor, at.tangent];
                if let Some(before) = before.replace(places) {
                    let moved = places.iter().zip(&before).map(|(a, b)| (a - b).norm()).fold(0.0, f64::max);
                    steepest = steepest.max(moved);
                }
                see([PartName::Strap, PartName::Room], nearest(run, &room) - half);
                see([PartName::Strap, PartName::Panel], nearest(run, &ring(&lift.panel_corners(&pose))) - half);
                see([PartName::Drum, PartName::Panel], nearest(drum, &ring(&lift.panel_corners(&pose))) - full);
                see([PartName::Drum, PartName::PanelBar], nearest(drum, &ring(&lift.panel_bar_corners(&pose))) - full);
                see([PartName::Strap, PartName::PanelBar], nearest(run, &ring(&lift.panel_bar_corners(&pose))) - half);
                see([PartName::Strap, PartName::WallBar], nearest(run, &ring(&lift.wall_bar_corners())) - half);
                for arm in ArmName::BOTH {
                    let radius = lift.arm_radius(arm);
                    see([PartName::Strap, arm.part()], between(run, lift.arm_axis(arm, &pose)) - half - radius);
                    see([PartName::Drum, arm.part()], between(drum, lift.arm_axis(arm, &pose)) - full - radius);
                }
            }
            see([PartName::Drum, PartName::Room], nearest(drum, &room) - full);
            see([PartName::Drum, PartName::WallBar], nearest(drum, &ring(&lift.wall_bar_corners())) - full);
            for (parts, seen) in seen {
                let told = found.iter().find(|found| found.parts == parts);
                let Some(told) = told else {
                    let at_a_set = project.drive.as_ref().is_some_and(|drive| drive.z() > 0.0);
                    let bar = !matches!(parts[1], PartName::Room | PartName::Panel);
                    // Not beside it, or nowhere nearer than the strap's own end.
                    if bar && !at_a_set {
                        continue;
                    }
                    let shape = match parts {
                        [PartName::Strap, PartName::Panel] => lift.panel,
                        [PartName::Strap, PartName::PanelBar] => lift.panel_bar,
                        _ => return Err(TestCaseError::fail(format!("{parts:?} is not told"))),
                    };
                    let end = to_rectangle(strap.anchor(), &shape);
                    prop_assert!(end <= 0.0 || seen > end - half - 0.01 - 1e-3 * end, "{parts:?}: {seen} against {end}");
                    continue;
                };
                // An overlap's depth is not what a distance to edges says.
                if seen > 0.0 {
                    prop_assert!(told.mm <= seen + 1e-9, "{parts:?}: {} over {seen}", told.mm);
                    if told.mm > 0.0 {
                        prop_assert!(told.mm >= seen - 0.01 - 1e-3 * seen - steepest, "{parts:?}: {} under {seen}", told.mm);
                    }
                } else {
                    prop_assert!(told.mm <= 0.01, "{parts:?}: {} though they meet", told.mm);
                }
            }
        }
    }

    fn to_rectangle(point: Point, shape: &Rectangle) -> f64 {
        let inside =
            point.x > shape.least.x && point.x < shape.most.x && point.y > shape.least.y && point.y < shape.most.y;
        let edges = ring(&shape.corners());
        let nearest = edges.iter().map(|edge| to_segment(point, *edge)).fold(f64::INFINITY, f64::min);
        if inside { -nearest } else { nearest }
    }
}
