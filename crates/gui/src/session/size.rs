//! Every single size of the project that can be typed: what it is called, what it is a number of,
//! how it is read and put, and what holds where it is not given.

use overarm_solver::screws::Conditions;
use overarm_solver::units::Quantity;
use overarm_solver::{
    BearingWanted, Drive, Fixings, HousingFit, Joints, Motor, Project, Safeties, SafetiesWanted, Studs, Tolerances,
    TravelWanted, Uncover,
};

use overarm_shopfiles::set_up_sheets::ShopFigure;

use super::field::Group;

/// One size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs)] // each one's words stand in its row below
pub enum Size {
    Travel,
    PanelWidth,
    PanelHeight,
    PanelThickness,
    PanelMass,
    CentreAlongWall,
    TorsionalStiffness,
    LowerRest,
    UpperRest,
    WallBarWidth,
    WallBarDepth,
    WallBarLowerEnd,
    WallBarUpperEnd,
    WallBarMass,
    PanelBarWidth,
    PanelBarDepth,
    PanelBarLowerEnd,
    PanelBarUpperEnd,
    PanelBarMass,
    LowerArmWidth,
    LowerArmDepth,
    LowerArmMass,
    UpperArmWidth,
    UpperArmDepth,
    UpperArmMass,
    RunningClearance,
    CutterDiameter,
    SetSpacing,
    StopPinDiameter,
    UncoverBottom,
    UncoverTop,
    StudSpacing,
    FirstStud,
    RoomClearance,
    DrumRadius,
    StrapThickness,
    StrapWidth,
    StrapAlongWall,
    DeadWraps,
    StrapLimit,
    KickLimit,
    KickStroke,
    KickPassive,
    MotorTorque,
    MotorRpm,
    MotorRatio,
    MotorEfficiency,
    MotorLead,
    BearingBore,
    BearingOutside,
    BearingWidth,
    BearingStatic,
    LeastInterference,
    MostInterference,
    BearingsPerHinge,
    BearingSpan,
    RadialPlay,
    Friction,
    FixingCount,
    FixingDiameter,
    FixingThread,
    FixingSpacing,
    FixingEdge,
    WoodGravity,
    LoadDuration,
    LengthTolerance,
    OffsetTolerance,
    ParallelTolerance,
    LevelTolerance,
    HungGapLimit,
    ArmStiffness,
    AllowedShare,
    BarsSafety,
    BearingsSafety,
    FixingsSafety,
    DriveSafety,
    SpindleTurns,
    EndMill1,
    EndMill2,
    EndMill3,
    EndMill4,
    MillTeeth,
    MillReach,
    RampAngle,
    SetUpMinutes,
    ToolChangeMinutes,
    MillSpeed,
    DrillSpeed,
    ChipShare,
}

impl Size {
    /// What the figures of tolerances depend on besides the tolerances.
    pub const BESIDE_TOLERANCES: [Self; 5] =
        [Self::LowerRest, Self::UpperRest, Self::RadialPlay, Self::BearingSpan, Self::TorsionalStiffness];
}

/// How a size stands in the project.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Given {
    /// What it belongs to is not there: no drive, no drum radius.
    Absent,
    /// Not given.
    No,
    /// Given.
    Value(f64),
}

impl From<Option<f64>> for Given {
    fn from(value: Option<f64>) -> Self {
        value.map_or(Self::No, Self::Value)
    }
}

/// What holds where a size is not given.
#[derive(Clone, Copy, Debug)]
pub(super) enum Otherwise {
    /// It has to be given.
    Needed,
    /// This value.
    Value(fn(&Project) -> f64),
    /// This value, where there is one; else nothing is.
    IfKnown(fn(&Project) -> Option<f64>),
    /// What these words say.
    Words(&'static str),
}

/// One row: everything about a size.
#[derive(Clone, Copy, Debug)]
pub(super) struct SizeRow {
    pub(super) size: Size,
    pub(super) group: Group,
    /// The thing, and what of it.
    pub(super) words: [&'static str; 2],
    pub(super) quantity: Quantity,
    pub(super) otherwise: Otherwise,
    pub(super) given: fn(&Project) -> Given,
    pub(super) put: fn(&mut Project, Option<f64>),
}

const SPREAD: Otherwise = Otherwise::Words("spread evenly");
const NOT_GIVEN: Otherwise = Otherwise::Words("not given");

/// A size that always stands in the project.
macro_rules! needed {
    ($size:ident, $group:ident, $thing:literal, $what:literal, $quantity:ident, $($place:ident).+) => {
        SizeRow {
            size: Size::$size,
            group: Group::$group,
            words: [$thing, $what],
            quantity: Quantity::$quantity,
            otherwise: Otherwise::Needed,
            given: |p| Given::Value(p.$($place).+),
            put: |p, value| {
                if let Some(value) = value {
                    p.$($place).+ = value;
                }
            },
        }
    };
}

/// A size that may be left out of something that always stands in the project.
macro_rules! optional {
    ($size:ident, $group:ident, $thing:literal, $what:literal, $quantity:ident, $otherwise:expr, $($place:ident).+) => {
        SizeRow {
            size: Size::$size,
            group: Group::$group,
            words: [$thing, $what],
            quantity: Quantity::$quantity,
            otherwise: $otherwise,
            given: |p| p.$($place).+.into(),
            put: |p, value| p.$($place).+ = value,
        }
    };
}

/// A size of something that may be missing as a whole, which is made when the first is given.
macro_rules! made {
    (
        $size:ident, $group:ident, $thing:literal, $what:literal, $quantity:ident, $otherwise:expr, $part:ident, $make:expr,
        $place:ident
    ) => {
        SizeRow {
            size: Size::$size,
            group: Group::$group,
            words: [$thing, $what],
            quantity: Quantity::$quantity,
            otherwise: $otherwise,
            given: |p| p.$part.as_ref().and_then(|part| part.$place).into(),
            put: |p, value| {
                if value.is_some() || p.$part.is_some() {
                    p.$part.get_or_insert_with($make).$place = value;
                }
            },
        }
    };
}

/// A size of the drive, where there is one.
macro_rules! of_drive {
    ($size:ident, $thing:literal, $what:literal, $quantity:ident, needed $place:ident) => {
        SizeRow {
            size: Size::$size,
            group: Group::Drive,
            words: [$thing, $what],
            quantity: Quantity::$quantity,
            otherwise: Otherwise::Needed,
            given: |p| p.drive.as_ref().map_or(Given::Absent, |drive| Given::Value(drive.$place)),
            put: |p, value| {
                if let (Some(drive), Some(value)) = (&mut p.drive, value) {
                    drive.$place = value;
                }
            },
        }
    };
    ($size:ident, $thing:literal, $what:literal, $quantity:ident, $otherwise:expr, $place:ident) => {
        SizeRow {
            size: Size::$size,
            group: Group::Drive,
            words: [$thing, $what],
            quantity: Quantity::$quantity,
            otherwise: $otherwise,
            given: |p| p.drive.as_ref().map_or(Given::Absent, |drive| drive.$place.into()),
            put: |p, value| {
                if let Some(drive) = &mut p.drive {
                    drive.$place = value;
                }
            },
        }
    };
}

/// A size of the kick, where there is one.
macro_rules! of_kick {
    ($size:ident, $what:literal, $otherwise:expr, $quantity:ident, $place:ident) => {
        SizeRow {
            size: Size::$size,
            group: Group::Drive,
            words: ["Kick", $what],
            quantity: Quantity::$quantity,
            otherwise: $otherwise,
            given: |p| {
                let kick = p.drive.as_ref().and_then(|drive| drive.kick.as_ref());
                kick.map_or(Given::Absent, |kick| kick.$place.into())
            },
            put: |p, value| {
                if let Some(kick) = p.drive.as_mut().and_then(|drive| drive.kick.as_mut()) {
                    kick.$place = value;
                }
            },
        }
    };
}

/// A size of the motor, which is made when the first is given.
macro_rules! of_motor {
    ($size:ident, $what:literal, $quantity:ident, $place:ident) => {
        SizeRow {
            size: Size::$size,
            group: Group::Drive,
            words: ["Motor", $what],
            quantity: Quantity::$quantity,
            otherwise: NOT_GIVEN,
            given: |p| {
                let motor = |drive: &Drive| drive.motor.as_ref().and_then(|motor| motor.$place).into();
                p.drive.as_ref().map_or(Given::Absent, motor)
            },
            put: |p, value| {
                if let Some(drive) = &mut p.drive
                    && (value.is_some() || drive.motor.is_some())
                {
                    drive.motor.get_or_insert_with(no_motor).$place = value;
                }
            },
        }
    };
}

/// A safety that is wanted, with the usual one where it is not given.
macro_rules! of_safeties {
    ($size:ident, $thing:literal, $what:literal, $place:ident) => {
        made!(
            $size,
            Safeties,
            $thing,
            $what,
            Plain,
            Otherwise::Value(|_| Safeties::USUAL.$place),
            safeties,
            SafetiesWanted::default,
            $place
        )
    };
}

/// One end of the height range to uncover; the other end, if it is not given yet, is the panel's.
macro_rules! of_uncover {
    ($size:ident, $what:literal, $place:ident) => {
        SizeRow {
            size: Size::$size,
            group: Group::Room,
            words: ["To be uncovered", $what],
            quantity: Quantity::Length,
            otherwise: NOT_GIVEN,
            given: |p| p.room.uncover.as_ref().map(|uncover| uncover.$place).into(),
            put: |p, value| match value {
                Some(value) => {
                    let (bottom, top) = (p.panel.hung.bottom, p.panel.hung.bottom + p.panel.height);
                    let whole = || Uncover { name: None, bottom, top, eye: None, more: overarm_solver::More::new() };
                    p.room.uncover.get_or_insert_with(whole).$place = value;
                }
                None => p.room.uncover = None,
            },
        }
    };
}

/// Where studs stand; the spacing makes them, and takes them away.
macro_rules! of_studs {
    ($size:ident, $what:literal, $place:ident) => {
        SizeRow {
            size: Size::$size,
            group: Group::Room,
            words: ["Studs", $what],
            quantity: Quantity::Length,
            otherwise: NOT_GIVEN,
            given: |p| p.room.studs.as_ref().map(|studs| studs.$place).into(),
            put: |p, value| match value {
                Some(value) => {
                    // 16 in from middle to middle (IRC, R602.3), one in the panel's middle.
                    let usual = || Studs { spacing: 406.4, first: 0.0, more: overarm_solver::More::new() };
                    p.room.studs.get_or_insert_with(usual).$place = value;
                }
                None => p.room.studs = None,
            },
        }
    };
}

/// A size of a bearing that is in no list.
macro_rules! of_own_bearing {
    ($size:ident, $what:literal, $place:ident) => {
        SizeRow {
            size: Size::$size,
            group: Group::Hinges,
            words: ["Bearing", $what],
            quantity: Quantity::Length,
            otherwise: Otherwise::Needed,
            given: |p| match p.joints.as_ref().and_then(|joints| joints.bearing.as_ref()) {
                Some(BearingWanted::Own(own)) => Given::Value(own.$place),
                _ => Given::Absent,
            },
            put: |p, value| {
                let bearing = p.joints.as_mut().and_then(|joints| joints.bearing.as_mut());
                if let (Some(BearingWanted::Own(own)), Some(value)) = (bearing, value) {
                    own.$place = value;
                }
            },
        }
    };
}

/// The least or the most interference of the seat, where it is told by figures.
macro_rules! of_interference {
    ($size:ident, $what:literal, $index:literal) => {
        SizeRow {
            size: Size::$size,
            group: Group::Hinges,
            words: ["Bearing seat", $what],
            quantity: Quantity::Length,
            otherwise: Otherwise::Needed,
            given: |p| match p.joints.as_ref().and_then(|joints| joints.housing.as_ref()) {
                Some(HousingFit::Interference { interference }) => Given::Value(interference[$index]),
                _ => Given::Absent,
            },
            put: |p, value| {
                let housing = p.joints.as_mut().and_then(|joints| joints.housing.as_mut());
                if let (Some(HousingFit::Interference { interference }), Some(value)) = (housing, value) {
                    interference[$index] = value;
                }
            },
        }
    };
}

/// A figure of the set-up sheets' table of tools and materials.
macro_rules! of_shop {
    ($size:ident, $thing:literal, $what:literal, $quantity:ident, $figure:expr) => {
        SizeRow {
            size: Size::$size,
            group: Group::Shop,
            words: [$thing, $what],
            quantity: Quantity::$quantity,
            otherwise: Otherwise::IfKnown(|p| $figure.otherwise(p)),
            given: |p| $figure.given(p).into(),
            put: |p, value| $figure.put(p, value),
        }
    };
}

fn no_motor() -> Motor {
    Motor { torque: None, rpm: None, ratio: None, efficiency: None, lead_deg: None, more: overarm_solver::More::new() }
}

fn rest(project: &Project, index: usize) -> Given {
    project.panel.rests.map(|rests| rests[index]).into()
}

/// Puts one rest; the other, if there is none yet, is at the panel's other edge.
fn put_rest(project: &mut Project, index: usize, value: Option<f64>) {
    project.panel.rests = value.map(|value| {
        let mut rests = project.panel.rests.unwrap_or([0.0, project.panel.height]);
        rests[index] = value;
        rests
    });
}

const FROM_SOLID: Otherwise = Otherwise::Words("from its solid");

/// A whole number of the file; the field refuses others.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // clamped before
fn whole(value: f64) -> u32 {
    value.round().clamp(0.0, f64::from(u32::MAX)) as u32
}

/// Every size, in the order in which they are shown.
pub(super) const SIZES: &[SizeRow] = &[
    SizeRow {
        size: Size::Travel,
        group: Group::Travel,
        words: ["Lower arm", "turn from hung to parked"],
        quantity: Quantity::Angle,
        otherwise: Otherwise::Words("to the stop"),
        given: |p| match p.linkage.travel_deg {
            TravelWanted::Degrees(degrees) => Given::Value(degrees),
            TravelWanted::ToStop => Given::No,
        },
        put: |p, value| p.linkage.travel_deg = value.map_or(TravelWanted::ToStop, TravelWanted::Degrees),
    },
    needed!(PanelWidth, Panel, "Panel", "width", Length, panel.width),
    needed!(PanelHeight, Panel, "Panel", "height", Length, panel.height),
    needed!(PanelThickness, Panel, "Panel", "thickness", Length, panel.thickness),
    needed!(PanelMass, Panel, "Panel", "mass", Mass, panel.mass),
    optional!(
        CentreAlongWall,
        Panel,
        "Centre of mass",
        "off the middle, along the wall",
        Length,
        Otherwise::Value(|_| 0.0),
        panel.centre_of_mass_z
    ),
    optional!(
        TorsionalStiffness,
        Panel,
        "Panel",
        "torsional stiffness",
        Stiffness,
        Otherwise::Words("rigid"),
        panel.torsional_stiffness
    ),
    SizeRow {
        size: Size::LowerRest,
        group: Group::Panel,
        words: ["Lower rest", "above the bottom edge"],
        quantity: Quantity::Length,
        otherwise: NOT_GIVEN,
        given: |p| rest(p, 0),
        put: |p, value| put_rest(p, 0, value),
    },
    SizeRow {
        size: Size::UpperRest,
        group: Group::Panel,
        words: ["Upper rest", "above the bottom edge"],
        quantity: Quantity::Length,
        otherwise: NOT_GIVEN,
        given: |p| rest(p, 1),
        put: |p, value| put_rest(p, 1, value),
    },
    needed!(WallBarWidth, Bars, "Wall bar", "width", Length, bars.wall_bar.width),
    needed!(WallBarDepth, Bars, "Wall bar", "depth", Length, bars.wall_bar.depth),
    needed!(WallBarLowerEnd, Bars, "Wall bar", "below its lower pivot", Length, bars.wall_bar.lower_end),
    needed!(WallBarUpperEnd, Bars, "Wall bar", "above its upper pivot", Length, bars.wall_bar.upper_end),
    optional!(WallBarMass, Bars, "Wall bar", "mass of one", Mass, FROM_SOLID, bars.wall_bar.mass),
    needed!(PanelBarWidth, Bars, "Panel bar", "width", Length, bars.panel_bar.width),
    needed!(PanelBarDepth, Bars, "Panel bar", "depth", Length, bars.panel_bar.depth),
    needed!(PanelBarLowerEnd, Bars, "Panel bar", "below its lower pivot", Length, bars.panel_bar.lower_end),
    needed!(PanelBarUpperEnd, Bars, "Panel bar", "above its upper pivot", Length, bars.panel_bar.upper_end),
    optional!(PanelBarMass, Bars, "Panel bar", "mass of one", Mass, FROM_SOLID, bars.panel_bar.mass),
    needed!(LowerArmWidth, Bars, "Lower arm", "width", Length, bars.lower_arm.width),
    needed!(LowerArmDepth, Bars, "Lower arm", "depth", Length, bars.lower_arm.depth),
    optional!(LowerArmMass, Bars, "Lower arm", "mass of one", Mass, FROM_SOLID, bars.lower_arm.mass),
    needed!(UpperArmWidth, Bars, "Upper arm", "width", Length, bars.upper_arm.width),
    needed!(UpperArmDepth, Bars, "Upper arm", "depth", Length, bars.upper_arm.depth),
    optional!(UpperArmMass, Bars, "Upper arm", "mass of one", Mass, FROM_SOLID, bars.upper_arm.mass),
    optional!(
        RunningClearance,
        Bars,
        "Bars",
        "running clearance",
        Length,
        Otherwise::Value(|p| without(p, |p| p.bars.running_clearance = None).bars.running_clearance()),
        bars.running_clearance
    ),
    optional!(
        CutterDiameter,
        Bars,
        "Bars",
        "cutter diameter",
        Length,
        Otherwise::Value(|p| without(p, |p| p.bars.cutter_diameter = None).bars.cutter_diameter()),
        bars.cutter_diameter
    ),
    optional!(
        SetSpacing,
        Bars,
        "Left and right set",
        "middle to middle",
        Length,
        Otherwise::Value(|p| without(p, |p| p.bars.set_spacing = None).set_spacing()),
        bars.set_spacing
    ),
    SizeRow {
        size: Size::StopPinDiameter,
        group: Group::Bars,
        words: ["Stop pin", "diameter of its collar"],
        quantity: Quantity::Length,
        otherwise: Otherwise::Needed,
        given: |p| p.bars.stop_pin.as_ref().map_or(Given::Absent, |pin| Given::Value(pin.diameter)),
        put: |p, value| {
            if let (Some(pin), Some(value)) = (&mut p.bars.stop_pin, value) {
                pin.diameter = value;
            }
        },
    },
    of_uncover!(UncoverBottom, "from", bottom),
    of_uncover!(UncoverTop, "to", top),
    of_studs!(StudSpacing, "spacing", spacing),
    of_studs!(FirstStud, "one at, right of the middle", first),
    optional!(
        RoomClearance,
        Room,
        "Ceiling and solids",
        "clearance wanted",
        Length,
        Otherwise::Value(|p| without(p, |p| p.room.clearance = None).room.wanted_clearance()),
        room.clearance
    ),
    of_drive!(DrumRadius, "Drum", "radius, bare", Length, needed drum_radius),
    of_drive!(StrapThickness, "Strap", "thickness", Length, needed strap_thickness),
    of_drive!(StrapWidth, "Strap", "width", Length, NOT_GIVEN, strap_width),
    of_drive!(
        StrapAlongWall,
        "Strap",
        "off the middle, along the wall",
        Length,
        Otherwise::Value(|p| without_drive(p, |drive| drive.z = None).map_or(0.0, |drive| drive.z())),
        z
    ),
    of_drive!(
        DeadWraps,
        "Drum",
        "turns left on it when hung",
        Plain,
        Otherwise::Value(|p| without_drive(p, |drive| drive.dead_wraps = None).map_or(0.0, |drive| drive.dead_wraps())),
        dead_wraps
    ),
    of_drive!(StrapLimit, "Strap", "most it may carry", Force, NOT_GIVEN, strap_limit),
    of_kick!(KickLimit, "most it can push", NOT_GIVEN, Force, limit),
    of_kick!(KickStroke, "stroke", NOT_GIVEN, Length, stroke),
    of_kick!(KickPassive, "force of a spring that stays", Otherwise::Value(|_| 0.0), Force, passive_force),
    of_motor!(MotorTorque, "torque", Torque, torque),
    of_motor!(MotorRpm, "speed", TurnRate, rpm),
    of_motor!(MotorRatio, "turns for one of the drum", Plain, ratio),
    of_motor!(MotorEfficiency, "efficiency of the gear", Plain, efficiency),
    of_motor!(MotorLead, "lead angle of the worm", Angle, lead_deg),
    of_own_bearing!(BearingBore, "bore", bore),
    of_own_bearing!(BearingOutside, "outside diameter", outside),
    of_own_bearing!(BearingWidth, "width", width),
    SizeRow {
        size: Size::BearingStatic,
        group: Group::Hinges,
        words: ["Bearing", "static rating of one"],
        quantity: Quantity::Force,
        otherwise: NOT_GIVEN,
        given: |p| match p.joints.as_ref().and_then(|joints| joints.bearing.as_ref()) {
            Some(BearingWanted::Own(own)) => own.static_n.into(),
            _ => Given::Absent,
        },
        put: |p, value| {
            if let Some(BearingWanted::Own(own)) = p.joints.as_mut().and_then(|joints| joints.bearing.as_mut()) {
                own.static_n = value;
            }
        },
    },
    of_interference!(LeastInterference, "least interference", 0),
    of_interference!(MostInterference, "most interference", 1),
    SizeRow {
        size: Size::BearingsPerHinge,
        group: Group::Hinges,
        words: ["Bearings", "in one hinge"],
        quantity: Quantity::Count,
        otherwise: Otherwise::Value(|_| 1.0),
        given: |p| p.joints.as_ref().and_then(|joints| joints.per_hinge.map(f64::from)).into(),
        put: |p, value| {
            if value.is_some() || p.joints.is_some() {
                p.joints.get_or_insert_with(Joints::default).per_hinge = value.map(whole);
            }
        },
    },
    made!(
        BearingSpan,
        Hinges,
        "Bearings",
        "middle to middle",
        Length,
        NOT_GIVEN,
        joints,
        Joints::default,
        bearing_span
    ),
    made!(
        RadialPlay,
        Hinges,
        "Bearings",
        "radial play of one",
        Length,
        NOT_GIVEN,
        joints,
        Joints::default,
        radial_play
    ),
    made!(
        Friction,
        Hinges,
        "Bearings",
        "coefficient of friction",
        Plain,
        // Of a ball bearing, at its bore; common practice, no source.
        Otherwise::Value(|_| 0.005),
        joints,
        Joints::default,
        friction
    ),
    SizeRow {
        size: Size::FixingCount,
        group: Group::Fixings,
        words: ["Screws", "in one wall bar"],
        quantity: Quantity::Count,
        otherwise: NOT_GIVEN,
        given: |p| p.fixings.as_ref().and_then(|fixings| fixings.count.map(f64::from)).into(),
        put: |p, value| {
            if value.is_some() || p.fixings.is_some() {
                p.fixings.get_or_insert_with(Fixings::default).count = value.map(whole);
            }
        },
    },
    made!(FixingDiameter, Fixings, "Screws", "diameter", Length, NOT_GIVEN, fixings, Fixings::default, diameter),
    made!(
        FixingThread,
        Fixings,
        "Screws",
        "thread in the wood",
        Length,
        NOT_GIVEN,
        fixings,
        Fixings::default,
        thread_length
    ),
    made!(FixingSpacing, Fixings, "Screws", "apart", Length, SPREAD, fixings, Fixings::default, spacing),
    made!(FixingEdge, Fixings, "Screws", "from the bar's end", Length, SPREAD, fixings, Fixings::default, edge),
    made!(WoodGravity, Fixings, "Wood", "specific gravity", Plain, NOT_GIVEN, fixings, Fixings::default, wood_gravity),
    made!(
        LoadDuration,
        Fixings,
        "Wood",
        "load duration factor",
        Plain,
        // Of a load that always hangs, NDS 2018, table 2.3.2.
        Otherwise::Value(|_| Conditions::default().duration),
        fixings,
        Fixings::default,
        duration
    ),
    made!(
        LengthTolerance,
        Tolerances,
        "Centre distances",
        "±",
        Length,
        NOT_GIVEN,
        tolerances,
        Tolerances::default,
        length
    ),
    made!(
        OffsetTolerance,
        Tolerances,
        "Pivots from their edges",
        "±",
        Length,
        NOT_GIVEN,
        tolerances,
        Tolerances::default,
        offset
    ),
    made!(
        ParallelTolerance,
        Tolerances,
        "Wall bars",
        "out of plumb over their pivots, ±",
        Length,
        NOT_GIVEN,
        tolerances,
        Tolerances::default,
        parallel
    ),
    made!(
        LevelTolerance,
        Tolerances,
        "Wall bars",
        "out of level, ±",
        Length,
        NOT_GIVEN,
        tolerances,
        Tolerances::default,
        level
    ),
    made!(
        HungGapLimit,
        Tolerances,
        "Hung panel",
        "most it may stand off",
        Length,
        // Common practice, no source.
        Otherwise::Value(|_| 2.0),
        tolerances,
        Tolerances::default,
        hung_gap_limit
    ),
    made!(
        ArmStiffness,
        Tolerances,
        "An arm with its hinges",
        "stiffness along its line",
        SpringRate,
        // What the solver takes; with its unit, which a number for it would leave no room for.
        Otherwise::Words("2 kN/mm"),
        tolerances,
        Tolerances::default,
        arm_stiffness
    ),
    SizeRow {
        size: Size::AllowedShare,
        group: Group::Tolerances,
        words: ["Pairs", "that may bind, of a hundred"],
        quantity: Quantity::Plain,
        otherwise: Otherwise::Value(|p| Size::of_a_hundred(without(p, |p| p.tolerances = None).allowed_share())),
        given: |p| p.tolerances.as_ref().and_then(|given| given.allowed_share).map(Size::of_a_hundred).into(),
        put: |p, value| {
            if value.is_some() || p.tolerances.is_some() {
                p.tolerances.get_or_insert_default().allowed_share = value.map(|value| value / 100.0);
            }
        },
    },
    of_safeties!(BarsSafety, "Bars", "on yield, and against buckling", bars),
    of_safeties!(BearingsSafety, "Bearings", "static safety", bearings),
    of_safeties!(FixingsSafety, "Screws", "on their design values", fixings),
    of_safeties!(DriveSafety, "Motor", "on its torque", drive),
    of_shop!(SpindleTurns, "Spindle", "fastest", TurnRate, ShopFigure::MostTurns),
    of_shop!(EndMill1, "End mill 1", "diameter", Length, ShopFigure::Mill(0)),
    of_shop!(EndMill2, "End mill 2", "diameter", Length, ShopFigure::Mill(1)),
    of_shop!(EndMill3, "End mill 3", "diameter", Length, ShopFigure::Mill(2)),
    of_shop!(EndMill4, "End mill 4", "diameter", Length, ShopFigure::Mill(3)),
    of_shop!(MillTeeth, "End mills", "teeth", Count, ShopFigure::Teeth),
    of_shop!(MillReach, "End mills", "reach in diameters", Plain, ShopFigure::MillReach),
    of_shop!(RampAngle, "End mills", "ramp into the full", Angle, ShopFigure::Ramp),
    of_shop!(SetUpMinutes, "Setting up", "minutes", Plain, ShopFigure::SetUp),
    of_shop!(ToolChangeMinutes, "Changing a tool", "minutes", Plain, ShopFigure::ToolChange),
    of_shop!(MillSpeed, "Wall bar's material", "milling speed, m/min", Plain, ShopFigure::MillSpeed),
    of_shop!(DrillSpeed, "Wall bar's material", "drilling speed, m/min", Plain, ShopFigure::DrillSpeed),
    of_shop!(ChipShare, "Wall bar's material", "chips, share of those in aluminium", Plain, ShopFigure::ChipShare),
];

/// The project with one thing taken out, to ask it for its default.
fn without(project: &Project, take: impl Fn(&mut Project)) -> Project {
    let mut project = project.clone();
    take(&mut project);
    project
}

fn without_drive(project: &Project, take: impl Fn(&mut Drive)) -> Option<Drive> {
    let mut drive = project.drive.clone()?;
    take(&mut drive);
    Some(drive)
}

impl Size {
    /// A share told of a hundred; rounded, as the product of two decimals is not a decimal.
    pub(super) fn of_a_hundred(share: f64) -> f64 {
        (share * 1e8).round() / 1e6
    }

    /// Its row.
    pub(super) fn row(self) -> &'static SizeRow {
        // A test finds every size in the list.
        SIZES.iter().find(|row| row.size == self).unwrap_or(&SIZES[0])
    }
}
