//! How much stronger than its load everything has to be.

use serde::{Deserialize, Serialize};

use super::{More, Project};

/// Safeties that the project asks for; what is not given is taken as [`Safeties::USUAL`].
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct SafetiesWanted {
    /// Of the bars: on yield, and against buckling.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bars: Option<f64>,
    /// Of the bearings: static safety s0 (ISO 76).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bearings: Option<f64>,
    /// Of the fixings, on their design values.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fixings: Option<f64>,
    /// Of the motor's torque.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drive: Option<f64>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

impl SafetiesWanted {
    /// Each with its field's name.
    pub(crate) fn named(&self) -> [(&'static str, Option<f64>); 4] {
        [("bars", self.bars), ("bearings", self.bearings), ("fixings", self.fixings), ("drive", self.drive)]
    }
}

/// What strength, rating or torque has to be over the load, a plain factor of at least 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Safeties {
    /// Of the bars: yield strength over stress, and buckling load over pressing force.
    pub bars: f64,
    /// Of the bearings: static rating over static equivalent load, s0 of ISO 76.
    pub bearings: f64,
    /// Of the fixings: design value over load.
    pub fixings: f64,
    /// Of the drive: the motor's torque over the most that is needed of it.
    pub drive: f64,
}

impl Safeties {
    /// Where nothing else is asked for. Bearings: 2, the value of ISO 76:2006 for quiet turning. Common
    /// practice, no source: 2 on yield; 1 on a design value, which is about a fifth of what breaks it;
    /// 1.5 for cold grease, a worn battery, a tight hinge.
    pub const USUAL: Self = Self { bars: 2.0, bearings: 2.0, fixings: 1.0, drive: 1.5 };
    /// Nothing may be loaded beyond what it can bear.
    pub const LEAST: f64 = 1.0;
}

/// Words about a safety that is asked for, where it is lower than the usual one; starts with a space.
pub(crate) fn lower_than_usual(asked: f64, usual: f64) -> String {
    if asked < usual { format!(" Less is asked for than the usual {usual}.") } else { String::new() }
}

impl Project {
    /// The safeties asked for, with the usual ones where none are.
    #[must_use]
    pub fn safeties(&self) -> Safeties {
        let usual = Safeties::USUAL;
        self.safeties.as_ref().map_or(usual, |given| Safeties {
            bars: given.bars.unwrap_or(usual.bars),
            bearings: given.bearings.unwrap_or(usual.bearings),
            fixings: given.fixings.unwrap_or(usual.fixings),
            drive: given.drive.unwrap_or(usual.drive),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Options, Rule, analyse};

    fn complete() -> Project {
        crate::samples::complete_board()
    }

    /// Margins are safety / required − 1, so half as much again asked for takes a third of margin + 1.
    #[test]
    fn what_is_asked_for_divides_the_safety_that_is_there() {
        let margins = |project: &Project| {
            let rules = analyse(project, &Options { poses: 61, swept: false }).rules;
            [Rule::BarsHold, Rule::BearingsHold, Rule::FixingsHold, Rule::DriveCopes].map(|rule| {
                let found = rules.iter().find(|found| found.rule == rule).expect("the rule");
                (found.margin.expect("a margin"), found.text.clone())
            })
        };
        let mut project = complete();
        // The stalled motor pulls less than the strap may carry, so its torque decides.
        project.drive.as_mut().expect("a drive").strap_limit = Some(1e6);
        let usual = margins(&project);
        let (more, less) = (|usual: f64| Some(1.5 * usual), |_| Some(1.0));
        for (asked, factor) in [(more as fn(f64) -> Option<f64>, [1.5; 4]), (less, [0.5, 0.5, 1.0, 1.0 / 1.5])] {
            let Safeties { bars, bearings, fixings, drive } = Safeties::USUAL;
            project.safeties = Some(SafetiesWanted {
                bars: asked(bars),
                bearings: asked(bearings),
                fixings: asked(fixings),
                drive: asked(drive),
                ..SafetiesWanted::default()
            });
            assert_eq!(project.validate(), Ok(()));
            for (of, (now, text)) in margins(&project).into_iter().enumerate() {
                let expected = (usual[of].0 + 1.0) / factor[of] - 1.0;
                assert!((now - expected).abs() < 1e-9, "{now} for {expected}: {text}");
                assert_eq!(text.contains("than the usual"), factor[of] < 1.0, "{text}");
            }
        }
    }
}
