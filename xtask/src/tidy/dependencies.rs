//! Every package of the build, as `cargo metadata` tells it.

use std::collections::BTreeSet;

use serde_json::Value;

use crate::{process, workspace::Workspace};

/// What a package asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Dependency {
    pub(super) name: String,
    /// Only for tests, examples and benchmarks.
    pub(super) is_for_tests: bool,
    pub(super) features: Vec<String>,
}

/// A package, ours or not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Package {
    pub(super) name: String,
    pub(super) version: String,
    pub(super) licence: Option<String>,
    pub(super) is_ours: bool,
    pub(super) dependencies: Vec<Dependency>,
}

/// Asks cargo, for all systems and with the lock file as it is.
pub(super) fn read(workspace: &Workspace) -> Result<Vec<Package>, String> {
    let said =
        process::output(workspace.cargo().args(["metadata", "--format-version", "1", "--locked"]))?;
    parse(&said)
}

fn parse(said: &str) -> Result<Vec<Package>, String> {
    let metadata: Value =
        serde_json::from_str(said).map_err(|error| format!("cargo metadata: {error}"))?;
    let ours: BTreeSet<&str> =
        list(&metadata, "workspace_members")?.iter().filter_map(Value::as_str).collect();
    list(&metadata, "packages")?
        .iter()
        .map(|package| {
            let dependencies = list(package, "dependencies")?
                .iter()
                .map(|dependency| {
                    Ok(Dependency {
                        name: text(dependency, "name")?,
                        is_for_tests: dependency["kind"].as_str() == Some("dev"),
                        features: list(dependency, "features")?
                            .iter()
                            .filter_map(Value::as_str)
                            .map(str::to_owned)
                            .collect(),
                    })
                })
                .collect::<Result<_, String>>()?;
            Ok(Package {
                name: text(package, "name")?,
                version: text(package, "version")?,
                licence: package["license"].as_str().map(str::to_owned),
                is_ours: ours.contains(text(package, "id")?.as_str()),
                dependencies,
            })
        })
        .collect()
}

fn list<'a>(value: &'a Value, key: &str) -> Result<&'a Vec<Value>, String> {
    value[key].as_array().ok_or_else(|| format!("cargo metadata has no list `{key}`"))
}

fn text(value: &Value, key: &str) -> Result<String, String> {
    value[key].as_str().map(str::to_owned).ok_or_else(|| format!("cargo metadata lacks `{key}`"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn members_and_kinds_are_told_apart() {
        let packages = parse(
            r#"{ "workspace_members": ["path+a#0.1.0"], "packages": [
              { "id": "path+a#0.1.0", "name": "a", "version": "0.1.0", "license": "MIT",
                "dependencies": [
                  { "name": "b", "kind": null, "features": ["clock"] },
                  { "name": "c", "kind": "dev", "features": [] } ] },
              { "id": "registry+b#1.0.0", "name": "b", "version": "1.0.0", "license": null,
                "dependencies": [] } ] }"#,
        )
        .expect("it is well formed");
        assert!(packages[0].is_ours && !packages[1].is_ours, "{packages:?}");
        assert_eq!(packages[0].dependencies[0].features, ["clock"]);
        assert!(packages[0].dependencies[1].is_for_tests, "{packages:?}");
        assert_eq!(packages[1].licence, None);
    }

    #[test]
    fn another_form_is_an_error() {
        assert!(parse("{}").is_err(), "no members");
        assert!(parse("nothing").is_err(), "no JSON");
    }
}
