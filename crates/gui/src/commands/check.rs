//! `overarm check`: every rule with its margin.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;
use overarm_solver::{Findings, Options, analyse};

use super::draws::DrawArguments;
use super::{coloured, give, read_project, report};

/// Poses are held in the memory; a hundred thousand is far beyond any use.
const MOST_POSES: i64 = 100_000;

/// Arguments of `overarm check`.
#[derive(Debug, Args)]
#[command(after_help = "Exit codes: 0 no rule fails, 1 some rule fails, 2 the project cannot be read.")]
pub struct Check {
    /// Project file; - reads standard input
    project: PathBuf,
    /// Print the findings as JSON
    #[arg(long)]
    json: bool,
    /// Poses in the JSON, equal steps from hung to parked
    #[arg(long, value_name = "N", default_value_t = 61, value_parser = clap::value_parser!(u32).range(2..=MOST_POSES))]
    poses: u32,
    #[command(flatten)]
    draws: DrawArguments,
}

impl Check {
    /// Runs the command.
    ///
    /// # Errors
    /// Where the project cannot be read or the result cannot be written.
    pub fn run(&self) -> anyhow::Result<ExitCode> {
        let project = read_project(&self.project)?;
        let analysis = analyse(&project, &Options { poses: self.poses as usize, swept: self.json });
        let analysis = analysis.with_errors_drawn(&project, &self.draws.draws());
        if self.json {
            let findings = Findings::new(&project, &analysis);
            give(&format!("{}\n", serde_json::to_string_pretty(&findings)?))?;
        } else {
            give(&report::report(&project, &analysis, coloured()))?;
        }
        Ok(ExitCode::from(u8::from(!analysis.holds())))
    }
}
