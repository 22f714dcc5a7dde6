//! What a small shop has, and how fast it cuts: a table with its sources, any part of which a project
//! may give anew under `shop`.

use overarm_solver::Project;
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
/// Advance per turn of a drill by diameter, in: the lower ends of Machinery's Handbook ranges.
const DRILL_ADVANCE: [(f64, f64); 4] = [(0.125, 0.001), (0.25, 0.002), (0.5, 0.004), (1.0, 0.007)];

/// A shop's machine and tools.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(default)]
pub(super) struct Shop {
    /// The spindle's fastest, turns per minute.
    pub most_turns: f64,
    /// Of carbide in aluminium, m/min: 800 ft/min, the lower end of Harvey Tool's 800 to 1500.
    pub mill_speed: f64,
    /// Of high-speed-steel drills in aged aluminium, m/min: 350 ft/min (Machinery's Handbook).
    pub drill_speed: f64,
    /// End mills at hand, diameters in mm, each with three teeth.
    pub end_mills: Vec<f64>,
    /// Teeth of them.
    pub teeth: u32,
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
}

impl Default for Shop {
    fn default() -> Self {
        Self {
            most_turns: 6000.0,
            mill_speed: 800.0 * FEET,
            drill_speed: 350.0 * FEET,
            end_mills: vec![4.0, 6.0, 9.525, 12.0],
            teeth: 3,
            ramp_deg: 2.0,
            pass_share: 0.5,
            rough_share: 0.4,
            finish_share: 0.1,
            tool_change: 0.5,
            set_up: 10.0,
        }
    }
}

impl Shop {
    /// The project's own where it gives one that can be used, else the table.
    pub fn of(project: &Project) -> Self {
        let given = project.more.get("shop").and_then(|shop| serde_json::from_value::<Self>(shop.clone()).ok());
        let mut shop = given.filter(Self::is_usable).unwrap_or_default();
        // The cutter that inside corners are made for is at hand.
        let cutter = project.bars.cutter_diameter();
        if !shop.end_mills.iter().any(|mill| (mill - cutter).abs() < 1e-6) {
            shop.end_mills.push(cutter);
        }
        shop.end_mills.sort_by(f64::total_cmp);
        shop
    }

    fn is_usable(&self) -> bool {
        let sizes = [self.most_turns, self.mill_speed, self.drill_speed, self.pass_share];
        let shares = [self.rough_share, self.finish_share];
        sizes.iter().all(|size| *size > 0.0 && size.is_finite())
            && shares.iter().all(|share| *share > 0.0 && *share <= 1.0)
            && self.end_mills.iter().all(|mill| *mill > 0.0 && mill.is_finite())
            && self.teeth > 0
            && (0.1..=30.0).contains(&self.ramp_deg)
            && [self.tool_change, self.set_up].iter().all(|minutes| *minutes >= 0.0 && minutes.is_finite())
    }

    /// The largest end mill that can helix in a bore: no more than 0.7 of it, so that chips get out
    /// (common practice, no source).
    pub fn mill_for_bore(&self, bore: f64) -> Option<f64> {
        const OF_BORE: f64 = 0.7;
        self.end_mills.iter().rev().copied().find(|mill| *mill <= OF_BORE * bore)
    }

    /// Chip of one tooth of an end mill, mm.
    pub fn chip(diameter: f64) -> f64 {
        look_up(&CHIPS, diameter)
    }

    /// Advance of a drill in one turn, mm.
    pub fn drill_advance(diameter: f64) -> f64 {
        look_up(&DRILL_ADVANCE, diameter)
    }

    /// Turns per minute, no faster than the spindle.
    pub fn turns(&self, surface: f64, diameter: f64) -> f64 {
        super::cutting::turns(surface, diameter).min(self.most_turns)
    }
}

/// The figure of the largest listed diameter that is no larger, in proportion below the first.
fn look_up(table: &[(f64, f64)], diameter: f64) -> f64 {
    let inches = diameter / INCH;
    let (first, least) = table[0];
    let figure =
        table.iter().rev().find(|(size, _)| *size <= inches + 1e-9).map_or(least * inches / first, |row| row.1);
    figure * INCH
}

/// Whether the table's speeds are for a material.
pub(super) fn cuts(material: &str) -> bool {
    ["6061", "6082", "5083", "aluminium", "aluminum"].iter().any(|name| material.to_ascii_lowercase().contains(name))
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
    }
}
