//! Starting: what the strap must pull at hung and from there on, how touchy that is, and the push
//! off the wall that would help.

use nalgebra::Vector2;

use crate::drum::Drum;
use crate::free_body::{Actions, Wrench};
use crate::lift::Lift;
use crate::peak::greatest;
use crate::pose::Pose;
use crate::project::{Kick, Point, Project};
use crate::statics::{ForcesAt, Loads};
use crate::strap::{Strap, StrapAt};
use crate::travel::Travel;

/// How far each coordinate of anchor and drum is moved to see how touchy the start is, mm: what a
/// tape and a drill are off (common practice, no source).
pub const MOVED_MM: f64 = 2.0;

/// How the strap starts the lift.
#[derive(Clone, Debug, PartialEq)]
pub struct Start {
    /// At hung.
    pub at_hung: ForcesAt,
    /// Walked phase from which on the strap pulls alone: hung, or the end of the kick's stroke.
    pub from: f64,
    /// Angle between the strap and the anchor's motion at hung, radians.
    pub angle: f64,
    /// The worst tension from hung, or from the end of the kick's stroke, N, and where on the
    /// travel; `None` where the strap does not pull at all.
    pub worst: Option<(f64, f64)>,
    /// Where the tension first falls to its limit, s; 0 where it never is above, `None` without a
    /// limit or where it stays above.
    pub falls_to_limit: Option<f64>,
    /// Tension at hung with one coordinate of anchor or drum moved; `None` where the strap would not
    /// pull then.
    pub moved: Vec<Moved>,
    /// The least push that keeps the tension within its limit; `None` without a limit, or where no
    /// push at the kick's place does.
    pub push: Option<Push>,
}

/// The start with one coordinate moved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moved {
    /// What is moved.
    pub what: MovedPlace,
    /// By how much, mm: along +x or +y.
    pub by: Vector2<f64>,
    /// Tension at hung then, N.
    pub tension: Option<f64>,
}

/// What is moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MovedPlace {
    /// The strap's end on the panel.
    Anchor,
    /// The drum.
    Drum,
}

/// A push off the wall, perpendicular to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Push {
    /// Where it acts, panel frame.
    pub at: Point,
    /// The least force, N; 0 where none is needed.
    pub force: f64,
    /// How far it must follow, mm.
    pub stroke: f64,
}

impl Start {
    /// How a strap starts a lift; `None` where there is no straight run at hung.
    #[must_use]
    pub fn new(project: &Project, lift: &Lift, travel: &Travel, strap: &Strap, loads: &Loads) -> Option<Self> {
        let drive = project.drive.as_ref()?;
        let pose_at = |walked: f64| lift.pose(travel.phase(walked), travel.s_at(lift, walked));
        let forces = |walked: f64| {
            let pose = pose_at(walked);
            Some(loads.at(lift, travel, &strap.at(&pose)?, drive.anchor, &pose))
        };
        let hung = pose_at(0.0);
        let run = strap.at(&hung)?;
        let at_hung = loads.at(lift, travel, &run, drive.anchor, &hung);
        let kick = drive.kick.as_ref();
        let from = kick.and_then(|kick| end_of_stroke(lift, travel, kick)).unwrap_or(0.0);
        let stretch = travel.stretch(lift);
        let tension = |walked: f64| forces(walked).and_then(|found| found.tension.filter(|_| found.strap_rate > 0.0));
        let worst = greatest(&stretch, from, tension).map(|(walked, value)| (value, travel.s_at(lift, walked)));
        let ends = drive.strap_limit.and_then(|limit| falls_to(lift, travel, limit, tension));
        let push = drive.strap_limit.zip(ends).and_then(|(limit, ends)| {
            let at = kick.map_or_else(|| Point::new(0.0, 0.5 * project.panel.height), |kick| kick.at);
            let place = |walked: f64| (pose_at(walked).room_from_panel * at).x;
            let needed = |walked: f64| {
                let pose = pose_at(walked);
                push_needed(lift, travel, loads, &strap.at(&pose)?, limit, at, &pose)
            };
            let to_limit = crate::certify::Stretch::new(lift, travel.start, travel.direction, ends);
            let force = if ends > 0.0 { greatest(&to_limit, 0.0, needed)?.1.max(0.0) } else { 0.0 };
            let stroke = (place(ends) - place(0.0)).max(0.0);
            Some(Push { at, force, stroke })
        });
        Some(Self {
            angle: angle_to_motion(&run, drive.anchor, &hung, lift, travel),
            at_hung,
            from,
            worst,
            falls_to_limit: ends.map(|walked| travel.s_at(lift, walked)),
            moved: moved(lift, travel, loads, &strap.drum, drive.anchor, &hung),
            push,
        })
    }
}

fn angle_to_motion(run: &StrapAt, anchor: Point, pose: &Pose, lift: &Lift, travel: &Travel) -> f64 {
    let speed = pose.panel_point_rate(anchor, &lift.rates(pose.phase).walked(travel.direction));
    run.along.perp(&speed).abs().atan2(run.along.dot(&speed))
}

/// Walked phase at which the kick's place has moved by its stroke; `None` without a stroke, or where
/// it never does.
fn end_of_stroke(lift: &Lift, travel: &Travel, kick: &Kick) -> Option<f64> {
    let stroke = kick.stroke.filter(|stroke| *stroke > 0.0)?;
    let x = |walked: f64| (lift.pose(travel.phase(walked), 0.0).room_from_panel * kick.at).x;
    let wanted = x(0.0) + stroke;
    first_crossing(travel, |walked| x(walked) - wanted)
}

/// Walked phase at which the tension first is within its limit.
fn falls_to(lift: &Lift, travel: &Travel, limit: f64, tension: impl Fn(f64) -> Option<f64>) -> Option<f64> {
    debug_assert!(lift.lengths.longest() > 0.0);
    let spare = |walked: f64| tension(walked).map_or(-1.0, |tension| limit - tension);
    if spare(0.0) >= 0.0 { Some(0.0) } else { first_crossing(travel, spare) }
}

/// The first walked phase at which a figure that starts below zero is there, by bisection between
/// samples a 720th of the travel apart.
fn first_crossing(travel: &Travel, figure: impl Fn(f64) -> f64) -> Option<f64> {
    const SAMPLES: u32 = 720;
    let at = |step: u32| travel.length * f64::from(step) / f64::from(SAMPLES);
    let step = (1..=SAMPLES).find(|step| figure(at(*step)) >= 0.0)?;
    let (mut from, mut to) = (at(step - 1), at(step));
    for _ in 0..60 {
        let middle = 0.5 * (from + to);
        if figure(middle) >= 0.0 { to = middle } else { from = middle }
    }
    Some(to)
}

/// The push along +x that balances the lift with the strap at its limit, N; the strap slack where
/// it would hold the lift back.
fn push_needed(
    lift: &Lift,
    travel: &Travel,
    loads: &Loads,
    run: &StrapAt,
    limit: f64,
    at: Point,
    pose: &Pose,
) -> Option<f64> {
    let rates = lift.rates(pose.phase).walked(travel.direction);
    let place = pose.room_from_panel * at;
    if pose.panel_point_rate(at, &rates).x <= 0.0 {
        return None;
    }
    let anchor_in_panel = pose.room_from_panel.inverse_transform_point(&run.anchor);
    let helps = run.along.dot(&pose.panel_point_rate(anchor_in_panel, &rates)) > 0.0;
    let pull = if helps { limit } else { 0.0 };
    let on_panel = |force: Vector2<f64>, place: Point| Actions {
        panel: Wrench::at(force, place, pose.panel_lower),
        ..Actions::default()
    };
    let strap = on_panel(pull * run.along, run.anchor);
    loads.balance(lift, pose, &rates, &strap, &on_panel(Vector2::x(), place)).map(|balance| balance.drive)
}

fn moved(lift: &Lift, travel: &Travel, loads: &Loads, drum: &Drum, anchor: Point, hung: &Pose) -> Vec<Moved> {
    let ways = [Vector2::x(), -Vector2::x(), Vector2::y(), -Vector2::y()].map(|way| MOVED_MM * way);
    let tension = |drum: &Drum, anchor: Point| {
        let run = Strap::at_hung(drum, hung.room_from_panel * anchor)?;
        let found = loads.at(lift, travel, &run, anchor, hung);
        found.tension.filter(|_| found.strap_rate > 0.0)
    };
    let anchors = ways.map(|by| Moved { what: MovedPlace::Anchor, by, tension: tension(drum, anchor + by) });
    let drums = ways.map(|by| {
        let mut elsewhere = *drum;
        elsewhere.centre += by;
        Moved { what: MovedPlace::Drum, by, tension: tension(&elsewhere, anchor) }
    });
    anchors.into_iter().chain(drums).collect()
}
