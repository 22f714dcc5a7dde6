//! The strap along the travel: how much of it is taken in, how thick the drum is wound, where its
//! straight run goes.
//!
//! Strap taken in is ∫ û · v along the motion curve, û the direction of the run and v the anchor's
//! rate. û depends on the radius and so on what is taken in already: a differential equation, and a
//! mild one. It is solved by collocation: on a slice of the curve û · v is a polynomial through its
//! values at Chebyshev's nodes, its integral gives what is taken in there, and that gives û · v
//! anew, until nothing changes. A slice whose polynomial has not died away is halved.

use std::f64::consts::PI;

use nalgebra::Vector2;

use crate::drum::Drum;
use crate::lift::{ArmName, Lift};
use crate::pose::Placement;
use crate::project::{Point, Project};
use crate::tolerance::{STRAP_SHARE, STRAP_STANDS};
use crate::travel::Travel;
use crate::turns;

/// Nodes of a slice: 12 settle about a radian of a usual lift at once.
const NODES: usize = 12;
/// Slices that a travel starts with.
const FIRST_SLICES: f64 = 6.0;
/// A slice narrower than this, radians, that may still meet the drum is where the strap ends.
const NARROWEST: f64 = 1e-9;
/// Half a slice of this width, radians, about a kink of û · v is off by under 1e-9 mm.
const AT_KINK: f64 = 1e-6;
/// A slice that was halved this often is as settled as its figures allow: rounding is left.
const MOST_HALVINGS: i32 = 24;

/// The strap of a lift over its whole travel.
#[derive(Clone, Debug)]
pub struct Strap {
    /// Drum and what is wound on it.
    pub drum: Drum,
    /// The strap's end, panel frame.
    anchor: Point,
    /// As in [`Travel`].
    start: f64,
    direction: f64,
    slices: Vec<Slice>,
    /// Walked phase up to which there is a straight run.
    reach: f64,
    whole: bool,
    pays_out: Vec<[f64; 2]>,
    /// Walked phase at which most is taken in, and how much that is.
    fullest: (f64, f64),
}

/// The strap at one pose.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StrapAt {
    /// The straight run's end on the panel, side view.
    pub anchor: Point,
    /// Where the run meets what is wound on the drum, side view.
    pub tangent: Point,
    /// Unit vector along the run, from the panel to the drum.
    pub along: Vector2<f64>,
    /// Length of the straight run, mm.
    pub free: f64,
    /// Strap taken in since hung, mm; negative where it was paid out.
    pub taken_in: f64,
    /// Outer radius of what is wound, mm.
    pub outer_radius: f64,
    /// Radius that the run is tangent to and pulls at, mm.
    pub pull_radius: f64,
    /// Turns of the drum since hung; `None` where it has no radius.
    pub turns: Option<f64>,
}

/// A slice of the motion curve with its polynomials, Chebyshev coefficients.
#[derive(Clone, Debug)]
struct Slice {
    /// Walked phase in its middle, and half its width.
    middle: f64,
    half: f64,
    /// Of û · v, mm per radian of walked phase.
    rate: [f64; NODES],
    /// Of the strap taken in since hung, mm.
    taken_in: [f64; NODES + 1],
}

/// Chebyshev's nodes on −1…1, and the cosines that turn values there into coefficients.
struct Nodes {
    at: [f64; NODES],
    cosines: [[f64; NODES]; NODES],
}

impl Strap {
    /// The strap of a project along its travel; `None` without a drive.
    #[must_use]
    pub fn along(project: &Project, lift: &Lift, travel: &Travel) -> Option<Self> {
        Self::with_slices(project, lift, travel, travel.length / FIRST_SLICES)
    }

    /// With slices that are nowhere wider.
    fn with_slices(project: &Project, lift: &Lift, travel: &Travel, widest: f64) -> Option<Self> {
        let drive = project.drive.as_ref()?;
        let mut strap = Self {
            drum: Drum::new(drive),
            anchor: drive.anchor,
            start: travel.start,
            direction: travel.direction,
            slices: Vec::with_capacity(32),
            reach: 0.0,
            whole: false,
            pays_out: Vec::new(),
            fullest: (0.0, 0.0),
        };
        let fastest = strap.wind(lift, travel, widest);
        strap.pays_out = strap.find_paying_out(STRAP_STANDS * fastest);
        let tops = strap.pays_out.iter().map(|interval| interval[0]).chain([strap.reach]);
        let taken_in = tops.map(|walked| (walked, strap.taken_in(walked)));
        strap.fullest = taken_in.fold((0.0, 0.0), |most, next| if next.1 > most.1 { next } else { most });
        Some(strap)
    }

    /// Solves slice after slice, as far as there is a run; returns the anchor's greatest rate.
    fn wind(&mut self, lift: &Lift, travel: &Travel, widest: f64) -> f64 {
        let nodes = Nodes::new();
        let (tolerance, narrowest) = (STRAP_SHARE * lift.lengths.longest(), widest * 0.5_f64.powi(MOST_HALVINGS));
        let mut fastest = 0.0_f64;
        let mut before = lift.placement(travel.phase(0.0));
        self.whole = self.run(&before, 0.0).is_some();
        let mut taken_in = 0.0;
        let mut width = widest;
        for pair in travel.stretch(lift).cuts.windows(2) {
            while self.whole && self.reach < pair[1] {
                // The last slice of a piece ends exactly with it, and is never a sliver.
                let left = pair[1] - self.reach;
                let to = if left <= 1.001 * width { pair[1] } else { self.reach + width.min(0.5 * left) };
                let after = lift.placement(travel.phase(to));
                let half = 0.5 * (to - self.reach);
                if !self.stays_outside(lift, &before, &after, taken_in) {
                    width = half;
                    self.whole = width > NARROWEST;
                    continue;
                }
                let (slice, left_over, speed) = self.slice(lift, travel, &nodes, self.reach + half, half, taken_in);
                // The radius' growth sets in with a kink, which no polynomial follows.
                let kinked = self.drum.starts_growing_between(taken_in, slice.taken_in_at(1.0)) && half > AT_KINK;
                if kinked || (left_over > tolerance && half > narrowest) {
                    width = half;
                    continue;
                }
                taken_in = slice.taken_in_at(1.0);
                fastest = fastest.max(speed);
                (self.reach, before) = (to, after);
                if left_over < 1e-3 * tolerance {
                    width = (2.0 * width).min(widest);
                }
                self.slices.push(slice);
            }
        }
        fastest
    }

    /// Whether the anchor is certain to stay outside of what is wound between two poses of one
    /// monotone piece.
    fn stays_outside(&self, lift: &Lift, from: &Placement, to: &Placement, taken_in: f64) -> bool {
        let most = self.most_motion_of_anchor(lift, from, to);
        0.5 * (self.distance_to_drum(from) + self.distance_to_drum(to) - most) > self.drum.pull_radius(taken_in + most)
    }

    /// One slice that starts with so much taken in; with what its polynomial has left over, mm, and
    /// the anchor's greatest rate at a node.
    fn slice(
        &self,
        lift: &Lift,
        travel: &Travel,
        nodes: &Nodes,
        middle: f64,
        half: f64,
        taken_in: f64,
    ) -> (Slice, f64, f64) {
        /// Rounds are rarely more than 5: one changes the rest by the radius' growth over the run.
        const MOST_ROUNDS: usize = 30;
        let motion = nodes.at.map(|at| {
            let phase = travel.phase(middle + half * at);
            let (pose, rates) = (lift.placement(phase), lift.rates(phase));
            let rate = travel.direction * pose.panel_point_rate(self.anchor, &rates);
            (pose.room_from_panel * self.anchor, rate)
        });
        let settled = 1e-3 * STRAP_SHARE * lift.lengths.longest();
        let mut at_nodes = [taken_in; NODES];
        let mut slice = Slice { middle, half, rate: [0.0; NODES], taken_in: [0.0; NODES + 1] };
        for _ in 0..MOST_ROUNDS {
            let mut values = [0.0; NODES];
            for ((value, (anchor, rate)), taken_in) in values.iter_mut().zip(&motion).zip(&at_nodes) {
                let run = self.drum.tangent(*anchor, self.drum.pull_radius(*taken_in));
                *value = run.map_or(0.0, |run| run.along.dot(rate));
            }
            slice.rate = nodes.coefficients(&values);
            slice.taken_in = integral(&slice.rate, half, taken_in);
            let mut change = 0.0_f64;
            for (old, at) in at_nodes.iter_mut().zip(&nodes.at) {
                let new = slice.taken_in_at(*at);
                change = change.max((new - *old).abs());
                *old = new;
            }
            if self.drum.most_growth() * change <= settled {
                break;
            }
        }
        let left_over = half * (slice.rate[NODES - 1].abs() + slice.rate[NODES - 2].abs());
        let speed = motion.iter().map(|(_, rate)| rate.norm()).fold(0.0, f64::max);
        (slice, left_over, speed)
    }

    /// Stretches on which û · v is below −`least`, by walked phase; their ends are zeros of û · v.
    fn find_paying_out(&self, least: f64) -> Vec<[f64; 2]> {
        let mut found: Vec<[f64; 2]> = Vec::new();
        let mut last = (0.0, false);
        for slice in &self.slices {
            slice.signs(least, &mut |at, negative| {
                let walked = slice.middle + slice.half * at;
                if negative != last.1 {
                    let turn = if last.0 > 0.0 || last.1 { self.turning(last.0, walked, last.1) } else { 0.0 };
                    match found.last_mut().filter(|_| last.1) {
                        Some(open) => open[1] = turn,
                        None => found.push([turn, self.reach]),
                    }
                }
                last = (walked, negative);
            });
        }
        found
    }

    /// The zero of û · v between two places, by halving to rounding.
    fn turning(&self, mut from: f64, mut to: f64, negative_at_from: bool) -> f64 {
        for _ in 0..60 {
            let middle = 0.5 * (from + to);
            if (self.rate(middle) < 0.0) == negative_at_from { from = middle } else { to = middle }
        }
        to
    }

    fn slice_at(&self, walked: f64) -> Option<(&Slice, f64)> {
        let after = self.slices.partition_point(|slice| slice.middle + slice.half < walked);
        let slice = self.slices.get(after.min(self.slices.len().checked_sub(1)?))?;
        Some((slice, ((walked - slice.middle) / slice.half).clamp(-1.0, 1.0)))
    }

    /// û · v, mm per radian of walked phase.
    fn rate(&self, walked: f64) -> f64 {
        self.slice_at(walked).map_or(0.0, |(slice, at)| series(&slice.rate, at))
    }

    /// Strap taken in since hung, mm.
    fn taken_in(&self, walked: f64) -> f64 {
        self.slice_at(walked).map_or(0.0, |(slice, at)| slice.taken_in_at(at))
    }

    fn walked(&self, pose: &Placement) -> f64 {
        self.direction * (pose.phase - self.start)
    }

    fn run(&self, pose: &Placement, taken_in: f64) -> Option<StrapAt> {
        let anchor = pose.room_from_panel * self.anchor;
        let pull_radius = self.drum.pull_radius(taken_in);
        let run = self.drum.tangent(anchor, pull_radius)?;
        Some(StrapAt {
            anchor,
            tangent: run.at,
            along: run.along,
            free: run.free,
            taken_in,
            outer_radius: self.drum.outer_radius(taken_in),
            pull_radius,
            turns: self.drum.turns(taken_in),
        })
    }

    /// The strap at hung from an anchor, side view, to a drum; `None` without a straight run.
    #[must_use]
    pub fn at_hung(drum: &Drum, anchor: Point) -> Option<StrapAt> {
        let pull_radius = drum.pull_radius(0.0);
        let run = drum.tangent(anchor, pull_radius)?;
        Some(StrapAt {
            anchor,
            tangent: run.at,
            along: run.along,
            free: run.free,
            taken_in: 0.0,
            outer_radius: drum.outer_radius(0.0),
            pull_radius,
            turns: drum.turns(0.0),
        })
    }

    /// The strap at a pose of the travel; `None` from where the anchor meets what is wound on the
    /// drum: there is no straight run.
    #[must_use]
    pub fn at(&self, pose: &Placement) -> Option<StrapAt> {
        /// Rounding between a phase and what was walked to it.
        const ROUNDING: f64 = 1e-12;
        let walked = self.walked(pose);
        if walked > self.reach + ROUNDING && !self.whole {
            return None;
        }
        self.run(pose, self.taken_in(walked))
    }

    /// Whether there is a straight run over the whole travel.
    #[must_use]
    pub fn runs_all_the_way(&self) -> bool {
        self.whole
    }

    /// Walked phase up to which there is a straight run: the anchor meets the drum there, or the
    /// travel ends.
    #[must_use]
    pub fn reach(&self) -> f64 {
        self.reach
    }

    /// Stretches of the travel, by walked phase, on which the strap is paid out: the anchor moves
    /// away from the drum, against the pull. Their ends are exact.
    #[must_use]
    pub fn pays_out(&self) -> &[[f64; 2]] {
        &self.pays_out
    }

    /// Whether a pose lies on such a stretch.
    #[must_use]
    pub fn pays_out_at(&self, pose: &Placement) -> bool {
        let walked = self.walked(pose);
        self.pays_out.iter().any(|[from, to]| (*from..=*to).contains(&walked))
    }

    /// Strap that is paid out on such a stretch, mm.
    #[must_use]
    pub fn paid_out(&self, [from, to]: [f64; 2]) -> f64 {
        self.taken_in(from) - self.taken_in(to)
    }

    /// Most strap taken in on the travel, mm, and the walked phase where that is.
    #[must_use]
    pub fn most_taken_in(&self) -> (f64, f64) {
        (self.fullest.1, self.fullest.0)
    }

    /// Outer radius of the drum at its fullest, mm.
    #[must_use]
    pub fn fullest_radius(&self) -> f64 {
        self.drum.outer_radius(self.fullest.1)
    }

    /// The strap's end, panel frame.
    pub(crate) fn anchor(&self) -> Point {
        self.anchor
    }

    /// From the anchor to the drum's middle, mm.
    fn distance_to_drum(&self, pose: &Placement) -> f64 {
        (self.drum.centre - pose.room_from_panel * self.anchor).norm()
    }

    /// The anchor moves no farther than this between two poses of one monotone piece, mm.
    pub(crate) fn most_motion_of_anchor(&self, lift: &Lift, from: &Placement, to: &Placement) -> f64 {
        let panel = turns::panel(from, to);
        let about = |arm: ArmName| {
            let reach = (self.anchor - lift.panel_pivot(arm)).norm();
            turns::panel_end(lift, arm, from, to) + panel * reach
        };
        about(ArmName::Lower).min(about(ArmName::Upper))
    }

    /// Bounds between two poses of one monotone piece.
    pub(crate) fn most_motion(&self, lift: &Lift, from: &Placement, to: &Placement) -> RunMotion {
        let anchor = self.most_motion_of_anchor(lift, from, to);
        let taken_in = self.taken_in(self.walked(from));
        let growth = self.drum.most_growth() * anchor;
        let radius = self.drum.pull_radius(taken_in) + growth;
        let nearest = 0.5 * (self.distance_to_drum(from) + self.distance_to_drum(to) - anchor);
        let least_free = ((nearest - radius) * (nearest + radius)).max(0.0).sqrt();
        // The run's direction turns by what goes on across it at both its ends.
        let turn = if nearest > radius { (anchor + growth) / least_free } else { f64::INFINITY };
        RunMotion { anchor, turn, tangent: growth + radius * turn, least_free }
    }
}

/// How far the straight run can move between two poses, at most.
#[derive(Clone, Copy, Debug)]
pub(crate) struct RunMotion {
    /// Its end on the panel, mm.
    pub anchor: f64,
    /// Its direction, radians.
    pub turn: f64,
    /// Its end on the drum, mm.
    pub tangent: f64,
    /// The run is nowhere shorter, mm.
    pub least_free: f64,
}

impl Slice {
    fn taken_in_at(&self, at: f64) -> f64 {
        series(&self.taken_in, at)
    }

    /// Calls with places in rising order and whether û · v is below −`least` there; between two
    /// calls that say the same nothing else happens, but for values within `least` of zero.
    fn signs(&self, least: f64, tell: &mut impl FnMut(f64, bool)) {
        // The k-th polynomial changes by at most k² per unit.
        let mut square = 0.0;
        let mut steepest = 0.0;
        for (index, coefficient) in self.rate.iter().enumerate() {
            steepest += square * coefficient.abs();
            #[allow(clippy::cast_precision_loss)] // small
            let next = (index + 1) as f64;
            square = next * next;
        }
        let mut open = vec![(-1.0, 1.0)];
        while let Some((from, to)) = open.pop() {
            let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
            let value = series(&self.rate, middle);
            if value.abs() > steepest * half || steepest * half <= 0.5 * least {
                tell(middle, value < -least);
            } else {
                open.push((middle, to));
                open.push((from, middle));
            }
        }
    }
}

impl Nodes {
    #[allow(clippy::cast_precision_loss)] // small
    fn new() -> Self {
        let angle = |index: usize| PI * (2 * index + 1) as f64 / (2 * NODES) as f64;
        Self {
            at: std::array::from_fn(|index| angle(index).cos()),
            cosines: std::array::from_fn(|order| {
                let scale = if order == 0 { 1.0 } else { 2.0 } / NODES as f64;
                std::array::from_fn(|index| scale * (order as f64 * angle(index)).cos())
            }),
        }
    }

    /// Chebyshev coefficients of the polynomial through values at the nodes.
    fn coefficients(&self, values: &[f64; NODES]) -> [f64; NODES] {
        self.cosines.map(|row| row.iter().zip(values).map(|(cosine, value)| cosine * value).sum())
    }
}

/// Chebyshev coefficients of the integral from −1, times `half`, plus what was there before.
fn integral(rate: &[f64; NODES], half: f64, before: f64) -> [f64; NODES + 1] {
    let of = |order: usize| rate.get(order).copied().unwrap_or(0.0);
    let mut sum = [0.0; NODES + 1];
    let mut sign = 1.0;
    sum[0] = before;
    for order in 1..=NODES {
        let lower = if order == 1 { 2.0 * of(0) } else { of(order - 1) };
        #[allow(clippy::cast_precision_loss)] // small
        let coefficient = half * (lower - of(order + 1)) / (2 * order) as f64;
        sum[order] = coefficient;
        // T(−1) is −1 for odd orders.
        sum[0] += sign * coefficient;
        sign = -sign;
    }
    sum
}

/// A Chebyshev series at a place in −1…1 (Clenshaw, 1955).
fn series<const COUNT: usize>(coefficients: &[f64; COUNT], at: f64) -> f64 {
    let (mut one, mut two) = (0.0, 0.0);
    for coefficient in coefficients[1..].iter().rev() {
        (one, two) = (coefficient + 2.0 * at * one - two, one);
    }
    coefficients[0] + at * one - two
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::TravelWanted;
    use crate::room::RoomShape;
    use proptest::prelude::*;

    fn golden() -> Project {
        crate::samples::board()
    }

    /// The whole project, with a strap of 1.2 mm on a drum of 20.
    fn demo() -> Project {
        crate::samples::demo_board()
    }

    fn of(project: &Project) -> (Lift, Travel, Strap) {
        let lift = Lift::new(project);
        let travel = Travel::find(project, &lift, &RoomShape::new(&project.room));
        let strap = Strap::along(project, &lift, &travel).expect("a drive");
        (lift, travel, strap)
    }

    fn with_drive(mut project: Project, change: impl Fn(&mut crate::project::Drive)) -> Project {
        project.drive.as_mut().into_iter().for_each(change);
        project
    }

    #[test]
    fn free_length_of_the_reference_results() {
        let expected: serde_json::Value =
            serde_json::from_str(include_str!("../../../tests/golden/chapel-hatch/expected.json")).expect("results");
        // The reference has a strap without thickness, its about line says.
        let project = with_drive(golden(), |drive| drive.strap_thickness = 0.0);
        let (lift, travel, strap) = of(&project);
        let rows = expected["poses"].as_array().expect("poses");
        let hung = rows[0]["lower_arm_deg"].as_f64().expect("a number");
        for row in rows {
            let s = (row["lower_arm_deg"].as_f64().expect("a number") - hung) / 116.2;
            let at = strap.at(&travel.pose_at(&lift, s)).expect("a run");
            let wanted = row["strap_free_mm"].as_f64().expect("a number");
            assert!((at.free - wanted).abs() < 1e-5, "{} against {wanted}", at.free);
        }
    }

    #[test]
    fn without_thickness_what_is_taken_in_is_what_the_run_loses_and_rolls() {
        for side in ["room", "wall"] {
            let project = with_drive(golden(), |drive| {
                drive.strap_thickness = 0.0;
                drive.strap_side = serde_json::from_value(side.into()).expect("a side");
            });
            let (lift, travel, strap) = of(&project);
            let hung = strap.at(&travel.pose_at(&lift, 0.0)).expect("a run");
            let sign = if side == "room" { 1.0 } else { -1.0 };
            for step in 0..=50 {
                let at = strap.at(&travel.pose_at(&lift, f64::from(step) / 50.0)).expect("a run");
                let turned = hung.along.perp(&at.along).atan2(hung.along.dot(&at.along));
                let taken_in = hung.free - at.free + sign * 20.0 * turned;
                assert!((at.taken_in - taken_in).abs() < 1e-9, "{} against {taken_in}", at.taken_in);
                let turns = at.turns.expect("a radius");
                assert!((turns - taken_in / (40.0 * PI)).abs() < 1e-11);
            }
        }
    }

    /// Adds up û · (step of the anchor) over so many steps, û at the step's middle.
    fn explicit_sum(project: &Project, lift: &Lift, travel: &Travel, steps: u32) -> (f64, f64) {
        let drive = project.drive.as_ref().expect("a drive");
        let drum = Drum::new(drive);
        let anchor = |index: f64| {
            let walked = travel.length * index / f64::from(steps);
            lift.pose(travel.phase(walked), 0.0).room_from_panel * drive.anchor
        };
        let (mut taken_in, mut turns) = (0.0_f64, 0.0);
        let mut before = anchor(0.0);
        let side = if drive.strap_side == crate::project::StrapSide::Room { 1.0 } else { -1.0 };
        let along = |from: Point, radius: f64| {
            // By the angle between run and line to the drum's middle.
            let towards = drum.centre - from;
            let lean = (radius / towards.norm()).asin();
            nalgebra::Rotation2::new(-side * lean) * towards.normalize()
        };
        for index in 0..steps {
            let (middle, after) = (anchor(f64::from(index) + 0.5), anchor(f64::from(index) + 1.0));
            let radius = |taken_in: f64| {
                let hung = drum.bare_radius + drive.dead_wraps() * drum.thickness;
                let wound = PI * (hung * hung - drum.bare_radius * drum.bare_radius) + drum.thickness * taken_in;
                let outer = (drum.bare_radius * drum.bare_radius + wound.max(0.0) / PI).sqrt();
                (outer - 0.5 * drum.thickness).max(drum.bare_radius + 0.5 * drum.thickness)
            };
            let half = taken_in + along(before, radius(taken_in)).dot(&(middle - before));
            let step = along(middle, radius(half)).dot(&(after - before));
            taken_in += step;
            turns += step / (2.0 * PI * radius(half));
            before = after;
        }
        (taken_in, turns)
    }

    #[test]
    fn agrees_with_an_explicit_sum() {
        for wraps in [0.0, 0.6, 2.0] {
            let project = with_drive(demo(), |drive| drive.dead_wraps = Some(wraps));
            let (lift, travel, strap) = of(&project);
            let (sum, turns) = explicit_sum(&project, &lift, &travel, 40_000);
            let parked = strap.at(&travel.pose_at(&lift, 1.0)).expect("a run");
            assert!((parked.taken_in - sum).abs() < 1e-5, "{} against {sum}", parked.taken_in);
            assert!((parked.turns.expect("a radius") - turns).abs() < 1e-7);
        }
    }

    #[test]
    fn the_whole_project_by_hand() {
        let (lift, travel, strap) = of(&demo());
        let parked = strap.at(&travel.pose_at(&lift, 1.0)).expect("a run");
        let hung = strap.at(&travel.pose_at(&lift, 0.0)).expect("a run");
        // 20 mm and two dead wraps of 1.2; anchor (32, 1185), drum (36, 2214): by Pythagoras.
        assert!((hung.outer_radius - 22.4).abs() < 1e-12 && (hung.pull_radius - 21.8).abs() < 1e-12);
        let free = (4.0_f64.powi(2) + 1029.0_f64.powi(2) - 21.8_f64.powi(2)).sqrt();
        assert!((hung.free - free).abs() < 1e-9);
        // Area rule, with what is taken in; turns lie between those of the two radii.
        let outer = (22.4_f64.powi(2) + parked.taken_in * 1.2 / PI).sqrt();
        assert!((parked.outer_radius - outer).abs() < 1e-12);
        assert!((strap.fullest_radius() - outer).abs() < 1e-9, "it is fullest when parked");
        let turns = parked.turns.expect("a radius");
        let (most, least) = [21.8, outer - 0.6].map(|radius| parked.taken_in / (2.0 * PI * radius)).into();
        assert!(turns < most && turns > least, "{least} {turns} {most}");
        // ∫ dL / 2π(r − t/2) with dL = 2πr dr / t, by hand.
        let exact = (outer - 22.4) / 1.2 + 0.5 * ((outer - 0.6) / 21.8).ln();
        assert!((turns - exact).abs() < 1e-9, "{turns} against {exact}");
        assert!(strap.runs_all_the_way() && strap.pays_out().is_empty());
    }

    #[test]
    fn where_it_pays_out_it_turns_at_the_most_taken_in() {
        // A drum below the parked anchor: the anchor passes it.
        let project = with_drive(demo(), |drive| drive.drum_centre = Point::new(900.0, 1500.0));
        let (lift, travel, strap) = of(&project);
        let [[from, to]] = strap.pays_out() else { panic!("{:?}", strap.pays_out()) };
        let at = |walked: f64| strap.at(&lift.pose(travel.phase(walked), 0.0)).expect("a run").taken_in;
        let (top, bottom) = (at(*from), at(*to));
        assert!((strap.paid_out([*from, *to]) - (top - bottom)).abs() < 1e-12 && top > bottom);
        for step in 0..=4000 {
            assert!(at(travel.length * f64::from(step) / 4000.0) <= strap.most_taken_in().0 + 1e-9);
        }
        // At the turn the run is square to the anchor's way.
        let rates = lift.rates(travel.phase(*from));
        let pose = lift.pose(travel.phase(*from), 0.0);
        let rate = pose.panel_point_rate(strap.anchor, &rates);
        let square = strap.at(&pose).expect("a run").along.dot(&rate) / rate.norm();
        assert!(square.abs() < 1e-9, "{square}");
    }

    #[test]
    fn no_run_once_the_anchor_meets_the_drum() {
        // A drum of 20 in the anchor's way: where it stands half way up.
        let (lift, travel, _) = of(&demo());
        let there = travel.pose_at(&lift, 0.5).room_from_panel * Point::new(-30.0, 5.0);
        let project = with_drive(demo(), |drive| drive.drum_centre = there);
        let (lift, travel, strap) = of(&project);
        assert!(!strap.runs_all_the_way());
        let end = lift.pose(travel.phase(strap.reach()), 0.0);
        let at = strap.at(&end).expect("just outside");
        assert!(at.free < 0.05 && (strap.distance_to_drum(&end) - at.pull_radius).abs() < 1e-4, "{at:?}");
        assert!(strap.at(&travel.pose_at(&lift, 0.5)).is_none() && strap.at(&travel.pose_at(&lift, 1.0)).is_none());
        // Inside from the start.
        let inside = with_drive(demo(), |drive| drive.drum_centre = Point::new(40.0, 1190.0));
        let (lift, travel, strap) = of(&inside);
        assert!(strap.at(&travel.pose_at(&lift, 0.0)).is_none() && strap.reach().abs() < 1e-12);
    }

    prop_compose! {
        /// The demo's lift with its drive, or another one, anywhere about it.
        fn drives()(
            coords in prop::array::uniform4(-1.0..1.0_f64),
            radius in 0.0..60.0_f64,
            thickness in prop_oneof![Just(0.0), 0.0..4.0_f64],
            wraps in 0.0..4.0_f64,
            wall in any::<bool>(),
            turn in 20.0..200.0_f64,
        ) -> Project {
            let mut project = demo();
            project.linkage.travel_deg = TravelWanted::Degrees(turn);
            with_drive(project, |drive| {
                drive.anchor = Point::new(20.0 + 100.0 * coords[0], 350.0 + 400.0 * coords[1]);
                drive.drum_centre = Point::new(300.0 + 600.0 * coords[2], 1900.0 + 600.0 * coords[3]);
                (drive.drum_radius, drive.strap_thickness, drive.dead_wraps) = (radius, thickness, Some(wraps));
                let side = if wall { "wall" } else { "room" };
                drive.strap_side = serde_json::from_value(side.into()).expect("a side");
            })
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, max_global_rejects: 20_000, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn halving_the_slices_changes_nothing(project in drives()) {
            let (lift, travel, strap) = of(&project);
            let finer = Strap::with_slices(&project, &lift, &travel, 0.5 * travel.length / FIRST_SLICES).expect("a drive");
            prop_assert_eq!(strap.whole, finer.whole);
            for step in 0..=60 {
                let walked = strap.reach.min(finer.reach) * f64::from(step) / 60.0;
                let (one, other) = (strap.taken_in(walked), finer.taken_in(walked));
                prop_assert!((one - other).abs() < 1e-9, "{one} {other}");
            }
            prop_assert_eq!(strap.pays_out.len(), finer.pays_out.len());
        }

        #[test]
        fn away_and_back_is_the_same_length(project in drives()) {
            let (lift, travel, strap) = of(&project);
            prop_assume!(strap.whole && strap.drum.thickness > 0.01);
            let all = strap.taken_in(travel.length);
            let outer = strap.drum.outer_radius(all);
            // Not where more than the dead wraps was paid out.
            prop_assume!(outer > strap.drum.bare_radius && strap.slices.iter().all(|slice| {
                strap.drum.outer_radius(series(&slice.taken_in, 0.0)) > strap.drum.bare_radius
            }));
            let mut back = travel.clone();
            (back.start, back.direction) = (travel.phase(travel.length), -travel.direction);
            let returning = with_drive(project, |drive| {
                drive.dead_wraps = Some((outer - drive.drum_radius) / drive.strap_thickness);
            });
            let home = Strap::along(&returning, &lift, &back).expect("a drive");
            prop_assert!(home.whole);
            for step in 0..=20 {
                let walked = travel.length * f64::from(step) / 20.0;
                let there = all + home.taken_in(walked);
                prop_assert!((there - strap.taken_in(travel.length - walked)).abs() < 1e-8, "{there}");
            }
        }
    }
}
