//! A stop pin: a collar on a bar that another part meets.

use nalgebra::Vector2;

use crate::lift::{ArmName, Lift};
use crate::pose::Placement;
use crate::project::{Bars, PartName, Point};
use crate::turns;

/// A stop pin's collar as a disc that goes along with its bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct StopPinShape {
    /// The bar that carries it.
    pub bar: PartName,
    /// In that bar's part frame: origin at its lower (arms: wall-side) pivot, x towards the other.
    at: Vector2<f64>,
    pub radius: f64,
}

impl StopPinShape {
    /// The project's pin; `None` where it has none, or names something that is no bar.
    pub fn new(bars: &Bars) -> Option<Self> {
        let pin = bars.stop_pin.as_ref()?;
        let is_bar =
            matches!(pin.bar, PartName::WallBar | PartName::PanelBar | PartName::LowerArm | PartName::UpperArm);
        is_bar.then_some(Self { bar: pin.bar, at: pin.at.coords, radius: 0.5 * pin.diameter })
    }

    /// The collar's middle at a pose, side view.
    pub fn centre(&self, lift: &Lift, pose: &Placement) -> Point {
        let between = |from: Point, to: Point| {
            let along = (to - from).normalize();
            from + along * self.at.x + Vector2::new(-along.y, along.x) * self.at.y
        };
        let on_arm = |arm: ArmName| {
            let [wall, panel] = lift.arm_axis(arm, pose);
            between(wall, panel)
        };
        match self.bar {
            PartName::LowerArm => on_arm(ArmName::Lower),
            PartName::UpperArm => on_arm(ArmName::Upper),
            PartName::PanelBar => between(pose.panel_lower, pose.panel_upper),
            _ => between(lift.wall_lower, lift.wall_upper),
        }
    }

    /// The collar moves no farther than this between two poses of one monotone piece, mm.
    pub fn most_motion(&self, lift: &Lift, from: &Placement, to: &Placement) -> f64 {
        let end = |arm: ArmName| turns::panel_end(lift, arm, from, to);
        let on_arm = |arm: ArmName| self.at.norm() / lift.arm_length(arm) * end(arm);
        match self.bar {
            PartName::LowerArm => on_arm(ArmName::Lower),
            PartName::UpperArm => on_arm(ArmName::Upper),
            PartName::PanelBar => end(ArmName::Lower) + self.at.norm() * turns::panel(from, to),
            _ => 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::project::{PartName, Point, StopPin, TravelWanted};
    use crate::{Build, Options, StopKind, analyse};

    #[test]
    fn a_sandwich_stops_on_its_pin() {
        let mut project = crate::samples::board();
        project.bars.build = Build::Sandwich;
        // A collar on the lower arm, half way, on the side of the upper arm.
        project.bars.stop_pin = Some(StopPin {
            bar: PartName::LowerArm,
            at: Point::new(300.0, 26.0),
            diameter: 10.0,
            more: crate::project::More::default(),
        });
        project.linkage.travel_deg = TravelWanted::ToStop;
        let analysis = analyse(&project, &Options::default());
        let contact = analysis.stop.contact.as_ref().expect("it stops");
        assert_eq!(analysis.stop.kind, Some(StopKind::Pin));
        assert_eq!(contact.parts, [PartName::LowerArm, PartName::UpperArm]);
        // The collar's middle is one and a half radii off the upper arm's axis: by hand.
        let [from, to] = analysis.lift.upper_arm_axis(&contact.pose);
        let axis = (to - from).normalize();
        let lower = analysis.lift.lower_arm_axis(&contact.pose);
        let along = (lower[1] - lower[0]).normalize();
        let middle = lower[0] + along * 300.0 + nalgebra::Vector2::new(-along.y, along.x) * 26.0;
        let off = axis.perp(&(middle - from)).abs();
        assert!((off - (12.7 + 5.0)).abs() < 1e-4, "{off}");
        assert!(contact.turn > 0.1);
    }
}
