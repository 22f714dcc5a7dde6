//! One part as DXF: closed contour with true arcs, bores as circles, a label, 1:1 in millimetres.
//!
//! Layers: `CONTOUR` holds the cut line and nothing else, `BORES` the circles, `TEXT` the label.
//! R2000 carries the contour as LWPOLYLINE. R12, for old controllers, has no such entity (the
//! writer drops it silently), so there it is POLYLINE … VERTEX … SEQEND. Same project, same bytes.

use std::str::FromStr;
use std::time::SystemTime;

use dxf::entities::{Circle, Entity, EntityType, LwPolyline, Polyline, Text, Vertex as PolylineVertex};
use dxf::enums::{AcadVersion, DrawingUnits, Units};
use dxf::tables::Layer;
use dxf::{Color, Drawing, LwPolylineVertex, Point as DxfPoint};
use overarm_solver::{Part, Vertex};

use crate::fixed_point::fixed_short;

/// The layer of the cut line, alone on it.
pub const CONTOUR: &str = "CONTOUR";
/// The layer of the circles.
pub const BORES: &str = "BORES";
/// The layer of the label, to be left out when cutting.
pub const TEXT: &str = "TEXT";

/// Height of the label, mm: readable on a sheet at 1:1, smaller than any part.
const TEXT_HEIGHT: f64 = 5.0;

/// Which generation of the format is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DxfVersion {
    /// AC1015, read by everything from this century.
    #[default]
    R2000,
    /// AC1009, for old controllers.
    R12,
}

impl DxfVersion {
    /// As on the command line.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::R2000 => "r2000",
            Self::R12 => "r12",
        }
    }
}

impl FromStr for DxfVersion {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        match text.to_ascii_lowercase().as_str() {
            "r2000" => Ok(Self::R2000),
            "r12" => Ok(Self::R12),
            _ => Err("r2000 or r12 is expected".to_owned()),
        }
    }
}

/// The bytes of one part's file. `title` is the job's, for the label.
///
/// # Errors
/// A sentence where the writer fails, which writing to memory rules out.
pub fn part_dxf(part: &Part, title: &str, version: DxfVersion) -> Result<Vec<u8>, String> {
    let mut drawing = Drawing::new();
    set_header(&mut drawing, part, version);
    for (name, colour) in [(CONTOUR, 7), (BORES, 1), (TEXT, 3)] {
        let (name, color) = (name.to_owned(), Color::from_index(colour));
        let line_type_name = "CONTINUOUS".to_owned();
        drawing.add_layer(Layer { name, color, line_type_name, ..Layer::default() });
    }
    add_contour(&mut drawing, &part.outline, version);
    for bore in &part.bores {
        let center = DxfPoint::new(bore.centre.x, bore.centre.y, 0.0);
        let circle = Circle { center, radius: bore.diameter / 2.0, ..Circle::default() };
        add(&mut drawing, BORES, EntityType::Circle(circle));
    }
    add_label(&mut drawing, part, title);
    let mut bytes = Vec::new();
    drawing.save(&mut bytes).map_err(|error| error.to_string())?;
    let text = String::from_utf8(bytes).map_err(|error| error.to_string())?;
    Ok(settle(&text, version).into_bytes())
}

fn set_header(drawing: &mut Drawing, part: &Part, version: DxfVersion) {
    let header = &mut drawing.header;
    header.version = match version {
        DxfVersion::R2000 => AcadVersion::R2000,
        DxfVersion::R12 => AcadVersion::R12,
    };
    header.default_drawing_units = Units::Millimeters;
    header.drawing_units = DrawingUnits::Metric;
    // The writer puts the clock and random numbers here; the same project gives the same bytes.
    header.creation_date = SystemTime::UNIX_EPOCH.into();
    header.creation_date_universal = SystemTime::UNIX_EPOCH.into();
    header.update_date = SystemTime::UNIX_EPOCH.into();
    header.update_date_universal = SystemTime::UNIX_EPOCH.into();
    header.fingerprint_guid = Default::default();
    header.version_guid = Default::default();
    let (low, high) = extents(&part.outline);
    header.minimum_drawing_extents = DxfPoint::new(low[0], low[1], 0.0);
    header.maximum_drawing_extents = DxfPoint::new(high[0], high[1], 0.0);
}

fn add(drawing: &mut Drawing, layer: &str, specific: EntityType) {
    let mut entity = Entity::new(specific);
    layer.clone_into(&mut entity.common.layer);
    drawing.add_entity(entity);
}

fn add_contour(drawing: &mut Drawing, outline: &[Vertex], version: DxfVersion) {
    match version {
        DxfVersion::R2000 => {
            let vertices = outline
                .iter()
                .map(|v| LwPolylineVertex { x: v.at.x, y: v.at.y, bulge: v.bulge, ..LwPolylineVertex::default() })
                .collect();
            let mut contour = LwPolyline { vertices, ..LwPolyline::default() };
            contour.set_is_closed(true);
            add(drawing, CONTOUR, EntityType::LwPolyline(contour));
        }
        DxfVersion::R12 => {
            let mut contour = Polyline::default();
            contour.set_is_closed(true);
            for v in outline {
                let location = DxfPoint::new(v.at.x, v.at.y, 0.0);
                contour.add_vertex(drawing, PolylineVertex { location, bulge: v.bulge, ..PolylineVertex::default() });
            }
            add(drawing, CONTOUR, EntityType::Polyline(contour));
        }
    }
}

/// Two lines under the part: its number and job, then stock and unit.
fn add_label(drawing: &mut Drawing, part: &Part, title: &str) {
    let (low, _) = extents(&part.outline);
    let material = if part.material.is_empty() { String::new() } else { format!(", {}", part.material) };
    let lines = [
        format!("{}  {title}", part.file_stem()),
        format!("{} mm deep{material}, drawn 1:1 in mm", fixed_short(part.depth, 4)),
    ];
    for (row, line) in (1..).zip(lines) {
        let location = DxfPoint::new(low[0], low[1] - 1.8 * TEXT_HEIGHT * f64::from(row), 0.0);
        let value = line.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
        let text = Text { location, value, text_height: TEXT_HEIGHT, ..Text::default() };
        add(drawing, TEXT, EntityType::Text(text));
    }
}

/// Least and greatest x and y of a closed outline with bulges.
fn extents(outline: &[Vertex]) -> ([f64; 2], [f64; 2]) {
    let mut low = [f64::INFINITY; 2];
    let mut high = [f64::NEG_INFINITY; 2];
    let mut take = |x: f64, y: f64| {
        low = [low[0].min(x), low[1].min(y)];
        high = [high[0].max(x), high[1].max(y)];
    };
    for (index, vertex) in outline.iter().enumerate() {
        let next = outline[(index + 1) % outline.len()].at;
        take(vertex.at.x, vertex.at.y);
        if vertex.bulge == 0.0 {
            continue;
        }
        // Half the included angle is 2·atan(bulge); the middle of the arc lies to the right of
        // the chord for a counter-clockwise arc. Points of the arc by equal steps of its angle:
        // a viewer's first zoom needs no more.
        let (b, chord) = (vertex.bulge, next - vertex.at);
        let centre = vertex.at + chord / 2.0 + nalgebra::Vector2::new(-chord.y, chord.x) * ((1.0 - b * b) / (4.0 * b));
        let spoke = vertex.at - centre;
        for step in 1..32 {
            let turn = nalgebra::Rotation2::new(4.0 * b.atan() * f64::from(step) / 32.0);
            let on_arc = centre + turn * spoke;
            take(on_arc.x, on_arc.y);
        }
    }
    (low, high)
}

/// What the writer leaves to be set right, pair by pair.
///
/// Everywhere: the dates, which it writes in the time zone of the machine; a zero never has a
/// sign. In R2000: each table gets the handle that it lacks. In R12: no subclass markers (the
/// writer puts one in each VERTEX), a VERTEX on its contour's layer, and the units in the header,
/// which R12 does not ask for but readers look for.
fn settle(text: &str, version: DxfVersion) -> String {
    const DATES: [&str; 6] = ["$TDCREATE", "$TDUCREATE", "$TDUPDATE", "$TDUUPDATE", "$TDINDWG", "$TDUSRTIMER"];
    let r12 = version == DxfVersion::R12;
    let mut settled = Pairs::default();
    let (mut variable, mut entity) = (String::new(), String::new());
    let mut in_header = false;
    // Handles not yet taken, from the header on; the tables take one each.
    let tables = pairs_of(text).filter(|(code, value)| *code == "0" && *value == "TABLE").count() as u64;
    let mut next_handle = 0;
    for (code, value) in pairs_of(text) {
        let mut value = value.to_owned();
        let mut handle = None;
        match code {
            "0" if r12 && in_header && value == "ENDSEC" => {
                for (name, number) in [("$MEASUREMENT", "     1"), ("$INSUNITS", "     4")] {
                    settled.push("9", name);
                    settled.push("70", number);
                }
                in_header = false;
            }
            "0" => entity.clone_from(&value),
            "2" if entity == "SECTION" => {
                in_header = value == "HEADER";
                entity.clear(); // a 2 further down is the value of a variable
            }
            "2" if entity == "TABLE" && !r12 => {
                handle = Some(next_handle);
                next_handle += 1;
            }
            "5" if in_header && variable == "$HANDSEED" => {
                next_handle = u64::from_str_radix(value.trim(), 16).unwrap_or_default();
                value = format!("{:X}", next_handle + tables);
            }
            "8" if entity == "VERTEX" => CONTOUR.clone_into(&mut value),
            "9" => variable.clone_from(&value),
            "40" if in_header && DATES.contains(&variable.as_str()) => "0.0".clone_into(&mut value),
            "100" if r12 => continue,
            _ => {}
        }
        if is_negative_zero(&value) && !matches!(code, "1" | "2" | "3" | "9") {
            value.remove(0);
        }
        settled.push(code, &value);
        if let Some(handle) = handle {
            settled.push("5", &format!("{handle:X}"));
        }
    }
    settled.0
}

/// Group codes and values of a file.
fn pairs_of(text: &str) -> impl Iterator<Item = (&str, &str)> {
    let mut lines = text.lines();
    std::iter::from_fn(move || Some((lines.next()?.trim(), lines.next()?)))
}

#[derive(Default)]
struct Pairs(String);

impl Pairs {
    fn push(&mut self, code: &str, value: &str) {
        self.0.push_str(&format!("{code:>3}\r\n{value}\r\n"));
    }
}

fn is_negative_zero(value: &str) -> bool {
    value.strip_prefix('-').is_some_and(|rest| !rest.is_empty() && rest.bytes().all(|b| b == b'0' || b == b'.'))
}

#[cfg(test)]
mod tests {
    use super::*;
    use overarm_solver::{Bore, Hand, PartName, Point};

    fn stadium(hand: Hand) -> Part {
        let vertex = |x: f64, y: f64, bulge| Vertex { at: Point::new(x, y), bulge };
        Part {
            name: PartName::LowerArm,
            hand,
            outline: vec![
                vertex(0.0, -12.7, 0.0),
                vertex(456.389_035, -12.7, 1.0),
                vertex(456.389_035, 12.7, 0.0),
                vertex(-0.0, 12.7, 1.0),
            ],
            bores: vec![
                Bore { name: "wall", centre: Point::new(-0.0, 0.0), diameter: 8.0 },
                Bore { name: "panel", centre: Point::new(456.389_035, -1e-15), diameter: 8.0 },
            ],
            depth: 38.1,
            material: "6061-T6".to_owned(),
        }
    }

    fn pairs(bytes: &[u8]) -> Vec<(i32, String)> {
        let text = std::str::from_utf8(bytes).unwrap();
        let lines: Vec<_> = text.lines().collect();
        assert_eq!(lines.len() % 2, 0);
        lines.chunks(2).map(|pair| (pair[0].trim().parse().unwrap(), pair[1].trim().to_owned())).collect()
    }

    /// Entities as lists of pairs, read by hand: no code shared with the writer.
    fn entities(bytes: &[u8]) -> Vec<Vec<(i32, String)>> {
        let pairs = pairs(bytes);
        let start = pairs.iter().position(|p| *p == (2, "ENTITIES".to_owned())).unwrap();
        let mut entities: Vec<Vec<(i32, String)>> = Vec::new();
        for pair in &pairs[start + 1..] {
            if pair.0 == 0 && pair.1 == "ENDSEC" {
                break;
            }
            if pair.0 == 0 {
                entities.push(Vec::new());
            }
            entities.last_mut().unwrap().push(pair.clone());
        }
        entities
    }

    fn value(entity: &[(i32, String)], code: i32) -> Vec<&str> {
        entity.iter().filter(|p| p.0 == code).map(|p| p.1.as_str()).collect()
    }

    fn variable(bytes: &[u8], name: &str) -> Option<String> {
        let pairs = pairs(bytes);
        pairs.iter().position(|p| *p == (9, name.to_owned())).map(|at| pairs[at + 1].1.clone())
    }

    #[test]
    fn r2000_has_one_closed_contour_circles_and_a_label() {
        let bytes = part_dxf(&stadium(Hand::Right), "Küche 1", DxfVersion::R2000).unwrap();
        assert_eq!(variable(&bytes, "$ACADVER").unwrap(), "AC1015");
        assert_eq!(variable(&bytes, "$INSUNITS").unwrap(), "4");
        assert_eq!(variable(&bytes, "$MEASUREMENT").unwrap(), "1");
        let entities = entities(&bytes);
        let kinds: Vec<_> = entities.iter().map(|e| (value(e, 0)[0], value(e, 8)[0])).collect();
        assert_eq!(
            kinds,
            [("LWPOLYLINE", CONTOUR), ("CIRCLE", BORES), ("CIRCLE", BORES), ("TEXT", TEXT), ("TEXT", TEXT)]
        );
        assert_eq!(value(&entities[0], 70), ["1"]);
        assert_eq!(value(&entities[0], 10), ["0.0", "456.389035", "456.389035", "0.0"]);
        assert_eq!(value(&entities[0], 42).iter().filter(|b| **b == "1.0").count(), 2);
        assert_eq!(value(&entities[1], 40), ["4.0"]);
        assert!(value(&entities[3], 1)[0].starts_with("R-lower-arm"));
        assert!(value(&entities[3], 1)[0].contains("K\\U+00FCche 1"));
        for entity in &entities {
            assert!(value(entity, 230).iter().all(|z| *z == "1.0"), "normals point up");
            assert!(value(entity, 71).iter().all(|flags| *flags == "0"), "text is not mirrored");
        }
    }

    #[test]
    fn r12_has_a_polyline_on_one_layer_and_says_its_units() {
        let bytes = part_dxf(&stadium(Hand::Left), "Hatch", DxfVersion::R12).unwrap();
        assert_eq!(variable(&bytes, "$ACADVER").unwrap(), "AC1009");
        assert_eq!(variable(&bytes, "$INSUNITS").unwrap(), "4");
        assert_eq!(variable(&bytes, "$MEASUREMENT").unwrap(), "1");
        assert!(pairs(&bytes).iter().all(|p| p.0 != 100), "R12 has no subclass markers");
        let entities = entities(&bytes);
        let kinds: Vec<_> = entities.iter().map(|e| value(e, 0)[0]).collect();
        assert_eq!(
            kinds,
            ["POLYLINE", "VERTEX", "VERTEX", "VERTEX", "VERTEX", "SEQEND", "CIRCLE", "CIRCLE", "TEXT", "TEXT"]
        );
        assert_eq!(value(&entities[0], 70), ["1"]);
        assert!(entities[1..5].iter().all(|v| value(v, 8) == [CONTOUR]));
        assert_eq!(value(&entities[4], 42), ["1.0"], "the last arc is kept");
    }

    #[test]
    fn the_same_part_gives_the_same_bytes_without_signed_zeros_or_exponents() {
        for version in [DxfVersion::R2000, DxfVersion::R12] {
            let once = part_dxf(&stadium(Hand::Left), "Hatch", version).unwrap();
            for date in ["$TDCREATE", "$TDUPDATE"] {
                assert_eq!(variable(&once, date).unwrap(), "0.0", "no clock, no time zone");
            }
            std::thread::sleep(std::time::Duration::from_millis(5));
            assert_eq!(once, part_dxf(&stadium(Hand::Left), "Hatch", version).unwrap());
            for (code, text) in pairs(&once) {
                assert!(!is_negative_zero(&text), "{code} {text}");
                if (10..60).contains(&code) {
                    assert!(!text.contains(['e', 'E']), "{code} {text}");
                }
            }
        }
    }

    #[test]
    fn every_handle_is_there_once_and_below_the_next_free_one() {
        let bytes = part_dxf(&stadium(Hand::Left), "Hatch", DxfVersion::R2000).unwrap();
        let next = u64::from_str_radix(&variable(&bytes, "$HANDSEED").unwrap(), 16).unwrap();
        let pairs = pairs(&bytes);
        let mut handles: Vec<u64> = Vec::new();
        for (index, (code, value)) in pairs.iter().enumerate() {
            let of_a_variable = index > 0 && pairs[index - 1] == (9, "$HANDSEED".to_owned());
            if (*code == 5 || *code == 105) && !of_a_variable {
                handles.push(u64::from_str_radix(value, 16).unwrap());
            }
        }
        let tables = pairs.iter().filter(|pair| **pair == (0, "TABLE".to_owned())).count();
        assert!(tables > 5 && handles.len() > tables + 5);
        assert!(handles.iter().all(|handle| (1..next).contains(handle)), "{handles:X?} below {next:X}");
        let count = handles.len();
        handles.sort_unstable();
        handles.dedup();
        assert_eq!(handles.len(), count);
    }

    #[test]
    fn extents_hold_the_round_ends() {
        let (low, high) = extents(&stadium(Hand::Left).outline);
        let close = |a: f64, b: f64| (a - b).abs() < 1e-9;
        assert!(close(low[0], -12.7) && close(low[1], -12.7), "{low:?}");
        assert!(close(high[0], 456.389_035 + 12.7) && close(high[1], 12.7), "{high:?}");
    }
}
