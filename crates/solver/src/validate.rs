//! What a project must not be: refused with the field's path and what was expected.
//!
//! Geometry that can be computed but not built is never refused: it is a failing rule.

use crate::distance::{crossing, nearest_on_segment};
use crate::limits::{Feature, ToleranceClass};
use crate::project::{MaterialWanted, PartName, Point, Project, Safeties, SafetiesWanted, TravelWanted};
use crate::tolerance::PIVOTS_APART_MM;

/// Why a project is refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{path}: {expected}")]
pub struct Refusal {
    /// The field, such as `panel.mass` or `room.outline[2]`.
    pub path: String,
    /// What was expected and what was found.
    pub expected: String,
}

fn refuse<T>(path: impl Into<String>, expected: impl Into<String>) -> Result<T, Refusal> {
    Err(Refusal { path: path.into(), expected: expected.into() })
}

/// Beyond this, mm, a coordinate itself no longer resolves the 1e-6 mm that results promise.
const LARGEST: f64 = 1e9;

/// What to say of a number that is no number, or too large to compute with.
fn too_large(value: f64) -> Option<String> {
    let reason = "beyond that, places are no longer exact to 0.000001";
    (!value.is_finite() || value.abs() > LARGEST)
        .then(|| format!("a number between −1e9 and 1e9 is expected ({reason}), found {}", shown(value)))
}

/// A number as short as it can be told: `1e300`, not a one with three hundred zeros.
fn shown(value: f64) -> String {
    let plain = value.to_string();
    if plain.len() > 20 { format!("{value:e}") } else { plain }
}

impl Project {
    /// Checks what no computation can start from: non-finite numbers, negative sizes, pivots of
    /// one bar on each other, outlines that cross themselves.
    ///
    /// # Errors
    /// The first thing found, by its path in the file.
    pub fn validate(&self) -> Result<(), Refusal> {
        if self.format != Self::FORMAT {
            return refuse("format", format!("\"{}\" is expected, found \"{}\"", Self::FORMAT, self.format));
        }
        if self.version != Self::VERSION {
            return refuse("version", format!("{} is expected, found {}", Self::VERSION, self.version));
        }
        self.validate_numbers()?;
        self.validate_outlines()?;
        let linkage = &self.linkage;
        let origin = self.panel.hung.origin().coords;
        let ends = [
            ("linkage.wall_upper", linkage.wall_lower, linkage.wall_upper, "the lower wall pivot"),
            ("linkage.panel_upper", linkage.panel_lower, linkage.panel_upper, "the lower panel pivot"),
            ("linkage.panel_lower", linkage.wall_lower, linkage.panel_lower + origin, "the lower wall pivot when hung"),
            ("linkage.panel_upper", linkage.wall_upper, linkage.panel_upper + origin, "the upper wall pivot when hung"),
        ];
        for (path, one, other, what) in ends {
            if (one - other).norm() < PIVOTS_APART_MM {
                return refuse(path, format!("a point apart from {what} is expected, found the same point"));
            }
        }
        Ok(())
    }

    fn validate_numbers(&self) -> Result<(), Refusal> {
        let mut not_negative: Vec<(String, f64)> = Vec::new();
        let mut finite: Vec<(String, f64)> = Vec::new();
        let mut points: Vec<(String, Point)> = Vec::new();
        let panel = &self.panel;
        for (name, value) in [("width", panel.width), ("height", panel.height), ("thickness", panel.thickness)] {
            not_negative.push((format!("panel.{name}"), value));
        }
        not_negative.push(("panel.mass".into(), panel.mass));
        points.push(("panel.centre_of_mass".into(), panel.centre_of_mass));
        finite.push(("panel.hung.standoff".into(), panel.hung.standoff));
        finite.push(("panel.hung.bottom".into(), panel.hung.bottom));
        finite.extend(panel.centre_of_mass_z.map(|v| ("panel.centre_of_mass_z".into(), v)));
        not_negative.extend(panel.torsional_stiffness.map(|v| ("panel.torsional_stiffness".into(), v)));
        for (index, height) in panel.rests.iter().flatten().enumerate() {
            finite.push((format!("panel.rests[{index}]"), *height));
        }
        let linkage = &self.linkage;
        points.extend([
            ("linkage.wall_lower".into(), linkage.wall_lower),
            ("linkage.wall_upper".into(), linkage.wall_upper),
            ("linkage.panel_lower".into(), linkage.panel_lower),
            ("linkage.panel_upper".into(), linkage.panel_upper),
        ]);
        if let TravelWanted::Degrees(degrees) = linkage.travel_deg {
            finite.push(("linkage.travel_deg".into(), degrees));
        }
        let bars = &self.bars;
        let materials = [
            ("wall_bar", &bars.wall_bar.material),
            ("panel_bar", &bars.panel_bar.material),
            ("lower_arm", &bars.lower_arm.material),
            ("upper_arm", &bars.upper_arm.material),
        ];
        for (name, material) in materials {
            let Some(MaterialWanted::Own(own)) = material else { continue };
            let path = |field: &str| format!("bars.{name}.material.{field}");
            for (field, value) in
                [("density", own.density), ("yield_strength", own.yield_strength), ("modulus", own.modulus)]
            {
                finite.push((path(field), value));
                if value <= 0.0 {
                    return refuse(path(field), format!("above 0 is expected, found {}", shown(value)));
                }
            }
        }
        for (name, bar) in [("wall_bar", &bars.wall_bar), ("panel_bar", &bars.panel_bar)] {
            not_negative.push((format!("bars.{name}.width"), bar.width));
            not_negative.push((format!("bars.{name}.depth"), bar.depth));
            not_negative.push((format!("bars.{name}.lower_end"), bar.lower_end));
            not_negative.push((format!("bars.{name}.upper_end"), bar.upper_end));
            not_negative.extend(bar.mass.map(|v| (format!("bars.{name}.mass"), v)));
        }
        for (name, arm) in [("lower_arm", &bars.lower_arm), ("upper_arm", &bars.upper_arm)] {
            not_negative.push((format!("bars.{name}.width"), arm.width));
            not_negative.push((format!("bars.{name}.depth"), arm.depth));
            not_negative.extend(arm.mass.map(|v| (format!("bars.{name}.mass"), v)));
        }
        not_negative.extend(bars.running_clearance.map(|v| ("bars.running_clearance".into(), v)));
        not_negative.extend(bars.cutter_diameter.map(|v| ("bars.cutter_diameter".into(), v)));
        not_negative.extend(bars.set_spacing.map(|v| ("bars.set_spacing".into(), v)));
        not_negative.extend(bars.stock_length.map(|v| ("bars.stock_length".into(), v)));
        not_negative.extend(bars.saw_kerf.map(|v| ("bars.saw_kerf".into(), v)));
        let stocks = [
            ("wall_bar", bars.wall_bar.stock),
            ("panel_bar", bars.panel_bar.stock),
            ("lower_arm", bars.lower_arm.stock),
            ("upper_arm", bars.upper_arm.stock),
        ];
        for (name, stock) in stocks {
            for (index, size) in stock.iter().flatten().enumerate() {
                not_negative.push((format!("bars.{name}.stock[{index}]"), *size));
            }
        }
        if let Some(pin) = &bars.stop_pin {
            points.push(("bars.stop_pin.at".into(), pin.at));
            not_negative.push(("bars.stop_pin.diameter".into(), pin.diameter));
        }
        not_negative.extend(self.room.clearance.map(|v| ("room.clearance".into(), v)));
        if let Some(studs) = &self.room.studs {
            not_negative.push(("room.studs.spacing".into(), studs.spacing));
            finite.push(("room.studs.first".into(), studs.first));
        }
        if let Some(uncover) = &self.room.uncover {
            finite.push(("room.uncover.bottom".into(), uncover.bottom));
            finite.push(("room.uncover.top".into(), uncover.top));
            points.extend(uncover.eye.map(|eye| ("room.uncover.eye".into(), eye)));
        }
        if let Some([one, other]) = bars.stop_pair
            && one == other
        {
            return refuse("bars.stop_pair", format!("two different parts are expected, found {} twice", one.words()));
        }
        let is_bar =
            |part| matches!(part, PartName::WallBar | PartName::PanelBar | PartName::LowerArm | PartName::UpperArm);
        if let Some(pin) = bars.stop_pin.as_ref().filter(|pin| !is_bar(pin.bar)) {
            let found = pin.bar.words();
            return refuse("bars.stop_pin.bar", format!("one of the four bars is expected, found {found}"));
        }
        self.validate_hardware()?;
        self.later_numbers(&mut not_negative, &mut finite, &mut points);
        finite.extend(not_negative.iter().cloned());
        for (path, point) in points {
            finite.push((format!("{path}[0]"), point.x));
            finite.push((format!("{path}[1]"), point.y));
        }
        for (path, value) in finite {
            if let Some(expected) = too_large(value) {
                return refuse(path, expected);
            }
        }
        for (path, value) in not_negative {
            if value < 0.0 {
                return refuse(path, format!("0 or more is expected, found {}", shown(value)));
            }
        }
        Ok(())
    }

    /// What hinges, drive and fixings cannot be, whatever their size.
    fn validate_hardware(&self) -> Result<(), Refusal> {
        for (name, asked) in self.safeties.iter().flat_map(SafetiesWanted::named) {
            if let Some(asked) = asked.filter(|asked| *asked < Safeties::LEAST) {
                let found = shown(asked);
                return refuse(format!("safeties.{name}"), format!("a number from 1 on is expected, found {found}"));
            }
        }
        if let Some(share) = self.tolerances.as_ref().and_then(|given| given.allowed_share).filter(|share| *share > 1.0)
        {
            let found = shown(share);
            return refuse("tolerances.allowed_share", format!("a share from 0 to 1 is expected, found {found}"));
        }
        if let Some(joints) = &self.joints {
            if let Some(given) = joints.per_hinge.filter(|given| !(1..=2).contains(given)) {
                return refuse("joints.per_hinge", format!("1 or 2 is expected, found {given}"));
            }
            if let Some(crate::project::HousingFit::Class(text)) = &joints.housing
                && let Err(wrong) = ToleranceClass::parse(text, Feature::Hole)
            {
                return refuse(
                    "joints.housing",
                    format!("a class such as N7, or an interference, is expected; {wrong}"),
                );
            }
            if let Some(crate::project::HousingFit::Interference { interference: [least, most] }) = &joints.housing
                && least > most
            {
                let found = format!("found {} and {}", shown(*least), shown(*most));
                return refuse(
                    "joints.housing.interference",
                    format!("the least before the most is expected, {found}"),
                );
            }
            if let Some(text) = &joints.pin
                && let Err(wrong) = ToleranceClass::parse(text, Feature::Shaft)
            {
                return refuse("joints.pin", format!("a class such as h6 is expected; {wrong}"));
            }
            if let Some(crate::project::BearingWanted::Own(own)) = &joints.bearing
                && own.outside <= own.bore
            {
                let found = format!("found {} around a bore of {}", shown(own.outside), shown(own.bore));
                return refuse("joints.bearing.outside", format!("more than its bore is expected, {found}"));
            }
        }
        if let Some(efficiency) = self.drive.as_ref().and_then(|drive| drive.motor.as_ref()?.efficiency)
            && (efficiency.is_nan() || efficiency <= 0.0 || efficiency > 1.0)
        {
            let found = shown(efficiency);
            return refuse("drive.motor.efficiency", format!("above 0 and at most 1 is expected, found {found}"));
        }
        let above_zero = [
            ("drive.strap_limit", self.drive.as_ref().and_then(|drive| drive.strap_limit)),
            ("drive.motor.ratio", self.drive.as_ref().and_then(|drive| drive.motor.as_ref()?.ratio)),
            ("joints.bearing_span", self.joints.as_ref().and_then(|joints| joints.bearing_span)),
            ("fixings.anchor.pull", self.fixings.as_ref().and_then(|fixings| Some(fixings.anchor.as_ref()?.pull))),
            (
                "fixings.anchor.sideways",
                self.fixings.as_ref().and_then(|fixings| Some(fixings.anchor.as_ref()?.sideways)),
            ),
        ];
        let own = self.joints.as_ref().and_then(|joints| match &joints.bearing {
            Some(crate::project::BearingWanted::Own(own)) => Some(own),
            _ => None,
        });
        let of_bearing = [
            ("joints.bearing.bore", own.map(|own| own.bore)),
            ("joints.bearing.width", own.map(|own| own.width)),
            ("joints.bearing.static_n", own.and_then(|own| own.static_n)),
            ("joints.bearing.dynamic_n", own.and_then(|own| own.dynamic_n)),
        ];
        let lead = self.drive.as_ref().and_then(|drive| drive.motor.as_ref()?.lead_deg);
        if let Some(lead) = lead.filter(|lead| *lead >= 90.0) {
            return refuse("drive.motor.lead_deg", format!("less than 90 is expected, found {}", shown(lead)));
        }
        if let Some([low, high]) = self.panel.rests.filter(|[low, high]| (high - low).abs() < 1e-6) {
            let found = format!("found {} and {}", shown(low), shown(high));
            return refuse("panel.rests", format!("two different heights are expected, {found}"));
        }
        for (path, value) in above_zero.into_iter().chain(of_bearing) {
            if let Some(value) = value.filter(|value| value.is_nan() || *value <= 0.0) {
                return refuse(path, format!("above 0 is expected, found {}", shown(value)));
            }
        }
        Ok(())
    }

    /// Numbers of hinges, drive, fixings and tolerances.
    fn later_numbers(
        &self,
        not_negative: &mut Vec<(String, f64)>,
        finite: &mut Vec<(String, f64)>,
        points: &mut Vec<(String, Point)>,
    ) {
        if let Some(joints) = &self.joints {
            if let Some(crate::project::BearingWanted::Own(own)) = &joints.bearing {
                for (name, value) in [("bore", own.bore), ("outside", own.outside), ("width", own.width)] {
                    not_negative.push((format!("joints.bearing.{name}"), value));
                }
            }
            let given = [
                ("bearing_span", joints.bearing_span),
                ("radial_play", joints.radial_play),
                ("friction", joints.friction),
            ];
            not_negative.extend(given.into_iter().filter_map(|(name, v)| v.map(|v| (format!("joints.{name}"), v))));
        }
        if let Some(drive) = &self.drive {
            points.push(("drive.anchor".into(), drive.anchor));
            points.push(("drive.drum_centre".into(), drive.drum_centre));
            not_negative.push(("drive.drum_radius".into(), drive.drum_radius));
            not_negative.push(("drive.strap_thickness".into(), drive.strap_thickness));
            let given = [
                ("strap_width", drive.strap_width),
                ("dead_wraps", drive.dead_wraps),
                ("strap_limit", drive.strap_limit),
            ];
            not_negative.extend(given.into_iter().filter_map(|(name, v)| v.map(|v| (format!("drive.{name}"), v))));
            finite.extend(drive.z.map(|v| ("drive.z".to_owned(), v)));
            if let Some(kick) = &drive.kick {
                points.push(("drive.kick.at".into(), kick.at));
                let given = [("limit", kick.limit), ("stroke", kick.stroke), ("passive_force", kick.passive_force)];
                not_negative
                    .extend(given.into_iter().filter_map(|(name, v)| v.map(|v| (format!("drive.kick.{name}"), v))));
            }
            if let Some(motor) = &drive.motor {
                let given = [
                    ("torque", motor.torque),
                    ("rpm", motor.rpm),
                    ("ratio", motor.ratio),
                    ("efficiency", motor.efficiency),
                    ("lead_deg", motor.lead_deg),
                ];
                not_negative
                    .extend(given.into_iter().filter_map(|(name, v)| v.map(|v| (format!("drive.motor.{name}"), v))));
            }
        }
        if let Some(fixings) = &self.fixings {
            let given = [
                ("diameter", fixings.diameter),
                ("thread_length", fixings.thread_length),
                ("spacing", fixings.spacing),
                ("edge", fixings.edge),
                ("wood_gravity", fixings.wood_gravity),
                ("duration", fixings.duration),
            ];
            not_negative.extend(given.into_iter().filter_map(|(name, v)| v.map(|v| (format!("fixings.{name}"), v))));
        }
        if let Some(safeties) = &self.safeties {
            let given = safeties.named().into_iter();
            not_negative.extend(given.filter_map(|(name, v)| v.map(|v| (format!("safeties.{name}"), v))));
        }
        if let Some(tolerances) = &self.tolerances {
            let given = [
                ("length", tolerances.length),
                ("offset", tolerances.offset),
                ("parallel", tolerances.parallel),
                ("level", tolerances.level),
                ("hung_gap_limit", tolerances.hung_gap_limit),
                ("arm_stiffness", tolerances.arm_stiffness),
                ("allowed_share", tolerances.allowed_share),
            ];
            not_negative.extend(given.into_iter().filter_map(|(name, v)| v.map(|v| (format!("tolerances.{name}"), v))));
            if let Some(built) = &tolerances.as_built {
                for (hand, set) in [("left", &built.left), ("right", &built.right)] {
                    let at = |name: &str| format!("tolerances.as_built.{hand}.{name}");
                    let lengths = [
                        ("lower_arm", set.lower_arm),
                        ("panel_bar", set.panel_bar),
                        ("upper_arm", set.upper_arm),
                        ("wall_bar", set.wall_bar),
                    ];
                    not_negative.extend(lengths.into_iter().filter_map(|(name, v)| v.map(|v| (at(name), v))));
                    let offsets = [
                        ("wall_lower_offset", set.wall_lower_offset),
                        ("wall_upper_offset", set.wall_upper_offset),
                        ("panel_lower_offset", set.panel_lower_offset),
                        ("panel_upper_offset", set.panel_upper_offset),
                    ];
                    finite.extend(offsets.into_iter().filter_map(|(name, v)| v.map(|v| (at(name), v))));
                }
            }
        }
    }

    fn validate_outlines(&self) -> Result<(), Refusal> {
        check_outline("room.outline", &self.room.outline, false)?;
        for (index, solid) in self.room.solids.iter().enumerate() {
            check_outline(&format!("room.solids[{index}].outline"), &solid.outline, true)?;
        }
        Ok(())
    }
}

/// Enough points, finite, and no edge that crosses another.
fn check_outline(path: &str, outline: &[Point], closed: bool) -> Result<(), Refusal> {
    for (index, point) in outline.iter().enumerate() {
        for (axis, value) in point.iter().enumerate() {
            if let Some(expected) = too_large(*value) {
                return refuse(format!("{path}[{index}][{axis}]"), expected);
            }
        }
    }
    let mut points: Vec<Point> = Vec::new();
    for point in outline {
        if points.last() != Some(point) {
            points.push(*point);
        }
    }
    if closed && points.len() > 1 && points.first() == points.last() {
        points.pop();
    }
    let least = if closed { 3 } else { 2 };
    if points.len() < least {
        return refuse(path, format!("at least {least} different points are expected, found {}", points.len()));
    }
    let mut edges: Vec<[Point; 2]> = points.windows(2).map(|pair| [pair[0], pair[1]]).collect();
    if closed {
        edges.push([points[points.len() - 1], points[0]]);
    } else {
        // The ends go straight on: they must not run into the outline either.
        let far = 1000.0 * points.iter().map(|p| p.coords.amax()).fold(1.0, f64::max);
        let stretch = |from: Point, to: Point| to + (to - from).normalize() * far;
        if let Some(first) = edges.first_mut() {
            first[0] = stretch(first[1], first[0]);
        }
        if let Some(last) = edges.last_mut() {
            last[1] = stretch(last[0], last[1]);
        }
    }
    for (index, edge) in edges.iter().enumerate() {
        for (other_index, other) in edges.iter().enumerate().skip(index + 1) {
            let neighbours = other_index == index + 1 || (closed && index == 0 && other_index == edges.len() - 1);
            let meet = if neighbours { folds_back(edge, other) } else { meets(edge, other) };
            if meet {
                return refuse(
                    path,
                    format!(
                        "an outline that does not cross itself is expected; edges {} and {} meet",
                        index + 1,
                        other_index + 1
                    ),
                );
            }
        }
    }
    Ok(())
}

/// Whether two neighbouring edges lie on each other.
fn folds_back(edge: &[Point; 2], next: &[Point; 2]) -> bool {
    let shared = if edge[1] == next[0] {
        (edge[0] - edge[1], next[1] - next[0])
    } else {
        (edge[1] - edge[0], next[0] - next[1])
    };
    let (u, v) = shared;
    u.perp(&v).abs() <= 1e-12 * u.norm() * v.norm() && u.dot(&v) > 0.0
}

fn meets(edge: &[Point; 2], other: &[Point; 2]) -> bool {
    crossing(*edge, *other).is_some()
        || edge.iter().any(|p| nearest_on_segment(*p, *other) == *p)
        || other.iter().any(|p| nearest_on_segment(*p, *edge) == *p)
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Point2;

    fn points(from: &[[f64; 2]]) -> Vec<Point> {
        from.iter().map(|p| Point2::from(*p)).collect()
    }

    fn demo() -> Project {
        crate::samples::board()
    }

    #[test]
    fn numbers_are_told_short_and_with_the_reason() {
        let mut project = demo();
        project.panel.width = 1e300;
        let refusal = project.validate().expect_err("too large");
        assert_eq!(refusal.path, "panel.width");
        assert!(refusal.expected.ends_with("found 1e300") && refusal.expected.contains("exact"), "{refusal}");
        project.panel.width = -0.5;
        assert_eq!(project.validate().expect_err("negative").expected, "0 or more is expected, found -0.5");
        project.panel.width = f64::NAN;
        assert!(project.validate().expect_err("no number").expected.ends_with("found NaN"));
        project.panel.width = 900.0;
        project.room.outline[2] = Point2::new(1e10, 0.0);
        assert_eq!(project.validate().expect_err("far away").path, "room.outline[2][0]");
    }

    #[test]
    fn zero_sizes_can_be_computed() {
        let mut project = demo();
        let (panel, bars) = (&mut project.panel, &mut project.bars);
        for size in [
            &mut panel.width,
            &mut panel.height,
            &mut panel.thickness,
            &mut panel.mass,
            &mut bars.wall_bar.width,
            &mut bars.panel_bar.depth,
            &mut bars.lower_arm.width,
            &mut bars.upper_arm.depth,
        ] {
            *size = 0.0;
        }
        bars.cutter_diameter = Some(0.0);
        assert_eq!(project.validate(), Ok(()));
        project.bars.lower_arm.width = -1e-9;
        assert_eq!(project.validate().expect_err("negative").path, "bars.lower_arm.width");
    }

    /// Refused with the field's path, in words.
    #[test]
    fn hardware_that_cannot_be() {
        use crate::project::{BearingWanted, HousingFit, Joints, OwnBearing};
        let complete = crate::samples::complete_board();
        assert_eq!(complete.validate(), Ok(()));
        let joints = |change: &dyn Fn(&mut Joints)| {
            let mut project = complete.clone();
            change(project.joints.as_mut().expect("joints"));
            project.validate().expect_err("it cannot be")
        };
        for count in [0, 3, 100] {
            let refusal = joints(&|joints| joints.per_hinge = Some(count));
            assert_eq!(
                (refusal.path.as_str(), refusal.expected),
                ("joints.per_hinge", format!("1 or 2 is expected, found {count}"))
            );
        }
        for class in ["nonsense", "", "7N", "h6"] {
            let refusal = joints(&|joints| joints.housing = Some(HousingFit::Class(class.into())));
            assert_eq!(refusal.path, "joints.housing", "{class}");
        }
        for class in ["nonsense", "H7", "6"] {
            let refusal = joints(&|joints| joints.pin = Some(class.into()));
            assert_eq!(refusal.path, "joints.pin", "{class}");
        }
        let refusal = joints(&|joints| joints.housing = Some(HousingFit::Interference { interference: [0.02, 0.01] }));
        assert_eq!(refusal.path, "joints.housing.interference");
        let own = OwnBearing {
            bore: 10.0,
            outside: 10.0,
            width: 5.0,
            static_n: None,
            dynamic_n: None,
            more: crate::More::default(),
        };
        assert_eq!(
            joints(&|joints| joints.bearing = Some(BearingWanted::Own(own.clone()))).path,
            "joints.bearing.outside"
        );
        assert_eq!(joints(&|joints| joints.friction = Some(-0.001)).path, "joints.friction");
        assert_eq!(joints(&|joints| joints.bearing_span = Some(0.0)).path, "joints.bearing_span");
        let drive = |change: &dyn Fn(&mut crate::project::Drive)| {
            let mut project = complete.clone();
            change(project.drive.as_mut().expect("a drive"));
            project.validate().expect_err("it cannot be").path
        };
        for efficiency in [0.0, 1.01, -0.5, f64::NAN] {
            let path = drive(&|drive| drive.motor.as_mut().expect("a motor").efficiency = Some(efficiency));
            assert_eq!(path, "drive.motor.efficiency", "{efficiency}");
        }
        assert_eq!(drive(&|drive| drive.strap_limit = Some(0.0)), "drive.strap_limit");
        assert_eq!(drive(&|drive| drive.motor.as_mut().expect("a motor").ratio = Some(0.0)), "drive.motor.ratio");
    }

    #[test]
    fn outlines() {
        let ok = points(&[[0.0, 0.0], [0.0, 2250.0], [2400.0, 3930.5]]);
        assert!(check_outline("room.outline", &ok, false).is_ok());
        let crossing = points(&[[0.0, 0.0], [0.0, 2000.0], [500.0, 1500.0], [-500.0, 1000.0]]);
        let refusal = check_outline("room.outline", &crossing, false).expect_err("it crosses itself");
        assert_eq!(refusal.path, "room.outline");
        assert!(refusal.expected.contains("cross"), "{refusal}");
        let bow_tie = points(&[[0.0, 0.0], [10.0, 10.0], [10.0, 0.0], [0.0, 10.0]]);
        assert!(check_outline("room.solids[0].outline", &bow_tie, true).is_err());
        let square = points(&[[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0], [0.0, 0.0]]);
        assert!(check_outline("room.solids[0].outline", &square, true).is_ok());
        let spike = points(&[[0.0, 0.0], [0.0, 2000.0], [0.0, 1000.0]]);
        assert!(check_outline("room.outline", &spike, false).is_err());
        assert!(check_outline("room.outline", &points(&[[0.0, 0.0], [0.0, 0.0]]), false).is_err());
        // The last edge, extended, runs into the wall's extension.
        let closing = points(&[[0.0, 0.0], [0.0, 2000.0], [500.0, 2000.0], [400.0, 1000.0]]);
        assert!(check_outline("room.outline", &closing, false).is_err());
    }
}
