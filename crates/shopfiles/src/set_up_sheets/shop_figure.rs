//! Figures of the table of tools and materials that a project may give, one by one: what is given, what
//! holds otherwise, and how another one is put.

use overarm_solver::materials::DEFAULT;
use overarm_solver::{MaterialWanted, Project};
use serde_json::{Map, Value, json};

use super::tooling::{Cutting, Shop};

/// One figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ShopFigure {
    /// The spindle's fastest, turns a minute.
    MostTurns,
    /// One of the end mills at hand, by its place in the table, mm.
    Mill(usize),
    /// Their teeth.
    Teeth,
    /// How deep they reach, in diameters.
    MillReach,
    /// Ramp into the full, degrees.
    Ramp,
    /// Minutes to set a part up.
    SetUp,
    /// Minutes to change a tool.
    ToolChange,
    /// Of the wall bar's material: carbide mills, m/min.
    MillSpeed,
    /// Likewise: high-speed-steel drills, m/min.
    DrillSpeed,
    /// Likewise: chips as a share of those in aluminium.
    ChipShare,
}

impl ShopFigure {
    /// As the project gives it, where it gives another one than holds otherwise.
    #[must_use]
    pub fn given(self, project: &Project) -> Option<f64> {
        let found = self.in_file(project)?;
        let is_usual = self.otherwise(project).is_some_and(|usual| (found - usual).abs() < 1e-12);
        // What stands there only because it goes with another figure is not one that was given.
        let goes_along = matches!(self, Self::Mill(_) | Self::MillSpeed | Self::DrillSpeed);
        (!(goes_along && is_usual)).then_some(found)
    }

    fn in_file(self, project: &Project) -> Option<f64> {
        let shop = project.more.get("shop")?;
        match self {
            Self::Mill(index) => shop.get("end_mills")?.get(index)?.as_f64(),
            Self::MillSpeed | Self::DrillSpeed | Self::ChipShare => {
                let (_, cutting) = own_material(shop.get("materials")?.as_object()?, project)?;
                cutting.get(self.name())?.as_f64()
            }
            _ => shop.get(self.name())?.as_f64(),
        }
    }

    /// What holds where it does not; `None` of a material that is not known, and of a mill beyond the table's.
    #[must_use]
    pub fn otherwise(self, project: &Project) -> Option<f64> {
        let usual = Shop::usual(project.units());
        let cutting = || usual.cutting(&material_of(project));
        match self {
            Self::MostTurns => Some(usual.most_turns),
            Self::Mill(index) => usual.end_mills.get(index).copied(),
            Self::Teeth => Some(f64::from(usual.teeth)),
            Self::MillReach => Some(usual.mill_reach),
            Self::Ramp => Some(usual.ramp_deg),
            Self::SetUp => Some(usual.set_up),
            Self::ToolChange => Some(usual.tool_change),
            Self::MillSpeed => cutting().map(|cutting| cutting.mill_speed),
            Self::DrillSpeed => cutting().map(|cutting| cutting.drill_speed),
            Self::ChipShare => cutting().map(|cutting| cutting.chip_share),
        }
    }

    /// Puts it into the project, or takes it out. What would make the table useless (a speed of 0, no teeth) is
    /// left as it was.
    pub fn put(self, project: &mut Project, value: Option<f64>) {
        let before = project.more.get("shop").cloned();
        let mut shop = before.as_ref().and_then(Value::as_object).cloned().unwrap_or_default();
        match self {
            Self::Mill(index) => put_mill(&mut shop, &Shop::usual(project.units()).end_mills, index, value),
            Self::MillSpeed | Self::DrillSpeed | Self::ChipShare => self.put_cutting(&mut shop, project, value),
            _ => {
                // Teeth are counted.
                let number = value.map(|value| if self == Self::Teeth { json!(whole(value)) } else { json!(value) });
                put(&mut shop, self.name(), number);
            }
        }
        if shop.is_empty() {
            project.more.remove("shop");
        } else if Shop::read(&Value::Object(shop.clone())).is_some() {
            project.more.insert("shop".to_owned(), Value::Object(shop));
        }
    }

    fn name(self) -> &'static str {
        match self {
            Self::MostTurns => "most_turns",
            Self::Mill(_) => "end_mills",
            Self::Teeth => "teeth",
            Self::MillReach => "mill_reach",
            Self::Ramp => "ramp_deg",
            Self::SetUp => "set_up",
            Self::ToolChange => "tool_change",
            Self::MillSpeed => "mill_speed",
            Self::DrillSpeed => "drill_speed",
            Self::ChipShare => "chip_share",
        }
    }

    fn put_cutting(self, shop: &mut Map<String, Value>, project: &Project, value: Option<f64>) {
        let mut materials = shop.get("materials").and_then(Value::as_object).cloned().unwrap_or_default();
        let known = own_material(&materials, project).map(|(word, cutting)| (word.clone(), cutting.clone()));
        let name = material_of(project);
        let (word, cutting) = known.unwrap_or_else(|| (name.to_lowercase(), Value::Object(Map::new())));
        let mut cutting = cutting.as_object().cloned().unwrap_or_default();
        put(&mut cutting, self.name(), value.map(|value| json!(value)));
        // A material needs both speeds: the other one is what held until now.
        let usual = Shop::default().cutting(&name).unwrap_or_else(Cutting::aluminium);
        let speeds = [("mill_speed", usual.mill_speed), ("drill_speed", usual.drill_speed)];
        if speeds.iter().all(|(speed, _)| !cutting.contains_key(*speed)) && !cutting.contains_key("chip_share") {
            materials.remove(&word);
        } else {
            for (speed, held) in speeds {
                cutting.entry(speed).or_insert_with(|| json!(held));
            }
            materials.insert(word, Value::Object(cutting));
        }
        put(shop, "materials", (!materials.is_empty()).then_some(Value::Object(materials)));
    }
}

/// The material whose figures are put: the wall bar's.
fn material_of(project: &Project) -> String {
    project.bars.wall_bar.material.as_ref().map_or(DEFAULT, MaterialWanted::name).to_owned()
}

/// The entry that a material's name holds the word of.
fn own_material<'a>(materials: &'a Map<String, Value>, project: &Project) -> Option<(&'a String, &'a Value)> {
    let name = material_of(project).to_lowercase();
    materials.iter().find(|(word, _)| name.contains(&word.to_lowercase()))
}

fn put(map: &mut Map<String, Value>, name: &str, value: Option<Value>) {
    match value {
        Some(value) => drop(map.insert(name.to_owned(), value)),
        None => drop(map.remove(name)),
    }
}

fn put_mill(shop: &mut Map<String, Value>, usual: &[f64], index: usize, value: Option<f64>) {
    let usual: Vec<Value> = usual.iter().map(|mill| json!(mill)).collect();
    let mut mills = shop.get("end_mills").and_then(Value::as_array).cloned().unwrap_or_else(|| usual.clone());
    match value.map(|value| json!(value)).or_else(|| usual.get(index).cloned()) {
        Some(mill) if index < mills.len() => mills[index] = mill,
        Some(mill) => mills.push(mill),
        None if index < mills.len() => drop(mills.remove(index)),
        None => {}
    }
    put(shop, "end_mills", (mills != usual && !mills.is_empty()).then_some(Value::Array(mills)));
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // clamped before
fn whole(value: f64) -> u32 {
    value.round().clamp(0.0, 100.0) as u32
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts_dxf::tests::demo;

    const ALL: [ShopFigure; 11] = [
        ShopFigure::MostTurns,
        ShopFigure::Mill(0),
        ShopFigure::Mill(3),
        ShopFigure::Teeth,
        ShopFigure::MillReach,
        ShopFigure::Ramp,
        ShopFigure::SetUp,
        ShopFigure::ToolChange,
        ShopFigure::MillSpeed,
        ShopFigure::DrillSpeed,
        ShopFigure::ChipShare,
    ];

    #[test]
    fn what_is_put_is_given_and_used_and_can_be_taken_out_again() {
        let usual_speed = Cutting::aluminium().mill_speed;
        for figure in ALL {
            let mut project = demo();
            let usual = figure.otherwise(&project).expect("a figure of aluminium");
            assert_eq!(figure.given(&project), None, "{figure:?}");
            figure.put(&mut project, Some(usual + 1.0));
            assert_eq!(figure.given(&project), Some(usual + 1.0), "{figure:?}");
            // The sheets take it: their figures come from the same place in the file.
            let shop = Shop::of(&project);
            let cutting = shop.cutting("6061-T6").expect("aluminium");
            let used = match figure {
                ShopFigure::MostTurns => shop.most_turns,
                ShopFigure::Mill(_) => {
                    *shop.end_mills.iter().find(|mill| (**mill - usual - 1.0).abs() < 1e-9).expect("the mill")
                }
                ShopFigure::Teeth => f64::from(shop.teeth),
                ShopFigure::MillReach => shop.mill_reach,
                ShopFigure::Ramp => shop.ramp_deg,
                ShopFigure::SetUp => shop.set_up,
                ShopFigure::ToolChange => shop.tool_change,
                ShopFigure::MillSpeed => cutting.mill_speed,
                ShopFigure::DrillSpeed => cutting.drill_speed,
                ShopFigure::ChipShare => cutting.chip_share,
            };
            assert!((used - usual - 1.0).abs() < 1e-9, "{figure:?}");
            for other in ALL.into_iter().filter(|other| *other != figure) {
                assert_eq!(other.given(&project), None, "{figure:?} moved {other:?}");
            }
            figure.put(&mut project, None);
            assert_eq!(figure.given(&project), None, "{figure:?}");
            let speed = Shop::of(&project).cutting("6061-T6").map(|found| found.mill_speed);
            assert_eq!(speed, Some(usual_speed), "{figure:?}");
        }
    }

    #[test]
    fn what_would_make_the_table_useless_is_not_put() {
        for (figure, value) in [
            (ShopFigure::MostTurns, 0.0),
            (ShopFigure::Teeth, 0.0),
            (ShopFigure::Mill(0), -1.0),
            (ShopFigure::Ramp, 90.0),
            (ShopFigure::MillSpeed, 0.0),
        ] {
            let mut project = demo();
            figure.put(&mut project, Some(value));
            assert_eq!(project, demo(), "{figure:?}");
        }
    }

    #[test]
    fn an_unknown_material_gets_both_speeds_with_the_first() {
        let mut project = demo();
        project.bars.wall_bar.material = serde_json::from_value(json!("Mild steel")).ok();
        assert_eq!(ShopFigure::MillSpeed.otherwise(&project), None);
        ShopFigure::MillSpeed.put(&mut project, Some(90.0));
        let shop = Shop::of(&project);
        let cutting = shop.cutting("Mild steel").expect("given now");
        assert!((cutting.mill_speed - 90.0).abs() < 1e-9 && cutting.drill_speed > 0.0);
        assert_eq!(shop.cutting("6061-T6"), Some(Cutting::aluminium()));
    }
}
