//! `drawings.pdf`: the assembly with its parts list, then one sheet for each of the eight parts: both
//! hands in full, each under its own number.

mod assembly;
mod contours;
mod edge_view;
mod flat;
mod front_view;
mod holes;
mod items;
mod labels;
mod lengths;
mod lowered;
mod notes;
mod section;

use overarm_solver::{Analysis, Hand, Part, PartName, Project};

use crate::job_folder::Job;
use crate::sheet::dimension::STEP;
use crate::sheet::frame::{Framed, TitleBlock, is_first_angle};
use crate::sheet::notices::Notices;
use crate::sheet::page::{Area, Page};
use crate::sheet::paper::Paper;
use crate::sheet::path::Place;
use crate::sheet::pdf::pdf;
use crate::sheet::table::Table;
pub(crate) use flat::Flat;
use flat::{largest_scale, scale_words};

/// Width of the column with the section, mm.
const SECTION: f64 = 124.0;
/// Least width and height of the section where it stands below the views, mm.
const SECTION_BELOW: f64 = 106.0;
const SECTION_LOW: f64 = 98.0;
/// Between fields of the sheet, mm.
const GAP: f64 = 6.0;
/// White at the left and at the right of the views, for dimensions, mm.
const AT_LEFT: f64 = 26.0;
const AT_RIGHT: f64 = 18.0;
/// Below the front view: a dimension and a mark.
const BELOW_FRONT: f64 = 13.0;
/// Between the views: the name of the edge view, a datum's letter.
const BETWEEN: f64 = 13.0;

/// The file.
///
/// # Errors
/// A sentence where the PDF writer refuses.
pub fn drawings(job: &Job) -> Result<Vec<u8>, String> {
    pdf(job.project, "drawings", &pages(job.project, job.analysis, job.parts))
}

/// Its sheets.
#[must_use]
pub fn pages(project: &Project, analysis: &Analysis, parts: &[Part]) -> Vec<Page> {
    let names = names(parts);
    (0..names.len()).filter_map(|index| page(project, analysis, parts, index)).collect()
}

/// What each sheet is of: the assembly, then every part.
#[must_use]
pub fn names(parts: &[Part]) -> Vec<String> {
    std::iter::once("Assembly".to_owned()).chain(parts.iter().map(name_of)).collect()
}

/// One sheet, in the order of [`names`]; `None` where there is none of that number.
#[must_use]
pub fn page(project: &Project, analysis: &Analysis, parts: &[Part], index: usize) -> Option<Page> {
    let notices = Notices::of(project, analysis);
    let of = parts.len() + 1;
    match index.checked_sub(1) {
        None => Some(assembly::sheet(project, analysis, parts, &notices, of)),
        Some(part) => Some(sheet(project, parts.get(part)?, &notices, index + 1, of)),
    }
}

/// "Left wall bar".
pub(crate) fn name_of(part: &Part) -> String {
    part_words(part.name, part.hand)
}

/// A part's name, which is that of its sheet among [`names`] as well: "Left wall bar".
#[must_use]
pub fn part_words(name: PartName, hand: Hand) -> String {
    let hand = if hand == Hand::Left { "Left" } else { "Right" };
    format!("{hand} {}", name.words())
}

fn sheet(project: &Project, part: &Part, notices: &Notices, number: usize, of: usize) -> Page {
    let units = project.units();
    let paper = Paper::of_drawings(units);
    let mut block = TitleBlock::new(project, "Part drawing", &part.number, &name_of(part));
    let framed = Framed::new(paper, &block, notices);
    let layout = Layout::new(project, part, &framed);
    block.scale = scale_words(layout.scale);
    let mut page = Page::new(paper);
    framed.draw(&mut page, &block, number, of);
    layout.draw(&mut page, project);
    page.interrupt_lines();
    page
}

/// Where the fields of a part's sheet lie.
struct Layout<'a> {
    flat: Flat<'a>,
    scale: f64,
    views: Area,
    section: Area,
    holes: Table,
    holes_at: Place,
    contours: Option<(Table, Place)>,
    notes: Vec<String>,
    notes_area: Area,
    first_angle: bool,
}

impl<'a> Layout<'a> {
    /// Short parts have their section beside the views, long ones below them: whichever lets the
    /// views be larger.
    fn new(project: &Project, part: &'a Part, framed: &Framed) -> Self {
        let flat = Flat::new(part);
        let (free, beside) = (framed.free, framed.beside);
        let holes = holes::table(project, part);
        let notes = notes::of(project, part);
        // Section beside, the notes below it; the table below the views.
        let column = Area { left: free.right - SECTION, ..free };
        let notes_top = free.bottom - notes::height(&notes, SECTION);
        let in_column = contours::table(project, &flat, 2);
        let contours_top = in_column.as_ref().map_or(notes_top, |table| notes_top - GAP - table.height());
        let floor = beside.bottom - holes.height() - GAP;
        let floor = if holes.width() > beside.width() { floor.min(free.bottom - holes.height() - GAP) } else { floor };
        let tall = Area { right: column.left - GAP, bottom: floor, ..free };
        let at_right = contours::table(project, &flat, 1);
        // A long list of contours may stand between views and section instead.
        let narrow = Area { right: tall.right - contours::GROUP - GAP, ..tall };
        let [short, whole] = [contours_top, notes_top].map(|top| Area { bottom: top - GAP, ..column });
        // No section is smaller than its view.
        let section = |scale: f64, width: f64| section::room(&flat, project, scale, width);
        let beside = |views: &Area, column: &Area| {
            largest_scale(|scale| {
                let [wide, high] = section(scale, SECTION);
                fits(&flat, views, scale) && wide <= column.width() && high <= column.height()
            })
        };
        let in_tall = beside(&tall, &short);
        let listed = at_right.as_ref().map_or(0.0, Table::height);
        let in_narrow = if listed > narrow.height() { 0.0 } else { beside(&narrow, &whole) };
        // Section below: table and notes at its right, contours at the far right.
        let notes_right = if at_right.is_some() { free.right - contours::GROUP - GAP } else { free.right };
        let below = |scale: f64| {
            let wide = section(scale, SECTION_BELOW)[0].max(SECTION_BELOW);
            let left = free.left + wide + GAP;
            let beside = holes.height() + GAP + notes::height(&notes, notes_right - left);
            let needed = beside.max(section(scale, wide)[1]).max(SECTION_LOW).max(listed);
            (wide, Area { bottom: free.bottom - needed - GAP, ..free })
        };
        let in_low = largest_scale(|scale| {
            let (wide, low) = below(scale);
            fits(&flat, &low, scale) && free.left + wide + GAP + holes.width() <= notes_right
        });
        let first_angle = is_first_angle(project.units());
        if in_tall.max(in_narrow) >= in_low {
            let (scale, views, section, contours) = if in_tall >= in_narrow {
                (in_tall, tall, short, in_column.map(|table| (table, [column.left, contours_top])))
            } else {
                (in_narrow, narrow, whole, at_right.map(|table| (table, [narrow.right + GAP, free.top])))
            };
            Self {
                scale,
                section,
                contours,
                views,
                holes_at: [free.left, floor + GAP],
                notes_area: Area { top: notes_top, ..column },
                flat,
                holes,
                notes,
                first_angle,
            }
        } else {
            let (wide, low) = below(in_low);
            let (top, left) = (low.bottom + GAP, free.left + wide + GAP);
            Self {
                scale: in_low,
                section: Area { right: free.left + wide, top, ..free },
                views: low,
                holes_at: [left, top],
                notes_area: Area { left, top: top + holes.height() + GAP, right: notes_right, ..free },
                contours: at_right.map(|table| (table, [free.right - contours::GROUP, top])),
                flat,
                holes,
                notes,
                first_angle,
            }
        }
    }

    fn draw(&self, page: &mut Page, project: &Project) {
        let Self { flat, scale, views, .. } = self;
        let (front, edge) = (scale * (flat.high.y - flat.low.y), scale * flat.part.depth);
        let above_front = front_view::above(flat.part);
        let spare = (views.height() - front - edge - white(flat)).max(0.0);
        // The view from above lies below the front view in the first angle, above it in the third.
        let edge_below = flat.heads_up == self.first_angle;
        let (front_top, edge_top) = if edge_below {
            let front_top = views.top + above_front + 0.3 * spare;
            (front_top, front_top + front + BELOW_FRONT + BETWEEN + 0.4 * spare)
        } else {
            let edge_top = views.top + edge_dimensions(flat) + 0.3 * spare;
            (edge_top + edge + BETWEEN + above_front + 0.4 * spare, edge_top)
        };
        let long = scale * (flat.high.x - flat.low.x);
        let left = views.left + AT_LEFT + 0.5 * (views.width() - AT_LEFT - AT_RIGHT - long).max(0.0);
        let view = front_view::view(flat, [left, front_top], *scale);
        front_view::draw(page, flat, project, &view, *views);
        edge_view::draw(page, flat, project, [left, edge_top], *scale, edge_below);
        edge_view::names(page, flat, [left, edge_top], *scale, *views);
        front_view::names(page, flat, project, &view, *views);
        section::draw(page, flat, project, self.section);
        self.holes.draw(page, self.holes_at);
        if let Some((table, at)) = &self.contours {
            table.draw(page, *at);
        }
        notes::draw(page, &self.notes, [self.notes_area.left, self.notes_area.top], self.notes_area.right);
    }
}

/// White across the views, mm.
fn white(flat: &Flat) -> f64 {
    front_view::above(flat.part) + BELOW_FRONT + BETWEEN + edge_dimensions(flat)
}

/// Height of the dimensions beside the edge view, mm.
fn edge_dimensions(flat: &Flat) -> f64 {
    #[allow(clippy::cast_precision_loss)] // a handful of screws
    let count = flat.part.screw_holes.len() as f64;
    (count + 1.0) * STEP + 5.0
}

/// Whether both views and their dimensions fit at a scale.
fn fits(flat: &Flat, views: &Area, scale: f64) -> bool {
    let (long, wide) = (flat.high.x - flat.low.x, flat.high.y - flat.low.y);
    scale * long + AT_LEFT + AT_RIGHT <= views.width()
        && scale * (wide + flat.part.depth) + white(flat) <= views.height()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project_file;
    use overarm_solver::{Build, Options, Units, analyse, parts};

    const DEMOS: [&[u8]; 7] = [
        include_bytes!("../../../../demo/chapel-hatch.overarm.json"),
        include_bytes!("../../../../demo/book-niche.overarm.json"),
        include_bytes!("../../../../demo/book-niche-feet.overarm.json"),
        include_bytes!("../../../../demo/scullery-shelf.overarm.json"),
        include_bytes!("../../../../demo/scullery-shelf-feet.overarm.json"),
        include_bytes!("../../../../demo/vestry-tea-hatch.overarm.json"),
        include_bytes!("../../../../demo/vestry-tea-hatch-feet.overarm.json"),
    ];

    fn drawn(bytes: &[u8], change: impl Fn(&mut Project)) -> (Vec<Part>, Vec<Page>) {
        let mut project = project_file::parse(bytes).expect("a demo");
        change(&mut project);
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let parts = parts(&project, &analysis.solids);
        let pages = pages(&project, &analysis, &parts);
        let border = Framed::new(
            Paper::of_drawings(project.units()),
            &TitleBlock::new(&project, "", "", ""),
            &Notices::of(&project, &analysis),
        )
        .border;
        for (index, page) in pages.iter().enumerate() {
            assert_eq!(page.faults(), Vec::<String>::new(), "{}", project.title());
            assert!(page.crossed().is_empty(), "{} sheet {}: {:?}", project.title(), index + 1, page.crossed());
            for text in page.texts() {
                assert!(
                    border.holds(&text.area()),
                    "{} {:?} sheet {}: {} over the frame",
                    project.title(),
                    project.units(),
                    index + 1,
                    text.words
                );
            }
        }
        (parts, pages)
    }

    #[test]
    fn no_words_over_others_in_any_build_and_unit() {
        for bytes in DEMOS {
            for units in [Units::Millimetre, Units::Inch, Units::FeetInch] {
                for build in [Build::Lapped, Build::Sandwich] {
                    drawn(bytes, |project| {
                        project.units = Some(units);
                        project.bars.build = build;
                    });
                }
            }
        }
        // Pivots of a bar that lie level, and no bearing.
        for units in [Units::Millimetre, Units::Inch, Units::FeetInch] {
            drawn(DEMOS[0], |project| {
                project.units = Some(units);
                project.linkage.wall_lower.x = project.linkage.wall_upper.x;
                project.linkage.panel_lower.x = project.linkage.panel_upper.x;
                project.joints.as_mut().expect("joints").bearing = None;
            });
        }
        drawn(DEMOS[0], |project| {
            project.title = Some("Ein überaus langer Titel ".repeat(30));
            project.room.clearance = Some(500.0);
        });
    }

    /// Words on white that lies over an outline drawn before it.
    fn over_outlines(page: &Page) -> Vec<String> {
        use crate::sheet::page::Mark;
        use crate::sheet::pen::PAPER;
        let white = |mark: &Mark| match mark {
            Mark::Shape { path, pen: None, fill: Some(PAPER) } => path.area(),
            _ => None,
        };
        let mut before = Page::new(page.paper);
        let mut found = Vec::new();
        for mark in &page.marks {
            if let Some(area) = white(mark).filter(|area| before.outlines_through(&area.grown(-0.1)) > 0) {
                let on_it = page.texts().filter(|text| area.holds(&text.area()));
                found.push(on_it.map(|text| text.words.as_str()).collect::<Vec<_>>().join(" "));
            }
            before.marks.push(mark.clone());
        }
        found
    }

    #[test]
    fn every_hole_is_named_at_its_view_and_no_name_interrupts_an_outline() {
        for bytes in DEMOS {
            for units in [Units::Millimetre, Units::Inch, Units::FeetInch] {
                for build in [Build::Lapped, Build::Sandwich] {
                    let (parts, pages) = drawn(bytes, |project| {
                        project.units = Some(units);
                        project.bars.build = build;
                    });
                    for (part, page) in parts.iter().zip(&pages[1..]) {
                        let times = |words: &str| page.texts().filter(|text| text.words == words).count();
                        // Once in the table (a hinge's there with its name), once at the view.
                        let screws: Vec<String> = (1..=part.screw_holes.len()).map(|at| format!("S{at}")).collect();
                        assert!(screws.iter().all(|name| times(name) == 2), "{} {screws:?}", part.number);
                        assert!(times("H1") == 1 && times("H2") == 1, "{}", part.number);
                        let mut rows: Vec<_> =
                            page.texts().filter(|text| screws.contains(&text.words) && !text.style.bold).collect();
                        rows.sort_by(|a, b| a.at[1].total_cmp(&b.at[1]));
                        assert!(rows.iter().map(|text| &text.words).eq(&screws), "{rows:?}");
                        // From where the edge is seen: at the arrow and over the view. An arm's table of corners has
                        // the letter at its head as well.
                        let is_headed = part.datum.is_none() && !part.pockets().is_empty() && units != Units::FeetInch;
                        let heads = usize::from(is_headed);
                        assert!(times("Y") >= 2 + heads, "{}", part.number);
                        let is_key = |words: &str| words.starts_with("low, ") || words.starts_with("low behind, ");
                        let is_low = page.texts().any(|text| is_key(&text.words));
                        assert_eq!(is_low, !part.pockets().is_empty(), "{}", part.number);
                        // Numbers of corners stand on the corners' own outline where they are too many to stand off it.
                        let over = over_outlines(page).into_iter().filter(|words| words.parse::<u32>().is_err());
                        assert_eq!(
                            over.collect::<Vec<_>>(),
                            Vec::<String>::new(),
                            "{} {units:?} {build:?}",
                            part.number
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn every_part_of_each_hand_has_a_sheet_with_a_number_of_its_own() {
        // Layered, with a bearing in both faces, left and right are alike; lapped they are not.
        for build in [Build::Lapped, Build::Sandwich] {
            let (parts, pages) = drawn(DEMOS[0], |project| {
                project.bars.build = build;
                project.joints.as_mut().expect("joints").per_hinge = Some(2);
            });
            assert_eq!(pages.len(), 9);
            for (part, page) in parts.iter().zip(&pages[1..]) {
                let is_said = |words: &str| page.texts().any(|text| text.words == words);
                assert!(is_said(&name_of(part)) && is_said(&part.number), "{}", part.number);
                assert_eq!(parts.iter().filter(|other| other.number == part.number).count(), 1);
            }
        }
    }

    #[test]
    fn every_sheet_has_its_datums_and_a_section_no_smaller_than_its_views() {
        for bytes in DEMOS {
            for units in [Units::Millimetre, Units::Inch, Units::FeetInch] {
                for build in [Build::Lapped, Build::Sandwich] {
                    let (parts, pages) = drawn(bytes, |project| {
                        project.units = Some(units);
                        project.bars.build = build;
                    });
                    for (part, page) in parts.iter().zip(&pages[1..]) {
                        let words = || page.texts().map(|text| text.words.as_str());
                        for letter in ["A", "B"] {
                            assert!(words().any(|word| word == letter), "{letter} of {} in {units:?}", part.number);
                        }
                        let scale = |words: &str| -> f64 {
                            let (on_sheet, real) = words.split_once(':').expect("a scale");
                            on_sheet.parse::<f64>().expect("a figure") / real.parse::<f64>().expect("a figure")
                        };
                        let section = words().find_map(|word| word.strip_prefix("X–X  (")?.strip_suffix(')'));
                        let view = words().filter(|word| word.contains(':') && word.len() < 5).last().expect("a scale");
                        assert!(
                            scale(section.expect("a section")) >= scale(view),
                            "{} {view} {section:?}",
                            part.number
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn every_item_of_the_list_has_its_number_at_the_picture_or_says_that_it_is_not_drawn() {
        for bytes in DEMOS {
            let (parts, pages) = drawn(bytes, |_| {});
            let project = project_file::parse(bytes).expect("a demo");
            let items = items::of(&project, &parts);
            let rows = items::table(&items).rows;
            // The list's first column stands in a column of its own at the right.
            let list_left = pages[0].paper.width - 10.0 - 3.0 - items::LIST;
            let at_picture = |number: &str| {
                pages[0].texts().any(|text| text.words == number && text.at[0] < list_left && text.at[0] > 28.0)
            };
            for row in &rows {
                let is_drawn = !row.iter().any(|words| words.contains("not drawn"));
                assert_eq!(at_picture(&row[0]), is_drawn, "{} {row:?}", project.title());
            }
            let not_drawn = rows.iter().filter(|row| row[4].contains("not drawn")).count();
            assert!(not_drawn <= 4 && rows.len() >= 13, "{rows:?}");
        }
    }

    #[test]
    fn the_figures_are_the_models() {
        let (parts, pages) = drawn(DEMOS[0], |_| {});
        let left: Vec<&str> = pages[1].texts().map(|text| text.words.as_str()).collect();
        let all = left.join(" | ");
        assert_eq!(parts[0].number, "101");
        // tests/golden: pivots 90.097732 apart; by hand 15.62 and 40.55 off the wall, 146.58 long.
        // Cut to 18.90 to 19.00, two seats of 7.00 to 7.05: 4.80 to 5.00 stay between them.
        assert!(all.contains("Web 4.800 to 5.000") && !all.contains("Web 5.05"), "{all}");
        for words in ["90.098 ±0.020", "15.620 ±0.030", "40.550 ±0.030", "146.58", "38.10", "Ø22.000"] {
            assert!(all.contains(words), "{words} in {all}");
        }
    }
}
