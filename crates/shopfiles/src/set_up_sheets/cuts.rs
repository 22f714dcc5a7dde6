//! Cuts of a set-up, each with its tool, speed, feed, depth and time.

use std::f64::consts::PI;

use overarm_solver::parts::SEAT_DEEPER_MM;
use overarm_solver::{BoreStep, Edge, HingeBore, MM_PER_INCH, Mouth, Pocket, PocketKind, StepKind, Units, area_within};

use super::cutting::{chip_thinning, feed, helix_pitch, inside_bore};
use super::operations::{Cut, Heights, Planner};
use super::tooling::Shop;
use crate::sheet::figures::{bore, decimal, length, range, with_unit};

/// Left on a bore for the boring head, and for the reamer, on the diameter, mm (common practice, no source).
const LEFT_FOR_BORING: f64 = 0.3;
const LEFT_FOR_REAMING: f64 = 0.2;
/// A drill that is followed by an end mill is smaller than the bore by this, mm (common practice, no source).
const LEFT_FOR_TRUING: f64 = 1.0;
/// Left on a wall and a floor for the last cut, mm (common practice, no source).
const LEFT_ON_WALL: f64 = 0.2;
/// Width of a cut on a floor as a share of the cutter's diameter (common practice, no source).
const FLOOR_SHARE: f64 = 0.7;
/// Above the work a tool comes at its feed, mm.
const APPROACH: f64 = 2.0;
/// Feed of a chamfer mill, mm/min (common practice, no source).
const CHAMFER_FEED: f64 = 200.0;
/// Speed and advance of a reamer, in those of a drill (common practice, no source).
const REAMING: [f64; 2] = [0.5, 2.0];
/// Speed of a boring head in that of a mill, its advance in a turn, mm, and how often it goes through with a look at the
/// gauge between, minutes each (common practice, no source).
const BORING_SPEED: f64 = 0.4;
const BORING_ADVANCE: f64 = 0.05;
const BORING_PASSES: f64 = 3.0;
const GAUGING: f64 = 1.0;
/// Nose of the boring bar, mm: a small bearing's corner is round by 0.3 at least (ISO 15), and has to come down to the
/// web.
const BORING_NOSE: f64 = 0.2;
/// An end mill goes down a drilled bore by this in a round, mm (common practice, no source).
const TRUING_PITCH: f64 = 1.0;
/// Diameter of a spotting drill, mm, and minutes of a spot (common practice, no source).
const SPOTTING_DRILL: f64 = 6.0;
const SPOTTING: f64 = 0.2;
/// Drills go this deep, in their diameters, before they are withdrawn for the first time; then by one each (common
/// practice, no source).
const FIRST_PECK: f64 = 3.0;
/// Speed of a countersink, in that of a drill, and its advance in a turn, mm (common practice, no source).
const SINK_SPEED: f64 = 0.3;
const SINK_ADVANCE: f64 = 0.1;

/// Cuts of all hinges are done stage by stage.
mod stage {
    pub const SPOT: u8 = 0;
    pub const OPEN: u8 = 1;
    pub const ROUGH: u8 = 2;
    pub const LEAD_IN: u8 = 3;
    pub const FIT: u8 = 4;
}

/// A chuck, collet nut or boring head may be this wide from its axis, mm (common practice, no source).
pub(super) const WIDEST_NOSE: f64 = 30.0;

impl Planner<'_> {
    /// Chip of one tooth of an end mill, mm.
    fn chip(&self, diameter: f64) -> f64 {
        self.cutting.chip_share * Shop::chip(diameter)
    }

    /// Advance of a drill in one turn, mm.
    fn drill_advance(&self, diameter: f64) -> f64 {
        self.cutting.chip_share * Shop::drill_advance(diameter)
    }

    /// Turns of an end mill, and its feed where it stands in the work by half of its diameter or more.
    fn milling(&self, mill: f64) -> [f64; 2] {
        let turns = self.shop.turns(self.cutting.mill_speed, mill);
        [turns, feed(turns, self.shop.teeth, self.chip(mill))]
    }

    /// Roughing and finishing of a pocket: floor, then wall.
    pub fn pocket(&self, pocket: &Pocket) -> Vec<(u8, Cut)> {
        let shop = &self.shop;
        let (deep, stays) = (pocket.depth(), self.part.depth - pocket.depth());
        let mill = self.project.bars.cutter_diameter();
        let [turns, full] = self.milling(mill);
        let passes = (deep / (shop.pass_share * mill)).ceil().max(1.0);
        let rough = full * chip_thinning(shop.rough_share);
        let edge: f64 = Edge::of(&pocket.contour).map(|edge| length_of(&edge)).sum();
        let path = pocket.area() / (shop.rough_share * mill);
        let what = match pocket.kind {
            PocketKind::HalfLap => "half lap",
            PocketKind::Relief => "relief",
        };
        // Of the drawing, where a part has several.
        let pockets = self.part.pockets();
        let numbers: Vec<usize> = self
            .part
            .pocket_corners()
            .iter()
            .filter(|corner| pockets.len() > 1 && pockets.get(corner.pocket) == Some(pocket))
            .map(|corner| corner.number)
            .collect();
        let what = match (numbers.first(), numbers.last()) {
            (Some(first), Some(last)) => format!("{what}, corners {first} to {last},"),
            _ => what.to_owned(),
        };
        // The cutter's whole end is on the floor; on the wall it is no wider in the work than what was left.
        let wall = full * chip_thinning(shop.finish_share.max(LEFT_ON_WALL / mill));
        let tool = self.end_mill(mill);
        let reach = Some(deep + APPROACH);
        let left = self.say(LEFT_ON_WALL);
        let enter = if self.part.runs_out(pocket) {
            "come in from its open side".to_owned()
        } else {
            format!("ramp in at {}°", shop.ramp_deg)
        };
        let cut = |what: String, feed: f64, depth: String, minutes: f64| Cut {
            what,
            tool: tool.clone(),
            reach,
            speeds: self.speeds(turns, feed),
            depth,
            minutes,
        };
        let name = format!("{what} after {}.dxf", self.part.file_stem());
        vec![
            (
                0,
                cut(
                    format!("Rough {name}, {left} left; {enter}"),
                    rough,
                    format!("to {} in {passes:.0} passes", self.height(stays + LEFT_ON_WALL)),
                    passes * path / rough,
                ),
            ),
            (
                1,
                cut(
                    format!("Finish floor of {what}").trim_end_matches(',').to_owned(),
                    full,
                    format!("to {}", self.height(stays)),
                    pocket.area() / (FLOOR_SHARE * mill) / full,
                ),
            ),
            (
                2,
                cut(
                    format!("Finish wall of {}, {left} wide", what.trim_end_matches(',')),
                    wall,
                    format!("to {}, whole height", self.height(stays)),
                    edge / wall,
                ),
            ),
        ]
    }

    /// Cuts of a stretch of a bore, each with its stage.
    pub fn bore(&self, name: &str, hinge: &HingeBore, step: &BoreStep, heights: &Heights) -> Vec<(u8, Cut)> {
        let name = format!("{name} {}", step.kind.words());
        let through = opening(hinge, step).is_none();
        // What stays at the laps is thinner than the models have it.
        let whole = heights.floor.unwrap_or(hinge.high() - hinge.low());
        // From the bore's own mouth that lies up, to the middle of what a seat may be deep.
        let deep = match heights.up {
            // Out at the far face: the second set-up is found on it.
            _ if through => whole,
            Mouth::Outer => hinge.high() - step.z[0],
            Mouth::Inner => step.z[1] - hinge.low(),
        };
        let deep = if step.kind == StepKind::Seat && !through { deep + 0.5 * SEAT_DEEPER_MM } else { deep };
        // What stands beside the bore over the lap is higher than its mouth.
        let over = match heights.floor {
            Some(floor) if self.part.room_beside(hinge) < WIDEST_NOSE => self.part.depth - floor,
            _ => 0.0,
        };
        let depth = if through {
            format!("through, {}", self.say(deep))
        } else {
            let deep_below = with_unit(&decimal(deep, self.units), self.units);
            format!("to {}, {deep_below} deep", self.height(heights.mouth - deep))
        };
        let mut cuts = match step.kind {
            StepKind::LeadIn => vec![(stage::LEAD_IN, self.lead_in(&name, step, depth))],
            StepKind::Web => vec![(stage::OPEN, self.web(&name, step, [deep, over], depth))],
            _ => self.fitted(&name, step, [deep, over], &depth),
        };
        if over > 0.0 {
            for (_, cut) in &mut cuts {
                cut.reach = Some(cut.reach.unwrap_or(APPROACH) + over);
            }
        }
        cuts
    }

    fn lead_in(&self, name: &str, step: &BoreStep, depth: String) -> Cut {
        let widest = step.diameter[0].max(step.diameter[1]);
        Cut {
            what: format!("{name} to Ø{}", length(widest, self.units)),
            tool: "chamfer mill for 30° to the axis".to_owned(),
            reach: None,
            speeds: self.speeds(self.shop.turns(0.5 * self.cutting.mill_speed, widest), CHAMFER_FEED),
            depth,
            minutes: 0.3,
        }
    }

    fn web(&self, name: &str, step: &BoreStep, [deep, over]: [f64; 2], depth: String) -> Cut {
        let diameter = step.diameter[0];
        match self.shop.mill_for_bore(diameter, deep + over + APPROACH) {
            Some(mill) => {
                let what = format!("{name} Ø{}: helix", length(diameter, self.units));
                self.helix(what, diameter, mill, deep, &depth)
            }
            None => self.drill(format!("{name}: drill Ø{}", length(diameter, self.units)), diameter, deep, depth),
        }
    }

    /// A bore with a fit: helix and boring head, or drill, end mill and reamer where no end mill goes in by itself.
    fn fitted(&self, name: &str, step: &BoreStep, [deep, over]: [f64; 2], depth: &str) -> Vec<(u8, Cut)> {
        let diameter = step.diameter[0];
        let limits = step.limits.map(|limits| [limits.lower, limits.upper].map(|off| diameter + off));
        let size = limits.map_or_else(
            || format!("{} (no limits are given)", bore(diameter, self.units)),
            |limits| range(limits, self.units),
        );
        let smallest = limits.map_or(diameter, |[least, _]| least);
        if let Some(mill) = self.shop.mill_for_bore(smallest, deep + over + APPROACH) {
            let rough = smallest - LEFT_FOR_BORING;
            let helix =
                self.helix(format!("{name}: helix to Ø{}", length(rough, self.units)), rough, mill, deep, depth);
            return vec![(stage::ROUGH, helix), (stage::FIT, self.boring(name, diameter, &size, deep, depth))];
        }
        let mut cuts = vec![(stage::SPOT, self.spot(format!("{name}: spot")))];
        let rough = smallest - LEFT_FOR_REAMING;
        let truing = self.shop.mill_for_truing(rough, deep + over + APPROACH);
        let drill = if truing.is_some() { diameter - LEFT_FOR_TRUING } else { rough };
        let what = format!("{name}: drill Ø{}", length(drill, self.units));
        cuts.push((stage::OPEN, self.drill(what, drill, deep, depth.to_owned())));
        if let Some(mill) = truing {
            cuts.push((stage::ROUGH, self.truing(name, rough, mill, deep, depth)));
        }
        let [turns, feed] = self.reaming(diameter);
        cuts.push((
            stage::FIT,
            Cut {
                what: format!("{name}: ream to Ø{size}; gauge"),
                tool: self.reamer(diameter, limits),
                reach: Some(deep + APPROACH),
                speeds: self.speeds(turns, feed),
                depth: depth.to_owned(),
                minutes: (deep + APPROACH) / feed + GAUGING,
            },
        ));
        cuts
    }

    fn helix(&self, what: String, diameter: f64, mill: f64, deep: f64, depth: &str) -> Cut {
        let [turns, rim] = self.milling(mill);
        // The rim's feed, slower at the cutter's centre.
        let centre = rim * inside_bore(diameter, mill);
        let path = diameter - mill;
        let pitch = helix_pitch(path, self.shop.ramp_deg.to_radians());
        let rounds = (deep + APPROACH) / pitch + 1.0;
        Cut {
            what,
            tool: self.end_mill(mill),
            reach: Some(deep + APPROACH),
            speeds: self.speeds(turns, centre),
            depth: format!("{depth}; {} a round ({}°)", self.say(pitch), self.shop.ramp_deg),
            minutes: rounds * PI * path / centre,
        }
    }

    fn boring(&self, name: &str, diameter: f64, size: &str, deep: f64, depth: &str) -> Cut {
        let turns = self.shop.turns(BORING_SPEED * self.cutting.mill_speed, diameter);
        let feed = turns * self.cutting.chip_share * BORING_ADVANCE;
        Cut {
            what: format!("{name}: bore to Ø{size}; gauge between cuts"),
            tool: format!("boring head for Ø{}, nose {} at most", self.say(diameter), self.say(BORING_NOSE)),
            reach: Some(deep + APPROACH),
            speeds: self.speeds(turns, feed),
            depth: depth.to_owned(),
            minutes: BORING_PASSES * ((deep + APPROACH) / feed + GAUGING),
        }
    }

    /// An end mill sets a drilled bore where it belongs.
    fn truing(&self, name: &str, diameter: f64, mill: f64, deep: f64, depth: &str) -> Cut {
        let [turns, rim] = self.milling(mill);
        let centre = rim * inside_bore(diameter, mill);
        let rounds = (deep + APPROACH) / TRUING_PITCH + 1.0;
        Cut {
            what: format!("{name}: helix to Ø{}, so that it lies true", length(diameter, self.units)),
            tool: self.end_mill(mill),
            reach: Some(deep + APPROACH),
            speeds: self.speeds(turns, centre),
            depth: format!("{depth}; {} a round", self.say(TRUING_PITCH)),
            minutes: rounds * PI * (diameter - mill) / centre,
        }
    }

    fn spot(&self, what: String) -> Cut {
        let turns = self.shop.turns(self.cutting.drill_speed, SPOTTING_DRILL);
        Cut {
            what,
            tool: "spotting drill, 90° to 120°".to_owned(),
            reach: None,
            speeds: self.speeds(turns, turns * self.drill_advance(SPOTTING_DRILL)),
            depth: "a small cone".to_owned(),
            minutes: SPOTTING,
        }
    }

    fn drill(&self, what: String, diameter: f64, deep: f64, depth: String) -> Cut {
        let turns = self.shop.turns(self.cutting.drill_speed, diameter);
        let feed = turns * self.drill_advance(diameter);
        let pecks = pecks(deep, diameter);
        Cut {
            what,
            tool: format!("drill Ø{}, high-speed steel", self.say(diameter)),
            reach: Some(deep + APPROACH),
            speeds: self.speeds(turns, feed),
            depth: if pecks > 1.0 { format!("{depth}, {pecks:.0} pecks") } else { depth },
            minutes: (deep * (1.0 + 0.2 * pecks) + APPROACH) / feed,
        }
    }

    /// Turns and feed.
    fn reaming(&self, diameter: f64) -> [f64; 2] {
        let turns = self.shop.turns(REAMING[0] * self.cutting.drill_speed, diameter);
        [turns, REAMING[1] * turns * self.drill_advance(diameter)]
    }

    /// A reamer that cuts within limits: one of a listed size where there is one, 0.01 mm or 0.0005 in apart (common
    /// practice, no source), low in them because a reamer cuts a little wider than it is.
    fn reamer(&self, diameter: f64, limits: Option<[f64; 2]>) -> String {
        const LOW: f64 = 0.2;
        let Some([least, most]) = limits else {
            return format!("reamer Ø{}", with_unit(&bore(diameter, self.units), self.units));
        };
        let apart = match self.units {
            Units::Millimetre => 0.01,
            _ => 0.000_5 * MM_PER_INCH,
        };
        let listed = ((least + LOW * (most - least)) / apart).ceil() * apart;
        if listed < most {
            format!("reamer Ø{}", with_unit(&bore(listed, self.units), self.units))
        } else {
            format!("reamer ground to cut Ø{}", with_unit(&range([least, most], self.units), self.units))
        }
    }

    /// An end mill as it is asked for.
    fn end_mill(&self, diameter: f64) -> String {
        format!("end mill Ø{}, {} teeth", self.say(diameter), self.shop.teeth)
    }

    /// The ends, or all round where the stock is larger than the part, down to a height.
    pub fn contour(&self, deep: f64, height: &str, first: bool) -> Cut {
        let shop = &self.shop;
        let part = self.part;
        let mill = shop.mill_for_ends(self.project.bars.cutter_diameter(), part.depth);
        let [turns, full] = self.milling(mill);
        let edges: Vec<Edge> = Edge::of(&part.outline).collect();
        // The long edges stay as drawn from the mill where the stock has the part's own section.
        let ends = part.stock.allowance()[0].abs() < 1e-6;
        let is_long = |edge: &Edge| edge.is_line() && part.along.perp(&edge.heading(0.5)).abs() < 1e-6;
        let milled: f64 = edges.iter().filter(|edge| !(ends && is_long(edge))).map(length_of).sum();
        // All that is outside of the part is cut away, and the last cut follows the edge.
        let away = (part.stock.width * part.stock.cut_length - area_within(&edges)).max(0.0);
        let rough = (away / (shop.rough_share * mill)).max(milled);
        let passes = (deep / (shop.pass_share * mill)).ceil().max(1.0);
        // A stadium has two straight edges and two round ones; more are a land's.
        let land = part.datum.is_none() && edges.len() > 4;
        let what = match (ends, part.datum.is_some()) {
            (true, true) => "Mill both ends to length",
            (true, false) if land => "Mill both half-round ends and the stop's land",
            (true, false) => "Mill both half-round ends",
            (false, _) => "Mill the contour",
        };
        Cut {
            what: format!("{what}, {}", if first { "as deep as this face allows" } else { "the rest" }),
            tool: self.end_mill(mill),
            reach: Some(deep + APPROACH),
            speeds: self.speeds(turns, full),
            depth: format!("to {height} in {passes:.0} passes"),
            minutes: (passes * rough + milled) / full,
        }
    }

    /// Holes for screws and their countersinks.
    pub fn screw_cuts(&self) -> Vec<Cut> {
        let part = self.part;
        let Some(hole) = part.screw_holes.first() else { return Vec::new() };
        #[allow(clippy::cast_precision_loss)] // a handful of screws
        let count = part.screw_holes.len() as f64;
        let mut places: Vec<f64> = part.screw_holes.iter().map(|hole| part.above_lower_end(hole.from)).collect();
        places.sort_by(f64::total_cmp);
        let places: Vec<String> = places.iter().map(|at| decimal(*at, self.units)).collect();
        let at = format!("at X {}, Y {}", places.join(", "), decimal(hole.z, self.units));
        let times = |cut: Cut| Cut { minutes: count * cut.minutes, ..cut };
        let depth = format!("through, {}", self.say(hole.length()));
        let drill = self.drill(
            format!("Drill Ø{} there", length(hole.diameter, self.units)),
            hole.diameter,
            hole.length(),
            depth,
        );
        let sink = hole.countersink;
        let turns = self.shop.turns(SINK_SPEED * self.cutting.drill_speed, sink.diameter);
        let countersink = Cut {
            what: format!(
                "Countersink to Ø{}: the head {} below the face",
                length(sink.diameter, self.units),
                self.say(hole.head_below_face())
            ),
            tool: format!("countersink {:.0}°", sink.angle_deg),
            reach: None,
            speeds: self.speeds(turns, SINK_ADVANCE * turns),
            depth: self.say(hole.countersink_depth()),
            minutes: 0.3,
        };
        vec![times(self.spot(format!("Spot {at}"))), times(drill), times(countersink)]
    }
}

/// The face that a stretch of a bore is cut from; `None` where either will do.
pub(super) fn opening(hinge: &HingeBore, step: &BoreStep) -> Option<Mouth> {
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

/// How often a drill is withdrawn, at least once at the end.
fn pecks(deep: f64, diameter: f64) -> f64 {
    1.0 + (deep / diameter - FIRST_PECK).ceil().max(0.0)
}

/// mm.
fn length_of(edge: &Edge) -> f64 {
    match edge.circle() {
        Some((_, radius)) => radius * edge.turn().abs(),
        None => (edge.to - edge.from).norm(),
    }
}
