//! Limits as lines across a plot, each with its name.

use overarm_solver::units::number;
use overarm_solver::{Analysis, Bearing, Gear, Project, show_length};

use crate::session::Plotted;

/// A limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// In the unit of the curves that it limits: mm, N or N·m.
    pub value: f64,
    /// Beside its line, with its figure.
    pub name: String,
}

impl Limit {
    /// Those of a plot, as far as the project gives them.
    #[must_use]
    pub fn of(plotted: Plotted, project: &Project, analysis: &Analysis) -> Vec<Self> {
        match plotted {
            Plotted::Motion => {
                let wanted = project.room.wanted_clearance();
                let name = format!("{} wanted", show_length(wanted, project.units()));
                vec![Self { value: wanted, name }]
            }
            Plotted::Pull => pull(project, analysis),
            Plotted::DrumTorque => torque(project).into_iter().collect(),
            Plotted::Hinges => hinges(project).into_iter().collect(),
        }
    }
}

fn pull(project: &Project, analysis: &Analysis) -> Vec<Limit> {
    let mut found = Vec::new();
    if let Some(limit) = project.drive.as_ref().and_then(|drive| drive.strap_limit) {
        found.push(Limit { value: limit, name: format!("strap may carry {} N", number(limit, 0)) });
    }
    if let Some(stall) = analysis.forces.as_ref().ok().and_then(|forces| forces.stall) {
        let name = format!("stalled motor pulls {} N", number(stall.strap, 0));
        found.push(Limit { value: stall.strap, name });
    }
    found
}

fn torque(project: &Project) -> Option<Limit> {
    let motor = project.drive.as_ref()?.motor.as_ref()?;
    let value = Gear::of(motor).ok()?.drum_torque(motor.torque?);
    Some(Limit { value, name: format!("motor gives {} N·m", number(value, 2)) })
}

fn hinges(project: &Project) -> Option<Limit> {
    let joints = project.joints.as_ref()?;
    let rating = Bearing::wanted(joints.bearing.as_ref()?)?.static_n?;
    let each = f64::from(joints.per_hinge.unwrap_or(1).max(1));
    let wanted = project.safeties().bearings;
    let value = each * rating / wanted;
    let name = format!("bearings, safety {wanted}: {} N", number(value, 0));
    Some(Limit { value, name })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;
    use overarm_solver::{Options, analyse};

    #[test]
    fn what_is_not_given_limits_nothing() {
        let mut project = demo();
        let limits = |project: &Project, plotted| {
            let analysis = analyse(project, &Options { poses: 2, swept: false });
            Limit::of(plotted, project, &analysis)
        };
        assert_eq!(limits(&project, Plotted::Pull).len(), 2);
        assert_eq!(limits(&project, Plotted::Pull)[0].name, "strap may carry 450 N");
        // By hand: 0.35 N·m × 60 × 0.45.
        assert!((limits(&project, Plotted::DrumTorque)[0].value - 9.45).abs() < 1e-9);
        if let Some(drive) = &mut project.drive {
            drive.strap_limit = None;
            drive.motor = None;
        }
        project.joints = None;
        for plotted in [Plotted::Pull, Plotted::DrumTorque, Plotted::Hinges] {
            assert!(limits(&project, plotted).is_empty(), "{plotted:?}");
        }
    }
}
