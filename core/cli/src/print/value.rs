//! Reading an answer's members, and numbers as a person reads them.

use serde_json::Value as Json;

/// A text member; empty when there is none.
pub(crate) fn text<'a>(value: &'a Json, name: &str) -> &'a str {
    value[name].as_str().unwrap_or_default()
}

/// A list member; empty when there is none.
pub(crate) fn list<'a>(value: &'a Json, name: &str) -> &'a [Json] {
    value[name].as_array().map_or(&[], Vec::as_slice)
}

/// A number with at most six significant digits, without the tail that binary fractions leave.
pub(crate) fn number(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return value.to_string();
    }
    let size = value.abs();
    if !(1e-4..1e9).contains(&size) {
        return format!("{value:.5e}");
    }
    // Whole numbers are shown whole; of the rest six digits are more than any reading carries.
    let before: usize = match size {
        s if s < 1.0 => 0,
        s if s < 10.0 => 1,
        s if s < 100.0 => 2,
        s if s < 1_000.0 => 3,
        s if s < 10_000.0 => 4,
        s if s < 100_000.0 => 5,
        _ => 6,
    };
    let shown = format!("{value:.*}", if before == 0 { 8 } else { 6 - before });
    if shown.contains('.') {
        return shown.trim_end_matches('0').trim_end_matches('.').to_owned();
    }
    shown
}

/// A number member with its unit; empty when there is none.
pub(crate) fn quantity(value: &Json, unit: &str) -> String {
    match value.as_f64() {
        Some(value) if unit.is_empty() => number(value),
        Some(value) => format!("{} {unit}", number(value)),
        None => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn numbers_are_shown_as_a_person_writes_them() {
        for (value, shown) in [
            (0.0, "0"),
            (184.0, "184"),
            (101.600_000_000_000_01, "101.6"),
            (809.371_284_48, "809.371"),
            (0.05, "0.05"),
            (0.1 + 0.2, "0.3"),
            (2_500_000.0, "2500000"),
            (-3.5, "-3.5"),
        ] {
            assert_eq!(number(value), shown, "{value}");
        }
    }
}
