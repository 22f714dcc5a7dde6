//! Killed at any moment of saving and keeping, the program loses nothing that was saved, leaves no
//! half file under a name that anybody opens, and offers what was kept.

#![allow(clippy::unwrap_used)] // a test that cannot go on stops where it stands

use std::fs;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command as Process, Stdio};
use std::sync::Arc;
use std::time::{Duration, Instant};

use overarm::session::{Action, Answer, Asking, Command, Edit, Handle, KEPT, Places, Session, Version, demo};
use overarm_shopfiles::project_file;
use overarm_solver::Project;

/// Set for the child process that is killed: the folder that it works in.
const FOLDER: &str = "OVERARM_TEST_KILL_FOLDER";
/// Set where it works without a file.
const UNNAMED: &str = "OVERARM_TEST_KILL_UNNAMED";

/// Kills with a file, and without one.
const KILLS: u32 = 160;
const KILLS_UNNAMED: u32 = 40;

/// The longest that one child works: a save and a keeping take a few milliseconds each.
const LONGEST_MICROSECONDS: u64 = 60_000;

fn session(folder: &Path) -> Session {
    Session::with_places(Arc::new(|| {}), Some(Places::below(folder)))
}

/// The project's state as one number that only grows: how far a pivot was nudged, micrometres.
fn step_of(project: &Project) -> i64 {
    let moved = project.linkage.wall_upper.x - demo().linkage.wall_upper.x;
    #[allow(clippy::cast_possible_truncation)] // a few thousand steps
    let step = (moved / 0.001).round() as i64;
    step
}

/// One change, the next number.
fn change(session: &mut Session) {
    let by = nalgebra::Vector2::new(0.001, 0.0);
    session.apply(Action::Edit(Edit::Nudge(Handle::WallUpper, by)));
}

fn wait(session: &mut Session, what: &str, done: impl Fn(&Session) -> bool) {
    let patience = Instant::now() + Duration::from_secs(20);
    while !done(session) {
        session.take_outcomes();
        assert!(Instant::now() < patience, "waited in vain until {what}: {:?}", session.notice());
        std::thread::sleep(Duration::from_micros(200));
    }
}

/// Changes, keeps and saves in turn; `tell` hears of everything that has come to an end.
fn work(folder: &Path, named: bool, rounds: Option<u32>, tell: &mut dyn FnMut(&str)) {
    let file = folder.join("hatch.overarm.json");
    let mut session = session(folder);
    if named {
        session.start_with(file);
    }
    // What the child before left is taken first, as a person would.
    if session.is_choosing() {
        session.apply(Action::Answer(Answer::Take(Version::Recovered)));
    }
    tell("ready");
    for round in 0_u32.. {
        if rounds.is_some_and(|rounds| round >= rounds) {
            return;
        }
        change(&mut session);
        let revision = session.document().revision();
        // The edits have rested: as far as the session knows, a minute has passed.
        session.tick(Instant::now());
        session.tick(Instant::now() + Duration::from_secs(60));
        wait(&mut session, "it is kept", |session| session.kept_revision() == Some(revision));
        tell(&format!("kept {}", step_of(session.project())));
        if named && round % 3 == 2 {
            session.apply(Action::Command(Command::Save));
            wait(&mut session, "it is saved", |session| !session.document().has_unsaved_changes());
            tell(&format!("saved {}", step_of(session.project())));
        }
    }
}

/// With the variable set this is the child that is killed; without, the same work with an end.
#[test]
fn changing_keeping_and_saving_in_turn() {
    if let Some(folder) = std::env::var_os(FOLDER) {
        let mut out = std::io::stdout();
        work(Path::new(&folder), std::env::var_os(UNNAMED).is_none(), None, &mut |line| {
            // The parent has gone only when this is over anyway.
            let _ = writeln!(out, "{line}").and_then(|()| out.flush());
        });
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("hatch.overarm.json");
    project_file::save(&file, &demo()).unwrap();
    let mut told = Vec::new();
    work(folder.path(), true, Some(6), &mut |line| told.push(line.to_owned()));
    assert_eq!(told.last().map(String::as_str), Some("saved 6"));
    assert_eq!(step_of(&project_file::read(&file).unwrap()), 6);
    assert!(!kept_beside(&file).exists(), "saved work is no longer kept");
}

fn kept_beside(file: &Path) -> PathBuf {
    PathBuf::from(format!("{}{KEPT}", file.display()))
}

fn start_child(folder: &Path, named: bool) -> Child {
    let mut child = Process::new(std::env::current_exe().unwrap());
    child.args(["--exact", "changing_keeping_and_saving_in_turn", "--nocapture", "--test-threads=1"]);
    child.env(FOLDER, folder).stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::null());
    if !named {
        child.env(UNNAMED, "1");
    }
    child.spawn().unwrap()
}

/// The largest number told after a word; the last line may be half.
fn last_told(text: &str, word: &str) -> Option<i64> {
    let whole = text.rsplit_once('\n').map_or("", |(whole, _)| whole);
    whole.lines().filter_map(|line| line.strip_prefix(word)?.trim().parse().ok()).max()
}

/// Lets a child work for a while, kills it, and returns what it told.
fn kill_one(folder: &Path, named: bool, after: Duration) -> String {
    let mut child = start_child(folder, named);
    let mut out = child.stdout.take().unwrap();
    let mut text = Vec::new();
    let mut some = [0_u8; 512];
    while !text.windows(6).any(|word| word == b"ready\n") {
        let count = out.read(&mut some).unwrap();
        assert!(count > 0, "the child ended by itself: {}", String::from_utf8_lossy(&text));
        text.extend_from_slice(&some[..count]);
    }
    std::thread::sleep(after);
    child.kill().unwrap(); // SIGKILL
    child.wait().unwrap();
    out.read_to_end(&mut text).unwrap();
    String::from_utf8(text).unwrap()
}

/// Moments that look random and are the same in every run.
struct Moments(u64);

impl Moments {
    fn next(&mut self) -> Duration {
        // Xorshift (Marsaglia 2003), 13-7-17.
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        Duration::from_micros(self.0 % LONGEST_MICROSECONDS)
    }
}

#[test]
fn nothing_saved_or_kept_is_lost_by_kill_nine() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("hatch.overarm.json");
    project_file::save(&file, &demo()).unwrap();
    let mut moments = Moments(0x9E37_79B9_7F4A_7C15);
    let (mut offered, mut saved_at_all) = (0, 0);
    for kill in 1..=KILLS {
        let before = step_of(&project_file::read(&file).unwrap());
        let told = kill_one(folder.path(), true, moments.next());
        let saved_told = last_told(&told, "saved ").unwrap_or(before);
        let kept_told = last_told(&told, "kept ");

        let saved = step_of(&project_file::read(&file).expect("the saved file is whole"));
        assert!(saved >= saved_told, "kill {kill}: {saved} is saved, {saved_told} was told");
        saved_at_all += i64::from(saved > before);
        for name in fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().path()) {
            let text = name.to_string_lossy().into_owned();
            if text.ends_with(".overarm.json") || text.ends_with(KEPT) {
                project_file::read(&name).unwrap_or_else(|error| panic!("kill {kill}: a half file: {error}"));
            }
        }

        let mut next = session(folder.path());
        next.start_with(file.clone());
        assert_eq!(step_of(next.project()), saved, "the saved version is what opens");
        let newest = kept_told.unwrap_or(saved).max(saved);
        if let Some(Asking::Recover(asked)) = next.asking() {
            offered += 1;
            assert_eq!(asked.differences.len(), 1, "{asked:?}");
            assert!(!asked.recovered_is_older, "kill {kill}: {asked:?}");
            next.apply(Action::Answer(Answer::Show(Version::Recovered)));
            let recovered = step_of(next.project());
            assert!(recovered >= newest, "kill {kill}: {recovered} is offered, {newest} was told");
            assert!(recovered > saved, "kill {kill}: only what is newer is offered");
        } else {
            assert_eq!(saved, newest, "kill {kill}: what was kept is newer and not offered");
        }
    }
    // So that the test has tried what it is about.
    assert!(offered > KILLS / 4, "only {offered} of {KILLS} kills left something to offer");
    assert!(saved_at_all > i64::from(KILLS / 10), "only {saved_at_all} of {KILLS} children came to save");
}

#[test]
fn work_without_a_file_survives_kill_nine() {
    let folder = tempfile::tempdir().unwrap();
    let mut moments = Moments(0x2545_F491_4F6C_DD1D);
    let mut offered = 0;
    for kill in 1..=KILLS_UNNAMED {
        let told = kill_one(folder.path(), false, moments.next());
        let mut next = session(folder.path());
        next.look_for_lost_work();
        let recovered = next.is_choosing().then(|| {
            next.apply(Action::Answer(Answer::Show(Version::Recovered)));
            step_of(next.project())
        });
        if let Some(kept) = last_told(&told, "kept ") {
            assert!(recovered.is_some_and(|step| step >= kept), "kill {kill}: {recovered:?}, {kept} was told");
        }
        if recovered.is_some() {
            offered += 1;
            next.apply(Action::Answer(Answer::Take(Version::Saved)));
            wait(&mut next, "it is set aside", |session| session.notice().is_some());
            assert!(!next.is_choosing());
        }
    }
    assert!(offered > KILLS_UNNAMED / 3, "only {offered} of {KILLS_UNNAMED} kills left something to offer");
    let aside = fs::read_dir(folder.path().join("state/unsaved")).unwrap().map(|entry| entry.unwrap().path());
    let aside = aside.filter(|path| path.to_string_lossy().ends_with(".overarm.json"));
    assert_eq!(aside.inspect(|path| drop(project_file::read(path).unwrap())).count(), offered as usize);
}
