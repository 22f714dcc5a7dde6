//! The hole table: every bore of every part, in its part frame, as CSV.

use overarm_solver::Part;

use crate::fixed_point::fixed;

/// Decimals of a millimetre: a tenth of a micrometre, finer than any gauge in a shop.
const DECIMALS: usize = 4;

/// The bytes of `hole-table.csv`: `part,hand,hole,x_mm,y_mm,diameter_mm`, one row a bore.
///
/// # Errors
/// A sentence where the writer fails, which writing to memory rules out.
pub fn hole_table(parts: &[Part]) -> Result<Vec<u8>, String> {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(["part", "hand", "hole", "x_mm", "y_mm", "diameter_mm"]).map_err(|e| e.to_string())?;
    for part in parts {
        for bore in &part.bores {
            table
                .write_record([
                    part.file_stem(),
                    part.hand.letter().to_string(),
                    bore.name.to_owned(),
                    fixed(bore.centre.x, DECIMALS),
                    fixed(bore.centre.y, DECIMALS),
                    fixed(bore.diameter, DECIMALS),
                ])
                .map_err(|e| e.to_string())?;
        }
    }
    table.into_inner().map_err(|e| e.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use overarm_solver::{Bore, Hand, PartName, Point};

    #[test]
    fn one_row_a_bore_in_fixed_point() {
        let part = Part {
            name: PartName::WallBar,
            hand: Hand::Left,
            outline: Vec::new(),
            bores: vec![Bore { name: "lower", centre: Point::new(-1e-12, 90.097_732), diameter: 8.0 }],
            depth: 38.1,
            material: String::new(),
        };
        let text = String::from_utf8(hole_table(&[part]).unwrap()).unwrap();
        assert_eq!(text, "part,hand,hole,x_mm,y_mm,diameter_mm\nL-wall-bar,L,lower,0.0000,90.0977,8.0000\n");
    }
}
