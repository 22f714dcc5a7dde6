//! What is measured on every part, as CSV with an empty last column for what was found.

use overarm_solver::{Part, Project};

use crate::fixed_point::fixed;
use crate::measured_csv::COLUMNS;

/// Decimals of a millimetre: a tenth of a micrometre.
const DECIMALS: usize = 4;

/// The bytes of `inspection.csv`: one row a characteristic, numbered within its part. Limits stay
/// empty where the project gives no tolerance; beside the gauge stands why, and where they are narrower than a
/// small shop holds.
///
/// # Errors
/// A sentence where the writer fails, which writing to memory rules out.
pub fn inspection_csv(project: &Project, parts: &[Part]) -> Result<Vec<u8>, String> {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(COLUMNS).map_err(|e| e.to_string())?;
    for part in parts {
        for (number, row) in (1..).zip(part.characteristics(project.tolerances.as_ref())) {
            let limit = |index: usize| row.limits.map_or_else(String::new, |limits| fixed(limits[index], DECIMALS));
            table
                .write_record([
                    part.file_stem(),
                    number.to_string(),
                    row.name,
                    fixed(row.nominal, DECIMALS),
                    limit(0),
                    limit(1),
                    match row.doubt {
                        Some(doubt) => format!("{}; {doubt}", row.gauge),
                        None => row.gauge.to_string(),
                    },
                    String::new(),
                ])
                .map_err(|e| e.to_string())?;
        }
    }
    table.into_inner().map_err(|e| e.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts_dxf::tests::{demo, demo_parts};

    #[test]
    fn limits_gauge_and_an_empty_column() {
        let bytes = inspection_csv(&demo(), &demo_parts()).unwrap();
        let text = String::from_utf8(bytes.clone()).unwrap();
        assert_eq!(
            text.lines().next(),
            Some("part,number,characteristic,nominal_mm,lower_mm,upper_mm,gauge,measured_mm")
        );
        let mut rows = csv::Reader::from_reader(bytes.as_slice());
        let rows: Vec<csv::StringRecord> = rows.records().map(Result::unwrap).collect();
        assert!(rows.iter().all(|row| row.len() == 8 && row[7].is_empty() && !row[6].is_empty()));
        let row = rows.iter().find(|row| &row[0] == "R-lower-arm" && &row[2] == "centre distance").unwrap();
        // tests/golden: 456.389035; the project allows 0.02 either way.
        assert_eq!([&row[1], &row[3], &row[4], &row[5]], ["1", "456.3890", "456.3690", "456.4090"]);
        let seat = rows.iter().find(|row| row[2].contains("seat, inner face")).unwrap();
        assert_eq!([&seat[4], &seat[5]], ["21.9720", "21.9930"]);
        assert!(seat[6].contains("go 21.972 no-go 21.993"));
    }

    #[test]
    fn what_is_cut_has_a_row_with_limits_and_gauge() {
        let (project, parts) = (demo(), demo_parts());
        let bytes = inspection_csv(&project, &parts).unwrap();
        let rows: Vec<csv::StringRecord> =
            csv::Reader::from_reader(bytes.as_slice()).records().map(Result::unwrap).collect();
        let named = |part: &str, name: &str| {
            let mut found = rows.iter().filter(|row| &row[0] == part && &row[2] == name);
            let row = found.next().unwrap_or_else(|| panic!("{name} of {part}"));
            assert!(found.next().is_none(), "{name} of {part} twice");
            assert!([3, 4, 5].iter().all(|column| row[*column].parse::<f64>().is_ok()) && !row[6].is_empty());
        };
        for part in &parts {
            let stem = part.file_stem();
            for hole in &part.screw_holes {
                named(&stem, &format!("{} from lower end", hole.name));
                named(&stem, &format!("{} from inner face", hole.name));
            }
            for corner in part.pocket_corners() {
                for (axis, is_cut) in ["X", "Y"].into_iter().zip(corner.is_cut) {
                    if is_cut {
                        named(&stem, &format!("laps, corner {} at {axis}", corner.number));
                    }
                }
            }
            if part.datum.is_none() {
                named(&stem, "wall end, radius");
                named(&stem, "panel end, radius");
            } else {
                for seat in ["lower pivot", "upper pivot"] {
                    for face in ["inner", "outer"] {
                        named(&stem, &format!("{seat} seat, {face} face"));
                        named(&stem, &format!("{seat} seat depth, {face} face"));
                    }
                }
            }
        }
    }

    #[test]
    fn limits_that_cannot_be_held_or_are_not_given_say_so_beside_the_gauge() {
        use overarm_solver::{HousingFit, Options, analyse, parts};
        // 8 to 20 µm leave 3 µm with a 608 of 0/−9 µm, 10 to 18 none; IT6 at 22 mm is 13 µm (ISO 286-1 table 1).
        for (interference, limits, said) in [
            ([0.008, 0.020], "21.9830", "cut each to its own bearing"),
            ([0.010, 0.018], "", "no limits: no bore fits"),
        ] {
            let mut project = demo();
            project.joints.as_mut().unwrap().housing = Some(HousingFit::Interference { interference });
            let analysis = analyse(&project, &Options { poses: 2, swept: false });
            let bytes = inspection_csv(&project, &parts(&project, &analysis.solids)).unwrap();
            let mut rows = csv::Reader::from_reader(bytes.as_slice());
            let row = rows.records().map(Result::unwrap).find(|row| row[2].ends_with("seat, inner face")).unwrap();
            assert_eq!(&row[5], limits);
            assert!(row[6].contains(said), "{row:?}");
        }
    }

    #[test]
    fn what_is_written_down_is_read_back() {
        let (project, parts) = (demo(), demo_parts());
        let lift = overarm_solver::Lift::new(&project);
        let sheet = inspection_csv(&project, &parts).unwrap();
        let filled = |long_by: f64| {
            let mut table = csv::Writer::from_writer(Vec::new());
            table.write_record(COLUMNS).unwrap();
            for row in csv::Reader::from_reader(sheet.as_slice()).records().map(Result::unwrap) {
                let off = if &row[0] == "L-lower-arm" && &row[2] == "centre distance" { long_by } else { 0.0 };
                let measured = fixed(row[3].parse::<f64>().unwrap() + off, DECIMALS);
                table.write_record(row.iter().take(7).chain([measured.as_str()])).unwrap();
            }
            crate::measured_csv::read(&table.into_inner().unwrap(), &lift).unwrap().built
        };
        let (long, drawn) = (filled(0.03), filled(0.0));
        let grown = long.left.lower_arm.unwrap() - drawn.left.lower_arm.unwrap();
        assert!((grown - 0.03).abs() < 1e-9, "{long:?}");
        assert_eq!(long.right, drawn.right);
        // As it was written, nothing is measured: it is read and says what is missing first.
        let refused = crate::measured_csv::read(&sheet, &lift).unwrap_err();
        assert_eq!((refused.row, refused.column.as_deref()), (Some(2), Some("measured_mm")), "{refused}");
        assert!(refused.what.contains("not filled in"), "{refused}");
        assert!(drawn.right.wall_bar.is_some() && drawn.left.upper_arm.is_some());
    }
}
