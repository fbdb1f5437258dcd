//! The figures of the notebook: season line, interval rows, plan drawing and series.
//!
//! Each figure is drawn from rows defined here and returned as one SVG text with a title, a
//! description and a table that says the same in words, so that the window, a printed report and
//! the command line show the same picture.
//! This crate does not own the rows' origin, any calculation, any clock or file, or the words: they
//! come in with the rows and in [`Words`].
//!
//! # What a page has to know
//!
//! With [`Theme::FollowPage`] every colour is a CSS custom property of the page (`--ink`, `--ink-2`,
//! `--paper`, `--leaf`, `--rule`, `--rule-2`, `--before`, `--after`, `--control`, `--limit`,
//! `--accent`, `--warn`, `--focus`), and text is set in `--sans`.
//! They are presentation attributes, so a strict content security policy lets them through; a rule
//! of the page for `svg text` would override them, so it must leave `.sb-fig` alone.
//! Hover and focus rings live in [`STYLE_SHEET`], which the page includes once.
//!
//! The root is `<svg class="sb-fig sb-fig-NAME" role="img" tabindex="0">`, labelled by its `<title>`
//! and described by its `<desc>`.
//! Each mark is `<g class="sb-mark sb-KIND">` with
//!
//! - `data-mark`: its number from 0 in reading order; arrow keys walk it.
//! - `data-readout`: one sentence that says everything about the mark.
//! - `data-row`: the number of its row in [`Figure::table`], for lighting up that row. A mark that
//!   stands for several rows lists them, separated by spaces.
//! - `data-id`: the record it came from, when the row gave one.
//!
//! The marks themselves take no `tabindex`: an image's children are presentational to assistive
//! technology, so a focusable child would be announced as nothing, and three thousand tab stops
//! help nobody.
//! The figure is one tab stop, and the window's script moves `class="sb-at"` from mark to mark and
//! speaks `data-readout` in a live region.

mod advance;
mod canvas;
mod crowd;
mod escape;
mod figure;
pub mod intervals;
mod legend;
mod look;
mod mark;
mod number_axis;
mod packing;
mod palette;
pub mod plan_drawing;
pub mod season;
pub mod series;
mod taken;
mod text;
mod time_axis;
mod words;

pub use figure::{BoxKind, DataTable, Figure, FigureError, PlacedBox};
pub use look::{Look, STYLE_SHEET, Theme};
pub use palette::Skin;
pub use words::{DateOrder, Hemisphere, LengthUnit, Words};
