//! Estimators, intervals and tests.
