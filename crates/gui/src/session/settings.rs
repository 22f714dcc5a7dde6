//! What is remembered between runs: how the window looks, where it stood, what was opened.
//!
//! A small JSON file of its own in the user's configuration folder. A file that cannot be read
//! counts as none; keys that this version does not know are kept.

use std::path::{Path, PathBuf};

use overarm_shopfiles::atomic_write::{WriteError, write_whole};
use serde_json::{Map, Value, json};

use super::action::{Detail, Plotted};
use super::recent::Recent;

/// Text sizes that can be chosen, percent of the usual.
pub const TEXT_PERCENT: [u16; 5] = [100, 125, 150, 175, 200];

/// Where the program keeps what is its own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Places {
    /// The settings file.
    pub settings: PathBuf,
    /// The folder for work that has no file yet, and for what says which window has a file open.
    pub state: PathBuf,
}

impl Places {
    /// Those of this user after the XDG base directory specification; none without a home.
    #[must_use]
    pub fn of_user() -> Option<Self> {
        let home = std::env::var_os("HOME").map(PathBuf::from).filter(|home| home.is_absolute());
        let base = |variable: &str, below_home: &str| {
            // The specification: a path that is not absolute is to be ignored.
            let set = std::env::var_os(variable).map(PathBuf::from).filter(|path| path.is_absolute());
            set.or_else(|| home.as_ref().map(|home| home.join(below_home)))
        };
        Some(Self {
            settings: base("XDG_CONFIG_HOME", ".config")?.join("overarm/settings.json"),
            state: base("XDG_STATE_HOME", ".local/state")?.join("overarm"),
        })
    }

    /// Both below one folder, such as a temporary one.
    #[must_use]
    pub fn below(folder: &Path) -> Self {
        Self { settings: folder.join("settings.json"), state: folder.join("state") }
    }
}

/// Light, dark, or as the system says.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Appearance {
    /// As the system says.
    #[default]
    System,
    /// Dark ink on light paper.
    Light,
    /// Light ink on dark paper.
    Dark,
}

impl Appearance {
    const ALL: [Self; 3] = [Self::System, Self::Light, Self::Dark];

    fn name(self) -> &'static str {
        match self {
            Self::System => "system",
            Self::Light => "light",
            Self::Dark => "dark",
        }
    }
}

/// Where the window stood, in points of the screen at a text size of 100 %.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindowPlace {
    /// Left and top edge; none where the system does not tell.
    pub at: Option<[f32; 2]>,
    /// Width and height of what is inside the frame.
    pub size: [f32; 2],
    /// Width and height of the screen it stood on.
    pub screen: Option<[f32; 2]>,
    /// Whether it filled the screen.
    pub maximized: bool,
}

/// Everything that is remembered.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// Light or dark.
    pub appearance: Appearance,
    /// Size of text and of all that goes with it: one of [`TEXT_PERCENT`].
    pub text_percent: u16,
    /// Whether things change at once instead of sliding and fading.
    pub reduce_motion: bool,
    /// Whether the plots over the travel are shown.
    pub plots_open: bool,
    /// What they are of.
    pub plotted: Plotted,
    /// Whether the hints for newcomers are shown, until they are sent away.
    pub hints: bool,
    /// What is left out of the drawing.
    pub left_out: Vec<Detail>,
    /// Where the window stood.
    pub window: Option<WindowPlace>,
    /// Files opened and saved before.
    pub recent: Recent,
}

/// What is left out until it is asked for, when forces, hands or errors are the question.
const UNASKED: [Detail; 3] = [Detail::Forces, Detail::PinchGaps, Detail::Errors];
/// What could be shown before the file said what could.
const COULD_SHOW_FIRST: [Detail; 3] = [Detail::Reliefs, Detail::SweptArea, Detail::Strap];

impl Default for Settings {
    fn default() -> Self {
        Self {
            appearance: Appearance::System,
            text_percent: TEXT_PERCENT[0],
            reduce_motion: false,
            plots_open: true,
            plotted: Plotted::default(),
            hints: true,
            left_out: UNASKED.to_vec(),
            window: None,
            recent: Recent::default(),
        }
    }
}

impl Settings {
    /// As they stand in a file; the usual ones where there is none or it is damaged.
    #[must_use]
    pub fn read(file: &Path) -> Self {
        Self::from_keys(&keys_in(file))
    }

    /// Writes them, whole or not at all. What another window added to the recent files stays.
    ///
    /// # Errors
    /// Where the file or its folder cannot be written.
    pub fn write(&self, file: &Path) -> Result<(), WriteError> {
        if let Some(folder) = file.parent() {
            // Where this fails, the writing itself says why.
            let _ = std::fs::create_dir_all(folder);
        }
        let mut keys = keys_in(file);
        let mut merged = self.clone();
        merged.recent.add_behind(&Recent::from_json(keys.get("recent")));
        merged.put_into(&mut keys);
        let text = serde_json::to_string_pretty(&Value::Object(keys)).unwrap_or_default();
        write_whole(file, format!("{text}\n").as_bytes())
    }

    /// The next larger text size; none when it is the largest.
    #[must_use]
    pub fn larger_text(&self) -> Option<u16> {
        TEXT_PERCENT.into_iter().find(|percent| *percent > self.text_percent)
    }

    /// The next smaller text size; none when it is the smallest.
    #[must_use]
    pub fn smaller_text(&self) -> Option<u16> {
        TEXT_PERCENT.into_iter().rev().find(|percent| *percent < self.text_percent)
    }

    fn from_keys(keys: &Map<String, Value>) -> Self {
        let usual = Self::default();
        let flag = |key: &str, usual: bool| keys.get(key).and_then(Value::as_bool).unwrap_or(usual);
        let word = keys.get("appearance").and_then(Value::as_str);
        let percent = keys.get("text_percent").and_then(Value::as_u64);
        let plotted = keys.get("plotted").and_then(Value::as_str);
        let names = |key: &str| {
            let names = keys.get(key).and_then(Value::as_array)?;
            Some(names.iter().filter_map(Value::as_str).collect::<Vec<_>>())
        };
        // A file says nothing of what its version could not show yet: that is as usual.
        let could_show = names("could_show").unwrap_or_else(|| COULD_SHOW_FIRST.map(Detail::name).to_vec());
        let left_out = names("left_out").map(|left_out| {
            let is_left_out = |detail: &Detail| match could_show.contains(&detail.name()) {
                true => left_out.contains(&detail.name()),
                false => left_out.contains(&detail.name()) || UNASKED.contains(detail),
            };
            Detail::ALL.into_iter().filter(is_left_out).collect()
        });
        Self {
            appearance: Appearance::ALL.into_iter().find(|a| Some(a.name()) == word).unwrap_or_default(),
            text_percent: TEXT_PERCENT.into_iter().find(|p| Some(u64::from(*p)) == percent).unwrap_or(TEXT_PERCENT[0]),
            reduce_motion: flag("reduce_motion", usual.reduce_motion),
            plots_open: flag("plots_open", usual.plots_open),
            plotted: Plotted::ALL.into_iter().find(|p| Some(p.name()) == plotted).unwrap_or_default(),
            hints: flag("hints", usual.hints),
            left_out: left_out.unwrap_or(usual.left_out),
            window: keys.get("window").and_then(window_from_json),
            recent: Recent::from_json(keys.get("recent")),
        }
    }

    fn put_into(&self, keys: &mut Map<String, Value>) {
        let left_out: Vec<_> = self.left_out.iter().map(|detail| detail.name()).collect();
        for (key, value) in [
            ("appearance", json!(self.appearance.name())),
            ("text_percent", json!(self.text_percent)),
            ("reduce_motion", json!(self.reduce_motion)),
            ("plots_open", json!(self.plots_open)),
            ("plotted", json!(self.plotted.name())),
            ("hints", json!(self.hints)),
            ("left_out", json!(left_out)),
            ("could_show", json!(Detail::ALL.map(Detail::name))),
            ("recent", self.recent.to_json()),
        ] {
            keys.insert(key.to_owned(), value);
        }
        if let Some(window) = self.window {
            let value = json!({
                "at": window.at, "size": window.size, "screen": window.screen, "maximized": window.maximized,
            });
            keys.insert("window".to_owned(), value);
        }
    }
}

fn keys_in(file: &Path) -> Map<String, Value> {
    let text = std::fs::read(file).unwrap_or_default();
    match serde_json::from_slice(&text) {
        Ok(Value::Object(keys)) => keys,
        _ => Map::new(),
    }
}

fn window_from_json(value: &Value) -> Option<WindowPlace> {
    // Larger than any wall of screens; smaller than the least window. A damaged file must not
    // open a window that nobody can find.
    const FARTHEST: f64 = 20_000.0;
    const LEAST: f64 = 200.0;
    let pair = |key: &str, least: f64| {
        let pair = value.get(key)?.as_array()?;
        let [first, second] = [pair.first()?.as_f64()?, pair.get(1)?.as_f64()?];
        #[allow(clippy::cast_possible_truncation)] // the screen is f32, and the range is checked
        let inside = [first, second].iter().all(|v| (least..=FARTHEST).contains(v));
        #[allow(clippy::cast_possible_truncation)] // as above
        inside.then_some([first as f32, second as f32])
    };
    Some(WindowPlace {
        at: pair("at", 0.0),
        size: pair("size", LEAST)?,
        screen: pair("screen", LEAST),
        maximized: value.get("maximized").and_then(Value::as_bool).unwrap_or(false),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn changed() -> Settings {
        let mut recent = Recent::default();
        recent.note(Path::new("/jobs/hatch.overarm.json"));
        Settings {
            appearance: Appearance::Dark,
            text_percent: 150,
            reduce_motion: true,
            plots_open: false,
            plotted: Plotted::Hinges,
            hints: false,
            left_out: vec![Detail::SweptArea],
            window: Some(WindowPlace {
                at: Some([40.0, 30.5]),
                size: [1000.0, 700.0],
                screen: Some([1920.0, 1080.0]),
                maximized: false,
            }),
            recent,
        }
    }

    #[test]
    fn what_is_written_reads_back_and_unknown_keys_stay() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("deep/settings.json");
        assert_eq!(Settings::read(&file), Settings::default());
        changed().write(&file).unwrap();
        assert_eq!(Settings::read(&file), changed());

        let text = std::fs::read_to_string(&file).unwrap().replacen('{', "{\"of_a_later_version\": 7,", 1);
        std::fs::write(&file, text).unwrap();
        Settings { text_percent: 200, ..changed() }.write(&file).unwrap();
        assert_eq!(Settings::read(&file).text_percent, 200);
        assert!(std::fs::read_to_string(&file).unwrap().contains("of_a_later_version"));
    }

    /// A file that was written when arrows could not be shown yet must not turn them on.
    #[test]
    fn what_an_old_file_could_not_know_is_as_usual() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("settings.json");
        let left_out = |text: &str| {
            std::fs::write(&file, text).unwrap();
            Settings::read(&file).left_out
        };
        assert_eq!(left_out("{\"left_out\": []}"), UNASKED);
        assert_eq!(
            left_out("{\"left_out\": [\"Strap\"]}"),
            [Detail::Strap, Detail::Forces, Detail::PinchGaps, Detail::Errors]
        );
        let before_gaps = "{\"left_out\": [], \"could_show\": [\"Reliefs\", \"Swept area\", \"Strap\", \"Forces\"]}";
        assert_eq!(left_out(before_gaps), [Detail::PinchGaps, Detail::Errors]);
        let all = Settings { left_out: Vec::new(), ..Settings::default() };
        all.write(&file).unwrap();
        assert_eq!(Settings::read(&file), all, "what was asked for stays shown");
    }

    #[test]
    fn damaged_files_and_odd_values_count_as_none() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("settings.json");
        for text in [
            "",
            "{\"text_pe",
            "[]",
            "{\"text_percent\": 150000, \"appearance\": 7, \"left_out\": \"all\", \"recent\": [1, {}]}",
            "{\"window\": {\"size\": [1e300, -1]}}",
            "{\"window\": {\"size\": [3, 3], \"at\": [-99999, 0]}}",
        ] {
            std::fs::write(&file, text).unwrap();
            assert_eq!(Settings::read(&file), Settings::default(), "{text}");
            changed().write(&file).unwrap();
            assert_eq!(Settings::read(&file), changed(), "{text}");
        }
    }

    #[test]
    fn two_windows_keep_each_others_recent_files() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("settings.json");
        let (mut one, mut two) = (Settings::default(), Settings::default());
        one.recent.note(Path::new("/a.overarm.json"));
        two.recent.note(Path::new("/b.overarm.json"));
        one.write(&file).unwrap();
        two.write(&file).unwrap();
        let paths: Vec<_> = Settings::read(&file).recent.paths().map(Path::to_path_buf).collect();
        assert_eq!(paths, [PathBuf::from("/b.overarm.json"), PathBuf::from("/a.overarm.json")]);
    }

    #[test]
    fn text_goes_from_its_usual_size_to_twice_that() {
        let mut settings = Settings::default();
        let mut sizes = vec![settings.text_percent];
        while let Some(larger) = settings.larger_text() {
            settings.text_percent = larger;
            sizes.push(larger);
        }
        assert_eq!(sizes, TEXT_PERCENT);
        while let Some(smaller) = settings.smaller_text() {
            settings.text_percent = smaller;
        }
        assert_eq!(settings.text_percent, 100);
    }
}
