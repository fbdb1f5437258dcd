//! What earlier retests of a zone say about the share of a dose that its soil test finds again.

use std::collections::BTreeMap;

use swardbook_agronomy::{
    analyte::{Analyte, Scale},
    expected_change::{KeptFraction, KeptObservation, kept_by_ground, kept_fraction},
    reading::Reading,
    spread::OwnScatter,
};
use swardbook_units::{Content, Id, NaiveDate, Unit, parse_unit};

use super::{
    CompareRequest, Side, change,
    expected::{PutOn, whole_rise},
    rows::Question,
};
use crate::{Measure, Notebook, Problem, notebook::zone_document};

/// Level at which the comparisons behind are made; only their uncertainty is used.
const LEVEL: f64 = 0.9;

/// The samples of a zone in the order of their days, with what was put on between neighbours.
#[derive(Debug, Default)]
pub(crate) struct Retests {
    sides: Vec<Side>,
    applied: Vec<Vec<PutOn>>,
    own: Vec<OwnScatter>,
}

impl Notebook {
    /// The samples of a zone up to a day, for asking what share of a dose was found again.
    pub(crate) fn retests_of(
        &mut self,
        zone: Id,
        until: Option<NaiveDate>,
    ) -> Result<Retests, Problem> {
        let Some(until) = until else { return Ok(Retests::default()) };
        let entries = self.document(zone_document(zone))?.entries();
        let mut sides = Vec::new();
        for (day, panel) in self.panels_of(zone)? {
            if day.is_some_and(|day| day <= until) {
                sides.push(self.side("panel", &panel)?);
            }
        }
        let applied = (1..sides.len())
            .map(|at| self.applied_between(&sides[at - 1], &sides[at], &entries, Measure::Metric))
            .collect();
        Ok(Retests { sides, applied, own: self.own_scatter(zone)? })
    }
}

fn content_unit() -> &'static Unit {
    parse_unit(Content::UNIT).expect("the unit of contents stands in the table of units")
}

impl Retests {
    /// The share that this ground's test by a method finds again: the published prior with every
    /// earlier retest after a dose brought to it.
    pub(crate) fn kept(&self, analyte: &Analyte, method: &str) -> Result<KeptFraction, Problem> {
        let prior = kept_fraction(&analyte.symbol);
        if analyte.scale != Scale::Log {
            return Ok(prior);
        }
        let mut observed = Vec::new();
        for (pair, applied) in self.sides.windows(2).zip(&self.applied) {
            observed.extend(self.observed(pair, applied, analyte, method)?);
        }
        Ok(kept_by_ground(&prior, &observed)?)
    }

    fn observed(
        &self,
        pair: &[Side],
        applied: &[PutOn],
        analyte: &Analyte,
        method: &str,
    ) -> Result<Option<KeptObservation>, Problem> {
        let [baseline, retest] = pair else { return Ok(None) };
        let layer = |side: &Side| (side.context.sample.from_mm, side.context.sample.to_mm);
        if layer(baseline) != layer(retest) {
            return Ok(None);
        }
        let Some(whole) = whole_rise(retest, applied, &analyte.symbol) else { return Ok(None) };
        let by_method = |side: &Side| -> Option<Reading> {
            let of = |r: &Reading| r.analyte().id == analyte.id && r.method().id == method;
            side.context.usable().0.into_iter().find(of)
        };
        let (Some(earlier), Some(later)) = (by_method(baseline), by_method(retest)) else {
            return Ok(None);
        };
        let question = Question {
            baseline,
            retest,
            level: LEVEL,
            request: &CompareRequest::default(),
            applied: &[],
            population: None,
            own: &self.own,
            kept: &BTreeMap::new(),
        };
        let (_, found) = change::compared(&question, &earlier, &later, None)?;
        // Of readings that are no content of the soil, such as those of a paste's water, no share
        // of a dose can be told.
        let Ok(before) = earlier.in_unit(content_unit(), &baseline.context.ground()) else {
            return Ok(None);
        };
        Ok(found.map(|found| KeptObservation {
            before: Content(before.value),
            log_change: found.change.difference,
            uncertainty: found.change.uncertainty,
            whole: Content(whole),
        }))
    }
}
