//! Snaps: places that a dragged handle is drawn to, each with a word and a light line.
//!
//! Strong ones first (in line, bar centre line, equal lengths), then the grid; each within a few
//! points of the screen. What no snap holds is rounded by less than half a pixel, so that figures
//! stay short and the handle stays under the pointer.

use nalgebra::Vector2;
use overarm_solver::{Lift, MM_PER_INCH, Point, Studs, Units};

use super::dragging::{DragMode, Held};
use super::handle::Handle;

/// Within so many points of the screen a handle is drawn to a line.
const PULL: f64 = 5.0;
/// Within so many to the grid, which is everywhere.
const GRID_PULL: f64 = 3.0;
/// Lines of the grid are at least so many points apart.
const GRID_APART: f64 = 10.0;

/// Where the pointer would have a handle, and how the drawing is seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// Side view: the pointer, and how far beside it the handle was taken hold of.
    pub place: Point,
    /// Points of the screen for one millimetre.
    pub points_per_mm: f64,
    /// Pixels of the screen for one point.
    pub pixels_per_point: f64,
    /// Whether snaps are wanted now.
    pub snaps: bool,
}

/// What holds a handle.
#[derive(Clone, Debug, PartialEq)]
pub struct Hint {
    /// In a few words: "in line with upper wall pivot".
    pub words: String,
    /// Light lines that show it, side view.
    pub lines: Vec<[Point; 2]>,
}

/// A place with what holds it there.
#[derive(Clone, Debug, PartialEq)]
pub struct Snapped {
    /// Side view.
    pub place: Point,
    /// None where nothing holds it.
    pub hints: Vec<Hint>,
}

/// Draws a held handle to what is near; never to where it cannot be.
#[must_use]
pub fn snap(held: &Held, reach: &Reach) -> Snapped {
    let pixels_per_mm = reach.points_per_mm * reach.pixels_per_point;
    let start = held.place();
    if (reach.place - start).norm() * pixels_per_mm <= 0.5 {
        // Back where it was, to the last digit that it had there.
        return Snapped { place: start, hints: Vec::new() };
    }
    // What slides along its path has no snaps, and a turn one of its own.
    match (held.handle, held.mode) {
        (Handle::Parked | Handle::ParkedTurn, DragMode::KeepLengths) => {
            return Snapped { place: reach.place, hints: Vec::new() };
        }
        (Handle::ParkedTurn, _) => return turned(held, reach),
        _ => {}
    }
    let snapped = drawn(held, reach);
    if snapped.hints.is_empty() || held.put(snapped.place).is_ok() {
        return snapped;
    }
    drawn(held, &Reach { snaps: false, ..*reach })
}

/// Drawn to lines, equal lengths and the grid, then rounded.
fn drawn(held: &Held, reach: &Reach) -> Snapped {
    let mut place = reach.place;
    let mut fixed = [false; 2];
    let mut hints = Vec::new();
    if held.on_wall && reach.snaps {
        place.x = 0.0;
        fixed[0] = true;
    }
    if held.handle == Handle::Sets {
        // Along the wall only.
        place.y = held.place().y;
        fixed[1] = true;
    }
    if reach.snaps {
        in_line(held, reach, &mut place, &mut fixed, &mut hints);
        equal(held, reach, &mut place, &mut fixed, &mut hints);
        grid(held, reach, &mut place, &mut fixed, &mut hints);
    }
    let units = held.before.units();
    for axis in 0..2 {
        if !fixed[axis] {
            place[axis] = rounded(place[axis], units, reach.points_per_mm * reach.pixels_per_point);
        }
    }
    Snapped { place, hints }
}

/// A line along an axis that a handle may be in.
struct Level {
    axis: usize,
    at: f64,
    words: String,
    from: Point,
}

/// In line with another pivot, on a bar's centre line, plumb or level with a neighbour.
fn in_line(held: &Held, reach: &Reach, place: &mut Point, fixed: &mut [bool; 2], hints: &mut Vec<Hint>) {
    let levels = levels(held);
    for axis in 0..2 {
        let away = |level: &Level| (level.at - reach.place[axis]).abs() * reach.points_per_mm;
        let near = levels.iter().filter(|level| level.axis == axis && away(level) < PULL);
        let Some(level) = near.min_by(|a, b| away(a).total_cmp(&away(b))).filter(|_| !fixed[axis]) else { continue };
        place[axis] = level.at;
        fixed[axis] = true;
        hints.push(Hint { words: level.words.clone(), lines: vec![[level.from, Point::origin()]] });
    }
    // Both axes are known only now.
    for line in hints.iter_mut().flat_map(|hint| &mut hint.lines) {
        line[1] = *place;
    }
}

fn levels(held: &Held) -> Vec<Level> {
    let project = &*held.before;
    let mut levels = Vec::new();
    if let Handle::RoomCorner(index) = held.handle {
        let neighbours = [index.checked_sub(1), index.checked_add(1)];
        for other in neighbours.into_iter().flatten().filter(|other| *other < project.room.outline.len()) {
            let corner = project.room.outline[other];
            for (axis, word) in [(0, "plumb"), (1, "level")] {
                let words = format!("{word} with corner {}", other + 1);
                levels.push(Level { axis, at: corner[axis], words, from: corner });
            }
        }
        return levels;
    }
    if held.handle == Handle::Sets {
        return stud_levels(held, project.room.studs.as_ref());
    }
    if Handle::OF_DRIVE.contains(&held.handle) {
        return drive_levels(held);
    }
    if !held.handle.is_pivot() {
        return levels;
    }
    for other in Handle::PIVOTS.into_iter().filter(|other| *other != held.handle && !follows(held, *other)) {
        let from = other.place(project);
        let words = format!("in line with {}", lower_case(&other.name()));
        levels.extend((0..2).map(|axis| Level { axis, at: from[axis], words: words.clone(), from }));
    }
    let on_wall = matches!(held.handle, Handle::WallLower | Handle::WallUpper);
    let (at, words) = if on_wall {
        (0.5 * project.bars.wall_bar.width, "on the wall bar's centre line")
    } else {
        (project.panel.hung.standoff - 0.5 * project.bars.panel_bar.width, "on the panel bar's centre line")
    };
    let mates = if on_wall { [Handle::WallLower, Handle::WallUpper] } else { [Handle::PanelLower, Handle::PanelUpper] };
    let mate = mates.into_iter().find(|mate| *mate != held.handle).unwrap_or(held.handle);
    let from = Point::new(at, mate.place(project).y);
    levels.push(Level { axis: 0, at, words: words.to_owned(), from });
    levels
}

/// What drum and strap's end may be in line with: the upper wall pivot; back and bottom edge of the
/// hung panel, and its bar.
fn drive_levels(held: &Held) -> Vec<Level> {
    let project = &*held.before;
    let level = |axis: usize, from: Point, words: &str| Level { axis, at: from[axis], words: words.to_owned(), from };
    if held.handle == Handle::Drum {
        let from = Handle::WallUpper.place(project);
        return (0..2).map(|axis| level(axis, from, "in line with upper wall pivot")).collect();
    }
    let corner = project.panel.hung.origin();
    let bar = corner - Vector2::new(0.5 * project.bars.panel_bar.width, 0.0);
    vec![
        level(0, corner, "on the panel's back"),
        level(1, corner, "level with the panel's bottom edge"),
        level(0, bar, "on the panel bar's centre line"),
    ]
}

/// The middles of the studs that either set may stand on.
fn stud_levels(held: &Held, studs: Option<&Studs>) -> Vec<Level> {
    /// Studs looked at to either side of the first: a wall of 25 m at the least.
    const EITHER_WAY: i32 = 64;
    let Some(studs) = studs.filter(|studs| studs.spacing > 0.0) else { return Vec::new() };
    let panel = 0.5 * held.before.panel.width.max(held.before.set_spacing());
    let middles = (-EITHER_WAY..=EITHER_WAY).map(|number| studs.first + f64::from(number) * studs.spacing);
    let near = middles.filter(|middle| middle.abs() <= 2.0 * panel);
    let y = held.place().y;
    // The left set stands where the right one would in a mirror.
    let level = |at: f64, side: &str| Level {
        axis: 0,
        at: at.abs(),
        words: format!("the {side} set on a stud"),
        from: Point::new(at.abs(), y - held.before.panel.height),
    };
    near.map(|at| level(at, if at < 0.0 { "left" } else { "right" })).collect()
}

/// Whether another pivot moves with the held one, so that it is no line to be in.
fn follows(held: &Held, other: Handle) -> bool {
    match held.mode {
        DragMode::Free => false,
        DragMode::KeepEndPoses => held.handle.partner() == Some(other),
        DragMode::KeepLengths => true,
    }
}

/// Both arms, or both bars, of one length: along the other axis where one is fixed, else the
/// shortest way (Newton's).
fn equal(held: &Held, reach: &Reach, place: &mut Point, fixed: &mut [bool; 2], hints: &mut Vec<Hint>) {
    if !held.handle.is_pivot() || held.mode == DragMode::KeepLengths || *fixed == [true; 2] {
        return;
    }
    let pull = PULL / reach.points_per_mm;
    let found = [true, false].into_iter().filter_map(|arms| {
        let at = |place: Point| {
            let lengths = Lift::new(&held.put(place).ok()?.project).lengths;
            Some(if arms { lengths.lower_arm - lengths.upper_arm } else { lengths.panel_bar - lengths.wall_bar })
        };
        let equal = zero_near(*place, *fixed, pull, at)?;
        Some(((equal - *place).norm(), equal, arms))
    });
    let Some((_, equal, arms)) = found.min_by(|a, b| a.0.total_cmp(&b.0)) else { return };
    let Ok(moved) = held.put(equal) else { return };
    *place = equal;
    *fixed = [true; 2];
    let ends = |one: Handle, other: Handle| [one.place(&moved.project), other.place(&moved.project)];
    let (words, lines) = if arms {
        let lower = ends(Handle::WallLower, Handle::PanelLower);
        ("arms of equal length", vec![lower, ends(Handle::WallUpper, Handle::PanelUpper)])
    } else {
        let wall = ends(Handle::WallLower, Handle::WallUpper);
        ("bars of equal length", vec![wall, ends(Handle::PanelLower, Handle::PanelUpper)])
    };
    hints.push(Hint { words: words.to_owned(), lines });
}

/// Where a difference is nothing, near a place and at most `pull` mm from it.
fn zero_near(start: Point, fixed: [bool; 2], pull: f64, of: impl Fn(Point) -> Option<f64>) -> Option<Point> {
    /// Half the base of the slope, mm: lengths of hundreds of mm are straight over it.
    const BASE: f64 = 0.01;
    /// Panel pivots are kept to a millionth of a millimetre.
    const CLOSE: f64 = 2e-6;
    let mut place = start;
    for _ in 0..8 {
        let value = of(place)?;
        if value.abs() < CLOSE {
            return ((place - start).norm() <= pull).then_some(place);
        }
        let mut slope = Vector2::zeros();
        for axis in (0..2).filter(|axis| !fixed[*axis]) {
            let mut by = Vector2::zeros();
            by[axis] = BASE;
            slope[axis] = (of(place + by)? - of(place - by)?) / (2.0 * BASE);
        }
        // Too flat to be near, and no way to go.
        if slope.norm() < 1e-6 {
            return None;
        }
        place -= slope * (value / slope.norm_squared());
        if (place - start).norm() > 4.0 * pull {
            return None;
        }
    }
    None
}

fn grid(held: &Held, reach: &Reach, place: &mut Point, fixed: &mut [bool; 2], hints: &mut Vec<Hint>) {
    let (step, words) = grid_step(held.before.units(), reach.points_per_mm);
    let mut caught = false;
    for axis in 0..2 {
        let nearest = (place[axis] / step).round() * step;
        if !fixed[axis] && (nearest - place[axis]).abs() * reach.points_per_mm < GRID_PULL {
            place[axis] = nearest;
            fixed[axis] = true;
            caught = true;
        }
    }
    if caught {
        hints.push(Hint { words: format!("{words} grid"), lines: Vec::new() });
    }
}

/// The finest step of the grid that can be seen, mm, and its name.
#[must_use]
pub fn grid_step(units: Units, points_per_mm: f64) -> (f64, String) {
    const MILLIMETRES: [f64; 8] = [1.0, 5.0, 10.0, 50.0, 100.0, 500.0, 1e3, 1e4];
    const INCHES: [(f64, &str); 8] = [
        (0.0625, "1/16 in"),
        (0.125, "1/8 in"),
        (0.25, "1/4 in"),
        (0.5, "1/2 in"),
        (1.0, "1 in"),
        (6.0, "6 in"),
        (12.0, "1 ft"),
        (120.0, "10 ft"),
    ];
    let can_be_seen = |step: &f64| step * points_per_mm >= GRID_APART;
    if units == Units::Millimetre {
        let step = MILLIMETRES.into_iter().find(can_be_seen).unwrap_or(MILLIMETRES[7]);
        return (step, format!("{step} mm"));
    }
    let found = INCHES.into_iter().find(|(step, _)| can_be_seen(&(step * MM_PER_INCH)));
    let (step, words) = found.unwrap_or(INCHES[7]);
    (step * MM_PER_INCH, words.to_owned())
}

/// The tilt of the parked panel to whole degrees.
fn turned(held: &Held, reach: &Reach) -> Snapped {
    let origin = Point::from(held.ends.parked.translation.vector);
    let up = reach.place - origin;
    let tilt = up.x.atan2(up.y).to_degrees();
    let whole = tilt.round();
    let away = (tilt - whole).to_radians().abs() * up.norm() * reach.points_per_mm;
    if !reach.snaps || up.norm() <= 0.0 || away >= GRID_PULL {
        return Snapped { place: reach.place, hints: Vec::new() };
    }
    let (sine, cosine) = whole.to_radians().sin_cos();
    let place = origin + Vector2::new(sine, cosine) * up.norm();
    Snapped { place, hints: vec![Hint { words: "whole degrees".to_owned(), lines: vec![[origin, place]] }] }
}

/// To the roundest figure that is off by so little that no screen shows it: two axes off by half a
/// step each stay within half a pixel.
fn rounded(value: f64, units: Units, pixels_per_mm: f64) -> f64 {
    let unit = if units == Units::Millimetre { 1.0 } else { MM_PER_INCH };
    // At most a millimetre or a hundredth of an inch; six decimals say more than can be made.
    let coarsest: f64 = if units == Units::Millimetre { 1.0 } else { 100.0 };
    let steps = [1.0, 10.0, 100.0, 1e3, 1e4, 1e5, 1e6].map(|finer| finer * coarsest);
    let per_unit = steps.into_iter().find(|steps| unit / steps * pixels_per_mm <= 0.7).unwrap_or(steps[6]);
    (value / unit * per_unit).round() / per_unit * unit
}

fn lower_case(name: &str) -> String {
    let mut letters = name.chars();
    letters.next().map_or_else(String::new, |first| format!("{}{}", first.to_lowercase(), letters.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;
    use nalgebra::Isometry2;
    use overarm_solver::Project;
    use std::sync::Arc;

    fn held(handle: Handle, mode: DragMode) -> Held {
        held_in(demo(), handle, mode)
    }

    fn held_in(project: Project, handle: Handle, mode: DragMode) -> Held {
        Held::new(handle, mode, Arc::new(project), Isometry2::new(Vector2::new(700.0, 2500.0), -1.3))
    }

    fn reach(x: f64, y: f64, points_per_mm: f64) -> Reach {
        Reach { place: Point::new(x, y), points_per_mm, pixels_per_point: 1.0, snaps: true }
    }

    /// How far arms, and bars, are from one length, mm.
    fn differences(project: &Project) -> [f64; 2] {
        let lengths = Lift::new(project).lengths;
        [lengths.lower_arm - lengths.upper_arm, lengths.panel_bar - lengths.wall_bar]
    }

    fn words(snapped: &Snapped) -> Vec<&str> {
        snapped.hints.iter().map(|hint| hint.words.as_str()).collect()
    }

    #[test]
    fn the_sets_snap_to_studs_and_keep_their_height() {
        let mut project = demo();
        project.room.studs = Some(Studs { spacing: 406.4, first: 30.0, more: overarm_solver::More::new() });
        let held = held_in(project, Handle::Sets, DragMode::Free);
        let y = held.place().y;
        // A stud at 436.4 on the right, and at -376.4 on the left.
        for (x, wanted, side) in [(434.0, 436.4, "right"), (379.0, 376.4, "left")] {
            let snapped = snap(&held, &reach(x, y + 90.0, 1.0));
            assert!((snapped.place - Point::new(wanted, y)).norm() < 1e-9, "{snapped:?}");
            assert_eq!(words(&snapped), [format!("the {side} set on a stud")]);
        }
        let off = snap(&held, &Reach { snaps: false, ..reach(434.0, y + 90.0, 1.0) });
        assert!((off.place - Point::new(434.0, y)).norm() < 1e-9 && off.hints.is_empty());
    }

    #[test]
    fn without_snaps_a_place_stays_within_half_a_pixel() {
        let held = held(Handle::WallUpper, DragMode::Free);
        for points_per_mm in [0.01, 0.1, 0.33, 0.7, 1.0, 2.3, 10.0, 95.0] {
            for pixels_per_point in [1.0, 1.25, 1.5, 2.0, 3.0] {
                for step in 0..50 {
                    let place = Point::new(40.0 + 1.2345 * f64::from(step), 2171.3 - 0.777 * f64::from(step));
                    let reach = Reach { place, points_per_mm, pixels_per_point, snaps: false };
                    let snapped = snap(&held, &reach);
                    let off = (snapped.place - place).norm() * points_per_mm * pixels_per_point;
                    assert!(off <= 0.5 && snapped.hints.is_empty(), "{off} pixels");
                }
            }
        }
    }

    #[test]
    fn figures_stay_short() {
        for (value, pixels_per_mm, short) in [(12.345, 0.33, 12.0), (-7.891, 8.0, -7.89), (-7.891, 6.0, -7.9)] {
            assert!((rounded(value, Units::Millimetre, pixels_per_mm) - short).abs() < 1e-12, "{value}");
        }
        assert!((rounded(12.345, Units::Inch, 0.33) / MM_PER_INCH - 0.49).abs() < 1e-12);
    }

    #[test]
    fn a_pivot_is_drawn_into_line_and_to_its_bar() {
        let project = demo();
        let held = held(Handle::WallUpper, DragMode::Free);
        let mate = project.linkage.wall_lower;
        let snapped = snap(&held, &reach(mate.x + 3.0, 2203.7, 1.0));
        assert!((snapped.place.x - mate.x).abs() < 1e-12);
        assert_eq!(words(&snapped)[0], "in line with lower wall pivot");
        assert_eq!(snapped.hints[0].lines, [[mate, snapped.place]]);
        let snapped = snap(&held, &reach(30.0 + 3.0, 2203.7, 1.0));
        assert!((snapped.place.x - 30.0).abs() < 1e-12);
        assert_eq!(words(&snapped)[0], "on the wall bar's centre line");
        let far = snap(&held, &reach(mate.x - 6.0, 2203.7, 1.0));
        assert!(!words(&far).iter().any(|words| words.contains("line")), "{far:?}");
        let off = snap(&held, &Reach { snaps: false, ..reach(mate.x + 3.0, 2203.7, 1.0) });
        assert!(off.hints.is_empty() && (off.place.x - mate.x - 3.0).abs() < 0.5);
    }

    #[test]
    fn arms_and_bars_come_to_one_length() {
        for (mode, handle, across) in
            [(DragMode::Free, Handle::PanelUpper, -1.3), (DragMode::KeepEndPoses, Handle::WallUpper, 20.3)]
        {
            let project = demo();
            let parked = overarm_solver::analyse(&project, &overarm_solver::Options { poses: 2, swept: false })
                .pose_at(1.0)
                .room_from_panel;
            let held = Held::new(handle, mode, Arc::new(project), parked);
            let mut equal = 0;
            for step in 0..120 {
                let place = held.place() + Vector2::new(across, 30.0 - 0.5 * f64::from(step));
                let snapped = snap(&held, &reach(place.x, place.y, 1.0));
                let hint = words(&snapped).into_iter().find(|words| words.ends_with("of equal length"));
                if let Some(hint) = hint {
                    let moved = held.put(snapped.place).expect("it was tried");
                    let [arms, bars] = differences(&moved.project);
                    assert!((if hint.starts_with("arms") { arms } else { bars }).abs() < 1e-5, "{hint}: {arms} {bars}");
                    assert!((snapped.place - place).norm() <= 2.0 * PULL);
                    equal += 1;
                }
            }
            assert!(equal > 0, "{mode:?}: nowhere near");
        }
    }

    #[test]
    fn a_snap_never_leads_to_where_nothing_can_be_and_the_start_is_found_again() {
        let held = held(Handle::WallUpper, DragMode::Free);
        let mate = held.before.linkage.wall_lower;
        let reach = reach(mate.x + 2.0, mate.y + 5.0, 0.3);
        let snapped = snap(&held, &reach);
        assert!((snapped.place - reach.place).amax() <= 0.5 && snapped.hints.is_empty(), "{snapped:?}");
        let start = held.place();
        for snaps in [true, false] {
            let back = Reach { place: start + Vector2::new(0.9, -0.9), points_per_mm: 0.3, snaps, ..reach };
            assert_eq!(snap(&held, &back).place, start);
        }
    }

    #[test]
    fn the_grid_grows_with_the_distance_and_is_in_the_units() {
        assert_eq!(grid_step(Units::Millimetre, 12.0), (1.0, "1 mm".to_owned()));
        assert_eq!(grid_step(Units::Millimetre, 0.4), (50.0, "50 mm".to_owned()));
        assert_eq!(grid_step(Units::FeetInch, 10.0), (25.4 / 16.0, "1/16 in".to_owned()));
        assert_eq!(grid_step(Units::Inch, 0.5), (25.4, "1 in".to_owned()));
        let held = held(Handle::Hung, DragMode::Free);
        let snapped = snap(&held, &reach(63.2, 1181.2, 12.0));
        assert_eq!((snapped.place, words(&snapped)), (Point::new(63.0, 1181.0), vec!["1 mm grid"]));
        let between = snap(&held, &reach(63.42, 1181.42, 12.0));
        assert!(between.hints.is_empty() && (between.place - Point::new(63.42, 1181.42)).norm() < 0.05);
    }

    #[test]
    fn a_corner_keeps_plumb_and_level_when_it_is_nearly_so() {
        let mut project = demo();
        project.room.outline = vec![Point::new(0.0, 0.0), Point::new(0.0, 2250.0), Point::new(900.0, 2900.0)];
        let mut held = held_in(project, Handle::RoomCorner(1), DragMode::Free);
        assert!(held.on_wall);
        assert_eq!(snap(&held, &reach(300.0, 2311.0, 0.5)).place, Point::new(0.0, 2311.0));
        let off = snap(&held, &Reach { snaps: false, ..reach(300.0, 2311.0, 0.5) });
        assert_eq!(off.place, Point::new(300.0, 2311.0));
        held.on_wall = false;
        assert_eq!(snap(&held, &reach(9.0, 2311.0, 0.5)).place, Point::new(0.0, 2311.0));
        let level = snap(&held, &reach(31.0, 2893.0, 0.5));
        assert_eq!((level.place, words(&level)), (Point::new(31.0, 2900.0), vec!["level with corner 3"]));
    }

    #[test]
    fn the_parked_panel_turns_to_whole_degrees() {
        let held = held(Handle::ParkedTurn, DragMode::Free);
        let origin = Point::from(held.ends.parked.translation.vector);
        let at = |degrees: f64| origin + Vector2::new(degrees.to_radians().sin(), degrees.to_radians().cos()) * 700.0;
        let near = at(80.1);
        let snapped = snap(&held, &reach(near.x, near.y, 0.5));
        assert!((snapped.place - at(80.0)).norm() < 1e-9 && words(&snapped) == ["whole degrees"]);
        let between = at(80.5);
        assert_eq!(snap(&held, &reach(between.x, between.y, 0.5)).place, between);
    }
}
