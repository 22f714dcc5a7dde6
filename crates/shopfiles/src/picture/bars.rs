//! The bars of the picture: a tone for each layer, reliefs cut, hidden edges dashed.

use overarm_solver::{Analysis, Layer, PartName, Pose, Vertex};

use crate::picture_canvas::{Canvas, Dash, Ink, NARROW, WIDE};

/// Layers from the farthest to the nearest, seen from outside the set; the nearer, the stronger.
const FROM_BEHIND: [(Layer, &str); 3] =
    [(Layer::Inner, "#C8D1D9"), (Layer::Middle, "#A7B6C3"), (Layer::Outer, "#7C90A2")];
const INK: &str = "#1F2328";

pub(super) fn draw(canvas: &mut Canvas, analysis: &Analysis, pose: &Pose) {
    for (layer, tone) in FROM_BEHIND {
        for (name, piece) in pieces(analysis, layer) {
            let place = analysis.lift.room_from_bar(pose, name);
            canvas.outline(piece, &place, Ink::fill(tone, 1.0).outlined(INK, WIDE));
        }
    }
    // The same ink laid on thinner: not seen on the outlines where nothing lies in front.
    let hidden = Ink::line(INK, NARROW, Dash::Hidden).thinner(0.55);
    for layer in [Layer::Inner, Layer::Middle] {
        for (name, piece) in pieces(analysis, layer) {
            canvas.outline(piece, &analysis.lift.room_from_bar(pose, name), hidden);
        }
    }
}

fn pieces(analysis: &Analysis, layer: Layer) -> impl Iterator<Item = (PartName, &[Vertex])> {
    let layers = analysis.solids.bars.iter().flat_map(|bar| bar.layers.iter().map(|shape| (bar.name, shape)));
    layers
        .filter(move |(_, shape)| shape.layer == layer)
        .flat_map(|(name, shape)| shape.pieces.iter().map(move |piece| (name, piece.as_slice())))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture_canvas::View;
    use nalgebra::Isometry2;
    use overarm_solver::{Options, Point, Project, analyse};

    fn drawn(build: &str) -> String {
        let text = include_str!("../../../../demo/chapel-hatch.overarm.json");
        let mut value: serde_json::Value = serde_json::from_str(text).expect("JSON");
        value["bars"]["build"] = build.into();
        let project: Project = serde_json::from_value(value).expect("a project");
        let analysis = analyse(&project, &Options::default());
        let view = View::fit(Point::new(-200.0, 1000.0), Point::new(1000.0, 2600.0), 0.0, 0.0, 600.0, 800.0);
        let mut canvas = Canvas::new(view);
        draw(&mut canvas, &analysis, &analysis.pose_at(0.4));
        canvas.into_group().to_string()
    }

    #[test]
    fn lapped_bars_show_two_tones_and_hidden_edges_and_a_sandwich_three() {
        let lapped = drawn("lapped");
        let sandwich = drawn("sandwich");
        let tones = FROM_BEHIND.map(|(_, tone)| [lapped.contains(tone), sandwich.contains(tone)]);
        assert_eq!(tones, [[true, true], [false, true], [true, true]]);
        // Two bars whole, two arms cut in the inner half, each once more as a hidden edge.
        assert_eq!(lapped.matches("\"5 3\"").count(), 4);
        assert!(lapped.contains('A'), "arcs are arcs");
        assert!(!lapped.contains("NaN"));
    }

    #[test]
    fn an_arc_bulges_to_its_own_side() {
        // A half disc of radius 10 below the line from left to right: counter-clockwise.
        let view = View { scale: 1.0, x: 0.0, y: 0.0 };
        let half =
            [Vertex { at: Point::new(-10.0, 0.0), bulge: 1.0 }, Vertex { at: Point::new(10.0, 0.0), bulge: 0.0 }];
        let mut canvas = Canvas::new(view);
        canvas.outline(&half, &Isometry2::identity(), Ink::fill("#000000", 1.0));
        let svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"-20 -20 40 40\" width=\"40\" height=\"40\">{}</svg>",
            canvas.into_group()
        );
        let tree = resvg::usvg::Tree::from_str(&svg, &resvg::usvg::Options::default()).expect("SVG");
        let mut pixels = resvg::tiny_skia::Pixmap::new(40, 40).expect("a size");
        resvg::render(&tree, resvg::tiny_skia::Transform::identity(), &mut pixels.as_mut());
        let is_black = |x: u32, y: u32| pixels.pixel(x, y).is_some_and(|pixel| pixel.alpha() > 200);
        // y runs downwards on the sheet: below the line is a larger y.
        assert!(is_black(20, 26) && !is_black(20, 14) && !is_black(4, 24));
    }
}
