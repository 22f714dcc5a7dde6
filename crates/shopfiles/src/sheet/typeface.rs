//! The typefaces that sheets carry, and how much room words take in them: one family, and a second one for
//! letters that it lacks.

use std::sync::OnceLock;

use ttf_parser::{Face, GlyphId};

use super::pen::{Colour, INK, QUIET};
use crate::picture::{SECOND_BOLD, SECOND_REGULAR, TYPEFACE_BOLD, TYPEFACE_REGULAR};

/// What stands for a letter that the typeface lacks.
const UNKNOWN: char = '?';

/// How words are written: height of a capital in mm (ISO 3098), weight, colour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Style {
    /// Height of a capital, mm.
    pub capital: f64,
    /// The heavier of the two weights.
    pub bold: bool,
    /// Its colour.
    pub colour: Colour,
}

impl Style {
    /// Notes, tables, dimensions.
    pub const BODY: Self = Self { capital: 2.5, bold: false, colour: INK };
    /// Names of fields.
    pub const SMALL: Self = Self { capital: 1.8, bold: false, colour: QUIET };
    /// Titles of views and sections.
    pub const HEAD: Self = Self { capital: 3.5, bold: true, colour: INK };
    /// The title of a document.
    pub const TITLE: Self = Self { capital: 5.0, bold: true, colour: INK };

    /// The heavier weight.
    #[must_use]
    pub fn bold(self) -> Self {
        Self { bold: true, ..self }
    }

    /// Another colour.
    #[must_use]
    pub fn coloured(self, colour: Colour) -> Self {
        Self { colour, ..self }
    }

    /// From one line to the next, mm.
    #[must_use]
    pub fn line_height(self) -> f64 {
        1.75 * self.capital
    }

    /// The size that typesetters call it by, mm.
    #[must_use]
    pub fn em(self) -> f64 {
        let measures = measures(self.bold);
        self.capital * measures.em / measures.capital
    }

    /// Width of words, mm.
    #[must_use]
    pub fn width(self, words: &str) -> f64 {
        let measures = measures(self.bold);
        let units: f64 = words.chars().map(|letter| measures.of(letter).advance).sum();
        units * self.em() / measures.em
    }

    /// From the baseline down (negative: up) to the highest and the lowest ink of words, mm.
    #[must_use]
    pub fn rise_and_fall(self, words: &str) -> [f64; 2] {
        let measures = measures(self.bold);
        let (mut high, mut low) = (0.0_f64, 0.0_f64);
        for letter in words.chars() {
            let glyph = measures.of(letter);
            (high, low) = (high.max(glyph.high), low.min(glyph.low));
        }
        [-high, -low].map(|units| units * self.em() / measures.em)
    }

    /// Lines that are no wider than `width` mm. Broken between words (not at a no-break space), and within a word only where
    /// it alone is wider.
    #[must_use]
    pub fn wrap(self, words: &str, width: f64) -> Vec<String> {
        let mut lines = vec![String::new()];
        let room = |line: &str, more: &str| self.width(line) + self.width(more) <= width;
        for word in words.split(breaks).filter(|word| !word.is_empty()) {
            let last = lines.len() - 1;
            let gap = if lines[last].is_empty() { "" } else { " " };
            if room(&lines[last], &format!("{gap}{word}")) {
                lines[last].push_str(gap);
                lines[last].push_str(word);
                continue;
            }
            if !lines[last].is_empty() {
                lines.push(String::new());
            }
            for letter in word.chars() {
                let last = lines.len() - 1;
                if !lines[last].is_empty() && !room(&lines[last], letter.encode_utf8(&mut [0; 4])) {
                    lines.push(String::new());
                }
                let last = lines.len() - 1;
                lines[last].push(letter);
            }
        }
        lines
    }

    /// Likewise, no more than `most` lines; what is left out is marked by an ellipsis.
    #[must_use]
    pub fn wrap_at_most(self, words: &str, width: f64, most: usize) -> Vec<String> {
        let mut lines = self.wrap(words, width);
        if lines.len() > most.max(1) {
            lines.truncate(most.max(1));
            if let Some(last) = lines.last_mut() {
                while self.width(last) + self.width("…") > width && last.pop().is_some() {}
                last.push('…');
            }
        }
        lines
    }
}

/// Whether a line may end here.
fn breaks(letter: char) -> bool {
    letter.is_whitespace() && letter != '\u{a0}'
}

/// Words with letters that there are on sheets: of others a question mark each.
#[must_use]
pub fn writable(words: &str) -> String {
    let letter = |letter: char| match letter {
        _ if letter.is_control() || letter.is_whitespace() => ' ',
        _ if measures(false).knows(letter) => letter,
        _ => UNKNOWN,
    };
    words.chars().map(letter).collect()
}

/// Letters of words that no sheet can show, each once, in their order.
#[must_use]
pub fn missing(words: &str) -> Vec<char> {
    let mut found = Vec::new();
    let is_missing = |letter: &char| !letter.is_control() && !letter.is_whitespace() && !measures(false).knows(*letter);
    for letter in words.chars().filter(is_missing) {
        if !found.contains(&letter) {
            found.push(letter);
        }
    }
    found
}

/// A letter in its typeface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lettered {
    /// Whether it is set in the second typeface.
    pub second: bool,
    /// Its number there.
    pub glyph: u32,
    /// Its advance as a share of the em.
    pub advance: f64,
}

/// How a letter is set.
#[must_use]
pub fn lettered(letter: char, bold: bool) -> Lettered {
    let measures = measures(bold);
    let glyph = measures.of(letter);
    Lettered { second: glyph.second, glyph: u32::from(glyph.id.0), advance: glyph.advance / measures.em }
}

/// How much larger than the first the second typeface is set, so that capitals are of one height.
#[must_use]
pub fn second_size(bold: bool) -> f64 {
    measures(bold).second_size
}

/// One letter, in units of the first typeface.
#[derive(Clone, Copy, Debug)]
struct Glyph {
    id: GlyphId,
    second: bool,
    advance: f64,
    high: f64,
    low: f64,
}

/// A weight of the typeface, measured once, and what the second one adds to it.
struct Measures {
    em: f64,
    capital: f64,
    second_size: f64,
    letters: Vec<(char, Glyph)>,
}

impl Measures {
    fn read(first: &'static [u8], second: &'static [u8]) -> Self {
        let (Ok(first), Ok(second)) = (Face::parse(first, 0), Face::parse(second, 0)) else {
            debug_assert!(false, "our own typefaces cannot be read");
            return Self { em: 1.0, capital: 0.75, second_size: 1.0, letters: Vec::new() };
        };
        let em = |face: &Face| f64::from(face.units_per_em());
        let capital = |face: &Face| face.capital_height().map_or(0.75 * em(face), f64::from);
        // By their ink: what a typeface says of itself may be off.
        let high = |face: &Face| {
            let ink = face.glyph_index('H').and_then(|id| face.glyph_bounding_box(id));
            ink.map_or_else(|| capital(face), |ink| f64::from(ink.y_max)) / em(face)
        };
        let second_size = high(&first) / high(&second);
        let in_first = em(&first) / em(&second) * second_size;
        let glyph = |face: &Face, letter: char, is_second: bool| {
            let id = face.glyph_index(letter)?;
            let scale = if is_second { in_first } else { 1.0 };
            let ink = face.glyph_bounding_box(id);
            let advance = scale * f64::from(face.glyph_hor_advance(id).unwrap_or(0));
            let [high, low] = ink.map_or([0.0; 2], |ink| [ink.y_max, ink.y_min].map(|units| scale * f64::from(units)));
            Some(Glyph { id, second: is_second, advance, high, low })
        };
        // All that they have lies in the basic plane.
        let letters = (0x20..0x1_0000_u32).filter_map(char::from_u32).filter_map(|letter| {
            Some((letter, glyph(&first, letter, false).or_else(|| glyph(&second, letter, true))?))
        });
        Self { em: em(&first), capital: capital(&first), second_size, letters: letters.collect() }
    }

    fn find(&self, letter: char) -> Option<&Glyph> {
        let index = self.letters.binary_search_by_key(&letter, |(known, _)| *known).ok()?;
        Some(&self.letters[index].1)
    }

    fn knows(&self, letter: char) -> bool {
        self.find(letter).is_some()
    }

    fn of(&self, letter: char) -> Glyph {
        let none = Glyph { id: GlyphId(0), second: false, advance: 0.0, high: 0.0, low: 0.0 };
        self.find(letter).or_else(|| self.find(UNKNOWN)).copied().unwrap_or(none)
    }
}

fn measures(bold: bool) -> &'static Measures {
    static REGULAR: OnceLock<Measures> = OnceLock::new();
    static BOLD: OnceLock<Measures> = OnceLock::new();
    if bold {
        BOLD.get_or_init(|| Measures::read(TYPEFACE_BOLD, SECOND_BOLD))
    } else {
        REGULAR.get_or_init(|| Measures::read(TYPEFACE_REGULAR, SECOND_REGULAR))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_no_wider_than_asked_and_lose_nothing() {
        let words =
            "Küchenklappe in der Kapelle, sehr sehr lang geschrieben Donaudampfschifffahrtsgesellschaftskapitän";
        for width in [12.0, 30.0, 55.5, 400.0] {
            let lines = Style::BODY.wrap(words, width);
            assert!(lines.iter().all(|line| Style::BODY.width(line) <= width), "{width}: {lines:?}");
            let plain = |text: &str| text.chars().filter(|c| *c != ' ').collect::<String>();
            assert_eq!(plain(&lines.concat()), plain(words));
        }
        let short = Style::BODY.wrap_at_most(words, 30.0, 2);
        assert!(short.len() == 2 && short[1].ends_with('…') && Style::BODY.width(&short[1]) <= 30.0, "{short:?}");
    }

    #[test]
    fn letters_of_european_languages_stand_as_they_are_and_others_are_told() {
        for words in [
            "Łódź, Győr, Çeşme, Dvořák, žľab, İstanbul, Þingvellir, Ångström, Œuvre, Ștefan",
            "Εκκλησία, Часовня, Đặng",
            "Ø22 N7 ± ≤ ≥ × µm ° ½ ✓ − √",
        ] {
            assert_eq!(writable(words), words);
            assert!(missing(words).is_empty(), "{:?}", missing(words));
            for bold in [false, true] {
                let letters = words.chars().filter(|letter| letter.is_alphabetic());
                assert!(letters.clone().all(|letter| lettered(letter, bold).advance > 0.1), "{words}");
            }
        }
        assert_eq!(writable("a\tb\nc"), "a b c");
        assert_eq!(writable("木工 shop"), "?? shop");
        assert_eq!(missing("木工 shop 木"), ['木', '工']);
    }

    #[test]
    fn both_typefaces_have_capitals_of_one_height() {
        assert!(!lettered('E', false).second && lettered('Ł', false).second);
        for style in [Style::BODY, Style::HEAD] {
            let ([one, _], [other, _]) = (style.rise_and_fall("H"), style.rise_and_fall("Ł"));
            assert!((one - other).abs() < 0.02 * style.capital, "{one} {other}");
        }
    }

    #[test]
    fn a_capital_is_as_high_as_the_style_says_and_figures_share_one_width() {
        for style in [Style::BODY, Style::TITLE] {
            let [rise, fall] = style.rise_and_fall("HIE");
            assert!((rise + style.capital).abs() < 0.02 * style.capital && fall.abs() < 1e-9, "{rise} {fall}");
            for figure in '1'..='9' {
                assert!((style.width(&figure.to_string()) - style.width("0")).abs() < 1e-12);
            }
        }
    }
}
