//! The parts' sheets in the window, and what is told of a job folder that was made.

use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;

use crate::harness::{Window, app, open_window, press, press_keys, wait_until};

fn choose(window: &mut Window, from: &str, name: &str) {
    window.get_by_value(from).click();
    window.run();
    press(window, name);
}

#[test]
fn every_part_is_picked_and_its_sheet_seen() {
    let mut window = open_window();
    press(&mut window, "Parts");
    let mut before = "All parts".to_owned();
    for name in ["Assembly", "Left wall bar", "Right wall bar", "Left lower arm", "Right upper arm"] {
        choose(&mut window, &before, name);
        assert!(window.query_by_label(&format!("Sheet: {name}")).is_some(), "{name}");
        before = name.to_owned();
    }
    assert_eq!(app(&window).session().history().undo_label(), None, "looking is no step");
    choose(&mut window, &before, "All parts");
    assert!(window.query_by_label("Sheet: Right upper arm").is_none());
}

#[test]
fn what_was_written_is_told_and_its_folder_offered() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let job = folder.path().join("job");
    let mut window = open_window();
    press_keys(&mut window, Modifiers::COMMAND, Key::M);
    crate::whole_job::type_path(&mut window, "Job folder", &job);
    press(&mut window, "Make parts");
    wait_until(&mut window, "it is made", |w| app(w).session().asking().is_none());
    let told = format!("Made 28 files in {}: parts (16), hole-table.csv, cut-list.csv, inspection.csv", job.display());
    assert!(window.query_by_label_contains(&told).is_some(), "{:?}", app(&window).session().notice());
    assert!(window.query_by_label("Open folder").is_some());
    press(&mut window, "Dismiss");
    assert!(window.query_by_label("Open folder").is_none());
}
