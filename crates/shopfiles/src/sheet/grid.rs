//! A scene cut into tiles that overlap: where each begins, which words stand on it, and the crosses
//! that it shares with its neighbours.

use super::axis::{self, Span};
use super::joints::{self, Side};
use super::page::{Area, Mark, Page, Text};

/// Words keep this from a tile's edge, mm.
const INSIDE: f64 = 1.0;

/// One of them.
#[derive(Clone, Debug)]
pub struct Tile {
    /// From the left.
    pub column: usize,
    /// From the top.
    pub row: usize,
    /// What it shows of the scene.
    pub shown: Area,
    /// Words on it, in the scene's place.
    pub texts: Vec<Text>,
    /// Crosses on it, in the scene's place.
    pub crosses: Vec<Mark>,
}

/// Columns and rows that a scene takes, with tiles of this size, mm.
#[must_use]
pub fn counts(scene: &Page, [width, height]: [f64; 2]) -> (usize, usize) {
    (axis::count(scene.paper.width, width), axis::count(scene.paper.height, height))
}

/// The tiles of a scene that show something of it. Every text stands whole on at least one of them.
#[must_use]
pub fn tiles(scene: &Page, [width, height]: [f64; 2]) -> Vec<Tile> {
    let spans = |span: fn(&Area) -> Span| {
        let (mut words, mut shapes) = (Vec::new(), Vec::new());
        for mark in &scene.marks {
            match (mark, area_of(mark)) {
                (Mark::Text(_), Some(area)) => words.push(span(&area.grown(INSIDE))),
                (_, Some(area)) => shapes.push(span(&area)),
                (_, None) => {}
            }
        }
        (words, shapes)
    };
    let (words, shapes) = spans(|area| [area.left, area.right]);
    let columns = axis::starts(scene.paper.width, width, &words, &shapes);
    let (words, shapes) = spans(|area| [area.top, area.bottom]);
    let rows = axis::starts(scene.paper.height, height, &words, &shapes);
    let mut tiles = Vec::new();
    for (row, top) in rows.iter().copied().enumerate() {
        for (column, left) in columns.iter().copied().enumerate() {
            let shown = Area { left, top, right: left + width, bottom: top + height };
            tiles.push(Tile { column, row, shown, texts: Vec::new(), crosses: Vec::new() });
        }
    }
    for text in scene.texts() {
        write(&mut tiles, text);
    }
    let mut shows: Vec<bool> = tiles.iter().map(|tile| !tile.texts.is_empty()).collect();
    let shapes = scene.marks.iter().filter(|mark| !matches!(mark, Mark::Text(_)));
    for area in shapes.filter_map(area_of) {
        // What one tile has whole, no other is printed for.
        match tiles.iter().position(|tile| tile.shown.holds(&area)) {
            Some(index) => shows[index] = true,
            None => tiles.iter().zip(&mut shows).for_each(|(tile, shows)| *shows |= area.meets(&tile.shown)),
        }
    }
    let mut shows = shows.into_iter();
    tiles.retain(|_| shows.next().unwrap_or(false));
    join(scene, &mut tiles);
    tiles
}

/// Words stand on every tile that has them whole; where none has, on the one that has most of them,
/// moved along their line.
fn write(tiles: &mut [Tile], text: &Text) {
    let area = text.area();
    let mut is_whole = false;
    for tile in tiles.iter_mut().filter(|tile| tile.shown.grown(-INSIDE).holds(&area)) {
        tile.texts.push(text.clone());
        is_whole = true;
    }
    let inside = |tile: &&mut Tile| {
        let shown = tile.shown.grown(-INSIDE);
        let wide = area.right.min(shown.right) - area.left.max(shown.left);
        wide.max(0.0) * (area.bottom.min(shown.bottom) - area.top.max(shown.top)).max(0.0)
    };
    if is_whole {
        return;
    }
    let Some(tile) = tiles.iter_mut().max_by(|one, other| inside(one).total_cmp(&inside(other))) else { return };
    let shown = tile.shown.grown(-INSIDE);
    let by = |low: f64, high: f64, from: f64, to: f64| (low - from).max(0.0) + (high - to).min(0.0);
    let [x, y] = text.at;
    let at = [
        x + by(shown.left, shown.right, area.left, area.right),
        y + by(shown.top, shown.bottom, area.top, area.bottom),
    ];
    tile.texts.push(Text { at, ..text.clone() });
}

/// Crosses for every pair of neighbours.
fn join(scene: &Page, tiles: &mut [Tile]) {
    let mut letters = joints::letters();
    for first in 0..tiles.len() {
        for second in first + 1..tiles.len() {
            let (one, other) = (&tiles[first], &tiles[second]);
            let side = match (other.row - one.row, other.column.abs_diff(one.column)) {
                (0, 1) => Side::Right,
                (1, 0) => Side::Below,
                _ => continue,
            };
            let taken: Vec<Area> = one.texts.iter().chain(&other.texts).map(Text::area).collect();
            let crosses = joints::crosses(scene, &one.shown, side, &taken, &mut letters);
            tiles[first].crosses.extend(crosses.iter().cloned());
            tiles[second].crosses.extend(crosses);
        }
    }
}

/// The box of a mark; of a clip none.
fn area_of(mark: &Mark) -> Option<Area> {
    match mark {
        Mark::Text(text) => Some(text.area()),
        Mark::Shape { path, .. } => path.area(),
        Mark::Clip(_) | Mark::Unclip => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::page::Hold;
    use crate::sheet::paper::Paper;
    use crate::sheet::path::Path;
    use crate::sheet::pen::Pen;
    use crate::sheet::typeface::Style;

    #[test]
    fn words_longer_than_what_neighbours_share_stand_whole_wherever_they_are() {
        // Every 7 mm across 300 mm, one below the other: no beginning spares them all.
        let mut scene = Page::new(Paper { name: "", width: 300.0, height: 200.0 });
        let words = "as long as words on such a sheet are";
        let wide = Style::BODY.width(words);
        assert!(wide > 40.0 && wide < 80.0, "{wide}");
        let mut texts = 0;
        for step in 0..30 {
            let at = [7.0 * f64::from(step), 6.0 + 6.0 * f64::from(step)];
            scene.text(at, Hold::Start, words, Style::BODY);
            texts += 1;
        }
        let tiles = tiles(&scene, [182.5, 220.0]);
        assert_eq!(tiles.len(), 2);
        assert_eq!(tiles.iter().map(|tile| tile.texts.len()).sum::<usize>(), texts, "each on one");
        for tile in &tiles {
            for text in &tile.texts {
                assert!(tile.shown.holds(&text.area()), "{text:?}");
            }
        }
    }

    #[test]
    fn no_tile_is_there_for_what_another_shows_whole() {
        let mut scene = Page::new(Paper { name: "", width: 170.0, height: 300.0 });
        scene.draw(Path::circle([80.0, 40.0], 5.0), Pen::OUTLINE);
        // 300 of 2 × 220 − 12: what both show lies about the middle.
        scene.draw(Path::circle([80.0, 150.0], 2.0), Pen::OUTLINE);
        assert_eq!(tiles(&scene, [182.5, 220.0]).len(), 1);
        scene.line(&[[80.0, 150.0], [80.0, 290.0]], Pen::OUTLINE);
        assert_eq!(tiles(&scene, [182.5, 220.0]).len(), 2);
    }

    #[test]
    fn a_tile_that_shows_nothing_is_none_and_has_no_crosses() {
        let mut scene = Page::new(Paper { name: "", width: 170.0, height: 1400.0 });
        for y in [10.0, 1390.0] {
            scene.draw(Path::circle([80.0, y], 5.0), Pen::OUTLINE);
        }
        let tiles = tiles(&scene, [182.5, 220.0]);
        assert_eq!(tiles.len(), 2);
        assert!(tiles.iter().all(|tile| tile.crosses.is_empty()));
    }
}
