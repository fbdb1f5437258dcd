//! Any bytes handed in as a photo are read or refused, within bounded memory and without a panic.
//!
//! `cargo +nightly fuzz run photo` in `core/app`; the same corpus is run by `tests/photo_corpus.rs`.
#![no_main]

use libfuzzer_sys::fuzz_target;
use swardbook_app::photo;

fuzz_target!(|bytes: &[u8]| {
    let Ok(info) = photo::read_photo(bytes) else { return };
    // Large ones are bounded too, but would only slow the search.
    if u64::from(info.width) * u64::from(info.height) > 250_000 {
        return;
    }
    let Ok(pixels) = photo::decode(bytes) else { return };
    assert_eq!((info.width, info.height), (pixels.width, pixels.height), "as its header says");
    assert_eq!(pixels.rgb.len() as u64, 3 * u64::from(info.width) * u64::from(info.height));
    let _too_damaged = photo::small_pictures(bytes);
    if let Ok(bare) = photo::without_location(bytes) {
        let bare = photo::read_photo(&bare).expect("what was read is read again");
        assert_eq!(bare.position, None, "no position is given out");
    }
});
