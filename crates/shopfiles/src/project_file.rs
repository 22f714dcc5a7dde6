//! The project file: read with a plain sentence for everything that is wrong, saved whole.

use std::fmt;
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

use overarm_solver::Project;
use serde_json::Value;

use crate::atomic_write::{self, WriteError, io_words};
use crate::field_words::{expected_at, found_words, value_at};
use crate::pretty_json::pretty;

/// Why bytes are not a project: one sentence that names the field and what was expected.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub struct Refused {
    /// Path of the field, such as `panel.mass` or `room.outline[2]`; empty where the text as a
    /// whole is not JSON.
    pub path: String,
    /// The whole sentence, the path included.
    pub sentence: String,
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(&self.sentence)
    }
}

/// Why a project file cannot be used; the file is always named.
#[derive(Debug, thiserror::Error)]
pub enum ReadError {
    /// The file itself.
    #[error("{}: cannot be read: {reason}", .path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What was in the way.
        reason: String,
    },
    /// What stands in it.
    #[error("{}: {refused}", .path.display())]
    Refused {
        /// The file.
        path: PathBuf,
        /// The sentence.
        refused: Refused,
    },
}

/// A file larger than this is no project; a lift takes a few thousand bytes. It guards against
/// opening a disk image or an endless device by mistake.
const LARGEST: u64 = 16 << 20;

/// Reads and checks a project file.
///
/// # Errors
/// [`ReadError`] naming the file, and the field where it is about one.
pub fn read(path: &Path) -> Result<Project, ReadError> {
    let unreadable = |reason: String| ReadError::Unreadable { path: path.to_path_buf(), reason };
    if path.is_dir() {
        return Err(unreadable("this is a folder, a project file is expected".to_owned()));
    }
    let file = fs::File::open(path).map_err(|e| unreadable(io_words(&e)))?;
    let bytes = read_all(file).map_err(unreadable)?;
    parse(&bytes).map_err(|refused| ReadError::Refused { path: path.to_path_buf(), refused })
}

/// Reads and checks a project from an open stream; `name` stands for it in messages.
///
/// # Errors
/// As [`read`].
pub fn read_stream(stream: impl Read, name: &str) -> Result<Project, ReadError> {
    let path = PathBuf::from(name);
    let bytes = read_all(stream).map_err(|reason| ReadError::Unreadable { path: path.clone(), reason })?;
    parse(&bytes).map_err(|refused| ReadError::Refused { path, refused })
}

fn read_all(stream: impl Read) -> Result<Vec<u8>, String> {
    let mut bytes = Vec::new();
    stream.take(LARGEST + 1).read_to_end(&mut bytes).map_err(|e| io_words(&e))?;
    if bytes.len() as u64 > LARGEST {
        return Err("it is larger than 16 MB, which no project is".to_owned());
    }
    Ok(bytes)
}

/// Reads and checks a project from the bytes of its file.
///
/// # Errors
/// [`Refused`]: not JSON (line and column), another format or a newer version, a field that is
/// missing, of the wrong type or out of its range, or what [`Project::validate`] refuses.
pub fn parse(bytes: &[u8]) -> Result<Project, Refused> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes); // some editors put a mark in front
    let mut raw = parse_json(bytes)?;
    check_heading(&raw)?;
    // Some programs write every number with a point: 1.0 is version 1 all the same.
    raw["version"] = Project::VERSION.into();
    let project: Project = serde_path_to_error::deserialize(&raw).map_err(|error| {
        let path = error.path().to_string();
        let path = if path == "." { String::new() } else { path };
        refuse_field(&raw, path, &error.inner().to_string())
    })?;
    project.validate().map_err(|refusal| Refused { path: refusal.path.clone(), sentence: refusal.to_string() })?;
    Ok(project)
}

/// The JSON itself. A number too large for a double is refused here, with its field.
fn parse_json(bytes: &[u8]) -> Result<Value, Refused> {
    let mut reader = serde_json::Deserializer::from_slice(bytes);
    let raw = serde_path_to_error::deserialize::<_, Value>(&mut reader).map_err(|error| {
        let path = error.path().to_string();
        let path = if path == "." || path == "?" { String::new() } else { path };
        refuse_json(bytes, path, error.inner())
    })?;
    reader.end().map_err(|error| refuse_json(bytes, String::new(), &error))?;
    Ok(raw)
}

fn refuse_json(bytes: &[u8], path: String, error: &serde_json::Error) -> Refused {
    let (line, column) = (error.line(), error.column());
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Refused { path, sentence: "the file is empty, a project is expected".to_owned() };
    }
    let text = error.to_string();
    let reason = text.split(" at line ").next().unwrap_or(&text);
    let place = format!("line {line}, column {column}");
    let sentence = if reason == "number out of range" {
        let field = if path.is_empty() { String::new() } else { format!("{path}: ") };
        format!("{field}a number that a computer can hold is expected, found one out of range at {place}")
    } else {
        let after = if path.is_empty() { String::new() } else { format!(", in or after {path}") };
        format!("not valid JSON at {place}{after}: {}", json_words(reason))
    };
    Refused { path, sentence }
}

fn json_words(reason: &str) -> &str {
    match reason {
        "expected value" => "a value is expected there",
        "EOF while parsing a value"
        | "EOF while parsing an object"
        | "EOF while parsing a list"
        | "EOF while parsing a string" => "the file ends too early",
        "key must be a string" => "a field's name in double quotes is expected",
        "trailing characters" => "nothing more is expected after the project",
        "trailing comma" => "a comma is not followed by anything",
        "expected `,` or `}`" => "a comma or a closing } is expected",
        "expected `,` or `]`" => "a comma or a closing ] is expected",
        "expected `:`" => "a colon is expected after a field's name",
        "recursion limit exceeded" => "lists or objects are nested too deeply",
        "invalid unicode code point" => "the text is not UTF-8",
        other => other,
    }
}

/// Format and version come first, so that a newer file says that it is newer instead of
/// stumbling over a field that has changed.
fn check_heading(raw: &Value) -> Result<(), Refused> {
    let refuse = |path: &str, sentence: String| Err(Refused { path: path.to_owned(), sentence });
    let Some(fields) = raw.as_object() else {
        let found = found_words(raw);
        return refuse("", format!("the project: an object {{format, version, room, …}} is expected, found {found}"));
    };
    match fields.get("format") {
        Some(Value::String(format)) if format == Project::FORMAT => {}
        Some(other) => {
            let found = found_words(other);
            return refuse("format", format!("format: \"{}\" is expected, found {found}", Project::FORMAT));
        }
        None => return refuse("format", format!("format is missing: \"{}\" is expected", Project::FORMAT)),
    }
    let newest = Project::VERSION;
    match fields.get("version") {
        Some(version) if is_version(version, newest) => Ok(()),
        Some(version) if version.as_f64().is_some_and(|v| v.fract() > 0.0) => refuse(
            "version",
            format!("version: {newest} is expected, found {version}, which is not a version this program knows"),
        ),
        Some(version) if version.as_f64().is_some_and(|v| v > f64::from(newest)) => refuse(
            "version",
            format!(
                "version: {newest} is expected, found {version}: the file was written by a newer program; open it there"
            ),
        ),
        Some(other) => refuse("version", format!("version: {newest} is expected, found {}", found_words(other))),
        None => refuse("version", format!("version is missing: {newest} is expected")),
    }
}

/// Whether a version is this one, written as a whole number or with a point.
fn is_version(version: &Value, wanted: u32) -> bool {
    version.as_u64() == Some(u64::from(wanted))
        || version.as_f64().is_some_and(|v| v.to_bits() == f64::from(wanted).to_bits())
}

/// Says in plain words what serde found wrong with the field at `path`.
fn refuse_field(raw: &Value, path: String, reason: &str) -> Refused {
    if let Some(name) = quoted_after(reason, "missing field ") {
        let path = if path.is_empty() { name.to_owned() } else { format!("{path}.{name}") };
        let expected = expected_at(&path).unwrap_or("a value");
        let sentence = format!("{path} is missing: {expected} is expected");
        return Refused { path, sentence };
    }
    let serde_words = reason.rsplit_once("expected ").map(|(_, words)| serde_kind(words).to_owned());
    let expected = expected_at(&path).map(str::to_owned).or(serde_words);
    let found = value_at(raw, &path).map_or_else(|| "nothing".to_owned(), found_words);
    let sentence = match expected {
        Some(expected) => format!("{path}: {expected} is expected, found {found}"),
        None => format!("{path}: {reason}, found {found}"),
    };
    Refused { path, sentence }
}

fn serde_kind(words: &str) -> &str {
    match words {
        "f64" => "a number",
        "u32" | "u64" | "usize" => "a whole number",
        "a boolean" => "true or false",
        "a string" => "text",
        "a sequence" => "a list",
        "a map" => "an object {…}",
        words if words.starts_with("struct ") => "an object {…}",
        other => other,
    }
}

fn quoted_after<'a>(text: &'a str, start: &str) -> Option<&'a str> {
    text.strip_prefix(start)?.strip_prefix('`')?.split('`').next()
}

/// The text of a project's file: fields in a fixed order, unknown ones kept, points on one line,
/// every number exact.
///
/// # Errors
/// Only where a field that this version does not know cannot be written, which JSON it came from
/// rules out.
pub fn to_text(project: &Project) -> Result<String, serde_json::Error> {
    serde_json::to_value(project).map(|value| pretty(&value))
}

/// Saves a project: whole, or the file before it stays.
///
/// # Errors
/// [`WriteError`] naming the path.
pub fn save(path: &Path, project: &Project) -> Result<(), WriteError> {
    let text = to_text(project).map_err(|error| WriteError::new(path, error.to_string()))?;
    atomic_write::write_whole(path, text.as_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    const DEMO: &str = include_str!("../../../demo/chapel-hatch.overarm.json");

    fn demo() -> Value {
        serde_json::from_str(DEMO).unwrap()
    }

    /// The demo with one field changed (or, with `None`, left out), as text.
    fn changed(path: &str, value: Option<Value>) -> String {
        let mut root = demo();
        let steps: Vec<&str> = path.split('.').collect();
        let (last, before) = steps.split_last().unwrap();
        let mut at = &mut root;
        for step in before {
            at = at.get_mut(*step).unwrap();
        }
        let fields = at.as_object_mut().unwrap();
        match value {
            Some(value) => fields.insert((*last).to_owned(), value),
            None => fields.shift_remove(*last),
        };
        root.to_string()
    }

    fn refused(text: &str) -> Refused {
        parse(text.as_bytes()).unwrap_err()
    }

    #[test]
    fn the_demo_is_accepted() {
        let project = parse(DEMO.as_bytes()).unwrap();
        assert_eq!(project.title(), "Chapel kitchen hatch board");
        assert!(parse(format!("\u{feff}{DEMO}").as_bytes()).is_ok(), "a byte order mark is no fault");
    }

    #[test]
    fn every_field_that_must_be_there_is_named_when_it_is_not() {
        for path in [
            "format",
            "version",
            "room",
            "room.outline",
            "panel",
            "panel.width",
            "panel.height",
            "panel.thickness",
            "panel.mass",
            "panel.centre_of_mass",
            "panel.hung",
            "panel.hung.standoff",
            "panel.hung.bottom",
            "linkage",
            "linkage.wall_lower",
            "linkage.wall_upper",
            "linkage.panel_lower",
            "linkage.panel_upper",
            "linkage.travel_deg",
            "bars",
            "bars.build",
            "bars.wall_bar",
            "bars.panel_bar",
            "bars.lower_arm",
            "bars.upper_arm",
            "bars.wall_bar.width",
            "bars.wall_bar.depth",
            "bars.wall_bar.lower_end",
            "bars.panel_bar.upper_end",
            "bars.lower_arm.width",
            "bars.upper_arm.depth",
            "room.uncover.bottom",
            "room.uncover.top",
            "drive.anchor",
            "drive.drum_centre",
            "drive.drum_radius",
            "drive.strap_thickness",
            "drive.strap_side",
            "drive.kick.at",
        ] {
            let refused = refused(&changed(path, None));
            assert_eq!(refused.path, path);
            assert!(refused.sentence.starts_with(&format!("{path} is missing: ")), "{refused}");
            assert!(refused.sentence.ends_with(" is expected"), "{refused}");
            assert!(!refused.sentence.contains("a value is"), "{refused}");
        }
    }

    #[test]
    fn a_wrong_type_is_named_with_what_was_found() {
        for (path, value, sentence) in [
            ("panel.mass", json!(null), "panel.mass: a number is expected, found null"),
            ("panel.mass", json!("16"), "panel.mass: a number is expected, found \"16\""),
            ("panel.width", json!(true), "panel.width: a number is expected, found true"),
            ("panel.hung", json!([62, 1180]), "panel.hung: an object {standoff, bottom} is expected, found [62, 1180]"),
            ("panel.hung.standoff", json!({}), "panel.hung.standoff: a number is expected, found an object"),
            ("room.clearance", json!("15"), "room.clearance: a number is expected, found \"15\""),
            ("room.outline", json!({}), "room.outline: a list of points [[x, y], …] is expected, found an object"),
            ("linkage.wall_lower", json!("here"), "linkage.wall_lower: a point [x, y] is expected, found \"here\""),
            (
                "linkage.travel_deg",
                json!("to_top"),
                "linkage.travel_deg: a number of degrees or \"to_stop\" is expected, found \"to_top\"",
            ),
            ("bars.build", json!("welded"), "bars.build: \"lapped\" or \"sandwich\" is expected, found \"welded\""),
            ("units", json!("cm"), "units: \"mm\", \"in\" or \"ft-in\" is expected, found \"cm\""),
            ("joints.per_hinge", json!(1.5), "joints.per_hinge: a whole number is expected, found 1.5"),
            ("fixings.count", json!(-1), "fixings.count: a whole number is expected, found -1"),
            (
                "joints.bearing",
                json!(608),
                "joints.bearing: a designation such as \"688\" or an object {bore, outside, width, …} is expected, found 608",
            ),
            ("bars.stop_land", json!("no"), "bars.stop_land: true or false is expected, found \"no\""),
            ("drive.strap_side", json!("left"), "drive.strap_side: \"room\" or \"wall\" is expected, found \"left\""),
            ("title", json!(7), "title: text is expected, found 7"),
            ("format", json!("other"), "format: \"overarm-project\" is expected, found \"other\""),
            ("version", json!("1"), "version: 1 is expected, found \"1\""),
            ("version", json!(0), "version: 1 is expected, found 0"),
        ] {
            assert_eq!(refused(&changed(path, Some(value))).sentence, sentence);
        }
    }

    #[test]
    fn a_place_inside_a_list_has_its_index() {
        let sentence = |outline| refused(&changed("room.outline", Some(outline))).sentence;
        assert_eq!(sentence(json!([[0, 0], [0, 2250], 5])), "room.outline[2]: a point [x, y] is expected, found 5");
        assert_eq!(
            sentence(json!([[0, 0], [0, null], [1, 3000]])),
            "room.outline[1][1]: a number is expected, found null"
        );
        assert_eq!(
            sentence(json!([[0, 0], [0, 2250, 7], [1, 3000]])),
            "room.outline[1]: a point [x, y] is expected, found [0, 2250, 7]"
        );
        assert_eq!(sentence(json!([[0, 0], [0], [1, 3000]])), "room.outline[1]: a point [x, y] is expected, found [0]");
        let solid = refused(&changed("room.solids", Some(json!([{"name": "beam", "outline": [[1, 2], "x"]}]))));
        assert_eq!(solid.sentence, "room.solids[0].outline[1]: a point [x, y] is expected, found \"x\"");
        let solid = refused(&changed("room.solids", Some(json!([{"name": "beam"}]))));
        assert_eq!(solid.sentence, "room.solids[0].outline is missing: a list of points [[x, y], …] is expected");
    }

    #[test]
    fn a_newer_file_says_so_whatever_else_is_in_it() {
        let newer = refused(r#"{"format": "overarm-project", "version": 2, "panel": "all new"}"#);
        assert_eq!(newer.path, "version");
        assert!(newer.sentence.contains("found 2: the file was written by a newer program"), "{newer}");
        assert_eq!(
            refused("[]").sentence,
            "the project: an object {format, version, room, …} is expected, found an empty list"
        );
    }

    #[test]
    fn a_version_with_a_point_is_that_version() {
        let project = parse(changed("version", Some(json!(1.0))).as_bytes()).unwrap();
        assert_eq!(project, parse(DEMO.as_bytes()).unwrap());
        for other in [1.5, 0.5] {
            let sentence = refused(&changed("version", Some(json!(other)))).sentence;
            assert_eq!(
                sentence,
                format!("version: 1 is expected, found {other}, which is not a version this program knows")
            );
        }
        assert!(refused(&changed("version", Some(json!(2.0)))).sentence.contains("newer program"));
    }

    #[test]
    fn a_huge_number_is_told_short() {
        let sentence = refused(&changed("panel.width", Some(json!(1e300)))).sentence;
        assert!(sentence.ends_with("found 1e300"), "{sentence}");
    }

    #[test]
    fn zero_sizes_are_no_fault_of_the_file() {
        for path in ["panel.width", "panel.thickness", "bars.lower_arm.width", "bars.wall_bar.depth", "panel.mass"] {
            assert!(parse(changed(path, Some(json!(0))).as_bytes()).is_ok(), "{path}");
        }
    }

    #[test]
    fn what_validation_refuses_comes_with_its_path() {
        for (path, value) in
            [("panel.width", json!(-900)), ("panel.mass", json!(-1)), ("bars.lower_arm.width", json!(-25.4))]
        {
            let refused = refused(&changed(path, Some(value)));
            assert_eq!(refused.path, path, "{refused}");
            assert!(refused.sentence.starts_with(path), "{refused}");
        }
        let crossing = json!([[0, 0], [0, 2000], [1000, 2000], [-500, 1000]]);
        assert!(refused(&changed("room.outline", Some(crossing))).sentence.starts_with("room.outline"));
        let pivot = refused(&changed("linkage.wall_upper", Some(json!([15.62, 2089.36]))));
        assert!(pivot.sentence.starts_with("linkage."), "{pivot}");
    }

    #[test]
    fn broken_json_has_its_line_and_column() {
        let nan = DEMO.replacen("\"mass\": 16", "\"mass\": NaN", 1);
        let refused_nan = refused(&nan);
        assert!(refused_nan.sentence.contains("not valid JSON at line "), "{refused_nan}");
        assert!(refused_nan.sentence.contains("panel.mass"), "{refused_nan}");
        let cut = &DEMO[..DEMO.len() / 2];
        assert!(refused(cut).sentence.contains("the file ends too early"), "{}", refused(cut));
        assert_eq!(refused(" \n").sentence, "the file is empty, a project is expected");
        assert!(refused(&format!("{DEMO} {{")).sentence.contains("nothing more is expected"));
        assert!(parse(b"\xff\xfe\x00").is_err());
        let deep = "[".repeat(100_000);
        assert!(refused(&deep).sentence.contains("nested too deeply"), "{}", refused(&deep));
    }

    #[test]
    fn a_number_no_computer_holds_is_refused_with_its_field() {
        for number in ["1e400", "-1e400"] {
            let text = DEMO.replacen("\"mass\": 16", &format!("\"mass\": {number}"), 1);
            let refused = refused(&text);
            assert_eq!(refused.path, "panel.mass");
            assert!(
                refused.sentence.starts_with("panel.mass: a number that a computer can hold is expected"),
                "{refused}"
            );
        }
    }

    #[test]
    fn a_field_that_stands_twice_is_no_fault() {
        let text = DEMO.replacen("\"mass\": 16", "\"mass\": 16, \"mass\": 17", 1);
        assert_eq!(parse(text.as_bytes()).unwrap().panel.mass.to_bits(), 17.0_f64.to_bits());
    }

    #[test]
    fn unknown_fields_and_exact_numbers_survive_a_save() {
        let mut root = demo();
        root["client"] = json!({"phone": "none", "list": [1, 2.5, null, "x"], "big": 9_007_199_254_740_993_u64});
        root["panel"]["veneer"] = json!("oak");
        root["panel"]["hung"]["shim"] = json!(0.1);
        root["bars"]["lower_arm"]["bend"] = json!([[1, 2], [3, 4]]);
        root["room"]["outline"][2][1] = json!(3_930.123_456_789_012);
        let project = parse(root.to_string().as_bytes()).unwrap();
        let text = to_text(&project).unwrap();
        let back = parse(text.as_bytes()).unwrap();
        assert_eq!(back, project);
        assert_eq!(to_text(&back).unwrap(), text, "saving again changes nothing");
        let saved: Value = serde_json::from_str(&text).unwrap();
        for (path, value) in [
            ("client", &root["client"]),
            ("panel.veneer", &root["panel"]["veneer"]),
            ("panel.hung.shim", &root["panel"]["hung"]["shim"]),
            ("bars.lower_arm.bend", &root["bars"]["lower_arm"]["bend"]),
            ("room.outline", &root["room"]["outline"]),
        ] {
            let found = value_at(&saved, path).unwrap();
            assert_eq!(pretty(found), pretty(value), "{path}");
        }
        assert!(text.contains("[15.62, 2089.36]"), "points stay on one line");
    }

    #[test]
    fn a_file_that_cannot_be_read_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let missing = read(&folder.path().join("none.json")).unwrap_err().to_string();
        assert!(missing.contains("none.json: cannot be read: no such file"), "{missing}");
        let a_folder = read(folder.path()).unwrap_err().to_string();
        assert!(a_folder.contains("this is a folder, a project file is expected"), "{a_folder}");
        let bad = folder.path().join("bad.json");
        fs::write(&bad, changed("panel.mass", Some(json!(null)))).unwrap();
        let refused = read(&bad).unwrap_err().to_string();
        assert!(refused.ends_with("bad.json: panel.mass: a number is expected, found null"), "{refused}");
    }

    #[test]
    fn a_save_that_fails_keeps_the_file_before() {
        let project = parse(DEMO.as_bytes()).unwrap();
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("job.overarm.json");
        save(&path, &project).unwrap();
        assert_eq!(read(&path).unwrap(), project);
        let below = path.join("below.overarm.json");
        let error = save(&below, &project).unwrap_err().to_string();
        assert!(error.contains("below.overarm.json"), "{error}");
        assert_eq!(read(&path).unwrap(), project);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }
}
