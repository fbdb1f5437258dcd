//! Paths and hosts of one machine, which work nowhere else and tell of whoever wrote them.

use std::path::Path;

use serde_json::Value;

use super::tree::{File, Tree};

/// The one index that a locked crate may come from.
const CRATES: &str = "registry+https://github.com/rust-lang/crates.io-index";

/// One line for each trace.
pub(super) fn check(tree: &Tree, root: &Path) -> Vec<String> {
    let mut findings = Vec::new();
    for (file, text) in tree.texts() {
        paths(file, text, root, &mut findings);
        match file.name() {
            "Cargo.lock" => crates(file, text, &mut findings),
            "package-lock.json" => libraries(file, text, &mut findings),
            ".npmrc" | "pip.conf" => settings(file, text, &mut findings),
            _ if file.path.starts_with(".cargo/") => settings(file, text, &mut findings),
            _ => {}
        }
    }
    findings
}

fn paths(file: &File, text: &str, root: &Path, findings: &mut Vec<String>) {
    // A checkout straight below `/` would be found in half of all texts.
    let root = (root.components().count() > 2).then(|| root.to_string_lossy().into_owned());
    for (number, line) in text.lines().enumerate() {
        let of_somebody = ["/home/", "/Users/", "/root/", "C:\\Users\\", "C:/Users/"]
            .into_iter()
            .find(|start| begins_a_path(line, start));
        let of_this_checkout = root.as_deref().filter(|root| begins_a_path(line, root));
        if let Some(found) = of_somebody.or(of_this_checkout) {
            findings.push(format!(
                "{}:{}: a path of one machine, `{found}`",
                file.path,
                number + 1
            ));
        }
    }
}

/// Whether `start` stands in the line as the beginning of a longer path, not in the midst of one.
fn begins_a_path(line: &str, start: &str) -> bool {
    line.match_indices(start).any(|(at, _)| {
        let before = line[..at].chars().next_back();
        let after = line[at + start.len()..].chars().next();
        let in_the_midst =
            before.is_some_and(|letter| letter.is_alphanumeric() || "._-/}~$*".contains(letter));
        let goes_on =
            after.is_some_and(|letter| letter.is_alphanumeric() || "/._-".contains(letter));
        !in_the_midst && goes_on
    })
}

fn crates(file: &File, text: &str, findings: &mut Vec<String>) {
    for line in text.lines() {
        if let Some(source) = line.strip_prefix("source = ")
            && source.trim_matches('"') != CRATES
        {
            findings.push(format!("{}: a crate from elsewhere: {source}", file.path));
        }
    }
}

/// The lock file names no host at all, so that every machine asks the registry it is set up for.
fn libraries(file: &File, text: &str, findings: &mut Vec<String>) {
    let lock: Value = match serde_json::from_str(text) {
        Ok(lock) => lock,
        Err(error) => {
            findings.push(format!("{}: {error}", file.path));
            return;
        }
    };
    let Some(packages) = lock["packages"].as_object() else { return };
    let hosts: Vec<&str> =
        packages.values().filter_map(|package| package["resolved"].as_str()).collect();
    if let Some(first) = hosts.iter().find(|url| url.contains("://")) {
        findings.push(format!(
            "{}: {} packages name the host they came from, such as {first}; write it again with \
             `npm install --package-lock-only --omit-lockfile-registry-resolved`",
            file.path,
            hosts.len()
        ));
    }
}

fn settings(file: &File, text: &str, findings: &mut Vec<String>) {
    for (number, line) in text.lines().enumerate() {
        let line = line.trim();
        if !line.starts_with(['#', ';']) && line.contains("://") {
            findings.push(format!(
                "{}:{}: a registry of one machine; leave it to that machine's own settings",
                file.path,
                number + 1
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn findings(path: &str, text: &str) -> Vec<String> {
        check(&Tree::of(&[(path, text)]), Path::new("/srv/checkouts/sward"))
    }

    #[test]
    fn what_holds_on_every_machine_passes() {
        for (path, text) in [
            ("README.md", "Put it under ~/swardbook or $HOME/swardbook.\n"),
            ("README.md", "See ui/home/screen.ts and https://example.org/home/page.\n"),
            ("core/app/src/lib.rs", "let a = \"/home\";\n"),
            ("Cargo.lock", &format!("source = \"{CRATES}\"\n")),
            ("ui/package-lock.json", r#"{"packages": {"node_modules/a": {"version": "1.0.0"}}}"#),
            (
                "ui/package-lock.json",
                r#"{"packages": {"a": {"resolved": "packages/a", "link": true}}}"#,
            ),
            (".cargo/config.toml", "[alias]\n# see https://doc.rust-lang.org\nxtask = \"run\"\n"),
        ] {
            assert_eq!(findings(path, text), Vec::<String>::new(), "{path}: {text}");
        }
    }

    #[test]
    fn traces_are_found() {
        // Put together here, so that this file has none itself.
        let home = ["", "home", "tamsin", "notes"].join("/");
        let mac = ["", "Users", "tamsin"].join("/");
        let registry = ["https:/", "registry.example.org", "a.tgz"].join("/");
        for (path, text) in [
            ("README.md", format!("cd {home}\n")),
            ("core/app/src/lib.rs", format!("let a = \"{mac}\";\n")),
            ("README.md", "open /srv/checkouts/sward/Cargo.toml\n".to_owned()),
            ("Cargo.lock", format!("source = \"registry+{registry}\"\n")),
            (
                "ui/package-lock.json",
                format!(r#"{{"packages": {{"a": {{"resolved": "{registry}"}}}}}}"#),
            ),
            ("ui/package-lock.json", "no JSON".to_owned()),
            ("ui/.npmrc", format!("registry={registry}\n")),
            (".cargo/config.toml", format!("index = \"sparse+{registry}\"\n")),
        ] {
            let found = findings(path, &text);
            assert_eq!(found.len(), 1, "{path}: {text}: {found:?}");
        }
    }
}
