//! The files of the checkout, as git knows them.

use std::{fs, path::Path, process::Command};

use crate::process;

/// One file of the checkout.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct File {
    /// From the top level, with forward slashes.
    pub(super) path: String,
    /// `None` when it is not UTF-8, such as a picture.
    pub(super) text: Option<String>,
}

impl File {
    /// The crate this file belongs to: the folder below `core`, or the top-level folder.
    pub(super) fn home(&self) -> &str {
        let mut parts = self.path.split('/');
        match parts.next() {
            Some("core") => parts.next().unwrap_or("core"),
            Some(top) => top,
            None => "",
        }
    }

    /// The file's own name.
    pub(super) fn name(&self) -> &str {
        self.path.rsplit('/').next().unwrap_or(&self.path)
    }

    /// What follows the last point of the name.
    pub(super) fn extension(&self) -> &str {
        self.name().rsplit_once('.').map_or("", |(_, extension)| extension)
    }
}

/// Every file that is committed, or is about to be since nothing ignores it.
#[derive(Debug, Default)]
pub(super) struct Tree {
    pub(super) files: Vec<File>,
}

impl Tree {
    pub(super) fn read(root: &Path) -> Result<Self, String> {
        let listed = process::output(
            Command::new("git")
                // A checkout made by another user is still only read.
                .args(["-c", "safe.directory=*", "ls-files", "-z"])
                .args(["--cached", "--others", "--exclude-standard"])
                .current_dir(root),
        )?;
        let mut files = Vec::new();
        for path in listed.split_terminator('\0') {
            // Listed but deleted since, or a link to nowhere: nothing to read.
            let Ok(bytes) = fs::read(root.join(path)) else { continue };
            files.push(File { path: path.to_owned(), text: String::from_utf8(bytes).ok() });
        }
        files.sort_by(|left, right| left.path.cmp(&right.path));
        files.dedup();
        Ok(Self { files })
    }

    /// The files that are text, with it.
    pub(super) fn texts(&self) -> impl Iterator<Item = (&File, &str)> {
        self.files.iter().filter_map(|file| file.text.as_deref().map(|text| (file, text)))
    }

    /// A tree as a test imagines it.
    #[cfg(test)]
    pub(super) fn of(files: &[(&str, &str)]) -> Self {
        let files = files
            .iter()
            .map(|(path, text)| File { path: (*path).to_owned(), text: Some((*text).to_owned()) })
            .collect();
        Self { files }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_knows_its_crate_and_name() {
        let home = |path: &str| Tree::of(&[(path, "")]).files[0].home().to_owned();
        assert_eq!(home("core/units/src/lib.rs"), "units");
        assert_eq!(home("src-tauri/src/main.rs"), "src-tauri");
        assert_eq!(home("tests/devices.rs"), "tests");
        assert_eq!(Tree::of(&[("ui/src/Zone.svelte", "")]).files[0].extension(), "svelte");
    }

    #[test]
    fn what_is_ignored_or_deleted_is_not_read() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let git = |words: &[&str]| {
            let done = Command::new("git").args(words).current_dir(folder.path()).output();
            assert!(done.expect("git runs").status.success(), "git {words:?}");
        };
        git(&["init", "--quiet"]);
        for (name, text) in [(".gitignore", "/target\n"), ("kept.rs", "a"), ("gone.rs", "b")] {
            fs::write(folder.path().join(name), text).expect("written");
        }
        git(&["add", "."]);
        fs::remove_file(folder.path().join("gone.rs")).expect("removed");
        fs::write(folder.path().join("new.rs"), "c").expect("written");
        fs::write(folder.path().join("target"), "d").expect("written");
        let tree = Tree::read(folder.path()).expect("read");
        let paths: Vec<&str> = tree.files.iter().map(|file| file.path.as_str()).collect();
        assert_eq!(paths, [".gitignore", "kept.rs", "new.rs"]);
    }
}
