//! The demos by name, each with its sentence and a way to open it.

use egui::{Label, RichText, ScrollArea, Ui};
use overarm_solver::{Project, Units};

use super::history_list::note;
use super::question_bar::standing_button;
use super::theme::{Palette, body, body_bold};
use crate::session::{Action, Demo, about};

/// The demos as the page shows them: those of one lift, which differ in their units, together.
pub struct DemosPage {
    lifts: Vec<Listed>,
}

struct Listed {
    title: String,
    about: String,
    demos: Vec<(Demo, Units)>,
}

impl DemosPage {
    /// Reads the demos once.
    #[must_use]
    pub fn new() -> Self {
        let mut lifts: Vec<Listed> = Vec::new();
        for demo in Demo::all() {
            let project = demo.project();
            let units = project.units();
            match lifts.iter_mut().find(|lift| lift.title == project.title()) {
                Some(lift) => lift.demos.push((demo, units)),
                None => lifts.push(Listed::new(demo, &project)),
            }
        }
        Self { lifts }
    }

    /// Draws the page.
    pub fn show(&self, ui: &mut Ui, palette: &Palette, actions: &mut Vec<Action>) {
        ScrollArea::vertical().id_salt("demos").auto_shrink(false).show(ui, |ui| {
            note(ui, palette, "Opened as a copy: saving asks for a name of your own.");
            for lift in &self.lifts {
                ui.add_space(8.0);
                let paragraph = |text: &str| RichText::new(text).color(palette.ink);
                ui.add(Label::new(paragraph(&lift.title).font(body_bold())).wrap());
                ui.add(Label::new(paragraph(&lift.about).font(body())).wrap());
                ui.horizontal_wrapped(|ui| {
                    for (demo, units) in &lift.demos {
                        let button = ui.add(standing_button(in_units(*units)));
                        let name = format!("Open {} {}", lift.title, in_units(*units).to_lowercase());
                        button.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, &name));
                        if button.on_hover_text(name.clone()).clicked() {
                            actions.push(Action::OpenDemo(*demo));
                        }
                    }
                });
            }
            ui.add_space(16.0);
        });
    }
}

impl Default for DemosPage {
    fn default() -> Self {
        Self::new()
    }
}

impl Listed {
    fn new(demo: Demo, project: &Project) -> Self {
        Self {
            title: project.title().to_owned(),
            about: about(project).unwrap_or_default().to_owned(),
            demos: vec![(demo, project.units())],
        }
    }
}

fn in_units(units: Units) -> &'static str {
    match units {
        Units::Millimetre => "In millimetres",
        Units::Inch => "In inches",
        Units::FeetInch => "In feet and inches",
    }
}
