//! What the forces of a whole drag frame cost. `cargo bench -p overarm-solver --bench forces`.

use overarm_solver::{Analysis, Forces, Options, Project, Strap, analyse};

fn main() {
    divan::main();
}

fn case() -> (Project, Analysis) {
    let text = include_str!("../../../tests/golden/chapel-hatch/complete.overarm.json");
    let project: Project = serde_json::from_str(text).unwrap_or_else(|error| panic!("a project: {error}"));
    let analysis = analyse(&project, &Options { poses: 361, swept: false });
    (project, analysis)
}

/// Tension, hinge loads with friction, start, rests and the way down at 361 poses.
#[divan::bench]
fn forces_at_361_poses(bencher: divan::Bencher) {
    let (project, analysis) = case();
    bencher.bench(|| {
        let poses = analysis.poses.iter().map(|figures| figures.pose);
        let Analysis { lift, travel, solids, stop, strap, .. } = divan::black_box(&analysis);
        Forces::new(&project, lift, travel, solids, stop, strap.as_ref(), poses)
    });
}

/// The strap's length and drum along the travel.
#[divan::bench]
fn strap_along_the_travel(bencher: divan::Bencher) {
    let (project, analysis) = case();
    bencher.bench(|| Strap::along(&project, divan::black_box(&analysis.lift), &analysis.travel));
}
