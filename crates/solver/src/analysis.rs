//! `analyse`: a project in, everything that is known about it out.

use crate::clearance::Clearances;
use crate::contact::Contact;
use crate::errors::{Draws, GoesOn, PartErrors};
use crate::failing_stretches::{FailingStretch, failing_stretches};
use crate::fixing_loads::FixingLoads;
use crate::forces::Forces;
use crate::lift::Lift;
use crate::masses::UnknownMaterial;
use crate::own_clearance::OwnClearance;
use crate::pose::Pose;
use crate::project::Project;
use crate::rules::{Rule, RuleFinding};
use crate::solids::Solids;
use crate::stop::Stop;
use crate::strap::Strap;
use crate::strap_clearance::StrapClearance;
use crate::strength::Strength;
use crate::swept::Swept;
use crate::travel::Travel;

/// What an analysis should go into.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Options {
    /// Poses reported, equal steps of s from hung to parked; at least 2.
    pub poses: usize,
    /// Whether the swept outlines are wanted.
    pub swept: bool,
}

impl Default for Options {
    fn default() -> Self {
        Self { poses: 61, swept: true }
    }
}

/// Everything known about a lift, computed from the project alone.
#[derive(Clone, Debug)]
pub struct Analysis {
    /// The linkage and the shapes that it carries.
    pub lift: Lift,
    /// The path from hung to parked with its events.
    pub travel: Travel,
    /// Figures at equal steps of s.
    pub poses: Vec<PoseFigures>,
    /// Least distances over the whole travel.
    pub clearances: Clearances,
    /// What stops the fold.
    pub stop: Stop,
    /// First touch of every pair that can touch, in the order of the travel.
    pub contacts: Vec<Contact>,
    /// The bars of one set, reliefs cut.
    pub solids: Solids,
    /// Least distances of the lift's own parts to each other, the nearest first.
    pub own: Vec<OwnClearance>,
    /// The strap over the whole travel, where a drive is given.
    pub strap: Option<Strap>,
    /// Least distances of drum and strap to everything else, the nearest first.
    pub strap_clearances: Vec<StrapClearance>,
    /// Forces over the travel, or why they are not known.
    pub forces: Result<Forces, UnknownMaterial>,
    /// Strength of the bars over the travel; `None` where the forces are not known.
    pub strength: Option<Strength>,
    /// The wall bar's screws over the travel, or what of them is missing or cannot be.
    pub fixings: Result<FixingLoads, String>,
    /// What panel and arms sweep, where asked for.
    pub swept: Option<Swept>,
    /// What errors of parts do; `None` until [`Analysis::with_errors_drawn`] puts it in.
    pub errors: Option<PartErrors>,
    /// Every rule of the contract, in its order.
    pub rules: Vec<RuleFinding>,
    /// Where on the travel rules fail.
    pub failing: Vec<FailingStretch>,
}

/// One reported pose with its distances.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PoseFigures {
    /// The pose.
    pub pose: Pose,
    /// Least distance of the panel to ceiling and solids, mm; negative = overlap depth; `None`
    /// when there is nothing but the wall run.
    pub panel_to_room: Option<f64>,
    /// Likewise of arms and panel bar.
    pub bars_to_room: Option<f64>,
}

impl Analysis {
    /// The pose at a fraction of the travel, s in 0…1.
    #[must_use]
    pub fn pose_at(&self, s: f64) -> Pose {
        self.travel.pose_at(&self.lift, s)
    }

    /// The same analysis with errors of its project's parts drawn, and the rules about them judged by
    /// what they do. It takes as long as [`PartErrors::new`] does.
    #[must_use]
    pub fn with_errors_drawn(self, project: &Project, draws: &Draws) -> Self {
        let errors = PartErrors::new(project, &self, draws);
        self.with(project, errors)
    }

    /// The same for as long as `goes_on` says so, as [`PartErrors::new_while`].
    #[must_use]
    pub fn with_errors_drawn_while(self, project: &Project, draws: &Draws, goes_on: GoesOn<'_>) -> Option<Self> {
        let errors = PartErrors::new_while(project, &self, draws, goes_on)?;
        Some(self.with(project, errors))
    }

    /// The same with no more than the rules are judged by, as [`PartErrors::to_judge`].
    #[must_use]
    pub fn judged_by_errors(self, project: &Project, draws: &Draws) -> Self {
        let errors = PartErrors::to_judge(project, &self, draws);
        self.with(project, errors)
    }

    fn with(mut self, project: &Project, errors: PartErrors) -> Self {
        self.errors = Some(errors);
        self.rules = crate::rules::judged_anew(project, &self, &Rule::BY_ERRORS);
        self.failing = failing_stretches(project, &self);
        self
    }

    /// Whether no checked rule fails.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.rules.iter().all(|rule| rule.holds != Some(false))
    }
}

/// Analyses a project that [`Project::validate`] accepts. Pure: same project, same result.
#[must_use]
pub fn analyse(project: &Project, options: &Options) -> Analysis {
    let lift = Lift::new(project);
    let room = crate::room::RoomShape::new(&project.room);
    let travel = Travel::find(project, &lift, &room);
    let poses = crate::clearance::figures(&lift, &travel, &room, options.poses.max(2));
    let clearances = Clearances::new(&lift, &travel, &room);
    let (stop, contacts) = crate::stop::find(project, &lift, &travel, &room);
    let swept = options.swept.then(|| Swept::new(project, &lift, &travel, &room));
    let solids = Solids::new(project, &lift, &travel, &stop);
    let stop = stop.bearing_on(project, &lift, &travel, &solids);
    let own = OwnClearance::every(project, &lift, &travel, &stop);
    let strap = Strap::along(project, &lift, &travel);
    let strap_clearances =
        strap.as_ref().map_or_else(Vec::new, |strap| StrapClearance::every(project, &lift, &travel, &room, strap));
    let at = poses.iter().map(|figures| figures.pose);
    let forces = Forces::new(project, &lift, &travel, &solids, &stop, strap.as_ref(), at);
    let strength = forces.as_ref().ok().map(|forces| Strength::new(project, &lift, &solids, &stop, forces, &poses));
    let mut analysis = Analysis {
        lift,
        travel,
        poses,
        clearances,
        stop,
        contacts,
        solids,
        own,
        strap,
        strap_clearances,
        forces,
        strength,
        fixings: Err(String::new()),
        swept,
        errors: None,
        rules: Vec::new(),
        failing: Vec::new(),
    };
    analysis.fixings = FixingLoads::new(project, &analysis);
    analysis.rules = crate::rules::check_all(project, &analysis);
    analysis.failing = failing_stretches(project, &analysis);
    analysis
}
