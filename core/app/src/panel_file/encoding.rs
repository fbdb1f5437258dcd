//! From bytes to text, saying which encoding was taken.

use std::borrow::Cow;

/// The encoding a text file was read in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TextEncoding {
    /// UTF-8 with a byte order mark.
    Utf8WithMark,
    /// UTF-8 without a mark; every byte sequence was valid.
    Utf8,
    /// UTF-16 with a byte order mark, as "Unicode text" is exported by spreadsheets.
    Utf16,
    /// Not UTF-8, so read as Windows-1252, which holds all of Latin-1.
    Windows1252,
}

impl TextEncoding {
    /// The name shown to people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Utf8WithMark => "UTF-8 with a byte order mark",
            Self::Utf8 => "UTF-8",
            Self::Utf16 => "UTF-16",
            Self::Windows1252 => "Windows-1252 (Latin-1)",
        }
    }
}

/// Reads bytes as text.
///
/// # Source
/// Byte order marks and the Windows-1252 superset of Latin-1: WHATWG Encoding Standard.
pub(super) fn decode_text(bytes: &[u8]) -> (Cow<'_, str>, TextEncoding) {
    if let Some((encoding, mark)) = encoding_rs::Encoding::for_bom(bytes) {
        let (text, _) = encoding.decode_without_bom_handling(&bytes[mark..]);
        let named = if encoding == encoding_rs::UTF_8 {
            TextEncoding::Utf8WithMark
        } else {
            TextEncoding::Utf16
        };
        return (text, named);
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => (Cow::Borrowed(text), TextEncoding::Utf8),
        Err(_) => {
            let (text, _) = encoding_rs::WINDOWS_1252.decode_without_bom_handling(bytes);
            (text, TextEncoding::Windows1252)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(bytes: &[u8], text: &str, encoding: TextEncoding) {
        assert_eq!(decode_text(bytes), (Cow::Borrowed(text), encoding), "{bytes:?}");
    }

    #[test]
    fn encodings_are_told_apart() {
        check("µS/cm".as_bytes(), "µS/cm", TextEncoding::Utf8);
        check(b"\xef\xbb\xbf\xc2\xb5S", "µS", TextEncoding::Utf8WithMark);
        check(b"\xb5S/cm m\xb2", "µS/cm m²", TextEncoding::Windows1252);
        check(b"\xff\xfep\0H\0", "pH", TextEncoding::Utf16);
        check(b"\xfe\xff\0p\0H", "pH", TextEncoding::Utf16);
        check(b"pH", "pH", TextEncoding::Utf8);
    }
}
