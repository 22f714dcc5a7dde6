//! The demos: ready projects that are part of the program, to be opened by name.

use overarm_shopfiles::project_file;
use overarm_solver::Project;

/// Field of a project file that says in a sentence what its lift is for.
const ABOUT: &str = "about";

/// Each with the name of its file in `demo/`. The first is the one that the window opens with; of
/// every other there is one in millimetres and one in feet and inches.
static FILES: [(&str, &[u8]); 7] = [
    ("chapel-hatch.overarm.json", include_bytes!("../../../../demo/chapel-hatch.overarm.json")),
    ("vestry-tea-hatch.overarm.json", include_bytes!("../../../../demo/vestry-tea-hatch.overarm.json")),
    ("vestry-tea-hatch-feet.overarm.json", include_bytes!("../../../../demo/vestry-tea-hatch-feet.overarm.json")),
    ("scullery-shelf.overarm.json", include_bytes!("../../../../demo/scullery-shelf.overarm.json")),
    ("scullery-shelf-feet.overarm.json", include_bytes!("../../../../demo/scullery-shelf-feet.overarm.json")),
    ("book-niche.overarm.json", include_bytes!("../../../../demo/book-niche.overarm.json")),
    ("book-niche-feet.overarm.json", include_bytes!("../../../../demo/book-niche-feet.overarm.json")),
];

/// A project that comes with the program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Demo(usize);

impl Demo {
    /// The one that the window opens with.
    pub const FIRST: Self = Self(0);

    /// Every one, the first one first.
    pub fn all() -> impl Iterator<Item = Self> {
        (0..FILES.len()).map(Self)
    }

    /// Name of its file in `demo/`.
    #[must_use]
    pub fn file_name(self) -> &'static str {
        FILES[self.0].0
    }

    /// The project.
    ///
    /// # Panics
    /// Never: demos are part of the program, and a test reads each.
    #[must_use]
    pub fn project(self) -> Project {
        match project_file::parse(FILES[self.0].1) {
            Ok(project) => project,
            Err(refused) => unreachable!("the built-in demo {} is refused: {refused}", self.file_name()),
        }
    }
}

/// The sentence that a project file says about its lift, if it does.
#[must_use]
pub fn about(project: &Project) -> Option<&str> {
    project.more.get(ABOUT)?.as_str()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_demo_is_read_and_says_what_it_is_for() {
        for demo in Demo::all() {
            let project = demo.project();
            assert!(project.title.is_some(), "{}", demo.file_name());
            assert!(about(&project).is_some_and(|text| text.ends_with('.')), "{}", demo.file_name());
        }
    }
}
