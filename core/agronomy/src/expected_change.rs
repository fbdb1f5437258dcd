//! How far a dose should move the soil test: the dose over the mass of soil, times what is kept where
//! the test finds it.
//!
//! This module does not own what a test did move (`comparison`).

mod of_ground;

use swardbook_units::{Content, Dose, Source, Worked, Working};

use crate::{
    AgronomyError,
    elements::element_in,
    error::{not_negative, positive, within},
    reading::SoilLayer,
    source,
};

pub use of_ground::{KeptObservation, kept_as_given, kept_by_ground};

const CHANGE: &str = "expected change";

/// Share of a dose that a test finds again: a weak prior, with its ends.
#[derive(Debug, Clone, PartialEq)]
pub struct KeptFraction {
    /// Least that is published or thought.
    pub low: f64,
    /// Middle.
    pub likely: f64,
    /// Most.
    pub high: f64,
    /// On whose word.
    pub source: Source,
    /// How it was taken from there.
    pub from: String,
}

/// The published prior of the share that is kept, by the element's symbol; very wide where nothing is
/// published.
///
/// # Source `tri-state-build-up`: 20 lb P2O5/acre for each mg/kg of P; 6 to 10 lb K2O/acre of K, both
/// against 2 lb of the element for each mg/kg in 2 million lb of soil.
#[must_use]
pub fn kept_fraction(symbol: &str) -> KeptFraction {
    match symbol {
        "P" => KeptFraction {
            low: 0.07,
            likely: 0.23,
            high: 0.5,
            source: source("tri-state-build-up"),
            from: "2 lb of P for each mg/kg against 8.7 lb put on; the ends are common practice"
                .to_owned(),
        },
        "K" => KeptFraction {
            low: 0.24,
            likely: 0.31,
            high: 0.4,
            source: source("tri-state-build-up"),
            from: "2 lb of K for each mg/kg against 5.0 to 8.3 lb put on".to_owned(),
        },
        _ => KeptFraction {
            low: 0.1,
            likely: 0.5,
            high: 1.0,
            source: source("common-practice"),
            from: "nothing published: between a tenth and all".to_owned(),
        },
    }
}

/// An expected change of a test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExpectedChange {
    /// Middle.
    pub likely: Content,
    /// If the least is kept.
    pub low: Content,
    /// If the most is kept.
    pub high: Content,
}

/// Change of a test from a dose of an element, by the share that is kept.
///
/// # Units  dose in g/m2 of the element.
/// # Errors `Argument` for a negative dose, a share outside 0 to 1 or a layer that is not above zero.
/// # Source `definition`; the share's own.
pub fn expected_change(
    dose: Dose,
    layer: &SoilLayer,
    kept: &KeptFraction,
) -> Result<Worked<ExpectedChange>, AgronomyError> {
    let dose = not_negative(CHANGE, "dose", dose.value(), Dose::UNIT)?;
    let mass = layer.mass_over_area()?;
    let high_share = within(CHANGE, "kept_high", kept.high, "", 0.0, 1.0)?;
    let share = within(CHANGE, "kept", kept.likely, "", 0.0, high_share)?;
    let low_share = within(CHANGE, "kept_low", kept.low, "", 0.0, share)?;
    let whole = dose * 1000.0 / mass.value;
    let working = Working::new("change = dose / soil over area x share kept")
        .given("Dose of the element", dose, Dose::UNIT)
        .after(&mass.working)
        .assumed("Share kept", share, "", &kept.from)
        .step(
            "if all were found again",
            format!("{dose} x 1000 / {:.1}", mass.value),
            whole,
            Content::UNIT,
        )
        .step("expected", format!("{whole:.3} x {share}"), whole * share, Content::UNIT)
        .step("at the least", format!("{whole:.3} x {low_share}"), whole * low_share, Content::UNIT)
        .step(
            "at the most",
            format!("{whole:.3} x {high_share}"),
            whole * high_share,
            Content::UNIT,
        )
        .source(source("definition"))
        .source(kept.source.clone())
        .caution(
            "Before what the grass takes up; the share kept differs from ground to ground, and a \
             retest of this ground gives its own.",
        );
    Ok(Worked::new(
        ExpectedChange {
            likely: Content(whole * share),
            low: Content(whole * low_share),
            high: Content(whole * high_share),
        },
        working,
    ))
}

/// The element in a dose of a compound or oxide, such as P in P2O5.
///
/// # Errors [`crate::elements::FormulaError`], `Argument` for a negative dose.
/// # Source `atomic-weights`.
pub fn element_in_dose(
    dose: Dose,
    formula: &str,
    symbol: &str,
) -> Result<Worked<Dose>, AgronomyError> {
    let dose = not_negative(CHANGE, "dose", dose.value(), Dose::UNIT)?;
    let share = element_in(formula, symbol)?;
    let element = dose * share;
    let working = Working::new("element = compound x share of the element")
        .given(formula, dose, Dose::UNIT)
        .step(symbol, format!("{dose} x {share:.5}"), element, Dose::UNIT)
        .source(source("atomic-weights"));
    Ok(Worked::new(Dose(element), working))
}

/// Dose of an element that would move a test so far if all of it were found again: the floor.
///
/// # Errors `Argument` for a negative rise or a layer that is not above zero.
/// # Source `definition`.
pub fn least_dose_for_rise(
    rise: Content,
    layer: &SoilLayer,
) -> Result<Worked<Dose>, AgronomyError> {
    let rise = not_negative(CHANGE, "rise", rise.value(), Content::UNIT)?;
    let mass = layer.mass_over_area()?;
    let dose = rise * mass.value / 1000.0;
    let working = Working::new("dose = rise x soil over area")
        .given("Rise", rise, Content::UNIT)
        .after(&mass.working)
        .step("dose", format!("{rise} x {:.1} / 1000", mass.value), dose, Dose::UNIT)
        .source(source("definition"))
        .caution("A floor: published build-up takes about 4 to 15 times as much phosphorus.");
    Ok(Worked::new(Dose(dose), working))
}

/// A published amount that moves a test by one unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BuildUp {
    /// Key, such as `p-midwest`.
    pub id: &'static str,
    /// What is put on, in words.
    pub material: &'static str,
    /// Least and greatest published amount for one unit of the test.
    pub amount: (f64, f64),
    /// Its unit.
    pub unit: &'static str,
    /// Key of its publication.
    pub source: &'static str,
}

/// Published amounts that move a test by one unit.
///
/// # Source Each its own.
pub const BUILD_UP: &[BuildUp] = &[
    BuildUp {
        id: "p-midwest",
        material: "P2O5 for each mg/kg of P",
        amount: (20.0, 20.0),
        unit: "lb/acre",
        source: "tri-state-build-up",
    },
    BuildUp {
        id: "k-midwest",
        material: "K2O for each mg/kg of K, rising with the exchange capacity",
        amount: (6.0, 10.0),
        unit: "lb/acre",
        source: "tri-state-build-up",
    },
    BuildUp {
        id: "p-new-zealand",
        material: "P for each Olsen unit above maintenance, sedimentary to volcanic ground",
        amount: (7.0, 11.0),
        unit: "kg/ha",
        source: "northland-fertility",
    },
    BuildUp {
        id: "k-new-zealand",
        material: "K for each quick-test unit",
        amount: (50.0, 150.0),
        unit: "kg/ha",
        source: "nz-potassium-review",
    },
];

/// Change of a test from an amount put on or carried off, by a published amount for one unit.
///
/// # Units  `amount` and `per_unit` in the same unit; returns units of the test.
/// # Errors `Argument` for a negative amount or one for each unit that is not above zero.
/// # Source That of the figure used, [`BUILD_UP`].
pub fn change_by_build_up(
    amount: f64,
    per_unit: f64,
    key: &str,
) -> Result<Worked<f64>, AgronomyError> {
    let amount = not_negative(CHANGE, "amount", amount, "")?;
    let per_unit = positive(CHANGE, "per_unit", per_unit, "")?;
    let change = amount / per_unit;
    let mut working = Working::new("change = amount / amount for one unit of the test")
        .given("Amount", amount, "")
        .given("Amount for one unit", per_unit, "")
        .step("change", format!("{amount} / {per_unit}"), change, "")
        .caution("Found on other ground; this ground's own retest says more.");
    if let Some(source) = crate::find_source(key) {
        working = working.source(source);
    }
    Ok(Worked::new(change, working))
}

#[cfg(test)]
mod tests {
    use swardbook_units::{BulkDensity, Depth};

    use super::*;

    const LAYER: SoilLayer = SoilLayer { thickness: Depth(100.0), bulk_density: BulkDensity(1.3) };

    #[test]
    fn what_all_found_again_would_move_is_the_floor_backwards() {
        let all = KeptFraction { low: 1.0, likely: 1.0, high: 1.0, ..kept_fraction("P") };
        let dose = least_dose_for_rise(Content(12.0), &LAYER).unwrap().value;
        let change = expected_change(dose, &LAYER, &all).unwrap().value;
        assert!((change.likely.value() - 12.0).abs() < 1e-9, "{change:?}");
    }

    #[test]
    fn priors_follow_from_the_printed_build_up() {
        // tri-state-build-up: 2 lb for each mg/kg over 20 lb of P2O5; over 10 and 6 lb of K2O.
        let p = 2.0 / (20.0 * element_in("P2O5", "P").unwrap());
        assert!((kept_fraction("P").likely - p).abs() < 0.005, "P {p}");
        let k = |lb: f64| 2.0 / (lb * element_in("K2O", "K").unwrap());
        let prior = kept_fraction("K");
        assert!((prior.low - k(10.0)).abs() < 0.005, "K low {}", k(10.0));
        assert!((prior.high - k(6.0)).abs() < 0.005, "K high {}", k(6.0));
        assert!((prior.likely - (prior.low * prior.high).sqrt()).abs() < 0.005, "between");
    }

    #[test]
    fn every_prior_is_in_order_and_every_figure_has_its_source() {
        for symbol in ["P", "K", "Ca", "Mg"] {
            let prior = kept_fraction(symbol);
            assert!(0.0 < prior.low && prior.low < prior.likely, "{symbol}");
            assert!(prior.likely < prior.high && prior.high <= 1.0, "{symbol}");
        }
        for figure in BUILD_UP {
            assert!(crate::find_source(figure.source).is_some(), "{}", figure.id);
            assert!(figure.amount.0 <= figure.amount.1, "{}", figure.id);
        }
    }

    #[test]
    fn a_dose_of_an_oxide_is_its_element() {
        let p = element_in_dose(Dose(10.0), "P2O5", "P").unwrap().value.value();
        assert!((p - 4.3642).abs() < 1e-3, "{p}");
        assert!(element_in_dose(Dose(1.0), "P2O5", "Q").is_err(), "no such element");
    }
}
