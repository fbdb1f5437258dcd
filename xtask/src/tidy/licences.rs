//! The licences of everything the program is built from, and what it must not be built from.

use super::{
    dependencies::Package,
    licence_table::{ALLOWED, EXCEPTIONS},
};

/// One line for each package under a licence that is not allowed, or that is banned.
pub(super) fn check(packages: &[Package]) -> Vec<String> {
    let mut findings = Vec::new();
    for package in packages {
        // `openssl-probe` has the word in its name and nothing of OpenSSL in it: it tells where a
        // system keeps its certificates.
        if package.name.starts_with("openssl") && package.name != "openssl-probe" {
            findings.push(format!(
                "{} {} is OpenSSL, which every system has in another version; use rustls",
                package.name, package.version
            ));
        }
        if package.is_ours || is_excepted(package) {
            continue;
        }
        let found = match &package.licence {
            None => Some("names no licence".to_owned()),
            Some(licence) => match is_allowed(licence) {
                Ok(true) => None,
                Ok(false) => Some(format!("comes under {licence}, which is not on the list")),
                Err(reason) => Some(format!("comes under `{licence}`: {reason}")),
            },
        };
        if let Some(found) = found {
            findings.push(format!("{} {} {found}", package.name, package.version));
        }
    }
    findings
}

fn is_excepted(package: &Package) -> bool {
    EXCEPTIONS.iter().any(|(name, licence, _)| {
        *name == package.name && Some(*licence) == package.licence.as_deref()
    })
}

/// Whether an SPDX expression can be met with licences of the list.
///
/// # Errors  when the expression does not parse.
fn is_allowed(expression: &str) -> Result<bool, String> {
    // Old packages write a slash for OR.
    let spaced = expression.replace('/', " OR ").replace('(', " ( ").replace(')', " ) ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut reader = Reader { words: &words };
    let allowed = reader.any()?;
    match reader.words {
        [] => Ok(allowed),
        [word, ..] => Err(format!("`{word}` is out of place")),
    }
}

struct Reader<'a> {
    words: &'a [&'a str],
}

impl<'a> Reader<'a> {
    fn take(&mut self, word: &str) -> bool {
        let found = self.words.first() == Some(&word);
        if found {
            self.words = &self.words[1..];
        }
        found
    }

    fn next(&mut self) -> Result<&'a str, String> {
        let (first, rest) = self.words.split_first().ok_or("it ends too early")?;
        self.words = rest;
        Ok(first)
    }

    fn any(&mut self) -> Result<bool, String> {
        let mut met = self.all()?;
        while self.take("OR") {
            met |= self.all()?;
        }
        Ok(met)
    }

    fn all(&mut self) -> Result<bool, String> {
        let mut met = self.one()?;
        while self.take("AND") {
            met &= self.one()?;
        }
        Ok(met)
    }

    fn one(&mut self) -> Result<bool, String> {
        if self.take("(") {
            let met = self.any()?;
            return if self.take(")") { Ok(met) } else { Err("a bracket stays open".to_owned()) };
        }
        let name = self.next()?;
        if ["OR", "AND", "WITH", ")"].contains(&name) {
            return Err(format!("`{name}` is out of place"));
        }
        if self.take("WITH") {
            let whole = format!("{name} WITH {}", self.next()?);
            return Ok(ALLOWED.contains(&whole.as_str()));
        }
        Ok(ALLOWED.contains(&name))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn package(name: &str, licence: Option<&str>) -> Package {
        Package {
            name: name.to_owned(),
            version: "1.0.0".to_owned(),
            licence: licence.map(str::to_owned),
            is_ours: false,
            dependencies: Vec::new(),
        }
    }

    #[test]
    fn expressions_are_met_or_not() {
        for (expression, met) in [
            ("MIT", true),
            ("MIT/Apache-2.0", true),
            ("MIT OR GPL-3.0-only", true),
            ("MIT AND GPL-3.0-only", false),
            ("(MIT OR Apache-2.0) AND Unicode-3.0", true),
            ("Apache-2.0 WITH LLVM-exception OR Apache-2.0 OR MIT", true),
            ("GPL-2.0-only WITH Classpath-exception-2.0", false),
            ("LGPL-2.1-or-later", false),
            // AND binds closer than OR.
            ("MIT OR GPL-3.0-only AND GPL-2.0-only", true),
        ] {
            assert_eq!(is_allowed(expression), Ok(met), "{expression}");
        }
        for broken in ["", "MIT OR", "(MIT", "MIT ISC", "AND MIT", "Apache-2.0 WITH"] {
            assert!(is_allowed(broken).is_err(), "{broken}");
        }
    }

    #[test]
    fn packages_on_the_list_pass() {
        assert_eq!(
            check(&[
                package("a", Some("MIT")),
                package("b", Some("ISC")),
                package("openssl-probe", Some("MIT")),
            ]),
            Vec::<String>::new()
        );
    }

    #[test]
    fn others_are_found() {
        for (name, licence) in [
            ("a", Some("AGPL-3.0-only")),
            ("a", None),
            ("a", Some("MIT OR")),
            ("openssl-sys", Some("MIT")),
        ] {
            assert_eq!(check(&[package(name, licence)]).len(), 1, "{name} {licence:?}");
        }
    }
}
