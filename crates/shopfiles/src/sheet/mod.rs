//! Sheets of paper: a page as marks in millimetres, and what drawings need on it.
//!
//! Read in this order: [`paper`] sizes; [`pen`] lines and [`typeface`] letters; [`path`] shapes and
//! how a model comes onto a page; [`page`] the marks and whether a text lies over another;
//! [`figures`] and [`dimension`] after ISO 129; [`notices`] said on every sheet; [`frame`] border and
//! title block; [`table`]; [`flow`] text over pages;
//! [`tiles`] what is drawn 1:1 and larger than a sheet, cut by [`grid`] at places from [`axis`],
//! with [`joints`] and [`rulers`]; [`pdf`] the file.

pub mod axis;
pub mod dimension;
pub mod figures;
pub mod flow;
pub mod frame;
pub mod grid;
pub mod joints;
pub mod notices;
pub mod page;
pub mod paper;
pub mod path;
pub mod pdf;
pub mod pen;
pub mod rulers;
pub mod table;
pub mod tiles;
pub mod typeface;
