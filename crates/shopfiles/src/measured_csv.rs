//! The inspection sheet read back: what was measured on the eight parts.
//!
//! Read whole or refused with row and column; nothing is half read. Rows are counted as a spreadsheet
//! counts them, the header being row 1. Commas, semicolons or tabs may stand between columns, and a
//! decimal comma is a decimal comma where the drawn size leaves no doubt; that it was read so is told.

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
/// A size that is smaller, mm, tells nothing about the unit.
const LEAST_OF_UNIT_MM: f64 = 1.0;
/// A name that is so many letters off one that is known is taken for a slip of writing.
const SLIPS: usize = 3;
/// Characters of a cell that a message repeats.
const REPEATED: usize = 40;

/// What a sheet says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sheet {
    /// What was measured.
    pub built: AsBuilt,
    /// What was read otherwise than it stands there: sentences.
    pub notes: Vec<String>,
}

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
pub fn read(bytes: &[u8], lift: &Lift) -> Result<Sheet, NotRead> {
    if bytes.contains(&0) {
        return Err(NotRead::whole("this is no plain text; save the sheet as CSV in UTF-8"));
    }
    let text = String::from_utf8_lossy(bytes);
    // With carriage returns the reader would count each row one too low.
    let text = text.trim_start_matches('\u{feff}').replace("\r\n", "\n").replace('\r', "\n");
    let text = text.as_str();
    if text.trim().is_empty() {
        return Err(NotRead::whole(format!("the sheet is empty; its header is {}", COLUMNS.join(","))));
    }
    let (mark, text) = told_mark(text).unwrap_or_else(|| (between_columns(text), text));
    let mut rows = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(mark)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut records = Vec::new();
    for record in rows.records() {
        let record = record.map_err(|error| NotRead::whole(format!("this is no table of values: {error}")))?;
        if !record.iter().all(str::is_empty) {
            records.push((record.position().map_or(0, |at| row_at(text, at)), record));
        }
    }
    let Some(((row, first), rest)) = records.split_first() else {
        return Err(NotRead::whole(format!("the sheet is empty; its header is {}", COLUMNS.join(","))));
    };
    let header = Header::of(first, *row).map_err(|refused| match rest.iter().find(|(_, of)| is_header(of)) {
        Some((below, _)) => NotRead {
            row: Some(*row),
            column: None,
            what: format!("the header is expected here and stands in row {below}; take out the rows above it"),
        },
        None => refused,
    })?;
    let mut found: BTreeMap<Key, Told> = BTreeMap::new();
    for (row, record) in rest {
        let row = *row;
        if let Some((key, told)) = told_of(&Row { record, row, header: &header }, lift)? {
            match found.get(&key) {
                Some(Told { row: before, .. }) => {
                    let what = format!("this was already given in row {before}; each part has it once");
                    return Err(NotRead::at(row, "characteristic", what));
                }
                None => found.insert(key, told),
            };
        }
    }
    let all = || Dimension::ALL.into_iter().enumerate().flat_map(|of| [Hand::Left, Hand::Right].map(|hand| (hand, of)));
    let lengths = || all().filter(|(_, (_, dimension))| dimension.is_length());
    let absent: Vec<String> = lengths()
        .filter(|(hand, (index, _))| !found.contains_key(&(hand.letter(), *index)))
        .map(|(hand, (_, dimension))| stem(hand, dimension))
        .collect();
    if !absent.is_empty() {
        let have = if absent.len() == 1 { "has no row with its" } else { "have no row with their" };
        let what = format!("{} {have} centre distance", absent.join(", "));
        return Err(NotRead { row: None, column: Some("part".into()), what });
    }
    let empty = lengths().filter_map(|(hand, (index, dimension))| {
        let told = found.get(&(hand.letter(), index)).filter(|told| told.value.is_none())?;
        Some((told.row, stem(hand, dimension)))
    });
    if let Some((row, part)) = empty.min() {
        return Err(NotRead::at(row, "measured_mm", format!("the centre distance of {part} is not filled in")));
    }
    let mut built = AsBuilt::default();
    for (hand, (index, dimension)) in all() {
        // Offsets may be left out.
        *dimension.measured_mut(set_of(&mut built, hand)) =
            found.get(&(hand.letter(), index)).and_then(|told| told.value);
    }
    Ok(Sheet { built, notes: notes(found.values()) })
}

/// What a row says of a dimension.
struct Told {
    row: u64,
    value: Option<f64>,
    /// The value as it stands there, where it has a decimal comma.
    comma: Option<String>,
}

fn notes<'a>(told: impl Iterator<Item = &'a Told>) -> Vec<String> {
    let mut commas: Vec<(u64, &str, f64)> =
        told.filter_map(|told| Some((told.row, told.comma.as_deref()?, told.value?))).collect();
    commas.sort_by_key(|(row, ..)| *row);
    let told = commas.first().map(|(row, text, value)| {
        let count = commas.len();
        let values =
            if count == 1 { "1 value has a decimal comma" } else { &format!("{count} values have decimal commas") };
        format!("{values}: row {row}, column measured_mm, {text} is read as {value} mm")
    });
    told.into_iter().collect()
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

/// The row that a record stands in: the reader counts from before the empty lines that it leaves out.
fn row_at(text: &str, at: &csv::Position) -> u64 {
    let bytes = text.as_bytes();
    let begin = usize::try_from(at.byte()).unwrap_or(0).min(bytes.len());
    let left_out = bytes[begin..].iter().take_while(|byte| **byte == b'\n').count();
    let before = bytes[..begin].iter().filter(|byte| **byte == b'\n').count();
    1 + (before + left_out) as u64
}

/// The mark that a first line `sep=;` names, as some spreadsheets write it, and the rest of the text: that
/// line is not shown in the spreadsheet, and not counted.
fn told_mark(text: &str) -> Option<(u8, &str)> {
    let (first, rest) = text.split_once('\n')?;
    let told = first.trim_matches([' ', '"']);
    let mark = told.get(..4).filter(|name| name.eq_ignore_ascii_case("sep=")).map(|name| &told[name.len()..])?;
    match mark.as_bytes() {
        // Commas or spaces may follow where the whole table was written with as many cells.
        [mark, ..] if mark.is_ascii_punctuation() || *mark == b'\t' => Some((*mark, rest)),
        _ => None,
    }
}

/// Whether a row has the columns that are read.
fn is_header(record: &csv::StringRecord) -> bool {
    NEEDED.into_iter().all(|needed| record.iter().any(|name| name.eq_ignore_ascii_case(needed)))
}

/// Which column is where.
struct Header {
    columns: BTreeMap<&'static str, usize>,
    names: Vec<String>,
}

impl Header {
    fn of(record: &csv::StringRecord, row: u64) -> Result<Self, NotRead> {
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
            None => Ok(Self { columns, names: record.iter().map(str::to_owned).collect() }),
            Some(missing) => {
                let what = format!("this column is not there; the header is {}", COLUMNS.join(","));
                Err(NotRead::at(row, missing, what))
            }
        }
    }
}

type Key = (char, usize);

/// One row below the header.
struct Row<'a> {
    record: &'a csv::StringRecord,
    row: u64,
    header: &'a Header,
}

impl Row<'_> {
    fn cell(&self, column: &str) -> &str {
        self.header.columns.get(column).and_then(|index| self.record.get(*index)).unwrap_or_default()
    }

    fn refused(&self, column: &str, what: impl Into<String>) -> NotRead {
        NotRead::at(self.row, column, what)
    }

    /// A decimal comma without quotes between commas makes two cells of one.
    fn has_as_many_cells(&self) -> Result<(), NotRead> {
        let (cells, columns) = (self.record.len(), self.header.names.len());
        if cells <= columns {
            return Ok(());
        }
        let last = self.header.names.last().map_or("", String::as_str);
        let what = format!(
            "{cells} cells stand under {columns} columns; a decimal comma between commas has to stand in quotes, or write a point"
        );
        Err(self.refused(last, what))
    }

    /// The part and the dimension that it is about; `None` where it is about something else of a part.
    fn meant(&self) -> Result<Option<(Hand, usize)>, NotRead> {
        let part = self.cell("part");
        let characteristic = self.cell("characteristic").to_lowercase();
        let all = || {
            let hands = [Hand::Left, Hand::Right].into_iter();
            hands.flat_map(|hand| Dimension::ALL.into_iter().enumerate().map(move |of| (hand, of)))
        };
        let of_part: Vec<(Hand, (usize, Dimension))> =
            all().filter(|(hand, (_, dimension))| part.eq_ignore_ascii_case(&stem(*hand, *dimension))).collect();
        if of_part.is_empty() {
            let mut names: Vec<String> = Vec::new();
            for (hand, (_, dimension)) in all() {
                let name = stem(hand, dimension);
                if !names.contains(&name) {
                    names.push(name);
                }
            }
            let what = format!("\"{}\" is none of the eight parts: {}", repeated(part), names.join(", "));
            return Err(self.refused("part", what));
        }
        let is = |of: &&(Hand, (usize, Dimension))| of.1.1.characteristic() == characteristic;
        if let Some((hand, (index, _))) = of_part.iter().find(is) {
            return Ok(Some((*hand, *index)));
        }
        let slip = of_part.iter().map(|(_, (_, dimension))| dimension.characteristic());
        if let Some(meant) = slip
            .min_by_key(|known| apart(known, &characteristic))
            .filter(|known| apart(known, &characteristic) <= SLIPS)
        {
            let what = format!("\"{}\" is not measured on {part}; \"{meant}\" may be meant", repeated(&characteristic));
            return Err(self.refused("characteristic", what));
        }
        Ok(None)
    }
}

/// The beginning of a cell, for a message.
fn repeated(cell: &str) -> String {
    let line = cell.lines().next().unwrap_or_default();
    let short: String = line.chars().take(REPEATED).collect();
    if short.len() < cell.len() { short + "…" } else { short }
}

/// Letters to change, add or leave out between two words (V. Levenshtein, Soviet Physics Doklady 10, 1966).
fn apart(one: &str, other: &str) -> usize {
    let other: Vec<char> = other.chars().collect();
    let mut before: Vec<usize> = (0..=other.len()).collect();
    for (row, letter) in one.chars().enumerate() {
        let mut now = vec![row + 1];
        for (column, with) in other.iter().enumerate() {
            let changed = before[column] + usize::from(letter != *with);
            now.push(changed.min(before[column + 1] + 1).min(now[column] + 1));
        }
        before = now;
    }
    before.last().copied().unwrap_or(0)
}

/// What a row says of a dimension; `None` where it is about something else.
fn told_of(row: &Row<'_>, lift: &Lift) -> Result<Option<(Key, Told)>, NotRead> {
    row.has_as_many_cells()?;
    let Some((hand, index)) = row.meant()? else {
        // Not read, but a unit that is wrong here is wrong elsewhere.
        let size =
            |column: &str| row.cell(column).replace(',', ".").parse::<f64>().ok().filter(|size| size.is_finite());
        // Of next to nothing, such as a corner on an axis, everything is many times.
        let nominal = size("nominal_mm").filter(|nominal| nominal.abs() >= LEAST_OF_UNIT_MM);
        if let Some((nominal, measured)) = nominal.zip(size("measured_mm")) {
            in_millimetres(measured, nominal).map_err(|what| row.refused("measured_mm", what))?;
        }
        return Ok(None);
    };
    let drawn = Dimension::ALL[index].drawn(lift);
    let number_in = |column: &str| number(row.cell(column), drawn).map_err(|what| row.refused(column, what));
    if !row.cell("nominal_mm").is_empty() {
        let nominal = number_in("nominal_mm")?;
        in_millimetres(nominal, drawn).map_err(|what| row.refused("nominal_mm", what))?;
        if (nominal - drawn).abs() > ROUNDED_MM {
            let what = format!(
                "the sheet has {nominal} mm, the project draws {drawn:.3} mm: it was written for another state of the project"
            );
            return Err(row.refused("nominal_mm", what));
        }
    }
    // Where a cell is missing the others stand under the wrong names.
    for limit in ["lower_mm", "upper_mm"] {
        if !row.cell(limit).is_empty() {
            number_in(limit)?;
        }
    }
    let told = row.cell("measured_mm");
    let mut found = Told { row: row.row, value: None, comma: None };
    if !told.is_empty() {
        let refused = |what: String| row.refused("measured_mm", what);
        let measured = number_in("measured_mm")?;
        in_millimetres(measured, drawn).map_err(refused)?;
        if (measured - drawn).abs() > FARTHEST_MM {
            return Err(refused(format!(
                "{measured} mm is {:.2} mm from the {drawn:.3} mm drawn; more than {FARTHEST_MM} mm is taken for a slip",
                (measured - drawn).abs()
            )));
        }
        found.value = Some(measured);
        found.comma = told.contains(',').then(|| told.to_owned());
    }
    Ok(Some(((hand.letter(), index), found)))
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
        return Err(format!("{} is in inches; millimetres are expected", repeated(told)));
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
        _ => return Err(format!("{} has more than one mark; write it with one decimal point", repeated(told))),
    };
    // Words that stand for no number are numbers to a parser.
    let is_written = plain.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'.' | b',' | b'-' | b'+' | b'e' | b'E'));
    read.filter(|value| is_written && value.is_finite())
        .ok_or_else(|| format!("a number of millimetres is expected, found \"{}\"", repeated(told)))
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
        let Sheet { built, notes } = read(text.as_bytes(), &lift()).unwrap();
        assert!(notes.is_empty(), "{notes:?}");
        assert_eq!((built.right.upper_arm, built.left.lower_arm), (Some(471.1), Some(456.389)));
        assert_eq!((built.left.panel_lower_offset, built.right.wall_upper_offset), (Some(39.69), Some(40.55)));
    }

    #[test]
    fn decimal_commas_and_other_marks() {
        for mark in [';', '\t'] {
            let text = sheet(mark, |_, _, drawn| Some(format!("{drawn:.3}").replace('.', ",")));
            let sheet = read(text.as_bytes(), &lift()).unwrap();
            assert_eq!(sheet.built.left.lower_arm, Some(456.389), "{mark:?}");
            let told = "16 values have decimal commas: row 2, column measured_mm, 456,389 is read as 456.389 mm";
            assert_eq!(sheet.notes, [told]);
        }
        let text = changed("L-lower-arm", "centre distance", "\"456,39\"");
        assert_eq!(read(format!("\u{feff}{text}").as_bytes(), &lift()).unwrap().built.left.lower_arm, Some(456.39));
        assert!(refused(&changed("L-lower-arm", "centre distance", "\"1,234\"")).contains("may be 1.234 or 1234"));
        assert!(refused(&changed("L-lower-arm", "centre distance", "\"1,456.39\"")).contains("one decimal point"));
    }

    /// Some spreadsheets say on a line of its own what stands between columns; it is no row of theirs.
    #[test]
    fn a_line_that_names_the_mark_is_followed() {
        for mark in [',', ';', '\t', '|'] {
            let text = sheet(mark, |_, _, _| None);
            let told = format!("\u{feff}sep={mark}\r\n{text}");
            assert_eq!(read(told.as_bytes(), &lift()).unwrap(), read_of(&text, mark), "{mark:?}");
        }
        let bad = changed("L-lower-arm", "centre distance", "nan");
        assert_eq!(refused(&format!("\"sep=,\"\n{bad}")), refused(&bad), "rows are counted alike");
    }

    fn read_of(text: &str, mark: char) -> Sheet {
        let text = if mark == '|' { text.replace('|', ",") } else { text.to_owned() };
        read(text.as_bytes(), &lift()).unwrap()
    }

    /// Rows are counted as a spreadsheet does, empty ones among them.
    #[test]
    fn empty_rows_are_counted() {
        let bad = changed("R-lower-arm", "centre distance", "nan");
        assert!(refused(&bad).starts_with("row 11, "), "{}", refused(&bad));
        let apart = bad.replacen("R-lower-arm,1,centre", "\n\nR-lower-arm,1,centre", 1);
        assert!(refused(&apart).starts_with("row 13, "), "{}", refused(&apart));
        assert!(refused(&format!("\n{bad}")).starts_with("row 12, "));
    }

    /// A title above the header: where the header stands is said.
    #[test]
    fn a_title_above_the_header_is_named() {
        let text = sheet(',', |_, _, _| None);
        let told = refused(&format!("Chapel kitchen hatch board\n\n{text}"));
        let expected = "row 1: the header is expected here and stands in row 3; take out the rows above it";
        assert_eq!(told, expected);
    }

    /// Between commas a decimal comma without quotes makes two cells: 456,389 would be 456 mm.
    #[test]
    fn nothing_is_half_read() {
        let half = refused(&changed("L-lower-arm", "centre distance", "456,389"));
        assert!(half.starts_with("row 2, column measured_mm: 9 cells stand under 8 columns"), "{half}");
        // Also where a column of notes takes the rest up.
        let noted: Vec<String> =
            changed("R-wall-bar", "upper pivot offset", "40,6").lines().map(|l| format!("{l},")).collect();
        let noted = noted.join("\n").replacen("measured_mm,", "measured_mm,notes", 1);
        assert!(refused(&noted).contains("column notes: 10 cells stand under 9 columns"), "{}", refused(&noted));
        // A cell left out, and the rest moved up.
        let text = sheet(',', |_, _, _| None);
        let moved = refused(&text.replacen(",40.5500,,,pins,40.550", ",40.5500,,pins,40.550", 1));
        assert!(moved.ends_with("column upper_mm: a number of millimetres is expected, found \"pins\""), "{moved}");
        for (name, slip) in [("upper pivot offset", "uper pivot ofset"), ("centre distance", "center distance")] {
            let told = refused(&text.replacen(name, slip, 1));
            assert!(told.contains(&format!("column characteristic: \"{slip}\"")) && told.contains(name), "{told}");
        }
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
        let other = refused(&sheet(',', |_, _, _| None).replacen(",150,,,rule,150", ",150,,,rule,5.9055", 1));
        assert!(other.starts_with("row 10, column measured_mm: 5.9055 is the 150.000 mm drawn in inches"), "{other}");
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
        assert_eq!(left_out.built.left.wall_upper_offset, None);
        assert!(refused(&sheet(',', |_, _, _| None).replacen("part,", "piece,", 1)).starts_with("row 1, column part"));
        assert!(refused(" \n").contains("empty"));
        // Nothing filled in: the first row, whatever the order of the rows.
        let untouched: Vec<String> = sheet(',', |_, _, _| Some(String::new())).lines().map(str::to_owned).collect();
        let turned = [&untouched[..1], &untouched[4..], &untouched[1..4]].concat().join("\r");
        assert!(
            refused(&turned).starts_with("row 2, column measured_mm: the centre distance of L-wall-bar"),
            "{turned}"
        );
        let left_only: String =
            sheet(',', |_, _, _| None).lines().filter(|l| !l.starts_with("R-")).map(|l| format!("{l}\n")).collect();
        let told =
            "column part: R-lower-arm, R-panel-bar, R-upper-arm, R-wall-bar have no row with their centre distance";
        assert_eq!(refused(&left_only), told);
        let wide: Vec<u8> = left_only.encode_utf16().flat_map(u16::to_le_bytes).collect();
        assert!(read(&wide, &lift()).unwrap_err().to_string().contains("CSV in UTF-8"));
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
