//! Plots over the travel, on the rail's axis: motion, pull, drum torque, hinge loads.

mod curve;
mod limit;
mod scales;

use egui::{Align2, Painter, Rect, Sense, Shape, Stroke, Ui, UiBuilder, pos2, vec2};
use egui_plot::{GridMark, HLine, Line, LineStyle, Plot, PlotPoints, VLine};
use overarm_solver::{Analysis, Project};

use super::theme::{Palette, small};
use super::travel_strip::{GUTTER, choose_travel, pointed_at};
use crate::session::{Action, Plotted, Session};
pub use curve::Curve;
pub use limit::Limit;
use scales::Scales;

/// Draws the plot that is chosen; pressing in it chooses the travel. Limits on the scale are named
/// unless something beside the plot names them.
pub fn show(
    ui: &mut Ui,
    place: Rect,
    session: &Session,
    analysis: &Analysis,
    name_limits: bool,
    actions: &mut Vec<Action>,
) {
    let palette = Palette::of(ui.ctx());
    let (plotted, project) = (session.settings().plotted, session.project());
    let frame = Rect::from_min_max(
        pos2(place.left() + GUTTER, place.top() + 6.0),
        pos2(place.right() - GUTTER, place.bottom() - 6.0),
    );
    let runs: Vec<(Curve, Vec<[f64; 2]>)> = Curve::of(plotted)
        .iter()
        .flat_map(|curve| runs(*curve, project, analysis).into_iter().map(|run| (*curve, run)))
        .collect();
    if runs.is_empty() {
        nothing(ui, frame, plotted, project, analysis, &palette);
        return;
    }
    let limits = Limit::of(plotted, project, analysis);
    let scales = Scales::of(plotted, project, analysis, &limits, frame.height());
    let on_lengths = plotted == Plotted::Motion;
    let travel = session.travel();
    let mut inner = ui.new_child(UiBuilder::new().max_rect(frame));
    let plot = bare("over the travel", frame)
        .grid_color(palette.hairline)
        .grid_fade(0.0)
        .x_grid_spacer(|_| (0..=4).map(|step| GridMark { value: f64::from(step) * 0.25, step_size: 0.25 }).collect())
        .y_grid_spacer(|_| scales.rows().into_iter().map(|value| GridMark { value, step_size: scales.grid }).collect())
        // Not a stop of the Tab key: the rail is.
        .sense(Sense::CLICK | Sense::DRAG)
        .show(&mut inner, |plot| {
            plot.set_plot_bounds_x(0.0..=1.0);
            plot.set_plot_bounds_y(scales.range[0]..=scales.range[1]);
            for limit in &limits {
                let line = HLine::new(limit.name.clone(), scales.left(on_lengths, limit.value));
                let style = LineStyle::Dashed { length: 4.0 };
                plot.hline(line.color(palette.fails).width(1.0).style(style).allow_hover(false));
            }
            for (curve, run) in &runs {
                let points: Vec<[f64; 2]> =
                    run.iter().map(|[s, value]| [*s, scales.left(curve.is_length(), *value)]).collect();
                let line = Line::new(curve.name(), PlotPoints::from(points)).color(curve.colour(&palette));
                plot.line(line.width(1.75).style(curve.line().style()).allow_hover(false));
            }
            plot.vline(VLine::new("travel", travel).color(palette.accent).width(2.0).allow_hover(false));
        });
    let said = described(plotted, &limits);
    plot.response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, said.as_str()));
    if let Some(at) = pointed_at(&plot.response) {
        choose_travel(at.x, frame, travel, actions);
    }
    poses_marked(ui.painter(), frame, &scales, session, analysis, &palette);
    let above = |limit: &&Limit| scales.share(scales.left(on_lengths, limit.value)) > 1.0;
    let named: Vec<&Limit> = limits.iter().filter(|limit| name_limits || above(limit)).collect();
    names_of_the_limits(ui.painter(), frame, &scales, &named, on_lengths, &palette);
    figures_of_the_axes(ui.painter(), frame, &scales, &palette);
}

/// A plot that fills a frame and is neither moved nor zoomed: curves alone, no axes.
pub fn bare(name: impl egui::AsIdSalt, frame: Rect) -> Plot<'static> {
    Plot::new(name)
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
        .show_background(false)
}

/// What is plotted, in a sentence.
fn described(plotted: Plotted, limits: &[Limit]) -> String {
    let what = match plotted {
        Plotted::Motion => "tilt, transmission and clearance",
        Plotted::Pull => "the strap's pull, with and without friction,",
        Plotted::DrumTorque => "torque at the drum",
        Plotted::Hinges => "the loads of the four hinges of the more loaded set",
    };
    let limits: Vec<&str> = limits.iter().map(|limit| limit.name.as_str()).collect();
    let with = if limits.is_empty() { String::new() } else { format!("; limits: {}", limits.join(", ")) };
    format!("Plot of {what} over the travel{with}")
}

/// Why there is no curve, in its place.
fn nothing(ui: &mut Ui, frame: Rect, plotted: Plotted, project: &Project, analysis: &Analysis, palette: &Palette) {
    let words = match (&analysis.forces, &project.drive) {
        (Err(missing), _) => missing.sentence(),
        (_, None) => format!("{} needs a strap and its drum: add them on the page Strap and motor.", plotted.name()),
        _ => "The strap has no straight run here: its end lies in the drum.".to_owned(),
    };
    let mut inner = ui.new_child(UiBuilder::new().max_rect(frame));
    inner.add(egui::Label::new(egui::RichText::new(words).font(small()).color(palette.quiet)).wrap());
}

/// A curve cut where it has no value.
fn runs(curve: Curve, project: &Project, analysis: &Analysis) -> Vec<Vec<[f64; 2]>> {
    let mut runs = vec![Vec::new()];
    for (index, figures) in analysis.poses.iter().enumerate() {
        match (curve.value(project, analysis, index), runs.last_mut()) {
            (Some(value), Some(run)) => run.push([figures.pose.s, value]),
            _ => runs.push(Vec::new()),
        }
    }
    runs.retain(|run| run.len() > 1);
    runs
}

/// A dot on every curve at the pose shown.
fn poses_marked(
    painter: &Painter,
    frame: Rect,
    scales: &Scales,
    session: &Session,
    analysis: &Analysis,
    palette: &Palette,
) {
    let index = nearest_pose(analysis, session.travel());
    for curve in Curve::of(session.settings().plotted) {
        let Some(value) = curve.value(session.project(), analysis, index) else { continue };
        let share = scales.share(scales.left(curve.is_length(), value));
        let at = pos2(
            egui::lerp(frame.left()..=frame.right(), session.travel() as f32),
            egui::lerp(frame.bottom()..=frame.top(), share),
        );
        painter.circle(at, 3.5, palette.side, Stroke::new(2.0, curve.colour(palette)));
    }
}

/// The place in the list of poses that is nearest to a travel.
#[must_use]
pub fn nearest_pose(analysis: &Analysis, travel: f64) -> usize {
    (travel * (analysis.poses.len().saturating_sub(1)) as f64).round() as usize
}

/// Each limit's name over its line at the right, below it at the top; what is above the scale is
/// told there with a small triangle. A name that would cover another one is left to the line.
fn names_of_the_limits(
    painter: &Painter,
    frame: Rect,
    scales: &Scales,
    limits: &[&Limit],
    on_lengths: bool,
    palette: &Palette,
) {
    let mut taken: Vec<Rect> = Vec::new();
    for limit in limits {
        let share = scales.share(scales.left(on_lengths, limit.value));
        let is_above = share > 1.0;
        let galley = painter.layout_no_wrap(limit.name.clone(), small(), palette.fails);
        let sign = if is_above { 12.0 } else { 0.0 };
        if galley.size().x + sign > frame.width() {
            continue;
        }
        let y = egui::lerp(frame.bottom()..=frame.top(), share.clamp(0.0, 1.0));
        let over = y - galley.size().y - 1.0;
        let top = if over < frame.top() { y + 2.0 } else { over };
        let mut place = Rect::from_min_size(pos2(frame.right() - galley.size().x - 4.0, top), galley.size());
        // Beside another name of the same height, if there is room.
        if let Some(other) = taken.iter().find(|other| other.intersects(place.expand(2.0))) {
            place = place.translate(vec2(other.left() - place.right() - 16.0 - sign, 0.0));
        }
        if place.left() - sign < frame.left() || taken.iter().any(|other| other.intersects(place)) {
            continue;
        }
        painter.rect_filled(place.expand2(vec2(2.0, 0.0)), 2.0, palette.side.gamma_multiply(0.85));
        painter.galley(place.min, galley, palette.fails);
        taken.push(place);
        if is_above {
            let at = pos2(place.left() - 7.0, place.center().y);
            let corners = vec![at + vec2(0.0, -4.0), at + vec2(4.0, 3.0), at + vec2(-4.0, 3.0)];
            painter.add(Shape::convex_polygon(corners, palette.fails, Stroke::NONE));
        }
    }
}

fn figures_of_the_axes(painter: &Painter, frame: Rect, scales: &Scales, palette: &Palette) {
    let rows = scales.rows();
    // Text needs 14 points; rows are left out, from the top down, where there is less.
    let height = frame.height() / (rows.len().saturating_sub(1).max(1)) as f32;
    let every = (14.0 / height).ceil().max(1.0) as usize;
    for (down, left) in rows.iter().rev().enumerate().filter(|(down, _)| down % every == 0) {
        let y = egui::lerp(frame.bottom()..=frame.top(), scales.share(*left));
        let at_left = pos2(frame.left() - 8.0, y);
        painter.text(at_left, Align2::RIGHT_CENTER, scales.left_figure(*left, down == 0), small(), palette.quiet);
        if let Some(figure) = scales.right_figure(*left, down == 0) {
            painter.text(pos2(frame.right() + 8.0, y), Align2::LEFT_CENTER, figure, small(), palette.quiet);
        }
    }
}
