//! `can_be_made`: a small shop can make the parts. Walls around seats, bores and screws, webs behind
//! bearings, what the cutter reaches and what lies in its way, and the stock.

use super::screw_heads::{FAR_MM, HeadGap, head_gaps};
use super::{Rule, RuleFinding};
use crate::analysis::Analysis;
use crate::lift::ArmName;
use crate::parts::{
    DEFAULT_STOCK_LENGTH_MM, Edge, HingeBore, Mouth, Part, StepKind, known_bore, least_wall, left_parts, pivot_bore,
    whole,
};
use crate::project::{Build, PartName, Point, Project, Units};
use crate::seat::{NoSeat, Seat};
use crate::units::{number, show_compared, show_length};

/// Least web behind a bearing, mm: it carries what presses the bearing in (common practice, no source).
const LEAST_WEB_MM: f64 = 2.0;
/// Least material beside a countersink, mm (common practice, no source).
const BESIDE_HEAD_MM: f64 = 1.0;
/// How deep a common end mill may reach, in its diameters, before it chatters in aluminium (common
/// practice, no source).
const MILL_REACH: f64 = 4.0;
/// How deep a long drill reaches, in its diameters (series of DIN 340, from memory: 87 mm for 5 mm).
const DRILL_REACH: f64 = 17.0;
/// Least screws of a wall bar: where one pulls out, two still hold (common practice, no source).
const LEAST_SCREWS: u32 = 3;
/// An inside corner this much short of what the cutter leaves, mm, is one that it leaves.
const CORNER_MM: f64 = 2e-3;

/// One thing that must be so: by how much it is, and where.
struct Look {
    /// 0 or more is good, mm.
    margin: f64,
    /// How far it is and what is wanted.
    text: String,
    /// What would help.
    help: &'static str,
    place: String,
    at: Option<Point>,
}

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    if let Some(nothing) = nothing_to_make(project) {
        return nothing;
    }
    let parts = left_parts(project, &analysis.solids);
    let units = project.units();
    let mut looks = Vec::new();
    for part in &parts {
        let at = |hinge: usize| pivot(analysis, project, part.name, hinge);
        for (index, hinge) in part.hinges.iter().enumerate() {
            looks.extend(around_hinge(part, hinge, at(index), units));
        }
        looks.extend(around_screws(part, units));
        looks.extend(heads_beside_arms(project, analysis, part));
        looks.extend(in_stock(part, units));
        looks.extend(in_length_of_stock(project, part));
    }
    looks.extend(of_cutter(project, analysis, &parts));
    looks.extend(without_room(project, &parts));
    looks.extend(too_few_screws(project));
    looks.extend(no_bore_fits(project));
    looks.sort_by(|a, b| a.margin.total_cmp(&b.margin));
    let Some(worst) = looks.first() else { return RuleFinding::unknown(Rule::CanBeMade) };
    if worst.margin >= 0.0 && known_bore(project).is_none() {
        return RuleFinding::unknown(Rule::CanBeMade).saying(format!(
            "No bearing is given that is known here, so there are no seats, and hinge bores of {} stand by default, which \
             nobody chose: add a designation or its own sizes (joints.bearing). Nothing else speaks against making the \
             parts.",
            show_length(pivot_bore(project), units)
        ));
    }
    let failing: Vec<String> = looks
        .iter()
        .take_while(|look| look.margin < 0.0)
        .map(|look| format!("{} {}", look.text, look.help).trim_end().to_owned())
        .collect();
    let text = match failing.as_slice() {
        [] => worst.text.clone(),
        [one, two, _, ..] => format!("{one} {two} {} more like these.", failing.len() - 2),
        few => few.join(" "),
    };
    let narrow = narrow_seats(project);
    let text = text + narrow.as_deref().unwrap_or("");
    let found = RuleFinding::with_margin(Rule::CanBeMade, worst.margin, "mm").near(narrow.is_some()).saying(text);
    RuleFinding { place: Some(worst.place.clone()), points: worst.at.into_iter().collect(), ..found }
}

/// A bar without a size, or a cutter without one.
fn nothing_to_make(project: &Project) -> Option<RuleFinding> {
    let bars = &project.bars;
    let sizes = [
        (PartName::WallBar, bars.wall_bar.width, bars.wall_bar.depth),
        (PartName::PanelBar, bars.panel_bar.width, bars.panel_bar.depth),
        (PartName::LowerArm, bars.lower_arm.width, bars.lower_arm.depth),
        (PartName::UpperArm, bars.upper_arm.width, bars.upper_arm.depth),
    ];
    let failing = |text: String| Some(RuleFinding::failing(Rule::CanBeMade, "mm").saying(text));
    for (part, width, depth) in sizes {
        let missing = match (width > 0.0, depth > 0.0) {
            (true, true) => continue,
            (false, true) => "no width",
            (true, false) => "no depth",
            (false, false) => "neither width nor depth",
        };
        return failing(format!(
            "The {} has {missing}: there is nothing to make. Give it the size of its stock.",
            part.words()
        ));
    }
    if bars.cutter_diameter() <= 0.0 {
        return failing(
            "A cutter of 0 mm cuts nothing. Give the cutter for inside corners (bars.cutter_diameter).".into(),
        );
    }
    None
}

/// A hinge of a part when hung, in side view.
fn pivot(analysis: &Analysis, project: &Project, part: PartName, hinge: usize) -> Option<Point> {
    let lift = &analysis.lift;
    let hung = project.panel.hung.origin().coords;
    let arm = |arm: ArmName| [lift.wall_pivot(arm), lift.panel_pivot(arm) + hung];
    let pivots = match part {
        PartName::WallBar => [lift.wall_lower, lift.wall_upper],
        PartName::PanelBar => [lift.panel_lower + hung, lift.panel_upper + hung],
        PartName::LowerArm => arm(ArmName::Lower),
        _ => arm(ArmName::Upper),
    };
    pivots.get(hinge).copied()
}

/// "pin bore of 8.00 mm".
fn bore_words(hinge: &HingeBore, units: Units) -> String {
    let kind = hinge.fitted().map_or("default bore", |step| step.kind.words());
    format!("{kind} of {}", show_length(hinge.diameter(), units))
}

fn around_hinge(part: &Part, hinge: &HingeBore, at: Option<Point>, units: Units) -> Vec<Look> {
    let mut looks = Vec::new();
    let place = format!("{} of the {}", hinge.name, part.name.words());
    let mut add = |margin: f64, text: String, help| looks.push(Look { margin, text, help, place: place.clone(), at });
    let Some(kept) = part.kept() else { return looks };
    let wall = whole::wall_around(&kept.pieces, hinge.centre, 0.5 * hinge.diameter());
    let wanted = least_wall(hinge.diameter());
    let what = bore_words(hinge, units);
    let [left, least] = show_compared([wall, wanted], units);
    let left = if wall < 0.0 {
        format!("The {what} at the {place} breaks out by {}", show_length(-wall, units))
    } else {
        format!("The {what} at the {place} leaves a wall of {left}")
    };
    add(
        wall - wanted,
        format!("{left}; {least} wanted."),
        "Move its pivot, make the bar wider, or take a smaller bearing.",
    );
    if let Some(web) = hinge.web {
        let between = if hinge.pressed_from.len() > 1 { "between the two bearings" } else { "behind the bearing" };
        let deep = kept.z[1] - kept.z[0];
        // What stays where all is cut to the limit that takes most.
        let web = part.web_limits(hinge).map_or(web, |[least, _]| least);
        let [stays, least] = show_compared([web, LEAST_WEB_MM], units);
        let text = format!(
            "At the {place} {stays} of web may be all that stays {between} in {} of depth; {least} wanted.",
            show_length(deep, units)
        );
        add(web - LEAST_WEB_MM, text, "Take a thinner bearing, one in each hinge, or a deeper bar.");
        let width = hinge.bearing.as_ref().map_or(0.0, |bearing| bearing.width);
        if hinge.seat_depth < width {
            let text = format!(
                "At the {place} the wanted span lets each bearing stand {} out of its face.",
                show_length(width - hinge.seat_depth, units)
            );
            add(
                hinge.seat_depth - width,
                text,
                "Set the bearings closer together (joints.bearing_span), or take a deeper bar.",
            );
        }
    }
    for step in hinge.steps.iter().filter(|step| step.kind != StepKind::LeadIn) {
        // What goes through is reached from a face.
        let deep = if step.kind == StepKind::Seat { step.depth() } else { hinge.high() - hinge.low() };
        let reach = DRILL_REACH * step.diameter[0];
        if deep > reach {
            let text = format!(
                "The {} of {} at the {place} is {} deep, {} times its diameter; a long drill reaches {} times.",
                step.kind.words(),
                show_length(step.diameter[0], units),
                show_length(deep, units),
                number(deep / step.diameter[0], 0),
                number(DRILL_REACH, 0)
            );
            add(reach - deep, text, "Make the bar shallower, or the pins thicker.");
        }
    }
    // From each face that it is cut from; a pin bore from whichever is free.
    let mouths = match hinge.fitted().map(|step| step.kind) {
        Some(StepKind::Seat) => hinge.pressed_from.clone(),
        _ => Vec::new(),
    };
    let covered = |mouth: Mouth| {
        let over = part.layers.iter().filter(|layer| match mouth {
            Mouth::Inner => layer.z[1] <= kept.z[0] + 1e-9,
            Mouth::Outer => layer.z[0] >= kept.z[1] - 1e-9,
        });
        let room = over.map(|layer| whole::room_around(&layer.pieces, hinge.centre, 0.5 * hinge.widest()));
        room.fold(f64::INFINITY, f64::min)
    };
    for mouth in mouths {
        let room = covered(mouth);
        if room < 0.0 {
            let text = format!(
                "The {what} at the {place} cannot be bored from the {}: material lies {} over its edge, and one set-up \
                 cannot reach below it.",
                mouth.words(),
                show_length(-room, units)
            );
            add(room, text, "Make the arm there wider, or take a smaller bearing.");
        }
    }
    if hinge.pressed_from.is_empty() {
        let room = covered(Mouth::Inner).max(covered(Mouth::Outer));
        if room < 0.0 {
            let text = format!("The {what} at the {place} is covered by {} on both sides.", show_length(-room, units));
            add(room, text, "Move its pivot.");
        }
    }
    looks
}

fn around_screws(part: &Part, units: Units) -> Vec<Look> {
    let mut looks = Vec::new();
    let Some(kept) = part.kept() else { return looks };
    for hole in &part.screw_holes {
        let place = format!("{} of the {}", hole.name, part.name.words());
        let mut add = |margin: f64, text: String, help| {
            looks.push(Look { margin, text, help, place: place.clone(), at: None });
        };
        let wall = whole::walls_of_screw(hole, kept, &part.screw_holes, part.along);
        let [left, wanted] = show_compared([wall, BESIDE_HEAD_MM], units);
        let left = if wall < 0.0 {
            format!("breaks out by {}; {wanted} beside it", show_length(-wall, units))
        } else {
            format!("leaves {left} beside it; {wanted}")
        };
        add(
            wall - BESIDE_HEAD_MM,
            format!("The countersink of {place} {left} wanted, so that it does not break out."),
            "Take thinner or fewer screws, farther from the bar's end, or a deeper bar.",
        );
        for hinge in &part.hinges {
            let wall = whole::wall_between(hole, hinge);
            let wanted = least_wall(hole.diameter);
            let [past, least] = show_compared([wall, wanted], units);
            let how = if wall < 0.0 {
                format!("runs {} into", show_length(-wall, units))
            } else {
                format!("passes {past} from")
            };
            let text = format!("The hole of {place} {how} the bore of the {}; {least} wanted.", hinge.name);
            add(
                wall - wanted,
                text,
                "Change the screws' spacing or the first one's distance from the end (fixings.spacing, fixings.edge).",
            );
        }
        let reach = DRILL_REACH * hole.diameter;
        if hole.length() > reach {
            let text = format!(
                "The hole of {place} is {} deep, {} times its diameter; a long drill reaches {} times.",
                show_length(hole.length(), units),
                number(hole.length() / hole.diameter, 0),
                number(DRILL_REACH, 0)
            );
            add(reach - hole.length(), text, "Take thicker screws, or a narrower bar.");
        }
    }
    looks
}

/// Screw heads and the arms that pass them.
fn heads_beside_arms(project: &Project, analysis: &Analysis, part: &Part) -> Vec<Look> {
    let units = project.units();
    let wanted = project.bars.running_clearance();
    let look = |gap: HeadGap| {
        let place = format!("{} of the {}", gap.screw, part.name.words());
        let head = format!("The head of {place}, {} across,", show_length(gap.head, units));
        let arm = gap.arm.part().words();
        let text = if gap.gap < 0.0 {
            format!("{head} stands {} in the layer that the {arm} passes through.", show_length(-gap.gap, units))
        } else {
            let more = if gap.gap < FAR_MM { "" } else { "or more " };
            let [gap, wanted] = show_compared([gap.gap, wanted], units);
            format!("{head} stays {gap} {more}off the {arm} on its way; {wanted} wanted.")
        };
        let help = "Take screws with smaller heads, set them elsewhere, or take a deeper bar.";
        Look { margin: gap.gap - wanted, text, help, place, at: None }
    };
    head_gaps(project, analysis, part).into_iter().map(look).collect()
}

fn in_stock(part: &Part, units: Units) -> Vec<Look> {
    let [across, deep] = part.stock.allowance();
    let least = across.min(deep);
    if least >= 0.0 {
        return Vec::new();
    }
    let finished = part.stock.finished;
    let size = |wide: f64, deep: f64| format!("{} × {}", show_length(wide, units), show_length(deep, units));
    let text = format!(
        "The stock of the {}, {}, is {} smaller than the part, {}, {}.",
        part.name.words(),
        size(part.stock.width, part.stock.depth),
        show_length(-least, units),
        size(finished[0], finished[1]),
        if across < deep { "across it" } else { "in depth" },
    );
    let help = match part.name {
        PartName::WallBar => "Give it stock of at least its own size (bars.wall_bar.stock).",
        PartName::PanelBar => "Give it stock of at least its own size (bars.panel_bar.stock).",
        PartName::LowerArm => "Give it stock of at least its own size (bars.lower_arm.stock).",
        _ => "Give it stock of at least its own size (bars.upper_arm.stock).",
    };
    let place = format!("stock of the {}", part.name.words());
    vec![Look { margin: least, text, help, place, at: None }]
}

/// A part is sawn from one bar.
fn in_length_of_stock(project: &Project, part: &Part) -> Option<Look> {
    let units = project.units();
    let long = project.bars.stock_length.unwrap_or(DEFAULT_STOCK_LENGTH_MM);
    let margin = long - part.stock.cut_length;
    let where_from = if project.bars.stock_length.is_none() { " where the project gives no other length" } else { "" };
    (margin < 0.0).then(|| Look {
        margin,
        text: format!(
            "The {} is sawn to {}, and its stock comes {} long{where_from}.",
            part.name.words(),
            show_length(part.stock.cut_length, units),
            show_length(long, units)
        ),
        help: "Give the length that you can buy (bars.stock_length), or bring its pivots together.",
        place: format!("stock of the {}", part.name.words()),
        at: None,
    })
}

/// Whether the cutter goes into the laps, down to their floor, and into their corners.
fn of_cutter(project: &Project, analysis: &Analysis, parts: &[Part]) -> Vec<Look> {
    let mut looks = Vec::new();
    if project.bars.build != Build::Lapped {
        return looks;
    }
    let units = project.units();
    let cutter = project.bars.cutter_diameter();
    for arm in ArmName::BOTH {
        let wide = 2.0 * (analysis.lift.arm_radius(arm) + project.bars.running_clearance());
        if cutter > wide {
            looks.push(Look {
                margin: wide - cutter,
                text: format!(
                    "The {} cutter is wider than the half laps for the {}, {}: they grow to its size.",
                    show_length(cutter, units),
                    arm.part().words(),
                    show_length(wide, units)
                ),
                help: "Take a smaller cutter for inside corners (bars.cutter_diameter).",
                place: format!("half laps of the {}", arm.part().words()),
                at: None,
            });
        }
    }
    for part in parts {
        let place = format!("half laps of the {}", part.name.words());
        for layer in part.cut() {
            let deep = layer.z[1] - layer.z[0];
            let reach = MILL_REACH * cutter;
            looks.push(Look {
                margin: reach - deep,
                text: format!(
                    "The {place} are {} deep, {} times the {} cutter; it reaches {} times.",
                    show_length(deep, units),
                    number(deep / cutter, 1),
                    show_length(cutter, units),
                    number(MILL_REACH, 0)
                ),
                help: "Take a thicker cutter, or shallower bars.",
                place: place.clone(),
                at: None,
            });
            for piece in &layer.pieces {
                let edges: Vec<Edge> = Edge::of(piece).collect();
                let short =
                    edges.iter().zip(edges.iter().cycle().skip(1)).map(|(a, b)| left_by_cutter(a, b, 0.5 * cutter));
                let worst = short.fold(0.0, f64::max);
                if worst > CORNER_MM {
                    looks.push(Look {
                        margin: -worst,
                        text: format!(
                            "In the {place} a {} cutter leaves {} standing in an inside corner.",
                            show_length(cutter, units),
                            show_length(worst, units)
                        ),
                        help: "Take a thinner cutter.",
                        place: place.clone(),
                        at: None,
                    });
                }
            }
        }
    }
    looks
}

/// How far short of an inside corner a round cutter stays, mm: of a hollow arc too tight for it, or of
/// the corner between an edge and the next.
fn left_by_cutter(edge: &Edge, next: &Edge, cutter: f64) -> f64 {
    let arc = match edge.circle() {
        Some((_, radius)) if edge.bulge < 0.0 && radius < cutter => {
            // Across the chord the cutter stays higher than the arc by the difference of their heights.
            let half = 0.5 * (edge.to - edge.from).norm();
            let rise = |radius: f64| radius - (radius * radius - half * half).max(0.0).sqrt();
            rise(radius) - rise(cutter)
        }
        _ => 0.0,
    };
    let (in_, out) = (edge.heading(1.0), next.heading(0.0));
    let kink = in_.perp(&out).atan2(in_.dot(&out));
    let corner = if kink < 0.0 { cutter * (1.0 / (0.5 * kink).cos() - 1.0) } else { 0.0 };
    arc.max(corner)
}

/// Screws that the project asks for and that find no place on the bar.
fn without_room(project: &Project, parts: &[Part]) -> Vec<Look> {
    let Some(fixings) = &project.fixings else { return Vec::new() };
    let (Some(count), Some(diameter)) = (fixings.count, fixings.diameter) else { return Vec::new() };
    let mut looks = Vec::new();
    for part in parts.iter().filter(|part| part.datum.is_some() && part.screw_holes.is_empty() && count > 0) {
        let edge = fixings.edge.unwrap_or(0.0);
        let needed = match (part.name, fixings.spacing) {
            (PartName::WallBar, Some(spacing)) => edge + f64::from(count - 1) * spacing,
            _ => 2.0 * edge,
        };
        looks.push(Look {
            margin: (part.stock.finished_length - needed).min(-diameter),
            text: format!(
                "{count} screws need {} of the {}, which is {} long.",
                show_length(needed, project.units()),
                part.name.words(),
                show_length(part.stock.finished_length, project.units())
            ),
            help: "Set them closer, or make the bar longer.",
            place: format!("screws of the {}", part.name.words()),
            at: None,
        });
    }
    looks
}

/// A wall bar on fewer screws than it should hang on: a screw's diameter short for each.
fn too_few_screws(project: &Project) -> Option<Look> {
    let fixings = project.fixings.as_ref()?;
    let count = fixings.count.filter(|count| *count < LEAST_SCREWS)?;
    let are = match count {
        0 => "no screw is".to_owned(),
        1 => "1 screw is".to_owned(),
        many => format!("{many} screws are"),
    };
    Some(Look {
        margin: -f64::from(LEAST_SCREWS - count) * fixings.diameter.unwrap_or(1.0),
        text: format!(
            "For the wall bar {are} asked for; {LEAST_SCREWS} or more wanted, so that it still hangs where one pulls out."
        ),
        help: "Ask for more of them (fixings.count), and lengthen the bar where they find no room.",
        place: "screws of the wall bar".to_owned(),
        at: None,
    })
}

/// An interference so narrow that the bearing's own tolerance leaves nothing for the bore.
fn no_bore_fits(project: &Project) -> Option<Look> {
    let Err(error @ NoSeat::NothingLeft { wanted, bearing }) = Seat::wanted(project.joints.as_ref()?) else {
        return None;
    };
    let text = format!("The bearing seats have no limits. {error}.");
    Some(Look { margin: wanted - bearing, text, help: "", place: "bearing seats".to_owned(), at: None })
}

/// Seats with limits narrower than a small shop holds: they can be cut, each to its own bearing.
fn narrow_seats(project: &Project) -> Option<String> {
    let seat = Seat::wanted(project.joints.as_ref()?).ok()?;
    seat.too_narrow_by()?;
    let microns = |mm: f64| number(1e3 * mm, 0);
    let [wanted, least] = [seat.bore.tolerance(), seat.narrowest()].map(microns);
    Some(format!(
        " The bearing seats of {} have limits {wanted} µm apart; a small shop reams, bores and gauges to {least} µm at \
         best (IT6). Measure each bearing and cut its bore to it, or give a class such as N7 or a wider interference \
         (joints.housing).",
        show_length(seat.bearing.outside, project.units()),
    ))
}

#[cfg(test)]
mod tests {
    use crate::project::{BearingWanted, HousingFit, SeatIn};
    use crate::{Options, Project, Rule, RuleFinding, analyse};

    fn found(change: impl FnOnce(&mut Project)) -> RuleFinding {
        let mut project = crate::samples::demo_board();
        change(&mut project);
        project.validate().expect("accepted");
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        analysis.rules.into_iter().find(|found| found.rule == Rule::CanBeMade).expect("every rule")
    }

    fn fails_saying(words: &[&str], change: impl FnOnce(&mut Project)) -> f64 {
        let found = found(change);
        assert_eq!(found.holds, Some(false), "{}", found.text);
        for word in words {
            assert!(found.text.contains(word), "\"{word}\" in: {}", found.text);
        }
        found.margin.expect("a margin")
    }

    fn joints(project: &mut Project) -> &mut crate::project::Joints {
        project.joints.get_or_insert_default()
    }

    #[test]
    fn the_chapel_hatch_boards_parts_can_be_made() {
        let found = found(|_| {});
        // By hand: 14.92 behind the panel less half of 22 leaves 3.92; 0.15 · 22 = 3.3 wanted.
        assert_eq!(found.holds, Some(true));
        assert!((found.margin.expect("a margin") - 0.62).abs() < 1e-9, "{:?} {}", found.margin, found.text);
        assert_eq!(found.place.as_deref(), Some("upper pivot of the panel bar"));
        assert_eq!(found.points.len(), 1);
        assert!(found.text.contains("leaves a wall of 3.92 mm; 3.30 mm wanted."), "{}", found.text);
    }

    #[test]
    fn an_interference_narrower_than_the_bearings_own_tolerance_leaves_no_bore() {
        // ISO 492, class Normal: the outside of a 608 is 0 / −9 µm.
        let margin = fails_saying(&["8.0 µm", "9.0 µm", "measure each bearing"], |project| {
            joints(project).housing = Some(HousingFit::Interference { interference: [0.010, 0.018] });
        });
        assert!((margin + 0.001).abs() < 1e-9, "{margin}");
    }

    #[test]
    fn limits_narrower_than_a_small_shop_holds_are_told() {
        // 8 to 20 µm with a 608 of 0 / −9 µm leave 3 µm; IT6 at 22 mm is 13 µm (ISO 286-1 table 1).
        for (housing, apart) in [
            (HousingFit::Interference { interference: [0.008, 0.020] }, "3 µm apart"),
            (HousingFit::Class("N5".into()), "9 µm apart"),
        ] {
            let found = found(|project| joints(project).housing = Some(housing));
            assert!(found.holds == Some(true) && found.near, "{}", found.text);
            for words in ["bearing seats of 22.0 mm", apart, "13 µm", "cut its bore to it", "N7"] {
                assert!(found.text.contains(words), "{words}: {}", found.text);
            }
        }
        for housing in [HousingFit::Class("N6".into()), HousingFit::Interference { interference: [0.005, 0.027] }] {
            let wide = found(|project| joints(project).housing = Some(housing));
            assert!(wide.holds == Some(true) && !wide.near && !wide.text.contains("apart"), "{}", wide.text);
        }
    }

    #[test]
    fn without_a_bearing_it_is_not_known() {
        let found = found(|project| joints(project).bearing = None);
        assert!(found.holds.is_none() && found.text.contains("joints.bearing"), "{}", found.text);
        assert!(found.text.contains("8.00 mm stand by default, which nobody chose"), "{}", found.text);
    }

    #[test]
    fn walls_and_webs() {
        // 0.5 mm nearer the panel: 3.42 is enough, another 0.5 is not: 2.92 − 3.3.
        let margin = fails_saying(&["panel bar", "wall of 2.92 mm"], |project| project.linkage.panel_upper.x = -13.92);
        assert!((margin + 0.38).abs() < 1e-9, "{margin}");
        fails_saying(&["wall bar", "breaks out by 1.00 mm"], |project| project.linkage.wall_lower.x = 10.0);
        // Two seats of 7 to 7.05 mm in 14.85 to 14.95, half of 30 less 0.05 to 0.15: 0.75 mm of web.
        let margin = fails_saying(&["0.75 mm of web", "between the two bearings"], |project| {
            project.bars.wall_bar.depth = 30.0;
        });
        assert!((margin + 1.25).abs() < 1e-9, "{margin}");
        fails_saying(&["stand", "out of its face", "bearing_span"], |project| {
            joints(project).bearing_span = Some(14.0);
        });
        // Seats of 22 in arms 25.4 wide: 1.7 mm of wall.
        let margin = fails_saying(&["arm", "wall of 1.70 mm"], |project| joints(project).seat_in = Some(SeatIn::Arms));
        assert!((margin + 1.6).abs() < 1e-9, "{margin}");
    }

    #[test]
    fn a_part_longer_than_its_bar_cannot_be_sawn() {
        // 456.389 between its bores, 12.7 beyond each, 2 to mill off either end: 485.79.
        let margin = fails_saying(&["arm is sawn to", "comes 450.0 mm long"], |project| {
            project.bars.stock_length = Some(450.0);
        });
        assert!(margin < -35.78, "{margin}");
    }

    #[test]
    fn cutters_of_any_size_get_words() {
        let nothing = found(|project| project.bars.cutter_diameter = Some(0.0));
        assert_eq!(nothing.holds, Some(false));
        assert!(nothing.text.contains("cutter of 0 mm"), "{}", nothing.text);
        // Laps 25.4 + 2 · 0.4 wide.
        fails_saying(&["200.0 mm cutter", "26.2 mm"], |project| project.bars.cutter_diameter = Some(200.0));
        // 19.05 and 0.1 deep, 4 times 3 mm.
        let margin = fails_saying(&["19.2 mm deep", "6.4 times"], |project| project.bars.cutter_diameter = Some(3.0));
        assert!((margin - 12.0 + 19.15).abs() < 1e-9, "{margin}");
    }

    #[test]
    fn a_seat_under_material_is_out_of_one_set_ups_reach() {
        let project = crate::samples::demo_board();
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let mut part = super::left_parts(&project, &analysis.solids)[0].clone();
        // As if no lap were cut above the seats' outer mouths.
        let outline = part.outline.clone();
        for layer in &mut part.layers {
            layer.pieces = vec![outline.clone()];
        }
        let looks = super::around_hinge(&part, &part.hinges[0], None, project.units());
        let under = looks.iter().find(|look| look.text.contains("cannot be bored from the outer face")).expect("told");
        assert!(under.margin < 0.0 && !under.help.is_empty() && under.place == "lower pivot of the wall bar");
        assert!(!looks.iter().any(|look| look.text.contains("cannot be bored from the inner face")));
    }

    #[test]
    fn screws_keep_clear_of_hinges_and_ends() {
        // 30 mm from the upper end is the upper hinge.
        fails_saying(&["screw 1 of the wall bar", "runs", "into the bore", "fixings.spacing"], |project| {
            if let Some(fixings) = &mut project.fixings {
                (fixings.edge, fixings.spacing) = (Some(30.0), None);
            }
        });
        // As strong as they may be, two are too few.
        let margin = fails_saying(&["wall bar 2 screws", "3 or more", "fixings.count"], |project| {
            if let Some(fixings) = &mut project.fixings {
                fixings.count = Some(2);
            }
        });
        assert!((margin + 4.83).abs() < 1e-9, "{margin}");
        fails_saying(&["3 screws need", "wall bar", "146.6 mm long"], |project| {
            if let Some(fixings) = &mut project.fixings {
                fixings.spacing = Some(100.0);
            }
        });
        fails_saying(&["countersink", "beside it"], |project| {
            if let Some(fixings) = &mut project.fixings {
                (fixings.edge, fixings.spacing) = (Some(5.0), None);
            }
        });
        // A No. 6 screw through 60 mm holds; through 70 of a wider bar its drill is too short.
        fails_saying(&["times its diameter", "drill"], |project| {
            project.bars.wall_bar.width = 70.0;
            if let Some(fixings) = &mut project.fixings {
                fixings.diameter = Some(3.5);
            }
        });
    }

    #[test]
    fn a_drill_reaches_through_every_bore() {
        // Arms of 150 mm on pins of 8: 17 times 8 are 136.
        let margin = fails_saying(&["pin bore of 8.00 mm", "150.0 mm deep", "19 times"], |project| {
            project.bars.build = crate::project::Build::Sandwich;
            (project.bars.lower_arm.depth, project.bars.upper_arm.depth) = (150.0, 150.0);
        });
        assert!((margin + 14.0).abs() < 1e-9, "{margin}");
    }

    #[test]
    fn stock_and_bearings_of_other_sizes() {
        let margin =
            fails_saying(&["stock of the lower arm", "24.4 mm × 40.0 mm", "1.00 mm smaller", "across it"], |project| {
                project.bars.lower_arm.stock = Some([24.4, 40.0]);
            });
        assert!((margin + 1.0).abs() < 1e-9, "{margin}");
        // Seats wider than the arms' laps: the laps are cut out to them.
        let smaller = found(|project| {
            for width in [&mut project.bars.lower_arm.width, &mut project.bars.upper_arm.width] {
                *width = 20.0;
            }
        });
        assert_eq!(smaller.holds, Some(true), "{}", smaller.text);
        let thin = found(|project| joints(project).bearing = Some(BearingWanted::Designation("688".into())));
        assert_eq!(thin.holds, Some(true), "{}", thin.text);
    }
}
