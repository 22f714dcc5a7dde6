//! `pair_runs_free`: left and right sets on one panel do not bind, for all but a small share of the
//! pairs that the tolerances allow, or as measured.

use super::{Rule, RuleFinding, percent};
use crate::analysis::Analysis;
use crate::errors::{BuiltFigures, Limit, NoPair, PairFigures, PartErrors};
use crate::project::Project;
use crate::units::{number, show_fine};

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let unknown = |text: &str| RuleFinding::unknown(Rule::PairRunsFree).saying(text);
    let Some(errors) = &analysis.errors else {
        return unknown("Not yet worked out: errors of parts have to be drawn for it.");
    };
    if let Some(missing) = errors.no_pair {
        return unknown(match missing {
            NoPair::Tolerances => {
                "How exact the parts are is not given: add the tolerances of centre distances and pivot offsets (tolerances.length, tolerances.offset)."
            }
            NoPair::Bearing => "No bearing is given (joints.bearing), so it is not known what force binds.",
            NoPair::Masses => "A bar's mass is not known: give its mass, or one of the materials listed.",
            NoPair::Motion => "The lift does not move, or all its pivots are in line somewhere.",
        });
    }
    let Some(pair) = &errors.pair else {
        return unknown(
            "How exact the parts are is not given: add the tolerances of centre distances and pivot offsets (tolerances.length, tolerances.offset).",
        );
    };
    let s = errors.as_built.as_ref().and_then(|built| built.pair).map(|pair| pair.s);
    let s = pair.worst_s.or(s).unwrap_or_else(|| tightest(pair));
    let pose = analysis.pose_at(s);
    let share = &pair.failing;
    RuleFinding::with_margin(Rule::PairRunsFree, project.allowed_share() - share.share, "")
        .near(share.interval[1] > project.allowed_share())
        .at(s, "arms", &[pose.panel_lower, pose.panel_upper])
        .saying(text(project, errors, pair))
}

/// Where the least force is left over.
fn tightest(pair: &PairFigures) -> f64 {
    let left = |at: &&crate::errors::PairAt| at.allowed_force.map_or(f64::INFINITY, |allowed| allowed - at.force);
    pair.poses.iter().min_by(|a, b| left(a).total_cmp(&left(b))).map_or(0.0, |at| at.s)
}

fn text(project: &Project, errors: &PartErrors, pair: &PairFigures) -> String {
    if let Some(room) = &pair.no_room {
        return format!("No pair runs free, however exact its parts: {}", room.words());
    }
    let share = |value: f64| number(100.0 * value, if value < 0.1 { 2 } else { 1 });
    let [least, most] = pair.failing.interval;
    let spread = errors.draws.spread.words();
    let is_measured = project.tolerances.as_ref().is_some_and(|given| given.as_built.is_some());
    let with = if is_measured { " with the parts as measured" } else { "" };
    if pair.is_one_pair {
        // Nothing is left to draw: no statistics.
        return match &errors.as_built {
            Some(built) => built_text(project, built).trim_start().to_owned(),
            None => {
                let verdict = if pair.failing.hits == 0 { "runs free" } else { "does not run free" };
                let how = if is_measured { "As measured, mounted" } else { "With all parts exactly as drawn," };
                format!("{how} plumb and level, the pair {verdict}.")
            }
        };
    }
    let verdict = if pair.failing.hits == 0 {
        format!(
            "All of {} pairs drawn{with}{spread} run free (95 % interval of those that do not: up to {} %, after Wilson)",
            pair.failing.of,
            number(100.0 * most, 3)
        )
    } else {
        format!(
            "Of {} pairs drawn{with}{spread} {} % do not run free (95 % interval {} to {} %, after Wilson); {} % are allowed",
            pair.failing.of,
            share(pair.failing.share),
            share(least),
            share(most),
            share(project.allowed_share()),
        )
    };
    let mut text = format!("{verdict}. 95 % load their arms by less than {} N", number(pair.force_p95, 0));
    text.push_str(&format!(
        " and twist the panel by less than {}. Play alone does not take up the misfit of {} %, which need not bind.",
        show_fine(pair.twist_p95, project.units()),
        share(pair.beyond_play.share)
    ));
    if project.joints.as_ref().and_then(|joints| joints.radial_play).is_none() {
        text.push_str(" The play of the bearings is not given (joints.radial_play), and none is counted on.");
    }
    text.push_str(&project.tolerances.as_ref().map_or_else(String::new, |given| given.taken_as_nothing(4)));
    if errors.one_set.as_ref().is_some_and(|one| !one.hung_gap.linear_trusted) {
        text.push_str(" The twist is by slopes, which cannot be trusted near hung: a dead point is too near.");
    }
    if let (Some(s), Some(limit)) = (pair.worst_s, pair.worst_limit) {
        text.push_str(&format!(
            " Most that fail do so at {} of the travel, where {}.",
            percent(s),
            match limit {
                Limit::Bearing => "a bearing would be overloaded",
                Limit::Friction => "friction would hold the lift up",
            }
        ));
    }
    if let Some(built) = &errors.as_built {
        text.push_str(&built_text(project, built));
    }
    // Parts that are cut are not drawn again: other tolerances make them no better.
    if pair.failing.share > project.allowed_share()
        && !is_measured
        && let Some(allocation) = &errors.allocation
    {
        if let Some(last) = &allocation.failing_second_bar_last
            && last.share < 0.5 * pair.failing.share
        {
            text.push_str(&format!(
                " Tightening the second wall bar last, after the lift has been up and down, leaves {}.",
                if last.hits == 0 { "none".to_owned() } else { format!("{} %", share(last.share)) }
            ));
        }
        if let Some(widest) = allocation.widest_for_pair.or(allocation.widest_second_bar_last) {
            text.push_str(&format!(" ±{} on every dimension would do", show_fine(widest, project.units())));
            text.push_str(if allocation.widest_for_pair.is_some() { "." } else { ", with the second bar last." });
        }
    }
    text
}

fn built_text(project: &Project, built: &BuiltFigures) -> String {
    let Some(pair) = &built.pair else { return String::new() };
    let verdict = if pair.runs_free() { "runs free" } else { "binds" };
    format!(
        " As measured, mounted plumb and level, it {verdict}: a misfit of {} at {} of the travel loads the arms by {} N.",
        show_fine(pair.misfit, project.units()),
        percent(pair.s),
        number(pair.force, 0)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::errors::Draws;
    use crate::{Options, analyse};

    fn complete() -> Project {
        crate::samples::complete_board()
    }

    fn found(project: &Project, count: u32) -> RuleFinding {
        let analysis = analyse(project, &Options { poses: 2, swept: false });
        let analysis = analysis.with_errors_drawn(project, &Draws { count, ..Draws::default() });
        analysis.rules.iter().find(|found| found.rule == Rule::PairRunsFree).expect("it is judged").clone()
    }

    #[test]
    fn not_worked_out_in_a_frame() {
        let analysis = analyse(&complete(), &Options { poses: 2, swept: false });
        let found = analysis.rules.iter().find(|found| found.rule == Rule::PairRunsFree).expect("it is there");
        assert!(found.holds.is_none() && found.text.contains("Not yet worked out"), "{}", found.text);
    }

    #[test]
    fn what_is_missing_is_named() {
        let mut project = complete();
        project.tolerances = None;
        assert!(found(&project, 100).text.contains("tolerances.length"));
        let mut project = complete();
        project.joints = None;
        assert!(found(&project, 100).text.contains("joints.bearing"));
    }

    /// Play that is not given is told, and none is counted on: the pair is judged as without any.
    #[test]
    fn play_that_is_not_given_is_told() {
        let mut project = complete();
        let told =
            |project: &Project| found(project, 500).text.contains("(joints.radial_play), and none is counted on");
        let play = |project: &mut Project, play| project.joints.get_or_insert_default().radial_play = play;
        play(&mut project, None);
        assert!(told(&project));
        let without = found(&project, 500).margin;
        play(&mut project, Some(0.0));
        assert!(!told(&project) && found(&project, 500).margin == without);
    }

    /// Within play, but a bearing is overloaded or friction holds the lift up without any misfit: it
    /// fails, and says of what and what would help.
    #[test]
    fn what_parts_as_drawn_do_not_do_no_pair_does() {
        let fine = |project: &mut Project| {
            let given = project.tolerances.get_or_insert_default();
            (given.length, given.offset) = (Some(0.005), Some(0.005));
            (given.parallel, given.level) = (Some(0.0), Some(0.0));
        };
        let mut project = complete();
        fine(&mut project);
        assert_eq!(found(&project, 500).holds, Some(true));
        project.joints.get_or_insert_default().friction = Some(0.5);
        let stiff = found(&project, 500);
        assert_eq!((stiff.holds, stiff.margin), (Some(false), Some(project.allowed_share() - 1.0)), "{}", stiff.text);
        assert!(stiff.text.contains("does not overcome friction at"), "{}", stiff.text);
        assert!(stiff.text.contains("Hinges with less friction help"), "{}", stiff.text);

        let mut project = complete();
        fine(&mut project);
        let bearing = r#"{"bore": 8, "outside": 22, "width": 7, "static_n": 300}"#;
        project.joints.get_or_insert_default().bearing = serde_json::from_str(bearing).expect("a bearing");
        let weak = found(&project, 500);
        assert_eq!((weak.holds, weak.margin), (Some(false), Some(project.allowed_share() - 1.0)), "{}", weak.text);
        assert!(weak.text.contains("the hinge of ") && weak.text.contains(" N more than the static"), "{}", weak.text);
        assert!(weak.text.contains("Larger bearings help, or two in each hinge"), "{}", weak.text);
        // Measured as drawn it binds as well.
        project.tolerances.get_or_insert_default().as_built = Some(crate::project::AsBuilt::default());
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let draws = Draws { count: 500, ..Draws::default() };
        let errors = PartErrors::new(&project, &analysis, &draws);
        let built = errors.as_built.expect("measured").pair.expect("all is given");
        assert!(!built.runs_free() && built.no_room.is_some() && built.used.is_none(), "{built:?}");
    }

    /// Measured without any tolerance: one pair, and no statistics are told of it.
    #[test]
    fn one_measured_pair_is_no_statistics() {
        let mut project = complete();
        let built = crate::project::AsBuilt::default();
        project.tolerances = Some(crate::project::Tolerances { as_built: Some(built), ..Default::default() });
        let judged = found(&project, 300);
        assert_eq!(judged.holds, Some(true));
        assert!(!judged.text.contains("pairs drawn") && !judged.text.contains("Wilson"), "{}", judged.text);
        assert!(judged.text.starts_with("As measured, mounted plumb and level, it runs free"), "{}", judged.text);
        // Plumb is left open: then they are many.
        project.tolerances.get_or_insert_default().parallel = Some(0.1);
        let judged = found(&project, 300);
        assert!(judged.text.starts_with("All of 300 pairs drawn with the parts as measured"), "{}", judged.text);
    }

    /// Wider tolerances fail more pairs, narrow ones none.
    #[test]
    fn fails_with_coarse_parts_only() {
        let mut project = complete();
        let with = |project: &mut Project, tolerance: f64| {
            let tolerances = project.tolerances.get_or_insert_default();
            (tolerances.length, tolerances.offset) = (Some(tolerance), Some(tolerance));
            (tolerances.parallel, tolerances.level) = (Some(0.0), Some(0.0));
            found(project, 2000)
        };
        let fine = with(&mut project, 0.001);
        assert_eq!(fine.holds, Some(true), "{}", fine.text);
        assert!((fine.margin.expect("a margin") - project.allowed_share()).abs() < 1e-12);
        let coarse = with(&mut project, 1.0);
        assert_eq!(coarse.holds, Some(false), "{}", coarse.text);
        assert!(coarse.text.contains("would do") && coarse.text.contains("of the travel"), "{}", coarse.text);
    }
}
