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

/// The tool of what is done by hand.
pub(super) const BY_HAND: &str = "hand";

/// One cut.
pub(super) struct Cut {
    pub what: String,
    pub tool: String,
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
    /// Setting up, changing tools and cutting, minutes.
    pub minutes: f64,
    /// The face that lies up, for the sketch; `None` where it stands on its edge.
    pub up: Option<Mouth>,
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
            minutes: self.shop.set_up,
            up,
        }
    }

    /// Sets the time and what is gauged.
    fn closed(&self, mut operation: Operation, gauged: impl Fn(&str) -> bool) -> Operation {
        #[allow(clippy::cast_precision_loss)] // a handful of cuts
        let changes = operation.cuts.len() as f64 * self.shop.tool_change;
        operation.minutes += changes + operation.cuts.iter().map(|cut| cut.minutes).sum::<f64>();
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
            tool: "saw".to_owned(),
            speeds: None,
            depth: "—".to_owned(),
            minutes: 2.0,
        });
        operation.minutes = 2.0;
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
        for (index, hinge) in part.hinges.iter().enumerate() {
            // From the web outwards to the mouth.
            let order = |step: &&BoreStep| match step.kind {
                StepKind::Web => 0,
                StepKind::LeadIn => 2,
                _ => 1,
            };
            let mut steps: Vec<&BoreStep> =
                hinge.steps.iter().filter(|step| opening(hinge, step).map_or(first, |face| face == up)).collect();
            steps.sort_by_key(order);
            for step in steps {
                let name = format!("H{} {}", index + 1, step.kind.words());
                // From the bore's own mouth that lies up.
                let whole = hinge.high() - hinge.low();
                let through = opening(hinge, step).is_none();
                let deep = match up {
                    // Out at the far face: the second set-up is found on it.
                    _ if through => whole,
                    Mouth::Outer => hinge.high() - step.z[0],
                    Mouth::Inner => step.z[1] - hinge.low(),
                };
                operation.cuts.push(self.bore(&name, step, deep, through));
            }
        }
        // Milled through what stands above the jaws; the rest when it is turned over.
        operation.cuts.push(self.contour(first));
        let side = up.words();
        let single = part.hinges.iter().all(|hinge| hinge.pressed_from.len() < 2);
        let has_pockets = pockets.iter().any(|pocket| pocket.opens == up);
        let from_up = part.hinges.iter().any(|hinge| hinge.pressed_from.contains(&up));
        self.closed(operation, move |name| {
            let seat = name.contains(" seat") && (name.ends_with(side) || (single && from_up));
            let by_first = name == "centre distance" || name.ends_with(" offset") || name.ends_with(" bore");
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
        let tool =
            format!("end mill Ø{}, {} teeth, reach {} or more", self.say(mill), shop.teeth, self.say(deep + APPROACH));
        vec![
            Cut {
                what: format!(
                    "Rough {what} after {}.dxf, {} left; ramp in at {}°",
                    self.part.file_stem(),
                    self.say(LEFT_ON_WALL),
                    shop.ramp_deg
                ),
                tool: tool.clone(),
                speeds: self.speeds(turns, rough),
                depth: format!("{} in {passes:.0} passes", self.say(deep - LEFT_ON_WALL)),
                minutes: passes * path / rough,
            },
            Cut {
                what: format!("Finish {what}: floor, then wall, {} wide", self.say(LEFT_ON_WALL)),
                tool,
                speeds: self.speeds(turns, finish),
                depth: self.say(deep),
                minutes: (pocket.area() / (0.7 * mill) + edge) / finish,
            },
        ]
    }

    /// A bore by a helix, or by a drill where no end mill goes in.
    fn bore(&self, name: &str, step: &BoreStep, deep: f64, through: bool) -> Cut {
        let shop = &self.shop;
        let (kind, cut) = (step.kind, if through { deep } else { step.depth() });
        let depth = if through { format!("through, {}", self.say(deep)) } else { self.say(deep) };
        let [one, other] = step.diameter;
        let (diameter, widest) = (one.min(other), one.max(other));
        if kind == StepKind::LeadIn {
            return Cut {
                what: format!("{name} to Ø{}", bore(widest, self.units)),
                tool: "chamfer mill for 30° to the axis".to_owned(),
                speeds: self.speeds(shop.turns(0.5 * self.cutting.mill_speed, widest), 200.0),
                depth: self.say(deep),
                minutes: 0.3,
            };
        }
        let Some(mill) = shop.mill_for_bore(diameter, deep) else {
            let turns = shop.turns(self.cutting.drill_speed, diameter);
            let feed = turns * self.drill_advance(diameter);
            return Cut {
                what: format!("{name} Ø{}: drill, then ream; gauge", bore(diameter, self.units)),
                tool: format!("drill Ø{}, then reamer", self.say(diameter - LEFT_ON_BORE)),
                speeds: self.speeds(turns, feed),
                depth,
                minutes: 2.0 * (cut + APPROACH) / feed,
            };
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
        Cut {
            what,
            tool: if kind == StepKind::Web {
                format!(
                    "end mill Ø{}, {} teeth, reach {} or more",
                    self.say(mill),
                    shop.teeth,
                    self.say(cut + APPROACH)
                )
            } else {
                format!("end mill Ø{}, {} teeth", self.say(mill), shop.teeth)
            },
            speeds: self.speeds(turns, centre),
            depth: if through {
                format!("{depth}, {} a round ({}°)", self.say(pitch), shop.ramp_deg)
            } else {
                format!("to {depth} below its mouth, {} a round ({}°)", self.say(pitch), shop.ramp_deg)
            },
            minutes: (rounds + if fits { 2.0 } else { 0.0 }) * PI * path / centre + if fits { 1.0 } else { 0.0 },
        }
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
            tool: format!("end mill Ø{}, {} teeth", self.say(mill), shop.teeth),
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
            tool: format!("drill Ø{}, high-speed steel, long", self.say(hole.diameter)),
            speeds: self.speeds(turns, advance),
            depth: format!("{}, {pecks:.0} pecks", self.say(hole.length())),
            minutes: count * (hole.length() * (1.0 + 0.5 * pecks) + APPROACH) / advance,
        });
        let sink = hole.countersink;
        let turns = shop.turns(0.3 * self.cutting.drill_speed, sink.diameter);
        operation.cuts.push(Cut {
            what: format!(
                "Countersink to Ø{}: the head {} below the face",
                length(sink.diameter, self.units),
                self.say(hole.head_below_face())
            ),
            tool: format!("countersink {:.0}°", sink.angle_deg),
            speeds: self.speeds(turns, 0.1 * turns),
            depth: self.say(hole.countersink_depth()),
            minutes: count * 0.3,
        });
        self.closed(operation, |name| {
            name.starts_with("screw") || name.starts_with("countersinks") || name == "lowest pivot from lower end"
        })
    }

    fn last(&self, number: u32) -> Operation {
        let part = self.part;
        let mut operation = self.operation(number, "Bench", None);
        operation.zero = "none".to_owned();
        operation.holding = "soft jaws".to_owned();
        operation.minutes = 0.0;
        let plain = |what: String, minutes: f64| Cut {
            what,
            tool: BY_HAND.to_owned(),
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
        #[allow(clippy::cast_precision_loss)] // a handful of cuts
        let changes = operation.cuts.len() as f64 * self.shop.tool_change;
        operation.minutes = operation.cuts.iter().map(|cut| cut.minutes).sum::<f64>() + changes;
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
}
