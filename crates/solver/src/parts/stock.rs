//! What a part is cut from: section and cut length.

use crate::project::{PartName, Project};

/// Bars come this long where the project does not say, mm (common practice, no source).
pub const DEFAULT_STOCK_LENGTH_MM: f64 = 3000.0;
/// A saw takes this where the project does not say, mm (a bandsaw or cold saw with room to spare;
/// common practice, no source).
pub const DEFAULT_KERF_MM: f64 = 3.0;
/// Left at each end to be milled off, mm (common practice, no source).
const END_ALLOWANCE_MM: f64 = 2.0;

/// A piece of rectangular bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stock {
    /// In the side view, across the part, mm.
    pub width: f64,
    /// Along z, mm.
    pub depth: f64,
    /// Sawn to, mm: the part and what is milled off its ends.
    pub cut_length: f64,
    /// Of the finished part, mm.
    pub finished_length: f64,
    /// Across and along z, of the finished part, mm.
    pub finished: [f64; 2],
}

impl Stock {
    /// The stock of a part of a finished size. Where the project names no other, the bar comes in
    /// the part's own section and keeps its faces.
    pub(super) fn of(project: &Project, part: PartName, length: f64, finished: [f64; 2]) -> Self {
        let bars = &project.bars;
        let given = match part {
            PartName::WallBar => bars.wall_bar.stock,
            PartName::PanelBar => bars.panel_bar.stock,
            PartName::LowerArm => bars.lower_arm.stock,
            _ => bars.upper_arm.stock,
        };
        let [width, depth] = given.unwrap_or(finished);
        Self { width, depth, cut_length: length + 2.0 * END_ALLOWANCE_MM, finished_length: length, finished }
    }

    /// What is left over across and along z, mm; negative where the stock is too small.
    #[must_use]
    pub fn allowance(&self) -> [f64; 2] {
        [self.width - self.finished[0], self.depth - self.finished[1]]
    }
}
