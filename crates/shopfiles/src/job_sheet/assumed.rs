//! What the project does not give, and what was taken instead.

use overarm_solver::{PUSH_N, Project, SeatIn};

use crate::sheet::figures::{length, with_unit};

/// Each figure that is missing, and what stands for it; in the units of the project.
pub(super) fn of(project: &Project) -> Vec<(&'static str, String)> {
    let units = project.units();
    let say = |mm: f64| with_unit(&length(mm, units), units);
    let mut found = Vec::new();
    let mut given = |is_given: bool, what: &'static str, value: String| {
        if !is_given {
            found.push((what, value));
        }
    };
    let (room, panel, bars) = (&project.room, &project.panel, &project.bars);
    given(room.clearance.is_some(), "Least distance to ceiling and solids", say(room.wanted_clearance()));
    given(panel.rests.is_some(), "Heights of the rests on the panel's back", {
        let [low, high] = panel.rests();
        format!("{} and {}", say(low), say(high))
    });
    given(panel.centre_of_mass_z.is_some(), "Panel's centre of mass beside its middle", say(0.0));
    given(panel.torsional_stiffness.is_some(), "Panel's stiffness against twisting", "rigid".to_owned());
    given(bars.running_clearance.is_some(), "Running clearance between the bars", say(bars.running_clearance()));
    given(bars.cutter_diameter.is_some(), "Cutter for inside corners", say(bars.cutter_diameter()));
    given(bars.set_spacing.is_some(), "Between the middles of the two sets", say(project.set_spacing()));
    given(bars.stop_pair.is_some(), "Which parts stop the fold", "whichever pair touches first".to_owned());
    let materials = [
        ("Material of the wall bars", &bars.wall_bar.material),
        ("Material of the panel bars", &bars.panel_bar.material),
        ("Material of the lower arms", &bars.lower_arm.material),
        ("Material of the upper arms", &bars.upper_arm.material),
    ];
    if materials.iter().all(|(_, material)| material.is_none()) {
        given(false, "Material of all bars", overarm_solver::materials::DEFAULT.to_owned());
    } else {
        for (name, material) in materials {
            given(material.is_some(), name, overarm_solver::materials::DEFAULT.to_owned());
        }
    }
    let joints = project.joints.clone().unwrap_or_default();
    given(
        joints.bearing.is_some(),
        "Bearing",
        format!("not known; bores {}", say(overarm_solver::pivot_bore(project))),
    );
    given(joints.per_hinge.is_some(), "Bearings in a hinge", "1".to_owned());
    given(joints.seat_in.is_some(), "Bearing seats", {
        let in_bars = joints.seat_in.unwrap_or(SeatIn::Bars) == SeatIn::Bars;
        if in_bars { "in wall bars and panel bars" } else { "in the arms" }.to_owned()
    });
    let span = overarm_solver::sideways::bearing_span(project);
    if let Some((span, is_given)) = span {
        given(is_given, "From middle to middle of a hinge's bearings", say(span));
    }
    given(joints.friction.is_some(), "Friction of a bearing", joints.friction().to_string());
    given(joints.radial_play.is_some(), "Play of a bearing", "not known".to_owned());
    let tolerances = project.tolerances.clone().unwrap_or_default();
    given(tolerances.hung_gap_limit.is_some(), "Most that the hung panel may stand off", say(2.0));
    if let Some(drive) = &project.drive {
        given(drive.z.is_some(), "Strap beside the panel's middle", say(drive.z()));
        given(drive.dead_wraps.is_some(), "Turns of strap left on the drum", drive.dead_wraps().to_string());
        given(drive.strap_limit.is_some(), "What the strap may carry", "not known".to_owned());
    }
    if let Some(fixings) = &project.fixings {
        given(fixings.wood_gravity.is_some(), "Wood behind the screws", "not known".to_owned());
        given(fixings.duration.is_some(), "Load duration of the screws", "as the rule says".to_owned());
    }
    let (asked, taken) = (project.safeties.clone().unwrap_or_default(), project.safeties());
    given(asked.bars.is_some(), "Safety wanted of the bars", taken.bars.to_string());
    given(asked.bearings.is_some(), "Safety wanted of the bearings, static", taken.bearings.to_string());
    if project.drive.is_some() {
        given(asked.drive.is_some(), "Motor's torque wanted, over what is needed", taken.drive.to_string());
    }
    if project.fixings.is_some() {
        given(asked.fixings.is_some(), "Safety wanted of the screws, on design values", taken.fixings.to_string());
    }
    let share = (1e4 * project.allowed_share()).round() / 100.0;
    given(tolerances.allowed_share.is_some(), "Pairs of sets that may bind", format!("{share}\u{a0}%"));
    // The rules' own.
    given(false, "Push sideways on the panel", format!("{PUSH_N:.0}\u{a0}N"));
    found
}
