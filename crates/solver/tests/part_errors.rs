//! What errors of made parts do: derivatives against differences, the board's figures, closing.

use std::f64::consts::FRAC_PI_2;

use nalgebra::{Matrix3, RowVector3, Vector3};
use overarm_solver::errors::{
    Closed, Closing, Draws, Errors, Held, PanelPlace, SetGeometry, closing_margin, hung_gap_by_dimension,
    panel_by_dimension,
};
use overarm_solver::{Analysis, Lift, Options, Point, Pose, Project, Rectangle, analyse};
use proptest::prelude::*;

fn board() -> Project {
    let text = include_str!("../../../tests/golden/chapel-hatch/project.overarm.json");
    let mut project: Project = serde_json::from_str(text).expect("a project");
    project.panel.rests = Some([30.0, 670.0]);
    project
}

/// The same heights with the pivots near one line: every pivot's distance from the mean of the four
/// (hung) drawn together to this share, which leaves 2.5° of transmission.
fn near_one_line() -> Project {
    const TOGETHER: f64 = 0.121_823_461_429_37;
    let mut project = board();
    let standoff = project.panel.hung.standoff;
    let linkage = &mut project.linkage;
    let on_wall = [linkage.wall_lower.x, linkage.wall_upper.x];
    let on_panel = [linkage.panel_lower.x + standoff, linkage.panel_upper.x + standoff];
    let mean = 0.25 * (on_wall.iter().sum::<f64>() + on_panel.iter().sum::<f64>());
    let drawn = |x: f64| mean + TOGETHER * (x - mean);
    (linkage.wall_lower.x, linkage.wall_upper.x) = (drawn(on_wall[0]), drawn(on_wall[1]));
    (linkage.panel_lower.x, linkage.panel_upper.x) = (drawn(on_panel[0]) - standoff, drawn(on_panel[1]) - standoff);
    project
}

fn quick(project: &Project) -> Analysis {
    analyse(project, &Options { poses: 2, swept: false })
}

fn closing(project: &Project) -> (SetGeometry, Closing) {
    let analysis = quick(project);
    let closing = Closing::new(project, &analysis.lift, &analysis.travel).expect("it closes");
    (SetGeometry::nominal(&analysis.lift), closing)
}

fn place(pose: &Pose) -> PanelPlace {
    PanelPlace { origin: pose.origin(), turn: -pose.tilt }
}

fn hung(lift: &Lift) -> PanelPlace {
    place(&lift.pose(lift.phase_at_hung(), 0.0))
}

fn one(dimension: usize, by: f64) -> Errors {
    std::array::from_fn(|index| if index == dimension { by } else { 0.0 })
}

fn gap(set: &SetGeometry, closing: &Closing, errors: &Errors) -> f64 {
    let closed = set.with(errors).and_then(|set| closing.of(&set)).expect("a set");
    closed.gap().unwrap_or_else(|| panic!("{closed:?}"))
}

/// Worked out independently for this board, rests at 30 and 670: gap per mm of lower arm, panel bar,
/// upper arm, wall bar, to 0.1 %; per mm of a wall or panel pivot's offset about 7.5 and 8.9.
#[test]
fn the_hung_gap_of_the_board() {
    let project = board();
    let (set, closing) = closing(&project);
    let lift = Lift::new(&project);
    let by = hung_gap_by_dimension(&set, &hung(&lift), closing.tips()).expect("it closes");
    for (index, expected) in [-24.92, 26.36, 24.92, -25.93].into_iter().enumerate() {
        assert!((by[index] - expected).abs() < 1e-3 * expected.abs(), "{index}: {} against {expected}", by[index]);
    }
    for (index, expected) in [(4, 7.5), (5, 7.5), (6, 8.9), (7, 8.9)] {
        assert!((by[index].abs() - expected).abs() < 0.1, "{index}: {} against {expected}", by[index]);
    }
    // The whole closing says the same for small errors.
    for index in 0..8 {
        let h = 1e-4;
        let difference = (gap(&set, &closing, &one(index, h)) - gap(&set, &closing, &one(index, -h))) / (2.0 * h);
        assert!((difference - by[index]).abs() < 1e-4 * by[index].abs(), "{index}: {difference} against {}", by[index]);
    }
    // Lever and margin, worked out likewise.
    assert!((lift.lever(&lift.pose(lift.phase_at_hung(), 0.0)) - 25.8).abs() < 0.05);
    assert!((closing_margin(&set, &hung(&lift)) - 3.89).abs() < 0.005);
}

/// The same heights with pivots near one line (2.5° of transmission), worked out independently: about
/// 196 mm/mm, a lever of 3.1 mm and a margin of 0.06 mm. Lever and margin follow from heights and
/// transmission alone; the slope depends on how the pivots are drawn together: 204 mm/mm here, as
/// rest spacing over lever gives, 640/3.1.
#[test]
fn pivots_near_one_line() {
    let project = near_one_line();
    let lift = Lift::new(&project);
    let set = SetGeometry::nominal(&lift);
    let pose = lift.pose(lift.phase_at_hung(), 0.0);
    let tips = [Point::new(-62.0, 30.0), Point::new(-62.0, 670.0)];
    let by = hung_gap_by_dimension(&set, &hung(&lift), tips).expect("it closes");
    let (lever, margin) = (lift.lever(&pose), closing_margin(&set, &hung(&lift)));
    assert!((pose.transmission.to_degrees() - 2.5).abs() < 1e-3, "{}", pose.transmission.to_degrees());
    assert!((lever - 3.1).abs() < 0.05 && (margin - 0.06).abs() < 0.005, "{lever} {margin}");
    for index in 0..4 {
        assert!((by[index].abs() - 196.0).abs() < 0.05 * 196.0, "{index}: {}", by[index]);
        assert!((by[index].abs() - 640.0 / lever).abs() < 0.01 * 204.0, "{index}: {}", by[index]);
    }
}

/// Of lifts with both sets within ±0.05 mm, 29 % cannot reach hung (worked out independently): in one
/// of the two sets the loop does not close with the lower arm where the drawing has it. The board as
/// drawn always can.
#[test]
fn near_one_line_every_third_lift_cannot_close() {
    let short = |project: &Project| {
        let (set, closing) = closing(project);
        let draws = Draws { count: 40_000, seed: 1, ..Draws::default() };
        let mut greatest = 0.0_f64;
        let mut stays = |index: u32| {
            let errors: Errors = std::array::from_fn(|of| 0.05 * draws.share(u64::from(index), of as u64));
            let set = set.with(&errors).expect("a set");
            // Where it rests is known all the same.
            let closed = closing.of(&set).expect("bars have lengths");
            assert!(matches!(closed, Closed::OnWall { .. } | Closed::Short { .. }), "{closed:?}");
            let short = closing.short_of_hung(&set);
            greatest = greatest.max(short.unwrap_or(0.0));
            short.is_some()
        };
        let hits = (0..draws.count).map(|index| u32::from(stays(index))).sum::<u32>();
        (f64::from(hits) / f64::from(draws.count), greatest)
    };
    let (one_set, greatest) = short(&near_one_line());
    let pair = 1.0 - (1.0 - one_set).powi(2);
    assert!((pair - 0.29).abs() < 0.01, "one set {one_set}, pair {pair}");
    assert!(greatest > 1.0, "some millimetres short: {greatest}");
    assert!(short(&board()).0.abs() < 1e-12);
}

/// The margin before the loop cannot close, 3.89 mm: a dimension that takes less leaves it, one that
/// takes more stays the farther short the more is missing.
#[test]
fn a_loop_that_cannot_close_stays_short() {
    let (set, closing) = closing(&board());
    let short = |dimension: usize, by: f64| closing.short_of_hung(&set.with(&one(dimension, by)).expect("a set"));
    for (dimension, sign) in [(0, 1.0), (1, -1.0), (2, -1.0), (3, 1.0)] {
        assert_eq!(short(dimension, sign * 3.7), None, "{dimension}");
        let (one, more) = (short(dimension, sign * 4.1), short(dimension, sign * 6.0));
        assert!(one > Some(0.0) && more > one, "{dimension}: {one:?} {more:?}");
    }
    // Arms that are too wide touch first.
    let wide = closing.with_arms_apart(Some(26.5));
    assert!(matches!(wide.of(&set), Some(Closed::OnArms { .. })));
}

/// The place with errors that keeps what was held: Newton on the full equations, no derivative by a
/// dimension in it.
fn moved(set: &SetGeometry, at: &PanelPlace, errors: &Errors, row: RowVector3<f64>) -> Option<Vector3<f64>> {
    let set = set.with(errors)?;
    let mut by = Vector3::zeros();
    for _ in 0..30 {
        let place = at.moved(by);
        let residual = set.residual(&place);
        let off = Vector3::new(residual.x, residual.y, row.dot(&by.transpose()));
        // To the last digit or two of an arm's length.
        if off.amax() < 2e-13 {
            return Some(by);
        }
        let rows = set.by_place(&place);
        let full = Matrix3::from_rows(&[rows.row(0).into_owned(), rows.row(1).into_owned(), row]);
        by -= full.full_piv_lu().solve(&off)?;
    }
    Some(by)
}

/// The row that holds the corners of a panel against the path, by its definition: the sum over the
/// corners of their shift times their shift along the path.
fn corners_held(set: &SetGeometry, at: &PanelPlace, panel: &Rectangle) -> RowVector3<f64> {
    let rows = set.by_place(at);
    let path = rows.row(0).transpose().cross(&rows.row(1).transpose());
    let shift = |v: Vector3<f64>, corner: Point| {
        let about = at.at(corner) - at.origin;
        nalgebra::Vector2::new(v.x - about.y * v.z, v.y + about.x * v.z)
    };
    let axis = |of: usize| {
        let unit = Vector3::from_fn(|row, _| if row == of { 1.0 } else { 0.0 });
        panel.corners().iter().map(|corner| shift(unit, *corner).dot(&shift(path, *corner))).sum::<f64>()
    };
    let row = RowVector3::new(axis(0), axis(1), axis(2));
    row / row.amax()
}

/// Slopes are told apart from differences relative to themselves down to this, mm per mm.
const LEAST_SLOPE: f64 = 1e-2;

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, ..ProptestConfig::default() })]

    /// The derivative of the panel's place is the central difference of the places that close, on
    /// random lifts anywhere on their loop, and at either arm's dead points or 1e-6 from them.
    #[test]
    fn derivatives_are_differences(
        shifts in prop::array::uniform8(-12.0..12.0_f64), walked in 0.0..6.3_f64, near in 0..4_usize, dimension in 0..8_usize,
        up in -300.0..300.0_f64, out in -60.0..60.0_f64, bars in prop::array::uniform2(0.6..1.8_f64)
    ) {
        let mut project = board();
        let linkage = &mut project.linkage;
        // Longer and shorter arms; bars with their pivots nearer and farther.
        let [wall, panel] = bars;
        linkage.wall_upper = linkage.wall_lower + wall * (linkage.wall_upper - linkage.wall_lower);
        linkage.panel_upper = linkage.panel_lower + panel * (linkage.panel_upper - linkage.panel_lower);
        for pivot in [&mut linkage.wall_lower, &mut linkage.wall_upper] {
            *pivot += nalgebra::Vector2::new(out, up);
        }
        for (index, pivot) in [
            &mut linkage.wall_lower, &mut linkage.wall_upper, &mut linkage.panel_lower, &mut linkage.panel_upper
        ].into_iter().enumerate() {
            pivot.x += shifts[2 * index];
            pivot.y += shifts[2 * index + 1];
        }
        prop_assume!(project.validate().is_ok());
        let lift = Lift::new(&project);
        let phase = match (near, lift.circuit.upper_arm_dead_points().first()) {
            (0, _) => FRAC_PI_2,
            (1, _) => FRAC_PI_2 + 1e-6,
            (2, Some(dead)) => *dead,
            _ => lift.phase_at_hung() + walked,
        };
        // Seen from the lower wall pivot, so that differences of places lose no digits to the height above the floor.
        let (mut set, mut at) = (SetGeometry::nominal(&lift), place(&lift.pose(phase, 0.0)));
        let origin = set.wall[0].coords;
        set.wall = set.wall.map(|pivot| pivot - origin);
        at.origin -= origin;
        let by = panel_by_dimension(&set, &at, Held::Corners(&lift.panel));
        prop_assume!(by.is_some());
        let by = by.expect("assumed").column(dimension).into_owned();
        let row = corners_held(&set, &at, &lift.panel);
        let difference = |h: f64| {
            let [more, less] = [h, -h].map(|h| moved(&set, &at, &one(dimension, h), row));
            Some((more? - less?) / (2.0 * h))
        };
        // Richardson's rule, twice: what is left of the step is its sixth power. The step shrinks where all
        // pivots are nearly in line, which is where the derivative grows without bound.
        let steep = by.xy().norm() + by.z.abs() * lift.lengths.longest();
        let h = 1.5e-2 / (1.0 + steep * steep).sqrt();
        let halved = [1.0, 0.5, 0.25].map(|share| difference(share * h));
        prop_assume!(halved.iter().all(Option::is_some));
        let mut level = halved.map(|found| found.expect("assumed"));
        for (round, factor) in [4.0, 16.0].into_iter().enumerate() {
            for of in 0..2 - round {
                level[of] = (factor * level[of + 1] - level[of]) / (factor - 1.0);
            }
        }
        let (found, off) = (level[0], level[0] - by);
        let off = off.xy().norm() + off.z.abs() * lift.lengths.longest();
        // Where a dimension moves next to nothing (a hundredth of what it is changed by, or less), what counts is
        // what differences of places half a metre away can tell in sixteen digits: 1e-8.
        prop_assert!(off <= 1e-6 * steep.max(LEAST_SLOPE), "{found} against {by}, off {off}, steep {steep}, h {h}");
    }
}

/// The textbook derivative, with the lower arm's direction held, in degrees per mm: crank 40, coupler
/// 120, rocker 80, ground 100 mm at 40° (lengths: Norton, *Design of Machinery*, example 4-1; slopes
/// by central difference and analytically in Python). Four tolerances of 0.05 mm: worst case
/// ±0.21870°, root-sum-square ±0.10970°; drawn normal, three deviations 0.10971°, mean 57.3247°.
#[test]
fn textbook_slopes_and_their_stack() {
    use overarm_solver::errors::{Spread, Stack};
    use overarm_solver::loop_equations::{LoopAngles, length_sensitivities, residual};
    let lengths = overarm_solver::Lengths { lower_arm: 40.0, panel_bar: 120.0, upper_arm: 80.0, wall_bar: 100.0 };
    let theta = |lengths: &overarm_solver::Lengths| {
        // Two circles, the open circuit.
        let (a, b, c, d) = (lengths.lower_arm, lengths.panel_bar, lengths.upper_arm, lengths.wall_bar);
        let (ax, ay) = (a * 40f64.to_radians().cos(), a * 40f64.to_radians().sin());
        let (dx, dy) = (d - ax, -ay);
        let r = dx.hypot(dy);
        let x = (r * r + b * b - c * c) / (2.0 * r);
        let h = (b * b - x * x).sqrt();
        let bar = ((dx * x - dy * h) / r, (dy * x + dx * h) / r);
        (bar.1.atan2(bar.0), (ay + bar.1).atan2(ax + bar.0 - d))
    };
    let (panel_bar, upper_arm) = theta(&lengths);
    let at = LoopAngles { lower_arm: 40f64.to_radians(), panel_bar, upper_arm };
    assert!(residual(&lengths, &at).amax() < 1e-12);
    let slopes = length_sensitivities(&lengths, &at).expect("no dead point").map(f64::to_degrees);
    let expected = [[-0.75691, -0.63300, 0.79288, 0.42806], [-1.11969, -1.18932, 0.94949, 1.11546]];
    for (row, expected) in expected.iter().enumerate() {
        for (column, expected) in expected.iter().enumerate() {
            assert!((slopes[(row, column)] - expected).abs() < 6e-6, "{row} {column}: {}", slopes[(row, column)]);
        }
    }
    // The panel's turn with the lower arm held is the panel bar's, whatever way round it is asked.
    let set = SetGeometry {
        wall: [Point::new(0.0, 0.0), Point::new(0.0, 100.0)],
        panel: [Point::new(0.0, 0.0), Point::new(0.0, 120.0)],
        arms: [40.0, 80.0],
    };
    let lower = Point::from(40.0 * nalgebra::Vector2::new(-40f64.to_radians().sin(), 40f64.to_radians().cos()));
    let by = panel_by_dimension(&set, &PanelPlace { origin: lower, turn: panel_bar }, Held::LowerArm).expect("held");
    for (dimension, expected) in [(0, -0.75691), (1, -0.63300), (2, 0.79288), (3, 0.42806)] {
        assert!((by[(2, dimension)].to_degrees() - expected).abs() < 6e-6, "{}", by[(2, dimension)].to_degrees());
    }
    let stack = Stack { slopes: std::array::from_fn::<_, 4, _>(|of| slopes[(1, of)]), tolerances: [0.05; 4] };
    assert!((stack.worst() - 0.21870).abs() < 6e-6, "{}", stack.worst());
    assert!((stack.root_sum_square() - 0.10970).abs() < 6e-6, "{}", stack.root_sum_square());
    let draws = Draws { count: 200_000, seed: 1, spread: Spread::Normal };
    let (mut sum, mut square) = (0.0, 0.0);
    for sample in 0..u64::from(draws.count) {
        let off: [f64; 4] = std::array::from_fn(|of| 0.05 * draws.share(sample, of as u64));
        let drawn = overarm_solver::Lengths {
            lower_arm: 40.0 + off[0],
            panel_bar: 120.0 + off[1],
            upper_arm: 80.0 + off[2],
            wall_bar: 100.0 + off[3],
        };
        let angle = theta(&drawn).1.to_degrees();
        sum += angle;
        square += (angle - 57.3249) * (angle - 57.3249);
    }
    let mean = sum / f64::from(draws.count);
    let deviation = (square / f64::from(draws.count)).sqrt();
    assert!((mean - 57.3247).abs() < 4e-4, "{mean}");
    assert!((3.0 * deviation - 0.10971).abs() < 6e-4, "{deviation}");
}
