//! `hangs_flat`: so far the transmission angle at hung; tolerances come to it later.

use super::{Rule, RuleFinding};
use crate::analysis::Analysis;
use crate::project::Project;
use crate::units::number;

/// Least transmission angle at hung, degrees (common practice for this kind of lift, no source):
/// below it a few hundredths of length error decide where the panel hangs.
const LEAST_DEG: f64 = 5.0;
/// Below this it is worth a look (common practice, no source).
const NEAR_DEG: f64 = 15.0;

pub(super) fn check(_: &Project, analysis: &Analysis) -> RuleFinding {
    let hung = analysis.pose_at(0.0);
    let angle = hung.transmission.to_degrees();
    let text = if angle < LEAST_DEG {
        format!(
            "Hung, the upper arm and the panel bar meet at {}°; at least {LEAST_DEG}° are wanted, or small length errors lift the panel off the wall. Set the two panel pivots at different distances from the wall.",
            number(angle, 1)
        )
    } else if angle < NEAR_DEG {
        format!(
            "Hung, the upper arm and the panel bar meet at {}°: enough, but touchy under {NEAR_DEG}°. Setting the two panel pivots at different distances from the wall raises it.",
            number(angle, 1)
        )
    } else {
        format!("Hung, the upper arm and the panel bar meet at {}°, a firm rest.", number(angle, 1))
    };
    RuleFinding::with_margin(Rule::HangsFlat, angle - LEAST_DEG, "deg")
        .near(angle < NEAR_DEG)
        .at(0.0, "upper panel pivot, hung", &[hung.panel_upper])
        .saying(text)
}
