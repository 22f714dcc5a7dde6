//! Where on the travel a rule fails: stretches as far as it is known pose by pose, and the worst pose
//! of every other rule.

use crate::analysis::Analysis;
use crate::bearings::Bearing;
use crate::project::Project;
use crate::rules::{Loading, Rule, RuleFinding};

/// A stretch of the travel on which a rule fails, from and to, 0 hung, 1 parked.
#[derive(Clone, Debug, PartialEq)]
pub struct FailingStretch {
    /// The rule.
    pub rule: Rule,
    /// Where it begins to fail; the worst pose where only that is known.
    pub from: f64,
    /// Where it ends to.
    pub to: f64,
    /// The rule's own sentence, with its number.
    pub text: String,
}

/// Every stretch of every rule that fails.
#[must_use]
pub fn failing_stretches(project: &Project, analysis: &Analysis) -> Vec<FailingStretch> {
    let failing = analysis.rules.iter().filter(|finding| finding.holds == Some(false));
    failing.flat_map(|finding| of_rule(finding, project, analysis)).collect()
}

fn of_rule(finding: &RuleFinding, project: &Project, analysis: &Analysis) -> Vec<FailingStretch> {
    let mut found = match finding.rule {
        Rule::Winds => paid_out(analysis),
        rule => runs(analysis, |index| fails_at(rule, project, analysis, index)),
    };
    // Between two poses it may fail at neither; and of some rules only the worst pose is known.
    if let Some(s) = finding.s.map(|s| s.clamp(0.0, 1.0)) {
        let step = 1.0 / analysis.poses.len().max(2) as f64;
        match found.iter_mut().find(|[from, to]| (*from - step..=*to + step).contains(&s)) {
            Some([from, to]) => (*from, *to) = (from.min(s), to.max(s)),
            None => found.push([s, s]),
        }
    }
    let stretch =
        |[from, to]: [f64; 2]| FailingStretch { rule: finding.rule, from, to, text: finding.without_field_names() };
    found.into_iter().map(stretch).collect()
}

/// Whether a rule is known to fail at one of the poses analysed.
fn fails_at(rule: Rule, project: &Project, analysis: &Analysis, index: usize) -> bool {
    let figures = &analysis.poses[index];
    let drive = project.drive.as_ref();
    let at_pose = || {
        let known = analysis.forces.as_ref().ok()?;
        Some((known, known.poses.get(index).copied().flatten()?))
    };
    let fails = match rule {
        Rule::ClearsRoom => {
            let wanted = project.room.wanted_clearance();
            Some([figures.panel_to_room, figures.bars_to_room].into_iter().flatten().any(|mm| mm < wanted))
        }
        Rule::Starts => at_pose().and_then(|(known, at)| {
            // A kick helps until its stroke has ended.
            let from = known.start.as_ref().map_or(0.0, |start| analysis.travel.s_at(&analysis.lift, start.from));
            let over = at.tension? > drive?.strap_limit?;
            Some(over && at.strap_rate > 0.0 && figures.pose.s >= from)
        }),
        Rule::BearingsHold => at_pose().and_then(|(_, at)| {
            let loading = Loading::of(project, &Bearing::of_project(project)?, &analysis.lift)?;
            let allowed = loading.rating / project.safeties().bearings;
            Some(at.hinges?.into_iter().enumerate().any(|(hinge, load)| loading.on_one(load, hinge, false) > allowed))
        }),
        Rule::ComesDown => analysis.forces.as_ref().ok().and_then(|known| {
            let found = known.loads.coming_down(&analysis.lift, &analysis.travel, &figures.pose)?;
            Some(found.weight < found.friction)
        }),
        _ => None,
    };
    fails.unwrap_or(false)
}

/// Where the strap goes slack, and where its end lies in the drum.
fn paid_out(analysis: &Analysis) -> Vec<[f64; 2]> {
    let Some(strap) = &analysis.strap else { return Vec::new() };
    let s = |walked: f64| analysis.travel.s_at(&analysis.lift, walked);
    let mut found: Vec<[f64; 2]> = strap.pays_out().iter().map(|stretch| stretch.map(s)).collect();
    if !strap.runs_all_the_way() {
        found.push([s(strap.reach()), 1.0]);
    }
    found
}

fn runs(analysis: &Analysis, is_wrong: impl Fn(usize) -> bool) -> Vec<[f64; 2]> {
    let mut found: Vec<[f64; 2]> = Vec::new();
    let mut goes_on = false;
    for (index, figures) in analysis.poses.iter().enumerate() {
        let wrong = is_wrong(index);
        match found.last_mut().filter(|_| wrong && goes_on) {
            Some([_, to]) => *to = figures.pose.s,
            None if wrong => found.push([figures.pose.s, figures.pose.s]),
            None => {}
        }
        goes_on = wrong;
    }
    found
}

impl FailingStretch {
    /// What fails, beside the stretch.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self.rule {
            Rule::ClearsRoom => "Too near the room",
            Rule::ClearsWall => "Too near the wall",
            Rule::ClearsItself => "Too near itself",
            Rule::Starts => "Strap over its limit",
            Rule::Winds => "Strap or drum",
            Rule::ComesDown => "Does not come down",
            Rule::DriveCopes => "Motor does not fit",
            Rule::BearingsHold => "Bearing overloaded",
            Rule::BarsHold => "Bar overloaded",
            Rule::FixingsHold => "Screw overloaded",
            Rule::StopsOnFold => "Stop",
            rule => rule.title(),
        }
    }

    /// What fails where, with its number.
    #[must_use]
    pub fn sentence(&self) -> String {
        let [from, to] = [self.from, self.to].map(|s| (s * 100.0).round());
        let place = if to > from { format!("from {from:.0} % to {to:.0} %") } else { format!("at {from:.0} %") };
        format!("{} fails {place} of the travel. {}", self.rule.title(), self.text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Options, analyse};

    fn demo() -> Project {
        crate::samples::complete_board()
    }

    fn found(project: &Project) -> Vec<FailingStretch> {
        failing_stretches(project, &analyse(project, &Options { poses: 61, swept: false }))
    }

    #[test]
    fn what_is_nearer_than_wanted_is_a_stretch_and_what_holds_is_none() {
        let mut project = demo();
        project.room.clearance = Some(0.0);
        assert!(!found(&project).iter().any(|stretch| stretch.rule == Rule::ClearsRoom));
        let analysis = analyse(&project, &Options { poses: 61, swept: false });
        let (s, least) = analysis
            .poses
            .iter()
            .filter_map(|figures| Some((figures.pose.s, figures.panel_to_room?)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .expect("the demo has a ceiling");
        project.room.clearance = Some(least + 5.0);
        let stretches = found(&project);
        let room: Vec<&FailingStretch> = stretches.iter().filter(|stretch| stretch.rule == Rule::ClearsRoom).collect();
        assert!(room.iter().any(|stretch| (stretch.from..=stretch.to).contains(&s) && stretch.to > stretch.from));
        let said = stretches.iter().map(FailingStretch::sentence).collect::<String>();
        assert!(said.contains("fails from ") && said.contains("mm wanted"), "{said}");
    }

    #[test]
    fn a_strap_that_may_carry_hardly_anything_is_over_its_limit() {
        let mut project = demo();
        project.drive.as_mut().expect("the demo has a drive").strap_limit = Some(1.0);
        assert!(found(&project).iter().any(|stretch| stretch.rule == Rule::Starts && stretch.to > stretch.from));
        project.drive.as_mut().expect("the demo has a drive").strap_limit = None;
        assert!(!found(&project).iter().any(|stretch| stretch.rule == Rule::Starts));
    }

    #[test]
    fn every_failing_rule_with_a_pose_is_on_the_rail_and_no_other() {
        let mut project = demo();
        // A beam in the way, a weak motor, small bearings and stiff hinges.
        project.room.clearance = Some(400.0);
        project.panel.mass = 60.0;
        if let Some(drive) = &mut project.drive {
            drive.strap_limit = Some(20.0);
        }
        if let Some(joints) = &mut project.joints {
            joints.friction = Some(5.0);
            joints.bearing = Some(crate::BearingWanted::Designation("683".to_owned()));
        }
        let analysis = analyse(&project, &Options { poses: 61, swept: false });
        let found = failing_stretches(&project, &analysis);
        for finding in &analysis.rules {
            let told = found.iter().any(|stretch| stretch.rule == finding.rule);
            let fails = finding.holds == Some(false);
            assert!(told <= fails, "{:?} holds and is told as failing", finding.rule);
            assert!(!fails || finding.s.is_none() || told, "{:?} fails and is not on the rail", finding.rule);
            if let Some(s) = finding.s.filter(|_| fails) {
                let covers = |stretch: &&FailingStretch| (stretch.from..=stretch.to).contains(&s.clamp(0.0, 1.0));
                assert!(found.iter().filter(|st| st.rule == finding.rule).any(|st| covers(&st)), "{:?}", finding.rule);
            }
        }
        assert!(found.len() > 2, "{found:?}");
    }
}
