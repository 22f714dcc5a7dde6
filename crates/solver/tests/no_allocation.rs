//! Nothing is allocated in the pose loop: more poses, or poses that overlap, ask for no more memory
//! blocks.

use allocation_counter::measure;
use overarm_solver::{Clearances, Lift, More, Options, Point, Project, RoomShape, Solid, Travel, analyse};

fn project() -> Project {
    serde_json::from_str(include_str!("../../../tests/golden/chapel-hatch/project.overarm.json")).expect("a project")
}

/// A star of 64 corners about a place.
fn star(at: [f64; 2]) -> Solid {
    let corner = |index: u32| {
        let (angle, out) = (0.1 * f64::from(index), 90.0 - f64::from(index % 2) * 6.0);
        Point::new(at[0] + out * angle.cos(), at[1] + out * angle.sin())
    };
    Solid { name: None, outline: (0..62).map(corner).collect(), more: More::default() }
}

/// The shared case as it is, with bearings, motor and screws, in its ceiling, beside a star and in one, and through a beam.
fn projects() -> Vec<Project> {
    let mut in_the_ceiling = project();
    in_the_ceiling.room.outline.iter_mut().skip(1).for_each(|corner| corner.y -= 250.0);
    let with = |solid: Solid| {
        let mut project = project();
        project.room.solids.push(solid);
        project
    };
    let beam = [[500.0, 1500.0], [600.0, 1500.0], [600.0, 1600.0], [500.0, 1600.0]].map(Point::from).to_vec();
    let complete = include_str!("../../../tests/golden/chapel-hatch/complete.overarm.json");
    vec![
        project(),
        serde_json::from_str(complete).expect("a project"),
        in_the_ceiling,
        with(star([850.0, 1500.0])),
        with(star([550.0, 1600.0])),
        with(Solid { name: None, outline: beam, more: More::default() }),
    ]
}

#[test]
fn a_pose_allocates_nothing() {
    let lift = Lift::new(&project());
    let start = lift.phase_at_hung();
    let mut sum = 0.0;
    let seen = measure(|| {
        for step in 0..1000 {
            let phase = start + 0.002 * f64::from(step);
            sum += lift.placement(phase).panel_upper.x + lift.pose(phase, 0.0).tilt + lift.rates(phase).panel;
        }
    });
    assert!(sum.is_finite());
    assert_eq!(seen.count_total, 0);
}

#[test]
fn more_reported_poses_allocate_no_more_blocks() {
    for (index, project) in projects().iter().enumerate() {
        let blocks = |poses: usize| {
            measure(|| {
                let analysis = analyse(project, &Options { poses, swept: false });
                assert_eq!(analysis.poses.len(), poses);
            })
            .count_total
        };
        assert_eq!(blocks(61), blocks(1440), "project {index}");
    }
}

#[test]
fn a_certified_search_allocates_its_lists_and_no_more() {
    for (index, project) in projects().iter().enumerate() {
        let (lift, room) = (Lift::new(project), RoomShape::new(&project.room));
        let travel = Travel::find(project, &lift, &room);
        let blocks = measure(|| drop(Clearances::new(&lift, &travel, &room))).count_total;
        // The travel's cuts, the words of four features, and for each of some ten searches two
        // lists that double as they grow; a block for every one of its hundreds of poses would be
        // thousands.
        assert!(blocks < 150, "project {index}: {blocks} blocks");
    }
}
