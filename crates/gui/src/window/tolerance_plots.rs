//! Plots of the page of tolerances: how many sets hang with which gap, how many pairs twist how far,
//! and how far each dimension's error shifts the panel's corners at the pose shown.

use egui::{Align2, Rect, Role, Sense, Stroke, Ui, UiBuilder, WidgetInfo, pos2, vec2};
use egui_plot::{Bar, BarChart, Line, LineStyle, Plot, PlotPoints, VLine};
use overarm_solver::errors::one_set::tolerances_of;
use overarm_solver::errors::{CornerAreas, Dimension, Histogram, PairAt, PairFigures};
use overarm_solver::units::number;
use overarm_solver::{Analysis, show_fine};

use super::plots;
use super::side_page::Columns;
use super::theme::{Palette, body, small};
use crate::session::{PlotOf, Session};

/// Height of a histogram, points: bars of a few in a thousand are still seen.
const HEIGHT: f32 = 88.0;
/// Height of a bar beside others, points.
const BAR: f32 = 6.0;
/// A limit farther out than this many times the farthest value is told, not drawn.
const FAR: f64 = 2.5;

/// A line over a histogram.
struct Mark {
    at: f64,
    is_limit: bool,
}

/// Draws the plot of a block.
pub fn show(ui: &mut Ui, of: PlotOf, session: &Session, analysis: &Analysis, columns: Columns, palette: &Palette) {
    let width = columns.all().min(ui.available_width() - 14.0);
    let units = session.project().units();
    let show = |mm: f64| show_fine(mm, units);
    let Some(errors) = &analysis.errors else { return };
    match of {
        PlotOf::HungGap => {
            let Some(one) = &errors.one_set else { return };
            let limit = session.project().hung_gap_limit();
            let mut marks = vec![Mark { at: -limit, is_limit: true }, Mark { at: limit, is_limit: true }];
            let p95 = one.hung_gap.p95;
            marks.extend(p95.into_iter().flat_map(|p95| [-p95, p95]).map(|at| Mark { at, is_limit: false }));
            let kept =
                p95.map_or_else(|| "over 5 % do not get there".to_owned(), |p95| format!("95 % within ±{}", show(p95)));
            let said = format!("Hung gap of {} sets drawn: {kept}, limit ±{}", errors.draws.count, show(limit));
            histogram(ui, &one.hung_gap.histogram, &marks, &said, width, &show, palette);
        }
        PlotOf::Twist => {
            let Some(pair) = &errors.pair else { return };
            let marks = [Mark { at: pair.twist_p95, is_limit: false }];
            let said =
                format!("Largest twist of {} pairs drawn: 95 % under {}", errors.draws.count, show(pair.twist_p95));
            histogram(ui, &pair.twist, &marks, &said, width, &show, palette);
        }
        PlotOf::PairOverTravel => {
            let Some(pair) = &errors.pair else { return };
            over_the_travel(ui, pair, session.travel(), width, &show, palette);
        }
        PlotOf::Sensitivity => {
            let tolerances = session.project().tolerances.as_ref().and_then(tolerances_of);
            let pose = analysis.pose_at(session.travel());
            match CornerAreas::new(session.project(), &analysis.lift, &pose, &tolerances.unwrap_or_default()) {
                Some(areas) => {
                    bars(ui, &areas, width, palette);
                    if tolerances.is_some() {
                        within(ui, &areas, pose.s > 0.0, &show, palette);
                    }
                }
                None => {
                    ui.label(egui::RichText::new("All pivots are in line here.").font(small()).color(palette.quiet));
                }
            }
        }
    }
}

/// Counted values as bars, with lines at what they are held against; what it shows is said below.
fn histogram(
    ui: &mut Ui,
    counted: &Histogram,
    marks: &[Mark],
    said: &str,
    width: f32,
    show: &dyn Fn(f64) -> String,
    palette: &Palette,
) {
    let most = counted.counts.iter().copied().max().unwrap_or(0);
    #[allow(clippy::cast_precision_loss)] // few bins
    let to = counted.from + counted.width * counted.counts.len() as f64;
    if most == 0 || counted.width <= 0.0 {
        ui.label(egui::RichText::new(format!("{said}.")).font(small()).color(palette.quiet));
        return;
    }
    let farthest = counted.from.abs().max(to.abs());
    let near = || marks.iter().filter(|mark| mark.at.abs() <= FAR * farthest);
    let range = near().fold([counted.from.min(0.0), to], |range, mark| [range[0].min(mark.at), range[1].max(mark.at)]);
    let room = 0.04 * (range[1] - range[0]);
    let range = [range[0] - room, range[1] + room];
    let limit = marks.iter().filter(|mark| mark.is_limit).map(|mark| mark.at.abs()).fold(f64::INFINITY, f64::min);
    let bars = counted.counts.iter().enumerate().map(|(index, count)| {
        #[allow(clippy::cast_precision_loss)] // few bins
        let middle = counted.from + (index as f64 + 0.5) * counted.width;
        let colour = if middle.abs() > limit { palette.fails } else { palette.metal };
        Bar::new(middle, f64::from(*count)).width(counted.width).fill(colour).stroke(Stroke::NONE)
    });
    let bars: Vec<Bar> = bars.collect();
    let caption = ui.painter().layout(said.to_owned(), small(), palette.quiet, width);
    let (place, response) = ui.allocate_exact_size(vec2(width, HEIGHT + 16.0 + caption.size().y + 4.0), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, said));
    let frame = Rect::from_min_size(place.min, vec2(width, HEIGHT));
    let mut inner = ui.new_child(UiBuilder::new().max_rect(frame));
    still(said, frame).show(&mut inner, |plot| {
        plot.set_plot_bounds_x(range[0]..=range[1]);
        plot.set_plot_bounds_y(0.0..=1.08 * f64::from(most));
        plot.bar_chart(BarChart::new("counted", bars).allow_hover(false));
        for mark in near() {
            let (colour, style) = if mark.is_limit {
                (palette.fails, LineStyle::Dashed { length: 4.0 })
            } else {
                (palette.ink, LineStyle::Dotted { spacing: 4.0 })
            };
            plot.vline(VLine::new("mark", mark.at).color(colour).width(1.5).style(style).allow_hover(false));
        }
    });
    let painter = ui.painter();
    painter.hline(frame.x_range(), frame.bottom(), Stroke::new(1.0, palette.hairline));
    let x_of = |value: f64| {
        #[allow(clippy::cast_possible_truncation)] // a place on the screen
        let share = ((value - range[0]) / (range[1] - range[0])) as f32;
        egui::lerp(frame.x_range(), share)
    };
    // The axis' figures: nought, and the ends of what was counted or the limits beyond them.
    let mut taken: Vec<Rect> = Vec::new();
    let ends = [0.0, range[0] + room, range[1] - room];
    for (value, align) in ends.into_iter().zip([Align2::CENTER_TOP, Align2::LEFT_TOP, Align2::RIGHT_TOP]) {
        let text = if value.abs() < 1e-9 { "0".to_owned() } else { show(value) };
        let galley = painter.layout_no_wrap(text, small(), palette.quiet);
        let at = pos2(x_of(value), frame.bottom() + 2.0);
        let at = if align == Align2::CENTER_TOP { at } else { pos2(x_of(value), at.y) };
        let wanted = align.anchor_size(at, galley.size());
        let wanted = wanted
            .translate(vec2((place.left() - wanted.left()).max(0.0) - (wanted.right() - place.right()).max(0.0), 0.0));
        if taken.iter().all(|other| !other.expand(4.0).intersects(wanted)) {
            painter.galley(wanted.min, galley, palette.quiet);
            taken.push(wanted);
        }
    }
    painter.galley(pos2(place.left(), frame.bottom() + 18.0), caption, palette.quiet);
}

/// What 95 % of pairs keep under at a travel, between the poses that were looked at.
fn pair_at(pair: &PairFigures, travel: f64) -> Option<PairAt> {
    let after = pair.poses.iter().position(|at| at.s >= travel).unwrap_or(pair.poses.len().checked_sub(1)?);
    let (from, to) = (&pair.poses[after.saturating_sub(1)], &pair.poses[after]);
    let share = if to.s > from.s { ((travel - from.s) / (to.s - from.s)).clamp(0.0, 1.0) } else { 0.0 };
    let between = |of: fn(&PairAt) -> f64| of(from) + (of(to) - of(from)) * share;
    let allowed = from.allowed_force.zip(to.allowed_force).map(|(from, to)| from + (to - from) * share);
    Some(PairAt {
        s: travel,
        misfit: between(|at| at.misfit),
        force: between(|at| at.force),
        allowed_force: allowed,
        twist: between(|at| at.twist),
        yaw_deg: between(|at| at.yaw_deg),
    })
}

/// Twist and misfit over the travel, and all figures at the pose shown.
fn over_the_travel(
    ui: &mut Ui,
    pair: &PairFigures,
    travel: f64,
    width: f32,
    show: &dyn Fn(f64) -> String,
    palette: &Palette,
) {
    let Some(here) = pair_at(pair, travel) else { return };
    let most = |of: fn(&PairAt) -> f64| pair.poses.iter().map(of).fold(0.0, f64::max);
    let (twist, misfit) = (most(|at| at.twist), most(|at| at.misfit));
    let top = 1.08 * twist.max(misfit).max(f64::MIN_POSITIVE);
    let allowed = here.allowed_force.map_or_else(String::new, |allowed| {
        if allowed < 0.0 { " (none allowed)".to_owned() } else { format!(" ({} allowed)", number(allowed, 0)) }
    });
    let whose = if pair.is_one_pair { "" } else { " 95 % of pairs keep under" };
    let said = format!(
        "At {} % of the travel{whose}: twist {}, misfit {}, force in the arms {} N{allowed}, yaw {}°.",
        number(100.0 * travel, 0),
        show(here.twist),
        show(here.misfit),
        number(here.force, 0),
        number(here.yaw_deg, 3)
    );
    let names = format!("Solid: twist, up to {}. Dashed: misfit, up to {}.", show(twist), show(misfit));
    let frame_and_text = ui.painter().layout(format!("{names}\n{said}"), small(), palette.ink, width);
    let (place, response) = ui.allocate_exact_size(vec2(width, HEIGHT + 6.0 + frame_and_text.size().y), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, said.as_str()));
    let frame = Rect::from_min_size(place.min, vec2(width, HEIGHT));
    let mut inner = ui.new_child(UiBuilder::new().max_rect(frame));
    let line = |of: fn(&PairAt) -> f64| -> PlotPoints<'static> { pair.poses.iter().map(|at| [at.s, of(at)]).collect() };
    still("pair over the travel", frame).show(&mut inner, |plot| {
        plot.set_plot_bounds_x(0.0..=1.0);
        plot.set_plot_bounds_y(0.0..=top);
        let twist = Line::new("twist", line(|at| at.twist)).color(palette.wood).width(1.75);
        plot.line(twist.allow_hover(false));
        let misfit = Line::new("misfit", line(|at| at.misfit)).color(palette.metal).width(1.75);
        plot.line(misfit.style(LineStyle::dashed_dense()).allow_hover(false));
        plot.vline(VLine::new("travel", travel).color(palette.accent).width(2.0).allow_hover(false));
    });
    ui.painter().hline(frame.x_range(), frame.bottom(), Stroke::new(1.0, palette.hairline));
    ui.painter().galley(pos2(place.left(), frame.bottom() + 4.0), frame_and_text, palette.ink);
}

/// A plot that is read, not pressed: no stop of the Tab key.
fn still(name: &str, frame: Rect) -> Plot<'static> {
    plots::bare(("tolerances", name.to_owned()), frame).show_grid(false).sense(Sense::hover())
}

/// A bar for each dimension: how far a corner shifts per 0.01 mm of it.
fn bars(ui: &mut Ui, areas: &CornerAreas, width: f32, palette: &Palette) {
    let heading = "A corner of the panel shifts, for 0.01 mm of";
    ui.add(egui::Label::new(egui::RichText::new(heading).font(small()).color(palette.ink)).wrap());
    let longest = areas.slopes.iter().copied().fold(0.0, f64::max).max(f64::MIN_POSITIVE);
    for (dimension, slope) in Dimension::ALL.into_iter().zip(areas.slopes) {
        let per_hundredth = 0.01 * slope;
        // Slopes of one are the rule: a figure more than lengths have.
        let figure = format!("{} mm", number(per_hundredth, 4));
        let name = ui.painter().layout(dimension.words().to_owned(), small(), palette.quiet, width);
        let value = ui.painter().layout_no_wrap(figure.clone(), body(), palette.ink);
        let beside = name.size().x + value.size().x + 12.0 <= width;
        let text = if beside { name.size().y.max(value.size().y) } else { name.size().y + value.size().y };
        let (place, response) = ui.allocate_exact_size(vec2(width, text + BAR + 4.0), Sense::hover());
        let said = format!("{}: {figure} for 0.01 mm", dimension.words());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, said.as_str()));
        let painter = ui.painter();
        let value_top = if beside { place.top() } else { place.top() + name.size().y };
        painter.galley(pos2(place.right() - value.size().x, value_top), value, palette.ink);
        painter.galley(place.min, name, palette.quiet);
        #[allow(clippy::cast_possible_truncation)] // a length on the screen
        let length = (slope / longest) as f32 * width;
        let bar = Rect::from_min_size(pos2(place.left(), place.top() + text + 1.0), vec2(length, BAR));
        painter.rect_filled(bar, 0.0, palette.metal);
    }
}

/// How far the tolerances let a corner lie.
fn within(ui: &mut Ui, areas: &CornerAreas, moves: bool, show: &dyn Fn(f64) -> String, palette: &Palette) {
    let said = format!(
        "Within the tolerances a corner lies up to {} {}, {} by the root of the sum of squares.",
        show(areas.worst),
        if moves { "off its path" } else { "off, a rest on the wall" },
        show(areas.root_sum_square)
    );
    ui.add(egui::Label::new(egui::RichText::new(said).font(small()).color(palette.ink)).wrap());
}
