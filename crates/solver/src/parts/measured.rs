//! What is measured on a finished part: each characteristic with its limits and its gauge.

use std::fmt;

use crate::parts::{EDGE_BREAK_MM, HingeBore, Part, StepKind, ToNext};
use crate::project::{PartName, Point, Tolerances};

/// What a characteristic is measured with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Gauge {
    /// A caliper reads to 0.02 mm.
    Caliper,
    /// An outside micrometer.
    Micrometer,
    /// A depth micrometer.
    DepthMicrometer,
    /// A plug whose one end goes in and whose other end does not, mm.
    Plug {
        /// The smallest bore.
        go: f64,
        /// The largest.
        no_go: f64,
    },
    /// Pins that fill two bores, and a micrometer over them.
    PinsAndMicrometer,
    /// A pin in the bore, the datum edge on a surface plate, and a height gauge.
    PinAndHeightGauge,
    /// The mill's own scales and an edge finder, or a height gauge.
    Scales,
    /// A pin in the bore that an arc is about, and a caliper from it: half of the pin is added.
    PinAndCaliper,
}

impl fmt::Display for Gauge {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self {
            Self::Caliper => f.write_str("caliper"),
            Self::Micrometer => f.write_str("micrometer"),
            Self::DepthMicrometer => f.write_str("depth micrometer"),
            Self::Plug { go, no_go } => write!(f, "plug gauge, go {go:.3} no-go {no_go:.3}, or bore micrometer"),
            Self::PinsAndMicrometer => f.write_str("pins in both bores and micrometer over them"),
            Self::Scales => f.write_str("edge finder and the mill's scales, or height gauge"),
            Self::PinAndCaliper => {
                f.write_str("pin in the bore that it is about and caliper from it, half of the pin added")
            }
            Self::PinAndHeightGauge => f.write_str("pin in the bore and height gauge from the datum edge"),
        }
    }
}

/// One characteristic of one part, mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Characteristic {
    /// What it is: "centre distance", "lower pivot offset", "lower pivot seat, outer face", …; each
    /// once in a part.
    pub name: String,
    /// What is aimed at: as drawn, the middle of its limits at the half laps.
    pub nominal: f64,
    /// Smallest and largest that will do; `None` where the project gives no tolerance.
    pub limits: Option<[f64; 2]>,
    /// How it is measured.
    pub gauge: Gauge,
    /// Why it has no limits, or limits that a small shop cannot hold, and what to give; `None` where it has good ones.
    pub doubt: Option<String>,
}

/// Sizes of extruded bar may be off by this, mm (common practice for 25 to 40 mm, no source).
pub const EXTRUDED_MM: f64 = 0.3;
/// Sizes without a fit that a mill makes, mm, either way (common practice, no source).
pub const MILLED_MM: f64 = 0.1;
/// Places of ends and screw holes, mm, either way (common practice, no source).
pub const PLACE_MM: f64 = 0.2;
/// How much deeper than its bearing a seat may be, mm: flush or a hair below.
pub const SEAT_DEEPER_MM: f64 = 0.05;
/// How much thinner than half the depth what stays at a half lap is, mm, least and most: two of
/// them, with a shim on the pin, run free of each other (common practice, no source).
pub const LAP_THINNER_MM: [f64; 2] = [0.05, 0.15];

impl Part {
    /// Everything that is measured before the part leaves the shop, in the order of a sheet.
    #[must_use]
    pub fn characteristics(&self, tolerances: Option<&Tolerances>) -> Vec<Characteristic> {
        let mut found = Vec::new();
        let mut add = |name: String, nominal: f64, limits: Option<[f64; 2]>, gauge: Gauge| {
            let doubt = limits.is_none().then(|| "no limits: no tolerance is given (tolerances)".to_owned());
            found.push(Characteristic { name, nominal, limits, gauge, doubt });
        };
        let either_way = |nominal: f64, by: f64| Some([nominal - by, nominal + by]);
        let length = tolerances.and_then(|given| given.length);
        let offset = tolerances.and_then(|given| given.offset);
        if let [first, second] = self.hinges.as_slice() {
            let apart = (second.centre - first.centre).norm();
            let limits = length.and_then(|by| either_way(apart, by));
            add("centre distance".into(), apart, limits, Gauge::PinsAndMicrometer);
        }
        for hinge in &self.hinges {
            if let Some(from) = self.offset(hinge) {
                let limits = offset.and_then(|by| either_way(from, by));
                add(format!("{} offset", hinge.name), from, limits, Gauge::PinAndHeightGauge);
            }
        }
        if self.datum.is_some()
            && let Some(lower) = self.hinges.iter().map(|hinge| self.above_lower_end(hinge.centre)).reduce(f64::min)
        {
            add("lowest pivot from lower end".into(), lower, either_way(lower, PLACE_MM), Gauge::Caliper);
        }
        for hinge in &self.hinges {
            found.extend(bore_characteristics(hinge));
        }
        let mut add = |name: String, nominal: f64, limits: Option<[f64; 2]>, gauge: Gauge| {
            found.push(Characteristic { name, nominal, limits, gauge, doubt: None });
        };
        if let Some([least, most]) = self.lap_limits() {
            let middle = 0.5 * (least + most);
            add("thickness at the half laps".into(), middle, Some([least, most]), Gauge::Micrometer);
        }
        let corners = self.pocket_corners();
        for corner in &corners {
            let places = ["X", "Y"].into_iter().zip(corner.from_datums).zip(corner.is_cut);
            for ((axis, at), _) in places.filter(|(_, is_cut)| *is_cut) {
                let name = format!("laps, corner {} at {axis}", corner.number);
                add(name, at, either_way(at, MILLED_MM), Gauge::Scales);
            }
            let next = corners[corner.next - 1].at;
            if let ToNext::Arc { radius, about } = corner.to_next
                && (next - corner.at).norm() > 2.0 * EDGE_BREAK_MM
            {
                let name = format!("laps, radius from corner {}", corner.number);
                let is_about_bore = self.hinges.iter().any(|hinge| (hinge.centre - about).norm() < 1e-3);
                let gauge = if is_about_bore { Gauge::PinAndCaliper } else { Gauge::Scales };
                add(name, radius, either_way(radius, MILLED_MM), gauge);
            }
        }
        for hole in &self.screw_holes {
            let at = self.above_lower_end(hole.from);
            add(format!("{} from lower end", hole.name), at, either_way(at, PLACE_MM), Gauge::Caliper);
            add(format!("{} from inner face", hole.name), hole.z, either_way(hole.z, PLACE_MM), Gauge::Caliper);
        }
        if let Some(hole) = self.screw_holes.first() {
            let d = hole.diameter;
            add("screw holes, diameter".into(), d, Some([d, d + 2.0 * MILLED_MM]), Gauge::Caliper);
            let wide = hole.countersink.diameter;
            add("countersinks, diameter".into(), wide, Some([wide, wide + 2.0 * MILLED_MM]), Gauge::Caliper);
        }
        let [width, depth] = self.stock.finished;
        let long = self.stock.finished_length;
        add("length".into(), long, either_way(long, PLACE_MM), Gauge::Caliper);
        if self.datum.is_none() {
            for hinge in &self.hinges {
                let name = format!("{} end, radius", hinge.name.trim_end_matches(" pivot"));
                // Half of what the bar may be wide.
                add(name, 0.5 * width, either_way(0.5 * width, 0.5 * EXTRUDED_MM), Gauge::PinAndCaliper);
            }
        }
        add("width".into(), width, either_way(width, EXTRUDED_MM), Gauge::Caliper);
        add("depth".into(), depth, either_way(depth, EXTRUDED_MM), Gauge::Caliper);
        found
    }

    /// Least and most that stays at the half laps, mm: thinner than the solids' layer by
    /// [`LAP_THINNER_MM`]; `None` where nothing is cut. Its middle is what models have and is milled to.
    #[must_use]
    pub fn lap_limits(&self) -> Option<[f64; 2]> {
        let kept = self.kept().filter(|_| self.layers.len() > 1)?;
        let thick = kept.z[1] - kept.z[0];
        let [least, most] = LAP_THINNER_MM;
        let either_way = 0.5 * (most - least);
        Some([thick - either_way, thick + either_way])
    }

    /// How far a hinge's axis lies from the edge that the part is fixed with, mm, positive within the
    /// part; `None` of an arm.
    #[must_use]
    pub fn offset(&self, hinge: &HingeBore) -> Option<f64> {
        self.off_datum(hinge.centre)
    }

    /// Likewise of any place.
    pub(super) fn off_datum(&self, at: Point) -> Option<f64> {
        let [from, to] = self.datum?;
        let off = (to - from).normalize().perp(&(at - from));
        // The part lies right of a wall bar's edge walked upwards, left of a panel bar's; mirrored,
        // the other way round.
        let turned = (self.name == PartName::WallBar) == (self.hand == crate::parts::Hand::Left);
        Some(if turned { -off } else { off })
    }

    /// How far a place is up from the lower end of a wall or panel bar, mm.
    #[must_use]
    pub fn above_lower_end(&self, at: Point) -> f64 {
        let low = self.outline.iter().map(|vertex| vertex.at.coords.dot(&self.along)).fold(f64::INFINITY, f64::min);
        at.coords.dot(&self.along) - low
    }
}

fn bore_characteristics(hinge: &HingeBore) -> Vec<Characteristic> {
    let mut found = Vec::new();
    let mut add = |name: String, nominal: f64, limits: Option<[f64; 2]>, gauge: Gauge, doubt: Option<String>| {
        found.push(Characteristic { name, nominal, limits, gauge, doubt });
    };
    let middle = 0.5 * (hinge.low() + hinge.high());
    for step in &hinge.steps {
        let nominal = step.diameter[0];
        let limits = step.limits.map(|limits| [nominal + limits.lower, nominal + limits.upper]);
        let plug = limits.map_or(Gauge::Caliper, |[go, no_go]| Gauge::Plug { go, no_go });
        match step.kind {
            StepKind::Seat => {
                let face = if hinge.pressed_from.len() > 1 {
                    let at = 0.5 * (step.z[0] + step.z[1]);
                    if at < middle { ", inner face" } else { ", outer face" }
                } else {
                    ""
                };
                add(format!("{} seat{face}", hinge.name), nominal, limits, plug, hinge.doubt.clone());
                let deep = hinge.seat_depth;
                if hinge.web.is_some_and(|web| web > 0.0) {
                    let limits = Some([deep, deep + SEAT_DEEPER_MM]);
                    add(format!("{} seat depth{face}", hinge.name), deep, limits, Gauge::DepthMicrometer, None);
                }
            }
            StepKind::Pin | StepKind::Plain => {
                add(format!("{} bore", hinge.name), nominal, limits, plug, hinge.doubt.clone());
            }
            StepKind::Web => {
                let limits = Some([nominal - MILLED_MM, nominal + MILLED_MM]);
                add(format!("{} clearance bore", hinge.name), nominal, limits, Gauge::Caliper, None);
            }
            StepKind::LeadIn => {}
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use crate::parts::parts;
    use crate::{Options, analyse};

    #[test]
    fn what_is_measured_on_the_chapel_hatch_boards_parts() {
        let project = crate::samples::demo_board();
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let parts = parts(&project, &analysis.solids);
        for (part, twin) in parts[..4].iter().zip(&parts[4..]) {
            let rows = part.characteristics(project.tolerances.as_ref());
            let mut names: Vec<&str> = rows.iter().map(|row| row.name.as_str()).collect();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), rows.len(), "each once");
            for row in &rows {
                let [lower, upper] = row.limits.expect("limits");
                assert!(lower < upper && row.nominal >= lower - 0.05 && row.nominal <= upper + 0.1, "{row:?}");
            }
            let others = twin.characteristics(project.tolerances.as_ref());
            assert_eq!(rows.len(), others.len());
            for (mine, theirs) in rows.iter().zip(&others) {
                // Across an arm's axis the other hand lies on the other side.
                let is_across = part.datum.is_none() && mine.name.ends_with("at Y");
                let theirs_here = if is_across { -theirs.nominal } else { theirs.nominal };
                assert!(mine.name == theirs.name && (mine.nominal - theirs_here).abs() < 1e-9, "{mine:?} {theirs:?}");
            }
        }
        let wall = parts[0].characteristics(project.tolerances.as_ref());
        // Half of 38.1 less 0.05 to 0.15: aimed at within its own limits.
        let lap = wall.iter().find(|row| row.name == "thickness at the half laps").expect("a half lap");
        let [least, most] = lap.limits.expect("limits");
        assert!((least - 18.9).abs() < 1e-9 && (most - 19.0).abs() < 1e-9 && (lap.nominal - 18.95).abs() < 1e-9);
        let named = |name: &str| wall.iter().find(|row| row.name == name).expect("the characteristic");
        // tests/golden: 90.097732; 0.02 either way. 15.62 off the wall; 0.03 either way.
        let apart = named("centre distance");
        assert!((apart.nominal - 90.097_732).abs() < 1e-6);
        assert!((apart.limits.expect("limits")[1] - apart.nominal - 0.02).abs() < 1e-9);
        assert!((named("lower pivot offset").nominal - 15.62).abs() < 1e-9);
        assert!((named("lowest pivot from lower end").nominal - 30.0).abs() < 1e-9);
        // N7 at 22 mm: −7/−28 µm (ISO 286).
        let seat = named("lower pivot seat, outer face");
        assert_eq!(seat.gauge.to_string(), "plug gauge, go 21.972 no-go 21.993, or bore micrometer");
        assert_eq!(seat.doubt, None);
        // From the upper end: 9.3, then 64 apart; the bar is 146.58 long.
        assert!((named("screw 1 from lower end").nominal - 137.28).abs() < 1e-9);
        assert!((named("screw 3 from lower end").nominal - 9.28).abs() < 1e-9);
        // Middle of the half that stays: 19.05 by 2.
        let across = named("screw 2 from inner face");
        assert!((across.nominal - 9.525).abs() < 1e-9 && across.limits.is_some());
        // The fixed edge itself is not measured from itself.
        let across = |row: &&super::Characteristic| row.name.starts_with("laps, ") && row.name.ends_with("at Y");
        assert!(wall.iter().filter(across).all(|row| row.nominal.abs() > 0.5 && (row.nominal - 60.0).abs() > 0.5));
        let lap = named("laps, corner 1 at X");
        let [least, most] = lap.limits.expect("limits");
        assert!((lap.nominal - least - 0.1).abs() < 1e-9 && (most - lap.nominal - 0.1).abs() < 1e-9);
        let arm = parts[2].characteristics(project.tolerances.as_ref());
        for end in ["wall end, radius", "panel end, radius"] {
            let end = arm.iter().find(|row| row.name == end).expect("a half-round end");
            // As wide as 25.4 ± 0.3 allows.
            let [least, most] = end.limits.expect("limits");
            assert!((least - 12.55).abs() < 1e-9 && (most - 12.85).abs() < 1e-9);
            assert!((end.nominal - 12.7).abs() < 1e-9 && end.gauge == super::Gauge::PinAndCaliper);
        }
        // About the bores with half of 25.4 and 0.4 more; the cutter's own radius by its places.
        let lap_arcs = wall.iter().filter(|row| row.name.starts_with("laps, radius"));
        assert!(lap_arcs.clone().count() > 2);
        for row in lap_arcs {
            assert_eq!(row.gauge == super::Gauge::PinAndCaliper, (row.nominal - 13.1).abs() < 1e-6, "{row:?}");
        }
        // Without tolerances there are no limits to keep.
        let plain = parts[0].characteristics(None);
        assert!(plain[0].limits.is_none() && plain[0].name == "centre distance");
        assert!(plain[0].doubt.as_deref().is_some_and(|doubt| doubt.contains("tolerances")));
    }

    #[test]
    fn seats_without_limits_that_can_be_held_say_so() {
        let said = |housing: serde_json::Value| {
            let mut project = crate::samples::demo_board();
            project.joints.as_mut().expect("joints").housing = serde_json::from_value(housing).expect("a fit");
            let analysis = analyse(&project, &Options { poses: 2, swept: false });
            let rows = parts(&project, &analysis.solids)[0].characteristics(project.tolerances.as_ref());
            let seat = rows.iter().find(|row| row.name == "lower pivot seat, outer face").expect("a seat").clone();
            (seat.limits.is_some(), seat.doubt.unwrap_or_default())
        };
        // 8 to 20 µm with a 608 of 0/−9 µm leave 3 µm; IT6 at 22 mm is 13 µm (ISO 286-1 table 1).
        let (has_limits, doubt) = said(serde_json::json!({"interference": [0.008, 0.020]}));
        assert!(has_limits && doubt.contains("3 µm apart") && doubt.contains("13 µm"), "{doubt}");
        let (has_limits, doubt) = said(serde_json::json!({"interference": [0.010, 0.018]}));
        assert!(!has_limits && doubt.contains("no bore fits every bearing"), "{doubt}");
        let (has_limits, doubt) = said(serde_json::Value::Null);
        assert!(!has_limits && doubt.contains("joints.housing"), "{doubt}");
        assert_eq!(said(serde_json::json!("N7")), (true, String::new()));
    }
}
