//! The hole table: every cylinder and cone of every bore and screw hole of every part, in its part
//! frame, as CSV.

use overarm_solver::{BoreStep, HingeBore, Part, ScrewHole};

use crate::fixed_point::fixed;

/// Decimals of a millimetre: a tenth of a micrometre, finer than any gauge in a shop; more where a figure has
/// more, so that what is computed from the table is what the models have.
const DECIMALS: [usize; 2] = [4, 9];
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

/// Millimetres, to the last decimal that says anything.
fn figure(mm: f64) -> String {
    let [least, most] = DECIMALS;
    let text = fixed(mm, most);
    let shown = text.trim_end_matches('0').len().max(text.len() + least - most);
    text[..shown].to_owned()
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
        let size = |index: usize| self.sizes.map_or_else(String::new, |sizes| figure(sizes[index]));
        let axis = self.axis.map(|value| fixed(value, DIRECTION_DECIMALS));
        let [axis_x, axis_y, axis_z] = axis;
        vec![
            part.file_stem(),
            part.hand.letter().to_string(),
            self.hole.clone(),
            figure(self.at[0]),
            figure(self.at[1]),
            figure(self.diameter[0]),
            part.number.clone(),
            self.feature.to_owned(),
            figure(self.at[2]),
            figure(self.depth),
            figure(self.diameter[1]),
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
        // N7 at 22 mm, −7/−28 µm (ISO 286).
        let seat = wall.iter().find(|row| row[7] == "bearing seat").unwrap();
        assert_eq!(seat[2..6], ["lower pivot", "0.0000", "0.0000", "22.0000"]);
        assert_eq!(seat[14..], ["N7", "21.9720", "21.9930", "yes"]);
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
        // 22 and 0.5 mm at 30° on either side.
        let lead_in = wall.iter().find(|row| row[7] == "lead-in").unwrap();
        assert_eq!([lead_in[5], lead_in[10]], ["22.577350269", "22.0000"]);
    }
}
