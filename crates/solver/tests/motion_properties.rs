//! Properties of the motion of random linkages: lengths kept, mirror and rotation invariance,
//! scale, going and returning, rates against central differences, clearance never over-told and
//! hardly under-told.

use nalgebra::{Point2, Rotation2, Vector2};
use overarm_solver::{ArmName, Clearance, Lift, Options, Project, RoomShape, Rule, TravelWanted, analyse};
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
        // Away from change points, where the two would have to be told apart by rounding.
        prop_assume!(accepted(&project) && Lift::new(&project).class.nearest_zero_mm > 0.1);
        let scale = 10.0_f64.powf(power);
        let scaled = scale_of(&project, scale);
        let options = Options { poses: 9, swept: false };
        let (one, other) = (analyse(&project, &options), analyse(&scaled, &options));
        let size = one.lift.lengths.longest();
        prop_assert!((one.travel.turn - other.travel.turn).abs() < 1e-9, "{} {}", one.travel.turn, other.travel.turn);
        prop_assert!((one.travel.missing - other.travel.missing).abs() < 1e-9);
        for (a, b) in one.poses.iter().zip(&other.poses) {
            prop_assert!((a.pose.lower_arm - b.pose.lower_arm).abs() < 1e-7);
            prop_assert!((a.pose.upper_arm - b.pose.upper_arm).abs() < 1e-7);
            prop_assert!((a.pose.tilt - b.pose.tilt).abs() < 1e-7);
            prop_assert!((a.pose.origin().coords * scale - b.pose.origin().coords).norm() < 1e-6 * scale * size);
        }
        prop_assert_eq!(one.lift.class.name, other.lift.class.name);
        // The same things touch at the same turn.
        let stops = (&one.stop.contact, &other.stop.contact);
        prop_assert_eq!(stops.0.as_ref().map(|c| c.parts), stops.1.as_ref().map(|c| c.parts));
        if let (Some(a), Some(b)) = stops {
            prop_assert!((a.turn - b.turn).abs() < 1e-6, "{} {}", a.turn, b.turn);
        }
        // Each distance may be told up to 0.01 mm too small, whatever the size.
        let told = 0.01 * scale.max(1.0);
        let least = |found: &Option<Clearance>| found.as_ref().map(|clearance| clearance.mm);
        let walls = [least(&one.clearances.panel_to_wall), least(&one.clearances.bars_to_wall)];
        // Behind the wall the ceiling is only a continuation: no statement there.
        let free_of_wall = walls.iter().all(|wall| wall.is_some_and(|mm| mm >= 0.0));
        if free_of_wall {
            for (a, b) in [
                (least(&one.clearances.panel), least(&other.clearances.panel)),
                (least(&one.clearances.bars), least(&other.clearances.bars)),
                (walls[0], least(&other.clearances.panel_to_wall)),
                (walls[1], least(&other.clearances.bars_to_wall)),
            ] {
                let (a, b) = (a.expect("a ceiling and a wall"), b.expect("a ceiling and a wall"));
                prop_assert!((a * scale - b).abs() <= told, "{} against {b}", a * scale);
            }
        }
        for (a, b) in one.rules.iter().zip(&other.rules) {
            // The panel may near the wall by 1 mm at any size, and behind the wall see above; bores and
            // walls around them have their own size; weights and limits of force do not grow along.
            let has_own_size =
                matches!(a.rule, Rule::ClearsWall | Rule::CanBeMade | Rule::Starts | Rule::StaysDown | Rule::ComesDown)
                    || matches!(a.rule, Rule::DriveCopes | Rule::BarsHold | Rule::BearingsHold | Rule::FixingsHold);
            if has_own_size || a.rule == Rule::ClearsRoom && !free_of_wall {
                continue;
            }
            prop_assert_eq!(a.unit, b.unit);
            let (ours, theirs) = (a.margin, b.margin);
            prop_assert_eq!(ours.is_some(), theirs.is_some(), "{}", &a.text);
            let (ours, theirs) = (ours.unwrap_or(0.0), theirs.unwrap_or(0.0));
            // How deep parts that lie along each other overlap is bounded, not told to the hundredth.
            let told = if ours < 0.0 && a.rule == Rule::ClearsItself { told + 0.05 * ours.abs() * scale } else { told };
            let (wanted, tolerance) = if a.unit == "mm" { (ours * scale, told) } else { (ours, 1e-4) };
            prop_assert!((wanted - theirs).abs() <= tolerance, "{:?} at {scale}: {wanted} against {theirs}; {} {}", a.rule, a.text, b.text);
        }
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
        let flip = |p: Point2<f64>| Point2::new(-p.x, p.y);
        let turned = change(&|p| turn * p);
        let mirrored = change(&flip);
        prop_assert_eq!(lift.class.name, turned.class.name);
        prop_assert_eq!(lift.class.name, mirrored.class.name);
        let phase = lift.phase_at_hung();
        // In a mirror every turn goes the other way round: the signs of the rates tell which way
        // along its curve the mirrored lift has to be walked.
        let (ours, theirs) = (lift.rates(phase), mirrored.rates(mirrored.phase_at_hung()));
        let alike = ours.lower_arm * theirs.lower_arm + ours.upper_arm * theirs.upper_arm + ours.panel * theirs.panel;
        let way = -alike.signum();
        for step in -20..=20 {
            let d = f64::from(step) * 0.2;
            let pose = lift.pose(phase + d, 0.0);
            let other = turned.pose(turned.phase_at_hung() + d, 0.0);
            prop_assert!((pose.transmission - other.transmission).abs() < 1e-6);
            prop_assert!((turn * pose.panel_lower - other.panel_lower).norm() < 1e-6);
            prop_assert!((turn * pose.panel_upper - other.panel_upper).norm() < 1e-6);
            prop_assert!((pose.tilt - other.tilt).abs() < 1e-6);
            let image = mirrored.pose(mirrored.phase_at_hung() + way * d, 0.0);
            prop_assert!((flip(pose.panel_lower) - image.panel_lower).norm() < 1e-6, "{d}: {image:?}");
            prop_assert!((flip(pose.panel_upper) - image.panel_upper).norm() < 1e-6, "{d}: {image:?}");
            prop_assert!((pose.tilt + image.tilt).abs() < 1e-6);
            prop_assert!((pose.transmission - image.transmission).abs() < 1e-6);
            let (a, b) = (lift.rates(phase + d), mirrored.rates(mirrored.phase_at_hung() + way * d));
            for (a, b) in [(a.lower_arm, b.lower_arm), (a.upper_arm, b.upper_arm), (a.panel, b.panel)] {
                prop_assert!((a + way * b).abs() < 1e-5 * a.abs().max(1.0), "{a} {b}");
            }
        }
    }

    #[test]
    fn clearance_is_told_as_it_is(project in lifts()) {
        // Two-sided, where nothing overlaps: least distances by formulas of this test, at 2001
        // poses, every lowest one refined between its neighbours.
        prop_assume!(accepted(&project));
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let walls = [&analysis.clearances.panel_to_wall, &analysis.clearances.bars_to_wall];
        prop_assume!(walls.iter().all(|wall| wall.as_ref().is_some_and(|wall| wall.mm >= 0.0)));
        let (panel, bars) = (&analysis.clearances.panel, &analysis.clearances.bars);
        let [panel, bars] = [panel, bars].map(|found| found.as_ref().expect("a ceiling").mm);
        prop_assume!(panel > 0.0 && bars > 0.0);
        let ceiling = RoomShape::new(&project.room).edges_after_wall_run().to_vec();
        let lift = &analysis.lift;
        let of_panel = |s: f64| outline_to(&lift.panel_corners(&analysis.pose_at(s)), &ceiling);
        let of_bars = |s: f64| {
            let pose = analysis.pose_at(s);
            let arm = |arm| outline_to(&lift.arm_axis(arm, &pose), &ceiling) - lift.arm_radius(arm);
            let bar = outline_to(&lift.panel_bar_corners(&pose), &ceiling);
            arm(ArmName::Lower).min(arm(ArmName::Upper)).min(bar)
        };
        for (told, least) in [(panel, refined_least(&of_panel)), (bars, refined_least(&of_bars))] {
            prop_assert!(told <= least + 1e-6, "{told} told, {least} seen");
            prop_assert!(told >= least - 0.01, "{told} told, {least} seen");
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

/// Least distance of an outline that overlaps nothing to segments, mm.
fn outline_to(corners: &[Point2<f64>], segments: &[[Point2<f64>; 2]]) -> f64 {
    let off = |p: Point2<f64>, [from, to]: [Point2<f64>; 2]| {
        let along: Vector2<f64> = to - from;
        (p - from - along * ((p - from).dot(&along) / along.norm_squared()).clamp(0.0, 1.0)).norm()
    };
    let mut least = f64::INFINITY;
    for (index, corner) in corners.iter().enumerate() {
        let edge = [*corner, corners[(index + 1) % corners.len()]];
        for segment in segments {
            least = least.min(off(*corner, *segment)).min(off(segment[0], edge)).min(off(segment[1], edge));
        }
    }
    least
}

/// The least value over s in 0…1: the lowest of 2001 poses and their neighbourhoods.
fn refined_least(value: &dyn Fn(f64) -> f64) -> f64 {
    const STEPS: usize = 2000;
    #[allow(clippy::cast_precision_loss)] // small
    let s = |index: usize| index as f64 / STEPS as f64;
    let seen: Vec<f64> = (0..=STEPS).map(|index| value(s(index))).collect();
    let mut least = f64::INFINITY;
    for index in 0..=STEPS {
        let (before, after) = (index.saturating_sub(1), (index + 1).min(STEPS));
        if seen[index] > seen[before] || seen[index] > seen[after] {
            continue;
        }
        let (mut low, mut high) = (s(before), s(after));
        for _ in 0..60 {
            let (one, other) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
            if value(one) <= value(other) { high = other } else { low = one }
        }
        least = least.min(seen[index]).min(value(0.5 * (low + high)));
    }
    least
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
    scaled.room.clearance = Some(scale * project.room.wanted_clearance());
    if let Some(uncover) = &mut scaled.room.uncover {
        uncover.bottom *= scale;
        uncover.top *= scale;
    }
    scaled.bars.running_clearance = Some(scale * project.bars.running_clearance());
    scaled.bars.cutter_diameter = Some(scale * project.bars.cutter_diameter());
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
    // Depths stay as they are: the sets stay out of the strap's way.
    scaled.bars.set_spacing = Some(1e6);
    if let Some(drive) = &mut scaled.drive {
        point(&mut drive.anchor);
        point(&mut drive.drum_centre);
        drive.drum_radius *= scale;
        drive.strap_thickness *= scale;
    }
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
