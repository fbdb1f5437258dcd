//! Estimators, intervals and tests.
//!
//! Pure numbers in, numbers out: no clock, no files, and every random draw comes from the caller.
//! Error rates, levels and variations are ratios (0.05, 0.95), not percent.
//! It does not own analytes, guidelines or what a comparison needs to be allowed
//! (`swardbook-agronomy`), nor words for the reader.

pub mod agreement;
pub mod anova;
pub mod baci;
pub mod bayes;
pub mod censored;
pub mod change;
pub mod components;
pub mod describe;
pub mod distribution;
mod error;
pub mod halton;
pub mod interval;
pub mod linear_model;
pub mod lognormal;
pub mod multiplicity;
pub mod permutation;
pub mod power;
pub mod regression_to_mean;
pub mod sample_size;
pub mod stratified;
pub mod t_test;
pub mod uncertainty;

pub use error::StatsError;
