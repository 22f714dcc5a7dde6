//! Input that nobody means: a finding or a refusal, never a panic, a hang or a number that is none.

use overarm_solver::{Build, Findings, Options, PartName, Point, Project, Solid, StopPin, TravelWanted, analyse};
use proptest::prelude::*;

fn board() -> Project {
    let text = include_str!("../../../tests/golden/chapel-hatch/complete.overarm.json");
    serde_json::from_str(text).expect("a project")
}

/// Analyses what is accepted and looks through everything that is told: `null` where there is no
/// number, never one that is not finite, and a sentence for every rule.
fn told(project: &Project) -> Option<serde_json::Value> {
    project.validate().ok()?;
    let analysis = analyse(project, &Options { poses: 13, swept: true });
    for pose in &analysis.poses {
        let origin = pose.pose.origin();
        let angles = [pose.pose.lower_arm, pose.pose.upper_arm, pose.pose.tilt, pose.pose.transmission];
        assert!(origin.x.is_finite() && origin.y.is_finite() && angles.iter().all(|angle| angle.is_finite()));
    }
    for rule in &analysis.rules {
        assert!(!rule.text.is_empty() && !rule.text.contains("NaN") && !rule.text.contains("inf"), "{}", rule.text);
        assert!(rule.margin.is_none_or(f64::is_finite), "{:?} {:?}", rule.rule, rule.margin);
    }
    // A figure that is not finite cannot be told from `null` in JSON: look before.
    let found = serde_json::to_value(Findings::new(project, &analysis)).expect("findings are data");
    for key in ["lengths_mm", "travel_deg", "missing_deg", "class_nearest_zero_mm"] {
        assert!(!has_null(&found[key]), "{key}: {}", found[key]);
    }
    for pose in found["poses"].as_array().expect("poses") {
        for key in ["s", "lower_arm_deg", "upper_arm_deg", "x", "y", "tilt_deg", "transmission_deg", "lever_mm"] {
            assert!(pose[key].is_number(), "{key} of {pose}");
        }
    }
    assert!(!has_null(&found["swept"]), "swept outlines");
    for solid in found["solids"].as_array().expect("solids") {
        assert!(!has_null(&solid["pieces"]), "pieces");
    }
    for own in found["own"].as_array().expect("own distances") {
        assert!(!has_null(own), "{own}");
    }
    Some(found)
}

fn has_null(value: &serde_json::Value) -> bool {
    match value {
        serde_json::Value::Null => true,
        serde_json::Value::Array(items) => items.iter().any(has_null),
        serde_json::Value::Object(fields) => fields.values().any(has_null),
        _ => false,
    }
}

fn solid(outline: &[[f64; 2]]) -> Solid {
    Solid { name: None, outline: outline.iter().map(|p| Point::new(p[0], p[1])).collect(), more: Default::default() }
}

#[test]
fn a_parallelogram_through_its_change_point() {
    let mut project = board();
    let linkage = &mut project.linkage;
    // Arms of one length, bars of one length, all upright at hung.
    linkage.wall_lower = Point::new(30.0, 2089.0);
    linkage.wall_upper = Point::new(30.0, 2189.0);
    linkage.panel_lower = Point::new(-32.0, 450.0);
    linkage.panel_upper = Point::new(-32.0, 550.0);
    for travel in [30.0, 179.0, 180.0, 200.0, -120.0] {
        project.linkage.travel_deg = TravelWanted::Degrees(travel);
        let found = told(&project).expect("it can be computed");
        assert_eq!(found["class"], "change point");
    }
    // Not in line at hung: it goes until it is.
    project.linkage.wall_upper.x += 20.0;
    project.linkage.panel_upper.x += 20.0;
    project.linkage.travel_deg = TravelWanted::Degrees(300.0);
    let found = told(&project).expect("it can be computed");
    let events = found["events"].as_array().expect("events");
    assert!(
        events.iter().any(|event| event["text"].as_str().is_some_and(|text| text.contains("in line"))),
        "{events:?}"
    );
    assert!(found["missing_deg"].as_f64().expect("a number") > 0.0);
    project.linkage.travel_deg = TravelWanted::ToStop;
    assert!(told(&project).is_some());
}

#[test]
fn bars_of_no_length_are_refused() {
    for bar in 0..4 {
        let mut project = board();
        let (origin, linkage) = (project.panel.hung.origin().coords, &mut project.linkage);
        match bar {
            0 => linkage.wall_upper = linkage.wall_lower,
            1 => linkage.panel_upper = linkage.panel_lower,
            2 => linkage.wall_lower = linkage.panel_lower + origin,
            _ => linkage.wall_upper = linkage.panel_upper + origin,
        }
        let refusal = project.validate().expect_err("two pivots of one bar on each other");
        assert!(refusal.to_string().contains("linkage"), "{refusal}");
        // A hair apart they are computed.
        let linkage = &mut project.linkage;
        let moved = match bar {
            0 | 3 => &mut linkage.wall_upper,
            1 => &mut linkage.panel_upper,
            _ => &mut linkage.wall_lower,
        };
        moved.y += 1e-3;
        moved.x -= 1e-3;
        assert!(told(&project).is_some());
    }
}

#[test]
fn all_pivots_in_line() {
    let mut project = board();
    let linkage = &mut project.linkage;
    (linkage.wall_lower.x, linkage.wall_upper.x) = (30.0, 30.0);
    (linkage.panel_lower.x, linkage.panel_upper.x) = (-32.0, -32.0);
    for travel in [TravelWanted::Degrees(90.0), TravelWanted::Degrees(-1.0), TravelWanted::ToStop] {
        project.linkage.travel_deg = travel;
        let found = told(&project).expect("it can be computed");
        let hangs = found["rules"].as_array().expect("rules").iter().find(|rule| rule["rule"] == "hangs_flat");
        assert_eq!(hangs.expect("the rule")["holds"], false);
    }
    // Within a billionth of a line.
    project.linkage.panel_lower.x += 1e-9;
    assert!(told(&project).is_some());
}

#[test]
fn outlines_that_touch_repeat_and_run_the_other_way() {
    let mut project = board();
    // A beam with its edge on the ceiling's corner, walked clockwise; one that repeats its corners
    // within 1e-9; two that share an edge; one inside the wall; one that is a line.
    project.room.solids = vec![
        solid(&[[400.0, 2500.0], [400.0, 2600.0], [500.0, 2600.0], [500.0, 2500.0]]),
        solid(&[[600.0, 1500.0], [600.0 + 1e-9, 1500.0], [700.0, 1500.0], [700.0, 1500.0 + 1e-9], [700.0, 1600.0]]),
        solid(&[[700.0, 1500.0], [800.0, 1500.0], [800.0, 1600.0], [700.0, 1600.0]]),
        solid(&[[-300.0, 1000.0], [-100.0, 1000.0], [-100.0, 1500.0], [-300.0, 1500.0]]),
        solid(&[[-50.0, 1300.0], [50.0, 1300.0], [50.0, 1400.0], [-50.0, 1400.0]]),
    ];
    assert!(told(&project).is_some());
    let forwards = told(&project).expect("accepted");
    for solid in &mut project.room.solids {
        solid.outline.reverse();
    }
    let backwards = told(&project).expect("accepted");
    assert_eq!(forwards["clearance"]["panel"]["mm"], backwards["clearance"]["panel"]["mm"]);
    project.room.solids = vec![solid(&[[600.0, 1500.0], [700.0, 1500.0], [800.0, 1500.0]])];
    let _ = told(&project);
    // The room: corners on each other, a wall that doubles back, hardly a wall at all.
    for outline in [
        vec![[0.0, 0.0], [0.0, 2250.0], [0.0, 2250.0 + 1e-9], [2400.0, 3930.5]],
        vec![[0.0, 0.0], [0.0, 2250.0], [0.0, 2250.0], [2400.0, 3930.5]],
        vec![[0.0, 0.0], [1e-9, 2250.0], [2400.0, 3930.5]],
        vec![[0.0, 0.0], [0.0, 1e-9]],
        vec![[0.0, 2250.0], [0.0, 0.0]],
    ] {
        let mut project = board();
        project.room.outline = outline.iter().map(|p| Point::new(p[0], p[1])).collect();
        let _ = told(&project);
    }
}

#[test]
fn parts_that_cannot_be() {
    let with = |change: &dyn Fn(&mut Project)| {
        let mut project = board();
        change(&mut project);
        let _ = told(&project);
        project.bars.build = if project.bars.build == Build::Lapped { Build::Sandwich } else { Build::Lapped };
        let _ = told(&project);
    };
    with(&|p| p.panel.thickness = 0.0);
    with(&|p| p.panel.height = 0.0);
    with(&|p| p.panel.width = 0.0);
    with(&|p| p.panel.mass = 0.0);
    with(&|p| p.bars.lower_arm.width = 2000.0);
    with(&|p| p.bars.upper_arm.width = 0.0);
    with(&|p| p.bars.wall_bar.width = 0.0);
    with(&|p| p.bars.panel_bar.depth = 0.0);
    with(&|p| p.bars.wall_bar.lower_end = 0.0);
    with(&|p| p.bars.cutter_diameter = Some(500.0));
    with(&|p| p.bars.cutter_diameter = Some(0.0));
    with(&|p| p.bars.running_clearance = Some(0.0));
    with(&|p| p.bars.running_clearance = Some(300.0));
    with(&|p| p.bars.set_spacing = Some(0.0));
    with(&|p| p.bars.stop_land = Some(true));
    for pair in [
        [PartName::LowerArm, PartName::LowerArm],
        [PartName::Strap, PartName::Room],
        [PartName::WallBar, PartName::PanelBar],
        [PartName::UpperArm, PartName::PanelBar],
        [PartName::WallBar, PartName::LowerArm],
    ] {
        with(&|p| p.bars.stop_pair = Some(pair));
        with(&|p| {
            p.bars.stop_pair = Some(pair);
            p.linkage.travel_deg = TravelWanted::Degrees(100.0);
        });
    }
    for bar in [PartName::Panel, PartName::Room, PartName::Drum, PartName::WallBar, PartName::UpperArm] {
        with(&|p| {
            let more = Default::default();
            p.bars.stop_pin = Some(StopPin { bar, at: Point::new(1e4, -1e4), diameter: 0.0, more });
        });
    }
    with(&|p| {
        let drive = p.drive.as_mut().expect("a drive");
        drive.drum_centre = Point::new(-500.0, 100.0);
    });
    with(&|p| {
        let drive = p.drive.as_mut().expect("a drive");
        (drive.drum_radius, drive.strap_thickness) = (0.0, 0.0);
    });
    with(&|p| {
        let drive = p.drive.as_mut().expect("a drive");
        drive.anchor = Point::new(36.0 - 62.0, 2214.0 - 1180.0);
    });
    with(&|p| p.linkage.travel_deg = TravelWanted::Degrees(0.0));
    with(&|p| p.linkage.travel_deg = TravelWanted::Degrees(1e6));
    with(&|p| p.linkage.travel_deg = TravelWanted::Degrees(-1e-300));
}

/// Every number of the board's file by its path.
fn numbers(value: &serde_json::Value, path: &str, found: &mut Vec<String>) {
    match value {
        serde_json::Value::Number(_) => found.push(path.to_owned()),
        serde_json::Value::Array(items) => {
            for (index, item) in items.iter().enumerate() {
                numbers(item, &format!("{path}/{index}"), found);
            }
        }
        serde_json::Value::Object(fields) => {
            for (name, field) in fields {
                numbers(field, &format!("{path}/{name}"), found);
            }
        }
        _ => {}
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    /// Any few numbers of the file replaced by odd ones.
    #[test]
    fn odd_numbers_anywhere(
        changes in prop::collection::vec((any::<prop::sample::Index>(), prop_oneof![
            Just(0.0), Just(1.0), Just(-1.0), Just(1e-9), Just(1e6), Just(-1e6), Just(90.0), Just(0.01), -500.0..3000.0_f64
        ]), 1..4),
        sandwich in any::<bool>()
    ) {
        let text = include_str!("../../../tests/golden/chapel-hatch/complete.overarm.json");
        let mut value: serde_json::Value = serde_json::from_str(text).expect("JSON");
        let mut paths = Vec::new();
        numbers(&value, "", &mut paths);
        for (index, number) in changes {
            *value.pointer_mut(&paths[index.index(paths.len())]).expect("a path") = serde_json::json!(number);
        }
        if sandwich {
            value["bars"]["build"] = "sandwich".into();
        }
        // A number where a whole one must stand is a refusal of the reader, not ours.
        if let Ok(project) = serde_json::from_value::<Project>(value) {
            told(&project);
        }
    }
}
