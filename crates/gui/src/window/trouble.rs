//! Where on the travel something is wrong, from what is known pose by pose.

use egui::{Color32, Painter, Rect, Shape, Stroke, pos2};
use overarm_solver::{Analysis, Project};

use super::theme::Palette;

/// What is wrong on a stretch of the travel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Panel or bars are nearer to the room than wanted: a solid line.
    TooNear,
    /// The strap must pull more than it may carry: a dashed line.
    OverLimit,
}

impl Kind {
    /// In words, after the stretch.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::TooNear => "nearer to the room than wanted",
            Self::OverLimit => "strap over its limit",
        }
    }
}

/// A stretch of the travel, from and to, 0 hung, 1 parked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// What is wrong there.
    pub kind: Kind,
    /// Its first pose.
    pub from: f64,
    /// Its last pose.
    pub to: f64,
}

/// Every stretch on which something is wrong at the poses that were analysed.
#[must_use]
pub fn stretches(project: &Project, analysis: &Analysis) -> Vec<Stretch> {
    let wanted = project.room.wanted_clearance();
    let limit = project.drive.as_ref().and_then(|drive| drive.strap_limit);
    let too_near = |index: usize| {
        let figures = &analysis.poses[index];
        [figures.panel_to_room, figures.bars_to_room].into_iter().flatten().any(|mm| mm < wanted)
    };
    let over = |index: usize| {
        let forces = analysis.forces.as_ref().ok().and_then(|forces| forces.poses.get(index).copied().flatten());
        matches!((forces.and_then(|forces| forces.tension), limit), (Some(pull), Some(limit)) if pull > limit)
    };
    let mut found = runs(analysis, Kind::TooNear, too_near);
    found.extend(runs(analysis, Kind::OverLimit, over));
    found
}

fn runs(analysis: &Analysis, kind: Kind, is_wrong: impl Fn(usize) -> bool) -> Vec<Stretch> {
    let mut found: Vec<Stretch> = Vec::new();
    let mut goes_on = false;
    for (index, figures) in analysis.poses.iter().enumerate() {
        let wrong = is_wrong(index);
        match found.last_mut().filter(|_| wrong && goes_on) {
            Some(stretch) => stretch.to = figures.pose.s,
            None if wrong => found.push(Stretch { kind, from: figures.pose.s, to: figures.pose.s }),
            None => {}
        }
        goes_on = wrong;
    }
    found
}

/// The stretches in a sentence; empty where nothing is wrong.
#[must_use]
pub fn words(stretches: &[Stretch]) -> String {
    let one = |stretch: &Stretch| {
        let [from, to] = [stretch.from, stretch.to].map(|s| s * 100.0);
        format!("; {} from {from:.0} % to {to:.0} %", stretch.kind.words())
    };
    stretches.iter().map(one).collect()
}

/// Paints the stretches beside the rail: too near above it, over the limit below.
pub fn paint(painter: &Painter, rail: Rect, y: f32, stretches: &[Stretch], palette: &Palette) {
    /// A single pose is still seen, points.
    const LEAST: f32 = 4.0;
    let colour: Color32 = palette.fails;
    for stretch in stretches {
        let at = |s: f64| {
            #[allow(clippy::cast_possible_truncation)] // the screen is f32
            let s = s as f32;
            egui::lerp(rail.left()..=rail.right(), s)
        };
        let (from, to) = (at(stretch.from), at(stretch.to).max(at(stretch.from) + LEAST));
        match stretch.kind {
            Kind::TooNear => {
                let line = [pos2(from, y - 8.0), pos2(to, y - 8.0)];
                painter.line_segment(line, Stroke::new(3.0, colour));
            }
            Kind::OverLimit => {
                let line = [pos2(from, y + 8.0), pos2(to, y + 8.0)];
                painter.extend(Shape::dashed_line(&line, Stroke::new(3.0, colour), 5.0, 3.0));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;
    use overarm_solver::{Options, analyse};

    fn found(project: &Project) -> Vec<Stretch> {
        stretches(project, &analyse(project, &Options { poses: 61, swept: false }))
    }

    #[test]
    fn what_is_nearer_than_wanted_is_a_stretch_and_what_holds_is_none() {
        let mut project = demo();
        project.room.clearance = Some(0.0);
        assert!(!found(&project).iter().any(|stretch| stretch.kind == Kind::TooNear));
        let analysis = analyse(&project, &Options { poses: 61, swept: false });
        let (s, least) = analysis
            .poses
            .iter()
            .filter_map(|figures| Some((figures.pose.s, figures.panel_to_room?)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .expect("the demo has a ceiling");
        project.room.clearance = Some(least + 5.0);
        let stretches = found(&project);
        assert!(stretches.iter().any(|stretch| stretch.kind == Kind::TooNear && (stretch.from..=stretch.to).contains(&s)));
        assert!(words(&stretches).contains("nearer to the room than wanted from"));
    }

    #[test]
    fn a_strap_that_may_carry_hardly_anything_is_over_its_limit() {
        let mut project = demo();
        project.drive.as_mut().expect("the demo has a drive").strap_limit = Some(1.0);
        assert!(found(&project).iter().any(|stretch| stretch.kind == Kind::OverLimit && stretch.to > stretch.from));
        project.drive.as_mut().expect("the demo has a drive").strap_limit = None;
        assert!(!found(&project).iter().any(|stretch| stretch.kind == Kind::OverLimit));
    }
}
