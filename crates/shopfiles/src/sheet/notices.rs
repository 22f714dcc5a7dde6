//! What every sheet says: which rules fail, and that a lift over people is not a toy.

use overarm_solver::{Analysis, Project, show_signed_margin};

/// Said on every sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notices {
    /// The rules that fail, with their margins; `None` where none does.
    pub fails: Option<String>,
    /// Always.
    pub caution: &'static str,
}

/// The caution on every sheet.
const CAUTION: &str = "An aid, not a licence: local codes and licensed practice come first. A falling panel can kill: \
                       fit a second retention.";

impl Notices {
    /// Those of a project.
    #[must_use]
    pub fn of(project: &Project, analysis: &Analysis) -> Self {
        let failing: Vec<String> = analysis
            .rules
            .iter()
            .filter(|rule| rule.holds == Some(false))
            .map(|rule| match rule.margin {
                Some(margin) => {
                    format!("{} ({})", rule.rule.title(), show_signed_margin(margin, rule.unit, project.units()))
                }
                None => rule.rule.title().to_owned(),
            })
            .collect();
        let count = match failing.len() {
            1 => "1 rule fails".to_owned(),
            many => format!("{many} rules fail"),
        };
        let words = format!("Not to be built as it is: {count}: {}.", failing.join(", "));
        Self { fails: (!failing.is_empty()).then_some(words), caution: CAUTION }
    }
}
