//! A material from its own label.

use swardbook_units::{Confidence, Dose, Percent, Source};

use super::{
    DoseLimit, Figure, Form, LimitGround, MATERIAL, Material, MaterialKind, NutrientShare, OnGrass,
    element_of,
};
use crate::{AgronomyError, error::within};

/// One line of a label's analysis.
#[derive(Debug, Clone, PartialEq)]
pub struct LabelShare {
    /// The element or its oxide as printed: `N`, `P2O5`, `K`.
    pub of: String,
    /// % by mass.
    pub percent: Percent,
}

/// What a label says.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// Key given by the person or the notebook.
    pub id: String,
    /// Name.
    pub name: String,
    /// What it is put on for.
    pub kind: MaterialKind,
    /// How it comes.
    pub form: Form,
    /// Analysis as printed.
    pub analysis: Vec<LabelShare>,
    /// Neutralising value on calcium carbonate, where printed.
    pub neutralising_value: Option<Percent>,
    /// Most at one visit on grass, where printed.
    pub single_dose: Option<Dose>,
    /// Least days between two visits, where printed.
    pub interval_days: Option<u32>,
    /// Cautions of the label.
    pub cautions: Vec<String>,
}

/// A material from its label, of the same kind as those of the table.
///
/// # Errors `Missing` without a name, `Argument` for a share or figure that cannot be, `Refused` for a
/// form that is neither an element nor its oxide, or named twice.
/// # Source The label itself, named so.
pub fn material_from_label(label: &Label) -> Result<Material, AgronomyError> {
    if label.name.trim().is_empty() {
        return Err(AgronomyError::Missing {
            operation: MATERIAL,
            argument: "name",
            remedy: "give the material a name",
        });
    }
    let word = || vec![of_label(&label.name)];
    let mut analysis: Vec<NutrientShare> = Vec::new();
    let mut sum = 0.0;
    for share in &label.analysis {
        let percent = within(MATERIAL, "analysis", share.percent.value(), "%", 0.0, 100.0)?;
        let (symbol, of_printed) = element_of(&share.of)?;
        if analysis.iter().any(|known| known.symbol == symbol) {
            return Err(AgronomyError::Refused {
                operation: MATERIAL,
                argument: "analysis",
                why: format!("{symbol} is given twice; give it once, as printed"),
            });
        }
        // Elements cannot be more than the whole; oxides may be counted beside what they stand for.
        sum += percent * of_printed;
        analysis.push(NutrientShare {
            symbol: symbol.to_owned(),
            percent: Percent(percent * of_printed),
            printed: (share.of.clone(), Percent(percent)),
            note: String::new(),
            sources: word(),
        });
    }
    within(MATERIAL, "analysis", sum, "% of elements in sum", 0.0, 100.0)?;
    let acidity_effect = label
        .neutralising_value
        .map(|value| within(MATERIAL, "neutralising_value", value.value(), "%", -350.0, 260.0))
        .transpose()?
        .map(|value| Figure { value, note: String::new(), sources: word() });
    let limits = label
        .single_dose
        .map(|dose| within(MATERIAL, "single_dose", dose.value(), Dose::UNIT, 1e-6, 100_000.0))
        .transpose()?
        .map(|dose| DoseLimit {
            dose: Dose(dose),
            element: None,
            ground: LimitGround::Grass,
            note: String::new(),
            sources: word(),
        });
    let interval_days = label
        .interval_days
        .map(|days| within(MATERIAL, "interval_days", f64::from(days), "d", 0.0, 3650.0))
        .transpose()?
        .map(|value| Figure { value, note: String::new(), sources: word() });
    Ok(Material {
        id: label.id.clone(),
        name: label.name.trim().to_owned(),
        kind: label.kind,
        formula: None,
        form: label.form,
        on_grass: OnGrass::Fit,
        analysis,
        acidity_effect,
        fineness: None,
        limits: limits.into_iter().collect(),
        per_year: None,
        interval_days,
        water_in: Vec::new(),
        salt_index: Vec::new(),
        cautions: label.cautions.clone(),
    })
}

/// The label as a source; it was read by the person who typed it in.
fn of_label(name: &str) -> Source {
    Source {
        key: "label".to_owned(),
        citation: format!("Label of {}, as entered", name.trim()),
        confidence: Confidence::Confirmed,
    }
}
