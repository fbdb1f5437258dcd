//! Words and derives in the Rust code that belong to one crate only.

use super::{
    code,
    import_table::KEPT_WORDS,
    tree::{File, Tree},
};

/// One line for each word or derive outside its crate.
pub(super) fn check(tree: &Tree) -> Vec<String> {
    let mut findings = Vec::new();
    for (file, text) in tree.texts().filter(|(file, _)| file.extension() == "rs") {
        let code = code::without_words(text);
        words(file, &code, &mut findings);
        derives(file, &code, &mut findings);
    }
    findings
}

fn words(file: &File, code: &str, findings: &mut Vec<String>) {
    for (word, homes, reason) in KEPT_WORDS {
        if homes.contains(&file.home()) {
            continue;
        }
        for at in places(code, word) {
            findings.push(format!("{}:{}: `{word}`: {reason}", file.path, line(code, at)));
        }
    }
}

fn derives(file: &File, code: &str, findings: &mut Vec<String>) {
    if file.home() == "app" {
        return;
    }
    for at in places(code, "derive(") {
        let inside = &code[at..closing(code, at)];
        let names = |name: &str| places(inside, name).next().is_some();
        if names("TS") {
            findings.push(format!("{}:{}: `TS` is derived in app only", file.path, line(code, at)));
        }
        if (names("Serialize") || names("Deserialize")) && is_public(&code[at..]) {
            findings.push(format!(
                "{}:{}: serde is derived in app and on private row types only",
                file.path,
                line(code, at)
            ));
        }
    }
}

/// Whether the item under this derive is seen by the crate or the world.
fn is_public(code: &str) -> bool {
    let Some(end) = code.find(']') else { return false };
    let mut rest = code[end + 1..].trim_start();
    while rest.starts_with("#[") {
        let mut depth = 0_usize;
        let end = rest.char_indices().find_map(|(at, letter)| {
            match letter {
                '[' => depth += 1,
                ']' => depth -= 1,
                _ => {}
            }
            (letter == ']' && depth == 0).then_some(at + 1)
        });
        let Some(end) = end else { return false };
        rest = rest[end..].trim_start();
    }
    rest.strip_prefix("pub").is_some_and(|after| {
        let after = after.trim_start();
        !after.starts_with('(') || after.starts_with("(crate)")
    })
}

fn closing(code: &str, at: usize) -> usize {
    code[at..].find(')').map_or(code.len(), |found| at + found)
}

/// Where `word` stands as a word of its own: no name runs into it, nor on from it.
fn places<'a>(code: &'a str, word: &'a str) -> impl Iterator<Item = usize> + 'a {
    let is_part = |letter: char| letter.is_alphanumeric() || letter == '_';
    code.match_indices(word).map(|(at, _)| at).filter(move |at| {
        let runs_in = code[..*at].chars().next_back().is_some_and(is_part);
        let runs_on =
            word.ends_with(is_part) && code[at + word.len()..].chars().next().is_some_and(is_part);
        !runs_in && !runs_on
    })
}

fn line(code: &str, at: usize) -> usize {
    code[..at].matches('\n').count() + 1
}

#[cfg(test)]
mod tests {
    use super::*;

    fn findings(path: &str, text: &str) -> Vec<String> {
        check(&Tree::of(&[(path, text)]))
    }

    #[test]
    fn words_in_their_crate_in_comments_and_in_names_pass() {
        for (path, text) in [
            ("core/journal/src/lib.rs", "use automerge::ReadDoc;"),
            ("core/store/src/lib.rs", "use redb::Database;"),
            ("core/app/src/clock.rs", "let now = SystemTime::now();"),
            ("core/store/src/lib.rs", "// not automerge:: here\nlet a = \"iroh::\";"),
            ("core/store/src/lib.rs", "let a = my_automerge::f();"),
            ("core/units/src/lib.rs", "let a = rand::rngs::StdRng::seed(seed);"),
            ("tests/devices.rs", "use iroh::Endpoint;"),
        ] {
            assert_eq!(findings(path, text), Vec::<String>::new(), "{path}: {text}");
        }
    }

    #[test]
    fn words_outside_their_crate_are_found_with_their_line() {
        for (path, text, word) in [
            ("core/store/src/lib.rs", "\nuse automerge::ReadDoc;", "automerge::"),
            ("core/app/src/lib.rs", "\nfn f(a: &redb::Database) {}", "redb::"),
            ("core/app/src/lib.rs", "\nuse iroh::Endpoint;", "iroh::"),
            ("core/cli/src/main.rs", "\nlet a = std::time::SystemTime::now();", "SystemTime::now"),
            ("core/stats/src/lib.rs", "\nlet mut a = rand::rng();", "rand::rng"),
            ("core/app/src/lib.rs", "\nuse tauri::State;", "tauri::"),
        ] {
            let found = findings(path, text);
            assert_eq!(found.len(), 1, "{text}: {found:?}");
            assert!(found[0].starts_with(&format!("{path}:2: `{word}`")), "{found:?}");
        }
    }

    #[test]
    fn derives_on_private_rows_and_in_app_pass() {
        for (path, text) in [
            ("core/app/src/dto/zone.rs", "#[derive(Serialize, TS)] pub struct Zone;"),
            (
                "core/agronomy/src/a.rs",
                "#[derive(Deserialize)]\n#[serde(rename = \"x\")]\nstruct Row;",
            ),
            ("core/store/src/a.rs", "#[derive(serde::Serialize)] pub(super) struct Row;"),
            ("core/units/src/a.rs", "#[derive(Debug, Clone)] pub struct SerializeMe;"),
        ] {
            assert_eq!(findings(path, text), Vec::<String>::new(), "{path}: {text}");
        }
    }

    #[test]
    fn derives_on_what_others_see_are_found() {
        for (path, text) in [
            ("core/units/src/a.rs", "#[derive(Debug, Serialize)] pub struct Mass(f64);"),
            (
                "core/units/src/a.rs",
                "#[derive(serde::Deserialize)]\n#[serde(tag = \"t\")]\n/// Doc.\npub(crate) enum A {}",
            ),
            (
                "core/units/src/a.rs",
                "#[cfg_attr(feature = \"x\", derive(Serialize))]\npub struct A;",
            ),
            ("core/report/src/a.rs", "#[derive(TS)] struct Figure;"),
        ] {
            let found = findings(path, text);
            assert_eq!(found.len(), 1, "{text}: {found:?}");
        }
    }
}
