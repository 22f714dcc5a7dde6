//! The side view: drawn by our own transforms, so that text and lines stay sharp at any zoom.

mod area;
mod bars;
mod contact;
mod dimension;
pub mod drag_aids;
mod error_areas;
mod forces;
pub mod handles;
mod lift;
mod pen;
mod pinching;
mod room;

use std::cell::RefCell;

use egui::{CursorIcon, Key, PointerButton, Pos2, Rect, Role, Sense, Ui, WidgetInfo};
use overarm_solver::{Analysis, Point, Project, Rule};

use super::camera::{Camera, View};
use super::theme::Palette;
use crate::session::{Action, Detail, Handle, Session, ViewAction};

pub use bars::tone;
pub use handles::Hands;
pub use pen::{LineKind, Pen, fill_on_screen};

/// What the side view remembers between frames.
#[derive(Debug, Default)]
pub struct Sketch {
    camera: Option<Camera>,
    screen: Option<Rect>,
    hands: Hands,
    /// The place under the pointer when a pan began.
    panned_by: Option<Point>,
    /// What was fitted last, to be fitted again when the drawing's place changes.
    fitted_to: FitTo,
    /// The drawing's place has changed since the last fit.
    fit_due: bool,
    /// Whether gaps that catch somebody are marked, whatever is left out: their figures are shown.
    pub marks_pinches: bool,
}

/// What a fit takes in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum FitTo {
    /// The lift and all that it sweeps.
    #[default]
    Lift,
    /// The room's corners as well.
    Room,
}

impl Sketch {
    /// Fits the drawing anew.
    pub fn fit(&mut self, project: &Project, analysis: &Analysis, to: FitTo) {
        self.fitted_to = to;
        self.fit_due = false;
        if let Some(screen) = self.screen {
            let (least, greatest) = extent(project, analysis, to);
            self.camera = Some(Camera::fit(least, greatest, screen));
        }
    }

    /// Carries a camera move out.
    pub fn look(&mut self, action: ViewAction) {
        if let (Some(camera), Some(screen)) = (&mut self.camera, self.screen) {
            camera.look(action, screen);
        }
    }

    /// Draws the side view into what is left of the window.
    pub fn show(&mut self, ui: &mut Ui, session: &mut Session) -> Vec<Action> {
        let analysis = session.analysis();
        let pose = session.pose();
        let parked = session.parked();
        let drive_map = session.drive_map();
        let pinches = (self.marks_pinches || session.shows(Detail::PinchGaps)).then(|| session.pinches());
        // Not a stop of the Tab key: the handles are.
        let response = ui.allocate_response(ui.available_size(), Sense::CLICK | Sense::DRAG);
        let screen = response.rect;
        if screen.width() < 1.0 || screen.height() < 1.0 {
            return Vec::new();
        }
        if let Some(before) = self.screen.replace(screen).filter(|before| *before != screen) {
            // What is on the screen stays where it is, under the pointer above all, until it can be fitted.
            if let Some(camera) = &mut self.camera {
                camera.stay(before, screen);
            }
            self.fit_due = true;
        }
        let still = session.dragged().is_none() && !session.is_stale();
        if self.camera.is_none_or(|camera| self.fit_due && still && camera.is_fitted()) {
            self.fit(session.project(), &analysis, self.fitted_to);
        }
        let Some(camera) = self.camera else { return Vec::new() };
        response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Side view"));

        let view = View { camera, screen };
        let painter = ui.painter_at(screen);
        let pen = Pen { painter: &painter, view, palette: Palette::of(ui.ctx()), lettered: RefCell::default() };
        let project = session.project();

        room::draw(&pen, project);
        room::draw_uncover(&pen, project);
        if session.shows(Detail::SweptArea) {
            lift::draw_swept(&pen, &analysis);
        }
        lift::draw_ghosts(&pen, &analysis);
        if session.shows(Detail::Strap) {
            lift::draw_strap(&pen, &analysis, &pose);
        }
        let shown = bars::Shown { reliefs: session.shows(Detail::Reliefs), picked: session.picked_bar() };
        lift::draw_solid(&pen, &analysis, &pose, shown);
        if session.shows(Detail::SweptArea) {
            lift::draw_tight(&pen, &analysis);
        }
        contact::draw_stop(&pen, project, &analysis, &pose);
        let picked = session.picked();
        contact::draw_own(&pen, project, &analysis, &pose, picked);
        // The stop is lit anyway when its faces touch.
        let told = picked.filter(|rule| *rule != Rule::StopsOnFold || analysis.stop.contact.is_none());
        if let Some(finding) = analysis.rules.iter().find(|finding| Some(finding.rule) == told) {
            contact::draw_places(&pen, finding);
        }
        dimension::draw_clearances(&pen, project, &analysis, picked);

        if session.shows(Detail::Errors) {
            error_areas::draw(ui, &pen, project, &analysis, &pose);
        }
        if let Some(found) = pinches {
            pinching::draw(ui, &pen, project, &found, &pose);
        }
        if session.shows(Detail::Forces) {
            forces::draw(ui, &pen, project, &analysis, &pose);
        }
        if let Some(map) = session.where_it_holds() {
            drag_aids::draw_map(&pen, &map, drag_aids::GEOMETRY_HOLDS);
        } else if let Some(map) = drive_map {
            drag_aids::draw_map(&pen, &map, drag_aids::NO_PUSH);
        }
        drag_aids::draw_hints(&pen, session.hints());

        let bar_at = |at: Pos2| bars::at(&pen, &analysis, &pose, view.mm_from_screen(at));
        let signs = Handle::in_sketch(project).into_iter();
        let signs = signs.map(|handle| view.screen_from_mm(handle.place_with(project, &parked))).collect::<Vec<_>>();
        let clicked = clicked_beside_handles(ui, &view, &signs);
        let picked_bar = clicked.map(bar_at);
        if response.hover_pos().and_then(bar_at).is_some() {
            ui.set_cursor_icon(CursorIcon::PointingHand);
        }

        let mut actions = camera_moves(ui, &view, &mut self.panned_by);
        if let Some(bar) = picked_bar {
            // A second click lets go, and so does one beside every bar.
            let bar = bar.filter(|bar| session.picked_bar() != Some(*bar));
            if bar != session.picked_bar() {
                actions.push(Action::View(ViewAction::PickBar(bar)));
            }
        }
        let escape = ui.input(|input| input.key_pressed(Key::Escape));
        if escape && session.picked_bar().is_some() && session.dragged().is_none() && session.asking().is_none() {
            actions.push(Action::View(ViewAction::PickBar(None)));
        }
        let all = Handle::in_sketch(session.project());
        actions.extend(handles::show(ui, &pen, session, &all, &mut self.hands));
        actions
    }
}

/// Where a click means what is drawn there: not on the sign of a handle, but in the finger's breadth
/// around it, which on a short bar leaves nothing else.
fn clicked_beside_handles(ui: &Ui, view: &View, signs: &[Pos2]) -> Option<Pos2> {
    let (clicked, at) = ui.input(|input| {
        // A press that becomes a drag is no click; with the space bar it belongs to the camera.
        (input.pointer.primary_clicked() && !input.key_down(Key::Space), input.pointer.interact_pos())
    });
    let at = at.filter(|at| clicked && view.screen.contains(*at) && ui.rect_contains_pointer(view.screen))?;
    signs.iter().all(|sign| (*sign - at).length() > handles::SIGN).then_some(at)
}

/// Pan with the middle button or with space and the first, zoom with wheel or pinch.
///
/// Buttons are read from the input, not from a widget: over a handle they mean the same.
pub fn camera_moves(ui: &Ui, view: &View, panned_by: &mut Option<Point>) -> Vec<Action> {
    let mut actions = Vec::new();
    let space = ui.input(|input| input.key_down(Key::Space)) && !ui.text_edit_focused();
    let pointer = ui.input(|input| input.pointer.latest_pos());
    let over = pointer.filter(|at| view.screen.contains(*at) && ui.rect_contains_pointer(view.screen));
    let pressed = ui.input(|input| {
        input.pointer.button_pressed(PointerButton::Middle) || (space && input.pointer.primary_pressed())
    });
    let down = ui.input(|input| input.pointer.any_down());
    if !down {
        *panned_by = None;
    } else if let (true, Some(at)) = (pressed, over) {
        *panned_by = Some(view.mm_from_screen(at));
    }
    if let (Some(place), Some(at)) = (*panned_by, pointer) {
        // The place that was taken stays under the pointer.
        let by = view.mm_from_screen(at) - place;
        if by.norm() * view.camera.points_per_mm() > 1e-3 {
            actions.push(Action::View(ViewAction::Pan(by)));
        }
        ui.set_cursor_icon(CursorIcon::Grabbing);
    } else if space && over.is_some() {
        ui.set_cursor_icon(CursorIcon::Grab);
    }
    if let Some(at) = over {
        let (wheel, pinch) = ui.input(|input| (input.smooth_scroll_delta().y, input.zoom_delta()));
        // 200 points of wheel double the scale.
        let factor = f64::from(pinch) * (f64::from(wheel) / 200.0).exp2();
        if (factor - 1.0).abs() > 1e-6 {
            actions.push(Action::View(ViewAction::Zoom { about: view.mm_from_screen(at), factor }));
        }
    }
    actions
}

/// How much of the wall a fit takes in, as a share of the panel's height.
const WALL_SHARE: f64 = 0.16;

/// The box that a fit takes in.
fn extent(project: &Project, analysis: &Analysis, to: FitTo) -> (Point, Point) {
    let mut places: Vec<Point> = Vec::new();
    for travel in [0.0, 0.25, 0.5, 0.75, 1.0] {
        let pose = analysis.pose_at(travel);
        places.extend(analysis.lift.panel_corners(&pose));
        places.extend([pose.panel_lower, pose.panel_upper]);
    }
    if let Some(swept) = &analysis.swept {
        places.extend(swept.panel.contours.iter().flatten());
    }
    places.extend(analysis.lift.wall_bar_corners());
    // A strip of wall, so that its hatching and the names in it are seen.
    places.push(Point::new(-WALL_SHARE * project.panel.height, project.panel.hung.bottom));
    if let Some(uncover) = &project.room.uncover {
        places.extend([Point::new(0.0, uncover.bottom), Point::new(0.0, uncover.top)]);
    }
    for clearance in [&analysis.clearances.panel, &analysis.clearances.bars].into_iter().flatten() {
        places.extend(clearance.points);
    }
    if let Some(drive) = &project.drive {
        places.push(drive.drum_centre);
    }
    let bound_by = |places: &[Point], pick: fn(f64, f64) -> f64, start: f64| {
        places.iter().fold(Point::new(start, start), |so_far, place| {
            Point::new(pick(so_far.x, place.x), pick(so_far.y, place.y))
        })
    };
    let (least, greatest) =
        (bound_by(&places, f64::min, f64::INFINITY), bound_by(&places, f64::max, f64::NEG_INFINITY));
    places.extend(ceiling_near(project, least, greatest));
    if to == FitTo::Room {
        places.extend(Handle::all(project).into_iter().map(|handle| handle.place(project)));
        places.extend(project.room.solids.iter().flat_map(|solid| solid.outline.iter().copied()));
        places.extend(project.room.uncover.iter().filter_map(|uncover| uncover.eye));
    }
    (bound_by(&places, f64::min, f64::INFINITY), bound_by(&places, f64::max, f64::NEG_INFINITY))
}

/// Where the ceiling runs over a box, as far as it is so near that the box without it looks as if
/// there were none.
fn ceiling_near(project: &Project, least: Point, greatest: Point) -> Vec<Point> {
    /// Of the box's height.
    const NEAR: f64 = 0.35;
    let reach = greatest.y + NEAR * (greatest.y - least.y);
    let cut = |from: Point, to: Point, x: f64| {
        let share = (x - from.x) / (to.x - from.x);
        (0.0..=1.0).contains(&share).then(|| from + (to - from) * share)
    };
    let edges = project.room.outline.windows(2).filter(|edge| (edge[1].x - edge[0].x).abs() > 1e-9);
    let places = edges.flat_map(|edge| [least.x.max(0.0), greatest.x].map(|x| cut(edge[0], edge[1], x))).flatten();
    let places: Vec<Point> = places.filter(|place| place.y <= reach).collect();
    // What is seen anyway asks for no more room.
    if places.iter().any(|place| place.y < greatest.y) { Vec::new() } else { places }
}
