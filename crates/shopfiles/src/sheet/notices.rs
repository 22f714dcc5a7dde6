//! What every sheet says: which rules fail, and that a lift over people is not a toy.

use overarm_solver::parts::known_bore;
use overarm_solver::{Analysis, Project, pivot_bore, show_signed_margin};

use super::figures::{bore, with_unit};

/// Said on every sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notices {
    /// The rules that fail, with their margins; `None` where none does.
    pub fails: Option<String>,
    /// What is drawn though nobody chose it; `None` where nothing is.
    pub not_chosen: Option<String>,
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
        let not_chosen = known_bore(project).is_none().then(|| {
            let units = project.units();
            format!(
                "No bearing is chosen: hinge bores of Ø{} stand by default. Bore none of them before it is.",
                with_unit(&bore(pivot_bore(project), units), units)
            )
        });
        Self { fails: (!failing.is_empty()).then_some(words), not_chosen, caution: CAUTION }
    }
}
