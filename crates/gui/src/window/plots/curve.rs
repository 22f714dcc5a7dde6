//! The curves over the travel: what each is called, how it is drawn, and its value at a pose.

use egui::{Color32, Painter, Pos2, Shape, Stroke, vec2};
use egui_plot::LineStyle;
use overarm_solver::drive_train::drum_torque;
use overarm_solver::units::number;
use overarm_solver::{Analysis, ForcesAt, Project, Units, show_length};

use crate::session::Plotted;
use crate::window::theme::Palette;

/// One curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Curve {
    /// Of the panel, degrees.
    Tilt,
    /// Angle, degrees.
    Transmission,
    /// Distance of the panel, mm.
    Panel,
    /// Distance of arms and panel bar, mm.
    Bars,
    /// Strap tension while it rises, N.
    Pull,
    /// Strap tension with hinges that turn freely, N.
    PullWithoutFriction,
    /// Torque at the drum while it rises, N·m.
    DrumTorque,
    /// Radial load of a hinge of the more loaded set, N, by its place in [`overarm_solver::HINGES`].
    Hinge(usize),
}

/// How a line is drawn, so that no curve is told by its colour alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Line {
    /// Continuous.
    Solid,
    /// In dashes.
    Dashed,
}

impl Line {
    /// As a plot draws it.
    #[must_use]
    pub fn style(self) -> LineStyle {
        match self {
            Self::Solid => LineStyle::Solid,
            Self::Dashed => LineStyle::dashed_dense(),
        }
    }
}

impl Curve {
    /// Those that are plotted together, the most asked for first.
    #[must_use]
    pub fn of(plotted: Plotted) -> &'static [Self] {
        match plotted {
            Plotted::Motion => &[Self::Tilt, Self::Panel, Self::Bars, Self::Transmission],
            Plotted::Pull => &[Self::Pull, Self::PullWithoutFriction],
            Plotted::DrumTorque => &[Self::DrumTorque],
            Plotted::Hinges => &[Self::Hinge(0), Self::Hinge(1), Self::Hinge(2), Self::Hinge(3)],
        }
    }

    /// In front of its figure.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Tilt => "Tilt",
            Self::Transmission => "Transmission",
            Self::Panel => "Panel to room",
            Self::Bars => "Bars to room",
            Self::Pull => "Strap pull",
            Self::PullWithoutFriction => "without friction",
            Self::DrumTorque => "Drum torque",
            Self::Hinge(0) => "Lower wall",
            Self::Hinge(1) => "Upper wall",
            Self::Hinge(2) => "Lower panel",
            Self::Hinge(_) => "Upper panel",
        }
    }

    /// Its colour: what is of the panel is wood, what is of the bars is metal.
    #[must_use]
    pub fn colour(self, palette: &Palette) -> Color32 {
        match self {
            Self::Tilt | Self::Transmission | Self::Pull | Self::DrumTorque => palette.ink,
            Self::PullWithoutFriction => palette.quiet,
            Self::Panel | Self::Hinge(2 | 3) => palette.wood,
            Self::Bars | Self::Hinge(_) => palette.metal,
        }
    }

    /// Its line.
    #[must_use]
    pub fn line(self) -> Line {
        match self {
            Self::Transmission | Self::Bars | Self::PullWithoutFriction | Self::Hinge(1 | 3) => Line::Dashed,
            _ => Line::Solid,
        }
    }

    /// Whether it stands on the scale of lengths at the right; every other one is at the left.
    #[must_use]
    pub fn is_length(self) -> bool {
        matches!(self, Self::Panel | Self::Bars)
    }

    /// Whether it is a force.
    #[must_use]
    pub fn is_force(self) -> bool {
        matches!(self, Self::Pull | Self::PullWithoutFriction | Self::Hinge(_))
    }

    /// Its value at one of the poses analysed: degrees, mm, N or N·m.
    #[must_use]
    pub fn value(self, project: &Project, analysis: &Analysis, index: usize) -> Option<f64> {
        let figures = analysis.poses.get(index)?;
        match self {
            Self::Tilt => Some(figures.pose.tilt.to_degrees()),
            Self::Transmission => Some(figures.pose.transmission.to_degrees()),
            Self::Panel => figures.panel_to_room,
            Self::Bars => figures.bars_to_room,
            _ => {
                let forces = analysis.forces.as_ref().ok()?.poses.get(index).copied().flatten()?;
                let radius = || Some(analysis.strap.as_ref()?.at(&figures.pose)?.pull_radius);
                self.of_forces(project, &forces, radius)
            }
        }
    }

    fn of_forces(self, project: &Project, forces: &ForcesAt, radius: impl Fn() -> Option<f64>) -> Option<f64> {
        debug_assert!(project.drive.is_some());
        // Where the strap would have to push there is nothing to plot: it is slack.
        let pulls = forces.strap_rate > 0.0;
        match self {
            Self::Pull => forces.tension.filter(|_| pulls),
            Self::PullWithoutFriction => forces.tension_frictionless.filter(|_| pulls),
            Self::DrumTorque => Some(drum_torque(forces.tension.filter(|_| pulls)?, radius()?)),
            Self::Hinge(hinge) => forces.hinges?.get(hinge).copied(),
            Self::Tilt | Self::Transmission | Self::Panel | Self::Bars => None,
        }
    }

    /// A value with its unit, as it stands beside the name.
    #[must_use]
    pub fn figure(self, value: Option<f64>, units: Units) -> String {
        let Some(value) = value else { return "none".to_owned() };
        match self {
            Self::Tilt | Self::Transmission => degrees(value),
            Self::Panel | Self::Bars => show_length(value, units),
            Self::DrumTorque => format!("{} N·m", number(value, 2)),
            _ => format!("{} N", number(value, 0)),
        }
    }

    /// A short piece of its line.
    pub fn paint_sample(self, painter: &Painter, from: Pos2, palette: &Palette) {
        let stroke = Stroke::new(2.0, self.colour(palette));
        let to = from + vec2(20.0, 0.0);
        match self.line() {
            Line::Solid => {
                painter.line_segment([from, to], stroke);
            }
            Line::Dashed => {
                painter.extend(Shape::dashed_line(&[from, to], stroke, 5.0, 3.0));
            }
        }
    }
}

/// An angle to a tenth of a degree; what rounds to nothing has no sign.
fn degrees(angle: f64) -> String {
    format!("{}°", number(angle, 1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;
    use overarm_solver::{Options, analyse};

    #[test]
    fn angles_carry_a_true_sign_or_none() {
        assert_eq!(degrees(-0.04), "0.0°");
        assert_eq!(degrees(-45.0), "−45.0°");
    }

    #[test]
    fn torque_is_pull_times_the_radius_it_pulls_at() {
        let project = demo();
        let analysis = analyse(&project, &Options { poses: 11, swept: false });
        let value = |curve: Curve, index| curve.value(&project, &analysis, index).expect("the demo has a drive");
        for index in 0..analysis.poses.len() {
            let run = analysis.strap.as_ref().expect("a strap").at(&analysis.poses[index].pose).expect("a run");
            let torque = value(Curve::Pull, index) * run.pull_radius / 1000.0;
            assert!((value(Curve::DrumTorque, index) - torque).abs() < 1e-9 * torque.abs().max(1.0));
            assert!(value(Curve::Pull, index) >= value(Curve::PullWithoutFriction, index), "friction costs");
        }
    }

    #[test]
    fn curves_of_one_plot_differ_in_line_or_colour() {
        for palette in [egui::Theme::Light, egui::Theme::Dark].map(Palette::of_theme) {
            for plotted in Plotted::ALL {
                let curves = Curve::of(plotted);
                for (index, one) in curves.iter().enumerate() {
                    for other in &curves[index + 1..] {
                        assert!(
                            one.line() != other.line() || one.colour(&palette) != other.colour(&palette),
                            "{one:?} and {other:?}"
                        );
                    }
                }
            }
        }
    }
}
