//! Looking up a panel's readings by analyte and method, in the unit each is kept in.

use swardbook_agronomy::{
    acidity::{AcidityScale, ScaledPh},
    cations::ExchangeableCations,
    reading::{Ground, Qualifier, Reading},
};
use swardbook_units::{Charge, Ph};

/// A panel's readings, ready to be asked.
#[derive(Debug, Clone)]
pub(crate) struct Soil<'a> {
    readings: &'a [Reading],
    ground: Ground,
}

impl<'a> Soil<'a> {
    pub(crate) fn new(readings: &'a [Reading], ground: &Ground) -> Self {
        Self { readings, ground: *ground }
    }

    /// The exact reading of an analyte by one of these methods, in the order of the methods; by
    /// any method where none is named.
    pub(crate) fn value(&self, analyte: &str, methods: &[&str]) -> Option<f64> {
        let of = |reading: &&Reading| {
            reading.analyte().id == analyte && reading.qualifier() == Qualifier::Exact
        };
        let found = if methods.is_empty() {
            self.readings.iter().find(of)
        } else {
            methods.iter().find_map(|method| {
                self.readings.iter().filter(of).find(|reading| reading.method().id == *method)
            })
        };
        Some(found?.canonical(&self.ground).ok()?.value)
    }

    /// The pH: in water where it was read so, else in calcium chloride.
    pub(crate) fn ph(&self) -> Option<ScaledPh> {
        self.value("ph-water", &["water-1-5"])
            .or_else(|| self.value("ph-water", &[]))
            .map(|ph| ScaledPh { scale: AcidityScale::Water, ph: Ph(ph) })
            .or_else(|| {
                self.value("ph-cacl2", &[])
                    .map(|ph| ScaledPh { scale: AcidityScale::CalciumChloride, ph: Ph(ph) })
            })
    }

    /// The four exchangeable bases with what else was read of the exchange.
    pub(crate) fn cations(&self) -> Option<ExchangeableCations> {
        let charge = |analyte: &str| self.value(analyte, &["exchangeable"]).map(Charge);
        let acid =
            |analyte: &str| self.value(analyte, &["kcl-exchangeable", "exchangeable"]).map(Charge);
        Some(ExchangeableCations {
            calcium: charge("ca")?,
            magnesium: charge("mg")?,
            potassium: charge("k")?,
            sodium: charge("na")?,
            aluminium: acid("al"),
            hydrogen: acid("h"),
            manganese: None,
        })
    }

    /// The exchange capacity as reported.
    pub(crate) fn capacity(&self) -> Option<f64> {
        self.value("cec", &[]).or_else(|| self.value("ecec", &[]))
    }
}
