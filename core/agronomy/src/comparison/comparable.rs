//! Whether two samples may be compared at all: like with like, or not.

use swardbook_units::{Depth, NaiveDate};

use crate::sampling::season::season_match;

/// How a sample was taken, as far as comparing goes.
#[derive(Debug, Clone, PartialEq)]
pub struct Circumstances {
    /// The zone, by any name that is the same for the same ground.
    pub zone: String,
    /// Upper end of the depth.
    pub from: Depth,
    /// Lower end of the depth.
    pub to: Depth,
    /// The method of the reading, by its key.
    pub method: String,
    /// The laboratory, where it is known.
    pub laboratory: Option<String>,
    /// The day of the sample.
    pub day: NaiveDate,
    /// Whether the ground was clear of what was put on, where that is known.
    pub clear: Option<bool>,
}

/// One way in which two samples differ.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mismatch {
    /// Other ground.
    Zone,
    /// Another depth.
    Depth,
    /// Another extractant or scale.
    Method,
    /// pH on the other of two scales with a published conversion.
    AcidityScale,
    /// One was taken before the ground was clear.
    Withholding,
    /// Another laboratory.
    Laboratory,
    /// Another season.
    Season,
}

impl Mismatch {
    /// Whether a comparison is refused for it.
    #[must_use]
    pub const fn refuses(self) -> bool {
        matches!(self, Self::Zone | Self::Depth | Self::Method)
    }

    /// What it means, in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Zone => "two zones are two grounds: their difference is no change",
            Self::Depth => "another depth reads other soil: sample the depth of the baseline again",
            Self::Method => {
                "another extractant reads another share of the element: ask for the method of the \
                 baseline"
            }
            Self::AcidityScale => {
                "pH on two scales: one is converted, and the conversion's own spread is added"
            }
            Self::Withholding => {
                "one sample was taken before the ground was clear: it reads what was put on as well"
            }
            Self::Laboratory => {
                "another laboratory: the scatter between laboratories is added, twice"
            }
            Self::Season => "another season: part of any change may be the season's",
        }
    }
}

/// Every way in which two samples differ; empty where they are alike.
///
/// # Source design of comparisons after `rayment-lyons-2011` (methods do not convert) and
/// `horneck-ec1478` (the same month each year).
#[must_use]
pub fn mismatches(before: &Circumstances, after: &Circumstances) -> Vec<Mismatch> {
    let mut found = Vec::new();
    if before.zone != after.zone {
        found.push(Mismatch::Zone);
    }
    // Depths are measured to a few millimetres.
    let apart = |a: Depth, b: Depth| (a.value() - b.value()).abs() > 5.0;
    if apart(before.from, after.from) || apart(before.to, after.to) {
        found.push(Mismatch::Depth);
    }
    if before.method != after.method {
        let acidity = |method: &str| matches!(method, "water-1-5" | "cacl2-1-5");
        let both = acidity(&before.method) && acidity(&after.method);
        found.push(if both { Mismatch::AcidityScale } else { Mismatch::Method });
    }
    if before.clear == Some(false) || after.clear == Some(false) {
        found.push(Mismatch::Withholding);
    }
    // A laboratory that is not on record is not taken for the same one.
    if before.laboratory != after.laboratory || before.laboratory.is_none() {
        found.push(Mismatch::Laboratory);
    }
    if !season_match(before.day, after.day).value.same_season {
        found.push(Mismatch::Season);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn taken() -> Circumstances {
        Circumstances {
            zone: "back terrace".to_owned(),
            from: Depth(0.0),
            to: Depth(100.0),
            method: "mehlich-3".to_owned(),
            laboratory: Some("Fenwhistle Laboratory".to_owned()),
            day: swardbook_units::parse_date("2024-03-10").unwrap(),
            clear: Some(true),
        }
    }

    fn check(change: impl Fn(&mut Circumstances), expected: &[Mismatch], refused: bool) {
        let mut after = taken();
        after.day = swardbook_units::parse_date("2026-03-01").unwrap();
        change(&mut after);
        let found = mismatches(&taken(), &after);
        assert_eq!(found, expected);
        assert_eq!(found.iter().any(|m| m.refuses()), refused, "{found:?}");
    }

    #[test]
    fn like_is_compared_with_like() {
        check(|_| {}, &[], false);
        check(|a| a.zone = "front verge".to_owned(), &[Mismatch::Zone], true);
        check(|a| a.to = Depth(150.0), &[Mismatch::Depth], true);
        check(|a| a.to = Depth(102.0), &[], false);
        check(|a| a.method = "olsen".to_owned(), &[Mismatch::Method], true);
        check(|a| a.clear = Some(false), &[Mismatch::Withholding], false);
        check(|a| a.laboratory = None, &[Mismatch::Laboratory], false);
        check(|a| a.day = a.day + swardbook_units::Months::new(5), &[Mismatch::Season], false);
    }

    #[test]
    fn two_scales_of_acidity_are_converted_not_refused() {
        let mut before = taken();
        before.method = "water-1-5".to_owned();
        let mut after = before.clone();
        after.method = "cacl2-1-5".to_owned();
        assert_eq!(mismatches(&before, &after), [Mismatch::AcidityScale], "a known conversion");
    }

    #[test]
    fn every_method_named_here_exists() {
        for method in ["water-1-5", "cacl2-1-5", "mehlich-3", "olsen"] {
            assert!(crate::analyte::method(method).is_some(), "{method}");
        }
    }
}
