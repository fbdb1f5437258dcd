//! The TypeScript types of the border, written from the Rust ones.

use std::{
    collections::BTreeMap,
    fs,
    path::{Path, PathBuf},
};

use crate::{process, workspace::Workspace};

/// Where the written types are committed.
const COMMITTED: &str = "ui/src/generated";

/// The program that writes them, an example of the crate that owns the types.
const EXPORTER: &str = "export-types";

/// Whether the exporter is part of this checkout.
pub(crate) fn can_export(workspace: &Workspace) -> bool {
    let examples = workspace.at("core/app/examples");
    examples.join(format!("{EXPORTER}.rs")).is_file()
        || examples.join(EXPORTER).join("main.rs").is_file()
}

/// Writes the types into the screens' folder, which afterwards holds nothing else.
pub(crate) fn write(workspace: &Workspace) -> Result<(), String> {
    let fresh = export_beside_the_build(workspace)?;
    let committed = workspace.at(COMMITTED);
    for name in read(&committed)?.keys().filter(|name| !fresh.contains_key(*name)) {
        let path = committed.join(name);
        fs::remove_file(&path).map_err(|error| format!("{}: {error}", path.display()))?;
    }
    for (name, text) in &fresh {
        let path = committed.join(name);
        let folder = path.parent().expect("a file lies in a folder");
        fs::create_dir_all(folder)
            .and_then(|()| fs::write(&path, text))
            .map_err(|error| format!("{}: {error}", path.display()))?;
    }
    println!("{} files in {COMMITTED}", fresh.len());
    Ok(())
}

/// Writes the types beside the build and compares them with the committed ones.
pub(crate) fn check(workspace: &Workspace) -> Result<(), String> {
    let fresh = export_beside_the_build(workspace)?;
    let differences = differences(&read(&workspace.at(COMMITTED))?, &fresh);
    if differences.is_empty() {
        return Ok(());
    }
    Err(format!(
        "{COMMITTED} is not what the Rust types say; `cargo xtask types` writes it again:\n{}",
        differences.join("\n")
    ))
}

fn export_beside_the_build(workspace: &Workspace) -> Result<BTreeMap<PathBuf, Vec<u8>>, String> {
    let folder = workspace.target.join("types");
    if folder.exists() {
        fs::remove_dir_all(&folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    }
    fs::create_dir_all(&folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    export(workspace, &folder)?;
    let files = read(&folder)?;
    if files.is_empty() {
        return Err(format!("the example {EXPORTER} wrote no file"));
    }
    Ok(files)
}

fn export(workspace: &Workspace, folder: &Path) -> Result<(), String> {
    process::must(
        workspace
            .cargo()
            .args([
                "run",
                "--quiet",
                "--locked",
                "-p",
                "swardbook-app",
                "--example",
                EXPORTER,
                "--",
            ])
            .arg(folder),
    )
}

fn read(folder: &Path) -> Result<BTreeMap<PathBuf, Vec<u8>>, String> {
    let mut files = BTreeMap::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(next) = folders.pop() {
        let say = |error: std::io::Error| format!("{}: {error}", next.display());
        if !next.exists() {
            continue;
        }
        for entry in fs::read_dir(&next).map_err(say)? {
            let path = entry.map_err(say)?.path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(folder).expect("found below it").to_owned();
                files.insert(name, fs::read(&path).map_err(say)?);
            }
        }
    }
    Ok(files)
}

fn differences(
    committed: &BTreeMap<PathBuf, Vec<u8>>,
    fresh: &BTreeMap<PathBuf, Vec<u8>>,
) -> Vec<String> {
    let mut lines = Vec::new();
    for (name, text) in fresh {
        match committed.get(name) {
            None => lines.push(format!("missing: {}", name.display())),
            Some(old) if old != text => lines.push(format!("differs: {}", name.display())),
            Some(_) => {}
        }
    }
    for name in committed.keys().filter(|name| !fresh.contains_key(*name)) {
        lines.push(format!("no longer written: {}", name.display()));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder(files: &[(&str, &str)]) -> BTreeMap<PathBuf, Vec<u8>> {
        files.iter().map(|(name, text)| (PathBuf::from(name), text.as_bytes().to_vec())).collect()
    }

    #[test]
    fn the_same_files_have_no_differences() {
        let files = folder(&[("Zone.ts", "export type Zone = string;")]);
        assert_eq!(differences(&files, &files), Vec::<String>::new());
    }

    #[test]
    fn every_kind_of_difference_is_named() {
        let committed = folder(&[("Old.ts", "a"), ("Zone.ts", "a")]);
        let fresh = folder(&[("New.ts", "a"), ("Zone.ts", "b")]);
        assert_eq!(
            differences(&committed, &fresh),
            ["missing: New.ts", "differs: Zone.ts", "no longer written: Old.ts"]
        );
    }
}
