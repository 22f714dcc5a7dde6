//! The commands: the same job as in the window, from a shell.
//!
//! Results go to standard output, messages to standard error. Exit codes: 0 done and no rule
//! fails, 1 some rule fails (`check`), 2 the project cannot be read or the command is wrong.

mod as_built;
mod check;
mod draws;
mod libraries;
mod make;
mod picture;
mod report;
mod window_or_files;

use std::ffi::OsString;
use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::Context;
use clap::{Args, Parser, Subcommand};
use overarm_shopfiles::project_file;
use overarm_solver::Project;

/// The project cannot be read, or the command is wrong.
const WRONG: u8 = 2;

/// Design a wall lift: a board that swings up under the ceiling on a four-bar linkage.
#[derive(Debug, Parser)]
#[command(name = "overarm", version, args_conflicts_with_subcommands = true, subcommand_negates_reqs = true)]
#[command(after_help = "Without a command the window opens, on PROJECT or on the built-in demo.\n\
    Exit codes: 0 done and no rule fails, 1 some rule fails, 2 the project cannot be read or the command is wrong.\n\
    An aid, not a licence: local codes and licensed practice come first.")]
struct Arguments {
    /// Project file to open in the window; without one, the built-in demo
    project: Option<PathBuf>,
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Check every rule and print it with its margin
    Check(check::Check),
    /// Write the job folder: parts for the left and the right set, hole table, picture
    Make(make::Make),
    /// Draw the side view
    Picture(picture::Picture),
    /// Search pivot candidates: not in this version
    #[command(hide = true, disable_help_flag = true)]
    Find(NotYet),
    /// Say what the measured parts will do, and what would help
    AsBuilt(as_built::AsBuilt),
}

/// A command that scripts may already ask for: whatever follows, the answer is the same.
#[derive(Debug, Args)]
struct NotYet {
    #[arg(trailing_var_arg = true, allow_hyphen_values = true)]
    _rest: Vec<OsString>,
}

/// Runs the program with these arguments (the first is its own name).
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version are no errors: they go to standard output and end with 0.
            let code = if error.use_stderr() { WRONG } else { 0 };
            let _ = error.print();
            return ExitCode::from(code);
        }
    };
    let result = match arguments.command {
        Some(Command::Check(check)) => check.run(),
        Some(Command::Make(make)) => make.run(),
        Some(Command::Picture(picture)) => picture.run(),
        Some(Command::Find(_)) => not_yet("find"),
        Some(Command::AsBuilt(as_built)) => as_built.run(),
        None => window_or_files::run(arguments.project.as_deref()),
    };
    match result {
        Ok(code) => code,
        Err(error) => {
            tell(&format!("overarm: {error:#}"));
            ExitCode::from(WRONG)
        }
    }
}

fn not_yet(command: &str) -> anyhow::Result<ExitCode> {
    anyhow::bail!("this version does not have the command {command} yet; overarm --help lists those it has")
}

/// The project at a path; `-` is standard input.
fn read_project(path: &Path) -> anyhow::Result<Project> {
    let project = if path == Path::new("-") {
        project_file::read_stream(io::stdin().lock(), "standard input")?
    } else {
        project_file::read(path)?
    };
    Ok(project)
}

/// A message for the person, on standard error. Where even that is closed, nobody is listening.
fn tell(message: &str) {
    let _ = writeln!(io::stderr().lock(), "{message}");
}

/// A result, on standard output. A reader that has gone away (a closed pipe) is no error.
fn give(result: &str) -> anyhow::Result<()> {
    let mut out = io::stdout().lock();
    match out.write_all(result.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        other => other.context("standard output"),
    }
}

/// Whether results may be coloured: a terminal that did not ask for none.
fn coloured() -> bool {
    let refused = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    !refused && std::env::var_os("TERM").is_none_or(|term| term != "dumb") && io::stdout().is_terminal()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn commands_to_come_are_answered_as_such() {
        for line in [
            &["overarm", "find", "x"][..],
            &["overarm", "find", "x", "--json", "--keep", "3"],
            &["overarm", "find", "--help"],
        ] {
            let code = run(line.iter().map(OsString::from));
            assert_eq!(format!("{code:?}"), format!("{:?}", ExitCode::from(WRONG)), "{line:?}");
            let parsed = Arguments::try_parse_from(line).unwrap();
            assert!(matches!(parsed.command, Some(Command::Find(_))), "{line:?}");
        }
        assert!(not_yet("find").unwrap_err().to_string().contains("does not have the command find yet"));
    }
}
