//! Pages as a PDF file. The same pages give the same bytes: no clock, no random number.

use krilla::color::rgb;
use krilla::geom::{PathBuilder, Point, Transform};
use krilla::metadata::{DateTime, Metadata};
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Data, Document};
use overarm_solver::Project;

use super::frame::People;
use super::page::{Mark, Page, Text};
use super::path::{Path, Place, Step};
use super::pen::{Colour, Pen};
use super::typeface::{Lettered, lettered, second_size};
use crate::issue_date::parts_of;
use crate::picture::{SECOND_BOLD, SECOND_REGULAR, TYPEFACE_BOLD, TYPEFACE_REGULAR};

/// Points of a PDF in a millimetre.
const POINTS: f64 = 72.0 / 25.4;
/// A quarter turn, degrees clockwise on a page with y down.
const UPWARDS_DEG: f32 = -90.0;

/// The file with the sheets of a project, `what` they are. It is dated as they are where that is a date.
///
/// # Errors
/// A sentence where the writer refuses what it is given.
pub fn pdf(project: &Project, what: &str, pages: &[Page]) -> Result<Vec<u8>, String> {
    let fonts = Fonts::new()?;
    let mut document = Document::new();
    let title = format!("{}: {what}", project.title());
    let named = Metadata::new().title(title).creator("Overarm".to_owned()).language("en".to_owned());
    document.set_metadata(match parts_of(&People::of(project).date) {
        Some((year, month, day)) => named.creation_date(DateTime::new(year).month(month).day(day)),
        None => named,
    });
    for page in pages {
        let size = PageSettings::from_wh(points(page.paper.width), points(page.paper.height));
        let mut sheet = document.start_page_with(size.ok_or("a sheet without size")?);
        let mut surface = sheet.surface();
        for mark in &page.marks {
            put(&mut surface, mark, &fonts);
        }
        surface.finish();
        sheet.finish();
    }
    document.finish().map_err(|error| format!("the PDF writer refused it: {error:?}"))
}

/// Regular and bold, of the first typeface and of the second one.
struct Fonts {
    first: [Font; 2],
    second: [Font; 2],
}

impl Fonts {
    fn new() -> Result<Self, String> {
        let read = |bytes: &'static [u8]| Font::new(Data::from(bytes), 0).ok_or("the typeface cannot be read");
        Ok(Self {
            first: [read(TYPEFACE_REGULAR)?, read(TYPEFACE_BOLD)?],
            second: [read(SECOND_REGULAR)?, read(SECOND_BOLD)?],
        })
    }
}

fn put(surface: &mut Surface, mark: &Mark, fonts: &Fonts) {
    match mark {
        Mark::Shape { path, pen, fill } => {
            let Some(path) = outline(path) else { return };
            surface.set_fill(fill.map(inside));
            surface.set_stroke(pen.map(stroke));
            surface.draw_path(&path);
        }
        Mark::Text(text) => put_text(surface, text, fonts),
        Mark::Clip(path) => match outline(path) {
            Some(path) => surface.push_clip_path(&path, &FillRule::EvenOdd),
            // Inside of nothing there is nothing to see; a stretch without area keeps the count.
            None => surface.push_transform(&Transform::from_scale(0.0, 0.0)),
        },
        Mark::Unclip => surface.pop(),
    }
}

fn put_text(surface: &mut Surface, text: &Text, fonts: &Fonts) {
    let style = text.style;
    surface.set_fill(Some(inside(style.colour)));
    surface.set_stroke(None);
    let at = point(text.at);
    if text.upwards {
        surface.push_transform(&Transform::from_rotate_at(UPWARDS_DEG, at.x, at.y));
    }
    let mut along = 0.0;
    for (second, words) in runs(&text.words, style.bold) {
        let size = if second { second_size(style.bold) } else { 1.0 };
        let mut glyphs = Vec::with_capacity(words.len());
        let start_at = along;
        for (start, letter) in words.char_indices() {
            let Lettered { glyph, advance, .. } = lettered(letter, style.bold);
            #[allow(clippy::cast_possible_truncation)] // a share of an em
            let width = (advance / size) as f32;
            let range = start..start + letter.len_utf8();
            glyphs.push(KrillaGlyph::new(GlyphId::new(glyph), width, 0.0, 0.0, 0.0, range, None));
            along += advance * style.em();
        }
        let font = &(if second { &fonts.second } else { &fonts.first })[usize::from(style.bold)];
        let from = Point { x: at.x + points(start_at), ..at };
        surface.draw_glyphs(from, &glyphs, font.clone(), words, points(size * style.em()), false);
    }
    if text.upwards {
        surface.pop();
    }
}

/// Words in pieces of one typeface each: whether it is the second one, and the piece.
fn runs(words: &str, bold: bool) -> Vec<(bool, &str)> {
    let mut found: Vec<(bool, &str)> = Vec::new();
    let mut from = 0;
    let mut before = None;
    for (start, letter) in words.char_indices() {
        let second = lettered(letter, bold).second;
        if let Some(known) = before.replace(second)
            && known != second
        {
            found.push((known, &words[from..start]));
            from = start;
        }
    }
    found.extend(before.map(|second| (second, &words[from..])));
    found
}

fn outline(path: &Path) -> Option<krilla::geom::Path> {
    let mut builder = PathBuilder::new();
    for step in &path.steps {
        match *step {
            Step::Move([x, y]) => builder.move_to(points(x), points(y)),
            Step::Line([x, y]) => builder.line_to(points(x), points(y)),
            Step::Curve(one, two, end) => {
                let [one, two, end] = [one, two, end].map(point);
                builder.cubic_to(one.x, one.y, two.x, two.y, end.x, end.y);
            }
            Step::Close => builder.close(),
        }
    }
    builder.finish()
}

fn stroke(pen: Pen) -> Stroke {
    let lengths = pen.dash.lengths(pen.width);
    let dash = StrokeDash { array: lengths.into_iter().map(points).collect(), offset: 0.0 };
    Stroke {
        paint: colour(pen.colour).into(),
        width: points(pen.width),
        dash: (!dash.array.is_empty()).then_some(dash),
        ..Stroke::default()
    }
}

fn inside(tone: Colour) -> Fill {
    Fill { paint: colour(tone).into(), opacity: NormalizedF32::ONE, rule: FillRule::EvenOdd }
}

fn colour([red, green, blue]: Colour) -> rgb::Color {
    rgb::Color::new(red, green, blue)
}

fn point([x, y]: Place) -> Point {
    Point::from_xy(points(x), points(y))
}

/// Millimetres as points.
#[allow(clippy::cast_possible_truncation)] // a millionth of a sheet at most
fn points(mm: f64) -> f32 {
    (mm * POINTS) as f32
}

#[cfg(test)]
mod tests {
    use super::super::page::Hold;
    use super::super::paper::Paper;
    use super::super::typeface::Style;
    use super::*;
    use crate::issue_date::dated;

    #[test]
    fn the_same_pages_give_the_same_bytes_with_size_and_typeface_in_them() {
        let made = |date| {
            let mut page = Page::new(Paper::A4);
            page.draw(Path::circle([100.0, 100.0], 11.0), Pen::CENTRE);
            page.text([20.0, 20.0], Hold::Start, "Ø22 N7 −0.007", Style::BODY);
            page.text_upwards([20.0, 90.0], Hold::Start, "upwards", Style::HEAD);
            pdf(&dated(&crate::parts_dxf::tests::demo(), date), "drawings", &[page]).unwrap()
        };
        let bytes = made(None);
        assert_eq!(bytes, made(None));
        let text = String::from_utf8_lossy(&bytes);
        assert!(text.contains("/MediaBox[0 0 595.2756 841.8898]"), "A4 in points");
        assert!(text.contains("B612"), "the typeface is inside");
        assert!(!text.contains("CreationDate"), "no clock");
        let bytes = made(Some("2026-11-25"));
        assert_eq!(bytes, made(Some("2026-11-25")));
        assert!(String::from_utf8_lossy(&bytes).contains("/CreationDate(D:20261125"), "the date of issue");
    }
}
