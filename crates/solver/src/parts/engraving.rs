//! Where a part's number is engraved: flat, seen from outside, clear of edges and bores.

use crate::parts::whole::{room_around, wall_around};
use crate::parts::{HingeBore, Part};
use crate::project::Point;

/// A number engraved on a face.
#[derive(Clone, Debug, PartialEq)]
pub struct Engraving {
    /// What it says.
    pub text: String,
    /// The middle of the text, which runs along x.
    pub at: Point,
    /// Height of the figures, mm.
    pub height: f64,
    /// Height of the face.
    pub z: f64,
}

/// Height over all of a figure, mm, and what it is wide for each of its height (common practice, no
/// source); smaller where there is no room.
const HEIGHTS_MM: [f64; 3] = [5.0, 3.5, 2.5];
const WIDTH_SHARE: f64 = 0.8;
/// Kept free around it, mm.
const MARGIN_MM: f64 = 1.0;
/// Between places that are tried, mm.
const STEP_MM: f64 = 3.0;

impl Part {
    /// The part's number on the face that is seen from outside, where there is most room; `None`
    /// where there is none.
    #[must_use]
    pub fn engraving(&self) -> Option<Engraving> {
        HEIGHTS_MM.iter().find_map(|height| self.engraved(*height))
    }

    fn engraved(&self, height: f64) -> Option<Engraving> {
        let kept = self.kept()?;
        let wide = WIDTH_SHARE * height * self.number.len() as f64;
        let needed = 0.5 * wide.hypot(height) + MARGIN_MM;
        let points = self.outline.iter().map(|vertex| vertex.at);
        let (least, most) = points.map(|at| (at, at)).reduce(|(least, most), (at, _)| {
            (Point::from(least.coords.inf(&at.coords)), Point::from(most.coords.sup(&at.coords)))
        })?;
        let steps = |from: f64, to: f64| {
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a part's size over 3 mm
            let count = ((to - from) / STEP_MM).clamp(0.0, 1000.0) as u32;
            // About the middle, so that both hands find the same place.
            (0..=count).map(move |step| 0.5 * (from + to) + STEP_MM * (f64::from(step) - 0.5 * f64::from(count)))
        };
        let above: Vec<_> = self.layers.iter().filter(|layer| layer.z[0] >= kept.z[1] - 1e-9).collect();
        let mut best: Option<(f64, Point, f64)> = None;
        for x in steps(least.x, most.x) {
            for y in steps(least.y, most.y) {
                let at = Point::new(x, y);
                let clear_of = |bore: &HingeBore| (bore.centre - at).norm() - 0.5 * bore.widest();
                let bores = self.hinges.iter().map(clear_of).fold(f64::INFINITY, f64::min);
                if bores < needed {
                    continue;
                }
                let on_top = above.iter().find_map(|layer| {
                    let room = wall_around(&layer.pieces, at, 0.0);
                    (room > 0.0).then_some((room, layer.z[1]))
                });
                let free = above.iter().map(|layer| room_around(&layer.pieces, at, 0.0)).fold(f64::INFINITY, f64::min);
                let (room, z) = on_top.unwrap_or_else(|| (wall_around(&kept.pieces, at, 0.0).min(free), kept.z[1]));
                let room = room.min(bores);
                // Beyond twice what is needed one place is as good as another.
                let room = room.min(2.0 * needed);
                if room >= needed && best.is_none_or(|(known, ..)| room > known + 1e-9) {
                    best = Some((room, at, z));
                }
            }
        }
        let (_, at, z) = best?;
        Some(Engraving { text: self.number.clone(), at, height, z })
    }
}

#[cfg(test)]
mod tests {
    use crate::outline::{contains, distance_to};
    use crate::parts::parts;
    use crate::{Options, analyse};

    #[test]
    fn numbers_stand_on_one_face_clear_of_edges_and_bores() {
        let project = crate::samples::demo_board();
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        for part in parts(&project, &analysis.solids) {
            let engraving = part.engraving().expect("room for a number");
            assert_eq!(engraving.text, part.number);
            let half = 0.5 * engraving.height;
            for layer in &part.layers {
                for piece in &layer.pieces {
                    assert!(distance_to(piece, engraving.at) > half, "{} {engraving:?}", part.file_stem());
                }
            }
            assert!(contains(&part.outline, engraving.at));
            for bore in &part.hinges {
                assert!((bore.centre - engraving.at).norm() > 0.5 * bore.widest() + half);
            }
        }
    }
}
