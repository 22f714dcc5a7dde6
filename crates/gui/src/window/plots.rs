//! Transmission, tilt and clearance over the travel, on the rail's axis.

use egui::{Align2, Color32, Painter, Pos2, Rect, Sense, Stroke, Ui, UiBuilder, pos2};
use egui_plot::{GridMark, HLine, Line, LineStyle, Plot, PlotPoints, VLine};
use overarm_solver::{Analysis, PoseFigures, Units};

use super::theme::{Palette, small};
use super::travel_strip::{GUTTER, choose_travel, pointed_at};
use crate::session::{Action, Session};

/// What is plotted.
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
}

impl Curve {
    const ALL: [Self; 4] = [Self::Tilt, Self::Transmission, Self::Panel, Self::Bars];

    /// In front of its figure.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Tilt => "Tilt",
            Self::Transmission => "Transmission",
            Self::Panel => "Panel to room",
            Self::Bars => "Bars to room",
        }
    }

    /// Its colour: the panel's is wood, the bars' is metal.
    #[must_use]
    pub fn colour(self, palette: &Palette) -> Color32 {
        match self {
            Self::Tilt | Self::Transmission => palette.ink,
            Self::Panel => palette.wood,
            Self::Bars => palette.metal,
        }
    }

    fn is_dashed(self) -> bool {
        matches!(self, Self::Transmission | Self::Bars)
    }

    fn value(self, figures: &PoseFigures) -> Option<f64> {
        match self {
            Self::Tilt => Some(figures.pose.tilt.to_degrees()),
            Self::Transmission => Some(figures.pose.transmission.to_degrees()),
            Self::Panel => figures.panel_to_room,
            Self::Bars => figures.bars_to_room,
        }
    }

    fn is_angle(self) -> bool {
        matches!(self, Self::Tilt | Self::Transmission)
    }

    /// A short piece of its line.
    pub fn paint_sample(self, painter: &Painter, from: Pos2, palette: &Palette) {
        let stroke = Stroke::new(2.0, self.colour(palette));
        let to = from + egui::vec2(20.0, 0.0);
        if self.is_dashed() {
            painter.extend(egui::Shape::dashed_line(&[from, to], stroke, 5.0, 3.0));
        } else {
            painter.line_segment([from, to], stroke);
        }
    }
}

/// Heights of the two scales: degrees at the left, lengths at the right.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Scales {
    least_deg: f64,
    most_deg: f64,
    mm_per_deg: f64,
    unit: LengthUnit,
}

/// The unit of the right scale: whole inches where the project is in inches or feet.
#[derive(Clone, Copy, Debug, PartialEq)]
struct LengthUnit {
    mm: f64,
    sign: &'static str,
}

impl LengthUnit {
    fn of(units: Units) -> Self {
        match units {
            Units::Millimetre => Self { mm: 1.0, sign: "mm" },
            Units::Inch | Units::FeetInch => Self { mm: 25.4, sign: "in" },
        }
    }
}

/// Degrees between two grid lines.
const GRID_DEG: f64 = 30.0;

impl Scales {
    /// Fits every curve; a grid line means a round figure on both scales.
    fn of(poses: &[PoseFigures], units: Units) -> Self {
        let unit = LengthUnit::of(units);
        let range = |angle: bool| {
            poses
                .iter()
                .flat_map(|figures| {
                    Curve::ALL.into_iter().filter(move |c| c.is_angle() == angle).filter_map(|c| c.value(figures))
                })
                .fold((0.0_f64, 0.0_f64), |(least, most), value| (least.min(value), most.max(value)))
        };
        let (least_deg, most_deg) = range(true);
        let (least_mm, most_mm) = range(false);
        let most_deg = (most_deg.max(60.0) / GRID_DEG).ceil() * GRID_DEG;
        let rows = most_deg / GRID_DEG;
        let mm_per_row = round_up(most_mm / rows / unit.mm) * unit.mm;
        let least_deg = least_deg.min(least_mm / mm_per_row * GRID_DEG);
        Self { least_deg: (least_deg / GRID_DEG).floor() * GRID_DEG, most_deg, mm_per_deg: mm_per_row / GRID_DEG, unit }
    }
}

/// The next of 1, 2, 5 times a power of ten.
fn round_up(value: f64) -> f64 {
    if value <= 1.0 {
        return 1.0;
    }
    let power = 10_f64.powf(value.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|step| step * power).find(|step| *step >= value).unwrap_or(value)
}

/// Draws the plots; pressing in them chooses the travel.
pub fn show(ui: &mut Ui, place: Rect, session: &Session, analysis: &Analysis, actions: &mut Vec<Action>) {
    let palette = Palette::of(ui.ctx());
    let scales = Scales::of(&analysis.poses, session.project().units());
    let frame = Rect::from_min_max(
        pos2(place.left() + GUTTER, place.top() + 6.0),
        pos2(place.right() - GUTTER, place.bottom() - 6.0),
    );
    let wanted = session.project().room.wanted_clearance();
    let travel = session.travel();
    let mut inner = ui.new_child(UiBuilder::new().max_rect(frame));
    let plot = Plot::new("over the travel")
        .width(frame.width())
        .height(frame.height())
        .show_axes(false)
        .show_x(false)
        .show_y(false)
        .allow_zoom(false)
        .allow_drag(false)
        .allow_scroll(false)
        .allow_boxed_zoom(false)
        .allow_double_click_reset(false)
        .set_margin_fraction(egui::Vec2::ZERO)
        .grid_color(palette.hairline)
        .grid_fade(0.0)
        .show_background(false)
        .x_grid_spacer(|_| (0..=4).map(|step| GridMark { value: f64::from(step) * 0.25, step_size: 0.25 }).collect())
        .y_grid_spacer(|input| {
            let first = (input.bounds.0 / GRID_DEG).ceil() as i32;
            let last = (input.bounds.1 / GRID_DEG).floor() as i32;
            (first..=last).map(|row| GridMark { value: f64::from(row) * GRID_DEG, step_size: GRID_DEG }).collect()
        })
        // Not a stop of the Tab key: the rail is.
        .sense(Sense::CLICK | Sense::DRAG)
        .show(&mut inner, |plot| {
            plot.set_plot_bounds_x(0.0..=1.0);
            plot.set_plot_bounds_y(scales.least_deg..=scales.most_deg);
            plot.hline(
                HLine::new("wanted", wanted / scales.mm_per_deg)
                    .color(palette.fails)
                    .width(1.0)
                    .style(LineStyle::Dashed { length: 4.0 })
                    .allow_hover(false),
            );
            for curve in Curve::ALL {
                for points in runs(curve, &analysis.poses, &scales) {
                    let style = if curve.is_dashed() { LineStyle::dashed_dense() } else { LineStyle::Solid };
                    let line = Line::new(curve.name(), PlotPoints::from(points));
                    plot.line(line.color(curve.colour(&palette)).width(1.75).style(style).allow_hover(false));
                }
            }
            plot.vline(VLine::new("travel", travel).color(palette.accent).width(2.0).allow_hover(false));
        });
    plot.response.widget_info(|| {
        egui::WidgetInfo::labeled(egui::Role::Image, true, "Plots of tilt, transmission and clearance over the travel")
    });
    if let Some(at) = pointed_at(&plot.response) {
        choose_travel(at.x, frame, travel, actions);
    }
    figures_of_the_axes(ui.painter(), frame, &scales, &palette);
}

/// A curve cut where it has no value; clearances on the scale of degrees.
fn runs(curve: Curve, poses: &[PoseFigures], scales: &Scales) -> Vec<Vec<[f64; 2]>> {
    let factor = if curve.is_angle() { 1.0 } else { 1.0 / scales.mm_per_deg };
    let mut runs = vec![Vec::new()];
    for figures in poses {
        match (curve.value(figures), runs.last_mut()) {
            (Some(value), Some(run)) => run.push([figures.pose.s, value * factor]),
            _ => runs.push(Vec::new()),
        }
    }
    runs.retain(|run| run.len() > 1);
    runs
}

fn figures_of_the_axes(painter: &Painter, frame: Rect, scales: &Scales, palette: &Palette) {
    let rows = ((scales.most_deg - scales.least_deg) / GRID_DEG).round();
    // Text needs 14 points; leave out every other row where there is less.
    let every = if f64::from(frame.height()) / rows < 14.0 { 2 } else { 1 };
    let first = (scales.least_deg / GRID_DEG).round() as i32;
    let last = (scales.most_deg / GRID_DEG).round() as i32;
    let top = last - last.rem_euclid(every);
    for row in (first..=last).filter(|row| row % every == 0) {
        let degrees = f64::from(row) * GRID_DEG;
        let share = ((degrees - scales.least_deg) / (scales.most_deg - scales.least_deg)) as f32;
        let y = egui::lerp(frame.bottom()..=frame.top(), share);
        painter.text(
            pos2(frame.left() - 8.0, y),
            Align2::RIGHT_CENTER,
            minus(&format!("{degrees:.0}°")),
            small(),
            palette.quiet,
        );
        let length = degrees * scales.mm_per_deg / scales.unit.mm;
        let text = if row == top { format!("{length:.0} {}", scales.unit.sign) } else { format!("{length:.0}") };
        painter.text(pos2(frame.right() + 8.0, y), Align2::LEFT_CENTER, minus(&text), small(), palette.quiet);
    }
}

/// Text with a true minus sign, which is as wide as a figure.
#[must_use]
pub fn minus(text: &str) -> String {
    text.replace('-', "−")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_end_on_round_figures() {
        assert!((round_up(0.3) - 1.0).abs() < 1e-12);
        assert!((round_up(37.0) - 50.0).abs() < 1e-12);
        assert!((round_up(100.0) - 100.0).abs() < 1e-9);
        assert!((round_up(1300.0) - 2000.0).abs() < 1e-9);
    }
}
