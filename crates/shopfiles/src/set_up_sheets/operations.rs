//! What is done to a part in which order: each clamping with its work zero, what is held where, its cuts, and what
//! is gauged before the part leaves it.

use overarm_solver::parts::MILLED_MM;
use overarm_solver::{BoreStep, EDGE_BREAK_MM, Gauge, HingeBore, Mouth, Part, Pocket, Project, StepKind, Units};

use super::cuts::{WIDEST_NOSE, opening};
use super::tooling::{Cutting, Shop};
use crate::sheet::figures::{at_most, bore, decimal, length, range, with_unit};

/// Of a part's depth the jaws hold this share at least, where the half laps leave it (common practice, no source).
const HELD: f64 = 1.0 / 3.0;
/// How far ends that are milled stand out of the jaws, mm (common practice, no source).
const ENDS_OUT: f64 = 5.0;
/// The cuts of the two faces pass each other by this at the ends, mm (common practice, no source).
const PASSED: f64 = 0.5;
/// Stays between a cut and the jaws below it, mm, but no more than a share of the depth (common practice, no source).
const OFF_JAWS: f64 = 2.0;
const OFF_JAWS_OF_DEPTH: f64 = 0.125;
/// A part longer than this, mm, is held by two vices (a vice of 150 mm jaws; common practice, no source).
const ONE_VICE: f64 = 300.0;

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
pub(super) struct Planner<'a> {
    pub part: &'a Part,
    pub project: &'a Project,
    pub shop: Shop,
    pub units: Units,
    /// How the part's material is cut, for paths and times as if it were aluminium where that is not known.
    pub cutting: Cutting,
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
    pub fn say(&self, mm: f64) -> String {
        with_unit(&length(mm, self.units), self.units)
    }

    /// A height over the work zero, as it is keyed in.
    pub fn height(&self, mm: f64) -> String {
        format!("Z\u{a0}{}", decimal(mm, self.units).replace('-', "−"))
    }

    pub fn speeds(&self, turns: f64, feed: f64) -> Option<[f64; 2]> {
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
        let mut has_laps = false;
        for row in rows.into_iter().filter(|row| gauged(&row.name)) {
            if row.name.starts_with(LAPS) {
                // Many and coarse: one line for all.
                has_laps = true;
                continue;
            }
            let limits = row.limits.map_or_else(|| bore(row.nominal, self.units), |limits| range(limits, self.units));
            let doubt = row.doubt.map_or_else(String::new, |doubt| format!("; {doubt}"));
            operation.gauge.push(format!("{}: {limits}, {}{doubt}", row.name, in_the_vice(row.gauge)));
        }
        if has_laps {
            let by = with_unit(&at_most(MILLED_MM, self.units), self.units);
            operation.gauge.push(format!(
                "laps, corners 1 to {} of drawing and inspection.csv: places and radii ±{by}, edge finder and the mill's \
                 scales",
                self.part.pocket_corners().len()
            ));
        }
        operation
    }

    fn sawing(&self) -> Operation {
        let stock = &self.part.stock;
        let mut operation = self.operation(10, "Saw", None);
        operation.zero = "none".to_owned();
        operation.holding = "saw's vice, against its stop".to_owned();
        let edge = if self.part.datum.is_some() { "the fixed edge (datum A)" } else { "one long edge" };
        operation.cuts.push(Cut {
            what: format!(
                "Saw {} × {} to {}; deburr. Mark {edge} and the inner face.",
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

    /// What stays at the half laps, mm: the middle of its limits; `None` where nothing is cut.
    fn lap(&self) -> Option<f64> {
        self.part.lap_limits().map(|[least, most]| 0.5 * (least + most))
    }

    /// How deep the ends are milled from the first face, mm: down to the jaws, no deeper than the mill reaches.
    fn ends_deep(&self) -> f64 {
        let depth = self.part.depth;
        // Below the laps' floors, which run out at the sides.
        let held = (HELD * depth).min(self.lap().map_or(depth, |lap| lap - self.off_jaws()));
        let reach = self.shop.mill_reach * self.shop.mill_for_ends(self.project.bars.cutter_diameter(), depth);
        (depth - held - self.off_jaws()).min(reach.max(0.5 * depth))
    }

    /// From a cut to the jaws, mm.
    fn off_jaws(&self) -> f64 {
        OFF_JAWS.min(OFF_JAWS_OF_DEPTH * self.part.depth)
    }

    /// Where work zero and bores lie when a face lies up.
    fn heights(&self, up: Mouth, first: bool) -> Heights {
        let lap = self.lap().filter(|_| first);
        Heights { up, floor: lap, mouth: lap.unwrap_or(0.0) }
    }

    fn face(&self, number: u32, up: Mouth, pockets: &[Pocket], first: bool) -> Operation {
        let part = self.part;
        let title = if first {
            format!("First face: {} up", up.words())
        } else {
            format!("Turned over: {} up, on the found bore", up.words())
        };
        let mut operation = self.operation(number, &title, Some(up));
        operation.holding = self.holding(up, first);
        operation.zero = self.zero(up, first);
        let heights = self.heights(up, first);
        // Round the ends before the laps are open: what is sawn off there never stands thin and alone.
        let rest = part.depth - self.ends_deep() + PASSED;
        let [deep, floor] = if first { [self.ends_deep(), part.depth - self.ends_deep()] } else { [rest, -rest] };
        let floor = if heights.floor.is_some() || !first { floor } else { -deep };
        operation.cuts.push(self.contour(deep, &self.height(floor), first));
        let here: Vec<&Pocket> = pockets.iter().filter(|pocket| pocket.opens == up).collect();
        let mut cuts: Vec<(u8, Cut)> = here.iter().flat_map(|pocket| self.pocket(pocket)).collect();
        cuts.sort_by_key(|(stage, _)| *stage);
        operation.cuts.extend(cuts.into_iter().map(|(_, cut)| cut));
        let cut_here = |hinge: &HingeBore, step: &BoreStep| opening(hinge, step).map_or(first, |face| face == up);
        let hinges = || (1..).zip(&part.hinges);
        // From the web outwards to the mouth, both hinges with one tool before the next one.
        let mut cuts: Vec<(u8, Cut)> = hinges()
            .flat_map(|(number, hinge): (usize, &HingeBore)| hinge.steps.iter().map(move |step| (number, hinge, step)))
            .filter(|(_, hinge, step)| cut_here(hinge, step))
            .flat_map(|(number, hinge, step)| self.bore(&format!("H{number}"), hinge, step, &heights))
            .collect();
        cuts.sort_by_key(|(stage, _)| *stage);
        operation.cuts.extend(cuts.into_iter().map(|(_, cut)| cut));
        let side = up.words();
        let has_pockets = !here.is_empty();
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
                || (has_pockets && (name == "thickness at the half laps" || name.starts_with(LAPS)))
                || (!first && (name == "length" || name.ends_with(" end, radius")))
        })
    }

    fn holding(&self, up: Mouth, first: bool) -> String {
        let part = self.part;
        let vice = if part.stock.cut_length > ONE_VICE { "two vices in line" } else { "vice" };
        let down = if up == Mouth::Outer { "inner face" } else { "outer face" };
        let across = if part.datum.is_some() {
            "fixed edge (datum A) against the fixed jaw"
        } else {
            "the marked long edge against the fixed jaw"
        };
        let cut = if first { self.ends_deep() } else { part.depth - self.ends_deep() + PASSED };
        // A bar's laps run out at its edges: turned over, only what is above them is held, and only ends are milled.
        let by_whole_half = !first && self.lap().is_some() && part.datum.is_some() && self.mills_only_ends();
        let above = if by_whole_half { self.off_jaws() } else { cut + self.off_jaws() };
        let held = part.depth - above;
        let ends = if by_whole_half {
            format!("; its ends {} or more out of them", self.say(ENDS_OUT))
        } else {
            String::new()
        };
        let how = format!(
            "{vice}, {down} down on parallels clear of H1 and H2, {across}, {} between the jaws, {} above them{ends}",
            self.say(held),
            self.say(above)
        );
        let Some(lap) = self.lap() else { return how };
        if !first {
            return format!(
                "{how}; under the laps' floors packing as high as they are deep ({}: measure it), clear of H1 and H2",
                self.say(part.depth - lap)
            );
        }
        let beside: Vec<String> = (1..)
            .zip(&part.hinges)
            .map(|(number, hinge)| (number, part.room_beside(hinge)))
            .filter(|(_, room)| *room < WIDEST_NOSE)
            .map(|(number, room): (usize, f64)| format!("{} off the axis of H{number}", self.say(room)))
            .collect();
        if beside.is_empty() {
            return how;
        }
        format!(
            "{how}; once the laps are open, {} of bar stands {}: what is wider than that stays above it",
            self.say(part.depth - lap),
            beside.join(" and ")
        )
    }

    /// Whether the long edges stay as drawn from the mill.
    fn mills_only_ends(&self) -> bool {
        self.part.stock.allowance()[0].abs() < 1e-6
    }

    fn zero(&self, up: Mouth, first: bool) -> String {
        let part = self.part;
        if !first {
            let seats = part.hinges.iter().any(|hinge| hinge.bearing.is_some());
            let why = if seats { ", which the seats are measured from" } else { "" };
            return format!(
                "X0 Y0 on H1, indicated in its bore; H2 indicated to lie along X; Z0 on the {}{why}",
                up.words()
            );
        }
        // Bar as drawn from the mill is not as deep as it should be: what stays is measured from the other face.
        let height = match (self.lap(), up) {
            (None, _) => format!("Z0 on the {}", up.words()),
            (Some(_), Mouth::Outer) => "Z0 on the parallels, where the inner face (datum B) lies".to_owned(),
            (Some(_), Mouth::Inner) => "Z0 on the parallels, where the outer face lies".to_owned(),
        };
        let left_at_ends = part.stock.cut_length - part.stock.finished_length;
        match part.datum {
            Some(_) => format!(
                "X0 Y0 on the axis of H1: {} from datum A and {} from the sawn lower end, found with an edge finder; {height}",
                part.hinges.first().and_then(|hinge| part.offset(hinge)).map_or_else(String::new, |off| self.say(off)),
                part.hinges.first().map_or_else(String::new, |hinge| self
                    .say(part.above_lower_end(hinge.centre) + 0.5 * left_at_ends))
            ),
            None => format!(
                "X0 Y0 on the axis of H1: the middle of the width, found with an edge finder on both edges, and {} from the \
                 sawn end; {height}",
                self.say(0.5 * part.stock.finished[0] + 0.5 * left_at_ends)
            ),
        }
    }

    fn screws(&self) -> Operation {
        let mut operation = self.operation(40, "On its fixed edge, for the screws", None);
        operation.zero = "X0 on the lower end, Y0 on the inner face, Z0 on the upper edge".to_owned();
        operation.holding =
            "vice, inner face against the fixed jaw, fixed edge down on parallels clear of the drill".to_owned();
        if self.lap().is_some() {
            operation.holding += "; packing between the moving jaw and the laps' floors where it would bear on air";
        }
        operation.cuts = self.screw_cuts();
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
                self.say(EDGE_BREAK_MM),
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

/// Rows of the laps' corners begin with this.
const LAPS: &str = "laps, ";

/// Where the work zero lies, and from where bores are sunk.
pub(super) struct Heights {
    pub up: Mouth,
    /// Height of the laps' floor over the work zero, mm, where that lies on the parallels below.
    pub floor: Option<f64>,
    /// Height over the work zero, mm, of the face that bores open in.
    pub mouth: f64,
}

/// How a characteristic is gauged while the part is still clamped, where a surface plate and an anvil below do not come
/// to it.
fn in_the_vice(gauge: Gauge) -> String {
    match gauge {
        Gauge::Micrometer => "indicator over the parallels, set by gauge blocks".to_owned(),
        Gauge::PinAndHeightGauge => "edge finder on datum A, bore indicated, the mill's scales".to_owned(),
        Gauge::PinsAndMicrometer => "pins and micrometer over them, or both bores indicated and the scales".to_owned(),
        other => other.to_string().split(',').next().unwrap_or_default().to_owned(),
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
        let first = &plans[0].1[1];
        assert!(first.zero.contains("32.00\u{a0}mm from the sawn lower end"), "{}", first.zero);
        // Bar as drawn from the mill is 37.8 to 38.4 deep: a floor measured from its upper face would miss the limits.
        assert!(first.zero.contains("Z0 on the parallels, where the inner face (datum B) lies"), "{}", first.zero);
        assert!(first.holding.contains("inner face down on parallels"), "{}", first.holding);
        assert!(first.holding.contains("fixed edge (datum A) against the fixed jaw"), "{}", first.holding);
        let depths: Vec<&str> = first.cuts.iter().map(|cut| cut.depth.as_str()).collect();
        // The middle of 18.90 to 19.00 stays; 0.2 more before the last cut.
        assert!(
            depths.contains(&"to Z\u{a0}18.95") && depths.iter().any(|depth| depth.starts_with("to Z\u{a0}19.15 in"))
        );
        // Through what stays, and 7.00 to 7.05 down from there.
        assert!(depths.iter().any(|depth| depth.starts_with("through, 18.95\u{a0}mm")), "{depths:?}");
        let seat = first.cuts.iter().find(|cut| cut.what.starts_with("H1 bearing seat: bore")).expect("a seat");
        assert!(seat.what.contains("Ø21.972 to 21.993"), "{}", seat.what);
        let height: f64 =
            seat.depth.split(['\u{a0}', ',']).nth(1).and_then(|text| text.parse().ok()).expect("a height");
        assert!((7.0..=7.05).contains(&(18.95 - height)), "{height}");
        // On the other side the seats are measured from the face that lies up.
        let second = &plans[0].1[2];
        assert!(second.zero.contains("Z0 on the inner face, which the seats are measured from"), "{}", second.zero);
        assert!(second.holding.contains("packing as high as they are deep (19.15\u{a0}mm"), "{}", second.holding);
    }

    #[test]
    fn the_jaws_hold_a_third_and_no_cut_comes_to_them() {
        for build in [Build::Lapped, Build::Sandwich] {
            for depth in [8.0, 12.7, 19.05, 25.4, 38.1, 50.8] {
                let plans = plans(|project| {
                    let bars = &mut project.bars;
                    bars.build = build;
                    bars.cutter_diameter = Some(12.7);
                    for bar in [&mut bars.wall_bar, &mut bars.panel_bar] {
                        bar.depth = depth;
                    }
                    for arm in [&mut bars.lower_arm, &mut bars.upper_arm] {
                        arm.depth = depth;
                    }
                });
                for (part, operations) in plans {
                    let figure = |text: &str, before: &str| -> f64 {
                        let words: Vec<&str> = text.split(['\u{a0}', ' ', ';']).collect();
                        let end = words.windows(before.split(' ').count()).position(|found| found.join(" ") == before);
                        words[end.unwrap_or_else(|| panic!("{before} in {text}")) - 2].parse().expect("a figure")
                    };
                    let mut deep = Vec::new();
                    for operation in &operations[1..3] {
                        let held = figure(&operation.holding, "between the");
                        let above = figure(&operation.holding, "above them");
                        assert!((held + above - part.depth).abs() < 0.011, "{}", operation.holding);
                        // A third where the laps leave it, else up to just below them.
                        let laps = part.lap_limits().map_or(f64::INFINITY, |[least, _]| least);
                        let off = 2.0_f64.min(depth / 8.0);
                        assert!(held >= (part.depth / 3.0).min(laps - off) - 0.06, "{held} of {depth}");
                        let first = operation.number == 20;
                        assert!(!first || held <= laps - 0.9 * off, "{held} below laps at {laps}");
                        // A bar that is turned over is held by the half that is whole, and only its ends are cut.
                        if operation.holding.contains("out of them") {
                            assert!(!first && part.datum.is_some() && part.lap_limits().is_some());
                            let above_laps = held - (part.depth - laps);
                            assert!(above_laps >= 0.5 * laps, "{above_laps} of {depth}");
                        }
                        // Z counts from the parallels of a lapped part's first face, else from the face that lies up.
                        let z = operation.cuts[0].depth.split(['\u{a0}', ' ']).nth(2).expect("a height");
                        let z: f64 = z.replace('−', "-").parse().expect("a height");
                        let lowest = if z < 0.0 { part.depth + z } else { z };
                        let ends_out = operation.holding.contains("out of them");
                        assert!(ends_out || lowest >= held + 0.9 * off, "cut down to {lowest}, held {held} of {depth}");
                        deep.push(part.depth - lowest);
                    }
                    // Both faces' cuts meet.
                    assert!(deep[0] + deep[1] > part.depth + 0.4, "{deep:?} of {depth}");
                }
            }
        }
    }

    #[test]
    fn floors_are_cut_at_the_full_chips_feed_and_walls_faster() {
        let plans = plans(|_| {});
        let cut = |words: &str| {
            let cuts = &plans[0].1[1].cuts;
            cuts.iter().find(|cut| cut.what.contains(words)).and_then(|cut| cut.speeds).expect("a cut with speeds")
        };
        // 6000 · 3 · 0.003 in; radial chip thinning 1/(2√(r − r²)) is 1 from half of the diameter on and 1.6667 at a
        // tenth, as published calculators print it.
        let full = 6000.0 * 3.0 * 0.0762;
        assert!((cut("floor of half lap")[1] - full).abs() < 0.1);
        assert!((cut("wall of half lap")[1] - 1.6667 * full).abs() < 1.0);
        assert!((cut("Mill both ends")[1] - full).abs() < 0.1);
    }

    #[test]
    fn half_round_ends_take_their_whole_way() {
        let plans = plans(|_| {});
        let (part, operations) = &plans[2];
        let cut = operations[1].cuts.iter().find(|cut| cut.what.contains("half-round")).expect("ends");
        let [_, feed] = cut.speeds.expect("aluminium");
        // Two half rounds of 25.4, at least once in each pass of half the cutter, down to 2 above the jaws' third.
        let passes = ((2.0 * part.depth / 3.0 - 2.0) / (0.5 * 9.525)).ceil();
        assert!(cut.minutes >= passes * std::f64::consts::PI * 25.4 / feed, "{}", cut.minutes);
    }

    #[test]
    fn bores_are_cut_within_their_limits_by_tools_that_fit_them() {
        let plans = plans(|_| {});
        for (part, operations) in &plans {
            for cut in &operations[1].cuts {
                if let Some(size) = cut.tool.strip_prefix("reamer Ø") {
                    let size: f64 = size.split('\u{a0}').next().and_then(|text| text.parse().ok()).expect("a size");
                    // P7 at 8 mm: −9/−24 µm (ISO 286).
                    assert!((7.976..=7.991).contains(&size), "{size} of {}", part.number);
                    assert!(cut.what.contains("7.976 to 7.991"), "{}", cut.what);
                }
            }
            // One tool after the other, both hinges with each.
            let tools: Vec<&str> = operations[1].cuts.iter().map(|cut| cut.tool.as_str()).collect();
            let mut seen = Vec::new();
            for tool in &tools {
                if seen.last() != Some(tool) {
                    seen.push(*tool);
                }
            }
            assert!(operations[1].changes() == seen.len() && seen.len() <= 6, "{seen:?}");
        }
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
                let gauged_with = |words: &str| -> Vec<u32> {
                    let has = |op: &&Operation| op.gauge.iter().any(|line| line.starts_with(words));
                    operations.iter().filter(has).map(|op| op.number).collect()
                };
                for row in part.characteristics(tolerances.as_ref()) {
                    // Corners of laps are told together.
                    let name = if row.name.starts_with(LAPS) { "laps, corners" } else { row.name.as_str() };
                    let found = if name == row.name { gauged_in(name) } else { gauged_with(name) };
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
