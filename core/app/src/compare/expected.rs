//! What went on between two samples, and where the zone stands among the others.

use swardbook_agronomy::{
    analyte::Scale,
    expected_change::{expected_change, kept_fraction},
    reading::{Qualifier, Reading, SoilLayer},
};
use swardbook_journal::{
    Entry,
    records::{Application, Panel},
};
use swardbook_stats::{describe, regression_to_mean::Population};
use swardbook_units::{BulkDensity, Content, Depth, Dose, Id, NaiveDate, Worked, parse_unit};

use super::{
    Side,
    rows::{ExpectedView, Question},
};
use crate::{
    Measure, Notebook, Problem, dto::WorkingDto, panel::understood, sampling::USUAL_DENSITY,
};

/// Something put on between the two samples.
#[derive(Debug)]
pub(super) struct PutOn {
    pub(super) words: String,
    pub(super) material: Option<swardbook_agronomy::materials::Material>,
    pub(super) dose: Option<Dose>,
}

/// Fewest other zones from which a population is taken; common practice, no source.
const LEAST_ZONES: usize = 5;

impl Notebook {
    pub(super) fn applied_between(
        &mut self,
        baseline: &Side,
        retest: &Side,
        entries: &[Entry],
        measure: Measure,
    ) -> Vec<PutOn> {
        let (Some(from), Some(to)) = (baseline.context.sample.date, retest.context.sample.date)
        else {
            return Vec::new();
        };
        let area =
            self.zone_row(baseline.context.zone_id).ok().flatten().and_then(|row| row.area_m2);
        let mut applications: Vec<(NaiveDate, Application)> = entries
            .iter()
            .filter_map(|entry| entry.read::<Application>())
            .filter_map(|application| Some((application.date?, application)))
            .filter(|(date, _)| (from..to).contains(date))
            .collect();
        applications.sort_by_key(|(date, _)| *date);
        applications
            .into_iter()
            .map(|(date, application)| self.put_on(date, &application, area, measure))
            .collect()
    }

    fn put_on(
        &mut self,
        date: NaiveDate,
        application: &Application,
        area: Option<f64>,
        measure: Measure,
    ) -> PutOn {
        let material = self.material_by_id(&application.material).ok();
        let name = material.as_ref().map_or_else(
            || {
                if application.material_words.is_empty() {
                    application.material.clone()
                } else {
                    application.material_words.clone()
                }
            },
            |material| material.name.clone(),
        );
        let area = application.area_m2.or(area);
        let dose = application
            .amount_kg
            .zip(area)
            .filter(|(_, area)| *area > 0.0)
            .map(|(kg, area)| Dose(kg * 1000.0 / area));
        let amount = match (dose, application.amount_kg) {
            (Some(dose), _) => format!(", {}", measure.say(dose.value(), Dose::UNIT, 3)),
            (None, Some(kg)) => format!(", {}", measure.say(kg, "kg", 3)),
            (None, None) => String::new(),
        };
        PutOn { words: format!("{date}: {name}{amount}"), material, dose }
    }

    /// First readings of an analyte over all zones, for the pull towards their mean.
    pub(super) fn population(
        &mut self,
        analyte: &str,
        notes: &mut Vec<String>,
    ) -> Result<Option<(String, Population)>, Problem> {
        let mut values = Vec::new();
        for row in self.zone_rows(None)? {
            let Ok(id) = row.id.parse::<Id>() else { continue };
            if let Some(value) = self.first_value(id, analyte)? {
                values.push(value);
            }
        }
        if values.len() < LEAST_ZONES {
            notes.push(format!(
                "This zone was chosen for its {analyte}; how far that alone pulls a retest towards \
                 the mean cannot be estimated from {} zones, so part of a change may be nothing \
                 else.",
                values.len()
            ));
            return Ok(None);
        }
        let mean = describe::mean(&values).map_err(|e| Problem::refused(e.to_string()))?;
        let deviation =
            describe::standard_deviation(&values).map_err(|e| Problem::refused(e.to_string()))?;
        // The share that is true is worked out where the error of one reading is known.
        Ok(Some((analyte.to_owned(), Population { mean, deviation, reliability: 1.0 })))
    }

    fn first_value(&mut self, zone: Id, analyte: &str) -> Result<Option<f64>, Problem> {
        let Some((_, first)) = self.panels_of(zone)?.into_iter().next() else { return Ok(None) };
        let (_, panel) = self.typed::<Panel>("panel", &first)?;
        let ground = swardbook_agronomy::reading::Ground::UNKNOWN;
        Ok(panel
            .reading
            .values()
            .filter(|record| record.analyte == analyte)
            .filter_map(|record| understood(record).ok())
            .filter(|reading| reading.qualifier() == Qualifier::Exact)
            .find_map(|reading| reading.canonical(&ground).ok().map(|worked| worked.value)))
    }
}

/// Rise of a concentration in mg/kg if everything that was put on in between were found again;
/// none where nothing of it was, or the layer is not known.
pub(super) fn whole_rise(retest: &Side, applied: &[PutOn], symbol: &str) -> Option<f64> {
    let (dose, layer) = dose_and_layer(retest, applied, symbol)?;
    Some(dose.value() * 1000.0 / (layer.thickness.value() * layer.bulk_density.value()))
}

fn dose_and_layer(retest: &Side, applied: &[PutOn], symbol: &str) -> Option<(Dose, SoilLayer)> {
    let dose: f64 = applied
        .iter()
        .filter_map(|one| Some(one.material.as_ref()?.element_in(one.dose?, symbol).value()))
        .sum();
    let sample = &retest.context.sample;
    let (from, to) = (sample.from_mm?, sample.to_mm?);
    let density = retest.context.zone.bulk_density.unwrap_or(USUAL_DENSITY);
    let layer = SoilLayer { thickness: Depth(to - from), bulk_density: BulkDensity(density) };
    (dose > 0.0).then_some((Dose(dose), layer))
}

/// A content of the soil in the unit in which a method's readings are kept; none where they are of
/// something else, such as the water of a paste.
fn as_read(content: Content, like: &Reading, side: &Side) -> Option<Worked<f64>> {
    let unit = parse_unit(Content::UNIT).ok()?;
    let (analyte, method) = (like.analyte(), like.method());
    let content = Reading::new(analyte, method, content.value(), unit, Qualifier::Exact).ok()?;
    content.canonical(&side.context.ground()).ok()
}

/// What the applications in between should have done to a reading, in the unit it is kept in.
pub(super) fn expected(
    question: &Question<'_>,
    earlier: &Reading,
    before: f64,
    after: f64,
) -> Result<Option<ExpectedView>, Problem> {
    let analyte = earlier.analyte();
    if analyte.scale != Scale::Log {
        return Ok(None);
    }
    let symbol = analyte.symbol.as_str();
    let (retest, applied) = (question.retest, question.applied);
    let Some((dose, layer)) = dose_and_layer(retest, applied, symbol) else {
        return Ok(None);
    };
    let key = (analyte.id.clone(), earlier.method().id.clone());
    let kept = question.kept.get(&key).cloned().unwrap_or_else(|| kept_fraction(symbol));
    let worked = expected_change(dose, &layer, &kept)?;
    let change = worked.value;
    let read = |content| as_read(content, earlier, retest);
    let (Some(low), Some(likely), Some(high)) =
        (read(change.low), read(change.likely), read(change.high))
    else {
        return Ok(None);
    };
    let working = if earlier.by().unit.symbol == Content::UNIT {
        worked.working
    } else {
        likely.working.after(&worked.working)
    };
    let whole = whole_rise(retest, applied, symbol).and_then(|whole| read(Content(whole)));
    Ok(Some(ExpectedView {
        low: low.value,
        likely: likely.value,
        high: high.value,
        kept: whole.filter(|_| after > before).map(|whole| (after - before) / whole.value),
        working: WorkingDto::from(&working),
    }))
}
