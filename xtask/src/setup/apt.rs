//! Debian, Ubuntu and their kin: which packages are missing, and installing them.

use std::{
    collections::BTreeSet,
    fs,
    process::Command,
    sync::atomic::{AtomicBool, Ordering},
};

use super::needs::{Need, Sign};
use crate::process;

/// Whether this system is of Debian's family and has its tools.
pub(crate) fn is_here() -> bool {
    fs::read_to_string("/etc/os-release").is_ok_and(|text| is_debian_kin(&text))
        && process::find("dpkg-query").is_some()
        && process::find("apt-get").is_some()
}

fn is_debian_kin(os_release: &str) -> bool {
    os_release
        .lines()
        .filter_map(|line| line.strip_prefix("ID=").or_else(|| line.strip_prefix("ID_LIKE=")))
        .flat_map(|value| value.trim_matches('"').split_whitespace())
        .any(|word| word == "debian" || word == "ubuntu")
}

/// Installs what the list names and the system lacks, then looks for what it should have brought.
pub(crate) fn install_missing(needs: &[Need]) -> Result<(), String> {
    let names: Vec<&str> = needs.iter().map(|need| need.package.as_str()).collect();
    let missing = missing(&names);
    if missing.is_empty() {
        println!("   {} system packages are there", names.len());
    } else {
        println!("   missing system packages: {}", missing.join(" "));
        install(&missing)?;
    }
    for need in needs {
        for sign in &need.brings {
            if let Sign::Program(program) = sign
                && process::find(program).is_none()
            {
                return Err(format!(
                    "the package {} is installed, but `{program}` is not in the search path",
                    need.package
                ));
            }
        }
    }
    Ok(())
}

/// Those of the packages that are not installed.
pub(crate) fn missing<'a>(packages: &[&'a str]) -> Vec<&'a str> {
    let mut query = Command::new("dpkg-query");
    query.args(["-W", "-f=${Package} ${db:Status-Status}\n"]).args(packages);
    // The exit status only says that some name is unknown; the lines say which are installed.
    let said = query.output().map(|done| done.stdout).unwrap_or_default();
    not_installed(packages, &String::from_utf8_lossy(&said))
}

fn not_installed<'a>(packages: &[&'a str], said: &str) -> Vec<&'a str> {
    let installed: BTreeSet<&str> =
        said.lines().filter_map(|line| line.strip_suffix(" installed")).collect();
    packages.iter().copied().filter(|name| !installed.contains(name)).collect()
}

/// Installs packages as root or by way of sudo; otherwise the error is the command to type.
pub(crate) fn install(packages: &[&str]) -> Result<(), String> {
    if root_prefix().is_none() {
        return Err(format!(
            "These system packages are missing and installing them needs an administrator.\n\
             Run this, then the same command again:\n\n    \
             sudo apt-get update && sudo apt-get install --no-install-recommends {}\n",
            packages.join(" ")
        ));
    }
    update_lists()?;
    process::must(apt_get()?.args(["install", "-y", "--no-install-recommends"]).args(packages))
}

/// Fetches the lists of packages, once in a run.
pub(crate) fn update_lists() -> Result<(), String> {
    static DONE: AtomicBool = AtomicBool::new(false);
    if !DONE.swap(true, Ordering::Relaxed) {
        process::must(apt_get()?.arg("update"))?;
    }
    Ok(())
}

fn apt_get() -> Result<Command, String> {
    let prefix = root_prefix().ok_or("installing system packages needs an administrator")?;
    // Through `env`, since sudo drops what is only set around it.
    let mut words = prefix.iter().copied().chain(["env", "DEBIAN_FRONTEND=noninteractive"]);
    let mut command = Command::new(words.next().expect("`env` at least"));
    command.args(words).args(["apt-get", "-q"]);
    Ok(command)
}

/// The version that `apt-get install` would bring, when the lists on this machine know one.
pub(crate) fn candidate(package: &str) -> Option<String> {
    let said = process::answer(Command::new("apt-cache").args(["policy", package]))?;
    let version = said.lines().find_map(|line| line.trim().strip_prefix("Candidate:"))?.trim();
    (version != "(none)").then(|| version.to_owned())
}

/// What to put before a command that needs an administrator; `None` when there is no way.
pub(crate) fn root_prefix() -> Option<&'static [&'static str]> {
    let id = process::answer(Command::new("id").arg("-u"))?;
    if id.trim() == "0" {
        return Some(&[]);
    }
    process::answer(Command::new("sudo").args(["-n", "true"])).map(|_| &["sudo", "-n"][..])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kin_are_told_by_id_or_likeness() {
        for (text, kin) in [
            ("ID=debian\n", true),
            ("NAME=\"Pop\"\nID=pop\nID_LIKE=\"ubuntu debian\"\n", true),
            ("ID=fedora\n", false),
            ("ID=arch\nBUG_REPORT_URL=\"https://bugs.debian.example\"\n", false),
        ] {
            assert_eq!(is_debian_kin(text), kin, "{text}");
        }
    }

    #[test]
    fn only_installed_counts_as_there() {
        let said = "git installed\nxauth config-files\n";
        assert_eq!(not_installed(&["git", "xauth", "xvfb"], said), ["xauth", "xvfb"]);
    }
}
