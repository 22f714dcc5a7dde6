//! The drum and the strap wound on it: how thick it is, where the straight run leaves it, how far
//! it has turned.

use std::f64::consts::PI;

use nalgebra::Vector2;

use crate::project::{Drive, Point, StrapSide};

/// The drum with its strap, side view, mm.
///
/// Every layer of strap adds its own area: π(r² − r0²) = thickness · wound length, with r0 the bare
/// drum. The strap pulls at the middle of its outermost layer, at least half a thickness off the
/// bare drum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drum {
    /// Its middle.
    pub centre: Point,
    /// The bare drum's radius.
    pub bare_radius: f64,
    /// The strap's thickness, 0 or more.
    pub thickness: f64,
    /// Outer radius at hung.
    hung_radius: f64,
    /// +1 where the run leaves towards the room, −1 towards the wall.
    side: f64,
}

/// The straight run as seen from one place of the anchor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Tangent {
    /// Unit vector along the run, from the anchor to the drum.
    pub along: Vector2<f64>,
    /// Where the run meets the drum.
    pub at: Point,
    /// Length of the run.
    pub free: f64,
}

impl Drum {
    /// The drum of a drive, wound with its dead wraps at hung.
    #[must_use]
    pub fn new(drive: &Drive) -> Self {
        let side = match drive.strap_side {
            StrapSide::Room => 1.0,
            StrapSide::Wall => -1.0,
        };
        Self {
            centre: drive.drum_centre,
            bare_radius: drive.drum_radius,
            thickness: drive.strap_thickness,
            hung_radius: drive.drum_radius + drive.dead_wraps() * drive.strap_thickness,
            side,
        }
    }

    /// Outer radius once so much strap was taken in since hung; never below the bare drum.
    #[must_use]
    pub fn outer_radius(&self, taken_in: f64) -> f64 {
        let squared = self.hung_radius * self.hung_radius + taken_in * self.thickness / PI;
        squared.max(self.bare_radius * self.bare_radius).sqrt()
    }

    /// The radius that the run is tangent to and pulls at.
    #[must_use]
    pub fn pull_radius(&self, taken_in: f64) -> f64 {
        let half = 0.5 * self.thickness;
        (self.outer_radius(taken_in) - half).max(self.bare_radius + half)
    }

    /// The pull radius grows at most so much per mm taken in.
    pub(crate) fn most_growth(&self) -> f64 {
        // Where it grows at all, the outer radius is a whole thickness off the bare drum.
        if self.thickness > 0.0 { self.thickness / (2.0 * PI * (self.bare_radius + self.thickness)) } else { 0.0 }
    }

    /// What is taken in when the pull radius starts growing: up to one layer on the drum it stays.
    fn grows_from(&self) -> f64 {
        if self.thickness > 0.0 {
            let one_layer = self.bare_radius + self.thickness;
            PI * (one_layer * one_layer - self.hung_radius * self.hung_radius) / self.thickness
        } else {
            f64::INFINITY
        }
    }

    /// Whether the pull radius stays on one side of a place between these, and grows on the other.
    pub(crate) fn starts_growing_between(&self, taken_in: f64, other: f64) -> bool {
        let from = self.grows_from();
        (taken_in < from) != (other < from)
    }

    /// Turns of the drum since hung, from ∫ d(taken in) / (2π · pull radius): closed form. `None`
    /// for a drum without radius whose strap has no thickness.
    #[must_use]
    pub fn turns(&self, taken_in: f64) -> Option<f64> {
        let least = self.bare_radius + 0.5 * self.thickness;
        if least <= 0.0 {
            return None;
        }
        let grows_from = self.grows_from();
        // What was taken in at the two ends on either side of that.
        let on_first_layer = taken_in.min(grows_from) - grows_from.min(0.0);
        let (from, to) = (grows_from.max(0.0), taken_in.max(grows_from));
        let beyond = if to.is_finite() {
            let (before, after) = (self.outer_radius(from), self.outer_radius(to));
            // r dr / (t (r − t/2)), integrated; (after − before) / t without its cancellation.
            let layers = (to - from) / (PI * (before + after));
            layers + 0.5 * (self.thickness * layers / (before - 0.5 * self.thickness)).ln_1p()
        } else {
            0.0
        };
        Some(on_first_layer / (2.0 * PI * least) + beyond)
    }

    /// The run from an anchor to the drum at a pull radius; `None` where the anchor is not outside.
    pub(crate) fn tangent(&self, anchor: Point, pull_radius: f64) -> Option<Tangent> {
        let towards = self.centre - anchor;
        let distance = towards.norm();
        let free = ((distance - pull_radius) * (distance + pull_radius)).sqrt();
        if distance <= pull_radius || free <= 0.0 {
            return None;
        }
        // free · û − side · radius · (û turned by −90°) = towards, solved for û.
        let radius = self.side * pull_radius;
        let along = (free * towards + radius * Vector2::new(towards.y, -towards.x)) / (distance * distance);
        let at = self.centre + radius * Vector2::new(along.y, -along.x);
        Some(Tangent { along, at, free })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drum(thickness: f64, dead_wraps: f64) -> Drum {
        let drive: Drive = serde_json::from_value(serde_json::json!({
            "anchor": [0, 0], "drum_centre": [30, 2222], "drum_radius": 20, "strap_thickness": thickness,
            "strap_side": "room", "dead_wraps": dead_wraps
        }))
        .expect("a drive");
        Drum::new(&drive)
    }

    #[test]
    fn area_rule_of_what_is_wound() {
        let drum = drum(1.5, 2.0);
        // By hand: 23 mm at hung; 1000 mm of 1.5 mm strap are 1500 mm² more.
        assert!((drum.outer_radius(0.0) - 23.0).abs() < 1e-12);
        let outer = drum.outer_radius(1000.0);
        assert!((PI * (outer * outer - 23.0 * 23.0) - 1500.0).abs() < 1e-9);
        assert!((drum.pull_radius(1000.0) - (outer - 0.75)).abs() < 1e-12);
        // All paid out: the bare drum, and never nearer than half a thickness.
        assert!((drum.outer_radius(-1e6) - 20.0).abs() < 1e-12);
        assert!((drum.pull_radius(-1e6) - 20.75).abs() < 1e-12);
    }

    #[test]
    fn turns_are_the_integral_over_the_pull_radius() {
        for (thickness, wraps) in [(1.5, 2.0), (1.5, 0.0), (1.5, 0.4), (0.0, 2.0), (1e-9, 2.0)] {
            let drum = drum(thickness, wraps);
            for to in [-900.0_f64, -150.0, 90.0, 1400.0] {
                let steps = 400_000;
                let step = to / f64::from(steps);
                let middle = |index: i32| (f64::from(index) + 0.5) * step;
                let sum: f64 = (0..steps).map(|index| step / (2.0 * PI * drum.pull_radius(middle(index)))).sum();
                let turns = drum.turns(to).expect("a radius");
                assert!((turns - sum).abs() < 1e-9, "{thickness} {wraps} {to}: {turns} against {sum}");
            }
        }
        let mut point = drum(0.0, 0.0);
        (point.bare_radius, point.hung_radius) = (0.0, 0.0);
        assert_eq!(point.turns(100.0), None);
    }

    #[test]
    fn the_run_is_square_to_its_radius_on_the_side_asked() {
        let drum = drum(1.5, 2.0);
        let anchor = Point::new(62.0, 1185.0);
        let run = drum.tangent(anchor, 22.25).expect("outside");
        assert!((run.along.norm() - 1.0).abs() < 1e-14);
        assert!((anchor + run.along * run.free - run.at).norm() < 1e-10);
        assert!(((run.at - drum.centre).norm() - 22.25).abs() < 1e-12);
        assert!((run.at - drum.centre).dot(&run.along).abs() < 1e-11);
        assert!(run.at.x > drum.centre.x);
        let wall = Drum { side: -1.0, ..drum }.tangent(anchor, 22.25).expect("outside");
        assert!(wall.at.x < drum.centre.x && (wall.free - run.free).abs() < 1e-12);
        assert_eq!(drum.tangent(Point::new(30.0, 2200.0), 22.25), None);
    }
}
