//! A photo without what it tells of where it was taken.
//!
//! The picture's own bytes are not touched; only the notes beside it go.

use exif::{Field, In, Tag, Value, experimental::Writer};
use img_parts::{ImageEXIF, jpeg::Jpeg, png::Png, webp::WebP};

use super::{Kind, exposure::Facts, read_photo, unreadable};
use crate::Problem;

/// The same picture with its orientation, its day and its colour profile, and nothing else of the
/// notes that came with it: no position, no words, no thumbnail, no second picture behind it.
///
/// # Errors  `BadFile` as [`read_photo`].
pub fn without_location(bytes: &[u8]) -> Result<Vec<u8>, Problem> {
    let info = read_photo(bytes)?;
    let notes = notes(info.orientation, info.taken.map(|taken| taken.local))?;
    let broken = |e: img_parts::Error| unreadable(format!("the photo's parts: {e}"));
    let source = img_parts::Bytes::copy_from_slice(bytes);
    let mut out = Vec::new();
    let written = match info.kind {
        Kind::Jpeg => {
            let mut jpeg = Jpeg::from_bytes(source).map_err(broken)?;
            jpeg.segments_mut().retain(|segment| is_picture(segment.marker(), segment.contents()));
            jpeg.set_exif(Some(notes.into()));
            jpeg.encoder().write_to(&mut out)
        }
        Kind::Png => {
            let mut png = Png::from_bytes(source).map_err(broken)?;
            png.chunks_mut().retain(|chunk| PNG_KEPT.contains(&&chunk.kind()));
            png.set_exif(Some(notes.into()));
            png.encoder().write_to(&mut out)
        }
        Kind::Webp => {
            let mut webp = WebP::from_bytes(source).map_err(broken)?;
            webp.chunks_mut().retain(|chunk| WEBP_KEPT.contains(&&chunk.id()));
            webp.set_exif(Some(notes.into()));
            webp.encoder().write_to(&mut out)
        }
    };
    written.map_err(|e| unreadable(format!("the photo's parts: {e}")))?;
    Ok(out)
}

/// Chunks of a PNG that its picture needs.
const PNG_KEPT: [&[u8; 4]; 11] = [
    b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND", b"iCCP", b"sRGB", b"gAMA", b"cHRM", b"sBIT",
    b"pHYs",
];

/// Chunks of a WebP that its picture needs.
const WEBP_KEPT: [&[u8; 4]; 5] = [b"VP8 ", b"VP8L", b"VP8X", b"ALPH", b"ICCP"];

/// Whether a segment of a JPEG belongs to its picture: everything but the notes of applications
/// and comments, of which the colour profile and Adobe's word on the colours stay.
fn is_picture(marker: u8, contents: &[u8]) -> bool {
    match marker {
        // APP0 holds a size and perhaps a small picture; only the plain form stays.
        0xe0 => contents.starts_with(b"JFIF\0"),
        0xe2 => contents.starts_with(b"ICC_PROFILE\0"),
        0xee => contents.starts_with(b"Adobe"),
        0xe1 | 0xe3..=0xed | 0xef | 0xfe => false,
        _ => true,
    }
}

fn notes(orientation: u8, taken: Option<chrono::NaiveDateTime>) -> Result<Vec<u8>, Problem> {
    let mut fields = vec![Field {
        tag: Tag::Orientation,
        ifd_num: In::PRIMARY,
        value: Value::Short(vec![u16::from(orientation)]),
    }];
    if let Some(taken) = taken {
        let text = taken.format("%Y:%m:%d %H:%M:%S").to_string();
        fields.push(Field {
            tag: Tag::DateTimeOriginal,
            ifd_num: In::PRIMARY,
            value: Value::Ascii(vec![text.into_bytes()]),
        });
    }
    let mut writer = Writer::new();
    for field in &fields {
        writer.push_field(field);
    }
    let mut block = std::io::Cursor::new(Vec::new());
    writer
        .write(&mut block, false)
        .map_err(|e| unreadable(format!("the photo's orientation cannot be written: {e}")))?;
    let block = block.into_inner();
    debug_assert!(Facts::read(Some(block.clone())).position.is_none(), "no position was written");
    Ok(block)
}
