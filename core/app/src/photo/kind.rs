//! Which format a photo is in, by its first bytes and never by its name.

use crate::Problem;

use super::unreadable;

/// A format that photos are read from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// JPEG.
    Jpeg,
    /// PNG.
    Png,
    /// WebP.
    Webp,
}

impl Kind {
    /// Its media type.
    #[must_use]
    pub const fn media_type(self) -> &'static str {
        match self {
            Self::Jpeg => "image/jpeg",
            Self::Png => "image/png",
            Self::Webp => "image/webp",
        }
    }

    /// Tells the format.
    ///
    /// # Errors  `BadFile` for any other; HEIC and AVIF are named with the way out.
    /// # Source  JPEG: ITU-T T.81 B.1; PNG: W3C PNG 5.2; WebP: RFC 9649 2.4; HEIC: the brands of
    ///   ISO/IEC 23008-12 in the file type box of ISO/IEC 14496-12.
    pub(super) fn of(bytes: &[u8]) -> Result<Self, Problem> {
        if bytes.starts_with(&[0xff, 0xd8, 0xff]) {
            return Ok(Self::Jpeg);
        }
        if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
            return Ok(Self::Png);
        }
        if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
            return Ok(Self::Webp);
        }
        Err(unreadable(refusal(bytes)))
    }
}

fn refusal(bytes: &[u8]) -> &'static str {
    if bytes.is_empty() {
        return "the photo is empty: no bytes came with it";
    }
    if bytes.get(4..8) == Some(b"ftyp") {
        return match bytes.get(8..12) {
            Some(b"heic" | b"heix" | b"heim" | b"heis" | b"hevc" | b"hevx" | b"mif1" | b"msf1") => {
                "this is a HEIC photo, which cannot be shown or measured here; the file stays as \
                 it is where it lies. To have the phone save JPEG: where the system's settings \
                 have a page for the camera, open \"formats\" there and choose \"most \
                 compatible\" instead of \"high efficiency\"; where the camera has its own \
                 settings, look under picture format or advanced picture options and switch \
                 \"high efficiency\" or \"HEIF\" off. Share or export this photo as JPEG and add \
                 that"
            }
            Some(b"avif" | b"avis") => {
                "this is an AVIF photo, which cannot be shown or measured here; the file stays as \
                 it is where it lies. Save it as JPEG, or choose JPEG in the phone's camera settings"
            }
            _ => "this is a film or another container, not a photo; choose a JPEG, PNG or WebP",
        };
    }
    if bytes.starts_with(b"GIF8") {
        return "this is a GIF, which has too few colours to measure; choose a JPEG, PNG or WebP";
    }
    if bytes.starts_with(b"II*\0") || bytes.starts_with(b"MM\0*") {
        return "this is a TIFF or a camera's raw file; save it as JPEG or PNG first";
    }
    "this is not a photo that can be read; choose a JPEG, PNG or WebP"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_format_is_told_by_its_first_bytes() {
        let check = |bytes: &[u8], words: &str| {
            let problem = Kind::of(bytes).unwrap_err();
            assert!(problem.message.contains(words), "{problem}");
            assert_eq!(problem.field.as_deref(), Some("photo"), "the field is named");
        };
        assert_eq!(Kind::of(b"\xff\xd8\xff\xe0").unwrap(), Kind::Jpeg);
        assert_eq!(Kind::of(b"RIFF\0\0\0\0WEBPVP8 ").unwrap(), Kind::Webp);
        check(b"", "empty");
        // Both ways in which phones name the setting, and the way out for this one file.
        for words in ["\"most compatible\"", "\"HEIF\" off", "as JPEG", "stays as it is"] {
            check(b"\0\0\0\x18ftypheic\0\0\0\0", words);
        }
        check(b"\0\0\0\x18ftypmif1\0\0\0\0", "HEIC");
        check(b"\0\0\0\x18ftypavif\0\0\0\0", "AVIF");
        check(b"\0\0\0\x18ftypisom\0\0\0\0", "film");
        check(b"GIF89a", "GIF");
        check(b"II*\0", "raw file");
        check(b"%PDF-1.7", "not a photo");
    }
}
