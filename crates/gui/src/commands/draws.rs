//! How errors of parts are drawn: what rules are judged by unless something else is asked for.

use clap::{Args, ValueEnum};
use overarm_solver::errors::{Draws, Spread};

/// Arguments of commands that draw errors of parts.
#[derive(Debug, Args)]
pub struct DrawArguments {
    /// How errors of parts lie within their tolerances
    #[arg(long, value_enum, default_value_t, value_name = "HOW")]
    errors: How,
    /// What errors are drawn from: the same number gives the same answer
    #[arg(long, value_name = "N", default_value_t = Draws::default().seed, value_parser = whole, allow_negative_numbers = true)]
    seed: u64,
}

/// A seed, or what would be one.
fn whole(told: &str) -> Result<u64, String> {
    told.parse().map_err(|_| format!("a whole number from 0 to {} is expected", u64::MAX))
}

#[derive(Clone, Copy, Debug, Default, ValueEnum)]
enum How {
    /// Equally likely everywhere
    #[default]
    Uniform,
    /// Normal, the tolerance three standard deviations
    Normal,
}

impl DrawArguments {
    /// As asked for.
    pub fn draws(&self) -> Draws {
        let spread = match self.errors {
            How::Uniform => Spread::Uniform,
            How::Normal => Spread::Normal,
        };
        Draws { seed: self.seed, spread, ..Draws::default() }
    }
}
