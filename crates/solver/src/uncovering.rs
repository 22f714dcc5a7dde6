//! What the parked lift leaves free of the wall: seen straight on, and from an eye in the room.

use crate::analysis::Analysis;
use crate::lift::{ArmName, Lift};
use crate::pose::Pose;
use crate::project::{PartName, Point, Uncover};

/// What is free of the wall when parked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uncovering {
    /// The lowest point of panel and arms, side view.
    pub lowest: Point,
    /// Whose it is.
    pub part: PartName,
    /// Height from the bottom of the wanted range up to the lowest point, mm; 0 or more.
    pub free: f64,
    /// What an eye sees below, where one is given.
    pub seen: Option<Seen>,
}

/// What an eye sees of the wall from below.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Seen {
    /// The wall up to this height, mm; panel or arms hide what follows.
    UpTo(f64),
    /// Nothing of the lift is between the eye and the wall.
    All,
    /// The lift hides the wall from the floor on, or the eye is inside of it.
    Nothing,
    /// The eye is not in front of the wall.
    EyeInWall,
}

impl Uncovering {
    /// At the end of the travel.
    #[must_use]
    pub fn parked(wanted: &Uncover, analysis: &Analysis) -> Self {
        let (lift, pose) = (&analysis.lift, analysis.pose_at(1.0));
        let (lowest, part) = lowest(lift, &pose);
        Self {
            lowest,
            part,
            free: (lowest.y - wanted.bottom).max(0.0),
            seen: wanted.eye.map(|eye| match eye.x <= 0.0 {
                true => Seen::EyeInWall,
                false => seen_from(eye, &silhouettes(lift, &pose)),
            }),
        }
    }
}

/// The lowest point of panel and arms.
fn lowest(lift: &Lift, pose: &Pose) -> (Point, PartName) {
    let mut points: Vec<(Point, PartName)> = lift.panel_corners(pose).map(|p| (p, PartName::Panel)).to_vec();
    for arm in ArmName::BOTH {
        let below = |p: Point| Point::new(p.x, p.y - lift.arm_radius(arm));
        points.extend(lift.arm_axis(arm, pose).map(|p| (below(p), arm.part())));
    }
    points.into_iter().min_by(|a, b| a.0.y.total_cmp(&b.0.y)).unwrap_or((pose.origin(), PartName::Panel))
}

/// A convex shape: all points within a radius of the hull of some points.
struct Silhouette {
    corners: Vec<Point>,
    radius: f64,
}

fn silhouettes(lift: &Lift, pose: &Pose) -> Vec<Silhouette> {
    let arm = |arm| Silhouette { corners: lift.arm_axis(arm, pose).to_vec(), radius: lift.arm_radius(arm) };
    vec![
        Silhouette { corners: lift.panel_corners(pose).to_vec(), radius: 0.0 },
        arm(ArmName::Lower),
        arm(ArmName::Upper),
    ]
}

/// How high the wall x = 0 is seen before one of the shapes hides it.
fn seen_from(eye: Point, shapes: &[Silhouette]) -> Seen {
    if eye.x <= 0.0 {
        return Seen::Nothing;
    }
    shapes.iter().map(|shape| shape.hides_from(eye)).fold(Seen::All, Seen::less)
}

impl Seen {
    fn less(self, other: Self) -> Self {
        match (self, other) {
            (Self::Nothing | Self::EyeInWall, _) | (_, Self::Nothing | Self::EyeInWall) => Self::Nothing,
            (Self::All, some) | (some, Self::All) => some,
            (Self::UpTo(one), Self::UpTo(another)) => Self::UpTo(one.min(another)),
        }
    }
}

impl Silhouette {
    /// Angles are those of lines of sight over the level one towards the wall, upwards positive:
    /// only those within ±90° reach the wall.
    fn hides_from(&self, eye: Point) -> Seen {
        use std::f64::consts::{FRAC_PI_2, TAU};
        let mut range: Option<(f64, f64, f64)> = None;
        for corner in &self.corners {
            let way = corner - eye;
            let distance = way.norm();
            if distance <= self.radius {
                return Seen::Nothing;
            }
            let (angle, half) = (way.y.atan2(-way.x), (self.radius / distance).asin());
            let (first, low, high) = range.unwrap_or((angle, angle, angle));
            // Seen from outside, a convex shape takes less than half a turn: go on from the first.
            let angle = first + crate::circuit::principal(angle - first);
            range = Some((first, low.min(angle - half), high.max(angle + half)));
        }
        let Some((_, low, high)) = range else { return Seen::All };
        if self.contains(eye) {
            return Seen::Nothing;
        }
        // Whole turns further it is the same direction.
        let reach = [-TAU, 0.0, TAU].into_iter().filter(|turn| low + turn < FRAC_PI_2 && high + turn > -FRAC_PI_2);
        reach.map(|turn| low + turn).fold(Seen::All, |seen, low| {
            let next = if low <= -FRAC_PI_2 { Seen::Nothing } else { Seen::UpTo(eye.y + eye.x * low.tan()) };
            seen.less(next)
        })
    }

    /// Whether a point lies inside: on one side of every edge, or within the radius of one.
    fn contains(&self, point: Point) -> bool {
        let count = self.corners.len();
        let edges = (0..count).map(|index| [self.corners[index], self.corners[(index + 1) % count]]);
        let mut sides = edges.map(|[from, to]| {
            let near = (crate::distance::nearest_on_segment(point, [from, to]) - point).norm() <= self.radius;
            ((to - from).perp(&(point - from)), near)
        });
        let inside = count > 2 && sides.clone().all(|(side, _)| side >= 0.0);
        inside || sides.any(|(_, near)| near)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block(left: f64, bottom: f64, right: f64, top: f64) -> Silhouette {
        let corners = [[left, bottom], [right, bottom], [right, top], [left, top]].map(Point::from);
        Silhouette { corners: corners.to_vec(), radius: 0.0 }
    }

    #[track_caller]
    fn up_to(seen: Seen, height: f64) {
        assert!(matches!(seen, Seen::UpTo(mm) if (mm - height).abs() < 1e-9), "{seen:?} against {height}");
    }

    #[test]
    fn one_of_a_boards_lower_edges_limits_the_view() {
        // By hand: an eye 1600 up and 2000 out, under a board 400…1000 out and 2000 up. The edge at
        // the wall's side is 400 higher over 1600 mm, so the wall is seen to 1600 + 2000 / 4.
        let board = block(400.0, 2000.0, 1000.0, 2035.0);
        up_to(seen_from(Point::new(2000.0, 1600.0), &[board]), 2100.0);
        // From above the board its near edge counts: 400 lower over 1000.
        let board = block(400.0, 2000.0, 1000.0, 2035.0);
        up_to(seen_from(Point::new(2000.0, 2400.0), &[board]), 2400.0 - 2000.0 * 400.0 / 1000.0);
        // Straight on.
        let board = block(400.0, 2000.0, 1000.0, 2035.0);
        up_to(seen_from(Point::new(1500.0, 2000.0), &[board]), 2000.0);
    }

    #[test]
    fn round_ends_hide_by_their_tangent() {
        // A round end of radius 30 about (600, 2000), eye at (1000, 1700): it is 500 away, 3 : 4.
        // The lower tangent is asin(30/500) below atan2(300, 400).
        let arm = Silhouette { corners: vec![Point::new(600.0, 2000.0), Point::new(600.0, 2400.0)], radius: 30.0 };
        let angle = (0.75_f64).atan() - (0.06_f64).asin();
        up_to(seen_from(Point::new(1000.0, 1700.0), &[arm]), 1700.0 + 1000.0 * angle.tan());
    }

    #[test]
    fn what_is_behind_the_eye_hides_nothing() {
        let board = block(1200.0, 1400.0, 1800.0, 2035.0);
        assert_eq!(seen_from(Point::new(1000.0, 1600.0), &[board]), Seen::All);
        assert_eq!(seen_from(Point::new(1000.0, 1600.0), &[]), Seen::All);
        // Right above the eye it hides only what no line of sight below the vertical reaches.
        let above = block(900.0, 2000.0, 1800.0, 2035.0);
        up_to(seen_from(Point::new(1000.0, 1600.0), &[above]), 1600.0 + 1000.0 * 400.0 / 100.0);
        // Right below the eye: the wall is hidden from the floor on.
        let below = block(900.0, 1000.0, 1800.0, 1100.0);
        assert_eq!(seen_from(Point::new(1000.0, 1600.0), &[below]), Seen::Nothing);
    }

    #[test]
    fn an_eye_in_the_lift_or_in_the_wall_sees_nothing() {
        assert_eq!(seen_from(Point::new(1000.0, 1600.0), &[block(900.0, 1500.0, 1100.0, 1700.0)]), Seen::Nothing);
        assert_eq!(seen_from(Point::new(-1.0, 1600.0), &[]), Seen::Nothing);
        let arm = Silhouette { corners: vec![Point::new(900.0, 1610.0), Point::new(1200.0, 1610.0)], radius: 12.0 };
        assert_eq!(seen_from(Point::new(1000.0, 1600.0), &[arm]), Seen::Nothing);
    }
}
