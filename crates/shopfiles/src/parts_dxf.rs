//! One part as DXF, seen from the outside of its set, 1:1 in millimetres: one layer for each
//! operation, arcs as arcs, every cut a closed contour.
//!
//! [`LAYERS`] is the list. The contour is alone on its layer. R2000 carries outlines as LWPOLYLINE.
//! R12, for old controllers, has no such entity (the writer drops it silently), so there it is
//! POLYLINE … VERTEX … SEQEND. Same project, same bytes.

use std::str::FromStr;
use std::time::SystemTime;

use dxf::entities::{Circle, Entity, EntityType, Line, LwPolyline, Polyline, Text, Vertex as PolylineVertex};
use dxf::enums::{AcadVersion, DrawingUnits, HorizontalTextJustification, Units, VerticalTextJustification};
use dxf::tables::Layer;
use dxf::{Color, Drawing, LwPolylineVertex, Point as DxfPoint};
use overarm_solver::{HingeBore, Mouth, Part, PocketKind, ScrewHole, StepKind, Vertex};

use crate::fixed_point::fixed_short;

/// The layer of the cut line, alone on it.
pub const CONTOUR: &str = "CONTOUR";
/// Bores right through: clearance bores, pin bores, plain ones.
pub const BORES: &str = "BORES";
/// Bearing seats that are bored from the face that is seen.
pub const SEATS_OUTER: &str = "SEATS_OUTER";
/// Bearing seats that are bored from the other face.
pub const SEATS_INNER: &str = "SEATS_INNER";
/// Mouths of lead-ins in the face that is seen.
pub const LEAD_INS_OUTER: &str = "LEAD_INS_OUTER";
/// Mouths of lead-ins in the other face.
pub const LEAD_INS_INNER: &str = "LEAD_INS_INNER";
/// Half laps: pockets around the hinges.
pub const LAPS: &str = "LAPS";
/// Reliefs where another bar passes.
pub const RELIEFS: &str = "RELIEFS";
/// Screw holes across the part, as their section.
pub const SCREWS: &str = "SCREWS";
/// The part number, engraved.
pub const ENGRAVING: &str = "ENGRAVING";
/// Centre lines, not to be cut.
pub const REFERENCE: &str = "REFERENCE";
/// The label, not to be cut.
pub const TEXT: &str = "TEXT";

/// Every layer with its colour number.
pub const LAYERS: [(&str, u8); 12] = [
    (CONTOUR, 7),
    (BORES, 1),
    (SEATS_OUTER, 30),
    (SEATS_INNER, 32),
    (LEAD_INS_OUTER, 40),
    (LEAD_INS_INNER, 42),
    (LAPS, 5),
    (RELIEFS, 4),
    (SCREWS, 6),
    (ENGRAVING, 2),
    (REFERENCE, 8),
    (TEXT, 3),
];

/// Height of the label, mm: readable on a sheet at 1:1, smaller than any part.
const TEXT_HEIGHT: f64 = 5.0;
/// How far a centre line goes beyond its bore, mm.
const BEYOND_BORE: f64 = 3.0;

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
    for (name, colour) in LAYERS {
        let (name, color) = (name.to_owned(), Color::from_index(colour));
        let line_type_name = "CONTINUOUS".to_owned();
        drawing.add_layer(Layer { name, color, line_type_name, ..Layer::default() });
    }
    add_closed(&mut drawing, CONTOUR, &part.outline, version);
    for hinge in &part.hinges {
        add_bore(&mut drawing, hinge);
    }
    for pocket in part.pockets() {
        let layer = if pocket.kind == PocketKind::HalfLap { LAPS } else { RELIEFS };
        for outline in std::iter::once(&pocket.contour).chain(&pocket.islands) {
            add_closed(&mut drawing, layer, outline, version);
        }
    }
    for hole in &part.screw_holes {
        add_closed(&mut drawing, SCREWS, &section_of(hole), version);
    }
    if let Some(engraving) = part.engraving() {
        let location = DxfPoint::new(engraving.at.x, engraving.at.y, 0.0);
        let text = Text {
            location: location.clone(),
            second_alignment_point: location,
            value: engraving.text,
            text_height: engraving.height,
            horizontal_text_justification: HorizontalTextJustification::Center,
            vertical_text_justification: VerticalTextJustification::Middle,
            ..Text::default()
        };
        add(&mut drawing, ENGRAVING, EntityType::Text(text));
    }
    add_centre_lines(&mut drawing, part);
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

fn add_closed(drawing: &mut Drawing, layer: &str, outline: &[Vertex], version: DxfVersion) {
    match version {
        DxfVersion::R2000 => {
            let vertices = outline
                .iter()
                .map(|v| LwPolylineVertex { x: v.at.x, y: v.at.y, bulge: v.bulge, ..LwPolylineVertex::default() })
                .collect();
            let mut contour = LwPolyline { vertices, ..LwPolyline::default() };
            contour.set_is_closed(true);
            add(drawing, layer, EntityType::LwPolyline(contour));
        }
        DxfVersion::R12 => {
            let mut contour = Polyline::default();
            contour.set_is_closed(true);
            for v in outline {
                let location = DxfPoint::new(v.at.x, v.at.y, 0.0);
                contour.add_vertex(drawing, PolylineVertex { location, bulge: v.bulge, ..PolylineVertex::default() });
            }
            add(drawing, layer, EntityType::Polyline(contour));
        }
    }
}

/// Circles of a hinge's bore, each once: seats and lead-ins by the face they are cut from.
fn add_bore(drawing: &mut Drawing, hinge: &HingeBore) {
    let middle = 0.5 * (hinge.low() + hinge.high());
    let mut drawn: Vec<(&str, f64)> = Vec::new();
    for step in &hinge.steps {
        let outer = 0.5 * (step.z[0] + step.z[1]) > middle;
        // Where the seats meet in one bore it goes right through.
        let through = step.depth() > 0.5 * (hinge.high() - hinge.low());
        let is_outer = if through { hinge.pressed_from.contains(&Mouth::Outer) } else { outer };
        let layer = match step.kind {
            StepKind::Seat if is_outer => SEATS_OUTER,
            StepKind::Seat => SEATS_INNER,
            StepKind::LeadIn if outer => LEAD_INS_OUTER,
            StepKind::LeadIn => LEAD_INS_INNER,
            StepKind::Web | StepKind::Pin | StepKind::Plain => BORES,
        };
        let diameter = step.diameter[0].max(step.diameter[1]);
        if drawn.contains(&(layer, diameter)) {
            continue;
        }
        drawn.push((layer, diameter));
        let center = DxfPoint::new(hinge.centre.x, hinge.centre.y, 0.0);
        add(drawing, layer, EntityType::Circle(Circle { center, radius: 0.5 * diameter, ..Circle::default() }));
    }
}

/// A screw hole cut along its axis: countersink and hole, counter-clockwise.
fn section_of(hole: &ScrewHole) -> Vec<Vertex> {
    let along = hole.direction();
    let across = nalgebra::Vector2::new(-along.y, along.x);
    let (deep, long) = (hole.countersink_depth(), hole.length());
    let (wide, narrow) = (0.5 * hole.countersink.diameter, 0.5 * hole.diameter);
    [(0.0, -wide), (deep, -narrow), (long, -narrow), (long, narrow), (deep, narrow), (0.0, wide)]
        .map(|(x, y)| Vertex::line(hole.from + x * along + y * across))
        .to_vec()
}

/// The line through both hinges, and one across each.
fn add_centre_lines(drawing: &mut Drawing, part: &Part) {
    let mut line = |from: [f64; 2], to: [f64; 2]| {
        let [p1, p2] = [from, to].map(|at| DxfPoint::new(at[0], at[1], 0.0));
        add(drawing, REFERENCE, EntityType::Line(Line { p1, p2, ..Line::default() }));
    };
    let reach = |hinge: &HingeBore| 0.5 * hinge.widest() + BEYOND_BORE;
    if let [first, second] = part.hinges.as_slice() {
        line([-reach(first), 0.0], [second.centre.x + reach(second), 0.0]);
    }
    for hinge in &part.hinges {
        line([hinge.centre.x, -reach(hinge)], [hinge.centre.x, reach(hinge)]);
    }
}

/// Lines under the part: its number and job, stock and unit, from which face and how deep, and what bores have to be.
fn add_label(drawing: &mut Drawing, part: &Part, title: &str) {
    let (low, _) = extents(&part.outline);
    let material = if part.material.is_empty() { String::new() } else { format!(", {}", part.material) };
    let mut lines = vec![
        format!("{}  No. {}  {title}", part.file_stem(), part.number),
        format!(
            "{} mm deep{material}, seen from outside the {} set, drawn 1:1 in mm",
            fixed_short(part.depth, 4),
            part.hand.words()
        ),
    ];
    if let Some(pocket) = part.pockets().first() {
        lines.push(format!(
            "LAPS and RELIEFS: from the {}, {} mm deep, to leave {} mm",
            pocket.opens.words(),
            fixed_short(pocket.depth(), 4),
            fixed_short(part.depth - pocket.depth(), 4)
        ));
    }
    if let Some((step, limits)) = part.hinges.iter().find_map(|hinge| Some((hinge.fitted()?, hinge.fitted()?.limits?)))
    {
        let [lower, upper] = [limits.lower, limits.upper].map(|off| fixed_short(step.diameter[0] + off, 4));
        let what = if step.kind == StepKind::Seat { "SEATS" } else { "BORES" };
        let class = step.class.as_deref().map_or_else(String::new, |class| format!(" {class}"));
        lines.push(format!(
            "{what}: circles are nominal, {} mm{class}; to be {lower} to {upper} mm",
            fixed_short(step.diameter[0], 4)
        ));
    }
    if let Some(hinge) = part.hinges.iter().find(|hinge| hinge.is_default()) {
        let size = fixed_short(hinge.diameter(), 3);
        lines.push(format!("No bearing is chosen: bores of {size} mm stand by default, not to be bored as they are"));
    }
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
    let (mut variable, mut entity, mut layer) = (String::new(), String::new(), String::new());
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
            "8" if entity == "POLYLINE" => layer.clone_from(&value),
            "8" if entity == "VERTEX" => value.clone_from(&layer),
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
pub(crate) mod tests {
    use super::*;
    use overarm_solver::{Hand, Options, PartName, Project, analyse, parts};

    pub(crate) fn demo() -> Project {
        crate::project_file::parse(include_bytes!("../../../demo/chapel-hatch.overarm.json")).unwrap()
    }

    pub(crate) fn demo_parts() -> Vec<Part> {
        let project = demo();
        parts(&project, &analyse(&project, &Options { poses: 2, swept: false }).solids)
    }

    fn part(hand: Hand, name: PartName) -> Part {
        demo_parts().into_iter().find(|part| part.hand == hand && part.name == name).unwrap()
    }

    fn arm(hand: Hand) -> Part {
        part(hand, PartName::LowerArm)
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

    fn numbers(entity: &[(i32, String)], code: i32) -> Vec<f64> {
        value(entity, code).iter().map(|text| text.parse().unwrap()).collect()
    }

    fn variable(bytes: &[u8], name: &str) -> Option<String> {
        let pairs = pairs(bytes);
        pairs.iter().position(|p| *p == (9, name.to_owned())).map(|at| pairs[at + 1].1.clone())
    }

    #[test]
    fn an_arm_in_r2000() {
        let bytes = part_dxf(&arm(Hand::Right), "Küche 1", DxfVersion::R2000).unwrap();
        assert_eq!(variable(&bytes, "$ACADVER").unwrap(), "AC1015");
        assert_eq!(variable(&bytes, "$INSUNITS").unwrap(), "4");
        assert_eq!(variable(&bytes, "$MEASUREMENT").unwrap(), "1");
        let entities = entities(&bytes);
        let kinds: Vec<_> = entities.iter().map(|e| (value(e, 0)[0], value(e, 8)[0])).collect();
        let bore = [("CIRCLE", LEAD_INS_INNER), ("CIRCLE", BORES), ("CIRCLE", LEAD_INS_OUTER)];
        let mut expected = vec![("LWPOLYLINE", CONTOUR)];
        expected.extend([bore, bore].concat());
        // What the wall bar and the panel bar take from the inner half, at either end.
        expected.extend([("LWPOLYLINE", LAPS), ("LWPOLYLINE", LAPS), ("TEXT", ENGRAVING)]);
        expected.extend([("LINE", REFERENCE); 3]);
        expected.extend([("TEXT", TEXT); 4]);
        assert_eq!(kinds, expected);
        assert_eq!(value(&entities[0], 70), ["1"]);
        // tests/golden: 456.389035 between the pivots, 25.4 wide.
        let mut ends = numbers(&entities[0], 10);
        ends.sort_by(f64::total_cmp);
        assert!((ends[0] - 0.0).abs() < 1e-6 && (ends[3] - 456.389_035).abs() < 1e-6, "{ends:?}");
        assert_eq!(value(&entities[0], 42).iter().filter(|b| **b == "1.0").count(), 2);
        assert_eq!(value(&entities[2], 40), ["4.0"]);
        let labels: Vec<&str> = entities[entities.len() - 4..].iter().map(|label| value(label, 1)[0]).collect();
        assert!(labels[0].starts_with("R-lower-arm  No. 106") && labels[0].contains("K\\U+00FCche 1"), "{labels:?}");
        assert!(labels[1].contains("right set") && labels[1].contains("38.1 mm deep"), "{labels:?}");
        // Half of 38.1 and 0.1 that the halves run free by; P7 at 8 mm: −9/−24 µm (ISO 286).
        assert_eq!(labels[2], "LAPS and RELIEFS: from the inner face, 19.15 mm deep, to leave 18.95 mm");
        assert_eq!(labels[3], "BORES: circles are nominal, 8 mm P7; to be 7.976 to 7.991 mm");
        for entity in &entities {
            assert!(value(entity, 230).iter().all(|z| *z == "1.0"), "normals point up");
            if entity[0].1 == "TEXT" {
                assert!(value(entity, 71).iter().all(|flags| *flags == "0"), "text is not mirrored");
            }
        }
    }

    #[test]
    fn a_wall_bar_has_every_operation_on_its_own_layer() {
        let bytes = part_dxf(&part(Hand::Left, PartName::WallBar), "Hatch", DxfVersion::R2000).unwrap();
        let entities = entities(&bytes);
        let count = |layer: &str| entities.iter().filter(|e| value(e, 8) == [layer]).count();
        assert_eq!(count(CONTOUR), 1);
        for layer in [SEATS_OUTER, SEATS_INNER, LEAD_INS_OUTER, LEAD_INS_INNER, BORES] {
            assert_eq!(count(layer), 2, "{layer}");
        }
        assert_eq!(count(SCREWS), 3);
        assert!(count(LAPS) >= 1);
        for entity in entities.iter().filter(|e| e[0].1 == "LWPOLYLINE") {
            assert_eq!(value(entity, 70), ["1"], "closed");
        }
        let screw = entities.iter().find(|e| value(e, 8) == [SCREWS]).unwrap();
        assert_eq!(value(screw, 10).len(), 6);
    }

    #[test]
    fn r12_has_polylines_on_one_layer_each_and_says_its_units() {
        let bytes = part_dxf(&arm(Hand::Left), "Hatch", DxfVersion::R12).unwrap();
        assert_eq!(variable(&bytes, "$ACADVER").unwrap(), "AC1009");
        assert_eq!(variable(&bytes, "$INSUNITS").unwrap(), "4");
        assert_eq!(variable(&bytes, "$MEASUREMENT").unwrap(), "1");
        assert!(pairs(&bytes).iter().all(|p| p.0 != 100), "R12 has no subclass markers");
        let entities = entities(&bytes);
        let kinds: Vec<_> = entities.iter().map(|e| value(e, 0)[0]).collect();
        assert_eq!(kinds[..6], ["POLYLINE", "VERTEX", "VERTEX", "VERTEX", "VERTEX", "SEQEND"]);
        assert_eq!(value(&entities[0], 70), ["1"]);
        assert!(entities[1..5].iter().all(|v| value(v, 8) == [CONTOUR]));
        assert_eq!(entities[1..5].iter().filter(|v| value(v, 42) == ["1.0"]).count(), 2, "the last arc is kept");
        let mut layer = "";
        for entity in &entities {
            match entity[0].1.as_str() {
                "POLYLINE" => layer = value(entity, 8)[0],
                "VERTEX" => assert_eq!(value(entity, 8), [layer]),
                _ => {}
            }
        }
    }

    #[test]
    fn the_same_part_gives_the_same_bytes_without_signed_zeros_or_exponents() {
        for version in [DxfVersion::R2000, DxfVersion::R12] {
            let once = part_dxf(&arm(Hand::Left), "Hatch", version).unwrap();
            for date in ["$TDCREATE", "$TDUPDATE"] {
                assert_eq!(variable(&once, date).unwrap(), "0.0", "no clock, no time zone");
            }
            std::thread::sleep(std::time::Duration::from_millis(5));
            assert_eq!(once, part_dxf(&arm(Hand::Left), "Hatch", version).unwrap());
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
        let bytes = part_dxf(&arm(Hand::Left), "Hatch", DxfVersion::R2000).unwrap();
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
        let (low, high) = extents(&arm(Hand::Left).outline);
        let close = |a: f64, b: f64| (a - b).abs() < 1e-6;
        assert!(close(low[0], -12.7) && close(low[1], -12.7), "{low:?}");
        assert!(close(high[0], 456.389_035 + 12.7) && close(high[1], 12.7), "{high:?}");
    }
}
