//! What the program is, what to mind, and what it is built from with all licences.

use egui::{Label, RichText, ScrollArea, TextStyle, Ui};

use super::history_list::note;
use super::theme::{Palette, body, body_bold, small};

/// Licences of every crate that is linked, made by `assets/make-licences` and checked by `tests/run`.
const CRATES: &str = include_str!("../../../../assets/licences.txt");

/// The licence of the typeface.
const TYPEFACE: &str = include_str!("../../../../assets/fonts/B612-LICENCE.txt");
const SECOND_TYPEFACE: &str = include_str!("../../../../assets/fonts/DejaVuSans-LICENCE.txt");

/// What anybody should know before a lift is built from these files.
pub const CAUTIONS: [&str; 4] = [
    "An aid, not a licence: local codes and licensed practice come first.",
    "A heavy board overhead can kill. Build the lift so that no single failure of a strap, a screw or a bearing \
     lets it fall, and keep everybody from under it while it moves.",
    "A rule that holds here holds for the numbers that were given. Measure the room and the parts, and try the \
     motion with card or plywood links before metal is cut.",
    "Where a rule could not be checked, the window says so; it does not mean that it holds.",
];

/// Draws the page.
pub fn show(ui: &mut Ui, palette: &Palette) {
    let paragraph = |ui: &mut Ui, text: &str| {
        ui.add(Label::new(RichText::new(text).font(body()).color(palette.ink)).wrap());
        ui.add_space(4.0);
    };
    let heading = |ui: &mut Ui, text: &str| {
        ui.add_space(8.0);
        ui.label(RichText::new(text).font(body_bold()).color(palette.ink));
    };
    paragraph(ui, &format!("Overarm {}", env!("CARGO_PKG_VERSION")));
    paragraph(ui, "Designs a wall lift: a board that swings up under the ceiling on four bars a side.");
    ScrollArea::vertical().id_salt("about").auto_shrink(false).show(ui, |ui| {
        heading(ui, "Mind");
        for caution in CAUTIONS {
            paragraph(ui, caution);
        }
        heading(ui, "Licence");
        paragraph(ui, "MIT or Apache-2.0, as you choose. The program sends nothing anywhere.");
        heading(ui, "Typeface: B612, under the SIL Open Font License 1.1");
        folded_lines(ui, palette, "Text of the typeface's licence", TYPEFACE);
        heading(ui, "On sheets, letters that it lacks: DejaVu Sans, under its own free licence");
        folded_lines(ui, palette, "Text of the second typeface's licence", SECOND_TYPEFACE);
        heading(ui, "Built from");
        note(ui, palette, "Each crate with its licence; the full texts follow the list.");
        folded_lines(ui, palette, "Crates and their licences", CRATES);
    });
}

/// A long text, unfolded on demand; only the lines in view are laid out.
fn folded_lines(ui: &mut Ui, palette: &Palette, title: &str, text: &str) {
    // Enough to read in, small enough to leave the rest in view.
    const HEIGHT: f32 = 320.0;
    egui::CollapsingHeader::new(RichText::new(title).font(body())).show_unindented(ui, |ui| {
        let lines: Vec<&str> = text.lines().collect();
        ui.spacing_mut().item_spacing.y = 0.0;
        let row = ui.text_style_height(&TextStyle::Small);
        ScrollArea::both().id_salt(title).max_height(HEIGHT).auto_shrink([false, true]).show_rows(
            ui,
            row,
            lines.len(),
            |ui, shown| {
                for line in &lines[shown] {
                    let text = RichText::new(*line).font(small()).color(palette.quiet);
                    ui.add(Label::new(text).extend());
                }
            },
        );
    });
}
