//! Where drum, strap, panel and the bars of both sets lie along the wall.

use crate::along_wall::bar_range;
use crate::project::{PartName, Project};

/// Which parts share a piece of the wall's length with drum and strap.
pub(super) struct Sharing {
    strap: [f64; 2],
    panel: [f64; 2],
    /// Of the right set.
    bars: [(PartName, [f64; 2]); 4],
}

impl Sharing {
    pub fn new(project: &Project) -> Self {
        let middle = 0.5 * project.set_spacing();
        let of = |bar: PartName| (bar, bar_range(project, bar).map(|z| middle + z));
        Self {
            strap: project.drive.as_ref().map_or([0.0; 2], crate::project::Drive::z_range),
            panel: [-0.5 * project.panel.width, 0.5 * project.panel.width],
            bars: [PartName::WallBar, PartName::PanelBar, PartName::LowerArm, PartName::UpperArm].map(of),
        }
    }

    pub fn with(&self, part: PartName) -> bool {
        let overlaps = |[from, to]: [f64; 2]| self.strap[0] < to && self.strap[1] > from;
        if part == PartName::Panel {
            return overlaps(self.panel);
        }
        let bar = self.bars.iter().find(|(name, _)| *name == part);
        bar.is_some_and(|(_, [from, to])| overlaps([*from, *to]) || overlaps([-to, -from]))
    }
}
