//! Numbers as people and laboratories write them.

/// Which sign stands before the decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DecimalMark {
    /// `1,234.5`
    Point,
    /// `1.234,5`
    Comma,
    /// Decide from the text itself; a single mark with exactly three digits behind it is refused
    /// as ambiguous only when reading either way would give a plausible number.
    Either,
}

/// Why a text is not one number.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NumberError {
    /// Not digits with at most one decimal mark.
    #[error("\"{0}\" is not a number")]
    NotANumber(String),
    /// `1,234` may be twelve hundred or one and a quarter.
    #[error("\"{0}\" can be read two ways; say whether the decimal mark is a point or a comma")]
    Ambiguous(String),
}

/// Reads a decimal number with optional thousands marks (space, thin space, apostrophe, or the
/// mark that is not the decimal one) and an optional exponent.
///
/// # Errors
/// [`NumberError`], carrying the text as typed.
pub fn parse_number(text: &str, mark: DecimalMark) -> Result<f64, NumberError> {
    let wrong = || NumberError::NotANumber(text.to_owned());
    let trimmed = text.trim();
    let (negative, digits) = match trimmed.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (true, rest),
        None => (false, trimmed.strip_prefix('+').unwrap_or(trimmed)),
    };
    let (mantissa, exponent) = match digits.split_once(['e', 'E']) {
        Some((m, e)) => (m, e.parse::<i32>().map_err(|_| wrong())?),
        None => (digits, 0),
    };
    let compact: String = mantissa
        .chars()
        .filter(|c| !matches!(c, ' ' | '\u{a0}' | '\u{2009}' | '\u{202f}' | '\''))
        .collect();
    let decimal = decimal_mark(&compact, mark).map_err(|ambiguous| {
        if ambiguous { NumberError::Ambiguous(text.to_owned()) } else { wrong() }
    })?;
    let thousands = if decimal == '.' { ',' } else { '.' };
    let (whole, fraction) = compact.split_once(decimal).unwrap_or((&compact, ""));
    let grouped: Vec<&str> = whole.split(thousands).collect();
    let groups_fit = grouped.len() == 1
        || (!grouped[0].is_empty()
            && grouped[0].len() <= 3
            && grouped[1..].iter().all(|g| g.len() == 3));
    let whole = grouped.concat();
    let all_digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
    if !groups_fit || !all_digits(&whole) || !all_digits(fraction) {
        return Err(wrong());
    }
    if whole.is_empty() && fraction.is_empty() {
        return Err(wrong());
    }
    let number: f64 = format!("{whole}.{fraction}0e{exponent}")
        .trim_start_matches('0')
        .parse()
        .map_err(|_| wrong())?;
    if !number.is_finite() {
        return Err(wrong());
    }
    Ok(if negative { -number } else { number })
}

/// The decimal mark of a text; `Err(true)` when it cannot be told, `Err(false)` when it is no
/// number at all.
fn decimal_mark(compact: &str, mark: DecimalMark) -> Result<char, bool> {
    match mark {
        DecimalMark::Point => return Ok('.'),
        DecimalMark::Comma => return Ok(','),
        DecimalMark::Either => {}
    }
    let points = compact.matches('.').count();
    let commas = compact.matches(',').count();
    match (points, commas) {
        (0, 0) => Ok('.'),
        (1, 0) => Ok('.'),
        (0, 1) => {
            let (whole, fraction) = compact.split_once(',').ok_or(false)?;
            let could_be_thousands =
                fraction.len() == 3 && (1..=3).contains(&whole.len()) && whole != "0";
            if could_be_thousands { Err(true) } else { Ok(',') }
        }
        // The mark that comes last and stands once is the decimal one.
        (_, _) if points >= 1 && commas >= 1 => {
            let last = compact.rfind(['.', ',']).map(|at| &compact[at..=at]);
            match last {
                Some(".") if points == 1 => Ok('.'),
                Some(",") if commas == 1 => Ok(','),
                _ => Err(false),
            }
        }
        // One kind of mark, more than once: thousands.
        (_, 0) => Ok(','),
        _ => Ok('.'),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, mark: DecimalMark, expected: Option<f64>) {
        let got = parse_number(text, mark).ok();
        assert_eq!(got, expected, "{text:?} read with {mark:?}");
    }

    #[test]
    fn points_commas_and_thousands() {
        use DecimalMark::{Comma, Either, Point};
        check("5.2", Either, Some(5.2));
        check("5,2", Either, Some(5.2));
        check("0,125", Either, Some(0.125));
        check("1,234", Either, None);
        check("1,234", Point, Some(1234.0));
        check("1,234", Comma, Some(1.234));
        check("1.234,5", Either, Some(1234.5));
        check("1,234.5", Either, Some(1234.5));
        check("1 234 567", Either, Some(1_234_567.0));
        check("1'234.50", Either, Some(1234.5));
        check("12,34,5", Either, None);
        check("-0.5", Either, Some(-0.5));
        check("1e-3", Either, Some(0.001));
        check(".5", Either, Some(0.5));
        check("5.", Either, Some(5.0));
        check("", Either, None);
        check(".", Either, None);
        check("5.2.1", Point, None);
        check("abc", Either, None);
        check("1e999", Either, None);
        check("0", Either, Some(0.0));
        check("007", Either, Some(7.0));
    }

    #[test]
    fn two_ways_to_read_is_said() {
        assert_eq!(
            parse_number("2,450", DecimalMark::Either),
            Err(NumberError::Ambiguous("2,450".into())),
            "never guessed"
        );
    }
}
