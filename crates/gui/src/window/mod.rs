//! The window: draws a [`Session`] and turns what people do into actions.
//!
//! Nothing here computes what a lift does. Each part draws from the session and returns
//! [`Action`]s; [`App::show`] applies them after everything is drawn.

mod app_icon;
mod bar_panel;
mod camera;
mod icons;
mod number_field;
mod opening;
mod plots;
mod points_table;
mod question_bar;
mod rules_panel;
mod shortcuts;
mod side_page;
mod site_page;
mod sketch;
mod theme;
mod toolbar;
mod travel_strip;

use std::sync::Arc;

use egui::{CentralPanel, Frame, Ui, ViewportCommand};

use crate::session::{Action, Asking, Command, Moment, Session, ViewAction};
use side_page::Page;
use sketch::{FitTo, Sketch};

pub use opening::{NoWindow, Start, run};

/// One window.
pub struct App {
    session: Session,
    sketch: Sketch,
    plots_open: bool,
    page: Option<Page>,
    asked_before: Option<Moment>,
    documents_seen: u64,
    title_shown: String,
    closing: bool,
}

impl App {
    /// A window on the built-in demo, or on a file once it has been read.
    #[must_use]
    pub fn new(ctx: &egui::Context, start: Start) -> Self {
        theme::install(ctx);
        let waker = ctx.clone();
        let mut session = Session::new(Arc::new(move || waker.request_repaint()));
        if let Some(file) = start.file {
            session.start_with(file);
        }
        Self {
            session,
            sketch: Sketch::default(),
            plots_open: true,
            page: None,
            asked_before: None,
            documents_seen: 0,
            title_shown: String::new(),
            closing: false,
        }
    }

    /// How long a frame may wait for an analysis: for ever, unless told otherwise.
    pub fn wait_at_most(&mut self, patience: std::time::Duration) {
        self.session.wait_at_most(patience);
    }

    /// What the window works on.
    #[must_use]
    pub fn session(&self) -> &Session {
        &self.session
    }

    /// Draws one frame and carries out what was asked for in it.
    pub fn show(&mut self, ui: &mut Ui) {
        let ctx = ui.ctx().clone();
        let size = ui.max_rect().size();
        self.session.take_outcomes();
        if self.session.is_playing() {
            // A window that was hidden must not jump.
            let seconds = ctx.input(|input| f64::from(input.stable_dt).min(0.1));
            self.session.advance(seconds);
            ctx.request_repaint();
        }
        let revision = self.session.document().revision();

        let mut actions = shortcuts::pressed(&ctx, self.session.asking().is_some());
        if ctx.input(|input| input.viewport().close_requested()) && !self.session.close_agreed() {
            if self.session.document().has_unsaved_changes() {
                ctx.send_viewport_cmd(ViewportCommand::CancelClose);
            }
            actions.push(Action::Command(Command::Close));
        }
        actions.extend(toolbar::show(ui, &self.session, self.plots_open, self.page));
        let asked = self.session.asking().map(Asking::moment);
        let just_asked = asked.is_some() && asked != self.asked_before;
        self.asked_before = asked;
        actions.extend(question_bar::show(ui, &self.session, just_asked));
        if let Some(notice) = self.session.notice() {
            actions.extend(toolbar::show_notice(ui, notice));
        }
        actions.extend(side_page::show(ui, &self.session, self.page, size));
        if !side_page::hides_rules(self.page, size) {
            actions.extend(rules_panel::show(ui, &mut self.session));
        }
        actions.extend(travel_strip::show(ui, &mut self.session, self.plots_open, size));
        if self.documents_seen != self.session.documents_opened() {
            self.documents_seen = self.session.documents_opened();
            self.fit(FitTo::Lift);
        }
        let drawing = CentralPanel::default().frame(Frame::NONE).show(ui, |ui| self.sketch.show(ui, &mut self.session));
        actions.extend(drawing.inner);

        let any = !actions.is_empty();
        for action in actions {
            self.apply(action, &ctx);
        }
        if any || revision != self.session.document().revision() {
            ctx.request_repaint();
        }
        self.set_title(&ctx);
        if self.session.close_agreed() && !self.closing {
            self.closing = true;
            ctx.send_viewport_cmd(ViewportCommand::Close);
        }
    }

    fn apply(&mut self, action: Action, ctx: &egui::Context) {
        match &action {
            Action::View(view @ (ViewAction::Pan(_) | ViewAction::Zoom { .. } | ViewAction::Reveal(_))) => {
                self.sketch.look(*view);
            }
            Action::Command(Command::FitLift) => self.fit(FitTo::Lift),
            Action::Command(Command::FitRoom) => self.fit(FitTo::Room),
            Action::Command(Command::TogglePlots) => self.plots_open = !self.plots_open,
            Action::Command(command @ (Command::Numbers | Command::Site)) => {
                let page = if *command == Command::Numbers { Page::Numbers } else { Page::Site };
                self.page = (self.page != Some(page)).then_some(page);
            }
            Action::Command(Command::Appearance) => {
                ctx.set_theme(match ctx.theme() {
                    egui::Theme::Light => egui::Theme::Dark,
                    egui::Theme::Dark => egui::Theme::Light,
                });
            }
            _ => {}
        }
        self.session.apply(action);
    }

    fn fit(&mut self, to: FitTo) {
        let analysis = self.session.analysis();
        self.sketch.fit(self.session.project(), &analysis, to);
    }

    fn set_title(&mut self, ctx: &egui::Context) {
        let unsaved = if self.session.document().has_unsaved_changes() { " (unsaved changes)" } else { "" };
        let title = format!("Overarm: {}{unsaved}", self.session.project().title());
        if title != self.title_shown {
            ctx.send_viewport_cmd(ViewportCommand::Title(title.clone()));
            self.title_shown = title;
        }
    }
}

impl eframe::App for App {
    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        self.show(ui);
    }

    fn clear_color(&self, visuals: &egui::Visuals) -> [f32; 4] {
        visuals.extreme_bg_color.to_normalized_gamma_f32()
    }
}
