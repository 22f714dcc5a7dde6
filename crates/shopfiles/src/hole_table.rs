//! The hole table: every cylinder and cone of every bore and screw hole of every part, in its part
//! frame, as CSV.

use overarm_solver::{BoreStep, HingeBore, Part, ScrewHole};

use crate::fixed_point::fixed;

/// Decimals of a millimetre: a tenth of a micrometre, finer than any gauge in a shop.
const DECIMALS: usize = 4;
/// Decimals of a direction: 1e-6 over a bar's length is less than a micrometre.
const DIRECTION_DECIMALS: usize = 7;

/// Where a row's cylinder or cone begins (`x_mm`, `y_mm`, `z_mm`), its diameter there and at its
/// end, how deep it goes along its axis, and the sizes that will do where a fit is given.
const HEADER: [&str; 18] = [
    "part",
    "hand",
    "hole",
    "x_mm",
    "y_mm",
    "diameter_mm",
    "part_number",
    "feature",
    "z_mm",
    "depth_mm",
    "end_diameter_mm",
    "axis_x",
    "axis_y",
    "axis_z",
    "fit",
    "lower_mm",
    "upper_mm",
    "in_body",
];

/// The bytes of `hole-table.csv`, one row a cylinder or cone.
///
/// # Errors
/// A sentence where the writer fails, which writing to memory rules out.
pub fn hole_table(parts: &[Part]) -> Result<Vec<u8>, String> {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(HEADER).map_err(|e| e.to_string())?;
    for part in parts {
        let bores = part.hinges.iter().flat_map(|bore| bore.steps.iter().map(move |step| bore_row(bore, step)));
        for row in bores.chain(part.screw_holes.iter().flat_map(screw_rows)) {
            table.write_record(row.fields(part)).map_err(|e| e.to_string())?;
        }
    }
    table.into_inner().map_err(|e| e.to_string())
}

struct Row {
    hole: String,
    feature: &'static str,
    at: [f64; 3],
    axis: [f64; 3],
    depth: f64,
    diameter: [f64; 2],
    fit: String,
    sizes: Option<[f64; 2]>,
    in_body: bool,
}

impl Row {
    fn fields(&self, part: &Part) -> Vec<String> {
        let size = |index: usize| self.sizes.map_or_else(String::new, |sizes| fixed(sizes[index], DECIMALS));
        let axis = self.axis.map(|value| fixed(value, DIRECTION_DECIMALS));
        let [axis_x, axis_y, axis_z] = axis;
        vec![
            part.file_stem(),
            part.hand.letter().to_string(),
            self.hole.clone(),
            fixed(self.at[0], DECIMALS),
            fixed(self.at[1], DECIMALS),
            fixed(self.diameter[0], DECIMALS),
            part.number.clone(),
            self.feature.to_owned(),
            fixed(self.at[2], DECIMALS),
            fixed(self.depth, DECIMALS),
            fixed(self.diameter[1], DECIMALS),
            axis_x,
            axis_y,
            axis_z,
            self.fit.clone(),
            size(0),
            size(1),
            if self.in_body { "yes" } else { "no" }.to_owned(),
        ]
    }
}

fn bore_row(bore: &HingeBore, step: &BoreStep) -> Row {
    let sizes = step.limits.map(|limits| [limits.lower, limits.upper].map(|off| step.diameter[0] + off));
    Row {
        hole: bore.name.to_owned(),
        feature: step.kind.words(),
        at: [bore.centre.x, bore.centre.y, step.z[0]],
        axis: [0.0, 0.0, 1.0],
        depth: step.depth(),
        diameter: step.diameter,
        fit: step.class.clone().unwrap_or_default(),
        sizes,
        in_body: bore.is_whole,
    }
}

fn screw_rows(hole: &ScrewHole) -> [Row; 2] {
    let along = hole.direction();
    let deep = hole.countersink_depth();
    let row = |feature, from: f64, to: f64, diameter| {
        let at = hole.from + from * along;
        Row {
            hole: hole.name.clone(),
            feature,
            at: [at.x, at.y, hole.z],
            axis: [along.x, along.y, 0.0],
            depth: to - from,
            diameter,
            fit: String::new(),
            sizes: None,
            in_body: hole.is_whole,
        }
    };
    let d = hole.diameter;
    [row("countersink", 0.0, deep, [hole.countersink.diameter, d]), row("screw hole", deep, hole.length(), [d, d])]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts_dxf::tests::demo_parts;

    #[test]
    fn one_row_a_cylinder_or_cone_in_fixed_point() {
        let parts = demo_parts();
        let text = String::from_utf8(hole_table(&parts).unwrap()).unwrap();
        let rows: Vec<Vec<&str>> = text.lines().map(|line| line.split(',').collect()).collect();
        assert_eq!(rows[0][..6], ["part", "hand", "hole", "x_mm", "y_mm", "diameter_mm"]);
        assert!(rows.iter().all(|row| row.len() == HEADER.len()));
        // Wall bar: two hinges of lead-in, seat, web, seat, lead-in; three screws of two rows each.
        let wall: Vec<_> = rows.iter().filter(|row| row[0] == "L-wall-bar").collect();
        assert_eq!(wall.len(), 2 * 5 + 3 * 2);
        // 21.980 to 21.983: 8 to 20 µm of interference with any 608.
        let seat = wall.iter().find(|row| row[7] == "bearing seat").unwrap();
        assert_eq!(seat[2..6], ["lower pivot", "0.0000", "0.0000", "22.0000"]);
        assert_eq!(seat[15..], ["21.9800", "21.9830", "yes"]);
        // Pins in the arms: P7 at 8 mm, −9/−24 µm (ISO 286).
        let pin = rows.iter().find(|row| row[0] == "R-upper-arm" && row[7] == "pin bore").unwrap();
        assert_eq!(pin[14..], ["P7", "7.9760", "7.9910", "yes"]);
        let screws: Vec<_> = wall.iter().filter(|row| row[7] == "screw hole").collect();
        assert_eq!(screws.len(), 3);
        for row in &screws {
            let [x, y] = [11, 12].map(|column| row[column].parse::<f64>().unwrap());
            assert!((x.hypot(y) - 1.0).abs() < 1e-6);
        }
        assert!(!text.contains("-0.0000,") && !text.contains("NaN"));
    }
}
