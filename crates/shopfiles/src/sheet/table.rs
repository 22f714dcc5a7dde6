//! Tables: rows of words that wrap in their columns.

use super::page::{Hold, Page};
use super::path::{Path, Place};
use super::pen::{Pen, SHADE};
use super::typeface::Style;

/// From a cell's edge to its words, mm.
const INSET: f64 = 1.5;

/// A column.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Above it.
    pub title: String,
    /// mm.
    pub width: f64,
    /// Figures are held at their right end.
    pub figures: bool,
}

impl Column {
    /// Of words.
    #[must_use]
    pub fn words(title: &str, width: f64) -> Self {
        Self { title: title.to_owned(), width, figures: false }
    }

    /// Of figures.
    #[must_use]
    pub fn figures(title: &str, width: f64) -> Self {
        Self { title: title.to_owned(), width, figures: true }
    }
}

/// A table.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// From the left.
    pub columns: Vec<Column>,
    /// As many words as columns each.
    pub rows: Vec<Vec<String>>,
}

impl Table {
    /// Without rows.
    #[must_use]
    pub fn new(columns: Vec<Column>) -> Self {
        Self { columns, rows: Vec::new() }
    }

    /// One more row.
    pub fn row<const N: usize>(&mut self, words: [String; N]) {
        debug_assert_eq!(N, self.columns.len());
        self.rows.push(words.into());
    }

    /// Its width, mm.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.columns.iter().map(|column| column.width).sum()
    }

    /// Its height with its head, mm.
    #[must_use]
    pub fn height(&self) -> f64 {
        self.head_height() + self.rows.iter().map(|row| self.row_height(row)).sum::<f64>()
    }

    /// The head's height, mm; none where no column has a title.
    #[must_use]
    pub fn head_height(&self) -> f64 {
        if self.columns.iter().all(|column| column.title.is_empty()) {
            return 0.0;
        }
        let titles: Vec<String> = self.columns.iter().map(|column| column.title.clone()).collect();
        self.height_of(&titles, Style::BODY.bold())
    }

    /// A row's height, mm.
    #[must_use]
    pub fn row_height(&self, row: &[String]) -> f64 {
        self.height_of(row, Style::BODY)
    }

    fn height_of(&self, row: &[String], style: Style) -> f64 {
        let lines =
            self.columns.iter().zip(row).map(|(column, words)| style.wrap(words, column.width - 2.0 * INSET).len());
        #[allow(clippy::cast_precision_loss)] // a handful of lines
        let lines = lines.max().unwrap_or(1) as f64;
        (lines - 1.0) * style.line_height() + style.capital + 2.0 * INSET
    }

    /// Draws it whole, its top left corner at a place; gives its lower edge.
    pub fn draw(&self, page: &mut Page, [x, y]: Place) -> f64 {
        let mut y = self.draw_head(page, [x, y]);
        for row in &self.rows {
            y = self.draw_row(page, [x, y], row);
        }
        y
    }

    /// Draws its head; gives its lower edge.
    pub fn draw_head(&self, page: &mut Page, [x, y]: Place) -> f64 {
        let height = self.head_height();
        page.line(&[[x, y], [x + self.width(), y]], Pen::THIN);
        if height == 0.0 {
            return y;
        }
        page.fill(Path::rectangle([x, y], [x + self.width(), y + height]), SHADE);
        let titles: Vec<String> = self.columns.iter().map(|column| column.title.clone()).collect();
        self.draw_cells(page, [x, y], height, &titles, Style::BODY.bold())
    }

    /// Draws one row; gives its lower edge.
    pub fn draw_row(&self, page: &mut Page, [x, y]: Place, row: &[String]) -> f64 {
        self.draw_cells(page, [x, y], self.row_height(row), row, Style::BODY)
    }

    fn draw_cells(&self, page: &mut Page, [x, y]: Place, height: f64, row: &[String], style: Style) -> f64 {
        let mut left = x;
        for (column, words) in self.columns.iter().zip(row) {
            let mut baseline = y + INSET + style.capital;
            for line in style.wrap(words, column.width - 2.0 * INSET) {
                let (at, hold) =
                    if column.figures { (left + column.width - INSET, Hold::End) } else { (left + INSET, Hold::Start) };
                page.text([at, baseline], hold, &line, style);
                baseline += style.line_height();
            }
            left += column.width;
        }
        page.line(&[[x, y + height], [left, y + height]], Pen::THIN.wide(0.13));
        y + height
    }
}
