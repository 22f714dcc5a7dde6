//! A [`Drawing`](crate::drawing::Drawing)'s marks on a sheet of SVG.

use overarm_solver::{Layer, Point};

use super::{ACCENT, INK, PAPER, QUIET, ROW, SMALL, WOOD};
use crate::drawing::{Hold, Line, Mark, Tone};
use crate::picture_canvas::{Anchor, Canvas, Dash, Ink, Lettering, NARROW, WIDE};
use crate::room_fill::Window;

/// From the middle of a small letter to its base line, px.
const BASE: f64 = 4.0;

/// Draws them in their order; what lies off the sheet is cut away.
pub(super) fn draw(canvas: &mut Canvas, sheet: &Window, marks: &[Mark]) {
    for mark in marks {
        match mark {
            Mark::Area { outline, tone } => canvas.polygon(&sheet.clip_polygon(outline), Ink::fill(filled(*tone), 1.0)),
            Mark::Solid { outline } => canvas.hatched(&sheet.clip_polygon(outline), "cut"),
            Mark::Line { places, line, tone } => draw_line(canvas, sheet, places, ink(*line, *tone)),
            // The sheet has room for whole texts.
            Mark::Text { at, off, hold, text, tone, .. } => {
                let (x, y) = canvas.view().page(*at);
                let anchor = match hold {
                    Hold::Left => Anchor::Start,
                    Hold::Middle => Anchor::Middle,
                    Hold::Right => Anchor::End,
                };
                let place = (x + ROW * off.x, y - ROW * off.y + BASE);
                canvas.text(place, text, Lettering::new(SMALL, colour(*tone)).held(anchor));
            }
            Mark::Size { between, below, text } => {
                let [from, to] = between.map(|place| canvas.view().page(place));
                let y = from.1.max(to.1) + ROW * below;
                for end in [from, to] {
                    let thin = Ink::line(QUIET, NARROW, Dash::Solid);
                    canvas.page_line((end.0, end.1 + 3.0), (end.0, y + 4.0), thin);
                }
                canvas.dimension((from.0, y), (to.0, y), QUIET);
                // Above its line, which it leaves whole.
                let place = (0.5 * (from.0 + to.0), y - BASE);
                canvas.text(place, text, Lettering::new(SMALL, INK).held(Anchor::Middle));
            }
        }
    }
}

/// Whole where it lies on the sheet, so that its dashes run on; else its pieces.
fn draw_line(canvas: &mut Canvas, sheet: &Window, places: &[Point], ink: Ink) {
    let cut: Vec<_> = places.windows(2).map(|ends| sheet.clip_segment(ends[0], ends[1])).collect();
    let whole = cut.iter().zip(places.windows(2)).all(|(cut, ends)| cut.is_some_and(|cut| cut == [ends[0], ends[1]]));
    if whole {
        canvas.polyline(places, ink);
    } else {
        cut.into_iter().flatten().for_each(|piece| canvas.polyline(&piece, ink));
    }
}

fn ink(line: Line, tone: Tone) -> Ink {
    let (width, dash) = match line {
        Line::Outline => (WIDE, Dash::Solid),
        Line::Thin => (NARROW, Dash::Solid),
        Line::Ghost => (NARROW, Dash::DoubleDotted),
        Line::Centre => (0.8 * NARROW, Dash::Chain),
        Line::Hidden => (NARROW, Dash::Hidden),
    };
    Ink::line(colour(tone), width, dash)
}

fn colour(tone: Tone) -> &'static str {
    match tone {
        Tone::Ink | Tone::Metal(_) => INK,
        Tone::Quiet => QUIET,
        Tone::Faint | Tone::Beyond => "#A39C8F",
        Tone::Wood => WOOD,
        Tone::Strap | Tone::Opening => ACCENT,
    }
}

fn filled(tone: Tone) -> &'static str {
    match tone {
        Tone::Metal(Layer::Inner) => "#C8D1D9",
        Tone::Metal(Layer::Middle) => "#A7B6C3",
        Tone::Metal(Layer::Outer) => "#7C90A2",
        Tone::Wood => "#D9BE9C",
        Tone::Strap => "#B9CBD6",
        Tone::Opening => PAPER,
        Tone::Beyond => "#EFECE5",
        Tone::Ink => INK,
        Tone::Quiet => QUIET,
        Tone::Faint => "#A39C8F",
    }
}
