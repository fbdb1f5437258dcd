//! Photos as files: what they say of themselves, their pixels, and what is refused.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::{fs, path::PathBuf};

use image::{
    ExtendedColorType, ImageEncoder, ImageFormat, RgbImage,
    codecs::{jpeg::JpegEncoder, png::PngEncoder, webp::WebPEncoder},
};
use proptest::prelude::*;
use swardbook_app::{
    Code, Problem,
    photo::{self, Kind, Profile},
};
use swardbook_imaging::primaries::ColourSpace;

mod exif_block;
use exif_block::exif_block;

const RGB: ExtendedColorType = ExtendedColorType::Rgb8;

/// A picture with every pixel different from its neighbours.
fn picture(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        let code = |number: u32| u8::try_from(number % 256).unwrap();
        image::Rgb([code(x * 7 + y), code(90 + y * 3), code(x * y)])
    })
}

fn png(picture: &RgbImage, exif: Option<Vec<u8>>, icc: Option<Vec<u8>>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = PngEncoder::new(&mut bytes);
    write(&mut encoder, exif, icc);
    encoder.write_image(picture, picture.width(), picture.height(), RGB).unwrap();
    bytes
}

fn jpeg(picture: &RgbImage, exif: Option<Vec<u8>>, icc: Option<Vec<u8>>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut bytes, 90);
    write(&mut encoder, exif, icc);
    encoder.write_image(picture, picture.width(), picture.height(), RGB).unwrap();
    bytes
}

fn webp(picture: &RgbImage, exif: Option<Vec<u8>>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = WebPEncoder::new_lossless(&mut bytes);
    write(&mut encoder, exif, None);
    encoder.write_image(picture, picture.width(), picture.height(), RGB).unwrap();
    bytes
}

fn write(encoder: &mut impl ImageEncoder, exif: Option<Vec<u8>>, icc: Option<Vec<u8>>) {
    if let Some(exif) = exif {
        encoder.set_exif_metadata(exif).unwrap();
    }
    if let Some(icc) = icc {
        encoder.set_icc_profile(icc).unwrap();
    }
}

#[track_caller]
fn refused<T: std::fmt::Debug>(result: Result<T, Problem>, words: &str) {
    let problem = result.unwrap_err();
    assert_eq!(problem.code, Code::BadFile, "{problem}");
    assert!(problem.message.contains(words), "{problem}");
}

#[test]
fn every_orientation_comes_out_as_published() {
    let path: PathBuf =
        [env!("CARGO_MANIFEST_DIR"), "..", "..", "fixtures", "published", "colour.toml"]
            .iter()
            .collect();
    let file: toml::Table = toml::from_str(&fs::read_to_string(path).unwrap()).unwrap();
    let checks = file["check"].as_array().unwrap();
    let check = checks.iter().find(|c| c["id"].as_str() == Some("exif-orientation")).unwrap();
    let matrix = |value: &toml::Value| -> Vec<Vec<i64>> {
        let row = |row: &toml::Value| {
            row.as_array().unwrap().iter().map(|n| n.as_integer().unwrap()).collect()
        };
        value.as_array().unwrap().iter().map(row).collect()
    };
    let stored = matrix(&check["inputs"]["stored"]);
    let picture = RgbImage::from_fn(3, 2, |x, y| {
        let code = u8::try_from(stored[y as usize][x as usize]).unwrap();
        image::Rgb([code, code, code])
    });
    for orientation in 1..=8_u8 {
        let expected = matrix(&check["expected"][orientation.to_string()]);
        let block = exif_block(orientation, "2026:09:14 10:32:05");
        for bytes in [png(&picture, Some(block.clone()), None), webp(&picture, Some(block.clone()))]
        {
            let pixels = photo::decode(&bytes).unwrap();
            let got: Vec<Vec<i64>> = pixels
                .rgb
                .chunks(3 * pixels.width as usize)
                .map(|row| row.chunks(3).map(|pixel| i64::from(pixel[0])).collect())
                .collect();
            assert_eq!(got, expected, "orientation {orientation}");
            let info = photo::read_photo(&bytes).unwrap();
            assert_eq!((info.width, info.height), (pixels.width, pixels.height), "upright size");
            assert_eq!(info.orientation, orientation, "as written");
        }
    }
}

#[test]
fn what_the_camera_wrote_is_read() {
    let check = |bytes: &[u8], kind: Kind| {
        let info = photo::read_photo(bytes).unwrap();
        assert_eq!(info.kind, kind, "format");
        let taken = info.taken.unwrap();
        assert_eq!(taken.local.to_string(), "2026-09-14 10:32:05", "local time");
        assert_eq!(taken.offset_minutes, Some(570), "nine and a half hours ahead");
        let position = info.position.unwrap();
        // 34 deg 55' 44.4" S, 138 deg 36' 0" E.
        assert!((position.latitude + 34.929).abs() < 1e-9, "{position:?}");
        assert!((position.longitude - 138.6).abs() < 1e-9, "{position:?}");
        assert!((info.exposure.seconds.unwrap() - 0.004).abs() < 1e-12, "a 250th of a second");
        assert!((info.exposure.f_number.unwrap() - 1.8).abs() < 1e-12, "aperture");
        assert_eq!(info.exposure.iso, Some(64), "sensitivity");
        assert_eq!(info.exposure.flash_fired, Some(false), "no flash");
        assert_eq!(info.profile, Profile::Known(ColourSpace::Srgb), "the camera says sRGB");
    };
    let picture = picture(40, 30);
    let block = || Some(exif_block(1, "2026:09:14 10:32:05"));
    check(&jpeg(&picture, block(), None), Kind::Jpeg);
    check(&png(&picture, block(), None), Kind::Png);
    check(&webp(&picture, block()), Kind::Webp);
}

#[test]
fn a_clock_that_was_never_set_is_no_date() {
    for never in ["0000:00:00 00:00:00", "    :  :     :  :  ", "1970:01:01 00:00:00", ""] {
        let bytes = jpeg(&picture(16, 16), Some(exif_block(1, never)), None);
        assert_eq!(photo::read_photo(&bytes).unwrap().taken, None, "{never:?}");
    }
}

#[test]
fn profiles_are_told_apart() {
    use moxcms::ColorProfile;
    let check = |profile: ColorProfile, expected: &dyn Fn(&Profile) -> bool| {
        let icc = profile.encode().unwrap();
        for bytes in [
            jpeg(&picture(16, 16), None, Some(icc.clone())),
            png(&picture(16, 16), None, Some(icc.clone())),
        ] {
            let got = photo::read_photo(&bytes).unwrap().profile;
            assert!(expected(&got), "{got:?}");
        }
    };
    check(ColorProfile::new_srgb(), &|p| *p == Profile::Known(ColourSpace::Srgb));
    check(ColorProfile::new_display_p3(), &|p| *p == Profile::Known(ColourSpace::DisplayP3));
    check(
        ColorProfile::new_adobe_rgb(),
        &|p| matches!(p, Profile::Other(name) if name.contains("Adobe")),
    );
    check(ColorProfile::new_bt2020(), &|p| matches!(p, Profile::Other(_)));
    let bare = jpeg(&picture(16, 16), None, None);
    assert_eq!(photo::read_photo(&bare).unwrap().profile, Profile::AssumedSrgb, "nothing said");
}

#[test]
fn a_small_picture_of_display_p3_is_in_srgb() {
    let flat = RgbImage::from_pixel(64, 64, image::Rgb([100, 140, 60]));
    let icc = moxcms::ColorProfile::new_display_p3().encode().unwrap();
    let small = photo::thumbnail(&png(&flat, None, Some(icc)), 16).unwrap();
    let shown = photo::decode(&small).unwrap();
    for (got, expected) in shown.rgb[..3].iter().zip(p3_as_srgb([100.0, 140.0, 60.0])) {
        assert!((f64::from(*got) - expected).abs() <= 2.0, "{got} for {expected}");
    }
}

/// By a colour library that is not ours.
fn p3_as_srgb(codes: [f32; 3]) -> [f64; 3] {
    let (from, to) = (moxcms::ColorProfile::new_display_p3(), moxcms::ColorProfile::new_srgb());
    let layout = moxcms::Layout::Rgb;
    let transform = from
        .create_transform_f32(layout, &to, layout, moxcms::TransformOptions::default())
        .unwrap();
    let mut out = [0.0_f32; 3];
    transform.transform(&codes.map(|code| code / 255.0), &mut out).unwrap();
    out.map(|channel| f64::from(channel) * 255.0)
}

#[test]
fn small_pictures_are_upright_and_tell_nothing_of_the_camera() {
    let block = exif_block(6, "2026:09:14 10:32:05");
    let bytes = jpeg(&picture(640, 480), Some(block), None);
    let small = photo::thumbnail(&bytes, photo::THUMBNAIL_SIDE).unwrap();
    let info = photo::read_photo(&small).unwrap();
    assert_eq!((info.width, info.height), (192, 256), "turned and fitted");
    assert_eq!((info.orientation, info.taken, info.position), (1, None, None), "nothing carried");
    let preview = photo::read_photo(&photo::preview(&bytes).unwrap()).unwrap();
    assert_eq!((preview.width, preview.height), (480, 640), "never enlarged");
}

#[test]
fn sixteen_bits_and_grey_and_transparency_become_plain_pixels() {
    let check = |picture: image::DynamicImage, expected: [u8; 3]| {
        let mut bytes = std::io::Cursor::new(Vec::new());
        picture.write_to(&mut bytes, ImageFormat::Png).unwrap();
        let pixels = photo::decode(bytes.get_ref()).unwrap();
        assert_eq!(pixels.rgb[..3], expected, "first pixel");
        assert_eq!(pixels.rgb.len(), 3 * 4 * 4, "three bytes each");
    };
    let deep = image::ImageBuffer::from_pixel(4, 4, image::Rgb([0xffff_u16, 0x8080, 0x0101]));
    check(image::DynamicImage::ImageRgb16(deep), [255, 128, 1]);
    let grey = image::GrayImage::from_pixel(4, 4, image::Luma([77]));
    check(image::DynamicImage::ImageLuma8(grey), [77; 3]);
    let clear = image::RgbaImage::from_pixel(4, 4, image::Rgba([10, 20, 30, 40]));
    check(image::DynamicImage::ImageRgba8(clear), [10, 20, 30]);
}

#[test]
fn bombs_are_refused_by_their_header() {
    let check = |width: u32, height: u32| {
        for bytes in [png_header(width, height), jpeg_header(3, width, height)] {
            refused(photo::read_photo(&bytes), "at most");
            refused(photo::decode(&bytes), "at most");
            refused(photo::thumbnail(&bytes, 256), "at most");
        }
    };
    check(60_000, 60_000);
    check(1, 65_000);
    check(65_000, 1);
    check(9_000, 9_000);
    refused(photo::read_photo(&png_header(1, 100_000)), "at most");
    refused(photo::read_photo(&png_header(u32::MAX / 2, u32::MAX / 2)), "");
    refused(photo::read_photo(&png_header(0, 10)), "");
    let large = vec![0xff; photo::MOST_BYTES + 1];
    refused(photo::read_photo(&large), "at most 100 MB");
}

/// A header that promises a size and nothing behind it.
fn png_header(width: u32, height: u32) -> Vec<u8> {
    let header = [&width.to_be_bytes()[..], &height.to_be_bytes(), &[8, 2, 0, 0, 0]].concat();
    [
        b"\x89PNG\r\n\x1a\n".to_vec(),
        png_chunk(*b"IHDR", &header),
        png_chunk(*b"IDAT", &[]),
        png_chunk(*b"IEND", &[]),
    ]
    .concat()
}

fn png_chunk(name: [u8; 4], data: &[u8]) -> Vec<u8> {
    let length = u32::try_from(data.len()).unwrap().to_be_bytes();
    let body = [&name[..], data].concat();
    // W3C PNG, annex D.
    let crc = !body.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |c, _| {
            if c & 1 == 1 { 0xedb8_8320 ^ (c >> 1) } else { c >> 1 }
        })
    });
    [&length[..], &body, &crc.to_be_bytes()].concat()
}

fn jpeg_header(channels: u8, width: u32, height: u32) -> Vec<u8> {
    let side = |side: u32| u16::try_from(side).unwrap().to_be_bytes();
    let mut frame = vec![8];
    frame.extend(side(height));
    frame.extend(side(width));
    frame.push(channels);
    for channel in 1..=channels {
        frame.extend([channel, 0x11, 0]);
    }
    let length = u16::try_from(frame.len() + 2).unwrap().to_be_bytes();
    let scan: Vec<u8> =
        [vec![channels], (1..=channels).flat_map(|c| [c, 0]).collect(), vec![0, 63, 0]].concat();
    let scan_length = u16::try_from(scan.len() + 2).unwrap().to_be_bytes();
    [
        &[0xff, 0xd8, 0xff, 0xc0][..],
        &length,
        &frame,
        &[0xff, 0xda],
        &scan_length,
        &scan,
        &[0xff, 0xd9],
    ]
    .concat()
}

#[test]
fn printing_inks_are_refused() {
    refused(photo::read_photo(&jpeg_header(4, 100, 100)), "printing inks");
}

#[test]
fn moving_pictures_are_refused() {
    // An animation control chunk after the header makes a PNG an animated one.
    let still = png(&picture(4, 4), None, None);
    let control = png_chunk(*b"acTL", &[0, 0, 0, 2, 0, 0, 0, 0]);
    let animated = [&still[..33], &control, &still[33..]].concat();
    refused(photo::read_photo(&animated), "moving picture");

    let still = webp(&picture(4, 4), None);
    let frame = &still[12..];
    let chunk = |name: &[u8; 4], data: &[u8]| {
        let length = u32::try_from(data.len()).unwrap().to_le_bytes();
        [&name[..], &length, data].concat()
    };
    let one = [&[0; 6][..], &[3, 0, 0, 3, 0, 0, 100, 0, 0, 0], frame].concat();
    let body = [
        b"WEBP".to_vec(),
        chunk(b"VP8X", &[2, 0, 0, 0, 3, 0, 0, 3, 0, 0]),
        chunk(b"ANIM", &[0; 6]),
        chunk(b"ANMF", &one),
        chunk(b"ANMF", &one),
    ]
    .concat();
    refused(photo::read_photo(&chunk(b"RIFF", &body)), "moving picture");
}

#[test]
fn a_photo_cut_short_is_shown_and_not_measured() {
    let bytes = jpeg(&picture(400, 300), None, None);
    let cut = &bytes[..bytes.len() / 2];
    refused(photo::decode(cut), "ends before its picture does");
    let small = photo::read_photo(&photo::thumbnail(cut, 64).unwrap()).unwrap();
    assert_eq!((small.width, small.height), (64, 48), "as far as it goes");
    let bytes = png(&picture(400, 300), None, None);
    refused(photo::decode(&bytes[..bytes.len() / 2]), "cut short");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn damaged_photos_are_answered_and_never_panic(
        which in 0..3_usize,
        places in prop::collection::vec((0..4000_usize, any::<u8>()), 1..20),
        cut in 0..4000_usize,
    ) {
        let block = Some(exif_block(6, "2026:09:14 10:32:05"));
        let icc = Some(moxcms::ColorProfile::new_display_p3().encode().unwrap());
        let mut bytes = match which {
            0 => jpeg(&picture(48, 32), block, icc),
            1 => png(&picture(48, 32), block, icc),
            _ => webp(&picture(48, 32), block),
        };
        for (place, byte) in places {
            let place = place % bytes.len();
            bytes[place] = byte;
        }
        bytes.truncate(bytes.len() - cut % (bytes.len() / 2));
        for result in [
            photo::read_photo(&bytes).map(|info| (info.width, info.height)),
            photo::decode(&bytes).map(|pixels| (pixels.width, pixels.height)),
            photo::thumbnail(&bytes, 32).map(|_| (1, 1)),
        ] {
            match result {
                Ok((width, height)) => prop_assert!(width > 0 && height > 0),
                Err(problem) => prop_assert_eq!(problem.code, Code::BadFile),
            }
        }
    }
}
