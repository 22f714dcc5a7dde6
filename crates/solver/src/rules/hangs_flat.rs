//! `hangs_flat`: the gap that errors of parts leave at the wall, and the transmission angle at hung.
//!
//! The gap is that of the parts as measured; else what 95 % of drawn sets keep under, where errors
//! were drawn; else, in the frames of a drag, an estimate of the same from slopes; else none.

use super::{Rule, RuleFinding};
use crate::analysis::Analysis;
use crate::errors::as_built::{built_gap, left_open};
use crate::errors::one_set::tolerances_of;
use crate::errors::{PanelPlace, PartErrors, SetGeometry, Spread, Stack, hung_gap_size};
use crate::parts::Hand;
use crate::project::{AsBuilt, MeasuredSet, Point, Project};
use crate::units::{number, show_fine};

/// Least transmission angle at hung, degrees (common practice for this kind of lift, no source):
/// below it a few hundredths of length error decide where the panel hangs.
const LEAST_DEG: f64 = 5.0;
/// Below this it is worth a look (common practice, no source).
const NEAR_DEG: f64 = 15.0;
/// A gap beyond this share of its limit is worth a look (common practice, no source).
const NEAR_SHARE: f64 = 0.8;
/// Two-sided 95 % of the normal distribution, which a sum of eight errors is near enough to.
const P95: f64 = 1.96;

/// A gap and how it is known.
struct Gap {
    /// mm, 0 or more; infinite where some set does not get to the wall.
    size: f64,
    /// Worth a look whatever its size: some loops do not close, or slopes say nothing.
    doubtful: bool,
    text: String,
}

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let hung = analysis.pose_at(0.0);
    let angle = hung.transmission.to_degrees();
    let limit = project.hung_gap_limit();
    let gap = gap(project, analysis, limit);
    let size = gap.as_ref().map_or(0.0, |gap| gap.size);
    let by_angle = (angle - LEAST_DEG) / LEAST_DEG;
    let by_gap = if gap.is_some() { 1.0 - size / limit.max(f64::MIN_POSITIVE) } else { f64::INFINITY };
    let near = angle < NEAR_DEG || size > NEAR_SHARE * limit || gap.as_ref().is_some_and(|gap| gap.doubtful);
    let gap_text = gap.map_or_else(
        || " Errors of parts are not known: give the tolerances of centre distances and pivot offsets (tolerances.length, tolerances.offset).".into(),
        |gap| gap.text,
    );
    // What was measured needs no tolerance.
    let drawn = project.tolerances.as_ref().filter(|given| given.as_built.is_none());
    let missing = drawn.map_or_else(String::new, |given| {
        if given.length.is_none() && given.offset.is_none() { String::new() } else { given.taken_as_nothing(2) }
    });
    // The worse of both, each by its own limit; a gap that never closes is the worst.
    let worst_is_gap = by_gap < by_angle;
    let finding = if !worst_is_gap {
        RuleFinding::with_margin(Rule::HangsFlat, angle - LEAST_DEG, "deg")
    } else if size.is_finite() {
        RuleFinding::with_margin(Rule::HangsFlat, limit - size, "mm")
    } else {
        RuleFinding::failing(Rule::HangsFlat, "mm")
    };
    finding
        .near(near)
        .at(0.0, "upper panel pivot, hung", &[hung.panel_upper])
        .saying(format!("{}{gap_text}{missing}", angle_text(angle)))
}

fn angle_text(angle: f64) -> String {
    let told = number(angle, 1);
    if angle < LEAST_DEG {
        format!(
            "Hung, the upper arm and the panel bar meet at {told}°; at least {LEAST_DEG}° are wanted, or small length errors lift the panel off the wall. Set the two panel pivots at different distances from the wall."
        )
    } else if angle < NEAR_DEG {
        format!(
            "Hung, the upper arm and the panel bar meet at {told}°: enough, but touchy under {NEAR_DEG}°. Setting the two panel pivots at different distances from the wall raises it."
        )
    } else {
        format!("Hung, the upper arm and the panel bar meet at {told}°, a firm rest.")
    }
}

fn gap(project: &Project, analysis: &Analysis, limit: f64) -> Option<Gap> {
    let given = project.tolerances.as_ref()?;
    let show = |mm: f64| show_fine(mm, project.units());
    let standoff = project.panel.hung.standoff;
    let advice = |size: f64| {
        if size <= limit {
            return String::new();
        }
        // Parts that are cut keep their lever.
        let lever = "a longer lever, the two panel pivots farther apart in depth";
        match (size < standoff, given.as_built.is_some()) {
            (true, true) => " Adjustable pads as long as the standoff take it up.".to_owned(),
            (true, false) => format!(" Adjustable pads as long as the standoff take it up; so does {lever}."),
            (false, true) => String::new(),
            (false, false) => format!(" No pad is long enough for it; what helps is {lever}."),
        }
    };
    if let Some(built) = &given.as_built {
        return Some(match built_gap(project, analysis, built)? {
            Ok((gap, hand)) => {
                let end = if gap > 0.0 { "top" } else { "bottom" };
                let which = hand.words();
                let size = gap.abs();
                let leaves = format!("the {which} set leaves {} at the {end}", show(size));
                match unmeasured(project, analysis, built) {
                    // What is not known may only make it worse.
                    Some(open) => Gap {
                        size: open.size.max(size),
                        text: format!(
                            " As measured, what was not measured as drawn, {leaves}; {} {} are allowed.{}",
                            open.text,
                            show(limit),
                            advice(open.size.max(size))
                        ),
                        ..open
                    },
                    None => Gap {
                        size,
                        doubtful: false,
                        text: format!(" As measured, {leaves}; {} are allowed.{}", show(limit), advice(size)),
                    },
                }
            }
            Err((by, hand)) => Gap {
                size: f64::INFINITY,
                doubtful: true,
                text: if by.is_finite() {
                    format!(
                        " As measured, the {} set does not get to the wall: its loop cannot close at hung and stays {} short.",
                        hand.words(),
                        show(by)
                    )
                } else {
                    format!(
                        " As measured, the {} set's bars close to no loop: look at what was measured, and its unit.",
                        hand.words()
                    )
                },
            },
        });
    }
    let tolerances = tolerances_of(given)?;
    if let Some(errors) = &analysis.errors {
        let Some(one) = &errors.one_set else {
            return Some(Gap {
                size: 0.0,
                doubtful: true,
                text: " A rest of the panel does not leave the wall as it rises, so no gap is told.".into(),
            });
        };
        let short = &one.short_of_hung;
        let closes = if short.hits == 0 {
            String::new()
        } else {
            format!(
                " In {} % of sets, so in {} % of lifts, the loop cannot close at hung: the lower arm stays up to {} short.",
                number(100.0 * short.share, 1),
                number(100.0 * one.lifts_short_of_hung.share, 1),
                show(one.most_short_of_hung)
            )
        };
        let linear =
            if one.hung_gap.linear_trusted { "" } else { " Slopes cannot be trusted here: a dead point is too near." };
        let Some(size) = one.hung_gap.p95 else {
            return Some(Gap {
                size: f64::INFINITY,
                doubtful: true,
                text: format!(" More than 5 % of sets do not get to the wall at all.{closes}"),
            });
        };
        return Some(Gap {
            size,
            doubtful: short.hits > 0 || !one.hung_gap.linear_trusted,
            text: format!(
                " Within the tolerances{} 95 % of sets leave less than {} at one rest; {} are allowed.{closes}{linear}{}",
                errors.draws.spread.words(),
                show(size),
                show(limit),
                advice(size) + &longer_lever(project, errors, size > limit)
            ),
        });
    }
    let hung = PanelPlace { origin: project.panel.hung.origin(), turn: 0.0 };
    let lift = &analysis.lift;
    let tips = project.panel.rests().map(|height| Point::new(-lift.standoff, height));
    let stack = Stack { slopes: hung_gap_size(&SetGeometry::nominal(lift), &hung, tips)?, tolerances };
    let size = P95 * stack.deviation(Spread::Uniform);
    Some(Gap {
        size,
        doubtful: false,
        text: format!(
            " By slopes alone, 95 % of sets leave less than about {} at one rest; {} are allowed. Errors of parts are not yet drawn.{}",
            show(size),
            show(limit),
            advice(size)
        ),
    })
}

/// The gap of sets that were not measured whole, what was not being within its tolerance: drawn, else by
/// slopes; `None` where nothing is left open.
fn unmeasured(project: &Project, analysis: &Analysis, built: &AsBuilt) -> Option<Gap> {
    /// One-sided 95 % of the normal distribution.
    const ONE_SIDED: f64 = 1.645;
    let show = |mm: f64| show_fine(mm, project.units());
    if let Some(errors) = &analysis.errors {
        let found = errors.unmeasured_gap.as_ref()?;
        let which = if found.hand == 'L' { "left" } else { "right" };
        return Some(match found.p95 {
            Some(p95) => Gap {
                size: p95,
                doubtful: false,
                text: format!(
                    "with it within its tolerance{} 95 % of such {which} sets leave less than {} at one rest;",
                    errors.draws.spread.words(),
                    show(p95)
                ),
            },
            None => Gap {
                size: f64::INFINITY,
                doubtful: true,
                text: format!(
                    "with it within its tolerance more than 5 % of such {which} sets do not get to the wall;"
                ),
            },
        });
    }
    let lift = &analysis.lift;
    let hung = PanelPlace { origin: project.panel.hung.origin(), turn: 0.0 };
    let tips = project.panel.rests().map(|height| Point::new(-lift.standoff, height));
    let slopes = hung_gap_size(&SetGeometry::nominal(lift), &hung, tips)?;
    let of = |measured: &MeasuredSet, hand| {
        let stack = Stack { slopes, tolerances: left_open(project, measured)? };
        let alone = AsBuilt { left: measured.clone(), right: measured.clone(), ..AsBuilt::default() };
        let (gap, _) = built_gap(project, analysis, &alone)?.ok()?;
        let deviation = stack.deviation(Spread::Uniform);
        Some((f64::max(gap.abs() + ONE_SIDED * deviation, P95 * deviation), hand))
    };
    let sets = [(&built.left, Hand::Left), (&built.right, Hand::Right)];
    let worst = sets.into_iter().filter_map(|(measured, hand)| of(measured, hand));
    let (size, hand) = worst.max_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(Gap {
        size,
        doubtful: false,
        text: format!(
            "with it within its tolerance, by slopes alone, 95 % of such {} sets leave less than about {};",
            hand.words(),
            show(size)
        ),
    })
}

/// What a longer lever would do, and what would fail then; where the gap fails and it was searched for.
fn longer_lever(project: &Project, errors: &PartErrors, fails: bool) -> String {
    let found = errors.allocation.as_ref().and_then(|allocation| allocation.longer_lever.as_ref());
    let Some(found) = found.filter(|_| fails) else { return String::new() };
    let show = |mm: f64| show_fine(mm, project.units());
    let then = if found.then_fails.is_empty() {
        "no other rule would fail for it".to_owned()
    } else {
        let rules: Vec<_> = found.then_fails.iter().map(|rule| rule.title()).collect();
        format!("but these would fail: {}", rules.join(", "))
    };
    format!(
        " With {} a lever of {} keeps the gap with ±{} on every dimension; {then}.",
        found.words(&show),
        show(found.lever),
        show(found.tolerance)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::errors::Draws;
    use crate::project::Tolerances;
    use crate::{Options, analyse};

    fn board() -> Project {
        let mut project = crate::samples::board();
        project.panel.rests = Some([30.0, 670.0]);
        project
    }

    fn found(project: &Project, draws: Option<u32>) -> RuleFinding {
        let mut analysis = analyse(project, &Options { poses: 2, swept: false });
        if let Some(count) = draws {
            analysis = analysis.with_errors_drawn(project, &Draws { count, ..Draws::default() });
        }
        let rules = &analysis.rules;
        rules.iter().find(|found| found.rule == Rule::HangsFlat).expect("it is judged").clone()
    }

    #[test]
    fn without_tolerances_the_angle_decides() {
        let found = found(&board(), Some(100));
        assert_eq!((found.holds, found.unit), (Some(true), "deg"));
        assert!(
            (found.margin.expect("a margin") - 14.803_421).abs() < 1e-5 && found.text.contains("give the tolerances")
        );
    }

    /// Lengths within ±0.02 mm, offsets within ±0.03: root of the sum of squares of 0.02 × (24.92,
    /// 26.36, 24.92, 25.93) and 0.03 × (7.5, 7.5, 8.9, 8.9), over √3, times 1.96: 1.28 mm with slopes of
    /// the offsets told to two figures.
    #[test]
    fn drawn_and_by_slopes_alike() {
        let mut project = board();
        project.tolerances = Some(Tolerances { length: Some(0.02), offset: Some(0.03), ..Tolerances::default() });
        let by_slopes = found(&project, None);
        assert!(by_slopes.text.contains("By slopes alone") && by_slopes.text.contains("1.29 mm"), "{}", by_slopes.text);
        let drawn = found(&project, Some(20_000));
        assert!(drawn.text.contains("95 % of sets") && !drawn.text.contains("slopes"), "{}", drawn.text);
        let margins = [&by_slopes, &drawn].map(|found| (found.unit, found.margin.expect("a margin")));
        assert!(margins.iter().all(|(unit, margin)| *unit == "mm" && (margin - 0.72).abs() < 0.04), "{margins:?}");
        project.tolerances = Some(Tolerances { length: Some(0.05), offset: Some(0.05), ..Tolerances::default() });
        assert!(found(&project, Some(5_000)).text.contains("Adjustable pads"));
    }

    /// All centre distances measured as drawn, offsets not: they count within their tolerance, as they do
    /// for the pair. Of lengths ±0 and offsets ±0.03 the board's slopes (7.5 and 8.9 mm/mm, two of each)
    /// leave 0.03 · √(2 · 7.5² + 2 · 8.9²)/√3 · 1.96 = 0.56 mm.
    #[test]
    fn what_is_not_measured_lies_within_its_tolerance() {
        let mut project = board();
        let lift = crate::Lift::new(&project);
        let mut built = crate::project::AsBuilt::default();
        for set in [&mut built.left, &mut built.right] {
            for dimension in crate::errors::Dimension::ALL.into_iter().filter(|of| of.is_length()) {
                *dimension.measured_mut(set) = Some(dimension.drawn(&lift));
            }
        }
        let with = |offset, built: &crate::project::AsBuilt| Tolerances {
            length: Some(0.02),
            offset,
            as_built: Some(built.clone()),
            ..Tolerances::default()
        };
        project.tolerances = Some(with(Some(0.03), &built));
        for draws in [None, Some(20_000)] {
            let judged = found(&project, draws);
            // Where the angle decides, only the text tells the gap.
            assert!(judged.text.contains("within its tolerance"), "{}", judged.text);
            assert!(judged.text.contains(" 0.55") || judged.text.contains(" 0.56"), "{}", judged.text);
        }
        let open = |project: &Project| {
            let analysis = analyse(project, &Options { poses: 2, swept: false });
            let draws = Draws { count: 1_000, ..Draws::default() };
            analysis.with_errors_drawn(project, &draws).errors.expect("drawn").unmeasured_gap
        };
        assert!(open(&project).is_some());
        // Without a tolerance of offsets, or with all measured, nothing is left open.
        project.tolerances = Some(with(None, &built));
        assert!(open(&project).is_none() && !found(&project, Some(500)).text.contains("within its tolerance"));
        for set in [&mut built.left, &mut built.right] {
            for dimension in crate::errors::Dimension::ALL {
                *dimension.measured_mut(set) = Some(dimension.drawn(&lift));
            }
        }
        project.tolerances = Some(with(Some(0.03), &built));
        assert!(open(&project).is_none() && !found(&project, None).text.contains("within its tolerance"));
    }

    /// One lower arm 0.1 mm too long: −2.49 mm and a little, for the rest that meets the wall first.
    #[test]
    fn as_measured_goes_before_drawn() {
        let mut project = board();
        let mut built = crate::project::AsBuilt::default();
        built.right.lower_arm = Some(456.389_035 + 0.1);
        project.tolerances = Some(Tolerances { as_built: Some(built), ..Tolerances::default() });
        let found = found(&project, None);
        assert_eq!((found.holds, found.unit), (Some(false), "mm"));
        assert!((found.margin.expect("a margin") + 0.49).abs() < 0.05, "{:?}", found.margin);
        assert!(found.text.contains("the right set") && found.text.contains("at the bottom"), "{}", found.text);
    }

    /// A length typed in inches, nothing, or too long for any loop: it never hangs flat.
    #[test]
    fn measured_bars_that_close_to_no_loop_fail() {
        for size in [17.97, 0.0, 5000.0] {
            let mut project = board();
            let mut built = crate::project::AsBuilt::default();
            built.left.lower_arm = Some(size);
            project.tolerances =
                Some(Tolerances { length: Some(0.02), as_built: Some(built), ..Tolerances::default() });
            for draws in [None, Some(500)] {
                let found = found(&project, draws);
                assert_eq!(found.holds, Some(false), "{size}: {}", found.text);
                let said = ["close to no loop", "does not get to the wall"];
                assert!(said.iter().any(|words| found.text.contains(words)), "{size}: {}", found.text);
            }
        }
    }
}
