//! The cut list: what to saw from which bar, with what the saw takes, as CSV.

use overarm_solver::{DEFAULT_KERF_MM, DEFAULT_STOCK_LENGTH_MM, Part, Project};

use crate::fixed_point::fixed;

/// Decimals of a length, mm: a saw is set by a tape.
const DECIMALS: usize = 2;

/// One piece on a bar: its part, the bar's number, and where it begins, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Piece {
    part: usize,
    bar: usize,
    from: f64,
}

/// Bars of one material and section, and what is left of each, mm.
#[derive(Clone, Debug, PartialEq)]
struct Bar {
    material: String,
    section: [f64; 2],
    length: f64,
    left: f64,
}

const HEADER: [&str; 16] = [
    "bar",
    "material",
    "stock_width_mm",
    "stock_depth_mm",
    "stock_length_mm",
    "from_mm",
    "part",
    "part_number",
    "cut_length_mm",
    "finished_length_mm",
    "finished_width_mm",
    "finished_depth_mm",
    "left_over_mm",
    "saw_kerf_mm",
    "volume_mm3",
    "mass_kg",
];

/// The bytes of `cut-list.csv`: one row a piece, by bar, in the order of sawing. A piece longer than
/// the bars stands on a bar of its own length.
///
/// # Errors
/// A sentence where the writer fails, which writing to memory rules out.
pub fn cut_list(project: &Project, parts: &[Part]) -> Result<Vec<u8>, String> {
    let length = project.bars.stock_length.unwrap_or(DEFAULT_STOCK_LENGTH_MM);
    let kerf = project.bars.saw_kerf.unwrap_or(DEFAULT_KERF_MM);
    let (bars, pieces) = nested(parts, length, kerf);
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(HEADER).map_err(|e| e.to_string())?;
    for piece in &pieces {
        let (bar, part) = (&bars[piece.bar], &parts[piece.part]);
        let mm = |value: f64| fixed(value, DECIMALS);
        let [width, depth] = part.stock.finished;
        table
            .write_record([
                (piece.bar + 1).to_string(),
                bar.material.clone(),
                mm(bar.section[0]),
                mm(bar.section[1]),
                mm(bar.length),
                mm(piece.from),
                part.file_stem(),
                part.number.clone(),
                mm(part.stock.cut_length),
                mm(part.stock.finished_length),
                mm(width),
                mm(depth),
                mm(bar.left),
                mm(kerf),
                // Exact: what a body of the part is compared with.
                fixed(part.volume, 6),
                part.mass.map_or_else(String::new, |mass| fixed(mass, 4)),
            ])
            .map_err(|e| e.to_string())?;
    }
    table.into_inner().map_err(|e| e.to_string())
}

/// Longest pieces first, each on the bar of its section that it leaves the least of; a new bar where
/// none has room. The saw takes its kerf after each piece, but for one that ends with the bar.
fn nested(parts: &[Part], length: f64, kerf: f64) -> (Vec<Bar>, Vec<Piece>) {
    /// Lengths nearer than this, mm, are one.
    const SAME_MM: f64 = 1e-6;
    let mut order: Vec<usize> = (0..parts.len()).collect();
    order.sort_by(|a, b| parts[*b].stock.cut_length.total_cmp(&parts[*a].stock.cut_length).then(a.cmp(b)));
    let mut bars: Vec<Bar> = Vec::new();
    let mut pieces = Vec::new();
    for index in order {
        let part = &parts[index];
        let stock = &part.stock;
        let (section, needed) = ([stock.width, stock.depth], stock.cut_length);
        let fits = |bar: &Bar| {
            bar.material == part.material
                && (bar.section[0] - section[0]).abs() < SAME_MM
                && (bar.section[1] - section[1]).abs() < SAME_MM
                && needed <= bar.left + SAME_MM
        };
        let best =
            (0..bars.len()).filter(|bar| fits(&bars[*bar])).min_by(|a, b| bars[*a].left.total_cmp(&bars[*b].left));
        let bar = best.unwrap_or_else(|| {
            let length = length.max(needed);
            bars.push(Bar { material: part.material.clone(), section, length, left: length });
            bars.len() - 1
        });
        let from = bars[bar].length - bars[bar].left;
        bars[bar].left = (bars[bar].left - needed - kerf).max(0.0);
        pieces.push(Piece { part: index, bar, from });
    }
    pieces.sort_by(|a, b| a.bar.cmp(&b.bar).then(a.from.total_cmp(&b.from)));
    (bars, pieces)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts_dxf::tests::{demo, demo_parts};

    #[test]
    fn pieces_follow_each_other_with_a_kerf_between() {
        let parts = demo_parts();
        let (bars, pieces) = nested(&parts, 3000.0, 3.0);
        // Arms of 25.4 by 38.1, two of each length, on one bar; the bars of 60 by 38.1 on another.
        assert_eq!(bars.len(), 2);
        assert_eq!(pieces.len(), 8);
        for (bar, stock) in bars.iter().enumerate() {
            let mut at = 0.0;
            for piece in pieces.iter().filter(|piece| piece.bar == bar) {
                assert!((piece.from - at).abs() < 1e-9, "{piece:?} {at}");
                at = piece.from + parts[piece.part].stock.cut_length + 3.0;
            }
            assert!((stock.left - (3000.0 - at)).abs() < 1e-9);
        }
        // Two bars of 1000 hold no more than two arms each.
        let (short, pieces) = nested(&parts, 1010.0, 3.0);
        let arms = |bar: usize| pieces.iter().filter(|piece| piece.bar == bar).count();
        assert_eq!((short.len(), arms(0), arms(1)), (3, 2, 2));
        // Longer than any bar: a bar of its own length.
        let (own, _) = nested(&parts, 300.0, 3.0);
        assert!(own.iter().filter(|bar| bar.length > 400.0).count() == 4, "{own:?}");
    }

    #[test]
    fn a_piece_may_end_with_its_bar() {
        let parts = demo_parts();
        let [wall, panel] = [0, 1].map(|index| parts[index].stock.cut_length);
        let (bars, _) = nested(&parts[..2], wall + 3.0 + panel, 3.0);
        assert_eq!(bars.len(), 1);
        assert!(bars[0].left.abs() < 1e-9);
        let (bars, _) = nested(&parts[..2], wall + 2.9 + panel, 3.0);
        assert_eq!(bars.len(), 2);
    }

    #[test]
    fn one_row_a_piece() {
        let text = String::from_utf8(cut_list(&demo(), &demo_parts()).unwrap()).unwrap();
        assert_eq!(text.lines().count(), 9);
        assert!(text.starts_with("bar,material,"));
        // 30 + 86.58 + 30 and 2 mm at each end.
        assert!(text.lines().any(|line| line.contains("L-wall-bar,101,150.58,146.58,60.00,38.10,")), "{text}");
    }
}
