//! What is drawn 1:1 and may be larger than a sheet: cut into sheets that overlap, each with a ruler
//! in both axes, a bar of 100 mm, and crosses by which neighbours are laid on each other.

use overarm_solver::{MM_PER_INCH, Units};

use super::notices::Notices;
use super::page::{Area, Hold, Mark, Page, Text};
use super::paper::Paper;
use super::path::{Path, Place, Step};
use super::pen::{Dash, FAILS, NARROW, NEAR, Pen, QUIET};
use super::typeface::Style;

/// White around a sheet, mm.
const WHITE: f64 = 10.0;
/// A ruler's strip, mm.
const RULER: f64 = 7.5;
/// What neighbours share, mm.
const OVERLAP: f64 = 12.0;
/// Sheets that anybody would paste together.
const MOST: usize = 60;
/// Words keep this from a sheet's edge, mm.
const INSIDE: f64 = 1.0;
/// Arms of a cross by which sheets are laid on each other, mm.
const CROSS: f64 = 4.0;
/// The bar that is measured after printing, mm.
pub const BAR: f64 = 100.0;

/// A thing at full size: its marks in millimetres from the scene's top left corner, y down.
#[derive(Clone, Debug)]
pub struct Scene {
    /// "Left set".
    pub name: String,
    /// What is drawn; its paper is as large as the scene.
    pub page: Page,
    /// Where the rulers are 0, and how they count: to the right, and up.
    pub zero: Place,
    /// What long things are called, along each of them on every sheet that shows enough of it.
    pub names: Vec<Name>,
}

/// Words along an upright line.
#[derive(Clone, Debug)]
pub struct Name {
    /// What is written.
    pub words: String,
    /// The line's x, its upper and its lower end, mm.
    pub x: f64,
    /// See `x`.
    pub y: [f64; 2],
}

impl Scene {
    /// Nothing on it; mm.
    #[must_use]
    pub fn new(name: &str, width: f64, height: f64, zero: Place) -> Self {
        let paper = Paper { name: "", width, height };
        Self { name: name.to_owned(), page: Page::new(paper), zero, names: Vec::new() }
    }
}

/// What all sheets of a file share.
#[derive(Clone, Debug)]
pub struct Sheets<'a> {
    /// What they are printed on.
    pub paper: Paper,
    /// The job.
    pub title: &'a str,
    /// "Wall template".
    pub document: &'static str,
    /// Of the rulers.
    pub units: Units,
    /// Said on every one.
    pub notices: &'a Notices,
}

impl Sheets<'_> {
    /// Every sheet that holds something of the scenes.
    #[must_use]
    pub fn cut(&self, scenes: &[Scene]) -> Vec<Page> {
        let layout = Layout::new(self);
        let mut tiles = Vec::new();
        let printed: Vec<Scene> = scenes.iter().map(|scene| layout.printable(scene)).collect();
        for scene in &printed {
            let (columns, rows) = layout.counts(scene);
            let crosses = layout.crosses(scene, columns, rows);
            for row in 0..rows {
                for column in 0..columns {
                    let shown = layout.shown(scene, column, columns, row, rows);
                    if scene.page.marks.iter().any(|mark| area_of(mark).is_some_and(|area| area.meets(&shown))) {
                        let place = place_words(column, columns, row, rows);
                        tiles.push((scene, shown, crosses.clone(), place));
                    }
                }
            }
        }
        let of = tiles.len();
        let sheet = |(index, (scene, shown, crosses, place)): (usize, (&Scene, Area, Vec<Mark>, String))| {
            let mut page = Page::new(self.paper);
            layout.draw_scene(&mut page, scene, &shown, &crosses);
            layout.draw_rulers(&mut page, scene, &shown, self.units);
            layout.draw_foot(&mut page, self, &format!("{}{place}", scene.name), index + 1, of);
            page.interrupt_lines();
            page
        };
        tiles.into_iter().enumerate().map(sheet).collect()
    }
}

/// Where things lie on a sheet.
struct Layout {
    window: Area,
    heading: Vec<String>,
    fails: Vec<String>,
    not_chosen: Vec<String>,
    caution: Vec<String>,
}

/// Said on every sheet.
const FULL_SIZE: &str =
    "Print at 100 %, not fitted to the page. Measure the bar and both rulers before you drill or cut.";
/// Lines that it takes beside the bar.
const FULL_SIZE_LINES: f64 = 2.0;

impl Layout {
    fn new(sheets: &Sheets) -> Self {
        let paper = sheets.paper;
        let width = paper.width - 2.0 * WHITE;
        let heading = Style::BODY.bold().wrap_at_most(sheets.title, width - 30.0, 2);
        let fails = sheets.notices.fails.as_ref().map_or_else(Vec::new, |words| Style::BODY.bold().wrap(words, width));
        let not_chosen = sheets.notices.not_chosen.as_ref();
        let not_chosen = not_chosen.map_or_else(Vec::new, |words| Style::BODY.bold().wrap(words, width));
        let caution = Style::BODY.wrap(sheets.notices.caution, width);
        #[allow(clippy::cast_precision_loss)] // a handful of lines
        let lines = (heading.len() + 1 + fails.len() + not_chosen.len() + caution.len()) as f64 + FULL_SIZE_LINES;
        let foot = lines * Style::BODY.line_height() + 5.0;
        let window = Area {
            left: WHITE + RULER,
            top: WHITE,
            right: paper.width - WHITE,
            bottom: paper.height - WHITE - foot - RULER,
        };
        Self { window, heading, fails, not_chosen, caution }
    }

    /// The scene, or one that says that it is too large to be pasted together.
    fn printable(&self, scene: &Scene) -> Scene {
        let (columns, rows) = self.counts(scene);
        let count = columns.saturating_mul(rows);
        if count <= MOST {
            return scene.clone();
        }
        let words = format!(
            "{} would take {count} sheets at full size and is not printed: mark it from the drawings.",
            scene.name
        );
        let mut said = Scene::new(&scene.name, self.window.width(), 40.0, [0.0, 40.0]);
        let lines = Style::BODY.bold().wrap(&words, self.window.width() - 10.0);
        said.page.lines([5.0, 10.0], &lines, Style::BODY.bold().coloured(FAILS));
        said
    }

    /// Columns and rows that a scene takes.
    fn counts(&self, scene: &Scene) -> (usize, usize) {
        let count = |size: f64, window: f64| {
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a wall is a few sheets
            let count = ((size - OVERLAP) / (window - OVERLAP)).ceil().max(1.0) as usize;
            count
        };
        let paper = scene.page.paper;
        (count(paper.width, self.window.width()), count(paper.height, self.window.height()))
    }

    /// The part of the scene that a tile shows: all of them are as large as the window and lie about
    /// the scene's middle.
    fn shown(&self, scene: &Scene, column: usize, columns: usize, row: usize, rows: usize) -> Area {
        let start = |size: f64, window: f64, index: usize, count: usize| {
            #[allow(clippy::cast_precision_loss)] // a few sheets
            let (index, count) = (index as f64, count as f64);
            0.5 * (size - window - (count - 1.0) * (window - OVERLAP)) + index * (window - OVERLAP)
        };
        let paper = scene.page.paper;
        let (width, height) = (self.window.width(), self.window.height());
        let (left, top) = (start(paper.width, width, column, columns), start(paper.height, height, row, rows));
        Area { left, top, right: left + width, bottom: top + height }
    }

    /// Crosses in the strips that neighbours share, each pair with a letter of its own.
    fn crosses(&self, scene: &Scene, columns: usize, rows: usize) -> Vec<Mark> {
        let mut page = Page::new(scene.page.paper);
        let mut letters = 'A'..='Z';
        let mut cross = |[x, y]: Place, spots: [(Place, Hold); 2]| {
            page.line(&[[x - CROSS, y], [x + CROSS, y]], Pen::THIN);
            page.line(&[[x, y - CROSS], [x, y + CROSS]], Pen::THIN);
            page.draw(Path::circle([x, y], 0.5 * CROSS), Pen::THIN);
            let letter = letters.next().unwrap_or('*').to_string();
            let words = format!("{letter} on {letter}");
            let wide = Style::BODY.width(&words);
            let is_clear = |([x, y], hold): &(Place, Hold)| {
                let left = match hold {
                    Hold::Start => *x,
                    Hold::Middle => x - 0.5 * wide,
                    Hold::End => x - wide,
                };
                let area = Area { left, top: y - Style::BODY.capital, right: left + wide, bottom: *y };
                scene.page.is_clear(&area.grown(0.5))
            };
            match spots.iter().find(|spot| is_clear(spot)) {
                Some((at, hold)) => page.text(*at, *hold, &words, Style::BODY),
                None => page.text([x + 2.4, y - 1.6], Hold::Start, &letter, Style::BODY),
            };
        };
        for row in 0..rows {
            for column in 0..columns {
                let shown = self.shown(scene, column, columns, row, rows);
                let between = |from: f64, to: f64, share: f64| from + share * (to - from);
                for share in [0.2, 0.8] {
                    if column + 1 < columns {
                        let [x, y] = [shown.right - 0.5 * OVERLAP, between(shown.top, shown.bottom, share)];
                        let below = y + CROSS + 1.5 + Style::BODY.capital;
                        cross([x, y], [([x, y - CROSS - 1.5], Hold::Middle), ([x, below], Hold::Middle)]);
                    }
                    if row + 1 < rows {
                        let [x, y] = [between(shown.left, shown.right, share), shown.bottom - 0.5 * OVERLAP];
                        let (by, y_of_words) = (CROSS + 1.5, y + 0.5 * Style::BODY.capital);
                        cross([x, y], [([x + by, y_of_words], Hold::Start), ([x - by, y_of_words], Hold::End)]);
                    }
                }
            }
        }
        page.marks
    }

    fn draw_scene(&self, page: &mut Page, scene: &Scene, shown: &Area, crosses: &[Mark]) {
        let by = [self.window.left - shown.left, self.window.top - shown.top];
        let Area { left, top, right, bottom } = self.window;
        let moved: Vec<Mark> = scene.page.marks.iter().chain(crosses).map(|mark| moved(mark, by)).collect();
        let (texts, shapes): (Vec<Mark>, Vec<Mark>) = moved.into_iter().partition(|mark| matches!(mark, Mark::Text(_)));
        page.clipped(Path::rectangle([left, top], [right, bottom]), |page| page.marks.extend(shapes));
        let kept = texts.into_iter().filter_map(|mark| match mark {
            Mark::Text(text) => self.whole(text),
            _ => None,
        });
        page.marks.extend(kept.map(Mark::Text));
        for name in &scene.names {
            self.write_name(page, name, by);
        }
        page.draw(
            Path::rectangle([left, top], [right, bottom]),
            Pen { width: NARROW, dash: Dash::Hidden, colour: QUIET },
        );
    }

    /// A name along what this sheet shows of its line, at the middle if that is free, else beside it; nowhere
    /// where less is shown than it is long.
    fn write_name(&self, page: &mut Page, name: &Name, [dx, dy]: [f64; 2]) {
        let long = Style::BODY.width(&name.words);
        let (top, bottom) =
            ((name.y[0] + dy).max(self.window.top) + OVERLAP, (name.y[1] + dy).min(self.window.bottom) - OVERLAP);
        let x = name.x + dx;
        let room = bottom - top - long;
        if room < 0.0 || x - Style::BODY.capital < self.window.left || x > self.window.right {
            return;
        }
        let middles = [0.5, 0.3, 0.7, 0.1, 0.9].map(|share| top + 0.5 * long + share * room);
        let area = |middle: f64| Area {
            left: x - Style::BODY.capital - 0.5,
            top: middle - 0.5 * long - 1.0,
            right: x + 0.5,
            bottom: middle + 0.5 * long + 1.0,
        };
        if let Some(middle) = middles.into_iter().find(|middle| page.is_clear(&area(*middle))) {
            page.text_upwards([x, middle], Hold::Middle, &name.words, Style::BODY);
        }
    }

    /// Words that the sheet's edge would cut stand whole on the neighbour, or are moved along their
    /// line where they are longer than what neighbours share and this sheet has more than half.
    fn whole(&self, text: Text) -> Option<Text> {
        let area = text.area();
        let window = self.window.grown(-INSIDE);
        if window.holds(&area) {
            return Some(text);
        }
        let (long, start, end, low, high) = if text.upwards {
            (area.height(), area.top, area.bottom, window.top, window.bottom)
        } else {
            (area.width(), area.left, area.right, window.left, window.right)
        };
        let inside = end.min(high) - start.max(low);
        if long <= OVERLAP || inside < 0.5 * long {
            return None;
        }
        let by = (low - start).max(0.0) + (high - end).min(0.0);
        let [x, y] = text.at;
        let at = if text.upwards { [x, y + by] } else { [x + by, y] };
        let text = Text { at, ..text };
        window.holds(&text.area()).then_some(text)
    }

    fn draw_rulers(&self, page: &mut Page, scene: &Scene, shown: &Area, units: Units) {
        let Area { left, right, bottom, .. } = self.window;
        let to_page = [left - shown.left, self.window.top - shown.top];
        let zero = [scene.zero[0] + to_page[0], scene.zero[1] + to_page[1]];
        for (at, long, words) in ticks(left - zero[0], right - zero[0], units) {
            let x = zero[0] + at;
            page.line(&[[x, bottom], [x, bottom + long]], Pen::THIN);
            if let Some(words) = words.filter(|words| fits(x, words, left, right)) {
                page.text([x, bottom + 6.8], Hold::Middle, &words, Style::SMALL);
            }
        }
        for (at, long, words) in ticks(zero[1] - bottom, zero[1] - self.window.top, units) {
            let y = zero[1] - at;
            page.line(&[[left, y], [left - long, y]], Pen::THIN);
            if let Some(words) = words.filter(|words| fits(y, words, self.window.top, bottom)) {
                page.text_upwards([left - 4.9, y], Hold::Middle, &words, Style::SMALL);
            }
        }
    }

    fn draw_foot(&self, page: &mut Page, sheets: &Sheets, scene: &str, sheet: usize, of: usize) {
        let left = WHITE;
        let right = page.paper.width - WHITE;
        let step = Style::BODY.line_height();
        let mut y = self.window.bottom + RULER + 4.5;
        page.text([right, y], Hold::End, &format!("Sheet {sheet} of {of}"), Style::BODY);
        y = page.lines([left, y], &self.heading, Style::BODY.bold());
        let subject = format!("{}, {}, {scene}", sheets.document, sheets.paper.name);
        y = page.lines([left, y], &Style::BODY.wrap_at_most(&subject, right - left, 1), Style::BODY);
        bar(page, [left, y + 1.5]);
        page.lines([left + BAR + 4.0, y], &Style::BODY.wrap(FULL_SIZE, right - left - BAR - 4.0), Style::BODY);
        y += FULL_SIZE_LINES * step + 1.0;
        y = page.lines([left, y], &self.fails, Style::BODY.bold().coloured(FAILS));
        y = page.lines([left, y], &self.not_chosen, Style::BODY.bold().coloured(NEAR));
        page.lines([left, y], &self.caution, Style::BODY);
    }
}

/// The bar of 100 mm: what lies between the outer edges of its end strokes.
fn bar(page: &mut Page, [x, y]: Place) {
    page.fill(Path::rectangle([x, y - 0.4], [x + BAR, y + 0.4]), QUIET);
    for end in [[x, x + 0.5], [x + BAR - 0.5, x + BAR]] {
        page.fill(Path::rectangle([end[0], y - 2.2], [end[1], y + 2.2]), super::pen::INK);
    }
    page.text([x + 0.5 * BAR, y - 1.2], Hold::Middle, "this bar: 100 mm", Style::SMALL);
}

/// Whether a ruler's figure stays between the ends of its strip.
fn fits(at: f64, words: &str, low: f64, high: f64) -> bool {
    let half = 0.5 * Style::SMALL.width(words);
    at - half >= low && at + half <= high
}

/// Marks of a ruler between two values, mm: where, how long, and the figure at some.
fn ticks(from: f64, to: f64, units: Units) -> Vec<(f64, f64, Option<String>)> {
    let (step, long, middle) = match units {
        Units::Millimetre => (1.0, 10, 5),
        Units::Inch | Units::FeetInch => (MM_PER_INCH / 16.0, 16, 8),
    };
    #[allow(clippy::cast_possible_truncation)] // a wall is far below the limit
    let (first, last) = ((from / step).ceil() as i64, (to / step).floor() as i64);
    let tick = |number: i64| {
        #[allow(clippy::cast_precision_loss)] // as above
        let at = number as f64 * step;
        if number % long == 0 {
            return (
                at,
                4.0,
                Some(ruler_figure(if units == Units::Millimetre { number } else { number / long }, units)),
            );
        }
        (at, if number % middle == 0 { 3.0 } else { 1.8 }, None)
    };
    (first..=last).map(tick).collect()
}

/// A whole number of millimetres or inches as it is typed: of feet and inches with its marks.
fn ruler_figure(number: i64, units: Units) -> String {
    let (sign, size) = (if number < 0 { "−" } else { "" }, number.unsigned_abs());
    match (units, size / 12, size % 12) {
        (Units::Millimetre | Units::Inch, ..) => format!("{sign}{size}"),
        (Units::FeetInch, 0, inches) => format!("{sign}{inches}\""),
        (Units::FeetInch, feet, inches) => format!("{sign}{feet}'-{inches}\""),
    }
}

fn place_words(column: usize, columns: usize, row: usize, rows: usize) -> String {
    match (columns, rows) {
        (1, 1) => String::new(),
        (1, _) => format!(", part {} of {rows} from the top", row + 1),
        (_, 1) => format!(", part {} of {columns} from the left", column + 1),
        _ => format!(", row {} of {rows}, column {} of {columns}", row + 1, column + 1),
    }
}

/// The box of a mark; of a clip none.
fn area_of(mark: &Mark) -> Option<Area> {
    match mark {
        Mark::Text(text) => Some(text.area()),
        Mark::Shape { path, .. } => path.area(),
        Mark::Clip(_) | Mark::Unclip => None,
    }
}

fn moved(mark: &Mark, [dx, dy]: [f64; 2]) -> Mark {
    let at = |[x, y]: Place| [x + dx, y + dy];
    let path = |path: &Path| {
        let step = |step: &Step| match *step {
            Step::Move(to) => Step::Move(at(to)),
            Step::Line(to) => Step::Line(at(to)),
            Step::Curve(one, two, to) => Step::Curve(at(one), at(two), at(to)),
            Step::Close => Step::Close,
        };
        Path { steps: path.steps.iter().map(step).collect() }
    };
    match mark {
        Mark::Shape { path: shape, pen, fill } => Mark::Shape { path: path(shape), pen: *pen, fill: *fill },
        Mark::Text(text) => Mark::Text(Text { at: at(text.at), ..text.clone() }),
        Mark::Clip(shape) => Mark::Clip(path(shape)),
        Mark::Unclip => Mark::Unclip,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(width: f64, height: f64, units: Units, title: &str) -> Vec<Page> {
        let mut scene = Scene::new("Left set", width, height, [0.5 * width, height]);
        scene.page.line(&[[0.0, 0.0], [width, height]], Pen::OUTLINE);
        let fails = Some(format!("Not to be built as it is: {}.", "Clears the room (−2.10 mm), ".repeat(9)));
        let notices = Notices { fails, not_chosen: None, caution: "A falling panel can kill." };
        let paper = Paper::of_office(units);
        Sheets { paper, title, document: "Wall template", units, notices: &notices }.cut(&[scene])
    }

    #[test]
    fn sheets_cover_all_of_it_and_no_words_lie_over_others() {
        let long = "Ein überaus langer Titel für eine Küchenklappe ".repeat(20);
        for (units, title) in [(Units::Millimetre, "Short"), (Units::FeetInch, long.as_str())] {
            for (width, height, least) in [(80.0, 100.0, 1), (170.0, 600.0, 3), (400.0, 300.0, 5)] {
                let pages = cut(width, height, units, title);
                assert!(pages.len() >= least, "{} of {width} × {height}", pages.len());
                for page in &pages {
                    assert_eq!(page.faults(), Vec::<String>::new());
                    assert!(page.texts().any(|text| text.words.starts_with("Print at 100 %")));
                }
            }
        }
    }

    #[test]
    fn every_sheet_of_a_long_thing_has_its_name_whole() {
        let mut scene = Scene::new("Left set", 170.0, 1200.0, [85.0, 1200.0]);
        scene.page.line(&[[80.0, 0.0], [80.0, 1200.0]], Pen::OUTLINE);
        scene.names.push(Name { words: "left wall bar".into(), x: 84.0, y: [0.0, 1200.0] });
        let notices = Notices { fails: None, not_chosen: None, caution: "A falling panel can kill." };
        let sheets =
            Sheets { paper: Paper::A4, title: "T", document: "D", units: Units::Millimetre, notices: &notices };
        let pages = sheets.cut(&[scene]);
        assert!(pages.len() >= 5);
        for page in &pages {
            let name = page.texts().find(|text| text.words == "left wall bar").expect("its name").area();
            assert!(name.top > WHITE + OVERLAP - 1.0 && page.lines_through(&name) == 0, "{name:?}");
            assert_eq!(page.faults(), Vec::<String>::new());
        }
    }

    #[test]
    fn every_figure_of_a_ruler_is_read_as_where_it_stands() {
        use overarm_solver::units::{Quantity, read};
        for units in [Units::Millimetre, Units::Inch, Units::FeetInch] {
            let figures: Vec<(f64, String)> =
                ticks(-700.0, 2600.0, units).into_iter().filter_map(|(at, _, words)| Some((at, words?))).collect();
            assert!(figures.len() > 100);
            for (at, words) in figures {
                let found = read(&words, Quantity::Length, units).expect("a length");
                assert!((found - at).abs() < 1e-9, "{words}: {found} at {at}");
            }
        }
        assert_eq!(ruler_figure(83, Units::FeetInch), "6'-11\"");
        assert_eq!([0, -14].map(|number| ruler_figure(number, Units::FeetInch)), ["0\"", "−1'-2\""]);
    }

    #[test]
    fn a_sheet_without_anything_is_left_out() {
        let mut scene = Scene::new("Far apart", 170.0, 1400.0, [0.0, 0.0]);
        for y in [10.0, 1390.0] {
            scene.page.draw(Path::circle([80.0, y], 5.0), Pen::OUTLINE);
        }
        let notices = Notices { fails: None, not_chosen: None, caution: "A falling panel can kill." };
        let sheets =
            Sheets { paper: Paper::A4, title: "T", document: "D", units: Units::Millimetre, notices: &notices };
        assert_eq!(sheets.cut(&[scene]).len(), 2);
    }

    #[test]
    fn what_nobody_would_paste_together_is_one_sheet_that_says_so() {
        let pages = cut(170.0, 1e9, Units::Millimetre, "Short");
        assert_eq!(pages.len(), 1);
        assert!(pages[0].texts().any(|text| text.words.contains("is not printed")));
        assert_eq!(pages[0].faults(), Vec::<String>::new());
    }

    #[test]
    fn neighbours_share_their_crosses() {
        let pages = cut(170.0, 600.0, Units::Millimetre, "Short");
        let is_letter = |words: &str| words.contains(" on ") || (words.len() == 1 && words >= "A");
        let letters = |page: &Page| page.texts().filter(|text| is_letter(&text.words)).count();
        // A pair at each of two joints: the middle sheet has both.
        assert_eq!(pages.iter().map(letters).collect::<Vec<_>>(), [2, 4, 2]);
    }
}
