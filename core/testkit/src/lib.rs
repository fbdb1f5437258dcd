//! What tests and benches need and nothing that is shipped may have.

mod bare_table;
mod stop_watch;

pub use bare_table::{BareTable, Beside};
pub use stop_watch::stop_watch;
