//! The demos that come with the program: accepted, every rule holding, with room around the pivots.

#![allow(clippy::unwrap_used)] // a test that cannot go on stops where it stands

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use overarm::session::{Demo, about};
use overarm_shopfiles::project_file;
use overarm_solver::{Options, Point, Project, Rule, Units, analyse};
use serde_json::Value;

/// The projects in `demo/` by file name.
fn demos() -> BTreeMap<String, Project> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().join("demo");
    let files = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    files
        .map(|path| {
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            assert!(name.ends_with(".overarm.json"), "{name} is no project");
            (name, project_file::read(&path).unwrap_or_else(|refused| panic!("{refused}")))
        })
        .collect()
}

fn failing(project: &Project) -> Vec<(Rule, String)> {
    let analysis = analyse(project, &Options { poses: 61, swept: false });
    analysis.rules.iter().filter(|f| f.holds == Some(false)).map(|f| (f.rule, f.text.clone())).collect()
}

#[test]
fn no_rule_fails_and_the_data_is_there() {
    let demos = demos();
    assert!(demos.len() >= 7, "{:?}", demos.keys());
    for (name, project) in &demos {
        assert_eq!(failing(project), [], "{name}");
        // What the rules are computed from: a rule may only be unknown because no version computes it.
        assert!(project.drive.as_ref().is_some_and(|drive| drive.motor.is_some()), "{name}: drive with its motor");
        assert!(project.joints.is_some() && project.fixings.is_some() && project.tolerances.is_some(), "{name}");
        assert!(about(project).is_some_and(|text| text.ends_with('.') && !text.contains('\n')), "{name}: a sentence");
        let kilograms = project.panel.mass;
        assert!((5.0..=30.0).contains(&kilograms), "{name}: {kilograms} kg");
    }
}

#[test]
fn rules_that_are_computed_know_the_demos() {
    const COMPUTED: [Rule; 7] = [
        Rule::Starts,
        Rule::StaysDown,
        Rule::Winds,
        Rule::DriveCopes,
        Rule::BearingsHold,
        Rule::FixingsHold,
        Rule::CanBeMade,
    ];
    for (name, project) in demos() {
        let analysis = analyse(&project, &Options { poses: 61, swept: false });
        for rule in COMPUTED {
            let finding = analysis.rules.iter().find(|finding| finding.rule == rule).unwrap();
            assert_eq!(finding.holds, Some(true), "{name}: {}", finding.text);
        }
    }
}

#[test]
fn feet_and_inches_show_the_same_lift() {
    let demos = demos();
    let mut twins = 0;
    for (name, project) in &demos {
        let Some(of) = name.strip_suffix("-feet.overarm.json") else { continue };
        assert_eq!(project.units(), Units::FeetInch, "{name}");
        let twin = &demos[&format!("{of}.overarm.json")];
        assert_eq!(twin.units(), Units::Millimetre, "{of}");
        let [mut feet, millimetres] = [project, twin].map(|project| serde_json::to_value(project).unwrap());
        feet["units"] = millimetres["units"].clone();
        assert_alike(&feet, &millimetres, name);
        // As a tape reads them: whole sixteenths.
        let linkage = &project.linkage;
        for pivot in [linkage.wall_lower, linkage.wall_upper, linkage.panel_lower, linkage.panel_upper] {
            for sixteenths in pivot.coords.iter().map(|mm| mm / 25.4 * 16.0) {
                assert!((sixteenths - sixteenths.round()).abs() < 1e-6, "{name}: {sixteenths} sixteenths of an inch");
            }
        }
        twins += 1;
    }
    assert_eq!(twins, 3, "the vaulted low side, the flat ceiling with a beam, the ceiling that falls");
}

/// The same fields, and numbers that differ by no more than rounding to a tape's sixteenths does.
fn assert_alike(one: &Value, other: &Value, place: &str) {
    /// mm; a sixteenth of an inch is 1.6.
    const ROUNDED: f64 = 1.6;
    match (one, other) {
        (Value::Object(one), Value::Object(other)) => {
            assert!(one.keys().eq(other.keys()), "{place}");
            one.iter().for_each(|(key, value)| assert_alike(value, &other[key], &format!("{place}: {key}")));
        }
        (Value::Array(one), Value::Array(other)) => {
            assert_eq!(one.len(), other.len(), "{place}");
            one.iter().zip(other).for_each(|(one, other)| assert_alike(one, other, place));
        }
        (Value::Number(one), Value::Number(other)) => {
            let apart = (one.as_f64().unwrap() - other.as_f64().unwrap()).abs();
            assert!(apart <= ROUNDED, "{place}: {one} and {other}");
        }
        _ => assert_eq!(one, other, "{place}"),
    }
}

#[test]
fn the_three_rooms_are_what_they_are_called() {
    let demos = demos();
    let ceiling = |name: &str| {
        let [.., from, to] = demos[name].room.outline.as_slice() else { panic!("{name} has a ceiling") };
        to.y - from.y
    };
    assert!(ceiling("vestry-tea-hatch.overarm.json") > 0.0);
    assert!(ceiling("scullery-shelf.overarm.json").abs() < 1e-9);
    assert!(ceiling("book-niche.overarm.json") < 0.0);
    assert!(demos["scullery-shelf.overarm.json"].room.solids.iter().any(|solid| solid.name.as_deref() == Some("beam")));
}

#[test]
fn every_pivot_of_the_three_may_move_two_millimetres() {
    for (name, project) in demos() {
        // The first demo is made to the hundredth of a millimetre; the others are for trying out.
        if name == Demo::FIRST.file_name() || project.units() != Units::Millimetre {
            continue;
        }
        let pivots: [fn(&mut Project) -> &mut Point; 4] = [
            |project| &mut project.linkage.wall_lower,
            |project| &mut project.linkage.wall_upper,
            |project| &mut project.linkage.panel_lower,
            |project| &mut project.linkage.panel_upper,
        ];
        for (index, pivot) in pivots.iter().enumerate() {
            for (x, y) in [(2.0, 0.0), (-2.0, 0.0), (0.0, 2.0), (0.0, -2.0)] {
                let mut moved = project.clone();
                let point = pivot(&mut moved);
                (point.x, point.y) = (point.x + x, point.y + y);
                // A pivot that comes nearer to its bar's edge costs wall around its seat: that is told.
                let found: Vec<_> = failing(&moved).into_iter().filter(|(rule, _)| *rule != Rule::CanBeMade).collect();
                assert_eq!(found, [], "{name}: pivot {index} by {x}, {y}");
            }
        }
    }
}

#[test]
fn the_window_knows_every_demo_by_name() {
    let built_in: Vec<&str> = Demo::all().map(Demo::file_name).collect();
    let demos = demos();
    for (name, project) in &demos {
        let demo = Demo::all().find(|demo| demo.file_name() == name);
        assert_eq!(demo.map(Demo::project).as_ref(), Some(project), "{name} in {built_in:?}");
    }
    assert_eq!(built_in.len(), demos.len());
}
