//! The rules of the house that can be checked by reading: one file a rule, a finding a line.

mod code;
mod commands;
mod data_sources;
mod dependencies;
mod import_table;
mod imports;
mod lengths;
mod licence_table;
mod licences;
mod machine_traces;
mod names;
mod screens;
mod source_text;
mod top_level;
mod tree;

use crate::workspace::Workspace;
use dependencies::Package;
use tree::Tree;

/// Reads the tree and cargo's account of it, and reports every breach of every rule.
pub(crate) fn run(workspace: &Workspace) -> Result<(), String> {
    let tree = Tree::read(&workspace.root)?;
    let packages = dependencies::read(workspace)?;
    let ours: Vec<&Package> = packages.iter().filter(|package| package.is_ours).collect();
    let rules = [
        ("crates import only what the table allows", imports::check(&ours)),
        ("libraries and derives appear only where they belong", source_text::check(&tree)),
        ("files stay short", lengths::check(&tree)),
        ("files are named for what they own", names::check(&tree)),
        ("every row of data names its source", data_sources::check(&tree)),
        ("the window registers the general command only", commands::check(&tree)),
        ("screens, parts and backend keep to their layers", screens::check(&tree)),
        ("no traces of one machine", machine_traces::check(&tree, &workspace.root)),
        ("the top level holds what was agreed", top_level::check(&tree)),
        ("licences are on the list, and no OpenSSL", licences::check(&packages)),
    ];
    let mut findings = 0;
    for (rule, found) in &rules {
        println!("   {} {rule}", if found.is_empty() { "ok  " } else { "FAIL" });
        for line in found {
            println!("        {line}");
        }
        findings += found.len();
    }
    match findings {
        0 => Ok(()),
        1 => Err("tidy has 1 finding".to_owned()),
        _ => Err(format!("tidy has {findings} findings")),
    }
}
