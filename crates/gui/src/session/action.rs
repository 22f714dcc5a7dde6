//! What can be done to a session, in one place.
//!
//! Drawing reads the session and returns actions; [`super::Session::apply`] is the only thing that
//! carries them out. Three kinds: an [`Edit`] changes the project and can be undone, a
//! [`ViewAction`] changes what is looked at and never touches the history, a [`Command`] is what
//! menus and keys name.

use std::path::PathBuf;

use nalgebra::Vector2;
use overarm_solver::errors::Draws;
use overarm_solver::units::Fraction;
use overarm_solver::{PartName, Point, Rule};

use super::demos::Demo;
use super::handle::Handle;
use super::recovery::Version;
use super::setting::Setting;
use super::snaps::Reach;
use super::tape::TapeNote;
use super::where_it_holds::DrivePart;

/// Anything the window may ask for.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
    /// Changes the project.
    Edit(Edit),
    /// Changes what is looked at.
    View(ViewAction),
    /// A named command.
    Command(Command),
    /// An answer to what the session asks.
    Answer(Answer),
    /// Opens a file that was dropped on the window.
    OpenFile(PathBuf),
    /// Opens a demo.
    OpenDemo(Demo),
    /// Opens a folder that was made in whatever the desktop shows folders with.
    ShowFolder(PathBuf),
}

/// A change of the project.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Edit {
    /// Takes hold of a handle.
    Grab(Handle),
    /// Draws the held handle to where the pointer would have it.
    DragTo(Reach),
    /// Lets go: the whole drag is one step.
    Release,
    /// Gives the drag up: the project is as it was before.
    GiveUp,
    /// Moves a handle by a little, from the keyboard.
    Nudge(Handle, Vector2<f64>),
    /// Goes to a step of the history, by its number there.
    GoToStep(usize),
    /// Sets something beside the sketch.
    Set(Setting),
    /// Tries one of the moves that are offered for a rule, by its place among them.
    Try(Rule, usize),
}

/// What can be left out of the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Detail {
    /// What each bar gives way to the others, layer by layer.
    Reliefs,
    /// What panel and bars sweep.
    SweptArea,
    /// The strap and its drum.
    Strap,
    /// Weights, pull and hinge loads as arrows.
    Forces,
    /// Where hands and fingers are caught.
    PinchGaps,
    /// Where the panel's corners may lie.
    Errors,
}

impl Detail {
    /// Every one, in the order in which they are offered.
    pub const ALL: [Self; 6] =
        [Self::Reliefs, Self::SweptArea, Self::Strap, Self::Forces, Self::PinchGaps, Self::Errors];

    /// On its button.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Reliefs => "Reliefs",
            Self::SweptArea => "Swept area",
            Self::Strap => "Strap",
            Self::Forces => "Forces",
            Self::PinchGaps => "Pinch gaps",
            Self::Errors => "Errors",
        }
    }

    /// One sentence.
    #[must_use]
    pub fn help(self) -> &'static str {
        match self {
            Self::Reliefs => "Show where each bar gives way to the others, layer by layer.",
            Self::SweptArea => "Show what panel and bars sweep on their way.",
            Self::Strap => "Show the strap and its drum.",
            Self::Forces => "Show weights, the strap's pull and hinge loads as arrows, to scale, at the pose shown.",
            Self::PinchGaps => "Mark where a gap closes on a hand or a finger; told where it does at the pose shown.",
            Self::Errors => "Show where errors of parts within their tolerances let the panel's corners lie, enlarged.",
        }
    }
}

/// What is plotted over the travel; the figures beside it are of the pose shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Plotted {
    /// Tilt, transmission and distances to the room.
    #[default]
    Motion,
    /// The strap's pull, with and without friction.
    Pull,
    /// Torque at the drum.
    DrumTorque,
    /// Radial load of the four hinges.
    Hinges,
}

impl Plotted {
    /// Every one, in the order in which they are offered.
    pub const ALL: [Self; 4] = [Self::Motion, Self::Pull, Self::DrumTorque, Self::Hinges];

    /// Where it is chosen.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Motion => "Motion",
            Self::Pull => "Pull",
            Self::DrumTorque => "Drum torque",
            Self::Hinges => "Hinge loads",
        }
    }

    /// The one behind it in the list, the first behind the last.
    #[must_use]
    pub fn next(self) -> Self {
        let at = Self::ALL.iter().position(|other| *other == self).unwrap_or(0);
        Self::ALL[(at + 1) % Self::ALL.len()]
    }
}

/// A change of what is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ViewAction {
    /// Shows a pose, 0 hung, 1 parked.
    Travel(f64),
    /// Picks a rule, shows its worst pose and lights its place; none: no rule.
    Pick(Option<Rule>),
    /// Picks a bar, which is then shown alone; none: no bar.
    PickBar(Option<PartName>),
    /// Shows or hides something of the drawing.
    Show(Detail, bool),
    /// Shows where drum or strap's end could be; none: neither.
    Places(Option<DrivePart>),
    /// Draws errors of parts otherwise: how they lie within their tolerances, and from which seed.
    Draw(Draws),
    /// Plots something over the travel.
    Plot(Plotted),
    /// Moves the drawing under the eye, millimetres.
    Pan(Vector2<f64>),
    /// Zooms about a place of the side view that stays put.
    Zoom {
        /// The place.
        about: Point,
        /// Larger than 1: closer.
        factor: f64,
    },
    /// Brings a place into view.
    Reveal(Point),
    /// Takes the sentence at the top away.
    Dismiss,
    /// Notes a measurement on the form of the site.
    Note(TapeNote),
    /// Shows feet and inches to this part of an inch.
    ShowTo(Fraction),
}

/// An answer to [`super::Asking`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answer {
    /// The path as typed so far.
    Typed(String),
    /// Open a file dialog.
    Browse,
    /// Go on with the typed path.
    Accept,
    /// Go on although something is there already.
    Overwrite,
    /// Save first, then go on.
    SaveFirst,
    /// Go on and lose the changes.
    LoseChanges,
    /// Open a file that was opened before.
    OpenRecent(PathBuf),
    /// Look at one of two versions.
    Show(Version),
    /// Go on with one of two versions.
    Take(Version),
    /// Save under another name instead.
    SaveElsewhere,
    /// Read the file anew instead of saving.
    ReadAnew,
    /// Not now.
    Cancel,
}

/// What is waiting behind a question about unsaved changes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Then {
    /// Open this file.
    Open(PathBuf),
    /// Open this demo.
    OpenDemo(Demo),
    /// Close the window.
    Close,
}

/// A named command.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Command {
    /// Opens a project file.
    Open,
    /// Shows or hides the demos.
    Demos,
    /// Saves where the project is kept.
    Save,
    /// Saves somewhere else.
    SaveAs,
    /// Writes the job folder.
    Make,
    /// Takes the last step back.
    Undo,
    /// Does the step again.
    Redo,
    /// Lets a drag change what it changes.
    DragFreely,
    /// Lets a drag keep where the panel hangs and parks.
    KeepEndPoses,
    /// Lets a drag keep the four centre distances.
    KeepLengths,
    /// Runs the lift.
    Play,
    /// Shows the lift from the side.
    SideView,
    /// Shows the pair on the wall from the front.
    FrontView,
    /// Shows the eight parts.
    PartsView,
    /// Writes the view as a picture.
    Picture,
    /// Fits the lift into the drawing.
    FitLift,
    /// Fits the whole room into the drawing.
    FitRoom,
    /// Shows or hides the plots.
    TogglePlots,
    /// Shows the next plot.
    NextPlot,
    /// Shows or hides forces as arrows.
    Forces,
    /// Opens or closes the page of strap, drum, kick and motor.
    StrapPage,
    /// Opens or closes the page of bearings, seats and pins.
    HingesPage,
    /// Opens or closes the page of the screws in the wall.
    FixingsPage,
    /// Opens or closes the page of tolerances.
    TolerancesPage,
    /// Shows or hides where errors let the panel's corners lie.
    Errors,
    /// Reads what was measured on the parts.
    Measured,
    /// Shows or hides the list of steps.
    History,
    /// Shows or hides the list of everything that can be done.
    AllActions,
    /// Opens or closes the page of numbers.
    Numbers,
    /// Opens or closes the page of the site's measurements.
    Site,
    /// Changes between light and dark.
    Appearance,
    /// Follows the system's light or dark.
    FollowSystem,
    /// Makes text, and what goes with it, larger.
    LargerText,
    /// Makes it smaller.
    SmallerText,
    /// Gives it its usual size.
    UsualText,
    /// Slides and fades, or changes at once.
    ReduceMotion,
    /// Shows the hints for newcomers, or sends them away for good.
    Hints,
    /// Shows or hides what the program is and what it is built from.
    About,
    /// Closes the window.
    Close,
}

/// A key of the keyboard with its modifiers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shortcut {
    /// With Ctrl (Command on a Mac).
    pub ctrl: bool,
    /// With Shift.
    pub shift: bool,
    /// A letter, a figure or a sign.
    pub key: char,
}

impl Shortcut {
    /// As printed: `Ctrl+Shift+S`.
    #[must_use]
    pub fn words(self) -> String {
        let ctrl = if self.ctrl { "Ctrl+" } else { "" };
        let shift = if self.shift { "Shift+" } else { "" };
        // Signs are spelled: Ctrl++ is read twice before it is understood.
        match self.key {
            '+' => format!("{ctrl}{shift}plus"),
            '-' => format!("{ctrl}{shift}minus"),
            '=' => format!("{ctrl}{shift}equals"),
            key => format!("{ctrl}{shift}{key}"),
        }
    }
}

const fn plain(key: char) -> Option<Shortcut> {
    Some(Shortcut { ctrl: false, shift: false, key })
}

const fn shift(key: char) -> Option<Shortcut> {
    Some(Shortcut { ctrl: false, shift: true, key })
}

const fn ctrl(key: char) -> Option<Shortcut> {
    Some(Shortcut { ctrl: true, shift: false, key })
}

const fn ctrl_shift(key: char) -> Option<Shortcut> {
    Some(Shortcut { ctrl: true, shift: true, key })
}

/// What people see of a command.
#[derive(Clone, Copy, Debug)]
pub struct CommandWords {
    /// The command.
    pub command: Command,
    /// On its button.
    pub label: &'static str,
    /// Its key.
    pub shortcut: Option<Shortcut>,
    /// A second key, for other habits.
    pub other_shortcut: Option<Shortcut>,
    /// One sentence.
    pub help: &'static str,
}

/// Every command with its label, key and help.
pub const COMMANDS: &[CommandWords] = &[
    words(Command::Open, "Open", ctrl('O'), None, "Open a project file."),
    words(Command::Demos, "Demos", shift('D'), None, "Show or hide the demos: ready lifts in other rooms."),
    words(Command::Save, "Save", ctrl('S'), None, "Save the project: whole, or the file before it stays."),
    words(Command::SaveAs, "Save as", ctrl_shift('S'), None, "Save the project under another name."),
    words(
        Command::Make,
        "Make",
        ctrl('M'),
        None,
        "Write the job folder: a left and a right set of parts with their lists.",
    ),
    words(Command::Undo, "Undo", ctrl('Z'), None, "Take the last step back."),
    words(Command::Redo, "Redo", ctrl_shift('Z'), ctrl('Y'), "Do the step again."),
    words(
        Command::DragFreely,
        "Free",
        plain('1'),
        None,
        "Drag freely: nothing moves but what is dragged. The parked panel's handles move the wall pivots.",
    ),
    words(
        Command::KeepEndPoses,
        "Keep end poses",
        plain('2'),
        None,
        "Where the panel hangs and parks stays exactly as set: the pivot at the arm's other end follows along its bar.",
    ),
    words(
        Command::KeepLengths,
        "Keep lengths",
        plain('3'),
        None,
        "The four centre distances stay: pivots shift together, and the parked panel slides along its path.",
    ),
    words(Command::Play, "Play", plain('P'), None, "Run the lift from hung to parked, and back when it is parked."),
    words(Command::SideView, "Side", plain('4'), None, "Show the lift from the side, where it is dragged."),
    words(Command::FrontView, "Front", plain('5'), None, "Show the pair on the wall from the front, to scale."),
    words(Command::PartsView, "Parts", plain('6'), None, "Show the eight parts, left and right side by side."),
    words(
        Command::Picture,
        "Picture",
        ctrl('P'),
        None,
        "Write the view as a picture for the client, SVG or PNG, at the pose shown.",
    ),
    words(Command::FitLift, "Fit lift", plain('F'), None, "Fit the lift and what it sweeps into the drawing."),
    words(Command::FitRoom, "Fit room", shift('F'), None, "Fit the whole room into the drawing."),
    words(Command::TogglePlots, "Plots", plain('G'), None, "Show or hide the plots over the travel."),
    words(
        Command::NextPlot,
        "Next plot",
        shift('G'),
        None,
        "Plot the next over the travel: motion, pull, drum torque, hinge loads.",
    ),
    words(
        Command::Forces,
        "Forces on the drawing",
        plain('L'),
        None,
        "Show or hide weights, the strap's pull and hinge loads as arrows, to scale.",
    ),
    words(
        Command::StrapPage,
        "Strap and motor",
        plain('S'),
        None,
        "Open or close the page of strap, drum, kick and motor, with what comes of them.",
    ),
    words(
        Command::HingesPage,
        "Hinges and fits",
        plain('B'),
        None,
        "Open or close the page of bearings, seats and pins, with bores to cut and safety.",
    ),
    words(
        Command::FixingsPage,
        "Fixings",
        plain('W'),
        None,
        "Open or close the page of the screws in the wall, with what they hold.",
    ),
    words(
        Command::TolerancesPage,
        "Tolerances",
        plain('E'),
        None,
        "Open or close the page of errors of parts: whether it hangs flat, whether the pair binds, how exact is enough.",
    ),
    words(
        Command::Errors,
        "Errors on the drawing",
        shift('E'),
        None,
        "Show or hide where errors of parts let the panel's corners lie, enlarged.",
    ),
    words(
        Command::Measured,
        "Open measured parts",
        None,
        None,
        "Read the filled-in inspection.csv: what these parts will do, which to swap, shim or make anew.",
    ),
    words(Command::History, "History", plain('H'), None, "Show or hide the steps; any of them can be gone to."),
    words(
        Command::AllActions,
        "All actions",
        plain('A'),
        ctrl_shift('A'),
        "Show or hide everything that can be done; type to find it.",
    ),
    words(Command::Numbers, "Numbers", plain('N'), None, "Open or close the page of every number beside the drawing."),
    words(
        Command::Site,
        "Site",
        plain('T'),
        None,
        "Open or close the page for a tape's measurements: ceiling, soffit, beam, lamp, door.",
    ),
    words(
        Command::Appearance,
        "Light or dark",
        plain('D'),
        None,
        "Change between light and dark; until then the system decides.",
    ),
    words(Command::FollowSystem, "As the system", None, None, "Light or dark as the system has it."),
    words(Command::LargerText, "Larger text", ctrl('+'), ctrl('='), "Make text larger, up to twice its usual size."),
    words(Command::SmallerText, "Smaller text", ctrl('-'), None, "Make text smaller, down to its usual size."),
    words(Command::UsualText, "Usual text", ctrl('0'), None, "Give text its usual size."),
    words(
        Command::ReduceMotion,
        "Reduce motion",
        None,
        None,
        "Let things change at once instead of sliding and fading; Play goes from place to place.",
    ),
    words(Command::Hints, "Hints", None, None, "Show three hints for the first steps, or send them away for good."),
    words(Command::About, "About", None, None, "Show version, cautions and licences."),
    words(Command::Close, "Close", ctrl('W'), None, "Close the window."),
];

const fn words(
    command: Command,
    label: &'static str,
    shortcut: Option<Shortcut>,
    other_shortcut: Option<Shortcut>,
    help: &'static str,
) -> CommandWords {
    CommandWords { command, label, shortcut, other_shortcut, help }
}

impl Command {
    /// What people see of it.
    #[must_use]
    pub fn words(self) -> CommandWords {
        COMMANDS.iter().find(|words| words.command == self).copied().unwrap_or(COMMANDS[0])
    }

    /// Whether it writes or leaves the project as it stands.
    #[must_use]
    pub fn is_about_files(self) -> bool {
        matches!(
            self,
            Self::Open | Self::Save | Self::SaveAs | Self::Make | Self::Picture | Self::Measured | Self::Close
        )
    }

    /// Help with the key behind it.
    #[must_use]
    pub fn hint(self) -> String {
        let words = self.words();
        match words.shortcut {
            Some(shortcut) => format!("{} {}", words.help, shortcut.words()),
            None => words.help.to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_command_is_in_the_list_once_and_no_key_means_two_things() {
        for words in COMMANDS {
            assert_eq!(COMMANDS.iter().filter(|other| other.command == words.command).count(), 1);
        }
        let keys: Vec<Shortcut> = COMMANDS.iter().flat_map(|w| [w.shortcut, w.other_shortcut]).flatten().collect();
        for (index, key) in keys.iter().enumerate() {
            assert!(!keys[index + 1..].contains(key), "{}", key.words());
        }
    }
}
