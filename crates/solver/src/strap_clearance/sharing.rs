//! Where drum, strap, panel and the bars of both sets lie along the wall.

use crate::project::{Build, PartName, Project};

/// Which parts share a piece of the wall's length with drum and strap.
pub(super) struct Sharing {
    strap: [f64; 2],
    panel: [f64; 2],
    /// Of the right set.
    bars: [(PartName, [f64; 2]); 4],
}

impl Sharing {
    pub fn new(project: &Project) -> Self {
        let bars = &project.bars;
        let middle = 0.5 * project.set_spacing();
        let about = |depth: f64| [middle - 0.5 * depth, middle + 0.5 * depth];
        // A sandwich's middle layer is as deep as the deeper of its two bars.
        let half = 0.5 * bars.wall_bar.depth.max(bars.panel_bar.depth);
        let (lower, upper) = match bars.build {
            Build::Lapped => (about(bars.lower_arm.depth), about(bars.upper_arm.depth)),
            Build::Sandwich => (
                [middle + half, middle + half + bars.lower_arm.depth],
                [middle - half - bars.upper_arm.depth, middle - half],
            ),
        };
        Self {
            strap: project.drive.as_ref().map_or([0.0; 2], crate::project::Drive::z_range),
            panel: [-0.5 * project.panel.width, 0.5 * project.panel.width],
            bars: [
                (PartName::WallBar, about(bars.wall_bar.depth)),
                (PartName::PanelBar, about(bars.panel_bar.depth)),
                (PartName::LowerArm, lower),
                (PartName::UpperArm, upper),
            ],
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
