//! What comes of drive, hinges, fixings and tolerances, in rows of words and figures, each block with where it
//! comes from and with what is missing for the rest.

mod drive;
mod fixings;
mod hinges;
mod measured;
mod pinch;
mod tolerances;

use overarm_solver::{Analysis, Project, Rule};

use super::action::Command;
use super::remedy::Remedy;

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
    /// A plot above its sources.
    pub plot: Option<PlotOf>,
    /// What can be tried about it, a step each.
    pub remedies: Vec<Remedy>,
    /// What else can be done about it.
    pub commands: Vec<Command>,
}

/// What a block has a plot of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlotOf {
    /// How many sets hang with which gap.
    HungGap,
    /// How many pairs twist the panel how far.
    Twist,
    /// Misfit and twist of pairs over the travel.
    PairOverTravel,
    /// How far each dimension's error shifts the panel's corners at the pose shown.
    Sensitivity,
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
    /// Errors of parts.
    Tolerances,
}

impl FiguresOf {
    /// Every one, in the order in which their pages stand beside each other.
    pub const ALL: [Self; 4] = [Self::Drive, Self::Hinges, Self::Fixings, Self::Tolerances];

    /// The rules that they decide.
    #[must_use]
    pub fn rules(self) -> &'static [Rule] {
        match self {
            Self::Drive => &[Rule::Starts, Rule::StaysDown, Rule::ComesDown, Rule::Winds, Rule::DriveCopes],
            Self::Hinges => &[Rule::BearingsHold],
            Self::Fixings => &[Rule::FixingsHold],
            Self::Tolerances => &Rule::BY_ERRORS,
        }
    }

    /// The figures.
    #[must_use]
    pub fn blocks(self, project: &Project, analysis: &Analysis) -> Vec<Block> {
        match self {
            Self::Drive => drive::blocks(project, analysis),
            Self::Hinges => hinges::blocks(project, analysis),
            Self::Fixings => fixings::blocks(project, analysis),
            Self::Tolerances => tolerances::blocks(project, analysis),
        }
    }
}

impl Block {
    fn new(title: &'static str, sources: &'static [&'static str]) -> Self {
        Self {
            title,
            rows: Vec::new(),
            notes: Vec::new(),
            sources,
            plot: None,
            remedies: Vec::new(),
            commands: Vec::new(),
        }
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
