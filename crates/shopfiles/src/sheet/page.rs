//! A page as a list of marks in millimetres from its top left corner, y down: what is drawn, and
//! how much room every text takes, so that it can be proved that none lies over another.

use super::paper::Paper;
use super::path::{Path, Place};
use super::pen::{Colour, PAPER, Pen, WIDE};
use super::typeface::{Style, writable};

/// Which end of a text is at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hold {
    /// Its left end.
    Start,
    /// Its middle.
    Middle,
    /// Its right end.
    End,
}

/// Words on a page.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Left end of the baseline.
    pub at: Place,
    /// Read from the right edge of the page: turned by a quarter, upwards.
    pub upwards: bool,
    /// What is written.
    pub words: String,
    /// How.
    pub style: Style,
}

/// A rectangle of a page, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Area {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Lower edge.
    pub bottom: f64,
}

impl Area {
    /// Its width, mm.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.right - self.left
    }

    /// Its height, mm.
    #[must_use]
    pub fn height(&self) -> f64 {
        self.bottom - self.top
    }

    /// Whether two share more than their edges.
    #[must_use]
    pub fn meets(&self, other: &Self) -> bool {
        self.left < other.right && other.left < self.right && self.top < other.bottom && other.top < self.bottom
    }

    /// Whether another lies in it.
    #[must_use]
    pub fn holds(&self, other: &Self) -> bool {
        self.left <= other.left && other.right <= self.right && self.top <= other.top && other.bottom <= self.bottom
    }

    /// Whether a straight line has a point inside of it.
    #[must_use]
    pub fn is_crossed_by(&self, [from, to]: [Place; 2]) -> bool {
        // What is left of the line between each pair of edges, as shares of its length.
        let (mut start, mut end) = (0.0_f64, 1.0_f64);
        for (axis, low, high) in [(0, self.left, self.right), (1, self.top, self.bottom)] {
            let (at, along) = (from[axis], to[axis] - from[axis]);
            if along.abs() < 1e-12 {
                if at <= low || at >= high {
                    return false;
                }
                continue;
            }
            let (one, other) = ((low - at) / along, (high - at) / along);
            (start, end) = (start.max(one.min(other)), end.min(one.max(other)));
        }
        start < end
    }

    /// A square about a place, its edges this far from it, mm.
    #[must_use]
    pub fn about([x, y]: Place, off: f64) -> Self {
        Self { left: x - off, top: y - off, right: x + off, bottom: y + off }
    }

    /// Larger (or, negative, smaller) by this at every edge, mm.
    #[must_use]
    pub fn grown(&self, by: f64) -> Self {
        Self { left: self.left - by, top: self.top - by, right: self.right + by, bottom: self.bottom + by }
    }
}

impl Text {
    /// The room that its ink takes.
    #[must_use]
    pub fn area(&self) -> Area {
        let [x, y] = self.at;
        let width = self.style.width(&self.words);
        let [rise, fall] = self.style.rise_and_fall(&self.words);
        if self.upwards {
            Area { left: x + rise, top: y - width, right: x + fall, bottom: y }
        } else {
            Area { left: x, top: y + rise, right: x + width, bottom: y + fall }
        }
    }
}

/// One thing on a page.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// Filled (even–odd), drawn, or both.
    Shape {
        /// What.
        path: Path,
        /// Its line.
        pen: Option<Pen>,
        /// Its inside.
        fill: Option<Colour>,
    },
    /// Words.
    Text(Text),
    /// From here on only inside of this (even–odd).
    Clip(Path),
    /// Back to what was before the last [`Mark::Clip`].
    Unclip,
}

/// A page.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// Its size.
    pub paper: Paper,
    /// In the order in which they are drawn.
    pub marks: Vec<Mark>,
}

impl Page {
    /// Nothing on it.
    #[must_use]
    pub fn new(paper: Paper) -> Self {
        Self { paper, marks: Vec::new() }
    }

    /// Draws a path.
    pub fn draw(&mut self, path: Path, pen: Pen) {
        self.marks.push(Mark::Shape { path, pen: Some(pen), fill: None });
    }

    /// Draws a line between places.
    pub fn line(&mut self, places: &[Place], pen: Pen) {
        self.draw(Path::line(places), pen);
    }

    /// Fills a path.
    pub fn fill(&mut self, path: Path, colour: Colour) {
        self.marks.push(Mark::Shape { path, pen: None, fill: Some(colour) });
    }

    /// Fills a path and draws its edge.
    pub fn paint(&mut self, path: Path, colour: Colour, pen: Pen) {
        self.marks.push(Mark::Shape { path, pen: Some(pen), fill: Some(colour) });
    }

    /// Draws what `inside` draws, but only inside of a path (even–odd).
    pub fn clipped(&mut self, path: Path, inside: impl FnOnce(&mut Self)) {
        self.marks.push(Mark::Clip(path));
        inside(self);
        self.marks.push(Mark::Unclip);
    }

    /// Hatches the inside of a path (even–odd) at 45°, lines `gap` mm apart.
    pub fn hatch(&mut self, path: Path, area: Area, gap: f64, pen: Pen) {
        let step = gap * std::f64::consts::SQRT_2;
        let rise = area.height();
        self.clipped(path, |page| {
            // Lines of all areas lie on one grid, so that pieces of one part are hatched alike.
            let mut foot = ((area.left - rise + area.bottom) / step).floor() * step - area.bottom;
            while foot < area.right {
                page.line(&[[foot, area.bottom], [foot + rise, area.top]], pen);
                foot += step;
            }
        });
    }

    /// Writes words, held at a place of their baseline; gives the room that they take.
    pub fn text(&mut self, at: Place, hold: Hold, words: &str, style: Style) -> Area {
        self.write(at, hold, words, style, false)
    }

    /// Likewise, upwards: read from the right edge of the page.
    pub fn text_upwards(&mut self, at: Place, hold: Hold, words: &str, style: Style) -> Area {
        self.write(at, hold, words, style, true)
    }

    fn write(&mut self, at: Place, hold: Hold, words: &str, style: Style, upwards: bool) -> Area {
        let text = placed(at, hold, words, style, upwards);
        let area = text.area();
        if !text.words.trim().is_empty() {
            self.marks.push(Mark::Text(text));
        }
        area
    }

    /// Writes words at the first of some places where they lie over no other text and inside of
    /// `within`; at the last of them if there is none.
    pub fn label(&mut self, places: &[(Place, Hold)], words: &str, style: Style, within: Area) -> Area {
        match self.free_place(places, words, style, within) {
            Some((at, hold)) => self.text(at, hold, words, style),
            None => Area { left: 0.0, top: 0.0, right: 0.0, bottom: 0.0 },
        }
    }

    /// Likewise, lines behind it interrupted.
    pub fn label_over_lines(&mut self, places: &[(Place, Hold)], words: &str, style: Style, within: Area) {
        let Some((at, hold)) = self.free_place(places, words, style, within) else { return };
        let Area { left, top, right, bottom } = placed(at, hold, words, style, false).area().grown(0.6);
        self.fill(Path::rectangle([left, top], [right, bottom]), PAPER);
        self.text(at, hold, words, style);
    }

    /// Whether an area lies over no text.
    #[must_use]
    pub fn is_free(&self, area: &Area) -> bool {
        !self.texts().any(|text| text.area().meets(area))
    }

    /// Chords of all drawn lines.
    pub fn drawn_chords(&self) -> impl Iterator<Item = [Place; 2]> + '_ {
        let drawn = self.marks.iter().filter_map(|mark| match mark {
            Mark::Shape { path, pen: Some(_), .. } => Some(path),
            _ => None,
        });
        drawn.flat_map(Path::chords)
    }

    /// How many drawn lines run through an area. Lines that only fill or clip do not count.
    #[must_use]
    pub fn lines_through(&self, area: &Area) -> usize {
        self.drawn_through(area, |_| true)
    }

    /// Likewise, wide lines alone: visible outlines.
    #[must_use]
    pub fn outlines_through(&self, area: &Area) -> usize {
        self.drawn_through(area, |pen| pen.width > 0.75 * WIDE)
    }

    fn drawn_through(&self, area: &Area, counts: impl Fn(&Pen) -> bool) -> usize {
        let drawn = self.marks.iter().filter_map(|mark| match mark {
            Mark::Shape { path, pen: Some(pen), .. } if counts(pen) => Some(path),
            _ => None,
        });
        let box_meets = |path: &&Path| path.area().is_some_and(|found| found.grown(1e-6).meets(area));
        drawn.filter(box_meets).filter(|path| path.chords().any(|chord| area.is_crossed_by(chord))).count()
    }

    /// Whether lines run through a text: those that are drawn since something was filled that covers it.
    fn crosses(&self, text: &Text) -> bool {
        let area = text.area();
        let mut clips = Vec::new();
        let mut is_crossed = false;
        for mark in &self.marks {
            match mark {
                Mark::Clip(path) => clips.push(path.area().is_some_and(|clip| clip.meets(&area))),
                Mark::Unclip => {
                    clips.pop();
                }
                Mark::Shape { path, pen, fill } => {
                    let place = path.area();
                    is_crossed &= !(fill.is_some() && place.is_some_and(|place| place.holds(&area)));
                    is_crossed |= pen.is_some()
                        && clips.iter().all(|is_seen| *is_seen)
                        && place.is_some_and(|place| place.grown(1e-6).meets(&area))
                        && path.chords().any(|chord| area.is_crossed_by(chord));
                }
                Mark::Text(_) => {}
            }
        }
        is_crossed
    }

    /// Texts that lines run through.
    #[must_use]
    pub fn crossed(&self) -> Vec<&Text> {
        self.texts().filter(|text| self.crosses(text)).collect()
    }

    /// Interrupts every line that runs through a text (ISO 129-1: figures are not crossed).
    pub fn interrupt_lines(&mut self) {
        /// White around words, mm.
        const WHITE: f64 = 0.4;
        let crossed: Vec<Text> = self.crossed().into_iter().cloned().collect();
        self.marks.retain(|mark| !matches!(mark, Mark::Text(text) if crossed.contains(text)));
        for text in crossed {
            let Area { left, top, right, bottom } = text.area().grown(WHITE);
            self.fill(Path::rectangle([left, top], [right, bottom]), PAPER);
            self.marks.push(Mark::Text(text));
        }
    }

    /// Whether an area lies over no text and no line.
    #[must_use]
    pub fn is_clear(&self, area: &Area) -> bool {
        self.is_free(area) && self.lines_through(area) == 0
    }

    fn free_place(&self, places: &[(Place, Hold)], words: &str, style: Style, within: Area) -> Option<(Place, Hold)> {
        /// Kept from other texts, mm.
        const SPACE: f64 = 0.5;
        let free = |(at, hold): &&(Place, Hold)| {
            let area = placed(*at, *hold, words, style, false).area().grown(SPACE);
            within.holds(&area) && self.is_free(&area)
        };
        places.iter().find(free).or(places.last()).copied()
    }

    /// Writes lines below each other, the first baseline at the place; gives the next baseline.
    pub fn lines(&mut self, [x, mut y]: Place, lines: &[String], style: Style) -> f64 {
        for line in lines {
            self.text([x, y], Hold::Start, line, style);
            y += style.line_height();
        }
        y
    }

    /// Every text.
    pub fn texts(&self) -> impl Iterator<Item = &Text> {
        self.marks.iter().filter_map(|mark| match mark {
            Mark::Text(text) => Some(text),
            _ => None,
        })
    }

    /// The whole page.
    #[must_use]
    pub fn area(&self) -> Area {
        Area { left: 0.0, top: 0.0, right: self.paper.width, bottom: self.paper.height }
    }

    /// Texts that lie off the page, nearer to its edge than printers reach, or over another text:
    /// a sentence each.
    #[must_use]
    pub fn faults(&self) -> Vec<String> {
        /// What office printers leave white, mm (common practice, no source).
        const UNPRINTED: f64 = 5.0;
        let inside = self.area().grown(-UNPRINTED);
        let texts: Vec<_> = self.texts().map(|text| (text, text.area())).collect();
        let mut faults = Vec::new();
        for (index, (text, area)) in texts.iter().enumerate() {
            if !inside.holds(area) {
                faults.push(format!("\"{}\" lies off the sheet: {area:?}", text.words));
            }
            for (other, taken) in &texts[index + 1..] {
                if area.meets(taken) {
                    faults.push(format!("\"{}\" and \"{}\" lie over each other", text.words, other.words));
                }
            }
        }
        faults
    }
}

fn placed(at: Place, hold: Hold, words: &str, style: Style, upwards: bool) -> Text {
    let words = writable(words);
    let back = match hold {
        Hold::Start => 0.0,
        Hold::Middle => 0.5 * style.width(&words),
        Hold::End => style.width(&words),
    };
    let at = if upwards { [at[0], at[1] + back] } else { [at[0] - back, at[1]] };
    Text { at, upwards, words, style }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_lies_off_the_sheet_or_over_another_is_told() {
        let mut page = Page::new(Paper::A4);
        page.text([20.0, 20.0], Hold::Start, "one", Style::BODY);
        page.text([20.0, 24.4], Hold::Start, "below it", Style::BODY);
        page.text_upwards([200.0, 200.0], Hold::Middle, "upwards", Style::BODY);
        assert_eq!(page.faults(), Vec::<String>::new());
        page.text([22.0, 21.0], Hold::Start, "over it", Style::BODY);
        page.text([200.0, 100.0], Hold::Start, "beyond the edge", Style::BODY);
        let faults = page.faults();
        assert!(faults.len() == 2 && faults[0].contains("\"one\" and \"over it\""), "{faults:?}");
        assert!(faults[1].contains("beyond the edge"), "{faults:?}");
    }

    #[test]
    fn lines_through_an_area_are_counted() {
        use crate::sheet::pen::Pen;
        let area = Area { left: 10.0, top: 10.0, right: 20.0, bottom: 20.0 };
        assert!(area.is_crossed_by([[0.0, 0.0], [30.0, 30.0]]) && area.is_crossed_by([[12.0, 12.0], [13.0, 12.0]]));
        assert!(!area.is_crossed_by([[0.0, 10.0], [30.0, 10.0]]), "along its edge");
        assert!(!area.is_crossed_by([[0.0, 21.0], [9.0, 30.0]]) && !area.is_crossed_by([[0.0, 15.0], [9.0, 15.0]]));
        let mut page = Page::new(Paper::A4);
        page.line(&[[0.0, 15.0], [30.0, 15.0]], Pen::THIN);
        // Around it, and through it: a circle of 10 about its middle, and one of 3 about its corner.
        page.draw(Path::circle([15.0, 15.0], 10.0), Pen::THIN);
        page.draw(Path::circle([10.0, 10.0], 3.0), Pen::THIN);
        page.fill(Path::rectangle([0.0, 0.0], [15.0, 15.0]), PAPER);
        assert_eq!(page.lines_through(&area), 2);
        assert!(!page.is_clear(&area) && page.is_clear(&Area { left: 30.0, top: 30.0, right: 40.0, bottom: 40.0 }));
    }

    #[test]
    fn lines_through_words_are_interrupted() {
        let mut page = Page::new(Paper::A4);
        page.text([50.0, 50.0], Hold::Start, "crossed", Style::BODY);
        page.line(&[[40.0, 49.0], [90.0, 49.0]], Pen::THIN);
        page.line(&[[40.0, 60.0], [90.0, 60.0]], Pen::THIN);
        page.fill(Path::rectangle([48.0, 56.0], [70.0, 62.0]), PAPER);
        page.text([50.0, 61.0], Hold::Start, "covered", Style::BODY);
        // Hatching is seen only within what is hatched.
        page.text([50.0, 70.0], Hold::Start, "hatched", Style::BODY);
        page.clipped(Path::rectangle([10.0, 60.0], [40.0, 90.0]), |page| {
            page.line(&[[10.0, 69.0], [90.0, 69.0]], Pen::THIN);
        });
        let said: Vec<&str> = page.crossed().iter().map(|text| text.words.as_str()).collect();
        assert_eq!(said, ["crossed"]);
        page.interrupt_lines();
        assert!(page.crossed().is_empty() && page.texts().count() == 3);
    }

    #[test]
    fn a_label_takes_the_first_free_place() {
        let mut page = Page::new(Paper::A4);
        page.text([50.0, 50.0], Hold::Start, "taken", Style::BODY);
        let places = [([50.0, 51.0], Hold::Start), ([50.0, 45.0], Hold::Start)];
        let area = page.label(&places, "free", Style::BODY, page.area());
        assert!(area.bottom < 46.0, "{area:?}");
        assert!(page.faults().is_empty());
    }
}
