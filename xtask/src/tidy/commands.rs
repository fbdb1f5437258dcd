//! The commands that the window registers, against the map that the screens call by.

use std::collections::BTreeSet;

use super::{code, tree::Tree};

const WINDOW: &str = "src-tauri/src/";
const GENERATED: &str = "ui/src/generated/";

/// The generated type whose keys are the commands' names.
const MAP: &str = "Commands";

/// One line for each command on one side only; nothing to compare is no finding.
pub(super) fn check(tree: &Tree) -> Vec<String> {
    let below = |start: &'static str| {
        tree.texts().filter(move |(file, _)| file.path.starts_with(start)).map(|(_, text)| text)
    };
    let registered: Option<BTreeSet<String>> = below(WINDOW).find_map(registered);
    let mapped: Option<BTreeSet<String>> = below(GENERATED).find_map(mapped);
    let has = |start: &str| tree.files.iter().any(|file| file.path.starts_with(start));
    match (registered, mapped) {
        (Some(registered), Some(mapped)) => {
            let unmapped = registered
                .difference(&mapped)
                .map(|name| format!("the window registers `{name}`, which is not in the map"));
            let unregistered = mapped
                .difference(&registered)
                .map(|name| format!("the map has `{name}`, which the window does not register"));
            unmapped.chain(unregistered).collect()
        }
        (None, _) if has(WINDOW) && has(GENERATED) => {
            vec![format!("{WINDOW} registers no commands with generate_handler!")]
        }
        (_, None) if has(WINDOW) && has(GENERATED) => {
            vec![format!("{GENERATED} has no type `{MAP}`")]
        }
        // One side is not there yet.
        _ => Vec::new(),
    }
}

/// The names in `generate_handler![...]`, without their paths.
fn registered(rust: &str) -> Option<BTreeSet<String>> {
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

/// The keys of the map's own braces, whatever nests in them.
fn mapped(typescript: &str) -> Option<BTreeSet<String>> {
    let start = [format!("export type {MAP} ="), format!("export interface {MAP} ")]
        .into_iter()
        .find_map(|head| typescript.find(&head).map(|at| at + head.len()))?;
    let body = typescript[start..].trim_start().strip_prefix('{')?;
    let mut names = BTreeSet::new();
    let mut depth = 0_usize;
    let mut word = String::new();
    let mut letters = body.chars().peekable();
    while let Some(letter) = letters.next() {
        match letter {
            '/' if letters.peek() == Some(&'*') => {
                let mut last = ' ';
                letters.next();
                for letter in letters.by_ref() {
                    if last == '*' && letter == '/' {
                        break;
                    }
                    last = letter;
                }
            }
            '{' | '[' | '(' | '<' => depth += 1,
            '}' if depth == 0 => break,
            '}' | ']' | ')' | '>' => depth = depth.saturating_sub(1),
            ':' if depth == 0 => {
                names.insert(word.trim().trim_matches(['"', '\'', '?']).to_owned());
            }
            ',' | ';' if depth == 0 => word.clear(),
            _ if depth == 0 => word.push(letter),
            _ => {}
        }
    }
    Some(names)
}

#[cfg(test)]
mod tests {
    use super::*;

    const WINDOW_CODE: &str = "fn main() { builder.invoke_handler(tauri::generate_handler![commands::open, commands::zone::list_zones,]); }";

    fn findings(map: &str) -> Vec<String> {
        check(&Tree::of(&[
            ("src-tauri/src/main.rs", WINDOW_CODE),
            ("ui/src/generated/Commands.ts", map),
        ]))
    }

    #[test]
    fn the_same_names_pass() {
        let map = "import type { A } from \"./A\";\n\nexport type Commands = {\n/** Opens: a notebook. */\nopen: [{ path: string, }, A],\n\"list_zones\": [null, Array<A>], };\n";
        assert_eq!(findings(map), Vec::<String>::new());
    }

    #[test]
    fn a_name_on_one_side_is_found() {
        assert_eq!(
            findings("export type Commands = { open: [null, null], close: [null, null] };"),
            [
                "the window registers `list_zones`, which is not in the map",
                "the map has `close`, which the window does not register",
            ]
        );
        assert_eq!(
            findings("export type Zone = string;"),
            ["ui/src/generated/ has no type `Commands`"]
        );
    }

    #[test]
    fn one_side_alone_is_nothing_to_compare() {
        assert_eq!(
            check(&Tree::of(&[("src-tauri/src/main.rs", WINDOW_CODE)])),
            Vec::<String>::new()
        );
    }
}
