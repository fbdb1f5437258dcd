//! Copies of documents outside the database, to recover from when it cannot be read.
//!
//! One file a document and day, named `KIND-ID.DAY.SEQUENCE.copy`; those of the newest two days are
//! kept. The name says at which commit the copy was made, so that the list of the folder tells what
//! has changed since.

use std::{
    collections::BTreeMap,
    fs,
    path::{Path, PathBuf},
};

use crate::{
    Day, DocumentName, Store, StoreError,
    document::Stored,
    layout::{self, Layout},
    table::{DocumentRow, Fields},
};

/// How every copy begins.
const HEADING: &[u8] = b"swardbook copy 1\n";

/// Copies of so many days are kept of each document.
const DAYS: usize = 2;

/// Where a copy lies and what its name says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Place {
    pub(crate) day: Day,
    /// The commit up to which it holds everything.
    pub(crate) sequence: u64,
    pub(crate) path: PathBuf,
}

/// Where the copies of every document lie, newest first.
pub(crate) fn list(layout: &Layout) -> Result<BTreeMap<DocumentName, Vec<Place>>, StoreError> {
    let folder = layout.copies();
    let mut places: BTreeMap<DocumentName, Vec<Place>> = BTreeMap::new();
    if !folder.is_dir() {
        return Ok(places);
    }
    let failed = |e| StoreError::io(&folder, e);
    for entry in fs::read_dir(&folder).map_err(failed)? {
        let path = entry.map_err(failed)?.path();
        if let Some((name, day, sequence)) = parse_name(&path) {
            places.entry(name).or_default().push(Place { day, sequence, path });
        }
    }
    for places in places.values_mut() {
        places.sort_by_key(|place| std::cmp::Reverse((place.sequence, place.day)));
    }
    Ok(places)
}

fn parse_name(path: &Path) -> Option<(DocumentName, Day, u64)> {
    let mut parts = path.file_name()?.to_str()?.strip_suffix(".copy")?.split('.');
    let name = parts.next()?.parse().ok()?;
    let day = Day(parts.next()?.parse().ok()?);
    let sequence = parts.next()?.parse().ok()?;
    parts.next().is_none().then_some((name, day, sequence))
}

/// Reads a copy back; none when it is damaged or another document's.
pub(crate) fn read(path: &Path, name: DocumentName) -> Option<Stored> {
    let bytes = fs::read(path).ok()?;
    let (body, check) = bytes.split_last_chunk::<32>()?;
    if blake3::hash(body).as_bytes() != check {
        return None;
    }
    let mut from = Fields(body.strip_prefix(HEADING)?);
    if from.take::<{ DocumentName::LEN }>()? != name.to_key() {
        return None;
    }
    let row = DocumentRow::decode(take_long(&mut from)?)?;
    let snapshot = if row.has_snapshot() { Some(take_long(&mut from)?.to_vec()) } else { None };
    let mut tail = Vec::new();
    for _ in 0..row.tail_count {
        tail.push((take_long(&mut from)?.to_vec(), take_long(&mut from)?.to_vec()));
    }
    Some(Stored { row, snapshot, tail, loose: Vec::new() })
}

fn take_long<'a>(from: &mut Fields<'a>) -> Option<&'a [u8]> {
    let length = u64::from_le_bytes(from.take()?);
    from.take_slice(usize::try_from(length).ok()?)
}

fn encode(name: DocumentName, stored: &Stored) -> Vec<u8> {
    let mut out = HEADING.to_vec();
    let mut put = |bytes: &[u8]| {
        out.extend_from_slice(&(bytes.len() as u64).to_le_bytes());
        out.extend_from_slice(bytes);
    };
    put(&stored.row.encode());
    if let Some(snapshot) = &stored.snapshot {
        put(snapshot);
    }
    for (key, change) in &stored.tail {
        put(key);
        put(change);
    }
    out.splice(HEADING.len()..HEADING.len(), name.to_key());
    let check = blake3::hash(&out);
    out.extend_from_slice(check.as_bytes());
    out
}

impl Store {
    /// Writes a copy of each document that changed since its last one, outside the database.
    ///
    /// Call it after saving states and before closing. Copies of the newest two days are kept; a
    /// damaged notebook is restored from them. Returns how many were written.
    ///
    /// # Errors
    /// [`StoreError`] when one could not be written; those before it are there.
    pub fn copy_documents(&self, day: Day) -> Result<usize, StoreError> {
        if self.lock.is_none() {
            return Err(StoreError::ReadAccess);
        }
        let folder = self.layout.copies();
        layout::make_folder(&folder)?;
        let mut places = list(&self.layout)?;
        let mut written = 0;
        for head in self.documents()? {
            let name = head.name;
            let mut copies = places.remove(&name).unwrap_or_default();
            if copies.first().is_some_and(|newest| newest.sequence >= head.changed.0) {
                continue;
            }
            let Some(stored) = self.read("copying a document", |reading| reading.stored(name))?
            else {
                continue;
            };
            // A document that waits for loose changes to be taken up keeps the copies from before.
            if !stored.loose.is_empty() {
                continue;
            }
            let sequence = head.changed.0;
            let path = folder.join(format!("{name}.{}.{sequence}.copy", day.0));
            layout::write_durably(&path, &encode(name, &stored))?;
            written += 1;
            copies.insert(0, Place { day, sequence, path });
            remove_old(&copies)?;
        }
        Ok(written)
    }
}

/// Keeps the newest copy of each of the newest days.
fn remove_old(copies: &[Place]) -> Result<(), StoreError> {
    let mut kept: Vec<Day> = Vec::new();
    for place in copies {
        if kept.len() < DAYS && !kept.contains(&place.day) {
            kept.push(place.day);
        } else {
            fs::remove_file(&place.path).map_err(|e| StoreError::io(&place.path, e))?;
        }
    }
    Ok(())
}
