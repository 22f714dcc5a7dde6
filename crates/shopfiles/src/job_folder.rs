//! The job folder: everything a shop gets for one project, complete or not there at all.
//!
//! A file kind is one entry of [`KINDS`] and one file of its own that turns a [`Job`] into bytes.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use overarm_solver::{Analysis, Options, Part, Project, analyse, parts};

use crate::atomic_write::{WriteError, io_words, write_whole};
use crate::building::Building;
use crate::cut_list::cut_list;
use crate::hole_table::hole_table;
use crate::inspection_csv::inspection_csv;
use crate::issue_date::dated;
use crate::job_sheet::job_sheet;
use crate::manifest::{Earlier, Entry, Heading, manifest, sha256};
use crate::mock_up::mock_up;
use crate::part_drawings::drawings;
use crate::parts_dxf::{DxfVersion, part_dxf};
use crate::picture::{png, side_view_svg};
use crate::project_file;
use crate::set_up_sheets::set_up_sheets;
use crate::sheet::frame::People;
use crate::sheet::typeface::missing;
use crate::step::part_step;
use crate::wall_template::wall_template;

/// What is asked for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wanted {
    /// Names of [`KINDS`]; empty = every kind.
    pub only: Vec<String>,
    /// Generation of the DXF files.
    pub dxf: DxfVersion,
    /// Date of issue for a project that gives none, as `2026-11-25`.
    pub date: Option<String>,
    /// Replace files of the same names in a folder that is not empty.
    pub force: bool,
}

/// What was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Made {
    /// The folder.
    pub folder: PathBuf,
    /// Paths below it, in the order of the kinds, the manifest last.
    pub files: Vec<String>,
    /// Names in the folder that were there before and were left as they were; not those of the manifest's files.
    pub left: Vec<String>,
    /// What the manifest that was there told of other files.
    pub earlier: Earlier,
    /// The project's title.
    title: String,
    /// Letters of the project's own words that no sheet can show: a question mark stands for each.
    pub unwritten: Vec<char>,
}

impl Made {
    /// What to say about the files that were there before, a sentence each; empty where there were none.
    #[must_use]
    pub fn words_of_earlier(&self) -> Vec<String> {
        let Earlier { kept, other_title, no_longer, unreadable } = &self.earlier;
        let folder = self.folder.display();
        let paths = |others: bool| -> Vec<&str> {
            kept.iter()
                .filter(|entry| entry.project_sha256.is_some() == others)
                .map(|entry| entry.path.as_str())
                .collect()
        };
        let mut words = Vec::new();
        if *unreadable {
            words.push(format!(
                "The {MANIFEST} in {folder} could not be read: the new one tells of the new files alone"
            ));
        }
        let same = paths(false).len();
        if same > 0 {
            let files = if same == 1 { "1 file" } else { &format!("{same} files") };
            words.push(format!("Still in {folder} and in its {MANIFEST}: {files} made of this project before"));
        }
        if let Some(title) = other_title {
            let of = if *title == self.title {
                "another state of this project".to_owned()
            } else {
                format!("another project, \"{title}\"")
            };
            words.push(format!(
                "Not to be used with the new files: {folder} still holds files of {of}, which {MANIFEST} marks: {}. Make \
                 every kind to replace them",
                paths(true).join(", ")
            ));
        }
        if !no_longer.is_empty() {
            words.push(format!(
                "Changed or gone since they were made, so no longer in {MANIFEST}: {}",
                no_longer.join(", ")
            ));
        }
        words
    }

    /// What to say about letters that no sheet can show; `None` where there are none.
    #[must_use]
    pub fn unwritten_words(&self) -> Option<String> {
        if self.unwritten.is_empty() {
            return None;
        }
        let letters: Vec<String> = self.unwritten.iter().map(char::to_string).collect();
        Some(format!("The sheets have no letters for {}: a question mark stands for each", letters.join(" ")))
    }
}

/// Why a job folder was not written. Nothing is then half there.
#[derive(Debug, thiserror::Error)]
pub enum MakeError {
    /// A name that is no kind.
    #[error("there is no kind of file called \"{name}\"; there are {known}")]
    UnknownKind {
        /// The name.
        name: String,
        /// The names there are.
        known: String,
    },
    /// Something is there already.
    #[error("{}: this folder is not empty; give another name, or --force to replace the files of a job in it", .0.display())]
    NotEmpty(PathBuf),
    /// A file of the job folder could not be made.
    #[error("{file}: {reason}")]
    File {
        /// Path below the folder.
        file: String,
        /// What went wrong.
        reason: String,
    },
    /// The disk.
    #[error(transparent)]
    Write(#[from] WriteError),
    /// Whoever watched wanted no more of it.
    #[error("stopped; nothing was written")]
    Stopped,
}

/// How far the making has come.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Progress {
    /// What is being done, such as "parts" or "Writing side-view.svg".
    pub step: String,
    /// Steps done.
    pub done: usize,
    /// Steps in all, as far as is known.
    pub of: usize,
}

/// Told before each step; `false` stops it.
pub type Watch<'a> = &'a mut dyn FnMut(Progress) -> bool;

/// What every kind is made from.
#[derive(Debug)]
pub struct Job<'a> {
    /// The project, with a date of issue.
    pub project: &'a Project,
    /// The project as it is saved.
    pub as_saved: &'a Project,
    /// What is known about it, with swept outlines.
    pub analysis: &'a Analysis,
    /// Its eight parts.
    pub parts: &'a [Part],
    /// Generation of the DXF files.
    pub dxf: DxfVersion,
}

/// One file to be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JobFile {
    /// Path below the folder, with `/`.
    pub path: String,
    /// Its bytes.
    pub content: Vec<u8>,
}

impl JobFile {
    fn new(path: impl Into<String>, content: impl Into<Vec<u8>>) -> Self {
        Self { path: path.into(), content: content.into() }
    }
}

/// A kind of file: the name that `--only` takes, and how it is made.
pub struct Kind {
    /// A file's or a folder's name without extension.
    pub name: &'static str,
    /// One line on what it is.
    pub what: &'static str,
    make: fn(&Job) -> Result<Vec<JobFile>, MakeError>,
}

/// Every kind there is, in the order of the folder. The manifest is written with any of them.
pub static KINDS: [Kind; 11] = [
    Kind { name: "parts", what: "the eight parts as DXF and STEP", make: make_parts },
    Kind { name: "hole-table", what: "every bore of every part as CSV", make: make_hole_table },
    Kind { name: "cut-list", what: "what to saw from which bar as CSV", make: make_cut_list },
    Kind { name: "inspection", what: "what to measure on every part as CSV", make: make_inspection },
    Kind { name: "project", what: "the project itself", make: make_project },
    Kind { name: "drawings", what: "assembly and parts, both hands, as PDF", make: make_drawings },
    Kind { name: "set-up-sheets", what: "how each part is made, as PDF", make: make_set_up_sheets },
    Kind {
        name: "wall-template",
        what: "where the wall bars are screwed on, full size, as PDF",
        make: make_wall_template,
    },
    Kind { name: "mock-up", what: "links of card or plywood, full size, as PDF", make: make_mock_up },
    Kind { name: "job-sheet", what: "what it does and what was checked, for the client, as PDF", make: make_job_sheet },
    Kind { name: "side-view", what: "the picture as SVG and PNG", make: make_side_view },
];

const MANIFEST: &str = "manifest.json";
const PROJECT: &str = "project.overarm.json";

fn make_parts(job: &Job) -> Result<Vec<JobFile>, MakeError> {
    let title = job.project.title();
    let mut files = Vec::new();
    for part in job.parts {
        let stem = format!("parts/{}", part.file_stem());
        files.extend(one_file(&format!("{stem}.dxf"), part_dxf(part, title, job.dxf))?);
        files.extend(one_file(&format!("{stem}.step"), part_step(part, title))?);
    }
    Ok(files)
}

fn make_cut_list(job: &Job) -> Result<Vec<JobFile>, MakeError> {
    one_file("cut-list.csv", cut_list(job.project, job.parts))
}

fn make_inspection(job: &Job) -> Result<Vec<JobFile>, MakeError> {
    one_file("inspection.csv", inspection_csv(job.project, job.parts))
}

fn make_hole_table(job: &Job) -> Result<Vec<JobFile>, MakeError> {
    one_file("hole-table.csv", hole_table(job.parts))
}

fn make_project(job: &Job) -> Result<Vec<JobFile>, MakeError> {
    one_file(PROJECT, project_file::to_text(job.as_saved).map(String::into_bytes).map_err(|e| e.to_string()))
}

fn make_wall_template(job: &Job) -> Result<Vec<JobFile>, MakeError> {
    one_file("wall-template.pdf", wall_template(job))
}

fn make_mock_up(job: &Job) -> Result<Vec<JobFile>, MakeError> {
    one_file("mock-up.pdf", mock_up(job))
}

fn make_job_sheet(job: &Job) -> Result<Vec<JobFile>, MakeError> {
    one_file("job-sheet.pdf", job_sheet(job))
}

fn make_drawings(job: &Job) -> Result<Vec<JobFile>, MakeError> {
    one_file("drawings.pdf", drawings(job))
}

fn make_set_up_sheets(job: &Job) -> Result<Vec<JobFile>, MakeError> {
    one_file("set-up-sheets.pdf", set_up_sheets(job))
}

fn make_side_view(job: &Job) -> Result<Vec<JobFile>, MakeError> {
    const PARKED: f64 = 1.0;
    // Enough for a sheet of paper of the usual size.
    const ZOOM: f32 = 1.5;
    let picture = side_view_svg(job.project, job.analysis, PARKED);
    let pixels = png(&picture, ZOOM).map_err(|reason| MakeError::File { file: "side-view.png".to_owned(), reason })?;
    Ok(vec![JobFile::new("side-view.svg", picture), JobFile::new("side-view.png", pixels)])
}

fn one_file(path: &str, content: Result<Vec<u8>, String>) -> Result<Vec<JobFile>, MakeError> {
    match content {
        Ok(content) => Ok(vec![JobFile::new(path, content)]),
        Err(reason) => Err(MakeError::File { file: path.to_owned(), reason }),
    }
}

/// Writes the job folder of a project.
///
/// Everything is made in the memory, then written into a new folder beside the one that is
/// wanted, then renamed: so the folder is complete or not there. A folder that is there and not
/// empty is refused, or with `force` gets the job's files once all of them are on the disk, the
/// manifest last; what else is in it stays and is named in [`Made::left`].
///
/// # Errors
/// [`MakeError`], naming the file or folder.
pub fn make(project: &Project, folder: &Path, wanted: &Wanted) -> Result<Made, MakeError> {
    let analysis = analyse(project, &Options::default());
    make_analysed(project, &analysis, folder, wanted)
}

/// As [`make`], where the analysis (with swept outlines) is there already.
///
/// # Errors
/// As [`make`].
pub fn make_analysed(
    project: &Project,
    analysis: &Analysis,
    folder: &Path,
    wanted: &Wanted,
) -> Result<Made, MakeError> {
    make_watched(project, analysis, folder, wanted, &mut |_| true)
}

/// As [`make_analysed`], telling `watch` before each step. Stopped, it leaves nothing behind: a new
/// folder until it gets its name; a folder that holds something until all of its files are written and
/// take their places.
///
/// # Errors
/// As [`make`]; [`MakeError::Stopped`] where `watch` answered no.
pub fn make_watched(
    project: &Project,
    analysis: &Analysis,
    folder: &Path,
    wanted: &Wanted,
    watch: Watch,
) -> Result<Made, MakeError> {
    let kinds = chosen(&wanted.only)?;
    let there = what_is_there(folder)?;
    if there == There::Filled && !wanted.force {
        return Err(MakeError::NotEmpty(folder.to_path_buf()));
    }
    let mut files = contents(project, analysis, &kinds, wanted, watch)?;
    let earlier = add_manifest(&mut files, project, analysis, wanted.dxf, (there == There::Filled).then_some(folder))?;
    match there {
        There::Nothing | There::Empty => write_new(folder, &files, kinds.len(), watch)?,
        There::Filled => replace(folder, &files, kinds.len(), watch)?,
    }
    let files: Vec<String> = files.into_iter().map(|file| file.path).collect();
    let left = if there == There::Filled {
        let told = earlier.kept.iter().map(|entry| &entry.path).chain(&earlier.no_longer);
        others(folder, &files.iter().chain(told).map(String::as_str).collect::<Vec<_>>())
    } else {
        Vec::new()
    };
    let unwritten = missing(&own_words(project));
    Ok(Made { folder: folder.to_path_buf(), files, left, earlier, title: project.title().to_owned(), unwritten })
}

/// The words of a project that sheets print.
fn own_words(project: &Project) -> String {
    let people = People::of(project);
    let bars = &project.bars;
    let materials =
        [&bars.wall_bar.material, &bars.panel_bar.material, &bars.lower_arm.material, &bars.upper_arm.material];
    let mut words = vec![project.title(), &people.owner, &people.date, &people.drawn_by, &people.approved_by];
    words.push(&people.number);
    words.extend(materials.into_iter().flatten().map(overarm_solver::MaterialWanted::name));
    words.extend(project.room.solids.iter().filter_map(|solid| solid.name.as_deref()));
    words.extend(project.room.uncover.iter().filter_map(|uncover| uncover.name.as_deref()));
    words.concat()
}

/// The kinds of these names, each once, in their own order. `manifest` names no kind of its own
/// but is allowed, as is a file's full name.
fn chosen(only: &[String]) -> Result<Vec<&'static Kind>, MakeError> {
    let unknown = |name: &str| {
        let mut known: Vec<_> = KINDS.iter().map(|kind| kind.name).collect();
        known.push("manifest");
        Err(MakeError::UnknownKind { name: name.to_owned(), known: known.join(", ") })
    };
    let mut names = Vec::new();
    for name in only.iter().map(|name| name.trim()).filter(|name| !name.is_empty()) {
        let stem = name.split('.').next().unwrap_or(name);
        if stem != "manifest" && !KINDS.iter().any(|kind| kind.name == stem) {
            return unknown(name);
        }
        names.push(stem);
    }
    if names.is_empty() && !only.is_empty() {
        return unknown("");
    }
    Ok(KINDS.iter().filter(|kind| only.is_empty() || names.contains(&kind.name)).collect())
}

fn contents(
    project: &Project,
    analysis: &Analysis,
    kinds: &[&Kind],
    wanted: &Wanted,
    watch: Watch,
) -> Result<Vec<JobFile>, MakeError> {
    let parts = parts(project, &analysis.solids);
    let dated = dated(project, wanted.date.as_deref());
    let job = Job { project: &dated, as_saved: project, analysis, parts: &parts, dxf: wanted.dxf };
    let mut files = Vec::new();
    for (done, kind) in kinds.iter().enumerate() {
        // The files are counted as one step until it is known how many they are.
        if !watch(Progress { step: kind.what.to_owned(), done, of: kinds.len() + 1 }) {
            return Err(MakeError::Stopped);
        }
        files.extend((kind.make)(&job)?);
    }
    Ok(files)
}

/// Adds the manifest of these files, and of those that a folder holds already and that are still as its own manifest
/// tells; returns what that one told.
fn add_manifest(
    files: &mut Vec<JobFile>,
    project: &Project,
    analysis: &Analysis,
    dxf: DxfVersion,
    folder: Option<&Path>,
) -> Result<Earlier, MakeError> {
    let manifest_error = |reason: String| MakeError::File { file: MANIFEST.to_owned(), reason };
    let text = project_file::to_text(project).map_err(|error| manifest_error(error.to_string()))?;
    let failing = analysis.rules.iter().filter(|rule| rule.holds == Some(false));
    let heading = Heading {
        title: project.title().to_owned(),
        project_sha256: sha256(text.as_bytes()),
        verdict: if analysis.holds() { "holds" } else { "fails" }.to_owned(),
        failing_rules: failing.map(|rule| rule.rule.name().to_owned()).collect(),
        dxf: dxf.name().to_owned(),
    };
    let new: Vec<&str> = files.iter().map(|file| file.path.as_str()).collect();
    let earlier = folder.map_or_else(Earlier::default, |folder| Earlier::read(folder, MANIFEST, &heading, &new));
    let mut entries: Vec<_> = files.iter().map(|file| Entry::new(&file.path, &file.content)).collect();
    entries.extend(earlier.kept.iter().cloned());
    // In the order of the kinds, as if all were made at once.
    entries.sort_by_key(|entry| {
        let name = entry.path.split(['/', '.']).next().unwrap_or_default();
        KINDS.iter().position(|kind| kind.name == name).unwrap_or(KINDS.len())
    });
    files.push(JobFile::new(MANIFEST, manifest(&heading, &entries).map_err(manifest_error)?));
    Ok(earlier)
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum There {
    Nothing,
    Empty,
    Filled,
}

fn what_is_there(folder: &Path) -> Result<There, MakeError> {
    let fail = |error: &io::Error| MakeError::Write(WriteError::io(folder, error));
    match fs::metadata(folder) {
        Ok(metadata) if metadata.is_dir() => {
            let mut entries = fs::read_dir(folder).map_err(|e| fail(&e))?;
            Ok(if entries.next().is_some() { There::Filled } else { There::Empty })
        }
        Ok(_) => Err(WriteError::new(folder, "a folder is expected, this is a file").into()),
        Err(error) if error.kind() == io::ErrorKind::NotFound && !folder.is_symlink() => Ok(There::Nothing),
        Err(error) => Err(fail(&error)),
    }
}

/// A new folder, built beside its place and renamed into it.
fn write_new(folder: &Path, files: &[JobFile], kinds: usize, watch: Watch) -> Result<(), MakeError> {
    let fail = |path: &Path, error: &io::Error| MakeError::Write(WriteError::io(path, error));
    // An empty folder behind a link, or named ".", is replaced under its real name.
    let target =
        if folder.exists() { fs::canonicalize(folder).map_err(|e| fail(folder, &e))? } else { folder.to_path_buf() };
    let (Some(name), Some(parent)) = (target.file_name(), target.parent()) else {
        return Err(WriteError::new(folder, "this does not name a folder").into());
    };
    let parent = if parent.as_os_str().is_empty() { Path::new(".") } else { parent };
    fs::create_dir_all(parent).map_err(|e| fail(parent, &e))?;
    let building = Building::new(parent, &name.to_string_lossy()).map_err(|e| fail(folder, &e))?;
    write_files(building.path(), folder, files, &mut |done| watch(writing(files, done, kinds)))?;
    building.settle(&target).map_err(|e| fail(folder, &e))
}

/// The step of writing one file, after those of making `kinds`.
fn writing(files: &[JobFile], done: usize, kinds: usize) -> Progress {
    let path = files.get(done).map_or("", |file| file.path.as_str());
    Progress { step: format!("writing {path}"), done: kinds + done, of: kinds + files.len() }
}

/// Writes files below `at`; a message names them below `named`. `go_on` is asked before each.
fn write_files(
    at: &Path,
    named: &Path,
    files: &[JobFile],
    go_on: &mut dyn FnMut(usize) -> bool,
) -> Result<(), MakeError> {
    for (done, file) in files.iter().enumerate() {
        if !go_on(done) {
            return Err(MakeError::Stopped);
        }
        let path = at.join(&file.path);
        let fail = |reason: String| MakeError::Write(WriteError { path: named.join(&file.path), reason });
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent).map_err(|e| fail(io_words(&e)))?;
        }
        write_whole(&path, &file.content).map_err(|e| fail(e.reason))?;
    }
    Ok(())
}

/// Into a folder that holds something: nothing is touched unless every file can be placed.
fn replace(folder: &Path, files: &[JobFile], kinds: usize, watch: Watch) -> Result<(), MakeError> {
    for file in files {
        let path = folder.join(&file.path);
        if path.is_dir() {
            return Err(WriteError::new(&path, "a folder stands where this file belongs; move it away").into());
        }
        if path.metadata().is_ok_and(|metadata| metadata.permissions().readonly()) {
            return Err(WriteError::new(&path, "the file is read-only and is not replaced").into());
        }
        if let Some(parent) = path.parent().filter(|parent| parent.exists() && !parent.is_dir()) {
            return Err(WriteError::new(parent, "a file stands where this folder belongs; move it away").into());
        }
    }
    // All of them are on the disk before the first one takes its place: a full disk changes nothing.
    let building = Building::new(folder, "job").map_err(|e| WriteError::io(folder, &e))?;
    write_files(building.path(), folder, files, &mut |done| watch(writing(files, done, kinds)))?;
    for file in files {
        let path = folder.join(&file.path);
        let fail = |error: &io::Error| MakeError::Write(WriteError::io(&path, error));
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent).map_err(|e| fail(&e))?;
        }
        if path.is_symlink() {
            // The file that it points at is replaced and not the link.
            write_whole(&path, &file.content)?;
            continue;
        }
        let staged = building.path().join(&file.path);
        if let Ok(metadata) = path.metadata() {
            fs::set_permissions(&staged, metadata.permissions()).map_err(|e| fail(&e))?;
        }
        fs::rename(&staged, &path).map_err(|e| fail(&e))?;
    }
    Ok(())
}

/// What a folder holds beside these files: names at its top, and in its folders that have some
/// of these files.
fn others(folder: &Path, files: &[&str]) -> Vec<String> {
    let mut found = Vec::new();
    let mut folders = vec![String::new()];
    for file in files {
        if let Some((inner, _)) = file.rsplit_once('/') {
            folders.push(format!("{inner}/"));
        }
    }
    folders.sort();
    folders.dedup();
    for inner in &folders {
        let Ok(entries) = fs::read_dir(folder.join(inner)) else { continue };
        for entry in entries.flatten() {
            let path = format!("{inner}{}", entry.file_name().to_string_lossy());
            if !files.contains(&path.as_str()) && !folders.contains(&format!("{path}/")) {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn demo() -> Project {
        project_file::parse(include_bytes!("../../../demo/chapel-hatch.overarm.json")).unwrap()
    }

    fn only(names: &[&str]) -> Wanted {
        Wanted { only: names.iter().map(|name| (*name).to_owned()).collect(), ..Wanted::default() }
    }

    fn listing(folder: &Path) -> Vec<String> {
        let mut names = Vec::new();
        for entry in fs::read_dir(folder).unwrap() {
            let entry = entry.unwrap();
            let name = entry.file_name().into_string().unwrap();
            if entry.path().is_dir() {
                names.extend(listing(&entry.path()).into_iter().map(|inner| format!("{name}/{inner}")));
            } else {
                names.push(name);
            }
        }
        names.sort();
        names
    }

    #[test]
    fn the_folder_is_complete_and_its_manifest_true() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("Küche 1/job");
        let made = make(&demo(), &folder, &Wanted::default()).unwrap();
        let mut expected = made.files.clone();
        expected.sort();
        assert_eq!(listing(&folder), expected);
        for part in ["wall-bar", "panel-bar", "lower-arm", "upper-arm"] {
            for hand in ["L", "R"] {
                for kind in ["dxf", "step"] {
                    assert!(expected.contains(&format!("parts/{hand}-{part}.{kind}")), "{hand} {part} {kind}");
                }
            }
        }
        let manifest: serde_json::Value =
            serde_json::from_slice(&fs::read(folder.join("manifest.json")).unwrap()).unwrap();
        let entries = manifest["files"].as_array().unwrap();
        assert_eq!(entries.len(), expected.len() - 1);
        for entry in entries {
            let content = fs::read(folder.join(entry["path"].as_str().unwrap())).unwrap();
            assert_eq!(entry["bytes"], content.len());
            assert_eq!(entry["sha256"], sha256(&content));
        }
        assert_eq!(manifest["project_sha256"], sha256(&fs::read(folder.join(PROJECT)).unwrap()));
        assert_eq!(project_file::read(&folder.join(PROJECT)).unwrap(), demo());
        assert_eq!(listing(place.path()).len(), expected.len(), "nothing is left beside it");
    }

    #[test]
    fn the_same_project_gives_the_same_bytes() {
        let place = tempfile::tempdir().unwrap();
        let (one, two) = (place.path().join("one"), place.path().join("two"));
        make(&demo(), &one, &Wanted::default()).unwrap();
        make(&demo(), &two, &Wanted::default()).unwrap();
        for name in listing(&one) {
            assert_eq!(fs::read(one.join(&name)).unwrap(), fs::read(two.join(&name)).unwrap(), "{name}");
        }
    }

    #[test]
    fn a_filled_folder_is_refused_and_force_keeps_foreign_files() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("job");
        make(&demo(), &folder, &only(&["hole-table"])).unwrap();
        fs::write(folder.join("notes.txt"), "mine").unwrap();
        fs::write(folder.join("hole-table.csv"), "old").unwrap();
        let before = listing(&folder);
        let refused = make(&demo(), &folder, &Wanted::default()).unwrap_err().to_string();
        assert!(refused.contains("job: this folder is not empty"), "{refused}");
        assert_eq!(listing(&folder), before);
        assert_eq!(fs::read(folder.join("hole-table.csv")).unwrap(), b"old");
        let made = make(&demo(), &folder, &Wanted { force: true, ..Wanted::default() }).unwrap();
        assert_eq!(made.left, ["notes.txt"]);
        assert_eq!(fs::read(folder.join("notes.txt")).unwrap(), b"mine");
        assert_ne!(fs::read(folder.join("hole-table.csv")).unwrap(), b"old");
    }

    fn told(folder: &Path) -> serde_json::Value {
        serde_json::from_slice(&fs::read(folder.join(MANIFEST)).unwrap()).unwrap()
    }

    fn entry<'a>(manifest: &'a serde_json::Value, path: &str) -> Option<&'a serde_json::Value> {
        manifest["files"].as_array().unwrap().iter().find(|entry| entry["path"] == path)
    }

    #[test]
    fn one_kind_made_anew_leaves_a_manifest_of_the_whole_folder() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("job");
        let (some, one) = (only(&["parts", "hole-table", "cut-list", "project"]), only(&["cut-list"]));
        make(&demo(), &folder, &some).unwrap();
        let before = fs::read(folder.join(MANIFEST)).unwrap();
        let made = make(&demo(), &folder, &Wanted { force: true, ..one.clone() }).unwrap();
        // The same project gives the same bytes, so the same manifest.
        assert_eq!(fs::read(folder.join(MANIFEST)).unwrap(), before);
        assert_eq!((made.files.len(), made.earlier.kept.len(), made.left.len()), (2, 18, 0));
        assert!(made.words_of_earlier()[0].contains("18 files made of this project before"), "{made:?}");
        // The last kind first: still in the order of the kinds.
        let other = place.path().join("other");
        make(&demo(), &other, &only(&["project"])).unwrap();
        make(&demo(), &other, &Wanted { force: true, ..some }).unwrap();
        assert_eq!(fs::read(other.join(MANIFEST)).unwrap(), before);
        // What was changed, lost, or put there by somebody else is not told; the first two are named.
        fs::write(folder.join("hole-table.csv"), "mine").unwrap();
        fs::remove_file(folder.join("parts/L-wall-bar.dxf")).unwrap();
        fs::write(folder.join("notes.txt"), "mine").unwrap();
        let made = make(&demo(), &folder, &Wanted { force: true, ..one }).unwrap();
        let manifest = told(&folder);
        for path in ["hole-table.csv", "parts/L-wall-bar.dxf", "notes.txt"] {
            assert_eq!(entry(&manifest, path), None);
        }
        assert_eq!(manifest["files"].as_array().unwrap().len(), 17);
        assert_eq!(made.left, ["notes.txt"]);
        let words = made.words_of_earlier().join("\n");
        assert!(words.contains("Changed or gone") && words.contains("parts/L-wall-bar.dxf, hole-table.csv"), "{words}");
        assert_eq!(fs::read(folder.join("hole-table.csv")).unwrap(), b"mine");
    }

    #[test]
    fn files_of_another_project_are_marked_and_named() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("job");
        let some = only(&["parts", "hole-table"]);
        make(&demo(), &folder, &some).unwrap();
        let first = told(&folder)["project_sha256"].clone();
        let mut changed = demo();
        changed.panel.mass += 1.0;
        let one = Wanted { force: true, dxf: DxfVersion::R12, ..only(&["hole-table"]) };
        let made = make(&changed, &folder, &one).unwrap();
        let manifest = told(&folder);
        assert_ne!(manifest["project_sha256"], first);
        let part = entry(&manifest, "parts/L-wall-bar.dxf").unwrap();
        assert_eq!((&part["project_sha256"], &part["dxf"]), (&first, &"r2000".into()));
        assert_eq!(entry(&manifest, "parts/L-wall-bar.step").unwrap().get("dxf"), None);
        assert_eq!(entry(&manifest, "hole-table.csv").unwrap().get("project_sha256"), None);
        let words = made.words_of_earlier().join("\n");
        assert!(words.contains("another state of this project") && words.contains("parts/R-upper-arm.step"), "{words}");
        // A third one: the marks stay those of the first; back at the first, they are gone.
        changed.title = Some("Another board".to_owned());
        let words = make(&changed, &folder, &one).unwrap().words_of_earlier().join("\n");
        assert!(words.contains("another project, \"Chapel kitchen hatch board\""), "{words}");
        assert_eq!(entry(&told(&folder), "parts/L-wall-bar.dxf").unwrap()["project_sha256"], first);
        make(&demo(), &folder, &Wanted { force: true, ..only(&["hole-table"]) }).unwrap();
        assert!(told(&folder)["files"].as_array().unwrap().iter().all(|entry| entry.get("project_sha256").is_none()));
        // All kinds replace all.
        let made = make(&changed, &folder, &Wanted { force: true, ..some }).unwrap();
        assert_eq!((made.earlier.kept.len(), made.words_of_earlier().len()), (0, 0));
    }

    #[test]
    fn a_manifest_that_is_none_or_points_out_of_the_folder_is_not_believed() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("job");
        let one = Wanted { force: true, ..only(&["hole-table"]) };
        make(&demo(), &folder, &one).unwrap();
        fs::write(place.path().join("secret"), b"abc").unwrap();
        let mut manifest = told(&folder);
        let outside = serde_json::to_value(Entry::new("../secret", b"abc")).unwrap();
        manifest["files"].as_array_mut().unwrap().push(outside);
        fs::write(folder.join(MANIFEST), manifest.to_string()).unwrap();
        let made = make(&demo(), &folder, &one).unwrap();
        assert_eq!((made.earlier.kept.len(), made.earlier.no_longer.len()), (0, 0));
        assert_eq!(told(&folder)["files"].as_array().unwrap().len(), 1);
        fs::write(folder.join(MANIFEST), "[]").unwrap();
        let words = make(&demo(), &folder, &one).unwrap().words_of_earlier().join("\n");
        assert!(words.contains("manifest.json") && words.contains("could not be read"), "{words}");
    }

    #[test]
    fn stopped_at_any_step_it_leaves_nothing_half() {
        let place = tempfile::tempdir().unwrap();
        // Without the picture, which takes longest.
        let some = only(&["parts", "hole-table", "project"]);
        let analysis = analyse(&demo(), &Options::default());
        let mut steps = Vec::new();
        let whole = place.path().join("whole");
        make_watched(&demo(), &analysis, &whole, &some, &mut |progress| {
            steps.push(progress);
            true
        })
        .unwrap();
        assert!(steps.len() > 3 + 8, "{steps:#?}");
        for (index, step) in steps.iter().enumerate() {
            assert_eq!(step.done, index);
            assert!(step.done < step.of, "{step:?}");
        }
        let untouched = listing(place.path());
        fs::write(whole.join("hole-table.csv"), "old").unwrap();
        for stop_at in 0..steps.len() {
            let new = place.path().join("new");
            let stopped = make_watched(&demo(), &analysis, &new, &some, &mut |p| p.done < stop_at);
            assert!(matches!(stopped, Err(MakeError::Stopped)), "{stop_at}: {stopped:?}");
            assert_eq!(listing(place.path()), untouched, "stopped at step {stop_at}");

            let again = Wanted { force: true, ..some.clone() };
            let replaced = make_watched(&demo(), &analysis, &whole, &again, &mut |p| p.done < stop_at);
            let table = fs::read(whole.join("hole-table.csv")).unwrap();
            assert_eq!(replaced.is_ok(), table != b"old", "all of it is new, or none, at step {stop_at}");
            fs::write(whole.join("hole-table.csv"), "old").unwrap();
        }
    }

    #[test]
    fn the_same_project_gives_the_same_bytes_of_every_file() {
        let project = demo();
        let analysis = analyse(&project, &Options::default());
        let kinds: Vec<&Kind> = KINDS.iter().collect();
        let made = |date: Option<&str>| {
            let wanted = Wanted { date: date.map(str::to_owned), ..Wanted::default() };
            let mut files = contents(&project, &analysis, &kinds, &wanted, &mut |_| true).unwrap();
            add_manifest(&mut files, &project, &analysis, wanted.dxf, None).unwrap();
            files
        };
        let (once, again) = (made(None), made(None));
        assert!(once.len() > 16 + 9, "{}", once.len());
        for (one, other) in once.iter().zip(&again) {
            assert!(one == other, "{}: other bytes the second time", one.path);
        }
        // A date of issue is on every framed sheet, and in no other file.
        let changed: Vec<String> = made(Some("2026-11-25"))
            .into_iter()
            .zip(&once)
            .filter(|(dated, bare)| dated != *bare)
            .map(|(dated, _)| dated.path)
            .collect();
        let sheets = ["drawings.pdf", "set-up-sheets.pdf", "wall-template.pdf", "mock-up.pdf", "job-sheet.pdf"];
        assert_eq!(changed, [&sheets[..], &[MANIFEST]].concat());
    }

    #[test]
    fn an_empty_folder_may_be_filled() {
        let folder = tempfile::tempdir().unwrap();
        let made = make(&demo(), folder.path(), &only(&["parts", "manifest"])).unwrap();
        assert_eq!(made.files.len(), 17);
        assert_eq!(listing(folder.path()).len(), 17);
    }

    #[test]
    fn only_takes_names_with_or_without_extension_and_refuses_others() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("job");
        let made = make(&demo(), &folder, &only(&["hole-table.csv", "project"])).unwrap();
        assert_eq!(made.files, ["hole-table.csv", PROJECT, MANIFEST]);
        let unknown = make(&demo(), &place.path().join("two"), &only(&["cheese"])).unwrap_err().to_string();
        assert!(unknown.contains("\"cheese\"") && unknown.contains("hole-table"), "{unknown}");
        // Asked for nothing, it makes nothing.
        let nothing = make(&demo(), &place.path().join("two"), &only(&["", " "])).unwrap_err().to_string();
        assert!(nothing.contains("called \"\""), "{nothing}");
        assert!(!place.path().join("two").exists());
    }

    #[test]
    fn what_stands_in_the_way_is_named_and_nothing_is_half_written() {
        let place = tempfile::tempdir().unwrap();
        let file = place.path().join("file");
        fs::write(&file, "kept").unwrap();
        let error = make(&demo(), &file, &Wanted { force: true, ..Wanted::default() }).unwrap_err().to_string();
        assert!(error.contains("file: a folder is expected"), "{error}");
        let error = make(&demo(), &file.join("below"), &Wanted::default()).unwrap_err().to_string();
        assert!(
            error.contains("file/below: ") && error.contains("file is a file, not a folder; give a place"),
            "{error}"
        );
        let deeper = make(&demo(), &file.join("below/job"), &Wanted::default()).unwrap_err().to_string();
        assert!(deeper.contains(&format!("{} is a file", file.display())), "{deeper}");
        let folder = place.path().join("job");
        fs::create_dir_all(folder.join("hole-table.csv")).unwrap();
        let error = make(&demo(), &folder, &Wanted { force: true, ..Wanted::default() }).unwrap_err().to_string();
        assert!(error.contains("hole-table.csv: a folder stands"), "{error}");
        assert!(!folder.join("parts").exists());
        assert_eq!(fs::read(&file).unwrap(), b"kept");
        assert_eq!(fs::read_dir(place.path()).unwrap().count(), 2);
    }
}
