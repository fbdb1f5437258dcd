//! What a photo of twelve megapixels costs: decoding alone, and the whole measurement against it.
//!
//! The last line says the ratio; `photo_batch.rs` keeps hundreds, and `benches/photo_reference.py`
//! does the same arithmetic with numpy.

use std::{
    io::Write,
    time::{Duration, Instant},
};

use divan::{Bencher, black_box};
use image::{ExtendedColorType, ImageEncoder, codecs::jpeg::JpegEncoder};
use swardbook_app::photo::{CardInFrame, MeasureChoices, decode, measure_photo, thumbnail};

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
}

fn say(words: &str) {
    let line = format!("{words}\n");
    std::io::stdout().write_all(line.as_bytes()).expect("said");
}
