//! The views as pictures: SVG, and PNG drawn from it.
//!
//! Line conventions are the trade's (ISO 128): outlines wide, end positions long-dashed
//! double-dotted, centres chain, cut solids hatched at 45°. Text is set in the typeface that the
//! program carries, so a PNG is the same on every machine.

mod bars;
mod marks;

use std::path::Path;

use nalgebra::Vector2;
use overarm_solver::{
    Analysis, Clearance, PartName, Point, Pose, Project, RuleFinding, Units, show_length, show_signed_margin,
};
use resvg::{tiny_skia, usvg};
use svg::Document;
use svg::node::element::{ClipPath, Definitions, Group, Line, Pattern, Rectangle};

use crate::drawing::{self, Drawing};
use crate::picture_canvas::{Anchor, Canvas, Dash, Ink, Lettering, NARROW, View, WIDE};
use crate::room_fill::{Window, solid_room};

/// Drawing ground.
pub(crate) const PAPER: &str = "#FBFAF7";
const SIDE: &str = "#F1EFEA";
const INK: &str = "#1F2328";
const QUIET: &str = "#5A6069";
const METAL: &str = "#3E5C76";
const METAL_LIGHT: &str = "#8FA6BA";
const WOOD: &str = "#8A5F36";
const ACCENT: &str = "#0B6E99";
const HOLDS: &str = "#1B7A4B";
const NEAR: &str = "#8A5A00";
const FAILS: &str = "#B3261E";

/// Pixels of a PNG for one of the SVG: sharp on a dense screen and on paper.
pub const PNG_ZOOM: f32 = 2.0;

const WIDTH: f64 = 1200.0;
const MARGIN: f64 = 24.0;
const TOP: f64 = 84.0;
const DRAWING_HEIGHT: f64 = 700.0;
const TITLE: f64 = 22.0;
const BODY: f64 = 14.0;
const SMALL: f64 = 12.0;
const ROW: f64 = 20.0;
/// Letters of the body size that fit across the sheet.
const LETTERS: usize = 140;

/// The typeface: regular and bold, under the SIL Open Font License (`assets/fonts`).
pub const TYPEFACE: &str = "B612";
/// Its regular weight.
pub const TYPEFACE_REGULAR: &[u8] = include_bytes!("../../../assets/fonts/B612-Regular.otf");
/// Its bold weight.
pub const TYPEFACE_BOLD: &[u8] = include_bytes!("../../../assets/fonts/B612-Bold.otf");
/// What letters that it lacks are set in: Latin, Greek and Cyrillic (`assets/fonts`).
pub const SECOND_REGULAR: &[u8] = include_bytes!("../../../assets/fonts/DejaVuSans-letters.ttf");
/// Its bold weight.
pub const SECOND_BOLD: &[u8] = include_bytes!("../../../assets/fonts/DejaVuSans-Bold-letters.ttf");

/// What a picture shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Subject {
    /// The lift from the side.
    #[default]
    Side,
    /// The pair on the wall from the front.
    Front,
    /// The eight parts.
    Parts,
}

impl Subject {
    /// Every one, in the order in which they are offered.
    pub const ALL: [Self; 3] = [Self::Side, Self::Front, Self::Parts];

    /// On the command line, and at the end of a file's name.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Side => "side",
            Self::Front => "front",
            Self::Parts => "parts",
        }
    }
}

/// What a picture is written as.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PictureFormat {
    /// Pixels.
    #[default]
    Png,
    /// Lines and letters.
    Svg,
}

impl PictureFormat {
    /// By how a file's name ends; `None` where it ends otherwise.
    #[must_use]
    pub fn of(path: &Path) -> Option<Self> {
        match path.extension()?.to_string_lossy().to_ascii_lowercase().as_str() {
            "png" => Some(Self::Png),
            "svg" => Some(Self::Svg),
            _ => None,
        }
    }

    /// The bytes of a file with this picture, which is given as SVG.
    ///
    /// # Errors
    /// As [`png`].
    pub fn bytes(self, svg: String) -> Result<Vec<u8>, String> {
        match self {
            Self::Png => png(&svg, PNG_ZOOM),
            Self::Svg => Ok(svg.into_bytes()),
        }
    }
}

/// A picture as SVG; the lift at `s` (0 hung, 1 parked) where the subject shows it.
#[must_use]
pub fn svg(subject: Subject, project: &Project, analysis: &Analysis, s: f64) -> String {
    match subject {
        Subject::Side => side_view_svg(project, analysis, s),
        Subject::Front => drawing_svg(project, analysis, &drawing::front(project, analysis, &analysis.pose_at(s))),
        Subject::Parts => {
            let sheet = Vector2::new(WIDTH - 2.0 * MARGIN, DRAWING_HEIGHT) / ROW;
            drawing_svg(project, analysis, &drawing::parts(project, analysis, sheet))
        }
    }
}

/// The side view as SVG: the lift at `s` (0 hung, 1 parked), hung and parked as ghosts, what
/// panel and arms sweep, the tightest place, the strap, and every rule that fails.
#[must_use]
pub fn side_view_svg(project: &Project, analysis: &Analysis, s: f64) -> String {
    let (low, high) = shown_box(project, analysis);
    let mut drawing = Canvas::new(fitted(low, high));
    let pose = analysis.pose_at(s);
    draw_room(&mut drawing, project);
    draw_swept(&mut drawing, analysis);
    for ghost in [0.0, 1.0] {
        draw_ghost(&mut drawing, analysis, &analysis.pose_at(ghost));
    }
    draw_strap(&mut drawing, analysis, &pose);
    draw_lift(&mut drawing, analysis, &pose);
    draw_tightest(&mut drawing, project, analysis);
    draw_fold_contact(&mut drawing, analysis);
    draw_names(&mut drawing, project, analysis, s);
    framed(project, analysis, drawing, "Side view of the left set; the right set is its mirror image")
}

/// Another drawing as SVG, in the same frame, with every rule that fails.
#[must_use]
pub fn drawing_svg(project: &Project, analysis: &Analysis, drawing: &Drawing) -> String {
    let [low, high] = drawing.extent;
    let mut canvas = Canvas::new(fitted(low, high));
    let sheet = sheet_in_room(canvas.view());
    marks::draw(&mut canvas, &sheet, &drawing.marks);
    framed(project, analysis, canvas, drawing.note)
}

fn fitted(low: Point, high: Point) -> View {
    let pad = 8.0;
    View::fit(low, high, MARGIN + pad, TOP + pad, WIDTH - 2.0 * (MARGIN + pad), DRAWING_HEIGHT - 2.0 * pad)
}

/// A drawing with heading, scale, failing rules and caution.
fn framed(project: &Project, analysis: &Analysis, drawing: Canvas, note: &str) -> String {
    let failing: Vec<_> = analysis.rules.iter().filter(|rule| rule.holds == Some(false)).collect();
    let lines: Vec<String> = failing.iter().flat_map(|rule| sentence_lines(rule, project.units())).collect();
    #[allow(clippy::cast_precision_loss)] // a handful of rows
    let rows = lines.len().max(1) as f64;
    let height = TOP + DRAWING_HEIGHT + 2.0 * MARGIN + ROW * (rows + 1.0);
    let mut frame = Canvas::new(*drawing.view());
    draw_heading(&mut frame, project, analysis, failing.len(), note);
    draw_scale_bar(&mut frame, project.units());
    draw_footer(&mut frame, &lines);
    document(height, drawing.into_group(), frame.into_group()).to_string()
}

/// A picture of [`side_view_svg`] or [`drawing_svg`] as PNG, `zoom` pixels for one of its own.
///
/// # Errors
/// A sentence where the picture is too large for the memory or not SVG.
pub fn png(svg: &str, zoom: f32) -> Result<Vec<u8>, String> {
    let mut options = usvg::Options { font_family: TYPEFACE.to_owned(), ..usvg::Options::default() };
    for weight in [TYPEFACE_REGULAR, TYPEFACE_BOLD, SECOND_REGULAR, SECOND_BOLD] {
        options.fontdb_mut().load_font_data(weight.to_vec());
    }
    let tree = usvg::Tree::from_str(svg, &options).map_err(|error| error.to_string())?;
    let size = tree.size().to_int_size().scale_by(zoom).ok_or("the picture would have no size")?;
    let mut pixels =
        tiny_skia::Pixmap::new(size.width(), size.height()).ok_or("the picture is too large for the memory")?;
    resvg::render(&tree, tiny_skia::Transform::from_scale(zoom, zoom), &mut pixels.as_mut());
    pixels.encode_png().map_err(|error| error.to_string())
}

fn document(height: f64, drawing: Group, frame: Group) -> Document {
    let hatch = Pattern::new()
        .set("id", "cut")
        .set("patternUnits", "userSpaceOnUse")
        .set("width", 9)
        .set("height", 9)
        .set("patternTransform", "rotate(45)")
        .add(Rectangle::new().set("width", 9).set("height", 9).set("fill", "#DDD8CE"))
        .add(
            Line::new()
                .set("x1", 0)
                .set("y1", 0)
                .set("x2", 0)
                .set("y2", 9)
                .set("stroke", "#A39C8F")
                .set("stroke-width", 1.6),
        );
    let clip = ClipPath::new().set("id", "sheet").add(
        Rectangle::new()
            .set("x", MARGIN)
            .set("y", TOP)
            .set("width", WIDTH - 2.0 * MARGIN)
            .set("height", DRAWING_HEIGHT),
    );
    Document::new()
        .set("viewBox", (0, 0, WIDTH, height))
        .set("width", WIDTH)
        .set("height", height)
        .set("font-family", format!("{TYPEFACE}, sans-serif"))
        .add(Definitions::new().add(hatch).add(clip))
        .add(Rectangle::new().set("width", WIDTH).set("height", height).set("fill", SIDE))
        .add(
            Rectangle::new()
                .set("x", MARGIN)
                .set("y", TOP)
                .set("width", WIDTH - 2.0 * MARGIN)
                .set("height", DRAWING_HEIGHT)
                .set("fill", PAPER),
        )
        .add(drawing.set("clip-path", "url(#sheet)"))
        .add(
            Rectangle::new()
                .set("x", MARGIN)
                .set("y", TOP)
                .set("width", WIDTH - 2.0 * MARGIN)
                .set("height", DRAWING_HEIGHT)
                .set("fill", "none")
                .set("stroke", QUIET)
                .set("stroke-width", NARROW),
        )
        .add(frame)
}

/// The part of the side view that is worth showing: all that moves, its wall, and some room.
/// Lower left and upper right of all that moves, with its wall bar, its drum and what it uncovers, in
/// side view.
pub(crate) fn reach(project: &Project, analysis: &Analysis) -> (Point, Point) {
    let lift = &analysis.lift;
    let mut points: Vec<Point> = lift.wall_bar_corners().to_vec();
    for figures in &analysis.poses {
        points.extend(lift.panel_corners(&figures.pose));
        points.extend(lift.panel_bar_corners(&figures.pose));
    }
    if let Some(drive) = &project.drive {
        points.push(drive.drum_centre);
    }
    if let Some(uncover) = &project.room.uncover {
        points.extend([Point::new(0.0, uncover.bottom), Point::new(0.0, uncover.top)]);
    }
    let (mut low, mut high) = (points[0], points[0]);
    for point in points {
        (low, high) = (low.inf(&point), high.sup(&point));
    }
    (low, high)
}

fn shown_box(project: &Project, analysis: &Analysis) -> (Point, Point) {
    let (low, high) = reach(project, analysis);
    let size = high - low;
    let space = 0.12 * size.x.max(size.y);
    (Point::new(low.x - space, low.y - 0.7 * space), Point::new(high.x + space, high.y + space))
}

fn draw_room(canvas: &mut Canvas, project: &Project) {
    let outline = &project.room.outline;
    let sheet = sheet_in_room(canvas.view());
    // Far enough to leave the sheet from wherever the outline ends.
    let far = outline.iter().map(|point| (point - sheet.low).norm()).fold(0.0, f64::max);
    let solid = solid_room(outline, 2.0 * far + 2.0 * (sheet.high - sheet.low).norm());
    canvas.hatched(&sheet.clip_polygon(&solid), "cut");
    // The first points of the polygon are the outline with both ends carried on.
    let edge = solid.get(..outline.len() + 2).unwrap_or_default();
    draw_inside(canvas, &sheet, edge);
    for solid in &project.room.solids {
        let mut closed = solid.outline.clone();
        closed.extend(solid.outline.first());
        canvas.hatched(&sheet.clip_polygon(&solid.outline), "cut");
        draw_inside(canvas, &sheet, &closed);
    }
    if let Some(uncover) = &project.room.uncover {
        let (x, bottom) = canvas.view().page(Point::new(0.0, uncover.bottom));
        let (_, top) = canvas.view().page(Point::new(0.0, uncover.top));
        let opening = [(x - 7.0, bottom), (x - 1.0, bottom), (x - 1.0, top), (x - 7.0, top)];
        canvas.page_polygon(&opening, Ink::fill(PAPER, 1.0).outlined(ACCENT, NARROW));
    }
}

/// The drawing's frame with a little around it, so that lines run on under its rim.
fn sheet_in_room(view: &View) -> Window {
    let rim = 10.0;
    let low = view.room((MARGIN - rim, TOP + DRAWING_HEIGHT + rim));
    let high = view.room((WIDTH - MARGIN + rim, TOP - rim));
    Window { low, high }
}

fn draw_inside(canvas: &mut Canvas, sheet: &Window, line: &[Point]) {
    for ends in line.windows(2) {
        if let Some(piece) = sheet.clip_segment(ends[0], ends[1]) {
            canvas.polyline(&piece, Ink::line(INK, WIDE, Dash::Solid));
        }
    }
}

fn draw_swept(canvas: &mut Canvas, analysis: &Analysis) {
    let Some(swept) = &analysis.swept else { return };
    canvas.region(&swept.bars.contours, Ink::fill(METAL, 0.10).outlined(METAL_LIGHT, 0.6));
    canvas.region(&swept.panel.contours, Ink::fill(WOOD, 0.10).outlined(WOOD, 0.6));
    for piece in &swept.tight {
        canvas.polyline(piece, Ink::line(FAILS, 2.0 * WIDE, Dash::Solid));
        canvas.polygon(piece, Ink::fill(FAILS, 0.35));
    }
}

fn draw_ghost(canvas: &mut Canvas, analysis: &Analysis, pose: &Pose) {
    let lift = &analysis.lift;
    let ghost = Ink::line(QUIET, NARROW, Dash::DoubleDotted);
    canvas.stadium(lift.lower_arm_axis(pose), lift.lower_arm_radius(), ghost);
    canvas.stadium(lift.upper_arm_axis(pose), lift.upper_arm_radius(), ghost);
    canvas.polygon(&lift.panel_bar_corners(pose), ghost);
    canvas.polygon(&lift.panel_corners(pose), ghost);
}

fn draw_lift(canvas: &mut Canvas, analysis: &Analysis, pose: &Pose) {
    let lift = &analysis.lift;
    let (lower, upper) = (lift.lower_arm_axis(pose), lift.upper_arm_axis(pose));
    canvas.polygon(&lift.panel_corners(pose), Ink::fill("#D9BE9C", 1.0).outlined(WOOD, WIDE));
    bars::draw(canvas, analysis, pose);
    for axis in [lower, upper] {
        canvas.polyline(&axis, Ink::line(INK, 0.8, Dash::Chain));
    }
    for pivot in [lower[0], lower[1], upper[0], upper[1]] {
        canvas.dot(pivot, 4.0, Ink::fill(PAPER, 1.0).outlined(INK, NARROW));
        let (x, y) = canvas.view().page(pivot);
        let centre_line = Ink::line(INK, 0.8, Dash::Chain);
        canvas.page_line((x - 13.0, y), (x + 13.0, y), centre_line);
        canvas.page_line((x, y - 13.0), (x, y + 13.0), centre_line);
    }
}

/// The strap's straight run and its drum, wound as thick as it is at the pose; at its fullest as a
/// ghost.
fn draw_strap(canvas: &mut Canvas, analysis: &Analysis, pose: &Pose) {
    let Some(strap) = &analysis.strap else { return };
    let drum = &strap.drum;
    canvas.circle(drum.centre, strap.fullest_radius(), Ink::line(QUIET, NARROW, Dash::DoubleDotted));
    let run = strap.at(pose);
    let wound = run.map_or(drum.bare_radius, |run| run.outer_radius);
    canvas.circle(drum.centre, wound, Ink::fill(PAPER, 1.0).outlined(ACCENT, NARROW));
    canvas.circle(drum.centre, drum.bare_radius, Ink::fill(PAPER, 1.0).outlined(INK, WIDE));
    if let Some(run) = run {
        canvas.polyline(&[run.anchor, run.tangent], Ink::line(ACCENT, WIDE, Dash::Solid));
        canvas.dot(run.anchor, 3.0, Ink::fill(ACCENT, 1.0));
    }
}

/// The place with the least room to spare, dimensioned.
fn draw_tightest(canvas: &mut Canvas, project: &Project, analysis: &Analysis) {
    let clearances = &analysis.clearances;
    let nearest: Option<&Clearance> =
        [&clearances.panel, &clearances.bars].into_iter().flatten().min_by(|a, b| a.mm.total_cmp(&b.mm));
    let Some(nearest) = nearest else { return };
    let wanted = project.room.wanted_clearance();
    let colour = if nearest.mm < wanted { FAILS } else { INK };
    let [from, to] = nearest.points.map(|point| canvas.view().page(point));
    canvas.dimension(from, to, colour);
    let words = format!(
        "{} {} to {}",
        if nearest.mm < 0.0 {
            format!("{} inside,", show_length(-nearest.mm, project.units()))
        } else {
            show_length(nearest.mm, project.units())
        },
        nearest.part.words(),
        nearest.feature
    );
    // In the solid, beyond the two points: nothing else is drawn there.
    let lettering = Lettering::new(BODY, colour).bold();
    if nearest.mm < 0.0 {
        canvas.text((from.0 + 12.0, from.1 - 8.0), &words, lettering);
    } else {
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let away = 14.0 / dx.hypot(dy).max(1.0);
        let place = (to.0 + away * dx - 4.0, to.1 + away * dy + 2.0);
        canvas.text(place, &words, lettering.held(Anchor::End));
    }
}

fn draw_fold_contact(canvas: &mut Canvas, analysis: &Analysis) {
    let Some(contact) = &analysis.stop.contact else { return };
    let place = canvas.view().page(contact.points[0]);
    canvas.dot(contact.points[0], 6.0, Ink::line(ACCENT, WIDE, Dash::Solid));
    let end = (place.0 + 40.0, place.1 + 34.0);
    canvas.page_line((place.0 + 4.3, place.1 + 4.3), end, Ink::line(ACCENT, NARROW, Dash::Solid));
    let arms = [PartName::LowerArm, PartName::UpperArm];
    let what = if contact.parts.iter().all(|part| arms.contains(part)) { "fold contact" } else { "first contact" };
    let words = format!("{what}, {} on {}", contact.parts[0].words(), contact.parts[1].words());
    canvas.text((end.0 + 4.0, end.1 + 4.0), &words, Lettering::new(SMALL, ACCENT));
}

fn draw_names(canvas: &mut Canvas, project: &Project, analysis: &Analysis, s: f64) {
    let lift = &analysis.lift;
    let quiet = Lettering::new(SMALL, QUIET);
    for (at, name) in [(0.0, "hung"), (1.0, "parked")] {
        let corners = lift.panel_corners(&analysis.pose_at(at)).map(|corner| canvas.view().page(corner));
        // Hung below the panel, parked beside its top: there the lift passes neither.
        let height = |corner: &(f64, f64)| if at == 0.0 { corner.1 } else { -corner.1 };
        let end = corners.into_iter().max_by(|a, b| height(a).total_cmp(&height(b))).unwrap_or(corners[0]);
        let place = if at == 0.0 { (end.0 + 6.0, end.1 + 15.0) } else { (end.0 + 14.0, end.1 + 4.0) };
        canvas.text(place, name, quiet);
    }
    if s > 0.0 && s < 1.0 {
        let corner = canvas.view().page(lift.panel_corners(&analysis.pose_at(s))[1]);
        canvas.text((corner.0 + 8.0, corner.1 + 4.0), &format!("at {:.0} % of the travel", 100.0 * s), quiet);
    }
    if let Some(uncover) = &project.room.uncover {
        let (x, y) = canvas.view().page(Point::new(0.0, (uncover.bottom + uncover.top) / 2.0));
        let name = uncover.name.as_deref().unwrap_or("opening");
        canvas.text((x - 12.0, y + 4.0), name, Lettering::new(SMALL, ACCENT).held(Anchor::End));
    }
}

fn draw_heading(canvas: &mut Canvas, project: &Project, analysis: &Analysis, failing: usize, note: &str) {
    canvas.text((MARGIN, 40.0), project.title(), Lettering::new(TITLE, INK).bold());
    let checked = analysis.rules.iter().filter(|rule| rule.holds.is_some()).count();
    let near = analysis.rules.iter().filter(|rule| rule.holds == Some(true) && rule.near).count();
    let (colour, words) = match (failing, near) {
        (0, 0) => (HOLDS, format!("Holds: {checked} rules checked")),
        (0, near) => (NEAR, format!("Holds, {near} near the limit: {checked} rules checked")),
        (failing, _) => (FAILS, format!("Fails: {failing} of {checked} rules checked")),
    };
    draw_mark(canvas, (MARGIN + 7.0, 59.0), colour, failing == 0, near > 0);
    canvas.text((MARGIN + 22.0, 64.0), &words, Lettering::new(BODY, colour));
    canvas.text((WIDTH - MARGIN, 64.0), note, Lettering::new(BODY, QUIET).held(Anchor::End));
}

/// Tick, triangle or cross, drawn as shapes.
fn draw_mark(canvas: &mut Canvas, (x, y): (f64, f64), colour: &'static str, holds: bool, near: bool) {
    let line = Ink::line(colour, 2.4, Dash::Solid);
    if !holds {
        canvas.page_line((x - 5.0, y - 5.0), (x + 5.0, y + 5.0), line);
        canvas.page_line((x - 5.0, y + 5.0), (x + 5.0, y - 5.0), line);
    } else if near {
        canvas.page_polygon(&[(x - 6.0, y + 5.0), (x + 6.0, y + 5.0), (x, y - 6.0)], Ink::fill(colour, 1.0));
    } else {
        canvas.page_line((x - 6.0, y), (x - 2.0, y + 5.0), line);
        canvas.page_line((x - 2.0, y + 5.0), (x + 6.0, y - 5.0), line);
    }
}

/// A length of round figures, as long as a sixth of the sheet at most.
fn draw_scale_bar(canvas: &mut Canvas, units: Units) {
    let longest = WIDTH / 6.0 / canvas.view().scale;
    let (unit, steps, fold) = match units {
        Units::Millimetre => (1.0, [1.0, 2.0, 5.0], 10.0),
        Units::Inch | Units::FeetInch => (25.4, [1.0, 3.0, 6.0], 12.0),
    };
    let mut best = unit;
    let mut size: f64 = unit;
    while size < longest {
        best = steps.iter().map(|step| step * size).filter(|length| *length <= longest).fold(best, f64::max);
        size *= fold;
    }
    let (right, y) = (WIDTH - MARGIN - 16.0, TOP + DRAWING_HEIGHT - 18.0);
    let left = right - best * canvas.view().scale;
    let line = Ink::line(INK, WIDE, Dash::Solid);
    canvas.page_line((left, y), (right, y), line);
    for x in [left, right] {
        canvas.page_line((x, y - 5.0), (x, y + 5.0), line);
    }
    let words = show_length(best, units);
    canvas.text(((left + right) / 2.0, y - 8.0), &words, Lettering::new(SMALL, INK).held(Anchor::Middle));
}

fn draw_footer(canvas: &mut Canvas, lines: &[String]) {
    let mut y = TOP + DRAWING_HEIGHT + MARGIN + 4.0;
    if lines.is_empty() {
        canvas.text((MARGIN, y), "No checked rule fails.", Lettering::new(BODY, QUIET));
        y += ROW;
    }
    for line in lines {
        canvas.text((MARGIN, y), line, Lettering::new(BODY, FAILS));
        y += ROW;
    }
    let caution = "An aid, not a licence: local codes and licensed practice come first. A falling panel can kill.";
    canvas.text((MARGIN, y + 4.0), caution, Lettering::new(SMALL, QUIET));
}

/// A failing rule as lines that fit the sheet.
fn sentence_lines(rule: &RuleFinding, units: Units) -> Vec<String> {
    let margin = rule.margin.map_or_else(String::new, |m| format!(" ({})", show_signed_margin(m, rule.unit, units)));
    let whole = format!("Fails: {}{margin}: {}", rule.rule.title(), rule.text);
    let mut lines = vec![String::new()];
    for word in whole.split_whitespace() {
        let last = lines.len() - 1;
        if !lines[last].is_empty() && lines[last].chars().count() + 1 + word.chars().count() > LETTERS {
            lines.push(format!("    {word}"));
        } else {
            if !lines[last].is_empty() {
                lines[last].push(' ');
            }
            lines[last].push_str(word);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use overarm_solver::{Options, analyse};

    fn demo() -> Project {
        crate::project_file::parse(include_bytes!("../../../demo/chapel-hatch.overarm.json")).unwrap()
    }

    #[test]
    fn shows_room_lift_strap_and_title() {
        let mut project = demo();
        project.title = Some("Hatch <1> & 2".to_owned());
        let analysis = analyse(&project, &Options::default());
        let text = side_view_svg(&project, &analysis, 0.5);
        for wanted in ["Hatch &lt;1&gt; &amp; 2", "url(#cut)", "hung", "parked", "serving hatch", "16 3 2 3 2 3"] {
            assert!(text.contains(wanted), "{wanted} is not in the picture");
        }
        assert!(!text.contains("NaN") && !text.contains("inf"));
        assert_eq!(text, side_view_svg(&project, &analysis, 0.5));
        assert_ne!(text, side_view_svg(&project, &analysis, 0.6));
    }

    #[test]
    fn png_is_a_picture_with_text() {
        let project = demo();
        let analysis = analyse(&project, &Options::default());
        let svg = side_view_svg(&project, &analysis, 1.0);
        let bytes = png(&svg, 1.0).unwrap();
        assert_eq!(&bytes[..8], b"\x89PNG\r\n\x1a\n");
        // Without its title the picture differs: so the typeface was found and letters were drawn.
        let untitled = svg.replace(project.title(), "");
        assert_ne!(bytes, png(&untitled, 1.0).unwrap());
    }

    #[test]
    fn front_and_parts_are_pictures_in_the_same_frame() {
        let mut project = demo();
        project.title = Some("Hatch <1> & 2".to_owned());
        let analysis = analyse(&project, &Options::default());
        let front = crate::drawing::front(&project, &analysis, &analysis.pose_at(0.5));
        let parts = crate::drawing::parts(&project, &analysis, Vector2::new(57.0, 34.0));
        for (drawing, wanted) in [(&front, "the sets' middles"), (&parts, "Right upper arm")] {
            let text = drawing_svg(&project, &analysis, drawing);
            for wanted in [wanted, "Hatch &lt;1&gt; &amp; 2", drawing.note, "An aid, not a licence"] {
                assert!(text.replace("&apos;", "'").contains(wanted), "{wanted} is not in {}", drawing.title);
            }
            assert!(!text.contains("NaN") && !text.contains("inf"));
            assert!(png(&text, 1.0).is_ok());
        }
    }

    #[test]
    fn a_failing_rule_is_printed_on_the_sheet() {
        let mut project = demo();
        project.room.clearance = Some(5000.0);
        let analysis = analyse(&project, &Options::default());
        assert!(!analysis.holds());
        let text = side_view_svg(&project, &analysis, 1.0);
        assert!(text.contains("Fails: 1 of") || text.contains("Fails: 2 of"));
        assert!(text.contains("Fails: Clears the room"));
    }
}
