//! How long a file may grow.

use super::tree::{File, Tree};

/// From here on a file holds more than one subject.
const MOST: usize = 900;

/// Kinds of files that people write.
const WRITTEN: &[&str] = &["rs", "ts", "js", "mjs", "svelte", "css", "html", "sh", "md", "toml"];

/// Files written by a program, and tables of values, which are as long as their subject.
const EXCEPTED: &[(&str, &str)] = &[
    ("ui/src/generated/", "written from the Rust types"),
    ("src-tauri/gen/", "written by the window's tool"),
    ("core/agronomy/data/", "tables of values"),
    ("fixtures/", "tables of values and files as they came"),
];

/// One line for each file that is too long.
pub(super) fn check(tree: &Tree) -> Vec<String> {
    tree.texts()
        .filter(|(file, _)| is_written(file))
        .filter_map(|(file, text)| {
            let lines = text.lines().count();
            (lines > MOST).then(|| {
                format!("{} has {lines} lines; over {MOST} it is more than one subject", file.path)
            })
        })
        .collect()
}

fn is_written(file: &File) -> bool {
    WRITTEN.contains(&file.extension())
        && !EXCEPTED.iter().any(|(start, _)| file.path.starts_with(start))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_files_generated_files_and_tables_pass() {
        let long = "x\n".repeat(MOST + 1);
        let tree = Tree::of(&[
            ("core/units/src/lib.rs", &"x\n".repeat(MOST)),
            ("core/agronomy/data/analytes.toml", &long),
            ("ui/src/generated/Zone.ts", &long),
            ("Cargo.lock", &long),
        ]);
        assert_eq!(check(&tree), Vec::<String>::new());
    }

    #[test]
    fn a_long_file_is_found() {
        let tree = Tree::of(&[("core/app/src/plan.rs", &"x\n".repeat(MOST + 1))]);
        assert_eq!(
            check(&tree),
            ["core/app/src/plan.rs has 901 lines; over 900 it is more than one subject"]
        );
    }
}
