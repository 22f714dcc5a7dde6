//! Positions, velocities, limits and coupler curves against published four-bar linkages.
//!
//! Each case names its source; "from memory" means that the book was not opened again and the
//! arithmetic closes when recomputed. Ground pivots at (0, 0) and (d, 0); angles from +x.

use nalgebra::{Isometry2, Point2, Vector2};
use overarm_solver::loop_equations::{LoopAngles, length_sensitivities, rates, residual};
use overarm_solver::pose::pole;
use overarm_solver::{Lengths, Lift, Pose, Project};

/// A linkage as a lift: the wall bar along +x, hung at the given input angle and circuit.
fn linkage(a: f64, b: f64, c: f64, d: f64, theta2_deg: f64, open: bool) -> Lift {
    let theta = theta2_deg.to_radians();
    let at = Point2::new(a * theta.cos(), a * theta.sin());
    // B from the two circles; on the left of A→O4 when open.
    let diagonal = Vector2::new(d, 0.0) - at.coords;
    let r = diagonal.norm();
    let x = (r * r + b * b - c * c) / (2.0 * r);
    let h = (b * b - x * x).max(0.0).sqrt() * if open { 1.0 } else { -1.0 };
    let along = diagonal / r;
    let to = at + along * x + Vector2::new(-along.y, along.x) * h;
    let text = include_str!("../../../tests/golden/chapel-hatch/project.overarm.json");
    let mut project: Project = serde_json::from_str(text).expect("a project");
    project.panel.hung.standoff = 0.0;
    project.panel.hung.bottom = 0.0;
    project.linkage.wall_lower = Point2::new(0.0, 0.0);
    project.linkage.wall_upper = Point2::new(d, 0.0);
    project.linkage.panel_lower = at;
    project.linkage.panel_upper = to;
    Lift::new(&project)
}

/// θ3 (from A to B) of a pose, degrees in −180…180.
fn theta3(pose: &Pose) -> f64 {
    let bar = pose.panel_upper - pose.panel_lower;
    bar.y.atan2(bar.x).to_degrees()
}

fn same_angle(ours: f64, theirs: f64, tolerance: f64) -> bool {
    let off = (ours - theirs).rem_euclid(360.0);
    off.min(360.0 - off) <= tolerance
}

#[track_caller]
fn check_angles(lift: &Lift, theta3_deg: f64, theta4_deg: f64, tolerance: f64) {
    let pose = lift.pose(lift.phase_at_hung(), 0.0);
    assert!(same_angle(theta3(&pose), theta3_deg, tolerance), "θ3 {} against {theta3_deg}", theta3(&pose));
    let theta4 = pose.upper_arm.to_degrees();
    assert!(same_angle(theta4, theta4_deg, tolerance), "θ4 {theta4} against {theta4_deg}");
    assert!(lift.closure_residual(&pose) <= 1e-9 * lift.lengths.longest());
}

/// Rates of panel bar and upper arm for a rate of the lower arm: closed form and Jacobian.
#[track_caller]
fn check_rates(lift: &Lift, omega2: f64, omega3: f64, omega4: f64, tolerance: f64) {
    let found = lift.rates(lift.phase_at_hung());
    let (o3, o4) = (omega2 * found.panel / found.lower_arm, omega2 * found.upper_arm / found.lower_arm);
    assert!((o3 - omega3).abs() <= tolerance, "ω3 {o3} against {omega3}");
    assert!((o4 - omega4).abs() <= tolerance, "ω4 {o4} against {omega4}");
    let pose = lift.pose(lift.phase_at_hung(), 0.0);
    let at = LoopAngles { lower_arm: pose.lower_arm, panel_bar: theta3(&pose).to_radians(), upper_arm: pose.upper_arm };
    assert!(residual(&lift.lengths, &at).norm() <= 1e-9 * lift.lengths.longest());
    let by_jacobian = omega2 * rates(&lift.lengths, &at).expect("away from dead points");
    assert!((by_jacobian.x - o3).abs() <= 1e-9 * omega2.abs().max(1.0));
    assert!((by_jacobian.y - o4).abs() <= 1e-9 * omega2.abs().max(1.0));
}

#[test]
fn norton_crank_rocker_100_40_120_80() {
    // Norton, Design of Machinery, examples 4-1, 6-7 (from memory, arithmetic closes).
    let open = linkage(40.0, 120.0, 80.0, 100.0, 40.0, true);
    check_angles(&open, 20.298, 57.325, 5e-4);
    check_rates(&open, 25.0, -4.121, 6.998, 5e-4);
    let found = open.rates(open.phase_at_hung());
    // Velocity of A and B, mm/s.
    let omega = 25.0 / found.lower_arm;
    let pose = open.pose(open.phase_at_hung(), 0.0);
    let a = found.panel_lower * omega;
    assert!((a - Vector2::new(-642.79, 766.04)).norm() < 0.01, "{a}");
    let b = pose.panel_point_rate(open.panel_upper, &found) * omega;
    assert!((b - Vector2::new(-471.24, 302.24)).norm() < 0.01, "{b}");
    assert!((b - a - Vector2::new(171.55, -463.80)).norm() < 0.01);
    let crossed = linkage(40.0, 120.0, 80.0, 100.0, 40.0, false);
    check_angles(&crossed, -60.978, -98.005, 5e-4);
    // Crossed rates: recomputed independently in Python.
    check_rates(&crossed, 25.0, -9.2588, -20.3777, 5e-5);
}

#[test]
fn norton_row_a_6_2_7_9() {
    // Norton, tables P4-1 and P6-1 row a (inputs public, answers from memory, arithmetic closes).
    let open = linkage(2.0, 7.0, 9.0, 6.0, 30.0, true);
    check_angles(&open, 88.837, 117.286, 5e-4);
    check_rates(&open, 10.0, -5.991, -3.992, 5e-4);
    let crossed = linkage(2.0, 7.0, 9.0, 6.0, 30.0, false);
    check_angles(&crossed, -115.211, -143.660, 5e-4);
    check_rates(&crossed, 10.0, -0.662, -2.662, 5e-4);
    let pose = open.pose(open.phase_at_hung(), 0.0);
    assert!((pose.transmission.to_degrees() - 28.449).abs() < 5e-4);
}

/// θ3, θ4, degrees, and ω3, ω4 for ω2 = 1 in closed form, sharing nothing with the solver: the
/// tangent-half-angle roots of Freudenstein's equation (Norton, eqs. 4.10 and 4.13, rates eqs.
/// 6.18, from memory), the open root being that with B on the left of A→O4.
fn closed_form(a: f64, b: f64, c: f64, d: f64, theta2_deg: f64, open: bool) -> [f64; 4] {
    let theta2 = theta2_deg.to_radians();
    let (sine, cosine) = theta2.sin_cos();
    let squares = a * a + d * d;
    let (k1, k2, k3) = (d / a, d / c, (squares - b * b + c * c) / (2.0 * a * c));
    let (k4, k5) = (d / b, (c * c - squares - b * b) / (2.0 * a * b));
    let root = |p: f64, q: f64, r: f64, sign: f64| 2.0 * (-q + sign * (q * q - 4.0 * p * r).sqrt()).atan2(2.0 * p);
    let mut found = None;
    for sign in [1.0, -1.0] {
        let theta4 = root(cosine - k1 - k2 * cosine + k3, -2.0 * sine, k1 - (k2 + 1.0) * cosine + k3, sign);
        let theta3 = root(cosine - k1 + k4 * cosine + k5, -2.0 * sine, k1 + (k4 - 1.0) * cosine + k5, sign);
        let bar = b * Vector2::new(theta3.cos(), theta3.sin());
        let diagonal = Vector2::new(d - a * cosine, -a * sine);
        let closes = a * Vector2::new(cosine, sine) + bar - c * Vector2::new(theta4.cos(), theta4.sin());
        assert!((closes - Vector2::new(d, 0.0)).norm() < 1e-9 * (a + b + c + d), "the closed form itself closes");
        if (diagonal.perp(&bar) > 0.0) == open {
            let omega3 = a / b * (theta4 - theta2).sin() / (theta3 - theta4).sin();
            let omega4 = a / c * (theta2 - theta3).sin() / (theta4 - theta3).sin();
            found = Some([theta3.to_degrees(), theta4.to_degrees(), omega3, omega4]);
        }
    }
    found.expect("one root on either side")
}

#[test]
fn every_published_linkage_on_both_circuits_against_the_closed_form() {
    // No published value exists for most crossed circuits and rates: all eight are held against
    // `closed_form` on both circuits, angles and signed rates. Lengths a, b, c, d; θ2; ω2 (negative
    // is clockwise).
    let clockwise = -120.0 * std::f64::consts::TAU / 60.0;
    for (name, [a, b, c, d], theta2, omega2) in [
        ("K1", [40.0, 120.0, 80.0, 100.0], 40.0, 25.0),
        ("K2", [2.0, 7.0, 9.0, 6.0], 30.0, 10.0),
        ("K3", [35.0, 25.0, 15.0, 10.0], 30.0, 10.0),
        ("K4", [3.0, 4.0, 4.0, 6.0], 45.0, 10.0),
        ("K5", [40.0, 150.0, 80.0, 150.0], 60.0, clockwise),
        ("K6", [62.5, 175.0, 112.5, 200.0], 60.0, -10.0),
        ("K7", [0.1, 0.3, 0.22, 0.2], 45.0, 1.5),
        ("K8", [80.0, 50.0, 80.0, 50.0], 60.0, 1.0),
        ("K8", [80.0, 50.0, 80.0, 50.0], 130.0, 1.0),
    ] {
        for open in [true, false] {
            let [theta3, theta4, omega3, omega4] = closed_form(a, b, c, d, theta2, open);
            assert!(theta3.is_finite() && omega3.is_finite(), "{name}");
            let lift = linkage(a, b, c, d, theta2, open);
            check_angles(&lift, theta3, theta4, 1e-9);
            check_rates(&lift, omega2, omega2 * omega3, omega2 * omega4, 1e-8 * omega2.abs());
        }
    }
}

#[test]
fn published_triple_rocker_35_25_15_10() {
    // transtutors.com question 13676847, published to 4 decimals, both circuits; coupler point
    // 10 from B at 70° from BA. Rates: from `closed_form`, none are published.
    for (open, theta3_deg, theta4_deg, point) in [
        (true, 254.1745, 334.0983, Point2::new(33.4666, -5.8245)),
        (false, 187.3223, 107.3985, Point2::new(10.1047, 5.4293)),
    ] {
        let lift = linkage(35.0, 25.0, 15.0, 10.0, 30.0, open);
        check_angles(&lift, theta3_deg, theta4_deg, 5e-5);
        let pose = lift.pose(lift.phase_at_hung(), 0.0);
        assert!((pose.transmission.to_degrees() - 79.9238).abs() < 5e-5);
        let direction = (theta3_deg + 180.0 - 70.0_f64).to_radians();
        let p = pose.panel_upper + 10.0 * Vector2::new(direction.cos(), direction.sin());
        assert!((p - point).norm() < 1e-4, "{p}");
    }
    check_rates(&linkage(35.0, 25.0, 15.0, 10.0, 30.0, true), 1.0, 1.177_468, 1.651_446, 5e-7);
    check_rates(&linkage(35.0, 25.0, 15.0, 10.0, 30.0, false), 1.0, 1.387_679, 0.913_702, 5e-7);
}

#[test]
fn more_published_positions_and_rates() {
    // tutorsglobe.com 5747384 (inputs public, answers recomputed in Python, rates by `closed_form`:
    // of b = c they trade places between the circuits).
    for (open, theta3_deg, theta4_deg, omega3, omega4) in
        [(true, 27.779, 94.871, -0.622_546, 0.241_058), (false, -85.129, -152.221, 0.241_058, -0.622_546)]
    {
        let lift = linkage(3.0, 4.0, 4.0, 6.0, 45.0, open);
        check_angles(&lift, theta3_deg, theta4_deg, 5e-4);
        check_rates(&lift, 1.0, omega3, omega4, 5e-7);
    }
    // Khurmi and Gupta, Theory of Machines, example 7.1 (from memory): 120 rpm clockwise, so the
    // output turns clockwise too; graphical 4.8. Crossed: by `closed_form`.
    let clockwise = -120.0 * std::f64::consts::TAU / 60.0;
    let lift = linkage(40.0, 150.0, 80.0, 150.0, 60.0, true);
    check_angles(&lift, 17.154, 80.410, 5e-4);
    check_rates(&lift, clockwise, 1.308_625, -4.784_571, 5e-6);
    let found = lift.rates(lift.phase_at_hung());
    let output = clockwise * found.upper_arm / found.lower_arm;
    assert!((output + 4.8).abs() < 0.048, "{output}");
    let crossed = linkage(40.0, 150.0, 80.0, 150.0, 60.0, false);
    check_angles(&crossed, -46.9957, -110.2520, 5e-5);
    check_rates(&crossed, clockwise, 0.635_344, 6.728_540, 5e-6);
    // Khurmi and Gupta, ch. 8, PQRS (inputs public at askfilo.com, graphical answers from memory,
    // 1.9 and 3.78): 10 rad/s clockwise; QR turns counter-clockwise, RS clockwise.
    let lift = linkage(62.5, 175.0, 112.5, 200.0, 60.0, true);
    check_angles(&lift, 19.4634, 91.9105, 5e-5);
    check_rates(&lift, -10.0, 1.980, -3.787, 5e-4);
    let found = lift.rates(lift.phase_at_hung());
    let (qr, rs) = (-10.0 * found.panel / found.lower_arm, -10.0 * found.upper_arm / found.lower_arm);
    assert!((qr - 1.9).abs() < 0.1 && (rs + 3.78).abs() < 0.04 * 3.78, "{qr} {rs}");
    let crossed = linkage(62.5, 175.0, 112.5, 200.0, 60.0, false);
    check_angles(&crossed, -55.0307, -127.4778, 5e-5);
    check_rates(&crossed, -10.0, -0.487_489, 5.279_610, 5e-6);
    // Nikravesh, Planar Multibody Dynamics, example 5.2 (inputs in the author's public code);
    // crossed: by `closed_form`.
    let lift = linkage(0.1, 0.3, 0.22, 0.2, 45.0, true);
    check_angles(&lift, 15.592, 43.466, 5e-4);
    check_rates(&lift, 1.5, 0.0286, 0.7161, 5e-5);
    let crossed = linkage(0.1, 0.3, 0.22, 0.2, 45.0, false);
    check_angles(&crossed, -72.9417, -100.8165, 5e-5);
    check_rates(&crossed, 1.5, -0.600_853, -1.288_306, 5e-6);
}

#[test]
fn a_parallelogram_only_translates() {
    // Identity: a = c, b = d.
    for theta in [10.0, 60.0, 100.0, 170.0] {
        let lift = linkage(80.0, 50.0, 80.0, 50.0, theta, true);
        check_angles(&lift, 0.0, theta, 1e-9);
        check_rates(&lift, 1.0, 0.0, 1.0, 1e-9);
    }
    // Crossed it is an antiparallelogram: by `closed_form`.
    let crossed = linkage(80.0, 50.0, 80.0, 50.0, 60.0, false);
    check_angles(&crossed, -163.5736, 136.4264, 5e-5);
    check_rates(&crossed, 1.0, 1.795_918, 0.795_918, 5e-7);
}

#[test]
fn transmission_angles_and_limits() {
    // T1, T2: recomputed in Python from cos µ = (b² + c² − a² − d² + 2ad cos θ2) / 2bc.
    let crank = |a, b, c, d, theta| {
        let lift = linkage(a, b, c, d, theta, true);
        lift.pose(lift.phase_at_hung(), 0.0).transmission.to_degrees()
    };
    for (theta, angle) in [(40.0, 37.027), (0.0, 26.3843), (180.0, 86.4167)] {
        assert!((crank(40.0, 120.0, 80.0, 100.0, theta) - angle).abs() < 5e-4);
    }
    // practice: the angle of 40/110/80/100 reaches 93.58°, told as 86.42°.
    assert!((crank(40.0, 110.0, 80.0, 100.0, 180.0) - 86.42).abs() < 0.01);
    for (theta, angle) in [(0.0, 25.2088), (180.0, 58.4119)] {
        assert!((crank(2.0, 7.0, 9.0, 6.0, theta) - angle).abs() < 5e-4);
    }
    // Rocker limits are the upper arm's dead points: T1 54.9004° at 24.1468°, 128.6822° at
    // 231.3178°; T2 109.4712° (arccos −1/3) at 70.5288°, 148.4137° at 289.4712°.
    for (lengths, limits) in [
        ((40.0, 120.0, 80.0, 100.0), [(24.1468, 54.9004), (231.3178, 128.6822)]),
        ((2.0, 7.0, 9.0, 6.0), [(70.5288, 109.4712), (289.4712, 148.4137)]),
    ] {
        let (a, b, c, d) = lengths;
        let lift = linkage(a, b, c, d, 40.0, true);
        let found = lift.circuit.upper_arm_dead_points();
        assert_eq!(found.len(), 2);
        for (phase, (theta2, theta4)) in found.iter().zip(limits) {
            let pose = lift.pose(*phase, 0.0);
            assert!(same_angle(pose.lower_arm.to_degrees(), theta2, 5e-5), "{}", pose.lower_arm.to_degrees());
            assert!(same_angle(pose.upper_arm.to_degrees(), theta4, 5e-5));
            assert!(lift.rates(*phase).upper_arm.abs() < 1e-9);
        }
    }
}

/// Angles of the lower arm at its dead points, degrees.
fn limits(a: f64, b: f64, c: f64, d: f64, theta: f64) -> Vec<f64> {
    let lift = linkage(a, b, c, d, theta, true);
    lift.circuit.lower_arm_dead_points().iter().map(|p| lift.circuit.lower_arm_angle(*p).to_degrees()).collect()
}

#[test]
fn toggles_of_rockers() {
    // T3…T5, Norton eq. 4.10 (from memory), recomputed in Python.
    let near = |found: Vec<f64>, wanted: [f64; 2]| {
        let mut sorted = found;
        sorted.sort_by(f64::total_cmp);
        assert!(sorted.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 5e-5), "{sorted:?} against {wanted:?}");
        assert_eq!(sorted.len(), 2);
    };
    near(limits(35.0, 25.0, 15.0, 10.0, 30.0), [-113.1324, 113.1324]);
    near(limits(120.0, 60.0, 100.0, 90.0, 40.0), [14.6265, 98.2515]);
    near(limits(100.0, 70.0, 80.0, 140.0, 40.0), [-75.3110, 75.3110]);
    // Solver trap: 10, 6, 7, 12 is limited to ±71.790°.
    near(limits(10.0, 6.0, 7.0, 12.0, 20.0), [-71.7900, 71.7900]);
}

#[test]
fn both_circuits_stay_apart_next_to_a_limit() {
    // Solver trap: at 71.79° the two assemblies of 10, 6, 7, 12 are 0.12° apart. That is the panel
    // bar (θ3); the upper arm (θ4) is 0.107° apart there. Both recomputed in Python.
    let [one, other] = [true, false].map(|open| linkage(10.0, 6.0, 7.0, 12.0, 71.79, open));
    let poses = [one.pose(one.phase_at_hung(), 0.0), other.pose(other.phase_at_hung(), 0.0)];
    let apart = [theta3(&poses[0]) - theta3(&poses[1]), (poses[0].upper_arm - poses[1].upper_arm).to_degrees()];
    assert!((apart[0].abs() - 0.12).abs() < 0.005, "{apart:?}");
    assert!((apart[0] - 0.124_735).abs() < 1e-6 && (apart[1] + 0.106_916).abs() < 1e-6, "{apart:?}");
    // One step from −15° to +5° stays on the circuit it is on.
    let lift = linkage(10.0, 6.0, 7.0, 12.0, -15.0, true);
    let target = linkage(10.0, 6.0, 7.0, 12.0, 5.0, true);
    let phase = lift.circuit.phase_of_turn(lift.phase_at_hung(), 20.0_f64.to_radians());
    let (pose, wanted) = (lift.pose(phase, 1.0), target.pose(target.phase_at_hung(), 0.0));
    assert!((pose.panel_upper - wanted.panel_upper).norm() < 1e-9);
}

#[test]
fn change_points_are_where_they_should_be() {
    // Solver traps: (12,5,12,5) and (4,8,6,10) have change points at 180°.
    for (a, b, c, d) in [(12.0, 5.0, 12.0, 5.0), (4.0, 8.0, 6.0, 10.0)] {
        let lift = linkage(a, b, c, d, 60.0, true);
        assert_eq!(lift.class.name, "change point");
        let angles: Vec<f64> =
            lift.circuit.change_points().iter().map(|p| lift.circuit.lower_arm_angle(*p).to_degrees()).collect();
        assert!(angles.iter().any(|angle| (angle - 180.0).abs() < 1e-9), "{angles:?}");
    }
}

#[test]
fn chebyshev_straight_line() {
    // C1, textbook closed form: ground 4, cranks 5, coupler 2 (crossed); the coupler's midpoint is
    // at y = 4 exactly for x = 0, 2, 4; 4 ≤ y ≤ 4.009753 between.
    let middle = |theta: f64| {
        let lift = linkage(5.0, 2.0, 5.0, 4.0, theta, true);
        let pose = lift.pose(lift.phase_at_hung(), 0.0);
        nalgebra::center(&pose.panel_lower, &pose.panel_upper)
    };
    let crossed = |theta: f64| {
        let lift = linkage(5.0, 2.0, 5.0, 4.0, theta, false);
        let pose = lift.pose(lift.phase_at_hung(), 0.0);
        nalgebra::center(&pose.panel_lower, &pose.panel_upper)
    };
    // Which of the two assemblies crosses the arms changes with nothing else: pick the one whose
    // midpoint is on the line.
    let on_line = |theta: f64| {
        if (middle(theta).y - 4.0).abs() < (crossed(theta).y - 4.0).abs() { middle(theta) } else { crossed(theta) }
    };
    for (theta, x) in [(90.0, 0.0), (53.130_102_354_155_98, 2.0), (36.869_897_645_844_02, 4.0)] {
        let p = on_line(theta);
        assert!((p.y - 4.0).abs() < 1e-9 && (p.x - x).abs() < 1e-9, "{p}");
    }
    for step in 0..=100 {
        let p = on_line(36.9 + f64::from(step) * 0.53);
        assert!(p.y > 4.0 - 1e-9 && p.y < 4.009_754, "{p}");
    }
}

/// The coupler point at AP = 2 · AB of a linkage with coupler = rocker, over crank angles.
fn hoekens(crank: f64, ground: f64, bar: f64, around: f64) -> Vec<Point2<f64>> {
    (0..=400)
        .map(|step| {
            let theta = 180.0 - 0.5 * around + around * f64::from(step) / 400.0;
            let lift = linkage(crank, bar, bar, ground, theta, true);
            let pose = lift.pose(lift.phase_at_hung(), 0.0);
            pose.panel_lower + 2.0 * (pose.panel_upper - pose.panel_lower)
        })
        .collect()
}

#[test]
fn hoekens_straight_lines() {
    // C2 (cognate of C1): 1 : 2 : 2.5 : 2.5, θ2 = 90…270°: Δx = 4, 4.0000 ≤ y ≤ 4.0098.
    let curve = hoekens(1.0, 2.0, 2.5, 180.0);
    assert!(((curve[0].x - curve[400].x).abs() - 4.0).abs() < 1e-9);
    assert!(curve.iter().all(|p| p.y.abs() > 4.0 - 1e-9 && p.y.abs() < 4.0098));
    // C3: Norton, table 3-1 (from memory; the 140° row is also quoted publicly). ΔCx / L2 and
    // ΔCy %, recomputed with L3 = 1.5·L1 − 0.5.
    for (around, ground, dx, dy) in [
        (20.0, 2.975, 0.6013, 0.00001),
        (40.0, 2.950, 1.1930, 0.00004),
        (60.0, 2.900, 1.7629, 0.00027),
        (80.0, 2.825, 2.2991, 0.00117),
        (100.0, 2.725, 2.7898, 0.00367),
        // 3.23796 and 0.01031 are recomputed here; they round to the printed 3.238 and 0.010.
        (120.0, 2.625, 3.23796, 0.01031),
        (140.0, 2.500, 3.6226, 0.02309),
        (160.0, 2.350, 3.9331, 0.04744),
        (180.0, 2.200, 4.1808, 0.09631),
    ] {
        let curve = hoekens(1.0, ground, 1.5 * ground - 0.5, around);
        let length = (curve[0].x - curve[400].x).abs();
        assert!((length - dx).abs() < 6e-5, "{around}: {length} against {dx}");
        let (low, high) = curve.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| (l.min(p.y), h.max(p.y)));
        let ripple = 100.0 * (high - low) / length;
        assert!((ripple - dy).abs() < 6e-6, "{around}: {ripple} against {dy}");
    }
}

#[test]
fn pole_of_a_quarter_turn() {
    // S3: pose (0, 0, 0°) → (1, 1, 90°) turns about (0, 1); checked by hand.
    let moved = Isometry2::new(Vector2::new(1.0, 1.0), std::f64::consts::FRAC_PI_2);
    let found = pole(&Isometry2::identity(), &moved).expect("a turn");
    assert!((found - Point2::new(0.0, 1.0)).norm() < 1e-12);
}

/// How far a point is off the perpendicular bisector of a panel point's two places.
fn off_bisector(from: &Isometry2<f64>, to: &Isometry2<f64>, moving: Point2<f64>, point: Point2<f64>) -> f64 {
    let (one, other) = (from * moving, to * moving);
    (point - nalgebra::center(&one, &other)).dot(&(other - one).normalize())
}

#[test]
fn pole_of_a_flip() {
    // S4, constructed and checked in Python: (0, 0, 0°) → (0.3, 1.1, 170°).
    let (hung, flipped) = (Isometry2::identity(), Isometry2::new(Vector2::new(0.3, 1.1), 170.0_f64.to_radians()));
    let found = pole(&hung, &flipped).expect("a turn");
    assert!((found - Point2::new(0.101_881, 0.563_123)).norm() < 1e-6, "{found}");
    for (moving, moved) in [
        (Point2::new(0.1, 0.2), Point2::new(0.166_790, 0.920_403)),
        (Point2::new(0.4, -0.1), Point2::new(-0.076_558, 1.267_940)),
    ] {
        assert!((flipped * moving - moved).norm() < 1e-6);
        assert!(off_bisector(&hung, &flipped, moving, found).abs() < 1e-15);
    }
}

#[test]
fn poles_of_special_displacements() {
    let hung = Isometry2::new(Vector2::new(62.0, 1180.0), 0.3);
    // Pure translation: all bisectors are parallel, there is no pole.
    let shifted = Isometry2::new(Vector2::new(400.0, 1700.0), 0.3);
    assert!(pole(&hung, &shifted).is_none());
    // Turning by rounding only is a translation too: no far-off nonsense, nothing non-finite.
    let nearly = Isometry2::new(Vector2::new(400.0, 1700.0), 0.3 + 1e-17);
    assert!(pole(&hung, &nearly).is_none());
    // The same pose twice: every point would do, none is told.
    assert!(pole(&hung, &hung).is_none());
    // Half-turn: all bisectors meet at one point, half way between any point's two places.
    let half_turn = Isometry2::new(Vector2::new(400.0, 1700.0), 0.3 + std::f64::consts::PI);
    let found = pole(&hung, &half_turn).expect("a turn");
    for moving in [Point2::new(0.0, 0.0), Point2::new(-40.0, 450.0), Point2::new(35.0, 700.0)] {
        assert!((found - nalgebra::center(&(hung * moving), &(half_turn * moving))).norm() < 1e-9);
        assert!(off_bisector(&hung, &half_turn, moving, found).abs() < 1e-9);
    }
}

#[test]
fn sensitivities_to_lengths() {
    // X4: analytic, checked by central difference in Python: degrees per mm.
    let lift = linkage(40.0, 120.0, 80.0, 100.0, 40.0, true);
    let pose = lift.pose(lift.phase_at_hung(), 0.0);
    let at = LoopAngles { lower_arm: pose.lower_arm, panel_bar: theta3(&pose).to_radians(), upper_arm: pose.upper_arm };
    let found = length_sensitivities(&Lengths { ..lift.lengths }, &at).expect("away from dead points");
    // Ours hold the ground line's direction; order a, b, c, d.
    let bar = [-0.75691, -0.63300, 0.79288, 0.42806];
    let arm = [-1.11969, -1.18932, 0.94949, 1.11546];
    for column in 0..4 {
        assert!((found[(0, column)].to_degrees() - bar[column]).abs() < 6e-6);
        assert!((found[(1, column)].to_degrees() - arm[column]).abs() < 6e-6);
    }
}
