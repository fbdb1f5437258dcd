//! Rust text without its comments and literals, so that rules look at code only.

/// The same text with every comment, string and character literal blanked, line for line.
pub(super) fn without_words(text: &str) -> String {
    let bytes = text.as_bytes();
    let mut out = bytes.to_vec();
    let mut at = 0;
    while at < bytes.len() {
        let end = match bytes[at] {
            b'/' if bytes.get(at + 1) == Some(&b'/') => line_end(bytes, at),
            b'/' if bytes.get(at + 1) == Some(&b'*') => comment_end(bytes, at),
            b'"' => string_end(bytes, at),
            b'r' if !continues_a_name(bytes, at) => raw_string_end(bytes, at).unwrap_or(at),
            b'\'' => character_end(bytes, at).unwrap_or(at),
            _ => at,
        };
        if end == at {
            at += 1;
            continue;
        }
        for byte in &mut out[at..end] {
            if *byte != b'\n' {
                *byte = b' ';
            }
        }
        at = end;
    }
    String::from_utf8(out).expect("literals and comments begin and end at ASCII characters")
}

fn line_end(bytes: &[u8], at: usize) -> usize {
    bytes[at..].iter().position(|byte| *byte == b'\n').map_or(bytes.len(), |found| at + found)
}

fn comment_end(bytes: &[u8], at: usize) -> usize {
    let mut depth = 0;
    let mut here = at;
    while here < bytes.len() {
        if bytes[here..].starts_with(b"/*") {
            depth += 1;
            here += 2;
        } else if bytes[here..].starts_with(b"*/") {
            depth -= 1;
            here += 2;
            if depth == 0 {
                return here;
            }
        } else {
            here += 1;
        }
    }
    bytes.len()
}

fn string_end(bytes: &[u8], at: usize) -> usize {
    let mut here = at + 1;
    while here < bytes.len() {
        match bytes[here] {
            b'\\' => here += 2,
            b'"' => return here + 1,
            _ => here += 1,
        }
    }
    bytes.len()
}

/// `r"..."` and `r#"..."#`; `None` for a name that only begins with an r, raw ones included.
fn raw_string_end(bytes: &[u8], at: usize) -> Option<usize> {
    let hashes = bytes[at + 1..].iter().take_while(|byte| **byte == b'#').count();
    let open = at + 1 + hashes;
    if bytes.get(open) != Some(&b'"') {
        return None;
    }
    let close: Vec<u8> = std::iter::once(b'"').chain(std::iter::repeat_n(b'#', hashes)).collect();
    let found = bytes[open + 1..].windows(close.len()).position(|window| window == close);
    Some(found.map_or(bytes.len(), |found| open + 1 + found + close.len()))
}

/// Whether the byte before belongs to a name; the b and c of byte and C strings do not count.
fn continues_a_name(bytes: &[u8], at: usize) -> bool {
    let is_part = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'_';
    match at.checked_sub(1).map(|before| bytes[before]) {
        Some(b'b' | b'c') => at >= 2 && is_part(bytes[at - 2]),
        Some(byte) => is_part(byte),
        None => false,
    }
}

/// `None` for a lifetime.
fn character_end(bytes: &[u8], at: usize) -> Option<usize> {
    if bytes.get(at + 1) == Some(&b'\\') {
        // The escaped character itself may be a quote.
        let rest = bytes.get(at + 3..)?;
        return rest.iter().position(|byte| *byte == b'\'').map(|found| at + 3 + found + 1);
    }
    let text = std::str::from_utf8(bytes.get(at + 1..)?).ok()?;
    let width = text.chars().next()?.len_utf8();
    (bytes.get(at + 1 + width) == Some(&b'\'')).then_some(at + width + 2)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, expected: &str) {
        let found = without_words(text);
        assert_eq!(found.len(), text.len(), "every byte keeps its place");
        let squeezed: Vec<&str> = found.split_whitespace().collect();
        assert_eq!(squeezed.join(" "), expected, "{text}");
    }

    #[test]
    fn code_stays_and_words_go() {
        check("let a = 1; // redb::Database", "let a = 1;");
        check("a /* x /* y */ z */ b", "a b");
        check(r#"f("a \" redb:: b", c)"#, "f( , c)");
        check(r##"f(r#"a " b"#, br"x", c)"##, "f( , b , c)");
        check(
            r"fn f<'a>(x: &'a str) { g('x', '\'', 'é', b'\\') }",
            "fn f<'a>(x: &'a str) { g( , , , b ) }",
        );
        check("for r#type in bar", "for r#type in bar");
        check("/// docs of automerge::\nstruct Doc;", "struct Doc;");
    }

    #[test]
    fn lines_keep_their_numbers() {
        let found = without_words("a\n\"x\ny\"\n/*\n*/b");
        assert_eq!(found.lines().count(), 5, "{found:?}");
        assert_eq!(found.lines().last().map(str::trim), Some("b"));
    }
}
