//! Border, title block after ISO 7200, projection symbol, and what every sheet says.

use overarm_solver::{Project, Units};

use super::figures::unit_words;
use super::notices::Notices;
use super::page::{Area, Hold, Page};
use super::paper::Paper;
use super::path::{Path, Place};
use super::pen::{FAILS, NEAR, Pen};
use super::typeface::Style;

/// White at the filing edge and at the others, mm (ISO 5457).
const FILING: f64 = 20.0;
const WHITE: f64 = 10.0;
/// A title block's width, mm (ISO 7200).
const BLOCK: f64 = 180.0;
/// A row of fields of one line, mm; each line more makes it higher by a line.
const ROW: f64 = 9.0;
/// From a field's edge to its words, mm.
const INSET: f64 = 1.2;
/// Lines that a title may take, and what it is of.
const TITLE_LINES: usize = 3;
const SUBJECT_LINES: usize = 2;
/// Lines that any other field may take.
const FIELD_LINES: usize = 4;
/// From the notices' edge to their words, mm.
const NOTICE_INSET: f64 = 2.0;

/// Who owns, made and passed a sheet; read from the project's `title_block`, empty lines to be
/// filled in by hand where it says nothing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct People {
    /// Legal owner.
    pub owner: String,
    /// Date of issue, as it is to be printed.
    pub date: String,
    /// Who drew it.
    pub drawn_by: String,
    /// Who passed it.
    pub approved_by: String,
    /// The number that all sheets of the job begin with.
    pub number: String,
}

impl People {
    /// Those of a project: `title_block: {owner, date, drawn_by, approved_by, number}`.
    #[must_use]
    pub fn of(project: &Project) -> Self {
        let given = |name: &str| {
            let field = project.more.get("title_block").and_then(|block| block.get(name));
            field.and_then(serde_json::Value::as_str).unwrap_or_default().to_owned()
        };
        Self {
            owner: given("owner"),
            date: given("date"),
            drawn_by: given("drawn_by"),
            approved_by: given("approved_by"),
            number: given("number"),
        }
    }
}

/// What stands in a title block.
#[derive(Clone, Debug, PartialEq)]
pub struct TitleBlock {
    /// The job.
    pub title: String,
    /// What of it is on this sheet.
    pub subject: String,
    /// "Part drawing", "Job sheet".
    pub document: &'static str,
    /// Its own number, behind the job's.
    pub number: String,
    /// "1:2", or nothing.
    pub scale: String,
    /// Units of its figures.
    pub units: Units,
    /// Who.
    pub people: People,
}

impl TitleBlock {
    /// Of a project, without a scale.
    #[must_use]
    pub fn new(project: &Project, document: &'static str, number: &str, subject: &str) -> Self {
        Self {
            title: project.title().to_owned(),
            subject: subject.to_owned(),
            document,
            number: number.to_owned(),
            scale: String::new(),
            units: project.units(),
            people: People::of(project),
        }
    }

    fn whole_number(&self) -> String {
        if self.people.number.is_empty() {
            self.number.clone()
        } else {
            format!("{} {}", self.people.number, self.number)
        }
    }
}

/// Where things lie on a framed sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Framed {
    /// Inside of the border.
    pub border: Area,
    /// Left for what the sheet is about, over its whole width.
    pub free: Area,
    /// Left beside the title block, from the top down; as `free` where nothing is beside it.
    pub beside: Area,
    block: Area,
    /// Heights of the title's row and of the two below it, mm.
    rows: [f64; 3],
    title: Vec<String>,
    subject: Vec<String>,
    fails: Vec<String>,
    not_chosen: Vec<String>,
    caution: Vec<String>,
    notices: Area,
}

impl Framed {
    /// A sheet with its border, block and notices. The notices stand beside the block where there
    /// is room, else above it; both grow upwards.
    #[must_use]
    pub fn new(paper: Paper, block: &TitleBlock, notices: &Notices) -> Self {
        let border = Area { left: FILING, top: WHITE, right: paper.width - WHITE, bottom: paper.height - WHITE };
        let width = BLOCK.min(border.width());
        let title = Style::BODY.bold().wrap_at_most(&block.title, title_width(width), TITLE_LINES);
        let subject = Style::BODY.wrap_at_most(&block.subject, title_width(width), SUBJECT_LINES);
        let owner = field_lines(&block.people.owner, owner_width(width)).len();
        let rows = [
            row_height(owner.max(title.len() + subject.len())),
            row_height(most_lines(&second_row(block, ""), width)),
            row_height(most_lines(&third_row(block, paper), width)),
        ];
        let top = border.bottom - rows.iter().sum::<f64>();
        let taken = Area { left: border.right - width, top, right: border.right, bottom: border.bottom };
        let beside = border.width() - width;
        let is_beside = beside > 60.0;
        let notice_width = if is_beside { beside } else { border.width() };
        let inside = notice_width - 2.0 * NOTICE_INSET;
        let fails = notices.fails.as_ref().map_or_else(Vec::new, |words| Style::BODY.bold().wrap(words, inside));
        let not_chosen =
            notices.not_chosen.as_ref().map_or_else(Vec::new, |words| Style::BODY.bold().wrap(words, inside));
        let caution = Style::BODY.wrap(notices.caution, inside);
        #[allow(clippy::cast_precision_loss)] // a handful of lines
        let height =
            Style::BODY.line_height() * (fails.len() + not_chosen.len() + caution.len()) as f64 + NOTICE_INSET + 0.5;
        let floor = if is_beside { border.bottom } else { taken.top };
        let notices = Area { left: border.left, top: floor - height, right: border.left + notice_width, bottom: floor };
        let bottom = notices.top.min(taken.top);
        let free = Area { bottom, ..border }.grown(-3.0);
        let beside = Area { right: taken.left, bottom: notices.top, ..border }.grown(-3.0);
        let beside = if is_beside { beside } else { free };
        Self { border, free, beside, block: taken, rows, title, subject, fails, not_chosen, caution, notices }
    }

    /// Draws all of it; `sheet` of `of`.
    pub fn draw(&self, page: &mut Page, block: &TitleBlock, sheet: usize, of: usize) {
        let Area { left, top, right, bottom } = self.border;
        page.draw(Path::rectangle([left, top], [right, bottom]), Pen::FRAME);
        let (middle_x, middle_y) = (0.5 * (left + right), 0.5 * (top + bottom));
        // Centring marks (ISO 5457).
        for mark in [
            [[middle_x, top - 5.0], [middle_x, top]],
            [[middle_x, bottom + 5.0], [middle_x, bottom]],
            [[left - 5.0, middle_y], [left, middle_y]],
            [[right + 5.0, middle_y], [right, middle_y]],
        ] {
            page.line(&mark, Pen::FRAME);
        }
        self.draw_notices(page);
        self.draw_block(page, block, sheet, of);
    }

    fn draw_notices(&self, page: &mut Page) {
        let Area { left, top, right, .. } = self.notices;
        page.line(&[[left, top], [right, top]], Pen::THIN);
        let start = [left + NOTICE_INSET, top + NOTICE_INSET + Style::BODY.capital];
        let next = page.lines(start, &self.fails, Style::BODY.bold().coloured(FAILS));
        let next = page.lines([start[0], next], &self.not_chosen, Style::BODY.bold().coloured(NEAR));
        page.lines([start[0], next], &self.caution, Style::BODY);
    }

    fn draw_block(&self, page: &mut Page, block: &TitleBlock, sheet: usize, of: usize) {
        let Area { left, top, right, bottom } = self.block;
        let width = right - left;
        page.draw(Path::rectangle([left, top], [right, bottom]), Pen::OUTLINE);
        let [first, second, third] = self.rows;
        let below = [top + first, top + first + second];
        for y in below {
            page.line(&[[left, y], [right, y]], Pen::THIN);
        }
        let title_left = left + owner_width(width);
        page.line(&[[title_left, top], [title_left, below[0]]], Pen::THIN);
        field(page, [left, top], title_left - left, "Legal owner", &block.people.owner);
        page.text([title_left + INSET, top + 3.2], Hold::Start, "Title", Style::SMALL);
        let next = page.lines([title_left + INSET, top + 7.4], &self.title, Style::BODY.bold());
        page.lines([title_left + INSET, next], &self.subject, Style::BODY);
        fields(page, [left, below[0]], [width, second], &second_row(block, &format!("{sheet} of {of}")));
        fields(page, [left, below[1]], [width, third], &third_row(block, page.paper));
        projection_symbol(page, [right - 0.08 * width, bottom - 0.5 * third], block.units);
    }
}

/// A field's name, what stands in it, and its share of the block's width.
type Field = (&'static str, String, f64);

fn second_row(block: &TitleBlock, sheet: &str) -> [Field; 4] {
    [
        ("Document type", block.document.to_owned(), 0.25),
        ("Identification number", block.whole_number(), 0.35),
        ("Sheet", sheet.to_owned(), 0.13),
        ("Date of issue", block.people.date.clone(), 0.27),
    ]
}

fn third_row(block: &TitleBlock, paper: Paper) -> [Field; 5] {
    let scale = if block.scale.is_empty() { "—" } else { block.scale.as_str() };
    [
        ("Drawn by", block.people.drawn_by.clone(), 0.21),
        ("Approved by", block.people.approved_by.clone(), 0.21),
        ("Units, paper", format!("{}, {}", unit_words(block.units), paper.name), 0.32),
        ("Scale", scale.to_owned(), 0.10),
        ("", String::new(), 0.16),
    ]
}

/// What is left for the title in a block, mm.
fn title_width(block: f64) -> f64 {
    0.66 * block - 2.0 * INSET
}

/// The field of the owner, mm.
fn owner_width(block: f64) -> f64 {
    block - title_width(block) - 2.0 * INSET
}

/// What is written in a field of a width, line by line.
fn field_lines(value: &str, width: f64) -> Vec<String> {
    Style::BODY.wrap_at_most(value, width - 2.0 * INSET, FIELD_LINES)
}

/// Lines of the field in a row that takes the most.
fn most_lines(row: &[Field], width: f64) -> usize {
    row.iter().map(|(_, value, share)| field_lines(value, share * width).len()).max().unwrap_or(1)
}

/// Of a row with so many lines, mm.
fn row_height(lines: usize) -> f64 {
    #[allow(clippy::cast_precision_loss)] // a handful of lines
    let more = lines.saturating_sub(1) as f64;
    ROW + more * Style::BODY.line_height()
}

fn fields(page: &mut Page, [mut x, y]: Place, [width, height]: [f64; 2], row: &[Field]) {
    for (index, (name, value, share)) in row.iter().enumerate() {
        if index > 0 {
            page.line(&[[x, y], [x, y + height]], Pen::THIN);
        }
        field(page, [x, y], share * width, name, value);
        x += share * width;
    }
}

fn field(page: &mut Page, [x, y]: Place, width: f64, name: &str, value: &str) {
    page.text([x + INSET, y + 3.2], Hold::Start, name, Style::SMALL);
    page.lines([x + INSET, y + 7.4], &field_lines(value, width), Style::BODY);
}

/// A truncated cone in two views (ISO 5456-2): first angle for millimetres, third for inches.
fn projection_symbol(page: &mut Page, [x, y]: Place, units: Units) {
    /// Radii of the cone's ends and its half length, mm.
    const LARGE: f64 = 2.8;
    const SMALL: f64 = 1.4;
    const HALF: f64 = 2.8;
    let first_angle = is_first_angle(units);
    let (cone, rings) = if first_angle { (x - 4.5, x + 4.5) } else { (x + 4.5, x - 4.5) };
    // The small end points away from the rings in the first angle, to them in the third.
    let corners =
        [[cone - HALF, y - SMALL], [cone + HALF, y - LARGE], [cone + HALF, y + LARGE], [cone - HALF, y + SMALL]];
    page.draw(Path::polygon(&corners), Pen::OUTLINE.wide(0.35));
    for radius in [SMALL, LARGE] {
        page.draw(Path::circle([rings, y], radius), Pen::OUTLINE.wide(0.35));
    }
    page.line(&[[x - 9.0, y], [x + 9.0, y]], Pen::CENTRE.wide(0.18));
    page.line(&[[rings, y - 3.8], [rings, y + 3.8]], Pen::CENTRE.wide(0.18));
}

/// Whether views are arranged by the first angle (else the third).
#[must_use]
pub fn is_first_angle(units: Units) -> bool {
    units == Units::Millimetre
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block(title: &str) -> TitleBlock {
        let people = People { owner: "Kapellengemeinde".into(), number: "K-17".into(), ..People::default() };
        TitleBlock {
            title: title.into(),
            subject: "Left wall bar".into(),
            document: "Part drawing",
            number: "101".into(),
            scale: "1:2".into(),
            units: Units::Millimetre,
            people,
        }
    }

    #[test]
    fn long_names_stand_whole_in_their_fields_and_the_block_grows() {
        let names = People {
            owner: "Kapellengemeinde Sankt Ägidius am Oberen Weiher, vertreten durch den Kirchenvorstand".into(),
            date: "27 November 2026, second issue after measuring again".into(),
            drawn_by: "Annelie Brückner-Hohenstein".into(),
            approved_by: "Þórunn Ásgeirsdóttir".into(),
            number: "Kapelle, Küchenklappe 2026-17".into(),
        };
        let notices = Notices { fails: None, not_chosen: None, caution: "A falling panel can kill." };
        for paper in [Paper::A4, Paper::A3, Paper::LETTER, Paper::TABLOID] {
            let block = TitleBlock { people: names.clone(), ..block("Short") };
            let mut page = Page::new(paper);
            let framed = Framed::new(paper, &block, &notices);
            framed.draw(&mut page, &block, 1, 12);
            assert_eq!(page.faults(), Vec::<String>::new(), "{paper:?}");
            let said: Vec<&str> = page.texts().map(|text| text.words.as_str()).collect();
            let said = said.join(" ");
            let all =
                [names.owner.clone(), names.date.clone(), names.drawn_by.clone(), format!("{} 101", names.number)];
            for word in all.iter().flat_map(|name| name.split(' ')) {
                assert!(said.contains(word), "{word} in {said}");
            }
            assert!(!said.contains('…'), "{said}");
            let inside = page.texts().filter(|text| text.area().top > framed.block.top);
            assert!(inside.count() > 12 && framed.block.height() > 3.0 * ROW + 3.0 * Style::BODY.line_height());
        }
    }

    #[test]
    fn nothing_lies_over_anything_however_long_the_title_and_the_notices() {
        let long = "Ein überaus langer Titel für eine Küchenklappe ".repeat(20);
        let fails = format!("Not to be built as it is: {}", "Clears the room (−2.10 mm), ".repeat(17));
        for paper in [Paper::A4, Paper::A3, Paper::LETTER, Paper::TABLOID] {
            for (title, fails) in [("Short", None), (long.as_str(), Some(fails.clone()))] {
                let not_chosen = fails.as_ref().map(|_| "No bearing is chosen. ".repeat(4));
                let (block, notices) =
                    (block(title), Notices { fails, not_chosen, caution: "A falling panel can kill." });
                let framed = Framed::new(paper, &block, &notices);
                let mut page = Page::new(paper);
                framed.draw(&mut page, &block, 1, 12);
                assert_eq!(page.faults(), Vec::<String>::new(), "{paper:?}");
                assert!(framed.free.height() > 100.0, "{paper:?} {:?}", framed.free);
                assert!(page.texts().all(|text| !text.area().meets(&framed.free)), "{paper:?}");
            }
        }
    }
}
