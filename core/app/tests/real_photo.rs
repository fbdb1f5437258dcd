//! A real photograph of grass, run whole.
//!
//! `GreenMeadow.jpg` of the Debian package mate-backgrounds 1.26.0-1 (GPL-2+), which is not part of
//! this source; `apt-get download mate-backgrounds` brings it.
//! Where it is not, the test says so.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::{io::Write, path::PathBuf};

use swardbook_app::album::measure_file;
use swardbook_units::NaiveDate;

fn meadow() -> Option<PathBuf> {
    let usual = "/usr/share/backgrounds/mate/nature/GreenMeadow.jpg";
    let path = std::env::var_os("SWARDBOOK_MEADOW").map_or_else(|| usual.into(), PathBuf::from);
    path.is_file().then_some(path)
}

/// Expected: decoded by Pillow 13.0.0, hue and saturation by scikit-image 0.26.0 `rgb2hsv`; mean
/// index of the pixels of hue 57 to 107 degrees 0.388895, its standard deviation 0.0709824, their
/// share 0.974228. Decoders differ by a code or two: index within 0.003, cover within 0.01.
#[test]
fn a_meadow_gives_what_general_libraries_give() {
    let Some(path) = meadow() else {
        let words =
            b"no meadow here: install mate-backgrounds, or name the file in SWARDBOOK_MEADOW\n";
        std::io::stderr().write_all(words).unwrap();
        return;
    };
    let request = serde_json::json!({ "path": path, "card": "none" });
    let day = NaiveDate::from_ymd_opt(2026, 9, 20).unwrap();
    let view = measure_file(&serde_json::from_value(request).unwrap(), day).unwrap();
    assert_eq!((view.width, view.height), (1280, 1024));
    let index = view.index.unwrap().value;
    assert!((index - 0.388_895).abs() < 0.003, "{index}");
    assert!((view.index_spread.unwrap() - 0.070_982_4).abs() < 0.003, "{:?}", view.index_spread);
    assert!((view.cover.value - 0.974_228).abs() < 0.01, "{:?}", view.cover);
    assert!(!view.is_evidence, "no card stands in it");
    // Nothing in it is taken for a card.
    let request = serde_json::json!({ "path": path });
    let auto = measure_file(&serde_json::from_value(request).unwrap(), day).unwrap();
    assert_eq!(auto.card, "none", "{:?}", auto.tried);
}
