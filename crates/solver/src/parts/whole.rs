//! Which bores and holes lie wholly in a part's material: only those can be taken out of it.

use nalgebra::Vector2;

use crate::outline::{Vertex, contains, distance_to};
use crate::parts::{HingeBore, PartLayer, ScrewHole};
use crate::project::Point;

/// Closer than this, mm, and two edges are taken to meet: no shop could leave what is between.
const MEET_MM: f64 = 1e-3;

/// From the edge of a disc to the nearest edge of material around it, mm; negative where it comes out.
pub(crate) fn wall_around(pieces: &[Vec<Vertex>], centre: Point, radius: f64) -> f64 {
    match pieces.iter().find(|piece| contains(piece, centre)) {
        Some(piece) => distance_to(piece, centre) - radius,
        None => -pieces.iter().map(|piece| distance_to(piece, centre)).reduce(f64::min).unwrap_or(0.0) - radius,
    }
}

/// From the edge of a disc to the nearest material of a layer that lies over it, mm; negative
/// where some of it is covered.
pub(crate) fn room_around(pieces: &[Vec<Vertex>], centre: Point, radius: f64) -> f64 {
    let away = |piece: &Vec<Vertex>| {
        let distance = distance_to(piece, centre);
        if contains(piece, centre) { -distance } else { distance }
    };
    pieces.iter().map(away).reduce(f64::min).unwrap_or(f64::INFINITY) - radius
}

/// From a screw hole or its countersink to the nearest step of a hinge bore, mm; negative where they
/// meet.
pub(crate) fn wall_between(hole: &ScrewHole, bore: &HingeBore) -> f64 {
    let along = hole.direction();
    let to = bore.centre - hole.from;
    let (ahead, beside) = (to.dot(&along), along.perp(&to).abs());
    let deep = hole.countersink_depth();
    // The cone counts as wide all along as it is at the face.
    let stretches = [([0.0, deep], hole.countersink.diameter), ([deep, hole.length()], hole.diameter)];
    let walls = stretches.into_iter().flat_map(|([start, end], diameter)| {
        let away = (start - ahead).max(ahead - end).max(0.0);
        bore.steps.iter().map(move |step| {
            let radius = 0.5 * step.diameter[0].max(step.diameter[1]);
            let in_plan = away.hypot(beside) - radius;
            let above = (step.z[0] - hole.z).max(hole.z - step.z[1]).max(0.0);
            // Across the hole's axis: the step's edge is a corner, the hole a disc about its axis.
            let apart = if above > 0.0 { above.hypot(in_plan.max(0.0)) } else { in_plan };
            apart - 0.5 * diameter
        })
    });
    walls.fold(f64::INFINITY, f64::min)
}

/// Walls of a screw hole to the layer's faces, its ends, and its neighbours, mm: the least.
pub(crate) fn walls_of_screw(hole: &ScrewHole, layer: &PartLayer, others: &[ScrewHole], along: Vector2<f64>) -> f64 {
    let reach = 0.5 * hole.countersink.diameter;
    let ends = layer.pieces.iter().flatten().map(|vertex| vertex.at.coords.dot(&along));
    let (low, high) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| (low.min(at), high.max(at)));
    let at = hole.from.coords.dot(&along);
    let faces = (hole.z - layer.z[0]).min(layer.z[1] - hole.z);
    let neighbours = others
        .iter()
        .filter(|other| other.name != hole.name)
        .map(|other| (other.from.coords.dot(&along) - at).abs() - 0.5 * other.countersink.diameter);
    neighbours.fold(faces.min(at - low).min(high - at), f64::min) - reach
}

/// Marks what lies wholly in the material.
pub(super) fn mark(layers: &[PartLayer], hinges: &mut [HingeBore], holes: &mut [ScrewHole], along: Vector2<f64>) {
    let has_size = |bore: &HingeBore| {
        bore.steps.iter().all(|step| step.depth() > 0.0 && step.diameter.iter().all(|d| *d > 0.0))
            && bore.low() < bore.high()
    };
    for index in 0..hinges.len() {
        let bore = &hinges[index];
        let radius = 0.5 * bore.widest();
        let clear_of =
            |other: &HingeBore| (other.centre - bore.centre).norm() - 0.5 * other.widest() - radius > MEET_MM;
        let apart = hinges.iter().enumerate().all(|(place, other)| place == index || clear_of(other));
        let inside = |layer: &PartLayer| {
            if (layer.z[0] - bore.low()).abs() < 1e-9 {
                wall_around(&layer.pieces, bore.centre, radius) > MEET_MM
            } else {
                room_around(&layer.pieces, bore.centre, radius) > MEET_MM
            }
        };
        hinges[index].is_whole = has_size(bore) && apart && layers.iter().all(inside);
    }
    for index in 0..holes.len() {
        let hole = &holes[index];
        let kept = layers.iter().find(|layer| hole.z > layer.z[0] && hole.z < layer.z[1]);
        let others: Vec<ScrewHole> = holes.to_vec();
        let fits = kept.is_some_and(|layer| walls_of_screw(hole, layer, &others, along) > MEET_MM);
        let clear = hinges.iter().all(|bore| wall_between(hole, bore) > MEET_MM);
        let has_room = hole.length() > hole.countersink_depth() && hole.countersink_depth() > 0.0;
        holes[index].is_whole = fits && clear && has_room;
    }
}
