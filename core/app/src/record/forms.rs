//! Every kind of record with its form.

mod ground;
mod notebook;
mod photo;
mod season;

use super::spec::RecordSpec;

/// Every kind a person fills in by form.
pub const FORMS: &[RecordSpec] = &[
    ground::PROPERTY,
    ground::ZONE,
    season::SAMPLE,
    season::CORE,
    season::PANEL,
    season::PLAN,
    season::APPLICATION,
    season::OBSERVATION,
    photo::MEASUREMENT,
    photo::TEMPERATURES,
    notebook::SETTINGS,
    notebook::DEVICE,
    notebook::LABORATORY,
    notebook::MATERIAL,
    notebook::PRICE,
];

/// The form of a kind.
#[must_use]
pub(crate) fn form(kind: &str) -> Option<&'static RecordSpec> {
    FORMS.iter().find(|form| form.kind == kind)
}

/// A length of soil that can be sampled or managed, mm.
const SOIL_DEPTH: (f64, f64) = (0.0, 2_000.0);
