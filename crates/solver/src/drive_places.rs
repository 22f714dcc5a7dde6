//! Where anchor and drum could be: the worst pull of every place on a grid, and a pair of places
//! that needs no push.
//!
//! A coarse search: frictionless, at a few dozen poses, the drum's growth by the trapezoid rule. It
//! leads to a place; the full analysis then says what holds there.

use nalgebra::Vector2;

use crate::drum::Drum;
use crate::lift::Lift;
use crate::pose::{Pose, Rates};
use crate::project::{Drive, Point, Project};
use crate::statics::Loads;
use crate::travel::Travel;

/// Poses of the search.
const POSES: u32 = 40;
/// Rounds of the search for a pair: each looks around the best place with a step two thirds as wide.
const ROUNDS: usize = 16;

/// The worst pull over the travel by places of drum and anchor.
pub struct DrivePlaces<'a> {
    project: &'a Project,
    drive: &'a Drive,
    motion: Vec<Moment>,
}

struct Moment {
    pose: Pose,
    rates: Rates,
    rise: f64,
    /// Phase from the one before.
    step: f64,
}

/// Places for anchor and drum, and the worst pull there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrivePlace {
    /// Panel frame.
    pub anchor: Point,
    /// Side view.
    pub drum: Point,
    /// Worst pull over the whole travel without friction, N.
    pub worst: f64,
}

impl<'a> DrivePlaces<'a> {
    /// Prepares the search; `None` without a drive.
    #[must_use]
    pub fn new(project: &'a Project, lift: &Lift, travel: &Travel, loads: &Loads) -> Option<Self> {
        let drive = project.drive.as_ref()?;
        let step = travel.length / f64::from(POSES);
        let moments = (0..=POSES).map(|index| {
            let pose = lift.pose(travel.phase(f64::from(index) * step), 0.0);
            let rates = lift.rates(pose.phase).walked(travel.direction);
            Moment { pose, rates, rise: loads.rise(lift, &pose, &rates), step: if index == 0 { 0.0 } else { step } }
        });
        Some(Self { project, drive, motion: moments.collect() })
    }

    /// The worst pull over the travel with anchor and drum there, N; `None` where the strap pays
    /// out, meets the drum, or the drum does not clear the wall and the wall below the ceiling.
    #[must_use]
    pub fn worst(&self, anchor: Point, drum: Point) -> Option<f64> {
        let mut place = Drum::new(self.drive);
        place.centre = drum;
        let (mut taken_in, mut last_rate) = (0.0, 0.0);
        let mut worst = f64::NEG_INFINITY;
        for moment in &self.motion {
            let at = moment.pose.room_from_panel * anchor;
            let speed = moment.pose.panel_point_rate(anchor, &moment.rates);
            let run = place.tangent(at, place.pull_radius(taken_in))?;
            let rate = run.along.dot(&speed);
            if rate <= 0.0 {
                return None;
            }
            taken_in += 0.5 * (rate + last_rate) * moment.step;
            last_rate = rate;
            worst = worst.max(moment.rise / rate);
        }
        let clear = self.project.bars.running_clearance();
        let full = place.outer_radius(taken_in);
        (drum.x - full >= clear && self.is_in_room(drum, full + clear)).then_some(worst)
    }

    fn is_in_room(&self, drum: Point, radius: f64) -> bool {
        let room = crate::room::RoomShape::new(&self.project.room);
        let disc = crate::placed::Placed::Stadium { axis: [drum, drum], radius };
        room.is_free(drum) && room.touch_gap(&disc).is_none_or(|gap| gap.mm > 0.0)
    }

    /// The best pair of places near the present ones for the worst pull; `None` where none pulls all
    /// the way. The drum stays in the height range that it has, ±`reach` mm, and the anchor on the
    /// panel's lower part: within `reach` of where it is.
    #[must_use]
    pub fn best(&self, reach: f64) -> Option<DrivePlace> {
        let start = (self.drive.anchor, self.drive.drum_centre);
        let mut best = self.worst(start.0, start.1).map(|worst| DrivePlace { anchor: start.0, drum: start.1, worst });
        let mut step = 0.5 * reach;
        let mut around = start;
        for _ in 0..ROUNDS {
            for (of_anchor, by) in moves(step) {
                let (mut anchor, mut drum) = around;
                let place = if of_anchor { &mut anchor } else { &mut drum };
                *place += by;
                if (anchor - start.0).norm() > reach || (drum - start.1).norm() > reach || !self.on_panel(anchor) {
                    continue;
                }
                let better = self.worst(anchor, drum).filter(|worst| best.is_none_or(|best| *worst < best.worst));
                if let Some(worst) = better {
                    best = Some(DrivePlace { anchor, drum, worst });
                }
            }
            match best {
                Some(found) if (found.anchor, found.drum) != around => around = (found.anchor, found.drum),
                _ => step /= 1.5,
            }
        }
        best
    }

    /// On the panel or its bar, or up to a bracket's 40 mm behind its back (common practice).
    fn on_panel(&self, anchor: Point) -> bool {
        let panel = &self.project.panel;
        (-40.0..=panel.thickness).contains(&anchor.x) && (0.0..=panel.height).contains(&anchor.y)
    }
}

fn moves(step: f64) -> impl Iterator<Item = (bool, Vector2<f64>)> {
    let ways = [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0), (0.7, 0.7), (0.7, -0.7), (-0.7, 0.7), (-0.7, -0.7)];
    ways.into_iter().flat_map(move |(x, y)| [true, false].map(|of_anchor| (of_anchor, step * Vector2::new(x, y))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Options, analyse};

    #[test]
    fn a_touchy_start_finds_a_place_that_needs_no_push() {
        let project = crate::samples::board();
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let loads = &analysis.forces.as_ref().expect("known materials").loads;
        let places = DrivePlaces::new(&project, &analysis.lift, &analysis.travel, loads).expect("a drive");
        let drive = project.drive.as_ref().expect("a drive");
        let now = places.worst(drive.anchor, drive.drum_centre);
        let best = places.best(40.0).expect("a place");
        assert!(best.worst < 320.0 && now.is_none_or(|now| now > 2.0 * best.worst), "{best:?} against {now:?}");
        // What it promises is what the full analysis finds, without friction and near enough.
        let mut moved = project.clone();
        let drive = moved.drive.as_mut().expect("a drive");
        (drive.anchor, drive.drum_centre) = (best.anchor, best.drum);
        let start = analyse(&moved, &Options::default()).forces.expect("known").start.expect("a strap");
        let worst = start.worst.expect("it pulls").0;
        assert!((worst - best.worst).abs() < 0.02 * worst, "{worst} against {}", best.worst);
    }
}
