//! The words the program is started with.

use std::{ffi::OsString, path::PathBuf};

use swardbook_app::{Problem, default_folder};

/// Which notebook is asked for.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Asked {
    /// The one in the usual folder, made when it is not there yet.
    Usual(PathBuf),
    /// The one in this folder.
    Folder(PathBuf),
    /// The words make no sense; the window says so.
    Unclear(Problem),
}

/// Reads `--notebook DIR`, and nothing else.
pub(crate) fn read(words: impl Iterator<Item = OsString>) -> Asked {
    let mut words = words.peekable();
    let mut folder = None;
    while let Some(word) = words.next() {
        if word == "--notebook" {
            match words.next() {
                Some(next) => folder = Some(PathBuf::from(next)),
                None => {
                    return Asked::Unclear(Problem::missing(
                        "--notebook",
                        "name the folder after it",
                    ));
                }
            }
        } else if let Some(path) = word.to_str().and_then(|word| word.strip_prefix("--notebook=")) {
            folder = Some(PathBuf::from(path));
        } else {
            let word = word.to_string_lossy().into_owned();
            return Asked::Unclear(Problem::bad(
                &word,
                format!("\"{word}\" was not understood; the window takes --notebook DIR"),
            ));
        }
    }
    folder.map_or_else(|| Asked::Usual(default_folder()), Asked::Folder)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_notebook_is_named_or_usual() {
        let read = |words: &[&str]| read(words.iter().map(OsString::from));
        assert_eq!(read(&[]), Asked::Usual(default_folder()));
        for words in [&["--notebook", "a b"][..], &["--notebook=a b"]] {
            assert_eq!(read(words), Asked::Folder("a b".into()), "{words:?}");
        }
        for words in [&["--notebook"][..], &["a b"], &["--verbose"]] {
            assert!(matches!(read(words), Asked::Unclear(_)), "{words:?}");
        }
    }
}
