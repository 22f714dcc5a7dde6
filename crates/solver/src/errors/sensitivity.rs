//! How far the panel is moved by an error in each dimension: implicit derivatives of the loop.
//!
//! The lift can still move along its path, so "how far" is taken square to that path: the least
//! shift of the panel's corners that makes the loop close again. That is as good at a dead point of
//! either arm as anywhere else.

use nalgebra::{Matrix3, SMatrix, SVector};

use super::geometry::{PanelPlace, SetGeometry};
use crate::lift::Rectangle;
use crate::project::Point;

/// Shift of the panel (x, y in mm, turn in radians) per mm of each dimension, in the order of
/// [`super::Dimension::ALL`]; `None` where the pivots are all in line.
#[must_use]
pub fn panel_by_dimension(set: &SetGeometry, place: &PanelPlace, panel: &Rectangle) -> Option<SMatrix<f64, 3, 8>> {
    let by_place = set.by_place(place);
    let weigh = corner_metric(place, panel).try_inverse()?;
    let across = weigh * by_place.transpose();
    let solved = (by_place * across).lu().solve(&set.by_dimension(place))?;
    Some(-across * solved)
}

/// Sum over the corners of their squared shift, as a quadratic form of the panel's displacement.
fn corner_metric(place: &PanelPlace, panel: &Rectangle) -> Matrix3<f64> {
    panel.corners().iter().fold(Matrix3::zeros(), |sum, corner| {
        let about = place.at(*corner) - place.origin;
        let shift = SMatrix::<f64, 2, 3>::new(1.0, 0.0, -about.y, 0.0, 1.0, about.x);
        sum + shift.transpose() * shift
    })
}

/// The hung gap per mm of each dimension: upper tip less lower tip, the first of them on the wall.
/// Tips are `(−standoff, height)` in the panel frame. Which of them meets the wall first depends on
/// the error's sign, and the slope with it, by a little; this is the mean of both. `None` where the
/// set cannot be closed by a small motion: a dead point lies at hung.
#[must_use]
pub fn hung_gap_by_dimension(set: &SetGeometry, hung: &PanelPlace, tips: [Point; 2]) -> Option<SVector<f64, 8>> {
    let by_place = set.by_place(hung);
    let row = |tip: Point| {
        let about = hung.at(tip) - hung.origin;
        nalgebra::RowVector3::new(1.0, 0.0, -about.y)
    };
    let mut by_dimension = SMatrix::<f64, 3, 8>::zeros();
    by_dimension.fixed_rows_mut::<2>(0).copy_from(&set.by_dimension(hung));
    let gap = row(tips[1]) - row(tips[0]);
    let with_first = |tip: Point| {
        let held = Matrix3::from_rows(&[by_place.row(0).into_owned(), by_place.row(1).into_owned(), row(tip)]);
        Some((gap * held.lu().solve(&-by_dimension)?).transpose())
    };
    Some(0.5 * (with_first(tips[0])? + with_first(tips[1])?))
}

/// How much too short the loop could be before it cannot close at hung, mm: panel bar and upper arm
/// together less the distance that they bridge. It grows with the square of the lever.
#[must_use]
pub fn closing_margin(set: &SetGeometry, hung: &PanelPlace) -> f64 {
    let panel_bar = (set.panel[1] - set.panel[0]).norm();
    panel_bar + set.arms[1] - (set.wall[1] - hung.at(set.panel[0])).norm()
}
