//! What comes of errors of parts: whether it hangs flat, whether the pair runs free, how exact is
//! exact enough.

use overarm_solver::errors::allocation::{EASY, Part};
use overarm_solver::errors::{
    Allocation, Limit, NoPair, OneSet, PairFigures, PartErrors, SetFigure, Share, Spread, Wobble,
};
use overarm_solver::units::number;
use overarm_solver::{Analysis, Project, show_fine, show_length};

use super::{Block, PlotOf, at, measured};
use crate::session::remedy::Remedy;
use crate::session::size::Size;

const HUNG: &[&str] = &[
    "The set closes until the first of the panel's two rests meets the wall; the gap is what the other leaves open.",
    "Drawn: 100,000 sets, errors independent and, unless chosen otherwise above, equally likely anywhere within ± their tolerance, from seed 1.",
    "By slopes: implicit derivatives of the loop; worst case Σ|slope · tolerance|, root of the sum of squares √Σ(slope · tolerance)².",
    "No set exceeds: the more of slopes and all 256 sets with every error at an end of its tolerance.",
    "Lever: how far the line of the upper arm passes the panel's lower pivot; the loop's margin grows with its square.",
];
const PARKED: &[&str] = &[
    "The lower arm goes on until the parts that stop it touch; each of the sets drawn is taken there.",
    "Height of the panel's lowest point against the drawing's.",
];
const PAIR: &[&str] = &[
    "For each arm δ = its length error less the growth of the distance of its pivots; misfit = (δ lower − δ upper) left less right.",
    "Force in the arms F = (|misfit| − 8 · play) ÷ (4/k + ℓ²/K): k of an arm, ℓ the lever, K the panel's torsional stiffness, else rigid.",
    "It runs free where F leaves the bearings a static safety of 2 and the lift still comes down by its weight, all the way.",
    "The interval of the share is Wilson's, 95 %.",
    "Twist: how far one corner would stand off the plane of the other three; yaw: one set's middle ahead of the other's.",
];
const SENSITIVITY: &[&str] = &[
    "Implicit derivatives of the loop at this pose, the panel held by its corners: the least shift that closes it again.",
    "Worst: all errors at once; the other figure is the root of the sum of squares.",
];
const ALLOCATION: &[&str] = &[
    "Widest equal tolerances by halving, each judged by 4,000 sets or 20,000 pairs drawn; 1 % of pairs may fail (common practice).",
    "Share of scatter = (slope · tolerance)² over their sum; halving one tolerance leaves √(1 − ¾ share) of it.",
    "Second bar last: out of plumb and out of level count as nothing once the second wall bar has found its place.",
];
const WOBBLE: &[&str] = &[
    "In plane each arm is longer or shorter by the play of its two hinges and by what the tilt of their pins makes of the layers' offset.",
    "Sideways a pin tilts by twice the play over the span of its two bearings; the shorter arm leans with it.",
];

pub(super) fn blocks(project: &Project, analysis: &Analysis) -> Vec<Block> {
    // While they are being drawn the page says so itself.
    let Some(errors) = &analysis.errors else { return Vec::new() };
    let is_measured = errors.as_built.is_some();
    let mut blocks = Vec::new();
    if is_measured {
        blocks.push(measured::block(project, errors));
    }
    blocks.push(hung(project, errors));
    if let Some(one) = &errors.one_set {
        blocks.push(parked(project, one, is_measured));
    }
    blocks.push(pair(project, errors));
    if errors.pair.is_some() {
        let mut block = Block::new("The pair over the travel", PAIR);
        block.plot = Some(PlotOf::PairOverTravel);
        blocks.push(block);
    }
    if !errors.bands.is_empty() {
        let mut block = Block::new("At the pose shown", SENSITIVITY);
        block.plot = Some(PlotOf::Sensitivity);
        blocks.push(block);
    }
    if let Some(allocation) = &errors.allocation {
        blocks.push(allocated(project, errors, allocation));
    }
    blocks.push(wobble(project, errors.wobble.as_ref()));
    if !is_measured {
        blocks.push(measured::block(project, errors));
    }
    blocks
}

/// A share with its interval.
fn share_words(share: &Share) -> String {
    let percent = |value: f64| number(100.0 * value, 2);
    if share.hits == 0 {
        return format!("none of {} (up to {} %)", share.of, number(100.0 * share.interval[1], 3));
    }
    format!("{} % ({} to {} %)", percent(share.share), percent(share.interval[0]), percent(share.interval[1]))
}

fn hung(project: &Project, errors: &PartErrors) -> Block {
    let is_measured = errors.as_built.is_some();
    let mut block = Block::new(if is_measured { "Hung, as toleranced" } else { "Hung" }, HUNG);
    let Some(one) = &errors.one_set else {
        block.note(
            "No gap is told: give tolerances below. Where they are given, a rest of the panel does not leave the wall as it rises.",
        );
        return block;
    };
    let show = |mm: f64| show_fine(mm, project.units());
    let (gap, limit) = (&one.hung_gap, project.hung_gap_limit());
    match gap.p95 {
        // The verdict is about the parts as measured.
        Some(p95) if is_measured => block.row("Gap at a rest, 95 % of toleranced sets keep under", show(p95)),
        Some(p95) => {
            block.judged("Gap at a rest, 95 % of sets keep under", show(p95), p95 <= limit);
            block.row("Allowed", show(limit));
        }
        None if is_measured => block.row("Gap at a rest", "over 5 % of toleranced sets do not get to the wall"),
        None => block.judged("Gap at a rest", "over 5 % of sets do not get to the wall", false),
    }
    if is_measured {
        block.note(
            "What the tolerances allow, for comparison. The rule goes by the parts as measured, in their own block above.",
        );
    }
    figure(&mut block, gap, &show);
    if gap.root_sum_square.is_some() {
        block.note(match errors.draws.spread {
            Spread::Uniform => {
                "Root of the sum of squares takes each tolerance as three deviations. Errors equally likely anywhere within theirs scatter √3 times as much: 95 % keep under about 1.13 times it."
            }
            Spread::Normal => {
                "Root of the sum of squares takes each tolerance as three deviations, as they are drawn here: 95 % keep under about two of the three."
            }
        });
    }
    block.row("Lever at hung", show_length(one.lever, project.units()));
    block.row("Too short before the loop cannot close", show(one.closing_margin));
    short(&mut block, "Sets whose loop cannot close", &one.short_of_hung, one.most_short_of_hung, &show);
    if one.short_of_hung.hits > 0 {
        let lifts = &one.lifts_short_of_hung;
        let [least, most] = lifts.interval.map(|value| number(100.0 * value, 2));
        let words = format!("{} % ({least} to {most} %)", number(100.0 * lifts.share, 2));
        block.judged("Lifts, one of whose two sets cannot", words, false);
    }
    block.plot = Some(PlotOf::HungGap);
    block
}

/// What does not get there, and how far short it stays.
fn short(block: &mut Block, what: &str, share: &Share, most: f64, show: &dyn Fn(f64) -> String) {
    if share.hits == 0 {
        block.row(what, share_words(share));
    } else {
        block.judged(what, share_words(share), false);
        block.row("The farthest of them stays short", show(most));
    }
}

/// Worst case, slopes and draws of one figure.
fn figure(block: &mut Block, figure: &SetFigure, show: &dyn Fn(f64) -> String) {
    let some = |value: Option<f64>| value.map_or_else(|| "none: a dead point".to_owned(), show);
    block.row("No set exceeds", figure.worst.map_or_else(|| "some sets do not get there".to_owned(), show));
    block.row("Worst case by slopes", some(figure.linear_worst));
    block.row("Root of the sum of squares", some(figure.root_sum_square));
    let linear = figure.linear_deviation.map_or_else(|| "none".to_owned(), show);
    block.row("Standard deviation, drawn and by slopes", format!("{}, {linear}", show(figure.deviation)));
    if !figure.linear_trusted {
        let why = if figure.worst.is_none() {
            "some sets do not get there at all"
        } else {
            "what was drawn scatters otherwise, for a dead point is near or the errors are large"
        };
        block.note(format!("Figures by slopes cannot be trusted here: {why}. Go by what was drawn."));
    }
}

fn parked(project: &Project, one: &OneSet, is_measured: bool) -> Block {
    let mut block = Block::new(if is_measured { "Parked, as toleranced" } else { "Parked" }, PARKED);
    let show = |mm: f64| show_fine(mm, project.units());
    match &one.parked_height {
        Some(height) => {
            let p95 = height.p95.map_or_else(|| "over 5 % of sets do not get there".to_owned(), show);
            block.row("Bottom edge, 95 % of sets are as near as", p95);
            figure(&mut block, height, &show);
        }
        None => block.note("The lift does not move, so nothing is told of its parked height."),
    }
    match &one.parked_turn {
        Some(turn) => {
            let degrees = |value: f64| format!("{}°", number(value, 3));
            block.row("Turn at the stop, 95 % of sets are as near as", turn.p95.map_or("none".to_owned(), degrees));
            if let Some(shortfall) = &one.parked_shortfall {
                let p95 = shortfall.p95.map_or_else(|| "none".to_owned(), show);
                block.row("the same, at the end of the lower arm", p95);
            }
            short(&mut block, "Sets short of the stop", &one.short_of_parked, one.most_short_of_parked, &show);
        }
        None => block.note("No stop of the arms is found: it is parked by the drive, at the drawn turn."),
    }
    block
}

/// What is to be given for a pair to be judged.
fn missing_words(missing: NoPair) -> &'static str {
    match missing {
        NoPair::Tolerances => "How exact the parts are is not given: type tolerances below.",
        NoPair::Bearing => {
            "No bearing is given: choose one on the page Hinges and fits, or it is not known what force binds."
        }
        NoPair::Masses => "A bar's mass is not known: give its mass, or one of the materials listed.",
        NoPair::Motion => "The lift does not move, or all its pivots are in line somewhere.",
    }
}

fn pair(project: &Project, errors: &PartErrors) -> Block {
    let is_measured = errors.as_built.is_some();
    let mut block = Block::new(if is_measured { "The pair, as measured" } else { "The pair" }, PAIR);
    let Some(pair) = &errors.pair else {
        block.note(missing_words(errors.no_pair.unwrap_or(NoPair::Tolerances)));
        return block;
    };
    let show = |mm: f64| show_fine(mm, project.units());
    let share = &pair.failing;
    // One pair is no statistics.
    let most_or_p95 = if pair.is_one_pair { "most" } else { "95 % keep under" };
    if pair.is_one_pair {
        let free = share.hits == 0;
        block.judged("This one pair", if free { "runs free" } else { "does not run free" }, free);
    } else {
        block.judged("Pairs that do not run free", share_words(share), share.share <= project.allowed_share());
        block.row("Allowed", format!("{} %", Size::of_a_hundred(project.allowed_share())));
        if is_measured {
            block
                .note("What was measured is as it is; what was not, and plumb and level, lie within their tolerances.");
        }
    }
    let (misfit, s) = most(pair, |at| at.misfit);
    block.row(format!("Misfit, {most_or_p95}"), format!("{} {}", show(misfit), at(s)));
    block.row(format!("Force in the arms, {most_or_p95}"), format!("{} N", number(pair.force_p95, 0)));
    match (&pair.no_room, least_allowed(pair)) {
        (Some(room), _) => {
            block.judged(
                "Least force that is allowed",
                format!("none, {} N too little {}", number(room.beyond, 0), at(room.s)),
                false,
            );
            block.note(format!("No pair runs free, however exact its parts: {}", room.words()));
        }
        (None, Some((allowed, s))) => {
            block.row("Least force that is allowed", format!("{} N {}", number(allowed, 0), at(s)));
        }
        (None, None) => {}
    }
    block.row(format!("Twist at a corner, {most_or_p95}"), show(pair.twist_p95));
    if errors.one_set.as_ref().is_some_and(|one| !one.hung_gap.linear_trusted) {
        block.note("Twist and yaw are by slopes, which cannot be trusted near hung: a dead point is too near.");
    }
    block.row(format!("Yaw, {most_or_p95}"), format!("{}°", number(pair.yaw_p95_deg, 3)));
    if pair.is_one_pair {
        block.row("Play alone takes up the misfit", if pair.beyond_play.hits == 0 { "yes" } else { "no" });
    } else {
        block.row("Beyond what play alone takes up", share_words(&pair.beyond_play));
    }
    if let (false, Some(s), Some(limit)) = (pair.is_one_pair, pair.worst_s, pair.worst_limit) {
        let what = match limit {
            Limit::Bearing => "a bearing loses its safety",
            Limit::Friction => "friction holds it up",
        };
        block.row("Most that fail do so", format!("{}: {what}", at(s)));
    }
    block.note("Play alone is shown, not judged by: what it does not take up, a small force may.");
    if project.joints.as_ref().and_then(|joints| joints.radial_play).is_none() {
        block.note("The play of the bearings is not given, and none is counted on: type it below.");
    }
    if project.panel.torsional_stiffness.is_none() {
        block.note("The panel's torsional stiffness is not given: it is taken as rigid, which is the worst.");
    }
    block.plot = (!pair.is_one_pair).then_some(PlotOf::Twist);
    block
}

/// The greatest of a figure of the pair over the travel, and where.
fn most(pair: &PairFigures, of: impl Fn(&overarm_solver::errors::PairAt) -> f64) -> (f64, f64) {
    let values = pair.poses.iter().map(|at| (of(at), at.s));
    values.max_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or_default()
}

fn least_allowed(pair: &PairFigures) -> Option<(f64, f64)> {
    let values = pair.poses.iter().filter_map(|at| Some((at.allowed_force?, at.s)));
    values.min_by(|a, b| a.0.total_cmp(&b.0))
}

fn allocated(project: &Project, errors: &PartErrors, allocation: &Allocation) -> Block {
    let mut block = Block::new("How exact is exact enough", ALLOCATION);
    let show = |mm: f64| show_fine(mm, project.units());
    let within = |tolerance: Option<f64>| tolerance.map_or_else(|| "none does".to_owned(), |t| format!("±{}", show(t)));
    if errors.as_built.is_some() {
        block.note("All of it by tolerances, not by what was measured.");
    }
    block.row("Widest for all that keeps the gap", within(allocation.widest_for_gap));
    if errors.pair.is_some() {
        block.row("Widest for all that lets the pair run free", within(allocation.widest_for_pair));
        block.row("the same, second bar tightened last", within(allocation.widest_second_bar_last));
    }
    for shop in &allocation.shops {
        let gap =
            shop.hung_gap_p95.map_or_else(|| "no rest on the wall".to_owned(), |gap| format!("gap {}", show(gap)));
        let binds = shop
            .failing
            .as_ref()
            .map_or_else(String::new, |share| format!(", {} % bind", number(100.0 * share.share, 1)));
        block.row(format!("All within ±{}", show(shop.tolerance)), format!("{gap}{binds}"));
    }
    first(&mut block, "gap", &allocation.hung_gap);
    first(&mut block, "twist", &allocation.twist);
    if let Some(pads) = allocation.pads {
        block.row("Adjustable pads would take up", format!("{}, the whole gap of 95 %", show(pads)));
    }
    if let (Some(last), Some(saves)) = (&allocation.failing_second_bar_last, &allocation.second_bar_last_saves) {
        let words = if saves.is_told() {
            format!("{}, saves {} %", share_words(last), number(100.0 * saves.share, 2))
        } else {
            format!("{}, no difference that {} pairs tell", share_words(last), last.of)
        };
        block.row("Do not run free, second bar tightened last", words);
    }
    match &allocation.longer_lever {
        Some(lever) => {
            block.row("Longer lever", show_length(lever.lever, project.units()));
            block.note(format!(
                "With that lever ±{} on every dimension keeps the gap under {}. It changes the motion: every other rule was tried with it.",
                show(lever.tolerance),
                show(lever.hung_gap_p95)
            ));
            block.remedies.push(Remedy::LongerLever);
        }
        None if allocation.widest_for_gap.is_some_and(|widest| widest >= EASY) => {
            block.note("A longer lever is not needed: ±0.1 mm on every dimension keeps the gap as it is.");
        }
        None => {
            block.note("No upper pivot moved in depth between wall and panel makes coarser parts enough for the gap.");
        }
    }
    block
}

/// The two dimensions that scatter comes from most, and what halving their tolerances would do.
fn first(block: &mut Block, what: &str, parts: &[Part]) {
    let words = |part: &Part| {
        let [share, saves] = [part.share, part.halved_saves].map(|value| number(100.0 * value, 0));
        format!("{} ({share} % of the scatter, halved saves {saves} %)", part.source.words())
    };
    let listed: Vec<String> = parts.iter().take(2).map(words).collect();
    if !listed.is_empty() {
        block.note(format!("Tighten first for the {what}: {}.", listed.join(", then ")));
    }
}

fn wobble(project: &Project, wobble: Option<&Wobble>) -> Block {
    let mut block = Block::new("Wobble by hand", WOBBLE);
    let Some(wobble) = wobble else {
        block.note("The play of a bearing is not given: type it below and the wobble is told.");
        return block;
    };
    let show = |mm: f64| show_fine(mm, project.units());
    block.row("In its plane, hung, either way", show(wobble.hung));
    block.row("In its plane, most", format!("{} {}", show(wobble.most), at(wobble.most_s)));
    match wobble.sideways {
        Some(sideways) => block.row("Along the wall", show(sideways)),
        None => block
            .note("Between the middles of a hinge's two bearings is not given, so nothing is told of along the wall."),
    }
    block
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;
    use overarm_solver::errors::Draws;
    use overarm_solver::{Options, analyse};

    fn of(project: &Project) -> Vec<Block> {
        let analysis = analyse(project, &Options { poses: 2, swept: false });
        let draws = Draws { count: 4000, ..Draws::default() };
        blocks(project, &analysis.with_errors_drawn(project, &draws))
    }

    fn value(blocks: &[Block], what: &str) -> Option<String> {
        blocks.iter().flat_map(|block| &block.rows).find(|row| row.what == what).map(|row| row.value.clone())
    }

    fn notes(blocks: &[Block]) -> String {
        blocks.iter().flat_map(|block| &block.notes).fold(String::new(), |all, note| all + note + "\n")
    }

    #[test]
    fn nothing_is_told_before_errors_are_drawn() {
        let project = demo();
        assert!(blocks(&project, &analyse(&project, &Options { poses: 2, swept: false })).is_empty());
    }

    #[test]
    fn what_is_missing_is_said_in_its_place() {
        let mut project = demo();
        project.joints.get_or_insert_default().radial_play = None;
        let found = of(&project);
        assert!(notes(&found).contains("none is counted on") && notes(&found).contains("wobble is told"));
        project.tolerances = None;
        let found = of(&project);
        assert!(notes(&found).contains("type tolerances below"));
        // Slopes need no tolerance.
        let plots: Vec<_> = found.iter().filter_map(|block| block.plot).collect();
        assert_eq!(plots, [PlotOf::Sensitivity]);
    }

    /// With measured parts each block says whether it is about them or about the tolerances, and only the
    /// former is judged.
    #[test]
    fn as_measured_and_as_toleranced_are_told_apart() {
        let mut project = demo();
        let lift = overarm_solver::Lift::new(&project);
        let mut built = overarm_solver::AsBuilt::default();
        for set in [&mut built.left, &mut built.right] {
            for dimension in overarm_solver::errors::Dimension::ALL {
                *dimension.measured_mut(set) = Some(dimension.drawn(&lift));
            }
        }
        built.left.lower_arm = built.left.lower_arm.map(|drawn| drawn + 0.1);
        project.tolerances.get_or_insert_default().as_built = Some(built.clone());
        let found = of(&project);
        let titles: Vec<_> = found.iter().map(|block| block.title).collect();
        assert_eq!(
            titles[..4],
            ["As measured", "Hung, as toleranced", "Parked, as toleranced", "The pair, as measured"]
        );
        let judged = |block: &Block| block.rows.iter().filter(|row| row.holds.is_some()).count();
        assert!(judged(&found[0]) > 0 && judged(&found[1]) == 0 && judged(&found[2]) == 0, "{found:#?}");
        assert!(found[1].rows[0].what.contains("toleranced"), "{found:#?}");
        // Nothing left open at all: one pair, told as one.
        project.tolerances = Some(overarm_solver::Tolerances { as_built: Some(built), ..Default::default() });
        let found = of(&project);
        assert!(value(&found, "This one pair").is_some() && value(&found, "Pairs that do not run free").is_none());
        assert!(!notes(&found).contains("95 %") && !found.iter().any(|block| block.plot == Some(PlotOf::Twist)));
    }

    /// Lever 25.8 mm and margin 3.89 mm (found independently, as drawn in the golden case).
    #[test]
    fn lever_margin_and_a_warning_where_slopes_say_nothing() {
        let text = include_str!("../../../../../tests/golden/chapel-hatch/complete.overarm.json");
        let mut project: Project = serde_json::from_str(text).expect("a project");
        project.panel.rests = Some([30.0, 670.0]);
        let found = of(&project);
        assert!(value(&found, "Lever at hung").is_some_and(|value| value.starts_with("25.8")), "{found:#?}");
        assert_eq!(value(&found, "Too short before the loop cannot close").as_deref(), Some("3.89 mm"));
        assert!(!notes(&found).contains("cannot be trusted"));
        let tolerances = project.tolerances.get_or_insert_default();
        (tolerances.length, tolerances.offset) = (Some(1.5), Some(1.5));
        let found = of(&project);
        assert!(notes(&found).contains("Figures by slopes cannot be trusted here"), "{}", notes(&found));
        assert!(value(&found, "Sets whose loop cannot close").is_some_and(|value| value.contains(" to ")));
    }
}
