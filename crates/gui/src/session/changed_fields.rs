//! What differs between two projects, field by field, in plain words.

use overarm_solver::{Project, Units, show_length};
use serde_json::Value;

/// One field that differs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChangedField {
    /// What it is, such as "Panel, mass".
    pub field: String,
    /// What stands in the first project.
    pub first: String,
    /// What stands in the second.
    pub second: String,
}

/// Every field that differs, in the order of the project file.
#[must_use]
pub fn changed_fields(first: &Project, second: &Project) -> Vec<ChangedField> {
    let mut found = Vec::new();
    if let (Ok(one), Ok(two)) = (serde_json::to_value(first), serde_json::to_value(second)) {
        let units = [first.units(), second.units()];
        compare(&mut Vec::new(), Some(&one), Some(&two), units, &mut found);
    }
    found
}

fn compare(
    path: &mut Vec<String>,
    first: Option<&Value>,
    second: Option<&Value>,
    units: [Units; 2],
    found: &mut Vec<ChangedField>,
) {
    if first == second {
        return;
    }
    match (first, second) {
        (Some(Value::Object(one)), Some(Value::Object(two))) => {
            let only_second = two.keys().filter(|key| !one.contains_key(*key));
            for key in one.keys().chain(only_second) {
                path.push(key.clone());
                compare(path, one.get(key), two.get(key), units, found);
                path.pop();
            }
        }
        (Some(Value::Array(one)), Some(Value::Array(two))) if !is_point(one) || !is_point(two) => {
            for index in 0..one.len().max(two.len()) {
                path.push((index + 1).to_string());
                compare(path, one.get(index), two.get(index), units, found);
                path.pop();
            }
        }
        _ => {
            let mut words =
                [(first, units[0]), (second, units[1])].map(|(value, units)| value_words(path, value, units));
            if words[0] == words[1] {
                // Less than the usual rounding apart, or shown alike: as they stand in the file.
                words = [first, second].map(|value| value.map_or_else(|| "not given".to_owned(), Value::to_string));
            }
            let [first, second] = words;
            found.push(ChangedField { field: field_words(path), first, second });
        }
    }
}

fn is_point(values: &[Value]) -> bool {
    values.len() == 2 && values.iter().all(Value::is_number)
}

/// "Panel, mass"; pivots by the names that they have in the drawing.
fn field_words(path: &[String]) -> String {
    let segments: Vec<&str> = path.iter().map(String::as_str).collect();
    let words = match segments[..] {
        ["linkage", "wall_lower"] => "lower wall pivot".to_owned(),
        ["linkage", "wall_upper"] => "upper wall pivot".to_owned(),
        ["linkage", "panel_lower"] => "lower panel pivot".to_owned(),
        ["linkage", "panel_upper"] => "upper panel pivot".to_owned(),
        ["linkage", "travel_deg"] => "travel".to_owned(),
        ["room", "outline", corner] => format!("room corner {corner}"),
        ["room", "solids", which, ref rest @ ..] => joined(&[&format!("solid {which}")], rest),
        ["bars", ref rest @ ..] if rest.len() > 1 => joined(&[], rest),
        ref all => joined(&[], all),
    };
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| format!("{}{}", first.to_uppercase(), letters.as_str()))
}

fn joined(before: &[&str], segments: &[&str]) -> String {
    let words = |segment: &&str| {
        let segment = ["_deg", "_n"].iter().find_map(|unit| segment.strip_suffix(unit)).unwrap_or(segment);
        segment.replace('_', " ")
    };
    before.iter().chain(segments).map(words).collect::<Vec<_>>().join(", ")
}

fn value_words(path: &[String], value: Option<&Value>, units: Units) -> String {
    match value {
        None | Some(Value::Null) => "not given".to_owned(),
        Some(Value::String(text)) if text.is_empty() => "empty".to_owned(),
        Some(Value::String(text)) => text.replace('_', " "),
        Some(Value::Bool(yes)) => if *yes { "yes" } else { "no" }.to_owned(),
        Some(Value::Number(number)) => number_words(path, number.as_f64().unwrap_or_default(), units),
        Some(Value::Array(values)) if is_point(values) => {
            let words: Vec<_> = values.iter().map(|value| value_words(path, Some(value), units)).collect();
            words.join(", ")
        }
        Some(Value::Array(values)) => format!("{} entries", values.len()),
        Some(Value::Object(_)) => "given".to_owned(),
    }
}

fn number_words(path: &[String], number: f64, units: Units) -> String {
    if path.first().is_some_and(|block| block == "safeties") {
        return number.to_string();
    }
    let name = path.iter().rev().find(|segment| segment.parse::<usize>().is_err()).map_or("", String::as_str);
    match name {
        "mass" => format!("{number} kg"),
        "torque" => format!("{number} N·m"),
        "torsional_stiffness" => format!("{number} N·m per rad"),
        "strap_limit" | "limit" | "passive_force" | "static_n" | "dynamic_n" => format!("{number} N"),
        "level" => format!("{number}°"),
        "version" | "rpm" | "ratio" | "efficiency" | "friction" | "count" | "per_hinge" | "dead_wraps"
        | "wood_gravity" | "duration" | "allowed_share" => number.to_string(),
        _ if name.ends_with("_deg") => format!("{number}°"),
        _ => show_length(number, units),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;

    #[test]
    fn names_what_differs_and_how() {
        let mut other = demo();
        assert_eq!(changed_fields(&demo(), &other), []);
        other.panel.mass = 17.5;
        other.linkage.wall_upper.x += 4.0;
        other.bars.wall_bar.width = 50.0;
        other.room.outline.push(overarm_solver::Point::new(3000.0, 3930.5));
        other.drive = None;
        let changes = changed_fields(&demo(), &other);
        let words: Vec<String> = changes.iter().map(|c| format!("{}: {} / {}", c.field, c.first, c.second)).collect();
        for expected in [
            "Panel, mass: 16 kg / 17.5 kg",
            "Upper wall pivot: 40.5 mm, 2175.9 mm / 44.5 mm, 2175.9 mm",
            "Wall bar, width: 60.0 mm / 50.0 mm",
            "Room corner 4: not given / 3000.0 mm, 3930.5 mm",
            "Drive: given / not given",
        ] {
            assert!(words.iter().any(|word| word == expected), "{expected} is not in {words:#?}");
        }
        assert_eq!(words.len(), 5, "{words:#?}");
    }

    #[test]
    fn a_small_difference_is_not_shown_as_none() {
        let mut other = demo();
        other.linkage.wall_upper.x += 0.001;
        let change = &changed_fields(&demo(), &other)[0];
        assert_ne!(change.first, change.second, "{change:?}");
    }
}
