//! Finding a card in a photo by itself, to save marking its corners by hand.
//!
//! What is found is a proposal that a person sees and may move; what is not sure is not found.

mod chart;
mod grey_card;
mod markers;
mod reduced;

pub use chart::{FoundChart, find_chart, sheet_outline};
pub use grey_card::{FoundGreyCard, find_grey_card};
