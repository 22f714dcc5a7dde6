//! Forces as arrows at a pose: weights, the strap's pull, what the arms do to their bars.

use nalgebra::Vector2;

use crate::analysis::Analysis;
use crate::free_body::{Actions, Wrench};
use crate::masses::GRAVITY;
use crate::pose::Pose;
use crate::project::{PartName, Point, Project};
use crate::statics::HINGES;

/// What an arrow is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ArrowOf {
    /// Weight of the panel, or of both bars of a name.
    Weight(PartName),
    /// Pull of the strap on the panel, the whole lift.
    StrapPull,
    /// Force of an arm on its bar at a hinge of [`HINGES`], the more loaded set.
    Hinge(usize),
}

impl ArrowOf {
    /// Beside its figure.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::Weight(PartName::Panel) => "weight of the panel".to_owned(),
            Self::Weight(part) => format!("weight of both {}s", part.words()),
            Self::StrapPull => "strap pull".to_owned(),
            Self::Hinge(hinge) => {
                let [bar, arm] = HINGES[hinge].map(PartName::words);
                format!("{arm} on {bar}")
            }
        }
    }
}

/// A force and where it acts, side view.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ForceArrow {
    /// What it is of.
    pub of: ArrowOf,
    /// Where it acts, mm.
    pub at: Point,
    /// N.
    pub force: Vector2<f64>,
}

impl ForceArrow {
    /// Every force of a lift while it rises through a pose: weights always, pull and hinge loads where
    /// the strap pulls. Empty where the masses are not known.
    #[must_use]
    pub fn every(project: &Project, analysis: &Analysis, pose: &Pose) -> Vec<Self> {
        let Ok(forces) = &analysis.forces else { return Vec::new() };
        let (lift, loads) = (&analysis.lift, &forces.loads);
        let down = |mass: f64| Vector2::new(0.0, -mass * GRAVITY);
        let masses = &loads.masses;
        let mut arrows = vec![Self {
            of: ArrowOf::Weight(PartName::Panel),
            at: pose.room_from_panel * masses.panel_centre,
            force: down(masses.panel),
        }];
        // The wall bar does not move: the screws carry its weight.
        arrows.extend(masses.bars[1..].iter().map(|bar| Self {
            of: ArrowOf::Weight(bar.bar),
            at: lift.room_from_bar(pose, bar.bar) * bar.centre,
            force: down(2.0 * bar.mass),
        }));
        let pulled = || {
            let run = analysis.strap.as_ref()?.at(pose)?;
            let anchor = project.drive.as_ref()?.anchor;
            let found = loads.at(lift, &analysis.travel, &run, anchor, pose);
            let tension = found.tension.filter(|_| found.strap_rate > 0.0)?;
            let pull = Wrench::at(run.along, run.anchor, pose.panel_lower);
            let rates = lift.rates(pose.phase).walked(analysis.travel.direction);
            let balance = loads.with_friction(lift, pose, &rates, &Actions { panel: pull, ..Actions::default() })?;
            Some((run, tension, balance))
        };
        if let Some((run, tension, balance)) = pulled() {
            arrows.push(Self { of: ArrowOf::StrapPull, at: run.anchor, force: tension * run.along });
            let hinges = [
                (lift.wall_lower, balance.wall_lower),
                (lift.wall_upper, balance.wall_upper),
                (pose.panel_lower, balance.panel_lower),
                (pose.panel_upper, balance.panel_upper),
            ];
            // The balance has what the bars do to the arms, of both sets.
            arrows.extend(hinges.into_iter().enumerate().map(|(hinge, (at, force))| Self {
                of: ArrowOf::Hinge(hinge),
                at,
                force: -masses.share * force,
            }));
        }
        arrows
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Options, analyse};

    fn board() -> (Project, Analysis) {
        let project = crate::samples::complete_board();
        let analysis = analyse(&project, &Options { poses: 21, swept: false });
        (project, analysis)
    }

    #[test]
    fn what_acts_on_panel_and_its_bars_adds_up_to_nothing() {
        let (project, analysis) = board();
        for figures in &analysis.poses {
            let arrows = ForceArrow::every(&project, &analysis, &figures.pose);
            let share = analysis.forces.as_ref().expect("known masses").loads.masses.share;
            let on_panel = |arrow: &ForceArrow| match arrow.of {
                ArrowOf::Weight(PartName::Panel | PartName::PanelBar) | ArrowOf::StrapPull => arrow.force,
                // Of one set; the whole lift's is that over its share.
                ArrowOf::Hinge(2 | 3) => arrow.force / share,
                _ => Vector2::zeros(),
            };
            let sum: Vector2<f64> = arrows.iter().map(on_panel).sum();
            assert!(sum.norm() < 1e-9 * 157.0, "{sum} at {}", figures.pose.s);
        }
    }

    #[test]
    fn lengths_are_the_loads_that_are_reported() {
        let (project, analysis) = board();
        let forces = analysis.forces.as_ref().expect("known masses");
        for (figures, known) in analysis.poses.iter().zip(&forces.poses) {
            let known = known.expect("a straight run");
            let arrows = ForceArrow::every(&project, &analysis, &figures.pose);
            let size = |of: ArrowOf| arrows.iter().find(|arrow| arrow.of == of).expect("an arrow").force.norm();
            assert!((size(ArrowOf::StrapPull) - known.tension.expect("it pulls")).abs() < 1e-9);
            for (hinge, load) in known.hinges.expect("loads").into_iter().enumerate() {
                assert!((size(ArrowOf::Hinge(hinge)) - load).abs() < 1e-9 * load);
            }
        }
    }

    #[test]
    fn without_a_drive_there_are_weights_only() {
        let (mut project, _) = board();
        project.drive = None;
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let arrows = ForceArrow::every(&project, &analysis, &analysis.poses[0].pose);
        assert_eq!(arrows.len(), 4);
        assert!(arrows.iter().all(|arrow| matches!(arrow.of, ArrowOf::Weight(_)) && arrow.force.y < 0.0));
    }
}
