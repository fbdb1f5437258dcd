//! What a photo of twelve megapixels costs: decoding alone, the whole measurement, and a batch that
//! is kept, against decoding it.
//!
//! The last lines say the ratios and the most memory that was held.
//! `SWARDBOOK_BATCH` is the number of photos in the batch (24 without it), and
//! `benches/photo_reference.py` does the same arithmetic with numpy.

use std::{
    io::Write,
    path::Path,
    time::{Duration, Instant},
};

use divan::{Bencher, black_box};
use image::{ExtendedColorType, ImageEncoder, codecs::jpeg::JpegEncoder};
use serde_json::json;
use swardbook_app::{
    FixedSurroundings, Notebook, call,
    photo::{CardInFrame, MeasureChoices, decode, measure_photo, thumbnail},
};
use swardbook_units::NaiveDate;

fn main() {
    divan::main();
    ratios();
}

/// A picture of 4000 x 3000 pixels with detail everywhere, as JPEG.
fn photo(seed: u32) -> Vec<u8> {
    let (width, height) = (4000_u32, 3000_u32);
    let mut state = seed;
    let mut rgb = Vec::with_capacity((3 * width * height) as usize);
    for _ in 0..width * height {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let [_, _, noise, _] = state.to_le_bytes();
        let shade = noise / 4;
        rgb.extend([50 + shade, 85 + shade, 40 + shade / 2]);
    }
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 90)
        .write_image(&rgb, width, height, ExtendedColorType::Rgb8)
        .expect("a drawn picture is encoded");
    bytes
}

#[divan::bench(sample_count = 10)]
fn decoding(bencher: Bencher<'_, '_>) {
    let bytes = photo(7);
    bencher.bench(|| decode(black_box(&bytes)));
}

#[divan::bench(sample_count = 10)]
fn measuring(bencher: Bencher<'_, '_>) {
    let bytes = photo(7);
    let choices = MeasureChoices::usual(CardInFrame::None);
    bencher.bench(|| measure_photo(black_box(&bytes), &choices));
}

#[divan::bench(sample_count = 10)]
fn small_picture(bencher: Bencher<'_, '_>) {
    let bytes = photo(7);
    bencher.bench(|| thumbnail(black_box(&bytes), 256));
}

#[expect(clippy::disallowed_methods, reason = "a benchmark reads the clock")]
fn timed<T>(work: impl FnOnce() -> T) -> (Duration, T) {
    let begun = Instant::now();
    let done = work();
    (begun.elapsed(), done)
}

/// The median of five.
fn median(mut work: impl FnMut()) -> Duration {
    let mut times: Vec<Duration> = (0..5).map(|_| timed(&mut work).0).collect();
    times.sort();
    times[2]
}

fn ratios() {
    let bytes = photo(7);
    let choices = MeasureChoices::usual(CardInFrame::None);
    let decoded = median(|| drop(black_box(decode(&bytes))));
    let measured = median(|| drop(black_box(measure_photo(&bytes, &choices))));
    say(&format!(
        "measuring / decoding: {:.2} ({measured:?} / {decoded:?})",
        measured.as_secs_f64() / decoded.as_secs_f64()
    ));
    batch();
}

fn batch() {
    let asked = std::env::var("SWARDBOOK_BATCH").ok().and_then(|text| text.parse().ok());
    let count: u32 = asked.unwrap_or(24);
    let scratch = tempfile::tempdir().expect("a scratch folder");
    let folder = scratch.path().join("camera");
    std::fs::create_dir(&folder).expect("made");
    let base = photo(11);
    for number in 0..count {
        // The same picture with another number behind its end: another file to the notebook.
        let mut bytes = base.clone();
        bytes.extend(number.to_le_bytes());
        std::fs::write(folder.join(format!("{number}.jpg")), bytes).expect("written");
    }
    let files: Vec<_> = std::fs::read_dir(&folder)
        .expect("read")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    let (decoding, ()) = timed(|| {
        for file in &files {
            drop(black_box(decode(&std::fs::read(file).expect("read"))));
        }
    });
    let mut notebook = notebook(scratch.path());
    let before = most_memory_mb();
    let photos: Vec<_> =
        files.iter().map(|path| json!({ "path": path, "zone": "Front verge" })).collect();
    let (keeping, added) =
        timed(|| call(&mut notebook, "photo.add", json!({ "photos": photos })).expect("kept"));
    assert_eq!(added["added"].as_array().map(Vec::len), Some(files.len()), "all are kept");
    say(&format!(
        "keeping {count} photos of 12 MP with small pictures / decoding them one by one: {:.2} \
         ({keeping:?} / {decoding:?}); most memory of the process {before} MB before, {} MB after",
        keeping.as_secs_f64() / decoding.as_secs_f64(),
        most_memory_mb()
    ));
}

fn notebook(scratch: &Path) -> Notebook {
    let day = NaiveDate::from_ymd_opt(2026, 9, 20).expect("a day");
    let surroundings = Box::new(FixedSurroundings::new(day, 3));
    let mut notebook = Notebook::create(&scratch.join("book"), surroundings).expect("made");
    for request in [
        json!({ "kind": "property", "fields": { "name": "Kettle Bend" } }),
        json!({ "kind": "zone", "within": "Kettle Bend", "fields": { "name": "Front verge" } }),
    ] {
        call(&mut notebook, "record.add", request).expect("added");
    }
    notebook
}

/// The most memory that the process held, where the system tells; 0 elsewhere.
fn most_memory_mb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    status
        .lines()
        .find_map(|line| {
            line.strip_prefix("VmHWM:")?.trim().strip_suffix("kB")?.trim().parse().ok()
        })
        .map_or(0, |kb: u64| kb / 1024)
}

fn say(words: &str) {
    let line = format!("{words}\n");
    std::io::stdout().write_all(line.as_bytes()).expect("said");
}
