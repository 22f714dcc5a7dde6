//! Rules that this version does not compute yet: said as such, never as holding.

use super::{Rule, RuleFinding};

pub(super) fn check(rule: Rule) -> RuleFinding {
    let what = match rule {
        Rule::PairRunsFree => "whether left and right bind needs the tolerances",
        _ => "walls around bores, the cutter's reach and the stock, beyond that every bar has a width and a depth",
    };
    RuleFinding::unknown(rule).saying(format!("Not computed by this version: {what}."))
}
