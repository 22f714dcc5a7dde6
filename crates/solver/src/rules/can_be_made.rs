//! `can_be_made`: so far that there is a bar to be made at all; wall thicknesses and cutters come
//! later.

use super::{Rule, RuleFinding, not_checked};
use crate::analysis::Analysis;
use crate::project::{PartName, Project};

pub(super) fn check(project: &Project, _: &Analysis) -> RuleFinding {
    let bars = &project.bars;
    let sizes = [
        (PartName::WallBar, bars.wall_bar.width, bars.wall_bar.depth),
        (PartName::PanelBar, bars.panel_bar.width, bars.panel_bar.depth),
        (PartName::LowerArm, bars.lower_arm.width, bars.lower_arm.depth),
        (PartName::UpperArm, bars.upper_arm.width, bars.upper_arm.depth),
    ];
    for (part, width, depth) in sizes {
        let missing = match (width > 0.0, depth > 0.0) {
            (true, true) => continue,
            (false, true) => "no width",
            (true, false) => "no depth",
            (false, false) => "neither width nor depth",
        };
        return RuleFinding::failing(Rule::CanBeMade, "mm").saying(format!(
            "The {} has {missing}: there is nothing to make. Give it the size of its stock.",
            part.words()
        ));
    }
    not_checked::check(Rule::CanBeMade)
}
