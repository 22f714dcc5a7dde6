//! The eight parts as they lie on the bench: the left set in the left column, the right one in the
//! right, each seen from the outside of its set, its length to the right and its lower or wall-side
//! end at the left.

use nalgebra::{Isometry2, Rotation2, Vector2};
use overarm_solver::{
    Analysis, BarSolid, Hand, Layer, Mouth, Part, PartName, Point, Project, StepKind, Units, Vertex, show_length,
};

use super::{Drawing, Hold, Line, Mark, Tone, chords, ring};
use crate::sheet::figures::{bore, length, with_unit};

/// How far a chord may lie off its arc, mm: not seen at any size on which eight parts fit.
const OFF_ARC: f64 = 0.02;
/// Layers from the farthest to the nearest, seen from outside the set.
const FROM_BEHIND: [Layer; 3] = [Layer::Inner, Layer::Middle, Layer::Outer];
/// Between the columns, as a share of the longest part.
const COLUMN_GAP: f64 = 0.12;
/// Between rows at least, as a share of the longest part.
const ROW_GAP: f64 = 0.12;
/// Between rows at least, in heights of a line of text: a part's size below it, the next one's name.
const ROW_LINES: f64 = 2.7;
/// Above the first row and below the last one, in heights of a line of text.
const ABOVE_LINES: f64 = 1.3;
const BELOW_LINES: f64 = 1.6;
/// Width of a part's name, in heights of a line of text.
const NAME_LINES: f64 = 9.5;
/// Of a low sheet's height that the parts keep beside their texts.
const LEAST_SHARE: f64 = 0.12;

/// All eight parts, both hands, at one scale, for a sheet of so many heights of a line of text in
/// width and height: rows lie as far apart as their texts need there.
#[must_use]
pub fn parts(project: &Project, analysis: &Analysis, sheet: Vector2<f64>) -> Drawing {
    let lying: Vec<_> = analysis.solids.bars.iter().map(Lying::new).collect();
    let longest = lying.iter().map(|part| part.high.x - part.low.x).fold(0.0, f64::max).max(1e-3);
    let high: f64 = lying.iter().map(|part| part.high.y - part.low.y).sum();
    // Lines of text in a mm, as the sheet will show it: by its width, or by its height less the texts.
    let by_width = sheet.x / ((2.0 + COLUMN_GAP) * longest);
    // On a sheet too low for both, the parts keep a share of it and the texts come closer.
    let by_height = (sheet.y - 3.0 * ROW_LINES - ABOVE_LINES - BELOW_LINES).max(LEAST_SHARE * sheet.y) / high;
    let line = 1.0 / by_width.min(by_height).max(1e-6);
    let (row_gap, column_gap) =
        ((ROW_GAP * longest).max(ROW_LINES * line), (COLUMN_GAP * longest).max(NAME_LINES * line - longest));
    let whole = overarm_solver::parts(project, &analysis.solids);
    let mut marks = Vec::new();
    let (mut bars, mut hands) = (Vec::new(), Vec::new());
    let mut top = 0.0;
    for (bar, part) in analysis.solids.bars.iter().zip(&lying) {
        for hand in [Hand::Left, Hand::Right] {
            // The right one is the mirror image, so it lies upside down in height.
            let (low, high) = if hand == Hand::Left { (part.low, part.high) } else { part.mirrored() };
            let column = if hand == Hand::Left { 0.0 } else { longest + column_gap };
            let to = Vector2::new(column - low.x, top - high.y);
            // At the right the sheet ends.
            let room = longest + if hand == Hand::Left { column_gap } else { COLUMN_GAP * longest };
            let placed = Placed { part, hand, to, room };
            placed.draw(&mut marks, bar);
            if let Some(part) = whole.iter().find(|part| part.name == bar.name && part.hand == Hand::Left) {
                placed.draw_holes(&mut marks, bar, part);
            }
            let part = whole.iter().find(|part| part.name == bar.name && part.hand == hand);
            marks.push(placed.name(project, bar, part, Point::new(column, top)));
            placed.draw_size(&mut marks, bar, project.units(), low);
            let corners = [low, Point::new(high.x, low.y), high, Point::new(low.x, high.y)];
            bars.push((bar.name, corners.iter().map(|corner| corner + to).collect()));
            hands.push(hand);
        }
        top -= part.high.y - part.low.y + row_gap;
    }
    let extent = [
        Point::new(0.0, top + row_gap - BELOW_LINES * line),
        Point::new(2.0 * longest + column_gap, ABOVE_LINES * line),
    ];
    Drawing {
        title: "Parts",
        note: "Left set at the left, its mirror image at the right, each seen from the outside of its set",
        marks,
        extent,
        bars,
        hands,
    }
}

/// A bar laid down: from its own frame to the bench.
struct Lying {
    bench_from_bar: Isometry2<f64>,
    low: Point,
    high: Point,
}

impl Lying {
    fn new(bar: &BarSolid) -> Self {
        let upright = matches!(bar.name, PartName::WallBar | PartName::PanelBar);
        let turn = if upright { -std::f64::consts::FRAC_PI_2 } else { 0.0 };
        let bench_from_bar = Isometry2::new(Vector2::zeros(), turn);
        let corners = bar.layers.iter().flat_map(|shape| &shape.pieces).flat_map(|piece| chords(piece, OFF_ARC));
        let start = (Point::new(f64::INFINITY, f64::INFINITY), Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY));
        let (low, high) = corners
            .map(|corner| bench_from_bar * corner)
            .fold(start, |so_far, corner| (so_far.0.inf(&corner), so_far.1.sup(&corner)));
        // Where nothing is left of it, its pivots are.
        if low.x > high.x {
            let [one, other] = pivots(bar).map(|pivot| bench_from_bar * pivot);
            return Self { bench_from_bar, low: one.inf(&other), high: one.sup(&other) };
        }
        Self { bench_from_bar, low, high }
    }

    /// The mirror image's box.
    fn mirrored(&self) -> (Point, Point) {
        (Point::new(self.low.x, -self.high.y), Point::new(self.high.x, -self.low.y))
    }
}

/// The two pivots of a bar, in its frame.
fn pivots(bar: &BarSolid) -> [Point; 2] {
    let bores = bar.layers.iter().map(|shape| &shape.bores).find(|bores| bores.len() >= 2);
    bores.map_or([Point::origin(), Point::new(1.0, 0.0)], |bores| [bores[0].centre, bores[1].centre])
}

/// A part at its place on the sheet.
struct Placed<'a> {
    part: &'a Lying,
    hand: Hand,
    to: Vector2<f64>,
    /// Width for its texts, mm.
    room: f64,
}

impl Placed<'_> {
    fn at(&self, in_bar: Point) -> Point {
        let place = self.part.bench_from_bar * in_bar;
        let side = if self.hand == Hand::Left { 1.0 } else { -1.0 };
        Point::new(place.x, side * place.y) + self.to
    }

    fn outline(&self, piece: &[Vertex]) -> Vec<Point> {
        chords(piece, OFF_ARC).into_iter().map(|corner| self.at(corner)).collect()
    }

    fn draw(&self, marks: &mut Vec<Mark>, bar: &BarSolid) {
        let layers = |wanted: Layer| bar.layers.iter().filter(move |shape| shape.layer == wanted);
        for layer in FROM_BEHIND {
            for piece in layers(layer).flat_map(|shape| &shape.pieces) {
                let outline = self.outline(piece);
                marks.push(Mark::Area { outline: outline.clone(), tone: Tone::Metal(layer) });
                marks.push(ring(&outline, Line::Outline, Tone::Ink));
            }
        }
        // What lies behind, dashed; under a visible outline it is not seen.
        let nearest = FROM_BEHIND.into_iter().rev().find(|layer| layers(*layer).any(|shape| !shape.pieces.is_empty()));
        for layer in FROM_BEHIND.into_iter().filter(|layer| Some(*layer) != nearest) {
            for piece in layers(layer).flat_map(|shape| &shape.pieces) {
                marks.push(ring(&self.outline(piece), Line::Hidden, Tone::Quiet));
            }
        }
    }

    /// Bores with their seats, and screw holes, of the left part's own frame.
    fn draw_holes(&self, marks: &mut Vec<Mark>, bar: &BarSolid, left: &Part) {
        let [first, second] = pivots(bar);
        let turn = Rotation2::rotation_between(&Vector2::x(), &(second - first));
        let at = |place: Point| self.at(first + turn * place.coords);
        for hinge in &left.hinges {
            let centre = at(hinge.centre);
            let around = |diameter: f64| -> Vec<Point> {
                let angles = (0..48).map(|part| f64::from(part) * std::f64::consts::TAU / 48.0);
                angles.map(|angle| centre + 0.5 * diameter * Vector2::new(angle.cos(), angle.sin())).collect()
            };
            let through = hinge.steps.iter().flat_map(|step| step.diameter).fold(f64::INFINITY, f64::min);
            marks.push(Mark::Area { outline: around(through), tone: Tone::Opening });
            marks.push(ring(&around(through), Line::Outline, Tone::Ink));
            if let Some(seat) = hinge.fitted().filter(|step| step.kind == StepKind::Seat && step.diameter[0] > through)
            {
                // Seen from outside the set.
                let line = if hinge.pressed_from.contains(&Mouth::Outer) { Line::Outline } else { Line::Hidden };
                marks.push(ring(&around(seat.diameter[0]), line, Tone::Ink));
            }
            let arm = 0.5 * hinge.diameter().max(1.8 * through);
            for along in [Vector2::new(arm, 0.0), Vector2::new(0.0, arm)] {
                let places = vec![centre - along, centre + along];
                marks.push(Mark::Line { places, line: Line::Centre, tone: Tone::Ink });
            }
        }
        for hole in &left.screw_holes {
            let (inwards, across) = (hole.direction(), Vector2::new(-hole.direction().y, hole.direction().x));
            let deep = hole.countersink_depth();
            let [wide, narrow] = [hole.countersink.diameter, hole.diameter].map(|diameter| 0.5 * diameter * across);
            for side in [1.0, -1.0] {
                let places =
                    [hole.from + side * wide, hole.from + deep * inwards + side * narrow, hole.to + side * narrow];
                let places = places.map(at).to_vec();
                marks.push(Mark::Line { places, line: Line::Hidden, tone: Tone::Quiet });
            }
            let beyond = 0.06 * hole.length() * inwards;
            let places = [hole.from - beyond, hole.to + beyond].map(at).to_vec();
            marks.push(Mark::Line { places, line: Line::Centre, tone: Tone::Quiet });
        }
    }

    /// Which part, of what, and how heavy.
    fn name(&self, project: &Project, bar: &BarSolid, part: Option<&Part>, at: Point) -> Mark {
        let name = crate::part_drawings::part_words(bar.name, self.hand);
        let brief = part.map_or_else(|| name.clone(), |part| format!("{} {name}", part.number));
        let mass = part.and_then(|part| part.mass).map_or_else(String::new, |mass| format!(", {mass:.3} kg"));
        let text = format!("{brief}, {}{mass}", stock(project, bar.name));
        let off = Vector2::new(0.0, 0.7);
        Mark::Text { at, off, hold: Hold::Left, text, brief: Some((brief, self.room)), tone: Tone::Ink }
    }

    /// From pivot to pivot.
    fn draw_size(&self, marks: &mut Vec<Mark>, bar: &BarSolid, units: Units, low: Point) {
        let [one, other] = pivots(bar).map(|pivot| self.at(pivot));
        // As on the drawings, never a fraction that it only comes near to.
        let text = with_unit(&bore((other - one).norm(), units), units);
        // To a millionth of it the two lie level, as an arm's do.
        if (one.y - other.y).abs() < 1e-6 * (other - one).norm() {
            let between = [one, other].map(|pivot| Point::new(pivot.x, low.y + self.to.y));
            marks.push(Mark::Size { between, below: 1.0, text });
        } else {
            marks.push(Mark::Line { places: vec![one, other], line: Line::Centre, tone: Tone::Ink });
            let at = low + self.to;
            let whole = format!("{text} from pivot to pivot");
            let (off, brief) = (Vector2::new(0.0, -0.9), Some((text, self.room)));
            marks.push(Mark::Text { at, off, hold: Hold::Left, text: whole, brief, tone: Tone::Ink });
        }
    }
}

/// Width, depth and material of a bar.
fn stock(project: &Project, bar: PartName) -> String {
    let bars = &project.bars;
    let (width, depth, material) = match bar {
        PartName::PanelBar => (bars.panel_bar.width, bars.panel_bar.depth, &bars.panel_bar.material),
        PartName::LowerArm => (bars.lower_arm.width, bars.lower_arm.depth, &bars.lower_arm.material),
        PartName::UpperArm => (bars.upper_arm.width, bars.upper_arm.depth, &bars.upper_arm.material),
        _ => (bars.wall_bar.width, bars.wall_bar.depth, &bars.wall_bar.material),
    };
    let [width, depth] = [width, depth].map(|size| match project.units() {
        // A fraction only where it is one.
        Units::FeetInch => length(size, Units::FeetInch),
        units => show_length(size, units),
    });
    let material = material.as_ref().map_or(overarm_solver::materials::DEFAULT, overarm_solver::MaterialWanted::name);
    format!("{width} × {depth} {material}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use overarm_solver::{Options, analyse};

    fn drawn() -> (Analysis, Drawing) {
        let project = crate::project_file::parse(include_bytes!("../../../../demo/chapel-hatch.overarm.json")).unwrap();
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let drawing = parts(&project, &analysis, Vector2::new(57.0, 34.0));
        (analysis, drawing)
    }

    #[test]
    fn every_part_is_there_twice_as_long_as_it_is_and_none_covers_another() {
        let (analysis, drawing) = drawn();
        assert_eq!(drawing.bars.len(), 8);
        let lengths = [
            (PartName::LowerArm, analysis.lift.lengths.lower_arm + 2.0 * analysis.lift.lower_arm_radius()),
            (PartName::UpperArm, analysis.lift.lengths.upper_arm + 2.0 * analysis.lift.upper_arm_radius()),
        ];
        for (name, length) in lengths {
            let both = drawing.bars.iter().filter(|(bar, _)| *bar == name);
            for (_, corners) in both {
                assert!((corners[1].x - corners[0].x - length).abs() < 0.05, "{name:?}");
            }
        }
        for (index, (_, one)) in drawing.bars.iter().enumerate() {
            for (_, other) in &drawing.bars[index + 1..] {
                let apart =
                    one[1].x < other[0].x || other[1].x < one[0].x || one[0].y > other[2].y || other[0].y > one[2].y;
                assert!(apart, "{one:?} {other:?}");
            }
        }
    }

    #[test]
    fn nothing_is_rounded_to_a_fraction_without_a_word() {
        let mut project =
            crate::project_file::parse(include_bytes!("../../../../demo/chapel-hatch.overarm.json")).unwrap();
        project.units = Some(Units::FeetInch);
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let drawing = parts(&project, &analysis, Vector2::new(57.0, 34.0));
        let says = |words: &str| {
            drawing.marks.iter().any(|mark| match mark {
                Mark::Text { text, .. } | Mark::Size { text, .. } => text.contains(words),
                _ => false,
            })
        };
        // tests/golden: wall pivots 90.097732 mm apart, 3.547155 in; 60 mm are 2.362205 in, and 38.1 exactly 1 1/2.
        assert!(says("3.5472\" from pivot to pivot"));
        assert!(says("2.362\" × 1-1/2\""));
        assert!(!says("/64"));
    }

    #[test]
    fn seats_and_screws_lie_where_the_parts_have_them() {
        let (analysis, drawing) = drawn();
        // Rings and hidden lines by their sizes: 22 mm seats in four bars of two hinges each.
        let widths = |wanted: Line| -> Vec<f64> {
            let lines = drawing.marks.iter().filter_map(|mark| match mark {
                Mark::Line { places, line, .. } if *line == wanted && places.len() == 49 => Some(places),
                _ => None,
            });
            lines
                .map(|places| {
                    places.iter().map(|at| at.x).fold(f64::MIN, f64::max)
                        - places.iter().map(|at| at.x).fold(f64::MAX, f64::min)
                })
                .collect()
        };
        let seats = widths(Line::Outline).into_iter().filter(|wide| (wide - 22.0).abs() < 1e-6).count();
        assert_eq!(seats, 8, "two in each wall bar and panel bar: {:?}", widths(Line::Outline));
        let pins = widths(Line::Outline).into_iter().filter(|wide| (wide - 8.0).abs() < 1e-6).count();
        assert_eq!(pins, 8, "two in each arm");
        // Three screws in each of the four bars, each with both flanks.
        let flanks = drawing
            .marks
            .iter()
            .filter(|mark| matches!(mark, Mark::Line { places, line: Line::Hidden, .. } if places.len() == 3));
        assert_eq!(flanks.count(), 4 * 3 * 2);
        // What is pointed at is a part of one hand.
        let wall = &drawing.bars[0].1;
        let middle = nalgebra::center(&wall[0], &wall[2]);
        assert_eq!(drawing.part_at(middle), Some((PartName::WallBar, Hand::Left)));
        let twin = &drawing.bars[1].1;
        assert_eq!(drawing.part_at(nalgebra::center(&twin[0], &twin[2])), Some((PartName::WallBar, Hand::Right)));
        assert_eq!(analysis.solids.bars.len(), 4);
    }

    #[test]
    fn each_part_says_number_hand_material_and_mass() {
        let (analysis, drawing) = drawn();
        let project = crate::project_file::parse(include_bytes!("../../../../demo/chapel-hatch.overarm.json")).unwrap();
        let parts = overarm_solver::parts(&project, &analysis.solids);
        for part in &parts {
            let name = crate::part_drawings::part_words(part.name, part.hand);
            let said = drawing.marks.iter().any(|mark| match mark {
                Mark::Text { text, brief: Some((brief, _)), .. } => {
                    *brief == format!("{} {name}", part.number)
                        && text.starts_with(brief.as_str())
                        && text.contains(&part.material)
                        && text.ends_with(&format!("{:.3} kg", part.mass.expect("a mass")))
                }
                _ => false,
            });
            assert!(said, "{}", part.number);
        }
    }

    #[test]
    fn the_right_part_is_the_left_one_turned_over() {
        let (analysis, drawing) = drawn();
        let sizes: Vec<_> = drawing
            .marks
            .iter()
            .filter_map(|mark| match mark {
                Mark::Size { between, text, .. } => Some(((between[1].x - between[0].x), text.clone())),
                _ => None,
            })
            .collect();
        assert_eq!(sizes.len(), 4, "both hands of both arms");
        for pair in sizes.chunks(2) {
            assert!((pair[0].0 - pair[1].0).abs() < 1e-9 && pair[0].1 == pair[1].1, "{pair:?}");
        }
        assert!((sizes[0].0 - analysis.lift.lengths.lower_arm).abs() < 1e-9);
    }
}
