//! The inspection sheet read back: what was measured on the eight parts.
//!
//! Read whole or refused with row and column; nothing is half read. Rows are counted as a spreadsheet
//! counts them, the header being row 1. Commas, semicolons or tabs may stand between columns, and a
//! decimal comma is a decimal comma where the drawn size leaves no doubt.

use std::collections::BTreeMap;
use std::fmt;

use overarm_solver::errors::Dimension;
use overarm_solver::{AsBuilt, Hand, Lift, MeasuredSet};

/// The columns of the sheet, in the order in which it is written.
pub const COLUMNS: [&str; 8] =
    ["part", "number", "characteristic", "nominal_mm", "lower_mm", "upper_mm", "gauge", "measured_mm"];
/// Those that are read; the others may be missing.
const NEEDED: [&str; 3] = ["part", "characteristic", "measured_mm"];

/// A measured size this far from the drawn one is a slip of reading or writing, mm: parts that far
/// off are scrap.
const FARTHEST_MM: f64 = 5.0;
/// A drawn size on the sheet may be rounded by this, mm: half of its last figure and a little.
const ROUNDED_MM: f64 = 0.006;
/// Millimetres in an inch.
const INCH: f64 = 25.4;
/// A value off by an inch's factor within this share is one in the wrong unit.
const LIKE_AN_INCH: f64 = 0.02;

/// Why a sheet was not read: where, and what would do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub struct NotRead {
    /// As a spreadsheet counts, the header being 1; `None` where it is about the whole sheet.
    pub row: Option<u64>,
    /// The column's name.
    pub column: Option<String>,
    /// What is the matter and what would help.
    pub what: String,
}

impl fmt::Display for NotRead {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.row, &self.column) {
            (Some(row), Some(column)) => write!(f, "row {row}, column {column}: {}", self.what),
            (Some(row), None) => write!(f, "row {row}: {}", self.what),
            (None, Some(column)) => write!(f, "column {column}: {}", self.what),
            (None, None) => f.write_str(&self.what),
        }
    }
}

impl NotRead {
    fn at(row: u64, column: &str, what: impl Into<String>) -> Self {
        Self { row: Some(row), column: Some(column.to_owned()), what: what.into() }
    }

    fn whole(what: impl Into<String>) -> Self {
        Self { row: None, column: None, what: what.into() }
    }
}

/// Reads a sheet for the lift that it was written for. All eight centre distances must be there;
/// offsets that were not measured are left out.
///
/// # Errors
/// The first place that cannot be meant.
pub fn read(bytes: &[u8], lift: &Lift) -> Result<AsBuilt, NotRead> {
    let text = String::from_utf8_lossy(bytes);
    // With carriage returns the reader would count each row one too low.
    let text = text.trim_start_matches('\u{feff}').replace("\r\n", "\n");
    let text = text.as_str();
    if text.trim().is_empty() {
        return Err(NotRead::whole(format!("the sheet is empty; its header is {}", COLUMNS.join(","))));
    }
    let mut rows = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(between_columns(text))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut columns: Option<BTreeMap<&str, usize>> = None;
    let mut found: BTreeMap<(char, usize), (u64, Option<f64>)> = BTreeMap::new();
    for record in rows.records() {
        let record = record.map_err(|error| NotRead::whole(format!("this is no table of values: {error}")))?;
        let row = record.position().map_or(0, csv::Position::line);
        if record.iter().all(str::is_empty) {
            continue;
        }
        let Some(columns) = &columns else {
            columns = Some(header(&record, row)?);
            continue;
        };
        if let Some((key, value)) = value_of(&record, row, columns, lift)? {
            match found.get(&key) {
                Some((before, _)) => {
                    let what = format!("this was already given in row {before}; each part has it once");
                    return Err(NotRead::at(row, "characteristic", what));
                }
                None => found.insert(key, (row, value)),
            };
        }
    }
    let mut built = AsBuilt::default();
    for (index, dimension) in Dimension::ALL.into_iter().enumerate() {
        for hand in [Hand::Left, Hand::Right] {
            match found.get(&(hand.letter(), index)) {
                Some((_, Some(value))) => *dimension.measured_mut(set_of(&mut built, hand)) = Some(*value),
                Some((row, None)) if dimension.is_length() => {
                    let what = format!("the centre distance of {} is not filled in", stem(hand, dimension));
                    return Err(NotRead::at(*row, "measured_mm", what));
                }
                None if dimension.is_length() => {
                    return Err(NotRead {
                        row: None,
                        column: Some("part".into()),
                        what: format!("{} has no row with its centre distance", stem(hand, dimension)),
                    });
                }
                // Offsets may be left out.
                Some((_, None)) | None => {}
            }
        }
    }
    Ok(built)
}

fn set_of(built: &mut AsBuilt, hand: Hand) -> &mut MeasuredSet {
    match hand {
        Hand::Left => &mut built.left,
        Hand::Right => &mut built.right,
    }
}

/// The name of the part that a dimension is measured on, as its file is called.
fn stem(hand: Hand, dimension: Dimension) -> String {
    format!("{}-{}", hand.letter(), dimension.part().words().replace(' ', "-"))
}

/// What stands between columns: the mark that the first line has most of.
fn between_columns(text: &str) -> u8 {
    let first = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    let count = |mark: u8| first.bytes().filter(|byte| *byte == mark).count();
    [b',', b';', b'\t'].into_iter().rev().max_by_key(|mark| count(*mark)).unwrap_or(b',')
}

fn header(record: &csv::StringRecord, row: u64) -> Result<BTreeMap<&'static str, usize>, NotRead> {
    let mut columns = BTreeMap::new();
    for (index, name) in record.iter().enumerate() {
        let name = name.to_lowercase();
        if let Some(known) = COLUMNS.into_iter().find(|known| *known == name) {
            if columns.insert(known, index).is_some() {
                return Err(NotRead::at(row, known, "this column is there twice"));
            }
            continue;
        }
        let stem = name.trim_end_matches("_inches").trim_end_matches("_inch").trim_end_matches("_in");
        let in_millimetres = format!("{stem}_mm");
        if stem != name && COLUMNS.contains(&in_millimetres.as_str()) {
            let what = format!("millimetres are expected, in a column named {in_millimetres}");
            return Err(NotRead::at(row, &name, what));
        }
    }
    match NEEDED.into_iter().find(|needed| !columns.contains_key(needed)) {
        None => Ok(columns),
        Some(missing) => {
            let what = format!("this column is not there; the header is {}", COLUMNS.join(","));
            Err(NotRead::at(row, missing, what))
        }
    }
}

type Key = (char, usize);

/// What a row says of a dimension; `None` where it is about something else.
fn value_of(
    record: &csv::StringRecord,
    row: u64,
    columns: &BTreeMap<&str, usize>,
    lift: &Lift,
) -> Result<Option<(Key, Option<f64>)>, NotRead> {
    let cell = |name: &str| columns.get(name).and_then(|index| record.get(*index)).unwrap_or_default();
    let part = cell("part");
    let characteristic = cell("characteristic").to_lowercase();
    let is_part = |hand: Hand, dimension: Dimension| part.eq_ignore_ascii_case(&stem(hand, dimension));
    let hands = [Hand::Left, Hand::Right];
    if !hands.into_iter().any(|hand| Dimension::ALL.into_iter().any(|dimension| is_part(hand, dimension))) {
        let names = [Dimension::WallBar, Dimension::PanelBar, Dimension::LowerArm, Dimension::UpperArm];
        let names: Vec<_> = hands.iter().flat_map(|hand| names.map(|of| stem(*hand, of))).collect();
        let what = format!("\"{part}\" is none of the eight parts: {}", names.join(", "));
        return Err(NotRead::at(row, "part", what));
    }
    let meant = hands.into_iter().find_map(|hand| {
        let index = Dimension::ALL
            .into_iter()
            .position(|dimension| is_part(hand, dimension) && dimension.characteristic() == characteristic)?;
        Some((hand, index))
    });
    let Some((hand, index)) = meant else { return Ok(None) };
    let drawn = Dimension::ALL[index].drawn(lift);
    if !cell("nominal_mm").is_empty() {
        let nominal = number(cell("nominal_mm"), drawn).map_err(|what| NotRead::at(row, "nominal_mm", what))?;
        in_millimetres(nominal, drawn).map_err(|what| NotRead::at(row, "nominal_mm", what))?;
        if (nominal - drawn).abs() > ROUNDED_MM {
            let what = format!(
                "the sheet has {nominal} mm, the project draws {drawn:.3} mm: it was written for another state of the project"
            );
            return Err(NotRead::at(row, "nominal_mm", what));
        }
    }
    let told = cell("measured_mm");
    if told.is_empty() {
        return Ok(Some(((hand.letter(), index), None)));
    }
    let refused = |what: String| NotRead::at(row, "measured_mm", what);
    let measured = number(told, drawn).map_err(refused)?;
    in_millimetres(measured, drawn).map_err(refused)?;
    if (measured - drawn).abs() > FARTHEST_MM {
        return Err(refused(format!(
            "{measured} mm is {:.2} mm from the {drawn:.3} mm drawn; more than {FARTHEST_MM} mm is taken for a slip",
            (measured - drawn).abs()
        )));
    }
    Ok(Some(((hand.letter(), index), Some(measured))))
}

/// Refuses what is off by the factor of an inch, either way.
fn in_millimetres(value: f64, drawn: f64) -> Result<(), String> {
    let like = |factor: f64| drawn != 0.0 && (value / (drawn * factor) - 1.0).abs() < LIKE_AN_INCH;
    if like(1.0 / INCH) {
        Err(format!("{value} is the {drawn:.3} mm drawn in inches; millimetres are expected"))
    } else if like(INCH) {
        Err(format!("{value} is 25.4 times the {drawn:.3} mm drawn; millimetres are expected"))
    } else {
        Ok(())
    }
}

/// A number of millimetres; a decimal comma where it can mean nothing else near the drawn size.
fn number(told: &str, drawn: f64) -> Result<f64, String> {
    let plain = told.trim();
    let plain = plain.strip_suffix("mm").unwrap_or(plain).trim().replace('−', "-");
    if plain.ends_with('"') || plain.to_lowercase().ends_with("in") || plain.to_lowercase().ends_with("inch") {
        return Err(format!("{told} is in inches; millimetres are expected"));
    }
    let (commas, points) = (plain.matches(',').count(), plain.matches('.').count());
    let read = match (commas, points) {
        (0, _) => plain.parse::<f64>().ok(),
        (1, 0) => {
            let decimal = plain.replace(',', ".").parse::<f64>().ok();
            let grouped = plain
                .split_once(',')
                .is_some_and(|(head, tail)| tail.len() == 3 && (1..=3).contains(&head.trim_start_matches('-').len()));
            // Three figures behind a comma may be thousands: the drawn size tells.
            let near = |value: f64| (value - drawn).abs() <= FARTHEST_MM;
            let thousands = plain.replace(',', "").parse::<f64>().ok();
            match (decimal, thousands) {
                (Some(decimal), Some(thousands)) if grouped && !near(decimal) || near(thousands) => {
                    return Err(format!("{told} may be {decimal} or {thousands}; write it with a point"));
                }
                _ => decimal,
            }
        }
        _ => return Err(format!("{told} has more than one mark; write it with one decimal point")),
    };
    // Words that stand for no number are numbers to a parser.
    let is_written = plain.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'.' | b',' | b'-' | b'+' | b'e' | b'E'));
    read.filter(|value| is_written && value.is_finite())
        .ok_or_else(|| format!("a number of millimetres is expected, found \"{told}\""))
}

#[cfg(test)]
mod tests {
    use super::*;
    use overarm_solver::Project;

    fn lift() -> Lift {
        let text = include_str!("../../../tests/golden/chapel-hatch/project.overarm.json");
        Lift::new(&serde_json::from_str::<Project>(text).unwrap())
    }

    /// A sheet as drawn; the value of one row changed where `change` says so.
    fn sheet(mark: char, change: impl Fn(&str, &str, f64) -> Option<String>) -> String {
        let lift = lift();
        let mut text = COLUMNS.join(&mark.to_string()) + "\n";
        for hand in [Hand::Left, Hand::Right] {
            for dimension in Dimension::ALL {
                let (part, what) = (stem(hand, dimension), dimension.characteristic());
                let drawn = dimension.drawn(&lift);
                let measured = change(&part, what, drawn).unwrap_or_else(|| format!("{drawn:.3}"));
                let row = [&part, "1", what, &format!("{drawn:.4}"), "", "", "pins", &measured];
                text.push_str(&(row.join(&mark.to_string()) + "\n"));
            }
            text.push_str(
                &[&*format!("{}-wall-bar", hand.letter()), "1", "length", "150", "", "", "rule", "150"]
                    .join(&mark.to_string()),
            );
            text.push('\n');
        }
        text
    }

    fn refused(text: &str) -> String {
        read(text.as_bytes(), &lift()).unwrap_err().to_string()
    }

    fn changed(part: &str, what: &str, to: &str) -> String {
        sheet(',', |of, characteristic, _| (of == part && characteristic == what).then(|| to.to_owned()))
    }

    #[test]
    fn a_whole_sheet_is_read() {
        let text = changed("R-upper-arm", "centre distance", "471.1");
        let built = read(text.as_bytes(), &lift()).unwrap();
        assert_eq!((built.right.upper_arm, built.left.lower_arm), (Some(471.1), Some(456.389)));
        assert_eq!((built.left.panel_lower_offset, built.right.wall_upper_offset), (Some(39.69), Some(40.55)));
    }

    #[test]
    fn decimal_commas_and_other_marks() {
        for mark in [';', '\t'] {
            let text = sheet(mark, |_, _, drawn| Some(format!("{drawn:.3}").replace('.', ",")));
            assert_eq!(read(text.as_bytes(), &lift()).unwrap().left.lower_arm, Some(456.389), "{mark:?}");
        }
        let text = changed("L-lower-arm", "centre distance", "\"456,39\"");
        assert_eq!(read(format!("\u{feff}{text}").as_bytes(), &lift()).unwrap().left.lower_arm, Some(456.39));
        assert!(refused(&changed("L-lower-arm", "centre distance", "\"1,234\"")).contains("may be 1.234 or 1234"));
        assert!(refused(&changed("L-lower-arm", "centre distance", "\"1,456.39\"")).contains("one decimal point"));
    }

    #[test]
    fn wrong_units_are_named() {
        let in_inches = changed("R-lower-arm", "centre distance", "17.968");
        let inches = refused(&in_inches);
        let with_returns = refused(&in_inches.replace('\n', "\r\n"));
        assert_eq!(inches, with_returns, "rows are counted alike");
        assert!(inches.starts_with("row 11, column measured_mm: 17.968 is the 456.389 mm drawn in inches"), "{inches}");
        let times = refused(&changed("R-lower-arm", "centre distance", "11592.3"));
        assert!(times.contains("row 11, column measured_mm") && times.contains("25.4 times"), "{times}");
        assert!(refused(&changed("L-wall-bar", "lower pivot offset", "0.615 in")).contains("is in inches"));
        assert!(refused(&changed("L-wall-bar", "lower pivot offset", "0.615\"")).contains("row"));
        let header = refused(&sheet(',', |_, _, _| None).replacen("measured_mm", "measured_in", 1));
        assert!(header.starts_with("row 1, column measured_in: millimetres are expected"), "{header}");
    }

    #[test]
    fn what_is_missing_is_named() {
        let without: String = sheet(',', |_, _, _| None)
            .lines()
            .filter(|line| !line.starts_with("R-panel-bar"))
            .map(|l| format!("{l}\n"))
            .collect();
        assert_eq!(refused(&without), "column part: R-panel-bar has no row with its centre distance");
        let empty = refused(&changed("L-upper-arm", "centre distance", ""));
        assert_eq!(empty, "row 4, column measured_mm: the centre distance of L-upper-arm is not filled in");
        let left_out = read(changed("L-wall-bar", "upper pivot offset", "").as_bytes(), &lift()).unwrap();
        assert_eq!(left_out.left.wall_upper_offset, None);
        assert!(refused(&sheet(',', |_, _, _| None).replacen("part,", "piece,", 1)).starts_with("row 1, column part"));
        assert!(refused(" \n").contains("empty"));
    }

    #[test]
    fn slips_are_named() {
        for (to, what) in [
            ("466.389", "10.00 mm from the 456.389 mm drawn"),
            ("nan", "a number of millimetres is expected, found \"nan\""),
            ("inf", "expected, found \"inf\""),
            ("about 456", "expected, found \"about 456\""),
        ] {
            let found = refused(&changed("L-lower-arm", "centre distance", to));
            assert!(found.starts_with("row 2, column measured_mm: ") && found.contains(what), "{found}");
        }
        let text = sheet(',', |_, _, _| None);
        assert!(refused(&text.replace("456.3890", "450.0000")).contains("another state of the project"));
        let twice = format!("{text}L-lower-arm,1,centre distance,456.389,,,pins,456.5\n");
        assert!(
            refused(&twice).contains("row 20, column characteristic: this was already given in row 2"),
            "{}",
            refused(&twice)
        );
        assert!(
            refused(&format!("{text}M-lower-arm,1,centre distance,1,,,pins,1\n")).contains("none of the eight parts")
        );
    }
}
