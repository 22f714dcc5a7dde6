//! How far the panel is moved by an error in each dimension: implicit derivatives of the loop.
//!
//! The lift can still move along its path, so one thing more is held. Held by its corners, the panel
//! shifts as little as closes the loop again: that is as good at a dead point of either arm as
//! anywhere else. Held by a rest's tip it stays on the wall; held by the lower arm's direction it is
//! the derivative of the textbooks, which has no value at that arm's dead point.

use nalgebra::{Matrix3, RowSVector, RowVector3, SMatrix, SVector, Vector2};

use super::geometry::{PanelPlace, SetGeometry};
use crate::lift::Rectangle;
use crate::project::Point;

/// What is held while a dimension changes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Held<'a> {
    /// The corners of this rectangle of the panel frame, against the path: their shift has no share
    /// along it, so the sum of its squares is the least that closes the loop.
    Corners(&'a Rectangle),
    /// A point of the panel frame keeps its distance from the wall.
    Tip(Point),
    /// The direction of the lower arm.
    LowerArm,
}

/// Shift of the panel (x, y in mm, turn in radians, counter-clockwise) per mm of each dimension, in
/// the order of [`super::Dimension::ALL`]. `None` where what is held does not hold it: all pivots in
/// line, or a dead point of the lower arm where that is held.
#[must_use]
pub fn panel_by_dimension(set: &SetGeometry, place: &PanelPlace, held: Held<'_>) -> Option<SMatrix<f64, 3, 8>> {
    let (row, row_by_dimension) = held_row(set, place, held);
    let mut by_dimension = SMatrix::<f64, 3, 8>::zeros();
    by_dimension.fixed_rows_mut::<2>(0).copy_from(&set.by_dimension(place));
    by_dimension.row_mut(2).copy_from(&row_by_dimension);
    let by_place = set.by_place(place);
    let size = set.arms[0].max(set.arms[1]);
    // The turn is counted as what it moves at an arm's length, so that the rows compare.
    let scale = Matrix3::from_diagonal(&nalgebra::Vector3::new(1.0, 1.0, 1.0 / size));
    let rows = Matrix3::from_rows(&[by_place.row(0).into_owned(), by_place.row(1).into_owned(), row]);
    let solved = (rows * scale).full_piv_lu().solve(&-by_dimension)?;
    Some(scale * solved)
}

/// What is held, as a row on the panel's displacement, and on the dimensions.
pub(crate) fn held_row(set: &SetGeometry, place: &PanelPlace, held: Held<'_>) -> (RowVector3<f64>, RowSVector<f64, 8>) {
    let mut by_dimension = RowSVector::<f64, 8>::zeros();
    let row = match held {
        Held::Corners(panel) => {
            let along = path(set, place);
            let row = (corner_metric(place, panel) * along).transpose();
            row / row.amax().max(f64::MIN_POSITIVE)
        }
        Held::Tip(tip) => RowVector3::new(1.0, 0.0, -(place.at(tip) - place.origin).y),
        Held::LowerArm => {
            let along = (place.at(set.panel[0]) - set.wall[0]).normalize();
            let across = Vector2::new(-along.y, along.x);
            let about = place.at(set.panel[0]) - place.origin;
            by_dimension[4] = -across.x;
            by_dimension[6] = across.dot(&Vector2::new(place.turn.cos(), place.turn.sin()));
            RowVector3::new(across.x, across.y, about.perp(&across))
        }
    };
    (row, by_dimension)
}

/// The direction in which the lift moves, of no particular length.
pub(super) fn path(set: &SetGeometry, place: &PanelPlace) -> nalgebra::Vector3<f64> {
    let rows = set.by_place(place);
    rows.row(0).transpose().cross(&rows.row(1).transpose())
}

/// Sum over the corners of their squared shift, as a quadratic form of the panel's displacement.
fn corner_metric(place: &PanelPlace, panel: &Rectangle) -> Matrix3<f64> {
    panel.corners().iter().fold(Matrix3::zeros(), |sum, corner| {
        let about = place.at(*corner) - place.origin;
        let shift = SMatrix::<f64, 2, 3>::new(1.0, 0.0, -about.y, 0.0, 1.0, about.x);
        sum + shift.transpose() * shift
    })
}

/// Largest shift of a corner of the panel per mm of each dimension, mm, the panel held by its
/// corners; `None` as for [`panel_by_dimension`].
#[must_use]
pub fn corners_by_dimension(set: &SetGeometry, place: &PanelPlace, panel: &Rectangle) -> Option<[f64; 8]> {
    let by = panel_by_dimension(set, place, Held::Corners(panel))?;
    Some(std::array::from_fn(|dimension| {
        let shift = by.column(dimension);
        let of = |corner: &Point| {
            let about = place.at(*corner) - place.origin;
            Vector2::new(shift.x - about.y * shift.z, shift.y + about.x * shift.z).norm()
        };
        panel.corners().iter().map(of).fold(0.0, f64::max)
    }))
}

/// The hung gap per mm of each dimension: upper tip less lower tip, the first of them on the wall.
/// Tips are `(−standoff, height)` in the panel frame. Which of them meets the wall first depends on
/// the error's sign, and the slope with it, by a little where the lever is long; this is the mean of
/// both. `None` where the set cannot be closed by a small motion: a dead point lies at hung.
#[must_use]
pub fn hung_gap_by_dimension(set: &SetGeometry, hung: &PanelPlace, tips: [Point; 2]) -> Option<SVector<f64, 8>> {
    let [one, other] = hung_gap_by_rest(set, hung, tips)?;
    Some(0.5 * (one + other))
}

/// The same with the lower and with the upper rest on the wall.
#[must_use]
pub fn hung_gap_by_rest(set: &SetGeometry, hung: &PanelPlace, tips: [Point; 2]) -> Option<[SVector<f64, 8>; 2]> {
    let about = tips.map(|tip| (hung.at(tip) - hung.origin).y);
    let gap = RowVector3::new(0.0, 0.0, about[0] - about[1]);
    let with_first = |tip: Point| Some((gap * panel_by_dimension(set, hung, Held::Tip(tip))?).transpose());
    Some([with_first(tips[0])?, with_first(tips[1])?])
}

/// Size of the hung gap per mm of each dimension: root of the mean square of the slopes with either
/// rest on the wall, which for some lifts differ in sign. `None` as for [`hung_gap_by_dimension`].
#[must_use]
pub fn hung_gap_size(set: &SetGeometry, hung: &PanelPlace, tips: [Point; 2]) -> Option<[f64; 8]> {
    let [one, other] = hung_gap_by_rest(set, hung, tips)?;
    Some(std::array::from_fn(|of| (0.5 * (one[of] * one[of] + other[of] * other[of])).sqrt()))
}

/// How much too short the loop could be before it cannot close at hung, mm: panel bar and upper arm
/// together less the distance that they bridge. It grows with the square of the lever.
#[must_use]
pub fn closing_margin(set: &SetGeometry, hung: &PanelPlace) -> f64 {
    let panel_bar = (set.panel[1] - set.panel[0]).norm();
    panel_bar + set.arms[1] - (set.wall[1] - hung.at(set.panel[0])).norm()
}
