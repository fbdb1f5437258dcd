//! What a person reads: one module a subject, all of them on one kind of page.

mod page;
mod value;

pub(crate) mod calc;
pub(crate) mod compare;
pub(crate) mod demo;
pub(crate) mod devices;
pub(crate) mod figure;
pub(crate) mod ground;
pub(crate) mod material;
pub(crate) mod observation;
pub(crate) mod panel;
pub(crate) mod photo;
pub(crate) mod plan;
pub(crate) mod preview;
pub(crate) mod progress;
pub(crate) mod record;
pub(crate) mod sample;
pub(crate) mod standing;
pub(crate) mod status;
pub(crate) mod today;
pub(crate) mod working;

use std::io::Write;

pub(crate) use page::{Column, Page, Workings};
pub(crate) use value::{
    kept_quantity, list, measure_in, number, quantity, range, text, worked, worked_quantity,
};

/// Writes to standard output; a reader that went away, such as `head`, is no error of ours.
pub(crate) fn out(text: &str) {
    let _reader_went_away = std::io::stdout().lock().write_all(text.as_bytes());
}

/// Writes to standard error.
pub(crate) fn err(text: &str) {
    let _reader_went_away = std::io::stderr().lock().write_all(text.as_bytes());
}
