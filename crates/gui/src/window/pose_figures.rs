//! The row under the rail: what is plotted, the figures of the pose shown in the colour and line of
//! their curves, and the names of the plot's limits where they have a place.

use std::sync::Arc;

use egui::{Galley, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};
use overarm_solver::Analysis;

use super::plots::{self, Curve, Limit};
use super::theme::{Palette, TARGET, body_bold, mix, small};
use crate::session::{Action, Command, Plotted, Session, ViewAction};

/// The first row has the chooser, which is pressed.
pub const FIRST_ROW: f32 = TARGET;
const ROW: f32 = 20.0;
/// At most: what does not fit is told where it is pointed at.
const MOST_ROWS: usize = 2;
/// Width of what chooses the plot.
const CHOOSER: f32 = 112.0;
/// Between the sample of a line, its name and its value.
const SAMPLE: f32 = 26.0;
const GAP: f32 = 6.0;
/// Between one figure and the next.
const APART: f32 = 14.0;

/// Everything of the row, laid out for a width.
pub struct PoseFigures {
    figures: Vec<Figure>,
    /// Empty where they have no place: then the plot names them.
    limits: Vec<Arc<Galley>>,
    /// How many figures stand in each row.
    rows: Vec<usize>,
}

/// A figure of the pose shown.
struct Figure {
    curve: Curve,
    /// Room for a sample of its line, which says nothing where nothing is plotted.
    sample: f32,
    name: Arc<Galley>,
    value: Arc<Galley>,
}

impl PoseFigures {
    /// Of the pose shown and of the plot that is chosen, for so many points of width.
    #[must_use]
    pub fn of(ui: &Ui, session: &Session, analysis: &Analysis, plots_open: bool, width: f32) -> Self {
        let palette = Palette::of(ui.ctx());
        let figures = Figure::of_pose(ui.painter(), analysis, session, plots_open, &palette);
        let rows = in_rows(&figures, width);
        let limits =
            if plots_open { Limit::of(session.settings().plotted, session.project(), analysis) } else { vec![] };
        let mut limits: Vec<Arc<Galley>> =
            limits.into_iter().map(|limit| ui.painter().layout_no_wrap(limit.name, small(), palette.fails)).collect();
        let behind: f32 = limits.iter().map(|name| SAMPLE + name.size().x + APART).sum();
        if rows.len() != 1 || rows[0] != figures.len() || end_of(&figures) + behind > width {
            limits.clear();
        }
        Self { figures, limits, rows }
    }

    /// Points of height that it takes.
    #[must_use]
    pub fn height(&self) -> f32 {
        FIRST_ROW + ROW * self.rows.len().saturating_sub(1) as f32
    }

    /// Whether the plot's limits are named here.
    #[must_use]
    pub fn name_the_limits(&self) -> bool {
        !self.limits.is_empty()
    }

    /// Draws it.
    pub fn show(&self, ui: &mut Ui, session: &Session, palette: &Palette, actions: &mut Vec<Action>) {
        let mut rest = self.figures.as_slice();
        let left_over = self.figures.len() - self.rows.iter().sum::<usize>();
        for (number, &count) in self.rows.iter().enumerate() {
            let height = if number == 0 { FIRST_ROW } else { ROW };
            let (place, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
            let mut x = place.left();
            if number == 0 {
                let size = vec2(CHOOSER, TARGET - 4.0);
                let chooser = Rect::from_center_size(pos2(x + 0.5 * size.x, place.center().y), size);
                let mut inner = ui.new_child(egui::UiBuilder::new().max_rect(chooser));
                choose_plot(&mut inner, session, actions);
                x += CHOOSER + APART;
            }
            let (row, after) = rest.split_at(count);
            rest = after;
            for figure in row {
                figure.paint(ui.painter(), pos2(x, place.center().y), palette);
                x += figure.width() + APART;
            }
            for name in &self.limits {
                paint_limit(ui.painter(), name, pos2(x, place.center().y), palette);
                x += SAMPLE + name.size().x + APART;
            }
            let said: Vec<String> = self.figures.iter().map(Figure::words).collect();
            let said = said.join(", ");
            if number == 0 {
                response.widget_info(|| WidgetInfo::labeled(Role::Label, true, said.as_str()));
            }
            if left_over > 0 {
                // Whoever looks for the rest is told that it is there, if that has a place.
                let more = ui.painter().layout_no_wrap(format!("+{left_over}"), small(), palette.quiet);
                if number + 1 == MOST_ROWS && x + more.size().x <= place.right() {
                    let at = pos2(x, place.center().y - more.size().y / 2.0);
                    ui.painter().galley(at, more, palette.quiet);
                }
                response.on_hover_text(said);
            }
        }
    }
}

impl Figure {
    fn of_pose(
        painter: &Painter,
        analysis: &Analysis,
        session: &Session,
        plots_open: bool,
        palette: &Palette,
    ) -> Vec<Self> {
        let (project, units) = (session.project(), session.project().units());
        let index = plots::nearest_pose(analysis, session.travel());
        let set = |text: String, font, colour| painter.layout_no_wrap(text, font, colour);
        let figure = |curve: &Curve| Self {
            curve: *curve,
            sample: if plots_open { SAMPLE } else { 0.0 },
            name: set(curve.name().to_owned(), small(), palette.quiet),
            value: set(
                curve.figure(curve.value(project, analysis, index), units),
                body_bold(),
                mix(curve.colour(palette), palette.ink, 0.4),
            ),
        };
        Curve::of(session.settings().plotted).iter().map(figure).collect()
    }

    /// With a place for the widest value, so that nothing jumps while the lift runs.
    fn width(&self) -> f32 {
        // "123 N", "1234.5 mm", "118.9°".
        let widest = match (self.curve.is_force(), self.curve.is_length()) {
            (true, _) => 44.0,
            (_, true) => 70.0,
            _ => 52.0,
        };
        self.sample + self.name.size().x + GAP + self.value.size().x.max(widest)
    }

    fn words(&self) -> String {
        format!("{} {}", self.name.text(), self.value.text())
    }

    fn paint(&self, painter: &Painter, at: Pos2, palette: &Palette) {
        if self.sample > 0.0 {
            self.curve.paint_sample(painter, at, palette);
        }
        let name_at = at.x + self.sample;
        let value_at = name_at + self.name.size().x + GAP;
        for (galley, x) in [(&self.name, name_at), (&self.value, value_at)] {
            painter.galley(pos2(x, at.y - galley.size().y / 2.0), Arc::clone(galley), palette.ink);
        }
    }
}

/// A limit's line, as the plot draws it, and its name.
fn paint_limit(painter: &Painter, name: &Arc<Galley>, at: Pos2, palette: &Palette) {
    let line = [at, at + vec2(20.0, 0.0)];
    painter.extend(Shape::dashed_line(&line, Stroke::new(1.0, palette.fails), 4.0, 4.0));
    painter.galley(pos2(at.x + SAMPLE, at.y - name.size().y / 2.0), Arc::clone(name), palette.fails);
}

/// Where figures in one row end, behind the chooser.
fn end_of(figures: &[Figure]) -> f32 {
    figures.iter().fold(CHOOSER + APART, |end, figure| end + figure.width() + APART)
}

/// How many figures stand in each of the rows that a width asks for.
fn in_rows(figures: &[Figure], width: f32) -> Vec<usize> {
    let mut rows = Vec::new();
    let mut rest = figures;
    // The first row begins with the chooser.
    let mut free = width - CHOOSER - APART;
    while !rest.is_empty() && rows.len() < MOST_ROWS {
        let mut end = 0.0;
        let fitting = rest
            .iter()
            .take_while(|figure| {
                end += figure.width() + APART;
                end - APART <= free
            })
            .count();
        rows.push(fitting);
        rest = &rest[fitting..];
        free = width;
    }
    rows
}

/// What is plotted; the figures beside it are of the same.
fn choose_plot(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    let plotted = session.settings().plotted;
    let chooser = egui::ComboBox::from_id_salt("what is plotted")
        .width(CHOOSER)
        .selected_text(egui::RichText::new(plotted.name()).font(small()))
        .show_ui(ui, |ui| {
            for choice in Plotted::ALL {
                if ui.add(egui::Button::selectable(choice == plotted, choice.name())).clicked() && choice != plotted {
                    actions.push(Action::View(ViewAction::Plot(choice)));
                }
            }
        });
    ui.ctx().accesskit_node_builder(chooser.response.id, |node| node.set_label("What is plotted"));
    chooser.response.on_hover_text(Command::NextPlot.hint());
}
