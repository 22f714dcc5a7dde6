//! How far arms and panel turn between two placements, at most: from the directions alone.
//!
//! An angle costs as much as a whole placement; the chord between the ends of two directions costs
//! a root. Good for placements between which nothing turns by more than half a revolution, which
//! [`crate::certify::Stretch`] sees to with its cuts.

use nalgebra::Vector2;

use crate::lift::{ArmName, Lift};
use crate::pose::Placement;

/// The arc over a chord, from above: as long as what moves on a circle of this radius from one end
/// of the chord to the other, by at most half a revolution, or a little longer.
///
/// With c = chord / radius, the arc is radius · 2·asin(c / 2) = radius · c·(1 + c²/24 + …). Every
/// coefficient of that series is positive, so (arc / chord − 1) / c² rises with c; at half a
/// revolution, c = 2, it is (π/2 − 1) / 4 = 0.1427, less than 1/7. Arcs of a tenth of a radian come
/// out 0.1 % too long, those of half a revolution 0.04 %.
pub(crate) fn longest_arc(chord: f64, radius: f64) -> f64 {
    // No chord is longer than the diameter; nothing moves on a circle of no radius.
    let share = (chord / radius).min(2.0);
    radius * share * (1.0 + share * share / 7.0)
}

/// How far the panel end of an arm moves.
pub(crate) fn panel_end(lift: &Lift, arm: ArmName, from: &Placement, to: &Placement) -> f64 {
    let chord = match arm {
        ArmName::Lower => to.panel_lower - from.panel_lower,
        ArmName::Upper => to.panel_upper - from.panel_upper,
    };
    longest_arc(chord.norm(), lift.arm_length(arm))
}

/// Turn of the panel, radians.
pub(crate) fn panel(from: &Placement, to: &Placement) -> f64 {
    let [one, other] =
        [from, to].map(|at| Vector2::new(at.room_from_panel.rotation.re, at.room_from_panel.rotation.im));
    longest_arc((other - one).norm(), 1.0)
}

/// Turn of an arm against the panel, radians.
pub(crate) fn arm_in_panel(lift: &Lift, arm: ArmName, from: &Placement, to: &Placement) -> f64 {
    let length = lift.arm_length(arm);
    let direction = |at: &Placement| {
        let [wall, panel] = lift.arm_axis(arm, at);
        at.room_from_panel.rotation.inverse_transform_vector(&(panel - wall))
    };
    longest_arc((direction(to) - direction(from)).norm() / length, 1.0)
}

/// Turn of the arms against each other, radians.
pub(crate) fn arm_against_arm(lift: &Lift, from: &Placement, to: &Placement) -> f64 {
    // The upper arm's direction seen from the lower arm, as long as both lengths multiplied.
    let direction = |at: &Placement| {
        let [lower, upper] = ArmName::BOTH.map(|arm| {
            let [wall, panel] = lift.arm_axis(arm, at);
            panel - wall
        });
        Vector2::new(lower.dot(&upper), lower.perp(&upper))
    };
    let size = lift.lengths.lower_arm * lift.lengths.upper_arm;
    longest_arc((direction(to) - direction(from)).norm() / size, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::certify::Stretch;
    use proptest::prelude::*;
    use std::f64::consts::{PI, TAU};

    proptest! {
        #[test]
        fn an_arc_is_never_told_too_short_and_a_short_one_hardly_too_long(turn in 0.0..PI, radius in 1e-3..1e4) {
            let told = longest_arc(2.0 * radius * (0.5 * turn).sin(), radius);
            let arc = radius * turn;
            prop_assert!(told >= arc * (1.0 - 1e-14));
            prop_assert!(told <= arc * (1.0 + 0.11 * turn * turn));
        }

        /// On every linkage that closes: between two places of one piece of the whole loop, from
        /// directions never less than from angles.
        #[test]
        fn no_turn_is_told_too_small(
            heights in [200.0..900.0, 900.0..1500.0, 100.0..500.0, 500.0..1200.0],
            off in [0.0..60.0, 0.0..60.0, -60.0..0.0, -60.0..0.0],
            shares in [0.0..1.0, 0.0..1.0],
        ) {
            let mut project = crate::samples::board();
            let linkage = &mut project.linkage;
            let pivots =
                [&mut linkage.wall_lower, &mut linkage.wall_upper, &mut linkage.panel_lower, &mut linkage.panel_upper];
            for ((pivot, height), off) in pivots.into_iter().zip(heights).zip(off) {
                *pivot = crate::Point::new(off, height);
            }
            let lift = Lift::new(&project);
            let stretch = Stretch::new(&lift, lift.phase_at_hung(), 1.0, TAU);
            for pair in stretch.cuts.windows(2) {
                let at = shares.map(|share| lift.pose(stretch.phase(pair[0] + share * (pair[1] - pair[0])), 0.0));
                let [from, to] = &at;
                let told_and_true = [
                    (panel_end(&lift, ArmName::Lower, from, to) / lift.lengths.lower_arm, to.lower_arm - from.lower_arm),
                    (panel_end(&lift, ArmName::Upper, from, to) / lift.lengths.upper_arm, to.upper_arm - from.upper_arm),
                    (panel(from, to), to.tilt - from.tilt),
                    (
                        arm_in_panel(&lift, ArmName::Lower, from, to),
                        to.arm_in_panel(ArmName::Lower) - from.arm_in_panel(ArmName::Lower),
                    ),
                    (
                        arm_in_panel(&lift, ArmName::Upper, from, to),
                        to.arm_in_panel(ArmName::Upper) - from.arm_in_panel(ArmName::Upper),
                    ),
                    (
                        arm_against_arm(&lift, from, to),
                        (to.upper_arm - to.lower_arm) - (from.upper_arm - from.lower_arm),
                    ),
                ];
                for (told, turn) in told_and_true {
                    prop_assert!(told >= turn.abs() - 1e-9, "{told} against {turn}");
                    prop_assert!(told <= turn.abs() * (1.0 + 0.11 * turn * turn) + 1e-9, "{told} against {turn}");
                }
            }
        }
    }

    #[test]
    fn nothing_moves_on_a_circle_of_no_radius() {
        assert!(longest_arc(0.0, 0.0).abs() < f64::MIN_POSITIVE);
    }
}
