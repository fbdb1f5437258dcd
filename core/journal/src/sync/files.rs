//! Which photos and papers this device wants, and in which order.
//!
//! Entries never wait for files: files have a stream of their own.
//! Small pictures come before everything, so that every entry can be looked at; then the papers of
//! laboratories, then photos. Among equals the most recent day comes first and then the smallest.

use std::{
    cmp::Reverse,
    collections::{BTreeMap, BTreeSet},
};

use swardbook_units::NaiveDate;

use crate::{Document, records};

/// A file's name: the blake3 hash of its bytes.
pub type FileHash = [u8; 32];

/// What a file is to its entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FileSort {
    /// The small picture of a photo.
    Preview,
    /// A laboratory's own file, or a table of temperatures.
    Paper,
    /// A photo as it was taken.
    Original,
}

/// A file that an entry refers to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileWish {
    /// Its hash.
    pub hash: FileHash,
    /// What it is to the entry.
    pub sort: FileSort,
    /// Its length in bytes, where the entry says it.
    pub size: Option<u64>,
    /// The entry's day.
    pub date: Option<NaiveDate>,
    /// The entry was made on this device.
    pub made_here: bool,
}

/// What a device keeps.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum KeepRule {
    /// Every file.
    #[default]
    All,
    /// Small pictures, and what was made here until a device in the office, or one that is always
    /// on, keeps it.
    OwnUntilOffice,
    /// Small pictures, and what was made here until any other device keeps it.
    Previews,
}

/// What is to be fetched, first things first.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FilePlan {
    /// To be fetched in this order.
    pub fetch: Vec<FileHash>,
    /// Their bytes, as far as entries say them.
    pub bytes: u64,
    /// How many the rule leaves where they are.
    pub left: usize,
}

/// The files that a document's entries refer to; those of hidden entries are not wanted.
pub fn files_of(document: &mut Document, device: &str) -> Vec<FileWish> {
    let mut wishes = Vec::new();
    for entry in document.entries() {
        if entry.voided().is_some() {
            continue;
        }
        let mut referred = Vec::new();
        let date;
        if let Some(seen) = entry.read::<records::Observation>() {
            date = seen.date;
            referred.push((FileSort::Preview, seen.preview, None));
            referred.push((FileSort::Original, seen.photo, seen.size));
        } else if let Some(panel) = entry.read::<records::Panel>() {
            date = panel.date;
            referred.push((FileSort::Paper, panel.file, None));
        } else if let Some(temperatures) = entry.read::<records::Temperatures>() {
            date = temperatures.last;
            referred.push((FileSort::Paper, temperatures.file, None));
        } else {
            continue;
        }
        for (sort, name, size) in referred {
            let Some(hash) = parse_hash(&name) else { continue };
            let made_here = document.made(&entry.key).is_some_and(|stamp| stamp.device == device);
            let size = size.and_then(|size| u64::try_from(size).ok());
            wishes.push(FileWish { hash, sort, size, date, made_here });
        }
    }
    wishes
}

/// Reads 64 small hexadecimal digits.
fn parse_hash(text: &str) -> Option<FileHash> {
    let digits: Option<Vec<u8>> = text
        .bytes()
        .map(|digit| match digit {
            b'0'..=b'9' => Some(digit - b'0'),
            b'a'..=b'f' => Some(digit - b'a' + 10),
            _ => None,
        })
        .collect();
    let bytes: Vec<u8> = digits?.chunks_exact(2).map(|two| two[0] << 4 | two[1]).collect();
    (text.len() == 64).then(|| bytes.try_into().ok()).flatten()
}

/// What to fetch, and in which order.
#[must_use]
pub fn wants(wishes: &[FileWish], here: &BTreeSet<FileHash>, rule: KeepRule) -> FilePlan {
    let mut plan = FilePlan::default();
    let mut best: BTreeMap<FileHash, &FileWish> = BTreeMap::new();
    for wish in wishes.iter().filter(|wish| !here.contains(&wish.hash)) {
        // One file may belong to several entries: the most pressing counts.
        let known = best.entry(wish.hash).or_insert(wish);
        if urgency(wish) < urgency(known) {
            *known = wish;
        }
    }
    let mut wanted: Vec<&FileWish> = Vec::new();
    for wish in best.into_values() {
        if rule == KeepRule::All || wish.sort == FileSort::Preview {
            wanted.push(wish);
        } else {
            plan.left += 1;
        }
    }
    wanted.sort_by_key(|wish| (urgency(wish), wish.hash));
    plan.bytes = wanted.iter().filter_map(|wish| wish.size).sum();
    plan.fetch = wanted.into_iter().map(|wish| wish.hash).collect();
    plan
}

/// Smaller is sooner. A file of unknown length counts as large, one of unknown day as old.
fn urgency(wish: &FileWish) -> (FileSort, Reverse<Option<NaiveDate>>, u64) {
    (wish.sort, Reverse(wish.date), wish.size.unwrap_or(u64::MAX))
}

/// Files here that the rule would let go, were they kept elsewhere: see [`super::Keeping`].
#[must_use]
pub fn spare(wishes: &[FileWish], here: &BTreeSet<FileHash>, rule: KeepRule) -> Vec<FileHash> {
    if rule == KeepRule::All {
        return Vec::new();
    }
    let needed: BTreeSet<FileHash> =
        wishes.iter().filter(|wish| wish.sort == FileSort::Preview).map(|wish| wish.hash).collect();
    let known: BTreeSet<FileHash> = wishes.iter().map(|wish| wish.hash).collect();
    // A file that no entry names may belong to an entry that has not arrived: it stays.
    here.iter().filter(|hash| known.contains(*hash) && !needed.contains(*hash)).copied().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{DocumentKind, Stamp};

    fn day(day: u32) -> Option<NaiveDate> {
        NaiveDate::from_ymd_opt(2026, 9, day)
    }

    fn wish(name: u8, sort: FileSort, on: u32, size: u64) -> FileWish {
        FileWish { hash: [name; 32], sort, size: Some(size), date: day(on), made_here: false }
    }

    fn season() -> Vec<FileWish> {
        vec![
            wish(1, FileSort::Original, 3, 4_000_000),
            wish(2, FileSort::Original, 9, 5_000_000),
            wish(3, FileSort::Original, 9, 3_000_000),
            wish(4, FileSort::Preview, 3, 9_000),
            wish(5, FileSort::Preview, 9, 12_000),
            wish(6, FileSort::Paper, 1, 200_000),
            wish(7, FileSort::Original, 9, 6_000_000),
        ]
    }

    #[test]
    fn previews_first_then_papers_then_the_most_recent_and_smallest() {
        let plan = wants(&season(), &BTreeSet::from([[7; 32]]), KeepRule::All);
        let order: Vec<u8> = plan.fetch.iter().map(|hash| hash[0]).collect();
        assert_eq!(order, [5, 4, 6, 3, 2, 1], "7 is here already");
        assert_eq!(plan.bytes, 12_000 + 9_000 + 200_000 + 3_000_000 + 5_000_000 + 4_000_000);
        assert_eq!(plan.left, 0, "nothing is left out");
    }

    #[test]
    fn a_phone_that_keeps_little_fetches_the_small_pictures_only() {
        for rule in [KeepRule::OwnUntilOffice, KeepRule::Previews] {
            let plan = wants(&season(), &BTreeSet::new(), rule);
            assert_eq!(plan.fetch, [[5; 32], [4; 32]], "{rule:?}");
            assert_eq!(plan.left, 5, "{rule:?} says how many it leaves");
        }
    }

    #[test]
    fn a_file_of_several_entries_is_fetched_once_and_as_early_as_its_most_pressing_entry() {
        let mut wishes = season();
        wishes.push(wish(1, FileSort::Original, 30, 4_000_000));
        wishes.push(FileWish { date: None, size: None, ..wish(8, FileSort::Original, 1, 0) });
        let plan = wants(&wishes, &BTreeSet::new(), KeepRule::All);
        let order: Vec<u8> = plan.fetch.iter().map(|hash| hash[0]).collect();
        assert_eq!(order, [5, 4, 6, 1, 3, 2, 7, 8], "an undated one comes last");
    }

    #[test]
    fn small_pictures_and_files_nobody_names_are_never_spare() {
        let here = BTreeSet::from([[1; 32], [4; 32], [99; 32]]);
        assert_eq!(spare(&season(), &here, KeepRule::All), Vec::<FileHash>::new());
        assert_eq!(spare(&season(), &here, KeepRule::Previews), [[1; 32]], "the original only");
    }

    #[test]
    fn files_are_read_off_the_entries_of_a_zone() {
        let mut zone = Document::new(DocumentKind::Zone, &[1; 16]);
        let note = |device: &str| Stamp {
            device: device.into(),
            person: String::new(),
            action: String::new(),
            at: 0,
        };
        let photo = records::Observation {
            photo: "ab".repeat(32),
            preview: "cd".repeat(32),
            size: Some(77),
            date: day(4),
            ..Default::default()
        };
        zone.put("photo", &photo).unwrap();
        zone.commit(&note("phone"));
        zone.put("panel", &records::Panel { file: "ef".repeat(32), ..Default::default() }).unwrap();
        zone.put("hidden", &records::Observation { photo: "11".repeat(32), ..photo }).unwrap();
        zone.put("odd", &records::Panel { file: "../../x".into(), ..Default::default() }).unwrap();
        zone.void("hidden", "mistake", 1).unwrap();
        zone.commit(&note("office"));
        let mut files = files_of(&mut zone, "phone");
        files.sort_by_key(|wish| wish.sort);
        let expected = |hash, sort, size, date, made_here| FileWish {
            hash: [hash; 32],
            sort,
            size,
            date,
            made_here,
        };
        assert_eq!(
            files,
            [
                expected(0xcd, FileSort::Preview, None, day(4), true),
                expected(0xef, FileSort::Paper, None, None, false),
                expected(0xab, FileSort::Original, Some(77), day(4), true),
            ],
            "what is hidden or no hash is not wanted"
        );
    }
}
