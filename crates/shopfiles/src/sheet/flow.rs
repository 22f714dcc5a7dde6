//! Headings, sentences, tables and figures one below the other, over as many framed sheets as it
//! takes.

use super::frame::{Framed, TitleBlock};
use super::notices::Notices;
use super::page::{Area, Hold, Page};
use super::paper::Paper;
use super::table::Table;
use super::typeface::Style;

/// Above a heading, mm.
const ABOVE_HEAD: f64 = 4.0;
/// Below a heading, a sentence, a table, mm.
const BELOW: f64 = 2.2;
/// What stands behind a mark begins here, and white below it, mm.
const INDENT: f64 = 6.0;
const BELOW_MARKED: f64 = 0.8;
/// What must be left below a heading, mm.
const KEPT: f64 = 20.0;

/// Sheets that are being filled.
pub struct Flow {
    framed: Framed,
    block: TitleBlock,
    paper: Paper,
    done: Vec<Page>,
    page: Page,
    y: f64,
    /// Where this sheet's own content begins.
    begun: f64,
    /// What stands at the top of a sheet that what has begun goes on to.
    carried: Option<String>,
}

impl Flow {
    /// The height that a heading takes, with the white about it, mm.
    pub const HEADING: f64 = 12.0;

    /// The first sheet, empty.
    #[must_use]
    pub fn new(paper: Paper, block: TitleBlock, notices: &Notices) -> Self {
        let framed = Framed::new(paper, &block, notices);
        let top = framed.free.top;
        Self { y: top, begun: top, carried: None, framed, block, paper, done: Vec::new(), page: Page::new(paper) }
    }

    /// Width that there is, mm.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.framed.free.width()
    }

    /// Height that is left on this sheet, mm.
    #[must_use]
    pub fn left(&self) -> f64 {
        self.framed.free.bottom - self.y
    }

    /// Goes on on a new sheet unless this much is left, or this one is empty.
    pub fn keep(&mut self, height: f64) {
        if self.left() < height && self.y > self.begun {
            self.new_sheet();
        }
    }

    /// Goes on on a new sheet.
    pub fn new_sheet(&mut self) {
        self.done.push(std::mem::replace(&mut self.page, Page::new(self.paper)));
        self.y = self.framed.free.top;
        self.begun = self.y;
        if let Some(words) = self.carried.clone() {
            self.sentence(&format!("{words}, continued"), Style::HEAD);
            self.begun = self.y;
        }
    }

    /// What follows belongs to this heading, which stands again, as continued, on every sheet that it goes on to;
    /// `None`: to none.
    pub fn carry(&mut self, heading: Option<&str>) {
        self.carried = heading.map(str::to_owned);
    }

    /// The title of the whole.
    pub fn title(&mut self, words: &str) {
        self.sentence(words, Style::TITLE);
    }

    /// A heading.
    pub fn head(&mut self, words: &str) {
        self.keep(ABOVE_HEAD + KEPT);
        if self.y > self.framed.free.top {
            self.y += ABOVE_HEAD;
        }
        self.sentence(words, Style::HEAD);
    }

    /// Sentences.
    pub fn text(&mut self, words: &str) {
        self.sentence(words, Style::BODY);
    }

    /// Sentences in a style.
    pub fn sentence(&mut self, words: &str, style: Style) {
        for line in style.wrap(words, self.width()) {
            self.keep(style.line_height());
            self.page.text([self.framed.free.left, self.y + style.capital], Hold::Start, &line, style);
            self.y += style.line_height();
        }
        self.y += BELOW - (style.line_height() - style.capital) * 0.5;
    }

    /// Sentences behind a mark, which `draw` draws in a box of 3 mm.
    pub fn marked(&mut self, words: &str, style: Style, draw: impl FnOnce(&mut Page, Area)) {
        let lines = style.wrap(words, self.width() - INDENT);
        #[allow(clippy::cast_precision_loss)] // a handful of lines
        self.keep(lines.len() as f64 * style.line_height());
        let Area { left, .. } = self.framed.free;
        draw(&mut self.page, Area { left, top: self.y - 0.2, right: left + 3.0, bottom: self.y + 2.8 });
        for line in lines {
            self.page.text([left + INDENT, self.y + style.capital], Hold::Start, &line, style);
            self.y += style.line_height();
        }
        self.y += BELOW_MARKED;
    }

    /// The height that sentences behind a mark take, mm.
    #[must_use]
    pub fn marked_height(&self, words: &str, style: Style) -> f64 {
        #[allow(clippy::cast_precision_loss)] // a handful of lines
        let lines = style.wrap(words, self.width() - INDENT).len() as f64;
        lines * style.line_height() + BELOW_MARKED
    }

    /// A table; its head stands again on every sheet that it goes on to.
    pub fn table(&mut self, table: &Table) {
        let x = self.framed.free.left;
        let first = table.rows.first().map_or(0.0, |row| table.row_height(row));
        self.keep(table.head_height() + first);
        self.y = table.draw_head(&mut self.page, [x, self.y]);
        for row in &table.rows {
            if self.left() < table.row_height(row) {
                self.new_sheet();
                self.y = table.draw_head(&mut self.page, [x, self.y]);
            }
            self.y = table.draw_row(&mut self.page, [x, self.y], row);
        }
        self.y += BELOW;
    }

    /// A figure of this height over the whole width.
    pub fn figure(&mut self, height: f64, draw: impl FnOnce(&mut Page, Area)) {
        self.keep(height);
        let area = Area { top: self.y, bottom: self.y + height, ..self.framed.free };
        draw(&mut self.page, area);
        self.y += height + BELOW;
    }

    /// White, mm.
    pub fn space(&mut self, height: f64) {
        self.y += height;
    }

    /// The sheets, framed; they are numbered from `from` of `of`, or among themselves.
    #[must_use]
    pub fn finish(mut self, numbers: Option<(usize, usize)>) -> Vec<Page> {
        self.done.push(self.page);
        let count = self.done.len();
        let (from, of) = numbers.unwrap_or((1, count));
        for (index, page) in self.done.iter_mut().enumerate() {
            self.framed.draw(page, &self.block, from + index, of);
        }
        self.done
    }
}
