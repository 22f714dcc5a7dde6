//! The screws of one wall bar over the whole travel: what each may carry and which is
//! worst off, 50 N sideways on the panel included.

use crate::along_wall::screwed_range;
use crate::analysis::Analysis;
use crate::lift::ArmName;
use crate::masses::GRAVITY;
use crate::materials::{DEFAULT, Material};
use crate::net_sections::load_plane;
use crate::pose::Pose;
use crate::project::{MaterialWanted, PartName, Project};
use crate::screw_group::{EitherWay, HingeLoad, ScrewLoad, ScrewedBar};
use crate::screw_joint::{Holding, WoodJoint};
use crate::sideways::Sideways;

/// The screws of the more loaded set's wall bar.
#[derive(Clone, Debug, PartialEq)]
pub struct FixingLoads {
    /// Where they are.
    pub group: ScrewedBar,
    /// One of them in its wood; `None` in a solid wall.
    pub joint: Option<WoodJoint>,
    /// What it may carry.
    pub holding: Holding,
    /// The screw and pose with the least safety; `None` where the loads are not known or nothing pulls.
    pub worst: Option<WorstScrew>,
    /// The greatest pull-out of any screw over the travel, N, and where on the travel.
    pub most_pull: Option<(f64, f64)>,
}

/// The screw and pose with the least safety.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorstScrew {
    /// What it carries.
    pub load: ScrewLoad,
    /// Where on the travel.
    pub s: f64,
    /// What it may carry in that direction over what it carries; 1 is enough by the book.
    pub safety: f64,
}

impl FixingLoads {
    /// The screws of a project.
    ///
    /// # Errors
    /// A sentence: what is missing or cannot be.
    pub fn new(project: &Project, analysis: &Analysis) -> Result<Self, String> {
        let fixings = project
            .fixings
            .as_ref()
            .ok_or("No screws are given: add fixings with count, diameter, thread_length and wood_gravity.")?;
        let bar = &analysis.lift.wall_bar;
        let stock = &project.bars.wall_bar;
        let group =
            ScrewedBar::new(fixings, bar.least.y, bar.most.y, screwed_range(project)[1] - screwed_range(project)[0])
                .map_err(|no| no.sentence())?;
        let material = Material::wanted(stock.material.as_ref()).ok_or_else(|| {
            let name = stock.material.as_ref().map_or(DEFAULT, MaterialWanted::name);
            format!("The wall bar is of \"{name}\", whose strength is not known: give a material listed.")
        })?;
        let holding = Holding::of(fixings, &material, stock.width).map_err(|no| no.sentence())?;
        let joint = match holding {
            Holding::Wood { .. } => WoodJoint::of(fixings, &material, stock.width).ok(),
            Holding::Anchor { .. } => None,
        };
        let mut found = Self { group, joint, holding, worst: None, most_pull: None };
        found.search(project, analysis)?;
        Ok(found)
    }

    fn search(&mut self, project: &Project, analysis: &Analysis) -> Result<(), String> {
        let Ok(forces) = &analysis.forces else { return Ok(()) };
        let push = Sideways::new(project, &analysis.lift);
        let mut screws = Vec::with_capacity(self.group.screws.len());
        for (found, figures) in forces.poses.iter().zip(&analysis.poses) {
            let Some(on_wall) = found.as_ref().and_then(|found| found.on_wall) else { continue };
            let loads = hinge_loads(project, analysis, on_wall);
            let also = pushed(analysis, &push, &self.group, &figures.pose);
            self.group.share_into(&loads, &also, &mut screws).map_err(|wrong| wrong.sentence())?;
            let s = figures.pose.s;
            for &load in &screws {
                if self.most_pull.is_none_or(|(most, _)| load.tension > most) {
                    self.most_pull = Some((load.tension, s));
                }
                let safety = self.holding.safety(load.tension, load.shear).filter(|safety| safety.is_finite());
                if let Some(safety) = safety
                    && self.worst.is_none_or(|worst| safety < worst.safety)
                {
                    self.worst = Some(WorstScrew { load, s, safety });
                }
            }
        }
        Ok(())
    }
}

/// What the two hinges and the wall bar's own weight do to it, the more loaded set.
pub(crate) fn hinge_loads(
    project: &Project,
    analysis: &Analysis,
    on_wall: [nalgebra::Vector2<f64>; 2],
) -> [HingeLoad; 3] {
    let [near, far] = screwed_range(project);
    let screws = 0.5 * (near + far);
    let pivots = [analysis.lift.wall_lower, analysis.lift.wall_upper];
    let arms = [PartName::LowerArm, PartName::UpperArm];
    let [lower, upper] = [0, 1].map(|hinge| HingeLoad {
        out: on_wall[hinge].x,
        down: -on_wall[hinge].y,
        sideways: 0.0,
        stand_off: pivots[hinge].x,
        height: pivots[hinge].y,
        beside: load_plane(project, PartName::WallBar, arms[hinge]) - screws,
    });
    let bar = analysis.forces.as_ref().map_or(0.0, |forces| forces.loads.masses.bars[0].mass);
    let middle = analysis.lift.wall_bar.middle();
    // The rest of the depth lies beside the screws: at most half of what is not whole.
    let beside = 0.5 * (project.bars.wall_bar.depth - (far - near));
    let weight =
        HingeLoad { out: 0.0, down: bar * GRAVITY, sideways: 0.0, stand_off: middle.x, height: middle.y, beside };
    [lower, upper, weight]
}

/// What 50 N sideways on the panel do to the wall bar: forces at its hinges, and the moments in them,
/// each square to its arm.
fn pushed(analysis: &Analysis, push: &Sideways, group: &ScrewedBar, pose: &Pose) -> EitherWay {
    let lift = &analysis.lift;
    let mut also = EitherWay::default();
    for (index, arm) in ArmName::BOTH.into_iter().enumerate() {
        let (pivot, force, moment) = (lift.wall_pivot(arm), push.force[index], push.moment[index]);
        let [from, to] = lift.arm_axis(arm, pose);
        let unit = (to - from) / lift.arm_length(arm).max(f64::MIN_POSITIVE);
        also.sideways += force;
        also.aslant += force * pivot.x + moment * unit.x.abs();
        also.turning += force * (pivot.y - group.middle()).abs() + moment * unit.y.abs();
    }
    also
}
