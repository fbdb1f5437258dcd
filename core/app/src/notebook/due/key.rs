//! How things due are named in the list, so that the order of their names is that of their days.

use std::ops::Range;

use chrono::Datelike;
use swardbook_store::Span;
use swardbook_units::{Id, NaiveDate};

/// How the day of a thing due follows from the day one looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Group {
    /// It has its day.
    Dated,
    /// It has none.
    Undated,
    /// The day the zone is clear, as long as that is to come; none afterwards.
    WhenClear,
    /// Its day, once that has come.
    Again,
    /// The day the zone is clear, around that day, unless it is to be sampled again anyway.
    Near,
    /// No thing due: the day each zone is clear, to be counted.
    Zone,
    /// Of counts only: things of [`Self::Again`] by month.
    Month,
}

/// A thing due as it is found: in the order of days, then of the zones' names.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Key {
    pub(super) group: Group,
    /// Days since the common era began; 0 for none.
    pub(super) day: u32,
    /// Of [`Group::Near`]: the day the zone is to be sampled again.
    pub(super) again: u32,
    pub(super) name: String,
    pub(crate) zone: Id,
    /// Its place among what the zone asks for.
    pub(crate) at: u16,
}

pub(super) fn number(day: Option<NaiveDate>) -> u32 {
    // A day before the common era sorts before all others, as it should.
    day.map_or(0, |day| u32::try_from(day.num_days_from_ce()).unwrap_or(0).max(1))
}

pub(super) fn day_of(number: u32) -> Option<NaiveDate> {
    let days = i32::try_from(number).ok().filter(|days| *days > 0)?;
    NaiveDate::from_num_days_from_ce_opt(days)
}

impl Group {
    const ALL: [Self; 7] = [
        Self::Dated,
        Self::Undated,
        Self::WhenClear,
        Self::Again,
        Self::Near,
        Self::Zone,
        Self::Month,
    ];

    pub(super) const fn letter(self) -> u8 {
        self as u8
    }

    /// Rows of this group from a day on and before another.
    pub(super) fn between(self, days: Range<u32>) -> Span {
        let key = |day: u32| [&[self.letter()][..], &day.to_be_bytes()].concat();
        Span::all().from(&key(days.start)).until(&key(days.end))
    }
}

impl Key {
    pub(super) fn bytes(&self) -> Vec<u8> {
        let mut bytes = self.days();
        bytes.extend_from_slice(self.name.as_bytes());
        bytes.push(0);
        bytes.extend_from_slice(self.zone.as_bytes());
        bytes.extend_from_slice(&self.at.to_be_bytes());
        bytes
    }

    /// Group and days.
    fn days(&self) -> Vec<u8> {
        let mut bytes = vec![self.group.letter()];
        bytes.extend_from_slice(&self.day.to_be_bytes());
        bytes.extend_from_slice(&self.again.to_be_bytes());
        bytes
    }

    pub(super) fn parse(bytes: &[u8]) -> Option<Self> {
        let (group, rest) = bytes.split_first()?;
        let (day, rest) = rest.split_first_chunk()?;
        let (again, rest) = rest.split_first_chunk()?;
        let (rest, at) = rest.split_last_chunk()?;
        let (rest, zone) = rest.split_last_chunk()?;
        Some(Self {
            group: *Group::ALL.get(usize::from(*group))?,
            day: u32::from_be_bytes(*day),
            again: u32::from_be_bytes(*again),
            name: std::str::from_utf8(rest.strip_suffix(&[0])?).ok()?.to_owned(),
            zone: Id::from_random(*zone),
            at: u16::from_be_bytes(*at),
        })
    }

    /// The counts that it is part of.
    pub(super) fn counted(&self) -> Vec<Vec<u8>> {
        let mut counts = vec![vec![self.group.letter()]];
        if matches!(self.group, Group::Again | Group::Near | Group::Zone) {
            counts.push(self.days());
        }
        if self.group == Group::Again
            && let Some(day) = day_of(self.day)
        {
            counts.push(month_key(day));
        }
        counts
    }

    /// Whether a look at what is due finds it; the others are only counted.
    pub(super) fn is_listed(&self) -> bool {
        self.group != Group::Zone
    }
}

/// Months since the common era began.
pub(super) fn month(day: NaiveDate) -> u32 {
    u32::try_from(day.year()).unwrap_or(0) * 12 + day.month0()
}

pub(super) fn month_key(day: NaiveDate) -> Vec<u8> {
    [&[Group::Month.letter()][..], &month(day).to_be_bytes()].concat()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_comes_back_from_its_bytes_and_sorts_as_they_do() {
        let day = |day| number(NaiveDate::from_ymd_opt(2026, 3, day));
        let key = |group, day, name: &str, at| Key {
            group,
            day,
            again: 7,
            name: name.to_owned(),
            zone: Id::from_random([9; 10]),
            at,
        };
        let mut keys = vec![
            key(Group::Near, day(2), "verge", 0),
            key(Group::Dated, day(3), "a", 300),
            key(Group::Dated, day(3), "a", 2),
            key(Group::Dated, day(2), "z\u{e4}un", 0),
            key(Group::Undated, 0, "", 0),
        ];
        for key in &keys {
            assert_eq!(Key::parse(&key.bytes()).as_ref(), Some(key));
        }
        let mut bytes: Vec<Vec<u8>> = keys.iter().map(Key::bytes).collect();
        bytes.sort();
        keys.sort();
        assert_eq!(bytes, keys.iter().map(Key::bytes).collect::<Vec<_>>());
        assert_eq!(Key::parse(b"short"), None);
    }

    #[test]
    fn days_come_back_from_their_numbers() {
        for day in [(1, 1, 1), (2026, 2, 28), (9999, 12, 31)] {
            let day = NaiveDate::from_ymd_opt(day.0, day.1, day.2);
            assert_eq!(day_of(number(day)), day);
        }
        assert_eq!((number(None), day_of(0)), (0, None));
    }
}
