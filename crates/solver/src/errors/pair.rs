//! The pair: two sets drawn independently, mounted out of plumb and level, carried by one panel.
//!
//! For each arm δ is its length error less the growth of the distance between its two pivots that
//! the bars' errors cause, bars at the drawn pose. The misfit is (δ of the lower arm − δ of the upper)
//! of the left set less that of the right. Play takes up eight times the play of a bearing; the rest
//! loads the arms with F = (|misfit| − 8·play) / (4/k + ℓ²/K), k the stiffness of an arm with its
//! bearings, pins and screws, ℓ the lever, K the panel's torsional stiffness. A pair runs free where
//! F leaves the bearings their safety and the lift still comes down by its weight, at every pose. Where
//! a bearing is overloaded or friction holds the lift up with parts as drawn, no pair runs free.

use nalgebra::{Matrix3, SMatrix};
use rayon::prelude::*;

use super::draws::Draws;
use super::geometry::{Errors, PanelPlace, SetGeometry};
use super::one_set::{Histogram, tolerances_of};
use super::sensitivity::{Held, held_row};
use super::stack::{Saving, Share, Stack, quantile_of};
use crate::analysis::Analysis;
use crate::bearings::Bearing;
use crate::free_body::{Actions, Wrench};
use crate::pose::Pose;
use crate::project::{PartName, Project, Tolerances};
use crate::statics::{HINGES, hinge_turns};
use crate::units::number;

/// Stiffness of an arm with its bearings, pins and screws along its line, N/mm, where none is given
/// (common practice for small aluminium links on ball bearings, no source).
pub const ARM_STIFFNESS: f64 = 2000.0;

/// Less counts as this, so that a stiffness of nought gives way without an infinity.
const SOFTEST: f64 = 1e-9;

/// Poses looked at, equal steps of s.
pub const POSES: usize = 33;

/// What differs between the two sets: eight dimensions (left less right), then plumb and level.
pub const DIFFERENCES: usize = 10;
/// One of each, mm.
pub type Differences = [f64; DIFFERENCES];

/// What limits the force in the arms at a pose.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Limit {
    /// A bearing would have less than its static safety.
    Bearing,
    /// Friction would hold the lift up.
    Friction,
}

/// The pair at one pose of the travel, linear in the differences.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PairPose {
    /// Fraction of the travel.
    pub s: f64,
    /// Misfit, mm per mm of each difference.
    pub misfit: Differences,
    /// Twist: how far one corner of the panel would stand off the plane of the other three, mm per
    /// mm, each set where it would be by itself and as near to the other as the drive lets it.
    pub twist: Differences,
    /// How much farther the left set's middle of the panel would stand from the wall than the
    /// right's, mm per mm; divided by the sets' spacing it is the yaw.
    pub yaw: Differences,
    /// Give of arms and panel to a force in the arms, mm/N.
    pub give: f64,
    /// Force in the arms that is still allowed, N, and what limits it; negative where parts as drawn
    /// leave that much too little already; `None` where nothing limits it.
    pub allowed: Option<(f64, Limit)>,
    /// Bar and arm of the hinge whose bearings limit it; `None` where something else does.
    pub hinge: Option<[PartName; 2]>,
    /// Lever, mm.
    pub lever: f64,
}

/// Where not even parts as drawn run free: no misfit is free there, and none that is made smaller helps.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct NoRoom {
    /// Fraction of the travel.
    pub s: f64,
    /// What is too much.
    pub limit: Limit,
    /// By how much, N in the arms.
    pub beyond: f64,
    /// Bar and arm of the hinge that is overloaded; `None` where friction is too much.
    pub hinge: Option<[PartName; 2]>,
}

impl NoRoom {
    /// What is too much, where, and what would help: two sentences.
    #[must_use]
    pub fn words(&self) -> String {
        let place = format!("at {} % of the travel", number(100.0 * self.s, 0));
        match self.limit {
            Limit::Bearing => {
                let hinge = self.hinge.map_or_else(
                    || "a hinge".to_owned(),
                    |[bar, arm]| format!("the hinge of {} and {}", bar.words(), arm.words()),
                );
                let beyond = number(self.beyond, if self.beyond < 10.0 { 1 } else { 0 });
                format!(
                    "with all parts as drawn {hinge} already carries {beyond} N more than the static safety of its bearings allows, {place}. Larger bearings help, or two in each hinge; closer parts do not."
                )
            }
            Limit::Friction => format!(
                "with all parts as drawn the weight already does not overcome friction {place}. Hinges with less friction help, or parking it earlier; closer parts do not."
            ),
        }
    }
}

impl PairPose {
    /// Force in the arms from a misfit, N, once so much play, mm, is used up.
    #[must_use]
    #[inline]
    pub fn force(&self, misfit: f64, play: f64) -> f64 {
        (misfit.abs() - play).max(0.0) / self.give
    }

    /// The misfit that runs free, mm, with so much play; negative where none does, not even what play
    /// takes up.
    #[must_use]
    pub fn free_misfit(&self, play: f64) -> f64 {
        self.allowed.map_or(f64::INFINITY, |(force, _)| self.give * force + if force < 0.0 { 0.0 } else { play })
    }
}

/// The pair of a lift: the same for any tolerances.
#[derive(Clone, Debug, PartialEq)]
pub struct PairModel {
    /// Equal steps of s from hung to parked.
    pub poses: Vec<PairPose>,
    /// What play takes up, mm: eight times that of a bearing.
    pub play: f64,
    /// Between the middles of the two sets, mm.
    pub spacing: f64,
    /// Stiffness of an arm, N/mm.
    pub arm_stiffness: f64,
}

/// Why nothing can be said of a pair.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoPair {
    /// No tolerance is given.
    Tolerances,
    /// No bearing is given, so neither its safety nor friction is known.
    Bearing,
    /// A bar's mass is not known.
    Masses,
    /// All pivots in line, or no travel.
    Motion,
}

impl PairModel {
    /// The pair of a project.
    ///
    /// # Errors
    /// What is missing.
    pub fn new(project: &Project, analysis: &Analysis) -> Result<Self, NoPair> {
        let lift = &analysis.lift;
        if analysis.travel.length <= 0.0 {
            return Err(NoPair::Motion);
        }
        let forces = analysis.forces.as_ref().map_err(|_| NoPair::Masses)?;
        if forces.loads.friction_radius <= 0.0 && rating(project).is_none() {
            return Err(NoPair::Bearing);
        }
        let given = project.tolerances.as_ref().and_then(|given| given.arm_stiffness);
        let arm_stiffness = given.unwrap_or(ARM_STIFFNESS).max(SOFTEST);
        // N·m per radian in the file, N·mm here; none given: rigid.
        let torsion = project.panel.torsional_stiffness;
        let panel_gives = torsion.map_or(0.0, |stiffness| 1.0 / (1e3 * stiffness).max(SOFTEST));
        let set = SetGeometry::nominal(lift);
        let poses = (0..POSES).map(|index| {
            #[allow(clippy::cast_precision_loss)] // few
            let pose = analysis.pose_at(index as f64 / (POSES - 1) as f64);
            let lever = lift.lever(&pose);
            let linear = Linear::at(project, &set, &pose)?;
            let allowed = Allowed::at(project, analysis, &pose);
            Some(PairPose {
                s: pose.s,
                misfit: linear.misfit,
                twist: linear.twist,
                yaw: linear.yaw,
                give: 4.0 / arm_stiffness + lever * lever * panel_gives,
                allowed: allowed.map(|allowed| (allowed.force, allowed.limit)),
                hinge: allowed.and_then(|allowed| allowed.hinge),
                lever,
            })
        });
        Ok(Self {
            poses: poses.collect::<Option<_>>().ok_or(NoPair::Motion)?,
            play: 8.0 * project.joints.as_ref().and_then(|joints| joints.radial_play).unwrap_or(0.0),
            spacing: project.set_spacing(),
            arm_stiffness,
        })
    }

    /// The differences of two sets with their errors, with plumb and level of their wall bars.
    #[must_use]
    pub fn differences(left: &Errors, right: &Errors, plumb: f64, level: f64) -> Differences {
        std::array::from_fn(|of| match of {
            8 => plumb,
            9 => level,
            dimension => left[dimension] - right[dimension],
        })
    }

    /// Whether a pair with these differences runs free.
    #[must_use]
    pub fn runs_free(&self, differences: &Differences) -> bool {
        self.poses.iter().all(|pose| dot(&pose.misfit, differences).abs() <= pose.free_misfit(self.play))
    }

    /// The pose at which parts as drawn leave least, where that is less than nothing.
    #[must_use]
    pub fn no_room(&self) -> Option<NoRoom> {
        self.least_room().map(|index| &self.poses[index]).and_then(|pose| {
            let (force, limit) = pose.allowed?;
            Some(NoRoom { s: pose.s, limit, beyond: -force, hinge: pose.hinge })
        })
    }

    /// Which pose that is.
    pub(super) fn least_room(&self) -> Option<usize> {
        let poses = self.poses.iter().enumerate().filter_map(|(index, pose)| Some((pose.allowed?.0, index)));
        poses.min_by(|a, b| a.0.total_cmp(&b.0)).filter(|(force, _)| *force < 0.0).map(|(_, index)| index)
    }

    /// The share of pairs that do not run free.
    #[must_use]
    pub fn failing(&self, draws: &Draws, tolerances: &PairTolerances) -> Share {
        let limits: Vec<_> = self.poses.iter().map(|pose| (pose.misfit, pose.free_misfit(self.play))).collect();
        let fails = |sample: u32| {
            let differences = tolerances.drawn(draws, u64::from(sample));
            u64::from(limits.iter().any(|(misfit, limit)| dot(misfit, &differences).abs() > *limit))
        };
        let hits = (0..draws.count).into_par_iter().with_min_len(1024).map(fails).sum();
        Share::of(hits, u64::from(draws.count))
    }

    /// How many fewer pairs fail with other tolerances: the same draws, so that what is the same in both
    /// makes no difference.
    #[must_use]
    pub fn saving(&self, draws: &Draws, tolerances: &PairTolerances, other: &PairTolerances) -> Saving {
        let changes = |sample: u32| {
            let free = [tolerances, other].map(|of| self.runs_free(&of.drawn(draws, u64::from(sample))));
            [u64::from(!free[0] && free[1]), u64::from(free[0] && !free[1])]
        };
        let samples = (0..draws.count).into_par_iter().with_min_len(1024);
        let [better, worse] = samples.map(changes).reduce(|| [0, 0], |a, b| [a[0] + b[0], a[1] + b[1]]);
        Saving::of(better, worse, u64::from(draws.count))
    }
}

/// Tolerances of a pair: of the left and the right set's dimensions, of plumb and level; ± mm. What
/// was measured has no tolerance but a known difference.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
pub struct PairTolerances {
    /// Left, right, each in the order of [`super::Dimension::ALL`].
    pub sets: [[f64; 8]; 2],
    /// Relative plumb of the two wall bars over their pivots.
    pub parallel: f64,
    /// Relative level of the two wall bars.
    pub level: f64,
    /// Differences that are known.
    pub known: Differences,
}

impl PairTolerances {
    /// Those of a project; `None` where neither lengths nor offsets have one.
    #[must_use]
    pub fn of(given: &Tolerances) -> Option<Self> {
        let dimensions = tolerances_of(given)?;
        Some(Self { sets: [dimensions; 2], ..Self::mounted(given) })
    }

    /// Only those of plumb and level: all parts are exact, or measured.
    #[must_use]
    pub fn mounted(given: &Tolerances) -> Self {
        let (parallel, level) = (given.parallel.unwrap_or(0.0), given.level.unwrap_or(0.0));
        Self { parallel, level, ..Self::default() }
    }

    /// Whether nothing is left to draw: every pair is the same one.
    #[must_use]
    pub fn is_one_pair(&self) -> bool {
        let [left, right] = self.sets;
        left.iter().chain(&right).chain([&self.parallel, &self.level]).all(|tolerance| *tolerance == 0.0)
    }

    /// Both sets made this exactly, plumb and level as they are.
    #[must_use]
    pub fn all_within(self, tolerance: f64) -> Self {
        Self { sets: [[tolerance; 8]; 2], ..self }
    }

    /// The second wall bar tightened last, after the lift has been up and down: it finds its place.
    #[must_use]
    pub fn second_bar_last(self) -> Self {
        let mut known = self.known;
        (known[8], known[9]) = (0.0, 0.0);
        Self { parallel: 0.0, level: 0.0, known, ..self }
    }

    /// The differences of one sample. Left errors are those that [`super::one_set::drawn`] draws.
    #[must_use]
    #[inline]
    pub fn drawn(&self, draws: &Draws, sample: u64) -> Differences {
        let [left, right] = &self.sets;
        std::array::from_fn(|of| {
            let at = of as u64;
            self.known[of]
                + match of {
                    8 => self.parallel * draws.share(sample, 16),
                    9 => self.level * draws.share(sample, 17),
                    _ => left[of] * draws.share(sample, at) - right[of] * draws.share(sample, 8 + at),
                }
        })
    }

    /// As a stack over what is drawn: left and right dimensions, plumb, level.
    #[must_use]
    pub fn stack(&self, slopes: &Differences) -> Stack<18> {
        Stack {
            slopes: std::array::from_fn(|of| if of < 16 { slopes[of % 8] } else { slopes[of - 8] }),
            tolerances: std::array::from_fn(|of| match of {
                16 => self.parallel,
                17 => self.level,
                _ => self.sets[of / 8][of % 8],
            }),
        }
    }
}

/// What drawn pairs do.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct PairFigures {
    /// Whether all of them are the same: everything is measured, or nothing has a tolerance.
    pub is_one_pair: bool,
    /// Pairs that do not run free.
    pub failing: Share,
    /// Why none does, however exact its parts; `None` where parts as drawn run free.
    pub no_room: Option<NoRoom>,
    /// Pairs whose play alone does not take up the misfit: shown, not judged by.
    pub beyond_play: Share,
    /// At each of [`POSES`].
    pub poses: Vec<PairAt>,
    /// Twist at its worst pose, mm at a corner, of drawn pairs.
    pub twist: Histogram,
    /// 95 % of pairs twist less, mm.
    pub twist_p95: f64,
    /// 95 % of pairs yaw less at their worst pose, degrees.
    pub yaw_p95_deg: f64,
    /// 95 % of pairs load their arms less at their worst pose, N.
    pub force_p95: f64,
    /// Where most pairs that fail are farthest over their limit, s; `None` where none fails.
    pub worst_s: Option<f64>,
    /// What limits the force there.
    pub worst_limit: Option<Limit>,
}

/// Drawn pairs at one pose: what 95 % keep under.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct PairAt {
    /// Fraction of the travel.
    pub s: f64,
    /// mm.
    pub misfit: f64,
    /// N.
    pub force: f64,
    /// Force that is still allowed, N; negative where parts as drawn leave that much too little; `None`
    /// where nothing limits it.
    pub allowed_force: Option<f64>,
    /// mm at a corner.
    pub twist: f64,
    /// Degrees.
    pub yaw_deg: f64,
}

/// Bins of the histogram of twist.
const BINS: usize = 60;

struct Worst {
    twist: f64,
    yaw: f64,
    force: f64,
    fails_at: Option<usize>,
    beyond_play: bool,
}

impl PairFigures {
    /// Draws pairs of sets. The same for any number of threads: each pair is drawn by its number, and
    /// what is added up are counts and sorted values.
    #[must_use]
    pub fn new(model: &PairModel, draws: &Draws, tolerances: &PairTolerances) -> Self {
        let limits: Vec<f64> = model.poses.iter().map(|pose| pose.free_misfit(model.play)).collect();
        let drawn: Vec<Differences> = (0..draws.count)
            .into_par_iter()
            .with_min_len(512)
            .map(|sample| tolerances.drawn(draws, u64::from(sample)))
            .collect();
        let pair = |differences: &Differences| {
            let mut worst = Worst { twist: 0.0, yaw: 0.0, force: 0.0, fails_at: None, beyond_play: false };
            let mut most = 0.0;
            for (index, (pose, limit)) in model.poses.iter().zip(&limits).enumerate() {
                let misfit = dot(&pose.misfit, differences).abs();
                worst.twist = f64::max(worst.twist, dot(&pose.twist, differences).abs());
                worst.yaw = f64::max(worst.yaw, dot(&pose.yaw, differences).abs());
                worst.force = worst.force.max(pose.force(misfit, model.play));
                worst.beyond_play |= misfit > model.play;
                // The pose at which it is farthest over its limit.
                if misfit > *limit && misfit - limit > most {
                    most = misfit - limit;
                    worst.fails_at = Some(index);
                }
            }
            worst
        };
        let pairs: Vec<Worst> = drawn.par_iter().with_min_len(512).map(pair).collect();
        let count = |of: &dyn Fn(&Worst) -> bool| {
            Share::of(pairs.iter().filter(|pair| of(pair)).count() as u64, u64::from(draws.count))
        };
        let mut fails_at = vec![0_u32; model.poses.len()];
        for index in pairs.iter().filter_map(|pair| pair.fails_at) {
            fails_at[index] += 1;
        }
        let worst = fails_at.iter().enumerate().rev().max_by_key(|(_, count)| **count).filter(|(_, count)| **count > 0);
        let worst = worst.map(|(index, _)| &model.poses[index]);
        let p95 = |of: fn(&Worst) -> f64| {
            let mut values: Vec<f64> = pairs.iter().map(of).collect();
            quantile_of(&mut values, 0.95).unwrap_or(0.0)
        };
        let yaw_deg = |millimetres: f64| (millimetres / model.spacing).atan().to_degrees();
        let at = |pose: &PairPose| {
            let p95 = |slopes: &Differences| {
                let mut values: Vec<f64> = drawn.iter().map(|differences| dot(slopes, differences).abs()).collect();
                quantile_of(&mut values, 0.95).unwrap_or(0.0)
            };
            let misfit = p95(&pose.misfit);
            PairAt {
                s: pose.s,
                misfit,
                force: pose.force(misfit, model.play),
                allowed_force: pose.allowed.map(|(force, _)| force),
                twist: p95(&pose.twist),
                yaw_deg: yaw_deg(p95(&pose.yaw)),
            }
        };
        Self {
            is_one_pair: tolerances.is_one_pair(),
            failing: count(&|pair| pair.fails_at.is_some()),
            no_room: model.no_room(),
            beyond_play: count(&|pair| pair.beyond_play),
            poses: model.poses.par_iter().map(at).collect(),
            twist: Histogram::of(pairs.iter().map(|pair| pair.twist), BINS),
            twist_p95: p95(|pair| pair.twist),
            yaw_p95_deg: yaw_deg(p95(|pair| pair.yaw)),
            force_p95: p95(|pair| pair.force),
            worst_s: worst.map(|pose| pose.s),
            worst_limit: worst.and_then(|pose| pose.allowed).map(|(_, limit)| limit),
        }
    }
}

#[inline]
pub(super) fn dot(slopes: &Differences, differences: &Differences) -> f64 {
    slopes.iter().zip(differences).map(|(slope, difference)| slope * difference).sum()
}

struct Linear {
    misfit: Differences,
    twist: Differences,
    yaw: Differences,
}

impl Linear {
    fn at(project: &Project, set: &SetGeometry, pose: &Pose) -> Option<Self> {
        let place = PanelPlace { origin: pose.origin(), turn: -pose.tilt };
        let panel = crate::lift::Rectangle {
            least: crate::project::Point::origin(),
            most: crate::project::Point::new(project.panel.thickness, project.panel.height),
        };
        // What each difference adds to the two residuals, pivots' distance less arm.
        let mut by = SMatrix::<f64, 3, DIFFERENCES>::zeros();
        by.fixed_view_mut::<2, 8>(0, 0).copy_from(&set.by_dimension(&place));
        // Out of plumb: the upper wall pivot stands off along the bar's edge, as an offset does.
        let plumb = by.column(5).into_owned();
        by.set_column(8, &plumb);
        // Out of level: both wall pivots are higher.
        for arm in 0..2 {
            by[(arm, 9)] = -(place.at(set.panel[arm]) - set.wall[arm]).normalize().y;
        }
        let misfit = std::array::from_fn(|of| by[(1, of)] - by[(0, of)]);
        let rows = set.by_place(&place);
        let (held, _) = held_row(set, &place, Held::Corners(&panel));
        let size = set.arms[0].max(set.arms[1]);
        let scale = Matrix3::from_diagonal(&nalgebra::Vector3::new(1.0, 1.0, 1.0 / size));
        let full = Matrix3::from_rows(&[rows.row(0).into_owned(), rows.row(1).into_owned(), held]) * scale;
        let shift = scale * full.full_piv_lu().solve(&-by)?;
        let middle = place.at(panel.middle()) - place.origin;
        Some(Self {
            misfit,
            twist: std::array::from_fn(|of| shift[(2, of)] * project.panel.height),
            yaw: std::array::from_fn(|of| shift[(0, of)] - middle.y * shift[(2, of)]),
        })
    }
}

/// Static rating of a hinge, N, over the safety wanted; `None` where it is not known.
fn rating(project: &Project) -> Option<f64> {
    let joints = project.joints.as_ref()?;
    let bearing = Bearing::wanted(joints.bearing.as_ref()?)?;
    Some(bearing.static_n? * f64::from(joints.per_hinge.unwrap_or(1).max(1)) / project.safeties().bearings)
}

/// The force in the arms that is still allowed at a pose.
#[derive(Clone, Copy)]
struct Allowed {
    /// N; negative where there is too much already.
    force: f64,
    limit: Limit,
    hinge: Option<[PartName; 2]>,
}

impl Allowed {
    fn at(project: &Project, analysis: &Analysis, pose: &Pose) -> Option<Self> {
        let (lift, travel) = (&analysis.lift, &analysis.travel);
        let loads = &analysis.forces.as_ref().ok()?.loads;
        let rising = || {
            let drive = project.drive.as_ref()?;
            loads.at(lift, travel, &analysis.strap.as_ref()?.at(pose)?, drive.anchor, pose).hinges
        };
        let held = || {
            // Without a strap: held at the panel's middle, against its motion.
            let rates = lift.rates(pose.phase).walked(travel.direction);
            let middle = loads.masses.panel_centre;
            let speed = pose.panel_point_rate(middle, &rates);
            let push = Wrench::at(speed.try_normalize(0.0)?, pose.room_from_panel * middle, pose.panel_lower);
            let balance = loads.with_friction(lift, pose, &rates, &Actions { panel: push, ..Actions::default() })?;
            Some(balance.hinge_loads().map(|load| load * loads.masses.share))
        };
        let by_bearing = rating(project).and_then(|rating| {
            let hinges = rising().or_else(held)?;
            let (most, hinge) = hinges.into_iter().zip(HINGES).max_by(|a, b| a.0.total_cmp(&b.0))?;
            Some(Self { force: rating - most, limit: Limit::Bearing, hinge: Some(hinge) })
        });
        let by_friction = (loads.friction_radius > 0.0).then(|| {
            let found = loads.coming_down(lift, travel, pose)?;
            // F adds to the load of every hinge of both sets, at the worst.
            let turns: f64 = hinge_turns(&lift.rates(pose.phase)).iter().map(|turn| turn.abs()).sum();
            let per_newton = 2.0 * loads.friction_radius * turns;
            let force = (found.weight - found.friction) / per_newton.max(f64::MIN_POSITIVE);
            Some(Self { force, limit: Limit::Friction, hinge: None })
        });
        [by_bearing, by_friction.flatten()].into_iter().flatten().min_by(|a, b| a.force.total_cmp(&b.force))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{BearingWanted, OwnBearing};
    use crate::{Options, analyse};

    fn board() -> Project {
        let mut project = crate::samples::complete_board();
        let given = project.tolerances.get_or_insert_default();
        // So exact that play takes up any misfit.
        (given.length, given.offset) = (Some(0.005), Some(0.005));
        (given.parallel, given.level) = (Some(0.0), Some(0.0));
        project
    }

    fn figures(project: &Project) -> (PairModel, PairFigures) {
        let analysis = analyse(project, &Options { poses: 2, swept: false });
        let model = PairModel::new(project, &analysis).expect("all is given");
        let tolerances = PairTolerances::of(project.tolerances.as_ref().expect("given")).expect("given");
        let draws = Draws { count: 1000, ..Draws::default() };
        let figures = PairFigures::new(&model, &draws, &tolerances);
        assert_eq!(figures.failing, model.failing(&draws, &tolerances));
        let fails = (0..u64::from(draws.count)).filter(|sample| !model.runs_free(&tolerances.drawn(&draws, *sample)));
        assert_eq!(figures.failing.hits, fails.count() as u64);
        (model, figures)
    }

    /// Bearings, friction: as they are, a pair within its play runs free; with either too much it does
    /// not, whatever its parts, and the place is the one that the single lift is judged by.
    #[test]
    fn where_parts_as_drawn_do_not_run_free_none_does() {
        let (model, good) = figures(&board());
        assert!(good.failing.hits == 0 && good.beyond_play.hits == 0 && good.no_room.is_none(), "{good:?}");
        assert!(model.runs_free(&[0.0; DIFFERENCES]));

        let mut weak = board();
        weak.joints.get_or_insert_default().bearing = Some(BearingWanted::Own(OwnBearing {
            bore: 8.0,
            outside: 22.0,
            width: 7.0,
            static_n: Some(300.0),
            dynamic_n: None,
            more: crate::More::new(),
        }));
        let (model, found) = figures(&weak);
        assert!(!model.runs_free(&[0.0; DIFFERENCES]), "not even parts as drawn");
        assert_eq!((found.failing.hits, found.beyond_play.hits), (found.failing.of, 0));
        let room = found.no_room.expect("a bearing is overloaded");
        assert_eq!((room.limit, found.worst_limit), (Limit::Bearing, Some(Limit::Bearing)));
        // Two bearings of 300 N with twice the safety carry 300 N; what the hinges carry more is missing.
        let analysis = analyse(&weak, &Options { poses: POSES, swept: false });
        let loads = analysis.forces.as_ref().expect("masses are known").poses.iter().flatten();
        let most = loads.filter_map(|found| found.hinges).flatten().fold(0.0, f64::max);
        assert!((room.beyond - (most - 300.0)).abs() < 1e-6 * most, "{room:?} {most}");

        let mut stiff = board();
        stiff.joints.get_or_insert_default().friction = Some(0.5);
        let (model, found) = figures(&stiff);
        assert!(!model.runs_free(&[0.0; DIFFERENCES]), "not even parts as drawn");
        assert_eq!(found.failing.hits, found.failing.of);
        assert_eq!(found.no_room.map(|room| (room.limit, room.hinge)), Some((Limit::Friction, None)));
        // As of one lift: it does not come down.
        let analysis = analyse(&stiff, &Options { poses: 2, swept: false });
        let down = analysis.forces.as_ref().ok().and_then(|forces| forces.coming_down).expect("it moves");
        assert!(down.ratio < 1.0, "{down:?}");
    }
}
