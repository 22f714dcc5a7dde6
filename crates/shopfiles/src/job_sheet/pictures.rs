//! The lift hung, half way and parked, side by side at one scale.

use overarm_solver::{Analysis, Layer, Point, Pose, Project, Vertex};

use crate::picture::reach;
use crate::room_fill::{Window, solid_room};
use crate::sheet::page::{Area, Hold, Page};
use crate::sheet::path::{Path, View};
use crate::sheet::pen::{ACCENT, Colour, FAINT, PAPER, Pen, WOOD, WOOD_LIGHT};
use crate::sheet::typeface::Style;

/// Between pictures, mm.
const GAP: f64 = 4.0;
/// Below a picture, for its name, mm.
const NAME: f64 = 6.0;
/// Around the lift, as a share of its size.
const AROUND: f64 = 0.06;
/// Between lines of hatching, mm.
const HATCH: f64 = 1.6;
/// Layers from the farthest to the nearest, seen from outside the set; the nearer, the stronger.
const TONES: [(Layer, Colour); 3] =
    [(Layer::Inner, [0xC8, 0xD1, 0xD9]), (Layer::Middle, [0xA7, 0xB6, 0xC3]), (Layer::Outer, [0x7C, 0x90, 0xA2])];

pub(super) fn draw(page: &mut Page, area: Area, project: &Project, analysis: &Analysis) {
    let (low, high) = around(project, analysis);
    let width = (area.width() - 2.0 * GAP) / 3.0;
    let height = area.height() - NAME;
    let size = high - low;
    let scale = (width / size.x).min(height / size.y);
    for (index, (s, name)) in [(0.0, "Hung"), (0.5, "Half way"), (1.0, "Parked")].into_iter().enumerate() {
        #[allow(clippy::cast_precision_loss)] // three
        let left = area.left + index as f64 * (width + GAP);
        let frame = Area { left, top: area.top, right: left + width, bottom: area.top + height };
        let view = View::centred(low, high, [frame.left, frame.top], [width, height], scale);
        let border = Path::rectangle([frame.left, frame.top], [frame.right, frame.bottom]);
        let pose = analysis.pose_at(s);
        page.clipped(border.clone(), |page| {
            draw_room(page, &frame, &view, project);
            if s > 0.0 {
                page.draw(view.polygon(&analysis.lift.panel_corners(&analysis.pose_at(0.0))), Pen::GHOST);
            }
            draw_lift(page, &view, project, analysis, &pose);
        });
        page.draw(border, Pen::THIN.coloured(FAINT));
        page.text([left, frame.bottom + 4.2], Hold::Start, name, Style::BODY.bold());
    }
    let scale_words = format!("1 : {:.1}, side view of the left set", 1.0 / scale);
    page.text([area.right, area.bottom - NAME + 4.2], Hold::End, &scale_words, Style::SMALL);
}

/// All that is worth showing, with some room about it.
fn around(project: &Project, analysis: &Analysis) -> (Point, Point) {
    let (low, high) = reach(project, analysis);
    let space = AROUND * (high - low).norm();
    let by = nalgebra::Vector2::repeat(space);
    (low - by, high + by)
}

fn draw_room(page: &mut Page, frame: &Area, view: &View, project: &Project) {
    let (a, b) = (frame.width() / view.scale, frame.height() / view.scale);
    let corner = |[x, y]: [f64; 2]| Point::new((x - view.origin[0]) / view.scale, (view.origin[1] - y) / view.scale);
    let window = Window {
        low: corner([frame.left - 2.0, frame.bottom + 2.0]),
        high: corner([frame.right + 2.0, frame.top - 2.0]),
    };
    let outline = &project.room.outline;
    let far = outline.iter().map(|point| (point - window.low).norm()).fold(0.0, f64::max);
    let solid = solid_room(outline, 2.0 * (far + a + b));
    let fill = |page: &mut Page, polygon: &[Point]| {
        let polygon = window.clip_polygon(polygon);
        if polygon.len() > 2 {
            page.hatch(view.polygon(&polygon), *frame, HATCH, Pen::THIN.coloured(FAINT).wide(0.13));
        }
    };
    fill(page, &solid);
    let mut edges: Vec<Vec<Point>> = vec![solid.get(..outline.len() + 2).unwrap_or_default().to_vec()];
    for solid in &project.room.solids {
        fill(page, &solid.outline);
        let mut closed = solid.outline.clone();
        closed.extend(solid.outline.first());
        edges.push(closed);
    }
    for ends in edges.iter().flat_map(|edge| edge.windows(2)) {
        if let Some(piece) = window.clip_segment(ends[0], ends[1]) {
            page.draw(view.line(&piece), Pen::OUTLINE);
        }
    }
    if let Some(uncover) = &project.room.uncover {
        let [x, bottom] = view.place(Point::new(0.0, uncover.bottom));
        let [_, top] = view.place(Point::new(0.0, uncover.top));
        page.paint(Path::rectangle([x - 2.2, top], [x - 0.3, bottom]), PAPER, Pen::THIN.coloured(ACCENT));
    }
}

fn draw_lift(page: &mut Page, view: &View, project: &Project, analysis: &Analysis, pose: &Pose) {
    let lift = &analysis.lift;
    page.paint(view.polygon(&lift.panel_corners(pose)), WOOD_LIGHT, Pen::OUTLINE.coloured(WOOD).wide(0.35));
    for (layer, tone) in TONES {
        for bar in &analysis.solids.bars {
            let place = lift.room_from_bar(pose, bar.name);
            for piece in bar.layers.iter().filter(|shape| shape.layer == layer).flat_map(|shape| &shape.pieces) {
                let piece: Vec<Vertex> =
                    piece.iter().map(|vertex| Vertex { at: place * vertex.at, ..*vertex }).collect();
                page.paint(view.outline(&piece), tone, Pen::OUTLINE.wide(0.3));
            }
        }
    }
    let hinge = 0.5 * overarm_solver::pivot_bore(project);
    for pivot in [lift.lower_arm_axis(pose), lift.upper_arm_axis(pose)].concat() {
        page.paint(view.circle(pivot, hinge), PAPER, Pen::THIN.wide(0.18));
    }
    let Some(strap) = &analysis.strap else { return };
    page.paint(view.circle(strap.drum.centre, strap.drum.bare_radius), PAPER, Pen::THIN);
    if let Some(run) = strap.at(pose) {
        page.draw(view.line(&[run.anchor, run.tangent]), Pen::THIN.coloured(ACCENT).wide(0.35));
    }
}
