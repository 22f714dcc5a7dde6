//! The screws of one wall bar over the whole travel: what each may carry and which is worst off.

use crate::analysis::Analysis;
use crate::masses::GRAVITY;
use crate::materials::{DEFAULT, Material};
use crate::project::{Build, MaterialWanted, Project};
use crate::screw_group::{HingeLoad, ScrewLoad, ScrewedBar};
use crate::screw_joint::{Holding, WoodJoint};
use crate::statics::ForcesAt;

/// The screws of the more loaded set's wall bar.
#[derive(Clone, Debug, PartialEq)]
pub struct FixingLoads {
    /// Where they are.
    pub group: ScrewedBar,
    /// One of them in its wood.
    pub joint: WoodJoint,
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
            ScrewedBar::new(fixings, bar.least.y, bar.most.y, whole_depth(project)).map_err(|no| no.sentence())?;
        let material = Material::wanted(stock.material.as_ref()).ok_or_else(|| {
            let name = stock.material.as_ref().map_or(DEFAULT, MaterialWanted::name);
            format!("The wall bar is of \"{name}\", whose strength is not known: give a material listed.")
        })?;
        let joint = WoodJoint::of(fixings, &material, stock.width).map_err(|no| no.sentence())?;
        let holding = joint.holding().map_err(|refused| refused.sentence())?;
        let mut found = Self { group, joint, holding, worst: None, most_pull: None };
        found.search(project, analysis)?;
        Ok(found)
    }

    fn search(&mut self, project: &Project, analysis: &Analysis) -> Result<(), String> {
        let Ok(forces) = &analysis.forces else { return Ok(()) };
        let loads = |found: &ForcesAt| Some(hinge_loads(project, analysis, found.on_wall?));
        for (found, figures) in forces.poses.iter().zip(&analysis.poses) {
            let Some(loads) = found.as_ref().and_then(loads) else { continue };
            let (_, screws) = self.group.share(&loads).map_err(|wrong| wrong.sentence())?;
            let s = figures.pose.s;
            for load in screws {
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

/// Depth of the wall bar that is whole, mm: lapped, the inner half.
fn whole_depth(project: &Project) -> f64 {
    let depth = project.bars.wall_bar.depth;
    if project.bars.build == Build::Lapped { 0.5 * depth } else { depth }
}

/// What the two hinges and the wall bar's own weight do to it, the more loaded set. Screws and hinges
/// both stand in the middle of the depth that is whole.
fn hinge_loads(project: &Project, analysis: &Analysis, on_wall: [nalgebra::Vector2<f64>; 2]) -> [HingeLoad; 3] {
    let pivots = [analysis.lift.wall_lower, analysis.lift.wall_upper];
    let [lower, upper] = [0, 1].map(|hinge| HingeLoad {
        out: on_wall[hinge].x,
        down: -on_wall[hinge].y,
        sideways: 0.0,
        stand_off: pivots[hinge].x,
        height: pivots[hinge].y,
        beside: 0.0,
    });
    let bar = analysis.forces.as_ref().map_or(0.0, |forces| forces.loads.masses.bars[0].mass);
    let middle = analysis.lift.wall_bar.middle();
    // The rest of the depth lies beside the screws: at most half of what is not whole.
    let beside = 0.5 * (project.bars.wall_bar.depth - whole_depth(project));
    let weight =
        HingeLoad { out: 0.0, down: bar * GRAVITY, sideways: 0.0, stand_off: middle.x, height: middle.y, beside };
    [lower, upper, weight]
}
