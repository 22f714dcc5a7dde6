//! Materials.

/// Where none is named.
pub const DEFAULT: &str = "6061-T6";

/// A material.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Material {
    /// Its name.
    pub name: &'static str,
    /// kg/m³.
    pub density: f64,
}

impl Material {
    /// By name.
    #[must_use]
    pub fn named(name: &str) -> Option<&'static Self> {
        const ALUMINIUM: Material = Material { name: DEFAULT, density: 2700.0 };
        (name == DEFAULT).then_some(&ALUMINIUM)
    }
}
