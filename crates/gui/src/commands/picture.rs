//! `overarm picture`: a view as SVG or PNG.

use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::bail;
use clap::Args;
use overarm_shopfiles::atomic_write::write_whole;
use overarm_shopfiles::picture::{PictureFormat, Subject, svg};
use overarm_solver::errors::Draws;
use overarm_solver::{Options, analyse};

use super::make::warn_of_failing_rules;
use super::{give, read_project};

/// Arguments of `overarm picture`.
#[derive(Debug, Args)]
#[command(after_help = "Exit codes: 0 written, even where a rule fails; 2 not written.")]
pub struct Picture {
    /// Project file; - reads standard input
    project: PathBuf,
    /// File to write, .svg or .png; an existing one is replaced
    #[arg(long, value_name = "FILE.svg|.png")]
    out: PathBuf,
    /// Where on the travel: 0 hung, 1 parked
    #[arg(long, value_name = "S", default_value_t = 1.0, value_parser = fraction)]
    at: f64,
    /// What it shows: the lift from the side, the pair on the wall from the front, or the eight parts
    #[arg(long, value_name = "side|front|parts", default_value = "side", value_parser = subject)]
    view: Subject,
}

fn subject(text: &str) -> Result<Subject, String> {
    let known = Subject::ALL.into_iter().find(|subject| subject.word() == text);
    known.ok_or_else(|| "side, front or parts is expected".to_owned())
}

fn fraction(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(s) if (0.0..=1.0).contains(&s) => Ok(s),
        _ => Err("a number from 0 (hung) to 1 (parked) is expected".to_owned()),
    }
}

impl Picture {
    /// Runs the command.
    ///
    /// # Errors
    /// Where the project cannot be read or the file cannot be written.
    pub fn run(&self) -> anyhow::Result<ExitCode> {
        let Some(format) = PictureFormat::of(&self.out) else {
            bail!("{}: a name that ends in .svg or .png is expected", self.out.display());
        };
        let project = read_project(&self.project)?;
        let analysis = analyse(&project, &Options::default()).judged_by_errors(&project, &Draws::default());
        let svg = svg(self.view, &project, &analysis, self.at);
        let bytes = format.bytes(svg).map_err(anyhow::Error::msg)?;
        write_whole(&self.out, &bytes)?;
        warn_of_failing_rules(&project, &analysis);
        give(&format!("Wrote {}\n", self.out.display()))?;
        Ok(ExitCode::SUCCESS)
    }
}
