//! From a drag to the parts: what a person does with the window from beginning to end.

use std::path::{Path, PathBuf};

use egui::{Key, Modifiers, Pos2, Vec2, vec2};
use egui_kittest::Node;
use egui_kittest::kittest::Queryable;
use overarm::session::{Asking, Command, Detail, Handle};
use overarm_solver::{PartName, Point, Project, Rule};

use crate::harness::{Window, app, open_window, press, press_keys, project, wait_until};

fn travel(window: &Window) -> f64 {
    app(window).session().travel()
}

/// Replaces what stands in a path field.
pub fn type_path(window: &mut Window, field: &str, path: &Path) {
    let text = path.to_str().expect("temporary paths are UTF-8");
    path_field(window, field).focus();
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window.run();
    path_field(window, field).type_text(text);
    window.run();
    assert_eq!(path_field(window, field).value().as_deref(), Some(text));
}

fn path_field<'a>(window: &'a Window, label: &'a str) -> Node<'a> {
    window.get_by(|node| {
        node.role() == egui::accesskit::Role::TextInput
            && node.labelled_by().any(|l| l.value().as_deref() == Some(label))
    })
}

fn centre(window: &Window, label: &str) -> Pos2 {
    window.get_by_label(label).rect().center()
}

/// Presses on a handle and moves the pointer in steps; the button stays down.
fn drag_without_letting_go(window: &mut Window, label: &str, by: Vec2) -> Pos2 {
    let start = centre(window, label);
    // Beside its middle: the handle must not jump to the pointer.
    let press_at = start + vec2(3.0, -2.0);
    window.hover_at(press_at);
    window.run();
    window.drag_at(press_at);
    window.run();
    for step in 1_u8..=8 {
        window.hover_at(press_at + by * (f32::from(step) / 8.0));
        window.run();
    }
    start
}

fn drag(window: &mut Window, label: &str, by: Vec2) -> Pos2 {
    let start = drag_without_letting_go(window, label, by);
    window.drop_at(start + vec2(3.0, -2.0) + by);
    window.run();
    start
}

fn written(folder: &Path, name: &str, project: &Project) -> PathBuf {
    let path = folder.join(name);
    overarm_shopfiles::project_file::save(&path, project).expect("a temporary folder can be written");
    path
}

#[test]
fn a_pivot_follows_the_pointer_and_the_drag_is_one_step() {
    let mut window = open_window();
    let before = project(&window);
    let start = drag(&mut window, "Upper wall pivot", vec2(24.0, 16.0));
    let after = project(&window);
    assert_eq!(after.linkage.wall_lower, before.linkage.wall_lower, "nothing else moves");
    // The handle is where the pointer went, less where in it the press was: within the snap of a millimetre.
    let reached = centre(&window, "Upper wall pivot");
    assert!((reached - start - vec2(24.0, 16.0)).length() < 1.0, "{start:?} to {reached:?}");
    let moved = after.linkage.wall_upper - before.linkage.wall_upper;
    assert!(moved.x > 20.0 && moved.y < -15.0, "{moved:?}");

    press_keys(&mut window, Modifiers::COMMAND, Key::Z);
    assert_eq!(project(&window), before, "one undo takes the whole drag back");
    press_keys(&mut window, Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    assert_eq!(project(&window), after, "redo does it again, and is not taken for undo");
    press(&mut window, "Undo");
    assert_eq!(project(&window), before);
    press_keys(&mut window, Modifiers::COMMAND, Key::Y);
    assert_eq!(project(&window), after);
}

#[test]
fn escape_gives_a_drag_up() {
    let mut window = open_window();
    let before = project(&window);
    drag_without_letting_go(&mut window, "Lower panel pivot", vec2(30.0, 10.0));
    assert_ne!(project(&window), before, "the drag is live");
    press_keys(&mut window, Modifiers::NONE, Key::Escape);
    assert_eq!(project(&window), before);
    window.hover_at(Pos2::new(500.0, 300.0));
    window.run();
    window.drop_at(Pos2::new(500.0, 300.0));
    window.run();
    assert_eq!(project(&window), before, "the pointer no longer moves it");
    assert_eq!(app(&window).session().history().undo_label(), None, "a drag given up is no step");
}

#[test]
fn a_press_without_a_move_changes_nothing() {
    let mut window = open_window();
    let before = project(&window);
    press(&mut window, "Lower wall pivot");
    assert_eq!(project(&window), before);
    assert_eq!(app(&window).session().history().undo_label(), None);
}

#[test]
fn every_handle_is_reached_by_tab_and_moved_by_arrow_keys() {
    let mut window = open_window();
    let handles = Handle::all(&project(&window));
    let mut missing: Vec<String> = handles.iter().map(|handle| handle.name()).collect();
    for _ in 0..80 {
        window.key_press(Key::Tab);
        window.run();
        missing.retain(|name| !window.get_by_label(name).is_focused());
    }
    assert!(missing.is_empty(), "Tab does not reach {missing:?}");

    let before = project(&window);
    window.get_by_label("Hung panel").focus();
    window.run();
    press_keys(&mut window, Modifiers::NONE, Key::ArrowRight);
    press_keys(&mut window, Modifiers::SHIFT, Key::ArrowUp);
    press_keys(&mut window, Modifiers::ALT, Key::ArrowLeft);
    let hung = project(&window).panel.hung;
    assert!((hung.standoff - before.panel.hung.standoff - 0.9).abs() < 1e-9, "{}", hung.standoff);
    assert!((hung.bottom - before.panel.hung.bottom - 10.0).abs() < 1e-9, "{}", hung.bottom);
    press_keys(&mut window, Modifiers::COMMAND, Key::Z);
    assert_eq!(project(&window), before, "nudges of one handle are one step");
}

#[test]
fn handles_tell_their_place() {
    let window = open_window();
    let value = window.get_by_label("Lower wall pivot").value().expect("a handle has a value");
    assert!(value.contains("2089.4 mm") || value.contains("2089.36 mm"), "{value}");
}

#[test]
fn a_corner_of_the_ceiling_can_be_dragged() {
    let mut window = open_window();
    let before = project(&window);
    drag(&mut window, "Room corner 2", vec2(3.0, 20.0));
    let after = project(&window);
    assert!(after.room.outline[1].y < before.room.outline[1].y - 20.0);
    assert!(after.room.outline[1].x.abs() < 1e-12, "the wall stays plumb");
    assert_eq!(after.linkage, before.linkage);
}

#[test]
fn a_corner_of_the_wall_stays_on_the_wall_until_alt_is_held() {
    let mut window = open_window();
    press_keys(&mut window, Modifiers::SHIFT, Key::F);
    let checked = |window: &Window| {
        let analysis = overarm_solver::analyse(&project(window), &overarm_solver::Options::default());
        let finding = analysis.rules.iter().find(|f| f.rule == Rule::ClearsWall).expect("the rule is there");
        finding.holds.is_some()
    };
    let before = project(&window);
    drag(&mut window, "Room corner 2", vec2(60.0, 20.0));
    let after = project(&window);
    assert!(after.room.outline[1].x.abs() < 1e-12, "{}", after.room.outline[1]);
    assert!((after.room.outline[1] - before.room.outline[1]).norm() > 20.0, "it moves along the wall");
    assert!(checked(&window));

    let start = drag_without_letting_go(&mut window, "Room corner 2", vec2(60.0, 20.0));
    window.event(egui::Event::ModifiersChanged(Modifiers::ALT));
    window.hover_at(start + vec2(64.0, 20.0));
    window.run();
    assert!(project(&window).room.outline[1].x > 20.0, "with Alt it goes where the pointer goes");
}

#[test]
fn what_cannot_be_is_not_applied_and_says_why() {
    let mut window = open_window();
    // Onto the other wall pivot, to the micrometre: two pivots of one bar on one place.
    let other = project(&window).linkage.wall_lower;
    let mut project_now = project(&window);
    project_now.linkage.wall_upper = Point::new(other.x + 1.0, other.y);
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = written(folder.path(), "near.overarm.json", &project_now);
    open_by_typing(&mut window, &path);
    wait_until(&mut window, "the file is open", |w| app(w).session().document().path() == Some(&*path));
    window.get_by_label("Upper wall pivot").focus();
    window.run();
    press_keys(&mut window, Modifiers::NONE, Key::ArrowLeft);
    assert_eq!(project(&window), project_now, "refused, so unchanged");
    let refused = app(&window).session().refused_edit().expect("a reason");
    assert_eq!(refused.handle, Handle::WallUpper);
    assert!(refused.sentence.contains("wall_upper"), "{}", refused.sentence);
    assert_eq!(app(&window).session().history().undo_label(), None);
}

fn open_by_typing(window: &mut Window, path: &Path) {
    press_keys(window, Modifiers::COMMAND, Key::O);
    type_path(window, "Project file", path);
    press(window, "Open file");
}

#[test]
fn a_typed_path_is_opened() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let mut other = overarm::session::demo();
    other.title = Some("Another board".to_owned());
    let path = written(folder.path(), "with blank é.overarm.json", &other);
    let mut window = open_window();
    open_by_typing(&mut window, &path);
    wait_until(&mut window, "the file is open", |w| project(w) == other);
    assert!(window.query_by_label("Another board").is_some(), "its title is shown");
    assert!(app(&window).session().asking().is_none(), "the question is gone");
    assert!(!app(&window).session().document().has_unsaved_changes());
}

#[test]
fn a_bad_file_keeps_the_current_work_and_shows_the_sentence() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("bad.overarm.json");
    std::fs::write(&path, r#"{"format": "overarm-project", "version": 1}"#).expect("written");
    let mut window = open_window();
    drag(&mut window, "Upper wall pivot", vec2(10.0, 5.0));
    let work = project(&window);
    open_by_typing(&mut window, &path);
    wait_until(&mut window, "the sentence is there", |w| {
        w.query_by_label_contains("bad.overarm.json")
            .is_some_and(|n| n.value().is_some_and(|value| value.contains("room") && value.contains("expected")))
    });
    assert_eq!(project(&window), work);
    assert!(app(&window).session().history().undo_label().is_some(), "its history stays too");

    press(&mut window, "Cancel");
    assert!(app(&window).session().asking().is_none());
}

#[test]
fn a_refused_path_keeps_the_keyboard() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let kept = folder.path().join("kept.overarm.json");
    std::fs::write(&kept, "precious").expect("written");
    let full = folder.path().join("full");
    std::fs::create_dir(&full).expect("made");
    std::fs::write(full.join("mine.txt"), "mine").expect("written");
    let cases = [
        (Modifiers::COMMAND, Key::O, "Project file", folder.path().join("nope/x.json")),
        (Modifiers::COMMAND | Modifiers::SHIFT, Key::S, "Save as", kept),
        (Modifiers::COMMAND, Key::M, "Job folder", full),
    ];
    for (modifiers, key, field, path) in cases {
        let mut window = open_window();
        let theme = window.ctx.theme();
        press_keys(&mut window, modifiers, key);
        type_path(&mut window, field, &path);
        // Twice: the same sentence again is a refusal as well.
        for _ in 0..2 {
            press_keys(&mut window, Modifiers::NONE, Key::Enter);
            wait_until(
                &mut window,
                "it is refused",
                |w| matches!(app(w).session().asking(), Some(Asking::Path(q)) if q.problem.is_some() && !q.busy),
            );
            assert!(path_field(&window, field).is_focused(), "{field}");
            press_keys(&mut window, Modifiers::NONE, Key::D);
            assert_eq!(window.ctx.theme(), theme, "a letter typed there is no command");
        }
        path_field(&window, field).type_text("another");
        window.run();
        let typed = path_field(&window, field).value();
        assert_eq!(typed.as_deref(), Some("another"), "all of it is selected, so typing replaces it");
    }
}

#[test]
fn saving_under_another_name_and_saving_again() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let mut window = open_window();
    drag(&mut window, "Upper panel pivot", vec2(6.0, 6.0));
    let work = project(&window);
    // Without a file yet, Save asks for a path; the extension is added.
    press_keys(&mut window, Modifiers::COMMAND, Key::S);
    type_path(&mut window, "Save as", &folder.path().join("hatch"));
    press(&mut window, "Save file");
    let path = folder.path().join("hatch.overarm.json");
    wait_until(&mut window, "it is saved", |w| !app(w).session().document().has_unsaved_changes());
    assert_eq!(overarm_shopfiles::project_file::read(&path).expect("a good file"), work);

    drag(&mut window, "Upper panel pivot", vec2(-6.0, 3.0));
    assert!(app(&window).session().document().has_unsaved_changes());
    press(&mut window, "Save");
    wait_until(&mut window, "it is saved again", |w| !app(w).session().document().has_unsaved_changes());
    assert_eq!(overarm_shopfiles::project_file::read(&path).expect("a good file"), project(&window));
    press_keys(&mut window, Modifiers::COMMAND, Key::Z);
    assert_eq!(project(&window), work, "saving is no step and forgets none");
}

#[test]
fn another_file_is_overwritten_only_when_told() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("there.overarm.json");
    std::fs::write(&path, "precious").expect("written");
    let mut window = open_window();
    press_keys(&mut window, Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
    type_path(&mut window, "Save as", &path);
    press(&mut window, "Save file");
    assert_eq!(std::fs::read_to_string(&path).expect("readable"), "precious");
    press(&mut window, "Overwrite");
    wait_until(&mut window, "it is saved", |w| app(w).session().document().path() == Some(&*path));
    assert_eq!(overarm_shopfiles::project_file::read(&path).expect("a good file"), project(&window));
}

#[test]
fn unsaved_work_is_asked_for_before_another_file_is_opened() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let other = written(folder.path(), "other.overarm.json", &overarm::session::demo());
    let mut window = open_window();
    drag(&mut window, "Upper wall pivot", vec2(10.0, 5.0));
    let work = project(&window);
    open_by_typing(&mut window, &other);
    wait_until(&mut window, "it asks", |w| w.query_by_label("Save first").is_some());
    assert_eq!(project(&window), work);
    press(&mut window, "Cancel");
    assert_eq!(project(&window), work);

    open_by_typing(&mut window, &other);
    wait_until(&mut window, "it asks", |w| w.query_by_label("Lose changes").is_some());
    press(&mut window, "Lose changes");
    wait_until(&mut window, "the file is open", |w| app(w).session().document().path() == Some(&*other));
    assert_eq!(project(&window), overarm::session::demo());
}

#[test]
fn closing_asks_for_unsaved_work_and_waits_for_the_save() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let mut window = open_window();
    drag(&mut window, "Upper wall pivot", vec2(10.0, 5.0));
    press_keys(&mut window, Modifiers::COMMAND, Key::W);
    assert!(!app(&window).session().close_agreed());
    press(&mut window, "Save first");
    type_path(&mut window, "Save as", &folder.path().join("kept.overarm.json"));
    press(&mut window, "Save file");
    wait_until(&mut window, "it closes", |w| app(w).session().close_agreed());
    let kept = overarm_shopfiles::project_file::read(&folder.path().join("kept.overarm.json"));
    assert_eq!(kept.expect("saved first"), project(&window));
}

#[test]
fn make_writes_a_left_and_a_right_set_and_overwrites_only_when_told() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let job = folder.path().join("job");
    let mut window = open_window();
    press_keys(&mut window, Modifiers::COMMAND, Key::M);
    type_path(&mut window, "Job folder", &job);
    press(&mut window, "Make parts");
    wait_until(&mut window, "it is made", |w| app(w).session().asking().is_none());
    for hand in ["L", "R"] {
        for part in ["wall-bar", "panel-bar", "lower-arm", "upper-arm"] {
            assert!(job.join(format!("parts/{hand}-{part}.dxf")).is_file(), "{hand}-{part}");
        }
    }
    assert!(job.join("manifest.json").is_file());

    let marked = job.join("hole-table.csv");
    std::fs::write(&marked, "mine").expect("written");
    press(&mut window, "Make");
    type_path(&mut window, "Job folder", &job);
    press(&mut window, "Make parts");
    wait_until(&mut window, "it asks", |w| w.query_by_label("Overwrite").is_some());
    assert_eq!(std::fs::read_to_string(&marked).expect("readable"), "mine");
    press(&mut window, "Overwrite");
    wait_until(&mut window, "it is made", |w| app(w).session().asking().is_none());
    assert_ne!(std::fs::read_to_string(&marked).expect("readable"), "mine");
}

#[test]
fn choosing_a_rule_shows_its_worst_pose_and_is_no_step() {
    let mut window = open_window();
    assert!(travel(&window).abs() < 1e-12);
    let analysis = overarm_solver::analyse(&project(&window), &overarm_solver::Options { poses: 361, swept: true });
    let finding = analysis.rules.iter().find(|f| f.rule == Rule::Uncovers).expect("the rule is there");
    let worst = finding.s.expect("it has a worst pose");
    assert!(worst > 0.99, "the opening is to be free when parked");
    press(&mut window, Rule::Uncovers.title());
    assert!((travel(&window) - worst).abs() < 1e-12);
    assert_eq!(app(&window).session().picked(), Some(Rule::Uncovers));
    assert_eq!(app(&window).session().history().undo_label(), None);
}

#[test]
fn a_land_is_cut_from_the_rule_and_taken_back() {
    let mut window = open_window();
    let before = project(&window);
    window.get_by_label(Rule::StopsOnFold.title()).scroll_to_me();
    window.run();
    press(&mut window, Rule::StopsOnFold.title());
    wait_until(&mut window, "it is worked out", |w| w.query_by_label_contains("Cut a land: ").is_some());
    window.get_by_label_contains("Cut a land: ").scroll_to_me();
    window.run();
    window.get_by_label_contains("Cut a land: ").click();
    window.run();
    assert_eq!(project(&window).bars.stop_land, Some(true));
    press_keys(&mut window, Modifiers::COMMAND, Key::Z);
    assert_eq!(project(&window), before);
}

#[test]
fn the_travel_is_chosen_by_keys_and_played() {
    let mut window = open_window();
    window.get_by_label("Travel in percent").focus();
    window.run();
    press_keys(&mut window, Modifiers::SHIFT, Key::ArrowRight);
    assert!((travel(&window) - 0.1).abs() < 1e-12);
    press_keys(&mut window, Modifiers::NONE, Key::End);
    assert!((travel(&window) - 1.0).abs() < 1e-12);
    window.get_by_label("Travel in percent").set_value_accesskit(25.0);
    window.run();
    assert!((travel(&window) - 0.25).abs() < 1e-12);

    window.get_by_label("Play").click();
    window.run_steps(6);
    assert!(travel(&window) > 0.25, "it runs");
    window.get_by_label("Pause").click();
    window.run();
    let halted = travel(&window);
    window.run_steps(4);
    assert!((travel(&window) - halted).abs() < 1e-12, "it stands");
    assert_eq!(app(&window).session().history().undo_label(), None);
}

#[test]
fn camera_moves_are_no_steps_and_a_fit_finds_the_lift_again() {
    let mut window = open_window();
    let before = project(&window);
    let home = centre(&window, "Upper wall pivot");
    window.hover_at(Pos2::new(500.0, 400.0));
    window.run();
    window.event(egui::Event::MouseWheel {
        unit: egui::MouseWheelUnit::Point,
        source: egui::MouseWheelSource::Wheel,
        delta: vec2(0.0, 120.0),
        phase: egui::TouchPhase::Move,
        modifiers: Modifiers::NONE,
    });
    window.run_steps(30);
    assert!((centre(&window, "Upper wall pivot") - home).length() > 10.0, "it zooms");
    window.event(egui::Event::PointerButton {
        pos: Pos2::new(500.0, 400.0),
        button: egui::PointerButton::Middle,
        pressed: true,
        modifiers: Modifiers::NONE,
    });
    window.run();
    let zoomed = centre(&window, "Upper wall pivot");
    window.hover_at(Pos2::new(560.0, 430.0));
    window.run();
    window.event(egui::Event::PointerButton {
        pos: Pos2::new(560.0, 430.0),
        button: egui::PointerButton::Middle,
        pressed: false,
        modifiers: Modifiers::NONE,
    });
    window.run();
    assert!((centre(&window, "Upper wall pivot") - zoomed - vec2(60.0, 30.0)).length() < 0.5, "it pans");
    press_keys(&mut window, Modifiers::NONE, Key::F);
    assert!((centre(&window, "Upper wall pivot") - home).length() < 0.5, "it fits");
    assert_eq!(project(&window), before);
    assert_eq!(app(&window).session().history().undo_label(), None);
}

#[test]
fn a_fit_reaches_models_of_any_size() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let mut window = open_window();
    let names = ["Lower wall pivot", "Upper wall pivot", "Lower panel pivot", "Hung panel"];
    let places = |window: &Window| names.map(|name| centre(window, name));
    let home = places(&window);
    for factor in [1e-3, 1e3] {
        let path = written(folder.path(), &format!("times-{factor}.overarm.json"), &scaled(factor));
        open_by_typing(&mut window, &path);
        wait_until(&mut window, "the file is open", |w| app(w).session().document().path() == Some(&*path));
        for (name, (home, now)) in names.into_iter().zip(home.into_iter().zip(places(&window))) {
            assert!((home - now).length() < 12.0, "×{factor}: {name} at {now}, not {home}");
        }
        // Zoomed out and in as far as it goes, the fit still finds it.
        for turn in [-3000.0, 6000.0] {
            window.hover_at(Pos2::new(500.0, 400.0));
            window.run();
            window.event(egui::Event::MouseWheel {
                unit: egui::MouseWheelUnit::Point,
                source: egui::MouseWheelSource::Wheel,
                delta: vec2(0.0, turn),
                phase: egui::TouchPhase::Move,
                modifiers: Modifiers::NONE,
            });
            window.run_steps(30);
        }
        press_keys(&mut window, Modifiers::NONE, Key::F);
        for (name, (home, now)) in names.into_iter().zip(home.into_iter().zip(places(&window))) {
            assert!((home - now).length() < 12.0, "×{factor}: {name} at {now}, not {home}");
        }
    }
}

/// The demo with every length multiplied.
fn scaled(factor: f64) -> Project {
    let mut project = overarm::session::demo();
    let linkage = &mut project.linkage;
    for pivot in [&mut linkage.wall_lower, &mut linkage.wall_upper, &mut linkage.panel_lower, &mut linkage.panel_upper]
    {
        *pivot *= factor;
    }
    let panel = &mut project.panel;
    for length in
        [&mut panel.width, &mut panel.height, &mut panel.thickness, &mut panel.hung.standoff, &mut panel.hung.bottom]
    {
        *length *= factor;
    }
    panel.centre_of_mass *= factor;
    let bars = &mut project.bars;
    for bar in [&mut bars.wall_bar, &mut bars.panel_bar] {
        for length in [&mut bar.width, &mut bar.depth, &mut bar.lower_end, &mut bar.upper_end] {
            *length *= factor;
        }
    }
    for arm in [&mut bars.lower_arm, &mut bars.upper_arm] {
        arm.width *= factor;
        arm.depth *= factor;
    }
    bars.cutter_diameter = Some(bars.cutter_diameter() * factor);
    bars.running_clearance = Some(bars.running_clearance() * factor);
    let room = &mut project.room;
    room.clearance = Some(room.wanted_clearance() * factor);
    for corner in room.outline.iter_mut().chain(room.solids.iter_mut().flat_map(|solid| &mut solid.outline)) {
        *corner *= factor;
    }
    if let Some(uncover) = &mut room.uncover {
        uncover.top *= factor;
        uncover.bottom *= factor;
        uncover.eye = uncover.eye.map(|eye| eye * factor);
    }
    if let Some(drive) = &mut project.drive {
        drive.anchor *= factor;
        drive.drum_centre *= factor;
        drive.drum_radius *= factor;
        drive.strap_thickness *= factor;
    }
    project.joints = None;
    project
}

#[test]
fn a_bar_is_picked_by_a_click_and_let_go_by_another_or_escape() {
    let mut window = open_window();
    window.get_by_label("Travel in percent").set_value_accesskit(35.0);
    window.run();
    // On the lower arm, in the middle between its pivots: between handles by the demo's own figures.
    let pose = overarm_solver::analyse(&project(&window), &overarm_solver::Options::default()).pose_at(0.35);
    let wall = centre(&window, "Lower wall pivot");
    let scale = (centre(&window, "Upper wall pivot") - wall).length()
        / (project(&window).linkage.wall_upper - project(&window).linkage.wall_lower).norm() as f32;
    let along = pose.panel_lower - project(&window).linkage.wall_lower;
    let middle = wall + vec2(along.x as f32, -along.y as f32) * scale * 0.5;
    let click = |window: &mut Window, at: Pos2| {
        window.hover_at(at);
        window.run();
        window.drag_at(at);
        window.drop_at(at);
        window.run();
    };
    let picked = |window: &Window| app(window).session().picked_bar();
    let before = project(&window);

    click(&mut window, middle);
    assert_eq!(picked(&window), Some(PartName::LowerArm));
    for label in ["Lower arm, outer half", "Lower arm, inner half"] {
        assert!(window.query_by_label(label).is_some(), "{label}");
    }
    click(&mut window, middle);
    assert_eq!(picked(&window), None, "a second click lets go");
    assert!(window.query_by_label("Lower arm, outer half").is_none());
    click(&mut window, middle);
    press_keys(&mut window, Modifiers::NONE, Key::Escape);
    assert_eq!(picked(&window), None, "Escape lets go");
    // Beside the handles of a bar that is hardly longer than they are.
    let upper = centre(&window, "Upper wall pivot");
    click(&mut window, wall + (upper - wall) * 0.5);
    assert_eq!(picked(&window), Some(PartName::WallBar));
    click(&mut window, upper);
    assert_eq!(picked(&window), Some(PartName::WallBar), "the sign of a handle is a handle");
    assert_eq!(app(&window).session().dragged(), None);
    press_keys(&mut window, Modifiers::NONE, Key::Escape);
    assert_eq!(picked(&window), None, "Escape lets go with a handle focused");
    // Without the mouse, below the rules, however many there are.
    window.get_by_label("Bars").scroll_to_me();
    window.run_steps(20);
    press(&mut window, "Bars");
    // The fold opens into view.
    window.run_steps(20);
    press(&mut window, "Wall bar");
    assert_eq!(picked(&window), Some(PartName::WallBar));
    press(&mut window, "Let go");
    assert_eq!(picked(&window), None);
    assert_eq!(project(&window), before);
    assert_eq!(app(&window).session().history().undo_label(), None);
}

#[test]
fn details_of_the_drawing_can_be_left_out() {
    let mut window = open_window();
    for detail in Detail::ALL {
        let shown = |window: &Window| app(window).session().shows(detail);
        // Arrows and errors are asked for; everything else is left out when asked for.
        let usual = !matches!(detail, Detail::Forces | Detail::PinchGaps | Detail::Errors);
        assert_eq!(shown(&window), usual, "{detail:?}");
        press(&mut window, detail.name());
        assert_eq!(shown(&window), !usual, "{detail:?}");
        press(&mut window, detail.name());
        assert_eq!(shown(&window), usual, "{detail:?}");
    }
}

#[test]
fn space_and_drag_pans_even_over_a_handle() {
    let mut window = open_window();
    let before = project(&window);
    let home = centre(&window, "Upper wall pivot");
    window.hover_at(home);
    window.run();
    window.key_down(Key::Space);
    window.run();
    window.drag_at(home);
    window.run();
    for step in 1_u8..=4 {
        window.hover_at(home + vec2(15.0, 5.0) * f32::from(step));
        window.run();
    }
    window.drop_at(home + vec2(60.0, 20.0));
    window.key_up(Key::Space);
    window.run();
    assert_eq!(project(&window), before, "nothing was dragged");
    assert!((centre(&window, "Upper wall pivot") - home - vec2(60.0, 20.0)).length() < 0.5);
}

#[test]
fn light_and_dark_change_places() {
    let mut window = open_window();
    let theme = window.ctx.theme();
    press_keys(&mut window, Modifiers::NONE, Key::D);
    assert_ne!(window.ctx.theme(), theme);
    press_keys(&mut window, Modifiers::NONE, Key::A);
    window.get_by_label("Light or dark").scroll_to_me();
    window.run();
    press(&mut window, "Light or dark");
    assert_eq!(window.ctx.theme(), theme);
}

#[test]
fn letters_typed_into_a_path_are_no_commands() {
    let mut window = open_window();
    let theme = window.ctx.theme();
    press_keys(&mut window, Modifiers::COMMAND, Key::O);
    press_keys(&mut window, Modifiers::NONE, Key::D);
    press_keys(&mut window, Modifiers::NONE, Key::P);
    assert_eq!(window.ctx.theme(), theme);
    assert!(!app(&window).session().is_playing());
}

#[test]
fn the_drawing_keeps_three_fifths_of_the_window() {
    let window = open_window();
    let drawing = window.get_by_label("Side view").rect();
    assert!(drawing.area() >= 0.6 * 1280.0 * 800.0, "{drawing}");
}

#[test]
fn every_command_has_a_button_or_a_key_or_is_in_the_list_of_all_actions() {
    let mut window = open_window();
    press(&mut window, "All actions");
    for words in overarm::session::COMMANDS {
        assert!(window.query_all_by_label(words.label).next().is_some(), "{:?}", words.command);
    }
    press(&mut window, "Close page");
    assert!(window.query_by_label(Command::Make.words().label).is_some());
}

#[test]
fn no_drag_breaks_the_window() {
    let mut window = open_window();
    let whole = vec2(1.0, 1.0);
    for handle in Handle::all(&project(&window)) {
        for by in [whole * 300.0, whole * -250.0, vec2(-400.0, 10.0), vec2(30.0, -280.0), vec2(0.0, 250.0)] {
            press_keys(&mut window, Modifiers::SHIFT, Key::F);
            drag(&mut window, &handle.name(), by);
            for travel in [Key::End, Key::Home] {
                window.get_by_label("Travel in percent").focus();
                window.run();
                press_keys(&mut window, Modifiers::NONE, travel);
            }
            let now = project(&window);
            now.validate().expect("only a project that is not refused is ever shown");
            window.get_by_label("Side view");
            press_keys(&mut window, Modifiers::COMMAND, Key::Z);
        }
    }
    assert_eq!(project(&window), overarm::session::demo(), "every drag was one step");
}
