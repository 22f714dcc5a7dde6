//! Part numbers: every part of each hand has its own.

use crate::parts::Hand;
use crate::project::PartName;

/// The number of a part. Left parts are odd, right ones even (common practice, no source), also where
/// the two are alike: what lies on a bench is then told apart by its number alone.
pub(super) fn number(part: PartName, hand: Hand) -> String {
    let left = match part {
        PartName::WallBar => 101,
        PartName::PanelBar => 103,
        PartName::LowerArm => 105,
        _ => 107,
    };
    let number = match hand {
        Hand::Left => left,
        Hand::Right => left + 1,
    };
    number.to_string()
}
