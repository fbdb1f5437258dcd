//! Before and after: did the ground change, and did the treatment do it.

mod compare;
mod trial;

pub(super) use compare::COMPARE;
pub(super) use trial::TRIAL;
