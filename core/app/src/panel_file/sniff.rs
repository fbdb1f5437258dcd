//! Telling a table of text and a workbook from everything else by the first bytes.

/// What the bytes are, whatever the name says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Content {
    /// Text in some encoding.
    Text,
    /// An Office Open XML workbook.
    Xlsx,
    /// Something that is not read, with what it looks like and what to do.
    Other {
        /// With an article.
        looks_like: &'static str,
        /// What to do.
        remedy: &'static str,
    },
    /// An encrypted workbook.
    Protected,
}

const EXPORT: &str = "ask the laboratory for its results as CSV or XLSX";
const RESAVE: &str = "open it in a spreadsheet program, save it as XLSX and import that";

/// First bytes of common kinds of files.
///
/// # Source
/// Each format's own specification; the same numbers as in the `magic` file of `file(1)`.
const SIGNATURES: &[(&[u8], &str, &str)] = &[
    (b"%PDF", "a PDF document", EXPORT),
    (b"\x89PNG\r\n", "a PNG picture", EXPORT),
    (b"\xff\xd8\xff", "a JPEG picture", EXPORT),
    (b"GIF8", "a GIF picture", EXPORT),
    (b"II*\0", "a TIFF picture", EXPORT),
    (b"MM\0*", "a TIFF picture", EXPORT),
    (b"RIFF", "a picture, sound or film", EXPORT),
    (b"\x1f\x8b", "a compressed file (gzip)", "unpack it and import the table inside"),
    (b"7z\xbc\xaf\x27\x1c", "a compressed archive (7z)", "unpack it and import the table inside"),
    (b"Rar!", "a compressed archive (RAR)", "unpack it and import the table inside"),
    (b"BZh", "a compressed file (bzip2)", "unpack it and import the table inside"),
    (b"\xfd7zXZ", "a compressed file (xz)", "unpack it and import the table inside"),
    (b"\x28\xb5\x2f\xfd", "a compressed file (zstd)", "unpack it and import the table inside"),
    (b"SQLite format 3", "a database (SQLite)", EXPORT),
    (b"\x7fELF", "a program", EXPORT),
    (b"MZ", "a program", EXPORT),
    (b"{\\rtf", "a rich text document", EXPORT),
];

/// Decides what the bytes are.
pub(super) fn sniff(bytes: &[u8]) -> Content {
    if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06") {
        return zip_content(bytes);
    }
    if bytes.starts_with(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1") {
        // An encrypted XLSX lies inside the old container under this UTF-16 name.
        if contains(bytes, b"E\0n\0c\0r\0y\0p\0t\0e\0d\0P\0a\0c\0k\0a\0g\0e\0") {
            return Content::Protected;
        }
        return Content::Other {
            looks_like: "a workbook in the old binary format (XLS)",
            remedy: RESAVE,
        };
    }
    for &(signature, looks_like, remedy) in SIGNATURES {
        if bytes.starts_with(signature) {
            // `MZ` and `RIFF` also begin words; a program or a picture soon has a zero byte.
            let word = signature.iter().all(u8::is_ascii_alphanumeric);
            if !word || head(bytes).contains(&0) {
                return Content::Other { looks_like, remedy };
            }
        }
    }
    if bytes.get(4..8) == Some(b"ftyp") {
        return Content::Other { looks_like: "a picture or film from a phone", remedy: EXPORT };
    }
    let utf16 = bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff");
    if !utf16 && (bytes.contains(&0) || is_noise(head(bytes))) {
        return Content::Other { looks_like: "binary data", remedy: EXPORT };
    }
    let start: Vec<u8> = head(bytes)
        .iter()
        .copied()
        .filter(|b| b.is_ascii() && !b.is_ascii_whitespace())
        .take(16)
        .map(|b| b.to_ascii_lowercase())
        .collect();
    if start.starts_with(b"<!doctypehtml") || start.starts_with(b"<html") {
        return Content::Other { looks_like: "a web page (HTML)", remedy: RESAVE };
    }
    if start.starts_with(b"<?xml") {
        return Content::Other { looks_like: "an XML document", remedy: RESAVE };
    }
    Content::Text
}

fn zip_content(bytes: &[u8]) -> Content {
    if contains(bytes, b"xl/workbook.xml") {
        Content::Xlsx
    } else if contains(bytes, b"opendocument.spreadsheet") {
        Content::Other { looks_like: "an OpenDocument spreadsheet (ODS)", remedy: RESAVE }
    } else if contains(bytes, b"xl/workbook.bin") {
        Content::Other { looks_like: "a binary workbook (XLSB)", remedy: RESAVE }
    } else if contains(bytes, b"word/document.xml") {
        Content::Other { looks_like: "a word processor's document (DOCX)", remedy: EXPORT }
    } else {
        Content::Other {
            looks_like: "a compressed archive (ZIP)",
            remedy: "unpack it and import the table inside",
        }
    }
}

/// Control characters that no table of text has, in more than one byte in a hundred.
fn is_noise(head: &[u8]) -> bool {
    let control = head
        .iter()
        .filter(|&&b| b < 0x20 && !matches!(b, b'\t' | b'\n' | b'\r' | 0x0c | 0x1a | 0x1b))
        .count();
    control * 100 > head.len()
}

fn head(bytes: &[u8]) -> &[u8] {
    &bytes[..bytes.len().min(8192)]
}

fn contains(bytes: &[u8], wanted: &[u8]) -> bool {
    bytes.windows(wanted.len()).any(|w| w == wanted)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(bytes: &[u8], looks_like: &str) {
        match sniff(bytes) {
            Content::Other { looks_like: found, .. } => assert_eq!(found, looks_like, "{bytes:?}"),
            other => assert_eq!(format!("{other:?}"), looks_like, "{bytes:?}"),
        }
    }

    #[test]
    fn content_is_told_by_its_first_bytes() {
        check(b"%PDF-1.7 ...", "a PDF document");
        check(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "a PNG picture");
        check(b"a,b\n\0,1\n", "binary data");
        check(b"\xff\xd8\xff\xe0", "a JPEG picture");
        check(b"PK\x03\x04....word/document.xml", "a word processor's document (DOCX)");
        check(b"  <!DOCTYPE html><table>", "a web page (HTML)");
        check(b"\x01\x02\x03\x04\x05\x06", "binary data");
        check(b"MZ,pH\nfront,6.1\n", "Text");
        check(b"\xff\xfep\0H\0", "Text");
        check(b"pH;P\n5,5;12\n", "Text");
    }
}
