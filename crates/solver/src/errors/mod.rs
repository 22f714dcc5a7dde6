//! Errors of made parts: what is off in one set of links, and what that does to the panel.
//!
//! [`Dimension`] names what can be off, [`SetGeometry`] is one set with its errors, [`sensitivity`]
//! how far the panel moves for each, [`corner_area`] where its corners may be, [`closing`] where it comes to rest on the wall and on its stop.
//! [`one_set`] and [`pair`] draw errors within the tolerances, [`allocation`] says which to tighten
//! and what else would do, [`as_built`] what the measured parts do, [`wobble`] what play does.
//!
//! [`PartErrors`] is all of it. [`crate::analyse`] leaves it out, for it takes as long as a hundred frames
//! of a drag; who wants it asks for it apart and puts it in:
//! ```
//! # use overarm_solver::{Options, Project, Rule, analyse};
//! # use overarm_solver::errors::Draws;
//! # let text = include_str!("../../../../demo/chapel-hatch.overarm.json");
//! # let project: Project = serde_json::from_str(text).unwrap();
//! let analysis = analyse(&project, &Options { poses: 2, swept: false });
//! let analysis = analysis.with_errors_drawn(&project, &Draws::default()); // on a thread of its own
//! let pair = analysis.rules.iter().find(|found| found.rule == Rule::PairRunsFree).unwrap();
//! assert!(pair.holds.is_some());
//! ```

pub mod allocation;
pub mod as_built;
pub mod closing;
pub mod corner_area;
pub mod draws;
mod geometry;
mod motion;
pub mod one_set;
pub mod pair;
pub mod sensitivity;
pub mod stack;
mod study;
pub mod wobble;

pub use allocation::Allocation;
pub use as_built::{BuiltFigures, UnmeasuredGap};
pub use closing::{Closed, Closing, Parked, Parking};
pub use corner_area::CornerAreas;
pub use draws::{Draws, Spread};
pub use geometry::{Dimension, Errors, PanelPlace, SetGeometry};
pub use one_set::{Histogram, OneSet, SetFigure};
pub use pair::{Limit, NoPair, NoRoom, PairAt, PairFigures, PairModel, PairPose, PairTolerances};
pub use sensitivity::{
    Held, closing_margin, corners_by_dimension, hung_gap_by_dimension, hung_gap_by_rest, hung_gap_size,
    panel_by_dimension,
};
pub use stack::{OfLifts, Saving, Share, Stack};
pub use study::{Band, GoesOn, PartErrors};
pub use wobble::Wobble;
