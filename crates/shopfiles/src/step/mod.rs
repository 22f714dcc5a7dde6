//! One part as STEP (ISO 10303-21, AP242): one closed body of planes, true cylinders and true cones,
//! in millimetres, named. Same project, same bytes: there is no clock in it.

mod body;
mod bore;
mod boundary;
mod entities;

pub use body::body_of;
pub use boundary::Boundary;

use overarm_solver::Part;

use crate::step::entities::Entities;

/// The bytes of one part's file. `title` is the job's.
///
/// A bore or screw hole that breaks out of the material is left out, and the description says so. A
/// part without a size has a product and no body.
///
/// # Errors
/// A sentence where the faces would not close: a mistake of ours, not of the project.
pub fn part_step(part: &Part, title: &str) -> Result<Vec<u8>, String> {
    let body = body_of(part);
    if body.as_ref().is_some_and(|body| !body.is_closed()) {
        return Err("the faces of its body do not close; please report this project".to_owned());
    }
    let name = part.file_stem();
    let left_out = left_out(part);
    let mut description = format!("{title}; number {}, {}", part.number, part.material);
    if !left_out.is_empty() {
        description.push_str(&format!("; left out because it breaks out: {}", left_out.join(", ")));
    }
    if part.hinges.iter().any(overarm_solver::HingeBore::is_default) {
        description.push_str("; no bearing is chosen, its bores stand by default");
    }
    let mut entities = Entities::default();
    entities.product(&name, &part.number, &description, body.as_ref());
    Ok(entities.file(&name, &description).into_bytes())
}

/// Bores and screw holes that the body does not have.
fn left_out(part: &Part) -> Vec<String> {
    let bores = part.hinges.iter().filter(|hinge| !hinge.is_whole).map(|hinge| format!("bore at the {}", hinge.name));
    let holes = part.screw_holes.iter().filter(|hole| !hole.is_whole).map(|hole| hole.name.clone());
    bores.chain(holes).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts_dxf::tests::demo_parts;

    fn text(part: &Part) -> String {
        String::from_utf8(part_step(part, "Küche's \\ hatch").unwrap()).unwrap()
    }

    #[test]
    fn one_body_in_millimetres_with_its_name() {
        for part in demo_parts() {
            let text = text(&part);
            assert!(text.starts_with("ISO-10303-21;\nHEADER;\n") && text.ends_with("ENDSEC;\nEND-ISO-10303-21;\n"));
            assert!(text.contains("AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF"));
            assert_eq!(text.matches("=MANIFOLD_SOLID_BREP(").count(), 1);
            assert!(text.contains("SI_UNIT(.MILLI.,.METRE.)"));
            assert!(text.contains(&format!("=PRODUCT('{}','{}',", part.number, part.file_stem())));
            assert!(text.is_ascii() && !text.contains("NaN") && !text.contains("inf"));
            assert!(text.contains("K\\X2\\00FC\\X0\\che''s \\\\ hatch"));
            assert_eq!(text, String::from_utf8(part_step(&part, "Küche's \\ hatch").unwrap()).unwrap());
        }
    }

    #[test]
    fn every_reference_leads_to_an_entity() {
        let text = text(&demo_parts()[0]);
        let defined: Vec<&str> = text.lines().filter_map(|line| line.strip_prefix('#')?.split('=').next()).collect();
        let mut numbers: Vec<usize> = defined.iter().map(|number| number.parse().unwrap()).collect();
        let count = numbers.len();
        numbers.sort_unstable();
        numbers.dedup();
        assert!(numbers.len() == count && count > 100);
        for used in text.split('#').skip(1) {
            let number: String = used.chars().take_while(char::is_ascii_digit).collect();
            assert!(numbers.binary_search(&number.parse().unwrap()).is_ok(), "#{number}");
        }
    }

    #[test]
    fn what_breaks_out_is_named_and_left_out() {
        let mut part = demo_parts().swap_remove(0);
        part.hinges[0].is_whole = false;
        part.screw_holes[2].is_whole = false;
        let text = text(&part);
        assert!(text.contains("left out because it breaks out: bore at the lower pivot, screw 3"), "{}", &text[..600]);
        assert_eq!(text.matches("=MANIFOLD_SOLID_BREP(").count(), 1);
    }
}
