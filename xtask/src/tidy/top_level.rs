//! What may lie on the top level.

use std::collections::BTreeSet;

use super::tree::Tree;

/// Besides these, files and folders whose name begins with a dot.
const AGREED: &[&str] = &[
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE-APACHE",
    "LICENSE-MIT",
    "README.md",
    "core",
    "docs",
    "fixtures",
    "src-tauri",
    "tests",
    "ui",
    "xtask",
];

/// One line for each entry that was not agreed.
pub(super) fn check(tree: &Tree) -> Vec<String> {
    let entries: BTreeSet<&str> =
        tree.files.iter().filter_map(|file| file.path.split('/').next()).collect();
    entries
        .into_iter()
        .filter(|entry| !entry.starts_with('.') && !AGREED.contains(entry))
        .map(|entry| format!("{entry} does not belong on the top level"))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn agreed_entries_and_dot_files_pass() {
        let tree = Tree::of(&[("Cargo.toml", ""), (".ci/run", ""), ("core/units/Cargo.toml", "")]);
        assert_eq!(check(&tree), Vec::<String>::new());
    }

    #[test]
    fn others_are_found_once() {
        let tree = Tree::of(&[("scripts/a.sh", ""), ("scripts/b.sh", ""), ("notes.md", "")]);
        assert_eq!(
            check(&tree),
            [
                "notes.md does not belong on the top level",
                "scripts does not belong on the top level",
            ]
        );
    }
}
