//! The markers of a JPEG: how many channels, how deep, and whether the file is whole.

/// What the markers say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct JpegMarks {
    /// Channels: 1 grey, 3 colour, 4 printing inks.
    pub(super) channels: u8,
    /// Bits for each channel.
    pub(super) bits: u8,
    /// Whether the end marker was reached; without it the rest of the picture is missing.
    pub(super) is_whole: bool,
}

/// Walks the markers; `None` when there is no frame header.
///
/// # Source  ITU-T T.81, B.1.1 and table B.1: each segment after the start says its length; in
///   coded data 0xFF is followed by zero or a restart marker.
pub(super) fn jpeg_marks(bytes: &[u8]) -> Option<JpegMarks> {
    let mut frame = None;
    let is_whole = walk(bytes, |marker, segment| {
        // Frame headers, without the three other tables among their numbers.
        let is_frame = matches!(marker, 0xc0..=0xcf) && !matches!(marker, 0xc4 | 0xc8 | 0xcc);
        if is_frame && frame.is_none() && segment.len() >= 6 {
            frame = Some((segment[5], segment[0]));
        }
    });
    frame.map(|(channels, bits)| JpegMarks { channels, bits, is_whole })
}

/// Calls `visit` for each segment; true when the end marker was reached.
fn walk(bytes: &[u8], mut visit: impl FnMut(u8, &[u8])) -> bool {
    let mut at = 2;
    while let Some(skipped) = bytes.get(at..).and_then(|rest| rest.iter().position(|b| *b == 0xff))
    {
        // Coded data was skipped; now comes a marker, maybe after fill bytes.
        at += skipped;
        match bytes.get(at + 1) {
            None => return false,
            Some(0xd9) => return true,
            Some(0x00 | 0x01 | 0xd0..=0xd8) => at += 2,
            Some(0xff) => at += 1,
            Some(marker) => {
                let Some(pair) = bytes.get(at + 2..at + 4) else { return false };
                let end = at + 2 + usize::from(u16::from_be_bytes([pair[0], pair[1]])).max(2);
                let Some(segment) = bytes.get(at + 4..end) else { return false };
                visit(*marker, segment);
                at = end;
            }
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    const START: &[u8] = &[0xff, 0xd8];
    const INKS: &[u8] =
        &[0xff, 0xc0, 0, 20, 8, 0, 1, 0, 1, 4, 1, 17, 0, 2, 17, 0, 3, 17, 0, 4, 17, 0];

    #[test]
    fn frames_and_ends_are_seen() {
        let check = |parts: &[&[u8]], expected| {
            let bytes = [&[START], parts].concat().concat();
            assert_eq!(jpeg_marks(&bytes), expected, "{bytes:?}");
        };
        let inks = |is_whole| Some(JpegMarks { channels: 4, bits: 8, is_whole });
        check(&[INKS, &[0xff, 0xd9]], inks(true));
        check(&[INKS], inks(false));
        check(&[INKS, &[0xff, 0xda, 0, 2, 7, 0xff, 0, 7, 0xff, 0xd3, 7]], inks(false));
        check(&[INKS, &[0xff, 0xda, 0, 2, 7, 0xff, 0, 7, 0xff, 0xff, 0xd9]], inks(true));
        // An end marker inside a note is not the end.
        check(&[&[0xff, 0xe1, 0, 4, 0xff, 0xd9], INKS], inks(false));
        check(&[&[0xff, 0xe1]], None);
        check(&[], None);
    }
}
