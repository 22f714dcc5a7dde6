//! The field for one number: it takes what people type, echoes what it understood, and refuses the
//! rest in place without losing it.
//!
//! What is being typed is kept by egui under the field's id, like a text field's cursor; the number
//! itself goes out as what was entered and comes back as the value.

use egui::text::{CCursor, CCursorRange};
use egui::{Align2, Atom, Context, Id, Key, Label, Layout, Margin, Modifiers, Response, RichText, TextEdit, Ui, vec2};
use overarm_solver::Units;
use overarm_solver::units::{Fraction, Quantity, Shown, read, show};

use super::icons::Standing;
use super::theme::{Palette, TARGET, body, small};
use crate::session::Fallback;

/// One number that can be typed.
pub struct NumberField<'a> {
    /// What it is called, to assistive technology.
    pub name: &'a str,
    /// The value in the unit that is kept; none: not given.
    pub value: Option<f64>,
    /// What holds where it is not given; [`Fallback::None`]: it has to be given.
    pub fallback: Fallback,
    /// What it is a number of.
    pub quantity: Quantity,
    /// Units of display.
    pub units: Units,
    /// Finest part of an inch.
    pub fraction: Fraction,
    /// Decimals of the column that it stands in, so that the decimal signs stand under each other.
    pub decimals: usize,
    /// Width, points.
    pub width: f32,
}

/// What came of a field in a frame.
pub struct Outcome {
    /// Entered now: a value, or nothing, for what holds where it is not given.
    pub entered: Option<Option<f64>>,
    /// Moved by arrow keys, by so much.
    pub nudged: Option<f64>,
    /// What to say under it.
    pub note: Option<Note>,
}

/// What is said under a field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Note {
    /// What was understood, or what is still missing while typing.
    Quiet(String),
    /// Why it was refused.
    Refused(String),
}

#[derive(Clone, Debug, Default)]
struct Draft {
    text: String,
    /// It was to be entered and was refused.
    is_refused: bool,
}

impl NumberField<'_> {
    /// Draws it; `check` says why a value is not possible.
    pub fn show(&self, ui: &mut Ui, id: Id, check: impl Fn(Option<f64>) -> Result<(), String>) -> Outcome {
        let palette = Palette::of(ui.ctx());
        let draft_id = id.with("draft");
        let draft: Option<Draft> = ui.data(|data| data.get_temp(draft_id));
        let shown = self.value.map(|value| self.shown(value));
        let nudged = self.nudge(ui, id, draft.as_ref());

        let standing = shown.as_ref().map_or(String::new(), |shown| shown.figures.clone());
        let mut text = draft.as_ref().map_or_else(|| standing.clone(), |draft| draft.text.clone());
        let response = self.text_field(ui, id, &mut text, shown.as_ref(), draft.is_some(), &palette);

        let mut draft = draft;
        if response.changed() {
            draft = Some(Draft { text, is_refused: false });
        }
        let mut entered = None;
        let focused = ui.memory(|memory| memory.has_focus(id));
        let escaped = ui.input(|input| input.key_pressed(Key::Escape));
        if nudged.is_some() || (response.lost_focus() && escaped) {
            draft = None;
        }
        // Assistive technology sets a text without taking the focus.
        let leaves = response.lost_focus() || (response.changed() && !focused);
        if leaves && let Some(draft_text) = draft.as_ref().map(|draft| draft.text.clone()) {
            match self.meant(&draft_text).and_then(|value| check(value).map(|()| value)) {
                Ok(value) => {
                    entered = Some(value);
                    draft = None;
                }
                Err(_) => draft = Some(Draft { text: draft_text, is_refused: true }),
            }
        }
        let by_enter = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        if by_enter {
            // Tab and the arrows go on from here.
            response.request_focus();
        }
        if response.gained_focus() || nudged.is_some() || (by_enter && draft.is_none()) {
            select_all(ui.ctx(), id);
        }
        let note = draft.as_ref().and_then(|draft| self.note(draft, focused || by_enter, &check));
        if let Some(Note::Refused(_)) = &note {
            ui.painter().rect_stroke(
                response.rect,
                4.0,
                egui::Stroke::new(2.0, palette.fails),
                egui::StrokeKind::Inside,
            );
        }
        self.tell(ui, &response, shown.as_ref(), note.as_ref());
        remember_rest(ui.ctx(), id, focused || by_enter, draft.is_none());
        ui.data_mut(|data| match draft {
            Some(draft) => {
                data.insert_temp(draft_id, draft);
            }
            None => data.remove::<Draft>(draft_id),
        });
        Outcome { entered, nudged, note }
    }

    fn text_field(
        &self,
        ui: &mut Ui,
        id: Id,
        text: &mut String,
        shown: Option<&Shown>,
        is_typed: bool,
        palette: &Palette,
    ) -> Response {
        let mut field = TextEdit::singleline(text)
            .id(id)
            .desired_width(self.width)
            .min_size(vec2(self.width, TARGET))
            .margin(Margin::symmetric(6, 2))
            .align(Align2::RIGHT_CENTER)
            .hint_text(RichText::new(self.hint()).font(small()).color(palette.quiet));
        if let Some(shown) = shown.filter(|_| !is_typed) {
            if is_rounded(shown) {
                field = field.prefix(RichText::new("≈").font(small()).color(palette.quiet));
            }
            if !shown.unit.is_empty() {
                let pad = self.pad(ui, shown);
                let unit = RichText::new(shown.unit).font(small()).color(palette.quiet);
                field = field.suffix((Atom::custom(egui::IdSalt::new("decimals"), vec2(pad, 1.0)), unit));
            }
        }
        let spacing = ui.spacing().icon_spacing;
        ui.spacing_mut().icon_spacing = 1.0;
        let output = field.show(ui);
        ui.spacing_mut().icon_spacing = spacing;
        output.response.response
    }

    /// Room behind the figures for the decimals that others of the column have and this one has not.
    fn pad(&self, ui: &Ui, shown: &Shown) -> f32 {
        // Margins, and what stands between the atoms.
        const AROUND: f32 = 16.0;
        let figures = shown.figures.as_str();
        let own = decimals_of(figures);
        let missing = self.decimals.saturating_sub(own);
        let filler = format!("{}{}", if own == 0 && missing > 0 { "." } else { "" }, "0".repeat(missing));
        let wide = |text: String, font| ui.painter().layout_no_wrap(text, font, egui::Color32::TRANSPARENT).size().x;
        let taken = wide(figures.to_owned(), body()) + wide(shown.unit.to_owned(), small()) + AROUND;
        wide(filler, body()).min(self.width - taken).max(0.0)
    }

    fn shown(&self, value: f64) -> Shown {
        show(value, self.quantity, self.units, self.fraction)
    }

    /// What stands in the field where nothing is given.
    fn hint(&self) -> String {
        match self.fallback {
            Fallback::None => String::new(),
            Fallback::Value(value) => format!("default {}", self.shown(value).text()),
            Fallback::Words(words) => words.to_owned(),
        }
    }

    /// What a text means: a value, or nothing where that is possible.
    fn meant(&self, text: &str) -> Result<Option<f64>, String> {
        if text.trim().is_empty() && self.fallback != Fallback::None {
            return Ok(None);
        }
        read(text, self.quantity, self.units).map(Some).map_err(|refused| refused.reason)
    }

    fn note(&self, draft: &Draft, focused: bool, check: &impl Fn(Option<f64>) -> Result<(), String>) -> Option<Note> {
        let refused = |reason: String| {
            Some(if draft.is_refused || !focused { Note::Refused(reason) } else { Note::Quiet(reason) })
        };
        let value = match self.meant(&draft.text) {
            Ok(value) => value,
            Err(reason) => return refused(reason),
        };
        if let Err(reason) = check(value) {
            return refused(reason);
        }
        let understood = match value {
            Some(value) => {
                let shown = self.shown(value);
                format!("= {}, {}", shown.text(), shown.rounding(self.quantity))
            }
            None => format!("= {}", self.hint()),
        };
        Some(Note::Quiet(if focused { understood } else { format!("{understood}. Not set yet: Enter sets it.") }))
    }

    /// Arrow keys up and down, with Shift coarse and with Alt fine: by how much, if any was pressed.
    fn nudge(&self, ui: &Ui, id: Id, draft: Option<&Draft>) -> Option<f64> {
        // What is half typed is not moved.
        if draft.is_some() || !ui.memory(|memory| memory.has_focus(id)) {
            return None;
        }
        let mut by = 0.0;
        for (modifiers, step) in
            [(Modifiers::SHIFT, self.steps()[2]), (Modifiers::ALT, self.steps()[0]), (Modifiers::NONE, self.steps()[1])]
        {
            for (key, sign) in [(Key::ArrowUp, 1.0), (Key::ArrowDown, -1.0)] {
                let times = ui.input_mut(|input| input.count_and_consume_key(modifiers, key));
                #[allow(clippy::cast_precision_loss)] // a few presses in a frame
                let times = times as f64;
                by += times * sign * step;
            }
        }
        (by != 0.0).then_some(by)
    }

    /// Fine, usual and coarse step, in the unit that is kept.
    fn steps(&self) -> [f64; 3] {
        match (self.quantity, self.units) {
            // Parts of a tape: a 64th, a 16th, an inch.
            (Quantity::Length, Units::Inch | Units::FeetInch) => [25.4 / 64.0, 25.4 / 16.0, 25.4],
            (Quantity::Count, _) => [1.0, 1.0, 10.0],
            (Quantity::Plain, _) if self.value.is_some_and(|value| value.abs() < 1.0) => [0.001, 0.01, 0.1],
            _ => [0.1, 1.0, 10.0],
        }
    }

    /// Name, and what else there is to say, to assistive technology; the text is told by the field.
    fn tell(&self, ui: &Ui, response: &Response, shown: Option<&Shown>, note: Option<&Note>) {
        let rounding = shown.filter(|shown| is_rounded(shown)).map(|shown| {
            let rounding = shown.rounding(self.quantity);
            format!("Shown {rounding}.")
        });
        let unit = shown.map_or("", |shown| shown.unit);
        let said = match note {
            Some(Note::Quiet(text) | Note::Refused(text)) => text.clone(),
            None => rounding.clone().unwrap_or_else(|| if shown.is_some() { unit.to_owned() } else { self.hint() }),
        };
        ui.ctx().accesskit_node_builder(response.id, |node| {
            node.set_label(self.name);
            node.set_description(said);
            if matches!(note, Some(Note::Refused(_))) {
                node.set_invalid(egui::accesskit::Invalid::True);
            }
        });
        if let Some(rounding) = rounding {
            response.clone().on_hover_text(rounding);
        }
    }
}

/// What stands under a row of fields.
pub fn say(ui: &mut Ui, note: &Note) {
    let palette = Palette::of(ui.ctx());
    // Read, not pressed: it may be lower than a target; and clear of the scroll bar.
    let size = vec2(ui.available_width() - 14.0, 18.0);
    ui.allocate_ui_with_layout(size, Layout::left_to_right(egui::Align::Min), |ui| match note {
        Note::Quiet(text) => {
            ui.add(Label::new(RichText::new(text).font(small()).color(palette.quiet)).wrap());
        }
        Note::Refused(text) => {
            let (place, _) = ui.allocate_exact_size(vec2(14.0, 18.0), egui::Sense::hover());
            Standing::Fails.paint(ui.painter(), place.center(), 11.0, &palette);
            ui.add(Label::new(RichText::new(text).font(small()).color(palette.fails)).wrap());
        }
    });
}

/// Whether the focused field is a number in which nothing is half typed: undo is then the project's.
#[must_use]
pub fn is_at_rest(ctx: &Context) -> bool {
    let resting: Option<Id> = ctx.data(|data| data.get_temp(resting_id()));
    resting.is_some() && resting == ctx.memory(egui::Memory::focused)
}

/// Whether the focused field is a number with something half typed in it.
#[must_use]
pub fn is_half_typed(ctx: &Context) -> bool {
    let focused = ctx.memory(egui::Memory::focused);
    focused.is_some_and(|id| ctx.data(|data| data.get_temp::<Draft>(id.with("draft"))).is_some())
}

/// Leaves a number that is half typed, so that it is entered in this frame.
pub fn leave(ctx: &Context) {
    if is_half_typed(ctx)
        && let Some(id) = ctx.memory(egui::Memory::focused)
    {
        ctx.memory_mut(|memory| memory.surrender_focus(id));
    }
}

fn resting_id() -> Id {
    Id::unique("number field at rest")
}

fn remember_rest(ctx: &Context, id: Id, focused: bool, rests: bool) {
    ctx.data_mut(|data| {
        if focused && rests {
            data.insert_temp(resting_id(), id);
        } else if data.get_temp(resting_id()) == Some(id) {
            data.remove::<Id>(resting_id());
        }
    });
}

/// Typing replaces what stands there.
fn select_all(ctx: &Context, id: Id) {
    let mut state = TextEdit::load_state(ctx, id).unwrap_or_default();
    // Beyond the end is the end.
    state.cursor.set_char_range(Some(CCursorRange::two(CCursor::default(), CCursor::new(1000))));
    TextEdit::store_state(ctx, id, state);
}

/// Whether what is shown differs from the value by more than anybody works to.
fn is_rounded(shown: &Shown) -> bool {
    shown.rounded_by.abs() >= 0.0005
}

/// Digits behind the decimal sign.
#[must_use]
pub fn decimals_of(figures: &str) -> usize {
    figures.split_once('.').map_or(0, |(_, after)| after.len())
}
