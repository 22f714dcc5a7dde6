//! The worst section and pose of each bar: every pose counts, but those are passed over that a bound
//! on how fast a stress can change shows to be no worse than what is known.
//!
//! Stresses are linear in what acts at a bar's pivots. So between two poses no stress of a bar changes
//! by more than the change of each action times the largest stress that a unit of it makes anywhere.

use super::{Acting, BarStrength, Beam, Case, Ends, Loads, PinStress, WorstPress, WorstSection, material_of};
use crate::materials::Material;
use crate::net_sections::NetSection;
use crate::project::{MaterialWanted, PartName, Project};

/// Nearer to buckling than this share, bowing is no longer told by the formula: buckling fails long
/// before.
const MOST_OF_CRITICAL: f64 = 0.9;
/// Poses that are looked at in any case: every so many-th. What lies between is near one of them.
const STRIDE: usize = 16;
/// Rounding of sums of some dozen terms, over what they add up to.
const ROUNDING: f64 = 1e-9;

/// Pull and bending in and out of the side view at a section: balance of all that lies before it.
pub(super) fn at_section(section: &NetSection, acting: &Loads) -> [f64; 3] {
    let [across, deep] = section.section.centre;
    let (mut axial, mut in_view, mut out) = (0.0, 0.0, 0.0);
    for load in acting.loads[..acting.count].iter().filter(|load| load.along < section.along) {
        let before = load.along - section.along;
        axial -= load.pull;
        in_view += before * load.push - (load.across - across) * load.pull;
        out += before * load.aside - (load.deep - deep) * load.pull;
    }
    // The weight acts evenly along the axis, from 0 on.
    let so_far = section.along.max(0.0);
    let weight = acting.weight;
    axial -= weight[0] * so_far;
    in_view += -0.5 * so_far * so_far * weight[1] + across * weight[0] * so_far;
    [axial, in_view, out]
}

/// What is worst so far; bars in the order of [`super::Strength::bars`].
#[derive(Default)]
pub(super) struct Worst {
    sections: [Option<WorstSection>; 4],
    presses: [Option<WorstPress>; 4],
    pub(super) pin: Option<PinStress>,
}

impl Worst {
    /// Looks at every section under a case; the largest stress there without bowing, MPa.
    pub(super) fn look(&mut self, index: usize, beam: &Beam, acting: &Loads, case: &Case) -> f64 {
        let stalled = case.stop.is_some();
        let pressed = pressed(beam, acting.loads[0].pull, acting.loads[1].pull);
        self.press(index, beam, pressed, case);
        let bows = bows(beam, pressed);
        let mut most = self.sections[index].map_or(0.0, |known| known.stress);
        let mut straight = 0.0_f64;
        for (section, sideways) in beam.sections.sections.iter().zip(&beam.sideways) {
            let sideways = if stalled { 0.0 } else { *sideways };
            let [axial, in_view, offset] = at_section(section, acting);
            let unbowed = section.largest_stress(axial, in_view, offset, sideways);
            straight = straight.max(unbowed);
            let stress = bows * unbowed;
            if stress > most {
                most = stress;
                self.sections[index] = Some(WorstSection {
                    along: section.along - beam.ends.low(),
                    centre: beam.place(section),
                    s: case.pose.s,
                    stalled,
                    axial,
                    in_view,
                    offset,
                    sideways,
                    area: section.section.area,
                    stress,
                    safety: beam.yield_strength.map(|strength| strength / stress),
                });
            }
        }
        straight
    }

    /// Looks at the poses of a travel, `acting` what each puts on the bar; at every one that could be
    /// worse than what is known.
    pub(super) fn search(&mut self, index: usize, beam: &Beam, cases: &[Case], acting: &[Acting]) {
        let steepest = steepest(beam);
        let look = |worst: &mut Self, at: usize| worst.look(index, beam, &beam.ends.loads_of(&acting[at]), &cases[at]);
        let Some(last) = cases.len().checked_sub(1) else { return };
        // First those in any case, for something to compare with; then what lies between them.
        let mut anchors = Vec::with_capacity(last / STRIDE + 2);
        for at in (0..last).step_by(STRIDE).chain([last]) {
            anchors.push((at, look(self, at)));
        }
        for pair in anchors.windows(2) {
            let [mut before, after] = [pair[0], pair[1]];
            for at in before.0 + 1..after.0 {
                let pressed = pressed(beam, acting[at].0[0], acting[at].0[2]);
                self.press(index, beam, pressed, &cases[at]);
                let bound = |(near, stress): (usize, f64)| stress + change(&acting[near], &acting[at], &steepest);
                let at_most = bound(before).min(bound(after)) * bows(beam, pressed);
                let known = self.sections[index].map_or(0.0, |known| known.stress);
                if at_most * (1.0 + ROUNDING) > known {
                    before = (at, look(self, at));
                }
            }
        }
    }

    fn press(&mut self, index: usize, beam: &Beam, pressed: f64, case: &Case) {
        let Some(buckling) = beam.buckling.filter(|_| pressed > 0.0) else { return };
        if self.presses[index].is_none_or(|known| pressed > known.force) {
            self.presses[index] = Some(WorstPress {
                force: pressed,
                critical: buckling.critical,
                slenderness: buckling.slenderness,
                s: case.pose.s,
                stalled: case.stop.is_some(),
                safety: buckling.critical / pressed,
            });
        }
    }

    /// What was found of a bar.
    pub(super) fn of(&self, project: &Project, beam: &Beam) -> BarStrength {
        let index =
            [PartName::WallBar, PartName::PanelBar, PartName::LowerArm].iter().position(|name| *name == beam.bar);
        let index = index.unwrap_or(3);
        let wanted = material_of(project, beam.bar);
        let severed = beam.sections.severed.map(|along| along - beam.ends.low());
        BarStrength {
            bar: beam.bar,
            material: wanted.map_or(crate::materials::DEFAULT, MaterialWanted::name).to_owned(),
            known: Material::wanted(wanted),
            severed,
            worst: if severed.is_some() { None } else { self.sections[index] },
            buckling: self.presses[index],
        }
    }
}

/// What presses an arm: at its wall end or its panel end, whichever is more, N.
fn pressed(beam: &Beam, wall_pull: f64, panel_pull: f64) -> f64 {
    match &beam.ends {
        Ends::Arm { .. } => wall_pull.max(-panel_pull).max(0.0),
        Ends::Face { .. } => 0.0,
    }
}

/// How many times its stress an arm that is pressed has for bowing.
fn bows(beam: &Beam, pressed: f64) -> f64 {
    let critical = beam.buckling.filter(|_| pressed > 0.0).map(|buckling| buckling.critical);
    critical.map_or(1.0, |critical| 1.0 / (1.0 - (pressed / critical).min(MOST_OF_CRITICAL)))
}

/// The largest stress that a unit of each action makes in any section.
fn steepest(beam: &Beam) -> [f64; 6] {
    std::array::from_fn(|action| {
        let mut unit = Acting([0.0; 6]);
        unit.0[action] = 1.0;
        let loads = beam.ends.loads_of(&unit);
        let stress = |section: &NetSection| {
            let [axial, in_view, offset] = at_section(section, &loads);
            section.largest_stress(axial, in_view, offset, 0.0)
        };
        beam.sections.sections.iter().map(stress).fold(0.0, f64::max)
    })
}

/// By how much the largest stress differs at most between two poses.
fn change(one: &Acting, other: &Acting, steepest: &[f64; 6]) -> f64 {
    one.0.iter().zip(&other.0).zip(steepest).map(|((one, other), steepest)| (one - other).abs() * steepest).sum()
}

#[cfg(test)]
mod tests {
    use crate::strength::Strength;
    use crate::{Options, analyse};

    /// Passing over poses changes nothing: the same worst ones as when every single pose is looked at.
    #[test]
    fn what_is_passed_over_is_no_worse() {
        let complete = crate::samples::complete_board();
        let mut idle = complete.clone();
        idle.drive.as_mut().expect("a drive").motor = None;
        let mut heavy = idle.clone();
        (heavy.panel.mass, heavy.panel.centre_of_mass_z) = (50.0, Some(150.0));
        for (which, project) in [complete, idle, heavy].into_iter().enumerate() {
            for poses in [2, 3, 17, 18, 61] {
                let analysis = analyse(&project, &Options { poses, swept: false });
                let forces = analysis.forces.as_ref().expect("known materials");
                // One pose alone has no neighbour to be passed over by.
                let alone = forces.poses.iter().zip(&analysis.poses).map(|(at, figures)| {
                    let mut alone = forces.clone();
                    alone.poses = vec![*at];
                    let one = std::slice::from_ref(figures);
                    Strength::new(&project, &analysis.lift, &analysis.solids, &analysis.stop, &alone, one)
                });
                let alone: Vec<Strength> = alone.collect();
                let found = analysis.strength.as_ref().expect("known materials");
                for (index, bar) in found.bars.iter().enumerate() {
                    let each = || alone.iter().map(|one| &one.bars[index]);
                    let stress = each().filter_map(|bar| bar.worst).map(|worst| worst.stress).fold(0.0, f64::max);
                    let press = each().filter_map(|bar| bar.buckling).map(|press| press.force).fold(0.0, f64::max);
                    let worst = bar.worst.expect("loads");
                    let pressed = bar.buckling.map_or(0.0, |press| press.force);
                    let words = format!("{which}: {poses} poses, {:?}", bar.bar);
                    assert!(worst.stress > 0.0 && (worst.stress - stress).abs() <= 1e-9 * stress, "{words}");
                    assert!((pressed - press).abs() <= 1e-9 * press, "{words}");
                }
            }
        }
    }
}
