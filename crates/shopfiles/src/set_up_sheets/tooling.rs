//! What a small shop has, and how fast it cuts: a table with its sources, any part of which a project
//! may give anew under `shop`.

use std::collections::BTreeMap;

use overarm_solver::{Project, Units};
use serde::Deserialize;

/// Feet per minute in metres per minute.
const FEET: f64 = 0.3048;
const INCH: f64 = 25.4;

/// Chip of one tooth by diameter, in; aluminium, carbide end mills (Harvey Tool, chip loads in
/// aluminium; read in a public copy).
const CHIPS: [(f64, f64); 8] = [
    (0.125, 0.001),
    (0.1875, 0.002),
    (0.25, 0.002),
    (0.375, 0.003),
    (0.5, 0.004),
    (0.625, 0.005),
    (0.75, 0.006),
    (1.0, 0.007),
];
/// Advance per turn of a drill up to a diameter, in: the lower ends of Machinery's Handbook ranges, up to 1/8 in
/// 0.001 to 0.003, to 1/4 in 0.002 to 0.006, to 1/2 in 0.004 to 0.010, to 1 in 0.007 to 0.015, above 0.010 to 0.025.
const DRILL_ADVANCE: [(f64, f64); 5] =
    [(0.125, 0.001), (0.25, 0.002), (0.5, 0.004), (1.0, 0.007), (f64::INFINITY, 0.010)];
/// End mills of a shop that works in inches.
const INCH_MILLS: [f64; 4] = [3.175, 6.35, 9.525, 12.7];

/// How a material is cut.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Cutting {
    /// Of carbide, m/min.
    pub mill_speed: f64,
    /// Of high-speed-steel drills, m/min.
    pub drill_speed: f64,
    /// Chips of teeth and drills, as a share of those in aluminium.
    #[serde(default = "whole")]
    pub chip_share: f64,
    /// Where its figures come from.
    #[serde(default)]
    pub source: String,
}

fn whole() -> f64 {
    1.0
}

impl Cutting {
    /// Wrought aluminium alloys.
    pub fn aluminium() -> Self {
        Self {
            // The lower end of Harvey Tool's 800 to 1500 ft/min.
            mill_speed: 800.0 * FEET,
            // Solution-treated and aged (Machinery's Handbook).
            drill_speed: 350.0 * FEET,
            chip_share: 1.0,
            source: "milling: General Machining Guidelines (Harvey Tool), carbide in aluminium 800 to 1500 ft/min, its low \
                     end, and its chips by diameter, read in a public copy; drilling: Machinery's Handbook, 350 ft/min for \
                     aged alloys, and the lower ends of its advances"
                .to_owned(),
        }
    }

    fn is_usable(&self) -> bool {
        [self.mill_speed, self.drill_speed, self.chip_share].iter().all(|figure| *figure > 0.0 && figure.is_finite())
    }
}

/// A shop's machine and tools.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(default)]
pub(super) struct Shop {
    /// The spindle's fastest, turns per minute.
    pub most_turns: f64,
    /// Materials by a word of their names, beside the wrought aluminium alloys that are known; the same word
    /// replaces what is known.
    pub materials: BTreeMap<String, Cutting>,
    /// End mills at hand, diameters in mm, each with three teeth.
    pub end_mills: Vec<f64>,
    /// Teeth of them.
    pub teeth: u32,
    /// How deep an end mill reaches, in its diameters (common practice, no source).
    pub mill_reach: f64,
    /// Ramp into the full, degrees: 2, where charts for end mills of every make overlap.
    pub ramp_deg: f64,
    /// Depth of one pass as a share of the cutter's diameter (common practice, no source).
    pub pass_share: f64,
    /// Width of a roughing cut as a share of the diameter (common practice, no source).
    pub rough_share: f64,
    /// Width of a finishing cut as a share of the diameter (common practice, no source).
    pub finish_share: f64,
    /// Minutes to change a tool, and to set a part up (common practice, no source).
    pub tool_change: f64,
    /// As above.
    pub set_up: f64,
    /// Whether the project gives the end mills.
    #[serde(skip)]
    pub has_own_mills: bool,
}

impl Default for Shop {
    fn default() -> Self {
        Self {
            most_turns: 6000.0,
            materials: BTreeMap::new(),
            end_mills: vec![4.0, 6.0, 9.525, 12.0],
            teeth: 3,
            mill_reach: 4.0,
            ramp_deg: 2.0,
            pass_share: 0.5,
            rough_share: 0.4,
            finish_share: 0.1,
            tool_change: 0.5,
            set_up: 10.0,
            has_own_mills: false,
        }
    }
}

impl Shop {
    /// The table where a project gives none, with end mills of the unit that it works in.
    pub fn usual(units: Units) -> Self {
        match units {
            Units::Millimetre => Self::default(),
            Units::Inch | Units::FeetInch => Self { end_mills: INCH_MILLS.to_vec(), ..Self::default() },
        }
    }

    /// A table as a project gives it; `None` where it cannot be used.
    pub fn read(given: &serde_json::Value) -> Option<Self> {
        serde_json::from_value::<Self>(given.clone()).ok().filter(Self::is_usable)
    }

    /// The project's own where it gives one that can be used, else the table.
    pub fn of(project: &Project) -> Self {
        let usual = Self::usual(project.units());
        let read = project.more.get("shop").and_then(|given| Some((Self::read(given)?, given)));
        let mut shop = read.map_or_else(
            || usual.clone(),
            |(shop, given)| match given.get("end_mills") {
                Some(_) => shop,
                None => Self { end_mills: usual.end_mills.clone(), ..shop },
            },
        );
        shop.has_own_mills = shop.end_mills != usual.end_mills;
        // The cutter that inside corners are made for is at hand.
        let cutter = project.bars.cutter_diameter();
        if !shop.end_mills.iter().any(|mill| (mill - cutter).abs() < 1e-6) {
            shop.end_mills.push(cutter);
        }
        shop.end_mills.sort_by(f64::total_cmp);
        shop
    }

    fn is_usable(&self) -> bool {
        let sizes = [self.most_turns, self.mill_reach, self.pass_share];
        let shares = [self.rough_share, self.finish_share];
        sizes.iter().all(|size| *size > 0.0 && size.is_finite())
            && shares.iter().all(|share| *share > 0.0 && *share <= 1.0)
            && self.materials.values().all(Cutting::is_usable)
            && self.end_mills.iter().all(|mill| *mill > 0.0 && mill.is_finite())
            && self.teeth > 0
            && (0.1..=30.0).contains(&self.ramp_deg)
            && [self.tool_change, self.set_up].iter().all(|minutes| *minutes >= 0.0 && minutes.is_finite())
    }

    /// The largest end mill that can helix in a bore down to a depth: no more than 0.7 of it, so that chips
    /// get out (common practice, no source), and long enough.
    pub fn mill_for_bore(&self, bore: f64, deep: f64) -> Option<f64> {
        const OF_BORE: f64 = 0.7;
        let fits = |mill: &f64| *mill <= OF_BORE * bore && deep <= self.mill_reach * mill;
        self.end_mills.iter().rev().copied().find(fits)
    }

    /// How a material is cut: the project's own figures for it, else those known; `None` of one that is not.
    pub fn cutting(&self, material: &str) -> Option<Cutting> {
        const ALUMINIUM: [&str; 5] = ["6061", "6082", "5083", "aluminium", "aluminum"];
        let material = material.to_lowercase();
        let own = self.materials.iter().find(|(word, _)| material.contains(&word.to_lowercase()));
        let known = || ALUMINIUM.iter().any(|word| material.contains(word)).then(Cutting::aluminium);
        own.map(|(_, cutting)| cutting.clone()).or_else(known)
    }

    /// Each figure that a set-up sheet uses, and where it comes from.
    pub fn sources(&self, material: &str) -> Vec<[String; 2]> {
        const PRACTICE: &str = "common practice, no source";
        const PROJECT: &str = "the project";
        let usual = Self::default();
        let by = |is_own: bool, other: &str| if is_own { PROJECT } else { other }.to_owned();
        let metres = |speed: f64| format!("{speed:.0} m/min");
        let mut found = Vec::new();
        if let Some(cutting) = self.cutting(material) {
            let source =
                if cutting.source.is_empty() { format!("{PROJECT}, without a source") } else { cutting.source };
            let [mill, drill] = [cutting.mill_speed, cutting.drill_speed].map(metres);
            found.push([format!("Speeds of {material}: milling {mill}, drilling {drill}; chips and advances"), source]);
        }
        let figures = [
            (
                "Feed at narrow cuts: chips thinner by 1 / (2·√(r − r²))",
                "geometry; published calculators agree".to_owned(),
            ),
            (
                "Ramp into the full",
                by(differs(self.ramp_deg, usual.ramp_deg), "what makers' charts for end mills share"),
            ),
            ("Fastest turn of the spindle, end mills at hand, their teeth", {
                let own = differs(self.most_turns, usual.most_turns) || self.teeth != usual.teeth || self.has_own_mills;
                by(own, "taken for a small shop; the project may say (shop)")
            }),
            (
                "Depth and width of a cut, how far tools reach, what is left for the last cut, pecks",
                PRACTICE.to_owned(),
            ),
            ("Spotting, boring, chamfering, countersinking, reaming", PRACTICE.to_owned()),
            ("Minutes to set up and to change a tool, at the saw and at the bench", {
                by(differs(self.set_up, usual.set_up) || differs(self.tool_change, usual.tool_change), PRACTICE)
            }),
        ];
        found.extend(figures.map(|(what, source)| [what.to_owned(), source]));
        found
    }

    /// The largest end mill that goes down a bore that is drilled already, with room for chips (common practice, no
    /// source).
    pub fn mill_for_truing(&self, bore: f64, deep: f64) -> Option<f64> {
        const OF_BORE: f64 = 0.85;
        let fits = |mill: &f64| *mill <= OF_BORE * bore && deep <= self.mill_reach * mill;
        self.end_mills.iter().rev().copied().find(fits)
    }

    /// The end mill that goes round a part's ends, which have no inside corners: the cutter of the inside corners where
    /// it reaches half of a depth, else the largest at hand.
    pub fn mill_for_ends(&self, cutter: f64, depth: f64) -> f64 {
        let largest = self.end_mills.last().copied().unwrap_or(cutter);
        if self.mill_reach * cutter >= 0.5 * depth { cutter } else { largest.max(cutter) }
    }

    /// Chip of one tooth of an end mill, mm.
    pub fn chip(diameter: f64) -> f64 {
        look_up(&CHIPS, diameter)
    }

    /// Advance of a drill in one turn, mm.
    pub fn drill_advance(diameter: f64) -> f64 {
        let inches = diameter / INCH;
        let row = DRILL_ADVANCE.iter().find(|(up_to, _)| inches <= up_to + 1e-9);
        row.map_or(0.0, |row| row.1) * INCH
    }

    /// Turns per minute, no faster than the spindle.
    pub fn turns(&self, surface: f64, diameter: f64) -> f64 {
        super::cutting::turns(surface, diameter).min(self.most_turns)
    }
}

/// Whether a figure is another one than usual.
fn differs(one: f64, other: f64) -> bool {
    (one - other).abs() > 1e-9
}

/// The figure of the largest listed diameter that is no larger, in proportion below the first.
fn look_up(table: &[(f64, f64)], diameter: f64) -> f64 {
    let inches = diameter / INCH;
    let (first, least) = table[0];
    let figure =
        table.iter().rev().find(|(size, _)| *size <= inches + 1e-9).map_or(least * inches / first, |row| row.1);
    figure * INCH
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chips_are_those_of_the_table() {
        assert!((Shop::chip(9.525) / INCH - 0.003).abs() < 1e-9);
        assert!((Shop::chip(10.0) / INCH - 0.003).abs() < 1e-9);
        assert!((Shop::chip(12.7) / INCH - 0.004).abs() < 1e-9);
        assert!(Shop::chip(1.5) < Shop::chip(3.175));
    }

    #[test]
    fn drills_advance_by_the_band_that_they_lie_in() {
        // Machinery's Handbook form: up to 1/8 in .001 to .003, to 1/4 .002 to .006, to 1/2 .004 to .010, to 1 .007 to
        // .015, above .010 to .025 in a turn.
        for (inches, least, most) in [
            (0.0625, 0.001, 0.003),
            (0.125, 0.001, 0.003),
            (0.201, 0.002, 0.006),
            (0.25, 0.002, 0.006),
            (7.0 / 25.4, 0.004, 0.010),
            (0.75, 0.007, 0.015),
            (1.2, 0.010, 0.025),
        ] {
            let advance = Shop::drill_advance(inches * INCH) / INCH;
            assert!((least - 1e-9..=most).contains(&advance), "{inches}: {advance}");
        }
    }

    #[test]
    fn a_project_in_inches_has_end_mills_of_inches() {
        let bytes = include_bytes!("../../../../demo/chapel-hatch.overarm.json");
        let mut project = crate::project_file::parse(bytes).expect("the demo");
        project.units = Some(Units::Inch);
        assert_eq!(Shop::of(&project).end_mills, INCH_MILLS);
        project.more.insert("shop".into(), serde_json::json!({"most_turns": 2500.0}));
        let shop = Shop::of(&project);
        assert!(shop.end_mills == INCH_MILLS && !shop.has_own_mills && (shop.most_turns - 2500.0).abs() < 1e-9);
        project.more.insert("shop".into(), serde_json::json!({"end_mills": [5.0]}));
        assert_eq!(Shop::of(&project).end_mills, [5.0, 9.525]);
    }

    #[test]
    fn a_project_may_give_its_own_and_nonsense_is_left_aside() {
        let bytes = include_bytes!("../../../../demo/chapel-hatch.overarm.json");
        let mut project = crate::project_file::parse(bytes).expect("the demo");
        assert!((Shop::of(&project).most_turns - 6000.0).abs() < 1e-9);
        project.more.insert("shop".into(), serde_json::json!({"most_turns": 2500.0, "end_mills": [5.0]}));
        let shop = Shop::of(&project);
        assert!((shop.most_turns - 2500.0).abs() < 1e-9);
        assert_eq!(shop.end_mills, [5.0, 9.525]);
        project.more.insert("shop".into(), serde_json::json!({"most_turns": -1.0}));
        assert!((Shop::of(&project).most_turns - 6000.0).abs() < 1e-9);
        let brass = serde_json::json!({"materials": {"brass": {"mill_speed": 150.0, "drill_speed": 60.0}}});
        project.more.insert("shop".into(), brass);
        let shop = Shop::of(&project);
        let cutting = shop.cutting("Brass CW614N").expect("given");
        assert!((cutting.mill_speed - 150.0).abs() < 1e-9 && (cutting.chip_share - 1.0).abs() < 1e-9);
        assert_eq!(shop.cutting("6061-T6"), Some(Cutting::aluminium()));
        assert_eq!(shop.cutting("mild steel"), None);
    }

    #[test]
    fn an_end_mill_that_is_too_short_for_a_bore_is_not_taken() {
        let shop = Shop::default();
        assert_eq!(shop.mill_for_bore(22.0, 7.0), Some(12.0));
        // Through 19.05 mm of a bore of 8: 4 mm reach 16.
        assert_eq!(shop.mill_for_bore(8.0, 15.0), Some(4.0));
        assert_eq!(shop.mill_for_bore(8.0, 19.05), None);
        // Round ends 38.1 mm deep, from both faces: 4 times 9.525 reach, 4 times 4 do not.
        assert!((shop.mill_for_ends(9.525, 38.1) - 9.525).abs() < 1e-9);
        assert!((shop.mill_for_ends(4.0, 38.1) - 12.0).abs() < 1e-9);
        // In a drilled bore of 7.78, 6 mm have room.
        assert_eq!(shop.mill_for_truing(7.78, 20.95), Some(6.0));
    }
}
