//! Names beside what they are of: off every word and line if there is such a place, and never over an outline.

use crate::sheet::dimension::FIGURE;
use crate::sheet::page::{Area, Hold, Page};
use crate::sheet::path::{Path, Place};
use crate::sheet::pen::{PAPER, Pen};
use crate::sheet::typeface::Style;

/// How names are written.
pub(super) const NAME: Style = Style { bold: true, ..FIGURE };

/// White kept around a name, mm.
const WHITE: f64 = 0.6;
/// How far a name may stand off a round thing, mm, and in how many directions; farther than the second it is led.
const FAR: [f64; 10] = [0.8, 1.6, 2.6, 4.0, 5.5, 7.5, 10.0, 13.0, 16.0, 20.0];
const LED: f64 = 4.5;
const WAYS: u32 = 16;
/// What makes a place worse, in mm of distance: each narrow line behind it, each outline, a line to it over words.
const LINE_BEHIND: f64 = 5.0;
const OUTLINE_BEHIND: f64 = 60.0;
const OVER_WORDS: f64 = 30.0;

/// Room of a name about its middle.
fn boxed(words: &str, [x, y]: Place) -> Area {
    let (wide, high) = (NAME.width(words), NAME.capital);
    Area { left: x - 0.5 * wide, top: y - 0.5 * high, right: x + 0.5 * wide, bottom: y + 0.5 * high }
}

/// What a place costs for the lines behind it; `None` where words stand.
fn cost(page: &Page, area: &Area, within: &Area) -> Option<f64> {
    if !within.holds(area) || !page.is_free(area) {
        return None;
    }
    let lines = u32::try_from(page.lines_through(area).min(9)).unwrap_or(9);
    let outlines = u32::try_from(page.outlines_through(area).min(9)).unwrap_or(9);
    Some(LINE_BEHIND * f64::from(lines) + OUTLINE_BEHIND * f64::from(outlines))
}

fn write(page: &mut Page, words: &str, at: Place) {
    let area = boxed(words, at).grown(WHITE);
    if page.lines_through(&area) > 0 {
        page.fill(Path::rectangle([area.left, area.top], [area.right, area.bottom]), PAPER);
    }
    page.text([at[0], at[1] + 0.5 * NAME.capital], Hold::Middle, words, NAME);
}

/// Beside a round thing, above its right side first; a name that has to stand far off is led to it.
pub(super) fn beside(page: &mut Page, centre: Place, radius: f64, words: &str, within: Area) {
    let mut best: Option<(f64, Place, Option<[Place; 2]>)> = None;
    for far in FAR {
        if best.as_ref().is_some_and(|(cost, ..)| *cost <= far) {
            break;
        }
        for way in 0..WAYS {
            // To and fro about the first direction.
            let turn = f64::from(way.div_ceil(2)) * if way % 2 == 0 { 1.0 } else { -1.0 };
            let angle = -0.25 * std::f64::consts::PI + turn / f64::from(WAYS) * std::f64::consts::TAU;
            let (dx, dy) = (angle.cos(), angle.sin());
            let (wide, high) = (0.5 * NAME.width(words), 0.5 * NAME.capital);
            let off = radius + far;
            let at = [centre[0] + (off + wide) * dx, centre[1] + (off + high) * dy];
            let area = boxed(words, at).grown(WHITE);
            let Some(behind) = cost(page, &area, &within) else { continue };
            let lead = (far > LED).then(|| {
                let [near, end] = [radius, off - 0.5].map(|by| [centre[0] + by * dx, centre[1] + by * dy]);
                [near, end]
            });
            let over = lead.map_or(0, |line| page.texts().filter(|text| text.area().is_crossed_by(line)).count());
            let over = OVER_WORDS * f64::from(u32::try_from(over).unwrap_or(9));
            let cost = far + behind + over;
            if best.as_ref().is_none_or(|(least, ..)| cost < *least) {
                best = Some((cost, at, lead));
            }
        }
    }
    let Some((_, at, lead)) = best else { return };
    if let Some(line) = lead {
        page.line(&line, Pen::THIN.wide(0.18));
    }
    write(page, words, at);
}

/// About the best of some middles, the first where they are alike.
pub(super) fn at_best(page: &mut Page, middles: &[Place], words: &str, within: Area) {
    let mut best: Option<(f64, Place)> = None;
    for at in middles {
        let Some(cost) = cost(page, &boxed(words, *at).grown(WHITE), &within) else { continue };
        if best.is_none_or(|(least, _)| cost < least) {
            best = Some((cost, *at));
        }
    }
    if let Some(at) = best.map(|(_, at)| at).or(middles.first().copied()) {
        write(page, words, at);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::paper::Paper;

    const WHOLE: Area = Area { left: 0.0, top: 0.0, right: 210.0, bottom: 297.0 };

    #[test]
    fn a_name_stands_off_lines_and_words_where_it_can_and_never_over_an_outline() {
        let mut page = Page::new(Paper::A4);
        // A half-round end of 6 about a bore of 2, as of an arm.
        page.draw(Path::circle([100.0, 100.0], 6.0), Pen::OUTLINE);
        page.draw(Path::circle([100.0, 100.0], 2.0), Pen::OUTLINE);
        page.line(&[[91.0, 100.0], [109.0, 100.0]], Pen::CENTRE);
        page.line(&[[100.0, 91.0], [100.0, 109.0]], Pen::CENTRE);
        beside(&mut page, [100.0, 100.0], 2.0, "H2", WHOLE);
        let named = page.texts().next().expect("the name").area();
        assert_eq!(page.outlines_through(&named.grown(WHITE)), 0);
        assert!(page.faults().is_empty());
        // Where lines lie everywhere, an outline is still spared.
        let mut page = Page::new(Paper::A4);
        for line in 0..100 {
            page.line(&[[50.0, 50.0 + f64::from(line)], [150.0, 50.0 + f64::from(line)]], Pen::THIN);
        }
        page.line(&[[50.0, 97.0], [150.0, 97.0]], Pen::OUTLINE);
        beside(&mut page, [100.0, 100.0], 2.0, "H1", WHOLE);
        let named = page.texts().next().expect("the name").area();
        assert_eq!(page.outlines_through(&named.grown(WHITE)), 0);
    }
}
