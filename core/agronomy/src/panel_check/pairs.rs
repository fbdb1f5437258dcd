//! What two readings of one panel say about each other.

use super::{
    Finding, Panel, Severity, agree, known_analyte,
    slips::{Fix, Suggestion, rounded},
};

/// pH in water lies above pH in calcium chloride, commonly by 0.5 to 1.0.
pub(super) fn check_scales(panel: &Panel<'_>, findings: &mut Vec<Finding>) {
    let Some((water_at, water)) = panel.exact("ph-water") else { return };
    let Some((salt_at, salt)) = panel.exact("ph-cacl2") else { return };
    let gap = water - salt;
    // Printed to one decimal, two equal readings may differ by rounding.
    if (0.0..=1.3).contains(&gap) {
        return;
    }
    let message = if gap < 0.0 {
        format!(
            "pH in water ({}) lies below pH in calcium chloride ({}); commonly it lies 0.5 to 1.0 \
             above",
            rounded(water),
            rounded(salt)
        )
    } else {
        format!(
            "pH in water lies {} above pH in calcium chloride; commonly it is 0.5 to 1.0",
            rounded(gap)
        )
    };
    let mut finding = panel
        .finding(&[water_at, salt_at], Severity::Doubtful, message)
        .on_the_word_of(&["rayment-lyons-2011", "nsw-acidity-2021", "dpird-acidity"]);
    if gap < 0.0 && (-1.3..=-0.2).contains(&gap) {
        finding.suggestions.push(Suggestion {
            readings: vec![water_at, salt_at],
            fix: Fix::Swapped,
            words: "the two readings may stand in each other's place".to_owned(),
        });
    }
    findings.push(finding);
}

/// Organic matter against organic carbon, and carbon against nitrogen.
pub(super) fn check_carbon(panel: &Panel<'_>, findings: &mut Vec<Finding>) {
    if let (Some((carbon_at, carbon)), Some((matter_at, matter))) =
        (panel.exact("organic-carbon"), panel.exact("organic-matter"))
        && carbon > 0.0
    {
        let factor = matter / carbon;
        if !(1.6..=2.4).contains(&factor) {
            let message = format!(
                "organic matter is {} times organic carbon; published factors run from 1.72 to 2.2",
                rounded(factor)
            );
            findings.push(
                panel
                    .finding(&[carbon_at, matter_at], Severity::Doubtful, message)
                    .on_the_word_of(&["rayment-lyons-2011"]),
            );
        }
    }
    let carbon = panel.exact("organic-carbon").or_else(|| panel.exact("total-carbon"));
    let (Some((carbon_at, carbon)), Some((nitrogen_at, nitrogen))) =
        (carbon, panel.exact("total-n"))
    else {
        return;
    };
    if nitrogen <= 0.0 {
        return;
    }
    let computed = carbon / nitrogen;
    let usual = known_analyte("c-n-ratio").by.first().map_or((8.0, 30.0), |by| by.usual);
    if !(usual.0..=usual.1).contains(&computed) {
        let mut finding = panel
            .finding(
                &[carbon_at, nitrogen_at],
                Severity::Doubtful,
                format!(
                    "carbon over nitrogen is {}; {} to {} is usual",
                    rounded(computed),
                    usual.0,
                    usual.1
                ),
            )
            .on_the_word_of(&["common-practice"]);
        for factor in [0.1, 10.0] {
            let fixed = computed * factor;
            if (usual.0..=usual.1).contains(&fixed) {
                for (at, times) in [(carbon_at, factor), (nitrogen_at, 1.0 / factor)] {
                    let name = &panel.readings[at].analyte().name;
                    let how = if times < 1.0 { "divided by" } else { "times" };
                    finding.suggestions.push(Suggestion {
                        readings: vec![at],
                        fix: Fix::Times(times),
                        words: format!(
                            "with {name} {how} 10 the ratio would be {}",
                            rounded(fixed)
                        ),
                    });
                }
            }
        }
        findings.push(finding);
    }
    if let Some((at, reported)) = panel.exact("c-n-ratio")
        && !agree(reported, computed, 0.1, 0.5)
    {
        let message = format!(
            "carbon to nitrogen is printed as {}, but the two readings give {}",
            rounded(reported),
            rounded(computed)
        );
        findings.push(
            panel
                .finding(&[at, carbon_at, nitrogen_at], Severity::Doubtful, message)
                .on_the_word_of(&["definition"]),
        );
    }
}

/// Mineral nitrogen is part of total nitrogen.
pub(super) fn check_nitrogen(panel: &Panel<'_>, findings: &mut Vec<Finding>) {
    let Some((total_at, total)) = panel.exact("total-n") else { return };
    let mineral: Vec<(usize, f64)> =
        ["nitrate-n", "ammonium-n"].iter().filter_map(|id| panel.exact(id)).collect();
    let sum: f64 = mineral.iter().map(|(_, content)| content).sum();
    // Total nitrogen is kept in %, mineral nitrogen in mg/kg.
    let total_content = total * 1e4;
    if !mineral.is_empty() && sum > total_content {
        let mut all: Vec<usize> = mineral.iter().map(|(at, _)| *at).collect();
        all.push(total_at);
        let message = format!(
            "nitrate and ammonium nitrogen ({} mg/kg) exceed total nitrogen ({} mg/kg)",
            rounded(sum),
            rounded(total_content)
        );
        findings.push(
            panel.finding(&all, Severity::Impossible, message).on_the_word_of(&["definition"]),
        );
    }
}

/// A printed calcium to magnesium ratio against the two cations, by charge.
pub(super) fn check_ratios(panel: &Panel<'_>, findings: &mut Vec<Finding>) {
    let by_exchange = |id: &str| id == "exchangeable";
    let (Some((at, reported)), Some((ca_at, ca)), Some((mg_at, mg))) = (
        panel.exact("ca-mg-ratio"),
        panel.exact_by("ca", by_exchange),
        panel.exact_by("mg", by_exchange),
    ) else {
        return;
    };
    if mg > 0.0 && !agree(reported, ca / mg, 0.1, 0.1) {
        let message = format!(
            "calcium to magnesium is printed as {}, but by charge the two give {}",
            rounded(reported),
            rounded(ca / mg)
        );
        findings.push(
            panel
                .finding(&[at, ca_at, mg_at], Severity::Doubtful, message)
                .on_the_word_of(&["rayment-lyons-2011"]),
        );
    }
}

/// Free carbonate and exchangeable aluminium do not live in the same ground.
pub(super) fn check_acid_company(panel: &Panel<'_>, findings: &mut Vec<Finding>) {
    let Some((ph_at, ph)) = panel.exact("ph-water") else { return };
    if let Some((at, carbonate)) = panel.exact("carbonate")
        && carbonate > 0.5
        && ph < 6.5
    {
        let message = format!(
            "free carbonate of {} % beside a pH in water of {}: acid ground holds none",
            rounded(carbonate),
            rounded(ph)
        );
        findings.push(
            panel
                .finding(&[at, ph_at], Severity::Doubtful, message)
                .on_the_word_of(&["common-practice"]),
        );
    }
    if let Some((at, aluminium)) = panel.exact_by("al", |id| id == "kcl-exchangeable")
        && aluminium > 0.3
        && ph > 6.5
    {
        let message = format!(
            "exchangeable aluminium of {} cmol/kg beside a pH in water of {}: the test is poor on \
             ground that is nearly neutral",
            rounded(aluminium),
            rounded(ph)
        );
        findings.push(
            panel
                .finding(&[at, ph_at], Severity::Doubtful, message)
                .on_the_word_of(&["rayment-lyons-2011"]),
        );
    }
}

/// Soluble salts count as exchangeable sodium.
pub(super) fn note_salts(panel: &Panel<'_>, findings: &mut Vec<Finding>) {
    if let (Some((ec_at, ec)), Some((na_at, _))) = (
        panel.exact_by("ec", |id| id == "water-1-5"),
        panel.exact_by("na", |id| id == "exchangeable"),
    ) && ec > 0.3
    {
        let message = format!(
            "at an EC 1:5 of {} dS/m soluble salts count as exchangeable sodium unless they were \
             washed out: ask the laboratory",
            rounded(ec)
        );
        findings.push(
            panel
                .finding(&[ec_at, na_at], Severity::Note, message)
                .on_the_word_of(&["rayment-lyons-2011"]),
        );
    }
}
