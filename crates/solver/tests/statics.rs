//! Strap tension and hinge loads: the reference results of the chapel kitchen's hatch board, virtual
//! work against free bodies, energy over the travel, friction.

use nalgebra::Vector2;
use overarm_solver::{
    Actions, Analysis, BearingWanted, GRAVITY, Joints, Lift, Loads, Masses, Options, OwnBearing, Project, Rule, Strap,
    Travel, Wrench, analyse,
};
use proptest::prelude::*;

fn shared() -> Project {
    let text = include_str!("../../../tests/golden/chapel-hatch/project.overarm.json");
    serde_json::from_str(text).expect("a project")
}

/// As the reference takes it: strap without thickness, arms and panel bars without mass.
fn without_mass_of_bars(mut project: Project) -> Project {
    let bars = &mut project.bars;
    for mass in [&mut bars.panel_bar.mass, &mut bars.lower_arm.mass, &mut bars.upper_arm.mass] {
        *mass = Some(0.0);
    }
    if let Some(drive) = &mut project.drive {
        drive.strap_thickness = 0.0;
    }
    project
}

fn loads(project: &Project, analysis: &Analysis) -> Loads {
    Loads::new(project, Masses::new(project, &analysis.lift, &analysis.solids).expect("known materials"))
}

/// A bearing of this bore with this friction.
fn hinged(project: &mut Project, bore: f64, friction: f64) {
    let own = OwnBearing {
        bore,
        outside: bore + 8.0,
        width: 5.0,
        static_n: None,
        dynamic_n: None,
        more: overarm_solver::More::default(),
    };
    project.joints =
        Some(Joints { bearing: Some(BearingWanted::Own(own)), friction: Some(friction), ..Joints::default() });
}

/// `tests/golden/chapel-hatch/expected.json`: worked out independently with NumPy and SciPy.
#[test]
fn tensions_and_arm_forces_of_the_shared_case() {
    let project = without_mass_of_bars(shared());
    let text = include_str!("../../../tests/golden/chapel-hatch/expected.json");
    let expected: serde_json::Value = serde_json::from_str(text).expect("reference results");
    let rows = expected["poses"].as_array().expect("poses");
    let analysis = analyse(&project, &Options { poses: rows.len(), swept: false });
    let loads = loads(&project, &analysis);
    let strap = Strap::along(&project, &analysis.lift, &analysis.travel).expect("a drive");
    let anchor = project.drive.as_ref().expect("a drive").anchor;
    for (row, figures) in rows.iter().zip(&analysis.poses) {
        let at = strap.at(&figures.pose).expect("a run");
        let found = loads.at(&analysis.lift, &analysis.travel, &at, anchor, &figures.pose);
        let close = |found: f64, key: &str| {
            let wanted = row[key].as_f64().expect("a figure");
            // Seven figures are printed.
            assert!((found - wanted).abs() <= 1e-6 * wanted.abs().max(1.0), "{key}: {found} against {wanted}");
        };
        close(found.tension.expect("it pulls"), "strap_tension_n");
        close(found.tension_frictionless.expect("it pulls"), "strap_tension_n");
        let [lower, upper] = found.arms.expect("balance");
        close(lower, "lower_arm_axial_n");
        close(upper, "upper_arm_axial_n");
    }
}

struct Case {
    project: Project,
    lift: Lift,
    travel: Travel,
    strap: Strap,
    loads: Loads,
}

impl Case {
    fn new(project: Project) -> Option<Self> {
        project.validate().ok()?;
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        let strap = Strap::along(&project, &analysis.lift, &analysis.travel)?;
        let loads = loads(&project, &analysis);
        let whole = analysis.travel.length > 0.0 && strap.runs_all_the_way();
        whole.then_some(Self { project, lift: analysis.lift, travel: analysis.travel, strap, loads })
    }

    /// Tension times strap rate at a walked phase, with and without friction; and weight's rate.
    fn power(&self, walked: f64) -> Option<[f64; 3]> {
        let pose = self.lift.pose(self.travel.phase(walked), 0.0);
        let anchor = self.project.drive.as_ref()?.anchor;
        let found = self.loads.at(&self.lift, &self.travel, &self.strap.at(&pose)?, anchor, &pose);
        Some([found.tension? * found.strap_rate, found.tension_frictionless? * found.strap_rate, found.rise])
    }

    /// Height of all that has weight, times that weight, N·mm: straight from where everything is.
    fn potential(&self, walked: f64) -> f64 {
        let pose = self.lift.pose(self.travel.phase(walked), 0.0);
        let masses = &self.loads.masses;
        let bars: f64 = masses.bars[1..]
            .iter()
            .map(|bar| 2.0 * bar.mass * (self.lift.room_from_bar(&pose, bar.bar) * bar.centre).y)
            .sum();
        GRAVITY * (masses.panel * (pose.room_from_panel * masses.panel_centre).y + bars)
    }
}

/// Random lifts about the shared one, with masses of their own.
fn lifts() -> impl Strategy<Value = Project> {
    let shift = || prop::array::uniform2(-12.0..12.0_f64);
    (shift(), shift(), shift(), shift(), 40.0..112.0_f64, prop::array::uniform4(0.0..8.0_f64), 0.0..3.0_f64).prop_map(
        |(a, b, c, d, travel, masses, thickness)| {
            let mut project = shared();
            let linkage = &mut project.linkage;
            for (pivot, by) in [
                (&mut linkage.wall_lower, a),
                (&mut linkage.wall_upper, b),
                (&mut linkage.panel_lower, c),
                (&mut linkage.panel_upper, d),
            ] {
                *pivot += Vector2::from(by);
            }
            linkage.travel_deg = overarm_solver::TravelWanted::Degrees(travel);
            project.panel.mass = 3.0 + masses[0];
            project.bars.panel_bar.mass = Some(masses[1]);
            project.bars.lower_arm.mass = Some(masses[2]);
            project.bars.upper_arm.mass = Some(masses[3]);
            if let Some(drive) = &mut project.drive {
                drive.strap_thickness = thickness;
            }
            project
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, max_global_rejects: 20_000, ..ProptestConfig::default() })]

    #[test]
    fn virtual_work_is_what_free_bodies_say(project in lifts(), share in 0.0..1.0_f64) {
        // What is no lift does not count: a thousand are looked at.
        let case = Case::new(project);
        prop_assume!(case.is_some());
        let case = case.expect("assumed");
        let walked = share * case.travel.length;
        let pose = case.lift.pose(case.travel.phase(walked), 0.0);
        let at = case.strap.at(&pose).expect("a run");
        let anchor = case.project.drive.as_ref().expect("a drive").anchor;
        let found = case.loads.at(&case.lift, &case.travel, &at, anchor, &pose);
        // Where the strap hardly pulls, rounding grows with the tension.
        prop_assume!(found.strap_rate.abs() > 1e-3 * found.anchor_speed);
        let (free, work) = (found.tension.expect("balance"), found.tension_frictionless.expect("pulls"));
        prop_assert!((free - work).abs() <= 1e-9 * work.abs().max(1.0), "{free} against {work}");
        // The panel's own balance, written out: pins, strap and weights add up to nothing.
        let bars = 2.0 * case.loads.masses.bars[1].mass;
        let weight = Vector2::new(0.0, -GRAVITY * (case.loads.masses.panel + bars));
        let pull = Actions { panel: Wrench::at(at.along, at.anchor, pose.panel_lower), ..Actions::default() };
        let rates = case.lift.rates(pose.phase);
        let balance = case.loads.with_friction(&case.lift, &pose, &rates, &pull).expect("balance");
        let left = weight + balance.drive * at.along - balance.panel_lower - balance.panel_upper;
        prop_assert!(left.norm() <= 1e-9 * (weight.norm() + balance.drive.abs()), "{left}");
    }

    #[test]
    fn work_of_the_strap_is_weight_times_rise(project in lifts(), friction in 0.0..0.05_f64, bore in 4.0..15.0_f64) {
        let mut project = project;
        hinged(&mut project, bore, friction);
        let case = Case::new(project);
        prop_assume!(case.is_some());
        let case = case.expect("assumed");
        // Gauss–Legendre with 5 nodes on 60 slices.
        let nodes = [(0.0, 128.0 / 225.0), (0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
            (-0.538_469_310_105_683_1, 0.478_628_670_499_366_5), (0.906_179_845_938_664, 0.236_926_885_056_189_08),
            (-0.906_179_845_938_664, 0.236_926_885_056_189_08)];
        let half = case.travel.length / 120.0;
        let mut sums = [0.0; 3];
        for slice in 0..60 {
            for (node, weight) in nodes {
                let walked = half * (f64::from(2 * slice + 1) + node);
                let power = case.power(walked);
                prop_assume!(power.is_some_and(|power| power[0].is_finite()));
                let power = power.expect("assumed");
                for (sum, value) in sums.iter_mut().zip(power) {
                    *sum += half * weight * value;
                }
            }
        }
        let rise = case.potential(case.travel.length) - case.potential(0.0);
        prop_assert!((sums[1] - rise).abs() <= 1e-6 * rise.abs().max(1.0), "{} against {rise}", sums[1]);
        prop_assert!((sums[2] - rise).abs() <= 1e-9 * rise.abs().max(1.0), "{} against {rise}", sums[2]);
        prop_assert!(sums[0] >= sums[1] - 1e-9 * rise.abs(), "friction only costs: {} against {}", sums[0], sums[1]);
    }
}

/// With the friction at which the weight just comes down, a slack strap keeps the balance: the ratio
/// is exact where it is 1.
#[test]
fn at_the_verge_of_coming_down_the_strap_is_slack() {
    let walked = |case: &Case| 0.9 * case.travel.length;
    let with = |friction: f64| {
        let mut project = shared();
        hinged(&mut project, 20.0, friction);
        Case::new(project).expect("a lift")
    };
    let ratio = |case: &Case| {
        let pose = case.lift.pose(case.travel.phase(walked(case)), 0.0);
        // So much friction that it holds the lift fast is past the verge.
        let found = case.loads.coming_down(&case.lift, &case.travel, &pose);
        found.map_or(0.0, |found| found.weight / found.friction)
    };
    let (mut low, mut high) = (1e-3, 5.0);
    for _ in 0..60 {
        let middle: f64 = 0.5 * (low + high);
        if ratio(&with(middle)) > 1.0 { low = middle } else { high = middle }
    }
    let case = with(low);
    assert!((ratio(&case) - 1.0).abs() < 1e-6, "{} at friction {low}", ratio(&case));
    let pose = case.lift.pose(case.travel.phase(walked(&case)), 0.0);
    let rates = case.lift.rates(pose.phase).walked(-case.travel.direction);
    let run = case.strap.at(&pose).expect("a run");
    let pull = Actions { panel: Wrench::at(run.along, run.anchor, pose.panel_lower), ..Actions::default() };
    let balance = case.loads.with_friction(&case.lift, &pose, &rates, &pull).expect("balance");
    assert!(balance.drive.abs() < 1e-3, "{}", balance.drive);
}

/// The board with all its data: orders of magnitude found by hand for it.
#[test]
fn the_board_with_all_its_data() {
    let text = include_str!("../../../tests/golden/chapel-hatch/complete.overarm.json");
    let project: Project = serde_json::from_str(text).expect("a project");
    let analysis = analyse(&project, &Options { poses: 361, swept: false });
    let figures = |analysis: &Analysis| {
        let forces = analysis.forces.as_ref().expect("known materials");
        let start = forces.start.as_ref().expect("a strap");
        let hinges = forces.poses.iter().flatten().flat_map(|at| at.hinges.expect("balance"));
        [start.at_hung.tension.expect("it pulls"), start.worst.expect("it pulls").0, hinges.fold(0.0, f64::max)]
    };
    // Found by hand without the mass of the bars: 51 N at hung, 218 N at most, a hinge 438 N.
    let mut bare = without_mass_of_bars(project.clone());
    bare.drive = project.drive.clone();
    let found = figures(&analyse(&bare, &Options { poses: 361, swept: false }));
    for (found, by_hand) in found.into_iter().zip([51.0, 218.0, 438.0]) {
        assert!((found - by_hand).abs() < 0.03 * by_hand, "{found} against {by_hand}");
    }
    // Panel bars and arms are a fifth of what moves.
    let found = figures(&analysis);
    for (found, by_hand) in found.into_iter().zip([51.0, 218.0, 438.0]) {
        assert!(found > 1.1 * by_hand && found < 1.3 * by_hand, "{found} against {by_hand}");
    }
    let rule = |rule: Rule| analysis.rules.iter().find(|found| found.rule == rule).expect("the rule");
    for name in [Rule::Starts, Rule::StaysDown, Rule::ComesDown, Rule::Winds, Rule::BearingsHold, Rule::FixingsHold] {
        assert_eq!(rule(name).holds, Some(true), "{}", rule(name).text);
    }
    // Orders of magnitude by hand: some 6 N·m at the drum, up in some 18 s; two bearings of 1350 N
    // carry 530 N, and twice that with the motor stalled.
    // Found by hand without the mass of the bars: 102 J at 3.6 m/s.
    let fall = analyse(&bare, &Options::default()).forces.expect("known").fall.expect("it is higher");
    assert!((fall.energy - 102.0).abs() < 1.5 && (fall.speed - 3.6).abs() < 0.05, "{fall:?}");
    // By hand without the mass of the bars: a screw is pulled by some 172 N where 573 N are allowed; 50 N
    // sideways add the couples of both hinges, some 6 N·m over half the bar's half on three screws, 200 N.
    let fixings = &rule(Rule::FixingsHold);
    assert!(fixings.margin.is_some_and(|margin| (0.2..0.6).contains(&margin)), "{} {:?}", fixings.text, fixings.margin);
    // The motor is a little weak once the bars are weighed: 1.4 times what is needed instead of 1.5.
    let drive = |analysis: &Analysis| {
        analysis
            .rules
            .iter()
            .find(|found| found.rule == Rule::DriveCopes)
            .and_then(|found| found.margin)
            .expect("known")
    };
    assert!((drive(&analysis) - (1.40 / 1.5 - 1.0)).abs() < 0.01, "{}", drive(&analysis));
    assert!(drive(&analyse(&bare, &Options::default())) > 0.1);
    let text = &rule(Rule::DriveCopes).text;
    assert!(text.contains("rises in 18 s") && text.contains("should hold"), "{text}");
    let stalled = analysis.forces.as_ref().expect("known").stall.expect("a motor");
    assert!(stalled.hinges.iter().any(|load| (700.0..1300.0).contains(load)), "{stalled:?}");
    // By hand: two bearings of 1350 N under 438 N are 6.2 times safe, about 2.5 under what a motor that
    // stalls near 400 N of strap brings; 50 N sideways are a couple that decides before that.
    let radial = overarm_solver::static_safety(1350.0, 0.5 * figures(&analyse(&bare, &Options::default()))[2]);
    assert!((radial - 6.2).abs() < 0.2, "{radial}");
    let of_stall = overarm_solver::static_safety(1350.0, 0.5 * stalled.hinges.into_iter().fold(0.0, f64::max));
    assert!((2.0..4.0).contains(&of_stall), "{of_stall}");
    let bearings = rule(Rule::BearingsHold);
    assert!(bearings.text.contains("50 N sideways") && bearings.margin.is_some_and(|m| m > 0.2), "{}", bearings.text);
    let bars = rule(Rule::BarsHold);
    assert!(bars.holds == Some(true) && bars.margin.is_some_and(|margin| margin > 0.5), "{}", bars.text);
}

/// Anchor and drum of the shared case are touchy: 1000 N for a 157 N panel, 259 N sixteen degrees
/// later, 1887 N with the drum 1 mm nearer the wall, 298 N with it 5 mm further out; a push of 1.4 N
/// over the first 33 mm keeps it under 300 N (worked out by hand for this board).
#[test]
fn a_touchy_start() {
    let mut project = without_mass_of_bars(shared());
    let hung = |project: &Project| {
        let case = Case::new(project.clone()).expect("a lift");
        let pose = case.lift.pose(case.travel.phase(0.0), 0.0);
        let anchor = project.drive.as_ref().expect("a drive").anchor;
        let run = case.strap.at(&pose).expect("a run");
        case.loads.at(&case.lift, &case.travel, &run, anchor, &pose).tension.expect("it pulls")
    };
    assert!((hung(&project) - 1000.0).abs() < 1.0);
    for (by, expected) in [(-1.0, 1887.0), (5.0, 298.0)] {
        let mut moved = project.clone();
        moved.drive.as_mut().expect("a drive").drum_centre.x += by;
        assert!((hung(&moved) - expected).abs() < 1.0, "{}", hung(&moved));
    }
    let drive = project.drive.as_mut().expect("a drive");
    drive.strap_limit = Some(300.0);
    drive.kick = Some(serde_json::from_value(serde_json::json!({"at": [0, 350]})).expect("a kick"));
    let analysis = analyse(&project, &Options::default());
    let start = analysis.forces.expect("known materials").start.expect("a strap");
    let push = start.push.expect("a push helps");
    assert!((push.force - 1.4).abs() < 0.05 && (push.stroke - 33.0).abs() < 1.0, "{push:?}");
}
