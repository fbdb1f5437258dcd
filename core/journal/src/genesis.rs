//! The first change of every document, the same bytes on every device, and the migrations.
//!
//! Two devices that each make a document of one kind must make the *same* containers, or one
//! side's entries vanish from view after a merge: so the containers come from changes with a
//! constant actor and time zero, and a migration is a change of the same sort.

use std::{collections::BTreeMap, sync::LazyLock};

use automerge::{
    ActorId, AutoCommit, ChangeHash, ObjType, ROOT, ReadDoc,
    transaction::{CommitOptions, Transactable},
};

/// The schema this version writes.
pub const SCHEMA: i64 = 2;

/// Root key of the map of entries.
pub(crate) const ENTRIES: &str = "entries";
/// Root key of the highest schema that wrote here.
pub(crate) const SCHEMA_KEY: &str = "schema";
/// Root key of the document's kind.
pub(crate) const KIND_KEY: &str = "kind";

/// What a document is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DocumentKind {
    /// Settings, people, devices, laboratories, own materials and prices.
    Notebook,
    /// A client's ground and the list of its zones.
    Property,
    /// What happened on one zone.
    Zone,
}

impl DocumentKind {
    /// All kinds.
    pub const ALL: [Self; 3] = [Self::Notebook, Self::Property, Self::Zone];

    /// The word stored in the document.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Notebook => "notebook",
            Self::Property => "property",
            Self::Zone => "zone",
        }
    }

    /// The number under which documents of this kind are stored and sent; never given out again.
    #[must_use]
    pub const fn number(self) -> u8 {
        match self {
            Self::Notebook => 0,
            Self::Property => 1,
            Self::Zone => 2,
        }
    }

    /// The kind of a number; none for one that only a newer version knows.
    #[must_use]
    pub fn from_number(number: u8) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.number() == number)
    }
}

/// The constant writer of genesis and migrations.
fn founder() -> ActorId {
    ActorId::from(*b"swardbook-genesis")
}

/// A document of version 1: its kind, its schema, an empty map of entries.
fn first_change(kind: DocumentKind) -> AutoCommit {
    let mut doc = AutoCommit::new().with_actor(founder());
    let done = (|| {
        doc.put(ROOT, KIND_KEY, kind.word())?;
        doc.put(ROOT, SCHEMA_KEY, 1_i64)?;
        doc.put_object(ROOT, ENTRIES, ObjType::Map).map(|_| ())
    })();
    done.expect("an empty document takes its first keys");
    doc.commit_with(CommitOptions::default().with_time(0));
    doc
}

/// A new document of the current version: the first change and every migration after it.
///
/// Each migration is written by the founder on top of exactly the change before it and is never
/// edited later.
pub(crate) fn new_document(kind: DocumentKind) -> AutoCommit {
    let mut doc = first_change(kind);
    let done = (|| {
        // Version 2 gave the notebook one settings entry under a fixed name; version 1 had none,
        // and two devices would each have made their own.
        if kind == DocumentKind::Notebook {
            let entries = doc.get(ROOT, ENTRIES)?.map_or(ROOT, |(_, id)| id);
            let settings = doc.put_object(&entries, crate::records::SETTINGS_KEY, ObjType::Map)?;
            doc.put(&settings, crate::entry::KIND, "settings")?;
        }
        doc.put(ROOT, SCHEMA_KEY, 2_i64)
    })();
    done.expect("a document of version 1 takes the migrations");
    doc.commit_with(CommitOptions::default().with_time(0));
    doc
}

/// The founder's changes of a kind.
#[derive(Debug)]
pub(crate) struct Founding {
    /// One after the other.
    pub(crate) bytes: Vec<u8>,
    pub(crate) hashes: Vec<ChangeHash>,
}

/// The founder's changes of a kind, which every document of that kind holds or is given on load.
pub(crate) fn founding_changes(kind: DocumentKind) -> &'static Founding {
    // Made once: they are always the same bytes, and are needed whenever a document is opened.
    static CHANGES: LazyLock<BTreeMap<DocumentKind, Founding>> = LazyLock::new(|| {
        let of = |kind| {
            let changes = new_document(kind).get_changes(&[]);
            let bytes = changes.iter().flat_map(|change| change.raw_bytes().to_vec()).collect();
            Founding { bytes, hashes: changes.iter().map(automerge::Change::hash).collect() }
        };
        DocumentKind::ALL.into_iter().map(|kind| (kind, of(kind))).collect()
    });
    &CHANGES[&kind]
}

/// The highest schema that wrote to the document; 0 when it carries none.
pub(crate) fn schema_of(doc: &AutoCommit) -> i64 {
    // Two versions may have written side by side: the highest counts, not the winner.
    doc.get_all(ROOT, SCHEMA_KEY)
        .into_iter()
        .flatten()
        .filter_map(|(value, _)| value.to_i64_lossless())
        .max()
        .unwrap_or(0)
}

/// Reads an integer whatever integer type holds it.
trait LosslessInteger {
    fn to_i64_lossless(&self) -> Option<i64>;
}

impl LosslessInteger for automerge::Value<'_> {
    fn to_i64_lossless(&self) -> Option<i64> {
        match self.as_scalar()? {
            automerge::ScalarValue::Int(n) => Some(*n),
            automerge::ScalarValue::Uint(n) => i64::try_from(*n).ok(),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Document, Stamp, records};

    fn fixture(name: &str) -> std::path::PathBuf {
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/journal").join(name)
    }

    /// The first change is in every notebook ever made; if these bytes changed, old and new
    /// documents would no longer merge.
    #[test]
    fn the_first_change_is_the_fixtures() {
        for kind in DocumentKind::ALL {
            let stored =
                std::fs::read(fixture(&format!("genesis-{}.automerge", kind.word()))).unwrap();
            assert_eq!(first_change(kind).save(), stored, "{} genesis", kind.word());
        }
    }

    /// With `SWARDBOOK_WRITE_FIXTURES` set, writes the fixtures that are missing; one that is there
    /// is never touched. Without it, says which is missing.
    #[test]
    fn fixtures_exist() {
        for kind in DocumentKind::ALL {
            keep(&format!("genesis-{}.automerge", kind.word()), || first_change(kind).save());
            keep(&format!("v1-{}.automerge", kind.word()), || {
                let mut doc = first_change(kind);
                doc.set_actor(ActorId::from(*b"version-1-device"));
                let (_, entries) = doc.get(ROOT, ENTRIES).unwrap().unwrap();
                let entry = doc.put_object(&entries, "sample-of-version-1", ObjType::Map).unwrap();
                doc.put(&entry, "kind", "sample").unwrap();
                doc.put(&entry, "label", "KB-1").unwrap();
                doc.put(&entry, "date", "2026-09-12").unwrap();
                doc.commit_with(CommitOptions::default().with_time(1_789_000_000));
                doc.save()
            });
        }
        keep("newer-zone.automerge", || {
            let mut document = Document::new(DocumentKind::Zone, b"newer-device-xyz");
            document.put("made-by-newer", &records::Sample::default()).unwrap();
            document.doc.put(ROOT, SCHEMA_KEY, 99_i64).unwrap();
            let note =
                Stamp { device: "n".into(), person: String::new(), action: String::new(), at: 0 };
            document.commit(&note);
            document.save()
        });
    }

    fn keep(name: &str, make: impl Fn() -> Vec<u8>) {
        let path = fixture(name);
        if !path.exists() && std::env::var_os("SWARDBOOK_WRITE_FIXTURES").is_some() {
            std::fs::write(&path, make()).unwrap();
        }
        assert!(path.exists(), "{name} is missing");
    }
}
