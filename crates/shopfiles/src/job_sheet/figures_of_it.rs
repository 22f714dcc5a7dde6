//! What a client asks: sizes, weights, travel, power.

use overarm_solver::{Analysis, Project, Uncovering, show_length};

use crate::sheet::table::{Column, Table};

/// Two columns over a width, mm.
pub(super) fn table(project: &Project, analysis: &Analysis, width: f64) -> Table {
    let units = project.units();
    let say = |mm: f64| show_length(mm, units);
    let mut table = Table::new(vec![Column::words("", 0.36 * width), Column::words("", 0.64 * width)]);
    let panel = &project.panel;
    table.row([
        "Panel".to_owned(),
        format!(
            "{} wide, {} high, {} thick, {:.1} kg",
            say(panel.width),
            say(panel.height),
            say(panel.thickness),
            panel.mass
        ),
    ]);
    if let Ok(forces) = &analysis.forces {
        let masses = &forces.loads.masses;
        // Of the parts as they are made, as in the parts list and the cut list.
        let parts = overarm_solver::parts(project, &analysis.solids);
        let bars: Vec<f64> = parts.iter().zip(&masses.bars).map(|(part, bar)| part.mass.unwrap_or(bar.mass)).collect();
        let set: f64 = bars.iter().sum();
        table.row([
            "Weights".to_owned(),
            format!(
                "{:.2} kg of bars in each of two sets, without bearings and screws; {:.1} kg move; the wall carries {:.1} kg",
                set,
                masses.panel + 2.0 * bars[1..].iter().sum::<f64>(),
                masses.panel + 2.0 * set
            ),
        ]);
    }
    let (hung, parked) = (analysis.pose_at(0.0), analysis.pose_at(1.0));
    let lowest =
        |pose| analysis.lift.panel_corners(pose).into_iter().map(|corner| corner.y).fold(f64::INFINITY, f64::min);
    let farthest =
        |pose| analysis.lift.panel_corners(pose).into_iter().map(|corner| corner.x).fold(f64::NEG_INFINITY, f64::max);
    table.row([
        "Hung".to_owned(),
        format!("lower edge {} above the floor, face {} from the wall", say(lowest(&hung)), say(farthest(&hung))),
    ]);
    table.row([
        "Parked".to_owned(),
        format!(
            "lowest point {} above the floor, {} from the wall at most, leaning {:.1}°",
            say(lowest(&parked)),
            say(farthest(&parked)),
            parked.tilt.to_degrees()
        ),
    ]);
    let most = analysis.poses.iter().map(|figures| farthest(&figures.pose)).fold(0.0, f64::max);
    table.row(["Needs in front".to_owned(), format!("{} from the wall on its way, and nobody below it", say(most))]);
    if let Some(uncover) = &project.room.uncover {
        let found = Uncovering::parked(uncover, analysis);
        let name = uncover.name.as_deref().unwrap_or("opening");
        table.row(["Uncovers".to_owned(), format!("{} of wall from the bottom of the {name}", say(found.free))]);
    }
    if let Some(wobble) = analysis.errors.as_ref().and_then(|errors| errors.wobble) {
        let sideways = wobble.sideways.map_or_else(String::new, |mm| format!(", {} along the wall", say(mm)));
        table.row([
            "Wobble".to_owned(),
            format!("{} either way by hand, from the play of its hinges alone{sideways}", say(wobble.most)),
        ]);
    }
    if let (Some(strap), Ok(forces)) = (&analysis.strap, &analysis.forces) {
        let (taken_in, _) = strap.most_taken_in();
        let most =
            forces.start.as_ref().and_then(|start| start.worst).map_or_else(String::new, |(pull, s)| {
                format!(", {pull:.0} N at most at {:.0} % of the travel", 100.0 * s)
            });
        table.row(["Strap".to_owned(), format!("takes in {}{most}", say(taken_in))]);
    }
    if let Some(motor) = project.drive.as_ref().and_then(|drive| drive.motor.as_ref()) {
        let figure = |name: &str, value: Option<f64>, unit: &str| value.map(|value| format!("{name}{value}{unit}"));
        let words: Vec<String> = [
            figure("", motor.torque, " N·m"),
            figure("", motor.rpm, " turns per minute"),
            figure("gear ", motor.ratio, " to 1"),
            motor.efficiency.map(|share| format!("{:.0} % of the power comes through", 100.0 * share)),
        ]
        .into_iter()
        .flatten()
        .collect();
        table.row(["Motor".to_owned(), words.join(", ")]);
    }
    table
}
