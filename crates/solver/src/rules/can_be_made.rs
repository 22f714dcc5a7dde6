//! `can_be_made`: so far that there is a bar to be made at all and that its bores leave enough wall;
//! webs and cutters come later.

use super::{Rule, RuleFinding, not_checked};
use crate::analysis::Analysis;
use crate::parts::{Bore, least_wall};
use crate::project::{PartName, Project};
use crate::units::show_length;

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
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
    match thinnest_wall(analysis).filter(|(_, margin)| *margin < 0.0) {
        Some((part, margin)) => RuleFinding::with_margin(Rule::CanBeMade, margin, "mm").saying(format!(
            "A bore of the {} leaves a wall {} thinner than wanted. Move its pivot, or make the bar wider.",
            part.words(),
            show_length(-margin, project.units())
        )),
        None => not_checked::check(Rule::CanBeMade),
    }
}

/// The bar whose bore leaves the least wall, and that wall less what is wanted, mm.
fn thinnest_wall(analysis: &Analysis) -> Option<(PartName, f64)> {
    let bars = analysis.solids.bars.iter();
    let walls = bars.flat_map(|bar| {
        bar.layers.iter().flat_map(|shape| {
            let spare = |(bore, edge): (&Bore, f64)| (bar.name, edge - least_wall(bore.diameter));
            shape.bores.iter().zip(shape.edge_distances()).map(spare)
        })
    });
    walls.min_by(|a, b| a.1.total_cmp(&b.1))
}
