//! Materials: ours and the person's own, with what a pack costs here.

mod own;
mod view;

use swardbook_agronomy::{
    materials::{self, Material},
    sampling::clear_date::ApplicationKind,
};
use swardbook_journal::records::{OwnMaterial, Price};
use swardbook_units::{Currency, Mass, Money};

pub use own::{AddMaterial, AnalysisLine, SetAnalysis};
pub use view::{MaterialLine, MaterialRequest, MaterialView, NutrientLine};

use crate::{Notebook, Problem, notebook::NOTEBOOK};

/// What a pack costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct KnownPrice {
    pub(crate) pack: Mass,
    pub(crate) price: Option<Money>,
}

impl Notebook {
    /// The id of a material by its id or name, ours first.
    pub(crate) fn find_material(&mut self, field: &str, text: &str) -> Result<String, Problem> {
        if let Some(material) = materials::find_material(text) {
            return Ok(material.id.clone());
        }
        self.find_record(field, "material", text, None).map_err(|problem| {
            Problem::new(
                problem.code,
                format!("there is no material \"{text}\"; `material list` shows them, and `material add` makes your own from a label"),
            )
            .at(field)
        })
    }

    /// What a material is called.
    pub(crate) fn material_name(&mut self, id: &str) -> Option<String> {
        if let Some(material) = materials::find_material(id) {
            return Some(material.name.clone());
        }
        let entry = self.document(NOTEBOOK).ok()?.entry(id)?;
        Some(entry.read::<OwnMaterial>()?.name)
    }

    /// A material by its id.
    pub(crate) fn material_by_id(&mut self, id: &str) -> Result<Material, Problem> {
        if let Some(material) = materials::find_material(id) {
            return Ok(material.clone());
        }
        let (_, own) = self.typed::<OwnMaterial>("material", id)?;
        own::from_label(id, &own)
    }

    /// The newest price of a material.
    pub(crate) fn price_of(&mut self, material: &str) -> Result<Option<KnownPrice>, Problem> {
        // Entries come in the order of causes: the last one is the newest.
        let entries = self.document(NOTEBOOK)?.entries();
        let price = entries
            .iter()
            .rev()
            .filter_map(|entry| entry.read::<Price>())
            .find(|price| price.material == material);
        let Some(price) = price else { return Ok(None) };
        let Some(pack) = price.pack_kg else { return Ok(None) };
        // A price is in the currency that was set when it was typed.
        let currency = match Currency::parse(&price.currency) {
            Ok(currency) => Some(currency),
            Err(_) => self.currency()?,
        };
        let money = match (price.minor, currency) {
            (Some(minor), Some(currency)) => Some(Money { minor, currency }),
            _ => None,
        };
        Ok(Some(KnownPrice { pack: Mass(pack), price: money }))
    }
}

/// How long sampling waits after a material.
pub(crate) fn application_kind(material: &Material) -> ApplicationKind {
    use materials::{Form, MaterialKind};
    match (material.kind, material.id.as_str(), material.form) {
        (MaterialKind::Lime, ..) => ApplicationKind::Lime,
        (_, "gypsum", _) => ApplicationKind::Gypsum,
        (_, "elemental-sulfur", _) => ApplicationKind::Sulfur,
        (MaterialKind::Organic, ..) => ApplicationKind::Organic,
        (_, _, Form::Liquid) => ApplicationKind::Liquid,
        _ => ApplicationKind::Granular,
    }
}
