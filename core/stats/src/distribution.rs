//! The distributions that the tests and intervals rest on.
//!
//! Central ones come from `statrs` and are polished where its quantiles lose digits; the noncentral
//! t is written here, because planning a trial needs it.

mod central;
mod noncentral_t;

pub use central::{
    chi_squared_quantile, f_upper_tail, normal_cdf, normal_quantile, t_cdf, t_quantile,
    t_two_sided_p,
};
pub use noncentral_t::noncentral_t_cdf;

pub(crate) use central::{normal_density, t_coverage_factor};
