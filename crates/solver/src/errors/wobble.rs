//! How far the panel's corners can be moved by hand: play of the hinges alone.
//!
//! In its plane each arm is longer or shorter by the play of its two hinges, and by what the tilt of
//! their pins makes over the offset of the arm's layer from its bar's. Sideways, two bearings a span
//! apart let a pin tilt by twice the play over the span; all arms lean that way together, the shorter
//! one as far as it can, while the play in plane lets the panel yaw between its two sets.

use super::geometry::{PanelPlace, SetGeometry};
use super::sensitivity::{Held, panel_by_dimension};
use crate::analysis::Analysis;
use crate::project::{Build, Project};
use crate::sideways::bearing_span;

/// Movement of the panel's corners from play alone, either way, mm.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Wobble {
    /// In side view, hung.
    pub hung: f64,
    /// In side view where it is most.
    pub most: f64,
    /// There, s.
    pub most_s: f64,
    /// Along the wall; `None` with one bearing in a hinge, or where its size is not known.
    pub sideways: Option<f64>,
    /// Tilt of a pin, radians; `None` likewise.
    pub pin_tilt: Option<f64>,
}

/// Poses looked at.
const POSES: u32 = 33;

impl Wobble {
    /// The wobble of a lift; `None` where no play is given, or all pivots are in line somewhere.
    #[must_use]
    pub fn new(project: &Project, analysis: &Analysis) -> Option<Self> {
        let joints = project.joints.as_ref()?;
        let play = joints.radial_play?;
        let lift = &analysis.lift;
        let span = joints.bearing_span.or_else(|| bearing_span(project).map(|(span, _)| span));
        let pin_tilt = span.filter(|span| *span > 0.0).map(|span| 2.0 * play / span);
        // Between the middles of the arms' and the bars' layers.
        let bars = &project.bars;
        let offset = |arm: f64| {
            let bar = 0.5 * (bars.wall_bar.depth + bars.panel_bar.depth);
            match bars.build {
                Build::Lapped => 0.25 * (bar + arm),
                Build::Sandwich => 0.5 * (bar + arm),
            }
        };
        let longer = [bars.lower_arm.depth, bars.upper_arm.depth]
            .map(|depth| 2.0 * (play + pin_tilt.unwrap_or(0.0) * offset(depth)));
        let set = SetGeometry::nominal(lift);
        let (mut hung, mut most, mut most_s) = (0.0, 0.0, 0.0);
        for index in 0..POSES {
            let pose = analysis.pose_at(f64::from(index) / f64::from(POSES - 1));
            let place = PanelPlace { origin: pose.origin(), turn: -pose.tilt };
            let by = panel_by_dimension(&set, &place, Held::Corners(&lift.panel))?;
            let moves = lift.panel.corners().iter().fold(0.0, |most, corner| {
                let about = place.at(*corner) - place.origin;
                let of = |dimension: usize| {
                    let shift = by.column(dimension);
                    nalgebra::Vector2::new(shift.x - about.y * shift.z, shift.y + about.x * shift.z)
                };
                let (lower, upper) = (longer[0] * of(0), longer[1] * of(2));
                f64::max(most, f64::max((lower + upper).norm(), (lower - upper).norm()))
            });
            if index == 0 {
                hung = moves;
            }
            if moves > most {
                (most, most_s) = (moves, pose.s);
            }
        }
        let sideways = pin_tilt.map(|tilt| {
            let arms = lift.lengths.lower_arm.min(lift.lengths.upper_arm);
            let yaw = 2.0 * most / project.set_spacing().max(f64::MIN_POSITIVE);
            tilt * arms + yaw * 0.5 * lift.panel.most.coords.norm()
        });
        Some(Self { hung, most, most_s, sideways, pin_tilt })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::Joints;
    use crate::{Options, analyse};

    fn board(play: f64, span: Option<f64>) -> (Project, Analysis) {
        let mut project = crate::samples::board();
        project.joints = Some(Joints { radial_play: Some(play), bearing_span: span, ..Joints::default() });
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        (project, analysis)
    }

    /// A pin with 0.1 mm over a span of 50 mm lets 900 mm of arm move by 1.8 mm (common practice):
    /// 0.05 mm to each side.
    #[test]
    fn play_over_a_span_grows_with_reach() {
        let (project, analysis) = board(0.05, Some(50.0));
        let found = Wobble::new(&project, &analysis).expect("play is given");
        let tilt = found.pin_tilt.expect("a span is given");
        assert!((tilt * 900.0 - 1.8).abs() < 1e-9, "{tilt}");
        assert!(found.sideways.expect("a span is given") > tilt * 456.0);
    }

    /// Twice the play is twice the wobble; without a span nothing is said of sideways; and the panel
    /// really can be there: moved so, with arms longer and shorter by their play, the loop closes.
    #[test]
    fn grows_with_play_and_closes() {
        let wobble = |play| {
            let (project, analysis) = board(play, None);
            Wobble::new(&project, &analysis).expect("play is given")
        };
        let (one, two) = (wobble(0.01), wobble(0.02));
        assert!((two.most - 2.0 * one.most).abs() < 1e-9 && one.sideways.is_none());
        let (_, analysis) = board(0.001, None);
        let set = SetGeometry::nominal(&analysis.lift);
        let pose = analysis.pose_at(0.0);
        let place = PanelPlace { origin: pose.origin(), turn: -pose.tilt };
        let by = panel_by_dimension(&set, &place, Held::Corners(&analysis.lift.panel)).expect("not in line");
        let longer = set.with(&[0.002, 0.0, -0.002, 0.0, 0.0, 0.0, 0.0, 0.0]).expect("a set");
        let shift = 0.002 * (by.column(0) - by.column(2));
        let moved = place.moved(shift);
        assert!(longer.residual(&moved).amax() < 0.01 * 0.002, "{}", longer.residual(&moved));
        let corner = |at: &PanelPlace, corner: &crate::project::Point| at.at(*corner);
        let most = analysis
            .lift
            .panel
            .corners()
            .iter()
            .map(|of| (corner(&moved, of) - corner(&place, of)).norm())
            .fold(0.0, f64::max);
        assert!((10.0 * most - one.hung).abs() < 0.01 * one.hung, "{most} {}", one.hung);
    }
}
