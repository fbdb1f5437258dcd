//! Which two panels of a zone are set beside each other where nobody names them.

use swardbook_agronomy::sampling::season::season_match;
use swardbook_journal::{
    Entry,
    records::{Panel, PlanRecord, PlanStatus, Sample},
};
use swardbook_units::{Id, NaiveDate};

use crate::{Notebook, Problem, notebook::zone_document};

/// A panel with what its sample says of it.
#[derive(Debug, Clone, PartialEq)]
struct Drawn {
    /// The day the cores were pulled, or of the panel where that is not known.
    day: Option<NaiveDate>,
    id: String,
    layer: (Option<f64>, Option<f64>),
}

impl Notebook {
    /// Panels of a zone by the day their cores were pulled.
    pub(crate) fn panels_of(
        &mut self,
        zone: Id,
    ) -> Result<Vec<(Option<NaiveDate>, String)>, Problem> {
        let entries = self.document(zone_document(zone))?.entries();
        Ok(drawn(&entries).into_iter().map(|panel| (panel.day, panel.id)).collect())
    }

    /// The baseline and the retest of a zone, as far as they are not named: the newest panel, and
    /// the one that the last plan before it was made from; without a plan, the one before it of the
    /// same depth and season, as far as there is one.
    pub(super) fn usual_pair(
        &mut self,
        zone: Id,
        baseline: Option<&str>,
        retest: Option<&str>,
    ) -> Result<(String, String), Problem> {
        let entries = self.document(zone_document(zone))?.entries();
        let panels = drawn(&entries);
        let named = |id: &str| panels.iter().find(|panel| panel.id == id);
        let retest = match retest {
            Some(id) => named(id),
            None => panels.last(),
        };
        let first = match (baseline, retest) {
            (Some(id), _) => named(id),
            (None, Some(retest)) => usual_baseline(&entries, &panels, retest),
            (None, None) => None,
        };
        match (first, retest) {
            (Some(first), Some(retest)) if first.id != retest.id => {
                Ok((first.id.clone(), retest.id.clone()))
            }
            _ => Err(Problem::refused(
                "there are not two panels of this zone to compare; the retest comes after the \
                 next sample",
            )
            .at("retest")),
        }
    }
}

fn drawn(entries: &[Entry]) -> Vec<Drawn> {
    let sample_of = |panel: &Panel| {
        let key = panel.sample?.to_string();
        entries.iter().find(|entry| entry.key == key)?.read::<Sample>()
    };
    let mut panels: Vec<Drawn> = entries
        .iter()
        .filter_map(|entry| Some((entry, entry.read::<Panel>()?)))
        .map(|(entry, panel)| {
            let sample = sample_of(&panel);
            let day = sample.as_ref().and_then(|sample| sample.date).or(panel.date);
            let layer = sample.map_or((None, None), |sample| (sample.from_mm, sample.to_mm));
            Drawn { day, id: entry.key.clone(), layer }
        })
        .collect();
    panels.sort_by(|a, b| (a.day, &a.id).cmp(&(b.day, &b.id)));
    panels
}

fn usual_baseline<'a>(entries: &[Entry], panels: &'a [Drawn], retest: &Drawn) -> Option<&'a Drawn> {
    let earlier = || panels.iter().rev().filter(|panel| panel.day < retest.day);
    let planned: Vec<String> = entries
        .iter()
        .filter_map(|entry| entry.read::<PlanRecord>())
        .filter(|plan| plan.status == Some(PlanStatus::Accepted))
        .filter_map(|plan| Some(plan.panel?.to_string()))
        .collect();
    let alike = |panel: &&Drawn| panel.layer == retest.layer;
    let in_season = |panel: &&Drawn| match (panel.day, retest.day) {
        (Some(before), Some(after)) => season_match(before, after).value.same_season,
        _ => false,
    };
    earlier()
        .find(|panel| planned.contains(&panel.id))
        .or_else(|| earlier().filter(alike).find(in_season))
        .or_else(|| earlier().find(alike))
        .or_else(|| earlier().next())
        // Panels of one day are still told apart where there are no others.
        .or_else(|| panels.iter().find(|panel| panel.id != retest.id))
}
