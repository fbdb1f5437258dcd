//! Which calcium source, if any, and why: calcitic lime, dolomite, gypsum, lime with gypsum, or none.
//!
//! The choice rests on acidity, magnesium, calcium and sodium; never on a ratio of cations.
//! Where a reading cannot settle it, the choices stand side by side with what differs between them.
//! This module does not own how much of it (`lime`, `gypsum`, `need`).

mod standing;

use swardbook_units::{Worked, Working};

pub use standing::{AcidityStanding, SodiumStanding, Standing, acidity_standing, sodium_standing};

use crate::{
    AgronomyError, cations::RATIO_CAUTION, elements::element_in, source, sulfur::FreeCarbonate,
};

/// What to take calcium from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CalciumSource {
    /// Ground limestone low in magnesium.
    CalciticLime,
    /// Limestone with magnesium.
    Dolomite,
    /// Calcium sulfate.
    Gypsum,
    /// Calcitic lime for the acidity with gypsum for the sodium.
    CalciticLimeWithGypsum,
    /// Dolomite for the acidity with gypsum for the sodium.
    DolomiteWithGypsum,
    /// None is called for.
    None,
}

impl CalciumSource {
    /// Key, such as `calcitic-lime`.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::CalciticLime => "calcitic-lime",
            Self::Dolomite => "dolomite",
            Self::Gypsum => "gypsum",
            Self::CalciticLimeWithGypsum => "calcitic-lime-with-gypsum",
            Self::DolomiteWithGypsum => "dolomite-with-gypsum",
            Self::None => "none",
        }
    }

    /// Name in words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::CalciticLime => "calcitic lime",
            Self::Dolomite => "dolomite",
            Self::Gypsum => "gypsum",
            Self::CalciticLimeWithGypsum => "calcitic lime with gypsum",
            Self::DolomiteWithGypsum => "dolomite with gypsum",
            Self::None => "no calcium source",
        }
    }

    /// Keys of the materials it is made of.
    #[must_use]
    pub const fn materials(self) -> &'static [&'static str] {
        match self {
            Self::CalciticLime => &["calcitic-lime"],
            Self::Dolomite => &["dolomite"],
            Self::Gypsum => &["gypsum"],
            Self::CalciticLimeWithGypsum => &["calcitic-lime", "gypsum"],
            Self::DolomiteWithGypsum => &["dolomite", "gypsum"],
            Self::None => &[],
        }
    }

    /// Whether it raises the pH.
    #[must_use]
    pub const fn limes(self) -> bool {
        !matches!(self, Self::Gypsum | Self::None)
    }
}

/// What is known for the choice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CalciumEvidence {
    /// Acidity against the target.
    pub acidity: AcidityStanding,
    /// Magnesium against its guideline.
    pub magnesium: Standing,
    /// Calcium against its guideline.
    pub calcium: Standing,
    /// Sodium of the exchange.
    pub sodium: SodiumStanding,
    /// Free lime.
    pub carbonate: FreeCarbonate,
}

/// The choice, or the choices where the readings cannot settle it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CalciumDecision {
    /// The choices, the likeliest first; one where it is settled.
    pub choices: Vec<CalciumSource>,
    /// Why, in full sentences.
    pub reasons: Vec<String>,
    /// What differs between the choices in cost and effect; empty where there is one.
    pub differences: Vec<String>,
    /// What would settle it; empty where it is settled.
    pub settle: Vec<String>,
}

impl CalciumDecision {
    /// Whether the readings settle it.
    #[must_use]
    pub const fn is_settled(&self) -> bool {
        self.choices.len() == 1
    }
}

struct Reasons {
    reasons: Vec<String>,
    settle: Vec<String>,
}

impl Reasons {
    fn because(&mut self, text: &str) {
        self.reasons.push(text.to_owned());
    }

    fn settle(&mut self, text: &str) {
        self.settle.push(text.to_owned());
    }
}

/// The calcium source by acidity, magnesium, calcium and sodium, with its reasons.
///
/// # Errors `Missing` when the acidity is unknown: nothing can be said without it.
/// # Source `penn-state-aglime` (gypsum does not lime), `menzies-2019` and `kopittke-menzies-2007`
/// (no ratio decides), `dpird-sodic`; the order of the reasons is common practice.
pub fn choose_calcium_source(
    evidence: &CalciumEvidence,
) -> Result<Worked<CalciumDecision>, AgronomyError> {
    let mut said = Reasons { reasons: Vec::new(), settle: Vec::new() };
    let limes = match evidence.acidity {
        AcidityStanding::Unknown => {
            return Err(AgronomyError::Missing {
                operation: "calcium source",
                argument: "ph",
                remedy: "read the pH first: it decides between lime and gypsum",
            });
        }
        AcidityStanding::Acid => {
            said.because("The ground is below its target pH, so lime is called for.");
            vec![true]
        }
        AcidityStanding::Borderline => {
            said.because("The pH is at its target within the reading's uncertainty.");
            said.settle("Read the pH again on a sample of more cores, by the same method.");
            vec![false, true]
        }
        AcidityStanding::NotAcid => {
            said.because("The ground is at its target pH, so lime is not called for.");
            vec![false]
        }
        AcidityStanding::Alkaline => {
            said.because("The ground is alkaline: lime would make it worse.");
            vec![false]
        }
    };
    let sodic = sodium_reasons(evidence.sodium, &mut said);
    let magnesium =
        if limes.contains(&true) { magnesium_reasons(evidence, &mut said) } else { vec![false] };
    let calcium =
        if limes.contains(&false) { calcium_reasons(evidence, &mut said) } else { vec![false] };
    let mut choices = Vec::new();
    for lime in &limes {
        for with_gypsum in &sodic {
            let branch: Vec<CalciumSource> = if *lime {
                magnesium.iter().map(|short| liming(*short, *with_gypsum)).collect()
            } else {
                calcium.iter().map(|short| not_liming(*short || *with_gypsum)).collect()
            };
            for choice in branch {
                if !choices.contains(&choice) {
                    choices.push(choice);
                }
            }
        }
    }
    note_magnesium_without_lime(evidence, &limes, &mut said);
    let differences = differences(&choices)?;
    if choices.len() == 1 {
        said.settle.clear();
    }
    let decision =
        CalciumDecision { choices, reasons: said.reasons, differences, settle: said.settle };
    Ok(Worked::new(decision, working(evidence)))
}

const fn liming(magnesium_short: bool, with_gypsum: bool) -> CalciumSource {
    match (magnesium_short, with_gypsum) {
        (false, false) => CalciumSource::CalciticLime,
        (true, false) => CalciumSource::Dolomite,
        (false, true) => CalciumSource::CalciticLimeWithGypsum,
        (true, true) => CalciumSource::DolomiteWithGypsum,
    }
}

const fn not_liming(gypsum: bool) -> CalciumSource {
    if gypsum { CalciumSource::Gypsum } else { CalciumSource::None }
}

fn sodium_reasons(sodium: SodiumStanding, said: &mut Reasons) -> Vec<bool> {
    match sodium {
        SodiumStanding::Sodic => {
            said.because(
                "Sodium holds 6 % of the exchange or more, so gypsum is called for to replace it.",
            );
            vec![true]
        }
        SodiumStanding::NotSodic => {
            said.because("Sodium holds less than 6 % of the exchange.");
            vec![false]
        }
        SodiumStanding::Borderline => {
            said.because("The sodium is at the limit of 6 % within the reading's uncertainty.");
            said.settle("Watch a crumb of soil in a jar of still water: milky water says sodic.");
            vec![false, true]
        }
        SodiumStanding::Unknown => {
            said.because("Sodium was not read; it is taken as not in the way.");
            vec![false]
        }
    }
}

fn magnesium_reasons(evidence: &CalciumEvidence, said: &mut Reasons) -> Vec<bool> {
    match evidence.magnesium {
        Standing::Enough => {
            said.because("Magnesium is enough, so a lime without it will do.");
            vec![false]
        }
        Standing::Short => {
            said.because("Magnesium is short, so a lime that brings it does both.");
            vec![true]
        }
        Standing::Borderline => {
            said.because("Magnesium is at its limit within the reading's uncertainty.");
            said.settle("Read magnesium again on a sample of more cores, by the same method.");
            vec![false, true]
        }
        Standing::Unknown => {
            said.because("Magnesium was not read, so the kind of lime cannot be told.");
            said.settle("Have magnesium read by a method that has a guideline.");
            vec![false, true]
        }
    }
}

fn calcium_reasons(evidence: &CalciumEvidence, said: &mut Reasons) -> Vec<bool> {
    match evidence.calcium {
        Standing::Enough => {
            said.because("Calcium is enough.");
            vec![false]
        }
        Standing::Short => {
            said.because("Calcium is short and the pH must stay, so gypsum brings it.");
            if evidence.carbonate == FreeCarbonate::Present {
                said.because(
                    "Yet there is free lime in the ground, which is calcium: check that reading.",
                );
            }
            vec![true]
        }
        Standing::Borderline => {
            said.because("Calcium is at its limit within the reading's uncertainty.");
            said.settle("Read calcium again on a sample of more cores, by the same method.");
            vec![false, true]
        }
        Standing::Unknown => {
            said.because("Calcium was not read; nothing is put on for it.");
            vec![false]
        }
    }
}

fn note_magnesium_without_lime(evidence: &CalciumEvidence, limes: &[bool], said: &mut Reasons) {
    if limes.contains(&false) && evidence.magnesium == Standing::Short {
        said.because(
            "Magnesium is short: where no lime goes on, magnesium sulfate brings it without \
             moving the pH.",
        );
    }
}

/// What differs between the choices, from their composition.
fn differences(choices: &[CalciumSource]) -> Result<Vec<String>, AgronomyError> {
    let mut lines = Vec::new();
    if choices.len() < 2 {
        return Ok(lines);
    }
    let any = |kind: fn(&CalciumSource) -> bool| choices.iter().any(kind);
    let dolomite = |c: &CalciumSource| {
        matches!(c, CalciumSource::Dolomite | CalciumSource::DolomiteWithGypsum)
    };
    let calcitic = |c: &CalciumSource| {
        matches!(c, CalciumSource::CalciticLime | CalciumSource::CalciticLimeWithGypsum)
    };
    if any(dolomite) && any(calcitic) {
        let mg = 1000.0 * element_in("CaMg(CO3)2", "Mg")?;
        lines.push(format!(
            "Dolomite brings up to {mg:.0} g of magnesium with each kilogram and works over about \
             three to four months; calcitic lime brings calcium only, so magnesium that is short \
             stays short."
        ));
    }
    if any(|c| c.limes()) && any(|c| !c.limes()) {
        lines.push(
            "Lime lifts the pH and cannot be taken back; waiting costs another test and keeps the \
             choice open."
                .to_owned(),
        );
    }
    if any(|c| is_gypsum(*c)) && any(|c| !is_gypsum(*c)) {
        lines.push(
            "Gypsum brings calcium and sulfate without moving the pH; for sodium it needs water and \
             drainage to carry the sodium out, and costs a second material."
                .to_owned(),
        );
    }
    Ok(lines)
}

const fn is_gypsum(source: CalciumSource) -> bool {
    matches!(
        source,
        CalciumSource::Gypsum
            | CalciumSource::CalciticLimeWithGypsum
            | CalciumSource::DolomiteWithGypsum
    )
}

fn working(evidence: &CalciumEvidence) -> Working {
    let mut working = Working::new(
        "acid, magnesium enough: calcitic lime; acid, magnesium short: dolomite; not acid, calcium \
         short or sodic: gypsum; acid and sodic: lime with gypsum; alkaline: no lime",
    )
    .source(source("penn-state-aglime"))
    .source(source("menzies-2019"))
    .source(source("kopittke-menzies-2007"))
    .caution(RATIO_CAUTION);
    if evidence.sodium != SodiumStanding::Unknown {
        working = working.source(source("dpird-sodic")).source(source("rayment-lyons-2011"));
    }
    if !matches!(evidence.magnesium, Standing::Unknown) {
        working = working.source(source("lime-response-notes"));
    }
    working.source(source("common-practice"))
}

#[cfg(test)]
mod tests;
