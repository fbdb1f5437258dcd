//! The corpus of the fuzz target, and thousands of damaged copies of it: read or refused, never a
//! panic, never a position given out.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::{fs, path::Path};

use swardbook_app::photo;

/// Damaged copies of each file; `SWARDBOOK_PHOTO_DAMAGES` asks for more.
fn damages() -> u32 {
    let asked = std::env::var("SWARDBOOK_PHOTO_DAMAGES").ok();
    asked.and_then(|text| text.parse().ok()).unwrap_or(120)
}

/// What the fuzz target does with bytes; says whether they were read.
fn feed(bytes: &[u8]) -> bool {
    let Ok(info) = photo::read_photo(bytes) else { return false };
    if u64::from(info.width) * u64::from(info.height) > 250_000 {
        return false;
    }
    let Ok(pixels) = photo::decode(bytes) else { return false };
    assert_eq!((info.width, info.height), (pixels.width, pixels.height), "as its header says");
    let _too_damaged = photo::small_pictures(bytes);
    if let Ok(bare) = photo::without_location(bytes) {
        let bare = photo::read_photo(&bare).unwrap();
        assert_eq!(bare.position, None, "no position is given out");
    }
    true
}

#[test]
fn the_corpus_and_damaged_copies_of_it_are_read_or_refused() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz/corpus/photo");
    let mut seeds: Vec<_> = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    seeds.sort();
    assert!(seeds.len() >= 10, "the corpus is there: {seeds:?}");
    let (mut read, mut state) = (0, 0x2545_f491_u32);
    let mut dice = |below: usize| {
        // Marsaglia G (2003) Xorshift RNGs, 32 bits.
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        state as usize % below.max(1)
    };
    for seed in &seeds {
        let bytes = fs::read(seed).unwrap();
        read += u32::from(feed(&bytes));
        for _ in 0..damages() {
            let mut damaged = bytes.clone();
            match dice(4) {
                0 => damaged.truncate(dice(bytes.len())),
                1 => {
                    // A run of bytes moved elsewhere, as a bad copy leaves it.
                    let (from, length) = (dice(bytes.len()), dice(64));
                    let run: Vec<u8> = bytes.iter().skip(from).take(length).copied().collect();
                    let at = dice(bytes.len());
                    damaged.splice(at..at, run);
                }
                _ => {
                    for _ in 0..=dice(6) {
                        let at = dice(damaged.len());
                        if let Some(byte) = damaged.get_mut(at) {
                            *byte = u8::try_from(dice(256)).unwrap();
                        }
                    }
                }
            }
            feed(&damaged);
        }
    }
    assert!(read >= 5, "whole photos among the seeds are read: {read}");
}
