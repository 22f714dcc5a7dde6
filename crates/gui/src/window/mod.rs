//! The window: draws a [`Session`] and turns what people do into actions.
//!
//! Nothing here computes what a lift does. Each part draws from the session and returns
//! [`Action`]s; [`App::show`] applies them after everything is drawn.

mod about_page;
mod action_list;
mod app_icon;
mod bar_panel;
mod camera;
mod demos_page;
mod drag_modes;
mod figures_page;
mod flat_view;
mod hints;
mod history_list;
mod icons;
mod moves_list;
mod number_field;
mod opening;
mod plots;
mod points_table;
mod pose_figures;
mod question_bar;
mod recovery_question;
mod remembered;
mod rules_panel;
mod sheet_view;
mod shortcuts;
mod side_page;
mod site_page;
mod sketch;
mod theme;
mod tolerance_plots;
mod toolbar;
mod travel_strip;
mod trouble;

use std::sync::Arc;
use std::time::Instant;

use egui::{CentralPanel, Frame, Panel, Ui, ViewportCommand};
use overarm_shopfiles::drawing;
use overarm_shopfiles::part_drawings::part_words;
use overarm_shopfiles::picture::Subject;

use crate::session::{Action, Appearance, Asking, Command, Edit, FiguresOf, Handle, Moment, Session, ViewAction};
use action_list::ActionList;
use demos_page::DemosPage;
use flat_view::FlatView;
use remembered::Given;
use sheet_view::SheetView;
use side_page::Page;
use sketch::{FitTo, Sketch};

pub use opening::{A_FRAME, NoWindow, Start, run};

/// One window.
pub struct App {
    session: Session,
    sketch: Sketch,
    front: FlatView,
    parts: FlatView,
    sheets: SheetView,
    page: Option<Page>,
    page_just_opened: bool,
    /// In a window too low for both, the plots take the drawing's place when they are asked for.
    plots_instead: bool,
    action_list: ActionList,
    demos: DemosPage,
    given: Given,
    was_focused: bool,
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
        let mut session = Session::with_places(Arc::new(move || waker.request_repaint()), start.places);
        match start.file {
            Some(file) => session.start_with(file),
            None => session.look_for_lost_work(),
        }
        let mut given = Given::default();
        given.look(ctx, session.settings());
        Self {
            session,
            sketch: Sketch::default(),
            front: FlatView::default(),
            parts: FlatView::default(),
            sheets: SheetView::default(),
            page: None,
            page_just_opened: false,
            plots_instead: false,
            action_list: ActionList::default(),
            demos: DemosPage::new(),
            given,
            was_focused: true,
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

    /// Whether errors of parts are drawn while nothing changes; they are, unless told otherwise.
    pub fn draw_errors(&mut self, wanted: bool) {
        self.session.draw_errors(wanted);
    }

    /// What the window works on.
    #[must_use]
    pub fn session(&self) -> &Session {
        &self.session
    }

    /// Ends the session, as closing the window does: what is to be written is written.
    pub fn finish(&mut self) {
        self.session.finish();
    }

    /// Draws one frame and carries out what was asked for in it.
    pub fn show(&mut self, ui: &mut Ui) {
        let ctx = ui.ctx().clone();
        let size = ui.max_rect().size();
        self.session.take_outcomes();
        self.given.look(&ctx, self.session.settings());
        self.given.place(&ctx, self.session.settings());
        if let Some(place) = remembered::place_of(&ctx) {
            self.session.window_is_at(place);
        }
        // Whoever comes back may have changed the file elsewhere.
        let focused = ctx.input(|input| input.focused);
        if focused && !std::mem::replace(&mut self.was_focused, focused) {
            self.session.look_at_file();
        }
        self.was_focused = focused;
        if self.session.is_playing() {
            let seconds = ctx.input(|input| match self.session.settings().reduce_motion {
                // Between its places the window rests.
                true => f64::from(input.unstable_dt),
                // A window that was hidden must not jump.
                false => f64::from(input.stable_dt).min(0.1),
            });
            if let Some(next) = self.session.advance(seconds) {
                ctx.request_repaint_after(next);
            }
        }
        let revision = self.session.document().revision();

        let mut actions = shortcuts::pressed(&ctx, self.session.asking().is_some());
        if ctx.input(|input| input.viewport().close_requested()) && !self.session.close_agreed() {
            if self.session.document().has_unsaved_changes() || number_field::is_half_typed(&ctx) {
                ctx.send_viewport_cmd(ViewportCommand::CancelClose);
            }
            actions.push(Action::Command(Command::Close));
        }
        actions.extend(dropped(&ctx));
        let has_room = toolbar::has_room_for_plots(size.y);
        self.plots_instead &= !has_room;
        let plots_open = self.session.settings().plots_open && has_room;
        if actions.iter().any(|action| matches!(action, Action::Command(command) if command.is_about_files())) {
            number_field::leave(&ctx);
        }
        actions.extend(toolbar::show(ui, &self.session, self.page));
        let asked = self.session.asking().map(Asking::moment);
        let just_asked = asked.is_some() && asked != self.asked_before;
        self.asked_before = asked;
        actions.extend(question_bar::show(ui, &self.session, just_asked, size));
        if let Some(notice) = self.session.notice() {
            actions.extend(toolbar::show_notice(ui, notice));
        }
        let just_opened = std::mem::take(&mut self.page_just_opened);
        let aside = question_bar::is_aside(&self.session, size);
        if let Some(page) = self.page.filter(|_| !aside) {
            let (list, demos) = (&mut self.action_list, &self.demos);
            actions.extend(side_page::show(ui, &mut self.session, page, size, list, demos, just_opened));
        }
        if !aside && !side_page::hides_rules(self.page, size) {
            actions.extend(rules_panel::show(ui, &mut self.session));
        }
        // Parts do not move: they get the strip's place too.
        if self.plots_instead || self.session.subject() != Subject::Parts {
            actions.extend(travel_strip::show(ui, &mut self.session, plots_open, self.plots_instead, size));
        }
        if self.documents_seen != self.session.documents_opened() {
            self.documents_seen = self.session.documents_opened();
            self.fit(FitTo::Lift);
        }
        let drawing = CentralPanel::default().frame(Frame::NONE).show(ui, |ui| {
            let mut actions = hints::show(ui, &self.session);
            CentralPanel::default().frame(Frame::NONE).show(ui, |ui| actions.extend(self.draw(ui)));
            actions
        });
        actions.extend(drawing.inner);

        // What was half typed is entered before it is saved.
        actions.sort_by_key(|action| !matches!(action, Action::Edit(Edit::Set(_))));
        let any = !actions.is_empty();
        for action in actions {
            self.apply(action, &ctx);
        }
        if any || revision != self.session.document().revision() {
            ctx.request_repaint();
        }
        if let Some(wait) = self.session.tick(Instant::now()) {
            ctx.request_repaint_after(wait);
        }
        self.set_title(&ctx);
        if self.session.close_agreed() && !self.closing {
            self.closing = true;
            ctx.send_viewport_cmd(ViewportCommand::Close);
        }
    }

    /// Draws the view that is chosen.
    fn draw(&mut self, ui: &mut Ui) -> Vec<Action> {
        if self.plots_instead {
            let mut actions = Vec::new();
            let analysis = self.session.analysis();
            // On the rail's axis, which has a margin at both ends.
            let place = ui.max_rect().shrink2(egui::vec2(8.0, 4.0));
            plots::show(ui, place, &self.session, &analysis, true, &mut actions);
            return actions;
        }
        let subject = self.session.subject();
        if subject == Subject::Side {
            self.sketch.marks_pinches = self.page == Some(Page::Figures(FiguresOf::Drive));
            return self.sketch.show(ui, &mut self.session);
        }
        let (analysis, pose) = (self.session.analysis(), self.session.pose());
        if subject == Subject::Front {
            let front = drawing::front(self.session.project(), &analysis, &pose);
            self.front.show(ui, &mut self.session, &front, &Handle::IN_FRONT)
        } else {
            let frame = Frame::NONE.inner_margin(egui::Margin::symmetric(12, 4));
            Panel::top("sheets").frame(frame).show(ui, |ui| self.sheets.choose(ui, &mut self.session));
            if self.sheets.is_open() {
                return CentralPanel::default()
                    .frame(Frame::NONE)
                    .show(ui, |ui| self.sheets.show(ui, &mut self.session))
                    .inner;
            }
            let parts = drawing::parts(self.session.project(), &analysis, self.parts.sheet());
            let actions = self.parts.show(ui, &mut self.session, &parts, &[]);
            if let Some((name, hand)) = self.parts.take_clicked_part() {
                self.sheets.open(part_words(name, hand));
                ui.ctx().request_repaint();
            }
            actions
        }
    }

    fn apply(&mut self, action: Action, ctx: &egui::Context) {
        match &action {
            Action::View(view @ (ViewAction::Pan(_) | ViewAction::Zoom { .. } | ViewAction::Reveal(_))) => {
                match self.session.subject() {
                    Subject::Side => self.sketch.look(*view),
                    Subject::Front => self.front.look(*view),
                    Subject::Parts if self.sheets.is_open() => self.sheets.look(*view),
                    Subject::Parts => self.parts.look(*view),
                }
            }
            Action::Command(Command::FitLift) => self.fit(FitTo::Lift),
            Action::Command(Command::FitRoom) => self.fit(FitTo::Room),
            Action::Command(Command::Appearance) => {
                let other = match ctx.theme() {
                    egui::Theme::Light => Appearance::Dark,
                    egui::Theme::Dark => Appearance::Light,
                };
                self.session.remember(|settings| settings.appearance = other);
            }
            Action::Command(Command::TogglePlots) if !toolbar::has_room_for_plots(ctx.content_rect().height()) => {
                self.plots_instead = !self.plots_instead;
                return;
            }
            // Parts do not move, so there is no travel to plot over.
            Action::Command(Command::TogglePlots) if self.session.subject() == Subject::Parts => return,
            // Whoever asks for a view wants to see it.
            Action::Command(Command::SideView | Command::FrontView | Command::PartsView) => self.plots_instead = false,
            Action::Command(command) if Page::of(*command).is_some() => {
                let page = Page::of(*command);
                self.page = if self.page == page { None } else { page };
                self.page_just_opened = self.page.is_some();
            }
            _ => {}
        }
        self.session.apply(action);
    }

    fn fit(&mut self, to: FitTo) {
        self.front.fit();
        self.parts.fit();
        self.sheets.fit();
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

/// The first of the files that were dropped on the window.
fn dropped(ctx: &egui::Context) -> Option<Action> {
    ctx.input(|input| input.raw.dropped_files.first().map(|file| Action::OpenFile(file.path().to_path_buf())))
}

impl eframe::App for App {
    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        self.show(ui);
    }

    fn on_exit(&mut self, _gl: Option<&eframe::glow::Context>) {
        self.finish();
    }

    fn clear_color(&self, visuals: &egui::Visuals) -> [f32; 4] {
        visuals.extreme_bg_color.to_normalized_gamma_f32()
    }
}
