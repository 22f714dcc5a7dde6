//! What is measured on a finished part: each characteristic with its limits and its gauge.

use std::fmt;

use crate::parts::{HingeBore, Part, StepKind};
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
}

impl fmt::Display for Gauge {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self {
            Self::Caliper => f.write_str("caliper"),
            Self::Micrometer => f.write_str("micrometer"),
            Self::DepthMicrometer => f.write_str("depth micrometer"),
            Self::Plug { go, no_go } => write!(f, "plug gauge, go {go:.3} no-go {no_go:.3}, or bore micrometer"),
            Self::PinsAndMicrometer => f.write_str("pins in both bores and micrometer over them"),
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
            found.push(Characteristic { name, nominal, limits, gauge });
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
            bore_characteristics(hinge, &mut add);
        }
        if let Some([least, most]) = self.lap_limits() {
            let middle = 0.5 * (least + most);
            add("thickness at the half laps".into(), middle, Some([least, most]), Gauge::Micrometer);
        }
        for hole in &self.screw_holes {
            let at = self.above_lower_end(hole.from);
            add(format!("{} from lower end", hole.name), at, either_way(at, PLACE_MM), Gauge::Caliper);
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
        add("width".into(), width, either_way(width, EXTRUDED_MM), Gauge::Caliper);
        add("depth".into(), depth, either_way(depth, EXTRUDED_MM), Gauge::Caliper);
        found
    }

    /// Least and most that stays at the half laps, mm: thinner than the solids' layer by
    /// [`LAP_THINNER_MM`]; `None` where nothing is cut. Its middle is what is milled to.
    #[must_use]
    pub fn lap_limits(&self) -> Option<[f64; 2]> {
        let kept = self.kept().filter(|_| self.layers.len() > 1)?;
        let thick = kept.z[1] - kept.z[0];
        let [least, most] = LAP_THINNER_MM;
        Some([thick - most, thick - least])
    }

    /// How far a hinge's axis lies from the edge that the part is fixed with, mm, positive within the
    /// part; `None` of an arm.
    #[must_use]
    pub fn offset(&self, hinge: &HingeBore) -> Option<f64> {
        let [from, to] = self.datum?;
        let off = (to - from).normalize().perp(&(hinge.centre - from));
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

fn bore_characteristics(hinge: &HingeBore, add: &mut impl FnMut(String, f64, Option<[f64; 2]>, Gauge)) {
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
                add(format!("{} seat{face}", hinge.name), nominal, limits, plug);
                let deep = hinge.seat_depth;
                if hinge.web.is_some_and(|web| web > 0.0) {
                    let limits = Some([deep, deep + SEAT_DEEPER_MM]);
                    add(format!("{} seat depth{face}", hinge.name), deep, limits, Gauge::DepthMicrometer);
                }
            }
            StepKind::Pin | StepKind::Plain => add(format!("{} bore", hinge.name), nominal, limits, plug),
            StepKind::Web => {
                let limits = Some([nominal - MILLED_MM, nominal + MILLED_MM]);
                add(format!("{} clearance bore", hinge.name), nominal, limits, Gauge::Caliper);
            }
            StepKind::LeadIn => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::parts::parts;
    use crate::{Options, Project, analyse};

    #[test]
    fn what_is_measured_on_the_chapel_hatch_boards_parts() {
        let project: Project =
            serde_json::from_str(include_str!("../../../../demo/chapel-hatch.overarm.json")).expect("a project");
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
            for (mine, theirs) in rows.iter().zip(&others) {
                assert!(
                    mine.name == theirs.name && (mine.nominal - theirs.nominal).abs() < 1e-9,
                    "{mine:?} {theirs:?}"
                );
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
        // 8 to 20 µm of interference with every 608 (22 mm, 0/−9 µm): 21.980 to 21.983.
        let seat = named("lower pivot seat, outer face");
        assert_eq!(seat.gauge.to_string(), "plug gauge, go 21.980 no-go 21.983, or bore micrometer");
        // From the upper end: 9.3, then 64 apart; the bar is 146.58 long.
        assert!((named("screw 1 from lower end").nominal - 137.28).abs() < 1e-9);
        assert!((named("screw 3 from lower end").nominal - 9.28).abs() < 1e-9);
        // Without tolerances there are no limits to keep.
        let plain = parts[0].characteristics(None);
        assert!(plain[0].limits.is_none() && plain[0].name == "centre distance");
    }
}
