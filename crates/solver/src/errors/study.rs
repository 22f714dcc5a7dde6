//! All that errors of parts do to one project, in one piece: what a check draws, and a window works
//! out beside its frames.

use super::allocation::Allocation;
use super::as_built::{BuiltFigures, UnmeasuredGap};
use super::corner_area::CornerAreas;
use super::draws::Draws;
use super::geometry::Dimension;
use super::one_set::{OneSet, tolerances_of};
use super::pair::{NoPair, POSES, PairFigures, PairModel, PairTolerances};
use super::wobble::Wobble;
use crate::analysis::Analysis;
use crate::project::Project;

/// Asked now and then whether the answer is still wanted.
pub type GoesOn<'a> = &'a (dyn Fn() -> bool + Sync);

/// What errors of parts do to one project.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct PartErrors {
    /// What was drawn.
    pub draws: Draws,
    /// What the eight of every list of dimensions are.
    pub dimensions: [Dimension; 8],
    /// One set within its tolerances; `None` where none is given, or the lift does not close.
    pub one_set: Option<OneSet>,
    /// The pair within its tolerances; where parts were measured, with those as they are.
    pub pair: Option<PairFigures>,
    /// Why there is no pair.
    #[serde(skip)]
    pub no_pair: Option<NoPair>,
    /// How tolerances share out; `None` where `one_set` is.
    pub allocation: Option<Allocation>,
    /// What the measured parts do; `None` where none was measured.
    pub as_built: Option<BuiltFigures>,
    /// Hung gap of sets that were not measured whole; `None` where nothing is left open of them.
    pub unmeasured_gap: Option<UnmeasuredGap>,
    /// What play alone does; `None` where none is given.
    pub wobble: Option<Wobble>,
    /// How far each corner of the panel may lie from where the drawing has it, at [`super::pair::POSES`]
    /// of one set; poses with all pivots in line are left out.
    pub bands: Vec<Band>,
}

/// How far the panel's corners may lie off at one pose, by the slopes: hung with a rest on the wall,
/// elsewhere off their path.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Band {
    /// Fraction of the travel.
    pub s: f64,
    /// Largest shift of a corner per 0.01 mm of each dimension, mm, in the order of
    /// [`super::Dimension::ALL`].
    pub corners_per_hundredth: [f64; 8],
    /// All errors at their worst at once, mm; `None` without tolerances.
    pub worst: Option<f64>,
    /// Root of the sum of squares, mm; `None` likewise.
    pub root_sum_square: Option<f64>,
}

impl PartErrors {
    /// Works it all out: some hundred thousand closings of the loop, about 0.5 s on two processors
    /// (one set 0.12 s, the pair 0.04 s, the rest is the search for the widest tolerances). Pure: the same
    /// project and draws give the same result on any number of threads.
    #[must_use]
    pub fn new(project: &Project, analysis: &Analysis, draws: &Draws) -> Self {
        Self::worked_out(project, analysis, draws, Depth::Whole, &|| true)
    }

    /// The same for as long as `goes_on` says so; once it has said no it must go on saying so. `None`
    /// where it was given up.
    #[must_use]
    pub fn new_while(project: &Project, analysis: &Analysis, draws: &Draws, goes_on: GoesOn<'_>) -> Option<Self> {
        let found = Self::worked_out(project, analysis, draws, Depth::Whole, goes_on);
        goes_on().then_some(found)
    }

    /// Only what the rules are judged by: no allocation, no bands, and of measured parts no advice.
    #[must_use]
    pub fn to_judge(project: &Project, analysis: &Analysis, draws: &Draws) -> Self {
        Self::worked_out(project, analysis, draws, Depth::Verdict, &|| true)
    }

    /// What is found after `goes_on` has said no means nothing.
    fn worked_out(project: &Project, analysis: &Analysis, draws: &Draws, depth: Depth, goes_on: GoesOn<'_>) -> Self {
        let given = project.tolerances.as_ref();
        let built = given.and_then(|given| given.as_built.as_ref());
        let whole = depth == Depth::Whole;
        let one_set = OneSet::new_while(project, analysis, draws, goes_on);
        let drawn = given.and_then(PairTolerances::of);
        let (model, no_pair) = match PairModel::new(project, analysis) {
            Ok(model) => (Some(model), None),
            Err(missing) => (None, Some(missing)),
        };
        let judged = match (drawn, built) {
            (drawn, None) => drawn,
            // Without tolerances what was not measured is as drawn.
            (drawn, Some(built)) => {
                let tolerances = drawn.or_else(|| given.map(PairTolerances::mounted)).unwrap_or_default();
                Some(tolerances.measured(built, &analysis.lift))
            }
        };
        let known = model.as_ref().zip(judged.as_ref()).filter(|_| goes_on());
        let pair = known.map(|(model, tolerances)| PairFigures::new(model, draws, tolerances));
        let no_pair = no_pair.or_else(|| judged.is_none().then_some(NoPair::Tolerances));
        let allocation = one_set.as_ref().filter(|_| whole).map(|one| {
            Allocation::new_while(project, analysis, draws, one, model.as_ref().zip(drawn.as_ref()), goes_on)
        });
        let bands = if whole { bands(project, analysis) } else { Vec::new() };
        let advised = built.filter(|_| whole && goes_on());
        Self {
            draws: *draws,
            dimensions: Dimension::ALL,
            as_built: advised.map(|built| BuiltFigures::new(project, analysis, built, model.as_ref())),
            unmeasured_gap: built.and_then(|built| UnmeasuredGap::drawn(project, analysis, built, draws, goes_on)),
            wobble: Wobble::new(project, analysis),
            one_set,
            pair,
            no_pair,
            allocation,
            bands,
        }
    }
}

/// How much is worked out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Depth {
    Verdict,
    Whole,
}

fn bands(project: &Project, analysis: &Analysis) -> Vec<Band> {
    let tolerances = project.tolerances.as_ref().and_then(tolerances_of);
    let band = |index: usize| {
        #[allow(clippy::cast_precision_loss)] // few
        let pose = analysis.pose_at(index as f64 / (POSES - 1) as f64);
        let areas = CornerAreas::new(project, &analysis.lift, &pose, &tolerances.unwrap_or_default())?;
        Some(Band {
            s: pose.s,
            corners_per_hundredth: areas.slopes.map(|slope| 0.01 * slope),
            worst: tolerances.map(|_| areas.worst),
            root_sum_square: tolerances.map(|_| areas.root_sum_square),
        })
    };
    (0..POSES).filter_map(band).collect()
}
