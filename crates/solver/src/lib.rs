//! The computations of a wall lift: a heavy panel that hangs flat on a wall and swings up and over
//! on four bars a side.
//!
//! One way through: a [`Project`] is plain data; [`analyse`] computes everything about it and
//! returns an [`Analysis`]; windows and files only read both. Millimetres and radians inside,
//! degrees where a name says so. No files, no clock, no window here.
//!
//! # Two examples
//!
//! A rule with its margin:
//! ```
//! # use overarm_solver::{Options, Project, Rule, analyse};
//! # let text = include_str!("../../../demo/chapel-hatch.overarm.json");
//! let project: Project = serde_json::from_str(text).unwrap();
//! project.validate().unwrap();
//! let analysis = analyse(&project, &Options::default());
//! let room = analysis.rules.iter().find(|found| found.rule == Rule::ClearsRoom).unwrap();
//! assert_eq!(room.holds, Some(true));
//! ```
//! The panel half way up:
//! ```
//! # use overarm_solver::{Options, Project, analyse};
//! # let text = include_str!("../../../demo/chapel-hatch.overarm.json");
//! # let project: Project = serde_json::from_str(text).unwrap();
//! let analysis = analyse(&project, &Options { poses: 2, swept: false });
//! let pose = analysis.pose_at(0.5);
//! assert!(pose.tilt.to_degrees() > 5.0);
//! assert!(analysis.lift.closure_residual(&pose) < 1e-9);
//! ```
//!
//! # Contents, in reading order
//!
//! 1. [`project`] what the user owns; [`validate`] what is refused; [`site`] the room from a tape's
//!    measurements; [`units`] how numbers are shown, and how typed ones are read
//! 2. [`class`], [`circuit`], [`lift`], [`pose`] the linkage in closed form;
//!    [`loop_equations`] the same as general equations with their Jacobian
//! 3. [`travel`] the path from hung to parked; [`two_poses`] pivots that fit both its ends;
//!    `certify` proofs over a continuous stretch of it, `turns` bounds on motion for them
//! 4. Shapes and distances: [`room`], `placed`, `distance`, `edge_tree`, `depth`, `swept_arm`,
//!    `swept_rectangle`; [`clearance`] the least to the room, [`own_clearance`] between the lift's own
//!    parts; [`swept`] outlines; [`uncovering`] what is free when parked
//! 5. The stop: [`contact`] first touches, [`stop`] the one that stops it, with its [`stop_land`],
//!    `stop_shoulder` or `stop_pin`; [`stop_pressure`] there
//! 6. The strap: [`drum`] what is wound; [`strap`] what is taken in along the travel;
//!    [`strap_clearance`] what both pass; [`start`], [`kick_device`] and [`drive_places`] what gets it
//!    off the wall; [`drive_train`] to the motor, [`drive_figures`], [`stall`]
//! 7. Forces: [`masses`], [`free_body`], [`statics`], [`forces`] at every pose, [`force_arrows`];
//!    [`sideways`] a push along the wall; [`fall`] if the strap parts, [`pinch`] whom a gap catches
//! 8. Bars: [`outline`], `relief`, [`solids`] in layers, [`along_wall`] where they lie there;
//!    [`materials`], [`section`], `net_sections`, [`buckling`], [`strength`]; [`mod@parts`] what is made
//! 9. Hinges: [`bearings`] by name, the user's own, [`bearing_ratings`]; [`limits`] of holes and
//!    shafts, the [`seat`] to cut for a bearing, [`press_fit`] what pressing it in does
//! 10. Fixings: [`screws`], [`screw_lateral`], [`screw_joint`] one in the wall, [`screw_group`] all of
//!     a wall bar's, [`fixing_loads`] over the travel
//! 11. [`errors`] of made parts: whether it hangs flat and the pair runs free, drawn or as measured
//! 12. [`rules`] what must hold, [`mod@failing_stretches`] where it does not; [`analysis`] all of it
//!     at once; [`findings`] for files and scripts
#![deny(missing_docs)]

pub mod along_wall;
pub mod analysis;
pub mod bearing_ratings;
pub mod bearings;
pub mod buckling;
mod certify;
pub mod circuit;
pub mod class;
pub mod clearance;
pub mod contact;
mod depth;
mod distance;
pub mod drive_figures;
pub mod drive_places;
pub mod drive_train;
pub mod drum;
mod edge_tree;
pub mod errors;
pub mod failing_stretches;
pub mod fall;
pub mod findings;
pub mod fixing_loads;
pub mod force_arrows;
pub mod forces;
pub mod free_body;
mod handedness;
pub mod kick_device;
pub mod lift;
pub mod limits;
pub mod loop_equations;
pub mod masses;
pub mod materials;
mod net_sections;
pub mod outline;
pub mod own_clearance;
pub mod parts;
mod peak;
pub mod pinch;
mod placed;
pub mod pose;
pub mod press_fit;
pub mod project;
mod relief;
pub mod room;
pub mod rules;
#[cfg(test)]
mod samples;
pub mod screw_group;
pub mod screw_joint;
pub mod screw_lateral;
pub mod screws;
pub mod seat;
pub mod section;
pub mod sideways;
pub mod solids;
pub mod stall;
pub mod start;
pub mod statics;
pub mod stop;
pub mod stop_land;
mod stop_pin;
pub mod stop_pressure;
mod stop_shoulder;
pub mod strap;
pub mod strap_clearance;
pub mod strength;
pub mod swept;
mod swept_arm;
mod swept_rectangle;
pub mod tolerance;
pub mod travel;
mod turns;
pub mod two_poses;
pub mod uncovering;
pub mod units;
pub mod validate;

pub use analysis::{Analysis, Options, PoseFigures, analyse};
pub use bearing_ratings::{BallSet, static_safety};
pub use bearings::{Bearing, Listed};
pub use buckling::{Buckling, Strut};
pub use circuit::Circuit;
pub use class::Class;
pub use clearance::{Clearance, Clearances};
pub use contact::Contact;
pub use drive_figures::DriveFigures;
pub use drive_places::{DrivePlace, DrivePlaces};
pub use drive_train::{BackDriving, Gear, GearRefused, Worm, back_driving_by_lead};
pub use drum::Drum;
pub use failing_stretches::{FailingStretch, failing_stretches};
pub use fall::{BodyPart, Fall};
pub use findings::Findings;
pub use fixing_loads::{FixingLoads, WorstScrew};
pub use force_arrows::{ArrowOf, ForceArrow};
pub use forces::{Forces, LeastOnTheWay, Rest};
pub use free_body::{Actions, Balance, Pins, Wrench};
pub use kick_device::{KickChoice, KickDevice, RollerCam, SpringPlunger};
pub use lift::{ArmName, Lengths, Lift, Rectangle};
pub use limits::{Feature, Limits, NoLimits, ToleranceClass};
pub use masses::{BarMass, GRAVITY, Masses, UnknownMaterial};
pub use materials::{MATERIALS, Material};
pub use outline::Vertex;
pub use own_clearance::OwnClearance;
pub use parts::{
    Bore, BoreStep, Characteristic, Countersink, DEFAULT_KERF_MM, DEFAULT_STOCK_LENGTH_MM, EDGE_BREAK_MM, Edge,
    Engraving, Gauge, Hand, HingeBore, Mouth, Part, PartLayer, Pocket, PocketCorner, PocketKind, ScrewHole, Split,
    SplitEdge, StepKind, Stock, ToNext, area_within, least_wall, parts, pivot_bore,
};
pub use pinch::{Pinch, pinches};
pub use pose::{Pose, Rates};
pub use press_fit::{ALUMINIUM, BEARING_STEEL, Elastic, PressFit, Pressed, play_left};
pub use project::*;
pub use room::RoomShape;
pub use rules::{Rule, RuleFinding};
pub use screw_group::{HingeLoad, NoGroup, ScrewLoad, ScrewedBar};
pub use screw_joint::{Holding, NoJoint, WoodJoint};
pub use screws::{Conditions, Screw, ScrewRefused};
pub use seat::{NoSeat, Seat, SeatFit, pin_interference, smallest_hub};
pub use section::{Block, Section, Stress};
pub use sideways::{PUSH_N, Sideways};
pub use solids::{BarSolid, Layer, LayerShape, SharedLayers, Solids};
pub use stall::Stall;
pub use start::{MOVED_MM, Moved, MovedPlace, Push, Start};
pub use statics::{ComingDown, ForcesAt, HINGES, Loads};
pub use stop::{Stop, StopKind};
pub use stop_land::{Land, LandOffer};
pub use stop_pressure::StopPressure;
pub use strap::{Strap, StrapAt};
pub use strap_clearance::StrapClearance;
pub use strength::{BarStrength, PinStress, Strength, WorstPress, WorstSection};
pub use swept::{Region, Swept};
pub use travel::{Event, EventKind, Travel};
pub use two_poses::{Displacement, Line, NotFixed, NotParked, SecondPivot, TwoPoses, travel_to};
pub use uncovering::{Seen, Uncovering};
pub use units::{MM_PER_INCH, show_compared, show_fine, show_length, show_signed_margin, shows_as_nothing};
pub use validate::Refusal;
