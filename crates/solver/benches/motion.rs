//! What the parts of an analysis cost, each beside the plainest thing that could be scripted for
//! it. `cargo bench -p overarm-solver --bench motion`.

use overarm_solver::{
    Clearances, Lift, Options, OwnClearance, Project, RoomShape, Solids, Stop, Swept, Travel, analyse,
};

fn main() {
    divan::main();
}

struct Case {
    project: Project,
    lift: Lift,
    room: RoomShape,
    travel: Travel,
    stop: Stop,
}

fn case() -> Case {
    let text = include_str!("../../../demo/chapel-hatch.overarm.json");
    let project: Project = serde_json::from_str(text).unwrap_or_else(|error| panic!("the demo is a project: {error}"));
    let analysis = analyse(&project, &Options { poses: 2, swept: false });
    let room = RoomShape::new(&project.room);
    Case { room, lift: analysis.lift, travel: analysis.travel, stop: analysis.stop, project }
}

/// Placements, 1000 of them: what the searches compute.
#[divan::bench]
fn placements_1000(bencher: divan::Bencher) {
    let case = case();
    bencher.bench(|| {
        let steps = 0..1000;
        steps
            .map(|step| {
                let pose = case.lift.placement(divan::black_box(case.travel.phase(0.002 * f64::from(step))));
                pose.panel_lower.x
                    + pose.panel_upper.y
                    + pose.room_from_panel.translation.x
                    + pose.room_from_panel.rotation.im
            })
            .sum::<f64>()
    });
}

/// One pose with directions, transmission and placement, 1000 of them.
#[divan::bench]
fn poses_1000(bencher: divan::Bencher) {
    let case = case();
    bencher.bench(|| {
        let steps = 0..1000;
        steps
            .map(|step| case.lift.pose(divan::black_box(case.travel.phase(0.002 * f64::from(step))), 0.0).tilt)
            .sum::<f64>()
    });
}

/// The bare closed form in a loop: B from two circles, 1000 of them.
#[divan::bench]
fn bare_closed_form_1000(bencher: divan::Bencher) {
    let lengths = case().lift.lengths;
    let (a, b, c, d) = (lengths.lower_arm, lengths.panel_bar, lengths.upper_arm, lengths.wall_bar);
    bencher.bench(|| {
        let mut sum = 0.0;
        for step in 0..1000 {
            let (sine, cosine) = divan::black_box(3.0 + 0.002 * f64::from(step)).sin_cos();
            let (x, y) = (d - a * cosine, -a * sine);
            let r2 = x * x + y * y;
            let foot = 0.5 * (r2 + b * b - c * c) / r2;
            let height = (b * b / r2 - foot * foot).max(0.0).sqrt();
            sum += a * cosine + foot * x - height * y + a * sine + foot * y + height * x;
        }
        sum
    });
}

/// Certified clearances of panel and bars against room and wall over the whole travel.
#[divan::bench]
fn certified_clearances(bencher: divan::Bencher) {
    let case = case();
    bencher.bench(|| Clearances::new(divan::black_box(&case.lift), &case.travel, &case.room));
}

/// Swept outlines of panel and bars.
#[divan::bench]
fn swept_outlines(bencher: divan::Bencher) {
    let case = case();
    bencher.bench(|| Swept::new(divan::black_box(&case.project), &case.lift, &case.travel, &case.room));
}

/// Layered solids with their reliefs, all four bars.
#[divan::bench]
fn reliefs_of_four_bars(bencher: divan::Bencher) {
    let case = case();
    bencher.bench(|| Solids::new(divan::black_box(&case.project), &case.lift, &case.travel, &case.stop));
}

/// Certified clearances of the lift's own parts against each other.
#[divan::bench]
fn own_clearances(bencher: divan::Bencher) {
    let case = case();
    bencher.bench(|| OwnClearance::every(divan::black_box(&case.project), &case.lift, &case.travel, &case.stop));
}

/// The cost of reported poses alone grows with their number: ×1 … ×64.
#[divan::bench(args = [90, 360, 1440, 5760])]
fn analysis_by_poses(bencher: divan::Bencher, poses: usize) {
    let case = case();
    bencher.bench(|| analyse(divan::black_box(&case.project), &Options { poses, swept: false }));
}
