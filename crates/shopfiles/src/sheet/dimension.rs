//! Dimensions after ISO 129-1: extension lines, filled arrows, the figure above its line and read
//! from below or from the right.

use super::page::{Area, Hold, Page};
use super::path::{Path, Place};
use super::pen::{INK, Pen};
use super::typeface::Style;

/// An arrow's length, mm; its angle is 20°.
const ARROW: f64 = 3.0;
const ARROW_HALF: f64 = 0.53;
/// From the thing to its extension line, mm.
const GAP: f64 = 1.0;
/// From the dimension line on, mm.
const BEYOND: f64 = 2.0;
/// From the dimension line to the figure, mm.
const LIFT: f64 = 0.9;
/// How far a line goes on outwards where its arrows stand outside, mm.
const TAIL: f64 = 5.0;

/// Letters of dimensions.
pub const FIGURE: Style = Style::BODY;
/// From one dimension line to the next, mm.
pub const STEP: f64 = 8.0;

/// A dimension from left to right, its line at height `y`; a figure that finds no room on it stands at
/// its right.
pub fn across(page: &mut Page, from: Place, to: Place, y: f64, words: &str) {
    across_held(page, from, to, y, words, Hold::Start);
}

/// Likewise; a figure that finds no room on it stands at its right (held at the start) or at its left.
pub fn across_held(page: &mut Page, from: Place, to: Place, y: f64, words: &str, hold: Hold) {
    let [from, to] = if from[0] <= to[0] { [from, to] } else { [to, from] };
    for [x, start] in [from, to] {
        let away = (y - start).signum();
        if (y - start).abs() > GAP {
            page.line(&[[x, start + GAP * away], [x, y + BEYOND * away]], Pen::THIN);
        }
    }
    let (left, right) = (from[0], to[0]);
    let width = FIGURE.width(words);
    let inside = has_arrows_inside(right - left);
    arrows(page, [left, y], [right, y], inside);
    if width + 1.0 <= right - left {
        page.text([0.5 * (left + right), y - LIFT], Hold::Middle, words, FIGURE);
    } else {
        // Beside it, above the line carried on.
        let tail = if inside { 0.0 } else { TAIL };
        let (start, away) = if hold == Hold::End { (left - tail, -1.0) } else { (right + tail, 1.0) };
        page.line(&[[start, y], [start + away * (width + 2.0), y]], Pen::THIN);
        page.text([start + 1.5 * away, y - LIFT], hold, words, FIGURE);
    }
}

/// A dimension from a face to a step that another dimension may begin at: without room for arrows it has one at the
/// face alone, a dot at the step (ISO 129-1), and nothing beyond it. A figure without room on it stands outside the face.
pub fn across_to_step(page: &mut Page, face: Place, step: Place, y: f64, words: &str) {
    /// Radius of the dot, mm.
    const DOT: f64 = 0.6;
    let away = if face[0] < step[0] { -1.0 } else { 1.0 };
    let (left, right) = (face[0].min(step[0]), face[0].max(step[0]));
    if has_arrows_inside(right - left) {
        across_held(page, face, step, y, words, if away < 0.0 { Hold::End } else { Hold::Start });
        return;
    }
    for [x, start] in [face, step] {
        let up = (y - start).signum();
        page.line(&[[x, start + GAP * up], [x, y + BEYOND * up]], Pen::THIN);
    }
    let width = FIGURE.width(words);
    let has_room = width + 1.0 <= right - left;
    let tail = if has_room { TAIL } else { TAIL + width + 2.0 };
    page.line(&[[step[0], y], [face[0] + tail * away, y]], Pen::THIN);
    arrow(page, [face[0], y], [-away, 0.0]);
    page.fill(Path::circle([step[0], y], DOT), INK);
    if has_room {
        page.text([0.5 * (left + right), y - LIFT], Hold::Middle, words, FIGURE);
    } else {
        let hold = if away < 0.0 { Hold::End } else { Hold::Start };
        page.text([face[0] + (TAIL + 1.5) * away, y - LIFT], hold, words, FIGURE);
    }
}

/// A dimension up and down, its line at `x`; a figure that finds no room on it stands above.
pub fn upright(page: &mut Page, from: Place, to: Place, x: f64, words: &str) {
    if let Some(start) = upright_line(page, from, to, x, words) {
        let width = FIGURE.width(words);
        page.line(&[[x, start], [x, start - width - 2.0]], Pen::THIN);
        page.text_upwards([x - LIFT, start - 1.5], Hold::Start, words, FIGURE);
    }
}

/// Likewise; a figure that finds no room on it stands below where it would stand beyond `least` above.
pub fn upright_within(page: &mut Page, from: Place, to: Place, x: f64, words: &str, least: f64) {
    let Some(start) = upright_line(page, from, to, x, words) else { return };
    let width = FIGURE.width(words);
    let (top, bottom) = (from[1].min(to[1]), from[1].max(to[1]));
    if start - width - 2.0 >= least {
        page.line(&[[x, start], [x, start - width - 2.0]], Pen::THIN);
        page.text_upwards([x - LIFT, start - 1.5], Hold::Start, words, FIGURE);
    } else {
        let end = bottom + (top - start);
        page.line(&[[x, end], [x, end + width + 2.0]], Pen::THIN);
        page.text_upwards([x - LIFT, end + 1.5], Hold::End, words, FIGURE);
    }
}

/// Likewise; a figure that finds no room on it lies at its left (held at the end) or at its right. Gives the
/// lower end of its line.
pub fn upright_beside(page: &mut Page, from: Place, to: Place, x: f64, words: &str, hold: Hold) -> Place {
    if upright_line(page, from, to, x, words).is_some() {
        let away = if hold == Hold::End { -1.5 } else { 1.5 };
        page.text([x + away, 0.5 * (from[1] + to[1] + FIGURE.capital)], hold, words, FIGURE);
    }
    let (top, bottom) = (from[1].min(to[1]), from[1].max(to[1]));
    [x, if has_arrows_inside(bottom - top) { bottom } else { bottom + TAIL }]
}

/// Whether there is room for the arrows between their ends.
fn has_arrows_inside(long: f64) -> bool {
    long >= 2.5 * ARROW
}

/// The lines, and the figure where it has room on them; else the upper end of the line.
fn upright_line(page: &mut Page, from: Place, to: Place, x: f64, words: &str) -> Option<f64> {
    let [from, to] = if from[1] <= to[1] { [from, to] } else { [to, from] };
    for [start, y] in [from, to] {
        let away = (x - start).signum();
        if (x - start).abs() > GAP {
            page.line(&[[start + GAP * away, y], [x + BEYOND * away, y]], Pen::THIN);
        }
    }
    let (top, bottom) = (from[1], to[1]);
    let width = FIGURE.width(words);
    let inside = has_arrows_inside(bottom - top);
    arrows(page, [x, top], [x, bottom], inside);
    if width + 1.0 <= bottom - top {
        page.text_upwards([x - LIFT, 0.5 * (top + bottom)], Hold::Middle, words, FIGURE);
        return None;
    }
    Some(top - if inside { 0.0 } else { TAIL })
}

/// The line with its arrows, pointing outwards from between the ends or inwards from beyond them.
fn arrows(page: &mut Page, from: Place, to: Place, inside: bool) {
    let along = [to[0] - from[0], to[1] - from[1]];
    let length = along[0].hypot(along[1]).max(1e-9);
    let along = along.map(|part| part / length);
    let back = |at: Place, by: f64| [at[0] + by * along[0], at[1] + by * along[1]];
    if inside {
        page.line(&[from, to], Pen::THIN);
        arrow(page, from, along.map(|part| -part));
        arrow(page, to, along);
    } else {
        page.line(&[back(from, -TAIL), back(to, TAIL)], Pen::THIN);
        arrow(page, from, along);
        arrow(page, to, along.map(|part| -part));
    }
}

/// A filled arrow whose tip is at a place, pointing along a direction of length 1.
pub fn arrow(page: &mut Page, tip: Place, [dx, dy]: [f64; 2]) {
    let foot = [tip[0] - ARROW * dx, tip[1] - ARROW * dy];
    let side = |by: f64| [foot[0] - by * dy, foot[1] + by * dx];
    page.fill(Path::polygon(&[tip, side(ARROW_HALF), side(-ARROW_HALF)]), INK);
}

/// Words beside a thing, with a line from them that ends on it in an arrow. The line's knee lies at
/// `knee`, from where it runs below the words, to the right of it or (held at the end) to its left.
pub fn leader(page: &mut Page, tip: Place, knee: Place, hold: Hold, lines: &[String]) -> Area {
    let (dx, dy) = (tip[0] - knee[0], tip[1] - knee[1]);
    let length = dx.hypot(dy).max(1e-9);
    let width = lines.iter().map(|line| FIGURE.width(line)).fold(0.0, f64::max) + 1.0;
    let end = if hold == Hold::End { knee[0] - width } else { knee[0] + width };
    page.line(&[tip, knee, [end, knee[1]]], Pen::THIN);
    arrow(page, tip, [dx / length, dy / length]);
    let left = knee[0].min(end);
    let mut area = Area { left, top: knee[1], right: left + width, bottom: knee[1] };
    for (index, line) in lines.iter().enumerate() {
        // The first line stands above the leader, the others below it.
        #[allow(clippy::cast_precision_loss)] // a handful of lines
        let y = if index == 0 {
            knee[1] - LIFT
        } else {
            knee[1] + LIFT + FIGURE.capital + (index as f64 - 1.0) * FIGURE.line_height()
        };
        let taken = page.text([left + 0.5, y], Hold::Start, line, FIGURE);
        (area.top, area.bottom) = (area.top.min(taken.top), area.bottom.max(taken.bottom));
    }
    area
}

/// Centre lines of a round thing, going on beyond it.
pub fn centre_cross(page: &mut Page, [x, y]: Place, radius: f64) {
    let reach = radius + 3.0;
    page.line(&[[x - reach, y], [x + reach, y]], Pen::CENTRE);
    page.line(&[[x, y - reach], [x, y + reach]], Pen::CENTRE);
}

/// The letter of a datum in its box, its triangle standing on a place of the part; `away` is the
/// direction, of length 1, from the part to the box (ISO 5459).
pub fn datum(page: &mut Page, foot: Place, away: [f64; 2], letter: &str) {
    /// The box and the stem to it, mm.
    const BOX: f64 = 5.0;
    const STEM: f64 = 5.0;
    let along = |by: f64, side: f64| [foot[0] + by * away[0] - side * away[1], foot[1] + by * away[1] + side * away[0]];
    page.fill(Path::polygon(&[along(0.0, 1.5), along(0.0, -1.5), along(2.6, 0.0)]), INK);
    page.line(&[along(2.6, 0.0), along(STEM, 0.0)], Pen::THIN);
    let centre = along(STEM + 0.5 * BOX, 0.0);
    let half = 0.5 * BOX;
    let corners = ([centre[0] - half, centre[1] - half], [centre[0] + half, centre[1] + half]);
    page.draw(Path::rectangle(corners.0, corners.1), Pen::THIN);
    page.text([centre[0], centre[1] + 0.5 * FIGURE.capital], Hold::Middle, letter, FIGURE);
}

#[cfg(test)]
mod tests {
    use super::super::paper::Paper;
    use super::*;

    #[test]
    fn narrow_and_wide_ones_keep_their_words_apart() {
        let mut page = Page::new(Paper::A4);
        across(&mut page, [50.0, 100.0], [150.0, 100.0], 90.0, "456.123 ±0.020");
        across(&mut page, [50.0, 100.0], [54.0, 100.0], 80.0, "4.00");
        across_to_step(&mut page, [150.0, 60.0], [147.0, 60.0], 50.0, "(3.00)");
        across_to_step(&mut page, [140.0, 60.0], [143.0, 60.0], 50.0, "(3.00)");
        upright(&mut page, [50.0, 110.0], [50.0, 150.0], 40.0, "40.00");
        upright(&mut page, [50.0, 110.0], [50.0, 113.0], 30.0, "3.00");
        leader(&mut page, [80.0, 130.0], [95.0, 140.0], Hold::Start, &["2 × Ø22 N7".into(), "21.993 to 21.972".into()]);
        datum(&mut page, [100.0, 200.0], [0.0, 1.0], "A");
        assert_eq!(page.faults(), Vec::<String>::new());
        assert_eq!(page.texts().filter(|text| text.upwards).count(), 2);
    }

    #[test]
    fn nothing_is_drawn_between_two_steps_that_dimensions_end_at() {
        // Seats of 3 from faces at 40 and 60: 14 between.
        for deep in [3.0, 9.0] {
            let mut page = Page::new(Paper::A4);
            across_to_step(&mut page, [40.0, 60.0], [40.0 + deep, 60.0], 50.0, "(7.00)");
            across_to_step(&mut page, [60.0, 60.0], [60.0 - deep, 60.0], 50.0, "(7.00)");
            let between = Area { left: 40.9 + deep, top: 45.0, right: 59.1 - deep, bottom: 55.0 };
            assert_eq!(page.lines_through(&between), 0);
            assert!(page.is_free(&between) && page.texts().count() == 2 && page.faults().is_empty());
        }
    }
}
