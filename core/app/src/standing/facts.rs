//! Acidity, salt, sodium, cations and organic matter of a panel.

use serde::Serialize;
use swardbook_agronomy::{
    acidity::{AcidityScale, ScaledPh, water_class},
    analyte::Scale,
    cations::{Capacity, cation_summary},
    interpret::{Sampling, composite_spread},
    organic::organic_matter,
    reading::{Qualifier, Reading},
    salinity::{EceMethod, class_of_ece, ece_from_ec, rating_without_texture},
    sodicity::{DispersionEvidence, dispersion_signs, sodicity_class},
    spread::OwnScatter,
    texture::Texture,
};
use swardbook_stats::interval::{Scale as StatisticalScale, scale_interval};
use swardbook_units::{Charge, Conductivity, Percent, Ph};
use ts_rs::TS;

use super::Soil;
use crate::dto::{QuantityDto, WorkingDto};

/// Something the panel says beside single readings.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct FactView {
    /// `acidity`, `salinity`, `sodicity`, `dispersion`, `cations`, `calcium-share`, ...
    pub id: String,
    /// What it is.
    pub title: String,
    /// The number.
    pub value: Option<QuantityDto>,
    /// Its range, where it has one.
    pub range: Option<(f64, f64)>,
    /// What it says, in words; empty where it is only a number.
    pub words: String,
    /// How it came about.
    pub working: WorkingDto,
}

struct Facts(Vec<FactView>);

impl Facts {
    fn add(
        &mut self,
        id: &str,
        title: &str,
        value: (f64, &str),
        words: &str,
        working: &swardbook_units::Working,
    ) -> &mut FactView {
        self.0.push(FactView {
            id: id.to_owned(),
            title: title.to_owned(),
            value: Some(QuantityDto::new(value.0, value.1)),
            range: None,
            words: words.to_owned(),
            working: WorkingDto::from(working),
        });
        self.0.last_mut().expect("pushed just now")
    }
}

/// Level of the interval that is shown beside a reading.
pub(crate) const NINE_IN_TEN: f64 = 0.9;

/// The interval of the true value of a reading, in its unit; none for a bound or where no scatter is
/// published.
pub(crate) fn interval(
    reading: &Reading,
    value: Option<f64>,
    sampling: Sampling,
    own: &[OwnScatter],
    level: f64,
) -> Option<(f64, f64)> {
    if reading.qualifier() != Qualifier::Exact {
        return None;
    }
    let spread = composite_spread(reading.analyte(), &sampling, own)?.value;
    // A percentage is a share on the logit scale.
    let (scale, size) = match reading.analyte().scale {
        Scale::Linear => (StatisticalScale::Linear, 1.0),
        Scale::Log => (StatisticalScale::Log, 1.0),
        Scale::Logit => (StatisticalScale::Logit, 100.0),
    };
    let found =
        scale_interval(value? / size, spread.u, spread.degrees_of_freedom, level, scale).ok()?;
    Some((found.low * size, found.high * size))
}

/// What the panel says; an answer that does not exist for these readings is left out.
pub(super) fn facts(soil: &Soil<'_>, texture: Option<Texture>) -> Vec<FactView> {
    let mut facts = Facts(Vec::new());
    if let Some(ph) = soil.ph() {
        acidity(ph, &mut facts);
    }
    salinity(soil, texture, &mut facts);
    exchange(soil, &mut facts);
    if let Some(carbon) = soil.value("organic-carbon", &[])
        && let Ok(worked) = organic_matter(Percent(carbon), 1.72)
    {
        facts.add(
            "organic-matter",
            "Organic matter",
            (worked.value.value(), "%"),
            "",
            &worked.working,
        );
    }
    facts.0
}

fn acidity(ph: ScaledPh, facts: &mut Facts) {
    let Ok(in_water) = ph.on(AcidityScale::Water) else { return };
    let mut working = in_water.working.clone();
    if let Ok(class) = water_class(in_water.value.ph) {
        working = working.after(&class.working);
        facts.add(
            "acidity",
            "Acidity, in water",
            (in_water.value.ph.value(), Ph::UNIT),
            class.value,
            &working,
        );
    }
}

fn salinity(soil: &Soil<'_>, texture: Option<Texture>, facts: &mut Facts) {
    let Some(ec) = soil.value("ec", &["water-1-5"]).map(Conductivity) else { return };
    let Some(method) = EceMethod::for_known(soil.value("saturation-water", &[]), texture) else {
        if let Ok(rating) = rating_without_texture(ec) {
            facts.add(
                "salinity",
                "Salinity, EC 1:5",
                (ec.value(), Conductivity::UNIT),
                rating.value,
                &rating.working,
            );
        }
        return;
    };
    let Ok(worked) = ece_from_ec(ec, method) else { return };
    let Ok(class) = class_of_ece(worked.value.likely) else { return };
    let fact = facts.add(
        "salinity",
        "Salinity, saturated extract",
        (worked.value.likely.value(), Conductivity::UNIT),
        class.value.name(),
        &worked.working.clone().after(&class.working),
    );
    fact.range = Some((worked.value.low.value(), worked.value.high.value()));
}

fn exchange(soil: &Soil<'_>, facts: &mut Facts) {
    let Some(cations) = soil.cations() else { return };
    let capacity = soil
        .capacity()
        .map_or(Capacity::SumOfCations, |reported| Capacity::Reported(Charge(reported)));
    let Ok(worked) = cation_summary(&cations, capacity) else { return };
    let summary = worked.value;
    if let Ok(class) = sodicity_class(summary.esp) {
        facts.add(
            "sodicity",
            "Sodium of the exchange",
            (summary.esp.value(), "%"),
            class.value.name(),
            &worked.working.clone().after(&class.working),
        );
    }
    let evidence = DispersionEvidence {
        esp: Some(summary.esp),
        calcium_to_magnesium: summary.calcium_to_magnesium,
        organic_carbon: soil.value("organic-carbon", &[]).map(Percent),
        ec: soil.value("ec", &["water-1-5"]).map(Conductivity),
    };
    let signs = dispersion_signs(&evidence);
    let pointing: Vec<&str> =
        signs.value.iter().filter(|sign| sign.points_that_way).map(|sign| sign.sign).collect();
    if !pointing.is_empty() {
        facts.0.push(FactView {
            id: "dispersion".to_owned(),
            title: "Signs of dispersion".to_owned(),
            value: None,
            range: None,
            words: pointing.join("; "),
            working: WorkingDto::from(&signs.working),
        });
    }
    for (id, title, value, unit) in [
        ("ecec", "Effective exchange capacity", Some(summary.ecec.value()), Charge::UNIT),
        ("ca-share", "Calcium of the exchange", Some(summary.calcium_share.value()), "%"),
        ("mg-share", "Magnesium of the exchange", Some(summary.magnesium_share.value()), "%"),
        ("k-share", "Potassium of the exchange", Some(summary.potassium_share.value()), "%"),
        (
            "al-share",
            "Aluminium of the exchange",
            summary.aluminium_saturation.map(|share| share.value()),
            "%",
        ),
        ("ca-mg", "Calcium to magnesium, by charge", summary.calcium_to_magnesium, ""),
    ] {
        if let Some(value) = value {
            facts.add(id, title, (value, unit), "", &worked.working);
        }
    }
}
