//! Errors of made parts: what is off in one set of links, and what that does to the panel.
//!
//! [`Dimension`] names what can be off, [`SetGeometry`] is one set with its errors, [`sensitivity`]
//! how far the panel moves for each, [`closing`] where it comes to rest on the wall.

pub mod closing;
mod geometry;
pub mod sensitivity;

pub use closing::{Closed, close_on_wall};
pub use geometry::{Dimension, Errors, PanelPlace, SetGeometry};
pub use sensitivity::{closing_margin, hung_gap_by_dimension, panel_by_dimension};
