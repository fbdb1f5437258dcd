//! Correction of a photo's colour in linear light, as one 3 x 3 matrix.

pub mod chart_fit;
pub mod grey;
