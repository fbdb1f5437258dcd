//! Making a notebook's file anew from a damaged one and the copies of its documents.

use std::{collections::BTreeMap, fs};

use crate::{
    BlobHash, Damage, DocumentName, Fault, Part, Remedy, StoreError, blob,
    commit::{self, Sealed},
    copies::{self, Place},
    document::{Reading, Stored},
    handle::{self, Handle, Trouble},
    layout::Layout,
    overlay::Overlay,
    scan::{self, Found, Scan},
    table::{
        self, BLOB, BlobRow, CHANGED, DOCUMENT, DocumentRow, FORMAT, FORMAT_KEY, LOCAL, LOOSE,
        META, Notebook, SNAPSHOT, TAIL,
    },
};

/// What could be read.
#[derive(Debug)]
pub(crate) struct Recovery {
    documents: BTreeMap<DocumentName, Stored>,
    local: Vec<(Vec<u8>, Vec<u8>)>,
    blobs: Vec<(BlobHash, BlobRow)>,
    /// A number after every commit there was.
    sequence: u64,
    pub(crate) findings: Vec<Damage>,
}

/// Reads what can be read, changing nothing.
///
/// # Errors
/// [`StoreError::Unreadable`] when there is nothing to make a notebook of.
pub(crate) fn gather(layout: &Layout, why: &str, at_least: u64) -> Result<Recovery, StoreError> {
    let path = layout.notebook();
    let Scan { mut documents, notebook } = if path.exists() {
        scan::scan(&path).map_err(|e| StoreError::io(&path, e))?
    } else {
        Scan::default()
    };
    let mut copies = copies::list(layout)?;
    if documents.is_empty() && copies.is_empty() && notebook.is_none() {
        return Err(StoreError::Unreadable { path, why: why.to_owned() });
    }
    let numbers = documents.values().flat_map(|found| found.rows.keys().copied());
    let copied = copies.values().flatten().map(|place| place.sequence);
    let last = numbers.chain(copied).chain([at_least]).chain(notebook.map(|n| n.sequence)).max();
    let sequence = last.unwrap_or_default() + 1;

    let left = left(layout);
    // What the trees say is the newest only if no later commit is known of.
    let live = left.sequence.filter(|read| read + 1 >= sequence);
    let mut recovery = Recovery {
        documents: BTreeMap::new(),
        local: Vec::new(),
        blobs: blobs(layout)?,
        sequence,
        findings: Vec::new(),
    };
    let mut names: Vec<DocumentName> = documents.keys().chain(copies.keys()).copied().collect();
    let mut unconfirmed = 0;
    names.sort_unstable();
    names.dedup();
    for name in names {
        let found = documents.remove(&name).unwrap_or_default();
        let places = copies.remove(&name).unwrap_or_default();
        let listed = left.changed.get(&name).copied();
        let (stored, damage) = choose(name, &found, &places, listed, sequence);
        let last = [live.and(listed), Some(sequence - 1)];
        if damage.is_none() && !last.contains(&Some(stored.row.changed)) {
            unconfirmed += 1;
        }
        recovery.documents.insert(name, stored);
        recovery.findings.extend(damage);
    }
    if unconfirmed > 0 {
        let part = Part::Unconfirmed { documents: unconfirmed };
        recovery.findings.push(Damage { part, remedy: Remedy::FromEarlier { loose: 0 } });
    }
    let known = recovery.documents.len() as u64;
    let missing = match notebook {
        Some(last) if last.sequence + 1 >= sequence => Some(last.documents.saturating_sub(known)),
        _ => None,
    };
    if missing != Some(0) {
        let remedy = Remedy::Lost { loose: 0 };
        recovery.findings.push(Damage { part: Part::Documents { count: missing }, remedy });
    }
    if !left.all_local {
        let remedy = Remedy::PartlyKept { kept: left.local.len() };
        recovery.findings.push(Damage { part: Part::Local, remedy });
    }
    recovery.local = left.local;
    Ok(recovery)
}

/// A whole state of a document and the commit up to which it holds everything.
struct Base {
    stored: Stored,
    upto: u64,
    remedy: fn(usize, &Self) -> Remedy,
    day: crate::Day,
}

/// The newest state of a document that is whole, and what can be told of the rest.
fn choose(
    name: DocumentName,
    found: &Found,
    places: &[Place],
    listed: Option<u64>,
    sequence: u64,
) -> (Stored, Option<Damage>) {
    let newest = found.rows.last_key_value();
    let whole = found.rows.iter().rev().find_map(|(_, row)| whole(name, found, row));
    let copy = places.iter().find_map(|place| Some((place, copies::read(&place.path, name)?)));

    // Nothing is known of the document that is later than this whole state.
    let stamps = found.tail.values().filter_map(|stamped| table::split_stamped(stamped));
    let latest = stamps
        .map(|(at, _)| at)
        .chain(found.snapshots.keys().copied())
        .chain(found.rows.keys().copied())
        .chain(places.first().map(|place| place.sequence))
        .chain(listed)
        .max();
    if let Some(whole) = &whole
        && Some(whole.row.changed) == latest
    {
        return (whole.clone(), None);
    }
    let fault = match newest {
        None => Fault::RowMissing,
        Some((_, row)) if row.has_snapshot() && !found.snapshots.contains_key(&row.snapshot_at) => {
            Fault::SnapshotMissing
        }
        Some(_) => Fault::ChangesMissing,
    };
    let earlier = |loose, _: &Base| Remedy::FromEarlier { loose };
    let from_copy = |loose, base: &Base| Remedy::FromCopy { day: base.day, loose };
    let none = crate::Day(0);
    let mut bases = Vec::new();
    if let Some(stored) = whole {
        bases.push(Base { upto: stored.row.changed, stored, remedy: earlier, day: none });
    }
    if let Some((at, stamped)) = found.snapshots.last_key_value() {
        let stored = Stored {
            row: DocumentRow::default(),
            snapshot: Some(stamped.clone()),
            tail: Vec::new(),
            loose: Vec::new(),
        };
        bases.push(Base { stored, upto: *at, remedy: earlier, day: none });
    }
    if let Some((place, stored)) = copy {
        bases.push(Base { stored, upto: place.sequence, remedy: from_copy, day: place.day });
    }
    // Among equals the first, which is the one read from the notebook's file.
    let base = bases.into_iter().rev().max_by_key(|base| base.upto);

    let upto = base.as_ref().map_or(0, |base| base.upto);
    let mut loose: Vec<Vec<u8>> = found.loose.iter().cloned().collect();
    let mut later: Vec<(u64, &[u8], &[u8])> = found
        .tail
        .iter()
        .filter_map(|(key, stamped)| {
            let (at, change) = table::split_stamped(stamped)?;
            (at > upto).then_some((at, key.as_slice(), change))
        })
        .collect();
    // In the order in which they were written, which is one in which they fit.
    later.sort_unstable();
    loose.extend(later.into_iter().map(|(_, _, change)| change.to_vec()));
    let remedy = match &base {
        Some(base) => (base.remedy)(loose.len(), base),
        None => Remedy::Lost { loose: loose.len() },
    };
    let (snapshot, tail) = base.map_or((None, Vec::new()), |b| (b.stored.snapshot, b.stored.tail));
    let row = row_of(name, snapshot.as_deref(), &tail, loose.len(), sequence);
    let damage = Damage { part: Part::Document { name, fault }, remedy };
    (Stored { row, snapshot, tail, loose }, Some(damage))
}

/// The document as one version of its row says it was, if everything the row counts is there.
fn whole(name: DocumentName, found: &Found, row: &DocumentRow) -> Option<Stored> {
    let key = name.to_key();
    let snapshot = if row.has_snapshot() {
        let stamped = found.snapshots.get(&row.snapshot_at)?;
        (table::snapshot_digest(&key, stamped) == row.snapshot_check).then_some(())?;
        Some(stamped.clone())
    } else {
        None
    };
    let mut seen = DocumentRow::default();
    let mut tail = Vec::new();
    for (key, stamped) in &found.tail {
        let (at, _) = table::split_stamped(stamped)?;
        // Earlier ones are part of the saved state, later ones of a later version.
        if at > row.snapshot_at && at <= row.changed {
            seen.count(key, stamped);
            tail.push((key.clone(), stamped.clone()));
        }
    }
    if (seen.tail_count, seen.tail_sum) != (row.tail_count, row.tail_sum) {
        return None;
    }
    let mut loose = Vec::new();
    if row.loose_count > 0 {
        loose = found.loose.iter().cloned().collect();
        if (loose.len() as u64) < u64::from(row.loose_count) {
            return None;
        }
    }
    let loose_count = u32::try_from(loose.len()).ok()?;
    Some(Stored { row: DocumentRow { loose_count, ..row.clone() }, snapshot, tail, loose })
}

/// The row of a document that was put together again: it has no heads.
fn row_of(
    name: DocumentName,
    snapshot: Option<&[u8]>,
    tail: &[(Vec<u8>, Vec<u8>)],
    loose: usize,
    sequence: u64,
) -> DocumentRow {
    let mut row = DocumentRow {
        changed: sequence,
        loose_count: u32::try_from(loose).expect("fewer changes than fill memory"),
        ..DocumentRow::default()
    };
    if let Some(stamped) = snapshot {
        row.snapshot_at = table::split_stamped(stamped).map_or(1, |(at, _)| at);
        row.snapshot_bytes = stamped.len() as u64;
        row.snapshot_check = table::snapshot_digest(&name.to_key(), stamped);
    }
    tail.iter().for_each(|(key, stamped)| row.count(key, stamped));
    row
}

/// What the database itself can still read.
#[derive(Debug, Default)]
struct Left {
    /// The number of the last commit.
    sequence: Option<u64>,
    /// When each document was last changed.
    changed: BTreeMap<DocumentName, u64>,
    local: Vec<(Vec<u8>, Vec<u8>)>,
    all_local: bool,
}

fn left(layout: &Layout) -> Left {
    let path = layout.notebook();
    let mut left = Left::default();
    let open = || {
        handle::guard(&path, "opening what is left", || {
            let overlay = Overlay::open(&path).map_err(|e| StoreError::io(&path, e))?;
            Ok(Handle::Image(handle::salvage_builder().create_with_backend(overlay)?))
        })
    };
    // Each step on its own: one that fails does not keep the next from reading what it can.
    let mut step = |work: &mut dyn FnMut(&mut Left, &Reading<'_>) -> Result<(), Trouble>| {
        let Ok(handle) = open() else { return false };
        let read = handle::guard(&path, "reading what is left", || {
            let transaction = handle.begin_read()?;
            work(&mut left, &Reading::new(&transaction))
        });
        handle::discard(handle);
        read.is_ok()
    };
    step(&mut |left, reading| {
        left.sequence = Some(reading.notebook()?.sequence);
        Ok(())
    });
    step(&mut |left, reading| {
        reading.each_row(DOCUMENT, |key, payload| {
            let row = payload.and_then(DocumentRow::decode);
            if let (Some(name), Some(row)) = (DocumentName::from_key(key), row) {
                left.changed.insert(name, row.changed);
            }
        })
    });
    let mut altered = false;
    let read = step(&mut |left, reading| {
        reading.each_row(LOCAL, |key, payload| match payload {
            Some(value) => left.local.push((key.to_vec(), value.to_vec())),
            None => altered = true,
        })
    });
    left.all_local = read && !altered;
    left
}

fn blobs(layout: &Layout) -> Result<Vec<(BlobHash, BlobRow)>, StoreError> {
    let listed = blob::list_blobs(layout)?;
    listed
        .into_iter()
        .map(|(hash, path)| {
            let size = fs::metadata(&path).map_err(|e| StoreError::io(&path, e))?.len();
            Ok((hash, BlobRow { size }))
        })
        .collect()
}

/// Writes what could be read into a new, empty file.
pub(crate) fn write_into(
    handle: &Handle,
    recovery: &Recovery,
    nonce: [u8; 16],
) -> Result<Notebook, Trouble> {
    let start = Notebook { nonce, sequence: recovery.sequence, ..Notebook::default() };
    commit::write(handle, start, |transaction, notebook| {
        commit::make_tables(transaction)?;
        let mut meta = Sealed::open(transaction, META)?;
        meta.put(notebook, FORMAT_KEY, &FORMAT.to_le_bytes())?;
        let mut documents = Sealed::open(transaction, DOCUMENT)?;
        let mut snapshots = Sealed::open(transaction, SNAPSHOT)?;
        let mut tail = Sealed::open(transaction, TAIL)?;
        let mut loose = Sealed::open(transaction, LOOSE)?;
        let mut changed = Sealed::open(transaction, CHANGED)?;
        for (name, stored) in &recovery.documents {
            let key = name.to_key();
            notebook.count(*name);
            documents.put(notebook, &key, &stored.row.encode())?;
            if let Some(stamped) = &stored.snapshot {
                snapshots.put(notebook, &key, stamped)?;
            }
            for (key, stamped) in &stored.tail {
                tail.put(notebook, key, stamped)?;
            }
            for (number, change) in (0..).zip(&stored.loose) {
                loose.put(notebook, &table::loose_key(*name, number), change)?;
            }
            changed.put(notebook, &table::changed_key(stored.row.changed, *name), &[])?;
        }
        let mut local = Sealed::open(transaction, LOCAL)?;
        recovery.local.iter().try_for_each(|(key, value)| local.put(notebook, key, value))?;
        let mut blobs = Sealed::open(transaction, BLOB)?;
        recovery
            .blobs
            .iter()
            .try_for_each(|(hash, row)| blobs.put(notebook, hash.as_bytes(), &row.encode()))
    })
}
