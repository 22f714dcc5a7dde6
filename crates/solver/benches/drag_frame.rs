//! What one frame of a drag costs: the whole analysis at 361 poses with its drawing data, on one
//! core; and its parts. `cargo bench -p overarm-solver`.

use overarm_solver::{Lift, Options, Project, analyse};

fn main() {
    divan::main();
}

fn project() -> Project {
    let text = include_str!("../../../demo/chapel-hatch.overarm.json");
    serde_json::from_str(text).unwrap_or_else(|error| panic!("the demo is a project: {error}"))
}

/// The frame: 361 poses and swept outlines, as the window asks for.
#[divan::bench]
fn analysis_of_361_poses_with_outlines(bencher: divan::Bencher) {
    let project = project();
    bencher.bench(|| analyse(divan::black_box(&project), &Options { poses: 361, swept: true }));
}

/// The same while the panel is dragged half into the ceiling: depths instead of distances.
#[divan::bench]
fn analysis_in_the_ceiling(bencher: divan::Bencher) {
    let mut project = project();
    for corner in project.room.outline.iter_mut().skip(1) {
        corner.y -= 250.0;
    }
    bencher.bench(|| analyse(divan::black_box(&project), &Options { poses: 361, swept: true }));
}

/// The same with a notched beam that the panel runs through: the dearest kind of depth.
#[divan::bench]
fn analysis_through_a_notched_beam(bencher: divan::Bencher) {
    let mut project = project();
    let outline = [[277.0, 1578.0], [707.0, 1578.0], [707.0, 1611.0], [492.0, 1595.0], [277.0, 1611.0]];
    project.room.solids.push(overarm_solver::Solid {
        name: None,
        outline: outline.map(Into::into).to_vec(),
        more: overarm_solver::More::default(),
    });
    bencher.bench(|| analyse(divan::black_box(&project), &Options { poses: 361, swept: true }));
}

/// Without outlines: certified clearances, contacts and rules.
#[divan::bench(args = [2, 361, 1444])]
fn analysis_without_outlines(bencher: divan::Bencher, poses: usize) {
    let project = project();
    bencher.bench(|| analyse(divan::black_box(&project), &Options { poses, swept: false }));
}

/// One pose with its directions.
#[divan::bench]
fn one_pose(bencher: divan::Bencher) {
    let lift = Lift::new(&project());
    let start = lift.phase_at_hung();
    bencher.bench(|| lift.pose(divan::black_box(start + 0.3), 0.5));
}
