//! Generic materials that are put on grass: what is in them, how strong, how much at one visit.
//!
//! The pure analysis is computed from the formula; the commercial one is the table's, or a label's.
//! This module does not own prices, packs or brands.

mod kind;
mod label;
mod table;

use swardbook_units::{Dose, Percent, Source, Worked, Working};

pub use kind::{Form, LimitGround, MaterialKind, OnGrass};
pub use label::{Label, LabelShare, material_from_label};

use crate::{
    AgronomyError,
    elements::{element_in, parse_formula},
    error::positive,
    neutralising_value::theoretical_neutralising_value,
    source,
};

pub(crate) const MATERIAL: &str = "material";

/// Share of an element in a material.
#[derive(Debug, Clone, PartialEq)]
pub struct NutrientShare {
    /// The element's symbol.
    pub symbol: String,
    /// % of the mass that is the element.
    pub percent: Percent,
    /// As printed: the element or oxide and its %.
    pub printed: (String, Percent),
    /// Range or other remark; empty where there is none.
    pub note: String,
    /// On whose word.
    pub sources: Vec<Source>,
}

/// A figure with its remark and source.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// The figure.
    pub value: f64,
    /// Remark; empty where there is none.
    pub note: String,
    /// On whose word.
    pub sources: Vec<Source>,
}

/// Most of a material, or of one of its elements, at one visit or in one year.
#[derive(Debug, Clone, PartialEq)]
pub struct DoseLimit {
    /// The limit, g/m2 of what it is of.
    pub dose: Dose,
    /// The element it is of; the material itself where none.
    pub element: Option<String>,
    /// The ground it is for.
    pub ground: LimitGround,
    /// Remark; empty where there is none.
    pub note: String,
    /// On whose word.
    pub sources: Vec<Source>,
}

/// A material.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// Key, such as `sulfate-of-potash`.
    pub id: String,
    /// Generic name.
    pub name: String,
    /// What it is put on for.
    pub kind: MaterialKind,
    /// Formula of the pure compound, where it is one.
    pub formula: Option<String>,
    /// How it comes.
    pub form: Form,
    /// Whether it may go on established grass.
    pub on_grass: OnGrass,
    /// Analysis as it is sold.
    pub analysis: Vec<NutrientShare>,
    /// Effect on acidity as % of calcium carbonate; below zero it makes acid.
    pub acidity_effect: Option<Figure>,
    /// Fineness in words, with its source.
    pub fineness: Option<(String, Vec<Source>)>,
    /// Most at one visit.
    pub limits: Vec<DoseLimit>,
    /// Most in one year.
    pub per_year: Option<DoseLimit>,
    /// Least days between two visits.
    pub interval_days: Option<Figure>,
    /// Above this it has to be watered in.
    pub water_in: Vec<DoseLimit>,
    /// Salt index on sodium nitrate as 100; sources disagree and stand side by side.
    pub salt_index: Vec<Figure>,
    /// What to mind.
    pub cautions: Vec<String>,
}

/// Every generic material, in the order of the table.
#[must_use]
pub fn materials() -> &'static [Material] {
    table::materials()
}

/// A material by its key or its whole name, whatever the letter case.
#[must_use]
pub fn find_material(name: &str) -> Option<&'static Material> {
    let wanted = name.trim();
    let by_key = materials().iter().find(|m| m.id.eq_ignore_ascii_case(wanted));
    by_key.or_else(|| materials().iter().find(|m| m.name.eq_ignore_ascii_case(wanted)))
}

impl Material {
    /// The elements it brings, as it is sold, and how much of each.
    #[must_use]
    pub fn nutrients(&self) -> &[NutrientShare] {
        &self.analysis
    }

    /// Share of an element as it is sold, from 0 to 1; zero when it brings none.
    #[must_use]
    pub fn share_of(&self, symbol: &str) -> f64 {
        self.analysis
            .iter()
            .find(|share| share.symbol == symbol)
            .map_or(0.0, |share| share.percent.value() / 100.0)
    }

    /// The elements of the pure compound other than carbon, hydrogen and oxygen, by its formula;
    /// empty for what is no single compound.
    ///
    /// # Errors [`crate::elements::FormulaError`], which a formula of the table never has.
    /// # Source `atomic-weights`.
    pub fn theory(&self) -> Result<Worked<Vec<(&'static str, Percent)>>, AgronomyError> {
        let Some(formula) = &self.formula else {
            return Ok(Worked::new(Vec::new(), Working::default()));
        };
        let composition = parse_formula(formula)?;
        let mut working = Working::new("share = atoms x atomic weight / molar mass")
            .source(source("atomic-weights"));
        let mut shares = Vec::new();
        for (symbol, atoms) in composition.elements() {
            if matches!(symbol, "C" | "H" | "O") {
                continue;
            }
            let share = 100.0 * composition.mass_fraction(symbol);
            working = working.step(symbol, format!("{atoms} in {formula}"), share, "%");
            shares.push((symbol, Percent(share)));
        }
        Ok(Worked::new(shares, working))
    }

    /// Effect on acidity as % of calcium carbonate: as printed, or from the formula where the soil has
    /// no say in it; none where neither is known.
    #[must_use]
    pub fn neutralising_value(&self) -> Option<Percent> {
        self.acidity_effect.as_ref().map(|figure| Percent(figure.value)).or_else(|| {
            let formula = self.formula.as_deref()?;
            theoretical_neutralising_value(formula).ok().map(|worked| worked.value)
        })
    }

    /// Most of the material at one visit on a ground, with the limit it follows; the smallest that
    /// fits, and none where nothing limits it.
    ///
    /// Close-mown grass without a limit of its own keeps half of that of grass.
    ///
    /// # Errors `Refused` for a material that may not go on grass.
    /// # Source Those of the limit.
    pub fn single_dose(
        &self,
        ground: LimitGround,
    ) -> Result<Option<Worked<SingleDose<'_>>>, AgronomyError> {
        if self.on_grass == OnGrass::Never && ground != LimitGround::Garden {
            return Err(AgronomyError::Refused {
                operation: MATERIAL,
                argument: "material",
                why: format!("{} is not for established grass", self.name),
            });
        }
        let own = self.smallest(&self.limits, ground);
        let found = match (own, ground) {
            (Some(found), _) => Some((found, 1.0)),
            (None, LimitGround::LowMown) => {
                self.smallest(&self.limits, LimitGround::Grass).map(|f| (f, 0.5))
            }
            (None, LimitGround::Garden) => {
                self.smallest(&self.limits, LimitGround::Grass).map(|f| (f, 1.0))
            }
            (None, LimitGround::Grass) => None,
        };
        Ok(found.map(|((limit, dose), part)| {
            let most = dose * part;
            let mut working = Working::new("most at one visit: the smallest limit that fits");
            working = working.given(
                limit.element.as_deref().unwrap_or(&self.name),
                limit.dose.value(),
                Dose::UNIT,
            );
            if let Some(element) = &limit.element {
                working = working.step(
                    "as the material",
                    format!("{} / {:.4}", limit.dose.value(), self.share_of(element)),
                    dose,
                    Dose::UNIT,
                );
            }
            if part < 1.0 {
                working = working
                    .step(
                        "close-mown: half of that of grass",
                        format!("{dose:.2} x {part}"),
                        most,
                        Dose::UNIT,
                    )
                    .source(source("common-practice"));
            }
            for source in &limit.sources {
                working = working.source(source.clone());
            }
            Worked::new(SingleDose { dose: Dose(most), limit }, self.with_cautions(working))
        }))
    }

    /// Most of the material in a year, where something limits it.
    #[must_use]
    pub fn yearly_dose(&self) -> Option<Dose> {
        self.per_year.as_ref().and_then(|limit| self.as_material(limit)).map(Dose)
    }

    /// Least days between two visits; 28 where nothing is known.
    ///
    /// # Source Its own, or `common-practice`.
    #[must_use]
    pub fn interval(&self) -> u32 {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "intervals are checked to be from 0 to 3650 days when a material is made"
        )]
        self.interval_days.as_ref().map_or(28, |figure| figure.value.ceil() as u32)
    }

    /// Whether a dose of the material has to be watered in.
    #[must_use]
    pub fn has_to_be_watered_in(&self, dose: Dose, ground: LimitGround) -> bool {
        self.smallest(&self.water_in, ground)
            .or_else(|| self.smallest(&self.water_in, LimitGround::Grass))
            .is_some_and(|(_, limit)| dose.value() > limit)
    }

    /// Dose of the material that brings a dose of an element.
    ///
    /// # Errors `Refused` when it brings none of it; `Argument` for a dose that is not above zero.
    /// # Source That of the analysis.
    pub fn dose_for(&self, symbol: &str, element: Dose) -> Result<Worked<Dose>, AgronomyError> {
        let wanted = positive(MATERIAL, "dose", element.value(), Dose::UNIT)?;
        let share = self.analysis.iter().find(|share| share.symbol == symbol);
        let Some(share) = share.filter(|share| share.percent.value() > 0.0) else {
            return Err(AgronomyError::Refused {
                operation: MATERIAL,
                argument: "material",
                why: format!("{} brings no {symbol}", self.name),
            });
        };
        let dose = wanted * 100.0 / share.percent.value();
        let mut working = Working::new("material = element / share of the element")
            .given(symbol, wanted, Dose::UNIT)
            .given(&format!("{symbol} in {}", self.name), share.percent.value(), "%")
            .step(
                "material",
                format!("{wanted} x 100 / {:.3}", share.percent.value()),
                dose,
                Dose::UNIT,
            );
        for source in &share.sources {
            working = working.source(source.clone());
        }
        Ok(Worked::new(Dose(dose), self.with_cautions(working)))
    }

    /// Element brought by a dose of the material.
    #[must_use]
    pub fn element_in(&self, dose: Dose, symbol: &str) -> Dose {
        Dose(dose.value() * self.share_of(symbol))
    }

    fn as_material(&self, limit: &DoseLimit) -> Option<f64> {
        match &limit.element {
            None => Some(limit.dose.value()),
            Some(element) => {
                let share = self.share_of(element);
                (share > 0.0).then(|| limit.dose.value() / share)
            }
        }
    }

    fn smallest<'a>(
        &self,
        limits: &'a [DoseLimit],
        ground: LimitGround,
    ) -> Option<(&'a DoseLimit, f64)> {
        limits
            .iter()
            .filter(|limit| limit.ground == ground)
            .filter_map(|limit| Some((limit, self.as_material(limit)?)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
    }

    fn with_cautions(&self, mut working: Working) -> Working {
        for caution in &self.cautions {
            working = working.caution(caution);
        }
        working
            .caution("The label and local rules come first.")
            .caution("Keep it off paving and out of drains, and off before heavy rain or frost.")
    }
}

/// Most of a material at one visit and the limit it follows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SingleDose<'a> {
    /// The dose of the material.
    pub dose: Dose,
    /// The limit.
    pub limit: &'a DoseLimit,
}

/// The element that a printed form stands for and its share of it: `K2O` is K, `Ca` is itself.
pub(crate) fn element_of(printed: &str) -> Result<(&'static str, f64), AgronomyError> {
    let composition = parse_formula(printed)?;
    let mut found = None;
    for (symbol, _) in composition.elements() {
        if symbol == "O" {
            continue;
        }
        if found.is_some() {
            return Err(AgronomyError::Refused {
                operation: MATERIAL,
                argument: "analysis",
                why: format!("\"{printed}\" is neither an element nor its oxide"),
            });
        }
        found = Some(symbol);
    }
    let symbol = found.ok_or_else(|| AgronomyError::Refused {
        operation: MATERIAL,
        argument: "analysis",
        why: format!("\"{printed}\" names no nutrient"),
    })?;
    Ok((symbol, element_in(printed, symbol)?))
}

#[cfg(test)]
mod tests;
