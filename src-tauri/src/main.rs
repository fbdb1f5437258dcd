//! The desktop program.

// No second, black window beside ours.
#![cfg_attr(not(debug_assertions), windows_subsystem = "windows")]

fn main() {
    swardbook_desktop::run();
}
