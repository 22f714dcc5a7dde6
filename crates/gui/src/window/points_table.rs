//! The page of numbers: the same points and sizes as in the drawing, to be typed.

use egui::{Align, CollapsingHeader, Id, RichText, Ui, vec2};
use overarm_solver::Units;
use overarm_solver::units::{self, Fraction};

use super::number_field::{Note, NumberField, decimals_of, say};
use super::side_page::Columns;
use super::theme::{Palette, TARGET, body, small};
use super::toolbar::quiet;
use crate::session::{Action, Addition, Axis, Edit, Field, Group, Session, Setting, Spot, ViewAction, solid_name};

/// The units that lengths are shown and typed in.
pub fn choose_units(ui: &mut Ui, session: &Session, actions: &mut Vec<Action>) {
    let palette = Palette::of(ui.ctx());
    let units = session.project().units();
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.label(RichText::new("Units").font(body()).color(palette.quiet));
        for (choice, words) in [(Units::Millimetre, "mm"), (Units::Inch, "inch"), (Units::FeetInch, "feet and inches")]
        {
            if ui.add(egui::Button::selectable(units == choice, words)).clicked() && units != choice {
                actions.push(Action::Edit(Edit::Set(Setting::Units(choice))));
            }
        }
    });
    if units == Units::FeetInch {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            ui.label(RichText::new("Shown to").font(body()).color(palette.quiet));
            for choice in Fraction::ALL {
                let words = format!("1/{}\"", choice.per_inch());
                if ui.add(egui::Button::selectable(session.fraction() == choice, words)).clicked() {
                    actions.push(Action::View(ViewAction::ShowTo(choice)));
                }
            }
        });
    }
}

/// Draws the page.
pub fn show(ui: &mut Ui, session: &Session, columns: Columns, actions: &mut Vec<Action>) {
    choose_units(ui, session, actions);
    for group in Group::ALL {
        let open = matches!(group, Group::Pivots | Group::Travel | Group::Panel | Group::Room);
        CollapsingHeader::new(RichText::new(group.title()).font(body()))
            .id_salt(("numbers", group.title()))
            .default_open(open)
            .show_unindented(ui, |ui| {
                rows(ui, group, session, columns, actions);
                additions(ui, group, session, actions);
                ui.add_space(8.0);
            });
    }
}

/// The numbers of one group.
pub fn rows(ui: &mut Ui, group: Group, session: &Session, columns: Columns, actions: &mut Vec<Action>) {
    fields(ui, Field::of_group(group, session.project()), session, columns, actions);
}

/// Some numbers.
pub fn fields(ui: &mut Ui, fields: Vec<Field>, session: &Session, columns: Columns, actions: &mut Vec<Action>) {
    let project = session.project();
    let decimals = column_decimals(&fields, session);
    let mut headings = None;
    let mut row: Vec<Field> = Vec::new();
    for field in fields {
        row.push(field);
        let name = match field {
            Field::At(_, Axis::Across) => continue,
            Field::At(spot, Axis::Up) => {
                let words = Axis::BOTH.map(|axis| Field::At(spot, axis).what());
                if headings != Some(words) {
                    headings = Some(words);
                    heading(ui, words, columns);
                }
                if let Spot::SolidCorner(index, 0) = spot {
                    solid(ui, &solid_name(project, index), index, actions);
                }
                match spot {
                    Spot::SolidCorner(_, corner) => format!("corner {}", corner + 1),
                    other => other.name(project),
                }
            }
            Field::Size(_) => field.name(project),
        };
        let notes = numbers(ui, &name, &std::mem::take(&mut row), session, columns, decimals, actions);
        for note in notes {
            say(ui, &note);
        }
    }
}

/// The most decimals that a column shows.
fn column_decimals(fields: &[Field], session: &Session) -> usize {
    let project = session.project();
    let shown = fields.iter().filter_map(|field| {
        let value = field.value(project)?;
        let shown = units::show(value, field.quantity(), project.units(), session.fraction());
        (shown.unit == "mm" || shown.unit == "in").then(|| decimals_of(&shown.figures))
    });
    shown.max().unwrap_or(0)
}

/// What the two columns of figures say.
pub fn heading(ui: &mut Ui, words: [&str; 2], columns: Columns) {
    let palette = Palette::of(ui.ctx());
    ui.add_space(4.0);
    let lines = words.map(|what| {
        let mut job = egui::text::LayoutJob::simple(what.to_owned(), small(), palette.quiet, columns.figures - 4.0);
        job.halign = Align::RIGHT;
        ui.painter().layout_job(job)
    });
    let height = lines.iter().map(|line| line.size().y).fold(0.0, f32::max);
    let (place, _) = ui.allocate_exact_size(vec2(columns.all(), height), egui::Sense::hover());
    let mut right = place.left() + columns.name;
    for line in lines {
        right += Columns::GAP + columns.figures;
        // Both end on the same line, right above their figures.
        let at = egui::pos2(right - 6.0, place.bottom() - line.size().y);
        ui.painter().galley(at, line, palette.quiet);
    }
}

/// A solid's name, and what takes it away.
fn solid(ui: &mut Ui, name: &str, index: usize, actions: &mut Vec<Action>) {
    let palette = Palette::of(ui.ctx());
    ui.horizontal(|ui| {
        ui.label(RichText::new(name).font(body()).color(palette.ink));
        let remove = ui.add(quiet(&format!("Remove {}", name.to_lowercase())));
        if remove.clicked() {
            actions.push(Action::Edit(Edit::Set(Setting::RemoveSolid(index))));
        }
    });
}

/// One row: its name and one or two numbers; what is to be said under it.
fn numbers(
    ui: &mut Ui,
    name: &str,
    fields: &[Field],
    session: &Session,
    columns: Columns,
    decimals: usize,
    actions: &mut Vec<Action>,
) -> Vec<Note> {
    let palette = Palette::of(ui.ctx());
    let project = session.project();
    let mut notes = Vec::new();
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = Columns::GAP;
        // A single size leaves its name the first column of figures too.
        let free = if fields.len() == 1 { columns.figures + Columns::GAP } else { 0.0 };
        row_name(ui, name, columns.name + free, &palette);
        for field in fields {
            let (field, called) = (*field, field.name(project));
            let number = NumberField {
                name: &called,
                value: field.value(project),
                fallback: field.fallback(project),
                quantity: field.quantity(),
                units: project.units(),
                fraction: session.fraction(),
                decimals,
                width: columns.figures,
            };
            let outcome = number.show(ui, Id::unique(("number", field, session.documents_opened())), |value| {
                field.set(project, value).map(|_| ())
            });
            if let Some(value) = outcome.entered {
                actions.push(Action::Edit(Edit::Set(Setting::Number(field, value))));
            }
            if let Some(by) = outcome.nudged {
                actions.push(Action::Edit(Edit::Set(Setting::Nudge(field, by))));
            }
            notes.extend(outcome.note);
        }
    });
    notes
}

/// The name of a row, on as many lines as it needs.
pub fn row_name(ui: &mut Ui, name: &str, width: f32, palette: &Palette) {
    let galley = ui.painter().layout(name.to_owned(), body(), palette.ink, width);
    let size = vec2(width, galley.size().y.max(TARGET));
    // Not a label of its own: the field beside it is called the same, and more.
    let (place, _) = ui.allocate_exact_size(size, egui::Sense::hover());
    let at = egui::pos2(place.left(), place.center().y - galley.size().y / 2.0);
    ui.painter().galley(at, galley, palette.ink);
}

/// What may be added to one group.
pub fn additions(ui: &mut Ui, group: Group, session: &Session, actions: &mut Vec<Action>) {
    let offered: &[Addition] = match group {
        Group::Drive => &[Addition::Drive, Addition::Kick],
        Group::Room => &[Addition::Eye],
        _ => &[],
    };
    for addition in offered.iter().filter(|addition| addition.is_missing(session.project())) {
        if ui.add(egui::Button::new(addition.label()).min_size(vec2(TARGET, TARGET))).clicked() {
            actions.push(Action::Edit(Edit::Set(Setting::Add(*addition))));
        }
    }
}
