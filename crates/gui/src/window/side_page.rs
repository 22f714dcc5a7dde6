//! The page that opens beside the drawing: every number, the site's measurements, the history, all
//! actions, or about the program.

use egui::{Align, Frame, Label, Layout, Margin, Panel, RichText, ScrollArea, Ui, Vec2};
use overarm_solver::Units;

use super::action_list::ActionList;
use super::demos_page::DemosPage;
use super::theme::{Palette, TARGET, body_bold};
use super::toolbar::quiet;
use super::{about_page, figures_page, history_list, points_table, rules_panel, site_page};
use crate::session::{Action, Command, FiguresOf, Session, pinch_block};

/// Window width below which the page takes the place of the rules: there is no room for both and a
/// drawing.
const NARROW: f32 = 900.0;

/// Which page is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Page {
    /// Every number.
    Numbers,
    /// The site's measurements.
    Site,
    /// The steps.
    History,
    /// Everything that can be done.
    Actions,
    /// The demos.
    Demos,
    /// What comes of drive, hinges, fixings or tolerances, and what that depends on.
    Figures(FiguresOf),
    /// What the program is and what it is built from.
    About,
}

impl Page {
    /// What opens and closes it.
    #[must_use]
    pub fn command(self) -> Command {
        match self {
            Self::Numbers => Command::Numbers,
            Self::Site => Command::Site,
            Self::History => Command::History,
            Self::Actions => Command::AllActions,
            Self::Demos => Command::Demos,
            Self::Figures(FiguresOf::Drive) => Command::StrapPage,
            Self::Figures(FiguresOf::Hinges) => Command::HingesPage,
            Self::Figures(FiguresOf::Fixings) => Command::FixingsPage,
            Self::Figures(FiguresOf::Tolerances) => Command::TolerancesPage,
            Self::About => Command::About,
        }
    }

    /// The page that a command opens and closes.
    #[must_use]
    pub fn of(command: Command) -> Option<Self> {
        let all = [Self::Numbers, Self::Site, Self::History, Self::Actions, Self::Demos, Self::About];
        let figures = FiguresOf::ALL.map(Self::Figures);
        all.into_iter().chain(figures).find(|page| page.command() == command)
    }

    fn title(self) -> &'static str {
        match self {
            Self::Numbers => "Numbers",
            Self::Site => "Site, as measured",
            Self::History => "History",
            Self::Actions => "All actions",
            Self::Demos => "Demos",
            Self::Figures(_) => self.command().words().label,
            Self::About => "About",
        }
    }
}

/// Whether the rules give way to an open page.
#[must_use]
pub fn hides_rules(page: Option<Page>, window: Vec2) -> bool {
    page.is_some() && window.x < NARROW
}

/// Draws the open page; `just_opened` puts the keyboard where it belongs.
pub fn show(
    ui: &mut Ui,
    session: &mut Session,
    page: Page,
    window: Vec2,
    list: &mut ActionList,
    demos: &DemosPage,
    just_opened: bool,
) -> Vec<Action> {
    let mut actions = Vec::new();
    let analysis = session.analysis();
    let pinches = (page == Page::Figures(FiguresOf::Drive)).then(|| session.pinches());
    let session: &Session = session;
    let palette = Palette::of(ui.ctx());
    let frame = Frame::NONE.fill(palette.side).inner_margin(Margin { left: 12, right: 4, top: 4, bottom: 4 });
    let columns = Columns::of(session.project().units());
    let content = match page {
        Page::Numbers | Page::Site | Page::Figures(_) => columns.all(),
        // Names of steps and of actions, and running text, are read best in lines of this length.
        Page::History => 240.0,
        Page::Actions | Page::Demos => 300.0,
        Page::About => 350.0,
    };
    let width = (content + 28.0).min(0.7 * window.x);
    Panel::left("page").resizable(false).exact_size(width).frame(frame).show(ui, |ui| {
        // The button first: a title that has no room beside it takes a second line.
        let size = egui::vec2(ui.available_width(), TARGET);
        ui.allocate_ui_with_layout(size, Layout::right_to_left(Align::Center), |ui| {
            ui.add_space(8.0);
            let close = ui.add(quiet("Close page"));
            if close.on_hover_text(page.command().hint()).clicked() {
                actions.push(Action::Command(page.command()));
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                ui.add(Label::new(RichText::new(page.title()).font(body_bold()).color(palette.ink)).wrap());
            });
        });
        if hides_rules(Some(page), window) {
            rules_panel::verdict(ui, session, &analysis, &palette);
        }
        match page {
            Page::Numbers => scrolled(ui, page, |ui| {
                figures_page::tabs(ui, page, &mut actions);
                points_table::show(ui, session, columns, &mut actions);
            }),
            Page::Site => scrolled(ui, page, |ui| site_page::show(ui, session, columns, &mut actions)),
            Page::Figures(of) => scrolled(ui, page, |ui| {
                let pinches = pinches.as_deref().map(|found| pinch_block(found, session.project().units()));
                figures_page::show(ui, of, session, &analysis, pinches, columns, &mut actions);
            }),
            Page::History => history_list::show(ui, session, &palette, &mut actions),
            Page::Actions => list.show(ui, session, &palette, just_opened, &mut actions),
            Page::Demos => demos.show(ui, &palette, &mut actions),
            Page::About => about_page::show(ui, &palette),
        }
    });
    actions
}

fn scrolled(ui: &mut Ui, page: Page, add: impl FnOnce(&mut Ui)) {
    ScrollArea::vertical().id_salt(page.title()).auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 4.0;
        add(ui);
        ui.add_space(16.0);
    });
}

/// Widths of a page's columns, points: names, and two of figures.
#[derive(Clone, Copy, Debug)]
pub struct Columns {
    /// What a row is called.
    pub name: f32,
    /// One number.
    pub figures: f32,
}

impl Columns {
    /// Between columns.
    pub const GAP: f32 = 6.0;

    fn of(units: Units) -> Self {
        let figures = match units {
            Units::Millimetre | Units::Inch => 100.0,
            // 11' 11-63/64" with its sign.
            Units::FeetInch => 116.0,
        };
        Self { name: 122.0, figures }
    }

    /// All of them.
    #[must_use]
    pub fn all(self) -> f32 {
        self.name + 2.0 * (self.figures + Self::GAP)
    }
}
