//! Materials of bars: density, strength, stiffness and growth with heat.

use crate::press_fit::Elastic;
use crate::project::MaterialWanted;

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
    /// Ultimate tensile strength, MPa; where a standard's least is known.
    pub ultimate_strength: Option<f64>,
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
        ultimate_strength: Some(260.0),
        modulus: 68_900.0,
        poisson: 0.33,
        expansion: 23.6e-6,
        for_trial_only: false,
        source: "makers' data sheets agree (typical yield 276 MPa); yield and ultimate: least of extruded bar \
                 after ASTM B221, 35 and 38 ksi, from memory",
        also: &["6061T6", "6061T651", "6061T6511"],
    },
    Material {
        name: "6082-T6",
        density: 2700.0,
        yield_strength: 250.0,
        ultimate_strength: Some(290.0),
        modulus: 70_000.0,
        poisson: 0.33,
        expansion: 23.4e-6,
        for_trial_only: false,
        source: "from memory: yield and ultimate, least of extruded bar up to 20 mm after EN 755-2 (260 and 310 MPa \
                 above, or 295); the rest after EN 1999-1-1 and data sheets",
        also: &["6082T6", "6082T651", "6082T6511"],
    },
    Material {
        name: "5083",
        density: 2660.0,
        yield_strength: 110.0,
        ultimate_strength: Some(270.0),
        modulus: 71_000.0,
        poisson: 0.33,
        expansion: 23.8e-6,
        for_trial_only: false,
        source: "from memory: yield and ultimate, least of soft extruded bar (O, H111) after EN 755-2; H32 plate has about twice \
                 that; the rest from data sheets",
        also: &["5083O", "5083H111", "5083H112"],
    },
    Material {
        name: "mild steel",
        density: 7850.0,
        yield_strength: 235.0,
        ultimate_strength: Some(360.0),
        modulus: 210_000.0,
        poisson: 0.3,
        expansion: 12e-6,
        for_trial_only: false,
        source: "from memory: yield and ultimate of S235 up to 16 mm after EN 10025-2; the rest after EN 1993-1-1, 3.2.6",
        also: &["MILDSTEEL", "S235", "S235JR"],
    },
    Material {
        name: "plywood",
        density: 680.0,
        yield_strength: 25.0,
        ultimate_strength: None,
        modulus: 8000.0,
        poisson: 0.3,
        expansion: 7e-6,
        for_trial_only: true,
        source: "birch plywood, rounded down, from memory; for trial fits only, nothing is hung from it",
        also: &["PLYWOOD", "BIRCHPLYWOOD"],
    },
];

/// The common bar: what bars are of where they name nothing.
pub const COMMON_BAR: &Material = &MATERIALS[0];

/// The user's own stands under this name; what it is called is in the project.
const OWN: &str = "the project's own";
/// Stiffer than this, MPa, is taken for a steel.
const STEEL_FROM: f64 = 150_000.0;

impl Material {
    /// Whether it is stiff enough to be a steel.
    #[must_use]
    pub fn is_steel(&self) -> bool {
        self.modulus > STEEL_FROM
    }

    /// The material that a project gives for a bar; [`DEFAULT`] where it gives none. Of the user's
    /// own, Poisson's ratio and growth with heat are taken as steel's or aluminium's, whichever it is
    /// nearer to in stiffness. `None` for a name that is not in the list.
    #[must_use]
    pub fn wanted(wanted: Option<&MaterialWanted>) -> Option<Self> {
        match wanted {
            None => Self::named(DEFAULT).copied(),
            Some(MaterialWanted::Named(name)) => Self::named(name).copied(),
            Some(MaterialWanted::Own(own)) => {
                let is_steel = own.modulus > STEEL_FROM;
                Some(Self {
                    name: OWN,
                    density: own.density,
                    yield_strength: own.yield_strength,
                    ultimate_strength: None,
                    modulus: own.modulus,
                    poisson: if is_steel { 0.3 } else { 0.33 },
                    expansion: if is_steel { 12e-6 } else { 23.6e-6 },
                    for_trial_only: false,
                    source: "given in the project",
                    also: &[],
                })
            }
        }
    }

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
            assert!(material.ultimate_strength.is_none_or(|ultimate| ultimate > material.yield_strength));
            assert!((0.0..0.5).contains(&material.poisson) && (5e-6..25e-6).contains(&material.expansion));
        }
    }

    /// Least yield and ultimate strengths as standards print them: ASTM B221 (35 and 38 ksi), EN
    /// 755-2, EN 10025-2; all from memory.
    #[test]
    fn strengths_of_the_standards() {
        for (name, yields, ultimate) in
            [("6061-T6", 240.0, 260.0), ("6082-T6", 250.0, 290.0), ("5083", 110.0, 270.0), ("S235", 235.0, 360.0)]
        {
            let material = Material::named(name).unwrap();
            assert_eq!((material.yield_strength, material.ultimate_strength), (yields, Some(ultimate)), "{name}");
        }
        assert_eq!(Material::named("plywood").unwrap().ultimate_strength, None);
    }

    #[test]
    fn the_users_own_and_the_default() {
        assert_eq!(Material::wanted(None).as_ref(), Material::named(DEFAULT));
        assert_eq!(Material::wanted(Some(&"unobtainium".into())), None);
        let text = r#"{"name": "6013-T6", "density": 2710, "yield_strength": 340, "modulus": 69000}"#;
        let own: MaterialWanted = serde_json::from_str(text).unwrap();
        let found = Material::wanted(Some(&own)).unwrap();
        assert_eq!((own.name(), found.yield_strength, found.is_steel()), ("6013-T6", 340.0, false));
        let named: MaterialWanted = serde_json::from_str("\"mild steel\"").unwrap();
        assert!(Material::wanted(Some(&named)).is_some_and(|found| found.is_steel()));
        assert_eq!(serde_json::to_string(&named).unwrap(), "\"mild steel\"", "a name stays a name in the file");
    }
}
