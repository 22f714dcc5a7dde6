//! Limits, bearings and fits against published figures.

use overarm_solver::ToleranceClass;

/// Class, above, up to, upper, lower: mm and µm.
fn cells(table: &str) -> Vec<(String, [f64; 4])> {
    let lines = table.lines().filter(|line| !line.starts_with('#')).skip(1);
    lines
        .map(|line| {
            let (class, figures) = line.split_once(',').unwrap();
            let figures: Vec<f64> = figures.split(',').map(|figure| figure.parse().unwrap()).collect();
            (class.to_owned(), figures.try_into().unwrap())
        })
        .collect()
}

/// Every cell of the ISO 286-2 tables (sources at the top of each file), at both ends and the
/// middle of its band.
#[test]
fn every_cell_of_the_limit_tables() {
    /// Only rounding of a product with 1e-3.
    const UM: f64 = 1e-9;
    let holes = cells(include_str!("../../../tests/golden/limits/holes.csv"));
    let shafts = cells(include_str!("../../../tests/golden/limits/shafts.csv"));
    assert_eq!((holes.len(), shafts.len()), (202, 214));
    for (class, [above, up_to, upper, lower]) in holes.into_iter().chain(shafts) {
        let parsed: ToleranceClass = class.parse().unwrap();
        assert_eq!(parsed.to_string(), class);
        for size in [above + 1e-6, 0.5 * (above + up_to), up_to] {
            let limits = parsed.limits(size).unwrap();
            assert!((limits.upper * 1e3 - upper).abs() < UM, "{class} at {size}: upper {}", limits.upper);
            assert!((limits.lower * 1e3 - lower).abs() < UM, "{class} at {size}: lower {}", limits.lower);
        }
    }
}
