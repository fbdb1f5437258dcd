//! File and folder names that say nothing about what is inside.

use super::tree::Tree;

const EMPTY_WORDS: &[&str] =
    &["util", "utils", "helper", "helpers", "manager", "service", "services", "common"];

/// One line for each file or folder named with an empty word, alone or at the end of a name.
pub(super) fn check(tree: &Tree) -> Vec<String> {
    let mut findings = Vec::new();
    for file in &tree.files {
        let found = file.path.split('/').find_map(|part| {
            let stem = part.split('.').find(|piece| !piece.is_empty())?;
            let word = last_word(stem).to_lowercase();
            EMPTY_WORDS.contains(&word.as_str()).then_some(part)
        });
        if let Some(part) = found {
            findings.push(format!("{}: name `{part}` for the noun it owns", file.path));
        }
    }
    findings
}

/// `soil_utils`, `soil-utils` and `SoilUtils` all end in the same word.
fn last_word(stem: &str) -> &str {
    let start = stem
        .char_indices()
        .rev()
        .find_map(|(at, letter)| match letter {
            '_' | '-' => Some(at + letter.len_utf8()),
            _ if letter.is_uppercase() => Some(at),
            _ => None,
        })
        .unwrap_or(0);
    &stem[start..]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_things_pass() {
        let tree = Tree::of(&[
            ("core/units/src/money.rs", ""),
            ("core/agronomy/src/common_ions.rs", ""),
            (".ci/run", ""),
            ("ui/src/parts/ServiceDate.svelte", ""),
        ]);
        assert_eq!(check(&tree), Vec::<String>::new());
    }

    #[test]
    fn empty_words_are_found_in_files_and_folders() {
        for path in [
            "core/app/src/utils.rs",
            "core/app/src/soil_helpers.rs",
            "core/link/tests/common/mod.rs",
            "ui/src/state/SyncManager.svelte.ts",
            "ui/src/backend/service.ts",
        ] {
            assert_eq!(check(&Tree::of(&[(path, "")])).len(), 1, "{path}");
        }
    }
}
