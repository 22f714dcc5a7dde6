//! The rules a lift has to keep, each in its own file; this is their list.

mod assembles;
mod bars_hold;
mod bearings_hold;
mod can_be_made;
mod clears_itself;
mod clears_room;
mod clears_wall;
mod comes_down;
mod drive_copes;
mod fixings_hold;
mod hangs_flat;
mod pair_runs_free;
mod screw_heads;
mod starts;
mod stays_down;
mod stops_on_fold;
mod uncovers;
mod winds;

pub(crate) use bearings_hold::Loading;

use crate::analysis::Analysis;
use crate::project::{Point, Project};

/// The rules, in the order in which they are reported.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Rule {
    /// The travel asked for is reached.
    Assembles,
    /// The panel lies flat on the wall.
    HangsFlat,
    /// What is behind the panel is free when parked.
    Uncovers,
    /// Enough distance to ceiling and solids.
    ClearsRoom,
    /// Enough distance to the wall.
    ClearsWall,
    /// Bars and panel clear each other.
    ClearsItself,
    /// The fold stops it where it should park.
    StopsOnFold,
    /// The strap starts it.
    Starts,
    /// It rests on the wall.
    StaysDown,
    /// It comes down by its weight.
    ComesDown,
    /// The strap winds.
    Winds,
    /// The motor copes.
    DriveCopes,
    /// Bars are strong enough.
    BarsHold,
    /// Bearings are.
    BearingsHold,
    /// Screws are.
    FixingsHold,
    /// Left and right do not bind.
    PairRunsFree,
    /// A shop can make the parts.
    CanBeMade,
}

impl Rule {
    /// Every rule, in order.
    pub const ALL: [Self; 17] = [
        Self::Assembles,
        Self::HangsFlat,
        Self::Uncovers,
        Self::ClearsRoom,
        Self::ClearsWall,
        Self::ClearsItself,
        Self::StopsOnFold,
        Self::Starts,
        Self::StaysDown,
        Self::ComesDown,
        Self::Winds,
        Self::DriveCopes,
        Self::BarsHold,
        Self::BearingsHold,
        Self::FixingsHold,
        Self::PairRunsFree,
        Self::CanBeMade,
    ];

    /// Those that errors of parts decide, once they are drawn.
    pub const BY_ERRORS: [Self; 2] = [Self::HangsFlat, Self::PairRunsFree];

    /// Whether errors of parts decide it, once they are drawn.
    #[must_use]
    pub fn is_by_errors(self) -> bool {
        Self::BY_ERRORS.contains(&self)
    }

    /// The rule's name in files and on the command line, and its title for people.
    fn names(self) -> (&'static str, &'static str) {
        match self {
            Self::Assembles => ("assembles", "Reaches parked"),
            Self::HangsFlat => ("hangs_flat", "Hangs flat"),
            Self::Uncovers => ("uncovers", "Uncovers the opening"),
            Self::ClearsRoom => ("clears_room", "Clears the room"),
            Self::ClearsWall => ("clears_wall", "Clears the wall"),
            Self::ClearsItself => ("clears_itself", "Clears itself"),
            Self::StopsOnFold => ("stops_on_fold", "Stops on its fold"),
            Self::Starts => ("starts", "Starts with the strap"),
            Self::StaysDown => ("stays_down", "Stays down"),
            Self::ComesDown => ("comes_down", "Comes down by its weight"),
            Self::Winds => ("winds", "Strap winds"),
            Self::DriveCopes => ("drive_copes", "Drive copes"),
            Self::BarsHold => ("bars_hold", "Bars hold"),
            Self::BearingsHold => ("bearings_hold", "Bearings hold"),
            Self::FixingsHold => ("fixings_hold", "Fixings hold"),
            Self::PairRunsFree => ("pair_runs_free", "Pair runs free"),
            Self::CanBeMade => ("can_be_made", "Can be made"),
        }
    }

    /// The rule's name in files, such as `clears_room`.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.names().0
    }

    /// The rule for people, such as "Clears the room".
    #[must_use]
    pub fn title(self) -> &'static str {
        self.names().1
    }

    /// The list: which file checks which rule.
    fn check(self, project: &Project, analysis: &Analysis) -> RuleFinding {
        match self {
            Self::Assembles => assembles::check(project, analysis),
            Self::HangsFlat => hangs_flat::check(project, analysis),
            Self::Uncovers => uncovers::check(project, analysis),
            Self::ClearsRoom => clears_room::check(project, analysis),
            Self::ClearsWall => clears_wall::check(project, analysis),
            Self::ClearsItself => clears_itself::check(project, analysis),
            Self::StopsOnFold => stops_on_fold::check(project, analysis),
            Self::Starts => starts::check(project, analysis),
            Self::StaysDown => stays_down::check(project, analysis),
            Self::ComesDown => comes_down::check(project, analysis),
            Self::DriveCopes => drive_copes::check(project, analysis),
            Self::BarsHold => bars_hold::check(project, analysis),
            Self::BearingsHold => bearings_hold::check(project, analysis),
            Self::FixingsHold => fixings_hold::check(project, analysis),
            Self::Winds => winds::check(project, analysis),
            Self::PairRunsFree => pair_runs_free::check(project, analysis),
            Self::CanBeMade => can_be_made::check(project, analysis),
        }
    }
}

/// What a rule found.
#[derive(Clone, Debug, PartialEq)]
pub struct RuleFinding {
    /// Which rule.
    pub rule: Rule,
    /// `None` when its data is not given or it is not computed yet.
    pub holds: Option<bool>,
    /// Holds, but so narrowly that a person should look.
    pub near: bool,
    /// 0 or more holds; `None` when no number says it.
    pub margin: Option<f64>,
    /// Of the margin: `"mm"`, `"deg"`, `"N"`, …
    pub unit: &'static str,
    /// The worst pose.
    pub s: Option<f64>,
    /// The place in words.
    pub place: Option<String>,
    /// Points to light up, side view.
    pub points: Vec<Point>,
    /// One or two plain sentences in the project's units.
    pub text: String,
}

impl RuleFinding {
    /// A rule that has a margin: it holds when that is 0 or more.
    fn with_margin(rule: Rule, margin: f64, unit: &'static str) -> Self {
        Self { holds: Some(margin >= 0.0), margin: Some(margin), unit, ..Self::unknown(rule) }
    }

    /// A rule that fails without a number.
    fn failing(rule: Rule, unit: &'static str) -> Self {
        Self { holds: Some(false), unit, ..Self::unknown(rule) }
    }

    fn unknown(rule: Rule) -> Self {
        Self {
            rule,
            holds: None,
            near: false,
            margin: None,
            unit: "",
            s: None,
            place: None,
            points: Vec::new(),
            text: String::new(),
        }
    }

    fn at(self, s: f64, place: impl Into<String>, points: &[Point]) -> Self {
        Self { s: Some(s), place: Some(place.into()), points: points.to_vec(), ..self }
    }

    fn near(self, near: bool) -> Self {
        Self { near: near && self.holds == Some(true), ..self }
    }

    fn saying(self, text: impl Into<String>) -> Self {
        Self { text: text.into(), ..self }
    }

    /// The sentences without the names that fields have in a project file, which stand in
    /// parentheses for whoever edits one: for windows and paper.
    #[must_use]
    pub fn without_field_names(&self) -> String {
        let mut plain = String::with_capacity(self.text.len());
        let mut rest = self.text.as_str();
        while let Some((before, behind)) = rest.split_once(" (") {
            plain.push_str(before);
            rest = behind;
            match behind.split_once(')').filter(|(inside, _)| inside.split(", ").all(is_field)) {
                Some((_, after)) => rest = after,
                None => plain.push_str(" ("),
            }
        }
        plain + rest
    }
}

/// Whether a word is the path of a field, as `drive.motor.torque`.
fn is_field(word: &str) -> bool {
    let names = || word.split('.');
    let is_name = |name: &str| !name.is_empty() && name.chars().all(|c| c.is_ascii_lowercase() || c == '_');
    names().count() > 1 && names().all(is_name)
}

/// Every rule, in order.
pub(crate) fn check_all(project: &Project, analysis: &Analysis) -> Vec<RuleFinding> {
    Rule::ALL.into_iter().map(|rule| rule.check(project, analysis)).collect()
}

/// The rules of an analysis, some of them judged anew.
pub(crate) fn judged_anew(project: &Project, analysis: &Analysis, anew: &[Rule]) -> Vec<RuleFinding> {
    let again = |found: &RuleFinding| {
        if anew.contains(&found.rule) { found.rule.check(project, analysis) } else { found.clone() }
    };
    analysis.rules.iter().map(again).collect()
}

/// A fraction of the travel as people read it.
pub(crate) fn percent(s: f64) -> String {
    format!("{:.0} %", 100.0 * s)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn people_are_not_told_names_of_fields() {
        let plain = |text: &str| RuleFinding::unknown(Rule::Winds).saying(text).without_field_names();
        assert_eq!(plain("No motor is given (drive.motor): add it."), "No motor is given: add it.");
        assert_eq!(plain("Give both (tolerances.length, tolerances.offset)."), "Give both.");
        let others = "The lowest point (panel) is free (1.5 mm). (It is near.) It ends with (";
        assert_eq!(plain(others), others);
    }

    #[test]
    fn what_a_rule_misses_is_told_in_words() {
        let full = crate::samples::demo_board();
        let spoiled: [fn(&mut Project); 4] = [
            |project| project.joints = None,
            |project| project.tolerances = None,
            |project| project.fixings = None,
            |project| project.drive.iter_mut().for_each(|drive| (drive.motor, drive.strap_limit) = (None, None)),
        ];
        for spoil in spoiled {
            let mut project = full.clone();
            spoil(&mut project);
            let analysis = crate::analyse(&project, &crate::Options { poses: 2, swept: false });
            for finding in &analysis.rules {
                let plain = finding.without_field_names();
                let field = plain
                    .split([' ', ',', ';', ':', '(', ')'])
                    .map(|word| word.trim_end_matches('.'))
                    .find(|word| is_field(word));
                assert_eq!(field, None, "{plain}");
            }
        }
    }
}
