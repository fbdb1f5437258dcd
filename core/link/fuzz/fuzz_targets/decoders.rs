//! Anything at all, read by every decoder of bytes from the network.
//!
//! `cargo +nightly fuzz run decoders` in `core/link`; the seeds lie in `corpus/decoders`, and an
//! ordinary test reads them and thousands of alterations.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let part = std::env::temp_dir().join(format!("swardbook-fuzz-{}", std::process::id()));
    swardbook_link::decoders::read_everything(bytes, &part);
});
