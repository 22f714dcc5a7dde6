//! Errors of made parts: what is off in one set of links, and what that does to the panel.
//!
//! [`Dimension`] names what can be off, [`SetGeometry`] is one set with its errors, [`sensitivity`]
//! how far the panel moves for each, [`closing`] where it comes to rest on the wall and on its stop.

pub mod closing;
pub mod draws;
mod geometry;
mod motion;
pub mod sensitivity;
pub mod stack;

pub use closing::{Closed, Closing, Parked, Parking};
pub use draws::{Draws, Spread};
pub use geometry::{Dimension, Errors, PanelPlace, SetGeometry};
pub use sensitivity::{
    Held, closing_margin, corners_by_dimension, hung_gap_by_dimension, hung_gap_by_rest, panel_by_dimension,
};
pub use stack::{Share, Stack};
