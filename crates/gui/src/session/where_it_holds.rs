//! A map of the places where a held handle lets every geometric rule hold.
//!
//! Worked out on a thread of its own, coarse cells first and then finer ones along the border. A map
//! belongs to one hold: when another is taken, or none, what is under way is given up and its map
//! is gone.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use overarm_solver::{Options, Point, Rule, analyse};

use super::dragging::Held;
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
/// How often they are halved.
const HALVINGS: u32 = 3;
/// No more news than this, so that a frame has its time.
const NEWS_APART: Duration = Duration::from_millis(120);

/// What is known of a cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cell {
    /// Nothing yet.
    Unknown,
    /// At its middle every geometric rule holds.
    Holds,
    /// At its middle at least one fails, or there is no such lift.
    Fails,
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
    /// The cell in a column and a row.
    #[must_use]
    pub fn cell(&self, column: usize, row: usize) -> Cell {
        self.cells.get(row * self.side + column).copied().unwrap_or(Cell::Unknown)
    }

    /// Whether any cell holds.
    #[must_use]
    pub fn holds_somewhere(&self) -> bool {
        self.cells.contains(&Cell::Holds)
    }

    /// Whether a place lies on it.
    #[must_use]
    pub fn covers(&self, place: Point) -> bool {
        let by = (place - self.least) / self.size;
        #[allow(clippy::cast_precision_loss)] // a hundred
        let side = self.side as f64;
        by.iter().all(|by| (0.0..=side).contains(by))
    }

    #[allow(clippy::cast_precision_loss)] // a hundred
    fn middle(&self, column: usize, row: usize) -> Point {
        self.least + nalgebra::Vector2::new(column as f64 + 0.5, row as f64 + 0.5) * self.size
    }

    /// The same square in cells of half the size, each as its parent; and those whose parent has a
    /// neighbour of another kind, which have to be looked at.
    fn halved(&self) -> (Self, Vec<(usize, usize)>) {
        let side = 2 * self.side;
        let mut finer = Self { size: 0.5 * self.size, side, cells: Vec::with_capacity(side * side), ..self.clone() };
        let mut border = Vec::new();
        for row in 0..side {
            for column in 0..side {
                let (x, y) = (column / 2, row / 2);
                let own = self.cell(x, y);
                finer.cells.push(own);
                let near = |at: usize| at.saturating_sub(1)..=(at + 1).min(self.side - 1);
                if near(y).any(|y| near(x).any(|x| self.cell(x, y) != own)) {
                    border.push((column, row));
                }
            }
        }
        (finer, border)
    }
}

/// A map's place in the work: what for, which square.
struct Job {
    number: u64,
    held: Held,
    middle: Point,
    half: f64,
}

/// The worker, and the map it has got to.
pub struct WhereItHolds {
    jobs: Option<Sender<Job>>,
    wake: Wake,
    /// The number of the map that is wanted; another one is given up.
    wanted: Arc<AtomicU64>,
    found: Arc<Mutex<Option<Arc<Map>>>>,
    /// Middle and half side of the square that was asked for.
    asked: Option<(Point, f64)>,
}

impl WhereItHolds {
    /// Nothing is worked out yet, and no thread runs; `wake` is called when there is news.
    #[must_use]
    pub fn new(wake: Wake) -> Self {
        Self { jobs: None, wake, wanted: Arc::default(), found: Arc::default(), asked: None }
    }

    /// Asks for the map of a hold, in a square about a place with sides of 2 · `half` mm.
    pub fn ask(&mut self, held: &Held, middle: Point, half: f64) {
        self.give_up();
        self.asked = Some((middle, half));
        let number = self.wanted.load(Ordering::SeqCst);
        let job = Job { number, held: held.clone(), middle, half };
        let (wanted, found, wake) = (Arc::clone(&self.wanted), Arc::clone(&self.found), Arc::clone(&self.wake));
        let jobs = self.jobs.get_or_insert_with(|| {
            let (jobs, incoming) = channel::<Job>();
            std::thread::spawn(move || {
                for job in incoming {
                    // A fault of ours must not end the thread: the map stays as far as it came.
                    let done = catch_unwind(AssertUnwindSafe(|| explore(&job, &wanted, &found, &wake)));
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

    /// Whether a map was asked for and not given up.
    #[must_use]
    pub fn is_asked(&self) -> bool {
        self.asked.is_some()
    }

    /// Whether a place lies in the square that was asked for.
    #[must_use]
    pub fn covers(&self, place: Point) -> bool {
        self.asked.is_some_and(|(middle, half)| (place - middle).amax() <= half)
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
fn explore(job: &Job, wanted: &AtomicU64, found: &Mutex<Option<Arc<Map>>>, wake: &Wake) {
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
    // From the handle outwards.
    let mut todo: Vec<(usize, usize)> =
        (0..COARSE).flat_map(|row| (0..COARSE).map(move |column| (column, row))).collect();
    let away = |map: &Map, (column, row): (usize, usize)| (map.middle(column, row) - job.middle).norm();
    todo.sort_by(|a, b| away(&map, *a).total_cmp(&away(&map, *b)));
    for halving in 0..=HALVINGS {
        for (column, row) in todo {
            if !is_wanted() {
                return;
            }
            let index = row * map.side + column;
            map.cells[index] = judge(&job.held, map.middle(column, row));
            tell(&map, false);
        }
        map.finished = halving == HALVINGS;
        tell(&map, true);
        if map.finished {
            return;
        }
        (map, todo) = map.halved();
    }
}

#[allow(clippy::cast_precision_loss)] // a dozen
fn empty(middle: Point, half: f64) -> Map {
    let least = middle - nalgebra::Vector2::new(half, half);
    let cells = vec![Cell::Unknown; COARSE * COARSE];
    Map { least, size: 2.0 * half / COARSE as f64, side: COARSE, cells, finished: false }
}

/// Whether every geometric rule holds with the handle at a place.
fn judge(held: &Held, place: Point) -> Cell {
    let Ok(moved) = held.put(place) else { return Cell::Fails };
    let analysis = analyse(&moved.project, &Options { poses: 2, swept: false });
    let fails = |rule: &Rule| analysis.rules.iter().any(|found| found.rule == *rule && found.holds == Some(false));
    if GEOMETRIC.iter().any(fails) { Cell::Fails } else { Cell::Holds }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::{DragMode, Handle, demo};
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
        let held = held(Handle::WallUpper, DragMode::Free);
        holds.ask(&held, held.place(), 20.0);
        wait("it is finished", || holds.map().is_some_and(|map| map.finished));
        let map = holds.map().expect("a map");
        assert_eq!(map.side, COARSE << HALVINGS);
        assert!(map.holds_somewhere() && map.cells.contains(&Cell::Fails), "the demo's own place holds, others do not");
        assert!(!map.cells.contains(&Cell::Unknown));
        // The coarse cells' own middles are corners of four finest cells: look at every 17th of those.
        for (index, cell) in map.cells.iter().enumerate().step_by(487) {
            let (column, row) = (index % map.side, index / map.side);
            let around = [(0, 1), (2, 1), (1, 0), (1, 2)];
            let inside = (1..map.side - 1).contains(&column) && (1..map.side - 1).contains(&row);
            let settled = inside && around.iter().all(|(x, y)| map.cell(column + x - 1, row + y - 1) == *cell);
            if settled {
                assert_eq!(judge(&held, map.middle(column, row)), *cell, "{column} {row}");
            }
        }
        assert!(news.load(Ordering::SeqCst) >= 4, "each halving is told");
        holds.give_up();
        assert!(holds.map().is_none());
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
        assert!(holds.map().is_some_and(|map| map.covers(other)), "and it is the last one");
        holds.give_up();
        std::thread::sleep(Duration::from_millis(30));
        assert!(holds.map().is_none());
    }

    #[test]
    fn only_the_border_is_looked_at_again() {
        let mut map = empty(Point::origin(), 6.0);
        map.cells.fill(Cell::Fails);
        map.cells[5 * COARSE + 5] = Cell::Holds;
        let (finer, border) = map.halved();
        assert_eq!((finer.side, finer.size), (2 * COARSE, 0.5));
        assert_eq!(border.len(), 4 * 9, "the cell and its eight neighbours, each in four");
        assert_eq!(finer.cell(10, 11), Cell::Holds);
        assert_eq!(finer.cells.iter().filter(|cell| **cell == Cell::Holds).count(), 4);
    }
}
