//! Handles: real regions of the window with names and values, dragged or nudged from the keyboard.

use egui::{
    CursorIcon, EventFilter, Key, Modifiers, Pos2, Rect, Response, Role, Sense, Stroke, Ui, Vec2, WidgetInfo, vec2,
};
use nalgebra::Vector2;
use overarm_solver::tolerance::WALL_RUN_MM;
use overarm_solver::{Point, Project, show_length};

use super::pen::Pen;
use crate::session::{Action, Edit, Handle, Session, ViewAction};
use crate::window::camera::View;
use crate::window::theme::small;

/// Across, at rest; half as much again under the pointer.
const SIZE: f32 = 14.0;
/// How far its sign reaches from its place, larger under the pointer.
pub const SIGN: f32 = 0.75 * SIZE;
/// Across, of the region that takes hold: a finger's worth.
const REGION: f32 = 32.0;

/// What the handles remember between frames.
#[derive(Clone, Copy, Debug, Default)]
pub struct Hands {
    hold: Option<Hold>,
    by_keyboard: bool,
}

/// What a press took hold of: the handle's place less the pointer's, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Hold {
    handle: Handle,
    grab: Vector2<f64>,
    pressed_at: Pos2,
    /// A corner of the wall, which stays on the wall.
    on_wall: bool,
    wanted: Option<Point>,
}

/// Lets every handle be dragged and nudged; returns what was asked for and paints them.
pub fn show(ui: &Ui, pen: &Pen, session: &Session, hands: &mut Hands) -> Vec<Action> {
    let mut actions = Vec::new();
    if ui.input(|input| input.pointer.any_pressed()) {
        hands.by_keyboard = false;
    }
    let project = session.project();
    let all = Handle::all(project);
    let regions = regions(&all, project, &pen.view);
    // Regions first, then paint from the last to the first, so that pivots lie over corners.
    let responses: Vec<(Handle, Response)> =
        all.iter().zip(regions).map(|(handle, region)| (*handle, respond(ui, *handle, region, project))).collect();
    for (handle, response) in responses.iter().rev() {
        drag(ui, pen, *handle, response, session, &mut hands.hold, &mut actions);
        let nudged = nudge(ui, *handle, response, &mut actions);
        if nudged || (response.gained_focus() && !response.is_pointer_button_down_on()) {
            hands.by_keyboard = true;
            actions.push(Action::View(ViewAction::Reveal(handle.place(project))));
        }
        paint(pen, *handle, response, session, hands.by_keyboard);
    }
    actions
}

/// A region for each handle: as large as a finger, but never reaching over to a neighbour.
fn regions(all: &[Handle], project: &Project, view: &View) -> Vec<Rect> {
    let places: Vec<Pos2> = all.iter().map(|handle| view.screen_from_mm(handle.place(project))).collect();
    places
        .iter()
        .enumerate()
        .map(|(index, at)| {
            let nearest = places
                .iter()
                .enumerate()
                .filter(|(other, _)| *other != index)
                .map(|(_, other)| (other.x - at.x).abs().max((other.y - at.y).abs()))
                .fold(f32::INFINITY, f32::min);
            Rect::from_center_size(*at, Vec2::splat(REGION.min(nearest).max(SIZE)))
        })
        .collect()
}

fn respond(ui: &Ui, handle: Handle, region: Rect, project: &Project) -> Response {
    let id = ui.scope_id().with(("handle", handle));
    let response = ui.interact(region, id, Sense::click_and_drag()).on_hover_and_drag_cursor(CursorIcon::Move);
    if response.has_focus() {
        let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(id, filter));
    }
    let value = value(handle, project);
    response.widget_info(|| {
        let mut info = WidgetInfo::labeled(Role::Button, true, handle.name());
        info.current_text_value = Some(value.clone());
        info
    });
    response
}

/// "15.62 mm from the wall, 2089.36 mm up".
#[must_use]
pub fn value(handle: Handle, project: &Project) -> String {
    let place = handle.place(project);
    let units = project.units();
    format!("{} from the wall, {} up", show_length(place.x, units), show_length(place.y, units))
}

fn drag(
    ui: &Ui,
    pen: &Pen,
    handle: Handle,
    response: &Response,
    session: &Session,
    hold: &mut Option<Hold>,
    actions: &mut Vec<Action>,
) {
    let pointer = ui.input(|input| input.pointer.interact_pos());
    // With the space bar down the press belongs to the camera.
    let pressed = ui.input(|input| input.pointer.primary_pressed() && !input.key_down(Key::Space));
    if pressed
        && hold.is_none()
        && response.is_pointer_button_down_on()
        && let Some(at) = pointer
    {
        let grab = handle.place(session.project()) - pen.view.mm_from_screen(at);
        *hold =
            Some(Hold { handle, grab, pressed_at: at, on_wall: is_on_wall(handle, session.project()), wanted: None });
        response.request_focus();
        actions.push(Action::Edit(Edit::Grab(handle)));
        return;
    }
    let Some(held) = hold.as_mut().filter(|held| held.handle == handle) else { return };
    if ui.input(|input| input.key_pressed(Key::Escape)) {
        *hold = None;
        ui.stop_dragging();
        actions.push(Action::Edit(Edit::GiveUp));
        return;
    }
    if let Some(at) = pointer
        && (held.wanted.is_some() || at != held.pressed_at)
    {
        let points_per_mm = pen.view.camera.points_per_mm();
        let place = snapped(pen.view.mm_from_screen(at) + held.grab, points_per_mm);
        let free = ui.input(|input| input.modifiers.alt);
        let place = if free { place } else { aligned(handle, place, held.on_wall, session.project(), points_per_mm) };
        if held.wanted != Some(place) {
            held.wanted = Some(place);
            actions.push(Action::Edit(Edit::DragTo(place)));
        }
    }
    if !ui.input(|input| input.pointer.primary_down()) {
        *hold = None;
        actions.push(Action::Edit(Edit::Release));
    }
}

/// To the roundest step that is finer than the screen can show, so that figures stay short.
fn snapped(place: Point, points_per_mm: f64) -> Point {
    let steps_in_mm = [1.0, 10.0, 100.0, 1e3, 1e4, 1e5].into_iter().find(|steps| points_per_mm / steps <= 1.5);
    let steps_in_mm = steps_in_mm.unwrap_or(1e6);
    place.map(|value| (value * steps_in_mm).round() / steps_in_mm)
}

/// A corner of the room keeps plumb and level with its neighbours within a few points of the screen,
/// and a corner of the wall stays on the wall; with Alt it goes where the pointer goes.
fn aligned(handle: Handle, place: Point, on_wall: bool, project: &Project, points_per_mm: f64) -> Point {
    const NEAR: f64 = 6.0;
    let Handle::RoomCorner(index) = handle else { return place };
    let outline = &project.room.outline;
    let neighbours = [index.checked_sub(1), index.checked_add(1)];
    let mut aligned = place;
    for neighbour in neighbours.into_iter().flatten().filter_map(|other| outline.get(other)) {
        for axis in 0..2 {
            if (neighbour[axis] - place[axis]).abs() * points_per_mm < NEAR {
                aligned[axis] = neighbour[axis];
            }
        }
    }
    if on_wall {
        aligned.x = 0.0;
    }
    aligned
}

/// Whether a handle is an end of a piece of wall at x = 0, which distances to the wall are told from.
fn is_on_wall(handle: Handle, project: &Project) -> bool {
    let Handle::RoomCorner(index) = handle else { return false };
    let at_wall = |index: usize| project.room.outline.get(index).is_some_and(|corner| corner.x.abs() <= WALL_RUN_MM);
    let neighbour = at_wall(index + 1) || index.checked_sub(1).is_some_and(at_wall);
    at_wall(index) && neighbour
}

/// Arrow keys move the focused handle; true when they did.
fn nudge(ui: &Ui, handle: Handle, response: &Response, actions: &mut Vec<Action>) -> bool {
    if !response.has_focus() {
        return false;
    }
    let before = actions.len();
    let directions = [
        (Key::ArrowLeft, Vector2::new(-1.0, 0.0)),
        (Key::ArrowRight, Vector2::new(1.0, 0.0)),
        (Key::ArrowUp, Vector2::new(0.0, 1.0)),
        (Key::ArrowDown, Vector2::new(0.0, -1.0)),
    ];
    let steps = [(Modifiers::SHIFT, 10.0), (Modifiers::ALT, 0.1), (Modifiers::NONE, 1.0)];
    for (key, direction) in directions {
        for (modifiers, step) in steps {
            let times = ui.input_mut(|input| input.count_and_consume_key(modifiers, key));
            for _ in 0..times {
                actions.push(Action::Edit(Edit::Nudge(handle, direction * step)));
            }
        }
    }
    actions.len() > before
}

fn paint(pen: &Pen, handle: Handle, response: &Response, session: &Session, by_keyboard: bool) {
    let palette = pen.palette;
    let held = session.dragged() == Some(handle);
    let near = held || response.hovered() || response.has_focus();
    let size = if near { SIZE * 1.5 } else { SIZE };
    let at = response.rect.center();
    let stroke = Stroke::new(if near { 2.5 } else { 2.0 }, palette.accent);
    let ground = palette.paper.gamma_multiply(if near { 0.35 } else { 0.0 });
    match handle {
        Handle::WallLower | Handle::WallUpper | Handle::PanelLower | Handle::PanelUpper => {
            pen.painter.circle(at, size / 2.0, ground, stroke);
        }
        Handle::Hung => {
            // A square on its tip: it moves the whole panel.
            let half = size * 0.6;
            let corners = [vec2(0.0, -half), vec2(half, 0.0), vec2(0.0, half), vec2(-half, 0.0)];
            let corners = corners.iter().map(|corner| at + *corner).collect();
            pen.painter.add(egui::Shape::convex_polygon(corners, palette.paper, stroke));
        }
        Handle::RoomCorner(_) => {
            let square = Rect::from_center_size(at, Vec2::splat(size * 0.85));
            pen.painter.rect(square, 0.0, palette.paper, stroke, egui::StrokeKind::Middle);
        }
    }
    let refused = session.refused_edit().filter(|refused| refused.handle == handle);
    if held || response.hovered() || (response.has_focus() && by_keyboard) || refused.is_some() {
        let project = session.project();
        let (text, colour) = match refused {
            Some(refused) => (format!("Not possible. {}", refused.sentence), palette.fails),
            None => {
                let wall =
                    if is_on_wall(handle, project) { ". Stays on the wall; Alt and drag takes it off" } else { "" };
                let text = format!("{}{}: {}{wall}", handle.name(), where_it_is(handle), value(handle, project));
                (text, palette.accent)
            }
        };
        tell(pen, at, &text, colour);
    }
}

/// Why a pivot of the panel is not at the panel shown.
fn where_it_is(handle: Handle) -> &'static str {
    match handle {
        Handle::PanelLower | Handle::PanelUpper => ", where the panel hangs",
        Handle::Hung | Handle::WallLower | Handle::WallUpper | Handle::RoomCorner(_) => "",
    }
}

/// A line of text beside a handle, kept within the drawing.
fn tell(pen: &Pen, at: Pos2, text: &str, colour: egui::Color32) {
    let screen = pen.view.screen.shrink(8.0);
    let galley = pen.painter.layout(text.to_owned(), small(), colour, 340.0);
    let size = galley.size();
    let x = if at.x + 18.0 + size.x > screen.right() { at.x - 18.0 - size.x } else { at.x + 18.0 };
    let y = (at.y - 18.0 - size.y).clamp(screen.top(), (screen.bottom() - size.y).max(screen.top()));
    let place = Rect::from_min_size(Pos2::new(x.max(screen.left()), y), size);
    pen.painter.rect(place.expand(4.0), 3.0, pen.palette.paper, Stroke::new(1.0, colour), egui::StrokeKind::Outside);
    pen.painter.galley(place.min, galley, colour);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_corner_keeps_plumb_and_level_when_it_is_nearly_so() {
        let mut project = crate::session::demo();
        project.room.outline = vec![Point::new(0.0, 0.0), Point::new(0.0, 2250.0), Point::new(900.0, 2900.0)];
        let corner = Handle::RoomCorner(1);
        assert_eq!(aligned(corner, Point::new(9.0, 2300.0), false, &project, 0.5), Point::new(0.0, 2300.0));
        assert_eq!(aligned(corner, Point::new(30.0, 2893.0), false, &project, 0.5), Point::new(30.0, 2900.0));
        assert_eq!(aligned(corner, Point::new(30.0, 2300.0), false, &project, 0.5), Point::new(30.0, 2300.0));
        assert_eq!(aligned(corner, Point::new(300.0, 2300.0), true, &project, 0.5), Point::new(0.0, 2300.0));
        assert!(is_on_wall(corner, &project) && !is_on_wall(Handle::RoomCorner(2), &project));
        assert_eq!(aligned(Handle::Hung, Point::new(1.0, 0.0), false, &project, 0.5), Point::new(1.0, 0.0));
    }

    #[test]
    fn snapping_is_finer_than_a_screen_point_and_round() {
        assert_eq!(snapped(Point::new(12.345, -7.891), 0.33), Point::new(12.0, -8.0));
        assert_eq!(snapped(Point::new(12.345, -7.891), 8.0), Point::new(12.3, -7.9));
        assert_eq!(snapped(Point::new(12.345, -7.891), 30.0), Point::new(12.35, -7.89));
        assert_eq!(snapped(Point::new(0.123_45, -0.078_91), 300.0), Point::new(0.123, -0.079));
    }
}
