//! Numbers and people: the one place that turns values into what is read, and the one parser of
//! what is typed.
//!
//! [`show()`] and [`read()`] are each other's inverse: what is shown reads back as the same value,
//! within the rounding that is told with it.

mod exact;
mod quantity;
mod read;
mod show;

pub use quantity::Quantity;
pub use read::{Unreadable, read};
pub use show::number;
pub use show::{Fraction, Shown, show, show_compared, show_fine, show_length, show_signed_margin, shows_as_nothing};

/// Millimetres in one inch, exact by definition (international yard and pound agreement, 1959).
pub const MM_PER_INCH: f64 = 25.4;
