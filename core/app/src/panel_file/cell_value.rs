//! One cell of readings: a number with its qualifier, unit and marks, or the reason it is none.

use swardbook_agronomy::reading::Qualifier;
use swardbook_units::{DecimalMark, NumberError, Unit, parse_number};

use super::{
    decimal::{DecimalRule, can_be_read_two_ways},
    reason::Reason,
    unit_words::unit_of_reading,
};

/// A cell that holds a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct CellValue<'a> {
    pub(super) value: f64,
    pub(super) qualifier: Qualifier,
    /// The unit written behind the number.
    pub(super) unit: Option<&'static Unit>,
    /// A laboratory's mark on the number, such as `*` or `low`.
    pub(super) mark: Option<&'a str>,
    /// The number behind `±`.
    pub(super) plus_minus: Option<f64>,
}

/// A reading as a person types it.
#[derive(Debug, Clone, PartialEq)]
pub struct TypedValue {
    /// The number.
    pub value: f64,
    /// `<` or `>`.
    pub qualifier: Qualifier,
    /// The unit written behind it.
    pub unit: Option<&'static Unit>,
    /// A mark behind it, such as `*`.
    pub mark: Option<String>,
    /// The number behind `±`.
    pub plus_minus: Option<f64>,
}

/// Reads one typed reading: `5.2`, `< 0,5 mg/kg`.
///
/// # Errors
/// The reason, with its remedy; a number that can be read two ways is refused until `decimal` says
/// which.
pub fn read_typed(text: &str, decimal: DecimalRule) -> Result<TypedValue, Reason> {
    let mark = match decimal {
        DecimalRule::Point => ColumnMark::Known(DecimalMark::Point),
        DecimalRule::Comma => ColumnMark::Known(DecimalMark::Comma),
        DecimalRule::Shown => ColumnMark::Unknown { point_is_decimal: false },
    };
    let cell = read_value(text.trim(), mark)?;
    Ok(TypedValue {
        value: cell.value,
        qualifier: cell.qualifier,
        unit: cell.unit,
        mark: cell.mark.map(str::to_owned),
        plus_minus: cell.plus_minus,
    })
}

/// How the numbers of one column are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ColumnMark {
    /// The mark is known.
    Known(DecimalMark),
    /// Nothing shows it; a number that can be read two ways is refused.
    Unknown {
        /// The file separates cells by commas, so a point is taken for what it most likely is.
        point_is_decimal: bool,
    },
}

/// Reads a cell.
pub(super) fn read_value(text: &str, mark: ColumnMark) -> Result<CellValue<'_>, Reason> {
    if let Some((value, qualifier)) = plain_value(text, mark) {
        return Ok(CellValue { value, qualifier, unit: None, mark: None, plus_minus: None });
    }
    if let Some(reason) = spoken(text) {
        return Err(reason);
    }
    let (qualifier, rest) = qualified(text);
    let (front_mark, rest) = marked_in_front(rest);
    let end = number_end(rest);
    let number = &rest[..end];
    if number.is_empty() {
        return Err(spoken(rest).map_or(Reason::NotANumber, |reason| match (qualifier, reason) {
            (Qualifier::Exact, reason) => reason,
            _ => Reason::NotDetectedWithoutLimit,
        }));
    }
    let value = number_value(number, mark)?;
    let behind = rest[end..].trim();
    let (unit, back_mark, plus_minus) = tail(behind, mark)?;
    Ok(CellValue { value, qualifier, unit, mark: front_mark.or(back_mark), plus_minus })
}

/// A plain number, alone or behind `<` or `>`; nothing else is refused by this, only left to
/// [`read_value`].
#[inline]
pub(super) fn plain_value(text: &str, mark: ColumnMark) -> Option<(f64, Qualifier)> {
    let (qualifier, behind) = match text.as_bytes().first()? {
        b'<' => (Qualifier::Below, &text[1..]),
        b'>' => (Qualifier::Above, &text[1..]),
        _ => (Qualifier::Exact, text),
    };
    plain_number(behind, mark).map(|value| (value, qualifier))
}

/// The usual cell, read without a detour: at most fifteen digits with at most one decimal mark.
///
/// # Source
/// W. D. Clinger, "How to read floating point numbers accurately", PLDI 1990: where the digits and
/// the power of ten are both exact, their quotient is the nearest double.
#[inline]
fn plain_number(text: &str, mark: ColumnMark) -> Option<f64> {
    const TENS: [f64; 16] =
        [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15];
    let bytes = text.as_bytes();
    if bytes.is_empty() || bytes.len() > 15 {
        return None;
    }
    let (mut digits, mut place) = (0_u64, None);
    for (i, &byte) in bytes.iter().enumerate() {
        match byte {
            b'0'..=b'9' => digits = digits * 10 + u64::from(byte - b'0'),
            b'.' | b',' if place.is_none() => place = Some(i),
            _ => return None,
        }
    }
    let decimals = match place {
        None => 0,
        Some(_) if bytes.len() == 1 => return None,
        Some(at) => {
            let is_decimal = match mark {
                ColumnMark::Known(DecimalMark::Point) => bytes[at] == b'.',
                ColumnMark::Known(DecimalMark::Comma) => bytes[at] == b',',
                ColumnMark::Known(DecimalMark::Either) | ColumnMark::Unknown { .. } => {
                    bytes.len() - at != 4
                }
            };
            if !is_decimal {
                return None;
            }
            bytes.len() - at - 1
        }
    };
    #[allow(clippy::cast_precision_loss, reason = "fifteen digits are below two to the 53rd")]
    Some(digits as f64 / TENS[decimals])
}

fn number_value(number: &str, mark: ColumnMark) -> Result<f64, Reason> {
    let decimal = match mark {
        ColumnMark::Known(known) => known,
        ColumnMark::Unknown { point_is_decimal } => {
            let pointed = point_is_decimal && !number.contains(',');
            if can_be_read_two_ways(number) && !pointed {
                return Err(Reason::TwoWays);
            }
            DecimalMark::Either
        }
    };
    parse_number(number, decimal).map_err(|error| match error {
        NumberError::Ambiguous(_) => Reason::TwoWays,
        NumberError::NotANumber(_) => Reason::NotANumber,
    })
}

/// What laboratories write where there is no number.
fn spoken(text: &str) -> Option<Reason> {
    let word = text.trim().trim_matches(['(', ')', '[', ']']).trim();
    let folded = word.to_lowercase();
    match folded.trim_end_matches('.') {
        "-" | "--" | "---" | "\u{2013}" | "\u{2014}" | "" | "n/a" | "na" | "n.a" | "nt" | "n/t"
        | "nr" | "n/r" | "nm" | "not tested" | "not requested" | "not reported"
        | "not measured" | "not determined" | "not analysed" | "not analyzed"
        | "not applicable" | "null" | "none" | "*" | "**" | "\u{2026}" => Some(Reason::NotMeasured),
        "nd"
        | "n.d"
        | "n/d"
        | "not detected"
        | "trace"
        | "traces"
        | "tr"
        | "bdl"
        | "bql"
        | "lod"
        | "loq"
        | "lor"
        | "dl"
        | "mdl"
        | "<lod"
        | "<loq"
        | "<lor"
        | "<dl"
        | "<mdl"
        | "nil"
        | "below detection"
        | "below detection limit"
        | "below limit" => Some(Reason::NotDetectedWithoutLimit),
        "pending" | "tba" | "tbc" | "to follow" | "in progress" => Some(Reason::Pending),
        "insufficient sample" | "insufficient" | "i/s" | "is" | "sample lost" | "broken" => {
            Some(Reason::NotMeasured)
        }
        "#n/a" | "#ref!" | "#value!" | "#div/0!" | "#name?" | "#num!" | "#null!" => {
            Some(Reason::SpreadsheetError)
        }
        _ => None,
    }
}

/// Splits off `<`, `>` and their longer spellings.
fn qualified(text: &str) -> (Qualifier, &str) {
    // "ND (<0.5)" says its limit after all.
    let text = match text.find('<') {
        Some(at) if at > 0 && spoken(text[..at].trim_end_matches(['(', ' ', ','])).is_some() => {
            text[at..].trim_end_matches(')')
        }
        _ => text,
    };
    const SPELLINGS: &[(&str, Qualifier)] = &[
        ("<=", Qualifier::Below),
        ("=<", Qualifier::Below),
        ("<", Qualifier::Below),
        ("\u{2264}", Qualifier::Below),
        ("\u{ff1c}", Qualifier::Below),
        ("less than ", Qualifier::Below),
        ("below ", Qualifier::Below),
        (">=", Qualifier::Above),
        ("=>", Qualifier::Above),
        (">", Qualifier::Above),
        ("\u{2265}", Qualifier::Above),
        ("\u{ff1e}", Qualifier::Above),
        ("more than ", Qualifier::Above),
        ("greater than ", Qualifier::Above),
        ("above ", Qualifier::Above),
    ];
    for &(spelling, qualifier) in SPELLINGS {
        let matches = text.get(..spelling.len()).is_some_and(|t| t.eq_ignore_ascii_case(spelling));
        if matches {
            return (qualifier, text[spelling.len()..].trim_start());
        }
    }
    (Qualifier::Exact, text)
}

const SIGNS: &[char] = &['*', '#', '\u{2020}', '\u{2021}', '\u{a7}', '^', '~', '!'];

fn marked_in_front(text: &str) -> (Option<&str>, &str) {
    let rest = text.trim_start_matches(SIGNS);
    let mark = &text[..text.len() - rest.len()];
    ((!mark.is_empty()).then_some(mark), rest.trim_start())
}

/// Where the number at the start of a text ends; spaces and apostrophes count between thousands.
fn number_end(text: &str) -> usize {
    let bytes = text.as_bytes();
    let mut end = text.len() - text.trim_start_matches(['-', '+', '\u{2212}']).len();
    let started = end;
    while let Some(c) = text[end..].chars().next() {
        let next = end + c.len_utf8();
        let three_digits = || {
            let group =
                |range| bytes.get(range).is_some_and(|g: &[u8]| g.iter().all(u8::is_ascii_digit));
            group(next..next + 3) && !bytes.get(next + 3).is_some_and(u8::is_ascii_digit)
        };
        let goes_on = match c {
            '0'..='9' | '.' | ',' => true,
            ' ' | '\u{a0}' | '\u{2009}' | '\u{202f}' | '\'' => end > started && three_digits(),
            'e' | 'E' => {
                let exponent = text[next..].trim_start_matches(['-', '+']);
                end > started && exponent.starts_with(|d: char| d.is_ascii_digit())
            }
            '-' | '+' => end > started && matches!(bytes[end - 1], b'e' | b'E'),
            _ => false,
        };
        if !goes_on {
            break;
        }
        end = next;
    }
    let number = text[..end].trim_end_matches([',', ' ']);
    if number.bytes().any(|b| b.is_ascii_digit()) { number.len() } else { 0 }
}

type Tail<'a> = (Option<&'static Unit>, Option<&'a str>, Option<f64>);

/// What stands behind the number: a unit, a mark, an uncertainty, or something unknown.
fn tail(behind: &str, mark: ColumnMark) -> Result<Tail<'_>, Reason> {
    if behind.is_empty() {
        return Ok((None, None, None));
    }
    if let Some(rest) = behind.strip_prefix('\u{b1}').or_else(|| behind.strip_prefix("+/-")) {
        let rest = rest.trim_start();
        let end = number_end(rest);
        let spread = number_value(&rest[..end], mark)?;
        let (unit, said, _) = tail(rest[end..].trim(), mark)?;
        return Ok((unit, said, Some(spread)));
    }
    if let Some(unit) = unit_of_reading(behind) {
        return Ok((Some(unit), None, None));
    }
    if is_mark(behind) {
        return Ok((None, Some(behind), None));
    }
    // A unit and then a mark: "5.2 mg/kg *", "12 % (low)".
    for (at, c) in behind.char_indices().skip(1) {
        if c == ' ' || SIGNS.contains(&c) {
            let (front, back) = (behind[..at].trim(), behind[at..].trim());
            match unit_of_reading(front) {
                Some(unit) if is_mark(back) => return Ok((Some(unit), Some(back), None)),
                _ => {}
            }
        }
    }
    let after = behind.trim_start_matches(['-', '\u{2013}', '\u{2014}', ' ']);
    let is_range = after.len() < behind.len() || behind.starts_with("to ");
    if is_range && after.trim_start_matches("to ").starts_with(|c: char| c.is_ascii_digit()) {
        return Err(Reason::Range);
    }
    if behind.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '/' | ':')) {
        return Err(Reason::NotANumber);
    }
    Err(Reason::UnknownUnit)
}

fn is_mark(text: &str) -> bool {
    let bare = text.trim_matches(['(', ')', '[', ']']);
    let letters = bare.chars().count();
    bare.chars().all(|c| SIGNS.contains(&c))
        || (letters <= 2 && bare.chars().all(char::is_alphabetic))
        || matches!(
            bare.to_lowercase().as_str(),
            "low"
                | "high"
                | "very low"
                | "very high"
                | "medium"
                | "moderate"
                | "adequate"
                | "deficient"
                | "excess"
                | "ok"
                | "marginal"
                | "optimum"
                | "normal"
        )
}

#[cfg(test)]
mod tests {
    use super::*;

    const POINT: ColumnMark = ColumnMark::Known(DecimalMark::Point);
    const COMMA: ColumnMark = ColumnMark::Known(DecimalMark::Comma);
    const UNKNOWN: ColumnMark = ColumnMark::Unknown { point_is_decimal: false };

    fn check(text: &str, mark: ColumnMark, value: f64, qualifier: Qualifier, unit: Option<&str>) {
        let read = read_value(text, mark);
        let got = read.map(|r| (r.value, r.qualifier, r.unit.map(|u| u.symbol)));
        assert_eq!(got, Ok((value, qualifier, unit)), "{text:?}");
    }

    fn refuse(text: &str, mark: ColumnMark, reason: Reason) {
        assert_eq!(read_value(text, mark), Err(reason), "{text:?}");
    }

    #[test]
    fn readings_as_laboratories_write_them() {
        use Qualifier::{Above, Below, Exact};
        check("5.2", POINT, 5.2, Exact, None);
        check("5,2", COMMA, 5.2, Exact, None);
        check("1 234,5", COMMA, 1234.5, Exact, None);
        check("1,234", POINT, 1234.0, Exact, None);
        check("1.234", COMMA, 1234.0, Exact, None);
        check("1'234.5", POINT, 1234.5, Exact, None);
        check("<0.5", POINT, 0.5, Below, None);
        check("< 0,5", COMMA, 0.5, Below, None);
        check(">14", POINT, 14.0, Above, None);
        check("\u{2264} 0.5", POINT, 0.5, Below, None);
        check("less than 0.5 mg/kg", POINT, 0.5, Below, Some("mg/kg"));
        check("5.2 mg/kg", POINT, 5.2, Exact, Some("mg/kg"));
        check("5.2ppm", POINT, 5.2, Exact, Some("mg/kg"));
        check("12 %", POINT, 12.0, Exact, Some("%"));
        check("12%", POINT, 12.0, Exact, Some("%"));
        check("1.2*", POINT, 1.2, Exact, None);
        check("* 1.2", POINT, 1.2, Exact, None);
        check("1.2 H", POINT, 1.2, Exact, None);
        check("5.2 mg/kg *", POINT, 5.2, Exact, Some("mg/kg"));
        check("1.5e-3", POINT, 0.0015, Exact, None);
        check("-0.5", POINT, -0.5, Exact, None);
        check("ND (<0.5)", POINT, 0.5, Below, None);
        check("12", UNKNOWN, 12.0, Exact, None);
        check("5,25", UNKNOWN, 5.25, Exact, None);
        check("0,125", UNKNOWN, 0.125, Exact, None);
        check("1.234", ColumnMark::Unknown { point_is_decimal: true }, 1.234, Exact, None);
        let spread = read_value("5.2 \u{b1} 0.3 mg/kg", POINT).unwrap();
        assert_eq!(spread.plus_minus, Some(0.3), "the uncertainty is kept");
        assert_eq!(read_value("1.2*", POINT).unwrap().mark, Some("*"), "the mark is kept");
    }

    #[test]
    fn what_is_no_reading_says_why() {
        refuse("ND", POINT, Reason::NotDetectedWithoutLimit);
        refuse("<LOD", POINT, Reason::NotDetectedWithoutLimit);
        refuse("< LOR", POINT, Reason::NotDetectedWithoutLimit);
        refuse("trace", POINT, Reason::NotDetectedWithoutLimit);
        refuse("n/a", POINT, Reason::NotMeasured);
        refuse("-", POINT, Reason::NotMeasured);
        refuse("#N/A", POINT, Reason::SpreadsheetError);
        refuse("#VALUE!", POINT, Reason::SpreadsheetError);
        refuse("pending", POINT, Reason::Pending);
        refuse("5-6", POINT, Reason::Range);
        refuse("5 \u{2013} 6", POINT, Reason::Range);
        refuse("12/5", POINT, Reason::NotANumber);
        refuse("5.2.1", POINT, Reason::NotANumber);
        refuse("5,2", POINT, Reason::NotANumber);
        refuse("see note", POINT, Reason::NotANumber);
        refuse("5.2 furlongs", POINT, Reason::UnknownUnit);
        refuse("1,234", UNKNOWN, Reason::TwoWays);
        refuse("1.234", UNKNOWN, Reason::TwoWays);
        refuse("<1,234", UNKNOWN, Reason::TwoWays);
        refuse("<", POINT, Reason::NotDetectedWithoutLimit);
    }
}
