//! Where the bars of a set and their layers lie along the wall, from the set's middle towards the
//! outside: lapped, from the plane where the halves meet; a sandwich, from the bars' middle.

use crate::project::{Build, PartName, Project};
use crate::solids::Layer;

/// From the inner to the outer face of a layer of a bar, mm along z.
#[must_use]
pub fn layer_range(project: &Project, bar: PartName, layer: Layer) -> [f64; 2] {
    let bars = &project.bars;
    let own = depth(project, bar);
    let middle = 0.5 * bars.wall_bar.depth.max(bars.panel_bar.depth);
    match (bars.build, layer) {
        (Build::Lapped, Layer::Inner) => [-0.5 * own, 0.0],
        (Build::Lapped, _) => [0.0, 0.5 * own],
        (Build::Sandwich, Layer::Middle) => [-0.5 * own, 0.5 * own],
        (Build::Sandwich, Layer::Outer) => [middle, middle + own],
        (Build::Sandwich, Layer::Inner) => [-middle - own, -middle],
    }
}

/// The same of a whole bar.
#[must_use]
pub fn bar_range(project: &Project, bar: PartName) -> [f64; 2] {
    let [inner, outer] = match (project.bars.build, bar) {
        (Build::Lapped, _) => [Layer::Inner, Layer::Outer],
        (Build::Sandwich, PartName::LowerArm) => [Layer::Outer; 2],
        (Build::Sandwich, PartName::UpperArm) => [Layer::Inner; 2],
        (Build::Sandwich, _) => [Layer::Middle; 2],
    };
    [layer_range(project, bar, inner)[0], layer_range(project, bar, outer)[1]]
}

/// The same of what the wall bar's screws go through: lapped, the half that is kept whole.
#[must_use]
pub fn screwed_range(project: &Project) -> [f64; 2] {
    let layer = if project.bars.build == Build::Lapped { Layer::Inner } else { Layer::Middle };
    layer_range(project, PartName::WallBar, layer)
}

fn depth(project: &Project, bar: PartName) -> f64 {
    let bars = &project.bars;
    match bar {
        PartName::PanelBar => bars.panel_bar.depth,
        PartName::LowerArm => bars.lower_arm.depth,
        PartName::UpperArm => bars.upper_arm.depth,
        _ => bars.wall_bar.depth,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn demo() -> Project {
        crate::samples::demo_board()
    }

    fn assert_range(found: [f64; 2], wanted: [f64; 2], what: &str) {
        assert!((0..2).all(|end| (found[end] - wanted[end]).abs() < 1e-12), "{what}: {found:?}");
    }

    #[test]
    fn in_a_sandwich_the_lower_arm_stands_outside_and_the_upper_inside() {
        let mut project = demo();
        project.bars.build = Build::Sandwich;
        let [wall, lower, upper] =
            [PartName::WallBar, PartName::LowerArm, PartName::UpperArm].map(|bar| bar_range(&project, bar));
        assert!((lower[0] - wall[1]).abs() < 1e-12 && (upper[1] - wall[0]).abs() < 1e-12);
    }

    #[test]
    fn lapped_bars_lie_in_one_depth() {
        let project = demo();
        for bar in [PartName::WallBar, PartName::PanelBar, PartName::LowerArm, PartName::UpperArm] {
            assert_range(bar_range(&project, bar), [-19.05, 19.05], &format!("{bar:?}"));
        }
        assert_range(screwed_range(&project), [-19.05, 0.0], "the half that is whole");
    }
}
