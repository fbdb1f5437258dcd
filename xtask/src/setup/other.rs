//! Systems without Debian's packages: say what is missing and how it is usually installed.

use std::{fs, process::Command};

use super::needs::{Need, Sign};
use crate::process;

/// Looks for what the lists bring; the error names each missing piece and a command.
pub(crate) fn check(needs: &[Need]) -> Result<(), String> {
    // The window's libraries and the tools that drive it in tests are of Linux only.
    let wanted: Vec<&Sign> = needs
        .iter()
        .flat_map(|need| &need.brings)
        .filter(|sign| {
            cfg!(target_os = "linux") || matches!(sign, Sign::Program(name) if name == "git")
        })
        .collect();
    let missing: Vec<String> =
        wanted.into_iter().filter(|sign| !is_there(sign)).map(spoken).collect();
    if missing.is_empty() {
        println!("   the programs and libraries needed are there");
        return Ok(());
    }
    Err(format!(
        "Missing on this system:\n  {}\n{}",
        missing.join("\n  "),
        advice(&fs::read_to_string("/etc/os-release").unwrap_or_default())
    ))
}

fn is_there(sign: &Sign) -> bool {
    match sign {
        Sign::Program(name) => process::find(name).is_some(),
        Sign::Library(name) => {
            process::answer(Command::new("pkg-config").args(["--exists", name])).is_some()
        }
    }
}

fn spoken(sign: &Sign) -> String {
    match sign {
        Sign::Program(name) => format!("the program {name}"),
        Sign::Library(name) => format!("the library {name} with its development files"),
    }
}

fn advice(os_release: &str) -> &'static str {
    let is = |word: &str| {
        os_release
            .lines()
            .filter_map(|line| line.strip_prefix("ID=").or_else(|| line.strip_prefix("ID_LIKE=")))
            .any(|value| value.trim_matches('"').split_whitespace().any(|found| found == word))
    };
    if cfg!(target_os = "macos") {
        "Install with:  xcode-select --install"
    } else if cfg!(windows) {
        "Install with:  winget install Git.Git"
    } else if is("fedora") {
        "Install with:  sudo dnf install gcc gcc-c++ make pkgconf-pkg-config git iproute \
         webkit2gtk4.1-devel librsvg2-devel xorg-x11-server-Xvfb xauth dbus-daemon"
    } else if is("arch") {
        "Install with:  sudo pacman -S --needed base-devel git iproute2 webkit2gtk-4.1 librsvg \
         xorg-server-xvfb xorg-xauth dbus"
    } else {
        "Install them with the system's own packages; xtask/apt-packages.txt and \
         src-tauri/apt-packages.txt give Debian's names for them."
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_missing_program_is_named_and_a_present_one_is_not() {
        let need = |program: &str| Need {
            package: "some-package".to_owned(),
            brings: vec![Sign::Program(program.to_owned())],
        };
        assert_eq!(check(&[need("git")]), Ok(()));
        if cfg!(target_os = "linux") {
            let reason = check(&[need("git"), need("no-such-program")]).expect_err("it is missing");
            assert!(reason.contains("the program no-such-program\n"), "{reason}");
            assert!(!reason.contains("the program git"), "{reason}");
        }
    }

    #[test]
    fn advice_follows_the_family() {
        if cfg!(target_os = "linux") {
            assert!(advice("ID=rocky\nID_LIKE=\"rhel centos fedora\"").contains("dnf"));
            assert!(advice("ID=arch").contains("pacman"));
            assert!(advice("ID=void").contains("apt-packages.txt"));
        }
    }
}
