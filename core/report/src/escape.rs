//! Numbers and texts as they may stand in an SVG.

/// A coordinate, written with at most two decimals.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Px(pub(crate) f64);

impl std::fmt::Display for Px {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let rounded = (self.0 * 100.0).round() / 100.0;
        // Negative zero is zero.
        write!(f, "{}", if rounded == 0.0 { 0.0 } else { rounded })
    }
}

/// A text as it may stand in an element or an attribute.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Escaped<'a>(pub(crate) &'a str);

impl std::fmt::Display for Escaped<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let mut text = String::with_capacity(self.0.len());
        escape_into(&mut text, self.0);
        f.write_str(&text)
    }
}

/// Writes a text so that it is only ever text, in an element or an attribute.
pub(crate) fn escape_into(out: &mut String, text: &str) {
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' | '\r' => out.push(' '),
            // XML 1.0 has no way to write these, escaped or not.
            '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_in_a_text_stays_text() {
        let mut out = String::new();
        escape_into(&mut out, "</title><script>\"'&\u{1}\n");
        assert_eq!(out, "&lt;/title&gt;&lt;script&gt;&quot;&#39;&amp;\u{fffd} ");
    }

    #[test]
    fn coordinates_are_short() {
        let written = |value: f64| Px(value).to_string();
        assert_eq!(written(12.345_678), "12.35");
        assert_eq!(written(-0.000_1), "0");
        assert_eq!(written(40.0), "40");
    }
}
