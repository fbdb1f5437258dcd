//! Samples that wait for a panel, found by the label on their bag.

use std::collections::BTreeMap;

use crate::{Notebook, Problem};

/// Samples without a panel, by label.
#[derive(Debug, Default)]
pub(super) struct WaitingSamples(BTreeMap<String, Vec<String>>);

impl WaitingSamples {
    /// The one waiting sample of that label; none when there is none or more than one.
    pub(super) fn one_labelled(&self, label: &str) -> Option<String> {
        let label = plain(label);
        match self.0.get(&label).map(Vec::as_slice) {
            Some([id]) if !label.is_empty() => Some(id.clone()),
            _ => None,
        }
    }
}

fn plain(label: &str) -> String {
    label.trim().to_lowercase()
}

impl Notebook {
    /// The samples that wait for a panel.
    pub(super) fn waiting_samples(&self) -> Result<WaitingSamples, Problem> {
        let mut waiting = WaitingSamples::default();
        for row in self.zone_rows(None)? {
            let Ok(zone) = row.id.parse() else { continue };
            for sample in self.zone_facts(zone)?.waiting {
                waiting.0.entry(plain(&sample.label)).or_default().push(sample.sample);
            }
        }
        Ok(waiting)
    }
}
