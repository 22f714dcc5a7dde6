//! What the forces of a whole drag frame cost. `cargo bench -p overarm-solver --bench forces`.

use overarm_solver::{Analysis, Forces, Options, Project, Strap, Strength, analyse};

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

/// Stress and buckling of all four bars at 361 poses.
#[divan::bench]
fn strength_at_361_poses(bencher: divan::Bencher) {
    let (project, analysis) = case();
    let forces = analysis.forces.as_ref().unwrap_or_else(|_| panic!("known materials"));
    bencher.bench(|| {
        let Analysis { lift, solids, stop, poses, .. } = divan::black_box(&analysis);
        Strength::new(&project, lift, solids, stop, forces, poses)
    });
}

/// Everything about forces that a drag frame computes: strap, forces with friction, strength. At most
/// 1 ms on one core.
#[divan::bench]
fn strap_forces_and_strength_at_361_poses(bencher: divan::Bencher) {
    let (project, analysis) = case();
    bencher.bench(|| {
        let Analysis { lift, travel, solids, stop, poses, .. } = divan::black_box(&analysis);
        let strap = Strap::along(&project, lift, travel);
        let at = poses.iter().map(|figures| figures.pose);
        let forces = Forces::new(&project, lift, travel, solids, stop, strap.as_ref(), at).ok()?;
        Some(Strength::new(&project, lift, solids, stop, &forces, poses))
    });
}

/// The strap's length and drum along the travel.
#[divan::bench]
fn strap_along_the_travel(bencher: divan::Bencher) {
    let (project, analysis) = case();
    bencher.bench(|| Strap::along(&project, divan::black_box(&analysis.lift), &analysis.travel));
}
