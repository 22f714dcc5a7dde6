//! Handles: real regions of the window with names and values, dragged or nudged from the keyboard.

use egui::text::LayoutJob;
use egui::{
    Color32, CursorIcon, EventFilter, Key, Modifiers, Pos2, Rect, Response, Role, Sense, Shape, Stroke, TextFormat, Ui,
    Vec2, WidgetInfo, vec2,
};
use nalgebra::{Isometry2, Vector2};
use overarm_solver::units::number;
use overarm_solver::{Point, Project, show_length};

use super::pen::Pen;
use crate::session::{Action, DragMode, Edit, Handle, Reach, Session, ViewAction};
use crate::window::camera::View;
use crate::window::theme::{Palette, small};

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
    wanted: Option<Reach>,
}

/// What is drawn in this frame: the project and where its panel parks.
#[derive(Clone, Copy)]
struct Scene<'a> {
    project: &'a Project,
    parked: Isometry2<f64>,
}

impl Scene<'_> {
    fn place(&self, handle: Handle) -> Point {
        handle.place_with(self.project, &self.parked)
    }
}

/// Rules that are called out beside a handle, at most: it and what is around it stay in sight.
const MOST_CHANGED: usize = 4;
/// Height of the drawing that a rule called out needs, points: most of it is for the lift.
const HEIGHT_FOR_ONE: f32 = 130.0;

/// How many rules may be called out in a drawing of such a height.
fn most_changed(height: f32) -> usize {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a handful
    let fit = (height / HEIGHT_FOR_ONE).max(1.0) as usize;
    fit.min(MOST_CHANGED)
}

/// Lets handles be dragged and nudged; returns what was asked for and paints them.
pub fn show(ui: &Ui, pen: &Pen, session: &mut Session, all: &[Handle], hands: &mut Hands) -> Vec<Action> {
    let mut actions = Vec::new();
    if ui.input(|input| input.pointer.any_pressed()) {
        hands.by_keyboard = false;
    }
    let parked = session.parked();
    let changed = session.changed_verdicts();
    let pull = pull(session);
    let session = &*session;
    let scene = Scene { project: session.project(), parked };
    let regions = regions(all, &scene, &pen.view);
    // Regions first, then paint from the last to the first, so that pivots lie over corners.
    let meant = meant(ui, all, &regions, hands.hold.map(|hold| hold.handle));
    let pointer = ui.input(|input| input.pointer.latest_pos());
    let responses: Vec<(Handle, Response)> = all
        .iter()
        .zip(regions)
        .map(|(handle, region)| {
            // Where regions lie over each other, the pointer means the nearest one's.
            let is_under = pointer.is_some_and(|at| region.contains(at));
            let means_another = is_under && meant.is_some_and(|meant| meant != *handle);
            let sense = if means_another { Sense::focusable_noninteractive() } else { Sense::click_and_drag() };
            (*handle, respond(ui, *handle, region, sense, &scene))
        })
        .collect();
    let pressed = pressed(ui, &responses);
    let mut told = None;
    for (handle, response) in responses.iter().rev() {
        let pressed_at = pressed.filter(|(pressed, _)| pressed == handle).map(|(_, at)| at);
        drag(ui, pen, (*handle, response), &scene, pressed_at, &mut hands.hold, &mut actions);
        // A press and its release may come within one frame.
        if response.clicked() && !response.has_focus() {
            response.request_focus();
        }
        let nudged = nudge(ui, *handle, response, &mut actions);
        if nudged || (response.gained_focus() && !response.is_pointer_button_down_on()) {
            hands.by_keyboard = true;
            actions.push(Action::View(ViewAction::Reveal(scene.place(*handle))));
        }
        paint(pen, *handle, response, session);
        let at = response.rect.center();
        if let Some(mut lines) = lines(*handle, response, session, &scene, hands.by_keyboard) {
            if Handle::OF_DRIVE.contains(handle) {
                lines.extend(pull.iter().map(|words| Line { words: words.clone(), colour: Tone::Quiet }));
            }
            told = Some((at, lines));
        }
    }
    if let Some((at, mut lines)) = told {
        let most = most_changed(pen.view.screen.height());
        let more = changed.len().saturating_sub(most);
        lines.extend(changed.into_iter().take(most).map(|changed| {
            let colour = if changed.holds { Tone::Holds } else { Tone::Fails };
            Line { colour, words: changed.words }
        }));
        if more > 0 {
            lines.push(Line { colour: Tone::Quiet, words: format!("and {more} more beside the drawing") });
        }
        tell(pen, at, &lines);
    }
    actions
}

/// A region for each handle: as large as a finger, but never reaching over to a neighbour.
fn regions(all: &[Handle], scene: &Scene, view: &View) -> Vec<Rect> {
    let places: Vec<Pos2> = all.iter().map(|handle| view.screen_from_mm(scene.place(*handle))).collect();
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

/// The handle that the pointer means: the one that is held, or of those whose regions it is in the one
/// whose middle is nearest. Pivots are drawn over a corner of the room that is near: it is given 2 points.
fn meant(ui: &Ui, all: &[Handle], regions: &[Rect], held: Option<Handle>) -> Option<Handle> {
    let at = ui.input(|input| input.pointer.latest_pos())?;
    let under = all.iter().zip(regions).filter(|(_, region)| region.contains(at));
    let away = |(handle, region): &(&Handle, &Rect)| {
        region.center().distance(at) - if matches!(handle, Handle::RoomCorner(_)) { 2.0 } else { 0.0 }
    };
    held.or_else(|| under.min_by(|a, b| away(a).total_cmp(&away(b))).map(|(handle, _)| *handle))
}

fn respond(ui: &Ui, handle: Handle, region: Rect, sense: Sense, scene: &Scene) -> Response {
    let id = ui.scope_id().with(("handle", handle));
    let response = ui.interact(region, id, sense).on_hover_and_drag_cursor(CursorIcon::Move);
    if response.has_focus() {
        let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(id, filter));
    }
    let value = value_in(handle, scene);
    response.widget_info(|| {
        let mut info = WidgetInfo::labeled(Role::Button, true, handle.name());
        info.current_text_value = Some(value.clone());
        info
    });
    response
}

/// "15.62 mm from the wall, 2089.36 mm up"; a tilt is told in degrees.
fn value_in(handle: Handle, scene: &Scene) -> String {
    if handle == Handle::ParkedTurn {
        let tilt = -scene.parked.rotation.angle().to_degrees();
        return if tilt < 0.0 {
            format!("top leans {:.2}° towards the wall", -tilt)
        } else {
            format!("top leans {tilt:.2}° into the room")
        };
    }
    let units = scene.project.units();
    if handle == Handle::Sets {
        return format!("{} apart, middle to middle", show_length(scene.project.set_spacing(), units));
    }
    let place = scene.place(handle);
    format!("{} from the wall, {} up", show_length(place.x, units), show_length(place.y, units))
}

/// The handle that is pressed in this frame, and where: not where the pointer is by now, if it moves
/// fast. With the space bar down a press belongs to the camera.
fn pressed(ui: &Ui, responses: &[(Handle, Response)]) -> Option<(Handle, Pos2)> {
    let pressed = ui.input(|input| input.pointer.primary_pressed() && !input.key_down(Key::Space));
    let at = ui.input(|input| input.pointer.press_origin()).filter(|_| pressed)?;
    let under = |(_, response): &&(Handle, Response)| {
        response.rect.contains(at) && ui.ctx().layer_id_at(at) == Some(response.layer_id)
    };
    let distance = |response: &Response| (response.rect.center() - at).length();
    let down_on = responses.iter().find(|(_, response)| response.is_pointer_button_down_on());
    let nearest = || responses.iter().filter(under).min_by(|a, b| distance(&a.1).total_cmp(&distance(&b.1)));
    down_on.or_else(nearest).map(|(handle, _)| (*handle, at))
}

fn drag(
    ui: &Ui,
    pen: &Pen,
    (handle, response): (Handle, &Response),
    scene: &Scene,
    pressed_at: Option<Pos2>,
    hold: &mut Option<Hold>,
    actions: &mut Vec<Action>,
) {
    let pointer = ui.input(|input| input.pointer.interact_pos());
    if hold.is_none()
        && let Some(at) = pressed_at
    {
        let grab = scene.place(handle) - pen.view.mm_from_screen(at);
        *hold = Some(Hold { handle, grab, pressed_at: at, wanted: None });
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
        // The pointer, and how far beside it the press was; what it snaps to is the session's to say.
        let reach = Reach {
            place: pen.view.mm_from_screen(at) + held.grab,
            points_per_mm: pen.view.camera.points_per_mm(),
            pixels_per_point: f64::from(ui.pixels_per_point()),
            snaps: !ui.input(|input| input.modifiers.alt),
        };
        if held.wanted != Some(reach) {
            held.wanted = Some(reach);
            actions.push(Action::Edit(Edit::DragTo(reach)));
        }
    }
    if !ui.input(|input| input.pointer.primary_down()) {
        *hold = None;
        actions.push(Action::Edit(Edit::Release));
    }
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

fn paint(pen: &Pen, handle: Handle, response: &Response, session: &Session) {
    let palette = pen.palette;
    let near = session.dragged() == Some(handle) || response.hovered() || response.has_focus();
    let size = if near { SIZE * 1.5 } else { SIZE };
    let at = response.rect.center();
    let stroke = Stroke::new(if near { 2.5 } else { 2.0 }, palette.accent);
    let ground = palette.paper.gamma_multiply(if near { 0.35 } else { 0.0 });
    match handle {
        Handle::WallLower | Handle::WallUpper | Handle::PanelLower | Handle::PanelUpper => {
            pen.painter.circle(at, size / 2.0, ground, stroke);
        }
        Handle::Hung | Handle::Parked => {
            // A square on its tip: it moves the whole panel.
            let half = size * 0.6;
            let corners = [vec2(0.0, -half), vec2(half, 0.0), vec2(0.0, half), vec2(-half, 0.0)];
            let corners = corners.iter().map(|corner| at + *corner).collect();
            pen.painter.add(Shape::convex_polygon(corners, palette.paper, stroke));
        }
        Handle::ParkedTurn => {
            // A ring with a gap and an arrowhead: it turns.
            let radius = size / 2.0;
            let on_ring = |turn: f32| at + vec2(turn.cos(), turn.sin()) * radius;
            let ring = (0_u8..=20).map(|step| on_ring(0.3 * std::f32::consts::PI + f32::from(step) * 0.25)).collect();
            pen.painter.circle_filled(at, radius, palette.paper.gamma_multiply(0.6));
            pen.painter.add(Shape::line(ring, stroke));
            let tip = on_ring(0.3 * std::f32::consts::PI + 5.0);
            pen.painter.add(Shape::line(vec![tip + vec2(-5.0, -0.5), tip, tip + vec2(0.5, -5.0)], stroke));
        }
        Handle::Sets => {
            // Two arrowheads away from each other: it moves sideways.
            pen.painter.circle(at, size / 2.0, palette.paper, stroke);
            let reach = size / 2.0 - 3.0;
            for side in [-1.0, 1.0] {
                let tip = at + vec2(side * reach, 0.0);
                let wings = [tip + vec2(-side * 3.0, -3.0), tip, tip + vec2(-side * 3.0, 3.0)];
                pen.painter.add(Shape::line(wings.to_vec(), Stroke::new(1.5, palette.accent)));
            }
        }
        Handle::Drum => {
            // A ring in a ring: what is wound about a core.
            pen.painter.circle(at, size / 2.0, palette.paper.gamma_multiply(0.6), stroke);
            pen.painter.circle_filled(at, size / 5.0, palette.accent);
        }
        Handle::StrapEnd => {
            // A triangle that points along the strap.
            let half = size * 0.6;
            let corners = [vec2(0.0, -half), vec2(half * 0.87, half * 0.5), vec2(-half * 0.87, half * 0.5)];
            let corners = corners.iter().map(|corner| at + *corner).collect();
            pen.painter.add(Shape::convex_polygon(corners, palette.paper, stroke));
        }
        Handle::RoomCorner(_) => {
            let square = Rect::from_center_size(at, Vec2::splat(size * 0.85));
            pen.painter.rect(square, 0.0, palette.paper, stroke, egui::StrokeKind::Middle);
        }
    }
}

/// A line of what is told beside a handle.
struct Line {
    words: String,
    colour: Tone,
}

enum Tone {
    Accent,
    Quiet,
    Near,
    Fails,
    Holds,
}

impl Tone {
    fn of(&self, palette: &Palette) -> Color32 {
        match self {
            Self::Accent => palette.accent,
            Self::Quiet => palette.quiet,
            Self::Near => palette.near,
            Self::Fails => palette.fails,
            Self::Holds => palette.holds,
        }
    }
}

/// What is told beside a handle, if anything: what it is and where, what holds it, what to know.
fn lines(
    handle: Handle,
    response: &Response,
    session: &Session,
    scene: &Scene,
    by_keyboard: bool,
) -> Option<Vec<Line>> {
    let held = session.dragged() == Some(handle);
    let refused = session.refused_edit().filter(|refused| refused.handle == handle);
    let other_held = session.dragged().is_some_and(|dragged| dragged != handle);
    let looked_at = held || response.hovered() || (response.has_focus() && by_keyboard) || refused.is_some();
    if !looked_at || other_held {
        return None;
    }
    if let Some(refused) = refused {
        return Some(vec![Line { words: format!("Not possible. {}", refused.sentence), colour: Tone::Fails }]);
    }
    let words = format!("{}{}: {}", handle.name(), where_it_is(handle), value_in(handle, scene));
    let mut lines = vec![Line { words, colour: Tone::Accent }];
    let hints: Vec<&str> = session.hints().iter().map(|hint| hint.words.as_str()).collect();
    if held && !hints.is_empty() {
        lines.push(Line { words: format!("Snaps: {}. Alt holds them off", hints.join(", ")), colour: Tone::Quiet });
    } else if handle.is_on_wall(scene.project) {
        lines.push(Line { words: "Stays on the wall; Alt and drag takes it off".to_owned(), colour: Tone::Quiet });
    } else if let Some(words) = what_follows(handle, session.drag_mode()) {
        lines.push(Line { words: words.to_owned(), colour: Tone::Quiet });
    }
    if let Some(degrees) = session.travel_fixed().filter(|_| held) {
        let words = format!("Parks after {degrees:.1}° instead of at its stop");
        lines.push(Line { words, colour: Tone::Quiet });
    }
    if let Some(warning) = session.drag_warning().filter(|_| held) {
        lines.push(Line { words: warning.to_owned(), colour: Tone::Near });
    }
    Some(lines)
}

/// What the strap pulls, as far as it is known; asked once for a frame.
fn pull(session: &mut Session) -> Option<String> {
    let analysis = session.analysis();
    let limit = session.project().drive.as_ref()?.strap_limit;
    let start = analysis.forces.as_ref().ok()?.start.as_ref();
    let Some((start, (worst, s))) = start.and_then(|start| Some((start, start.worst?))) else {
        return Some("The strap does not pull from here".to_owned());
    };
    let at_hung = start.at_hung.tension.filter(|_| start.at_hung.strap_rate > 0.0);
    let hung = at_hung.map_or_else(|| "none at hung".to_owned(), |pull| format!("{} N at hung", number(pull, 0)));
    let most = format!("{} N at {} % of the travel", number(worst, 0), number(100.0 * s, 0));
    let allowed = limit.map_or_else(String::new, |limit| format!("; {} N allowed", number(limit, 0)));
    Some(format!("Pull: {hung}, at most {most}{allowed}"))
}

/// What moves with a handle, where that is not just what it says.
fn what_follows(handle: Handle, mode: DragMode) -> Option<&'static str> {
    match (handle, mode) {
        (Handle::Parked | Handle::ParkedTurn, DragMode::KeepLengths) => Some("Slides along its path"),
        (Handle::Parked | Handle::ParkedTurn, _) | (Handle::Hung, DragMode::KeepEndPoses) => {
            Some("Both wall pivots follow along the wall bar")
        }
        (Handle::Sets, _) => Some("The left set mirrors the right one"),
        (Handle::RoomCorner(_) | Handle::Drum | Handle::StrapEnd, _) | (_, DragMode::Free) => None,
        (Handle::Hung, DragMode::KeepLengths) => Some("The whole lift shifts"),
        (Handle::PanelLower | Handle::PanelUpper, DragMode::KeepEndPoses) => {
            Some("Its wall pivot follows along the wall bar")
        }
        (Handle::WallLower | Handle::WallUpper, DragMode::KeepEndPoses) => {
            Some("Its panel pivot follows along the panel bar")
        }
        (Handle::PanelLower | Handle::PanelUpper, DragMode::KeepLengths) => {
            Some("The panel bar shifts, the wall pivots follow")
        }
        (Handle::WallLower | Handle::WallUpper, DragMode::KeepLengths) => Some("All four pivots shift"),
    }
}

/// Why a pivot of the panel is not at the panel shown.
fn where_it_is(handle: Handle) -> &'static str {
    match handle {
        Handle::PanelLower | Handle::PanelUpper | Handle::StrapEnd => ", where the panel hangs",
        Handle::Parked => ", bottom edge",
        _ => "",
    }
}

/// Lines of text beside a handle, kept within the drawing.
fn tell(pen: &Pen, at: Pos2, lines: &[Line]) {
    let palette = pen.palette;
    let wrap = (0.5 * pen.view.screen.width()).clamp(160.0, 340.0);
    let mut job = LayoutJob { wrap: egui::text::TextWrapping::wrap_at_width(wrap), ..LayoutJob::default() };
    for (index, line) in lines.iter().enumerate() {
        let colour = line.colour.of(&palette);
        let text = if index > 0 { format!("\n{}", line.words) } else { line.words.clone() };
        job.append(&text, 0.0, TextFormat::simple(small(), colour));
    }
    let screen = pen.view.screen.shrink(8.0);
    let galley = pen.painter.layout_job(job);
    let size = galley.size();
    let x = if at.x + 18.0 + size.x > screen.right() { at.x - 18.0 - size.x } else { at.x + 18.0 };
    // Above the handle, or below it where there is no room, or beside it.
    let (above, below) = (at.y - 18.0 - size.y, at.y + 18.0);
    let y = if above >= screen.top() || below + size.y > screen.bottom() { above } else { below };
    let y = y.clamp(screen.top(), (screen.bottom() - size.y).max(screen.top()));
    let place = Rect::from_min_size(Pos2::new(x.max(screen.left()), y), size);
    let edge = Stroke::new(1.0, lines.first().map_or(palette.accent, |line| line.colour.of(&palette)));
    pen.painter.rect(place.expand(4.0), 3.0, palette.paper, edge, egui::StrokeKind::Outside);
    pen.painter.galley(place.min, galley, palette.ink);
}
