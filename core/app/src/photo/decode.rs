//! Pixels of a photo, within hard limits.

use std::io::Cursor;

use image::{
    DynamicImage, ImageDecoder, ImageError, Limits,
    codecs::{jpeg::JpegDecoder, png::PngDecoder, webp::WebPDecoder},
    metadata::Orientation,
};
use swardbook_imaging::primaries::ColourSpace;

use super::{Kind, Profile, exposure::Facts, jpeg_marks::jpeg_marks, unreadable};
use crate::Problem;

/// The most bytes that a photo's file may have.
pub const MOST_BYTES: usize = 100 << 20;
/// The most pixels that are decoded: a 50-megapixel phone fits, and 200 MB hold it.
pub const MOST_PIXELS: u64 = 64_000_000;
/// The longest side.
pub const LONGEST_SIDE: u32 = 20_000;
/// The most memory for the pixels as stored, which may be 16 bits deep.
const MOST_STORED: u64 = 400 << 20;

/// The pixels of a photo, turned upright: red, green, blue, a byte each, row by row from the top.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pixels {
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
    /// 3 x width x height bytes.
    pub rgb: Vec<u8>,
    /// The colour space of the numbers.
    pub space: ColourSpace,
}

enum Decoder<'a> {
    Jpeg(JpegDecoder<Cursor<&'a [u8]>>),
    Png(Box<PngDecoder<Cursor<&'a [u8]>>>),
    Webp(WebPDecoder<Cursor<&'a [u8]>>),
}

/// A photo whose header was read and found to be within the limits.
pub(super) struct Opened<'a> {
    pub(super) kind: Kind,
    pub(super) facts: Facts,
    pub(super) profile: Profile,
    size: (u32, u32),
    is_whole: bool,
    decoder: Decoder<'a>,
}

impl Opened<'_> {
    /// Columns and rows as looked at upright.
    pub(super) fn upright_size(&self) -> (u32, u32) {
        let (width, height) = self.size;
        // Orientations 5 to 8 lie on their side.
        if self.facts.orientation >= 5 { (height, width) } else { (width, height) }
    }
}

/// Reads the header and refuses what is beyond the limits, before any memory for pixels is taken.
pub(super) fn open(bytes: &[u8]) -> Result<Opened<'_>, Problem> {
    if bytes.len() > MOST_BYTES {
        return Err(unreadable(format!(
            "the photo's file has {} MB; at most {} MB are read",
            bytes.len() >> 20,
            MOST_BYTES >> 20
        )));
    }
    let kind = Kind::of(bytes)?;
    let mut is_whole = true;
    let source = Cursor::new(bytes);
    let mut decoder = match kind {
        Kind::Jpeg => {
            if let Some(marks) = jpeg_marks(bytes) {
                is_whole = marks.is_whole;
                if marks.channels == 4 {
                    return Err(unreadable(
                        "the photo is in printing inks (CMYK), not in the light of a camera; \
                         choose the camera's own file, or save it as sRGB",
                    ));
                }
                if marks.bits != 8 {
                    return Err(unreadable(format!(
                        "the photo has {} bits for each colour; a JPEG with 8 is needed",
                        marks.bits
                    )));
                }
            }
            Decoder::Jpeg(JpegDecoder::new(source).map_err(|e| broken(&e))?)
        }
        Kind::Png => {
            let decoder = PngDecoder::with_limits(source, limits()).map_err(|e| broken(&e))?;
            if decoder.is_apng().map_err(|e| broken(&e))? {
                return Err(animated());
            }
            Decoder::Png(Box::new(decoder))
        }
        Kind::Webp => {
            let decoder = WebPDecoder::new(source).map_err(|e| broken(&e))?;
            if decoder.has_animation() {
                return Err(animated());
            }
            Decoder::Webp(decoder)
        }
    };
    let (size, stored) = match &decoder {
        Decoder::Jpeg(decoder) => (decoder.dimensions(), decoder.total_bytes()),
        Decoder::Png(decoder) => (decoder.dimensions(), decoder.total_bytes()),
        Decoder::Webp(decoder) => (decoder.dimensions(), decoder.total_bytes()),
    };
    within_limits(size, stored)?;
    // What cannot be read of the notes beside the picture is taken as not written.
    let (exif, icc) = match &mut decoder {
        Decoder::Jpeg(decoder) => (decoder.exif_metadata(), decoder.icc_profile()),
        Decoder::Png(decoder) => (decoder.exif_metadata(), decoder.icc_profile()),
        Decoder::Webp(decoder) => (decoder.exif_metadata(), decoder.icc_profile()),
    };
    let facts = Facts::read(exif.unwrap_or(None));
    let profile = match (icc.unwrap_or(None), facts.says_srgb) {
        (Some(icc), _) => Profile::of_icc(&icc),
        (None, Some(true)) => Profile::Known(ColourSpace::Srgb),
        (None, Some(false)) => Profile::Other("uncalibrated, by the camera's own word".into()),
        (None, None) => Profile::AssumedSrgb,
    };
    Ok(Opened { kind, facts, profile, size, is_whole, decoder })
}

fn within_limits((width, height): (u32, u32), stored: u64) -> Result<(), Problem> {
    let pixels = u64::from(width) * u64::from(height);
    if width == 0 || height == 0 {
        return Err(unreadable("the photo has no pixels"));
    }
    if width > LONGEST_SIDE || height > LONGEST_SIDE || pixels > MOST_PIXELS || stored > MOST_STORED
    {
        return Err(too_large(&format!("the photo says it is {width} x {height}")));
    }
    Ok(())
}

fn limits() -> Limits {
    let mut limits = Limits::default();
    limits.max_image_width = Some(LONGEST_SIDE);
    limits.max_image_height = Some(LONGEST_SIDE);
    limits.max_alloc = Some(MOST_STORED);
    limits
}

fn animated() -> Problem {
    unreadable("this is a moving picture; choose a still JPEG, PNG or WebP")
}

fn too_large(what: &str) -> Problem {
    unreadable(format!(
        "{what}; at most {LONGEST_SIDE} pixels a side and {} megapixels are read. Choose a \
         smaller size in the camera's settings",
        MOST_PIXELS / 1_000_000
    ))
}

fn broken(error: &ImageError) -> Problem {
    if matches!(error, ImageError::Limits(_)) {
        return too_large("the photo is larger than it may be");
    }
    unreadable(format!("the photo cannot be read, its file is damaged or cut short: {error}"))
}

/// Decodes a photo and turns it upright.
///
/// Pixels that are 16 bits deep become 8; grey becomes three equal channels; transparency is
/// dropped.
///
/// # Errors  `BadFile` for anything but a whole, still JPEG, PNG or WebP of at most
///   [`MOST_BYTES`], [`MOST_PIXELS`] and [`LONGEST_SIDE`], printing inks, or a file that is damaged.
pub fn decode(bytes: &[u8]) -> Result<Pixels, Problem> {
    decode_with_profile(bytes).map(|(pixels, _)| pixels)
}

/// The same, with the profile that the pixels came with.
pub(crate) fn decode_with_profile(bytes: &[u8]) -> Result<(Pixels, Profile), Problem> {
    let opened = open(bytes)?;
    if !opened.is_whole {
        // The decoder would fill the missing part with grey, which would then be measured.
        return Err(unreadable(
            "the photo's file ends before its picture does; copy it again from the camera",
        ));
    }
    let profile = opened.profile.clone();
    Ok((decoded(opened)?, profile))
}

/// Decodes what is there, also of a JPEG that is cut short: good enough to look at.
pub(crate) fn decode_to_look_at(bytes: &[u8]) -> Result<Pixels, Problem> {
    decoded(open(bytes)?)
}

fn decoded(opened: Opened<'_>) -> Result<Pixels, Problem> {
    let space = opened.profile.space();
    let mut picture = match opened.decoder {
        Decoder::Jpeg(decoder) => limited(decoder),
        Decoder::Png(decoder) => limited(*decoder),
        Decoder::Webp(decoder) => limited(decoder),
    }
    .map_err(|e| broken(&e))?;
    // Reduced before turning, so that at most one large copy exists beside the stored pixels.
    picture = DynamicImage::ImageRgb8(picture.into_rgb8());
    if let Some(orientation) = Orientation::from_exif(opened.facts.orientation) {
        picture.apply_orientation(orientation);
    }
    let picture = picture.into_rgb8();
    let (width, height) = picture.dimensions();
    Ok(Pixels { width, height, rgb: picture.into_raw(), space })
}

fn limited(mut decoder: impl ImageDecoder) -> Result<DynamicImage, ImageError> {
    decoder.set_limits(limits())?;
    DynamicImage::from_decoder(decoder)
}
