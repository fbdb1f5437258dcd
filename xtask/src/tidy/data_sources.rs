//! Every row of the tables of values names the publication it was read from.

use std::collections::BTreeSet;

use toml::Value;

use super::tree::Tree;

const TABLES: &str = "core/agronomy/data/";
const SOURCES: &str = "core/agronomy/data/sources.toml";

/// One line for each row without a source, and for each source that is not in the list.
pub(super) fn check(tree: &Tree) -> Vec<String> {
    let tables: Vec<(&str, &str)> = tree
        .texts()
        .filter(|(file, _)| file.path.starts_with(TABLES) && file.extension() == "toml")
        .map(|(file, text)| (file.path.as_str(), text))
        .collect();
    if tables.is_empty() {
        return Vec::new();
    }
    let Some((_, sources)) = tables.iter().find(|(path, _)| *path == SOURCES) else {
        return vec![format!("{SOURCES} is missing")];
    };
    let known: BTreeSet<String> = match sources.parse::<toml::Table>() {
        Ok(table) => table.keys().cloned().collect(),
        Err(error) => return vec![format!("{SOURCES}: {error}")],
    };
    let mut findings = Vec::new();
    for (path, text) in tables.into_iter().filter(|(path, _)| *path != SOURCES) {
        match text.parse::<toml::Table>() {
            Ok(table) => {
                // A file read from one publication names it once, for all its rows.
                for (key, value) in table.iter().filter(|_| !has_source(&table)) {
                    rows(value, key, &mut |row, place| {
                        if !names_source(row) {
                            findings.push(format!("{path}: {place} names no source"));
                        }
                    });
                }
                keys(&Value::Table(table), &mut |key| {
                    if !known.contains(key) {
                        findings.push(format!("{path}: the source `{key}` is not in sources.toml"));
                    }
                });
            }
            Err(error) => findings.push(format!("{path}: {error}")),
        }
    }
    findings
}

/// Calls `visit` for each row: an element of a list of tables, or a table on the top level.
fn rows(value: &Value, place: &str, visit: &mut impl FnMut(&toml::Table, &str)) {
    match value {
        Value::Table(row) => visit(row, &format!("{place}{}", label(row))),
        Value::Array(list) => {
            for (index, element) in list.iter().enumerate() {
                if let Value::Table(row) = element {
                    let label = label(row);
                    let label =
                        if label.is_empty() { format!(" row {}", index + 1) } else { label };
                    visit(row, &format!("{place}{label}"));
                }
            }
        }
        _ => {}
    }
}

fn label(row: &toml::Table) -> String {
    row.get("id").and_then(Value::as_str).map_or_else(String::new, |id| format!(" `{id}`"))
}

/// A row has a source of its own, or has parts of which each that states a number has one.
fn names_source(row: &toml::Table) -> bool {
    if has_source(row) {
        return true;
    }
    let (mut sourced, mut bare) = (0, 0);
    for (key, value) in row {
        rows(value, key, &mut |part, _| {
            if names_source(part) {
                sourced += 1;
            } else if part.values().any(states_number) {
                bare += 1;
            }
        });
    }
    sourced > 0 && bare == 0
}

/// One `source` for the whole, or a `lab_source` for each number whose name begins with `lab_`.
fn has_source(table: &toml::Table) -> bool {
    if table.contains_key("source") || table.contains_key("sources") {
        return true;
    }
    let topics: Vec<&str> = table.keys().filter_map(|key| key.strip_suffix("_source")).collect();
    !topics.is_empty()
        && table.iter().filter(|(_, value)| states_number(value)).all(|(key, _)| {
            topics.iter().any(|topic| {
                key.strip_prefix(topic).is_some_and(|rest| rest.is_empty() || rest.starts_with('_'))
            })
        })
}

fn states_number(value: &Value) -> bool {
    match value {
        Value::Integer(_) | Value::Float(_) => true,
        Value::Array(list) => list.iter().any(states_number),
        Value::Table(table) => table.values().any(states_number),
        _ => false,
    }
}

/// Calls `visit` for every source named anywhere in the value.
fn keys(value: &Value, visit: &mut impl FnMut(&str)) {
    match value {
        Value::Table(table) => {
            for (key, inner) in table {
                if key == "source" || key == "sources" || key.ends_with("_source") {
                    match inner {
                        Value::String(name) => visit(name),
                        Value::Array(names) => {
                            names
                                .iter()
                                .for_each(|name| visit(name.as_str().unwrap_or("(not text)")));
                        }
                        _ => visit("(not text)"),
                    }
                } else {
                    keys(inner, visit);
                }
            }
        }
        Value::Array(list) => list.iter().for_each(|inner| keys(inner, visit)),
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LIST: &str = "[known-2001]\ntitle = \"A table\"\n";

    fn findings(table: &str) -> Vec<String> {
        check(&Tree::of(&[(SOURCES, LIST), ("core/agronomy/data/rates.toml", table)]))
    }

    #[test]
    fn rows_with_a_known_source_pass() {
        for table in [
            "[[rate]]\nid = \"a\"\nvalue = 1\nsource = \"known-2001\"\n",
            "[[rate]]\nid = \"a\"\nby = [{ value = 1, source = \"known-2001\" }]\n",
            "[rate]\nvalue = 1\nsource = [\"known-2001\"]\n",
            "format = 1\n",
            "[[rate]]\nlab_sd = 1\nlab_source = \"known-2001\"\n",
            "source = \"known-2001\"\n[[rate]]\nvalue = 1\n",
            "[[rate]]\nform = [{ formula = \"NO3\" }]\nby = [{ v = 1, source = \"known-2001\" }]\n",
        ] {
            assert_eq!(findings(table), Vec::<String>::new(), "{table}");
        }
    }

    #[test]
    fn rows_without_one_or_with_an_unknown_one_are_found() {
        for (table, words) in [
            ("[[rate]]\nid = \"a\"\nvalue = 1\n", "rate `a` names no source"),
            ("[[rate]]\nvalue = 1\n", "rate row 1 names no source"),
            ("[rate]\nvalue = 1\n", "rate names no source"),
            (
                "[[rate]]\nid = \"a\"\nby = [{ v = 1, source = \"known-2001\" }, { v = 2 }]\n",
                "rate `a` names no source",
            ),
            ("source = \"nobody-1999\"\n[[rate]]\nvalue = 1\n", "`nobody-1999` is not in"),
            ("[[rate]]\nsource = \"nobody-1999\"\n", "`nobody-1999` is not in sources.toml"),
            ("[[rate]]\nsource = 7\n", "(not text)"),
            ("[[rate]]\nlab_sd = 1\ncore_sd = 1\nlab_source = \"known-2001\"\n", "row 1 names no"),
            ("[[rate]]\nlab_sd = 1\nlab_source = \"nobody-1999\"\n", "`nobody-1999`"),
            ("not toml", "rates.toml"),
        ] {
            let found = findings(table);
            assert_eq!(found.len(), 1, "{table}: {found:?}");
            assert!(found[0].contains(words), "{found:?}");
        }
    }

    #[test]
    fn tables_without_a_list_of_sources_are_a_finding() {
        let tree = Tree::of(&[("core/agronomy/data/rates.toml", "")]);
        assert_eq!(check(&tree), ["core/agronomy/data/sources.toml is missing"]);
    }
}
