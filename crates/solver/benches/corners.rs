//! What corners cost: one frame of a drag with a solid, or a ceiling, of 8 to 512 of them.
//! `cargo bench -p overarm-solver --bench corners`.

use overarm_solver::{More, Options, Point, Project, Solid, analyse};

fn main() {
    divan::main();
}

const CORNERS: [u32; 7] = [8, 16, 32, 64, 128, 256, 512];

fn project() -> Project {
    let text = include_str!("../../../demo/chapel-hatch.overarm.json");
    serde_json::from_str(text).unwrap_or_else(|error| panic!("the demo is a project: {error}"))
}

/// A turned spindle's outline about a middle: every other corner lies 6 mm further in.
fn spindle(middle: [f64; 2], radius: f64, corners: u32) -> Solid {
    let corner = |index: u32| {
        let angle = std::f64::consts::TAU * f64::from(index) / f64::from(corners);
        let out = radius - f64::from(index % 2) * 6.0;
        Point::new(middle[0] + out * angle.cos(), middle[1] + out * angle.sin())
    };
    Solid { name: None, outline: (0..corners).map(corner).collect(), more: More::default() }
}

fn with_solid(bencher: divan::Bencher, middle: [f64; 2], corners: u32) {
    let mut project = project();
    project.room.solids.push(spindle(middle, 90.0, corners));
    bencher.bench(|| analyse(divan::black_box(&project), &Options { poses: 361, swept: true }));
}

/// 5 m away.
#[divan::bench(args = CORNERS)]
fn solid_far_away(bencher: divan::Bencher, corners: u32) {
    with_solid(bencher, [5000.0, 400.0], corners);
}

/// Nearer than anything else.
#[divan::bench(args = CORNERS)]
fn solid_near(bencher: divan::Bencher, corners: u32) {
    with_solid(bencher, [850.0, 1500.0], corners);
}

/// In the panel's way.
#[divan::bench(args = CORNERS)]
fn solid_overlapped(bencher: divan::Bencher, corners: u32) {
    with_solid(bencher, [550.0, 1600.0], corners);
}

/// The ceiling as boards that overlap.
#[divan::bench(args = CORNERS)]
fn ceiling(bencher: divan::Bencher, corners: u32) {
    let mut project = project();
    let outline = &mut project.room.outline;
    let end = outline[outline.len() - 1];
    let start = outline[outline.len() - 2];
    outline.pop();
    for index in 1..=corners {
        let at = start + (end - start) * (f64::from(index) / f64::from(corners));
        outline.push(Point::new(at.x, at.y + f64::from(index % 2) * 4.0));
    }
    bencher.bench(|| analyse(divan::black_box(&project), &Options { poses: 361, swept: true }));
}
