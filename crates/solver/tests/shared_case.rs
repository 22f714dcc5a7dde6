//! The chapel hatch board against reference results computed independently of this program with
//! NumPy, SciPy and Shapely (`tests/golden/chapel-hatch/expected.json`).

use overarm_solver::{Analysis, Findings, Options, Project, Rule, analyse};

fn project() -> Project {
    let text = include_str!("../../../tests/golden/chapel-hatch/project.overarm.json");
    let project: Project = serde_json::from_str(text).expect("a project");
    project.validate().expect("an accepted project");
    project
}

fn expected() -> serde_json::Value {
    serde_json::from_str(include_str!("../../../tests/golden/chapel-hatch/expected.json")).expect("reference results")
}

fn number(value: &serde_json::Value) -> f64 {
    value.as_f64().expect("a number")
}

#[track_caller]
fn close(ours: f64, theirs: f64, tolerance: f64, what: &str) {
    assert!((ours - theirs).abs() <= tolerance, "{what}: {ours} against {theirs}");
}

fn analysed() -> (Project, Analysis) {
    let project = project();
    let analysis = analyse(&project, &Options::default());
    (project, analysis)
}

#[test]
fn lengths_and_poses() {
    let (_, analysis) = analysed();
    let expected = expected();
    let lengths = analysis.lift.lengths;
    for (ours, name) in [
        (lengths.lower_arm, "lower_arm"),
        (lengths.upper_arm, "upper_arm"),
        (lengths.panel_bar, "panel_bar"),
        (lengths.wall_bar, "wall_bar"),
    ] {
        close(ours, number(&expected["lengths_mm"][name]), 1e-6, name);
    }
    let start = number(&expected["poses"][0]["lower_arm_deg"]);
    for row in expected["poses"].as_array().expect("poses") {
        let s = (number(&row["lower_arm_deg"]) - start) / 116.2;
        let pose = analysis.pose_at(s);
        close(pose.lower_arm.to_degrees(), number(&row["lower_arm_deg"]), 1e-6, "lower arm");
        close(pose.upper_arm.to_degrees(), number(&row["upper_arm_deg"]), 1e-6, "upper arm");
        close(pose.origin().x, number(&row["x"]), 1e-6, "x");
        close(pose.origin().y, number(&row["y"]), 1e-6, "y");
        close(pose.tilt.to_degrees(), number(&row["tilt_deg"]), 1e-6, "tilt");
        close(pose.transmission.to_degrees(), number(&row["transmission_deg"]), 1e-6, "transmission");
        assert!(analysis.lift.closure_residual(&pose) <= 1e-9 * lengths.longest());
    }
}

#[test]
fn contact_and_least_distances() {
    let (_, analysis) = analysed();
    let expected = expected();
    let contact = analysis.stop.contact.as_ref().expect("the arms touch");
    close(
        contact.turn.to_degrees(),
        number(&expected["arm_on_arm_contact_travel_deg"]),
        1e-6_f64.to_degrees(),
        "contact",
    );
    close(analysis.stop.dead_point_beyond.expect("a dead point").to_degrees(), 4.07, 0.005, "dead point beyond");
    // Found by hand: the nose meets the flank 399.4 mm up the upper arm.
    let along = analysis.lift.upper_arm_axis(&contact.pose);
    let axis = (along[1] - along[0]).normalize();
    close((contact.points[1] - along[0]).dot(&axis), 399.4, 0.1, "place on the upper arm");
    let least = &expected["least_distance_to_ceiling_mm"];
    let panel = analysis.clearances.panel.as_ref().expect("a ceiling");
    close(panel.mm, number(&least["panel"]["mm"]), 0.01, "panel");
    close(panel.s * 116.2, number(&least["panel"]["travel_deg"]), 0.01, "panel's worst pose");
    let bars = analysis.clearances.bars.as_ref().expect("a ceiling");
    close(bars.mm, number(&least["upper"]["mm"]), 0.01, "bars");
    // The round end about the wall pivot is nearest, at every pose alike: the smallest s is told.
    close(bars.s, 0.0, 1e-12, "bars' worst pose");
}

#[test]
fn lever_of_the_shared_case() {
    // Found by hand: hung, the arms' lines cross the panel bar 25.8 mm apart.
    let (project, analysis) = analysed();
    let hung = analysis.pose_at(0.0);
    close(analysis.lift.lever(&hung), 25.8, 0.05, "lever, hung");
    for figures in &analysis.poses {
        // The lower panel pivot's distance from the upper arm's line.
        let [wall, panel] = analysis.lift.upper_arm_axis(&figures.pose);
        let along = (panel - wall).normalize();
        let lever = along.perp(&(figures.pose.panel_lower - wall)).abs();
        close(analysis.lift.lever(&figures.pose), lever, 1e-9, "lever");
    }
    let json = serde_json::to_value(Findings::new(&project, &analysis)).expect("json");
    close(number(&json["poses"][0]["lever_mm"]), 25.8, 0.05, "lever in the findings");
    assert!(json["poses"][60]["lever_mm"].is_f64());
}

#[test]
fn the_stop_of_the_shared_case() {
    let (project, analysis) = analysed();
    let stop = &analysis.stop;
    let contact = stop.contact.as_ref().expect("the arms touch");
    let degrees = |angle: Option<f64>| angle.expect("a dead point").to_degrees();
    close(degrees(stop.dead_point_beyond), 4.07, 0.005, "dead point beyond");
    // From the triangle of the two wall pivots and the upper panel pivot, recomputed in Python.
    close(degrees(stop.upper_dead_point_beyond), 3.434_781, 1e-5, "lower arm and panel bar in line");
    let along = stop.along.expect("places");
    close(along[1], 399.4, 0.05, "along the upper arm");
    // It is the round end about the panel pivot that touches.
    let nose = analysis.lift.lengths.lower_arm;
    assert!(along[0] > nose - 12.7 && along[0] < nose + 12.7, "{along:?}");
    close(stop.line_length.expect("a line"), 12.7, 1e-12, "half the arms' depth");
    assert_eq!(stop.kind.map(overarm_solver::StopKind::words), Some("nose on flank"));
    // Closing speed from the rates: the lower panel pivot against the upper arm's own turn, square
    // to the upper arm.
    let rates = analysis.lift.rates(contact.pose.phase);
    let [wall, panel] = analysis.lift.upper_arm_axis(&contact.pose);
    let axis = (panel - wall).normalize();
    let out = nalgebra::Vector2::new(-axis.y, axis.x);
    let arm = contact.pose.panel_lower - wall;
    let apart = out.dot(&arm).signum()
        * out.dot(&(rates.panel_lower - rates.upper_arm * nalgebra::Vector2::new(-arm.y, arm.x)));
    let speed = stop.closing_speed.expect("a speed");
    close(speed, -apart / rates.lower_arm * analysis.travel.turn.signum(), 1e-5 * speed, "closing speed");
    assert!(speed > 0.0);
    let json = serde_json::to_value(Findings::new(&project, &analysis)).expect("json");
    close(number(&json["stop"]["along_mm"][1]), 399.4, 0.05, "along, in the findings");
    close(number(&json["stop"]["line_mm"]), 12.7, 1e-12, "line");
    close(number(&json["stop"]["closing_mm_per_deg"]), speed.to_radians(), 1e-12, "closing");
    close(number(&json["stop"]["upper_arm_dead_point_beyond_deg"]), 3.434_781, 1e-5, "in line");
}

#[test]
fn rules_of_the_shared_case() {
    let (_, analysis) = analysed();
    let margin = |rule: Rule| {
        let found = analysis.rules.iter().find(|found| found.rule == rule).expect("every rule");
        assert_eq!(found.holds, Some(true), "{}", found.text);
        found.margin.expect("a margin")
    };
    close(margin(Rule::Uncovers), 7.43, 0.005, "uncovers");
    close(margin(Rule::ClearsRoom), 71.7345 - 15.0, 0.01, "clears_room");
    close(margin(Rule::HangsFlat), 19.803421 - 5.0, 1e-6, "hangs_flat");
    close(margin(Rule::StopsOnFold), 0.056713, 1e-4, "stops_on_fold");
    assert!(margin(Rule::Assembles).abs() < 1e-12);
    close(margin(Rule::ClearsWall), 1.0, 0.01, "clears_wall");
    assert!(analysis.holds());
}

#[test]
fn what_an_eye_sees_of_the_shared_case() {
    let (mut project, analysis) = analysed();
    let text = |analysis: &Analysis| {
        analysis.rules.iter().find(|found| found.rule == Rule::Uncovers).expect("every rule").text.clone()
    };
    let json = serde_json::to_value(Findings::new(&project, &analysis)).expect("json");
    close(number(&json["uncover"]["free_mm"]), 1860.0 + 7.43 - 1180.0, 0.005, "free height");
    assert!(json["uncover"]["seen_up_to_mm"].is_null());
    assert!(text(&analysis).contains("687.4 mm"), "{}", text(&analysis));
    // A person 1.5 m out: every point of the lift's silhouette, joined to the eye, meets the wall no
    // lower than told, and one does there.
    let eye = nalgebra::Point2::new(1500.0, 1600.0);
    project.room.uncover.as_mut().expect("an opening").eye = Some(eye);
    let analysis = analyse(&project, &Options::default());
    let json = serde_json::to_value(Findings::new(&project, &analysis)).expect("json");
    let told = number(&json["uncover"]["seen_up_to_mm"]);
    let (lift, pose) = (&analysis.lift, analysis.pose_at(1.0));
    let mut points = lift.panel_corners(&pose).to_vec();
    for arm in [overarm_solver::ArmName::Lower, overarm_solver::ArmName::Upper] {
        for end in lift.arm_axis(arm, &pose) {
            points.extend((0..3600).map(|step| {
                let angle = f64::from(step).to_radians() / 10.0;
                end + lift.arm_radius(arm) * nalgebra::Vector2::new(angle.cos(), angle.sin())
            }));
        }
    }
    let on_wall = |p: &nalgebra::Point2<f64>| eye.y + (p.y - eye.y) * eye.x / (eye.x - p.x);
    let seen = points.iter().filter(|p| p.x < eye.x).map(on_wall).fold(f64::INFINITY, f64::min);
    close(told, seen, 0.001, "seen up to");
    assert!(text(&analysis).contains("From the eye the wall is seen up to"), "{}", text(&analysis));
}

#[test]
fn a_range_upside_down_is_a_failing_rule() {
    let mut project = project();
    let uncover = project.room.uncover.as_mut().expect("an opening");
    (uncover.bottom, uncover.top) = (uncover.top, uncover.bottom);
    project.validate().expect("it can be computed");
    let analysis = analyse(&project, &Options { poses: 2, swept: false });
    let found = analysis.rules.iter().find(|found| found.rule == Rule::Uncovers).expect("every rule");
    assert_eq!(found.holds, Some(false));
    assert!(found.text.contains("exchange"), "{}", found.text);
}

#[test]
fn to_its_stop() {
    let mut project = project();
    project.linkage.travel_deg = overarm_solver::TravelWanted::ToStop;
    let analysis = analyse(&project, &Options::default());
    let expected = number(&expected()["arm_on_arm_contact_travel_deg"]);
    close(analysis.travel.turn.to_degrees(), expected, 1e-6_f64.to_degrees(), "travel");
    assert!(analysis.holds(), "{:?}", analysis.rules);
}

#[test]
fn findings_have_the_contracted_keys() {
    let (project, analysis) = analysed();
    let json = serde_json::to_value(Findings::new(&project, &analysis)).expect("json");
    assert_eq!(json["format"], "overarm-findings");
    assert_eq!(json["verdict"], "holds");
    assert_eq!(json["class"], "RRR4");
    assert_eq!(json["stop"]["kind"], "nose_on_flank");
    assert_eq!(json["stop"]["parts"][1], "upper_arm");
    assert_eq!(json["poses"].as_array().map(Vec::len), Some(61));
    let names: Vec<_> = json["rules"].as_array().expect("rules").iter().map(|r| r["rule"].clone()).collect();
    assert_eq!(names.len(), 17);
    assert_eq!(names[0], "assembles");
    assert_eq!(names[16], "can_be_made");
}
