//! Real `swardbook` processes on several devices, each in a network namespace of its own, joined by
//! a cable (or a switch) and nothing else: no default route, no internet, and the cable can be
//! pulled.
//!
//! The namespaces are made as an unprivileged user may make them; where that is not allowed each
//! test says so and runs on loopback instead, as far as it needs no cable.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(clippy::print_stdout, reason = "a test that cannot run says why")]

mod cured;
mod device;
mod kills;
mod network;
mod sync;
