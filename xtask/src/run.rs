//! The app with a season already in it, or that season in the terminal where there is no display.

use std::{
    collections::hash_map::DefaultHasher,
    fs,
    hash::{Hash, Hasher},
    path::{Path, PathBuf},
    process::Command,
};

use crate::{
    process,
    setup::{self, Ready},
    workspace::Workspace,
};

/// Sets up, builds, and shows the demo season.
pub(crate) fn run(workspace: &Workspace) -> Result<(), String> {
    println!("== set-up");
    let ready = setup::run(workspace)?;
    println!("\n== build");
    build(workspace, "swardbook-cli")?;
    let program = workspace.built("swardbook");
    let demo = Demo::prepare(&workspace.target.join("demo"), &program)?;
    if workspace.has_window() && has_display() {
        open_window(workspace, &ready, &demo.notebook)
    } else {
        print_season(workspace, &program, &demo);
        Ok(())
    }
}

/// Builds the screens and the window, and opens it on the notebook; returns when it is closed.
fn open_window(workspace: &Workspace, ready: &Ready, notebook: &Path) -> Result<(), String> {
    println!("\n== screens");
    setup::install_screen_libraries(workspace, &ready.node)?;
    process::must(setup::npm(workspace, &ready.node).args(["run", "build"]))?;
    println!("\n== window");
    build(workspace, "swardbook-desktop")?;
    println!("   the notebook lies in {}", notebook.display());
    process::must(
        Command::new(workspace.built("swardbook-desktop")).arg("--notebook").arg(notebook),
    )
}

fn print_season(workspace: &Workspace, program: &Path, demo: &Demo) {
    println!("\n== the demo season\n\n{}", demo.said.trim_end());
    println!(
        "Look further with:  {} --notebook {} --help",
        program.display(),
        demo.notebook.display()
    );
    if workspace.has_window() {
        println!("There is no display here; on a desktop the same command opens the window.");
    }
}

fn build(workspace: &Workspace, package: &str) -> Result<(), String> {
    process::must(workspace.cargo().args(["build", "--locked", "-p", package]))
}

fn has_display() -> bool {
    let is_set = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    !cfg!(target_os = "linux") || is_set("DISPLAY") || is_set("WAYLAND_DISPLAY")
}

/// The demo notebook and what the program said when it wrote it.
///
/// Its folder holds the notebook, those words, and a marker; only a folder with the marker is ever
/// deleted, since only that one is surely ours.
#[derive(Debug)]
struct Demo {
    notebook: PathBuf,
    said: String,
}

const MARKER: &str = "made-by-cargo-xtask-run";
const WORDS: &str = "season.txt";

impl Demo {
    /// Takes the demo as it lies there when the same program made it, and makes it otherwise.
    fn prepare(folder: &Path, program: &Path) -> Result<Self, String> {
        let made_by = fingerprint(program)?;
        let notebook = folder.join("notebook");
        if let Some(said) = reusable(folder, &made_by) {
            println!("   the demo season is there already");
            return Ok(Self { notebook, said });
        }
        clear(folder)?;
        let say = |error: std::io::Error| format!("{}: {error}", folder.display());
        fs::create_dir_all(folder).map_err(say)?;
        // First, so that a season cut short is known as ours; only the words complete it.
        fs::write(folder.join(MARKER), &made_by).map_err(say)?;
        let said = process::output(Command::new(program).arg("demo").arg(&notebook))?;
        fs::write(folder.join(WORDS), &said).map_err(say)?;
        Ok(Self { notebook, said })
    }
}

fn reusable(folder: &Path, made_by: &str) -> Option<String> {
    let marker = fs::read_to_string(folder.join(MARKER)).ok()?;
    (marker == made_by && folder.join("notebook").is_dir())
        .then(|| fs::read_to_string(folder.join(WORDS)).ok())
        .flatten()
}

/// Makes room for a new demo without touching what somebody else put there.
fn clear(folder: &Path) -> Result<(), String> {
    if !folder.exists() {
        return Ok(());
    }
    if !folder.join(MARKER).is_file() {
        return Err(format!(
            "{} exists and was not made by this command; move it away and start again.",
            folder.display()
        ));
    }
    println!("   the demo season is of another build and is made again");
    fs::remove_dir_all(folder).map_err(|error| format!("{}: {error}", folder.display()))
}

/// The same for the same program only.
fn fingerprint(program: &Path) -> Result<String, String> {
    let bytes = fs::read(program).map_err(|error| format!("{}: {error}", program.display()))?;
    let mut hasher = DefaultHasher::new();
    bytes.hash(&mut hasher);
    Ok(format!("{} {:016x}\n", env!("CARGO_PKG_VERSION"), hasher.finish()))
}

#[cfg(all(test, unix))]
mod tests {
    use std::os::unix::fs::PermissionsExt;

    use super::*;

    /// A stand-in that makes the folder it is told to and counts its runs in what it says.
    fn program(folder: &Path, word: &str) -> PathBuf {
        let path = folder.join("program");
        fs::write(&path, format!("#!/bin/sh\nset -e\nmkdir \"$2\"\necho \"$1 {word}\"\n"))
            .expect("the scratch folder can be written");
        fs::set_permissions(&path, fs::Permissions::from_mode(0o755))
            .expect("the scratch folder can be written");
        path
    }

    #[test]
    fn the_same_program_finds_its_demo_again_and_another_makes_it_anew() {
        let scratch = tempfile::tempdir().expect("a scratch folder");
        let folder = scratch.path().join("demo");
        let first = program(scratch.path(), "one");
        let demo = Demo::prepare(&folder, &first).expect("made");
        assert_eq!(demo.said, "demo one\n");
        fs::write(demo.notebook.join("note"), "mine").expect("written");

        let demo = Demo::prepare(&folder, &first).expect("found again");
        assert_eq!(demo.said, "demo one\n");
        assert!(demo.notebook.join("note").exists(), "the same program keeps what is there");

        let second = program(scratch.path(), "two");
        let demo = Demo::prepare(&folder, &second).expect("made again");
        assert_eq!(demo.said, "demo two\n");
        assert!(!demo.notebook.join("note").exists(), "another program starts anew");
    }

    #[test]
    fn a_season_cut_short_is_made_again() {
        let scratch = tempfile::tempdir().expect("a scratch folder");
        let folder = scratch.path().join("demo");
        let program = program(scratch.path(), "one");
        fs::create_dir_all(folder.join("notebook")).expect("made");
        fs::write(folder.join(MARKER), fingerprint(&program).expect("read")).expect("written");
        assert_eq!(Demo::prepare(&folder, &program).expect("made again").said, "demo one\n");
    }

    #[test]
    fn a_folder_of_somebody_else_is_left_alone() {
        let scratch = tempfile::tempdir().expect("a scratch folder");
        let folder = scratch.path().join("demo");
        fs::create_dir_all(folder.join("notebook")).expect("made");
        let program = program(scratch.path(), "one");
        let reason = Demo::prepare(&folder, &program).expect_err("it must refuse");
        assert!(reason.contains("was not made by this command"), "{reason}");
        assert!(folder.join("notebook").is_dir(), "nothing was deleted");
    }
}
