//! The assembly: one set pulled apart along z, the parts list, and the order in which it goes
//! together.

use nalgebra::Vector2;
use overarm_solver::{Analysis, Build, Mouth, Part, PartName, Point, Pose, Project, Vertex};

use super::flat::{largest_scale, scale_words};
use super::items::{self, Item, LIST, Thing};
use super::lengths;
use crate::sheet::dimension::FIGURE;
use crate::sheet::frame::{Framed, TitleBlock};
use crate::sheet::notices::Notices;
use crate::sheet::page::{Area, Hold, Page};
use crate::sheet::paper::Paper;
use crate::sheet::path::{Path, Place, View, crosses};
use crate::sheet::pen::{METAL_LIGHT, PAPER, Pen, QUIET};
use crate::sheet::typeface::Style;

/// The assembly's own number; parts follow on it.
const NUMBER: &str = "100";
/// From the first step of the assembly to the last, mm on the sheet: outwards is to the right and up. Less, down to the
/// second, where that lets it be drawn to a larger scale; up makes good what it lacks to the right, this many times.
const PULLED: [f64; 2] = [75.0, 36.0];
const LEAST: f64 = 60.0;
const MADE_GOOD: f64 = 2.0;
/// White about the picture for numbers, mm.
const AROUND: [f64; 2] = [30.0, 24.0];
/// From one step to the next at most, as a share of the whole.
const ONE_STEP: f64 = 1.0 / 3.0;
/// Share of the travel at which it is drawn: folded halfway, every part is seen.
const DRAWN_AT: f64 = 0.5;
/// Radius of an item's number, mm.
const BALLOON: f64 = 3.6;
/// Radius of a shim as it is drawn, in diameters of its pin.
const SHIM: f64 = 0.9;

/// What is put together in one step; bearings and pins at these hinges.
enum Step {
    Bars(Vec<PartName>),
    Bearings(Vec<Point>),
    Pins(Vec<Point>),
}

pub(super) fn sheet(project: &Project, analysis: &Analysis, parts: &[Part], notices: &Notices, of: usize) -> Page {
    let paper = Paper::of_drawings(project.units());
    let mut block =
        TitleBlock::new(project, "Assembly drawing", NUMBER, "Wall lift, two sets; the left set pulled apart");
    let framed = Framed::new(paper, &block, notices);
    let free = framed.free;
    let items = items::of(project, parts);
    let list = items::table(&items);
    let lines = steps_in_words(project, parts);
    let picture = Area { right: free.right - LIST - 6.0, ..free };
    let text_height = words_height(&lines, picture.width());
    let picture = Area { bottom: free.bottom - text_height - 4.0, ..picture };
    let mut page = Page::new(paper);
    let scale = exploded(&mut page, project, analysis, parts, &items, picture);
    block.scale = scale_words(scale);
    framed.draw(&mut page, &block, 1, of);
    list.draw(&mut page, [free.right - LIST, free.top]);
    let mut y = picture.bottom + 4.0 + Style::BODY.capital;
    page.text([free.left, y], Hold::Start, "Order of assembly, each set", Style::BODY.bold());
    y += Style::HEAD.line_height();
    for (index, line) in lines.iter().enumerate() {
        page.text([free.left, y], Hold::Start, &(index + 1).to_string(), Style::BODY);
        y = page.lines([free.left + 6.0, y], &Style::BODY.wrap(line, picture.width() - 6.0), Style::BODY);
    }
    page.interrupt_lines();
    page
}

fn words_height(lines: &[String], width: f64) -> f64 {
    #[allow(clippy::cast_precision_loss)] // a handful of lines
    let count = lines.iter().map(|line| Style::BODY.wrap(line, width - 6.0).len()).sum::<usize>() as f64;
    Style::HEAD.line_height() + count * Style::BODY.line_height() + Style::BODY.capital
}

/// From the panel's middle outwards: bars that lie in one plane, with the bearings that are pressed in from either
/// face before and behind them, and the pins to what lies inside of them.
fn steps(project: &Project, analysis: &Analysis, pose: &Pose, parts: &[Part]) -> Vec<Step> {
    use PartName::{LowerArm, PanelBar, UpperArm, WallBar};
    let planes: &[&[PartName]] = match project.bars.build {
        Build::Lapped => &[&[WallBar, PanelBar], &[LowerArm, UpperArm]],
        Build::Sandwich => &[&[UpperArm], &[WallBar, PanelBar], &[LowerArm]],
    };
    let mut found = Vec::new();
    let mut inside: Vec<Point> = Vec::new();
    for plane in planes {
        let hinges = |name: &PartName| {
            let bores = pivots(analysis, pose, *name);
            let part = parts.iter().find(|part| part.name == *name);
            part.into_iter().flat_map(|part| &part.hinges).zip(bores).collect::<Vec<_>>()
        };
        let hinges: Vec<_> = plane.iter().flat_map(hinges).collect();
        let here: Vec<Point> = hinges.iter().map(|(_, at)| *at).collect();
        let joined: Vec<Point> = here.iter().copied().filter(|at| is_among(&inside, *at)).collect();
        let pressed = |from: Mouth| -> Vec<Point> {
            hinges.iter().filter(|(hinge, _)| hinge.pressed_from.contains(&from)).map(|(_, at)| *at).collect()
        };
        let steps = [
            Step::Pins(joined),
            Step::Bearings(pressed(Mouth::Inner)),
            Step::Bars(plane.to_vec()),
            Step::Bearings(pressed(Mouth::Outer)),
        ];
        found.extend(steps.into_iter().filter(|step| match step {
            Step::Bars(_) => true,
            Step::Bearings(at) | Step::Pins(at) => !at.is_empty(),
        }));
        inside.extend(here);
    }
    found
}

/// Whether one of some places is this one.
fn is_among(places: &[Point], at: Point) -> bool {
    places.iter().any(|place| (place - at).norm() < 1e-3)
}

fn exploded(page: &mut Page, project: &Project, analysis: &Analysis, parts: &[Part], list: &[Item], area: Area) -> f64 {
    let pose = analysis.pose_at(DRAWN_AT);
    let steps = steps(project, analysis, &pose, parts);
    let bars = [PartName::WallBar, PartName::PanelBar, PartName::LowerArm, PartName::UpperArm];
    let points: Vec<Point> = bars.iter().flat_map(|bar| outline(analysis, &pose, *bar)).map(|v| v.at).collect();
    let Some(first) = points.first() else { return 1.0 };
    let (mut low, mut high) = (*first, *first);
    for point in &points {
        (low, high) = (low.inf(point), high.sup(point));
    }
    // Half-round ends reach beyond their corners.
    let round = Vector2::repeat(analysis.lift.lower_arm_radius().max(analysis.lift.upper_arm_radius()));
    (low, high) = (low - round, high + round);
    #[allow(clippy::cast_precision_loss)] // a handful of steps
    let gaps = (steps.len() - 1).max(1) as f64;
    let size = high - low;
    let room = [area.width() - AROUND[0], area.height() - AROUND[1]];
    let scale = largest_scale(|scale| scale * size.x + LEAST <= room[0] && scale * size.y + PULLED[1] <= room[1]);
    let left = [room[0] - scale * size.x, room[1] - scale * size.y];
    let right = left[0].clamp(LEAST, PULLED[0]);
    let up = (PULLED[1] + MADE_GOOD * (PULLED[0] - right)).min(left[1].max(PULLED[1]));
    let step = [right, -up].map(|by| by * (1.0 / gaps).min(ONE_STEP));
    let spare = (left[1] - gaps * step[1].abs()).max(0.0);
    let at_start = [area.left + 14.0, area.bottom - 10.0 - 0.5 * spare - scale * size.y];
    let view = View::new([at_start[0] - scale * low.x, at_start[1] + scale * high.y], scale);
    let moved = |index: usize| {
        #[allow(clippy::cast_precision_loss)] // five steps
        let by = index as f64;
        View::new([view.origin[0] + by * step[0], view.origin[1] + by * step[1]], scale)
    };
    let all = [analysis.lift.lower_arm_axis(&pose), analysis.lift.upper_arm_axis(&pose)].concat();
    for pivot in &all {
        page.line(&[view.place(*pivot), moved(steps.len() - 1).place(*pivot)], Pen::CENTRE.coloured(QUIET));
    }
    let hinge = parts.iter().flat_map(|part| &part.hinges).find_map(|hinge| hinge.bearing.clone());
    let bore = overarm_solver::pivot_bore(project);
    let mut named: Vec<(Place, Thing)> = Vec::new();
    for (index, step) in steps.iter().enumerate() {
        let view = moved(index);
        match step {
            Step::Bars(names) => {
                for name in names {
                    let shape = outline(analysis, &pose, *name);
                    page.paint(view.outline(&shape), METAL_LIGHT, Pen::OUTLINE);
                    let ends = if *name == PartName::WallBar || *name == PartName::PanelBar {
                        Some(shape.iter().map(|v| v.at.coords).sum::<Vector2<f64>>() / shape.len().max(1) as f64)
                    } else {
                        let axis = if *name == PartName::LowerArm {
                            analysis.lift.lower_arm_axis(&pose)
                        } else {
                            analysis.lift.upper_arm_axis(&pose)
                        };
                        Some(nalgebra::center(&axis[0], &axis[1]).coords)
                    };
                    let index = parts.iter().position(|part| part.name == *name);
                    if let (Some(at), Some(index)) = (ends, index) {
                        named.push((view.place(Point::from(at)), Thing::Part(index)));
                    }
                    if let Some(part) = index.map(|index| &parts[index]) {
                        let heads = screws(page, &view, part, analysis, &pose);
                        named.extend(heads.map(|at| (at, Thing::Screw(*name))));
                    }
                }
                for pivot in names.iter().flat_map(|name| pivots(analysis, &pose, *name)) {
                    page.paint(view.circle(pivot, 0.5 * bore), PAPER, Pen::THIN);
                }
            }
            Step::Bearings(at) => {
                let outside = hinge.as_ref().map_or(2.0 * bore, |bearing| bearing.outside);
                for pivot in at {
                    page.paint(view.circle(*pivot, 0.5 * outside), PAPER, Pen::OUTLINE.wide(0.35));
                    page.draw(view.circle(*pivot, 0.5 * bore), Pen::THIN);
                }
                named.extend(at.first().map(|pivot| (view.place(*pivot), Thing::Bearing)));
            }
            Step::Pins(at) => {
                // Each with its shim.
                for pivot in at {
                    page.paint(view.circle(*pivot, SHIM * bore), PAPER, Pen::THIN);
                    page.paint(view.circle(*pivot, 0.5 * bore), METAL_LIGHT, Pen::OUTLINE.wide(0.35));
                }
                named.extend(at.first().map(|pivot| (view.place(*pivot), Thing::Pin)));
                let edge = 0.5 * (0.5 + SHIM) * bore;
                named.extend(at.last().map(|last| (view.place(last + Vector2::new(edge, 0.0)), Thing::Shim)));
            }
        }
    }
    let notes =
        ["A second number, below the first, is the right set's."].into_iter().chain(lengths::note(project.units()));
    let notes: Vec<String> = notes.flat_map(|note| Style::BODY.wrap(note, area.width())).collect();
    page.lines([area.left, area.top + Style::BODY.capital], &notes, Style::BODY);
    balloons(page, &numbered(&named, list, parts), area);
    scale
}

/// The screws of a bar before they go in, pulled out of its face; the place of the last one's head, if it has any.
fn screws(page: &mut Page, view: &View, part: &Part, analysis: &Analysis, pose: &Pose) -> Option<Place> {
    /// Height of a head, and how far it stands off the bar, mm on the sheet.
    const HEAD: f64 = 1.6;
    const OFF: f64 = 7.0;
    let solid = analysis.solids.bar(part.name)?;
    let bores = solid.layers.iter().map(|layer| &layer.bores).find(|bores| bores.len() >= 2)?;
    let place = analysis.lift.room_from_bar(pose, part.name);
    let (first, second) = (place * bores[0].centre, place * bores[1].centre);
    let along = (second - first).normalize();
    let at = |point: Point| first + along * point.x + Vector2::new(-along.y, along.x) * point.y;
    let mut head = None;
    for hole in &part.screw_holes {
        let [from, to] = [hole.from, hole.to].map(|point| view.place(at(point)));
        let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
        let long = dx.hypot(dy).max(1e-9);
        let (dx, dy) = (dx / long, dy / long);
        let out = |by: f64, beside: f64| [from[0] - by * dx - beside * dy, from[1] - by * dy + beside * dx];
        page.line(&[out(OFF + 4.0, 0.0), to], Pen::CENTRE.coloured(QUIET).wide(0.18));
        let wide = (0.5 * view.scale * hole.countersink.head).max(0.8);
        let cone = Path::polygon(&[out(OFF, wide), out(OFF, -wide), out(OFF - HEAD, -0.4), out(OFF - HEAD, 0.4)]);
        page.paint(cone, METAL_LIGHT, Pen::OUTLINE.wide(0.25));
        page.line(&[out(OFF - HEAD, 0.0), out(0.5, 0.0)], Pen::OUTLINE.wide(0.35));
        head = Some(out(OFF - 0.5 * HEAD, 0.0));
    }
    head
}

/// Each place with the numbers of its items: of a part that of the left one and that of the right one.
fn numbered(named: &[(Place, Thing)], list: &[Item], parts: &[Part]) -> Vec<(Place, Vec<usize>)> {
    let twin = |thing: Thing| match thing {
        Thing::Part(index) => parts
            .iter()
            .position(|part| part.name == parts[index].name && part.hand != parts[index].hand)
            .map(Thing::Part),
        _ => None,
    };
    let numbers = |thing: Thing| {
        let things = std::iter::once(thing).chain(twin(thing));
        things.filter_map(|thing| items::number(list, thing)).collect()
    };
    named.iter().map(|(at, thing)| (*at, numbers(*thing))).collect()
}

/// Numbers beside what they are of, each at the first free place around it.
fn balloons(page: &mut Page, items: &[(Place, Vec<usize>)], area: Area) {
    /// A leader past what another number is of keeps this far off it, mm.
    const PAST: f64 = 1.6;
    let mut taken: Vec<Area> = Vec::new();
    let mut leaders: Vec<[Place; 2]> = Vec::new();
    let dots: Vec<Place> = items.iter().map(|(at, _)| *at).collect();
    for ([x, y], numbers) in items.iter().filter(|(_, numbers)| !numbers.is_empty()) {
        #[allow(clippy::cast_precision_loss)] // two at most
        let high = BALLOON * numbers.len() as f64;
        let around =
            [[0.0, 1.0], [1.0, 0.6], [-1.0, 0.6], [0.6, -1.0], [-0.6, -1.0], [1.0, 0.0], [-1.0, 0.0], [1.0, 1.4]];
        let spots =
            [14.0, 22.0, 30.0, 38.0].into_iter().flat_map(|far| around.map(|[dx, dy]| [x + far * dx, y + far * dy]));
        let box_of = |[x, y]: Place| Area {
            left: x - BALLOON - 1.0,
            top: y - BALLOON - 1.0,
            right: x + BALLOON + 1.0,
            bottom: y + 2.0 * high - BALLOON + 1.0,
        };
        let free = |at: &Place| area.holds(&box_of(*at)) && !taken.iter().any(|other| other.meets(&box_of(*at)));
        // Off every line if there is such a place.
        let clear = |at: &Place| free(at) && page.is_clear(&box_of(*at));
        // And its leader off the others and what they point at.
        let apart = |at: &Place| {
            let line = [[*x, *y], *at];
            let is_past = |dot: &Place| {
                let [left, top] = dot.map(|side| side - PAST);
                let around = Area { left, top, right: left + 2.0 * PAST, bottom: top + 2.0 * PAST };
                (dot[0] - x).hypot(dot[1] - y) > 1e-6 && around.is_crossed_by(line)
            };
            !leaders.iter().any(|other| crosses(line, *other) || box_of(*at).is_crossed_by(*other))
                && !taken.iter().any(|other| other.is_crossed_by(line))
                && !dots.iter().any(is_past)
        };
        let best =
            spots.clone().find(|at| clear(at) && apart(at)).or_else(|| spots.clone().find(|at| free(at) && apart(at)));
        let at =
            best.or_else(|| spots.clone().find(clear)).or_else(|| spots.clone().find(free)).unwrap_or([x + 14.0, *y]);
        taken.push(box_of(at));
        leaders.push([[*x, *y], at]);
        let (dx, dy) = (at[0] - x, at[1] - y);
        let share = 1.0 - BALLOON / dx.hypot(dy).max(BALLOON);
        page.line(&[[*x, *y], [x + share * dx, y + share * dy]], Pen::THIN);
        page.fill(Path::circle([*x, *y], 0.7), crate::sheet::pen::INK);
        let mut y = at[1];
        for item in numbers {
            page.paint(Path::circle([at[0], y], BALLOON), PAPER, Pen::THIN);
            page.text([at[0], y + 0.5 * FIGURE.capital], Hold::Middle, &item.to_string(), FIGURE);
            y += 2.0 * BALLOON;
        }
    }
}

/// A bar's outline in side view at a pose.
fn outline(analysis: &Analysis, pose: &Pose, name: PartName) -> Vec<Vertex> {
    let place = analysis.lift.room_from_bar(pose, name);
    let Some(bar) = analysis.solids.bar(name) else { return Vec::new() };
    let whole = bar.layers.iter().find(|layer| !layer.bores.is_empty()).and_then(|layer| layer.pieces.first());
    let shape = whole.map(Vec::as_slice).unwrap_or_default();
    shape.iter().map(|vertex| Vertex { at: place * vertex.at, ..*vertex }).collect()
}

/// The pivots of a bar in side view at a pose, in the order of its part's hinges.
fn pivots(analysis: &Analysis, pose: &Pose, name: PartName) -> Vec<Point> {
    let place = analysis.lift.room_from_bar(pose, name);
    let Some(solid) = analysis.solids.bar(name) else { return Vec::new() };
    let bores = solid.layers.iter().map(|layer| &layer.bores).find(|bores| !bores.is_empty());
    bores.into_iter().flatten().map(|bore| place * bore.centre).collect()
}

fn steps_in_words(project: &Project, parts: &[Part]) -> Vec<String> {
    let from: Vec<Mouth> =
        parts.iter().flat_map(|part| part.hinges.iter()).flat_map(|hinge| hinge.pressed_from.clone()).collect();
    let both = from.contains(&Mouth::Inner) && from.contains(&Mouth::Outer);
    let pressed =
        if both { "from both faces, each to the web" } else { "from the face with the seat, to its shoulder" };
    let arms = match project.bars.build {
        Build::Lapped => {
            "Lay the arms on the bars from outside and press the pins through: the laps lie in each other, a shim on every pin keeps them apart."
        }
        Build::Sandwich => {
            "Lay the upper arm on the inner face of the bars and the lower arm on the outer one, and press the pins through, a shim on every pin."
        }
    };
    let bearings = if from.is_empty() {
        "No bearing is chosen, so none is pressed in: choose one and make these drawings anew before any hinge is bored.".to_owned()
    } else {
        format!("Press the bearings in {pressed}, on the outer ring alone.")
    };
    vec![
        format!("Measure every part against inspection.csv. {bearings}"),
        arms.to_owned(),
        "Turn the set through its whole travel by hand: no tight place, and the stop meets where the drawing says. Do the same with the other set beside it.".to_owned(),
        "Screw the panel bars to the panel against one straight edge, and the first wall bar to the wall with the wall template.".to_owned(),
        "Hang the panel with two people and a prop. Screw the second wall bar on, hand-tight; cycle the lift; then tighten it.".to_owned(),
        "Fit the second retention before the strap carries anything.".to_owned(),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts_dxf::tests::demo;
    use overarm_solver::{Options, SeatIn, analyse, parts};

    #[test]
    fn no_bearing_is_pressed_in_that_is_not_chosen() {
        let words = |project: &Project| {
            let analysis = analyse(project, &Options { poses: 2, swept: false });
            steps_in_words(project, &parts(project, &analysis.solids))[0].clone()
        };
        let mut project = demo();
        assert!(words(&project).contains("Press the bearings in from both faces"), "{}", words(&project));
        project.joints.as_mut().expect("joints").bearing = None;
        assert!(words(&project).contains("No bearing is chosen") && !words(&project).contains("Press"));
    }

    #[test]
    fn it_is_drawn_to_the_largest_standard_scale_in_either_build() {
        // The arms of 485.79 and 500.47 mm; 1:5 of ISO 5455 lets them be 100 on the sheet, 1:2 would take 250.
        for build in [Build::Lapped, Build::Sandwich] {
            let mut project = demo();
            project.bars.build = build;
            let analysis = analyse(&project, &Options { poses: 2, swept: false });
            let parts = parts(&project, &analysis.solids);
            let page = sheet(&project, &analysis, &parts, &Notices::of(&project, &analysis), 9);
            assert!(page.texts().any(|text| text.words == "1:5"), "{build:?}");
        }
    }

    #[test]
    fn as_many_bearings_pins_and_bars_are_drawn_of_one_set_as_the_list_has_of_both() {
        for build in [Build::Lapped, Build::Sandwich] {
            for (per_hinge, seat_in) in [(1, SeatIn::Bars), (2, SeatIn::Bars), (1, SeatIn::Arms), (2, SeatIn::Arms)] {
                let mut project = demo();
                project.bars.build = build;
                let joints = project.joints.as_mut().expect("joints");
                (joints.per_hinge, joints.seat_in) = (Some(per_hinge), Some(seat_in));
                let analysis = analyse(&project, &Options { poses: 2, swept: false });
                let parts = parts(&project, &analysis.solids);
                let steps = steps(&project, &analysis, &analysis.pose_at(DRAWN_AT), &parts);
                let count = |of: fn(&Step) -> usize| steps.iter().map(of).sum::<usize>();
                let bearings = count(|step| if let Step::Bearings(at) = step { at.len() } else { 0 });
                let pins = count(|step| if let Step::Pins(at) = step { at.len() } else { 0 });
                let bars = count(|step| if let Step::Bars(names) = step { names.len() } else { 0 });
                let items = items::of(&project, &parts);
                let rows = items::table(&items).rows;
                let listed = |thing| rows[items::number(&items, thing).expect("an item") - 1][3].parse::<usize>();
                // Four hinges of a set.
                assert_eq!((bearings, pins, bars), (4 * per_hinge as usize, 4, 4), "{build:?} {seat_in:?}");
                assert_eq!(listed(Thing::Bearing), Ok(2 * bearings));
                assert_eq!(listed(Thing::Pin), Ok(2 * pins));
            }
        }
    }
}
