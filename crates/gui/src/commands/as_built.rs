//! `overarm as-built`: what the measured parts will do.

use std::fmt::Write as _;
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::Context;
use clap::Args;
use overarm_shopfiles::atomic_write::io_words;
use overarm_shopfiles::measured_csv::{self, Sheet};
use overarm_solver::errors::as_built::{BuiltFigures, BuiltPair, BuiltSet};
use overarm_solver::errors::{Dimension, Limit};
use overarm_solver::{Analysis, Lift, Options, Project, RuleFinding, analyse, show_fine};
use serde_json::{Value, json};

use super::draws::DrawArguments;
use super::{give, read_project, tell};
use crate::session::{not_measured, swap_that_does_not_fit, what_would_help};

/// Arguments of `overarm as-built`.
#[derive(Debug, Args)]
#[command(after_help = "MEASURED.csv is the job folder's inspection.csv with its last column filled in.\n\
    Exit codes: 0 hangs flat and runs free, 1 one of them fails, 2 project or sheet cannot be read.")]
pub struct AsBuilt {
    /// Project file; - reads standard input
    project: PathBuf,
    /// The inspection sheet with what was measured
    #[arg(value_name = "MEASURED.csv")]
    measured: PathBuf,
    /// Print the figures as JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    draws: DrawArguments,
}

impl AsBuilt {
    /// Runs the command.
    ///
    /// # Errors
    /// Where the project or the sheet cannot be read, or the result cannot be written.
    pub fn run(&self) -> anyhow::Result<ExitCode> {
        let mut project = read_project(&self.project)?;
        let path = self.measured.display();
        let unreadable = |error: std::io::Error| anyhow::anyhow!("{path}: cannot be read: {}", io_words(&error));
        let bytes = std::fs::read(&self.measured).map_err(unreadable)?;
        let sheet = measured_csv::read(&bytes, &Lift::new(&project)).with_context(|| format!("{path}"))?;
        let Sheet { built, notes } = sheet;
        for note in &notes {
            tell(&format!("{path}: {note}"));
        }
        project.tolerances.get_or_insert_default().as_built = Some(built);
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let analysis = analysis.with_errors_drawn(&project, &self.draws.draws());
        let figures = analysis.errors.as_ref().and_then(|errors| errors.as_built.as_ref());
        let figures = figures.context("the measured values were lost")?;
        let fails = judged(&analysis).any(|found| found.holds == Some(false));
        if self.json {
            let mut findings = json!({
                "format": "overarm-as-built",
                "version": 1,
                "title": project.title(),
                "verdict": if fails { "fails" } else { "holds" },
                "notes": notes,
                "dimensions": Dimension::ALL,
            });
            if let (Value::Object(all), Value::Object(figures)) = (&mut findings, serde_json::to_value(figures)?) {
                all.extend(figures);
            }
            findings["rules"] = judged(&analysis).map(rule_row).collect();
            give(&format!("{}\n", serde_json::to_string_pretty(&findings)?))?;
        } else {
            give(&report(&project, &analysis, figures, fails))?;
        }
        Ok(ExitCode::from(u8::from(fails)))
    }
}

fn judged(analysis: &Analysis) -> impl Iterator<Item = &RuleFinding> {
    analysis.rules.iter().filter(|found| found.rule.is_by_errors())
}

fn rule_row(found: &RuleFinding) -> Value {
    json!({
        "rule": found.rule.name(),
        "holds": found.holds,
        "margin": found.margin,
        "unit": found.unit,
        "text": found.text,
    })
}

fn report(project: &Project, analysis: &Analysis, figures: &BuiltFigures, fails: bool) -> String {
    let show = |mm: f64| show_fine(mm, project.units());
    let mut text = format!("{}\n{}: as measured\n\n", project.title(), if fails { "fails" } else { "holds" });
    for set in &figures.sets {
        text.push_str(&set_text(set, project, &show));
    }
    if let Some(pair) = &figures.pair {
        text.push_str(&pair_text(pair, &show));
    }
    text.push('\n');
    for found in judged(analysis) {
        let word = match found.holds {
            Some(true) => "holds",
            Some(false) => "fails",
            None => "open",
        };
        let _ = writeln!(text, "{word}  {}: {}", found.rule.title(), found.text);
    }
    text.push_str(&help_text(figures, &show));
    text
}

fn set_text(set: &BuiltSet, project: &Project, show: &dyn Fn(f64) -> String) -> String {
    let name = if set.hand == 'L' { "Left set " } else { "Right set" };
    let mut text = format!("{name}  ");
    match set.hung_gap {
        Some(gap) if gap > 0.0 => {
            let _ = write!(text, "rests on its lower rest, {} open at the upper one", show(gap));
        }
        Some(gap) => {
            let _ = write!(text, "rests on its upper rest, {} open at the lower one", show(-gap));
        }
        None => text.push_str("does not get to the wall"),
    }
    if let Some(short) = set.short_of_hung {
        let _ = write!(text, "; the loop cannot close at hung, the lower arm stays {} short", show(short));
    }
    if let Some(height) = set.parked_height {
        let way = if height < 0.0 { "lower" } else { "higher" };
        let _ = write!(text, "; parked {} {way} than drawn", show(height.abs()));
    }
    if let Some(shortfall) = set.parked_shortfall {
        let way = if shortfall < 0.0 { "further" } else { "short" };
        let _ = write!(text, "; stops {} {way} at the end of the lower arm", show(shortfall.abs()));
    }
    if let Some(short) = set.short_of_parked {
        let _ = write!(text, "; a dead point comes before its stop, {} short of it", show(short));
    }
    text.push_str(".\n");
    if let Some(sentence) = not_measured(set, project) {
        let _ = writeln!(text, "           {}", capital(&sentence));
    }
    text
}

fn capital(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn pair_text(pair: &BuiltPair, show: &dyn Fn(f64) -> String) -> String {
    let verdict = if pair.runs_free() { "runs free" } else { "binds" };
    let percent = |s: f64| format!("{:.0} %", 100.0 * s);
    let allowed = pair.allowed.filter(|_| pair.no_room.is_none());
    let allowed = allowed.map_or_else(String::new, |(force, limit)| {
        let what = match limit {
            Limit::Bearing => "a bearing loses its static safety",
            Limit::Friction => "friction holds the lift up",
        };
        format!("; {force:.0} N are allowed before {what}")
    });
    let room = pair.no_room.map_or_else(String::new, |room| {
        format!("           No pair runs free, however exact its parts: {}\n", room.words())
    });
    format!(
        "Pair       {verdict}, mounted plumb and level: a misfit of {} at {} of the travel loads the arms by {:.0} N{allowed}.\n           \
         The panel is twisted by {} at a corner at {} of the travel, and yaws by {:.3}° at most.\n{room}",
        show(pair.misfit),
        percent(pair.s),
        pair.force,
        show(pair.twist),
        percent(pair.twist_s),
        pair.yaw_deg
    )
}

/// What would help, where something does.
fn help_text(figures: &BuiltFigures, show: &dyn Fn(f64) -> String) -> String {
    let help = what_would_help(figures, show);
    let no_swap = swap_that_does_not_fit(figures, show).map_or_else(String::new, |sentence| sentence + "\n");
    if help.is_empty() {
        return format!("\nNothing single would make it better.\n{no_swap}");
    }
    let mut text = String::new();
    for group in help {
        let _ = writeln!(text, "\n{}", group.heading);
        for sentence in group.sentences {
            let _ = writeln!(text, "  {sentence}");
        }
    }
    text + &no_swap
}

#[cfg(test)]
mod tests {
    use super::*;
    use overarm_solver::errors::Draws;
    use overarm_solver::{AsBuilt as Measured, PartName, Tolerances};

    fn complete() -> Project {
        let text = include_str!("../../../../tests/golden/chapel-hatch/complete.overarm.json");
        serde_json::from_str(text).unwrap()
    }

    fn found(measured: Measured) -> (String, BuiltFigures) {
        let mut project = complete();
        project.tolerances = Some(Tolerances { as_built: Some(measured), ..project.tolerances.unwrap_or_default() });
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let analysis = analysis.with_errors_drawn(&project, &Draws { count: 500, ..Draws::default() });
        let figures = analysis.errors.as_ref().unwrap().as_built.clone().unwrap();
        let fails = judged(&analysis).any(|found| found.holds == Some(false));
        (report(&project, &analysis, &figures, fails), figures)
    }

    /// One arm 0.1 mm too long: the gap, and the size that puts it right.
    #[test]
    fn a_long_arm_is_to_be_made_anew() {
        let mut measured = Measured::default();
        let lower_arm = Lift::new(&complete()).lengths.lower_arm;
        measured.left.lower_arm = Some(lower_arm + 0.1);
        let (text, figures) = found(measured);
        assert!(text.contains("fails: as measured") && text.contains("open at the lower one"), "{text}");
        assert!(text.contains("Any one of these is enough"), "{text}");
        let best = &figures.remakes[0];
        assert_eq!(best.part, PartName::LowerArm, "{text}");
        assert_eq!(best.hand, 'L');
        assert!((best.to - lower_arm).abs() < 2e-3, "{best:?}");
        assert!(best.outcome.total < 0.05 * figures.outcome.total, "{best:?}");
    }

    /// Errors that would cancel within one set sit in two: swapping one pair of parts cures both.
    #[test]
    fn a_swap_cures_what_lies_crosswise() {
        let lengths = Lift::new(&complete()).lengths;
        let mut measured = Measured::default();
        // Gap: −24.92 per mm of the lower arm, +24.92 per mm of the upper one.
        measured.left.lower_arm = Some(lengths.lower_arm + 0.1);
        measured.right.upper_arm = Some(lengths.upper_arm + 0.1);
        let (text, figures) = found(measured);
        let best = &figures.swaps[0];
        assert_eq!(best.parts.len(), 1, "{text}");
        assert!(best.outcome.score < 0.2 * figures.outcome.score, "{text}");
        assert_eq!(figures.swaps.len(), 16);
        // All four of the lapped board's parts are handed.
        assert!(text.contains("No swap: ") && text.contains("but does not fit there."), "{text}");
        assert!(!text.contains("Swap left and right"), "{text}");
    }

    #[test]
    fn exact_parts_need_nothing() {
        let (text, figures) = found(Measured::default());
        assert!(text.contains("holds: as measured") && text.contains("Nothing single"), "{text}");
        assert!(figures.outcome.score < 1e-6 && figures.sets[0].missing.len() == 8);
    }
}
