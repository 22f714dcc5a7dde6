//! Crosses in the strips that neighbouring sheets share, by which they are laid on each other: two in
//! each strip, each whole on both sheets, where neither has words.

use super::axis::OVERLAP;
use super::page::{Area, Hold, Mark, Page};
use super::path::{Path, Place};
use super::pen::Pen;
use super::typeface::Style;

/// Arms of a cross, mm.
pub const CROSS: f64 = 4.0;
/// Words keep this from it, mm.
const CLEAR: f64 = 1.0;
/// Places that are tried in each half of a strip.
const TRIED: u32 = 48;

/// The letters of joints, each on two sheets; anew when all are used.
pub fn letters() -> impl Iterator<Item = char> {
    ('A'..='Z').chain('a'..='z').cycle()
}

/// How two sheets lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The second is to the right of the first.
    Right,
    /// The second is below the first.
    Below,
}

/// The crosses of a strip: `shown` of the scene is on the first sheet, `taken` by the words of both.
pub fn crosses(
    scene: &Page,
    shown: &Area,
    side: Side,
    taken: &[Area],
    letters: &mut impl Iterator<Item = char>,
) -> Vec<Mark> {
    let mut page = Page::new(scene.paper);
    for (share, low, high) in [(0.2, 0.0, 0.45), (0.8, 0.55, 1.0)] {
        let Some(letter) = letters.next() else { break };
        let tries = (0..=TRIED).map(|step| low + (high - low) * f64::from(step) / f64::from(TRIED));
        let place = |share: &f64| place(shown, side, *share);
        let cost = |share: f64| {
            let room = Area::about(place(&share), CROSS + CLEAR);
            let words = taken.iter().filter(|area| area.meets(&room)).count();
            (words, scene.lines_through(&room) + filled(scene, &room))
        };
        let nearest = |one: f64, other: f64| (one - share).abs().total_cmp(&(other - share).abs());
        let best = tries.min_by(|one, other| cost(*one).cmp(&cost(*other)).then_with(|| nearest(*one, *other)));
        if let Some(best) = best {
            draw(&mut page, scene, place(&best), side, letter, taken);
        }
    }
    page.marks
}

/// How many filled shapes, such as arrowheads, lie in an area.
fn filled(scene: &Page, room: &Area) -> usize {
    let is_in = |mark: &&Mark| match mark {
        Mark::Shape { path, fill: Some(_), .. } => path.area().is_some_and(|area| area.meets(room)),
        _ => false,
    };
    scene.marks.iter().filter(is_in).count()
}

/// A place in the middle of a strip, clear of where four sheets meet.
fn place(shown: &Area, side: Side, share: f64) -> Place {
    let off = OVERLAP + CROSS + CLEAR;
    let along = |from: f64, to: f64| from + off + share * (to - from - 2.0 * off);
    match side {
        Side::Right => [shown.right - 0.5 * OVERLAP, along(shown.top, shown.bottom)],
        Side::Below => [along(shown.left, shown.right), shown.bottom - 0.5 * OVERLAP],
    }
}

fn draw(page: &mut Page, scene: &Page, [x, y]: Place, side: Side, letter: char, taken: &[Area]) {
    page.line(&[[x - CROSS, y], [x + CROSS, y]], Pen::THIN);
    page.line(&[[x, y - CROSS], [x, y + CROSS]], Pen::THIN);
    page.draw(Path::circle([x, y], 0.5 * CROSS), Pen::THIN);
    let words = format!("{letter} on {letter}");
    let (wide, high) = (Style::BODY.width(&words), Style::BODY.capital);
    let by = CROSS + 1.5;
    // Along the strip, so that the words are whole on both sheets as well.
    let spots = match side {
        Side::Right => [([x, y - by], Hold::Middle), ([x, y + by + high], Hold::Middle)],
        Side::Below => [([x + by, y + 0.5 * high], Hold::Start), ([x - by, y + 0.5 * high], Hold::End)],
    };
    let is_clear = |([x, y], hold): &(Place, Hold)| {
        let left = match hold {
            Hold::Start => *x,
            Hold::Middle => x - 0.5 * wide,
            Hold::End => x - wide,
        };
        let area = Area { left, top: y - high, right: left + wide, bottom: *y }.grown(0.5);
        scene.lines_through(&area) == 0 && !taken.iter().any(|other| other.meets(&area))
    };
    match spots.iter().find(|spot| is_clear(spot)) {
        Some((at, hold)) => page.text(*at, *hold, &words, Style::BODY),
        None => page.text([x + 2.4, y - 1.6], Hold::Start, &letter.to_string(), Style::BODY),
    };
}

/// Neighbours of a file that do not share two crosses, each whole and clear of words on both, at one
/// distance from each other: a sentence each.
#[cfg(test)]
pub(crate) fn unjoined(pages: &[Page]) -> Vec<String> {
    let mut faults = Vec::new();
    let found: Vec<_> = pages.iter().map(|page| (place_of(page), crosses_of(page, &mut faults))).collect();
    for (index, ((scene, column, row), crosses)) in found.iter().enumerate() {
        for ((other_scene, other_column, other_row), others) in &found[index + 1..] {
            if scene != other_scene || column.abs_diff(*other_column) + row.abs_diff(*other_row) != 1 {
                continue;
            }
            let shared: Vec<[Place; 2]> = crosses
                .iter()
                .filter_map(|(letter, at)| Some([*at, others.iter().find(|(other, _)| other == letter)?.1]))
                .collect();
            let place = format!("{scene}, row {row} column {column} and row {other_row} column {other_column}");
            match shared[..] {
                [[a, b], [c, d]] if (a[0] - c[0] - b[0] + d[0]).hypot(a[1] - c[1] - b[1] + d[1]) < 1e-9 => {}
                _ => faults.push(format!("{place} share {shared:?}")),
            }
        }
    }
    faults
}

/// A sheet's scene, column and row, as its foot says.
#[cfg(test)]
fn place_of(page: &Page) -> (String, usize, usize) {
    let is_subject = |words: &&String| words.contains(", A4, ") || words.contains(", Letter, ");
    let words = page.texts().map(|text| &text.words).find(is_subject).expect("what the sheet is");
    let number = |after: &str| {
        let rest = &words[words.find(after)? + after.len()..];
        rest.split(' ').next()?.parse::<usize>().ok()
    };
    let part = number(", part ").unwrap_or(1);
    let (column, row) = match (number(", column "), number(", row ")) {
        (Some(column), Some(row)) => (column, row),
        _ if words.ends_with("from the left") => (part, 1),
        _ => (1, part),
    };
    let scene = words.split(", part ").next().and_then(|words| words.split(", row ").next());
    (scene.expect("a name").to_owned(), column, row)
}

/// The crosses of a sheet with their letters.
#[cfg(test)]
fn crosses_of(page: &Page, faults: &mut Vec<String>) -> Vec<(char, Place)> {
    let window = page.marks.iter().find_map(|mark| match mark {
        Mark::Clip(path) => path.area(),
        _ => None,
    });
    let window = window.expect("the window");
    let letter_of = |words: &str| words.chars().next().filter(|_| words.len() == 1 || words.contains(" on "));
    let mut found = Vec::new();
    for mark in &page.marks {
        let Mark::Shape { path, pen: Some(pen), .. } = mark else { continue };
        let Some(area) = path.area().filter(|area| (area.width() - CROSS).abs() < 1e-6) else { continue };
        if *pen != Pen::THIN || (area.height() - CROSS).abs() > 1e-6 {
            continue;
        }
        let at = [0.5 * (area.left + area.right), 0.5 * (area.top + area.bottom)];
        let room = Area::about(at, CROSS);
        let off = |area: Area| (0.5 * (area.left + area.right) - at[0]).hypot(0.5 * (area.top + area.bottom) - at[1]);
        let letters = page.texts().filter_map(|text| Some((off(text.area()), letter_of(&text.words)?)));
        let letter = letters.min_by(|one, other| one.0.total_cmp(&other.0)).expect("its letter").1;
        for text in page.texts().filter(|text| text.words.len() > 1 && text.area().meets(&room)) {
            faults.push(format!("\"{}\" lies over cross {letter}", text.words));
        }
        if !window.holds(&room) {
            faults.push(format!("cross {letter} is cut: {room:?} in {window:?}"));
        }
        found.push((letter, at));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::paper::Paper;

    #[test]
    fn crosses_keep_clear_of_words() {
        let scene = Page::new(Paper { name: "", width: 400.0, height: 200.0 });
        let shown = Area { left: 0.0, top: 0.0, right: 182.5, bottom: 200.0 };
        // All of the strip but two gaps of 12 mm.
        let taken = [[0.0, 60.0], [72.0, 130.0], [142.0, 200.0]].map(|[top, bottom]| Area {
            left: 150.0,
            top,
            right: 190.0,
            bottom,
        });
        let marks = crosses(&scene, &shown, Side::Right, &taken, &mut letters());
        let circles: Vec<Area> = marks
            .iter()
            .filter_map(|mark| match mark {
                Mark::Shape { path, .. } => path.area().filter(|area| area.width() > 1.0 && area.height() > 1.0),
                _ => None,
            })
            .collect();
        let middles: Vec<f64> = circles.iter().map(|area| 0.5 * (area.top + area.bottom)).collect();
        assert!(
            middles.len() == 2 && (middles[0] - 66.0).abs() < 2.0 && (middles[1] - 136.0).abs() < 2.0,
            "{middles:?}"
        );
        for middle in middles {
            let room = Area::about([176.5, middle], CROSS);
            assert!(!taken.iter().any(|area| area.meets(&room)));
        }
    }
}
