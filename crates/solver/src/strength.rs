//! Whether the bars hold: axial force and bending at every net section over the travel, with 50 N
//! sideways on the panel, and with the motor stalled at the stop.
//!
//! Static, on nominal stress of the net section ([`crate::section`]). An arm is held at its two
//! pivots and carries its own weight and, stalled, the stop's force. A wall bar is held by its
//! outermost screws, a panel bar at its ends (a default: nobody says where its screws are). A hinge's
//! load lies in the plane of its bearings: in the part that holds only the pin it bends by its
//! distance from that part's middle. An arm in compression bows: its stress is taken 1 / (1 − P/Pcr)
//! times. Shear and torsion are left out, and the weight of wall and panel bars: small beside these.
//! N, mm, N·mm, MPa.

use nalgebra::Vector2;

use crate::along_wall::{bar_range, layer_range};
use crate::analysis::PoseFigures;
use crate::buckling::{HINGED, Strut};
use crate::forces::Forces;
use crate::lift::{ArmName, Lift};
use crate::masses::GRAVITY;
use crate::materials::Material;
use crate::net_sections::{NetSection, NetSections, along_and_across, load_plane};
use crate::pose::Pose;
use crate::project::{MaterialWanted, PartName, Point, Project};
use crate::screw_group::ScrewedBar;
use crate::sideways::Sideways;
use crate::solids::{Layer, Solids};
use crate::statics::HINGES;
use crate::stop::Stop;
use crate::stop_pressure::StopPressure;

mod worst;

use worst::Worst;

/// At its very end a bar is cut or not, as rounding has it, mm.
const AT_END_MM: f64 = 0.01;

/// What is known of the bars' strength.
#[derive(Clone, Debug, PartialEq)]
pub struct Strength {
    /// Wall bar, panel bar, lower arm, upper arm.
    pub bars: [BarStrength; 4],
    /// At the stop, the motor stalled; `None` where that is not known.
    pub stop: Option<StopPressure>,
    /// Greatest bending stress in a hinge's pin, where a bearing is known.
    pub pin: Option<PinStress>,
}

/// One bar's strength.
#[derive(Clone, Debug, PartialEq)]
pub struct BarStrength {
    /// Which bar.
    pub bar: PartName,
    /// What the project calls its material.
    pub material: String,
    /// The material; `None` where its strength is not known.
    pub known: Option<Material>,
    /// Where nothing is left of it, mm along it.
    pub severed: Option<f64>,
    /// The worst section; `None` where no load is known or nothing is left of the bar.
    pub worst: Option<WorstSection>,
    /// Of an arm that is ever pressed.
    pub buckling: Option<WorstPress>,
}

/// Where a bar's stress is nearest to its strength.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorstSection {
    /// Along the bar, mm: an arm from its wall pivot, wall and panel bar from their lower end.
    pub along: f64,
    /// The section's centre in the bar's frame, see [`crate::BarSolid`].
    pub centre: Point,
    /// Where on the travel.
    pub s: f64,
    /// Whether that is with the motor stalled at the stop.
    pub stalled: bool,
    /// Along the bar, N; pull positive.
    pub axial: f64,
    /// Bending in the side view, N·mm.
    pub in_view: f64,
    /// Bending out of it by the laps' or layers' offset, N·mm.
    pub offset: f64,
    /// Bending out of it by 50 N sideways, N·mm; 0 with the motor stalled.
    pub sideways: f64,
    /// Net area, mm².
    pub area: f64,
    /// Largest stress, bowing included, MPa.
    pub stress: f64,
    /// Yield strength over it; `None` where the strength is not known.
    pub safety: Option<f64>,
}

/// Where an arm is nearest to buckling.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorstPress {
    /// What presses it, N.
    pub force: f64,
    /// What it buckles at, N; its weakest section all along.
    pub critical: f64,
    /// Length over radius of gyration.
    pub slenderness: f64,
    /// Where on the travel.
    pub s: f64,
    /// Whether that is with the motor stalled.
    pub stalled: bool,
    /// Critical over it.
    pub safety: f64,
}

/// The most bent of the hinges' pins: fixed in one part, loaded in the plane of the bearings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PinStress {
    /// Index into [`crate::HINGES`].
    pub hinge: usize,
    /// Radial load, N.
    pub force: f64,
    /// From the part that holds it to the load, mm.
    pub reach: f64,
    /// MPa.
    pub stress: f64,
    /// Where on the travel.
    pub s: f64,
    /// Whether that is with the motor stalled.
    pub stalled: bool,
}

/// A force on a bar in its own coordinates: place along, across and deep; force along and across.
#[derive(Clone, Copy)]
struct Load {
    along: f64,
    across: f64,
    deep: f64,
    pull: f64,
    push: f64,
    /// Along z: what keeps loads that lie beside each other from tipping the bar.
    aside: f64,
}

/// What acts on a bar at its two pivots, and its weight: pull and push at one, at the other, weight per
/// mm along and across.
struct Acting([f64; 6]);

/// Loads on a bar, as many as there are, and its weight along and across, N/mm.
struct Loads {
    loads: [Load; 4],
    count: usize,
    weight: [f64; 2],
}

/// Forces that an analysed pose, or a stalled motor, puts on the bars.
struct Case {
    pose: Pose,
    on_wall: [Vector2<f64>; 2],
    on_panel: [Vector2<f64>; 2],
    hinges: [f64; 4],
    stop: Option<StopForce>,
}

struct StopForce {
    parts: [PartName; 2],
    place: Point,
    push: Vector2<f64>,
}

/// One bar, ready to be loaded.
struct Beam {
    bar: PartName,
    sections: NetSections,
    yield_strength: Option<f64>,
    buckling: Option<crate::buckling::Buckling>,
    /// Bending out of the side view at each section by 50 N sideways.
    sideways: Vec<f64>,
    ends: Ends,
}

enum Ends {
    /// Length, load planes at its wall and its panel pivot, own weight N/mm.
    Arm { length: f64, planes: [f64; 2], weight: f64 },
    /// Pivots and load planes, what holds it along it, and the middle of its depth.
    Face { pivots: [[f64; 2]; 2], planes: [f64; 2], held: [f64; 2], middle: f64, low: f64 },
}

impl Strength {
    /// The strength of a lift's bars at every analysed pose and with the motor stalled.
    #[must_use]
    pub fn new(
        project: &Project,
        lift: &Lift,
        solids: &Solids,
        stop: &Stop,
        forces: &Forces,
        poses: &[PoseFigures],
    ) -> Self {
        let beams = beams(project, lift, solids, stop, forces);
        let mut worst = Worst::default();
        let bearing = crate::bearings::Bearing::of_project(project);
        let pin = bearing.as_ref().map(|bearing| Pin::new(project, bearing.bore));
        let mut cases = Vec::with_capacity(poses.len());
        cases.extend(forces.poses.iter().zip(poses).filter_map(|(found, figures)| {
            let found = found.as_ref()?;
            Some(Case {
                pose: figures.pose,
                on_wall: found.on_wall?,
                on_panel: found.on_panel?,
                hinges: found.hinges?,
                stop: None,
            })
        }));
        let stalled = forces.stall.as_ref().zip(stop.contact.as_ref()).map(|(stall, contact)| Case {
            pose: contact.pose,
            on_wall: stall.on_wall,
            on_panel: stall.on_panel,
            hinges: stall.hinges,
            stop: Some(StopForce { parts: contact.parts, place: stall.place, push: stall.push }),
        });
        let mut acting = Vec::with_capacity(cases.len());
        for (index, beam) in beams.iter().enumerate() {
            if let Some(stalled) = &stalled {
                worst.look(index, beam, &beam.ends.loads(beam.bar, lift, stalled), stalled);
            }
            acting.clear();
            acting.extend(cases.iter().map(|case| beam.ends.acting(beam.bar, lift, case)));
            worst.search(index, beam, &cases, &acting);
        }
        if let Some(pin) = &pin {
            for case in stalled.iter().chain(&cases) {
                pin.look(case, &mut worst.pin);
            }
        }
        let stop = forces.stall.as_ref().and_then(|stall| StopPressure::new(project, lift, stop, stall));
        let bars = beams.map(|beam| worst.of(project, &beam));
        Self { bars, stop, pin: worst.pin }
    }

    /// The strength of one bar.
    #[must_use]
    pub fn bar(&self, name: PartName) -> Option<&BarStrength> {
        self.bars.iter().find(|bar| bar.bar == name)
    }
}

/// What the project gives as a bar's material.
fn material_of(project: &Project, bar: PartName) -> Option<&MaterialWanted> {
    let bars = &project.bars;
    match bar {
        PartName::WallBar => bars.wall_bar.material.as_ref(),
        PartName::PanelBar => bars.panel_bar.material.as_ref(),
        PartName::LowerArm => bars.lower_arm.material.as_ref(),
        _ => bars.upper_arm.material.as_ref(),
    }
}

fn beams(project: &Project, lift: &Lift, solids: &Solids, stop: &Stop, forces: &Forces) -> [Beam; 4] {
    let push = Sideways::new(project, lift);
    let names = [PartName::WallBar, PartName::PanelBar, PartName::LowerArm, PartName::UpperArm];
    let arms = [PartName::LowerArm, PartName::UpperArm];
    let mut index = 0;
    names.map(|bar| {
        let ends = match bar {
            PartName::WallBar | PartName::PanelBar => {
                let (block, pivots) = if bar == PartName::WallBar {
                    (lift.wall_bar, [lift.wall_lower, lift.wall_upper])
                } else {
                    (lift.panel_bar, [lift.panel_lower, lift.panel_upper])
                };
                let [low, high] = [block.least.y, block.most.y];
                let held = if bar == PartName::WallBar { outermost_screws(project, low, high) } else { [low, high] };
                let [near, far] = bar_range(project, bar);
                Ends::Face {
                    pivots: pivots.map(|pivot| along_and_across(bar, pivot)),
                    planes: arms.map(|arm| load_plane(project, bar, arm)),
                    held,
                    middle: 0.5 * (near + far),
                    low,
                }
            }
            _ => {
                let arm = if bar == PartName::LowerArm { ArmName::Lower } else { ArmName::Upper };
                let length = lift.arm_length(arm);
                let mass = forces.loads.masses.bars.iter().find(|mass| mass.bar == bar).map_or(0.0, |mass| mass.mass);
                Ends::Arm {
                    length,
                    planes: [PartName::WallBar, PartName::PanelBar].map(|end| load_plane(project, end, bar)),
                    weight: 2.0 * forces.loads.masses.share * mass * GRAVITY / length.max(f64::MIN_POSITIVE),
                }
            }
        };
        let [from, to] = match &ends {
            Ends::Arm { length, .. } => [0.0, *length],
            Ends::Face { pivots, held, .. } => {
                let pivots = [pivots[0][0].min(pivots[1][0]), pivots[0][0].max(pivots[1][0])];
                [pivots[0].min(held[0]) + AT_END_MM, pivots[1].max(held[1]) - AT_END_MM]
            }
        };
        let mut loaded = match &ends {
            Ends::Arm { length, .. } => vec![0.0, *length],
            Ends::Face { pivots, .. } => vec![pivots[0][0], pivots[1][0]],
        };
        loaded.extend(stopped_at(stop, bar));
        let sections = NetSections::new(project, &solids.bars[index], [from, to], &loaded);
        index += 1;
        let known = Material::wanted(material_of(project, bar));
        let buckling = match (&ends, known, sections.as_strut) {
            (Ends::Arm { length, .. }, Some(material), Some([area, second_moment])) => Strut {
                length: *length,
                area,
                second_moment,
                modulus: material.modulus,
                yield_strength: material.yield_strength,
                end_condition: HINGED,
            }
            .buckling(),
            _ => None,
        };
        let sideways = sections.sections.iter().map(|section| ends.sideways(&push, bar, section.along)).collect();
        Beam { bar, sections, yield_strength: known.map(|material| material.yield_strength), buckling, sideways, ends }
    })
}

/// Where on an arm the stop bears, mm from its wall pivot.
fn stopped_at(stop: &Stop, bar: PartName) -> Option<f64> {
    let parts = stop.contact.as_ref()?.parts;
    let of = parts.iter().position(|part| *part == bar)?;
    matches!(bar, PartName::LowerArm | PartName::UpperArm).then_some(stop.along?[of])
}

/// Heights of the lowest and the highest screw of the wall bar; its ends where none are known or one
/// alone.
fn outermost_screws(project: &Project, low: f64, high: f64) -> [f64; 2] {
    let given = project.fixings.as_ref();
    let bar = given.and_then(|given| ScrewedBar::new(given, low, high, project.bars.wall_bar.depth).ok());
    match bar.as_ref().map(|bar| bar.screws.as_slice()) {
        Some([first, .., last]) if first > last => [*last, *first],
        _ => [low, high],
    }
}

impl Ends {
    /// Bending out of the side view at a place along the bar by 50 N sideways on the panel, N·mm.
    fn sideways(&self, push: &Sideways, bar: PartName, along: f64) -> f64 {
        match self {
            Self::Arm { length, .. } => {
                let arm = usize::from(bar == PartName::UpperArm);
                push.force[arm] * (along - 0.5 * length).abs()
            }
            Self::Face { pivots, held: [low, high], .. } => {
                let span = high - low;
                if span <= 0.0 {
                    return 0.0;
                }
                // As a beam on its two holds: forces and couples, each at its worst sense.
                let reaction = |about: f64| (0..2).map(|arm| push.force[arm] * (pivots[arm][0] - about)).sum::<f64>();
                let at_low = -reaction(*high) / span;
                let below = |at: f64| along > at;
                let mut by_force = if below(*low) { at_low * (along - low) } else { 0.0 };
                let couple = push.moment[0] + push.moment[1];
                let mut by_couple = if below(*low) { couple * (along - low) / span } else { 0.0 };
                for (pivot, (force, moment)) in pivots.iter().zip(push.force.into_iter().zip(push.moment)) {
                    if below(pivot[0]) {
                        by_force -= force * (along - pivot[0]);
                        by_couple -= moment;
                    }
                }
                if below(*high) {
                    // Beyond the upper hold nothing acts any more but what stands out there.
                    by_force += (push.force[0] + push.force[1] - at_low) * (along - high);
                    by_couple -= couple * (along - high) / span;
                }
                by_force.abs() + by_couple.abs()
            }
        }
    }

    /// What a case puts on the bar at its two pivots, in its own coordinates, and its weight.
    fn acting(&self, bar: PartName, lift: &Lift, case: &Case) -> Acting {
        match self {
            Self::Arm { length, weight, .. } => {
                let index = usize::from(bar == PartName::UpperArm);
                let unit = arm_unit(bar, lift, &case.pose, *length);
                let own = |force: Vector2<f64>| [force.dot(&unit), unit.perp(&force)];
                let ([pull, push], [far_pull, far_push]) = (own(-case.on_wall[index]), own(-case.on_panel[index]));
                let [along, across] = own(Vector2::new(0.0, -weight));
                Acting([pull, push, far_pull, far_push, along, across])
            }
            Self::Face { .. } => {
                let turn = case.pose.room_from_panel.rotation.inverse();
                let [lower, upper] =
                    if bar == PartName::WallBar { case.on_wall } else { case.on_panel.map(|force| turn * force) };
                Acting([lower.y, lower.x, upper.y, upper.x, 0.0, 0.0])
            }
        }
    }

    /// The loads on the bar of what acts at its pivots, what holds it included. Linear in that.
    fn loads_of(&self, Acting(acting): &Acting) -> Loads {
        let none = Load { along: 0.0, across: 0.0, deep: 0.0, pull: 0.0, push: 0.0, aside: 0.0 };
        let mut loads = [none; 4];
        let at_pivot = |index: usize| [acting[2 * index], acting[2 * index + 1]];
        match self {
            Self::Arm { length, planes, .. } => {
                for (index, along) in [0.0, *length].into_iter().enumerate() {
                    let [pull, push] = at_pivot(index);
                    loads[index] = Load { along, deep: planes[index], pull, push, ..none };
                }
                Loads { loads, count: 2, weight: [acting[4], acting[5]] }
            }
            Self::Face { pivots, planes, held: [low, high], middle, .. } => {
                let span = (high - low).max(f64::MIN_POSITIVE);
                let (mut pull, mut about_low, mut push, mut tipping) = (0.0, 0.0, 0.0, 0.0);
                for index in 0..2 {
                    let [along, across] = pivots[index];
                    let [own_pull, own_push] = at_pivot(index);
                    let here = Load { along, across, deep: planes[index], pull: own_pull, push: own_push, aside: 0.0 };
                    pull += here.pull;
                    push += here.push;
                    about_low += (along - low) * here.push - across * here.pull;
                    tipping -= (here.deep - middle) * here.pull;
                    loads[index] = here;
                }
                let (at_high, aside) = (-about_low / span, -tipping / span);
                let hold = |along: f64, push: f64, aside: f64| Load {
                    along,
                    across: 0.0,
                    deep: *middle,
                    pull: -0.5 * pull,
                    push,
                    aside,
                };
                loads[2] = hold(*low, -push - at_high, -aside);
                loads[3] = hold(*high, at_high, aside);
                Loads { loads, count: 4, weight: [0.0; 2] }
            }
        }
    }

    /// The loads of a case on the bar, the stop's included.
    fn loads(&self, bar: PartName, lift: &Lift, case: &Case) -> Loads {
        let mut found = self.loads_of(&self.acting(bar, lift, case));
        if let (Self::Arm { length, planes, .. }, Some(stop)) = (self, &case.stop)
            && stop.parts.contains(&bar)
        {
            let unit = arm_unit(bar, lift, &case.pose, *length);
            let own = |force: Vector2<f64>| [force.dot(&unit), unit.perp(&force)];
            let from = lift.arm_axis(arm_of(bar), &case.pose)[0];
            let force = if stop.parts[0] == bar { -stop.push } else { stop.push };
            let ([pull, push], [along, across]) = (own(force), own(stop.place - from));
            // It bears where both have material; taken in the hinges' plane.
            found.loads[found.count] = Load { along, across, deep: planes[0], pull, push, aside: 0.0 };
            found.count += 1;
        }
        found
    }
}

fn arm_of(bar: PartName) -> ArmName {
    if bar == PartName::LowerArm { ArmName::Lower } else { ArmName::Upper }
}

/// Along an arm, from its wall pivot.
fn arm_unit(bar: PartName, lift: &Lift, pose: &Pose, length: f64) -> Vector2<f64> {
    let [from, to] = lift.arm_axis(arm_of(bar), pose);
    (to - from) / length.max(f64::MIN_POSITIVE)
}

impl Ends {
    fn low(&self) -> f64 {
        match self {
            Self::Arm { .. } => 0.0,
            Self::Face { low, .. } => *low,
        }
    }
}

impl Beam {
    fn place(&self, section: &NetSection) -> Point {
        let [across, _] = section.section.centre;
        match self.ends {
            Ends::Arm { .. } => Point::new(section.along, across),
            Ends::Face { .. } => Point::new(across, section.along),
        }
    }
}

/// A hinge's pin: a round bar that one part holds.
struct Pin {
    diameter: f64,
    /// From the face of the part that holds it to the load's plane, by hinge.
    reach: [f64; 4],
}

impl Pin {
    fn new(project: &Project, diameter: f64) -> Self {
        let reach = HINGES.map(|[bar, arm]| {
            let plane = load_plane(project, bar, arm);
            let seats_in_bar =
                project.joints.as_ref().is_none_or(|joints| joints.seat_in() == crate::project::SeatIn::Bars);
            let holds = if seats_in_bar { arm } else { bar };
            let layer = match (project.bars.build, holds) {
                (crate::project::Build::Lapped, PartName::LowerArm | PartName::UpperArm) => Layer::Outer,
                (crate::project::Build::Lapped, _) | (_, PartName::UpperArm) => Layer::Inner,
                (_, PartName::LowerArm) => Layer::Outer,
                _ => Layer::Middle,
            };
            let [near, far] = layer_range(project, holds, layer);
            (plane - near).abs().min((plane - far).abs())
        });
        Self { diameter, reach }
    }

    fn look(&self, case: &Case, worst: &mut Option<PinStress>) {
        let modulus = std::f64::consts::PI * self.diameter.powi(3) / 32.0;
        for (hinge, force) in case.hinges.into_iter().enumerate() {
            let stress = force * self.reach[hinge] / modulus;
            if stress.is_finite() && worst.is_none_or(|known| stress > known.stress) {
                let reach = self.reach[hinge];
                *worst = Some(PinStress { hinge, force, reach, stress, s: case.pose.s, stalled: case.stop.is_some() });
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::worst::at_section;
    use super::*;
    use crate::{Analysis, Options, analyse};

    fn complete() -> Project {
        crate::samples::complete_board()
    }

    fn analysed(project: &Project) -> Analysis {
        analyse(project, &Options { poses: 361, swept: false })
    }

    fn frictionless() -> Project {
        let mut project = complete();
        project.joints.as_mut().expect("joints").friction = Some(0.0);
        project
    }

    fn cases(analysis: &Analysis) -> Vec<Case> {
        let forces = analysis.forces.as_ref().expect("known materials");
        let at = |found: &Option<crate::statics::ForcesAt>, figures: &PoseFigures| {
            let found = found.as_ref()?;
            let (on_wall, on_panel) = (found.on_wall?, found.on_panel?);
            Some(Case { pose: figures.pose, on_wall, on_panel, hinges: found.hinges?, stop: None })
        };
        let mut all: Vec<Case> =
            forces.poses.iter().zip(&analysis.poses).filter_map(|(found, figures)| at(found, figures)).collect();
        let stall = forces.stall.as_ref().expect("a motor");
        let contact = analysis.stop.contact.as_ref().expect("a stop");
        all.push(Case {
            pose: contact.pose,
            on_wall: stall.on_wall,
            on_panel: stall.on_panel,
            hinges: stall.hinges,
            stop: Some(StopForce { parts: contact.parts, place: stall.place, push: stall.push }),
        });
        all
    }

    /// Everything that acts on a bar balances: beyond the last load nothing is left, in neither plane.
    #[test]
    fn loads_on_every_bar_balance() {
        let project = frictionless();
        let analysis = analysed(&project);
        let forces = analysis.forces.as_ref().expect("known materials");
        let beams = beams(&project, &analysis.lift, &analysis.solids, &analysis.stop, forces);
        for case in cases(&analysis) {
            let size = case.hinges.iter().copied().fold(0.0, f64::max);
            for beam in &beams {
                let loads = beam.ends.loads(beam.bar, &analysis.lift, &case);
                let weight = loads.weight;
                let mut beyond = beam.sections.sections.last().expect("a section").clone();
                beyond.along = loads.loads[..loads.count].iter().map(|load| load.along).fold(f64::MIN, f64::max) + 1e-9;
                let [axial, in_view, out] = at_section(&beyond, &loads);
                let planes = if matches!(beam.ends, Ends::Arm { .. }) { 0.0 } else { out };
                // A nose may touch up to a radius beyond the pivot: so much weight too much here.
                let nose = 12.7 * Vector2::from(weight).norm();
                assert!(axial.abs() < 1e-6 * size + nose, "{:?} {axial} at {}", beam.bar, case.pose.s);
                // An arm's weight is spread evenly here, and its solid's centre is a little elsewhere.
                let solid = forces.loads.masses.bars.iter().find(|mass| mass.bar == beam.bar).expect("a mass");
                let off = solid.centre - Point::new(0.5 * beyond.along, 0.0);
                let spread = 1.001 * off.norm() * Vector2::from(weight).norm() * beyond.along.abs();
                let most = (1e-6 * size + nose) * beyond.along.abs().max(100.0) + spread;
                assert!(in_view.abs() < most, "{:?} {in_view}", beam.bar);
                assert!(planes.abs() < 1e-6 * size * 100.0, "{:?} {planes}", beam.bar);
            }
        }
    }

    /// By hand at a pose: in its lap an arm is pulled beside its middle by half the set's depth.
    #[test]
    fn a_lap_is_bent_by_its_offset() {
        let project = frictionless();
        let analysis = analysed(&project);
        let strength = analysis.strength.as_ref().expect("known materials");
        let arm = strength.bar(PartName::LowerArm).expect("the arm");
        let worst = arm.worst.expect("loads");
        // What presses it hardest is half the whole lift's.
        let forces = analysis.forces.as_ref().expect("known");
        let most =
            forces.poses.iter().flatten().filter_map(|found| found.arms).map(|arms| -arms[0]).fold(0.0, f64::max);
        let buckling = arm.buckling.expect("it is pressed");
        assert!((buckling.force - 0.5 * most).abs() < 5.0, "{buckling:?} against {most}");
        // The offset's moment: the load lies in the middle of the bars' half, 19.05 mm off its own.
        assert!((worst.offset.abs() - 19.05 * worst.axial.abs()).abs() < 0.01 * worst.offset.abs(), "{worst:?}");
        let section = worst.area;
        assert!((section - 17.4 * 19.05).abs() < 0.1, "in a lap, its bore of 8 taken out: {section}");
        // Euler for its lap's section all along, by hand: π²·E·I / l².
        let second_moment = 25.4 * 19.05_f64.powi(3) / 12.0;
        let length = analysis.lift.lengths.lower_arm;
        let euler = std::f64::consts::PI.powi(2) * 68_900.0 * second_moment / (length * length);
        assert!((buckling.critical - euler).abs() < 1e-6 * euler, "{buckling:?}");
        let bows = 1.0 / (1.0 - worst.axial.abs() / euler);
        let modulus = 17.4 * 19.05_f64.powi(2) / 6.0;
        let by_hand = worst.axial.abs() / section + (worst.offset.abs() + worst.sideways) / modulus;
        assert!((worst.stress / (bows * by_hand) - 1.0).abs() < 0.01, "{worst:?} against {by_hand}");
    }

    /// By hand: a beam on two supports with a force between, P·a·b / l.
    #[test]
    fn a_stalled_motor_bends_the_arm_that_is_hit() {
        let project = frictionless();
        let analysis = analysed(&project);
        let forces = analysis.forces.as_ref().expect("known materials");
        let stall = forces.stall.expect("a motor");
        let beams = beams(&project, &analysis.lift, &analysis.solids, &analysis.stop, forces);
        let along = analysis.stop.along.expect("a touch")[1];
        let length = analysis.lift.lengths.upper_arm;
        let case = cases(&analysis).pop().expect("stalled");
        let beam = &beams[3];
        let loads = beam.ends.loads(beam.bar, &analysis.lift, &case);
        let section = beam.sections.sections.iter().find(|section| (section.along - along).abs() < 0.02);
        let [_, in_view, _] = at_section(section.expect("at the touch"), &loads);
        let by_hand = stall.push.norm() * along * (length - along) / length;
        assert!((in_view.abs() / by_hand - 1.0).abs() < 0.06, "{in_view} against {by_hand}");
    }

    #[test]
    fn half_the_section_doubles_a_pull_and_a_stronger_material_its_safety() {
        let mut project = complete();
        let before = analysed(&project).strength.expect("known");
        project.bars.lower_arm.material = Some("mild steel".into());
        project.bars.lower_arm.mass = Some(1.0);
        let steel = analysed(&project).strength.expect("known");
        let safety =
            |strength: &Strength| strength.bar(PartName::LowerArm).and_then(|bar| bar.worst?.safety).expect("known");
        assert!(safety(&steel) > 0.0 && (safety(&steel) / safety(&before) - 235.0 / 240.0).abs() < 0.1);
        project.bars.lower_arm.material = Some("moon rock".into());
        let unknown = analysed(&project).strength.expect("its mass is given");
        let bar = unknown.bar(PartName::LowerArm).expect("the arm");
        assert!(bar.known.is_none() && bar.worst.is_some_and(|worst| worst.safety.is_none() && worst.stress > 0.0));
        // Without a drive no load is known.
        project.drive = None;
        let idle = analysed(&project).strength.expect("its mass is given");
        assert!(idle.bars.iter().all(|bar| bar.worst.is_none()) && idle.stop.is_none());
    }
}
