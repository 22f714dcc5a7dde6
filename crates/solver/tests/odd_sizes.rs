//! Sizes that can be computed though nobody would build them: nothing panics, no number is lost.

use overarm_solver::{Analysis, Options, Project, Rule, analyse};

fn base(build: &str) -> Project {
    let text = include_str!("../../../tests/golden/chapel-hatch/project.overarm.json");
    serde_json::from_str(&text.replace("\"lapped\"", &format!("\"{build}\""))).expect("a project")
}

#[track_caller]
fn every_number_is_one(what: &str, analysis: &Analysis) {
    let lift = &analysis.lift;
    for figures in &analysis.poses {
        let pose = &figures.pose;
        let numbers = [pose.lower_arm, pose.upper_arm, pose.tilt, pose.transmission, pose.origin().x, pose.origin().y];
        assert!(numbers.iter().all(|number| number.is_finite()), "{what}: {pose:?}");
        assert!([figures.panel_to_room, figures.bars_to_room].iter().flatten().all(|mm| mm.is_finite()), "{what}");
        assert!(lift.lever(pose).is_finite(), "{what}");
        assert!(lift.closure_residual(pose) <= 1e-9 * lift.lengths.longest(), "{what}: the loop closes");
    }
    let found = &analysis.clearances;
    for clearance in [&found.panel, &found.bars, &found.panel_to_wall, &found.bars_to_wall].into_iter().flatten() {
        assert!(clearance.mm.is_finite() && clearance.s.is_finite(), "{what}: {clearance:?}");
        assert!(
            clearance.points.iter().flat_map(|p| p.iter()).all(|number| number.is_finite()),
            "{what}: {clearance:?}"
        );
    }
    for own in &analysis.own {
        assert!(
            own.mm.is_finite() && own.points.iter().flat_map(|p| p.iter()).all(|number| number.is_finite()),
            "{what}: {own:?}"
        );
    }
    let stop = &analysis.stop;
    let numbers = [stop.dead_point_beyond, stop.upper_dead_point_beyond, stop.line_length, stop.closing_speed];
    assert!(numbers.iter().flatten().chain(stop.along.iter().flatten()).all(|n| n.is_finite()), "{what}: {stop:?}");
    for shape in analysis.solids.bars.iter().flat_map(|bar| &bar.layers) {
        let vertices = shape.pieces.iter().flatten();
        assert!(vertices.into_iter().all(|v| v.at.iter().all(|n| n.is_finite()) && v.bulge.is_finite()), "{what}");
    }
    for rule in &analysis.rules {
        assert!(rule.margin.is_none_or(f64::is_finite), "{what}: {rule:?}");
        assert!(!rule.text.contains("NaN") && !rule.text.contains("inf"), "{what}: {}", rule.text);
    }
}

type Change = (&'static str, fn(&mut Project));

const ZEROS: [Change; 12] = [
    ("panel width", |p| p.panel.width = 0.0),
    ("panel height", |p| p.panel.height = 0.0),
    ("panel thickness", |p| p.panel.thickness = 0.0),
    ("panel mass", |p| p.panel.mass = 0.0),
    ("wall bar width", |p| p.bars.wall_bar.width = 0.0),
    ("wall bar depth", |p| p.bars.wall_bar.depth = 0.0),
    ("panel bar width", |p| p.bars.panel_bar.width = 0.0),
    ("panel bar depth", |p| p.bars.panel_bar.depth = 0.0),
    ("lower arm width", |p| p.bars.lower_arm.width = 0.0),
    ("lower arm depth", |p| p.bars.lower_arm.depth = 0.0),
    ("upper arm width", |p| p.bars.upper_arm.width = 0.0),
    ("cutter diameter", |p| p.bars.cutter_diameter = Some(0.0)),
];

#[test]
fn each_zero_alone_and_all_together() {
    for build in ["lapped", "sandwich"] {
        let mut all = base(build);
        for (what, zero) in ZEROS {
            let mut project = base(build);
            zero(&mut project);
            zero(&mut all);
            project.validate().expect("zero is not negative");
            every_number_is_one(what, &analyse(&project, &Options { poses: 9, swept: true }));
        }
        all.validate().expect("zero is not negative");
        every_number_is_one("all", &analyse(&all, &Options { poses: 9, swept: true }));
    }
}

#[test]
fn bars_of_nothing_cannot_be_made() {
    let can_be_made = |project: &Project| {
        let analysis = analyse(project, &Options { poses: 2, swept: false });
        analysis.rules.into_iter().find(|found| found.rule == Rule::CanBeMade).expect("every rule")
    };
    assert_eq!(can_be_made(&base("lapped")).holds, None);
    let mut project = base("lapped");
    project.bars.upper_arm.width = 0.0;
    let found = can_be_made(&project);
    assert_eq!(found.holds, Some(false));
    assert!(found.text.contains("upper arm") && found.text.contains("width"), "{}", found.text);
    let mut project = base("lapped");
    project.bars.wall_bar.depth = 0.0;
    let found = can_be_made(&project);
    assert_eq!(found.holds, Some(false));
    assert!(found.text.contains("wall bar") && found.text.contains("depth"), "{}", found.text);
}

#[test]
fn the_largest_places_are_computed() {
    // A room, a panel and a linkage a thousand kilometres in size.
    let mut project = base("lapped");
    let scale = 1e9 / 4000.0;
    project.room.outline.iter_mut().for_each(|p| p.coords *= scale);
    let linkage = &mut project.linkage;
    for p in [&mut linkage.wall_lower, &mut linkage.wall_upper, &mut linkage.panel_lower, &mut linkage.panel_upper] {
        p.coords *= scale;
    }
    project.panel.hung.standoff *= scale;
    project.panel.hung.bottom *= scale;
    project.panel.centre_of_mass.coords *= scale;
    (project.panel.width, project.panel.height, project.panel.thickness) = (9e8, 7e8, 3.5e7);
    project.validate().expect("within 1e9");
    every_number_is_one("large", &analyse(&project, &Options { poses: 9, swept: true }));
    // And a small lift far from its origin.
    let mut project = base("lapped");
    for p in [&mut project.linkage.wall_lower, &mut project.linkage.wall_upper] {
        p.y += 9e8;
    }
    project.panel.hung.bottom += 9e8;
    project.validate().expect("within 1e9");
    every_number_is_one("far", &analyse(&project, &Options { poses: 9, swept: true }));
}
