//! What a machine needs before anything here can be built, and installing it.
//!
//! Nothing is downloaded from a web page: the pieces come from the system's packages, and Node from
//! there or from a package of the Python registry.

mod apt;
mod needs;
mod node;
mod other;

use std::{
    collections::hash_map::DefaultHasher,
    fs,
    hash::{Hash, Hasher},
    process::Command,
};

use needs::Need;
pub(crate) use node::Node;

use crate::{process, workspace::Workspace};

/// A machine on which everything can be built.
#[derive(Debug, Clone)]
pub(crate) struct Ready {
    /// The Node that builds the screens.
    pub(crate) node: Node,
}

/// Brings the machine to where everything can be built; quick when it is already there.
pub(crate) fn run(workspace: &Workspace) -> Result<Ready, String> {
    let needs = needs(workspace)?;
    if apt::is_here() {
        apt::install_missing(&needs)?;
    } else {
        other::check(&needs)?;
    }
    let node = node::provide(workspace)?;
    println!("   Node {} from {} ({})", node.version, node.origin, node.folder.display());
    Ok(Ready { node })
}

/// Brings the screens' libraries to what their lock file says.
///
/// A stamp beside them tells for which lock file and which Node they were installed, so an
/// unchanged set is left alone.
pub(crate) fn install_screen_libraries(workspace: &Workspace, node: &Node) -> Result<(), String> {
    let ui = workspace.at("ui");
    let lock = ui.join("package-lock.json");
    let text = fs::read(&lock).map_err(|error| format!("{}: {error}", lock.display()))?;
    let mut hasher = DefaultHasher::new();
    (text, &node.version).hash(&mut hasher);
    let wanted = format!("{:016x}\n", hasher.finish());
    let stamp = ui.join("node_modules/.installed-for");
    if fs::read_to_string(&stamp).is_ok_and(|found| found == wanted) {
        println!("   as package-lock.json says already");
        return Ok(());
    }
    process::must(npm(workspace, node).arg("ci"))?;
    // A package without any library leaves no folder behind.
    fs::create_dir_all(ui.join("node_modules"))
        .and_then(|()| fs::write(&stamp, wanted))
        .map_err(|error| format!("{}: {error}", stamp.display()))
}

/// An npm command in the screens' folder.
pub(crate) fn npm(workspace: &Workspace, node: &Node) -> Command {
    let mut command = node.command("npm");
    command.current_dir(workspace.at("ui"));
    command
}

fn needs(workspace: &Workspace) -> Result<Vec<Need>, String> {
    let mut needs = Vec::new();
    for list in ["xtask/apt-packages.txt", "src-tauri/apt-packages.txt"] {
        let path = workspace.at(list);
        if path.is_file() {
            let text = fs::read_to_string(&path)
                .map_err(|error| format!("{}: {error}", path.display()))?;
            needs.extend(needs::parse(&text));
        }
    }
    Ok(needs)
}
