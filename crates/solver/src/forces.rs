//! Forces of a lift over its travel: strap and hinges at every reported pose, the worst pull, the
//! way down, the rests.

use crate::fall::Fall;
use crate::kick_device::KickDevice;
use crate::lift::Lift;
use crate::masses::{Masses, UnknownMaterial};
use crate::peak::greatest;
use crate::pose::Pose;
use crate::project::{Point, Project};
use crate::solids::Solids;
use crate::stall::Stall;
use crate::start::Start;
use crate::statics::{ForcesAt, Loads};
use crate::stop::Stop;
use crate::strap::Strap;
use crate::travel::Travel;

/// What is known of a lift's forces.
#[derive(Clone, Debug)]
pub struct Forces {
    /// Weights and friction.
    pub loads: Loads,
    /// Strap and hinges at every reported pose; `None` there without a drive or a straight run.
    pub poses: Vec<Option<ForcesAt>>,
    /// How the strap starts it; `None` without a drive or a straight run.
    pub start: Option<Start>,
    /// How firmly it rests on the wall, in the order of the project's rests.
    pub rests: [Rest; 2],
    /// What would push it off the wall; `None` where the push is not known.
    pub kick: Option<KickDevice>,
    /// With the motor stalled at the stop; `None` where motor or stop are not known.
    pub stall: Option<Stall>,
    /// What arrives at hung where the strap parts at parked; `None` where parked is no higher.
    pub fall: Option<Fall>,
    /// Least weight over friction on the way down; `None` where nothing moves.
    pub coming_down: Option<LeastOnTheWay>,
}

/// One of the panel's rests on the wall, taken alone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rest {
    /// Height on the panel's back, mm.
    pub height: f64,
    /// Force on the wall that keeps the lift from rising, N, without any spring; `None` where the
    /// rest does not leave the wall as the lift rises.
    pub force: Option<f64>,
}

/// The pose on the way down at which friction is nearest to holding the lift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeastOnTheWay {
    /// Weight's rate over friction's; infinite without friction, negative where the weight does not
    /// bring it down.
    pub ratio: f64,
    /// Where on the travel.
    pub s: f64,
}

impl Forces {
    /// The forces of a project at the poses given.
    ///
    /// # Errors
    /// A bar's mass is not known.
    pub fn new(
        project: &Project,
        lift: &Lift,
        travel: &Travel,
        solids: &Solids,
        stop: &Stop,
        strap: Option<&Strap>,
        poses: impl Iterator<Item = Pose>,
    ) -> Result<Self, UnknownMaterial> {
        let loads = Loads::new(project, Masses::new(project, lift, solids)?);
        let anchor = project.drive.as_ref().map_or_else(Point::origin, |drive| drive.anchor);
        let at = |pose: Pose| {
            let run = strap?.at(&pose)?;
            Some(loads.at(lift, travel, &run, anchor, &pose))
        };
        let figures = poses.map(at).collect();
        let start = strap.and_then(|strap| Start::new(project, lift, travel, strap, &loads));
        let rests = rests(project, lift, travel, &loads);
        let kick = start.as_ref().and_then(|start| KickDevice::new(start, &rests));
        let coming_down = coming_down(lift, travel, &loads);
        let stall = strap.and_then(|strap| Stall::new(project, lift, travel, stop, strap, &loads));
        let height = |s: f64| loads.potential(lift, &travel.pose_at(lift, s));
        let fall = Fall::of_energy(1e-3 * (height(1.0) - height(0.0)), loads.masses.moving());
        Ok(Self { loads, poses: figures, start, rests, kick, stall, fall, coming_down })
    }
}

/// Each rest taken alone: the rate of rise of the weight over the rate at which its tip leaves the
/// wall.
fn rests(project: &Project, lift: &Lift, travel: &Travel, loads: &Loads) -> [Rest; 2] {
    let pose = lift.pose(travel.phase(0.0), 0.0);
    let rates = lift.rates(pose.phase).walked(travel.direction);
    let rise = loads.rise(lift, &pose, &rates);
    project.panel.rests().map(|height| {
        let leaves = pose.panel_point_rate(Point::new(-lift.standoff, height), &rates).x;
        Rest { height, force: (leaves > 0.0).then(|| rise / leaves) }
    })
}

fn coming_down(lift: &Lift, travel: &Travel, loads: &Loads) -> Option<LeastOnTheWay> {
    if travel.length <= 0.0 {
        return None;
    }
    let ratio = |walked: f64| {
        let pose = lift.pose(travel.phase(walked), 0.0);
        let found = loads.coming_down(lift, travel, &pose)?;
        Some(if found.friction > 0.0 { found.weight / found.friction } else { f64::INFINITY * found.weight.signum() })
    };
    let (walked, least) = greatest(&travel.stretch(lift), 0.0, |walked| ratio(walked).map(|ratio| -ratio))?;
    Some(LeastOnTheWay { ratio: -least, s: travel.s_at(lift, walked) })
}
