//! The records of a notebook as mergeable documents.
