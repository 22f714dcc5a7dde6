//! Errors of parts in the window: drawn when edits rest, their page, plots and what can be done;
//! driven by accessible names, no GPU.

use std::time::{Duration, Instant};

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT, Queryable};
use overarm::session::{Asking, Drawing, demo};
use overarm::window::Start;
use overarm_solver::Project;

use crate::harness::{Window, app, drop_file, figure, open_window, open_with, press, press_keys, project, wait_until};

/// A window on a project that differs from the demo.
fn open_on(change: impl FnOnce(&mut Project)) -> Window {
    let mut project = demo();
    change(&mut project);
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("board.overarm.json");
    overarm_shopfiles::project_file::save(&path, &project).expect("a temporary folder can be written");
    let mut window = open_with(Start { file: Some(path), ..Start::default() });
    wait_until(&mut window, "the file is open", |window| *app(window).session().project() == project);
    window
}

/// Frames until errors are drawn for the project as it stands.
fn drawn(window: &mut Window) {
    let patience = Instant::now() + Duration::from_secs(60);
    while app(window).session().errors_drawing() == Drawing::Pending {
        assert!(Instant::now() < patience, "errors are never drawn");
        std::thread::sleep(Duration::from_millis(20));
        window.step();
    }
    window.run();
}

/// What the list says of a rule.
fn said(window: &Window, rule: &str) -> String {
    window.get_by_label(rule).value().expect("a rule has a value")
}

#[test]
fn the_pair_gets_its_verdict_when_edits_rest() {
    let mut window = open_window();
    drawn(&mut window);
    let before = said(&window, "Pair runs free");
    assert!(before.contains("of 100000 pairs drawn") || before.contains("Of 100000 pairs drawn"), "{before}");
    // An edit: the old figures are gone at once, the rule says what is going on, in its place.
    press_keys(&mut window, Modifiers::NONE, Key::N);
    let field = |node: &egui_kittest::kittest::AccessKitNode<'_>| {
        node.role() == Role::TextInput && node.label().as_deref() == Some("Upper wall pivot, height")
    };
    window.get_by(field).focus();
    window.run();
    window.get_by(field).type_text("2070");
    window.run();
    window.key_press(Key::Enter);
    window.step();
    window.step();
    let meanwhile = said(&window, "Pair runs free");
    assert!(meanwhile.contains("Being worked out") && !meanwhile.contains('%'), "{meanwhile}");
    drawn(&mut window);
    assert!(said(&window, "Pair runs free").contains("pairs drawn"));
}

#[test]
fn coarse_parts_fail_in_the_window_as_they_do_in_the_check() {
    let mut window = open_on(|project| {
        let tolerances = project.tolerances.get_or_insert_default();
        (tolerances.length, tolerances.offset) = (Some(0.5), Some(0.5));
    });
    drawn(&mut window);
    for rule in ["Pair runs free", "Hangs flat"] {
        let said = said(&window, rule);
        assert!(said.starts_with("fails"), "{said}");
    }
}

/// The page of tolerances of the demo, errors drawn.
fn page() -> Window {
    let mut window = open_window();
    press_keys(&mut window, Modifiers::NONE, Key::E);
    drawn(&mut window);
    window
}

#[test]
fn the_page_of_tolerances_tells_gap_pair_and_what_is_exact_enough() {
    let mut window = open_window();
    press_keys(&mut window, Modifiers::NONE, Key::E);
    window.get_by_label_contains("Being worked out: errors of parts are drawn");
    assert!(window.query_by_label_contains("Gap at a rest").is_none(), "no figure before it is drawn");
    drawn(&mut window);
    assert!(window.query_by_label_contains("Being worked out").is_none());
    for said in [
        "Gap at a rest, 95 % of sets keep under: 1.28 mm, holds",
        "Worst case by slopes: 3.03 mm",
        "Root of the sum of squares: 1.14 mm",
        "95 % keep under about 1.13 times it",
        "the same, at the end of the lower arm: ",
        "Lever at hung: 25.8 mm",
        "Too short before the loop cannot close: 3.89 mm",
        "Pairs that do not run free: none of 100000 (up to 0.004 %), holds",
        "Hung gap of 100000 sets drawn: 95 % within ±1.28 mm, limit ±2.00 mm",
        "Largest twist of 100000 pairs drawn: 95 % under ",
        "At 0 % of the travel 95 % of pairs keep under: twist ",
        "the lower arm's centre distance: ",
        "Widest for all that keeps the gap: ±0.033 mm",
        "All within ±0.100 mm: gap ",
        "Tighten first for the gap: the panel bar's centre distance (22 % of the scatter, halved saves 8 %)",
        "In its plane, hung, either way: ",
        "Longer lever: ",
        "on every dimension keeps the gap under ",
        "Try: Move the upper ",
        "Nothing was measured yet.",
    ] {
        assert!(window.query_by_label_contains(said).is_some(), "“{said}” is not there");
    }
    // On demand, where it comes from.
    assert!(window.query_by_label_contains("Wilson's").is_none());
    window.get_by_label("Where “The pair” comes from").click_accesskit();
    window.run();
    window.get_by_label_contains("Wilson's");
}

/// Errors drawn normal instead, then from another seed, then as the rules draw them.
#[test]
fn errors_are_drawn_otherwise_when_asked_for() {
    let mut window = page();
    let gap = |window: &Window| figure(window, "Gap at a rest, 95 % of sets keep under");
    let uniform = gap(&window);
    press(&mut window, "normal");
    drawn(&mut window);
    assert!(gap(&window).contains(" 0.74"), "1.96 thirds of 1.14: {}", gap(&window));
    window.get_by_label_contains("as they are drawn here");
    assert!(said(&window, "Hangs flat").contains("errors normal"));
    press(&mut window, "Draw others");
    drawn(&mut window);
    window.get_by_label("seed 2");
    press(&mut window, "As the rules");
    drawn(&mut window);
    assert_eq!(gap(&window), uniform);
}

#[test]
fn sensitivities_are_of_the_pose_shown() {
    let mut window = page();
    let shift = |window: &Window| figure(window, "the lower arm's centre distance: ");
    let hung = shift(&window);
    assert!(hung.contains("0.2640 mm for 0.01 mm"), "{hung}");
    window.get_by_label("Travel in percent").focus();
    window.run();
    press_keys(&mut window, Modifiers::NONE, Key::End);
    assert_ne!(shift(&window), hung);
}

#[test]
fn where_corners_may_lie_is_shown_when_asked_for_and_follows_the_pose() {
    let mut window = open_window();
    assert!(window.query_by_label_contains("Errors let the panel's corners lie").is_none());
    press_keys(&mut window, Modifiers::SHIFT, Key::E);
    let told = |window: &Window| {
        let told = window.get_by_label_contains("Errors let the panel's corners lie up to ");
        told.accesskit_node().label().expect("it says so")
    };
    let hung = told(&window);
    assert!(hung.contains(" mm off, a rest on the wall, drawn ") && hung.contains(" times as large"), "{hung}");
    window.get_by_label("Travel in percent").focus();
    window.run();
    press_keys(&mut window, Modifiers::NONE, Key::End);
    let parked = told(&window);
    let factor = |said: &str| said.split("drawn ").nth(1).map(str::to_owned);
    assert!(parked != hung && factor(&parked) == factor(&hung), "one factor for the whole travel: {parked}, {hung}");
    press(&mut window, "Errors");
    assert!(window.query_by_label_contains("Errors let the panel's corners lie").is_none());
}

#[test]
fn without_tolerances_the_page_and_the_drawing_say_what_to_give() {
    let mut window = open_on(|project| project.tolerances = None);
    press_keys(&mut window, Modifiers::NONE, Key::E);
    press_keys(&mut window, Modifiers::SHIFT, Key::E);
    drawn(&mut window);
    window.get_by_label_contains("Errors: give tolerances");
    window.get_by_label_contains("No gap is told: give tolerances below");
    window.get_by_label_contains("How exact the parts are is not given: type tolerances below.");
}

/// With a short lever a longer one is offered, tried as one step and taken back.
#[test]
fn a_longer_lever_is_tried_as_one_step_and_taken_back() {
    let mut window = open_on(|project| {
        // Both panel pivots at nearly the same depth: a short lever, that a few millimetres lengthen.
        project.tolerances.get_or_insert_default().hung_gap_limit = Some(5.0);
    });
    press_keys(&mut window, Modifiers::NONE, Key::E);
    drawn(&mut window);
    let before = project(&window);
    let label = |node: &egui_kittest::kittest::AccessKitNode<'_>| {
        node.role() == Role::Button
            && node
                .label()
                .is_some_and(|label| label.starts_with("Try: Move the ") && label.ends_with("for a longer lever"))
    };
    window.get_by(label).click_accesskit();
    window.run();
    let after = project(&window);
    assert_ne!(before.linkage, after.linkage);
    let step = app(&window).session().history().undo_label().expect("a step").to_owned();
    assert!(step.starts_with("Move the ") && step.ends_with("for a longer lever"), "{step}");
    drawn(&mut window);
    press_keys(&mut window, Modifiers::COMMAND, Key::Z);
    assert_eq!(project(&window), before);
}

#[test]
fn a_pair_that_binds_is_offered_a_way_out_in_its_rule() {
    let mut window = open_on(|project| {
        project.tolerances.get_or_insert_default().parallel = Some(2.0);
    });
    drawn(&mut window);
    window.query_all_by_label("Pair runs free").last().expect("its row").click_accesskit();
    wait_until(&mut window, "a way out is known", |window| {
        window.query_by_label_contains("Try: Tighten the second wall bar last").is_some()
    });
    window.get_by_label_contains("Try: Tighten the second wall bar last").click_accesskit();
    window.run();
    assert_eq!(project(&window).tolerances.and_then(|given| given.parallel), Some(0.0));
    drawn(&mut window);
    assert!(said(&window, "Pair runs free").starts_with("holds"), "{}", said(&window, "Pair runs free"));
}

/// The inspection sheet of a project with something measured, in a folder of its own.
fn sheet(measured: impl Fn(&str, &str, f64) -> String) -> (tempfile::TempDir, std::path::PathBuf) {
    let project = demo();
    let analysis = overarm_solver::analyse(&project, &overarm_solver::Options { poses: 2, swept: false });
    let parts = overarm_solver::parts(&project, &analysis.solids);
    let blank = overarm_shopfiles::inspection_csv::inspection_csv(&project, &parts).expect("a sheet");
    let blank = String::from_utf8(blank).expect("text");
    let mut lines = blank.lines();
    let mut filled = format!("{}\n", lines.next().expect("a header"));
    for line in lines {
        let cells: Vec<&str> = line.split(',').collect();
        // A centre distance or an offset; what else is measured stays empty.
        let value = match (cells[2], cells[3].parse()) {
            ("centre distance" | "lower pivot offset" | "upper pivot offset", Ok(nominal)) => {
                measured(cells[0], cells[2], nominal)
            }
            _ => String::new(),
        };
        filled.push_str(&format!("{}{value}\n", line.trim_end_matches('"')));
    }
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("inspection.csv");
    std::fs::write(&path, filled).expect("a temporary folder can be written");
    (folder, path)
}

fn is_notice(window: &Window, words: &str) -> bool {
    let notice = app(window).session().notice().map(|notice| format!("{notice:?}"));
    notice.is_some_and(|notice| notice.contains(words))
}

/// One lower arm 0.1 mm too long: dropped on the window, judged, what to do told, and forgotten again.
#[test]
fn measured_parts_are_dropped_on_the_window() {
    let (_folder, path) = sheet(|part, characteristic, nominal| {
        let is_long = part == "L-lower-arm" && characteristic == "centre distance";
        format!("{:.4}", if is_long { nominal + 0.1 } else { nominal })
    });
    let mut window = page();
    let before = project(&window);
    drop_file(&mut window, &path);
    wait_until(&mut window, "the sheet is read", |window| is_notice(window, "Took in what was measured"));
    drawn(&mut window);
    window.get_by_label_contains("Left set, gap at its lower rest: 2.");
    window.get_by_label_contains("The pair, plumb and level: ");
    window.get_by_label_contains("Make L-lower-arm anew: its centre distance ");
    window.get_by_label_contains("Shim ");
    // Which block is about what, and only what was measured is judged.
    for title in ["As measured", "Hung, as toleranced", "Parked, as toleranced", "The pair, as measured"] {
        assert!(window.query_all_by_label(title).next().is_some(), "“{title}” is not there");
    }
    let gap = figure(&window, "Gap at a rest, 95 % of toleranced sets keep under");
    assert!(!gap.contains("holds") && !gap.contains("fails"), "{gap}");
    window.get_by_label_contains("Left set, at its stop: ");
    window.get_by_label_contains("Any one of these is enough");
    assert!(said(&window, "Hangs flat").contains("As measured, the left set"));
    window.get_by_label_contains("Forget: Forget what was measured").click_accesskit();
    window.run();
    assert_eq!(project(&window), before);
}

/// A sheet in inches: refused whole, with row and column, beside the path that was typed.
#[test]
fn a_sheet_that_cannot_be_meant_names_row_and_column() {
    let (_folder, path) = sheet(|_, _, nominal| format!("{:.5}", nominal / 25.4));
    let mut window = open_window();
    let before = project(&window);
    press_keys(&mut window, Modifiers::NONE, Key::A);
    window.query_all_by_label("Open measured parts").last().expect("it is in the list").click_accesskit();
    window.run();
    let field = |node: &egui_kittest::kittest::AccessKitNode<'_>| {
        node.role() == Role::TextInput && node.label().as_deref() == Some("Inspection")
    };
    window.get_by(field).focus();
    window.run();
    press_keys(&mut window, Modifiers::COMMAND, Key::A);
    window.get_by(field).type_text(&path.display().to_string());
    window.run();
    press(&mut window, "Take in");
    wait_until(&mut window, "it is refused", |window| {
        let asking = app(window).session().asking();
        matches!(asking, Some(Asking::Path(question)) if question.problem.is_some())
    });
    let problem = match app(&window).session().asking() {
        Some(Asking::Path(question)) => question.problem.clone().expect("waited for"),
        other => panic!("{other:?}"),
    };
    assert!(problem.contains("row 2, column measured_mm") && problem.contains("Nothing was changed"), "{problem}");
    assert_eq!(project(&window), before);
}
