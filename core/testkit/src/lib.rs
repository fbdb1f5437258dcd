//! What tests and benches need and nothing that is shipped may have.

mod bare_table;
mod deadline;

pub use bare_table::{BareTable, Beside};
pub use deadline::Deadline;
