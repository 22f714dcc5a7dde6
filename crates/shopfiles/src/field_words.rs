//! What a field of the project file is expected to be, in plain words, and what was found.

use serde_json::Value;

/// What is expected in the field at this path, where its name alone decides; otherwise `None`.
///
/// Every field that a file may not leave out is here, because a field that is missing gives no
/// other hint of its kind.
pub fn expected_at(path: &str) -> Option<&'static str> {
    let name = path.rsplit('.').next().unwrap_or(path);
    let (name, index) = match name.split_once('[') {
        Some((name, index)) => (name, Some(index)),
        None => (name, None),
    };
    // Measured parts have their names from bars and pivots, but are numbers.
    if path.contains("as_built.left.") || path.contains("as_built.right.") {
        return Some("a number");
    }
    if path.starts_with("safeties.") {
        return Some("a number");
    }
    match (name, index) {
        // A place inside a list: a point of an outline, or a number of a point.
        ("outline", Some(index)) if !index.contains('[') => return Some("a point [x, y]"),
        ("solids", Some(_)) => return Some("an object {name, outline}"),
        ("stop_pair", Some(_)) => return Some(PART),
        (_, Some(_)) => return Some("a number"),
        (_, None) => {}
    }
    Some(match name {
        "format" => "\"overarm-project\"",
        "version" => "1",
        "title" | "name" | "material" => "text",
        "units" => "\"mm\", \"in\" or \"ft-in\"",
        "outline" => "a list of points [[x, y], …]",
        "solids" => "a list of objects {name, outline}",
        "wall_lower" | "wall_upper" | "panel_lower" | "panel_upper" | "centre_of_mass" | "anchor" | "drum_centre"
        | "eye" | "at" => "a point [x, y]",
        "rests" => "two heights [low, high]",
        "room" => "an object {outline, …}",
        "studs" => "an object {spacing, first}",
        "uncover" => "an object {bottom, top, …}",
        "panel" => "an object {width, height, thickness, mass, centre_of_mass, hung, …}",
        "hung" => "an object {standoff, bottom}",
        "linkage" => "an object {wall_lower, wall_upper, panel_lower, panel_upper, travel_deg}",
        "bars" => "an object {build, wall_bar, panel_bar, lower_arm, upper_arm, …}",
        "wall_bar" | "panel_bar" => "an object {width, depth, lower_end, upper_end, …}",
        "lower_arm" | "upper_arm" => "an object {width, depth, …}",
        "stop_pin" => "an object {bar, at, diameter}",
        "joints" | "fixings" | "tolerances" | "safeties" | "left" | "right" => "an object {…}",
        "as_built" => "an object {left, right}",
        "drive" => "an object {anchor, drum_centre, drum_radius, strap_thickness, strap_side, …}",
        "kick" => "an object {at, …}",
        "motor" => "an object {torque, rpm, ratio, …}",
        "travel_deg" => "a number of degrees or \"to_stop\"",
        "build" => "\"lapped\" or \"sandwich\"",
        "bar" => PART,
        "stop_pair" => "two part names such as [\"lower_arm\", \"upper_arm\"]",
        "stop_land" => "true or false",
        "seat_in" => "\"bars\" or \"arms\"",
        "strap_side" => "\"room\" or \"wall\"",
        "bearing" => "a designation such as \"688\" or an object {bore, outside, width, …}",
        "housing" => "a class such as \"N7\" or an object {interference: [least, most]}",
        "pin" => "a class such as \"h6\"",
        "per_hinge" | "count" => "a whole number",
        "clearance"
        | "bottom"
        | "top"
        | "width"
        | "height"
        | "thickness"
        | "mass"
        | "centre_of_mass_z"
        | "torsional_stiffness"
        | "standoff"
        | "depth"
        | "lower_end"
        | "upper_end"
        | "running_clearance"
        | "cutter_diameter"
        | "set_spacing"
        | "diameter"
        | "bearing_span"
        | "radial_play"
        | "friction"
        | "bore"
        | "outside"
        | "static_n"
        | "dynamic_n"
        | "drum_radius"
        | "strap_thickness"
        | "strap_width"
        | "z"
        | "dead_wraps"
        | "strap_limit"
        | "limit"
        | "stroke"
        | "passive_force"
        | "torque"
        | "rpm"
        | "ratio"
        | "efficiency"
        | "lead_deg"
        | "thread_length"
        | "spacing"
        | "first"
        | "edge"
        | "wood_gravity"
        | "duration"
        | "length"
        | "offset"
        | "parallel"
        | "level"
        | "hung_gap_limit"
        | "arm_stiffness"
        | "allowed_share" => "a number",
        _ => return None,
    })
}

const PART: &str =
    "\"panel\", \"wall_bar\", \"panel_bar\", \"lower_arm\", \"upper_arm\", \"room\", \"drum\" or \"strap\"";

/// A value as it stands in the file, short enough for a sentence.
pub fn found_words(value: &Value) -> String {
    const LONGEST: usize = 40;
    match value {
        Value::Null => "null".to_owned(),
        Value::Array(items) if items.is_empty() => "an empty list".to_owned(),
        Value::Array(items) if items.len() <= 4 && items.iter().all(|item| !item.is_array() && !item.is_object()) => {
            let items: Vec<_> = items.iter().map(found_words).collect();
            format!("[{}]", items.join(", "))
        }
        Value::Array(items) => format!("a list of {}", items.len()),
        Value::Object(_) => "an object".to_owned(),
        Value::String(text) if text.chars().count() > LONGEST => {
            let start: String = text.chars().take(LONGEST).collect();
            format!("{}…", Value::String(start))
        }
        plain => plain.to_string(),
    }
}

/// The value at a path such as `room.outline[2][0]`; `None` where there is none.
pub fn value_at<'a>(root: &'a Value, path: &str) -> Option<&'a Value> {
    let mut value = root;
    for step in path.split('.').filter(|step| !step.is_empty()) {
        let mut parts = step.split('[');
        let name = parts.next().unwrap_or_default();
        if !name.is_empty() {
            value = value.get(name)?;
        }
        for index in parts {
            value = value.get(index.trim_end_matches(']').parse::<usize>().ok()?)?;
        }
    }
    Some(value)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn finds_values_by_path() {
        let root = json!({"room": {"outline": [[0, 1], [2, 3]]}});
        assert_eq!(value_at(&root, "room.outline[1][0]"), Some(&json!(2)));
        assert_eq!(value_at(&root, "room.outline[5]"), None);
        assert_eq!(value_at(&root, "panel.mass"), None);
    }

    #[test]
    fn says_what_was_found() {
        assert_eq!(found_words(&json!(null)), "null");
        assert_eq!(found_words(&json!([1, 2.5])), "[1, 2.5]");
        assert_eq!(found_words(&json!("35")), "\"35\"");
        assert_eq!(found_words(&json!([[1], [2]])), "a list of 2");
    }
}
