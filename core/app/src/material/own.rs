//! Materials that a person makes from a label.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use swardbook_agronomy::materials::{
    Form, Label, LabelShare, Material, MaterialKind, material_from_label,
};
use swardbook_journal::records::{MaterialForm, Nutrient, OwnMaterial};
use swardbook_units::{Dose, Percent};
use ts_rs::TS;

use super::MaterialView;
use crate::{
    Notebook, Problem,
    dto::Amount,
    notebook::NOTEBOOK,
    record::{GivenFields, check, form},
};

/// One line of a label's analysis.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct AnalysisLine {
    /// The element or its oxide as printed: `N`, `P2O5`, `K`.
    pub name: String,
    /// Per cent by mass.
    pub percent: f64,
}

/// A material from its label.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct AddMaterial {
    /// Fields of the form by name.
    #[ts(type = "Record<string, unknown>")]
    pub fields: GivenFields,
    /// The analysis.
    #[serde(default)]
    pub analysis: Vec<AnalysisLine>,
    /// Mass of one pack, where the price is known too.
    #[serde(default)]
    #[ts(optional, as = "Option<Amount>")]
    pub pack: Option<Amount>,
    /// Price of one pack.
    #[serde(default)]
    #[ts(optional, as = "Option<f64>")]
    pub price: Option<f64>,
}

/// A new analysis of a material.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct SetAnalysis {
    /// The material, by id or name.
    pub material: String,
    /// The analysis.
    pub analysis: Vec<AnalysisLine>,
}

impl Notebook {
    /// Keeps a material from its label.
    ///
    /// # Errors
    /// [`Problem`] naming the field.
    pub fn add_material(&mut self, request: &AddMaterial) -> Result<MaterialView, Problem> {
        let spec = form("material").expect("materials have a form");
        let wanted = self.read_given(spec, &request.fields, None)?;
        check(spec, &wanted.written)?;
        let mut own = <OwnMaterial as swardbook_journal::Record>::from_fields(&wanted.written);
        own.analysis = lines(&request.analysis);
        if let Some(known) = swardbook_agronomy::materials::find_material(&own.name) {
            return Err(Problem::bad(
                "name",
                format!(
                    "\"{}\" is one of the listed materials; give yours another name",
                    known.name
                ),
            ));
        }
        let id = self.new_id().to_string();
        from_label(&id, &own)?;
        let price = match (&request.pack, request.price) {
            (Some(pack), Some(price)) => {
                let pack = pack.positive("pack", "kg")?;
                Some(self.price_record(&id, pack, price)?)
            }
            (None, None) => None,
            (None, Some(_)) => return Err(Problem::missing("pack", "say the mass of one pack")),
            (Some(_), None) => return Err(Problem::missing("price", "say what one pack costs")),
        };
        let mut action = self.begin_action(format!("added material {}", own.name));
        action.put(NOTEBOOK, &id, &own)?;
        if let Some(price) = price {
            action.add(NOTEBOOK, &price)?;
        }
        action.keep()?;
        self.material(&id)
    }

    /// Changes the analysis of a person's own material.
    ///
    /// # Errors
    /// [`Problem`] naming the field; ours are not changed.
    pub fn set_analysis(&mut self, request: &SetAnalysis) -> Result<MaterialView, Problem> {
        let id = self.find_record("material", "material", &request.material, None)?;
        let (document, mut own) = self.typed::<OwnMaterial>("material", &id)?;
        own.analysis = lines(&request.analysis);
        from_label(&id, &own)?;
        let mut action = self.begin_action(format!("changed the analysis of {}", own.name));
        action.put(document, &id, &own)?;
        action.keep()?;
        self.material(&id)
    }

    fn price_record(
        &mut self,
        material: &str,
        pack_kg: f64,
        price: f64,
    ) -> Result<swardbook_journal::records::Price, Problem> {
        let currency = self.currency()?.ok_or_else(|| {
            Problem::missing("currency", "set the notebook's currency before its prices")
        })?;
        let money = swardbook_units::Money::from_major(price, currency)?;
        Ok(swardbook_journal::records::Price {
            material: material.to_owned(),
            pack_kg: Some(pack_kg),
            minor: Some(money.minor),
            currency: currency.letters().to_owned(),
        })
    }
}

fn lines(analysis: &[AnalysisLine]) -> BTreeMap<String, Nutrient> {
    analysis
        .iter()
        .enumerate()
        .map(|(at, line)| {
            let nutrient =
                Nutrient { name: line.name.trim().to_owned(), percent: Some(line.percent) };
            (format!("k{at:02}"), nutrient)
        })
        .collect()
}

/// The material of a label, for the arithmetic.
pub(super) fn from_label(id: &str, own: &OwnMaterial) -> Result<Material, Problem> {
    let percent = |value: f64| Percent(value);
    // What a label says of fineness and moisture lowers what it neutralises.
    let effective = own.neutralising_value.map(|value| {
        let fine = own.effective_fineness.unwrap_or(100.0) / 100.0;
        let dry = 1.0 - own.moisture.unwrap_or(0.0) / 100.0;
        percent(value * fine * dry)
    });
    let label = Label {
        id: id.to_owned(),
        name: own.name.clone(),
        kind: match own.neutralising_value {
            Some(value) if value >= 20.0 => MaterialKind::Lime,
            _ => MaterialKind::Nutrient,
        },
        form: match own.form {
            Some(MaterialForm::Powder) => Form::Powder,
            Some(MaterialForm::Liquid) => Form::Liquid,
            _ => Form::Granules,
        },
        analysis: own
            .analysis
            .values()
            .map(|line| LabelShare {
                of: line.name.clone(),
                percent: percent(line.percent.unwrap_or_default()),
            })
            .collect(),
        neutralising_value: effective,
        single_dose: own.visit_limit_g_m2.map(Dose),
        interval_days: own.interval_days.and_then(|days| u32::try_from(days).ok()),
        cautions: own
            .cautions
            .lines()
            .map(str::trim)
            .filter(|line| !line.is_empty())
            .map(str::to_owned)
            .collect(),
    };
    Ok(material_from_label(&label)?)
}
