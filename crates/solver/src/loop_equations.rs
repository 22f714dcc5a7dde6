//! The loop as general equations: residual, Jacobian and rates by linear algebra.
//!
//! The closed form is faster; this form carries over to derivatives by any length or pivot, and
//! the tests hold the two against each other.

use nalgebra::{Matrix2, Matrix2x4, Vector2};

use crate::lift::Lengths;

/// Directions of lower arm, panel bar and upper arm to the ground line, radians.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoopAngles {
    /// Of the lower arm.
    pub lower_arm: f64,
    /// Of the panel bar, from its lower pivot to its upper one.
    pub panel_bar: f64,
    /// Of the upper arm.
    pub upper_arm: f64,
}

fn along(angle: f64) -> Vector2<f64> {
    Vector2::new(angle.cos(), angle.sin())
}

fn across(angle: f64) -> Vector2<f64> {
    Vector2::new(-angle.sin(), angle.cos())
}

/// How far the loop is from closing, mm, ground frame: lower arm + panel bar − upper arm − wall
/// bar.
#[must_use]
pub fn residual(lengths: &Lengths, at: &LoopAngles) -> Vector2<f64> {
    lengths.lower_arm * along(at.lower_arm) + lengths.panel_bar * along(at.panel_bar)
        - lengths.upper_arm * along(at.upper_arm)
        - Vector2::new(lengths.wall_bar, 0.0)
}

/// Derivative of the residual by the directions of panel bar and upper arm, mm per radian.
#[must_use]
pub fn jacobian(lengths: &Lengths, at: &LoopAngles) -> Matrix2<f64> {
    Matrix2::from_columns(&[lengths.panel_bar * across(at.panel_bar), -lengths.upper_arm * across(at.upper_arm)])
}

/// Rates of panel bar and upper arm per radian of the lower arm; `None` at a dead point of the
/// lower arm, where the Jacobian has no inverse.
#[must_use]
pub fn rates(lengths: &Lengths, at: &LoopAngles) -> Option<Vector2<f64>> {
    jacobian(lengths, at).lu().solve(&(-lengths.lower_arm * across(at.lower_arm)))
}

/// Derivatives of the directions of panel bar (first row) and upper arm (second row) by the four
/// lengths in the order lower arm, panel bar, upper arm, wall bar, radians per mm, the lower arm
/// held; `None` at its dead point.
#[must_use]
pub fn length_sensitivities(lengths: &Lengths, at: &LoopAngles) -> Option<Matrix2x4<f64>> {
    let by_length =
        Matrix2x4::from_columns(&[along(at.lower_arm), along(at.panel_bar), -along(at.upper_arm), -Vector2::x()]);
    jacobian(lengths, at).lu().solve(&-by_length)
}
