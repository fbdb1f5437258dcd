//! The swardbook command.
fn main() {}
