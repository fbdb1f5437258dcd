//! Where the project lies, where it is built, and what cargo knows about it.

use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::process;

/// The checkout and its build folder.
#[derive(Debug, Clone)]
pub(crate) struct Workspace {
    /// The top level of the checkout.
    pub(crate) root: PathBuf,
    /// Where cargo puts what it builds, inside the checkout or not.
    pub(crate) target: PathBuf,
}

impl Workspace {
    /// Asks cargo, which also honours `CARGO_TARGET_DIR`.
    pub(crate) fn find() -> Result<Self, String> {
        let mut command = process::cargo();
        command.args(["metadata", "--format-version", "1", "--no-deps"]);
        if let Some(folder) = std::env::var_os("CARGO_MANIFEST_DIR") {
            command.current_dir(folder);
        }
        let metadata: Value = serde_json::from_str(&process::output(&mut command)?)
            .map_err(|error| format!("what cargo said of the workspace is not JSON: {error}"))?;
        let path = |key: &str| {
            metadata[key]
                .as_str()
                .map(PathBuf::from)
                .ok_or_else(|| format!("cargo did not tell the workspace's `{key}`"))
        };
        Ok(Self { root: path("workspace_root")?, target: path("target_directory")? })
    }

    /// A path inside the checkout.
    pub(crate) fn at(&self, path: impl AsRef<Path>) -> PathBuf {
        self.root.join(path)
    }

    /// A program as `cargo build` leaves it.
    pub(crate) fn built(&self, program: &str) -> PathBuf {
        self.target.join("debug").join(format!("{program}{}", std::env::consts::EXE_SUFFIX))
    }

    /// A cargo command that runs at the top level.
    pub(crate) fn cargo(&self) -> std::process::Command {
        let mut command = process::cargo();
        command.current_dir(&self.root);
        command
    }

    /// Whether the desktop window is part of this checkout.
    pub(crate) fn has_window(&self) -> bool {
        self.at("src-tauri/Cargo.toml").is_file()
    }

    /// Whether the screens are part of this checkout.
    pub(crate) fn has_screens(&self) -> bool {
        self.at("ui/package.json").is_file()
    }
}
