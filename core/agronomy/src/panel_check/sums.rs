//! What must add up: cations to the exchange capacity, shares to a hundred, grains to a hundred.

use super::{
    Finding, Panel, Severity, agree, known_unit,
    slips::{Candidate, Fix, Suggestion, candidates, rounded, suggested},
};
use crate::{analyte::NOT_STATED, reading::Qualifier};

/// How far a sum may be from the capacity printed beside it: rounding of five printed numbers.
///
/// # Source `common-practice`.
const SUM_TOLERANCE: f64 = 0.05;
/// How far the bases may exceed a measured capacity before it is doubtful.
///
/// # Source `common-practice`: two measurements, each with its own error.
const OVER_CAPACITY: f64 = 1.10;

/// One cation of the panel.
struct Cation {
    at: usize,
    charge: f64,
}

/// Exact cations of one extraction, with their charge.
fn cations_by(panel: &Panel<'_>, ids: &[&str], method: &str) -> Vec<Cation> {
    ids.iter()
        .filter_map(|id| {
            let at = panel.readings.iter().position(|r| {
                r.analyte().id == *id
                    && r.method().id == method
                    && r.qualifier() == Qualifier::Exact
            })?;
            let charge = panel.readings[at].in_unit(known_unit("cmol/kg"), panel.ground).ok()?;
            Some(Cation { at, charge: charge.value })
        })
        .collect()
}

pub(super) fn check_cations(panel: &Panel<'_>, findings: &mut Vec<Finding>) {
    let Some(bases) = ["exchangeable", "mehlich-3", NOT_STATED]
        .into_iter()
        .map(|method| cations_by(panel, &["ca", "mg", "k", "na"], method))
        .find(|cations| {
            cations.iter().any(|c| panel.readings[c.at].analyte().id == "ca") && cations.len() > 2
        })
    else {
        return;
    };
    let acidity = acidity(panel);
    let sum: f64 = bases.iter().chain(&acidity).map(|c| c.charge).sum();
    let base_sum: f64 = bases.iter().map(|c| c.charge).sum();
    if let Some((at, ecec)) = panel.exact("ecec") {
        // Without sodium or acidity the sum may fall short of what the laboratory added up.
        let complete = bases.len() == 4 && !acidity.is_empty();
        let wrong = if complete {
            !agree(sum, ecec, SUM_TOLERANCE, 0.1)
        } else {
            sum > ecec * (1.0 + SUM_TOLERANCE) + 0.1
        };
        if wrong {
            let mut all: Vec<usize> = bases.iter().chain(&acidity).map(|c| c.at).collect();
            let suggestions = slips_that_add_up(panel, &bases, &acidity, ecec);
            all.push(at);
            let message = format!(
                "the cations add up to {} cmol/kg, but the effective exchange capacity is {}",
                rounded(sum),
                rounded(ecec)
            );
            let mut finding = panel
                .finding(&all, Severity::Doubtful, message)
                .on_the_word_of(&["rayment-lyons-2011", "common-practice"]);
            finding.suggestions = suggestions;
            findings.push(finding);
        }
    }
    if let Some((at, cec)) = panel.exact("cec")
        && base_sum > cec * OVER_CAPACITY + 0.1
    {
        let mut all: Vec<usize> = bases.iter().map(|c| c.at).collect();
        let suggestions = slips_that_add_up(panel, &bases, &[], cec);
        all.push(at);
        let message = format!(
            "calcium, magnesium, potassium and sodium add up to {} cmol/kg, more than the exchange \
             capacity of {}: carbonate, gypsum or soluble salts count with them, or a unit slipped",
            rounded(base_sum),
            rounded(cec)
        );
        let mut finding = panel
            .finding(&all, Severity::Doubtful, message)
            .on_the_word_of(&["rayment-lyons-2011", "common-practice"]);
        finding.suggestions = suggestions;
        findings.push(finding);
    }
}

/// Exchangeable aluminium and hydrogen, or their sum where it is printed instead.
fn acidity(panel: &Panel<'_>) -> Vec<Cation> {
    for method in ["kcl-exchangeable", "exchangeable"] {
        let both = cations_by(panel, &["al", "h"], method);
        if both.len() == 2 {
            return both;
        }
    }
    if let Some((at, charge)) = panel.exact_by("exchange-acidity", |id| id == "kcl-exchangeable") {
        return vec![Cation { at, charge }];
    }
    let aluminium = cations_by(panel, &["al"], "kcl-exchangeable");
    if aluminium.is_empty() { cations_by(panel, &["al"], "exchangeable") } else { aluminium }
}

/// Slips of one cation, or of all bases alike, that make the sum agree with the capacity.
fn slips_that_add_up(
    panel: &Panel<'_>,
    bases: &[Cation],
    acidity: &[Cation],
    capacity: f64,
) -> Vec<Suggestion> {
    let charge_of = |at: usize, candidate: &Candidate| -> Option<f64> {
        // Candidates come in the unit the pair is kept in; bring them to charge.
        let reading = panel.readings[at];
        let kept =
            reading.as_element()?.with_unit(reading.by().unit)?.with_value(candidate.value)?;
        kept.in_unit(known_unit("cmol/kg"), panel.ground).ok().map(|w| w.value)
    };
    let sum: f64 = bases.iter().chain(acidity).map(|c| c.charge).sum();
    let mut found = Vec::new();
    for cation in bases {
        for candidate in candidates(panel, cation.at) {
            let Some(charge) = charge_of(cation.at, &candidate) else { continue };
            if charge >= 0.0 && agree(sum - cation.charge + charge, capacity, SUM_TOLERANCE, 0.1) {
                found.push(suggested(panel, cation.at, &candidate));
            }
        }
    }
    // The same slip down the whole column.
    let first = bases.first().map_or_else(Vec::new, |c| candidates(panel, c.at));
    for candidate in first {
        if !matches!(candidate.fix, Fix::Unit(_) | Fix::Times(_)) {
            continue;
        }
        let same: Option<Vec<f64>> = bases
            .iter()
            .map(|cation| {
                let alike =
                    candidates(panel, cation.at).into_iter().find(|c| c.fix == candidate.fix)?;
                charge_of(cation.at, &alike)
            })
            .collect();
        let Some(same) = same else { continue };
        let acid: f64 = acidity.iter().map(|c| c.charge).sum();
        let total = same.iter().sum::<f64>() + acid;
        if agree(total, capacity, SUM_TOLERANCE, 0.1) {
            let how = match candidate.fix {
                Fix::Unit(unit) => format!("all read as {}", unit.symbol),
                Fix::Times(factor) => format!("all times {}", rounded(factor)),
                _ => continue,
            };
            found.push(Suggestion {
                readings: bases.iter().map(|c| c.at).collect(),
                fix: candidate.fix,
                words: format!("{how} they would add up to {} cmol/kg", rounded(total)),
            });
        }
    }
    found
}

pub(super) fn check_saturations(panel: &Panel<'_>, findings: &mut Vec<Finding>) {
    let shares = |ids: &[&str]| -> Vec<(usize, f64)> {
        ids.iter().filter_map(|id| panel.exact(id)).collect()
    };
    let bases = shares(&["ca-saturation", "mg-saturation", "k-saturation", "esp"]);
    let acid = shares(&["al-saturation", "h-saturation"]);
    let base_sum: f64 = bases.iter().map(|(_, share)| share).sum();
    if bases.len() == 4
        && let Some((at, reported)) = panel.exact("base-saturation")
        && !agree(base_sum, reported, 0.0, 2.0)
    {
        let mut all: Vec<usize> = bases.iter().map(|(at, _)| *at).collect();
        all.push(at);
        let message = format!(
            "the shares of the four bases add up to {} %, but base saturation is {} %",
            rounded(base_sum),
            rounded(reported)
        );
        findings
            .push(panel.finding(&all, Severity::Doubtful, message).on_the_word_of(&["definition"]));
    }
    if bases.len() >= 3 {
        let total = base_sum + acid.iter().map(|(_, share)| share).sum::<f64>();
        let all: Vec<usize> = bases.iter().chain(&acid).map(|(at, _)| *at).collect();
        if total > 102.0 {
            let message =
                format!("the shares of the exchange capacity add up to {} %", rounded(total));
            findings.push(
                panel.finding(&all, Severity::Impossible, message).on_the_word_of(&["definition"]),
            );
        } else if bases.len() == 4 && !acid.is_empty() && total < 98.0 {
            let message = format!(
                "the shares of the exchange capacity add up to only {} %: one may be missing",
                rounded(total)
            );
            findings
                .push(panel.finding(&all, Severity::Note, message).on_the_word_of(&["definition"]));
        }
    }
    check_shares_against_charges(panel, findings);
}

/// A printed share against the printed cation over the printed capacity.
fn check_shares_against_charges(panel: &Panel<'_>, findings: &mut Vec<Finding>) {
    let capacity = panel.exact("cec").or_else(|| panel.exact("ecec"));
    let Some((capacity_at, capacity)) = capacity.filter(|(_, value)| *value > 0.0) else { return };
    for (share_id, cation_id) in
        [("ca-saturation", "ca"), ("mg-saturation", "mg"), ("k-saturation", "k"), ("esp", "na")]
    {
        let Some((share_at, share)) = panel.exact(share_id) else { continue };
        let Some(cation) = cations_by(panel, &[cation_id], "exchangeable").pop() else { continue };
        let computed = 100.0 * cation.charge / capacity;
        if !agree(share, computed, 0.1, 1.0) {
            let reading = &panel.readings[share_at];
            let message = format!(
                "{} is printed as {} %, but {} over the exchange capacity gives {} %",
                reading.analyte().name,
                rounded(share),
                panel.readings[cation.at].analyte().name,
                rounded(computed)
            );
            findings.push(
                panel
                    .finding(&[share_at, cation.at, capacity_at], Severity::Doubtful, message)
                    .on_the_word_of(&["rayment-lyons-2011"]),
            );
        }
    }
}

pub(super) fn check_texture(panel: &Panel<'_>, findings: &mut Vec<Finding>) {
    let parts: Vec<(usize, f64)> =
        ["sand", "silt", "clay"].iter().filter_map(|id| panel.exact(id)).collect();
    let sum: f64 = parts.iter().map(|(_, share)| share).sum();
    let all: Vec<usize> = parts.iter().map(|(at, _)| *at).collect();
    if (parts.len() == 3 && !agree(sum, 100.0, 0.0, 2.0)) || sum > 102.0 {
        let message = format!("sand, silt and clay add up to {} %", rounded(sum));
        findings
            .push(panel.finding(&all, Severity::Doubtful, message).on_the_word_of(&["definition"]));
    }
}
