//! Everything of a wall lift that becomes or comes from a file.
//!
//! Read in this order:
//!
//! 1. [`project_file`]: a project in and out, and the sentence that says why one is refused.
//! 2. [`job_folder`]: what a shop gets, and the one list of file kinds.
//! 3. One file kind each: [`parts_dxf`], [`step`], [`hole_table`], [`cut_list`], [`inspection_csv`], [`picture`], [`wall_template`],
//!    [`mock_up`], [`job_sheet`], [`part_drawings`], [`set_up_sheets`], [`manifest`].
//! 4. [`sheet`]: pages, and how they become PDF; [`issue_date`]: the date on them.
//! 5. [`measured_csv`]: what was measured on the parts, from the filled-in inspection sheet.
//! 6. [`atomic_write`]: how a file gets to the disk whole or not at all.
//!
//! Nothing here computes what a lift does; that is the solver's. Nothing here knows a window.

pub mod atomic_write;
mod building;
pub mod cut_list;
pub mod drawing;
mod field_words;
pub mod fixed_point;
pub mod hole_table;
pub mod inspection_csv;
pub mod issue_date;
pub mod job_folder;
pub mod job_sheet;
pub mod manifest;
pub mod measured_csv;
pub mod mock_up;
pub mod part_drawings;
pub mod parts_dxf;
pub mod picture;
mod picture_canvas;
mod pretty_json;
pub mod project_file;
mod room_fill;
pub mod set_up_sheets;
pub mod sheet;
pub mod step;
pub mod wall_template;
