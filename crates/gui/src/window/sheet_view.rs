//! The sheets of the parts, as they are printed: chosen by name above, painted from their own marks.

use std::cell::RefCell;
use std::sync::Arc;

use egui::{Color32, ComboBox, FontFamily, FontId, Rect, RichText, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2};
use overarm_shopfiles::part_drawings;
use overarm_shopfiles::sheet::page::{Mark, Page, Text};
use overarm_shopfiles::sheet::path::{Path, Place, Step};
use overarm_shopfiles::sheet::pen::{Colour, PAPER, Pen as PagePen};
use overarm_solver::{Analysis, Part, Point, Project, parts};

use super::camera::{Camera, View};
use super::sketch::{Pen, camera_moves};
use super::theme::{BOLD, Palette, TARGET, small};
use super::toolbar::quiet;
use crate::session::{Action, Session, ViewAction};

/// Where all eight parts lie beside each other instead of a sheet.
const ALL_PARTS: &str = "All parts";
/// The thinnest line that is still seen, points.
const THINNEST: f32 = 0.6;
/// Smaller letters are not read, points.
const LEAST_LETTERS: f32 = 1.5;
/// Chords of one curve.
const CHORDS: u32 = 8;

/// Which sheet is shown, and how.
#[derive(Debug, Default)]
pub struct SheetView {
    shown: Option<String>,
    named: Option<(Seen, Vec<String>)>,
    drawn: Option<Drawn>,
    camera: Option<Camera>,
    screen: Option<Rect>,
    panned_by: Option<Point>,
}

/// What something was worked out from.
#[derive(Clone, Debug)]
struct Seen {
    revision: u64,
    analysis: Arc<Analysis>,
}

impl Seen {
    fn now(session: &mut Session) -> Self {
        Self { revision: session.document().revision(), analysis: session.analysis() }
    }
}

impl PartialEq for Seen {
    fn eq(&self, other: &Self) -> bool {
        // The analysis may come some frames after the change.
        self.revision == other.revision && Arc::ptr_eq(&self.analysis, &other.analysis)
    }
}

/// A sheet as it was last drawn, and of what.
#[derive(Debug)]
struct Drawn {
    of: Seen,
    name: String,
    page: Page,
}

impl SheetView {
    /// Whether a sheet is shown.
    #[must_use]
    pub fn is_open(&self) -> bool {
        self.shown.is_some()
    }

    /// Shows the sheet of this name, if there is one.
    pub fn open(&mut self, name: String) {
        self.shown = Some(name);
        self.camera = None;
    }

    /// Fits the sheet anew with the next frame.
    pub fn fit(&mut self) {
        self.camera = None;
    }

    /// Carries a camera move out.
    pub fn look(&mut self, action: ViewAction) {
        if let (Some(camera), Some(screen)) = (&mut self.camera, self.screen) {
            camera.look(action, screen);
        }
    }

    /// The list to choose from.
    pub fn choose(&mut self, ui: &mut Ui, session: &mut Session) {
        let now = Seen::now(session);
        if self.named.as_ref().is_none_or(|(of, _)| *of != now) {
            let names = part_drawings::names(&parts(session.project(), &now.analysis.solids));
            self.named = Some((now, names));
        }
        let Some((_, names)) = &self.named else { return };
        // A part that is none any more has no sheet.
        if self.shown.as_ref().is_some_and(|shown| !names.contains(shown)) {
            self.shown = None;
        }
        let standing = self.shown.clone().unwrap_or_else(|| ALL_PARTS.to_owned());
        let mut chosen = None;
        ui.horizontal(|ui| {
            ui.spacing_mut().interact_size.y = TARGET;
            let label = ui.label(RichText::new("Sheet").font(small()));
            let list = ComboBox::from_id_salt("sheet").selected_text(&standing).height(TARGET * 12.0);
            let list = list.show_ui(ui, |ui| {
                for name in std::iter::once(ALL_PARTS).chain(names.iter().map(String::as_str)) {
                    if ui.selectable_label(standing == name, name).clicked() {
                        chosen = Some(name.to_owned());
                    }
                }
            });
            list.response.labelled_by(label.id).on_hover_text("Shows one part as its drawing is printed.");
            if self.shown.is_some() {
                let back = ui.add(quiet("Back to all parts"));
                if back.on_hover_text("Shows the eight parts beside each other.").clicked() {
                    chosen = Some(ALL_PARTS.to_owned());
                }
            } else {
                ui.label(
                    RichText::new("Click a part to see its sheet.").font(small()).color(Palette::of(ui.ctx()).quiet),
                );
            }
        });
        if let Some(name) = chosen {
            self.shown = Some(name).filter(|name| name != ALL_PARTS);
            self.camera = None;
        }
    }

    /// Draws the chosen sheet into what is left of the window.
    pub fn show(&mut self, ui: &mut Ui, session: &mut Session) -> Vec<Action> {
        let response = ui.allocate_response(ui.available_size(), Sense::CLICK | Sense::DRAG);
        let screen = response.rect;
        let Some(name) = self.shown.clone() else { return Vec::new() };
        let now = Seen::now(session);
        if self.drawn.as_ref().is_none_or(|drawn| drawn.of != now || drawn.name != name) {
            let page = sheet(session.project(), &now.analysis, &name);
            self.drawn = page.map(|page| Drawn { of: now, name: name.clone(), page });
        }
        let Some(Drawn { page, .. }) = &self.drawn else { return Vec::new() };
        if screen.width() < 1.0 || screen.height() < 1.0 {
            return Vec::new();
        }
        let (wide, high) = (page.paper.width, page.paper.height);
        let moved = self.screen.replace(screen).is_some_and(|before| before != screen);
        if self.camera.is_none_or(|camera| moved && camera.is_fitted()) {
            self.camera = Some(Camera::fit(Point::new(0.0, -high), Point::new(wide, 0.0), screen));
        }
        let Some(camera) = self.camera else { return Vec::new() };
        response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, format!("Sheet: {name}")));
        let view = View { camera, screen };
        let painter = ui.painter_at(screen);
        let pen = Pen { painter: &painter, view, palette: Palette::of(ui.ctx()), lettered: RefCell::default() };
        painter.rect_filled(screen, 0.0, pen.palette.side);
        paint(&pen, page);
        camera_moves(ui, &view, &mut self.panned_by)
    }
}

fn sheet(project: &Project, analysis: &Analysis, name: &str) -> Option<Page> {
    let parts: Vec<Part> = parts(project, &analysis.solids);
    let index = part_drawings::names(&parts).iter().position(|other| other == name)?;
    part_drawings::page(project, analysis, &parts, index)
}

fn paint(pen: &Pen, page: &Page) {
    let (wide, high) = (page.paper.width, page.paper.height);
    pen.fill(&contours(&Path::rectangle([0.0, 0.0], [wide, high])), colour(PAPER));
    let mut within: Vec<Vec<Vec<Point>>> = Vec::new();
    for mark in &page.marks {
        match mark {
            Mark::Shape { path, pen: line, fill } => {
                let contours = contours(path);
                if let Some(fill) = fill {
                    pen.fill(&contours, colour(*fill));
                }
                let Some(line) = line else { continue };
                let mut pieces = contours;
                for clip in &within {
                    pieces = pieces.iter().flat_map(|piece| inside(piece, clip)).collect();
                }
                for piece in &pieces {
                    stroke(pen, piece, *line);
                }
            }
            Mark::Text(text) => letters(pen, text),
            Mark::Clip(path) => within.push(contours(path)),
            Mark::Unclip => {
                within.pop();
            }
        }
    }
}

/// The page's y runs down.
fn point([x, y]: Place) -> Point {
    Point::new(x, -y)
}

fn colour([red, green, blue]: Colour) -> Color32 {
    Color32::from_rgb(red, green, blue)
}

/// A path as lines, each closed one ending where it began.
fn contours(path: &Path) -> Vec<Vec<Point>> {
    let mut found: Vec<Vec<Point>> = Vec::new();
    for step in &path.steps {
        let last = found.last_mut();
        match (*step, last) {
            (Step::Move(to), _) => found.push(vec![point(to)]),
            (Step::Line(to), Some(line)) => line.push(point(to)),
            (Step::Curve(one, two, to), Some(line)) => {
                let Some(from) = line.last().copied() else { continue };
                let [one, two, to] = [one, two, to].map(point);
                line.extend((1..=CHORDS).map(|chord| {
                    let t = f64::from(chord) / f64::from(CHORDS);
                    let s = 1.0 - t;
                    let shares = [s * s * s, 3.0 * s * s * t, 3.0 * s * t * t, t * t * t];
                    let at = from.coords * shares[0] + one.coords * shares[1] + two.coords * shares[2];
                    Point::from(at + to.coords * shares[3])
                }));
            }
            (Step::Close, Some(line)) => line.extend(line.first().copied()),
            (_, None) => {}
        }
    }
    found
}

/// The stretches of a line that lie within closed contours, even-odd.
fn inside(line: &[Point], clip: &[Vec<Point>]) -> Vec<Vec<Point>> {
    let mut pieces = Vec::new();
    for ends in line.windows(2) {
        let along = ends[1] - ends[0];
        let mut cuts = vec![0.0, 1.0];
        for edge in clip.iter().flat_map(|contour| contour.windows(2)) {
            let side = edge[1] - edge[0];
            let across = along.perp(&side);
            let to = edge[0] - ends[0];
            let (at, on) = (to.perp(&side) / across, to.perp(&along) / across);
            if at.is_finite() && (0.0..=1.0).contains(&at) && (0.0..=1.0).contains(&on) {
                cuts.push(at);
            }
        }
        cuts.sort_by(f64::total_cmp);
        for stretch in cuts.windows(2) {
            let middle = ends[0] + along * f64::midpoint(stretch[0], stretch[1]);
            let around = clip.iter().filter(|contour| overarm_shopfiles::drawing::is_within(contour, middle)).count();
            if stretch[1] > stretch[0] && around % 2 == 1 {
                pieces.push(vec![ends[0] + along * stretch[0], ends[0] + along * stretch[1]]);
            }
        }
    }
    pieces
}

fn stroke(pen: &Pen, line: &[Point], with: PagePen) {
    #[allow(clippy::cast_possible_truncation)] // the screen is f32
    let scale = pen.view.camera.points_per_mm() as f32;
    #[allow(clippy::cast_possible_truncation)] // a few millimetres
    let on_screen = |mm: f64| mm as f32 * scale;
    let places: Vec<_> = line.iter().map(|at| pen.at(*at)).collect();
    let stroke = Stroke::new(on_screen(with.width).max(THINNEST), colour(with.colour));
    let dashes: Vec<f32> = with.dash.lengths(with.width).into_iter().map(on_screen).collect();
    // Dashes that run together are a line.
    if dashes.is_empty() || dashes.iter().sum::<f32>() < 3.0 {
        pen.painter.add(Shape::line(places, stroke));
        return;
    }
    let (solid, gaps): (Vec<_>, Vec<_>) = dashes.chunks_exact(2).map(|pair| (pair[0], pair[1])).unzip();
    pen.painter.extend(Shape::dashed_line_with_offset(&places, stroke, &solid, &gaps, 0.0));
}

/// Words as wide as on the sheet.
fn letters(pen: &Pen, text: &Text) {
    /// Letters are measured at this size, points.
    const MEASURED: f32 = 32.0;
    let family = if text.style.bold { FontFamily::Name(BOLD.into()) } else { FontFamily::Proportional };
    let lay = |size: f32| {
        let font = FontId::new(size, family.clone());
        pen.painter.layout_no_wrap(text.words.clone(), font, colour(text.style.colour))
    };
    #[allow(clippy::cast_possible_truncation)] // the screen is f32
    let wanted = (text.style.width(&text.words) * pen.view.camera.points_per_mm()) as f32;
    let size = MEASURED * wanted / lay(MEASURED).size().x.max(1e-3);
    let at = pen.at(point(text.at));
    if size < LEAST_LETTERS || !pen.view.screen.expand(wanted).contains(at) {
        return;
    }
    let galley = lay(size);
    let baseline = galley.rows.first().and_then(|row| row.glyphs.first().map(|glyph| row.pos.y + glyph.pos.y));
    let baseline = baseline.unwrap_or(0.0);
    let fallback = colour(text.style.colour);
    pen.painter.add(if text.upwards {
        let turned = egui::epaint::TextShape::new(pos2(at.x - baseline, at.y), galley, fallback);
        turned.with_angle(-std::f32::consts::FRAC_PI_2)
    } else {
        egui::epaint::TextShape::new(pos2(at.x, at.y - baseline), galley, fallback)
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hatching_stays_inside_of_what_is_cut() {
        let square = |from: f64, to: f64| contours(&Path::rectangle([from, from], [to, to]));
        let hollow = [square(0.0, 10.0), square(4.0, 6.0)].concat();
        let line = [Point::new(-5.0, -5.0), Point::new(15.0, -5.0)];
        let pieces = inside(&line, &hollow);
        let ends: Vec<[f64; 2]> = pieces.iter().map(|piece| [piece[0].x, piece[1].x]).collect();
        assert_eq!(ends.len(), 2, "{ends:?}");
        for (found, wanted) in ends.iter().flatten().zip([0.0, 4.0, 6.0, 10.0]) {
            assert!((found - wanted).abs() < 1e-9, "{ends:?}");
        }
        assert!(inside(&[Point::new(-5.0, 5.0), Point::new(15.0, 5.0)], &hollow).is_empty());
    }

    #[test]
    fn a_circle_is_round() {
        let circle = contours(&Path::circle([20.0, 30.0], 11.0));
        assert_eq!(circle.len(), 1);
        assert!(circle[0].iter().all(|at| ((at - Point::new(20.0, -30.0)).norm() - 11.0).abs() < 0.005));
        assert_eq!(circle[0].first(), circle[0].last());
    }

    #[test]
    fn every_part_has_its_sheet() {
        let project = crate::session::demo();
        let analysis = overarm_solver::analyse(&project, &overarm_solver::Options { poses: 2, swept: false });
        let names = part_drawings::names(&parts(&project, &analysis.solids));
        assert_eq!(names.len(), 9);
        for name in &names[1..] {
            let page = sheet(&project, &analysis, name).expect("a sheet");
            assert!(page.texts().any(|text| text.words == *name), "{name}");
        }
        assert!(sheet(&project, &analysis, "Left spoon").is_none());
    }
}
