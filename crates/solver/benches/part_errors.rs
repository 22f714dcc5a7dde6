//! What drawing errors of parts costs. `cargo bench -p overarm-solver --bench part_errors`. 100,000 pairs
//! at 33 poses are to take 0.3 s on two processors at most.

use overarm_solver::errors::{Closing, Draws, OneSet, PairFigures, PairModel, PairTolerances, PartErrors, SetGeometry};
use overarm_solver::{Analysis, Options, Project, analyse};

fn main() {
    divan::main();
}

fn case() -> (Project, Analysis) {
    let text = include_str!("../../../tests/golden/chapel-hatch/complete.overarm.json");
    let project: Project = serde_json::from_str(text).unwrap_or_else(|error| panic!("a project: {error}"));
    let analysis = analyse(&project, &Options { poses: 2, swept: false });
    (project, analysis)
}

/// Misfit, force, twist and yaw of 100,000 pairs at 33 poses, on all processors.
#[divan::bench]
fn pairs_100000_at_33_poses(bencher: divan::Bencher) {
    let (project, analysis) = case();
    let model = PairModel::new(&project, &analysis).unwrap_or_else(|missing| panic!("{missing:?}"));
    let tolerances = project.tolerances.as_ref().and_then(PairTolerances::of);
    let tolerances = tolerances.unwrap_or_else(|| panic!("tolerances are given"));
    bencher.bench(|| PairFigures::new(divan::black_box(&model), &Draws::default(), &tolerances));
}

/// Hung gap and parked height of 100,000 sets, each closed on its own loop, on all processors.
#[divan::bench]
fn sets_100000(bencher: divan::Bencher) {
    let (project, analysis) = case();
    bencher.bench(|| OneSet::new(&project, divan::black_box(&analysis), &Draws::default()));
}

/// One set closed on the wall.
#[divan::bench]
fn one_closing(bencher: divan::Bencher) {
    let (project, analysis) = case();
    let closing = Closing::new(&project, &analysis.lift, &analysis.travel).unwrap_or_else(|| panic!("it closes"));
    let errors = [0.01, -0.02, 0.005, 0.01, 0.02, -0.01, 0.0, 0.01];
    let set = SetGeometry::nominal(&analysis.lift).with(&errors).unwrap_or_else(|| panic!("a set"));
    bencher.bench(|| closing.of(divan::black_box(&set)));
}

/// All of it: what a check adds, and what a window works out beside its frames.
#[divan::bench]
fn all_part_errors(bencher: divan::Bencher) {
    let (project, analysis) = case();
    bencher.bench(|| PartErrors::new(&project, divan::black_box(&analysis), &Draws::default()));
}
