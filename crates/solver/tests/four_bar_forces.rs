//! Forces in four-bar linkages against worked examples: the drive is a torque on the lower arm.
//!
//! Angles from the ground line, counter-clockwise; a input arm, b coupler (panel bar), c output arm,
//! d ground line along +x.

use nalgebra::{Point2, Vector2};
use overarm_solver::{Actions, Pins, Wrench};

/// Pins of a linkage on a ground line along +x; `side` +1 the open circuit, −1 the crossed one.
fn pins(a: f64, b: f64, c: f64, d: f64, input_deg: f64, side: f64) -> Pins {
    let input = input_deg.to_radians();
    let wall_lower = Point2::origin();
    let wall_upper = Point2::new(d, 0.0);
    let panel_lower = wall_lower + a * Vector2::new(input.cos(), input.sin());
    let line = wall_upper - panel_lower;
    let r = line.norm();
    let foot = (b * b - c * c + r * r) / (2.0 * r);
    let height = (b * b - foot * foot).sqrt();
    let along = line / r;
    let panel_upper = panel_lower + foot * along + side * height * Vector2::new(-along.y, along.x);
    Pins { wall_lower, panel_lower, panel_upper, wall_upper }
}

/// Torque on the lower arm that keeps the balance, and the pin forces.
fn torque(pins: &Pins, given: &Actions) -> overarm_solver::Balance {
    let drive = Actions { lower_arm: Wrench::moment(1.0), ..Actions::default() };
    pins.balance(given, &drive).expect("a torque on the lower arm works")
}

fn on_panel(pins: &Pins, force: Vector2<f64>, at: Point2<f64>) -> Actions {
    Actions { panel: Wrench::at(force, at, pins.panel_lower), ..Actions::default() }
}

fn close(found: f64, expected: f64, relative: f64) {
    assert!((found - expected).abs() <= relative * expected.abs(), "{found} against {expected}");
}

/// S. S. Rattan, Theory of Machines, example 12.1: a force on the output arm. The book's answer is
/// graphical (about 18.3 N·m, from memory); recomputed −18.69, and 4.73 on the crossed circuit.
#[test]
fn a_force_on_the_output_arm() {
    for (side, expected) in [(1.0, -18_690.0), (-1.0, 4_730.0)] {
        let pins = pins(400.0, 1000.0, 750.0, 500.0, 120.0, side);
        let at = pins.wall_upper + 350.0 / 750.0 * (pins.panel_upper - pins.wall_upper);
        let angle = 150.0_f64.to_radians();
        let force = 80.0 * Vector2::new(angle.cos(), angle.sin());
        let given = Actions { upper_arm: Wrench::at(force, at, pins.wall_upper), ..Actions::default() };
        close(torque(&pins, &given).drive, expected, 1e-3);
        if side > 0.0 {
            close(torque(&pins, &given).drive.abs(), 18_300.0, 0.03);
        }
    }
}

/// A load on the coupler of R. L. Norton's example 4-1 linkage ×10. Worked out three ways that
/// agree: virtual work, nine free-body equations, finite difference of the potential.
#[test]
fn a_load_on_the_coupler() {
    for (side, expected, output, at_input) in
        [(1.0, 45_018.77, 136.5460, 112.5612), (-1.0, 26_768.76, 128.9663, 74.4879)]
    {
        let pins = pins(400.0, 1200.0, 800.0, 1000.0, 40.0, side);
        let along = (pins.panel_upper - pins.panel_lower).normalize();
        let at = pins.panel_lower + 600.0 * along + 200.0 * Vector2::new(-along.y, along.x);
        let found = torque(&pins, &on_panel(&pins, Vector2::new(0.0, -200.0), at));
        close(found.drive, expected, 1e-6);
        close(found.panel_upper.norm(), output, 1e-6);
        close(found.wall_lower.norm(), at_input, 1e-6);
        // Arms without mass: their two pins pull or push along them.
        let axis = (pins.panel_upper - pins.wall_upper).normalize();
        assert!(axis.perp(&found.panel_upper).abs() < 1e-9);
        // The open circuit pushes on the output arm, the crossed one pulls: by hand from its sign.
        assert_eq!(axis.dot(&found.panel_upper) < 0.0, side > 0.0);
    }
}

/// A parallelogram: the torque is W · a · cos θ wherever the load sits (closed form).
#[test]
fn a_parallelogram_does_not_mind_where_the_load_sits() {
    for (p, q) in [(0.0, 0.0), (100.0, 0.0), (200.0, -50.0), (-300.0, 400.0)] {
        let pins = pins(300.0, 200.0, 300.0, 200.0, 60.0, 1.0);
        let at = pins.panel_lower + Vector2::new(p, q);
        close(torque(&pins, &on_panel(&pins, Vector2::new(0.0, -100.0), at)).drive, 15_000.0, 1e-12);
    }
}

/// Towards a dead point of the input arm torque and forces grow without limit. Computed for
/// R. L. Norton's problem row 350/250/150/100 with 50 N in the middle of the coupler.
#[test]
fn forces_grow_towards_a_dead_point() {
    // Half a unit of the last digit of each: of the torque, N·mm, and of the force at the output arm, N.
    for (input, expected, within, output, output_within) in [
        (30.0, 13_149.0, 0.5, 6.92, 0.005),
        (60.0, 10_046.0, 0.5, 6.29, 0.005),
        (90.0, 1_784.0, 0.5, 18.32, 0.005),
        (110.0, -6_847.0, 0.5, 53.20, 0.005),
        (113.0, -23_119.0, 0.5, 242.6, 0.05),
        (113.13, -145_260.0, 5.0, 1759.0, 0.5),
    ] {
        let pins = pins(350.0, 250.0, 150.0, 100.0, input, 1.0);
        let at = nalgebra::center(&pins.panel_lower, &pins.panel_upper);
        let found = torque(&pins, &on_panel(&pins, Vector2::new(0.0, -50.0), at));
        assert!((found.drive - expected).abs() <= within, "{} against {expected}", found.drive);
        let force = found.panel_upper.norm();
        assert!((force - output).abs() <= output_within, "{force} against {output}");
    }
}
