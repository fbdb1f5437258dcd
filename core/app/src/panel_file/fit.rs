//! Which remembered mapping fits a file, and which of its rules belongs to which column.

use super::{
    layout::{Span, find_tables, headings},
    mapping::{Layout, Mapping, Role, TableMapping, heading_key},
    open::Sheets,
    vocabulary::Vocabulary,
};

/// A remembered mapping must find at least this share of its columns; common practice, no source.
const LEAST_FIT: f64 = 0.7;

/// The headings of a file's tables, sorted: what a laboratory's layout is known by.
///
/// Order and number of columns do not matter, so that moved columns still fit.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Fingerprint {
    headings: Vec<String>,
}

impl Fingerprint {
    /// The headings, folded and sorted.
    #[must_use]
    pub fn headings(&self) -> &[String] {
        &self.headings
    }
}

/// The fingerprint of a file as it lies, without any remembered mapping.
#[must_use]
pub fn fingerprint(sheets: &Sheets) -> Fingerprint {
    fingerprint_under(sheets, &Mapping::default())
}

fn fingerprint_under(sheets: &Sheets, mapping: &Mapping) -> Fingerprint {
    let words = Vocabulary::new(mapping);
    let mut found: Vec<String> = Vec::new();
    for grid in sheets.grids.iter().filter(|grid| !grid.is_hidden()) {
        for span in find_tables(grid, &words) {
            let keys = headings(span.view(grid), &span, &words);
            found.extend(keys.iter().map(|parts| heading_key(parts)).filter(|key| !key.is_empty()));
        }
    }
    found.sort();
    found.dedup();
    Fingerprint { headings: found }
}

impl Mapping {
    /// How well this mapping fits a file, from 0 to 1: the share of its columns that the file has,
    /// times the share of the file's analyte columns that it knows.
    #[must_use]
    pub fn fit(&self, sheets: &Sheets) -> f64 {
        let found = fingerprint_under(sheets, self).headings;
        let own: Vec<(String, bool)> = self
            .tables
            .iter()
            .flat_map(|table| &table.columns)
            .map(|c| (heading_key(&c.heading), matches!(c.role, Role::Unknown | Role::Ignore)))
            .filter(|(key, _)| !key.is_empty())
            .collect();
        let wanted = own.iter().filter(|(_, idle)| !idle).count();
        if wanted == 0 || found.is_empty() {
            return 0.0;
        }
        let kept = own.iter().filter(|(key, idle)| !idle && found.contains(key)).count();
        let known = found.iter().filter(|key| own.iter().any(|(own, _)| own == *key)).count();
        share(kept, wanted) * share(known, found.len()).max(0.5).sqrt()
    }
}

/// The remembered mapping that fits a file best, by its index; none when none fits well.
#[must_use]
pub fn best_fit(mappings: &[Mapping], sheets: &Sheets) -> Option<usize> {
    mappings
        .iter()
        .enumerate()
        .map(|(at, mapping)| (at, mapping.fit(sheets)))
        .filter(|(_, fit)| *fit >= LEAST_FIT)
        .max_by(|one, other| one.1.total_cmp(&other.1))
        .map(|(at, _)| at)
}

#[allow(clippy::cast_precision_loss, reason = "numbers of columns")]
fn share(part: usize, whole: usize) -> f64 {
    part as f64 / whole as f64
}

/// The table of a mapping that has most headings in common with a table of the file.
pub(super) fn best_table<'m>(
    mapping: &'m Mapping,
    span: &Span,
    parts: &[Vec<String>],
) -> Option<(usize, &'m TableMapping)> {
    let keys: Vec<String> = parts.iter().map(|parts| heading_key(parts)).collect();
    mapping
        .tables
        .iter()
        .enumerate()
        .filter(|(_, table)| {
            (table.layout == Layout::Long) == (span.layout == Layout::Long)
                && table.has_headings != span.headings.is_empty()
        })
        .map(|(at, table)| {
            let common = table.columns.iter().filter(|column| {
                let key = heading_key(&column.heading);
                !table.has_headings || (!key.is_empty() && keys.contains(&key))
            });
            (at, table, common.count())
        })
        .filter(|(_, _, common)| *common > 0)
        // The first of equals: `max_by_key` would take the last.
        .rev()
        .max_by_key(|(_, _, common)| *common)
        .map(|(at, table, _)| (at, table))
}

/// The rule of a column: by its heading, the first unused one where headings are the same, for the
/// same heading means the same once more; by its place in a table without headings.
pub(super) fn rule_of<'m>(
    table: &'m TableMapping,
    heading: &[String],
    order: usize,
    used: &mut [bool],
) -> Option<&'m Role> {
    if !table.has_headings {
        return table.columns.get(order).map(|column| &column.role);
    }
    let key = heading_key(heading);
    let same = |at: &usize| heading_key(&table.columns[*at].heading) == key;
    let all = || (0..table.columns.len()).filter(same);
    let at = all().find(|&at| !used[at]).or_else(|| all().next_back())?;
    used[at] = true;
    Some(&table.columns[at].role)
}
