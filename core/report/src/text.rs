//! How wide a text is, and how it is broken or cut to fit.

use crate::advance;

/// Size and weight of a text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Font {
    pub(crate) size: f64,
    pub(crate) is_bold: bool,
}

impl Font {
    pub(crate) const fn plain(size: f64) -> Self {
        Self { size, is_bold: false }
    }

    pub(crate) const fn bold(size: f64) -> Self {
        Self { size, is_bold: true }
    }

    /// From one baseline to the next.
    pub(crate) fn line_height(self) -> f64 {
        (self.size * 1.3).ceil()
    }

    /// From the top of a text's box down to its baseline.
    pub(crate) fn ascent(self) -> f64 {
        self.size * 0.92
    }

    /// Height of a text's box, from above its capitals to below its descenders.
    pub(crate) fn box_height(self) -> f64 {
        self.size * 1.18
    }
}

/// Allowance for hinting, kerning and a stand-in font.
///
/// With it, what `WebKitGTK` 2.50 sets in the text font with tabular figures is 0.91 to 1.002 of what
/// is estimated here, over the words of a season line and interval rows.
const ALLOWANCE: f64 = 1.05;

/// Width of a text, in px.
pub(crate) fn width(text: &str, font: Font) -> f64 {
    text.chars().map(|c| advance_of(c, font.is_bold)).sum::<f64>() / 1000.0 * font.size * ALLOWANCE
}

fn advance_of(c: char, is_bold: bool) -> f64 {
    let table = if is_bold { &advance::SEMIBOLD } else { &advance::REGULAR };
    let code = u32::from(c);
    if let Some(index) = code.checked_sub(32).and_then(|i| usize::try_from(i).ok())
        && let Some(advance) = table.get(index)
    {
        // A figure may be set tabular, at the width of the widest.
        return if c.is_ascii_digit() { 650.0 } else { f64::from(*advance) };
    }
    match code {
        // Combining marks and joiners take no room.
        0x0300..=0x036F | 0x200B..=0x200F | 0xFE00..=0xFE0F => 0.0,
        // Full-width scripts and pictures.
        0x1100..=0x115F | 0x2E80..=0xA4CF | 0xAC00..=0xD7A3 | 0xF900..=0xFAFF => 1000.0,
        0xFF00..=0xFF60 | 0x1F000..=0x3FFFF => 1250.0,
        0x2014 | 0x2026 | 0x2190..=0x21FF | 0x2122 => 900.0,
        0x00B7 | 0x2009 | 0x2019 | 0x2018 => 300.0,
        // Latin, Greek, Cyrillic and the rest, on the generous side.
        _ => 720.0,
    }
}

/// The text as it fits into a width: whole, or cut with an ellipsis.
pub(crate) fn fit(text: &str, font: Font, room: f64) -> String {
    if width(text, font) <= room {
        return text.to_owned();
    }
    let ellipsis = width("\u{2026}", font);
    let mut used = 0.0;
    let mut kept = String::new();
    for c in text.chars() {
        used += advance_of(c, font.is_bold) / 1000.0 * font.size * ALLOWANCE;
        if used + ellipsis > room {
            break;
        }
        kept.push(c);
    }
    let kept = kept.trim_end();
    if kept.is_empty() { String::new() } else { format!("{kept}\u{2026}") }
}

/// The text broken at spaces into lines that fit; the last line is cut when there would be more
/// than `most` of them, and so is a word that is longer than a line.
pub(crate) fn wrap(text: &str, font: Font, room: f64, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    let mut words = text.split_whitespace().peekable();
    while let Some(word) = words.next() {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if line.is_empty() || width(&longer, font) <= room {
            line = longer;
        } else if lines.len() + 1 == most {
            line = words.fold(longer, |line, word| format!("{line} {word}"));
            break;
        } else {
            lines.push(std::mem::replace(&mut line, word.to_owned()));
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines.iter().map(|line| fit(line, font, room)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const FONT: Font = Font::plain(12.0);

    #[test]
    fn a_text_fits_into_what_it_is_cut_to() {
        for text in ["Calcium, Mehlich-3", "", "\u{571f}\u{58e4}\u{571f}\u{58e4}\u{571f}\u{58e4}"] {
            for room in [0.0, 8.0, 30.0, 60.0, 500.0] {
                let cut = fit(text, FONT, room);
                assert!(cut.is_empty() || width(&cut, FONT) <= room, "{cut} in {room}");
            }
        }
        assert_eq!(fit("gypsum", FONT, 500.0), "gypsum");
    }

    #[test]
    fn lines_break_at_spaces_and_lose_no_word() {
        let text = "risen by 110 percent, between 40 and 215, seven cores each";
        let lines = wrap(text, FONT, 120.0, 9);
        assert_eq!(lines.join(" "), text);
        assert!(lines.len() > 2, "{lines:?}");
        let two = wrap(text, FONT, 120.0, 2);
        assert_eq!(two.len(), 2);
        assert!(two[1].ends_with('\u{2026}'), "{two:?}");
        assert!(wrap("", FONT, 120.0, 2).is_empty(), "no text, no line");
    }
}
