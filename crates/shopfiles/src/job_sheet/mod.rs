//! `job-sheet.pdf`: for the client and for the file. What the lift does in three pictures, every rule
//! with its margin, weights and power, what was assumed, and what it is not to be trusted with.

mod assumed;
mod cautions;
mod figures_of_it;
mod pictures;

use overarm_solver::{Analysis, Project, RuleFinding, show_signed_margin};

use crate::job_folder::Job;
use crate::sheet::figures::rounding_words;
use crate::sheet::flow::Flow;
use crate::sheet::frame::TitleBlock;
use crate::sheet::notices::Notices;
use crate::sheet::page::{Area, Page};
use crate::sheet::paper::Paper;
use crate::sheet::path::Path;
use crate::sheet::pdf::pdf;
use crate::sheet::pen::{FAILS, HOLDS, NEAR, Pen};
use crate::sheet::table::{Column, Table};
use crate::sheet::typeface::Style;

/// Heights that the three pictures may have, mm: the first that takes the fewest sheets.
const PICTURES: [f64; 3] = [92.0, 84.0, 76.0];

/// Height of what was assumed that is kept together with who takes over, and of the headings and lines about
/// both, mm.
const MOST_ASSUMED: f64 = 120.0;
const TAKEN_OVER: f64 = 48.0;

/// The file.
///
/// # Errors
/// A sentence where the PDF writer refuses.
pub fn job_sheet(job: &Job) -> Result<Vec<u8>, String> {
    pdf(job.project, "job sheet", &pages(job.project, job.analysis))
}

/// Its sheets.
#[must_use]
pub fn pages(project: &Project, analysis: &Analysis) -> Vec<Page> {
    let laid_out = PICTURES.into_iter().map(|pictures| laid_out(project, analysis, pictures));
    laid_out.min_by_key(Vec::len).unwrap_or_default()
}

fn laid_out(project: &Project, analysis: &Analysis, pictures: f64) -> Vec<Page> {
    let notices = Notices::of(project, analysis);
    let block = TitleBlock::new(project, "Job sheet", "001", "Wall lift: what it does and what was checked");
    let mut flow = Flow::new(Paper::of_office(project.units()), block, &notices);
    let title = Style::TITLE.wrap_at_most(project.title(), flow.width(), 2).join(" ");
    flow.title(&title);
    verdict(&mut flow, analysis, &notices);
    flow.figure(pictures, |page, area| self::pictures::draw(page, area, project, analysis));
    flow.head("What it does");
    flow.table(&figures_of_it::table(project, analysis, flow.width()));
    if let Some(words) = rounding_words(project.units()) {
        flow.text(words);
    }
    rules(&mut flow, project, analysis);
    flow.head("Cautions");
    for caution in cautions::of(project, analysis) {
        flow.marked(&caution, Style::BODY, |page, area| mark(page, area, Some(true), true));
    }
    let table = assumed_table(&assumed::of(project), flow.width());
    // Who signs sees on the same sheet what was assumed.
    flow.keep(table.height().min(MOST_ASSUMED) + TAKEN_OVER);
    flow.head("What was assumed");
    flow.text("The project does not give these figures; each stands for what is common practice.");
    flow.table(&table);
    flow.head("Taken over by");
    flow.text(
        "I have read the cautions, and been shown the second retention and how the panel is brought down by hand.",
    );
    flow.figure(14.0, |page, area| {
        for (share, long, words) in [(0.0, 0.38, "Name"), (0.4, 0.18, "Date"), (0.6, 0.4, "Signature")] {
            let left = area.left + share * area.width();
            let right = left + long * area.width();
            page.line(&[[left, area.bottom - 5.0], [right, area.bottom - 5.0]], Pen::THIN);
            page.text([left, area.bottom - 1.2], crate::sheet::page::Hold::Start, words, Style::SMALL);
        }
    });
    flow.finish(None)
}

/// Two figures beside each other, read down the left ones first.
fn assumed_table(assumed: &[(&str, String)], width: f64) -> Table {
    let shares = [0.32, 0.18, 0.32, 0.18];
    let titles = ["Figure", "Taken as", "Figure", "Taken as"];
    let columns = titles.into_iter().zip(shares).map(|(title, share)| Column::words(title, share * width));
    let mut table = Table::new(columns.collect());
    let deep = assumed.len().div_ceil(2);
    for row in 0..deep {
        let cell = |index: usize| match assumed.get(index) {
            Some((what, value)) => [(*what).to_owned(), value.clone()],
            None => [String::new(), String::new()],
        };
        let ([left, left_value], [right, right_value]) = (cell(row), cell(row + deep));
        table.row([left, left_value, right, right_value]);
    }
    table
}

fn verdict(flow: &mut Flow, analysis: &Analysis, notices: &Notices) {
    let count = |holds: Option<bool>| analysis.rules.iter().filter(|rule| rule.holds == holds).count();
    let near = analysis.rules.iter().filter(|rule| rule.holds == Some(true) && rule.near).count();
    let (fails, checked) = (count(Some(false)), count(Some(true)) + count(Some(false)));
    let open = count(None);
    let all = checked + open;
    let of = if open == 0 { format!("all {all} rules") } else { format!("{checked} of {all} rules") };
    // What is drawn though nobody chose it is not ready either.
    let unready = notices.not_chosen.is_some();
    let (words, colour) = match (fails, near) {
        (0, 0) if unready => (format!("Not ready: {of} checked, which hold; no bearing is chosen."), NEAR),
        (0, 0) => (format!("Holds: {of} checked."), HOLDS),
        (0, near) => (format!("Holds, {near} near the limit: {of} checked."), NEAR),
        (fails, _) => (format!("Fails: {fails} of {checked} rules checked. Not to be built as it is."), FAILS),
    };
    flow.marked(&words, Style::BODY.bold().coloured(colour), |page, area| {
        mark(page, area, Some(fails == 0), near > 0 || unready);
    });
}

fn rules(flow: &mut Flow, project: &Project, analysis: &Analysis) {
    let order = |rule: &&RuleFinding| match (rule.holds, rule.near) {
        (Some(false), _) => 0,
        (Some(true), true) => 1,
        _ => 2,
    };
    let mut checked: Vec<&RuleFinding> = analysis.rules.iter().filter(|rule| rule.holds.is_some()).collect();
    checked.sort_by_key(order);
    for (index, rule) in checked.into_iter().enumerate() {
        let margin = rule.margin.map_or_else(String::new, |margin| {
            format!(" ({})", show_signed_margin(margin, rule.unit, project.units()))
        });
        let (head, text) = (format!("{}{margin}", rule.rule.title()), rule.without_field_names());
        let colour = match order(&rule) {
            0 => FAILS,
            1 => NEAR,
            _ => HOLDS,
        };
        let both = flow.marked_height(&head, Style::BODY.bold()) + flow.marked_height(&text, Style::BODY);
        if index == 0 {
            flow.keep(Flow::HEADING + both);
            flow.head("Rules and margins");
        }
        flow.keep(both);
        flow.marked(&head, Style::BODY.bold().coloured(colour), |page, area| mark(page, area, rule.holds, rule.near));
        flow.marked(&text, Style::BODY, |_, _| {});
        flow.space(1.0);
    }
    let open: Vec<&str> =
        analysis.rules.iter().filter(|rule| rule.holds.is_none()).map(|rule| rule.rule.title()).collect();
    if !open.is_empty() {
        flow.text(&format!("Not checked: {}. These rules say nothing either way.", open.join(", ")));
    }
}

/// Tick, triangle or cross, drawn as a shape in a box.
fn mark(page: &mut Page, area: Area, holds: Option<bool>, near: bool) {
    let Area { left, top, right, bottom } = area;
    let (x, y) = (0.5 * (left + right), 0.5 * (top + bottom));
    match (holds, near) {
        (Some(false), _) => {
            let pen = Pen::OUTLINE.coloured(FAILS);
            page.line(&[[left + 0.3, top + 0.3], [right - 0.3, bottom - 0.3]], pen);
            page.line(&[[left + 0.3, bottom - 0.3], [right - 0.3, top + 0.3]], pen);
        }
        (Some(true), true) => {
            page.fill(Path::polygon(&[[x, top + 0.2], [right, bottom - 0.2], [left, bottom - 0.2]]), NEAR);
        }
        _ => {
            page.line(&[[left, y], [x - 0.4, bottom - 0.4], [right, top + 0.4]], Pen::OUTLINE.coloured(HOLDS));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project_file;
    use overarm_solver::{Options, Rule, analyse};

    fn sheets(change: impl FnOnce(&mut Project)) -> (Analysis, Vec<Page>) {
        let mut project =
            project_file::parse(include_bytes!("../../../../demo/chapel-hatch.overarm.json")).expect("the demo");
        change(&mut project);
        let analysis = analyse(&project, &Options { poses: 13, swept: false });
        let pages = pages(&project, &analysis);
        for page in &pages {
            assert_eq!(page.faults(), Vec::<String>::new());
        }
        (analysis, pages)
    }

    fn all_words(pages: &[Page]) -> String {
        let lines: Vec<&str> = pages.iter().flat_map(Page::texts).map(|text| text.words.as_str()).collect();
        lines.join(" ")
    }

    #[test]
    fn every_checked_rule_stands_in_it_with_its_margin() {
        let (analysis, pages) = sheets(|_| {});
        let words = all_words(&pages);
        for rule in &analysis.rules {
            assert!(words.contains(rule.rule.title()), "{}", rule.rule.title());
        }
        assert!(words.contains("local code") && words.contains("second retention"), "{words}");
        assert!(words.contains("25 mm") && words.contains("100 mm"), "gaps of ISO 13854");
    }

    #[test]
    fn what_fails_stands_on_every_sheet_and_what_is_assumed_is_told() {
        let (analysis, pages) = sheets(|project| {
            project.room.clearance = Some(400.0);
            project.joints = None;
            project.bars.running_clearance = None;
            project.title = Some("Ein überaus langer Titel ".repeat(30));
        });
        assert!(analysis.rules.iter().any(|rule| rule.rule == Rule::ClearsRoom && rule.holds == Some(false)));
        for page in &pages {
            assert!(all_words(std::slice::from_ref(page)).contains("Not to be built as it is"), "on every sheet");
        }
        let words = all_words(&pages);
        assert!(words.contains("0.50 mm") && words.contains("50 N"), "{words}");
        let signed = pages.iter().find(|page| all_words(std::slice::from_ref(page)).contains("Signature"));
        assert!(all_words(std::slice::from_ref(signed.expect("who takes over"))).contains("What was assumed"));
    }

    #[test]
    fn a_bore_that_nobody_chose_is_told_and_not_green() {
        let (analysis, pages) = sheets(|project| {
            project.joints = None;
        });
        let checked = analysis.rules.iter().filter(|rule| rule.holds.is_some()).count();
        assert!(analysis.holds() && checked < analysis.rules.len());
        for page in &pages {
            let words = all_words(std::slice::from_ref(page));
            assert!(words.contains("hinge bores of Ø8.000 mm stand by default"), "on every sheet: {words}");
        }
        let verdict = pages[0].texts().find(|text| text.words.starts_with("Not ready")).expect("the verdict");
        assert!(verdict.words.contains(&format!("{checked} of 17 rules checked")), "{}", verdict.words);
        assert_eq!(verdict.style.colour, NEAR);
        let (_, chosen) = sheets(|_| {});
        assert!(!all_words(&chosen).contains("by default"));
    }

    #[test]
    fn the_weights_are_those_of_the_parts_as_they_are_made() {
        let (analysis, pages) = sheets(|_| {});
        let project = project_file::parse(include_bytes!("../../../../demo/chapel-hatch.overarm.json")).expect("demo");
        // 6061 of 2.70 g/cm³; volumes are compared with bodies that other programs read (tests/reference).
        let parts = overarm_solver::parts(&project, &analysis.solids);
        let kilograms: Vec<f64> = parts[..4].iter().map(|part| part.volume * 2.70e-6).collect();
        let set: f64 = kilograms.iter().sum();
        // The wall bars stay; the panel weighs 16.
        let moves = 16.0 + 2.0 * (set - kilograms[0]);
        let wall = 16.0 + 2.0 * set;
        let words = all_words(&pages);
        for told in [format!("{set:.2} kg of bars in each"), format!("{moves:.1} kg move"), format!("{wall:.1} kg")] {
            assert!(words.contains(&told), "{told} in {words}");
        }
    }
}
