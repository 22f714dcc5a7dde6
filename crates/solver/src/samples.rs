//! Projects that the tests of this crate start from.

use crate::project::Project;

/// The hatch board with geometry and drive only.
pub fn board() -> Project {
    read(include_str!("../../../tests/golden/chapel-hatch/project.overarm.json"))
}

/// The hatch board with everything that a project can give.
pub fn complete_board() -> Project {
    read(include_str!("../../../tests/golden/chapel-hatch/complete.overarm.json"))
}

/// The hatch board that the program comes with.
pub fn demo_board() -> Project {
    read(include_str!("../../../demo/chapel-hatch.overarm.json"))
}

fn read(text: &str) -> Project {
    serde_json::from_str(text).expect("a project")
}
