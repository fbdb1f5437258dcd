//! What a photo of twelve megapixels costs: decoding alone, and the whole measurement.

use divan::{Bencher, black_box};
use image::{ExtendedColorType, ImageEncoder, codecs::jpeg::JpegEncoder};
use swardbook_app::photo::{CardInFrame, MeasureChoices, decode, measure_photo, thumbnail};

fn main() {
    divan::main();
}

/// A picture of 4000 x 3000 pixels with detail everywhere, as JPEG.
fn photo() -> Vec<u8> {
    let (width, height) = (4000_u32, 3000_u32);
    let mut state = 7_u32;
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
    let bytes = photo();
    bencher.bench(|| decode(black_box(&bytes)));
}

#[divan::bench(sample_count = 10)]
fn measuring(bencher: Bencher<'_, '_>) {
    let bytes = photo();
    let choices = MeasureChoices::usual(CardInFrame::None);
    bencher.bench(|| measure_photo(black_box(&bytes), &choices));
}

#[divan::bench(sample_count = 10)]
fn small_picture(bencher: Bencher<'_, '_>) {
    let bytes = photo();
    bencher.bench(|| thumbnail(black_box(&bytes), 256));
}
