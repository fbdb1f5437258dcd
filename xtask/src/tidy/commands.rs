//! The commands that the window registers: one that asks the core anything, and the few that need
//! the system.
//!
//! What the core can be asked is checked by the compiler, since the map the screens call by is
//! written from the same list that answers.

use super::{code, tree::Tree};

const WINDOW: &str = "src-tauri/src/";

/// The window's own commands, each with what it is for.
const OWN: &[(&str, &str)] = &[
    ("call", "asks the core"),
    ("call_watched", "asks the core for something long and hears how far it is"),
    ("create", "makes a notebook"),
    ("pick_file", "opens the system's file chooser"),
    ("pick_photos", "opens the system's chooser for several photos or a folder"),
    ("reopen", "opens the notebook once more"),
    ("start", "tells how the window started"),
    ("stop", "has something long stopped"),
    ("taken_piece", "takes in a photo of the web view's own camera, which has no path"),
];

/// One line for each registered command that should be one of the core's, and for a window without
/// the general one.
pub(super) fn check(tree: &Tree) -> Vec<String> {
    let texts = || tree.texts().filter(|(file, _)| file.path.starts_with(WINDOW));
    if texts().next().is_none() {
        return Vec::new();
    }
    let Some(registered) = texts().find_map(|(_, text)| registered(text)) else {
        return vec![format!("{WINDOW} registers no commands with generate_handler!")];
    };
    let mut findings: Vec<String> = registered
        .iter()
        .filter(|name| OWN.iter().all(|(own, _)| own != name))
        .map(|name| {
            format!(
                "the window registers `{name}`; make it a command of core/app, which `call` asks"
            )
        })
        .collect();
    if !registered.iter().any(|name| name == "call") {
        findings.push("the window does not register `call`, by which the core is asked".to_owned());
    }
    findings
}

/// The names in `generate_handler![...]`, without their paths.
fn registered(rust: &str) -> Option<Vec<String>> {
    let code = code::without_words(rust);
    let (_, after) = code.split_once("generate_handler!")?;
    let after = after.trim_start().strip_prefix(['[', '(', '{'])?;
    let inside = &after[..after.find([']', ')', '}'])?];
    let names = inside
        .split(',')
        .filter_map(|path| path.trim().rsplit("::").next().map(str::trim))
        .filter(|name| !name.is_empty())
        .map(str::to_owned);
    Some(names.collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn findings(handler: &str) -> Vec<String> {
        let text = format!("fn main() {{ builder.invoke_handler({handler}); }}");
        check(&Tree::of(&[("src-tauri/src/lib.rs", &text)]))
    }

    #[test]
    fn the_general_command_and_the_systems_own_pass() {
        let handler = "tauri::generate_handler![commands::call, commands::pick_file,]";
        assert_eq!(findings(handler), Vec::<String>::new());
        assert_eq!(check(&Tree::of(&[("core/app/src/lib.rs", "")])), Vec::<String>::new());
    }

    #[test]
    fn a_command_of_the_core_in_the_window_is_found() {
        assert_eq!(
            findings("tauri::generate_handler![commands::call, commands::zone::list_zones]"),
            ["the window registers `list_zones`; make it a command of core/app, which `call` asks"]
        );
    }

    #[test]
    fn a_window_that_cannot_ask_is_found() {
        assert_eq!(findings("tauri::generate_handler![start]").len(), 1);
        assert_eq!(findings("nothing").len(), 1);
    }
}
