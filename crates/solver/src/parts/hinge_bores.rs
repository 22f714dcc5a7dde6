//! Bores of a hinge: bearing seats from one or both faces with the web between them in the bar that
//! holds the bearings, a pin bore in the other.

use crate::bearings::Bearing;
use crate::limits::{Feature, Limits, ToleranceClass};
use crate::parts::whole::room_around;
use crate::parts::{EXTRUDED_MM, Part, SEAT_DEEPER_MM, known_bore, pivot_bore};
use crate::project::{Build, PartName, Point, Project, SeatIn};
use crate::seat::{NoSeat, RING_SHARE, Seat};

/// What a stretch of a bore is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StepKind {
    /// A bearing is pressed in.
    Seat,
    /// Through the shoulder that the bearing's outer ring rests on; clear of pin and inner ring.
    Web,
    /// The pin is pressed in.
    Pin,
    /// Of a hinge whose bearing is not known: of a size that nobody chose.
    Plain,
    /// A cone at a mouth, so that what is pressed in starts straight.
    LeadIn,
}

impl StepKind {
    /// In a table: "bearing seat".
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Seat => "bearing seat",
            Self::Web => "clearance bore",
            Self::Pin => "pin bore",
            Self::Plain => "default bore",
            Self::LeadIn => "lead-in",
        }
    }
}

/// One cylinder or cone of a bore.
#[derive(Clone, Debug, PartialEq)]
pub struct BoreStep {
    /// What it is for.
    pub kind: StepKind,
    /// From and to, mm, upwards.
    pub z: [f64; 2],
    /// Diameter there, mm; both alike of a cylinder.
    pub diameter: [f64; 2],
    /// What the finished size may be off the diameter, where a fit is given.
    pub limits: Option<Limits>,
    /// The class of those limits, such as `N7`, where they come from one.
    pub class: Option<String>,
}

impl BoreStep {
    /// Along z, mm.
    #[must_use]
    pub fn depth(&self) -> f64 {
        self.z[1] - self.z[0]
    }

    /// What it takes away, mm³.
    #[must_use]
    pub fn volume(&self) -> f64 {
        let [a, b] = self.diameter;
        std::f64::consts::PI / 12.0 * self.depth() * (a * a + a * b + b * b)
    }
}

/// A face that a bore opens in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mouth {
    /// Towards the panel's middle.
    Inner,
    /// Away from it.
    Outer,
}

impl Mouth {
    /// In a sentence: "inner face".
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Inner => "inner face",
            Self::Outer => "outer face",
        }
    }
}

/// The bore of one hinge in one part.
#[derive(Clone, Debug, PartialEq)]
pub struct HingeBore {
    /// "lower pivot", "wall pivot", …
    pub name: &'static str,
    /// Its axis, which runs along z.
    pub centre: Point,
    /// From the lowest face upwards, without gaps.
    pub steps: Vec<BoreStep>,
    /// The bearing that is pressed in, where there is one.
    pub bearing: Option<Bearing>,
    /// Faces that a bearing is pressed in from.
    pub pressed_from: Vec<Mouth>,
    /// How deep each seat has to be, mm, from its face, whether or not the part has room for it.
    pub seat_depth: f64,
    /// What stays between the seats, or behind the only one, mm; negative where there is too little
    /// depth. `None` where there is no seat.
    pub web: Option<f64>,
    /// Why the fitted cylinder has no limits, or limits that a small shop cannot hold; `None` where it has limits that
    /// it can.
    pub doubt: Option<String>,
    /// Whether it lies wholly in the part's material, and nothing lies over it. Where not, the rule
    /// says so, and neither volume nor body takes it away.
    pub is_whole: bool,
}

impl Part {
    /// What stays between a hinge's seats once the part is cut, or behind its only one, mm, least and most: from
    /// the limits of what stays at the half laps, or of the bar as drawn where none is cut, and of the seats' depth.
    /// `None` where there is no seat, or nothing that stays.
    #[must_use]
    pub fn web_limits(&self, hinge: &HingeBore) -> Option<[f64; 2]> {
        hinge.web.filter(|web| *web > 0.0)?;
        let drawn = [self.depth - EXTRUDED_MM, self.depth + EXTRUDED_MM];
        let [least, most] = self.lap_limits().unwrap_or(drawn);
        let seats: f64 = hinge.pressed_from.iter().map(|_| 1.0).sum();
        Some([least - seats * (hinge.seat_depth + SEAT_DEEPER_MM), most - seats * hinge.seat_depth])
    }
}

impl Part {
    /// How near to a hinge's axis material stands over the half that stays, mm: what reaches down there has to be
    /// thinner. Infinity where none does.
    #[must_use]
    pub fn room_beside(&self, hinge: &HingeBore) -> f64 {
        self.cut().map(|layer| room_around(&layer.pieces, hinge.centre, 0.0)).fold(f64::INFINITY, f64::min)
    }
}

impl HingeBore {
    /// The lowest z, mm.
    #[must_use]
    pub fn low(&self) -> f64 {
        self.steps.first().map_or(0.0, |step| step.z[0])
    }

    /// The highest z, mm.
    #[must_use]
    pub fn high(&self) -> f64 {
        self.steps.last().map_or(0.0, |step| step.z[1])
    }

    /// The largest diameter without lead-ins, mm: what walls are measured from.
    #[must_use]
    pub fn diameter(&self) -> f64 {
        let plain = self.steps.iter().filter(|step| step.kind != StepKind::LeadIn);
        plain.flat_map(|step| step.diameter).fold(0.0, f64::max)
    }

    /// The largest diameter of all, mm.
    #[must_use]
    pub fn widest(&self) -> f64 {
        self.steps.iter().flat_map(|step| step.diameter).fold(0.0, f64::max)
    }

    /// The cylinder that decides the fit: the seat, the pin bore, or the plain bore.
    #[must_use]
    pub fn fitted(&self) -> Option<&BoreStep> {
        let fits = |step: &&BoreStep| matches!(step.kind, StepKind::Seat | StepKind::Pin | StepKind::Plain);
        self.steps.iter().find(fits)
    }

    /// Whether its size is a default, because no bearing is given that is known.
    #[must_use]
    pub fn is_default(&self) -> bool {
        self.steps.iter().any(|step| step.kind == StepKind::Plain)
    }

    /// What it takes away, mm³.
    #[must_use]
    pub fn volume(&self) -> f64 {
        self.steps.iter().map(BoreStep::volume).sum()
    }
}

/// Depth, mm, and angle to the axis, degrees, of a lead-in (common practice for small bearings and
/// pins, no source).
pub const LEAD_IN: (f64, f64) = (0.5, 30.0);

/// The class of a bore that holds its pin for good: with a pin of h it never has a gap (ISO 286
/// preferred fit P7/h6).
const PIN_BORE: &str = "P7";

/// The bore of a hinge at `centre` through a part between two heights.
pub(super) fn hinge_bore(
    project: &Project,
    part: PartName,
    name: &'static str,
    centre: Point,
    [low, high]: [f64; 2],
) -> HingeBore {
    let plain = HingeBore {
        name,
        centre,
        steps: Vec::new(),
        bearing: None,
        pressed_from: Vec::new(),
        seat_depth: 0.0,
        web: None,
        doubt: None,
        is_whole: true,
    };
    let joints = project.joints.as_ref();
    let bearing = joints.and_then(|joints| joints.bearing.as_ref()).and_then(Bearing::wanted);
    let (Some(joints), Some(bearing)) = (joints, bearing) else {
        let diameter = [pivot_bore(project); 2];
        let step = BoreStep { kind: StepKind::Plain, z: [low, high], diameter, limits: None, class: None };
        let doubt = Some("no limits: no bearing is known (joints.bearing)".to_owned());
        return HingeBore { steps: vec![step], doubt, ..plain };
    };
    let is_arm = matches!(part, PartName::LowerArm | PartName::UpperArm);
    if is_arm != (joints.seat_in.unwrap_or(SeatIn::Bars) == SeatIn::Arms) {
        let diameter = known_bore(project).unwrap_or(bearing.bore);
        let limits = ToleranceClass::parse(PIN_BORE, Feature::Hole).and_then(|class| class.limits(diameter)).ok();
        let class = limits.map(|_| PIN_BORE.to_owned());
        let step = BoreStep { kind: StepKind::Pin, z: [low, high], diameter: [diameter; 2], limits, class };
        return HingeBore { steps: with_lead_ins(vec![step], true, true), ..plain };
    }
    let thick = high - low;
    let both = joints.per_hinge.unwrap_or(1) >= 2;
    let pressed_from = if both { vec![Mouth::Inner, Mouth::Outer] } else { vec![meeting_face(project, part, name)] };
    // Flush with its face, or so deep that the bearings' middles are the wanted span apart.
    let deep = match joints.bearing_span.filter(|_| both) {
        Some(span) => 0.5 * (thick - span + bearing.width),
        None => bearing.width,
    };
    let web = thick - deep * if both { 2.0 } else { 1.0 };
    let seat = Seat::wanted(joints);
    let doubt = match &seat {
        Ok(seat) => seat.too_narrow_by().map(|_| {
            let [apart, least] = [seat.bore.tolerance(), seat.narrowest()].map(|mm| crate::units::number(1e3 * mm, 0));
            format!("limits {apart} µm apart, a small shop holds {least} µm (IT6): cut each to its own bearing")
        }),
        Err(NoSeat::NoHousing) => Some("no limits: no fit is given (joints.housing)".to_owned()),
        Err(NoSeat::NothingLeft { .. }) => {
            Some("no limits: no bore fits every bearing (joints.housing.interference)".to_owned())
        }
        Err(error) => Some(format!("no limits: {error}")),
    };
    let limits = seat.ok().map(|seat| seat.bore);
    let class = joints.housing.as_ref().and_then(|fit| match fit {
        crate::project::HousingFit::Class(name) => limits.map(|_| name.clone()),
        crate::project::HousingFit::Interference { .. } => None,
    });
    let seat_step = |z: [f64; 2]| BoreStep {
        kind: StepKind::Seat,
        z,
        diameter: [bearing.outside; 2],
        limits,
        class: class.clone(),
    };
    let inner = pressed_from.contains(&Mouth::Inner);
    let outer = pressed_from.contains(&Mouth::Outer);
    let steps = if web <= 0.0 || deep <= 0.0 {
        // Seats that meet are one bore; the rule says what is missing.
        vec![seat_step([low, high])]
    } else {
        let shoulder = clear_of_inner_ring(&bearing);
        let from = if inner { low + deep } else { low };
        let to = if outer { high - deep } else { high };
        let mut steps = Vec::new();
        if inner {
            steps.push(seat_step([low, from]));
        }
        let diameter = [shoulder; 2];
        steps.push(BoreStep { kind: StepKind::Web, z: [from, to], diameter, limits: None, class: None });
        if outer {
            steps.push(seat_step([to, high]));
        }
        steps
    };
    let steps = with_lead_ins(steps, inner, outer);
    HingeBore { steps, bearing: Some(bearing), pressed_from, seat_depth: deep, web: Some(web), doubt, ..plain }
}

/// The bore through the shoulder, mm, to 0.1: the outer ring rests on it with its whole wall, a
/// fifth of the bearing's section; inner ring and balls turn clear of it.
fn clear_of_inner_ring(bearing: &Bearing) -> f64 {
    let exact = bearing.outside - RING_SHARE * (bearing.outside - bearing.bore);
    (10.0 * exact).round() / 10.0
}

/// The face that the hinge's other bar lies against.
fn meeting_face(project: &Project, part: PartName, name: &str) -> Mouth {
    let upper = name.starts_with("upper");
    match (project.bars.build, part) {
        (Build::Lapped, PartName::WallBar | PartName::PanelBar) | (Build::Sandwich, PartName::UpperArm) => Mouth::Outer,
        (Build::Lapped, _) | (Build::Sandwich, PartName::LowerArm) => Mouth::Inner,
        // The lower arm lies outside, the upper arm inside.
        (Build::Sandwich, _) => {
            if upper {
                Mouth::Inner
            } else {
                Mouth::Outer
            }
        }
    }
}

/// Cones at the ends, cut out of the steps there.
fn with_lead_ins(mut steps: Vec<BoreStep>, inner: bool, outer: bool) -> Vec<BoreStep> {
    let (depth, angle) = LEAD_IN;
    // A seat keeps at least half of its depth.
    let cone = |step: &BoreStep| depth.min(0.25 * step.depth());
    let wider = |step: &BoreStep, by: f64| step.diameter[0] + 2.0 * by * angle.to_radians().tan();
    let lead_in = |z, diameter| BoreStep { kind: StepKind::LeadIn, z, diameter, limits: None, class: None };
    if inner && let Some(first) = steps.first_mut() {
        let by = cone(first);
        let [low, _] = first.z;
        let mouth = lead_in([low, low + by], [wider(first, by), first.diameter[0]]);
        first.z[0] = low + by;
        steps.insert(0, mouth);
    }
    if outer && let Some(last) = steps.last_mut() {
        let by = cone(last);
        let [_, high] = last.z;
        let mouth = lead_in([high - by, high], [last.diameter[1], wider(last, by)]);
        last.z[1] = high - by;
        steps.push(mouth);
    }
    steps
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{BearingWanted, HousingFit, Joints};

    fn project(joints: Option<Joints>, build: Build) -> Project {
        let mut project = crate::samples::demo_board();
        project.joints = joints;
        project.bars.build = build;
        project
    }

    fn joints(per_hinge: u32) -> Joints {
        Joints {
            bearing: Some(BearingWanted::Designation("608".into())),
            housing: Some(HousingFit::Class("N7".into())),
            per_hinge: Some(per_hinge),
            ..Joints::default()
        }
    }

    fn spans(bore: &HingeBore) -> Vec<(StepKind, f64)> {
        bore.steps.iter().map(|step| (step.kind, (1e6 * step.depth()).round() / 1e6)).collect()
    }

    #[test]
    fn two_seats_a_web_and_two_lead_ins() {
        use StepKind::{LeadIn, Seat, Web};
        let project = project(Some(joints(2)), Build::Lapped);
        let bore = hinge_bore(&project, PartName::WallBar, "lower pivot", Point::origin(), [0.0, 19.05]);
        // By hand: two 608 of 7 mm flush in 19.05 mm leave 5.05 mm.
        assert_eq!(spans(&bore), [(LeadIn, 0.5), (Seat, 6.5), (Web, 5.05), (Seat, 6.5), (LeadIn, 0.5)]);
        assert!((bore.web.expect("a web") - 5.05).abs() < 1e-9);
        let seat = bore.fitted().expect("a seat");
        // N7 at 22 mm: −7/−28 µm (ISO 286).
        let limits = seat.limits.expect("limits");
        assert!((limits.upper + 0.007).abs() < 1e-9 && (limits.lower + 0.028).abs() < 1e-9);
        assert_eq!((seat.class.as_deref(), bore.diameter()), (Some("N7"), 22.0));
        // A fifth of (22 − 8) off 22.
        let web = bore.steps.iter().find(|step| step.kind == Web).expect("a web");
        assert!((web.diameter[0] - 19.2).abs() < 1e-9);
        for pair in bore.steps.windows(2) {
            assert!((pair[0].z[1] - pair[1].z[0]).abs() < 1e-12, "no gaps");
        }
        // 0.5 mm at 30°.
        assert!((bore.widest() - (22.0 + 30f64.to_radians().tan())).abs() < 1e-9);
    }

    #[test]
    fn one_seat_opens_towards_the_other_bar() {
        let lapped = project(Some(joints(1)), Build::Lapped);
        let in_bar = hinge_bore(&lapped, PartName::PanelBar, "upper pivot", Point::origin(), [0.0, 19.05]);
        assert_eq!(in_bar.pressed_from, [Mouth::Outer]);
        assert!((in_bar.web.expect("a web") - 12.05).abs() < 1e-9);
        let sandwich = project(Some(joints(1)), Build::Sandwich);
        for (name, mouth) in [("lower pivot", Mouth::Outer), ("upper pivot", Mouth::Inner)] {
            let bore = hinge_bore(&sandwich, PartName::WallBar, name, Point::origin(), [0.0, 25.4]);
            assert_eq!(bore.pressed_from, [mouth], "{name}");
        }
        let in_arms = project(Some(Joints { seat_in: Some(SeatIn::Arms), ..joints(1) }), Build::Lapped);
        let bore = hinge_bore(&in_arms, PartName::LowerArm, "wall pivot", Point::origin(), [19.05, 38.1]);
        assert_eq!(bore.pressed_from, [Mouth::Inner]);
        assert_eq!(bore.steps[1].kind, StepKind::Seat);
        let pin = hinge_bore(&in_arms, PartName::WallBar, "lower pivot", Point::origin(), [0.0, 19.05]);
        assert_eq!(pin.fitted().map(|step| (step.kind, step.diameter[0])), Some((StepKind::Pin, 8.0)));
        // P7 at 8 mm: −9/−24 µm (ISO 286).
        let limits = pin.fitted().and_then(|step| step.limits).expect("limits");
        assert!((limits.upper + 0.009).abs() < 1e-9 && (limits.lower + 0.024).abs() < 1e-9);
    }

    #[test]
    fn a_wanted_span_and_too_little_depth() {
        let wide = project(Some(Joints { bearing_span: Some(10.0), ..joints(2) }), Build::Lapped);
        let bore = hinge_bore(&wide, PartName::WallBar, "lower pivot", Point::origin(), [0.0, 19.05]);
        // Middles 10 mm apart, 7 mm wide: 3 mm stay between; each seat is 8.025 mm deep.
        assert!((bore.web.expect("a web") - 3.0).abs() < 1e-9 && (bore.seat_depth - 8.025).abs() < 1e-9);
        let thin = project(Some(joints(2)), Build::Lapped);
        let bore = hinge_bore(&thin, PartName::WallBar, "lower pivot", Point::origin(), [0.0, 12.0]);
        assert!((bore.web.expect("a web") + 2.0).abs() < 1e-9);
        assert!(bore.steps.iter().all(|step| step.kind != StepKind::Web));
        let unknown = project(None, Build::Lapped);
        let bore = hinge_bore(&unknown, PartName::WallBar, "lower pivot", Point::origin(), [0.0, 12.0]);
        assert_eq!(spans(&bore), [(StepKind::Plain, 12.0)]);
        // A cylinder of 8 by 12.
        assert!((bore.volume() - std::f64::consts::PI * 16.0 * 12.0).abs() < 1e-9);
    }
}
