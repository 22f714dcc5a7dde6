//! Fractions of whole numbers, so that what people type is computed as they would on paper.

/// A number as a fraction in lowest terms; the denominator is above zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Exact {
    numerator: i128,
    denominator: i128,
}

impl Exact {
    /// A whole number.
    pub(super) const fn whole(number: i128) -> Self {
        Self { numerator: number, denominator: 1 }
    }

    /// A fraction; none where the denominator is zero.
    pub(super) fn ratio(numerator: i128, denominator: i128) -> Option<Self> {
        if denominator == 0 {
            return None;
        }
        let shared = greatest_divisor(numerator.checked_abs()?, denominator.checked_abs()?).max(1);
        let sign = denominator.signum();
        Some(Self { numerator: numerator / shared * sign, denominator: denominator / shared * sign })
    }

    /// Digits before and after the decimal sign, and a power of ten; none where they are too many.
    pub(super) fn decimal(whole: &str, after: &str, exponent: i32) -> Option<Self> {
        let digits: i128 = format!("0{whole}{after}").parse().ok()?;
        let shift = exponent.checked_sub(i32::try_from(after.len()).ok()?)?;
        let power = 10_i128.checked_pow(shift.unsigned_abs())?;
        if shift < 0 { Self::ratio(digits, power) } else { Some(Self::whole(digits.checked_mul(power)?)) }
    }

    pub(super) fn is_zero(self) -> bool {
        self.numerator == 0
    }

    pub(super) fn is_whole(self) -> bool {
        self.denominator == 1
    }

    /// Whether it is below another; false where the comparison is too large to make.
    pub(super) fn is_below(self, other: Self) -> bool {
        let left = self.numerator.checked_mul(other.denominator);
        let right = other.numerator.checked_mul(self.denominator);
        matches!((left, right), (Some(left), Some(right)) if left < right)
    }

    pub(super) fn negated(self) -> Self {
        Self { numerator: -self.numerator, ..self }
    }

    pub(super) fn plus(self, other: Self) -> Option<Self> {
        let left = self.numerator.checked_mul(other.denominator)?;
        let right = other.numerator.checked_mul(self.denominator)?;
        Self::ratio(left.checked_add(right)?, self.denominator.checked_mul(other.denominator)?)
    }

    pub(super) fn times(self, other: Self) -> Option<Self> {
        // Across first: what cancels need not fit.
        let one = Self::ratio(self.numerator, other.denominator)?;
        let two = Self::ratio(other.numerator, self.denominator)?;
        let numerator = one.numerator.checked_mul(two.numerator)?;
        Some(Self { numerator, denominator: one.denominator.checked_mul(two.denominator)? })
    }

    /// None where the other is zero or the result does not fit.
    pub(super) fn over(self, other: Self) -> Option<Self> {
        self.times(Self::ratio(other.denominator, other.numerator)?)
    }

    /// The nearest number of the machine: exactly that up to 15 digits and a power of ten up to
    /// 22, since then both parts are exact and a division rounds once; else within two of its steps.
    #[allow(clippy::cast_precision_loss)] // told above
    pub(super) fn value(self) -> f64 {
        self.numerator as f64 / self.denominator as f64
    }
}

fn greatest_divisor(mut one: i128, mut other: i128) -> i128 {
    while other != 0 {
        (one, other) = (other, one % other);
    }
    one
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ratio(numerator: i128, denominator: i128) -> Exact {
        Exact::ratio(numerator, denominator).expect("a fraction")
    }

    #[test]
    fn fractions_as_on_paper() {
        assert_eq!(ratio(1, 3).plus(ratio(1, 6)), Some(ratio(1, 2)));
        assert_eq!(ratio(2, -4), ratio(-1, 2));
        assert_eq!(ratio(3, 4).over(ratio(3, 8)), Some(Exact::whole(2)));
        assert_eq!(ratio(3, 4).over(Exact::whole(0)), None);
        assert_eq!(Exact::decimal("2", "54", 1), Some(ratio(127, 5)));
        assert_eq!(Exact::decimal("", "5", 0), Some(ratio(1, 2)));
        assert!(ratio(-1, 2).is_below(ratio(1, 3)) && !ratio(1, 2).is_below(ratio(1, 2)));
    }

    #[test]
    fn what_does_not_fit_is_none() {
        assert_eq!(Exact::decimal("1", "", 300), None);
        assert_eq!(Exact::decimal(&"9".repeat(60), "", 0), None);
        let large = Exact::whole(i128::MAX);
        assert_eq!(large.plus(large), None);
        assert_eq!(large.times(Exact::whole(2)), None);
    }

    #[test]
    #[allow(clippy::float_cmp)] // the nearest number is one number
    fn the_nearest_number() {
        assert_eq!(Exact::decimal("2089", "36", 0).map(Exact::value), Some(2089.36));
        assert_eq!(ratio(1, 10).times(ratio(127, 5)).map(Exact::value), Some(2.54));
        assert_eq!(ratio(1, 64).times(ratio(127, 5)).map(Exact::value), Some(0.396_875));
    }
}
