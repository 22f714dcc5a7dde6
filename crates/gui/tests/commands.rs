//! The program itself: run as a process, judged by exit code, standard output and standard error.

#![allow(clippy::unwrap_used)] // a test that cannot go on stops where it stands

use std::fs;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::{Value, json};

const CASE: &str = include_str!("../../../tests/golden/chapel-hatch/project.overarm.json");
const DEMO: &str = include_str!("../../../demo/chapel-hatch.overarm.json");

/// The program in this folder, with no display and no colour wish from outside.
fn overarm(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_overarm"));
    command.current_dir(folder);
    for name in ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET", "NO_COLOR"] {
        command.env_remove(name);
    }
    command
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    overarm(folder).args(arguments).stdin(Stdio::null()).output().unwrap()
}

fn run_with_input(folder: &Path, arguments: &[&str], input: &str) -> Output {
    let mut child = overarm(folder)
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A program that refuses early may close its end first.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    child.wait_with_output().unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// A folder with `case.overarm.json` in it.
fn place() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().to_path_buf();
    fs::write(path.join("case.overarm.json"), CASE).unwrap();
    (folder, path)
}

/// The case with one value changed.
fn case_with(pointer: &str, value: Value) -> String {
    let mut root: Value = serde_json::from_str(CASE).unwrap();
    *root.pointer_mut(pointer).unwrap() = value;
    root.to_string()
}

fn listing(folder: &Path) -> Vec<String> {
    let mut names: Vec<_> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn check_prints_every_rule_and_ends_with_the_verdict() {
    let (_keep, folder) = place();
    let good = run(&folder, &["check", "case.overarm.json"]);
    let text = out(&good);
    assert!(text.starts_with("Chapel kitchen hatch board\n"), "{text}");
    assert!(text.contains("7.43 mm"), "the uncovered height's margin: {text}");
    assert!(text.contains("Not checked"), "{text}");
    assert!(!text.contains('\u{1b}'), "no colour when not a terminal");
    assert_eq!(code(&good), i32::from(text.lines().nth(1).unwrap().starts_with("fails")));
    fs::write(folder.join("tight.json"), case_with("/room/clearance", json!(5000))).unwrap();
    let tight = run(&folder, &["check", "tight.json"]);
    assert_eq!(code(&tight), 1, "{}", err(&tight));
    assert!(out(&tight).lines().nth(1).unwrap().starts_with("fails"));
}

#[test]
fn check_json_is_the_contract() {
    let (_keep, folder) = place();
    let output = run(&folder, &["check", "case.overarm.json", "--json", "--poses", "8"]);
    assert!(code(&output) < 2, "{}", err(&output));
    let findings: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(findings["format"], "overarm-findings");
    assert_eq!(findings["version"], 1);
    assert_eq!(findings["poses"].as_array().unwrap().len(), 8);
    let names: Vec<_> = findings["rules"].as_array().unwrap().iter().map(|r| r["rule"].as_str().unwrap()).collect();
    assert_eq!(
        names,
        [
            "assembles",
            "hangs_flat",
            "uncovers",
            "clears_room",
            "clears_wall",
            "clears_itself",
            "stops_on_fold",
            "starts",
            "stays_down",
            "comes_down",
            "winds",
            "drive_copes",
            "bars_hold",
            "bearings_hold",
            "fixings_hold",
            "pair_runs_free",
            "can_be_made"
        ]
    );
    let fails = findings["rules"].as_array().unwrap().iter().any(|rule| rule["holds"] == false);
    assert_eq!(findings["verdict"], if fails { "fails" } else { "holds" });
    assert_eq!(code(&output), i32::from(fails));
    let default = run(&folder, &["check", "case.overarm.json", "--json"]);
    let findings: Value = serde_json::from_slice(&default.stdout).unwrap();
    assert_eq!(findings["poses"].as_array().unwrap().len(), 61);
}

#[test]
fn a_dash_reads_standard_input() {
    let (_keep, folder) = place();
    let from_file = run(&folder, &["check", "case.overarm.json", "--json"]);
    let from_stream = run_with_input(&folder, &["check", "-", "--json"], CASE);
    assert_eq!(out(&from_file), out(&from_stream));
    let made = run_with_input(&folder, &["make", "-", "--out", "job"], CASE);
    assert_eq!(code(&made), 0, "{}", err(&made));
    let refused = run_with_input(&folder, &["check", "-"], "{");
    assert_eq!(code(&refused), 2);
    assert!(err(&refused).contains("standard input: not valid JSON at line 1"), "{}", err(&refused));
    let window = run_with_input(&folder, &["-"], CASE);
    assert_eq!(code(&window), 2);
}

/// Every bad input: exit 2, a sentence that names field and expectation, nothing written.
#[test]
fn bad_input_is_refused_by_every_command_and_nothing_is_overwritten() {
    let nan = CASE.replacen("\"mass\": 16", "\"mass\": NaN", 1);
    let huge = CASE.replacen("\"mass\": 16", "\"mass\": 1e400", 1);
    let missing = CASE.replacen("\"mass\": 16,", "", 1);
    assert_ne!(missing, CASE);
    let cases: [(&str, String, &[&str]); 12] = [
        ("cut short", CASE[..400].to_owned(), &["not valid JSON at line", "ends too early"]),
        ("a comma too many", CASE.replacen("\"version\": 1,", "\"version\": 1,,", 1), &["line 3, column"]),
        ("NaN", nan, &["line 13, column 59", "panel.mass"]),
        ("missing", missing, &["panel.mass is missing: a number is expected"]),
        (
            "wrong type",
            case_with("/panel/height", json!("700")),
            &["panel.height: a number is expected, found \"700\""],
        ),
        (
            "NaN as null",
            case_with("/linkage/wall_lower/1", json!(null)),
            &["linkage.wall_lower[1]: a number is expected, found null"],
        ),
        ("1e400", huge, &["panel.mass: a number that a computer can hold is expected"]),
        ("negative", case_with("/bars/lower_arm/width", json!(-25.4)), &["bars.lower_arm.width", "-25.4"]),
        ("pivot on pivot", case_with("/linkage/panel_upper", json!([-39.69, 453.02])), &["linkage.panel_"]),
        (
            "self-crossing",
            case_with("/room/outline", json!([[0, 0], [0, 2000], [1000, 2000], [-500, 1000]])),
            &["room.outline"],
        ),
        ("newer", case_with("/version", json!(2)), &["version: 1 is expected, found 2", "newer"]),
        (
            "not ours",
            case_with("/format", json!("sketch")),
            &["format: \"overarm-project\" is expected, found \"sketch\""],
        ),
    ];
    for (name, text, wanted) in &cases {
        let (_keep, folder) = place();
        fs::write(folder.join("bad.json"), text).unwrap();
        fs::write(folder.join("kept.svg"), "kept").unwrap();
        fs::create_dir(folder.join("job")).unwrap();
        fs::write(folder.join("job/kept.txt"), "kept").unwrap();
        let before = listing(&folder);
        for arguments in [
            &["check", "bad.json"][..],
            &["check", "bad.json", "--json"],
            &["make", "bad.json", "--out", "job", "--force"],
            &["make", "bad.json", "--out", "new"],
            &["picture", "bad.json", "--out", "kept.svg"],
            &["bad.json"],
        ] {
            let output = run(&folder, arguments);
            assert_eq!(code(&output), 2, "{name}: {arguments:?}");
            assert!(output.stdout.is_empty(), "{name}: {arguments:?}");
            let message = err(&output);
            assert!(message.starts_with("overarm: bad.json: "), "{name}: {message}");
            assert_eq!(message.lines().count(), 1, "{name}: {message}");
            for part in *wanted {
                assert!(message.contains(part), "{name}: {part} is not in {message}");
            }
        }
        assert_eq!(listing(&folder), before, "{name}");
        assert_eq!(listing(&folder.join("job")), ["kept.txt"], "{name}");
        assert_eq!(fs::read_to_string(folder.join("kept.svg")).unwrap(), "kept", "{name}");
    }
}

#[test]
fn unreadable_and_unwritable_paths_are_named() {
    let (_keep, folder) = place();
    fs::create_dir(folder.join("folder.json")).unwrap();
    for (arguments, wanted) in [
        (&["check", "none.json"][..], "none.json: cannot be read: no such file or directory"),
        (&["check", "folder.json"], "folder.json: cannot be read: this is a folder"),
        (&["check", "case.overarm.json/below"], "below: cannot be read: not a directory"),
        (&["make", "case.overarm.json", "--out", "case.overarm.json"], "case.overarm.json: a folder is expected"),
        (&["make", "case.overarm.json", "--out", "case.overarm.json/job"], "case.overarm.json is a file, not a folder"),
        (&["picture", "case.overarm.json", "--out", "none/a.svg"], "none/a.svg: the folder none does not exist"),
        (&["picture", "case.overarm.json", "--out", "a.txt"], "a.txt: a name that ends in .svg or .png is expected"),
        (&["none.json"], "none.json: cannot be read"),
        (&["chek"], "there is no command and no file called chek"),
    ] {
        let output = run(&folder, arguments);
        assert_eq!(code(&output), 2, "{arguments:?}");
        assert!(err(&output).contains(wanted), "{wanted} is not in {}", err(&output));
    }
    assert_eq!(fs::read_to_string(folder.join("case.overarm.json")).unwrap(), CASE);
    assert_eq!(listing(&folder), ["case.overarm.json", "folder.json"]);
}

#[test]
#[cfg(target_os = "linux")]
fn a_full_standard_output_is_an_error_and_a_closed_one_is_not() {
    let (_keep, folder) = place();
    let full = fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let output =
        overarm(&folder).args(["check", "case.overarm.json"]).stdout(full).stderr(Stdio::piped()).output().unwrap();
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("standard output: No space left on device"), "{}", err(&output));

    // Enough poses that the reader has long gone when the text is written.
    let mut child = overarm(&folder)
        .args(["check", "case.overarm.json", "--json", "--poses", "2000"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let mut message = String::new();
    child.stderr.take().unwrap().read_to_string(&mut message).unwrap();
    assert!(child.wait().unwrap().code().unwrap() < 2);
    assert_eq!(message, "");
}

#[test]
fn make_writes_the_folder_and_refuses_to_overwrite() {
    let (_keep, folder) = place();
    let first = run(&folder, &["make", "case.overarm.json", "--out", "job"]);
    assert_eq!(code(&first), 0, "{}", err(&first));
    assert_eq!(
        listing(&folder.join("job")),
        [
            "cut-list.csv",
            "drawings.pdf",
            "hole-table.csv",
            "inspection.csv",
            "job-sheet.pdf",
            "manifest.json",
            "mock-up.pdf",
            "parts",
            "project.overarm.json",
            "set-up-sheets.pdf",
            "side-view.png",
            "side-view.svg",
            "wall-template.pdf"
        ]
    );
    assert_eq!(
        listing(&folder.join("job/parts")),
        ["L", "R"]
            .map(|hand| {
                ["lower-arm", "panel-bar", "upper-arm", "wall-bar"]
                    .map(|part| ["dxf", "step"].map(|kind| format!("{hand}-{part}.{kind}")))
            })
            .as_flattened()
            .as_flattened()
    );
    let table = fs::read(folder.join("job/hole-table.csv")).unwrap();
    fs::write(folder.join("job/hole-table.csv"), "changed by hand").unwrap();
    let again = run(&folder, &["make", "case.overarm.json", "--out", "job"]);
    assert_eq!(code(&again), 2);
    assert!(err(&again).contains("job: this folder is not empty"), "{}", err(&again));
    assert!(err(&again).contains("--force"));
    assert_eq!(fs::read(folder.join("job/hole-table.csv")).unwrap(), b"changed by hand");
    fs::write(folder.join("job/mine.txt"), "mine").unwrap();
    let forced = run(&folder, &["make", "case.overarm.json", "--out", "job", "--force"]);
    assert_eq!(code(&forced), 0, "{}", err(&forced));
    assert_eq!(fs::read(folder.join("job/hole-table.csv")).unwrap(), table);
    assert_eq!(fs::read(folder.join("job/mine.txt")).unwrap(), b"mine");
    assert!(err(&forced).contains("Left as they were in job: mine.txt"), "{}", err(&forced));
}

#[test]
fn make_takes_kinds_and_a_generation() {
    let (_keep, folder) = place();
    let some =
        run(&folder, &["make", "case.overarm.json", "--out", "some", "--only", "parts,hole-table", "--dxf", "r12"]);
    assert_eq!(code(&some), 0, "{}", err(&some));
    assert_eq!(listing(&folder.join("some")), ["hole-table.csv", "manifest.json", "parts"]);
    let dxf = fs::read_to_string(folder.join("some/parts/R-upper-arm.dxf")).unwrap();
    assert!(dxf.contains("AC1009") && dxf.contains("SEQEND"));
    for arguments in [
        &["make", "case.overarm.json", "--out", "x", "--only", "cheese"][..],
        &["make", "case.overarm.json", "--out", "x", "--dxf", "r9"],
        &["make", "case.overarm.json"],
        &["check", "case.overarm.json", "--poses", "1"],
        &["check", "case.overarm.json", "--poses", "many"],
        &["check"],
        &["picture", "case.overarm.json", "--out", "a.svg", "--at", "1.5"],
        &["check", "case.overarm.json", "--cheese"],
    ] {
        let output = run(&folder, arguments);
        assert_eq!(code(&output), 2, "{arguments:?}");
        assert!(!err(&output).is_empty() && output.stdout.is_empty(), "{arguments:?}");
    }
    assert!(!folder.join("x").exists());
}

#[test]
fn a_failing_rule_does_not_stop_make_but_is_told() {
    let (_keep, folder) = place();
    fs::write(folder.join("tight.json"), case_with("/room/clearance", json!(5000))).unwrap();
    let made = run(&folder, &["make", "tight.json", "--out", "job"]);
    assert_eq!(code(&made), 0);
    assert!(err(&made).contains("Fails: Clears the room"), "{}", err(&made));
    assert!(fs::read_to_string(folder.join("job/side-view.svg")).unwrap().contains("Fails: Clears the room"));
    let manifest: Value = serde_json::from_slice(&fs::read(folder.join("job/manifest.json")).unwrap()).unwrap();
    assert_eq!(manifest["verdict"], "fails");
    assert!(manifest["failing_rules"].as_array().unwrap().contains(&json!("clears_room")));
}

/// What a job folder holds: each file's path below it, and its bytes.
fn whole(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(inner) = folders.pop() {
        for entry in fs::read_dir(inner).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                found.push((path.strip_prefix(folder).unwrap().to_path_buf(), fs::read(&path).unwrap()));
            }
        }
    }
    found.sort();
    found
}

#[test]
#[cfg(unix)]
fn a_write_that_fails_half_way_leaves_no_folder_and_no_mixture() {
    let (_keep, folder) = place();
    assert_eq!(code(&run(&folder, &["make", "case.overarm.json", "--out", "old", "--dxf", "r12"])), 0);
    let before = whole(&folder.join("old"));
    // The largest file that may be written, in blocks of the shell: a write beyond it fails as one on a full
    // disk does. Some files still fit, another does not.
    let mut failed = Vec::new();
    for blocks in ["8", "30", "64", "90"] {
        let limited = |arguments: &str| {
            let program = env!("CARGO_BIN_EXE_overarm");
            let line = format!("trap '' XFSZ; ulimit -f {blocks}; exec '{program}' {arguments}");
            Command::new("sh").args(["-c", &line]).current_dir(&folder).stdin(Stdio::null()).output().unwrap()
        };
        let made = limited("make case.overarm.json --out new");
        let told = err(&made);
        assert_eq!(code(&made), 2, "{blocks}: {told}");
        assert!(told.contains("new/") && told.contains("too large"), "{blocks}: {told}");
        assert_eq!(out(&made), "");
        failed.push(told);
        let forced = limited("make case.overarm.json --out old --force");
        assert_eq!(code(&forced), 2, "{blocks}: {}", err(&forced));
        assert!(err(&forced).contains("old/"), "{}", err(&forced));
        assert_eq!(listing(&folder), ["case.overarm.json", "old"], "{blocks}");
        assert!(whole(&folder.join("old")) == before, "{blocks}: the folder changed");
    }
    failed.dedup();
    assert!(failed.len() > 1, "only ever the same file: {failed:?}");
}

#[test]
#[cfg(unix)]
fn without_permission_nothing_is_written_and_the_place_is_named() {
    use std::os::unix::fs::{MetadataExt, PermissionsExt};
    use std::os::unix::process::CommandExt;
    const NOBODY: u32 = 65_534;
    let (_keep, folder) = place();
    let allow = |path: &Path, mode: u32| fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    fs::create_dir(folder.join("locked")).unwrap();
    allow(&folder, 0o755);
    allow(&folder.join("locked"), 0o555);
    let program = folder.join("overarm-copy");
    fs::copy(env!("CARGO_BIN_EXE_overarm"), &program).unwrap();
    let mut command = Command::new(&program);
    command.current_dir(&folder).stdin(Stdio::null());
    if fs::metadata(&folder).unwrap().uid() == 0 {
        // Whoever may do anything is refused nothing.
        command.uid(NOBODY);
    }
    let made = command.args(["make", "case.overarm.json", "--out", "locked/job"]).output().unwrap();
    assert_eq!(code(&made), 2, "{}", err(&made));
    assert!(err(&made).contains("locked/job: permission denied"), "{}", err(&made));
    assert!(listing(&folder.join("locked")).is_empty());
    allow(&folder.join("locked"), 0o755);
}

#[test]
fn killed_at_any_moment_the_folder_is_whole_or_not_there() {
    let (_keep, folder) = place();
    let start = std::time::Instant::now();
    assert_eq!(code(&run(&folder, &["make", "case.overarm.json", "--out", "whole"])), 0);
    let took = start.elapsed();
    let expected = whole(&folder.join("whole"));
    for kill in 1..=10 {
        let mut child = overarm(&folder)
            .args(["make", "case.overarm.json", "--out", "job"])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // Most of the time is for working it out: the later kills fall into the writing.
        std::thread::sleep(took.mul_f64(0.6 + 0.05 * f64::from(kill)));
        let _ = child.kill();
        child.wait().unwrap();
        let job = folder.join("job");
        if job.exists() {
            assert!(whole(&job) == expected, "kill {kill}");
            fs::remove_dir_all(job).unwrap();
        }
    }
}

#[test]
fn accents_spaces_and_a_very_long_title() {
    let (_keep, folder) = place();
    let title = "Küchenklappe \"Łódź\" / ½ × 'Søster' \\ ".repeat(20);
    fs::write(folder.join("ein Ort.json"), case_with("/title", json!(title))).unwrap();
    let made = run(&folder, &["make", "ein Ort.json", "--out", "Küche, hinten/Auftrag Nº 1"]);
    assert_eq!(code(&made), 0, "{}", err(&made));
    let job = folder.join("Küche, hinten").join("Auftrag Nº 1");
    let manifest: Value = serde_json::from_slice(&fs::read(job.join("manifest.json")).unwrap()).unwrap();
    assert_eq!(manifest["title"], json!(title));
    assert_eq!(whole(&job).len(), manifest["files"].as_array().unwrap().len() + 1);
}

#[test]
fn sheets_are_dated_by_the_environment_where_the_project_is_not() {
    let (_keep, folder) = place();
    let make = |out: &str, seconds: Option<&str>| {
        let mut command = overarm(&folder);
        command.env_remove("SOURCE_DATE_EPOCH").args([
            "make",
            "case.overarm.json",
            "--only",
            "job-sheet",
            "--out",
            out,
        ]);
        command.envs(seconds.map(|seconds| ("SOURCE_DATE_EPOCH", seconds)));
        assert_eq!(code(&command.output().unwrap()), 0);
        fs::read(folder.join(out).join("job-sheet.pdf")).unwrap()
    };
    let has = |bytes: &[u8], text: &str| String::from_utf8_lossy(bytes).contains(text);
    let dated = make("dated", Some("1795600000"));
    // By `date -u -d @1795600000 +%Y%m%d`.
    assert!(has(&dated, "/CreationDate(D:20261125"));
    assert!(make("again", Some("1795600000")) == dated);
    assert!(!has(&make("bare", None), "CreationDate"));
    let mut command = overarm(&folder);
    command.args(["make", "case.overarm.json", "--out", "undated"]).env("SOURCE_DATE_EPOCH", "junk");
    let refused = command.output().unwrap();
    assert_eq!(code(&refused), 2);
    assert!(err(&refused).contains("SOURCE_DATE_EPOCH is \"junk\""), "{}", err(&refused));
    assert!(!folder.join("undated").exists());
}

#[test]
fn what_was_made_before_stays_in_the_manifest_and_is_named() {
    let (_keep, folder) = place();
    let make = |only: &str| {
        let output = run(&folder, &["make", "case.overarm.json", "--out", "job", "--force", "--only", only]);
        assert_eq!(code(&output), 0, "{}", err(&output));
        err(&output)
    };
    make("hole-table,cut-list");
    let said = make("cut-list");
    assert!(said.contains("Still in job and in its manifest.json: 1 file made of this project before"), "{said}");
    let told = || -> Value { serde_json::from_slice(&fs::read(folder.join("job/manifest.json")).unwrap()).unwrap() };
    assert_eq!(told()["files"].as_array().unwrap().len(), 2);
    let text = fs::read_to_string(folder.join("case.overarm.json")).unwrap();
    let mut project: Value = serde_json::from_str(&text).unwrap();
    project["title"] = json!("Another board");
    fs::write(folder.join("case.overarm.json"), project.to_string()).unwrap();
    let said = make("cut-list");
    assert!(said.contains("Not to be used with the new files") && said.contains(": hole-table.csv."), "{said}");
    assert!(told()["files"][0]["project_sha256"].is_string(), "{}", told());
}

#[test]
fn picture_writes_svg_and_png() {
    let (_keep, folder) = place();
    for (name, start) in [("Bild ä.svg", &b"<svg"[..]), ("b.png", b"\x89PNG")] {
        let output = run(&folder, &["picture", "case.overarm.json", "--out", name, "--at", "0.4"]);
        assert_eq!(code(&output), 0, "{}", err(&output));
        assert!(fs::read(folder.join(name)).unwrap().starts_with(start));
    }
    let mut seen = Vec::new();
    for view in ["side", "front", "parts"] {
        let output = run(&folder, &["picture", "case.overarm.json", "--out", "v.svg", "--view", view]);
        assert_eq!(code(&output), 0, "{}", err(&output));
        let text = fs::read_to_string(folder.join("v.svg")).unwrap();
        assert!(!seen.contains(&text), "{view} is a picture of its own");
        seen.push(text);
    }
    let refused = run(&folder, &["picture", "case.overarm.json", "--out", "w.svg", "--view", "back"]);
    assert_eq!(code(&refused), 2);
    assert!(err(&refused).contains("side, front or parts"), "{}", err(&refused));
}

/// The inspection sheet that `make` writes, filled in as drawn but for one arm, with a mark between columns.
fn filled_in(path: &Path, mark: &str) -> String {
    assert_eq!(code(&run(path, &["make", "case.overarm.json", "--out", "job", "--only", "inspection", "--force"])), 0);
    let sheet = fs::read_to_string(path.join("job/inspection.csv")).unwrap();
    let mut text = String::new();
    for line in sheet.lines() {
        // Gauges in quotes have commas of their own; nothing that is read stands behind them but the last cell.
        let cells: Vec<&str> = line.split(',').collect();
        let (head, last) = (&cells[..4], cells[cells.len() - 1]);
        let measured = match (head[0], head[2], head[3].parse::<f64>()) {
            (_, _, Err(_)) => last.to_owned(),
            ("L-lower-arm", "centre distance", Ok(nominal)) => format!("{:.3}", nominal + 0.1),
            (_, "centre distance" | "lower pivot offset" | "upper pivot offset", Ok(nominal)) => {
                format!("{nominal:.3}")
            }
            _ => continue,
        };
        let row = [head[0], head[1], head[2], head[3], "lower_mm", "upper_mm", "gauge", &measured];
        let row =
            if measured == "measured_mm" { row } else { [head[0], head[1], head[2], head[3], "", "", "", &measured] };
        text += &(row.join(mark) + "\n");
    }
    text
}

/// As built, from the sheet that was written: told with its figures, exit 1 where something fails; decimal
/// commas are told where they can be meant, and refused where they tear a cell apart.
#[test]
fn measured_parts_are_judged_from_the_sheet() {
    let (_folder, path) = place();
    let judged = |sheet: &str, more: &[&str]| {
        fs::write(path.join("measured.csv"), sheet).unwrap();
        run(&path, &[&["as-built", "case.overarm.json", "measured.csv"], more].concat())
    };
    let plain = filled_in(&path, ",");
    let output = judged(&plain, &[]);
    assert_eq!((code(&output), err(&output)), (1, String::new()), "{}", out(&output));
    for told in ["fails: as measured", "Left set   rests on its upper rest, 2.", "Make L-lower-arm anew"] {
        assert!(out(&output).contains(told), "{told}: {}", out(&output));
    }
    let commas = filled_in(&path, ";").replace('.', ",");
    let output = judged(&commas, &["--json"]);
    assert_eq!(code(&output), 1);
    let note = "16 values have decimal commas: row 2, column measured_mm, 90,098 is read as 90.098 mm";
    assert!(err(&output).contains(&format!("measured.csv: {note}")), "{}", err(&output));
    let found: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!((&found["format"], &found["notes"]), (&json!("overarm-as-built"), &json!([note])));
    assert_eq!(found["dimensions"][0], json!("lower_arm"));
    assert!((found["sets"][0]["errors"][0].as_f64().unwrap() - 0.1).abs() < 1e-3, "{}", found["sets"][0]);
    assert_eq!(found["swaps"].as_array().unwrap().len(), 16);
    let gap = -found["sets"][0]["hung_gap"].as_f64().unwrap();
    let rule = found["rules"][0]["margin"].as_f64().unwrap();
    assert!((rule - (2.0 - gap)).abs() < 1e-9 && found["outcome"]["hung_gap"].as_f64() == Some(gap), "{found}");
    // Not there: in the words of every other file.
    let output = run(&path, &["as-built", "case.overarm.json", "none.csv"]);
    let told = "none.csv: cannot be read: no such file or directory";
    assert!(code(&output) == 2 && err(&output).contains(told), "{}", err(&output));
    assert!(!err(&output).contains("os error"), "{}", err(&output));
    // Torn apart: nothing on standard output, row and column on standard error.
    let torn: String = plain
        .lines()
        .map(|line| {
            let (head, last) = line.rsplit_once(',').unwrap();
            format!("{head},{}\n", last.replace('.', ","))
        })
        .collect();
    let output = judged(&torn, &["--json"]);
    assert_eq!((code(&output), out(&output)), (2, String::new()));
    assert!(
        err(&output).contains("measured.csv: row 2, column measured_mm: 9 cells stand under 8 columns"),
        "{}",
        err(&output)
    );
}

/// Normal errors within three deviations leave a gap 1/√3 as large as uniform ones do, as their deviations
/// are; another seed is another draw, the same seed the same.
#[test]
fn errors_are_drawn_as_asked_for() {
    let (_folder, path) = place();
    let tolerances = json!({"length": 0.02, "offset": 0.03});
    let mut case: Value = serde_json::from_str(CASE).unwrap();
    case["tolerances"] = tolerances;
    fs::write(path.join("case.overarm.json"), case.to_string()).unwrap();
    let found = |more: &[&str]| {
        let output = run(&path, &[&["check", "case.overarm.json", "--json", "--poses", "2"], more].concat());
        let found: Value = serde_json::from_slice(&output.stdout).unwrap();
        (found["part_errors"].clone(), found["rules"][1]["text"].as_str().unwrap().to_owned())
    };
    let p95 = |errors: &Value| errors["one_set"]["hung_gap"]["p95"].as_f64().unwrap();
    let (uniform, text) = found(&[]);
    assert!(uniform["draws"] == json!({"count": 100_000, "seed": 1, "spread": "uniform"}) && !text.contains("normal"));
    assert_eq!(found(&["--seed", "1", "--errors", "uniform"]).0, uniform);
    let other = found(&["--seed", "2"]).0;
    assert!(other["one_set"] != uniform["one_set"] && (p95(&other) / p95(&uniform) - 1.0).abs() < 0.02);
    let (normal, text) = found(&["--errors", "normal"]);
    assert!(text.contains("(errors normal, the tolerance three deviations)"), "{text}");
    assert!((p95(&normal) / p95(&uniform) * 3.0_f64.sqrt() - 1.0).abs() < 0.02, "{} {}", p95(&normal), p95(&uniform));
    assert_eq!(code(&run(&path, &["check", "case.overarm.json", "--errors", "none"])), 2);
    for seed in [&["--seed", "-1"][..], &["--seed=-1"], &["--seed", "one"]] {
        let output = run(&path, &[&["check", "case.overarm.json"], seed].concat());
        assert_eq!(code(&output), 2);
        assert!(err(&output).contains("a whole number from 0 to 18446744073709551615 is expected"), "{}", err(&output));
        assert!(!err(&output).contains("tip:"), "{}", err(&output));
    }
}

#[test]
fn help_and_version_are_on_standard_output() {
    let (_keep, folder) = place();
    for arguments in
        [&["--help"][..], &["check", "--help"], &["make", "--help"], &["picture", "--help"], &["--version"]]
    {
        let output = run(&folder, arguments);
        assert_eq!(code(&output), 0, "{arguments:?}");
        assert!(!output.stdout.is_empty() && output.stderr.is_empty(), "{arguments:?}");
        assert!(!out(&output).contains('\u{1b}'), "{arguments:?}");
    }
    let kinds = out(&run(&folder, &["make", "--help"]));
    assert!(kinds.contains("hole-table") && kinds.contains("side-view"), "{kinds}");
}

#[test]
fn without_a_display_the_main_job_is_done_all_the_same() {
    let (_keep, folder) = place();
    for name in ["overarm-demo", "overarm-demo-2"] {
        let output = run(&folder, &[]);
        assert_eq!(code(&output), 0, "{}", err(&output));
        assert!(err(&output).contains("No window can be opened"), "{}", err(&output));
        assert!(err(&output).contains("overarm check"), "{}", err(&output));
        let text = out(&output);
        assert!(text.starts_with("Chapel kitchen hatch board\n"), "{text}");
        assert!(text.contains(&format!("files to {name}\n")), "{text}");
        assert_eq!(listing(&folder.join(name).join("parts")).len(), 16);
        assert!(folder.join(name).join("side-view.png").exists());
        let project: Value =
            serde_json::from_slice(&fs::read(folder.join(name).join("project.overarm.json")).unwrap()).unwrap();
        let demo: Value = serde_json::from_str(DEMO).unwrap();
        assert_eq!(project["title"], demo["title"]);
    }
    let own = run(&folder, &["case.overarm.json"]);
    assert_eq!(code(&own), 0, "{}", err(&own));
    assert!(folder.join("overarm-case/parts").is_dir());
}
