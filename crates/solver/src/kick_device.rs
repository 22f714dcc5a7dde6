//! A device that pushes the panel off the wall: a spring plunger that stays, or a roller on a cam
//! that withdraws; each sized from the least push and stroke that keep the strap within its limit.
//!
//! A spring that stays presses on the hung panel too, so it may take no more than half of what seats
//! it. A cam presses only while it turns. N, mm, N·mm.

use std::f64::consts::PI;

use crate::forces::Rest;
use crate::project::{Point, Units};
use crate::start::{Push, Start};
use crate::units::{number, show_length};

/// What is put on top of the push that is needed (common practice, no source).
pub const SPARE: f64 = 1.25;
/// Force that a plunger still has at the end of its stroke, of what it has compressed (common
/// practice, no source: it is preloaded by as much again as its stroke).
const LEFT_AT_END: f64 = 0.5;
/// Share of what seats the panel that a spring may take.
pub const MOST_OF_SEATING: f64 = 0.5;
/// Turn of a cam for its whole lift, radians (common practice, no source: a quarter turn).
const CAM_TURN: f64 = 0.5 * PI;
/// Steepest pressure angle of a cam with a roller that slides, radians: 30° (any handbook of cams).
const STEEPEST: f64 = PI / 6.0;

/// What a kick must do, and the devices that would do it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KickDevice {
    /// The least push and stroke.
    pub push: Push,
    /// The least force that seats the panel on the wall, N; `None` where nothing seats it.
    pub seating: Option<f64>,
    /// A spring that stays.
    pub spring: SpringPlunger,
    /// A roller on a cam.
    pub cam: RollerCam,
    /// Which to take.
    pub choice: KickChoice,
}

/// Which device is to be taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KickChoice {
    /// The strap starts the lift by itself.
    None,
    /// A spring is weak enough not to hold the panel off the wall.
    Spring,
    /// It has to withdraw.
    Cam,
}

/// A spring plunger.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpringPlunger {
    /// Hung: compressed, N.
    pub compressed: f64,
    /// At the end of its stroke, N.
    pub extended: f64,
    /// mm.
    pub stroke: f64,
    /// N/mm.
    pub rate: f64,
    /// The most it may press on the hung panel, N.
    pub allowed: f64,
}

/// A roller on a cam that turns by a quarter, its lift a half sine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RollerCam {
    /// N on the roller.
    pub force: f64,
    /// mm.
    pub lift: f64,
    /// Turn for the whole lift, radians.
    pub turn: f64,
    /// At its steepest, N·mm, without friction.
    pub torque: f64,
    /// Smallest radius of its base on which it is not too steep, mm.
    pub base_radius: f64,
}

impl KickDevice {
    /// The device of a start; `None` where no push is known: no limit of the strap, or none that helps.
    #[must_use]
    pub fn new(start: &Start, rests: &[Rest; 2]) -> Option<Self> {
        let push = start.push?;
        let seating = rests.iter().map(|rest| rest.force).reduce(|one, other| Some(one?.min(other?))).flatten();
        let extended = SPARE * push.force;
        let compressed = extended / LEFT_AT_END;
        let rate = if push.stroke > 0.0 { (compressed - extended) / push.stroke } else { 0.0 };
        let allowed = MOST_OF_SEATING * seating.unwrap_or(0.0).max(0.0);
        let steepest = 0.5 * PI * push.stroke / CAM_TURN;
        let cam = RollerCam {
            force: extended,
            lift: push.stroke,
            turn: CAM_TURN,
            torque: extended * steepest,
            // Half way up it is steepest: tan α = (dy/dθ) / (base + half the lift).
            base_radius: (steepest / STEEPEST.tan() - 0.5 * push.stroke).max(0.0),
        };
        let choice = if push.force <= 0.0 {
            KickChoice::None
        } else if compressed <= allowed {
            KickChoice::Spring
        } else {
            KickChoice::Cam
        };
        let spring = SpringPlunger { compressed, extended, stroke: push.stroke, rate, allowed };
        Some(Self { push, seating, spring, cam, choice })
    }

    /// What to take and why, in plain words.
    #[must_use]
    pub fn sentence(&self, units: Units) -> String {
        let stroke = show_length(self.push.stroke, units);
        match self.choice {
            KickChoice::None => "The strap starts the panel by itself: no kick is needed.".into(),
            KickChoice::Spring => format!(
                "A spring plunger of {} N compressed and {} N after {stroke} ({} N/mm) does; hung it takes up no more than half of the {} N that seat the panel.",
                number(self.spring.compressed, 1),
                number(self.spring.extended, 1),
                number(self.spring.rate, 3),
                number(self.seating.unwrap_or(0.0), 1)
            ),
            KickChoice::Cam => {
                let why = match self.seating {
                    Some(seating) => format!(
                        "A spring plunger would need {} N compressed and may have {} N, half of what seats the panel ({} N): it would hold the panel off the wall.",
                        number(self.spring.compressed, 1),
                        number(self.spring.allowed, 1),
                        number(seating, 1)
                    ),
                    None => "Nothing seats the panel on the wall, so no spring may stay on it.".into(),
                };
                format!(
                    "{why} Take a roller on a cam that withdraws: {} N over {stroke} in a quarter turn, {} N·m at its steepest, a base radius of {} or more.",
                    number(self.cam.force, 1),
                    number(1e-3 * self.cam.torque, 2),
                    show_length(self.cam.base_radius, units)
                )
            }
        }
    }

    /// Where it pushes, panel frame.
    #[must_use]
    pub fn at(&self) -> Point {
        self.push.at
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Options, Project, analyse};

    fn device(change: impl Fn(&mut Project)) -> KickDevice {
        let mut project = crate::samples::board();
        project.drive.as_mut().expect("a drive").strap_limit = Some(300.0);
        change(&mut project);
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        analysis.forces.expect("known materials").kick.expect("a push")
    }

    #[test]
    fn the_touchy_start_takes_a_spring_or_a_cam_by_what_seats_it() {
        let found = device(|_| ());
        assert!(found.push.force > 0.0 && found.push.stroke > 5.0, "{found:?}");
        let spring = found.spring;
        assert!((spring.extended - 1.25 * found.push.force).abs() < 1e-12);
        // A spring: its force falls by its rate along its stroke.
        assert!((spring.compressed - spring.rate * spring.stroke - spring.extended).abs() < 1e-9);
        let seating = found.seating.expect("it rests on the wall");
        assert!((spring.allowed - 0.5 * seating).abs() < 1e-12);
        assert_eq!(found.choice == KickChoice::Spring, spring.compressed <= spring.allowed, "{found:?}");
        let text = found.sentence(Units::Millimetre);
        assert!(text.contains("half of"), "{text}");
        // Hardly seated, it has to withdraw.
        let rests = [Rest { height: 0.0, force: Some(3.0) }, Rest { height: 600.0, force: Some(0.1) }];
        let analysis = {
            let mut project = crate::samples::board();
            project.drive.as_mut().expect("a drive").strap_limit = Some(300.0);
            analyse(&project, &Options { poses: 2, swept: false })
        };
        let start = analysis.forces.expect("known").start.expect("a strap");
        let loose = KickDevice::new(&start, &rests).expect("a push");
        assert_eq!((loose.seating, loose.choice), (Some(0.1), KickChoice::Cam));
        assert!(loose.sentence(Units::Millimetre).contains("cam"));
        let unseated = [rests[0], Rest { height: 600.0, force: None }];
        assert_eq!(KickDevice::new(&start, &unseated).expect("a push").choice, KickChoice::Cam);
    }

    /// Work in is work out: the cam's torque over its turn lifts the roller.
    #[test]
    fn a_cam_does_the_work_of_its_roller() {
        let cam = device(|_| ()).cam;
        let steps = 1000;
        let slope = |turn: f64| 0.5 * cam.lift * (PI * turn / cam.turn).sin() * PI / cam.turn;
        let work: f64 = (0..steps)
            .map(|step| {
                cam.force * slope((f64::from(step) + 0.5) / f64::from(steps) * cam.turn) * cam.turn / f64::from(steps)
            })
            .sum();
        assert!((work - cam.force * cam.lift).abs() < 1e-5 * work);
        assert!((cam.torque - cam.force * slope(0.5 * cam.turn)).abs() < 1e-9 * cam.torque);
        let steep = (slope(0.5 * cam.turn) / (cam.base_radius + 0.5 * cam.lift)).atan();
        assert!(steep <= STEEPEST + 1e-12);
    }

    #[test]
    fn a_good_place_needs_none() {
        let found = device(|project| {
            let drive = project.drive.as_mut().expect("a drive");
            (drive.anchor, drive.drum_centre) = (Point::new(-30.0, 5.0), Point::new(36.0, 2214.0));
        });
        assert_eq!(found.choice, KickChoice::None, "{found:?}");
        assert!(found.sentence(Units::Millimetre).contains("no kick"));
    }
}
