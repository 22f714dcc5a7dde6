//! `set-up-sheets.pdf`: for every part the operations in order, each with its work zero, what
//! is held where, tools, speeds, feeds, depths, minutes, and what to gauge before it is unclamped.

mod cuts;
mod cutting;
mod operations;
mod shop_figure;
mod sketch;
mod tooling;

use overarm_solver::{Analysis, Part, Project, Units};

use crate::fixed_point::{fixed, fixed_short};
use crate::job_folder::Job;
use crate::part_drawings::name_of;
use crate::sheet::figures::{fraction_words, length, with_unit};
use crate::sheet::flow::Flow;
use crate::sheet::frame::TitleBlock;
use crate::sheet::notices::Notices;
use crate::sheet::page::Page;
use crate::sheet::paper::Paper;
use crate::sheet::pdf::pdf;
use crate::sheet::table::{Column, Table};
use crate::sheet::typeface::Style;
pub use shop_figure::ShopFigure;

use operations::{BY_HAND, Cut, Operation, SAW, plan, tenths};
use tooling::Shop;

/// The file.
///
/// # Errors
/// A sentence where the PDF writer refuses.
pub fn set_up_sheets(job: &Job) -> Result<Vec<u8>, String> {
    pdf(job.project, "set-up sheets", &pages(job.project, job.analysis, job.parts))
}

/// Its sheets, those of each part numbered among themselves.
#[must_use]
pub fn pages(project: &Project, analysis: &Analysis, parts: &[Part]) -> Vec<Page> {
    let notices = Notices::of(project, analysis);
    let mut pages: Vec<Page> = parts.iter().flat_map(|part| part_sheets(project, part, &notices)).collect();
    pages.extend(source_sheets(project, parts, &notices));
    pages
}

/// Where the figures of all sheets come from, once.
fn source_sheets(project: &Project, parts: &[Part], notices: &Notices) -> Vec<Page> {
    if parts.is_empty() {
        return Vec::new();
    }
    let block = TitleBlock::new(project, "Set-up sheet", "100-S", "Where the figures of all set-up sheets come from");
    let mut flow = Flow::new(Paper::of_office(project.units()), block, notices);
    flow.sentence("Where the figures come from", Style::TITLE);
    let mut sources = Table::new(vec![
        Column::words("Figure", 0.4 * flow.width()),
        Column::words("Where it comes from", 0.6 * flow.width()),
    ]);
    let shop = Shop::of(project);
    for source in parts.iter().flat_map(|part| shop.sources(&part.material)) {
        if !sources.rows.iter().any(|row| row.as_slice() == source.as_slice()) {
            sources.row(source);
        }
    }
    flow.table(&sources);
    if let Some(words) = fraction_words(project.units()) {
        flow.text(words);
    }
    flow.finish(None)
}

fn part_sheets(project: &Project, part: &Part, notices: &Notices) -> Vec<Page> {
    let number = format!("{}-S", part.number);
    let block = TitleBlock::new(project, "Set-up sheet", &number, &name_of(part));
    let mut flow = Flow::new(Paper::of_office(project.units()), block, notices);
    flow.sentence(&format!("{} {}", part.number, name_of(part)), Style::TITLE);
    let operations = plan(project, part);
    let minutes: f64 = operations.iter().map(Operation::minutes).sum();
    let setting_up: f64 = operations.iter().map(|operation| operation.set_up).sum();
    let changing: f64 = operations.iter().map(Operation::changing).sum();
    flow.text(&format!(
        "1 off, {}. About {minutes:.0} minutes: {setting_up} of them for setting up, {changing} for changing tools. \
         Speeds are starting values for sharp tools; whoever stands at the machine decides. Sheet 100-S says where they \
         come from.",
        part.material,
        setting_up = fixed_short(setting_up, 1),
        changing = fixed_short(changing, 1),
    ));
    let shop = Shop::of(project);
    if shop.cutting(&part.material).is_none() {
        flow.text(
            "No speeds are known for this material: take the tool maker's, or give shop.materials its figures. Times are \
             those of aluminium.",
        );
    }
    flow.sentence("Tools, in the order of their use", Style::BODY.bold());
    let tools = tools(&operations);
    for (number, (tool, reach)) in (1..).zip(&tools) {
        let reach = reach.map_or_else(String::new, |mm| {
            let mm = with_unit(&length(mm, project.units()), project.units());
            format!(", to reach {mm} or more")
        });
        flow.text(&format!("T{number} {tool}{reach}"));
    }
    for operation in &operations {
        draw_operation(&mut flow, project, part, operation, &tools);
    }
    flow.finish(None)
}

/// A tool, and how far it has to reach, mm.
type Tool<'a> = (&'a str, Option<f64>);

/// Every tool of a spindle once, with the farthest that any cut has it reach.
fn tools(operations: &[Operation]) -> Vec<Tool<'_>> {
    let mut found: Vec<Tool> = Vec::new();
    let in_spindle = |cut: &&Cut| cut.tool != BY_HAND && cut.tool != SAW;
    for cut in operations.iter().flat_map(|operation| &operation.cuts).filter(in_spindle) {
        match found.iter_mut().find(|(tool, _)| *tool == cut.tool) {
            Some((_, reach)) => *reach = [*reach, cut.reach].into_iter().flatten().reduce(f64::max),
            None => found.push((&cut.tool, cut.reach)),
        }
    }
    found
}

fn draw_operation(flow: &mut Flow, project: &Project, part: &Part, operation: &Operation, tools: &[Tool]) {
    let table = cuts_table(project, operation, tools, flow.width());
    let sketched = operation.zero != "none";
    flow.carry(None);
    flow.keep(Style::HEAD.line_height() + if sketched { sketch::HEIGHT + 40.0 } else { table.height() + 12.0 });
    let title = format!("{} {}", operation.number, operation.title);
    flow.head(&format!("{title}, about {:.0} min", operation.minutes()));
    flow.carry(Some(&title));
    flow.text(&format!("Held: {}.", operation.holding));
    if sketched {
        flow.text(&format!("Work zero: {}.", operation.zero));
        if sketch::fixed_jaw_below(part, operation) {
            flow.text(
                "The sketch has the fixed jaw below: where it stands at the back of the mill, turn part, sketch and \
                 program by half a turn.",
            );
        }
        flow.figure(sketch::HEIGHT, |page, area| sketch::draw(page, area, part, operation));
    }
    flow.table(&table);
    if !operation.gauge.is_empty() {
        let unit = match project.units() {
            Units::Millimetre => "mm",
            Units::Inch | Units::FeetInch => "in",
        };
        // One list is ticked on one sheet.
        let lines: f64 = operation.gauge.iter().map(|line| flow.marked_height(line, Style::BODY)).sum();
        flow.keep(1.5 * Style::BODY.line_height() + lines);
        flow.sentence(&format!("Gauge before it is unclamped ({unit})"), Style::BODY.bold());
        for line in &operation.gauge {
            flow.marked(line, Style::BODY, |page, area| {
                // A box to be ticked.
                let corners = ([area.left, area.top], [area.left + 2.8, area.top + 2.8]);
                page.draw(crate::sheet::path::Path::rectangle(corners.0, corners.1), crate::sheet::pen::Pen::THIN);
            });
        }
    }
}

fn cuts_table(project: &Project, operation: &Operation, tools: &[Tool], width: f64) -> Table {
    let (unit, per) = match project.units() {
        Units::Millimetre => ("mm/min", 1.0),
        Units::Inch | Units::FeetInch => ("in/min", 1.0 / overarm_solver::MM_PER_INCH),
    };
    let fixed_widths = 14.0 + 17.0 + 40.0 + 12.0;
    let rest = width - fixed_widths;
    let mut table = Table::new(vec![
        Column::words("Cut", 0.58 * rest),
        Column::words("Tool", 0.42 * rest),
        Column::figures("rpm", 14.0),
        Column::figures(unit, 17.0),
        Column::words("Depth", 40.0),
        Column::figures("min", 12.0),
    ]);
    for cut in &operation.cuts {
        let [turns, feed] = cut.speeds.map_or(["—".to_owned(), "—".to_owned()], |[turns, feed]| {
            // As finely as a dial is set.
            [fixed((turns / 10.0).round() * 10.0, 0), fixed(feed * per, usize::from(per < 1.0))]
        });
        let number = tools.iter().position(|(tool, _)| *tool == cut.tool);
        let tool = number.map_or_else(|| cut.tool.clone(), |index| format!("T{} {}", index + 1, cut.tool));
        table.row([cut.what.clone(), tool, turns, feed, cut.depth.clone(), fixed(cut.minutes, 1)]);
    }
    let mut add = |what: String, minutes: f64| {
        let none = String::new;
        table.row([what, none(), none(), none(), none(), fixed(minutes, 1)]);
    };
    if operation.set_up > 0.0 {
        add("Setting up: clamping, finding the zero".to_owned(), operation.set_up);
    }
    match operation.changes() {
        0 => {}
        1 => add("Putting the tool in".to_owned(), operation.changing()),
        many => add(format!("Changing tools, {many} times"), operation.changing()),
    }
    let all = [operation.set_up, operation.changing()].into_iter().chain(operation.cuts.iter().map(|cut| cut.minutes));
    if all.clone().filter(|minutes| *minutes > 0.0).count() > 1 {
        add("Together".to_owned(), all.map(tenths).sum());
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project_file;
    use overarm_solver::{Build, Options, analyse, parts};

    fn sheets(change: impl FnOnce(&mut Project)) -> (Vec<Part>, Vec<Page>) {
        let mut project =
            project_file::parse(include_bytes!("../../../../demo/chapel-hatch.overarm.json")).expect("the demo");
        change(&mut project);
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let parts = parts(&project, &analysis.solids);
        let pages = pages(&project, &analysis, &parts);
        for page in &pages {
            assert_eq!(page.faults(), Vec::<String>::new());
        }
        (parts, pages)
    }

    fn words(pages: &[Page]) -> String {
        pages.iter().flat_map(Page::texts).map(|text| text.words.as_str()).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn every_part_has_its_operations_in_any_build_and_unit() {
        for units in [Units::Millimetre, Units::Inch, Units::FeetInch] {
            for build in [Build::Lapped, Build::Sandwich] {
                let (parts, pages) = sheets(|project| {
                    project.units = Some(units);
                    project.bars.build = build;
                });
                let words = words(&pages);
                for part in &parts {
                    assert!(words.contains(&format!("{}-S", part.number)));
                }
                for title in ["10 Saw", "20 First face", "30 Turned over", "40 On its fixed edge", "Bench"] {
                    assert!(words.contains(title), "{title}");
                }
            }
        }
    }

    #[test]
    fn no_sheet_begins_without_its_operation_and_no_list_is_split() {
        for units in [Units::Millimetre, Units::Inch, Units::FeetInch] {
            for build in [Build::Lapped, Build::Sandwich] {
                let mut project = None;
                let (parts, pages) = sheets(|changed| {
                    changed.units = Some(units);
                    changed.bars.build = build;
                    project = Some(changed.clone());
                });
                let project = project.expect("changed");
                for part in &parts {
                    let operations = plan(&project, part);
                    let lists = || operations.iter().filter(|operation| !operation.gauge.is_empty());
                    let mut found = 0;
                    let number = format!("{}-S", part.number);
                    let of_part = |page: &&Page| page.texts().any(|text| text.words == number);
                    for page in pages.iter().filter(of_part) {
                        let texts: Vec<_> = page.texts().collect();
                        let first = texts.first().expect("words").words.as_str();
                        let is_title = first.starts_with(&part.number);
                        let heads = |operation: &Operation| {
                            let title = format!("{} {}", operation.number, operation.title);
                            first.starts_with(&title)
                                && (first == format!("{title}, continued") || first.contains(", about "))
                        };
                        assert!(is_title || operations.iter().any(heads), "{first}");
                        // Boxes to be ticked: as many on the sheet as its lists have lines.
                        let on_it: Vec<_> =
                            texts.iter().filter(|text| text.words.starts_with("Gauge before")).collect();
                        let lines = lists().skip(found).take(on_it.len()).flat_map(|operation| &operation.gauge);
                        found += on_it.len();
                        for line in lines {
                            let start: String = line.chars().take(20).collect();
                            let stands = texts.iter().any(|text| text.words.starts_with(&start));
                            assert!(stands, "{line} is not below its heading");
                        }
                    }
                    assert_eq!(found, lists().count(), "{}", part.number);
                }
            }
        }
    }

    #[test]
    fn speeds_are_what_the_table_gives() {
        let (_, pages) = sheets(|_| {});
        let words = words(&pages);
        // 243.84 m/min on 9.525 mm would be 8149 rpm: the spindle's 6000. Three teeth of 0.0762 mm at
        // 0.4 of the diameter, 1 / (2·√0.24): 1399.97 mm/min.
        assert!(words.contains("6000") && words.contains("1400"), "{words}");
        assert_eq!(words.matches("Where it comes from").count(), 1, "once for all parts");
        assert!(words.contains("T1 end mill") && words.contains("Tools, in the order of their use"), "{words}");
        for source in ["General Machining Guidelines", "Machinery's Handbook", "common practice, no source"] {
            assert!(words.contains(source), "{source}: {words}");
        }
        // Every seat is gauged where it is cut.
        assert!(words.contains("seat, outer face: 21.972 to 21.993"), "{words}");
    }

    #[test]
    fn minutes_add_up_as_they_are_printed() {
        let (parts, _) = sheets(|_| {});
        let project = project_file::parse(include_bytes!("../../../../demo/chapel-hatch.overarm.json")).expect("demo");
        let notices = Notices { fails: None, not_chosen: None, caution: "" };
        for part in &parts {
            let mut heads = Vec::new();
            for operation in plan(&project, part) {
                let rows = cuts_table(&project, &operation, &[], 180.0).rows;
                let minutes: Vec<f64> = rows.iter().map(|row| row[5].parse().expect("minutes")).collect();
                let (last, others) = minutes.split_last().expect("rows");
                let told = operation.minutes();
                assert!((last - told).abs() <= 0.5 + 1e-9, "{last} {told}");
                assert!(others.is_empty() || (others.iter().sum::<f64>() - last).abs() < 1e-6, "{minutes:?}");
                assert!(operation.set_up == 0.0 || rows.iter().any(|row| row[0].starts_with("Setting up")));
                heads.push(format!("{}, about {told:.0} min", operation.title));
            }
            let words = words(&part_sheets(&project, part, &notices));
            assert!(heads.iter().all(|head| words.contains(head.as_str())), "{heads:?} in {words}");
            let minutes =
                heads.iter().filter_map(|head| head.split(", about ").nth(1)?.split(' ').next()?.parse::<f64>().ok());
            let all = minutes.sum::<f64>();
            assert!(words.contains(&format!("About {all:.0} minutes: ")), "{all} in {words}");
        }
    }

    #[test]
    fn an_unknown_material_has_no_speeds() {
        let (_, pages) = sheets(|project| {
            project.bars.lower_arm.material = serde_json::from_value(serde_json::json!("mild steel")).ok();
        });
        assert!(words(&pages).contains("No speeds are known for this material"));
        let (_, pages) = sheets(|project| {
            project.bars.lower_arm.material = serde_json::from_value(serde_json::json!("mild steel")).ok();
            let steel = serde_json::json!({"mild steel": {"mill_speed": 120.0, "drill_speed": 30.0, "chip_share": 0.5,
                "source": "the tool maker's card"}});
            project.more.insert("shop".into(), serde_json::json!({"materials": steel}));
        });
        let words = words(&pages);
        // 120 m/min on 9.525 mm: 4010 rpm; three teeth of half of 0.0762 mm, 1 / (2·√0.24): 467.8 mm/min.
        assert!(words.contains("the tool maker's card") && words.contains("4010") && words.contains("468"), "{words}");
        assert!(!words.contains("No speeds are known"));
    }
}
