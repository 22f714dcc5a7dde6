//! A part's body, built face by face from its layers, bores and screw holes.
//!
//! One layer is whole; what is left of the other stands on it and shares stretches of its edge. The
//! side face of an edge of the whole outline goes up over both where they share it.

use nalgebra::{Point3, Vector3};
use overarm_solver::{Edge as Flat, Part, Point, Split, SplitEdge, Vertex, area_within};

use crate::step::bore::{Stretch, add_bore};
use crate::step::boundary::{Boundary, Face, Surface, Walked, reversed};

/// Heights of a part of one or two layers.
#[derive(Clone, Copy, Debug)]
struct Heights {
    /// The far face of the whole layer.
    whole: f64,
    /// Its face towards the other layer.
    between: f64,
    /// The far face of the other.
    cut: f64,
}

impl Heights {
    /// The direction out of the whole layer into the other.
    fn up(&self) -> Vector3<f64> {
        Vector3::z() * (self.between - self.whole).signum()
    }

    fn is_upright(&self) -> bool {
        self.between > self.whole
    }
}

fn lifted(at: Point, z: f64) -> Point3<f64> {
    Point3::new(at.x, at.y, z)
}

/// The boundary of a part; `None` where there is nothing, or where outlines do not fit on each other.
#[must_use]
pub fn body_of(part: &Part) -> Option<Boundary> {
    let kept = part.kept()?;
    let outline: Vec<Flat> = Flat::of(&part.outline).collect();
    if kept.z[1] <= kept.z[0] || outline.len() < 2 || area_within(&outline) <= 0.0 {
        return None;
    }
    let cut = part.cut().next();
    let upright = cut.is_none_or(|layer| layer.z[0] >= kept.z[0]);
    let [low, high] = kept.z;
    let (whole, between) = if upright { (low, high) } else { (high, low) };
    let cut_face = cut.map_or(between, |layer| if upright { layer.z[1] } else { layer.z[0] });
    let heights = Heights { whole, between, cut: cut_face };
    let pieces: &[Vec<Vertex>] = cut.map_or(&[], |layer| layer.pieces.as_slice());
    let split = Split::new(&part.outline, pieces);
    let mut body = Boundary::default();

    let mut mouths = Vec::new();
    for hinge in part.hinges.iter().filter(|hinge| hinge.is_whole) {
        let radius = |step: &overarm_solver::BoreStep| step.diameter.map(|diameter| 0.5 * diameter);
        let stretches: Vec<Stretch> =
            hinge.steps.iter().map(|step| Stretch { along: step.z, radius: radius(step) }).collect();
        let [at_low, at_high] = add_bore(&mut body, lifted(hinge.centre, 0.0), Vector3::z(), Vector3::x(), &stretches)?;
        let (far, near) = if upright { (at_low, at_high) } else { (at_high, at_low) };
        mouths.push((hinge.centre, far, near));
    }
    let mut in_sides = Vec::new();
    for hole in part.screw_holes.iter().filter(|hole| hole.is_whole) {
        let (deep, long) = (hole.countersink_depth(), hole.length());
        let (wide, narrow) = (0.5 * hole.countersink.diameter, 0.5 * hole.diameter);
        let stretches = [
            Stretch { along: [0.0, deep], radius: [wide, narrow] },
            Stretch { along: [deep, long], radius: [narrow, narrow] },
        ];
        let axis = Vector3::new(hole.direction().x, hole.direction().y, 0.0);
        let [entry, exit] = add_bore(&mut body, lifted(hole.from, hole.z), axis, Vector3::z(), &stretches)?;
        in_sides.push((hole.from, entry));
        in_sides.push((hole.to, exit));
    }

    add_far_faces(&mut body, &outline, &split, heights, &mouths);
    add_free_faces(&mut body, &split, heights, &mouths);
    let outer: Vec<(&Flat, &Vec<SplitEdge>)> = outline.iter().zip(&split.whole).collect();
    for (index, (edge, stretches)) in outer.iter().enumerate() {
        let before = outer[(index + outer.len() - 1) % outer.len()].1;
        let after = outer[(index + 1) % outer.len()].1;
        let shared = |stretch: Option<&SplitEdge>| stretch.is_some_and(|stretch| stretch.is_shared);
        let neighbours = [shared(before.last()), shared(after.first())];
        let mut loops = vec![side_loop(&mut body, edge, stretches, neighbours, heights)];
        in_sides.retain(|(at, mouth)| {
            let along = edge.to - edge.from;
            let off = along.normalize().perp(&(at - edge.from)).abs();
            let share = (at - edge.from).dot(&along) / along.norm_squared();
            let is_here = edge.is_line() && off < 1e-6 && (0.0..=1.0).contains(&share);
            if is_here {
                loops.push(mouth.clone());
            }
            !is_here
        });
        body.faces.push(side_face(edge, heights.whole, loops));
    }
    for edge in split.pieces.iter().flatten().filter(|edge| !edge.is_shared).map(|edge| edge.edge) {
        let around = wall_loop(&mut body, &edge, heights);
        body.faces.push(side_face(&edge, heights.between, vec![around]));
    }
    in_sides.is_empty().then_some(body)
}

/// A flat edge at a height, as its own direction walks it.
fn at_height(body: &mut Boundary, edge: &Flat, z: f64) -> Walked {
    match edge.circle() {
        None => body.line(lifted(edge.from, z), lifted(edge.to, z)),
        Some((centre, radius)) => {
            let axis = Vector3::z() * edge.bulge.signum();
            let places = [edge.from, edge.at(0.5), edge.to].map(|at| lifted(at, z));
            body.arc(places, lifted(centre, z), axis, radius)
        }
    }
}

fn flat_face(at: Point, z: f64, normal: Vector3<f64>, loops: Vec<Vec<Walked>>) -> Face {
    Face { surface: Surface::Plane { at: lifted(at, z), normal }, is_outside: true, loops }
}

/// The face of the whole layer that nothing stands on, and those of the pieces.
fn add_far_faces(
    body: &mut Boundary,
    outline: &[Flat],
    split: &Split,
    heights: Heights,
    mouths: &[(Point, Vec<Walked>, Vec<Walked>)],
) {
    let around: Vec<Walked> = outline.iter().map(|edge| at_height(body, edge, heights.whole)).collect();
    // Counter-clockwise from above; this face looks away from the other layer.
    let mut loops = vec![if heights.is_upright() { reversed(&around) } else { around }];
    loops.extend(mouths.iter().map(|(_, far, _)| far.clone()));
    body.faces.push(flat_face(outline[0].from, heights.whole, -heights.up(), loops));
    for piece in &split.pieces {
        let around: Vec<Walked> = piece.iter().map(|edge| at_height(body, &edge.edge, heights.cut)).collect();
        let around = if heights.is_upright() { around } else { reversed(&around) };
        if let Some(first) = piece.first() {
            body.faces.push(flat_face(first.edge.from, heights.cut, heights.up(), vec![around]));
        }
    }
}

/// What the pieces leave free of the whole layer's other face.
fn add_free_faces(body: &mut Boundary, split: &Split, heights: Heights, mouths: &[(Point, Vec<Walked>, Vec<Walked>)]) {
    let (outer, inner): (Vec<_>, Vec<_>) = split.free_loops().into_iter().partition(|around| area_within(around) > 0.0);
    for around in &outer {
        let mut loops = vec![walked_at(body, around, heights)];
        for island in inner.iter().filter(|island| is_within(around, island[0].from)) {
            loops.push(walked_at(body, island, heights));
        }
        loops.extend(mouths.iter().filter(|(at, ..)| is_within(around, *at)).map(|(.., near)| near.clone()));
        body.faces.push(flat_face(around[0].from, heights.between, heights.up(), loops));
    }
}

fn walked_at(body: &mut Boundary, around: &[Flat], heights: Heights) -> Vec<Walked> {
    let around: Vec<Walked> = around.iter().map(|edge| at_height(body, edge, heights.between)).collect();
    if heights.is_upright() { around } else { reversed(&around) }
}

/// Whether a place lies within a loop, by the turns that the loop makes around it.
fn is_within(around: &[Flat], at: Point) -> bool {
    let turns: f64 = around
        .iter()
        .map(|edge| {
            // Pieces of a quarter of the arc or line are never as much as half a turn apart.
            let places = [0.0, 0.25, 0.5, 0.75, 1.0].map(|share| edge.at(share) - at);
            places.windows(2).map(|pair| pair[0].perp(&pair[1]).atan2(pair[0].dot(&pair[1]))).sum::<f64>()
        })
        .sum();
    turns.abs() > std::f64::consts::PI
}

/// The loop of an edge's side face: along the far face, up, back along what is highest, down.
/// `neighbours`: whether the stretches before and after this edge are shared with a piece.
fn side_loop(
    body: &mut Boundary,
    edge: &Flat,
    stretches: &[SplitEdge],
    neighbours: [bool; 2],
    heights: Heights,
) -> Vec<Walked> {
    let mut around = vec![at_height(body, edge, heights.whole)];
    let last = stretches.last().is_some_and(|stretch| stretch.is_shared);
    around.extend(upright(body, edge.to, last, neighbours[1], heights));
    let mut above = last;
    for (index, stretch) in stretches.iter().enumerate().rev() {
        if stretch.is_shared != above {
            let (from, to) = if above { (heights.cut, heights.between) } else { (heights.between, heights.cut) };
            around.push(body.line(lifted(stretch.edge.to, from), lifted(stretch.edge.to, to)));
            above = stretch.is_shared;
        }
        let z = if above { heights.cut } else { heights.between };
        let (id, forward) = at_height(body, &stretch.edge, z);
        around.push((id, !forward));
        if index == 0 {
            let down = upright(body, edge.from, above, neighbours[0], heights);
            around.extend(reversed(&down));
        }
    }
    if heights.is_upright() { around } else { reversed(&around) }
}

/// The edges from the far face up at a corner of the outline.
fn upright(body: &mut Boundary, at: Point, here: bool, beside: bool, heights: Heights) -> Vec<Walked> {
    let [whole, between, cut] = [heights.whole, heights.between, heights.cut].map(|z| lifted(at, z));
    match (here, beside) {
        (true, true) => vec![body.line(whole, cut)],
        (true, false) => vec![body.line(whole, between), body.line(between, cut)],
        (false, _) => vec![body.line(whole, between)],
    }
}

/// The loop of a wall of a piece that stands on the whole layer.
fn wall_loop(body: &mut Boundary, edge: &Flat, heights: Heights) -> Vec<Walked> {
    let Heights { between, cut, .. } = heights;
    let low = at_height(body, edge, between);
    let up = body.line(lifted(edge.to, between), lifted(edge.to, cut));
    let (id, forward) = at_height(body, edge, cut);
    let down = body.line(lifted(edge.from, cut), lifted(edge.from, between));
    let around = vec![low, up, (id, !forward), down];
    if heights.is_upright() { around } else { reversed(&around) }
}

/// Material lies left of the edge.
fn side_face(edge: &Flat, z: f64, loops: Vec<Vec<Walked>>) -> Face {
    match edge.circle() {
        None => {
            let along = (edge.to - edge.from).normalize();
            let normal = Vector3::new(along.y, -along.x, 0.0);
            Face { surface: Surface::Plane { at: lifted(edge.from, z), normal }, is_outside: true, loops }
        }
        Some((centre, radius)) => Face {
            surface: Surface::Cylinder { at: lifted(centre, z), axis: Vector3::z(), radius },
            is_outside: edge.bulge > 0.0,
            loops,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts_dxf::tests::{demo, demo_parts};
    use overarm_solver::{Build, Options, PartName, analyse, parts};

    #[test]
    fn bodies_of_the_chapel_hatch_board_are_closed() {
        for part in demo_parts() {
            let body = body_of(&part).unwrap_or_else(|| panic!("{} has a body", part.file_stem()));
            assert!(body.is_closed(), "{}", part.file_stem());
            let cylinders =
                body.faces.iter().filter(|face| matches!(face.surface, Surface::Cylinder { .. }) && !face.is_outside);
            let bored = part.hinges.iter().flat_map(|hinge| &hinge.steps).filter(|step| step.depth() > 0.5001).count()
                + part.screw_holes.len();
            assert!(cylinders.count() >= bored, "{}", part.file_stem());
        }
    }

    #[test]
    fn an_open_body_is_noticed() {
        let mut body = body_of(&demo_parts()[0]).unwrap();
        let face = body.faces.pop().unwrap();
        assert!(!body.is_closed());
        body.faces.push(Face { loops: face.loops.iter().map(|around| reversed(around)).collect(), ..face });
        assert!(!body.is_closed());
    }

    #[test]
    fn a_sandwich_is_made_of_prisms() {
        let mut project = demo();
        project.bars.build = Build::Sandwich;
        let parts = parts(&project, &analyse(&project, &Options { poses: 2, swept: false }).solids);
        for part in &parts {
            let body = body_of(part).unwrap();
            assert!(body.is_closed(), "{}", part.file_stem());
            if part.name == PartName::LowerArm {
                // Two flat, two straight, two round; two bores of a cylinder and two cones.
                assert_eq!(body.faces.len(), 6 + 2 * 3);
            }
        }
    }

    #[test]
    fn nothing_has_no_body() {
        let mut part = demo_parts().swap_remove(0);
        part.outline.truncate(1);
        assert_eq!(body_of(&part), None);
    }
}
