//! `overarm make`: the job folder.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;
use overarm_shopfiles::job_folder::{self, KINDS, Wanted};
use overarm_shopfiles::parts_dxf::DxfVersion;
use overarm_solver::errors::Draws;
use overarm_solver::{Analysis, Options, Project, analyse, show_signed_margin};

use super::{give, read_project, tell};
use crate::session::given_date;

/// Arguments of `overarm make`.
#[derive(Debug, Args)]
#[command(after_help = kinds_help())]
pub struct Make {
    /// Project file; - reads standard input
    project: PathBuf,
    /// Folder to write; one that holds something is refused
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Write these kinds only, separated by commas
    #[arg(long, value_name = "KIND,…", value_delimiter = ',')]
    only: Vec<String>,
    /// Generation of the DXF files: r2000, or r12 for old controllers
    #[arg(long, value_name = "r2000|r12", default_value = "r2000")]
    dxf: DxfVersion,
    /// Replace the job's files in a folder that holds something; other files stay
    #[arg(long)]
    force: bool,
}

fn kinds_help() -> String {
    let mut text = String::from("Kinds:\n");
    let manifest = ("manifest", "sizes and SHA-256 of all the job's files in the folder; comes with any of them");
    let kinds: Vec<_> = KINDS.iter().map(|kind| (kind.name, kind.what)).chain([manifest]).collect();
    let wide = kinds.iter().map(|(name, _)| name.len()).max().unwrap_or(0);
    for (name, what) in kinds {
        text.push_str(&format!("  {name:<wide$}  {what}\n"));
    }
    text.push('\n');
    text.push_str("Sheets carry the project's title_block.date, else the day of SOURCE_DATE_EPOCH (whole seconds since 1970;\nanything else is refused).\n\n");
    text.push_str("Stopped by a signal it writes nothing under the folder's name; what it had begun, a hidden folder ");
    text.push_str("beside it\nwhose name ends in .part, is cleared by the next make there.\n\n");
    text.push_str("Exit codes: 0 written, even where a rule fails; 2 not written.");
    text
}

impl Make {
    /// Runs the command.
    ///
    /// # Errors
    /// Where the project cannot be read or the folder cannot be written.
    pub fn run(&self) -> anyhow::Result<ExitCode> {
        let date = given_date().map_err(anyhow::Error::msg)?;
        let project = read_project(&self.project)?;
        let analysis = analyse(&project, &Options::default());
        let analysis = analysis.with_errors_drawn(&project, &Draws::default());
        let wanted = Wanted { only: self.only.clone(), dxf: self.dxf, force: self.force, date };
        let made = job_folder::make_analysed(&project, &analysis, &self.out, &wanted)?;
        warn_of_failing_rules(&project, &analysis);
        for words in made.words_of_earlier() {
            tell(&words);
        }
        if !made.left.is_empty() {
            tell(&format!("Left as they were in {}: {}", made.folder.display(), made.left.join(", ")));
        }
        if let Some(words) = made.unwritten_words() {
            tell(&words);
        }
        give(&written(&made))?;
        Ok(ExitCode::SUCCESS)
    }
}

/// What was written, one path a line.
pub fn written(made: &job_folder::Made) -> String {
    let mut text = format!("Wrote {} files to {}\n", made.files.len(), made.folder.display());
    for file in &made.files {
        text.push_str(&format!("  {file}\n"));
    }
    text
}

/// A failing rule stops nothing, but is not kept quiet.
pub fn warn_of_failing_rules(project: &Project, analysis: &Analysis) {
    for rule in analysis.rules.iter().filter(|rule| rule.holds == Some(false)) {
        let margin = rule.margin.map_or_else(String::new, |margin| {
            format!(" ({})", show_signed_margin(margin, rule.unit, project.units()))
        });
        tell(&format!("Fails: {}{margin}: {}", rule.rule.title(), rule.text));
    }
}
