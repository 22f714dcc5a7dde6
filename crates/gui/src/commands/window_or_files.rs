//! `overarm` alone: the window; where none can be opened, the main job without it.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::bail;
use overarm_shopfiles::job_folder::{self, MakeError, Wanted};
use overarm_solver::{Options, Project, analyse};

use super::libraries::{install_line, missing_packages};
use super::make::written;
use super::{coloured, give, read_project, report, tell};
use crate::{session, window};

/// Opens the window on a project file or on the demo.
///
/// # Errors
/// Where the project cannot be read, or no window can be opened and no folder be written.
pub fn run(file: Option<&Path>) -> anyhow::Result<ExitCode> {
    let project = match file {
        Some(path) if path == Path::new("-") => {
            bail!("the window needs a file; `overarm check -` and `overarm make - --out DIR` read standard input")
        }
        // A word that is no file was more likely meant as a command.
        Some(path) if path.extension().is_none() && !path.exists() => {
            bail!("there is no command and no file called {}; overarm --help lists the commands", path.display())
        }
        Some(path) => read_project(path)?,
        None => session::demo(),
    };
    let Err(no_window) = window::run(start(file)) else {
        return Ok(ExitCode::SUCCESS);
    };
    for line in why_not(&no_window.reason, &missing_packages(), has_display()) {
        tell(&line);
    }
    without_window(&project, file)
}

fn start(file: Option<&Path>) -> window::Start {
    window::Start { file: file.map(Path::to_path_buf), places: session::Places::of_user() }
}

fn has_display() -> bool {
    ["WAYLAND_DISPLAY", "WAYLAND_SOCKET", "DISPLAY"]
        .iter()
        .any(|name| std::env::var_os(name).is_some_and(|value| !value.is_empty()))
}

/// What the graphics libraries say, without the place in their sources.
fn plain(reason: &str) -> &str {
    let said = reason.rsplit_once(".rs:").map_or(reason, |(_, after)| after);
    said.trim_start_matches(|c: char| c.is_ascii_digit() || c == ':' || c.is_whitespace())
}

/// The reason in plain words, and the way on.
fn why_not(reason: &str, missing: &[&str], has_display: bool) -> Vec<String> {
    let mut lines = Vec::new();
    if !has_display {
        lines.push(
            "No window can be opened: there is no display (neither WAYLAND_DISPLAY nor DISPLAY is set).".to_owned(),
        );
    } else if missing.is_empty() {
        lines.push(format!("No window can be opened: {}", plain(reason)));
    } else {
        lines.push("No window can be opened: libraries that it needs are missing.".to_owned());
    }
    if !missing.is_empty() {
        lines.push(format!("Not on this machine: {}. This line installs them:", missing.join(", ")));
        lines.push(format!("    {}", install_line(missing)));
    }
    lines.push("The same without a window: overarm check, overarm make, overarm picture (--help on each).".to_owned());
    lines
}

/// The rules with their margins, and the left and right set with a picture in a new folder.
fn without_window(project: &Project, file: Option<&Path>) -> anyhow::Result<ExitCode> {
    let analysis = analyse(project, &Options::default());
    give(&report::report(project, &analysis, coloured()))?;
    let name = folder_name(file);
    for number in 1_u32.. {
        let folder = if number == 1 { PathBuf::from(&name) } else { PathBuf::from(format!("{name}-{number}")) };
        if folder.exists() || folder.is_symlink() {
            continue;
        }
        match job_folder::make_analysed(project, &analysis, &folder, &Wanted::default()) {
            Ok(made) => {
                give(&format!("\n{}", written(&made)))?;
                return Ok(ExitCode::SUCCESS);
            }
            // Somebody else made it just now.
            Err(MakeError::NotEmpty(_)) => {}
            Err(error) => return Err(error.into()),
        }
    }
    bail!("no name was left for a new folder beside {name}")
}

fn folder_name(file: Option<&Path>) -> String {
    let stem = file.and_then(Path::file_name).map_or_else(|| "demo".into(), |name| name.to_string_lossy().into_owned());
    let stem = stem.strip_suffix(".json").unwrap_or(&stem);
    format!("overarm-{}", stem.strip_suffix(".overarm").unwrap_or(stem))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn says_what_is_missing_and_the_line_that_installs_it() {
        let lines = why_not("x", &["libxi6", "libegl1"], true);
        assert!(lines[0].contains("libraries"));
        assert!(lines[1].contains("libxi6, libegl1"));
        assert_eq!(lines[2].trim(), "sudo apt-get install libxi6 libegl1");
        assert!(why_not("x", &[], false)[0].contains("no display"));
        assert!(why_not("the driver is too old", &[], true)[0].contains("the driver is too old"));
        let long = "winit EventLoopError: os error at /a/b/mod.rs:788: Failed to open connection to X server";
        assert_eq!(plain(long), "Failed to open connection to X server");
        assert_eq!(plain("panicked at src/lib.rs:7:9:\nno library"), "no library");
    }

    #[test]
    fn the_folder_is_named_after_the_project() {
        assert_eq!(folder_name(None), "overarm-demo");
        assert_eq!(folder_name(Some(Path::new("jobs/chapel hatch.overarm.json"))), "overarm-chapel hatch");
    }
}
