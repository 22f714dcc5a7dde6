//! JSON that a person can read and compare: objects unfolded, points on one line.

use serde_json::Value;

/// Longest list of lists that stays on one line, characters.
const ONE_LINE: usize = 100;

/// A value as text, two spaces a level, ending with a line end. Every number reads back exactly;
/// a whole number has no `.0`.
pub fn pretty(value: &Value) -> String {
    let mut text = String::new();
    write_value(value, 0, &mut text);
    text.push('\n');
    text
}

fn write_value(value: &Value, level: usize, text: &mut String) {
    match value {
        Value::Object(fields) if !fields.is_empty() => {
            let items = fields.iter().map(|(name, value)| {
                let mut item = format!("{}: ", Value::String(name.clone()));
                write_value(value, level + 1, &mut item);
                item
            });
            write_lines('{', items, '}', level, text);
        }
        Value::Array(items) if !items.is_empty() => {
            if let Some(line) = one_line(value).filter(|line| line.len() <= ONE_LINE || items.iter().all(is_plain)) {
                text.push_str(&line);
            } else {
                let items = items.iter().map(|value| {
                    let mut item = String::new();
                    write_value(value, level + 1, &mut item);
                    item
                });
                write_lines('[', items, ']', level, text);
            }
        }
        plain => text.push_str(&write_plain(plain)),
    }
}

fn write_lines(open: char, items: impl Iterator<Item = String>, close: char, level: usize, text: &mut String) {
    text.push(open);
    for (index, item) in items.enumerate() {
        text.push_str(if index == 0 { "\n" } else { ",\n" });
        text.push_str(&"  ".repeat(level + 1));
        text.push_str(&item);
    }
    text.push('\n');
    text.push_str(&"  ".repeat(level));
    text.push(close);
}

fn is_plain(value: &Value) -> bool {
    !matches!(value, Value::Object(_) | Value::Array(_))
}

/// A list of plain values or of such lists; `None` where there is an object in it.
fn one_line(value: &Value) -> Option<String> {
    match value {
        Value::Array(items) => {
            let items = items.iter().map(one_line).collect::<Option<Vec<_>>>()?;
            Some(format!("[{}]", items.join(", ")))
        }
        Value::Object(_) => None,
        plain => Some(write_plain(plain)),
    }
}

/// Whole numbers up to here are written without a fraction; a double is exact that far.
const WHOLE: f64 = 9_007_199_254_740_992.0;

fn write_plain(value: &Value) -> String {
    match value {
        Value::Number(number) if number.is_f64() => match number.as_f64() {
            Some(float) if float.fract() == 0.0 && float.abs() < WHOLE => format!("{float:.0}"),
            _ => number.to_string(),
        },
        other => other.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use serde_json::json;

    #[test]
    fn points_stay_on_one_line() {
        let value =
            json!({"outline": [[0.0, 0.0], [12.5, 30.0]], "empty": [], "none": {}, "solids": [{"name": "beam"}]});
        assert_eq!(
            pretty(&value),
            "{\n  \"outline\": [[0, 0], [12.5, 30]],\n  \"empty\": [],\n  \"none\": {},\n  \"solids\": [\n    {\n      \"name\": \"beam\"\n    }\n  ]\n}\n"
        );
    }

    #[test]
    fn a_long_outline_has_a_point_a_line() {
        let outline: Vec<_> = (0..30).map(|i| json!([f64::from(i) + 0.25, 1000.125])).collect();
        let text = pretty(&json!({ "outline": outline }));
        assert!(text.contains("\n    [7.25, 1000.125],\n"), "{text}");
    }

    proptest! {
        #[test]
        fn every_number_reads_back_exactly(number in proptest::num::f64::NORMAL | proptest::num::f64::SUBNORMAL | proptest::num::f64::ZERO) {
            let text = pretty(&json!([number]));
            let back: Vec<f64> = serde_json::from_str(&text).unwrap();
            prop_assert_eq!(back[0].to_bits(), number.to_bits(), "{}", text);
        }
    }
}
