//! Overarm: the window and the commands over the solver and the shop files.
//!
//! Read in this order: [`session`] (the document, its history, what may be done to it; no egui),
//! [`window`] (draws the session and returns actions), [`commands`] (the same job from a shell).

pub mod commands;
pub mod session;
pub mod window;
