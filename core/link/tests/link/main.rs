//! Real devices: real stores, real QUIC on loopback, and two processes in two network namespaces.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(clippy::print_stdout, reason = "a test that cannot run says why")]

mod device;
mod exchange;
mod files;
mod namespaces;
mod pairing;
mod process;
mod relay;
mod strangers;
