//! `uncovers`: seen straight on, the wanted height range is free when parked.

use super::{Rule, RuleFinding};
use crate::analysis::Analysis;
use crate::lift::ArmName;
use crate::project::{PartName, Point, Project};
use crate::units::show_length;

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let Some(wanted) = &project.room.uncover else {
        return RuleFinding::unknown(Rule::Uncovers)
            .saying("No height range to uncover is given: add room.uncover with its bottom and top.");
    };
    let (lowest, part) = lowest_parked(analysis);
    let units = project.units();
    let name = wanted.name.as_deref().unwrap_or("opening");
    let free = (lowest.y - wanted.bottom).max(0.0);
    let margin = lowest.y - wanted.top;
    let text = if margin >= 0.0 {
        format!("Parked, the lowest point ({}) is {} above the {name}.", part.words(), show_length(margin, units))
    } else {
        format!(
            "Parked, the {} hangs {} into the {name}: {} of it stay free. Raise the hung place, or let the lift travel further.",
            part.words(),
            show_length(-margin, units),
            show_length(free, units)
        )
    };
    RuleFinding::with_margin(Rule::Uncovers, margin, "mm").at(1.0, part.words(), &[lowest]).saying(text)
}

/// The lowest point of panel and arms at parked.
fn lowest_parked(analysis: &Analysis) -> (Point, PartName) {
    let (lift, pose) = (&analysis.lift, analysis.pose_at(1.0));
    let mut points: Vec<(Point, PartName)> = lift.panel_corners(&pose).map(|p| (p, PartName::Panel)).to_vec();
    for (arm, name) in [(ArmName::Lower, PartName::LowerArm), (ArmName::Upper, PartName::UpperArm)] {
        let below = |p: Point| Point::new(p.x, p.y - lift.arm_radius(arm));
        points.extend(lift.arm_axis(arm, &pose).map(|p| (below(p), name)));
    }
    points.into_iter().min_by(|a, b| a.0.y.total_cmp(&b.0.y)).unwrap_or((pose.origin(), PartName::Panel))
}
