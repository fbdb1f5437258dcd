//! Panels with one slip each; the rows are invented, the slips are the common ones.

use swardbook_units::parse_unit;

use super::*;
use crate::analyte::method;

fn read(row: &(&str, &str, f64, &str)) -> Reading {
    let (what, how, value, unit) = *row;
    Reading::new(
        analyte(what).unwrap(),
        method(how).unwrap(),
        value,
        parse_unit(unit).unwrap(),
        Qualifier::Exact,
    )
    .unwrap()
}

type Row = (&'static str, &'static str, f64, &'static str);

fn findings(rows: &[Row]) -> Vec<Finding> {
    let readings: Vec<Reading> = rows.iter().map(read).collect();
    check_panel(&readings, &Ground::UNKNOWN)
}

/// A panel in which everything fits.
const SOUND: &[Row] = &[
    ("ph-water", "water-1-5", 5.6, "pH"),
    ("ph-cacl2", "cacl2-1-5", 4.9, "pH"),
    ("ec", "water-1-5", 0.08, "dS/m"),
    ("organic-carbon", "combustion", 2.4, "%"),
    ("total-n", "combustion", 0.2, "%"),
    ("nitrate-n", "kcl-2m", 12.0, "mg/kg"),
    ("p", "colwell", 38.0, "mg/kg"),
    ("ca", "exchangeable", 3.1, "cmol/kg"),
    ("mg", "exchangeable", 0.9, "cmol/kg"),
    ("k", "exchangeable", 0.3, "cmol/kg"),
    ("na", "exchangeable", 0.1, "cmol/kg"),
    ("al", "kcl-exchangeable", 0.4, "cmol/kg"),
    ("h", "kcl-exchangeable", 0.1, "cmol/kg"),
    ("ecec", "sum-of-cations", 4.9, "cmol/kg"),
    ("sand", "particle-size", 62.0, "%"),
    ("silt", "particle-size", 20.0, "%"),
    ("clay", "particle-size", 18.0, "%"),
];

fn with(changes: &[Row]) -> Vec<Finding> {
    let mut rows = SOUND.to_vec();
    for change in changes {
        match rows.iter_mut().find(|row| row.0 == change.0) {
            Some(row) => *row = *change,
            None => rows.push(*change),
        }
    }
    findings(&rows)
}

fn check(changes: &[Row], severity: Severity, word: &str) -> Finding {
    let found = with(changes);
    let hit = found.iter().find(|f| f.message.contains(word));
    let hit = hit.unwrap_or_else(|| panic!("{word:?} is not said of {changes:?}: {found:#?}"));
    assert_eq!(hit.severity, severity, "{}", hit.message);
    assert!(!hit.sources.is_empty() || hit.severity == Severity::Note, "{}", hit.message);
    hit.clone()
}

fn fixes(finding: &Finding) -> Vec<Fix> {
    finding.suggestions.iter().map(|s| s.fix).collect()
}

#[test]
fn a_sound_panel_raises_nothing() {
    assert_eq!(findings(SOUND), [], "everything fits");
}

#[test]
fn what_cannot_be_is_said_with_the_likely_slip() {
    let ph = check(&[("ph-water", "water-1-5", 56.0, "pH")], Severity::Impossible, "cannot be");
    assert_eq!(fixes(&ph), [Fix::Times(0.1)], "a missing decimal mark");
    let salt = check(&[("ec", "water-1-5", 150.0, "dS/m")], Severity::Impossible, "cannot be");
    let Fix::Unit(first) = salt.suggestions[0].fix else { panic!("{salt:?}") };
    assert_eq!(first.symbol, "\u{b5}S/cm", "the likeliest unit of 150");
    check(&[("p", "colwell", -3.0, "mg/kg")], Severity::Impossible, "cannot be");
}

#[test]
fn what_seldom_is_asks_about_its_unit() {
    let ca = check(&[("ca", "exchangeable", 620.0, "cmol/kg")], Severity::Impossible, "cannot be");
    let Fix::Unit(unit) = ca.suggestions[0].fix else { panic!("{ca:?}") };
    assert_eq!(unit.symbol, "mg/kg", "a content labelled as charge");
    let carbon = check(
        &[("organic-carbon", "combustion", 24.0, "%"), ("total-n", "combustion", 2.0, "%")],
        Severity::Doubtful,
        "Organic carbon of 24 %",
    );
    let Fix::Unit(unit) = carbon.suggestions[0].fix else { panic!("{carbon:?}") };
    assert_eq!(unit.symbol, "g/kg", "{:?}", carbon.suggestions);
}

#[test]
fn a_sum_that_does_not_add_up_finds_the_one_cation_that_slipped() {
    let off =
        check(&[("ca", "exchangeable", 31.0, "cmol/kg")], Severity::Doubtful, "the cations add up");
    assert_eq!(off.suggestions.len(), 1, "{:#?}", off.suggestions);
    // mmol/kg for cmol/kg and a misplaced decimal mark are the same number; the unit is named.
    assert!(
        matches!(off.suggestions[0].fix, Fix::Unit(unit) if unit.symbol == "mmol/kg"),
        "{off:?}"
    );
    assert_eq!(off.suggestions[0].readings, [7], "calcium");
}

#[test]
fn a_whole_column_in_another_unit_is_one_suggestion() {
    // 3.1, 0.9, 0.3, 0.1 cmol/kg as mg/kg, labelled cmol/kg.
    let found = with(&[
        ("ca", "exchangeable", 621.2, "cmol/kg"),
        ("mg", "exchangeable", 109.4, "cmol/kg"),
        ("k", "exchangeable", 117.3, "cmol/kg"),
        ("na", "exchangeable", 23.0, "cmol/kg"),
    ]);
    let sum = found.iter().find(|f| f.message.contains("add up")).unwrap();
    let whole = sum.suggestions.iter().find(|s| s.readings.len() == 4);
    let whole = whole.unwrap_or_else(|| panic!("{:#?}", sum.suggestions));
    assert!(matches!(whole.fix, Fix::Unit(unit) if unit.symbol == "mg/kg"), "{whole:?}");
}

#[test]
fn an_oxide_printed_as_its_element_is_found_by_the_sum() {
    // 3.1 cmol/kg calcium is 621 mg/kg, or 869 mg/kg of CaO.
    let off =
        check(&[("ca", "exchangeable", 869.2, "mg/kg")], Severity::Doubtful, "the cations add up");
    assert!(
        fixes(&off).iter().any(|f| matches!(f, Fix::Compound(form) if form.formula == "CaO")),
        "{:#?}",
        off.suggestions
    );
}

#[test]
fn bases_over_the_measured_capacity_are_doubtful() {
    check(&[("cec", "exchangeable", 3.0, "cmol/kg")], Severity::Doubtful, "more than the exchange");
    assert!(
        with(&[("cec", "exchangeable", 8.0, "cmol/kg")]).is_empty(),
        "less is no contradiction"
    );
}

#[test]
fn shares_add_up_to_a_hundred() {
    let shares: &[Row] = &[
        ("ca-saturation", "calculated", 63.0, "%"),
        ("mg-saturation", "calculated", 18.0, "%"),
        ("k-saturation", "calculated", 6.0, "%"),
        ("esp", "calculated", 2.0, "%"),
        ("al-saturation", "calculated", 8.0, "%"),
        ("h-saturation", "calculated", 2.0, "%"),
    ];
    let sound = with(shares);
    assert!(sound.iter().all(|f| !f.message.contains("shares")), "99 %: {sound:#?}");
    let mut over = shares.to_vec();
    over[4].2 = 20.0;
    check(&over, Severity::Impossible, "add up to 111 %");
    over[4].2 = 8.0;
    over.push(("base-saturation", "calculated", 70.0, "%"));
    check(&over, Severity::Doubtful, "but base saturation is 70 %");
    check(&[("esp", "calculated", 12.0, "%")], Severity::Doubtful, "over the exchange capacity");
}

#[test]
fn water_reads_above_calcium_chloride() {
    let swapped = check(
        &[("ph-water", "water-1-5", 4.9, "pH"), ("ph-cacl2", "cacl2-1-5", 5.6, "pH")],
        Severity::Doubtful,
        "lies below",
    );
    assert_eq!(fixes(&swapped), [Fix::Swapped], "the columns stand in each other's place");
    check(&[("ph-cacl2", "cacl2-1-5", 4.0, "pH")], Severity::Doubtful, "1.6 above");
}

#[test]
fn carbon_nitrogen_and_matter_fit_together() {
    let odd = check(&[("total-n", "combustion", 0.02, "%")], Severity::Doubtful, "over nitrogen");
    assert!(fixes(&odd).contains(&Fix::Times(10.0)), "{:?}", odd.suggestions);
    check(&[("c-n-ratio", "calculated", 19.0, "")], Severity::Doubtful, "printed as 19");
    check(
        &[("organic-matter", "combustion", 2.4, "%")],
        Severity::Doubtful,
        "times organic carbon",
    );
    check(&[("nitrate-n", "kcl-2m", 2500.0, "mg/kg")], Severity::Impossible, "exceed total");
}

#[test]
fn grains_add_up_to_a_hundred() {
    check(&[("clay", "particle-size", 28.0, "%")], Severity::Doubtful, "add up to 110 %");
}

#[test]
fn company_that_acid_ground_does_not_keep() {
    check(&[("carbonate", "acid-carbonate", 4.0, "%")], Severity::Doubtful, "free carbonate");
    check(
        &[("ph-water", "water-1-5", 7.2, "pH"), ("ph-cacl2", "cacl2-1-5", 6.5, "pH")],
        Severity::Doubtful,
        "exchangeable aluminium",
    );
    check(&[("ec", "water-1-5", 0.9, "dS/m")], Severity::Note, "washed out");
}

#[test]
fn a_reading_twice_with_two_values_is_doubtful() {
    let mut rows = SOUND.to_vec();
    rows.push(("p", "colwell", 83.0, "mg/kg"));
    let found = findings(&rows);
    assert!(found.iter().any(|f| f.message.contains("stands twice")), "{found:#?}");
    let last = rows.len() - 1;
    rows[last].2 = 38.0;
    assert_eq!(findings(&rows), [], "the same value twice is harmless");
}

#[test]
fn a_bound_is_a_note_and_is_not_judged_on_its_open_side() {
    let below = Reading::new(
        analyte("p").unwrap(),
        method("olsen").unwrap(),
        0.5,
        parse_unit("mg/kg").unwrap(),
        Qualifier::Below,
    )
    .unwrap();
    let found = check_panel(&[below], &Ground::UNKNOWN);
    assert_eq!(found.len(), 1, "{found:#?}");
    assert_eq!(found[0].severity, Severity::Note, "known only as a bound");
}

#[test]
fn a_printed_zero_is_a_note() {
    let found = findings(&[("na", "exchangeable", 0.0, "cmol/kg")]);
    assert_eq!(found.len(), 1, "{found:#?}");
    assert_eq!(found[0].severity, Severity::Note, "rounded or not seen");
    assert_eq!(findings(&[("al", "kcl-exchangeable", 0.0, "cmol/kg")]), [], "none is usual");
}

#[test]
fn a_method_not_stated_and_a_unit_that_cannot_be_checked_are_notes() {
    let found = findings(&[("k", NOT_STATED, 90.0, "mg/kg")]);
    assert!(found[0].message.contains("no method stated"), "{found:#?}");
    let found = findings(&[("k", "mehlich-3", 90.0, "kg/ha")]);
    assert!(found[0].message.contains("bulk density"), "{found:#?}");
    assert_eq!(found[0].severity, Severity::Note, "not wrong, only unchecked");
}
