//! Small pictures of a photo, to look at.

use fast_image_resize::{
    FilterType, PixelType, ResizeAlg, ResizeOptions, Resizer,
    images::{Image, ImageRef},
};
use image::{ExtendedColorType, ImageEncoder, RgbImage, codecs::jpeg::JpegEncoder};
use swardbook_imaging::{
    matrix::times,
    primaries::ColourSpace,
    srgb::{Linear, Srgb},
};

use super::{Pixels, decode::decode_to_look_at, unreadable};
use crate::{Code, Problem};

/// The longest side of a picture in a list.
pub const THUMBNAIL_SIDE: u32 = 256;
/// The longest side of a picture on the photo's own screen.
pub const PREVIEW_SIDE: u32 = 1600;

/// Quality at which small pictures are written: no block is seen at the size they are shown.
const QUALITY: u8 = 82;

/// Both small pictures of a photo, made from one decoding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SmallPictures {
    /// For the photo's own screen, as JPEG.
    pub preview: Vec<u8>,
    /// For a list, as JPEG; made from the preview's pixels, so that it comes out the same whenever
    /// it is made again.
    pub thumbnail: Vec<u8>,
}

/// Makes both small pictures, upright, in sRGB, nothing of the camera's notes in them.
///
/// # Errors  as [`super::decode`], except that a JPEG cut short is shown as far as it goes.
pub fn small_pictures(bytes: &[u8]) -> Result<SmallPictures, Problem> {
    let preview = preview_pixels(bytes)?;
    Ok(SmallPictures { thumbnail: thumbnail_of(&preview)?, preview: jpeg(&preview)? })
}

/// The pixels of the picture for the photo's own screen, from which the one for a list is made.
///
/// # Errors  as [`small_pictures`].
pub(crate) fn preview_pixels(bytes: &[u8]) -> Result<RgbImage, Problem> {
    reduced(decode_to_look_at(bytes)?, PREVIEW_SIDE)
}

/// The picture for a list from the preview's pixels.
pub(crate) fn thumbnail_of(preview: &RgbImage) -> Result<Vec<u8>, Problem> {
    let (width, height) = fitted(preview.width(), preview.height(), THUMBNAIL_SIDE);
    if (width, height) == preview.dimensions() {
        return jpeg(preview);
    }
    jpeg(&resized(preview, width, height)?)
}

/// A picture of the photo as JPEG: upright, in sRGB, its longest side at most `side`, nothing of
/// the camera's notes in it.
///
/// # Errors  as [`super::decode`], except that a JPEG cut short is shown as far as it goes; `BadInput` for
///   a side of zero.
pub fn thumbnail(bytes: &[u8], side: u32) -> Result<Vec<u8>, Problem> {
    if side == 0 {
        return Err(Problem::bad("side", "a picture must be at least one pixel wide"));
    }
    jpeg(&reduced(decode_to_look_at(bytes)?, side)?)
}

/// The picture for the photo's own screen.
///
/// # Errors  as [`thumbnail`].
pub fn preview(bytes: &[u8]) -> Result<Vec<u8>, Problem> {
    thumbnail(bytes, PREVIEW_SIDE)
}

/// The pixels at most `side` along their longest side, in sRGB.
fn reduced(pixels: Pixels, side: u32) -> Result<RgbImage, Problem> {
    let space = pixels.space;
    let (width, height) = fitted(pixels.width, pixels.height, side);
    let large = RgbImage::from_raw(pixels.width, pixels.height, pixels.rgb)
        .ok_or_else(|| unreadable("the photo's pixels do not fill its size"))?;
    let mut small =
        if (width, height) == large.dimensions() { large } else { resized(&large, width, height)? };
    if space != ColourSpace::Srgb {
        let matrix = space.to_linear_srgb();
        for pixel in small.pixels_mut() {
            let light = times(&matrix, Srgb::from_codes(pixel.0).linear().0);
            pixel.0 = Linear(light).encoded().codes();
        }
    }
    Ok(small)
}

/// A smaller picture of the same: each pixel is a weighted mean of those it stands for.
pub(super) fn resized(large: &RgbImage, width: u32, height: u32) -> Result<RgbImage, Problem> {
    let refused = |why: String| Problem::new(Code::Storage, format!("the small picture: {why}"));
    let (columns, rows) = large.dimensions();
    let from = ImageRef::new(columns, rows, large.as_raw(), PixelType::U8x3)
        .map_err(|e| refused(e.to_string()))?;
    let mut to = Image::new(width, height, PixelType::U8x3);
    let how = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(FilterType::Hamming));
    Resizer::new().resize(&from, &mut to, &how).map_err(|e| refused(e.to_string()))?;
    RgbImage::from_raw(width, height, to.into_vec())
        .ok_or_else(|| refused("its pixels do not fill its size".to_owned()))
}

/// Pixels as JPEG, nothing beside them.
pub(super) fn jpeg(picture: &RgbImage) -> Result<Vec<u8>, Problem> {
    let mut jpeg = Vec::new();
    JpegEncoder::new_with_quality(&mut jpeg, QUALITY)
        .write_image(picture, picture.width(), picture.height(), ExtendedColorType::Rgb8)
        .map_err(|e| Problem::new(Code::Storage, format!("the small picture: {e}")))?;
    Ok(jpeg)
}

/// Columns and rows with the longest side at most `side`, in the same shape; never enlarged.
pub(super) fn fitted(width: u32, height: u32, side: u32) -> (u32, u32) {
    let longest = width.max(height);
    if longest <= side {
        return (width, height);
    }
    let scaled = |one: u32| {
        let exact = u64::from(one) * u64::from(side) / u64::from(longest);
        u32::try_from(exact).unwrap_or(side).max(1)
    };
    (scaled(width), scaled(height))
}

#[cfg(test)]
mod tests {
    use super::fitted;

    #[test]
    fn small_pictures_keep_their_shape_and_are_never_enlarged() {
        assert_eq!(fitted(4000, 3000, 256), (256, 192));
        assert_eq!(fitted(3000, 4000, 1600), (1200, 1600));
        assert_eq!(fitted(100, 50, 256), (100, 50));
        assert_eq!(fitted(20_000, 3, 256), (256, 1), "a thread keeps one pixel");
    }
}
