//! The exact volume of a finished part.

use crate::outline::area_and_centre;
use crate::parts::{HingeBore, PartLayer, ScrewHole};

/// mm³: layers with true arcs, less the bores and holes that lie wholly in them.
pub(super) fn volume(layers: &[PartLayer], hinges: &[HingeBore], holes: &[ScrewHole]) -> f64 {
    let area = |layer: &PartLayer| layer.pieces.iter().map(|piece| area_and_centre(piece).0).sum::<f64>();
    let solid: f64 = layers.iter().map(|layer| area(layer) * (layer.z[1] - layer.z[0])).sum();
    let bored: f64 = hinges.iter().filter(|bore| bore.is_whole).map(HingeBore::volume).sum();
    let drilled: f64 = holes.iter().filter(|hole| hole.is_whole).map(ScrewHole::volume).sum();
    solid - bored - drilled
}
