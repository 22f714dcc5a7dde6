//! The program `overarm`.

use std::process::ExitCode;

fn main() -> ExitCode {
    overarm::commands::run(std::env::args_os())
}
