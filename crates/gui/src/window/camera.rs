//! The camera: how millimetres of the side view become points of the screen.

use egui::{Pos2, Rect};
use nalgebra::Vector2;
use overarm_solver::Point;

use crate::session::ViewAction;

/// Closest view against what was fitted: a board of a metre is then seen to the hundredth of a millimetre.
const CLOSEST: f64 = 300.0;
/// Farthest view: what was fitted is a dot in its room.
const FARTHEST: f64 = 0.02;

/// What stands in the middle of the drawing, and how large.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Camera {
    centre: Point,
    points_per_mm: f64,
    /// Of the fit, which bounds the zoom: whatever size a model has, it can be looked at and not lost.
    fitted_points_per_mm: f64,
    /// Fitted again when the drawing's place on the screen changes, until it is moved by hand.
    fitted: bool,
}

impl Camera {
    /// Fits a box into a place on the screen, a margin around it.
    #[must_use]
    pub fn fit(least: Point, greatest: Point, screen: Rect) -> Self {
        let size = greatest - least;
        // A box without any size is a place: as if it were a micrometre.
        let size = size.map(|side| side.max(1e-3));
        let scale = (inside(screen.width()) / size.x).min(inside(screen.height()) / size.y);
        Self {
            centre: nalgebra::center(&least, &greatest),
            points_per_mm: scale,
            fitted_points_per_mm: scale,
            fitted: true,
        }
    }

    /// Whether nobody has moved it since it was fitted.
    #[must_use]
    pub fn is_fitted(&self) -> bool {
        self.fitted
    }

    /// Points of the screen for one millimetre.
    #[must_use]
    pub fn points_per_mm(&self) -> f64 {
        self.points_per_mm
    }

    /// Carries out what a view was asked for; what is not about the camera leaves it alone.
    pub fn look(&mut self, action: ViewAction, screen: Rect) {
        match action {
            ViewAction::Pan(by) => self.pan(by),
            ViewAction::Zoom { about, factor } => self.zoom(about, factor),
            ViewAction::Reveal(place) => self.reveal(place, screen),
            ViewAction::Travel(_)
            | ViewAction::Pick(_)
            | ViewAction::PickBar(_)
            | ViewAction::Show(..)
            | ViewAction::Plot(_)
            | ViewAction::Places(_)
            | ViewAction::Draw(_)
            | ViewAction::Dismiss
            | ViewAction::Note(_)
            | ViewAction::ShowTo(_) => {}
        }
    }

    /// Moves the drawing under the eye by millimetres.
    pub fn pan(&mut self, by: Vector2<f64>) {
        self.centre -= by;
        self.fitted = false;
    }

    /// Keeps everything where it is on the screen when the drawing's place changes; a fit stays a fit.
    pub fn stay(&mut self, from: Rect, to: Rect) {
        self.centre += View { camera: *self, screen: from }.mm_from_screen_vector(to.center() - from.center());
    }

    /// Zooms so that a place stays where it is on the screen.
    pub fn zoom(&mut self, about: Point, factor: f64) {
        let scale = (self.points_per_mm * factor)
            .clamp(FARTHEST * self.fitted_points_per_mm, CLOSEST * self.fitted_points_per_mm);
        self.centre = about + (self.centre - about) * (self.points_per_mm / scale);
        self.points_per_mm = scale;
        self.fitted = false;
    }

    /// Moves as little as needed to bring a place into view.
    pub fn reveal(&mut self, place: Point, screen: Rect) {
        const EDGE: f32 = 48.0;
        let inner = screen.shrink(EDGE.min(screen.width().min(screen.height()) / 3.0));
        let at = View { camera: *self, screen }.screen_from_mm(place);
        let wanted = inner.clamp(at);
        if wanted != at {
            let by = View { camera: *self, screen }.mm_from_screen_vector(wanted - at);
            self.pan(by);
        }
    }
}

/// What a fit leaves of a drawing's width or height within its margins, points.
#[must_use]
pub fn inside(points: f32) -> f64 {
    const MARGIN: f64 = 36.0;
    // Of a small drawing no more than a twelfth on either side.
    const SHARE: f64 = 1.0 / 12.0;
    let points = f64::from(points);
    (points - 2.0 * MARGIN.min(SHARE * points)).max(40.0)
}

/// A camera with the place on the screen that it fills.
#[derive(Clone, Copy, Debug)]
pub struct View {
    /// The camera.
    pub camera: Camera,
    /// The drawing's place.
    pub screen: Rect,
}

#[allow(clippy::cast_possible_truncation)] // the screen is f32; drawing is clipped to it
impl View {
    /// Side view to screen, exact.
    #[must_use]
    pub fn screen_from_mm_exact(&self, place: Point) -> [f64; 2] {
        let middle = self.screen.center();
        let from_centre = (place - self.camera.centre) * self.camera.points_per_mm;
        [f64::from(middle.x) + from_centre.x, f64::from(middle.y) - from_centre.y]
    }

    /// Side view to screen.
    #[must_use]
    pub fn screen_from_mm(&self, place: Point) -> Pos2 {
        let [x, y] = self.screen_from_mm_exact(place);
        Pos2::new(x as f32, y as f32)
    }

    /// Screen to side view.
    #[must_use]
    pub fn mm_from_screen(&self, at: Pos2) -> Point {
        self.camera.centre + self.mm_from_screen_vector(at - self.screen.center())
    }

    /// A displacement on the screen, in millimetres.
    #[must_use]
    pub fn mm_from_screen_vector(&self, by: egui::Vec2) -> Vector2<f64> {
        Vector2::new(f64::from(by.x), -f64::from(by.y)) / self.camera.points_per_mm
    }

    /// A length on the screen.
    #[must_use]
    pub fn points(&self, mm: f64) -> f32 {
        (mm * self.camera.points_per_mm) as f32
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn view() -> View {
        let screen = Rect::from_min_max(Pos2::new(0.0, 40.0), Pos2::new(980.0, 660.0));
        View { camera: Camera::fit(Point::new(-50.0, 1100.0), Point::new(1200.0, 2900.0), screen), screen }
    }

    #[test]
    fn there_and_back() {
        let at = Pos2::new(123.0, 456.0);
        let back = view().screen_from_mm(view().mm_from_screen(at));
        assert!((back - at).length() < 1e-3);
    }

    #[test]
    fn a_zoom_keeps_its_place_and_a_pan_moves_by_what_it_says() {
        let mut view = view();
        let at = Pos2::new(700.0, 100.0);
        let about = view.mm_from_screen(at);
        view.camera.zoom(about, 3.0);
        assert!((view.screen_from_mm(about) - at).length() < 1e-2);
        let by = view.mm_from_screen_vector(egui::vec2(20.0, 10.0));
        view.camera.pan(by);
        assert!((view.screen_from_mm(about) - at - egui::vec2(20.0, 10.0)).length() < 1e-2);
    }

    #[test]
    fn a_drawing_that_grows_leaves_its_places_on_the_screen() {
        let before = view();
        let screen = Rect::from_min_max(Pos2::new(0.0, 40.0), Pos2::new(1020.0, 600.0));
        let mut camera = before.camera;
        camera.stay(before.screen, screen);
        let place = Point::new(300.0, 2000.0);
        let moved = View { camera, screen }.screen_from_mm(place) - before.screen_from_mm(place);
        assert!(moved.length() < 1e-3 && camera.is_fitted(), "{moved}");
    }

    #[test]
    fn what_is_revealed_is_in_view() {
        let mut view = view();
        let far = Point::new(9000.0, -4000.0);
        view.camera.reveal(far, view.screen);
        assert!(view.screen.contains(view.screen_from_mm(far)));
    }
}
