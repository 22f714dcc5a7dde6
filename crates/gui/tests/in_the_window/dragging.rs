//! Dragging, driven as a person would: what stays under the pointer, what is kept, what snaps.

use std::time::{Duration, Instant};

use egui::{Key, Modifiers, Pos2, Vec2, vec2};
use egui_kittest::kittest::Queryable;
use nalgebra::Isometry2;
use overarm::session::{DragMode, Handle};
use overarm::window::Start;
use overarm_solver::{Lift, Options, Project, Rule, TravelWanted, analyse};

use crate::harness::{Window, app, open_sized, open_window, press_keys, project};

fn centre(window: &Window, label: &str) -> Pos2 {
    window.get_by_label(label).rect().center()
}

/// Presses beside a handle's middle: it must not jump to the pointer.
fn take(window: &mut Window, label: &str) -> Pos2 {
    // The hung panel's handle lies at the right of the strap's end: away from it.
    let side = if label == Handle::StrapEnd.name() { -1.0 } else { 1.0 };
    let at = centre(window, label) + vec2(side * 3.0, -2.0);
    window.hover_at(at);
    window.run();
    window.drag_at(at);
    window.run();
    at
}

fn alt(window: &mut Window, held: bool) {
    window.event(egui::Event::ModifiersChanged(if held { Modifiers::ALT } else { Modifiers::NONE }));
}

fn pull(window: &mut Window, to: Pos2) {
    window.hover_at(to);
    window.run();
}

fn let_go(window: &mut Window, at: Pos2) {
    window.drop_at(at);
    window.run();
}

fn zoom(window: &mut Window, at: Pos2, wheel: f32) {
    window.hover_at(at);
    window.run();
    window.event(egui::Event::MouseWheel {
        unit: egui::MouseWheelUnit::Point,
        source: egui::MouseWheelSource::Wheel,
        delta: vec2(0.0, wheel),
        phase: egui::TouchPhase::Move,
        modifiers: Modifiers::NONE,
    });
    window.run_steps(40);
}

fn ends(project: &Project) -> [Isometry2<f64>; 2] {
    let analysis = analyse(project, &Options { poses: 2, swept: false });
    [0.0, 1.0].map(|s| analysis.pose_at(s).room_from_panel)
}

fn apart(one: &Isometry2<f64>, other: &Isometry2<f64>) -> f64 {
    (one.translation.vector - other.translation.vector).norm().max(one.rotation.angle_to(&other.rotation).abs())
}

fn choose(window: &mut Window, mode: DragMode) {
    window.get_by_label(mode.name()).click();
    window.run();
    assert_eq!(app(window).session().drag_mode(), mode);
}

/// Steps of the pointer from where it was pressed, points: small, large and back.
const STEPS: [Vec2; 6] =
    [vec2(0.3, 0.2), vec2(2.7, -1.4), vec2(9.1, -6.3), vec2(17.4, -11.8), vec2(-4.2, 8.6), vec2(0.1, 0.0)];

#[test]
fn a_handle_stays_under_the_pointer_at_every_zoom_and_pixel_ratio() {
    for pixels_per_point in [1.0, 1.25, 1.5, 2.0, 3.0] {
        for wheel in [0.0, 400.0, 1100.0, -300.0] {
            let handles = [Handle::WallUpper, Handle::PanelLower, Handle::Hung, Handle::RoomCorner(2)];
            for handle in handles.into_iter().chain(Handle::OF_DRIVE) {
                let mut window = open_sized(vec2(1280.0, 800.0), pixels_per_point, Start::default());
                let label = handle.name();
                if handle == Handle::RoomCorner(2) {
                    press_keys(&mut window, Modifiers::SHIFT, Key::F);
                }
                let about = centre(&window, &label);
                zoom(&mut window, about, wheel);
                let start = centre(&window, &label);
                let pressed = take(&mut window, &label);
                assert_eq!(app(&window).session().dragged(), Some(handle));
                assert!((centre(&window, &label) - start).length() * pixels_per_point < 0.01, "a press moves nothing");
                // Snaps held off: nothing but the pointer says where it is.
                alt(&mut window, true);
                for step in STEPS {
                    pull(&mut window, pressed + step);
                    let off = (centre(&window, &label) - start - step).length() * pixels_per_point;
                    assert!(off <= 0.5, "{label}: {off} pixels off at ×{pixels_per_point}, wheel {wheel}, {step}");
                }
                // With snaps: under the pointer, or held by a snap that is told, and never far.
                alt(&mut window, false);
                for step in STEPS {
                    pull(&mut window, pressed + step);
                    let off = (centre(&window, &label) - start - step).length();
                    let held = !app(&window).session().hints().is_empty();
                    assert!(
                        off * pixels_per_point <= 0.5 || (held && off < 10.0),
                        "{label}: {off} points at ×{pixels_per_point}, wheel {wheel}, {step}: {:?}",
                        app(&window).session().refused_edit()
                    );
                }
                let_go(&mut window, pressed);
            }
        }
    }
}

#[test]
fn a_handle_stays_under_the_pointer_while_others_follow() {
    let cases = [
        (DragMode::KeepEndPoses, Handle::PanelUpper),
        (DragMode::KeepEndPoses, Handle::WallLower),
        (DragMode::KeepEndPoses, Handle::Parked),
        (DragMode::KeepLengths, Handle::PanelUpper),
        (DragMode::KeepLengths, Handle::WallLower),
        (DragMode::Free, Handle::Parked),
    ];
    for pixels_per_point in [1.0, 1.5] {
        for (mode, handle) in cases {
            let mut window = open_sized(vec2(1280.0, 800.0), pixels_per_point, Start::default());
            choose(&mut window, mode);
            let label = handle.name();
            let about = centre(&window, &label);
            zoom(&mut window, about, 400.0);
            let start = centre(&window, &label);
            let pressed = take(&mut window, &label);
            alt(&mut window, true);
            let mut followed = 0;
            for step in STEPS {
                pull(&mut window, pressed + step);
                if app(&window).session().refused_edit().is_none() {
                    let off = (centre(&window, &label) - start - step).length() * pixels_per_point;
                    assert!(off <= 0.5, "{label} {mode:?}: {off} pixels off at {step}");
                    followed += 1;
                }
            }
            assert!(followed >= 4, "{label} {mode:?}: refused {} times", STEPS.len() - followed);
        }
    }
}

#[test]
fn drum_and_strap_end_are_dragged_nudged_and_undone_by_name_and_move_nothing_else() {
    for mode in DragMode::ALL {
        for handle in Handle::OF_DRIVE {
            let mut window = open_window();
            choose(&mut window, mode);
            let before = project(&window);
            let pressed = take(&mut window, &handle.name());
            alt(&mut window, true);
            pull(&mut window, pressed + vec2(14.0, -9.0));
            let_go(&mut window, pressed + vec2(14.0, -9.0));
            alt(&mut window, false);
            let dragged = project(&window);
            let by = handle.place(&dragged) - handle.place(&before);
            assert!(by.x > 10.0 && by.y > 5.0, "{mode:?} {handle:?}: {by}");
            let mut as_before = dragged.clone();
            as_before.drive = before.drive.clone();
            assert_eq!(as_before, before, "{mode:?} {handle:?} moves nothing but the drive");
            assert_eq!(app(&window).session().history().undo_label(), Some(handle.step_label().as_str()));

            window.get_by_label(&handle.name()).focus();
            window.run();
            press_keys(&mut window, Modifiers::NONE, Key::ArrowUp);
            press_keys(&mut window, Modifiers::SHIFT, Key::ArrowLeft);
            press_keys(&mut window, Modifiers::ALT, Key::ArrowUp);
            let nudged = handle.place(&project(&window)) - handle.place(&dragged);
            // A nudge comes to rest on a whole micrometre.
            assert!((nudged - nalgebra::Vector2::new(-10.0, 1.1)).amax() < 2e-3, "{handle:?}: {nudged}");
            press_keys(&mut window, Modifiers::COMMAND, Key::Z);
            assert_eq!(project(&window), dragged, "nudges are one step");
            press_keys(&mut window, Modifiers::COMMAND, Key::Z);
            assert_eq!(project(&window), before);
        }
    }
}

#[test]
fn end_poses_stay_exactly_as_set_while_a_pivot_is_dragged() {
    for handle in [Handle::PanelUpper, Handle::PanelLower, Handle::WallUpper, Handle::WallLower] {
        let mut window = open_window();
        let before = project(&window);
        let set = ends(&before);
        press_keys(&mut window, Modifiers::NONE, Key::Num2);
        assert_eq!(app(&window).session().drag_mode(), DragMode::KeepEndPoses);
        let label = handle.name();
        let partner = handle.partner().expect("a pivot has one");
        let pressed = take(&mut window, &label);
        let mut moved = 0;
        for step in [vec2(1.0, 2.0), vec2(2.0, -3.0), vec2(-2.0, -4.0), vec2(3.0, 5.0)] {
            pull(&mut window, pressed + step);
            let now = project(&window);
            for (was, is) in set.iter().zip(ends(&now)) {
                let off = apart(was, &is);
                assert!(off < 1e-9, "{label} {step}: {off}");
            }
            if now != before {
                let follower = partner.place(&now) - partner.place(&before);
                assert!(follower.x.abs() < 1e-9 && follower.y.abs() > 1e-6, "it follows along its bar: {follower}");
                assert!(matches!(now.linkage.travel_deg, TravelWanted::Degrees(_)), "no longer wherever it stops");
                moved += 1;
            }
        }
        assert!(moved >= 3, "{label}: {moved}");
        let_go(&mut window, pressed + vec2(3.0, 5.0));
        let label = app(&window).session().history().undo_label().expect("a step").to_owned();
        assert_eq!(label, format!("{}, end poses kept", handle.step_label()));
        press_keys(&mut window, Modifiers::COMMAND, Key::Z);
        assert_eq!(project(&window), before, "the whole drag is one step");
        assert_eq!(app(&window).session().history().undo_label(), None);
    }
}

#[test]
fn lengths_stay_while_a_pivot_is_dragged() {
    for handle in Handle::PIVOTS {
        let mut window = open_window();
        choose(&mut window, DragMode::KeepLengths);
        let before = project(&window);
        let pressed = take(&mut window, &handle.name());
        for step in [vec2(2.0, 5.0), vec2(-3.0, 14.0)] {
            pull(&mut window, pressed + step);
            let (was, now) = (Lift::new(&before).lengths, Lift::new(&project(&window)).lengths);
            assert_ne!(project(&window), before);
            let pairs = [
                (was.lower_arm, now.lower_arm),
                (was.upper_arm, now.upper_arm),
                (was.panel_bar, now.panel_bar),
                (was.wall_bar, now.wall_bar),
            ];
            assert!(pairs.iter().all(|(was, now)| (was - now).abs() < 1e-5), "{handle:?} {pairs:?}");
        }
        let_go(&mut window, pressed + vec2(-3.0, 14.0));
        press_keys(&mut window, Modifiers::COMMAND, Key::Z);
        assert_eq!(project(&window), before);
    }
}

#[test]
fn escape_gives_up_every_kind_of_drag() {
    for mode in DragMode::ALL {
        for handle in Handle::in_sketch(&overarm::session::demo()) {
            let mut window = open_window();
            press_keys(&mut window, Modifiers::SHIFT, Key::F);
            choose(&mut window, mode);
            let before = project(&window);
            let pressed = take(&mut window, &handle.name());
            pull(&mut window, pressed + vec2(4.0, 3.0));
            pull(&mut window, pressed + vec2(9.0, 7.0));
            press_keys(&mut window, Modifiers::NONE, Key::Escape);
            assert_eq!(project(&window), before, "{mode:?} {handle:?}");
            pull(&mut window, pressed + vec2(30.0, 20.0));
            let_go(&mut window, pressed);
            assert_eq!(project(&window), before, "{mode:?} {handle:?}: the pointer no longer moves it");
            let session = app(&window).session();
            assert_eq!(session.history().undo_label(), None, "a drag given up is no step");
            assert!(session.where_it_holds().is_none() && session.hints().is_empty());
        }
    }
}

#[test]
fn snaps_engage_with_a_word_and_alt_holds_them_off() {
    let mut window = open_window();
    let linkage = project(&window).linkage;
    // From the picture's own scale: to three points beside being plumb over the other wall pivot.
    let [lower, upper] = ["Lower wall pivot", "Upper wall pivot"].map(|label| centre(&window, label));
    let aside = lower.x - upper.x;
    let pressed = take(&mut window, "Upper wall pivot");
    pull(&mut window, pressed + vec2(aside - 1.5, 4.3));
    assert!((project(&window).linkage.wall_upper.x - linkage.wall_lower.x).abs() < 1e-12, "plumb, exactly");
    let words: Vec<String> = app(&window).session().hints().iter().map(|hint| hint.words.clone()).collect();
    assert!(words.contains(&"in line with lower wall pivot".to_owned()), "{words:?}");
    assert!(app(&window).session().hints().iter().any(|hint| !hint.lines.is_empty()), "a light line shows it");

    alt(&mut window, true);
    pull(&mut window, pressed + vec2(aside - 1.6, 4.3));
    assert!(app(&window).session().hints().is_empty());
    assert!((project(&window).linkage.wall_upper.x - linkage.wall_lower.x).abs() > 1.0, "held off");
    alt(&mut window, false);
    pull(&mut window, pressed + vec2(aside - 1.5, 4.3));
    assert!((project(&window).linkage.wall_upper.x - linkage.wall_lower.x).abs() < 1e-12, "and on again");
}

#[test]
fn rules_that_change_are_told_beside_the_pointer() {
    let mut window = open_window();
    let pressed = take(&mut window, "Upper wall pivot");
    assert!(app(&window).session().changed_verdicts().is_empty(), "nothing has changed yet");
    pull(&mut window, pressed + vec2(0.0, -40.0));
    let changed = app(&window).session().changed_verdicts();
    let room = changed.iter().find(|changed| changed.rule == Rule::ClearsRoom).expect("the arm is in the ceiling");
    assert!(!room.holds && room.words.starts_with("Clears the room: now fails by "), "{}", room.words);
    let analysis = analyse(&project(&window), &Options { poses: 361, swept: true });
    for changed in &changed {
        let finding = analysis.rules.iter().find(|finding| finding.rule == changed.rule).expect("a finding");
        assert_eq!(finding.holds, Some(changed.holds));
    }
    pull(&mut window, pressed);
    assert!(app(&window).session().changed_verdicts().is_empty(), "back where it was");
}

#[test]
fn the_parked_panel_is_dragged_and_turned() {
    let mut window = open_window();
    let before = project(&window);
    let [hung, parked] = ends(&before);
    let pressed = take(&mut window, "Parked panel");
    pull(&mut window, pressed + vec2(6.0, -3.0));
    let_go(&mut window, pressed + vec2(6.0, -3.0));
    let moved = project(&window);
    let [still_hung, now] = ends(&moved);
    assert!(apart(&hung, &still_hung) < 1e-9);
    assert!(now.rotation.angle_to(&parked.rotation).abs() < 1e-9, "it keeps its tilt");
    let by = now.translation.vector - parked.translation.vector;
    assert!(by.x > 5.0 && by.y > 1.0, "{by}");
    assert_eq!(moved.linkage.panel_lower, before.linkage.panel_lower);
    assert!((moved.linkage.wall_lower.x - before.linkage.wall_lower.x).abs() < 1e-12);
    assert_eq!(app(&window).session().history().undo_label(), Some("Move parked panel"));

    // By keys: a degree less, and the bottom edge stays.
    window.get_by_label("Parked panel's tilt").focus();
    window.run();
    press_keys(&mut window, Modifiers::NONE, Key::ArrowLeft);
    let [_, turned] = ends(&project(&window));
    let degrees = turned.rotation.angle_to(&now.rotation).to_degrees().abs();
    assert!((degrees - 1.0).abs() < 1e-3, "{degrees}");
    assert!((turned.translation.vector - now.translation.vector).norm() < 1e-9);
    assert_eq!(app(&window).session().history().undo_label(), Some("Turn parked panel"));
    press_keys(&mut window, Modifiers::COMMAND, Key::Z);
    press_keys(&mut window, Modifiers::COMMAND, Key::Z);
    assert_eq!(project(&window), before);
}

#[test]
fn with_lengths_kept_the_parked_panel_slides_along_its_path() {
    let mut window = open_window();
    choose(&mut window, DragMode::KeepLengths);
    let before = project(&window);
    let pressed = take(&mut window, "Parked panel");
    pull(&mut window, pressed + vec2(-12.0, 30.0));
    let now = project(&window);
    assert!(matches!(now.linkage.travel_deg, TravelWanted::Degrees(_)));
    let travel_only = Project {
        linkage: overarm_solver::Linkage { travel_deg: before.linkage.travel_deg, ..now.linkage.clone() },
        ..now
    };
    assert_eq!(travel_only, before, "nothing but the travel has changed");
}

#[test]
fn what_cannot_be_kept_is_refused_with_a_reason_and_goes_on_where_it_can() {
    let mut window = open_window();
    choose(&mut window, DragMode::KeepEndPoses);
    let before = project(&window);
    let start = centre(&window, "Upper panel pivot");
    let pressed = take(&mut window, "Upper panel pivot");
    // Far beyond the lower panel pivot the bars would have to be put together the other way.
    pull(&mut window, pressed + vec2(-14.0, 90.0));
    let refused = app(&window).session().refused_edit().expect("a reason").clone();
    assert_eq!(refused.handle, Handle::PanelUpper);
    assert!(refused.sentence.ends_with('.') && refused.sentence.len() > 30, "{}", refused.sentence);
    assert_eq!(project(&window), before, "it stays at the last place that can be");
    pull(&mut window, pressed + vec2(0.0, -4.0));
    assert!(app(&window).session().refused_edit().is_none());
    let off = (centre(&window, "Upper panel pivot") - start - vec2(0.0, -4.0)).length();
    assert!(off < 10.0, "{off}");
}

#[test]
fn the_map_grows_while_a_pivot_is_held_and_is_gone_with_it() {
    let mut window = open_window();
    let pressed = take(&mut window, "Lower wall pivot");
    assert!(app(&window).session().where_it_holds().is_none(), "a click asks for nothing");
    pull(&mut window, pressed + vec2(1.0, 1.0));
    let patience = Instant::now() + Duration::from_secs(60);
    while app(&window).session().where_it_holds().is_none() {
        assert!(Instant::now() < patience, "waited in vain for a map");
        std::thread::sleep(Duration::from_millis(5));
        window.step();
    }
    let map = app(&window).session().where_it_holds().expect("a map");
    let place = project(&window).linkage.wall_lower;
    assert!((place - map.least).min() > 0.0, "it lies about the handle");
    let_go(&mut window, pressed);
    assert!(app(&window).session().where_it_holds().is_none());
    std::thread::sleep(Duration::from_millis(100));
    window.run();
    assert!(app(&window).session().where_it_holds().is_none(), "and does not come back");
}
