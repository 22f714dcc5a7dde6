//! What is done to a part in which order, with every cut's tool, speed, feed, depth and time.

use std::f64::consts::PI;

use overarm_solver::{BoreStep, Edge, HingeBore, Mouth, Part, Pocket, Project, StepKind, Units};

use super::cutting::{chip_thinning, feed, helix_pitch, inside_bore};
use super::tooling::{Cutting, Shop};
use crate::sheet::figures::{bore, length, range, with_unit};

/// Left on a bore for the last cut, on the diameter, mm (common practice, no source).
const LEFT_ON_BORE: f64 = 0.3;
/// Left on a wall and a floor for the last cut, mm (common practice, no source).
const LEFT_ON_WALL: f64 = 0.2;
/// How deep the vice holds the part while its contour is cut, mm (common practice, no source).
const HELD: f64 = 6.0;
/// Above the work a tool comes at its feed, mm.
const APPROACH: f64 = 2.0;
/// Feed of a chamfer mill, mm/min (common practice, no source).
const CHAMFER_FEED: f64 = 200.0;
/// Speed and advance of a reamer, in those of a drill (common practice, no source).
const REAMING: [f64; 2] = [0.5, 2.0];
/// Speed of a countersink, in that of a drill, and its advance in a turn, mm (common practice, no source).
const SINK_SPEED: f64 = 0.3;
const SINK_ADVANCE: f64 = 0.1;

/// What is not clamped in a spindle, so has no number as a tool.
pub(super) const BY_HAND: &str = "hand";
pub(super) const SAW: &str = "saw";

/// One cut.
pub(super) struct Cut {
    pub what: String,
    pub tool: String,
    /// How far the tool has to reach, mm, where that is more than tools of its size always do.
    pub reach: Option<f64>,
    /// Turns and mm per minute; `None` where the table does not know the material.
    pub speeds: Option<[f64; 2]>,
    pub depth: String,
    pub minutes: f64,
}

/// One clamping of the part.
pub(super) struct Operation {
    pub number: u32,
    pub title: String,
    pub zero: String,
    pub holding: String,
    pub cuts: Vec<Cut>,
    pub gauge: Vec<String>,
    /// Clamping it and finding the zero, minutes.
    pub set_up: f64,
    /// Changing a tool once, minutes.
    pub change: f64,
    /// The face that lies up, for the sketch; `None` where it stands on its edge.
    pub up: Option<Mouth>,
}

impl Operation {
    /// How often the spindle gets another tool, the first one counted.
    pub fn changes(&self) -> usize {
        let cuts = || self.cuts.iter().map(|cut| cut.tool.as_str());
        let before = std::iter::once("").chain(cuts());
        if self.change > 0.0 { cuts().zip(before).filter(|(tool, before)| tool != before).count() } else { 0 }
    }

    /// Changing tools, minutes.
    pub fn changing(&self) -> f64 {
        #[allow(clippy::cast_precision_loss)] // a handful of tools
        let changes = self.changes() as f64;
        changes * self.change
    }

    /// Whole minutes: setting up, changing tools and cutting, each as it is printed.
    pub fn minutes(&self) -> f64 {
        let all = [self.set_up, self.changing()].into_iter().chain(self.cuts.iter().map(|cut| cut.minutes));
        all.map(tenths).sum::<f64>().round().max(1.0)
    }
}

/// Minutes as they are printed.
pub(super) fn tenths(minutes: f64) -> f64 {
    (10.0 * minutes).round() / 10.0
}

/// How a plan says and counts.
struct Planner<'a> {
    part: &'a Part,
    project: &'a Project,
    shop: Shop,
    units: Units,
    /// How the part's material is cut, for paths and times as if it were aluminium where that is not known.
    cutting: Cutting,
    known: bool,
}

/// The operations of a part, in order.
pub(super) fn plan(project: &Project, part: &Part) -> Vec<Operation> {
    let shop = Shop::of(project);
    let (cutting, known) = match shop.cutting(&part.material) {
        Some(cutting) => (cutting, true),
        None => (Cutting::aluminium(), false),
    };
    let planner = Planner { part, project, shop, units: project.units(), cutting, known };
    let pockets = part.pockets();
    // The face with the pockets first: what is milled from it is measured from the untouched other.
    let first = pockets.first().map_or(Mouth::Outer, |pocket| pocket.opens);
    let second = if first == Mouth::Outer { Mouth::Inner } else { Mouth::Outer };
    let mut operations = vec![planner.sawing(), planner.face(20, first, &pockets, true)];
    operations.push(planner.face(30, second, &pockets, false));
    if !part.screw_holes.is_empty() {
        operations.push(planner.screws());
    }
    let last = operations.len();
    operations.push(planner.last(10 * (u32::try_from(last).unwrap_or(4) + 1)));
    operations
}

impl Planner<'_> {
    fn say(&self, mm: f64) -> String {
        with_unit(&length(mm, self.units), self.units)
    }

    /// Chip of one tooth of an end mill, mm.
    fn chip(&self, diameter: f64) -> f64 {
        self.cutting.chip_share * Shop::chip(diameter)
    }

    /// Advance of a drill in one turn, mm.
    fn drill_advance(&self, diameter: f64) -> f64 {
        self.cutting.chip_share * Shop::drill_advance(diameter)
    }

    fn speeds(&self, turns: f64, feed: f64) -> Option<[f64; 2]> {
        self.known.then_some([turns, feed])
    }

    fn operation(&self, number: u32, title: &str, up: Option<Mouth>) -> Operation {
        Operation {
            number,
            title: title.to_owned(),
            zero: String::new(),
            holding: String::new(),
            cuts: Vec::new(),
            gauge: Vec::new(),
            set_up: self.shop.set_up,
            change: self.shop.tool_change,
            up,
        }
    }

    /// Sets what is gauged.
    fn closed(&self, mut operation: Operation, gauged: impl Fn(&str) -> bool) -> Operation {
        let rows = self.part.characteristics(self.project.tolerances.as_ref());
        for row in rows.into_iter().filter(|row| gauged(&row.name)) {
            let limits = row.limits.map_or_else(|| bore(row.nominal, self.units), |limits| range(limits, self.units));
            let gauge = row.gauge.to_string();
            let gauge = gauge.split(',').next().unwrap_or_default();
            operation.gauge.push(format!("{}: {limits}, {gauge}", row.name));
        }
        operation
    }

    fn sawing(&self) -> Operation {
        let stock = &self.part.stock;
        let mut operation = self.operation(10, "Saw", None);
        operation.zero = "none".to_owned();
        operation.holding = "saw's vice, against its stop".to_owned();
        operation.cuts.push(Cut {
            what: format!(
                "Saw {} × {} to {}; deburr. Mark the fixed edge and the inner face.",
                self.say(stock.width),
                self.say(stock.depth),
                self.say(stock.cut_length)
            ),
            tool: SAW.to_owned(),
            reach: None,
            speeds: None,
            depth: "—".to_owned(),
            minutes: 2.0,
        });
        (operation.set_up, operation.change) = (0.0, 0.0);
        self.closed(operation, |name| matches!(name, "width" | "depth"))
    }

    fn face(&self, number: u32, up: Mouth, pockets: &[Pocket], first: bool) -> Operation {
        let part = self.part;
        let title = if first {
            format!("First face: {} up", up.words())
        } else {
            format!("Turned over: {} up, on the found bore", up.words())
        };
        let mut operation = self.operation(number, &title, Some(up));
        let across = if part.datum.is_some() {
            "fixed edge (datum A) against the fixed jaw"
        } else {
            "one long edge against the fixed jaw"
        };
        operation.holding = format!(
            "vice, {} on parallels clear of H1 and H2, {across}",
            if up == Mouth::Outer { "inner face down" } else { "outer face down" }
        );
        let left_at_ends = part.stock.cut_length - part.stock.finished_length;
        operation.zero = if first {
            match part.datum {
                Some(_) => format!(
                    "X0 Y0 on the axis of H1: {} from datum A and {} from the sawn lower end, found with an edge finder; Z0 on the upper face",
                    part.hinges
                        .first()
                        .and_then(|hinge| part.offset(hinge))
                        .map_or_else(String::new, |off| self.say(off)),
                    part.hinges.first().map_or_else(String::new, |hinge| self
                        .say(part.above_lower_end(hinge.centre) + 0.5 * left_at_ends))
                ),
                None => format!(
                    "X0 Y0 on the axis of H1: the middle of the width, {} from the sawn end; Z0 on the upper face",
                    self.say(0.5 * part.stock.width + 0.5 * left_at_ends)
                ),
            }
        } else {
            "X0 Y0 on H1, indicated in its bore; H2 indicated to lie along X; Z0 on the upper face".to_owned()
        };
        for pocket in pockets.iter().filter(|pocket| pocket.opens == up) {
            operation.cuts.extend(self.pocket(pocket));
        }
        // From the web outwards to the mouth, both hinges with one tool before the next one.
        let order = |step: &BoreStep| match step.kind {
            StepKind::Web => 0,
            StepKind::LeadIn => 2,
            _ => 1,
        };
        let cut_here = |hinge: &HingeBore, step: &BoreStep| opening(hinge, step).map_or(first, |face| face == up);
        let hinges = || (1..).zip(&part.hinges);
        let mut steps: Vec<(usize, &HingeBore, &BoreStep)> = hinges()
            .flat_map(|(number, hinge)| hinge.steps.iter().map(move |step| (number, hinge, step)))
            .filter(|(_, hinge, step)| cut_here(hinge, step))
            .collect();
        steps.sort_by_key(|(_, _, step)| order(step));
        for (number, hinge, step) in steps {
            let name = format!("H{number} {}", step.kind.words());
            // From the bore's own mouth that lies up.
            let whole = hinge.high() - hinge.low();
            let through = opening(hinge, step).is_none();
            let deep = match up {
                // Out at the far face: the second set-up is found on it.
                _ if through => whole,
                Mouth::Outer => hinge.high() - step.z[0],
                Mouth::Inner => step.z[1] - hinge.low(),
            };
            operation.cuts.extend(self.bore(&name, step, deep, through));
        }
        // Milled through what stands above the jaws; the rest when it is turned over.
        operation.cuts.push(self.contour(first));
        let side = up.words();
        let has_pockets = pockets.iter().any(|pocket| pocket.opens == up);
        self.closed(operation, |name| {
            let is_cut = |hinge: &HingeBore| {
                hinge.steps.iter().any(|step| step.kind == StepKind::Seat && cut_here(hinge, step))
                    && (hinge.pressed_from.len() < 2 || name.ends_with(side))
            };
            let seat =
                name.contains(" seat") && part.hinges.iter().any(|hinge| name.starts_with(hinge.name) && is_cut(hinge));
            let by_first = matches!(name, "centre distance" | "lowest pivot from lower end" | "length")
                || name.ends_with(" offset")
                || name.ends_with(" bore");
            // The ends are milled from both sides.
            seat || (first && by_first)
                || (has_pockets && name == "thickness at the half laps")
                || (!first && name == "length")
        })
    }

    /// Roughing and finishing of a pocket.
    fn pocket(&self, pocket: &Pocket) -> Vec<Cut> {
        let shop = &self.shop;
        // To the middle of what may stay, below the models' floor.
        let thinner = match (self.part.kept(), self.part.lap_limits()) {
            (Some(kept), Some([least, most])) => kept.z[1] - kept.z[0] - 0.5 * (least + most),
            _ => 0.0,
        };
        let deep = pocket.depth() + thinner;
        let mill = self.project.bars.cutter_diameter();
        let turns = shop.turns(self.cutting.mill_speed, mill);
        let passes = (deep / (shop.pass_share * mill)).ceil().max(1.0);
        let rough = feed(turns, shop.teeth, self.chip(mill)) * chip_thinning(shop.rough_share);
        let edge: f64 = Edge::of(&pocket.contour).map(|edge| length_of(&edge)).sum();
        let path = pocket.area() / (shop.rough_share * mill);
        let what = match pocket.kind {
            overarm_solver::PocketKind::HalfLap => "half lap",
            overarm_solver::PocketKind::Relief => "relief",
        };
        let finish = feed(turns, shop.teeth, self.chip(mill)) * chip_thinning(shop.finish_share);
        let tool = self.end_mill(mill);
        let reach = Some(deep + APPROACH);
        vec![
            Cut {
                what: format!(
                    "Rough {what} after {}.dxf, {} left; ramp in at {}°",
                    self.part.file_stem(),
                    self.say(LEFT_ON_WALL),
                    shop.ramp_deg
                ),
                tool: tool.clone(),
                reach,
                speeds: self.speeds(turns, rough),
                depth: format!("{} in {passes:.0} passes", self.say(deep - LEFT_ON_WALL)),
                minutes: passes * path / rough,
            },
            Cut {
                what: format!("Finish {what}: floor, then wall, {} wide", self.say(LEFT_ON_WALL)),
                tool,
                reach,
                speeds: self.speeds(turns, finish),
                depth: self.say(deep),
                minutes: (pocket.area() / (0.7 * mill) + edge) / finish,
            },
        ]
    }

    /// A bore by a helix, or by drill and reamer where no end mill goes in.
    fn bore(&self, name: &str, step: &BoreStep, deep: f64, through: bool) -> Vec<Cut> {
        let shop = &self.shop;
        let (kind, cut) = (step.kind, if through { deep } else { step.depth() });
        let depth = if through { format!("through, {}", self.say(deep)) } else { self.say(deep) };
        let [one, other] = step.diameter;
        let (diameter, widest) = (one.min(other), one.max(other));
        if kind == StepKind::LeadIn {
            return vec![Cut {
                what: format!("{name} to Ø{}", bore(widest, self.units)),
                tool: "chamfer mill for 30° to the axis".to_owned(),
                reach: None,
                speeds: self.speeds(shop.turns(0.5 * self.cutting.mill_speed, widest), CHAMFER_FEED),
                depth: self.say(deep),
                minutes: 0.3,
            }];
        }
        let Some(mill) = shop.mill_for_bore(diameter, deep) else {
            return self.drilled(name, diameter, deep, depth);
        };
        let turns = shop.turns(self.cutting.mill_speed, mill);
        // The rim's feed, slower at the cutter's centre.
        let centre = feed(turns, shop.teeth, self.chip(mill)) * inside_bore(diameter, mill);
        let path = diameter - mill;
        let pitch = helix_pitch(path, shop.ramp_deg.to_radians());
        let rounds = (cut + APPROACH) / pitch + 1.0;
        let fits = matches!(kind, StepKind::Seat | StepKind::Pin);
        let what = if fits {
            format!(
                "{name} Ø{}: helix to Ø{}, then full depth in one round; gauge and repeat",
                bore(diameter, self.units),
                length(diameter - LEFT_ON_BORE, self.units)
            )
        } else {
            format!("{name} Ø{}: helix", length(diameter, self.units))
        };
        vec![Cut {
            what,
            tool: self.end_mill(mill),
            reach: (kind == StepKind::Web).then_some(cut + APPROACH),
            speeds: self.speeds(turns, centre),
            depth: if through {
                format!("{depth}, {} a round ({}°)", self.say(pitch), shop.ramp_deg)
            } else {
                format!("to {depth} below its mouth, {} a round ({}°)", self.say(pitch), shop.ramp_deg)
            },
            minutes: (rounds + if fits { 2.0 } else { 0.0 }) * PI * path / centre + if fits { 1.0 } else { 0.0 },
        }]
    }

    /// A bore that is too deep for its end mill.
    fn drilled(&self, name: &str, diameter: f64, deep: f64, depth: String) -> Vec<Cut> {
        let drill = diameter - LEFT_ON_BORE;
        let turns = self.shop.turns(self.cutting.drill_speed, drill);
        let feed = turns * self.drill_advance(drill);
        let slow = self.shop.turns(REAMING[0] * self.cutting.drill_speed, diameter);
        let reaming = REAMING[1] * slow * self.drill_advance(diameter);
        vec![
            Cut {
                what: format!("{name}: drill Ø{}", length(drill, self.units)),
                tool: format!("drill Ø{}, high-speed steel", self.say(drill)),
                reach: Some(deep + APPROACH),
                speeds: self.speeds(turns, feed),
                depth: depth.clone(),
                minutes: (deep + APPROACH) / feed,
            },
            Cut {
                what: format!("{name}: ream to Ø{}; gauge", bore(diameter, self.units)),
                tool: format!("reamer Ø{}", with_unit(&bore(diameter, self.units), self.units)),
                reach: Some(deep + APPROACH),
                speeds: self.speeds(slow, reaming),
                depth,
                minutes: (deep + APPROACH) / reaming,
            },
        ]
    }

    /// An end mill as it is asked for.
    fn end_mill(&self, diameter: f64) -> String {
        format!("end mill Ø{}, {} teeth", self.say(diameter), self.shop.teeth)
    }

    fn contour(&self, first: bool) -> Cut {
        let shop = &self.shop;
        let mill = self.project.bars.cutter_diameter();
        let turns = shop.turns(self.cutting.mill_speed, mill);
        let feed = feed(turns, shop.teeth, self.chip(mill));
        let part = self.part;
        let edge: f64 = Edge::of(&part.outline).map(|edge| length_of(&edge)).sum();
        let deep = if first { (part.depth - HELD).max(0.5 * part.depth) } else { part.depth.min(HELD) };
        let passes = (deep / (shop.pass_share * mill)).ceil().max(1.0);
        // The long edges stay as drawn from the mill where the stock has the part's own section.
        let ends = part.stock.allowance()[0].abs() < 1e-6;
        let share = if ends { 2.0 * part.stock.finished[0] / edge.max(1e-9) } else { 1.0 };
        let what = match (ends, part.datum.is_some()) {
            (true, true) => "Mill both ends to length",
            (true, false) => "Mill both half-round ends",
            (false, _) => "Mill the contour",
        };
        Cut {
            what: format!("{what}, {}", if first { "down to the jaws" } else { "the rest" }),
            tool: self.end_mill(mill),
            // Down to the jaws in one reach.
            reach: Some(deep + APPROACH),
            speeds: self.speeds(turns, feed),
            depth: format!("{} in {passes:.0} passes", self.say(deep)),
            minutes: passes * share * edge / feed,
        }
    }

    fn screws(&self) -> Operation {
        let part = self.part;
        let shop = &self.shop;
        let mut operation = self.operation(40, "On its fixed edge, for the screws", None);
        operation.zero = "X0 on the lower end, Y0 on the inner face, Z0 on the upper edge".to_owned();
        operation.holding =
            "vice, inner face against the fixed jaw, fixed edge down on parallels clear of the drill".to_owned();
        let Some(hole) = part.screw_holes.first() else { return operation };
        #[allow(clippy::cast_precision_loss)] // a handful of screws
        let count = part.screw_holes.len() as f64;
        let turns = shop.turns(self.cutting.drill_speed, hole.diameter);
        let advance = turns * self.drill_advance(hole.diameter);
        let pecks = (hole.length() / (3.0 * hole.diameter)).ceil().max(1.0);
        let mut places: Vec<f64> = part.screw_holes.iter().map(|hole| part.above_lower_end(hole.from)).collect();
        places.sort_by(f64::total_cmp);
        let places: Vec<String> = places.iter().map(|at| length(*at, self.units)).collect();
        operation.cuts.push(Cut {
            what: format!(
                "Spot and drill Ø{} through at X {}, Y {}",
                length(hole.diameter, self.units),
                places.join(", "),
                length(hole.z, self.units)
            ),
            tool: format!("drill Ø{}, high-speed steel", self.say(hole.diameter)),
            reach: Some(hole.length() + APPROACH),
            speeds: self.speeds(turns, advance),
            depth: format!("{}, {pecks:.0} pecks", self.say(hole.length())),
            minutes: count * (hole.length() * (1.0 + 0.5 * pecks) + APPROACH) / advance,
        });
        let sink = hole.countersink;
        let turns = shop.turns(SINK_SPEED * self.cutting.drill_speed, sink.diameter);
        operation.cuts.push(Cut {
            what: format!(
                "Countersink to Ø{}: the head {} below the face",
                length(sink.diameter, self.units),
                self.say(hole.head_below_face())
            ),
            tool: format!("countersink {:.0}°", sink.angle_deg),
            reach: None,
            speeds: self.speeds(turns, SINK_ADVANCE * turns),
            depth: self.say(hole.countersink_depth()),
            minutes: count * 0.3,
        });
        self.closed(operation, |name| name.starts_with("screw") || name.starts_with("countersinks"))
    }

    fn last(&self, number: u32) -> Operation {
        let part = self.part;
        let mut operation = self.operation(number, "Bench", None);
        operation.zero = "none".to_owned();
        operation.holding = "soft jaws".to_owned();
        (operation.set_up, operation.change) = (0.0, 0.0);
        let plain = |what: String, minutes: f64| Cut {
            what,
            tool: BY_HAND.to_owned(),
            reach: None,
            speeds: None,
            depth: "—".to_owned(),
            minutes,
        };
        operation.cuts.push(plain(
            format!(
                "Break edges {}, not those of the seats; engrave or stamp {}",
                self.say(overarm_solver::EDGE_BREAK_MM),
                part.number
            ),
            3.0,
        ));
        operation.cuts.push(plain("Wash, let it come to 20 °C, measure everything in inspection.csv".to_owned(), 5.0));
        if let Some(bearing) = part.hinges.iter().find_map(|hinge| hinge.bearing.as_ref()) {
            operation.cuts.push(plain(
                format!("Press bearings {} in, on the outer ring alone; turn each by hand", bearing.name),
                4.0,
            ));
        }
        operation
    }
}

/// The face that a stretch of a bore is cut from; `None` where either will do.
fn opening(hinge: &HingeBore, step: &BoreStep) -> Option<Mouth> {
    if !hinge.steps.iter().any(|other| other.kind == StepKind::Web) && step.kind == StepKind::Seat {
        // One seat from face to face.
        return None;
    }
    let at_inner = match step.kind {
        StepKind::Seat => 0.5 * (step.z[0] + step.z[1]) < 0.5 * (hinge.low() + hinge.high()),
        StepKind::LeadIn => step.z[0] <= hinge.low() + 1e-9,
        _ => return None,
    };
    // A single seat is cut from the face it is pressed in from, whatever is left of its depth.
    match (step.kind, hinge.pressed_from.as_slice()) {
        (StepKind::Seat, [face]) => Some(*face),
        _ => Some(if at_inner { Mouth::Inner } else { Mouth::Outer }),
    }
}

/// mm.
fn length_of(edge: &Edge) -> f64 {
    match edge.circle() {
        Some((_, radius)) => radius * edge.turn().abs(),
        None => (edge.to - edge.from).norm(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project_file;
    use overarm_solver::{Build, Options, SeatIn, analyse, parts};

    fn plans(change: impl FnOnce(&mut Project)) -> Vec<(Part, Vec<Operation>)> {
        let demo = include_bytes!("../../../../demo/chapel-hatch.overarm.json");
        let mut project = project_file::parse(demo).expect("the demo");
        change(&mut project);
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let plan = |part: Part| (part.clone(), plan(&project, &part));
        parts(&project, &analysis.solids).into_iter().map(plan).collect()
    }

    #[test]
    fn the_second_set_up_finds_both_bores_open() {
        for build in [Build::Lapped, Build::Sandwich] {
            for seat_in in [SeatIn::Bars, SeatIn::Arms] {
                for count in [1, 2] {
                    let plans = plans(|project| {
                        project.bars.build = build;
                        let joints = project.joints.as_mut().expect("joints");
                        (joints.seat_in, joints.per_hinge) = (Some(seat_in), Some(count));
                    });
                    for (part, operations) in plans {
                        for name in ["H1 ", "H2 "] {
                            let open = |cut: &Cut| cut.what.starts_with(name) && cut.depth.starts_with("through");
                            assert!(operations[1].cuts.iter().any(open), "{name} of {}", part.number);
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn zero_and_half_laps_are_what_the_blank_and_the_limits_say() {
        let plans = plans(|_| {});
        // 30 from the finished end, 2 are sawn longer.
        assert!(plans[0].1[1].zero.contains("32.00\u{a0}mm from the sawn lower end"), "{}", plans[0].1[1].zero);
        let depths: Vec<&str> = plans[0].1[1].cuts.iter().map(|cut| cut.depth.as_str()).collect();
        // Half of 38.1, and 0.1 more to the middle of 18.90 to 19.00.
        assert!(depths.contains(&"19.15\u{a0}mm"), "{depths:?}");
        // Through 19.05 from the lap's floor.
        assert!(depths.iter().any(|depth| depth.starts_with("through, 19.05\u{a0}mm")), "{depths:?}");
    }

    #[test]
    fn whatever_is_measured_is_gauged_before_the_part_leaves_the_set_up_that_makes_it() {
        for (build, seat_in, count) in
            [(Build::Lapped, SeatIn::Bars, 2), (Build::Sandwich, SeatIn::Bars, 1), (Build::Lapped, SeatIn::Arms, 2)]
        {
            let mut project = None;
            let plans = plans(|given| {
                given.bars.build = build;
                let joints = given.joints.as_mut().expect("joints");
                (joints.seat_in, joints.per_hinge) = (Some(seat_in), Some(count));
                project = Some(given.clone());
            });
            let tolerances = project.and_then(|project| project.tolerances);
            for (part, operations) in plans {
                let gauged_in = |name: &str| -> Vec<u32> {
                    let has = |op: &&Operation| op.gauge.iter().any(|line| line.starts_with(&format!("{name}:")));
                    operations.iter().filter(has).map(|op| op.number).collect()
                };
                for row in part.characteristics(tolerances.as_ref()) {
                    let found = gauged_in(&row.name);
                    // Where its last cut is: the ends and bores when the first face is up, the rest of the ends after.
                    let expected: &[u32] = match row.name.as_str() {
                        "width" | "depth" => &[10],
                        "length" => &[20, 30],
                        "centre distance" | "lowest pivot from lower end" => &[20],
                        name if name.starts_with("screw") || name.starts_with("countersinks") => &[40],
                        name if name.ends_with(" offset") || name.ends_with(" bore") => &[20],
                        name => {
                            assert!(!found.is_empty(), "{name} of {}", part.number);
                            continue;
                        }
                    };
                    assert_eq!(found, expected, "{} of {}", row.name, part.number);
                }
                // One seat in each hinge, from different faces: each where it is cut.
                for hinge in part.hinges.iter().filter(|hinge| hinge.pressed_from.len() == 1 && hinge.web.is_some()) {
                    let up = if hinge.pressed_from[0] == Mouth::Outer { "outer face up" } else { "inner face up" };
                    let numbers = gauged_in(&format!("{} seat", hinge.name));
                    let there = operations.iter().find(|op| op.title.contains(up)).map(|op| op.number);
                    assert_eq!(numbers, Vec::from_iter(there), "{} of {}", hinge.name, part.number);
                }
            }
        }
    }

    #[test]
    fn minutes_are_those_of_setting_up_changing_tools_and_cutting() {
        for (_, operations) in plans(|_| {}) {
            let face = &operations[1];
            // Ten to set up, half a minute for each tool: the mill of the laps, those of the bores, the chamfer mill.
            assert!((face.set_up - 10.0).abs() < 1e-9 && face.changes() >= 2);
            let tools = face.cuts.windows(2).filter(|two| two[0].tool != two[1].tool).count() + 1;
            assert_eq!(face.changes(), tools);
            let by_hand = 10.0
                + 0.5 * f64::from(u32::try_from(tools).expect("a few"))
                + face.cuts.iter().map(|cut| (10.0 * cut.minutes).round() / 10.0).sum::<f64>();
            assert!((face.minutes() - by_hand).abs() <= 0.5 + 1e-9, "{} {by_hand}", face.minutes());
            // Saw and bench have no spindle to change a tool in.
            assert_eq!((operations[0].changes(), operations[0].minutes()), (0, 2.0));
            assert_eq!(operations.last().map(Operation::changes), Some(0));
        }
    }
}
