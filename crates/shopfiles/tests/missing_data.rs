//! Each input taken away or spoilt in turn: exactly the rules that need it say what is missing and where
//! it stands, or the file is refused with the field's name; nothing is guessed in silence.

use std::collections::BTreeSet;

use overarm_shopfiles::project_file::parse;
use overarm_solver::errors::Draws;
use overarm_solver::{Findings, Options, Rule, RuleFinding, analyse};
use serde_json::{Value, json};

fn board() -> Value {
    serde_json::from_str(include_str!("../../../demo/chapel-hatch.overarm.json")).expect("JSON")
}

/// The rules of a file, and what is told as taken by default; or why the file is refused.
fn judged(board: &Value) -> Result<(Vec<RuleFinding>, Vec<String>), String> {
    let project = parse(board.to_string().as_bytes()).map_err(|refused| refused.to_string())?;
    let analysis = analyse(&project, &Options { poses: 31, swept: false });
    let rules = analysis.judged_by_errors(&project, &Draws { count: 200, ..Draws::default() }).rules;
    Ok((rules, Findings::defaults(&project)))
}

/// The board with one field changed, or taken away.
fn with(pointer: &str, to: &Value) -> Value {
    let mut board = board();
    let (parent, name) = pointer.rsplit_once('/').expect("a pointer");
    let parent = board.pointer_mut(parent).and_then(Value::as_object_mut).expect("an object");
    if to.is_null() {
        assert!(parent.remove(name).is_some(), "{pointer} is not in the board");
    } else {
        parent.insert(name.to_owned(), to.clone());
    }
    board
}

fn text_of(rules: &[RuleFinding], rule: Rule) -> &str {
    rules.iter().find(|found| found.rule == rule).map_or("", |found| &found.text)
}

#[test]
fn the_whole_board_has_every_rule_checked_and_holding() {
    let (rules, _) = judged(&board()).expect("a project");
    for finding in rules {
        assert_eq!(finding.holds, Some(true), "{:?}: {}", finding.rule, finding.text);
    }
}

const LOADS: [Rule; 3] = [Rule::BarsHold, Rule::BearingsHold, Rule::FixingsHold];

fn not_judged(rules: &[RuleFinding]) -> Vec<Rule> {
    rules.iter().filter(|found| found.holds.is_none()).map(|found| found.rule).collect()
}

fn names(rules: &[Rule]) -> BTreeSet<&'static str> {
    rules.iter().map(|rule| rule.name()).collect()
}

/// What is missing is said by the rules that need it, and by no other.
#[test]
fn what_is_taken_away_is_missed_by_the_rules_that_need_it() {
    use Rule::{BearingsHold, CanBeMade, ComesDown, DriveCopes, PairRunsFree, Starts, StaysDown, Uncovers, Winds};
    let cases: Vec<(&str, Vec<Rule>, &str)> = vec![
        ("/drive", [vec![Starts, Winds, DriveCopes], LOADS.to_vec()].concat(), "drive"),
        ("/drive/strap_limit", vec![Starts], "drive.strap_limit"),
        ("/drive/motor", vec![DriveCopes], "drive.motor"),
        ("/drive/motor/torque", vec![DriveCopes], "drive.motor.torque"),
        ("/drive/motor/ratio", vec![DriveCopes], "ratio is not given"),
        ("/drive/motor/efficiency", vec![DriveCopes], "efficiency is not given"),
        ("/joints", vec![BearingsHold, PairRunsFree, CanBeMade], "joints.bearing"),
        ("/joints/bearing", vec![BearingsHold, PairRunsFree, CanBeMade], "joints.bearing"),
        ("/fixings", vec![Rule::FixingsHold], "fixings"),
        ("/fixings/count", vec![Rule::FixingsHold], "number of screws"),
        ("/fixings/diameter", vec![Rule::FixingsHold], "diameter"),
        ("/fixings/thread_length", vec![Rule::FixingsHold], "thread length"),
        ("/fixings/wood_gravity", vec![Rule::FixingsHold], "specific gravity"),
        ("/tolerances", vec![PairRunsFree], "tolerances.length"),
        ("/room/uncover", vec![Uncovers], "room.uncover"),
    ];
    for (pointer, expected, words) in cases {
        let (rules, _) = judged(&with(pointer, &Value::Null)).unwrap_or_else(|refused| panic!("{pointer}: {refused}"));
        assert_eq!(names(&not_judged(&rules)), names(&expected), "{pointer}");
        for finding in rules.iter().filter(|finding| finding.holds.is_none()) {
            assert!(finding.margin.is_none(), "{pointer}: a margin of what is not known: {finding:?}");
            assert!(finding.text.contains(words), "{pointer}: {}", finding.text);
        }
    }
    // A bar of what nobody knows: its weight is missing in all that weighs; once that is given, its strength.
    for bar in ["wall_bar", "panel_bar", "lower_arm", "upper_arm"] {
        let mut board = with(&format!("/bars/{bar}/material"), &json!("moon rock"));
        let (rules, _) = judged(&board).expect("a project");
        let weighs = [vec![Starts, StaysDown, ComesDown, DriveCopes], LOADS.to_vec(), vec![PairRunsFree]].concat();
        assert_eq!(names(&not_judged(&rules)), names(&weighs), "{bar}");
        assert!(text_of(&rules, Starts).contains("\"moon rock\""));
        board["bars"][bar]["mass"] = json!(1.0);
        let (rules, _) = judged(&board).expect("a project");
        // Screws bear in the wall bar.
        let needed = if bar == "wall_bar" { vec![Rule::BarsHold, Rule::FixingsHold] } else { vec![Rule::BarsHold] };
        assert_eq!(names(&not_judged(&rules)), names(&needed), "{bar} with its mass");
    }
}

/// What a rule is judged without is still said, by its field or as a default.
#[test]
fn what_a_rule_does_without_is_told() {
    let (before, usual) = judged(&board()).expect("a project");
    for (pointer, rule, words) in [
        ("/drive/strap_limit", Rule::DriveCopes, "drive.strap_limit"),
        ("/drive/motor/rpm", Rule::DriveCopes, "drive.motor.rpm"),
        ("/drive/motor/lead_deg", Rule::DriveCopes, "drive.motor.lead_deg"),
        ("/drive/kick/stroke", Rule::Starts, "drive.kick.stroke"),
        ("/drive/strap_width", Rule::Winds, "drive.strap_width"),
        ("/joints/bearing", Rule::ComesDown, "joints.bearing"),
        ("/joints/friction", Rule::ComesDown, "(default)"),
        ("/joints/radial_play", Rule::PairRunsFree, "joints.radial_play"),
        ("/fixings/duration", Rule::FixingsHold, "(default)"),
        ("/tolerances/length", Rule::HangsFlat, "tolerances.length"),
        ("/tolerances/offset", Rule::HangsFlat, "tolerances.offset"),
        ("/tolerances/parallel", Rule::PairRunsFree, "tolerances.parallel"),
        ("/tolerances/level", Rule::PairRunsFree, "tolerances.level"),
    ] {
        let (after, _) = judged(&with(pointer, &Value::Null)).expect("a project");
        assert!(text_of(&after, rule).contains(words), "{pointer}: {}", text_of(&after, rule));
        assert!(!text_of(&before, rule).contains(words), "{pointer} is given: {}", text_of(&before, rule));
    }
    for (pointer, words) in [
        ("/drive/dead_wraps", "turns of strap stay on the drum"),
        ("/joints/per_hinge", "One bearing is in each hinge"),
        ("/joints/seat_in", "Seats are in wall and panel bars"),
        ("/joints/friction", "Friction at the bearings' bore"),
        ("/fixings/duration", "factor 0.9"),
        ("/fixings/spacing", "spread evenly"),
        ("/fixings/edge", "about its middle"),
        ("/panel/rests", "bottom and top edge"),
    ] {
        let (_, told) = judged(&with(pointer, &Value::Null)).expect("a project");
        let more: Vec<&String> = told.iter().filter(|told| !usual.contains(told)).collect();
        assert!(more.iter().any(|told| told.contains(words) && told.contains("default")), "{pointer}: {more:?}");
    }
    // A kick whose force nobody knows, where one is needed.
    let touchy = include_str!("../../../tests/golden/chapel-hatch/project.overarm.json");
    let mut touchy: Value = serde_json::from_str(touchy).expect("JSON");
    touchy["drive"]["strap_limit"] = json!(300);
    touchy["drive"]["kick"] = json!({"at": [0, 350], "stroke": 90});
    let (rules, _) = judged(&touchy).expect("a project");
    assert!(text_of(&rules, Rule::Starts).contains("drive.kick.limit"), "{}", text_of(&rules, Rule::Starts));
}

/// What cannot be is refused with the field's name and what was expected of it.
#[test]
fn what_cannot_be_is_refused_by_name() {
    let bearing = |field: &str, value: f64| {
        let mut own = json!({"bore": 8, "outside": 22, "width": 7, "static_n": 1350});
        own[field] = json!(value);
        own
    };
    for (pointer, to) in [
        ("/drive/strap_limit", json!(0)),
        ("/drive/strap_limit", json!(-5)),
        ("/drive/strap_thickness", json!(-1)),
        ("/drive/drum_radius", json!(-1)),
        ("/drive/drum_radius", Value::Null),
        ("/drive/anchor", Value::Null),
        ("/drive/dead_wraps", json!(-1)),
        ("/drive/kick/limit", json!(-1)),
        ("/drive/kick/stroke", json!(-1)),
        ("/drive/kick/passive_force", json!(-1)),
        ("/drive/motor/torque", json!(-1)),
        ("/drive/motor/rpm", json!(-3)),
        ("/drive/motor/ratio", json!(0)),
        ("/drive/motor/ratio", json!(-2)),
        ("/drive/motor/efficiency", json!(0)),
        ("/drive/motor/efficiency", json!(1.2)),
        ("/drive/motor/efficiency", json!(-0.5)),
        ("/drive/motor/efficiency", json!("high")),
        ("/drive/motor/lead_deg", json!(-3)),
        ("/drive/motor/lead_deg", json!(90)),
        ("/joints/bearing/bore", bearing("bore", 0.0)),
        ("/joints/bearing/outside", bearing("outside", 7.0)),
        ("/joints/bearing/width", bearing("width", 0.0)),
        ("/joints/bearing/static_n", bearing("static_n", 0.0)),
        ("/joints/bearing/static_n", bearing("static_n", -4.0)),
        ("/joints/bearing/dynamic_n", bearing("dynamic_n", -4.0)),
        ("/joints/per_hinge", json!(0)),
        ("/joints/per_hinge", json!(3)),
        ("/joints/housing", json!("Z9")),
        ("/joints/housing", json!("n7")),
        ("/joints/housing/interference", json!({"interference": [0.02, 0.008]})),
        ("/joints/pin", json!("N7")),
        ("/joints/radial_play", json!(-0.1)),
        ("/joints/friction", json!(-0.01)),
        ("/joints/bearing_span", json!(0)),
        ("/fixings/edge", json!(-2)),
        ("/tolerances/length", json!(-0.1)),
        ("/tolerances/hung_gap_limit", json!(-1)),
        ("/tolerances/allowed_share", json!(1.5)),
        ("/tolerances/allowed_share", json!(-0.1)),
        ("/safeties", json!({"bars": 0.5})),
        ("/safeties", json!({"drive": "much"})),
        ("/panel/mass", Value::Null),
        ("/panel/mass", json!(-1)),
        ("/panel/mass", json!("heavy")),
        ("/panel/centre_of_mass", Value::Null),
        ("/panel/rests", json!([300, 300])),
        ("/bars/lower_arm/mass", json!(-1)),
        ("/bars/running_clearance", json!(-1)),
        ("/room/clearance", json!(-1)),
        ("/room/outline", Value::Null),
    ] {
        // An own bearing or a seat by figures is put in whole; its field is named.
        let put = match pointer {
            "/joints/housing/interference" => "/joints/housing",
            _ if pointer.starts_with("/joints/bearing/") => "/joints/bearing",
            _ => pointer,
        };
        let field = pointer[1..].replace('/', ".");
        match judged(&with(put, &to)) {
            Err(refused) => {
                assert!(refused.contains(&field) && refused.contains("expected"), "{field} {to}: {refused}");
            }
            Ok(_) => panic!("{field} {to} is accepted"),
        }
    }
}

/// What can be computed but not built fails a rule, or is missing with its reason; it never holds.
#[test]
fn what_cannot_be_built_fails_or_says_why() {
    for (pointer, to, rule, holds, words) in [
        ("/drive/drum_radius", json!(0), Rule::Winds, Some(false), "drive.drum_radius"),
        ("/drive/motor/torque", json!(0), Rule::DriveCopes, Some(false), "gives 0.000 N·m"),
        ("/drive/kick/passive_force", json!(50), Rule::StaysDown, Some(false), "50"),
        ("/joints/bearing", json!("9999"), Rule::BearingsHold, None, "in no list"),
        ("/joints/bearing", json!({"bore": 8, "outside": 22, "width": 7}), Rule::BearingsHold, None, "static_n"),
        ("/fixings/count", json!(0), Rule::FixingsHold, None, "at least two"),
        ("/fixings/diameter", json!(30), Rule::FixingsHold, None, "30.00 mm"),
        ("/fixings/thread_length", json!(0), Rule::FixingsHold, None, "above 0"),
        ("/fixings/thread_length", json!(10), Rule::FixingsHold, None, "longer ones"),
        ("/fixings/wood_gravity", json!(2), Rule::FixingsHold, None, "0.31 to 0.73"),
        ("/fixings/duration", json!(2), Rule::FixingsHold, None, "at most 1.6"),
        ("/fixings/spacing", json!(0), Rule::FixingsHold, None, "above 0"),
        ("/panel/height", json!(0), Rule::ClearsItself, Some(false), "has no height"),
        ("/panel/thickness", json!(0), Rule::ClearsItself, Some(false), "has no thickness"),
        ("/tolerances/hung_gap_limit", json!(0), Rule::HangsFlat, Some(false), "are allowed"),
        ("/bars/lower_arm/width", json!(0), Rule::BarsHold, Some(false), "lower arm"),
        ("/panel/centre_of_mass_z", json!(5000), Rule::FixingsHold, Some(false), "pulls out"),
    ] {
        let (rules, _) = judged(&with(pointer, &to)).unwrap_or_else(|refused| panic!("{pointer}: {refused}"));
        let found = rules.iter().find(|found| found.rule == rule).expect("a rule");
        assert_eq!(found.holds, holds, "{pointer} {to}: {}", found.text);
        assert!(found.text.contains(words), "{pointer} {to}: {}", found.text);
    }
}
