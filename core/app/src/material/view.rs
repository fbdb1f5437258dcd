//! Materials as shells show them.

use serde::{Deserialize, Serialize};
use swardbook_agronomy::materials::{DoseLimit, Material, OnGrass, materials};
use swardbook_journal::records::OwnMaterial;
use swardbook_units::Dose;
use ts_rs::TS;

use crate::{
    Measure, Notebook, Problem,
    dto::{SourceDto, WorkingDto},
    notebook::NOTEBOOK,
};

/// One material, by id or name.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct MaterialRequest {
    /// Id or name.
    pub material: String,
}

/// One element that a material brings.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct NutrientLine {
    /// Element.
    pub symbol: String,
    /// % of the mass that is the element.
    pub percent: f64,
    /// As printed, such as `P2O5 46 %`.
    pub printed: String,
    /// Remark.
    pub note: String,
    /// On whose word.
    pub sources: Vec<SourceDto>,
}

/// A material in the list.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct MaterialLine {
    /// Id.
    pub id: String,
    /// Generic name.
    pub name: String,
    /// What it is put on for.
    pub kind: String,
    /// How it comes.
    pub form: String,
    /// Whether it is the person's own.
    pub own: bool,
    /// Analysis in one line.
    pub analysis: String,
    /// Effect on acidity as % of calcium carbonate; below zero it makes acid.
    pub neutralising_value: Option<f64>,
    /// Mass of one pack, kg.
    pub pack_kg: Option<f64>,
    /// Price of one pack.
    pub price: String,
}

/// A material with everything known of it.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct MaterialView {
    /// Its line in the list.
    pub line: MaterialLine,
    /// Formula of the pure compound, where it is one.
    pub formula: String,
    /// The elements of the pure compound, computed.
    pub theory: Vec<NutrientLine>,
    /// How they were computed; none for what is no single compound.
    pub theory_working: Option<WorkingDto>,
    /// The elements as it is sold.
    pub nutrients: Vec<NutrientLine>,
    /// Whether it may go on established grass, in words.
    pub on_grass: String,
    /// Most at one visit, in words, with its ground.
    pub limits: Vec<String>,
    /// Most in a year, in words; empty where nothing limits it.
    pub per_year: String,
    /// Least days between visits.
    pub interval_days: u32,
    /// Fineness in words.
    pub fineness: String,
    /// Salt index on sodium nitrate as 100, in words; sources disagree and stand side by side.
    pub salt_index: Vec<String>,
    /// What to mind.
    pub cautions: Vec<String>,
    /// Every source of the figures above.
    pub sources: Vec<SourceDto>,
}

impl Notebook {
    /// Every material, ours and the person's own.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn materials(&mut self) -> Result<Vec<MaterialLine>, Problem> {
        let mut all: Vec<(Material, bool)> =
            materials().iter().map(|material| (material.clone(), false)).collect();
        let entries = self.document(NOTEBOOK)?.entries();
        for entry in &entries {
            if let Some(own) = entry.read::<OwnMaterial>() {
                all.push((super::own::from_label(&entry.key, &own)?, true));
            }
        }
        all.into_iter().map(|(material, own)| self.line(&material, own)).collect()
    }

    /// One material with everything known of it.
    ///
    /// # Errors
    /// [`Problem`] when there is none.
    pub fn material(&mut self, text: &str) -> Result<MaterialView, Problem> {
        let id = self.find_material("material", text)?;
        let material = self.material_by_id(&id)?;
        let own = swardbook_agronomy::materials::find_material(&id).is_none();
        let theory = material.theory()?;
        let measure = self.measure()?;
        let mut sources: Vec<SourceDto> = Vec::new();
        let mut said = |list: &[swardbook_units::Source]| {
            for source in list {
                let source = SourceDto::from(source);
                if !sources.contains(&source) {
                    sources.push(source);
                }
            }
        };
        material.nutrients().iter().for_each(|share| said(&share.sources));
        material.limits.iter().for_each(|limit| said(&limit.sources));
        material.salt_index.iter().for_each(|figure| said(&figure.sources));
        if let Some(effect) = &material.acidity_effect {
            said(&effect.sources);
        }
        if let Some((_, list)) = &material.fineness {
            said(list);
        }
        Ok(MaterialView {
            line: self.line(&material, own)?,
            formula: material.formula.clone().unwrap_or_default(),
            theory: theory
                .value
                .iter()
                .map(|(symbol, percent)| NutrientLine {
                    symbol: (*symbol).to_owned(),
                    percent: percent.value(),
                    printed: String::new(),
                    note: String::new(),
                    sources: Vec::new(),
                })
                .collect(),
            theory_working: (!theory.value.is_empty()).then(|| WorkingDto::from(&theory.working)),
            nutrients: nutrient_lines(&material),
            on_grass: match material.on_grass {
                OnGrass::Fit => "may go on established grass",
                OnGrass::Careful => "on established grass with care",
                OnGrass::Never => "not for established grass",
            }
            .to_owned(),
            limits: material
                .limits
                .iter()
                .map(|limit| limit_words(&material, limit, measure))
                .collect(),
            per_year: material
                .per_year
                .as_ref()
                .map_or_else(String::new, |limit| limit_words(&material, limit, measure)),
            interval_days: material.interval(),
            fineness: material
                .fineness
                .as_ref()
                .map_or_else(String::new, |(words, _)| words.clone()),
            salt_index: material
                .salt_index
                .iter()
                .map(|figure| {
                    let whom: Vec<&str> =
                        figure.sources.iter().map(|source| source.citation.as_str()).collect();
                    format!("{} ({})", figure.value, whom.join("; "))
                })
                .collect(),
            cautions: material.cautions.clone(),
            sources,
        })
    }

    fn line(&mut self, material: &Material, own: bool) -> Result<MaterialLine, Problem> {
        let price = self.price_of(&material.id)?;
        let analysis: Vec<String> = material
            .nutrients()
            .iter()
            .map(|share| format!("{} {} %", share.printed.0, share.printed.1.value()))
            .collect();
        Ok(MaterialLine {
            id: material.id.clone(),
            name: material.name.clone(),
            kind: material.kind.id().to_owned(),
            form: material.form.id().to_owned(),
            own,
            analysis: analysis.join(", "),
            neutralising_value: material.neutralising_value().map(|nv| nv.value()),
            pack_kg: price.map(|price| price.pack.value()),
            price: price
                .and_then(|price| price.price)
                .map_or_else(String::new, |money| money.to_string()),
        })
    }
}

fn nutrient_lines(material: &Material) -> Vec<NutrientLine> {
    material
        .nutrients()
        .iter()
        .map(|share| NutrientLine {
            symbol: share.symbol.clone(),
            percent: share.percent.value(),
            printed: format!("{} {} %", share.printed.0, share.printed.1.value()),
            note: share.note.clone(),
            sources: share.sources.iter().map(SourceDto::from).collect(),
        })
        .collect()
}

fn limit_words(material: &Material, limit: &DoseLimit, measure: Measure) -> String {
    let of = limit.element.as_deref().unwrap_or(&material.name);
    let dose = measure.say(limit.dose.value(), Dose::UNIT, 3);
    let mut words = format!("{dose} of {of} on {}", limit.ground.id());
    if !limit.note.is_empty() {
        words.push_str(": ");
        words.push_str(&limit.note);
    }
    words
}
