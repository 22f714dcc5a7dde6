//! A map of the places where a held handle lets every geometric rule hold.
//!
//! Worked out on a thread of its own, coarse cells first and then finer ones along the border. A map
//! belongs to one hold: when another is taken, or none, what is under way is given up and its map
//! is gone.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Sender, channel};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use std::time::{Duration, Instant};

use overarm_solver::{Analysis, DrivePlaces, Options, Point, Project, Rule, analyse};

use super::dragging::Held;
use super::handle::Handle;
use super::jobs::Wake;

/// Rules that follow from where the pivots are.
pub const GEOMETRIC: [Rule; 7] = [
    Rule::Assembles,
    Rule::HangsFlat,
    Rule::Uncovers,
    Rule::ClearsRoom,
    Rule::ClearsWall,
    Rule::ClearsItself,
    Rule::StopsOnFold,
];

/// Cells along a side at first: coarse enough to be there after a moment.
const COARSE: usize = 12;
/// How often they are halved: to a point or two of the screen.
const HALVINGS: u32 = 4;
/// No more news than this, so that a frame has its time.
const NEWS_APART: Duration = Duration::from_millis(120);

/// How often a halted map looks whether it may go on.
const PAUSE: Duration = Duration::from_millis(5);

/// By how much each geometric rule holds at a place, in its own unit; negative where it fails,
/// infinite where no number says it.
type Margins = [f64; GEOMETRIC.len()];

/// What is known of a cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cell {
    /// Nothing yet.
    Unknown,
    /// Looked at in one place, its own or its parent's.
    Known(Margins),
}

impl Cell {
    /// Whether every geometric rule holds where it was looked at.
    #[must_use]
    pub fn holds(&self) -> bool {
        matches!(self, Self::Known(margins) if margins.iter().all(|margin| *margin >= 0.0))
    }
}

/// The map: square cells over a square of the side view.
#[derive(Clone, Debug, PartialEq)]
pub struct Map {
    /// Its corner with the smallest coordinates, side view.
    pub least: Point,
    /// Side of a cell, mm.
    pub size: f64,
    /// Cells along each side.
    pub side: usize,
    /// Row by row from the least corner.
    pub cells: Vec<Cell>,
    /// Whether nothing finer is to come.
    pub finished: bool,
}

impl Map {
    /// Whether every geometric rule holds in a column and a row.
    #[must_use]
    pub fn holds(&self, column: usize, row: usize) -> bool {
        self.cells.get(row * self.side + column).is_some_and(Cell::holds)
    }

    /// Whether any cell holds.
    #[must_use]
    pub fn holds_somewhere(&self) -> bool {
        self.cells.iter().any(Cell::holds)
    }

    #[allow(clippy::cast_precision_loss)] // a few hundred
    fn middle(&self, column: usize, row: usize) -> Point {
        self.least + nalgebra::Vector2::new(column as f64 + 0.5, row as f64 + 0.5) * self.size
    }

    /// Where a cell is looked at: in its middle, or at the place where the handle was, which may be
    /// the only one of its kind.
    fn looked_at(&self, column: usize, row: usize, start: Point) -> Point {
        let middle = self.middle(column, row);
        if (start - middle).amax() <= 0.5 * self.size { start } else { middle }
    }

    /// The same square in cells of half the size, each as its parent; and those that have to be
    /// looked at, because around their parent not everything holds but everything may.
    fn halved(&self, start: Point) -> (Self, Vec<(usize, usize)>) {
        let side = 2 * self.side;
        let mut finer = Self { size: 0.5 * self.size, side, cells: Vec::with_capacity(side * side), ..self.clone() };
        let open: Vec<bool> = (0..self.cells.len()).map(|at| self.is_open(at % self.side, at / self.side)).collect();
        let mut todo = Vec::new();
        for row in 0..side {
            for column in 0..side {
                let parent = row / 2 * self.side + column / 2;
                finer.cells.push(self.cells[parent]);
                if open[parent] || finer.looked_at(column, row, start) == start {
                    todo.push((column, row));
                }
            }
        }
        (finer, todo)
    }

    /// Whether a cell may hold places of both kinds, judged from itself and its neighbours: some rule
    /// fails there, and none fails by so much that its changes from cell to cell could not make it hold.
    fn is_open(&self, column: usize, row: usize) -> bool {
        let near = |at: usize| at.saturating_sub(1)..=(at + 1).min(self.side - 1);
        let around: Vec<Margins> = near(row)
            .flat_map(|row| near(column).map(move |column| row * self.side + column))
            .filter_map(|at| match self.cells[at] {
                Cell::Known(margins) => Some(margins),
                Cell::Unknown => None,
            })
            .collect();
        let all_hold = around.iter().flatten().all(|margin| *margin >= 0.0);
        let may_hold = (0..GEOMETRIC.len()).all(|rule| {
            let margins = || around.iter().map(|margins| margins[rule]);
            let greatest = margins().fold(f64::NEG_INFINITY, f64::max);
            let least = margins().filter(|margin| margin.is_finite()).fold(f64::INFINITY, f64::min);
            // Half the spread over three cells is more than the margin changes from one middle to the next.
            greatest >= 0.0 || (greatest.is_finite() && greatest + 0.5 * (greatest - least) >= 0.0)
        });
        may_hold && !all_hold
    }
}

/// By how much each rule holds with something at a place.
type Judge = Box<dyn Fn(Point) -> Margins + Send>;

/// A map's place in the work: what for, which square.
struct Job {
    number: u64,
    judge: Judge,
    /// Where it is now.
    start: Point,
    middle: Point,
    half: f64,
    halvings: u32,
}

/// The worker, and the map it has got to.
pub struct WhereItHolds {
    jobs: Option<Sender<Job>>,
    wake: Wake,
    /// The number of the map that is wanted; another one is given up.
    wanted: Arc<AtomicU64>,
    found: Arc<Mutex<Option<Arc<Map>>>>,
    /// Set while something else needs the machine more.
    paused: Arc<AtomicBool>,
    /// Middle and half side of the square that was asked for.
    asked: Option<(Point, f64)>,
    halvings: u32,
}

impl WhereItHolds {
    /// Nothing is worked out yet, and no thread runs; `wake` is called when there is news.
    #[must_use]
    pub fn new(wake: Wake) -> Self {
        Self {
            jobs: None,
            wake,
            wanted: Arc::default(),
            found: Arc::default(),
            paused: Arc::default(),
            asked: None,
            halvings: HALVINGS,
        }
    }

    /// Asks for the map of a hold, in a square about a place with sides of 2 · `half` mm.
    pub fn ask(&mut self, held: &Held, middle: Point, half: f64) {
        let (start, held) = (held.place(), held.clone());
        self.work_out(start, Box::new(move |place| margins(&held, place)), middle, half);
    }

    /// Asks for the map of places of drum or strap's end from which the strap starts and raises the
    /// lift within its limit, without a push; in a square about where it is now.
    pub fn ask_places(&mut self, part: DrivePart, project: &Arc<Project>, half: f64) {
        let Some(start) = part.place(project) else { return self.give_up() };
        let (project, known) = (Arc::clone(project), OnceLock::new());
        let judge = move |place: Point| {
            // Neither motion nor weights depend on the drive: worked out once, on the thread.
            let analysis = known.get_or_init(|| analyse(&project, &Options { poses: 2, swept: false }));
            let mut margins = [f64::INFINITY; GEOMETRIC.len()];
            margins[0] = spare_pull(part, &project, analysis, place).unwrap_or(f64::NEG_INFINITY);
            margins
        };
        self.work_out(start, Box::new(judge), start, half);
    }

    fn work_out(&mut self, start: Point, judge: Judge, middle: Point, half: f64) {
        self.give_up();
        self.asked = Some((middle, half));
        let number = self.wanted.load(Ordering::SeqCst);
        let job = Job { number, judge, start, middle, half, halvings: self.halvings };
        let (wanted, found, wake) = (Arc::clone(&self.wanted), Arc::clone(&self.found), Arc::clone(&self.wake));
        let paused = Arc::clone(&self.paused);
        let jobs = self.jobs.get_or_insert_with(|| {
            let (jobs, incoming) = channel::<Job>();
            std::thread::spawn(move || {
                for job in incoming {
                    // A fault of ours must not end the thread: the map stays as far as it came.
                    let done = catch_unwind(AssertUnwindSafe(|| explore(&job, &wanted, &paused, &found, &wake)));
                    debug_assert!(done.is_ok(), "a map could not be worked out");
                }
            });
            jobs
        });
        // The thread only ends with this value, so it is there to take the job.
        let sent = jobs.send(job);
        debug_assert!(sent.is_ok(), "the map's thread has ended");
    }

    /// Gives up what is under way, and the map.
    pub fn give_up(&mut self) {
        self.wanted.fetch_add(1, Ordering::SeqCst);
        *self.found.lock().unwrap_or_else(PoisonError::into_inner) = None;
        self.asked = None;
    }

    /// Halts the work, or lets it go on.
    pub fn pause(&self, paused: bool) {
        self.paused.store(paused, Ordering::SeqCst);
    }

    /// Whether a map was asked for and not given up.
    #[must_use]
    pub fn is_asked(&self) -> bool {
        self.asked.is_some()
    }

    /// Whether what was asked for serves a place and a size: the place lies in the square, which is
    /// neither much larger nor much smaller than 2 · `half` mm.
    #[must_use]
    pub fn serves(&self, place: Point, half: f64) -> bool {
        let serves =
            |(middle, asked): (Point, f64)| (place - middle).amax() <= asked && (0.5..=2.0).contains(&(half / asked));
        self.asked.is_some_and(serves)
    }

    /// The map as far as it has got.
    #[must_use]
    pub fn map(&self) -> Option<Arc<Map>> {
        self.found.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }
}

impl Drop for WhereItHolds {
    fn drop(&mut self) {
        self.give_up();
    }
}

/// Works a map out and shows it as it grows; ends as soon as another one is wanted.
fn explore(job: &Job, wanted: &AtomicU64, paused: &AtomicBool, found: &Mutex<Option<Arc<Map>>>, wake: &Wake) {
    let is_wanted = || wanted.load(Ordering::SeqCst) == job.number;
    let mut map = empty(job.middle, job.half);
    let mut told = Instant::now();
    let mut tell = |map: &Map, at_once: bool| {
        if !at_once && told.elapsed() < NEWS_APART {
            return;
        }
        told = Instant::now();
        let mut found = found.lock().unwrap_or_else(PoisonError::into_inner);
        // Looked at under the lock: a map that was given up must not come back.
        if is_wanted() {
            *found = Some(Arc::new(map.clone()));
            drop(found);
            wake();
        }
    };
    let mut todo: Vec<(usize, usize)> =
        (0..COARSE).flat_map(|row| (0..COARSE).map(move |column| (column, row))).collect();
    let start = job.start;
    for halving in 0..=job.halvings {
        // From the middle outwards: there it is looked for first.
        let away = |(column, row): &(usize, usize)| (map.middle(*column, *row) - job.middle).norm();
        todo.sort_by(|a, b| away(a).total_cmp(&away(b)));
        for (column, row) in todo {
            if !is_wanted() {
                return;
            }
            while paused.load(Ordering::SeqCst) && is_wanted() {
                std::thread::sleep(PAUSE);
            }
            let index = row * map.side + column;
            map.cells[index] = Cell::Known((job.judge)(map.looked_at(column, row, start)));
            tell(&map, false);
        }
        map.finished = halving == job.halvings;
        tell(&map, true);
        if map.finished {
            return;
        }
        (map, todo) = map.halved(start);
    }
}

/// What of the drive is looked for a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DrivePart {
    /// The drum.
    Drum,
    /// The strap's end on the panel.
    Anchor,
}

impl DrivePart {
    /// Both, in the order in which they are offered.
    pub const BOTH: [Self; 2] = [Self::Drum, Self::Anchor];

    /// Half the side of its map, mm: a drum's own size around it, some times over.
    pub const HALF_MM: f64 = 150.0;

    /// On its button.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Drum => "Places for the drum",
            Self::Anchor => "Places for the strap's end",
        }
    }

    /// The one that a handle moves.
    #[must_use]
    pub fn of_handle(handle: Handle) -> Option<Self> {
        match handle {
            Handle::Drum => Some(Self::Drum),
            Handle::StrapEnd => Some(Self::Anchor),
            _ => None,
        }
    }

    /// Where it is, side view, the panel hung.
    #[must_use]
    pub fn place(self, project: &Project) -> Option<Point> {
        let drive = project.drive.as_ref()?;
        Some(match self {
            Self::Drum => drive.drum_centre,
            Self::Anchor => project.panel.hung.origin() + drive.anchor.coords,
        })
    }
}

/// What is left of the strap's limit at its worst with drum or strap's end at a place, N; `None`
/// where the strap does not pull all the way, or the drum has no room there.
fn spare_pull(part: DrivePart, project: &Project, analysis: &Analysis, place: Point) -> Option<f64> {
    let drive = project.drive.as_ref()?;
    let loads = &analysis.forces.as_ref().ok()?.loads;
    let places = DrivePlaces::new(project, &analysis.lift, &analysis.travel, loads)?;
    let (anchor, drum) = match part {
        DrivePart::Drum => (drive.anchor, place),
        DrivePart::Anchor => (Point::from(place - project.panel.hung.origin()), drive.drum_centre),
    };
    Some(drive.strap_limit? - places.worst(anchor, drum)?)
}

#[allow(clippy::cast_precision_loss)] // a dozen
fn empty(middle: Point, half: f64) -> Map {
    let least = middle - nalgebra::Vector2::new(half, half);
    let cells = vec![Cell::Unknown; COARSE * COARSE];
    Map { least, size: 2.0 * half / COARSE as f64, side: COARSE, cells, finished: false }
}

/// By how much each geometric rule holds with the handle at a place; where no lift can be made, none does.
fn margins(held: &Held, place: Point) -> Margins {
    let Ok(moved) = held.put(place) else { return [f64::NEG_INFINITY; GEOMETRIC.len()] };
    let analysis = analyse(&moved.project, &Options { poses: 2, swept: false });
    GEOMETRIC.map(|rule| {
        let found = analysis.rules.iter().find(|found| found.rule == rule);
        match found.and_then(|found| found.holds.map(|holds| (holds, found.margin))) {
            None | Some((true, None)) => f64::INFINITY,
            Some((true, Some(margin))) => margin.max(0.0),
            Some((false, None)) => f64::NEG_INFINITY,
            // A verdict counts more than a margin that rounds to nothing.
            Some((false, Some(margin))) => margin.min(-f64::MIN_POSITIVE),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::{DragMode, demo};
    use std::sync::atomic::AtomicUsize;

    fn held(handle: Handle, mode: DragMode) -> Held {
        let project = demo();
        let parked = analyse(&project, &Options { poses: 2, swept: false }).pose_at(1.0).room_from_panel;
        Held::new(handle, mode, Arc::new(project), parked)
    }

    fn wait(what: &str, done: impl Fn() -> bool) {
        let patience = Instant::now() + Duration::from_secs(60);
        while !done() {
            assert!(Instant::now() < patience, "waited in vain until {what}");
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    #[test]
    fn a_map_says_what_the_rules_say_at_every_place_looked_at() {
        let news = Arc::new(AtomicUsize::new(0));
        let counted = Arc::clone(&news);
        let mut holds = WhereItHolds::new(Arc::new(move || {
            counted.fetch_add(1, Ordering::SeqCst);
        }));
        holds.halvings = 2;
        let held = held(Handle::WallUpper, DragMode::Free);
        holds.ask(&held, held.place(), 20.0);
        wait("it is finished", || holds.map().is_some_and(|map| map.finished));
        let map = holds.map().expect("a map");
        assert_eq!(map.side, COARSE << 2);
        assert!(
            map.holds_somewhere() && !map.cells.iter().all(Cell::holds),
            "the demo's own place holds, others do not"
        );
        assert!(!map.cells.contains(&Cell::Unknown));
        // Inside what holds, and outside by three cells: the finest cells agree with the rules.
        let around = |at: usize| at - 3..=at + 3;
        let (mut inside, mut outside) = (0, 0);
        for row in (3..map.side - 3).step_by(4) {
            for column in (3..map.side - 3).step_by(4) {
                let own = map.holds(column, row);
                if around(row).all(|row| around(column).all(|column| map.holds(column, row) == own)) {
                    let judged = margins(&held, map.middle(column, row));
                    assert_eq!(Cell::Known(judged).holds(), own, "{column} {row}: {judged:?}");
                    *(if own { &mut inside } else { &mut outside }) += 1;
                }
            }
        }
        assert!(outside > 20, "{inside} inside, {outside} outside");
        assert!(news.load(Ordering::SeqCst) >= 3, "each halving is told");
        holds.give_up();
        assert!(holds.map().is_none());
    }

    #[test]
    fn the_place_that_holds_is_on_the_map_however_coarse() {
        let mut holds = WhereItHolds::new(Arc::new(|| {}));
        // Where hung and parked stay, the fold stops at the right place on a hair line only.
        let held = held(Handle::PanelUpper, DragMode::KeepEndPoses);
        holds.ask(&held, held.place(), 300.0);
        wait("something is known", || holds.map().is_some());
        assert!(holds.map().is_some_and(|map| map.holds_somewhere()));
    }

    #[test]
    fn places_of_the_drum_are_those_from_which_the_strap_pulls_within_its_limit() {
        let mut project = demo();
        if let Some(drive) = &mut project.drive {
            drive.strap_limit = Some(300.0);
        }
        let project = Arc::new(project);
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        for part in DrivePart::BOTH {
            let mut holds = WhereItHolds::new(Arc::new(|| {}));
            holds.halvings = 1;
            holds.ask_places(part, &project, 120.0);
            wait("it is finished", || holds.map().is_some_and(|map| map.finished));
            let map = holds.map().expect("a map");
            assert!(map.holds_somewhere() && !map.cells.iter().all(Cell::holds), "{part:?}");
            let mut agree = 0;
            for row in 1..map.side - 1 {
                for column in 1..map.side - 1 {
                    let own = map.holds(column, row);
                    let alike = (row - 1..=row + 1).all(|r| (column - 1..=column + 1).all(|c| map.holds(c, r) == own));
                    if alike {
                        let spare = spare_pull(part, &project, &analysis, map.middle(column, row));
                        assert_eq!(spare.is_some_and(|spare| spare >= 0.0), own, "{part:?} {column} {row}");
                        agree += 1;
                    }
                }
            }
            assert!(agree > 50, "{part:?}: {agree}");
        }
    }

    #[test]
    fn what_is_given_up_does_not_come_back() {
        let mut holds = WhereItHolds::new(Arc::new(|| {}));
        let held = held(Handle::PanelLower, DragMode::KeepEndPoses);
        for _ in 0..20 {
            holds.ask(&held, held.place(), 60.0);
            holds.give_up();
        }
        let other = Point::new(1.0, 2.0);
        holds.ask(&held, other, 1.0);
        wait("the last is there", || holds.map().is_some());
        assert!(holds.map().is_some_and(|map| (map.least - other).amax() <= 1.0 + 1e-9), "and it is the last one");
        holds.give_up();
        std::thread::sleep(Duration::from_millis(30));
        assert!(holds.map().is_none());
    }

    #[test]
    fn only_where_it_is_open_is_looked_at_again() {
        let with = |margin: f64| Cell::Known([margin, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0]);
        let far = Point::new(1e6, 0.0);
        let mut map = empty(Point::origin(), 6.0);
        map.cells.fill(with(-1.0));
        map.cells[5 * COARSE + 5] = with(1.0);
        let (finer, todo) = map.halved(far);
        assert_eq!((finer.side, finer.size), (2 * COARSE, 0.5));
        assert_eq!(todo.len(), 4 * 9, "the cell and its eight neighbours, each in four");
        assert!(finer.holds(10, 11));
        assert_eq!(finer.cells.iter().filter(|cell| cell.holds()).count(), 4);
        // A hair line between two columns, where the margin comes near to nothing from both sides.
        map.cells = (0..COARSE * COARSE).map(|at| with(-((at % COARSE) as f64 - 4.5).abs())).collect();
        let (_, todo) = map.halved(far);
        assert!(todo.contains(&(8, 9)) && todo.contains(&(11, 3)), "{todo:?}");
        assert!(!todo.contains(&(20, 9)), "far from the line nothing can hold");
    }
}
