//! Properties of the motion of random linkages: lengths kept, mirror and rotation invariance,
//! scale, going and returning, rates against central differences, clearance never over-told.

use nalgebra::{Point2, Rotation2, Vector2};
use overarm_solver::{ArmName, Lift, Options, Project, TravelWanted, analyse};
use proptest::prelude::*;

fn base() -> Project {
    serde_json::from_str(include_str!("../../../tests/golden/chapel-hatch/project.overarm.json")).expect("a project")
}

prop_compose! {
    /// Any four pivots a few hundred millimetres apart.
    fn lifts()(coords in prop::array::uniform8(-400.0..400.0_f64), out in 700.0..1500.0_f64, turn in -250.0..250.0_f64) -> Project {
        let mut project = base();
        project.panel.hung.standoff = out;
        let [a, b, c, d, e, f, g, h] = coords;
        project.linkage.wall_lower = Point2::new(a + out, b + 2000.0);
        project.linkage.wall_upper = Point2::new(c + out, d + 2000.0);
        project.linkage.panel_lower = Point2::new(e, f + 500.0);
        project.linkage.panel_upper = Point2::new(g, h + 500.0);
        project.linkage.travel_deg = TravelWanted::Degrees(turn);
        project
    }
}

fn accepted(project: &Project) -> bool {
    let lift = Lift::new(project);
    let lengths = lift.lengths;
    let least = lengths.lower_arm.min(lengths.upper_arm).min(lengths.panel_bar).min(lengths.wall_bar);
    project.validate().is_ok() && least > 5.0 && lift.class.nearest_zero_mm > 1e-3
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, max_global_rejects: 20_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn lengths_are_kept_and_it_comes_back(project in lifts()) {
        prop_assume!(accepted(&project));
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let lift = &analysis.lift;
        let size = lift.lengths.longest();
        for step in 0..=40 {
            let pose = analysis.pose_at(f64::from(step) / 40.0);
            prop_assert!(lift.closure_residual(&pose) <= 1e-9 * size, "{}", lift.closure_residual(&pose));
            for (arm, length) in [(ArmName::Lower, lift.lengths.lower_arm), (ArmName::Upper, lift.lengths.upper_arm)] {
                let [from, to] = lift.arm_axis(arm, &pose);
                prop_assert!(((to - from).norm() - length).abs() <= 1e-9 * size);
            }
        }
        let hung = analysis.pose_at(0.0);
        prop_assert!((hung.origin() - project.panel.hung.origin()).norm() <= 1e-9 * size);
        prop_assert!(hung.tilt.abs() <= 1e-9);
        // No pose jumps: neighbours on a fine grid are close together.
        let mut before = hung;
        for step in 1..=2000 {
            let pose = analysis.pose_at(f64::from(step) / 2000.0);
            prop_assert!((pose.upper_arm - before.upper_arm).abs() < 0.5, "{} to {}", before.upper_arm, pose.upper_arm);
            prop_assert!((pose.tilt - before.tilt).abs() < 0.5);
            before = pose;
        }
        prop_assert!((before.lower_arm - hung.lower_arm - analysis.travel.turn).abs() < 1e-9);
    }

    #[test]
    fn rates_are_central_differences_through_dead_points(project in lifts(), at in 0.0..std::f64::consts::TAU) {
        prop_assume!(accepted(&project));
        let lift = Lift::new(&project);
        prop_assume!(!lift.circuit.is_locked());
        let step = 1e-6;
        let (rates, before, after) = (lift.rates(at), lift.pose(at - step, 0.0), lift.pose(at + step, 0.0));
        let difference = |from: f64, to: f64| (to - from) / (2.0 * step);
        let scale = rates.upper_arm.abs() + rates.lower_arm.abs() + rates.panel.abs() + 1.0;
        prop_assume!(scale < 1e3);
        prop_assert!((difference(before.lower_arm, after.lower_arm) - rates.lower_arm).abs() < 1e-5 * scale * scale);
        prop_assert!((difference(before.upper_arm, after.upper_arm) - rates.upper_arm).abs() < 1e-5 * scale * scale);
        prop_assert!((difference(before.tilt, after.tilt) + rates.panel).abs() < 1e-5 * scale * scale);
    }

    #[test]
    fn scale_changes_nothing_but_size(project in lifts(), power in -3.0..3.0_f64) {
        prop_assume!(accepted(&project));
        let scale = 10.0_f64.powf(power);
        let scaled = scale_of(&project, scale);
        let (one, other) = (analyse(&project, &Options { poses: 9, swept: false }), analyse(&scaled, &Options { poses: 9, swept: false }));
        prop_assume!((one.travel.turn - other.travel.turn).abs() < 1e-6);
        for (a, b) in one.poses.iter().zip(&other.poses) {
            prop_assert!((a.pose.upper_arm - b.pose.upper_arm).abs() < 1e-6);
            prop_assert!((a.pose.origin().coords * scale - b.pose.origin().coords).norm() < 1e-5 * scale * one.lift.lengths.longest());
        }
        prop_assert_eq!(one.lift.class.name, other.lift.class.name);
    }

    #[test]
    fn rotation_and_mirror(project in lifts(), angle in -3.0..3.0_f64) {
        // Only the linkage is turned: the lengths and the transmission stay, the arms turn along.
        prop_assume!(accepted(&project));
        let lift = Lift::new(&project);
        let origin = project.panel.hung.origin().coords;
        let turn = Rotation2::new(angle);
        let change = |map: &dyn Fn(Point2<f64>) -> Point2<f64>| {
            let mut changed = project.clone();
            let linkage = &mut changed.linkage;
            linkage.wall_lower = map(linkage.wall_lower);
            linkage.wall_upper = map(linkage.wall_upper);
            linkage.panel_lower = map(linkage.panel_lower + origin) - origin;
            linkage.panel_upper = map(linkage.panel_upper + origin) - origin;
            Lift::new(&changed)
        };
        let turned = change(&|p| turn * p);
        let mirrored = change(&|p| Point2::new(-p.x, p.y));
        prop_assert_eq!(lift.class.name, turned.class.name);
        let phase = lift.phase_at_hung();
        let mirrored_way = mirrored.phase_at_hung();
        for step in 0..20 {
            let d = f64::from(step) * 0.2;
            let pose = lift.pose(phase + d, 0.0);
            let other = turned.pose(turned.phase_at_hung() + d, 0.0);
            prop_assert!((pose.transmission - other.transmission).abs() < 1e-6);
            prop_assert!((turn * pose.panel_upper - other.panel_upper).norm() < 1e-6);
            // Mirrored, one of the two ways along the curve is the mirror image.
            let images = [1.0, -1.0].map(|way| mirrored.pose(mirrored_way + way * d, 0.0).panel_upper);
            let image = Point2::new(-pose.panel_upper.x, pose.panel_upper.y);
            let off = images.iter().map(|p| (p - image).norm()).fold(f64::INFINITY, f64::min);
            prop_assert!(off < 1e-5 || d > 0.0, "{off}");
        }
    }

    #[test]
    fn clearance_is_never_over_told(project in lifts()) {
        prop_assume!(accepted(&project));
        let analysis = analyse(&project, &Options { poses: 1501, swept: false });
        // Behind the wall the ceiling is only a continuation: no statement there.
        let walls = [&analysis.clearances.panel_to_wall, &analysis.clearances.bars_to_wall];
        prop_assume!(walls.iter().all(|wall| wall.as_ref().is_some_and(|wall| wall.mm >= 0.0)));
        for (clearance, seen) in [
            (&analysis.clearances.panel, analysis.poses.iter().filter_map(|p| p.panel_to_room).fold(f64::INFINITY, f64::min)),
            (&analysis.clearances.bars, analysis.poses.iter().filter_map(|p| p.bars_to_room).fold(f64::INFINITY, f64::min)),
        ] {
            let clearance = clearance.as_ref().expect("a ceiling");
            prop_assert!(clearance.mm <= seen + 1e-6, "{} told, {seen} seen", clearance.mm);
        }
    }
}

fn scale_of(project: &Project, scale: f64) -> Project {
    let mut scaled = project.clone();
    let point = |p: &mut Point2<f64>| p.coords *= scale;
    scaled.room.outline.iter_mut().for_each(point);
    let linkage = &mut scaled.linkage;
    [&mut linkage.wall_lower, &mut linkage.wall_upper, &mut linkage.panel_lower, &mut linkage.panel_upper]
        .into_iter()
        .for_each(point);
    point(&mut scaled.panel.centre_of_mass);
    let panel = &mut scaled.panel;
    for value in
        [&mut panel.width, &mut panel.height, &mut panel.thickness, &mut panel.hung.standoff, &mut panel.hung.bottom]
    {
        *value *= scale;
    }
    for bar in [&mut scaled.bars.wall_bar, &mut scaled.bars.panel_bar] {
        bar.width *= scale;
        bar.lower_end *= scale;
        bar.upper_end *= scale;
    }
    scaled.bars.lower_arm.width *= scale;
    scaled.bars.upper_arm.width *= scale;
    scaled
}

#[test]
fn a_crank_turns_all_the_way_and_a_parallelogram_stops_at_its_change_point() {
    let mut project = base();
    let origin = project.panel.hung.origin().coords;
    let mut hang = |a: f64, b: f64, c: f64, d: f64| {
        // Lower arm straight out; ground line upright.
        project.linkage.wall_lower = Point2::new(0.0, 1000.0);
        project.linkage.wall_upper = Point2::new(0.0, 1000.0 + d);
        let lower = Point2::new(a, 1000.0);
        let diagonal = project.linkage.wall_upper - lower;
        let r = diagonal.norm();
        let x = (r * r + b * b - c * c) / (2.0 * r);
        let h = -(b * b - x * x).sqrt();
        let along = diagonal / r;
        let upper = lower + along * x + Vector2::new(-along.y, along.x) * h;
        project.linkage.panel_lower = lower - origin;
        project.linkage.panel_upper = upper - origin;
        project.clone()
    };
    let mut crank = hang(40.0, 120.0, 80.0, 100.0);
    crank.linkage.travel_deg = TravelWanted::Degrees(400.0);
    let analysis = analyse(&crank, &Options { poses: 5, swept: false });
    assert!((analysis.travel.turn.to_degrees() - 400.0).abs() < 1e-9);
    let mut parallelogram = hang(300.0, 100.0, 300.0, 100.0);
    parallelogram.linkage.travel_deg = TravelWanted::Degrees(120.0);
    let analysis = analyse(&parallelogram, &Options { poses: 5, swept: true });
    assert!((analysis.travel.turn.to_degrees() - 90.0).abs() < 1e-6, "{}", analysis.travel.turn.to_degrees());
    assert!((analysis.travel.missing.to_degrees() - 30.0).abs() < 1e-6);
    assert!(analysis.rules[0].text.contains("two ways"), "{}", analysis.rules[0].text);
}
