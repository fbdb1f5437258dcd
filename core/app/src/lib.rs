//! The use cases of Swardbook: everything a shell may ask of it.
