//! The pages of drive, hinges, fixings and tolerances: what comes of them, where that comes from, and every field
//! that it depends on.

use egui::{CollapsingHeader, ComboBox, Label, RichText, Sense, Ui, vec2};
use overarm_solver::errors::{Draws, Spread};
use overarm_solver::{Analysis, Rule, show_signed_margin};

use super::icons::Standing;
use super::moves_list;
use super::points_table;
use super::side_page::{Columns, Page};
use super::theme::{Palette, TARGET, body, small};
use super::tolerance_plots;
use crate::session::{
    Action, Block, ChoiceOf, DrivePart, Edit, Field, FiguresOf, Group, Row, Session, Setting, Size, ViewAction,
};

impl FiguresOf {
    /// The fields of its page.
    fn group(self) -> Group {
        match self {
            Self::Drive => Group::Drive,
            Self::Hinges => Group::Hinges,
            Self::Fixings => Group::Fixings,
            Self::Tolerances => Group::Tolerances,
        }
    }

    /// What is chosen from lists on its page.
    fn lists(self) -> &'static [ChoiceOf] {
        match self {
            Self::Drive => &[ChoiceOf::StrapSide],
            Self::Hinges => &[ChoiceOf::Bearing, ChoiceOf::SeatIn, ChoiceOf::Housing, ChoiceOf::Pin],
            Self::Fixings | Self::Tolerances => &[],
        }
    }

    /// Numbers of other groups that its figures depend on as well.
    fn also(self) -> Vec<Field> {
        match self {
            Self::Tolerances => Size::BESIDE_TOLERANCES.map(Field::Size).to_vec(),
            Self::Drive => vec![Field::Size(Size::DriveSafety)],
            Self::Hinges => vec![Field::Size(Size::BearingsSafety)],
            Self::Fixings => vec![Field::Size(Size::FixingsSafety)],
        }
    }
}

/// The pages beside this one: every number, and what comes of some of them.
pub fn tabs(ui: &mut Ui, here: Page, actions: &mut Vec<Action>) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        for page in [Page::Numbers].into_iter().chain(FiguresOf::ALL.map(Page::Figures)) {
            let label = RichText::new(page.command().words().label).font(small());
            if ui.add(egui::Button::selectable(page == here, label)).clicked() && page != here {
                actions.push(Action::Command(page.command()));
            }
        }
    });
}

/// What opens the page whose figures decide a rule, if there is one.
pub fn link(ui: &mut Ui, rule: Rule) -> Vec<Action> {
    let of = FiguresOf::ALL.into_iter().find(|of| of.rules().contains(&rule));
    let Some(command) = of.map(|of| Page::Figures(of).command()) else { return Vec::new() };
    let label = format!("Figures: {}", command.words().label.to_lowercase());
    let pressed = ui.horizontal(|ui| {
        ui.add_space(24.0);
        ui.add(egui::Button::new(label).min_size(vec2(TARGET, TARGET))).on_hover_text(command.hint()).clicked()
    });
    if pressed.inner { vec![Action::Command(command)] } else { Vec::new() }
}

/// Draws one of the pages; `also` is a block worked out elsewhere.
pub fn show(
    ui: &mut Ui,
    of: FiguresOf,
    session: &Session,
    analysis: &Analysis,
    also: Option<Block>,
    columns: Columns,
    actions: &mut Vec<Action>,
) {
    let palette = Palette::of(ui.ctx());
    tabs(ui, Page::Figures(of), actions);
    verdicts(ui, of, session, analysis, &palette, actions);
    if of == FiguresOf::Drive {
        places(ui, session, &palette, actions);
    }
    if of == FiguresOf::Tolerances {
        drawing(ui, session, &palette, actions);
    }
    let blocks = of.blocks(session.project(), analysis);
    if let Some(words) = session.words_while_drawing().filter(|_| of == FiguresOf::Tolerances && blocks.is_empty()) {
        ui.add(Label::new(RichText::new(words).font(small()).color(palette.quiet)).wrap());
    }
    for block in blocks.into_iter().chain(also) {
        fold(ui, block.title, true, |ui| {
            figures(ui, &block, columns, &palette);
            if let Some(plot) = block.plot {
                tolerance_plots::show(ui, plot, session, analysis, columns, &palette);
            }
            sources(ui, of, &block, &palette);
            to_do(ui, &block, session, analysis, &palette, actions);
        });
    }
    fold(ui, "What it depends on", true, |ui| {
        for list in of.lists() {
            choose(ui, *list, session, columns, &palette, actions);
        }
        points_table::rows(ui, of.group(), session, columns, actions);
        points_table::fields(ui, of.also(), session, columns, actions);
        points_table::additions(ui, of.group(), session, actions);
    });
}

/// What is looked for a place on the drawing.
fn places(ui: &mut Ui, session: &Session, palette: &Palette, actions: &mut Vec<Action>) {
    let Some(drive) = &session.project().drive else { return };
    if drive.strap_limit.is_none() {
        let words = "Give what the strap may carry, and places for drum and strap's end are shown on the drawing.";
        ui.add(Label::new(RichText::new(words).font(small()).color(palette.quiet)).wrap());
        return;
    }
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        for part in DrivePart::BOTH {
            let shown = session.places_of() == Some(part);
            let button = ui.add(egui::Button::selectable(shown, RichText::new(part.name()).font(small())));
            let help = "Tints on the drawing where it could be for the strap to pull within its limit all the way, \
                        without a push; found without friction, so look at the rules when it is there.";
            if button.on_hover_text(help).clicked() {
                actions.push(Action::View(ViewAction::Places((!shown).then_some(part))));
            }
        }
    });
}

/// How errors are drawn.
fn drawing(ui: &mut Ui, session: &Session, palette: &Palette, actions: &mut Vec<Action>) {
    let draws = session.draws();
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.label(RichText::new("Errors drawn").font(small()).color(palette.ink));
        for (spread, name) in [(Spread::Uniform, "equally likely"), (Spread::Normal, "normal")] {
            let button = egui::Button::selectable(draws.spread == spread, RichText::new(name).font(small()));
            let help = "How errors lie within their tolerances: equally likely anywhere, or normal with the tolerance as \
                        three deviations. Job folders and pictures are judged by errors equally likely, seed 1.";
            if ui.add(button).on_hover_text(help).clicked() {
                actions.push(Action::View(ViewAction::Draw(Draws { spread, ..draws })));
            }
        }
        let again = egui::Button::new(RichText::new("Draw others").font(small()));
        let help = format!("Now with seed {}; the same seed draws the same.", draws.seed);
        if ui.add(again).on_hover_text(help).clicked() {
            let seed = draws.seed.wrapping_add(1);
            actions.push(Action::View(ViewAction::Draw(Draws { seed, ..draws })));
        }
        ui.label(RichText::new(format!("seed {}", draws.seed)).font(small()).color(palette.quiet));
        if draws != Draws::default() && ui.add(egui::Button::new(RichText::new("As the rules").font(small()))).clicked() {
            actions.push(Action::View(ViewAction::Draw(Draws::default())));
        }
    });
}

fn fold(ui: &mut Ui, title: &str, open: bool, add: impl FnOnce(&mut Ui)) {
    CollapsingHeader::new(RichText::new(title).font(body()))
        .id_salt(("figures", title))
        .default_open(open)
        .show_unindented(ui, |ui| {
            add(ui);
            ui.add_space(8.0);
        });
}

/// The rules that these figures decide; a click shows the worst pose of one.
fn verdicts(
    ui: &mut Ui,
    of: FiguresOf,
    session: &Session,
    analysis: &Analysis,
    palette: &Palette,
    actions: &mut Vec<Action>,
) {
    if session.is_old() {
        ui.add(Label::new(RichText::new("Figures of a moment ago").font(small()).color(palette.quiet)));
    }
    for finding in analysis.rules.iter().filter(|finding| of.rules().contains(&finding.rule)) {
        let standing = Standing::of(finding);
        let margin = finding.margin.map(|margin| show_signed_margin(margin, finding.unit, session.project().units()));
        let words = match margin {
            Some(margin) => format!("{}: {}, {margin}", finding.rule.title(), standing.word()),
            None => format!("{}: {}", finding.rule.title(), standing.word()),
        };
        ui.horizontal(|ui| {
            let (place, _) = ui.allocate_exact_size(vec2(16.0, TARGET), Sense::hover());
            standing.paint(ui.painter(), place.center(), 11.0, palette);
            let picked = session.picked() == Some(finding.rule);
            let label = RichText::new(words).font(small()).color(standing.colour(palette));
            let button = egui::Button::selectable(picked, label).wrap();
            if ui.add(button).on_hover_text(finding.without_field_names()).clicked() {
                actions.push(Action::View(ViewAction::Pick((!picked).then_some(finding.rule))));
            }
        });
    }
}

/// What can be tried about a block, and what else can be done.
fn to_do(
    ui: &mut Ui,
    block: &Block,
    session: &Session,
    analysis: &Analysis,
    palette: &Palette,
    actions: &mut Vec<Action>,
) {
    let units = session.project().units();
    for remedy in &block.remedies {
        let label = remedy.label(analysis, units);
        ui.add(Label::new(RichText::new(format!("{label}.")).font(small()).color(palette.ink)).wrap());
        moves_list::then_fails(ui, remedy.then_fails(analysis), palette);
        let button = ui.add(egui::Button::new(remedy.button()).min_size(vec2(TARGET, TARGET)));
        button.widget_info(|| {
            egui::WidgetInfo::labeled(egui::Role::Button, true, format!("{}: {label}", remedy.button()))
        });
        if button.clicked() {
            actions.push(Action::Edit(Edit::Set(Setting::Remedy(*remedy))));
        }
    }
    for command in &block.commands {
        let button = ui.add(egui::Button::new(command.words().label).min_size(vec2(TARGET, TARGET)));
        if button.on_hover_text(command.hint()).clicked() {
            actions.push(Action::Command(*command));
        }
    }
}

/// One block: its figures and what is missing.
fn figures(ui: &mut Ui, block: &Block, columns: Columns, palette: &Palette) {
    for row in &block.rows {
        figure(ui, row, columns, palette);
    }
    for note in &block.notes {
        ui.add(Label::new(RichText::new(note).font(small()).color(palette.quiet)).wrap());
    }
}

/// On demand, where a block's figures come from.
fn sources(ui: &mut Ui, of: FiguresOf, block: &Block, palette: &Palette) {
    if block.rows.is_empty() && block.plot.is_none() {
        return;
    }
    let title = RichText::new(format!("Where “{}” comes from", block.title)).font(small()).color(palette.quiet);
    CollapsingHeader::new(title).id_salt(("sources", of.group().title(), block.title)).show_unindented(ui, |ui| {
        for source in block.sources {
            ui.add(Label::new(RichText::new(*source).font(small()).color(palette.ink)).wrap());
        }
    });
}

/// One figure at the right of its name; where both have no room in a line, under it.
fn figure(ui: &mut Ui, row: &Row, columns: Columns, palette: &Palette) {
    let standing = row.holds.map(|holds| if holds { Standing::Holds } else { Standing::Fails });
    let colour = standing.map_or(palette.ink, |standing| standing.colour(palette));
    let width = columns.all().min(ui.available_width() - 14.0);
    let sign = if standing.is_some() { 18.0 } else { 0.0 };
    let name = ui.painter().layout(row.what.clone(), small(), palette.quiet, width);
    let value = ui.painter().layout(row.value.clone(), body(), colour, width - sign);
    let beside = name.size().x + value.size().x + sign + 12.0 <= width;
    let height = if beside { name.size().y.max(value.size().y) } else { name.size().y + value.size().y };
    let (place, response) = ui.allocate_exact_size(vec2(width, height + 4.0), Sense::hover());
    let said = match standing {
        Some(standing) => format!("{}: {}, {}", row.what, row.value, standing.word()),
        None => format!("{}: {}", row.what, row.value),
    };
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, said.as_str()));
    let painter = ui.painter();
    let value_top = if beside { place.center().y - value.size().y / 2.0 } else { place.top() + 2.0 + name.size().y };
    let name_top = if beside { place.center().y - name.size().y / 2.0 } else { place.top() + 2.0 };
    let value_at = egui::pos2(place.right() - value.size().x, value_top);
    if let Some(standing) = standing {
        let at = egui::pos2(value_at.x - 10.0, value_top + 0.5 * value.size().y);
        standing.paint(painter, at, 11.0, palette);
    }
    painter.galley(egui::pos2(place.left(), name_top), name, palette.quiet);
    painter.galley(value_at, value, colour);
}

/// One list, with what stands in it.
fn choose(
    ui: &mut Ui,
    of: ChoiceOf,
    session: &Session,
    columns: Columns,
    palette: &Palette,
    actions: &mut Vec<Action>,
) {
    if of == ChoiceOf::StrapSide && session.project().drive.is_none() {
        return;
    }
    let (standing, is_default) = of.standing(session.project());
    let shown = if is_default { format!("default {standing}") } else { standing.clone() };
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = Columns::GAP;
        points_table::row_name(ui, of.name(), columns.name, palette);
        let width = 2.0 * columns.figures + Columns::GAP;
        let list = ComboBox::from_id_salt(("list", of.name()))
            .width(width)
            .selected_text(RichText::new(shown).font(small()))
            .height(360.0)
            .truncate()
            .show_ui(ui, |ui| {
                for (choice, words) in of.choices() {
                    // Up to the sizes behind a designation.
                    let is_here = !is_default && words.split(':').next() == Some(standing.as_str());
                    if ui.add(egui::Button::selectable(is_here, words)).clicked() && !is_here {
                        actions.push(Action::Edit(Edit::Set(Setting::Choose(choice))));
                    }
                }
            });
        ui.ctx().accesskit_node_builder(list.response.id, |node| node.set_label(of.name()));
        list.response.on_hover_text(standing);
    });
}
