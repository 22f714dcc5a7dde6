//! What a crash, another window or another program did to a file, as the window tells it; driven by
//! accessible names.

use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

use egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT, Queryable};
use overarm::session::{Appearance, Notice, Places, Settings, demo};
use overarm::window::Start;
use overarm_shopfiles::project_file;
use overarm_solver::Project;

use crate::harness::{Window, app, drop_file, open_with, press, press_keys, project, wait_until};

fn open(folder: &Path, file: Option<&Path>) -> Window {
    open_with(Start { file: file.map(Path::to_path_buf), places: Some(Places::below(folder)) })
}

fn nudge(window: &mut Window) {
    window.get_by_label("Upper wall pivot").focus();
    window.run();
    press_keys(window, Modifiers::NONE, Key::ArrowRight);
}

fn heavier() -> Project {
    let mut project = demo();
    project.panel.mass = 17.0;
    project
}

/// A saved file with newer work kept beside it, as a crash leaves it.
fn crashed(folder: &Path) -> (PathBuf, PathBuf) {
    let file = folder.join("hatch.overarm.json");
    let kept = folder.join("hatch.overarm.json.autosave");
    project_file::save(&file, &demo()).expect("written");
    project_file::save(&kept, &heavier()).expect("written");
    (file, kept)
}

#[test]
fn after_a_crash_both_versions_are_shown_and_can_be_looked_at() {
    let folder = tempfile::tempdir().expect("a folder");
    let (file, kept) = crashed(folder.path());
    let an_hour_ago = SystemTime::now() - Duration::from_secs(3700);
    std::fs::File::options().write(true).open(&file).and_then(|f| f.set_modified(an_hour_ago)).expect("dated");
    let mut window = open(folder.path(), Some(&file));
    assert!(window.query_by_label_contains("the file was saved 1 hour ago. 1 field differs").is_some());
    for cell in ["Panel, mass", "16 kg", "17 kg"] {
        assert!(window.query_by_label(cell).is_some(), "{cell}");
    }
    assert_eq!(project(&window), demo());
    press(&mut window, "Look at the recovered one");
    assert_eq!(project(&window), heavier());
    // Looking decides nothing: nothing can be changed, and Escape does not choose.
    press_keys(&mut window, Modifiers::NONE, Key::Escape);
    nudge(&mut window);
    assert_eq!(project(&window), heavier());
    press(&mut window, "Look at the saved one");
    assert_eq!(project(&window), demo());

    press(&mut window, "Take the recovered one");
    assert_eq!(project(&window), heavier());
    assert!(app(&window).session().document().has_unsaved_changes());
    assert_eq!(project_file::read(&file).expect("whole"), demo(), "the file is not touched until it is saved");
    press_keys(&mut window, Modifiers::COMMAND, Key::Z);
    assert_eq!(project(&window), demo(), "the saved version is one undo away");
    press_keys(&mut window, Modifiers::COMMAND, Key::Y);
    press_keys(&mut window, Modifiers::COMMAND, Key::S);
    wait_until(&mut window, "it is saved", |w| !app(w).session().document().has_unsaved_changes());
    assert_eq!(project_file::read(&file).expect("whole"), heavier());
    wait_until(&mut window, "it is no longer kept", |_| !kept.exists());
}

#[test]
fn the_version_not_taken_stays_as_a_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let (file, kept) = crashed(folder.path());
    let mut window = open(folder.path(), Some(&file));
    press(&mut window, "Keep the saved one");
    let aside = folder.path().join("hatch.set-aside-1.overarm.json");
    wait_until(&mut window, "it is set aside", |_| aside.exists());
    assert_eq!(project(&window), demo());
    assert_eq!(project_file::read(&aside).expect("a project"), heavier());
    assert!(!kept.exists());
    wait_until(&mut window, "it says where", |w| w.query_by_label_contains("hatch.set-aside-1").is_some());
}

#[test]
fn work_without_a_file_is_offered_at_the_next_start() {
    let folder = tempfile::tempdir().expect("a folder");
    let unsaved = folder.path().join("state/unsaved");
    std::fs::create_dir_all(&unsaved).expect("made");
    project_file::save(&unsaved.join("board-1.overarm.json.autosave"), &heavier()).expect("written");
    let mut window = open(folder.path(), None);
    assert!(window.query_by_label_contains("which has no file yet").is_some());
    press(&mut window, "Take the recovered one");
    assert_eq!(project(&window), heavier());
    assert!(app(&window).session().document().has_unsaved_changes());
    drop(window);
    // That window went without a save or an answer: it is offered again.
    let window = open(folder.path(), None);
    assert!(window.query_by_label("Take the recovered one").is_some());
}

#[test]
fn a_file_that_changed_on_the_disk_is_asked_for() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("hatch.overarm.json");
    project_file::save(&file, &demo()).expect("written");
    let mut window = open(folder.path(), Some(&file));
    nudge(&mut window);
    let mine = project(&window);
    project_file::save(&file, &heavier()).expect("written by somebody else");
    press_keys(&mut window, Modifiers::COMMAND, Key::S);
    wait_until(&mut window, "it asks", |w| w.query_by_label_contains("was changed by another").is_some());
    assert_eq!(project_file::read(&file).expect("whole"), heavier());
    press(&mut window, "Cancel");
    assert_eq!(project_file::read(&file).expect("whole"), heavier());

    press_keys(&mut window, Modifiers::COMMAND, Key::S);
    wait_until(&mut window, "it asks again", |w| w.query_by_label("Overwrite").is_some());
    press(&mut window, "Overwrite");
    wait_until(&mut window, "it is saved", |w| !app(w).session().document().has_unsaved_changes());
    assert_eq!(project_file::read(&file).expect("whole"), mine);

    nudge(&mut window);
    project_file::save(&file, &heavier()).expect("written by somebody else");
    press_keys(&mut window, Modifiers::COMMAND, Key::S);
    wait_until(&mut window, "it asks", |w| w.query_by_label("Read it anew").is_some());
    press(&mut window, "Read it anew");
    wait_until(&mut window, "unsaved work is asked for", |w| w.query_by_label("Lose changes").is_some());
    press(&mut window, "Lose changes");
    wait_until(&mut window, "it is read", |w| project(w) == heavier());
}

#[test]
fn two_windows_on_one_file_say_so_before_either_overwrites() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("hatch.overarm.json");
    project_file::save(&file, &demo()).expect("written");
    let first = open(folder.path(), Some(&file));
    let mut second = open(folder.path(), Some(&file));
    assert!(first.query_by_label_contains("open in another window").is_none());
    assert!(second.query_by_label_contains("open in another window").is_some());
    nudge(&mut second);
    press_keys(&mut second, Modifiers::COMMAND, Key::S);
    wait_until(&mut second, "it asks", |w| w.query_by_label("Save all the same").is_some());
    assert_eq!(project_file::read(&file).expect("whole"), demo());
    press(&mut second, "Save all the same");
    wait_until(&mut second, "it is saved", |w| !app(w).session().document().has_unsaved_changes());
    assert_eq!(project_file::read(&file).expect("whole"), project(&second));
    // Asked once is enough.
    nudge(&mut second);
    press_keys(&mut second, Modifiers::COMMAND, Key::S);
    wait_until(&mut second, "it is saved", |w| !app(w).session().document().has_unsaved_changes());

    // The first one's claim goes with its window.
    drop(first);
    let third = open(folder.path(), Some(&file));
    assert!(third.query_by_label_contains("open in another window").is_none());
}

#[test]
fn recent_files_are_offered_and_missing_ones_say_why() {
    let folder = tempfile::tempdir().expect("a folder");
    let (here, gone) = (folder.path().join("here.overarm.json"), folder.path().join("gone.overarm.json"));
    for file in [&gone, &here] {
        project_file::save(file, &heavier()).expect("written");
        let mut window = open(folder.path(), Some(file));
        press(&mut window, "Plots");
        press(&mut window, "Plots");
        finish(window);
    }
    std::fs::remove_file(&gone).expect("removed");
    let mut window = open(folder.path(), None);
    press_keys(&mut window, Modifiers::COMMAND, Key::O);
    wait_until(&mut window, "they are looked at", |w| w.query_by_label("here.overarm.json").is_some());
    assert!(window.query_by_label_contains("moved, renamed or deleted").is_some());
    assert!(window.get_by_label("gone.overarm.json").accesskit_node().is_disabled());
    press(&mut window, "here.overarm.json");
    wait_until(&mut window, "it is open", |w| app(w).session().document().path() == Some(&*here));
    assert_eq!(project(&window), heavier());
}

/// As when the window closes.
fn finish(mut window: Window) {
    let app = window.state_mut().as_mut().expect("a window");
    app.finish();
}

#[test]
fn the_look_is_remembered() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut window = open(folder.path(), None);
    for _ in 0..2 {
        press_keys(&mut window, Modifiers::COMMAND, Key::Plus);
    }
    press_keys(&mut window, Modifiers::NONE, Key::D);
    press_keys(&mut window, Modifiers::NONE, Key::G);
    let dark = window.ctx.theme();
    assert!((window.ctx.zoom_factor() - 1.5).abs() < 1e-6);
    finish(window);
    let settings = Settings::read(&Places::below(folder.path()).settings);
    assert_eq!(settings.text_percent, 150);
    assert_ne!(settings.appearance, Appearance::System);
    assert!(!settings.plots_open);
    let window = open(folder.path(), None);
    assert!((window.ctx.zoom_factor() - 1.5).abs() < 1e-6);
    assert_eq!(window.ctx.theme(), dark);
}

#[test]
fn nothing_of_the_commands_is_cut_off_at_twice_the_text() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut window = open(folder.path(), None);
    for _ in 0..4 {
        press_keys(&mut window, Modifiers::COMMAND, Key::Plus);
    }
    window.run_steps(4);
    assert!((window.ctx.zoom_factor() - 2.0).abs() < 1e-6);
    let screen = window.ctx.content_rect();
    assert!(screen.width() < 660.0, "{screen}");
    for label in ["Open", "Save", "Undo", "Redo", "Side", "Front", "Parts", "Numbers", "All actions"] {
        let place = window.get_by_label(label).rect();
        assert!(screen.contains_rect(place), "{label}: {place} is not within {screen}");
    }
    let drawing = window.get_by_label("Side view").rect();
    assert!(drawing.height() > 0.4 * screen.height(), "the plots give way: {drawing}");
    press_keys(&mut window, Modifiers::COMMAND, Key::Num0);
    assert!((window.ctx.zoom_factor() - 1.0).abs() < 1e-6);
}

#[test]
fn both_versions_can_be_looked_at_with_twice_the_text() {
    let folder = tempfile::tempdir().expect("a folder");
    let (file, _) = crashed(folder.path());
    let mut window = open(folder.path(), Some(&file));
    for _ in 0..4 {
        press_keys(&mut window, Modifiers::COMMAND, Key::Plus);
    }
    window.run_steps(4);
    let screen = window.ctx.content_rect();
    let all = ["Look at the saved one", "Look at the recovered one", "Keep the saved one", "Take the recovered one"];
    for label in all {
        let place = window.get_by_label(label).rect();
        assert!(screen.contains_rect(place), "{label}: {place} is not within {screen}");
    }
    let drawing = window.get_by_label("Side view").rect();
    assert!(drawing.height() > 0.4 * screen.height() && drawing.width() > 0.4 * screen.width(), "{drawing}");
}

#[test]
fn unsaved_work_is_kept_beside_its_file_and_goes_with_an_undo() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("hatch.overarm.json");
    let kept = folder.path().join("hatch.overarm.json.autosave");
    project_file::save(&file, &demo()).expect("written");
    let mut window = open(folder.path(), Some(&file));
    nudge(&mut window);
    wait_until(&mut window, "it is kept", |_| kept.exists());
    assert_eq!(project_file::read(&kept).expect("whole"), project(&window));
    assert_eq!(project_file::read(&file).expect("whole"), demo());
    press_keys(&mut window, Modifiers::COMMAND, Key::Z);
    wait_until(&mut window, "it holds nothing new", |_| !kept.exists());

    nudge(&mut window);
    wait_until(&mut window, "it is kept", |_| kept.exists());
    press_keys(&mut window, Modifiers::COMMAND, Key::W);
    press(&mut window, "Lose changes");
    assert!(app(&window).session().close_agreed());
    finish(window);
    assert!(!kept.exists(), "given up when it was asked for");
}

#[test]
fn a_dropped_file_is_opened_and_unsaved_work_asked_for() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("hatch.overarm.json");
    project_file::save(&file, &heavier()).expect("written");
    let mut window = open(folder.path(), None);
    window.input_mut().hovered_files = vec![egui::HoveredFile { path: Some(file.clone()), mime: String::new() }];
    // While files are held over it, a window draws all the time.
    window.run_steps(3);
    assert!(window.query_by_label("Let go to open hatch.overarm.json").is_some());
    window.input_mut().hovered_files.clear();
    drop_file(&mut window, &file);
    wait_until(&mut window, "it is open", |w| project(w) == heavier());
    nudge(&mut window);
    drop_file(&mut window, &file);
    wait_until(&mut window, "it asks", |w| w.query_by_label("Lose changes").is_some());
    press(&mut window, "Cancel");
    drop_file(&mut window, folder.path());
    wait_until(
        &mut window,
        "it says why not",
        |w| matches!(app(w).session().notice(), Some(Notice::Problem(text)) if text.contains("folder")),
    );
}

#[test]
fn any_step_can_be_gone_to_and_looking_takes_none_away() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut window = open(folder.path(), None);
    let before = project(&window);
    nudge(&mut window);
    let first = project(&window);
    window.get_by_label("Lower wall pivot").focus();
    window.run();
    press_keys(&mut window, Modifiers::NONE, Key::ArrowUp);
    let second = project(&window);
    press_keys(&mut window, Modifiers::NONE, Key::H);
    assert!(window.query_by_label("2. Move lower wall pivot (here)").is_some());
    press(&mut window, "0. The demo as it comes");
    assert_eq!(project(&window), before);
    // Looking about and picking are no steps.
    press_keys(&mut window, Modifiers::SHIFT, Key::F);
    press(&mut window, overarm_solver::Rule::ClearsRoom.title());
    press(&mut window, "Swept area");
    press(&mut window, "2. Move lower wall pivot");
    assert_eq!(project(&window), second);
    press(&mut window, "1. Move upper wall pivot");
    assert_eq!(project(&window), first);
    assert!(window.query_by_label("1. Move upper wall pivot (here)").is_some());
    press(&mut window, "Close page");
    assert!(window.query_by_label("1. Move upper wall pivot (here)").is_none());
}

#[test]
fn every_action_is_found_by_typing_and_run_by_the_keyboard() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut window = open(folder.path(), None);
    press_keys(&mut window, Modifiers::NONE, Key::A);
    for words in overarm::session::COMMANDS {
        assert!(window.query_all_by_label(words.label).next().is_some(), "{}", words.label);
    }
    let field = |window: &Window| window.query_all_by_role(egui::accesskit::Role::TextInput).count();
    assert_eq!(field(&window), 1);
    let theme = window.ctx.theme();
    window.event(egui::Event::Text("light dark".to_owned()));
    window.run();
    press_keys(&mut window, Modifiers::NONE, Key::Enter);
    assert_ne!(window.ctx.theme(), theme);
    assert_eq!(field(&window), 0, "it has done its work and is closed");

    // Arrows go from one to the next; what cannot be done now does nothing and says why.
    press_keys(&mut window, Modifiers::COMMAND | Modifiers::SHIFT, Key::A);
    window.event(egui::Event::Text("text".to_owned()));
    window.run();
    assert!(window.query_by_label("Plots").is_some(), "the toolbar stays");
    press_keys(&mut window, Modifiers::NONE, Key::Enter);
    assert!((window.ctx.zoom_factor() - 1.25).abs() < 1e-6, "the first is run");
    press_keys(&mut window, Modifiers::NONE, Key::A);
    window.event(egui::Event::Text("text".to_owned()));
    window.run();
    press_keys(&mut window, Modifiers::NONE, Key::ArrowDown);
    press_keys(&mut window, Modifiers::NONE, Key::Enter);
    assert!((window.ctx.zoom_factor() - 1.0).abs() < 1e-6, "the second is run");
    press_keys(&mut window, Modifiers::NONE, Key::A);
    window.event(egui::Event::Text("nothing of the kind".to_owned()));
    window.run();
    assert!(window.query_by_label_contains("Fewer letters find more").is_some());
    press_keys(&mut window, Modifiers::NONE, Key::Escape);
    assert_eq!(field(&window), 0);
}

#[test]
fn the_program_tells_its_version_cautions_and_licences() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut window = open(folder.path(), None);
    press_keys(&mut window, Modifiers::NONE, Key::A);
    window.event(egui::Event::Text("about".to_owned()));
    window.run();
    press(&mut window, "About");
    assert!(window.query_by_label(&format!("Overarm {}", env!("CARGO_PKG_VERSION"))).is_some());
    assert!(window.query_by_label_contains("An aid, not a licence").is_some());
    press(&mut window, "Crates and their licences");
    window.run_steps(20);
    assert!(window.query_by_label_contains("Crates that are linked into Overarm").is_some());
}

#[test]
fn making_can_be_stopped_and_leaves_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let job = folder.path().join("hatch-job");
    let file = folder.path().join("hatch.overarm.json");
    project_file::save(&file, &demo()).expect("written");
    let mut window = open(folder.path(), Some(&file));
    press_keys(&mut window, Modifiers::COMMAND, Key::M);
    press(&mut window, "Make parts");
    wait_until(&mut window, "it tells how far it is", |w| w.query_by_label("Stop").is_some() || job.exists());
    if let Some(stop) = window.query_by_label("Stop") {
        stop.click();
    }
    wait_until(&mut window, "it has ended", |w| app(w).session().asking().is_none());
    let stopped = window.query_by_label_contains("Making was stopped; nothing was written").is_some();
    assert_ne!(stopped, job.exists(), "all of it is there, or nothing");
}
