//! The whole gate: what has to hold before a change may land.

use std::process::Command;

use crate::{
    process,
    setup::{self, Ready},
    steps::Steps,
    tidy, types,
    workspace::Workspace,
};

/// Does every check in order, quick ones first, and stops at the first that fails; tells whether
/// all passed.
pub(crate) fn run(workspace: &Workspace) -> bool {
    let mut steps = Steps::default();
    let mut ready = None;
    steps.step("set-up", || {
        ready = Some(setup::run(workspace)?);
        Ok(())
    });
    let Some(ready) = ready else { return steps.close() };

    steps.step("formatting", || process::must(workspace.cargo().args(["fmt", "--all", "--check"])));
    steps.step("tidy", || tidy::run(workspace));
    if types::can_export(workspace) {
        steps.step("generated types", || types::check(workspace));
    } else {
        steps.skip("generated types", "core/app has no exporter yet");
    }
    // Before the lints: the window's crate embeds the built screens when it is compiled.
    screens(workspace, &ready, &mut steps);
    steps.step("lints", || {
        process::must(workspace.cargo().args([
            "clippy",
            "--workspace",
            "--all-targets",
            "--locked",
            "--",
            "-D",
            "warnings",
        ]))
    });
    steps.step("tests", || {
        process::must(workspace.cargo().args(["test", "--workspace", "--locked"]))
    });
    dependencies(workspace, &mut steps);
    window(workspace, &ready, &mut steps);
    steps.close()
}

fn screens(workspace: &Workspace, ready: &Ready, steps: &mut Steps) {
    if !workspace.has_screens() {
        steps.skip("screens", "there is no ui folder yet");
        return;
    }
    steps.step("screens: libraries", || setup::install_screen_libraries(workspace, &ready.node));
    for (name, words) in [
        ("screens: types", ["run", "check"]),
        ("screens: tests", ["run", "test"]),
        ("screens: build", ["run", "build"]),
    ] {
        steps.step(name, || process::must(setup::npm(workspace, &ready.node).args(words)));
    }
}

/// Licences and banned libraries are already looked at in tidy; this adds what the tool knows more.
///
/// Advisories are left out: they need the network, which the gate does not.
fn dependencies(workspace: &Workspace, steps: &mut Steps) {
    if process::find("cargo-deny").is_none() {
        steps.skip("dependencies", "cargo-deny is not installed; tidy has checked the licences");
        return;
    }
    steps.step("dependencies", || {
        process::must(workspace.cargo().args([
            "deny",
            "--offline",
            "--locked",
            "--config",
            ".deny.toml",
            "check",
            "bans",
            "licenses",
            "sources",
        ]))
    });
}

/// The main path in the real window, on a display that nobody sees.
fn window(workspace: &Workspace, ready: &Ready, steps: &mut Steps) {
    const NAME: &str = "real window";
    if !workspace.has_window() {
        steps.skip(NAME, "there is no src-tauri folder yet");
        return;
    }
    if !cfg!(target_os = "linux") {
        steps.skip(NAME, "the driver of the window exists on Linux only");
        return;
    }
    steps.step(NAME, || {
        build_programs(workspace)?;
        let mut command = Command::new("xvfb-run");
        command
            .args(["--auto-servernum", "--server-args=-screen 0 1440x960x24"])
            .args(["dbus-run-session", "--", "npm", "run", "e2e"])
            .current_dir(workspace.at("ui"))
            .env("PATH", ready.node.search_path())
            .env("SWARDBOOK_DESKTOP", workspace.built("swardbook-desktop"))
            .env("SWARDBOOK_CLI", workspace.built("swardbook"))
            // So that the window goes to the unseen display and to no other.
            .env_remove("WAYLAND_DISPLAY");
        process::must(&mut command)
    });
}

fn build_programs(workspace: &Workspace) -> Result<(), String> {
    process::must(workspace.cargo().args([
        "build",
        "--locked",
        "-p",
        "swardbook-cli",
        "-p",
        "swardbook-desktop",
    ]))
}
