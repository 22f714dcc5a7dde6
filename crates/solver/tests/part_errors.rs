//! What errors of made parts do: derivatives against differences, the board's figures, closing.

use nalgebra::Vector3;
use overarm_solver::errors::closing::Meeting;
use overarm_solver::errors::{
    Closed, Dimension, Errors, PanelPlace, SetGeometry, close_on_wall, closing_margin, hung_gap_by_dimension, panel_by_dimension,
};
use overarm_solver::{Lift, Point, Pose, Project};
use proptest::prelude::*;

fn shared() -> Project {
    let text = include_str!("../../../tests/golden/chapel-hatch/project.overarm.json");
    serde_json::from_str(text).expect("a project")
}

fn place(pose: &Pose) -> PanelPlace {
    PanelPlace { origin: pose.origin(), turn: -pose.tilt }
}

fn one(dimension: usize, by: f64) -> Errors {
    std::array::from_fn(|index| if index == dimension { by } else { 0.0 })
}

fn hung(lift: &Lift) -> (PanelPlace, Vector3<f64>) {
    let pose = lift.pose(lift.phase_at_hung(), 0.0);
    let rates = lift.rates(pose.phase);
    let speed = pose.panel_point_rate(Point::origin(), &rates);
    let outwards = Vector3::new(speed.x, speed.y, rates.panel);
    (place(&pose), if speed.x < 0.0 { -outwards } else { outwards })
}

/// Worked out independently for this board, rests at 30 and 670: gap per mm of lower arm, panel bar,
/// upper arm, wall bar, to 0.1 %; per mm of a wall or panel pivot's offset about 7.5 and 8.9.
#[test]
fn the_hung_gap_of_the_board() {
    let lift = Lift::new(&shared());
    let tips = [Point::new(-62.0, 30.0), Point::new(-62.0, 670.0)];
    let (hung, outwards) = hung(&lift);
    let set = SetGeometry::nominal(&lift);
    let by = hung_gap_by_dimension(&set, &hung, tips).expect("it closes");
    for (index, expected) in [-24.92, 26.36, 24.92, -25.93].into_iter().enumerate() {
        assert!((by[index] - expected).abs() < 1e-3 * expected.abs(), "{index}: {} against {expected}", by[index]);
    }
    for (index, expected) in [(4, 7.5), (5, 7.5), (6, 8.9), (7, 8.9)] {
        assert!((by[index].abs() - expected).abs() < 0.1, "{index}: {} against {expected}", by[index]);
    }
    // The whole closing says the same for small errors.
    let meeting = Meeting { tips, arms_apart: None };
    for index in 0..8 {
        let h = 1e-4;
        let gap = |by: f64| match close_on_wall(&set.with(&one(index, by)).expect("a set"), &hung, outwards, &meeting) {
            Closed::OnWall { gap, .. } => gap,
            other => panic!("{other:?}"),
        };
        let difference = (gap(h) - gap(-h)) / (2.0 * h);
        assert!((difference - by[index]).abs() < 1e-5 * by[index].abs(), "{index}: {difference} against {}", by[index]);
    }
    // Lever and margin, worked out likewise.
    assert!((lift.lever(&lift.pose(lift.phase_at_hung(), 0.0)) - 25.8).abs() < 0.05);
    assert!((closing_margin(&set, &hung) - 3.89).abs() < 0.005);
}

/// The same heights with pivots near one line (2.5° of transmission): 196 mm/mm, a lever of 3.1 mm and
/// a margin of 0.06 mm (worked out independently).
#[test]
fn pivots_near_one_line() {
    const TOGETHER: f64 = 0.121;
    let mut project = shared();
    // Offsets drawn together about their middles until the transmission angle is 2.5°.
    let linkage = &mut project.linkage;
    for (lower, upper) in
        [(&mut linkage.wall_lower, &mut linkage.wall_upper), (&mut linkage.panel_lower, &mut linkage.panel_upper)]
    {
        let (middle, half) = (0.5 * (lower.x + upper.x), 0.5 * (upper.x - lower.x) * TOGETHER);
        (lower.x, upper.x) = (middle - half, middle + half);
    }
    let lift = Lift::new(&project);
    let pose = lift.pose(lift.phase_at_hung(), 0.0);
    let (at, _) = hung(&lift);
    let tips = [Point::new(-62.0, 30.0), Point::new(-62.0, 670.0)];
    let by = hung_gap_by_dimension(&SetGeometry::nominal(&lift), &at, tips).expect("it closes");
    let lever = lift.lever(&pose);
    let margin = closing_margin(&SetGeometry::nominal(&lift), &at);
    println!("{} {lever} {margin} {by}", pose.transmission.to_degrees());
    assert!((pose.transmission.to_degrees() - 2.5).abs() < 0.05, "{}", pose.transmission.to_degrees());
    assert!((lever - 3.1).abs() < 0.1 && (margin - 0.06).abs() < 0.01, "{lever} {margin}");
    assert!((by[0].abs() - 196.0).abs() < 4.0, "{}", by[0]);
}

/// With pivots near one line a twentieth of a millimetre can be too much: the loop does not close.
#[test]
fn a_loop_that_cannot_close_stays_short() {
    let lift = Lift::new(&shared());
    let tips = [Point::new(-62.0, 30.0), Point::new(-62.0, 670.0)];
    let (hung, outwards) = hung(&lift);
    let set = SetGeometry::nominal(&lift);
    let meeting = Meeting { tips, arms_apart: None };
    let close = |dimension: usize, by: f64| {
        close_on_wall(&set.with(&one(dimension, by)).expect("a set"), &hung, outwards, &meeting)
    };
    // Twice what the fixed lower arm allows: it gives way by half of it.
    for (dimension, sign) in [(0, 1.0), (1, -1.0), (2, -1.0), (3, 1.0)] {
        assert!(matches!(close(dimension, sign * 3.89), Closed::OnWall { .. }), "{:?}", Dimension::ALL[dimension]);
        for k in 0..30 { println!("{dimension} {} {:?}", k, close(dimension, sign * f64::from(k))); }
        let Closed::Short { by, .. } = close(dimension, sign * 12.0) else { panic!("{:?}", Dimension::ALL[dimension]) };
        assert!(by > 0.1, "{by}");
        // Nearer than where it stays the path does not come: a dense walk agrees.
    }
    // Arms that are too wide touch first.
    let wide = Meeting { tips, arms_apart: Some(26.5) };
    assert!(matches!(close_on_wall(&set, &hung, outwards, &wide), Closed::OnArms { .. }));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, ..ProptestConfig::default() })]

    /// The derivative is a central difference of the constraint projected back, near dead points too.
    #[test]
    fn derivatives_are_differences(
        shifts in prop::array::uniform8(-12.0..12.0_f64), walked in 0.0..3.0_f64, dimension in 0..8_usize
    ) {
        let mut project = shared();
        let linkage = &mut project.linkage;
        for (index, pivot) in [
            &mut linkage.wall_lower, &mut linkage.wall_upper, &mut linkage.panel_lower, &mut linkage.panel_upper
        ].into_iter().enumerate() {
            pivot.x += shifts[2 * index];
            pivot.y += shifts[2 * index + 1];
        }
        prop_assume!(project.validate().is_ok());
        let lift = Lift::new(&project);
        let pose = lift.pose(lift.phase_at_hung() + walked, 0.0);
        let (set, at) = (SetGeometry::nominal(&lift), place(&pose));
        prop_assume!(set.residual(&at).amax() < 1e-8);
        let by = panel_by_dimension(&set, &at, &lift.panel);
        prop_assume!(by.is_some());
        let by = by.expect("assumed").column(dimension).into_owned();
        // The shift closes the loop again to first order: residual of ± the shift with ± the error.
        let h = 1e-5;
        let off = |sign: f64| {
            let set = set.with(&one(dimension, sign * h)).expect("a set");
            set.residual(&at.moved(sign * h * by))
        };
        let first_order = (off(1.0) - off(-1.0)) / (2.0 * h);
        let size = 1.0 + by.xy().norm() + by.z.abs() * lift.lengths.longest();
        prop_assert!(first_order.amax() < 1e-6 * size, "{first_order} of {by}");
        // And no smaller shift does: along the path it has no share, weighed by the corners.
        let rows = set.by_place(&at);
        let path = rows.row(0).transpose().cross(&rows.row(1).transpose());
        let shift = |v: &Vector3<f64>, corner: Point| {
            let about = at.at(corner) - at.origin;
            nalgebra::Vector2::new(v.x - about.y * v.z, v.y + about.x * v.z)
        };
        let (mut share, mut a, mut b) = (0.0, 0.0, 0.0);
        for corner in lift.panel.corners() {
            let (by, path) = (shift(&by, corner), shift(&path, corner));
            share += by.dot(&path);
            a += by.norm_squared();
            b += path.norm_squared();
        }
        prop_assert!(share.abs() <= 1e-7 * (a * b).sqrt().max(1e-12), "{share}");
    }
}
