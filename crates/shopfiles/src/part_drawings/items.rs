//! The parts list: everything that a lift is put together from, each with the number of its item.

use overarm_solver::parts::LAP_THINNER_MM;
use overarm_solver::seat::RING_SHARE;
use overarm_solver::{Bearing, Build, Feature, Part, PartName, Project, ToleranceClass, pivot_bore};

use super::lengths::{sawn, size as sized};
use super::name_of;
use crate::sheet::figures::{bore, limits_off, with_unit};
use crate::sheet::table::{Column, Table};

/// Width of the list, mm.
pub(super) const LIST: f64 = 176.0;
/// Left between a screw's point and the panel's face, mm (common practice, no source).
const BEFORE_FACE: f64 = 3.0;

/// What an item is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Thing {
    /// One of the eight parts, by its place among them.
    Part(usize),
    Bearing,
    Pin,
    Shim,
    /// That fix a wall bar or a panel bar.
    Screw(PartName),
    StopPin,
    Strap,
    Drum,
    Retention,
}

/// One line of the list.
pub(super) struct Item {
    pub thing: Thing,
    /// Number, what it is, how many, material and size, kg each.
    row: [String; 5],
}

/// All items, in their order.
pub(super) fn of(project: &Project, parts: &[Part]) -> Vec<Item> {
    let units = project.units();
    let size = |mm: f64| sized(mm, units);
    let say = |mm: f64| with_unit(&size(mm), units);
    let mut found = Vec::new();
    for (index, part) in parts.iter().enumerate() {
        let mass = part.mass.map_or_else(nothing, |mass| format!("{mass:.3}"));
        let [wide, deep] = [part.stock.width, part.stock.depth].map(size);
        let stock = format!("{wide} × {deep} × {}", sawn(part.stock.cut_length, units));
        let row = [part.number.clone(), name_of(part), "1".to_owned(), format!("{}, {stock}", part.material), mass];
        found.push(Item { thing: Thing::Part(index), row });
    }
    let mut add = |thing: Thing, what: String, off: String, size: String| {
        found.push(Item { thing, row: [nothing(), what, off, size, nothing()] });
    };
    let hinges = || parts.iter().flat_map(|part| &part.hinges);
    let bearing = hinges().find_map(|hinge| hinge.bearing.clone());
    let seats: usize = hinges().map(|hinge| hinge.pressed_from.len()).sum();
    match &bearing {
        Some(bearing) => {
            let sizes = [bearing.bore, bearing.outside, bearing.width].map(size).join(" × ");
            add(Thing::Bearing, format!("Bearing {}", bearing.name), seats.to_string(), sizes);
        }
        None => add(Thing::Bearing, "Bearing, not given".to_owned(), nothing(), "not drawn".to_owned()),
    }
    // Every hinge is one bore in a bar and one in an arm.
    let pins = (hinges().count() / 2).to_string();
    let class = project.joints.as_ref().and_then(|joints| joints.pin.clone());
    let class = class.map_or_else(String::new, |class| format!(", {class}"));
    let long = pin_lengths(project, parts).into_iter().map(say).collect::<Vec<_>>().join(" and ");
    add(
        Thing::Pin,
        format!("Hinge pin{class}"),
        pins.clone(),
        format!("Ø{} × {long}, steel", pin_diameter(project, bearing.is_some())),
    );
    add(Thing::Shim, "Shim on the pin".to_owned(), pins, shim_words(project, bearing.as_ref()));
    for (bar, what) in
        [(PartName::WallBar, "Screw, wall bar to wall"), (PartName::PanelBar, "Screw, panel bar to panel")]
    {
        let holes: Vec<_> = parts.iter().filter(|part| part.name == bar).flat_map(|part| &part.screw_holes).collect();
        let Some(hole) = holes.first() else { continue };
        let diameter = project.fixings.as_ref().and_then(|fixings| fixings.diameter);
        let thick = diameter.map_or_else(String::new, |diameter| format!("Ø{}, ", say(diameter)));
        let in_bar = hole.length() - hole.head_below_face();
        let words = format!("{thick}countersunk, {}", screw_length(project, bar, in_bar, &say));
        add(Thing::Screw(bar), what.to_owned(), holes.len().to_string(), words);
    }
    if let Some(pin) = &project.bars.stop_pin {
        let words = format!("Ø{}, on each {}; what carries it is not drawn", say(pin.diameter), pin.bar.words());
        add(Thing::StopPin, "Stop pin's collar".to_owned(), "2".to_owned(), words);
    }
    if let Some(drive) = &project.drive {
        let width = drive.strap_width.map_or_else(String::new, |width| format!("{} wide, ", say(width)));
        let words = format!("{width}{} thick; not drawn", say(drive.strap_thickness));
        add(Thing::Strap, "Strap".to_owned(), "1".to_owned(), words);
        add(Thing::Drum, "Drum".to_owned(), "1".to_owned(), format!("Ø{}; not drawn", say(2.0 * drive.drum_radius)));
    }
    let words = "holds the panel by itself; not drawn".to_owned();
    add(Thing::Retention, "Second retention".to_owned(), "1".to_owned(), words);
    found
}

/// How long pins are, mm, each length once: through a bar and an arm, of lapped ones through half of each.
fn pin_lengths(project: &Project, parts: &[Part]) -> Vec<f64> {
    let share = if project.bars.build == Build::Lapped { 0.5 } else { 1.0 };
    let (bars, arms): (Vec<&Part>, Vec<&Part>) = parts.iter().partition(|part| part.datum.is_some());
    let mut found: Vec<f64> =
        bars.iter().flat_map(|bar| arms.iter().map(move |arm| share * (bar.depth + arm.depth))).collect();
    found.sort_by(f64::total_cmp);
    found.dedup_by(|one, other| (*one - *other).abs() < 1e-6);
    found
}

/// A pin's diameter with its limits where a class is given: "8.000 mm, 0 / −0.009,".
fn pin_diameter(project: &Project, is_given: bool) -> String {
    let (units, nominal) = (project.units(), pivot_bore(project));
    let fine = with_unit(&bore(nominal, units), units);
    if !is_given {
        return format!("{fine} (taken, not given)");
    }
    let Some(class) = project.joints.as_ref().and_then(|joints| joints.pin.as_ref()) else {
        return format!("{fine}, its class not given,");
    };
    match ToleranceClass::parse(class, Feature::Shaft).and_then(|class| class.limits(nominal)) {
        Ok(limits) => {
            let limits = [nominal + limits.lower, nominal + limits.upper];
            format!("{fine}, {},", limits_off(nominal, limits, units).join(" / "))
        }
        Err(_) => format!("{fine}, its limits not known here,"),
    }
}

fn nothing() -> String {
    "—".to_owned()
}

/// Round the pin, within the bearing's outer ring, as thick as the faces stand apart.
fn shim_words(project: &Project, bearing: Option<&Bearing>) -> String {
    let units = project.units();
    let size = |mm: f64| sized(mm, units);
    let outside = bearing.map_or_else(String::new, |bearing| {
        // Up to the outer ring's inside less a quarter of what is between, so that it never touches.
        let ring = bearing.outside - RING_SHARE * (bearing.outside - bearing.bore);
        let most = bearing.bore + 0.75 * (ring - bearing.bore);
        format!(", outside Ø{} at most, clear of the outer ring", size((2.0 * most).floor() / 2.0))
    });
    // Two laps, each thinner than half.
    let [least, most] = LAP_THINNER_MM.map(|mm| 2.0 * mm);
    let thick = with_unit(&format!("{} to {}", size(least), size(most)), units);
    format!("Ø{} inside{outside}; {thick} thick, to what is measured", size(pivot_bore(project)))
}

/// How long the screws of a bar have to be, and may be; `in_bar` lies in the bar below the head, mm.
fn screw_length(project: &Project, bar: PartName, in_bar: f64, say: &impl Fn(f64) -> String) -> String {
    if bar == PartName::PanelBar {
        let most = in_bar + project.panel.thickness - BEFORE_FACE;
        return format!(
            "{} long at most: {} in the bar, the panel is {} thick",
            say(most),
            say(in_bar),
            say(project.panel.thickness)
        );
    }
    match project.fixings.as_ref().and_then(|fixings| fixings.thread_length) {
        Some(thread) => format!(
            "{} long at least: {} in the bar, {} of thread in the stud; longer by what covers the stud",
            say(in_bar + thread),
            say(in_bar),
            say(thread)
        ),
        None => format!("{} in the bar, and longer by its thread in the wood, which is not given", say(in_bar)),
    }
}

/// The list.
pub(super) fn table(items: &[Item]) -> Table {
    let mut table = Table::new(vec![
        Column::words("Item", 12.0),
        Column::words("Number", 18.0),
        Column::words("What", 44.0),
        Column::figures("Off", 10.0),
        Column::words("Material, size", 74.0),
        Column::figures("kg each", 18.0),
    ]);
    for (number, item) in (1..).zip(items) {
        let [part, what, off, size, mass] = item.row.clone();
        table.row([number.to_string(), part, what, off, size, mass]);
    }
    table
}

/// The number of an item in the list.
pub(super) fn number(items: &[Item], thing: Thing) -> Option<usize> {
    items.iter().position(|item| item.thing == thing).map(|index| index + 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts_dxf::tests::{demo, demo_parts};

    fn row(project: &Project, thing: Thing) -> String {
        let items = of(project, &demo_parts());
        let number = number(&items, thing).expect("an item");
        table(&items).rows[number - 1].join(" | ")
    }

    #[test]
    fn screws_reach_as_far_as_they_have_to_and_no_farther() {
        let project = demo();
        // 60 of bar, the head 0.2 below the face, 38.1 of thread: by hand 97.9.
        let wall = row(&project, Thing::Screw(PartName::WallBar));
        assert!(wall.contains("| 6 |") && wall.contains("97.90\u{a0}mm long at least"), "{wall}");
        // 59.8 in the bar and 35 of panel less 3: 91.8.
        let panel = row(&project, Thing::Screw(PartName::PanelBar));
        assert!(panel.contains("| 6 |") && panel.contains("91.80\u{a0}mm long at most"), "{panel}");
        let mut open = project;
        open.fixings.as_mut().expect("fixings").thread_length = None;
        assert!(row(&open, Thing::Screw(PartName::WallBar)).contains("which is not given"));
    }

    #[test]
    fn pins_have_the_limits_of_their_class() {
        use overarm_solver::Units;
        // ISO 286-2, h6 above 6 up to 10: 0 / −9 µm; g6: −5 / −14 µm.
        let mut project = demo();
        let said = |project: &Project| row(project, Thing::Pin);
        assert!(
            said(&project).contains("Hinge pin, h6 | 8 | Ø8.000\u{a0}mm, 0 / −0.009, × 38.10\u{a0}mm"),
            "{}",
            said(&project)
        );
        project.joints.as_mut().expect("joints").pin = Some("g6".into());
        assert!(said(&project).contains("g6 | 8 | Ø8.000\u{a0}mm, −0.005 / −0.014,"), "{}", said(&project));
        // 7.991 and 8 mm are 0.31461 and 0.31496 in: inwards 0.3147 and 0.3149, off the 0.3150 that is printed.
        project.joints.as_mut().expect("joints").pin = Some("h6".into());
        project.units = Some(Units::Inch);
        assert!(said(&project).contains("Ø0.3150\u{a0}in, −0.0001 / −0.0003,"), "{}", said(&project));
        project.joints.as_mut().expect("joints").pin = None;
        assert!(said(&project).contains("its class not given"), "{}", said(&project));
    }

    #[test]
    fn pins_go_through_a_bar_and_an_arm() {
        // Lapped, half of 38.1 of either; layered, all of 38.1 of the bars and of 38.1 and 12 of the arms.
        assert!(row(&demo(), Thing::Pin).contains("× 38.10\u{a0}mm, steel"));
        let mut layered = demo();
        layered.bars.build = Build::Sandwich;
        layered.bars.upper_arm.depth = 12.0;
        let analysis = overarm_solver::analyse(&layered, &overarm_solver::Options { poses: 2, swept: false });
        let items = of(&layered, &overarm_solver::parts(&layered, &analysis.solids));
        let number = number(&items, Thing::Pin).expect("an item");
        let words = table(&items).rows[number - 1].join(" | ");
        assert!(words.contains("× 50.10\u{a0}mm and 76.20\u{a0}mm, steel"), "{words}");
    }

    #[test]
    fn a_shim_for_every_pin_lies_within_the_outer_ring() {
        let shim = row(&demo(), Thing::Shim);
        // 608: 8 by 22, its outer ring 1.4 thick: 19.2 inside. 8 + 0.75 · 11.2 = 16.4, to the half below.
        assert!(shim.contains("| 8 |") && shim.contains("Ø16.00 at most"), "{shim}");
        assert!(shim.contains("0.10 to 0.30\u{a0}mm thick"), "{shim}");
    }
}
