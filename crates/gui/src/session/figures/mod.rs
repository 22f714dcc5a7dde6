//! What comes of drive, hinges and fixings, in rows of words and figures, each block with where it
//! comes from and with what is missing for the rest.

mod drive;
mod fixings;
mod hinges;
mod pinch;

use overarm_solver::{Analysis, Project, Rule};

pub use pinch::pinch_block;

/// Figures that belong together.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// Its heading.
    pub title: &'static str,
    /// One figure each.
    pub rows: Vec<Row>,
    /// Sentences: what is missing, and cautions.
    pub notes: Vec<String>,
    /// Formulas and sources, a sentence each.
    pub sources: &'static [&'static str],
}

/// One figure.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// What it is.
    pub what: String,
    /// With its unit, and where on the travel.
    pub value: String,
    /// Whether it is as it should be, where that can be said.
    pub holds: Option<bool>,
}

/// Which figures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FiguresOf {
    /// Strap, drum, kick and motor.
    Drive,
    /// Bearings, seats and pins.
    Hinges,
    /// Screws in the wall.
    Fixings,
}

impl FiguresOf {
    /// The rules that they decide.
    #[must_use]
    pub fn rules(self) -> &'static [Rule] {
        match self {
            Self::Drive => &[Rule::Starts, Rule::StaysDown, Rule::ComesDown, Rule::Winds, Rule::DriveCopes],
            Self::Hinges => &[Rule::BearingsHold],
            Self::Fixings => &[Rule::FixingsHold],
        }
    }

    /// The figures.
    #[must_use]
    pub fn blocks(self, project: &Project, analysis: &Analysis) -> Vec<Block> {
        match self {
            Self::Drive => drive::blocks(project, analysis),
            Self::Hinges => hinges::blocks(project, analysis),
            Self::Fixings => fixings::blocks(project, analysis),
        }
    }
}

impl Block {
    fn new(title: &'static str, sources: &'static [&'static str]) -> Self {
        Self { title, rows: Vec::new(), notes: Vec::new(), sources }
    }

    fn row(&mut self, what: impl Into<String>, value: impl Into<String>) {
        self.rows.push(Row { what: what.into(), value: value.into(), holds: None });
    }

    fn judged(&mut self, what: impl Into<String>, value: impl Into<String>, holds: bool) {
        self.rows.push(Row { what: what.into(), value: value.into(), holds: Some(holds) });
    }

    fn note(&mut self, sentence: impl Into<String>) {
        self.notes.push(sentence.into());
    }
}

/// The greatest of a figure over the poses analysed, and where on the travel.
fn greatest(analysis: &Analysis, figure: impl Fn(usize) -> Option<f64>) -> Option<(f64, f64)> {
    let values = (0..analysis.poses.len()).filter_map(|index| Some((figure(index)?, analysis.poses[index].pose.s)));
    values.max_by(|a, b| a.0.total_cmp(&b.0))
}

/// A place on the travel, behind a figure.
fn at(s: f64) -> String {
    format!("at {:.0} %", 100.0 * s)
}
