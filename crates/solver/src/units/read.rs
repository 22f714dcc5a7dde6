//! What people type, read whole or refused whole.
//!
//! The rules, each tested below:
//! - A bare number takes the unit of display; for feet and inches that is the inch.
//! - Point and comma are both the decimal sign. One comma with three digits behind it (`1,234`)
//!   could be either thousands or decimals and is refused, except after a lone zero.
//! - A whole number, a slash and a whole number without spaces is a fraction: `3/4"`, `19/2`.
//! - A whole number, a space or a hyphen without spaces, and a fraction below one is a mixed
//!   number: `1 1/4`, `1-1/4`. With the hyphen only in the parts of a tape: halves to 128ths. To
//!   subtract, leave spaces: `1 - 1/4`.
//! - Feet may be followed by inches, with or without a mark, a space or a hyphen: `7'9`, `10'-6"`.
//! - A sign at the start carries through all parts: `-1' 2"` is −14 in.
//! - A slope may be a rise and a run, `1:12`, `1 in 12`, `1/12`, `25 %`; a bare number is degrees.
//! - `+ − * /` and parentheses compute exactly; a length times a length is refused.

use super::exact::Exact;
use super::quantity::{FOOT, INCH, Quantity, Unit};
use crate::project::Units;

/// Longest text that is read; no number that means something is longer, and nothing nests deeper.
const LONGEST: usize = 120;

/// Largest number that is read, in the unit that is kept: what a project may hold.
const LARGEST: i128 = 1_000_000_000;

/// Why a text was not read, in a sentence for the person who typed it.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{reason}")]
pub struct Unreadable {
    /// The sentence.
    pub reason: String,
}

fn refuse<T>(reason: impl Into<String>) -> Result<T, Unreadable> {
    Err(Unreadable { reason: reason.into() })
}

/// Reads a number, in the unit that a project keeps for the quantity (mm, degrees, kg, N …);
/// `units` are those of bare lengths. The result is finite and at most a thousand million.
///
/// # Errors
/// Text that means nothing, or more than one thing, with the reason; never the part that could be
/// read.
pub fn read(text: &str, quantity: Quantity, units: Units) -> Result<f64, Unreadable> {
    if text.chars().count() > LONGEST {
        return refuse(format!("This is longer than {LONGEST} characters. Give one number."));
    }
    let tidy = tidy(text);
    if tidy.is_empty() {
        return refuse(format!("Give {}.", quantity.words()));
    }
    if quantity == Quantity::Slope
        && let Some(slope) = rise_per_run(&tidy, units)?
    {
        return Ok(slope);
    }
    let value = read_exact(&tidy, quantity, units)?;
    if quantity == Quantity::Count && !value.is_whole() {
        return refuse("A whole number is wanted here.");
    }
    Ok(value.value())
}

fn read_exact(tidy: &str, quantity: Quantity, units: Units) -> Result<Exact, Unreadable> {
    let term = Reader::new(tidy, quantity, units).all()?;
    let value = if term.has_unit { term.value } else { or_too_long(term.value.times(bare_unit(quantity, units)))? };
    let limit = Exact::whole(LARGEST);
    if limit.is_below(value) || value.is_below(limit.negated()) || !value.value().is_finite() {
        return refuse("This is larger than anything that can be computed with. Check the unit.");
    }
    Ok(value)
}

/// What one of a bare number is.
fn bare_unit(quantity: Quantity, units: Units) -> Exact {
    match (quantity, units) {
        (Quantity::Length, Units::Inch | Units::FeetInch) => INCH.size(),
        _ => Exact::whole(1),
    }
}

/// One way to write each sign: lower case, plain spaces, `-`, `/`, `*`, `'`, `"`; halves spelled out.
fn tidy(text: &str) -> String {
    let mut tidy = String::new();
    for letter in text.chars() {
        let vulgar = match letter {
            '½' => "1/2",
            '¼' => "1/4",
            '¾' => "3/4",
            '⅛' => "1/8",
            '⅜' => "3/8",
            '⅝' => "5/8",
            '⅞' => "7/8",
            _ => "",
        };
        if !vulgar.is_empty() {
            // Behind a digit it is the fraction of a mixed number.
            if tidy.ends_with(|before: char| before.is_ascii_digit()) {
                tidy.push(' ');
            }
            tidy.push_str(vulgar);
            continue;
        }
        match letter {
            '−' | '–' | '‐' | '‑' => tidy.push('-'),
            '×' => tidy.push('*'),
            '÷' | '⁄' | '∕' => tidy.push('/'),
            '′' | '’' | '‘' | '´' => tidy.push('\''),
            '″' | '”' | '“' => tidy.push('"'),
            'μ' => tidy.push('µ'),
            '⋅' => tidy.push('·'),
            'º' => tidy.push('°'),
            space if space.is_whitespace() => tidy.push(' '),
            other => tidy.extend(other.to_lowercase()),
        }
    }
    tidy.trim().replace("''", "\"")
}

/// Whether a text is a number without anything else.
fn is_plain(text: &str) -> bool {
    let text = text.trim();
    !text.is_empty() && text.chars().all(char_of_number)
}

/// A slope by rise and run, in degrees; none where it is not written so.
fn rise_per_run(tidy: &str, units: Units) -> Result<Option<f64>, Unreadable> {
    let (rise, run) = if let Some(share) = tidy.strip_suffix('%') {
        (share.to_owned(), "100".to_owned())
    } else if let Some((rise, run)) = tidy.split_once(':') {
        if run.contains(':') {
            return refuse("One rise and one run are wanted, such as 1:12.");
        }
        (rise.to_owned(), run.to_owned())
    } else if let Some((rise, run)) = tidy.split_once("in").filter(|(_, run)| run.trim().starts_with(char_of_number)) {
        (rise.to_owned(), run.to_owned())
    } else if let Some((rise, run)) = tidy.split_once('/').filter(|(rise, run)| is_plain(rise) && is_plain(run)) {
        (rise.to_owned(), run.to_owned())
    } else {
        return Ok(None);
    };
    let mut sides = [Exact::whole(0); 2];
    let mut with_unit = [false; 2];
    for (side, text) in [rise, run].iter().enumerate() {
        if text.trim().is_empty() {
            return refuse("A rise and a run are wanted, such as 1:12.");
        }
        let term = Reader::new(text.trim(), Quantity::Length, units).all()?;
        (sides[side], with_unit[side]) = (term.value, term.has_unit);
    }
    if with_unit[0] != with_unit[1] {
        return refuse("Give rise and run both with a unit, or both without.");
    }
    let [rise, run] = sides;
    if run.is_zero() || run.is_below(Exact::whole(0)) {
        return refuse("The run has to be more than nothing.");
    }
    Ok(Some(rise.value().atan2(run.value()).to_degrees()))
}

fn char_of_number(letter: char) -> bool {
    letter.is_ascii_digit() || letter == '.' || letter == ','
}

fn or_too_long(value: Option<Exact>) -> Result<Exact, Unreadable> {
    value.ok_or_else(|| Unreadable { reason: "This has too many digits to be computed exactly.".to_owned() })
}

/// A number on the way: with a unit it is in the kept one.
#[derive(Clone, Copy, Debug)]
struct Term {
    value: Exact,
    has_unit: bool,
    /// Whole feet without inches, to which inches may belong.
    is_feet_alone: bool,
    /// Inches or a bare number below 12, which may belong to feet.
    could_be_inches: bool,
}

/// Digits as they stand, perhaps with a fraction.
struct Amount {
    value: Exact,
    /// Only digits: no decimal sign, no power of ten, no fraction.
    is_plain: bool,
    is_fraction: bool,
}

struct Reader {
    letters: Vec<char>,
    at: usize,
    quantity: Quantity,
    units: Units,
    /// The last sign of arithmetic stands right before what comes.
    sign_touches: bool,
}

impl Reader {
    fn new(tidy: &str, quantity: Quantity, units: Units) -> Self {
        Self { letters: tidy.chars().collect(), at: 0, quantity, units, sign_touches: false }
    }

    fn all(mut self) -> Result<Term, Unreadable> {
        let term = self.sum()?;
        match self.peek() {
            None => Ok(term),
            Some(')') => refuse("There is a closing parenthesis too many."),
            Some(_) => {
                let rest: String = self.letters[self.at..].iter().collect();
                refuse(format!("“{rest}” does not belong to what stands before it."))
            }
        }
    }

    fn peek(&self) -> Option<char> {
        self.ahead(0)
    }

    fn ahead(&self, by: usize) -> Option<char> {
        self.letters.get(self.at + by).copied()
    }

    fn is_digit(&self, by: usize) -> bool {
        self.ahead(by).is_some_and(|letter| letter.is_ascii_digit())
    }

    /// True when there was a space.
    fn skip_spaces(&mut self) -> bool {
        let start = self.at;
        while self.peek() == Some(' ') {
            self.at += 1;
        }
        self.at > start
    }

    fn sum(&mut self) -> Result<Term, Unreadable> {
        self.skip_spaces();
        let mut left = match self.peek() {
            Some(sign @ ('-' | '+')) => {
                self.at += 1;
                self.skip_spaces();
                let term = self.product()?;
                if sign == '-' { Term { value: term.value.negated(), could_be_inches: false, ..term } } else { term }
            }
            _ => self.product()?,
        };
        loop {
            let spaced = self.skip_spaces();
            let Some(sign @ ('+' | '-')) = self.peek() else { return Ok(left) };
            self.at += 1;
            self.sign_touches = !spaced && self.peek() != Some(' ');
            let right = self.product()?;
            if sign == '-' && left.is_feet_alone && right.could_be_inches {
                return refuse("This could be feet and inches, or feet less inches. Write 10'-6\", or 10' 0\" - 6\".");
            }
            left = self.add(left, if sign == '-' { right.value.negated() } else { right.value }, right.has_unit)?;
        }
    }

    fn add(&self, left: Term, right: Exact, right_has_unit: bool) -> Result<Term, Unreadable> {
        let has_unit = left.has_unit || right_has_unit;
        let bare = bare_unit(self.quantity, self.units);
        let kept = |value: Exact, has: bool| {
            if has_unit && !has { or_too_long(value.times(bare)) } else { Ok(value) }
        };
        let sum = kept(left.value, left.has_unit)?.plus(kept(right, right_has_unit)?);
        Ok(Term { value: or_too_long(sum)?, has_unit, is_feet_alone: false, could_be_inches: false })
    }

    fn product(&mut self) -> Result<Term, Unreadable> {
        let (mut left, _) = self.factor()?;
        loop {
            let spaced = self.skip_spaces();
            let Some(sign @ ('*' | '/')) = self.peek() else { return Ok(left) };
            self.at += 1;
            self.sign_touches = !spaced && self.peek() != Some(' ');
            let (right, is_fraction) = self.factor()?;
            let value = if sign == '*' {
                if left.has_unit && right.has_unit {
                    return refuse(format!("{} times {0} is none.", self.quantity.words()));
                }
                left.value.times(right.value)
            } else {
                if right.has_unit {
                    return refuse("Dividing by a number with a unit leaves none. Write 19/2 in, or (19 / 2) in.");
                }
                if is_fraction {
                    return refuse("Dividing by a fraction can be read in two ways. Put parentheses: 12 / (3/4).");
                }
                if right.value.is_zero() {
                    return refuse("Nothing can be divided by zero.");
                }
                left.value.over(right.value)
            };
            let has_unit = left.has_unit || right.has_unit;
            left = Term { value: or_too_long(value)?, has_unit, is_feet_alone: false, could_be_inches: false };
        }
    }

    /// A number with its unit, or parentheses; and whether it is written as a fraction.
    fn factor(&mut self) -> Result<(Term, bool), Unreadable> {
        self.skip_spaces();
        match self.peek() {
            None => refuse("A number is missing at the end."),
            Some('(') => {
                self.at += 1;
                self.sign_touches = false;
                let inside = self.sum()?;
                if self.peek() != Some(')') {
                    return refuse("A closing parenthesis is missing.");
                }
                self.at += 1;
                let value = match self.unit()? {
                    Some(_) if inside.has_unit => return refuse("This has two units."),
                    Some(unit) => {
                        Term { value: or_too_long(inside.value.times(unit.size()))?, has_unit: true, ..inside }
                    }
                    None => inside,
                };
                self.nothing_beside()?;
                Ok((Term { is_feet_alone: false, could_be_inches: false, ..value }, false))
            }
            Some('+' | '-') => refuse("Two signs stand beside each other."),
            Some(letter) if char_of_number(letter) => {
                let amount = self.amount(self.sign_touches)?;
                let is_fraction = amount.is_fraction;
                let term = self.with_unit(&amount)?;
                self.nothing_beside()?;
                Ok((term, is_fraction))
            }
            Some(')') => refuse("A number is missing before the parenthesis."),
            Some('*' | '/') => refuse("A number is missing before the sign."),
            Some(_) => {
                let rest: String = self.letters[self.at..].iter().collect();
                refuse(format!("“{rest}” is not {}.", self.quantity.words()))
            }
        }
    }

    /// After a number comes a sign, a parenthesis that closes, or the end.
    fn nothing_beside(&mut self) -> Result<(), Unreadable> {
        self.sign_touches = false;
        self.skip_spaces();
        match self.peek() {
            None | Some('+' | '-' | '*' | '/' | ')') => Ok(()),
            Some(letter) if char_of_number(letter) || letter == '(' => {
                refuse("Two numbers stand beside each other. Put a sign between them.")
            }
            Some(_) => {
                let rest: String = self.letters[self.at..].iter().collect();
                refuse(format!("“{rest}” is no unit that is known here: {}.", self.quantity.known_units()))
            }
        }
    }

    fn with_unit(&mut self, amount: &Amount) -> Result<Term, Unreadable> {
        let is_below_twelve = amount.value.is_below(Exact::whole(12));
        let Some(unit) = self.unit()? else {
            return Ok(Term {
                value: amount.value,
                has_unit: false,
                is_feet_alone: false,
                could_be_inches: is_below_twelve,
            });
        };
        let is_foot = unit.words == FOOT.words;
        let value = or_too_long(amount.value.times(unit.size()))?;
        if is_foot && let Some(inches) = self.inches_after_feet(amount)? {
            let value = or_too_long(value.plus(or_too_long(inches.times(INCH.size()))?))?;
            return Ok(Term { value, has_unit: true, is_feet_alone: false, could_be_inches: false });
        }
        let is_inch = unit.words == INCH.words;
        Ok(Term {
            value,
            has_unit: true,
            is_feet_alone: is_foot && amount.is_plain,
            could_be_inches: is_inch && is_below_twelve,
        })
    }

    /// Inches that belong to the feet just read, if what follows is that.
    fn inches_after_feet(&mut self, feet: &Amount) -> Result<Option<Exact>, Unreadable> {
        let start = self.at;
        let spaced = self.skip_spaces();
        let hyphen = !spaced && self.peek() == Some('-');
        if hyphen {
            self.at += 1;
        }
        if !self.peek().is_some_and(char_of_number) {
            self.at = start;
            return Ok(None);
        }
        let inches = self.amount(false)?;
        let unit = self.unit()?;
        if unit.is_some_and(|unit| unit.words != INCH.words) {
            if hyphen {
                self.at = start;
                return Ok(None);
            }
            return refuse("Two lengths stand beside each other. Put a sign between them.");
        }
        if !feet.is_plain {
            return refuse("Feet with a fraction or decimals cannot be followed by inches. Write whole feet.");
        }
        if !inches.value.is_below(Exact::whole(12)) {
            return refuse("After feet, inches are below 12. Put a sign between them to compute.");
        }
        Ok(Some(inches.value))
    }

    /// The unit that stands here, if one does.
    fn unit(&mut self) -> Result<Option<&'static Unit>, Unreadable> {
        let start = self.at;
        self.skip_spaces();
        let rest: String = self.letters[self.at..].iter().collect();
        let known = self.quantity.units().iter().flat_map(|unit| unit.words.iter().map(move |word| (unit, *word)));
        let fitting = known.filter(|(_, word)| {
            // A word ends where its letters end; a mark anywhere.
            let goes_on = rest[..].strip_prefix(*word).map(|after| after.chars().next());
            let is_word = word.ends_with(char::is_alphabetic);
            goes_on.is_some_and(|next| !is_word || !next.is_some_and(|next| next.is_alphabetic() || next == '·'))
        });
        let Some((unit, word)) = fitting.max_by_key(|(_, word)| word.len()) else {
            self.at = start;
            return Ok(None);
        };
        self.at += word.chars().count();
        // "3 in." but not "3 in.5".
        if word.ends_with(char::is_alphabetic) && self.peek() == Some('.') {
            if self.is_digit(1) {
                return refuse(format!("“{rest}” cannot be read."));
            }
            self.at += 1;
        }
        Ok(Some(unit))
    }

    /// Digits, with a decimal sign, a power of ten or a fraction.
    fn amount(&mut self, sign_touches: bool) -> Result<Amount, Unreadable> {
        let (value, is_plain) = self.decimal()?;
        if !is_plain {
            return Ok(Amount { value, is_plain, is_fraction: false });
        }
        if let Some((below, after)) = self.fraction_at(0) {
            // A fraction: the number read is what stands above the line.
            self.at = after;
            let value = if below.is_zero() { None } else { value.over(below) };
            let Some(value) = value else { return refuse("A fraction cannot have a zero below its line.") };
            return Ok(Amount { value, is_plain: false, is_fraction: true });
        }
        let start = self.at;
        let spaces = self.letters[start..].iter().take_while(|letter| **letter == ' ').count();
        let hyphen = self.peek() == Some('-');
        let gap = if hyphen { 1 } else { spaces };
        if gap == 0 || !self.is_digit(gap) {
            return Ok(Amount { value, is_plain, is_fraction: false });
        }
        self.at += gap;
        let (above, above_is_plain) = self.decimal()?;
        let Some((below, after)) = self.fraction_at(0).filter(|_| above_is_plain) else {
            self.at = start;
            return Ok(Amount { value, is_plain, is_fraction: false });
        };
        self.at = after;
        if hyphen {
            let on_a_tape = [2, 4, 8, 16, 32, 64, 128].into_iter().any(|parts| below == Exact::whole(parts));
            let touches_more = sign_touches || matches!(self.peek(), Some('+' | '-' | '*' | '/'));
            if !on_a_tape || touches_more || !above.is_below(below) {
                return refuse(
                    "The hyphen could join a fraction or subtract it. Write 1 1/4 to join, 1 - 1/4 to subtract.",
                );
            }
        }
        if below.is_zero() || !above.is_below(below) {
            return refuse("The fraction behind a whole number has to be below one.");
        }
        let value = or_too_long(above.over(below).and_then(|part| value.plus(part)))?;
        Ok(Amount { value, is_plain: false, is_fraction: true })
    }

    /// A slash and plain digits right here: what stands below the line, and where that ends.
    fn fraction_at(&self, by: usize) -> Option<(Exact, usize)> {
        if self.ahead(by) != Some('/') || !self.is_digit(by + 1) {
            return None;
        }
        let from = self.at + by + 1;
        let digits: String = self.letters[from..].iter().take_while(|letter| letter.is_ascii_digit()).collect();
        let after = from + digits.len();
        // "3/4.5" divides.
        let goes_on = self.letters.get(after).is_some_and(|letter| matches!(letter, '.' | ','));
        let below = Exact::decimal(&digits, "", 0).filter(|_| !goes_on)?;
        Some((below, after))
    }

    /// Digits with one decimal sign and a power of ten; and whether they are only digits.
    fn decimal(&mut self) -> Result<(Exact, bool), Unreadable> {
        let digits = |reader: &mut Self| {
            let start = reader.at;
            while reader.is_digit(0) {
                reader.at += 1;
            }
            reader.letters[start..reader.at].iter().collect::<String>()
        };
        let whole = digits(self);
        let sign = self.peek().filter(|letter| matches!(letter, '.' | ','));
        let mut after = String::new();
        if let Some(sign) = sign {
            self.at += 1;
            after = digits(self);
            if matches!(self.peek(), Some('.' | ',')) {
                return refuse("There is more than one decimal sign. Write thousands without a sign between them.");
            }
            if sign == ',' && after.len() == 3 && (1..=3).contains(&whole.len()) && !whole.bytes().all(|b| b == b'0') {
                return refuse(format!(
                    "{whole},{after} could be {whole}{after} or {whole}.{after}. Write it without the comma, or with a point."
                ));
            }
        }
        if whole.is_empty() && after.is_empty() {
            return refuse("A decimal sign needs a digit beside it.");
        }
        let mut exponent = 0;
        let has_power = self.peek() == Some('e');
        if has_power {
            self.at += 1;
            let negative = self.peek() == Some('-');
            if matches!(self.peek(), Some('-' | '+')) {
                self.at += 1;
            }
            let power = digits(self);
            if power.is_empty() {
                return refuse("A power of ten is missing behind the e.");
            }
            // Beyond four digits nothing fits anyway.
            exponent = power.parse::<i32>().unwrap_or(9999).min(9999);
            if negative {
                exponent = -exponent;
            }
        }
        Ok((or_too_long(Exact::decimal(&whole, &after, exponent))?, sign.is_none() && !has_power))
    }
}

#[cfg(test)]
#[allow(clippy::float_cmp)] // what is read is one number, exactly
mod tests {
    use super::*;

    fn mm(text: &str) -> f64 {
        read(text, Quantity::Length, Units::Millimetre).unwrap_or_else(|no| panic!("{text}: {no}"))
    }

    fn inch(text: &str) -> f64 {
        read(text, Quantity::Length, Units::FeetInch).unwrap_or_else(|no| panic!("{text}: {no}"))
    }

    fn refused(text: &str) -> String {
        let why = |units| read(text, Quantity::Length, units).expect_err(text).reason;
        assert_eq!(why(Units::Millimetre), why(Units::FeetInch), "{text}");
        why(Units::Inch)
    }

    #[test]
    fn what_is_written_on_tapes_and_drawings() {
        // Text, value in inches: bare numbers are inches here.
        for (text, inches) in [
            ("10'6\"", 126.0),
            ("10'-6\"", 126.0),
            ("10' 6 1/2\"", 126.5),
            ("7'9", 93.0),
            ("3/4\"", 0.75),
            ("11/16", 0.6875),
            ("1 1/4", 1.25),
            ("1-1/4", 1.25),
            ("37-1/16", 37.0625),
            ("5' 3/4\"", 60.75),
            ("60 ft 1 in", 721.0),
            ("-1' 2\"", -14.0),
            ("1,5", 1.5),
            ("19/2", 9.5),
            ("2*25.4", 50.8),
            ("1.5e2", 150.0),
            (".5", 0.5),
            ("5.", 5.0),
            ("7' 3-1/2\"", 87.5),
            ("7′ 3½″", 87.5),
            ("7’ 3 ½”", 87.5),
            ("3 ft 6", 42.0),
            ("6 in.", 6.0),
            ("7''", 7.0),
            ("1 foot", 12.0),
            ("3.5 feet", 42.0),
            ("−1-1/4", -1.25),
            ("-1 1/4", -1.25),
            ("- 10'-6\"", -126.0),
            ("10'-1/2", 120.5),
            ("7'-3-1/2\"", 87.5),
        ] {
            // Rounded once: 254 times halves and quarters is exact.
            assert_eq!(inch(text), 254.0 * inches / 10.0, "{text}");
        }
    }

    #[test]
    fn bare_numbers_take_the_unit_of_display() {
        for (text, value) in [
            ("19/2", 9.5),
            ("11/16", 0.6875),
            ("1 1/4", 1.25),
            ("1,5", 1.5),
            ("30.49", 30.49),
            ("30,49", 30.49),
            ("2*25.4", 50.8),
            ("1e2", 100.0),
            ("1.5E2", 150.0),
            (".5", 0.5),
            (",5", 0.5),
            ("5.", 5.0),
            ("0,125", 0.125),
            ("1234,567", 1234.567),
            ("+3", 3.0),
            ("\u{a0}3\u{2009}mm ", 3.0),
        ] {
            assert_eq!(mm(text), value, "{text}");
        }
        assert_eq!(read("2", Quantity::Length, Units::Inch), Ok(50.8));
    }

    #[test]
    fn any_unit_and_arithmetic() {
        for (text, value) in [
            ("3 in + 6 mm", 82.2),
            ("7'9", 2362.2),
            ("1 m - 2.5 cm", 975.0),
            ("10' - 6 mm", 3042.0),
            ("10'-6 mm", 3042.0),
            ("10' 0\" - 6\"", 2895.6),
            ("(3 + 1/2) in", 88.9),
            ("12 in / 4", 76.2),
            ("2 * 3/4\"", 38.1),
            ("3/4\"*2", 38.1),
            ("3 - 1/4", 2.75),
            ("3/4-1/8", 0.625),
            ("2.5-1/4", 2.25),
            ("(1 + 2) * (7 - 3)", 12.0),
            ("-(2+3)", -5.0),
            ("100 / 8", 12.5),
            ("1/3 + 2/3", 1.0),
            ("0.1 + 0.2", 0.3),
            ("12 / (3/4)", 16.0),
            ("6 × 4 ÷ 3", 8.0),
            ("250 µm", 0.25),
            ("3 MM", 3.0),
            ("3.5/2", 1.75),
            ("3/4.5*9", 6.0),
        ] {
            assert_eq!(mm(text), value, "{text}");
        }
    }

    #[test]
    fn what_means_two_things_or_none_is_refused_whole() {
        for text in [
            "",
            "   ",
            ".",
            ",",
            "-",
            "abc",
            "nan",
            "inf",
            "infinity",
            "1e999",
            "1e",
            "12 apples",
            "12abc",
            "1,234",
            "12,345",
            "1,234,567",
            "1.234,5",
            "1,234.5",
            "1.2.3",
            "1 2",
            "1 1",
            "1 5/4",
            "1 1 / 4",
            "1.5 1/4",
            "10' - 6\"",
            "10' - 6",
            "10' -6\"",
            "10 ft - 6 in",
            "10.5' 6\"",
            "10' 12\"",
            "10' 18\"",
            "10'-18\"",
            "1'234",
            "6\" 10'",
            "6\" 3",
            "3\" 1/2",
            "1 m 20",
            "1 m 20 cm",
            "7' 9 mm",
            "3 in * 2 in",
            "6 in / 2 in",
            "19 / 2 in",
            "1/0",
            "1 1/0",
            "3 / 0",
            "3 / (1 - 1)",
            "12 in / 3/4",
            "1-1/3",
            "10-3/2",
            "2*1-1/4",
            "3+1-1/4",
            "1-1/4*2",
            "1-1/4-1/8",
            "3 - -2",
            "--3",
            "3 +",
            "* 3",
            "(3",
            "3)",
            "()",
            "(3 mm) mm",
            "2(3)",
            "3 mm mm",
            "3 mm2",
            "3 in.5",
            "0x10",
            "1_000",
            "3!",
            "1:12",
            "25 %",
            "1e400 - 1e400",
            "2000000 m",
        ] {
            assert!(refused(text).ends_with('.'), "{text}");
        }
        let far = "9".repeat(70);
        assert!(refused(&far).contains("too many digits"), "{far}");
        assert!(refused(&"(".repeat(500)).contains("longer"));
        assert!(refused(&"(".repeat(100)).contains("missing"));
        assert!(refused("1,234").contains("1234 or 1.234"));
        assert!(refused("10' - 6\"").contains("less inches"));
    }

    #[test]
    fn angles_and_slopes() {
        let angle = |text| read(text, Quantity::Angle, Units::Inch);
        assert_eq!(angle("35"), Ok(35.0));
        assert_eq!(angle("-12,5°"), Ok(-12.5));
        assert_eq!(angle("90 deg / 4"), Ok(22.5));
        assert!(angle("1:12").is_err() && angle("3 in").is_err() && angle("7'").is_err());
        let slope = |text| read(text, Quantity::Slope, Units::Millimetre);
        let twelfth = (1.0_f64 / 12.0).atan().to_degrees();
        for text in [
            "1:12",
            "1 : 12",
            "1 in 12",
            "1in12",
            "1/12",
            "1 / 12",
            "1/2:6",
            "1\" : 12\"",
            "100 mm : 1200 mm",
            "-1:-12",
        ] {
            if text == "-1:-12" {
                assert!(slope(text).is_err());
            } else {
                assert!((slope(text).expect(text) - twelfth).abs() < 1e-12, "{text}");
            }
        }
        assert!((slope("25 %").expect("a share") - 0.25_f64.atan().to_degrees()).abs() < 1e-12);
        assert!((slope("-100%").expect("a share") + 45.0).abs() < 1e-12);
        assert_eq!(slope("35"), Ok(35.0));
        assert_eq!(slope("35°"), Ok(35.0));
        for text in ["1:0", "1:", ":12", "1:2:3", "1 : 12 mm", "%", "1 in", "in 12", "x:12"] {
            assert!(slope(text).is_err(), "{text}");
        }
    }

    #[test]
    fn other_quantities() {
        let of = |quantity| move |text: &str| read(text, quantity, Units::Millimetre);
        assert_eq!(of(Quantity::Mass)("16"), Ok(16.0));
        assert_eq!(of(Quantity::Mass)("10 lb"), Ok(4.535_923_7));
        assert_eq!(of(Quantity::Mass)("500 g"), Ok(0.5));
        assert_eq!(of(Quantity::Force)("0,45 kN"), Ok(450.0));
        assert_eq!(of(Quantity::Force)("1 lbf"), Ok(4.448_221_615_260_5));
        for text in ["300 N·mm", "300 Nmm", "0.3 N·m", "0.3Nm", "0.3 N m", ".3"] {
            assert_eq!(of(Quantity::Torque)(text), Ok(0.3), "{text}");
        }
        assert_eq!(of(Quantity::Plain)("45 %"), Ok(0.45));
        assert_eq!(of(Quantity::TurnRate)("900 rpm"), Ok(900.0));
        assert_eq!(of(Quantity::Stiffness)("2000 N·m/rad"), Ok(2000.0));
        assert_eq!(of(Quantity::SpringRate)("2 kN/mm"), Ok(2000.0));
        assert_eq!(of(Quantity::Count)("3"), Ok(3.0));
        assert!(of(Quantity::Count)("2.5").is_err() && of(Quantity::Count)("3 mm").is_err());
        assert!(of(Quantity::Mass)("16 mm").is_err());
    }
}
