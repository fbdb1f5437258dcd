//! What tests and benches need and nothing that is shipped may have.

mod bare_table;

pub use bare_table::{BareTable, Beside};
