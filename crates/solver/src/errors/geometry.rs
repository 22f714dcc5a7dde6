//! One set of links with its errors, and where it lets the panel be.

use nalgebra::{Matrix2x3, Rotation2, SMatrix, Vector2, Vector3};

use crate::lift::Lift;
use crate::project::Point;

/// What can be off in one set: four centre distances and four offsets of pivots from the datum edge
/// of their bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Dimension {
    /// Centre distance of the lower arm.
    LowerArm,
    /// Centre distance of the panel bar.
    PanelBar,
    /// Centre distance of the upper arm.
    UpperArm,
    /// Centre distance of the wall bar.
    WallBar,
    /// Lower wall pivot from the wall, positive away from it.
    WallLowerOffset,
    /// Upper wall pivot likewise.
    WallUpperOffset,
    /// Lower panel pivot from the panel's back, positive towards its front.
    PanelLowerOffset,
    /// Upper panel pivot likewise.
    PanelUpperOffset,
}

impl Dimension {
    /// All of them, in the order of [`Errors`].
    pub const ALL: [Self; 8] = [
        Self::LowerArm,
        Self::PanelBar,
        Self::UpperArm,
        Self::WallBar,
        Self::WallLowerOffset,
        Self::WallUpperOffset,
        Self::PanelLowerOffset,
        Self::PanelUpperOffset,
    ];

    /// In a sentence: "the lower arm's centre distance".
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::LowerArm => "the lower arm's centre distance",
            Self::PanelBar => "the panel bar's centre distance",
            Self::UpperArm => "the upper arm's centre distance",
            Self::WallBar => "the wall bar's centre distance",
            Self::WallLowerOffset => "the lower wall pivot's offset",
            Self::WallUpperOffset => "the upper wall pivot's offset",
            Self::PanelLowerOffset => "the lower panel pivot's offset",
            Self::PanelUpperOffset => "the upper panel pivot's offset",
        }
    }

    /// Whether it is a centre distance, which `tolerances.length` limits; else an offset.
    #[must_use]
    pub fn is_length(self) -> bool {
        matches!(self, Self::LowerArm | Self::PanelBar | Self::UpperArm | Self::WallBar)
    }
}

/// Errors in the order of [`Dimension::ALL`], mm.
pub type Errors = [f64; 8];

/// One set of links: wall pivots in side view, panel pivots in the panel frame, arms' lengths, mm.
/// Lower first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SetGeometry {
    /// Side view.
    pub wall: [Point; 2],
    /// Panel frame.
    pub panel: [Point; 2],
    /// Centre distances.
    pub arms: [f64; 2],
}

/// Where the panel is: its frame's origin and turn, counter-clockwise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PanelPlace {
    /// Side view, mm.
    pub origin: Point,
    /// Radians; minus the tilt.
    pub turn: f64,
}

impl PanelPlace {
    /// A point of the panel frame in side view.
    #[must_use]
    pub fn at(&self, point: Point) -> Point {
        self.origin + Rotation2::new(self.turn) * point.coords
    }

    /// Moved by a small displacement (x, y, turn).
    #[must_use]
    pub fn moved(&self, by: Vector3<f64>) -> Self {
        Self { origin: self.origin + by.xy(), turn: self.turn + by.z }
    }
}

impl SetGeometry {
    /// As drawn.
    #[must_use]
    pub fn nominal(lift: &Lift) -> Self {
        Self {
            wall: [lift.wall_lower, lift.wall_upper],
            panel: [lift.panel_lower, lift.panel_upper],
            arms: [lift.lengths.lower_arm, lift.lengths.upper_arm],
        }
    }

    /// With errors. A bar's lower pivot keeps its height; the upper one slides along the edge until
    /// the centre distance is right. `None` where the offsets are farther apart than that distance.
    #[must_use]
    pub fn with(&self, errors: &Errors) -> Option<Self> {
        let [lower_arm, panel_bar, upper_arm, wall_bar, wall_lower, wall_upper, panel_lower, panel_upper] = *errors;
        Some(Self {
            wall: bar_with(self.wall, [wall_lower, wall_upper], wall_bar)?,
            panel: bar_with(self.panel, [panel_lower, panel_upper], panel_bar)?,
            arms: [self.arms[0] + lower_arm, self.arms[1] + upper_arm],
        })
    }

    /// How much farther each arm's pivots are apart than it is long, mm; lower first.
    #[must_use]
    pub fn residual(&self, place: &PanelPlace) -> Vector2<f64> {
        let off = |arm: usize| (place.at(self.panel[arm]) - self.wall[arm]).norm() - self.arms[arm];
        Vector2::new(off(0), off(1))
    }

    /// Derivative of [`SetGeometry::residual`] by the panel's place.
    #[must_use]
    pub fn by_place(&self, place: &PanelPlace) -> Matrix2x3<f64> {
        let row = |arm: usize| {
            let along = self.along(place, arm);
            let about = place.at(self.panel[arm]) - place.origin;
            nalgebra::RowVector3::new(along.x, along.y, about.perp(&along))
        };
        Matrix2x3::from_rows(&[row(0), row(1)])
    }

    /// Derivative of [`SetGeometry::residual`] by each dimension, in the order of [`Dimension::ALL`].
    #[must_use]
    pub fn by_dimension(&self, place: &PanelPlace) -> SMatrix<f64, 2, 8> {
        let along = [self.along(place, 0), self.along(place, 1)];
        let turn = Rotation2::new(place.turn);
        let mut found = SMatrix::<f64, 2, 8>::zeros();
        (found[(0, 0)], found[(1, 2)]) = (-1.0, -1.0);
        // Bars: how the upper pivot slides.
        for (pivots, length, offsets, sign) in [(self.wall, 3, [4, 5], -1.0), (self.panel, 1, [6, 7], 1.0)] {
            let bar = pivots[1] - pivots[0];
            let carried = |along: Vector2<f64>| if sign > 0.0 { turn.inverse() * along } else { along };
            let [lower, upper] = along.map(carried);
            found[(1, length)] = sign * upper.y * bar.norm() / bar.y;
            found[(0, offsets[0])] = sign * lower.x;
            found[(1, offsets[0])] = sign * upper.y * bar.x / bar.y;
            found[(1, offsets[1])] = sign * (upper.x - upper.y * bar.x / bar.y);
        }
        found
    }

    /// Unit vector of an arm from its wall pivot.
    fn along(&self, place: &PanelPlace, arm: usize) -> Vector2<f64> {
        (place.at(self.panel[arm]) - self.wall[arm]).normalize()
    }
}

fn bar_with([lower, upper]: [Point; 2], offsets: [f64; 2], length: f64) -> Option<[Point; 2]> {
    let bar = upper - lower;
    let across = bar.x + offsets[1] - offsets[0];
    let long = bar.norm() + length;
    let up = (long - across) * (long + across);
    (up > 0.0).then(|| {
        let lower = Point::new(lower.x + offsets[0], lower.y);
        [lower, lower + Vector2::new(across, up.sqrt() * bar.y.signum())]
    })
}
