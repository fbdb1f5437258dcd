//! What our crates ask for, against the table.

use super::{
    dependencies::Package,
    import_table::{KEPT, KEPT_FEATURES, ROWS, TESTKIT},
};

/// One line for each dependency that the table does not allow.
pub(super) fn check(ours: &[&Package]) -> Vec<String> {
    let mut findings = Vec::new();
    for package in ours {
        let name = &package.name;
        let Some(row) = ROWS.iter().find(|row| row.package == name) else {
            findings.push(format!(
                "{name} has no row in xtask/src/tidy/import_table.rs; give it one with what it may import"
            ));
            continue;
        };
        for dependency in &package.dependencies {
            let wanted = dependency.name.as_str();
            let is_our_own = wanted.starts_with("swardbook-");
            let is_allowed = row.may_import.contains(&wanted)
                || (dependency.is_for_tests && (wanted == TESTKIT || wanted == name));
            if is_our_own && !is_allowed {
                findings.push(format!("{name} may not import {wanted}"));
            }
            for kept in KEPT.iter().filter(|kept| stands_for(kept.library, wanted)) {
                if !kept.only_in.contains(&name.as_str()) {
                    findings.push(format!("{name} may not import {wanted}: {}", kept.reason));
                }
            }
            for (library, features, only_in, reason) in KEPT_FEATURES {
                if *library == wanted && !only_in.contains(&name.as_str()) {
                    for feature in &dependency.features {
                        if features.contains(&feature.as_str()) {
                            findings.push(format!(
                                "{name} may not turn on {wanted}'s `{feature}`: {reason}"
                            ));
                        }
                    }
                }
            }
        }
    }
    findings
}

fn stands_for(pattern: &str, name: &str) -> bool {
    match pattern.strip_suffix('*') {
        Some(start) => name.starts_with(start),
        None => name == pattern,
    }
}

#[cfg(test)]
mod tests {
    use super::{super::dependencies::Dependency, *};

    fn findings(package: &str, dependency: &str, is_for_tests: bool, feature: &str) -> Vec<String> {
        let package = Package {
            name: package.to_owned(),
            version: "0.1.0".to_owned(),
            licence: None,
            is_ours: true,
            dependencies: vec![Dependency {
                name: dependency.to_owned(),
                is_for_tests,
                features: vec![feature.to_owned()],
            }],
        };
        check(&[&package])
    }

    #[test]
    fn what_the_table_allows_passes() {
        for (package, dependency, is_for_tests, feature) in [
            ("swardbook-agronomy", "swardbook-units", false, ""),
            ("swardbook-journal", "automerge", false, ""),
            ("swardbook-units", "chrono", false, "std"),
            ("swardbook-app", "chrono", false, "clock"),
            ("swardbook-journal", "swardbook-testkit", true, ""),
            ("swardbook-cli", "clap", false, "derive"),
            ("swardbook-desktop", "tauri-build", false, ""),
            ("swardbook-units", "thiserror", false, ""),
        ] {
            let found = findings(package, dependency, is_for_tests, feature);
            assert!(found.is_empty(), "{found:?}");
        }
    }

    #[test]
    fn a_breach_names_the_crate_and_what_it_imports() {
        for (package, dependency, is_for_tests, feature) in [
            ("swardbook-units", "swardbook-stats", false, ""),
            ("swardbook-journal", "swardbook-store", true, ""),
            ("swardbook-app", "swardbook-testkit", false, ""),
            ("swardbook-store", "automerge", true, ""),
            ("swardbook-app", "redb", false, ""),
            ("swardbook-app", "iroh-blobs", false, ""),
            ("swardbook-app", "tauri", false, ""),
            ("swardbook-desktop", "swardbook-store", false, ""),
            ("swardbook-report", "ts-rs", false, ""),
            ("swardbook-app", "clap", false, ""),
            ("swardbook-journal", "chrono", false, "clock"),
            ("swardbook-imaging", "image", false, ""),
        ] {
            let found = findings(package, dependency, is_for_tests, feature);
            assert_eq!(found.len(), 1, "{package} -> {dependency}: {found:?}");
            assert!(found[0].contains(package) && found[0].contains(dependency), "{found:?}");
        }
    }

    #[test]
    fn a_crate_without_a_row_is_a_finding() {
        let found = findings("swardbook-weather", "thiserror", false, "");
        assert!(found[0].starts_with("swardbook-weather has no row"), "{found:?}");
    }
}
