//! Every tolerance of the solver, with the reason for its value.

/// A sign-test sum of the class this small, relative to the sum of the four lengths, counts as
/// zero: below it the two circuits cannot be told apart by parts that are made and measured.
pub const CHANGE_POINT: f64 = 1e-9;

/// The largest closure residual, relative to the longest centre distance, of a reported pose.
/// Double precision gives about 1e-15; this leaves room for unit conversion and rotation.
pub const CLOSURE: f64 = 1e-9;

/// Two pivots of one bar closer than this, mm, are refused: no direction can be told from them.
pub const PIVOTS_APART_MM: f64 = 1e-6;

/// How far an outline vertex may be off x = 0 and still belong to the wall run, mm: less than a
/// tape resolves, more than unit conversion makes.
pub const WALL_RUN_MM: f64 = 0.01;

/// A least distance is certified this closely, mm: a fifth of the 0.01 mm that is promised.
pub const CLEARANCE_MM: f64 = 0.002;

/// The same relative to the longest centre distance, for lifts so small that the other would hide
/// what they are about: 0.002 mm at half a metre.
pub const CLEARANCE_SHARE: f64 = 4e-6;

/// How closely a least distance of a lift is certified, mm, from its longest centre distance.
#[must_use]
pub fn clearance(longest: f64) -> f64 {
    CLEARANCE_MM.min(CLEARANCE_SHARE * longest)
}

/// A contact's place on the motion curve, radians: a thousandth of the 1e-6 that is promised.
pub const CONTACT: f64 = 1e-9;

/// A distance this small, relative to the longest centre distance, at the end of a contact search
/// counts as a touch: far above rounding, and a contact's place does not depend on the size.
pub const TOUCH: f64 = 1e-10;

/// A rocking range narrower than this, radians, is a lift that cannot move.
pub const LOCKED: f64 = 1e-9;

/// Steps towards a chord of an arc in a drawn outline deviate at most this much, mm: below the
/// width of a printed line.
pub const DRAWN_ARC_MM: f64 = 0.01;

/// What a polynomial of the strap's rate has left over on one slice, relative to the longest centre
/// distance: with a few dozen slices the strap taken in is right to 1e-9 mm for half a metre.
pub const STRAP_SHARE: f64 = 1e-12;

/// A strap whose rate is smaller than this share of its anchor's stands still: rounding decides on
/// the sign.
pub const STRAP_STANDS: f64 = 1e-9;
