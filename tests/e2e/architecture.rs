//! What is below must not know what is above: read from the manifests and the sources themselves.

#![allow(clippy::unwrap_used)] // a test that cannot go on stops where it stands

use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().to_path_buf()
}

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
    assert!(!found.is_empty(), "{} has no sources", folder.display());
    found
}

/// The code of a source: without line comments, and without the tests at its bottom.
fn code(path: &Path) -> String {
    let text = fs::read_to_string(path).unwrap();
    let text = text.split("#[cfg(test)]\nmod ").next().unwrap();
    text.lines().map(|line| line.split("//").next().unwrap()).collect::<Vec<_>>().join("\n")
}

/// Whether this path or crate name is in the code as a whole word.
fn mentions(code: &str, word: &str) -> bool {
    let part = |c: char| c.is_alphanumeric() || c == '_';
    code.match_indices(word).any(|(at, _)| !code[..at].ends_with(part) && !code[at + word.len()..].starts_with(part))
}

fn assert_absent(folder: &str, words: &[&str]) {
    for path in sources(&root().join(folder)) {
        let code = code(&path);
        for word in words {
            assert!(!mentions(&code, word), "{} must not know {word}", path.display());
        }
    }
}

/// Names in the `[dependencies]` table of a crate.
fn dependencies(manifest: &str) -> Vec<String> {
    let text = fs::read_to_string(root().join(manifest)).unwrap();
    let table = text.split("[dependencies]\n").nth(1).unwrap().split("\n[").next().unwrap();
    let names: Vec<String> = table
        .lines()
        .map(str::trim)
        .filter(|line| !line.is_empty() && !line.starts_with('#'))
        .map(|line| line.split(['.', '=', ' ']).next().unwrap().to_owned())
        .collect();
    assert!(!names.is_empty());
    names
}

#[test]
fn the_solver_knows_no_file_no_clock_no_thread_no_window() {
    let below =
        ["overarm-shopfiles", "overarm", "egui", "eframe", "egui_plot", "rfd", "clap", "dxf", "svg", "tempfile"];
    for name in dependencies("crates/solver/Cargo.toml") {
        assert!(!below.contains(&name.as_str()), "the solver must not depend on {name}");
    }
    assert_absent(
        "crates/solver/src",
        &[
            "std::fs",
            "std::time",
            "std::thread",
            "std::io",
            "std::net",
            "std::env",
            "std::process",
            "egui",
            "eframe",
            "overarm_shopfiles",
            "println",
            "eprintln",
        ],
    );
}

#[test]
fn shop_files_know_no_window_and_no_command() {
    for name in dependencies("crates/shopfiles/Cargo.toml") {
        assert!(
            !["overarm", "egui", "eframe", "egui_plot", "rfd", "clap", "anyhow"].contains(&name.as_str()),
            "shop files must not depend on {name}"
        );
    }
    assert_absent(
        "crates/shopfiles/src",
        &["egui", "eframe", "overarm::session", "overarm::window", "overarm::commands", "clap", "println", "eprintln"],
    );
}

#[test]
fn the_session_knows_no_window() {
    assert_absent(
        "crates/gui/src/session",
        &["egui", "eframe", "egui_plot", "crate::window", "crate::commands", "clap", "println", "eprintln"],
    );
}

#[test]
fn commands_draw_nothing_and_the_window_runs_no_command() {
    assert_absent("crates/gui/src/commands", &["egui", "eframe", "rfd"]);
    assert_absent("crates/gui/src/window", &["crate::commands", "clap"]);
}

#[test]
fn words_are_found_whole() {
    assert!(mentions("use egui::Ui;", "egui"));
    assert!(!mentions("use egui_plot::Plot;", "egui"));
    assert!(!mentions("overarm_solver::x", "overarm"));
    assert!(mentions("std::fs::read", "std::fs"));
}
