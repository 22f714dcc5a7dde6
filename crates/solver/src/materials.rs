//! Materials of bars: density, strength, stiffness and growth with heat.

use crate::press_fit::Elastic;

/// Where a bar names none.
pub const DEFAULT: &str = "6061-T6";

/// A material, at room temperature.
///
/// Strengths are the least that the stock's standard promises where there is one, not typical ones.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Material {
    /// Its name.
    pub name: &'static str,
    /// kg/m³.
    pub density: f64,
    /// Yield strength or 0.2 % proof stress, MPa.
    pub yield_strength: f64,
    /// Modulus of elasticity, MPa.
    pub modulus: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Growth with heat, per K.
    pub expansion: f64,
    /// Whether it is fit for parts that hang over people; plywood is for trial fits.
    pub for_trial_only: bool,
    /// Where the figures come from.
    pub source: &'static str,
    /// Other ways to write the name, letters and digits only, capitals.
    also: &'static [&'static str],
}

/// What bars can be made of.
pub const MATERIALS: [Material; 5] = [
    Material {
        name: DEFAULT,
        density: 2700.0,
        yield_strength: 240.0,
        modulus: 68_900.0,
        poisson: 0.33,
        expansion: 23.6e-6,
        for_trial_only: false,
        source: "makers' data sheets agree (typical yield 276 MPa); yield: least of extruded bar after ASTM B221, \
                 35 ksi, from memory",
        also: &["6061T6", "6061T651", "6061T6511"],
    },
    Material {
        name: "6082-T6",
        density: 2700.0,
        yield_strength: 250.0,
        modulus: 70_000.0,
        poisson: 0.33,
        expansion: 23.4e-6,
        for_trial_only: false,
        source: "from memory: yield, least of extruded bar up to 20 mm after EN 755-2 (260 MPa above); the rest after \
                 EN 1999-1-1 and data sheets",
        also: &["6082T6", "6082T651", "6082T6511"],
    },
    Material {
        name: "5083",
        density: 2660.0,
        yield_strength: 110.0,
        modulus: 71_000.0,
        poisson: 0.33,
        expansion: 23.8e-6,
        for_trial_only: false,
        source: "from memory: yield, least of soft extruded bar (O, H111) after EN 755-2; H32 plate has about twice \
                 that; the rest from data sheets",
        also: &["5083O", "5083H111", "5083H112"],
    },
    Material {
        name: "mild steel",
        density: 7850.0,
        yield_strength: 235.0,
        modulus: 210_000.0,
        poisson: 0.3,
        expansion: 12e-6,
        for_trial_only: false,
        source: "from memory: S235 up to 16 mm after EN 10025-2; the rest after EN 1993-1-1, 3.2.6",
        also: &["MILDSTEEL", "S235", "S235JR"],
    },
    Material {
        name: "plywood",
        density: 680.0,
        yield_strength: 25.0,
        modulus: 8000.0,
        poisson: 0.3,
        expansion: 7e-6,
        for_trial_only: true,
        source: "birch plywood, rounded down, from memory; for trial fits only, nothing is hung from it",
        also: &["PLYWOOD", "BIRCHPLYWOOD"],
    },
];

impl Material {
    /// What presses and grows of it, for [`crate::press_fit`].
    #[must_use]
    pub fn elastic(&self) -> Elastic {
        Elastic { modulus: self.modulus, poisson: self.poisson, expansion: self.expansion }
    }

    /// The material of a name; case, spaces and dashes do not matter, nor "EN AW" or "AA" before it.
    ///
    /// A name without the temper that decides its strength (`6061`) is not known.
    #[must_use]
    pub fn named(name: &str) -> Option<&'static Self> {
        let letters: String = name.chars().filter(char::is_ascii_alphanumeric).collect();
        let letters = letters.to_ascii_uppercase();
        let plain = ["ENAW", "AW", "AA"].iter().find_map(|before| letters.strip_prefix(before)).unwrap_or(&letters);
        MATERIALS.iter().find(|material| {
            material.name.chars().filter(char::is_ascii_alphanumeric).collect::<String>().eq_ignore_ascii_case(plain)
                || material.also.contains(&plain)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_in_any_spelling() {
        for name in ["6061-T6", "6061 t6", "EN AW-6061-T6", "AA 6061-T651"] {
            assert_eq!(Material::named(name).map(|found| found.name), Some("6061-T6"), "{name}");
        }
        assert_eq!(Material::named("Mild Steel").map(|found| found.name), Some("mild steel"));
        assert_eq!(Material::named("5083-H111").map(|found| found.name), Some("5083"));
        for name in ["6061", "", "-", "unobtainium", "T6"] {
            assert_eq!(Material::named(name), None, "{name}");
        }
        for material in &MATERIALS {
            assert_eq!(Material::named(material.name), Some(material));
        }
        assert!(Material::named(DEFAULT).is_some());
    }

    #[test]
    fn a_seat_in_the_default_is_a_seat_in_aluminium() {
        let default = Material::named(DEFAULT).unwrap();
        assert_eq!(default.elastic(), crate::press_fit::ALUMINIUM);
    }

    #[test]
    fn figures_are_of_the_right_size() {
        for material in &MATERIALS {
            // Stiffness over density is nearly the same for metals, about 26 MPa·m³/kg.
            let specific = material.modulus / material.density;
            assert!((10.0..28.0).contains(&specific), "{}: {specific}", material.name);
            assert!(material.yield_strength < material.modulus / 100.0, "{}", material.name);
            assert!((0.0..0.5).contains(&material.poisson) && (5e-6..25e-6).contains(&material.expansion));
        }
    }
}
