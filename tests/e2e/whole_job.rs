//! From the bytes of a project to the files of a left and a right set, by the libraries alone.

#![allow(clippy::unwrap_used)] // a test that cannot go on stops where it stands

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use overarm_shopfiles::job_folder::{Wanted, make};
use overarm_shopfiles::parts_dxf::DxfVersion;
use overarm_shopfiles::project_file;
use overarm_solver::Project;

fn case() -> Project {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("golden/chapel-hatch/project.overarm.json");
    project_file::read(&path).unwrap()
}

/// Pairs of group code and value.
fn pairs(path: &Path) -> Vec<(i32, String)> {
    let text = fs::read_to_string(path).unwrap();
    let lines: Vec<_> = text.lines().collect();
    lines.chunks(2).map(|pair| (pair[0].trim().parse().unwrap(), pair[1].trim().to_owned())).collect()
}

#[derive(Debug, Default, PartialEq)]
struct Drawn {
    /// x, y, bulge.
    contour: Vec<[f64; 3]>,
    /// x, y, radius.
    circles: Vec<[f64; 3]>,
}

/// Contour and through bores of a file, by a reader that shares nothing with the writer.
fn drawn(path: &Path) -> Drawn {
    let mut drawn = Drawn::default();
    let (mut kind, mut layer) = (String::new(), String::new());
    let mut in_entities = false;
    for (code, value) in pairs(path) {
        let number = || value.parse::<f64>().unwrap();
        let place = match code {
            10 => 0,
            20 => 1,
            _ => 2,
        };
        match (code, kind.as_str(), layer.as_str()) {
            (2, "SECTION", _) => in_entities = value == "ENTITIES",
            (0, _, _) => kind.clone_from(&value),
            (8, _, _) => {
                layer.clone_from(&value);
                if in_entities && kind == "CIRCLE" && layer == "BORES" {
                    drawn.circles.push([0.0; 3]);
                }
                if in_entities && kind == "VERTEX" && layer == "CONTOUR" {
                    drawn.contour.push([0.0; 3]);
                }
            }
            (10, "LWPOLYLINE", "CONTOUR") => drawn.contour.push([number(), 0.0, 0.0]),
            (10 | 20 | 42, "LWPOLYLINE" | "VERTEX", "CONTOUR") => drawn.contour.last_mut().unwrap()[place] = number(),
            (10 | 20 | 40, "CIRCLE", "BORES") if in_entities => drawn.circles.last_mut().unwrap()[place] = number(),
            _ => {}
        }
    }
    drawn
}

/// Area inside straight edges and arcs, counter-clockwise positive.
fn area(contour: &[[f64; 3]]) -> f64 {
    let mut sum = 0.0;
    for (a, b) in contour.iter().zip(contour.iter().cycle().skip(1)) {
        sum += 0.5 * (a[0] * b[1] - b[0] * a[1]);
        if a[2] != 0.0 {
            // The segment between chord and arc: r²/2 · (angle − sin angle).
            let angle = 4.0 * a[2].atan();
            let chord = (b[0] - a[0]).hypot(b[1] - a[1]);
            let radius = chord / (2.0 * (angle / 2.0).sin());
            sum += 0.5 * radius * radius * (angle - angle.sin());
        }
    }
    sum
}

fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

#[test]
fn the_parts_have_the_projects_centre_distances_and_sizes_in_both_generations() {
    let project = case();
    let place = tempfile::tempdir().unwrap();
    // tests/golden/chapel-hatch/expected.json, computed independently.
    let lengths = BTreeMap::from([
        ("lower-arm", 456.389_035),
        ("upper-arm", 471.065_262),
        ("panel-bar", 76.047_11),
        ("wall-bar", 90.097_732),
    ]);
    for dxf in [DxfVersion::R2000, DxfVersion::R12] {
        let folder = place.path().join(dxf.name());
        make(&project, &folder, &Wanted { dxf, ..Wanted::default() }).unwrap();
        for (part, length) in &lengths {
            for hand in ["L", "R"] {
                let file = drawn(&folder.join(format!("parts/{hand}-{part}.dxf")));
                assert_eq!(file.circles.len(), 2, "{hand}-{part}");
                let found = distance(file.circles[0], file.circles[1]);
                assert!((found - length).abs() < 1e-4, "{hand}-{part}: {found} for {length}");
                assert!(area(&file.contour) > 0.0, "{hand}-{part} is counter-clockwise");
                if part.ends_with("arm") {
                    // A stadium of the arm's length and width.
                    let width = project.bars.lower_arm.width;
                    let wanted = length * width + std::f64::consts::PI * width * width / 4.0;
                    let found = area(&file.contour);
                    assert!((found - wanted).abs() < 1e-2, "{hand}-{part}: {found} for {wanted} mm²");
                }
            }
        }
    }
}

#[test]
fn the_right_set_mirrors_the_left() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("job");
    make(&case(), &folder, &Wanted::default()).unwrap();
    for part in ["wall-bar", "panel-bar", "lower-arm", "upper-arm"] {
        let left = drawn(&folder.join(format!("parts/L-{part}.dxf")));
        let right = drawn(&folder.join(format!("parts/R-{part}.dxf")));
        assert!((area(&left.contour) - area(&right.contour)).abs() < 1e-6, "{part}");
        let mirrored = |[x, y, b]: [f64; 3]| [x, -y, b];
        for (index, circle) in left.circles.iter().enumerate() {
            assert!(distance(mirrored(*circle), right.circles[index]) < 1e-6, "{part}");
        }
        for vertex in &left.contour {
            let wanted = mirrored(*vertex);
            assert!(
                right.contour.iter().any(|other| distance(*other, wanted) < 1e-6),
                "{part}: no mirrored corner at {wanted:?}"
            );
        }
    }
}

#[test]
fn a_job_folder_reads_back_as_the_same_project() {
    let project = case();
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("job");
    make(&project, &folder, &Wanted::default()).unwrap();
    assert_eq!(project_file::read(&folder.join("project.overarm.json")).unwrap(), project);
    let table = fs::read_to_string(folder.join("hole-table.csv")).unwrap();
    assert!(table.starts_with("part,hand,hole,x_mm,y_mm,diameter_mm,part_number,"));
    // This project names no bearing and no screws: two plain bores in each of eight parts.
    assert_eq!(table.lines().count(), 1 + 8 * 2);
}
