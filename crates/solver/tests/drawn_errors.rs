//! Errors drawn within tolerances: bounds, spread, and the same answer on any number of threads.

use overarm_solver::errors::one_set::drawn;
use overarm_solver::errors::{
    Closing, Draws, OneSet, PairFigures, PairModel, PairTolerances, Parked, Parking, PartErrors, SetGeometry, Spread,
};
use overarm_solver::{Analysis, Options, Point, Project, Tolerances, analyse};
use proptest::prelude::*;
use rayon::prelude::*;

fn complete() -> Project {
    let text = include_str!("../../../tests/golden/chapel-hatch/complete.overarm.json");
    serde_json::from_str(text).expect("a project")
}

/// The same heights, all pivots drawn together towards one line.
fn near_one_line() -> Project {
    let mut project = complete();
    let standoff = project.panel.hung.standoff;
    let linkage = &mut project.linkage;
    for (pivot, shift) in [
        (&mut linkage.wall_lower, 0.0),
        (&mut linkage.wall_upper, 0.0),
        (&mut linkage.panel_lower, standoff),
        (&mut linkage.panel_upper, standoff),
    ] {
        pivot.x = 31.38 + 0.122 * (pivot.x + shift - 31.38) - shift;
    }
    project
}

fn quick(project: &Project) -> Analysis {
    analyse(project, &Options { poses: 2, swept: false })
}

/// The board, and others with arms, bars and depths of their own; all stop on their arms.
fn several() -> Vec<(Project, Analysis)> {
    /// Shifts of wall lower, wall upper, panel lower, panel upper, mm.
    const SHIFTS: [[[f64; 2]; 4]; 6] = [
        [[0.0, 0.0]; 4],
        [[0.0, 0.0], [6.0, 4.0], [0.0, 0.0], [3.0, 8.0]],
        [[4.0, -9.0], [-5.0, 3.0], [-6.0, 5.0], [2.0, -4.0]],
        [[-8.0, 6.0], [8.0, 12.0], [-9.0, -7.0], [6.0, 5.0]],
        [[2.0, -14.0], [10.0, 9.0], [4.0, -11.0], [9.0, 12.0]],
        [[-4.0, -1.0], [1.0, -10.0], [-6.0, 1.0], [5.0, -8.0]],
    ];
    let moved = |shifts: &[[f64; 2]; 4]| {
        let mut project = complete();
        let link = &mut project.linkage;
        let pivots = [&mut link.wall_lower, &mut link.wall_upper, &mut link.panel_lower, &mut link.panel_upper];
        for (pivot, [x, y]) in pivots.into_iter().zip(shifts) {
            *pivot += nalgebra::Vector2::new(*x, *y);
        }
        let analysis = quick(&project);
        (project, analysis)
    };
    SHIFTS.iter().map(moved).collect()
}

/// A million sets of several lifts: none passes the worst case, hung or parked, and some come near it.
#[test]
fn no_drawn_set_passes_the_worst_case() {
    for (index, (project, analysis)) in several().into_iter().enumerate() {
        let draws = Draws { count: 2000, ..Draws::default() };
        let one = OneSet::new(&project, &analysis, &draws).expect("tolerances are given");
        let closing = Closing::new(&project, &analysis.lift, &analysis.travel).expect("it closes");
        let parking = Parking::new(&analysis.lift, &analysis.travel, &analysis.stop).expect("it moves");
        let set = SetGeometry::nominal(&analysis.lift);
        let parked = |set: &SetGeometry| match parking.of(set) {
            Some(Parked::OnStop { turn, lowest }) => [turn.to_degrees(), lowest],
            other => panic!("{index}: {other:?}"),
        };
        let [turn, lowest] = parked(&set);
        let million = Draws { count: 1_000_000, seed: 77, ..Draws::default() };
        let sizes = |sample: u32| {
            let made = set.with(&drawn(&million, u64::from(sample), &one.tolerances)).expect("a set");
            let gap = closing.of(&made).and_then(|closed| closed.gap()).expect("on the wall");
            let there = parked(&made);
            [gap.abs(), (there[0] - turn).abs(), (there[1] - lowest).abs()]
        };
        let larger = |a: [f64; 3], b: [f64; 3]| std::array::from_fn(|of| f64::max(a[of], b[of]));
        let most = (0..million.count).into_par_iter().map(sizes).reduce(|| [0.0; 3], larger);
        let figures = [Some(&one.hung_gap), one.parked_turn.as_ref(), one.parked_height.as_ref()];
        for (most, figure) in most.into_iter().zip(figures) {
            let figure = figure.expect("it parks on its arms");
            let worst = figure.worst.expect("every set gets there");
            assert!(most <= worst && most > 0.7 * worst, "{index}: {most} of {worst}");
            assert!(worst >= figure.linear_worst.expect("slopes"));
        }
    }
}

/// Away from dead points the root of the sum of squares says what is drawn, within 3 %, for uniform
/// and normal errors, hung and parked, of several lifts; and the figures say that it can be trusted.
#[test]
fn root_sum_square_is_what_is_drawn() {
    for (index, (project, analysis)) in several().into_iter().enumerate() {
        let hung = analysis.pose_at(0.0).transmission.to_degrees();
        assert!(hung > 10.0, "{index} is to be away from dead points: {hung}");
        for spread in [Spread::Uniform, Spread::Normal] {
            let one = OneSet::new(&project, &analysis, &Draws { count: 50_000, seed: 4, spread }).expect("tolerances");
            let parked = [&one.parked_height, &one.parked_turn, &one.parked_shortfall].map(Option::as_ref);
            for figure in parked.into_iter().chain([Some(&one.hung_gap)]) {
                let figure = figure.expect("it parks on its arms");
                let linear = spread.deviation() * figure.root_sum_square.expect("slopes");
                assert!((figure.deviation / linear - 1.0).abs() < 0.03 && figure.linear_trusted, "{index}: {figure:?}");
                assert_eq!(figure.histogram.counts.iter().sum::<u32>(), 50_000);
            }
        }
    }
}

/// How far short of its stop is told as an arc of the lower arm's end, mm, and as its turn, degrees.
#[test]
fn parked_shortfall_is_the_turn_at_the_arms_end() {
    let project = complete();
    let analysis = quick(&project);
    let one = OneSet::new(&project, &analysis, &Draws { count: 2000, ..Draws::default() }).expect("tolerances");
    let (turn, short) = (one.parked_turn.expect("on its arms"), one.parked_shortfall.expect("on its arms"));
    let arm = analysis.lift.lengths.lower_arm;
    assert!((short.deviation - turn.deviation.to_radians() * arm).abs() < 1e-9);
    for (short, turn) in short.slopes.expect("slopes").into_iter().zip(turn.slopes.expect("slopes")) {
        assert!((short + turn.to_radians() * arm).abs() < 1e-9, "short is the other way");
    }
}

/// Where errors take the loop past its dead point slopes say nothing, and that is said.
#[test]
fn slopes_are_not_trusted_near_a_dead_point() {
    let mut project = near_one_line();
    project.tolerances = Some(Tolerances { length: Some(0.05), offset: Some(0.05), ..Tolerances::default() });
    let analysis = quick(&project);
    let one = OneSet::new(&project, &analysis, &Draws { count: 20_000, ..Draws::default() }).expect("tolerances");
    assert!(!one.hung_gap.linear_trusted && one.short_of_hung.share > 0.1, "{:?}", one.short_of_hung);
    assert!(one.most_short_of_hung > 1.0 && one.closing_margin < 0.1);
    let worst = one.hung_gap.worst;
    assert!(worst.is_none_or(|worst| worst > one.hung_gap.linear_worst.expect("slopes")), "{worst:?}");
}

/// The same seed gives the same answer on one thread, two and five.
#[test]
fn threads_do_not_change_the_answer() {
    let project = complete();
    let analysis = quick(&project);
    let draws = Draws { count: 5000, seed: 9, ..Draws::default() };
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| PartErrors::new(&project, &analysis, &draws))
    };
    let one = on(1);
    assert!(one.pair.is_some() && one.allocation.is_some() && one.wobble.is_none() == project.joints.is_none());
    assert_eq!(one, on(2));
    assert_eq!(one, on(5));
    let other = PartErrors::new(&project, &analysis, &Draws { seed: 10, ..draws });
    assert_ne!(one.pair, other.pair);
}

/// Offset pivots buy flatness, not play: from errors of length the misfit of a pair is the same for
/// pivots near one line, while the hung gap is eight times as large. Errors of offset make it a little
/// larger with offset pivots, whose bars' pivot lines lean.
#[test]
fn offset_pivots_buy_flatness_and_no_play() {
    let board = complete();
    let near = near_one_line();
    let figures = |project: &Project| {
        let analysis = quick(project);
        let model = PairModel::new(project, &analysis).expect("all is given");
        let tolerances = PairTolerances::of(project.tolerances.as_ref().expect("given")).expect("given");
        let draws = Draws { count: 5000, ..Draws::default() };
        let misfit = |offset: f64| {
            let length = tolerances.sets[0][0];
            let set = [length, length, length, length, offset, offset, offset, offset];
            let mut parts = tolerances.second_bar_last();
            parts.sets = [set; 2];
            PairFigures::new(&model, &draws, &parts).poses[0].misfit
        };
        let deviation = OneSet::new(project, &analysis, &draws).expect("given").hung_gap.deviation;
        (misfit(0.0), misfit(0.03), deviation)
    };
    let (with_offset, near_line) = (figures(&board), figures(&near));
    // Lengths of the bars count by the cosine of the lean of their pivot line.
    assert!((with_offset.0 / near_line.0 - 1.0).abs() < 0.04, "{with_offset:?} {near_line:?}");
    assert!((with_offset.1 / near_line.1 - 1.0).abs() < 0.25, "{with_offset:?} {near_line:?}");
    assert!(near_line.2 > 6.0 * with_offset.2, "{with_offset:?} {near_line:?}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    /// On random lifts: the worst case is never passed, and figures are numbers.
    #[test]
    fn worst_cases_of_random_lifts(shifts in prop::array::uniform8(-10.0..10.0_f64), tolerance in 0.001..0.3_f64) {
        let mut project = complete();
        let linkage = &mut project.linkage;
        for (index, pivot) in [
            &mut linkage.wall_lower, &mut linkage.wall_upper, &mut linkage.panel_lower, &mut linkage.panel_upper
        ].into_iter().enumerate() {
            *pivot += nalgebra::Vector2::new(shifts[2 * index], shifts[2 * index + 1]);
        }
        prop_assume!(project.validate().is_ok());
        let analysis = quick(&project);
        let draws = Draws { count: 1500, ..Draws::default() };
        let Some(few) = OneSet::within(&project, &analysis, &draws, [tolerance; 8]) else { return Ok(()) };
        // Others than those that the worst case has seen.
        let closing = Closing::new(&project, &analysis.lift, &analysis.travel).expect("it closes");
        let set = SetGeometry::nominal(&analysis.lift);
        let others = Draws { seed: 1234, ..draws };
        if let Some(worst) = few.hung_gap.worst {
            for sample in 0..4000 {
                let made = set.with(&drawn(&others, sample, &[tolerance; 8])).expect("a set");
                let closed = closing.of(&made).expect("bars have lengths");
                let gap = closed.gap().expect("all get there");
                prop_assert!(gap.abs() <= worst * (1.0 + 1e-9), "{} of {worst}", gap);
            }
        }
        prop_assert!(few.hung_gap.deviation.is_finite() && few.lever.is_finite());
    }
}

#[test]
fn rests_of_the_board_are_where_the_figures_say() {
    let project = complete();
    let analysis = quick(&project);
    let closing = Closing::new(&project, &analysis.lift, &analysis.travel).expect("it closes");
    let rests = project.panel.rests();
    assert_eq!(closing.tips(), rests.map(|height| Point::new(-62.0, height)));
}

/// What is given up at once is soon done and tells nothing; what goes on is the same as without asking.
#[test]
fn what_is_given_up_tells_nothing() {
    let project = complete();
    let analysis = quick(&project);
    let draws = Draws { count: 2_000, ..Draws::default() };
    assert!(PartErrors::new_while(&project, &analysis, &draws, &|| false).is_none());
    let asked = std::sync::atomic::AtomicU64::new(0);
    let a_while = || asked.fetch_add(1, std::sync::atomic::Ordering::Relaxed) < 1_000;
    assert!(PartErrors::new_while(&project, &analysis, &draws, &a_while).is_none());
    let whole = PartErrors::new(&project, &analysis, &draws);
    assert_eq!(PartErrors::new_while(&project, &analysis, &draws, &|| true), Some(whole.clone()));
    // What the rules are judged by is the same without the rest.
    let verdict = PartErrors::to_judge(&project, &analysis, &draws);
    assert_eq!((verdict.one_set, verdict.pair), (whole.one_set, whole.pair));
    assert!(verdict.allocation.is_none() && whole.allocation.is_some());
}
