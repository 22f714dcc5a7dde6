//! Measures of a lift that a move may change: what each is called, by what steps it goes, and how it
//! is put.

use nalgebra::Vector2;
use overarm_solver::units::number;
use overarm_solver::{Project, Rule, TravelWanted, Units, show_length};

/// A tenth of a degree: what is asked of a travel.
const TURN_STEP_DEG: f64 = 0.1;

/// By what a measure is changed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Step {
    /// In the project's own unit.
    pub(super) size: f64,
    unit: StepUnit,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum StepUnit {
    Length,
    Degrees,
    Plain,
    /// A unit and its decimals.
    Named(&'static str, usize),
}

impl Step {
    /// An amount as text.
    pub(super) fn shown(self, by: f64, units: Units) -> String {
        match self.unit {
            StepUnit::Length => show_length(by, units),
            StepUnit::Degrees => degrees(by),
            StepUnit::Plain => number(by, 0),
            StepUnit::Named(unit, decimals) => format!("{} {unit}", number(by, decimals)),
        }
    }
}

/// One measure and the way in which it is changed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Measure {
    LowerUpperWallPivot,
    LowerWallPivots,
    RaiseWallPivots,
    UpperWallPivotOut,
    UpperWallPivotIn,
    LowerWallPivotOut,
    LowerWallPivotIn,
    UpperPanelPivotUp,
    UpperPanelPivotDown,
    LowerPanelPivotUp,
    LowerPanelPivotDown,
    UpperPanelPivotBack,
    LowerPanelPivotBack,
    LiftHigher,
    LiftLower,
    HangFurtherOut,
    NarrowerArms,
    NarrowerPanelBar,
    LessTravel,
    MoreTravel,
    DrumOut,
    DrumUp,
    DrumDown,
    AnchorBack,
    GearDown,
    StrongerMotor,
    StrongerStrap,
    WiderArms,
    DeeperBars,
    WiderWallBar,
    WiderPanelBar,
    MoreScrews,
    ThickerScrews,
    LongerThread,
    LowerRest,
    LongerWallBarDown,
    LongerWallBarUp,
    LongerPanelBarDown,
    LongerPanelBarUp,
    ScrewsApart,
    FewerDeadWraps,
    WeakerMotor,
}

/// What is tried for a rule, the likeliest first.
pub(super) fn measures(rule: Rule) -> &'static [Measure] {
    use Measure as M;
    match rule {
        Rule::ClearsRoom => &[M::LowerUpperWallPivot, M::LessTravel, M::LowerWallPivots, M::LiftLower],
        Rule::Uncovers => &[M::MoreTravel, M::LiftHigher, M::UpperPanelPivotDown, M::LowerPanelPivotUp],
        Rule::ClearsWall => &[M::HangFurtherOut, M::UpperPanelPivotBack, M::LowerWallPivotOut, M::UpperWallPivotOut],
        Rule::ClearsItself => &[
            M::NarrowerArms,
            M::NarrowerPanelBar,
            M::LowerWallPivotIn,
            M::LowerWallPivotOut,
            M::LessTravel,
            M::UpperPanelPivotUp,
            M::LowerPanelPivotDown,
        ],
        Rule::Assembles => &[M::LessTravel, M::UpperPanelPivotUp, M::UpperPanelPivotDown],
        Rule::HangsFlat => &[M::UpperWallPivotOut, M::UpperWallPivotIn, M::LowerPanelPivotBack, M::UpperPanelPivotBack],
        Rule::StopsOnFold => &[M::UpperPanelPivotUp, M::UpperPanelPivotDown, M::LowerPanelPivotUp],
        Rule::Starts => &[M::DrumOut, M::AnchorBack, M::StrongerStrap],
        Rule::DriveCopes => &[M::GearDown, M::StrongerMotor, M::StrongerStrap, M::WeakerMotor, M::DrumOut],
        Rule::Winds => &[M::FewerDeadWraps, M::DrumOut, M::DrumUp, M::DrumDown, M::AnchorBack],
        Rule::StaysDown => &[M::UpperWallPivotOut, M::LowerWallPivotIn, M::LowerRest, M::UpperPanelPivotUp],
        Rule::ComesDown => &[M::LessTravel, M::UpperWallPivotOut, M::LowerWallPivotIn, M::UpperPanelPivotUp],
        Rule::BearingsHold => &[M::WeakerMotor, M::UpperWallPivotOut, M::RaiseWallPivots],
        Rule::BarsHold => &[M::WeakerMotor, M::WiderArms, M::DeeperBars, M::WiderWallBar, M::WiderPanelBar],
        Rule::FixingsHold => &[M::MoreScrews, M::ThickerScrews, M::LongerThread],
        Rule::CanBeMade => &[
            M::LongerWallBarDown,
            M::LongerWallBarUp,
            M::LongerPanelBarDown,
            M::LongerPanelBarUp,
            M::ScrewsApart,
            M::DeeperBars,
            M::WiderArms,
            M::WiderWallBar,
            M::WiderPanelBar,
        ],
        Rule::PairRunsFree => &[],
    }
}

impl Measure {
    /// By what it is changed, and how that is told.
    pub(super) fn step(self, units: Units) -> Step {
        let step = |size, unit| Step { size, unit };
        match self {
            Self::LessTravel | Self::MoreTravel => step(TURN_STEP_DEG, StepUnit::Degrees),
            Self::GearDown | Self::MoreScrews => step(1.0, StepUnit::Plain),
            Self::FewerDeadWraps => step(0.5, StepUnit::Named("turns", 1)),
            Self::StrongerMotor | Self::WeakerMotor => step(0.05, StepUnit::Named("N·m", 2)),
            Self::StrongerStrap => step(10.0, StepUnit::Named("N", 0)),
            _ => step(tape_step(units), StepUnit::Length),
        }
    }

    /// What is done, with the amount as text.
    pub(super) fn words(self, by: &str) -> String {
        match self {
            Self::LowerUpperWallPivot => format!("Lower the upper wall pivot by {by}"),
            Self::LowerWallPivots => format!("Lower both wall pivots by {by}"),
            Self::RaiseWallPivots => format!("Raise both wall pivots by {by}"),
            Self::UpperWallPivotOut => format!("Move the upper wall pivot {by} away from the wall"),
            Self::UpperWallPivotIn => format!("Move the upper wall pivot {by} towards the wall"),
            Self::LowerWallPivotOut => format!("Move the lower wall pivot {by} away from the wall"),
            Self::LowerWallPivotIn => format!("Move the lower wall pivot {by} towards the wall"),
            Self::UpperPanelPivotUp => format!("Move the upper panel pivot {by} up the panel"),
            Self::UpperPanelPivotDown => format!("Move the upper panel pivot {by} down the panel"),
            Self::LowerPanelPivotUp => format!("Move the lower panel pivot {by} up the panel"),
            Self::LowerPanelPivotDown => format!("Move the lower panel pivot {by} down the panel"),
            Self::UpperPanelPivotBack => format!("Move the upper panel pivot {by} nearer the wall"),
            Self::LowerPanelPivotBack => format!("Move the lower panel pivot {by} nearer the wall"),
            Self::LiftHigher => format!("Hang the whole lift {by} higher"),
            Self::LiftLower => format!("Hang the whole lift {by} lower"),
            Self::HangFurtherOut => format!("Hang the panel {by} further from the wall"),
            Self::NarrowerArms => format!("Make both arms {by} narrower"),
            Self::NarrowerPanelBar => format!("Make the panel bar {by} narrower"),
            Self::LessTravel => format!("Let it travel {by} less"),
            Self::MoreTravel => format!("Let it travel {by} more"),
            Self::DrumOut => format!("Move the drum {by} away from the wall"),
            Self::DrumUp => format!("Move the drum {by} up"),
            Self::DrumDown => format!("Move the drum {by} down"),
            Self::AnchorBack => format!("Move the strap's anchor {by} nearer the wall"),
            Self::GearDown => format!("Gear the motor down further: by {by} turns more for one of the drum"),
            Self::StrongerMotor => format!("Take a motor with {by} more torque"),
            Self::StrongerStrap => format!("Take a strap that may pull {by} more"),
            Self::WiderArms => format!("Make both arms {by} wider"),
            Self::DeeperBars => format!("Make all four bars {by} deeper"),
            Self::WiderWallBar => format!("Make the wall bar {by} wider"),
            Self::WiderPanelBar => format!("Make the panel bar {by} wider"),
            Self::MoreScrews => format!("Put {by} more in each wall bar's row of screws"),
            Self::ThickerScrews => format!("Take screws {by} thicker"),
            Self::LongerThread => format!("Take screws whose thread reaches {by} deeper"),
            Self::LowerRest => format!("Put the panel's lower rest {by} lower"),
            Self::LongerWallBarDown => format!("Let the wall bar go {by} further down"),
            Self::LongerWallBarUp => format!("Let the wall bar go {by} further up"),
            Self::LongerPanelBarDown => format!("Let the panel bar go {by} further down"),
            Self::LongerPanelBarUp => format!("Let the panel bar go {by} further up"),
            Self::ScrewsApart => format!("Put the wall bar's screws {by} further apart"),
            Self::FewerDeadWraps => format!("Keep {by} less of the strap on the drum"),
            Self::WeakerMotor => format!("Take a motor with {by} less torque, or limit its current"),
        }
    }

    /// The project with the measure changed by mm or degrees; `None` where it has no such measure.
    pub(super) fn put(self, project: &Project, by: f64) -> Option<Project> {
        let mut changed = project.clone();
        let linkage = &mut changed.linkage;
        match self {
            Self::LowerUpperWallPivot => linkage.wall_upper.y -= by,
            Self::LowerWallPivots => {
                linkage.wall_upper.y -= by;
                linkage.wall_lower.y -= by;
            }
            Self::RaiseWallPivots => {
                linkage.wall_upper.y += by;
                linkage.wall_lower.y += by;
            }
            Self::UpperWallPivotOut => linkage.wall_upper.x += by,
            Self::UpperWallPivotIn => linkage.wall_upper.x -= by,
            Self::LowerWallPivotOut => linkage.wall_lower.x += by,
            Self::LowerWallPivotIn => linkage.wall_lower.x -= by,
            Self::UpperPanelPivotUp => linkage.panel_upper.y += by,
            Self::UpperPanelPivotDown => linkage.panel_upper.y -= by,
            Self::LowerPanelPivotUp => linkage.panel_lower.y += by,
            Self::LowerPanelPivotDown => linkage.panel_lower.y -= by,
            Self::UpperPanelPivotBack => linkage.panel_upper.x -= by,
            Self::LowerPanelPivotBack => linkage.panel_lower.x -= by,
            Self::LiftHigher => shift_up(&mut changed, by),
            Self::LiftLower => shift_up(&mut changed, -by),
            Self::HangFurtherOut => changed.panel.hung.standoff += by,
            Self::NarrowerArms => {
                changed.bars.lower_arm.width -= by;
                changed.bars.upper_arm.width -= by;
            }
            Self::NarrowerPanelBar => changed.bars.panel_bar.width -= by,
            Self::LessTravel | Self::MoreTravel => {
                let TravelWanted::Degrees(turn) = linkage.travel_deg else { return None };
                let by = if self == Self::MoreTravel { by } else { -by };
                // To what can be read off: tenths of a degree.
                let size = ((turn.abs() + by) / TURN_STEP_DEG).round() * TURN_STEP_DEG;
                linkage.travel_deg = TravelWanted::Degrees(size.max(TURN_STEP_DEG).copysign(turn));
            }
            Self::DrumOut => changed.drive.as_mut()?.drum_centre.x += by,
            Self::DrumUp => changed.drive.as_mut()?.drum_centre.y += by,
            Self::DrumDown => changed.drive.as_mut()?.drum_centre.y -= by,
            Self::AnchorBack => changed.drive.as_mut()?.anchor.x -= by,
            Self::GearDown => *changed.drive.as_mut()?.motor.as_mut()?.ratio.as_mut()? += by,
            Self::StrongerMotor => *changed.drive.as_mut()?.motor.as_mut()?.torque.as_mut()? += by,
            Self::StrongerStrap => *changed.drive.as_mut()?.strap_limit.as_mut()? += by,
            Self::WiderArms => {
                changed.bars.lower_arm.width += by;
                changed.bars.upper_arm.width += by;
            }
            Self::DeeperBars => {
                let bars = &mut changed.bars;
                let depths = [
                    &mut bars.wall_bar.depth,
                    &mut bars.panel_bar.depth,
                    &mut bars.lower_arm.depth,
                    &mut bars.upper_arm.depth,
                ];
                depths.into_iter().for_each(|depth| *depth += by);
            }
            Self::WiderWallBar => changed.bars.wall_bar.width += by,
            Self::WiderPanelBar => changed.bars.panel_bar.width += by,
            // A handful: the rows of a wall bar are short.
            Self::MoreScrews if by <= 8.0 => {
                let fixings = changed.fixings.as_mut()?;
                let (count, spacing) = (fixings.count?, fixings.spacing?);
                #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a whole number up to 8
                let more = count + by as u32;
                // The row keeps its length.
                fixings.spacing = Some(spacing * f64::from(count.max(2) - 1) / f64::from(more - 1));
                fixings.count = Some(more);
            }
            Self::MoreScrews => return None,
            Self::ThickerScrews => *changed.fixings.as_mut()?.diameter.as_mut()? += by,
            Self::LongerThread => *changed.fixings.as_mut()?.thread_length.as_mut()? += by,
            Self::LongerWallBarDown => changed.bars.wall_bar.lower_end += by,
            Self::LongerWallBarUp => changed.bars.wall_bar.upper_end += by,
            Self::LongerPanelBarDown => changed.bars.panel_bar.lower_end += by,
            Self::LongerPanelBarUp => changed.bars.panel_bar.upper_end += by,
            Self::ScrewsApart => *changed.fixings.as_mut()?.spacing.as_mut()? += by,
            Self::FewerDeadWraps => {
                let wraps = changed.drive.as_mut()?.dead_wraps.as_mut()?;
                *wraps -= by;
                // Fewer than one and a half slip (common practice).
                if *wraps < 1.5 {
                    return None;
                }
            }
            Self::WeakerMotor => {
                let torque = changed.drive.as_mut()?.motor.as_mut()?.torque.as_mut()?;
                *torque -= by;
                if *torque <= 0.0 {
                    return None;
                }
            }
            Self::LowerRest => {
                let [low, high] = changed.panel.rests();
                if by > low {
                    return None;
                }
                changed.panel.rests = Some([low - by, high]);
            }
        }
        Some(changed)
    }
}

/// The whole lift up the wall: panel, wall pivots, drum.
pub(super) fn shift_up(project: &mut Project, by: f64) {
    let up = Vector2::new(0.0, by);
    project.panel.hung.bottom += by;
    project.linkage.wall_lower += up;
    project.linkage.wall_upper += up;
    if let Some(drive) = &mut project.drive {
        drive.drum_centre += up;
    }
}

/// What a tape shows, mm.
pub(super) fn tape_step(units: Units) -> f64 {
    match units {
        Units::Millimetre => 0.5,
        Units::Inch | Units::FeetInch => 25.4 / 16.0,
    }
}

pub(super) fn degrees(angle: f64) -> String {
    let text = format!("{angle:.2}");
    format!("{}°", text.trim_end_matches('0').trim_end_matches('.').replace('-', "−"))
}
