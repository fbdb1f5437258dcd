//! Reading an answer's members, and numbers as a person reads them.

use std::sync::OnceLock;

use serde_json::Value as Json;
use swardbook_app::{Measure, measure::significant};

/// How the notebook's amounts are shown; as they are kept while no notebook was opened.
static MEASURE: OnceLock<Measure> = OnceLock::new();

/// Shows amounts from now on as the notebook's settings say; the program opens one notebook.
pub(crate) fn measure_in(measure: Measure) {
    // A second command on the same notebook says the same.
    let _ = MEASURE.set(measure);
}

fn shown(value: f64, unit: &str) -> (f64, &str) {
    MEASURE.get().copied().unwrap_or_default().shown(value, unit)
}

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
    significant(value, 6)
}

/// A number that was worked out, with the digits that a reading can carry.
pub(crate) fn worked(value: f64) -> String {
    significant(value, 4)
}

/// A number member that was worked out, with its unit; empty when there is none.
pub(crate) fn worked_quantity(value: &Json, unit: &str) -> String {
    match value.as_f64() {
        Some(value) => {
            let (value, unit) = shown(value, unit);
            format!("{} {unit}", worked(value)).trim_end().to_owned()
        }
        None => String::new(),
    }
}

/// Two members with one unit: "0 to 100 mm".
pub(crate) fn range(low: &Json, high: &Json, unit: &str) -> String {
    let low = low.as_f64().map_or_else(String::new, |low| number(shown(low, unit).0));
    format!("{low} to {}", quantity(high, unit))
}

/// A number member with its unit; empty when there is none.
pub(crate) fn quantity(value: &Json, unit: &str) -> String {
    match value.as_f64() {
        Some(value) => {
            let (value, unit) = shown(value, unit);
            kept_quantity(&Json::from(value), unit)
        }
        None => String::new(),
    }
}

/// A number member in the unit that an equation takes it in, or a laboratory printed it in.
pub(crate) fn kept_quantity(value: &Json, unit: &str) -> String {
    match value.as_f64() {
        Some(value) if unit.is_empty() => number(value),
        Some(value) => format!("{} {unit}", number(value)),
        None => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::{number, worked};

    #[test]
    fn numbers_are_shown_as_a_person_writes_them() {
        for (value, shown) in [
            (0.0, "0"),
            (-0.0, "0"),
            (184.0, "184"),
            (101.600_000_000_000_01, "101.6"),
            (809.371_284_48, "809.371"),
            (0.05, "0.05"),
            (0.1 + 0.2, "0.3"),
            (0.888_888_888_8, "0.888889"),
            (0.001_234_567, "0.00123457"),
            (2_500_000.0, "2500000"),
            (-3.5, "-3.5"),
        ] {
            assert_eq!(number(value), shown, "{value}");
        }
        assert_eq!(worked(0.888_888_888_8), "0.8889");
        assert_eq!(worked(63.896_1), "63.9");
        assert_eq!(worked(12_345.6), "12346");
    }
}
