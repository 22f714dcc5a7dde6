//! What is drawn 1:1 and may be larger than a sheet: cut into sheets that overlap, each with a ruler
//! in both axes, a bar of 100 mm, and crosses by which neighbours are laid on each other.

use overarm_solver::Units;

use super::axis::OVERLAP;
use super::grid::{self, Tile};
use super::notices::Notices;
use super::page::{Area, Hold, Mark, Page, Text};
use super::paper::Paper;
use super::path::{Path, Place, Step};
use super::pen::{Dash, FAILS, NARROW, NEAR, Pen, QUIET};
use super::rulers::{self, RULER};
use super::typeface::Style;

/// White around a sheet, mm.
const WHITE: f64 = 10.0;
/// Sheets that anybody would paste together.
const MOST: usize = 60;
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
        let size = layout.size();
        let mut tiles = Vec::new();
        let printed: Vec<Scene> = scenes.iter().map(|scene| layout.printable(scene)).collect();
        for scene in &printed {
            let counts = grid::counts(&scene.page, size);
            tiles.extend(grid::tiles(&scene.page, size).into_iter().map(|tile| (scene, counts, tile)));
        }
        let of = tiles.len();
        let sheet = |(index, (scene, counts, tile)): (usize, (&Scene, (usize, usize), Tile))| {
            let mut page = Page::new(self.paper);
            layout.draw_scene(&mut page, scene, &tile);
            let [dx, dy] = layout.to_sheet(&tile);
            rulers::draw(&mut page, &layout.window, [scene.zero[0] + dx, scene.zero[1] + dy], self.units);
            let place = place_words(&tile, counts);
            layout.draw_foot(&mut page, self, &format!("{}{place}", scene.name), index + 1, of);
            page.interrupt_lines();
            page
        };
        tiles.into_iter().enumerate().map(sheet).collect()
    }

    /// Width of what a sheet shows of a scene, mm.
    #[must_use]
    pub fn room_across(&self) -> f64 {
        self.paper.width - 2.0 * WHITE - RULER
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
            right: WHITE + RULER + sheets.room_across(),
            bottom: paper.height - WHITE - foot - RULER,
        };
        Self { window, heading, fails, not_chosen, caution }
    }

    fn size(&self) -> [f64; 2] {
        [self.window.width(), self.window.height()]
    }

    /// From a tile's place in the scene to its place on the sheet.
    fn to_sheet(&self, tile: &Tile) -> [f64; 2] {
        [self.window.left - tile.shown.left, self.window.top - tile.shown.top]
    }

    /// The scene, or one that says that it is too large to be pasted together.
    fn printable(&self, scene: &Scene) -> Scene {
        let (columns, rows) = grid::counts(&scene.page, self.size());
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

    fn draw_scene(&self, page: &mut Page, scene: &Scene, tile: &Tile) {
        let by = self.to_sheet(tile);
        let Area { left, top, right, bottom } = self.window;
        let shapes = scene.page.marks.iter().chain(&tile.crosses).filter(|mark| !matches!(mark, Mark::Text(_)));
        page.clipped(Path::rectangle([left, top], [right, bottom]), |page| {
            page.marks.extend(shapes.map(|mark| moved(mark, by)));
        });
        let crosses = tile.crosses.iter().filter(|mark| matches!(mark, Mark::Text(_)));
        page.marks.extend(crosses.map(|mark| moved(mark, by)));
        page.marks.extend(tile.texts.iter().map(|text| moved(&Mark::Text(text.clone()), by)));
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
        /// From the line's own ends, mm.
        const OFF: f64 = 2.0;
        let long = Style::BODY.width(&name.words);
        let (start, end) = (name.y[0] + dy, name.y[1] + dy);
        // What neighbours share belongs to crosses.
        let top = (start + OFF).max(self.window.top + OVERLAP);
        let bottom = (end - OFF).min(self.window.bottom - OVERLAP);
        let x = name.x + dx;
        let room = bottom - top - long;
        if room < 0.0 || x - Style::BODY.capital < self.window.left || x > self.window.right {
            return;
        }
        let middles = [0.5, 0.3, 0.7, 0.1, 0.9, 0.0, 1.0].map(|share| top + 0.5 * long + share * room);
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

fn place_words(Tile { column, row, .. }: &Tile, counts: (usize, usize)) -> String {
    match counts {
        (1, 1) => String::new(),
        (1, rows) => format!(", part {} of {rows} from the top", row + 1),
        (columns, 1) => format!(", part {} of {columns} from the left", column + 1),
        (columns, rows) => format!(", row {} of {rows}, column {} of {columns}", row + 1, column + 1),
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
