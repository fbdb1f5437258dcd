//! What is due, kept in the order of its days, so that a look at today reads what it shows.
//!
//! Whether a thing is due depends on the day one looks, so each is kept with the days that decide
//! it; sentences are made from the zone's facts when they are shown.

mod key;

use std::{
    collections::{BTreeMap, BTreeSet},
    ops::Range,
};

use chrono::Datelike as _;
use swardbook_journal::records::{OwnMaterial, Settings};
use swardbook_store::{Batch, IndexTable, Span};
use swardbook_units::{Id, NaiveDate};

pub(crate) use key::Key;
use key::{Group, day_of, month, number};

use super::{Notebook, ZoneFacts, ZoneRow, index};
use crate::{Code, Problem};

/// Things due, by [`Key`].
const DUE: IndexTable = IndexTable(9);
/// The keys that a zone has in [`DUE`], by its id.
const DUE_OF: IndexTable = IndexTable(10);
/// How many there are of a group, or of a group and its days.
const COUNTS: IndexTable = IndexTable(11);
/// What clear days depend on beside a zone's own journal.
const WAITS: IndexTable = IndexTable(12);

/// Months after which a zone is sampled again.
///
/// # Source `penn-state-lawn-notes`: every three years by default.
const RETEST_MONTHS: u32 = 36;
/// Days in which a laboratory usually reports, where it does not say; common practice, no source.
const USUAL_TURNAROUND: u64 = 24;
/// Days before and after which a zone's becoming clear is worth a line.
const CLEAR_AHEAD: u64 = 30;
const CLEAR_SINCE: u64 = 14;

/// One thing that a zone asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum What {
    /// A visit of a plan, by its place in [`ZoneFacts::due`].
    Visit(usize),
    /// A panel that should be back, by its sample's place in [`ZoneFacts::waiting`].
    Panel(usize),
    /// A sample to post, the same.
    Post(usize),
    /// A sample whose cores are to be pulled, the same.
    Cores(usize),
    /// A zone that was never sampled.
    Never,
    /// A zone whose last sample is too old.
    Again,
    /// A zone that becomes clear to sample.
    Clear,
    /// Records with something to fill in.
    Unfinished,
}

/// What to show of what is due.
#[derive(Debug, Default)]
pub(crate) struct DueList {
    /// The most pressing first, with the day of those that have one.
    pub(crate) shown: Vec<(Option<NaiveDate>, Key)>,
    /// Things due beyond those.
    pub(crate) more: u32,
    pub(crate) zones: u32,
    pub(crate) clear_zones: u32,
}

/// What a batch changes of that on which due things rest.
#[derive(Debug, Default)]
pub(super) struct DueChanges {
    pub(super) facts: BTreeMap<Id, ZoneFacts>,
    pub(super) rows: BTreeMap<Id, Option<ZoneRow>>,
    /// Properties of whose zones a record was written.
    pub(super) properties: BTreeSet<Id>,
    /// The notebook's own document was written on.
    pub(super) notebook: bool,
}

struct Asked {
    what: What,
    group: Group,
    day: Option<NaiveDate>,
    again: Option<NaiveDate>,
}

/// What a zone asks for, in the order in which [`Key::at`] counts.
pub(crate) fn asks(facts: &ZoneFacts, missing: u32, clear: Option<NaiveDate>) -> Vec<What> {
    asked(facts, missing, clear).into_iter().map(|asked| asked.what).collect()
}

fn asked(facts: &ZoneFacts, missing: u32, clear: Option<NaiveDate>) -> Vec<Asked> {
    let mut all = Vec::new();
    let mut ask = |what, group, day, again| all.push(Asked { what, group, day, again });
    for (at, visit) in facts.due.iter().enumerate() {
        let group = if visit.date.is_some() { Group::Dated } else { Group::Undated };
        ask(What::Visit(at), group, visit.date, None);
    }
    for (at, waiting) in facts.waiting.iter().enumerate() {
        match (waiting.pulled, waiting.sent) {
            (_, Some(sent)) => {
                ask(What::Panel(at), Group::Dated, Some(ahead(sent, USUAL_TURNAROUND)), None);
            }
            (Some(pulled), None) => ask(What::Post(at), Group::Dated, Some(pulled), None),
            (None, None) => ask(What::Cores(at), Group::WhenClear, clear, None),
        }
    }
    match &facts.last_sample {
        None if facts.waiting.is_empty() => ask(What::Never, Group::WhenClear, clear, None),
        None => {}
        Some(last) => {
            let again = last.date.checked_add_months(chrono::Months::new(RETEST_MONTHS));
            if again.is_some() {
                ask(What::Again, Group::Again, again, None);
            }
            if facts.waiting.is_empty() && clear.is_some() {
                ask(What::Clear, Group::Near, clear, again.or(Some(NaiveDate::MAX)));
            }
        }
    }
    if facts.unfinished + u32::from(missing > 0) > 0 {
        ask(What::Unfinished, Group::Undated, None, None);
    }
    all
}

fn ahead(day: NaiveDate, days: u64) -> NaiveDate {
    day.checked_add_days(chrono::Days::new(days)).unwrap_or(day)
}

fn back(day: NaiveDate, days: u64) -> NaiveDate {
    day.checked_sub_days(chrono::Days::new(days)).unwrap_or(day)
}

fn keys_of(zone: Id, row: &ZoneRow, facts: &ZoneFacts, clear: Option<NaiveDate>) -> BTreeSet<Key> {
    // A letter that ends a name in a key cannot be in it.
    let name = row.name.to_lowercase().replace('\0', " ");
    let key = |at: usize, group, day, again| Key {
        group,
        day: number(day),
        again: number(again),
        name: name.clone(),
        zone,
        at: u16::try_from(at).unwrap_or(u16::MAX),
    };
    let mut keys: BTreeSet<Key> = asked(facts, row.missing, clear)
        .into_iter()
        .enumerate()
        .map(|(at, asked)| key(at, asked.group, asked.day, asked.again))
        .collect();
    keys.insert(key(0, Group::Zone, clear, None));
    keys
}

fn damaged() -> Problem {
    Problem::new(Code::Damaged, "a row of the list of what is due cannot be read")
}

impl Notebook {
    /// Adds to a batch what is due after these changes.
    pub(super) fn list_due(
        &mut self,
        batch: &mut Batch,
        changes: &DueChanges,
    ) -> Result<(), Problem> {
        let mut zones: BTreeSet<Id> =
            changes.facts.keys().chain(changes.rows.keys()).copied().collect();
        if changes.notebook && self.waits_changed(batch)? {
            zones.extend(self.zone_rows(None)?.iter().filter_map(|row| row.id.parse::<Id>().ok()));
        }
        let mut counts: BTreeMap<Vec<u8>, i64> = BTreeMap::new();
        for zone in zones {
            let known = self.store.get_index(DUE_OF, zone.as_bytes())?;
            let before: BTreeSet<Key> = match &known {
                Some(bytes) => index::parse::<Vec<Vec<u8>>>(bytes)?
                    .iter()
                    .map(|key| Key::parse(key).ok_or_else(damaged))
                    .collect::<Result<_, _>>()?,
                None => BTreeSet::new(),
            };
            let row = match changes.rows.get(&zone) {
                Some(row) => row.clone(),
                None => self.zone_row(zone)?,
            };
            let after = match row {
                Some(row) => {
                    let facts = match changes.facts.get(&zone) {
                        Some(facts) => facts.clone(),
                        None => self.zone_facts(zone)?,
                    };
                    let clear = self.listed_clear_day(&facts)?;
                    keys_of(zone, &row, &facts, clear)
                }
                None => BTreeSet::new(),
            };
            if before == after {
                continue;
            }
            let mut change = |key: &Key, by: i64| {
                for count in key.counted() {
                    *counts.entry(count).or_default() += by;
                }
            };
            for key in before.difference(&after) {
                change(key, -1);
                batch.delete_index(DUE, &key.bytes());
            }
            for key in after.difference(&before) {
                change(key, 1);
                if key.is_listed() {
                    batch.put_index(DUE, &key.bytes(), Vec::new());
                }
            }
            let kept: Vec<Vec<u8>> = after.iter().map(Key::bytes).collect();
            batch.put_index(DUE_OF, zone.as_bytes(), index::row(&kept));
        }
        for (key, by) in counts.into_iter().filter(|(_, by)| *by != 0) {
            let known = self.store.get_index(COUNTS, &key)?;
            let known = known.map_or(Ok(0), |bytes| count_of(&bytes))?;
            match i64::from(known) + by {
                0 => batch.delete_index(COUNTS, &key),
                now => {
                    let now = u32::try_from(now).map_err(|_| damaged())?;
                    batch.put_index(COUNTS, &key, now.to_be_bytes().to_vec());
                }
            }
        }
        Ok(())
    }

    /// Whether the waits that the settings and the own materials ask for are others than before.
    fn waits_changed(&mut self, batch: &mut Batch) -> Result<bool, Problem> {
        let entries = self.document(super::NOTEBOOK)?.entries();
        let settings = entries.iter().find_map(|entry| entry.read::<Settings>());
        let settings = settings.unwrap_or_default();
        let mut kinds = BTreeMap::new();
        for entry in entries.iter().filter(|entry| entry.read::<OwnMaterial>().is_some()) {
            let (name, kind) = self.kind_of_material(&entry.key);
            kinds.insert(entry.key.clone(), format!("{name} {kind:?}"));
        }
        let waits = index::row(&(settings.granular_days, settings.liquid_days, kinds));
        if self.store.get_index(WAITS, b"")?.as_ref() == Some(&waits) {
            return Ok(false);
        }
        batch.put_index(WAITS, b"", waits);
        Ok(true)
    }

    /// The day a zone is clear as the list keeps it.
    fn listed_clear_day(&mut self, facts: &ZoneFacts) -> Result<Option<NaiveDate>, Problem> {
        if facts.last_applied.is_empty() {
            return Ok(None);
        }
        let settings = match self.settings_record() {
            Ok(settings) => settings,
            // Named when the notebook was opened; until it is mended the usual waits count.
            Err(problem) if problem.code == Code::Damaged => Settings::default(),
            Err(problem) => return Err(problem),
        };
        // A wait beyond the calendar never ends; whoever looks at it is told.
        Ok(self.clear_day(facts, &settings).unwrap_or(Some(NaiveDate::MAX)))
    }

    /// What is due on a day, at most so much of it.
    ///
    /// It reads what it shows, and a count for each day of the calendar on which something is due.
    pub(crate) fn due_on(&self, today: NaiveDate, most: usize) -> Result<DueList, Problem> {
        let day = number(Some(today));
        let near =
            number(Some(back(today, CLEAR_SINCE)))..number(Some(ahead(today, CLEAR_AHEAD))) + 1;
        let mut shown = self.due_keys(&Group::Dated.between(0..u32::MAX), most)?;
        shown.extend(self.due_keys(&Group::WhenClear.between(day + 1..u32::MAX), most)?);
        shown.extend(self.due_keys(&Group::Again.between(0..day + 1), most)?);
        shown.extend(self.near_keys(near.clone(), day, most)?);
        shown.sort_by(|a, b| (a.day, &a.name, a.zone, a.at).cmp(&(b.day, &b.name, b.zone, b.at)));
        shown.truncate(most);
        let mut shown: Vec<(Option<NaiveDate>, Key)> =
            shown.into_iter().map(|key| (day_of(key.day), key)).collect();
        // Then what has no day: first what could be done today.
        let undated = |span: Span, shown: &mut Vec<(Option<NaiveDate>, Key)>| {
            let keys = self.due_keys(&span, most - shown.len())?;
            shown.extend(keys.into_iter().map(|key| (None, key)));
            Ok::<(), Problem>(())
        };
        undated(Group::WhenClear.between(0..day + 1), &mut shown)?;
        undated(Group::Undated.between(0..u32::MAX), &mut shown)?;

        let mut all = 0;
        for group in [Group::Dated, Group::Undated, Group::WhenClear] {
            all += self.count(&[group.letter()])?;
        }
        all += self.sum(&Group::Month.between(0..month(today)), |_| true)?;
        let first = number(today.with_day(1));
        all += self.sum(&Group::Again.between(first..day + 1), |_| true)?;
        all += self.sum(&Group::Near.between(near), |again| again > day)?;
        let zones = self.count(&[Group::Zone.letter()])?;
        let waiting = self.sum(&Group::Zone.between(day + 1..u32::MAX), |_| true)?;
        let more = all.saturating_sub(u32::try_from(shown.len()).unwrap_or(u32::MAX));
        Ok(DueList { shown, more, zones, clear_zones: zones.saturating_sub(waiting) })
    }

    fn due_keys(&self, span: &Span, most: usize) -> Result<Vec<Key>, Problem> {
        let rows = self.store.range_index(DUE, &span.clone().at_most(most))?;
        rows.iter().map(|row| Key::parse(&row.key).ok_or_else(damaged)).collect()
    }

    /// Zones that become clear in these days and are not to be sampled again anyway.
    fn near_keys(&self, days: Range<u32>, today: u32, most: usize) -> Result<Vec<Key>, Problem> {
        let until = [&[Group::Near.letter()][..], &days.end.to_be_bytes()].concat();
        let mut span = Group::Near.between(days);
        let mut found = Vec::new();
        loop {
            let keys = self.due_keys(&span, most)?;
            let Some(last) = keys.last().filter(|_| keys.len() == most && most > 0) else {
                found.extend(keys.into_iter().filter(|key| key.again > today));
                break;
            };
            let next = [last.bytes(), vec![0]].concat();
            found.extend(keys.into_iter().filter(|key| key.again > today));
            if found.len() >= most {
                break;
            }
            span = Span::all().from(&next).until(&until);
        }
        Ok(found)
    }

    fn count(&self, key: &[u8]) -> Result<u32, Problem> {
        self.store.get_index(COUNTS, key)?.map_or(Ok(0), |bytes| count_of(&bytes))
    }

    fn sum(&self, span: &Span, counts: impl Fn(u32) -> bool) -> Result<u32, Problem> {
        let mut sum: u32 = 0;
        for row in self.store.range_index(COUNTS, span)? {
            // Only days that come in pairs have a second one.
            let again = row.key.get(5..).and_then(|bytes| bytes.try_into().ok());
            if counts(again.map_or(0, u32::from_be_bytes)) {
                sum = sum.saturating_add(count_of(&row.value)?);
            }
        }
        Ok(sum)
    }
}

fn count_of(bytes: &[u8]) -> Result<u32, Problem> {
    bytes.try_into().map(u32::from_be_bytes).map_err(|_| damaged())
}
