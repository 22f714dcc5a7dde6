//! Part numbers: two for a part of which left and right differ, one for a part that is its own
//! mirror image.

use crate::parts::Hand;
use crate::project::PartName;

/// Number and how many of it a lift has. Left parts are odd, right ones even (common practice, no
/// source); a part that is its own mirror image keeps the odd one for both.
pub(super) fn number(part: PartName, hand: Hand, is_handed: bool) -> (String, u32) {
    let first = match part {
        PartName::WallBar => 101,
        PartName::PanelBar => 103,
        PartName::LowerArm => 105,
        _ => 107,
    };
    match (is_handed, hand) {
        (true, Hand::Right) => ((first + 1).to_string(), 1),
        (true, Hand::Left) => (first.to_string(), 1),
        (false, _) => (first.to_string(), 2),
    }
}
