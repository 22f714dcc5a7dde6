//! The window, driven by accessible names and keys as a person with assistive technology would; no
//! GPU.

mod access;
mod demos;
mod dragging;
mod harness;
mod idle;
mod loads;
mod numbers;
mod pictures;
mod recovery;
mod sheets;
mod tolerances;
mod views;
mod whole_job;
