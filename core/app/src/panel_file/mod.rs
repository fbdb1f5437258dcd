//! Reads a laboratory's panel file into samples and readings, with nothing dropped silently.
//!
//! [`open`], [`decode`] or [`paste`] give the cells as they stand; [`propose`] says how they may be
//! read, or [`best_fit`] finds the remembered [`Mapping`] of the same laboratory; [`apply`] reads.
//! Every filled cell becomes a heading, an attribute or a reading, is listed as unread with its
//! place and reason, or is left out by a rule of the mapping.
//!
//! What is not plain is a [`Question`] and not a guess; [`Mapping::answer`] takes the answer.
//! Nothing is converted here, nothing is written, and the original file is not kept.

mod apply;
mod asking;
mod attribute;
mod cell_value;
mod columns;
mod decimal;
mod delimited;
mod encoding;
mod fit;
mod grid;
mod heading_words;
mod layout;
mod ledger;
mod limits;
mod long;
mod long_names;
mod mapping;
mod mention;
mod naming;
mod open;
mod outcome;
mod paste;
mod problem;
mod propose;
mod reading_cell;
mod reason;
mod sample_rows;
mod samples;
mod sections;
mod sniff;
mod unit_words;
mod view;
mod vocabulary;
mod wide;
mod workbook;

pub use apply::apply;
pub use attribute::Attribute;
pub use cell_value::{TypedValue, read_typed};
pub use decimal::DecimalRule;
pub use delimited::Delimiter;
pub use encoding::TextEncoding;
pub use fit::{Fingerprint, best_fit, fingerprint};
pub use grid::{CellKind, Grid, Merged};
pub use limits::{MOST_BYTES, MOST_CELLS, MOST_COLUMNS, MOST_ROWS};
pub use mapping::{
    AnalyteRule, ColumnRule, DateRule, Layout, Mapping, NameRule, Role, TableMapping,
};
pub use open::{Form, Sheets, decode, decode_bytes, open};
pub use outcome::{
    Answer, Ask, Beside, CellCount, Ignored, Imported, ImportedReading, ImportedSample, Note,
    Place, Question, SampleAttributes, Unread,
};
pub use paste::paste;
pub use problem::PanelFileError;
pub use propose::{propose, propose_at};
pub use reason::Reason;
