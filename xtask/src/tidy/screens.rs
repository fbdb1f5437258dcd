//! The layers of the screens: who may import what in `ui/src`.

use super::tree::Tree;

const SCREENS: &str = "ui/src/";

/// One line for each import across the layers.
pub(super) fn check(tree: &Tree) -> Vec<String> {
    let mut findings = Vec::new();
    for (file, text) in tree.texts() {
        let Some(path) = file.path.strip_prefix(SCREENS) else { continue };
        if !["ts", "svelte"].contains(&file.extension()) {
            continue;
        }
        let layer = path.split('/').next().unwrap_or_default();
        for (number, line) in text.lines().enumerate() {
            if let Some(reason) = breach(path, layer, line) {
                findings.push(format!("{}:{}: {reason}", file.path, number + 1));
            }
        }
    }
    findings
}

fn breach(path: &str, layer: &str, line: &str) -> Option<&'static str> {
    let from = line.split_once(" from ").map_or(line, |(_, from)| from);
    if !from.contains('"') || !(line.contains(" from ") || line.trim_start().starts_with("import"))
    {
        return None;
    }
    let names_types_only = line.trim_start().starts_with("import type");
    if layer != "backend" && from.contains("\"@tauri-apps/") {
        return Some("only ui/src/backend talks to the window's shell");
    }
    if layer == "parts" && !names_types_only {
        if from.contains("/backend") || from.contains("/state/") {
            return Some("a part takes what it shows and asks for nothing");
        }
        if from.contains("/screens/") {
            return Some("a part belongs to no screen");
        }
    }
    if layer == "screens" && reaches_another_screen(path, from) {
        return Some("screens do not import screens; what two share is a part");
    }
    None
}

/// Whether a path out of `screens/NAME/` leads into another folder of `screens`.
fn reaches_another_screen(path: &str, from: &str) -> bool {
    let own_depth = path.split('/').count() - 2;
    let Some(target) = from.split('"').nth(1) else { return false };
    let ups = target.split('/').take_while(|step| *step == "..").count();
    if target.contains("/screens/") {
        return true;
    }
    // One step up from `screens/zone/` is `screens/`, whatever comes next is a screen.
    ups > 0 && ups == own_depth
}

#[cfg(test)]
mod tests {
    use super::*;

    fn findings(path: &str, text: &str) -> Vec<String> {
        check(&Tree::of(&[(path, text)]))
    }

    #[test]
    fn imports_downwards_pass() {
        for (path, text) in [
            ("ui/src/backend/tauri.ts", "import { invoke } from \"@tauri-apps/api/core\";"),
            (
                "ui/src/screens/zone/Zone.svelte",
                "import Button from \"../../parts/Button.svelte\";",
            ),
            ("ui/src/screens/zone/Zone.svelte", "import Season from \"./Season.svelte\";"),
            ("ui/src/screens/zone/rows/Row.svelte", "import Zone from \"../Zone.svelte\";"),
            ("ui/src/parts/Notice.svelte", "import type { Refusal } from \"../backend\";"),
            ("ui/src/App.svelte", "import { backend } from \"./backend\";"),
        ] {
            assert_eq!(findings(path, text), Vec::<String>::new(), "{path}: {text}");
        }
    }

    #[test]
    fn imports_across_are_found() {
        for (path, text) in [
            ("ui/src/state/query.svelte.ts", "import { invoke } from \"@tauri-apps/api/core\";"),
            ("ui/src/parts/Notice.svelte", "import { backend } from \"../backend\";"),
            ("ui/src/parts/Notice.svelte", "import { router } from \"../state/router.svelte\";"),
            ("ui/src/screens/zone/Zone.svelte", "import Bench from \"../bench/Bench.svelte\";"),
            (
                "ui/src/screens/zone/rows/Row.svelte",
                "import Bench from \"../../bench/Bench.svelte\";",
            ),
        ] {
            let found = findings(path, text);
            assert_eq!(found.len(), 1, "{path}: {text}: {found:?}");
            assert!(found[0].starts_with(&format!("{path}:1: ")), "{found:?}");
        }
    }
}
