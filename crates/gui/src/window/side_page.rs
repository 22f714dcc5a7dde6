//! The page that opens beside the drawing: every number, or the site's measurements.

use egui::{Align, Frame, Layout, Margin, Panel, RichText, ScrollArea, Ui, Vec2};
use overarm_solver::Units;

use super::theme::{Palette, body_bold};
use super::toolbar::quiet;
use super::{points_table, site_page};
use crate::session::{Action, Command, Session};

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
}

impl Page {
    /// What opens and closes it.
    #[must_use]
    pub fn command(self) -> Command {
        match self {
            Self::Numbers => Command::Numbers,
            Self::Site => Command::Site,
        }
    }

    fn title(self) -> &'static str {
        match self {
            Self::Numbers => "Numbers",
            Self::Site => "Site, as measured",
        }
    }
}

/// Whether the rules give way to an open page.
#[must_use]
pub fn hides_rules(page: Option<Page>, window: Vec2) -> bool {
    page.is_some() && window.x < NARROW
}

/// Draws the open page, if there is one.
pub fn show(ui: &mut Ui, session: &Session, page: Option<Page>, window: Vec2) -> Vec<Action> {
    let mut actions = Vec::new();
    let Some(page) = page else { return actions };
    let palette = Palette::of(ui.ctx());
    let frame = Frame::NONE.fill(palette.side).inner_margin(Margin { left: 12, right: 4, top: 4, bottom: 4 });
    let columns = Columns::of(session.project().units());
    let width = (columns.all() + 28.0).min(0.7 * window.x);
    Panel::left("page").resizable(false).exact_size(width).frame(frame).show(ui, |ui| {
        ui.horizontal(|ui| {
            ui.label(RichText::new(page.title()).font(body_bold()).color(palette.ink));
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                ui.add_space(8.0);
                let close = ui.add(quiet("Close page"));
                if close.on_hover_text(page.command().hint()).clicked() {
                    actions.push(Action::Command(page.command()));
                }
            });
        });
        ScrollArea::vertical().id_salt(page.title()).auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 2.0;
            match page {
                Page::Numbers => points_table::show(ui, session, columns, &mut actions),
                Page::Site => site_page::show(ui, session, columns, &mut actions),
            }
            ui.add_space(16.0);
        });
    });
    actions
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
        Self { name: 112.0, figures }
    }

    /// All of them.
    #[must_use]
    pub fn all(self) -> f32 {
        self.name + 2.0 * (self.figures + Self::GAP)
    }
}
