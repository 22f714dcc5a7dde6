//! Numbers as shops' programs read them: fixed point, no exponent, no negative zero.

/// Of a number: what computing it may be off by. A figure that lies half way between two is rounded up, whichever way
/// it was computed.
const HALF_WAY: f64 = 1e-11;

/// A number with exactly this many decimals; what rounds to zero has no sign.
#[must_use]
pub fn fixed(value: f64, decimals: usize) -> String {
    // More decimals than four are exact figures, which nobody rounds by hand.
    let told = if decimals <= 4 { value * (1.0 + HALF_WAY) } else { value };
    let text = format!("{told:.decimals$}");
    if text.starts_with('-') && !text.bytes().any(|b| (b'1'..=b'9').contains(&b)) { text[1..].to_owned() } else { text }
}

/// Likewise, without trailing zeros.
#[must_use]
pub fn fixed_short(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_negative_zero_no_exponent() {
        assert_eq!(fixed(-0.000_04, 4), "0.0000");
        assert_eq!(fixed(-0.0, 0), "0");
        assert_eq!(fixed(-1e-5, 4), "0.0000");
        assert_eq!(fixed(-0.5, 1), "-0.5");
        assert_eq!(fixed(1e17, 1), format!("{:.1}", 1e17 + 1e6));
        // 39.6875 mm in inches, computed in two ways.
        assert_eq!([fixed(1.5625 - 2e-13, 3), fixed(1.5625, 3)], ["1.563", "1.563"]);
        assert_eq!(fixed(2.38125, 4), "2.3813");
        assert_eq!(fixed_short(12.5, 4), "12.5");
        assert_eq!(fixed_short(1200.0, 3), "1200");
        assert_eq!(fixed_short(1200.0, 0), "1200");
    }
}
