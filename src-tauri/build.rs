//! Makes the window's context from `tauri.conf.json`, and a permission for each of its commands.

use std::{fs, path::Path};

/// The window's own commands; each is granted by name in `capabilities/window.json`.
const COMMANDS: &[&str] = &[
    "call",
    "call_watched",
    "create",
    "pick_file",
    "pick_photos",
    "reopen",
    "start",
    "stop",
    "taken_piece",
];

fn main() {
    // A checkout whose screens were never built compiles all the same, and its window says so.
    let page = Path::new("../ui/dist/index.html");
    if !page.exists() {
        let said = fs::create_dir_all("../ui/dist").and_then(|()| {
            fs::write(page, "<!doctype html><title>Swardbook</title><p>The screens are not built: run `npm ci` and `npm run build` in the folder ui.</p>\n")
        });
        assert!(said.is_ok(), "ui/dist cannot be written: {said:?}");
    }
    let manifest = tauri_build::AppManifest::new().commands(COMMANDS);
    let attributes = tauri_build::Attributes::new().app_manifest(manifest);
    if let Err(reason) = tauri_build::try_build(attributes) {
        // Cargo shows what a build script says when it panics.
        panic!("{reason:#}");
    }
}
