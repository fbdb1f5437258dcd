//! The table of publications, and the look-up of one by its key.

use std::{collections::BTreeMap, sync::LazyLock};

use serde::Deserialize;
use swardbook_units::{Confidence, Source};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    author: String,
    year: String,
    title: String,
    #[serde(rename = "where")]
    place: String,
    confidence: String,
}

static TABLE: LazyLock<BTreeMap<String, Source>> = LazyLock::new(|| {
    let rows: BTreeMap<String, Row> = toml::from_str(include_str!("../data/sources.toml"))
        .expect("the embedded table of sources parses; a test reads it");
    rows.into_iter()
        .map(|(key, row)| {
            let confidence = match row.confidence.as_str() {
                "confirmed" => Confidence::Confirmed,
                "from memory" => Confidence::FromMemory,
                // The test of this module refuses any other word.
                _ => Confidence::CommonPractice,
            };
            let year =
                if row.year == "no date" { String::new() } else { format!(" ({})", row.year) };
            let citation = if confidence == Confidence::CommonPractice {
                row.title
            } else {
                format!("{}{year}. {}. {}", row.author, row.title, row.place)
            };
            (key.clone(), Source { key, citation, confidence })
        })
        .collect()
});

/// One publication by its key, such as `woods-2014`.
///
/// A key written in this crate's code or data always exists: a test reads them all.
/// A key from outside goes to [`find_source`].
#[must_use]
pub fn source(key: &str) -> Source {
    find_source(key).expect("keys in code and data stand in sources.toml; a test scans them all")
}

/// One publication by its key, or `None` when the table has no such key.
#[must_use]
pub fn find_source(key: &str) -> Option<Source> {
    TABLE.get(key).cloned()
}

/// Every key of the table, in alphabetical order.
pub fn source_keys() -> impl Iterator<Item = &'static str> {
    TABLE.keys().map(String::as_str)
}

#[cfg(test)]
mod tests {
    use std::{fs, path::Path};

    use super::*;

    #[test]
    fn the_table_uses_only_the_three_words_of_confidence() {
        let rows: BTreeMap<String, Row> =
            toml::from_str(include_str!("../data/sources.toml")).expect("parses");
        for (key, row) in rows {
            assert!(
                ["confirmed", "from memory", "common practice"].contains(&row.confidence.as_str()),
                "{key} says {:?}",
                row.confidence
            );
            assert!(
                key.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-'),
                "{key} is not a plain key"
            );
        }
    }

    /// Keys named in `source = "..."`, `source = ["..."]`, `sources = [...]`, `..._source = ...`
    /// of a data file.
    fn keys_in(value: &toml::Value, under_source: bool, found: &mut Vec<String>) {
        match value {
            toml::Value::String(text) if under_source => found.push(text.clone()),
            toml::Value::Array(items) => {
                items.iter().for_each(|item| keys_in(item, under_source, found));
            }
            toml::Value::Table(table) => {
                for (name, item) in table {
                    let named = name == "source"
                        || name == "sources"
                        || name.ends_with("_source")
                        || name.ends_with("_sources");
                    keys_in(item, named, found);
                }
            }
            _ => {}
        }
    }

    fn files_under(folder: &Path, ending: &str, found: &mut Vec<std::path::PathBuf>) {
        for entry in fs::read_dir(folder).expect("the folder is part of the crate") {
            let path = entry.expect("readable").path();
            if path.is_dir() {
                files_under(&path, ending, found);
            } else if path.extension().is_some_and(|e| e == ending) {
                found.push(path);
            }
        }
    }

    #[test]
    fn every_key_in_the_data_files_stands_in_the_table() {
        let mut files = Vec::new();
        files_under(&Path::new(env!("CARGO_MANIFEST_DIR")).join("data"), "toml", &mut files);
        assert!(!files.is_empty(), "the data folder holds files");
        for file in files {
            if file.ends_with("sources.toml") {
                continue;
            }
            let text = fs::read_to_string(&file).expect("readable");
            let value: toml::Value = toml::from_str::<toml::Table>(&text)
                .unwrap_or_else(|e| panic!("{}: {e}", file.display()))
                .into();
            let mut keys = Vec::new();
            keys_in(&value, false, &mut keys);
            for key in keys {
                assert!(find_source(&key).is_some(), "{}: no source {key:?}", file.display());
            }
        }
    }

    #[test]
    fn every_key_in_the_code_stands_in_the_table() {
        let mut files = Vec::new();
        files_under(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), "rs", &mut files);
        let mut seen = 0;
        // Put together so that this test does not find itself.
        let call = format!("source({}", '"');
        for file in files {
            let text = fs::read_to_string(&file).expect("readable");
            for (at, _) in text.match_indices(&call) {
                let rest = &text[at + call.len()..];
                let key = &rest[..rest.find('"').unwrap_or(0)];
                assert!(find_source(key).is_some(), "{}: no source {key:?}", file.display());
                seen += 1;
            }
        }
        assert!(seen > 0, "the code names sources");
    }

    #[test]
    fn a_citation_reads_as_one_looks_it_up() {
        let woods = source("woods-2014");
        assert!(
            woods.citation.starts_with("Woods MS, Stowell LJ, Gelernter WD (2014)"),
            "{woods:?}"
        );
        assert_eq!(source("mehlich-1976").confidence, Confidence::FromMemory, "not read");
        assert_eq!(source("common-practice").citation, "Common practice, no source", "no author");
    }
}
